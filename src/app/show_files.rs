//! What the window does with show files: leaving one show for another, saving, and what jobs came to.

use std::path::{Path, PathBuf};

use egui::{Context, ViewportCommand};

use super::bench::BenchThen;
use super::dialogs::{Answer, Dialog, Then};
use super::files::{Done, Purpose, is_known_drawing, typed_path};
use super::state::State;
use crate::finding::{Finding, Findings, Severity};
use crate::rig::Rig;
use crate::show::{Show, demo_show};
use crate::stage::Room;
use crate::wire::Frames;

impl State {
    /// Does what takes the open show away, after asking if that loses anything.
    pub fn leave(&mut self, ctx: &Context, then: Then) {
        // What is asked for is about the person's own show, which waits behind an example of the guide.
        if !matches!(then, Then::Profile(_)) {
            self.leave_example();
        }
        if self.document.is_dirty() {
            self.dialog = Some(Dialog::Unsaved(then));
        } else {
            self.go(ctx, then);
        }
    }

    fn go(&mut self, ctx: &Context, then: Then) {
        match then {
            Then::Quit => self.leave_profile(ctx, BenchThen::Quit),
            Then::Profile(then) => self.leave_profile(ctx, *then),
            Then::New => self.replace(empty_show(), None),
            Then::Demo => match demo_show(&is_known_drawing) {
                Ok(show) => self.replace(show, None),
                Err(Findings(findings)) => {
                    self.dialog = Some(Dialog::findings("The demo show is broken", findings));
                }
            },
            Then::Show { show, path, findings } => {
                self.preferences.remember(&path);
                self.replace(*show, Some(path));
                if !findings.is_empty() {
                    self.dialog = Some(Dialog::findings("Opened, with something to say", findings));
                }
            }
        }
    }

    /// Closes the window.
    pub(super) fn close(&mut self, ctx: &Context) {
        self.leaving = true;
        ctx.send_viewport_cmd(ViewportCommand::Close);
    }

    /// Writes the show to its file, or asks for one.
    pub fn save(&mut self, ctx: &Context) {
        match self.document.path().map(Path::to_owned) {
            Some(path) => self.save_to(ctx, path),
            None => self.jobs.choose(ctx, Purpose::Save, None),
        }
    }

    fn save_to(&mut self, ctx: &Context, path: PathBuf) {
        match self.document.show_for(&path) {
            Ok(show) => self.jobs.save(ctx, path, show, self.edits),
            Err(finding) => self.saved(ctx, path, self.edits, Err(finding)),
        }
    }

    /// Does what a dialog was answered.
    pub fn answer(&mut self, ctx: &Context, answer: Answer) {
        let dialog = self.dialog.take();
        match (answer, dialog) {
            (Answer::Save, Some(Dialog::Unsaved(then))) => {
                self.after_save = Some(then);
                self.save(ctx);
            }
            (Answer::Discard, Some(Dialog::Unsaved(then))) => self.go(ctx, then),
            (Answer::Add, Some(Dialog::Add(form))) => {
                self.add_fixtures(form.fixtures(&self.show().room), "added");
            }
            (answer, Some(Dialog::Left(left))) => self.answer_left(ctx, answer, left),
            (answer, Some(Dialog::UnsavedProfile(then))) => self.answer_profile(ctx, answer, then),
            (Answer::Typed(purpose, text), _) => match typed_path(&text) {
                Some(path) => self.chosen(ctx, purpose, path),
                None => self.forget_chosen(),
            },
            _ => self.forget_chosen(),
        }
    }

    fn chosen(&mut self, ctx: &Context, purpose: Purpose, path: PathBuf) {
        match purpose {
            Purpose::Open => self.jobs.read(ctx, path, self.profiles.sources.clone()),
            Purpose::Timed => self.jobs.read_timed(ctx, path),
            Purpose::Table => self.jobs.read_table_text(ctx, path),
            Purpose::Draft => self.save_table_draft(ctx, path),
            Purpose::Chart => {
                if let Some(page) = self.chart_page() {
                    self.jobs.export(ctx, path, page);
                }
            }
            Purpose::DryRun => {
                if let Some(page) = self.dry_run_page() {
                    self.jobs.export(ctx, path, page);
                }
            }
            Purpose::List => self.export_list(ctx, path),
            Purpose::Sheet => self.export_sheet(ctx, path),
            Purpose::CompareShow => self.compare_with_show(ctx, path),
            Purpose::Comparison => self.export_comparison(ctx, path),
            Purpose::OpenProfile => self.jobs.read_profile(ctx, path),
            Purpose::SaveProfile => self.save_profile_to(ctx, path),
            Purpose::Plot => {
                let path =
                    if path.extension().is_none() { path.with_extension("csv") } else { path };
                self.jobs.export(ctx, path, self.course().to_csv());
            }
            Purpose::Import => self.jobs.import(ctx, path),
            Purpose::Describe => self.write_description(ctx, path),
            Purpose::Profile => self.write_imported(ctx, path),
            Purpose::Save => {
                let path =
                    if path.extension().is_none() { path.with_extension("ron") } else { path };
                self.save_to(ctx, path);
            }
        }
    }

