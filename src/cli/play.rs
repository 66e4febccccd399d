//! `slotwright play`: when each cue of a list starts, and the list as timed frames.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::Args;

use super::frames::load_show;
use super::table::{self, Columns};
use super::{Failure, Report, input};
use crate::check::rehearse::straight_run;
use crate::cue::words::seconds;
use crate::cue::{Cues, Next, Run};
use crate::decode::Plan;
use crate::finding::{Finding, Place, listed, nearest, one_line};
use crate::show::disk::write_file;

/// Below the options of `play`.
pub const HELP: &str = "\
A list is run straight through: a cue that follows or waits comes by itself, and one that waits for
somebody comes once the one before it has faded and stood for as long as it says (3 s where it does not).
Several lists begin together; of levels the highest counts, of everything else what was changed last.

With `--out` the run is written as timed frames, one line a change: `seconds,universe,slot,value`. They
come in the packets of a full universe sent as fast as the line carries them, 22.676 ms apart, and can be
read back with `--timed`.

Examples:
  slotwright play --list Main
  slotwright play my-show.ron --list Main --list Effects --out evening.csv";

/// What `play` takes.
#[derive(Args, Debug)]
pub struct PlayArgs {
    /// Show file; without it, the demo show
    #[arg(value_name = "SHOW")]
    pub show: Option<PathBuf>,
    /// Cue list, by its name; again for more that are run together [default: the first]
    #[arg(long = "list", value_name = "NAME")]
    pub lists: Vec<String>,
    /// Write the run as timed frames to this CSV file, or to standard output for `-`; a file that is
    /// there is replaced
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
}

pub(super) fn run(args: &PlayArgs) -> Result<Report, Failure> {
    let (show, mut said) = load_show(args.show.as_deref())?;
    let places = lists(&show.cues, &args.lists)?;
    let run = straight_run(&show, &Plan::new(&show.rig, &show.profiles), &places);
    for list in run.lists() {
        said.extend(list.unresolved.iter().map(|unresolved| unresolved.finding.clone()));
    }
    let out = match args.out.as_deref() {
        None => starts(&run),
        Some(path) => written(path, &run)?,
    };
    Ok(Report { out, said, bad: false })
}

/// The lists that are named, as places; the first where none is.
///
/// # Errors
///
/// There is no such list, or none at all.
pub(super) fn lists(cues: &Cues, names: &[String]) -> Result<Vec<usize>, Failure> {
    let refused = |what: String, mend: String| {
        Failure::Usage(Finding::error(Place::item("--list"), what, mend))
    };
    if cues.lists.is_empty() {
        let mend = "open the show in the window and make one, or name another show";
        return Err(refused("the show has no cue list".to_owned(), mend.to_owned()));
    }
    if names.is_empty() {
        return Ok(vec![0]);
    }
    let mut places = Vec::new();
    for name in names {
        let there = || cues.lists.iter().map(|list| list.name.as_str());
        let place = cues.list(name).ok_or_else(|| {
            let near = nearest(name, there()).map(|near| format!("did you mean `{near}`? "));
            let mend = format!("{}it has {}", near.unwrap_or_default(), listed(there()));
            refused(format!("the show has no cue list `{}`", name.escape_debug()), mend)
        })?;
        if !places.contains(&place) {
            places.push(place);
        }
    }
    Ok(places)
}

/// When each cue starts, as a table.
fn starts(run: &Run) -> String {
    let mut rows = vec![["starts", "list", "cue", "fades for", "then"].map(str::to_owned)];
    rows.extend(run.starts().iter().map(|start| {
        let list = &run.lists()[start.list];
        let cue = &list.cues[start.cue];
        [
            seconds(start.at_s),
            list.name.clone(),
            cue.words.clone(),
            seconds(cue.takes_s),
            match cue.next {
                Next::Go => "waits for somebody".to_owned(),
                Next::Follow(s) => format!("the next follows after {}", seconds(s)),
                Next::Wait(s) => format!("the next comes {} after its start", seconds(s)),
            },
        ]
    }));
    let widths = Columns { give_way: &[1, 2, 4] }.widths(&rows);
    let mut out: String = rows.iter().map(|row| table::line(row, &widths)).collect();
    out.push_str(&format!("ends at {}\n", seconds(run.end_s())));
    out
}

fn written(path: &Path, run: &Arc<Run>) -> Result<String, Failure> {
    let timed = run.timed_frames();
    let text = timed.to_csv();
    if input::is_standard(path) {
        return Ok(text);
    }
    write_file(path, text.as_bytes())?;
    Ok(format!(
        "wrote {}: {} frames, {} changes, {}\n",
        one_line(&path.to_string_lossy()),
        timed.len(),
        timed.change_count(),
        seconds(timed.duration_s())
    ))
}
