//! What stands in a beam: colour filters, patterns, iris and blades, as openings in the unit disc.
//!
//! The disc is the whole round aperture as the beam sees it, y up; its edge is the edge of the field.

use std::borrow::Cow;

use glam::DVec2;
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay as _;

use super::colour::{Rgb, cmy_transmission};
use super::cone::{circle, clip_half_plane};
use super::pattern;
use crate::motion::{Pose, WheelPose};
use crate::profile::{Profile, Wheel, WheelSlot};

/// Corners of a round edge that had to become a polygon.
const ROUND: usize = 40;

/// How far apart two neighbouring slots of a wheel sit, in radii of the aperture. A little more than
/// touching, so that the metal between them shows.
const SLOT_PITCH: f64 = 2.15;

/// A place between two slots this close to one of them is that slot.
const ON_SLOT: f64 = 1e-3;

/// One part of the aperture that lets light through.
#[derive(Clone, Debug, PartialEq)]
pub struct Opening {
    /// Its edge, a simple polygon in the unit disc; `None` is the whole round aperture.
    pub outline: Option<Vec<DVec2>>,
    /// What of the light gets through it, per channel of linear sRGB.
    pub transmission: Rgb,
}

impl Opening {
    /// Share of the disc that it covers.
    pub fn area_share(&self) -> f64 {
        match &self.outline {
            None => 1.0,
            Some(outline) => (pattern::signed_area(outline).abs() / std::f64::consts::PI).min(1.0),
        }
    }
}

/// What of the light gets through the whole aperture, on average.
pub fn mean_transmission(openings: &[Opening]) -> Rgb {
    openings
        .iter()
        .fold(Rgb::BLACK, |sum, opening| sum + opening.transmission * opening.area_share())
}

/// The openings that a pose leaves in a beam; none where it is blocked. `blur` runs from 0, every edge
/// sharp, to 1, where only an even patch of light of the same flux is left.
pub fn openings(profile: &Profile, pose: &Pose, filters: [f64; 3], blur: f64) -> Vec<Opening> {
    let [cyan, magenta, yellow] = filters;
    let transmission = cmy_transmission(cyan, magenta, yellow);
    let mut openings = vec![Opening { outline: None, transmission }];
    for (wheel, stands) in profile.wheels.values().zip(&pose.wheels) {
        tint(&mut openings, wheel, stands);
        if let Some(gates) = gates(profile, wheel, stands) {
            openings = intersect(openings, &gates);
        }
    }
    if pose.iris < 1.0 {
        let round: Vec<DVec2> = circle(ROUND).into_iter().map(|p| p * pose.iris).collect();
        openings = intersect(openings, &[round]);
    }
    for (side, blade) in pose.blades.iter().enumerate() {
        push_in(&mut openings, side, *blade, pose.frame_turn_deg);
    }
    blurred(openings, blur)
}

/// The two slots a wheel stands between and how far it is towards the second, 0..1.
fn between<'a>(
    wheel: &'a Wheel,
    stands: &WheelPose,
) -> Option<(&'a WheelSlot, &'a WheelSlot, f64)> {
    let count = wheel.slots.len();
    if count == 0 || !stands.place.is_finite() {
        return None;
    }
    let place = (stands.place - 1.0).rem_euclid(count as f64);
    let (low, share) = (place.floor(), place.fract());
    let low = (low as usize).min(count - 1);
    let next = (low + 1) % count;
    Some(match share {
        s if s < ON_SLOT => (&wheel.slots[low], &wheel.slots[low], 0.0),
        s if s > 1.0 - ON_SLOT => (&wheel.slots[next], &wheel.slots[next], 0.0),
        s => (&wheel.slots[low], &wheel.slots[next], s),
    })
}

/// Puts the filters of a wheel in. Between two slots, the edge between them stands in the light.
fn tint(openings: &mut Vec<Opening>, wheel: &Wheel, stands: &WheelPose) {
    let Some((low, high, share)) = between(wheel, stands) else { return };
    let (low, high) = (slot_colour(low), slot_colour(high));
    if low.is_none() && high.is_none() {
        return;
    }
    let (low, high) = (low.unwrap_or(Rgb::WHITE), high.unwrap_or(Rgb::WHITE));
    if share == 0.0 || low == high {
        for opening in openings {
            opening.transmission = opening.transmission * low;
        }
        return;
    }
    let edge = 1.0 - 2.0 * share;
    let mut parts = Vec::with_capacity(openings.len() * 2);
    for opening in openings.drain(..) {
        let outline = opening.outline.unwrap_or_else(|| circle(ROUND));
        for (normal, offset, colour) in [(DVec2::X, edge, low), (DVec2::NEG_X, -edge, high)] {
            let outline = clip_half_plane(&outline, normal, offset);
            if outline.len() >= 3 {
                let transmission = opening.transmission * colour;
                parts.push(Opening { outline: Some(outline), transmission });
            }
        }
    }
    *openings = parts;
}

