//! The room: a box with a floor, walls and a ceiling, and what hangs and stands in it.

use glam::DVec3;
use serde::{Deserialize, Serialize};

/// A box-shaped room. Right-handed metres: x to the audience's right, y upstage, z up; the origin is
/// the centre of the stage front edge, on the floor.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Room {
    /// From the left wall to the right one, in metres; both are as far from x = 0.
    pub width_m: f64,
    /// From the stage front edge to the back wall, in metres.
    pub depth_m: f64,
    /// From the stage front edge towards the audience, as far as the room is drawn, in metres.
    pub front_m: f64,
    /// From the floor to the ceiling, in metres.
    pub height_m: f64,
    /// Straight trusses and bars.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub trusses: Vec<Truss>,
    /// Risers, steps and set pieces, as boxes; drawn, and transparent to light.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub blocks: Vec<Block>,
    /// How high the eyes of the audience are, in metres: those of people who sit, where the show does not
    /// say (common practice, no source).
    #[serde(default = "Room::usual_eye", skip_serializing_if = "Room::is_usual_eye")]
    pub eye_m: f64,
    /// Boxes that no lit beam is to enter.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub keep_out: Vec<Block>,
    /// There is no roof: the sun can shine into lenses that look up. Nothing else changes; beams are still
    /// drawn as far as the box.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub open_air: bool,
}

impl Default for Room {
    fn default() -> Self {
        Self {
            width_m: 12.0,
            depth_m: 8.0,
            front_m: 4.0,
            height_m: 7.0,
            trusses: Vec::new(),
            blocks: Vec::new(),
            eye_m: Self::usual_eye(),
            keep_out: Vec::new(),
            open_air: false,
        }
    }
}

impl Room {
    fn usual_eye() -> f64 {
        1.2
    }

    fn is_usual_eye(eye_m: &f64) -> bool {
        *eye_m == Self::usual_eye()
    }

    /// Where a ray passes eye level among the audience.
    pub fn eye_point(&self, apex: DVec3, axis: DVec3) -> Option<DVec3> {
        let along = (self.eye_m - apex.z) / axis.z;
        let point = apex + axis * along;
        let among = point.y < 0.0 && point.y > -self.front_m && point.x.abs() < self.width_m / 2.0;
        (along > 0.0 && point.is_finite() && among).then_some(point)
    }

    /// The corner at the left, nearest the audience, on the floor.
    pub fn min(&self) -> DVec3 {
        DVec3::new(-self.width_m / 2.0, -self.front_m, 0.0)
    }

    /// The corner at the right, upstage, at the ceiling.
    pub fn max(&self) -> DVec3 {
        DVec3::new(self.width_m / 2.0, self.depth_m, self.height_m)
    }
}

/// A straight truss or bar.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Truss {
    /// What a person calls it.
    pub name: String,
    /// One end, in metres.
    pub from: (f64, f64, f64),
    /// The other end, in metres.
    pub to: (f64, f64, f64),
    /// Width across, in metres.
    #[serde(default = "Truss::usual_width")]
    pub width_m: f64,
}

impl Truss {
    fn usual_width() -> f64 {
        0.3
    }
}

/// A box on the stage.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Block {
    /// What a person calls it.
    pub name: String,
    /// The corner at the left, nearest the audience, lowest; in metres.
    pub min: (f64, f64, f64),
    /// The corner opposite; in metres.
    pub max: (f64, f64, f64),
}
