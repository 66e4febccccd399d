//! What a head comes to, part by part, so that two answers can be compared by what they mean.

use crate::decode::{AimSpeed, Asked, AxisAsk, Command, CompiledMode, Override, ShutterAsk};
use crate::decode::{WheelAsk, WheelPlace};
use crate::profile::{Shape, Timing, Unit};

/// A part of a head that something can be asked of. Cells, wheels and blades are places, from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "each is the part of its name")]
pub enum Part {
    Pan,
    Tilt,
    AimSpeed,
    Level(usize),
    Shutter(usize),
    Emitter(usize, usize),
    Filter(usize, usize),
    Temperature(usize),
    Wheel(usize),
    WheelTurn(usize),
    Zoom,
    Focus,
    Iris,
    IrisPulse,
    Frost,
    Blade(usize),
    BladeTurn(usize),
    FrameTurn,
    DarkWhileMoving,
}

/// What one part is asked to do: a word, and a number where there is one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Facet {
    /// The part.
    pub part: Part,
    /// What it does.
    pub does: &'static str,
    /// How much, in a unit.
    pub number: Option<(f64, Unit)>,
}

/// What a head comes to.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// Its parts, in rising order.
    pub facets: Vec<Facet>,
    /// What acts once it was held.
    pub commands: Vec<Command>,
    /// What runs instead of all the rest.
    pub overridden: Option<Override>,
}

/// What is said of a part that stops wherever it is.
pub(super) const STAYS: &str = "stays where it is";

/// How far from what is asked a right answer may be, in the same unit: what an eye can tell apart on a stage
/// (common practice, no source).
pub fn tolerance(value: f64, unit: Unit) -> f64 {
    let share = 0.15 * value.abs();
    match unit {
        Unit::Degree => 3.0,
        Unit::Percent => 4.0,
        Unit::Hertz => share.max(0.2),
        Unit::Rpm => share.max(0.5),
        Unit::DegreePerSecond => share.max(2.0),
        Unit::Second => share.max(0.1),
        Unit::Kelvin => 150.0,
        Unit::Slot => 0.1,
    }
}

impl Facet {
    /// Whether another facet of the same part is the same within so many tolerances.
    pub fn near(&self, other: &Self, tolerances: f64) -> bool {
        let near = match (self.number, other.number) {
            (Some((a, unit)), Some((b, of))) => {
                unit == of && (a - b).abs() <= tolerances * tolerance(a, unit) + 1e-9
            }
            (None, None) => true,
            _ => false,
        };
        self.part == other.part && self.does == other.does && near
    }

    /// What it does, in words: `34.00 deg`, `open`, `flashes 5.00 Hz`, `deep blue`.
    pub fn does_words(&self, mode: &CompiledMode) -> String {
        if let (Part::Wheel(wheel), Some((place, Unit::Slot))) = (self.part, self.number)
            && let Some(slot) = slot_name(mode, wheel, place)
        {
            return match self.does {
                "" => slot,
                does => format!("{does} {slot}"),
            };
        }
        match self.number {
            Some((value, unit)) if self.does.is_empty() => unit.format(value),
            Some((value, unit)) => format!("{} {}", self.does, unit.format(value)),
            None => self.does.to_owned(),
        }
    }

    /// The part in words, without its cell.
    pub fn part_words(&self, mode: &CompiledMode) -> String {
        let wheel = |place: usize| mode.wheels.get(place).map_or("wheel", String::as_str);
        match self.part {
            Part::Pan => "pan".to_owned(),
            Part::Tilt => "tilt".to_owned(),
            Part::AimSpeed => "aim speed".to_owned(),
            Part::Level(_) => "level".to_owned(),
            Part::Shutter(_) => "shutter".to_owned(),
            Part::Emitter(_, place) => {
                let emitters = mode.profile.source.emitters();
                emitters.get(place).map_or_else(|| "emitter".to_owned(), |e| e.name.clone())
            }
            Part::Filter(_, place) => {
                ["cyan", "magenta", "yellow"].get(place).copied().unwrap_or("filter").to_owned()
            }
            Part::Temperature(_) => "colour temperature".to_owned(),
            Part::Wheel(place) => format!("{} wheel", wheel(place)),
            Part::WheelTurn(place) => format!("{} turn", wheel(place)),
            Part::Zoom => "beam angle".to_owned(),
            Part::Focus => "focus".to_owned(),
            Part::Iris => "iris".to_owned(),
            Part::IrisPulse => "iris pulse".to_owned(),
            Part::Frost => "frost".to_owned(),
            Part::Blade(place) => format!("{} blade", blade(place)),
            Part::BladeTurn(place) => format!("{} blade angle", blade(place)),
            Part::FrameTurn => "frame angle".to_owned(),
            Part::DarkWhileMoving => "dark while moving".to_owned(),
        }
    }

