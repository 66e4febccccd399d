//! The number of a cue: decimal, so that another cue fits between any two.

use std::fmt;
use std::str::FromStr;

/// Parts of a whole number that a cue can have.
const PARTS: u32 = 1000;

/// The greatest whole number.
const MOST: u32 = 999_999;

/// The number of a cue, 0.001..999999.999 in steps of a thousandth.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct CueNumber(u32);

impl CueNumber {
    /// A whole number. `None` where no cue can have it.
    pub fn whole(number: u32) -> Option<Self> {
        (1..=MOST).contains(&number).then(|| Self(number * PARTS))
    }

    /// A number of so many thousandths. `None` where no cue can have it.
    pub fn from_thousandths(thousandths: u32) -> Option<Self> {
        (1..MOST * PARTS + PARTS).contains(&thousandths).then_some(Self(thousandths))
    }

    /// The number in thousandths.
    pub fn thousandths(self) -> u32 {
        self.0
    }

    /// From a decimal number. `None` where it has more than three decimals, or no cue can have it.
    pub fn from_decimal(number: f64) -> Option<Self> {
        let thousandths = (number * f64::from(PARTS)).round();
        let exact = (thousandths / f64::from(PARTS) - number).abs() < 1e-9;
        let fits = (1.0..f64::from(MOST * PARTS + PARTS)).contains(&thousandths);
        (exact && fits).then_some(Self(thousandths as u32))
    }

    /// The number as a decimal one.
    pub fn decimal(self) -> f64 {
        f64::from(self.0) / f64::from(PARTS)
    }

    /// A number after this one and before `next`: the next whole number where that is free, else the
    /// roundest one between. `None` where there is none between.
    pub fn between(self, next: Option<Self>) -> Option<Self> {
        let end = next.map_or(MOST * PARTS + PARTS, |next| next.0);
        [PARTS, PARTS / 10, PARTS / 100, 1]
            .into_iter()
            .map(|step| (self.0 / step + 1) * step)
            .find(|number| *number < end)
            .map(Self)
    }
}

impl fmt::Display for CueNumber {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (whole, parts) = (self.0 / PARTS, self.0 % PARTS);
        match parts {
            0 => write!(f, "{whole}"),
            parts => {
                let parts = format!("{parts:03}");
                write!(f, "{whole}.{}", parts.trim_end_matches('0'))
            }
        }
    }
}

impl FromStr for CueNumber {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let text = text.trim();
        let decimal = |c: char| c.is_ascii_digit() || c == '.';
        let number = Some(text).filter(|t| t.chars().all(decimal)).and_then(|t| t.parse().ok());
        number.and_then(Self::from_decimal).ok_or_else(|| {
            format!("`{text}` is no cue number: they are 0.001..{MOST}.999, such as 3 or 3.5")
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn number(text: &str) -> CueNumber {
        text.parse().unwrap()
    }

    #[test]
    fn numbers_are_read_and_written_alike() {
        for text in ["1", "2.5", "10.125", "0.001", "999999.999", "3.05"] {
            assert_eq!(number(text).to_string(), text);
            assert_eq!(CueNumber::from_decimal(number(text).decimal()), Some(number(text)));
        }
        for text in ["", "0", "-1", "1.0001", "1e3", "nan", "1000000", "one", "1,5"] {
            assert!(text.parse::<CueNumber>().is_err(), "{text}");
        }
    }

    #[test]
    fn there_is_a_number_between_until_there_is_none() {
        assert_eq!(number("2").between(None), Some(number("3")));
        assert_eq!(number("2.5").between(Some(number("4"))), Some(number("3")));
        assert_eq!(number("2").between(Some(number("3"))), Some(number("2.1")));
        assert_eq!(number("2").between(Some(number("2.1"))), Some(number("2.01")));
        assert_eq!(number("2").between(Some(number("2.002"))), Some(number("2.001")));
        assert_eq!(number("2").between(Some(number("2.001"))), None);
    }
}
