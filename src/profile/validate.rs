//! Whether a profile that could be read makes sense.

use std::collections::HashSet;

use super::effect::{Curve, Effect};
use super::lint::kinds::{self, Kind};
use super::model::{Axis, Profile, Source, WheelSlot};
use super::place::{Found, PathInFile};
use super::srgb;
use super::times::Loss;
use crate::finding::{Place, Severity, listed, nearest, number};
use crate::wire::SLOTS;

/// Cells one fixture may have: each needs a slot of its own to be told apart.
const MOST_CELLS: usize = SLOTS;

/// Corners one drawing may have: more than anybody sees, and few enough to draw at once.
const MOST_CORNERS: usize = 1024;

/// Says whether there is a pattern drawing of a name besides the profile's own.
pub type KnownDrawing<'a> = &'a dyn Fn(&str) -> bool;

/// Everything there is to say about a profile, by the path of what it is about.
pub fn validate(profile: &Profile, known_drawing: KnownDrawing<'_>) -> Found {
    let mut check = Check { profile, found: Found::default() };
    check.names();
    check.body();
    check.source();
    check.wheels(known_drawing);
    check.times();
    check.drawings();
    check.modes();
    check.unknowns();
    check.accepted();
    check.found
}

/// A profile that is being looked at, and what was found so far.
pub(super) struct Check<'a> {
    pub(super) profile: &'a Profile,
    pub(super) found: Found,
}

/// A mode or channel that is being looked at: its path and its words.
#[derive(Clone)]
pub(super) struct Spot {
    pub(super) path: PathInFile,
    pub(super) item: String,
}

impl Spot {
    pub(super) fn field(&self, name: &str) -> Self {
        Self { path: self.path.field(name), item: self.item.clone() }
    }

    pub(super) fn index(&self, index: usize) -> Self {
        Self { path: self.path.index(index), item: self.item.clone() }
    }
}

