//! The window's dialogs: unsaved changes, findings, the list of keys, about, and a path typed by hand
//! where the system has no file dialog.

use std::path::PathBuf;

use egui::{Context, Frame, Grid, Id, Key, Modal, RichText, ScrollArea, TextEdit, Ui, vec2};

use super::add_dialog::add_dialog;
use super::bench::BenchThen;
use super::files::Purpose;
use super::keys::{self, POINTER, TABLE};
use super::now::sentence;
use super::patching::AddForm;
use super::recovery::left_copies;
use super::theme::{Palette, severity_mark, small_strong};
use crate::finding::{Finding, Severity};
use crate::show::Show;
use crate::show::recovery::LeftCopy;

/// What is to happen once the open show may go.
#[derive(Debug)]
pub enum Then {
    /// Close the window.
    Quit,
    /// Begin an empty show.
    New,
    /// Open the demo show.
    Demo,
    /// Put in a show that was read.
    Show {
        /// The show.
        show: Box<Show>,
        /// Its file.
        path: PathBuf,
        /// What is worth saying about it.
        findings: Vec<Finding>,
    },
    /// Let the profile on the bench go.
    Profile(Box<BenchThen>),
}

/// A dialog that is open.
#[derive(Debug)]
pub enum Dialog {
    /// The show has changes that are not saved.
    Unsaved(Then),
    /// The profile on the bench has changes that are not saved.
    UnsavedProfile(BenchThen),
    /// Copies that were kept when the program broke off.
    Left(Vec<LeftCopy>),
    /// What was found.
    Findings {
        /// What it is about.
        title: String,
        /// The findings, the worst ones first.
        findings: Vec<Finding>,
    },
    /// Add fixtures.
    Add(Box<AddForm>),
    /// All keys.
    Keys,
    /// What this program is.
    About,
    /// Type a path.
    Path {
        /// What for.
        purpose: Purpose,
        /// What was typed.
        text: String,
    },
}

/// What a dialog was answered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Answer {
    /// Save first.
    Save,
    /// Take what was kept when the program broke off.
    Recover,
    /// Go on without saving; remove what was kept.
    Discard,
    /// Leave everything as it is; also: seen.
    Cancel,
    /// Add the fixtures that were filled in.
    Add,
    /// A path was typed.
    Typed(Purpose, String),
}

impl Dialog {
    /// A dialog of findings, the worst ones first.
    pub fn findings(title: impl Into<String>, mut findings: Vec<Finding>) -> Self {
        findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
        Self::Findings { title: title.into(), findings }
    }
}

/// Shows a dialog. Returns an answer in the pass in which it is given.
pub fn show(ctx: &Context, dialog: &mut Dialog, open: &Show, profile_name: &str) -> Option<Answer> {
    let frame = Frame::popup(&ctx.global_style()).inner_margin(16);
    let modal = Modal::new(Id::unique("dialog")).frame(frame).show(ctx, |ui| match dialog {
        Dialog::Unsaved(then) => unsaved(ui, &open.name, then_words(then)),
        Dialog::UnsavedProfile(then) => unsaved(ui, profile_name, profile_then_words(then)),
        Dialog::Left(left) => left_copies(ui, left),
        Dialog::Add(form) => add_dialog(ui, form, open),
        Dialog::Findings { title, findings } => findings_list(ui, title, findings),
        Dialog::Keys => key_list(ui),
        Dialog::About => about(ui),
        Dialog::Path { purpose, text } => typed_path(ui, *purpose, text),
    });
    let closed = modal.should_close().then_some(Answer::Cancel);
    modal.inner.or(closed)
}

/// A button that Enter stands for. It has the focus when the dialog opens, so that it shows.
pub(super) fn default_button(ui: &mut Ui, words: &str) -> bool {
    let button = ui.button(words);
    if ui.memory(|memory| memory.focused().is_none()) {
        button.request_focus();
    }
    button.clicked()
}

fn then_words(then: &Then) -> &'static str {
    match then {
        Then::Quit => "Closing the window",
        Then::New => "A new show",
        Then::Demo => "Opening the demo show",
        Then::Show { .. } => "Opening another show",
        Then::Profile(then) => profile_then_words(then),
    }
}

fn profile_then_words(then: &BenchThen) -> &'static str {
    match then {
        BenchThen::Quit => "Closing the window",
        BenchThen::New => "A new profile",
        BenchThen::Document { .. } => "Opening another profile",
    }
}

