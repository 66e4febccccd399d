//! Edits of cue lists: what each does, and that all of it is undone.

use proptest::prelude::*;
use slotwright::cue::{Cue, CueList, CueNumber, Next, Value, edit};
use slotwright::profile::Accepted;
use slotwright::show::{CueEdit, Document, Edit, to_ron};

use super::file::{SHOW, cue, read};

fn document() -> Document {
    Document::new(read(SHOW).expect("it reads").0, None)
}

fn number(text: &str) -> CueNumber {
    text.parse().expect("it is a number")
}

fn numbers(list: &CueList) -> Vec<String> {
    list.cues.iter().map(|cue| cue.number.to_string()).collect()
}

fn main_list(document: &Document) -> &CueList {
    &document.show().cues.lists[0]
}

/// Takes the place of all cues of the first list.
fn set_cues(list: CueList) -> Edit {
    let words = "many".to_owned();
    Edit::Cues(CueEdit::SetCues { list: 0, words, cues: list.cues, loops: list.loops })
}

/// Any edit of lists, many of which cannot be done.
fn any_edit(document: &Document, kind: u8, index: usize, cue: Cue, flag: bool) -> Edit {
    let list = usize::from(flag);
    let of = document.show().cues.lists.first().cloned().unwrap_or_default();
    let first = cue.number;
    let edit = match kind {
        0 => {
            CueEdit::AddList(Box::new(CueList { name: format!("L{index}"), ..Default::default() }))
        }
        1 => CueEdit::RemoveList(list + 1),
        2 => CueEdit::SetList {
            list,
            name: format!("M{index}"),
            notes: cue.name,
            dark_moves: None,
            loops: Vec::new(),
        },
        3 | 4 => CueEdit::AddCue { list, cue: Box::new(cue) },
        5 | 6 => CueEdit::SetCue { list, index, cue: Box::new(cue) },
        7 => CueEdit::RemoveCue { list, index },
        8 => return set_cues(edit::split_at(&of, index, |id, _| id == 1).unwrap_or(of)),
        9 => return set_cues(edit::moved(&of, index, index + 1, first, 500).unwrap_or(of)),
        10 => return set_cues(edit::copied(&of, index, index + 1, first, 1000).unwrap_or(of)),
        11 => return set_cues(edit::without(&of, &[index, index + 2])),
        12 => CueEdit::RenameReference { index: list, name: format!("R{index}") },
        13 => CueEdit::RemoveReference(list),
        14 => return Edit::RemoveFixture(list),
        15 => {
            let Some(mut fixture) = document.show().rig.get(list).cloned() else {
                return Edit::RemoveFixture(list);
            };
            fixture.id = 1 + index as u32;
            return Edit::SetFixture { index: list, fixture: Box::new(fixture) };
        }
        _ => {
            CueEdit::Accept(Accepted { code: cue.name, at: String::new(), reason: "so".to_owned() })
        }
    };
    Edit::Cues(edit)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]
    /// Edits of lists are undone to the start and redone to the end, and what cannot be done changes nothing.
    #[test]
    fn edits_of_cues_are_undone_and_redone(
        edits in prop::collection::vec((0u8..17, 0usize..5, cue(), any::<bool>(), 0u64..3), 0..24),
    ) {
        let mut document = document();
        let start = document.show().clone();
        for (kind, index, cue, flag, gesture) in edits {
            let edit = any_edit(&document, kind, index, cue, flag);
            let before = document.show().clone();
            if document.apply(edit, (gesture > 0).then_some(gesture)).is_err() {
                prop_assert_eq!(document.show(), &before);
            }
        }
        let end = document.show().clone();
        let again = read(&to_ron(&end));
        prop_assert!(again.is_ok(), "{}", to_ron(&end));
        prop_assert_eq!(&again.unwrap().0.cues, &end.cues);
        while document.undo().is_some() {}
        prop_assert_eq!(document.show(), &start);
        while document.redo().is_some() {}
        prop_assert_eq!(document.show(), &end);
    }
}

#[test]
fn a_new_cue_gets_a_free_number() {
    let (show, _) = read(SHOW).unwrap();
    let list = &show.cues.lists[0];
    let thousandths = |place| edit::number_after(list, place).map(CueNumber::thousandths);
    assert_eq!(
        (thousandths(Some(0)), thousandths(Some(2)), thousandths(None)),
        (Some(1100), Some(3000), Some(500))
    );
    assert_eq!(edit::standing(list, 2, 1, "Pan").unwrap().0, 0, "it carried over from the first");
}

