//! The profiles there are to use: those that come with the program, and those laid over them.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::fmt;
use std::path::{Path, PathBuf};
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

/// Where a profile comes from.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Origin {
    /// It comes with the program, in the file of this name.
    Program(String),
    /// A file of the user's.
    File(PathBuf),
}

impl fmt::Display for Origin {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Program(_) => f.write_str("the program"),
            Self::File(path) => path.display().fmt(f),
        }
    }
}

/// Profiles by `maker model`, each with where it comes from.
#[derive(Clone, Debug, Default)]
pub struct Library {
    profiles: BTreeMap<String, Kept>,
    findings: Vec<Finding>,
}

#[derive(Clone, Debug)]
struct Kept {
    profile: Arc<Profile>,
    origin: Origin,
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
                let origin = Origin::Program(file.to_owned());
                entry.insert(Kept { profile: Arc::new(profile), origin });
            }
            Entry::Occupied(entry) => self.findings.push(Finding::error(
                Place::file(file),
                format!("another file holds the profile `{}` already", entry.key()),
                "give it another maker or model",
            )),
        }
    }

    /// Lays the profile of a user's file over those there are: it hides one of the same name that comes
    /// with the program, of which a note is made. Of two files with one name the first is kept.
    pub fn lay_over(&mut self, file: &Path, profile: Arc<Profile>) {
        let key = profile.key().0;
        let said = match self.profiles.get(&key).map(|kept| &kept.origin) {
            None => None,
            Some(Origin::Program(_)) => Some(Finding::note(
                Place::file(file),
                format!("this `{key}` is used and not the one that comes with the program"),
                "",
            )),
            Some(Origin::File(other)) => {
                let what = format!("`{key}` is taken from {} and not from here", other.display());
                let mend = "give one of them another maker or model";
                self.findings.push(Finding::warning(Place::file(file), what, mend));
                return;
            }
        };
        self.findings.extend(said);
        self.profiles.insert(key, Kept { profile, origin: Origin::File(file.to_owned()) });
    }

    /// The same profiles, with nothing said about them.
    pub fn without_findings(&self) -> Self {
        Self { profiles: self.profiles.clone(), findings: Vec::new() }
    }

    /// Adds to what there is to say about the files.
    pub fn say(&mut self, findings: impl IntoIterator<Item = Finding>) {
        self.findings.extend(findings);
    }

    /// The profile called `maker model`.
    pub fn get(&self, key: &str) -> Option<Arc<Profile>> {
        self.profiles.get(key).map(|kept| kept.profile.clone())
    }

    /// Where the profile called `maker model` comes from.
    pub fn origin(&self, key: &str) -> Option<&Origin> {
        self.profiles.get(key).map(|kept| &kept.origin)
    }

    /// The names of all profiles, in order.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.profiles.keys().map(String::as_str)
    }

    /// All profiles, in the order of their names.
    pub fn profiles(&self) -> impl Iterator<Item = &Arc<Profile>> {
        self.profiles.values().map(|kept| &kept.profile)
    }

    /// The name of the profile that `word` stands for: its whole name, or its model alone where only
    /// one has it, in whatever case.
    pub fn name_of(&self, word: &str) -> Option<&str> {
        let word = word.trim();
        if let Some((name, _)) = self.profiles.get_key_value(word) {
            return Some(name);
        }
        let same = |name: &str| name.to_lowercase() == word.to_lowercase();
        let only = |wanted: &dyn Fn(&str, &Profile) -> bool| {
            let mut found = self.profiles.iter().filter(|(name, kept)| wanted(name, &kept.profile));
            found.next().filter(|_| found.next().is_none()).map(|(name, _)| name.as_str())
        };
        only(&|name, _| same(name)).or_else(|| only(&|_, profile| same(&profile.model)))
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

    #[test]
    fn a_profile_is_found_by_its_whole_name_or_by_its_model() {
        let library = Library::embedded();
        for word in ["Tarnfell S1 Spot", "tarnfell s1 spot", " S1 spot "] {
            assert_eq!(library.name_of(word), Some("Tarnfell S1 Spot"), "{word}");
        }
        assert_eq!(library.name_of("Tarnfell"), None);
        assert_eq!(library.name_of(""), None);
    }

    #[test]
    fn a_file_of_the_users_hides_what_comes_with_the_program_and_says_so() {
        let mut library = Library::embedded().clone();
        let mut mine = (*library.get("Tarnfell S1 Spot").unwrap()).clone();
        mine.revision = "mine".to_owned();
        library.lay_over(Path::new("a.ron"), Arc::new(mine.clone()));
        let before = library.findings().len();
        library.lay_over(Path::new("b.ron"), Arc::new(mine));
        assert_eq!(library.get("Tarnfell S1 Spot").unwrap().revision, "mine");
        assert_eq!(library.origin("Tarnfell S1 Spot"), Some(&Origin::File("a.ron".into())));
        let said: Vec<String> =
            library.findings()[before - 1..].iter().map(Finding::to_string).collect();
        assert!(said[0].starts_with("a.ron: note: this `Tarnfell S1 Spot` is used"), "{said:?}");
        assert!(said[1].starts_with("b.ron: warning: `Tarnfell S1 Spot` is taken from a.ron"));
    }
}
