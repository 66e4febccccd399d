//! What the window does with fixture descriptions: each becomes a profile, which is written where the
//! person chooses and comes into the open show.

use std::path::{Path, PathBuf};

use egui::Context;

use super::dialogs::Dialog;
use super::files::Purpose;
use super::show_files::file_name;
use super::state::State;
use crate::finding::{Finding, Findings, Severity};
use crate::profile::gdtf::Imported;
use crate::show::Edit;

impl State {
    /// Takes in a profile that was made, and asks where to write it.
    pub(super) fn take_imported(
        &mut self,
        ctx: &Context,
        path: &Path,
        result: Result<Box<Imported>, Findings>,
    ) {
        match result {
            Ok(imported) => {
                self.imported = Some(imported);
                let beside = path.with_extension("ron");
                self.jobs.choose(ctx, Purpose::Profile, Some(&beside));
            }
            Err(Findings(findings)) => {
                let title = format!("{} cannot be imported", file_name(path));
                self.dialog = Some(Dialog::findings(title, findings));
            }
        }
    }

    /// Writes the profile that was made to a file.
    pub(super) fn write_imported(&mut self, ctx: &Context, path: PathBuf) {
        let Some(imported) = self.imported.take() else { return };
        let path = if path.extension().is_none() { path.with_extension("ron") } else { path };
        self.jobs.write_profile(ctx, path, imported);
    }

    /// Brings a profile that was written into the show, and says what there is to say about it.
    pub(super) fn profile_written(
        &mut self,
        path: &Path,
        imported: Imported,
        result: Result<(), Finding>,
    ) {
        let Imported { profile, findings } = imported;
        if let Err(finding) = result {
            let title = format!("{} was not written", file_name(path));
            self.dialog = Some(Dialog::findings(title, vec![finding]));
            return;
        }
        let words = format!("{} is in the show; give it to a fixture", profile.key());
        let file = self.document.name_of(path);
        if self.edit_in(Edit::AddProfile { profile: Box::new(profile), file }, false) {
            self.say(Severity::Note, words);
        }
        if !findings.is_empty() {
            let title = format!("{} imported, with something to say", file_name(path));
            self.dialog = Some(Dialog::findings(title, findings));
        }
    }

    /// Forgets what waited for a file to be chosen.
    pub(super) fn forget_chosen(&mut self) {
        self.after_save = None;
        self.imported = None;
    }
}
