//! Effects in numbers and words: the physical pair of each, what it moves, how long it is held, its stable name.

use super::effect::{Effect, EvenIn, Shape, Span, Timing};
use super::quantity::Unit;

/// A physical pair with its unit and the way it runs between its ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Physical {
    /// Values at the two ends.
    pub span: Span,
    /// Their unit.
    pub unit: Unit,
    /// In what a rate runs evenly.
    pub even_in: EvenIn,
}

impl Physical {
    /// The value at `t`, 0 at the first value of the range and 1 at the last.
    ///
    /// A rate that runs evenly in seconds runs evenly in its reciprocal; where an end is 0 or the
    /// ends differ in sign a period has no meaning, and it runs evenly in the rate.
    pub fn at(&self, t: f64) -> f64 {
        let (a, b) = self.span;
        if self.even_in == EvenIn::Seconds && a * b > 0.0 {
            let (pa, pb) = (1.0 / a, 1.0 / b);
            return 1.0 / (pa + (pb - pa) * t);
        }
        // Written so that both ends come out exactly.
        a * (1.0 - t) + b * t
    }

    /// The `t` at which [`Self::at`] gives `value`, or `None` outside the ends.
    pub fn inverse(&self, value: f64) -> Option<f64> {
        let (a, b) = self.span;
        let (low, high) = if a <= b { (a, b) } else { (b, a) };
        // Half a millionth of the span is float noise, not a value out of range.
        let slack = (high - low).abs() * 5e-7;
        if !value.is_finite() || value < low - slack || value > high + slack {
            return None;
        }
        let t = if a == b {
            0.0
        } else if self.even_in == EvenIn::Seconds && a * b > 0.0 {
            (1.0 / value - 1.0 / a) / (1.0 / b - 1.0 / a)
        } else {
            (value - a) / (b - a)
        };
        Some(t.clamp(0.0, 1.0))
    }
}

impl Effect {
    /// The physical pair of this effect, or `None` where it has none (open, reset, a wheel slot).
    pub fn physical(&self) -> Option<Physical> {
        let (span, unit, even_in) = match self {
            Self::Pan { deg }
            | Self::Tilt { deg }
            | Self::Turn { deg, .. }
            | Self::Zoom { deg }
            | Self::BladeTurn { deg, .. }
            | Self::FrameTurn { deg } => (*deg, Unit::Degree, EvenIn::Hz),
            Self::PanSpin { rpm } | Self::TiltSpin { rpm } => (*rpm, Unit::Rpm, EvenIn::Hz),
            Self::Scroll { rpm, even_in, .. } | Self::Spin { rpm, even_in, .. } => {
                (*rpm, Unit::Rpm, *even_in)
            }
            Self::AimRate { deg_s } => (*deg_s, Unit::DegreePerSecond, EvenIn::Hz),
            Self::AimTime { s } => (*s, Unit::Second, EvenIn::Hz),
            Self::AimShare { percent }
            | Self::Dimmer { percent, .. }
            | Self::Emitter { percent, .. }
            | Self::Filter { percent, .. }
            | Self::Focus { percent }
            | Self::Iris { percent }
            | Self::Frost { percent }
            | Self::Blade { percent, .. } => (*percent, Unit::Percent, EvenIn::Hz),
            Self::Strobe { hz, even_in, .. } => (*hz, Unit::Hertz, *even_in),
            Self::Shake { hz, .. } | Self::RandomSlots { hz, .. } | Self::IrisPulse { hz, .. } => {
                (*hz, Unit::Hertz, EvenIn::Hz)
            }
            Self::Glide { slots, .. } => (*slots, Unit::Slot, EvenIn::Hz),
            Self::Temperature { k } => (*k, Unit::Kelvin, EvenIn::Hz),
            _ => return None,
        };
        Some(Physical { span, unit, even_in })
    }

    /// It says where pan or tilt goes: to an angle, on without end, no further.
    pub fn aims(&self) -> bool {
        matches!(
            self,
            Self::Pan { .. }
                | Self::Tilt { .. }
                | Self::PanSpin { .. }
                | Self::TiltSpin { .. }
                | Self::PanStop
                | Self::TiltStop
        )
    }

    /// It says how fast pan and tilt move.
    pub fn paces_aim(&self) -> bool {
        matches!(
            self,
            Self::AimRate { .. } | Self::AimTime { .. } | Self::AimShare { .. } | Self::AimFollow
        )
    }

    /// It does something to the fixture itself, whether light comes out or not.
    pub fn acts_on_fixture(&self) -> bool {
        matches!(
            self,
            Self::Reset { .. }
                | Self::LampOn { .. }
                | Self::LampOff { .. }
                | Self::Latch { .. }
                | Self::UseCurve { .. }
                | Self::Program { .. }
                | Self::Sound
                | Self::Follow
        )
    }

