//! Edits of wheels, their slots, drawings and emitters, and of what names them.

use super::{ProfileEdit, each_effect, nothing, place_after_move, refusal, rename_accepted, shift};
use crate::finding::Finding;
use crate::profile::effect::Effect;
use crate::profile::model::{Profile, Source, Wheel, WheelSlot};

pub(super) fn make(profile: &mut Profile, edit: ProfileEdit) -> Result<(), Finding> {
    match edit {
        ProfileEdit::RenameEmitter { emitter, name } => rename_emitter(profile, emitter, name)?,
        ProfileEdit::AddWheel { name } => {
            free_name(profile.wheels.contains_key(&name), "wheel", &name)?;
            let wheel = Wheel { move_s: None, shortest: None, slots: vec![WheelSlot::Open] };
            profile.wheels.insert(name, wheel);
        }
        ProfileEdit::RenameWheel { from, to } => rename_wheel(profile, &from, to)?,
        ProfileEdit::RemoveWheel { name } => {
            unused(profile, &name, |_| true, &format!("wheel `{name}`"))?;
            profile.wheels.remove(&name).ok_or_else(|| nothing("wheel"))?;
        }
        ProfileEdit::SetWheelMove { name, move_s, shortest } => {
            let wheel = wheel_of(profile, &name)?;
            (wheel.move_s, wheel.shortest) = (move_s, shortest);
        }
        ProfileEdit::AddWheelSlot { wheel, at, slot } => {
            let slots = &mut wheel_of(profile, &wheel)?.slots;
            let at = at.min(slots.len());
            slots.insert(at, slot);
            renumber(profile, &wheel, |place| if place >= at { place + 1 } else { place });
        }
        ProfileEdit::SetWheelSlot { wheel, at, slot } => {
            let slots = &mut wheel_of(profile, &wheel)?.slots;
            *slots.get_mut(at).ok_or_else(|| nothing("wheel slot"))? = slot;
        }
        ProfileEdit::MoveWheelSlot { wheel, from, to } => {
            shift(&mut wheel_of(profile, &wheel)?.slots, from, to, "wheel slot")?;
            renumber(profile, &wheel, |place| place_after_move(place, from, to));
        }
        ProfileEdit::RemoveWheelSlot { wheel, at } => remove_slot(profile, &wheel, at)?,
        ProfileEdit::SetDrawing { name, openings } => {
            if name.trim().is_empty() {
                return Err(refusal("the drawing has no name", "wheels name it by that"));
            }
            profile.drawings.insert(name, openings);
        }
        ProfileEdit::RenameDrawing { from, to } => {
            free_name(from != to && profile.drawings.contains_key(&to), "drawing", &to)?;
            let drawing = profile.drawings.remove(&from).ok_or_else(|| nothing("drawing"))?;
            profile.drawings.insert(to.clone(), drawing);
            for name in drawing_names(profile).filter(|name| **name == from) {
                name.clone_from(&to);
            }
        }
        ProfileEdit::RemoveDrawing { name } => {
            // Where the program has one of the same name, that one takes its place.
            profile.drawings.remove(&name).ok_or_else(|| nothing("drawing"))?;
        }
        _ => {}
    }
    Ok(())
}

fn free_name(taken: bool, what: &str, name: &str) -> Result<(), Finding> {
    if name.trim().is_empty() {
        return Err(refusal(format!("the {what} has no name"), "give it one"));
    }
    match taken {
        true => Err(refusal(format!("there is a {what} `{name}` already"), "choose another name")),
        false => Ok(()),
    }
}

fn wheel_of<'a>(profile: &'a mut Profile, name: &str) -> Result<&'a mut Wheel, Finding> {
    profile.wheels.get_mut(name).ok_or_else(|| nothing("wheel"))
}

fn drawing_names(profile: &mut Profile) -> impl Iterator<Item = &mut String> {
    let slots = profile.wheels.values_mut().flat_map(|wheel| &mut wheel.slots);
    slots.filter_map(|slot| match slot {
        WheelSlot::Pattern(_, drawing) | WheelSlot::Animation(_, drawing) => Some(drawing),
        _ => None,
    })
}

fn rename_emitter(profile: &mut Profile, emitter: usize, name: String) -> Result<(), Finding> {
    let Source::Emitters(emitters) = &mut profile.source else { return Err(nothing("emitter")) };
    let named = emitters.get_mut(emitter).ok_or_else(|| nothing("emitter"))?;
    let old = std::mem::replace(&mut named.name, name.clone());
    each_effect(profile, |effect| {
        if let Effect::Emitter { name: used, .. } = effect
            && *used == old
        {
            used.clone_from(&name);
        }
    });
    Ok(())
}

fn rename_wheel(profile: &mut Profile, from: &str, to: String) -> Result<(), Finding> {
    free_name(from != to && profile.wheels.contains_key(&to), "wheel", &to)?;
    let wheel = profile.wheels.remove(from).ok_or_else(|| nothing("wheel"))?;
    profile.wheels.insert(to.clone(), wheel);
    rename_accepted(profile, &format!("wheel \"{from}\""), &format!("wheel \"{to}\""));
    each_effect(profile, |effect| {
        if let Some(name) = effect.wheel_mut().filter(|name| *name == from) {
            name.clone_from(&to);
        }
    });
    Ok(())
}

/// Refuses to take something off a wheel that a range still names.
fn unused(
    profile: &Profile,
    wheel: &str,
    needs: impl Fn(&Effect) -> bool,
    what: &str,
) -> Result<(), Finding> {
    for mode in &profile.modes {
        for channel in &mode.channels {
            for (i, range) in channel.ranges.iter().enumerate() {
                if range.effects().any(|effect| effect.wheel() == Some(wheel) && needs(effect)) {
                    return Err(refusal(
                        format!(
                            "range {} of the channel `{}` in the mode `{}` needs the {what}",
                            i + 1,
                            channel.name,
                            mode.name
                        ),
                        "let it do something else first",
                    ));
                }
            }
        }
    }
    Ok(())
}

/// Lets effects name the slots of a wheel, as places from 0, by other numbers.
fn renumber(profile: &mut Profile, wheel: &str, to: impl Fn(usize) -> usize) {
    each_effect(profile, |effect| {
        if effect.wheel() == Some(wheel) {
            for slot in effect.wheel_slots_mut() {
                if let Some(place) = usize::from(*slot).checked_sub(1) {
                    *slot = u16::try_from(to(place) + 1).unwrap_or(u16::MAX);
                }
            }
        }
    });
}

fn remove_slot(profile: &mut Profile, wheel: &str, at: usize) -> Result<(), Finding> {
    let number = at + 1;
    let names = |effect: &Effect| effect.wheel_slots().iter().any(|s| usize::from(*s) == number);
    unused(profile, wheel, names, &format!("slot {number} of the wheel `{wheel}`"))?;
    let slots = &mut wheel_of(profile, wheel)?.slots;
    if at >= slots.len() {
        return Err(nothing("wheel slot"));
    }
    slots.remove(at);
    let places = slots.len() as f64 + 1.0;
    renumber(profile, wheel, |place| if place > at { place - 1 } else { place });
    each_effect(profile, |effect| {
        if let Effect::Glide { wheel: name, slots: (a, b) } = effect
            && name == wheel
        {
            (*a, *b) = (a.min(places), b.min(places));
        }
    });
    Ok(())
}
