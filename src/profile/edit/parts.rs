//! The parts of an effect that an edit can reach whatever the effect is.

use crate::profile::effect::{Effect, Span};

impl Effect {
    /// The physical values at the two ends of the range, where the effect has some.
    pub fn span_mut(&mut self) -> Option<&mut Span> {
        match self {
            Self::Pan { deg }
            | Self::Tilt { deg }
            | Self::Turn { deg, .. }
            | Self::Zoom { deg }
            | Self::BladeTurn { deg, .. }
            | Self::FrameTurn { deg } => Some(deg),
            Self::PanSpin { rpm }
            | Self::TiltSpin { rpm }
            | Self::Scroll { rpm, .. }
            | Self::Spin { rpm, .. } => Some(rpm),
            Self::AimRate { deg_s } => Some(deg_s),
            Self::AimTime { s } => Some(s),
            Self::AimShare { percent }
            | Self::Dimmer { percent, .. }
            | Self::Emitter { percent, .. }
            | Self::Filter { percent, .. }
            | Self::Focus { percent }
            | Self::Iris { percent }
            | Self::Frost { percent }
            | Self::Blade { percent, .. } => Some(percent),
            Self::Strobe { hz, .. }
            | Self::Shake { hz, .. }
            | Self::RandomSlots { hz, .. }
            | Self::IrisPulse { hz, .. } => Some(hz),
            Self::Glide { slots, .. } => Some(slots),
            Self::Temperature { k } => Some(k),
            _ => None,
        }
    }

    /// The wheel that the effect moves, by name.
    pub fn wheel_mut(&mut self) -> Option<&mut String> {
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

    /// The wheel slots that the effect names, from 1.
    pub fn wheel_slots_mut(&mut self) -> Vec<&mut u16> {
        match self {
            Self::Slot { slot, .. } | Self::Shake { slot, .. } => vec![slot],
            Self::Split { between: (a, b), .. } => vec![a, b],
            _ => Vec::new(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::kinds::KINDS;
    use crate::profile::Library;

    #[test]
    fn what_can_be_changed_is_what_can_be_read() {
        let spot = Library::embedded().get("Tarnfell S1 Spot").unwrap();
        for mut effect in KINDS.iter().filter_map(|kind| kind.make(&spot)) {
            let span = effect.physical().map(|physical| physical.span);
            assert_eq!(effect.span_mut().copied(), span, "{effect:?}");
            let wheel = effect.wheel().map(str::to_owned);
            assert_eq!(effect.wheel_mut().cloned(), wheel, "{effect:?}");
            let slots = effect.wheel_slots();
            let reached: Vec<u16> = effect.wheel_slots_mut().into_iter().map(|s| *s).collect();
            assert_eq!(reached, slots, "{effect:?}");
        }
    }
}
