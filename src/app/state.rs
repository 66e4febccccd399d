//! What the window holds: the document, what was worked out from it, and what is selected and shown.
//!
//! Panels read it and return commands; [`State::apply`] is the one place where anything changes.

use std::collections::BTreeSet;
use std::path::PathBuf;
use std::sync::Arc;

use egui::Context;

use super::bench::{Bench, Page};
use super::change_window::Windows;
use super::clock::Clock;
use super::command::{Command, How};
use super::cues::CueState;
use super::dialogs::{Dialog, Then};
use super::drills::DrillState;
use super::files::{Jobs, is_description, is_timed};
use super::forecast::Forecast;
use super::guide::GuideState;
use super::keys::Holder;
use super::lists::Renaming;
pub use super::preferences::Preferences;
use super::probe::ProbeForm;
use super::profiles::Profiles;
use super::reading::ReadingState;
use super::recovery::Recovery;
use super::setup::SetupState;
use super::slots::SlotsState;
use super::stage_panel::StageView;
use super::sweeping::Swept;
use super::timed::Timed;
use super::trace::Trace;
use crate::decode::{Decoded, Plan};
use crate::finding::Severity;
use crate::profile::Profile;
use crate::profile::gdtf::Imported;
use crate::show::{Document, Edit, Show};
use crate::stage::{Mark, MarkKind, MarkState, Scene};
use crate::wire::{Frames, Universe};

/// What becomes of the automatic exposure when the scene changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Exposure {
    /// It follows brighter light but no dimmer one, so that a dimmer pulled down is seen to dim.
    Held,
    /// It is found anew.
    Anew,
}

/// Something said in the status line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Status {
    /// How much it matters.
    pub severity: Severity,
    /// What is said.
    pub words: String,
}

/// Everything the window holds.
pub struct State {
    /// The show with its undo steps.
    pub document: Document,
    /// The rig, compiled.
    pub plan: Plan,
    /// What the slots come to.
    pub decoded: Decoded,
    /// The light that comes of it.
    pub scene: Scene,
    /// Counts the scenes, so that whoever draws one knows a new one.
    pub scene_number: u64,
    /// Simulated time.
    pub clock: Clock,
    /// The timed frames that are open.
    pub timed: Option<Timed>,
    /// The sweep that is on.
    pub sweep: Option<Swept>,
    /// The cue lists that play, and what is shown of them.
    pub cues: CueState,
    /// Windows that stand over the panels.
    pub windows: Windows,
    /// What the last change of the slots would take.
    pub(super) forecast: Option<Forecast>,
    /// The course of the selected heads.
    pub trace: Trace,
    /// The selected fixtures, as places in the rig, in rising order.
    pub selection: Vec<usize>,
    /// The universes there are to show.
    pub universes: Vec<Universe>,
    /// The universe whose slots are shown.
    pub universe: Universe,
    /// The look that was recalled, kept or updated last.
    pub look: Option<usize>,
    /// The look and the selection that the lists were last scrolled to.
    pub(super) listed: (Option<usize>, Vec<usize>),
    /// The look whose name is being typed.
    pub renaming: Option<Renaming>,
    /// The reading panel's own state.
    pub reading: ReadingState,
    /// The slots panel's own state.
    pub slots: SlotsState,
    /// The stage's own state.
    pub stage: StageView,
    /// What is typed into the fixture's setup.
    pub setup: SetupState,
    /// What is kept from run to run.
    pub preferences: Preferences,
    /// The dialog that is open.
    pub dialog: Option<Dialog>,
    /// The head that is probed.
    pub probe: ProbeForm,
    /// Where profiles are found.
    pub profiles: Profiles,
    /// Copies of what is not saved.
    pub recovery: Recovery,
    /// What the window shows.
    pub page: Page,
    /// The profile that is being built, once the bench was opened.
    pub bench: Option<Box<Bench>>,
    /// The guide, and the person's own show while one of its examples is on the stage.
    pub guide: GuideState,
    /// The drills.
    pub drills: DrillState,
    /// Work that goes on beside the window.
    pub jobs: Jobs,
    /// What was said last.
    pub status: Option<Status>,
    /// Who had the keyboard when the last pass ended, and so whom a key now is for.
    pub holder: Holder,
    /// The window may close without asking.
    pub leaving: bool,
    /// Which state of the rig the plan was made from.
    pub(super) planned: u64,
    gesture: Option<u64>,
    /// How many edits were made since the window opened, in whatever show.
    pub(super) edits: u64,
    /// What was asked for before the show had to be saved.
    pub(super) after_save: Option<Then>,
    /// The profile that was made of a fixture description, until it is written to a file.
    pub(super) imported: Option<Box<Imported>>,
    /// The profile that is exported, until its file was chosen.
    pub(super) exporting: Option<Arc<Profile>>,
}

