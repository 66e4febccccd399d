//! Counting flashes: by the definition of WCAG 2.2, success criterion 2.3.1 and its terms.
//!
//! A flash is a pair of opposing changes of relative luminance of at least 10 % of its maximum, of which
//! the darker state is below 0.80; or any such pair of changes that involves a saturated red. What counts is
//! how many come within any one second.
//!
//! Guidance disagrees about how many are too many: WCAG has 3 a second for screens, the UK's HSE 4 for
//! clubs, theatre codes of practice 5 for strobes that are looked at. None of it makes flashing safe for
//! everybody; local codes and licensed practice decide.

use std::collections::VecDeque;

use crate::light::Rgb;

/// The least change that counts, as a share of the greatest luminance.
pub const LEAST_CHANGE: f64 = 0.1;

/// The darker of both states is below this, as a share of the greatest luminance.
pub const DARKER_BELOW: f64 = 0.8;

/// Share of red in a colour, in linear light, from which on it counts as saturated.
pub const RED_SHARE: f64 = 0.8;

/// How far apart two colours lie in the CIE 1976 chromaticity diagram, at least, for a red flash.
pub const RED_DISTANCE: f64 = 0.2;

/// Flashes in a second that a screen may show: WCAG 2.2, 2.3.1 and 2.3.2.
pub const MOST_ON_SCREEN: f64 = 3.0;

/// Flashes in a second that the UK's HSE gives for clubs (as quoted by the Epilepsy Society), and for the
/// output of a group of strobes together.
pub const MOST_IN_CLUBS: f64 = 4.0;

/// The window in which flashes are counted, in seconds.
pub const WINDOW_S: f64 = 1.0;

/// Changes that come this close together and go the same way are seen as one, in seconds (working value of a
/// review of 2024).
pub const TOGETHER_S: f64 = 0.02;

/// Which way luminance goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// Brighter, or redder.
    Up,
    /// Darker, or less red.
    Down,
}

/// A change that is half of a flash.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Turn {
    /// When it had become large enough, in seconds.
    pub at_s: f64,
    /// Which way it goes.
    pub way: Way,
}

/// The most flashes that one window held.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Worst {
    /// Flashes: pairs of changes, so that an odd number of changes is half a flash more.
    pub flashes: f64,
    /// When the window began, in seconds.
    pub from_s: f64,
    /// When its last change came.
    pub to_s: f64,
}

/// Counts changes within any window of a second. What is older is forgotten.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Window {
    turns: VecDeque<f64>,
    worst: Worst,
    total: u64,
}

impl Window {
    /// Takes in a change; times never run backwards.
    pub fn push(&mut self, at_s: f64) {
        self.turns.push_back(at_s);
        self.total += 1;
        // A window takes in its beginning and not its end: changes a whole second apart are in two, and so
        // are those that float noise brings a millionth of a second nearer.
        while self.turns.front().is_some_and(|first| at_s - first >= WINDOW_S - 1e-6) {
            self.turns.pop_front();
        }
        let flashes = self.turns.len() as f64 / 2.0;
        if flashes > self.worst.flashes {
            let from_s = self.turns.front().copied().unwrap_or(at_s);
            self.worst = Worst { flashes, from_s, to_s: at_s };
        }
    }

    /// The most flashes that any second held so far.
    pub fn worst(&self) -> Worst {
        self.worst
    }

    /// How many changes there were in all.
    pub fn total(&self) -> u64 {
        self.total
    }
}

/// Finds the changes of a signal that count, from samples of it in order of time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Turns {
    way: Option<Way>,
    low: f64,
    high: f64,
}

impl Default for Turns {
    fn default() -> Self {
        Self { way: None, low: f64::INFINITY, high: f64::NEG_INFINITY }
    }
}

impl Turns {
    /// Takes in a sample of relative luminance (1 is the greatest) and gives the change that it completes.
    /// A change is complete once it is large enough, whatever it grows to; small wobbles on the way up or
    /// down are no changes.
    pub fn sample(&mut self, at_s: f64, luminance: f64) -> Option<Turn> {
        if !luminance.is_finite() {
            return None;
        }
        (self.low, self.high) = (self.low.min(luminance), self.high.max(luminance));
        // Written so that 0.3 is a tenth above 0.2 whatever the last bit of it says.
        let enough = |change: f64| change >= LEAST_CHANGE - 1e-12;
        let rises =
            self.way != Some(Way::Up) && enough(luminance - self.low) && self.low < DARKER_BELOW;
        let falls = self.way != Some(Way::Down)
            && enough(self.high - luminance)
            && luminance < DARKER_BELOW;
        let way = match (rises, falls) {
            (true, _) => Way::Up,
            (_, true) => Way::Down,
            _ => return None,
        };
        self.way = Some(way);
        (self.low, self.high) = (luminance, luminance);
        Some(Turn { at_s, way })
    }
}

/// Finds the changes to and from saturated red, from samples of colour in order of time.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct RedTurns {
    /// The red, or what was not red, that stood last, in u' and v'.
    last: Option<(bool, (f64, f64))>,
}

impl RedTurns {
    /// Takes in a colour in linear light and gives the change that it completes. Black has no colour, and
    /// is no state of its own here: a red that goes dark and comes again is a flash by its luminance.
    pub fn sample(&mut self, at_s: f64, colour: Rgb) -> Option<Turn> {
        let Rgb([r, g, b]) = colour;
        let sum = r + g + b;
        let at = colour.is_light().then(|| chromaticity(colour)).flatten()?;
        let red = r / sum >= RED_SHARE;
        let Some((was_red, from)) = self.last else {
            self.last = Some((red, at));
            return None;
        };
        if red == was_red {
            self.last = Some((red, at));
            return None;
        }
        let far = (at.0 - from.0).hypot(at.1 - from.1) > RED_DISTANCE;
        if !far {
            return None;
        }
        self.last = Some((red, at));
        Some(Turn { at_s, way: if red { Way::Up } else { Way::Down } })
    }
}

/// u' and v' of the CIE 1976 diagram; `None` for black.
fn chromaticity(colour: Rgb) -> Option<(f64, f64)> {
    let crate::light::colour::Xyz([x, y, z]) = colour.to_xyz();
    let sum = x + 15.0 * y + 3.0 * z;
    (sum > 0.0).then(|| (4.0 * x / sum, 9.0 * y / sum))
}

/// Changes of several signals, as one who sees them all at once takes them: those that go the same way
/// within [`TOGETHER_S`] are one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Together {
    last_s: [f64; 2],
}

impl Default for Together {
    fn default() -> Self {
        Self { last_s: [f64::NEG_INFINITY; 2] }
    }
}

impl Together {
    /// Takes in a change, in order of time, and says whether it is one of its own.
    pub fn take(&mut self, turn: Turn) -> bool {
        let last_s = &mut self.last_s[usize::from(turn.way == Way::Down)];
        let apart = turn.at_s - *last_s > TOGETHER_S;
        if apart {
            *last_s = turn.at_s;
        }
        apart
    }
}

/// What is usually said beside a warning of flashes.
pub const CAUTION: &str = "flashing light can bring on seizures in people with photosensitive epilepsy: usual \
guidance is to keep under 3 or 4 flashes a second in all, to keep bursts short, to run strobes that are seen \
together in step, and to warn the audience at the entrance and in the programme; local codes and licensed \
practice decide";
