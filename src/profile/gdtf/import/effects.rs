//! What a piece of a channel does, in the profile's own effects.
//!
//! Every attribute of the standard has an effect, or it is said that it has none and the range stands
//! as unknown with its name. Angular speeds are degrees a second in the file and revolutions a minute
//! here. Signs stay as they are: the standard does not define the sense of a rotation, and positive is
//! read by the right-hand rule.

use std::collections::{BTreeMap, HashMap};

use super::super::attributes::{self, Named};
use super::super::description::{ChannelFunction, FixtureType};
use super::super::said::Said;
use super::control;
use super::curves;
use super::pieces::Piece;
use super::source::emitter_key;
use super::strobe;
use super::wheel_effects;
use crate::finding::number;
use crate::profile::effect::FilterName;
use crate::profile::{Curve, Effect, EvenIn, Shape, Span, Timing, Wheel};

/// What effects are made of.
pub(super) struct Maker<'a, 's> {
    /// The fixture.
    pub(super) fixture: &'a FixtureType,
    /// The wheels of the profile.
    pub(super) wheels: &'a BTreeMap<String, Wheel>,
    /// Names of the emitters by what sets them.
    pub(super) emitters: &'a HashMap<String, String>,
    /// Wheels by the attribute that selects on them, `Gobo1`, where others only turn what is in them.
    pub(super) wheel_of: HashMap<String, String>,
    /// A channel has the rate of flashes for itself, and another may choose their kind.
    pub(super) rate_apart: bool,
    /// The channel, in words.
    pub(super) item: String,
    /// Functions and sets that may still be worked on.
    pub(super) pieces_left: usize,
    /// What says something.
    pub(super) said: &'s mut Said,
}

/// Effects of values, from the first to the last of them.
pub(super) type Done = (u32, u32, Vec<Effect>);

impl Maker<'_, '_> {
    /// What a piece does. It may do one thing in its first values and another in the rest.
    pub(super) fn effects(&mut self, piece: &Piece<'_>) -> Vec<Done> {
        let (first, last) = (piece.first, piece.last);
        let one = |effects: Vec<Effect>| vec![(first, last, effects)];
        let attribute = piece.function.attribute();
        let Some(named) = attributes::find(attribute) else {
            let what = format!("the attribute `{attribute}` is none of the standard's");
            let item = self.item.clone();
            self.said.warning(&item, what, "its values stand as unknown");
            return one(vec![Effect::Unknown]);
        };
        if let Some(done) = wheel_effects::effects(self, piece, named) {
            return done;
        }
        let span = (super::round(piece.line.at(first)), super::round(piece.line.at(last)));
        let made = self.aim(named, span).or_else(|| self.light(piece, named, span));
        let made = made.or_else(|| self.beam(named, span));
        let made = made.or_else(|| control::effects(self, piece, named, span));
        one(made.unwrap_or_else(|| {
            self.nothing(named.attribute.name);
            vec![Effect::Unknown]
        }))
    }

    /// Says that an attribute has no counterpart.
    pub(super) fn nothing(&mut self, attribute: &str) {
        let what = format!("the attribute `{attribute}` has no counterpart here");
        let mend = match attribute {
            "StrobeDuration" => "how long one flash lasts is lost; its values stand as unknown",
            "Blade(n)B" => {
                "a blade follows its first end alone, and the slant that this one gives it is lost; \
                 its values stand as unknown"
            }
            _ => "its values keep their names and stand as unknown",
        };
        self.said.note("", what, mend);
    }

    /// A pair within bounds, or what is wrong with it.
    pub(super) fn within(&mut self, span: Span, least: f64, most: f64, unit: &str) -> Option<Span> {
        let (a, b) = span;
        let inside = |value: f64| (least..=most).contains(&value);
        if inside(a) && inside(b) {
            return Some(span);
        }
        let what = format!("`{}` to `{}` {unit} cannot be meant", number(a), number(b));
        let mend = format!("{least} to {most} can; the range stands as unknown");
        let item = self.item.clone();
        self.said.warning(&item, what, mend);
        None
    }

    /// Shares of 0..1 in percent. What goes beyond 1 and not beyond 100 is read as percent already.
    pub(super) fn percent(&mut self, span: Span) -> Option<Span> {
        let (a, b) = span;
        let most = a.max(b);
        if most > 1.001 && most <= 100.0 && a.min(b) >= 0.0 {
            let item = self.item.clone();
            let what = format!("`{}` to `{}` where 0 to 1 is meant", number(a), number(b));
            self.said.warning(&item, what, "taken as percent");
            return Some(span);
        }
        let (a, b) = self.within(span, -0.001, 1.001, "of 1")?;
        let percent = |share: f64| super::round((share * 100.0).clamp(0.0, 100.0));
        Some((percent(a), percent(b)))
    }

