//! One list being run: go, back, pause, jump, rate.

use std::sync::Arc;

use super::compiled::{Compiled, Move};
use super::model::Next;
use super::schedule::Walk;
use super::segment::{Target, TrackState};
use super::standing::Standing;

/// The most cues that start by themselves in one step of time: cues that follow each other in no time
/// would else never end.
const MOST_STARTS: usize = 1000;

/// One list being run. Times are in seconds and only go forward; the list has a time of its own, which
/// stands still while it is paused.
#[derive(Clone, Debug)]
pub struct Player {
    pub(super) list: Arc<Compiled>,
    /// What it has set, and when it last did.
    pub(super) held: Vec<Option<Held>>,
    pub(super) at: Option<usize>,
    pub(super) walk: Walk,
    pub(super) clock: Clock,
    /// When the next cue starts by itself, in the list's own time.
    pub(super) next_s: Option<f64>,
    /// When the cue that is on started, in the list's own time.
    pub(super) started_s: f64,
}

/// A track that the list drives.
#[derive(Clone, Copy, Debug)]
pub(super) struct Held {
    pub(super) state: TrackState,
    /// When a cue last changed it, in the time of whoever looks.
    pub(super) since_s: f64,
}

/// The list's own time against that of whoever looks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Clock {
    outer_s: f64,
    own_s: f64,
    rate: f64,
    paused: bool,
}

impl Clock {
    fn speed(self) -> f64 {
        if self.paused { 0.0 } else { self.rate }
    }

    pub(super) fn own_s(self, outer_s: f64) -> f64 {
        self.own_s + (outer_s - self.outer_s).max(0.0) * self.speed()
    }

    /// When an instant of the list's own time is, for whoever looks.
    fn outer_s(self, own_s: f64) -> f64 {
        match self.speed() {
            speed if speed > 0.0 => self.outer_s + (own_s - self.own_s) / speed,
            _ => self.outer_s,
        }
    }

    fn turned(self, outer_s: f64) -> Self {
        Self { outer_s, own_s: self.own_s(outer_s), ..self }
    }
}

impl Player {
    /// A list of which no cue was run yet.
    pub fn new(list: Arc<Compiled>) -> Self {
        let held = vec![None; list.tracks.len()];
        let clock = Clock { outer_s: 0.0, own_s: 0.0, rate: 1.0, paused: false };
        Self { list, held, at: None, walk: Walk::default(), clock, next_s: None, started_s: 0.0 }
    }

    /// What is run.
    pub fn list(&self) -> &Arc<Compiled> {
        &self.list
    }

    /// The cue that is on, as a place.
    pub fn at(&self) -> Option<usize> {
        self.at
    }

    /// The cue that would come next, as a place.
    pub fn next(&self) -> Option<usize> {
        self.walk.clone().next(&self.list, self.at, None)
    }

    /// How long the cue that is on has been, in the list's own time; `None` before the first.
    pub fn for_s(&self, t_s: f64) -> Option<f64> {
        self.at.map(|_| self.clock.own_s(t_s) - self.started_s)
    }

    /// How long until the next cue starts by itself, in the list's own time; `None` where it does not.
    pub fn starts_in_s(&self, t_s: f64) -> Option<f64> {
        self.next_s.map(|next_s| (next_s - self.clock.own_s(t_s)).max(0.0))
    }

    /// Sends the next cue on its way. Says whether there was one.
    pub fn go(&mut self, t_s: f64) -> bool {
        self.advance(t_s);
        let Some(cue) = self.walk.next(&self.list, self.at, None) else { return false };
        self.start(cue, self.clock.own_s(t_s), t_s);
        true
    }

    /// Sends the cue before the one that is on on its way, with everything as it then stood. Says
    /// whether there was one.
    pub fn back(&mut self, t_s: f64) -> bool {
        let Some(cue) = self.at.and_then(|at| at.checked_sub(1)) else { return false };
        self.jump(cue, t_s)
    }

    /// Sends a cue, counted from 0, on its way, with everything as it would stand had all before it been
    /// run; dark heads that were moved ahead by then go there once they are dark. Says whether there is such
    /// a cue.
    pub fn jump(&mut self, cue: usize, t_s: f64) -> bool {
        self.advance(t_s);
        if cue >= self.list.cues.len() {
            return false;
        }
        self.walk = Walk::default();
        let list = self.list.clone();
        let own_s = self.clock.own_s(t_s);
        let (tracked, standing) = (list.tracked(cue), list.standing(cue));
        for (track, (wanted, stands)) in tracked.into_iter().zip(standing).enumerate() {
            if let Some(Standing::Ahead(ahead)) = stands {
                // A head that is moved ahead in this very cue first does what the cue asks of it.
                let now = list.cues[cue].ahead.contains(&ahead);
                if let (Some(wanted), true) = (wanted, now) {
                    self.send(cue, &wanted, own_s, t_s);
                }
                match now {
                    true => self.drive(track, &ahead_target(&list, &ahead), own_s, t_s),
                    false => self.send_ahead(cue, &ahead, own_s, t_s),
                }
                continue;
            }
            let held = self.held[track].is_some();
            let rest = list.tracks.get(track).map_or(0, |track| track.rest);
            let wanted = wanted.or(held.then_some(Move { track, to: rest, swing: None }));
            if let Some(wanted) = wanted {
                self.send(cue, &wanted, own_s, t_s);
            }
        }
        self.begin(cue, own_s);
        true
    }