#[test]
fn a_cue_splits_into_two_and_the_loop_ends_with_the_second() {
    let (show, _) = read(SHOW).unwrap();
    let list = &show.cues.lists[0];
    let new = edit::split_at(list, 0, |id, channel| id == 2 && channel == "Pan").unwrap();
    assert_eq!(numbers(&new), ["1", "1.1", "2", "2.5"]);
    assert_eq!((new.cues[0].changes[&2].len(), new.cues[1].changes[&2].len()), (2, 1));
    assert!(!new.cues[1].changes.contains_key(&1));
    assert_eq!(new.cues[1].next, Next::Follow(2.0), "the rest of it is as it was");
    let new = edit::split_at(list, 2, |_, _| false).unwrap();
    assert_eq!(new.loops[0].to, number("3"));
    assert!(new.cues[3].movements.is_empty(), "a movement begins once");
    assert_eq!(edit::split_at(list, 3, |_, _| true), None, "there is no such cue");
}

#[test]
fn a_span_is_renumbered_and_its_loop_goes_with_it() {
    let (show, _) = read(SHOW).unwrap();
    let list = &show.cues.lists[0];
    let to = edit::renumbered(list, 1, 2, number("10"), 5000).unwrap();
    assert_eq!(to.iter().map(ToString::to_string).collect::<Vec<_>>(), ["10", "15"]);
    assert_eq!(edit::renumbered(list, 0, 1, number("2"), 1000), None, "they would pass the last");
    let new = edit::moved(list, 1, 2, number("10"), 5000).unwrap();
    assert_eq!(numbers(&new), ["1", "10", "15"]);
    assert_eq!((new.loops[0].from, new.loops[0].to), (number("10"), number("15")));
    // A cue goes to another place of the walk.
    let new = edit::moved(list, 0, 0, number("2.2"), 1000).unwrap();
    assert_eq!(numbers(&new), ["2", "2.2", "2.5"]);
    assert_eq!(new.cues[1].name, "Dawn");
    assert_eq!(edit::moved(list, 0, 0, number("2"), 1000), None, "another cue has that number");
    assert_eq!(edit::moved(list, 0, usize::MAX, number("2"), 1000), None);
    assert_eq!(edit::moved(list, 0, 1, number("999999"), 1000), None, "no cue has such a number");
    let new = edit::copied(list, 0, 1, number("20"), 500).unwrap();
    assert_eq!(numbers(&new), ["1", "2", "2.5", "20", "20.5"]);
    assert_eq!(new.cues[3].changes, list.cues[0].changes);
    let new = edit::without(list, &[0, 2]);
    assert_eq!((numbers(&new), new.loops.len()), (vec!["2".to_owned()], 0));
}

#[test]
fn many_cues_are_changed_in_one_step_that_keeps_only_what_differs() {
    let mut document = document();
    let mut list = main_list(&document).clone();
    for cue in &mut list.cues {
        cue.times.all.fade_s = 7.0;
        edit::set(cue, &[1, 2], "Dimmer", Some(&Value::Byte(9)));
    }
    assert_eq!(document.apply(set_cues(list.clone()), None), Ok(true));
    assert_eq!(main_list(&document), &list);
    assert_eq!(document.apply(set_cues(list.clone()), None), Ok(false), "it is so already");
    assert_eq!(document.undo().as_deref(), Some("many"));
    assert_eq!(main_list(&document).cues[0].times.all.fade_s, 3.0);
    // What a file could not hold is refused.
    list.cues[1].number = list.cues[0].number;
    let why = document.apply(set_cues(list), None).unwrap_err().to_string();
    assert!(why.contains("another cue has the number `1` already"), "{why}");
}

#[test]
fn cues_follow_a_reference_to_its_new_name_and_keep_its_values_when_it_goes() {
    let mut document = document();
    let pan = |document: &Document, fixture| {
        main_list(document).cues[0].changes[&fixture]["Pan"].to_string()
    };
    let rename = |name: &str| CueEdit::RenameReference { index: 0, name: name.to_owned() };
    assert_eq!(document.apply(Edit::Cues(rename("middle")), None), Ok(true));
    assert_eq!(pan(&document, 1), "like middle");
    assert!(document.apply(Edit::Cues(rename(" ")), None).is_err(), "a name is needed");
    assert_eq!(document.apply(Edit::Cues(CueEdit::RemoveReference(0)), None), Ok(true));
    assert_eq!((pan(&document, 1), pan(&document, 2)), ("10 deg".to_owned(), "-10 deg".to_owned()));
    assert_eq!(document.can_undo(), Some("remove reference \"middle\""));
    document.undo();
    document.undo();
    assert_eq!(pan(&document, 1), "like centre");
    assert!(document.apply(Edit::Cues(CueEdit::RemoveReference(1)), None).is_err());
}

