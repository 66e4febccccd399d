//! Lists that lead: what they put on the lines, packet by packet, in the time of the stage.

use std::sync::Arc;

use crate::cue::{Compiled, CueNumber, Next, Playbacks, Player, Scrub, Tracks};
use crate::decode::{Decoded, Plan};
use crate::show::Show;
use crate::wire::{Frames, SLOTS, packet_s};

/// What lists were compiled from: a count of what was done to lists, and the state of the rig.
pub(in crate::app) type Key = (u64, u64);

/// Lists that lead.
pub struct Leading {
    /// The lists of the show, in its order.
    pub playbacks: Playbacks,
    /// What they put on the lines.
    pub frames: Frames,
    /// What that comes to.
    pub decoded: Decoded,
    pub(in crate::app) key: Key,
    /// One list that is gone through in a straight run, and which.
    straight: Option<(usize, Box<Scrub>)>,
    /// The time of the lists, in seconds, and what it is ahead of the time of the stage.
    now_s: f64,
    ahead_s: f64,
    /// The next packet, and the instant of the last one.
    packet: u64,
    sent_s: f64,
    /// Something was done that the next packet carries.
    touched: bool,
}

/// Where a list stands.
struct Place {
    name: String,
    number: CueNumber,
    paused: bool,
    rate: f64,
}

impl Leading {
    /// Lists of which no cue was run yet, from an instant of the stage on.
    pub(super) fn new(show: &Show, plan: &Plan, key: Key, stage_s: f64) -> Self {
        let tracks = Arc::new(Tracks::new(plan));
        let compiled = |list| Compiled::new(&show.cues, list, &show.rig, plan, &tracks);
        let players = (0..show.cues.lists.len()).map(|list| Player::new(Arc::new(compiled(list))));
        let playbacks = Playbacks::new(tracks.clone(), players.collect());
        let frames = playbacks.frames(0.0);
        let mut decoded = plan.start();
        plan.decode(&frames, &mut decoded);
        Self {
            playbacks,
            frames,
            decoded,
            key,
            straight: None,
            now_s: 0.0,
            ahead_s: -stage_s,
            packet: 0,
            sent_s: 0.0,
            touched: true,
        }
    }

    /// The same lists as the show has them now, each in the middle of the cue that is on. Where the rig is
    /// another, nothing can go on: each stands at its cue with all of it faded. A straight run ends: from now
    /// on people say when cues start. The stage counts its time from `stage_s` on.
    pub(super) fn renewed(&self, show: &Show, plan: &Plan, key: Key, stage_s: f64) -> Self {
        match self.key.1 == key.1 {
            true => self.carried(show, plan, key, stage_s),
            false => self.begun_anew(show, plan, key, stage_s),
        }
    }

    fn carried(&self, show: &Show, plan: &Plan, key: Key, stage_s: f64) -> Self {
        let (tracks, now_s) = (self.playbacks.tracks().clone(), self.now_s());
        // What the last packet carried stands until the next one.
        let (packet, sent_s) = match self.straight {
            Some(_) => {
                let last = (now_s / packet_s(SLOTS)).floor();
                (last as u64 + 1, last * packet_s(SLOTS))
            }
            None => (self.packet, self.sent_s),
        };
        let count = self.playbacks.players().len();
        let lists = &show.cues.lists;
        let players = lists.iter().enumerate().map(|(place, of)| {
            let list = Compiled::new(&show.cues, place, &show.rig, plan, &tracks);
            let list = Arc::new(list);
            // What goes by another name in the same place was renamed.
            let named = (0..count).find(|at| self.name(*at) == Some(of.name.as_str()));
            let renamed = || (lists.len() == count).then_some(place);
            let old = named.or_else(renamed).and_then(|at| match self.straight() {
                Some(straight) if straight != at => None,
                _ => self.player(at),
            });
            match old {
                Some(old) => old.carried(&list, sent_s),
                None => Player::new(list),
            }
        });
        let straight = self.straight.as_ref();
        // A straight run knows nothing of what other lists left behind.
        let over = straight.map_or(&self.playbacks, |(_, scrub)| scrub.course().playbacks());
        let mut playbacks = over.with_players(players.collect());
        playbacks.set_grand(self.playbacks.grand());
        let mut new = Self {
            playbacks,
            frames: self.frames.clone(),
            decoded: self.decoded.clone(),
            key,
            straight: None,
            now_s,
            ahead_s: now_s - stage_s,
            packet,
            sent_s,
            touched: true,
        };
        new.playbacks.fill(sent_s, &mut new.frames);
        plan.decode(&new.frames, &mut new.decoded);
        new
    }

    fn name(&self, list: usize) -> Option<&str> {
        Some(self.playbacks.players().get(list)?.list().name.as_str())
    }

