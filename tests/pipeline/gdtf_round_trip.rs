//! Generated profiles of all that the profile and a fixture description of DIN SPEC 15800 can both hold: each
//! comes back whole, with nothing to say but that drawings are written as pictures.

use std::collections::BTreeMap;

use proptest::prelude::*;
use slotwright::finding::Finding;
use slotwright::profile::model::max_value;
use slotwright::profile::{
    Axis, Channel, Condition, Curve, Effect, EvenIn, Head, Lamp, Profile, Range, Shape, Source,
    Timing, Wheel, WheelSlot,
};

use super::gdtf_export::{head, in_order, losses, same_channel, same_numbers, there_and_back};

/// Effects that the standard has attributes for.
fn effects() -> impl Strategy<Value = Effect> {
    let pair = (-200_000..200_000i32, -200_000..200_000i32);
    prop_oneof![
        Just(Effect::Open),
        Just(Effect::Shut),
        Just(Effect::Idle),
        pair.clone().prop_map(|(a, b)| Effect::FrameTurn { deg: thousandths(a, b) }),
        pair.clone().prop_map(|(a, b)| Effect::BladeTurn { blade: 2, deg: thousandths(a, b) }),
        pair.clone().prop_map(|(a, b)| Effect::Strobe {
            hz: thousandths(a.abs(), b.abs()),
            shape: Shape::Opening,
            timing: Timing::Random,
            even_in: EvenIn::Hz,
        }),
        pair.prop_map(|(a, b)| Effect::Zoom {
            deg: thousandths(100 + a.abs() / 2, 100 + b.abs() / 2)
        }),
        (0..=100u8, 0..=100u8).prop_map(|(a, b)| Effect::Frost { percent: (a.into(), b.into()) }),
    ]
}

fn thousandths(a: i32, b: i32) -> (f64, f64) {
    (f64::from(a) / 1000.0, f64::from(b) / 1000.0)
}

