//! Fixtures that come into the rig and go out of it: which, at what addresses, hung where.

use std::collections::BTreeSet;
use std::sync::Arc;

use egui::Context;
use glam::DVec3;

use super::command::How;
use super::dialogs::Dialog;
use super::keys::Action;
use super::profiles::choices;
use super::state::{Exposure, State};
use crate::finding::{Finding, Severity};
use crate::profile::{Library, Mode, Profile};
use crate::rig::{Address, Aim, Fixture, FixtureId, Hang, InHead, check_patch};
use crate::show::{Edit, Show};
use crate::stage::Room;
use crate::wire::{SLOTS, Slot, Universe};

/// The most fixtures that are added at once.
pub const MOST_ADDED: u32 = 200;

/// How far below a truss the light of a hung fixture leaves, in metres (common practice, no source).
const BELOW_TRUSS_M: f64 = 0.45;

/// How far beside the one it copies a duplicate hangs, in metres.
const BESIDE_M: f64 = 1.0;

/// What is filled in to add fixtures.
#[derive(Clone, Debug)]
pub struct AddForm {
    /// The profiles to choose from, by name: those of the show, and of the program.
    pub profiles: Vec<Arc<Profile>>,
    /// The chosen profile, as a place among them.
    pub profile: usize,
    /// The chosen mode, as a place in the profile.
    pub mode: usize,
    /// How many fixtures.
    pub count: u32,
    /// What all are called, with a number behind it where there are several; may be empty.
    pub label: String,
    /// The number of the first.
    pub first_id: FixtureId,
    /// The universe of the first.
    pub universe: u32,
    /// The first slot of the first.
    pub slot: u16,
    /// Slots that are left free between one and the next.
    pub gap: u16,
    /// The truss that they hang from, as a place in the room; `None`: they stand or hang freely.
    pub truss: Option<usize>,
    /// Where the middle one is: on a truss the metres from its middle as x, else the point.
    pub middle: DVec3,
    /// How far apart they are, in metres.
    pub spacing_m: f64,
    /// They stand; else they hang.
    pub stands: bool,
}

impl AddForm {
    /// Filled in as far as the show tells: the next number, the first free address.
    pub fn new(show: &Show, library: &Library) -> Self {
        let mut form = Self {
            profiles: choices(show, library).into_values().collect(),
            profile: 0,
            mode: 0,
            count: 1,
            label: String::new(),
            first_id: free_id(show, next_id(show)),
            universe: 1,
            slot: 1,
            gap: 0,
            truss: (!show.room.trusses.is_empty()).then_some(0),
            middle: DVec3::ZERO,
            spacing_m: 1.0,
            stands: false,
        };
        form.find_address(show);
        form
    }

    /// Chooses a profile and its mode by name, if there are such.
    fn choose(&mut self, show: &Show, profile: &str, mode: &str) {
        let Some(at) = self.profiles.iter().position(|known| known.key().0 == profile) else {
            return;
        };
        self.profile = at;
        let modes = &self.profiles[at].modes;
        self.mode = modes.iter().position(|known| known.name == mode).unwrap_or(0);
        self.find_address(show);
    }

    /// The chosen mode; `None` where there is nothing to choose from.
    pub fn chosen(&self) -> Option<(&Profile, &Mode)> {
        let profile = self.profiles.get(self.profile)?;
        Some((profile, profile.modes.get(self.mode)?))
    }

    /// Puts the first address at the first run of free slots that takes them all, or else one of them.
    pub fn find_address(&mut self, show: &Show) {
        let Some(slots) = self.chosen().map(|(_, mode)| mode.slots) else { return };
        let all = u32::from(slots + self.gap) * self.count - u32::from(self.gap);
        let all = u16::try_from(all).unwrap_or(u16::MAX);
        let found = free_run(show, Universe::ONE, all).or(free_run(show, Universe::ONE, slots));
        if let Some(address) = found {
            (self.universe, self.slot) = (address.universe.number().into(), address.slot.number());
        }
    }

