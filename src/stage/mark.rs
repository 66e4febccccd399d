//! How a fixture is marked on the drawing: what it is, where it points, its number and what to know.

use glam::Vec2;

use super::draw::{DrawOptions, ink, label, line};
use super::glow::aim_outlines;
use super::picture::{AlignH, AlignV, Ink, Shape, Stroke, Weight};
use super::scene::{Mark, MarkKind, MarkState, Scene};
use super::text::{anchor, line_heights, text_width};
use super::view::View;
use crate::light::Rgb;

/// Half the size of a mark, in metres, and its limits in points.
const HALF_M: f64 = 0.17;
const HALF_LIMITS: (f32, f32) = (4.0, 14.0);

/// Draws the marks of a scene; the selected and the hovered last, so that they lie on top. Their
/// numbers come after all marks; where there is no room for all, the selected and the hovered are
/// numbered first, then those that give light.
pub(super) fn draw(scene: &Scene, view: &View, options: &DrawOptions<'_>, out: &mut Vec<Shape>) {
    let on_top = |i: &usize| options.selected.contains(i) || options.hovered == Some(*i);
    let (top, rest): (Vec<usize>, Vec<usize>) = (0..scene.marks.len()).partition(on_top);
    let half = ((HALF_M * view.points_per_m) as f32).clamp(HALF_LIMITS.0, HALF_LIMITS.1);
    let mut shown: Vec<usize> = rest.into_iter().chain(top.iter().copied()).collect();
    shown.retain(|i| near(view, view.to_screen(scene.marks[*i].at), 60.0));
    for i in shown.iter().copied() {
        let mark = &scene.marks[i];
        let selected = options.selected.contains(&i);
        ghost(scene, mark, view, selected, out);
        if selected || options.hovered == Some(i) {
            aim(scene, mark, view, selected, out);
        }
        symbol(mark, view, half, selected, options.hovered == Some(i), out);
    }
    let mut taken = Taken::new(scene, view, half, out);
    shown.sort_by_key(|i| (!on_top(i), scene.marks[*i].state != MarkState::Lit));
    let mut numbers = Vec::new();
    for i in shown {
        let selected = options.selected.contains(&i);
        let must = options.hovered == Some(i) || selected && options.selected.len() <= MOST_MUST;
        let look = Number { half, selected, must };
        numbers.extend(number(&scene.marks[i], view, look, &mut taken));
    }
    // What matters most was placed first and is drawn last.
    out.extend(numbers.into_iter().rev());
}

/// The most selected fixtures that are numbered whether there is room or not.
const MOST_MUST: usize = 8;

/// How a number is written.
#[derive(Clone, Copy)]
struct Number {
    /// Half the size of its mark, in points.
    half: f32,
    /// Its fixture is selected.
    selected: bool,
    /// It is written in any case.
    must: bool,
}

/// What labels must keep off.
struct Taken {
    /// Boxes of the labels that stand.
    labels: Vec<(Vec2, Vec2)>,
    /// Boxes of all marks.
    marks: Vec<(Vec2, Vec2)>,
}

impl Taken {
    /// Room that is taken before any number is written: by marks, and by words that stand already.
    fn new(scene: &Scene, view: &View, half: f32, written: &[Shape]) -> Self {
        let around = |at: Vec2| (at - Vec2::splat(half), at + Vec2::splat(half));
        let cells = scene.marks.iter().flat_map(|mark| &mark.cells);
        let marks = cells.map(|at| around(view.to_screen(*at))).collect();
        let words = written.iter().filter_map(|shape| match shape {
            Shape::Text { at, align, size, weight, text, .. } => {
                let width = text_width(text, *size, *weight);
                let heights = line_heights(*size, *weight);
                let low = *at + anchor(width, *size, *weight, *align) - Vec2::Y * heights.ascent;
                Some((low, low + Vec2::new(width, heights.line)))
            }
            _ => None,
        });
        Self { labels: words.collect(), marks }
    }

    fn is_free(boxes: &[(Vec2, Vec2)], (low, high): (Vec2, Vec2)) -> bool {
        !boxes.iter().any(|(a, b)| low.cmplt(*b).all() && high.cmpgt(*a).all())
    }
}

