//! What concerns the whole picture: flashes of all heads together, lamps, lists that fight, cues that nobody
//! sees.

use std::collections::{BTreeMap, BTreeSet, VecDeque};
use std::sync::Arc;

use super::head::HeadRun;
use super::{MOST_S, Told, kinds};
use crate::check::flashes::{
    CAUTION, MOST_IN_CLUBS, MOST_ON_SCREEN, Together, WINDOW_S, Window, Worst,
};
use crate::cue::Run;
use crate::finding::{Place, Severity, rounded};
use crate::profile::lint::kinds::Kind;
use crate::rig::FixtureId;
use crate::show::Show;

/// So many lamps that strike within [`STRIKE_S`] are told: common practice, no source.
const LAMPS: usize = 4;

/// How far apart strikes are that do not add up, in seconds.
const STRIKE_S: f64 = 5.0;

/// What is put together of all heads.
pub(super) struct Picture<'a> {
    pub(super) show: &'a Show,
    pub(super) run: Arc<Run>,
    together: Together,
    window: Window,
    /// When each head last changed.
    turned_s: BTreeMap<FixtureId, f64>,
    /// The changes of the last second: when, of whom, and the area lit.
    recent: VecDeque<(f64, FixtureId, f64)>,
    worst: Worst,
    /// Who flashed in the worst second, and the area lit.
    flashing: (Vec<FixtureId>, f64),
    strikes: Vec<(f64, FixtureId)>,
}

impl<'a> Picture<'a> {
    pub(super) fn new(show: &'a Show, run: &Arc<Run>) -> Self {
        Self {
            show,
            run: run.clone(),
            together: Together::default(),
            window: Window::default(),
            turned_s: BTreeMap::new(),
            recent: VecDeque::new(),
            worst: Worst::default(),
            flashing: (Vec::new(), 0.0),
            strikes: Vec::new(),
        }
    }

