//! Fixture descriptions on disk, and profiles that come into a show.

use std::path::Path;

use super::check_show::Check;
use super::disk::read_bytes;
use super::edit::{Change, all_fit, refuse};
use super::model::Show;
use crate::finding::{Finding, Findings, Place};
use crate::profile::Profile;
use crate::profile::gdtf::{self, Imported};

/// Reads a fixture description of DIN SPEC 15800 (GDTF) and makes a profile of it, of all its modes or
/// of the one called `mode`. Every finding names the file.
///
/// # Errors
///
/// The file cannot be read, or no profile can be made of it.
pub fn import_profile(path: &Path, mode: Option<&str>) -> Result<Imported, Findings> {
    let bytes = read_bytes(path)?;
    let named = |mut findings: Vec<Finding>| {
        for finding in &mut findings {
            finding.place.file.get_or_insert_with(|| path.to_owned());
        }
        findings
    };
    let imported = gdtf::read(&bytes).and_then(|file| gdtf::import(&file, mode));
    match imported {
        Ok(imported) => Ok(Imported { findings: named(imported.findings), ..imported }),
        Err(findings) => Err(Findings(named(findings.0))),
    }
}

/// The words and changes that bring a profile and the name of its file into a show.
///
/// A profile of the same name is replaced only where no fixture uses it in another form: what stands in
/// the show would mean something else.
pub(super) fn add_profile(
    show: &Show,
    profile: Profile,
    file: String,
) -> Result<(String, Vec<Change>), Finding> {
    let key = profile.key().0;
    let other = show.profiles.get(&key).is_some_and(|known| **known != profile);
    if other && show.rig.iter().any(|fixture| fixture.profile == key) {
        return Err(Finding::error(
            Place::item(format!("profile \"{key}\"")),
            "fixtures of the show use another profile of this name",
            "give one of them another maker or model",
        ));
    }
    let mut check = Check::default();
    all_fit(show, &key, &profile, &mut check);
    refuse(&check)?;
    let words = format!("add profile \"{key}\"");
    Ok((words, brought_in(show, profile, file)))
}

/// The words and changes that put a profile in the place of the one of the same name that the show uses,
/// and bring in the name of its file. Every fixture that uses it must be able to have it.
pub(super) fn take_profile(
    show: &Show,
    profile: Profile,
    file: String,
) -> Result<(String, Vec<Change>), Finding> {
    let key = profile.key().0;
    let mut check = Check::default();
    all_fit(show, &key, &profile, &mut check);
    refuse(&check)?;
    let words = format!("use profile \"{key}\" as it was saved");
    Ok((words, brought_in(show, profile, file)))
}

fn brought_in(show: &Show, profile: Profile, file: String) -> Vec<Change> {
    let key = profile.key().0;
    let mut changes = Vec::new();
    if show.profiles.get(&key).is_none_or(|known| **known != profile) {
        changes.push(Change::Profile(key, Some(profile.into())));
    }
    if !show.profile_files.contains(&file) {
        changes.push(Change::ProfileFileHere(show.profile_files.len(), Some(file)));
    }
    changes
}
