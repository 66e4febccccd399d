//! The signal cut while timed frames play. Worked examples on the neutral heads.

use std::sync::Arc;

use slotwright::motion::{Cut, Playback, Pose, RigMotion};
use slotwright::profile::{Loss, OnLoss};
use slotwright::wire::{TimedFrames, parse_timed_frames};

use crate::heads::{ALDER_LIT, Stage, alder};

/// Pan changed every quarter of a second, for 20 s.
fn frames() -> Arc<TimedFrames> {
    let mut text = String::from("seconds,universe,slot,value\n");
    for i in 0..80u32 {
        text.push_str(&format!("{},1,1,{}\n", f64::from(i) / 4.0, i * 37 % 256));
    }
    Arc::new(parse_timed_frames(&text, None).expect("the timed frames read").timed)
}

fn dark_without_signal() -> Stage {
    let mut profile = alder();
    Arc::make_mut(&mut profile).on_loss = OnLoss { after_s: None, does: Some(Loss::Dark) };
    Stage::sent(&profile, &ALDER_LIT)
}

/// What plays from the start to a time with frames kept out from `cut.from_s` to `cut.to_s`.
fn played(stage: &Stage, timed: &TimedFrames, cut: Cut, t_s: f64) -> Pose {
    let mut frames = stage.frames.clone();
    let mut decoded = stage.plan.start();
    stage.plan.decode(&frames, &mut decoded);
    let mut motion = RigMotion::arrived(&stage.rig, &stage.plan, &frames, &decoded, 0.0);
    let mut is_back = false;
    for (at_s, changes) in timed.between(-1.0, t_s) {
        if at_s > cut.to_s && !is_back {
            motion.frame(cut.to_s, &stage.plan, &frames, &decoded);
            is_back = true;
        }
        for change in changes {
            frames.set(change.universe, change.slot, change.value);
        }
        stage.plan.decode(&frames, &mut decoded);
        if at_s <= cut.from_s || at_s > cut.to_s {
            motion.frame(at_s, &stage.plan, &frames, &decoded);
            if at_s == cut.from_s {
                motion.lost_everywhere(at_s);
            }
        }
    }
    if t_s >= cut.to_s && !is_back {
        motion.frame(cut.to_s, &stage.plan, &frames, &decoded);
    }
    motion.poses_at(t_s).remove(0).expect("the head has a profile")
}

#[test]
fn seeks_find_what_a_cut_left_of_the_frames() {
    let stage = dark_without_signal();
    let mut playback = Playback::new(frames(), &stage.rig, &stage.plan, &stage.frames);
    let cut = Cut { from_s: 4.0, to_s: 7.1 };
    for t_s in [cut.from_s, cut.to_s] {
        playback.seek(&stage.plan, t_s);
        playback.toggle_cut(&stage.plan);
    }
    assert_eq!(playback.cuts(), [cut]);
    let again = Playback::new(frames(), &stage.rig, &stage.plan, &stage.frames);
    let mut again = again.with_cuts(playback.cuts().to_vec());
    for t_s in [19.0, 3.9, 4.0, 5.0, 5.3, 7.0, 7.1, 7.2, 6.0, 12.0, 7.25, 0.0] {
        for playback in [&mut playback, &mut again] {
            playback.seek(&stage.plan, t_s);
            let pose = playback.poses().remove(0).expect("the head has a profile");
            assert_eq!(pose, played(&stage, playback.timed(), cut, t_s), "{t_s} s");
            let inside = (cut.from_s..cut.to_s).contains(&t_s);
            assert_eq!(playback.cut_since_s(), inside.then_some(cut.from_s), "{t_s} s");
            // 1.25 s is the time-out of a profile that gives none: the longest that ANSI E1.11 has a
            // receiver wait from break to break.
            let dark = (cut.from_s + 1.25..cut.to_s).contains(&t_s);
            assert_eq!(pose.light() > 0.0, !dark, "{t_s} s");
        }
    }
}

#[test]
fn a_cut_that_ends_where_it_begins_never_was() {
    let stage = dark_without_signal();
    let mut playback = Playback::new(frames(), &stage.rig, &stage.plan, &stage.frames);
    let never = playback.clone();
    playback.seek(&stage.plan, 3.0);
    playback.toggle_cut(&stage.plan);
    playback.toggle_cut(&stage.plan);
    assert_eq!((playback.cuts(), playback.cut_since_s()), (&[][..], None));
    for t_s in [3.0, 9.0, 2.0] {
        let mut never = never.clone();
        never.seek(&stage.plan, t_s);
        playback.seek(&stage.plan, t_s);
        assert_eq!(playback.poses(), never.poses(), "{t_s} s");
    }
}

#[test]
fn a_cut_that_is_made_earlier_takes_the_place_of_later_ones() {
    let stage = dark_without_signal();
    let mut playback = Playback::new(frames(), &stage.rig, &stage.plan, &stage.frames);
    for t_s in [9.0, 2.0] {
        playback.seek(&stage.plan, t_s);
        playback.toggle_cut(&stage.plan);
    }
    assert_eq!(playback.cuts(), [Cut { from_s: 2.0, to_s: f64::INFINITY }]);
    while playback.prepare(&stage.plan, 7) {}
    playback.seek(&stage.plan, 15.0);
    assert_eq!(playback.cut_since_s(), Some(2.0));
    assert_eq!(playback.poses()[0].as_ref().map(Pose::light), Some(0.0));
}
