//! The profile files that a show names, and where else its profiles are found.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use super::check_show::Check;
use super::disk::read_text;
use crate::finding::{Finding, Findings, Place, Severity};
use crate::profile::place::PathInFile;
use crate::profile::{KnownDrawing, Library, Origin, Profile, parse_profile};

/// Profiles by `maker model`.
pub(super) type Profiles = BTreeMap<String, Arc<Profile>>;

/// Where a show's profiles are found: in its own files, then in the library.
#[derive(Clone, Copy)]
pub(super) struct Shelf<'a> {
    /// The profiles of the show's own files.
    pub own: &'a Profiles,
    /// The others.
    pub library: &'a Library,
}

impl<'a> Shelf<'a> {
    /// The profile called `maker model`.
    pub(super) fn get(self, key: &str) -> Option<Arc<Profile>> {
        self.own.get(key).cloned().or_else(|| self.library.get(key))
    }

    /// The names of all profiles, those of the show's own files first.
    pub(super) fn names(self) -> impl Iterator<Item = &'a str> {
        self.own.keys().map(String::as_str).chain(self.library.names())
    }

    /// Notes which of the show's own profiles hide others of the same name.
    pub(super) fn tell_hidden(self, files: &[String], check: &mut Check) {
        for key in self.own.keys() {
            let from = match self.library.origin(key) {
                None => continue,
                Some(Origin::Program(_)) => "one that comes with the program".to_owned(),
                Some(Origin::File(path)) => format!("that of {}", path.display()),
            };
            let what = format!("the show's own `{key}` is used, and hides {from}");
            let path = PathInFile::top().field("profile_files");
            let path = if files.len() == 1 { path.index(0) } else { path };
            check.found.push(path, Finding::note(Place::default(), what, ""));
        }
    }
}

/// Reads the profile files that a show names. What is wrong inside one is added to `others`; that it
/// cannot be used is of the severity `doubt`, since a show opens without it.
pub(super) fn own_profiles(
    names: &[String],
    file: Option<&Path>,
    known_drawing: KnownDrawing<'_>,
    (doubt, check): (Severity, &mut Check),
    others: &mut Vec<Finding>,
) -> Profiles {
    let mut profiles = Profiles::new();
    for (i, name) in names.iter().enumerate() {
        let path = PathInFile::top().field("profile_files").index(i);
        let Some(folder) = file.map(|file| file.parent().unwrap_or(Path::new(""))) else {
            let mend = "save the show to a file first";
            check.error(&path, "", "this show has no folder to find profile files in", mend);
            break;
        };
        if name.trim().is_empty() || Path::new(name).is_absolute() {
            check.error(
                &path,
                "",
                format!("`{name}` is no place relative to the show"),
                "name the file as seen from the show's folder, so that both can move together",
            );
            continue;
        }
        let place = folder.join(name);
        let read = read_text(&place)
            .map_err(Findings::from)
            .and_then(|text| parse_profile(&text, Some(&place), known_drawing));
        match read {
            Ok((profile, findings)) => {
                others.extend(findings);
                let key = profile.key().0;
                if profiles.insert(key.clone(), Arc::new(profile)).is_some() {
                    let what = format!("another file holds the profile `{key}` too");
                    check.error(&path, "", what, "name one of them");
                }
            }
            Err(findings) => {
                let what = format!("the profile file `{name}` cannot be used");
                check.tell(doubt, &path, "", what, "see what is said about it");
                others.extend(findings.0);
            }
        }
    }
    profiles
}
