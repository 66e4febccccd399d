//! What is done to the asked pan and tilt before they reach the axes.

use crate::decode::{Asked, AxisAsk, Command};
use crate::profile::effect::Switch;
use crate::profile::{Axis, Profile};
use crate::rig::{Aim, InHead};

/// The head's own settings after a switch was set by a control channel.
pub(super) fn switched(in_head: &InHead, latched: impl Fn(Switch) -> Option<bool>) -> InHead {
    InHead {
        invert_pan: latched(Switch::InvertPan).unwrap_or(in_head.invert_pan),
        invert_tilt: latched(Switch::InvertTilt).unwrap_or(in_head.invert_tilt),
        ..*in_head
    }
}

/// How the commands that are asked for set a switch, once they were held long enough.
pub(super) fn latched_by(asked: &Asked, switch: Switch) -> Option<bool> {
    asked.commands.iter().rev().find_map(|command| match command {
        Command::Latch { switch: set, on, .. } if *set == switch => Some(*on),
        _ => None,
    })
}

/// What the two axes are asked, within their travel: swap, then invert, then offset. An invert set both
/// here and in the head's own menu undoes itself. An axis that cannot turn without end stays where it
/// is when asked to.
pub(super) fn aimed(
    profile: &Profile,
    aim: &Aim,
    in_head: &InHead,
    (mut pan_ask, mut tilt_ask): (AxisAsk, AxisAsk),
) -> Option<[AxisAsk; 2]> {
    let (pan, tilt) = profile.head.axes()?;
    if aim.swap != in_head.swap {
        let share = pan.travel_deg / tilt.travel_deg;
        if share.is_finite() && share > 0.0 {
            (pan_ask, tilt_ask) = (scaled(tilt_ask, share), scaled(pan_ask, 1.0 / share));
        }
    }
    Some([
        end_to_end(pan, pan_ask, aim.invert_pan != in_head.invert_pan, aim.pan_offset_deg),
        end_to_end(tilt, tilt_ask, aim.invert_tilt != in_head.invert_tilt, aim.tilt_offset_deg),
    ])
}

/// What the pan and the tilt channel would ask of a head that stands at these angles: offset, invert
/// and swap undone.
pub(super) fn unaimed(
    profile: &Profile,
    aim: &Aim,
    in_head: &InHead,
    (pan_deg, tilt_deg): (f64, f64),
) -> (f64, f64) {
    let sign = |invert: bool| if invert { -1.0 } else { 1.0 };
    let pan = sign(aim.invert_pan != in_head.invert_pan) * (pan_deg - aim.pan_offset_deg);
    let tilt = sign(aim.invert_tilt != in_head.invert_tilt) * (tilt_deg - aim.tilt_offset_deg);
    let share = profile.head.axes().map(|(pan, tilt)| pan.travel_deg / tilt.travel_deg);
    match share.filter(|share| share.is_finite() && *share > 0.0) {
        Some(share) if aim.swap != in_head.swap => (tilt * share, pan / share),
        _ => (pan, tilt),
    }
}

/// The position scaled; a rate stays what it is.
fn scaled(ask: AxisAsk, share: f64) -> AxisAsk {
    if let AxisAsk::To { deg } = ask { AxisAsk::To { deg: deg * share } } else { ask }
}

fn end_to_end(axis: &Axis, ask: AxisAsk, invert: bool, offset_deg: f64) -> AxisAsk {
    let sign = if invert { -1.0 } else { 1.0 };
    match ask {
        AxisAsk::To { deg } => AxisAsk::To { deg: within(axis, sign * deg + offset_deg) },
        AxisAsk::Spin { .. } if !axis.endless => AxisAsk::Stay,
        AxisAsk::Spin { rpm } => AxisAsk::Spin { rpm: sign * rpm },
        AxisAsk::Stay | AxisAsk::Unasked => ask,
    }
}

/// `deg` kept between the end stops. An end-stopped axis never wraps.
pub(super) fn within(axis: &Axis, deg: f64) -> f64 {
    if axis.endless || axis.travel_deg.is_nan() || axis.travel_deg <= 0.0 {
        return deg;
    }
    deg.clamp(-axis.travel_deg / 2.0, axis.travel_deg / 2.0)
}
