//! The way of the light from source to surface, link by link.

use crate::decode::{Asked, CompiledMode, ShutterAsk};
use crate::light::FluxMeter;
use crate::motion::{HeadMotion, Lamp, LossPolicy, Pose, WheelPose, assumed};
use crate::profile::{Source, WheelSlot};

/// What a link is, nearest the source first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stage {
    /// Frames that reach it.
    Data,
    /// A lamp that has to be struck.
    Lamp,
    /// A reset.
    Control,
    /// Something else than the frame that runs it.
    Program,
    /// Keeping dark while something moves.
    Moving,
    /// Coloured emitters.
    Emitters,
    /// Dimmers.
    Dimmer,
    /// The shutter.
    Shutter,
    /// The iris.
    Iris,
    /// Colour filters, and wheels of them.
    Colour,
    /// Wheels of patterns and of other things that stand in the beam.
    Pattern,
    /// Framing blades.
    Blades,
    /// Frost.
    Frost,
    /// Zoom.
    Zoom,
    /// Pan and tilt.
    Aim,
    /// The way to where it lands.
    Distance,
    /// What it lands on.
    Surface,
}

impl Stage {
    /// Its name, in a word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Data => "data",
            Self::Lamp => "lamp",
            Self::Control => "control",
            Self::Program => "program",
            Self::Moving => "dark while moving",
            Self::Emitters => "emitters",
            Self::Dimmer => "dimmer",
            Self::Shutter => "shutter",
            Self::Iris => "iris",
            Self::Colour => "colour",
            Self::Pattern => "pattern",
            Self::Blades => "blades",
            Self::Frost => "frost",
            Self::Zoom => "zoom",
            Self::Aim => "aim",
            Self::Distance => "distance",
            Self::Surface => "surface",
        }
    }
}

/// One link of the way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Link {
    /// What it is.
    pub stage: Stage,
    /// The wheel that it is, as a place among those of the mode.
    pub wheel: Option<usize>,
    /// Share that it lets through of the light that reaches it, 0..1; where none does, of the light that
    /// would. `None`: not known, or no such share.
    pub lets_through: Option<f64>,
    /// The cells of which it holds all light back, a bit each; cells past the 63rd share the last one.
    pub blocked: u64,
    /// The bits of all cells.
    all: u64,
}

impl Link {
    /// It holds all light of some cell back.
    pub fn blocks(&self) -> bool {
        self.blocked != 0
    }

    /// It holds all light of every cell back.
    pub fn blocks_all(&self) -> bool {
        self.blocked == self.all
    }

    /// Whether it holds all light of a cell, from 0, back.
    pub fn blocks_cell(&self, cell: usize) -> bool {
        self.blocked & bit(cell) != 0
    }
}

fn bit(cell: usize) -> u64 {
    1 << cell.min(63)
}

/// Where levels of dimmers and shutters are known from.
#[derive(Clone, Copy)]
pub(super) enum Levels<'a> {
    /// Everything asked has arrived.
    Asked(&'a Asked),
    /// A head over time, at a moment.
    Moving(&'a HeadMotion, f64),
}

impl Levels<'_> {
    /// What the dimmers of a cell let through, and its shutter on average.
    fn of(&self, cell: usize) -> (f64, f64) {
        match self {
            Self::Asked(asked) => {
                let Some(ask) = asked.cells.get(cell) else { return (1.0, 1.0) };
                let shutter = match ask.shutter {
                    ShutterAsk::Unasked | ShutterAsk::Open => 1.0,
                    ShutterAsk::Shut => 0.0,
                    ShutterAsk::Flash { shape, timing, .. } => assumed::mean_light(shape, timing),
                };
                (ask.level.unwrap_or(1.0).clamp(0.0, 1.0), shutter)
            }
            Self::Moving(head, t_s) => {
                let cell = head.cell(cell);
                cell.map_or((1.0, 1.0), |cell| (cell.level(*t_s), cell.shutter(*t_s).1))
            }
        }
    }
}

