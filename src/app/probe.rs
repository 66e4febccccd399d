//! The form for probing a head without a chart: it says what to set, takes what was seen, keeps the
//! notes in a file, and makes a draft profile of them. Nothing is sent to the head from here.

use std::path::{Path, PathBuf};

use egui::{
    Context, DragValue, Grid, ProgressBar, RichText, ScrollArea, TextEdit, Ui, Window, vec2,
};

use super::command::Command;
use super::state::State;
use super::theme::{Palette, severity_mark, strong};
use crate::finding::{Severity, one_line};
use crate::paper::probe_sheet::CAUTIONS;
use crate::profile::probe::{Note, Probe, Seen, Step, WORDS};
use crate::wire::SLOTS;

/// How long anything is looked at, which stands beside every step.
const REMINDER: &str = "Look for 2 seconds at most, then go back to 0. If it homes or sounds wrong: \
everything to 0 at once.";

/// Something that the form asks for.
#[derive(Clone, Debug, PartialEq)]
pub enum ProbeAsk {
    /// Begin, or go on with the notes in the file.
    Start,
    /// This was seen.
    Note(Seen),
    /// Take the last note back.
    Back,
    /// Leave this value alone.
    Skip,
    /// Leave the rest of this slot alone.
    SkipSlot,
    /// Write a draft profile beside the notes.
    SaveDraft,
    /// Put the notes away and begin with another head.
    Another,
}

/// The form.
#[derive(Default)]
pub struct ProbeForm {
    /// It is shown.
    pub open: bool,
    /// What is typed about the head before it begins.
    pub(super) fresh: Option<Fresh>,
    /// The head that is being probed, and the file of its notes.
    pub(super) running: Option<(Probe, PathBuf)>,
    /// What to do next; `None` once there is nothing left.
    pub(super) step: Option<Step>,
    /// What is typed: the name of a colour or pattern, or what else was seen.
    pub(super) own_words: String,
    /// What is typed: what was measured.
    pub(super) measured: String,
    /// The notes are being written.
    pub(super) saving: bool,
    /// There are newer notes than those that are being written.
    pub(super) newer: bool,
}

#[derive(Clone, Debug)]
pub(super) struct Fresh {
    pub(super) maker: String,
    pub(super) model: String,
    pub(super) slots: u16,
    pub(super) standing: bool,
    /// Where the notes go; `None` for the place that follows from maker and model.
    file: Option<String>,
}

impl Default for Fresh {
    fn default() -> Self {
        let (maker, model) = (String::new(), String::new());
        Self { maker, model, slots: 16, standing: false, file: None }
    }
}

impl Fresh {
    /// The file of the notes, in the folder of profiles unless another one is typed.
    pub(super) fn file(&self, folder: Option<&Path>) -> String {
        self.file.clone().unwrap_or_else(|| {
            let name = format!("{} {}", self.maker.trim(), self.model.trim()).to_lowercase();
            let word =
                |part: &str| part.chars().filter(|c| c.is_alphanumeric()).collect::<String>();
            let parts: Vec<String> = name.split(|c: char| !c.is_alphanumeric()).map(word).collect();
            let name = parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>();
            let name = if name.is_empty() { "unknown-head".to_owned() } else { name.join("-") };
            let name = PathBuf::from(format!("{name}.csv"));
            folder.map_or(name.clone(), |folder| folder.join(name)).display().to_string()
        })
    }
}

impl ProbeForm {
    /// The head that is being probed.
    pub fn probe(&self) -> Option<&Probe> {
        self.running.as_ref().map(|(probe, _)| probe)
    }

    /// What to do next.
    pub fn step(&self) -> Option<&Step> {
        self.step.as_ref()
    }

    /// Works out what to do next.
    pub(super) fn find_step(&mut self) {
        self.step = self.running.as_ref().and_then(|(probe, _)| probe.next_step());
    }
}

