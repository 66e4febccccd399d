//! Wheels that travel through the light.

use super::head::HeadRun;
use super::kinds;
use crate::finding::{Severity, rounded};
use crate::profile::WheelSlot;

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
            let slots = self.slots(wheel).len();
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
                let from = travel.from;
                for slot in between(before, now, slots) {
                    if slot != from && travel.passed.last() != Some(&slot) {
                        travel.passed.push(slot);
                    }
                }
            }
        }
    }

    /// The slots of a wheel.
    fn slots(&self, wheel: usize) -> &[WheelSlot] {
        let wheel = self.mode.wheels.get(wheel).and_then(|name| self.mode.profile.wheels.get(name));
        wheel.map_or(&[], |wheel| &wheel.slots)
    }

    fn travel_ends(&mut self, wheel: usize, t_s: f64) {
        let Some(mut travel) = self.wheels.wheels[wheel].take() else { return };
        let at = self.pose.wheels.get(wheel).map_or(0, |pose| pose.place.round() as u16);
        travel.passed.retain(|slot| *slot != at);
        if travel.passed.is_empty() || travel.lit_s <= 0.0 {
            return;
        }
        let Some(name) = self.mode.wheels.get(wheel) else { return };
        let slots = self.slots(wheel);
        // A place past the last slot is the first again.
        let named = |place: &u16| {
            let nth = usize::from(*place).saturating_sub(1) % slots.len().max(1);
            slots.get(nth).map_or_else(|| place.to_string(), |slot| slot.name().to_owned())
        };
        let passed: Vec<String> = travel.passed.iter().map(named).collect();
        let wheel = self.mode.profile.wheels.get(name);
        let guess = match wheel.is_some_and(|wheel| wheel.shortest.is_none()) {
            true => " (estimate: its profile does not say that it takes the shorter way round)",
            false => "",
        };
        let what = format!(
            "the {name} wheel passes {} while it is lit, {} s in all{guess}",
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

/// The slots that stand in the light on the way from one place of a wheel to another, that of the end among
/// them, in order: the nearer way round, since no wheel makes half a turn from packet to packet.
fn between(from: f64, to: f64, slots: usize) -> impl Iterator<Item = u16> {
    let round = slots as f64;
    let way = (to - from) - round * ((to - from) / round.max(1.0)).round();
    let (first, last) = (from.round(), (from + way).round());
    let count = (last - first).abs();
    let step = (last - first).signum();
    let passed =
        (1..=(count as u32).min(slots as u32)).map(move |nth| first + step * f64::from(nth));
    let wrapped = move |place: f64| 1.0 + (place - 1.0).rem_euclid(round.max(1.0));
    passed.map(move |place| wrapped(place) as u16)
}

#[cfg(test)]
mod tests {
    use super::between;

    fn way(from: f64, to: f64) -> Vec<u16> {
        between(from, to, 8).collect()
    }

    /// worked example: places 1 to 8.
    #[test]
    fn slots_between_two_packets_are_filled_in_by_the_nearer_way() {
        assert!(way(1.0, 1.3).is_empty());
        assert_eq!(way(1.4, 1.6), [2]);
        assert_eq!(way(1.2, 4.1), [2, 3, 4]);
        assert_eq!(way(4.1, 1.2), [3, 2, 1]);
        assert_eq!(way(7.8, 1.9), [1, 2]);
        assert_eq!(way(1.1, 6.9), [8, 7]);
    }
}
