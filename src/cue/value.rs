//! What a cue gives a channel: by what it means where it means something, else raw.

use std::fmt;
use std::str::FromStr;

use crate::decode::quantity;
use crate::finding::number;
use crate::profile::Unit;

/// What a cue gives a channel. It is written as people type it: `35 deg`, `pulse: 5 Hz`, `amber`,
/// `60 %`, `like centre`, `128` (that value in every slot), `#15656` (at full resolution).
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// A physical value.
    Is {
        /// The range that gives it, by its label; `None`: the first that reaches it.
        range: Option<String>,
        /// How much.
        amount: f64,
        /// Of what. Percent is a share of the channel where no range of it gives percent.
        unit: Unit,
    },
    /// A range by its label, or a wheel slot by its name.
    Name(String),
    /// A value of 0..255 in every slot of the channel, which is the same share of the channel.
    Byte(u8),
    /// A value at the channel's full resolution.
    Full(u32),
    /// What a named reference gives this channel.
    Like(String),
}

/// Begins the text of a value that is a reference, and that of a name which would be read otherwise.
const LIKE: &str = "like ";
const NAME: &str = "name ";

impl fmt::Display for Value {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Is { range, amount, unit } => {
                if let Some(range) = range {
                    write!(f, "{range}: ")?;
                }
                match unit {
                    Unit::Slot => write!(f, "slot {}", number(*amount)),
                    unit => write!(f, "{} {}", number(*amount), unit.symbol()),
                }
            }
            Self::Name(name) => match plain(name) == Ok(self.clone()) {
                true => f.write_str(name),
                false => write!(f, "{NAME}{name}"),
            },
            Self::Byte(byte) => write!(f, "{byte}"),
            Self::Full(value) => write!(f, "#{value}"),
            Self::Like(name) => write!(f, "{LIKE}{name}"),
        }
    }
}

impl FromStr for Value {
    type Err = String;

    /// # Errors
    ///
    /// What would be right.
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let text = text.trim();
        match text.strip_prefix(NAME).map(str::trim).filter(|name| !name.is_empty()) {
            Some(name) => Ok(Self::Name(name.to_owned())),
            None => plain(text),
        }
    }
}

fn plain(text: &str) -> Result<Value, String> {
    if text.is_empty() {
        return Err(
            "there is no value: write one such as `35 deg`, `amber`, `60 %` or `128`".to_owned()
        );
    }
    if let Some(name) = text.strip_prefix(LIKE).map(str::trim).filter(|name| !name.is_empty()) {
        return Ok(Value::Like(name.to_owned()));
    }
    if let Some(full) = text.strip_prefix('#') {
        let value = full.trim().parse().map(Value::Full);
        return value
            .map_err(|_| format!("`{text}` is no value at full resolution: write `#15656`"));
    }
    if text.bytes().all(|b| b.is_ascii_digit()) {
        let byte = text.parse().map(Value::Byte);
        return byte.map_err(|_| {
            format!("`{text}` does not fit a slot: 0..255, or `#{text}` at full resolution")
        });
    }
    if let Some((amount, unit)) = quantity(text) {
        return Ok(Value::Is { range: None, amount, unit });
    }
    // Only the last colon can part a range from its amount: labels may have some of their own.
    if let Some((range, amount)) = text.rsplit_once(':')
        && let Some((amount, unit)) = quantity(amount)
    {
        return Ok(Value::Is { range: Some(range.trim().to_owned()), amount, unit });
    }
    Ok(Value::Name(text.to_owned()))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn values_are_read_as_people_type_them() {
        let is = |range: Option<&str>, amount, unit| Value::Is {
            range: range.map(str::to_owned),
            amount,
            unit,
        };
        for (text, value) in [
            ("35 deg", is(None, 35.0, Unit::Degree)),
            ("-20.5 deg", is(None, -20.5, Unit::Degree)),
            ("60 %", is(None, 60.0, Unit::Percent)),
            ("slot 2.5", is(None, 2.5, Unit::Slot)),
            ("pulse: 5 Hz", is(Some("pulse"), 5.0, Unit::Hertz)),
            ("amber", Value::Name("amber".to_owned())),
            ("a: b", Value::Name("a: b".to_owned())),
            ("128", Value::Byte(128)),
            ("#15656", Value::Full(15_656)),
            ("like centre", Value::Like("centre".to_owned())),
            ("name like that", Value::Name("like that".to_owned())),
            ("name 5 Hz", Value::Name("5 Hz".to_owned())),
        ] {
            assert_eq!(text.parse(), Ok(value.clone()), "{text}");
            assert_eq!(value.to_string(), text);
        }
        for text in ["", "  ", "256", "#", "#99999999999"] {
            assert!(text.parse::<Value>().is_err(), "{text}");
        }
    }

    proptest! {
        #[test]
        fn any_name_is_read_back(name in "[ -~]{1,20}") {
            let name = name.trim();
            prop_assume!(!name.is_empty());
            let value = Value::Name(name.to_owned());
            prop_assert_eq!(value.to_string().parse(), Ok(value));
        }
    }
}
