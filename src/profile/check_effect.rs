//! Whether an effect makes sense on its fixture.

use super::effect::{Curve, Effect, EvenIn, Physical, Span};
use super::lint::kinds::{self, Kind};
use super::model::{Axis, Head, Profile};
use super::place::{Found, PathInFile};
use super::quantity::Unit;
use crate::finding::{Place, Severity, listed, nearest, number};

/// Where an effect stands: its path, and the words for its range.
#[derive(Clone, Copy)]
pub(super) struct EffectPlace<'a> {
    pub(super) path: &'a PathInFile,
    pub(super) item: &'a str,
}

/// Adds what there is to say about an effect to `found`.
pub(super) fn check_effect(
    profile: &Profile,
    at: EffectPlace<'_>,
    effect: &Effect,
    found: &mut Found,
) {
    let mut check = Check { profile, at, found };
    check.wheel(effect);
    if let Some(physical) = effect.physical() {
        check.physical(effect, physical);
    }
    check.aim(effect);
    check.parts(effect);
}

struct Check<'a> {
    profile: &'a Profile,
    at: EffectPlace<'a>,
    found: &'a mut Found,
}

impl Check<'_> {
    fn error(&mut self, kind: Kind, field: &str, what: impl Into<String>, mend: impl Into<String>) {
        self.push(kind, Severity::Error, self.at.path.field(field), what, mend);
    }

    fn warning(
        &mut self,
        kind: Kind,
        field: &str,
        what: impl Into<String>,
        mend: impl Into<String>,
    ) {
        self.push(kind, Severity::Warning, self.at.path.field(field), what, mend);
    }

    fn push(
        &mut self,
        kind: Kind,
        severity: Severity,
        path: PathInFile,
        what: impl Into<String>,
        mend: impl Into<String>,
    ) {
        self.found.push(path, kind.finding(severity, Place::item(self.at.item), what, mend));
    }

    fn wheel(&mut self, effect: &Effect) {
        let Some(name) = effect.wheel() else { return };
        let Some(wheel) = self.profile.wheels.get(name) else {
            let wheels = || self.profile.wheels.keys().map(String::as_str);
            let mend = match nearest(name, wheels()) {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("its wheels: {}", listed(wheels())),
            };
            self.error(
                kinds::REFERENCE,
                "wheel",
                format!("the profile has no wheel `{name}`"),
                mend,
            );
            return;
        };
        let count = wheel.slots.len();
        let field = if matches!(effect, Effect::Split { .. }) { "between" } else { "slot" };
        for slot in effect.wheel_slots() {
            if slot == 0 || usize::from(slot) > count {
                self.error(
                    kinds::WHEEL_SLOT,
                    field,
                    format!("the wheel `{name}` has no slot `{slot}`"),
                    format!("its slots are 1..{count}"),
                );
            }
        }
        if let Effect::Glide { slots, .. } = effect {
            // One past the last is the first again, a whole turn on.
            self.span("slots", *slots, 1.0, count as f64 + 1.0);
        }
    }

    fn physical(&mut self, effect: &Effect, physical: Physical) {
        let (field, least, most) = match (physical.unit, effect) {
            // A wheel's places are looked at with the wheel.
            (Unit::Slot, _) => return,
            (Unit::Degree, Effect::Zoom { .. }) => ("deg", 0.01, 179.9),
            (Unit::Degree, _) => ("deg", -100_000.0, 100_000.0),
            (Unit::Percent, _) => ("percent", 0.0, 100.0),
            (Unit::Hertz, _) => ("hz", 0.0, 1000.0),
            (Unit::Rpm, _) => ("rpm", -10_000.0, 10_000.0),
            (Unit::DegreePerSecond, _) => ("deg_s", 0.0, 100_000.0),
            (Unit::Second, _) => ("s", 0.0, 3600.0),
            (Unit::Kelvin, _) => ("k", 1000.0, 30_000.0),
        };
        self.span(field, physical.span, least, most);
        let (a, b) = physical.span;
        if physical.even_in == EvenIn::Seconds && a * b <= 0.0 {
            self.warning(
                kinds::PERIOD,
                "even_in",
                format!("a rate of `{}` to `{}` has no period at one end", number(a), number(b)),
                "it runs evenly in the rate instead",
            );
        }
    }

    /// Checks that both ends of a span are numbers between two bounds, both included.
    fn span(&mut self, field: &str, (a, b): Span, least: f64, most: f64) {
        for (i, value) in [a, b].into_iter().enumerate() {
            if !(least..=most).contains(&value) {
                self.push(
                    kinds::NUMBER,
                    Severity::Error,
                    self.at.path.field(field).index(i),
                    format!("`{}` makes no sense for `{field}`", number(value)),
                    format!("give a number from {least} to {most}"),
                );
            }
        }
    }

    fn aim(&mut self, effect: &Effect) {
        if !effect.aims() && !effect.paces_aim() {
            return;
        }
        let (pan, tilt) = match &self.profile.head {
            Head::Moving { pan, tilt } | Head::Mirror { pan, tilt } => (pan, tilt),
            Head::Fixed => {
                self.push(
                    kinds::CANNOT_AIM,
                    Severity::Warning,
                    self.at.path.clone(),
                    "nothing of this fixture can be aimed",
                    "give the profile a head that moves, or the range another effect",
                );
                return;
            }
        };
        match effect {
            Effect::Pan { deg } => self.travel("pan", *deg, pan),
            Effect::Tilt { deg } => self.travel("tilt", *deg, tilt),
            Effect::PanSpin { .. } if !pan.endless => self.not_endless("pan"),
            Effect::TiltSpin { .. } if !tilt.endless => self.not_endless("tilt"),
            _ => {}
        }
    }

    /// A range that asks for more than the axis has ends at its stop.
    fn travel(&mut self, axis: &str, (a, b): Span, has: &Axis) {
        let half = has.travel_deg / 2.0;
        // A hundredth of a degree is rounding in a manual.
        if !has.endless && a.abs().max(b.abs()) > half + 0.01 {
            self.warning(
                kinds::TRAVEL,
                "deg",
                format!("`({}, {})` asks for more than the {axis} axis has", number(a), number(b)),
                format!("its travel is -{half}..{half} deg"),
            );
        }
    }

    fn not_endless(&mut self, axis: &str) {
        self.warning(
            kinds::ENDLESS,
            "rpm",
            format!("the {axis} axis spins and is not said to be endless"),
            format!("set `endless: true` on the {axis} axis"),
        );
    }

    /// What an effect names beside wheels, and what it holds beside its physical pair.
    fn parts(&mut self, effect: &Effect) {
        match effect {
            Effect::Emitter { name, .. } => {
                let names = || self.profile.source.emitters().iter().map(|e| e.name.as_str());
                if !names().any(|known| known == name) {
                    let mend = match nearest(name, names()) {
                        Some(near) => format!("did you mean `{near}`?"),
                        None => format!("its emitters: {}", listed(names())),
                    };
                    self.error(
                        kinds::REFERENCE,
                        "name",
                        format!("the profile has no emitter `{name}`"),
                        mend,
                    );
                }
            }
            Effect::Blade { blade, .. } | Effect::BladeTurn { blade, .. }
                if !(1..=4).contains(blade) =>
            {
                self.error(
                    kinds::REFERENCE,
                    "blade",
                    format!("there is no blade `{blade}`"),
                    "1 is top, 2 right, 3 bottom, 4 left",
                );
            }
            Effect::Dimmer { curve, .. } | Effect::UseCurve { curve, .. } => self.curve(curve),
            Effect::Program { name } if name.trim().is_empty() => {
                self.error(
                    kinds::NO_NAME,
                    "name",
                    "the program has no name",
                    "give it the manual's name",
                );
            }
            _ => {}
        }
        let takes_s = if let Effect::Reset { takes_s, .. } = effect { *takes_s } else { None };
        for (field, value) in [("hold_s", effect.hold_s().flatten()), ("takes_s", takes_s)] {
            if value.is_some_and(|value| !(0.0..=3600.0).contains(&value)) {
                self.error(
                    kinds::NUMBER,
                    field,
                    format!("`{}` makes no sense for `{field}`", number(value.unwrap_or_default())),
                    "give seconds from 0 to 3600",
                );
            }
        }
    }

    fn curve(&mut self, curve: &Curve) {
        let Curve::Table(points) = curve else { return };
        if points.len() < 2 {
            self.error(
                kinds::NUMBER,
                "curve",
                "a curve of fewer than 2 points",
                "list light from 0 to full",
            );
        }
        if let Some(point) = points.iter().find(|point| !(0.0..=1.0).contains(*point)) {
            self.error(
                kinds::NUMBER,
                "curve",
                format!("`{}` is no share of light", number(*point)),
                "give 0..1",
            );
        }
    }
}
