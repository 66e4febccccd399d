//! Lists run straight through, from packet to packet, and how to be at any instant of them at once.

use std::sync::Arc;

use super::compiled::Compiled;
use super::playback::Playbacks;
use super::player::Player;
use super::schedule::{MOST_STARTS, end_s, schedule};
use super::tracks::Tracks;
use crate::wire::{Change, Frames, SLOTS, TimedFrames, packet_s};

/// How many cues start between two places that are kept.
const KEPT_EVERY: usize = 8;

/// A cue of one of the lists that starts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RunStart {
    /// When, in seconds.
    pub at_s: f64,
    /// The list, counted from 0.
    pub list: usize,
    /// The cue, as a place in it.
    pub cue: usize,
}

/// Lists that begin together and are run straight through.
#[derive(Clone, Debug)]
pub struct Run {
    tracks: Arc<Tracks>,
    lists: Vec<Arc<Compiled>>,
    starts: Vec<RunStart>,
    end_s: f64,
    period_s: f64,
    is_whole: bool,
}

impl Run {
    /// A straight run of these lists, all compiled with `tracks`, in whole universes sent as fast as the
    /// line carries them.
    pub fn new(tracks: Arc<Tracks>, lists: Vec<Arc<Compiled>>) -> Self {
        let mut starts = Vec::new();
        let (mut last_s, mut is_whole) = (0.0, true);
        for (place, list) in lists.iter().enumerate() {
            let own = schedule(list, 0.0);
            last_s = f64::max(last_s, end_s(list, &own));
            is_whole &= own.len() < MOST_STARTS;
            starts.extend(own.iter().map(|s| RunStart { at_s: s.at_s, list: place, cue: s.cue }));
        }
        starts.sort_by(|a, b| a.at_s.total_cmp(&b.at_s).then(a.list.cmp(&b.list)));
        Self { tracks, lists, starts, end_s: last_s, period_s: packet_s(SLOTS), is_whole }
    }

    /// The same run for some fixtures of the rig alone, counted from 0 and in rising order: their own channels,
    /// and every start. `tracks` are those of a plan that holds these fixtures and no other.
    pub fn of_fixtures(&self, fixtures: &[usize], tracks: Arc<Tracks>) -> Self {
        let own: Vec<_> = fixtures.iter().map(|fixture| self.tracks.of(*fixture)).collect();
        let alone = |list: &Arc<Compiled>| Arc::new(list.alone(&own, &tracks));
        let lists = self.lists.iter().map(alone).collect();
        Self { tracks, lists, starts: self.starts.clone(), ..*self }
    }

    /// The lists.
    pub fn lists(&self) -> &[Arc<Compiled>] {
        &self.lists
    }

    /// The channels.
    pub fn tracks(&self) -> &Arc<Tracks> {
        &self.tracks
    }

    /// Every cue that starts, in order of time.
    pub fn starts(&self) -> &[RunStart] {
        &self.starts
    }

    /// When all has faded and stood, in seconds.
    pub fn end_s(&self) -> f64 {
        self.end_s
    }

    /// Whether every start of the lists is in it: loops within loops can be more than anybody waits for.
    pub fn is_whole(&self) -> bool {
        self.is_whole
    }

    /// From one packet to the next, in seconds.
    pub fn period_s(&self) -> f64 {
        self.period_s
    }

    /// When a packet, counted from 0, is sent.
    pub fn packet_at_s(&self, packet: u64) -> f64 {
        packet as f64 * self.period_s
    }

    /// The first packet that is sent at a time or after it.
    pub fn packet_from(&self, t_s: f64) -> u64 {
        let packet = (t_s.max(0.0) / self.period_s).ceil() as u64;
        // The division may round up past a packet that is sent just then.
        match packet.checked_sub(1) {
            Some(before) if self.packet_at_s(before) >= t_s => before,
            _ => packet,
        }
    }

    /// All of it as timed frames: the channels at rest before the first cue, then every change in the
    /// packet that carries it.
    pub fn timed_frames(self: &Arc<Self>) -> TimedFrames {
        let mut course = Course::new(self.clone());
        let mut changes = Vec::new();
        let mut next = Some(0);
        while let Some(packet) = next.filter(|_| changes.len() <= crate::wire::timed::MOST_CHANGES)
        {
            course.step(packet);
            let at_s = self.packet_at_s(packet);
            changes.extend(course.changes().iter().map(|change| (at_s, *change)));
            next = course.next_packet();
        }
        TimedFrames::new(changes)
    }
}

/// A run from packet to packet: only what is on its way is worked out.
#[derive(Clone, Debug)]
pub struct Course {
    run: Arc<Run>,
    playbacks: Playbacks,
    /// The next start among those of the run.
    next_start: usize,
    /// Tracks whose value may still change.
    active: Vec<usize>,
    is_active: Vec<bool>,
    /// What each track stands at; `None` before the first packet.
    values: Vec<Option<u32>>,
    frames: Frames,
    changes: Vec<Change>,
    packet: Option<u64>,
}

