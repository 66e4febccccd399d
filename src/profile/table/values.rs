//! Values of a slot as charts print them: `0-7`, `000–007`, `0~7`, `0x00-0x07`, `00h`, `25 %`, `>=240`.

/// Values as they are printed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Amount {
    /// Values of the slot, or of two slots together where the last is above 255; both included.
    Count(u32, u32),
    /// Percent of full, both included.
    Percent(f64, f64),
}

/// How the numbers of a column are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Notation {
    /// The column does not say; each value may.
    Any,
    /// Decimal.
    Decimal,
    /// Hexadecimal, with or without a mark.
    Hex,
    /// Percent, with or without a sign.
    Percent,
}

/// What was read at the start of a text.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Value {
    /// The values.
    pub(super) amount: Amount,
    /// Two ends were printed.
    pub(super) is_range: bool,
    /// They were printed the wrong way round.
    pub(super) reversed: bool,
}

/// Reads one value or range at the start of `text` and returns what is left.
///
/// `None` where none stands there, or where a unit behind it says that it is a physical number.
pub(super) fn take(text: &str, notation: Notation) -> Option<(Value, &str)> {
    let (value, rest) = take_bare(text, notation)?;
    (!is_unit(rest)).then_some((value, rest))
}

/// Reads a whole cell: one or more values, perhaps the same in another notation in brackets.
pub(super) fn cell(text: &str, notation: Notation) -> Option<Vec<Value>> {
    let (first, mut rest) = take(text, notation)?;
    let mut values = vec![first];
    loop {
        rest = after_other_notation(rest.trim_start());
        if rest.trim().is_empty() {
            return Some(values);
        }
        let more = rest.trim_start().strip_prefix([',', '&', ';', '+'])?;
        let (value, left) = take(more, notation)?;
        if values.len() >= 16 {
            return None;
        }
        values.push(value);
        rest = left;
    }
}

/// What is left behind the same value in another notation: ` (00h-07h)`, ` / 0-3 %`.
pub(super) fn after_other_notation(rest: &str) -> &str {
    let trimmed = rest.trim_start();
    for (open, close) in [("(", ")"), ("[", "]"), ("/", "")] {
        let Some(inside) = trimmed.strip_prefix(open) else { continue };
        if let Some((value, left)) = take_bare(inside, Notation::Any) {
            let marked = matches!(value.amount, Amount::Percent(..)) || has_hex_mark(inside);
            if let Some(left) = left.trim_start().strip_prefix(close).filter(|_| marked) {
                return left;
            }
        }
    }
    rest
}

/// The first range of values inside a text: what stands before, the range, what stands behind.
///
/// Single numbers are not looked for, because most numbers inside a text are no values.
pub(super) fn find_range(text: &str) -> Option<(&str, Value, &str)> {
    let mut before = ' ';
    for (at, c) in text.char_indices() {
        let starts = c.is_ascii_digit() || c == '$';
        let alone = !before.is_alphanumeric() && !matches!(before, '.' | '-' | '+' | '#' | ',');
        if starts
            && alone
            && let Some((value, rest)) = take(&text[at..], Notation::Any)
            && value.is_range
            && matches!(value.amount, Amount::Count(..))
            && !rest.starts_with(char::is_alphanumeric)
        {
            return Some((&text[..at], value, rest));
        }
        before = c;
    }
    None
}

fn has_hex_mark(text: &str) -> bool {
    let lower = text.trim_start().to_ascii_lowercase();
    let run = lower.split(|c: char| !c.is_ascii_alphanumeric() && c != '$').next().unwrap_or("");
    run.starts_with("0x") || run.starts_with('$') || run.ends_with('h')
}

fn take_bare(text: &str, notation: Notation) -> Option<(Value, &str)> {
    let text = text.trim_start();
    if let Some(found) = take_bound(text, notation) {
        return Some(found);
    }
    let text = strip_word(text, "from").unwrap_or(text);
    let (first, rest) = number(text, notation)?;
    let whole = |first: Read, last: Read, is_range, rest| {
        let percent = first.percent || last.percent || notation == Notation::Percent;
        let reversed = first.value > last.value;
        let (low, high) = if reversed { (last, first) } else { (first, last) };
        let amount = if percent {
            Amount::Percent(low.value, high.value)
        } else {
            // A count has no fraction; such a number is something else.
            if low.value.fract() != 0.0 || high.value.fract() != 0.0 {
                return None;
            }
            Amount::Count(low.value as u32, high.value as u32)
        };
        Some((Value { amount, is_range, reversed }, rest))
    };
    if let Some(behind) = separator(rest)
        && let Some((last, left)) = number(behind, notation)
    {
        return whole(first, last, true, left);
    }
    let up = ["and up", "and above", "or more", "and higher"];
    let lower = rest.trim_start();
    if let Some(left) = up.iter().find_map(|word| strip_word(lower, word)) {
        return bound(first, notation, true, left);
    }
    whole(first, first, false, rest)
}

