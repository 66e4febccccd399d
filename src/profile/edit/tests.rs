//! Edits one by one, and any of them one after another.

use proptest::prelude::*;

use super::ranges::{edge_limits, layer, new_range};
use super::*;
use crate::profile::read::tests::SPOT;
use crate::profile::{Library, parse_profile, to_ron};

fn spot() -> Profile {
    parse_profile(SPOT, None, &|_| true).unwrap().0
}

const SHUTTER: ChannelAt = ChannelAt { mode: 0, channel: 1 };
const PATTERN: ChannelAt = ChannelAt { mode: 0, channel: 2 };
const PATTERN_TURN: ChannelAt = ChannelAt { mode: 0, channel: 3 };

/// Makes an edit that must work; the result must be readable.
#[track_caller]
fn done(profile: &Profile, edit: ProfileEdit) -> Profile {
    let mut edited = profile.clone();
    edit.apply(&mut edited, &|_| true).unwrap();
    assert_eq!(parse_profile(&to_ron(&edited), None, &|_| true).unwrap().0, edited);
    edited
}

/// An edit that must be refused with words that hold `why`, and change nothing.
#[track_caller]
fn refused(profile: &Profile, edit: ProfileEdit, why: &str) {
    let mut edited = profile.clone();
    let finding = edit.apply(&mut edited, &|_| true).unwrap_err();
    assert!(finding.to_string().contains(why), "{finding}");
    assert_eq!(&edited, profile);
}

fn ranges(profile: &Profile, at: ChannelAt) -> Vec<(u32, u32, &'static str)> {
    let channel = &profile.modes[at.mode].channels[at.channel];
    let width = channel.at.len();
    let all = channel.ranges.iter();
    all.map(|range| {
        let (first, last) = range.bounds(width).unwrap();
        (first, last, range.does.key())
    })
    .collect()
}

#[test]
fn a_boundary_moves_for_both_ranges_and_stops_before_one_vanishes() {
    let spot = spot();
    let edge = |edge, to| ProfileEdit::MoveEdge { at: SHUTTER.range(1), edge, to };
    let moved = done(&spot, edge(Edge::Last, 40));
    assert_eq!(ranges(&moved, SHUTTER)[1..3], [(16, 40, "open"), (41, 95, "strobe")]);
    let moved = done(&moved, edge(Edge::First, 10));
    assert_eq!(ranges(&moved, SHUTTER)[..2], [(0, 9, "shut"), (10, 40, "open")]);
    refused(&spot, edge(Edge::Last, 95), "from 16 to 94");
    refused(&spot, edge(Edge::First, 0), "from 1 to 31");
    let channel = &spot.modes[0].channels[1];
    assert_eq!(edge_limits(channel, 3, Edge::Last), Some((96, 255)));
}

#[test]
fn an_end_without_a_neighbour_moves_alone() {
    let spot = done(&spot(), ProfileEdit::RemoveRange(SHUTTER.range(1)));
    let first = ProfileEdit::MoveEdge { at: SHUTTER.range(1), edge: Edge::First, to: 20 };
    assert_eq!(ranges(&done(&spot, first), SHUTTER)[..2], [(0, 15, "shut"), (20, 95, "strobe")]);
}

#[test]
fn a_range_split_anywhere_and_merged_again_is_the_same() {
    let spot = spot();
    for value in [33, 64, 95] {
        let split = done(&spot, ProfileEdit::SplitRange { at: SHUTTER.range(2), value });
        assert_eq!(split.modes[0].channels[1].ranges.len(), 5);
        // What each value does is what it did.
        let at = |profile: &Profile, value: u32| {
            let channel = &profile.modes[0].channels[1];
            let within = |r: &&Range| r.bounds(1).is_some_and(|(a, b)| (a..=b).contains(&value));
            let range = channel.ranges.iter().find(within).unwrap();
            let (first, last) = range.bounds(1).unwrap();
            let share = f64::from(value - first) / f64::from((last - first).max(1));
            range.does.physical().unwrap().at(share)
        };
        for value in 32..=95 {
            assert!((at(&split, value) - at(&spot, value)).abs() < 1e-9, "{value}");
        }
        assert_eq!(done(&split, ProfileEdit::MergeRange(SHUTTER.range(2))), spot);
    }
    let outside = ProfileEdit::SplitRange { at: SHUTTER.range(2), value: 32 };
    refused(&spot, outside, "cannot be split at `32`");
    refused(&spot, ProfileEdit::MergeRange(SHUTTER.range(3)), "no range follows");
}

