//! The pose of a fixture that has had all the time it needs.

use super::aimed::{aimed, latched_by, switched, within};
use super::assumed;
use super::pose::{CellPose, Flash, Lamp, Pose, WheelPose};
use crate::decode::{Asked, AxisAsk, CellAsk, Command, ShutterAsk, TurnAsk, WheelAsk, WheelPlace};
use crate::profile::{self, Profile, Source};
use crate::rig::{Aim, InHead};

/// What a fixture does once everything asked has arrived: axes and wheels stand where they were sent,
/// a lamp command was held long enough, a reset is over. What turns without end is caught at 0, and
/// flashes are shown by their mean, at this instant too.
///
/// An axis or wheel of which nothing is asked, or that is asked to stay where it is, stands as it
/// does at rest: where it was is not known without a history.
pub fn settle(profile: &Profile, aim: &Aim, in_head: &InHead, asked: &Asked) -> Pose {
    let [(pan_deg, pan_spin_rpm), (tilt_deg, tilt_spin_rpm)] = axes(profile, aim, in_head, asked);
    Pose {
        pan_deg,
        tilt_deg,
        pan_spin_rpm,
        tilt_spin_rpm,
        cells: asked.cells.iter().map(|cell| settle_cell(&profile.source, cell)).collect(),
        wheels: asked.wheels.iter().map(settle_wheel).collect(),
        zoom_deg: asked.zoom_deg,
        focus: asked.focus,
        iris: asked.iris.unwrap_or(1.0).clamp(0.0, 1.0),
        frost: asked.frost.unwrap_or(0.0).clamp(0.0, 1.0),
        blades: asked
            .blades
            .map(|blade| (blade.depth.unwrap_or(0.0), blade.turn_deg.unwrap_or(0.0))),
        frame_turn_deg: asked.frame_turn_deg.unwrap_or(0.0),
        lamp: lamp(&profile.source, asked),
        overridden_by: asked.overridden_by.clone(),
    }
}

/// Angles and spins of the two axes.
fn axes(profile: &Profile, aim: &Aim, in_head: &InHead, asked: &Asked) -> [(f64, f64); 2] {
    let in_head = switched(in_head, |switch| latched_by(asked, switch));
    let asks = aimed(profile, aim, &in_head, (asked.pan, asked.tilt));
    let (Some([pan, tilt]), Some(axes)) = (asks, profile.head.axes()) else {
        return [(0.0, 0.0); 2];
    };
    let settled = |axis, ask, offset_deg| match ask {
        AxisAsk::To { deg } => (deg, 0.0),
        AxisAsk::Spin { rpm } => (within(axis, offset_deg), rpm),
        AxisAsk::Stay | AxisAsk::Unasked => (within(axis, offset_deg), 0.0),
    };
    [settled(axes.0, pan, aim.pan_offset_deg), settled(axes.1, tilt, aim.tilt_offset_deg)]
}

fn settle_cell(source: &Source, ask: &CellAsk) -> CellPose {
    let level = ask.level.unwrap_or(1.0).clamp(0.0, 1.0);
    let (light, flash) = match ask.shutter {
        ShutterAsk::Unasked | ShutterAsk::Open => (level, None),
        ShutterAsk::Shut => (0.0, None),
        ShutterAsk::Flash { hz, shape, timing } => {
            (level * assumed::mean_light(shape, timing), Some(Flash { hz, shape, timing }))
        }
    };
    // A source whose mode drives none of its emitters runs them all.
    let driven = ask.emitters.iter().any(Option::is_some);
    let emitters = ask.emitters.iter().map(|level| match (level, driven) {
        (Some(level), _) => level.clamp(0.0, 1.0),
        (None, true) => 0.0,
        (None, false) => 1.0,
    });
    let emitters: Vec<f64> = emitters.collect();
    let dark = !source.emitters().is_empty() && emitters.iter().all(|level| *level == 0.0);
    let light = if dark { 0.0 } else { light };
    CellPose {
        light,
        instant: light,
        flash,
        emitters,
        filters: ask.filters.map(|share| share.unwrap_or(0.0).clamp(0.0, 1.0)),
        temperature_k: ask.temperature_k,
    }
}

