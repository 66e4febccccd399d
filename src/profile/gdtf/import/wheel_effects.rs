//! What pieces of channels that move wheels do.
//!
//! Wheel slots count from 1, and 0 or nothing means none (DIN SPEC 15800, table 61). The physical pair
//! of a set that selects a slot is a place in shares of a slot: 0 to 0 snaps, -0.5 to 0.5 glides from
//! half the slot before to half the one behind. 0 to 1 is what a set has that gives none, and snaps.

use super::super::attributes::Named;
use super::effects::{Done, Maker};
use super::pieces::Piece;
use crate::profile::{Effect, EvenIn, Span};

/// Families of attributes that move a wheel.
const FAMILIES: [&str; 4] = ["Gobo(n)", "Color(n)", "AnimationWheel(n)", "Prism(n)"];

/// The attribute that selects on the wheel that an attribute moves, and the end of its name; `None`
/// for one that moves no wheel.
pub(super) fn family(named: Named) -> Option<(String, &'static str)> {
    let name = named.attribute.name;
    let (family, end) =
        FAMILIES.iter().find_map(|family| name.strip_prefix(family).map(|end| (family, end)))?;
    let moves = !matches!(end, "Mode" | "MSpeed" | "WheelMode" | "Macro");
    moves.then(|| (family.replace("(n)", &named.n.to_string()), end))
}

/// What a piece does to a wheel; `None` where its attribute moves none.
pub(super) fn effects(
    maker: &mut Maker<'_, '_>,
    piece: &Piece<'_>,
    named: Named,
) -> Option<Vec<Done>> {
    let (selects, end) = family(named)?;
    let own = piece.function.wheel.clone().filter(|wheel| !wheel.is_empty());
    let wheel = own.or_else(|| maker.wheel_of.get(&selects).cloned());
    let one = |effects: Vec<Effect>| vec![(piece.first, piece.last, effects)];
    let known = wheel.filter(|wheel| maker.wheels.contains_key(wheel));
    let Some(wheel) = known else {
        let what = format!("`{}` moves a wheel that the file does not have", named.attribute.name);
        let item = maker.item.clone();
        maker.said.warning(&item, what, "the range stands as unknown");
        return Some(one(vec![Effect::Unknown]));
    };
    let slot = slot(maker, piece, &wheel);
    let span = (super::round(piece.line.at(piece.first)), super::round(piece.line.at(piece.last)));
    if end.is_empty() {
        return Some(select(maker, piece, &wheel, slot));
    }
    let made = moved(maker, &wheel, slot, end, span);
    Some(one(made.unwrap_or_else(|| {
        if slot.is_none() && end.starts_with("Select") {
            no_place(maker, &wheel);
        } else {
            maker.nothing(named.attribute.name);
        }
        vec![Effect::Unknown]
    })))
}

/// The wheel slot that a piece names.
fn slot(maker: &mut Maker<'_, '_>, piece: &Piece<'_>, wheel: &str) -> Option<u16> {
    let index = piece.set?.wheel_slot.filter(|index| *index > 0)?;
    let count = maker.wheels.get(wheel).map_or(0, |wheel| wheel.slots.len());
    let slot = u16::try_from(index).ok().filter(|slot| usize::from(*slot) <= count);
    if slot.is_none() {
        let what = format!("`{}` is at slot {index} of the wheel `{wheel}`", piece.label());
        let item = maker.item.clone();
        maker.said.error(
            &item,
            what,
            format!("its slots are 1 to {count}; the range stands as unknown"),
        );
    }
    slot
}

fn no_place(maker: &mut Maker<'_, '_>, wheel: &str) {
    let item = maker.item.clone();
    let what = format!("values that name no place on the wheel `{wheel}`");
    maker.said.note(&item, what, "they stand as unknown");
}

