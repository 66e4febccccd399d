//! Wheels: colours, patterns, prisms and moving textures.

use std::collections::BTreeMap;

use super::super::archive::Archive;
use super::super::colour;
use super::super::description::{FixtureType, Slot, Wheel as DescribedWheel};
use super::super::picture;
use super::super::said::Said;
use super::super::values::CieColour;
use super::words::says;
use crate::profile::{Wheel, WheelSlot};

/// Slots one wheel may have.
const MOST_SLOTS: usize = 256;

/// Pictures that are traced for one fixture.
const MOST_PICTURES: usize = 128;

/// The drawing that stands in for a pattern without a picture.
const STAND_IN: &str = "picture missing";

/// The openings of [`STAND_IN`]: four squares.
const SQUARES: [[(f64, f64); 4]; 4] = [
    [(-0.6, 0.1), (-0.1, 0.1), (-0.1, 0.6), (-0.6, 0.6)],
    [(0.1, 0.1), (0.6, 0.1), (0.6, 0.6), (0.1, 0.6)],
    [(-0.6, -0.6), (-0.1, -0.6), (-0.1, -0.1), (-0.6, -0.1)],
    [(0.1, -0.6), (0.6, -0.6), (0.6, -0.1), (0.1, -0.1)],
];

/// What a wheel is used for, as the channels that move it tell.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Use {
    /// A channel of a pattern or texture moves it.
    pub(super) patterns: bool,
    /// A channel of a moving texture moves it.
    pub(super) textures: bool,
    /// A channel of a prism moves it.
    pub(super) prisms: bool,
}

/// Wheels and drawings of a profile.
#[derive(Clone, Debug, Default)]
pub(super) struct Wheels {
    /// The wheels by name.
    pub(super) wheels: BTreeMap<String, Wheel>,
    /// The drawings that their slots name.
    pub(super) drawings: BTreeMap<String, Vec<Vec<(f64, f64)>>>,
}

/// Makes the wheels of a fixture. `field_deg` is what a facet's throw is a share of.
pub(super) fn wheels(
    fixture: &FixtureType,
    archive: &Archive,
    used: &BTreeMap<String, Use>,
    field_deg: f64,
    said: &mut Said,
) -> Wheels {
    let mut maker = Maker { fixture, archive, field_deg, said, made: Wheels::default(), traced: 0 };
    for wheel in &fixture.wheels {
        let name = wheel.name.as_deref().unwrap_or_default();
        let item = format!("wheel \"{name}\"");
        if name.is_empty() || maker.made.wheels.contains_key(name) {
            maker.said.error(&item, "the wheel has no name of its own", "it is left out");
            continue;
        }
        if wheel.slots.is_empty() {
            maker.said.warning(&item, "the wheel has no slot", "it is left out");
            continue;
        }
        if wheel.slots.len() > MOST_SLOTS {
            let what = format!("the wheel has {} slots", wheel.slots.len());
            maker.said.error(&item, what, format!("the first {MOST_SLOTS} are taken"));
        }
        let mut used = used.get(name).copied().unwrap_or_default();
        // Where some slots say that they are moving textures, the others are none.
        used.textures &= wheel.slots.iter().all(|slot| slot.animation.is_empty());
        let full = maker.luminance_of_all(wheel, &item);
        let slots = wheel.slots.iter().take(MOST_SLOTS).enumerate();
        let slots = slots.map(|(i, slot)| {
            let item = format!("{item}, slot {}", i + 1);
            maker.slot(slot, i + 1, used, full, &item)
        });
        let slots = slots.collect();
        let made = Wheel { move_s: None, shortest: None, slots };
        maker.made.wheels.insert(name.to_owned(), made);
    }
    maker.made
}

struct Maker<'a, 's> {
    fixture: &'a FixtureType,
    archive: &'a Archive,
    field_deg: f64,
    said: &'s mut Said,
    made: Wheels,
    traced: usize,
}

impl Maker<'_, '_> {
    fn colour(&self, slot: &Slot) -> Option<CieColour> {
        let physical = self.fixture.physical();
        let filter = slot.filter.as_deref().and_then(|name| {
            let filters = physical.map(|physical| physical.filters.as_slice()).unwrap_or_default();
            filters.iter().find(|filter| filter.name.as_deref() == Some(name))
        });
        filter.and_then(|filter| filter.color).or(slot.color)
    }

    /// What the wheel's colours call all of the light. The standard says 0..100 in one place and 0..1
    /// in another; a wheel without a luminance above 1 means the latter.
    fn luminance_of_all(&mut self, wheel: &DescribedWheel, item: &str) -> f64 {
        let given = wheel.slots.iter().filter_map(|slot| self.colour(slot));
        let most = given.map(|colour| colour.luminance).fold(0.0, f64::max);
        if most > 0.0 && most <= 1.0 {
            let what = "no colour of the wheel has a luminance above 1";
            self.said.note(item, what, "they are taken as shares of 1, not of 100");
            return 1.0;
        }
        100.0
    }

