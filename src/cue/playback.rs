//! Several lists at once, merged into frames.

use std::sync::Arc;

use super::player::Player;
use super::tracks::{Part, Tracks};
use crate::wire::Frames;

/// Lists that are run together.
///
/// Of a level the highest counts, of everything else the one that was changed last. What a list that was
/// let go of has set beside levels stays as it was.
#[derive(Clone, Debug)]
pub struct Playbacks {
    tracks: Arc<Tracks>,
    players: Vec<Player>,
    /// What stands where no list drives a track, and since when: what a list that was let go of left
    /// behind stays until something later changes it.
    base: Vec<(u32, f64)>,
    /// What all levels are multiplied by, 0..1.
    grand: f64,
    flashed: Vec<bool>,
}

impl Playbacks {
    /// Lists of which no cue was run yet, over channels at rest. They must be compiled with `tracks`.
    pub fn new(tracks: Arc<Tracks>, players: Vec<Player>) -> Self {
        let base = tracks.iter().map(|track| (track.rest, f64::NEG_INFINITY)).collect();
        Self { tracks, flashed: vec![false; players.len()], players, base, grand: 1.0 }
    }

    /// Other players in the place of these, over what lists left behind, at the same grand level. They must be
    /// compiled with the same tracks; a list that is flashed is so still where it has its place.
    pub fn with_players(&self, players: Vec<Player>) -> Self {
        let mut flashed = self.flashed.clone();
        flashed.resize(players.len(), false);
        Self {
            tracks: self.tracks.clone(),
            players,
            base: self.base.clone(),
            grand: self.grand,
            flashed,
        }
    }

    /// The lists, in order.
    pub fn players(&self) -> &[Player] {
        &self.players
    }

    /// One list, to be run on.
    pub fn player_mut(&mut self, list: usize) -> Option<&mut Player> {
        self.players.get_mut(list)
    }

    /// The channels.
    pub fn tracks(&self) -> &Arc<Tracks> {
        &self.tracks
    }

    /// Multiplies all levels by a share, 0..1.
    pub fn set_grand(&mut self, share: f64) {
        if share.is_finite() {
            self.grand = share.clamp(0.0, 1.0);
        }
    }

    /// What all levels are multiplied by.
    pub fn grand(&self) -> f64 {
        self.grand
    }

    /// While it is flashed, a list has its levels at once where its cue (its first, before any was run)
    /// would have them once faded.
    pub fn set_flashed(&mut self, list: usize, flashed: bool) {
        if let Some(held) = self.flashed.get_mut(list) {
            *held = flashed;
        }
    }

    /// Lets go of a list: its levels go, everything else that it set stays as it is at `t_s`.
    pub fn release(&mut self, list: usize, t_s: f64) {
        if list >= self.players.len() {
            return;
        }
        self.advance(t_s);
        for track in 0..self.tracks.len() {
            let level = self.tracks.get(track).is_some_and(|track| track.part == Part::Level);
            if !level && self.players[list].value(track, t_s).is_some() {
                self.base[track] = (self.value(track, t_s), t_s);
            }
        }
        self.players[list] = Player::new(self.players[list].list().clone());
    }

    /// Starts the cues that start by themselves up to a time.
    pub fn advance(&mut self, t_s: f64) {
        for player in &mut self.players {
            player.advance(t_s);
        }
    }

    /// Whether anything is still on its way, or moves without end.
    pub fn moves(&self, t_s: f64) -> bool {
        self.players.iter().any(|player| player.moves(t_s))
    }

    /// The list, counted from 0, that a track's value comes from at a time.
    pub fn leads(&self, track: usize, t_s: f64) -> Option<usize> {
        self.leader(track, t_s).map(|(list, _)| list)
    }

    fn leader(&self, track: usize, t_s: f64) -> Option<(usize, u32)> {
        let level = self.tracks.get(track)?.level;
        let held = self.players.iter().enumerate();
        let held = held.filter_map(|(list, player)| Some((list, player.value(track, t_s)?)));
        let best = match level {
            Some(level) => held
                .max_by(|(_, (a, _)), (_, (b, _))| level.height(*a).total_cmp(&level.height(*b))),
            None => {
                let left_s =
                    self.base.get(track).map_or(f64::NEG_INFINITY, |(_, since_s)| *since_s);
                held.filter(|(_, (_, since_s))| *since_s >= left_s)
                    .max_by(|(_, (_, a)), (_, (_, b))| a.total_cmp(b))
            }
        };
        best.map(|(list, (value, _))| (list, value))
    }

    /// From when on no list changes a track any more, as things stand.
    pub(super) fn still_from_s(&self, track: usize) -> f64 {
        self.players
            .iter()
            .map(|player| player.still_from_s(track))
            .fold(f64::NEG_INFINITY, f64::max)
    }

    /// The value of a track at its full resolution. [`Self::advance`] must have been called for this time.
    pub fn value(&self, track: usize, t_s: f64) -> u32 {
        let led = self.leader(track, t_s).map(|(_, value)| value);
        let mut value = led.unwrap_or_else(|| self.base.get(track).map_or(0, |(value, _)| *value));
        let Some(level) = self.tracks.get(track).and_then(|track| track.level) else {
            return value;
        };
        if self.flashed.contains(&true) {
            let flashed = self
                .flash_value(track)
                .filter(|flashed| level.height(*flashed) > level.height(value));
            value = flashed.unwrap_or(value);
        }
        if self.grand < 1.0 && level.height(value) >= 0.0 {
            let scaled = level.zero + (f64::from(value) - level.zero) * self.grand;
            value =
                (scaled + 0.5).floor().clamp(f64::from(level.first), f64::from(level.last)) as u32;
        }
        value
    }

    fn flash_value(&self, track: usize) -> Option<u32> {
        let level = self.tracks.get(track)?.level?;
        let flashed = self.players.iter().zip(&self.flashed).filter(|(_, flashed)| **flashed);
        let values = flashed.filter_map(|(player, _)| {
            let cue = player.at().unwrap_or(0);
            let cues = player.list().cues.iter().take(cue + 1).rev();
            let set = |cue: &super::compiled::CompiledCue| {
                let place = cue.moves.binary_search_by_key(&track, |of| of.track).ok()?;
                Some(cue.moves[place].to)
            };
            cues.filter_map(set).next()
        });
        values.max_by(|a, b| level.height(*a).total_cmp(&level.height(*b)))
    }

    /// What the lists put on the lines at a time, into frames that are kept.
    /// [`Self::advance`] must have been called for this time.
    pub fn fill(&self, t_s: f64, frames: &mut Frames) {
        // Of heads that share slots, one that no list drives does not undo what another is given.
        for driven in [false, true] {
            for track in (0..self.tracks.len()).filter(|track| self.drives(*track) == driven) {
                self.tracks.put(track, self.value(track, t_s), frames);
            }
        }
    }

    /// Whether any list has set a track.
    pub(super) fn drives(&self, track: usize) -> bool {
        self.players.iter().any(|player| player.drives(track))
    }

    /// The same, into new frames.
    pub fn frames(&self, t_s: f64) -> Frames {
        let mut frames = Frames::default();
        self.fill(t_s, &mut frames);
        frames
    }
}
