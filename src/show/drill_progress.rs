//! What a person has done of the drills: a file for each in the user's folder.

use std::env;
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::disk::{read_text, write_file};
use crate::finding::{Finding, Place};

/// The form of the file that is written.
const FORMAT: u32 = 1;

/// The most files of one name that are looked through.
const MOST_FILES: usize = 100;

/// One exercise that was done.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Done {
    /// Maker and model of the head.
    pub profile: String,
    /// Its mode.
    pub mode: String,
    /// The level, from 1.
    pub level: u8,
    /// The stable name of its kind.
    pub kind: String,
    /// The seed that it was made of.
    pub seed: u64,
    /// What it was worth, 0..1.
    pub points: f64,
}

/// What a person has done.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Progress {
    /// The form of the file.
    pub format: u32,
    /// The person.
    pub person: String,
    /// Exercises, in the order in which they were done.
    pub done: Vec<Done>,
}

impl Progress {
    /// How many exercises of a level were done, and the points of them all.
    pub fn of_level(&self, level: u8) -> (usize, f64) {
        let of = self.done.iter().filter(|done| done.level == level);
        of.fold((0, 0.0), |(count, points), done| (count + 1, points + done.points))
    }
}

/// A person's progress, and its file.
#[derive(Clone, Debug, PartialEq)]
pub struct ProgressFile {
    /// The file.
    pub path: PathBuf,
    /// What it holds.
    pub progress: Progress,
}

impl ProgressFile {
    /// The progress of a person in a folder, empty where there is none yet. A file of that name that cannot be
    /// read, or that is about somebody else, is left as it is and another name is taken; that is said.
    ///
    /// # Errors
    ///
    /// There are too many files of that name.
    pub fn open(folder: &Path, person: &str) -> Result<(Self, Vec<Finding>), Finding> {
        let person = person.trim();
        let name = file_name(person);
        let mut said = Vec::new();
        for nth in 1..=MOST_FILES {
            let path = match nth {
                1 => folder.join(format!("{name}.ron")),
                _ => folder.join(format!("{name}-{nth}.ron")),
            };
            if !path.exists() {
                let progress =
                    Progress { format: FORMAT, person: person.to_owned(), done: Vec::new() };
                return Ok((Self { path, progress }, said));
            }
            match read(&path) {
                Ok(progress) if progress.person == person => {
                    return Ok((Self { path, progress }, said));
                }
                Ok(_) => {}
                Err(finding) => said.push(finding),
            }
        }
        let what = format!("there are {MOST_FILES} files of this name, and none is of `{person}`");
        Err(Finding::error(Place::file(folder), what, "remove those that are not needed"))
    }

    /// Adds what was done and writes the file as a whole.
    ///
    /// # Errors
    ///
    /// The file cannot be written; what it held is whole then, and what was done is kept here.
    pub fn record(&mut self, done: Done) -> Result<(), Finding> {
        self.progress.done.push(done);
        let pretty = ron::ser::PrettyConfig::default().depth_limit(2);
        let text = ron::ser::to_string_pretty(&self.progress, pretty).map_err(|error| {
            Finding::error(Place::file(&self.path), format!("it cannot be written: {error}"), "")
        })?;
        if let Some(folder) = self.path.parent() {
            std::fs::create_dir_all(folder).map_err(|error| {
                let what = format!("the folder cannot be made: {error}");
                Finding::error(Place::file(folder), what, "progress is not kept until it can be")
            })?;
        }
        write_file(&self.path, text.as_bytes())
    }
}

fn read(path: &Path) -> Result<Progress, Finding> {
    let text = read_text(path)?;
    let progress: Progress = ron::from_str(&text).map_err(|error| {
        let what = format!("this is no progress file: {error}");
        Finding::warning(
            Place::file(path),
            what,
            "it is left as it is; a new one is begun beside it",
        )
    })?;
    if progress.format != FORMAT {
        let what = format!("the file has form {}, which is not known", progress.format);
        let mend = "it is left as it is; a new one is begun beside it";
        return Err(Finding::warning(Place::file(path), what, mend));
    }
    Ok(progress)
}

/// A name of a person as that of a file: letters and digits stay, and all else becomes a line.
fn file_name(person: &str) -> String {
    let plain = |c: char| if c.is_alphanumeric() { c } else { '-' };
    let name: String = person.to_lowercase().chars().take(60).map(plain).collect();
    if name.is_empty() { "somebody".to_owned() } else { name }
}

/// The folder for progress: `slotwright/drills` in the user's folder for data (XDG Base Directory
/// Specification 0.8: `$XDG_DATA_HOME`, or `$HOME/.local/share` where that is not set, empty or relative).
/// `None` for somebody without a home.
pub fn progress_folder() -> Option<PathBuf> {
    let data = env::var_os("XDG_DATA_HOME").map(PathBuf::from).filter(|path| path.is_absolute());
    let data = data.or_else(|| env::home_dir().map(|home| home.join(".local/share")));
    data.map(|data| data.join("slotwright").join("drills"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn done(points: f64) -> Done {
        Done {
            profile: "Neutral A".to_owned(),
            mode: "six".to_owned(),
            level: 2,
            kind: "set".to_owned(),
            seed: 7,
            points,
        }
    }

    #[test]
    fn what_was_done_is_there_again() {
        let folder = tempfile::tempdir().unwrap();
        let (mut file, said) = ProgressFile::open(folder.path(), " Anna B. ").unwrap();
        assert!(said.is_empty());
        file.record(done(1.0)).unwrap();
        file.record(done(0.5)).unwrap();
        let (again, _) = ProgressFile::open(folder.path(), "Anna B.").unwrap();
        assert_eq!(again, file);
        assert_eq!(again.progress.of_level(2), (2, 1.5));
        assert_eq!(again.progress.of_level(1), (0, 0.0));
    }

    #[test]
    fn a_file_that_is_broken_or_of_somebody_else_is_left_as_it_is() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("anna.ron"), "what is this").unwrap();
        let (mut file, said) = ProgressFile::open(folder.path(), "Anna").unwrap();
        assert_eq!(said.len(), 1);
        assert!(said[0].to_string().contains("this is no progress file"), "{}", said[0]);
        file.record(done(1.0)).unwrap();
        assert_eq!(file.path, folder.path().join("anna-2.ron"));
        assert_eq!(
            std::fs::read_to_string(folder.path().join("anna.ron")).unwrap(),
            "what is this"
        );
        // Another person whose name makes the same file name.
        let (other, _) = ProgressFile::open(folder.path(), "ANNA").unwrap();
        assert_eq!(other.path, folder.path().join("anna-3.ron"));
        assert!(other.progress.done.is_empty());
    }
}
