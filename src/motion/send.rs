//! What a head is asked, taken in and sent on to its parts.

use super::aimed::{Aiming, switched};
use super::control::{Order, Reset, Stage};
use super::head::{HeadMotion, SAME_S, Wanted};
use super::laws::Laws;
use super::model::{HeadModel, LossPolicy};
use crate::decode::parts::Parts;
use crate::decode::{AimSpeed, Asked, AxisAsk, TurnAsk, WheelPlace};
use crate::profile::effect::{ResetPart, Switch};

/// How parts get where they are asked to go.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum How {
    /// In their own time.
    Own,
    /// At once: they have been there all along.
    AtOnce,
    /// In their own time, but for light, which takes this many seconds.
    Fade(f64),
}

impl How {
    fn laws(self, model: &HeadModel) -> &Laws {
        if self == Self::AtOnce { &Laws::AT_ONCE } else { &model.laws }
    }

    fn fade_s(self) -> Option<f64> {
        if let Self::Fade(fade_s) = self { Some(fade_s) } else { None }
    }
}

impl HeadMotion {
    /// Everything that is due now.
    pub(super) fn happen(&mut self) {
        let by_s = self.now_s + SAME_S;
        while let Some(order) = self.control.due(by_s) {
            match order {
                Order::Reset { part, takes_s } => {
                    self.control.start_reset(self.now_s, part, takes_s);
                }
                Order::Latch { switch, on } => self.latch(switch, on),
                Order::UseCurve { nth } => {
                    self.control.use_curve(nth);
                    self.dim_by_curve(How::Own);
                }
                Order::Lamp { on } => {
                    let times_s = (self.model.strike_s, self.model.cool_s);
                    let taken = self.lamp.order(self.now_s, on, times_s);
                    self.refused = taken.err().map(|cool_s| (self.now_s, cool_s));
                }
            }
        }
        if self.control.reset.is_some_and(|reset| reset.end_s <= by_s) {
            self.control.reset = None;
        }
        if self.loss_due_s.is_some_and(|due_s| due_s <= by_s) {
            self.loss_due_s = None;
            self.lost_since_s = Some(self.now_s);
            // What was being held is not held any more.
            self.control.ask(self.now_s, &[]);
            let model = self.model.clone();
            if let LossPolicy::Standby { fade_s, asked } = &model.on_loss {
                self.take(asked, Parts::ALL, How::Fade(*fade_s));
            }
        }
    }

    /// Sets a switch of the head.
    pub(super) fn latch(&mut self, switch: Switch, on: bool) {
        self.control.latch(switch, on);
        let in_head = switched(&self.in_head, |switch| self.control.latched(switch));
        self.aiming = Aiming::new(&self.model.profile, &self.aim, &in_head);
    }

    /// Takes what is asked of some parts: light at once, the rest as what is wanted.
    pub(super) fn take(&mut self, asked: &Asked, parts: Parts, how: How) {
        if parts.meet(Parts::AIM) {
            self.wanted = Wanted {
                pan: asked.pan,
                tilt: asked.tilt,
                speed: asked.aim_speed,
                dark_while_aiming: asked.dark_while_aiming,
                dark_while_wheels: asked.dark_while_wheels,
            };
        }
        if parts.meet(Parts::WHEELS) {
            for (i, (part, ask)) in self.wheels.iter_mut().zip(&asked.wheels).enumerate() {
                if parts.meet(Parts::wheel_place(i)) {
                    part.place = ask.place;
                }
                if parts.meet(Parts::wheel_turn(i)) {
                    part.turn = ask.turn;
                }
            }
        }
        self.optics.want(asked, parts);
        if parts.meet(Parts::LIGHT) {
            self.take_light(asked, parts, how);
        }
        if parts.meet(Parts::CONTROL) && self.overridden_by != asked.overridden_by {
            self.overridden_by.clone_from(&asked.overridden_by);
        }
    }