    /// The fixtures that come of it. One that would run past the end of its universe begins the next.
    pub fn fixtures(&self, room: &Room) -> Vec<Fixture> {
        let Some((profile, mode)) = self.chosen() else { return Vec::new() };
        let mut next = Universe::new(self.universe).zip(Slot::new(self.slot));
        let count = self.count.clamp(1, MOST_ADDED);
        let fixtures = (0..count).map(|nth| {
            let address = next.map(|(universe, slot)| Address { universe, slot });
            let address = match address.filter(|address| address.slots_lost(mode.slots) > 0) {
                Some(Address { universe, .. }) if mode.slots <= SLOTS as u16 => {
                    let universe = Universe::new(u32::from(universe.number()) + 1);
                    universe.zip(Slot::new(1)).map(|(universe, slot)| Address { universe, slot })
                }
                _ => address,
            };
            next = address.and_then(|Address { universe, slot }| {
                let after = slot.number() + mode.slots + self.gap;
                match Slot::new(after) {
                    Some(slot) => Some((universe, slot)),
                    None => Universe::new(u32::from(universe.number()) + 1).zip(Slot::new(1)),
                }
            });
            let label = match (self.label.trim(), count) {
                ("", _) => String::new(),
                (label, 1) => label.to_owned(),
                (label, _) => format!("{label} {}", nth + 1),
            };
            Fixture {
                id: self.first_id.saturating_add(nth),
                label,
                profile: profile.key().0,
                mode: mode.name.clone(),
                address,
                at: self.place(room, nth, count),
                hang: if self.stands { Hang::Standing } else { Hang::Hung },
                aim: Aim::default(),
                in_head: InHead::default(),
            }
        });
        fixtures.collect()
    }

    /// Where one of them is: along its truss, else along x.
    fn place(&self, room: &Room, nth: u32, count: u32) -> DVec3 {
        let beside_m = (f64::from(nth) - f64::from(count - 1) / 2.0) * self.spacing_m;
        match self.truss.and_then(|truss| room.trusses.get(truss)) {
            Some(truss) => {
                let (from, to) = (DVec3::from(truss.from), DVec3::from(truss.to));
                let along = (to - from).normalize_or(DVec3::X);
                let middle = (from + to) / 2.0 + along * (self.middle.x + beside_m);
                let down = if self.stands { BELOW_TRUSS_M } else { -BELOW_TRUSS_M };
                middle + DVec3::Z * down
            }
            None => self.middle + DVec3::X * beside_m,
        }
    }

    /// What there is to say of the rig with them in it, about them.
    pub fn findings(&self, show: &Show, fixtures: &[Fixture]) -> Vec<Finding> {
        let mut rig = show.rig.clone();
        let known = rig.len();
        rig.extend_from_slice(fixtures);
        let profile = |fixture: &Fixture| {
            self.profiles.iter().find(|profile| profile.key().0 == fixture.profile)
        };
        let mode_of = |fixture: &Fixture| profile(fixture)?.mode(&fixture.mode);
        let found = check_patch(&rig, &mode_of, Severity::Warning).into_iter();
        found.filter(|found| found.fixture >= known).map(|found| found.finding).collect()
    }
}

/// The number behind the highest one.
fn next_id(show: &Show) -> FixtureId {
    show.rig.iter().map(|fixture| fixture.id).max().map_or(1, |id| id.saturating_add(1))
}

/// The first number from `from` on that no fixture has.
fn free_id(show: &Show, from: FixtureId) -> FixtureId {
    let taken: BTreeSet<FixtureId> = show.rig.iter().map(|fixture| fixture.id).collect();
    (from..).find(|id| !taken.contains(id)).unwrap_or(from)
}

/// The first run of free slots of this length, in `from` or a later universe that fixtures are in, or
/// in the one behind these. `None` where no universe is as long.
fn free_run(show: &Show, from: Universe, length: u16) -> Option<Address> {
    let length = usize::from(length.max(1));
    let last = show.rig.iter().filter_map(|fixture| Some(fixture.address?.universe)).max();
    let last = last.map_or(0, |universe| u32::from(universe.number()));
    (u32::from(from.number())..=last + 1).filter_map(Universe::new).find_map(|universe| {
        let mut taken = [false; SLOTS];
        for fixture in &show.rig {
            let Some(address) = fixture.address.filter(|a| a.universe == universe) else {
                continue;
            };
            let profile = show.profiles.get(&fixture.profile);
            let slots = profile.and_then(|p| p.mode(&fixture.mode)).map_or(1, |mode| mode.slots);
            for slot in (1..=slots).map_while(|offset| address.slot_at(offset)) {
                taken[slot.index()] = true;
            }
        }
        let start = taken.windows(length).position(|run| !run.contains(&true))?;
        let slot = Slot::new(u16::try_from(start + 1).ok()?)?;
        Some(Address { universe, slot })
    })
}

