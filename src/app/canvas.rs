//! Paints a picture in the window.
//!
//! The light of a pane is summed by the same raster that the PNG writer uses and shown as a texture;
//! it is only worked out again when the pane's light changes. Everything else is plain egui shapes.

use std::hash::Hasher;
use std::sync::Arc;

use egui::epaint::{CircleShape, TextShape};
use egui::{Color32, ColorImage, FontFamily, FontId, Painter, Pos2, TextureHandle, TextureOptions};
use glam::Vec2;

use crate::finding::one_line;
use crate::stage::picture::{Fill, Ink, Pane, Picture, Shape, Stroke, Weight};
use crate::stage::raster::{LightImage, encode};
use crate::stage::text;

/// A pane has at most this many samples of light; a larger one is drawn more coarsely.
const MAX_SAMPLES: f32 = 1.2e6;

/// A line of more dashes than this is drawn solid.
const MAX_DASHES: f32 = 4000.0;

/// The family of [`Weight::Strong`].
pub const STRONG_FAMILY: &str = "strong";

/// Gives egui the program's fonts, which are all it has: egui is built without its own.
///
/// Proportional text is Inter, monospaced text JetBrains Mono, and the family named
/// [`STRONG_FAMILY`] is Inter SemiBold. Each falls back to the others for a letter it lacks.
pub fn install_fonts(ctx: &egui::Context) {
    let mut fonts = egui::FontDefinitions::empty();
    let files = [
        (Weight::Regular, text::REGULAR_FONT),
        (Weight::Strong, text::STRONG_FONT),
        (Weight::Mono, text::MONO_FONT),
    ];
    for (weight, bytes) in files {
        let data = Arc::new(egui::FontData::from_static(bytes));
        fonts.font_data.insert(String::from(font_name(weight)), data);
        let chain = text::fallbacks(weight).iter().map(|weight| String::from(font_name(*weight)));
        fonts.families.insert(family(weight), chain.collect());
    }
    ctx.set_fonts(fonts);
}

fn font_name(weight: Weight) -> &'static str {
    match weight {
        Weight::Regular => "Inter",
        Weight::Strong => "Inter SemiBold",
        Weight::Mono => "JetBrains Mono",
    }
}

/// The egui family that a weight is drawn in.
pub fn family(weight: Weight) -> FontFamily {
    match weight {
        Weight::Regular => FontFamily::Proportional,
        Weight::Strong => FontFamily::Name(STRONG_FAMILY.into()),
        Weight::Mono => FontFamily::Monospace,
    }
}

/// What painting pictures keeps from one frame to the next: the light of each pane as a texture.
///
/// Keep one for each place that shows pictures, since the textures belong to panes by their order.
#[derive(Default)]
pub struct Canvas {
    light: LightImage,
    bytes: Vec<u8>,
    panes: Vec<LitPane>,
    renders: u64,
}

/// The texture of a pane's light, and what it was made from.
struct LitPane {
    made_from: u64,
    texture: TextureHandle,
}

impl Canvas {
    /// A canvas that has painted nothing yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// How many times the light of a pane has been worked out.
    pub fn renders(&self) -> u64 {
        self.renders
    }

    /// Paints a picture with its upper left corner at `origin`, clipped as the painter is.
    pub fn paint(&mut self, painter: &Painter, origin: Pos2, picture: &Picture) {
        let whole = egui::Rect::from_min_size(origin, to_egui(picture.size));
        painter.rect_filled(whole, 0.0, colour(picture.background));
        self.panes.truncate(picture.panes.len());
        for (index, pane) in picture.panes.iter().enumerate() {
            self.paint_pane(painter, origin, index, pane);
        }
        paint_shapes(painter, origin, &picture.shapes);
    }

    fn paint_pane(&mut self, painter: &Painter, origin: Pos2, index: usize, pane: &Pane) {
        let place = egui::Rect::from_min_max(at(origin, pane.rect.min), at(origin, pane.rect.max));
        if !(place.is_finite() && place.is_positive()) {
            return;
        }
        let painter = painter.with_clip_rect(place);
        if pane.glows.is_empty() {
            painter.rect_filled(place, 0.0, colour(pane.background.with_alpha(255)));
        } else {
            let density = sample_density(&painter, pane.rect.size());
            self.light_pane(&painter, index, pane, density);
            if let Some(lit) = self.panes.get(index) {
                let size = lit.texture.size_vec2() / density;
                let uv = egui::Rect::from_min_max(egui::pos2(0.0, 0.0), egui::pos2(1.0, 1.0));
                let covered = egui::Rect::from_min_size(place.min, size);
                painter.image(lit.texture.id(), covered, uv, Color32::WHITE);
            }
        }
        paint_shapes(&painter, origin, &pane.shapes);
    }

