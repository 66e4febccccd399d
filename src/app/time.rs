//! What the window does with time: running, pausing, stepping, jumping to the end, and playing timed
//! frames.

use std::time::Duration;

use egui::Context;

use super::clock::{FRAME_S, Mode};
use super::cues::Leading;
use super::files::{Done, Purpose};
use super::keys::Action;
use super::past::Past;
use super::state::{Exposure, State};
use super::sweeping::Swept;
use super::timed::{Timed, TraceOf};
use super::trace::Trace;
use crate::decode::{Decoded, Reading};
use crate::finding::Severity;
use crate::motion::RigMotion;
use crate::show::{Document, Edit};
use crate::stage::Scene;
use crate::wire::Frames;

/// How often the window is drawn while something moves.
const TICK: Duration = Duration::from_nanos(1_000_000_000 / 60);

/// The slots that are in force, and what they come to: those of the instant looked back at, of a sweep,
/// of the cue lists while these lead, of the timed frames while these lead, or the show's own.
pub(super) fn in_force<'a>(
    sweep: Option<&'a Swept>,
    cues: Option<&'a Leading>,
    timed: Option<&'a Timed>,
    past: Option<&'a Past>,
    document: &'a Document,
    decoded: &'a Decoded,
) -> (&'a Frames, &'a Decoded) {
    match (past, sweep, cues, timed.filter(|timed| timed.leads)) {
        (Some(past), ..) => (&past.frames, &past.decoded),
        (None, Some(sweep), ..) => (&sweep.frames, &sweep.decoded),
        (None, None, Some(cues), _) => (&cues.frames, &cues.decoded),
        (None, None, None, Some(timed)) => (timed.playback.frames(), timed.playback.decoded()),
        (None, None, None, None) => (&document.show().levels, decoded),
    }
}

impl State {
    /// The slots that are in force: see `in_force`.
    pub fn frames(&self) -> &Frames {
        self.in_force().0
    }

    /// The slots that are in force, and what they come to.
    pub(super) fn in_force(&self) -> (&Frames, &Decoded) {
        let (sweep, past) = (self.sweep.as_ref(), self.clock.past.as_ref());
        in_force(sweep, self.cues.lead(), self.timed.as_ref(), past, &self.document, &self.decoded)
    }

