//! A change of model or mode in the window: what would become of the show, and making it so.

use std::collections::BTreeMap;
use std::sync::Arc;

use egui::{ComboBox, Grid, Pos2, RichText, ScrollArea, Ui, Vec2, pos2, vec2};

use super::chart_window::ChartView;
use super::command::Command;
use super::cues::{CompareWindow, DryRun};
use super::diff_window::DiffView;
use super::keys::Action;
use super::misfit::MisfitView;
use super::profiles::choices;
use super::reading::note;
use super::state::{Exposure, State};
use super::stray::StrayView;
use super::table_form::TableForm;
use super::theme::{Palette, number, small_strong, strong};
use super::watch::Watching;
use crate::check::change::{
    FixtureChange, FrameChange, KeptRow, Outcome, change, edits, is_unknown,
};
use crate::decode::written;
use crate::finding::Severity;
use crate::profile::Profile;
use crate::rig::Fixture;
use crate::show::Edit;
use crate::wire::Frames;

/// The most frames of fixtures that are looked through while somebody waits.
const MOST_FRAMES: usize = 1500;

/// Where a window opens that is about slots and readings, which stay in sight beside it.
pub(super) const OVER_LISTS: Pos2 = pos2(8.0, 40.0);

/// Where a window of a width in points opens that is about the stage and the cues, which stay in sight.
pub(super) fn over_reading(room: Vec2, width: f32) -> Pos2 {
    pos2((room.x - width - 8.0).max(0.0), 40.0)
}

/// Windows that stand over the panels.
#[derive(Default)]
pub struct Windows {
    /// The change of model or mode that is being looked at.
    pub change: Option<ChangeForm>,
    /// The comparison of cue lists.
    pub compare: Option<Box<CompareWindow>>,
    /// The dry run of a cue list.
    pub dry_run: Option<Box<DryRun>>,
    /// The channel chart.
    pub chart: Option<ChartView>,
    /// The table that is being read. What was pasted stays while it is hidden.
    pub table: TableForm,
    /// The conditions that are watched for. They are looked at while the window is hidden too.
    pub watch: Watching,
    /// Slots in which one head of a model is alone.
    pub stray: StrayView,
    /// What differs between two standings of the rig.
    pub diff: DiffView,
    /// What is seen of heads that do not do what their frame says.
    pub misfit: MisfitView,
}

impl Windows {
    /// The action that closes the window which was opened over the others, if one is open: Escape closes it
    /// before it lets go of the selection that it may be about.
    pub(super) fn uppermost(&self) -> Option<Action> {
        let open = [
            (self.misfit.open, Action::Misfit),
            (self.diff.open, Action::Difference),
            (self.stray.open, Action::Stray),
            (self.compare.is_some(), Action::CompareCues),
            (self.watch.open, Action::Watch),
            (self.dry_run.is_some(), Action::DryRun),
            (self.change.is_some(), Action::ChangeModel),
            (self.chart.is_some(), Action::Chart),
        ];
        open.into_iter().find_map(|(open, action)| open.then_some(action))
    }
}

/// A change that is being looked at.
#[derive(Debug)]
pub struct ChangeForm {
    /// The fixtures, as places in the rig.
    pub fixtures: Vec<usize>,
    /// The profile they would change to.
    pub profile: String,
    /// Its mode.
    pub mode: String,
    /// Which frame is told of: a place among those of the fixture told of.
    frame: usize,
    /// The edit up to which what was found holds, and what it is about.
    made_for: Option<(u64, String, String)>,
    /// What would become of the fixtures; those that were too many to look through are left out, and so
    /// are those of which nothing is known.
    pub found: Result<Vec<FixtureChange>, String>,
    /// What is said of those of which nothing is known.
    unknown: Vec<String>,
}

