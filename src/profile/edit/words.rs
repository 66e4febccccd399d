//! What an edit does, in words.

use super::ProfileEdit;

impl ProfileEdit {
    /// What the edit does, as an undo step says it.
    pub fn words(&self) -> String {
        match self {
            Self::SetAbout(_) => "names and provenance".to_owned(),
            Self::SetBody(_) => "body".to_owned(),
            Self::SetHead(_) => "head".to_owned(),
            Self::SetSource(_) => "light source".to_owned(),
            Self::RenameEmitter { name, .. } => format!("rename an emitter to `{name}`"),
            Self::SetOptics(_) => "optics".to_owned(),
            Self::SetTimes(_) => "times".to_owned(),
            Self::SetOnLoss(_) => "what it does without a signal".to_owned(),
            Self::SetAccepted(_) => "what is accepted".to_owned(),
            Self::SetCells(_) => "cells".to_owned(),
            Self::AddWheel { name } => format!("add the wheel `{name}`"),
            Self::RenameWheel { to, .. } => format!("rename a wheel to `{to}`"),
            Self::RemoveWheel { name } => format!("remove the wheel `{name}`"),
            Self::SetWheelMove { name, .. } => format!("how the wheel `{name}` moves"),
            Self::AddWheelSlot { wheel, .. } => format!("add a slot to the wheel `{wheel}`"),
            Self::SetWheelSlot { wheel, at, .. } => format!("slot {} of `{wheel}`", at + 1),
            Self::MoveWheelSlot { wheel, from, to } => {
                format!("move slot {} of `{wheel}` to {}", from + 1, to + 1)
            }
            Self::RemoveWheelSlot { wheel, at } => format!("remove slot {} of `{wheel}`", at + 1),
            Self::SetDrawing { name, .. } => format!("draw `{name}`"),
            Self::RenameDrawing { to, .. } => format!("rename a drawing to `{to}`"),
            Self::RemoveDrawing { name } => format!("remove the drawing `{name}`"),
            Self::AddMode { mode, .. } => format!("add the mode `{}`", mode.name),
            Self::RenameMode { name, .. } => format!("rename a mode to `{name}`"),
            Self::MoveMode { .. } => "move a mode".to_owned(),
            Self::RemoveMode(_) => "remove a mode".to_owned(),
            Self::SetModeSlots { slots, .. } => format!("a mode of {slots} slots"),
            Self::PackSlots { .. } => "channels on consecutive slots".to_owned(),
            Self::AddChannel { channel, .. } => format!("add the channel `{}`", channel.name),
            Self::RenameChannel { name, .. } => format!("rename a channel to `{name}`"),
            Self::MoveChannel { .. } => "move a channel".to_owned(),
            Self::RemoveChannel(_) => "remove a channel".to_owned(),
            Self::SetSlots { .. } => "slots of a channel".to_owned(),
            Self::SetDefault { .. } => "value at rest".to_owned(),
            Self::SetSnap { .. } => "whether a channel jumps".to_owned(),
            Self::SetCell { .. } => "cell of a channel".to_owned(),
            Self::AddRange { .. } => "add a range".to_owned(),
            Self::SplitRange { .. } => "split a range".to_owned(),
            Self::MergeRange(_) => "merge two ranges".to_owned(),
            Self::RemoveRange(_) => "remove a range".to_owned(),
            Self::MoveEdge { .. } => "move a range's end".to_owned(),
            Self::SetEffects { .. } => "what a range does".to_owned(),
            Self::SetLabel { .. } => "label of a range".to_owned(),
            Self::SetWhen { .. } => "what a range depends on".to_owned(),
        }
    }
}
