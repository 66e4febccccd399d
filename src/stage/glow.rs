//! From beams to areas of light in a view: the shaft that haze shows, the pool where it lands on the
//! surface the view looks at, and the rim of light on the surfaces it sees edge-on.
//!
//! A beam whose edge is soft is drawn as nested cones, each holding an equal share of the light, so
//! that their sum follows the fall-off of its intensity. An opening of a pattern is drawn evenly, at
//! the mean of the beam, so that the flux is right.

use std::sync::LazyLock;

use glam::{DVec2, DVec3, Vec2};

use super::picture::{Fill, Glow, Rect};
use super::scene::{Scene, faces};
use super::view::{View, ViewKind};
use crate::light::cone::{Scratch, circle, project};
use crate::light::photometry::solid_angle_sr;
use crate::light::{Beam, Cone, Face, Rgb};

/// Corners of a round cone.
const CORNERS: usize = 40;

/// How far a beam is drawn when it leaves the room, in metres.
const OUT_OF_ROOM_M: f64 = 30.0;

/// Closest distance to the apex that haze brightness is worked out for, in metres; the lens is no
/// point.
const LENS_M: f64 = 0.25;

/// From this many beams on, soft edges are drawn in fewer steps: nobody sees them in a crowd.
const CROWD: usize = 80;

/// Share of its peak intensity below which a soft beam is no longer drawn.
const FAINTEST: f64 = 0.02;

/// Thickness of the rim of light on a surface seen edge-on, in points.
const RIM: f32 = 3.0;

static ROUND: LazyLock<Vec<DVec2>> = LazyLock::new(|| circle(CORNERS));

/// How light becomes brightness on screen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Exposure {
    /// Brightness per lux on a surface.
    pub per_lx: f64,
    /// How much of the light haze scatters to the eye, per metre.
    pub haze_per_m: f64,
}

/// One cone or opening of a beam, ready to be followed into the room.
struct Part {
    directions: Vec<DVec3>,
    /// Candela per channel.
    rgb_cd: Rgb,
    /// Width of its cone, as tangent of a full angle: how deep the light is that a look across meets.
    depth: f64,
}

/// The light of a scene, spread over views.
pub(super) struct Glows<'a> {
    scene: &'a Scene,
    faces: [Face; 6],
    exposure: Exposure,
    scratch: Scratch,
    landed: Vec<DVec3>,
    hull: Vec<Vec2>,
}

impl<'a> Glows<'a> {
    pub(super) fn new(scene: &'a Scene, exposure: Exposure) -> Self {
        Self {
            scene,
            faces: faces(&scene.room),
            exposure,
            scratch: Scratch::default(),
            landed: Vec::new(),
            hull: Vec::new(),
        }
    }

    /// The light in each of the views, in their order.
    pub(super) fn in_views(&mut self, views: &[View]) -> Vec<Vec<Glow>> {
        let mut out: Vec<Vec<Glow>> = views.iter().map(|_| Vec::new()).collect();
        let mut ends = Vec::new();
        let crowded = self.scene.beams.len() > CROWD;
        for beam in &self.scene.beams {
            let throw_m = self.throw_m(&beam.cone);
            for part in parts(beam, crowded) {
                self.ends(&beam.cone, &part.directions, &mut ends);
                for (view, glows) in views.iter().zip(&mut out) {
                    glows.extend(self.shaft(view, beam, &part, &ends, throw_m));
                    glows.extend(self.pool(view, beam, &part));
                }
            }
            for (view, glows) in views.iter().zip(&mut out) {
                self.rims(view, beam, glows);
            }
        }
        out
    }

    /// How far the axis goes until it lands.
    fn throw_m(&self, cone: &Cone) -> f64 {
        reach(&self.scene.room.min(), &self.scene.room.max(), cone.apex, cone.axis)
    }

    /// Where the edge directions of a part land.
    fn ends(&self, cone: &Cone, directions: &[DVec3], out: &mut Vec<DVec3>) {
        let (min, max) = (self.scene.room.min(), self.scene.room.max());
        out.clear();
        out.extend(directions.iter().map(|direction| {
            let along = reach(&min, &max, cone.apex, *direction);
            cone.apex + *direction * along
        }));
    }