/// `>=240`, `> 239`, `<8`, `up to 7`.
fn take_bound(text: &str, notation: Notation) -> Option<(Value, &str)> {
    let marks: [(&str, bool, f64); 9] = [
        (">=", true, 0.0),
        ("=>", true, 0.0),
        ("≥", true, 0.0),
        (">", true, 1.0),
        ("<=", false, 0.0),
        ("=<", false, 0.0),
        ("≤", false, 0.0),
        ("<", false, -1.0),
        ("up to ", false, 0.0),
    ];
    let (rest, above, step) = marks.iter().find_map(|(mark, above, step)| {
        let head = text.get(..mark.len())?;
        head.eq_ignore_ascii_case(mark).then(|| (&text[mark.len()..], *above, *step))
    })?;
    let (mut end, left) = number(rest.trim_start(), notation)?;
    end.value += step;
    if end.value < 0.0 {
        return None;
    }
    bound(end, notation, above, left)
}

fn bound(end: Read, notation: Notation, above: bool, rest: &str) -> Option<(Value, &str)> {
    let percent = end.percent || notation == Notation::Percent;
    let top = if percent { 100.0 } else { 255.0 };
    let (low, high) = if above { (end.value, end.value.max(top)) } else { (0.0, end.value) };
    let amount =
        if percent { Amount::Percent(low, high) } else { Amount::Count(low as u32, high as u32) };
    Some((Value { amount, is_range: true, reversed: false }, rest))
}

fn strip_word<'a>(text: &'a str, word: &str) -> Option<&'a str> {
    let head = text.get(..word.len())?;
    let rest = &text[word.len()..];
    let ends = !rest.starts_with(char::is_alphanumeric);
    (head.eq_ignore_ascii_case(word) && ends).then(|| rest.trim_start())
}

/// What stands behind the mark between two ends, or `None` where there is none.
fn separator(text: &str) -> Option<&str> {
    let text = text.trim_start();
    for mark in ["...", "..", "…", "->", "<->", "→", "~", "÷", "--", "-", "–", "—", "−", ":"]
    {
        if let Some(rest) = text.strip_prefix(mark) {
            return Some(rest.trim_start());
        }
    }
    let close_up =
        text.strip_prefix("to").filter(|rest| rest.starts_with(|c: char| c.is_ascii_digit()));
    close_up.or_else(|| ["to", "thru", "through"].iter().find_map(|word| strip_word(text, word)))
}

#[derive(Clone, Copy)]
struct Read {
    value: f64,
    percent: bool,
}

/// A number at the start, and what is left.
fn number(text: &str, notation: Notation) -> Option<(Read, &str)> {
    let text = text.trim_start();
    let run = text.len() - text.trim_start_matches(|c: char| c.is_ascii_alphanumeric()).len();
    let word = &text[..run];
    let lower = word.to_ascii_lowercase();
    let hex = |digits: &str| {
        let good = (1..=4).contains(&digits.len()) && digits.chars().all(|c| c.is_ascii_hexdigit());
        good.then(|| u32::from_str_radix(digits, 16).ok()).flatten()
    };
    if let Some(rest) = text.strip_prefix('$') {
        let run = rest.len() - rest.trim_start_matches(|c: char| c.is_ascii_hexdigit()).len();
        let value = hex(&rest[..run])?;
        return Some((Read { value: f64::from(value), percent: false }, &rest[run..]));
    }
    let marked = lower.strip_prefix("0x").or_else(|| lower.strip_suffix('h'));
    let bare = (notation == Notation::Hex).then_some(lower.as_str());
    // `0 h` in a decimal column is no value; a word such as `each` is no number either.
    let starts = lower.starts_with(|c: char| c.is_ascii_digit()) || notation == Notation::Hex;
    if let Some(value) = marked.or(bare).filter(|_| starts).and_then(hex) {
        return Some((Read { value: f64::from(value), percent: false }, &text[run..]));
    }
    let digits = text.len() - text.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    if !(1..=5).contains(&digits) {
        return None;
    }
    let mut end = digits;
    if let Some(rest) = text[digits..].strip_prefix(['.', ',']) {
        let more = rest.len() - rest.trim_start_matches(|c: char| c.is_ascii_digit()).len();
        if (1..=2).contains(&more) && text[digits..].starts_with('.') {
            end += 1 + more;
        }
    }
    let value: f64 = text[..end].parse().ok()?;
    let rest = &text[end..];
    let signed = rest.trim_start().strip_prefix('%');
    // Letters close up to the digits make another word of it: `16bit`, `3rd`.
    if signed.is_none() && rest.starts_with(|c: char| c.is_alphabetic()) && !rest.starts_with("to")
    {
        return None;
    }
    Some((Read { value, percent: signed.is_some() }, signed.unwrap_or(rest)))
}

