//! What channels and emitters are called, and what the names of ranges tell.

use std::collections::HashSet;

use super::super::attributes;
use super::super::description::DmxChannel;

/// Names of colours by the end of an attribute's name.
const COLOURS: [(&str, &str); 16] = [
    ("RY", "Amber"),
    ("GY", "Lime"),
    ("GC", "Green-cyan"),
    ("BC", "Blue-cyan"),
    ("BM", "Blue-magenta"),
    ("RM", "Red-magenta"),
    ("WW", "Warm white"),
    ("CW", "Cold white"),
    ("UV", "Ultraviolet"),
    ("R", "Red"),
    ("G", "Green"),
    ("B", "Blue"),
    ("C", "Cyan"),
    ("M", "Magenta"),
    ("Y", "Yellow"),
    ("W", "White"),
];

/// The name of the colour that an attribute such as `ColorAdd_RY` sets.
pub(super) fn colour_word(attribute: &str) -> Option<&'static str> {
    let end =
        attribute.strip_prefix("ColorAdd_").or_else(|| attribute.strip_prefix("ColorSub_"))?;
    COLOURS.iter().find(|(key, _)| *key == end).map(|(_, word)| *word)
}

/// What a person calls a channel: its attribute in words, and which part it is where there are several.
pub(super) fn channel_name(
    channel: &DmxChannel,
    part: &str,
    repeated: bool,
    taken: &mut HashSet<String>,
) -> String {
    let attribute = channel.logical.first().and_then(|logical| logical.attribute.as_deref());
    let words =
        manual_name(channel).unwrap_or_else(|| attribute_words(attribute.unwrap_or("NoFeature")));
    let mut name = if repeated { format!("{words}, {part}") } else { words.clone() };
    if taken.contains(&name) {
        name = format!("{words}, {part}");
    }
    let first = name.clone();
    let mut number = 2;
    while !taken.insert(name.clone()) {
        name = format!("{first} {number}");
        number += 1;
    }
    name
}

/// What the manual calls a channel: `OriginalAttribute`, where all of its functions say the same.
fn manual_name(channel: &DmxChannel) -> Option<String> {
    let mut names =
        channel.functions().map(|(_, f)| f.original_attribute.as_deref().map(str::trim));
    let first = names.next()??;
    let good = !first.is_empty() && first.len() <= 200 && !first.chars().any(char::is_control);
    (good && names.all(|name| name == Some(first))).then(|| first.to_owned())
}

/// An attribute in words: `Gobo1PosRotate` is `Gobo 1 pos rotate`, `ColorAdd_RY` is `Amber`.
pub(super) fn attribute_words(attribute: &str) -> String {
    let known = attributes::find(attribute).map(|named| named.attribute.name);
    if let Some(word) = known.and_then(colour_word) {
        return word.to_owned();
    }
    match known {
        Some("NoFeature" | "Dummy") => return "Unused".to_owned(),
        Some("CTO" | "CTB" | "CTC") => return format!("Colour temperature ({attribute})"),
        _ => {}
    }
    // The standard's word for the speed of a move.
    let attribute = attribute.replace("MSpeed", "Speed");
    let mut words = String::new();
    let mut before = ' ';
    let mut letters = attribute.chars().take(60).peekable();
    while let Some(c) = letters.next() {
        if c == '_' || c.is_whitespace() || c.is_control() {
            before = ' ';
            continue;
        }
        let next = letters.peek().copied().unwrap_or(' ');
        let starts = before == ' '
            || (c.is_uppercase() && (!before.is_uppercase() || next.is_lowercase()))
            || c.is_ascii_digit() != before.is_ascii_digit();
        if starts && !words.is_empty() {
            words.push(' ');
            // An abbreviation stays in capitals.
            match next.is_uppercase() {
                true => words.push(c),
                false => words.extend(c.to_lowercase()),
            }
        } else {
            words.push(c);
        }
        before = c;
    }
    if words.is_empty() { "Unnamed".to_owned() } else { words }
}

/// Whether a name has one of these words in it.
pub(super) fn says(name: &str, words: &[&str]) -> bool {
    let name = name.to_lowercase();
    let mut parts = name.split(|c: char| !c.is_alphanumeric());
    parts.any(|part| words.contains(&part))
}

/// Whether a name says that nothing happens: what is there on purpose to do nothing.
pub(super) fn says_nothing_happens(name: &str) -> bool {
    let name = name.to_lowercase();
    let spoken: Vec<&str> =
        name.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    matches!(
        spoken.as_slice(),
        ["no", "function" | "effect" | "feature" | "action" | "operation", ..]
            | ["idle" | "unused" | "reserved" | "off" | "disabled" | "nofunction" | "nofeature"]
            | ["safe" | "none" | "normal" | "nop"]
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn attributes_read_as_words() {
        for (attribute, expected) in [
            ("Pan", "Pan"),
            ("Gobo1PosRotate", "Gobo 1 pos rotate"),
            ("ColorAdd_RY", "Amber"),
            ("colorsub_c", "Cyan"),
            ("PositionMSpeed", "Position speed"),
            ("LEDFrequency", "LED frequency"),
            ("NoFeature", "Unused"),
            ("", "Unnamed"),
        ] {
            assert_eq!(attribute_words(attribute), expected);
        }
    }

    #[test]
    fn names_tell_that_nothing_happens() {
        assert!(says_nothing_happens("No function"));
        assert!(says_nothing_happens("idle"));
        assert!(!says_nothing_happens("Reset all") && !says_nothing_happens(""));
        assert!(says("Lamp ON (hold 3 s)", &["on"]) && !says("Control", &["on"]));
    }
}
