//! `slotwright sweep`: a channel from 0 to its greatest value, one picture a range.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};

use super::profile_of::{self, ModeArgs};
use super::{Failure, Report, input};
use crate::finding::{Finding, Place, listed, nearest, one_line};
use crate::paper::sweep::{html, strip, text};
use crate::show::disk::write_file;

/// Below the options of `sweep`.
pub const HELP: &str = "\
Each range of the channel is shown at the value in its middle, on one head that hangs and rests with its
light on; where the range depends on other channels, these stand so that it acts. The page holds a picture
for each, with the values from and to, the name, and the physical values at both ends. All pictures share
one exposure, so that what is dimmer looks dimmer. The text says in a word whether there is light.

Examples:
  slotwright sweep \"Tarnfell S1 Spot\" --mode full --channel Shutter
  slotwright sweep my-head.ron --channel \"Colour wheel\" --format html --out colours.html";

/// What `sweep` takes.
#[derive(Args, Debug)]
pub struct SweepArgs {
    /// Which mode of which profile.
    #[command(flatten)]
    pub of: ModeArgs,
    /// Channel, by its name
    #[arg(long, value_name = "NAME")]
    pub channel: String,
    /// How to write it [default: by the ending of `--out`, else text]
    #[arg(long, value_enum, value_name = "FORMAT")]
    pub format: Option<SweepFormat>,
    /// Write it to this file instead of standard output; a file that is there is replaced
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
}

/// A form of a sweep.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum SweepFormat {
    /// Plain text, one line a range
    Text,
    /// One page with a picture a range
    Html,
}

pub(super) fn run(args: &SweepArgs) -> Result<Report, Failure> {
    let (mode, said) = profile_of::load(&args.of)?;
    let named = |same: &dyn Fn(&str) -> bool| mode.channels.iter().position(|c| same(&c.name));
    let wanted = args.channel.as_str();
    let found =
        named(&|name| name == wanted).or_else(|| named(&|n| n.eq_ignore_ascii_case(wanted)));
    let strip = found.and_then(|channel| strip(&mode, channel)).ok_or_else(|| {
        let names = || mode.channels.iter().map(|channel| channel.name.as_str());
        let near = nearest(wanted, names());
        let near = near.map_or(String::new(), |near| format!("did you mean `{near}`? "));
        let what = format!("mode `{}` has no channel `{}`", mode.name, wanted.escape_debug());
        let mend = format!("{near}its channels: {}", listed(names()));
        Failure::Usage(Finding::error(Place::item("--channel"), what, mend))
    })?;
    let by_ending = || args.out.as_deref().and_then(format_of);
    let page = match args.format.or_else(by_ending).unwrap_or(SweepFormat::Text) {
        SweepFormat::Text => text(&strip),
        SweepFormat::Html => html(&strip),
    };
    let out = match args.out.as_deref().filter(|path| !input::is_standard(path)) {
        Some(path) => {
            write_file(path, page.as_bytes())?;
            let path = path.to_string_lossy();
            let count = strip.tiles.len();
            format!("wrote {}: {}, {count} ranges\n", one_line(&path), one_line(&strip.channel))
        }
        None => page,
    };
    Ok(Report { out, said, bad: false })
}

fn format_of(path: &Path) -> Option<SweepFormat> {
    match path.extension()?.to_str()?.to_ascii_lowercase().as_str() {
        "html" | "htm" => Some(SweepFormat::Html),
        _ => None,
    }
}
