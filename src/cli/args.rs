//! What can be typed behind `slotwright`, and how each piece of it is read.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

use super::help;
use super::import::{self, ImportArgs};
use super::probe::{self, ProbeArgs};
use crate::rig::FixtureId;
use crate::wire::{Slot, Universe};

/// Shows, offline, what every value in a DMX512 frame does to every lighting fixture.
#[derive(Debug, Parser)]
#[command(version, args_conflicts_with_subcommands = true, after_help = help::TOP)]
pub struct Cli {
    /// What to do. `None` opens the window.
    #[command(subcommand)]
    pub command: Option<Command>,
    /// How to open the window.
    #[command(flatten)]
    pub window: WindowArgs,
}

/// How to open the window.
#[derive(Args, Debug)]
pub struct WindowArgs {
    /// Show file to open in the window; without it, the demo show
    pub show: Option<PathBuf>,
    /// Close the window by itself after some seconds.
    #[arg(long, hide = true, value_name = "SECONDS", value_parser = seconds)]
    pub exit_after: Option<f64>,
    /// Write a picture of the window to this PNG file.
    #[arg(long, hide = true, value_name = "FILE")]
    pub screenshot: Option<PathBuf>,
}

/// What the command line can do without a window.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Say what a frame asks of every fixture, channel by channel
    #[command(after_long_help = help::READ)]
    Read(ReadArgs),
    /// Say why a fixture is dark, link by link, and what would give light
    #[command(after_long_help = super::why::HELP)]
    Why(super::why::WhyArgs),
    /// Say what may be wrong with a rig that does not do what its frame says, and the next test
    #[command(after_long_help = super::misfit::help())]
    Misfit(super::misfit::MisfitArgs),
    /// Draw the stage and its light to an SVG or PNG file
    #[command(after_long_help = help::FRAMES)]
    Draw(DrawArgs),
    /// Say what heads do over time, on their way from one look to another
    #[command(after_long_help = help::TRACE)]
    Trace(TraceArgs),
    /// Say when each cue of a list starts, and write the list as timed frames
    #[command(after_long_help = super::play::HELP)]
    Play(super::play::PlayArgs),
    /// Play cue lists faster than real time, and tell what will look wrong
    #[command(after_long_help = super::rehearse::HELP)]
    Rehearse(super::rehearse::RehearseArgs),
    /// Say when a condition on slots, channels or states is true
    #[command(after_long_help = super::watch::HELP)]
    Watch(super::watch::WatchArgs),
    /// Say what differs between two frames, looks, cues, instants of a list, or modes
    #[command(after_long_help = super::diff::HELP)]
    Diff(super::diff::DiffArgs),
    /// Say which slots of a head differ from those of its twins
    #[command(after_long_help = super::stray::HELP)]
    Stray(super::stray::StrayArgs),
    /// Print a cue list: times, what each cue changes in plain words, a picture of the stage
    #[command(after_long_help = super::sheet::HELP)]
    Sheet(super::sheet::SheetArgs),
    /// Say what differs between two shows or cue lists, cue by cue, by what the values mean
    #[command(after_long_help = super::compare::HELP)]
    Compare(super::compare::CompareArgs),
    /// Check profiles and shows, and say where each mistake is and what would be right
    #[command(after_long_help = help::CHECK)]
    Check(CheckArgs),
    /// Say what becomes of a show when fixtures change to another model or mode
    #[command(after_long_help = super::change::HELP)]
    Change(super::change::ChangeArgs),
    /// Print the channel chart of a mode, as a manual does
    #[command(after_long_help = super::chart::HELP)]
    Chart(super::chart::ChartArgs),
    /// Show a channel from 0 to its greatest value, one picture a range
    #[command(after_long_help = super::sweep::HELP)]
    Sweep(super::sweep::SweepArgs),
    /// Say which values of a channel do what is asked for: `5 Hz`, `open`, `amber`
    #[command(after_long_help = super::value::HELP)]
    Value(super::value::ValueArgs),
    /// Make a profile of a fixture description of the open standard, a .gdtf file
    #[command(after_long_help = import::HELP)]
    Import(ImportArgs),
    /// Make a fixture description of the open standard, a .gdtf file, of a profile
    #[command(after_long_help = super::export::HELP)]
    Export(super::export::ExportArgs),
    /// Make a draft profile of the channel table of a manual
    #[command(after_long_help = super::from_table::HELP)]
    Table(super::from_table::TableArgs),
    /// List the profiles there are to use, with their modes and footprints and where each comes from
    #[command(after_long_help = help::LIBRARY)]
    Library,
    /// Find out what a head does for which there is no chart: a plan, notes, a draft profile
    #[command(after_long_help = probe::HELP)]
    Probe(ProbeArgs),
    /// Read the guide: what a frame is and what becomes of it, with examples
    #[command(after_long_help = super::guide::HELP)]
    Guide(super::guide::GuideArgs),
    /// Print a sheet of exercises for students with its answer key, or grade answers
    #[command(after_long_help = super::drill::HELP)]
    Drill(super::drill::DrillArgs),
}

