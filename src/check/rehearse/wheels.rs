//! Wheels that travel through the light.

use super::head::HeadRun;
use super::kinds;
use crate::finding::{Severity, rounded};

/// What is watched of the wheels.
pub(super) struct WheelWatch {
    wheels: Vec<Option<Travel>>,
}

struct Travel {
    start: usize,
    from_s: f64,
    from: u16,
    /// Slots that stood in the light on the way, in order.
    passed: Vec<u16>,
    lit_s: f64,
}

impl WheelWatch {
    pub(super) fn new(count: usize) -> Self {
        Self { wheels: (0..count).map(|_| None).collect() }
    }
}

impl HeadRun<'_> {
    pub(super) fn watch_wheels(&mut self, t_s: f64) {
        let lit = self.pose.light() > 0.0;
        for wheel in 0..self.wheels.wheels.len() {
            let (Some(now), Some(before)) =
                (self.pose.wheels.get(wheel), self.last.wheels.get(wheel))
            else {
                continue;
            };
            // A wheel that scrolls or trembles passes slots because it was asked to.
            if now.scroll_rpm != 0.0 || now.shake_hz != 0.0 {
                self.wheels.wheels[wheel] = None;
                continue;
            }
            let (now, before) = (now.place, before.place);
            if (now - before).abs() <= 1e-9 {
                self.travel_ends(wheel, t_s);
                continue;
            }
            let (start, from_s) = (self.on.unwrap_or(0), self.last_s);
            let travel = self.wheels.wheels[wheel].get_or_insert_with(|| Travel {
                start,
                from_s,
                from: before.round() as u16,
                passed: Vec::new(),
                lit_s: 0.0,
            });
            if lit {
                travel.lit_s += t_s - from_s;
                let slot = now.round() as u16;
                if slot != travel.from && travel.passed.last() != Some(&slot) {
                    travel.passed.push(slot);
                }
            }
        }
    }

    fn travel_ends(&mut self, wheel: usize, t_s: f64) {
        let Some(mut travel) = self.wheels.wheels[wheel].take() else { return };
        let at = self.pose.wheels.get(wheel).map_or(0, |pose| pose.place.round() as u16);
        travel.passed.retain(|slot| *slot != at);
        if travel.passed.is_empty() || travel.lit_s <= 0.0 {
            return;
        }
        let Some(name) = self.mode.wheels.get(wheel) else { return };
        let slots = self.mode.profile.wheels.get(name).map_or(&[][..], |wheel| &wheel.slots);
        // A place past the last slot is the first again.
        let named = |place: &u16| {
            let nth = usize::from(*place).saturating_sub(1) % slots.len().max(1);
            slots.get(nth).map_or_else(|| place.to_string(), |slot| slot.name().to_owned())
        };
        let passed: Vec<String> = travel.passed.iter().map(named).collect();
        let what = format!(
            "the {name} wheel passes {} while it is lit, {} s in all",
            passed.join(", "),
            rounded(travel.lit_s, 2)
        );
        let mend = "turn the wheel while the head is dark, or have dark heads moved ahead";
        self.tell_in(
            kinds::WHEEL_PASSES,
            Severity::Warning,
            travel.start,
            (travel.from_s, t_s),
            what,
            mend,
        );
    }
}
