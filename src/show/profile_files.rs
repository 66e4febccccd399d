//! Profile files that are read again when they change. Each keeps what it last held that could be used,
//! so that a slip in an edit takes no fixture off the stage.

use std::collections::BTreeMap;
use std::hash::{DefaultHasher, Hash as _, Hasher as _};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::disk::read_text;
use crate::finding::{Finding, Findings, Place};
use crate::profile::place::top_fields;
use crate::profile::{KnownDrawing, Profile, parse_profile};

/// Some profile files, by path.
#[derive(Clone, Debug, Default)]
pub struct ProfileFiles {
    files: BTreeMap<PathBuf, Kept>,
}

/// What one file came to.
#[derive(Clone, Debug, Default)]
struct Kept {
    /// Stands for the text that was read last. `None` where there was none to read.
    print: Option<u64>,
    /// The profile that it last held.
    good: Option<Arc<Profile>>,
    /// What is to be said about it as it is now.
    findings: Vec<Finding>,
    /// What it holds now cannot be used.
    broken: bool,
}

impl ProfileFiles {
    /// Reads those of `paths` that hold another text than before, and forgets the files that are not
    /// among them. Says whether anything is different now.
    pub fn refresh(&mut self, paths: &[PathBuf], known_drawing: KnownDrawing<'_>) -> bool {
        let before = self.files.len();
        self.files.retain(|path, _| paths.contains(path));
        let mut changed = self.files.len() != before;
        for path in paths {
            let text = read_text(path);
            let print = text.as_ref().ok().map(|text| print_of(text));
            let known = self.files.get(path);
            let same = known.is_some_and(|kept| match &text {
                Ok(_) => kept.print == print,
                Err(finding) => kept.print.is_none() && kept.findings.first() == Some(finding),
            });
            if same {
                continue;
            }
            changed = true;
            let last_good = known.and_then(|kept| kept.good.clone());
            let read =
                text.map_err(Findings::from).and_then(|text| read(&text, path, known_drawing));
            self.files.insert(path.clone(), Kept { print, ..kept(path, read, last_good) });
        }
        changed
    }

    /// The files that hold a profile, or last held one, in the order of their paths.
    pub fn profiles(&self) -> impl Iterator<Item = (&Path, &Arc<Profile>)> {
        self.files.iter().filter_map(|(path, kept)| Some((path.as_path(), kept.good.as_ref()?)))
    }

    /// Everything there is to say about the files.
    pub fn findings(&self) -> impl Iterator<Item = &Finding> {
        self.files.values().flat_map(|kept| &kept.findings)
    }

    /// The files that cannot be used as they are.
    pub fn broken(&self) -> impl Iterator<Item = &Path> {
        self.files.iter().filter(|(_, kept)| kept.broken).map(|(path, _)| path.as_path())
    }
}

/// What a file holds: a profile, or for a show nothing but a note.
fn read(
    text: &str,
    path: &Path,
    known_drawing: KnownDrawing<'_>,
) -> Result<(Option<Profile>, Vec<Finding>), Findings> {
    let fields = top_fields(text);
    let has = |name: &str| fields.iter().any(|field| field == name);
    if has("format") && has("fixtures") && !has("maker") {
        let (what, mend) = ("this is a show among the profiles", "it is left alone");
        return Ok((None, vec![Finding::note(Place::file(path), what, mend)]));
    }
    let (profile, findings) = parse_profile(text, Some(path), known_drawing)?;
    Ok((Some(profile), findings))
}

fn kept(
    path: &Path,
    read: Result<(Option<Profile>, Vec<Finding>), Findings>,
    last_good: Option<Arc<Profile>>,
) -> Kept {
    match read {
        Ok((profile, findings)) => {
            Kept { good: profile.map(Arc::new), findings, ..Kept::default() }
        }
        Err(Findings(mut findings)) => {
            if let Some(profile) = &last_good {
                let what = format!("`{}` stays as this file had it before", profile.key());
                let mend = "it is read again when the file is mended";
                findings.push(Finding::note(Place::file(path), what, mend));
            }
            Kept { good: last_good, findings, broken: true, ..Kept::default() }
        }
    }
}

/// A number that stands for a text: another text has another one, but for a chance nobody meets.
fn print_of(text: &str) -> u64 {
    let mut hasher = DefaultHasher::new();
    text.hash(&mut hasher);
    hasher.finish()
}
