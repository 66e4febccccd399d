//! Reading and writing whole files, with a plain sentence for everything that can go wrong.

use std::fs::{self, File};
use std::io::{self, ErrorKind, Read as _, Write as _};
use std::path::Path;

use crate::finding::{Finding, Place};
use crate::profile::place::place_of;

/// Files larger than this are not read: no show or profile comes near it.
pub const MOST_BYTES: u64 = 64 << 20;

/// Reads a text file.
///
/// # Errors
///
/// The file is missing, no file, too large, not to be read, or not UTF-8.
pub fn read_text(path: &Path) -> Result<String, Finding> {
    text_of(read_bytes(path)?, path)
}

/// Reads a file of any kind.
///
/// # Errors
///
/// The file is missing, no file, too large, or not to be read.
pub fn read_bytes(path: &Path) -> Result<Vec<u8>, Finding> {
    let about = fs::metadata(path).map_err(|error| unreadable(path, &error))?;
    if about.is_dir() {
        let what = "this is a folder, not a file";
        return Err(Finding::error(Place::file(path), what, "name a file in it"));
    }
    // A pipe or device may never end, and opening one may wait for ever.
    if !about.is_file() {
        let what = "this is no ordinary file";
        return Err(Finding::error(Place::file(path), what, "name a file on a disk"));
    }
    if about.len() > MOST_BYTES {
        return Err(too_large(path, about.len()));
    }
    let mut bytes = Vec::new();
    let file = File::open(path).map_err(|error| unreadable(path, &error))?;
    // The file may have grown since it was measured.
    let read = file.take(MOST_BYTES + 1).read_to_end(&mut bytes);
    read.map_err(|error| unreadable(path, &error))?;
    if bytes.len() as u64 > MOST_BYTES {
        return Err(too_large(path, bytes.len() as u64));
    }
    Ok(bytes)
}

/// The bytes as text, or where they stop being UTF-8.
pub fn text_of(bytes: Vec<u8>, path: &Path) -> Result<String, Finding> {
    String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        let sound = String::from_utf8_lossy(&error.as_bytes()[..at]);
        let place = Place { text: Some(place_of(&sound, sound.len())), ..Place::file(path) };
        let what = format!("byte {} of the file is not UTF-8 text", at + 1);
        Finding::error(place, what, "save it as UTF-8 text")
    })
}

/// Writes a file as a whole or not at all: beside the old one first, then onto the disk, then in its
/// place. The permissions of an old file are kept.
///
/// # Errors
///
/// Any step failed; the old file is whole then.
pub fn write_file(path: &Path, bytes: &[u8]) -> Result<(), Finding> {
    let failed = |step: &str, error: &io::Error| {
        let mend = match error.kind() {
            ErrorKind::NotFound => "save it into a folder that is there",
            ErrorKind::PermissionDenied => "save it where you may write",
            ErrorKind::StorageFull | ErrorKind::QuotaExceeded => "make room on the disk",
            _ => "save it somewhere else",
        };
        let what = format!("{step}: {}; nothing was changed", reason(error));
        Finding::error(Place::file(path), what, mend)
    };
    // A link stays a link: what it points to is replaced.
    let target = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let old = fs::metadata(&target).ok();
    if old.as_ref().is_some_and(|old| !old.is_file()) {
        let what = "there is something of this name that is no file; nothing was changed";
        return Err(Finding::error(Place::file(path), what, "choose another name"));
    }
    let folder = match target.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    let mut builder = tempfile::Builder::new();
    builder.prefix(".slotwright-").suffix(".part");
    // Temporary files are for their owner alone; what is written here is a document like any other.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    let mut aside = builder
        .tempfile_in(folder)
        .map_err(|error| failed("the file cannot be written beside the old one", &error))?;
    let written = aside.write_all(bytes).and_then(|()| aside.as_file().sync_all());
    written.map_err(|error| failed("the file cannot be written", &error))?;
    if let Some(old) = old {
        let kept = aside.as_file().set_permissions(old.permissions());
        kept.map_err(|error| failed("the permissions cannot be kept", &error))?;
    }
    aside
        .persist(&target)
        .map_err(|error| failed("the new file cannot take the old one's place", &error.error))?;
    // The file is in its place now; a folder that cannot be synced makes it no less saved.
    if let Ok(folder) = File::open(folder) {
        let _ = folder.sync_all();
    }
    Ok(())
}

fn too_large(path: &Path, bytes: u64) -> Finding {
    Finding::error(
        Place::file(path),
        format!("the file is too large: {} MB", bytes >> 20),
        format!("at most {} MB are read; is this the right file?", MOST_BYTES >> 20),
    )
}

fn unreadable(path: &Path, error: &io::Error) -> Finding {
    let mend = match error.kind() {
        ErrorKind::NotFound => "check the name and the folder",
        ErrorKind::PermissionDenied => "ask its owner for the right to read it",
        _ => "check that the disk is there",
    };
    Finding::error(Place::file(path), format!("the file cannot be read: {}", reason(error)), mend)
}

/// Why something failed, in plain words.
fn reason(error: &io::Error) -> String {
    match error.kind() {
        ErrorKind::NotFound => "there is no file or folder of this name".to_owned(),
        ErrorKind::PermissionDenied => "permission is denied".to_owned(),
        ErrorKind::StorageFull => "the disk is full".to_owned(),
        ErrorKind::QuotaExceeded => "the disk quota is used up".to_owned(),
        ErrorKind::ReadOnlyFilesystem => "the disk is read-only".to_owned(),
        _ => error.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// As root nothing is forbidden, so the sentence is checked rather than the disk.
    #[test]
    fn a_file_without_permission_says_who_to_ask() {
        let error = io::Error::from(ErrorKind::PermissionDenied);
        assert_eq!(
            unreadable(Path::new("a.ron"), &error).to_string(),
            "a.ron: error: the file cannot be read: permission is denied; ask its owner for the \
             right to read it"
        );
    }

    #[test]
    fn bytes_that_are_no_text_are_shown_where_they_begin() {
        let finding = text_of(b"(a: 1,\n\xc3\xa9\xff)".to_vec(), Path::new("a.ron")).unwrap_err();
        assert!(finding.to_string().starts_with("a.ron:2:2: error: byte 10 "), "{finding}");
    }
}
