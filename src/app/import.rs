//! What the window does with fixture descriptions: each becomes a profile, which is written where the
//! person chooses and comes into the open show.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use egui::Context;

use super::bench::Page;
use super::dialogs::Dialog;
use super::files::Purpose;
use super::show_files::file_name;
use super::state::State;
use crate::finding::{Finding, Findings, Severity};
use crate::profile::Profile;
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

    /// Asks where to write a fixture description of the profile at hand.
    pub(super) fn choose_description(&mut self, ctx: &Context) {
        let Some(profile) = self.profile_at_hand() else {
            return self.say(Severity::Note, "select a fixture to export its profile");
        };
        let safe = |c: char| if "/\\:*?\"<>|".contains(c) || c.is_control() { '_' } else { c };
        let name = format!("{}@{}.gdtf", profile.maker, profile.model);
        let name: String = name.chars().map(safe).collect();
        self.exporting = Some(profile);
        let folder = self.document.path().and_then(Path::parent).map(Path::to_owned);
        let near = folder.unwrap_or_default().join(name);
        self.jobs.choose(ctx, Purpose::Describe, Some(&near));
    }

    /// The profile that is edited on the bench, while that is shown, else that of the selected fixture.
    fn profile_at_hand(&self) -> Option<Arc<Profile>> {
        let bench = self.bench.as_ref().filter(|_| self.page == Page::Bench);
        if let Some(bench) = bench {
            return Some(bench.profile().clone());
        }
        let fixture = self.show().rig.get(*self.selection.first()?)?;
        self.show().profiles.get(&fixture.profile).cloned()
    }

    /// Makes a fixture description of the profile at hand and writes it.
    pub(super) fn write_description(&mut self, ctx: &Context, path: PathBuf) {
        // Another fixture may have been selected while the file was chosen.
        let Some(profile) = self.exporting.take().or_else(|| self.profile_at_hand()) else {
            return;
        };
        let path = if path.extension().is_none() { path.with_extension("gdtf") } else { path };
        self.jobs.describe(ctx, path, profile);
    }

    /// Says what came of a fixture description.
    pub(super) fn described(&mut self, path: &Path, result: Result<Vec<Finding>, Findings>) {
        let file = file_name(path);
        match result {
            Ok(findings) if findings.is_empty() => {
                self.say(Severity::Note, format!("written: {}", path.display()));
            }
            Ok(findings) => {
                let title = format!("{file} is written, with something to say");
                self.dialog = Some(Dialog::findings(title, findings));
            }
            Err(Findings(findings)) => {
                self.dialog = Some(Dialog::findings(format!("{file} was not written"), findings));
            }
        }
    }

    /// Forgets what waited for a file to be chosen.
    pub(super) fn forget_chosen(&mut self) {
        self.after_save = None;
        (self.imported, self.exporting) = (None, None);
    }
}
