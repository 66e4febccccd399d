//! What holds of the answer for any profile, rig and frame.

use std::sync::Arc;

use proptest::prelude::*;
use slotwright::check::why::{Blocker, Moment, Verdict, Why};
use slotwright::motion::RigMotion;
use slotwright::profile::effect::{FilterName, ResetPart, Switch};
use slotwright::profile::{
    Channel, Condition, Curve, Effect, EvenIn, Lamp, Profile, Range, Shape, Source, Timing, Wheel,
    WheelSlot,
};
use slotwright::stage::Room;
use slotwright::wire::{Frame, SlotState};

use crate::heads::{Stage, birch, fixture, still};

/// A share of full in percent, often nothing or all.
fn percent() -> impl Strategy<Value = f64> + Clone {
    prop_oneof![Just(0.0), Just(100.0), 0.0..100.0f64]
}

/// Effects that let light through or hold it back, and some that do something worse where `rough`.
fn effect(rough: bool, emitters: bool) -> BoxedStrategy<Effect> {
    let pair = || (percent(), percent());
    let shapes =
        prop::sample::select(vec![Shape::Hard, Shape::Swell, Shape::Opening, Shape::Closing]);
    let timings = prop::sample::select(vec![Timing::Even, Timing::Random, Timing::Burst]);
    let curves = prop::sample::select(vec![
        Curve::Unknown,
        Curve::Linear,
        Curve::Square,
        Curve::Table(vec![0.0, 0.0, 1.0]),
    ]);
    let filters =
        prop::sample::select(vec![FilterName::Cyan, FilterName::Magenta, FilterName::Yellow]);
    let wheels = || prop::sample::select(vec!["one".to_owned(), "two".to_owned()]);
    let level = (pair(), curves).prop_map(|(percent, curve)| Effect::Dimmer { percent, curve });
    let mut all: Vec<BoxedStrategy<Effect>> = vec![
        level.clone().boxed(),
        level.boxed(),
        Just(Effect::Shut).boxed(),
        Just(Effect::Open).boxed(),
        pair().prop_map(|percent| Effect::Iris { percent }).boxed(),
        (filters, pair()).prop_map(|(name, percent)| Effect::Filter { name, percent }).boxed(),
        (1..=4u8, pair()).prop_map(|(blade, percent)| Effect::Blade { blade, percent }).boxed(),
        (wheels(), 1..=4u16).prop_map(|(wheel, slot)| Effect::Slot { wheel, slot }).boxed(),
        (wheels(), (1.0..4.0f64, 1.0..4.0f64))
            .prop_map(|(wheel, slots)| Effect::Glide { wheel, slots })
            .boxed(),
        Just(Effect::Idle).boxed(),
        Just(Effect::Select).boxed(),
    ];
    if emitters {
        let names = prop::sample::select(vec!["red", "green", "blue", "white"]);
        let one = (names, pair())
            .prop_map(|(name, percent)| Effect::Emitter { name: name.to_owned(), percent });
        all.extend([one.clone().boxed(), one.clone().boxed(), one.boxed()]);
    }
    if rough {
        let strobe = (shapes, timings, (0.1..20.0f64, 0.1..20.0f64));
        all.extend([
            strobe
                .prop_map(|(shape, timing, hz)| Effect::Strobe {
                    hz,
                    shape,
                    timing,
                    even_in: EvenIn::Hz,
                })
                .boxed(),
            Just(Effect::Program { name: "own".to_owned() }).boxed(),
            Just(Effect::LampOff { hold_s: Some(1.0) }).boxed(),
            Just(Effect::LampOn { hold_s: None }).boxed(),
            Just(Effect::DarkWhileAiming).boxed(),
            Just(Effect::Reset { part: ResetPart::Whole, hold_s: Some(2.0), takes_s: None })
                .boxed(),
            Just(Effect::Latch { switch: Switch::DarkWhileWheels, on: true, hold_s: None }).boxed(),
            Just(Effect::Unknown).boxed(),
        ]);
    }
    prop::strategy::Union::new(all).boxed()
}

