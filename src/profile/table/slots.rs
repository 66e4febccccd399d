//! Slot numbers as charts print them: `1`, `1/2`, `1-2`, `1+2`, `CH1`, `Channel 7`.

use crate::wire::SLOTS;

/// Slots that one channel can have.
const WIDEST: usize = 4;

/// What a cell of slot numbers holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Slots {
    /// Nothing, or a dash: the channel is not in this mode.
    None,
    /// The slots of one channel, as printed.
    Some(Vec<u16>),
    /// Slot numbers that cannot be.
    Bad(String),
    /// Something else.
    Other,
}

/// Reads a cell of slot numbers.
pub(super) fn cell(text: &str) -> Slots {
    let text = text.trim();
    let dash = |c: char| matches!(c, '-' | '–' | '—' | '−' | '.' | '/');
    if text.chars().all(dash) || ["n/a", "none"].contains(&text.to_lowercase().as_str()) {
        return Slots::None;
    }
    let Some((slots, rest)) = at_start(strip_keyword(text).unwrap_or(text)) else {
        return Slots::Other;
    };
    if !rest.trim_matches([' ', '.', ':', ')']).is_empty() {
        return Slots::Other;
    }
    match bad(&slots) {
        Some(what) => Slots::Bad(what),
        None => Slots::Some(slots),
    }
}

/// Why these cannot be the slots of a channel.
pub(super) fn bad(slots: &[u16]) -> Option<String> {
    if let Some(slot) = slots.iter().find(|slot| !(1..=SLOTS as u16).contains(*slot)) {
        return Some(format!("there is no slot `{slot}`: slots are 1..{SLOTS}"));
    }
    (slots.len() > WIDEST)
        .then(|| format!("{} slots for one channel, which has 1 to 4", slots.len()))
}

/// Slot numbers behind a word that says so, and what is left.
pub(super) fn keyword(text: &str) -> Option<(Vec<u16>, &str)> {
    at_start(strip_keyword(text)?)
}

/// The text behind `Channel`, `CH`, `Slot` and the like, where a number follows.
fn strip_keyword(text: &str) -> Option<&str> {
    let words = [
        "dmx channels",
        "dmx channel",
        "dmx slot",
        "channels",
        "channel",
        "chan",
        "slots",
        "slot",
        "ch",
        "dmx",
    ];
    words.iter().find_map(|word| {
        let head = text.get(..word.len())?;
        let rest = head.eq_ignore_ascii_case(word).then(|| &text[word.len()..])?;
        let rest = rest.trim_start_matches([' ', '.', '#', ':', '\t']);
        rest.starts_with(|c: char| c.is_ascii_digit()).then_some(rest)
    })
}

/// Slot numbers at the start of a text, and what is left.
pub(super) fn at_start(text: &str) -> Option<(Vec<u16>, &str)> {
    let text = text.trim_start();
    let (first, mut rest) = number(text)?;
    let mut slots = vec![first];
    loop {
        let trimmed = rest.trim_start();
        let mark = trimmed.chars().next().filter(|c| "/+&,-–—".contains(*c));
        let Some(mark) = mark else { break };
        let behind = &trimmed[mark.len_utf8()..];
        // `1 - Pan` goes on with a name, `7 - 0-7` with values.
        let Some((next, left)) = number(behind.trim_start()) else { break };
        if next == 0 || slots.len() > 64 {
            break;
        }
        let last = slots.last().copied().unwrap_or(first);
        if "-–—".contains(mark) {
            if next <= last || usize::from(next - last) > 64 {
                break;
            }
            slots.extend(last + 1..=next);
        } else {
            slots.push(next);
        }
        rest = left;
    }
    Some((slots, rest))
}

fn number(text: &str) -> Option<(u16, &str)> {
    let digits = text.len() - text.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    let rest = &text[digits..];
    if !(1..=4).contains(&digits)
        || rest.starts_with(|c: char| c.is_alphanumeric() || "%°".contains(c))
    {
        return None;
    }
    Some((text[..digits].parse().ok()?, rest))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_notation_gives_the_slots() {
        for (text, wanted) in [
            ("1", vec![1]),
            ("CH1", vec![1]),
            ("Ch. 12", vec![12]),
            ("7.", vec![7]),
            ("1/2", vec![1, 2]),
            ("1-2", vec![1, 2]),
            ("1 + 2", vec![1, 2]),
            ("2/1", vec![2, 1]),
            ("Slot 3 & 4", vec![3, 4]),
            ("1–3", vec![1, 2, 3]),
        ] {
            assert_eq!(cell(text), Slots::Some(wanted), "{text}");
        }
        assert_eq!(cell(""), Slots::None);
        assert_eq!(cell("—"), Slots::None);
        assert_eq!(cell("Pan"), Slots::Other);
        assert_eq!(cell("16 bit"), Slots::Other);
        assert!(matches!(cell("0"), Slots::Bad(_)));
        assert!(matches!(cell("513"), Slots::Bad(_)));
        assert!(matches!(cell("5-16"), Slots::Bad(_)));
    }

    #[test]
    fn a_heading_is_slots_and_the_rest() {
        assert_eq!(keyword("Channel 7 Shutter"), Some((vec![7], " Shutter")));
        assert_eq!(keyword("CH7 - Shutter"), Some((vec![7], " - Shutter")));
        assert_eq!(keyword("Chase 7"), None);
        assert_eq!(at_start("7. Shutter"), Some((vec![7], ". Shutter")));
    }
}