    /// The cell it belongs to, as a place.
    fn cell(&self) -> Option<usize> {
        match self.part {
            Part::Level(cell)
            | Part::Shutter(cell)
            | Part::Emitter(cell, _)
            | Part::Filter(cell, _)
            | Part::Temperature(cell) => Some(cell),
            _ => None,
        }
    }
}

fn blade(place: usize) -> &'static str {
    ["top", "right", "bottom", "left"].get(place).copied().unwrap_or("other")
}

fn slot_name(mode: &CompiledMode, wheel: usize, place: f64) -> Option<String> {
    let slots = &mode.profile.wheels.get(mode.wheels.get(wheel)?)?.slots;
    let at = |place: f64| {
        let slot = slots.get((place as usize).checked_sub(1)?)?;
        Some(slot.name().to_owned())
    };
    if place.fract() == 0.0 {
        return at(place);
    }
    Some(format!("between {} and {}", at(place.floor())?, at(place.ceil()).or_else(|| at(1.0))?))
}

/// Facets in words, those of cells that do the same together: `pan: 34.00 deg`, `red (cells 1, 2): 40.0 %`.
pub fn facet_words(facets: &[Facet], mode: &CompiledMode) -> Vec<String> {
    let mut said: Vec<(String, String, Vec<usize>)> = Vec::new();
    for facet in facets {
        let (part, does) = (facet.part_words(mode), facet.does_words(mode));
        let cells = facet.cell();
        match said.iter_mut().find(|(p, d, _)| *p == part && *d == does) {
            Some((.., list)) if cells.is_some() => list.extend(cells),
            _ => said.push((part, does, cells.into_iter().collect())),
        }
    }
    let count = mode.profile.cell_count();
    let words = said.into_iter().map(|(part, does, cells)| {
        let cells = match cells.len() {
            0 => String::new(),
            n if n >= count => String::new(),
            n if n > 6 => format!(" ({n} of {count} cells)"),
            _ => {
                let list: Vec<String> = cells.iter().map(|cell| (cell + 1).to_string()).collect();
                format!(" (cell {})", list.join(", "))
            }
        };
        format!("{part}{cells}: {does}")
    });
    words.collect()
}

impl Outcome {
    /// What is asked, part by part.
    pub fn new(asked: &Asked) -> Self {
        let mut facets = Vec::with_capacity(16);
        let mut add = |part, does, number| facets.push(Facet { part, does, number });
        for (part, ask) in [(Part::Pan, asked.pan), (Part::Tilt, asked.tilt)] {
            axis(part, ask, &mut add);
        }
        match asked.aim_speed {
            AimSpeed::Unasked => {}
            AimSpeed::Follow => add(Part::AimSpeed, "follows the frame", None),
            AimSpeed::Rate { deg_s } => {
                add(Part::AimSpeed, "", Some((deg_s, Unit::DegreePerSecond)));
            }
            AimSpeed::Time { s } => add(Part::AimSpeed, "", Some((s, Unit::Second))),
            AimSpeed::Share { share } => {
                add(Part::AimSpeed, "", Some((100.0 * share, Unit::Percent)));
            }
        }
        for (i, cell) in asked.cells.iter().enumerate() {
            let percent = |share: f64| Some((100.0 * share, Unit::Percent));
            if let Some(level) = cell.level {
                add(Part::Level(i), "", percent(level));
            }
            match cell.shutter {
                ShutterAsk::Unasked => {}
                ShutterAsk::Shut => add(Part::Shutter(i), "closed", None),
                ShutterAsk::Open => add(Part::Shutter(i), "open", None),
                ShutterAsk::Flash { hz, shape, timing } => {
                    let does = flash_words(shape, timing);
                    add(Part::Shutter(i), does, Some((hz, Unit::Hertz)));
                }
            }
            for (e, level) in cell.emitters.iter().enumerate() {
                if let Some(level) = level {
                    add(Part::Emitter(i, e), "", percent(*level));
                }
            }
            for (f, share) in cell.filters.iter().enumerate() {
                if let Some(share) = share {
                    add(Part::Filter(i, f), "", percent(*share));
                }
            }
            if let Some(k) = cell.temperature_k {
                add(Part::Temperature(i), "", Some((k, Unit::Kelvin)));
            }
        }
        for (i, ask) in asked.wheels.iter().enumerate() {
            wheel(i, ask, &mut add);
        }
        beam(asked, &mut add);
        if asked.dark_while_aiming || asked.dark_while_wheels {
            add(Part::DarkWhileMoving, "on", None);
        }
        facets.sort_by_key(|facet| facet.part);
        Self { facets, commands: asked.commands.clone(), overridden: asked.overridden_by.clone() }
    }

