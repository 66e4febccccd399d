//! The zip archive of a fixture description, taken apart in memory.
//!
//! Bounds, so that no file can take more memory or time than this, whatever it claims:
//!
//! - an archive has at most [`MOST_ARCHIVE`] bytes and [`MOST_ENTRIES`] entries, counted before the
//!   list of entries is walked;
//! - only the description and the pictures of wheels are inflated, each to at most [`MOST_ENTRY`]
//!   bytes, all together to at most [`MOST_TOTAL`], and never to more than [`MOST_RATIO`] times what
//!   they take in the archive once they are larger than [`SMALL_ENTRY`]; what does not come out as
//!   large as the list says is refused;
//! - an archive within the archive is never looked into, and models are only listed.
//!
//! A name that would lead out of a folder refuses the whole archive, although nothing is ever written:
//! whoever packed it meant harm.

use std::collections::BTreeMap;
use std::io::{Cursor, Read};

use zip::ZipArchive;
use zip::result::ZipError;

use super::DESCRIPTION;
use crate::finding::{Finding, Findings, Place, one_line};

/// Bytes an archive may have.
pub const MOST_ARCHIVE: usize = 64 << 20;

/// Entries an archive may have.
pub const MOST_ENTRIES: usize = 4096;

/// Bytes one entry may have once it is inflated.
pub const MOST_ENTRY: u64 = 16 << 20;

/// Bytes all entries that are read may have together once they are inflated.
pub const MOST_TOTAL: u64 = 64 << 20;

/// How many times larger an entry may be than what it takes in the archive.
pub const MOST_RATIO: u64 = 250;

/// Bytes up to which the ratio does not matter: a short text that repeats itself packs well.
pub const SMALL_ENTRY: u64 = 1 << 20;

/// What an entry of the list of a zip archive begins with (APPNOTE, 4.3.12).
const ENTRY_SIGNATURE: &[u8] = b"PK\x01\x02";

/// What an archive holds.
#[derive(Clone, Debug, Default)]
pub struct Archive {
    entries: BTreeMap<String, Vec<u8>>,
    /// Names of what was left packed: models, the thumbnail, anything else.
    pub unread: Vec<String>,
}

impl Archive {
    /// Takes an archive apart, and says what it left out.
    ///
    /// # Errors
    ///
    /// Why the archive is refused.
    pub fn open(bytes: &[u8]) -> Result<(Self, Vec<Finding>), Findings> {
        if bytes.len() > MOST_ARCHIVE {
            return Err(refuse(
                format!("the archive has more than {} MB", MOST_ARCHIVE >> 20),
                "no fixture description is so large",
            ));
        }
        let entries = bytes.windows(4).filter(|window| *window == ENTRY_SIGNATURE).count();
        if entries > MOST_ENTRIES {
            return Err(refuse(
                format!("the archive has {entries} entries"),
                format!("{MOST_ENTRIES} are allowed"),
            ));
        }
        let mut zip = ZipArchive::new(Cursor::new(bytes)).map_err(|error| {
            refuse(
                format!("it is no whole zip archive: {error}"),
                "fetch the file again; a .gdtf file is a zip archive",
            )
        })?;
        if zip.has_duplicate_names() {
            return Err(refuse(
                "two entries of the archive have the same name",
                "pack each file once: which of them is meant cannot be known",
            ));
        }
        let mut archive = Self::default();
        let mut said = Vec::new();
        let mut total = Total { left: bytes.len() as u64, unpacked: 0 };
        for index in 0..zip.len() {
            let head = Head::of(&mut zip, index)?;
            if head.is_folder {
                continue;
            }
            if is_archive(&head.name) {
                let what = format!("`{}` is an archive within the archive", head.name);
                said.push(Finding::note(Place::default(), what, "it is not looked into"));
                archive.unread.push(head.name);
            } else if is_wanted(&head.name) {
                head.allow(&mut total)?;
                let content = inflate(&mut zip, index, &head)?;
                archive.entries.insert(plain(&head.name), content);
            } else {
                archive.unread.push(head.name);
            }
        }
        Ok((archive, said))
    }

    /// The bytes of an entry; `None` where there is none of that name or it was not read. Case does
    /// not matter.
    pub fn entry(&self, name: &str) -> Option<&[u8]> {
        self.entries.get(&plain(name)).map(Vec::as_slice)
    }

    /// Names of what was read, in lower case.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.entries.keys().map(String::as_str)
    }
}

/// What the list says about an entry.
struct Head {
    name: String,
    size: u64,
    packed: u64,
    is_folder: bool,
}

