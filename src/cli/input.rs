//! Reading what a command names: a file, a pipe, or standard input.

use std::fs::{self, File};
use std::io::{self, Read};
use std::path::Path;

use crate::finding::{Finding, Place};
use crate::show::disk::{self, MOST_BYTES};

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
