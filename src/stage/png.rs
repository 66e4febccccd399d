//! The PNG writer: a picture as pixels, light and text included, the same on every machine.

use std::fmt;

use glam::Vec2;
use tiny_skia::{
    Color, FillRule, LineCap, LineJoin, Paint, Path, PathBuilder, Pixmap, PixmapPaint, StrokeDash,
    Transform,
};

use super::picture::{Ink, Pane, Picture, Shape, Stroke};
use super::raster::{LightImage, MAX_SIDE_PX, encode};
use super::text;

/// The most pixels a PNG may have.
pub const MAX_PIXELS: usize = 1 << 27;

/// Why a PNG could not be made.
#[derive(Clone, Debug, PartialEq)]
pub enum PngError {
    /// The image would be this many pixels wide and high: none, too many, or not a number.
    Size {
        /// Width asked for, in pixels.
        width: f32,
        /// Height asked for, in pixels.
        height: f32,
    },
    /// The pixels could not be packed, with the reason.
    Packing(String),
}

impl fmt::Display for PngError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Size { width, height } => write!(
                f,
                "a picture of `{width}` by `{height}` pixels cannot be written; each side must be \
                 1 to {MAX_SIDE_PX} pixels, and both together at most {MAX_PIXELS} pixels"
            ),
            Self::Packing(reason) => write!(f, "the picture could not be packed as PNG: {reason}"),
        }
    }
}

impl std::error::Error for PngError {}

/// Draws a picture with `scale` pixels a point and packs it as an RGBA PNG.
///
/// The edges of panes are moved to the nearest pixel, so that panes stay sharp.
///
/// # Errors
/// If the size in pixels is not one that can be written; see [`PngError`].
pub fn write_png(picture: &Picture, scale: f32) -> Result<Vec<u8>, PngError> {
    pack(&draw(picture, scale)?)
}

/// Packs the light of a pane, over its background and without its shapes, with `scale` pixels a point: as small
/// as it gets, and so without the grain that hides the steps between levels.
///
/// # Errors
/// If the size in pixels is not one that can be written; see [`PngError`].
pub fn write_light(pane: &Pane, scale: f32) -> Result<Vec<u8>, PngError> {
    let size = (pane.rect.size() * scale).round();
    let mut pixels = pixmap(size.x, size.y)?;
    let mut light = LightImage::new();
    let (width, height) = (pixels.width() as usize, pixels.height() as usize);
    light.render(&pane.glows, pane.rect.min, scale, width, height);
    let mut rgba = Vec::new();
    encode(&light, pane.background, false, &mut rgba);
    pixels.data_mut().copy_from_slice(&rgba);
    pack(&pixels)
}

/// Packs opaque or premultiplied 8-bit RGBA pixels as a PNG.
///
/// # Errors
/// If there are not `width * height` pixels, or none, or too many.
pub fn write_rgba(width: usize, height: usize, rgba: &[u8]) -> Result<Vec<u8>, PngError> {
    let mut pixmap = pixmap(width as f32, height as f32)?;
    if pixmap.data().len() != rgba.len() {
        let reason = format!("{} bytes for {width} by {height} pixels", rgba.len());
        return Err(PngError::Packing(reason));
    }
    pixmap.data_mut().copy_from_slice(rgba);
    pack(&pixmap)
}

fn pack(pixmap: &Pixmap) -> Result<Vec<u8>, PngError> {
    pixmap.encode_png().map_err(|error| PngError::Packing(error.to_string()))
}

fn pixmap(width: f32, height: f32) -> Result<Pixmap, PngError> {
    let error = PngError::Size { width, height };
    let fits = |side: f32| side >= 1.0 && side <= MAX_SIDE_PX as f32;
    if !(fits(width) && fits(height) && width * height <= MAX_PIXELS as f32) {
        return Err(error);
    }
    Pixmap::new(width as u32, height as u32).ok_or(error)
}

fn draw(picture: &Picture, scale: f32) -> Result<Pixmap, PngError> {
    let size = (picture.size * scale).ceil();
    let mut canvas = pixmap(size.x, size.y)?;
    canvas.fill(colour(picture.background));
    let mut light = LightImage::new();
    for pane in &picture.panes {
        draw_pane(&mut canvas, pane, scale, &mut light);
    }
    draw_shapes(&mut canvas, &picture.shapes, Vec2::ZERO, scale);
    Ok(canvas)
}