/// A channel of one or two slots, cut into ranges, some of which depend on the channel before it.
fn channel(nth: usize, rough: bool, emitters: bool) -> impl Strategy<Value = Channel> {
    let cut = (any::<u8>(), effect(rough, emitters), 0..6u8);
    let cells = prop::option::of(1..=2u16);
    (1..=2usize, prop::collection::vec(cut, 1..6), any::<u8>(), cells).prop_map(
        move |(width, mut cuts, default, cell)| {
            cuts.iter_mut().for_each(|cut| cut.0 &= !1);
            cuts.sort_by_key(|cut| cut.0);
            cuts.dedup_by_key(|cut| cut.0);
            let ends: Vec<u8> = cuts.iter().skip(1).map(|cut| cut.0 - 1).chain([255]).collect();
            let ranges = cuts.into_iter().zip(ends).filter(|((.., there), _)| *there != 0);
            let ranges = ranges.map(|((from, does, there), to)| Range {
                from: Some(from.into()),
                to: Some(to.into()),
                fine_from: None,
                fine_to: None,
                does,
                also: Vec::new(),
                label: String::new(),
                when: match there {
                    1 if nth > 0 => vec![Condition(format!("Channel {}", nth - 1), 0, 127)],
                    2 if nth > 0 => vec![Condition(format!("Channel {}", nth - 1), 100, 255)],
                    _ => Vec::new(),
                },
            });
            let ranges = ranges.collect();
            let default = u32::from(default) << (8 * (width - 1));
            Channel {
                name: format!("Channel {nth}"),
                at: vec![0; width],
                default,
                snap: false,
                cell,
                ranges,
            }
        },
    )
}

fn wheel(tints: bool) -> Wheel {
    let slots = match tints {
        true => vec![
            WheelSlot::Open,
            WheelSlot::Tint("red".into(), "#ff0000".into()),
            WheelSlot::Tint("blue".into(), "#0000ff".into()),
            WheelSlot::Tint("green".into(), "#00ff00".into()),
        ],
        false => vec![
            WheelSlot::Open,
            WheelSlot::Pattern("dots".into(), "dots".into()),
            WheelSlot::Blocked("blocked".into()),
            WheelSlot::Pattern("star".into(), "star".into()),
        ],
    };
    Wheel { move_s: None, shortest: None, slots }
}

/// A profile of one to five such channels, and what was sent to it.
fn head(rough: bool) -> impl Strategy<Value = (Arc<Profile>, Vec<u8>)> {
    let source = (any::<bool>(), any::<bool>(), any::<bool>());
    source.prop_flat_map(move |(emitters, cells, discharge)| {
        let channels: Vec<_> = (0..5).map(|nth| channel(nth, rough, emitters)).collect();
        let sent = prop_oneof![Just(0u8), Just(255u8), any::<u8>()];
        (channels, 1..=5usize, prop::collection::vec(sent, 1..=10)).prop_map(
            move |(mut channels, count, sent)| {
                channels.truncate(count);
                let mut next = 1;
                for channel in &mut channels {
                    channel.at = (next..).take(channel.at.len()).collect();
                    next += channel.at.len() as u16;
                    channel.cell = channel.cell.filter(|_| cells);
                }
                let mut profile = Profile::clone(&still(next - 1, "", ""));
                if emitters {
                    profile.source = birch().source.clone();
                } else if discharge && let Source::White { lamp, .. } = &mut profile.source {
                    *lamp = Lamp::Discharge;
                }
                if cells {
                    profile.cells = vec![(-0.1, 0.0), (0.1, 0.0)];
                }
                profile.wheels =
                    [("one".to_owned(), wheel(true)), ("two".to_owned(), wheel(false))].into();
                profile.modes[0].channels = channels;
                (Arc::new(profile), sent)
            },
        )
    })
}

fn moment(stage: &Stage) -> Moment<'_> {
    Moment { rig: &stage.rig, plan: &stage.plan, frames: &stage.frames, decoded: &stage.decoded }
}

/// Flux of all beams that leave the first fixture, in lumens.
fn beams_lm(stage: &Stage) -> f64 {
    let scene = stage.scene_in(&Room::default());
    let flux = scene.beams.iter().map(|beam| {
        beam.distribution.flux_lm((beam.rgb_cd * beam.mean_transmission()).luminance())
    });
    flux.sum()
}

/// A stage with some slots changed, as if a frame had carried them.
fn changed(profile: &Arc<Profile>, sent: &[u8], sets: &[(usize, u8)]) -> Stage {
    let mut stage = Stage::sent(profile, sent);
    for (slot, value) in sets {
        let slot = slotwright::wire::Slot::new(*slot as u16).unwrap();
        let levels = stage.frames.universe_mut(slotwright::wire::Universe::ONE);
        levels.put(slot, SlotState::Sent(*value));
    }
    stage.plan.decode(&stage.frames, &mut stage.decoded);
    stage
}

