//! What panels ask for.
//!
//! A panel changes nothing while it draws: it returns commands, which are applied after the pass.
//! Undo, messages and tests get every change of the window from this one place.

use std::path::PathBuf;

use super::bench::BenchCommand;
use super::clock::Rate;
use super::cues::CueAsk;
use super::drills::DrillAsk;
use super::guide::GuideAsk;
use super::keys::Action;
use super::probe::ProbeAsk;
use crate::finding::Finding;
use crate::show::Edit;
use crate::wire::{Slot, Universe};

/// How a selection joins the one that stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum How {
    /// It takes its place.
    Replace,
    /// What was selected goes, what was not comes.
    Toggle,
    /// It joins what was selected.
    Add,
}

/// One thing that a panel asks for.
#[derive(Clone, Debug, PartialEq)]
pub enum Command {
    /// Set slots of one universe.
    SetSlots {
        /// The universe.
        universe: Universe,
        /// The slots and their new values.
        values: Vec<(Slot, u8)>,
        /// Part of a gesture (a drag, a run of arrow keys, one edit that reaches several universes):
        /// everything up to the next [`Command::EndGesture`] is one step of undo.
        gesture: bool,
    },
    /// The gesture is over; the next edit is a step of its own.
    EndGesture,
    /// Select fixtures, given as places in the rig.
    Select {
        /// The fixtures.
        fixtures: Vec<usize>,
        /// How they join those selected.
        how: How,
    },
    /// Show this universe in the slots panel.
    ShowUniverse(Universe),
    /// Say something in the status line.
    Message(String),
    /// Change the show.
    Edit {
        /// The change.
        edit: Edit,
        /// Part of a gesture, as in [`Command::SetSlots`].
        gesture: bool,
    },
    /// Recall a look into the slots.
    Recall(usize),
    /// Start typing another name for a look.
    Rename(usize),
    /// Go to an instant of the timed frames, in seconds.
    Scrub(f64),
    /// Look back at an instant since time began, in seconds.
    LookBack(f64),
    /// Let time pass this fast.
    SetRate(Rate),
    /// Sweep a channel, or hold the sweep of it that is on.
    Sweep {
        /// The fixtures, as places in the rig; they are of one mode.
        fixtures: Vec<usize>,
        /// The channel, as a place in that mode.
        channel: usize,
    },
    /// Make the change of model or mode that is being looked at.
    ChangeModel {
        /// Give the slots the values that keep the meaning, in every look too.
        translate: bool,
    },
    /// Open a show file, or timed frames.
    OpenFile(PathBuf),
    /// Say why something cannot be opened.
    Refuse(Finding),
    /// Go on with the head that is probed.
    Probe(ProbeAsk),
    /// Do something with cues.
    Cues(CueAsk),
    /// Do something with the guide.
    Guide(GuideAsk),
    /// Do something with the drills.
    Drills(DrillAsk),
    /// Do something on the bench.
    Bench(BenchCommand),
    /// Do something that needs no other detail.
    Do(Action),
}
