//! The dry run: lists played through the pipeline faster than real time, and what will look wrong.
//!
//! Every fixture is played by itself (`head.rs`), packet by packet where anything of it changes or
//! is on its way, and in no time between. Fixtures share nothing, so that threads take some each; what
//! concerns the whole picture is put together from what they report, window by window, so that memory does
//! not grow with the length of the show. The report is the same on one thread or many.
//!
//! A fixture that shares slots with others, or can be set to follow them, is played with these (`company.rs`).

mod aim;
pub(super) mod company;
mod control;
mod fades;
mod head;
pub mod kinds;
mod light;
mod line;
mod pace;
mod picture;
mod place;
mod steps;
mod wheels;

use std::collections::BTreeMap;
use std::sync::Arc;

use self::head::HeadRun;
use self::picture::Picture;
use crate::cue::{Compiled, CueNumber, Run, RunStart, Tracks};
use crate::decode::Plan;
use crate::finding::{Finding, Severity};
use crate::rig::FixtureId;
use crate::show::Show;

/// Fixtures report for the whole picture this often, in seconds.
const WINDOW_S: f64 = 30.0;

/// The longest run that is played, in seconds: a day.
const MOST_S: f64 = 86_400.0;

/// Findings of one kind about one fixture that are told, at most; the last says how many more there are.
const MOST_ALIKE: usize = 50;

/// One thing the dry run has to say.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    /// What, why and the mend; its place names list, cue and fixture.
    pub finding: Finding,
    /// The list, as a place among those that were run.
    pub list: usize,
    /// The cue, as a place in that list.
    pub cue: usize,
    /// Its number.
    pub number: CueNumber,
    /// When it begins, in seconds from the start of the run.
    pub at_s: f64,
    /// When it ends.
    pub until_s: f64,
    /// Whom it concerns.
    pub fixtures: Vec<FixtureId>,
}

/// What a dry run found.
#[derive(Clone, Debug, PartialEq)]
pub struct Report {
    /// The lists that were run together, by name.
    pub lists: Vec<String>,
    /// Every cue that started.
    pub starts: Vec<RunStart>,
    /// The cues by their numbers and names, list by list.
    pub cues: Vec<Vec<String>>,
    /// How long the run is, in seconds.
    pub duration_s: f64,
    /// Everything there is to say, in order of time.
    pub told: Vec<Told>,
}

impl Report {
    /// Whether an error stands that was not accepted.
    pub fn bad(&self) -> bool {
        let stands = |told: &Told| {
            told.finding.severity == Severity::Error && told.finding.accepted.is_none()
        };
        self.told.iter().any(stands)
    }
}

/// How far a dry run is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Progress {
    /// What was played, in seconds of the show.
    pub done_s: f64,
    /// All there is.
    pub of_s: f64,
}

/// A straight run of some lists of a show, counted from 0.
pub fn straight_run(show: &Show, plan: &Plan, lists: &[usize]) -> Arc<Run> {
    let tracks = Arc::new(Tracks::new(plan));
    let compiled =
        |list: &usize| Arc::new(Compiled::new(&show.cues, *list, &show.rig, plan, &tracks));
    Arc::new(Run::new(tracks.clone(), lists.iter().map(compiled).collect()))
}

/// Plays these lists of a show together, on so many threads, and tells what will look wrong. `progress` is
/// called now and then, and says whether to go on; `None` where it did not.
pub fn rehearse(
    show: &Show,
    lists: &[usize],
    threads: usize,
    progress: &dyn Fn(Progress) -> bool,
) -> Option<Report> {
    let plan = Plan::new(&show.rig, &show.profiles);
    let run = straight_run(show, &plan, lists);
    let companies = company::companies(&plan);
    let head =
        |(place, company): (usize, &Vec<usize>)| HeadRun::new(show, &plan, &run, place, company);
    let mut heads: Vec<HeadRun> = companies.iter().enumerate().filter_map(head).collect();
    let mut picture = Picture::new(show, &run);
    let mut window = 0u32;
    let end_s = run.end_s().min(MOST_S);
    loop {
        let until_s = f64::from(window + 1) * WINDOW_S;
        play(&mut heads, until_s, threads);
        picture.take(&mut heads);
        if !progress(Progress { done_s: until_s.min(end_s), of_s: end_s }) {
            return None;
        }
        if until_s > end_s {
            break;
        }
        window += 1;
    }
    let mut told = picture.finish(&mut heads);
    for head in &mut heads {
        told.extend(head.finish());
    }
    for (place, list) in run.lists().iter().enumerate() {
        told.extend(list.unresolved.iter().map(|unresolved| {
            let at_s = run.starts().iter().find(|s| (s.list, s.cue) == (place, unresolved.cue));
            let at_s = at_s.map_or(0.0, |start| start.at_s);
            Told {
                finding: unresolved.finding.clone(),
                list: place,
                cue: unresolved.cue,
                number: list.cues[unresolved.cue].number,
                at_s,
                until_s: at_s,
                fixtures: vec![unresolved.fixture],
            }
        }));
    }
    first_of_each(&run, &mut told);
    accept(show, &mut told);
    let mut told = together(show, &run, told);
    accept(show, &mut told);
    told.sort_by(|a, b| {
        let key = |told: &Told| (told.fixtures.first().copied(), told.finding.code);
        a.at_s
            .total_cmp(&b.at_s)
            .then_with(|| key(a).cmp(&key(b)))
            .then(a.finding.what.cmp(&b.finding.what))
    });
    Some(Report {
        lists: run.lists().iter().map(|list| list.name.clone()).collect(),
        starts: run.starts().to_vec(),
        cues: run
            .lists()
            .iter()
            .map(|l| l.cues.iter().map(|cue| cue.words.clone()).collect())
            .collect(),
        duration_s: run.end_s(),
        told,
    })
}