    /// Brings the texture of a pane up to date.
    fn light_pane(&mut self, painter: &Painter, index: usize, pane: &Pane, density: f32) {
        let made_from = fingerprint(pane, density);
        if self.panes.get(index).is_some_and(|lit| lit.made_from == made_from) {
            return;
        }
        let samples = (pane.rect.size() * density).ceil().max(Vec2::ONE);
        let (width, height) = (samples.x as usize, samples.y as usize);
        self.light.render(&pane.glows, pane.rect.min, density, width, height);
        encode(&self.light, pane.background, true, &mut self.bytes);
        self.renders += 1;
        let size = [self.light.width(), self.light.height()];
        let image = ColorImage::from_rgba_premultiplied(size, &self.bytes);
        if let Some(lit) = self.panes.get_mut(index) {
            lit.made_from = made_from;
            lit.texture.set(image, TextureOptions::LINEAR);
            return;
        }
        // Panes without light have no texture yet; a blank one keeps the order.
        while self.panes.len() < index {
            let blank = ColorImage::filled([1, 1], Color32::BLACK);
            let texture = painter.ctx().load_texture("light", blank, TextureOptions::LINEAR);
            self.panes.push(LitPane { made_from: 0, texture });
        }
        let texture = painter.ctx().load_texture("light", image, TextureOptions::LINEAR);
        self.panes.push(LitPane { made_from, texture });
    }
}

/// Samples of light per point: 1, or fewer where the pane is large or the screen coarse.
fn sample_density(painter: &Painter, size: Vec2) -> f32 {
    let longest_side = painter.ctx().input(|input| input.max_texture_side) as f32 - 1.0;
    1.0_f32
        .min(painter.pixels_per_point())
        .min((MAX_SAMPLES / (size.x * size.y)).sqrt())
        .min(longest_side / size.max_element())
}

/// A number that changes whenever the light of a pane would.
fn fingerprint(pane: &Pane, density: f32) -> u64 {
    let mut hash = NumberHash(0x9e37_79b9_7f4a_7c15);
    hash.numbers(&[pane.rect.min.x, pane.rect.min.y, pane.rect.max.x, pane.rect.max.y, density]);
    hash.write_u32(u32::from_le_bytes(pane.background.0));
    for glow in &pane.glows {
        hash.write_usize(glow.outline.len());
        for point in &glow.outline {
            hash.numbers(&point.to_array());
        }
        match &glow.fill {
            Fill::Flat(light) => hash.numbers(light),
            Fill::Along { from, to, stops } => {
                hash.write_usize(stops.len());
                hash.numbers(&[from.x, from.y, to.x, to.y]);
                for (position, light) in stops {
                    hash.numbers(&[*position, light[0], light[1], light[2]]);
                }
            }
        }
    }
    hash.finish()
}

/// A fast hash for long lists of numbers. It need not stand up to anybody: the numbers are our own.
struct NumberHash(u64);

impl NumberHash {
    fn numbers(&mut self, numbers: &[f32]) {
        for number in numbers {
            self.write_u32(number.to_bits());
        }
    }
}

impl Hasher for NumberHash {
    fn finish(&self) -> u64 {
        self.0 ^ (self.0 >> 29)
    }

    fn write(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.write_u32(u32::from(*byte));
        }
    }

    fn write_u32(&mut self, number: u32) {
        self.0 = (self.0.rotate_left(23) ^ u64::from(number)).wrapping_mul(0x2545_f491_4f6c_dd1d);
    }

    fn write_usize(&mut self, number: usize) {
        self.write_u32(number as u32);
    }
}

fn paint_shapes(painter: &Painter, origin: Pos2, shapes: &[Shape]) {
    for shape in shapes.iter().filter(|shape| shape.is_drawable()) {
        match shape {
            Shape::Line { points, closed, stroke, fill } => {
                let points: Vec<Pos2> = points.iter().map(|point| at(origin, *point)).collect();
                paint_line(painter, points, *closed, *stroke, *fill);
            }
            Shape::Circle { centre, radius, stroke, fill } => {
                paint_circle(painter, at(origin, *centre), *radius, *stroke, *fill);
            }
            Shape::Text { .. } => paint_text(painter, origin, shape),
        }
    }
}

