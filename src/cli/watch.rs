//! `slotwright watch`: when a condition is true.

use std::io::{IsTerminal, Write};
use std::path::PathBuf;

use clap::Args;
use serde::Serialize;

use super::args::FrameArgs;
use super::frames::{Situation, look};
use super::play::lists;
use super::{Failure, Report, input, json};
use crate::check::rehearse::straight_run;
use crate::check::watch::{Found, Progress, Span, Watch};
use crate::finding::{Finding, Place, one_line, rounded};
use crate::wire::{Frames, parse_timed_frames};

/// Below the options of `watch`.
pub const HELP: &str = "\
A condition is about slots, channels, states and numbers of fixtures, put together by `and`, `or`, `not`:
  fixture 3 lit while moving             any fixture level > 50 % and tilt < 10 deg
  slot 1.7 > 100                         all of 101..104 lit or slot 1.7 = 0
  shutter leaves open                    fixture 101 \"Colour wheel\" is \"amber\"
  beam of 101 below 2 m over the audience

  fixture 3, any fixture, all fixtures, no fixture, any of 1..12, 15, any of \"S1 Spot\" (model or label)
      whom all that follows is about, up to the next one named or the closing parenthesis; where nobody is
      named, any fixture
  slot 1.7    value of a slot of a universe, 0..255
  \"Shutter\"   value of a channel, or what it asks for where it is compared with a unit: \"Shutter\" > 5 Hz;
              `is`, `is not`, `leaves`, `enters` with the name of a range or of what it does: open, shut
  states      lit, dark, moving, still, flashing, resetting, holding, striking, running; `starts moving` and
              `stops moving` are true for one packet, as are `leaves` and `enters`
  numbers     pan, tilt (deg, as channels ask for them), speed (deg/s), level (%), flux (lm), lux at eye level
              (lx), flash (Hz), zoom (deg), iris, frost (%), beam height over the audience (m), time (s)
  signs       < <= = != >= > + - * / and parentheses; a number without a unit is in that of the other side

Lit is at least 0.5 % of full, as the mean over flashes. What was never sent is not known, and what is not known
is not true. Times are those of packets: where lines of a file lie far apart, the line is taken to repeat what it
holds every 22.676 ms as long as anything moves. With `--list` the list is run straight through, as by `play`.
Without `--timed` and `--list` the frame is looked at once everything has arrived.

Exit codes: 0 it is never true; 1 it is true at some time, or a file is bad; 2 wrong usage, or a condition that
means nothing.

JSON (`--json`):
  {condition, end_s, count, spans: [{from_s, to_s, because}]}
  times are in seconds from the start, of the packet with which it became true and of the one with which it no
  longer was; because says in words what made it true; of one frame end_s is null and times are 0. The first
  10000 spans are listed, count is of all.

Examples:
  slotwright watch --when \"any fixture lit while moving\" --list Main
  slotwright watch my-show.ron --when \"slot 1.7 > 100\" --timed evening.csv --json";

/// What `watch` takes.
#[derive(Args, Debug)]
pub struct WatchArgs {
    /// Which show, and the frame that is looked at.
    #[command(flatten)]
    pub frame: FrameArgs,
    /// The condition
    #[arg(long, value_name = "CONDITION")]
    pub when: String,
    /// Look through the timed frames of this CSV file, `-` for standard input
    #[arg(
        long,
        alias = "frames",
        value_name = "FILE",
        conflicts_with_all = ["frames", "universes", "slots", "look", "lists"]
    )]
    pub timed: Option<PathBuf>,
    /// With `--timed`: the look in which the heads stood before; without it, they start at rest
    #[arg(long, value_name = "LOOK", requires = "timed")]
    pub from: Option<String>,
    /// Look through this cue list, by its name; again for more that are run together
    #[arg(
        long = "list",
        value_name = "NAME",
        conflicts_with_all = ["frames", "universes", "slots", "look"]
    )]
    pub lists: Vec<String>,
    /// Print JSON instead of text
    #[arg(long)]
    pub json: bool,
}

