//! What the leaves of a condition stand at, at one moment.

use super::LIT;
use super::program::{Leaf, Look, Program};
use super::words::{Dim, Quantity, State};
use crate::check::audience::{lowest_m, lux_at};
use crate::decode::{Decoded, Plan, Reading};
use crate::light::{add_beams, beam::aim_cone};
use crate::motion::{HeadMotion, Lamp, Pose, RigMotion};
use crate::profile::Profile;
use crate::rig::Fixture;
use crate::stage::Room;
use crate::wire::Frames;

/// Times nearer than this are the same moment, in seconds.
const SAME_S: f64 = 1e-9;

/// A rig at one moment.
#[derive(Clone, Copy)]
pub struct Moment<'a> {
    /// The time, in seconds.
    pub t_s: f64,
    /// What is held of every universe.
    pub frames: &'a Frames,
    /// The compiled rig.
    pub plan: &'a Plan,
    /// What the frames come to.
    pub decoded: &'a Decoded,
    /// Every head.
    pub motion: &'a RigMotion,
    /// The fixtures, in the order of the plan.
    pub rig: &'a [Fixture],
    /// The room.
    pub room: &'a Room,
    /// The heads of the condition, as places in the plan; [`super::Live`] fills them in by itself.
    pub places: &'a [usize],
}

/// What a program worked out last.
#[derive(Clone, Debug, Default)]
pub struct Standing {
    /// What every leaf stands at.
    pub leaves: Vec<f64>,
    kept: Vec<f64>,
    before: Vec<f64>,
    stack: Vec<f64>,
    pose: Pose,
    /// The leaves of each head, and last those of none.
    by_head: Vec<Vec<usize>>,
}

impl Standing {
    /// Nothing was looked at yet.
    pub fn new(program: &Program) -> Self {
        let heads = program.heads.len();
        let mut by_head = vec![Vec::new(); heads + 1];
        for (place, leaf) in program.leaves.iter().enumerate() {
            by_head[leaf.head.unwrap_or(heads).min(heads)].push(place);
        }
        Self {
            leaves: vec![f64::NAN; program.leaves.len()],
            kept: vec![f64::NAN; program.kept],
            before: Vec::new(),
            stack: Vec::new(),
            pose: Pose::default(),
            by_head,
        }
    }

    /// Looks at the leaves of one head.
    pub fn look_at_head(&mut self, program: &Program, head: usize, moment: Moment<'_>) {
        let Some(place) = moment.places.get(head) else { return };
        let reading = moment.plan.reading(*place, moment.frames, moment.decoded);
        let (Some(of), Some(fixture)) = (moment.motion.head(*place), moment.rig.get(*place)) else {
            return;
        };
        let mut posed = false;
        for nth in self.by_head.get(head).map_or(&[][..], Vec::as_slice) {
            let Some(leaf) = program.leaves.get(*nth) else { continue };
            let needs_pose = matches!(leaf.look, Look::State(_) | Look::Quantity(_));
            if needs_pose && !std::mem::replace(&mut posed, true) {
                of.fill_pose(moment.t_s, &mut self.pose);
            }
            let seen = Seen { head: of, pose: &self.pose, fixture, moment };
            let value = match &leaf.look {
                Look::State(state) => truth(seen.state(*state)),
                Look::Quantity(quantity) => seen.quantity(*quantity),
                look => reading.and_then(|reading| of_channel(&reading, look)).unwrap_or(f64::NAN),
            };
            self.leaves[*nth] = value;
        }
    }

    /// Looks at slots and the time.
    pub fn look_at_rest(&mut self, program: &Program, t_s: f64, frames: &Frames) {
        for nth in self.by_head.last().map_or(&[][..], Vec::as_slice) {
            let value = match program.leaves.get(*nth).map(|leaf| &leaf.look) {
                Some(Look::Slot(universe, slot)) => {
                    frames.state(*universe, *slot).value().map_or(f64::NAN, f64::from)
                }
                Some(Look::Time) => t_s,
                _ => f64::NAN,
            };
            self.leaves[*nth] = value;
        }
    }

    /// Whether it is true as the leaves stand.
    pub fn is_true(&mut self, program: &Program) -> bool {
        self.before.clone_from(&self.kept);
        program.run(&self.leaves, &mut self.kept, &mut self.stack) == 1.0
    }

    /// The leaves that made it so when it was last worked out.
    pub fn reasons(&self, program: &Program) -> Vec<usize> {
        program.reasons(&self.leaves, &self.before)
    }
}

/// One head that is looked at.
struct Seen<'a> {
    head: &'a HeadMotion,
    pose: &'a Pose,
    fixture: &'a Fixture,
    moment: Moment<'a>,
}

