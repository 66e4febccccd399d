//! Parallel views of the room, and two of them on one sheet.

use glam::{DVec2, DVec3, Vec2};

use super::picture::Rect;
use super::room::Room;

/// Which way a view looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ViewKind {
    /// From above: x to the right, upstage up.
    Plan,
    /// From the audience: x to the right, z up.
    Front,
    /// From the audience's right: upstage to the right, z up.
    Side,
}

impl ViewKind {
    /// The view in words.
    pub fn word(self) -> &'static str {
        match self {
            Self::Plan => "plan",
            Self::Front => "front elevation",
            Self::Side => "side view",
        }
    }

    /// The two room coordinates that the view shows, to the right and up.
    pub fn flatten(self, point: DVec3) -> DVec2 {
        match self {
            Self::Plan => DVec2::new(point.x, point.y),
            Self::Front => DVec2::new(point.x, point.z),
            Self::Side => DVec2::new(point.y, point.z),
        }
    }

    /// The room coordinates of the surface that the view looks at (floor, back wall, left wall), at
    /// a flat point, and its normal.
    pub fn surface(self, room: &Room, flat: DVec2) -> (DVec3, DVec3) {
        match self {
            Self::Plan => (DVec3::new(flat.x, flat.y, 0.0), DVec3::Z),
            Self::Front => (DVec3::new(flat.x, room.depth_m, flat.y), DVec3::NEG_Y),
            Self::Side => (DVec3::new(room.min().x, flat.x, flat.y), DVec3::X),
        }
    }

    /// The room's lowest and highest coordinates in this view.
    pub fn room_bounds(self, room: &Room) -> (DVec2, DVec2) {
        (self.flatten(room.min()), self.flatten(room.max()))
    }
}

/// The middle of a view that shows what lies between two flat points, with more room above it.
fn centred(low: DVec2, high: DVec2, points_per_m: f64) -> DVec2 {
    (low + high) / 2.0 + DVec2::Y * (MARGIN_ABOVE - MARGIN_BELOW) / 2.0 / points_per_m
}

/// A parallel view in a rectangle of the picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// Which way it looks.
    pub kind: ViewKind,
    /// Where it is in the picture, in points.
    pub rect: Rect,
    /// The flat room point in the middle of the rectangle, in metres.
    pub centre: DVec2,
    /// Scale.
    pub points_per_m: f64,
}

/// Smallest and greatest scale of a view, in points a metre.
const SCALES: (f64, f64) = (2.0, 2000.0);

/// Room left beside the drawing when it is fitted, where the names of trusses stand, in points.
const MARGIN: f64 = 64.0;

/// Room left above it, where the view's name and scale stand, and below it.
const MARGIN_ABOVE: f64 = 30.0;
const MARGIN_BELOW: f64 = 16.0;

impl View {
    /// A view that shows the whole room.
    pub fn fit(kind: ViewKind, room: &Room, rect: Rect) -> Self {
        let (low, high) = kind.room_bounds(room);
        let taken = DVec2::new(2.0 * MARGIN, MARGIN_ABOVE + MARGIN_BELOW);
        let free = rect.size().as_dvec2() - taken;
        let scale = (free / (high - low).max(DVec2::splat(0.1))).min_element();
        let points_per_m = scale.clamp(SCALES.0, SCALES.1);
        Self { kind, rect, centre: centred(low, high, points_per_m), points_per_m }
    }

    /// Where a room point is drawn.
    pub fn to_screen(&self, point: DVec3) -> Vec2 {
        self.flat_to_screen(self.kind.flatten(point))
    }

    /// Where a flat point is drawn.
    pub fn flat_to_screen(&self, flat: DVec2) -> Vec2 {
        let from_centre = (flat - self.centre) * self.points_per_m;
        self.rect.centre() + Vec2::new(from_centre.x as f32, -from_centre.y as f32)
    }

    /// The flat room point drawn at a point of the picture.
    pub fn to_plane(&self, point: Vec2) -> DVec2 {
        let from_centre = (point - self.rect.centre()).as_dvec2();
        self.centre + DVec2::new(from_centre.x, -from_centre.y) / self.points_per_m
    }

    /// Scales by `factor`, keeping what is under `point` where it is.
    pub fn zoom_about(&mut self, point: Vec2, factor: f64) {
        if !(factor.is_finite() && factor > 0.0) {
            return;
        }
        let held = self.to_plane(point);
        self.points_per_m = (self.points_per_m * factor).clamp(SCALES.0, SCALES.1);
        self.centre += held - self.to_plane(point);
    }

    /// Moves the drawing by `delta` points.
    pub fn pan(&mut self, delta: Vec2) {
        let delta = delta.as_dvec2();
        self.centre -= DVec2::new(delta.x, -delta.y) / self.points_per_m;
    }
}

/// Two views, one above the other, at one scale; a plan and a front elevation share their x axis, so
/// that a point stands over itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sheet {
    /// The plan.
    pub upper: View,
    /// The front elevation or the side view.
    pub lower: View,
}