/// What has to hold of any answer.
fn check(stage: &Stage, why: &Why<'_>) -> Result<(), TestCaseError> {
    let flux_lm = beams_lm(stage);
    prop_assert!((why.flux_lm - flux_lm).abs() <= 1e-6 * flux_lm.max(1.0), "{flux_lm} {why:?}");
    let runs = why.pose.overridden_by.is_some();
    prop_assert_eq!(why.verdict == Verdict::Dark, flux_lm <= 0.0 && !runs, "{:?}", why.links);
    prop_assert_eq!(why.causes().is_empty(), why.verdict == Verdict::Lit);
    if why.verdict == Verdict::Dark {
        prop_assert!(why.first_block().is_some(), "{:?}", why.links);
    }
    if why.verdict == Verdict::Lit && why.blocking().next().is_none() {
        let through: f64 = why.links.iter().filter_map(|link| link.lets_through).product();
        prop_assert!((why.share() - through).abs() < 1e-9, "{} {:?}", why.share(), why.links);
    }
    for link in &why.links {
        prop_assert!(link.lets_through.is_none_or(|share| (0.0..=1.0).contains(&share)));
    }
    prop_assert!(!why.sentence().is_empty());
    let words: Vec<String> = why.causes().iter().map(|cause| why.because(cause)).collect();
    prop_assert!(words.iter().all(|words| !words.is_empty()), "{words:?}");
    why.near(&Room::default());
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn a_head_is_dark_if_and_only_if_no_light_leaves_it((profile, sent) in head(true)) {
        let stage = Stage::sent(&profile, &sent);
        let why = moment(&stage).settled(0).unwrap();
        check(&stage, &why)?;
        // The same over time, once everything has arrived.
        let motion =
            RigMotion::arrived(&stage.rig, &stage.plan, &stage.frames, &stage.decoded, 0.0);
        let moving = moment(&stage).at(0, motion.head(0).unwrap(), 0.0).unwrap();
        prop_assert_eq!(moving.verdict, why.verdict, "{:?} {:?}", moving.links, why.links);
    }

    #[test]
    fn a_mend_always_gives_light((profile, sent) in head(true)) {
        let stage = Stage::sent(&profile, &sent);
        let moment = moment(&stage);
        let why = moment.settled(0).unwrap();
        let Some(mend) = moment.mend(&why) else {
            prop_assert_eq!(why.verdict, Verdict::Lit);
            return Ok(());
        };
        if mend.blockers.contains(&Blocker::Nothing) {
            prop_assert!(mend.changes.is_empty());
            return Ok(());
        }
        let sets: Vec<(usize, u8)> =
            mend.changes.iter().map(|c| (c.slot.number() as usize, c.to)).collect();
        let after = changed(&profile, &sent, &sets);
        let lit = self::moment(&after).settled(0).unwrap();
        prop_assert_eq!(lit.verdict, Verdict::Lit, "{} -> {}", mend.words(), lit.sentence());
        prop_assert!((lit.flux_lm - mend.gives_lm).abs() < 1e-9);
        // None of its slots is needless.
        for nth in 0..sets.len() {
            let mut fewer = sets.clone();
            fewer.remove(nth);
            let less = changed(&profile, &sent, &fewer);
            let less = self::moment(&less).settled(0).unwrap();
            let lamp = less.pose.lamp != lit.pose.lamp;
            prop_assert!(less.verdict != Verdict::Lit || lamp, "{}", mend.words());
        }
    }

    #[test]
    fn no_single_slot_would_do_where_a_mend_takes_more((profile, sent) in head(false)) {
        let stage = Stage::sent(&profile, &sent);
        let moment = moment(&stage);
        let why = moment.settled(0).unwrap();
        let Some(mend) = moment.mend(&why).filter(|mend| mend.changes.len() != 1) else {
            return Ok(());
        };
        for slot in 1..=usize::from(profile.modes[0].slots) {
            for value in 0..=255 {
                let other = changed(&profile, &sent, &[(slot, value)]);
                let other = self::moment(&other).settled(0).unwrap();
                // What no range covers does nothing: that it then stands as it does at rest is a guess.
                if other.reading.channels().any(|channel| channel.in_gap()) {
                    continue;
                }
                prop_assert!(
                    other.verdict != Verdict::Lit,
                    "slot {slot} = {value} would do, not {}: {}", mend.words(), why.sentence()
                );
            }
        }
    }
}

#[test]
fn heads_of_one_rig_are_told_apart() {
    let profile = still(
        1,
        r#"(name: "Dimmer", at: [1], ranges: [(from: 0, to: 255, does: Dimmer(percent: (0.0, 100.0), curve: Linear))])"#,
        "",
    );
    let rig = (0..20).map(|i| fixture(&profile, i + 1, 1 + i as u16)).collect();
    let mut stage = Stage::of(std::slice::from_ref(&profile), rig);
    let levels: Vec<u8> = (0..20).map(|i| if i % 3 == 0 { 0 } else { 200 }).collect();
    stage.send(&Frame::levels(levels).unwrap());
    let dark: Vec<bool> = moment(&stage).all_settled().iter().flatten().map(Why::is_dark).collect();
    assert_eq!(dark, (0..20).map(|i| i % 3 == 0).collect::<Vec<bool>>());
}
