//! A text as the rules see it: lower case, words and numbers apart, one spelling.

/// The words of a text.
#[derive(Clone, Debug, Default)]
pub(super) struct Words {
    /// All words with a blank before, between and behind, so that a phrase can be looked for.
    padded: String,
}

impl Words {
    /// Letters and digits of `text` in words; a number stuck to a word is a word of its own.
    pub(super) fn new(text: &str) -> Self {
        let mut padded = String::with_capacity(text.len() + 2);
        let mut before = Kind::Other;
        padded.push(' ');
        for c in text.chars().flat_map(char::to_lowercase) {
            let kind = Kind::of(c);
            if kind != before && !padded.ends_with(' ') {
                padded.push(' ');
            }
            if kind != Kind::Other {
                padded.push(c);
            }
            before = kind;
        }
        if !padded.ends_with(' ') {
            padded.push(' ');
        }
        for (other, word) in SPELLINGS {
            if padded.contains(other) {
                padded = padded.replace(other, word);
            }
        }
        Self { padded }
    }

    /// The words, a blank between them.
    pub(super) fn text(&self) -> &str {
        self.padded.trim()
    }

    /// Each word.
    pub(super) fn iter(&self) -> impl Iterator<Item = &str> {
        self.padded.split_whitespace()
    }

    /// How many words there are.
    pub(super) fn count(&self) -> usize {
        self.iter().count()
    }

    /// Whether there is none.
    pub(super) fn is_empty(&self) -> bool {
        self.text().is_empty()
    }

    /// Where a word or phrase stands.
    pub(super) fn find(&self, phrase: &str) -> Option<usize> {
        self.padded.find(&format!(" {phrase} "))
    }

    /// Whether a word or phrase is there.
    pub(super) fn has(&self, phrase: &str) -> bool {
        self.find(phrase).is_some()
    }

    /// Whether one of the words or phrases is there.
    pub(super) fn any(&self, phrases: &[&str]) -> bool {
        phrases.iter().any(|phrase| self.has(phrase))
    }

    /// Where the first of the words or phrases stands.
    pub(super) fn first(&self, phrases: &[&str]) -> Option<usize> {
        phrases.iter().filter_map(|phrase| self.find(phrase)).min()
    }

    /// Whether every word is one of these.
    pub(super) fn only(&self, words: &[&str]) -> bool {
        !self.is_empty() && self.iter().all(|word| words.contains(&word))
    }

    /// The number that follows a word: 2 in `gobo wheel 2` for `wheel`.
    pub(super) fn number_after(&self, word: &str) -> Option<u16> {
        let at = self.find(word)?;
        self.padded.get(at + 1 + word.len()..)?.split_whitespace().next()?.parse().ok()
    }

    /// The last word, where it is a number.
    pub(super) fn last_number(&self) -> Option<u16> {
        self.iter().last()?.parse().ok()
    }

    /// The number, where there is nothing else.
    pub(super) fn only_number(&self) -> Option<u16> {
        self.text().parse().ok()
    }

    /// The same without some words and phrases.
    pub(super) fn without(&self, phrases: &[&str]) -> Self {
        let mut padded = self.padded.clone();
        for phrase in phrases {
            // Twice, because two of them side by side share a blank.
            for _ in 0..2 {
                padded = padded.replace(&format!(" {phrase} "), " ");
            }
        }
        Self { padded }
    }
}

/// Spellings that are made one.
const SPELLINGS: [(&str, &str); 11] = [
    (" color ", " colour "),
    (" colors ", " colours "),
    (" colour wheel ", " colourwheel "),
    (" colourwheel ", " colour wheel "),
    (" gobos ", " gobo "),
    (" patterns ", " pattern "),
    (" black out ", " blackout "),
    (" strobing ", " strobe "),
    (" flashing ", " flash "),
    (" indexing ", " index "),
    (" indexed ", " index "),
];

#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Letter,
    Digit,
    Other,
}

