//! Where profiles are found: the show's own files, then the user's folder, then what comes with the
//! program.

use std::collections::BTreeMap;
use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::profile_files::ProfileFiles;
use crate::finding::{Finding, Place};
use crate::profile::{KnownDrawing, Library, Profile};

/// Names the user's folder of profiles; empty for none at all.
pub const FOLDER_VARIABLE: &str = "SLOTWRIGHT_PROFILES";

/// Folders within folders that are looked into: maker, series, model.
const DEEPEST: usize = 4;

/// Files that are looked at; whoever has more has named the wrong folder.
const MOST_FILES: usize = 10_000;

/// The user's folder of profiles and the profile files of the open show.
#[derive(Clone, Debug, Default)]
pub struct ProfileSources {
    folder: Option<PathBuf>,
    /// Somebody named the folder, and expects it to be there.
    named: bool,
    in_folder: ProfileFiles,
    own_paths: Vec<PathBuf>,
    own: ProfileFiles,
    /// What there is to say about the folder itself.
    said: Vec<Finding>,
}

impl ProfileSources {
    /// The folder that the environment names: `SLOTWRIGHT_PROFILES`, or `slotwright/profiles` in
    /// `$XDG_DATA_HOME` or `~/.local/share` (XDG Base Directory Specification). Nothing is read yet.
    pub fn of_user() -> Self {
        let (folder, named) = folder_of(|name| std::env::var_os(name), std::env::home_dir());
        Self { folder, named, ..Self::default() }
    }

    /// A folder by its path. Nothing is read yet.
    pub fn in_folder(folder: impl Into<PathBuf>) -> Self {
        Self { folder: Some(folder.into()), named: true, ..Self::default() }
    }

    /// Takes note of the profile files of the open show.
    pub fn set_own(&mut self, paths: Vec<PathBuf>) {
        self.own_paths = paths;
    }

    /// The profile files of the open show.
    pub fn own_paths(&self) -> &[PathBuf] {
        &self.own_paths
    }

    /// Reads what is new or different. Says whether anything is.
    pub fn refresh(&mut self, known_drawing: KnownDrawing<'_>) -> bool {
        let mut said = Vec::new();
        let paths = match &self.folder {
            Some(folder) => profile_paths(folder, self.named, &mut said),
            None => Vec::new(),
        };
        let mut changed = self.said != said;
        self.said = said;
        changed |= self.in_folder.refresh(&paths, known_drawing);
        changed |= self.own.refresh(&self.own_paths, known_drawing);
        changed
    }

    /// The user's folder.
    pub fn folder(&self) -> Option<&Path> {
        self.folder.as_deref()
    }

    /// The folders in which something may change, and whether folders in them count.
    pub fn watched(&self) -> Vec<(PathBuf, bool)> {
        let mut all: Vec<(PathBuf, bool)> =
            self.folder.iter().map(|folder| (folder.clone(), true)).collect();
        for path in &self.own_paths {
            let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
            let folder = folder.unwrap_or(Path::new(".")).to_owned();
            if !all.iter().any(|(known, _)| *known == folder) {
                all.push((folder, false));
            }
        }
        all
    }

    /// What comes with the program, with the profiles of the user's folder laid over it.
    pub fn library(&self) -> Library {
        let mut library = Library::embedded().without_findings();
        library.say(self.said.iter().chain(self.in_folder.findings()).cloned());
        for (path, profile) in self.in_folder.profiles() {
            library.lay_over(path, profile.clone());
        }
        library
    }

    /// The profiles of the open show's own files, by `maker model`.
    pub fn own(&self) -> BTreeMap<String, Arc<Profile>> {
        let all = self.own.profiles();
        all.map(|(_, profile)| (profile.key().0, profile.clone())).collect()
    }

    /// Everything there is to say about the files of the folder and of the show.
    pub fn findings(&self) -> Vec<Finding> {
        let mut findings = self.library().findings().to_vec();
        findings.extend(self.own.findings().cloned());
        findings
    }

    /// The files that cannot be used as they are, those of the show last.
    pub fn broken(&self) -> impl Iterator<Item = &Path> {
        self.in_folder.broken().chain(self.own.broken())
    }
}