    /// Stops its time, or lets it go on.
    pub fn set_paused(&mut self, paused: bool, t_s: f64) {
        self.advance(t_s);
        self.clock = Clock { paused, ..self.clock.turned(t_s) };
    }

    /// Whether its time stands still.
    pub fn is_paused(&self) -> bool {
        self.clock.paused
    }

    /// Runs its time faster or slower: 1 is as written. A rate that is no number above 0 changes nothing.
    pub fn set_rate(&mut self, rate: f64, t_s: f64) {
        self.advance(t_s);
        if rate.is_finite() && rate > 0.0 {
            self.clock = Clock { rate, ..self.clock.turned(t_s) };
        }
    }

    /// How fast its time runs.
    pub fn rate(&self) -> f64 {
        self.clock.rate
    }

    /// Starts the cues that start by themselves up to a time, each at its own moment.
    pub fn advance(&mut self, t_s: f64) {
        let own_s = self.clock.own_s(t_s);
        for _ in 0..MOST_STARTS {
            let Some(due_s) = self.next_s.filter(|due_s| *due_s <= own_s) else { return };
            match self.walk.next(&self.list, self.at, None) {
                Some(cue) => self.start(cue, due_s, self.clock.outer_s(due_s)),
                None => self.next_s = None,
            }
        }
        // What is left starts with the next step.
        self.next_s = self.next_s.map(|due_s| due_s.max(own_s));
    }

    /// Starts a cue, counted from 0, because somebody else says when cues start.
    pub(super) fn start_at(&mut self, cue: usize, t_s: f64) {
        self.start(cue, self.clock.own_s(t_s), t_s);
        self.next_s = None;
    }

    /// Whether the list has set a track.
    pub(super) fn drives(&self, track: usize) -> bool {
        self.held.get(track).is_some_and(Option::is_some)
    }

    /// From when on the value of a track no longer changes, as things stand and while time is not paused.
    pub(super) fn still_from_s(&self, track: usize) -> f64 {
        let held = self.held.get(track).and_then(Option::as_ref);
        held.map_or(f64::NEG_INFINITY, |held| self.clock.outer_s(held.state.still_from_s()))
    }

    fn start(&mut self, cue: usize, own_s: f64, t_s: f64) {
        let list = self.list.clone();
        let of = &list.cues[cue];
        for wanted in &of.moves {
            self.send(cue, wanted, own_s, t_s);
        }
        for ahead in &of.ahead {
            let target = ahead_target(&list, ahead);
            self.drive(ahead.track, &target, own_s, t_s);
        }
        self.begin(cue, own_s);
    }

    fn begin(&mut self, cue: usize, own_s: f64) {
        let of = &self.list.cues[cue];
        self.at = Some(cue);
        self.started_s = own_s;
        self.next_s = match of.next {
            Next::Go => None,
            Next::Follow(s) => Some(own_s + of.takes_s + s),
            Next::Wait(s) => Some(own_s + s),
        };
    }

    fn send(&mut self, cue: usize, wanted: &Move, own_s: f64, t_s: f64) {
        let list = self.list.clone();
        let rest = list.tracks.get(wanted.track).map_or(0, |track| track.rest);
        let held = self.held.get(wanted.track).copied().flatten();
        let from = held.map_or(f64::from(rest), |held| held.state.exact(own_s));
        let target = list.cues[cue].target(wanted, from, &list.tracks);
        self.drive(wanted.track, &target, own_s, t_s);
    }

    pub(super) fn drive(&mut self, track: usize, target: &Target, own_s: f64, t_s: f64) {
        let rest = self.list.tracks.get(track).map_or(0, |track| track.rest);
        let Some(held) = self.held.get_mut(track) else { return };
        let mut state = held.map_or(TrackState::at_rest(rest), |held| held.state);
        state.start(own_s, target);
        *held = Some(Held { state, since_s: t_s });
    }

    /// The value of a track and when a cue last changed it; `None` where this list has not set it.
    /// [`Self::advance`] must have been called for this time.
    pub fn value(&self, track: usize, t_s: f64) -> Option<(u32, f64)> {
        let held = self.held.get(track).copied().flatten()?;
        Some((held.state.value(self.clock.own_s(t_s)), held.since_s))
    }

    /// Whether anything that it drives is still on its way, or moves without end.
    pub fn moves(&self, t_s: f64) -> bool {
        let own_s = self.clock.own_s(t_s);
        let waits = self.next_s.is_some();
        !self.clock.paused
            && (waits || self.held.iter().flatten().any(|h| h.state.still_from_s() > own_s))
    }
}

/// What a dark head that is moved ahead is sent to.
pub(super) fn ahead_target(list: &Compiled, ahead: &super::compiled::Ahead) -> Target {
    let snap = list.tracks.get(ahead.track).is_some_and(|track| track.snap);
    Target {
        to: ahead.to,
        delay_s: ahead.delay_s,
        fade_s: ahead.fade_s,
        curve: super::model::FadeCurve::Even,
        snap: snap.then_some(0.0),
        swing: None,
    }
}
