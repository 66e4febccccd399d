//! Reading the files that a command names.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use crate::finding::{Finding, Place};

/// More than any profile, show or frame file holds. A longer file is refused before it is read.
const MOST_BYTES: u64 = 64 << 20;

/// Whether a path means standard input.
pub(super) fn is_standard(path: &Path) -> bool {
    path.as_os_str() == "-"
}

/// The name by which a file is spoken of.
pub(super) fn name(path: &Path) -> &Path {
    if is_standard(path) { Path::new("standard input") } else { path }
}

/// The text of a file, or of standard input for `-`.
pub(super) fn read_text(path: &Path) -> Result<String, Finding> {
    let bad = |what: String, mend: &str| Finding::error(Place::file(name(path)), what, mend);
    let unreadable = |error: io::Error| {
        let mend = match error.kind() {
            io::ErrorKind::NotFound => "give the path of a file that is there",
            io::ErrorKind::PermissionDenied => "ask its owner for the right to read it",
            _ => "give a file that can be read",
        };
        bad(format!("the file cannot be read: {}", words(&error)), mend)
    };
    let mut bytes = Vec::new();
    if is_standard(path) {
        io::stdin().lock().take(MOST_BYTES + 1).read_to_end(&mut bytes).map_err(unreadable)?;
    } else {
        let file = File::open(path).map_err(unreadable)?;
        let about = file.metadata().map_err(unreadable)?;
        if about.is_dir() {
            return Err(bad("this is a directory".to_owned(), "give a file"));
        }
        if about.len() <= MOST_BYTES {
            file.take(MOST_BYTES + 1).read_to_end(&mut bytes).map_err(unreadable)?;
        } else {
            return Err(too_long(path));
        }
    }
    if bytes.len() as u64 > MOST_BYTES {
        return Err(too_long(path));
    }
    String::from_utf8(bytes).map_err(|error| {
        let good = error.utf8_error().valid_up_to();
        bad(format!("byte {} is no text", good + 1), "give a text file in UTF-8")
    })
}

fn too_long(path: &Path) -> Finding {
    Finding::error(
        Place::file(name(path)),
        format!("the file is longer than {} MB", MOST_BYTES >> 20),
        "no file of this kind is; give another",
    )
}

/// What the system says, as part of a sentence.
fn words(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => "there is no such file".to_owned(),
        io::ErrorKind::PermissionDenied => "permission denied".to_owned(),
        _ => error.to_string(),
    }
}
