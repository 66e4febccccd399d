//! The light of a pane, summed in linear light: what the window and the PNG writer both show.
//!
//! Each outline is turned into exact area coverage per pixel: every edge adds its signed area to a
//! buffer of differences, and a running sum along the row gives the share of each pixel that is
//! inside. The share is the absolute value of that sum, at most 1. For an outline that does not
//! cross itself, and for one that winds several times the same way, this is the non-zero rule; where
//! parts that wind opposite ways overlap, they cancel.
//!
//! Only the pixels that an outline touches cost time, row by row, so a thin slanting beam does not
//! cost its bounding box, and the whole pixels between two edges are added in one plain loop.

use glam::{DVec2, Vec2};

use super::picture::{Fill, Glow, Ink, linear_from_srgb, srgb_from_linear};

/// The longest side of an image, in pixels. Longer sides are cut to it.
pub const MAX_SIDE_PX: usize = 16_384;

/// A glow gives at most this much light: the display value of it differs from 1 by 1e-28, and a
/// running sum of it keeps its precision.
const MAX_LIGHT: f32 = 64.0;

/// An image of linear light, and the buffers that make it. Keep it from one frame to the next:
/// once it has grown, rendering allocates nothing.
#[derive(Clone, Debug, Default)]
pub struct LightImage {
    width: usize,
    height: usize,
    planes: [Vec<f32>; 3],
    coverage: Coverage,
    ramp: Ramp,
}

impl LightImage {
    /// An image without pixels.
    pub fn new() -> Self {
        Self::default()
    }

    /// Width, in pixels.
    pub fn width(&self) -> usize {
        self.width
    }

    /// Height, in pixels.
    pub fn height(&self) -> usize {
        self.height
    }

    /// The linear light of a pixel, or `None` outside the image.
    pub fn light(&self, x: usize, y: usize) -> Option<[f32; 3]> {
        if x >= self.width || y >= self.height {
            return None;
        }
        let at = y * self.width + x;
        Some([self.planes[0][at], self.planes[1][at], self.planes[2][at]])
    }

    /// Replaces the image with the sum of the glows.
    ///
    /// `origin` is the point of the picture at the image's upper left corner, and
    /// `pixels_per_point` how many pixels a point of the picture has. A glow with a point that is
    /// not finite, or without an area, gives no light; nor does anything if `origin` or
    /// `pixels_per_point` is not finite.
    pub fn render(
        &mut self,
        glows: &[Glow],
        origin: Vec2,
        pixels_per_point: f32,
        width: usize,
        height: usize,
    ) {
        self.width = width.min(MAX_SIDE_PX);
        self.height = height.min(MAX_SIDE_PX);
        for plane in &mut self.planes {
            plane.clear();
            plane.resize(self.width * self.height, 0.0);
        }
        self.coverage.resize(self.width, self.height);
        if !origin.is_finite() || !pixels_per_point.is_finite() || pixels_per_point <= 0.0 {
            return;
        }
        let map = PixelMap { origin: origin.as_dvec2(), scale: f64::from(pixels_per_point) };
        for glow in glows {
            self.add(glow, map);
        }
    }

    fn add(&mut self, glow: &Glow, map: PixelMap) {
        if !self.ramp.set(&glow.fill, map) || !self.coverage.outline(&glow.outline, map) {
            return;
        }
        let width = self.width;
        for y in self.coverage.first_row..self.coverage.end_row {
            let Some((cells, first)) = self.coverage.row(y) else { continue };
            self.ramp.start_row(y, width);
            let [red, green, blue] = &mut self.planes;
            let rows = [red, green, blue].map(|plane| &mut plane[y * width..(y + 1) * width]);
            sweep(cells, first, rows, &mut self.ramp);
            cells.fill(0.0);
        }
        self.coverage.forget();
    }
}

