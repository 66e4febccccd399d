//! `slotwright change`: what becomes of a show when a fixture changes to another model or mode.

use clap::Args;

use super::args::FrameArgs;
use super::frames::Situation;
use super::profile_of::{self, ModeArgs};
use super::table::{self, Columns};
use super::{Failure, Report, json};
use crate::check::change::{
    CueRow, Danger, FixtureChange, FrameChange, Outcome, RawRow, change, slot_words,
};
use crate::decode::written;
use crate::finding::one_line;
use crate::rig::FixtureId;
use crate::wire::Frames;

/// Below the options of `change`.
pub const HELP: &str = "\
Looks at each look of the show and at the slots as they stand or, with `--look`, `--frame` or `--slot`,
at that one frame alone, and then in full. For each fixture:
  Where every channel goes, by what it does and not by what it is called.
  Which values mean something else: once if they stay in their slots, and once if each goes with its
  channel to the one that does most of the same, as a desk has it that keeps values by channel.
  Which values would keep the meaning: kept, nearly, not needed (it rests), or no counterpart.
  What cues give the fixture, where their words cannot stay.
  Dangers: dark to lit, a reset, the lamp going out, a built-in program taking over, flashes, and more,
  each with the slots and values that it comes from. Stay with the old mode and none of it happens.

Exit codes: 0 no danger; 1 a bad file, or a danger that is an error if the values stay in their slots;
2 wrong usage.

JSON (`--json`):
  [{fixture, address, before: [profile, mode], after: [profile, mode], footprint: [before, after],
    in_the_way, layout: [{before, slots_before, after, slots_after}], closing: [before, after],
    frames: [{name, change: {raw: [{slots, values, before: {channel, words}, after: [{channel, words}],
    same}], by_channel: [{value, width, before, after, same, opens}], kept: [{channel, slots, value, means,
    outcome, to: [{channel, slots, value, means}], why}], dangers: [{severity, kind, words, evidence}],
    dangers_by_channel, dangers_kept, translated: [[slot, value]]}}],
    cues: [{list, cue, channel, value, outcome, to: [[channel, value]], why}]}]
  slots count from the fixture's first, which is 1; value is at the channel's full resolution; outcome is
  exact, near, rests or lost; kind is dark-to-lit, lit-to-dark, opens, reset, lamp-off, lamp-on,
  runs-by-itself, flashes or spins.

Examples:
  slotwright change --fixture 101 --to \"Tarnfell S1 Spot\" --mode compact
  slotwright change my-show.ron --fixture 101,102 --to other-head.ron --mode full --look Dawn";

/// What `change` takes.
#[derive(Args, Debug)]
pub struct ChangeArgs {
    /// Which show and frames.
    #[command(flatten)]
    pub frame: FrameArgs,
    /// The fixtures that change, by their numbers; more with commas between, or given again
    #[arg(long = "fixture", value_name = "ID", required = true, value_delimiter = ',')]
    pub fixtures: Vec<FixtureId>,
    /// The profile they change to: a RON file, or the name of one that comes with the program
    #[arg(long, value_name = "PROFILE")]
    pub to: String,
    /// The mode they change to; needed where the profile has more than one
    #[arg(long, value_name = "MODE")]
    pub mode: Option<String>,
    /// Print JSON instead of text; its form is described in `slotwright help change`
    #[arg(long)]
    pub json: bool,
}

