//! Physical numbers in a chart's words: `1-20 Hz`, `-270° to +270°`, `3.3 s - 30 ms`, `hold 3 s`.

use super::super::effect::Span;
use super::super::quantity::Unit;

/// A number with its unit.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Number {
    value: f64,
    unit: Option<Unit>,
    /// It is joined to the one before: `-`, `to`, `..`.
    joined: bool,
}

/// Numbers that are read from one text at most; a function never holds more.
const MOST: usize = 32;

/// The first two numbers of a unit that are joined as the two ends of a range.
pub(super) fn pair(text: &str, unit: Unit) -> Option<Span> {
    let numbers = numbers(text);
    let ends = numbers.windows(2).find(|two| two[1].joined && two[1].unit == Some(unit))?;
    let first = ends[0].unit.is_none_or(|first| first == unit);
    first.then_some((ends[0].value, ends[1].value))
}

/// The first number of a unit.
pub(super) fn single(text: &str, unit: Unit) -> Option<f64> {
    numbers(text).iter().find(|number| number.unit == Some(unit)).map(|number| number.value)
}

/// Both ends of a unit: two joined numbers, or one number for both.
pub(super) fn ends(text: &str, unit: Unit) -> Option<Span> {
    pair(text, unit).or_else(|| single(text, unit).map(|value| (value, value)))
}

fn numbers(text: &str) -> Vec<Number> {
    let chars: Vec<char> = text.chars().collect();
    let mut found: Vec<Number> = Vec::new();
    // Where the last number with its unit ended.
    let mut end = 0;
    let mut at = 0;
    while at < chars.len() && found.len() < MOST {
        let before = at.checked_sub(1).and_then(|i| chars.get(i)).copied().unwrap_or(' ');
        let dots = at.checked_sub(2).and_then(|i| chars.get(i)) == Some(&'.');
        let in_number = before == '.' && !dots;
        if !chars[at].is_ascii_digit() || before.is_alphabetic() || in_number {
            at += 1;
            continue;
        }
        let start = at;
        let mut digits = String::new();
        while let Some(c) = chars.get(at) {
            let next_is_digit = chars.get(at + 1).is_some_and(char::is_ascii_digit);
            if c.is_ascii_digit() {
                digits.push(*c);
            } else if (*c == '.' || *c == ',') && next_is_digit && !digits.contains('.') {
                digits.push('.');
            } else {
                break;
            }
            at += 1;
        }
        let Ok(mut value) = digits.parse::<f64>() else { continue };
        let (link, negative) = link(chars.get(end..start).unwrap_or_default(), found.is_empty());
        if negative {
            value = -value;
        }
        let (unit, scale, length) = unit(chars.get(at..).unwrap_or_default());
        at += length;
        end = at;
        found.push(Number { value: value * scale, unit, joined: link });
    }
    found
}

/// Whether what stands between two numbers joins them as ends of a range, and whether the second has
/// a minus sign.
fn link(between: &[char], first: bool) -> (bool, bool) {
    let text: String = between.iter().collect::<String>().to_lowercase();
    let dash = |c: char| matches!(c, '-' | '–' | '—' | '−');
    let marks = text.trim();
    let ends_in_sign = text.ends_with(dash);
    if first {
        return (
            false,
            ends_in_sign && !text.trim_end_matches(dash).ends_with(char::is_alphanumeric),
        );
    }
    let body = marks.trim_end_matches(['+']).trim();
    let plain = |body: &str| {
        matches!(body, "to" | "~" | ".." | "..." | "…" | "→" | "->" | "=>" | "/" | "up to" | "÷")
            || (body.chars().count() == 1 && body.chars().all(dash))
    };
    if plain(body) {
        return (true, false);
    }
    let without_sign = body.strip_suffix(dash).map(str::trim);
    match without_sign {
        Some(rest) if plain(rest) => (true, true),
        Some(rest) => (false, rest.is_empty() || !rest.ends_with(char::is_alphanumeric)),
        None => (false, false),
    }
}

/// The unit at the start, its factor, and how many characters it takes.
fn unit(rest: &[char]) -> (Option<Unit>, f64, usize) {
    let blanks = rest.iter().take_while(|c| **c == ' ').count().min(2);
    let word: String = rest
        .iter()
        .skip(blanks)
        .take_while(|c| c.is_alphabetic() || matches!(c, '°' | 'º' | '%' | '/'))
        .take(20)
        .collect();
    let lower = word.to_lowercase().replace('º', "°");
    let known = |text: &str| {
        Some(match text {
            "ms" | "msec" => (Unit::Second, 0.001),
            "sec" | "secs" | "second" | "seconds" | "s" => (Unit::Second, 1.0),
            "min" | "mins" | "minute" | "minutes" => (Unit::Second, 60.0),
            "hertz" | "flashes" | "fps" | "hz" | "/s" => (Unit::Hertz, 1.0),
            "°/s" | "deg/s" | "degrees/s" => (Unit::DegreePerSecond, 1.0),
            "°" | "deg" | "degree" | "degrees" => (Unit::Degree, 1.0),
            "%" | "percent" => (Unit::Percent, 1.0),
            "rpm" => (Unit::Rpm, 1.0),
            "k" | "kelvin" => (Unit::Kelvin, 1.0),
            _ => return None,
        })
    };
    // What is written close up to the next end, as in `1Hz/20Hz`, ends at the stroke.
    let cut = lower.split('/').next().unwrap_or_default();
    for text in [lower.as_str(), cut] {
        if let Some((unit, scale)) = known(text) {
            return (Some(unit), scale, blanks + text.chars().count());
        }
    }
    (None, 1.0, 0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ends_are_read_with_their_unit_and_sign() {
        for (text, unit, wanted) in [
            ("Strobe 1-20 Hz", Unit::Hertz, Some((1.0, 20.0))),
            ("(0.5Hz → 18Hz)", Unit::Hertz, Some((0.5, 18.0))),
            ("-270° to +270°", Unit::Degree, Some((-270.0, 270.0))),
            ("135 to -135 deg", Unit::Degree, Some((135.0, -135.0))),
            ("3,3 s - 30 ms", Unit::Second, Some((3.3, 0.03))),
            ("1...25 flashes per second", Unit::Hertz, Some((1.0, 25.0))),
            ("2700K-6500K", Unit::Kelvin, Some((2700.0, 6500.0))),
            ("gobo 1, 5 Hz", Unit::Hertz, None),
            ("nothing", Unit::Hertz, None),
        ] {
            assert_eq!(pair(text, unit), wanted, "{text}");
        }
        assert_eq!(single("reset (hold 3 s)", Unit::Second), Some(3.0));
        assert_eq!(ends("540°", Unit::Degree), Some((540.0, 540.0)));
    }

    #[test]
    fn long_and_odd_texts_end() {
        numbers(&"1-".repeat(10_000));
        numbers(&"9".repeat(5_000));
        assert_eq!(single("NaN Hz", Unit::Hertz), None);
    }
}