/// Sums a row of differences and adds the light, `cells[0]` being pixel `first`.
fn sweep(cells: &[f32], first: usize, mut rows: [&mut [f32]; 3], ramp: &mut Ramp) {
    /// Less than this share of a pixel is what rounding leaves behind an outline.
    const NOTHING: f32 = 1e-5;
    let mut sum = 0.0_f32;
    let mut at = 0;
    while at < cells.len() {
        sum += cells[at];
        let next = at + 1 + zeros(&cells[at + 1..]);
        let share = sum.abs().min(1.0);
        if share > NOTHING {
            ramp.add(first + at, first + next, share, &mut rows);
        }
        at = next;
    }
}

/// How many zeros a slice starts with.
fn zeros(cells: &[f32]) -> usize {
    let mut count = 0;
    for block in cells.chunks_exact(8) {
        if block.iter().fold(0, |bits, cell| bits | cell.to_bits()) != 0 {
            break;
        }
        count += 8;
    }
    count + cells[count..].iter().take_while(|cell| **cell == 0.0).count()
}

/// From points of the picture to pixels.
#[derive(Clone, Copy, Debug)]
struct PixelMap {
    origin: DVec2,
    scale: f64,
}

impl PixelMap {
    fn apply(self, point: Vec2) -> DVec2 {
        (point.as_dvec2() - self.origin) * self.scale
    }
}

/// Differences of signed area along each row, and which part of each row is not zero.
#[derive(Clone, Debug, Default)]
struct Coverage {
    width: usize,
    height: usize,
    /// Rows of `width + 2` cells: an edge in the last pixel also writes to the one after it.
    cells: Vec<f32>,
    /// First and last touched cell of each row; first > last where none was.
    touched: Vec<(u32, u32)>,
    first_row: usize,
    end_row: usize,
}

const UNTOUCHED: (u32, u32) = (u32::MAX, 0);

impl Coverage {
    fn resize(&mut self, width: usize, height: usize) {
        self.width = width;
        self.height = height;
        self.cells.clear();
        self.cells.resize((width + 2) * height, 0.0);
        self.touched.clear();
        self.touched.resize(height, UNTOUCHED);
        self.forget();
    }

    /// Ends an outline whose rows have been read and zeroed.
    fn forget(&mut self) {
        let (first, end) = (self.first_row.min(self.end_row), self.end_row);
        self.touched[first..end].fill(UNTOUCHED);
        self.first_row = self.height;
        self.end_row = 0;
    }

    /// The cells of a row from the first touched one to the last visible one, and the pixel of the
    /// first.
    fn row(&mut self, y: usize) -> Option<(&mut [f32], usize)> {
        let (first, last) = self.touched[y];
        if first > last {
            return None;
        }
        let start = y * (self.width + 2);
        let (first, last) = (first as usize, last as usize);
        // What lies right of the image is never read, but the next outline needs it to be zero.
        self.cells[start + self.width..start + self.width + 2].fill(0.0);
        let end = (last + 1).min(self.width);
        if first >= end {
            return None;
        }
        Some((&mut self.cells[start + first..start + end], first))
    }

    /// Adds all edges of an outline; false if it has no area.
    fn outline(&mut self, outline: &[Vec2], map: PixelMap) -> bool {
        if outline.len() < 3 || outline.iter().any(|point| !point.is_finite()) {
            return false;
        }
        let mut from = map.apply(outline[outline.len() - 1]);
        for point in outline {
            let to = map.apply(*point);
            if from.is_finite() && to.is_finite() {
                self.edge(from, to);
            }
            from = to;
        }
        self.first_row < self.end_row
    }