/// The links of a head, and the light that leaves it in lumens.
pub(super) fn links(
    mode: &CompiledMode,
    meter: &FluxMeter<'_>,
    pose: &Pose,
    levels: Levels<'_>,
) -> (Vec<Link>, f64) {
    let flux_lm = meter.flux_lm(pose);
    let all = (0..pose.cells.len()).fold(0, |all, cell| all | bit(cell));
    let mut links = Vec::with_capacity(16 + mode.wheels.len());
    let mut whole = |stage, lets_through: Option<f64>| {
        let blocked = if lets_through == Some(0.0) { all } else { 0 };
        links.push(Link { stage, wheel: None, lets_through, blocked, all });
    };
    let pass = |open: bool| Some(if open { 1.0 } else { 0.0 });
    let held = Held::of(levels);
    whole(Stage::Data, pass(!held.lost));
    if pose.lamp != Lamp::Ready {
        let unknown = pose.lamp == Lamp::Unknown;
        whole(Stage::Lamp, if unknown { None } else { pass(pose.lamp.gives_light()) });
    }
    whole(Stage::Control, pass(!held.resets));
    if pose.overridden_by.is_some() {
        whole(Stage::Program, None);
    }
    whole(Stage::Moving, pass(!held.moves));
    let mut course = Way::new(meter, pose, levels, all);
    if matches!(mode.profile.source, Source::Emitters(_)) {
        course.pass(&mut links, Stage::Emitters, Part::Emitters);
    }
    course.pass(&mut links, Stage::Dimmer, Part::Dimmer);
    course.pass(&mut links, Stage::Shutter, Part::Shutter);
    course.pass(&mut links, Stage::Iris, Part::Iris);
    course.pass(&mut links, Stage::Colour, Part::Filters);
    let stage_of = |wheel: usize| {
        let wheel = mode.profile.wheels.get(mode.wheels.get(wheel)?)?;
        let tints = wheel.slots.iter().any(|slot| matches!(slot, WheelSlot::Tint(..)));
        Some(if tints { Stage::Colour } else { Stage::Pattern })
    };
    for stage in [Stage::Colour, Stage::Pattern] {
        for wheel in (0..pose.wheels.len()).filter(|wheel| stage_of(*wheel) == Some(stage)) {
            course.pass(&mut links, stage, Part::Wheel(wheel));
        }
    }
    course.pass(&mut links, Stage::Blades, Part::Blades);
    // These spread the light and turn it; none is lost on the way out.
    let mut whole = |stage, lets_through| {
        links.push(Link { stage, wheel: None, lets_through, blocked: 0, all });
    };
    for stage in [Stage::Frost, Stage::Zoom, Stage::Aim] {
        whole(stage, Some(1.0));
    }
    whole(Stage::Distance, None);
    whole(Stage::Surface, None);
    (links, flux_lm)
}

/// What keeps the light in whatever dimmer and shutter do.
struct Held {
    lost: bool,
    resets: bool,
    moves: bool,
}

impl Held {
    fn of(levels: Levels<'_>) -> Self {
        let Levels::Moving(head, t_s) = levels else {
            return Self { lost: false, resets: false, moves: false };
        };
        let resets = head.reset().is_some_and(|reset| t_s < reset.end_s);
        let lost = head.lost_since_s().is_some() && head.model().on_loss == LossPolicy::Dark;
        Self { lost, resets, moves: head.is_held_dark(t_s) && !resets && !lost }
    }
}

/// Something that can stand in the light.
#[derive(Clone, Copy, PartialEq)]
enum Part {
    Emitters,
    Dimmer,
    Shutter,
    Iris,
    Filters,
    Wheel(usize),
    Blades,
}

/// The head with nothing in its light, into which one part after the other is put.
struct Way<'a> {
    meter: &'a FluxMeter<'a>,
    pose: &'a Pose,
    levels: Levels<'a>,
    bare: Pose,
    /// Flux of every cell with the parts that are in, in lumens.
    before_lm: Vec<f64>,
    after_lm: Vec<f64>,
    all: u64,
}

impl<'a> Way<'a> {
    fn new(meter: &'a FluxMeter<'a>, pose: &'a Pose, levels: Levels<'a>, all: u64) -> Self {
        let mut bare = Pose { overridden_by: None, ..pose.clone() };
        bare.lamp = Lamp::Ready;
        bare.iris = 1.0;
        bare.blades = [(0.0, 0.0); 4];
        for cell in &mut bare.cells {
            cell.light = 1.0;
            cell.emitters.fill(1.0);
            cell.filters = [0.0; 3];
        }
        bare.wheels.fill(OUT);
        let mut before_lm = Vec::with_capacity(bare.cells.len());
        meter.cells_lm(&bare, &mut before_lm);
        Self { meter, pose, levels, bare, before_lm, after_lm: Vec::new(), all }
    }

    /// Puts a part in and adds the link that it is. What holds all light of a cell back is taken out
    /// again, so that what comes behind it is still judged.
    fn pass(&mut self, links: &mut Vec<Link>, stage: Stage, part: Part) {
        let wheel = match part {
            Part::Wheel(wheel) => Some(wheel),
            _ => None,
        };
        let mut link = Link { stage, wheel, lets_through: Some(1.0), blocked: 0, all: self.all };
        if self.is_in_the_way(part) {
            (0..self.bare.cells.len()).for_each(|cell| self.put(part, cell));
            self.meter.cells_lm(&self.bare, &mut self.after_lm);
            let (before, after): (f64, f64) =
                (self.before_lm.iter().sum(), self.after_lm.iter().sum());
            link.lets_through = Some(if before > 0.0 { (after / before).min(1.0) } else { 1.0 });
            link.blocked = self.settle_blocked(part);
            std::mem::swap(&mut self.before_lm, &mut self.after_lm);
        }
        links.push(link);
    }

