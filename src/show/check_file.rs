//! Everything there is to say about a file, whatever it holds.

use std::path::Path;

use super::disk::read_text;
use super::read::parse;
use crate::finding::{Finding, Severity};
use crate::profile::place::top_fields;
use crate::profile::{KnownDrawing, parse_profile};

/// What a file holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FileKind {
    /// A profile.
    Profile,
    /// A show.
    Show,
}

impl FileKind {
    /// What a text is most likely meant to hold, by the names of its outermost fields. A text that
    /// names none of either kind is taken for a show.
    pub fn of(text: &str) -> Self {
        let names = top_fields(text);
        let count = |of: &[&str]| names.iter().filter(|name| of.contains(&name.as_str())).count();
        let profile = count(&["maker", "model", "head", "source", "optics", "wheels", "modes"]);
        let show = count(&["format", "name", "room", "fixtures", "looks", "levels"]);
        if profile > show { Self::Profile } else { Self::Show }
    }
}

/// Everything there is to say about a profile or show file. Heads on the same slots, with which a
/// show can still be opened, are an error here.
pub fn check_file(path: &Path, known_drawing: KnownDrawing<'_>) -> Vec<Finding> {
    let text = match read_text(path) {
        Ok(text) => text,
        Err(finding) => return vec![finding],
    };
    match FileKind::of(&text) {
        FileKind::Profile => {
            parse_profile(&text, Some(path), known_drawing).map(|(_, found)| found)
        }
        FileKind::Show => {
            parse(&text, Some(path), known_drawing, Severity::Error).map(|(_, found)| found)
        }
    }
    .unwrap_or_else(|findings| findings.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_told_by_the_names_of_its_fields() {
        assert_eq!(
            FileKind::of("(maker: \"A\", model: \"B\", modes: [(name: \"x\""),
            FileKind::Profile
        );
        assert_eq!(
            FileKind::of("// A show.\n(name: \"A\", fixtures: [(modes: 1, maker: 2)])"),
            FileKind::Show
        );
        assert_eq!(FileKind::of("nothing"), FileKind::Show);
    }

    #[test]
    fn heads_on_the_same_slots_are_an_error() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("show.ron");
        let head = |id: u8, slot: u8| {
            format!(
                "(id: {id}, profile: \"Tarnfell S1 Spot\", mode: \"compact\", universe: 1, \
                 slot: {slot}, at: (0, 0, 5)),"
            )
        };
        let text = format!("(format: 1, name: \"x\", fixtures: [{}{}])", head(1, 1), head(2, 5));
        std::fs::write(&path, text).unwrap();
        let found = check_file(&path, &|_| true);
        assert!(found[0].what.starts_with("slots 5..16 of universe 1 belong to fixture 1 too"));
        assert_eq!(found[0].severity, Severity::Error);
    }
}