    /// What is asked of a fixture.
    pub fn reading_of(&self, fixture: usize) -> Option<Reading<'_>> {
        let (frames, decoded) = self.in_force();
        self.plan.reading(fixture, frames, decoded)
    }

    /// Every head over time; `None` while time plays no part.
    pub fn motion(&self) -> Option<&RigMotion> {
        let timed = self.timed.as_ref().filter(|timed| timed.leads);
        match (self.clock.mode, &self.clock.past) {
            (Mode::Arrived, _) => None,
            (_, Some(past)) => Some(&past.motion),
            (_, None) => Some(timed.map_or(&self.clock.motion, |timed| timed.playback.motion())),
        }
    }

    /// Lets time pass as the window's own clock did since the last pass.
    pub(super) fn tick(&mut self, ctx: &Context) {
        let window_s = ctx.input(|input| input.time);
        self.tick_sweep(window_s);
        let passed_s = self.clock.passed(window_s);
        if passed_s > 0.0 {
            self.pass_time(passed_s);
        }
        self.trace_file(ctx);
        if self.needs_ticks() {
            ctx.request_repaint_after(TICK);
        }
    }

    /// Whether the window must be drawn again without anybody doing anything.
    pub fn needs_ticks(&self) -> bool {
        let runs = self.clock.mode == Mode::Running;
        let plays = self.timed.as_ref().is_some_and(Timed::goes_on);
        let sweeps = self.sweep.as_ref().is_some_and(|swept| swept.sweep.goes_on());
        let cues = self.cues.lead().is_some_and(Leading::goes_on);
        sweeps || runs && cues || runs && (self.clock.is_moving() || plays || self.plots_a_flash())
    }

    /// Whether a curve on show goes up and down with every flash.
    fn plots_a_flash(&self) -> bool {
        let flashes = |fixture: &usize| {
            let pose = self.clock.poses().get(*fixture).and_then(Option::as_ref);
            pose.is_some_and(|pose| pose.cells.iter().any(|cell| cell.flash.is_some()))
        };
        self.preferences.plot.open && self.trace.fixtures().iter().any(flashes)
    }

    /// Lets simulated time pass.
    fn pass_time(&mut self, passed_s: f64) {
        let changes = self.needs_ticks();
        for t_s in self.watched_instants(passed_s) {
            self.go_to(t_s);
            self.record();
            if self.stops_here() {
                break;
            }
        }
        if changes {
            self.show_light(Exposure::Held);
        }
        let ended = self.timed.as_ref().is_some_and(|timed| timed.leads && !timed.goes_on());
        if ended && !self.clock.is_moving() {
            self.clock.mode = Mode::Paused;
        }
    }

    /// Brings the heads to a later instant.
    pub(super) fn go_to(&mut self, t_s: f64) {
        let count = self.document.show().rig.len();
        match self.timed.as_mut().filter(|timed| timed.leads) {
            Some(timed) => {
                let to_s = timed.wrapped(t_s);
                timed.playback.seek(&self.plan, to_s);
                self.clock.t_s = to_s;
                self.clock.look(timed.playback.motion(), to_s, count);
            }
            None => {
                self.clock.t_s = t_s;
                self.play_cues(t_s);
                self.clock.motion.advance(t_s);
                let motion = std::mem::take(&mut self.clock.motion);
                self.clock.look(&motion, t_s, count);
                self.clock.motion = motion;
            }
        }
    }

    /// Notes where the selected heads are.
    pub(super) fn record(&mut self) {
        self.follow_selection();
        let timed = self.timed.as_ref().filter(|timed| timed.leads);
        let (frames, decoded) = in_force(
            self.sweep.as_ref(),
            self.cues.lead(),
            self.timed.as_ref(),
            None,
            &self.document,
            &self.decoded,
        );
        let motion = timed.map_or(&self.clock.motion, |timed| timed.playback.motion());
        let read = |fixture| self.plan.reading(fixture, frames, decoded);
        self.trace.record(self.clock.t_s, motion, &self.clock.poses, read);
    }

    /// The show's slots or its rig changed. In time, that is a frame at this instant.
    pub(super) fn take_frame(&mut self, rig_changed: bool) {
        let show = self.document.show();
        if let (true, Some(timed)) = (rig_changed, &mut self.timed) {
            timed.begin_again(&show.rig, &self.plan);
        }
        if self.clock.mode == Mode::Arrived {
            return;
        }
        self.clock.past = None;
        let (rig, t_s) = (&show.rig, self.clock.t_s);
        let lead = self.cues.lead();
        let (frames, decoded) = in_force(None, lead, None, None, &self.document, &self.decoded);
        let motion = &mut self.clock.motion;
        if rig_changed {
            *motion = RigMotion::arrived(rig, &self.plan, frames, decoded, t_s);
            if let Some(since_s) = self.clock.cut_since_s {
                motion.lost_everywhere(since_s);
            }
            self.trace.clear();
            self.clock.record.clear();
        } else if self.clock.cut_since_s.is_none() {
            motion.frame(t_s, &self.plan, frames, decoded);
        }
        self.note_asked();
        self.go_to(t_s);
        self.record();
    }

    /// Works out the light there is to see.
    pub(super) fn show_light(&mut self, exposure: Exposure) {
        let show = self.document.show();
        let (frames, decoded) = self.in_force();
        let settled = || Scene::new(&show.room, &show.rig, &self.plan, frames, decoded);
        let held_lx = self.scene.reference_lx;
        let mut scene = match self.motion() {
            None => settled(),
            Some(motion) => {
                let poses = self.clock.poses();
                let mut scene = Scene::from_poses(&show.room, &show.rig, &self.plan, poses);
                scene.add_ghosts(&show.rig, &self.plan, &motion.poses_as_asked(poses));
                if exposure == Exposure::Anew {
                    // For the light that comes, not for the one that goes.
                    scene.reference_lx = settled().reference_lx;
                }
                scene
            }
        };
        if exposure == Exposure::Held {
            scene.reference_lx = scene.reference_lx.max(held_lx);
        }
        self.ghost_first_side(&mut scene);
        self.add_drill_ghost(&mut scene);
        self.scene = scene;
        self.scene_number += 1;
    }

    /// Gives the lead to the show's own slots before an edit of them. What the timed frames hold at this
    /// instant, and what a sweep stands at, comes into the show with the edit, as one step of undo.
    pub(super) fn take_the_lead(&mut self, edit: &Edit, gesture: Option<u64>) -> Option<u64> {
        let swept = self.end_sweep();
        let of_slots = matches!(
            edit,
            Edit::SetSlots { .. }
                | Edit::RecallLook(_)
                | Edit::StoreLook { .. }
                | Edit::UpdateLook(_)
        );
        let mut comes_in = Vec::new();
        if let Some(timed) = self.timed.as_ref().filter(|timed| timed.leads && of_slots) {
            let (levels, from) = (Box::new(timed.playback.frames().clone()), timed.name.clone());
            self.show_own_slots();
            comes_in.push(Edit::SetLevels { levels, from });
        }
        if of_slots && let Some(lead) = self.let_go_of_cues() {
            let levels = Box::new(lead.frames);
            comes_in.push(Edit::SetLevels { levels, from: "cues".to_owned() });
        }
        // What is recalled leaves nothing of what was there before.
        if of_slots && !matches!(edit, Edit::RecallLook(_)) {
            let set = |(universe, values)| Edit::SetSlots { universe, values };
            comes_in.extend(swept.into_iter().map(set));
        }
        if comes_in.is_empty() {
            return gesture;
        }
        let gesture = gesture.unwrap_or_else(|| self.document.new_gesture());
        for edit in comes_in {
            if let Err(finding) = self.document.apply(edit, Some(gesture)) {
                self.say(Severity::Error, finding.to_string());
            }
        }
        Some(gesture)
    }

    /// The show's own slots are in force from this instant on, and time stands.
    pub(super) fn show_own_slots(&mut self) {
        if let Some(timed) = self.timed.as_mut().filter(|timed| timed.leads) {
            timed.leads = false;
            self.clock.record.clear();
            self.clock.motion = timed.playback.motion().clone();
            self.clock.cut_since_s = timed.playback.cut_since_s();
            if self.clock.mode == Mode::Running {
                self.clock.mode = Mode::Paused;
            }
        }
    }

    /// Does what a key or a menu asked of time.
    pub(super) fn act_on_time(&mut self, ctx: &Context, action: Action) {
        match action {
            Action::Play if self.clock.mode == Mode::Running => self.clock.mode = Mode::Paused,
            Action::Play => self.play(),
            Action::StepOn if self.clock.past.is_some() => {
                self.look_back(self.clock.shown_s() + FRAME_S);
            }
            Action::StepOn => {
                self.begin_time();
                self.clock.mode = Mode::Paused;
                self.go_to(self.clock.t_s + FRAME_S);
                self.record();
                self.show_light(Exposure::Held);
            }
            Action::StepBack if !self.timed.as_ref().is_some_and(|timed| timed.leads) => {
                self.look_back(self.clock.shown_s() - FRAME_S);
            }
            Action::StepBack => {
                self.clock.mode = if self.timed.is_some() { Mode::Paused } else { self.clock.mode };
                self.scrub(self.clock.t_s - FRAME_S);
            }
            Action::CutSignal => self.toggle_cut(),
            Action::Arrive => {
                self.clock.mode = Mode::Arrived;
                (self.forecast, self.clock.past) = (None, None);
                self.show_light(Exposure::Held);
            }
            Action::Faster | Action::Slower => {
                self.clock.rate = self.clock.rate.stepped(action == Action::Faster);
            }
            Action::OpenTimed => self.jobs.choose(ctx, Purpose::Timed, self.document.path()),
            Action::CloseTimed => self.close_timed(),
            Action::LoopTimed => match &mut self.timed {
                Some(timed) => timed.loops = !timed.loops,
                None => self.say(Severity::Note, "open timed frames first"),
            },
            Action::TogglePlot => {
                self.preferences.plot.open = !self.preferences.plot.open;
            }
            Action::ExportPlot if self.course().is_empty() => {
                self.say(Severity::Note, "nothing was recorded yet: let time run first");
            }
            Action::ExportPlot => self.jobs.choose(ctx, Purpose::Plot, self.document.path()),
            _ => {}
        }
    }

    /// Sets time going from where it stands.
    fn play(&mut self) {
        let free = self.sweep.is_none() && self.cues.lead().is_none();
        if let Some(timed) = self.timed.as_mut().filter(|_| free) {
            timed.leads = true;
            let at_s = timed.playback.now_s();
            let at_end = at_s >= timed.duration_s();
            if at_end && self.clock.mode != Mode::Arrived && !self.clock.is_moving() {
                timed.playback.seek(&self.plan, 0.0);
                self.trace.clear();
            }
        }
        self.begin_time();
        self.clock.mode = Mode::Running;
        self.begin_to_watch();
        self.show_light(Exposure::Held);
    }

    /// Gives time a part, if it has none: it begins with every head where it is asked to be.
    pub(super) fn begin_time(&mut self) {
        self.come_back();
        let leads = self.timed.as_ref().filter(|timed| timed.leads);
        if let Some(timed) = leads {
            self.clock.t_s = timed.playback.now_s();
        } else if self.clock.mode == Mode::Arrived {
            let (frames, decoded) = in_force(
                self.sweep.as_ref(),
                self.cues.lead(),
                self.timed.as_ref(),
                None,
                &self.document,
                &self.decoded,
            );
            self.clock.start(&self.document.show().rig, &self.plan, frames, decoded);
            if let Some(lead) = &mut self.cues.leading {
                lead.time_begins_at(self.clock.t_s);
            }
            self.trace.clear();
            self.note_asked();
        }
        if self.clock.mode == Mode::Arrived {
            self.clock.mode = Mode::Paused;
        }
        self.go_to(self.clock.t_s);
        self.record();
    }

    /// Goes to an instant of the timed frames.
    pub(super) fn scrub(&mut self, t_s: f64) {
        self.end_sweep();
        let Some(timed) = &mut self.timed else {
            self.say(Severity::Note, "only timed frames can be gone back in");
            return;
        };
        timed.leads = true;
        self.cues.leading = None;
        self.clock.past = None;
        let to_s = t_s.clamp(0.0, timed.duration_s());
        // What was recorded past a place that is left would be drawn over.
        self.trace.clear();
        if self.clock.mode == Mode::Arrived {
            self.clock.mode = Mode::Paused;
        }
        timed.playback.seek(&self.plan, to_s);
        self.go_to(to_s);
        self.record();
        self.show_light(Exposure::Held);
    }

    /// Puts timed frames in the lead, paused at their beginning.
    pub(super) fn open_timed(&mut self, name: String, frames: crate::wire::TimedFrames) {
        self.end_sweep();
        let show = self.document.show();
        let words = format!("{name}: {} frames in {:.2} s", frames.len(), frames.duration_s());
        self.timed = Some(Timed::new(name, frames, show, &self.plan));
        self.clock.mode = Mode::Paused;
        self.scrub(0.0);
        self.show_light(Exposure::Anew);
        self.say(Severity::Note, words);
    }

    fn close_timed(&mut self) {
        self.end_sweep();
        if self.timed.take().is_some() {
            self.clock.mode = Mode::Arrived;
            self.trace.clear();
            self.show_light(Exposure::Anew);
        }
    }

    /// Has the whole course of the selected heads through the timed frames worked out, once.
    fn trace_file(&mut self, ctx: &Context) {
        let show = self.document.show();
        let Some(timed) = self.timed.as_mut().filter(|_| self.preferences.plot.open) else {
            return;
        };
        let more = self.preferences.plot.more.clone();
        let wanted = TraceOf { fixtures: self.selection.clone(), begun: timed.begun, more };
        if timed.traced_for.as_ref() == Some(&wanted) || self.selection.is_empty() {
            return;
        }
        timed.traced_for = Some(wanted.clone());
        let (frames, start) = (timed.playback.timed().clone(), timed.start.clone());
        let (rig, profiles) = (show.rig.clone(), show.profiles.clone());
        let cuts = timed.playback.cuts().to_vec();
        self.jobs.background(ctx, "Working out the course".to_owned(), move || {
            let trace = super::timed::whole_course(&wanted, frames, &rig, &profiles, &start, cuts);
            Done::Traced { of: wanted, trace }
        });
    }

    /// The course on show: the whole one through the timed frames while these lead, else what was
    /// recorded.
    pub fn course(&self) -> &Trace {
        let whole = self.timed.as_ref().filter(|timed| timed.leads);
        whole.and_then(|timed| timed.course.as_ref()).unwrap_or(&self.trace)
    }

    /// Takes in the course that was worked out, if it is still wanted.
    pub(super) fn take_course(&mut self, of: &TraceOf, trace: Trace) {
        if let Some(timed) = &mut self.timed
            && timed.traced_for.as_ref() == Some(of)
        {
            timed.course = Some(trace);
        }
    }
}