/// The folder for an environment and a home, and whether somebody named it.
fn folder_of(
    variable: impl Fn(&str) -> Option<OsString>,
    home: Option<PathBuf>,
) -> (Option<PathBuf>, bool) {
    if let Some(named) = variable(FOLDER_VARIABLE) {
        return (Some(PathBuf::from(named)).filter(|path| !path.as_os_str().is_empty()), true);
    }
    // The specification has a relative path ignored.
    let data = variable("XDG_DATA_HOME").map(PathBuf::from).filter(|path| path.is_absolute());
    let data = data.or_else(|| home.map(|home| home.join(".local/share")));
    (data.map(|data| data.join("slotwright").join("profiles")), false)
}

/// The files in a folder that may hold profiles, in order.
fn profile_paths(folder: &Path, named: bool, said: &mut Vec<Finding>) -> Vec<PathBuf> {
    if !named && !folder.exists() {
        return Vec::new();
    }
    let mut paths = Vec::new();
    look_into(folder, DEEPEST, &mut paths, said);
    paths.sort();
    if paths.len() > MOST_FILES {
        let what = format!("there are more than {MOST_FILES} files in it");
        let mend = "only the first of them are read; is this the right folder?";
        said.push(Finding::warning(Place::file(folder), what, mend));
        paths.truncate(MOST_FILES);
    }
    paths
}

