//! Travel and times out of the functions of channels.
//!
//! `RealFade` is the time from end to end, `RealAcceleration` that from rest to full speed. A move of a
//! length D at speed v and acceleration a takes D / v + v / a, so v is D over the difference of both
//! times, and a is v over the latter.

use super::super::attributes;
use super::super::description::ChannelFunction;
use super::super::said::Said;
use super::layout::Layout;
use super::wheel_effects::family;
use super::words::says;
use crate::profile::{Axis, Head, Profile, Times};

/// The axes that channels turn.
pub(super) fn head(modes: &[Layout<'_>], said: &mut Said) -> Head {
    let pan = axis(modes, "Pan", said);
    let tilt = axis(modes, "Tilt", said);
    if pan.is_none() && tilt.is_none() {
        return Head::Fixed;
    }
    let still = |axis: Option<Axis>, word: &str, said: &mut Said| {
        axis.unwrap_or_else(|| {
            said.note("head", format!("no channel turns {word}"), "it has next to no travel here");
            Axis { travel_deg: 0.01, speed_deg_s: None, accel_deg_s2: None, endless: false }
        })
    };
    let (pan, tilt) = (still(pan, "pan", said), still(tilt, "tilt", said));
    if modes.iter().any(turns_a_mirror) {
        let what = "channels of pan or tilt turn a part called a mirror";
        said.note("head", what, "taken as a mirror, with the angles as those of the light");
        return Head::Mirror { pan, tilt };
    }
    Head::Moving { pan, tilt }
}

/// Whether what pans or tilts is a mirror. The standard has no part of that kind, so that its name is
/// all there is to know it by.
fn turns_a_mirror(mode: &Layout<'_>) -> bool {
    mode.channels.iter().any(|placed| {
        let aims = |attribute: &str| {
            let named = attributes::find(attribute);
            named.is_some_and(|named| matches!(named.attribute.name, "Pan" | "Tilt"))
        };
        placed.channel.functions().any(|(_, function)| aims(function.attribute()))
            && says(placed.channel.geometry.as_deref().unwrap_or_default(), &["mirror"])
    })
}

fn functions<'a>(modes: &'a [Layout<'_>]) -> impl Iterator<Item = &'a ChannelFunction> {
    let channels = modes.iter().flat_map(|mode| &mode.mode.channels);
    channels.flat_map(|channel| channel.functions()).map(|(_, function)| function)
}

fn axis(modes: &[Layout<'_>], name: &str, said: &mut Said) -> Option<Axis> {
    let turns = |attribute: &str, function: &&ChannelFunction| {
        attributes::find(function.attribute()).is_some_and(|n| n.attribute.name == attribute)
    };
    let spins = format!("{name}Rotate");
    let endless = functions(modes).any(|function| turns(&spins, &function));
    let mut ends: Option<(f64, f64)> = None;
    let (mut speed, mut accel) = (None::<f64>, None::<f64>);
    for function in functions(modes).filter(|function| turns(name, function)) {
        let (a, b) = function.physical();
        let (low, high) = ends.unwrap_or((a, a));
        ends = Some((low.min(a).min(b), high.max(a).max(b)));
        let (v, acceleration) = rates(function, (b - a).abs());
        speed = speed.or(v);
        accel = accel.or(acceleration);
    }
    let Some((low, high)) = ends else {
        return endless.then_some(Axis {
            travel_deg: 360.0,
            speed_deg_s: None,
            accel_deg_s2: None,
            endless,
        });
    };
    let even = (low + high).abs() <= 0.01 * (high - low).abs();
    let travel_deg = if even { high - low } else { 2.0 * low.abs().max(high.abs()) };
    if !even {
        let what = format!("{} turns from {low} to {high} deg", name.to_lowercase());
        let mend =
            "its ends lie evenly about 0 here, so the travel is taken as twice the farther one";
        said.note("head", what, mend);
    }
    Some(Axis {
        travel_deg: super::round(travel_deg.clamp(0.01, 100_000.0)),
        speed_deg_s: speed,
        accel_deg_s2: accel,
        endless,
    })
}

/// Speed and acceleration of a function whose ends lie `length` apart.
fn rates(function: &ChannelFunction, length: f64) -> (Option<f64>, Option<f64>) {
    let sane = |rate: f64| (0.01..=1e6).contains(&rate).then(|| super::round(rate));
    let fade = function.real_fade_s.filter(|s| *s > 0.0);
    let gather = function.real_acceleration_s.filter(|s| *s > 0.0);
    match (fade, gather) {
        (Some(fade), Some(gather)) if fade > gather => {
            let speed = length / (fade - gather);
            (sane(speed), sane(speed / gather))
        }
        (Some(fade), _) => (sane(length / fade), None),
        (None, _) => (None, None),
    }
}

/// Puts the times of functions into a profile: those of its wheels and of what else moves.
pub(super) fn times(profile: &mut Profile, modes: &[Layout<'_>]) {
    let mut times = Times::default();
    for function in functions(modes) {
        let Some(fade) = function.real_fade_s.filter(|s| (1e-3..=3600.0).contains(s)) else {
            continue;
        };
        let Some(named) = attributes::find(function.attribute()) else { continue };
        let (a, b) = function.physical();
        if let Some((_, end)) = family(named) {
            match end {
                "" => wheel_time(profile, function, fade, |slots| slots - 1.0),
                "WheelIndex" if a != b => {
                    let turn = (b - a).abs() / 360.0;
                    wheel_time(profile, function, fade, |slots| slots * turn);
                }
                "Pos" if a != b => longest(&mut times.turn_s, fade * 360.0 / (b - a).abs()),
                _ => {}
            }
            continue;
        }
        let place = match named.attribute.name {
            "Zoom" | "ZoomModeSpot" | "ZoomModeBeam" => &mut times.zoom_s,
            "Focus(n)" => &mut times.focus_s,
            "Iris" => &mut times.iris_s,
            "Frost(n)" => &mut times.frost_s,
            "ColorSub_C" | "ColorSub_M" | "ColorSub_Y" => &mut times.filter_s,
            "Blade(n)A" | "Blade(n)Rot" | "ShaperRot" => &mut times.blade_s,
            "Dimmer" => &mut times.dimmer_s,
            _ => continue,
        };
        longest(place, fade);
    }
    profile.times = times;
}

fn longest(place: &mut Option<f64>, s: f64) {
    if s <= 3600.0 {
        *place = Some(super::round(place.unwrap_or(0.0).max(s)));
    }
}

/// The step of a wheel, of the time in which a function passes so many of its slots. The time of a
/// selecting function is that from its first slot to its last.
fn wheel_time(
    profile: &mut Profile,
    function: &ChannelFunction,
    fade: f64,
    passed: impl Fn(f64) -> f64,
) {
    let wheel = function.wheel.as_deref().and_then(|name| profile.wheels.get_mut(name));
    if let Some(wheel) = wheel.filter(|wheel| wheel.slots.len() > 1) {
        let step = fade / passed(wheel.slots.len() as f64);
        wheel.move_s = Some(super::round(step.min(60.0)));
    }
}
