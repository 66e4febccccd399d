//! `slotwright draw`: the stage as a picture in a file.

use std::path::Path;

use glam::Vec2;

use super::after::Later;
use super::args::{DrawArgs, DrawnView, Size};
use super::frames::Situation;
use super::{Failure, Report};
use crate::finding::{Finding, Place, one_line};
use crate::show::disk::write_file;
use crate::stage::draw::DEFAULT_HAZE_PER_M;
use crate::stage::{
    DrawOptions, Picture, Rect, Room, Sheet, View, ViewKind, draw, png::write_png, svg::write_svg,
};

/// A kind of file that can be written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Format {
    Svg,
    Png,
}

pub(super) fn run(args: &DrawArgs) -> Result<Report, Failure> {
    // Before anything is worked out, so that a slip in the name costs no time.
    let format = format_of(&args.out)?;
    let mut situation = Situation::load(&args.frame)?;
    let selected = situation.places(&args.fixtures)?;
    let later = Later::load(&mut situation, &args.when)?;
    let mut title = format!("{}: {}", situation.show.name, situation.from);
    if let Some(later) = &later {
        title.push_str(&format!(", {}", later.words));
    }
    let scene = later.map_or_else(|| situation.scene(), |later| later.scene(&situation));
    let options = DrawOptions {
        exposure_ev: args.exposure,
        haze_per_m: args.haze.map_or(DEFAULT_HAZE_PER_M, |percent| percent / 100.0),
        selected: &selected,
        hovered: None,
        title: &title,
    };
    let (views, size) = views(args.view, args.size, &situation.show.room);
    let picture = draw(&scene, &views, size, &options);
    let bytes = encode(&picture, format)?;
    write_file(&args.out, &bytes)?;
    let Size { width, height } = args.size;
    let path = args.out.to_string_lossy();
    let out = format!("wrote {} ({width}x{height}): {}\n", one_line(&path), one_line(&title));
    Ok(Report { out, said: situation.said, bad: false })
}

fn format_of(path: &Path) -> Result<Format, Failure> {
    let ending = path.extension().unwrap_or_default().to_string_lossy().to_lowercase();
    match ending.as_str() {
        "svg" => Ok(Format::Svg),
        "png" => Ok(Format::Png),
        _ => Err(Failure::Usage(Finding::error(
            Place::item("--out"),
            format!("`{}` does not say what kind of picture it is", path.display()),
            "end its name in .svg or .png",
        ))),
    }
}

fn views(drawn: DrawnView, size: Size, room: &Room) -> (Vec<View>, Vec2) {
    let size = Vec2::new(f32::from(size.width), f32::from(size.height));
    let whole = Rect::new(Vec2::ZERO, size);
    let one = |kind| vec![View::fit(kind, room, whole)];
    let views = match drawn {
        DrawnView::Plan => one(ViewKind::Plan),
        DrawnView::Front => one(ViewKind::Front),
        DrawnView::Side => one(ViewKind::Side),
        DrawnView::Sheet => Sheet::fit(room, whole, ViewKind::Front).views().to_vec(),
    };
    (views, size)
}

fn encode(picture: &Picture, format: Format) -> Result<Vec<u8>, Failure> {
    match format {
        Format::Svg => Ok(write_svg(picture).into_bytes()),
        Format::Png => write_png(picture, 1.0).map_err(|error| {
            let (what, mend) = (error.to_string(), "give another --size");
            Failure::Usage(Finding::error(Place::item("--size"), what, mend))
        }),
    }
}