    /// Adds an edge: downwards counts as positive. What is left of the image is moved to its left
    /// side and what is right of it to its right side, which changes nothing inside.
    fn edge(&mut self, from: DVec2, to: DVec2) {
        let (sign, top, bottom) = if from.y < to.y { (1.0, from, to) } else { (-1.0, to, from) };
        let (y0, y1) = (top.y.max(0.0), bottom.y.min(self.height as f64));
        if y0 >= y1 {
            return;
        }
        let per_row = (bottom.x - top.x) / (bottom.y - top.y);
        let right = self.width as f64;
        let x_at = |y: f64| top.x + (y - top.y) * per_row;
        // The heights at which the edge crosses the image's sides, in the order they come.
        let mut cuts = [y0, y0, y0, y1];
        if per_row != 0.0 {
            let a = (top.y - top.x / per_row).clamp(y0, y1);
            let b = (top.y + (right - top.x) / per_row).clamp(y0, y1);
            cuts = [y0, a.min(b), a.max(b), y1];
        }
        for pair in cuts.windows(2) {
            let (upper, lower) = (pair[0], pair[1]);
            if upper < lower {
                let x0 = x_at(upper).clamp(0.0, right);
                let x1 = x_at(lower).clamp(0.0, right);
                self.inside_edge(DVec2::new(x0, upper), DVec2::new(x1, lower), sign);
            }
        }
    }

    /// Adds a downward edge that lies inside the image.
    fn inside_edge(&mut self, top: DVec2, bottom: DVec2, sign: f64) {
        let per_row = (bottom.x - top.x) / (bottom.y - top.y);
        let first = top.y as usize;
        let end = (bottom.y.ceil() as usize).min(self.height);
        self.first_row = self.first_row.min(first);
        self.end_row = self.end_row.max(end);
        let (low, high) = (top.x.min(bottom.x), top.x.max(bottom.x));
        let mut x = top.x;
        for y in first..end {
            let y_end = ((y + 1) as f64).min(bottom.y);
            let x_end = (top.x + (y_end - top.y) * per_row).clamp(low, high);
            let height = y_end - (y as f64).max(top.y);
            self.step(y, x.min(x_end) as f32, x.max(x_end) as f32, (sign * height) as f32);
            x = x_end;
        }
    }

    /// Adds the part of an edge within one row: between `x0` and `x1`, of the given signed height.
    fn step(&mut self, y: usize, x0: f32, x1: f32, height: f32) {
        let first = x0 as usize;
        let end = x1.ceil() as usize;
        let last = end.max(first + 1);
        let touched = &mut self.touched[y];
        *touched = (touched.0.min(first as u32), touched.1.max(last as u32));
        let start = y * (self.width + 2);
        let cells = &mut self.cells[start + first..=start + last];
        if end <= first + 1 {
            // Within one pixel: the area right of the edge falls to it, the rest to its neighbour.
            let right = height * (0.5 * (x0 + x1) - first as f32);
            cells[0] += height - right;
            cells[1] += right;
            return;
        }
        // Across several pixels: a triangle in the first and in the last, strips between them.
        let slope = 1.0 / (x1 - x0);
        let into = 1.0 - (x0 - first as f32);
        let first_area = 0.5 * slope * into * into;
        let out = x1 - (end - 1) as f32;
        let last_area = 0.5 * slope * out * out;
        let count = end - first;
        cells[0] += height * first_area;
        if count == 2 {
            cells[1] += height * (1.0 - first_area - last_area);
        } else {
            let second = slope * (into + 0.5);
            cells[1] += height * (second - first_area);
            for cell in &mut cells[2..count - 1] {
                *cell += height * slope;
            }
            let before = second + (count - 3) as f32 * slope;
            cells[count - 1] += height * (1.0 - before - last_area);
        }
        cells[count] += height * last_area;
    }
}

/// How much light there is along a row: straight pieces, since a fill is made of straight pieces
/// along its line and the line crosses the row evenly.
#[derive(Clone, Debug, Default)]
struct Ramp {
    stops: Vec<(f32, [f32; 3])>,
    /// Position along the fill at the centre of pixel 0, 0, and its change per pixel.
    base: f64,
    per_x: f64,
    per_y: f64,
    pieces: Vec<Piece>,
    current: usize,
}

/// Light over the pixels up to `end`, starting with `light` at pixel `start`.
#[derive(Clone, Copy, Debug)]
struct Piece {
    start: usize,
    end: usize,
    light: [f32; 3],
    per_x: [f32; 3],
}