/// Shows the form, if it is open.
pub fn probe_form(ctx: &Context, state: &mut State, commands: &mut Vec<Command>) {
    let mut open = state.probe.open;
    if !open {
        return;
    }
    let height = (ctx.content_rect().height() - 120.0).max(200.0);
    let folder = state.profiles.sources.folder().map(Path::to_owned);
    let window = Window::new("Probe a head").open(&mut open).collapsible(false).resizable(false);
    // As high as what is in it, over the stage rather than over the reading.
    let place = [ctx.content_rect().width() * 0.2, 44.0];
    window.default_pos(place).default_width(560.0).show(ctx, |ui| {
        let area = ScrollArea::vertical().max_height(height).min_scrolled_height(height);
        area.show(ui, |ui| {
            let form = &mut state.probe;
            match form.running.take() {
                None => begin(ui, form, folder.as_deref(), commands),
                Some((probe, file)) => {
                    under_way(ui, form, &probe, &file, commands);
                    form.running = Some((probe, file));
                }
            }
        });
    });
    state.probe.open = open;
}

fn ask(commands: &mut Vec<Command>, ask: ProbeAsk) {
    commands.push(Command::Probe(ask));
}

fn begin(ui: &mut Ui, form: &mut ProbeForm, folder: Option<&Path>, commands: &mut Vec<Command>) {
    ui.label("Finds out what a head does for which there is no chart, one slot at a time.");
    ui.add_space(6.0);
    let palette = Palette::of(ui.visuals());
    for caution in CAUTIONS {
        ui.horizontal_top(|ui| {
            let (rect, _) = ui.allocate_exact_size(vec2(12.0, 18.0), egui::Sense::hover());
            severity_mark(ui.painter(), Severity::Warning, rect.center(), 10.0, &palette);
            ui.vertical(|ui| ui.label(caution));
        });
    }
    ui.add_space(6.0);
    let fresh = form.fresh.get_or_insert_default();
    let mut file = fresh.file(folder);
    Grid::new("probe begin").num_columns(2).spacing([12.0, 4.0]).show(ui, |ui| {
        let line = |ui: &mut Ui, name: &str, text: &mut String, hint: &str| {
            let label = ui.label(name);
            let edit = TextEdit::singleline(text).desired_width(360.0).hint_text(hint);
            let changed = ui.add(edit).labelled_by(label.id).changed();
            ui.end_row();
            changed
        };
        line(ui, "Maker", &mut fresh.maker, "as far as one can tell");
        line(ui, "Model", &mut fresh.model, "what is written on it");
        if line(ui, "Notes file", &mut file, "a file that ends in .csv") {
            fresh.file = Some(file.clone());
        }
        let label = ui.label("Slots");
        let slots = DragValue::new(&mut fresh.slots).range(1..=SLOTS as u16);
        let slots = ui.add(slots).labelled_by(label.id);
        slots.on_hover_text("How many slots it takes; if nobody knows, more than it can have");
        ui.end_row();
        ui.label("It");
        ui.horizontal(|ui| {
            ui.radio_value(&mut fresh.standing, false, "hangs");
            ui.radio_value(&mut fresh.standing, true, "stands on its foot");
        });
        ui.end_row();
    });
    ui.add_space(6.0);
    let tip = "Begin; if there is such a file, go on with the notes in it";
    if ui.button("Start").on_hover_text(tip).clicked() {
        ask(commands, ProbeAsk::Start);
    }
}

fn under_way(
    ui: &mut Ui,
    form: &mut ProbeForm,
    probe: &Probe,
    file: &Path,
    commands: &mut Vec<Command>,
) {
    let name = format!("{} {}", probe.maker, probe.model);
    let words = format!("{}, {} slots", one_line(name.trim()), probe.slots);
    ui.label(RichText::new(words).font(strong())).on_hover_text(file.display().to_string());
    let (done, all) = probe.progress();
    let bar = ProgressBar::new(done as f32 / all.max(1) as f32);
    ui.add(bar.text(format!("{done} notes; about {all} to make, more where something changes")));
    ui.add_space(6.0);
    match form.step.clone() {
        Some(step) => {
            ui.weak(step.pass.name());
            ui.label(RichText::new(step.words()).font(strong()).size(17.0));
            if step.finer {
                ui.weak("In between something changed: this halves what is left.");
            }
            ui.label(REMINDER);
            ui.add_space(4.0);
            seen_here(ui, probe, &step);
            words_to_pick(ui, form, commands);
        }
        None => {
            ui.label(RichText::new("There is nothing left to look at.").font(strong()));
            ui.label("The draft profile holds what was seen; all else in it is unknown.");
        }
    }
    ui.add_space(8.0);
    ui.horizontal(|ui| {
        let last = probe.notes.last().map(note_words);
        let tip = last.map_or_else(String::new, |last| format!("Take back: {last}"));
        let mut button = |ui: &mut Ui, words: &str, tip: &str, enabled: bool, what: ProbeAsk| {
            if ui.add_enabled(enabled, egui::Button::new(words)).on_hover_text(tip).clicked() {
                ask(commands, what);
            }
        };
        let (any, going) = (!probe.notes.is_empty(), form.step.is_some());
        let of_slot = form.step.as_ref().is_some_and(|step| step.slot.is_some());
        button(ui, "Back", &tip, any, ProbeAsk::Back);
        button(ui, "Skip", "Leave this value alone; it stays unknown", going, ProbeAsk::Skip);
        let tip = "Leave the rest of this slot alone; it stays unknown";
        button(ui, "Skip the slot", tip, of_slot, ProbeAsk::SkipSlot);
        let tip = "Write a profile of what was seen beside the notes";
        button(ui, "Save draft profile", tip, true, ProbeAsk::SaveDraft);
        let tip = "The notes stay in their file; starting with it again goes on";
        button(ui, "Another head", tip, true, ProbeAsk::Another);
    });
    ui.weak(format!("Notes: {}", file.display()));
}

