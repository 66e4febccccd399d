//! Profile files on the bench: leaving one for another, saving, and what jobs came to.

use std::path::{Path, PathBuf};

use egui::Context;

use super::{Bench, blank_profile};
use crate::app::dialogs::{Answer, Dialog, Then};
use crate::app::files::Purpose;
use crate::app::show_files::file_name;
use crate::app::state::State;
use crate::finding::{Finding, Findings, Severity};
use crate::show::ProfileDocument;

/// What is to happen once the profile on the bench may go.
#[derive(Debug)]
pub enum BenchThen {
    /// Close the window.
    Quit,
    /// Begin a profile.
    New,
    /// Put in one that was read.
    Document {
        /// The profile.
        document: Box<ProfileDocument>,
        /// What is worth saying about it.
        findings: Vec<Finding>,
    },
}

impl State {
    /// Whether the profile on the bench has changes that no file holds.
    pub fn profile_is_dirty(&self) -> bool {
        self.bench.as_ref().is_some_and(|bench| bench.document.is_dirty())
    }

    /// Does what takes the profile on the bench away, after asking if that loses anything.
    pub(in crate::app) fn leave_profile(&mut self, ctx: &Context, then: BenchThen) {
        if self.profile_is_dirty() {
            self.dialog = Some(Dialog::UnsavedProfile(then));
        } else {
            self.go_from_profile(ctx, then);
        }
    }

    fn go_from_profile(&mut self, ctx: &Context, then: BenchThen) {
        match then {
            BenchThen::Quit => self.close(ctx),
            BenchThen::New => self.put_on_bench(ProfileDocument::new(blank_profile())),
            BenchThen::Document { document, findings } => {
                self.put_on_bench(*document);
                let known = self.bench.as_ref().map_or(&[][..], |bench| &bench.findings);
                let listed =
                    |finding: &Finding| known.iter().any(|(_, it)| it.what == finding.what);
                // What the bench lists by itself need not be said twice.
                let others: Vec<Finding> =
                    findings.into_iter().filter(|finding| !listed(finding)).collect();
                if !others.is_empty() {
                    self.dialog = Some(Dialog::findings("Opened, with something to say", others));
                }
            }
        }
        self.status = None;
    }

    /// Writes the profile to its file, or asks for one.
    pub(super) fn save_profile(&mut self, ctx: &Context) {
        let Some(bench) = &self.bench else { return };
        match bench.document.path().map(Path::to_owned) {
            Some(path) => self.save_profile_to(ctx, path),
            None => self.jobs.choose(ctx, Purpose::SaveProfile, None),
        }
    }

    /// Writes the profile to a file.
    pub(in crate::app) fn save_profile_to(&mut self, ctx: &Context, path: PathBuf) {
        let Some(bench) = &self.bench else { return };
        let path = if path.extension().is_none() { path.with_extension("ron") } else { path };
        self.jobs.save_profile(ctx, path, bench.document.text(), bench.edits);
    }

    /// Does what the question about an unsaved profile was answered.
    pub(in crate::app) fn answer_profile(
        &mut self,
        ctx: &Context,
        answer: Answer,
        then: BenchThen,
    ) {
        match answer {
            Answer::Save => {
                self.after_save = Some(Then::Profile(Box::new(then)));
                self.save_profile(ctx);
            }
            Answer::Discard => self.go_from_profile(ctx, then),
            _ => self.after_save = None,
        }
    }

    /// Takes in a profile file that was read, or why it could not be.
    pub(in crate::app) fn profile_read(
        &mut self,
        ctx: &Context,
        path: &Path,
        result: Result<(Box<ProfileDocument>, Vec<Finding>), Findings>,
    ) {
        match result {
            Ok((document, findings)) => {
                self.leave_profile(ctx, BenchThen::Document { document, findings });
            }
            Err(Findings(findings)) => {
                let title = format!("{} cannot be opened", file_name(path));
                self.dialog = Some(Dialog::findings(title, findings));
            }
        }
    }

    /// Takes in that a profile file was written, or why not.
    pub(in crate::app) fn profile_saved(
        &mut self,
        ctx: &Context,
        path: PathBuf,
        edits: u64,
        result: Result<(), Finding>,
    ) {
        let then = self.after_save.take();
        if let Err(finding) = result {
            let title = format!("{} was not saved", file_name(&path));
            self.dialog = Some(Dialog::findings(title, vec![finding]));
            return;
        }
        let Some(bench) = &mut self.bench else { return };
        if edits == bench.edits {
            bench.mark_saved(&path);
            let profile = bench.profile().clone();
            let (severity, more) = match self.take_saved_profile(&path, &profile) {
                None => (Severity::Note, String::new()),
                Some(Ok(())) => (Severity::Note, "; the show uses it".to_owned()),
                Some(Err(finding)) => (
                    Severity::Warning,
                    format!("; the show keeps its own: {}; {}", finding.what, finding.mend),
                ),
            };
            self.say(severity, format!("saved {}{more}", path.display()));
        } else {
            self.say(
                Severity::Warning,
                format!("saved {} as it was; newer edits are not in it", path.display()),
            );
        }
        if let Some(Then::Profile(then)) = then {
            self.leave_profile(ctx, *then);
        }
    }
}

impl Bench {
    fn mark_saved(&mut self, path: &Path) {
        self.document.mark_saved(path);
        // The next edit of a drag that goes on is a step of its own.
        self.gesture = None;
    }
}
