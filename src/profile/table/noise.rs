//! Lines that are on a manual's page without being part of its table.

use super::words::Words;

/// Why a line is no part of the table, where its own words tell.
pub(super) fn reason(text: &str) -> Option<&'static str> {
    let text = text.trim();
    if !text.contains(char::is_alphanumeric) {
        return Some("a rule");
    }
    let lower = text.to_lowercase();
    let words = Words::new(text);
    let is_number = |word: &str| word.chars().all(|c| c.is_ascii_digit());
    let page = ["page", "p", "pg", "of"];
    let has_page = words.any(&["page", "pg", "p"]);
    if has_page && words.iter().all(|word| page.contains(&word) || is_number(word)) {
        return Some("a page number");
    }
    let bare = text.trim_matches(['-', '–', '—', ' ']);
    if text.starts_with(['-', '–', '—']) && text.ends_with(['-', '–', '—']) && is_number(bare)
    {
        return Some("a page number");
    }
    // A running title with the page in it: `Wren 8, user manual    page 12`.
    let at_page = words.find("page").is_some_and(|_| words.number_after("page").is_some());
    if at_page && (words.any(&["manual", "guide", "chart", "edition", "rev", "version"])) {
        return Some("a page header or footer");
    }
    if ["©", "copyright", "all rights reserved", "http://", "https://", "www."]
        .iter()
        .any(|mark| lower.contains(mark))
    {
        return Some("a page header or footer");
    }
    let marks =
        ["* ", "** ", "† ", "¹", "²", "³", "*)", "1) ", "note:", "note ", "notes:", "nb ", "n.b."];
    if marks.iter().any(|mark| lower.starts_with(mark)) && !looks_like_value(text) {
        return Some("a footnote");
    }
    None
}

/// A bullet before values is no footnote.
fn looks_like_value(text: &str) -> bool {
    let body = text.trim_start_matches(['*', ' ']);
    text.starts_with('*') && super::values::take(body, super::values::Notation::Any).is_some()
}

/// The name of the mode that a line opens.
pub(super) fn mode(text: &str) -> Option<String> {
    let words = Words::new(text);
    let is_number = |word: &str| word.chars().all(|c| c.is_ascii_digit());
    if words.count() > 8 || super::values::find_range(text).is_some() {
        return None;
    }
    let counted = ["channel", "channels", "ch", "chan", "dmx", "mode"];
    let only_count = words.iter().any(is_number)
        && words.any(&["channels", "ch", "channel"])
        && words.iter().next().is_some_and(is_number)
        && words.iter().all(|word| counted.contains(&word) || is_number(word));
    let ends = text.trim_end_matches(':').to_lowercase();
    let named = words.any(&["mode", "personality"])
        && (words.iter().next().is_some_and(|word| ["mode", "personality", "dmx"].contains(&word))
            || ends.ends_with("mode")
            || ends.ends_with("personality")
            || ends.ends_with(')'))
        && !words
            .any(&["fan", "dimmer", "sound", "auto", "slave", "pan", "tilt", "lamp", "display"]);
    if !(only_count || named) {
        return None;
    }
    let cut = |word: &str, text: &str| -> String {
        let head = text.get(..word.len()).unwrap_or_default();
        let rest = text.get(word.len()..).unwrap_or_default();
        if head.eq_ignore_ascii_case(word) && rest.trim_start().starts_with(':') {
            rest.trim_start().trim_start_matches(':').trim().to_owned()
        } else {
            text.to_owned()
        }
    };
    let name = cut("DMX mode", &cut("mode", &cut("personality", text.trim())));
    let name = name.trim().trim_matches([':', '-', '=', '#', ' ']).to_owned();
    (!name.is_empty()).then_some(name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pages_rules_and_footnotes_are_told_from_rows() {
        for text in [
            "----+----",
            "Page 3 of 10",
            "- 12 -",
            "p. 4",
            "* hold for 3 s",
            "© Wren 2024",
            "Wren 8 user manual   page 12",
        ] {
            assert!(reason(text).is_some(), "{text}");
        }
        for text in ["0-7 closed", "* 0-7 closed", "Channel 7", "8-15 page flash"] {
            assert_eq!(reason(text), None, "{text}");
        }
    }

    #[test]
    fn modes_are_told_from_rows() {
        for (text, name) in [
            ("Mode: Basic", Some("Basic")),
            ("Extended mode (16 channels)", Some("Extended mode (16 channels)")),
            ("12-channel mode", Some("12-channel mode")),
            ("16 CH", Some("16 CH")),
            ("Fan mode", None),
            ("0-7 mode off", None),
            ("Channel 7", None),
        ] {
            assert_eq!(mode(text).as_deref(), name, "{text}");
        }
    }
}
