//! `slotwright table`: a draft profile from the channel table of a manual.

use std::path::PathBuf;

use clap::Args;
use serde::Serialize;

use super::table::{Columns, line};
use super::{Failure, Report, input, json};
use crate::finding::{Finding, Severity, one_line};
use crate::profile::table::{Confidence, Draft, RangeEntry, TableOptions, read_table};
use crate::show::disk::write_file;

/// Below the options of `table`.
pub(super) const HELP: &str = "\
Example:
  slotwright table chart.txt --out wren.ron --maker Brindlesby --model Wren

The table:
  Text or CSV, as a manual prints it or as it is copied from one: a slot or a channel's name, values
  from and to, and what they do. Cells may be parted by tabs, commas, semicolons, strokes, columns of
  blanks or not at all; ranges may stand on lines below the channel; several modes may stand side by
  side as columns of slots. Values may be decimal, hexadecimal or percent.

The draft:
  Every range says how far it can be trusted. `sure`: the table says it. `likely`: what it does is
  clear, and something about it (a rate, a travel, a sense) was taken as is usual. `unsure`: not
  recognised, or in conflict with itself. What is not recognised does `Unknown`, which is not nothing.
  All that is not sure, and all that the draft needs and the table does not say, stands as comments
  above the profile. No line is dropped in silence: the report accounts for each.

Exit codes: 0 with a draft, whatever is unsure about it; 1 where no channel was found.

JSON (`--json`):
  {wrote, sure, likely, unsure, assumed,
   ranges: [{line, mode, channel, slots, from, to, text, effect, also, physical_from, physical_to,
             unit, stated, confidence, why}],
   lines: [{line, text, used, reason}]}
  wrote           the file, or null without `--out`
  effect, also    stable names, as in `slotwright help read`; `unknown` where not recognised
  physical_from, physical_to, unit
                  null for an effect without numbers; `stated` says whether the table gives them
  used            `range`, `channel`, `fine`, `column-heads`, `mode`, `sub-heading`, `continued`,
                  `ignored` or `not-understood`, the last two with their reason";

/// What `table` takes.
#[derive(Args, Debug)]
pub struct TableArgs {
    /// Text or CSV file with the table, `-` for standard input
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Write the draft to this file; a file that is there is replaced. Without it, only report
    #[arg(long, value_name = "PROFILE")]
    pub out: Option<PathBuf>,
    /// Who makes the fixture
    #[arg(long, value_name = "NAME", default_value = "")]
    pub maker: String,
    /// What the fixture is called
    #[arg(long, value_name = "NAME", default_value = "")]
    pub model: String,
    /// Print JSON instead of a report; its form is described in `slotwright help table`
    #[arg(long)]
    pub json: bool,
}

pub(super) fn run(args: &TableArgs) -> Result<Report, Failure> {
    let text = input::read_text(&args.file)?;
    let options = TableOptions { maker: args.maker.clone(), model: args.model.clone() };
    let draft = read_table(&text, Some(input::name(&args.file)), &options)?;
    if let Some(out) = &args.out {
        write_file(out, draft.report.to_ron(&draft.profile).as_bytes())?;
    }
    let out = if args.json { machine(&draft, args) } else { people(&draft, args) };
    // Notes about a draft would drown what matters; they come with `check`.
    let said: Vec<Finding> =
        draft.findings.into_iter().filter(|finding| finding.severity != Severity::Note).collect();
    Ok(Report { out, said, bad: false })
}

fn people(draft: &Draft, args: &TableArgs) -> String {
    let report = &draft.report;
    let head = ["line", "channel", "values", "does", "trust", "why"].map(str::to_owned);
    let rows: Vec<[String; 6]> =
        std::iter::once(head).chain(report.ranges.iter().map(row)).collect();
    let widths = Columns { give_way: &[5, 1, 3] }.widths(&rows);
    let mut out = String::new();
    let mut mode = "";
    for (i, row) in rows.iter().enumerate() {
        if let Some(entry) = i.checked_sub(1).and_then(|i| report.ranges.get(i))
            && entry.mode != mode
        {
            mode = &entry.mode;
            out.push_str(&format!("{}\n", one_line(mode)));
        }
        out.push_str(&line(row, &widths));
    }
    let counts = |confidence| format!("{} {}", report.count(confidence), confidence.word());
    out.push_str(&format!(
        "{} ranges: {}, {}, {}\n",
        report.ranges.len(),
        counts(Confidence::Sure),
        counts(Confidence::Likely),
        counts(Confidence::Unsure)
    ));
    for line in &report.lines {
        if let Some(told) = line.told() {
            out.push_str(&format!("{told}: {}\n", super::table::cut(&line.text, 60)));
        }
    }
    for assumed in &report.assumed {
        out.push_str(&format!("not in the table: {}\n", one_line(assumed)));
    }
    if let Some(path) = &args.out {
        out.push_str(&format!("wrote {}\n", one_line(&path.to_string_lossy())));
    }
    out
}

fn row(entry: &RangeEntry) -> [String; 6] {
    let (from, to) = entry.values();
    [
        entry.line.to_string(),
        entry.channel_words(),
        format!("{from}..{to}"),
        entry.effect_words(),
        entry.confidence.word().to_owned(),
        entry.why.clone(),
    ]
}

#[derive(Serialize)]
struct TableJson<'a> {
    wrote: Option<String>,
    sure: usize,
    likely: usize,
    unsure: usize,
    assumed: &'a [String],
    ranges: Vec<RangeJson<'a>>,
    lines: Vec<LineJson<'a>>,
}

#[derive(Serialize)]
struct RangeJson<'a> {
    line: u32,
    mode: &'a str,
    channel: &'a str,
    slots: &'a [u16],
    from: i64,
    to: i64,
    text: &'a str,
    effect: &'static str,
    also: Vec<&'static str>,
    physical_from: Option<f64>,
    physical_to: Option<f64>,
    unit: Option<&'static str>,
    stated: bool,
    confidence: &'static str,
    why: &'a str,
}

#[derive(Serialize)]
struct LineJson<'a> {
    line: u32,
    text: &'a str,
    used: &'static str,
    reason: &'a str,
}

fn machine(draft: &Draft, args: &TableArgs) -> String {
    let report = &draft.report;
    json::lines(&TableJson {
        wrote: args.out.as_ref().map(|path| path.display().to_string()),
        sure: report.count(Confidence::Sure),
        likely: report.count(Confidence::Likely),
        unsure: report.count(Confidence::Unsure),
        assumed: &report.assumed,
        ranges: report.ranges.iter().map(range_json).collect(),
        lines: report
            .lines
            .iter()
            .map(|line| LineJson {
                line: line.line,
                text: &line.text,
                used: line.used.key(),
                reason: line.used.reason(),
            })
            .collect(),
    })
}

fn range_json(entry: &RangeEntry) -> RangeJson<'_> {
    let (from, to) = entry.values();
    let physical = entry.physical();
    RangeJson {
        line: entry.line,
        mode: &entry.mode,
        channel: &entry.channel,
        slots: &entry.slots,
        from,
        to,
        text: &entry.range.label,
        effect: entry.range.does.key(),
        also: entry.range.also.iter().map(|effect| effect.key()).collect(),
        physical_from: physical.map(|physical| physical.span.0),
        physical_to: physical.map(|physical| physical.span.1),
        unit: physical.map(|physical| physical.unit.symbol()),
        stated: entry.stated,
        confidence: entry.confidence.word(),
        why: &entry.why,
    }
}