/// What the entries that were read take by what the list says.
struct Total {
    /// Bytes of the archive that are left for others.
    left: u64,
    /// Bytes once they are inflated.
    unpacked: u64,
}

impl Head {
    fn of(zip: &mut ZipArchive<Cursor<&[u8]>>, index: usize) -> Result<Self, Findings> {
        let broken = |error: ZipError| {
            refuse(
                format!("entry {} of the archive cannot be found: {error}", index + 1),
                "fetch the file again",
            )
        };
        let file = zip.by_index_raw(index).map_err(broken)?;
        let name = file.name().map_err(broken)?.into_owned();
        if leads_out(&name) {
            return Err(refuse(
                format!("the entry `{}` leads out of the archive", one_line(&name)),
                "do not trust this file",
            ));
        }
        Ok(Self {
            name,
            size: file.size(),
            packed: file.compressed_size(),
            is_folder: file.is_dir(),
        })
    }

    /// Refuses an entry that is too large by what the list says, alone or with those before it.
    fn allow(&self, total: &mut Total) -> Result<(), Findings> {
        let Some(left) = total.left.checked_sub(self.packed) else {
            return Err(refuse(
                format!("`{}` takes more bytes than the archive has", one_line(&self.name)),
                "fetch the file again, and do not trust this one",
            ));
        };
        total.left = left;
        if self.size > MOST_ENTRY {
            return Err(refuse(
                format!("`{}` unpacks to {} bytes", one_line(&self.name), self.size),
                format!("{MOST_ENTRY} are allowed"),
            ));
        }
        total.unpacked += self.size;
        if total.unpacked > MOST_TOTAL {
            return Err(refuse(
                format!("the archive unpacks to more than {} MB", MOST_TOTAL >> 20),
                "no fixture description is so large",
            ));
        }
        Ok(())
    }
}

fn inflate(
    zip: &mut ZipArchive<Cursor<&[u8]>>,
    index: usize,
    head: &Head,
) -> Result<Vec<u8>, Findings> {
    let name = one_line(&head.name).into_owned();
    let most = head.packed.saturating_mul(MOST_RATIO).max(SMALL_ENTRY);
    if head.size > most {
        return Err(refuse(
            format!("`{name}` unpacks to more than {MOST_RATIO} times its size in the archive"),
            "do not trust this file",
        ));
    }
    let read = zip.by_index(index).map_err(std::io::Error::from).and_then(|file| {
        // The list may lie about the size: no more comes out than it says and one byte, which tells.
        let mut content = Vec::with_capacity(usize::try_from(head.size).unwrap_or_default());
        file.take(head.size + 1).read_to_end(&mut content).map(|_| content)
    });
    match read {
        Ok(content) if content.len() as u64 != head.size => Err(refuse(
            format!("`{name}` does not unpack to the {} bytes that the list says", head.size),
            "fetch the file again, and do not trust this one",
        )),
        Ok(content) => Ok(content),
        Err(error) => Err(refuse(
            format!("`{name}` cannot be unpacked: {error}"),
            "fetch the file again; only plain and deflated entries without a password are read",
        )),
    }
}

/// Whether an entry is one that the import reads.
fn is_wanted(name: &str) -> bool {
    let name = plain(name);
    name == DESCRIPTION || (name.starts_with("wheels/") && name.ends_with(".png"))
}

fn is_archive(name: &str) -> bool {
    let name = plain(name);
    [".zip", ".gdtf", ".mvr"].iter().any(|end| name.ends_with(end))
}

/// A name as it is compared: the standard's names differ by more than case.
fn plain(name: &str) -> String {
    name.strip_prefix("./").unwrap_or(name).to_lowercase()
}

/// Whether a name, used as a path, would lead out of the folder that it was unpacked in.
fn leads_out(name: &str) -> bool {
    let drive = name.as_bytes().get(1) == Some(&b':');
    let parts = || name.split(['/', '\\']);
    drive
        || name.starts_with(['/', '\\'])
        || parts().any(|part| part == "..")
        || name.contains('\0')
}

fn refuse(what: impl Into<String>, mend: impl Into<String>) -> Findings {
    Finding::error(Place::default(), what, mend).into()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_lead_out_are_told_from_those_that_do_not() {
        for name in ["../x", "a/../../x", "/etc/x", "C:/x", "..\\x", "\\x", "a\\..\\x"] {
            assert!(leads_out(name), "{name}");
        }
        for name in ["description.xml", "wheels/a..b.png", "models/gltf/x.glb", "./wheels/x.png"] {
            assert!(!leads_out(name), "{name}");
        }
    }
}