impl Kind {
    fn of(c: char) -> Self {
        if c.is_ascii_digit() {
            Self::Digit
        } else if c.is_alphabetic() {
            Self::Letter
        } else {
            Self::Other
        }
    }
}

/// How a rate or an amount runs over a range, in the chart's words.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Course {
    /// Slow to fast, low to high.
    Rising,
    /// Fast to slow, high to low.
    Falling,
    /// Fast all over.
    Fast,
    /// Slow all over.
    Slow,
    /// Nothing is said.
    Unsaid,
}

const SLOW: [&str; 8] = ["slow", "slowest", "slowly", "slower", "min", "minimum", "low", "lowest"];
const FAST: [&str; 9] =
    ["fast", "fastest", "faster", "quick", "max", "maximum", "high", "highest", "full speed"];

/// How the chart says that a rate runs.
pub(super) fn course(words: &Words) -> Course {
    if words.any(&["increasing", "rising", "increase", "accelerating"]) {
        return Course::Rising;
    }
    if words.any(&["decreasing", "falling", "decrease", "slowing"]) {
        return Course::Falling;
    }
    match (words.first(&SLOW), words.first(&FAST)) {
        (Some(slow), Some(fast)) if slow < fast => Course::Rising,
        (Some(_), Some(_)) => Course::Falling,
        (None, Some(_)) => Course::Fast,
        (Some(_), None) => Course::Slow,
        (None, None) => Course::Unsaid,
    }
}

/// The sense of a turn, in the chart's words.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Turning {
    /// Clockwise, or forwards.
    Clockwise,
    /// Anticlockwise, or backwards.
    Anticlockwise,
    /// Both are named.
    Both,
    /// Neither is.
    Unsaid,
}

const ANTICLOCKWISE: [&str; 12] = [
    "counter clockwise",
    "counterclockwise",
    "anti clockwise",
    "anticlockwise",
    "ccw",
    "acw",
    "c c w",
    "reverse",
    "backward",
    "backwards",
    "left",
    "anti cw",
];
const CLOCKWISE: [&str; 6] = ["clockwise", "cw", "c w", "forward", "forwards", "right"];

/// Every word that says which way something turns.
pub(super) fn turning_words() -> Vec<&'static str> {
    ANTICLOCKWISE.iter().chain(&CLOCKWISE).copied().collect()
}

/// Which way the chart says that something turns.
pub(super) fn turning(words: &Words) -> Turning {
    let anticlockwise = words.any(&ANTICLOCKWISE);
    let clockwise = words.without(&ANTICLOCKWISE).any(&CLOCKWISE);
    match (clockwise, anticlockwise) {
        (true, true) => Turning::Both,
        (true, false) => Turning::Clockwise,
        (false, true) => Turning::Anticlockwise,
        (false, false) => Turning::Unsaid,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_and_numbers_stand_apart_in_one_spelling() {
        assert_eq!(Words::new("Gobo1-Shake (Slow→Fast)").text(), "gobo 1 shake slow fast");
        assert_eq!(Words::new("COLOR wheel 2").number_after("wheel"), Some(2));
        assert!(Words::new("").is_empty());
        assert_eq!(Words::new("no no function").without(&["no"]).text(), "function");
    }

    #[test]
    fn senses_are_read_in_the_order_in_which_they_are_named() {
        for (text, wanted) in [
            ("slow to fast", Course::Rising),
            ("Fast-slow", Course::Falling),
            ("increasing speed", Course::Rising),
            ("max. speed", Course::Fast),
            ("rotation", Course::Unsaid),
        ] {
            assert_eq!(course(&Words::new(text)), wanted, "{text}");
        }
        for (text, wanted) in [
            ("CW", Turning::Clockwise),
            ("counter-clockwise", Turning::Anticlockwise),
            ("cw / ccw", Turning::Both),
            ("stop", Turning::Unsaid),
        ] {
            assert_eq!(turning(&Words::new(text)), wanted, "{text}");
        }
    }
}
