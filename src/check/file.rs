//! Everything there is to say about a file, whatever it holds.

use std::path::Path;

use serde::Serialize;

use super::profile_lint::check_profile;
use crate::finding::{Finding, Place, Severity};
use crate::profile::KnownDrawing;
use crate::profile::place::top_fields;
use crate::profile::ron_text::from_ron;
use crate::show::Show;
use crate::show::disk::read_text;
use crate::show::read::parse;

/// What a file holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum FileKind {
    /// A profile.
    Profile,
    /// A show.
    Show,
}

impl FileKind {
    /// What a text is most likely meant to hold, by the names of its outermost fields. `None` for a
    /// text that names none of either kind.
    pub fn of(text: &str) -> Option<Self> {
        let names = top_fields(text);
        let count = |of: &[&str]| names.iter().filter(|name| of.contains(&name.as_str())).count();
        let profile = count(&["maker", "model", "head", "source", "optics", "wheels", "modes"]);
        let show = count(&["format", "room", "fixtures", "looks", "levels"]);
        match (profile, show) {
            (0, 0) => None,
            (profile, show) if profile > show => Some(Self::Profile),
            _ => Some(Self::Show),
        }
    }
}

/// Everything there is to say about the text of a profile or show file, and about the profile files
/// that a show names. What the author of a profile accepted is among it, and says so. Heads on the same
/// slots, with which a show can still be opened, are an error here.
pub fn check_text(
    text: &str,
    file: &Path,
    known_drawing: KnownDrawing<'_>,
) -> (Option<FileKind>, Vec<Finding>) {
    let kind = FileKind::of(text);
    let found = match kind {
        Some(FileKind::Profile) => check_profile(text, Some(file), known_drawing),
        Some(FileKind::Show) => match parse(text, Some(file), known_drawing, Severity::Error) {
            Ok((show, found)) => with_profiles(&show, file, found, known_drawing),
            Err(findings) => findings.0,
        },
        None => vec![neither(text, file)],
    };
    (kind, found)
}

/// What is said about a show, with all there is to say about the profile files that it names.
fn with_profiles(
    show: &Show,
    file: &Path,
    mut found: Vec<Finding>,
    known_drawing: KnownDrawing<'_>,
) -> Vec<Finding> {
    let folder = file.parent().unwrap_or(Path::new(""));
    for name in &show.profile_files {
        let place = folder.join(name);
        // It was read a moment ago; if it is gone by now, what was found then stands.
        let Ok(text) = read_text(&place) else { continue };
        found.retain(|finding| finding.place.file.as_deref() != Some(&place));
        found.extend(check_profile(&text, Some(&place), known_drawing));
    }
    found
}

/// A text that is no RON at all gets the reader's own words for what is wrong with it.
fn neither(text: &str, file: &Path) -> Finding {
    from_ron::<serde::de::IgnoredAny>(text, Some(file)).err().unwrap_or_else(|| {
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
        for (text, kind) in [
            ("(maker: \"A\", model: \"B\", modes: [(name: ", Some(FileKind::Profile)),
            ("(mkaer: \"A\", modes: [])", Some(FileKind::Profile)),
            ("// A show.\n(name: \"A\", fixtures: [(modes: 1, maker: 2)])", Some(FileKind::Show)),
            ("#![enable(implicit_some)]\n(fixtures: [])", Some(FileKind::Show)),
            ("(name: \"maker: x\")", None),
            ("[1, 2]", None),
            ("", None),
        ] {
            assert_eq!(FileKind::of(text), kind, "{text}");
        }
    }

    #[test]
    fn heads_on_the_same_slots_are_an_error() {
        let head = |id: u8, slot: u8| {
            format!(
                "(id: {id}, profile: \"Tarnfell S1 Spot\", mode: \"compact\", universe: 1, \
                 slot: {slot}, at: (0, 0, 5)),"
            )
        };
        let text = format!("(format: 1, name: \"x\", fixtures: [{}{}])", head(1, 1), head(2, 5));
        let (_, found) = check_text(&text, Path::new("show.ron"), &|_| true);
        assert!(found[0].what.starts_with("slots 5..16 of universe 1 belong to fixture 1 too"));
        assert_eq!(found[0].severity, Severity::Error);
    }
}
