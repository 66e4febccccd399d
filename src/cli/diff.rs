//! `slotwright diff`: what differs between any two frames, looks, cues, instants of a list, profiles or modes.

use std::path::{Path, PathBuf};

use clap::Args;
use serde::Serialize;

use super::frames::load_show;
use super::profile_of::{self, ModeArgs};
use super::table::{self, Columns};
use super::{Failure, Report, input, json};
use crate::check::change::{LayoutRow, closing, layout, slot_words};
use crate::check::compare::Difference;
use crate::check::diff::{Diff, Side, SideError, Standing, diff, stand};
use crate::cue::words;
use crate::decode::Plan;
use crate::finding::{Finding, Place, one_line};
use crate::show::Show;
use crate::wire::text::parse_frame_text;
use crate::wire::{Frames, Universe};

/// Below the options of `diff`.
pub const HELP: &str = "\
Tells what differs between two sides, slot by slot and in physical terms: what each channel asks for, which heads
give light. A side is one of
  look:NAME           a look of the show
  cue:LIST/5          a cue of a list once all of it has faded; cue:5 of the first list
  at:LIST/12.5s       an instant of a list run straight through, with what heads do on their way
  slots:1/17=128,...  the slots of the show with these set
  levels              the slots as the show has them
  FILE, frame:FILE    a frame file; what no line of it names was never sent
  mode:PROFILE/MODE   a mode of a profile, to compare with another: which channel does the same, and where
                      light is shut off; mode:PROFILE where it has one only

`slotwright compare` tells the same of two whole cue lists, and `change` of a show whose fixtures change.

Exit codes: 0 compared, whether or not anything differs; 1 a bad file; 2 wrong usage.

JSON (`--json`):
  {sides: [first, second], slots: [{universe, slot, before, after, of}],
   fixtures: [{kind, fixtures, what, before, after}]}
  before and after are null where nothing was sent or that side has nothing of it; kind is channel, light or
  now; of two modes {sides, channels: [{before, slots_before, after, slots_after}], shut: [before, after]}

Examples:
  slotwright diff look:\"Harbour dawn\" look:\"Deep water\"
  slotwright diff my-show.ron cue:Main/5 at:Main/12.5s
  slotwright diff mode:\"Tarnfell S1 Spot/full\" mode:\"Tarnfell S1 Spot/compact\"";

/// What `diff` takes.
#[derive(Args, Debug)]
pub struct DiffArgs {
    /// Show file, where it is not the demo show, and the two sides
    #[arg(value_name = "[SHOW] A B", num_args = 2..=3, required = true)]
    pub words: Vec<String>,
    /// Universe of frame files that do not say, 1..63999 [default: 1]
    #[arg(long, value_name = "N", value_parser = universe)]
    pub universe: Option<Universe>,
    /// Print JSON instead of text
    #[arg(long)]
    pub json: bool,
}

