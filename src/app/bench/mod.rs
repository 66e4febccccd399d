//! The bench: the page on which a profile is built and edited, live on a test head.
//!
//! The test head is a small window state of its own, on a show with one fixture of the edited profile,
//! so that the stage, the reading and time work on it as they do on any show.

mod act;
mod cells;
mod channel;
mod colour;
mod drawing;
mod effect;
mod files;
mod findings;
mod fixture;
pub(in crate::app) mod form;
pub mod head;
mod loss;
mod mode;
mod outline;
pub mod page;
mod range;
mod ranges;
mod wheels;

use std::path::PathBuf;
use std::sync::Arc;

use super::command::Command;
use super::files::is_known_drawing;
use super::keys::Action;
use super::state::{Preferences, State};
use crate::check::lint_profile;
use crate::decode::CompiledMode;
use crate::finding::Finding;
use crate::profile::edit::ranges::new_range;
use crate::profile::edit::{ChannelAt, RangeAt};
use crate::profile::place::PathInFile;
use crate::profile::{
    Body, Channel, Curve, Effect, Head, Mode, Optics, Profile, ProfileEdit, Range, Source,
};
use crate::show::ProfileDocument;

pub use files::BenchThen;

/// What the window shows.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Page {
    /// The show.
    #[default]
    Stage,
    /// A profile.
    Bench,
}

/// The part of a profile that is being looked at.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Section {
    /// The selected channel of the selected mode.
    #[default]
    Channel,
    /// The selected mode as a whole.
    Mode,
    /// Names, body, head, light, optics, times.
    Fixture,
    /// Wheels and drawings.
    Wheels,
    /// Light-emitting cells.
    Cells,
    /// What it does without a signal.
    Loss,
}

/// What is selected on the bench.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Focus {
    /// The part that the editor shows.
    pub section: Section,
    /// The mode, as a place in the profile's list.
    pub mode: usize,
    /// The channel, as a place in the mode's list.
    pub channel: usize,
    /// The range, as a place in the channel's list.
    pub range: Option<usize>,
    /// The wheel, by name.
    pub wheel: Option<String>,
    /// The drawing, by name.
    pub drawing: Option<String>,
}

/// One thing that a panel of the bench asks for.
#[derive(Clone, Debug, PartialEq)]
pub enum BenchCommand {
    /// Change the profile.
    Edit {
        /// The change.
        edit: ProfileEdit,
        /// Part of a gesture: everything up to the next [`Self::EndGesture`] is one step of undo.
        gesture: bool,
    },
    /// The gesture is over.
    EndGesture,
    /// Select something.
    Show(Box<Focus>),
    /// Do something to the test head.
    Head(Box<Command>),
    /// Give a channel of the test head a value, at full resolution.
    SetValue {
        /// The channel, as a place in the mode's list.
        channel: usize,
        /// The value.
        value: u32,
    },
    /// Select a range and let the test head do what it does.
    Try(usize),
    /// Put every channel of the test head to rest.
    Rest,
    /// Let the test head give light.
    Light,
    /// Edit a copy of a profile that comes with the program.
    OpenLibrary(String),
    /// Edit a profile file.
    Open(PathBuf),
    /// Add a copy of the selected mode.
    CopyMode,
    /// Add an empty mode.
    NewMode,
    /// Add a channel behind the selected one.
    NewChannel,
}

impl From<BenchCommand> for Command {
    fn from(command: BenchCommand) -> Self {
        Self::Bench(command)
    }
}

/// A profile that is being built, and its test head.
pub struct Bench {
    /// The profile.
    pub document: ProfileDocument,
    /// The test head: a show with one fixture of this profile.
    pub head: State,
    /// What is selected.
    pub focus: Focus,
    /// What the checks say about the profile as it stands.
    pub findings: Vec<(PathInFile, Finding)>,
    gesture: Option<u64>,
    /// How many edits were made since it was opened.
    edits: u64,
    /// What was asked for while a text was being typed: done once the text was handed in.
    deferred: Option<Action>,
    /// Corners of the opening that is being drawn.
    opening: Vec<(f64, f64)>,
    /// The corner that is being dragged: an opening and a corner of it. `None` for the opening is the one
    /// that is being drawn.
    dragged: Option<(Option<usize>, usize)>,
}

