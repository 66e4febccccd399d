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
    asks: (AxisAsk, AxisAsk),
) -> Option<[AxisAsk; 2]> {
    let (pan, tilt) = profile.head.axes()?;
    let [asked_pan, asked_tilt] = Aiming::new(profile, aim, in_head).asks(asks);
    Some([end_to_end(pan, asked_pan), end_to_end(tilt, asked_tilt)])
}

/// What is done to what is asked of pan and tilt, worked out.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Aiming {
    /// What pan takes of tilt, and tilt of pan, where the two are swapped.
    swap: Option<(f64, f64)>,
    /// Sign and offset of pan and of tilt.
    turned: [(f64, f64); 2],
}

impl Aiming {
    pub(super) fn new(profile: &Profile, aim: &Aim, in_head: &InHead) -> Self {
        let share = profile.head.axes().map(|(pan, tilt)| pan.travel_deg / tilt.travel_deg);
        let share = share.filter(|share| share.is_finite() && *share > 0.0);
        let sign = |here: bool, in_head: bool| if here != in_head { -1.0 } else { 1.0 };
        Self {
            swap: share.filter(|_| aim.swap != in_head.swap).map(|share| (share, 1.0 / share)),
            turned: [
                (sign(aim.invert_pan, in_head.invert_pan), aim.pan_offset_deg),
                (sign(aim.invert_tilt, in_head.invert_tilt), aim.tilt_offset_deg),
            ],
        }
    }

    /// What is asked of the axes, not yet kept within their travel.
    pub(super) fn asks(&self, (mut pan, mut tilt): (AxisAsk, AxisAsk)) -> [AxisAsk; 2] {
        if let Some((of_tilt, of_pan)) = self.swap {
            (pan, tilt) = (scaled(tilt, of_tilt), scaled(pan, of_pan));
        }
        [turned(pan, self.turned[0]), turned(tilt, self.turned[1])]
    }
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

fn turned(ask: AxisAsk, (sign, offset_deg): (f64, f64)) -> AxisAsk {
    match ask {
        AxisAsk::To { deg } => AxisAsk::To { deg: sign * deg + offset_deg },
        AxisAsk::Spin { rpm } => AxisAsk::Spin { rpm: sign * rpm },
        AxisAsk::Stay | AxisAsk::Unasked => ask,
    }
}

fn end_to_end(axis: &Axis, ask: AxisAsk) -> AxisAsk {
    match ask {
        AxisAsk::To { deg } => AxisAsk::To { deg: within(axis, deg) },
        AxisAsk::Spin { .. } if !axis.endless => AxisAsk::Stay,
        ask => ask,
    }
}

/// `deg` kept between the end stops. An end-stopped axis never wraps.
pub(super) fn within(axis: &Axis, deg: f64) -> f64 {
    if axis.endless || axis.travel_deg.is_nan() || axis.travel_deg <= 0.0 {
        return deg;
    }
    deg.clamp(-axis.travel_deg / 2.0, axis.travel_deg / 2.0)
}
