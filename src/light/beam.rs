//! The light that leaves a fixture: apex, direction, cone, colour, candela, pattern.

use glam::{DVec2, DVec3};

use super::aperture::{self, Opening};
use super::colour::{self, Rgb, Xy};
use super::cone::Cone;
use super::pattern::facet_offsets;
use super::photometry::{Distribution, illuminance_lx};
use crate::motion::{CellPose, Flash, Pose, assumed};
use crate::profile::{Head, Profile, Source, WheelSlot};
use crate::rig::Fixture;
use crate::rig::orientation::{BeamFrame, head_frame, mirror_frame};

/// Colour temperature that shows as white, in kelvin: between the warm and the cold sources of a
/// usual rig, so that both show their tint.
const SCENE_WHITE_K: f64 = 5600.0;

/// Widest beam angle that is worked with, in degrees.
const WIDEST_DEG: f64 = 150.0;

/// How far a beam is followed when nothing stops it, in metres; sets how a beam out of focus blurs.
const USUAL_THROW_M: f64 = 8.0;

/// A beam. A prism makes one for each of its facets.
#[derive(Clone, Debug, PartialEq)]
pub struct Beam {
    /// The fixture, as a place in the rig.
    pub fixture: usize,
    /// The cell, from 1.
    pub cell: usize,
    /// Where it leaves from and where it goes; its edge is the field angle.
    pub cone: Cone,
    /// How intensity falls off from the axis.
    pub distribution: Distribution,
    /// Intensity along the axis before the openings, in candela carried by each channel of linear
    /// sRGB: its luminance is the candela a meter reads.
    pub rgb_cd: Rgb,
    /// What of the aperture is open.
    pub openings: Vec<Opening>,
    /// Flashes; the intensity is then the mean over one.
    pub flash: Option<Flash>,
}

impl Beam {
    /// Intensity towards a point, in candela per channel. It fades on past the field angle where the
    /// beam is round and open; patterns and edges end at the field.
    pub fn intensity_toward(&self, point: DVec3) -> Rgb {
        let Some(angle) = self.cone.off_axis_rad(point) else { return Rgb::BLACK };
        if angle >= std::f64::consts::FRAC_PI_2 {
            return Rgb::BLACK;
        }
        let in_aperture = self.aperture_point(point);
        let through = self
            .openings
            .iter()
            .filter(|opening| {
                opening.outline.as_ref().is_none_or(|outline| contains(outline, in_aperture))
            })
            .fold(Rgb::BLACK, |sum, opening| sum + opening.transmission);
        self.rgb_cd * through * self.distribution.relative(angle)
    }

    /// Illuminance on a small surface at `point` whose unit normal is `normal`, in lux per channel
    /// (E = I cos a / d²); black on the side away from the light. Nothing in the way is looked for.
    pub fn illuminance_at(&self, point: DVec3, normal: DVec3) -> Rgb {
        match self.lux_per_cd(point, normal) {
            Some(lux_per_cd) => self.intensity_toward(point) * lux_per_cd,
            None => Rgb::BLACK,
        }
    }

    /// The beam as a meter that sees no pattern takes it.
    pub fn metered(&self) -> Metered<'_> {
        let widest_rad = self.distribution.inverse(METERED).min(std::f64::consts::FRAC_PI_2);
        Metered { beam: self, through: self.mean_transmission(), least_cos: widest_rad.cos() }
    }

    /// Illuminance at a point for each candela towards it, in lux. `None` on the side away from the
    /// light, and within a millimetre of it.
    fn lux_per_cd(&self, point: DVec3, normal: DVec3) -> Option<f64> {
        let to_light = self.cone.apex - point;
        let distance_m = to_light.length();
        let cos = to_light.normalize_or_zero().dot(normal);
        (distance_m >= 1e-3 && cos > 0.0).then(|| illuminance_lx(1.0, cos, distance_m))
    }

    /// What of the light gets through the whole aperture, on average.
    pub fn mean_transmission(&self) -> Rgb {
        aperture::mean_transmission(&self.openings)
    }

    /// The point of the aperture's unit disc through which the light to `point` passes.
    fn aperture_point(&self, point: DVec3) -> DVec2 {
        let to = point - self.cone.apex;
        let along = to.dot(self.cone.axis).max(1e-9);
        let spread = self.cone.half_angle_rad.tan().max(1e-9);
        DVec2::new(to.dot(self.cone.right()), to.dot(self.cone.up)) / (along * spread)
    }
}

