//! Edits of channels.

use super::modes::{forget_lost_channels, is_packed, pack};
use super::{
    ChannelAt, ProfileEdit, channel_of, mode_of, nothing, refusal, rename_accepted, shift,
};
use crate::finding::Finding;
use crate::profile::model::{Channel, Condition, Mode, Profile, max_value};
use crate::profile::times::Loss;

pub(super) fn make(profile: &mut Profile, edit: ProfileEdit) -> Result<(), Finding> {
    match edit {
        ProfileEdit::AddChannel { at, channel } => {
            let mode = mode_of(profile, at.mode)?;
            let packed = is_packed(mode);
            let place = at.channel.min(mode.channels.len());
            let end = place == mode.channels.len();
            mode.channels.insert(place, *channel);
            if packed && !end {
                pack(mode);
            }
            grow(mode);
        }
        ProfileEdit::RenameChannel { at, name } => rename(profile, at, name)?,
        ProfileEdit::MoveChannel { at, to } => {
            let mode = mode_of(profile, at.mode)?;
            let packed = is_packed(mode);
            shift(&mut mode.channels, at.channel, to, "channel")?;
            if packed {
                pack(mode);
            }
        }
        ProfileEdit::RemoveChannel(at) => remove(profile, at)?,
        ProfileEdit::SetSlots { at, slots } => set_slots(profile, at, slots)?,
        ProfileEdit::SetDefault { at, value } => channel_of(profile, at)?.default = value,
        ProfileEdit::SetSnap { at, snap } => channel_of(profile, at)?.snap = snap,
        ProfileEdit::SetCell { at, cell } => channel_of(profile, at)?.cell = cell,
        _ => {}
    }
    Ok(())
}

/// Makes a mode long enough for its channels.
fn grow(mode: &mut Mode) {
    let last = mode.channels.iter().flat_map(|channel| &channel.at).max();
    mode.slots = mode.slots.max(last.copied().unwrap_or(0));
}

fn rename(profile: &mut Profile, at: ChannelAt, name: String) -> Result<(), Finding> {
    let old = std::mem::replace(&mut channel_of(profile, at)?.name, name.clone());
    let mode = mode_of(profile, at.mode)?;
    let item = format!("mode \"{}\", channel", mode.name);
    let ranges = mode.channels.iter_mut().flat_map(|channel| &mut channel.ranges);
    for Condition(channel, ..) in ranges.flat_map(|range| &mut range.when) {
        if *channel == old {
            channel.clone_from(&name);
        }
    }
    rename_accepted(profile, &format!("{item} \"{old}\""), &format!("{item} \"{name}\""));
    let elsewhere = profile.modes.iter().any(|mode| mode.channel(&old).is_some());
    if let Some(Loss::Standby { values, .. }) = &mut profile.on_loss.does
        && let Some(value) = values.get(&old).copied()
    {
        values.entry(name).or_insert(value);
        if !elsewhere {
            values.remove(&old);
        }
    }
    Ok(())
}

fn remove(profile: &mut Profile, at: ChannelAt) -> Result<(), Finding> {
    let name = channel_of(profile, at)?.name.clone();
    let mode = mode_of(profile, at.mode)?;
    let depends = |channel: &&Channel| {
        let mut when = channel.ranges.iter().flat_map(|range| &range.when);
        channel.name != name && when.any(|Condition(on, ..)| *on == name)
    };
    if let Some(other) = mode.channels.iter().find(depends) {
        return Err(refusal(
            format!("ranges of the channel `{}` depend on `{name}`", other.name),
            "take `when` out of them first",
        ));
    }
    let packed = is_packed(mode);
    let removed = mode.channels.remove(at.channel);
    if packed {
        // The slots that the channel took go with it; those that nothing described stay.
        let width = u16::try_from(removed.at.len()).unwrap_or(u16::MAX);
        let slots = mode.slots.saturating_sub(width).max(1);
        pack(mode);
        mode.slots = slots;
        grow(mode);
    }
    forget_lost_channels(profile);
    Ok(())
}

fn set_slots(profile: &mut Profile, at: ChannelAt, slots: Vec<u16>) -> Result<(), Finding> {
    let channel = channel_of(profile, at)?;
    let (old, new) = (channel.at.len(), slots.len());
    if !(1..=4).contains(&new) {
        return Err(refusal(format!("a channel of {new} slots"), "give it 1 to 4"));
    }
    channel.at = slots;
    let name = channel.name.clone();
    if old != new {
        rescale(channel, old, new);
        if let Some(Loss::Standby { values, .. }) = &mut profile.on_loss.does
            && let Some(value) = values.get_mut(&name)
        {
            *value = rescaled(*value, old, new);
        }
    }
    grow(profile.modes.get_mut(at.mode).ok_or_else(|| nothing("mode"))?);
    Ok(())
}

/// Brings values at full resolution over to another width. Coarse values need nothing.
fn rescale(channel: &mut Channel, old: usize, new: usize) {
    channel.default = rescaled(channel.default, old, new);
    for range in &mut channel.ranges {
        let fine = |value: Option<i64>, last: bool| {
            let value = u32::try_from(value?).ok()?;
            Some(i64::from(if last { last_of(value, old, new) } else { first_of(value, old, new) }))
        };
        range.fine_from = fine(range.fine_from, false);
        range.fine_to = fine(range.fine_to, true);
    }
}

/// The same value at another width: the most significant slots keep what they hold, and the greatest
/// value stays the greatest.
pub(super) fn rescaled(value: u32, old: usize, new: usize) -> u32 {
    if value == max_value(old) { max_value(new) } else { first_of(value, old, new) }
}

fn first_of(value: u32, old: usize, new: usize) -> u32 {
    let by = 8 * old.abs_diff(new) as u32;
    if new > old { value.checked_shl(by).unwrap_or(0) } else { value.checked_shr(by).unwrap_or(0) }
}

fn last_of(value: u32, old: usize, new: usize) -> u32 {
    let first = first_of(value, old, new);
    if new > old { first | max_value(new - old) } else { first }
}