#[test]
fn cues_follow_a_fixture_to_its_new_number_and_let_go_of_it_when_it_goes() {
    let mut document = document();
    let start = document.show().clone();
    let mut fixture = start.rig[1].clone();
    fixture.id = 7;
    document.apply(Edit::SetFixture { index: 1, fixture: Box::new(fixture) }, None).unwrap();
    let cues = &document.show().cues;
    assert!(cues.lists[0].cues[0].changes.contains_key(&7));
    assert_eq!(cues.lists[0].cues[2].movements[0].fixtures, [1, 7], "its place in the wave stays");
    assert!(cues.references[0].own.contains_key(&7));
    document.apply(Edit::RemoveFixture(0), None).unwrap();
    document.apply(Edit::RemoveFixture(0), None).unwrap();
    let cues = &document.show().cues;
    assert!(cues.lists[0].cues.iter().all(|cue| cue.changes.is_empty()));
    assert!(cues.lists[0].cues[2].movements.is_empty(), "nobody is left in it");
    assert!(cues.lists[0].cues[2].still.is_empty() && cues.references[0].own.is_empty());
    while document.undo().is_some() {}
    assert_eq!(document.show(), &start);
}

#[test]
fn what_was_accepted_goes_with_a_list_and_a_cue_to_their_new_names() {
    let mut document = document();
    let start = document.show().clone();
    let at = |document: &Document| document.show().cues.accepted[0].at.clone();
    let set = |document: &mut Document, change: &dyn Fn(&mut Cue)| {
        let mut cue = main_list(document).cues[1].clone();
        change(&mut cue);
        document
            .apply(Edit::Cues(CueEdit::SetCue { list: 0, index: 1, cue: Box::new(cue) }), None)
            .unwrap();
    };
    set(&mut document, &|cue| cue.name = "Dusk".to_owned());
    assert_eq!(at(&document), "list \"Main\", cue 2 \"Dusk\"");
    set(&mut document, &|cue| cue.number = number("2.2"));
    assert_eq!(at(&document), "list \"Main\", cue 2.2 \"Dusk\"");
    let list = main_list(&document).clone();
    let edit = CueEdit::SetList {
        list: 0,
        name: "Evening".to_owned(),
        notes: list.notes,
        dark_moves: list.dark_moves,
        loops: list.loops,
    };
    document.apply(Edit::Cues(edit), None).unwrap();
    assert_eq!(at(&document), "list \"Evening\", cue 2.2 \"Dusk\"");
    while document.undo().is_some() {}
    assert_eq!(document.show(), &start);
}

#[test]
fn what_was_accepted_goes_with_many_cues_to_their_new_numbers() {
    let mut document = document();
    let start = document.show().clone();
    let list = main_list(&document).clone();
    let accept = |place: usize, code: &str| {
        let at = format!("list \"Main\", {}, fixture 1", list.cues[place].words());
        CueEdit::Accept(Accepted { code: code.to_owned(), at, reason: "meant".to_owned() })
    };
    for (place, code) in [(0, "first"), (1, "second"), (2, "third")] {
        document.apply(Edit::Cues(accept(place, code)), None).unwrap();
    }
    // Each takes the number that the next one had.
    let last = list.cues.len() - 1;
    let moved = edit::moved(&list, 0, last, number("2"), 1000).expect("they are free");
    let wanted: Vec<String> = moved.cues.iter().map(Cue::words).collect();
    document.apply(set_cues(moved), None).unwrap();
    for (place, code) in [(0, "first"), (1, "second"), (2, "third")] {
        let mut accepted = document.show().cues.accepted.iter();
        let at = &accepted.find(|of| of.code == code).expect("it is still accepted").at;
        assert_eq!(*at, format!("list \"Main\", {}, fixture 1", wanted[place]));
    }
    // A copy does not take it along.
    let list = main_list(&document).clone();
    let copied = edit::copied(&list, 0, 0, number("40"), 1000).expect("it is free");
    let before = document.show().cues.accepted.clone();
    document.apply(set_cues(copied), None).unwrap();
    assert_eq!(document.show().cues.accepted, before);
    while document.undo().is_some() {}
    assert_eq!(document.show(), &start);
}

#[test]
fn copies_fit_behind_a_cue_in_the_roundest_numbers() {
    let mut list = main_list(&document()).clone();
    list.cues.truncate(2);
    (list.cues[0].number, list.cues[1].number) = (number("1"), number("2"));
    assert_eq!(edit::room_after(&list, 1, 3), Some((number("3"), 1000)));
    assert_eq!(edit::room_after(&list, 0, 3), Some((number("1.1"), 100)));
    assert_eq!(edit::room_after(&list, 0, 20), Some((number("1.01"), 10)));
    assert_eq!(edit::room_after(&list, 0, 1000), None);
}

#[test]
fn many_cues_take_what_was_changed_of_one_and_nothing_else() {
    let old = main_list(&document()).cues[0].clone();
    let mut new = old.clone();
    new.times.all.fade_s = 7.0;
    new.next = Next::Follow(1.0);
    let mut other = Cue::new(number("9"));
    other.name = "its own".to_owned();
    other.times.all.delay_s = 2.0;
    edit::alike(&mut other, &old, &new);
    assert_eq!((other.times.all.fade_s, other.times.all.delay_s), (7.0, 2.0));
    assert_eq!((other.next, other.name.as_str()), (Next::Follow(1.0), "its own"));
    assert_eq!(other.number, number("9"));
}