fn unsaved(ui: &mut Ui, name: &str, next: &str) -> Option<Answer> {
    ui.set_width(380.0);
    ui.heading(format!("Save the changes to {name}?"));
    ui.add_space(4.0);
    ui.label(format!("{next} would lose them."));
    ui.add_space(12.0);
    let mut answer = None;
    ui.horizontal(|ui| {
        if default_button(ui, "Save") {
            answer = Some(Answer::Save);
        }
        if ui.button("Discard").on_hover_text("Go on; the changes are lost").clicked() {
            answer = Some(Answer::Discard);
        }
        if ui.button("Cancel").on_hover_text("Leave everything as it is (Esc)").clicked() {
            answer = Some(Answer::Cancel);
        }
    });
    answer
}

fn findings_list(ui: &mut Ui, title: &str, findings: &[Finding]) -> Option<Answer> {
    ui.set_width(620.0_f32.min(ui.ctx().content_rect().width() - 64.0));
    ui.heading(title);
    ui.add_space(8.0);
    let height = ui.ctx().content_rect().height() - 180.0;
    tall_scroll_area(height).show(ui, |ui| {
        for (i, finding) in findings.iter().enumerate() {
            if i > 0 {
                ui.add_space(4.0);
                ui.separator();
            }
            one_finding(ui, finding);
        }
    });
    ui.add_space(12.0);
    let mut answer = None;
    ui.horizontal(|ui| {
        if default_button(ui, "Close") {
            answer = Some(Answer::Cancel);
        }
        if ui.button("Copy").on_hover_text("Copy the findings as text").clicked() {
            let lines: Vec<_> = findings.iter().map(Finding::to_string).collect();
            ui.ctx().copy_text(lines.join("\n"));
        }
    });
    answer
}

/// A scroll area as high as its contents, up to `height`: a dialog is laid out before it is centred,
/// and would offer only the room below where it was before.
fn tall_scroll_area(height: f32) -> ScrollArea {
    let height = height.max(80.0);
    ScrollArea::vertical().max_height(height).min_scrolled_height(height)
}

fn one_finding(ui: &mut Ui, finding: &Finding) {
    let palette = Palette::of(ui.visuals());
    ui.horizontal_top(|ui| {
        let (rect, _) = ui.allocate_exact_size(vec2(12.0, 18.0), egui::Sense::hover());
        severity_mark(ui.painter(), finding.severity, rect.center(), 10.0, &palette);
        ui.vertical(|ui| {
            let place = finding.place.to_string();
            ui.horizontal_wrapped(|ui| {
                let word = RichText::new(finding.severity.word()).font(small_strong());
                ui.label(word.color(palette.severity(finding.severity)));
                if !place.is_empty() {
                    ui.label(RichText::new(place).monospace().color(palette.weak_text));
                }
            });
            ui.label(sentence(&finding.what));
            if !finding.why.is_empty() {
                ui.label(sentence(&finding.why));
            }
            if !finding.mend.is_empty() {
                ui.label(RichText::new(sentence(&finding.mend)).color(palette.weak_text));
            }
        });
    });
}

fn key_list(ui: &mut Ui) -> Option<Answer> {
    ui.set_width(820.0_f32.min(ui.ctx().content_rect().width() - 64.0));
    ui.heading("Keys");
    ui.add_space(8.0);
    let height = ui.ctx().content_rect().height() - 140.0;
    tall_scroll_area(height).show(ui, |ui| {
        ui.columns(2, |columns| {
            for (column, groups) in [
                &["File", "Edit", "Looks", "Sweep"][..],
                &["Time", "View", "Bench", "Tools", "Help"][..],
            ]
            .iter()
            .enumerate()
            {
                for group in *groups {
                    key_group(&mut columns[column], group);
                }
            }
            pointer_group(&mut columns[1]);
        });
    });
    ui.add_space(8.0);
    default_button(ui, "Close").then_some(Answer::Cancel)
}

/// Wide enough for the longest keys, so that what they do stands in one column.
const KEY_COLUMN: f32 = 160.0;

fn key_group(ui: &mut Ui, group: &str) {
    ui.label(RichText::new(group).font(small_strong()));
    ui.spacing_mut().interact_size.y = 0.0;
    Grid::new(("keys", group)).num_columns(2).min_col_width(KEY_COLUMN).show(ui, |ui| {
        for row in TABLE.iter().filter(|row| row.group == group) {
            let shown: Vec<_> = row.keys.iter().map(|key| keys::words(ui.ctx(), key)).collect();
            ui.label(RichText::new(shown.join(" or ")).monospace());
            ui.label(row.name.trim_end_matches('\u{2026}')).on_hover_text(row.tip);
            ui.end_row();
        }
    });
    ui.add_space(8.0);
}