/// Values that select a slot, or glide past it.
fn select(
    maker: &mut Maker<'_, '_>,
    piece: &Piece<'_>,
    wheel: &str,
    slot: Option<u16>,
) -> Vec<Done> {
    let (first, last) = (piece.first, piece.last);
    let wheel = wheel.to_owned();
    let Some(slot) = slot else {
        if piece.set.is_none_or(|set| set.wheel_slot.unwrap_or(0) == 0) {
            no_place(maker, &wheel);
        }
        return vec![(first, last, vec![Effect::Unknown])];
    };
    let own = piece.set.is_some_and(|set| set.physical_from.is_some() || set.physical_to.is_some());
    let share = (piece.line.at(first), piece.line.at(last));
    let given = piece.set.map(|set| (set.physical_from, set.physical_to));
    if !own || share == (0.0, 0.0) || given == Some((Some(0.0), Some(1.0))) {
        return vec![(first, last, vec![Effect::Slot { wheel, slot }])];
    }
    let count = maker.wheels.get(&wheel).map_or(1, |wheel| wheel.slots.len()) as f64;
    let place = |value: u32| {
        let place = f64::from(slot) + piece.line.at(value);
        super::round(if place < 1.0 { place + count } else { place })
    };
    let inside = (-1.0..=1.0).contains(&share.0) && (-1.0..=1.0).contains(&share.1);
    if !inside {
        let item = maker.item.clone();
        let what = format!("a place `{}` to `{}` slots from slot {slot}", share.0, share.1);
        maker.said.warning(&item, what, "more than a slot away; the slot itself is taken");
        return vec![(first, last, vec![Effect::Slot { wheel, slot }])];
    }
    if share.0 == share.1 && (share.0.abs() - 0.5).abs() < 1e-6 {
        let count = count as u16;
        let before = if slot == 1 { count } else { slot - 1 };
        let behind = if slot == count { 1 } else { slot + 1 };
        let between = if share.0 < 0.0 { (before, slot) } else { (slot, behind) };
        return vec![(first, last, vec![Effect::Split { wheel, between }])];
    }
    let glide = |from: u32, to: u32| {
        let slots = (place(from).min(count + 1.0), place(to).min(count + 1.0));
        (from, to, vec![Effect::Glide { wheel: wheel.clone(), slots }])
    };
    // The first slot's lower half lies behind the last slot: the places jump by a whole turn there.
    let jump = piece.line.passes(0.0).filter(|_| slot == 1 && share.0.min(share.1) < 0.0);
    match jump {
        Some(jump) if jump > first && jump <= last => {
            // A place on the jump itself counts from 1 and belongs to the upper half.
            let jump = if share.0 < share.1 { jump } else { jump.saturating_add(1).min(last) };
            vec![glide(first, jump - 1), glide(jump, last)]
        }
        _ => vec![glide(first, last)],
    }
}

/// Values that move a wheel, or what stands in it, in another way.
fn moved(
    maker: &mut Maker<'_, '_>,
    wheel: &str,
    slot: Option<u16>,
    end: &str,
    span: Span,
) -> Option<Vec<Effect>> {
    let wheel = wheel.to_owned();
    let stopped = span == (0.0, 0.0);
    let even_in = EvenIn::Hz;
    let unknown = |effect: Option<Effect>| Some(vec![effect.unwrap_or(Effect::Unknown)]);
    match end {
        "WheelSpin" if stopped => Some(vec![Effect::Halt { wheel }]),
        "WheelSpin" => unknown(maker.rpm(span).map(|rpm| Effect::Scroll { wheel, rpm, even_in })),
        "WheelRandom" | "Random" => {
            unknown(maker.hertz(span).map(|hz| Effect::RandomSlots { wheel, hz }))
        }
        "WheelIndex" => unknown(index(maker, wheel, span)),
        "SelectShake" | "WheelShake" => {
            let slot = slot?;
            unknown(maker.hertz(span).map(|hz| Effect::Shake { wheel, slot, hz }))
        }
        "SelectSpin" => {
            let slot = slot?;
            let turns = match stopped {
                true => Some(Effect::SpinStop { wheel: wheel.clone() }),
                false => {
                    maker.rpm(span).map(|rpm| Effect::Spin { wheel: wheel.clone(), rpm, even_in })
                }
            };
            let mut effects = vec![Effect::Slot { wheel, slot }];
            effects.extend(turns);
            Some(effects)
        }
        "Pos" => {
            unknown(maker.within(span, -1e5, 1e5, "deg").map(|deg| Effect::Turn { wheel, deg }))
        }
        "PosRotate" if stopped => Some(vec![Effect::SpinStop { wheel }]),
        "PosRotate" => unknown(maker.rpm(span).map(|rpm| Effect::Spin { wheel, rpm, even_in })),
        _ => None,
    }
}

/// A wheel turned to an angle: a whole turn passes every slot once, and 0 is the first.
fn index(maker: &mut Maker<'_, '_>, wheel: String, span: Span) -> Option<Effect> {
    let count = maker.wheels.get(&wheel).map_or(1, |wheel| wheel.slots.len()) as f64;
    let (a, b) = maker.within(span, 0.0, 360.0, "deg of a wheel")?;
    let place = |deg: f64| super::round(1.0 + deg / 360.0 * count);
    Some(Effect::Glide { wheel, slots: (place(a), place(b)) })
}
