//! Exercises: every one has a right answer, what is marked as wrong is wrong, and a seed always gives the same.

use std::collections::BTreeSet;
use std::sync::Arc;
use std::thread;

use slotwright::check::drill::outcome::facet_words;
use slotwright::check::drill::{
    Answer, Claim, Exercise, Level, Task, TestHead, exercise, key_ranges, points, read_answers,
    sheet,
};
use slotwright::decode::CompiledMode;
use slotwright::profile::Library;

fn heads() -> Vec<TestHead> {
    let profiles = Library::embedded().profiles();
    let modes = profiles.flat_map(|profile| {
        profile.modes.iter().map(|mode| Arc::new(CompiledMode::new(profile, mode)))
    });
    modes.map(|mode| TestHead::new(&mode)).collect()
}

fn spot() -> TestHead {
    let profile = Library::embedded().get("Tarnfell S1 Spot").expect("it is shipped");
    let mode = profile.mode("full").expect("it has that mode");
    TestHead::new(&Arc::new(CompiledMode::new(&profile, mode)))
}

/// Worked over all shipped profiles and modes, and all levels.
#[test]
fn every_exercise_has_a_right_answer_and_its_wrong_answers_are_wrong() {
    let shares = thread::available_parallelism().map_or(1, |cores| cores.get().min(8)) as u64;
    let kinds = thread::scope(|scope| {
        let shares: Vec<_> =
            (0..shares).map(|share| scope.spawn(move || check_share(share, shares))).collect();
        let kinds = shares.into_iter().flat_map(|share| share.join().unwrap());
        kinds.collect::<BTreeSet<_>>()
    });
    assert_eq!(kinds.len(), 7, "every kind comes up: {kinds:?}");
}

/// Every so many of the 10,000 seeds; gives the kinds that came up.
fn check_share(share: u64, shares: u64) -> BTreeSet<&'static str> {
    let mut heads = heads();
    let count = heads.len();
    let mut kinds = BTreeSet::new();
    for seed in (share..10_000).step_by(shares as usize) {
        let head = &mut heads[seed as usize % count];
        let level = Level::ALL[seed as usize / count % Level::ALL.len()];
        let exercise = exercise(head, level, seed);
        kinds.insert(exercise.kind());
        let name = format!("{} {}, seed {seed}, {:?}", head.fixture.profile, head.mode.name, level);
        let right = exercise.right_answer().unwrap_or_else(|| panic!("{name}: no answer"));
        let grade = exercise.grade(head, &right);
        assert!(grade.right, "{name}: {right:?} is graded wrong: {:?}\n{exercise:#?}", grade.said);
        let wrong = exercise.wrong_answers();
        assert!(!wrong.is_empty(), "{name}: nothing is marked as wrong");
        for answer in wrong {
            let grade = exercise.grade(head, &answer);
            assert!(!grade.right, "{name}: {answer:?} is right too\n{exercise:#?}");
            assert!(!grade.said.is_empty(), "{name}: nothing is said of {answer:?}");
        }
    }
    kinds
}

/// A teacher's sheet stays what it is: worked example, pinned.
#[test]
fn the_same_seed_gives_the_same_sheet() {
    let mut head = spot();
    let first = sheet(&mut head, Level::WholeHead, 7, 6);
    let again = sheet(&mut spot(), Level::WholeHead, 7, 6);
    assert_eq!(first, again);
    assert_ne!(first, sheet(&mut head, Level::WholeHead, 8, 6));
    // Further exercises do not change the earlier ones.
    assert_eq!(first, sheet(&mut head, Level::WholeHead, 7, 12)[..6]);
}

fn find(head: &mut TestHead, level: Level, kind: &str) -> Exercise {
    let found = (0..500).map(|seed| exercise(head, level, seed)).find(|e| e.kind() == kind);
    found.unwrap_or_else(|| panic!("no {kind} in 500 seeds"))
}

