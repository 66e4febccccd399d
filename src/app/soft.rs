//! Draws what egui puts out without a graphics card: for pictures of the window in tests and on
//! machines without a display, the same pixels everywhere.
//!
//! It follows egui's own rules: colours are sRGB-encoded with premultiplied alpha, a triangle's
//! colour times its texture is blended in that encoding, and textures are filtered bilinearly.
//! Paint callbacks are not drawn; this program has none.

use std::cmp::Ordering;
use std::collections::HashMap;
use std::ops::Range;

use egui::epaint::{
    ClippedPrimitive, ImageDelta, Mesh, Primitive, Vertex, textures::TextureFilter,
};
use egui::{Color32, ColorImage, ImageData, TextureId, TexturesDelta};

/// The longest side of an image, in pixels. Longer sides are cut to it.
pub const MAX_SIDE_PX: usize = 16_384;

/// Vertices are moved to a grid of this many steps a pixel, as graphics cards do, so that triangles
/// that share an edge never both paint a pixel on it.
const GRID: f32 = 256.0;

/// Keeps egui's textures, and draws its meshes.
#[derive(Default)]
pub struct SoftRenderer {
    textures: HashMap<TextureId, Texture>,
    leaving: Vec<TextureId>,
}

struct Texture {
    image: ColorImage,
    filter: TextureFilter,
}

impl SoftRenderer {
    /// A renderer without textures.
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes new and changed textures out of `delta`, which is empty afterwards. Textures that egui
    /// lets go of stay until the next call, since the coming frame may still show them.
    pub fn update(&mut self, delta: &mut TexturesDelta) {
        for id in self.leaving.drain(..) {
            self.textures.remove(&id);
        }
        for (id, changes) in delta.set.drain() {
            for change in changes {
                self.change(id, change);
            }
        }
        self.leaving.extend(delta.free.drain());
    }

    fn change(&mut self, id: TextureId, change: ImageDelta) {
        let ImageData::Color(image) = change.image;
        match (change.pos, self.textures.get_mut(&id)) {
            (Some([left, top]), Some(texture)) => paste(&mut texture.image, &image, left, top),
            (Some(_), None) => {}
            (None, _) => {
                let image = ColorImage::clone(&image);
                let filter = change.options.magnification;
                self.textures.insert(id, Texture { image, filter });
            }
        }
    }

    /// Draws meshes, in order, over an image filled with `clear`. `size_px` is width and height;
    /// the meshes are in points. Meshes whose texture is unknown are left out.
    pub fn render(
        &self,
        primitives: &[ClippedPrimitive],
        size_px: [usize; 2],
        pixels_per_point: f32,
        clear: Color32,
    ) -> ColorImage {
        let mut target = ColorImage::filled(size_px.map(|side| side.min(MAX_SIDE_PX)), clear);
        for ClippedPrimitive { clip_rect, primitive } in primitives {
            let Primitive::Mesh(mesh) = primitive else { continue };
            let Some(texture) = self.textures.get(&mesh.texture_id) else { continue };
            let clip = Clip::new(*clip_rect, pixels_per_point, target.size);
            draw_mesh(&mut target, clip, mesh, texture, pixels_per_point);
        }
        target
    }
}

/// Copies what fits of an image into another.
fn paste(into: &mut ColorImage, patch: &ColorImage, left: usize, top: usize) {
    let width = patch.width().min(into.width().saturating_sub(left));
    let height = patch.height().min(into.height().saturating_sub(top));
    for y in 0..height {
        let to = (top + y) * into.width() + left;
        let from = y * patch.width();
        into.pixels[to..to + width].copy_from_slice(&patch.pixels[from..from + width]);
    }
}

/// The pixels that may be painted: `min` up to but without `max`.
#[derive(Clone, Copy)]
struct Clip {
    min: [i64; 2],
    max: [i64; 2],
}

