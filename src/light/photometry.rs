//! How bright: candela from lumens, lux from candela, and how a beam falls off from its axis.
//!
//! Beam angle is the full angle between the two directions of 50 % of the peak intensity, field angle
//! the full angle between those of 10 %. Every beam here is round and peaks on its axis, so the
//! peak and the centre-beam intensity are the same.

use std::f64::consts::{LN_2, LN_10, PI};
use std::sync::LazyLock;

/// Beam and field angle taken when neither is given, in degrees: the default of the open fixture
/// format DIN SPEC 15800 (Beam, BeamAngle and FieldAngle).
pub const ASSUMED_ANGLE_DEG: f64 = 25.0;

/// Steepest edge of a [`Distribution`]: from 50 % to 10 % in 2 % of the beam's width.
const STEEPEST: f64 = 60.0;
/// Softest edge of a [`Distribution`]: a field 11 times as wide as the beam.
const SOFTEST: f64 = 0.5;
/// Narrowest beam angle of a [`Distribution`], in degrees.
const NARROWEST_DEG: f64 = 0.01;

/// Illuminance in lux where `intensity_cd` falls on a surface `distance_m` away whose normal makes
/// an angle with the light of the given cosine: E = I cos a / d^2. Zero from behind (a negative
/// cosine); infinite at no distance.
pub fn illuminance_lx(intensity_cd: f64, cos_incidence: f64, distance_m: f64) -> f64 {
    intensity_cd * cos_incidence.max(0.0) / (distance_m * distance_m)
}

/// Solid angle in steradians of a round cone of full angle `angle_deg`: 2 pi (1 - cos(angle / 2)).
pub fn solid_angle_sr(angle_deg: f64) -> f64 {
    // 1 - cos a = 2 sin^2(a/2) keeps its digits in narrow beams.
    4.0 * PI * (angle_deg.to_radians() / 4.0).sin().powi(2)
}

/// Intensity in candela of `flux_lm` spread evenly over a cone of full angle `angle_deg`.
pub fn uniform_cone_cd(flux_lm: f64, angle_deg: f64) -> f64 {
    flux_lm / solid_angle_sr(angle_deg)
}

/// Diameter in metres of a beam of full angle `angle_deg` at `distance_m` from a lens of radius
/// `lens_radius_m`: 2 d tan(angle / 2) + 2 r.
pub fn beam_diameter_m(distance_m: f64, angle_deg: f64, lens_radius_m: f64) -> f64 {
    2.0 * (distance_m * (angle_deg.to_radians() / 2.0).tan() + lens_radius_m)
}

/// How intensity falls off from the axis of a beam: I / I0 = exp(-ln 2 (a / b)^m) at the angle `a`
/// from the axis, where b is half the beam angle and m puts the 10 % point at half the field angle.
///
/// With m = 2 this is the Gaussian profile (field = 1.8226 beam); a large m is the flat field and hard
/// edge of a focused spot. The family is this program's own choice: it passes through the two
/// points a data sheet gives and is nowhere negative.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Distribution {
    half_beam_rad: f64,
    edge: f64,
    /// Flux in lumens of a beam of this shape whose peak is 1 cd, as a solid angle.
    effective_sr: f64,
}

impl Distribution {
    /// The profile with these beam and field angles, full angles in degrees.
    ///
    /// Angles are cut to what a beam can have (0.01 to 180 degrees for the beam, 360 for the field).
    /// A field less than 1.02 times the beam is a hard edge at the beam angle, one over 11 times the
    /// beam counts as 11 times. An angle that is not
    /// above zero or not finite is taken to be unknown: then the other one serves for both, and
    /// [`ASSUMED_ANGLE_DEG`] when neither is known.
    pub fn new(beam_deg: f64, field_deg: f64) -> Self {
        let known =
            |angle_deg: f64| (angle_deg.is_finite() && angle_deg > 0.0).then_some(angle_deg);
        let beam_deg = known(beam_deg).or(known(field_deg)).unwrap_or(ASSUMED_ANGLE_DEG);
        let field_deg = known(field_deg).unwrap_or(beam_deg).min(360.0);
        let beam_deg = beam_deg.clamp(NARROWEST_DEG, 180.0);
        let half_beam_rad = beam_deg.to_radians() / 2.0;
        let edge = if field_deg > beam_deg {
            ((LN_10 / LN_2).ln() / (field_deg / beam_deg).ln()).clamp(SOFTEST, STEEPEST)
        } else {
            STEEPEST
        };
        Self { half_beam_rad, edge, effective_sr: effective_sr(half_beam_rad, edge) }
    }

    /// Beam angle in degrees: where it has fallen to 50 %.
    pub fn beam_deg(&self) -> f64 {
        2.0 * self.half_beam_rad.to_degrees()
    }

    /// Field angle in degrees: where it has fallen to 10 %.
    pub fn field_deg(&self) -> f64 {
        2.0 * self.inverse(0.1).to_degrees()
    }

    /// Share of the peak intensity at `angle_rad` from the axis, 0..1. Not a number gives 0.
    pub fn relative(&self, angle_rad: f64) -> f64 {
        let share = (-LN_2 * (angle_rad.abs() / self.half_beam_rad).powf(self.edge)).exp();
        if share.is_finite() { share } else { 0.0 }
    }

