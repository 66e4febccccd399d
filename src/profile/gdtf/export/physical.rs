//! Times, curves, emitters, weight and power.

use super::super::description::{
    DmxProfile, Emitter, Measurement, PhysicalDescriptions, PowerConsumption, ProfilePoint,
    Properties, Weight,
};
use super::super::values::CieColour;
use crate::profile::{Axis, Curve, Effect, Profile};

/// The curves that functions name.
#[derive(Clone, Debug, Default)]
pub(super) struct Curves(Vec<(Curve, String)>);

impl Curves {
    /// The name of the curve that an effect follows; `None` where it follows none that is known.
    pub(super) fn name(&mut self, effect: &Effect) -> Option<String> {
        let Effect::Dimmer { curve, .. } = effect else { return None };
        if *curve == Curve::Unknown {
            return None;
        }
        if let Some((_, name)) = self.0.iter().find(|(known, _)| known == curve) {
            return Some(name.clone());
        }
        let word = match curve {
            Curve::Unknown | Curve::Linear => "linear",
            Curve::Square => "square",
            Curve::S => "S",
            Curve::Table(_) => "table",
        };
        let name = format!("{word} {}", self.0.len() + 1);
        self.0.push((curve.clone(), name.clone()));
        Some(name)
    }

    fn profiles(&self) -> Vec<DmxProfile> {
        let profile = |(curve, name): &(Curve, String)| DmxProfile {
            name: Some(name.clone()),
            points: points(curve),
            ..DmxProfile::default()
        };
        self.0.iter().map(profile).collect()
    }
}

/// A curve in pieces, each a polynomial in percent (DIN SPEC 15800, table 24).
fn points(curve: &Curve) -> Vec<ProfilePoint> {
    let piece = |percent: f64, [c0, c1, c2, c3]: [f64; 4]| ProfilePoint {
        percent: Some(percent),
        cfc0: Some(c0),
        cfc1: Some(c1),
        cfc2: Some(c2),
        cfc3: Some(c3),
        ..ProfilePoint::default()
    };
    match curve {
        Curve::Unknown | Curve::Linear => vec![piece(0.0, [0.0, 1.0, 0.0, 0.0])],
        Curve::Square => vec![piece(0.0, [0.0, 0.0, 1e-2, 0.0])],
        Curve::S => vec![piece(0.0, [0.0, 0.0, 3e-2, -2e-4])],
        Curve::Table(light) => {
            let step = 100.0 / light.len().saturating_sub(1).max(1) as f64;
            let next = |i: usize| light.get(i + 1).or(light.last()).copied().unwrap_or(0.0);
            let pieces = light.iter().enumerate();
            pieces
                .map(|(i, y)| {
                    let rise = (next(i) - y) * 100.0 / step;
                    piece(i as f64 * step, [y * 100.0, rise, 0.0, 0.0])
                })
                .collect()
        }
    }
}

/// `RealFade` and `RealAcceleration` of a function, in seconds. A move of a length D at speed v and
/// acceleration a takes D / v + v / a, of which v / a is the gathering of speed.
pub(super) fn fade(profile: &Profile, effect: &Effect) -> (Option<f64>, Option<f64>) {
    let times = &profile.times;
    let axes = profile.head.axes();
    let s = match effect {
        Effect::Pan { deg } => return axes.map_or((None, None), |(pan, _)| axis(pan, *deg)),
        Effect::Tilt { deg } => return axes.map_or((None, None), |(_, tilt)| axis(tilt, *deg)),
        Effect::Dimmer { .. } => times.dimmer_s,
        Effect::Zoom { .. } => times.zoom_s,
        Effect::Focus { .. } => times.focus_s,
        Effect::Iris { .. } => times.iris_s,
        Effect::Frost { .. } => times.frost_s,
        Effect::Filter { .. } => times.filter_s,
        Effect::Blade { .. } | Effect::BladeTurn { .. } | Effect::FrameTurn { .. } => times.blade_s,
        Effect::Turn { deg: (a, b), .. } => times.turn_s.map(|s| s * (b - a).abs() / 360.0),
        Effect::Slot { wheel, .. } | Effect::Split { wheel, .. } => {
            let wheel = profile.wheels.get(wheel);
            wheel.and_then(|w| Some(w.move_s? * w.slots.len().saturating_sub(1) as f64))
        }
        Effect::Glide { wheel, slots: (a, b) } => {
            profile.wheels.get(wheel).and_then(|wheel| Some(wheel.move_s? * (b - a).abs()))
        }
        _ => None,
    };
    (s.filter(|s| *s > 0.0), None)
}

fn axis(axis: &Axis, (a, b): (f64, f64)) -> (Option<f64>, Option<f64>) {
    let Some(speed) = axis.speed_deg_s.filter(|speed| *speed > 0.0) else { return (None, None) };
    let gather = axis.accel_deg_s2.filter(|accel| *accel > 0.0).map(|accel| speed / accel);
    (Some((b - a).abs() / speed + gather.unwrap_or(0.0)), gather)
}

/// Emitters, curves, weight and power of a profile.
pub(super) fn descriptions(profile: &Profile, curves: &Curves) -> PhysicalDescriptions {
    let body = &profile.body;
    let mut properties = Properties::default();
    properties.weight.extend(body.mass_kg.map(|kg| Weight { kg: Some(kg), ..Weight::default() }));
    properties.power.extend(
        body.power_w
            .map(|watts| PowerConsumption { watts: Some(watts), ..PowerConsumption::default() }),
    );
    PhysicalDescriptions {
        emitters: emitters(profile),
        profiles: curves.profiles(),
        properties: vec![properties],
        ..PhysicalDescriptions::default()
    }
}

/// The emitters, with the mean intensity of each in the cone of the field.
fn emitters(profile: &Profile) -> Vec<Emitter> {
    let half_rad = (profile.optics.field_deg / 2.0).to_radians();
    let cone_sr = (std::f64::consts::TAU * (1.0 - half_rad.cos())).max(1e-9);
    let emitter = |emitter: &crate::profile::Emitter| Emitter {
        name: Some(emitter.name.clone()),
        color: Some(CieColour { x: emitter.xy.0, y: emitter.xy.1, luminance: 100.0 }),
        measurements: vec![Measurement {
            percent: Some(100.0),
            luminous_intensity_cd: Some(emitter.flux_lm / cone_sr),
            ..Measurement::default()
        }],
        ..Emitter::default()
    };
    profile.source.emitters().iter().map(emitter).collect()
}