#[derive(Serialize)]
struct FoundJson<'a> {
    condition: &'a str,
    end_s: Option<f64>,
    count: usize,
    spans: Vec<SpanJson<'a>>,
}

#[derive(Serialize)]
struct SpanJson<'a> {
    from_s: f64,
    to_s: f64,
    because: &'a [String],
}

pub(super) fn run(args: &WatchArgs) -> Result<Report, Failure> {
    let situation = Situation::load(&args.frame)?;
    let Situation { show, plan, .. } = &situation;
    let watch = Watch::new(&args.when, show, plan).map_err(|mistake| {
        let place = Place::item(format!("--when, character {}", mistake.character(&args.when)));
        Failure::Usage(Finding::error(place, mistake.what, mistake.mend))
    })?;
    let mut said = situation.said.clone();
    let mut standing = false;
    let found = if let Some(path) = &args.timed {
        let read = parse_timed_frames(&input::read_text(path)?, Some(input::name(path)))?;
        said.extend(read.findings);
        let start = match args.from.as_deref() {
            Some(from) => look(show, from, "--from")?.frames.clone(),
            None => Frames::default(),
        };
        watch.over_timed(&start, &read.timed, &shown)
    } else if !args.lists.is_empty() {
        let run = straight_run(show, plan, &lists(&show.cues, &args.lists)?);
        for list in run.lists() {
            said.extend(list.unresolved.iter().map(|unresolved| unresolved.finding.clone()));
        }
        watch.over_run(&run, &shown)
    } else {
        standing = true;
        let values = watch.over_frame(&situation.frames);
        let spans: Vec<Span> =
            values.into_iter().map(|values| Span { from_s: 0.0, to_s: 0.0, values }).collect();
        Some(Found { count: spans.len(), spans, end_s: 0.0 })
    };
    clear_shown();
    let found = found.unwrap_or_default();
    let out = match (args.json, standing) {
        (true, _) => as_json(&args.when, &found, standing),
        (false, true) => of_frame(&situation.from, &found),
        (false, false) => text(&found),
    };
    Ok(Report { out, said, bad: found.count > 0 })
}

/// A sign of life on a terminal.
fn shown(progress: Progress) -> bool {
    if std::io::stderr().is_terminal() {
        let Progress { done_s, of_s } = progress;
        // That it cannot be written stops nothing.
        let _ = write!(std::io::stderr(), "\rwatched {done_s:.0} s of {of_s:.0} s ");
    }
    true
}

fn clear_shown() {
    if std::io::stderr().is_terminal() {
        let _ = write!(std::io::stderr(), "\r{:40}\r", "");
    }
}

fn as_json(condition: &str, found: &Found, standing: bool) -> String {
    let spans = found.spans.iter().map(|span| SpanJson {
        from_s: span.from_s,
        to_s: span.to_s,
        because: &span.values,
    });
    let end_s = (!standing).then_some(found.end_s);
    json::lines(&FoundJson { condition, end_s, count: found.count, spans: spans.collect() })
}

fn of_frame(from: &str, found: &Found) -> String {
    let from = one_line(from);
    match found.spans.first() {
        Some(span) => format!("true of {from}: {}\n", one_line(&span.values.join("; "))),
        None => format!("not true of {from}\n"),
    }
}

fn text(found: &Found) -> String {
    let mut out = String::new();
    for span in &found.spans {
        out.push_str(&format!(
            "{:>10} s to {:>10} s  {}\n",
            rounded(span.from_s, 3),
            rounded(span.to_s, 3),
            one_line(&span.values.join("; "))
        ));
    }
    if found.count > found.spans.len() {
        out.push_str(&format!("and {} more\n", found.count - found.spans.len()));
    }
    let times = if found.count == 1 { "time" } else { "times" };
    let end = rounded(found.end_s, 3);
    out.push_str(&format!("true {} {times} in {end} s\n", found.count));
    out
}
