//! Which fixture is under the pointer.

use glam::Vec2;

use super::glow::silhouette;
use super::picture::Rect;
use super::scene::Scene;
use super::view::View;

/// How near to a fixture's mark the pointer must be, in points.
const NEAR: f32 = 11.0;

/// The fixture whose mark, or else whose beam, is under a point: of several marks the nearest, of
/// several beams the slimmest.
pub fn pick(scene: &Scene, view: &View, point: Vec2) -> Option<usize> {
    if !view.rect.contains(point) {
        return None;
    }
    let marks = scene.marks.iter().enumerate().filter_map(|(i, mark)| {
        let nearest = mark.cells.iter().map(|at| view.to_screen(*at).distance(point));
        nearest.reduce(f32::min).filter(|d| *d <= NEAR).map(|d| (i, d))
    });
    if let Some((i, _)) = marks.min_by(|a, b| a.1.total_cmp(&b.1)) {
        return Some(i);
    }
    let beams = scene.beams.iter().filter_map(|beam| {
        let outline = silhouette(scene, view, beam);
        contains(&outline, point).then(|| (beam.fixture, area(&outline)))
    });
    beams.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(fixture, _)| fixture)
}

/// The fixtures whose marks lie in a rectangle.
pub fn pick_box(scene: &Scene, view: &View, rect: Rect) -> Vec<usize> {
    let inside = |i: &usize| {
        let at = view.to_screen(scene.marks[*i].at);
        rect.contains(at) && view.rect.contains(at)
    };
    (0..scene.marks.len()).filter(inside).collect()
}

/// Whether a point lies in a convex polygon, whichever way round it runs.
fn contains(outline: &[Vec2], point: Vec2) -> bool {
    let next = outline.iter().cycle().skip(1);
    let mut sides = outline.iter().zip(next).map(|(a, b)| (*b - *a).perp_dot(point - *a));
    outline.len() >= 3 && {
        let first = sides.next().unwrap_or(0.0);
        sides.all(|side| side * first >= 0.0)
    }
}

fn area(outline: &[Vec2]) -> f32 {
    let next = outline.iter().cycle().skip(1);
    outline.iter().zip(next).map(|(a, b)| a.perp_dot(*b)).sum::<f32>().abs() / 2.0
}
