//! How a fixture hangs, and what is done to pan and tilt before they reach its axes.
//!
//! A hung fixture at pan 0, tilt 0 points straight down, and in general along
//! `d = Rz(pan) · Rx(tilt) · (0, 0, −1) = (−sin p · sin t, cos p · sin t, −cos t)`: positive tilt tips
//! it upstage, positive pan turns it anticlockwise seen from above. The open standard for fixture
//! descriptions leaves these senses undefined; this is the right-hand-rule reading of its axes.

use glam::{DMat3, DVec3};
use serde::{Deserialize, Serialize};

/// How a fixture is mounted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Hang {
    /// Upside down from a truss, as the profile describes it.
    #[default]
    Hung,
    /// Hung, then turned about the vertical, anticlockwise seen from above.
    HungTurned {
        /// Degrees.
        turn_deg: f64,
    },
    /// On its base on the floor: half a turn about y.
    Standing,
    /// Standing, then turned about the vertical, anticlockwise seen from above.
    StandingTurned {
        /// Degrees.
        turn_deg: f64,
    },
    /// On its side: its base against a vertical face. Hung and tipped a quarter turn about y so that
    /// straight down becomes the audience's left, then turned about the vertical.
    OnSide {
        /// Degrees; 0 points to the audience's left, 90 to the audience, 180 to the right.
        turn_deg: f64,
    },
    /// Any rotation: about x, then y, then z, in degrees, applied to the hung fixture.
    Turned {
        /// About x (the audience's right).
        x_deg: f64,
        /// About y (upstage).
        y_deg: f64,
        /// About z (up).
        z_deg: f64,
    },
}

impl Hang {
    /// The rotation from the hung fixture's axes to the room's.
    pub fn rotation(self) -> DMat3 {
        let (x, y, z) = match self {
            Self::Hung => (0.0, 0.0, 0.0),
            Self::HungTurned { turn_deg } => (0.0, 0.0, turn_deg),
            Self::Standing => (0.0, 180.0, 0.0),
            Self::StandingTurned { turn_deg } => (0.0, 180.0, turn_deg),
            Self::OnSide { turn_deg } => (0.0, 90.0, turn_deg),
            Self::Turned { x_deg, y_deg, z_deg } => (x_deg, y_deg, z_deg),
        };
        DMat3::from_rotation_z(z.to_radians())
            * DMat3::from_rotation_y(y.to_radians())
            * DMat3::from_rotation_x(x.to_radians())
    }

    /// Every angle in it, to check that each is a number.
    pub fn angles_deg(self) -> [f64; 3] {
        match self {
            Self::Hung | Self::Standing => [0.0; 3],
            Self::HungTurned { turn_deg }
            | Self::StandingTurned { turn_deg }
            | Self::OnSide { turn_deg } => [0.0, 0.0, turn_deg],
            Self::Turned { x_deg, y_deg, z_deg } => [x_deg, y_deg, z_deg],
        }
    }
}

/// What is done to the asked pan and tilt before they reach the axes, in this order: swap, then
/// invert, then offset. Swap exchanges what the two channels ask as shares of their travels, so that
/// a full pan channel gives a full tilt.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Aim {
    /// Pan runs backwards.
    pub invert_pan: bool,
    /// Tilt runs backwards.
    pub invert_tilt: bool,
    /// Pan and tilt change places.
    pub swap: bool,
    /// Added to pan, in degrees.
    pub pan_offset_deg: f64,
    /// Added to tilt, in degrees.
    pub tilt_offset_deg: f64,
}

/// Orthonormal frame of a beam: where it points, and which way is up and right in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BeamFrame {
    /// Along the beam.
    pub axis: DVec3,
    /// Up in the beam: the hung fixture's upstage side at pan 0, tilt 0.
    pub up: DVec3,
}

/// The frame of a moving head's beam at these angles, in the room.
pub fn head_frame(hang: Hang, pan_deg: f64, tilt_deg: f64) -> BeamFrame {
    let turn = hang.rotation()
        * DMat3::from_rotation_z(pan_deg.to_radians())
        * DMat3::from_rotation_x(tilt_deg.to_radians());
    BeamFrame { axis: turn * DVec3::NEG_Z, up: turn * DVec3::Y }
}

/// The frame of a mirror's beam at these angles, in the room. Hung, the light leaves straight down at
/// pan 0, tilt 0; positive pan swings it to the audience's right, then positive tilt swings it
/// upstage.
pub fn mirror_frame(hang: Hang, pan_deg: f64, tilt_deg: f64) -> BeamFrame {
    let turn = hang.rotation()
        * DMat3::from_rotation_x(tilt_deg.to_radians())
        * DMat3::from_rotation_y(-pan_deg.to_radians());
    BeamFrame { axis: turn * DVec3::NEG_Z, up: turn * DVec3::Y }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(hang: Hang, pan: f64, tilt: f64, expected: DVec3) {
        let axis = head_frame(hang, pan, tilt).axis;
        assert!((axis - expected).length() < 1e-12, "{axis} should be {expected}");
    }

    #[test]
    fn a_hung_head_points_down_and_tips_upstage() {
        check(Hang::Hung, 0.0, 0.0, DVec3::NEG_Z);
        check(Hang::Hung, 0.0, 90.0, DVec3::Y);
        check(Hang::Hung, 90.0, 90.0, DVec3::NEG_X);
    }

    #[test]
    fn a_standing_head_points_up() {
        check(Hang::Standing, 0.0, 0.0, DVec3::Z);
        check(Hang::Standing, 0.0, 90.0, DVec3::Y);
        // Seen from above, a standing head pans the other way.
        check(Hang::Standing, 90.0, 90.0, DVec3::X);
    }

    #[test]
    fn a_mirror_swings_the_light_sideways_and_upstage() {
        let near = |a: DVec3, b: DVec3| assert!((a - b).length() < 1e-12, "{a} should be {b}");
        near(mirror_frame(Hang::Hung, 0.0, 0.0).axis, DVec3::NEG_Z);
        near(mirror_frame(Hang::Hung, 90.0, 0.0).axis, DVec3::X);
        near(mirror_frame(Hang::Hung, 0.0, 90.0).axis, DVec3::Y);
    }

    #[test]
    fn a_head_on_its_side_points_where_it_says() {
        check(Hang::OnSide { turn_deg: 0.0 }, 0.0, 0.0, DVec3::NEG_X);
        check(Hang::OnSide { turn_deg: 90.0 }, 0.0, 0.0, DVec3::NEG_Y);
        check(Hang::OnSide { turn_deg: 180.0 }, 0.0, 0.0, DVec3::X);
    }
}