impl Seen<'_> {
    fn profile(&self) -> &Profile {
        &self.head.model().profile
    }

    fn speed_deg_s(&self) -> f64 {
        let (pan, tilt) = self.head.aim_speed_deg_s(self.moment.t_s);
        pan.abs().max(tilt.abs())
    }

    fn lit(&self) -> bool {
        self.pose.light() >= LIT
    }

    fn lowest_m(&self) -> Option<f64> {
        let cone = aim_cone(self.fixture, self.profile(), self.pose).filter(|_| self.lit())?;
        lowest_m(self.moment.room, &cone)
    }

    fn state(&self, state: State) -> bool {
        match state {
            State::Lit => self.lit(),
            State::Dark => !self.lit(),
            State::Moving => self.head.aims(self.moment.t_s),
            State::Still => !self.head.aims(self.moment.t_s),
            State::Flashing => self.lit() && self.pose.flash().is_some(),
            State::Resetting => {
                self.head.reset().is_some_and(|reset| self.moment.t_s + SAME_S < reset.end_s)
            }
            State::Holding => self.head.holds().any(|hold| !hold.done),
            State::Striking => self.pose.lamp == Lamp::Striking,
            State::Running => self.pose.overridden_by.is_some(),
            State::OverAudience => self.lowest_m().is_some(),
        }
    }

    fn quantity(&self, quantity: Quantity) -> f64 {
        let known = self.pose.overridden_by.is_none();
        let aims = self.head.model().axes.is_some() && known;
        let asked = || self.head.as_channels_ask(self.pose.pan_deg, self.pose.tilt_deg);
        match quantity {
            Quantity::Pan if aims => asked().0,
            Quantity::Tilt if aims => asked().1,
            Quantity::Speed if aims => self.speed_deg_s(),
            Quantity::Pan | Quantity::Tilt | Quantity::Speed => f64::NAN,
            // What a built-in program does with its light is not known.
            _ if !known => f64::NAN,
            Quantity::Level => self.pose.light() * 100.0,
            Quantity::Flux => self.flux_lm(),
            Quantity::EyeLux => self.eye_lux(),
            Quantity::Flash if self.lit() => self.pose.flash().map_or(0.0, |flash| flash.hz),
            Quantity::Flash => 0.0,
            Quantity::Zoom => self.pose.zoom_deg.unwrap_or(self.profile().optics.beam_deg),
            Quantity::Iris => self.pose.iris * 100.0,
            Quantity::Frost => self.pose.frost * 100.0,
            Quantity::Height => self.lowest_m().unwrap_or(f64::NAN),
        }
    }

    fn flux_lm(&self) -> f64 {
        let mut beams = Vec::new();
        add_beams(0, self.fixture, self.profile(), self.pose, &mut beams);
        let flux_lm = beams.iter().map(|beam| {
            let out_cd = (beam.rgb_cd * beam.mean_transmission()).luminance();
            beam.distribution.flux_lm(out_cd)
        });
        flux_lm.sum()
    }

    fn eye_lux(&self) -> f64 {
        let cone = aim_cone(self.fixture, self.profile(), self.pose).filter(|_| self.lit());
        let point = cone.and_then(|cone| self.moment.room.eye_point(cone.apex, cone.axis));
        point.map_or(0.0, |point| lux_at(self.fixture, self.profile(), self.pose, point))
    }
}

fn of_channel(reading: &Reading<'_>, look: &Look) -> Option<f64> {
    match look {
        Look::Raw(nth) => reading.channel(*nth)?.held.value().map(f64::from),
        Look::Physical(nth, unit) => {
            let channel = reading.channel(*nth)?;
            let physical = channel.range?.physical.filter(|physical| physical.unit == *unit);
            physical.and(channel.physical)
        }
        Look::In(nth, chosen) => {
            let channel = reading.channel(*nth)?;
            channel.held.value().filter(|_| !channel.waits)?;
            let Some(range) = channel.range else { return Some(0.0) };
            let place = channel.channel.ranges.iter().position(|r| std::ptr::eq(r, range))?;
            Some(truth(chosen.get(place) == Some(&true)))
        }
        _ => None,
    }
}

fn truth(is: bool) -> f64 {
    if is { 1.0 } else { 0.0 }
}

/// A leaf in words, with what it stands at.
pub fn words(leaf: &Leaf, value: f64, moment: Moment<'_>) -> String {
    let place = leaf.head.and_then(|head| moment.places.get(head).copied());
    let fixture = place.and_then(|place| moment.rig.get(place)).map(Fixture::words);
    let fixture = fixture.unwrap_or_default();
    let number = |dim: Dim| match value.is_nan() {
        true => "not known".to_owned(),
        false => dim.words(value),
    };
    match &leaf.look {
        Look::Slot(universe, slot) if value.is_nan() => format!("slot {universe}.{slot} not sent"),
        Look::Slot(universe, slot) => format!("slot {universe}.{slot} = {value}"),
        Look::Time => number(Dim::Second),
        Look::State(state) if value == 1.0 => format!("{fixture} {}", state.word()),
        Look::State(state) => format!("{fixture} not {}", state.word()),
        Look::Quantity(quantity) => {
            format!("{fixture} {} {}", quantity.word(), number(quantity.dim()))
        }
        Look::Raw(nth) | Look::Physical(nth, _) | Look::In(nth, _) => {
            let reading =
                place.and_then(|at| moment.plan.reading(at, moment.frames, moment.decoded));
            let Some(channel) = reading.and_then(|reading| reading.channel(*nth)) else {
                return fixture;
            };
            let held = channel.held.value().map_or_else(String::new, |value| format!(" = {value}"));
            let words = match channel.range {
                Some(range) if channel.physical.is_none() => range.label.clone(),
                _ => channel.words(),
            };
            format!("{fixture} `{}`{held} ({words})", channel.channel.name)
        }
    }
}
