//! Everything there is to say about a profile: its mistakes, what is most likely not meant, what the
//! pipeline makes of it, and which of that its author accepted.

use std::path::Path;
use std::sync::Arc;

use super::light_on;
use crate::decode::CompiledMode;
use crate::finding::{Finding, Place, Severity, listed};
use crate::motion::{HeadModel, Part};
use crate::profile::lint::{kinds, lint};
use crate::profile::place::{Covered, Found, PathInFile};
use crate::profile::ron_text::from_ron;
use crate::profile::{KnownDrawing, Profile, validate};

/// Everything there is to say about the text of a profile. What its author accepted is among it, and
/// says so.
pub fn check_profile(
    text: &str,
    file: Option<&Path>,
    known_drawing: KnownDrawing<'_>,
) -> Vec<Finding> {
    match from_ron::<Profile>(text, file) {
        Ok(profile) => lint_profile(&Arc::new(profile), known_drawing).pin(text, file),
        Err(finding) => vec![finding],
    }
}

/// Everything there is to say about a profile, by the path of what it is about. A profile with an error
/// is looked through for errors only.
pub fn lint_profile(profile: &Arc<Profile>, known_drawing: KnownDrawing<'_>) -> Found {
    let mut found = validate(profile, known_drawing);
    let failed = found.failed();
    if !failed {
        found.extend(lint(profile));
        let mut guessed: Vec<String> = Vec::new();
        for (i, mode) in profile.modes.iter().enumerate() {
            let compiled = Arc::new(CompiledMode::new(profile, mode));
            light_on::check(i, &compiled, &mut found);
            for (part, words) in HeadModel::new(&compiled).assumed {
                let timed = matches!(part, Part::Optics | Part::Light | Part::Lamp);
                if timed && !guessed.contains(&words) {
                    guessed.push(words);
                }
            }
        }
        assumed(profile, &guessed, &mut found);
    }
    accept(profile, failed, &mut found);
    found
}

/// Says which times the pipeline takes from the table of assumptions.
fn assumed(profile: &Profile, guessed: &[String], found: &mut Found) {
    let mut say = |field: &str, what: String, mend: &str| {
        let finding = kinds::ASSUMED.finding(Severity::Note, Place::item(field), what, mend);
        found.push(PathInFile::top().field(field), finding);
    };
    if !guessed.is_empty() {
        let what = format!("not given: {}", listed(guessed.iter().map(String::as_str)));
        say("times", what, "give them in `times` where the manual says them");
    }
    if profile.on_loss.does.is_none() {
        let what = "what it does when the frames stop is not given".to_owned();
        say("on_loss", what, "it is taken to hold the last one; give `on_loss`");
    }
}

/// Marks what the profile's author accepted, and says which acceptances are about nothing.
fn accept(profile: &Profile, failed: bool, found: &mut Found) {
    let covered = found.accept(&profile.accepted);
    for (i, (accepted, covered)) in profile.accepted.iter().zip(covered).enumerate() {
        let at = match accepted.at.as_str() {
            "" => String::new(),
            at => format!(" at `{at}`"),
        };
        let (kind, what, mend) = match covered {
            Covered::AnError => (
                kinds::NOT_ACCEPTABLE,
                format!("`{}`{at} is an error, which cannot be accepted", accepted.code),
                "mend it, and take the acceptance out",
            ),
            // With errors about, not everything was looked for.
            Covered::Nothing if !failed => (
                kinds::UNMATCHED,
                format!("there is no finding `{}`{at} to accept", accepted.code),
                "take it out, or mend its `at`",
            ),
            _ => continue,
        };
        let place = Place::item(format!("acceptance of `{}`", accepted.code));
        let finding = kind.finding(Severity::Note, place, what, mend);
        found.push(PathInFile::top().field("accepted").index(i), finding);
    }
}
