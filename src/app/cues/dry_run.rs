//! The dry run in the window: what will look wrong when the list on show is run, with a way to each instant.

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};

use egui::{Button, ProgressBar, RichText, ScrollArea, TextEdit, Ui, vec2};

use super::act::CueAsk;
use super::lead::Key;
use super::marks::{Found, go_to};
use crate::app::change_window::over_reading;
use crate::app::command::Command;
use crate::app::files::{Done, Purpose};
use crate::app::guide::guide_mark;
use crate::app::reading::note;
use crate::app::state::State;
use crate::app::theme::{number, strong};
use crate::app::transport::named;
use crate::check::rehearse::{Progress, Report, Told, rehearse};
use crate::finding::{Severity, rounded};
use crate::paper::rehearsal;
use crate::profile::Accepted;
use crate::show::disk::write_file;
use crate::show::{CueEdit, Edit};

/// Height of a row, in points: as many as there are, only those in sight are laid out.
const ROW: f32 = 38.0;

/// The dry run of a list.
pub struct DryRun {
    /// The list that it is about, as a place in the show.
    list: usize,
    /// What the report was made of.
    key: Option<Key>,
    work: Option<Work>,
    /// What the run under way, or the last one, is made of but for what is accepted.
    of: Key,
    /// What was found.
    pub report: Option<Arc<Report>>,
    /// Findings that were accepted are shown too.
    accepted: bool,
    /// The finding that is being accepted, and the reason as far as it is typed.
    accepting: Option<(usize, String)>,
}

/// A run under way.
pub(in crate::app) struct Work {
    /// The mark of the job.
    pub job: u64,
    /// How much was played, in thousandths.
    pub done: Arc<AtomicU32>,
    /// It is to stop.
    pub stop: Arc<AtomicBool>,
}

impl Drop for Work {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
    }
}

impl State {
    /// Shows the dry run of the list on show and begins it, or hides it.
    pub(in crate::app) fn toggle_dry_run(&mut self, ctx: &egui::Context) {
        if self.windows.dry_run.take().is_some() {
            return;
        }
        if self.show().cues.lists.get(self.cues.list).is_none() {
            return self.say(Severity::Note, "there is no cue list to run");
        }
        self.windows.dry_run = Some(Box::new(DryRun {
            list: self.cues.list,
            key: None,
            of: self.found_key(),
            work: None,
            report: None,
            accepted: false,
            accepting: None,
        }));
        self.begin_dry_run(ctx);
    }

    fn begin_dry_run(&mut self, ctx: &egui::Context) {
        let (key, list, show) = (self.cue_key(), self.cues.list, self.show().clone());
        let of = self.found_key();
        let Some(run) = &mut self.windows.dry_run else { return };
        let (done, stop) = (Arc::new(AtomicU32::new(0)), Arc::new(AtomicBool::new(false)));
        let (told, stopped) = (done.clone(), stop.clone());
        // One core stays free for the window.
        let threads =
            std::thread::available_parallelism().map_or(1, |n| n.get().saturating_sub(1).max(1));
        let waker = ctx.clone();
        let job = self.jobs.background(ctx, "Running the list".to_owned(), move || {
            let report = rehearse(&show, &[list], threads, &|Progress { done_s, of_s }| {
                let share = if of_s > 0.0 { done_s / of_s } else { 1.0 };
                told.store((share * 1000.0) as u32, Ordering::Relaxed);
                waker.request_repaint();
                !stopped.load(Ordering::Relaxed)
            });
            Done::Rehearsed { key, report: report.map(Box::new) }
        });
        (run.list, run.of, run.accepting) = (list, of, None);
        run.work = Some(Work { job, done, stop });
    }

    /// Takes in what a run found, if it is still wanted.
    pub(in crate::app) fn rehearsed(&mut self, key: Key, report: Option<Box<Report>>) {
        let Some(run) = &mut self.windows.dry_run else { return };
        run.work = None;
        if let Some(report) = report {
            let report = Arc::new(*report);
            let list = report.lists.first().cloned().unwrap_or_default();
            self.cues.found = Some(Found::new(list, run.of, report.clone()));
            (run.key, run.report) = (Some(key), Some(report));
            self.renew_marks();
        }
    }