impl State {
    /// Opens the window for a change of the fixtures that the reading is about, or closes it.
    pub(super) fn toggle_change(&mut self) {
        if self.windows.change.take().is_some() {
            return;
        }
        let fixtures = match self.read_fixtures() {
            known if known.is_empty() => self.unknown_fixtures(),
            known => known,
        };
        let Some(first) = fixtures.first().and_then(|i| self.show().rig.get(*i)) else {
            return self.say(Severity::Note, "select a fixture to change its model or mode");
        };
        let (profile, now) = (first.profile.clone(), first.mode.clone());
        let modes = self.show().profiles.get(&profile).map(|profile| profile.modes.as_slice());
        let other = modes.into_iter().flatten().find(|mode| mode.name != now);
        let mode = other.map_or(now, |mode| mode.name.clone());
        self.windows.change = Some(ChangeForm {
            fixtures,
            profile,
            mode,
            frame: 0,
            made_for: None,
            found: Ok(Vec::new()),
            unknown: Vec::new(),
        });
    }

    /// The selected fixtures of the first one's model and mode, where nothing is known of these.
    fn unknown_fixtures(&self) -> Vec<usize> {
        let kind = |i: &usize| self.show().rig.get(*i).map(|of| (&of.profile, &of.mode));
        let first = self.selection.first().and_then(kind);
        self.selection.iter().filter(|i| first.is_some() && kind(i) == first).copied().collect()
    }

    /// Changes fixtures, with their values translated or as they are, as one step of undo.
    pub(super) fn change_model(&mut self, translate: bool) {
        let Some(form) = self.windows.change.take() else { return };
        let made = match choices(self.document.show(), self.document.library()).get(&form.profile) {
            Some(profile) => self.change_edits(&form, profile, translate),
            None => Err(format!("there is no profile `{}`", form.profile)),
        };
        let made = made.and_then(|edits| self.edit_together(edits));
        if let Err(why) = made {
            self.windows.change = Some(form);
            self.say(Severity::Error, why);
        }
    }

    fn change_edits(
        &self,
        form: &ChangeForm,
        profile: &Arc<Profile>,
        translate: bool,
    ) -> Result<Vec<Edit>, String> {
        let mut all = edits(self.show(), &form.fixtures, profile, &form.mode)
            .map_err(|finding| finding.to_string())?;
        if !translate {
            all.retain(|edit| matches!(edit, Edit::SetFixture { .. }));
        }
        Ok(all)
    }

    /// Makes edits that are one step of undo, all of them or none.
    fn edit_together(&mut self, edits: Vec<Edit>) -> Result<(), String> {
        self.end_sweep();
        self.end_gesture();
        let gesture = self.document.new_gesture();
        let mut made = false;
        for edit in edits {
            match self.document.apply(edit, Some(gesture)) {
                Ok(changed) => made |= changed,
                Err(finding) => {
                    if made {
                        self.document.undo();
                    }
                    return Err(finding.to_string());
                }
            }
        }
        self.edits += 1;
        (self.status, self.forecast) = (None, None);
        self.work_out(Exposure::Held);
        Ok(())
    }
}

impl ChangeForm {
    /// Finds out what would become of the fixtures, where that is not known yet.
    fn look(&mut self, state: &State, profiles: &BTreeMap<String, Arc<Profile>>) {
        let of = (state.edits, self.profile.clone(), self.mode.clone());
        if self.made_for.as_ref() == Some(&of) {
            return;
        }
        let show = state.show();
        let mut frames: Vec<(&str, &Frames)> =
            show.looks.iter().map(|look| (look.name.as_str(), &look.frames)).collect();
        if !frames.iter().any(|(_, frames)| **frames == show.levels) {
            frames.push(("As the slots stand", &show.levels));
        }
        let most = (MOST_FRAMES / frames.len().max(1)).max(1);
        let (unknown, known): (Vec<usize>, Vec<usize>) = self
            .fixtures
            .iter()
            .partition(|i| show.rig.get(**i).is_some_and(|fixture| is_unknown(show, fixture)));
        let words = |fixture: &Fixture| {
            format!(
                "nothing is known of `{}` in the mode `{}`, which {} is now: its values and cues stay as \
                 they are",
                fixture.profile,
                fixture.mode,
                fixture.words()
            )
        };
        self.unknown = unknown.iter().filter_map(|i| show.rig.get(*i)).map(words).collect();
        let first = &known[..known.len().min(most)];
        self.found = match profiles.get(&self.profile) {
            Some(profile) => change(show, first, profile, &self.mode, &frames)
                .map_err(|finding| finding.to_string()),
            None => Err(format!("there is no profile `{}`", self.profile)),
        };
        self.made_for = Some(of);
    }

