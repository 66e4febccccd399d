//! The light of a pane, summed in linear light: what the window and the PNG writer both show.
//!
//! Only the pixels that an outline touches cost time, row by row, so a thin slanting beam does not
//! cost its bounding box, and the whole pixels between two edges are added in one plain loop.

use std::sync::{LazyLock, Mutex, PoisonError};

use glam::{DVec2, Vec2, Vec4};

use super::coverage::{Coverage, PixelMap};
use super::picture::{Fill, Glow, Ink, linear_from_srgb, srgb_from_linear};

/// The longest side of an image, in pixels. Longer sides are cut to it.
pub const MAX_SIDE_PX: usize = 16_384;

/// The image is made this many rows at a time: what is being added to stays in near memory, and
/// several threads can work on one image. A band does not know of the others, so the image does not
/// depend on how many there are.
const BAND: usize = 64;

/// A glow gives at most this much light: the display value of it differs from 1 by 1e-28, and a
/// running sum of it keeps its precision.
const MAX_LIGHT: f32 = 64.0;

/// An image of linear light, and the buffers that make it. Keep it from one frame to the next:
/// once it has grown, rendering allocates nothing.
#[derive(Clone, Debug, Default)]
pub struct LightImage {
    width: usize,
    height: usize,
    /// Red, green and blue; the fourth number is not used and makes a pixel one machine word.
    pixels: Vec<Vec4>,
    /// The first and the last height of each glow, in pixels.
    reaches: Vec<(f64, f64)>,
    workers: Vec<Worker>,
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
        let pixel = self.pixels[y * self.width + x];
        Some([pixel.x, pixel.y, pixel.z])
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
        self.pixels.clear();
        self.pixels.resize(self.width * self.height, Vec4::ZERO);
        if !origin.is_finite() || !pixels_per_point.is_finite() || pixels_per_point <= 0.0 {
            return;
        }
        let whole = PixelMap { origin: origin.as_dvec2(), scale: f64::from(pixels_per_point) };
        self.reaches.clear();
        self.reaches.extend(glows.iter().map(|glow| rows_of(&glow.outline, whole)));
        let width = self.width;
        if width == 0 || glows.is_empty() {
            return;
        }
        let bands = Mutex::new(self.pixels.chunks_mut(BAND * width).enumerate());
        let next = || bands.lock().unwrap_or_else(PoisonError::into_inner).next();
        let reaches = self.reaches.as_slice();
        let work = |worker: &mut Worker| {
            while let Some((index, pixels)) = next() {
                let band = Band { first_row: index * BAND, width, pixels };
                worker.light(glows, reaches, whole, band);
            }
        };
        // A few glows are added sooner than a thread starts.
        let count = if glows.len() < 32 { 1 } else { *THREADS };
        self.workers.resize_with(count.max(self.workers.len()), Worker::default);
        let Some((own, others)) = self.workers[..count].split_first_mut() else { return };
        std::thread::scope(|scope| {
            for worker in others {
                scope.spawn(|| work(worker));
            }
            work(own);
        });
    }
}

/// How many bands are worked on together.
static THREADS: LazyLock<usize> =
    LazyLock::new(|| std::thread::available_parallelism().map_or(1, |count| count.get().min(8)));

/// Some rows of an image.
struct Band<'a> {
    first_row: usize,
    width: usize,
    pixels: &'a mut [Vec4],
}

/// What one thread needs to add glows.
#[derive(Clone, Debug, Default)]
struct Worker {
    coverage: Coverage,
    ramp: Ramp,
}

impl Worker {
    fn light(&mut self, glows: &[Glow], reaches: &[(f64, f64)], whole: PixelMap, band: Band<'_>) {
        let rows = band.pixels.len() / band.width;
        self.coverage.resize(band.width, rows);
        let down = DVec2::new(0.0, band.first_row as f64 / whole.scale);
        let map = PixelMap { origin: whole.origin + down, ..whole };
        let (first, end) = (band.first_row as f64, (band.first_row + rows) as f64);
        for (glow, (top, bottom)) in glows.iter().zip(reaches) {
            if *top < end && *bottom > first {
                self.add(glow, map, band.width, band.pixels);
            }
        }
    }

    /// Adds a glow to rows of pixels that start at row 0 of `map`.
    fn add(&mut self, glow: &Glow, map: PixelMap, width: usize, rows: &mut [Vec4]) {
        if !self.ramp.set(&glow.fill, map) || !self.coverage.outline(&glow.outline, map) {
            return;
        }
        for y in self.coverage.rows() {
            let Some((mut cells, mut x)) = self.coverage.row(y) else { continue };
            let mut pixels = &mut rows[y * width + x..];
            let position = self.ramp.base + self.ramp.per_y * y as f64;
            let mut sum = 0.0;
            while !cells.is_empty() {
                let (light, count) = self.ramp.piece(position, x);
                let (here, rest) = cells.split_at_mut(count.min(cells.len()));
                let (lit, others) = pixels.split_at_mut(here.len());
                sum = sweep(here, sum, light, lit);
                x += lit.len();
                (cells, pixels) = (rest, others);
            }
        }
        self.coverage.forget();
    }
}

/// The first and the last height of an outline, in pixels; the first is above the last if it has a
/// point that is not finite, or no area.
fn rows_of(outline: &[Vec2], map: PixelMap) -> (f64, f64) {
    let nowhere = (f64::INFINITY, f64::NEG_INFINITY);
    if outline.len() < 3 || outline.iter().any(|point| !point.is_finite()) {
        return nowhere;
    }
    outline.iter().fold(nowhere, |(top, bottom), point| {
        let y = map.apply(*point).y;
        (top.min(y), bottom.max(y))
    })
}

