//! What the lists ask of the line: movements too fast for its packets, values that no packet carries.

use std::collections::BTreeSet;

use super::picture::Picture;
use super::{MOST_S, Told, kinds};
use crate::cue::{CompiledCue, Move, RunStart};
use crate::finding::{Severity, rounded};
use crate::rig::FixtureId;

/// Packets that a movement needs, at least, to go up or down evenly.
const PACKETS: f64 = 4.0;

impl Picture<'_> {
    /// Movements that the line carries too few packets for.
    pub(super) fn uneven(&self, told: &mut Vec<Told>) {
        let mut done = BTreeSet::new();
        for (nth, start) in self.run.starts().iter().enumerate() {
            if !done.insert((start.list, start.cue)) {
                continue;
            }
            let cue = &self.run.lists()[start.list].cues[start.cue];
            let tracks = self.run.tracks();
            let fast = cue.moves.iter().filter_map(|of| {
                let (swing, track) = (of.swing?, tracks.get(of.track)?);
                let packets = 0.5 / (swing.hz().abs() * self.run.period_s());
                (packets < PACKETS).then_some((packets, swing.hz(), track))
            });
            let fast: Vec<_> = fast.collect();
            let Some((packets, hz, track)) = fast.iter().min_by(|a, b| a.0.total_cmp(&b.0)) else {
                continue;
            };
            let places = fast.iter().map(|(.., track)| track.fixture).collect();
            let (who, mend) = match track.level {
                Some(_) => ("a level", "use the shutter of the fixture for flashes so fast"),
                None => ("a channel", "move it slower"),
            };
            let what = format!(
                "{who} goes up and down {} times a second, and the line carries {} packets each way",
                rounded(hz.abs(), 2),
                rounded(*packets, 1)
            );
            let span = (start.at_s, start.at_s);
            let fixtures = self.ids(&places);
            let (kind, severity) = (kinds::UNEVEN, Severity::Warning);
            told.extend(self.tell(kind, severity, nth, span, fixtures, (what, mend)));
        }
    }

    /// Cues that are followed within one packet by others that set the same channels otherwise: the line
    /// carries the last of them.
    pub(super) fn unsent(&self, told: &mut Vec<Told>) {
        let mut done = BTreeSet::new();
        let mut before: Vec<Option<usize>> = vec![None; self.run.lists().len()];
        for (nth, second) in self.run.starts().iter().enumerate() {
            let Some(nth) = before[second.list].replace(nth) else { continue };
            let first = &self.run.starts()[nth];
            let packet = |start: &RunStart| self.run.packet_from(start.at_s);
            let pair = (first.list, first.cue, second.cue);
            if packet(first) != packet(second) || !done.insert(pair) {
                continue;
            }
            let cue = |start: &RunStart| &self.run.lists()[start.list].cues[start.cue];
            let places = self.lost(&cue(first).moves, cue(second));
            if places.is_empty() {
                continue;
            }
            let list = &self.run.lists()[second.list];
            let what = format!(
                "{} of list \"{}\" starts in the same packet and sets channels of {} fixtures that it sets too: they never get there",
                list.cues[second.cue].words,
                list.name,
                places.len()
            );
            let mend = "leave at least a packet, 0.023 s, between them, or make them one cue";
            let span = (first.at_s, second.at_s);
            let fixtures = self.ids(&places);
            let (kind, severity) = (kinds::UNSENT, Severity::Warning);
            told.extend(self.tell(kind, severity, nth, span, fixtures, (what, mend)));
        }
    }

    /// The fixtures, as places, with channels that a cue sends elsewhere at once than `first` would have.
    fn lost(&self, first: &[Move], cue: &CompiledCue) -> BTreeSet<usize> {
        let tracks = self.run.tracks();
        let mut places = BTreeSet::new();
        let mut second = cue.moves.iter().peekable();
        for of in first {
            while second.next_if(|other| other.track < of.track).is_some() {}
            let Some(other) = second.peek().filter(|other| other.track == of.track) else {
                continue;
            };
            // A cue that waits leaves the channel to the one before it meanwhile.
            let waits = cue.target(other, f64::from(of.to), tracks).delay_s > 0.0;
            if let Some(track) = tracks.get(of.track).filter(|_| other.to != of.to && !waits) {
                places.insert(track.fixture);
            }
        }
        places
    }

    /// A run that is longer than anybody waits for.
    pub(super) fn cut_off(&self, told: &mut Vec<Told>) {
        let long = self.run.end_s() > MOST_S;
        if !long && self.run.is_whole() {
            return;
        }
        let starts = self.run.starts();
        let played = starts.partition_point(|start| start.at_s <= MOST_S);
        let what = match long {
            true => format!(
                "the run goes on after {} hours, and what comes then was not played: {} of {} starts of cues were",
                rounded(MOST_S / 3600.0, 0),
                played,
                starts.len()
            ),
            false => {
                format!("the run was played for its first {} starts of cues only", starts.len())
            }
        };
        let mend = "run long loops and long waits fewer times, or in lists of their own";
        let last = played.saturating_sub(1);
        let at_s = starts.get(last).map_or(0.0, |start| start.at_s);
        let span = (at_s, self.run.end_s());
        let (kind, severity) = (kinds::CUT_OFF, Severity::Warning);
        told.extend(self.tell(kind, severity, last, span, Vec::new(), (what, mend)));
    }

    /// Fixtures by their numbers, in the order of the rig.
    fn ids(&self, places: &BTreeSet<usize>) -> Vec<FixtureId> {
        places.iter().filter_map(|place| self.show.rig.get(*place).map(|of| of.id)).collect()
    }
}