fn paint_line(
    painter: &Painter,
    mut points: Vec<Pos2>,
    closed: bool,
    stroke: Option<Stroke>,
    fill: Option<Ink>,
) {
    let solid = stroke.filter(|stroke| dash(stroke, &points).is_none());
    let line = solid.map_or(egui::Stroke::NONE, pen);
    if let Some(fill) = fill {
        let outline = if closed { line } else { egui::Stroke::NONE };
        painter.add(egui::Shape::convex_polygon(points.clone(), colour(fill), outline));
    }
    match stroke.and_then(|stroke| dash(&stroke, &points).map(|dash| (stroke, dash))) {
        Some((stroke, (on, off))) => {
            if closed && let Some(first) = points.first().copied() {
                points.push(first);
            }
            painter.extend(egui::Shape::dashed_line(&points, pen(stroke), on, off));
        }
        None if closed && fill.is_none() => {
            painter.add(egui::Shape::closed_line(points, line));
        }
        None if !closed && solid.is_some() => {
            painter.add(egui::Shape::line(points, line));
        }
        None => {}
    }
}

/// The dash of a stroke along a line, if it has one that can be seen.
fn dash(stroke: &Stroke, points: &[Pos2]) -> Option<(f32, f32)> {
    let (on, off) = stroke.drawn_dash()?;
    let length: f32 = points.windows(2).map(|pair| pair[0].distance(pair[1])).sum();
    (length / (on + off) < MAX_DASHES).then_some((on, off))
}

fn paint_circle(
    painter: &Painter,
    center: Pos2,
    radius: f32,
    stroke: Option<Stroke>,
    fill: Option<Ink>,
) {
    if let Some(stroke) = stroke.filter(|stroke| stroke.drawn_dash().is_some()) {
        let count = (radius as u16).clamp(24, 180);
        let points = (0..count).map(|index| {
            let angle = std::f32::consts::TAU * f32::from(index) / f32::from(count);
            center + radius * egui::Vec2::angled(angle)
        });
        paint_line(painter, points.collect(), true, Some(stroke), fill);
        return;
    }
    let fill = fill.map_or(Color32::TRANSPARENT, colour);
    let stroke = stroke.map_or(egui::Stroke::NONE, pen);
    painter.add(CircleShape { center, radius, fill, stroke });
}

fn paint_text(painter: &Painter, origin: Pos2, shape: &Shape) {
    let Shape::Text { at: place, align, size, weight, ink, text: words, halo, turn_deg } = shape
    else {
        return;
    };
    let Some(size) = text::drawn_size(*size) else { return };
    let font = FontId::new(size, family(*weight));
    let galley = painter.layout_no_wrap(one_line(words).into_owned(), font, colour(*ink));
    let baseline = text::anchor(galley.size().x, size, *weight, *align);
    let ascent = text::line_heights(size, *weight).ascent;
    let angle = turn_deg.to_radians();
    let corner = egui::vec2(baseline.x, baseline.y - ascent);
    let mut pos = at(origin, *place) + egui::emath::Rot2::from_angle(angle) * corner;
    if angle == 0.0 {
        // egui moves the line's corner and the baseline within it to whole pixels, each for itself;
        // what has to be right is the baseline.
        let pixel = painter.pixels_per_point();
        let whole = |value: f32| (value * pixel).round() / pixel;
        pos.y = whole(pos.y + ascent) - whole(ascent);
    }
    if let Some(halo) = halo {
        let reach = text::halo_reach(size);
        let rim_ink = colour(halo.with_alpha(rim_alpha(halo.alpha())));
        for step in 0..8_u8 {
            let aside = reach * egui::Vec2::angled(f32::from(step) * std::f32::consts::FRAC_PI_4);
            let rim = TextShape::new(pos + aside, Arc::clone(&galley), rim_ink);
            painter.add(rim.with_override_text_color(rim_ink).with_angle(angle));
        }
    }
    painter.add(TextShape::new(pos, galley, colour(*ink)).with_angle(angle));
}

/// The alpha of one of the eight copies of a text that make its halo: about three of them lie over each
/// other, and have the halo's alpha together.
fn rim_alpha(alpha: u8) -> u8 {
    let through = 1.0 - f32::from(alpha) / 255.0;
    (255.0 * (1.0 - through.cbrt())).round() as u8
}

fn at(origin: Pos2, point: Vec2) -> Pos2 {
    origin + to_egui(point)
}

fn to_egui(size: Vec2) -> egui::Vec2 {
    egui::vec2(size.x, size.y)
}

fn pen(stroke: Stroke) -> egui::Stroke {
    egui::Stroke::new(stroke.width, colour(stroke.ink))
}

fn colour(ink: Ink) -> Color32 {
    let [red, green, blue, alpha] = ink.0;
    Color32::from_rgba_unmultiplied(red, green, blue, alpha)
}
