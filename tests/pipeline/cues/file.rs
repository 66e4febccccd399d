//! Cue lists in the show file, their edits, and cues made of what the stage shows.

use std::path::Path;

use proptest::prelude::*;
use slotwright::cue::{
    Cue, CueList, CueNumber, Cues, DarkMoves, FadeCurve, Loop, Movement, MovementKind, Next,
    Reference, ReferenceKind, SnapAt, Stage, Take, Time, Times, Value, Watched, Wave,
};
use slotwright::profile::Accepted;
use slotwright::show::{Show, parse_show, to_ron};

pub const SHOW: &str = r#"(
  format: 1, name: "Test",
  fixtures: [
    (id: 1, profile: "Tarnfell S1 Spot", mode: "compact", universe: 1, slot: 1, at: (0, 0, 5)),
    (id: 2, profile: "Tarnfell S1 Spot", mode: "full", universe: 1, slot: 101, at: (1, 0, 5)),
  ],
  references: [(name: "centre", kind: Position, all: {"Pan": "10 deg", "Tilt": "20 deg"}, own: [(fixtures: [2], values: {"Pan": "-10 deg"})])],
  lists: [
    (name: "Main", dark_moves: (fade_s: 2), loops: [(from: 2, to: 2.5, passes: 2)], cues: [
      (number: 1, name: "Dawn", notes: "slow", times: (fade_s: 3, delay_s: 1, aim: (fade_s: 1)), next: Follow(2), set: [
        (fixtures: [1, 2], values: {"Pan": "like centre", "Dimmer": "60 %", "Shutter": "open"}),
      ]),
      (number: 2, curve: Smooth, snap: Half, next: Wait(4), set: [(fixtures: [1], values: {"Colour wheel": "deep red"})]),
      (number: 2.5, asserts: true, stands_s: 8, still: [1], movements: [(fixtures: [1, 2], kind: Circle, hz: 0.2, size: 10, spread: 1)]),
    ]),
  ],
  accepted: [(code: "moves-lit", at: "list \"Main\", cue 2", reason: "meant")],
)"#;

pub fn read(text: &str) -> Result<(Show, Vec<String>), String> {
    match parse_show(text, Some(Path::new("show.ron")), &|_| true) {
        Ok((show, findings)) => Ok((show, findings.iter().map(ToString::to_string).collect())),
        Err(findings) => Err(findings.to_string()),
    }
}

#[test]
fn a_show_with_cues_reads_and_writes_to_the_same() {
    let (show, said) = read(SHOW).unwrap();
    assert_eq!(said, Vec::<String>::new());
    assert_eq!(show.cues.lists[0].cues.len(), 3);
    let text = to_ron(&show);
    let (again, said) = read(&text).unwrap();
    assert_eq!((again.cues, said), (show.cues.clone(), Vec::new()));
    assert!(text.contains(r#"(fixtures: [1, 2], values: {"#), "{text}");
    // A show without any says nothing of cues.
    let bare = to_ron(&Show { cues: Cues::default(), ..show });
    assert!(!bare.contains("lists") && !bare.contains("references") && !bare.contains("accepted"));
}

#[test]
fn what_is_wrong_with_a_list_is_told_where_it_stands() {
    let wrong = |from: &str, to: &str, said: &str| {
        assert_eq!(SHOW.matches(from).count(), 1, "`{from}`");
        let text = SHOW.replacen(from, to, 1);
        let line = SHOW[..SHOW.find(from).unwrap()].lines().count();
        let told = match read(&text) {
            Ok((_, said)) => said.join("\n"),
            Err(told) => told,
        };
        assert!(told.contains(said), "{told}");
        assert!(told.contains(&format!("show.ron:{line}:")), "line {line}: {told}");
    };
    wrong("number: 2.5", "number: 2", "another cue has the number `2` already");
    wrong("number: 2.5", "number: 2.50001", "is no number of a cue");
    wrong("number: 2.5", "number: 0", "is no number of a cue");
    wrong("to: 2.5", "to: 7", "a loop names cue 7, which there is not");
    wrong("from: 2, to: 2.5", "from: 2.5, to: 2", "before it begins");
    wrong("passes: 2", "passes: 0", "cannot be run `0` times");
    wrong("fade_s: 3", "fade_s: -3", "is no time that a cue can take");
    wrong("Follow(2)", "Follow(1e99)", "is no time that a cue can take");
    wrong("\"deep red\"", "\"ambr\"", "warning: `ambr` is no value of this channel");
    wrong("\"deep red\"", "\"256\"", "`256` does not fit a slot");
    wrong("\"Colour wheel\"", "\"Colour weel\"", "did you mean `Colour wheel`?");
    wrong(
        "like centre",
        "like center",
        "warning: there is no reference `center`: did you mean `centre`?",
    );
    wrong("(fixtures: [1], values", "(fixtures: [9], values", "warning: there is no fixture 9");
    wrong("hz: 0.2", "hz: 1e9", "a movement cannot have a `hz` of `1000000000`");
    wrong("\"meant\"", "\" \"", "warning: `moves-lit` is accepted without a reason");
    wrong("\"10 deg\"", "\"like other\"", "a reference gives values only");
    wrong(
        "(fixtures: [1, 2], values",
        "(fixtures: [1, 1], values",
        "fixture 1 gets two values for `Dimmer`",
    );
}

#[test]
fn a_loop_that_never_ends_and_takes_no_time_is_told() {
    let list = |first: &str, passes: &str| {
        format!(
            r#"(format: 1, name: "Test", fixtures: [], lists: [(name: "Main", loops: [(from: 1, to: 2{passes})], cues: [
              (number: 1{first}), (number: 2, next: Wait(0)), (number: 3)])])"#
        )
    };
    let said = |first: &str, passes: &str| read(&list(first, passes)).unwrap().1.join("\n");
    assert!(said(", next: Follow(0)", "").contains("is run without end, and takes no time"));
    for (first, passes) in [
        (", next: Follow(0)", ", passes: 9"),
        (", next: Follow(0), times: (fade_s: 1)", ""),
        (", next: Wait(0.5)", ""),
        ("", ""),
    ] {
        assert_eq!(said(first, passes), "");
    }
}

