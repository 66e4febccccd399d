//! Where a beam goes: a cone of directions, and the part of it that lands on a face of the room.
//!
//! A shape in a beam (the round aperture, a pattern, a framed edge) is a polygon in the unit disc. A
//! point of the disc is a direction from the apex, straight lines of the disc land as straight lines
//! on any plane, so clipping a polygon of directions at the edges of a face is linear and exact.

use glam::{DVec2, DVec3};

/// Widest half angle of a [`Cone`], in radians (85 degrees). A cone of 90 degrees or more is no
/// longer a cone: its edge would never land on a plane in front of it.
pub const MAX_HALF_ANGLE_RAD: f64 = 85.0 * std::f64::consts::PI / 180.0;

/// A round cone of light.
///
/// Seen along the beam, from the fixture outward with `up` upward, [`Cone::right`] is to the right.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cone {
    /// The point the light spreads from, in metres.
    pub apex: DVec3,
    /// Direction of the middle of the beam, unit length.
    pub axis: DVec3,
    /// Direction in which the y axis of the aperture points, unit length, square to the axis.
    pub up: DVec3,
    /// Angle between the axis and the edge, 0 to [`MAX_HALF_ANGLE_RAD`].
    pub half_angle_rad: f64,
}

impl Cone {
    /// A cone with `axis` and `up` made unit length and square to each other. If `up` lies along the
    /// axis, any direction square to it is taken. The half angle is clamped to 0 to
    /// [`MAX_HALF_ANGLE_RAD`]. `None` if a number is not finite or the axis has no length.
    pub fn new(apex: DVec3, axis: DVec3, up: DVec3, half_angle_rad: f64) -> Option<Self> {
        let axis = axis.try_normalize()?;
        if !(apex.is_finite() && up.is_finite() && half_angle_rad.is_finite()) {
            return None;
        }
        let up = up.try_normalize().unwrap_or(DVec3::Y).reject_from_normalized(axis);
        let up = if up.length_squared() > 1e-18 {
            // What little is left of an up near the axis may still lean; once more sets it square.
            up.normalize().reject_from_normalized(axis).normalize()
        } else {
            axis.any_orthonormal_vector()
        };
        let half_angle_rad = half_angle_rad.clamp(0.0, MAX_HALF_ANGLE_RAD);
        Some(Self { apex, axis, up, half_angle_rad })
    }

    /// The x axis of the aperture: axis x up, so that (right, up, -axis) is right-handed.
    pub fn right(&self) -> DVec3 {
        self.axis.cross(self.up)
    }

    /// The same beam at another half angle, clamped as in [`Cone::new`]; what is no number gives 0.
    pub fn with_half_angle(&self, half_angle_rad: f64) -> Self {
        let half_angle_rad = if half_angle_rad.is_nan() { 0.0 } else { half_angle_rad };
        Self { half_angle_rad: half_angle_rad.clamp(0.0, MAX_HALF_ANGLE_RAD), ..*self }
    }

    /// Direction (not unit length) of the point `p` of the aperture's unit disc; a point of length 1
    /// lies on the edge of the cone. The map is gnomonic: axis + tan(half angle) (p.x right + p.y up).
    pub fn direction(&self, p: DVec2) -> DVec3 {
        let spread = self.half_angle_rad.tan();
        self.axis + spread * (p.x * self.right() + p.y * self.up)
    }

    /// Appends the directions of a polygon of the aperture to `out`.
    pub fn directions(&self, polygon: &[DVec2], out: &mut Vec<DVec3>) {
        let spread = self.half_angle_rad.tan();
        let (right, up) = (self.right() * spread, self.up * spread);
        out.extend(polygon.iter().map(|p| self.axis + right * p.x + up * p.y));
    }

    /// Angle in radians between the axis and the line from the apex to `point`; `None` at the apex.
    pub fn off_axis_rad(&self, point: DVec3) -> Option<f64> {
        let toward = (point - self.apex).try_normalize()?;
        // atan2 keeps its digits near the axis, where acos loses half of them.
        Some(self.axis.cross(toward).length().atan2(self.axis.dot(toward)))
    }
}

