//! What heads do over time as people meet it: rows, jerks, cues that come too early, and what the shipped
//! profiles say of it. Worked examples on the neutral heads, unless a line says otherwise.

use std::collections::BTreeSet;
use std::sync::Arc;

use slotwright::decode::{Asked, AxisAsk};
use slotwright::motion::{LossPolicy, Part, compare, doings, now};
use slotwright::profile::{Effect, Library, Loss, Profile};
use slotwright::wire::Frame;

use crate::heads::{Stage, alder, fixture, still};
use crate::motion::{Course, alder_levels, alder_panned, near};

#[test]
fn of_heads_that_arrive_apart_the_slots_that_differ_are_named() {
    let rig = (0..4).map(|i| fixture(&alder(), i + 1, 1 + 16 * i as u16)).collect();
    let mut stage = Stage::of(&[alder()], rig);
    let frame = |deg: f64, last: u8| {
        let heads = [0, 0, 0, last].map(|speed| alder_panned(deg, &[(5, speed)]));
        heads.concat()
    };
    stage.send(&Frame::levels(frame(0.0, 120)).expect("64 slots"));
    let mut course = Course::of(stage);
    course.send(0.0, &frame(90.0, 120));
    let beside = |course: &Course, places: &[usize]| {
        let stage = &course.stage;
        compare(&course.motion, &stage.plan, &stage.frames, &stage.decoded, places)
            .expect("all are of one mode")
    };
    let name = |place: usize| format!("head {}", place + 1);
    let all = beside(&course, &[0, 1, 2, 3]);
    assert!(all.same_target);
    let arrivals = all.arrivals();
    let [(first_s, first), (last_s, last)] = arrivals.as_slice() else {
        panic!("two arrivals: {arrivals:?}")
    };
    assert_eq!((first.as_slice(), last.as_slice()), ([0, 1, 2].as_slice(), [3].as_slice()));
    assert!(last_s > first_s, "{arrivals:?}");
    assert_eq!(all.differ.iter().map(|d| d.offset).collect::<Vec<_>>(), [5]);
    let words = "they differ in `slot 5 Speed: 120 in head 4, 0 in the others`";
    assert_eq!(all.words(name), words);
    let pair = beside(&course, &[0, 3]).words(name);
    assert_eq!(pair, "they differ in `slot 5 Speed: 0 in head 1, 120 in head 4`");
    let alike = beside(&course, &[0, 1, 2]);
    assert!(alike.differ.is_empty() && alike.arrivals().len() == 1);
    assert!(alike.words(name).contains("not in the data; look at the head's own menu"));

    // Another colour has no part in how fast a head turns.
    let mut frame = frame(90.0, 0);
    frame[48 + 7] = 20;
    course.send(9.0, &frame);
    let coloured = beside(&course, &[0, 1, 2, 3]);
    assert!(!coloured.data_differs());
    let words = coloured.words(name);
    assert!(words.contains("only `slot 8 Colour`: the cause is not in the data"), "{words}");
    let stage = &course.stage;
    let one = compare(&course.motion, &stage.plan, &stage.frames, &stage.decoded, &[0]);
    assert_eq!(one, None, "one alone is beside nothing");
}

/// A head like ALDER-16 that pans by so many slots, from -270 to 270 degrees.
fn panning(slots: usize) -> Arc<Profile> {
    let at: Vec<String> = (1..=slots).map(|slot| slot.to_string()).collect();
    let pan = format!(
        r#"(name: "Pan", at: [{}], ranges: [(from: 0, to: 255, does: Pan(deg: (-270.0, 270.0)))]),"#,
        at.join(", ")
    );
    let head = alder().head.clone();
    Arc::new(Profile { head, ..Profile::clone(&still(slots as u16, &pan, "")) })
}

/// The levels of a pan of so many slots, nearest to an angle.
fn panned(slots: usize, deg: f64) -> Vec<u8> {
    let most = 256f64.powi(slots as i32) - 1.0;
    let value = ((deg + 270.0) / 540.0 * most).round() as u32;
    value.to_be_bytes()[4 - slots..].to_vec()
}

#[test]
fn a_step_of_one_slot_is_far_on_the_back_wall() {
    for (slots, step_deg, at_m, apart_m) in
        [(1, 2.118, 10.0, 0.37), (1, 2.118, 20.0, 0.74), (2, 0.008_24, 20.0, 0.0029)]
    {
        let profile = panning(slots);
        let middle = panned(slots, 1.0);
        let mut next = middle.clone();
        next[slots - 1] += 1;
        let deg = |levels: &[u8]| Course::arrived(&profile, levels).pose(0.0).pan_deg;
        let step = deg(&next) - deg(&middle);
        near(step, step_deg, step_deg * 1e-3);
        near(step.to_radians() * at_m, apart_m, apart_m * 0.02);
    }
}

#[test]
fn a_slow_move_in_one_slot_goes_by_jerks() {
    // 10 degrees in 20 s, 44 frames a second: 4.7 steps of one slot, one every 4.2 s; in two slots 880
    // frames of 1.4 counts.
    for (slots, hops, off_deg) in [(1, 4..=5, 1.0..1.2), (2, 870..=880, 0.0..0.03)] {
        let mut course = Course::arrived(&panning(slots), &panned(slots, 0.0));
        let mut sent = BTreeSet::new();
        let (mut worst_deg, frames) = (0f64, 880);
        for i in 0..=frames {
            let share = f64::from(i) / f64::from(frames);
            let (t_s, deg) = (20.0 * share, 10.0 * share);
            worst_deg = worst_deg.max((course.pose(t_s).pan_deg - deg).abs());
            let levels = panned(slots, deg);
            course.send(t_s, &levels);
            sent.insert(levels);
        }
        assert!(hops.contains(&(sent.len() - 1)), "{slots} slots: {} hops", sent.len() - 1);
        assert!(off_deg.contains(&worst_deg), "{slots} slots: {worst_deg} degrees off the line");
    }
}

