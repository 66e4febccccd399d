//! Reading and importing small fixture descriptions.

use slotwright::finding::{Finding, Findings};
use slotwright::profile::Profile;
use slotwright::profile::gdtf::{self, Imported};

pub use super::gdtf_file::*;

impl Parts<'_> {
    /// The profile of all its modes, and what was said.
    pub fn import(&self) -> Result<Imported, Findings> {
        import(&self.packed(), None)
    }

    /// The profile, which there must be.
    #[track_caller]
    pub fn profile(&self) -> Profile {
        self.import().unwrap_or_else(|findings| panic!("{findings}")).profile
    }
}

/// Reads and imports a file.
pub fn import(bytes: &[u8], mode: Option<&str>) -> Result<Imported, Findings> {
    gdtf::read(bytes).and_then(|gdtf| gdtf::import(&gdtf, mode))
}

/// Fails unless one of the findings has this in it.
#[track_caller]
pub fn says(findings: &[Finding], expected: &str) {
    let lines: Vec<String> = findings.iter().map(Finding::to_string).collect();
    assert!(
        lines.iter().any(|line| line.contains(expected)),
        "{expected}\nshould be among\n{}",
        lines.join("\n")
    );
}
