//! Resets, lamps, and cues that come while a head is busy with itself.

use super::head::{Begun, HeadRun};
use super::kinds;
use crate::cue::Part;
use crate::finding::{Severity, rounded};
use crate::motion::{Lamp, LampState};
use crate::profile::Effect;

/// What is watched of resets and the lamp.
#[derive(Default)]
pub(super) struct ControlWatch {
    /// When the reset that is under way began.
    reset_s: Option<f64>,
    lamp: Option<LampState>,
    refused_s: Option<f64>,
    /// A cue sends a channel to a reset, or to a lamp order.
    asks_reset: bool,
    asks_lamp: bool,
}

impl HeadRun<'_> {
    pub(super) fn control_begins(&mut self, t_s: f64, begun: &[Begun]) {
        let ends_in = |wanted: fn(&Effect) -> bool| {
            begun.iter().any(|begun| {
                let ranges = &self.mode.channels[begun.channel].ranges;
                let to = begun.target.to;
                ranges.iter().any(|range| range.contains(to) && range.effects().any(wanted))
            })
        };
        self.control.asks_reset = ends_in(|effect| matches!(effect, Effect::Reset { .. }));
        self.control.asks_lamp =
            ends_in(|e| matches!(e, Effect::LampOff { .. } | Effect::LampOn { .. }));
        // A control value that goes back to idle asks nothing that the head would have to be ready for.
        let asks = |begun: &Begun| {
            let track = self.run.tracks().find(self.own, begun.channel);
            let part = track.and_then(|track| self.run.tracks().get(track)).map(|track| track.part);
            part != Some(Part::Control) && begun.from != begun.target.to
        };
        let wants = begun.iter().any(asks);
        let Some(head) = self.head().filter(|_| wants) else { return };
        let busy = match (head.reset(), head.lamp()) {
            (Some(reset), _) if reset.end_s > t_s => Some(("it is finding its ends", reset.end_s)),
            (_, LampState::Struck { lit_s }) if lit_s > t_s => {
                Some(("its lamp is striking", lit_s))
            }
            (_, LampState::PutOut { cool_s }) if cool_s > t_s => {
                Some(("its lamp is too hot to strike", cool_s))
            }
            _ => None,
        };
        let Some((what, until_s)) =
            busy.filter(|_| !self.control.asks_reset && !self.control.asks_lamp)
        else {
            return;
        };
        let what = format!("the cue comes {} s early: {what}", rounded(until_s - t_s, 1));
        let mend = "give the head the time, or send what readies it sooner";
        self.tell(kinds::NOT_READY, Severity::Warning, (t_s, until_s), what, mend);
    }

    pub(super) fn watch_control(&mut self, t_s: f64) {
        let Some(head) = self.head() else { return };
        let (reset, lamp, refused) = (head.reset(), head.lamp(), head.refused_strike());
        let began = reset.filter(|reset| self.control.reset_s != Some(reset.start_s));
        if let Some(reset) = began {
            self.control.reset_s = Some(reset.start_s);
            let takes = rounded(reset.end_s - reset.start_s, 1);
            let (severity, asked) = match self.control.asks_reset {
                true => (Severity::Note, "as its cue asks"),
                false => (Severity::Error, "though no cue asks for it"),
            };
            let what = format!("it resets {asked}, and is dark for {takes} s");
            let mend = "keep control channels out of fades, and their values away from resets";
            let span = (reset.start_s, reset.end_s);
            self.tell(
                kinds::HOMES,
                severity,
                span,
                what,
                if self.control.asks_reset { "" } else { mend },
            );
        }
        if self.control.lamp != Some(lamp) {
            let before = self.control.lamp.replace(lamp);
            match lamp {
                LampState::Struck { .. } if before.is_some() => self.strikes.push(t_s),
                LampState::PutOut { cool_s } if before.is_some() => self.lamp_out(t_s, cool_s),
                _ => {}
            }
        }
        if let Some((at_s, until_s)) =
            refused.filter(|(at_s, _)| self.control.refused_s != Some(*at_s))
        {
            self.control.refused_s = Some(at_s);
            let what = format!(
                "its lamp refuses to strike: it is too hot for {} s more",
                rounded(until_s - at_s, 1)
            );
            let mend = "leave the lamp on, or strike it again later";
            self.tell(kinds::NOT_READY, Severity::Error, (at_s, until_s), what, mend);
        }
    }

    fn lamp_out(&mut self, t_s: f64, cool_s: f64) {
        let (severity, asked) = match self.control.asks_lamp {
            true => (Severity::Note, "as its cue asks"),
            false => (Severity::Error, "though no cue asks for it"),
        };
        let what = format!(
            "its lamp goes out {asked}, and is too hot to strike for {} s",
            rounded(cool_s - t_s, 0)
        );
        let mend = "keep control channels out of fades, and their values away from the lamp";
        self.tell(
            kinds::LAMP_OUT,
            severity,
            (t_s, cool_s),
            what,
            if self.control.asks_lamp { "" } else { mend },
        );
    }

    /// Whether its lamp, where it has one to strike, gives light.
    pub(super) fn lamp_burns(&self) -> bool {
        self.pose.lamp != Lamp::Off && self.pose.lamp != Lamp::Hot
    }
}
