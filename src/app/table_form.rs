//! A draft profile from the channel table of a manual: pasted or opened, read as it stands, and put on
//! the bench.

use std::path::Path;

use egui::{Grid, RichText, ScrollArea, TextEdit, Ui, vec2};

use super::bench::{BenchThen, Page};
use super::command::Command;
use super::dialogs::Dialog;
use super::files::{Purpose, is_known_drawing};
use super::keys::Action;
use super::state::State;
use super::theme::{Palette, number, small_strong, strong};
use super::transport::named;
use crate::finding::{Finding, Severity};
use crate::profile::table::{Confidence, Draft, RangeEntry, TableOptions, read_table};
use crate::show::ProfileDocument;
use crate::show::disk::read_text;

/// A table that is being read.
#[derive(Debug, Default)]
pub struct TableForm {
    /// It is shown.
    pub open: bool,
    maker: String,
    model: String,
    /// The table, as it was pasted or opened.
    text: String,
    /// What was made of it, or why nothing was; `None` until it is read.
    read: Option<Result<Box<Draft>, Vec<Finding>>>,
}

impl TableForm {
    /// What was made of the table.
    pub fn draft(&self) -> Option<&Draft> {
        self.read.as_ref()?.as_ref().ok().map(|draft| &**draft)
    }

    fn read(&mut self) {
        let options =
            TableOptions { maker: self.maker.trim().into(), model: self.model.trim().into() };
        let read = read_table(&self.text, None, &options);
        self.read = Some(read.map(Box::new).map_err(|findings| findings.0));
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

    /// Takes the text of a file into the form.
    pub(super) fn open_table(&mut self, path: &Path) {
        match read_text(path) {
            Ok(text) => {
                let form = &mut self.windows.table;
                form.open = true;
                form.text = text;
                form.read();
            }
            Err(finding) => {
                self.dialog = Some(Dialog::findings("The table cannot be opened", vec![finding]));
            }
        }
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
        .default_pos(egui::pos2(room.x * 0.12, 40.0))
        .default_size(vec2(760.0, 560.0).min(room - vec2(80.0, 120.0)))
        .resizable(true);
    window.show(ctx, |ui| {
        head(ui, state, &mut form, commands);
        ui.separator();
        match &form.read {
            None => {
                ui.weak("Paste the channel table of a manual above, as text or CSV.");
            }
            Some(Err(findings)) => {
                for finding in findings {
                    ui.label(finding.to_string());
                }
            }
            Some(Ok(draft)) => {
                ScrollArea::both().auto_shrink(false).show(ui, |ui| report(ui, draft));
            }
        }
    });
    form.open = open;
    state.windows.table = form;
}

/// What is filled in, and the buttons.
fn head(ui: &mut Ui, state: &mut State, form: &mut TableForm, commands: &mut Vec<Command>) {
    let mut changed = false;
    ui.horizontal(|ui| {
        for (words, text) in [("Maker", &mut form.maker), ("Model", &mut form.model)] {
            let label = ui.label(words);
            let field = ui.add(TextEdit::singleline(text).desired_width(140.0));
            changed |= field.labelled_by(label.id).changed();
        }
        let tip = "Read the table from a file of text or CSV";
        if ui.button("Open a file\u{2026}").on_hover_text(tip).clicked() {
            state.jobs.choose(ui.ctx(), Purpose::Table, state.document.path());
        }
        let ready = form.draft().is_some();
        let tip = "Edit the draft, with every doubt written above it; it is saved from there";
        let button = ui.add_enabled(ready, egui::Button::new("Put on the bench"));
        if button.on_hover_text(tip).clicked() {
            commands.push(Command::Do(Action::BenchTable));
        }
    });
    ScrollArea::vertical().id_salt("table text").max_height(150.0).show(ui, |ui| {
        let text = TextEdit::multiline(&mut form.text).code_editor().desired_rows(8);
        let field = ui.add(text.desired_width(f32::INFINITY));
        changed |= named(field, "Table").changed();
    });
    if changed {
        form.read();
    }
}

/// What was made of the table, range by range, and every line that was not understood.
fn report(ui: &mut Ui, draft: &Draft) {
    let report = &draft.report;
    let count =
        |confidence: Confidence| format!("{} {}", report.count(confidence), confidence.word());
    let counts = [Confidence::Sure, Confidence::Likely, Confidence::Unsure].map(count).join(", ");
    ui.label(RichText::new(format!("{} ranges: {counts}", report.ranges.len())).font(strong()));
    Grid::new("table report").num_columns(5).striped(false).spacing([14.0, 2.0]).show(ui, |ui| {
        for words in ["line", "channel", "values", "does", "trust"] {
            ui.label(RichText::new(words).font(small_strong()));
        }
        ui.end_row();
        for entry in &report.ranges {
            entry_row(ui, entry);
        }
    });
    for line in &report.lines {
        if let Some(told) = line.told() {
            ui.weak(format!("{told}: {}", line.text));
        }
    }
    for assumed in &report.assumed {
        ui.weak(format!("not in the table: {assumed}"));
    }
}

fn entry_row(ui: &mut Ui, entry: &RangeEntry) {
    let (from, to) = entry.values();
    ui.label(RichText::new(entry.line.to_string()).font(number()));
    ui.label(entry.channel_words());
    ui.label(RichText::new(format!("{from}..{to}")).font(number()));
    // The manual's own words say more than a slot's number, or that something is not known.
    let label = entry.range.label.as_str();
    let words = entry.effect_words();
    ui.label(match entry.physical() {
        None if !label.is_empty() => format!("{words}: {label}"),
        _ => words,
    });
    let palette = Palette::of(ui.visuals());
    let ink = match entry.confidence {
        Confidence::Sure => palette.text,
        Confidence::Likely => palette.weak_text,
        Confidence::Unsure => palette.severity(Severity::Warning),
    };
    let why = if entry.why.is_empty() { "" } else { ": " };
    let words = format!("{}{why}{}", entry.confidence.word(), entry.why);
    ui.label(RichText::new(words).color(ink));
    ui.end_row();
}
