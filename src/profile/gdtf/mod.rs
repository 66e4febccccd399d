//! Files of the open standard for fixture descriptions, DIN SPEC 15800 (GDTF): bytes in, values out.
//!
//! A file is a zip archive with a `description.xml` and pictures. It is read in layers, each of which
//! knows only the one below: [`archive`] takes the zip apart in memory, [`xml`] reads the elements,
//! [`description`] gives them their types, and [`mod@import`] makes a [`Profile`](super::Profile) of them.
//! No name in an archive is ever used as a path. The other way round, [`mod@export`] makes a description of
//! a profile, and [`mod@write`] its bytes.
//!
//! Where the standard leaves a thing open, the choice taken is stated where it is made.

pub mod archive;
pub mod attributes;
mod colour;
pub mod description;
pub mod export;
pub mod import;
mod picture;
mod said;
pub mod values;
pub mod write;
pub mod xml;

pub use archive::Archive;
pub use description::Description;
pub use export::{Exported, export};
pub use import::{Imported, import};
pub use said::Said;

use crate::finding::{Finding, Findings, Place};

/// The name of the description in an archive (DIN SPEC 15800, file format).
pub const DESCRIPTION: &str = "description.xml";

/// A file that was read: its description, its pictures, and what there is to say about them.
#[derive(Clone, Debug)]
pub struct Gdtf {
    /// What the description says.
    pub description: Description,
    /// The entries of the archive.
    pub archive: Archive,
    /// What was found while reading. None of it is an error.
    pub findings: Vec<Finding>,
}

/// Reads the archive and its description.
///
/// # Errors
///
/// Why the archive is refused, or everything that is wrong in the description.
pub fn read(bytes: &[u8]) -> Result<Gdtf, Findings> {
    let (archive, mut findings) = Archive::open(bytes)?;
    let Some(text) = archive.entry(DESCRIPTION) else {
        return Err(Finding::error(
            Place::default(),
            format!("the archive has no `{DESCRIPTION}`"),
            "is this a fixture description? it must lie at the top of the archive",
        )
        .into());
    };
    let (description, said) = Description::read(text)?;
    findings.extend(said);
    Ok(Gdtf { description, archive, findings })
}