/// Which show, and what its slots stand at.
#[derive(Args, Clone, Debug, Default)]
pub struct FrameArgs {
    /// Show file; without it, the demo show that comes with the program
    pub show: Option<PathBuf>,
    /// Frame file to apply, `-` for standard input; may be given again, applied in order
    ///
    /// With a frame and no `--look`, every slot starts as never sent, so that only what the
    /// frames carry is known. Example: `--frame desk.txt`.
    #[arg(long = "frame", value_name = "FILE", verbatim_doc_comment)]
    pub frames: Vec<PathBuf>,
    /// Universe of the frame files that do not say, 1..63999 [default: 1]
    ///
    /// Give it once for all frame files, or once for each in the same order.
    /// Example: `--frame a.txt --universe 1 --frame b.txt --universe 2`.
    #[arg(long = "universe", value_name = "N", value_parser = universe, verbatim_doc_comment)]
    pub universes: Vec<Universe>,
    /// Set one slot after everything else: universe 1..63999, slot 1..512, value 0..255
    ///
    /// May be given again. Example: `--slot 1/17=128`.
    #[arg(long = "slot", value_name = "U/S=V", value_parser = slot_setting)]
    pub slots: Vec<SlotSetting>,
    /// Start from a look of the show, by its name
    ///
    /// Example: `--look "Harbour dawn"`. Without it and without a frame, the slots stand as the
    /// show file left them.
    #[arg(long, value_name = "NAME", verbatim_doc_comment)]
    pub look: Option<String>,
}

/// How long the frame has been held, and from where.
#[derive(Args, Debug, Default)]
pub struct AfterArgs {
    /// Show the fixtures after the frame was held this long, in seconds, 0..86400
    ///
    /// Without it, everything has arrived. Example: `--after 0.5`.
    #[arg(long, value_name = "SECONDS", value_parser = seconds, allow_negative_numbers = true)]
    pub after: Option<f64>,
    /// With `--after`: the look in which the heads stood before; without it, they start at rest
    #[arg(long, value_name = "LOOK", requires = "after")]
    pub from: Option<String>,
    /// With `--after`: play timed frames from this CSV file until then, `-` for standard input
    ///
    /// Lines of `seconds,universe,slot,value`, only changes needed, described in
    /// `slotwright help trace`. Example: `--timed cue.csv --after 2.5`.
    #[arg(
        long,
        value_name = "FILE",
        requires = "after",
        conflicts_with_all = ["frames", "universes", "slots", "look"],
        verbatim_doc_comment
    )]
    pub timed: Option<PathBuf>,
    /// With `--after`: no more frames come from this time on, in seconds, 0..86400
    ///
    /// Shows what each head does without a signal. Example: `--silent-from 0 --after 5`.
    #[arg(
        long,
        value_name = "SECONDS",
        value_parser = seconds,
        requires = "after",
        allow_negative_numbers = true,
        verbatim_doc_comment
    )]
    pub silent_from: Option<f64>,
}

/// What `read` takes.
#[derive(Args, Debug, Default)]
pub struct ReadArgs {
    /// Which show and frames.
    #[command(flatten)]
    pub frame: FrameArgs,
    /// When to look at the fixtures.
    #[command(flatten)]
    pub when: AfterArgs,
    /// Only this fixture, by its number; may be given again. Example: `--fixture 101`
    #[arg(long = "fixture", value_name = "ID")]
    pub fixtures: Vec<FixtureId>,
    /// Print JSON instead of a table; its form is described in `slotwright help read`
    #[arg(long)]
    pub json: bool,
}