fn pointer_group(ui: &mut Ui) {
    ui.label(RichText::new("Pointer").font(small_strong()));
    Grid::new("pointer").num_columns(2).min_col_width(KEY_COLUMN).show(ui, |ui| {
        for (gesture, effect) in POINTER {
            ui.label(*gesture);
            ui.label(*effect);
            ui.end_row();
        }
    });
}

/// What the caution says wherever it is shown.
pub const CAUTION: &str = "Slotwright previews; it does not certify. Where flashing light, beams at eye height, weight, power \
or moving a real rig could hurt somebody, follow local codes and the fixture's manual, and ask a \
competent person.";

/// The licences of the embedded fonts, word for word.
const FONT_LICENCES: &str = include_str!("../../assets/fonts/LICENSES.txt");

fn about(ui: &mut Ui) -> Option<Answer> {
    ui.set_width(520.0_f32.min(ui.ctx().content_rect().width() - 64.0));
    ui.heading(concat!("Slotwright ", env!("CARGO_PKG_VERSION")));
    ui.add_space(4.0);
    ui.label("Shows, offline, what every value in a DMX512 frame does to every lighting fixture.");
    ui.add_space(8.0);
    let palette = Palette::of(ui.visuals());
    ui.horizontal_top(|ui| {
        let (rect, _) = ui.allocate_exact_size(vec2(12.0, 18.0), egui::Sense::hover());
        severity_mark(ui.painter(), Severity::Warning, rect.center(), 11.0, &palette);
        ui.vertical(|ui| ui.label(CAUTION));
    });
    ui.add_space(8.0);
    ui.label(concat!("Licence: ", env!("CARGO_PKG_LICENSE"), "."));
    ui.collapsing("Fonts: Inter and JetBrains Mono, SIL Open Font License 1.1", |ui| {
        ScrollArea::vertical().max_height(200.0).show(ui, |ui| {
            ui.label(RichText::new(FONT_LICENCES).small());
        });
    });
    ui.add_space(12.0);
    default_button(ui, "Close").then_some(Answer::Cancel)
}

fn typed_path(ui: &mut Ui, purpose: Purpose, text: &mut String) -> Option<Answer> {
    ui.set_width(460.0);
    let (title, button) = match purpose {
        Purpose::Open => ("Open a show", "Open"),
        Purpose::Save => ("Save the show", "Save"),
        Purpose::Timed => ("Open timed frames", "Open"),
        Purpose::Plot => ("Export the plot", "Export"),
        Purpose::Chart => ("Save the channel chart", "Save"),
        Purpose::DryRun => ("Save the dry run", "Save"),
        Purpose::List => ("Export the list", "Export"),
        Purpose::Sheet => ("Save the cue sheet", "Save"),
        Purpose::CompareShow => ("Compare with a show", "Compare"),
        Purpose::Comparison => ("Save the comparison", "Save"),
        Purpose::Table => ("Open a channel table", "Open"),
        Purpose::Draft => ("Save the draft", "Save"),
        Purpose::OpenProfile => ("Open a profile", "Open"),
        Purpose::SaveProfile => ("Save the profile", "Save"),
        Purpose::Import => ("Import a fixture", "Import"),
        Purpose::Describe => ("Export a fixture", "Export"),
        Purpose::Profile => ("Save the profile", "Save"),
    };
    ui.heading(title);
    ui.add_space(4.0);
    let label = ui.label("This system offers no file dialog, so type where the file is:");
    let edit = TextEdit::singleline(text).desired_width(f32::INFINITY);
    let field = ui.add(edit.hint_text("~/shows/first rehearsal.ron")).labelled_by(label.id);
    let entered = field.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
    if !entered && ui.memory(|memory| memory.focused().is_none()) {
        field.request_focus();
    }
    ui.add_space(12.0);
    let mut answer = None;
    ui.horizontal(|ui| {
        let ready = !text.trim().is_empty();
        if ui.add_enabled(ready, egui::Button::new(button)).clicked() || entered && ready {
            answer = Some(Answer::Typed(purpose, text.clone()));
        }
        if ui.button("Cancel").clicked() {
            answer = Some(Answer::Cancel);
        }
    });
    answer
}