/// What was seen of the slot at hand so far, while the same slots were held.
fn seen_here(ui: &mut Ui, probe: &Probe, step: &Step) {
    let same = |note: &&Note| note.slot == step.slot && note.held == step.held;
    let mut notes: Vec<&Note> = probe.notes.iter().filter(same).collect();
    notes.sort_by_key(|note| note.from);
    if step.slot.is_none() || notes.is_empty() {
        return;
    }
    let words: Vec<String> = notes.into_iter().map(value_words).collect();
    ui.weak(format!("So far: {}", one_line(&words.join("; "))));
}

fn value_words(note: &Note) -> String {
    match (note.from, note.to) {
        (from, to) if from == to => format!("{from} {}", note.seen),
        (from, to) => format!("{from}..{to} {}", note.seen),
    }
}

fn note_words(note: &Note) -> String {
    match note.slot {
        None => format!("at rest, {}", note.seen),
        Some(slot) => format!("slot {slot}, {}", value_words(note)),
    }
}

fn words_to_pick(ui: &mut Ui, form: &mut ProbeForm, commands: &mut Vec<Command>) {
    Grid::new("probe typed").num_columns(2).spacing([12.0, 4.0]).show(ui, |ui| {
        for (name, text, hint) in [
            (
                "Name or words",
                &mut form.own_words,
                "of the colour, the pattern, or what else is seen",
            ),
            (
                "Measured",
                &mut form.measured,
                "Hz of flashes, degrees turned; empty if not measured",
            ),
        ] {
            let label = ui.label(name);
            let edit = TextEdit::singleline(text).desired_width(360.0).hint_text(hint);
            ui.add(edit).labelled_by(label.id);
            ui.end_row();
        }
    });
    ui.add_space(2.0);
    ui.label("What is seen?");
    let own = form.own_words.trim().to_owned();
    ui.horizontal_wrapped(|ui| {
        for word in WORDS {
            let (seen, needs_words) = match word.seen() {
                Seen::NotLooked => continue,
                Seen::Colour(_) => (Seen::Colour(own.clone()), true),
                Seen::Other(_) => (Seen::Other(own.clone()), true),
                Seen::Pattern(_) => (Seen::Pattern(own.clone()), false),
                seen => (seen, false),
            };
            let ready = !needs_words || !own.is_empty();
            let button = ui.add_enabled(ready, egui::Button::new(word.word));
            let button = button.on_hover_text(word.when);
            let tip = format!("{}; type it above first", word.when);
            if button.on_disabled_hover_text(tip).clicked() {
                ask(commands, ProbeAsk::Note(seen));
            }
        }
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_notes_are_named_after_the_head() {
        let mut fresh =
            Fresh { maker: " Wold ".into(), model: "X/2 \u{2014} Spot".into(), ..Fresh::default() };
        assert_eq!(fresh.file(Some(Path::new("/p"))), "/p/wold-x-2-spot.csv");
        fresh.file = Some("mine.csv".to_owned());
        assert_eq!(fresh.file(Some(Path::new("/p"))), "mine.csv");
        assert_eq!(Fresh::default().file(None), "unknown-head.csv");
    }
}
