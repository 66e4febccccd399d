//! The words for what is seen while a head is probed.

use std::fmt;

use crate::finding::nearest;

/// How a rate goes as the value rises.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Trend {
    /// It does not change, or nobody could tell.
    Same,
    /// It rises.
    Faster,
    /// It falls.
    Slower,
}

/// What was seen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Seen {
    /// Nobody looked.
    NotLooked,
    /// Nothing was seen to change, which is not to say that nothing does.
    Nothing,
    /// Steady light.
    LightOn,
    /// The light went out, or stays out where it was on.
    LightOff,
    /// The higher the value, the more light.
    Brighter,
    /// The higher the value, the less light.
    Darker,
    /// Hard flashes.
    Strobes(Trend),
    /// Flashes that swell or fade.
    Pulses(Trend),
    /// It turns to a place further left, as a person on their feet turns left.
    TurnsLeft,
    /// It turns to a place further right.
    TurnsRight,
    /// It tips to a place further up.
    TurnsUp,
    /// It tips to a place further down.
    TurnsDown,
    /// It turns and does not stop.
    KeepsTurning,
    /// The light has this colour.
    Colour(String),
    /// Colours pass by without stopping.
    ColoursScroll,
    /// There is a pattern in the light, with a name for it if it was given one.
    Pattern(String),
    /// What is in the beam turns.
    PatternTurns,
    /// What is in the beam trembles.
    Shakes,
    /// The beam is split in several.
    Splits,
    /// The beam gets wider with the value.
    Wider,
    /// The beam gets narrower with the value.
    Narrower,
    /// The edge gets softer.
    Softer,
    /// The edge gets sharper.
    Sharper,
    /// What moves, moves faster than before.
    MovesFaster,
    /// What moves, moves slower than before.
    MovesSlower,
    /// It goes dark, finds its ends and comes back.
    Homes,
    /// The lamp is put out.
    LampOff,
    /// The lamp is struck.
    LampOn,
    /// It runs by itself.
    RunsByItself,
    /// Something else, in the words of whoever saw it.
    Other(String),
}

/// One word of the list that is picked from.
#[derive(Clone, Copy, Debug)]
pub struct Word {
    /// The word, as it is written and shown.
    pub word: &'static str,
    /// When to pick it.
    pub when: &'static str,
    make: fn() -> Seen,
}

impl Word {
    /// What it stands for; the name of a colour or pattern is empty.
    pub fn seen(&self) -> Seen {
        (self.make)()
    }
}

const fn word(word: &'static str, when: &'static str, make: fn() -> Seen) -> Word {
    Word { word, when, make }
}

/// The list, in the order in which it is shown. `colour`, `pattern` and `other` take words of one's own
/// behind them.
pub const WORDS: &[Word] = &[
    word("nothing", "nothing is seen to change", || Seen::Nothing),
    word("light on", "there is steady light", || Seen::LightOn),
    word("light off", "the light is gone", || Seen::LightOff),
    word("brighter", "the higher the value, the more light", || Seen::Brighter),
    word("darker", "the higher the value, the less light", || Seen::Darker),
    word("strobes", "hard flashes", || Seen::Strobes(Trend::Same)),
    word("strobes slow to fast", "hard flashes, faster with the value", || {
        Seen::Strobes(Trend::Faster)
    }),
    word("strobes fast to slow", "hard flashes, slower with the value", || {
        Seen::Strobes(Trend::Slower)
    }),
    word("pulses", "the light swells or fades again and again", || Seen::Pulses(Trend::Same)),
    word("pulses slow to fast", "the same, faster with the value", || Seen::Pulses(Trend::Faster)),
    word("pulses fast to slow", "the same, slower with the value", || Seen::Pulses(Trend::Slower)),
    word("turns left", "it goes to a place further left and stops there", || Seen::TurnsLeft),
    word("turns right", "it goes to a place further right and stops there", || Seen::TurnsRight),
    word("turns up", "it tips to a place further up and stops there", || Seen::TurnsUp),
    word("turns down", "it tips to a place further down and stops there", || Seen::TurnsDown),
    word("keeps turning", "it turns and does not stop", || Seen::KeepsTurning),
    word("colour", "the light has a colour: name it", || Seen::Colour(String::new())),
    word("colours scroll", "colours pass by without stopping", || Seen::ColoursScroll),
    word("pattern", "there is a pattern in the light: name it", || Seen::Pattern(String::new())),
    word("pattern turns", "what is in the beam turns", || Seen::PatternTurns),
    word("shakes", "what is in the beam trembles", || Seen::Shakes),
    word("splits", "the beam is split in several", || Seen::Splits),
    word("wider", "the beam gets wider with the value", || Seen::Wider),
    word("narrower", "the beam gets narrower with the value", || Seen::Narrower),
    word("softer", "the edge of the light gets softer", || Seen::Softer),
    word("sharper", "the edge of the light gets sharper", || Seen::Sharper),
    word("moves faster", "other moves are faster than before", || Seen::MovesFaster),
    word("moves slower", "other moves are slower than before", || Seen::MovesSlower),
    word("goes dark then homes", "it goes dark, finds its ends and comes back: a reset", || {
        Seen::Homes
    }),
    word("lamp off", "the lamp is put out; it may have to cool down", || Seen::LampOff),
    word("lamp on", "the lamp is struck", || Seen::LampOn),
    word("runs by itself", "a built-in program runs", || Seen::RunsByItself),
    word("other", "something else: say what", || Seen::Other(String::new())),
    word("not looked at", "left out", || Seen::NotLooked),
];

