//! Orders that act once their value was held long enough, and what they set going.

use super::assumed;
use crate::decode::Command;
use crate::profile::effect::{ResetPart, Switch};

/// How many orders can be held at once; a fixture has one or two control channels.
const HELD: usize = 4;

/// What a held value orders.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Order {
    /// Go home.
    Reset {
        /// What goes home.
        part: ResetPart,
        /// How long that takes, in seconds.
        takes_s: f64,
    },
    /// Strike the lamp or put it out.
    Lamp {
        /// Strike it.
        on: bool,
    },
    /// Set a switch that stays set.
    Latch {
        /// The switch.
        switch: Switch,
        /// On or off.
        on: bool,
    },
    /// Use a dimmer curve from now on.
    UseCurve {
        /// Which of those that the mode's control channels can choose, from 0.
        nth: u16,
    },
}

/// A value that is being held.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hold {
    /// What it orders.
    pub order: Order,
    /// Since when it is held.
    pub since_s: f64,
    /// How long it must be, in seconds.
    pub hold_s: f64,
    /// It acted, and will not again before the value was left.
    pub done: bool,
}

impl Hold {
    /// When it acts.
    pub fn due_s(&self) -> f64 {
        self.since_s + self.hold_s
    }
}

/// A reset that is under way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reset {
    /// What goes home.
    pub part: ResetPart,
    /// When it started.
    pub start_s: f64,
    /// When the fixture is back.
    pub end_s: f64,
}

/// What a reset is at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// Finding the one end.
    FirstEnd,
    /// Finding the other end.
    SecondEnd,
    /// Going home.
    Home,
    /// Going where the frame asks it to, still dark.
    Return,
}

/// The stages of a reset, and the share of its time at which each begins: common practice, no source.
const STAGES: [(f64, Stage); 4] =
    [(0.0, Stage::FirstEnd), (0.3, Stage::SecondEnd), (0.6, Stage::Home), (0.8, Stage::Return)];

impl Reset {
    fn begins_s(&self, share: f64) -> f64 {
        self.start_s + share * (self.end_s - self.start_s)
    }

    /// What it is at.
    pub fn stage(&self, t_s: f64) -> Stage {
        let begun = STAGES.iter().rev().find(|(share, _)| t_s >= self.begins_s(*share));
        begun.map_or(Stage::FirstEnd, |(_, stage)| *stage)
    }

    /// When its last stage begins.
    pub fn returns_s(&self) -> f64 {
        self.begins_s(STAGES[STAGES.len() - 1].0)
    }

    fn next_s(&self, t_s: f64) -> f64 {
        let begins = STAGES.iter().map(|(share, _)| self.begins_s(*share));
        begins.chain([self.end_s]).filter(|s| *s > t_s).fold(f64::INFINITY, f64::min)
    }
}

/// Values that are held, what is set, and what goes on.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Control {
    holds: [Option<Hold>; HELD],
    latches: [Option<bool>; Switch::ALL.len()],
    curve: Option<u16>,
    /// The reset that is under way.
    pub reset: Option<Reset>,
}

impl Control {
    /// Takes the commands that are asked for from `t_s` on. One that was asked for before is held on;
    /// one that is not any more is let go.
    pub fn ask(&mut self, t_s: f64, commands: &[Command]) {
        let before = self.holds;
        self.holds = [None; HELD];
        let orders = commands.iter().map(order);
        for (slot, (order, hold_s)) in self.holds.iter_mut().zip(orders) {
            let held = before.iter().flatten().find(|hold| hold.order == order);
            let new = Hold { order, since_s: t_s, hold_s, done: false };
            *slot = Some(held.copied().unwrap_or(new));
        }
    }

    /// Whether these commands are those held already.
    pub fn is_asked(&self, commands: &[Command]) -> bool {
        if commands.is_empty() && self.holds[0].is_none() {
            return true;
        }
        let orders = commands.iter().map(order).map(|(order, _)| order).take(HELD);
        orders.eq(self.holds.iter().flatten().map(|hold| hold.order))
    }

    /// The values that are held.
    pub fn holds(&self) -> impl Iterator<Item = &Hold> {
        self.holds.iter().flatten()
    }

    /// The next order that is due by `t_s`; it is then done.
    pub fn due(&mut self, t_s: f64) -> Option<Order> {
        let mut waiting = self.holds.iter_mut().flatten().filter(|hold| !hold.done);
        let hold = waiting.find(|hold| hold.due_s() <= t_s)?;
        hold.done = true;
        Some(hold.order)
    }

    /// When something happens next, after `t_s`; infinite where nothing will.
    pub fn next_s(&self, t_s: f64) -> f64 {
        let holds = self.holds().filter(|hold| !hold.done).map(Hold::due_s);
        let reset = self.reset.map_or(f64::INFINITY, |reset| reset.next_s(t_s));
        holds.fold(reset, f64::min)
    }

    /// Starts a reset.
    pub fn start_reset(&mut self, t_s: f64, part: ResetPart, takes_s: f64) {
        self.reset = Some(Reset { part, start_s: t_s, end_s: t_s + takes_s });
    }

    /// Sets a switch.
    pub fn latch(&mut self, switch: Switch, on: bool) {
        self.latches[switch as usize] = Some(on);
    }

    /// Chooses a dimmer curve.
    pub fn use_curve(&mut self, nth: u16) {
        self.curve = Some(nth);
    }

    /// The dimmer curve that was chosen, of those that the mode's control channels can choose; `None`
    /// where the dimmers go by their own.
    pub fn curve(&self) -> Option<u16> {
        self.curve
    }

    /// How a switch was set; `None` where nothing was heard of it.
    pub fn latched(&self, switch: Switch) -> Option<bool> {
        self.latches[switch as usize]
    }
}

/// What a command orders and how long it must be held.
fn order(command: &Command) -> (Order, f64) {
    let (order, hold_s) = match command {
        Command::Reset { part, hold_s, takes_s } => {
            let takes_s = usable(*takes_s).unwrap_or(assumed::RESET_S);
            (Order::Reset { part: *part, takes_s }, *hold_s)
        }
        Command::Lamp { on, hold_s } => (Order::Lamp { on: *on }, *hold_s),
        Command::Latch { switch, on, hold_s } => {
            (Order::Latch { switch: *switch, on: *on }, *hold_s)
        }
        Command::UseCurve { nth, hold_s, .. } => (Order::UseCurve { nth: *nth }, *hold_s),
    };
    (order, usable(hold_s).unwrap_or(assumed::HOLD_S))
}

fn usable(seconds: Option<f64>) -> Option<f64> {
    seconds.filter(|s| s.is_finite() && *s >= 0.0)
}
