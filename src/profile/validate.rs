//! Whether a profile that could be read makes sense.

use std::collections::{HashMap, HashSet};

use super::check_effect::{EffectPlace, check_effect};
use super::coverage::{gaps, overlaps, values};
use super::effect::{Curve, Effect};
use super::model::{Axis, Channel, Condition, Mode, Profile, Range, Source, WheelSlot};
use super::place::{Found, PathInFile};
use crate::finding::{Finding, Place, listed, nearest};
use crate::wire::SLOTS;

/// Says whether there is a pattern drawing of a name besides the profile's own.
pub type KnownDrawing<'a> = &'a dyn Fn(&str) -> bool;

/// Ranges one channel may have: as many as a coarse slot has values, for each of four conditions.
const MOST_RANGES: usize = 1024;

/// Everything there is to say about a profile, by the path of what it is about.
pub fn validate(profile: &Profile, known_drawing: KnownDrawing<'_>) -> Found {
    let mut check = Check { profile, found: Found::default() };
    check.names();
    check.body();
    check.source();
    check.wheels(known_drawing);
    check.drawings();
    check.modes();
    check.unknowns();
    check.found
}

struct Check<'a> {
    profile: &'a Profile,
    found: Found,
}

/// A mode or channel that is being looked at: its path and its words.
#[derive(Clone)]
struct Spot {
    path: PathInFile,
    item: String,
}

impl Spot {
    fn field(&self, name: &str) -> Self {
        Self { path: self.path.field(name), item: self.item.clone() }
    }

    fn index(&self, index: usize) -> Self {
        Self { path: self.path.index(index), item: self.item.clone() }
    }
}