    /// Takes what the heads report of a window.
    pub(super) fn take(&mut self, heads: &mut [HeadRun<'_>]) {
        let mut turns = Vec::new();
        for head in heads {
            let id = head.fixture.id;
            turns.extend(head.turns.drain(..).map(|(turn, area_m2)| (turn, id, area_m2)));
            self.strikes.extend(head.strikes.drain(..).map(|at_s| (at_s, id)));
        }
        turns.sort_by(|(a, x, _), (b, y, _)| a.at_s.total_cmp(&b.at_s).then(x.cmp(y)));
        for (turn, id, area_m2) in turns {
            // A head that goes dark, or comes up, once is no flash however many do so: only a change that
            // soon follows the opposite one of the same head counts.
            let before_s = self.turned_s.insert(id, turn.at_s);
            if before_s.is_none_or(|before_s| turn.at_s - before_s >= WINDOW_S) {
                continue;
            }
            self.recent.push_back((turn.at_s, id, area_m2));
            while self.recent.front().is_some_and(|(at_s, ..)| turn.at_s - at_s >= WINDOW_S) {
                self.recent.pop_front();
            }
            if self.together.take(turn) {
                self.window.push(turn.at_s);
            }
            if self.window.worst() != self.worst {
                self.worst = self.window.worst();
                let mut areas = BTreeMap::new();
                for (_, id, area_m2) in &self.recent {
                    let area = areas.entry(*id).or_insert(0.0f64);
                    *area = area.max(*area_m2);
                }
                self.flashing = (areas.keys().copied().collect(), areas.values().sum());
            }
        }
    }

    /// What there is to say of the whole.
    pub(super) fn finish(&mut self, heads: &mut [HeadRun<'_>]) -> Vec<Told> {
        for head in heads.iter_mut() {
            head.place_ends();
        }
        let mut told = Vec::new();
        self.flashes(&mut told);
        self.lamps(&mut told);
        self.nothing_seen(heads, &mut told);
        self.lists_fight(&mut told);
        self.uneven(&mut told);
        self.unsent(&mut told);
        self.cut_off(&mut told);
        told
    }

    pub(super) fn tell(
        &self,
        kind: Kind,
        severity: Severity,
        start: usize,
        (at_s, until_s): (f64, f64),
        fixtures: Vec<FixtureId>,
        (what, mend): (String, &str),
    ) -> Option<Told> {
        let start = self.run.starts().get(start)?;
        let list = &self.run.lists()[start.list];
        let cue = &list.cues[start.cue];
        let place = Place::item(format!("list \"{}\", {}", list.name, cue.words));
        Some(Told {
            finding: kind.finding(severity, place, what, mend),
            list: start.list,
            cue: start.cue,
            number: cue.number,
            at_s,
            until_s,
            fixtures,
        })
    }

    /// The start that is on at a time.
    fn on(&self, t_s: f64) -> usize {
        self.run.starts().partition_point(|start| start.at_s <= t_s).saturating_sub(1)
    }

    fn flashes(&self, told: &mut Vec<Told>) {
        let worst = self.worst;
        // One head by itself is told as such.
        if worst.flashes <= MOST_ON_SCREEN || self.flashing.0.len() < 2 {
            return;
        }
        let severity =
            if worst.flashes > MOST_IN_CLUBS { Severity::Error } else { Severity::Warning };
        let what = format!(
            "{} heads flash {} times within a second between them, and light {} m2 in all",
            self.flashing.0.len(),
            rounded(worst.flashes, 1),
            rounded(self.flashing.1, 1)
        );
        let span = (worst.from_s, worst.to_s);
        let fixtures = self.flashing.0.clone();
        told.extend(self.tell(
            kinds::FLASHES_TOGETHER,
            severity,
            self.on(worst.from_s),
            span,
            fixtures,
            (what, CAUTION),
        ));
    }

    fn lamps(&self, told: &mut Vec<Told>) {
        let mut strikes = self.strikes.clone();
        strikes.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let mut rest = strikes.as_slice();
        while let Some((first_s, _)) = rest.first() {
            let count = rest.partition_point(|(at_s, _)| *at_s < first_s + STRIKE_S);
            let (together, later) = rest.split_at(count);
            if count >= LAMPS {
                let last_s = together.last().map_or(*first_s, |(at_s, _)| *at_s);
                let what =
                    format!("{count} lamps strike within {} s", rounded(last_s - first_s, 2));
                let mend = "strike them one after the other, 5 s apart or as their manual says";
                let fixtures = together.iter().map(|(_, id)| *id).collect();
                let on = self.on(*first_s);
                told.extend(self.tell(
                    kinds::LAMPS_TOGETHER,
                    Severity::Warning,
                    on,
                    (*first_s, last_s),
                    fixtures,
                    (what, mend),
                ));
            }
            rest = later;
        }
    }

    fn nothing_seen(&self, heads: &[HeadRun<'_>], told: &mut Vec<Told>) {
        let seen = |start: usize| heads.iter().any(|head| head.seen.get(start) == Some(&true));
        let mut by_cue: BTreeMap<(usize, usize), (usize, bool)> = BTreeMap::new();
        for (nth, start) in self.run.starts().iter().enumerate() {
            let cue = by_cue.entry((start.list, start.cue)).or_insert((nth, false));
            cue.1 |= seen(nth);
        }
        for ((list, cue), (start, seen)) in by_cue {
            let readies = !self.run.lists()[list].cues[cue].ahead.is_empty();
            let at_s = self.run.starts()[start].at_s;
            if seen || readies || at_s > MOST_S {
                continue;
            }
            let what = "nothing that it does can be seen".to_owned();
            let mend = "take it out, or say in its notes what it readies";
            told.extend(self.tell(
                kinds::NOTHING_SEEN,
                Severity::Note,
                start,
                (at_s, at_s),
                Vec::new(),
                (what, mend),
            ));
        }
    }

    /// Channels beside levels that two lists set.
    fn lists_fight(&self, told: &mut Vec<Told>) {
        let sets = |list: usize| -> BTreeSet<usize> {
            self.run.lists()[list]
                .cues
                .iter()
                .flat_map(|cue| cue.moves.iter().map(|of| of.track))
                .collect()
        };
        let all: Vec<BTreeSet<usize>> = (0..self.run.lists().len()).map(sets).collect();
        for (a, b) in (0..all.len()).flat_map(|a| (a + 1..all.len()).map(move |b| (a, b))) {
            let mut by_fixture: BTreeMap<usize, usize> = BTreeMap::new();
            for track in all[a].intersection(&all[b]) {
                if let Some(track) =
                    self.run.tracks().get(*track).filter(|track| track.level.is_none())
                {
                    *by_fixture.entry(track.fixture).or_default() += 1;
                }
            }
            if by_fixture.is_empty() {
                continue;
            }
            let fixtures: Vec<FixtureId> = by_fixture
                .keys()
                .filter_map(|place| self.show.rig.get(*place).map(|f| f.id))
                .collect();
            let channels: usize = by_fixture.values().sum();
            let (first, second) = (&self.run.lists()[a].name, &self.run.lists()[b].name);
            let what = format!(
                "\"{first}\" and \"{second}\" both set {channels} channels of {} fixtures: what was changed last stands",
                fixtures.len()
            );
            let start = self.run.starts().iter().position(|start| start.list == b).unwrap_or(0);
            let at_s = self.run.starts().get(start).map_or(0.0, |start| start.at_s);
            let mend = "leave each channel to one list, or mean it so";
            told.extend(self.tell(
                kinds::LISTS_FIGHT,
                Severity::Warning,
                start,
                (at_s, at_s),
                fixtures,
                (what, mend),
            ));
        }
    }
}
