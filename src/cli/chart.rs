//! `slotwright chart`: the channel chart of a mode, as a manual prints it.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};

use super::profile_of::{self, ModeArgs};
use super::{Failure, Report, input};
use crate::finding::one_line;
use crate::paper::chart::{Chart, csv, html, text};
use crate::show::disk::write_file;

/// Below the options of `chart`.
pub const HELP: &str = "\
Each range of each channel comes with the physical values at its ends and at round steps between, with
where other channels must stand, how long to hold it, and what the channel does at rest. Values are
those of the coarse slot where a range begins and ends with whole coarse steps; others stand slot by
slot: `128/64`.

CSV: one line a range, with a first line of names:
  slot,channel,from,to,function,physical from,physical to,unit
  1/2,Pan,0,255,pan,-270,270,deg

Examples:
  slotwright chart \"Tarnfell S1 Spot\" --mode compact
  slotwright chart my-head.ron --mode full --format html --out my-head.html";

/// What `chart` takes.
#[derive(Args, Debug)]
pub struct ChartArgs {
    /// Which mode of which profile.
    #[command(flatten)]
    pub of: ModeArgs,
    /// How to write it [default: by the ending of `--out`, else text]
    #[arg(long, value_enum, value_name = "FORMAT")]
    pub format: Option<ChartFormat>,
    /// Write it to this file instead of standard output; a file that is there is replaced
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
}

/// A form of a chart.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum ChartFormat {
    /// Plain text in columns
    Text,
    /// Comma-separated values, one line a range
    Csv,
    /// One page that prints
    Html,
}

pub(super) fn run(args: &ChartArgs) -> Result<Report, Failure> {
    let (mode, said) = profile_of::load(&args.of)?;
    let chart = Chart::new(&mode);
    let by_ending = || args.out.as_deref().and_then(format_of);
    let written = match args.format.or_else(by_ending).unwrap_or(ChartFormat::Text) {
        ChartFormat::Text => text(&chart),
        ChartFormat::Csv => csv(&chart),
        ChartFormat::Html => html(&chart),
    };
    let out = match args.out.as_deref().filter(|path| !input::is_standard(path)) {
        Some(path) => {
            write_file(path, written.as_bytes())?;
            let title = format!("{}, mode {}", chart.title, chart.mode);
            format!("wrote {}: {}\n", one_line(&path.to_string_lossy()), one_line(&title))
        }
        None => written,
    };
    Ok(Report { out, said, bad: false })
}

fn format_of(path: &Path) -> Option<ChartFormat> {
    match path.extension()?.to_str()?.to_ascii_lowercase().as_str() {
        "csv" => Some(ChartFormat::Csv),
        "html" | "htm" => Some(ChartFormat::Html),
        _ => None,
    }
}