#[derive(Serialize)]
struct ModesJson<'a> {
    sides: [&'a str; 2],
    channels: &'a [LayoutRow],
    shut: [&'a [String]; 2],
}

fn universe(text: &str) -> Result<Universe, String> {
    let universe = text.trim().parse().ok().and_then(Universe::new);
    universe.ok_or_else(|| format!("universe `{text}` is not one of 1..63999"))
}

pub(super) fn run(args: &DiffArgs) -> Result<Report, Failure> {
    let (show, [a, b]) = match args.words.as_slice() {
        [a, b] => (None, [a, b]),
        [show, a, b] => (Some(PathBuf::from(show)), [a, b]),
        _ => return Err(usage("two sides are wanted", "name both: `diff look:A look:B`")),
    };
    match (a.strip_prefix("mode:"), b.strip_prefix("mode:")) {
        (Some(a), Some(b)) => return modes(args, a, b),
        (None, None) => {}
        _ => {
            let mend = "name a mode on both sides";
            return Err(usage("a mode can only be compared with a mode", mend));
        }
    }
    let (show, mut said) = load_show(show.as_deref())?;
    let plan = Plan::new(&show.rig, &show.profiles);
    let before = side(args, &show, &plan, a, &mut said)?;
    let after = side(args, &show, &plan, b, &mut said)?;
    let found = diff(&show, &plan, &before, &after);
    let out = if args.json { json::lines(&found) } else { text(&found) };
    Ok(Report { out, said, bad: false })
}

fn usage(what: &str, mend: &str) -> Failure {
    Failure::Usage(Finding::error(Place::default(), what, mend))
}

fn side(
    args: &DiffArgs,
    show: &Show,
    plan: &Plan,
    word: &str,
    said: &mut Vec<Finding>,
) -> Result<Standing, Failure> {
    let refused = |error: SideError| {
        Failure::Usage(Finding::error(Place::item(one_line(word)), error.what, error.mend))
    };
    match Side::parse(word).map_err(refused)? {
        Side::File(path) => {
            let path = Path::new(&path);
            let text = input::read_text(path)?;
            let read = parse_frame_text(&text, args.universe, Some(input::name(path)))?;
            let mut frames = Frames::default();
            read.apply(&mut frames);
            said.extend(read.findings);
            let words = format!("frame {}", input::name(path).display());
            Ok(Standing::arrived(show, plan, frames, words))
        }
        side => stand(show, plan, &side).map_err(refused),
    }
}

fn text(found: &Diff) -> String {
    let mut out = heads(&found.sides.0, &found.sides.1);
    if found.is_same() {
        out.push_str("\nnothing differs\n");
        return out;
    }
    let value = |value: Option<u8>| value.map_or("not sent".to_owned(), |value| value.to_string());
    if !found.slots.is_empty() {
        out.push_str(&format!("\nslots: {} differ\n", found.slots.len()));
        let rows: Vec<[String; 4]> = found
            .slots
            .iter()
            .map(|slot| {
                let place = format!("{}/{}", slot.universe, slot.slot);
                [place, value(slot.before), value(slot.after), one_line(&slot.of).into_owned()]
            })
            .collect();
        out.push_str(&lines(&rows, &[3]));
    }
    out.push_str("\nfixtures\n");
    if found.fixtures.is_empty() {
        out.push_str("no difference in what they are asked or do\n");
    }
    let rows: Vec<[String; 4]> = found.fixtures.iter().map(row).collect();
    out.push_str(&lines(&rows, &[2, 3, 0]));
    out
}

fn row(difference: &Difference) -> [String; 4] {
    let side = |words: &Option<String>| words.clone().unwrap_or_else(|| "-".to_owned());
    [
        words::fixtures(&difference.fixtures),
        difference.what.clone(),
        side(&difference.before),
        side(&difference.after),
    ]
}

fn heads(before: &str, after: &str) -> String {
    format!("first:  {}\nsecond: {}\n", one_line(before), one_line(after))
}

fn lines(rows: &[[String; 4]], give_way: &'static [usize]) -> String {
    let widths = Columns { give_way }.widths(rows);
    rows.iter().map(|row| table::line(row, &widths)).collect()
}

/// Two modes, channel by channel.
fn modes(args: &DiffArgs, a: &str, b: &str) -> Result<Report, Failure> {
    let named = |word: &str| {
        // A path may hold a `/`: then the whole word is the profile.
        let split = word.rsplit_once('/').filter(|_| !Path::new(word).exists());
        let (profile, mode) =
            split.map_or((word, None), |(profile, mode)| (profile, Some(mode.to_owned())));
        profile_of::load(&ModeArgs { profile: profile.to_owned(), mode })
    };
    let ((before, mut said), (after, more)) = (named(a)?, named(b)?);
    said.extend(more);
    let words = [&before, &after].map(|mode| format!("{}, mode {}", mode.profile.key(), mode.name));
    let (rows, shut) = (layout(&before, &after), [closing(&before), closing(&after)]);
    let out = if args.json {
        json::lines(&ModesJson {
            sides: [&words[0], &words[1]],
            channels: &rows,
            shut: [&shut[0], &shut[1]],
        })
    } else {
        let mut out = heads(&words[0], &words[1]);
        out.push_str("\nchannels\n");
        let place = |name: &str, slots: &[u16]| match slots {
            [] => ["-".to_owned(), String::new()],
            slots => [name.to_owned(), slot_words(slots)],
        };
        let cells: Vec<[String; 4]> = rows
            .iter()
            .map(|row| {
                let [one, at] = place(&row.before, &row.slots_before);
                let [other, there] = place(&row.after, &row.slots_after);
                [one, at, other, there]
            })
            .collect();
        out.push_str(&lines(&cells, &[0, 2]));
        for (side, bands) in ["first", "second"].iter().zip(&shut) {
            let bands = if bands.is_empty() { "nothing".to_owned() } else { bands.join(", ") };
            out.push_str(&format!("\n{side} is shut by {bands}\n"));
        }
        out
    };
    Ok(Report { out, said, bad: false })
}
