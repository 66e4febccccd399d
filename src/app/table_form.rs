//! A draft profile from the channel table of a manual: pasted or opened, read as it stands, and put on
//! the bench.

use std::path::{Path, PathBuf};

use egui::{ScrollArea, TextEdit, Ui, vec2};

use super::bench::{BenchThen, Page};
use super::command::Command;
use super::dialogs::Dialog;
use super::files::{Jobs, Purpose, is_known_drawing};
use super::keys::Action;
use super::state::State;
use super::table_rows::{Kind, TableRows, table_rows};
use super::transport::named;
use crate::finding::Finding;
use crate::profile::table::{Draft, TableOptions};
use crate::show::ProfileDocument;

/// A table that is being read.
#[derive(Debug, Default)]
pub struct TableForm {
    /// It is shown.
    pub open: bool,
    maker: String,
    model: String,
    /// The table, as it was pasted or opened.
    text: String,
    /// Something was typed since the reading began that went on last.
    stale: bool,
    /// The reading that was begun last.
    job: Option<u64>,
    /// What was made of the table last; `None` until it is read. It stays while the next is under way.
    read: Option<TableRead>,
    /// The one kind of rows that is shown.
    only: Option<Kind>,
}

/// What was made of a table, or why nothing was.
#[derive(Debug)]
pub struct TableRead {
    result: Result<Box<Draft>, Vec<Finding>>,
    rows: TableRows,
}

impl TableRead {
    /// Puts what has to be looked at first.
    pub(super) fn new(result: Result<Draft, Vec<Finding>>) -> Self {
        let rows = result.as_ref().map(|draft| TableRows::new(&draft.report)).unwrap_or_default();
        Self { result: result.map(Box::new), rows }
    }
}

impl TableForm {
    /// What was made of the table.
    pub fn draft(&self) -> Option<&Draft> {
        self.read.as_ref()?.result.as_ref().ok().map(|draft| &**draft)
    }

    /// Takes in what was made of the table.
    pub(super) fn take(&mut self, read: TableRead) {
        self.read = Some(read);
    }

    /// Begins to read what stands there now, unless a reading is still under way.
    fn read(&mut self, ctx: &egui::Context, jobs: &mut Jobs) {
        if self.stale && !self.is_reading(jobs) {
            let options =
                TableOptions { maker: self.maker.trim().into(), model: self.model.trim().into() };
            self.stale = false;
            self.job = Some(jobs.read_table(ctx, self.text.clone(), options));
        }
    }

    fn is_reading(&self, jobs: &Jobs) -> bool {
        self.job.is_some_and(|job| jobs.is_running(job))
    }

    /// A name for the file of the draft.
    fn file_name(&self) -> String {
        let name = format!("{} {}", self.maker.trim(), self.model.trim());
        let plain = |c: char| if c.is_alphanumeric() { c.to_ascii_lowercase() } else { '-' };
        match name.trim() {
            "" => "draft.ron".to_owned(),
            name => format!("{}.ron", name.chars().map(plain).collect::<String>()),
        }
    }
}

impl State {
    /// Does what is asked of the form for tables.
    pub(super) fn act_on_table(&mut self, ctx: &egui::Context, action: Action) {
        match action {
            Action::BenchTable => self.bench_table(ctx),
            _ => self.windows.table.open = !self.windows.table.open,
        }
    }

    /// Takes the text of a file into the form, or says why there is none.
    pub(super) fn table_opened(&mut self, ctx: &egui::Context, result: Result<String, Finding>) {
        match result {
            Ok(text) => {
                let form = &mut self.windows.table;
                (form.open, form.text, form.stale) = (true, text, true);
                form.read(ctx, &mut self.jobs);
            }
            Err(finding) => {
                self.dialog = Some(Dialog::findings("The table cannot be opened", vec![finding]));
            }
        }
    }

    /// Writes the draft to a profile file, with all its doubts above it as comments.
    pub(super) fn save_table_draft(&mut self, ctx: &egui::Context, path: PathBuf) {
        let Some(draft) = self.windows.table.draft() else { return };
        let path = if path.extension().is_none() { path.with_extension("ron") } else { path };
        let text = draft.report.to_ron(&draft.profile);
        self.jobs.export(ctx, path, text);
    }