#[test]
fn any_value_of_the_right_range_is_right_and_the_values_beside_it_are_wrong() {
    let mut head = spot();
    for seed in 0..60 {
        let exercise = exercise(&mut head, Level::FirstLight, seed);
        let Task::Set { start, target, .. } = &exercise.task else { continue };
        let keys = key_ranges(&exercise, &mut head);
        assert!(!keys.is_empty(), "seed {seed}");
        let others: Vec<(u16, u8)> = (1u16..)
            .zip(target.iter().zip(start))
            .filter(|(_, (there, here))| there != here)
            .map(|(slot, (there, _))| (slot, *there))
            .collect();
        for key in &keys {
            for value in 0..=255u8 {
                let mut answer: Vec<_> =
                    others.iter().filter(|(slot, _)| *slot != key.slot).copied().collect();
                answer.push((key.slot, value));
                let within = key.values.iter().any(|(a, b)| (*a..=*b).contains(&value));
                let right = exercise.grade(&mut head, &Answer::Slots(answer)).right;
                assert_eq!(right, within, "seed {seed}, slot {} at {value}", key.slot);
            }
        }
    }
}

#[test]
fn a_slot_that_did_it_and_one_that_did_not_are_told_apart() {
    let mut head = spot();
    let exercise = find(&mut head, Level::AimAndColour, "which-slot");
    let slots: Vec<u16> = exercise
        .choices()
        .iter()
        .filter_map(|choice| match choice.claim {
            Claim::Slot(slot) => Some(slot),
            _ => None,
        })
        .collect();
    assert_eq!(slots.len(), 4);
    let right: Vec<usize> =
        (0..4).filter(|i| exercise.grade(&mut head, &Answer::Pick(*i)).right).collect();
    assert_eq!(right.len(), 1);
    let Task::Which { before, after, seen, .. } = &exercise.task else { panic!("{exercise:?}") };
    let moved: Vec<usize> = (0..before.len()).filter(|i| before[*i] != after[*i]).collect();
    assert_eq!(moved, [usize::from(slots[right[0]]) - 1]);
    assert!(!facet_words(seen, &head.mode).is_empty());
}

/// Worked example from the figures of E1.11: break, mark after break, 44 µs for the start code and each slot.
#[test]
fn a_packet_is_right_to_the_microsecond_and_one_slot_too_few_is_wrong() {
    let mut head = spot();
    let exercise = find(&mut head, Level::OnTheLine, "packet");
    let Task::Packet { break_us, mark_us, slots } = exercise.task else { panic!("{exercise:?}") };
    let us = f64::from(break_us + mark_us) + 44.0 * (f64::from(slots) + 1.0);
    assert!(exercise.grade(&mut head, &Answer::Us(us)).right);
    assert!(!exercise.grade(&mut head, &Answer::Us(us - 44.0)).right);
    assert_eq!(exercise.read_answer(&format!("{} ms", us / 1000.0)), Ok(Answer::Us(us)));
}

#[test]
fn hints_lead_to_the_answer_and_cost_points() {
    let mut head = spot();
    let exercise = find(&mut head, Level::WholeHead, "set");
    let hints = exercise.hints(&mut head);
    assert_eq!(hints.len(), 3);
    assert!(hints[2].contains("slot "), "{hints:?}");
    assert_eq!((points(0, 0), points(1, 0), points(1, 1), points(9, 0)), (1.0, 0.75, 0.5, 0.0));
}

#[test]
fn answers_are_read_back_as_they_are_written_and_mistakes_are_told_by_line() {
    for level in Level::ALL {
        let mut head = spot();
        let sheet = sheet(&mut head, level, 3, 12);
        let right: Vec<Option<Answer>> =
            sheet.iter().map(|exercise| exercise.right_answer()).collect();
        let lines = right
            .iter()
            .enumerate()
            .map(|(i, answer)| format!("{}: {} # mine\n", i + 1, answer.as_ref().unwrap().words()));
        assert_eq!(read_answers(&lines.collect::<String>(), &sheet).unwrap(), right);
    }
    let sheet = sheet(&mut spot(), Level::FirstLight, 3, 2);
    let said = read_answers("\n1 b\n9: a\n1: ???\n", &sheet).unwrap_err();
    let said: Vec<String> = said.0.iter().map(ToString::to_string).collect();
    assert_eq!(said.len(), 3, "{said:?}");
    assert!(said[0].starts_with("line 2: error: `1 b` is no answer"), "{said:?}");
    assert!(said[1].contains("no exercise `9`"), "{said:?}");
}

#[test]
fn levels_go_by_number_and_by_name() {
    assert_eq!("3".parse(), Ok(Level::WholeHead));
    assert_eq!("Misfits".parse(), Ok(Level::Misfits));
    assert!("6".parse::<Level>().is_err());
}
