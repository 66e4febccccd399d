//! The picture of a pattern as openings in the unit disc.
//!
//! Transparent is the holder, black blocks, white passes (DIN SPEC 15800, annex E); what lets half the
//! light through or more is open here. The picture is read on a grid of [`GRID`] cells across the disc,
//! its open cells are joined, their stair-steps smoothed, and an opening with an island in it is cut
//! in two beside the island, so that every opening is one outline. A picture is at most [`MOST_SIDE`]
//! pixels wide and high, which is looked at before it is unpacked.

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::simplify::SimplifyShape as _;
use i_overlay::float::single::SingleFloatOverlay as _;
use tiny_skia::Pixmap;

/// Pixels a picture may be wide or high. The standard allows 1024.
pub(super) const MOST_SIDE: u32 = 2048;

/// Cells of the grid across the disc.
const GRID: usize = 128;

/// Corners of all openings of one drawing, fewer than a profile may have.
const MOST_CORNERS: usize = 900;

/// How far an edge may be moved to smooth it, in cells: first choice, and those for busy pictures.
const SMOOTHING: [f64; 5] = [0.8, 1.2, 2.0, 3.5, 6.0];

/// Openings smaller than this many cells are dust.
const LEAST_AREA: f64 = 3.0;

type Outline = Vec<[f64; 2]>;
type Shape = Vec<Outline>;

/// A traced picture.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Traced {
    /// The openings in the unit disc, y up.
    pub(super) openings: Vec<Vec<(f64, f64)>>,
    /// The picture has colours, which are lost.
    pub(super) coloured: bool,
}

/// Traces a PNG.
///
/// # Errors
///
/// Why it cannot be read.
pub(super) fn trace(png: &[u8]) -> Result<Traced, String> {
    let (width, height) = size(png).ok_or("it is no PNG")?;
    if width == 0 || height == 0 || width > MOST_SIDE || height > MOST_SIDE {
        return Err(format!("{width} x {height} pixels; {MOST_SIDE} each way are allowed"));
    }
    let picture = Pixmap::decode_png(png).map_err(|error| error.to_string())?;
    let (open, coloured) = grid(&picture);
    let shapes = join(&open);
    for smoothing in SMOOTHING {
        let openings = outlines(&shapes, smoothing);
        let corners: usize = openings.iter().map(Vec::len).sum();
        if corners <= MOST_CORNERS {
            return Ok(Traced { openings, coloured });
        }
    }
    let mut openings = outlines(&shapes, SMOOTHING[SMOOTHING.len() - 1]);
    openings.sort_by(|a, b| area(b).abs().total_cmp(&area(a).abs()));
    let mut corners = 0;
    openings.retain(|opening| {
        corners += opening.len();
        corners <= MOST_CORNERS
    });
    Ok(Traced { openings, coloured })
}

/// Width and height as the head of a PNG gives them (PNG, 11.2.2).
fn size(png: &[u8]) -> Option<(u32, u32)> {
    let head = png.get(..24)?;
    if head[..8] != *b"\x89PNG\r\n\x1a\n" || head[12..16] != *b"IHDR" {
        return None;
    }
    let number =
        |at: usize| u32::from_be_bytes([head[at], head[at + 1], head[at + 2], head[at + 3]]);
    Some((number(16), number(20)))
}

/// Which cells are open, rows from the top, and whether the picture has colours.
fn grid(picture: &Pixmap) -> (Vec<bool>, bool) {
    let (width, height) = (picture.width() as usize, picture.height() as usize);
    let side = width.max(height) as f64;
    let pixels = picture.pixels();
    let mut coloured = false;
    let mut open = vec![false; GRID * GRID];
    // The disc is as wide as the longer side; what lies outside the picture is the holder.
    let pixel = |cell: f64, length: usize| {
        ((cell / GRID as f64 - 0.5) * side + length as f64 / 2.0).floor()
    };
    for row in 0..GRID {
        for column in 0..GRID {
            let (mut light, mut count) = (0.0, 0.0);
            let (x0, x1) = (pixel(column as f64, width), pixel(column as f64 + 1.0, width));
            let (y0, y1) = (pixel(row as f64, height), pixel(row as f64 + 1.0, height));
            for y in y0 as i64..(y1 as i64).max(y0 as i64 + 1) {
                for x in x0 as i64..(x1 as i64).max(x0 as i64 + 1) {
                    count += 1.0;
                    let inside = (0..width as i64).contains(&x) && (0..height as i64).contains(&y);
                    if !inside {
                        continue;
                    }
                    // Premultiplied: what is transparent is black already.
                    let pixel = pixels[y as usize * width + x as usize];
                    let (r, g, b) = (pixel.red(), pixel.green(), pixel.blue());
                    coloured |= r.abs_diff(g).max(g.abs_diff(b)) > 40;
                    light += f64::from(r.max(g).max(b)) / 255.0;
                }
            }
            open[row * GRID + column] = light / count >= 0.5;
        }
    }
    (open, coloured)
}