fn play(heads: &mut [HeadRun<'_>], until_s: f64, threads: usize) {
    let share = heads.len().div_ceil(threads.max(1)).max(1);
    if threads <= 1 {
        heads.iter_mut().for_each(|head| head.advance(until_s));
        return;
    }
    std::thread::scope(|scope| {
        for heads in heads.chunks_mut(share) {
            scope.spawn(move || heads.iter_mut().for_each(|head| head.advance(until_s)));
        }
    });
}

/// Leaves out what a cue that a loop runs again says again: what is told of a fixture when it is run for the
/// first time stands for all.
fn first_of_each(run: &Run, told: &mut Vec<Told>) {
    let mut starts: BTreeMap<(usize, usize), Vec<f64>> = BTreeMap::new();
    for start in run.starts() {
        starts.entry((start.list, start.cue)).or_default().push(start.at_s);
    }
    // How often the cue had started by then: a finding belongs to that pass.
    let pass = |told: &Told| {
        let starts = starts.get(&(told.list, told.cue)).map_or(&[][..], Vec::as_slice);
        starts.partition_point(|at_s| *at_s <= told.at_s)
    };
    let about = |told: &Told| (told.list, told.cue, told.finding.code, told.fixtures.clone());
    let mut first: BTreeMap<_, usize> = BTreeMap::new();
    for told in told.iter() {
        let least = first.entry(about(told)).or_insert(usize::MAX);
        *least = (*least).min(pass(told));
    }
    told.retain(|told| first.get(&about(told)).is_some_and(|least| pass(told) == *least));
}

/// Tells as one what is told of several fixtures in the same words at the same time.
fn together(show: &Show, run: &Run, all: Vec<Told>) -> Vec<Told> {
    type Key = ((usize, usize), &'static str, (u64, u64), String, Option<String>);
    let mut places: BTreeMap<Key, usize> = BTreeMap::new();
    let mut joined: Vec<Told> = Vec::new();
    for told in all {
        let Finding { code, what, accepted, .. } = &told.finding;
        let when = (told.at_s.to_bits(), told.until_s.to_bits());
        let key = ((told.list, told.cue), *code, when, what.clone(), accepted.clone());
        match places.get(&key) {
            Some(place) => joined[*place].fixtures.extend(told.fixtures),
            None => {
                places.insert(key, joined.len());
                joined.push(told);
            }
        }
    }
    let order = |id: &FixtureId| show.rig.iter().position(|fixture| fixture.id == *id);
    for told in joined.iter_mut().filter(|told| told.fixtures.len() > 1) {
        told.fixtures.sort_by_key(order);
        told.fixtures.dedup();
        let list = &run.lists()[told.list];
        let words = &list.cues[told.cue].words;
        // What is told of the picture names no fixture in its place.
        let item = told.finding.place.item.as_deref().unwrap_or_default();
        let of_list = format!("list \"{}\", {words}", list.name);
        if item != of_list && told.fixtures.len() > 1 {
            told.finding.place.item = Some(format!("{of_list}, {}", named(&told.fixtures)));
        }
    }
    joined
}

/// Fixtures by their numbers, a long row cut short.
fn named(fixtures: &[FixtureId]) -> String {
    const NAMED: usize = 8;
    let shown: Vec<String> = fixtures.iter().take(NAMED).map(ToString::to_string).collect();
    match fixtures.len().saturating_sub(NAMED) {
        0 => format!("fixtures {}", shown.join(", ")),
        more => format!("fixtures {} and {more} more", shown.join(", ")),
    }
}

/// Marks what the author of the show accepted.
fn accept(show: &Show, told: &mut [Told]) {
    for told in told.iter_mut().filter(|told| told.finding.accepted.is_none()) {
        let item = told.finding.place.item.as_deref().unwrap_or_default();
        let by =
            show.cues.accepted.iter().find(|accepted| accepted.covers(told.finding.code, item));
        told.finding.accepted = by.map(|accepted| accepted.reason.clone());
    }
}