impl Ramp {
    /// Takes up a fill; false if it gives no light.
    fn set(&mut self, fill: &Fill, map: PixelMap) -> bool {
        self.stops.clear();
        (self.base, self.per_x, self.per_y) = (0.0, 0.0, 0.0);
        match fill {
            Fill::Flat(light) => self.stops.push((0.0, clean(*light))),
            Fill::Along { from, to, stops } => {
                let mut last = f32::NEG_INFINITY;
                for (position, light) in stops {
                    if position.is_finite() {
                        last = position.max(last);
                        self.stops.push((last, clean(*light)));
                    }
                }
                let (from, to) = (map.apply(*from), map.apply(*to));
                let along = (to - from) / (to - from).length_squared();
                if along.is_finite() {
                    self.per_x = along.x;
                    self.per_y = along.y;
                    self.base = (DVec2::splat(0.5) - from).dot(along);
                }
            }
        }
        self.base.is_finite() && self.stops.iter().any(|(_, light)| *light != [0.0; 3])
    }

    /// Works out the pieces of a row.
    fn start_row(&mut self, y: usize, width: usize) {
        self.pieces.clear();
        self.current = 0;
        let base = self.base + self.per_y * y as f64;
        let n = self.stops.len();
        if (self.per_x * width as f64).abs() < 1e-6 {
            let light = self.light_at(base);
            self.pieces.push(Piece { start: 0, end: width, light, per_x: [0.0; 3] });
            return;
        }
        let forward = self.per_x > 0.0;
        let mut start = 0;
        for order in 0..=n {
            // Gap `gap` lies before stop `gap`; the first and the last are the constant ends.
            let gap = if forward { order } else { n - order };
            let far = if forward { gap } else { gap.wrapping_sub(1) };
            let end = match self.stops.get(far) {
                Some((position, _)) => {
                    let x = (f64::from(*position) - base) / self.per_x;
                    (x.ceil().max(0.0) as usize).min(width)
                }
                None => width,
            };
            if end > start {
                self.pieces.push(self.piece(gap, start, end, base));
                start = end;
            }
        }
    }

    fn piece(&self, gap: usize, start: usize, end: usize, base: f64) -> Piece {
        let n = self.stops.len();
        if gap == 0 || gap == n {
            let light = self.stops[gap.min(n - 1)].1;
            return Piece { start, end, light, per_x: [0.0; 3] };
        }
        let light = self.light_at(base + self.per_x * start as f64);
        let ((p0, l0), (p1, l1)) = (self.stops[gap - 1], self.stops[gap]);
        let rate = self.per_x / f64::from(p1 - p0);
        let per_x = std::array::from_fn(|i| (f64::from(l1[i] - l0[i]) * rate) as f32);
        Piece { start, end, light, per_x }
    }

    fn light_at(&self, position: f64) -> [f32; 3] {
        let position = position as f32;
        let after = self.stops.partition_point(|(stop, _)| *stop <= position);
        if after == 0 || after == self.stops.len() {
            return self.stops[after.min(self.stops.len() - 1)].1;
        }
        let ((p0, l0), (p1, l1)) = (self.stops[after - 1], self.stops[after]);
        let share = (position - p0) / (p1 - p0);
        std::array::from_fn(|i| l0[i] + (l1[i] - l0[i]) * share)
    }

    /// Adds light to the pixels `start..end`, of which `share` is lit. Calls come left to right.
    fn add(&mut self, mut start: usize, end: usize, share: f32, rows: &mut [&mut [f32]; 3]) {
        while start < end {
            let Some(piece) = self.pieces.get(self.current) else { return };
            if piece.end <= start {
                self.current += 1;
                continue;
            }
            let stop = end.min(piece.end);
            let ahead = (start - piece.start) as f32;
            for (i, row) in rows.iter_mut().enumerate() {
                let light = share * (piece.light[i] + piece.per_x[i] * ahead);
                add_straight(&mut row[start..stop], light, share * piece.per_x[i]);
            }
            start = stop;
        }
    }
}

