//! The profiles that come with the program.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::path::Path;
use std::sync::{Arc, OnceLock};

use super::model::Profile;
use super::read::parse_profile;
use crate::finding::{Finding, Place, nearest};

macro_rules! file {
    ($name:literal) => {
        ($name, include_str!(concat!("../../assets/profiles/", $name)))
    };
}

/// File name and text of every file in `assets/profiles`.
pub const FILES: &[(&str, &str)] = &[
    file!("brindlesby-bodkin.ron"),
    file!("ockerwick-w19-wash.ron"),
    file!("quillmoor-emberwell.ron"),
    file!("quillmoor-ladderback-8.ron"),
    file!("saltgrave-clapperjack.ron"),
    file!("saltgrave-cobble.ron"),
    file!("tarnfell-m4-scanner.ron"),
    file!("tarnfell-s1-spot.ron"),
];

/// Profiles by `maker model`.
#[derive(Clone, Debug, Default)]
pub struct Library {
    profiles: BTreeMap<String, Arc<Profile>>,
    findings: Vec<Finding>,
}

impl Library {
    /// The profiles that come with the program, read once.
    pub fn embedded() -> &'static Self {
        static LIBRARY: OnceLock<Library> = OnceLock::new();
        LIBRARY.get_or_init(|| Self::from_files(FILES))
    }

    /// A library of these file names and texts. A file with an error gives no profile; what is wrong
    /// with it is among the findings. Of two profiles with one name the first is kept.
    pub fn from_files(files: &[(&str, &str)]) -> Self {
        let mut library = Self::default();
        for (name, text) in files {
            // Drawings are looked up where there are some: above this layer.
            match parse_profile(text, Some(Path::new(name)), &|_| true) {
                Ok((profile, findings)) => {
                    library.findings.extend(findings);
                    library.insert(name, profile);
                }
                Err(findings) => library.findings.extend(findings.0),
            }
        }
        library
    }

    fn insert(&mut self, file: &str, profile: Profile) {
        match self.profiles.entry(profile.key().0) {
            Entry::Vacant(entry) => {
                entry.insert(Arc::new(profile));
            }
            Entry::Occupied(entry) => self.findings.push(Finding::error(
                Place::file(file),
                format!("another file holds the profile `{}` already", entry.key()),
                "give it another maker or model",
            )),
        }
    }

    /// The profile called `maker model`.
    pub fn get(&self, key: &str) -> Option<Arc<Profile>> {
        self.profiles.get(key).cloned()
    }

    /// The names of all profiles, in order.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.profiles.keys().map(String::as_str)
    }

    /// All profiles, in the order of their names.
    pub fn profiles(&self) -> impl Iterator<Item = &Arc<Profile>> {
        self.profiles.values()
    }

    /// The name that `key` is most likely a slip of.
    pub fn nearest(&self, key: &str) -> Option<&str> {
        nearest(key, self.names())
    }

    /// Everything there is to say about the files.
    pub fn findings(&self) -> &[Finding] {
        &self.findings
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::any_error;

    #[test]
    fn every_profile_file_is_in_the_table_and_has_no_error() {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("assets/profiles");
        let mut there: Vec<String> = std::fs::read_dir(folder)
            .map(|entries| {
                let names = entries.map(|entry| entry.unwrap().file_name().into_string().unwrap());
                names.filter(|name| name.ends_with(".ron")).collect()
            })
            .unwrap_or_default();
        there.sort();
        let listed: Vec<&str> = FILES.iter().map(|(name, _)| *name).collect();
        assert_eq!(listed, there, "FILES lists what is in assets/profiles, in order");
        let library = Library::embedded();
        let errors: Vec<String> = library.findings().iter().map(Finding::to_string).collect();
        assert!(!any_error(library.findings()), "{errors:#?}");
        assert_eq!(library.names().count(), FILES.len());
    }
}