/// Share of its peak below which a meter leaves a beam out.
const METERED: f64 = 1e-6;

/// A beam with every opening spread evenly over its aperture, made ready to be asked at many points.
#[derive(Clone, Copy, Debug)]
pub struct Metered<'a> {
    beam: &'a Beam,
    /// What of the light gets through, on average.
    through: Rgb,
    /// Cosine of the angle from the axis beyond which there is next to nothing.
    least_cos: f64,
}

impl Metered<'_> {
    /// Illuminance on a small surface at `point` whose unit normal is `normal`, in lux per channel.
    pub fn illuminance_at(&self, point: DVec3, normal: DVec3) -> Rgb {
        let cone = &self.beam.cone;
        let to = point - cone.apex;
        if to.dot(cone.axis) <= self.least_cos * to.length() {
            return Rgb::BLACK;
        }
        let Some(lux_per_cd) = self.beam.lux_per_cd(point, normal) else { return Rgb::BLACK };
        let angle = cone.off_axis_rad(point).unwrap_or(0.0);
        self.beam.rgb_cd * self.through * (self.beam.distribution.relative(angle) * lux_per_cd)
    }
}

/// Whether a point lies in a simple polygon (even-odd crossing of a ray to the right).
fn contains(outline: &[DVec2], p: DVec2) -> bool {
    let next = outline.iter().cycle().skip(1);
    let crossings = outline.iter().zip(next).filter(|(a, b)| {
        (a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x)
    });
    crossings.count() % 2 == 1
}

/// Where a fixture's light goes when its axes stand as in `pose`.
pub fn beam_frame(fixture: &Fixture, profile: &Profile, pose: &Pose) -> BeamFrame {
    match profile.head {
        Head::Fixed => head_frame(fixture.hang, 0.0, 0.0),
        Head::Moving { .. } => head_frame(fixture.hang, pose.pan_deg, pose.tilt_deg),
        Head::Mirror { .. } => mirror_frame(fixture.hang, pose.pan_deg, pose.tilt_deg),
    }
}

/// The field cone of a fixture, from its middle, whether or not there is light in it.
pub fn aim_cone(fixture: &Fixture, profile: &Profile, pose: &Pose) -> Option<Cone> {
    let frame = beam_frame(fixture, profile, pose);
    let half_angle_rad = distribution(profile, pose).field_deg().to_radians() / 2.0;
    Cone::new(fixture.at, frame.axis, frame.up, half_angle_rad)
}

/// Adds the beams of a fixture to `out`: none where it is dark, or where something else than the
/// frame runs it and so nothing is known.
pub fn add_beams(
    index: usize,
    fixture: &Fixture,
    profile: &Profile,
    pose: &Pose,
    out: &mut Vec<Beam>,
) {
    if pose.light() <= 0.0 || !fixture.at.is_finite() {
        return;
    }
    let frame = beam_frame(fixture, profile, pose);
    let right = frame.axis.cross(frame.up);
    let distribution = distribution(profile, pose);
    let half_angle_rad = distribution.field_deg().to_radians() / 2.0;
    let prism = prism(profile, pose);
    for (i, cell) in pose.cells.iter().enumerate() {
        if cell.light <= 0.0 {
            continue;
        }
        let (x, y) = profile.cells.get(i).copied().unwrap_or((0.0, 0.0));
        let apex = fixture.at + right * x + frame.up * y;
        let Some(cone) = Cone::new(apex, frame.axis, frame.up, half_angle_rad) else { continue };
        let rgb_cd = intensity(profile, cell, &distribution) * cell.light;
        let openings = aperture::openings(profile, pose, cell.filters, blur(pose, &distribution));
        // A colour may meet a filter that holds back just that, and an opening may be of no size.
        let left = rgb_cd * aperture::mean_transmission(&openings);
        if !rgb_cd.is_light() || left.luminance() <= 0.0 {
            continue;
        }
        let beam = Beam {
            fixture: index,
            cell: i + 1,
            cone,
            distribution,
            rgb_cd,
            openings,
            flash: cell.flash,
        };
        match prism {
            None => out.push(beam),
            Some(prism) => out.extend(prism.copies(&beam)),
        }
    }
}

