//! Names of colours on wheels, and the sRGB colour that stands for each.
//!
//! The colours are ours: a name on a chart tells no more than roughly what is meant.

use super::words::Words;
use crate::profile::srgb;

/// Names, longer ones before those they hold.
const NAMES: [(&str, &str); 51] = [
    ("warm white", "#ffd9a0"),
    ("cold white", "#dfeaff"),
    ("cool white", "#dfeaff"),
    ("congo blue", "#2a0a9c"),
    ("congo", "#2a0a9c"),
    ("sea green", "#10e0a0"),
    ("leaf green", "#38e03c"),
    ("yellow green", "#b4f028"),
    ("lime green", "#9cf024"),
    ("blue green", "#10c8b0"),
    ("navy blue", "#0a1a80"),
    ("royal blue", "#1c3cf0"),
    ("sky blue", "#4ac4ff"),
    ("ice blue", "#a8dcff"),
    ("hot pink", "#ff3c9c"),
    ("black light", "#5a14ff"),
    ("red", "#ff1414"),
    ("orange", "#ff7a10"),
    ("amber", "#ffb000"),
    ("gold", "#ffc430"),
    ("straw", "#ffe08c"),
    ("yellow", "#ffee20"),
    ("lemon", "#fff04a"),
    ("lime", "#9cf024"),
    ("green", "#14e028"),
    ("mint", "#7cf0b8"),
    ("teal", "#0a9ca0"),
    ("turquoise", "#20dcd0"),
    ("aquamarine", "#50e8c8"),
    ("aqua", "#20e0e8"),
    ("cyan", "#14e0ff"),
    ("azure", "#2a94ff"),
    ("sky", "#4ac4ff"),
    ("blue", "#1440ff"),
    ("indigo", "#4a1cf0"),
    ("violet", "#8420f0"),
    ("purple", "#a020e0"),
    ("magenta", "#f020d0"),
    ("fuchsia", "#f020a0"),
    ("lavender", "#c8a0ff"),
    ("lilac", "#d0a8f0"),
    ("pink", "#ff84c4"),
    ("rose", "#ff5c8c"),
    ("salmon", "#ff8c78"),
    ("coral", "#ff6c50"),
    ("peach", "#ffc09c"),
    ("flame", "#ff5a10"),
    ("uv", "#5a14ff"),
    ("ultraviolet", "#5a14ff"),
    ("cto", "#ffc880"),
    ("ctb", "#b8d4ff"),
];

/// What makes a colour lighter or darker.
const SHADES: [(&str, i32); 8] = [
    ("light", 90),
    ("pale", 110),
    ("bright", 30),
    ("soft", 60),
    ("medium", 0),
    ("dark", -90),
    ("deep", -60),
    ("primary", 0),
];

/// The sRGB colour that a name stands for, or `None` where the name is not that of a colour.
pub(super) fn hex(name: &str) -> Option<String> {
    let words = Words::new(name);
    let (known, hex) = NAMES.iter().find(|(known, _)| words.has(known))?;
    // What is left may say how light it is, number it or call it a filter, and no more.
    let rest = words.without(&[known]);
    let fillers =
        ["colour", "filter", "dichroic", "glass", "full", "half", "quarter", "correction"];
    let mut shift = 0;
    for word in rest.iter() {
        match SHADES.iter().find(|(shade, _)| *shade == word) {
            Some((_, by)) => shift += by,
            None if fillers.contains(&word) || word.chars().all(|c| c.is_ascii_digit()) => {}
            None if word == "k" => {}
            None => return None,
        }
    }
    Some(shaded(hex, shift))
}

/// Whether a name says that no filter is in the light.
pub(super) fn is_open(words: &Words) -> bool {
    let open = [
        "open", "white", "no", "colour", "none", "clear", "empty", "position", "hole", "filter",
        "gobo", "pattern", "off", "without", "1",
    ];
    let says = [
        "open",
        "white",
        "none",
        "clear",
        "empty",
        "no colour",
        "no gobo",
        "no pattern",
        "no filter",
    ];
    words.only(&open) && words.any(&says)
}

fn shaded(hex: &str, by: i32) -> String {
    let part = |value: u8| {
        let value = i32::from(value);
        // Lighter goes towards white, darker towards black, so that the hue stays.
        let room = if by >= 0 { 255 - value } else { value };
        (value + room * by / 160).clamp(0, 255) as u8
    };
    srgb::text(srgb::parse(hex).unwrap_or([255; 3]).map(part))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_give_colours_and_other_words_none() {
        assert_eq!(hex("Red").as_deref(), Some("#ff1414"));
        assert!(hex("Light Blue").is_some_and(|light| Some(light) != hex("blue")));
        assert!(hex("CTO 3200K").is_some() && hex("colour 3").is_none());
        assert!(hex("red strobe").is_none() && hex("").is_none());
        assert!(is_open(&Words::new("White / open")) && !is_open(&Words::new("white + red")));
    }

    #[test]
    fn every_colour_is_six_hexadecimal_digits() {
        for (name, code) in NAMES {
            assert_eq!(hex(name).as_deref(), Some(code), "{name}");
            assert!(code.len() == 7 && code[1..].chars().all(|c| c.is_ascii_hexdigit()), "{name}");
        }
    }
}