    /// The report as a page that prints.
    pub(in crate::app) fn dry_run_page(&self) -> Option<String> {
        let report = self.windows.dry_run.as_ref()?.report.as_ref()?;
        Some(rehearsal::html(&self.show().name, std::slice::from_ref(&**report)))
    }

    /// Writes the straight run of the list on show as timed frames.
    pub(in crate::app) fn export_list(&mut self, ctx: &egui::Context, path: PathBuf) {
        self.ready_timeline();
        let Some(run) = self.cues.timeline.as_ref().map(|timeline| timeline.run.clone()) else {
            return;
        };
        self.jobs.work(ctx, format!("Writing {}", path.display()), move || {
            let result = write_file(&path, run.timed_frames().to_csv().as_bytes());
            Done::Exported { path, result }
        });
    }
}

/// Shows the dry run in a window of its own while it is open.
pub fn dry_run_window(ctx: &egui::Context, state: &mut State, commands: &mut Vec<Command>) {
    let Some(mut run) = state.windows.dry_run.take() else { return };
    let room = ctx.content_rect().size();
    let mut open = true;
    let (mut again, mut save) = (false, false);
    egui::Window::new("Dry run")
        .open(&mut open)
        .collapsible(false)
        .default_pos(over_reading(room, 580.0))
        .default_size(vec2(580.0, 420.0).min(room - vec2(60.0, 120.0)))
        .resizable(true)
        .show(ctx, |ui| {
            (again, save) = head(ui, state, &mut run);
            ui.separator();
            rows(ui, state, &mut run, commands);
        });
    if save {
        state.jobs.choose(ctx, Purpose::DryRun, state.document.path());
    }
    if open {
        state.windows.dry_run = Some(run);
    }
    if again {
        state.begin_dry_run(ctx);
    }
}

/// What was run, how far it is, and what came of it. Gives whether it is to be run again, and saved.
fn head(ui: &mut Ui, state: &State, run: &mut DryRun) -> (bool, bool) {
    let (mut again, mut save) = (false, false);
    let list = state.show().cues.lists.get(run.list).map_or("", |list| list.name.as_str());
    if run.work.as_ref().is_some_and(|work| !state.jobs.is_running(work.job)) {
        run.work = None;
    }
    ui.horizontal(|ui| {
        ui.label(RichText::new(list).font(strong()));
        if let Some(work) = &run.work {
            let share = work.done.load(Ordering::Relaxed) as f32 / 1000.0;
            ui.add(ProgressBar::new(share).desired_width(160.0).show_percentage());
            if ui
                .button("Cancel")
                .on_hover_text("Stop the run; what was found before stays")
                .clicked()
            {
                run.work = None;
            }
            return;
        }
        if let Some(report) = &run.report {
            ui.label(counts(report));
        }
        let stale = run.key != Some(state.cue_key()) || run.list != state.cues.list;
        let words = if stale { "Run again (changed since)" } else { "Run again" };
        again =
            ui.button(words).on_hover_text("Play the list on show through the pipeline").clicked();
        let tip = "Write it as one page of HTML, which prints from any browser";
        let page = ui.add_enabled(run.report.is_some(), Button::new("Save as HTML"));
        save = page.on_hover_text(tip).clicked();
    });
    if run
        .report
        .as_ref()
        .is_some_and(|report| report.told.iter().any(|t| t.finding.accepted.is_some()))
    {
        ui.checkbox(&mut run.accepted, "Show what was accepted too");
    }
    ui.weak("A preview, and no certificate: the fixture's manual, local codes and licensed practice decide.");
    (again, save)
}

fn counts(report: &Report) -> String {
    let count = |severity| {
        let stands = |t: &&Told| t.finding.severity == severity && t.finding.accepted.is_none();
        report.told.iter().filter(stands).count()
    };
    let of = |count: usize, word: &str| {
        if count == 1 { format!("1 {word}") } else { format!("{count} {word}s") }
    };
    format!(
        "{} s: {}, {}, {}",
        rounded(report.duration_s, 0),
        of(count(Severity::Error), "error"),
        of(count(Severity::Warning), "warning"),
        of(count(Severity::Note), "note")
    )
}

