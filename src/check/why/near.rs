//! Near misses: there is light, and yet next to nothing is seen; where the light lands; and what no frame
//! can tell.

use glam::DVec3;

use super::words::percent;
use super::{Stage, Verdict, Why};
use crate::finding::rounded;
use crate::light::beam::{add_beams, beam_frame};
use crate::profile::WheelSlot;
use crate::stage::Room;
use crate::stage::scene::faces;

/// Light below this share of full looks like none in a lit room: common practice, no source. It is a share
/// of light, after the dimmer's curve, and not of the value.
const VERY_LOW: f64 = 0.03;
/// A colour that lets less than this through looks dark beside others: common practice, no source.
const DEEP: f64 = 0.12;
/// Longer than this between two flashes looks like a head that is off, in seconds: common practice, no source.
const LONG_DARK_S: f64 = 0.7;

/// What may be wrong that no frame shows, in the usual words: common practice, no source.
pub const OUTSIDE: [&str; 4] = [
    "the lamp or its driver: look for a message in the head's display, and at its age",
    "the head's own menu: address, mode, inverts, what it does without a signal, the lamp switched off there",
    "the cable: data in and out, 120 ohm at the last head, no Y pieces; mains and fuse",
    "the head itself: it shuts and homes again by itself when it is hot or lost its place",
];

/// A kind of near miss.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NearKind {
    /// Next to no light: dimmers, emitters or openings are almost shut.
    VeryLow,
    /// The colour holds nearly all light back.
    DeepColour,
    /// It is dark for long between two flashes, or a wheel passes a blocked place.
    SeldomLit,
    /// It points at the ceiling.
    Ceiling,
    /// Its light leaves the room.
    OutOfRoom,
    /// It points at eye level among the audience.
    Audience,
    /// Whether its lamp burns is not known.
    LampUnknown,
    /// What is shown takes channels without a value to be at rest.
    TakenAtRest,
}

impl NearKind {
    /// Its name, in few words.
    pub fn word(self) -> &'static str {
        match self {
            Self::VeryLow => "very low",
            Self::DeepColour => "deep colour",
            Self::SeldomLit => "seldom lit",
            Self::Ceiling => "at the ceiling",
            Self::OutOfRoom => "out of the room",
            Self::Audience => "at the audience",
            Self::LampUnknown => "lamp unknown",
            Self::TakenAtRest => "taken at rest",
        }
    }
}

/// A near miss.
#[derive(Clone, Debug, PartialEq)]
pub struct Near {
    /// What kind it is.
    pub kind: NearKind,
    /// What it comes to, in words.
    pub words: String,
}

/// Where the middle of a head's light lands.
#[derive(Clone, Debug, PartialEq)]
pub struct Landing {
    /// The face of the room, by its name; `None` where it leaves the room.
    pub on: Option<&'static str>,
    /// Where, in metres.
    pub at: Option<DVec3>,
    /// How far that is, in metres.
    pub distance_m: Option<f64>,
    /// Illuminance there on a surface that lies as the face does, in lux, as the mean over a flash.
    pub lux: f64,
    /// It passes eye level among the audience.
    pub at_eyes: bool,
}

/// What the faces of a room are called, in the order of [`faces`].
const FACES: [&str; 6] = [
    "the floor",
    "the back wall",
    "the left wall",
    "the right wall",
    "the audience end",
    "the ceiling",
];

