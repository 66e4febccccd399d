//! Units of the physical values that a range asks for, and how people read and write them.

/// The unit of a physical value.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Unit {
    /// Angle in degrees.
    Degree,
    /// Share of full, in percent.
    Percent,
    /// Rate of a repeating thing, in hertz.
    Hertz,
    /// Rate of turning, in revolutions a minute. The sign is the sense.
    Rpm,
    /// Angular speed in degrees a second.
    DegreePerSecond,
    /// Time in seconds.
    Second,
    /// Colour temperature in kelvin.
    Kelvin,
    /// A place on a wheel, counted from 1; a fraction lies between two places.
    Slot,
}

impl Unit {
    /// The symbol shown behind a number.
    pub fn symbol(self) -> &'static str {
        match self {
            Self::Degree => "deg",
            Self::Percent => "%",
            Self::Hertz => "Hz",
            Self::Rpm => "rpm",
            Self::DegreePerSecond => "deg/s",
            Self::Second => "s",
            Self::Kelvin => "K",
            Self::Slot => "slot",
        }
    }

    /// The unit a person means by `text`, or `None`. Case and a degree sign are forgiven.
    pub fn parse(text: &str) -> Option<Self> {
        Some(match text.trim().to_ascii_lowercase().as_str() {
            "deg" | "°" | "degree" | "degrees" => Self::Degree,
            "%" | "percent" => Self::Percent,
            "hz" | "/s" => Self::Hertz,
            "rpm" => Self::Rpm,
            "deg/s" | "°/s" => Self::DegreePerSecond,
            "s" | "sec" | "seconds" => Self::Second,
            "k" | "kelvin" => Self::Kelvin,
            "slot" => Self::Slot,
            _ => return None,
        })
    }

    /// `value` with this unit, rounded to what a person can use: `35.00 deg`, `5.0 Hz`.
    pub fn format(self, value: f64) -> String {
        let decimals = match self {
            Self::Degree => 2,
            Self::Percent | Self::Rpm | Self::DegreePerSecond => 1,
            Self::Hertz | Self::Second | Self::Slot => 2,
            Self::Kelvin => 0,
        };
        // A value that rounds to nothing has no sign: "-0.00" reads as an error.
        let shown = format!("{value:.decimals$}");
        let shown = match shown.strip_prefix('-') {
            Some(rest) if rest.chars().all(|c| c == '0' || c == '.') => rest.to_owned(),
            _ => shown,
        };
        match self {
            Self::Slot => format!("slot {shown}"),
            _ => format!("{shown} {}", self.symbol()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_that_rounds_to_zero_has_no_sign() {
        assert_eq!(Unit::Degree.format(-0.004_12), "0.00 deg");
        assert_eq!(Unit::Degree.format(-0.012), "-0.01 deg");
        assert_eq!(Unit::Kelvin.format(3200.4), "3200 K");
    }

    #[test]
    fn every_symbol_parses_back() {
        for unit in [
            Unit::Degree,
            Unit::Percent,
            Unit::Hertz,
            Unit::Rpm,
            Unit::DegreePerSecond,
            Unit::Second,
            Unit::Kelvin,
            Unit::Slot,
        ] {
            assert_eq!(Unit::parse(unit.symbol()), Some(unit));
        }
        assert_eq!(Unit::parse("furlong"), None);
    }
}