    fn is_change(&self) -> bool {
        let found = self.found.as_deref().unwrap_or_default();
        let known = found.iter().any(|change| change.before != change.after);
        known || self.found.is_ok() && !self.unknown.is_empty()
    }
}

/// Shows the window while it is open.
pub(super) fn change_window(ctx: &egui::Context, state: &mut State, commands: &mut Vec<Command>) {
    let Some(mut form) = state.windows.change.take() else { return };
    let count = state.show().rig.len();
    form.fixtures.retain(|fixture| *fixture < count);
    let profiles = choices(state.show(), state.document.library());
    form.look(state, &profiles);
    let mut open = !form.fixtures.is_empty();
    let room = ctx.content_rect().size();
    let window = egui::Window::new("Change model or mode")
        .open(&mut open)
        .collapsible(false)
        .default_pos(pos2(room.x * 0.18, 40.0))
        .default_size(vec2(700.0, 500.0).min(room - vec2(80.0, 120.0)))
        .resizable(true);
    window.show(ctx, |ui| {
        kinds(ui, &mut form, &profiles);
        buttons(ui, &form, commands);
        ui.separator();
        for words in &form.unknown {
            note(ui, Severity::Warning, words);
        }
        let count = form.fixtures.len() - form.unknown.len();
        match &form.found {
            Ok(found) => told(ui, found, count, &mut form.frame),
            Err(why) => note(ui, Severity::Error, why),
        }
    });
    if open {
        state.windows.change = Some(form);
    }
}

/// What the fixtures become.
fn kinds(ui: &mut Ui, form: &mut ChangeForm, profiles: &BTreeMap<String, Arc<Profile>>) {
    ui.horizontal(|ui| {
        ui.label("To");
        let profile =
            ComboBox::from_id_salt("to profile").selected_text(&form.profile).width(200.0);
        let mut chosen = form.profile.clone();
        let shown = profile.show_ui(ui, |ui| {
            for key in profiles.keys() {
                ui.selectable_value(&mut chosen, key.clone(), key);
            }
        });
        shown.response.accessible_name("Model");
        if chosen != form.profile {
            form.profile = chosen;
            let first = profiles.get(&form.profile).and_then(|profile| profile.modes.first());
            form.mode = first.map_or_else(String::new, |mode| mode.name.clone());
        }
        let modes = profiles.get(&form.profile).map(|profile| profile.modes.as_slice());
        let mode = ComboBox::from_id_salt("to mode").selected_text(&form.mode);
        let shown = mode.show_ui(ui, |ui| {
            for mode in modes.into_iter().flatten() {
                let words = format!("{} ({} slots)", mode.name, mode.slots);
                ui.selectable_value(&mut form.mode, mode.name.clone(), words);
            }
        });
        shown.response.accessible_name("Mode");
    });
}

fn buttons(ui: &mut Ui, form: &ChangeForm, commands: &mut Vec<Command>) {
    ui.horizontal(|ui| {
        let ready = form.is_change();
        let mut act = |ui: &mut Ui, words: &str, tip: &str, translate: bool| {
            let button = ui.add_enabled(ready, egui::Button::new(words));
            if button.on_hover_text(tip).clicked() {
                commands.push(Command::ChangeModel { translate });
            }
        };
        let tip = "Change the fixtures and give the slots, in every look too, the values that keep the \
                   meaning; one step of undo";
        act(ui, "Change and translate", tip, true);
        let tip = "Change the fixtures and leave every slot as it stands; one step of undo";
        act(ui, "Change, slots as they are", tip, false);
        ui.weak(match form.fixtures.len() {
            1 => "1 fixture".to_owned(),
            n => format!("{n} fixtures"),
        });
    });
}

