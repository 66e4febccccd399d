//! `slotwright misfit --timed`: which addresses and modes make sense of timed frames alone.

use std::path::Path;

use serde::Serialize;

use super::frames::load_show;
use super::{Failure, Report, input, json, table};
use crate::check::misfit::{Case, Fit, HeadFits, Silence};
use crate::decode::Plan;
use crate::finding::{Finding, Place};
use crate::rig::FixtureId;
use crate::wire::{Frames, TimedFrames, parse_timed_frames};

/// Moments of the timed frames that are looked at, at most.
const MOMENTS: usize = 64;

/// Asks which addresses and modes make sense of the timed frames in a file. `seen` must be `None`: there is
/// nothing to be observed of frames alone.
pub(super) fn run(
    timed: &Path,
    show: Option<&Path>,
    seen: Option<&Path>,
    as_json: bool,
) -> Result<Report, Failure> {
    if let Some(seen) = seen {
        let what = "observations and timed frames were given";
        let mend = "leave out either: timed frames are judged alone";
        return Err(Failure::Usage(Finding::error(Place::file(seen), what, mend)));
    }
    let (show, mut said) = load_show(show)?;
    let read = parse_timed_frames(&input::read_text(timed)?, Some(input::name(timed)))?;
    said.extend(read.findings);
    let plan = Plan::new(&show.rig, &show.profiles);
    let case = Case::new(&show.rig, &plan, moments(&read.timed));
    let (fits, silent) = (case.fits(), case.silences());
    let bad = !silent.is_empty() || fits.iter().any(|head| head.better().is_some());
    let out = if as_json { in_json(&case, &fits, &silent) } else { text(&case, &fits, &silent) };
    Ok(Report { out, said, bad })
}

/// What is held at moments spread evenly over the timed frames, the last one included.
fn moments(timed: &TimedFrames) -> Vec<Frames> {
    let count = timed.len().min(MOMENTS);
    let nth = |i: usize| ((i + 1) * timed.len() / count).saturating_sub(1);
    let times = (0..count).filter_map(|i| timed.frame(nth(i)).map(|(at_s, _)| at_s));
    times.map(|at_s| timed.frames_at(at_s)).collect()
}

fn text(case: &Case<'_>, fits: &[HeadFits], silent: &[Silence]) -> String {
    let mut out = String::new();
    let mut add = |line: &str, indent: usize| {
        for line in table::wrapped(line, table::LINE.saturating_sub(indent)) {
            out.push_str(&format!("{:indent$}{line}\n", ""));
        }
    };
    let better: Vec<(&HeadFits, &Fit)> =
        fits.iter().filter_map(|head| Some((head, head.better()?))).collect();
    match better.len() {
        0 => add("every head makes most sense as it is patched, or no less than elsewhere", 0),
        1 => add("one head makes clearly more sense elsewhere; a hypothesis, not a fix:", 0),
        n => add(
            &format!("{n} heads make clearly more sense elsewhere; a hypothesis, not a fix:"),
            0,
        ),
    }
    if let Some(by) = common(&better, fits.len()) {
        let way = if by < 0 { "before" } else { "behind" };
        let far = by.unsigned_abs();
        add(&format!("all of them {far} {way}: one side may count slots from 0"), 2);
    }
    for (head, fit) in &better {
        let name = case.rig.get(head.place).map_or_else(String::new, |fixture| fixture.words());
        add(&format!("{name}: {}", fit.words()), 2);
        add(&format!("there: {}", reasons(fit)), 5);
        if let Some(patched) = head.fits.get(head.patched) {
            add(&format!("as patched: {}", reasons(patched)), 5);
        }
    }
    for silence in silent {
        let ids = silence.places.iter().filter_map(|place| case.rig.get(*place));
        let ids: Vec<String> = ids.map(|fixture| fixture.id.to_string()).collect();
        let last = silence.last.map_or_else(
            || "carries nothing but 0.".to_owned(),
            |last| format!("carries nothing but 0 behind slot {last}: does the sender stop there?"),
        );
        add(&format!("universe {} {last} Fixtures there: {}", silence.universe, ids.join(", ")), 0);
    }
    out
}

/// What speaks for and against a fit.
fn reasons(fit: &Fit) -> String {
    fit.because.join(", ")
}

/// By how much all heads together are better off elsewhere, where that is the same for all and more than one.
fn common(better: &[(&HeadFits, &Fit)], heads: usize) -> Option<i32> {
    let by = better.first()?.1.by;
    let all = better.len() == heads && heads > 1 && by != 0;
    (all && better.iter().all(|(_, fit)| fit.by == by)).then_some(by)
}

#[derive(Serialize)]
struct FitsJson<'a> {
    heads: Vec<HeadJson<'a>>,
    silent: Vec<SilentJson>,
}

#[derive(Serialize)]
struct HeadJson<'a> {
    fixture: Option<FixtureId>,
    sense: f64,
    because: &'a [String],
    better: Option<FitJson<'a>>,
}

#[derive(Serialize)]
struct FitJson<'a> {
    universe: u16,
    slot: u16,
    mode: &'a str,
    by: i32,
    sense: f64,
    because: &'a [String],
}

#[derive(Serialize)]
struct SilentJson {
    universe: u16,
    last: Option<u16>,
    fixtures: Vec<FixtureId>,
}

fn in_json(case: &Case<'_>, fits: &[HeadFits], silent: &[Silence]) -> String {
    let id = |place: usize| case.rig.get(place).map(|fixture| fixture.id);
    let fit = |fit: &'_ Fit| (fit.address.universe.number(), fit.address.slot.number());
    let heads = fits.iter().filter_map(|head| {
        let patched = head.fits.get(head.patched)?;
        let better = head.better().map(|better| FitJson {
            universe: fit(better).0,
            slot: fit(better).1,
            mode: &better.mode,
            by: better.by,
            sense: better.sense,
            because: &better.because,
        });
        let (sense, because) = (patched.sense, patched.because.as_slice());
        Some(HeadJson { fixture: id(head.place), sense, because, better })
    });
    let silent = silent.iter().map(|silence| SilentJson {
        universe: silence.universe.number(),
        last: silence.last.map(|last| last.number()),
        fixtures: silence.places.iter().filter_map(|place| id(*place)).collect(),
    });
    json::lines(&FitsJson { heads: heads.collect(), silent: silent.collect() })
}