#[test]
fn colours_that_pass_are_seen_only_through_an_open_shutter() {
    for (shutter, light) in [(40, 1.0), (0, 0.0)] {
        let mut course = Course::arrived(&alder(), &alder_levels(&[(7, shutter), (8, 16)]));
        course.send(0.0, &alder_levels(&[(7, shutter), (8, 64)]));
        for (t_s, place) in [(0.15, 3.0), (0.30, 4.0), (0.45, 5.0)] {
            let pose = course.pose(t_s);
            near(pose.wheels[0].place, place, 1e-9);
            assert_eq!(pose.light(), light, "shutter {shutter} at {t_s}");
        }
    }
}

#[test]
fn a_cue_that_comes_while_the_head_homes_is_told_how_early_it_is() {
    let mut course = Course::arrived(&alder(), &alder_panned(0.0, &[]));
    course.send(0.0, &alder_panned(0.0, &[(16, 205)]));
    course.send(9.0, &alder_panned(0.0, &[]));
    course.send(10.0, &alder_panned(90.0, &[]));
    let said = doings(course.head(), 10.0);
    assert_eq!(said[0].words, "reset: homing, 18.0 s left");
    assert_eq!(said[0].detail.as_deref(), Some("finding its first end"));
    assert!(said[1].words.starts_with("arrives in 1"), "{said:?}");
}

/// A head that has arrived does what every one of its channels asks, in the same words.
#[test]
fn what_has_arrived_is_told_as_it_was_asked() {
    let mut random = 11u32;
    let mut next = || {
        random = random.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (random >> 16) as u8
    };
    let (mut told, mut alike) = (0, 0);
    for profile in Library::embedded().profiles() {
        for mode in &profile.modes {
            let mut one = fixture(profile, 1, 1);
            one.mode.clone_from(&mode.name);
            for _ in 0..200 {
                let mut stage = Stage::of(std::slice::from_ref(profile), vec![one.clone()]);
                let levels: Vec<u8> = (0..mode.slots).map(|_| next()).collect();
                stage.send(&Frame::levels(levels).expect("at most 512 slots"));
                let course = Course::of(stage);
                let (reading, pose) = (course.stage.reading(0), course.pose(0.0));
                let asked = reading.asked();
                for channel in reading.channels() {
                    let Some(range) = channel.range.filter(|range| stands(&range.does, &asked))
                    else {
                        continue;
                    };
                    let Some(now) = now(course.head(), &pose, &reading, &channel, 0.0) else {
                        continue;
                    };
                    let name =
                        format!("{} {} {}", profile.model, channel.channel.name, range.label);
                    assert!(!now.differs, "{name}: asked {}, now {now:?}", channel.words());
                    told += 1;
                    alike += u32::from(now.words == channel.words());
                }
            }
        }
    }
    assert!(told > 10_000 && alike > told / 2, "{alike} of {told} in the same words");
}

/// Whether what an effect asks is one state that stays, and no other channel takes an axis away.
fn stands(effect: &Effect, asked: &Asked) -> bool {
    match effect.key() {
        "pan" => matches!(asked.pan, AxisAsk::To { .. }),
        "tilt" => matches!(asked.tilt, AxisAsk::To { .. }),
        key => {
            let states = "dimmer shut open strobe pulse emitter filter temperature zoom focus iris \
                          frost blade blade-turn frame-turn slot split glide turn";
            states.split_whitespace().any(|state| state == key)
        }
    }
}

// What the shipped profiles say is their own; that they say it is a rule of this program.
#[test]
fn every_shipped_model_gives_its_times_but_the_one_that_is_silent() {
    let mut losses = BTreeSet::new();
    for profile in Library::embedded().profiles() {
        let silent = profile.model == "M4 Scanner";
        for mode in &profile.modes {
            let mut one = fixture(profile, 1, 1);
            one.mode.clone_from(&mode.name);
            let stage = Stage::of(std::slice::from_ref(profile), vec![one]);
            let course = Course::of(stage);
            let model = course.head().model();
            let key = format!("{} {}: {:?}", profile.model, mode.name, model.assumed);
            assert_eq!(model.assumed.is_empty(), !silent, "{key}");
            assert!(!silent || model.is_estimate(Part::Lamp) && model.is_estimate(Part::Control));
            let follows = match &profile.on_loss.does {
                None => model.on_loss == LossPolicy::Hold,
                Some(Loss::Hold) => losses.insert("hold") || model.on_loss == LossPolicy::Hold,
                Some(Loss::Dark) => losses.insert("dark") || model.on_loss == LossPolicy::Dark,
                Some(Loss::Standby { .. }) => {
                    losses.insert("standby") || matches!(model.on_loss, LossPolicy::Standby { .. })
                }
            };
            assert!(follows && profile.on_loss.does.is_none() == silent, "{key}");
        }
    }
    assert_eq!(losses.len(), 3, "{losses:?}");
}