    fn take_light(&mut self, asked: &Asked, parts: Parts, how: How) {
        let (t_s, laws, fade_s) = (self.now_s, how.laws(&self.model), how.fade_s());
        let mut emitters = self.emitters.as_mut_slice();
        for (cell, ask) in self.cells.iter_mut().zip(&asked.cells) {
            let count = self.emitters_per_cell.min(emitters.len());
            let (own, rest) = std::mem::take(&mut emitters).split_at_mut(count);
            emitters = rest;
            if parts.meet(Parts::LEVEL) && ask.curved.is_empty() {
                cell.dim(t_s, ask.level.unwrap_or(1.0), laws, fade_s);
            }
            if parts.meet(Parts::SHUTTER) {
                cell.shut(t_s, ask.shutter);
            }
            if parts.meet(Parts::COLOUR) {
                cell.colour(t_s, ask, own, laws, fade_s);
            }
        }
        if parts.meet(Parts::LEVEL) && !self.curved.is_empty() {
            let asked = asked.cells.iter().flat_map(|cell| &cell.curved);
            for (kept, level) in self.curved.iter_mut().zip(asked) {
                *kept = *level;
            }
            self.dim_by_curve(how);
        }
    }

    /// Sends the dimmers on to what is asked of them by the curve that is chosen.
    fn dim_by_curve(&mut self, how: How) {
        let (laws, fade_s) = (how.laws(&self.model), how.fade_s());
        let nth = self.control.curve().map_or(0, |nth| usize::from(nth) + 1);
        let curves = self.curved.len() / self.cells.len().max(1);
        for (cell, levels) in self.cells.iter_mut().zip(self.curved.chunks(curves.max(1))) {
            if let Some(level) = levels.get(nth) {
                cell.dim(self.now_s, *level, laws, fade_s);
            }
        }
    }

    /// Sends some parts where they are wanted, or where a reset has them.
    pub(super) fn send(&mut self, parts: Parts, how: How) {
        let t_s = self.now_s;
        let (aim_stage, stage) = match self.control.reset {
            None => (None, None),
            Some(reset) => stages(reset, t_s),
        };
        if parts.meet(Parts::AIM) {
            self.send_axes(aim_stage);
        }
        if parts.meet(Parts::WHEELS) {
            self.send_wheels(parts, stage);
        }
        if parts.meet(Parts::OPTICS) {
            let home = stage.map(|_| &self.model.rest);
            self.optics.send(t_s, home, how.laws(&self.model), parts);
        }
        if parts.meet(Parts::COLOUR) {
            let laws = how.laws(&self.model);
            for cell in &mut self.cells {
                cell.send_filters(t_s, stage.is_some(), laws);
            }
        }
    }

    fn send_axes(&mut self, stage: Option<Stage>) {
        let Some(limits) = &self.model.axes else { return };
        let asks = self.aiming.asks((self.wanted.pan, self.wanted.tilt));
        for ((axis, limits), ask) in self.axes.iter_mut().zip(limits).zip(asks) {
            let (ask, speed) = match stage {
                None => (ask, self.wanted.speed),
                Some(stage) => {
                    let deg = match stage {
                        Stage::FirstEnd => -limits.home_deg,
                        Stage::SecondEnd => limits.home_deg,
                        Stage::Home | Stage::Return => 0.0,
                    };
                    (AxisAsk::To { deg }, AimSpeed::Follow)
                }
            };
            axis.ask(self.now_s, ask, speed, limits);
        }
    }

    fn send_wheels(&mut self, parts: Parts, stage: Option<Stage>) {
        let wheels = self.wheels.iter_mut().zip(&self.model.wheels).enumerate();
        for (i, (part, limits)) in wheels {
            if parts.meet(Parts::wheel_place(i)) {
                let place = match stage {
                    None => part.place,
                    Some(Stage::FirstEnd) => WheelPlace::At { place: limits.slots },
                    Some(_) => WheelPlace::At { place: 1.0 },
                };
                part.motion.ask(self.now_s, place, limits);
            }
            if parts.meet(Parts::wheel_turn(i)) {
                // What no channel turns stands as it was loaded, which is home.
                let home = stage.is_some() && part.turn != TurnAsk::Unasked;
                let turn = if home { TurnAsk::To { deg: 0.0 } } else { part.turn };
                part.motion.turn.ask(self.now_s, turn, limits.turn_deg_s);
            }
        }
    }
}

/// What a reset is at with pan and tilt, and with all the rest; `None` for what it leaves alone, or has
/// sent back where it is wanted.
fn stages(reset: Reset, t_s: f64) -> (Option<Stage>, Option<Stage>) {
    let stage = Some(reset.stage(t_s + SAME_S)).filter(|stage| *stage != Stage::Return);
    match reset.part {
        ResetPart::Whole => (stage, stage),
        ResetPart::Aim => (stage, None),
        ResetPart::Effects => (None, stage),
    }
}