fn settle_wheel(ask: &WheelAsk) -> WheelPose {
    let mut pose = WheelPose::REST;
    match ask.place {
        WheelPlace::At { place } => pose.place = place,
        WheelPlace::Shake { slot, hz } => (pose.place, pose.shake_hz) = (f64::from(slot), hz),
        WheelPlace::Scroll { rpm } => pose.scroll_rpm = rpm,
        WheelPlace::Unasked | WheelPlace::Stay | WheelPlace::Random { .. } => {}
    }
    match ask.turn {
        TurnAsk::To { deg } => pose.turn_deg = deg,
        TurnAsk::Spin { rpm } => pose.spin_rpm = rpm,
        TurnAsk::Unasked | TurnAsk::Stay => {}
    }
    pose
}

pub(super) fn lamp(source: &Source, asked: &Asked) -> Lamp {
    let Source::White { lamp: profile::Lamp::Discharge, .. } = source else { return Lamp::Ready };
    let commands = asked.commands.iter().rev();
    let mut lamps = commands.filter_map(|command| match command {
        Command::Lamp { on, .. } => Some(*on),
        _ => None,
    });
    match lamps.next() {
        Some(true) => Lamp::On,
        Some(false) => Lamp::Off,
        None => Lamp::Unknown,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::profile::{Axis, Head, Optics};

    fn head() -> Profile {
        let axis =
            |travel_deg| Axis { travel_deg, speed_deg_s: None, accel_deg_s2: None, endless: false };
        Profile {
            maker: "Neutral".into(),
            model: "TEST".into(),
            revision: String::new(),
            provenance: Default::default(),
            body: Default::default(),
            head: Head::Moving { pan: axis(540.0), tilt: axis(270.0) },
            source: Source::White { flux_lm: 1000.0, cct_k: 6500.0, lamp: profile::Lamp::Led },
            optics: Optics { beam_deg: 10.0, field_deg: 14.0, peak_cd: None },
            wheels: Default::default(),
            times: Default::default(),
            on_loss: Default::default(),
            cells: Vec::new(),
            drawings: Default::default(),
            accepted: Vec::new(),
            modes: Vec::new(),
        }
    }

    #[track_caller]
    fn check(aim: Aim, in_head: InHead, pan_tilt: (f64, f64), expected: (f64, f64)) {
        let asked = Asked {
            pan: AxisAsk::To { deg: pan_tilt.0 },
            tilt: AxisAsk::To { deg: pan_tilt.1 },
            ..Asked::default()
        };
        let pose = settle(&head(), &aim, &in_head, &asked);
        assert_eq!((pose.pan_deg, pose.tilt_deg), expected);
    }

    #[test]
    fn inverting_twice_leaves_the_head_where_it_was() {
        let aim = Aim { invert_pan: true, ..Aim::default() };
        let in_head = InHead { invert_pan: true, ..InHead::default() };
        check(aim, InHead::default(), (30.0, 10.0), (-30.0, 10.0));
        check(aim, in_head, (30.0, 10.0), (30.0, 10.0));
    }

    #[test]
    fn swap_goes_by_share_of_travel_and_before_invert() {
        let aim = Aim { swap: true, invert_pan: true, ..Aim::default() };
        check(aim, InHead::default(), (270.0, 13.5), (-27.0, 135.0));
    }

    #[test]
    fn an_offset_never_passes_an_end_stop() {
        let aim = Aim { pan_offset_deg: 90.0, ..Aim::default() };
        check(aim, InHead::default(), (200.0, 0.0), (270.0, 0.0));
    }
}
