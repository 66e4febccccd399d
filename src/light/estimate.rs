//! What of a fixture's light is an estimate: it was worked out from the table of assumptions, because
//! the profile does not say.

use crate::decode::{Asked, Command, CompiledMode, ShutterAsk};
use crate::motion::assumed::{FROST_DEG, LENS_DIAMETER_M, STROBE_DUTY};
use crate::profile::{Curve, Effect, Shape, WheelSlot};

/// What was assumed to work out the light that is asked for, in words: nothing is an estimate where
/// there are none.
pub fn estimates(mode: &CompiledMode, asked: &Asked) -> Vec<String> {
    let mut words = level_estimates(mode, asked);
    if asked.focus.is_some() && has_picture(mode) {
        let millimetres = LENS_DIAMETER_M * 1000.0;
        words.push(format!("blur out of focus is that of a lens of {millimetres} mm"));
    }
    if asked.frost.is_some_and(|frost| frost > 0.0) {
        words.push(format!("frost is taken to widen the beam by {FROST_DEG} deg when all in"));
    }
    words
}

/// Those of them on which it depends how much light there is, whatever it looks like.
pub fn level_estimates(mode: &CompiledMode, asked: &Asked) -> Vec<String> {
    let mut words = Vec::new();
    if takes_curve_for_linear(mode, asked) {
        words.push("the dimmer's curve is not given and taken as linear".to_owned());
    }
    let hard = |ask: &ShutterAsk| matches!(ask, ShutterAsk::Flash { shape: Shape::Hard, .. });
    if asked.cells.iter().any(|cell| hard(&cell.shutter)) {
        let percent = STROBE_DUTY * 100.0;
        words.push(format!("how long a flash lasts is not given and taken as {percent} % of it"));
    }
    words
}

/// Whether a dimmer of unknown curve drives the light, and no control channel has chosen one.
fn takes_curve_for_linear(mode: &CompiledMode, asked: &Asked) -> bool {
    let chosen = asked.commands.iter().rev().find_map(|command| match command {
        Command::UseCurve { curve, .. } => Some(curve),
        _ => None,
    });
    match chosen {
        Some(curve) => *curve == Curve::Unknown,
        None => mode
            .channels
            .iter()
            .flat_map(|channel| &channel.ranges)
            .flat_map(|range| range.effects())
            .any(|effect| matches!(effect, Effect::Dimmer { curve: Curve::Unknown, .. })),
    }
}

/// Whether anything can stand in the beam that focus makes sharp.
fn has_picture(mode: &CompiledMode) -> bool {
    let slots = mode.profile.wheels.values().flat_map(|wheel| &wheel.slots);
    slots.into_iter().any(|slot| {
        matches!(slot, WheelSlot::Pattern(..) | WheelSlot::Animation(..) | WheelSlot::Blocked(_))
    })
}