/// Draws a pane apart, which clips it, and puts it in its place.
fn draw_pane(canvas: &mut Pixmap, pane: &Pane, scale: f32, light: &mut LightImage) {
    let canvas_size = Vec2::new(canvas.width() as f32, canvas.height() as f32);
    let min = (pane.rect.min * scale).round().max(Vec2::ZERO);
    let max = (pane.rect.max * scale).round().min(canvas_size);
    let size = max - min;
    // A pane that lies outside the picture, or has no area, shows nothing.
    let Ok(mut own) = pixmap(size.x, size.y) else { return };
    let origin = min / scale;
    light.render(&pane.glows, origin, scale, own.width() as usize, own.height() as usize);
    let mut rgba = Vec::new();
    encode(light, pane.background, true, &mut rgba);
    own.data_mut().copy_from_slice(&rgba);
    draw_shapes(&mut own, &pane.shapes, origin, scale);
    let place = Transform::identity();
    let paint = PixmapPaint::default();
    canvas.draw_pixmap(min.x as i32, min.y as i32, own.as_ref(), &paint, place, None);
}

fn draw_shapes(canvas: &mut Pixmap, shapes: &[Shape], origin: Vec2, scale: f32) {
    let view = Transform::from_translate(-origin.x, -origin.y).post_scale(scale, scale);
    for shape in shapes.iter().filter(|shape| shape.is_drawable()) {
        match shape {
            Shape::Line { points, closed, stroke, fill } => {
                let Some(path) = polyline(points, *closed) else { continue };
                fill_and_stroke(canvas, &path, *fill, *stroke, view);
            }
            Shape::Circle { centre, radius, stroke, fill } => {
                let Some(path) = PathBuilder::from_circle(centre.x, centre.y, *radius) else {
                    continue;
                };
                fill_and_stroke(canvas, &path, *fill, *stroke, view);
            }
            Shape::Text { .. } => draw_text(canvas, shape, view),
        }
    }
}

fn draw_text(canvas: &mut Pixmap, shape: &Shape, view: Transform) {
    let Shape::Text { at, align, size, weight, ink, text: words, halo, turn_deg } = shape else {
        return;
    };
    let Some(size) = text::drawn_size(*size) else { return };
    let Some(path) = text::text_path(words, size, *weight) else { return };
    let start = text::anchor(text::text_width(words, size, *weight), size, *weight, *align);
    let mut place = Transform::from_translate(start.x, start.y)
        .post_rotate(*turn_deg)
        .post_translate(at.x, at.y)
        .post_concat(view);
    if *turn_deg == 0.0 {
        // Letters stand on whole pixels, as they do in the window.
        (place.tx, place.ty) = (place.tx.round(), place.ty.round());
    }
    if let Some(halo) = halo {
        let rim = Stroke::solid(2.0 * text::halo_reach(size), *halo);
        stroke_path(canvas, &path, rim, LineJoin::Round, place);
    }
    canvas.fill_path(&path, &paint(*ink), FillRule::Winding, place, None);
}

fn polyline(points: &[Vec2], closed: bool) -> Option<Path> {
    let (first, rest) = points.split_first()?;
    let mut path = PathBuilder::new();
    path.move_to(first.x, first.y);
    for point in rest {
        path.line_to(point.x, point.y);
    }
    if closed {
        path.close();
    }
    path.finish()
}

fn fill_and_stroke(
    canvas: &mut Pixmap,
    path: &Path,
    fill: Option<Ink>,
    stroke: Option<Stroke>,
    view: Transform,
) {
    if let Some(fill) = fill {
        canvas.fill_path(path, &paint(fill), FillRule::Winding, view, None);
    }
    if let Some(stroke) = stroke {
        stroke_path(canvas, path, stroke, LineJoin::Miter, view);
    }
}

fn stroke_path(canvas: &mut Pixmap, path: &Path, stroke: Stroke, join: LineJoin, view: Transform) {
    let dash = stroke.drawn_dash().and_then(|(on, off)| StrokeDash::new(vec![on, off], 0.0));
    let line = tiny_skia::Stroke {
        width: stroke.width,
        line_cap: LineCap::Butt,
        line_join: join,
        dash,
        ..tiny_skia::Stroke::default()
    };
    canvas.stroke_path(path, &paint(stroke.ink), &line, view, None);
}

fn colour(ink: Ink) -> Color {
    let [red, green, blue, alpha] = ink.0;
    Color::from_rgba8(red, green, blue, alpha)
}

fn paint(ink: Ink) -> Paint<'static> {
    let mut paint = Paint { anti_alias: true, ..Paint::default() };
    paint.set_color(colour(ink));
    paint
}
