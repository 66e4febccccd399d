//! The dry run: for each kind of finding a show that has it, and its twin that has not.

use std::sync::Arc;

use slotwright::check::rehearse::{Report, Told, rehearse};
use slotwright::cue::{Cue, CueList, Cues, Time, Times};
use slotwright::finding::Severity;
use slotwright::profile::Profile;
use slotwright::rig::Rig;
use slotwright::show::Show;
use slotwright::stage::Room;
use slotwright::wire::Frames;

use crate::cues::cue;
use crate::heads::{alder, birch, fixture};

mod every;
mod from_the_run;
mod kinds;
mod limits;
mod numbers;
mod twins;
mod whole;

/// A show of these heads with one list of these cues.
pub fn show(profiles: &[Arc<Profile>], rig: Rig, cues: Vec<Cue>) -> Show {
    let list = CueList { name: "Main".to_owned(), cues, ..CueList::default() };
    Show {
        name: "Neutral".to_owned(),
        notes: String::new(),
        room: Room {
            width_m: 40.0,
            depth_m: 20.0,
            front_m: 20.0,
            height_m: 12.0,
            ..Room::default()
        },
        profiles: profiles.iter().map(|profile| (profile.key().0, profile.clone())).collect(),
        profile_files: Vec::new(),
        rig,
        looks: Vec::new(),
        levels: Frames::default(),
        cues: Cues { lists: vec![list], ..Cues::default() },
    }
}

/// One ALDER-16 at slot 1, 6 m high over the middle of the stage front edge.
pub fn alone(cues: Vec<Cue>) -> Show {
    show(&[alder()], vec![fixture(&alder(), 1, 1)], cues)
}

/// One BIRCH-12.
pub fn wash(cues: Vec<Cue>) -> Show {
    show(&[birch()], vec![fixture(&birch(), 1, 1)], cues)
}

pub fn run(show: &Show) -> Report {
    rehearse(show, &[0], 1, &|_| true).expect("the test's own input is sound")
}

/// What is told of one kind.
pub fn told(show: &Show, code: &str) -> Vec<Told> {
    run(show).told.into_iter().filter(|told| told.finding.code == code).collect()
}

/// The one thing that is told of a kind.
#[track_caller]
pub fn only(show: &Show, code: &str) -> Told {
    let report = run(show);
    let mut told: Vec<Told> =
        report.told.iter().filter(|t| t.finding.code == code).cloned().collect();
    let all: Vec<String> = report.told.iter().map(|told| told.finding.to_string()).collect();
    assert_eq!(told.len(), 1, "{code}: {all:#?}");
    told.remove(0)
}

#[track_caller]
pub fn none(show: &Show, code: &str) {
    let told: Vec<String> = told(show, code).iter().map(|told| told.finding.to_string()).collect();
    assert_eq!(told, Vec::<String>::new());
}

#[track_caller]
pub fn says(told: &Told, part: &str, severity: Severity) {
    let what = told.finding.to_string();
    assert!(what.contains(part), "`{part}` is not in: {what}");
    assert_eq!(told.finding.severity, severity, "{what}");
}

/// A cue whose parts all take this long.
pub fn timed(number: &str, fade_s: f64, changes: &[(u32, &str, &str)]) -> Cue {
    let times = Times { all: Time { fade_s, delay_s: 0.0 }, ..Times::default() };
    Cue { times, stands_s: Some(3.0), ..cue(number, changes) }
}