impl State {
    /// A window on a show, read from `path` if it has a file.
    pub fn new(show: Show, path: Option<PathBuf>, preferences: Preferences) -> Self {
        let plan = Plan::new(&show.rig, &show.profiles);
        let mut decoded = plan.start();
        plan.decode(&show.levels, &mut decoded);
        let scene = Scene::new(&show.room, &show.rig, &plan, &show.levels, &decoded);
        let mut state = Self {
            planned: 0,
            document: Document::new(show, path),
            plan,
            decoded,
            scene,
            scene_number: 0,
            clock: Clock::default(),
            timed: None,
            sweep: None,
            cues: CueState::default(),
            windows: Windows::default(),
            forecast: None,
            trace: Trace::default(),
            selection: Vec::new(),
            universes: Vec::new(),
            universe: Universe::ONE,
            look: None,
            listed: (None, Vec::new()),
            renaming: None,
            reading: ReadingState::default(),
            slots: SlotsState::default(),
            stage: StageView::default(),
            setup: SetupState::default(),
            preferences,
            dialog: None,
            probe: ProbeForm::default(),
            profiles: Profiles::default(),
            recovery: Recovery::default(),
            page: Page::default(),
            bench: None,
            guide: GuideState::default(),
            drills: DrillState::default(),
            jobs: Jobs::default(),
            status: None,
            holder: Holder::Nobody,
            leaving: false,
            gesture: None,
            edits: 0,
            after_save: None,
            imported: None,
            exporting: None,
        };
        state.begin();
        state
    }

    /// The open show.
    pub fn show(&self) -> &Show {
        self.document.show()
    }

    /// Puts another show in the place of the open one.
    pub fn replace(&mut self, show: Show, path: Option<PathBuf>) {
        self.put(Document::new(show, path));
    }

    /// Puts another document in the place of the open one, with its steps of undo.
    pub(super) fn put(&mut self, document: Document) {
        self.document = document;
        self.use_profiles();
        self.plan_anew();
        (self.clock, self.timed, self.trace, self.sweep, self.forecast) = Default::default();
        self.cues = CueState::default();
        // Another show, another room: the views start over.
        (self.windows.change, self.windows.chart) = (None, None);
        self.stage = StageView::default();
        (self.reading, self.slots) = Default::default();
        self.setup.forget();
        (self.renaming, self.status, self.gesture) = (None, None, None);
        self.edits += 1;
        self.work_out(Exposure::Anew);
        self.begin();
    }

    /// The first sight of a show: the look that it stands at, and one fixture to read, so that
    /// whoever sees this window for the first time sees what it is for.
    fn begin(&mut self) {
        let show = self.document.show();
        self.universes = universes(show);
        self.universe = self.universes.first().copied().unwrap_or(Universe::ONE);
        self.look = None;
        self.find_look();
        self.select(self.telling_fixture().into_iter().collect(), How::Replace);
    }

    /// The fixture that says most at first sight: a moving head that gives light, or else anything
    /// that does, or else whatever comes first.
    fn telling_fixture(&self) -> Option<usize> {
        let marks = &self.scene.marks;
        let lit = |mark: &Mark| mark.state == MarkState::Lit;
        marks
            .iter()
            .position(|mark| lit(mark) && mark.kind == MarkKind::Moving)
            .or_else(|| marks.iter().position(lit))
            .or_else(|| (!marks.is_empty()).then_some(0))
    }

    /// Makes the look that the slots stand at the current one, if they do not stand at the current
    /// one already.
    fn find_look(&mut self) {
        if self.look.is_none_or(|look| self.differs_from(look)) {
            let mut looks = self.show().looks.iter();
            let levels = &self.show().levels;
            self.look = looks.position(|look| stands_at(levels, &look.frames)).or(self.look);
        }
    }

    /// Whether the slots stand at anything else than the look does.
    pub fn differs_from(&self, look: usize) -> bool {
        let show = self.show();
        show.looks.get(look).is_some_and(|look| !stands_at(&show.levels, &look.frames))
    }

    /// Applies what a panel or a key asked for.
    pub fn apply(&mut self, ctx: &Context, command: Command) {
        match command {
            Command::SetSlots { universe, values, gesture } => {
                self.edit_in(Edit::SetSlots { universe, values }, gesture);
            }
            Command::EndGesture => self.end_gesture(),
            Command::Select { fixtures, how } => self.select(fixtures, how),
            Command::ShowUniverse(universe) => self.universe = universe,
            Command::Message(words) => self.say(Severity::Note, words),
            Command::Edit { edit, gesture } => {
                self.edit_in(edit, gesture);
            }
            Command::Recall(look) => self.recall(look),
            Command::Rename(look) => self.start_renaming(look),
            Command::Scrub(t_s) => self.scrub(t_s),
            Command::Sweep { fixtures, channel } => self.begin_sweep(fixtures, channel),
            Command::ChangeModel { translate } => self.change_model(translate),
            Command::LookBack(t_s) => self.look_back(t_s),
            Command::SetRate(rate) => self.clock.rate = rate,
            Command::OpenFile(path) if self.page == Page::Bench => {
                self.jobs.read_profile(ctx, path);
            }
            Command::OpenFile(path) if is_timed(&path) => self.jobs.read_timed(ctx, path),
            Command::OpenFile(path) if is_description(&path) => self.jobs.import(ctx, path),
            Command::OpenFile(path) => self.jobs.read(ctx, path, self.profiles.sources.clone()),
            Command::Refuse(finding) => {
                self.dialog = Some(Dialog::findings("This cannot be opened", vec![finding]));
            }
            Command::Cues(ask) => self.act_on_cues(ask),
            Command::Guide(ask) => self.act_on_guide(ask),
            Command::Drills(ask) => self.act_on_drills(ask),
            Command::Probe(ask) => self.act_on_probe(ctx, ask),
            Command::Bench(command) => self.apply_bench(ctx, command),
            Command::Do(action) if self.page == Page::Bench => self.act_on_bench(ctx, action),
            Command::Do(action) => self.act(ctx, action),
        }
    }

