//! `slotwright misfit`: what may be wrong with a rig that does not do what its frame says.

use std::path::{Path, PathBuf};

use clap::Args;
use serde::Serialize;

use super::args::FrameArgs;
use super::frames::Situation;
use super::{Failure, Report, input, json, misfit_timed};
use crate::check::misfit::{
    Case, Explained, Happened, Ranked, Sight, Step, Test, explain, parse_log,
};
use crate::finding::{Finding, Place};
use crate::rig::FixtureId;

/// Below the options of `misfit`, before what can be seen.
const HELP: &str = "\
The frame options say what was sent first. The file of observations says what was seen, in order, one line each:
which slots were moved since the line before (`set`, or a whole `look`), which fixture was looked at, and what was
seen of it. Give it as CSV with a line of column names, or as RON; `-` is standard input:

  set,fixture,seen                       [
  ,101,is dark                             (fixture: 101, seen: \"is dark\"),
  1/7=255,101,does nothing                 (set: \"1/7=255\", fixture: 101, seen: \"does nothing\"),
  1/9=128,101,tips up and becomes red    ]

The answer to a walk over slots has the column `walk`: 1/17..48, seen: `does nothing`, or `tips up at 21`.

Tried are: address off by 1..16 or that of another head, another mode or universe, counting from 0 or 1, coarse
and fine in the other order, 8 bits for 16, pan and tilt swapped or inverted, hung or standing, ends of ranges,
inverted channels, a lost signal, packets that end early; and what no data shows: lamp, power, cable, menu. Each is
built into the head and run through the same pipeline that draws the stage. Listed first is only what goes with
everything that was seen; how common each is, is common practice and not measured. The test that is proposed never
resets a head, puts a lamp out, or flashes faster than 3 a second, by any of the explanations.

JSON (`--json`): `explanations` and `others` (these contradict something), each with `fixture` (null: all),
`kind`, `words`, `same` (what no test tells from it), `tied`, `explains`, `contradicts`, `silent` (observations,
from 1), `evidence`, `look_up`; and `test` (or null) with `words`, `universe`, `slot` and `to`, or `walk`,
`fixture`, and `outcomes`: each with `seen`, `at` and `explanations` (from 1).

With `--timed FILE` there are no observations: it is asked which addresses and modes make sense of the frames,
lines of `seconds,universe,slot,value`. Tried are 8 slots to either side, the universes beside, and every mode of
the profile. What makes sense is that a head is lit by a steady shutter, that nothing resets it or runs it, that its
values lie in ranges and that it does not jump about (common practice). That is a hypothesis, never a fix. JSON:
`heads`, each with `fixture`, `sense` (0..1), `because` and `better` (null, or what makes clearly more sense), and
`silent`: universes with the last slot that is not 0, and the fixtures behind it.

Exit codes: 0 something explains everything, or every head makes most sense as it is patched; 1 nothing does, some
head makes clearly more sense elsewhere, or a file is bad; 2 wrong usage.

Examples:
  slotwright misfit my-show.ron seen.csv --look \"Harbour dawn\"
  slotwright misfit my-show.ron seen.ron --frame desk.txt --universe 1 --json
  slotwright misfit my-show.ron --timed evening.csv

What can be seen of a moment:
";

/// The whole of it: with every word that a file may have.
pub fn help() -> String {
    let wrapped = |words: Vec<String>| {
        let lines = super::table::wrapped(&words.join(", "), 108);
        lines.iter().map(|line| format!("  {line}\n")).collect::<String>()
    };
    let sights = wrapped(Sight::all().map(Sight::words).collect());
    let happened = wrapped(Happened::all().map(Happened::words).collect());
    format!("{HELP}{sights}\nWhat can happen between two:\n{happened}")
}

/// What `misfit` takes.
#[derive(Args, Debug)]
#[command(allow_missing_positional = true)]
pub struct MisfitArgs {
    /// Which show, the demo without one, and the frame that was sent first.
    #[command(flatten)]
    pub frame: FrameArgs,
    /// File of observations, CSV or RON; `-` for standard input
    #[arg(value_name = "OBSERVATIONS", required_unless_present = "timed")]
    pub seen: Option<PathBuf>,
    /// Instead of observations: timed frames alone, `-` for standard input
    #[arg(
        long,
        value_name = "FILE",
        conflicts_with_all = ["frames", "universes", "slots", "look"]
    )]
    pub timed: Option<PathBuf>,
    /// Print JSON; its form is described in `slotwright help misfit`
    #[arg(long)]
    pub json: bool,
}

pub(super) fn run(args: &MisfitArgs) -> Result<Report, Failure> {
    let show = args.frame.show.as_deref();
    let seen = match (&args.timed, args.seen.as_deref()) {
        // One file besides the timed frames is the show.
        (Some(timed), word) => {
            return misfit_timed::run(timed, show.or(word), show.and(word), args.json);
        }
        (None, Some(seen)) => seen,
        (None, None) => Path::new("-"),
    };
    let situation = Situation::load(&args.frame)?;
    let name = input::name(seen);
    let lines = parse_log(&input::read_text(seen)?, Some(name))?;
    let mut case = Case::new(&situation.show.rig, &situation.plan, vec![situation.frames.clone()]);
    let look = |name: &str| situation.show.look(name).map(|look| look.frames.clone());
    case.read_log(&lines, &look).map_err(|mut finding| {
        finding.place.file = Some(name.to_owned());
        finding
    })?;
    let mut said = situation.said.clone();
    if let Some((first, second)) = case.at_odds()
        && let (Some(a), Some(b)) = (case.seen.get(first), case.seen.get(second))
    {
        let what = format!("{} and {} cannot both be", a.words(&case), b.words(&case));
        let mend = "say which slots were moved between the two, or leave out the one that was not";
        said.push(Finding::warning(Place::file(name), what, mend));
    }
    let explained = explain(&case);
    let out = match args.json {
        true => as_json(&case, &explained),
        false => text(&case, &explained),
    };
    Ok(Report { out, said, bad: explained.rows.is_empty() })
}

