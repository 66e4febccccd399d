//! Where a beam goes over the audience: the floor in front of the stage, as far as the room is drawn.

use glam::DVec3;

use crate::light::{Cone, add_beams};
use crate::motion::Pose;
use crate::profile::Profile;
use crate::rig::Fixture;
use crate::stage::Room;

/// Illuminance at a point, on a surface that faces the fixture, in lux.
pub fn lux_at(fixture: &Fixture, profile: &Profile, pose: &Pose, point: DVec3) -> f64 {
    let mut beams = Vec::new();
    add_beams(0, fixture, profile, pose, &mut beams);
    let lux = beams.iter().map(|beam| {
        let normal = (beam.cone.apex - point).normalize_or_zero();
        beam.metered().illuminance_at(point, normal).luminance()
    });
    lux.sum()
}

/// How low the middle of a beam comes over the audience before it meets the floor, in metres; `None` where
/// it does not pass over them.
pub fn lowest_m(room: &Room, cone: &Cone) -> Option<f64> {
    let (apex, axis) = (cone.apex, cone.axis);
    let half_m = room.width_m / 2.0;
    let min = DVec3::new(-half_m, -room.front_m, 0.0);
    let max = DVec3::new(half_m, 0.0, f64::INFINITY);
    let (a, b) = ((min - apex) / axis, (max - apex) / axis);
    // A ray along a face gives 0 / 0, which `min` and `max` pass over.
    let enters = a.min(b).max_element().max(0.0);
    let leaves = a.max(b).min_element();
    if enters > leaves || !apex.is_finite() {
        return None;
    }
    let height_m = |along: f64| apex.z + if along.is_finite() { axis.z * along } else { 0.0 };
    let lowest_m = if axis.z < 0.0 { height_m(leaves) } else { height_m(enters) };
    Some(lowest_m.max(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cone(apex: (f64, f64, f64), axis: (f64, f64, f64)) -> Cone {
        let axis = DVec3::from(axis).normalize();
        Cone::new(apex.into(), axis, axis.any_orthonormal_vector(), 0.1).unwrap()
    }

    /// Worked example: from 6 m above the stage edge at 45 degrees down the beam comes to 2 m over the last
    /// row, 4 m in front.
    #[test]
    fn the_lowest_height_is_where_the_beam_leaves_the_audience() {
        let room = Room::default();
        let down = cone((0.0, 0.0, 6.0), (0.0, -1.0, -1.0));
        assert!((lowest_m(&room, &down).unwrap() - 2.0).abs() < 1e-9);
        assert_eq!(room.eye_point(down.apex, down.axis), None, "it passes eye level behind them");
        let steep = cone((0.0, 0.0, 6.0), (0.0, -1.0, -3.0));
        assert_eq!(lowest_m(&room, &steep), Some(0.0), "it meets the floor among them");
        let upstage = cone((0.0, 1.0, 6.0), (0.0, 1.0, -1.0));
        assert_eq!(lowest_m(&room, &upstage), None);
        let up = cone((0.0, 1.0, 0.5), (0.0, -1.0, 1.0));
        assert!((lowest_m(&room, &up).unwrap() - 1.5).abs() < 1e-9);
    }
}