impl Bench {
    /// A bench on a profile in hand.
    pub fn new(document: ProfileDocument, preferences: Preferences) -> Self {
        let profile = document.profile().clone();
        let show = head::test_show(&profile, 0, None);
        let mut bench = Self {
            findings: Vec::new(),
            document,
            head: State::new(show, None, preferences),
            focus: Focus::default(),
            gesture: None,
            edits: 0,
            deferred: None,
            opening: Vec::new(),
            dragged: None,
        };
        bench.check();
        bench.light();
        bench.focus.range = bench.range_in_force();
        bench
    }

    /// The profile as it stands.
    pub fn profile(&self) -> &Arc<Profile> {
        self.document.profile()
    }

    /// The selected mode.
    pub fn mode(&self) -> Option<&Mode> {
        self.profile().modes.get(self.focus.mode)
    }

    /// The selected channel.
    pub fn channel(&self) -> Option<&Channel> {
        self.mode()?.channels.get(self.focus.channel)
    }

    /// The selected range.
    pub fn range(&self) -> Option<&Range> {
        self.channel()?.ranges.get(self.focus.range?)
    }

    /// Where the selected channel is.
    pub fn channel_at(&self) -> ChannelAt {
        ChannelAt { mode: self.focus.mode, channel: self.focus.channel }
    }

    /// Where the selected range is.
    pub fn range_at(&self) -> Option<RangeAt> {
        Some(self.channel_at().range(self.focus.range?))
    }

    /// The selected mode as the test head has it.
    pub(super) fn compiled(&self) -> Option<&CompiledMode> {
        self.head.plan.fixtures().first()?.mode.as_deref()
    }

    fn check(&mut self) {
        self.findings = lint_profile(self.document.profile(), &is_known_drawing).list().to_vec();
    }
}

/// What [`Action`]s mean something on the bench beside those of the test head's stage and time.
pub(super) fn is_bench_action(action: Action) -> bool {
    matches!(
        action,
        Action::New
            | Action::Open
            | Action::Save
            | Action::SaveAs
            | Action::Undo
            | Action::Redo
            | Action::SplitRange
            | Action::MergeRanges
            | Action::NextRange
            | Action::PreviousRange
    )
}

/// A profile to begin with: a fixed white light with a dimmer.
pub(super) fn blank_profile() -> Profile {
    let dimmer = Effect::Dimmer { percent: (0.0, 100.0), curve: Curve::Unknown };
    Profile {
        maker: "Maker".to_owned(),
        model: "Untitled".to_owned(),
        revision: String::new(),
        provenance: Default::default(),
        body: Body::default(),
        head: Head::Fixed,
        source: Source::White { flux_lm: 5000.0, cct_k: 5600.0, lamp: Default::default() },
        optics: Optics { beam_deg: 15.0, field_deg: 25.0, peak_cd: None },
        wheels: Default::default(),
        times: Default::default(),
        on_loss: Default::default(),
        cells: Vec::new(),
        drawings: Default::default(),
        accepted: Vec::new(),
        modes: vec![Mode {
            name: "basic".to_owned(),
            slots: 1,
            channels: vec![Channel {
                name: "Dimmer".to_owned(),
                at: vec![1],
                default: 0,
                snap: false,
                cell: None,
                ranges: vec![new_range(0, 255, 1, dimmer, Vec::new())],
            }],
        }],
    }
}

/// `wanted`, or with the first number behind it that makes it differ from every name in `taken`.
pub(super) fn free_name<'a>(wanted: &str, taken: impl Iterator<Item = &'a str> + Clone) -> String {
    let is_taken = |name: &str| taken.clone().any(|known| known == name);
    if !is_taken(wanted) {
        return wanted.to_owned();
    }
    let numbered = (2..).map(|number: u32| format!("{wanted} {number}"));
    numbered.into_iter().find(|name| !is_taken(name)).unwrap_or_default()
}
