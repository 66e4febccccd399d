//! The sides of a difference as people name them: `look:Dawn`, `cue:Main/5`, `at:Main/12.5s`, `slots:1/17=128`.

use std::fmt;

use super::Standing;
use crate::check::compare::side;
use crate::check::rehearse::straight_run;
use crate::cue::{CueNumber, Scrub, words};
use crate::decode::Plan;
use crate::finding::{listed, nearest};
use crate::show::Show;
use crate::wire::{Slot, Universe};

/// What a side of a difference is.
#[derive(Clone, Debug, PartialEq)]
pub enum Side {
    /// What the slots of the show stand at.
    Levels,
    /// A look, by name.
    Look(String),
    /// A cue of a list, once all of it has faded; the first list where none is named.
    Cue(Option<String>, CueNumber),
    /// An instant of a straight run of a list, in seconds.
    At(Option<String>, f64),
    /// The slots of the show with these set.
    Slots(Vec<(Universe, Slot, u8)>),
    /// A file, to be read by whoever can.
    File(String),
}

/// Why a side cannot be had: what was found, and what would be right.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SideError {
    /// What was found.
    pub what: String,
    /// What would be right.
    pub mend: String,
}

impl SideError {
    fn new(what: impl Into<String>, mend: impl Into<String>) -> Self {
        Self { what: what.into(), mend: mend.into() }
    }
}

impl fmt::Display for SideError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}; {}", self.what, self.mend)
    }
}

impl Side {
    /// What a word names. What has no known beginning is a file.
    ///
    /// # Errors
    ///
    /// A number, time or slot in it is none.
    pub fn parse(word: &str) -> Result<Self, SideError> {
        let Some((kind, rest)) = word.split_once(':') else {
            return Ok(if word == "levels" { Self::Levels } else { Self::File(word.to_owned()) });
        };
        match kind {
            "look" => Ok(Self::Look(rest.to_owned())),
            "frame" => Ok(Self::File(rest.to_owned())),
            "cue" => {
                let (list, number) = in_list(rest);
                let number = number.parse::<CueNumber>().map_err(|_| {
                    let what = format!("`{}` is no number of a cue", number.escape_debug());
                    SideError::new(what, "write `cue:LIST/5` or `cue:5`")
                })?;
                Ok(Self::Cue(list, number))
            }
            "at" => {
                let (list, time) = in_list(rest);
                let seconds = time.trim_end_matches('s').trim().parse::<f64>().ok();
                let seconds = seconds.filter(|s| (0.0..=86_400.0).contains(s));
                let mend = "write `at:LIST/12.5s`, seconds from the start, 0..86400";
                let what = || format!("`{}` is no time", time.escape_debug());
                Ok(Self::At(list, seconds.ok_or_else(|| SideError::new(what(), mend))?))
            }
            "slots" => rest.split(',').map(slot).collect::<Result<_, _>>().map(Self::Slots),
            // A path may hold a colon.
            _ => Ok(Self::File(word.to_owned())),
        }
    }
}

/// A list and what stands behind it; a list may have a `/` in its name.
fn in_list(text: &str) -> (Option<String>, &str) {
    match text.rsplit_once('/') {
        Some((list, rest)) => (Some(list.to_owned()), rest),
        None => (None, text),
    }
}

fn slot(text: &str) -> Result<(Universe, Slot, u8), SideError> {
    let read = || {
        let (place, value) = text.trim().split_once('=')?;
        let (universe, slot) = place.split_once('/')?;
        let universe = universe.parse().ok().and_then(Universe::new)?;
        Some((universe, slot.parse().ok().and_then(Slot::new)?, value.parse().ok()?))
    };
    read().ok_or_else(|| {
        let what = format!("`{}` sets no slot", text.escape_debug());
        SideError::new(what, "write universe/slot=value, like `slots:1/17=128,1/18=0`")
    })
}

/// The rig of a show as a side has it. `plan` must be of this rig.
///
/// # Errors
///
/// The show has no such look, list or cue; or the side is a file, which is read elsewhere.
pub fn stand(show: &Show, plan: &Plan, side: &Side) -> Result<Standing, SideError> {
    let arrived = |frames, words| Ok(Standing::arrived(show, plan, frames, words));
    match side {
        Side::Levels => arrived(show.levels.clone(), "the slots as they stand".to_owned()),
        Side::Look(name) => {
            let look = show.look(name).ok_or_else(|| {
                let names = || show.looks.iter().map(|look| look.name.as_str());
                missing("look", name, names().collect())
            })?;
            arrived(look.frames.clone(), format!("look \"{}\"", look.name))
        }
        Side::Cue(list, number) => {
            let place = list_of(show, list.as_deref())?;
            let of = &show.cues.lists[place];
            let Some(cue) = of.cue(*number).and_then(|cue| of.cues.get(cue)) else {
                let what = format!("list \"{}\" has no cue {number}", of.name);
                let numbers: Vec<String> = of.cues.iter().map(|c| c.number.to_string()).collect();
                let mend = format!("it has {}", listed(numbers.iter().map(String::as_str)));
                return Err(SideError::new(what, mend));
            };
            let words = format!("list \"{}\", {}", of.name, cue.words());
            let mut run = side::Side::new(show, place)
                .ok_or_else(|| SideError::new("the list is not there", "name another"))?;
            for cue in of.cues.iter().filter(|cue| cue.number <= *number) {
                run.go_to(cue.number);
            }
            arrived(run.frames, words)
        }
        Side::At(list, t_s) => {
            let place = list_of(show, list.as_deref())?;
            let run = straight_run(show, plan, &[place]);
            let mut scrub = Scrub::new(run, &show.rig, plan);
            scrub.seek(plan, *t_s);
            let name = &show.cues.lists[place].name;
            Ok(Standing {
                words: format!("list \"{name}\" at {}", words::seconds(scrub.now_s())),
                frames: scrub.frames().clone(),
                decoded: scrub.decoded().clone(),
                poses: scrub.poses(),
                is_moment: true,
            })
        }
        Side::Slots(slots) => {
            let mut frames = show.levels.clone();
            for (universe, slot, value) in slots {
                frames.set(*universe, *slot, *value);
            }
            let words = match slots.len() {
                1 => "1 slot set".to_owned(),
                count => format!("{count} slots set"),
            };
            arrived(frames, words)
        }
        Side::File(path) => {
            let what = format!("`{}` is a file", path.escape_debug());
            Err(SideError::new(what, "name a look, a cue or an instant of a list"))
        }
    }
}

fn list_of(show: &Show, name: Option<&str>) -> Result<usize, SideError> {
    if show.cues.lists.is_empty() {
        return Err(SideError::new("the show has no cue list", "name a look or a frame"));
    }
    let Some(name) = name else { return Ok(0) };
    show.cues.list(name).ok_or_else(|| {
        missing("cue list", name, show.cues.lists.iter().map(|list| list.name.as_str()).collect())
    })
}

fn missing(what: &str, name: &str, there: Vec<&str>) -> SideError {
    let near = nearest(name, there.iter().copied());
    let near = near.map(|near| format!("did you mean `{near}`? ")).unwrap_or_default();
    let found = format!("the show has no {what} `{}`", name.escape_debug());
    SideError::new(found, format!("{near}it has {}", listed(there)))
}