fn near(view: &View, at: Vec2, slack: f32) -> bool {
    let slack = Vec2::splat(slack);
    at.cmpge(view.rect.min - slack).all() && at.cmple(view.rect.max + slack).all()
}

/// The edge of a fixture's field and where it lands; dashed while there is no light in it, so that a
/// dark head shows where it points.
fn aim(scene: &Scene, mark: &Mark, view: &View, selected: bool, out: &mut Vec<Shape>) {
    let Some(cone) = &mark.aim else { return };
    let (pool, outline) = aim_outlines(scene, view, cone);
    let ink = if selected { ink::ACCENT } else { ink::TEXT };
    let stroke = |alpha| match mark.state {
        MarkState::Lit => Stroke::solid(1.0, ink.with_alpha(alpha)),
        _ => Stroke::dashed(1.0, ink.with_alpha(alpha), 5.0, 4.0),
    };
    for (points, alpha) in [(outline, 110), (pool, 210)] {
        if points.len() >= 3 {
            out.push(Shape::Line { points, closed: true, stroke: Some(stroke(alpha)), fill: None });
        }
    }
}

/// Where a head was asked to point while it is not there yet: the axis and the pool, thin and dashed.
fn ghost(scene: &Scene, mark: &Mark, view: &View, selected: bool, out: &mut Vec<Shape>) {
    let Some(cone) = &mark.asked_aim else { return };
    let ink = if selected { ink::ACCENT } else { ink::TEXT };
    let stroke = Stroke::dashed(1.0, ink.with_alpha(if selected { 200 } else { 120 }), 2.0, 3.0);
    let (pool, outline) = aim_outlines(scene, view, cone);
    if pool.len() >= 3 {
        let middle = pool.iter().sum::<Vec2>() / pool.len() as f32;
        out.push(line([view.to_screen(mark.at), middle], stroke));
        out.push(Shape::Line { points: pool, closed: true, stroke: Some(stroke), fill: None });
    } else if outline.len() >= 3 {
        out.push(Shape::Line { points: outline, closed: true, stroke: Some(stroke), fill: None });
    }
}

fn symbol(
    mark: &Mark,
    view: &View,
    half: f32,
    selected: bool,
    hovered: bool,
    out: &mut Vec<Shape>,
) {
    let at = view.to_screen(mark.at);
    let edge = if selected {
        ink::ACCENT
    } else if hovered {
        ink::TEXT
    } else {
        Ink::grey(168)
    };
    let stroke = match mark.state {
        MarkState::Overridden(_) | MarkState::Unread => Stroke::dashed(1.25, edge, 3.0, 2.0),
        _ => Stroke::solid(1.25, edge),
    };
    // Where it points, as seen in this view: full length when the beam lies in the view's plane.
    let tip = view.to_screen(mark.at + mark.axis) - at;
    let lean = tip / view.points_per_m as f32;
    if lean.length() > 0.08 {
        out.push(line([at, at + lean * (half * 2.1)], Stroke::solid(2.0, edge)));
    }
    let fill = Some(lens(mark));
    if mark.cells.len() > 1 {
        cells(mark, view, half, stroke, fill, out);
    } else {
        let (stroke, centre) = (Some(stroke), at);
        match mark.kind {
            MarkKind::Moving => out.push(Shape::Circle { centre, radius: half, stroke, fill }),
            MarkKind::Fixed => out.push(closed(
                at,
                [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)],
                half * 0.85,
                stroke,
                fill,
            )),
            MarkKind::Mirror => out.push(closed(
                at,
                [(0.0, -1.0), (1.0, 0.0), (0.0, 1.0), (-1.0, 0.0)],
                half * 1.15,
                stroke,
                fill,
            )),
        }
    }
    if selected {
        let radius = half + 4.0;
        let stroke = Some(Stroke::solid(1.5, ink::ACCENT));
        if mark.cells.len() == 1 {
            out.push(Shape::Circle { centre: at, radius, stroke, fill: None });
        }
    }
}