    /// A rate of events.
    pub(super) fn hertz(&mut self, span: Span) -> Option<Span> {
        self.within(span, 0.0, 1000.0, "Hz")
    }

    /// Degrees a second as revolutions a minute: a sixth.
    pub(super) fn rpm(&mut self, span: Span) -> Option<Span> {
        let (a, b) = self.within(span, -60_000.0, 60_000.0, "deg/s")?;
        Some((super::round(a / 6.0), super::round(b / 6.0)))
    }

    fn aim(&mut self, named: Named, span: Span) -> Option<Vec<Effect>> {
        let stopped = span == (0.0, 0.0);
        let effect = match named.attribute.name {
            "Pan" => self.within(span, -1e5, 1e5, "deg").map(|deg| Effect::Pan { deg }),
            "Tilt" => self.within(span, -1e5, 1e5, "deg").map(|deg| Effect::Tilt { deg }),
            "PanRotate" if stopped => Some(Effect::PanStop),
            "TiltRotate" if stopped => Some(Effect::TiltStop),
            "PanRotate" => self.rpm(span).map(|rpm| Effect::PanSpin { rpm }),
            "TiltRotate" => self.rpm(span).map(|rpm| Effect::TiltSpin { rpm }),
            _ => return None,
        };
        Some(vec![effect.unwrap_or(Effect::Unknown)])
    }

    fn light(&mut self, piece: &Piece<'_>, named: Named, span: Span) -> Option<Vec<Effect>> {
        let name = named.attribute.name;
        let effect = match name {
            "Dimmer" => {
                let curve = self.curve(piece.function);
                self.percent(span).map(|percent| Effect::Dimmer { percent, curve })
            }
            "Shutter(n)" => Some(self.shutter(piece, span)),
            "CTO" | "CTB" | "CTC" => {
                self.within(span, 1000.0, 30_000.0, "K").map(|k| Effect::Temperature { k })
            }
            "ColorSub_C" | "ColorSub_M" | "ColorSub_Y" => {
                let filter = match name {
                    "ColorSub_C" => FilterName::Cyan,
                    "ColorSub_M" => FilterName::Magenta,
                    _ => FilterName::Yellow,
                };
                self.percent(span).map(|percent| Effect::Filter { name: filter, percent })
            }
            "StrobeFrequency" => self.rate(piece, span),
            _ if strobe::is_kind(name) && self.rate_apart => Some(Effect::Select),
            _ if name.starts_with("ColorAdd_") => {
                let emitter = emitter_key(piece.function).and_then(|key| self.emitters.get(&key));
                let emitter = emitter.cloned()?;
                self.percent(span).map(|percent| Effect::Emitter { name: emitter, percent })
            }
            _ => {
                let (shape, timing) = flash(name.strip_prefix("Shutter(n)")?)?;
                self.flashes(piece, span, shape, timing)
            }
        };
        Some(vec![effect.unwrap_or(Effect::Unknown)])
    }

    /// A rate whose kind of flashes another channel may choose.
    fn rate(&mut self, piece: &Piece<'_>, span: Span) -> Option<Effect> {
        let named = piece.flashes.and_then(attributes::find);
        let end = named.and_then(|named| named.attribute.name.strip_prefix("StrobeMode"));
        let (shape, timing) = match end {
            None | Some("Strobe") => (Shape::Hard, Timing::Even),
            Some(end) => match flash(&format!("Strobe{end}")) {
                Some(kind) => kind,
                None => {
                    let what = "a rate of flashes while the shutter is chosen";
                    self.said.note("", what, "what it then does is not stated: it is unknown");
                    return None;
                }
            },
        };
        self.flashes(piece, span, shape, timing)
    }

    fn flashes(
        &mut self,
        piece: &Piece<'_>,
        span: Span,
        shape: Shape,
        timing: Timing,
    ) -> Option<Effect> {
        let (function, set) = (piece.function, piece.set);
        let given = function.physical_from.is_some() || function.physical_to.is_some();
        if !given && set.is_none_or(|set| set.physical_from.is_none() && set.physical_to.is_none())
        {
            let item = self.item.clone();
            let mend = "the standard's 0 to 1 Hz are taken; look the rate up in the manual";
            self.said.warning(&item, "flashes without a rate", mend);
        }
        let hz = self.hertz(span)?;
        Some(Effect::Strobe { hz, shape, timing, even_in: EvenIn::Hz })
    }