/// The open cells joined, in cells from the top left, with their islands.
fn join(open: &[bool]) -> Vec<Shape> {
    let mut runs: Vec<Outline> = Vec::new();
    for row in 0..GRID {
        let mut column = 0;
        while column < GRID {
            let start = column;
            while column < GRID && open[row * GRID + column] {
                column += 1;
            }
            if column > start {
                let (x0, x1) = (start as f64, column as f64);
                let (y0, y1) = (row as f64, row as f64 + 1.0);
                runs.push(vec![[x0, y0], [x1, y0], [x1, y1], [x0, y1]]);
            }
            column += 1;
        }
    }
    runs.simplify_shape(FillRule::NonZero)
}

/// Smooth openings without islands, in the unit disc.
fn outlines(shapes: &[Shape], smoothing: f64) -> Vec<Vec<(f64, f64)>> {
    let smooth: Vec<Outline> = shapes
        .iter()
        .flatten()
        .map(|outline| smoothed(outline, smoothing))
        .filter(|outline| outline.len() >= 3)
        .collect();
    let inside = smooth.overlay(&vec![disc()], OverlayRule::Intersect, FillRule::EvenOdd);
    let mut whole = Vec::new();
    for shape in inside {
        without_islands(shape, 0, &mut whole);
    }
    let half = GRID as f64 / 2.0;
    let place = |[x, y]: [f64; 2]| {
        let (x, y) = ((x - half) / half, (half - y) / half);
        ((x * 1e4).round() / 1e4, (y * 1e4).round() / 1e4)
    };
    let placed = whole.into_iter().map(|outline| outline.into_iter().map(place).collect());
    placed.filter(|outline: &Vec<_>| area(outline).abs() * half * half >= LEAST_AREA).collect()
}

fn disc() -> Outline {
    let half = GRID as f64 / 2.0;
    let corner = |i: usize| {
        let (sin, cos) = (i as f64 * std::f64::consts::TAU / 64.0).sin_cos();
        [half + half * cos, half + half * sin]
    };
    (0..64).map(corner).collect()
}

/// Cuts a shape beside its first island until no part has one.
fn without_islands(shape: Shape, depth: usize, whole: &mut Vec<Outline>) {
    let Some(island) = shape.get(1) else {
        whole.extend(shape);
        return;
    };
    if depth > 24 {
        // So many islands nest nowhere but in noise.
        whole.extend(shape.into_iter().next());
        return;
    }
    let (low, high) = island
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), p| (low.min(p[0]), high.max(p[0])));
    let (x, far) = ((low + high) / 2.0, 2.0 * GRID as f64);
    for (x0, x1) in [(-far, x), (x, far)] {
        let side = vec![[x0, -far], [x1, -far], [x1, far], [x0, far]];
        for part in shape.overlay(&vec![side], OverlayRule::Intersect, FillRule::EvenOdd) {
            without_islands(part, depth + 1, whole);
        }
    }
}

