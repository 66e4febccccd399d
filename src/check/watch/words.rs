//! The words of conditions: states, numbers, units, and what each means.

use super::token::{Kind, Token};

/// What a number counts. Lengths, times and rates are in SI units, angles in degrees, shares in percent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dim {
    /// A plain number: the value of a slot or channel.
    Plain,
    /// Degrees.
    Degree,
    /// Percent.
    Percent,
    /// Hertz.
    Hertz,
    /// Revolutions a minute.
    Rpm,
    /// Degrees a second.
    DegreePerSecond,
    /// Seconds.
    Second,
    /// Kelvin.
    Kelvin,
    /// A place on a wheel, from 1.
    Place,
    /// Metres.
    Metre,
    /// Lumens.
    Lumen,
    /// Lux.
    Lux,
}

impl Dim {
    /// The unit as it is written.
    pub fn symbol(self) -> &'static str {
        match self {
            Self::Plain => "",
            Self::Degree => "deg",
            Self::Percent => "%",
            Self::Hertz => "Hz",
            Self::Rpm => "rpm",
            Self::DegreePerSecond => "deg/s",
            Self::Second => "s",
            Self::Kelvin => "K",
            Self::Place => "place",
            Self::Metre => "m",
            Self::Lumen => "lm",
            Self::Lux => "lx",
        }
    }

    /// What it is called in a message.
    pub fn name(self) -> &'static str {
        if self == Self::Plain { "a plain number" } else { self.symbol() }
    }

    /// A value with its unit.
    pub fn words(self, value: f64) -> String {
        let number = crate::finding::rounded(value, 2);
        if self == Self::Plain { number } else { format!("{number} {}", self.symbol()) }
    }
}

impl From<crate::profile::quantity::Unit> for Dim {
    fn from(unit: crate::profile::quantity::Unit) -> Self {
        use crate::profile::quantity::Unit;
        match unit {
            Unit::Degree => Self::Degree,
            Unit::Percent => Self::Percent,
            Unit::Hertz => Self::Hertz,
            Unit::Rpm => Self::Rpm,
            Unit::DegreePerSecond => Self::DegreePerSecond,
            Unit::Second => Self::Second,
            Unit::Kelvin => Self::Kelvin,
            Unit::Slot => Self::Place,
        }
    }
}

/// Units as they are typed: how many of the dimension's own one is.
pub const UNITS: [(&str, Dim, f64); 27] = [
    ("deg", Dim::Degree, 1.0),
    ("degree", Dim::Degree, 1.0),
    ("degrees", Dim::Degree, 1.0),
    ("percent", Dim::Percent, 1.0),
    ("hz", Dim::Hertz, 1.0),
    ("rpm", Dim::Rpm, 1.0),
    ("s", Dim::Second, 1.0),
    ("sec", Dim::Second, 1.0),
    ("second", Dim::Second, 1.0),
    ("seconds", Dim::Second, 1.0),
    ("ms", Dim::Second, 1e-3),
    ("min", Dim::Second, 60.0),
    ("minutes", Dim::Second, 60.0),
    ("h", Dim::Second, 3600.0),
    ("k", Dim::Kelvin, 1.0),
    ("kelvin", Dim::Kelvin, 1.0),
    ("place", Dim::Place, 1.0),
    ("m", Dim::Metre, 1.0),
    ("metre", Dim::Metre, 1.0),
    ("metres", Dim::Metre, 1.0),
    ("meters", Dim::Metre, 1.0),
    ("cm", Dim::Metre, 0.01),
    ("lm", Dim::Lumen, 1.0),
    ("lumen", Dim::Lumen, 1.0),
    ("lx", Dim::Lux, 1.0),
    ("lux", Dim::Lux, 1.0),
    ("places", Dim::Place, 1.0),
];

/// A state that a fixture is in or not.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    /// Light leaves it: dimmer, shutter and lamp let at least [`super::LIT`] through, as the mean over flashes.
    Lit,
    /// It is not lit.
    Dark,
    /// Pan or tilt moves.
    Moving,
    /// Neither pan nor tilt moves.
    Still,
    /// Its shutter flashes, and light comes out.
    Flashing,
    /// A reset is under way.
    Resetting,
    /// A value that acts after a while is held, and has not acted yet.
    Holding,
    /// Its lamp was struck and does not give light yet.
    Striking,
    /// A built-in program, sound or another fixture runs it.
    Running,
    /// A lit beam goes over the audience.
    OverAudience,
}

