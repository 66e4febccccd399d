//! Whether the numbers and names of a show file make sense.

use super::own_profiles::Shelf;
use crate::finding::{Finding, Place, Severity, listed, nearest, number as shown};
use crate::profile::Profile;
use crate::profile::place::{Found, PathInFile};
use crate::rig::{Aim, FixtureId, Hang};
use crate::stage::Room;
use crate::wire::{Slot, Universe};

/// Nothing hangs further than this from the middle of the stage, in metres.
const FAR_M: f64 = 1000.0;

/// Collects what is wrong with a show file.
#[derive(Default)]
pub(super) struct Check {
    pub(super) found: Found,
}

impl Check {
    pub(super) fn error(
        &mut self,
        path: &PathInFile,
        item: &str,
        what: impl Into<String>,
        mend: impl Into<String>,
    ) {
        self.tell(Severity::Error, path, item, what, mend);
    }

    pub(super) fn tell(
        &mut self,
        severity: Severity,
        path: &PathInFile,
        item: &str,
        what: impl Into<String>,
        mend: impl Into<String>,
    ) {
        let place = if item.is_empty() { Place::default() } else { Place::item(item) };
        self.found.push(path.clone(), Finding { severity, ..Finding::error(place, what, mend) });
    }

    /// The universe of a number.
    pub(super) fn universe(
        &mut self,
        path: &PathInFile,
        item: &str,
        number: i64,
    ) -> Option<Universe> {
        let universe = u32::try_from(number).ok().and_then(Universe::new);
        if universe.is_none() {
            self.error(
                path,
                item,
                format!("there is no universe `{number}`"),
                "universes are 1..63999",
            );
        }
        universe
    }

    /// The slot of a number.
    pub(super) fn slot(&mut self, path: &PathInFile, item: &str, number: i64) -> Option<Slot> {
        let slot = u16::try_from(number).ok().and_then(Slot::new);
        if slot.is_none() {
            self.error(path, item, format!("there is no slot `{number}`"), "slots are 1..512");
        }
        slot
    }

    /// Checks that a point is a place near the stage.
    fn point(&mut self, path: &PathInFile, item: &str, (x, y, z): (f64, f64, f64)) {
        for (i, value) in [x, y, z].into_iter().enumerate() {
            if !(-FAR_M..=FAR_M).contains(&value) {
                self.error(
                    &path.index(i),
                    item,
                    format!("`{}` is no place on a stage", shown(value)),
                    format!("give metres from -{FAR_M} to {FAR_M}"),
                );
            }
        }
    }

    /// Checks that an angle is a number.
    fn angle(&mut self, path: &PathInFile, item: &str, value: f64) {
        if !(-36_000.0..=36_000.0).contains(&value) {
            self.error(
                path,
                item,
                format!("`{}` is no angle", shown(value)),
                "give degrees from -36000 to 36000",
            );
        }
    }

    /// The number of a fixture; `taken` says that another one has it.
    pub(super) fn fixture_id(
        &mut self,
        path: &PathInFile,
        item: &str,
        number: i64,
        taken: bool,
    ) -> Option<FixtureId> {
        let path = path.field("id");
        let id = FixtureId::try_from(number).ok().filter(|id| (1..=999_999).contains(id));
        if id.is_none() {
            let what = format!("a fixture cannot have the number `{number}`");
            self.error(&path, item, what, "number it 1..999999");
        } else if taken {
            let what = format!("another fixture has the number `{number}` already");
            self.error(&path, item, what, "give each its own number");
        }
        id
    }

    /// Checks where and how a fixture hangs.
    pub(super) fn hanging(
        &mut self,
        path: &PathInFile,
        item: &str,
        at: (f64, f64, f64),
        hang: Hang,
        aim: Aim,
    ) {
        self.point(&path.field("at"), item, at);
        for angle in hang.angles_deg() {
            self.angle(&path.field("hang"), item, angle);
        }
        let path = path.field("aim");
        self.angle(&path.field("pan_offset_deg"), item, aim.pan_offset_deg);
        self.angle(&path.field("tilt_offset_deg"), item, aim.tilt_offset_deg);
    }

    /// Checks that a profile has a mode; that it has none is of this severity.
    pub(super) fn mode(
        &mut self,
        severity: Severity,
        path: &PathInFile,
        item: &str,
        mode: &str,
        profile: &Profile,
    ) {
        if profile.mode(mode).is_some() {
            return;
        }
        let modes = || profile.modes.iter().map(|mode| mode.name.as_str());
        let mend = match nearest(mode, modes()) {
            Some(near) => format!("did you mean `{near}`? its modes: {}", listed(modes())),
            None => format!("its modes: {}", listed(modes())),
        };
        let what = format!("`{}` has no mode `{mode}`", profile.key());
        self.tell(severity, path, item, what, mend);
    }

    /// Says that nobody has a profile, and which there are.
    pub(super) fn no_profile(
        &mut self,
        severity: Severity,
        path: &PathInFile,
        item: &str,
        name: &str,
        shelf: Shelf<'_>,
    ) {
        let known = listed(shelf.names());
        let mend = match nearest(name, shelf.names()) {
            Some(near) => format!("did you mean `{near}`? there are: {known}"),
            None => format!("there are: {known}; name the file of others in `profile_files`"),
        };
        let what = format!("there is no profile `{}`", name.escape_debug());
        self.tell(severity, path, item, what, mend);
    }

    /// Checks that a room is a room and that what is in it is near it.
    pub(super) fn room(&mut self, room: &Room) {
        let path = PathInFile::top().field("room");
        let sizes = [
            ("width_m", room.width_m, 0.5),
            ("depth_m", room.depth_m, 0.5),
            ("front_m", room.front_m, 0.0),
            ("height_m", room.height_m, 0.5),
            ("eye_m", room.eye_m, 0.0),
        ];
        for (field, value, least) in sizes {
            if !(least..=FAR_M).contains(&value) {
                let what = format!("a room cannot have a `{field}` of `{}`", shown(value));
                let mend = format!("give metres from {least} to {FAR_M}");
                self.error(&path.field(field), "room", what, mend);
            }
        }
        for (i, truss) in room.trusses.iter().enumerate() {
            let path = path.field("trusses").index(i);
            let item = format!("truss \"{}\"", truss.name);
            self.point(&path.field("from"), &item, truss.from);
            self.point(&path.field("to"), &item, truss.to);
            if !(0.0..=10.0).contains(&truss.width_m) {
                let what = format!("a truss cannot be `{}` m wide", shown(truss.width_m));
                self.error(&path.field("width_m"), &item, what, "give metres from 0 to 10");
            }
        }
        let blocks = room.blocks.iter().enumerate().map(|(i, block)| ("blocks", i, block));
        let zones = room.keep_out.iter().enumerate().map(|(i, block)| ("keep_out", i, block));
        for (field, i, block) in blocks.chain(zones) {
            let path = path.field(field).index(i);
            let item = format!("block \"{}\"", block.name);
            self.point(&path.field("min"), &item, block.min);
            self.point(&path.field("max"), &item, block.max);
            let (a, b) = (block.min, block.max);
            if a.0 > b.0 || a.1 > b.1 || a.2 > b.2 {
                let mend = "put the smaller number of each pair into `min`";
                self.error(&path.field("max"), &item, "`max` lies before `min`", mend);
            }
        }
    }
}