    /// Puts the draft on the bench, with all its doubts above it as comments.
    fn bench_table(&mut self, ctx: &egui::Context) {
        let Some(draft) = self.windows.table.draft() else { return };
        let text = draft.report.to_ron(&draft.profile);
        match ProfileDocument::parse(&text, None, &is_known_drawing) {
            Ok((document, findings)) => {
                if self.page == Page::Stage {
                    self.turn_page();
                }
                let document = Box::new(document);
                self.leave_profile(ctx, BenchThen::Document { document, findings });
                // While a profile that is not saved is asked about, the table stays.
                if !matches!(self.dialog, Some(Dialog::UnsavedProfile(_))) {
                    self.windows.table.open = false;
                }
            }
            Err(findings) => {
                let title = "The draft cannot be put on the bench";
                self.dialog = Some(Dialog::findings(title, findings.0));
            }
        }
    }
}

/// Shows the form in a window of its own while it is open.
pub(super) fn table_window(ctx: &egui::Context, state: &mut State, commands: &mut Vec<Command>) {
    if !state.windows.table.open {
        return;
    }
    let mut form = std::mem::take(&mut state.windows.table);
    let mut open = true;
    let room = ctx.content_rect().size();
    let window = egui::Window::new("Profile from a table")
        .open(&mut open)
        .collapsible(false)
        .default_pos(egui::pos2(room.x * 0.08, 40.0))
        .default_size(vec2(1000.0, 580.0).min(room - vec2(80.0, 120.0)))
        .resizable(true);
    window.show(ctx, |ui| {
        head(ui, state, &mut form, commands);
        ui.separator();
        match &form.read {
            None => {
                ui.weak("Paste the channel table of a manual above, as text or CSV.");
            }
            Some(TableRead { result: Err(findings), .. }) => {
                ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
                    for finding in findings {
                        ui.label(finding.to_string());
                    }
                });
            }
            Some(TableRead { result: Ok(draft), rows }) => {
                table_rows(ui, rows, draft, &mut form.only);
            }
        }
    });
    form.open = open;
    // What was typed while a reading was under way is read after it.
    form.read(ctx, &mut state.jobs);
    state.windows.table = form;
}

/// What is filled in, and the buttons.
fn head(ui: &mut Ui, state: &mut State, form: &mut TableForm, commands: &mut Vec<Command>) {
    let mut changed = false;
    ui.horizontal_wrapped(|ui| {
        for (words, text) in [("Maker", &mut form.maker), ("Model", &mut form.model)] {
            let label = ui.label(words);
            let field = ui.add(TextEdit::singleline(text).desired_width(120.0));
            changed |= field.labelled_by(label.id).changed();
        }
        let tip = "Read the table from a file of text or CSV";
        if ui.button("Open a file\u{2026}").on_hover_text(tip).clicked() {
            state.jobs.choose(ui.ctx(), Purpose::Table, state.document.path());
        }
        // A draft of what stood there before is not what is seen above it.
        let reading = form.stale || form.is_reading(&state.jobs);
        let ready = form.draft().is_some() && !reading;
        let tip = "Edit the draft, with every doubt written above it";
        let button = ui.add_enabled(ready, egui::Button::new("Put on the bench"));
        if button.on_hover_text(tip).clicked() {
            commands.push(Command::Do(Action::BenchTable));
        }
        let tip = "Write the draft to a profile file, with every doubt written above it";
        let button = ui.add_enabled(ready, egui::Button::new("Save draft\u{2026}"));
        if button.on_hover_text(tip).clicked() {
            let folder = state.document.path().and_then(Path::parent).unwrap_or(Path::new(""));
            let near = folder.join(form.file_name());
            state.jobs.choose(ui.ctx(), Purpose::Draft, Some(&near));
        }
        if reading {
            ui.weak("reading\u{2026}");
        }
    });
    ScrollArea::vertical().id_salt("table text").max_height(150.0).show(ui, |ui| {
        let text = TextEdit::multiline(&mut form.text).code_editor().desired_rows(8);
        let field = ui.add(text.desired_width(f32::INFINITY));
        changed |= named(field, "Table").changed();
    });
    form.stale |= changed;
}