/// States as they are typed.
pub const STATES: [(&str, State, &str); 14] = [
    ("lit", State::Lit, "light leaves it"),
    ("on", State::Lit, "light leaves it"),
    ("dark", State::Dark, "no light leaves it"),
    ("off", State::Dark, "no light leaves it"),
    ("moving", State::Moving, "pan or tilt moves"),
    ("still", State::Still, "neither pan nor tilt moves"),
    ("flashing", State::Flashing, "its shutter flashes and light comes out"),
    ("strobing", State::Flashing, "its shutter flashes and light comes out"),
    ("resetting", State::Resetting, "a reset is under way"),
    ("homing", State::Resetting, "a reset is under way"),
    ("holding", State::Holding, "a value is held that has not acted yet"),
    ("striking", State::Striking, "its lamp was struck and is not lit yet"),
    ("running", State::Running, "a program of its own runs it"),
    ("overridden", State::Running, "a program of its own runs it"),
];

impl State {
    /// The word by which it is told.
    pub fn word(self) -> &'static str {
        if self == Self::OverAudience {
            return "beam over the audience";
        }
        STATES.iter().find(|(_, state, _)| *state == self).map_or("", |(word, _, _)| word)
    }
}

/// A number of a fixture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quantity {
    /// Pan as its channel would ask for it, now.
    Pan,
    /// Tilt, likewise.
    Tilt,
    /// How fast pan or tilt moves, whichever is faster.
    Speed,
    /// Light that dimmer, shutter and lamp let through, as the mean over flashes.
    Level,
    /// Luminous flux that leaves it.
    Flux,
    /// Illuminance where its beam passes eye level among the audience; 0 where it does not.
    EyeLux,
    /// Flashes a second; 0 where there are none.
    Flash,
    /// Beam angle.
    Zoom,
    /// Iris, as a share of its full diameter.
    Iris,
    /// Frost, as a share.
    Frost,
    /// The lowest height of the middle of its lit beam over the audience; not known where there is none.
    Height,
}

/// Numbers as they are typed, with what each is.
pub const QUANTITIES: [(&str, Quantity, &str); 14] = [
    ("pan", Quantity::Pan, "angle of pan, now"),
    ("tilt", Quantity::Tilt, "angle of tilt, now"),
    ("speed", Quantity::Speed, "how fast pan or tilt moves"),
    ("level", Quantity::Level, "light that dimmer, shutter and lamp let through"),
    ("light", Quantity::Level, "light that dimmer, shutter and lamp let through"),
    ("flux", Quantity::Flux, "lumens that leave it"),
    ("lux", Quantity::EyeLux, "lux of its beam at eye level in the audience"),
    ("flash", Quantity::Flash, "flashes a second"),
    ("rate", Quantity::Flash, "flashes a second"),
    ("zoom", Quantity::Zoom, "beam angle"),
    ("iris", Quantity::Iris, "share of the full diameter"),
    ("frost", Quantity::Frost, "share of full frost"),
    ("height", Quantity::Height, "lowest height of its beam over the audience"),
    ("beam", Quantity::Height, "the beam: `beam below 2 m over the audience`"),
];

impl Quantity {
    /// What it counts.
    pub fn dim(self) -> Dim {
        match self {
            Self::Pan | Self::Tilt | Self::Zoom => Dim::Degree,
            Self::Speed => Dim::DegreePerSecond,
            Self::Level | Self::Iris | Self::Frost => Dim::Percent,
            Self::Flux => Dim::Lumen,
            Self::EyeLux => Dim::Lux,
            Self::Flash => Dim::Hertz,
            Self::Height => Dim::Metre,
        }
    }

    /// The word by which it is told.
    pub fn word(self) -> &'static str {
        match self {
            Self::EyeLux => "lux at eye level",
            Self::Height => "beam height over the audience",
            _ => QUANTITIES.iter().find(|(_, own, _)| *own == self).map_or("", |(word, _, _)| word),
        }
    }
}

/// Words with a meaning of their own, that are no names of channels unless they stand in quotation marks.
pub const OTHER_WORDS: [&str; 34] = [
    "and", "or", "not", "while", "but", "is", "leaves", "enters", "starts", "stops", "slot",
    "time", "fixture", "fixtures", "head", "heads", "any", "all", "every", "no", "none", "of",
    "below", "under", "above", "over", "at", "eye", "the", "audience", "to", "in", "with", "when",
];

/// The state that a word names.
pub fn state(token: &Token) -> Option<State> {
    let Kind::Word(word) = &token.kind else { return None };
    STATES.iter().find(|(known, _, _)| known == word).map(|(_, state, _)| *state)
}

/// The number that a word names.
pub fn quantity(token: &Token) -> Option<Quantity> {
    let Kind::Word(word) = &token.kind else { return None };
    QUANTITIES.iter().find(|(known, _, _)| known == word).map(|(_, quantity, _)| *quantity)
}

/// Every word there is, to find which one a slip was meant to be.
pub fn all_words() -> impl Iterator<Item = &'static str> {
    let states = STATES.iter().map(|(word, _, _)| *word);
    let quantities = QUANTITIES.iter().map(|(word, _, _)| *word);
    states.chain(quantities).chain(OTHER_WORDS)
}
