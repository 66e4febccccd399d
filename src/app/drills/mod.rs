//! Drills in the window: an exercise beside the stage, on a practice head of its own.
//!
//! The person's own show waits meanwhile, as it does for the examples of the guide, and loses nothing.

mod panel;

use std::path::PathBuf;
use std::sync::Arc;

use super::canvas::Canvas;
use super::command::How;
use super::show_files::empty_show;
use super::state::{Exposure, State};
use crate::app::profiles::choices;
use crate::check::drill::{
    Answer, Exercise, Grade, KeyRange, Level, Task, TestHead, key_ranges, points, sheet,
};
use crate::decode::{Asked, CompiledMode, Plan};
use crate::finding::Severity;
use crate::motion::{Pose, settle};
use crate::show::drill_progress::{Done, ProgressFile, progress_folder};
use crate::show::{Edit, Show};
use crate::stage::Scene;
use crate::wire::{Frames, Slot, Universe};

pub(super) use panel::drills_panel;

/// How many exercises a sheet has, as a printed one has.
const SHEET: usize = 10;

/// What is asked of the drills.
#[derive(Clone, Debug, PartialEq)]
pub enum DrillAsk {
    /// Begin a sheet as it is chosen.
    Begin,
    /// Grade the answer.
    Check,
    /// One more hint.
    Hint,
    /// Put the head back to where the exercise begins.
    Again,
    /// Go on to the next exercise.
    Next,
    /// End the drill and put the person's own show back.
    End,
}

/// The drills as the window has them.
pub struct DrillState {
    /// They are shown.
    pub open: bool,
    /// Who practises.
    pub person: String,
    /// Maker and model of the head.
    pub profile: String,
    /// Its mode.
    pub mode: String,
    /// The level.
    pub level: Level,
    /// The seed of the sheet.
    pub seed: u64,
    /// Where progress is kept; `None` keeps none.
    pub folder: Option<PathBuf>,
    /// The exercise that is on.
    pub on: Option<Box<Current>>,
    /// What the person has done.
    pub progress: Option<ProgressFile>,
    /// Paints the small picture.
    canvas: Canvas,
}

impl Default for DrillState {
    fn default() -> Self {
        Self {
            open: false,
            person: String::new(),
            profile: "Tarnfell S1 Spot".to_owned(),
            mode: "full".to_owned(),
            level: Level::FirstLight,
            seed: 1,
            folder: progress_folder(),
            on: None,
            progress: None,
            canvas: Canvas::default(),
        }
    }
}

/// The exercise that is on.
pub struct Current {
    head: TestHead,
    sheet: Vec<Exercise>,
    /// Which of the sheet, from 0.
    pub nth: usize,
    /// The question in words.
    pub question: Vec<String>,
    hints: Vec<String>,
    /// How many hints were taken.
    pub hinted: usize,
    /// How many answers were wrong.
    pub wrong: usize,
    /// The choice that is ticked.
    pub picked: Option<usize>,
    /// What is written.
    pub written: String,
    /// What was said of the last answer.
    pub grade: Option<Grade>,
    /// The right ranges, once they are told.
    pub keys: Vec<KeyRange>,
    /// The state that is asked for.
    target: Option<Scene>,
    ghost: Option<Pose>,
}

impl Current {
    /// The exercise.
    pub fn exercise(&self) -> Option<&Exercise> {
        self.sheet.get(self.nth)
    }

    /// It was answered right.
    pub fn is_done(&self) -> bool {
        self.grade.as_ref().is_some_and(|grade| grade.right)
    }

    fn turn_to(&mut self, nth: usize) {
        self.nth = nth;
        (self.hinted, self.wrong, self.picked, self.grade) = (0, 0, None, None);
        self.written.clear();
        self.keys.clear();
        (self.target, self.ghost) = (None, None);
        let Some(exercise) = self.sheet.get(nth) else { return };
        self.question = exercise.question(&self.head.mode);
        self.hints = exercise.hints(&mut self.head);
        if let Task::Set { target, .. } = &exercise.task {
            self.target = Some(self.head.scene(target));
            self.ghost = pose(&self.head, target);
        }
    }
}

