//! The spelling of typed values: numbers, units and exact percentages.

use crate::profile::quantity::Unit;

/// A number and its unit: `35 deg`, `-20°`, `2.5Hz`, `slot 3`. `None` where either is missing.
pub fn quantity(text: &str) -> Option<(f64, Unit)> {
    let text = text.trim().replace('\u{2212}', "-");
    if let Some(rest) = text.to_ascii_lowercase().strip_prefix("slot ") {
        return Some((number(rest)?, Unit::Slot));
    }
    let end = text
        .char_indices()
        .find(|(_, c)| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+')))
        .map(|(i, _)| i)?;
    let (value, unit) = text.split_at(end);
    Some((number(value)?, Unit::parse(unit)?))
}

/// A plain decimal number; a comma may stand for the point.
fn number(text: &str) -> Option<f64> {
    let text = text.trim().replace(',', ".");
    text.parse::<f64>().ok().filter(|value| value.is_finite())
}

/// `#15656`, or `15656/65535` where the second number is `max` of a wide channel. Outer `None`: it
/// is not written so; inner `None`: the number does not fit 64 bits.
pub(super) fn full_resolution(text: &str, max: u32) -> Option<Option<u64>> {
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    if let Some(rest) = text.strip_prefix('#').map(str::trim).filter(|rest| digits(rest)) {
        return Some(rest.parse().ok());
    }
    let (value, whole) = text.split_once('/')?;
    let (value, whole) = (value.trim(), whole.trim());
    let is_whole = max > 255 && whole.parse::<u32>() == Ok(max);
    (is_whole && digits(value)).then(|| value.parse().ok())
}

/// Whole numbers with strokes between: `61/40`. Numbers too large for 64 bits read as the largest.
pub(super) fn whole_parts(text: &str) -> Option<Vec<u64>> {
    text.split('/')
        .map(|part| {
            let part = part.trim();
            let digits = !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
            digits.then(|| part.parse().unwrap_or(u64::MAX))
        })
        .collect()
}

/// A percentage, exactly as written: `numerator / denominator` percent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Percent {
    numerator: u128,
    denominator: u128,
}

/// The values that one percentage of a channel is taken for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Readings {
    /// Of the greatest value, rounded down.
    pub floor: u32,
    /// Of the greatest value, rounded half up.
    pub half_up: u32,
    /// Of one more than the greatest value (256), rounded down, and held to the greatest.
    pub of_256: u32,
}

impl Percent {
    /// Reads `50 %` or `12.5%` without a detour over binary fractions, in which 50 × 2.55 is less
    /// than 127.5.
    pub(super) fn parse(text: &str) -> Option<Self> {
        let end = text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',')))?;
        let digits = text.get(..end)?.replace(',', ".");
        let (whole, part) = digits.split_once('.').unwrap_or((&digits, ""));
        // More decimals than this change no value of 32 bits.
        let part = part.get(..part.len().min(12))?;
        let numerator = format!("{whole}{part}").parse().ok().filter(|n| *n < 1u128 << 60)?;
        Some(Self { numerator, denominator: 10u128.pow(part.len() as u32) })
    }

    /// The values it is taken for; `None` above 100 %.
    pub(super) fn readings(self, max: u32) -> Option<Readings> {
        let hundred = 100 * self.denominator;
        if self.numerator > hundred {
            return None;
        }
        let max_wide = u128::from(max);
        let held = |value: u128| u32::try_from(value).unwrap_or(max).min(max);
        Some(Readings {
            floor: held(self.numerator * max_wide / hundred),
            half_up: held((2 * self.numerator * max_wide + hundred) / (2 * hundred)),
            of_256: held(self.numerator * (max_wide + 1) / hundred),
        })
    }
}

/// A small error with two significant digits and its unit: `0.0041 deg`.
pub(super) fn significant(error: f64, unit: Unit) -> String {
    let magnitude = error.abs().log10().floor();
    let decimals = if magnitude.is_finite() { (1.0 - magnitude).clamp(0.0, 12.0) } else { 0.0 };
    let unit = if unit == Unit::Slot { "slots" } else { unit.symbol() };
    format!("{error:.*} {unit}", decimals as usize)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_percentage_is_read_exactly() {
        let readings = |text: &str, max| Percent::parse(text).unwrap().readings(max);
        let some = |floor, half_up, of_256| Some(Readings { floor, half_up, of_256 });
        assert_eq!(readings("50 %", 255), some(127, 128, 128));
        assert_eq!(readings("90%", 255), some(229, 230, 230));
        assert_eq!(readings("25 %", 255), some(63, 64, 64));
        assert_eq!(readings("100 %", u32::MAX), some(u32::MAX, u32::MAX, u32::MAX));
        assert_eq!(readings("12.5 %", 65_535), some(8191, 8192, 8192));
        assert_eq!(readings("100.1 %", 255), None);
        assert_eq!(Percent::parse("-5 %"), None);
        assert_eq!(Percent::parse("999999999999999999999999999999999999999999 %"), None);
    }

    #[test]
    fn spellings_of_quantities() {
        assert_eq!(quantity("35 deg"), Some((35.0, Unit::Degree)));
        assert_eq!(quantity("\u{2212}20°"), Some((-20.0, Unit::Degree)));
        assert_eq!(quantity("2,5Hz"), Some((2.5, Unit::Hertz)));
        assert_eq!(quantity("slot 2.5"), Some((2.5, Unit::Slot)));
        assert_eq!(quantity("35"), None);
        assert_eq!(quantity("5 furlong"), None);
        assert_eq!(quantity("- deg"), None);
    }
}
