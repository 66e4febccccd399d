//! Reading what a command names: a file, a pipe, standard input, or a profile by its name.

use std::fs::{self, File};
use std::io::{self, Read};
use std::path::Path;

use super::Failure;
use crate::finding::{Finding, Findings, Place};
pub(super) use crate::light::pattern::is_known_drawing;
use crate::profile::{Library, Origin, parse_profile};
use crate::show::disk::{self, MOST_BYTES};
use crate::show::{FoundProfile, ProfileSources, find_profile, find_text};

/// The profiles of the user's folder over those that come with the program.
pub(super) fn library() -> Library {
    let mut sources = ProfileSources::of_user();
    sources.refresh(&is_known_drawing);
    sources.library()
}

/// The profile that a word stands for: `-` for standard input, a file, or a profile of the user's
/// folder or of the program by its whole name or by its model alone.
pub(super) fn profile(word: &Path) -> Result<FoundProfile, Failure> {
    if !reads_at_once(word) {
        let found = find_profile(word, &library(), &is_known_drawing);
        return found.map_err(|findings| not_there(word, findings));
    }
    let text = read_text(word)?;
    let (profile, findings) = parse_profile(&text, Some(name(word)), &is_known_drawing)?;
    let origin = Origin::File(name(word).to_owned());
    Ok(FoundProfile { profile: profile.into(), origin, findings })
}

/// The text of a file or pipe, of standard input for `-`, or of the file that holds the profile of a
/// name; and what to call it.
pub(super) fn text_of(
    word: &Path,
    library: &Library,
) -> Result<(std::path::PathBuf, String), Finding> {
    if reads_at_once(word) {
        return Ok((name(word).to_owned(), read_text(word)?));
    }
    find_text(word, library)
}

/// Whether a word is standard input, or a file or pipe that is there.
fn reads_at_once(word: &Path) -> bool {
    is_standard(word) || word.exists()
}

/// A name that stands for nothing is wrong usage; a file that is bad is not.
fn not_there(word: &Path, findings: Findings) -> Failure {
    match findings.0.as_slice() {
        [finding] if finding.place.file.is_none() && !word.exists() => {
            Failure::Usage(finding.clone())
        }
        _ => Failure::File(findings),
    }
}

/// Whether a path means standard input.
pub(super) fn is_standard(path: &Path) -> bool {
    path.as_os_str() == "-"
}

/// The name by which a file is spoken of.
pub(super) fn name(path: &Path) -> &Path {
    if is_standard(path) { Path::new("standard input") } else { path }
}

/// The text of a file or pipe, or of standard input for `-`.
///
/// Whoever runs a command chose the pipe, and can stop it, so that one is waited for.
pub(super) fn read_text(path: &Path) -> Result<String, Finding> {
    if is_standard(path) {
        return read_stream(path, io::stdin().lock());
    }
    match fs::metadata(path) {
        Ok(about) if !about.is_file() && !about.is_dir() => {
            read_stream(path, File::open(path).map_err(|error| unreadable(path, &error))?)
        }
        _ => disk::read_text(path),
    }
}

fn read_stream(path: &Path, stream: impl Read) -> Result<String, Finding> {
    let mut bytes = Vec::new();
    let read = stream.take(MOST_BYTES + 1).read_to_end(&mut bytes);
    read.map_err(|error| unreadable(path, &error))?;
    if bytes.len() as u64 > MOST_BYTES {
        let what = format!("there are more than {} MB of it", MOST_BYTES >> 20);
        let mend = "is this the right input? no file of this kind is so large";
        return Err(Finding::error(Place::file(name(path)), what, mend));
    }
    disk::text_of(bytes, name(path))
}

fn unreadable(path: &Path, error: &io::Error) -> Finding {
    let what = format!("it cannot be read: {error}");
    Finding::error(Place::file(name(path)), what, "give a file or pipe that can be read")
}