impl Check<'_> {
    fn error(&mut self, at: &Spot, what: impl Into<String>, mend: impl Into<String>) {
        self.found.push(at.path.clone(), Finding::error(place(at), what, mend));
    }

    fn warning(&mut self, at: &Spot, what: impl Into<String>, mend: impl Into<String>) {
        self.found.push(at.path.clone(), Finding::warning(place(at), what, mend));
    }

    fn note(&mut self, at: &Spot, what: impl Into<String>, mend: impl Into<String>) {
        self.found.push(at.path.clone(), Finding::note(place(at), what, mend));
    }

    /// Checks that a number lies between two bounds, both included.
    fn number(&mut self, at: &Spot, value: f64, least: f64, most: f64) {
        if !(least..=most).contains(&value) {
            self.error(
                at,
                format!("`{value}` makes no sense here"),
                format!("give a number from {least} to {most}"),
            );
        }
    }

    fn names(&mut self) {
        let maker_and_model = [("maker", &self.profile.maker), ("model", &self.profile.model)];
        for (field, name) in maker_and_model {
            if name.trim().is_empty() {
                let at = Spot { path: PathInFile::top().field(field), item: String::new() };
                self.error(&at, format!("the {field} has no name"), "shows name a profile by it");
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
                    self.error(&at, "there is no emitter", "list at least one");
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
                            &at.field("xy"),
                            format!("`({x}, {y})` is no colour"),
                            "CIE 1931 x and y are above 0 and add up to 1 at most",
                        );
                    }
                }
            }
        }
        for (i, (x, y)) in self.profile.cells.iter().enumerate() {
            let at = Spot {
                path: PathInFile::top().field("cells").index(i),
                item: format!("cell {}", i + 1),
            };
            self.number(&at, *x, -100.0, 100.0);
            self.number(&at, *y, -100.0, 100.0);
        }
    }

    /// Checks that a name is not empty and comes once.
    fn name_once<'n>(&mut self, at: &Spot, name: &'n str, seen: &mut HashSet<&'n str>) {
        if name.trim().is_empty() {
            self.error(at, "the name is empty", "give it a name");
        } else if !seen.insert(name) {
            self.error(at, format!("the name `{name}` is used twice"), "give each its own name");
        }
    }

    fn wheels(&mut self, known_drawing: KnownDrawing<'_>) {
        for (name, wheel) in &self.profile.wheels {
            let at = Spot {
                path: PathInFile::top().field("wheels").field(name),
                item: format!("wheel \"{name}\""),
            };
            if name.trim().is_empty() {
                self.error(&at, "the wheel has no name", "channels name a wheel by it");
            }
            if let Some(move_s) = wheel.move_s {
                self.number(&at.field("move_s"), move_s, 0.0, 60.0);
            }
            if wheel.slots.is_empty() {
                self.error(&at.field("slots"), "the wheel has no slot", "list what is in it");
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

    fn wheel_slot(&mut self, at: &Spot, slot: &WheelSlot, known_drawing: KnownDrawing<'_>) {
        match slot {
            WheelSlot::Open | WheelSlot::Blocked(_) => {}
            WheelSlot::Tint(_, colour) => {
                let digits = colour.strip_prefix('#').unwrap_or("");
                if digits.len() != 6 || !digits.bytes().all(|b| b.is_ascii_hexdigit()) {
                    self.error(
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
            for (i, polygon) in polygons.iter().enumerate() {
                let at = Spot {
                    path: PathInFile::top().field("drawings").field(name).index(i),
                    item: format!("drawing \"{name}\", opening {}", i + 1),
                };
                if polygon.len() < 3 {
                    self.error(&at, "an opening of fewer than 3 corners lets no light through", "");
                }
                let outside = |(x, y): &(f64, f64)| !(0.0..=1.001).contains(&x.hypot(*y));
                if let Some(corner) = polygon.iter().position(outside) {
                    let (x, y) = polygon[corner];
                    self.error(
                        &at.index(corner),
                        format!("the corner `({x}, {y})` lies outside the unit disc"),
                        "draw within 1 of the middle",
                    );
                }
            }
        }
    }

    fn modes(&mut self) {
        if self.profile.modes.is_empty() {
            let at = spot("modes", "");
            self.error(&at, "the profile has no mode", "describe at least one");
        }
        let mut names = HashSet::new();
        for (i, mode) in self.profile.modes.iter().enumerate() {
            let at = Spot {
                path: PathInFile::top().field("modes").index(i),
                item: format!("mode \"{}\"", mode.name),
            };
            self.name_once(&at.field("name"), &mode.name, &mut names);
            if !(1..=SLOTS as u16).contains(&mode.slots) {
                self.error(
                    &at.field("slots"),
                    format!("a mode of `{}` slots fits in no universe", mode.slots),
                    format!("give the number of slots it takes, 1..{SLOTS}"),
                );
            }
            self.mode(&at, mode);
        }
    }

    fn mode(&mut self, at: &Spot, mode: &Mode) {
        let mut names = HashSet::new();
        let mut owners: HashMap<u16, &str> = HashMap::new();
        let known: HashSet<&str> = mode.channels.iter().map(|c| c.name.as_str()).collect();
        for (i, channel) in mode.channels.iter().enumerate() {
            let at = Spot {
                path: at.path.field("channels").index(i),
                item: format!("{}, channel \"{}\"", at.item, channel.name),
            };
            self.name_once(&at.field("name"), &channel.name, &mut names);
            self.channel_slots(&at, mode, channel, &mut owners);
            self.channel(&at, channel, &known);
        }
        let bare: Vec<u16> =
            (1..=mode.slots.min(SLOTS as u16)).filter(|slot| !owners.contains_key(slot)).collect();
        if !bare.is_empty() {
            self.note(
                &at.field("slots"),
                format!("no channel describes {} of this mode", slots_in_words(&bare)),
                "what they do is unknown",
            );
        }
    }

    fn channel_slots<'m>(
        &mut self,
        at: &Spot,
        mode: &Mode,
        channel: &'m Channel,
        owners: &mut HashMap<u16, &'m str>,
    ) {
        if !(1..=4).contains(&channel.at.len()) {
            self.error(
                &at.field("at"),
                format!("a channel of {} slots", channel.at.len()),
                "list its 1 to 4 slots, most significant first",
            );
        }
        for (i, slot) in channel.at.iter().enumerate().take(SLOTS + 1) {
            let at = at.field("at").index(i);
            if *slot == 0 || *slot > mode.slots {
                self.error(
                    &at,
                    format!("the mode has no slot `{slot}`"),
                    format!("its slots are 1..{}, counted from the fixture's first", mode.slots),
                );
            } else if let Some(other) = owners.insert(*slot, &channel.name) {
                self.error(
                    &at,
                    format!("slot `{slot}` belongs to channel `{other}` already"),
                    "give each slot to one channel",
                );
            }
        }
    }

    fn channel(&mut self, at: &Spot, channel: &Channel, known: &HashSet<&str>) {
        if channel.default > channel.max_value() {
            self.error(
                &at.field("default"),
                format!("the default `{}` does not fit the channel", channel.default),
                format!("its greatest value is {}", channel.max_value()),
            );
        }
        if let Some(cell) = channel.cell {
            let cells = self.profile.cell_count();
            if cell == 0 || usize::from(cell) > cells {
                self.error(
                    &at.field("cell"),
                    format!("the profile has no cell `{cell}`"),
                    format!("its cells are 1..{cells}"),
                );
            }
        }
        if channel.ranges.len() > MOST_RANGES {
            let what = format!("{} ranges in one channel", channel.ranges.len());
            self.error(&at.field("ranges"), what, format!("{MOST_RANGES} are allowed"));
            return;
        }
        let mut sound = true;
        for (i, range) in channel.ranges.iter().enumerate() {
            let at = Spot {
                path: at.path.field("ranges").index(i),
                item: format!("{}, range {}", at.item, i + 1),
            };
            sound &= self.range_bounds(&at, channel, range);
            sound &= self.conditions(&at, channel, range, known);
            let place = EffectPlace { path: &at.path.field("does"), item: &at.item };
            check_effect(self.profile, place, &range.does, &mut self.found);
            for (j, effect) in range.also.iter().enumerate() {
                let place = EffectPlace { path: &at.path.field("also").index(j), item: &at.item };
                check_effect(self.profile, place, effect, &mut self.found);
            }
        }
        // What a broken range covers is anybody's guess; its own finding is enough.
        if sound {
            self.coverage(at, channel);
        }
    }

    /// Checks both ends of a range and says whether they are sound.
    fn range_bounds(&mut self, at: &Spot, channel: &Channel, range: &Range) -> bool {
        let width = channel.at.len();
        let max = i64::from(channel.max_value());
        let ends = [
            ("from", range.from, "fine_from", range.fine_from),
            ("to", range.to, "fine_to", range.fine_to),
        ];
        let mut sound = true;
        for (coarse_name, coarse, fine_name, fine) in ends {
            if coarse.is_none() && fine.is_none() {
                sound = false;
                self.error(
                    at,
                    format!("the range has no `{coarse_name}`"),
                    format!("add `{coarse_name}: ...`, or `{fine_name}: ...` at full resolution"),
                );
            }
            for (name, value, most) in [(coarse_name, coarse, 255), (fine_name, fine, max)] {
                if value.is_some_and(|value| !(0..=most).contains(&value)) {
                    sound = false;
                    self.error(
                        &at.field(name),
                        format!("the channel has no value `{}`", value.unwrap_or_default()),
                        format!("`{name}` lies in 0..{most}"),
                    );
                }
            }
        }
        if let (true, Some((first, last))) = (sound, range.bounds(width))
            && first > last
        {
            sound = false;
            let (from, to) = (range.from.or(range.fine_from), range.to.or(range.fine_to));
            self.error(
                at,
                format!(
                    "the range runs from `{}` back to `{}`",
                    from.unwrap_or_default(),
                    to.unwrap_or_default()
                ),
                "put the smaller value first; a falling effect is a falling pair in `does`",
            );
        }
        sound
    }

    /// Checks what a range depends on and says whether it can hold.
    fn conditions(
        &mut self,
        at: &Spot,
        channel: &Channel,
        range: &Range,
        known: &HashSet<&str>,
    ) -> bool {
        let mut sound = true;
        for (i, Condition(name, first, last)) in range.when.iter().enumerate() {
            let at = at.field("when").index(i);
            if *name == channel.name {
                sound = false;
                self.error(
                    &at.index(0),
                    "the range depends on its own channel",
                    "name another channel, or narrow `from` and `to`",
                );
            } else if !known.contains(name.as_str()) {
                sound = false;
                let near = nearest(name, known.iter().copied());
                let mend = match near {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => "name a channel of this mode".to_owned(),
                };
                self.error(&at.index(0), format!("the mode has no channel `{name}`"), mend);
            }
            if first > last || *first < 0 || *last > 255 {
                sound = false;
                self.error(
                    &at.index(1),
                    format!("no value lies in `{first}..{last}`"),
                    "give the first and the last value of the coarse slot, in 0..255",
                );
            }
        }
        sound
    }

    fn coverage(&mut self, at: &Spot, channel: &Channel) {
        if !(1..=4).contains(&channel.at.len()) {
            return;
        }
        for (a, b) in overlaps(channel) {
            let width = channel.at.len();
            let shared = match (channel.ranges[a].bounds(width), channel.ranges[b].bounds(width)) {
                (Some(a), Some(b)) => values(a.0.max(b.0), a.1.min(b.1), width),
                _ => continue,
            };
            let belong = if shared.starts_with("values") { "belong" } else { "belongs" };
            let at = Spot {
                path: at.path.field("ranges").index(b),
                item: format!("{}, range {}", at.item, b + 1),
            };
            self.error(
                &at,
                format!("{shared} already {belong} to range {}", a + 1),
                "let each value lie in one range, or give both `when`s that exclude each other",
            );
        }
        let gaps = gaps(channel);
        for gap in gaps.iter().take(8) {
            let at = at.field("ranges");
            let mend = "if that is meant, say so with a range that is `Idle`";
            let verb = if gap.first == gap.last { "does" } else { "do" };
            let values = values(gap.first, gap.last, gap.width);
            let what = format!("{values} {verb} nothing{}", gap.while_words());
            if gap.is_whole() && !gap.setting.is_empty() {
                self.note(&at, what, mend);
            } else {
                self.warning(&at, what, mend);
            }
        }
        let default = channel.default;
        let in_gap = |gap: &&super::coverage::Gap| (gap.first..=gap.last).contains(&default);
        if gaps.iter().filter(|gap| gap.setting.is_empty()).any(|gap| in_gap(&gap)) {
            self.warning(
                &at.field("default"),
                format!("no range covers the default `{default}`"),
                "choose a default that does something known",
            );
        }
    }

    /// What the profile does not say and what is made of that, once each.
    fn unknowns(&mut self) {
        let top = Spot { path: PathInFile::top(), item: String::new() };
        if let Some((pan, tilt)) = self.profile.head.axes() {
            let silent = |axis: &Axis| axis.speed_deg_s.is_none() || axis.accel_deg_s2.is_none();
            if silent(pan) || silent(tilt) {
                let at = spot("head", "head");
                self.note(&at, "speed or acceleration is not given", "its moves are estimates");
            }
        }
        let wheels = self.profile.wheels.iter().filter(|(_, wheel)| wheel.move_s.is_none());
        let wheels: Vec<&str> = wheels.map(|(name, _)| name.as_str()).collect();
        if !wheels.is_empty() {
            let at = spot("wheels", "");
            let what = format!("the move time of {} is not given", listed(wheels));
            self.note(&at, what, "changes on it are estimates");
        }
        let effects = || {
            let channels = self.profile.modes.iter().flat_map(|mode| &mode.channels);
            channels.flat_map(|channel| &channel.ranges).flat_map(Range::effects)
        };
        let no_hold = effects().any(|effect| {
            matches!(
                effect,
                Effect::Reset { hold_s: None, .. }
                    | Effect::LampOn { hold_s: None }
                    | Effect::LampOff { hold_s: None }
            )
        });
        let no_curve =
            effects().any(|effect| matches!(effect, Effect::Dimmer { curve: Curve::Unknown, .. }));
        if no_hold {
            self.note(
                &top,
                "how long a reset or lamp value must be held is not given everywhere",
                "unknown; warnings take it to act at once",
            );
        }
        if no_curve {
            let what = "a dimmer's curve is not given";
            self.note(&top, what, "taken as linear; its light is an estimate");
        }
    }
}

fn place(at: &Spot) -> Place {
    if at.item.is_empty() { Place::default() } else { Place::item(&at.item) }
}

fn spot(field: &str, item: &str) -> Spot {
    Spot { path: PathInFile::top().field(field), item: item.to_owned() }
}

/// Slots in words: `slot 7`, `slots 3, 5..9`.
fn slots_in_words(slots: &[u16]) -> String {
    let runs = slots.chunk_by(|a, b| a + 1 == *b).map(|run| match run {
        [first, .., last] => format!("{first}..{last}"),
        _ => run.iter().map(u16::to_string).collect(),
    });
    let words: Vec<String> = runs.collect();
    format!("slot{} {}", if slots.len() == 1 { "" } else { "s" }, words.join(", "))
}