/// What the head does with these slots once everything has arrived.
fn pose(head: &TestHead, slots: &[u8]) -> Option<Pose> {
    let plan = Plan::from_modes([(Some(head.mode.clone()), head.fixture.address)]);
    let frames = frames_of(slots);
    let mut decoded = plan.start();
    plan.decode(&frames, &mut decoded);
    let reading = plan.reading(0, &frames, &decoded)?;
    let mut asked = Asked::for_mode(reading.mode);
    reading.ask(&mut asked);
    Some(settle(&head.mode.profile, &head.fixture.aim, &head.fixture.in_head, &asked))
}

fn slots_of(slots: &[u8]) -> Vec<(Slot, u8)> {
    let slots = slots.iter().enumerate();
    slots.filter_map(|(i, value)| Some((Slot::from_index(i)?, *value))).collect()
}

fn frames_of(slots: &[u8]) -> Frames {
    let mut frames = Frames::default();
    for (slot, value) in slots_of(slots) {
        frames.set(Universe::ONE, slot, value);
    }
    frames
}

/// The slots that an exercise begins with.
fn first_slots(exercise: &Exercise, head: &TestHead) -> Vec<u8> {
    match &exercise.task {
        Task::Set { start, .. } => start.clone(),
        Task::Which { after, .. } => after.clone(),
        _ => head.lit().to_vec(),
    }
}

impl State {
    /// Shows the drills, in place of the guide, or hides them. An exercise that is on stays.
    pub(super) fn toggle_drills(&mut self) {
        self.drills.open = !self.drills.open;
        self.guide.open &= !self.drills.open;
    }

    /// The exercise's own head is on the stage.
    pub(super) fn practises(&self) -> bool {
        let name = self.drills.on.as_ref().map(|on| practice_name(&on.head));
        self.guide.own().is_some() && name.is_some_and(|name| name == self.show().name)
    }

    /// Gives the head on the stage the ghost of where it is to point.
    pub(super) fn add_drill_ghost(&self, scene: &mut Scene) {
        let Some(on) = self.drills.on.as_ref().filter(|on| !on.is_done()) else { return };
        if let (Some(ghost), true) = (&on.ghost, self.practises()) {
            scene.add_ghosts(&self.show().rig, &self.plan, &[Some(ghost.clone())]);
        }
    }

    /// Does what is asked of the drills.
    pub(super) fn act_on_drills(&mut self, ask: DrillAsk) {
        match ask {
            DrillAsk::Begin => self.begin_drill(),
            DrillAsk::Check => self.check_drill(),
            DrillAsk::Hint => {
                if let Some(on) = &mut self.drills.on {
                    on.hinted = (on.hinted + 1).min(on.hints.len());
                }
            }
            DrillAsk::Again => self.put_exercise(),
            DrillAsk::Next => self.next_drill(),
            DrillAsk::End => {
                let practised = self.practises();
                self.drills.on = None;
                if practised {
                    self.leave_example();
                }
            }
        }
    }

    fn begin_drill(&mut self) {
        let heads = choices(self.document.show(), self.document.library());
        let drills = &mut self.drills;
        let Some(profile) = heads.get(&drills.profile) else { return };
        let Some(mode) = profile.mode(&drills.mode).or_else(|| profile.modes.first()) else {
            return;
        };
        drills.mode = mode.name.clone();
        let mut head = TestHead::new(&Arc::new(CompiledMode::new(profile, mode)));
        let sheet = sheet(&mut head, drills.level, drills.seed, SHEET);
        let mut on = Current {
            head,
            sheet,
            nth: 0,
            question: Vec::new(),
            hints: Vec::new(),
            hinted: 0,
            wrong: 0,
            picked: None,
            written: String::new(),
            grade: None,
            keys: Vec::new(),
            target: None,
            ghost: None,
        };
        on.turn_to(0);
        drills.on = Some(Box::new(on));
        drills.progress = None;
        let mut said = Vec::new();
        if let (Some(folder), false) = (&drills.folder, drills.person.trim().is_empty()) {
            match ProgressFile::open(folder, &drills.person) {
                Ok((file, findings)) => {
                    drills.progress = Some(file);
                    said = findings;
                }
                Err(finding) => said.push(finding),
            }
        }
        self.put_exercise();
        if let Some(finding) = said.first() {
            self.say(finding.severity, finding.to_string());
        }
    }