#[test]
fn bounds_are_written_as_coarse_values_where_these_say_it() {
    let tilt = ChannelAt { mode: 0, channel: 0 };
    let at = tilt.range(0);
    let coarse = done(&spot(), ProfileEdit::SplitRange { at, value: 0x4000 });
    let range = &coarse.modes[0].channels[0].ranges[0];
    assert_eq!((range.from, range.to, range.fine_to), (Some(0), Some(0x3f), None));
    let fine = done(&spot(), ProfileEdit::SplitRange { at, value: 0x4001 });
    let range = &fine.modes[0].channels[0].ranges[0];
    assert_eq!((range.from, range.to, range.fine_to), (Some(0), None, Some(0x4000)));
}

#[test]
fn ranges_that_depend_on_different_things_do_not_share_a_boundary() {
    let spot = spot();
    let channel = &spot.modes[0].channels[3];
    assert_eq!(layer(channel, 0), [(0, 0, 255)]);
    assert_eq!(layer(channel, 1), [(1, 0, 255)]);
}

#[test]
fn a_channel_that_is_renamed_is_renamed_where_it_is_depended_on() {
    let name = "Gobo".to_owned();
    let renamed = done(&spot(), ProfileEdit::RenameChannel { at: PATTERN, name });
    assert_eq!(renamed.modes[0].channels[3].ranges[1].when[0].0, "Gobo");
    let taken = ProfileEdit::RenameChannel { at: PATTERN, name: "Shutter".to_owned() };
    refused(&spot(), taken, "used twice");
    refused(&spot(), ProfileEdit::RemoveChannel(PATTERN), "`Pattern turn` depend on `Pattern`");
}

#[test]
fn what_was_accepted_goes_along_with_new_names() {
    let accepted = Accepted {
        code: "gap".to_owned(),
        at: "mode \"full\", channel \"Pattern\", range 2".to_owned(),
        reason: "so it is".to_owned(),
    };
    let mut spot = spot();
    spot.accepted = vec![accepted];
    let mut renamed = spot.clone();
    let edits = [
        ProfileEdit::RenameChannel { at: PATTERN, name: "Gobo".to_owned() },
        ProfileEdit::RenameMode { mode: 0, name: "long".to_owned() },
    ];
    for edit in edits {
        edit.apply(&mut renamed, &|_| true).unwrap();
    }
    assert_eq!(renamed.accepted[0].at, "mode \"long\", channel \"Gobo\", range 2");
}

#[test]
fn the_standby_look_follows_its_channels() {
    let text = SPOT.replace(
        "  modes: [(",
        "  on_loss: (does: Standby(values: {\"Shutter\": 24, \"Tilt\": 32768})),\n  modes: [(",
    );
    let spot = parse_profile(&text, None, &|_| true).unwrap().0;
    let values = |profile: &Profile| match &profile.on_loss.does {
        Some(crate::profile::Loss::Standby { values, .. }) => values.clone(),
        _ => panic!("a standby look"),
    };
    let name = "Gate".to_owned();
    let renamed = done(&spot, ProfileEdit::RenameChannel { at: SHUTTER, name });
    assert_eq!(values(&renamed)["Gate"], 24);
    let narrow = ProfileEdit::SetSlots { at: ChannelAt { mode: 0, channel: 0 }, slots: vec![1] };
    assert_eq!(values(&done(&renamed, narrow))["Tilt"], 128);
    let gone = done(&renamed, ProfileEdit::RemoveChannel(SHUTTER));
    assert!(!values(&gone).contains_key("Gate"));
}

