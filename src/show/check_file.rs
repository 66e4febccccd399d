//! Everything there is to say about a file, whatever it holds.

use std::cmp::Ordering;
use std::path::Path;

use serde::de::IgnoredAny;

use super::disk::read_text;
use super::read::parse;
use crate::finding::{Finding, Findings, Place, Severity};
use crate::profile::place::top_fields;
use crate::profile::ron_text::from_ron;
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
    /// What a text is most likely meant to hold, by the names of its outermost fields. `None` where
    /// it names none of either kind.
    pub fn of(text: &str) -> Option<Self> {
        let names = top_fields(text);
        let count = |of: &[&str]| names.iter().filter(|name| of.contains(&name.as_str())).count();
        let profile = count(&["maker", "model", "head", "source", "optics", "wheels", "modes"]);
        let show = count(&["format", "name", "room", "fixtures", "looks", "levels"]);
        match profile.cmp(&show) {
            Ordering::Greater => Some(Self::Profile),
            _ => (show > 0).then_some(Self::Show),
        }
    }
}

/// Everything there is to say about a profile or show file. Heads on the same slots, with which a
/// show can still be opened, are an error here.
pub fn check_file(path: &Path, known_drawing: KnownDrawing<'_>) -> Vec<Finding> {
    match read_text(path) {
        Ok(text) => check_text(&text, path, known_drawing).1,
        Err(finding) => vec![finding],
    }
}

/// The same for a text that came from `file`: what it is taken to hold, and what there is to say.
pub fn check_text(
    text: &str,
    file: &Path,
    known_drawing: KnownDrawing<'_>,
) -> (Option<FileKind>, Vec<Finding>) {
    let kind = FileKind::of(text);
    let found = match kind {
        Some(FileKind::Profile) => {
            parse_profile(text, Some(file), known_drawing).map(|(_, found)| found)
        }
        Some(FileKind::Show) => {
            parse(text, Some(file), known_drawing, Severity::Error).map(|(_, found)| found)
        }
        None => Err(Findings::from(neither(text, file))),
    };
    (kind, found.unwrap_or_else(|findings| findings.0))
}

/// What to say of a text that is neither a profile nor a show. One that cannot be read at all gets
/// the reader's own words.
fn neither(text: &str, file: &Path) -> Finding {
    from_ron::<IgnoredAny>(text, Some(file)).err().unwrap_or_else(|| {
        Finding::error(
            Place::file(file),
            "this is neither a profile nor a show",
            "a profile names its `maker`, a show its `format` and `fixtures`",
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_told_by_the_names_of_its_fields() {
        assert_eq!(
            FileKind::of("(maker: \"A\", model: \"B\", modes: [(name: \"x\""),
            Some(FileKind::Profile)
        );
        assert_eq!(
            FileKind::of("// A show.\n(name: \"A\", fixtures: [(modes: 1, maker: 2)])"),
            Some(FileKind::Show)
        );
        for text in ["nothing", "", "[1, 2]", "(shopping: \"maker: x\")"] {
            assert_eq!(FileKind::of(text), None, "{text}");
        }
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