/// A flat rectangle of the room that light can land on: the floor, a wall.
///
/// `origin + u x + v y` with x in 0..=`width_m` and y in 0..=`height_m`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Face {
    /// One corner, in metres.
    pub origin: DVec3,
    /// Unit direction of the width.
    pub u: DVec3,
    /// Unit direction of the height, square to `u`.
    pub v: DVec3,
    /// Unit normal, pointing into the room, at the lit side.
    pub normal: DVec3,
    /// Length along `u`, in metres.
    pub width_m: f64,
    /// Length along `v`, in metres.
    pub height_m: f64,
}

impl Face {
    /// A face whose normal is u x v: its corner order is anticlockwise seen from inside the room.
    pub fn new(origin: DVec3, u: DVec3, v: DVec3, width_m: f64, height_m: f64) -> Self {
        Self { origin, u, v, normal: u.cross(v), width_m, height_m }
    }

    /// The four corners: origin, along u, opposite, along v.
    pub fn corners(&self) -> [DVec3; 4] {
        let (along, up) = (self.u * self.width_m, self.v * self.height_m);
        [self.origin, self.origin + along, self.origin + along + up, self.origin + up]
    }

    /// Where the ray from `apex` along `direction` lands on this face, from its lit side; `None` if it
    /// misses.
    pub fn hit(&self, apex: DVec3, direction: DVec3) -> Option<DVec3> {
        let view = FaceView::new(self, apex)?;
        let h = view.homogeneous(direction);
        (h.is_finite() && h.z > 0.0 && view.outside(h) == 0).then(|| view.point(h))
    }
}

/// Working space of [`project`], kept by the caller so that projecting allocates nothing.
#[derive(Clone, Debug, Default)]
pub struct Scratch {
    from: Vec<DVec3>,
    to: Vec<DVec3>,
}

/// Writes to `out` (emptied first) the part of a beam that lands on `face`, as a polygon in room
/// coordinates: the polygon of `directions` from `apex`, cut at the edges of the face.
///
/// Directions need no unit length but must lie within one half-space, as those of a [`Cone`] do.
/// What points away, an apex behind or on the face, and numbers that are not finite land nowhere:
/// `out` is then empty. A concave polygon that is cut in two comes back as one polygon whose parts
/// are joined along an edge of the face, by a bridge of no width.
pub fn project(
    face: &Face,
    apex: DVec3,
    directions: &[DVec3],
    scratch: &mut Scratch,
    out: &mut Vec<DVec3>,
) {
    out.clear();
    let Some(view) = FaceView::new(face, apex) else { return };
    scratch.from.clear();
    let mut outside_any = 0;
    let mut outside_all = !0;
    for &direction in directions {
        let h = view.homogeneous(direction);
        if !h.is_finite() {
            return;
        }
        let outside = view.outside(h);
        outside_any |= outside;
        outside_all &= outside;
        scratch.from.push(h);
    }
    if directions.len() < 3 || outside_all != 0 {
        return;
    }
    for (i, plane) in view.edges.iter().enumerate() {
        if outside_any & (1 << i) != 0 {
            clip(&scratch.from, *plane, &mut scratch.to);
            std::mem::swap(&mut scratch.from, &mut scratch.to);
        }
    }
    if scratch.from.len() >= 3 && scratch.from.iter().all(|h| h.z > 0.0) {
        out.extend(scratch.from.iter().map(|&h| view.point(h)));
    }
}

/// A face as the light sees it. A direction becomes homogeneous coordinates (x, y, w) of the point of
/// the face it runs to: x / w along u and y / w along v, and w above 0 only toward the face. The four
/// edges are then planes through the origin, and between opposite edges w cannot be negative.
struct FaceView<'a> {
    face: &'a Face,
    foot: DVec2,
    height_m: f64,
    edges: [DVec3; 4],
}

impl<'a> FaceView<'a> {
    /// `None` if the apex is not in front of the face.
    fn new(face: &'a Face, apex: DVec3) -> Option<Self> {
        let offset = apex - face.origin;
        let height_m = offset.dot(face.normal);
        if !(height_m > 0.0 && height_m.is_finite() && face.width_m > 0.0 && face.height_m > 0.0) {
            return None;
        }
        let edges = [
            DVec3::X,
            DVec3::Y,
            DVec3::new(-1.0, 0.0, face.width_m),
            DVec3::new(0.0, -1.0, face.height_m),
        ];
        let foot = DVec2::new(offset.dot(face.u), offset.dot(face.v));
        Some(Self { face, foot, height_m, edges })
    }

