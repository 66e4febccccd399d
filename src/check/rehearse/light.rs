//! Whether light comes out: flashes, heads that hide their own light, heads that never give any.

use super::head::HeadRun;
use super::kinds;
use crate::check::flashes::{CAUTION, MOST_IN_CLUBS, MOST_ON_SCREEN, Turns, Window};
use crate::finding::{Severity, rounded};
use crate::light::add_beams;
use crate::light::beam::{aim_cone, beam_frame};
use crate::motion::{Lamp, Pose};
use crate::profile::WheelSlot;
use crate::rig::Hang;

/// Looks at a flashing shutter between two packets: 16 make one every 1.4 ms, enough for 65 Hz, above which
/// flashes melt into one.
const LOOKS: u32 = 16;

/// A head is up from this share of light on, and hides it where less than [`OUT`] of that comes out.
const UP: f64 = 0.1;
const OUT: f64 = 0.02;

/// How far above level a hung head points before it is told, in degrees.
const UP_DEG: f64 = 5.0;

/// What is watched of the light.
#[derive(Default)]
pub(super) struct LightWatch {
    turns: Turns,
    window: Window,
    ever: bool,
    flashes: bool,
    /// What hides its light, or wastes it, until it no longer does.
    hidden: Vec<Hidden>,
}

/// A span in which a head that is up gives no light to speak of, or gives it to the ceiling.
struct Hidden {
    start: usize,
    from_s: f64,
    until_s: f64,
    cause: String,
    severity: Severity,
    what: String,
    mend: &'static str,
}

impl LightWatch {
    /// Whether flashes come from it just now.
    pub(super) fn flashes(&self) -> bool {
        self.flashes
    }
}

impl HeadRun<'_> {
    /// The cue before is over: does its light come out?
    pub(super) fn light_begins(&mut self, t_s: f64, before: Option<usize>) {
        if let Some(before) = before {
            let pose = std::mem::take(&mut self.last);
            self.judge_hidden(&pose, before, t_s);
            self.last = pose;
        }
    }

    pub(super) fn watch_light(&mut self, t_s: f64) {
        let light = self.pose.light();
        self.light.ever |= light > 0.0;
        self.light.flashes = light > 0.0 && self.pose.flash().is_some();
        if (light > 0.0 || self.last.light() > 0.0)
            && differs(&self.pose, &self.last)
            && let Some(seen) = self.on.and_then(|on| self.seen.get_mut(on))
        {
            *seen = true;
        }
        if self.light.flashes && self.last.light() > 0.0 {
            let from_s = self.last_s;
            for look in 1..=LOOKS {
                let at_s = from_s + (t_s - from_s) * f64::from(look) / f64::from(LOOKS);
                self.sample(at_s, self.instant(at_s));
            }
        } else {
            self.sample(t_s, self.pose.instant());
        }
    }

    /// Its brightest cell at an instant since the last packet.
    fn instant(&self, t_s: f64) -> f64 {
        let Some(head) = self.head() else { return 0.0 };
        let cells = 0..self.pose.cells.len();
        let light = |cell| Some(head.dimmer(cell, t_s)? * head.shutter(cell, t_s)?.0);
        let lit = self.pose.overridden_by.is_none() && self.pose.lamp.gives_light();
        if lit { cells.filter_map(light).fold(0.0, f64::max) } else { 0.0 }
    }

    fn sample(&mut self, at_s: f64, light: f64) {
        let Some(turn) = self.light.turns.sample(at_s, light) else { return };
        self.light.window.push(turn.at_s);
        let area_m2 = self.spot_m2();
        self.turns.push((turn, area_m2));
    }

    /// The area that its beam lights where it meets the room, in square metres, as a circle across it.
    fn spot_m2(&self) -> f64 {
        let cone = aim_cone(self.fixture, &self.mode.profile, &self.pose);
        let radius_m = cone.map_or(0.0, |cone| self.throw_m() * cone.half_angle_rad.tan());
        std::f64::consts::PI * radius_m * radius_m
    }

    /// Looks what hides its light as a cue ends. What did so before goes on, and is told once it is over.
    fn judge_hidden(&mut self, pose: &Pose, start: usize, t_s: f64) {
        let found = [self.without_lamp(pose), self.at_ceiling(pose), self.in_its_own_way(pose)];
        let from_s = self.last_s;
        let before = std::mem::take(&mut self.light.hidden);
        let mut still: Vec<Hidden> = Vec::new();
        for (cause, severity, what, mend) in found.into_iter().flatten() {
            let (start, from_s, what) = match before.iter().find(|of| of.cause == cause) {
                Some(of) => (of.start, of.from_s, of.what.clone()),
                None => (start, from_s, what),
            };
            still.push(Hidden { start, from_s, until_s: t_s, cause, severity, what, mend });
        }
        let over = before.into_iter().filter(|of| !still.iter().any(|new| new.cause == of.cause));
        for over in over.collect::<Vec<_>>() {
            self.tell_hidden(over);
        }
        self.light.hidden = still;
    }

    fn tell_hidden(&mut self, of: Hidden) {
        let Hidden { start, from_s, until_s, severity, what, mend, .. } = of;
        self.tell_in(kinds::HIDDEN, severity, start, (from_s, until_s), what, mend);
    }

    /// Hidden by what stands in its own light: the cause, how bad it is, in words, and what mends it.
    fn in_its_own_way(&self, pose: &Pose) -> Option<(String, Severity, String, &'static str)> {
        if pose.light() < UP {
            return None;
        }
        let mut beams = Vec::new();
        add_beams(0, self.fixture, &self.mode.profile, pose, &mut beams);
        let through =
            |beam: &crate::light::Beam| (beam.rgb_cd * beam.mean_transmission()).luminance();
        let whole: f64 = beams.iter().map(|beam| beam.rgb_cd.luminance()).sum();
        let out: f64 = beams.iter().map(through).sum();
        let share = if whole > 0.0 { out / whole } else { 0.0 };
        if share >= OUT {
            return None;
        }
        let cause =
            hides(pose, self.mode.profile.wheels.values().map(|wheel| wheel.slots.as_slice()));
        let out = rounded(share * 100.0, 1);
        let what = format!("its light is up, and {out} % of it comes out: {cause}");
        let mend = "open what stands in the light, or take the level down";
        Some((cause, Severity::Warning, what, mend))
    }

    /// Dimmer and shutter let light through that the lamp does not give.
    fn without_lamp(&self, pose: &Pose) -> Option<(String, Severity, String, &'static str)> {
        let up = pose.cells.iter().any(|cell| cell.light >= UP);
        let lamp = match pose.lamp {
            Lamp::Off | Lamp::Hot => "its lamp was put out",
            Lamp::Striking => "its lamp is still striking",
            Lamp::Ready | Lamp::On | Lamp::Unknown => return None,
        };
        let what = format!("its level is up, and no light comes out: {lamp}");
        let mend = "strike the lamp long enough before";
        (up && pose.overridden_by.is_none())
            .then(|| (lamp.to_owned(), Severity::Warning, what, mend))
    }

    /// A head that hangs and lights the ceiling, or the sky.
    fn at_ceiling(&self, pose: &Pose) -> Option<(String, Severity, String, &'static str)> {
        if pose.light() < UP || self.fixture.hang != Hang::Hung {
            return None;
        }
        let axis = beam_frame(self.fixture, &self.mode.profile, pose).axis;
        let up_deg = axis.z.clamp(-1.0, 1.0).asin().to_degrees();
        let at = if self.show.room.open_air { "sky" } else { "ceiling" };
        let what =
            format!("it hangs, and points {} deg up to the {at} while lit", rounded(up_deg, 0));
        let mend = "look at its aim, and at how it is said to hang";
        (up_deg > UP_DEG).then(|| (at.to_owned(), Severity::Note, what, mend))
    }

    pub(super) fn light_ends(&mut self) {
        let t_s = self.last_s;
        if let Some(on) = self.on {
            let pose = self.pose.clone();
            self.judge_hidden(&pose, on, t_s);
        }
        for hidden in std::mem::take(&mut self.light.hidden) {
            self.tell_hidden(hidden);
        }
        if !self.light.ever && self.is_driven() {
            let lamp = if self.lamp_burns() { "" } else { ": its lamp is out" };
            let what = format!("it never gives light{lamp}");
            let mend = "look at its level and its shutter, or leave it out of the list";
            self.tell_in(kinds::NEVER_LIT, Severity::Note, 0, (0.0, t_s), what, mend);
        }
        let worst = self.light.window.worst();
        if worst.flashes > MOST_ON_SCREEN {
            let severity =
                if worst.flashes > MOST_IN_CLUBS { Severity::Error } else { Severity::Warning };
            let start = self.run.starts().partition_point(|start| start.at_s <= worst.from_s);
            let what = format!("it flashes {} times within a second", rounded(worst.flashes, 1));
            let span = (worst.from_s, worst.to_s);
            self.tell_in(kinds::FLASHES, severity, start.saturating_sub(1), span, what, CAUTION);
        }
    }
}

