//! Which fixtures are selected.

use super::clock::Mode;
use super::command::How;
use super::state::State;
use crate::wire::Slot;

impl State {
    /// Selects fixtures, and shows the universe of the first of them.
    pub(super) fn select(&mut self, fixtures: Vec<usize>, how: How) {
        match how {
            How::Replace => self.selection = fixtures,
            How::Add => self.selection.extend(fixtures),
            How::Toggle => {
                for fixture in fixtures {
                    match self.selection.iter().position(|known| *known == fixture) {
                        Some(at) => drop(self.selection.remove(at)),
                        None => self.selection.push(fixture),
                    }
                }
            }
        }
        let count = self.show().rig.len();
        self.selection.retain(|fixture| *fixture < count);
        self.selection.sort_unstable();
        self.selection.dedup();
        let first = self.selection.first().and_then(|fixture| self.show().rig.get(*fixture));
        if let Some(address) = first.and_then(|fixture| fixture.address) {
            self.universe = address.universe;
        }
        self.setup.forget();
        if self.clock.mode != Mode::Arrived {
            self.follow_selection();
        }
    }

    /// The first slot of the first selected fixture, if it lies in the universe shown.
    pub(super) fn first_slot(&self) -> Option<Slot> {
        let first = self.show().rig.get(*self.selection.first()?)?;
        first.address.filter(|address| address.universe == self.universe).map(|a| a.slot)
    }

    /// Selects the fixture before or after the first selected one.
    pub(super) fn step_selection(&mut self, by: isize) {
        let count = self.show().rig.len() as isize;
        if count > 0 {
            let from = match (self.selection.first(), by) {
                (Some(first), _) => *first as isize,
                (None, 1) => -1,
                (None, _) => 0,
            };
            self.select(vec![(from + by).rem_euclid(count) as usize], How::Replace);
        }
    }
}