/// Light over some pixels of a row: what the first has, and how much it grows with each.
#[derive(Clone, Copy, Debug)]
struct Straight {
    light: Vec4,
    per_x: Vec4,
}

/// Goes on with the running sum of a row's differences, zeroes them and adds the light. Returns the
/// sum.
fn sweep(cells: &mut [f32], mut sum: f32, mut straight: Straight, pixels: &mut [Vec4]) -> f32 {
    /// How many cells are looked at together.
    const BLOCK: usize = 8;
    for (cells, pixels) in cells.chunks_mut(BLOCK).zip(pixels.chunks_mut(BLOCK)) {
        if cells.iter().fold(0, |bits, cell| bits | cell.to_bits()) == 0 {
            // Between two edges: the share stays what it is.
            let share = sum.abs().min(1.0);
            let (mut light, per_x) = (straight.light * share, straight.per_x * share);
            for pixel in pixels {
                *pixel += light;
                light += per_x;
            }
            straight.light += straight.per_x * cells.len() as f32;
            continue;
        }
        for (cell, pixel) in cells.iter_mut().zip(pixels) {
            sum += *cell;
            *cell = 0.0;
            *pixel += straight.light * sum.abs().min(1.0);
            straight.light += straight.per_x;
        }
    }
    sum
}

/// How much light there is along a row: straight pieces, since a fill is made of straight pieces
/// along its line and the line crosses the row evenly.
#[derive(Clone, Debug, Default)]
struct Ramp {
    stops: Vec<Stop>,
    /// Position along the fill at the centre of pixel 0, 0, and its change per pixel.
    base: f64,
    per_x: f64,
    per_y: f64,
}

/// A stop of a fill, and how light changes from it to the next.
#[derive(Clone, Copy, Debug)]
struct Stop {
    position: f64,
    light: Vec4,
    per_position: Vec4,
}

impl Ramp {
    /// Takes up a fill; false if it gives no light.
    fn set(&mut self, fill: &Fill, map: PixelMap) -> bool {
        self.stops.clear();
        (self.base, self.per_x, self.per_y) = (0.0, 0.0, 0.0);
        match fill {
            Fill::Flat(light) => self.push(0.0, *light),
            Fill::Along { from, to, stops } => {
                for (position, light) in stops {
                    if position.is_finite() {
                        self.push(f64::from(*position), *light);
                    }
                }
                let (from, to) = (map.apply(*from), map.apply(*to));
                let along = (to - from) / (to - from).length_squared();
                if along.is_finite() {
                    self.per_x = along.x;
                    self.per_y = along.y;
                    self.base = (DVec2::splat(0.5) - from).dot(along);
                } else {
                    // A line without a length: everything lies past its end.
                    self.base = f64::MAX;
                }
            }
        }
        self.base.is_finite() && self.stops.iter().any(|stop| stop.light != Vec4::ZERO)
    }

    fn push(&mut self, position: f64, light: [f32; 3]) {
        let [red, green, blue] = clean(light);
        let light = Vec4::new(red, green, blue, 0.0);
        let mut position = position;
        if let Some(last) = self.stops.last_mut() {
            position = position.max(last.position);
            let rise = (light - last.light) / (position - last.position) as f32;
            last.per_position = if rise.is_finite() { rise } else { Vec4::ZERO };
        }
        self.stops.push(Stop { position, light, per_position: Vec4::ZERO });
    }

    /// The light from pixel `x` on in a row whose pixel 0 is at `row_position`, and for how many
    /// pixels it stays straight: at least 1.
    fn piece(&self, row_position: f64, x: usize) -> (Straight, usize) {
        let position = row_position + self.per_x * x as f64;
        let after = self.stops.iter().take_while(|stop| stop.position <= position).count();
        let next = if self.per_x > 0.0 {
            self.stops.get(after)
        } else {
            after.checked_sub(1).and_then(|before| self.stops.get(before))
        };
        // Casts of what is too large, or of 0 / 0, end at the ends of the whole numbers.
        let count = match next {
            Some(next) if self.per_x != 0.0 => {
                (((next.position - position) / self.per_x).ceil() as usize).max(1)
            }
            _ => usize::MAX,
        };
        let straight = match after.checked_sub(1).map(|before| self.stops[before]) {
            Some(before) => {
                let ahead = within_f32(position - before.position);
                Straight {
                    light: before.light + before.per_position * ahead,
                    per_x: before.per_position * within_f32(self.per_x),
                }
            }
            None => {
                let light = self.stops.first().map_or(Vec4::ZERO, |stop| stop.light);
                Straight { light, per_x: Vec4::ZERO }
            }
        };
        (straight, count)
    }
}

/// The nearest finite number of 32 bits, so that times 0 it is 0.
fn within_f32(value: f64) -> f32 {
    value.clamp(f64::from(f32::MIN), f64::from(f32::MAX)) as f32
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
        let row = &image.pixels[y * image.width..(y + 1) * image.width];
        for (x, pixel) in row.iter().enumerate() {
            let [r, g, b, _] = pixel.to_array();
            if r + g + b <= 0.0 {
                out.extend_from_slice(&plain);
                continue;
            }
            let nudge = if dither { DITHER[y % 8][x % 8] } else { 128 };
            let level = |table: &[u16; TABLE], light: f32| {
                let step = (light.sqrt() * STEPS + 0.5) as usize;
                ((table[step.min(TABLE - 1)] + nudge) >> 8) as u8
            };
            let rgb = [level(&tables[0], r), level(&tables[1], g), level(&tables[2], b)];
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