/// What of a pose hides its light, in words.
fn hides<'a>(pose: &Pose, mut wheels: impl Iterator<Item = &'a [WheelSlot]>) -> String {
    let slot = |slots: &[WheelSlot], place: f64| {
        let nth = (place.round() as usize).checked_sub(1)?;
        slots.get(nth % slots.len().max(1)).cloned()
    };
    let blocked = pose.wheels.iter().find_map(|wheel| match slot(wheels.next()?, wheel.place)? {
        WheelSlot::Blocked(name) => Some(name),
        _ => None,
    });
    let filters = pose.cells.iter().all(|cell| cell.filters.iter().all(|filter| *filter > 0.9));
    match blocked {
        Some(name) => format!("`{name}` lets none through"),
        None if pose.iris < 0.1 => "its iris is closed".to_owned(),
        None if filters => "all its filters are in".to_owned(),
        None => "what stands in its light lets none through".to_owned(),
    }
}

/// Whether somebody could see one pose change into the other.
fn differs(a: &Pose, b: &Pose) -> bool {
    let far = |a: f64, b: f64| (a - b).abs() > 1e-6;
    let optional = |a: Option<f64>, b: Option<f64>| far(a.unwrap_or(0.0), b.unwrap_or(0.0));
    let cells = a.cells.iter().zip(&b.cells).any(|(a, b)| {
        far(a.light, b.light)
            || a.flash != b.flash
            || a.emitters.iter().zip(&b.emitters).any(|(a, b)| far(*a, *b))
            || a.filters.iter().zip(&b.filters).any(|(a, b)| far(*a, *b))
            || optional(a.temperature_k, b.temperature_k)
    });
    let wheels = a.wheels.iter().zip(&b.wheels).any(|(a, b)| a != b);
    cells
        || wheels
        || far(a.pan_deg, b.pan_deg)
        || far(a.tilt_deg, b.tilt_deg)
        || optional(a.zoom_deg, b.zoom_deg)
        || optional(a.focus, b.focus)
        || far(a.iris, b.iris)
        || far(a.frost, b.frost)
        || a.blades != b.blades
        || far(a.frame_turn_deg, b.frame_turn_deg)
}