    /// The same lists compiled anew, each at the cue that it stood at, with all of that cue faded.
    fn begun_anew(&self, show: &Show, plan: &Plan, key: Key, stage_s: f64) -> Self {
        let mut new = Self::new(show, plan, key, stage_s);
        let places = self.places();
        let found: Vec<(usize, usize, f64, &Place)> = places
            .iter()
            .filter_map(|place| {
                let list = show.cues.lists.iter().position(|list| list.name == place.name)?;
                let later = |cue: &crate::cue::Cue| cue.number > place.number;
                let cues = &show.cues.lists[list].cues;
                let cue = cues.iter().take_while(|cue| !later(cue)).count().checked_sub(1)?;
                let of = new.playbacks.players().get(list)?.list().cues.get(cue)?;
                let settles_s = match of.next {
                    Next::Wait(s) => s.min(of.takes_s),
                    _ => of.takes_s,
                };
                // A cue that starts by itself at that very moment is left to the next packet.
                Some((list, cue, (settles_s - 1e-6).max(0.0), place))
            })
            .collect();
        let now_s = found.iter().map(|(_, _, settles_s, _)| *settles_s).fold(0.0, f64::max);
        for (list, cue, settles_s, place) in found {
            if let Some(player) = new.playbacks.player_mut(list) {
                player.jump(cue, now_s - settles_s);
                player.set_rate(place.rate, now_s);
                player.set_paused(place.paused, now_s);
            }
        }
        new.playbacks.set_grand(self.playbacks.grand());
        (new.now_s, new.sent_s, new.ahead_s) = (now_s, now_s, now_s - stage_s);
        new.packet = (now_s / packet_s(SLOTS)) as u64 + 1;
        new.playbacks.fill(now_s, &mut new.frames);
        plan.decode(&new.frames, &mut new.decoded);
        new
    }

    fn places(&self) -> Vec<Place> {
        let lists = (0..self.playbacks.players().len()).filter_map(|list| self.player(list));
        let place = |player: &Player| {
            let list = player.list();
            Some(Place {
                name: list.name.clone(),
                number: list.cues.get(player.at()?)?.number,
                paused: player.is_paused(),
                rate: player.rate(),
            })
        };
        lists.filter_map(place).collect()
    }

    /// One list as it stands.
    pub fn player(&self, list: usize) -> Option<&Player> {
        match &self.straight {
            Some((of, scrub)) if *of == list => scrub.course().playbacks().players().first(),
            _ => self.playbacks.players().get(list),
        }
    }

    /// The time of the lists, in seconds.
    pub fn now_s(&self) -> f64 {
        self.straight.as_ref().map_or(self.now_s, |(_, scrub)| scrub.now_s())
    }

    /// The list that is gone through in a straight run.
    pub fn straight(&self) -> Option<usize> {
        self.straight.as_ref().map(|(list, _)| *list)
    }

    /// Something was done to the lists.
    pub(super) fn touch(&mut self) {
        self.touched = true;
    }

    /// The stage counts its time from another instant from now on.
    pub(in crate::app) fn time_begins_at(&mut self, stage_s: f64) {
        self.ahead_s = self.now_s - stage_s;
    }

    /// Whether time changes anything.
    pub fn goes_on(&self) -> bool {
        match &self.straight {
            Some((_, scrub)) => scrub.now_s() < scrub.run().end_s(),
            // The packet after the end of a fade is the one that carries it.
            None => self.touched || self.playbacks.moves(self.sent_s),
        }
    }

    /// Sends what is due up to an instant of the stage. `sent` is told each packet's instant, what it
    /// leaves the lines at and what that comes to.
    pub(super) fn advance(
        &mut self,
        stage_s: f64,
        plan: &Plan,
        mut sent: impl FnMut(f64, &Frames, &Decoded),
    ) {
        let to_s = (stage_s + self.ahead_s).max(self.now_s);
        let period_s = packet_s(SLOTS);
        if !self.goes_on() {
            self.packet = self.packet.max((to_s / period_s) as u64 + 1);
        }
        while self.packet as f64 * period_s <= to_s {
            let at_s = self.packet as f64 * period_s;
            self.packet += 1;
            if !self.goes_on() {
                continue;
            }
            self.playbacks.advance(at_s);
            self.playbacks.fill(at_s, &mut self.frames);
            plan.decode(&self.frames, &mut self.decoded);
            self.touched = false;
            self.sent_s = at_s;
            sent(at_s - self.ahead_s, &self.frames, &self.decoded);
        }
        self.now_s = to_s;
        self.playbacks.advance(to_s);
    }

    /// Goes to an instant of the straight run. Gives every head there, or nothing where no straight run
    /// is on.
    pub(super) fn seek(&mut self, plan: &Plan, t_s: f64) -> Option<crate::motion::RigMotion> {
        let (_, scrub) = self.straight.as_mut()?;
        scrub.seek(plan, t_s);
        self.frames.clone_from(scrub.frames());
        self.decoded.clone_from(scrub.decoded());
        Some(scrub.motion().clone())
    }

    /// Goes through one list in a straight run from now on.
    pub(super) fn go_straight(&mut self, list: usize, scrub: Scrub) {
        self.straight = Some((list, Box::new(scrub)));
    }
}
