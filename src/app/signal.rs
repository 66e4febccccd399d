//! Cutting the signal, to see what every fixture does without.

use super::clock::Mode;
use super::now::{Now, sentence};
use super::state::{Exposure, State};
use super::timed::Timed;
use crate::finding::{Severity, number};
use crate::motion::{HeadMotion, LossPolicy, left_alone};
use crate::rig::Rig;

impl State {
    /// Since when no frame has reached any head, in simulated seconds; `None` while frames do, and
    /// while time plays no part.
    pub fn cut_since_s(&self) -> Option<f64> {
        let leads = self.timed.as_ref().filter(|timed| timed.leads);
        match (self.clock.mode, leads) {
            (Mode::Arrived, _) => None,
            _ if self.clock.past.is_some() => self.clock.past.as_ref()?.cut_since_s,
            (_, Some(Timed { playback, .. })) => playback.cut_since_s(),
            (_, None) => self.clock.cut_since_s,
        }
    }

    /// Cuts the signal at this instant, or lets frames through again. Without a signal time matters:
    /// if it plays no part yet, it is set going.
    pub(super) fn toggle_cut(&mut self) {
        self.come_back();
        let since_s = self.cut_since_s();
        if self.clock.mode == Mode::Arrived {
            self.begin_time();
            self.clock.mode = Mode::Running;
        }
        let t_s = self.clock.t_s;
        let levels = &self.document.show().levels;
        match (self.timed.as_mut().filter(|timed| timed.leads), since_s) {
            (Some(timed), _) => {
                timed.playback.toggle_cut(&self.plan);
                timed.change_course();
            }
            (None, Some(_)) => {
                self.clock.cut_since_s = None;
                self.clock.motion.frame(t_s, &self.plan, levels, &self.decoded);
                self.note_asked();
            }
            (None, None) => {
                self.clock.cut_since_s = Some(t_s);
                self.clock.motion.lost_everywhere(t_s);
                self.note_asked();
            }
        }
        self.go_to(t_s);
        self.record();
        self.show_light(Exposure::Held);
        // While it is cut, the status line counts the time.
        self.status = None;
        if let Some(since_s) = since_s {
            let gone_s = t_s - since_s;
            self.say(Severity::Note, format!("the signal is back after {gone_s:.2} s without"));
        }
    }
}

/// That the signal is cut, and since when, for the status line.
pub fn cut_words(state: &State) -> Option<String> {
    let since_s = state.cut_since_s()?;
    let gone_s = (state.clock.shown_s() - since_s).max(0.0);
    Some(format!(
        "No signal for {gone_s:.1} s, since {since_s:.2} s: no frame reaches any fixture."
    ))
}

/// What each of some fixtures, as places in the rig, does about the signal that is cut: one line for
/// those that do the same. What `told` does once it acts on it is told elsewhere.
pub fn loss_lines(
    rig: &Rig,
    now: &Now<'_>,
    fixtures: &[usize],
    told: usize,
) -> Vec<(Vec<usize>, String)> {
    let Some(since_s) = now.cut_since_s else { return Vec::new() };
    let mut lines: Vec<(Vec<usize>, String)> = Vec::new();
    for fixture in fixtures {
        let unpatched = rig.get(*fixture).is_none_or(|fixture| fixture.address.is_none());
        let Some(head) = now.motion.head(*fixture).filter(|_| !unpatched) else { continue };
        let words = match left_alone(head, now.t_s) {
            Some(_) if *fixture == told => continue,
            Some(doing) => sentence(&doing.words),
            None => waiting_words(head, now.t_s - since_s),
        };
        match lines.iter_mut().find(|(_, known)| *known == words) {
            Some((alike, _)) => alike.push(*fixture),
            None => lines.push((vec![*fixture], words)),
        }
    }
    lines
}

/// What one head will do about it once its time-out is over.
fn waiting_words(head: &HeadMotion, gone_s: f64) -> String {
    let model = head.model();
    let does = match &model.on_loss {
        LossPolicy::Hold => "it holds what it had".to_owned(),
        LossPolicy::Dark => "it goes dark".to_owned(),
        LossPolicy::Standby { fade_s, .. } if *fade_s > 0.0 => {
            format!("it fades to a look of its own in {} s", number(*fade_s))
        }
        LossPolicy::Standby { .. } => "it goes to a look of its own".to_owned(),
    };
    let said = &model.profile.on_loss;
    let estimate = match (said.does.is_none(), said.after_s.is_none()) {
        (true, true) => " An estimate: the profile gives neither the time-out nor what follows.",
        (true, false) => " An estimate: the profile does not say what it does then.",
        (false, true) => " An estimate: the profile does not give the time-out.",
        (false, false) => "",
    };
    let (gone_s, after_s) = (gone_s.max(0.0), number(model.loss_after_s));
    format!("No signal for {gone_s:.1} s; after {after_s} s {does}.{estimate}")
}
