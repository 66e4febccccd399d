//! From runs of values to ranges with effects, as far as what was seen goes.

use std::collections::BTreeMap;

use super::runs::Run;
use super::{Probe, Seen, Trend};
use crate::finding::{Finding, Place};
use crate::profile::Effect;
use crate::profile::effect::{Curve, EvenIn, ResetPart, Shape, Timing};
use crate::profile::model::{Axis, Channel, Head, Range, Wheel, WheelSlot};

/// Colours by the words that people use for them: what white light becomes, in sRGB. From memory.
const COLOURS: [(&str, &str); 20] = [
    ("red", "#ff0000"),
    ("orange", "#ff7000"),
    ("amber", "#ffb000"),
    ("yellow", "#ffe600"),
    ("lime", "#b0ff00"),
    ("green", "#00d020"),
    ("dark green", "#007a1e"),
    ("turquoise", "#00d8b0"),
    ("cyan", "#00d8ff"),
    ("light blue", "#80c0ff"),
    ("blue", "#1040ff"),
    ("dark blue", "#0b2bd6"),
    ("deep blue", "#0b2bd6"),
    ("violet", "#6a20ff"),
    ("purple", "#8020d0"),
    ("magenta", "#ff00c8"),
    ("pink", "#ff80c0"),
    ("lavender", "#c0a0ff"),
    ("uv", "#4000c0"),
    ("ultraviolet", "#4000c0"),
];

/// The greatest angles through which pan and tilt were seen to turn, in degrees, and whether either was
/// seen to turn at all.
#[derive(Default)]
pub(super) struct Travel {
    pan_deg: Option<f64>,
    tilt_deg: Option<f64>,
    moves: bool,
}

impl Travel {
    /// The head that can turn that far. Where only one axis was measured, what that axis does is put
    /// back to unknown: half a head cannot be described.
    pub(super) fn head(&self, channels: &mut [Channel]) -> (Head, Option<Finding>) {
        if let (Some(pan_deg), Some(tilt_deg)) = (self.pan_deg, self.tilt_deg) {
            let axis = |travel_deg| Axis {
                travel_deg,
                speed_deg_s: None,
                accel_deg_s2: None,
                endless: false,
            };
            return (Head::Moving { pan: axis(pan_deg), tilt: axis(tilt_deg) }, None);
        }
        for range in channels.iter_mut().flat_map(|channel| &mut channel.ranges) {
            if matches!(range.does, Effect::Pan { .. } | Effect::Tilt { .. }) {
                range.does = Effect::Unknown;
            }
        }
        let said = self.moves.then(|| {
            let what = "the head turns, and how far was not measured on both axes";
            let mend = "it stands still here: measure from the first value to the last, in degrees";
            Finding::warning(Place::default(), what, mend)
        });
        (Head::Fixed, said)
    }
}

/// Makes ranges of the runs of one slot.
pub(super) struct RangeMaker<'a> {
    /// The head.
    pub probe: &'a Probe,
    /// The slot.
    pub slot: u16,
    /// The wheels made so far.
    pub wheels: &'a mut BTreeMap<String, Wheel>,
    /// How far it was seen to turn so far.
    pub travel: &'a mut Travel,
}