    /// Angle from the axis in radians at which intensity has fallen to the share `relative` of the
    /// peak: 0 for a share of 1 or more, half a turn for a share of 0 or less, or of no number.
    pub fn inverse(&self, relative: f64) -> f64 {
        if relative >= 1.0 {
            return 0.0;
        }
        if relative.is_nan() || relative <= 0.0 {
            return PI;
        }
        (self.half_beam_rad * (-relative.ln() / LN_2).powf(1.0 / self.edge)).min(PI)
    }

    /// Peak intensity in candela of a beam of this shape that carries `flux_lm` in all.
    pub fn peak_cd(&self, flux_lm: f64) -> f64 {
        flux_lm / self.effective_sr
    }

    /// Flux in lumens of a beam of this shape whose peak is `peak_cd`.
    pub fn flux_lm(&self, peak_cd: f64) -> f64 {
        peak_cd * self.effective_sr
    }
}

/// Nodes of the quadrature below.
const NODES: usize = 24;

/// Pairs (ln s, weight) for the integral of exp(-s) f(s) over s > 0: the double-exponential rule
/// s = exp(v - exp(-v)) (Takahasi and Mori 1974; from memory), which does not mind that f starts
/// like a fractional power. The weights hold exp(-s) and ds/dv.
static RULE: LazyLock<[(f64, f64); NODES]> = LazyLock::new(|| {
    let (first, last) = (-3.0, 3.2);
    let step = (last - first) / (NODES - 1) as f64;
    std::array::from_fn(|i| {
        let v = first + step * i as f64;
        let ln_s = v - (-v).exp();
        let s = ln_s.exp();
        (ln_s, step * (-s).exp() * s * (1.0 + (-v).exp()))
    })
});

/// Integral of the relative intensity over the sphere of directions, in steradians.
///
/// By parts, with s = ln 2 (a / b)^m: the integral of 2 pi exp(-s) (1 - cos a(s)) ds. The angle stops
/// at half a turn, where the sphere ends. Good to ten digits for beams that end before that, and to
/// half a percent for the softest and widest, whose integrand has a bend there.
fn effective_sr(half_beam_rad: f64, edge: f64) -> f64 {
    let power = 1.0 / edge;
    let ln_scale = half_beam_rad.ln() - LN_2.ln() * power;
    let sum: f64 = RULE
        .iter()
        .map(|&(ln_s, weight)| {
            let angle_rad = (ln_scale + ln_s * power).exp().min(PI);
            let half_sine = (angle_rad / 2.0).sin();
            weight * half_sine * half_sine
        })
        .sum();
    4.0 * PI * sum
}

#[cfg(test)]
mod tests {
    use super::*;

    fn assert_near(a: f64, b: f64, within: f64) {
        assert!((a - b).abs() <= within, "{a} is not {b} within {within}");
    }

    #[test]
    fn a_profile_passes_through_its_two_points() {
        for (beam_deg, field_deg) in [(13.0, 17.0), (1.0, 3.0), (40.0, 75.0), (120.0, 170.0)] {
            let d = Distribution::new(beam_deg, field_deg);
            assert_near(d.relative(beam_deg.to_radians() / 2.0), 0.5, 1e-12);
            assert_near(d.relative(field_deg.to_radians() / 2.0), 0.1, 1e-12);
            assert_near(d.beam_deg(), beam_deg, 1e-9);
            assert_near(d.field_deg(), field_deg, 1e-9);
        }
    }

    #[test]
    fn inverse_undoes_relative() {
        let d = Distribution::new(20.0, 31.0);
        for share in [0.99, 0.7, 0.5, 0.1, 0.01] {
            assert_near(d.relative(d.inverse(share)), share, 1e-12);
        }
        assert_eq!(d.inverse(1.0), 0.0);
        assert_eq!(d.inverse(0.0), PI);
        assert_eq!(d.inverse(f64::NAN), PI);
    }

    #[test]
    fn odd_angles_still_make_a_beam() {
        for beam_deg in [f64::NAN, f64::INFINITY, -5.0, 0.0, 1e-300, 20.0, 180.0, 1e300] {
            for field_deg in [f64::NAN, f64::NEG_INFINITY, 0.0, 1e-300, 20.0, 360.0, 1e300] {
                let d = Distribution::new(beam_deg, field_deg);
                let peak_cd = d.peak_cd(1000.0);
                assert!(peak_cd.is_finite() && peak_cd > 0.0, "{beam_deg} {field_deg}");
                assert!((0.0..=1.0).contains(&d.relative(0.3)), "{beam_deg} {field_deg}");
                assert!(d.field_deg().is_finite(), "{beam_deg} {field_deg}");
            }
        }
        let unknown = Distribution::new(f64::NAN, 0.0);
        assert_near(unknown.beam_deg(), ASSUMED_ANGLE_DEG, 1e-9);
    }

    #[test]
    fn a_hard_edge_comes_near_the_uniform_cone() {
        let peak_cd = Distribution::new(20.0, 20.0).peak_cd(12_000.0);
        assert_near(peak_cd / uniform_cone_cd(12_000.0, 20.0), 1.0, 0.02);
    }
}
