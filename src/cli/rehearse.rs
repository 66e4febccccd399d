//! `slotwright rehearse`: what will look wrong when a list is run.

use std::io::{IsTerminal, Write};
use std::path::{Path, PathBuf};

use clap::Args;
use serde::Serialize;

use super::frames::load_show;
use super::play::lists;
use super::{Failure, Report, json};
use crate::check::rehearse::{self, Progress, Told};
use crate::finding::{Severity, one_line, rounded};
use crate::paper::rehearsal;
use crate::show::Show;
use crate::show::disk::write_file;

/// Below the options of `rehearse`.
pub const HELP: &str = "\
Plays a whole list through the pipeline, faster than real time, and tells by cue and moment what will
look wrong: heads that move while lit or arrive late, wheels that travel through the light, fades over
ranges nobody asked for and whether these are held long enough to act, values in gaps and beyond end stops,
flashes in any one second of each head and of all together, beams through the audience at eye level or into
zones that no light is to enter, steps of 8-bit moves, cues that come while a head is busy with itself, cues
that nobody sees, and more.

Without `--list` every list is run by itself; with it, those that are named are run together. What is
meant to be so can be accepted with a reason in the show file:
  accepted: [(code: \"moves-lit\", at: \"list \\\"Main\\\", cue 5 \\\"Search\\\"\", reason: \"it is a search light\")]
`at` is the beginning of the place that the finding names; left out, the kind is accepted everywhere.

Exit codes: 0 no error stands; 1 a bad file, or an error that was not accepted; 2 wrong usage.

JSON (`--json`):
  [{lists, duration_s, starts: [{at_s, list, cue}], findings: [{severity, code, list, cue, at_s, until_s,
    fixtures, where, what, why, mend, accepted}]}]
  times are in seconds from the start of the run; cue is its number and name; accepted is the reason or null.

It is a preview and no certificate: where flashing light, beams at eye level, moving heads or lamps are told
of, the fixture's manual, local codes and licensed practice decide.

Examples:
  slotwright rehearse
  slotwright rehearse my-show.ron --list Main --list Effects --html rehearsal.html";

/// What `rehearse` takes.
#[derive(Args, Debug)]
pub struct RehearseArgs {
    /// Show file; without it, the demo show
    #[arg(value_name = "SHOW")]
    pub show: Option<PathBuf>,
    /// Cue list, by its name; again for more that are run together [default: each by itself]
    #[arg(long = "list", value_name = "NAME")]
    pub lists: Vec<String>,
    /// Print JSON instead of text
    #[arg(long)]
    pub json: bool,
    /// Write a page to this file besides; one that is there is replaced
    #[arg(long, value_name = "FILE")]
    pub html: Option<PathBuf>,
    /// Run on so many threads [default: as many as the machine has]; the report is the same
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u16).range(1..=256))]
    pub threads: Option<u16>,
}

#[derive(Serialize)]
struct RunJson<'a> {
    lists: &'a [String],
    duration_s: f64,
    starts: Vec<StartJson<'a>>,
    findings: Vec<ToldJson<'a>>,
}

#[derive(Serialize)]
struct StartJson<'a> {
    at_s: f64,
    list: &'a str,
    cue: &'a str,
}

#[derive(Serialize)]
struct ToldJson<'a> {
    severity: &'static str,
    code: &'static str,
    list: &'a str,
    cue: &'a str,
    at_s: f64,
    until_s: f64,
    fixtures: &'a [u32],
    #[serde(rename = "where")]
    place: &'a str,
    what: &'a str,
    why: &'a str,
    mend: &'a str,
    accepted: Option<&'a str>,
}

pub(super) fn run(args: &RehearseArgs) -> Result<Report, Failure> {
    let (show, said) = load_show(args.show.as_deref())?;
    let together = lists(&show.cues, &args.lists)?;
    let runs: Vec<Vec<usize>> = match args.lists.is_empty() {
        true => (0..show.cues.lists.len()).map(|list| vec![list]).collect(),
        false => vec![together],
    };
    let threads = args
        .threads
        .map(usize::from)
        .or_else(|| Some(std::thread::available_parallelism().ok()?.get()));
    let reports: Vec<rehearse::Report> =
        runs.iter().filter_map(|lists| played(&show, lists, threads.unwrap_or(1))).collect();
    let bad = reports.iter().any(rehearse::Report::bad);
    let mut out = match args.json {
        true => json::lines(&reports.iter().map(as_json).collect::<Vec<_>>()),
        false => reports.iter().map(text).collect::<Vec<_>>().join("\n"),
    };
    if let Some(path) = args.html.as_deref() {
        written(path, &show, &reports)?;
        if !args.json {
            out.push_str(&format!("wrote {}\n", one_line(&path.to_string_lossy())));
        }
    }
    Ok(Report { out, said, bad })
}