    fn slot(&mut self, slot: &Slot, number: usize, used: Use, full: f64, item: &str) -> WheelSlot {
        let name = slot.name.as_deref().map(str::trim).unwrap_or_default();
        let name = if name.is_empty() { format!("slot {number}") } else { name.to_owned() };
        if !slot.facets.is_empty() {
            return self.prism(slot, name, item);
        }
        let colour = self.colour(slot);
        if let Some(media) = slot.media.as_deref() {
            if colour.is_some_and(|colour| !colour.is_white()) {
                self.said.note(
                    item,
                    "a pattern with a colour",
                    "the pattern is kept, not the colour",
                );
            }
            let texture = used.textures || !slot.animation.is_empty();
            let drawing = self.drawing(media, item);
            return if texture {
                WheelSlot::Animation(name, drawing)
            } else {
                WheelSlot::Pattern(name, drawing)
            };
        }
        let open = says(&name, &["open", "opened", "empty", "none", "white", "clear"]);
        let no_light = |colour: CieColour| colour.is_white() && colour.luminance <= 0.0;
        if !open && colour.is_some_and(no_light) {
            return WheelSlot::Blocked(name);
        }
        if let Some(colour) = colour.filter(|colour| !colour.is_white() || !open) {
            let hex = colour::hex(colour, full);
            if colour.is_white() && !used.patterns && !used.prisms && !says_plainly(&name) {
                self.said.note(item, format!("`{name}` is white"), "is its colour missing?");
            }
            if !colour.is_white() && says(&name, &["open"]) {
                self.said.note(item, format!("`{name}` has a colour"), "it is kept");
            }
            let grey = colour.luminance < 0.999 * full;
            if !colour.is_white() || grey || !(used.patterns || used.prisms) {
                return WheelSlot::Tint(name, hex);
            }
        }
        match () {
            () if open => WheelSlot::Open,
            () if says(&name, &["closed", "black", "blackout", "blocked"]) => {
                WheelSlot::Blocked(name)
            }
            () if used.textures => WheelSlot::Animation(name, self.stand_in(item)),
            () if used.patterns => WheelSlot::Pattern(name, self.stand_in(item)),
            () if used.prisms => {
                let mend = "3 copies thrown 4 deg are taken";
                self.said.warning(item, "the prism has no facets in the file", mend);
                WheelSlot::Prism { name, facets: 3, spread_deg: 4.0 }
            }
            () => WheelSlot::Open,
        }
    }

    fn prism(&mut self, slot: &Slot, name: String, item: &str) -> WheelSlot {
        let count = slot.facets.len();
        if count > 64 {
            self.said.warning(item, format!("{count} facets"), "64 are taken");
        }
        let facets = u8::try_from(count.min(64)).unwrap_or(64);
        // A facet throws its copy by a share of the picture's width, which is the field.
        let thrown = slot.facets.iter().map(|facet| {
            let rows = facet.rotation.unwrap_or_default().0;
            rows[2][0].hypot(rows[2][1])
        });
        let share = thrown.sum::<f64>() / count as f64;
        let spread_deg = super::round((share * self.field_deg).clamp(0.0, 90.0));
        let what = "facets throw their copies in shares of the picture";
        let mend = format!("taken as shares of the field angle, {spread_deg} deg on average");
        self.said.note(item, what, mend);
        WheelSlot::Prism { name, facets, spread_deg }
    }

    /// Name of the drawing of a picture of the archive.
    fn drawing(&mut self, media: &str, item: &str) -> String {
        if self.made.drawings.contains_key(media) {
            return media.to_owned();
        }
        let Some(png) = self.archive.entry(&format!("wheels/{media}.png")) else {
            let what = format!("the archive has no picture `wheels/{media}.png`");
            self.said.warning(item, what, "four squares stand in for it");
            return self.put_stand_in();
        };
        self.traced += 1;
        if self.traced > MOST_PICTURES {
            let what = format!("the fixture has more than {MOST_PICTURES} pictures");
            self.said.warning(item, what, "four squares stand in for the rest");
            return self.put_stand_in();
        }
        match picture::trace(png) {
            Ok(traced) => {
                if traced.coloured {
                    let what = format!("the picture `{media}` has colours");
                    self.said.note(item, what, "its light parts are open, without colour");
                }
                if traced.openings.is_empty() {
                    let what = format!("the picture `{media}` lets nothing through");
                    self.said.warning(item, what, "no light passes");
                }
                self.made.drawings.insert(media.to_owned(), traced.openings);
                media.to_owned()
            }
            Err(why) => {
                let what = format!("the picture `{media}` cannot be read: {why}");
                self.said.error(item, what, "four squares stand in for it");
                self.put_stand_in()
            }
        }
    }

    fn stand_in(&mut self, item: &str) -> String {
        self.said.warning(item, "the pattern has no picture", "four squares stand in for it");
        self.put_stand_in()
    }

    fn put_stand_in(&mut self) -> String {
        let squares = || SQUARES.iter().map(|square| square.to_vec()).collect();
        self.made.drawings.entry(STAND_IN.to_owned()).or_insert_with(squares);
        STAND_IN.to_owned()
    }
}

/// Whether a name promises no colour.
fn says_plainly(name: &str) -> bool {
    name.starts_with("slot ") || says(name, &["open", "white", "clear", "empty", "none"])
}