    /// The shaft of a part: what haze scatters across the look. Its brightness follows intensity
    /// times the depth of the cone over the square of the distance, so it falls with the distance.
    fn shaft(
        &mut self,
        view: &View,
        beam: &Beam,
        part: &Part,
        ends: &[DVec3],
        throw_m: f64,
    ) -> Option<Glow> {
        let apex = view.to_screen(beam.cone.apex);
        self.hull.clear();
        self.hull.push(apex);
        self.hull.extend(ends.iter().map(|end| view.to_screen(*end)));
        let outline = convex_hull(&mut self.hull);
        if outline.len() < 3 || !overlaps(&outline, &view.rect) {
            return None;
        }
        let flat_axis = view.kind.flatten(beam.cone.axis);
        // Looking along a beam, the eye meets much more of it, but no more than the room is deep.
        let across = flat_axis.length().max(0.3);
        let at_1m =
            part.rgb_cd * (part.depth / across * self.exposure.haze_per_m * self.exposure.per_lx);
        let end = view.to_screen(beam.cone.apex + beam.cone.axis * throw_m);
        if (end - apex).length() < 4.0 {
            let light = at_1m * (1.0 / (throw_m / 2.0).max(LENS_M));
            return Some(Glow::flat(outline, single(light)));
        }
        let stops = [0.0, 0.03, 0.07, 0.13, 0.22, 0.36, 0.6, 1.0]
            .map(|t: f64| (t as f32, single(at_1m * (1.0 / (t * throw_m).max(LENS_M)))));
        Some(Glow { outline, fill: Fill::Along { from: apex, to: end, stops: stops.to_vec() } })
    }

    /// The pool of a part on the surface the view looks at.
    fn pool(&mut self, view: &View, beam: &Beam, part: &Part) -> Option<Glow> {
        let face = &self.faces[looked_at(view.kind)];
        project(face, beam.cone.apex, &part.directions, &mut self.scratch, &mut self.landed);
        if self.landed.len() < 3 {
            return None;
        }
        let outline: Vec<Vec2> = self.landed.iter().map(|point| view.to_screen(*point)).collect();
        if !overlaps(&outline, &view.rect) {
            return None;
        }
        let (from, to) = ends_along(face, &beam.cone, &self.landed);
        let fill = self.fill_along(view, face, beam, part.rgb_cd, from, to);
        Some(Glow { outline, fill })
    }

    /// Illuminance between two points of a face, as a fill.
    fn fill_along(
        &self,
        view: &View,
        face: &Face,
        beam: &Beam,
        rgb_cd: Rgb,
        from: DVec3,
        to: DVec3,
    ) -> Fill {
        let light_at = |t: f64| {
            let to_light = beam.cone.apex - from.lerp(to, t);
            let distance_m2 = to_light.length_squared().max(LENS_M * LENS_M);
            let cos = (to_light.dot(face.normal) / distance_m2.sqrt()).max(0.0);
            single(rgb_cd * (cos / distance_m2 * self.exposure.per_lx))
        };
        let stops = [0.0, 0.25, 0.5, 0.75, 1.0].map(|t: f64| (t as f32, light_at(t)));
        let (low, high) = stops.iter().fold((f32::MAX, 0f32), |(low, high), (_, [r, g, b])| {
            let strongest = r.max(*g).max(*b);
            (low.min(strongest), high.max(strongest))
        });
        let (from, to) = (view.to_screen(from), view.to_screen(to));
        if high <= low * 1.03 || (to - from).length() < 1.0 {
            return Fill::Flat(stops[2].1);
        }
        Fill::Along { from, to, stops: stops.to_vec() }
    }

    /// Light on the floor and walls that the view sees edge-on, as a rim just outside the room.
    fn rims(&mut self, view: &View, beam: &Beam, out: &mut Vec<Glow>) {
        let half_angle_rad = beam.cone.half_angle_rad.min(beam.distribution.inverse(0.5));
        let cone = beam.cone.with_half_angle(half_angle_rad);
        let mut directions = Vec::with_capacity(CORNERS);
        cone.directions(&ROUND, &mut directions);
        let through = beam.mean_transmission();
        for i in edge_on(view.kind) {
            let face = self.faces[*i];
            project(&face, cone.apex, &directions, &mut self.scratch, &mut self.landed);
            if self.landed.len() < 3 {
                continue;
            }
            let (from, to) = ends_along_screen(view, &self.landed);
            let (a, b) = (view.to_screen(from), view.to_screen(to));
            // Outward on screen: away from the side the face looks to.
            let flat = view.kind.flatten(face.normal);
            let outward = Vec2::new(-flat.x as f32, flat.y as f32) * RIM;
            let outline = vec![a, b, b + outward, a + outward];
            if overlaps(&outline, &view.rect) {
                let fill = self.fill_along(view, &face, beam, beam.rgb_cd * through, from, to);
                out.push(Glow { outline, fill });
            }
        }
    }
}

