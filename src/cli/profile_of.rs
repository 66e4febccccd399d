//! The profile and mode that a command names.

use std::path::Path;
use std::sync::Arc;

use clap::Args;

use super::{Failure, input};
use crate::decode::CompiledMode;
use crate::finding::{Finding, Place, listed, nearest};
use crate::light::pattern;
use crate::profile::{Library, Profile, parse_profile};

/// Which mode of which profile.
#[derive(Args, Debug)]
pub struct ModeArgs {
    /// Profile: a RON file, `-` for standard input, or the name of one that comes with the program
    ///
    /// A library profile goes by maker and model, or by its model alone where one bears it.
    #[arg(value_name = "PROFILE", verbatim_doc_comment)]
    pub profile: String,
    /// Mode, by its name; needed where the profile has more than one
    #[arg(long, value_name = "MODE")]
    pub mode: Option<String>,
}

/// The mode that was named, compiled, and what there is to say about its profile.
pub(super) fn load(args: &ModeArgs) -> Result<(Arc<CompiledMode>, Vec<Finding>), Failure> {
    let (profile, said) = profile(&args.profile)?;
    let names = || profile.modes.iter().map(|mode| mode.name.as_str());
    let usage = |what: String, mend: String| {
        Failure::Usage(Finding::error(Place::item("--mode"), what, mend))
    };
    let mode = match (&args.mode, profile.modes.as_slice()) {
        (None, [only]) => only,
        (None, _) => {
            let what = format!("`{}` has more than one mode", profile.key());
            return Err(usage(what, format!("name one of {}", listed(names()))));
        }
        (Some(name), modes) => {
            let exact = modes.iter().find(|mode| mode.name == *name);
            let found = exact.or_else(|| modes.iter().find(|m| m.name.eq_ignore_ascii_case(name)));
            found.ok_or_else(|| {
                let near = nearest(name, names());
                let near = near.map_or(String::new(), |near| format!("did you mean `{near}`? "));
                let what = format!("`{}` has no mode `{}`", profile.key(), name.escape_debug());
                usage(what, format!("{near}its modes: {}", listed(names())))
            })?
        }
    };
    Ok((Arc::new(CompiledMode::new(&profile, mode)), said))
}

/// The profile of a file or of the library.
fn profile(name: &str) -> Result<(Arc<Profile>, Vec<Finding>), Failure> {
    let library = Library::embedded();
    let path = Path::new(name);
    let is_file = input::is_standard(path) || path.exists() || name.ends_with(".ron");
    if !is_file {
        let is_it = |profile: &&Arc<Profile>| {
            profile.key().0.eq_ignore_ascii_case(name) || profile.model.eq_ignore_ascii_case(name)
        };
        if let Some(profile) = library.profiles().find(is_it) {
            return Ok((profile.clone(), Vec::new()));
        }
        let models = library.profiles().map(|profile| profile.model.as_str());
        let near = library.nearest(name).or_else(|| nearest(name, models));
        let near = near.map_or(String::new(), |near| format!("did you mean `{near}`? "));
        let what = format!("there is no file and no profile `{}`", name.escape_debug());
        let mend = format!("{near}`slotwright library` lists those that come with the program");
        return Err(Failure::Usage(Finding::error(Place::default(), what, mend)));
    }
    let text = input::read_text(path)?;
    let known = |name: &str| pattern::drawing(name).is_some();
    let (profile, said) = parse_profile(&text, Some(input::name(path)), &known)?;
    Ok((Arc::new(profile), said))
}
