//! A list that is changed while it plays goes on from where it stands.

use std::sync::Arc;

use super::compiled::{Compiled, Move, part_time};
use super::model::{FadeCurve, Next};
use super::player::Player;
use super::schedule::Walk;
use super::segment::{Target, TrackState};
use super::standing::Standing;
use super::tracks::Part;

impl Player {
    /// The same list as it is written now, in the middle of the cue that is on. Both must be compiled with the
    /// same tracks.
    ///
    /// Whatever the list still has where it had it goes on as it did, fades and movements too. What it has
    /// otherwise now goes there in what is left of its fade, or at once. `t_s` is the time of whoever looks.
    pub fn carried(&self, list: &Arc<Compiled>, t_s: f64) -> Self {
        let mut new = self.clone();
        new.list = list.clone();
        if self.list.loops != list.loops {
            new.walk = Walk::default();
        }
        let Some((was, at)) = self.at.and_then(|at| Some((at, self.place_in(at, list)?))) else {
            (new.at, new.next_s) = (None, None);
            new.held = vec![None; list.tracks.len()];
            return new;
        };
        let own_s = new.clock.own_s(t_s);
        let (before, after) = (self.list.standing(was), list.standing(at));
        for (track, (before, after)) in before.iter().zip(&after).enumerate() {
            let same = match (before, after) {
                (Some(before), Some(after)) => before.is_like(after),
                (None, None) => true,
                _ => false,
            };
            if !same {
                new.send_anew(at, track, before.as_ref(), after.as_ref(), (own_s, t_s));
            }
        }
        new.at = Some(at);
        new.next_s = new.due_s(at, own_s);
        new
    }

    /// Where the cue that is on is in the list as it is now: under its number; else, where there are as many
    /// cues as before, in its place, as renumbering leaves it; else the last one before it.
    fn place_in(&self, at: usize, list: &Compiled) -> Option<usize> {
        let number = self.list.cues.get(at)?.number;
        let same = list.cues.iter().position(|cue| cue.number == number);
        let renumbered = (list.cues.len() == self.list.cues.len()).then_some(at);
        let before = || list.cues.iter().rposition(|cue| cue.number < number);
        same.or(renumbered).or_else(before)
    }

    /// When the next cue starts by itself. One that would have been due already counts from now on: nobody
    /// asked for it to start at once.
    fn due_s(&self, at: usize, own_s: f64) -> Option<f64> {
        let of = self.list.cues.get(at)?;
        let (wait_s, due_s) = match of.next {
            Next::Go => return None,
            Next::Follow(s) => (s, self.started_s + of.takes_s + s),
            Next::Wait(s) => (s, self.started_s + s),
        };
        Some(if due_s >= own_s { due_s } else { own_s + wait_s })
    }

    /// Sends a track where the list has it now; `now` is the list's own time, and that of whoever looks.
    fn send_anew(
        &mut self,
        at: usize,
        track: usize,
        before: Option<&Standing>,
        after: Option<&Standing>,
        (own_s, t_s): (f64, f64),
    ) {
        let list = self.list.clone();
        let rest = list.tracks.get(track).map_or(0, |track| track.rest);
        let held = self.held.get(track).copied().flatten();
        if held.is_none() && after.is_none() {
            return;
        }
        let state = held.map_or(TrackState::at_rest(rest), |held| held.state);
        let elapsed_s = own_s - self.started_s;
        let target = match after {
            Some(Standing::Moved(of)) => {
                let mut target = list.cues[at].target(of, state.exact(own_s), &list.tracks);
                let moves = list.cues[at].moves.binary_search_by_key(&track, |of| of.track).is_ok();
                target = left_of(target, if moves { elapsed_s } else { f64::INFINITY });
                target.swing = going_on(of, before, &state, own_s);
                target
            }
            Some(Standing::Ahead(ahead)) => super::player::ahead_target(&list, ahead),
            None => left_of(
                list.cues[at].target(&at_rest(track, rest), 0.0, &list.tracks),
                f64::INFINITY,
            ),
        };
        // Which list changed it last is as it was: an edit takes nothing from another list.
        let since_s = held.map_or(t_s, |held| held.since_s);
        self.drive(track, &target, own_s, since_s);
    }

    /// Sends a track that was moved ahead in an earlier cue there: its head has to be dark by then.
    pub(super) fn send_ahead(
        &mut self,
        cue: usize,
        ahead: &super::compiled::Ahead,
        own_s: f64,
        t_s: f64,
    ) {
        let list = self.list.clone();
        let dark_s = part_time(&list.cues[cue].times, Part::Level, false).end_s();
        let target = Target { delay_s: dark_s, ..super::player::ahead_target(&list, ahead) };
        self.drive(ahead.track, &target, own_s, t_s);
    }
}

fn at_rest(track: usize, rest: u32) -> Move {
    Move { track, to: rest, swing: None }
}

/// What is left of the way to a target after so long.
fn left_of(target: Target, elapsed_s: f64) -> Target {
    let begun_s = (elapsed_s - target.delay_s).max(0.0);
    if begun_s <= 0.0 {
        return Target { delay_s: target.delay_s - elapsed_s.max(0.0), ..target };
    }
    let fade_s = if begun_s < target.fade_s { target.fade_s - begun_s } else { 0.0 };
    let snap = target.snap.map(|at| {
        let left_s = at * target.fade_s - begun_s;
        if left_s > 0.0 && fade_s > 0.0 { left_s / fade_s } else { 0.0 }
    });
    // A bent course that began in the middle would begin with a jump of its pace.
    Target { delay_s: 0.0, fade_s, snap, curve: FadeCurve::Even, ..target }
}

/// A movement that takes the place of another goes on where that was in its turn.
fn going_on(
    of: &Move,
    before: Option<&Standing>,
    state: &TrackState,
    own_s: f64,
) -> Option<super::movement::Swing> {
    let mut swing = of.swing?;
    let old = match before {
        Some(Standing::Moved(old)) => old.swing,
        _ => None,
    };
    if let (Some(old), Some(turns)) = (old, state.turns(own_s)) {
        swing.phase += turns - old.phase;
    }
    Some(swing)
}
