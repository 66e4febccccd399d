//! What the last dry run found, marked where it is: on rows of cues, in the timeline and in the grid. A click on
//! a mark goes to the instant that it is about.

use std::collections::HashMap;
use std::sync::Arc;

use egui::{Pos2, Rect, Role, Sense, Ui, WidgetInfo, vec2};

use super::act::CueAsk;
use super::lead::Key;
use crate::app::command::{Command, How};
use crate::app::state::State;
use crate::app::theme::{self, Palette};
use crate::check::rehearse::{Report, Told};
use crate::finding::Severity;
use crate::profile::Accepted;
use crate::rig::FixtureId;

/// Size of a mark and of the place where it takes a click, in points.
const MARK: f32 = 9.0;
const REACH: f32 = 14.0;

/// How many findings a tip says in full.
const TOLD: usize = 4;

/// What the last dry run of a list found.
#[derive(Debug)]
pub struct Found {
    /// The list, by its name.
    list: String,
    /// What it was made of, but for what is accepted.
    key: Key,
    /// All that was found.
    pub report: Arc<Report>,
    /// What the show accepts, as far as it is taken in.
    accepted: Vec<Accepted>,
    /// The findings that stand of each cue, by its words: places in the report, the gravest first.
    cues: HashMap<String, Vec<usize>>,
    /// The gravest finding of a fixture in a cue.
    cells: HashMap<(String, FixtureId), Severity>,
}

impl Found {
    pub(super) fn new(list: String, key: Key, report: Arc<Report>) -> Self {
        let (cues, cells) = Default::default();
        let mut found = Self { list, key, report, accepted: Vec::new(), cues, cells };
        found.sort();
        found
    }

    /// Sorts by cue whatever stands.
    fn sort(&mut self) {
        self.cues.clear();
        self.cells.clear();
        for (nth, told) in self.report.told.iter().enumerate() {
            let Some(words) = self.report.cues.get(told.list).and_then(|of| of.get(told.cue))
            else {
                continue;
            };
            if !self.stands(told) {
                continue;
            }
            self.cues.entry(words.clone()).or_default().push(nth);
            for id in &told.fixtures {
                let grave = self.cells.entry((words.clone(), *id)).or_insert(Severity::Note);
                *grave = told.finding.severity.max(*grave);
            }
        }
        let told = &self.report.told;
        for of in self.cues.values_mut() {
            of.sort_by_key(|nth| std::cmp::Reverse(told[*nth].finding.severity));
        }
    }

    /// Whether a finding was accepted neither then nor since.
    fn stands(&self, told: &Told) -> bool {
        let item = told.finding.place.item.as_deref().unwrap_or_default();
        let covers = |accepted: &Accepted| accepted.covers(told.finding.code, item);
        told.finding.accepted.is_none() && !self.accepted.iter().any(covers)
    }

    /// What stands of a cue, the gravest first.
    fn of_cue(&self, words: &str) -> Option<Vec<&Told>> {
        let of = self.cues.get(words)?;
        Some(of.iter().filter_map(|nth| self.report.told.get(*nth)).collect())
    }
}

impl State {
    /// What lists and rig a dry run is made of; what is accepted is left out.
    pub(super) fn found_key(&self) -> Key {
        (self.cues.edits - self.cues.accepts, self.document.rig_revision())
    }

    /// Takes in what was accepted since the dry run.
    pub(super) fn renew_marks(&mut self) {
        let accepted = &self.document.show().cues.accepted;
        if let Some(found) = self.cues.found.as_mut().filter(|found| found.accepted != *accepted) {
            found.accepted.clone_from(accepted);
            found.sort();
        }
    }

    /// What the last dry run found of the list on show, and whether nothing was changed since.
    fn found(&self) -> Option<(&Found, bool)> {
        let found = self.cues.found.as_ref()?;
        let list = self.show().cues.lists.get(self.cues.list)?;
        (found.list == list.name).then(|| (found, found.key == self.found_key()))
    }
}