impl Course {
    /// Before the first packet.
    pub fn new(run: Arc<Run>) -> Self {
        let players = run.lists.iter().map(|list| Player::new(list.clone())).collect();
        let count = run.tracks.len();
        Self {
            playbacks: Playbacks::new(run.tracks.clone(), players),
            next_start: 0,
            active: (0..count).collect(),
            is_active: vec![true; count],
            values: vec![None; count],
            frames: Frames::default(),
            changes: Vec::new(),
            packet: None,
            run,
        }
    }

    /// What is held of every universe after the last packet.
    pub fn frames(&self) -> &Frames {
        &self.frames
    }

    /// What a track stands at; `None` before the first packet.
    pub fn value(&self, track: usize) -> Option<u32> {
        self.values.get(track).copied().flatten()
    }

    /// What the last packet changed.
    pub fn changes(&self) -> &[Change] {
        &self.changes
    }

    /// The last packet.
    pub fn packet(&self) -> Option<u64> {
        self.packet
    }

    /// The lists as they stand.
    pub fn playbacks(&self) -> &Playbacks {
        &self.playbacks
    }

    /// The next packet that may change anything; `None` where none ever will.
    pub fn next_packet(&self) -> Option<u64> {
        let next = self.packet.map_or(0, |packet| packet + 1);
        let starts =
            self.run.starts.get(self.next_start).map(|s| self.run.packet_from(s.at_s).max(next));
        match self.active.is_empty() {
            true => starts,
            // A movement without end runs as long as the lists do.
            false if self.run.packet_at_s(next) <= self.run.end_s => Some(next),
            false => starts,
        }
    }

    /// Goes on to a packet after the last; what the packets between would have carried is passed over.
    /// Says whether it changes any slot.
    pub fn step(&mut self, packet: u64) -> bool {
        let t_s = self.run.packet_at_s(packet);
        self.start_until(t_s);
        self.changes.clear();
        let (tracks, playbacks) = (&self.run.tracks, &self.playbacks);
        let (values, frames, changes) = (&mut self.values, &mut self.frames, &mut self.changes);
        let is_active = &mut self.is_active;
        if self.packet.is_none() {
            // Of heads that share slots, one that no list drives does not undo what another is given.
            self.active.sort_by_key(|track| playbacks.drives(*track));
        }
        self.active.retain(|track| {
            let value = playbacks.value(*track, t_s);
            if values[*track] != Some(value) {
                tracks.put_changes(*track, values[*track], value, frames, changes);
                values[*track] = Some(value);
            }
            let stays = playbacks.still_from_s(*track) > t_s;
            is_active[*track] = stays;
            stays
        });
        self.packet = Some(packet);
        !self.changes.is_empty()
    }

    fn start_until(&mut self, t_s: f64) {
        let run = self.run.clone();
        while let Some(start) = run.starts.get(self.next_start).filter(|start| start.at_s <= t_s) {
            self.next_start += 1;
            if let Some(player) = self.playbacks.player_mut(start.list) {
                player.start_at(start.cue, start.at_s);
            }
            let cue = &run.lists[start.list].cues[start.cue];
            let moved = cue.moves.iter().map(|of| of.track);
            for track in moved.chain(cue.ahead.iter().map(|ahead| ahead.track)) {
                if !std::mem::replace(&mut self.is_active[track], true) {
                    self.active.push(track);
                }
            }
        }
    }
}

/// Where a run is kept, so that going to an instant after it need not start from the beginning.
#[derive(Clone, Debug)]
pub struct Kept {
    places: Vec<Course>,
}

impl Kept {
    /// Runs through all starts once and keeps every few of them.
    pub fn new(run: &Arc<Run>) -> Self {
        let mut course = Course::new(run.clone());
        let mut places = vec![course.clone()];
        for starts in run.starts.chunks(KEPT_EVERY) {
            let Some(last) = starts.last() else { continue };
            course.start_until(last.at_s);
            // Starts of the same instant are all taken in.
            places.push(course.clone());
        }
        Self { places }
    }

    /// The run at the last packet at or before a time.
    pub fn course_at(&self, t_s: f64) -> Course {
        let begun = |course: &Course| {
            let last =
                course.next_start.checked_sub(1).and_then(|start| course.run.starts.get(start));
            last.map_or(f64::NEG_INFINITY, |start| start.at_s)
        };
        let run = &self.places[0].run;
        let from = run.packet_from(t_s);
        let packet = if run.packet_at_s(from) > t_s { from.saturating_sub(1) } else { from };
        let at_s = run.packet_at_s(packet);
        let later = self.places.partition_point(|course| begun(course) <= at_s);
        let mut course = self.places[later.saturating_sub(1)].clone();
        course.step(packet);
        course
    }
}