/// An outline without the corners that lie nearer than `within` to a straight way past them
/// (Douglas and Peucker, 1973).
fn smoothed(outline: &[[f64; 2]], within: f64) -> Outline {
    let Some(first) = outline.first() else { return Vec::new() };
    // The corner farthest from the first parts the round way into two.
    let distance = |p: &[f64; 2]| (p[0] - first[0]).hypot(p[1] - first[1]);
    let far =
        (0..outline.len()).max_by(|a, b| distance(&outline[*a]).total_cmp(&distance(&outline[*b])));
    let far = far.unwrap_or(0);
    let mut round: Outline = outline.to_vec();
    round.push(*first);
    let mut kept = vec![false; round.len()];
    kept[0] = true;
    kept[far] = true;
    let mut ways = vec![(0, far), (far, round.len() - 1)];
    while let Some((from, to)) = ways.pop() {
        let (a, b) = (round[from], round[to]);
        let length = (b[0] - a[0]).hypot(b[1] - a[1]);
        let off = |p: [f64; 2]| match length {
            0.0 => (p[0] - a[0]).hypot(p[1] - a[1]),
            _ => ((b[0] - a[0]) * (a[1] - p[1]) - (a[0] - p[0]) * (b[1] - a[1])).abs() / length,
        };
        let middle = (from + 1..to).max_by(|i, j| off(round[*i]).total_cmp(&off(round[*j])));
        if let Some(middle) = middle.filter(|middle| off(round[*middle]) > within) {
            kept[middle] = true;
            ways.push((from, middle));
            ways.push((middle, to));
        }
    }
    (0..outline.len()).filter(|i| kept[*i]).map(|i| outline[i]).collect()
}

fn area(outline: &[(f64, f64)]) -> f64 {
    let next = outline.iter().cycle().skip(1);
    outline.iter().zip(next).map(|(a, b)| a.0 * b.1 - a.1 * b.0).sum::<f64>() / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use tiny_skia::PremultipliedColorU8;

    fn png(side: u32, open: impl Fn(f64, f64) -> bool) -> Vec<u8> {
        let mut picture = Pixmap::new(side, side).unwrap();
        let half = f64::from(side) / 2.0;
        for (i, pixel) in picture.pixels_mut().iter_mut().enumerate() {
            let (x, y) = (i as u32 % side, i as u32 / side);
            let (x, y) = ((f64::from(x) + 0.5 - half) / half, (half - f64::from(y) - 0.5) / half);
            let light = if open(x, y) { 255 } else { 0 };
            *pixel = PremultipliedColorU8::from_rgba(light, light, light, 255).unwrap();
        }
        picture.encode_png().unwrap()
    }

    fn open_area(traced: &Traced) -> f64 {
        traced.openings.iter().map(|opening| area(opening).abs()).sum()
    }

    #[test]
    fn a_square_keeps_its_place_and_size() {
        let traced =
            trace(&png(256, |x, y| (0.0..0.5).contains(&x) && (0.1..0.6).contains(&y))).unwrap();
        assert_eq!(traced.openings.len(), 1);
        assert!((open_area(&traced) - 0.25).abs() < 0.02, "{}", open_area(&traced));
        assert!(traced.openings[0].iter().all(|(x, y)| *x > -0.03 && *y > 0.05), "{traced:?}");
        assert!(traced.openings[0].len() <= 8, "{traced:?}");
    }

    #[test]
    fn a_ring_becomes_openings_without_islands() {
        let traced = trace(&png(200, |x, y| (0.4..0.8).contains(&x.hypot(y)))).unwrap();
        assert!(traced.openings.len() >= 2);
        let expected = std::f64::consts::PI * (0.64 - 0.16);
        assert!((open_area(&traced) - expected).abs() < 0.08, "{}", open_area(&traced));
    }

    #[test]
    fn noise_stays_within_the_corners_a_profile_may_have() {
        let noise = png(512, |x, y| ((x * 977.0).sin() * (y * 613.0).cos() * 1e4).fract() > 0.1);
        let corners: usize = trace(&noise).unwrap().openings.iter().map(Vec::len).sum();
        assert!(corners <= MOST_CORNERS);
    }

    #[test]
    fn what_is_no_picture_or_too_large_is_refused() {
        assert!(trace(b"").is_err() && trace(&[0; 100]).is_err());
        let mut huge = png(8, |_, _| true);
        huge[16..20].copy_from_slice(&60_000u32.to_be_bytes());
        assert!(trace(&huge).unwrap_err().contains("60000 x 8 pixels"));
        let whole = png(8, |_, _| true);
        assert!(trace(&whole[..whole.len() / 2]).is_err());
    }
}
