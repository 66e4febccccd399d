//! Where lit beams go: through the audience, and where none is to go; and lenses that look at the sky.

use glam::DVec3;

use super::head::HeadRun;
use super::kinds;
use crate::check::audience::lux_at;
use crate::finding::{Severity, rounded};
use crate::light::beam::{aim_cone, beam_frame};
use crate::stage::Block;

/// Looks at a standing beam this often, in seconds; at a moving one at every packet.
const EVERY_S: f64 = 0.25;

/// The least light, as a share of full, that is looked at.
const LEAST: f64 = 0.005;

/// How far above level a lens looks before the sun is told, in degrees: float noise is no sky.
const SKY_DEG: f64 = 0.1;

/// How long it has to, in seconds: what passes by on a move is not parked there.
const SKY_S: f64 = 1.0;

/// What is watched of where the beam goes.
#[derive(Default)]
pub(super) struct PlaceWatch {
    looked_s: f64,
    audience: Option<Through>,
    /// By zone of the room.
    zones: Vec<Option<Through>>,
    /// Its lens looks at the sky: the start in which it came to, and since when.
    sky: Option<(usize, f64)>,
}

/// A stay of the beam somewhere.
#[derive(Clone, Copy)]
struct Through {
    start: usize,
    from_s: f64,
    until_s: f64,
    most_lux: f64,
    moves: bool,
}

impl HeadRun<'_> {
    pub(super) fn watch_place(&mut self, t_s: f64) {
        let moved =
            self.pose.pan_deg != self.last.pan_deg || self.pose.tilt_deg != self.last.tilt_deg;
        let lit = self.pose.light() > LEAST;
        if lit == (self.last.light() > LEAST) && !moved && t_s - self.place.looked_s < EVERY_S {
            return;
        }
        self.place.looked_s = t_s;
        let cone = aim_cone(self.fixture, &self.mode.profile, &self.pose).filter(|_| lit);
        let eye = cone.and_then(|cone| self.show.room.eye_point(cone.apex, cone.axis));
        let lux = eye.map(|point| lux_at(self.fixture, &self.mode.profile, &self.pose, point));
        let through = self.place.audience;
        self.place.audience = self.stay(through, lux, t_s, moved);
        if let (Some(over), None) = (through, self.place.audience) {
            self.tell_audience(over);
        }
        let zones = self.show.room.keep_out.len();
        self.place.zones.resize(zones, None);
        for zone in 0..zones {
            let block = &self.show.room.keep_out[zone];
            let enters = cone.is_some_and(|cone| hits(block, cone.apex, cone.axis));
            let through = self.place.zones[zone];
            self.place.zones[zone] = self.stay(through, enters.then_some(0.0), t_s, moved);
            if let (Some(over), None) = (through, self.place.zones[zone]) {
                self.tell_zone(zone, over);
            }
        }
    }

    /// Outdoors, a lens that looks above the horizon may look into the sun, lit or not.
    pub(super) fn watch_sky(&mut self, t_s: f64) {
        if !self.show.room.open_air {
            return;
        }
        let moved =
            self.pose.pan_deg != self.last.pan_deg || self.pose.tilt_deg != self.last.tilt_deg;
        if !moved && t_s > self.last_s {
            return;
        }
        let axis = beam_frame(self.fixture, &self.mode.profile, &self.pose).axis;
        let looks_up = axis.z.clamp(-1.0, 1.0).asin().to_degrees() > SKY_DEG;
        match (looks_up, self.place.sky) {
            (true, None) => self.place.sky = Some((self.on.unwrap_or(0), t_s)),
            (false, Some(since)) => self.tell_sky(since, t_s),
            _ => {}
        }
    }

    fn tell_sky(&mut self, (start, from_s): (usize, f64), until_s: f64) {
        self.place.sky = None;
        if until_s - from_s < SKY_S {
            return;
        }
        let what = format!(
            "its lens looks above the horizon for {} s, under the open sky",
            rounded(until_s - from_s, 1)
        );
        let mend = "in daylight, park it with the lens down or away from the way of the sun";
        self.tell_in(kinds::SUN, Severity::Warning, start, (from_s, until_s), what, mend);
    }

    /// A stay that goes on or begins (`lux` is there), or is over.
    fn stay(
        &self,
        stay: Option<Through>,
        lux: Option<f64>,
        t_s: f64,
        moved: bool,
    ) -> Option<Through> {
        let lux = lux?;
        let start = self.on.unwrap_or(0);
        let stay = stay.unwrap_or(Through {
            start,
            from_s: t_s,
            until_s: t_s,
            most_lux: 0.0,
            moves: false,
        });
        Some(Through {
            until_s: t_s,
            most_lux: stay.most_lux.max(lux),
            moves: stay.moves || moved,
            ..stay
        })
    }

    fn tell_audience(&mut self, over: Through) {
        let how = if over.moves { "swings through" } else { "stands in" };
        let what = format!(
            "its beam {how} the audience at eye level ({} m) for {} s, with up to {} lx",
            rounded(self.show.room.eye_m, 2),
            rounded(over.until_s - over.from_s, 2),
            rounded(over.most_lux, 0)
        );
        let mend = "aim over their heads, or go dark on the way; heed the fixture's manual and local codes";
        self.tell_in(
            kinds::AUDIENCE,
            Severity::Warning,
            over.start,
            (over.from_s, over.until_s),
            what,
            mend,
        );
    }

    fn tell_zone(&mut self, zone: usize, over: Through) {
        let name = self.show.room.keep_out[zone].name.clone();
        let for_s = rounded(over.until_s - over.from_s, 2);
        let what = format!("its beam enters `{name}` for {for_s} s, where no light is to go");
        let mend = "aim elsewhere, or go dark on the way";
        self.tell_in(
            kinds::KEEP_OUT,
            Severity::Error,
            over.start,
            (over.from_s, over.until_s),
            what,
            mend,
        );
    }

    /// Stays that still go on at the end.
    pub(super) fn place_ends(&mut self) {
        if let Some(since) = self.place.sky {
            self.tell_sky(since, self.run.end_s());
        }
        if let Some(over) = self.place.audience.take() {
            self.tell_audience(over);
        }
        for zone in 0..self.place.zones.len() {
            if let Some(over) = self.place.zones[zone].take() {
                self.tell_zone(zone, over);
            }
        }
    }
}

/// Whether a ray meets a box, by the slabs between its faces.
fn hits(block: &Block, apex: DVec3, axis: DVec3) -> bool {
    let (min, max) = (DVec3::from(block.min), DVec3::from(block.max));
    let (a, b) = ((min - apex) / axis, (max - apex) / axis);
    // A ray along a face gives 0 / 0, which `min` and `max` pass over.
    let enters = a.min(b).max_element().max(0.0);
    let leaves = a.max(b).min_element();
    enters <= leaves
}
