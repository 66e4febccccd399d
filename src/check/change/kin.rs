//! Which effects of one profile are the same thing as effects of another, and how nearly.

use std::collections::BTreeMap;
use std::mem::discriminant;

use crate::profile::srgb;
use crate::profile::{Effect, Profile, Wheel, WheelSlot};

/// The farthest that two tints may lie apart in sRGB, of 255 a primary, to stand in for each other.
const NEAR_TINT: f64 = 96.0;

/// What two profiles have in common.
pub(in crate::check) struct Kin<'a> {
    before: &'a Profile,
    after: &'a Profile,
    /// The wheels of `before`, and which of `after` does the same.
    wheels: BTreeMap<&'a str, &'a str>,
}

/// What a wheel is for: what most of its slots hold.
fn purpose(wheel: &Wheel) -> Option<u8> {
    let kind = |slot: &WheelSlot| match slot {
        WheelSlot::Open | WheelSlot::Blocked(_) => None,
        WheelSlot::Tint(..) => Some(0u8),
        WheelSlot::Pattern(..) => Some(1),
        WheelSlot::Prism { .. } => Some(2),
        WheelSlot::Animation(..) => Some(3),
    };
    let count = |wanted: u8| wheel.slots.iter().filter(|slot| kind(slot) == Some(wanted)).count();
    (0..4).filter(|k| count(*k) > 0).max_by_key(|k| count(*k))
}

impl<'a> Kin<'a> {
    pub(in crate::check) fn new(before: &'a Profile, after: &'a Profile) -> Self {
        let mut wheels: BTreeMap<&str, &str> = BTreeMap::new();
        for pass in 0..2 {
            for (name, wheel) in &before.wheels {
                let free = |other: &str| !wheels.values().any(|taken| *taken == other);
                let same = |(other, slots): &(&String, &Wheel)| match pass {
                    0 => other.eq_ignore_ascii_case(name) && purpose(slots) == purpose(wheel),
                    _ => purpose(slots) == purpose(wheel),
                };
                if wheels.contains_key(name.as_str()) {
                    continue;
                }
                let mut others = after.wheels.iter().filter(|(other, _)| free(other));
                if let Some((other, _)) = others.find(same) {
                    wheels.insert(name, other);
                }
            }
        }
        Self { before, after, wheels }
    }

    /// How far an effect of `after` is from one of `before`, whatever their physical values: 0 where they
    /// are the same thing, more where one can stand in for the other, `None` where it cannot.
    pub(in crate::check) fn distance(&self, wanted: &Effect, offered: &Effect) -> Option<u32> {
        let same = |is: bool| is.then_some(0);
        if discriminant(wanted) != discriminant(offered) || !self.same_wheel(wanted, offered) {
            return None;
        }
        match (wanted, offered) {
            (
                Effect::Strobe { shape: a, timing: at, .. },
                Effect::Strobe { shape: b, timing: bt, .. },
            ) => Some(u32::from(a != b) + 2 * u32::from(at != bt)),
            (Effect::Emitter { name: a, .. }, Effect::Emitter { name: b, .. }) => {
                same(a.eq_ignore_ascii_case(b))
            }
            (Effect::Filter { name: a, .. }, Effect::Filter { name: b, .. }) => same(a == b),
            (Effect::Blade { blade: a, .. }, Effect::Blade { blade: b, .. })
            | (Effect::BladeTurn { blade: a, .. }, Effect::BladeTurn { blade: b, .. }) => {
                same(a == b)
            }
            (Effect::Latch { switch: a, on: x, .. }, Effect::Latch { switch: b, on: y, .. }) => {
                same((a, x) == (b, y))
            }
            (Effect::Reset { part: a, .. }, Effect::Reset { part: b, .. }) => same(a == b),
            (Effect::Program { name: a }, Effect::Program { name: b }) => {
                same(a.eq_ignore_ascii_case(b))
            }
            (Effect::UseCurve { curve: a, .. }, Effect::UseCurve { curve: b, .. }) => same(a == b),
            (Effect::Slot { slot: a, .. }, Effect::Slot { slot: b, .. })
            | (Effect::Shake { slot: a, .. }, Effect::Shake { slot: b, .. }) => {
                self.slots(wanted, *a, *b)
            }
            (Effect::Split { between: a, .. }, Effect::Split { between: b, .. }) => {
                let straight = self.slots(wanted, a.0, b.0).zip(self.slots(wanted, a.1, b.1));
                let crossed = self.slots(wanted, a.0, b.1).zip(self.slots(wanted, a.1, b.0));
                straight.or(crossed).map(|(one, other)| one + other)
            }
            // Places of a wheel mean the same only where it holds the same.
            (Effect::Glide { .. }, Effect::Glide { .. }) => {
                let (a, b) = self.pair(wanted)?;
                same(a.slots == b.slots)
            }
            // What nobody knows, or what means nothing by itself, has no counterpart.
            (Effect::Unknown | Effect::Select, _) => None,
            _ => Some(0),
        }
    }

    /// Whether two effects move wheels that do the same, or none.
    fn same_wheel(&self, wanted: &Effect, offered: &Effect) -> bool {
        match (wanted.wheel(), offered.wheel()) {
            (Some(a), Some(b)) => self.wheels.get(a) == Some(&b),
            (None, None) => true,
            _ => false,
        }
    }

    /// The wheel that an effect moves, and its counterpart.
    fn pair(&self, wanted: &Effect) -> Option<(&'a Wheel, &'a Wheel)> {
        let name = wanted.wheel()?;
        let before = self.before.wheels.get(name)?;
        Some((before, self.after.wheels.get(*self.wheels.get(name)?)?))
    }

    /// How far what stands in two slots is apart; slots count from 1.
    fn slots(&self, wanted: &Effect, a: u16, b: u16) -> Option<u32> {
        let (before, after) = self.pair(wanted)?;
        let slot =
            |wheel: &'a Wheel, number: u16| wheel.slots.get(usize::from(number).checked_sub(1)?);
        content(slot(before, a)?, slot(after, b)?)
    }
}

/// How far the contents of two wheel slots are apart.
fn content(a: &WheelSlot, b: &WheelSlot) -> Option<u32> {
    match (a, b) {
        (WheelSlot::Open, WheelSlot::Open) | (WheelSlot::Blocked(_), WheelSlot::Blocked(_)) => {
            Some(0)
        }
        (WheelSlot::Tint(name, colour), WheelSlot::Tint(other, near)) => {
            if name.eq_ignore_ascii_case(other) || colour.eq_ignore_ascii_case(near) {
                return Some(0);
            }
            let apart = apart(rgb(colour)?, rgb(near)?);
            (apart <= NEAR_TINT).then_some(10 + apart as u32)
        }
        (WheelSlot::Pattern(name, drawing), WheelSlot::Pattern(other, same))
        | (WheelSlot::Animation(name, drawing), WheelSlot::Animation(other, same)) => {
            (name.eq_ignore_ascii_case(other) || drawing == same).then_some(0)
        }
        (WheelSlot::Prism { facets: a, .. }, WheelSlot::Prism { facets: b, .. }) => {
            Some(10 * u32::from(a.abs_diff(*b)))
        }
        _ => None,
    }
}

/// The parts of a colour written as `#rrggbb`, 0..255 each.
pub(super) fn rgb(colour: &str) -> Option<[f64; 3]> {
    srgb::parse(colour).map(|parts| parts.map(f64::from))
}

fn apart(a: [f64; 3], b: [f64; 3]) -> f64 {
    a.iter().zip(b).map(|(a, b)| (a - b).powi(2)).sum::<f64>().sqrt()
}
