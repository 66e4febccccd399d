//! Going to any instant of a run, against playing every packet up to it.

use proptest::prelude::*;
use slotwright::cue::{
    Course, Cue, CueList, Movement, MovementKind, Next, Scrub, Time, Times, Wave,
};
use slotwright::motion::{Pose, RigMotion};

use super::{Rehearsal, cue};

fn poses_by_every_packet(rehearsal: &Rehearsal, t_s: f64) -> Vec<Option<Pose>> {
    let run = rehearsal.run();
    let (plan, rig) = (&rehearsal.plan, &rehearsal.rig);
    let frames = run.tracks().at_rest();
    let mut decoded = plan.start();
    plan.decode(&frames, &mut decoded);
    let mut motion = RigMotion::arrived(rig, plan, &frames, &decoded, 0.0);
    let mut course = Course::new(run.clone());
    let mut packet = 0;
    while run.packet_at_s(packet) <= t_s {
        course.step(packet);
        plan.decode(course.frames(), &mut decoded);
        motion.frame(run.packet_at_s(packet), plan, course.frames(), &decoded);
        packet += 1;
    }
    motion.advance(t_s);
    motion.poses_at(t_s)
}

fn near(a: &Pose, b: &Pose) -> bool {
    let close = |a: f64, b: f64| (a - b).abs() < 1e-6;
    let light = a.cells.iter().zip(&b.cells).all(|(a, b)| close(a.light, b.light));
    let wheels = a.wheels.iter().zip(&b.wheels).all(|(a, b)| close(a.place, b.place));
    close(a.pan_deg, b.pan_deg) && close(a.tilt_deg, b.tilt_deg) && light && wheels
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    #[test]
    fn any_instant_is_as_if_every_packet_had_been_played(
        cues in prop::collection::vec((0u32..=100, -200i32..200, 0u32..30, 0u32..20, 0u32..3), 1..24),
        second in prop::collection::vec((0u32..=100, 0u32..20), 0..4),
        swings in any::<bool>(),
        seeks in prop::collection::vec(0.0f64..1.2, 1..6),
        ahead in 0usize..400,
    ) {
        let mut main: Vec<Cue> = Vec::new();
        for (nth, (level, pan, fade, wait, next)) in (1u32..).zip(cues) {
            let level = format!("{level} %");
            let colour = format!("c{}", 1 + nth % 7);
            let mut cue = cue(&nth.to_string(), &[
                (1, "Dimmer", &level), (1, "Pan", &format!("{pan} deg")), (1, "Colour", &colour),
                (3, "Red", &level), (1, "Shutter", if nth % 3 == 0 { "5 Hz" } else { "open" }),
            ]);
            cue.times = Times { all: Time { fade_s: f64::from(fade) / 10.0, delay_s: f64::from(wait) / 20.0 }, ..Times::default() };
            cue.next = match next { 0 => Next::Go, 1 => Next::Follow(0.3), _ => Next::Wait(f64::from(wait) / 10.0) };
            cue.stands_s = Some(0.4);
            main.push(cue);
        }
        if swings {
            main[0].movements = vec![Movement {
                fixtures: vec![1, 2, 3], kind: MovementKind::Circle, wave: Wave::Sine, hz: 0.4, size: 15.0, spread: 1.0,
            }];
        }
        let second = (1u32..).zip(second).map(|(nth, (level, wait))| {
            let mut cue = cue(&nth.to_string(), &[(1, "Dimmer", &format!("{level} %"))]);
            cue.next = Next::Wait(f64::from(wait) / 10.0);
            cue
        });
        let list = |name: &str, cues| CueList { name: name.to_owned(), cues, ..CueList::default() };
        let rehearsal = Rehearsal::with(vec![list("A", main), list("B", second.collect())]);
        let run = rehearsal.run();
        let mut scrub = Scrub::new(run.clone(), &rehearsal.rig, &rehearsal.plan);
        scrub.prepare(&rehearsal.plan, ahead);
        for share in seeks {
            let t_s = share.min(1.0) * run.end_s();
            scrub.seek(&rehearsal.plan, t_s);
            let expected = poses_by_every_packet(&rehearsal, t_s);
            for (a, b) in scrub.poses().iter().zip(&expected) {
                let (a, b) = (a.as_ref().unwrap(), b.as_ref().unwrap());
                prop_assert!(near(a, b), "at {} s: {:?} and not {:?}", t_s, a, b);
            }
        }
    }
}
