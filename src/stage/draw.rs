//! From a scene to a picture: an engineering drawing of the room with the light in it.
//!
//! The drawing is neutral grey, so that every hue in it is light. It is dark in every theme, since light
//! only shows against darkness.

use glam::{DVec2, DVec3, Vec2};

use super::glow::{Exposure, Glows};
use super::mark;
use super::picture::{AlignH, AlignV, Ink, Pane, Picture, Shape, Stroke, Weight};
use super::room::Room;
use super::scene::Scene;
use super::view::{View, ViewKind};

/// Greys and the accent of the drawing.
pub mod ink {
    use super::super::picture::Ink;

    /// Behind the views.
    pub const PAPER: Ink = Ink::grey(24);
    /// Inside a view.
    pub const DARK: Ink = Ink::grey(11);
    /// Grid lines, one a metre.
    pub const GRID: Ink = Ink([255, 255, 255, 11]);
    /// Grid lines, one in five metres.
    pub const GRID_STRONG: Ink = Ink([255, 255, 255, 24]);
    /// Outlines of the room.
    pub const ROOM: Ink = Ink::grey(120);
    /// Trusses and blocks.
    pub const STEEL: Ink = Ink::grey(92);
    /// Text.
    pub const TEXT: Ink = Ink::grey(212);
    /// Text that steps back.
    pub const QUIET: Ink = Ink::grey(150);
    /// What is selected.
    pub const ACCENT: Ink = Ink::rgb(158, 154, 255);
    /// Behind text.
    pub const HALO: Ink = Ink([0, 0, 0, 170]);
}

/// How a scene is drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawOptions<'a> {
    /// Stops of exposure on top of the automatic one: each doubles the brightness.
    pub exposure_ev: f64,
    /// Share of light that haze scatters, per metre of haze.
    pub haze_per_m: f64,
    /// Selected fixtures, as places in the rig.
    pub selected: &'a [usize],
    /// The fixture under the pointer.
    pub hovered: Option<usize>,
    /// What the picture shows, in words.
    pub title: &'a str,
}

impl Default for DrawOptions<'_> {
    fn default() -> Self {
        Self {
            exposure_ev: 0.0,
            haze_per_m: DEFAULT_HAZE_PER_M,
            selected: &[],
            hovered: None,
            title: "",
        }
    }
}

/// Haze of a usual show, as a share of light scattered per metre: a value that draws shafts well
/// beside their pools (common practice, no source).
pub const DEFAULT_HAZE_PER_M: f64 = 0.05;

/// Draws a scene in some views, which lie in a picture of this size.
pub fn draw(scene: &Scene, views: &[View], size: Vec2, options: &DrawOptions<'_>) -> Picture {
    let exposure = Exposure {
        per_lx: options.exposure_ev.clamp(-12.0, 12.0).exp2() / scene.reference_lx.max(1e-6),
        haze_per_m: options.haze_per_m.max(0.0),
    };
    let mut picture = Picture::new(size, ink::PAPER, options.title);
    let light = Glows::new(scene, exposure).in_views(views);
    for (view, glows) in views.iter().zip(light) {
        let mut pane = Pane::new(view.rect, ink::DARK);
        pane.glows = glows;
        grid(view, &mut pane.shapes);
        room(view, &scene.room, &mut pane.shapes);
        mark::draw(scene, view, options, &mut pane.shapes);
        furniture(view, &mut pane.shapes);
        picture.panes.push(pane);
    }
    for pair in views.windows(2) {
        let y = pair[1].rect.min.y;
        let ends = [Vec2::new(pair[1].rect.min.x, y), Vec2::new(pair[1].rect.max.x, y)];
        picture.shapes.push(line(ends, Stroke::solid(1.0, ink::PAPER)));
    }
    picture
}

pub(super) fn line(points: impl Into<Vec<Vec2>>, stroke: Stroke) -> Shape {
    Shape::Line { points: points.into(), closed: false, stroke: Some(stroke), fill: None }
}

fn outline(points: impl Into<Vec<Vec2>>, stroke: Option<Stroke>, fill: Option<Ink>) -> Shape {
    Shape::Line { points: points.into(), closed: true, stroke, fill }
}

