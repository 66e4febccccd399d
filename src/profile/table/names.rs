//! What a channel is, by its name.

use super::words::Words;

/// What a channel drives.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    Pan,
    Tilt,
    PanSpin,
    TiltSpin,
    AimSpeed,
    Dimmer,
    Shutter,
    Colour,
    /// A wheel of patterns that may turn, that stand still, or not said.
    Pattern(Standing),
    PatternTurn,
    Prism,
    PrismTurn,
    Zoom,
    Focus,
    Iris,
    Frost,
    /// An emitter, or a filter of cyan, magenta or yellow.
    Emitter(&'static str),
    Temperature,
    Blade(u8),
    BladeTurn(u8),
    FrameTurn,
    Control,
    Program,
    Spare,
    Unknown,
}

/// Whether the patterns of a wheel turn in their places.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Standing {
    Unsaid,
    Still,
    Turning,
}

/// A channel's name, taken apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Named {
    /// What it drives.
    pub(super) kind: Kind,
    /// Which of several: the 2 of `gobo wheel 2`.
    pub(super) nth: u16,
    /// Which slot of the channel it says it is: 0 coarse, 1 fine, 2 finer.
    pub(super) fine: u8,
    /// The cell it drives.
    pub(super) cell: Option<u16>,
}

/// Words that say that a slot is the lower part of another.
const FINE: [&str; 7] = ["fine", "lsb", "16 bit", "low byte", "16 b", "finer", "ultra fine"];
/// Words that say that a slot is the upper part.
const COARSE: [&str; 6] = ["coarse", "msb", "high byte", "8 bit", "rough", "main"];
const FINER: [&str; 5] = ["ultra fine", "finer", "24 bit", "super fine", "ultra"];
const CELL: [&str; 8] = ["cell", "pixel", "zone", "head", "segment", "section", "ring", "pod"];

/// The emitters a chart may name, longer names first.
pub(super) const EMITTERS: [&str; 13] = [
    "warm white",
    "cold white",
    "cool white",
    "red",
    "green",
    "blue",
    "white",
    "amber",
    "uv",
    "lime",
    "cyan",
    "magenta",
    "yellow",
];

/// Takes a channel's name apart.
pub(super) fn named(name: &str) -> Named {
    let words = Words::new(name);
    let fine = if words.any(&FINER) { 2 } else { u8::from(words.any(&FINE)) };
    let plain = words.without(&FINER).without(&FINE).without(&COARSE);
    let kind = kind(&plain);
    let cell = cell(&plain, kind);
    let nth = nth(&plain, kind);
    Named { kind, nth, fine, cell }
}

/// The name without what says which part of a channel it is, to pair coarse and fine by.
pub(super) fn base(name: &str) -> String {
    Words::new(name).without(&FINER).without(&FINE).without(&COARSE).text().to_owned()
}

fn cell(words: &Words, kind: Kind) -> Option<u16> {
    let named = CELL.iter().find_map(|word| words.number_after(word));
    let numbered = || matches!(kind, Kind::Emitter(_)).then(|| words.last_number()).flatten();
    named.or_else(numbered).filter(|cell| (1..=512).contains(cell))
}

fn nth(words: &Words, kind: Kind) -> u16 {
    let heads: &[&str] = match kind {
        Kind::Colour => &["colour wheel", "wheel", "colour"],
        Kind::Pattern(_) | Kind::PatternTurn => {
            &["gobo wheel", "wheel", "gobo", "pattern", "rotation"]
        }
        Kind::Prism | Kind::PrismTurn => &["prism", "rotation"],
        Kind::Frost => &["frost"],
        _ => return 1,
    };
    heads
        .iter()
        .find_map(|head| words.number_after(head))
        .filter(|n| (1..=9).contains(n))
        .unwrap_or(1)
}

const SPIN: [&str; 8] =
    ["rotation", "rotate", "rot", "index", "spin", "turn", "rotating speed", "indexation"];