impl Clip {
    fn new(rect: egui::Rect, pixels_per_point: f32, size: [usize; 2]) -> Self {
        let edge = |value: f32, side: usize| {
            ((value * pixels_per_point).round() as i64).clamp(0, side as i64)
        };
        Self {
            min: [edge(rect.min.x, size[0]), edge(rect.min.y, size[1])],
            max: [edge(rect.max.x, size[0]), edge(rect.max.y, size[1])],
        }
    }
}

fn draw_mesh(
    target: &mut ColorImage,
    clip: Clip,
    mesh: &Mesh,
    texture: &Texture,
    pixels_per_point: f32,
) {
    for corners in mesh.indices.chunks_exact(3) {
        let vertex = |corner: usize| mesh.vertices.get(corners[corner] as usize);
        let (Some(a), Some(b), Some(c)) = (vertex(0), vertex(1), vertex(2)) else { continue };
        if let Some(triangle) = Triangle::new([a, b, c], pixels_per_point) {
            triangle.draw(target, clip, texture);
        }
    }
}

/// A triangle with its corners on the grid, anticlockwise by area.
struct Triangle<'a> {
    vertices: [&'a Vertex; 3],
    corners: [[i64; 2]; 3],
    area: i64,
}

impl<'a> Triangle<'a> {
    fn new(mut vertices: [&'a Vertex; 3], pixels_per_point: f32) -> Option<Self> {
        // Beyond this, products of coordinates would not fit; nothing so far away is seen.
        let limit = (MAX_SIDE_PX * 64) as f32;
        let mut corners = [[0; 2]; 3];
        for (corner, vertex) in corners.iter_mut().zip(vertices) {
            let (x, y) = (vertex.pos.x * pixels_per_point, vertex.pos.y * pixels_per_point);
            if !x.is_finite() || !y.is_finite() {
                return None;
            }
            *corner = [x, y].map(|value| (value.clamp(-limit, limit) * GRID).round() as i64);
        }
        let mut area = cross(corners[0], corners[1], corners[2]);
        if area < 0 {
            vertices.swap(1, 2);
            corners.swap(1, 2);
            area = -area;
        }
        (area > 0).then_some(Self { vertices, corners, area })
    }

    fn draw(&self, target: &mut ColorImage, clip: Clip, texture: &Texture) {
        let grid = GRID as i64;
        let bounds = |axis: usize| {
            let values = self.corners.map(|corner| corner[axis]);
            let low = values.into_iter().min().unwrap_or(0).div_euclid(grid);
            let high = values.into_iter().max().unwrap_or(0).div_euclid(grid) + 1;
            low.max(clip.min[axis])..high.min(clip.max[axis])
        };
        let [a, b, c] = self.corners;
        let edges = [(b, c), (c, a), (a, b)];
        let fill = Fill::of(self.vertices, texture);
        let width = target.width();
        for y in bounds(1) {
            let mut span = bounds(0);
            for (from, to) in edges {
                span = inside(from, to, y, span);
            }
            for x in span {
                let centre = [x * grid + grid / 2, y * grid + grid / 2];
                let shares =
                    edges.map(|(from, to)| cross(from, to, centre) as f32 / self.area as f32);
                let source = fill.at(shares, self.vertices, texture);
                let pixel = &mut target.pixels[y as usize * width + x as usize];
                *pixel = over(*pixel, source);
            }
        }
    }
}

/// The part of a span of pixels in row `y` whose centres lie on the inner side of an edge. A centre
/// exactly on it belongs to one of the two triangles that share the edge, by the edge's direction.
fn inside(from: [i64; 2], to: [i64; 2], y: i64, span: Range<i64>) -> Range<i64> {
    let grid = GRID as i64;
    let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
    let least = i64::from(!(dy < 0 || (dy == 0 && dx > 0)));
    // The side is a straight function of the pixel: `at_zero + x * per_x`, to be at least `least`.
    let at_zero = cross(from, to, [grid / 2, y * grid + grid / 2]) - least;
    let per_x = -dy * grid;
    match per_x.cmp(&0) {
        Ordering::Greater => span.start.max(-at_zero.div_euclid(per_x))..span.end,
        Ordering::Less => span.start..span.end.min(at_zero.div_euclid(-per_x) + 1),
        Ordering::Equal if at_zero < 0 => span.start..span.start,
        Ordering::Equal => span,
    }
}

/// Twice the signed area of a triangle.
fn cross(a: [i64; 2], b: [i64; 2], c: [i64; 2]) -> i64 {
    (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
}

/// How a triangle's colour comes about; most have one colour and one texel.
enum Fill {
    Even([f32; 4]),
    OneTexel([f32; 4]),
    Textured,
}

impl Fill {
    fn of(vertices: [&Vertex; 3], texture: &Texture) -> Self {
        let [a, b, c] = vertices;
        if a.uv != b.uv || b.uv != c.uv {
            return Self::Textured;
        }
        let texel = texture.sample(a.uv);
        if a.color == b.color && b.color == c.color {
            let colour = channels(a.color);
            return Self::Even(std::array::from_fn(|i| colour[i] * texel[i] / 255.0));
        }
        Self::OneTexel(texel)
    }

    fn at(&self, shares: [f32; 3], vertices: [&Vertex; 3], texture: &Texture) -> [f32; 4] {
        let texel = match self {
            Self::Even(colour) => return *colour,
            Self::OneTexel(texel) => *texel,
            Self::Textured => {
                let mix = |axis: fn(&Vertex) -> f32| {
                    (0..3).map(|i| shares[i] * axis(vertices[i])).sum::<f32>()
                };
                texture.sample(egui::pos2(mix(|vertex| vertex.uv.x), mix(|vertex| vertex.uv.y)))
            }
        };
        let colours = vertices.map(|vertex| channels(vertex.color));
        std::array::from_fn(|i| {
            let colour: f32 = (0..3).map(|corner| shares[corner] * colours[corner][i]).sum();
            colour * texel[i] / 255.0
        })
    }
}

impl Texture {
    /// The texture's colour, 0..255 a channel, with the edge texels going on beyond the edges.
    fn sample(&self, uv: egui::Pos2) -> [f32; 4] {
        let [width, height] = self.image.size;
        if width == 0 || height == 0 {
            return [0.0; 4];
        }
        let texel = |x: usize, y: usize| channels(self.image.pixels[y * width + x]);
        let (x, y) = (uv.x * width as f32, uv.y * height as f32);
        if self.filter == TextureFilter::Nearest {
            return texel((x as usize).min(width - 1), (y as usize).min(height - 1));
        }
        let (x0, x1, right) = neighbours(x, width);
        let (y0, y1, down) = neighbours(y, height);
        let upper = mix(texel(x0, y0), texel(x1, y0), right);
        let lower = mix(texel(x0, y1), texel(x1, y1), right);
        mix(upper, lower, down)
    }
}

/// The two texels whose centres lie around a position, and the share of the second.
fn neighbours(position: f32, count: usize) -> (usize, usize, f32) {
    let position = (position - 0.5).clamp(0.0, (count - 1) as f32);
    let first = position as usize;
    (first, (first + 1).min(count - 1), position - first as f32)
}

fn mix(a: [f32; 4], b: [f32; 4], share: f32) -> [f32; 4] {
    std::array::from_fn(|i| a[i] + (b[i] - a[i]) * share)
}

fn channels(colour: Color32) -> [f32; 4] {
    colour.to_array().map(f32::from)
}

/// Premultiplied blending.
fn over(below: Color32, source: [f32; 4]) -> Color32 {
    let below = channels(below);
    let through = 1.0 - source[3] / 255.0;
    let [red, green, blue, alpha] =
        std::array::from_fn(|i| (source[i] + below[i] * through + 0.5).clamp(0.0, 255.0) as u8);
    Color32::from_rgba_premultiplied(red, green, blue, alpha)
}