fn told(ui: &mut Ui, found: &[FixtureChange], count: usize, frame: &mut usize) {
    let Some(first) = found.first() else { return };
    if found.len() < count {
        let words = format!("Looked through for the first {} fixtures.", found.len());
        note(ui, Severity::Note, &words);
    }
    for change in found {
        for words in &change.in_the_way {
            note(ui, Severity::Error, &format!("{}: {words}", change.fixture));
        }
    }
    ui.horizontal_wrapped(|ui| {
        for (i, of) in first.frames.iter().enumerate() {
            let count: usize = found
                .iter()
                .filter_map(|change| change.frames.iter().find(|frame| frame.name == of.name))
                .map(|frame| frame.change.dangers.len())
                .sum();
            let words = if count > 0 { format!("{} ({count})", of.name) } else { of.name.clone() };
            let button = ui.selectable_label(*frame == i, words);
            if button.on_hover_text("What becomes of this look; how many dangers").clicked() {
                *frame = i;
            }
        }
    });
    cues_told(ui, found);
    let Some(of) = first.frames.get(*frame).or_else(|| first.frames.first()) else {
        ui.weak("No look holds any of its slots.");
        return;
    };
    ui.separator();
    ScrollArea::both().auto_shrink(false).show(ui, |ui| {
        for change in found {
            if let Some(frame) = change.frames.iter().find(|frame| frame.name == of.name) {
                dangers(ui, change, &frame.change);
            }
        }
        frame_told(ui, first, &of.change);
    });
}

/// What becomes of values of cues whose words cannot stay.
fn cues_told(ui: &mut Ui, found: &[FixtureChange]) {
    let rows = || found.iter().flat_map(|of| of.cues.iter().map(move |row| (of.fixture, row)));
    let count = rows().count();
    if count == 0 {
        return;
    }
    let lost = rows().filter(|(_, row)| row.outcome == Outcome::Lost).count();
    let words = format!("Cues: {count} values in other words, {lost} without a counterpart");
    ui.collapsing(words, |ui| {
        let cells = rows().map(|(fixture, row)| {
            let to = row.to.iter().map(|(channel, value)| format!("{channel}: {value}"));
            let severity =
                if row.outcome == Outcome::Lost { Severity::Warning } else { Severity::Note };
            let cells = [
                format!("{fixture}, {} {}", row.list, row.cue),
                format!("{}: {}", row.channel, row.value),
                row.outcome.word().to_owned(),
                to.collect::<Vec<_>>().join("; "),
            ];
            (cells, severity)
        });
        let room = ui.available_height() * 0.4;
        ScrollArea::both().id_salt("cues changed").max_height(room).show(ui, |ui| {
            table(ui, "cues", &["where", "gives", "", "becomes"], cells);
        });
    });
}

fn dangers(ui: &mut Ui, of: &FixtureChange, change: &FrameChange) {
    let all = [
        (&change.dangers, "if the slots stay as they are"),
        (&change.dangers_by_channel, "if a desk moves the values with their channels"),
        (&change.dangers_kept, "even when translated"),
    ];
    for (dangers, when) in all {
        for danger in dangers {
            let words = format!("{}, {when}: {}. {}", of.fixture, danger.words, danger.evidence);
            note(ui, danger.severity, &words);
        }
    }
}