impl Sheet {
    /// The whole room in both views. `lower` is what stands below the plan.
    pub fn fit(room: &Room, rect: Rect, lower: ViewKind) -> Self {
        let extent = |kind: ViewKind| {
            let (low, high) = kind.room_bounds(room);
            (high - low).max(DVec2::splat(0.1))
        };
        let (above, below) = (extent(ViewKind::Plan), extent(lower));
        let size = rect.size().as_dvec2();
        let width_m = above.x.max(below.x);
        let margins = MARGIN_ABOVE + MARGIN_BELOW;
        let free = DVec2::new(size.x - 2.0 * MARGIN, size.y - 2.0 * margins);
        let scale = (free / DVec2::new(width_m, above.y + below.y)).min_element();
        let points_per_m = scale.clamp(SCALES.0, SCALES.1);
        let share = (above.y * points_per_m + margins)
            / ((above.y + below.y) * points_per_m + 2.0 * margins);
        Self::split(room, rect, lower, share as f32, points_per_m)
    }

    fn split(room: &Room, rect: Rect, lower: ViewKind, share: f32, points_per_m: f64) -> Self {
        let middle = (rect.min.y + rect.size().y * share).round();
        let view = |kind: ViewKind, rect| {
            let (low, high) = kind.room_bounds(room);
            View { kind, rect, centre: centred(low, high, points_per_m), points_per_m }
        };
        Self {
            upper: view(ViewKind::Plan, Rect::new(rect.min, Vec2::new(rect.max.x, middle))),
            lower: view(lower, Rect::new(Vec2::new(rect.min.x, middle), rect.max)),
        }
    }

    /// Both views, upper first.
    pub fn views(&self) -> [View; 2] {
        [self.upper, self.lower]
    }

    /// The view under a point of the picture.
    pub fn view_at(&self, point: Vec2) -> Option<&View> {
        [&self.lower, &self.upper].into_iter().find(|view| view.rect.contains(point))
    }

    /// The same parts of the room in a rectangle of another size.
    pub fn resize(&mut self, rect: Rect) {
        let old = (self.upper.rect.size().y + self.lower.rect.size().y).max(1.0);
        let middle = (rect.min.y + rect.size().y * self.upper.rect.size().y / old).round();
        self.upper.rect = Rect::new(rect.min, Vec2::new(rect.max.x, middle));
        self.lower.rect = Rect::new(Vec2::new(rect.min.x, middle), rect.max);
    }

    /// Scales both views by `factor`, keeping what is under `point` where it is.
    pub fn zoom_about(&mut self, point: Vec2, factor: f64) {
        let upper = self.is_upper(point);
        self.view_mut(upper).zoom_about(point, factor);
        let other_centre = self.view_mut(!upper).rect.centre();
        self.view_mut(!upper).zoom_about(other_centre, factor);
        self.share_x(upper);
    }

    /// Moves the view under `point` by `delta` points, and the other along x with it.
    pub fn pan(&mut self, point: Vec2, delta: Vec2) {
        let upper = self.is_upper(point);
        self.view_mut(upper).pan(delta);
        self.share_x(upper);
    }

    fn is_upper(&self, point: Vec2) -> bool {
        point.y < self.lower.rect.min.y
    }

    fn view_mut(&mut self, upper: bool) -> &mut View {
        if upper { &mut self.upper } else { &mut self.lower }
    }

    fn share_x(&mut self, from_upper: bool) {
        if self.lower.kind != ViewKind::Front {
            return;
        }
        let centre_x = self.view_mut(from_upper).centre.x;
        self.view_mut(!from_upper).centre.x = centre_x;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sheet() -> Sheet {
        let rect = Rect::new(Vec2::ZERO, Vec2::new(700.0, 600.0));
        Sheet::fit(&Room::default(), rect, ViewKind::Front)
    }

    #[test]
    fn a_fitted_sheet_shows_the_whole_room_and_stacks_x() {
        let (sheet, room) = (sheet(), Room::default());
        for view in sheet.views() {
            for corner in [room.min(), room.max()] {
                assert!(view.rect.contains(view.to_screen(corner)), "{view:?} {corner}");
            }
        }
        let point = DVec3::new(1.5, 2.0, 3.0);
        assert_eq!(sheet.upper.to_screen(point).x, sheet.lower.to_screen(point).x);
    }

    #[test]
    fn zoom_keeps_what_is_under_the_cursor_and_the_shared_axis() {
        let mut sheet = sheet();
        let cursor = Vec2::new(123.0, 80.0);
        let before = sheet.upper.to_plane(cursor);
        sheet.zoom_about(cursor, 2.5);
        assert!((sheet.upper.to_plane(cursor) - before).length() < 1e-9);
        sheet.pan(Vec2::new(10.0, 590.0), Vec2::new(31.0, -7.0));
        let point = DVec3::new(-2.0, 1.0, 4.0);
        assert_eq!(sheet.upper.to_screen(point).x, sheet.lower.to_screen(point).x);
    }

    #[test]
    fn screen_and_plane_are_inverse() {
        let view = sheet().lower;
        let flat = DVec2::new(1.25, 3.5);
        assert!((view.to_plane(view.flat_to_screen(flat)) - flat).length() < 1e-5);
    }
}