impl Why<'_> {
    /// Where the middle of its light lands in a room, whether or not there is any. `None` while
    /// something else than the frame runs it.
    pub fn landing(&self, room: &Room) -> Option<Landing> {
        if self.pose.overridden_by.is_some() || !self.fixture.at.is_finite() {
            return None;
        }
        let profile = &self.reading.mode.profile;
        let frame = beam_frame(self.fixture, profile, &self.pose);
        let apex = self.fixture.at;
        let hits = faces(room).into_iter().zip(FACES).filter_map(|(face, name)| {
            let at = face.hit(apex, frame.axis)?;
            Some((at.distance(apex), at, face.normal, name))
        });
        let first = hits.min_by(|a, b| a.0.total_cmp(&b.0));
        let lux = first.map_or(0.0, |(_, at, normal, _)| {
            let mut beams = Vec::new();
            add_beams(self.place, self.fixture, profile, &self.pose, &mut beams);
            let lux =
                beams.iter().map(|beam| beam.metered().illuminance_at(at, normal).luminance());
            lux.sum()
        });
        Some(Landing {
            on: first.map(|(.., name)| name),
            at: first.map(|(_, at, ..)| at),
            distance_m: first.map(|(distance_m, ..)| distance_m),
            lux,
            at_eyes: room.eye_point(apex, frame.axis).is_some(),
        })
    }

    /// Why a head that is lit may look as if it were not, and what of the answer is not known.
    pub fn near(&self, room: &Room) -> Vec<Near> {
        let mut all = Vec::new();
        let mut say = |kind, words: String| all.push(Near { kind, words });
        if self.pose.lamp == crate::motion::Lamp::Unknown {
            let words = "lamp state unknown: no frame that was seen struck it or put it out";
            say(NearKind::LampUnknown, words.to_owned());
        }
        let assumed = self.taken_at_rest();
        if !assumed.is_empty() {
            say(NearKind::TakenAtRest, assumed);
        }
        if self.verdict != Verdict::Lit {
            return all;
        }
        let through = |stages: &[Stage]| -> f64 {
            let links = self.links.iter().filter(|link| stages.contains(&link.stage));
            links.filter_map(|link| link.lets_through).product()
        };
        let colour = through(&[Stage::Colour]);
        if colour < DEEP {
            let words = self.colour_words(colour);
            say(NearKind::DeepColour, words);
        }
        let level =
            through(&[Stage::Emitters, Stage::Dimmer, Stage::Iris, Stage::Pattern, Stage::Blades]);
        if level < VERY_LOW {
            let least =
                self.links.iter().filter(|link| link.lets_through.is_some()).min_by(|a, b| {
                    a.lets_through.unwrap_or(1.0).total_cmp(&b.lets_through.unwrap_or(1.0))
                });
            let most = least.map_or(String::new(), |link| {
                format!(", most of it held back by {}", link.stage.word())
            });
            say(NearKind::VeryLow, format!("very low: {} of the light{most}", percent(level)));
        }
        if let Some(words) = self.seldom_lit() {
            say(NearKind::SeldomLit, words);
        }
        if let Some(landing) = self.landing(room) {
            match landing.on {
                Some("the ceiling") => {
                    let high = rounded(room.height_m, 1);
                    say(NearKind::Ceiling, format!("lit, but aimed at the ceiling ({high} m)"));
                }
                Some("the audience end") if !landing.at_eyes => {
                    say(
                        NearKind::OutOfRoom,
                        "lit, but aimed over the audience, out of the room".to_owned(),
                    );
                }
                None => say(
                    NearKind::OutOfRoom,
                    "lit, but its light lands nowhere in the room".to_owned(),
                ),
                Some(_) => {}
            }
            if landing.at_eyes {
                say(NearKind::Audience, "lit, and aimed at the eyes of the audience".to_owned());
            }
        }
        all
    }

    /// Which channels are taken to be at rest, in words; empty where none is.
    fn taken_at_rest(&self) -> String {
        let at_rest = self.reading.asked().taken_at_rest;
        let all = at_rest.iter().filter_map(|place| self.standing(usize::from(*place)));
        let all: Vec<String> = all.map(|evidence| evidence.slot_words()).collect();
        match all.len() {
            0 => String::new(),
            1..=4 => format!("taken to be at rest: {}", all.join("; ")),
            many => {
                format!("{many} channels are taken to be at rest, the first because {}", all[0])
            }
        }
    }

    fn colour_words(&self, share: f64) -> String {
        let filtered = self.links.iter().filter(|link| link.stage == Stage::Colour);
        let darkest = filtered
            .min_by(|a, b| a.lets_through.unwrap_or(1.0).total_cmp(&b.lets_through.unwrap_or(1.0)));
        let share = percent(share);
        match darkest {
            Some(link) if link.wheel.is_some() => {
                let slot = self.wheel_slot(link).map_or("between two colours", |(_, name)| name);
                format!("lit, {slot} at {share}")
            }
            _ => format!("near dark: the colour filters are in and let {share} through"),
        }
    }

    /// It is dark for most of the time, in words.
    fn seldom_lit(&self) -> Option<String> {
        if let Some(flash) = self.pose.flash() {
            let mean = crate::motion::assumed::mean_light(flash.shape, flash.timing);
            let dark_s = if flash.hz > 0.0 { (1.0 - mean) / flash.hz } else { f64::INFINITY };
            if dark_s > LONG_DARK_S {
                let hz = rounded(flash.hz, 2);
                return Some(match dark_s.is_finite() {
                    true => format!(
                        "lit on {hz} flashes a second only: about {} s dark between two",
                        rounded(dark_s, 1)
                    ),
                    false => "lit on flashes that never come: their rate is 0".to_owned(),
                });
            }
        }
        let mode = self.reading.mode;
        self.pose.wheels.iter().zip(&mode.wheels).find_map(|(stands, name)| {
            let slots = &mode.profile.wheels.get(name)?.slots;
            let dark = slots.iter().filter(|slot| matches!(slot, WheelSlot::Blocked(_))).count();
            (stands.scroll_rpm != 0.0 && dark > 0).then(|| {
                format!(
                    "wheel `{name}` turns, and {dark} of its {} places let no light through",
                    slots.len()
                )
            })
        })
    }
}