pub(super) fn run(args: &ChangeArgs) -> Result<Report, Failure> {
    let mut situation = Situation::load(&args.frame)?;
    let mut places = situation.places(&args.fixtures)?;
    places.sort_unstable();
    places.dedup();
    let of = ModeArgs { profile: args.to.clone(), mode: args.mode.clone() };
    let (mode, more) = profile_of::load(&of)?;
    let mut said = std::mem::take(&mut situation.said);
    said.extend(more);
    let one =
        args.frame.look.is_some() || !args.frame.frames.is_empty() || !args.frame.slots.is_empty();
    let show = &situation.show;
    let mut frames: Vec<(&str, &Frames)> = Vec::new();
    if !one {
        frames.extend(show.looks.iter().map(|look| (look.name.as_str(), &look.frames)));
    }
    if one || !frames.iter().any(|(_, frames)| **frames == situation.frames) {
        frames.push((situation.from.as_str(), &situation.frames));
    }
    let changes = change(show, &places, &mode.profile, &mode.name, &frames)?;
    let bad = changes.iter().any(FixtureChange::is_dangerous);
    let out = match args.json {
        true => json::lines(&changes),
        false => changes.iter().map(|change| people(change, one)).collect::<Vec<_>>().join("\n"),
    };
    Ok(Report { out, said, bad })
}

/// What becomes of one fixture, in full where `full` is asked for.
fn people(change: &FixtureChange, full: bool) -> String {
    let place = change.address.as_ref().map_or("no address".to_owned(), |at| format!("at {at}"));
    let of = |(profile, mode): &(String, String), slots: u16| {
        format!("{profile}, mode {mode} ({slots} slots)")
    };
    let mut out = format!(
        "{}, {place}: {} becomes {}\n",
        change.fixture,
        of(&change.before, change.footprint.0),
        of(&change.after, change.footprint.1)
    );
    out = format!("{}\n", one_line(out.trim_end()));
    for words in &change.in_the_way {
        out.push_str(&format!("  in the way: {}\n", one_line(words)));
    }
    let closed = |bands: &[String]| match bands {
        [] => "nowhere".to_owned(),
        bands => bands.join(", "),
    };
    let (before, after) = (closed(&change.closing.0), closed(&change.closing.1));
    out.push_str(&format!(
        "  closed before at {}; after at {}\n\n",
        one_line(&before),
        one_line(&after)
    ));
    out.push_str(&layout(change));
    if change.frames.is_empty() {
        out.push_str("\n  no frame holds any of its slots\n");
    }
    for frame in &change.frames {
        out.push_str(&format!("\n{}\n", one_line(&frame.name)));
        out.push_str(&frame_words(&frame.change, full));
    }
    if !change.cues.is_empty() {
        out.push_str(&format!("\nWhat cues give it in other words\n{}", cues(&change.cues)));
    }
    out
}

/// What becomes of values of cues.
fn cues(all: &[CueRow]) -> String {
    let mut rows = vec![["list", "cue", "gives", "becomes", "", ""].map(str::to_owned)];
    rows.extend(all.iter().map(|row| {
        let to = row.to.iter().map(|(channel, value)| format!("{channel}: {value}"));
        [
            row.list.clone(),
            row.cue.clone(),
            format!("{}: {}", row.channel, row.value),
            to.collect::<Vec<_>>().join("; "),
            row.outcome.word().to_owned(),
            row.why.clone(),
        ]
    }));
    rows_of(&rows, &[2, 3, 5])
}

fn layout(change: &FixtureChange) -> String {
    let numbers = |slots: &[u16]| slots.iter().map(u16::to_string).collect::<Vec<_>>().join("/");
    let mut rows = vec![["channel", "slots", "becomes", "slots"].map(str::to_owned)];
    rows.extend(change.layout.iter().map(|row| {
        let or = |name: &str, none: &str| match name {
            "" => none.to_owned(),
            name => name.to_owned(),
        };
        [
            or(&row.before, "(new)"),
            numbers(&row.slots_before),
            or(&row.after, "(no counterpart)"),
            numbers(&row.slots_after),
        ]
    }));
    rows_of(&rows, &[2, 0])
}

