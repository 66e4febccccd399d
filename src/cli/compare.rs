//! `slotwright compare`: what differs between two cue lists, in physical terms.

use std::path::PathBuf;
use std::sync::Arc;

use clap::Args;

use super::frames::load_show;
use super::play::lists;
use super::profile_of::{self, ModeArgs};
use super::table::{self, Columns};
use super::{Failure, Report, json};
use crate::check::compare::{Comparison, Difference, compare, of_mode};
use crate::cue::words;
use crate::decode::CompiledMode;
use crate::finding::{Finding, Place, listed, one_line};
use crate::paper::comparison;
use crate::rig::FixtureId;
use crate::show::Show;
use crate::show::disk::write_file;

/// Below the options of `compare`.
pub const HELP: &str = "\
Compares two shows, two lists of one show (`--with-list`), or one list with fixtures as they are and as
another model or mode (`--fixture`, `--to`, `--mode`). Cues and fixtures are paired by their numbers. At each
cue it tells what begins to differ: whether the cue is there, its times and how the next one comes,
movements, which heads give light, and what each channel asks for once all has faded. Channels are compared by
what they do and by physical values, not by slots or names; of two resolutions, values within a step of
the coarser one are alike. What goes on differing is told once, where it begins.

With `--html` a page is written besides, with pictures of the stage side by side for each cue that differs.

Exit codes: 0 compared, whether or not anything differs; 1 a bad file; 2 wrong usage.

JSON (`--json`):
  {sides: [first, second], whole: [DIFFERENCE], cue_count,
   cues: [{number, names: [first, second], differences: [DIFFERENCE]}]}
  DIFFERENCE is {kind, fixtures, what, before, after}; kind is cue, timing, fixture, cannot, light, channel
  or movement; names, before and after are null where that side has nothing of it.

Examples:
  slotwright compare my-show.ron my-show-v2.ron
  slotwright compare my-show.ron --list Main --with-list Matinee --html difference.html
  slotwright compare my-show.ron --fixture 101,102 --to \"Tarnfell S1 Spot\" --mode compact";

/// What `compare` takes.
#[derive(Args, Debug)]
pub struct CompareArgs {
    /// Show file
    #[arg(value_name = "SHOW")]
    pub show: PathBuf,
    /// Show file to compare it with [default: the same show]
    #[arg(value_name = "OTHER")]
    pub other: Option<PathBuf>,
    /// Cue list, by its name [default: the first]
    #[arg(long = "list", value_name = "NAME")]
    pub list: Option<String>,
    /// Cue list to compare it with [default: the one of the same name]
    #[arg(long, value_name = "NAME")]
    pub with_list: Option<String>,
    /// The fixtures that are of another model or mode on the second side, by their numbers; more with
    /// commas between, or given again
    #[arg(long = "fixture", value_name = "ID", value_delimiter = ',', requires = "to")]
    pub fixtures: Vec<FixtureId>,
    /// The profile they are of: a RON file, or the name of one that comes with the program
    #[arg(long, value_name = "PROFILE", requires = "fixtures")]
    pub to: Option<String>,
    /// The mode they are in; needed where the profile has more than one
    #[arg(long, value_name = "MODE", requires = "to")]
    pub mode: Option<String>,
    /// Print JSON instead of text
    #[arg(long)]
    pub json: bool,
    /// Write a page with pictures to this file besides; one that is there is replaced
    #[arg(long, value_name = "FILE")]
    pub html: Option<PathBuf>,
}

