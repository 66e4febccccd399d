//! `slotwright export`: a file of the open standard for fixture descriptions out of a profile.

use std::path::{Path, PathBuf};

use clap::Args;

use super::{Failure, Report, input};
use crate::finding::{Finding, Place, any_error};
use crate::light::pattern::openings;
use crate::profile::gdtf::{Exported, export};
use crate::show::{FoundProfile, disk};

/// Below the options of `export`.
pub const HELP: &str = "\
Example:
  slotwright export model.ron --out \"Maker@Model.gdtf\"

A profile becomes a fixture description of DIN SPEC 15800 (GDTF). The file is read back before it is
written to the disk: whatever comes back otherwise than the profile has it is a finding on standard
error. An `error` among them is a mode or a channel that is lost, and makes the exit code 1.

The same profile always gives the same bytes.";

/// What `export` takes.
#[derive(Args, Debug)]
pub struct ExportArgs {
    /// Profile: a RON file, `-` for standard input, or the name of one that `library` lists
    #[arg(value_name = "PROFILE", verbatim_doc_comment)]
    pub profile: PathBuf,
    /// Fixture description to write, a .gdtf file
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
    /// Write over a file that is there
    #[arg(long)]
    pub force: bool,
}

pub(super) fn run(args: &ExportArgs) -> Result<Report, Failure> {
    if !args.force && args.out.exists() {
        let what = "there is a file of this name already";
        let mend = "choose another name, or add `--force` to write over it";
        return Err(Finding::error(Place::file(&args.out), what, mend).into());
    }
    let FoundProfile { profile, findings: mut said, .. } =
        input::profile(Path::new(&args.profile))?;
    let Exported { bytes, findings } = export(&profile, &openings)?;
    disk::write_file(&args.out, &bytes)?;
    said.extend(findings);
    let modes: Vec<String> =
        profile.modes.iter().map(|mode| format!("{} ({} slots)", mode.name, mode.slots)).collect();
    let out = format!("{}: {}, {}\n", args.out.display(), profile.key(), modes.join(", "));
    let bad = any_error(&said);
    Ok(Report { out, said, bad })
}