fn rows(ui: &mut Ui, state: &State, run: &mut DryRun, commands: &mut Vec<Command>) {
    let Some(report) = &run.report else { return };
    let shown = |told: &&(usize, &Told)| run.accepted || told.1.finding.accepted.is_none();
    let told: Vec<(usize, &Told)> =
        report.told.iter().enumerate().filter(|told| shown(&told)).collect();
    if told.is_empty() {
        ui.label("Nothing to tell.");
        return;
    }
    let (mut accepting, list) = (run.accepting.take(), run.list);
    ScrollArea::vertical().auto_shrink(false).show_rows(ui, ROW, told.len(), |ui, range| {
        for (nth, told) in &told[range] {
            let at = (list, *nth);
            row(ui, state, report, at, told, &mut accepting, commands);
        }
    });
    run.accepting = accepting;
}

fn row(
    ui: &mut Ui,
    state: &State,
    report: &Report,
    (list, nth): (usize, usize),
    told: &Told,
    accepting: &mut Option<(usize, String)>,
    commands: &mut Vec<Command>,
) {
    let ids: Vec<String> = told.fixtures.iter().map(u32::to_string).collect();
    ui.allocate_ui(vec2(ui.available_width(), ROW - ui.spacing().item_spacing.y), |ui| {
        ui.horizontal(|ui| {
            let at = Button::new(RichText::new(format!("{:.2} s", told.at_s)).font(number()));
            let go = ui.add(at.min_size(vec2(76.0, 0.0)));
            let go =
                go.on_hover_text("Go to this instant on the stage, and select whom it concerns");
            let whom =
                if ids.is_empty() { String::new() } else { format!(" of {}", ids.join(", ")) };
            let words = format!("{}{whom} at {:.2} s", told.finding.code, told.at_s);
            if named(go, &words).clicked() {
                commands.push(Command::Cues(CueAsk::Show(list)));
                go_to(state, told, commands);
            }
            let cue = &report.cues[told.list][told.cue];
            ui.label(RichText::new(cue).font(strong()));
            accept(ui, told, nth, accepting, commands);
            if told.finding.code.contains("flash") {
                guide_mark(ui, "safety", None, commands);
            }
        });
        let whom = if ids.is_empty() { String::new() } else { format!("{}: ", ids.join(", ")) };
        let finding = &told.finding;
        let reason = finding
            .accepted
            .as_ref()
            .map_or(String::new(), |reason| format!(" \u{2013} accepted: {reason}"));
        let response = ui.scope(|ui| {
            note(ui, finding.severity, &format!("{whom}{}{reason}", finding.what));
        });
        let more = [finding.why.as_str(), finding.mend.as_str()];
        let more: Vec<&str> = more.into_iter().filter(|words| !words.is_empty()).collect();
        response.response.on_hover_text(more.join("\n"));
    });
}

/// A field for the reason, or the button that opens it.
fn accept(
    ui: &mut Ui,
    told: &Told,
    nth: usize,
    accepting: &mut Option<(usize, String)>,
    commands: &mut Vec<Command>,
) {
    if told.finding.accepted.is_some() {
        return;
    }
    let Some((_, reason)) = accepting.as_mut().filter(|(of, _)| *of == nth) else {
        let tip = "Say that it is meant to be so, and why; the show keeps the reason";
        if ui.small_button("Accept\u{2026}").on_hover_text(tip).clicked() {
            *accepting = Some((nth, String::new()));
        }
        return;
    };
    let field =
        TextEdit::singleline(reason).hint_text("why it is as it should be").desired_width(200.0);
    let field = named(ui.add(field), "Reason");
    let entered = field.lost_focus() && ui.input(|input| input.key_pressed(egui::Key::Enter));
    let given = !reason.trim().is_empty();
    if given && (ui.small_button("Accept").clicked() || entered) {
        let at = told.finding.place.item.clone().unwrap_or_default();
        let accepted =
            Accepted { code: told.finding.code.to_owned(), at, reason: reason.trim().to_owned() };
        commands
            .push(Command::Edit { edit: Edit::Cues(CueEdit::Accept(accepted)), gesture: false });
        *accepting = None;
    }
}