    /// Makes an edit. Says why where that cannot be done, and returns whether it could.
    pub(super) fn edit_in(&mut self, edit: Edit, gesture: bool) -> bool {
        let exposure =
            if matches!(edit, Edit::RecallLook(_)) { Exposure::Anew } else { Exposure::Held };
        if !gesture {
            self.gesture = None;
        } else if self.gesture.is_none() {
            self.gesture = Some(self.document.new_gesture());
        }
        self.cues.count(&edit);
        let before = self.before_change(self.gesture);
        let gesture = self.take_the_lead(&edit, self.gesture);
        match self.document.apply(edit, gesture) {
            Ok(true) => {
                self.edits += 1;
                // What was said before was said about how things stood before.
                self.status = None;
                self.work_out(exposure);
                self.foresee(before, self.gesture);
                true
            }
            Ok(false) if gesture == self.gesture => true,
            Ok(false) => {
                // The slots of the timed frames came into the show.
                self.edits += 1;
                self.work_out(exposure);
                true
            }
            Err(finding) => {
                self.say(Severity::Error, finding.to_string());
                false
            }
        }
    }

    /// The next edit is a step of undo of its own.
    pub(super) fn end_gesture(&mut self) {
        self.gesture = None;
    }

    pub(super) fn plan_anew(&mut self) {
        let show = self.document.show();
        self.plan = Plan::new(&show.rig, &show.profiles);
        self.decoded = self.plan.start();
        self.planned = self.document.rig_revision();
    }

    /// Brings everything that follows from the show up to date.
    pub(super) fn work_out(&mut self, exposure: Exposure) {
        let rig_changed = self.planned != self.document.rig_revision();
        if rig_changed {
            self.plan_anew();
        }
        self.renew_cues();
        self.follow(rig_changed, exposure);
    }

    /// Brings everything that follows from the slots and the plan up to date.
    pub(super) fn follow(&mut self, rig_changed: bool, exposure: Exposure) {
        self.plan.decode(&self.document.show().levels, &mut self.decoded);
        self.take_frame(rig_changed);
        self.show_light(exposure);
        let show = self.document.show();
        self.universes = universes(show);
        self.selection.retain(|fixture| *fixture < show.rig.len());
        self.look = self.look.filter(|look| *look < show.looks.len());
    }

    /// Says something in the status line.
    pub fn say(&mut self, severity: Severity, words: impl Into<String>) {
        self.status = Some(Status { severity, words: words.into() });
    }

    pub(super) fn step(&mut self, how: &str, take: fn(&mut Document) -> Option<String>) {
        self.gesture = None;
        self.end_sweep();
        let before = self.before_change(None);
        match take(&mut self.document) {
            Some(what) => {
                (self.edits, self.cues.edits) = (self.edits + 1, self.cues.edits + 1);
                self.show_own_slots();
                self.work_out(Exposure::Held);
                self.foresee(before, None);
                self.find_look();
                self.setup.forget();
                self.say(Severity::Note, format!("{how}: {what}"));
            }
            None => self.say(Severity::Note, format!("nothing to be {how}")),
        }
    }

    /// The name of the show as the title has it.
    pub fn title(&self) -> String {
        let mark = if self.document.is_dirty() { " \u{2022} not saved" } else { "" };
        format!("{}{mark}", self.show().name)
    }
}

/// The universes that fixtures listen to or that slots are held of, in order; the first one where
/// there are none.
fn universes(show: &Show) -> Vec<Universe> {
    let patched = show.rig.iter().filter_map(|fixture| Some(fixture.address?.universe));
    let held = show.levels.iter().map(|(universe, _)| universe);
    let all: BTreeSet<Universe> = patched.chain(held).collect();
    if all.is_empty() { vec![Universe::ONE] } else { all.into_iter().collect() }
}

/// Whether the slots stand at everything that `look` sets.
fn stands_at(levels: &Frames, look: &Frames) -> bool {
    let mut set = look
        .iter()
        .flat_map(|(universe, set)| set.known().map(move |(slot, value)| (universe, slot, value)));
    set.all(|(universe, slot, value)| levels.state(universe, slot).value() == Some(value))
}