/// The outline of a beam in a view down to half its peak, for picking.
pub(super) fn silhouette(scene: &Scene, view: &View, beam: &Beam) -> Vec<Vec2> {
    let half_angle_rad = beam.cone.half_angle_rad.min(beam.distribution.inverse(0.5));
    cone_outline(scene, view, &beam.cone.with_half_angle(half_angle_rad))
}

/// The outline of a cone, from its apex to where it lands.
fn cone_outline(scene: &Scene, view: &View, cone: &Cone) -> Vec<Vec2> {
    let mut directions = Vec::with_capacity(CORNERS);
    cone.directions(&ROUND, &mut directions);
    let (min, max) = (scene.room.min(), scene.room.max());
    let mut points = vec![view.to_screen(cone.apex)];
    points.extend(directions.iter().map(|direction| {
        view.to_screen(cone.apex + *direction * reach(&min, &max, cone.apex, *direction))
    }));
    convex_hull(&mut points)
}

/// The outlines of a cone in a view, whether or not there is light in it: the edge where it lands on
/// the surface the view looks at, and its silhouette. Either may be empty.
pub(super) fn aim_outlines(scene: &Scene, view: &View, cone: &Cone) -> (Vec<Vec2>, Vec<Vec2>) {
    let mut directions = Vec::with_capacity(CORNERS);
    cone.directions(&ROUND, &mut directions);
    let (mut scratch, mut landed) = (Scratch::default(), Vec::new());
    let face = faces(&scene.room)[looked_at(view.kind)];
    project(&face, cone.apex, &directions, &mut scratch, &mut landed);
    let pool = landed.iter().map(|point| view.to_screen(*point)).collect();
    (pool, cone_outline(scene, view, cone))
}

/// The cones and openings a beam is drawn as.
fn parts(beam: &Beam, crowded: bool) -> Vec<Part> {
    let mut parts = Vec::new();
    let mean = beam.distribution.flux_lm(1.0)
        / solid_angle_sr(2.0 * beam.cone.half_angle_rad.to_degrees()).max(1e-9);
    for opening in &beam.openings {
        let rgb_cd = beam.rgb_cd * opening.transmission;
        match &opening.outline {
            Some(outline) => {
                let mut directions = Vec::with_capacity(outline.len());
                beam.cone.directions(outline, &mut directions);
                let width = opening.area_share().sqrt();
                parts.push(Part {
                    directions,
                    rgb_cd: rgb_cd * mean.min(1.0),
                    depth: 2.0 * beam.cone.half_angle_rad.tan() * width,
                });
            }
            None => nested(beam, rgb_cd, crowded, &mut parts),
        }
    }
    parts
}

/// A round beam as nested cones, whose sum follows the fall-off of intensity from a share of
/// [`FAINTEST`] up. The softer the edge, the more of them; steps are finer towards the edge, where
/// the eye sees them best. In a crowd there are fewer.
fn nested(beam: &Beam, rgb_cd: Rgb, crowded: bool, parts: &mut Vec<Part>) {
    let softness = beam.distribution.field_deg() / beam.distribution.beam_deg().max(0.01);
    let count = match softness {
        s if s < 1.2 => 3,
        s if s < 1.45 => 10,
        s if s < 1.7 => 14,
        _ => 20,
    };
    let count = if crowded { (count / 3).max(2) } else { count };
    let depth = 2.0 * beam.cone.half_angle_rad.tan();
    let edge = |i: i32| FAINTEST + (1.0 - FAINTEST) * (f64::from(i) / f64::from(count)).powf(1.7);
    for i in 0..count {
        let (low, high) = (if i == 0 { 0.0 } else { edge(i) }, edge(i + 1));
        let half_angle_rad = beam.distribution.inverse((low + high) / 2.0);
        let cone = beam.cone.with_half_angle(half_angle_rad);
        let mut directions = Vec::with_capacity(CORNERS);
        cone.directions(&ROUND, &mut directions);
        parts.push(Part { directions, rgb_cd: rgb_cd * (high - low), depth });
    }
}

/// How far along `direction` (in its lengths) the wall of a box is from a point inside it. From
/// outside, or where nothing stops it, [`OUT_OF_ROOM_M`].
fn reach(min: &DVec3, max: &DVec3, from: DVec3, direction: DVec3) -> f64 {
    let mut nearest = OUT_OF_ROOM_M / direction.length().max(1e-9);
    for axis in 0..3 {
        let (at, step) = (from[axis], direction[axis]);
        if at < min[axis] || at > max[axis] {
            return OUT_OF_ROOM_M / direction.length().max(1e-9);
        }
        let wall = if step > 0.0 { max[axis] } else { min[axis] };
        if step != 0.0 {
            nearest = nearest.min((wall - at) / step);
        }
    }
    nearest
}

