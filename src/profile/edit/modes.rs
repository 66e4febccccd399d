//! Edits of modes as a whole.

use super::{ProfileEdit, mode_of, nothing, refusal, rename_accepted, shift};
use crate::finding::Finding;
use crate::profile::model::{Mode, Profile};
use crate::profile::times::Loss;

pub(super) fn make(profile: &mut Profile, edit: ProfileEdit) -> Result<(), Finding> {
    match edit {
        ProfileEdit::AddMode { at, mode } => {
            profile.modes.insert(at.min(profile.modes.len()), *mode);
        }
        ProfileEdit::RenameMode { mode, name } => {
            let old = std::mem::replace(&mut mode_of(profile, mode)?.name, name.clone());
            rename_accepted(profile, &format!("mode \"{old}\""), &format!("mode \"{name}\""));
        }
        ProfileEdit::MoveMode { from, to } => shift(&mut profile.modes, from, to, "mode")?,
        ProfileEdit::RemoveMode(mode) => {
            if mode >= profile.modes.len() {
                return Err(nothing("mode"));
            }
            if profile.modes.len() == 1 {
                return Err(refusal("a profile has one mode at least", "add another one first"));
            }
            profile.modes.remove(mode);
            forget_lost_channels(profile);
        }
        ProfileEdit::SetModeSlots { mode, slots } => mode_of(profile, mode)?.slots = slots,
        ProfileEdit::PackSlots { mode } => pack(mode_of(profile, mode)?),
        _ => {}
    }
    Ok(())
}

/// Whether the channels of a mode follow each other from slot 1 without a gap, in the order of the
/// list.
pub(super) fn is_packed(mode: &Mode) -> bool {
    let mut next = 1u16;
    mode.channels.iter().flat_map(|channel| &channel.at).all(|slot| {
        let follows = *slot == next;
        next = next.saturating_add(1);
        follows
    })
}

/// Puts channels on consecutive slots in the order of the list. A mode that ended with its last
/// channel still does.
pub(super) fn pack(mode: &mut Mode) {
    let last = |mode: &Mode| mode.channels.iter().flat_map(|c| &c.at).max().copied();
    let ended = last(mode).is_none_or(|last| last >= mode.slots);
    let mut next = 1u16;
    for channel in &mut mode.channels {
        // A fine slot before its coarse one stays before it.
        let mut order: Vec<usize> = (0..channel.at.len()).collect();
        order.sort_by_key(|i| channel.at[*i]);
        for i in order {
            channel.at[i] = next;
            next = next.saturating_add(1);
        }
    }
    if let Some(last) = last(mode) {
        mode.slots = if ended { last } else { mode.slots.max(last) };
    }
}

/// Takes values out of the standby look of channels that no mode has any more.
pub(super) fn forget_lost_channels(profile: &mut Profile) {
    let modes = &profile.modes;
    if let Some(Loss::Standby { values, .. }) = &mut profile.on_loss.does {
        values.retain(|name, _| modes.iter().any(|mode| mode.channel(name).is_some()));
    }
}