    /// The wheel this effect moves, by name.
    pub fn wheel(&self) -> Option<&str> {
        match self {
            Self::Slot { wheel, .. }
            | Self::Split { wheel, .. }
            | Self::Glide { wheel, .. }
            | Self::Shake { wheel, .. }
            | Self::Scroll { wheel, .. }
            | Self::Halt { wheel }
            | Self::RandomSlots { wheel, .. }
            | Self::Turn { wheel, .. }
            | Self::Spin { wheel, .. }
            | Self::SpinStop { wheel } => Some(wheel),
            _ => None,
        }
    }

    /// The wheel slots this effect names, from 1.
    pub fn wheel_slots(&self) -> Vec<u16> {
        match self {
            Self::Slot { slot, .. } | Self::Shake { slot, .. } => vec![*slot],
            Self::Split { between: (a, b), .. } => vec![*a, *b],
            _ => Vec::new(),
        }
    }

    /// How long the value must be held before it acts. Outer `None`: the effect knows no hold;
    /// inner `None`: it does, but the profile does not say how long.
    pub fn hold_s(&self) -> Option<Option<f64>> {
        match self {
            Self::Reset { hold_s, .. }
            | Self::LampOn { hold_s }
            | Self::LampOff { hold_s }
            | Self::Latch { hold_s, .. }
            | Self::UseCurve { hold_s, .. } => Some(*hold_s),
            _ => None,
        }
    }

    /// The stable name of the effect in machine-readable output.
    pub fn key(&self) -> &'static str {
        match self {
            Self::Pan { .. } => "pan",
            Self::Tilt { .. } => "tilt",
            Self::PanSpin { .. } => "pan-spin",
            Self::TiltSpin { .. } => "tilt-spin",
            Self::PanStop => "pan-stop",
            Self::TiltStop => "tilt-stop",
            Self::AimRate { .. } => "aim-rate",
            Self::AimTime { .. } => "aim-time",
            Self::AimShare { .. } => "aim-share",
            Self::AimFollow => "aim-follow",
            Self::DarkWhileAiming => "dark-while-aiming",
            Self::DarkWhileWheels => "dark-while-wheels",
            Self::Dimmer { .. } => "dimmer",
            Self::Shut => "shut",
            Self::Open => "open",
            Self::Strobe { timing: Timing::Random, .. } => "random-strobe",
            Self::Strobe { timing: Timing::Burst, .. } => "burst",
            Self::Strobe { shape: Shape::Hard, .. } => "strobe",
            Self::Strobe { .. } => "pulse",
            Self::Slot { .. } => "slot",
            Self::Split { .. } => "split",
            Self::Glide { .. } => "glide",
            Self::Shake { .. } => "shake",
            Self::Scroll { .. } => "scroll",
            Self::Halt { .. } => "halt",
            Self::RandomSlots { .. } => "random-slots",
            Self::Turn { .. } => "turn",
            Self::Spin { .. } => "spin",
            Self::SpinStop { .. } => "spin-stop",
            Self::Emitter { .. } => "emitter",
            Self::Filter { .. } => "filter",
            Self::Temperature { .. } => "temperature",
            Self::Zoom { .. } => "zoom",
            Self::Focus { .. } => "focus",
            Self::Iris { .. } => "iris",
            Self::IrisPulse { .. } => "iris-pulse",
            Self::Frost { .. } => "frost",
            Self::Blade { .. } => "blade",
            Self::BladeTurn { .. } => "blade-turn",
            Self::FrameTurn { .. } => "frame-turn",
            Self::Idle => "idle",
            Self::Unknown => "unknown",
            Self::Select => "select",
            Self::Reset { .. } => "reset",
            Self::LampOn { .. } => "lamp-on",
            Self::LampOff { .. } => "lamp-off",
            Self::Latch { .. } => "latch",
            Self::UseCurve { .. } => "use-curve",
            Self::Program { .. } => "program",
            Self::Sound => "sound",
            Self::Follow => "follow",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn physical_runs_through_both_ends_exactly() {
        let p = Physical { span: (0.1, 0.7), unit: Unit::Hertz, even_in: EvenIn::Hz };
        assert_eq!((p.at(0.0), p.at(1.0)), (0.1, 0.7));
    }

    #[test]
    fn a_rate_even_in_seconds_has_its_middle_at_the_mean_period() {
        let p = Physical { span: (0.5, 10.0), unit: Unit::Hertz, even_in: EvenIn::Seconds };
        assert!((1.0 / p.at(0.5) - (2.0 + 0.1) / 2.0).abs() < 1e-12);
        assert!((p.at(p.inverse(3.0).unwrap()) - 3.0).abs() < 1e-9);
    }

    #[test]
    fn inverse_refuses_what_lies_outside_and_accepts_falling_pairs() {
        let p = Physical { span: (40.0, 8.0), unit: Unit::Degree, even_in: EvenIn::Hz };
        assert_eq!(p.inverse(41.0), None);
        assert_eq!(p.inverse(f64::NAN), None);
        assert_eq!(p.inverse(8.0), Some(1.0));
        assert_eq!(p.inverse(24.0), Some(0.5));
    }
}
