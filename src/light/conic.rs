//! The footprint of a round beam on an unbounded plane, in closed form.
//!
//! With t the angle between the axis and the plane's inward normal turned round, a the half angle and
//! h the height of the apex above the plane, the section of the cone is a conic of eccentricity
//! sin t / cos a and semi-latus rectum h tan a (conic sections; derived here from the two edge rays
//! at h tan(t - a) and h tan(t + a)).

use std::f64::consts::FRAC_PI_2;

use glam::DVec3;

use super::cone::Cone;

/// How near to level an edge ray may run and still count as a parabola, in radians.
const LEVEL_RAD: f64 = 1e-9;

/// What a cone draws on a plane. Positions and lengths in metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Footprint {
    /// The whole edge of the beam lands: a closed curve. A circle has equal semi-axes.
    Ellipse {
        /// Middle of the curve; beyond the point where the axis lands, unless the beam is square on.
        centre: DVec3,
        /// Half the length along `major_dir`.
        semi_major_m: f64,
        /// Half the width across it.
        semi_minor_m: f64,
        /// Unit direction in the plane, the way the beam leans. Arbitrary for a circle.
        major_dir: DVec3,
    },
    /// One edge ray runs level with the plane: open away from the fixture.
    Parabola {
        /// The point nearest to the fixture.
        vertex: DVec3,
        /// Half the width of the curve at its focus.
        semi_latus_m: f64,
        /// Unit direction in the plane in which the curve opens.
        opens: DVec3,
    },
    /// Part of the beam never comes down: one branch, open away from the fixture.
    Hyperbola {
        /// The point where the asymptotes cross.
        centre: DVec3,
        /// From the centre to the vertex, along `opens`.
        semi_transverse_m: f64,
        /// The other semi-axis: the asymptotes rise by this over the transverse one.
        semi_conjugate_m: f64,
        /// Unit direction in the plane in which the branch opens.
        opens: DVec3,
    },
    /// No part of the beam lands, or the apex is not in front of the plane.
    None,
}

impl Footprint {
    /// The footprint of `cone` on the plane through `point` with the unit normal `normal`, which
    /// points at the lit side.
    pub fn on_plane(cone: &Cone, point: DVec3, normal: DVec3) -> Self {
        let height_m = (cone.apex - point).dot(normal);
        if !(height_m > 0.0 && height_m.is_finite()) {
            return Self::None;
        }
        let foot = cone.apex - normal * height_m;
        let level = cone.axis - normal * cone.axis.dot(normal);
        let toward = level.try_normalize().unwrap_or_else(|| normal.any_orthonormal_vector());
        let lean_rad = level.length().atan2(-cone.axis.dot(normal));
        let half_rad = cone.half_angle_rad;
        let (near_rad, far_rad) = (lean_rad - half_rad, lean_rad + half_rad);
        if half_rad <= 0.0 || near_rad >= FRAC_PI_2 - LEVEL_RAD {
            return Self::None;
        }
        let near_m = height_m * near_rad.tan();
        let semi_latus_m = height_m * half_rad.tan();
        if (far_rad - FRAC_PI_2).abs() <= LEVEL_RAD {
            return Self::Parabola { vertex: foot + toward * near_m, semi_latus_m, opens: toward };
        }
        // Of the other nappe when the far edge ray points up; then it lies behind the fixture.
        let far_m = height_m * far_rad.tan();
        let centre = foot + toward * ((near_m + far_m) / 2.0);
        let half_length_m = ((far_m - near_m) / 2.0).abs();
        let half_width_m = (half_length_m * semi_latus_m).sqrt();
        if far_rad < FRAC_PI_2 {
            Self::Ellipse {
                centre,
                semi_major_m: half_length_m,
                semi_minor_m: half_width_m,
                major_dir: toward,
            }
        } else {
            Self::Hyperbola {
                centre,
                semi_transverse_m: half_length_m,
                semi_conjugate_m: half_width_m,
                opens: toward,
            }
        }
    }

    /// Area lit on the plane, in square metres; `None` if it has no end.
    pub fn area_m2(&self) -> Option<f64> {
        match *self {
            Self::Ellipse { semi_major_m, semi_minor_m, .. } => {
                Some(std::f64::consts::PI * semi_major_m * semi_minor_m)
            }
            Self::Parabola { .. } | Self::Hyperbola { .. } => None,
            Self::None => Some(0.0),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_beam_that_rises_goes_from_ellipse_to_hyperbola_to_nothing() {
        let at = |tilt_deg: f64| {
            let tilt = tilt_deg.to_radians();
            let axis = DVec3::new(0.0, tilt.sin(), -tilt.cos());
            let cone = Cone::new(DVec3::Z * 4.0, axis, DVec3::X, 10f64.to_radians()).unwrap();
            Footprint::on_plane(&cone, DVec3::ZERO, DVec3::Z)
        };
        assert!(matches!(at(0.0), Footprint::Ellipse { .. }));
        assert!(matches!(at(79.0), Footprint::Ellipse { .. }));
        assert!(matches!(at(80.0), Footprint::Parabola { .. }));
        assert!(matches!(at(81.0), Footprint::Hyperbola { .. }));
        assert!(matches!(at(99.0), Footprint::Hyperbola { .. }));
        assert_eq!(at(101.0), Footprint::None);
        assert_eq!(at(180.0), Footprint::None);
        assert_eq!(at(81.0).area_m2(), None);
        assert_eq!(at(180.0).area_m2(), Some(0.0));
    }

    #[test]
    fn a_square_beam_draws_a_circle() {
        let cone = Cone::new(DVec3::Z * 4.0, -DVec3::Z, DVec3::Y, 0.2).unwrap();
        let Footprint::Ellipse { centre, semi_major_m, semi_minor_m, .. } =
            Footprint::on_plane(&cone, DVec3::ZERO, DVec3::Z)
        else {
            panic!("no ellipse");
        };
        assert!(centre.length() < 1e-12);
        assert!((semi_major_m - 4.0 * 0.2f64.tan()).abs() < 1e-12);
        assert!((semi_minor_m - semi_major_m).abs() < 1e-12);
    }
}