/// Draws the mark of a cue, centred on a place, if anything was found of it. Says whether it did.
pub(super) fn cue_mark(
    ui: &mut Ui,
    state: &State,
    words: &str,
    at: Pos2,
    commands: &mut Vec<Command>,
) -> bool {
    let Some((found, fresh)) = state.found() else { return false };
    let Some(told) = found.of_cue(words) else { return false };
    let Some(first) = told.first() else { return false };
    let count = match told.len() {
        1 => "1 finding".to_owned(),
        count => format!("{count} findings"),
    };
    let said: Vec<&str> = told.iter().take(TOLD).map(|told| told.finding.what.as_str()).collect();
    let mut tip = said.join("\n");
    if told.len() > TOLD {
        tip.push_str(&format!("\nand {} more", told.len() - TOLD));
    }
    if !fresh {
        tip.push_str("\nFound before the last change: run the dry run again");
    }
    let name = format!("{count} of {words}");
    if mark(ui, first.finding.severity, fresh, at, &name, &tip) {
        go_to(state, first, commands);
        commands.push(Command::Message(first.finding.what.clone()));
    }
    true
}

/// The gravest finding of a fixture in a cue, if the marks are those of the list as it stands.
pub(super) fn cell_mark(state: &State, words: &str, fixture: FixtureId) -> Option<Severity> {
    let (found, fresh) = state.found()?;
    found.cells.get(&(words.to_owned(), fixture)).copied().filter(|_| fresh)
}

/// Draws the marks of the timeline: `x` says where an instant is, `y` how high the marks stand. Of findings
/// that would lie upon each other the gravest is drawn.
pub(super) fn timeline_marks(
    ui: &mut Ui,
    state: &State,
    x: impl Fn(f64) -> f32,
    y: f32,
    commands: &mut Vec<Command>,
) {
    let Some((found, true)) = state.found() else { return };
    let mut drawn: Vec<(f32, &Told)> = Vec::new();
    for told in found.report.told.iter().filter(|told| found.stands(told)) {
        let at = x(told.at_s);
        match drawn.last_mut().filter(|(last, _)| at - *last < REACH) {
            Some((_, last)) if last.finding.severity >= told.finding.severity => {}
            Some(last) => last.1 = told,
            None => drawn.push((at, told)),
        }
    }
    for (at, told) in drawn {
        let name = format!("{} at {:.2} s in the timeline", told.finding.code, told.at_s);
        let at = Pos2::new(at, y);
        if mark(ui, told.finding.severity, true, at, &name, &told.finding.what) {
            go_to(state, told, commands);
            commands.push(Command::Message(told.finding.what.clone()));
        }
    }
}

/// Draws a mark and says whether it was clicked. One that is out of date is drawn in grey.
fn mark(ui: &mut Ui, severity: Severity, fresh: bool, at: Pos2, name: &str, tip: &str) -> bool {
    let rect = Rect::from_center_size(at, vec2(REACH, REACH));
    let response = ui.interact(rect, ui.scope_id().with(("mark", name)), Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, name));
    let mut palette = Palette::of(ui.visuals());
    if !fresh {
        let grey = palette.weak_text;
        (palette.note, palette.warning, palette.error) = (grey, grey, grey);
    }
    let size = if response.hovered() { MARK + 2.0 } else { MARK };
    theme::severity_mark(ui.painter(), severity, at, size, &palette);
    if response.has_focus() {
        let ring = egui::Stroke::new(1.0, palette.accent);
        ui.painter().rect_stroke(rect, 3.0, ring, egui::StrokeKind::Inside);
    }
    response.on_hover_text(tip).clicked()
}

/// Goes to the instant that a finding is about, and selects whom it concerns.
pub(super) fn go_to(state: &State, told: &Told, commands: &mut Vec<Command>) {
    let rig = &state.show().rig;
    let places =
        told.fixtures.iter().filter_map(|id| rig.iter().position(|fixture| fixture.id == *id));
    let fixtures: Vec<usize> = places.collect();
    if !fixtures.is_empty() {
        commands.push(Command::Select { fixtures, how: How::Replace });
    }
    commands.push(Command::Cues(CueAsk::Pick(told.cue)));
    commands.push(Command::Cues(CueAsk::Seek(told.at_s)));
}