impl Seen {
    /// What a word of the list stands for, in whatever case; `None` for a word that is not on it.
    pub fn of(text: &str) -> Option<Self> {
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        let lower = text.to_lowercase();
        if let Some(word) = WORDS.iter().find(|word| word.word == lower) {
            return Some(word.seen());
        }
        let (first, rest) = text.split_once(' ')?;
        let rest = rest.to_owned();
        match first.trim_end_matches(':').to_lowercase().as_str() {
            "colour" => Some(Self::Colour(rest)),
            "pattern" => Some(Self::Pattern(rest)),
            "other" => Some(Self::Other(rest)),
            _ => None,
        }
    }

    /// The word of the list that `text` is most likely a slip of.
    pub fn nearest(text: &str) -> Option<&'static str> {
        nearest(text, WORDS.iter().map(|word| word.word))
    }

    /// Whether two values that were seen to do this and that may lie in one range.
    pub fn goes_with(&self, other: &Self) -> bool {
        let agree = |a: &Trend, b: &Trend| a == b || *a == Trend::Same || *b == Trend::Same;
        match (self, other) {
            (Self::Strobes(a), Self::Strobes(b)) | (Self::Pulses(a), Self::Pulses(b)) => {
                agree(a, b)
            }
            (Self::Colour(a), Self::Colour(b)) | (Self::Pattern(a), Self::Pattern(b)) => {
                a.to_lowercase() == b.to_lowercase()
            }
            (a, b) => a == b,
        }
    }

    /// Of two that go with each other, the one that says more.
    pub(super) fn more_telling<'a>(&'a self, other: &'a Self) -> &'a Self {
        match self {
            Self::Strobes(Trend::Same) | Self::Pulses(Trend::Same) => other,
            _ => self,
        }
    }

    /// Whether it goes from one end to the other without steps, so that the first of its values is
    /// told from rest only by what follows.
    pub(super) fn is_gradual(&self) -> bool {
        matches!(
            self,
            Self::Brighter
                | Self::Darker
                | Self::TurnsLeft
                | Self::TurnsRight
                | Self::TurnsUp
                | Self::TurnsDown
                | Self::Wider
                | Self::Narrower
                | Self::Softer
                | Self::Sharper
        )
    }

    /// Whether a value that did this is better not sent again.
    pub(super) fn is_to_be_avoided(&self) -> bool {
        matches!(self, Self::Homes | Self::LampOff | Self::RunsByItself)
    }

    /// What was measured, in words with its unit; `None` where a measurement says nothing.
    pub fn unit(&self) -> Option<&'static str> {
        match self {
            Self::Strobes(_) | Self::Pulses(_) => Some("Hz"),
            Self::TurnsLeft | Self::TurnsRight | Self::TurnsUp | Self::TurnsDown => Some("deg"),
            Self::Wider | Self::Narrower => Some("deg"),
            _ => None,
        }
    }
}

impl fmt::Display for Seen {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (word, of_ones_own) = match self {
            Self::Colour(name) => ("colour", name.as_str()),
            Self::Pattern(name) => ("pattern", name.as_str()),
            Self::Other(words) => ("other", words.as_str()),
            seen => {
                let word = WORDS.iter().find(|word| word.seen() == *seen);
                (word.map_or("", |word| word.word), "")
            }
        };
        f.write_str(word)?;
        if of_ones_own.is_empty() { Ok(()) } else { write!(f, " {of_ones_own}") }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_reads_back_to_what_it_stands_for() {
        for word in WORDS {
            assert_eq!(Seen::of(word.word), Some(word.seen()));
            assert_eq!(word.seen().to_string(), word.word);
        }
        for seen in [
            Seen::Colour("deep blue".to_owned()),
            Seen::Pattern("three leaves".to_owned()),
            Seen::Other("hums".to_owned()),
        ] {
            assert_eq!(Seen::of(&seen.to_string()), Some(seen));
        }
        assert_eq!(Seen::of(" Strobes  SLOW to fast "), Some(Seen::Strobes(Trend::Faster)));
    }

    #[test]
    fn a_slip_is_no_word_and_is_told_from_the_one_that_was_meant() {
        for text in ["ligth on", "", "strobe", "colourful red"] {
            assert_eq!(Seen::of(text), None, "{text}");
        }
        assert_eq!(Seen::nearest("ligth on"), Some("light on"));
    }

    #[test]
    fn flashes_go_together_unless_they_run_against_each_other() {
        let (same, up, down) = (
            Seen::Strobes(Trend::Same),
            Seen::Strobes(Trend::Faster),
            Seen::Strobes(Trend::Slower),
        );
        assert!(same.goes_with(&up) && up.goes_with(&same) && !up.goes_with(&down));
        assert_eq!((same.more_telling(&up), down.more_telling(&same)), (&up, &down));
        assert!(!Seen::Colour("red".into()).goes_with(&Seen::Colour("blue".into())));
    }
}
