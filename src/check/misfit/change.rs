//! What of a head is seen to change from one moment to the next, in plain terms.

use super::look::{Hue, Look, Way};

/// The least turn of an axis that a person sees, in degrees (from memory).
const SEEN_DEG: f64 = 0.7;

/// How many times brighter light must be for a person to be sure of it (from memory).
const BRIGHTER: f64 = 1.4;

/// How many times wider a beam must be for a person to be sure of it (from memory).
const WIDER: f64 = 1.15;

/// Something that is seen to change.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Change {
    /// Its light goes out.
    GoesDark,
    /// Light comes.
    LightsUp,
    /// More light.
    Brighter,
    /// Less light.
    Dimmer,
    /// It begins to flash.
    StartsFlashing,
    /// It flashes no more.
    StopsFlashing,
    /// A pattern comes.
    PatternComes,
    /// The pattern goes.
    PatternGoes,
    /// Its beam opens.
    Wider,
    /// Its beam closes.
    Narrower,
    /// A program of its own or a reset begins.
    RunsItself,
    /// It turns about its base, clockwise seen from above.
    TurnsClockwise,
    /// It turns about its base, anticlockwise seen from above.
    TurnsAnticlockwise,
    /// It tips, and its light goes this way.
    Tips(Way),
    /// Its light takes this colour.
    Becomes(Hue),
}

impl Change {
    /// All of them, in the order of the lists that offer them.
    pub fn all() -> impl Iterator<Item = Self> {
        let first = [
            Self::GoesDark,
            Self::LightsUp,
            Self::Brighter,
            Self::Dimmer,
            Self::StartsFlashing,
            Self::StopsFlashing,
            Self::PatternComes,
            Self::PatternGoes,
            Self::Wider,
            Self::Narrower,
            Self::RunsItself,
            Self::TurnsClockwise,
            Self::TurnsAnticlockwise,
        ];
        first.into_iter().chain(Way::ALL.map(Self::Tips)).chain(Hue::ALL.map(Self::Becomes))
    }

    /// In words, after `it`.
    pub fn words(self) -> String {
        match self {
            Self::GoesDark => "goes dark".to_owned(),
            Self::LightsUp => "lights up".to_owned(),
            Self::Brighter => "gets brighter".to_owned(),
            Self::Dimmer => "gets dimmer".to_owned(),
            Self::StartsFlashing => "starts to flash".to_owned(),
            Self::StopsFlashing => "stops flashing".to_owned(),
            Self::PatternComes => "shows a pattern".to_owned(),
            Self::PatternGoes => "loses its pattern".to_owned(),
            Self::Wider => "opens its beam".to_owned(),
            Self::Narrower => "closes its beam".to_owned(),
            Self::RunsItself => "runs by itself or resets".to_owned(),
            Self::TurnsClockwise => "turns clockwise seen from above".to_owned(),
            Self::TurnsAnticlockwise => "turns anticlockwise seen from above".to_owned(),
            Self::Tips(way) => format!("tips {}", way.words()),
            Self::Becomes(hue) => format!("becomes {}", hue.words()),
        }
    }

    /// Whether it is a movement of the head.
    pub fn is_move(self) -> bool {
        matches!(self, Self::TurnsClockwise | Self::TurnsAnticlockwise | Self::Tips(_))
    }

    fn bit(self) -> u32 {
        1 << Self::all().position(|known| known == self).unwrap_or(31)
    }
}

/// Everything that is seen to change between two moments. Empty: it did nothing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Changes(u32);

impl Changes {
    /// Nothing is seen to change.
    pub const NOTHING: Self = Self(0);

    /// What is seen to change from one look to another.
    pub fn between(before: &Look, after: &Look) -> Self {
        if before.runs_itself || after.runs_itself {
            let begins = after.runs_itself && !before.runs_itself;
            return if begins { Self(Change::RunsItself.bit()) } else { Self::NOTHING };
        }
        let mut seen = Self::default();
        seen.light(before, after);
        if let (Some(from), Some(to)) = (before.axes_deg, after.axes_deg) {
            let turn = (to[0] - from[0]) * before.pan_axis.z.signum();
            if turn.abs() >= SEEN_DEG {
                seen.add(match turn > 0.0 {
                    true => Change::TurnsAnticlockwise,
                    false => Change::TurnsClockwise,
                });
            }
            let tip = to[1] - from[1];
            if tip.abs() >= SEEN_DEG {
                // The way that the light goes at the start of it, whatever the pan does meanwhile.
                let goes = before.frame.up * tip.signum();
                seen.add(Change::Tips(Way::nearest(goes)));
            }
        }
        seen
    }

    fn light(&mut self, before: &Look, after: &Look) {
        match (before.lit(), after.lit()) {
            (false, false) => return,
            (true, false) => return self.add(Change::GoesDark),
            (false, true) => self.add(Change::LightsUp),
            (true, true) => {
                let share = after.peak_cd / before.peak_cd;
                let wider = after.field_deg / before.field_deg.max(1e-3);
                if wider >= WIDER {
                    self.add(Change::Wider);
                } else if wider <= 1.0 / WIDER {
                    self.add(Change::Narrower);
                } else if share >= BRIGHTER {
                    self.add(Change::Brighter);
                } else if share <= 1.0 / BRIGHTER {
                    self.add(Change::Dimmer);
                }
                match (before.pattern, after.pattern) {
                    (false, true) => self.add(Change::PatternComes),
                    (true, false) => self.add(Change::PatternGoes),
                    _ => {}
                }
            }
        }
        match (before.flash.is_some(), after.flash.is_some()) {
            (false, true) => self.add(Change::StartsFlashing),
            (true, false) if before.lit() => self.add(Change::StopsFlashing),
            _ => {}
        }
        if let Some(hue) = after.hue.filter(|hue| before.hue != Some(*hue)) {
            self.add(Change::Becomes(hue));
        }
    }

    fn add(&mut self, change: Change) {
        self.0 |= change.bit();
    }

    /// Whether this is among what changes.
    pub fn has(self, change: Change) -> bool {
        self.0 & change.bit() != 0
    }

    /// Each of them.
    pub fn iter(self) -> impl Iterator<Item = Change> {
        Change::all().filter(move |change| self.has(*change))
    }

    /// Whether the head moves.
    pub fn moves(self) -> bool {
        self.iter().any(Change::is_move)
    }

    /// In words, after `it`: `goes dark and tips up`, `does nothing`.
    pub fn words(self) -> String {
        let all: Vec<String> = self.iter().map(Change::words).collect();
        match all.split_last() {
            None => "does nothing".to_owned(),
            Some((only, [])) => only.clone(),
            Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
        }
    }
}

impl FromIterator<Change> for Changes {
    fn from_iter<I: IntoIterator<Item = Change>>(changes: I) -> Self {
        let mut all = Self::default();
        changes.into_iter().for_each(|change| all.add(change));
        all
    }
}