fn kind(words: &Words) -> Kind {
    let spare = ["no function", "not used", "reserved", "unused", "spare", "blank", "no use"];
    if words.any(&spare) {
        return Kind::Spare;
    }
    if words.any(&["macro", "macros", "preset", "presets", "library"]) {
        return Kind::Unknown;
    }
    aim(words)
        .or_else(|| blades(words))
        .or_else(|| wheels(words))
        .or_else(|| light(words))
        .or_else(|| rest(words))
        .unwrap_or(Kind::Unknown)
}

fn aim(words: &Words) -> Option<Kind> {
    let moves = [
        "pan", "tilt", "movement", "move", "motor", "position", "head", "pt", "p t", "aim", "xy",
        "follow",
    ];
    let paced = ["speed", "time", "vector", "mspeed", "tracking"];
    if words.any(&paced) && words.any(&moves) {
        return Some(Kind::AimSpeed);
    }
    if words.only(&["speed", "vector", "moving", "mspeed"]) {
        return Some(Kind::AimSpeed);
    }
    let spins = ["continuous", "endless", "infinite", "spin", "rotation", "rotate"];
    match (words.has("pan"), words.has("tilt")) {
        (true, false) if words.any(&spins) => Some(Kind::PanSpin),
        (false, true) if words.any(&spins) => Some(Kind::TiltSpin),
        (true, false) => Some(Kind::Pan),
        (false, true) => Some(Kind::Tilt),
        _ => None,
    }
}

fn blades(words: &Words) -> Option<Kind> {
    if !words.any(&["blade", "framing", "frame", "blades"]) {
        return None;
    }
    let turns = words.any(&["rotation", "rotate", "angle", "swivel", "turn"]);
    let sides = [("top", 1), ("right", 2), ("bottom", 3), ("left", 4)];
    let side = sides.iter().find(|(side, _)| words.has(side)).map(|(_, blade)| *blade);
    let number = words.number_after("blade").filter(|n| (1..=4).contains(n)).map(|n| n as u8);
    match side.or(number) {
        Some(blade) if turns => Some(Kind::BladeTurn(blade)),
        Some(blade) => Some(Kind::Blade(blade)),
        None if turns => Some(Kind::FrameTurn),
        None => None,
    }
}

fn wheels(words: &Words) -> Option<Kind> {
    if words.has("prism") {
        return Some(if words.any(&SPIN) { Kind::PrismTurn } else { Kind::Prism });
    }
    if words.any(&["gobo", "pattern"]) {
        let standing = if words.any(&["rotating", "rotary", "rotatable"]) {
            Standing::Turning
        } else if words.any(&["static", "fixed", "still"]) {
            Standing::Still
        } else {
            Standing::Unsaid
        };
        let turned = words.any(&SPIN) && !words.any(&["select", "selection"]);
        return Some(if turned { Kind::PatternTurn } else { Kind::Pattern(standing) });
    }
    if words.any(&["colour temperature", "color temperature", "cct", "ctc", "cto", "colour temp"]) {
        return Some(Kind::Temperature);
    }
    if words.any(&["colour wheel", "colour", "colours"]) && !words.any(&EMITTERS) {
        return Some(Kind::Colour);
    }
    None
}

fn light(words: &Words) -> Option<Kind> {
    if words.any(&["curve", "curves", "mode"]) && words.any(&["dimmer", "fan", "display"]) {
        return Some(Kind::Control);
    }
    if words.any(&["shutter", "strobe", "strob", "flash"]) {
        return Some(Kind::Shutter);
    }
    if let Some(name) = EMITTERS.iter().find(|name| words.has(name)) {
        return Some(Kind::Emitter(name));
    }
    let letters = [("r", "red"), ("g", "green"), ("b", "blue"), ("w", "white"), ("a", "amber")];
    let letter = letters.iter().find(|(letter, _)| words.text() == *letter);
    if let Some((_, name)) = letter {
        return Some(Kind::Emitter(name));
    }
    if words.any(&["ultraviolet", "ultra violet"]) {
        return Some(Kind::Emitter("uv"));
    }
    let levels = ["dimmer", "intensity", "master", "brightness", "dim", "dimming"];
    if words.any(&levels) && !words.has("speed") {
        return Some(Kind::Dimmer);
    }
    None
}