    /// Puts the head on the stage as the exercise begins.
    fn put_exercise(&mut self) {
        let Some(on) = &self.drills.on else { return };
        let Some(exercise) = on.exercise() else { return };
        let slots = first_slots(exercise, &on.head);
        if self.practises() {
            let values = slots_of(&slots);
            self.edit_in(Edit::SetSlots { universe: Universe::ONE, values }, false);
            self.show_light(Exposure::Anew);
            return;
        }
        let profile = on.head.mode.profile.clone();
        let show = Show {
            name: practice_name(&on.head),
            room: on.head.room.clone(),
            profiles: [(profile.key().0, profile)].into(),
            rig: vec![on.head.fixture.clone()],
            levels: frames_of(&slots),
            ..empty_show()
        };
        self.put_practice(show);
        self.select(vec![0], How::Replace);
        self.preferences.reading = true;
    }

    fn check_drill(&mut self) {
        let (levels, practises) = (self.show().levels.clone(), self.practises());
        let drills = &mut self.drills;
        let Some(on) = drills.on.as_mut().filter(|on| !on.is_done()) else { return };
        let Some(exercise) = on.sheet.get(on.nth) else { return };
        let answer = match &exercise.task {
            Task::Set { .. } if !practises => {
                Err("the practice head is not on the stage".to_owned())
            }
            Task::Set { start, .. } => {
                let held = slots_of(start).into_iter();
                let set = held.filter_map(|(slot, _)| {
                    Some((slot.number(), levels.state(Universe::ONE, slot).value()?))
                });
                Ok(Answer::Slots(set.collect()))
            }
            _ if !exercise.choices().is_empty() => {
                on.picked.map(Answer::Pick).ok_or_else(|| "choose an answer first".to_owned())
            }
            _ => exercise.read_answer(&on.written),
        };
        let answer = match answer {
            Ok(answer) => answer,
            Err(words) => {
                self.say(Severity::Warning, words);
                return;
            }
        };
        let grade = exercise.grade(&mut on.head, &answer);
        on.keys = key_ranges(exercise, &mut on.head);
        let right = grade.right;
        on.grade = Some(grade);
        if !right {
            on.wrong += 1;
            return;
        }
        let done = Done {
            profile: on.head.mode.profile.key().0,
            mode: on.head.mode.name.clone(),
            level: exercise.level.number(),
            kind: exercise.kind().to_owned(),
            seed: exercise.seed,
            points: points(on.hinted, on.wrong),
        };
        let failed = drills.progress.as_mut().and_then(|file| file.record(done).err());
        if let Some(finding) = failed {
            self.say(Severity::Error, finding.to_string());
        }
        self.show_light(Exposure::Held);
    }

    fn next_drill(&mut self) {
        let Some(on) = &mut self.drills.on else { return };
        let next = on.nth + 1;
        if next < on.sheet.len() {
            on.turn_to(next);
            self.put_exercise();
        } else {
            // The next sheet is that of the next seed.
            self.drills.seed = self.drills.seed.wrapping_add(1);
            self.begin_drill();
        }
    }
}

/// The name of the show that a practice head stands in.
fn practice_name(head: &TestHead) -> String {
    format!("Practice: {}, {}", head.mode.profile.key(), head.mode.name)
}
