//! The window's icon: a head, its beam, and where the beam lands.

use egui::IconData;
use tiny_skia::{
    Color, FillRule, GradientStop, LinearGradient, Paint, Path, PathBuilder, Pixmap, Point, Rect,
    SpreadMode, Transform,
};

/// Side of the icon, in pixels. The system scales it to what it needs.
const SIDE: u32 = 128;

/// Draws the icon.
pub(super) fn icon() -> IconData {
    let rgba = draw().unwrap_or_default();
    match rgba.is_empty() {
        true => IconData::default(),
        false => IconData { rgba, width: SIDE, height: SIDE },
    }
}

/// The pixels, row by row. `None` only if a shape were empty, and none is.
fn draw() -> Option<Vec<u8>> {
    let mut sheet = Pixmap::new(SIDE, SIDE)?;
    fill(&mut sheet, &ground()?, &solid(24, 24, 26));
    let beam = polygon(&[(34.0, 30.0), (44.0, 24.0), (112.0, 92.0), (56.0, 101.0)])?;
    fill(&mut sheet, &beam, &fading()?);
    let pool = PathBuilder::from_oval(Rect::from_xywh(55.0, 84.0, 58.0, 24.0)?)?;
    fill(&mut sheet, &pool, &solid(255, 226, 158));
    let head = PathBuilder::from_circle(35.0, 24.0, 13.0)?;
    fill(&mut sheet, &head, &solid(232, 232, 232));
    let eye = PathBuilder::from_circle(38.0, 27.0, 5.5)?;
    fill(&mut sheet, &eye, &solid(255, 214, 120));
    Some(sheet.take_demultiplied())
}

/// A square with rounded corners.
fn ground() -> Option<Path> {
    let (near, far, round) = (2.0, SIDE as f32 - 2.0, 26.0);
    let mut path = PathBuilder::new();
    path.move_to(near + round, near);
    path.line_to(far - round, near);
    path.quad_to(far, near, far, near + round);
    path.line_to(far, far - round);
    path.quad_to(far, far, far - round, far);
    path.line_to(near + round, far);
    path.quad_to(near, far, near, far - round);
    path.line_to(near, near + round);
    path.quad_to(near, near, near + round, near);
    path.close();
    path.finish()
}

fn polygon(corners: &[(f32, f32)]) -> Option<Path> {
    let mut path = PathBuilder::new();
    for (i, (x, y)) in corners.iter().enumerate() {
        if i == 0 { path.move_to(*x, *y) } else { path.line_to(*x, *y) }
    }
    path.close();
    path.finish()
}

fn solid(red: u8, green: u8, blue: u8) -> Paint<'static> {
    let mut paint = Paint { anti_alias: true, ..Paint::default() };
    paint.set_color_rgba8(red, green, blue, 255);
    paint
}

/// Light that thins out on its way.
fn fading() -> Option<Paint<'static>> {
    let stops = vec![
        GradientStop::new(0.0, Color::from_rgba8(255, 220, 140, 230)),
        GradientStop::new(1.0, Color::from_rgba8(255, 200, 96, 70)),
    ];
    let (from, to) = (Point::from_xy(38.0, 26.0), Point::from_xy(86.0, 98.0));
    let shader = LinearGradient::new(from, to, stops, SpreadMode::Pad, Transform::identity())?;
    Some(Paint { shader, anti_alias: true, ..Paint::default() })
}

fn fill(sheet: &mut Pixmap, path: &Path, paint: &Paint<'_>) {
    sheet.fill_path(path, paint, FillRule::Winding, Transform::identity(), None);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_icon_is_drawn() {
        let icon = icon();
        assert_eq!(icon.rgba.len(), (SIDE * SIDE * 4) as usize);
        let pixel = |x: u32, y: u32| &icon.rgba[((y * SIDE + x) * 4) as usize..][..4];
        assert_eq!(pixel(0, 0)[3], 0, "the corners are round");
        assert_eq!(pixel(84, 98), [255, 226, 158, 255], "the beam lands");
    }
}
