//! Every range of every shipped profile: what it does is said in words and reaches the picture. The ranges
//! are the profiles' own; what is checked of them is a rule of this program, so no outside source is named.

use std::collections::BTreeSet;
use std::sync::Arc;

use glam::Vec2;
use slotwright::decode::split;
use slotwright::profile::{Library, Mode, Profile};
use slotwright::stage::{DrawOptions, MarkState, Rect, Room, Sheet, ViewKind, draw};
use slotwright::wire::{Frame, Slot, Universe};

use crate::heads::{Stage, fixture};

/// Everything that a profile can say a range does, by its stable name.
const EFFECTS: &[&str] = &[
    "pan",
    "tilt",
    "pan-spin",
    "tilt-spin",
    "pan-stop",
    "tilt-stop",
    "aim-rate",
    "aim-time",
    "aim-share",
    "aim-follow",
    "dark-while-aiming",
    "dark-while-wheels",
    "dimmer",
    "shut",
    "open",
    "strobe",
    "pulse",
    "random-strobe",
    "burst",
    "slot",
    "split",
    "glide",
    "shake",
    "scroll",
    "halt",
    "random-slots",
    "turn",
    "spin",
    "spin-stop",
    "emitter",
    "filter",
    "temperature",
    "zoom",
    "focus",
    "iris",
    "iris-pulse",
    "frost",
    "blade",
    "blade-turn",
    "frame-turn",
    "idle",
    "select",
    "reset",
    "lamp-on",
    "lamp-off",
    "latch",
    "use-curve",
    "program",
    "sound",
    "follow",
];

/// A fixture of this mode, alone at slot 1, every slot as it rests.
fn at_rest(profile: &Arc<Profile>, mode: &Mode) -> Stage {
    let mut fixture = fixture(profile, 1, 1);
    fixture.mode.clone_from(&mode.name);
    let mut stage = Stage::of(std::slice::from_ref(profile), vec![fixture]);
    let mut levels = vec![0; usize::from(mode.slots)];
    for channel in &mode.channels {
        let bytes = split(channel.default, channel.at.len());
        for (at, byte) in channel.at.iter().zip(bytes) {
            levels[usize::from(*at) - 1] = byte;
        }
    }
    stage.send(&Frame::levels(levels).expect("a mode of at most 512 slots"));
    stage
}

/// Sets a channel and whatever its range depends on.
fn set(stage: &mut Stage, mode: &Mode, channel: usize, range: usize, value: u32) {
    let channel = &mode.channels[channel];
    let mut slots: Vec<(u16, u8)> =
        channel.at.iter().copied().zip(split(value, channel.at.len())).collect();
    for condition in &channel.ranges[range].when {
        let master = mode.channel(&condition.0).expect("a channel of the mode");
        slots.push((master.at[0], condition.1 as u8));
    }
    for (at, byte) in slots {
        stage.frames.set(Universe::ONE, Slot::new(at).expect("1..512"), byte);
    }
    stage.plan.decode(&stage.frames, &mut stage.decoded);
}

/// The picture of the stage holds no number that is none, and no shape without a place.
#[track_caller]
fn check_picture(stage: &Stage, context: &str) {
    let room = Room::default();
    let scene = stage.scene_in(&room);
    for beam in &scene.beams {
        assert!(beam.cone.axis.is_finite() && beam.cone.half_angle_rad > 0.0, "{context}");
        assert!(beam.rgb_cd.0.iter().all(|cd| cd.is_finite() && *cd >= 0.0), "{context}");
    }
    let size = Vec2::new(640.0, 480.0);
    let views = Sheet::fit(&room, Rect::new(Vec2::ZERO, size), ViewKind::Side).views();
    let picture = draw(&scene, &views, size, &DrawOptions::default());
    for pane in &picture.panes {
        for glow in &pane.glows {
            assert!(glow.outline.iter().all(|point| point.is_finite()), "{context}");
        }
        assert!(pane.shapes.iter().all(|shape| shape.is_drawable()), "{context}");
    }
}

#[test]
fn every_range_of_every_shipped_mode_has_words_and_a_picture() {
    let mut shown = BTreeSet::new();
    for profile in Library::embedded().profiles() {
        for mode in &profile.modes {
            let rest = at_rest(profile, mode);
            for (c, channel) in mode.channels.iter().enumerate() {
                for (r, range) in channel.ranges.iter().enumerate() {
                    let (first, last) = range.bounds(channel.at.len()).expect("sound bounds");
                    let mut stage = Stage::of(std::slice::from_ref(profile), rest.rig.clone());
                    stage.frames = rest.frames.clone();
                    for value in [first, first + (last - first) / 2, last] {
                        set(&mut stage, mode, c, r, value);
                        let context =
                            format!("{} {} {} at {value}", profile.model, mode.name, channel.name);
                        let reading = stage.reading(0).channel(c).expect("the channel");
                        let got = reading.range.expect("the value lies in a range");
                        assert_eq!((got.first, got.last), (first, last), "{context}");
                        let words = reading.words();
                        assert!(!words.trim().is_empty() && !got.label.is_empty(), "{context}");
                        assert!(!words.contains("NaN") && !words.contains("inf"), "{context}");
                        check_picture(&stage, &context);
                    }
                    shown.extend(range.effects().map(|effect| effect.key()));
                }
            }
        }
    }
    let missing: Vec<&&str> = EFFECTS.iter().filter(|effect| !shown.contains(*effect)).collect();
    assert_eq!(missing, Vec::<&&str>::new(), "no shipped profile shows these");
}

#[test]
fn a_fixture_that_something_else_runs_shows_that_and_no_light() {
    let mut seen = 0;
    for profile in Library::embedded().profiles() {
        for mode in &profile.modes {
            for (c, channel) in mode.channels.iter().enumerate() {
                let runs = |key: &str| ["program", "sound", "follow"].contains(&key);
                let ranges = channel.ranges.iter().enumerate();
                for (r, range) in ranges.filter(|(_, range)| runs(range.does.key())) {
                    let mut stage = at_rest(profile, mode);
                    let (first, _) = range.bounds(channel.at.len()).expect("sound bounds");
                    set(&mut stage, mode, c, r, first);
                    let scene = stage.scene_in(&Room::default());
                    let state = &scene.marks[0].state;
                    assert!(
                        matches!(state, MarkState::Overridden(_)),
                        "{}: {state:?}",
                        profile.model
                    );
                    assert!(scene.beams.is_empty() && scene.marks[0].aim.is_none());
                    seen += 1;
                }
            }
        }
    }
    assert!(seen > 0, "no shipped profile has a program of its own");
}
