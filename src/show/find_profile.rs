//! One profile by the name of its file or by its own name.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::disk::read_text;
use crate::finding::{Finding, Findings, Place, listed, nearest};
use crate::profile::library::FILES;
use crate::profile::{KnownDrawing, Library, Origin, Profile, parse_profile};

/// A profile that was looked for.
#[derive(Clone, Debug)]
pub struct FoundProfile {
    /// The profile.
    pub profile: Arc<Profile>,
    /// Where it comes from.
    pub origin: Origin,
    /// What is worth saying about it.
    pub findings: Vec<Finding>,
}

/// The profile that a word stands for: a file, or a profile of the library by its whole name or by its
/// model alone. A word that ends in `.ron` or names a folder is a file; of any other, the library is
/// asked first.
///
/// # Errors
///
/// The file cannot be read or holds no profile, or there is no profile of that name.
pub fn find_profile(
    word: &Path,
    library: &Library,
    known_drawing: KnownDrawing<'_>,
) -> Result<FoundProfile, Findings> {
    let Some(name) = library_name(word, library)? else {
        let text = read_text(word)?;
        let (profile, findings) = parse_profile(&text, Some(word), known_drawing)?;
        let origin = Origin::File(word.to_owned());
        return Ok(FoundProfile { profile: Arc::new(profile), origin, findings });
    };
    match (library.get(name), library.origin(name)) {
        (Some(profile), Some(origin)) => {
            Ok(FoundProfile { profile, origin: origin.clone(), findings: Vec::new() })
        }
        _ => Err(no_profile(name, library).into()),
    }
}

/// The text of the file that a word stands for, as [`find_profile`] takes it, and the file's name.
///
/// # Errors
///
/// The file cannot be read, or there is no profile of that name.
pub fn find_text(word: &Path, library: &Library) -> Result<(PathBuf, String), Finding> {
    let Some(name) = library_name(word, library)? else {
        return Ok((word.to_owned(), read_text(word)?));
    };
    match library.origin(name) {
        Some(Origin::File(path)) => Ok((path.clone(), read_text(path)?)),
        Some(Origin::Program(file)) => {
            let text = FILES.iter().find(|(known, _)| known == file);
            let (_, text) = text.ok_or_else(|| no_profile(name, library))?;
            Ok((PathBuf::from(file), (*text).to_owned()))
        }
        None => Err(no_profile(name, library)),
    }
}

/// The name of the library's profile that a word stands for; `None` where it stands for a file.
fn library_name<'l>(word: &Path, library: &'l Library) -> Result<Option<&'l str>, Finding> {
    let ends_as_file = word.extension().is_some_and(|end| end.eq_ignore_ascii_case("ron"));
    let in_folder = word.components().count() > 1;
    let Some(text) = word.to_str().filter(|_| !ends_as_file && !in_folder) else {
        return Ok(None);
    };
    match library.name_of(text) {
        Some(name) => Ok(Some(name)),
        None if word.exists() => Ok(None),
        None => Err(no_profile(text, library)),
    }
}

fn no_profile(name: &str, library: &Library) -> Finding {
    let models = library.profiles().map(|profile| profile.model.as_str());
    let near = library.nearest(name).or_else(|| nearest(name, models));
    let near = near.map(|near| format!("did you mean `{near}`? "));
    Finding::error(
        Place::default(),
        format!("there is no profile and no file `{}`", name.escape_debug()),
        format!("{}there are: {}", near.unwrap_or_default(), listed(library.names())),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::show::profile_sources::tests::head;

    #[test]
    fn a_profile_is_found_by_file_or_by_name() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.ron");
        std::fs::write(&path, head("Ember", 100)).unwrap();
        let library = Library::embedded();
        let find = |word: &Path| find_profile(word, library, &|_| true);
        assert_eq!(find(&path).unwrap().profile.model, "Ember");
        let spot = find(Path::new("s1 spot")).unwrap();
        assert_eq!(spot.profile.key().0, "Tarnfell S1 Spot");
        assert_eq!(spot.origin, Origin::Program("tarnfell-s1-spot.ron".to_owned()));
        let (name, text) = find_text(Path::new("s1 spot"), library).unwrap();
        assert_eq!(name, Path::new("tarnfell-s1-spot.ron"));
        assert!(text.contains("\"S1 Spot\""));
    }

    #[test]
    fn what_is_neither_names_what_there_is() {
        let find = |word: &str| {
            let found = find_profile(Path::new(word), Library::embedded(), &|_| true);
            found.unwrap_err().to_string()
        };
        let said = find("Tarnfell S1 Spto");
        assert!(said.contains("no profile and no file `Tarnfell S1 Spto`"), "{said}");
        assert!(said.contains("did you mean `Tarnfell S1 Spot`?"), "{said}");
        assert!(find("nowhere.ron").contains("the file cannot be read"));
        assert!(find("").contains("no profile and no file"));
    }
}