fn played(show: &Show, lists: &[usize], threads: usize) -> Option<rehearse::Report> {
    let shown = std::io::stderr().is_terminal();
    let report = rehearse::rehearse(show, lists, threads, &|Progress { done_s, of_s }| {
        if shown {
            // Only a sign of life: that it cannot be written stops nothing.
            let _ = write!(std::io::stderr(), "\rplayed {done_s:.0} s of {of_s:.0} s ");
        }
        true
    });
    if shown {
        let _ = write!(std::io::stderr(), "\r{:40}\r", "");
    }
    report
}

fn written(path: &Path, show: &Show, reports: &[rehearse::Report]) -> Result<(), Failure> {
    write_file(path, rehearsal::html(&show.name, reports).as_bytes())?;
    Ok(())
}

fn as_json(report: &rehearse::Report) -> RunJson<'_> {
    RunJson {
        lists: &report.lists,
        duration_s: report.duration_s,
        starts: report
            .starts
            .iter()
            .map(|start| StartJson {
                at_s: start.at_s,
                list: &report.lists[start.list],
                cue: &report.cues[start.list][start.cue],
            })
            .collect(),
        findings: report
            .told
            .iter()
            .map(|told| ToldJson {
                severity: told.finding.severity.word(),
                code: told.finding.code,
                list: &report.lists[told.list],
                cue: &report.cues[told.list][told.cue],
                at_s: told.at_s,
                until_s: told.until_s,
                fixtures: &told.fixtures,
                place: told.finding.place.item.as_deref().unwrap_or_default(),
                what: &told.finding.what,
                why: &told.finding.why,
                mend: &told.finding.mend,
                accepted: told.finding.accepted.as_deref(),
            })
            .collect(),
    }
}

/// What was told, cue by cue.
fn text(report: &rehearse::Report) -> String {
    let mut out = format!(
        "{}: {} cues started, {} s\n",
        one_line(&report.lists.join(" with ")),
        report.starts.len(),
        rounded(report.duration_s, 1)
    );
    let mut cue = None;
    for told in &report.told {
        if cue != Some((told.list, told.cue)) {
            cue = Some((told.list, told.cue));
            out.push_str(&format!("  {}\n", one_line(&report.cues[told.list][told.cue])));
        }
        out.push_str(&line(told));
    }
    let count = |severity| {
        let counts =
            |told: &&Told| told.finding.severity == severity && told.finding.accepted.is_none();
        report.told.iter().filter(counts).count()
    };
    let accepted = report.told.iter().filter(|told| told.finding.accepted.is_some()).count();
    out.push_str(&format!(
        "{} errors, {} warnings, {} notes, {accepted} accepted\n",
        count(Severity::Error),
        count(Severity::Warning),
        count(Severity::Note)
    ));
    out
}

fn line(told: &Told) -> String {
    let finding = &told.finding;
    let accepted = if finding.accepted.is_some() { "accepted " } else { "" };
    let whom = match told.fixtures.as_slice() {
        [] => String::new(),
        [one] => format!("fixture {one}: "),
        [one, .., last] => format!("{} fixtures, {one} to {last}: ", told.fixtures.len()),
    };
    let mut out = format!(
        "    {:>8} s  {accepted}{}: {whom}{} [{}]\n",
        rounded(told.at_s, 2),
        finding.severity.word(),
        one_line(&finding.what),
        finding.code
    );
    match &finding.accepted {
        Some(reason) => out.push_str(&format!("                {}\n", one_line(reason))),
        None if finding.severity > Severity::Note && !finding.mend.is_empty() => {
            out.push_str(&format!("                {}\n", one_line(&finding.mend)));
        }
        None => {}
    }
    out
}