fn frame_told(ui: &mut Ui, of: &FixtureChange, change: &FrameChange) {
    let (same, all) = change.kept_raw();
    ui.label(format!(
        "Of {}: {same} of {all} channels mean the same if the slots stay as they are.",
        of.fixture
    ));
    ui.add_space(4.0);
    ui.label(RichText::new("Values that keep the meaning").font(strong()));
    table(ui, "kept", &["value", "means", "", "keeps it"], change.kept.iter().map(kept_row));
    ui.add_space(6.0);
    ui.collapsing("What the slots mean if they stay as they are", |ui| {
        let rows = change.raw.iter().filter(|row| !row.same).map(|row| {
            let byte = |value: &Option<u8>| value.map_or("-".to_owned(), |value| value.to_string());
            let meant =
                |meant: &crate::check::change::Meant| format!("{}: {}", meant.channel, meant.words);
            let slots = row.slots.iter().map(u16::to_string).collect::<Vec<_>>().join("/");
            let values = row.values.iter().map(byte).collect::<Vec<_>>().join("/");
            let before = row.before.as_ref().map_or("(no channel)".to_owned(), meant);
            let after = row.after.iter().map(meant).collect::<Vec<_>>().join("; ");
            ([slots, values, before, after], Severity::Note)
        });
        table(ui, "raw", &["slots", "value", "means", "and after"], rows);
    });
    ui.collapsing("Where every channel goes", |ui| {
        let slots = |slots: &[u16]| slots.iter().map(u16::to_string).collect::<Vec<_>>().join("/");
        let rows = of.layout.iter().map(|row| {
            let lost = row.after.is_empty() || row.before.is_empty();
            let severity = if lost { Severity::Warning } else { Severity::Note };
            let cells = [
                row.before.clone(),
                slots(&row.slots_before),
                row.after.clone(),
                slots(&row.slots_after),
            ];
            (cells, severity)
        });
        table(ui, "layout", &["channel", "slots", "becomes", "slots"], rows);
    });
}

fn kept_row(row: &KeptRow) -> ([String; 4], Severity) {
    let to: Vec<String> = row
        .to
        .iter()
        .map(|to| format!("{} {}: {}", to.channel, written(to.value, to.slots.len()), to.means))
        .collect();
    let to = match (to.is_empty(), row.why.is_empty()) {
        (true, _) => row.why.clone(),
        (false, true) => to.join("; "),
        (false, false) => format!("{} ({})", to.join("; "), row.why),
    };
    let severity = match row.outcome {
        Outcome::Lost | Outcome::Near => Severity::Warning,
        Outcome::Exact | Outcome::Rests => Severity::Note,
    };
    let cells = [
        written(row.value, row.slots.len()),
        format!("{}: {}", row.channel, row.means),
        row.outcome.word().to_owned(),
        to,
    ];
    (cells, severity)
}

/// A table whose rows that matter stand out by their last words.
fn table(
    ui: &mut Ui,
    name: &str,
    heads: &[&str; 4],
    rows: impl Iterator<Item = ([String; 4], Severity)>,
) {
    let palette = Palette::of(ui.visuals());
    Grid::new(name).num_columns(4).spacing([14.0, 2.0]).show(ui, |ui| {
        for head in heads {
            ui.label(RichText::new(*head).font(small_strong()).color(palette.weak_text));
        }
        ui.end_row();
        for (cells, severity) in rows {
            let ink = match severity {
                Severity::Note => palette.text,
                _ => palette.severity(severity),
            };
            for (i, cell) in cells.into_iter().enumerate() {
                let text = RichText::new(cell);
                let text = if i == 0 { text.font(number()) } else { text.color(ink) };
                ui.label(text);
            }
            ui.end_row();
        }
    });
}

/// The button in the setup that opens the window.
pub(super) fn change_button(ui: &mut Ui, commands: &mut Vec<Command>) {
    let button = ui.button("Change model\u{2026}").on_hover_text(Action::ChangeModel.tip(ui.ctx()));
    if button.clicked() {
        commands.push(Command::Do(Action::ChangeModel));
    }
}