/// A multi-cell fixture: a bar through its cells.
fn cells(
    mark: &Mark,
    view: &View,
    half: f32,
    stroke: Stroke,
    fill: Option<Ink>,
    out: &mut Vec<Shape>,
) {
    let (Some(first), Some(last)) = (mark.cells.first(), mark.cells.last()) else { return };
    let (a, b) = (view.to_screen(*first), view.to_screen(*last));
    let half = half * 0.6;
    let along = (b - a).normalize_or(Vec2::X) * half;
    let across = along.perp();
    let (a, b) = (a - along, b + along);
    let points = vec![a - across, b - across, b + across, a + across];
    out.push(Shape::Line { points, closed: true, stroke: Some(stroke), fill });
}

fn closed<const N: usize>(
    at: Vec2,
    corners: [(f32, f32); N],
    half: f32,
    stroke: Option<Stroke>,
    fill: Option<Ink>,
) -> Shape {
    let points = corners.iter().map(|(x, y)| at + Vec2::new(*x, *y) * half).collect();
    Shape::Line { points, closed: true, stroke, fill }
}

/// The mark's inside: the colour of its light, or the dark.
fn lens(mark: &Mark) -> Ink {
    let (Rgb(colour), share) = mark.light;
    if mark.state != MarkState::Lit || share <= 0.0 {
        return Ink::grey(26);
    }
    let strongest = colour.iter().copied().fold(0.0, f64::max).max(1e-9);
    // A dim head still shows its hue: never below a fifth of full.
    let scale = share.clamp(0.2, 1.0) / strongest;
    let [r, g, b] = Rgb(colour.map(|channel| channel * scale)).to_srgb8();
    Ink::rgb(r, g, b)
}

/// Width of a digit of a number, with its share of what sets one number apart from the next, in points.
const DIGIT: f32 = 6.9;

/// Room that is kept between two numbers, in points.
const BETWEEN: f32 = 4.0;

/// The fixture's number and, where there is something to know, a word or a rate beside it. A label
/// that would cover a mark or an earlier label moves to another side of its mark. If there is no place
/// on any side of it, it is left out, unless it must be there.
fn number(mark: &Mark, view: &View, look: Number, taken: &mut Taken) -> Option<Shape> {
    let Number { half, selected, must } = look;
    let mut text = mark.id.to_string();
    match (&mark.state, mark.flash) {
        (MarkState::Overridden(_), _) => text.push_str("  own program"),
        (MarkState::Unread, _) => text.push_str("  no data"),
        (_, Some(flash)) => text.push_str(&format!("  {:.1} Hz", flash.hz)),
        _ => {}
    }
    let at = view.to_screen(mark.at);
    let size = Vec2::new(DIGIT * text.len() as f32 + BETWEEN, 11.0);
    let gap = half + 5.0;
    // Against the beam first, so that the label does not stand in the light.
    let down = view.to_screen(mark.at + mark.axis).y > at.y + 1.0;
    let (up, side) = (Vec2::new(0.0, gap), Vec2::new(gap, 0.0));
    let above = (at - up, (AlignH::Centre, AlignV::Bottom));
    let below = (at + up, (AlignH::Centre, AlignV::Top));
    let right = (at + side, (AlignH::Left, AlignV::Middle));
    let left = (at - side, (AlignH::Right, AlignV::Middle));
    let places = if down { [above, below, right, left] } else { [below, above, right, left] };
    let space = |(place, (h, v)): (Vec2, (AlignH, AlignV))| {
        let back = match h {
            AlignH::Left => BETWEEN / 2.0,
            AlignH::Centre => size.x / 2.0,
            AlignH::Right => size.x - BETWEEN / 2.0,
        };
        let rise = match v {
            AlignV::Top => 0.0,
            AlignV::Bottom => size.y,
            _ => size.y / 2.0,
        };
        let low = place - Vec2::new(back, rise);
        (low, low + size)
    };
    let clear = |place: &&_| Taken::is_free(&taken.labels, space(**place));
    let apart = |place: &&_| clear(place) && Taken::is_free(&taken.marks, space(**place));
    let (place, align) = match places.iter().find(apart) {
        Some(found) => *found,
        None if must => *places.iter().find(clear).unwrap_or(&places[0]),
        None => return None,
    };
    taken.labels.push(space((place, align)));
    let ink = if selected { ink::ACCENT } else { ink::TEXT };
    let mut shape = label(place, align, 11.0, ink, text);
    if let (true, Shape::Text { weight, .. }) = (selected, &mut shape) {
        *weight = Weight::Strong;
    }
    Some(shape)
}