impl State {
    /// Does what a key or a menu asked of the rig.
    pub(super) fn act_on_rig(&mut self, ctx: &Context, action: Action) {
        match action {
            Action::AddFixtures => {
                let mut form = AddForm::new(self.show(), self.document.library());
                let chosen = self.selection.first().and_then(|one| self.show().rig.get(*one));
                if let Some(fixture) = chosen {
                    form.choose(self.show(), &fixture.profile, &fixture.mode);
                }
                self.dialog = Some(Dialog::Add(Box::new(form)));
            }
            _ if self.selection.is_empty() => {
                self.say(Severity::Note, "select the fixtures first");
            }
            Action::DuplicateFixtures => self.duplicate(),
            _ => self.remove_selected(),
        }
        ctx.request_repaint();
    }

    /// Adds fixtures as one step of undo, and selects them. Says how it went.
    pub(super) fn add_fixtures(&mut self, fixtures: Vec<Fixture>, how: &str) {
        let known = self.show().rig.len();
        let edits = fixtures.into_iter().map(|fixture| Edit::AddFixture(Box::new(fixture)));
        let refused = self.edit_rig("add", edits.collect());
        let rig = &self.show().rig;
        let added: Vec<usize> = (known..rig.len()).collect();
        if let (Some(first), Some(last)) = (added.first(), added.last()) {
            let (first, last, count) = (rig[*first].id, rig[*last].id, added.len());
            let words = match count {
                1 => format!("{how} fixture {first}"),
                _ => format!("{how} {count} fixtures, {first} to {last}"),
            };
            self.select(added, How::Replace);
            self.say(Severity::Note, words);
        }
        if let Some(finding) = refused {
            self.dialog = Some(Dialog::findings("Not every fixture was added", vec![finding]));
        }
    }

    fn remove_selected(&mut self) {
        let count = self.selection.len();
        // From the last on, so that the places of the others still hold.
        let edits = self.selection.iter().rev().map(|fixture| Edit::RemoveFixture(*fixture));
        let refused = self.edit_rig("remove", edits.collect());
        self.select(Vec::new(), How::Replace);
        match refused {
            Some(finding) => self.say(Severity::Error, finding.to_string()),
            None if count == 1 => self.say(Severity::Note, "removed a fixture"),
            None => self.say(Severity::Note, format!("removed {count} fixtures")),
        }
    }

    /// Copies the selected fixtures: each hangs beside the one that it copies, and has the next free
    /// number and address.
    fn duplicate(&mut self) {
        let mut after = self.show().clone();
        let mut copies = Vec::new();
        for fixture in self.selection.iter().filter_map(|fixture| self.show().rig.get(*fixture)) {
            let profile = after.profiles.get(&fixture.profile);
            let mode = profile.and_then(|profile| profile.mode(&fixture.mode));
            let address = fixture.address.and_then(|address| {
                free_run(&after, address.universe, mode.map_or(1, |mode| mode.slots))
            });
            let copy = Fixture {
                id: free_id(&after, fixture.id.saturating_add(1)),
                address,
                at: fixture.at + DVec3::X * BESIDE_M,
                ..fixture.clone()
            };
            after.rig.push(copy.clone());
            copies.push(copy);
        }
        self.add_fixtures(copies, "copied:");
    }

    /// Makes edits of the rig, one for each fixture, as one step of undo, up to the first that is
    /// refused. What is done to them is said with how many there are.
    fn edit_rig(&mut self, what: &str, edits: Vec<Edit>) -> Option<Finding> {
        let gesture = self.document.new_gesture();
        let (mut made, mut refused) = (0, None);
        for edit in edits {
            match self.document.apply(edit, Some(gesture)) {
                Ok(changed) => made += usize::from(changed),
                Err(finding) => {
                    refused = Some(finding);
                    break;
                }
            }
        }
        if made > 1 {
            self.document.name_step(gesture, format!("{what} {made} fixtures"));
        }
        self.edits += 1;
        self.status = None;
        self.forecast = None;
        self.work_out(Exposure::Held);
        refused
    }
}