pub(super) fn label(
    at: Vec2,
    align: (AlignH, AlignV),
    size: f32,
    ink: Ink,
    text: impl Into<String>,
) -> Shape {
    let (weight, text) = (Weight::Regular, text.into());
    Shape::Text { at, align, size, weight, ink, text, halo: Some(ink::HALO), turn_deg: 0.0 }
}

/// A line every metre, or every 5 or 25 m where a metre would be too fine to see.
fn grid(view: &View, out: &mut Vec<Shape>) {
    let step_m = [1.0, 5.0, 25.0, 125.0]
        .into_iter()
        .find(|step| step * view.points_per_m >= 9.0)
        .unwrap_or(625.0);
    let (a, b) = (view.to_plane(view.rect.min), view.to_plane(view.rect.max));
    let (low, high) = (a.min(b), a.max(b));
    let mut lines = |low: f64, high: f64, ends: &dyn Fn(f64) -> [Vec2; 2]| {
        let (first, last) = ((low / step_m).ceil() as i64, (high / step_m).floor() as i64);
        for i in first..=last {
            let ink = if i % 5 == 0 { ink::GRID_STRONG } else { ink::GRID };
            out.push(line(ends(i as f64 * step_m), Stroke::solid(1.0, ink)));
        }
    };
    let at = |x: f64, y: f64| view.flat_to_screen(DVec2::new(x, y));
    lines(low.x, high.x, &|x| [at(x, low.y), at(x, high.y)]);
    lines(low.y, high.y, &|y| [at(low.x, y), at(high.x, y)]);
}

fn room(view: &View, room: &Room, out: &mut Vec<Shape>) {
    for block in &room.blocks {
        let (min, max) = (DVec3::from(block.min), DVec3::from(block.max));
        let corners = box_corners(view, min, max);
        let stroke = Stroke::solid(1.0, ink::STEEL.with_alpha(170));
        out.push(outline(corners, Some(stroke), Some(Ink([255, 255, 255, 9]))));
    }
    let (min, max) = (room.min(), room.max());
    let corners = box_corners(view, min, max);
    out.push(outline(corners, Some(Stroke::solid(1.0, ink::STEEL)), None));
    // What stands on what: the floor in elevation, the back wall in plan.
    let heavy = match view.kind {
        ViewKind::Plan => [DVec3::new(min.x, max.y, 0.0), max],
        ViewKind::Front | ViewKind::Side => [min, DVec3::new(max.x, max.y, 0.0)],
    };
    out.push(line(heavy.map(|p| view.to_screen(p)), Stroke::solid(1.75, ink::ROOM)));
    if view.kind != ViewKind::Front {
        let edge = match view.kind {
            ViewKind::Plan => [DVec3::new(min.x, 0.0, 0.0), DVec3::new(max.x, 0.0, 0.0)],
            _ => [DVec3::ZERO, DVec3::new(0.0, 0.0, max.z)],
        };
        let stroke = Stroke::dashed(1.0, ink::STEEL, 7.0, 5.0);
        out.push(line(edge.map(|p| view.to_screen(p)), stroke));
    }
    for truss in &room.trusses {
        draw_truss(view, truss.from.into(), truss.to.into(), truss.width_m, out);
    }
    names(view, room, out);
}

/// The rectangle that a box makes in a view.
fn box_corners(view: &View, min: DVec3, max: DVec3) -> Vec<Vec2> {
    let (low, high) = (view.kind.flatten(min), view.kind.flatten(max));
    let corners = [low, DVec2::new(high.x, low.y), high, DVec2::new(low.x, high.y)];
    corners.map(|flat| view.flat_to_screen(flat)).to_vec()
}