    /// Nothing acts on its own: no command, no program.
    pub fn is_plain(&self) -> bool {
        self.commands.is_empty() && self.overridden.is_none()
    }

    /// What one part does.
    pub fn facet(&self, part: Part) -> Option<&Facet> {
        let place = self.facets.binary_search_by_key(&part, |facet| facet.part).ok()?;
        self.facets.get(place)
    }

    /// Whether it means the same within so many tolerances.
    pub fn near(&self, other: &Self, tolerances: f64) -> bool {
        self.commands == other.commands
            && self.overridden == other.overridden
            && self.facets.len() == other.facets.len()
            && self.facets.iter().zip(&other.facets).all(|(a, b)| a.near(b, tolerances))
    }

    /// The facets that differ from those of another by more than so many tolerances.
    pub fn differing(&self, other: &Self, tolerances: f64) -> Vec<Facet> {
        let same = |facet: &&Facet| {
            other.facet(facet.part).is_some_and(|there| facet.near(there, tolerances))
        };
        self.facets.iter().filter(|facet| !same(facet)).copied().collect()
    }
}

fn axis(part: Part, ask: AxisAsk, add: &mut impl FnMut(Part, &'static str, Option<(f64, Unit)>)) {
    match ask {
        AxisAsk::Unasked => {}
        AxisAsk::To { deg } => add(part, "", Some((deg, Unit::Degree))),
        AxisAsk::Spin { rpm } => add(part, "turns", Some((rpm, Unit::Rpm))),
        AxisAsk::Stay => add(part, STAYS, None),
    }
}

fn wheel(
    place: usize,
    ask: &WheelAsk,
    add: &mut impl FnMut(Part, &'static str, Option<(f64, Unit)>),
) {
    let part = Part::Wheel(place);
    match ask.place {
        WheelPlace::Unasked => {}
        WheelPlace::At { place } => add(part, "", Some((place, Unit::Slot))),
        // The rate of trembling is told by the turn, so that the slot is compared too.
        WheelPlace::Shake { slot, .. } => {
            add(part, "shakes", Some((f64::from(slot), Unit::Slot)));
        }
        WheelPlace::Scroll { rpm } => add(part, "scrolls", Some((rpm, Unit::Rpm))),
        WheelPlace::Stay => add(part, STAYS, None),
        WheelPlace::Random { hz } => add(part, "random slots", Some((hz, Unit::Hertz))),
    }
    match (ask.place, ask.turn) {
        (WheelPlace::Shake { hz, .. }, AxisAsk::Unasked) => {
            add(Part::WheelTurn(place), "shakes", Some((hz, Unit::Hertz)));
        }
        (_, turn) => axis(Part::WheelTurn(place), turn, add),
    }
}

fn beam(asked: &Asked, add: &mut impl FnMut(Part, &'static str, Option<(f64, Unit)>)) {
    let shares = [(Part::Focus, asked.focus), (Part::Iris, asked.iris), (Part::Frost, asked.frost)];
    for (part, share) in shares {
        if let Some(share) = share {
            add(part, "", Some((100.0 * share, Unit::Percent)));
        }
    }
    if let Some(deg) = asked.zoom_deg {
        add(Part::Zoom, "", Some((deg, Unit::Degree)));
    }
    if let Some(hz) = asked.iris_pulse_hz {
        add(Part::IrisPulse, "", Some((hz, Unit::Hertz)));
    }
    if let Some(deg) = asked.frame_turn_deg {
        add(Part::FrameTurn, "", Some((deg, Unit::Degree)));
    }
    for (i, ask) in asked.blades.iter().enumerate() {
        if let Some(depth) = ask.depth {
            add(Part::Blade(i), "", Some((100.0 * depth, Unit::Percent)));
        }
        if let Some(deg) = ask.turn_deg {
            add(Part::BladeTurn(i), "", Some((deg, Unit::Degree)));
        }
    }
}

fn flash_words(shape: Shape, timing: Timing) -> &'static str {
    match (timing, shape) {
        (Timing::Random, _) => "random flashes",
        (Timing::Burst, _) => "flashes in bursts",
        (Timing::Even, Shape::Hard) => "flashes",
        (Timing::Even, Shape::Swell) => "swells",
        (Timing::Even, Shape::Opening) => "pulses opening",
        (Timing::Even, Shape::Closing) => "pulses closing",
    }
}