/// The example of the handbook is one that can be run.
#[test]
fn the_example_of_the_handbook_reads_without_a_word() {
    let handbook = include_str!("../../../README.md");
    let lists = &handbook[handbook.find("\nlists: [").unwrap()..];
    let lists = &lists[..lists.find("```").unwrap()];
    let fixture = |id: u32, slot: u16| {
        format!(
            r#"(id: {id}, profile: "Tarnfell S1 Spot", mode: "full", universe: 1, slot: {slot}, at: (0, 0, 5)),"#
        )
    };
    let fixtures = fixture(101, 1) + &fixture(102, 101);
    let text = format!("(format: 1, name: \"Test\", fixtures: [{fixtures}], {lists})");
    let (show, said) = read(&text).unwrap();
    assert_eq!((show.cues.lists[0].cues.len(), said), (3, Vec::new()));
}

#[test]
fn cues_out_of_order_are_put_in_order_and_told() {
    let text = SHOW.replacen("number: 1,", "number: 3,", 1);
    let (show, said) = read(&text).unwrap();
    let numbers: Vec<String> =
        show.cues.lists[0].cues.iter().map(|cue| cue.number.to_string()).collect();
    assert_eq!(numbers, ["2", "2.5", "3"]);
    assert!(
        said.iter().any(|said| said.contains("note: cue 2 stands below a later one")),
        "{said:?}"
    );
}

fn number() -> impl Strategy<Value = CueNumber> {
    (1u32..60_000).prop_map(|n| CueNumber::from_thousandths(n).expect("it is a number"))
}

fn time() -> impl Strategy<Value = Time> {
    (0.0f64..100.0, 0.0f64..10.0).prop_map(|(fade_s, delay_s)| Time { fade_s, delay_s })
}

fn value() -> impl Strategy<Value = Value> {
    prop_oneof![
        any::<u8>().prop_map(Value::Byte),
        any::<u32>().prop_map(Value::Full),
        "[a-zA-Z \"\\\\é:#]{1,12}".prop_map(|text| text.trim().parse().unwrap_or(Value::Byte(0))),
        (-500.0f64..500.0).prop_map(|amount| Value::Is {
            range: None,
            amount,
            unit: slotwright::profile::Unit::Degree
        }),
        Just(Value::Like("centre".to_owned())),
    ]
}