/// Two chords with lacing between; a small square where it is seen end-on.
fn draw_truss(view: &View, from: DVec3, to: DVec3, width_m: f64, out: &mut Vec<Shape>) {
    let (a, b) = (view.to_screen(from), view.to_screen(to));
    let half = ((width_m / 2.0 * view.points_per_m) as f32).clamp(1.5, 200.0);
    let stroke = Stroke::solid(1.0, ink::STEEL);
    let length = (b - a).length();
    if length < 2.0 * half {
        let (low, high) = (a - Vec2::splat(half), a + Vec2::splat(half));
        let corners = vec![low, Vec2::new(high.x, low.y), high, Vec2::new(low.x, high.y)];
        out.push(outline(corners, Some(stroke), None));
        return;
    }
    let across = (b - a).perp().normalize_or_zero() * half;
    out.push(line([a + across, b + across], stroke));
    out.push(line([a - across, b - across], stroke));
    let bays = ((length / (3.2 * half)).round() as usize).clamp(1, 80);
    let lacing = (0..=bays).map(|i| {
        let side = if i % 2 == 0 { 1.0 } else { -1.0 };
        a.lerp(b, i as f32 / bays as f32) + across * side
    });
    let fine = Stroke::solid(0.75, ink::STEEL.with_alpha(130));
    out.push(line(lacing.collect::<Vec<Vec2>>(), fine));
}

/// Names of trusses, of the audience's side, of the edge of the stage.
fn names(view: &View, room: &Room, out: &mut Vec<Shape>) {
    let (min, max) = (room.min(), room.max());
    let quiet = |at: DVec3, shift: Vec2, align, text: &str| {
        label(view.to_screen(at) + shift, align, 10.0, ink::QUIET, text)
    };
    // Beside the left end, below one another where trusses overlap in this view.
    let mut taken: Vec<Vec2> = Vec::new();
    for truss in &room.trusses {
        let ends = [DVec3::from(truss.from), DVec3::from(truss.to)].map(|end| view.to_screen(end));
        let left = if ends[0].x <= ends[1].x { ends[0] } else { ends[1] };
        let half = (truss.width_m / 2.0 * view.points_per_m) as f32;
        let end_on = (ends[1] - ends[0]).length() < 2.0 * half;
        let mut at = left - Vec2::new(if end_on { half + 5.0 } else { 6.0 }, 0.0);
        while taken
            .iter()
            .any(|other| (at.y - other.y).abs() < 11.0 && (at.x - other.x).abs() < 90.0)
        {
            at.y += 3.0;
        }
        taken.push(at);
        let align = (AlignH::Right, AlignV::Middle);
        out.push(label(at, align, 10.0, ink::QUIET, &truss.name));
    }
    match view.kind {
        ViewKind::Plan => {
            let front = DVec3::new(0.0, min.y, 0.0);
            let align = (AlignH::Centre, AlignV::Bottom);
            out.push(quiet(front, Vec2::new(0.0, -3.0), align, "audience"));
            let edge = DVec3::new(max.x, 0.0, 0.0);
            let align = (AlignH::Left, AlignV::Middle);
            out.push(quiet(edge, Vec2::new(6.0, 0.0), align, "stage edge"));
        }
        ViewKind::Side => {
            let align = (AlignH::Left, AlignV::Bottom);
            out.push(quiet(min, Vec2::new(4.0, -3.0), align, "audience"));
        }
        ViewKind::Front => {}
    }
}

/// The view's name and its scale bar.
fn furniture(view: &View, out: &mut Vec<Shape>) {
    let corner = Vec2::new(view.rect.min.x + 10.0, view.rect.min.y + 8.0);
    out.push(label(corner, (AlignH::Left, AlignV::Top), 11.0, ink::TEXT, view.kind.word()));
    let length_m = [1.0, 2.0, 5.0, 0.5, 0.2, 0.1, 10.0, 20.0, 50.0, 100.0]
        .into_iter()
        .find(|m| (44.0..=130.0).contains(&(m * view.points_per_m)))
        .unwrap_or(1.0);
    let length = (length_m * view.points_per_m) as f32;
    let right = Vec2::new(view.rect.max.x - 12.0, view.rect.min.y + 16.0);
    let left = right - Vec2::new(length, 0.0);
    let tick = Vec2::new(0.0, 4.0);
    // Both may stand in bright light: the bar has a rim as letters have.
    for stroke in [Stroke::solid(3.0, ink::HALO), Stroke::solid(1.0, ink::TEXT)] {
        out.push(line([left - tick, left, right, right - tick], stroke));
    }
    let above = Vec2::new((left.x + right.x) / 2.0, right.y + 3.0);
    let text = format!("{length_m} m");
    out.push(label(above, (AlignH::Centre, AlignV::Top), 10.0, ink::TEXT, text));
}