/// Whether a unit stands at the start: what came before is a physical number then.
fn is_unit(rest: &str) -> bool {
    // A capital S is a name, as in `S curve`.
    if rest.trim_start().starts_with('S') {
        return false;
    }
    // `3-facet` is one word.
    let rest = rest.trim_start_matches('-').trim_start().to_lowercase();
    if rest.starts_with(['°', 'º']) {
        return true;
    }
    let word: String = rest.chars().take_while(|c| c.is_alphabetic()).take(12).collect();
    let units = [
        "hz", "deg", "degree", "degrees", "rpm", "k", "kelvin", "s", "sec", "secs", "second", "ms",
        "seconds", "bit", "facet", "facets", "ch", "channels", "channel", "bpm", "fps", "min",
    ];
    units.contains(&word.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn count(text: &str, notation: Notation, wanted: (u32, u32), left: &str) {
        let (value, rest) = take(text, notation).unwrap_or_else(|| panic!("no value in {text:?}"));
        assert_eq!(value.amount, Amount::Count(wanted.0, wanted.1), "{text:?}");
        assert_eq!(rest.trim(), left, "{text:?}");
    }

    #[test]
    fn every_notation_gives_the_same_values() {
        for text in [
            "0-7",
            "000–007",
            "0~7",
            "0..7",
            "0 to 7",
            "0 – 7",
            "0x00-0x07",
            "00h-07h",
            "$00-$07",
            "from 0 to 7",
            "0...7",
            "0 → 7",
            "<8",
            "<= 7",
            "7-0",
        ] {
            count(text, Notation::Any, (0, 7), "");
        }
        count("00-FF", Notation::Hex, (0, 255), "");
        count("1F", Notation::Hex, (31, 31), "");
        count(">=240 reset", Notation::Any, (240, 255), "reset");
        count("240 and up", Notation::Any, (240, 255), "");
        count("255 open", Notation::Any, (255, 255), "open");
        count("8to15 red", Notation::Any, (8, 15), "red");
        let (percent, _) = take("0-50%", Notation::Any).unwrap();
        assert_eq!(percent.amount, Amount::Percent(0.0, 50.0));
        assert!(take("7-0", Notation::Any).unwrap().0.reversed);
    }

    #[test]
    fn physical_numbers_and_words_are_no_values() {
        for text in
            ["0-540°", "1-20 Hz", "16 bit", "3-facet prism", "NaN", "", "each", "123456", "-"]
        {
            assert_eq!(take(text, Notation::Any).map(|(value, _)| value), None, "{text:?}");
        }
    }

    #[test]
    fn a_cell_may_repeat_its_value_in_another_notation() {
        for text in ["0-7 (00h-07h)", "0-7 / 0-3%", "0-7 (0-3 %)"] {
            let values = cell(text, Notation::Any).unwrap();
            assert_eq!(values.len(), 1, "{text}");
            assert_eq!(values[0].amount, Amount::Count(0, 7), "{text}");
        }
        assert_eq!(cell("0-7, 248-255", Notation::Any).unwrap().len(), 2);
        assert_eq!(cell("0-7 closed", Notation::Any), None);
    }

    #[test]
    fn a_range_is_found_inside_a_line() {
        let (before, value, rest) = find_range("Shutter closed 0-7 (no light)").unwrap();
        assert_eq!((before, rest), ("Shutter closed ", " (no light)"));
        assert_eq!(value.amount, Amount::Count(0, 7));
        assert_eq!(find_range("Index 0-540°"), None);
        assert_eq!(find_range("Strobe 3 times"), None);
    }
}