#[test]
fn wheels_and_their_slots_take_their_ranges_along() {
    let spot = spot();
    let (from, to) = ("pattern".to_owned(), "gobo 1".to_owned());
    let renamed = done(&spot, ProfileEdit::RenameWheel { from, to });
    assert_eq!(renamed.modes[0].channels[2].ranges[0].does.wheel(), Some("gobo 1"));
    let wheel = || "pattern".to_owned();
    let slot = WheelSlot::Blocked("stop".to_owned());
    let added = done(&spot, ProfileEdit::AddWheelSlot { wheel: wheel(), at: 1, slot });
    assert_eq!(added.modes[0].channels[2].ranges[1].does.wheel_slots(), [3]);
    let moved = done(&added, ProfileEdit::MoveWheelSlot { wheel: wheel(), from: 2, to: 0 });
    let slots = |profile: &Profile, range: usize| {
        profile.modes[0].channels[2].ranges[range].does.wheel_slots()
    };
    assert_eq!((slots(&moved, 0), slots(&moved, 1)), (vec![2], vec![1]));
    let removed = done(&moved, ProfileEdit::RemoveWheelSlot { wheel: wheel(), at: 2 });
    assert_eq!(removed.wheels["pattern"].slots.len(), 2);
    let needed = ProfileEdit::RemoveWheelSlot { wheel: wheel(), at: 0 };
    refused(&removed, needed, "range 2 of the channel `Pattern` in the mode `full` needs");
    refused(&spot, ProfileEdit::RemoveWheel { name: wheel() }, "needs the wheel `pattern`");
}

#[test]
fn channels_without_gaps_stay_without_gaps() {
    let spot = spot();
    let at = |profile: &Profile| -> Vec<Vec<u16>> {
        profile.modes[0].channels.iter().map(|channel| channel.at.clone()).collect()
    };
    let moved = done(&spot, ProfileEdit::MoveChannel { at: SHUTTER, to: 0 });
    assert_eq!(at(&moved), [vec![1], vec![2, 3], vec![4], vec![5], vec![6]]);
    let removed = done(&moved, ProfileEdit::RemoveChannel(ChannelAt { mode: 0, channel: 1 }));
    assert_eq!(at(&removed), [[1], [2], [3], [4]]);
    assert_eq!(removed.modes[0].slots, 4);
    let channel = Box::new(Channel {
        name: "Iris".to_owned(),
        at: vec![5],
        default: 0,
        snap: false,
        cell: None,
        ranges: vec![new_range(0, 255, 1, Effect::Iris { percent: (100.0, 5.0) }, Vec::new())],
    });
    let place = ChannelAt { mode: 0, channel: 1 };
    let added = done(&removed, ProfileEdit::AddChannel { at: place, channel });
    assert_eq!(at(&added), [[1], [2], [3], [4], [5]]);
    assert_eq!((added.modes[0].slots, added.modes[0].channels[1].name.as_str()), (5, "Iris"));
}

#[test]
fn a_channel_of_another_width_keeps_what_its_coarse_slot_says() {
    let spot = spot();
    let tilt = ChannelAt { mode: 0, channel: 0 };
    let slots = vec![1, 2, 7];
    let wide = done(&spot, ProfileEdit::SetSlots { at: tilt, slots });
    let channel = &wide.modes[0].channels[0];
    assert_eq!((channel.default, wide.modes[0].slots), (0x80_0000, 7));
    let split = done(&wide, ProfileEdit::SplitRange { at: tilt.range(0), value: 0x12_3456 });
    let narrow = ProfileEdit::SetSlots { at: tilt, slots: vec![1] };
    // Both halves would hold the value 18.
    refused(&split, narrow.clone(), "belong");
    assert_eq!(done(&wide, narrow).modes[0].channels[0].default, 0x80);
}

#[test]
fn an_emitter_is_renamed_where_channels_name_it() {
    let wash = Library::embedded().get("Ockerwick W19 Wash").unwrap();
    let edit = ProfileEdit::RenameEmitter { emitter: 0, name: "ruby".to_owned() };
    let renamed = done(&wash, edit);
    assert!(to_ron(&renamed).contains("Emitter(name: \"ruby\""));
}

#[test]
fn what_a_file_could_not_hold_is_refused_and_a_broken_profile_can_be_mended() {
    let spot = spot();
    let optics = Optics { beam_deg: 20.0, field_deg: 17.0, peak_cd: None };
    refused(&spot, ProfileEdit::SetOptics(optics), "smaller than the beam angle");
    refused(&spot, ProfileEdit::SetCells(vec![(f64::NAN, 0.0)]), "makes no sense");
    refused(&spot, ProfileEdit::RemoveMode(0), "one mode at least");
    refused(&spot, ProfileEdit::SetLabel { at: PATTERN_TURN.range(9), label: String::new() }, "no");
    let mut broken = spot.clone();
    (broken.optics.field_deg, broken.modes[0].channels[2].default) = (1.0, 256);
    let optics = Optics { beam_deg: 13.0, field_deg: 17.0, peak_cd: None };
    ProfileEdit::SetOptics(optics).apply(&mut broken, &|_| true).unwrap();
    ProfileEdit::SetDefault { at: PATTERN, value: 0 }.apply(&mut broken, &|_| true).unwrap();
    assert_eq!(broken, spot);
}