prop_compose! {
    pub fn cue()(
        number in number(), name in "[ -~é]{0,8}", asserts in any::<bool>(), all in time(),
        up in prop::option::of(time()), aim in prop::option::of(time()),
        next in prop_oneof![Just(Next::Go), (0.0f64..9.0).prop_map(Next::Follow), (0.0f64..9.0).prop_map(Next::Wait)],
        curve in prop_oneof![Just(FadeCurve::Even), Just(FadeCurve::Smooth), Just(FadeCurve::SlowEnd)],
        snap in prop_oneof![Just(SnapAt::Start), Just(SnapAt::Half), Just(SnapAt::End)],
        stands_s in prop::option::of(0.0f64..9.0),
        changes in prop::collection::btree_map(1u32..9, prop::collection::btree_map("[A-Z][a-z]{0,4}", value(), 1..4), 0..5),
        moves in prop::collection::vec((-2.0f64..2.0, 0.0f64..90.0, "[A-Z]{1,3}"), 0..2),
        still in prop::collection::vec(1u32..9, 0..3),
    ) -> Cue {
        let movements = moves.into_iter().map(|(hz, size, name)| Movement {
            fixtures: vec![1, 2], kind: MovementKind::Channel(name), wave: Wave::Saw, hz, size, spread: 0.5,
        });
        Cue {
            number, name, notes: String::new(), asserts, times: Times { all, up, aim, ..Times::default() }, curve, snap,
            next, stands_s, changes, movements: movements.collect(), still,
        }
    }
}

prop_compose! {
    fn cues()(
        cues in prop::collection::btree_map(number(), cue(), 0..8), dark in prop::option::of(0.0f64..9.0),
        reason in "[ -~]{1,12}", passes in prop::option::of(1u32..9),
    ) -> Cues {
        let mut all: Vec<Cue> = cues.into_iter().map(|(number, cue)| Cue { number, ..cue }).collect();
        all.sort_by_key(|cue| cue.number);
        let ends = all.first().zip(all.last()).map(|(a, b)| Loop { from: a.number, to: b.number, passes });
        let list = CueList {
            name: "Main".to_owned(), notes: "n".to_owned(), dark_moves: dark.map(|fade_s| DarkMoves { fade_s }),
            loops: ends.into_iter().collect(), cues: all,
        };
        let centre = Reference { name: "centre".to_owned(), kind: ReferenceKind::Position, ..Reference::default() };
        let accepted = vec![Accepted { code: "x".to_owned(), at: String::new(), reason }];
        let watches = vec![Watched { when: "fixture 1 lit".to_owned(), on: dark.is_some() }];
        Cues { lists: vec![list], references: vec![centre], accepted, watches }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    /// Whatever a list holds, its file holds too.
    #[test]
    fn any_cues_are_read_back(cues in cues()) {
        let (show, _) = read(SHOW).unwrap();
        let show = Show { cues, ..show };
        let text = to_ron(&show);
        let again = read(&text);
        prop_assert!(again.is_ok(), "{}\n{}", text, again.unwrap_err());
        prop_assert_eq!(again.unwrap().0.cues, show.cues);
    }
}

/// Every shipped mode: what a cue takes from the stage by its meaning gives the stage back.
#[test]
fn a_cue_of_what_the_stage_shows_brings_it_back() {
    let show = slotwright::show::demo_show(&|_| true).unwrap();
    let plan = slotwright::decode::Plan::new(&show.rig, &show.profiles);
    let tracks = std::sync::Arc::new(slotwright::cue::Tracks::new(&plan));
    let all: Vec<usize> = (0..show.rig.len()).collect();
    for look in &show.looks {
        let mut decoded = plan.start();
        plan.decode(&look.frames, &mut decoded);
        let stage = Stage { rig: &show.rig, plan: &plan, frames: &look.frames, decoded: &decoded };
        for take in [Take::Meaning, Take::Raw] {
            let mut cue = Cue::new(CueNumber::whole(1).unwrap());
            cue.changes = stage.changes(&all, None, take);
            let list = CueList { name: "Main".to_owned(), cues: vec![cue], ..CueList::default() };
            let cues = Cues { lists: vec![list], ..Cues::default() };
            let compiled = slotwright::cue::Compiled::new(&cues, 0, &show.rig, &plan, &tracks);
            assert_eq!(compiled.unresolved, Vec::new(), "{}", look.name);
            let mut frames = look.frames.clone();
            for of in &compiled.cues[0].moves {
                tracks.put(of.track, of.to, &mut frames);
            }
            let mut again = plan.start();
            plan.decode(&frames, &mut again);
            for fixture in 0..show.rig.len() {
                let asked =
                    |frames, decoded| plan.reading(fixture, frames, decoded).unwrap().asked();
                assert_eq!(
                    asked(&frames, &again),
                    asked(&look.frames, &decoded),
                    "{} {take:?}",
                    look.name
                );
            }
        }
        // Nothing was touched since the list had it so.
        assert_eq!(
            stage.changes(&all, Some(&look.frames), Take::Meaning),
            slotwright::cue::Changes::new()
        );
    }
}
