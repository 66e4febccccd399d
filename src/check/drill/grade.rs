//! Grading: what an answer comes to in the pipeline, held against what was asked.

use super::line::{self, PACKET_TOLERANCE_US};
use super::outcome::{Facet, facet_words};
use super::{Answer, Claim, Exercise, Task, TestHead, fault};
use crate::finding::number;

/// What is said of an answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Grade {
    /// It is right.
    pub right: bool,
    /// What the answer does, and where that is not what was asked.
    pub said: Vec<String>,
}

impl Grade {
    fn right(said: impl Into<String>) -> Self {
        Self { right: true, said: vec![said.into()] }
    }

    fn wrong(said: Vec<String>) -> Self {
        Self { right: false, said }
    }
}

impl Exercise {
    /// Grades an answer on a head of the mode that the exercise was made of.
    pub fn grade(&self, head: &mut TestHead, answer: &Answer) -> Grade {
        match (&self.task, answer) {
            (Task::Set { start, wanted, .. }, Answer::Slots(set)) => {
                let mut slots = start.clone();
                for (slot, value) in set {
                    super::head::put(&mut slots, &[*slot], u32::from(*value));
                }
                grade_slots(head, wanted, &slots)
            }
            (Task::Address { footprints, taken }, Answer::Numbers(addresses)) => {
                match line::patch_faults(footprints, *taken, addresses) {
                    faults if faults.is_empty() => {
                        Grade::right("no two share a slot, and none passes slot 512")
                    }
                    faults => Grade::wrong(faults),
                }
            }
            (Task::Switches { on }, Answer::Numbers(numbers)) => {
                let right = line::address(on);
                match numbers.as_slice() {
                    [number] if *number == right => Grade::right(format!("address {right}")),
                    _ => Grade::wrong(vec![format!("the switches make {}", switch_sum(on))]),
                }
            }
            (Task::Packet { break_us, mark_us, slots }, Answer::Us(us)) => {
                let right = line::packet_us(*break_us, *mark_us, *slots);
                let sum = format!(
                    "{break_us} + {mark_us} + 44 · {} = {} µs",
                    u32::from(*slots) + 1,
                    number(right)
                );
                match (us - right).abs() <= PACKET_TOLERANCE_US {
                    true => Grade::right(sum),
                    false => Grade::wrong(vec![sum]),
                }
            }
            (_, Answer::Pick(place)) => match self.choices().get(*place) {
                Some(choice) => self.grade_claim(head, &choice.claim),
                None => Grade::wrong(vec!["there is no such choice".to_owned()]),
            },
            _ => Grade::wrong(vec!["this is no answer to this exercise".to_owned()]),
        }
    }

    fn grade_claim(&self, head: &mut TestHead, claim: &Claim) -> Grade {
        let mode = head.mode.clone();
        match (&self.task, claim) {
            (Task::What { slots, slot, .. }, Claim::Does(claimed)) => {
                let outcome = head.outcome(slots);
                let right = head.outcome(claimed).near(&outcome, 1.0);
                let place = mode.channel_at(*slot).map(|(channel, _)| channel);
                let does = place.and_then(|place| head.channel_words(place, slots));
                let value = super::head::byte(slots, *slot);
                Grade {
                    right,
                    said: vec![format!("slot {slot} at {value}: {}", does.unwrap_or_default())],
                }
            }
            (Task::Which { before, seen, .. }, Claim::Slot(slot)) => {
                let was = head.outcome(before);
                let found = (0..=255u8).find(|value| {
                    let mut slots = before.clone();
                    super::head::put(&mut slots, &[*slot], u32::from(*value));
                    let outcome = head.outcome(&slots);
                    let same = |f: &Facet| outcome.facet(f.part).is_some_and(|o| f.near(o, 1.0));
                    seen.iter().all(same)
                        && outcome
                            .differing(&was, super::make::CLEARLY)
                            .iter()
                            .all(|f| seen.iter().any(|s| s.part == f.part))
                });
                let name = mode.channel_at(*slot).and_then(|(c, _)| mode.channels.get(c));
                let name = name.map_or("nothing", |channel| channel.name.as_str());
                match found {
                    Some(value) => {
                        Grade::right(format!("slot {slot} ({name}) does that, at {value}"))
                    }
                    None => Grade::wrong(vec![format!(
                        "slot {slot} is {name}: no value of it does that"
                    )]),
                }
            }
            (Task::Fault { frame, address, seen, lit, .. }, Claim::Fault(fault)) => {
                let Some(does) = fault::seen(head, frame, *address, fault) else {
                    return Grade::wrong(vec!["that cannot be wrong here".to_owned()]);
                };
                let shown = (seen.clone(), *lit);
                if !fault::differ(&does, &shown, 1.0) {
                    return Grade::right("that shows just what is seen");
                }
                let light = if does.1 { "it would give light" } else { "it would be dark" };
                let mut said = vec![light.to_owned()];
                let other = does.0.differing(seen, 1.0);
                let told = facet_words(&other, &mode);
                said.extend(told.into_iter().take(4).map(|words| format!("it would show {words}")));
                Grade::wrong(said)
            }
            _ => Grade::wrong(vec!["this is no answer to this exercise".to_owned()]),
        }
    }
}

/// Grades what the slots of the head do against what is wanted of it.
pub(super) fn grade_slots(head: &mut TestHead, wanted: &[Facet], slots: &[u8]) -> Grade {
    let outcome = head.outcome(slots);
    let mode = head.mode.clone();
    let mut said = Vec::new();
    let mut missed: Vec<Facet> = Vec::new();
    for facet in wanted {
        match outcome.facet(facet.part) {
            Some(there) if facet.near(there, 1.0) => {}
            Some(there) => missed.push(*there),
            None => said.push(format!("{}: nothing is asked of it", facet.part_words(&mode))),
        }
    }
    let asked: Vec<Facet> =
        wanted.iter().filter(|w| missed.iter().any(|m| m.part == w.part)).copied().collect();
    let (is, should) = (facet_words(&missed, &mode), facet_words(&asked, &mode));
    said.extend(is.into_iter().take(4).map(|words| format!("{words}, which is not what is asked")));
    said.extend(should.into_iter().take(4).map(|words| format!("asked: {words}")));
    if let Some(by) = &outcome.overridden {
        said.push(format!("something else takes over: {}", by.words()));
    }
    if !outcome.commands.is_empty() {
        said.push("a reset, lamp or switch command would act once it was held".to_owned());
    }
    if said.is_empty() && !head.gives_light(slots) {
        said.push("no light leaves the head".to_owned());
    }
    match said.is_empty() {
        true => Grade::right("the head does what is asked"),
        false => Grade::wrong(said),
    }
}

/// Switches that are on, as a sum: `1 + 4 + 16 = 21`.
fn switch_sum(on: &[bool; 9]) -> String {
    let weights = on.iter().enumerate().filter(|(_, on)| **on);
    let weights: Vec<String> = weights.map(|(i, _)| (1u16 << i).to_string()).collect();
    format!("{} = {}", weights.join(" + "), line::address(on))
}