fn slot_colour(slot: &WheelSlot) -> Option<Rgb> {
    match slot {
        WheelSlot::Tint(_, hex) => Rgb::from_hex(hex),
        _ => None,
    }
}

/// The openings a wheel leaves, or `None` where it leaves everything open.
fn gates(profile: &Profile, wheel: &Wheel, stands: &WheelPose) -> Option<Vec<Vec<DVec2>>> {
    let (low, high, share) = between(wheel, stands)?;
    let turn = DVec2::from_angle(stands.turn_deg.to_radians());
    let turned = |slot| {
        slot_gates(profile, slot).map(|gates| {
            let turn_all = |gate: &Vec<DVec2>| gate.iter().map(|p| turn.rotate(*p)).collect();
            gates.iter().map(turn_all).collect::<Vec<Vec<DVec2>>>()
        })
    };
    if share == 0.0 {
        return turned(low);
    }
    let (low, high) = (turned(low), turned(high));
    if low.is_none() && high.is_none() {
        return None;
    }
    let moved = |gates: Option<Vec<Vec<DVec2>>>, by: f64| {
        let gates = gates.unwrap_or_else(|| vec![circle(ROUND)]);
        let move_one =
            move |gate: Vec<DVec2>| gate.into_iter().map(|p| p + DVec2::X * by).collect();
        gates.into_iter().map(move_one).collect::<Vec<Vec<DVec2>>>()
    };
    let mut gates = moved(low, -SLOT_PITCH * share);
    gates.extend(moved(high, SLOT_PITCH * (1.0 - share)));
    let disc = [Opening { outline: None, transmission: Rgb::WHITE }];
    let inside = intersect(disc.into(), &gates);
    Some(inside.into_iter().filter_map(|opening| opening.outline).collect())
}

/// The openings of one slot, or `None` where it is wide open.
fn slot_gates<'a>(profile: &'a Profile, slot: &WheelSlot) -> Option<Cow<'a, [Vec<DVec2>]>> {
    match slot {
        WheelSlot::Open | WheelSlot::Tint(..) | WheelSlot::Prism { .. } => None,
        WheelSlot::Blocked(_) => Some(Cow::Owned(Vec::new())),
        WheelSlot::Pattern(_, name) | WheelSlot::Animation(_, name) => {
            if let Some(own) = profile.drawings.get(name) {
                let gate = |points: &Vec<(f64, f64)>| points.iter().map(|p| (*p).into()).collect();
                return Some(Cow::Owned(own.iter().map(gate).collect()));
            }
            pattern::drawing(name).map(|drawing| Cow::Borrowed(drawing.openings.as_slice()))
        }
    }
}

/// What is left of the openings behind a second set of them.
fn intersect(openings: Vec<Opening>, gates: &[Vec<DVec2>]) -> Vec<Opening> {
    let mut left = Vec::with_capacity(gates.len());
    for opening in openings {
        let transmission = opening.transmission;
        match opening.outline {
            None if gates.iter().flatten().all(|p| p.length_squared() <= 1.0 + 1e-9) => {
                let inside =
                    gates.iter().map(|gate| Opening { outline: Some(gate.clone()), transmission });
                left.extend(inside);
            }
            outline => {
                let subject = points(&outline.unwrap_or_else(|| circle(ROUND)));
                let clip: Vec<Vec<[f64; 2]>> = gates.iter().map(|gate| points(gate)).collect();
                let shapes = subject.overlay(&clip, OverlayRule::Intersect, FillRule::NonZero);
                // The overlap of two areas without holes has none, so each shape is one outline.
                left.extend(shapes.into_iter().filter_map(|shape| {
                    let outline = shape.into_iter().next()?.into_iter().map(DVec2::from).collect();
                    Some(Opening { outline: Some(outline), transmission })
                }));
            }
        }
    }
    left
}