/// Any edit, many of which cannot be made.
fn any_edit(profile: &Profile, (kind, a, b, c): (u8, u8, u8, u16)) -> ProfileEdit {
    let mode = usize::from(a) % profile.modes.len().max(1);
    let channels = profile.modes[mode].channels.len();
    let at = ChannelAt { mode, channel: usize::from(b) % (channels + 1) };
    let ranges = profile.modes[mode].channels.get(at.channel).map_or(1, |c| c.ranges.len() + 1);
    let range = at.range(usize::from(c) % ranges);
    let name = format!("name {}", c % 5);
    let (value, place) = (u32::from(c), usize::from(c % 7));
    let wheel = profile.wheels.keys().nth(usize::from(b) % 3).cloned().unwrap_or_default();
    let effect = kinds::KINDS[usize::from(c) % kinds::KINDS.len()].make(profile);
    let effect = effect.unwrap_or(Effect::Unknown);
    match kind % 26 {
        0 => ProfileEdit::RenameChannel { at, name },
        1 => ProfileEdit::MoveChannel { at, to: place },
        2 => ProfileEdit::RemoveChannel(at),
        3 => ProfileEdit::SetSlots { at, slots: (0..c % 5).map(|i| c % 20 + i).collect() },
        4 => ProfileEdit::SetDefault { at, value },
        5 => ProfileEdit::SetCell { at, cell: Some(c % 3) },
        6 => ProfileEdit::SplitRange { at: range, value: value % 300 },
        7 => ProfileEdit::MergeRange(range),
        8 => ProfileEdit::RemoveRange(range),
        9 => ProfileEdit::MoveEdge { at: range, edge: Edge::First, to: value % 300 },
        10 => ProfileEdit::MoveEdge { at: range, edge: Edge::Last, to: value },
        11 => ProfileEdit::SetEffects { at: range, effects: vec![effect; usize::from(a % 3)] },
        12 => ProfileEdit::SetWhen { at: range, when: vec![Condition(name, 0, i64::from(b))] },
        13 => ProfileEdit::AddRange {
            at,
            range: Box::new(new_range(value % 256, value % 256, 1, effect, Vec::new())),
        },
        14 => ProfileEdit::AddWheel { name },
        15 => ProfileEdit::RenameWheel { from: wheel, to: name },
        16 => ProfileEdit::RemoveWheel { name: wheel },
        17 => ProfileEdit::AddWheelSlot { wheel, at: place, slot: WheelSlot::Open },
        18 => ProfileEdit::RemoveWheelSlot { wheel, at: place },
        19 => ProfileEdit::MoveWheelSlot { wheel, from: place, to: usize::from(a % 5) },
        20 => ProfileEdit::AddMode { at: place, mode: Box::new(profile.modes[mode].clone()) },
        21 => ProfileEdit::RenameMode { mode, name },
        22 => ProfileEdit::SetModeSlots { mode, slots: c % 600 },
        23 => ProfileEdit::SetCells(vec![(f64::from(a), f64::from(b)); place]),
        24 => {
            ProfileEdit::SetDrawing { name, openings: vec![vec![(0.1, f64::from(b) / 200.0); 3]] }
        }
        _ => ProfileEdit::PackSlots { mode },
    }
}

proptest! {
    #[test]
    fn any_edits_leave_a_profile_that_reads_back_to_itself(
        start in 0usize..8,
        edits in prop::collection::vec(any::<(u8, u8, u8, u16)>(), 0..40),
    ) {
        let library: Vec<_> = Library::embedded().profiles().collect();
        let mut profile = Profile::clone(library[start % library.len()]);
        for edit in edits {
            let before = profile.clone();
            let edit = any_edit(&profile, edit);
            if edit.apply(&mut profile, &|_| true).is_err() {
                prop_assert_eq!(&profile, &before);
            }
        }
        let text = to_ron(&profile);
        let (again, _) = parse_profile(&text, None, &|_| true).unwrap();
        prop_assert_eq!(again, profile);
    }
}