fn look_into(folder: &Path, depth: usize, paths: &mut Vec<PathBuf>, said: &mut Vec<Finding>) {
    let entries = match fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(error) => {
            let what = format!("the folder of profiles cannot be read: {error}");
            let mend = format!("make it, or name another one in {FOLDER_VARIABLE}");
            said.push(Finding::warning(Place::file(folder), what, mend));
            return;
        }
    };
    for entry in entries.flatten() {
        let path = entry.path();
        // What is half written and what editors keep beside a file has a hidden name.
        let hidden = entry.file_name().to_string_lossy().starts_with('.');
        if hidden || paths.len() > MOST_FILES {
            continue;
        }
        // A link to a folder may lead back up, so only folders themselves are gone into.
        match entry.file_type() {
            Ok(kind) if kind.is_dir() && depth > 1 => look_into(&path, depth - 1, paths, said),
            Ok(kind) if kind.is_dir() => {}
            _ if path.extension().is_some_and(|end| end.eq_ignore_ascii_case("ron")) => {
                paths.push(path);
            }
            _ => {}
        }
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::finding::{Severity, any_error};

    /// A head of no more than a dimmer; `level` is what it does at full, in percent.
    pub(crate) fn head(model: &str, level: u8) -> String {
        format!(
            "(\n  maker: \"Wold\", model: \"{model}\", head: Fixed,\n  \
             source: White(flux_lm: 1000, cct_k: 3200), optics: (beam_deg: 10, field_deg: 20),\n  \
             modes: [(name: \"one\", slots: 1, channels: [(name: \"Dimmer\", at: [1], ranges: [\n    \
             (from: 0, to: 255, does: Dimmer(percent: (0, {level}), curve: Linear)),\n  ])])],\n)\n"
        )
    }

    fn known(_: &str) -> bool {
        true
    }

    fn words(sources: &ProfileSources) -> Vec<String> {
        let findings = sources.findings();
        findings.iter().filter(|f| f.severity > Severity::Note).map(Finding::to_string).collect()
    }

    #[test]
    fn the_folder_comes_from_the_environment() {
        // XDG Base Directory Specification 0.8: `$HOME/.local/share` where XDG_DATA_HOME is not set or
        // empty; a relative path is ignored.
        let of = |pairs: &[(&str, &str)]| {
            let find = |name: &str| pairs.iter().find(|(known, _)| *known == name);
            let (folder, named) =
                folder_of(|name| find(name).map(|(_, value)| value.into()), Some("/home/a".into()));
            (folder.map(|folder| folder.display().to_string()), named)
        };
        let usual = Some("/home/a/.local/share/slotwright/profiles".to_owned());
        assert_eq!(of(&[]), (usual.clone(), false));
        assert_eq!(of(&[("XDG_DATA_HOME", "data")]), (usual.clone(), false));
        assert_eq!(of(&[("XDG_DATA_HOME", "")]), (usual, false));
        let data = Some("/d/slotwright/profiles".to_owned());
        assert_eq!(of(&[("XDG_DATA_HOME", "/d")]), (data, false));
        assert_eq!(
            of(&[(FOLDER_VARIABLE, "/p"), ("XDG_DATA_HOME", "/d")]),
            (Some("/p".into()), true)
        );
        assert_eq!(of(&[(FOLDER_VARIABLE, "")]), (None, true));
    }

    #[test]
    fn a_broken_edit_keeps_the_last_good_one_and_shows_its_line() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.ron");
        fs::write(&path, head("Ember", 100)).unwrap();
        let mut sources = ProfileSources::in_folder(folder.path());
        assert!(sources.refresh(&known));
        assert!(!sources.refresh(&known), "nothing changed");
        let good = sources.library().get("Wold Ember").unwrap();

        fs::write(&path, head("Ember", 100).replace("Dimmer(percent", "Dimer(percent")).unwrap();
        assert!(sources.refresh(&known));
        assert!(Arc::ptr_eq(&sources.library().get("Wold Ember").unwrap(), &good));
        assert_eq!(sources.broken().collect::<Vec<_>>(), [path.as_path()]);
        let said = words(&sources);
        assert!(said[0].contains("a.ron:5:30: error: unknown effect `Dimer`"), "{said:?}");

        fs::write(&path, head("Ember", 50)).unwrap();
        assert!(sources.refresh(&known));
        let mended = sources.library().get("Wold Ember").unwrap();
        assert_ne!(mended, good);
        assert_eq!((sources.broken().count(), any_error(&sources.findings())), (0, false));
    }

    #[test]
    fn files_come_and_go_in_folders_below_too() {
        let folder = tempfile::tempdir().unwrap();
        let below = folder.path().join("wold/fixed");
        fs::create_dir_all(&below).unwrap();
        fs::write(below.join("b.ron"), head("Birch", 100)).unwrap();
        fs::write(folder.path().join(".a.ron"), "half written").unwrap();
        fs::write(folder.path().join("read-me.txt"), "hello").unwrap();
        fs::write(folder.path().join("show.ron"), "(format: 1, fixtures: [])").unwrap();
        let mut sources = ProfileSources::in_folder(folder.path());
        sources.refresh(&known);
        assert_eq!(words(&sources), [] as [String; 0]);
        assert!(sources.library().get("Wold Birch").is_some());
        fs::remove_file(below.join("b.ron")).unwrap();
        assert!(sources.refresh(&known));
        assert!(sources.library().get("Wold Birch").is_none());
    }

    #[test]
    fn a_folder_that_is_not_there_matters_only_if_somebody_named_it() {
        let mut sources = ProfileSources::in_folder("/nowhere/at/all");
        sources.refresh(&known);
        assert!(words(&sources)[0].contains("the folder of profiles cannot be read"));
        sources.named = false;
        sources.refresh(&known);
        assert_eq!(words(&sources), [] as [String; 0]);
        assert!(sources.library().get("Tarnfell S1 Spot").is_some());
    }

    #[test]
    fn files_that_are_no_text_or_no_profile_are_told_and_harm_no_other() {
        let folder = tempfile::tempdir().unwrap();
        for (name, bytes) in [
            ("bytes.ron", &b"\xff\xfe\x00"[..]),
            ("empty.ron", b""),
            ("nested.ron", &[b'('; 50_000]),
            ("list.ron", b"[1, 2, 3]"),
        ] {
            fs::write(folder.path().join(name), bytes).unwrap();
        }
        fs::write(folder.path().join("good.ron"), head("Good", 100)).unwrap();
        let mut sources = ProfileSources::in_folder(folder.path());
        sources.refresh(&known);
        assert_eq!(sources.broken().count(), 4);
        assert!(sources.library().get("Wold Good").is_some());
    }

    #[test]
    fn own_files_are_kept_too_while_they_are_gone() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("own.ron");
        fs::write(&path, head("Own", 100)).unwrap();
        let mut sources = ProfileSources::default();
        sources.set_own(vec![path.clone()]);
        sources.refresh(&known);
        assert_eq!(sources.watched(), [(folder.path().to_owned(), false)]);
        fs::remove_file(&path).unwrap();
        assert!(sources.refresh(&known));
        assert!(!sources.refresh(&known), "it is said once");
        assert!(sources.own().contains_key("Wold Own"));
        assert!(words(&sources)[0].contains("the file cannot be read"));
    }
}
