//! What is done with conditions: they are made ready, looked at as time passes, and their times are listed.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};

use egui::Context;

use super::{Checked, Listed, Row, Source, Stopped};
use crate::app::clock::Mode;
use crate::app::cues::Work;
use crate::app::files::Done;
use crate::app::state::State;
use crate::check::watch::{Live, Mistake, Moment, Progress, Watch};
use crate::finding::{Severity, rounded};
use crate::motion::RigMotion;

/// A look farther from the last than this is at another instant that somebody went to, in seconds.
const NEXT_S: f64 = 0.5;

/// The most packets of timed frames that are looked at in one pass of the window.
const MOST_PACKETS: usize = 4096;

impl State {
    /// Shows the conditions, or hides them.
    pub(in crate::app) fn toggle_watch(&mut self) {
        let none_yet = self.show().cues.watches.is_empty();
        let watching = &mut self.windows.watch;
        watching.open = !watching.open;
        // With nothing to watch for there is nothing to do but type; else keys go on to play time.
        watching.asks_for_keys = watching.open && none_yet;
    }

    /// Makes the conditions of the show ready for its rig, if either changed.
    pub(in crate::app) fn ready_watches(&mut self) {
        let show = self.document.show();
        let watching = &mut self.windows.watch;
        let wanted = (self.planned, &show.cues.watches);
        if watching.made_of.as_ref().is_some_and(|(rig, of)| (*rig, of) == wanted) {
            return;
        }
        let ready = |when: &str| {
            let watch = Watch::new(when, show, &self.plan);
            watch.map(Arc::new).map_err(|mistake| mistake.words(when))
        };
        let watches = &show.cues.watches;
        watching.rows =
            watches.iter().map(|of| Row { watch: ready(&of.when), live: None }).collect();
        watching.made_of = Some((self.planned, watches.clone()));
    }

    /// What is wrong with the condition that is being typed.
    pub(super) fn mistake_in_typed(&mut self) -> Option<Mistake> {
        let watching = &mut self.windows.watch;
        let known = watching.checked.as_ref();
        if known.is_none_or(|of| of.text != watching.typed || of.rig != self.planned) {
            let text = watching.typed.clone();
            let mistake = Watch::new(&text, self.document.show(), &self.plan).err();
            watching.checked = Some(Checked { text, rig: self.planned, mistake });
        }
        watching.checked.as_ref()?.mistake.clone()
    }

    /// Whether any condition may stop time.
    fn watches(&self) -> bool {
        self.show().cues.watches.iter().any(|watched| watched.on)
    }

    /// Time is set going: what is true now does not stop it.
    pub(in crate::app) fn begin_to_watch(&mut self) {
        self.windows.watch.stopped = None;
        if self.watches() {
            self.ready_watches();
            self.windows.watch.rows.iter_mut().for_each(|row| row.live = None);
            self.look_at_watches();
        }
    }

    /// The instants at which a stretch of time is looked at; of timed frames every packet too, where a condition
    /// is watched for.
    pub(in crate::app) fn watched_instants(&self, passed_s: f64) -> Vec<f64> {
        let mut instants: Vec<f64> = self.clock.instants(passed_s).collect();
        let timed = self.timed.as_ref().filter(|timed| timed.leads && self.watches());
        if let Some(timed) = timed {
            let (from_s, frames) = (self.clock.t_s, timed.playback.timed());
            let packets = frames.between(from_s, from_s + passed_s).take(MOST_PACKETS);
            instants.extend(packets.map(|(at_s, _)| at_s));
            instants.sort_by(f64::total_cmp);
            instants.dedup();
        }
        instants
    }

    /// Looks at the conditions at this instant, and stops time where one became true.
    pub(in crate::app) fn stops_here(&mut self) -> bool {
        if !self.watches() {
            return false;
        }
        self.ready_watches();
        let Some(stopped) = self.look_at_watches() else { return false };
        let at = rounded(stopped.at_s, 3);
        let because = stopped.because.join("; ");
        self.clock.mode = Mode::Paused;
        self.say(Severity::Warning, format!("stopped at {at} s, {}: {because}", stopped.when));
        self.windows.watch.stopped = Some(stopped);
        true
    }

