//! What is wrong with a patch: heads that collide, that run past the end of their universe, or whose
//! settings here and in their own menu work against each other.

use std::collections::BTreeMap;

use super::fixture::{Address, Fixture};
use crate::finding::{Finding, Place, Severity};
use crate::profile::Mode;
use crate::wire::{SLOTS, Slot, Universe};

/// A finding about one fixture of a rig.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PatchFinding {
    /// Which fixture of the rig, from 0.
    pub fixture: usize,
    /// The field of the fixture that it is about, as a show file names it.
    pub field: &'static str,
    /// What there is to say.
    pub finding: Finding,
}

/// Everything there is to say about the addresses and settings of a rig.
///
/// `mode_of` gives the mode that a fixture is in. One whose mode is not to be had keeps its address and
/// counts as at least 1 slot: how many more it takes nobody can tell, and that is said of it. Two heads
/// on the same slots get a finding of severity `overlap`: a check calls that an error, while a show
/// that has one must still open.
pub fn check_patch<'p>(
    rig: &[Fixture],
    mode_of: &dyn Fn(&Fixture) -> Option<&'p Mode>,
    overlap: Severity,
) -> Vec<PatchFinding> {
    let mut findings = Vec::new();
    for (i, fixture) in rig.iter().enumerate() {
        match mode_of(fixture) {
            Some(mode) => past_the_end(i, fixture, mode, &mut findings),
            None => unknown_size(i, fixture, rig, &mut findings),
        }
        double_invert(i, fixture, &mut findings);
    }
    collisions(rig, mode_of, overlap, &mut findings);
    findings.sort_by_key(|finding| finding.fixture);
    findings
}

fn past_the_end(index: usize, fixture: &Fixture, mode: &Mode, findings: &mut Vec<PatchFinding>) {
    let Some(address) = fixture.address else { return };
    let lost = address.slots_lost(mode.slots);
    if lost == 0 {
        return;
    }
    let start = u32::from(address.slot.number());
    let lost_slots = mode.slots - lost + 1..=mode.slots;
    let words: Vec<String> = lost_slots
        .clone()
        .take(6)
        .map(|offset| {
            let would_be = start + u32::from(offset) - 1;
            match channel_at(mode, offset) {
                Some(name) => format!("slot {offset} `{name}` would be slot {would_be}"),
                None => format!("slot {offset} would be slot {would_be}"),
            }
        })
        .collect();
    let more = usize::from(lost).saturating_sub(words.len());
    let more = if more > 0 { format!(", and {more} more") } else { String::new() };
    let what = format!(
        "{} slots from {} run past the end of universe {}: {}{more}",
        mode.slots,
        address.slot,
        address.universe,
        words.join(", ")
    );
    let mend = match (SLOTS as u16 + 1).checked_sub(mode.slots) {
        Some(last @ 1..) => format!("its first slot can be 1..{last}"),
        _ => "this mode fits in no universe".to_owned(),
    };
    let finding = Finding::error(Place::item(fixture.words()), what, mend);
    findings.push(PatchFinding { fixture: index, field: "slot", finding });
}

/// How many slots there are from an address up to where the next fixture begins, which is given too, or up
/// to the end of the universe.
pub fn room_behind(address: Address, rig: &[Fixture]) -> (u16, Option<&Fixture>) {
    let starts = rig.iter().filter_map(|other| Some((other.address?, other)));
    let behind = starts.filter(|(other, _)| {
        other.universe == address.universe && other.slot.number() > address.slot.number()
    });
    match behind.min_by_key(|(other, _)| other.slot) {
        Some((next, other)) => (next.slot.number() - address.slot.number(), Some(other)),
        None => (SLOTS as u16 + 1 - address.slot.number(), None),
    }
}

/// Says of a fixture whose size is not known how much room it has before the next one begins.
fn unknown_size(
    index: usize,
    fixture: &Fixture,
    rig: &[Fixture],
    findings: &mut Vec<PatchFinding>,
) {
    let Some(address) = fixture.address else { return };
    let (room, next) = room_behind(address, rig);
    let up_to = match next {
        Some(other) => other.words(),
        None => format!("the end of universe {}", address.universe),
    };
    let slots = if room == 1 { "slot" } else { "slots" };
    let finding = Finding::note(
        Place::item(fixture.words()),
        format!(
            "it takes at least 1 slot, {} of universe {}: how many is not known without its mode",
            address.slot, address.universe
        ),
        format!("there is room for {room} {slots} up to {up_to}; compare that with its manual"),
    );
    findings.push(PatchFinding { fixture: index, field: "slot", finding });
}

