//! `slotwright draw`: the stage as a picture in a file.

use std::fs;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

use glam::Vec2;

use super::args::{DrawArgs, DrawnView, Size};
use super::frames::Situation;
use super::{Failure, Report};
use crate::finding::{Finding, Place};
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
    let situation = Situation::load(&args.frame)?;
    let selected = situation.places(&args.fixtures)?;
    let title = format!("{}: {}", situation.show.name, situation.from);
    let options = DrawOptions {
        exposure_ev: args.exposure,
        haze_per_m: args.haze.map_or(DEFAULT_HAZE_PER_M, |percent| percent / 100.0),
        selected: &selected,
        hovered: None,
        title: &title,
    };
    let (views, size) = views(args.view, args.size, &situation.show.room);
    let picture = draw(&situation.scene(), &views, size, &options);
    let bytes = encode(&picture, format)?;
    write_whole(&args.out, &bytes).map_err(|error| {
        let what = format!("the picture cannot be written: {error}");
        Finding::error(Place::file(&args.out), what, "give a place that can be written to")
    })?;
    let Size { width, height } = args.size;
    let out = format!("wrote {} ({width}x{height}): {title}\n", args.out.display());
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

/// Writes a file aside and moves it into place, so that there is never half a picture.
fn write_whole(path: &Path, bytes: &[u8]) -> io::Result<()> {
    // Through a link, the file it leads to is the one to replace.
    let path = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    match fs::metadata(&path) {
        Ok(about) if about.is_dir() => return Err(io::Error::other("it is a directory")),
        Ok(about) if !about.is_file() => return fs::write(&path, bytes),
        _ => {}
    }
    let mut aside = new_file(&folder_of(&path))?;
    aside.write_all(bytes)?;
    aside.as_file().sync_all()?;
    aside.persist(&path).map_err(|error| error.error)?;
    Ok(())
}

fn folder_of(path: &Path) -> PathBuf {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder.to_owned(),
        _ => PathBuf::from("."),
    }
}

fn new_file(folder: &Path) -> io::Result<tempfile::NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".slotwright-");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        // A picture is for whoever the user lets see files; a file aside is private by default.
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(folder)
}