fn frame_words(change: &FrameChange, full: bool) -> String {
    let mut out = String::new();
    for (dangers, when) in [
        (&change.dangers, "if the values stay in their slots"),
        (&change.dangers_by_channel, "if they go with their channels"),
        (&change.dangers_kept, "even with the values that keep the meaning"),
    ] {
        for danger in dangers {
            out.push_str(&danger_words(danger, when));
        }
    }
    let (same, all) = change.kept_raw();
    out.push_str(&format!(
        "  {same} of {all} channels mean the same if the values stay in their slots\n"
    ));
    if full {
        out.push_str(&raw(&change.raw));
        out.push_str(&by_channel(change));
    }
    out.push_str(&kept(change, full));
    out
}

fn danger_words(danger: &Danger, when: &str) -> String {
    let words =
        format!("{}: {when}: {}: {}", danger.severity.word(), danger.words, danger.evidence);
    let words = words.trim_end_matches([':', ' ']);
    let lines = table::wrapped(words, table::LINE - 4);
    let indented = lines.iter().enumerate().map(|(i, line)| {
        let indent = if i == 0 { "  " } else { "    " };
        format!("{indent}{line}\n")
    });
    indented.collect()
}

/// The rows whose meaning changes.
fn raw(all: &[RawRow]) -> String {
    let mut rows = vec![["slots", "value", "means", "and after"].map(str::to_owned)];
    for row in all.iter().filter(|row| !row.same) {
        let byte = |value: &Option<u8>| value.map_or("-".to_owned(), |value| value.to_string());
        let before = row.before.as_ref().map_or("(no channel)".to_owned(), |meant| {
            format!("{}: {}", meant.channel, meant.words)
        });
        let after: Vec<String> =
            row.after.iter().map(|meant| format!("{}: {}", meant.channel, meant.words)).collect();
        let after = if after.is_empty() { "(no channel)".to_owned() } else { after.join("; ") };
        let slots = slot_words(&row.slots);
        let slots = slots.rsplit(' ').next().unwrap_or_default().to_owned();
        let values = row.values.iter().map(byte).collect::<Vec<_>>().join("/");
        rows.push([slots, values, before, after]);
    }
    if rows.len() == 1 { String::new() } else { format!("\n{}", rows_of(&rows, &[2, 3])) }
}

/// What the same value means on the channel that does most of the same, where that is something else.
fn by_channel(change: &FrameChange) -> String {
    let mut rows = vec![["value", "means", "and on its channel after", ""].map(str::to_owned)];
    for row in change.by_channel.iter().filter(|row| !row.same) {
        let Some(after) = &row.after else { continue };
        rows.push([
            written(row.value, row.width),
            format!("{}: {}", row.before.channel, row.before.words),
            format!("{}: {}", after.channel, after.words),
            if row.opens { "opens".to_owned() } else { String::new() },
        ]);
    }
    if rows.len() == 1 { String::new() } else { format!("\n{}", rows_of(&rows, &[2, 1])) }
}

/// What keeps the meaning; without `full`, only what cannot be kept well.
fn kept(change: &FrameChange, full: bool) -> String {
    let mut rows = vec![["value", "means", "keeps it", "", ""].map(str::to_owned)];
    for row in &change.kept {
        let shown = match row.outcome {
            Outcome::Near | Outcome::Lost => true,
            Outcome::Exact | Outcome::Rests => full,
        };
        if !shown {
            continue;
        }
        let to: Vec<String> = row
            .to
            .iter()
            .map(|to| format!("{} {}: {}", to.channel, written(to.value, to.slots.len()), to.means))
            .collect();
        rows.push([
            written(row.value, row.slots.len()),
            format!("{}: {}", row.channel, row.means),
            to.join("; "),
            row.outcome.word().to_owned(),
            row.why.clone(),
        ]);
    }
    if rows.len() == 1 { String::new() } else { format!("\n{}", rows_of(&rows, &[1, 2, 4])) }
}

fn rows_of<const N: usize>(rows: &[[String; N]], give_way: &[usize]) -> String {
    let widths = Columns { give_way }.widths(rows);
    rows.iter().map(|row| table::line(row, &widths)).collect()
}