pub(super) fn run(args: &CompareArgs) -> Result<Report, Failure> {
    if args.other.is_none() && args.with_list.is_none() && args.to.is_none() {
        let what = "there is nothing to compare the show with";
        let mend = "name another show, or give --with-list, or --fixture and --to";
        return Err(Failure::Usage(Finding::error(Place::default(), what, mend)));
    }
    let (show, mut said) = load_show(Some(&args.show))?;
    let mut other = match args.other.as_deref() {
        Some(path) => {
            let (other, more) = load_show(Some(path))?;
            said.extend(more);
            other
        }
        None => show.clone(),
    };
    let place = list_of(&show, args.list.as_deref())?;
    let name = &show.cues.lists[place].name;
    let with = match &args.with_list {
        Some(with) => list_of(&other, Some(with))?,
        // A list that was not named need not be called the same.
        None => match (args.list.is_some(), other.cues.list(name)) {
            (_, Some(with)) => with,
            (true, None) => list_of(&other, Some(name))?,
            (false, None) => list_of(&other, None)?,
        },
    };
    let mut sides = (side_words(&show, place), side_words(&other, with));
    if let Some(path) = args.other.as_deref().filter(|_| sides.0 == sides.1) {
        sides.0 = format!("{} ({})", sides.0, args.show.display());
        sides.1 = format!("{} ({})", sides.1, path.display());
    }
    if let Some(to) = &args.to {
        let of = ModeArgs { profile: to.clone(), mode: args.mode.clone() };
        let (mode, more) = profile_of::load(&of)?;
        said.extend(more);
        changed(&mut other, &args.fixtures, &mode)?;
        let (ids, key) = (words::fixtures(&args.fixtures), mode.profile.key());
        sides.1 = format!("{}, with {ids} as {key}, mode {}", sides.1, mode.name);
    }
    let Some(comparison) = compare((&show, place), (&other, with), sides) else {
        return Ok(Report::default());
    };
    let mut out = match args.json {
        true => json::lines(&comparison),
        false => text(&comparison),
    };
    if let Some(path) = args.html.as_deref() {
        write_file(path, comparison::html(&comparison, &show, &other).as_bytes())?;
        if !args.json {
            out.push_str(&format!("wrote {}\n", one_line(&path.to_string_lossy())));
        }
    }
    Ok(Report { out, said, bad: false })
}

fn list_of(show: &Show, name: Option<&str>) -> Result<usize, Failure> {
    let named: Vec<String> = name.iter().map(|name| (*name).to_owned()).collect();
    Ok(lists(&show.cues, &named)?.first().copied().unwrap_or(0))
}

fn side_words(show: &Show, list: usize) -> String {
    let name = show.cues.lists.get(list).map_or("", |list| list.name.as_str());
    format!("{}, list \"{name}\"", show.name)
}

/// Makes fixtures of a show of another mode.
fn changed(
    show: &mut Show,
    fixtures: &[FixtureId],
    mode: &Arc<CompiledMode>,
) -> Result<(), Failure> {
    let there: Vec<String> = show.rig.iter().map(|fixture| fixture.id.to_string()).collect();
    of_mode(show, fixtures, &mode.profile, &mode.name).map_err(|id| {
        Failure::Usage(Finding::error(
            Place::item("--fixture"),
            format!("the show has no fixture `{id}`"),
            format!("it has {}", listed(there.iter().map(String::as_str))),
        ))
    })
}

fn text(comparison: &Comparison) -> String {
    let mut out = format!(
        "first:  {}\nsecond: {}\n",
        one_line(&comparison.sides.0),
        one_line(&comparison.sides.1)
    );
    let mut rows = Vec::new();
    let mut heads = Vec::new();
    if !comparison.whole.is_empty() {
        heads.push((rows.len(), "the whole".to_owned()));
        rows.extend(comparison.whole.iter().map(row));
    }
    for cue in &comparison.cues {
        heads.push((rows.len(), comparison::cue_words(cue)));
        rows.extend(cue.differences.iter().map(row));
    }
    let widths = Columns { give_way: &[2, 3, 0] }.widths(&rows);
    for (place, row) in rows.iter().enumerate() {
        if let Some((_, head)) = heads.iter().find(|(first, _)| *first == place) {
            out.push_str(&format!("\n{}\n", one_line(head)));
        }
        out.push_str(&table::line(row, &widths));
    }
    let differ = comparison.cues.len();
    out.push_str(&format!("\n{differ} of {} cues differ\n", comparison.cue_count));
    out
}

fn row(difference: &Difference) -> [String; 4] {
    let side = |words: &Option<String>| words.clone().unwrap_or_else(|| "-".to_owned());
    let after = match (&difference.before, &difference.after) {
        (None, None) => String::new(),
        (_, after) => side(after),
    };
    let before = match (&difference.before, &difference.after) {
        (None, None) => String::new(),
        (before, _) => side(before),
    };
    [words::fixtures(&difference.fixtures), difference.what.clone(), before, after]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::compare::DifferenceKind;

    #[test]
    fn a_side_that_has_nothing_of_it_is_a_dash() {
        let of = |before: Option<&str>, after: Option<&str>| {
            row(&Difference {
                kind: DifferenceKind::Channel,
                fixtures: vec![1, 2, 3],
                what: "Pan".to_owned(),
                before: before.map(str::to_owned),
                after: after.map(str::to_owned),
            })
        };
        assert_eq!(of(Some("3.00 deg"), None), ["1 to 3", "Pan", "3.00 deg", "-"]);
        assert_eq!(of(None, None), ["1 to 3", "Pan", "", ""]);
    }
}