    /// Looks at every condition that is on; the first that became true since the last look.
    fn look_at_watches(&mut self) -> Option<Stopped> {
        let mut watching = std::mem::take(&mut self.windows.watch);
        let show = self.document.show();
        let (frames, decoded) = self.in_force();
        let none = RigMotion::default();
        let motion = self.motion().unwrap_or(&none);
        let t_s = self.clock.t_s;
        if t_s < watching.last_s || t_s > watching.last_s + NEXT_S {
            watching.rows.iter_mut().for_each(|row| row.live = None);
        }
        watching.last_s = t_s;
        let moment = Moment {
            t_s: self.watched_s(),
            frames,
            plan: &self.plan,
            decoded,
            motion,
            rig: &show.rig,
            room: &show.room,
            places: &[],
        };
        let mut first = None;
        for (row, watched) in watching.rows.iter_mut().zip(&show.cues.watches) {
            let Ok(watch) = row.watch.as_ref().map(Arc::clone) else { continue };
            if !watched.on {
                row.live = None;
                continue;
            }
            let live = row.live.get_or_insert_with(|| Live::new(&watch));
            // All are looked at, so that each knows what it stood at.
            if let Some(because) = live.look(&watch, moment) {
                let when = watched.when.clone();
                first.get_or_insert(Stopped { when, at_s: moment.t_s, because });
            }
        }
        self.windows.watch = watching;
        first
    }

    /// The time that a condition is about: that of the list where one is gone through.
    fn watched_s(&self) -> f64 {
        let straight = self.cues.lead().filter(|lead| lead.straight().is_some());
        straight.map_or(self.clock.t_s, |lead| lead.now_s())
    }

    /// What the times of a condition are looked for in: the timed frames while these lead, else the list on
    /// show.
    pub(super) fn watch_source(&self) -> Option<Source> {
        if let Some(timed) = self.timed.as_ref().filter(|timed| timed.leads) {
            return Some(Source::Timed(timed.name.clone()));
        }
        let list = self.show().cues.lists.get(self.cues.list)?;
        Some(Source::List(self.cues.list, list.name.clone()))
    }

    /// Has all times of a condition of the show looked for, beside the window.
    pub(super) fn list_times(&mut self, ctx: &Context, nth: usize) {
        self.ready_watches();
        self.ready_timeline();
        let Some(source) = self.watch_source() else {
            return self
                .say(Severity::Note, "open timed frames, or make a cue list, to look through");
        };
        let watching = &self.windows.watch;
        let watch = watching.rows.get(nth).and_then(|row| row.watch.as_ref().ok()).cloned();
        let when = self.show().cues.watches.get(nth).map(|watched| watched.when.clone());
        let (Some(watch), Some(when)) = (watch, when) else { return };
        let timed = self.timed.as_ref().filter(|timed| timed.leads);
        let frames = timed.map(|timed| (timed.playback.timed().clone(), timed.start.clone()));
        let run = self.cues.timeline.as_ref().map(|timeline| timeline.run.clone());
        let (done, stop) = (Arc::new(AtomicU32::new(0)), Arc::new(AtomicBool::new(false)));
        let (told, stopped, waker) = (done.clone(), stop.clone(), ctx.clone());
        let job = self.jobs.background(ctx, "Looking for all times".to_owned(), move || {
            let progress = |Progress { done_s, of_s }| {
                let share = if of_s > 0.0 { done_s / of_s } else { 1.0 };
                told.store((share * 1000.0) as u32, Ordering::Relaxed);
                waker.request_repaint();
                !stopped.load(Ordering::Relaxed)
            };
            let found = match (&frames, &run) {
                (Some((timed, start)), _) => watch.over_timed(start, timed, &progress),
                (None, Some(run)) => watch.over_run(run, &progress),
                (None, None) => None,
            };
            Done::Watched(Box::new(Listed { when, source, found }))
        });
        self.windows.watch.work = Some(Work { job, done, stop });
    }

    /// Takes in the times of a condition.
    pub(in crate::app) fn take_times(&mut self, listed: Listed) {
        self.windows.watch.work = None;
        if listed.found.is_some() {
            self.windows.watch.listed = Some(listed);
        }
    }
}