    fn homogeneous(&self, direction: DVec3) -> DVec3 {
        let w = -direction.dot(self.face.normal);
        DVec3::new(
            self.foot.x * w + self.height_m * direction.dot(self.face.u),
            self.foot.y * w + self.height_m * direction.dot(self.face.v),
            w,
        )
    }

    /// One bit for each edge that the point lies beyond.
    fn outside(&self, h: DVec3) -> u32 {
        let mut bits = 0;
        for (i, plane) in self.edges.iter().enumerate() {
            bits |= u32::from(plane.dot(h) < 0.0) << i;
        }
        bits
    }

    /// The point in the room; rounding cannot carry it off the face.
    fn point(&self, h: DVec3) -> DVec3 {
        let face = self.face;
        let x = (h.x / h.z).clamp(0.0, face.width_m);
        let y = (h.y / h.z).clamp(0.0, face.height_m);
        face.origin + face.u * x + face.v * y
    }
}

/// One step of Sutherland and Hodgman's clipping: keeps the part of the polygon with
/// `plane . h >= 0`.
fn clip(polygon: &[DVec3], plane: DVec3, out: &mut Vec<DVec3>) {
    out.clear();
    let Some(&last) = polygon.last() else { return };
    let (mut previous, mut previous_side) = (last, plane.dot(last));
    for &point in polygon {
        let side = plane.dot(point);
        if (side >= 0.0) != (previous_side >= 0.0) {
            out.push(previous.lerp(point, previous_side / (previous_side - side)));
        }
        if side >= 0.0 {
            out.push(point);
        }
        (previous, previous_side) = (point, side);
    }
}

/// A regular polygon of `n` corners (at least 3) on the unit circle, anticlockwise, first at (1, 0).
pub fn circle(n: usize) -> Vec<DVec2> {
    let n = n.max(3);
    (0..n).map(|i| DVec2::from_angle(std::f64::consts::TAU * i as f64 / n as f64)).collect()
}

