//! Exact area coverage of outlines.
//!
//! Every edge adds its signed area to a buffer of differences, and a running sum along the row gives
//! the share of each pixel that is inside: its absolute value, at most 1. For an outline that does not
//! cross itself, and for one that winds several times the same way, this is the non-zero rule; where
//! parts that wind opposite ways overlap, they cancel.

use std::ops::Range;

use glam::{DVec2, Vec2};

/// From points of the picture to pixels.
#[derive(Clone, Copy, Debug)]
pub struct PixelMap {
    /// The point at the image's upper left corner.
    pub origin: DVec2,
    /// Pixels per point.
    pub scale: f64,
}

impl PixelMap {
    /// Where a point lies, in pixels.
    pub fn apply(self, point: Vec2) -> DVec2 {
        (point.as_dvec2() - self.origin) * self.scale
    }
}

/// Differences of signed area along each row, and which part of each row is not zero.
#[derive(Clone, Debug, Default)]
pub struct Coverage {
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
    /// Makes room for an image of this size and forgets everything.
    pub fn resize(&mut self, width: usize, height: usize) {
        self.width = width;
        self.height = height;
        self.cells.clear();
        self.cells.resize((width + 2) * height, 0.0);
        self.touched.clear();
        self.touched.resize(height, UNTOUCHED);
        self.forget();
    }

    /// Ends an outline whose rows have been read and zeroed.
    pub fn forget(&mut self) {
        let (first, end) = (self.first_row.min(self.end_row), self.end_row);
        self.touched[first..end].fill(UNTOUCHED);
        self.first_row = self.height;
        self.end_row = 0;
    }

    /// The rows that the outline touches, as far as they are in the image.
    pub fn rows(&self) -> Range<usize> {
        self.first_row..self.end_row
    }

    /// The cells of a row from the first touched one to the last visible one, and the pixel of the
    /// first.
    pub fn row(&mut self, y: usize) -> Option<(&mut [f32], usize)> {
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

    /// Adds all edges of an outline; false if none lies in the rows.
    pub fn outline(&mut self, outline: &[Vec2], map: PixelMap) -> bool {
        let Some(last) = outline.last() else { return false };
        let mut from = map.apply(*last);
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
        let whole = bottom.y as usize;
        let end = (whole + usize::from(whole as f64 != bottom.y)).min(self.height);
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
        let (first, floor) = (x0 as i32 as usize, x1 as i32);
        let end = floor as usize + usize::from(floor as f32 != x1);
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
