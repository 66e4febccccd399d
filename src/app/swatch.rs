//! The colour that a range gives white light, as a small sample: the one use of colour in a panel.

use egui::Color32;

use crate::decode::{CompiledMode, CompiledRange};
use crate::light::colour::{Rgb, Xy, cmy_transmission, white};
use crate::profile::effect::{Effect, FilterName, Span};
use crate::profile::model::{Source, WheelSlot};

/// What a sample shows along its range.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Swatch {
    /// One colour.
    Plain(Color32),
    /// Two, half and half.
    Pair(Color32, Color32),
    /// From the first value to the last.
    Ramp(Color32, Color32),
}

/// The sample of a range, or `None` where it says nothing about colour.
pub fn swatch(mode: &CompiledMode, range: &CompiledRange) -> Option<Swatch> {
    range.effects().find_map(|effect| match effect {
        Effect::Slot { wheel, slot } | Effect::Shake { wheel, slot, .. } => {
            Some(Swatch::Plain(tint(mode, wheel, *slot)?))
        }
        Effect::Split { wheel, between: (a, b) } => {
            Some(Swatch::Pair(tint(mode, wheel, *a)?, tint(mode, wheel, *b)?))
        }
        Effect::Emitter { name, percent } => {
            let emitter = mode.profile.source.emitters().iter().find(|e| e.name == *name)?;
            let (x, y) = emitter.xy;
            let full = brightest(Rgb::from_xyy(Xy { x, y }, 1.0).into_gamut());
            let at = |share: f64| Rgb(full.0.map(|c| c * share));
            Some(ramp(*percent, at))
        }
        Effect::Filter { name, percent } => Some(ramp(*percent, |share| match name {
            FilterName::Cyan => cmy_transmission(share, 0.0, 0.0),
            FilterName::Magenta => cmy_transmission(0.0, share, 0.0),
            FilterName::Yellow => cmy_transmission(0.0, 0.0, share),
        })),
        Effect::Temperature { k: (a, b) } => {
            let reference_k = match mode.profile.source {
                Source::White { cct_k, .. } => cct_k,
                Source::Emitters(_) => 6500.0,
            };
            let at = |k: f64| shown(brightest(white(k, reference_k).into_gamut()));
            Some(Swatch::Ramp(at(*a), at(*b)))
        }
        _ => None,
    })
}

/// The colour of a wheel's slot, on wheels that carry colours.
fn tint(mode: &CompiledMode, wheel: &str, slot: u16) -> Option<Color32> {
    let slots = &mode.profile.wheels.get(wheel)?.slots;
    let coloured = slots.iter().any(|slot| matches!(slot, WheelSlot::Tint(..)));
    match slots.get(usize::from(slot).checked_sub(1)?)? {
        WheelSlot::Tint(_, hex) => Rgb::from_hex(hex).map(shown),
        WheelSlot::Open if coloured => Some(shown(Rgb::WHITE)),
        _ => None,
    }
}

fn ramp((a, b): Span, at: impl Fn(f64) -> Rgb) -> Swatch {
    let colour = |percent: f64| shown(at((percent / 100.0).clamp(0.0, 1.0)));
    Swatch::Ramp(colour(a), colour(b))
}

/// The same colour at the greatest level that a screen can show.
fn brightest(colour: Rgb) -> Rgb {
    let peak = colour.0.into_iter().fold(0.0, f64::max);
    if peak > 0.0 { Rgb(colour.0.map(|c| c / peak)) } else { colour }
}

fn shown(colour: Rgb) -> Color32 {
    let [r, g, b] = colour.to_srgb8();
    Color32::from_rgb(r, g, b)
}