/// Adds `light`, growing by `per_x` a pixel.
fn add_straight(pixels: &mut [f32], light: f32, per_x: f32) {
    if per_x != 0.0 {
        for (ahead, pixel) in (0_i32..).zip(pixels) {
            *pixel += light + per_x * ahead as f32;
        }
    } else if light != 0.0 {
        for pixel in pixels {
            *pixel += light;
        }
    }
}

fn clean(light: [f32; 3]) -> [f32; 3] {
    light.map(|value| if value > 0.0 { value.min(MAX_LIGHT) } else { 0.0 })
}

/// Steps of the encoding table per unit of the square root of light, and its length. The root makes
/// the steps fine where the eye needs it; at the end of the table a channel is at 255.
const STEPS: f32 = 1024.0;
const TABLE: usize = 4096;

/// Writes the image over a background as opaque 8-bit RGBA, replacing what is in `out`.
///
/// With `dither`, an ordered 8 by 8 pattern of less than one step hides the bands of slow ramps. It
/// is the same on every run, and leaves pixels without light exactly as the background.
pub fn encode(image: &LightImage, background: Ink, dither: bool, out: &mut Vec<u8>) {
    let [red, green, blue, _] = background.0;
    let tables = [table(red), table(green), table(blue)];
    let plain = [red, green, blue, 255];
    out.clear();
    out.reserve(image.width * image.height * 4);
    for y in 0..image.height {
        let row = y * image.width..(y + 1) * image.width;
        let [r, g, b] = [0, 1, 2].map(|i| &image.planes[i][row.clone()]);
        for (x, ((r, g), b)) in r.iter().zip(g).zip(b).enumerate() {
            if r + g + b <= 0.0 {
                out.extend_from_slice(&plain);
                continue;
            }
            let nudge = if dither { DITHER[y % 8][x % 8] } else { 128 };
            let level = |table: &[u16; TABLE], light: f32| {
                let step = (light.sqrt() * STEPS + 0.5) as usize;
                ((table[step.min(TABLE - 1)] + nudge) >> 8) as u8
            };
            let rgb = [level(&tables[0], *r), level(&tables[1], *g), level(&tables[2], *b)];
            out.extend_from_slice(&[rgb[0], rgb[1], rgb[2], 255]);
        }
    }
}

/// The display value for each step of light over a background value, in 256ths of a level.
fn table(background: u8) -> [u16; TABLE] {
    let dark = 1.0 - linear_from_srgb(f32::from(background) / 255.0);
    std::array::from_fn(|step| {
        if step == 0 {
            return u16::from(background) << 8;
        }
        let root = step as f32 / STEPS;
        let level = srgb_from_linear(1.0 - dark * (-root * root).exp());
        (level * 255.0 * 256.0).round() as u16
    })
}

/// Thresholds of the dither, in 256ths of a level: 2..=254 and 128 on average.
const DITHER: [[u16; 8]; 8] = dither_pattern();

/// The ordered pattern whose threshold is the interleaved, reversed bits of `x ^ y` and `y`.
///
/// Source: B. E. Bayer, "An optimum method for two-level rendition of continuous-tone pictures",
/// IEEE ICC 1973 (from memory).
const fn dither_pattern() -> [[u16; 8]; 8] {
    let mut pattern = [[0; 8]; 8];
    let mut y = 0;
    while y < 8 {
        let mut x = 0;
        while x < 8 {
            let (mut rank, mut bit) = (0, 0);
            while bit < 3 {
                rank |= (((x ^ y) >> bit) & 1) << (5 - 2 * bit);
                rank |= ((y >> bit) & 1) << (4 - 2 * bit);
                bit += 1;
            }
            pattern[y][x] = rank as u16 * 4 + 2;
            x += 1;
        }
        y += 1;
    }
    pattern
}