    /// The cells of which a part that was put in holds all light back. It is taken out of their light
    /// again; what they all share only where it holds back all that there is.
    fn settle_blocked(&mut self, part: Part) -> u64 {
        let (mut lit, mut blocked) = (0, 0);
        for (cell, (before, after)) in self.before_lm.iter().zip(&self.after_lm).enumerate() {
            lit |= if *before > 0.0 { bit(cell) } else { 0 };
            blocked |= if *before > 0.0 && *after <= 0.0 { bit(cell) } else { 0 };
        }
        let shared = matches!(part, Part::Iris | Part::Wheel(_) | Part::Blades);
        if blocked == 0 || (shared && blocked != lit) {
            return blocked;
        }
        if shared {
            self.take_out_whole(part);
            self.after_lm.clone_from(&self.before_lm);
            return blocked;
        }
        for cell in 0..self.bare.cells.len() {
            if self.after_lm[cell] <= 0.0 && self.before_lm[cell] > 0.0 {
                self.after_lm[cell] = self.before_lm[cell];
                self.take_out(part, cell);
            }
        }
        blocked
    }

    /// Whether a part could hold anything back.
    fn is_in_the_way(&self, part: Part) -> bool {
        let cells = || self.pose.cells.iter();
        match part {
            Part::Emitters => cells().any(|cell| cell.emitters.iter().any(|level| *level != 1.0)),
            Part::Dimmer => (0..cells().len()).any(|cell| self.levels.of(cell).0 != 1.0),
            Part::Shutter => (0..cells().len()).any(|cell| self.levels.of(cell).1 != 1.0),
            Part::Iris => self.pose.iris != 1.0,
            Part::Filters => cells().any(|cell| cell.filters != [0.0; 3]),
            Part::Wheel(wheel) => !self.is_open(wheel),
            Part::Blades => self.pose.blades.iter().any(|(depth, _)| *depth != 0.0),
        }
    }

    /// Whether a wheel stands right at a place that is open.
    fn is_open(&self, wheel: usize) -> bool {
        let Some(stands) = self.pose.wheels.get(wheel) else { return true };
        let slots = self.meter.profile().wheels.values().nth(wheel).map(|wheel| &wheel.slots);
        let slot = stands.place as usize;
        stands.place == slot as f64
            && slots.and_then(|slots| slots.get(slot.checked_sub(1)?)) == Some(&WheelSlot::Open)
    }

    fn put(&mut self, part: Part, cell: usize) {
        let (level, shutter) = self.levels.of(cell);
        let (Some(to), Some(from)) = (self.bare.cells.get_mut(cell), self.pose.cells.get(cell))
        else {
            return;
        };
        match part {
            Part::Emitters => to.emitters.clone_from(&from.emitters),
            Part::Dimmer => to.light *= level,
            Part::Shutter => to.light *= shutter,
            Part::Filters => to.filters = from.filters,
            Part::Iris => self.bare.iris = self.pose.iris,
            Part::Wheel(wheel) => self.bare.wheels[wheel] = self.pose.wheels[wheel],
            Part::Blades => self.bare.blades = self.pose.blades,
        }
    }

    /// Takes what is of one cell out of its light.
    fn take_out(&mut self, part: Part, cell: usize) {
        let (level, _) = self.levels.of(cell);
        let Some(to) = self.bare.cells.get_mut(cell) else { return };
        match part {
            Part::Emitters => to.emitters.fill(1.0),
            Part::Dimmer => to.light = 1.0,
            Part::Shutter => to.light = if level > 0.0 { level } else { 1.0 },
            Part::Filters => to.filters = [0.0; 3],
            Part::Iris | Part::Wheel(_) | Part::Blades => {}
        }
    }

    /// Takes out what all cells share.
    fn take_out_whole(&mut self, part: Part) {
        match part {
            Part::Iris => self.bare.iris = 1.0,
            Part::Wheel(wheel) => self.bare.wheels[wheel] = OUT,
            Part::Blades => self.bare.blades = [(0.0, 0.0); 4],
            _ => {}
        }
    }
}

/// A wheel that is at no place has nothing in the light.
const OUT: WheelPose = WheelPose { place: f64::NAN, ..WheelPose::REST };