/// A channel of some width that starts at some slot, cut into ranges with gaps between them.
fn channel(number: u16) -> impl Strategy<Value = Channel> {
    let cut = (any::<u32>(), effects(), any::<bool>());
    (1..=4usize, prop::collection::vec(cut, 1..9), any::<u32>(), any::<bool>()).prop_map(
        move |(width, mut cuts, default, snap)| {
            let most = max_value(width);
            for cut in &mut cuts {
                // A range of one value has one physical value, and cannot hold a pair.
                cut.0 &= most & !1;
            }
            cuts.sort_by_key(|cut| cut.0);
            cuts.dedup_by_key(|cut| cut.0);
            let ends: Vec<u32> = cuts.iter().skip(1).map(|cut| cut.0 - 1).chain([most]).collect();
            let ranges = cuts.into_iter().zip(ends).filter(|((.., there), _)| *there);
            let ranges = ranges.enumerate().map(|(i, ((first, does, _), last))| Range {
                from: None,
                to: None,
                fine_from: Some(first.into()),
                fine_to: Some(last.into()),
                does,
                also: Vec::new(),
                label: if i % 2 == 0 { format!("range <{i}> & more") } else { String::new() },
                when: Vec::new(),
            });
            Channel {
                name: format!("Channel {number}"),
                at: (0..width as u16).map(|i| number * 4 + width as u16 - i).collect(),
                default: default & most,
                snap,
                cell: None,
                ranges: ranges.collect(),
            }
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn any_channels_come_back_as_they_were(a in channel(0), b in channel(1), c in channel(2)) {
        let mut was = head(12, "");
        was.modes[0].channels = vec![a, b, c];
        let slots = was.modes[0].channels.iter().flat_map(|channel| &channel.at).max().copied();
        was.modes[0].slots = slots.unwrap_or(0);
        let (back, _, findings) = there_and_back(&was);
        prop_assert_eq!(back.modes[0].channels.len(), 3);
        for (channel, other) in was.modes[0].channels.iter().zip(&back.modes[0].channels) {
            same_channel(channel, other, &channel.name, &findings);
        }
    }

    #[test]
    fn any_profile_that_both_can_hold_comes_back_whole(was in profile()) {
        let (back, _, findings) = there_and_back(&was);
        same_profile(&was, &back, &findings);
    }
}

#[track_caller]
fn same_profile(was: &Profile, back: &Profile, findings: &[Finding]) {
    assert_eq!(losses(findings), Vec::<String>::new());
    assert_eq!((&back.maker, &back.model, &back.body), (&was.maker, &was.model, &was.body));
    assert_eq!((&back.source, &back.optics), (&was.source, &was.optics));
    assert_eq!(back.cells, was.cells);
    for (name, wheel) in &was.wheels {
        same_wheel(wheel, &back.wheels[name], name);
    }
    assert_eq!(back.wheels.len(), was.wheels.len());
    match (&was.head, &back.head) {
        (Head::Moving { pan: a, tilt: b }, Head::Moving { pan: c, tilt: d })
        | (Head::Mirror { pan: a, tilt: b }, Head::Mirror { pan: c, tilt: d }) => {
            same_axis(a, c);
            same_axis(b, d);
        }
        (was, back) => assert_eq!(was, back),
    }
    for (mode, other) in was.modes.iter().zip(&back.modes) {
        assert_eq!((&mode.name, mode.slots), (&other.name, other.slots));
        assert_eq!(mode.channels.len(), other.channels.len());
        for (channel, other) in mode.channels.iter().zip(&other.channels) {
            same_channel(channel, other, &channel.name, findings);
            for (range, other) in in_order(channel).iter().zip(in_order(other)) {
                let (own, others) = (range.effects(), other.effects());
                assert_eq!(range.also.len(), other.also.len(), "{range:?} {other:?}");
                own.zip(others).for_each(|(a, b)| same_effect(a, b, &channel.name));
            }
        }
    }
}

/// Two slots have one edge, whichever is named first.
#[track_caller]
fn same_effect(was: &Effect, back: &Effect, at: &str) {
    match (was, back) {
        (Effect::Split { wheel: a, between }, Effect::Split { wheel: b, between: (c, d) }) => {
            assert!(a == b && (*between == (*c, *d) || *between == (*d, *c)), "{was:?} {back:?}");
        }
        (Effect::Dimmer { curve, .. }, Effect::Dimmer { curve: other, .. }) => {
            same_numbers(was, back, at);
            assert_eq!(curve, other, "{at}");
        }
        _ => same_numbers(was, back, at),
    }
}

#[track_caller]
fn near(a: f64, b: f64, at: &str) {
    assert!((a - b).abs() <= 2e-6 * a.abs().max(1.0), "{at}: {a} {b}");
}

#[track_caller]
fn same_axis(was: &Axis, back: &Axis) {
    near(was.travel_deg, back.travel_deg, "travel");
    for (a, b) in [(was.speed_deg_s, back.speed_deg_s), (was.accel_deg_s2, back.accel_deg_s2)] {
        assert_eq!(a.is_some(), b.is_some());
        near(a.unwrap_or(0.0), b.unwrap_or(0.0), "rate");
    }
}

#[track_caller]
fn same_wheel(was: &Wheel, back: &Wheel, name: &str) {
    assert_eq!(was.move_s.is_some(), back.move_s.is_some(), "{name}");
    near(was.move_s.unwrap_or(0.0), back.move_s.unwrap_or(0.0), name);
    assert_eq!(was.slots.len(), back.slots.len(), "{name}");
    for (slot, other) in was.slots.iter().zip(&back.slots) {
        match (slot, other) {
            (
                WheelSlot::Prism { name: a, facets, spread_deg },
                WheelSlot::Prism { name: b, facets: n, spread_deg: deg },
            ) => {
                assert_eq!((a, facets), (b, n));
                near(*spread_deg, *deg, name);
            }
            _ => assert_eq!(slot, other, "{name}"),
        }
    }
}

/// A profile with wheels of every kind of slot, cells, conditions, axes and curves, whose slots may go on
/// behind its last channel.
fn profile() -> impl Strategy<Value = Profile> {
    let parts = (wheels(), axes(), cells(), dependent(), 0..5u16);
    (parts, 1..400u32, any::<bool>()).prop_flat_map(
        |((wheels, head, cells, dependent, rest), size, light)| {
            let on_wheels: Vec<_> =
                wheels.iter().map(|(name, wheel)| on_wheel(name, wheel)).collect();
            (on_wheels, prop::collection::vec(curve(), cells.len()), any::<u64>()).prop_map(
                move |(on_wheels, curves, seed)| {
                    let mut was = head_with(&head);
                    was.wheels = wheels.clone();
                    was.cells = cells.clone();
                    was.body.size_m = light.then(|| (f64::from(size) / 100.0, 0.3, 0.25));
                    was.body.mass_kg = Some(f64::from(size) / 10.0);
                    was.optics.field_deg = 16.0 + f64::from(size) / 8.0;
                    was.source = Source::White {
                        flux_lm: f64::from(size) * 100.0,
                        cct_k: 3000.0 + f64::from(size),
                        lamp: [Lamp::Led, Lamp::Discharge, Lamp::Tungsten][size as usize % 3],
                    };
                    let mut channels = aims(&head);
                    channels.extend(dependent.clone());
                    channels.extend(on_wheels);
                    channels.extend(cell_dimmers(&curves));
                    place(&mut channels, seed);
                    was.modes[0].slots =
                        channels.iter().flat_map(|c| &c.at).max().unwrap_or(&0) + rest;
                    was.modes[0].channels = channels;
                    was
                },
            )
        },
    )
}

fn head_with(of: &Head) -> Profile {
    Profile { head: of.clone(), ..head(1, "") }
}

/// Gives channels their slots one behind another, some of them with their fine slots first.
fn place(channels: &mut [Channel], seed: u64) {
    let mut next = 1;
    for (i, channel) in channels.iter_mut().enumerate() {
        let width = channel.at.len() as u16;
        channel.at = (next..next + width).collect();
        if seed >> (i % 64) & 1 == 1 {
            channel.at.reverse();
        }
        next += width;
    }
}

fn axes() -> impl Strategy<Value = Head> {
    let axis = (1..1440u32, prop::option::of((1..900u32, prop::option::of(1..2000u32))));
    let axis = axis.prop_map(|(travel, rates)| Axis {
        travel_deg: f64::from(travel) / 2.0,
        speed_deg_s: rates.map(|(speed, _)| f64::from(speed)),
        accel_deg_s2: rates.and_then(|(_, accel)| accel).map(f64::from),
        endless: false,
    });
    (axis.clone(), axis, 0..3u8).prop_map(|(pan, tilt, kind)| match kind {
        0 => Head::Fixed,
        1 => Head::Moving { pan, tilt },
        _ => Head::Mirror { pan, tilt },
    })
}

/// Channels that aim over the whole travel, tilt falling.
fn aims(head: &Head) -> Vec<Channel> {
    let Some((pan, tilt)) = head.axes() else { return Vec::new() };
    let half = |axis: &Axis| axis.travel_deg / 2.0;
    let (pan, tilt) = (half(pan), half(tilt));
    vec![
        whole("Pan", 2, Effect::Pan { deg: (-pan, pan) }),
        whole("Tilt", 3, Effect::Tilt { deg: (tilt, -tilt) }),
    ]
}

fn whole(name: &str, width: usize, does: Effect) -> Channel {
    channel_of(name, width, vec![range_of((0, max_value(width)), does)])
}

fn channel_of(name: &str, width: usize, ranges: Vec<Range>) -> Channel {
    let at = vec![1; width];
    Channel { name: name.to_owned(), at, default: 0, snap: false, cell: None, ranges }
}

fn range_of((first, last): (u32, u32), does: Effect) -> Range {
    Range {
        from: None,
        to: None,
        fine_from: Some(first.into()),
        fine_to: Some(last.into()),
        does,
        also: Vec::new(),
        label: String::new(),
        when: Vec::new(),
    }
}

fn cells() -> impl Strategy<Value = Vec<(f64, f64)>> {
    let place = (-300..300i32, -50..50i32).prop_map(|(x, y)| thousandths(10 * x, 10 * y));
    prop_oneof![Just(Vec::new()), prop::collection::vec(place, 2..7)]
}

/// A dimmer for each cell, every other one falling.
fn cell_dimmers(curves: &[Curve]) -> Vec<Channel> {
    let dimmer = |(i, curve): (usize, &Curve)| {
        let percent = if i % 2 == 0 { (0.0, 100.0) } else { (100.0, 0.0) };
        let does = Effect::Dimmer { percent, curve: curve.clone() };
        let cell = Some(i as u16 + 1);
        Channel { cell, ..whole(&format!("Level {i}"), 1 + i % 2, does) }
    };
    curves.iter().enumerate().map(dimmer).collect()
}

fn curve() -> impl Strategy<Value = Curve> {
    let table = prop::collection::vec(0..=1000u32, 2..40)
        .prop_map(|levels| Curve::Table(levels.iter().map(|l| f64::from(*l) / 1000.0).collect()));
    prop_oneof![
        Just(Curve::Unknown),
        Just(Curve::Linear),
        Just(Curve::Square),
        Just(Curve::S),
        table
    ]
}

/// A channel that says what another means, and that other.
fn dependent() -> impl Strategy<Value = Vec<Channel>> {
    let group = || prop::collection::vec((0..128u32, effects()), 1..5);
    (1..=2usize, 1..250i64, group(), group(), any::<bool>()).prop_map(
        |(width, split, low, high, snap)| {
            let kind = |from: i64, to: i64, label: &str| Range {
                from: Some(from),
                to: Some(to),
                fine_from: None,
                fine_to: None,
                label: label.to_owned(),
                ..range_of((0, 0), Effect::Unknown)
            };
            let kinds = vec![kind(0, split, "low"), kind(split + 1, 255, "high")];
            let mut ranges = depending(low, (0, split));
            ranges.extend(depending(high, (split + 1, 255)));
            let chosen = channel_of("Kind", width, kinds);
            vec![chosen, Channel { snap, ..channel_of("Chosen", 1, ranges) }]
        },
    )
}

/// Ranges of even beginnings while `Kind` stands somewhere; every third is a gap.
fn depending(mut cuts: Vec<(u32, Effect)>, (from, to): (i64, i64)) -> Vec<Range> {
    cuts.sort_by_key(|cut| cut.0);
    cuts.dedup_by_key(|cut| cut.0);
    let begins: Vec<u32> = cuts.iter().map(|cut| 2 * cut.0).collect();
    let ends = begins.iter().skip(1).map(|next| next - 1).chain([255]);
    let made = cuts.into_iter().zip(ends).enumerate().filter(|(i, _)| i % 3 != 2);
    made.map(|(_, ((first, does), last))| Range {
        when: vec![Condition("Kind".to_owned(), from, to)],
        ..range_of((2 * first, last), does)
    })
    .collect()
}

/// A colour wheel, a pattern wheel, prisms and a wheel of moving textures.
fn wheels() -> impl Strategy<Value = BTreeMap<String, Wheel>> {
    let tint = (0..=255u8, 0..=255u8, 0..=255u8)
        .prop_filter("a colour that is neither white nor black", |(r, g, b)| {
            let (least, most) = (r.min(g).min(b), r.max(g).max(b));
            most - least > 40
        })
        .prop_map(|(r, g, b)| {
            WheelSlot::Tint("tint".to_owned(), format!("#{r:02x}{g:02x}{b:02x}"))
        });
    let blocked = Just(WheelSlot::Blocked("dark".to_owned()));
    let drawing = prop::sample::select(vec!["three-leaves", "dots", "bars", "rings", "star"]);
    let pattern = drawing.clone().prop_map(|d| WheelSlot::Pattern(format!("a {d}"), d.to_owned()));
    let texture = drawing.prop_map(|d| WheelSlot::Animation(format!("a {d}"), d.to_owned()));
    let prism = (1..9u8, 1..300u32).prop_map(|(facets, tenths)| WheelSlot::Prism {
        name: format!("{facets} facets"),
        facets,
        spread_deg: f64::from(tenths) / 10.0,
    });
    let colours = prop_oneof![tint.clone(), blocked.clone()];
    let patterns = prop_oneof![3 => pattern.clone(), 1 => blocked, 1 => tint];
    let textures = prop_oneof![texture.clone(), pattern.clone()];
    (
        wheel(colours, None),
        wheel(patterns, Some(pattern.boxed())),
        wheel(prism.clone(), Some(prism.boxed())),
        wheel(textures, Some(texture.boxed())),
    )
        .prop_map(|(colour, pattern, prism, texture)| {
            let named =
                [("colour", colour), ("pattern", pattern), ("prism", prism), ("texture", texture)];
            named.map(|(name, wheel)| (name.to_owned(), wheel)).into_iter().collect()
        })
}

/// A wheel that begins with an open slot, and may have to have a slot of its kind.
fn wheel(
    slot: impl Strategy<Value = WheelSlot>,
    needs: Option<BoxedStrategy<WheelSlot>>,
) -> impl Strategy<Value = Wheel> {
    let needs = needs.map_or(Just(None).boxed(), |needs| needs.prop_map(Some).boxed());
    (prop::collection::vec(slot, 1..6), needs, 50..2000u32).prop_map(|(slots, needs, ms)| Wheel {
        move_s: Some(f64::from(ms) / 1000.0),
        shortest: None,
        slots: [WheelSlot::Open].into_iter().chain(needs).chain(slots).collect(),
    })
}

/// A channel that moves a wheel in every way that the standard has for its kind; its first values select.
fn on_wheel(name: &str, of: &Wheel) -> impl Strategy<Value = Channel> + use<> {
    let name = name.to_owned();
    let count = of.slots.len() as u16;
    let (wheel, title) = (name.clone(), format!("The {name}"));
    let moves = (0..9u8, 1..=count, 1..20_000i32, 1..20_000i32, any::<bool>());
    let ranges = prop::collection::vec(moves, 1..9);
    (1..=2usize, ranges, any::<bool>()).prop_map(move |(width, moves, snap)| {
        let step = (max_value(width) / 16 + 1) & !1;
        let made = moves.iter().enumerate().map(|(i, (kind, slot, a, b, falling))| {
            let first = step * i as u32;
            let (a, b) = if *falling { (a.max(b), a.min(b)) } else { (a.min(b), a.max(b)) };
            let kind = if i == 0 { 0 } else { *kind };
            let (does, also) = movement(kind, &wheel, (*slot, count), thousandths(*a, *b));
            let label = if i % 2 == 0 { format!("part {i}") } else { String::new() };
            Range { label, also, ..range_of((first, first + step - 1), does) }
        });
        Channel { snap, ..channel_of(&title, width, made.collect()) }
    })
}

/// One way to move a wheel; selecting, where the standard has no such way for its kind.
fn movement(
    kind: u8,
    name: &str,
    (slot, count): (u16, u16),
    ends: (f64, f64),
) -> (Effect, Vec<Effect>) {
    let wheel = name.to_owned();
    let turns = name == "colour" || name == "pattern";
    let selects = Effect::Slot { wheel: wheel.clone(), slot };
    let even_in = EvenIn::Hz;
    let one = |effect: Effect| (effect, Vec::new());
    match kind {
        1 => one(Effect::Split { wheel, between: (slot, slot % count + 1) }),
        2 if turns => {
            let place =
                |share: f64| 1.0 + (share / 20.0 * f64::from(count) * 100.0).round() / 100.0;
            one(Effect::Glide { wheel, slots: (place(ends.0), place(ends.1)) })
        }
        3 if turns => one(Effect::Scroll { wheel, rpm: (ends.0, -ends.1), even_in }),
        4 if turns => one(Effect::Halt { wheel }),
        5 if name != "prism" => one(Effect::RandomSlots { wheel, hz: ends }),
        6 if name == "pattern" || name == "texture" => one(Effect::Shake { wheel, slot, hz: ends }),
        7 if name != "colour" => one(Effect::Turn { wheel, deg: (-ends.0, ends.1) }),
        8 if name != "colour" => {
            let spins = match slot % 2 {
                0 => Effect::Spin { wheel, rpm: (-ends.0, ends.1), even_in },
                _ => Effect::SpinStop { wheel },
            };
            (selects, vec![spins])
        }
        _ => one(selects),
    }
}
