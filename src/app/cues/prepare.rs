//! The straight run of the list on show, played ahead beside the window, so that going to any instant of it costs
//! little.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, channel};
use std::thread;
use std::time::Duration;

use egui::Context;

use super::lead::Key;
use crate::app::state::State;
use crate::cue::{Run, Scrub};
use crate::decode::Plan;

/// For how long nothing has to change before the run is played ahead, in seconds.
const QUIET_S: f64 = 0.4;

/// Packets that are played ahead between two looks at whether it is still wanted.
const PACKETS: usize = 64;

/// A run that is played ahead, or was.
pub(in crate::app) struct Prepared {
    /// What it is made of, and the list.
    of: (Key, usize),
    stage: Stage,
}

enum Stage {
    /// Since when nothing has changed.
    Waiting { since_s: f64 },
    /// It is being played ahead in a thread of its own.
    Working { stop: Arc<AtomicBool>, made: Receiver<Box<Scrub>> },
    /// It is there.
    Done(Box<Scrub>),
    /// No thread was to be had.
    Failed,
}

impl Drop for Prepared {
    fn drop(&mut self) {
        if let Stage::Working { stop, .. } = &self.stage {
            stop.store(true, Ordering::Relaxed);
        }
    }
}

impl Prepared {
    /// The run, played ahead, if it is of this list in this state.
    pub(super) fn scrub(&self, of: (Key, usize)) -> Option<&Scrub> {
        match &self.stage {
            Stage::Done(scrub) if self.of == of => Some(scrub),
            _ => None,
        }
    }
}

impl State {
    /// Sees to it that the list on show is played ahead while it is looked at and nothing changes.
    pub(in crate::app) fn tend_run(&mut self, ctx: &Context) {
        let of = (self.cue_key(), self.cues.list);
        let timeline = self.cues.timeline.as_ref().filter(|timeline| timeline.is_of(of));
        let Some(run) = timeline.filter(|_| self.preferences.cues).map(|of| of.run.clone()) else {
            self.cues.prepared = None;
            return;
        };
        let now_s = ctx.input(|input| input.time);
        let prepared = match &mut self.cues.prepared {
            Some(prepared) if prepared.of == of => prepared,
            prepared => {
                let stage = Stage::Waiting { since_s: now_s };
                ctx.request_repaint_after(Duration::from_secs_f64(QUIET_S));
                prepared.insert(Prepared { of, stage })
            }
        };
        match &prepared.stage {
            Stage::Waiting { since_s } if now_s - since_s >= QUIET_S => {
                let show = self.document.show();
                prepared.stage = play_ahead(run, show.rig.clone(), show.profiles.clone());
            }
            Stage::Working { made, .. } => {
                if let Ok(scrub) = made.try_recv() {
                    prepared.stage = Stage::Done(scrub);
                    self.take_prepared();
                }
            }
            _ => {}
        }
    }

    /// Whether the list on show was played ahead.
    pub fn is_prepared(&self) -> bool {
        let of = (self.cue_key(), self.cues.list);
        self.cues.prepared.as_ref().is_some_and(|prepared| prepared.scrub(of).is_some())
    }

    /// Goes on with the run that was played ahead, at the instant that the list is at.
    fn take_prepared(&mut self) {
        let Some(lead) = self.cues.leading.as_mut() else { return };
        let of = (lead.key, self.cues.list);
        let prepared = self.cues.prepared.as_ref().and_then(|prepared| prepared.scrub(of));
        if let (Some(scrub), true) = (prepared, lead.straight() == Some(of.1)) {
            let (mut scrub, now_s) = (scrub.clone(), lead.now_s());
            scrub.seek(&self.plan, now_s);
            lead.go_straight(of.1, scrub);
        }
    }
}

/// Plays a run ahead in a thread of its own.
fn play_ahead(
    run: Arc<Run>,
    rig: crate::rig::Rig,
    profiles: std::collections::BTreeMap<String, Arc<crate::profile::Profile>>,
) -> Stage {
    let (sender, made) = channel();
    let stop = Arc::new(AtomicBool::new(false));
    let stopped = stop.clone();
    let thread = thread::Builder::new().name("playing a list ahead".to_owned());
    let started = thread.spawn(move || {
        let plan = Plan::new(&rig, &profiles);
        let mut scrub = Scrub::new(run, &rig, &plan);
        while scrub.prepare(&plan, PACKETS) {
            if stopped.load(Ordering::Relaxed) {
                return;
            }
        }
        // The window may have closed meanwhile; then nobody waits for it.
        drop(sender.send(Box::new(scrub)));
    });
    if started.is_ok() { Stage::Working { stop, made } } else { Stage::Failed }
}
