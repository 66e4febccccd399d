//! What pieces of control channels do: nothing, resets, the lamp, curves.

use super::super::attributes::Named;
use super::effects::Maker;
use super::pieces::Piece;
use super::words::{says, says_nothing_happens};
use crate::profile::effect::{ResetPart, Switch};
use crate::profile::{Curve, Effect, Span};

/// Resets that have the aim in them; all others leave it.
const RESETS: [(&str, ResetPart); 4] = [
    ("FixtureGlobalReset", ResetPart::Whole),
    ("PositionReset", ResetPart::Aim),
    ("PanReset", ResetPart::Aim),
    ("TiltReset", ResetPart::Aim),
];

/// What a piece of a control channel does; `None` where that has no counterpart.
pub(super) fn effects(
    maker: &mut Maker<'_, '_>,
    piece: &Piece<'_>,
    named: Named,
    span: Span,
) -> Option<Vec<Effect>> {
    let name = named.attribute.name;
    let label = piece.label();
    if matches!(name, "NoFeature" | "Dummy") {
        return Some(vec![Effect::Idle]);
    }
    let is_control = named.attribute.feature == "Control.Control";
    if is_control && says_nothing_happens(label) {
        return Some(vec![Effect::Idle]);
    }
    if is_control && name.ends_with("Reset") {
        return Some(vec![reset(maker, name, piece, span)]);
    }
    let effect = match name {
        // A lamp goes out only where the file says so in so many words.
        "LampControl" if says(label, &["off"]) => Effect::LampOff { hold_s: None },
        "LampControl" if says(label, &["on", "strike"]) => Effect::LampOn { hold_s: None },
        "DimmerCurve" if says(label, &["linear"]) => {
            Effect::UseCurve { curve: Curve::Linear, hold_s: None }
        }
        "DimmerCurve" if says(label, &["square"]) => {
            Effect::UseCurve { curve: Curve::Square, hold_s: None }
        }
        "DimmerCurve" if says(label, &["s"]) => Effect::UseCurve { curve: Curve::S, hold_s: None },
        "DisplayIntensity" if says(label, &["on"]) => latch(Switch::Display, true),
        "DisplayIntensity" if says(label, &["off"]) => latch(Switch::Display, false),
        _ => return None,
    };
    Some(vec![effect])
}

fn latch(switch: Switch, on: bool) -> Effect {
    Effect::Latch { switch, on, hold_s: None }
}

/// A reset. Where a function for one stands at 0 throughout, nothing is reset there.
fn reset(maker: &mut Maker<'_, '_>, name: &str, piece: &Piece<'_>, span: Span) -> Effect {
    if span == (0.0, 0.0) {
        return Effect::Idle;
    }
    if piece.set.is_none() && !piece.function.sets.is_empty() {
        // Only the named parts of it are known to reset anything.
        let item = maker.item.clone();
        maker.said.note(&item, "values of a reset without a name", "they stand as unknown");
        return Effect::Unknown;
    }
    let part = RESETS.iter().find(|(reset, _)| *reset == name).map(|(_, part)| *part);
    Effect::Reset { part: part.unwrap_or(ResetPart::Effects), hold_s: None, takes_s: None }
}