fn double_invert(index: usize, fixture: &Fixture, findings: &mut Vec<PatchFinding>) {
    let twice = [
        ("pan is inverted", fixture.in_head.invert_pan && fixture.aim.invert_pan),
        ("tilt is inverted", fixture.in_head.invert_tilt && fixture.aim.invert_tilt),
        ("pan and tilt are swapped", fixture.in_head.swap && fixture.aim.swap),
    ];
    for (words, _) in twice.iter().filter(|(_, both)| *both) {
        let finding = Finding::warning(
            Place::item(fixture.words()),
            format!("{words} in the head's menu and here: the two undo each other"),
            "set it in one place",
        );
        findings.push(PatchFinding { fixture: index, field: "aim", finding });
    }
}

fn collisions<'p>(
    rig: &[Fixture],
    mode_of: &dyn Fn(&Fixture) -> Option<&'p Mode>,
    overlap: Severity,
    findings: &mut Vec<PatchFinding>,
) {
    // The first fixture that claimed each slot.
    let mut owners: BTreeMap<Universe, Box<[Option<usize>; SLOTS]>> = BTreeMap::new();
    for (i, fixture) in rig.iter().enumerate() {
        let Some(address) = fixture.address else { continue };
        let mode = mode_of(fixture);
        let owners = owners.entry(address.universe).or_insert_with(|| Box::new([None; SLOTS]));
        let mut met: BTreeMap<usize, Vec<Slot>> = BTreeMap::new();
        let least = mode.map_or(1, |mode| mode.slots);
        for slot in (1..=least).map_while(|offset| address.slot_at(offset)) {
            match owners[slot.index()] {
                Some(other) => met.entry(other).or_default().push(slot),
                None => owners[slot.index()] = Some(i),
            }
        }
        for (other, slots) in met {
            let other = &rig[other];
            let finding = if is_mirror(fixture, other) {
                mirrored(fixture, other)
            } else {
                collision(fixture, mode, other, mode_of(other), &slots, overlap)
            };
            findings.push(PatchFinding { fixture: i, field: "slot", finding });
        }
    }
}

/// Heads of one mode that start at one slot do the same, which is usually meant.
fn is_mirror(a: &Fixture, b: &Fixture) -> bool {
    a.address == b.address && a.profile == b.profile && a.mode == b.mode
}

fn mirrored(fixture: &Fixture, other: &Fixture) -> Finding {
    Finding::note(
        Place::item(fixture.words()),
        format!("it shares its address with {} and does what that one does", other.words()),
        "a mirrored pair; nothing to do if that is meant",
    )
}

fn collision(
    fixture: &Fixture,
    mode: Option<&Mode>,
    other: &Fixture,
    other_mode: Option<&Mode>,
    slots: &[Slot],
    severity: Severity,
) -> Finding {
    let (Some(first), Some(last)) = (slots.first(), slots.last()) else {
        return mirrored(fixture, other);
    };
    let name = |fixture: &Fixture, mode: Option<&Mode>, slot: Slot| {
        let start = fixture.address.map_or(0, |address| address.slot.number());
        let offset = (slot.number() + 1).saturating_sub(start);
        let name = mode.and_then(|mode| channel_at(mode, offset));
        name.map_or_else(|| format!("its slot {offset}"), |name| format!("`{name}`"))
    };
    let shown: Vec<String> = slots
        .iter()
        .take(4)
        .map(|slot| {
            let ours = name(fixture, mode, *slot);
            let theirs = name(other, other_mode, *slot);
            format!("slot {slot} is {ours} here and {theirs} there")
        })
        .collect();
    let more = slots.len() - shown.len();
    let mut more = if more > 0 { format!(", and {more} more") } else { String::new() };
    if mode.is_none() || other_mode.is_none() {
        more.push_str(", and maybe more, since the size of one is not known");
    }
    let universe = fixture.address.map_or(0, |address| address.universe.number());
    let run = if first == last {
        format!("slot {first} of universe {universe} belongs")
    } else {
        format!("slots {first}..{last} of universe {universe} belong")
    };
    Finding::new(
        severity,
        Place::item(fixture.words()),
        format!("{run} to {} too: {}{more}", other.words(), shown.join(", ")),
        "give one of the two another address",
    )
}

/// The channel that has a slot of the mode.
fn channel_at(mode: &Mode, offset: u16) -> Option<&str> {
    let channel = mode.channels.iter().find(|channel| channel.at.contains(&offset));
    channel.map(|channel| channel.name.as_str())
}

#[cfg(test)]
mod tests {
    use glam::DVec3;

    use super::*;
    use crate::profile::Channel;
    use crate::rig::{Address, Aim, Hang, InHead};

    fn mode(slots: u16) -> Mode {
        let channel = |(i, name): (usize, &&str)| Channel {
            name: (*name).to_owned(),
            at: vec![slots - 1 + i as u16],
            default: 0,
            snap: false,
            cell: None,
            ranges: Vec::new(),
        };
        let channels = ["Speed", "Control"].iter().enumerate().map(channel).collect();
        Mode { name: "full".to_owned(), slots, channels }
    }