/// The part of a polygon on the near side of a line: the points p with `p . normal <= offset`. Cuts
/// the aperture as a framing blade does. Empty if nothing is left.
pub fn clip_half_plane(polygon: &[DVec2], normal: DVec2, offset: f64) -> Vec<DVec2> {
    let mut out = Vec::with_capacity(polygon.len() + 2);
    let Some(&last) = polygon.last() else { return out };
    let beyond = |p: DVec2| p.dot(normal) - offset;
    let (mut previous, mut previous_beyond) = (last, beyond(last));
    for &point in polygon {
        let point_beyond = beyond(point);
        if (point_beyond <= 0.0) != (previous_beyond <= 0.0) {
            let share = previous_beyond / (previous_beyond - point_beyond);
            out.push(previous.lerp(point, share));
        }
        if point_beyond <= 0.0 {
            out.push(point);
        }
        (previous, previous_beyond) = (point, point_beyond);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn floor() -> Face {
        Face::new(DVec3::new(-5.0, -5.0, 0.0), DVec3::X, DVec3::Y, 10.0, 10.0)
    }

    fn landed(face: &Face, cone: &Cone, shape: &[DVec2]) -> Vec<DVec3> {
        let (mut directions, mut out) = (Vec::new(), Vec::new());
        cone.directions(shape, &mut directions);
        project(face, cone.apex, &directions, &mut Scratch::default(), &mut out);
        out
    }

    fn cone(apex: [f64; 3], axis: [f64; 3], half_deg: f64) -> Cone {
        Cone::new(apex.into(), axis.into(), DVec3::Y, half_deg.to_radians()).unwrap()
    }

    #[test]
    fn a_beam_straight_down_lands_as_its_own_circle() {
        let points = landed(&floor(), &cone([1.0, 1.0, 3.0], [0.0, 0.0, -1.0], 30.0), &circle(48));
        assert_eq!(points.len(), 48);
        for p in points {
            let radius_m = (p - DVec3::new(1.0, 1.0, 0.0)).length();
            assert!((radius_m - 3.0 * 30f64.to_radians().tan()).abs() < 1e-12);
        }
    }

    #[test]
    fn right_is_to_the_right_along_the_beam() {
        let upstage = Cone::new(DVec3::ZERO, DVec3::Y, DVec3::Z, 0.1).unwrap();
        assert_eq!(upstage.right(), DVec3::X);
        let down = Cone::new(DVec3::ZERO, -DVec3::Z, DVec3::Y, 0.1).unwrap();
        assert_eq!(down.right(), DVec3::X);
    }

    #[test]
    fn light_that_leaves_the_face_lands_nowhere() {
        let disc = circle(16);
        assert!(landed(&floor(), &cone([0.0, 0.0, 3.0], [0.0, 0.0, 1.0], 30.0), &disc).is_empty());
        assert!(landed(&floor(), &cone([0.0, 0.0, -3.0], [0.0, 0.0, 1.0], 30.0), &disc).is_empty());
        assert!(landed(&floor(), &cone([0.0, 0.0, 0.0], [0.0, 0.0, -1.0], 30.0), &disc).is_empty());
        assert!(landed(&floor(), &cone([50.0, 0.0, 3.0], [0.0, 0.0, -1.0], 5.0), &disc).is_empty());
    }

    #[test]
    fn a_beam_past_the_horizon_is_cut_at_the_far_edge() {
        let points = landed(&floor(), &cone([0.0, 0.0, 3.0], [0.0, 1.0, -0.1], 30.0), &circle(48));
        assert!(points.iter().any(|p| (p.y - 5.0).abs() < 1e-9));
        assert!(points.iter().all(|p| p.z == 0.0 && p.y <= 5.0 && p.x.abs() <= 5.0));
    }

    #[test]
    fn a_beam_wider_than_the_face_covers_its_corners() {
        let points = landed(&floor(), &cone([0.0, 0.0, 1.0], [0.0, 0.0, -1.0], 84.0), &circle(48));
        for corner in floor().corners() {
            assert!(points.iter().any(|p| p.distance(corner) < 1e-9), "{corner}");
        }
    }

    #[test]
    fn a_ray_hits_where_its_line_runs() {
        let apex = DVec3::new(0.0, 0.0, 4.0);
        let hit = floor().hit(apex, DVec3::new(0.0, 1.0, -1.0)).unwrap();
        assert!(hit.distance(DVec3::new(0.0, 4.0, 0.0)) < 1e-12);
        assert_eq!(floor().hit(apex, DVec3::new(0.0, 3.0, -1.0)), None);
        assert_eq!(floor().hit(apex, DVec3::Z), None);
        assert_eq!(floor().hit(apex, DVec3::NAN), None);
    }

    #[test]
    fn odd_cones_are_refused_or_clamped() {
        let make = |axis, up, half| Cone::new(DVec3::ZERO, axis, up, half);
        assert_eq!(make(DVec3::ZERO, DVec3::Y, 0.1), None);
        assert_eq!(make(DVec3::NAN, DVec3::Y, 0.1), None);
        assert_eq!(make(DVec3::X, DVec3::Y, f64::NAN), None);
        let wide = make(DVec3::X, DVec3::X, 4.0).unwrap();
        assert_eq!(wide.half_angle_rad, MAX_HALF_ANGLE_RAD);
        assert!(wide.up.dot(wide.axis).abs() < 1e-12 && (wide.up.length() - 1.0).abs() < 1e-12);
        assert_eq!(wide.with_half_angle(f64::NAN).half_angle_rad, 0.0);
    }

    #[test]
    fn a_blade_cuts_the_disc_along_its_line() {
        let half = clip_half_plane(&circle(64), DVec2::X, 0.25);
        assert!(half.iter().all(|p| p.x <= 0.25 + 1e-12));
        assert_eq!(half.iter().filter(|p| (p.x - 0.25).abs() < 1e-12).count(), 2);
        assert!(clip_half_plane(&circle(64), DVec2::X, -2.0).is_empty());
        assert_eq!(clip_half_plane(&circle(64), DVec2::X, 2.0).len(), 64);
        assert!(clip_half_plane(&[], DVec2::X, 0.0).is_empty());
    }
}