impl RangeMaker<'_> {
    pub(super) fn range(&mut self, run: &Run<'_>, measured: Option<(f64, f64)>) -> Range {
        let effect = run.seen.and_then(|seen| self.effect(seen, measured));
        let label = match run.seen {
            None => "not looked at".to_owned(),
            Some(Seen::Nothing) => "nothing seen".to_owned(),
            Some(Seen::Other(words)) if !words.is_empty() => words.clone(),
            Some(Seen::Colour(name)) if effect.is_some() => name.clone(),
            Some(seen) => seen.to_string(),
        };
        Range {
            from: Some(run.from.into()),
            to: Some(run.to.into()),
            fine_from: None,
            fine_to: None,
            does: effect.unwrap_or(Effect::Unknown),
            also: Vec::new(),
            label,
            when: Vec::new(),
        }
    }

    /// What was seen in the program's terms; `None` where that would say more than was seen.
    fn effect(&mut self, seen: &Seen, measured: Option<(f64, f64)>) -> Option<Effect> {
        let curve = Curve::Unknown;
        Some(match seen {
            Seen::LightOn => Effect::Open,
            Seen::LightOff => Effect::Shut,
            Seen::Brighter => Effect::Dimmer { percent: (0.0, 100.0), curve },
            Seen::Darker => Effect::Dimmer { percent: (100.0, 0.0), curve },
            Seen::Strobes(trend) => flashes(*trend, measured?, Shape::Hard)?,
            Seen::Pulses(trend) => flashes(*trend, measured?, Shape::Swell)?,
            Seen::TurnsLeft | Seen::TurnsRight | Seen::TurnsUp | Seen::TurnsDown => {
                self.travel.moves = true;
                self.aim(seen, measured?)?
            }
            Seen::KeepsTurning => {
                self.travel.moves = true;
                return None;
            }
            Seen::Colour(name) => self.colour(name)?,
            Seen::Wider | Seen::Narrower => {
                let (a, b) = measured
                    .filter(|(a, b)| [a, b].iter().all(|deg| (0.01..179.9).contains(*deg)))?;
                Effect::Zoom { deg: (a, b) }
            }
            Seen::Homes => Effect::Reset { part: ResetPart::Whole, hold_s: None, takes_s: None },
            Seen::LampOff => Effect::LampOff { hold_s: None },
            Seen::LampOn => Effect::LampOn { hold_s: None },
            Seen::RunsByItself => Effect::Program { name: "built-in".to_owned() },
            _ => return None,
        })
    }

    /// Pan or tilt about the middle of what was measured. Left is anticlockwise seen from above, which
    /// a head on its foot has the other way round in its own terms. Which way tilt counts cannot be
    /// seen without a chart: the first value is taken as the negative end.
    fn aim(&mut self, seen: &Seen, (a, b): (f64, f64)) -> Option<Effect> {
        let travel_deg = (b - a).abs();
        if !(1.0..=100_000.0).contains(&travel_deg) {
            return None;
        }
        let half = travel_deg / 2.0;
        let rising = (-half, half);
        let falling = (half, -half);
        let wider = |known: Option<f64>| known.map_or(travel_deg, |known| known.max(travel_deg));
        match seen {
            Seen::TurnsLeft | Seen::TurnsRight => {
                self.travel.pan_deg = Some(wider(self.travel.pan_deg));
                let anticlockwise = (*seen == Seen::TurnsLeft) != self.probe.standing;
                Some(Effect::Pan { deg: if anticlockwise { rising } else { falling } })
            }
            _ => {
                self.travel.tilt_deg = Some(wider(self.travel.tilt_deg));
                Some(Effect::Tilt { deg: if *seen == Seen::TurnsUp { rising } else { falling } })
            }
        }
    }

    /// A place on the wheel of this slot, which begins with an open one.
    fn colour(&mut self, name: &str) -> Option<Effect> {
        let lower = name.trim().to_lowercase();
        let wheel = format!("slot {}", self.slot);
        let is_open = ["white", "open", "none", "clear"].contains(&lower.as_str());
        let tint = COLOURS.iter().find(|(word, _)| *word == lower).map(|(_, tint)| *tint);
        if tint.is_none() && !is_open {
            return None;
        }
        let empty = || Wheel { move_s: None, shortest: None, slots: vec![WheelSlot::Open] };
        let slots = &mut self.wheels.entry(wheel.clone()).or_insert_with(empty).slots;
        let known = match tint {
            None => Some(0),
            Some(_) => slots.iter().position(|slot| slot.name() == lower),
        };
        let at = known.unwrap_or_else(|| {
            slots.push(WheelSlot::Tint(lower, tint.unwrap_or_default().to_owned()));
            slots.len() - 1
        });
        Some(Effect::Slot { wheel, slot: at as u16 + 1 })
    }
}

/// Flashes at the rates that were measured; `None` where these run against what was seen, or make no
/// sense.
fn flashes(trend: Trend, (a, b): (f64, f64), shape: Shape) -> Option<Effect> {
    let sound = [a, b].iter().all(|hz| (0.01..=200.0).contains(hz));
    let agrees = match trend {
        Trend::Same => true,
        Trend::Faster => a <= b,
        Trend::Slower => a >= b,
    };
    (sound && agrees).then_some(Effect::Strobe {
        hz: (a, b),
        shape,
        timing: Timing::default(),
        even_in: EvenIn::default(),
    })
}