impl Check<'_> {
    pub(super) fn error(
        &mut self,
        kind: Kind,
        at: &Spot,
        what: impl Into<String>,
        mend: impl Into<String>,
    ) {
        let finding = kind.finding(Severity::Error, place(at), what, mend);
        self.found.push(at.path.clone(), finding);
    }

    pub(super) fn warning(
        &mut self,
        kind: Kind,
        at: &Spot,
        what: impl Into<String>,
        mend: impl Into<String>,
    ) {
        let finding = kind.finding(Severity::Warning, place(at), what, mend);
        self.found.push(at.path.clone(), finding);
    }

    pub(super) fn note(
        &mut self,
        kind: Kind,
        at: &Spot,
        what: impl Into<String>,
        mend: impl Into<String>,
    ) {
        let finding = kind.finding(Severity::Note, place(at), what, mend);
        self.found.push(at.path.clone(), finding);
    }

    /// Checks that a number lies between two bounds, both included.
    fn number(&mut self, at: &Spot, value: f64, least: f64, most: f64) {
        if !(least..=most).contains(&value) {
            self.error(
                kinds::NUMBER,
                at,
                format!("`{}` makes no sense here", number(value)),
                format!("give a number from {least} to {most}"),
            );
        }
    }

    fn names(&mut self) {
        let maker_and_model = [("maker", &self.profile.maker), ("model", &self.profile.model)];
        for (field, name) in maker_and_model {
            if name.trim().is_empty() {
                let at = Spot { path: PathInFile::top().field(field), item: String::new() };
                self.error(
                    kinds::NO_NAME,
                    &at,
                    format!("the {field} has no name"),
                    "shows name a profile by it",
                );
            }
        }
    }

    fn body(&mut self) {
        let at = spot("body", "body");
        let body = &self.profile.body;
        for (field, value) in [("mass_kg", body.mass_kg), ("power_w", body.power_w)] {
            if let Some(value) = value {
                self.number(&at.field(field), value, 0.0, 1e6);
            }
        }
        if let Some((x, y, z)) = body.size_m {
            for (i, value) in [x, y, z].into_iter().enumerate() {
                self.number(&at.field("size_m").index(i), value, 0.0, 100.0);
            }
        }
        if let Some((pan, tilt)) = self.profile.head.axes() {
            let head = spot("head", "head");
            self.axis(&head.field("pan"), pan);
            self.axis(&head.field("tilt"), tilt);
        }
        let at = spot("optics", "optics");
        let optics = &self.profile.optics;
        self.number(&at.field("beam_deg"), optics.beam_deg, 0.01, 179.9);
        self.number(&at.field("field_deg"), optics.field_deg, 0.01, 179.9);
        if optics.field_deg < optics.beam_deg {
            self.error(
                kinds::FIELD_ANGLE,
                &at.field("field_deg"),
                format!(
                    "the field angle `{}` is smaller than the beam angle `{}`",
                    optics.field_deg, optics.beam_deg
                ),
                "the field (10 % of peak) lies outside the beam (50 %)",
            );
        }
        if let Some(peak) = optics.peak_cd {
            self.number(&at.field("peak_cd"), peak, 0.0, 1e12);
        }
    }

    fn axis(&mut self, at: &Spot, axis: &Axis) {
        self.number(&at.field("travel_deg"), axis.travel_deg, 0.01, 100_000.0);
        for (field, value) in
            [("speed_deg_s", axis.speed_deg_s), ("accel_deg_s2", axis.accel_deg_s2)]
        {
            if let Some(value) = value {
                self.number(&at.field(field), value, 0.01, 1e6);
            }
        }
    }

    fn source(&mut self) {
        let at = spot("source", "source");
        match &self.profile.source {
            Source::White { flux_lm, cct_k, .. } => {
                self.number(&at.field("flux_lm"), *flux_lm, 0.0, 1e9);
                self.number(&at.field("cct_k"), *cct_k, 1000.0, 30_000.0);
            }
            Source::Emitters(emitters) => {
                if emitters.is_empty() {
                    self.error(kinds::NO_EMITTER, &at, "there is no emitter", "list at least one");
                }
                let mut names = HashSet::new();
                for (i, emitter) in emitters.iter().enumerate() {
                    let at = Spot {
                        path: at.path.index(0).index(i),
                        item: format!("emitter \"{}\"", emitter.name),
                    };
                    self.name_once(&at.field("name"), &emitter.name, &mut names);
                    self.number(&at.field("flux_lm"), emitter.flux_lm, 0.0, 1e9);
                    let (x, y) = emitter.xy;
                    if !(x > 0.0 && y > 0.0 && x + y <= 1.0) {
                        self.error(
                            kinds::COLOUR,
                            &at.field("xy"),
                            format!("`({}, {})` is no colour", number(x), number(y)),
                            "CIE 1931 x and y are above 0 and add up to 1 at most",
                        );
                    }
                }
            }
        }
        let cells = self.profile.cells.len();
        if cells > MOST_CELLS {
            let what = format!("{cells} cells in one fixture");
            self.error(
                kinds::TOO_MANY,
                &spot("cells", ""),
                what,
                format!("{MOST_CELLS} are allowed"),
            );
        }
        for (i, (x, y)) in self.profile.cells.iter().take(MOST_CELLS).enumerate() {
            let at = Spot {
                path: PathInFile::top().field("cells").index(i),
                item: format!("cell {}", i + 1),
            };
            self.number(&at, *x, -100.0, 100.0);
            self.number(&at, *y, -100.0, 100.0);
        }
    }

    /// Checks that a name is not empty and comes once.
    pub(super) fn name_once<'n>(&mut self, at: &Spot, name: &'n str, seen: &mut HashSet<&'n str>) {
        if name.trim().is_empty() {
            self.error(kinds::NO_NAME, at, "the name is empty", "give it a name");
        } else if !seen.insert(name) {
            self.error(
                kinds::NAME_TWICE,
                at,
                format!("the name `{name}` is used twice"),
                "give each its own name",
            );
        }
    }

    fn wheels(&mut self, known_drawing: KnownDrawing<'_>) {
        for (name, wheel) in &self.profile.wheels {
            let at = Spot {
                path: PathInFile::top().field("wheels").field(name),
                item: format!("wheel \"{name}\""),
            };
            if name.trim().is_empty() {
                self.error(
                    kinds::NO_NAME,
                    &at,
                    "the wheel has no name",
                    "channels name a wheel by it",
                );
            }
            if let Some(move_s) = wheel.move_s {
                self.number(&at.field("move_s"), move_s, 0.0, 60.0);
            }
            if wheel.slots.is_empty() {
                self.error(
                    kinds::NO_SLOTS,
                    &at.field("slots"),
                    "the wheel has no slot",
                    "list what is in it",
                );
            }
            for (i, slot) in wheel.slots.iter().enumerate() {
                let at = Spot {
                    path: at.path.field("slots").index(i),
                    item: format!("wheel \"{name}\", slot {}", i + 1),
                };
                self.wheel_slot(&at, slot, known_drawing);
            }
        }
    }

    fn times(&mut self) {
        let at = spot("times", "times");
        for (field, value) in self.profile.times.all() {
            if let Some(value) = value {
                self.number(&at.field(field), value, 0.0, 3600.0);
            }
        }
        let at = spot("on_loss", "on_loss");
        if let Some(after_s) = self.profile.on_loss.after_s {
            self.number(&at.field("after_s"), after_s, 0.0, 3600.0);
        }
        let Some(Loss::Standby { fade_s, values }) = &self.profile.on_loss.does else { return };
        let at = at.field("does");
        self.number(&at.field("fade_s"), *fade_s, 0.0, 3600.0);
        for (name, value) in values {
            let at = at.field("values").field(name);
            let channels = self.profile.modes.iter().filter_map(|mode| mode.channel(name));
            let most = channels.map(|channel| channel.max_value()).max();
            match most {
                None => {
                    let shown = name.escape_debug();
                    self.error(
                        kinds::REFERENCE,
                        &at,
                        format!("no mode has a channel `{shown}`"),
                        "name one it has",
                    );
                }
                Some(most) if *value > most => self.error(
                    kinds::DEFAULT_OUTSIDE,
                    &at,
                    format!("`{value}` is more than the channel has"),
                    format!("give a value from 0 to {most}"),
                ),
                Some(_) => {}
            }
        }
    }

    fn wheel_slot(&mut self, at: &Spot, slot: &WheelSlot, known_drawing: KnownDrawing<'_>) {
        match slot {
            WheelSlot::Open | WheelSlot::Blocked(_) => {}
            WheelSlot::Tint(_, colour) => {
                if srgb::parse(colour).is_none() {
                    self.error(
                        kinds::COLOUR,
                        &at.index(1),
                        format!("`{}` is no colour", colour.escape_debug()),
                        "write `#` and six hexadecimal digits: \"#ffb000\"",
                    );
                }
            }
            WheelSlot::Pattern(_, drawing) | WheelSlot::Animation(_, drawing) => {
                if !self.profile.drawings.contains_key(drawing) && !known_drawing(drawing) {
                    let own: Vec<&str> = self.profile.drawings.keys().map(String::as_str).collect();
                    self.error(
                        kinds::REFERENCE,
                        &at.index(1),
                        format!("there is no drawing called `{}`", drawing.escape_debug()),
                        format!("name one of the program's, or of this profile's: {}", listed(own)),
                    );
                }
            }
            WheelSlot::Prism { facets, spread_deg, .. } => {
                self.number(&at.field("facets"), f64::from(*facets), 1.0, 64.0);
                self.number(&at.field("spread_deg"), *spread_deg, 0.0, 90.0);
            }
        }
    }

    fn drawings(&mut self) {
        for (name, polygons) in &self.profile.drawings {
            let corners: usize = polygons.iter().map(Vec::len).sum();
            if corners > MOST_CORNERS {
                let at = Spot {
                    path: PathInFile::top().field("drawings").field(name),
                    item: format!("drawing \"{name}\""),
                };
                let mend = format!("{MOST_CORNERS} are allowed: draw it more coarsely");
                self.error(kinds::TOO_MANY, &at, format!("{corners} corners in one drawing"), mend);
                continue;
            }
            for (i, polygon) in polygons.iter().enumerate() {
                let at = Spot {
                    path: PathInFile::top().field("drawings").field(name).index(i),
                    item: format!("drawing \"{name}\", opening {}", i + 1),
                };
                if polygon.len() < 3 {
                    self.error(
                        kinds::DRAWING,
                        &at,
                        "an opening of fewer than 3 corners lets no light through",
                        "list its corners in order round it",
                    );
                }
                let outside = |(x, y): &(f64, f64)| !(0.0..=1.001).contains(&x.hypot(*y));
                if let Some(corner) = polygon.iter().position(outside) {
                    let (x, y) = polygon[corner];
                    self.error(
                        kinds::DRAWING,
                        &at.index(corner),
                        format!(
                            "the corner `({}, {})` lies outside the unit disc",
                            number(x),
                            number(y)
                        ),
                        "draw within 1 of the middle",
                    );
                }
            }
        }
    }

    /// Whether each acceptance names a kind of finding and says why.
    fn accepted(&mut self) {
        for (i, accepted) in self.profile.accepted.iter().enumerate() {
            let at = Spot {
                path: PathInFile::top().field("accepted").index(i),
                item: format!("acceptance of `{}`", accepted.code),
            };
            let codes = || kinds::ALL.iter().map(|kind| kind.code);
            if !codes().any(|code| code == accepted.code) {
                let mend = match nearest(&accepted.code, codes()) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => "name a kind as `slotwright check` shows it in brackets".to_owned(),
                };
                let code = accepted.code.escape_debug();
                let what = format!("there is no kind of finding `{code}`");
                self.error(kinds::REFERENCE, &at.field("code"), what, mend);
            }
            if accepted.reason.trim().is_empty() {
                let mend = "say in `reason` why this profile may have it";
                self.error(
                    kinds::NO_REASON,
                    &at.field("reason"),
                    "there is no reason for it",
                    mend,
                );
            }
        }
    }

    /// What the profile does not say and what is made of that, once each.
    fn unknowns(&mut self) {
        if let Some((pan, tilt)) = self.profile.head.axes() {
            let silent = |axis: &Axis| axis.speed_deg_s.is_none() || axis.accel_deg_s2.is_none();
            if silent(pan) || silent(tilt) {
                let at = spot("head", "head");
                self.note(
                    kinds::ASSUMED,
                    &at,
                    "speed or acceleration is not given",
                    "give `speed_deg_s` and `accel_deg_s2`",
                );
            }
        }
        let wheels = self.profile.wheels.iter().filter(|(_, wheel)| wheel.move_s.is_none());
        let wheels: Vec<&str> = wheels.map(|(name, _)| name.as_str()).collect();
        if !wheels.is_empty() {
            let at = spot("wheels", "wheels");
            let what = format!("the move time of {} is not given", listed(wheels));
            self.note(kinds::ASSUMED, &at, what, "give `move_s`");
        }
        let no_hold = self.first_effect(|effect| {
            matches!(
                effect,
                Effect::Reset { hold_s: None, .. }
                    | Effect::LampOn { hold_s: None }
                    | Effect::LampOff { hold_s: None }
            )
        });
        if let Some(at) = no_hold {
            let what = "how long a reset or lamp value must be held is not given everywhere";
            self.note(kinds::HOLD_UNKNOWN, &at, what, "give `hold_s` where the manual says it");
        }
        let no_curve = self
            .first_effect(|effect| matches!(effect, Effect::Dimmer { curve: Curve::Unknown, .. }));
        if let Some(at) = no_curve {
            let what = "a dimmer's curve is not given";
            self.note(kinds::ASSUMED, &at, what, "it is taken as linear; give `curve`");
        }
    }

    /// The place of the first effect of some kind.
    fn first_effect(&self, wanted: impl Fn(&Effect) -> bool) -> Option<Spot> {
        for (i, mode) in self.profile.modes.iter().enumerate() {
            for (j, channel) in mode.channels.iter().enumerate() {
                for (k, range) in channel.ranges.iter().enumerate() {
                    let Some(place) = range.effects().position(&wanted) else { continue };
                    let path = PathInFile::top().field("modes").index(i);
                    let path = path.field("channels").index(j).field("ranges").index(k);
                    return Some(Spot {
                        path: match place {
                            0 => path.field("does"),
                            also => path.field("also").index(also - 1),
                        },
                        item: format!("mode \"{}\", channel \"{}\"", mode.name, channel.name),
                    });
                }
            }
        }
        None
    }
}

fn place(at: &Spot) -> Place {
    if at.item.is_empty() { Place::default() } else { Place::item(&at.item) }
}

pub(super) fn spot(field: &str, item: &str) -> Spot {
    Spot { path: PathInFile::top().field(field), item: item.to_owned() }
}