/// What `draw` takes.
#[derive(Args, Debug)]
pub struct DrawArgs {
    /// Which show and frames.
    #[command(flatten)]
    pub frame: FrameArgs,
    /// When to look at the fixtures.
    #[command(flatten)]
    pub when: AfterArgs,
    /// File to write, ending in `.svg` or `.png`; a file that is there is replaced
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
    /// What to draw
    #[arg(long, value_enum, default_value_t = DrawnView::Sheet)]
    pub view: DrawnView,
    /// Width and height in pixels, each 16..8192. Example: `--size 1920x1080`
    #[arg(long, value_name = "WxH", value_parser = size, default_value = "1280x960")]
    pub size: Size,
    /// Brighter or darker than the automatic exposure, in stops, -12..12. Example: `--exposure -1.5`
    #[arg(
        long,
        value_name = "EV",
        value_parser = exposure,
        default_value = "0",
        allow_negative_numbers = true
    )]
    pub exposure: f64,
    /// Haze: percent of the light scattered in each metre, 0..100 [default: 5]
    #[arg(long, value_name = "PERCENT", value_parser = percent, allow_negative_numbers = true)]
    pub haze: Option<f64>,
    /// Mark this fixture, by its number; may be given again. Example: `--fixture 101`
    #[arg(long = "fixture", value_name = "ID")]
    pub fixtures: Vec<FixtureId>,
}

/// What `trace` takes.
#[derive(Args, Debug)]
pub struct TraceArgs {
    /// Which show, and the frame that is sent at time 0.
    #[command(flatten)]
    pub frame: FrameArgs,
    /// The look in which the heads stood before; without it, they start at rest
    #[arg(long, value_name = "LOOK")]
    pub from: Option<String>,
    /// The look that is sent at time 0; the same as `--look`
    #[arg(long, value_name = "LOOK", conflicts_with = "look")]
    pub to: Option<String>,
    /// Play timed frames from this CSV file instead of one frame, `-` for standard input
    #[arg(
        long,
        value_name = "FILE",
        conflicts_with_all = ["frames", "universes", "slots", "look", "to"]
    )]
    pub timed: Option<PathBuf>,
    /// No more frames come from this time on, in seconds: what each head does without a signal
    #[arg(long, value_name = "S", value_parser = seconds, allow_negative_numbers = true)]
    pub silent_from: Option<f64>,
    /// How long to look, in seconds, 0..86400
    ///
    /// Without it, until everything has arrived, or one minute where something never does; with
    /// `--timed`, to the last of them.
    #[arg(long, value_name = "S", value_parser = seconds, allow_negative_numbers = true, verbatim_doc_comment)]
    pub seconds: Option<f64>,
    /// Milliseconds from one row to the next, 1..3600000
    #[arg(long, value_name = "MS", value_parser = step, default_value = "100")]
    pub step: u32,
    /// The fixture to follow, by its number; given again, their arrivals are compared
    #[arg(long = "fixture", value_name = "ID", required = true)]
    pub fixtures: Vec<FixtureId>,
    /// Write the course as CSV to this file instead of printing a table, `-` for standard output
    #[arg(long, value_name = "FILE")]
    pub csv: Option<PathBuf>,
}

/// What `check` takes.
#[derive(Args, Debug)]
pub struct CheckArgs {
    /// Profile or show files, in RON; `-` for standard input; or names of profiles
    #[arg(required = true, value_name = "PATH")]
    pub paths: Vec<PathBuf>,
    /// Show what a profile's author accepted as well, with the reason
    #[arg(long)]
    pub all: bool,
    /// Print JSON instead of lines; its form is described in `slotwright help check`
    #[arg(long)]
    pub json: bool,
}

/// A view that can be drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum DrawnView {
    /// From above, the audience at the bottom
    Plan,
    /// From the audience
    Front,
    /// From the audience's right, upstage to the right
    Side,
    /// The plan with the front elevation below it, on the same x axis
    Sheet,
}

/// `--slot 1/17=128`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SlotSetting {
    /// The universe.
    pub universe: Universe,
    /// The slot.
    pub slot: Slot,
    /// Its value.
    pub value: u8,
}

/// Width and height in pixels.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Size {
    /// Pixels across.
    pub width: u16,
    /// Pixels down.
    pub height: u16,
}

/// Smallest and greatest width and height of a picture, in pixels.
const SIZES: std::ops::RangeInclusive<u16> = 16..=8192;

fn universe(text: &str) -> Result<Universe, String> {
    number(text)
        .and_then(Universe::new)
        .ok_or_else(|| format!("universe `{text}` is not one of 1..63999"))
}