    /// Takes in what jobs came to.
    pub fn take_in(&mut self, ctx: &Context) {
        for done in self.jobs.take_done() {
            self.finish(ctx, done);
        }
        self.take_news_of_profiles();
    }

    /// Takes in what one job came to.
    pub fn finish(&mut self, ctx: &Context, done: Done) {
        match done {
            Done::Chosen(purpose, path) => self.chosen(ctx, purpose, path),
            Done::Recovered(recovered) => self.recovered(ctx, *recovered),
            Done::NotChosen(_) => self.forget_chosen(),
            Done::NoDialog(purpose) => {
                let of_profile = matches!(purpose, Purpose::OpenProfile | Purpose::SaveProfile);
                let near = match &self.bench {
                    Some(bench) if of_profile => bench.document.path(),
                    _ => self.document.path(),
                };
                let near = near.map(|path| path.display().to_string());
                self.dialog = Some(Dialog::Path { purpose, text: near.unwrap_or_default() });
            }
            Done::Read { path, result: Ok((show, findings)) } => {
                self.leave(ctx, Then::Show { show, path, findings });
            }
            Done::Read { path, result: Err(Findings(findings)) } => {
                let title = format!("{} cannot be opened", file_name(&path));
                self.dialog = Some(Dialog::findings(title, findings));
            }
            Done::ReadTimed { path, result: Ok(read) } => {
                self.open_timed(file_name(&path), read.timed);
                if !read.findings.is_empty() {
                    let title = "Opened, with something to say";
                    self.dialog = Some(Dialog::findings(title, read.findings));
                }
            }
            Done::ReadTimed { path, result: Err(Findings(findings)) } => {
                let title = format!("{} cannot be opened", file_name(&path));
                self.dialog = Some(Dialog::findings(title, findings));
            }
            Done::Traced { of, trace } => self.take_course(&of, trace),
            Done::Rehearsed { key, report } => self.rehearsed(key, report),
            Done::Explained(told) => self.take_explained(*told),
            Done::Watched(listed) => self.take_times(*listed),
            Done::Compared(found) => self.take_comparison(found),
            Done::TableText(result) => self.table_opened(ctx, result),
            Done::TableRead(read) => self.windows.table.take(read),
            Done::Exported { path, result: Ok(()) } => {
                self.say(Severity::Note, format!("written: {}", path.display()));
            }
            Done::Exported { path, result: Err(finding) } => {
                let title = format!("{} was not written", file_name(&path));
                self.dialog = Some(Dialog::findings(title, vec![finding]));
            }
            Done::NotesOpened { path, result } => self.notes_opened(path, result),
            Done::NotesSaved(result) => self.notes_saved(ctx, result),
            Done::ReadProfile { path, result } => self.profile_read(ctx, &path, result),
            Done::SavedProfile { path, edits, result } => {
                self.profile_saved(ctx, path, edits, result);
            }
            Done::Described { path, result } => self.described(&path, result),
            Done::Imported { path, result } => self.take_imported(ctx, &path, result),
            Done::ProfileWritten { path, imported, result } => {
                self.profile_written(&path, *imported, result);
            }
            Done::Saved { path, edits, result } => self.saved(ctx, path, edits, result),
        }
    }

    fn saved(&mut self, ctx: &Context, path: PathBuf, edits: u64, result: Result<(), Finding>) {
        let then = self.after_save.take();
        if let Err(finding) = result {
            let title = format!("{} was not saved", file_name(&path));
            self.dialog = Some(Dialog::findings(title, vec![finding]));
            return;
        }
        self.preferences.remember(&path);
        self.say(Severity::Note, format!("saved {}", path.display()));
        if edits == self.edits {
            self.document.mark_saved(path);
            self.use_profiles();
        } else {
            // Something was edited while the file was written: the show on disk is an older one.
            self.say(
                Severity::Warning,
                format!("saved {} as it was; newer edits are not in it", path.display()),
            );
        }
        if let Some(then) = then {
            self.leave(ctx, then);
        }
    }
}

pub(super) fn file_name(path: &Path) -> String {
    path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned()
}

/// A show with nothing in it.
pub fn empty_show() -> Show {
    Show {
        name: "Untitled".to_owned(),
        notes: String::new(),
        room: Room::default(),
        profiles: Default::default(),
        profile_files: Vec::new(),
        rig: Rig::new(),
        looks: Vec::new(),
        levels: Frames::default(),
        cues: crate::cue::Cues::default(),
    }
}