/// Rows that are printed in full at most.
const ROWS: usize = 8;

fn text(case: &Case<'_>, explained: &Explained) -> String {
    let mut out = String::new();
    let mut add = |line: &str, indent: usize| {
        for line in super::table::wrapped(line, super::table::LINE.saturating_sub(indent)) {
            out.push_str(&format!("{:indent$}{line}\n", ""));
        }
    };
    let rows = &explained.rows;
    match rows.len() {
        0 => add("nothing that was tried goes with everything that was seen", 0),
        1 => add("one explanation goes with everything that was seen:", 0),
        n => {
            add(&format!("{n} explanations go with everything that was seen, likeliest first:"), 0)
        }
    }
    for (nth, row) in rows.iter().take(ROWS).enumerate() {
        let tied = if row.tied { " (as likely as the one before)" } else { "" };
        add(&format!("{}. {}{}{tied}", nth + 1, whose(case, row), row.words), 2);
        for same in row.same_words(case) {
            add(&format!("or: {same}"), 5);
        }
        for evidence in &row.evidence {
            add(evidence, 5);
        }
        add(&format!("to disprove it without a test: {}", row.fault.look_up()), 5);
    }
    if rows.len() > ROWS {
        add(&format!("and {} more", rows.len() - ROWS), 2);
    }
    match &explained.test {
        Some(test) => {
            add(&format!("next test: {}", test.words(case)), 0);
            for outcome in test.outcomes.iter().take(12) {
                let says = outcome.rows.iter().take(6).map(|row| (row + 1).to_string());
                let mut says = says.collect::<Vec<_>>().join(", ");
                if outcome.rows.len() > 6 {
                    says.push_str(", ...");
                }
                add(&format!("it {}: {says}", outcome.words()), 2);
            }
        }
        None if rows.len() > 1 => add("no safe move of slots tells these apart any further", 0),
        None => {}
    }
    if rows.is_empty() {
        for row in &explained.others {
            let fails: Vec<String> = row
                .contradicts
                .iter()
                .filter_map(|i| case.seen.get(*i))
                .map(|seen| seen.words(case))
                .collect();
            add(&format!("nearest: {}{}", whose(case, row), row.words), 2);
            add(&format!("it does not explain that {}", fails.join("; ")), 5);
        }
    }
    out
}

/// Whose fault a row is, before its words.
fn whose(case: &Case<'_>, row: &Ranked) -> String {
    let fixture = row.place.and_then(|place| case.rig.get(place));
    fixture.map_or_else(String::new, |fixture| format!("{}: ", fixture.words()))
}

#[derive(Serialize)]
struct ExplainedJson {
    observations: Vec<String>,
    explanations: Vec<RowJson>,
    others: Vec<RowJson>,
    test: Option<TestJson>,
}

#[derive(Serialize)]
struct RowJson {
    fixture: Option<FixtureId>,
    kind: String,
    words: String,
    same: Vec<String>,
    tied: bool,
    explains: Vec<usize>,
    contradicts: Vec<usize>,
    silent: Vec<usize>,
    evidence: Vec<String>,
    look_up: &'static str,
}

#[derive(Serialize)]
struct TestJson {
    words: String,
    universe: u16,
    slot: Option<u16>,
    to: Option<u8>,
    walk: Option<Vec<u16>>,
    fixture: Option<FixtureId>,
    outcomes: Vec<OutcomeJson>,
}

#[derive(Serialize)]
struct OutcomeJson {
    seen: String,
    at: Option<u16>,
    explanations: Vec<usize>,
}

fn as_json(case: &Case<'_>, explained: &Explained) -> String {
    let from_1 = |places: &[usize]| places.iter().map(|place| place + 1).collect::<Vec<_>>();
    let id = |place: usize| case.rig.get(place).map(|fixture| fixture.id);
    let row = |row: &Ranked| RowJson {
        fixture: row.place.and_then(id),
        kind: row.fault.kind().words().to_owned(),
        words: row.words.clone(),
        same: row.same_words(case),
        tied: row.tied,
        explains: from_1(&row.explains),
        contradicts: from_1(&row.contradicts),
        silent: from_1(&row.silent),
        evidence: row.evidence.clone(),
        look_up: row.fault.look_up(),
    };
    let test = |test: &Test| {
        let (slot, to, walk) = match &test.step {
            Step::Set { slot, to, .. } => (Some(slot.number()), Some(*to), None),
            Step::Walk { slots } => {
                (None, None, Some(slots.iter().map(|slot| slot.number()).collect()))
            }
        };
        let outcomes = test.outcomes.iter().map(|outcome| OutcomeJson {
            seen: outcome.changes.words(),
            at: outcome.at.map(|slot| slot.number()),
            explanations: from_1(&outcome.rows),
        });
        TestJson {
            words: test.words(case),
            universe: test.universe.number(),
            slot,
            to,
            walk,
            fixture: id(test.place),
            outcomes: outcomes.collect(),
        }
    };
    json::lines(&ExplainedJson {
        observations: case.seen.iter().map(|seen| seen.words(case)).collect(),
        explanations: explained.rows.iter().map(row).collect(),
        others: explained.others.iter().map(row).collect(),
        test: explained.test.as_ref().map(test),
    })
}