fn slot_setting(text: &str) -> Result<SlotSetting, String> {
    let form = || "write universe/slot=value, like 1/17=128".to_owned();
    let (place, value) = text.split_once('=').ok_or_else(form)?;
    let (universe_text, slot) = place.split_once('/').ok_or_else(form)?;
    Ok(SlotSetting {
        universe: universe(universe_text)?,
        slot: number(slot)
            .and_then(|n| u16::try_from(n).ok())
            .and_then(Slot::new)
            .ok_or_else(|| format!("slot `{slot}` is not one of 1..512"))?,
        value: number(value)
            .and_then(|n| u8::try_from(n).ok())
            .ok_or_else(|| format!("value `{value}` is not a whole number of 0..255"))?,
    })
}

fn size(text: &str) -> Result<Size, String> {
    let side = |text: &str| {
        let pixels = number(text).and_then(|n| u16::try_from(n).ok());
        pixels.filter(|n| SIZES.contains(n)).ok_or_else(|| {
            format!("`{text}` pixels: each side has {}..{}", SIZES.start(), SIZES.end())
        })
    };
    let (width, height) = text
        .split_once(['x', 'X', '\u{d7}'])
        .ok_or_else(|| "write width and height, like 1920x1080".to_owned())?;
    Ok(Size { width: side(width)?, height: side(height)? })
}

fn exposure(text: &str) -> Result<f64, String> {
    real(text, -12.0..=12.0, "a number of stops, -12..12")
}

fn percent(text: &str) -> Result<f64, String> {
    real(text.trim_end_matches('%'), 0.0..=100.0, "a percentage, 0..100")
}

fn seconds(text: &str) -> Result<f64, String> {
    real(text, 0.0..=86_400.0, "a number of seconds, 0..86400")
}

fn step(text: &str) -> Result<u32, String> {
    let whole = number(text).filter(|ms| (1..=3_600_000).contains(ms));
    whole.ok_or_else(|| format!("`{text}` is not a whole number of milliseconds, 1..3600000"))
}

/// A whole number in plain digits: no sign, so that nobody wonders about `+5`.
fn number(text: &str) -> Option<u32> {
    let text = text.trim();
    text.bytes().all(|byte| byte.is_ascii_digit()).then(|| text.parse().ok())?
}

fn real(text: &str, allowed: std::ops::RangeInclusive<f64>, wanted: &str) -> Result<f64, String> {
    let value = text.trim().parse::<f64>().ok();
    value.filter(|value| allowed.contains(value)).ok_or_else(|| format!("`{text}` is not {wanted}"))
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory as _;

    use super::*;

    #[test]
    fn the_command_line_is_consistent() {
        Cli::command().debug_assert();
    }

    #[test]
    fn a_slot_is_set_by_universe_slot_and_value() {
        let set = slot_setting("2/512=255").unwrap();
        assert_eq!((set.universe.number(), set.slot.number(), set.value), (2, 512, 255));
        for (text, part) in [
            ("1/0=3", "slot `0`"),
            ("1/513=3", "slot `513`"),
            ("1/1=256", "value `256`"),
            ("1/1=-1", "value `-1`"),
            ("1/1=1.5", "value `1.5`"),
            ("1/1=", "value ``"),
            ("0/1=3", "universe `0`"),
            ("64000/1=3", "universe `64000`"),
            ("99999999999/1=3", "universe `99999999999`"),
            ("1=3", "write universe/slot=value"),
            ("1/3", "write universe/slot=value"),
        ] {
            let error = slot_setting(text).unwrap_err();
            assert!(error.starts_with(part), "{text}: {error}");
        }
    }

    #[test]
    fn sizes_and_numbers_have_limits() {
        assert_eq!(size("1920x1080"), Ok(Size { width: 1920, height: 1080 }));
        for text in ["1920", "15x100", "100x8193", "x", "-5x20", "1e3x20"] {
            assert!(size(text).is_err(), "{text}");
        }
        for text in ["NaN", "inf", "1e300", "13", ""] {
            assert!(exposure(text).is_err(), "{text}");
        }
        for text in ["0", "-1", "1.5", "3600001", ""] {
            assert!(step(text).is_err(), "{text}");
        }
        for text in ["-0.1", "NaN", "86401", "1h"] {
            assert!(seconds(text).is_err(), "{text}");
        }
        assert_eq!((exposure("-1.5"), percent("5%")), (Ok(-1.5), Ok(5.0)));
    }
}