    /// A shutter between 0, closed, and 1, open. One that can stand between is a dimmer by itself,
    /// unless its name says that it does not.
    fn shutter(&mut self, piece: &Piece<'_>, span: Span) -> Effect {
        let label = piece.label();
        let says = |words: &[&str]| super::words::says(label, words);
        match span {
            (0.0, 0.0) => Effect::Shut,
            (1.0, 1.0) => Effect::Open,
            _ if says(&["closed", "close", "shut", "blackout"]) => Effect::Shut,
            _ if says(&["open", "opened"]) => Effect::Open,
            _ => {
                let item = self.item.clone();
                let what = "a shutter that stands between closed and open";
                self.said.note(&item, what, "taken as a linear dimmer");
                let percent = self.percent(span);
                percent.map_or(Effect::Unknown, |percent| Effect::Dimmer {
                    percent,
                    curve: Curve::Linear,
                })
            }
        }
    }

    /// The curve that a function names.
    fn curve(&mut self, function: &ChannelFunction) -> Curve {
        let Some(link) = function.dmx_profile.as_deref() else { return Curve::Unknown };
        let found = curves::named(self.fixture, link);
        found.map(curves::of_level).unwrap_or_else(|| {
            let item = self.item.clone();
            self.said.warning(&item, format!("there is no curve `{link}`"), "taken as linear");
            Curve::Unknown
        })
    }

    fn beam(&mut self, named: Named, span: Span) -> Option<Vec<Effect>> {
        let blade = u8::try_from(named.n).ok().filter(|n| (1..=4).contains(n));
        let effect = match named.attribute.name {
            "Zoom" | "ZoomModeSpot" | "ZoomModeBeam" => {
                self.within(span, 0.01, 179.9, "deg").map(|deg| Effect::Zoom { deg })
            }
            "Focus(n)" if named.n == 1 => {
                self.percent(span).map(|percent| Effect::Focus { percent })
            }
            "Iris" => {
                let mend = "1 is taken as wide open";
                self.said.note("", "the standard does not say which end of an iris is open", mend);
                self.percent(span).map(|percent| Effect::Iris { percent })
            }
            "IrisStrobe" | "IrisStrobeRandom" => self.iris(span, Shape::Hard),
            "IrisPulseClose" | "IrisRandomPulseClose" => self.iris(span, Shape::Closing),
            "IrisPulseOpen" | "IrisRandomPulseOpen" => self.iris(span, Shape::Opening),
            "Frost(n)" if named.n == 1 => {
                self.percent(span).map(|percent| Effect::Frost { percent })
            }
            "Blade(n)A" => {
                let mend = "1 to 4 are taken as top, right, bottom, left";
                self.said.note("", "the standard does not say which blade is which", mend);
                let blade = blade?;
                self.percent(span).map(|percent| Effect::Blade { blade, percent })
            }
            "Blade(n)Rot" => {
                let blade = blade?;
                self.within(span, -1e5, 1e5, "deg").map(|deg| Effect::BladeTurn { blade, deg })
            }
            "ShaperRot" => self.within(span, -1e5, 1e5, "deg").map(|deg| Effect::FrameTurn { deg }),
            _ => return None,
        };
        Some(vec![effect.unwrap_or(Effect::Unknown)])
    }

    fn iris(&mut self, span: Span, shape: Shape) -> Option<Effect> {
        self.hertz(span).map(|hz| Effect::IrisPulse { hz, shape })
    }
}

/// Course and timing of the flashes that the end of a shutter attribute names.
fn flash(end: &str) -> Option<(Shape, Timing)> {
    Some(match end {
        "Strobe" => (Shape::Hard, Timing::Even),
        "StrobePulse" => (Shape::Swell, Timing::Even),
        "StrobePulseOpen" => (Shape::Opening, Timing::Even),
        "StrobePulseClose" => (Shape::Closing, Timing::Even),
        "StrobeRandom" => (Shape::Hard, Timing::Random),
        "StrobeRandomPulse" => (Shape::Swell, Timing::Random),
        "StrobeRandomPulseOpen" => (Shape::Opening, Timing::Random),
        "StrobeRandomPulseClose" => (Shape::Closing, Timing::Random),
        "StrobeEffect" => (Shape::Hard, Timing::Burst),
        _ => return None,
    })
}
