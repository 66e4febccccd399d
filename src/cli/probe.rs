//! `slotwright probe`: finding out what a head does for which there is no chart.

use std::path::{Path, PathBuf};

use clap::Args;

use super::{Failure, Report, input};
use crate::finding::{Finding, Place, Severity, one_line};
use crate::paper::probe_sheet::{next_steps, sheet_html, sheet_text};
use crate::profile::probe::{Probe, draft, parse_notes, write_notes};
use crate::show::disk::write_file;
use crate::wire::SLOTS;

/// How many steps are named that could come next.
const STEPS_AHEAD: usize = 12;

/// What `probe` takes.
#[derive(Args, Debug)]
pub struct ProbeArgs {
    /// How many slots the head takes, 1..512; its menu or the gap to the next head may say
    #[arg(long, value_name = "N", value_parser = slots)]
    pub slots: Option<u16>,
    /// Notes of what was seen, as CSV, `-` for standard input
    #[arg(long, value_name = "FILE")]
    pub notes: Option<PathBuf>,
    /// File to write instead of printing: .html or .txt for the sheet, .csv for notes to fill in,
    /// .ron for a draft profile
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Who makes it, for the draft
    #[arg(long, value_name = "NAME")]
    pub maker: Option<String>,
    /// What it is called, for the draft
    #[arg(long, value_name = "NAME")]
    pub model: Option<String>,
    /// The head stood on its foot while it was looked at
    #[arg(long)]
    pub standing: bool,
}

/// Below the options of `probe`.
pub const HELP: &str = "\
Examples:
  slotwright probe --slots 16 --out plan.html      a sheet to print, with boxes to fill in
  slotwright probe --slots 16 --out notes.csv      the same as lines to fill in
  slotwright probe --notes notes.csv               what to look at next
  slotwright probe --notes notes.csv --maker Wold --model Nameless --out wold.ron
  slotwright probe --slots 16 --out wold.ron       a profile that knows nothing yet: the head can be
                                                   patched, and its slots are read as raw values

Notes are CSV lines of slot, from, to and what was seen, with a first line `slot,from,to,seen`; `all`
for the slot means all of them at 0. Up to three more columns may follow: what was measured at the
first and at the last value (`1..12`: Hz of flashes, degrees turned or of a beam), the slots that were
held meanwhile (`5=255`), and a remark.
    slot,from,to,seen,measured,held,remark
    all,0,0,nothing
    5,1,255,brighter
    7,64,95,strobes slow to fast,1..12,5=255

A draft knows what was seen and nothing else: other values are `Unknown`, which is not nothing. What a
profile must have and nobody measured stands at the top of the file as a comment.

Whoever probes a head sets its slots with whatever they have at hand; nothing is sent from here. Heads
move without warning, flash and may reset: keep people away, and follow the manual of whatever it is
and a competent person.";

/// A kind of file that can be written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Format {
    Html,
    Text,
    Notes,
    Draft,
}

pub(super) fn run(args: &ProbeArgs) -> Result<Report, Failure> {
    let format = args.out.as_deref().map(format_of).transpose()?;
    let (probe, mut said) = probe(args)?;
    let text = match (format, &args.notes) {
        (Some(Format::Html), _) => sheet_html(&probe),
        (Some(Format::Text), _) | (None, None) => sheet_text(&probe),
        (Some(Format::Notes), _) => notes_to_fill_in(&probe),
        (Some(Format::Draft), _) => {
            let draft = draft(&probe);
            let place = args.out.clone().unwrap_or_default();
            said.extend(draft.findings.iter().filter(|it| it.severity > Severity::Note).map(
                |it| Finding {
                    place: Place { file: Some(place.clone()), ..it.place.clone() },
                    ..it.clone()
                },
            ));
            draft.to_ron()
        }
        (None, Some(_)) => next_steps(&probe, STEPS_AHEAD),
    };
    let out = match &args.out {
        None => text,
        Some(path) => {
            write_file(path, text.as_bytes())?;
            format!("wrote {}\n", one_line(&path.to_string_lossy()))
        }
    };
    Ok(Report { out, said, bad: false })
}

/// The head that is probed, with what was seen of it.
fn probe(args: &ProbeArgs) -> Result<(Probe, Vec<Finding>), Failure> {
    let (mut probe, said) = match &args.notes {
        Some(path) => parse_notes(&input::read_text(path)?, Some(input::name(path)))?,
        None => {
            let slots = args.slots.ok_or_else(|| {
                let what = "neither a number of slots nor notes are given";
                let mend = "say how many slots the head takes: --slots 16; if nobody knows, more \
                            than it can have";
                Failure::Usage(Finding::error(Place::item("--slots"), what, mend))
            })?;
            (Probe::new("", "", slots), Vec::new())
        }
    };
    probe.slots = probe.slots.max(args.slots.unwrap_or(0));
    probe.standing |= args.standing;
    if let Some(maker) = &args.maker {
        probe.maker.clone_from(maker);
    }
    if let Some(model) = &args.model {
        probe.model.clone_from(model);
    }
    Ok((probe, said))
}

/// The notes there are, and a line without a word for each of the steps that come next.
fn notes_to_fill_in(probe: &Probe) -> String {
    let mut text = write_notes(probe);
    for step in probe.steps_ahead(2000) {
        let slot = step.slot.map_or_else(|| "all".to_owned(), |slot| slot.to_string());
        let held: Vec<String> = step.held.iter().map(|(s, v)| format!("{s}={v}")).collect();
        let value = step.value;
        text.push_str(&format!("{slot},{value},{value},,,{},\n", held.join(" ")));
    }
    text
}

fn format_of(path: &Path) -> Result<Format, Failure> {
    let ending = path.extension().unwrap_or_default().to_string_lossy().to_lowercase();
    match ending.as_str() {
        "html" => Ok(Format::Html),
        "txt" => Ok(Format::Text),
        "csv" => Ok(Format::Notes),
        "ron" => Ok(Format::Draft),
        _ => Err(Failure::Usage(Finding::error(
            Place::item("--out"),
            format!("`{}` does not say what is to be written", path.display()),
            "end its name in .html or .txt (a sheet), .csv (notes) or .ron (a draft profile)",
        ))),
    }
}

fn slots(text: &str) -> Result<u16, String> {
    let slots = text.trim().parse().ok().filter(|slots| (1..=SLOTS as u16).contains(slots));
    slots.ok_or_else(|| format!("`{text}` is not a number of slots, 1..{SLOTS}"))
}