/// The face that a view looks at, as a place in [`faces`].
fn looked_at(kind: ViewKind) -> usize {
    match kind {
        ViewKind::Plan => 0,
        ViewKind::Front => 1,
        ViewKind::Side => 2,
    }
}

/// The faces that a view sees edge-on and that are worth a rim, as places in [`faces`].
fn edge_on(kind: ViewKind) -> &'static [usize] {
    match kind {
        ViewKind::Plan => &[1, 2, 3],
        ViewKind::Front => &[0, 2, 3],
        ViewKind::Side => &[0, 1],
    }
}

/// The ends of a polygon on a face along the way the beam leans there.
fn ends_along(face: &Face, cone: &Cone, polygon: &[DVec3]) -> (DVec3, DVec3) {
    let lean = cone.axis - face.normal * cone.axis.dot(face.normal);
    let lean = lean.try_normalize().unwrap_or(face.u);
    let middle = polygon.iter().sum::<DVec3>() / polygon.len() as f64;
    let (low, high) = polygon
        .iter()
        .map(|p| (*p - middle).dot(lean))
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), along| {
            (low.min(along), high.max(along))
        });
    (middle + lean * low, middle + lean * high)
}

/// The points of a polygon farthest apart on screen, where it is seen edge-on.
fn ends_along_screen(view: &View, polygon: &[DVec3]) -> (DVec3, DVec3) {
    let along = |point: &DVec3| {
        let flat = view.kind.flatten(*point);
        flat.x + flat.y
    };
    let by = |a: &&DVec3, b: &&DVec3| along(a).total_cmp(&along(b));
    let low = polygon.iter().min_by(by).copied().unwrap_or_default();
    let high = polygon.iter().max_by(by).copied().unwrap_or_default();
    (low, high)
}

fn single(light: Rgb) -> [f32; 3] {
    light.0.map(|channel| channel as f32)
}

/// Whether a polygon's bounding box meets a rectangle.
fn overlaps(polygon: &[Vec2], rect: &Rect) -> bool {
    let (low, high) = polygon
        .iter()
        .fold((Vec2::INFINITY, Vec2::NEG_INFINITY), |(low, high), p| (low.min(*p), high.max(*p)));
    low.is_finite() && high.is_finite() && low.cmple(rect.max).all() && high.cmpge(rect.min).all()
}

/// The convex hull of some points (Andrew's monotone chain). The points are left sorted.
pub(super) fn convex_hull(points: &mut [Vec2]) -> Vec<Vec2> {
    points.sort_unstable_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    let mut hull: Vec<Vec2> = Vec::with_capacity(points.len() + 1);
    let mut half = |points: &mut dyn Iterator<Item = Vec2>| {
        let floor = hull.len();
        for p in points {
            while hull.len() >= floor + 2 {
                let (a, b) = (hull[hull.len() - 2], hull[hull.len() - 1]);
                if (b - a).perp_dot(p - a) > 0.0 {
                    break;
                }
                hull.pop();
            }
            hull.push(p);
        }
        // The last point starts the other half.
        hull.pop();
    };
    half(&mut points.iter().copied());
    half(&mut points.iter().rev().copied());
    hull
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hull_holds_every_point_and_no_more_corners_than_needed() {
        let mut points: Vec<Vec2> =
            (0..6).flat_map(|x| (0..6).map(move |y| Vec2::new(x as f32, y as f32))).collect();
        let hull = convex_hull(&mut points);
        assert_eq!(hull.len(), 4);
        assert!(hull.contains(&Vec2::ZERO) && hull.contains(&Vec2::splat(5.0)));
    }

    #[test]
    fn a_ray_reaches_the_wall_it_looks_at() {
        let (min, max) = (DVec3::new(-5.0, -2.0, 0.0), DVec3::new(5.0, 8.0, 6.0));
        let from = DVec3::new(0.0, 0.0, 4.0);
        assert_eq!(reach(&min, &max, from, DVec3::NEG_Z), 4.0);
        assert_eq!(reach(&min, &max, from, DVec3::Y * 2.0), 4.0);
        assert_eq!(reach(&min, &max, DVec3::new(9.0, 0.0, 1.0), DVec3::X), OUT_OF_ROOM_M);
    }
}
