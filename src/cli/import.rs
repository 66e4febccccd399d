//! `slotwright import`: a profile out of a file of the open standard for fixture descriptions.

use std::path::PathBuf;

use clap::Args;

use super::{Failure, Report};
use crate::finding::{Finding, Place, any_error};
use crate::profile::gdtf::Imported;
use crate::profile::to_ron;
use crate::show::{disk, import_profile};

/// Below the options of `import`.
pub const HELP: &str = "\
Example:
  slotwright import \"Maker@Model.gdtf\" --mode Extended --out model.ron

A fixture description of DIN SPEC 15800 (GDTF) becomes a profile. What the file says and a profile
cannot say is a finding on standard error, and never left out in silence; an `error` is a part of the
file that could not be used and makes the exit code 1, but the profile that is written is sound all
the same. A file that cannot be read at all writes nothing.

Nothing in the archive is unpacked onto the disk.";

/// What `import` takes.
#[derive(Args, Debug)]
pub struct ImportArgs {
    /// Fixture description, a .gdtf file
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Import only the mode of this name; without it, all modes
    ///
    /// A mode by itself can have cells of its own size. Example: `--mode Extended`.
    #[arg(long, value_name = "NAME", verbatim_doc_comment)]
    pub mode: Option<String>,
    /// Profile to write, in RON
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
    /// Write over a file that is there
    #[arg(long)]
    pub force: bool,
}

pub(super) fn run(args: &ImportArgs) -> Result<Report, Failure> {
    if !args.force && args.out.exists() {
        let what = "there is a file of this name already";
        let mend = "choose another name, or add `--force` to write over it";
        return Err(Finding::error(Place::file(&args.out), what, mend).into());
    }
    let Imported { profile, findings } = import_profile(&args.file, args.mode.as_deref())?;
    disk::write_file(&args.out, to_ron(&profile).as_bytes())?;
    let modes: Vec<String> =
        profile.modes.iter().map(|mode| format!("{} ({} slots)", mode.name, mode.slots)).collect();
    let out = format!("{}: {}, {}\n", args.out.display(), profile.key(), modes.join(", "));
    let bad = any_error(&findings);
    Ok(Report { out, said: findings, bad })
}