fn rest(words: &Words) -> Option<Kind> {
    let optics = [
        (Kind::Zoom, &["zoom"][..]),
        (Kind::Focus, &["focus"]),
        (Kind::Iris, &["iris"]),
        (Kind::Frost, &["frost", "diffusion", "diffuser"]),
    ];
    if let Some((kind, _)) = optics.iter().find(|(_, names)| words.any(names)) {
        return Some(*kind);
    }
    let programs =
        ["program", "programs", "auto", "automatic", "show", "sound", "music", "programme"];
    if words.any(&programs) && !words.has("speed") {
        return Some(Kind::Program);
    }
    let control = [
        "control",
        "special",
        "function",
        "functions",
        "reset",
        "lamp",
        "service",
        "settings",
        "maintenance",
        "fan",
        "display",
        "setup",
        "configuration",
    ];
    words.any(&control).then_some(Kind::Control)
}

impl Kind {
    /// What the channel is called where the chart gives it no name.
    pub(super) fn word(self) -> &'static str {
        match self {
            Self::Pan => "Pan",
            Self::Tilt => "Tilt",
            Self::PanSpin => "Pan spin",
            Self::TiltSpin => "Tilt spin",
            Self::AimSpeed => "Aim speed",
            Self::Dimmer => "Dimmer",
            Self::Shutter => "Shutter",
            Self::Colour => "Colour wheel",
            Self::Pattern(_) => "Pattern wheel",
            Self::PatternTurn => "Pattern rotation",
            Self::Prism => "Prism",
            Self::PrismTurn => "Prism rotation",
            Self::Zoom => "Zoom",
            Self::Focus => "Focus",
            Self::Iris => "Iris",
            Self::Frost => "Frost",
            Self::Emitter(name) => name,
            Self::Temperature => "Colour temperature",
            Self::Blade(_) => "Blade",
            Self::BladeTurn(_) => "Blade angle",
            Self::FrameTurn => "Frame rotation",
            Self::Control => "Control",
            Self::Program => "Programs",
            Self::Spare => "Spare",
            Self::Unknown => "Channel",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_say_what_a_channel_drives() {
        for (name, kind) in [
            ("Pan", Kind::Pan),
            ("Tilt (fine)", Kind::Tilt),
            ("Pan/Tilt speed", Kind::AimSpeed),
            ("Continuous pan", Kind::PanSpin),
            ("Master dimmer", Kind::Dimmer),
            ("Shutter / strobe", Kind::Shutter),
            ("Color wheel 2", Kind::Colour),
            ("Rotating gobo", Kind::Pattern(Standing::Turning)),
            ("Gobo rotation", Kind::PatternTurn),
            ("Prism rotation", Kind::PrismTurn),
            ("Warm white 3", Kind::Emitter("warm white")),
            ("Colour macros", Kind::Unknown),
            ("Special functions", Kind::Control),
            ("Blade top angle", Kind::BladeTurn(1)),
            ("", Kind::Unknown),
        ] {
            assert_eq!(named(name).kind, kind, "{name}");
        }
    }

    #[test]
    fn fine_parts_numbers_and_cells_are_told_apart() {
        assert_eq!(
            (named("Pan 16 bit").fine, named("Pan LSB").fine, named("Pan MSB").fine),
            (1, 1, 0)
        );
        assert_eq!(named("Pan ultra fine").fine, 2);
        assert_eq!(named("Gobo wheel 2").nth, 2);
        assert_eq!(named("Red 3").cell, Some(3));
        assert_eq!(named("Pixel 2 dimmer").cell, Some(2));
        assert_eq!(base("Pan fine"), base("Pan (coarse)"));
    }
}
