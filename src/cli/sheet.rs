//! `slotwright sheet`: a cue list on paper.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};

use super::frames::load_show;
use super::play::lists;
use super::{Failure, Report, input};
use crate::finding::one_line;
use crate::paper::cue_sheet::{csv, cue_sheet, html, text};
use crate::show::disk::write_file;

/// Below the options of `sheet`.
pub const HELP: &str = "\
For each cue its number, name and notes, its times in short (fade and delay, own times of levels that
rise or fall, of aim, colour and beam), how the next one comes, what it changes in plain words, movements
that begin or end, heads that are moved ahead in the dark, and where a loop goes back. Fixtures that do the
same stand together. A cue in which heads flash carries a caution.

The page has a small picture of the stage for each cue, once it has faded: plan above, front elevation
below, one exposure for all. It needs no other file, and prints with its headings on each page.

CSV: cue,name,times,takes s,next,what it does,lit,flashes,notes

Examples:
  slotwright sheet --out evening.html
  slotwright sheet my-show.ron --list Main --out main.html
  slotwright sheet my-show.ron --format text";

/// What `sheet` takes.
#[derive(Args, Debug)]
pub struct SheetArgs {
    /// Show file; without it, the demo show
    #[arg(value_name = "SHOW")]
    pub show: Option<PathBuf>,
    /// Cue list, by its name [default: the first]
    #[arg(long = "list", value_name = "NAME")]
    pub list: Option<String>,
    /// How to write it [default: by the ending of `--out`, else text]
    #[arg(long, value_enum, value_name = "FORMAT")]
    pub format: Option<SheetFormat>,
    /// Leave the pictures out of the page
    #[arg(long)]
    pub no_pictures: bool,
    /// Write it to this file instead of standard output; a file that is there is replaced
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
}

/// A form of a cue sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum SheetFormat {
    /// Plain text
    Text,
    /// Comma-separated values, one line a cue
    Csv,
    /// One page with a picture a cue
    Html,
}

pub(super) fn run(args: &SheetArgs) -> Result<Report, Failure> {
    let (show, mut said) = load_show(args.show.as_deref())?;
    let named: Vec<String> = args.list.iter().cloned().collect();
    let place = lists(&show.cues, &named)?.first().copied().unwrap_or(0);
    let by_ending = || args.out.as_deref().and_then(format_of);
    let format = args.format.or_else(by_ending).unwrap_or(SheetFormat::Text);
    let pictures = format == SheetFormat::Html && !args.no_pictures;
    let Some(sheet) = cue_sheet(&show, place, pictures) else { return Ok(Report::default()) };
    let page = match format {
        SheetFormat::Text => text(&sheet),
        SheetFormat::Csv => csv(&sheet),
        SheetFormat::Html => html(&sheet),
    };
    let out = match args.out.as_deref().filter(|path| !input::is_standard(path)) {
        Some(path) => {
            write_file(path, page.as_bytes())?;
            let (path, count) = (path.to_string_lossy(), sheet.rows.len());
            format!("wrote {}: {}, {count} cues\n", one_line(&path), one_line(&sheet.list))
        }
        None => page,
    };
    said.extend(sheet.unresolved);
    Ok(Report { out, said, bad: false })
}

fn format_of(path: &Path) -> Option<SheetFormat> {
    match path.extension()?.to_str()?.to_ascii_lowercase().as_str() {
        "html" | "htm" => Some(SheetFormat::Html),
        "csv" => Some(SheetFormat::Csv),
        _ => None,
    }
}