fn points(outline: &[DVec2]) -> Vec<[f64; 2]> {
    outline.iter().map(|p| p.to_array()).collect()
}

/// Pushes a framing blade in from its side: 0 top, 1 right, 2 bottom, 3 left. Depth 1 reaches the
/// middle.
fn push_in(openings: &mut Vec<Opening>, side: usize, blade: (f64, f64), frame_turn_deg: f64) {
    let (depth, turn_deg) = blade;
    if depth.is_nan() || depth <= 0.0 {
        return;
    }
    let from_deg = 90.0 - 90.0 * side as f64 + frame_turn_deg;
    // A blade turns about the middle of its own edge, which lies on the line it is pushed in along.
    let along = DVec2::from_angle(from_deg.to_radians());
    let normal = DVec2::from_angle((from_deg + turn_deg).to_radians());
    let offset = (along * (1.0 - depth.min(1.0))).dot(normal);
    for opening in openings.iter_mut() {
        let outline = opening.outline.take().unwrap_or_else(|| circle(ROUND));
        opening.outline = Some(clip_half_plane(&outline, normal, offset));
    }
    openings.retain(|opening| opening.outline.as_ref().is_none_or(|outline| outline.len() >= 3));
}

/// Takes a share of the light out of the sharp openings and spreads it over the whole aperture.
fn blurred(mut openings: Vec<Opening>, blur: f64) -> Vec<Opening> {
    let sharp_round = openings.iter().all(|opening| opening.outline.is_none());
    if blur.is_nan() || blur <= 0.0 || sharp_round {
        return openings;
    }
    let blur = blur.min(1.0);
    let mut spread = Rgb::BLACK;
    for opening in &mut openings {
        spread = spread + opening.transmission * (opening.area_share() * blur);
        opening.transmission = opening.transmission * (1.0 - blur);
    }
    openings.retain(|opening| opening.transmission.is_light());
    openings.push(Opening { outline: None, transmission: spread });
    openings
}

#[cfg(test)]
mod tests {
    use super::*;

    fn area(openings: &[Opening]) -> f64 {
        openings.iter().map(Opening::area_share).sum()
    }

    fn round() -> Vec<Opening> {
        vec![Opening { outline: None, transmission: Rgb::WHITE }]
    }

    #[test]
    fn a_blade_at_the_middle_leaves_half() {
        for side in 0..4 {
            let mut openings = round();
            push_in(&mut openings, side, (1.0, 0.0), 0.0);
            assert!((area(&openings) - 0.5).abs() < 0.01, "{side}");
        }
    }

    #[test]
    fn two_patterns_leave_what_both_leave() {
        let left = clip_half_plane(&circle(ROUND), DVec2::X, 0.0);
        let top = clip_half_plane(&circle(ROUND), DVec2::NEG_Y, 0.0);
        let both = intersect(intersect(round(), &[left]), &[top]);
        assert_eq!(both.len(), 1);
        assert!((area(&both) - 0.25).abs() < 0.01);
    }

    #[test]
    fn a_place_between_two_tints_shows_both() {
        let tint_of = |hex: &str| WheelSlot::Tint("x".into(), hex.into());
        let slots = vec![tint_of("#ff0000"), tint_of("#0000ff")];
        let wheel = Wheel { move_s: None, shortest: None, slots };
        let mut openings = round();
        tint(&mut openings, &wheel, &WheelPose { place: 1.25, ..WheelPose::REST });
        assert_eq!(openings.len(), 2);
        assert_eq!(openings[0].transmission, Rgb([1.0, 0.0, 0.0]));
        assert!(openings[0].area_share() > openings[1].area_share());
        let mut wrapped = round();
        tint(&mut wrapped, &wheel, &WheelPose { place: 2.5, ..WheelPose::REST });
        assert_eq!(wrapped[0].transmission, Rgb([0.0, 0.0, 1.0]));
    }

    #[test]
    fn blur_keeps_the_flux() {
        let mut openings = round();
        push_in(&mut openings, 0, (0.7, 10.0), 0.0);
        let flux = |openings: &[Opening]| -> f64 {
            openings.iter().map(|o| o.area_share() * o.transmission.luminance()).sum()
        };
        let before = flux(&openings);
        for blur in [0.3, 1.0] {
            assert!((flux(&blurred(openings.clone(), blur)) - before).abs() < 1e-9);
        }
    }
}