/// The distribution after zoom and frost. Zoom keeps the ratio of field to beam angle.
fn distribution(profile: &Profile, pose: &Pose) -> Distribution {
    let optics = &profile.optics;
    let ratio = (optics.field_deg / optics.beam_deg).max(1.0);
    let beam_deg = pose.zoom_deg.filter(|deg| *deg > 0.0).unwrap_or(optics.beam_deg);
    let frost_deg = pose.frost * assumed::FROST_DEG;
    let beam_deg = beam_deg.min(WIDEST_DEG) + frost_deg;
    Distribution::new(beam_deg, (beam_deg * ratio + frost_deg / 2.0).min(WIDEST_DEG + 20.0))
}

/// How much of a picture in the beam is lost to focus and frost, 0..1.
fn blur(pose: &Pose, distribution: &Distribution) -> f64 {
    let out_of_focus = pose.focus.map_or(0.0, |far| {
        let sharp_at = (1.0 - far.clamp(0.0, 1.0)) / assumed::NEAREST_FOCUS_M;
        let circle_rad = assumed::LENS_DIAMETER_M * (sharp_at - 1.0 / USUAL_THROW_M).abs();
        circle_rad / distribution.field_deg().to_radians().max(1e-3)
    });
    (out_of_focus + pose.frost).clamp(0.0, 1.0)
}

/// Intensity along the axis in candela per channel, with the dimmer at full and nothing in the way.
fn intensity(profile: &Profile, cell: &CellPose, distribution: &Distribution) -> Rgb {
    let cells = profile.cell_count() as f64;
    let (colour, flux_lm) = source_light(profile, cell);
    let optics = &profile.optics;
    let full_lm = profile.source.full_flux_lm();
    let peak_cd = match optics.peak_cd {
        // The flux that this peak stands for at the angles it was given for.
        Some(peak_cd) if full_lm > 0.0 => {
            let given = Distribution::new(optics.beam_deg, optics.field_deg);
            distribution.peak_cd(given.flux_lm(peak_cd)) * (flux_lm / full_lm)
        }
        _ => distribution.peak_cd(flux_lm),
    };
    colour.unit_luminance() * (peak_cd / cells)
}

/// The colour of what a source gives with its emitters so, and the flux of all cells together in lumens
/// if they were all like this one, with dimmer and shutter open.
pub(super) fn source_light(profile: &Profile, cell: &CellPose) -> (Rgb, f64) {
    match &profile.source {
        Source::White { flux_lm, cct_k, .. } => {
            (colour::white(cell.temperature_k.unwrap_or(*cct_k), SCENE_WHITE_K), *flux_lm)
        }
        Source::Emitters(emitters) => {
            let parts = emitters.iter().zip(&cell.emitters).map(|(emitter, level)| {
                let xy = Xy { x: emitter.xy.0, y: emitter.xy.1 };
                (Rgb::from_xyy(xy, 1.0).into_gamut(), emitter.flux_lm, *level)
            });
            let (colour, flux_lm) = colour::mix(parts);
            match cell.temperature_k {
                Some(cct_k) => (colour * colour::white(cct_k, SCENE_WHITE_K), flux_lm),
                None => (colour, flux_lm),
            }
        }
    }
}

#[derive(Clone, Copy)]
struct Prism {
    facets: u8,
    spread_deg: f64,
    turn_deg: f64,
}

/// The prism in the beam, if there is one.
fn prism(profile: &Profile, pose: &Pose) -> Option<Prism> {
    profile.wheels.values().zip(&pose.wheels).find_map(|(wheel, stands)| {
        let slot = (stands.place.round() as usize).checked_sub(1)?;
        match wheel.slots.get(slot)? {
            WheelSlot::Prism { facets, spread_deg, .. } if *facets > 0 => {
                Some(Prism { facets: *facets, spread_deg: *spread_deg, turn_deg: stands.turn_deg })
            }
            _ => None,
        }
    })
}

impl Prism {
    /// One beam a facet, each with its share of the light.
    fn copies(self, beam: &Beam) -> impl Iterator<Item = Beam> {
        let thrown = self.spread_deg.to_radians().tan();
        facet_offsets(usize::from(self.facets), self.turn_deg).filter_map(move |offset| {
            let cone = &beam.cone;
            let axis = cone.axis + thrown * (offset.x * cone.right() + offset.y * cone.up);
            let cone = Cone::new(cone.apex, axis, cone.up, cone.half_angle_rad)?;
            let rgb_cd = beam.rgb_cd * (1.0 / f64::from(self.facets));
            Some(Beam { cone, rgb_cd, ..beam.clone() })
        })
    }
}