    fn fixture(id: u32, slot: u16) -> Fixture {
        Fixture {
            id,
            label: format!("Spot {id}"),
            profile: "P".to_owned(),
            mode: "full".to_owned(),
            address: Slot::new(slot).map(|slot| Address { universe: Universe::ONE, slot }),
            at: DVec3::ZERO,
            hang: Hang::Hung,
            aim: Aim::default(),
            in_head: InHead::default(),
        }
    }

    #[track_caller]
    fn check(rig: &[Fixture], slots: u16, expected: &[&str]) {
        let mode = mode(slots);
        let findings = check_patch(rig, &|_| Some(&mode), Severity::Error);
        let lines: Vec<String> = findings.iter().map(|f| f.finding.to_string()).collect();
        assert_eq!(lines.len(), expected.len(), "{lines:#?}");
        for (line, expected) in lines.iter().zip(expected) {
            assert!(line.contains(expected), "{line}\nshould contain\n{expected}");
        }
    }

    #[test]
    fn heads_side_by_side_and_unpatched_ones_collide_with_nothing() {
        check(&[fixture(1, 1), fixture(2, 17), fixture(3, 0), fixture(4, 497)], 16, &[]);
    }

    #[test]
    fn an_overlap_names_both_heads_the_slots_and_the_channels() {
        check(
            &[fixture(1, 1), fixture(2, 16)],
            16,
            &[
                "fixture 2 \"Spot 2\": error: slot 16 of universe 1 belongs to fixture 1 \"Spot 1\" \
               too: slot 16 is its slot 1 here and `Control` there; give one",
            ],
        );
    }

    #[test]
    fn heads_of_one_mode_at_one_address_are_a_pair() {
        check(
            &[fixture(1, 9), fixture(2, 9)],
            16,
            &["fixture 2 \"Spot 2\": note: it shares its address with fixture 1 \"Spot 1\""],
        );
    }

    /// A fixture never wraps into the next universe (ANSI E1.11-2008: data slots 1..512).
    #[test]
    fn what_runs_past_the_end_is_named() {
        check(
            &[fixture(1, 498)],
            16,
            &[
                "error: 16 slots from 498 run past the end of universe 1: slot 16 `Control` would be \
               slot 513; its first slot can be 1..497",
            ],
        );
        check(&[fixture(1, 512)], 16, &["slot 7 would be slot 518, and 9 more"]);
    }

    /// A head without any description stays in the patch (common practice, no source).
    #[test]
    fn a_head_of_unknown_size_counts_as_at_least_one_slot() {
        let known = mode(16);
        let check = |rig: &[Fixture], expected: &[&str]| {
            let mode_of = |fixture: &Fixture| (fixture.profile == "P").then_some(&known);
            let findings = check_patch(rig, &mode_of, Severity::Error);
            let lines: Vec<String> = findings.iter().map(|f| f.finding.to_string()).collect();
            assert_eq!(lines.len(), expected.len(), "{lines:#?}");
            for (line, expected) in lines.iter().zip(expected) {
                assert!(line.contains(expected), "{line}\nshould contain\n{expected}");
            }
        };
        let unknown = |id, slot| Fixture { profile: "Q".to_owned(), ..fixture(id, slot) };
        let at_least = "note: it takes at least 1 slot, 17 of universe 1: how many is not known \
                        without its mode; there is room for ";
        let up_to = format!("{at_least}3 slots up to fixture 3 \"Spot 3\"");
        check(&[fixture(1, 1), unknown(2, 17), fixture(3, 20), fixture(4, 60)], &[&up_to]);
        let to_the_end = format!("{at_least}496 slots up to the end of universe 1");
        check(&[unknown(1, 17)], &[&to_the_end]);
        check(&[unknown(1, 0)], &[]);
        // Its one slot collides like any other, whichever comes first.
        let taken = "error: slot 17 of universe 1 belongs to fixture";
        let unsure = "and maybe more, since the size of one is not known; give one of the two";
        for rig in [[fixture(1, 9), unknown(2, 17)], [unknown(1, 17), fixture(2, 9)]] {
            let found = check_patch(
                &rig,
                &|fixture| (fixture.profile == "P").then_some(&known),
                Severity::Error,
            );
            let lines: Vec<String> = found.iter().map(|f| f.finding.to_string()).collect();
            assert_eq!(lines.len(), 2, "{lines:#?}");
            assert!(lines.iter().any(|line| line.contains(taken) && line.contains(unsure)));
        }
    }

    #[test]
    fn a_setting_made_twice_is_undone() {
        let mut twice = fixture(1, 1);
        twice.aim.invert_pan = true;
        twice.in_head.invert_pan = true;
        twice.in_head.swap = true;
        check(&[twice], 16, &["warning: pan is inverted in the head's menu and here"]);
    }
}
