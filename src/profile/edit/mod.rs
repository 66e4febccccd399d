//! Edits of a profile: each leaves it as readable as it was, or is refused with the reason.
//!
//! A reference follows what it refers to: a channel, wheel, emitter or drawing that is renamed is
//! renamed wherever the profile names it, and a wheel slot that moves keeps its ranges.

mod channels;
pub mod kinds;
mod modes;
pub mod parts;
pub mod ranges;
#[cfg(test)]
mod tests;
mod wheels;
mod words;

use super::effect::Effect;
use super::model::{
    Accepted, Body, Channel, Condition, Head, Mode, Optics, Profile, Provenance, Range, Source,
    WheelSlot,
};
use super::times::{OnLoss, Times};
use super::validate::{KnownDrawing, validate};
use crate::finding::{Finding, Place, Severity};

/// A channel of a mode, both as places in their lists.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct ChannelAt {
    /// The mode.
    pub mode: usize,
    /// The channel.
    pub channel: usize,
}

impl ChannelAt {
    /// A range of this channel, as a place in its list.
    pub fn range(self, range: usize) -> RangeAt {
        RangeAt { channel: self, range }
    }
}

/// A range of a channel.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct RangeAt {
    /// The channel.
    pub channel: ChannelAt,
    /// The range, as a place in its list.
    pub range: usize,
}

/// An end of a range.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Edge {
    /// Its first value.
    First,
    /// Its last value.
    Last,
}

/// What a profile is called and where its figures come from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct About {
    /// Who makes the fixture.
    pub maker: String,
    /// What it is called.
    pub model: String,
    /// Which state of the profile it is.
    pub revision: String,
    /// Where its figures come from.
    pub provenance: Provenance,
}

impl About {
    /// What a profile says of itself.
    pub fn of(profile: &Profile) -> Self {
        Self {
            maker: profile.maker.clone(),
            model: profile.model.clone(),
            revision: profile.revision.clone(),
            provenance: profile.provenance.clone(),
        }
    }
}

/// One change of a profile.
#[derive(Clone, Debug, PartialEq)]
pub enum ProfileEdit {
    /// Names and provenance.
    SetAbout(Box<About>),
    /// The body.
    SetBody(Body),
    /// What moves.
    SetHead(Box<Head>),
    /// What makes the light.
    SetSource(Source),
    /// Another name for an emitter.
    RenameEmitter {
        /// The emitter, as a place in the source's list.
        emitter: usize,
        /// Its new name.
        name: String,
    },
    /// How wide the light leaves.
    SetOptics(Optics),
    /// How long its parts take.
    SetTimes(Box<Times>),
    /// What it does without a signal.
    SetOnLoss(OnLoss),
    /// What checks say and its author means to be so.
    SetAccepted(Vec<Accepted>),
    /// Where its cells sit, in metres from its centre.
    SetCells(Vec<(f64, f64)>),
    /// A wheel with one open slot.
    AddWheel {
        /// Its name.
        name: String,
    },
    /// Another name for a wheel.
    RenameWheel {
        /// The wheel.
        from: String,
        /// Its new name.
        to: String,
    },
    /// Take a wheel out that no range moves.
    RemoveWheel {
        /// The wheel.
        name: String,
    },
    /// How a wheel moves.
    SetWheelMove {
        /// The wheel.
        name: String,
        /// Time from one slot to the next, in seconds, where it is known.
        move_s: Option<f64>,
        /// It may go either way round, where that is known.
        shortest: Option<bool>,
    },
    /// Another slot on a wheel; slots behind it move up.
    AddWheelSlot {
        /// The wheel.
        wheel: String,
        /// Its place, from 0.
        at: usize,
        /// What sits in it.
        slot: WheelSlot,
    },
    /// What sits in a slot of a wheel.
    SetWheelSlot {
        /// The wheel.
        wheel: String,
        /// The slot's place, from 0.
        at: usize,
        /// What sits in it.
        slot: WheelSlot,
    },
    /// A slot of a wheel to another place; its ranges follow.
    MoveWheelSlot {
        /// The wheel.
        wheel: String,
        /// The slot's place, from 0.
        from: usize,
        /// Where it goes, from 0.
        to: usize,
    },
    /// Take a slot off a wheel that no range names.
    RemoveWheelSlot {
        /// The wheel.
        wheel: String,
        /// The slot's place, from 0.
        at: usize,
    },
    /// A drawing of the profile's own, new or in the place of one of that name.
    SetDrawing {
        /// Its name.
        name: String,
        /// Its openings, as polygons in the unit disc.
        openings: Vec<Vec<(f64, f64)>>,
    },
    /// Another name for a drawing.
    RenameDrawing {
        /// The drawing.
        from: String,
        /// Its new name.
        to: String,
    },
    /// Take a drawing out that no wheel uses.
    RemoveDrawing {
        /// The drawing.
        name: String,
    },
    /// Another mode.
    AddMode {
        /// Its place.
        at: usize,
        /// The mode.
        mode: Box<Mode>,
    },
    /// Another name for a mode.
    RenameMode {
        /// The mode.
        mode: usize,
        /// Its new name.
        name: String,
    },
    /// A mode to another place.
    MoveMode {
        /// The mode.
        from: usize,
        /// Where it goes.
        to: usize,
    },
    /// Take a mode out; one is left at least.
    RemoveMode(usize),
    /// How many slots a mode takes.
    SetModeSlots {
        /// The mode.
        mode: usize,
        /// Its slots.
        slots: u16,
    },
    /// Channels on consecutive slots in the order of the list.
    PackSlots {
        /// The mode.
        mode: usize,
    },
    /// Another channel. Channels that follow each other without a gap go on doing so.
    AddChannel {
        /// Its place; the list's length is the end.
        at: ChannelAt,
        /// The channel.
        channel: Box<Channel>,
    },
    /// Another name for a channel.
    RenameChannel {
        /// The channel.
        at: ChannelAt,
        /// Its new name.
        name: String,
    },
    /// A channel to another place. Channels that follow each other without a gap go on doing so.
    MoveChannel {
        /// The channel.
        at: ChannelAt,
        /// Where it goes.
        to: usize,
    },
    /// Take a channel out that no range depends on.
    RemoveChannel(ChannelAt),
    /// The slots of a channel, most significant first. Values keep their place in its whole.
    SetSlots {
        /// The channel.
        at: ChannelAt,
        /// Its 1 to 4 slots, counted from the fixture's first, which is 1.
        slots: Vec<u16>,
    },
    /// The value at rest.
    SetDefault {
        /// The channel.
        at: ChannelAt,
        /// The value, at full resolution.
        value: u32,
    },
    /// Whether a channel jumps in a fade.
    SetSnap {
        /// The channel.
        at: ChannelAt,
        /// It jumps.
        snap: bool,
    },
    /// The cell that a channel drives.
    SetCell {
        /// The channel.
        at: ChannelAt,
        /// The cell, from 1; `None`: the whole fixture.
        cell: Option<u16>,
    },
    /// Another range.
    AddRange {
        /// Its channel.
        at: ChannelAt,
        /// The range.
        range: Box<Range>,
    },
    /// A range in two that do what it did.
    SplitRange {
        /// The range.
        at: RangeAt,
        /// The first value of the second half, at full resolution.
        value: u32,
    },
    /// A range and the next one in one that does what the first did.
    MergeRange(RangeAt),
    /// Take a range out: its values do nothing then.
    RemoveRange(RangeAt),
    /// An end of a range, with that of the neighbour which meets it there.
    MoveEdge {
        /// The range.
        at: RangeAt,
        /// Which end.
        edge: Edge,
        /// The value it goes to, at full resolution.
        to: u32,
    },
    /// What a range does; the first is the one that it is known by.
    SetEffects {
        /// The range.
        at: RangeAt,
        /// The effects, one at least.
        effects: Vec<Effect>,
    },
    /// What the manual calls a range.
    SetLabel {
        /// The range.
        at: RangeAt,
        /// The label; empty: the effect's own words.
        label: String,
    },
    /// What a range depends on.
    SetWhen {
        /// The range.
        at: RangeAt,
        /// The conditions, which must all hold.
        when: Vec<Condition>,
    },
}

impl ProfileEdit {
    /// Makes the edit. `known_drawing` says which drawings there are besides the profile's own.
    ///
    /// # Errors
    ///
    /// What the edit is about is not there, something still needs what it takes away, or a file could
    /// not hold the result. The profile is as it was then.
    pub fn apply(
        self,
        profile: &mut Profile,
        known_drawing: KnownDrawing<'_>,
    ) -> Result<(), Finding> {
        let mut edited = profile.clone();
        self.make(&mut edited)?;
        let after = validate(&edited, known_drawing);
        if after.failed() {
            // A profile that was opened broken may be mended step by step, but never broken further.
            let before = validate(profile, known_drawing);
            let errors = |found: &super::place::Found| -> Vec<Finding> {
                let all = found.list().iter().map(|(_, finding)| finding);
                all.filter(|finding| finding.severity == Severity::Error).cloned().collect()
            };
            let (before, after) = (errors(&before), errors(&after));
            if after.len() > before.len() {
                let new = after.iter().find(|finding| !before.contains(finding));
                return Err(new.or(after.last()).cloned().unwrap_or_else(|| nothing("profile")));
            }
        }
        *profile = edited;
        Ok(())
    }

    fn make(self, profile: &mut Profile) -> Result<(), Finding> {
        match self {
            Self::SetAbout(about) => {
                let About { maker, model, revision, provenance } = *about;
                (profile.maker, profile.model) = (maker, model);
                (profile.revision, profile.provenance) = (revision, provenance);
            }
            Self::SetBody(body) => profile.body = body,
            Self::SetHead(head) => profile.head = *head,
            Self::SetSource(source) => profile.source = source,
            Self::SetOptics(optics) => profile.optics = optics,
            Self::SetTimes(times) => profile.times = *times,
            Self::SetOnLoss(on_loss) => profile.on_loss = on_loss,
            Self::SetAccepted(accepted) => profile.accepted = accepted,
            Self::SetCells(cells) => profile.cells = cells,
            edit @ (Self::RenameEmitter { .. }
            | Self::AddWheel { .. }
            | Self::RenameWheel { .. }
            | Self::RemoveWheel { .. }
            | Self::SetWheelMove { .. }
            | Self::AddWheelSlot { .. }
            | Self::SetWheelSlot { .. }
            | Self::MoveWheelSlot { .. }
            | Self::RemoveWheelSlot { .. }
            | Self::SetDrawing { .. }
            | Self::RenameDrawing { .. }
            | Self::RemoveDrawing { .. }) => wheels::make(profile, edit)?,
            edit @ (Self::AddMode { .. }
            | Self::RenameMode { .. }
            | Self::MoveMode { .. }
            | Self::RemoveMode(_)
            | Self::SetModeSlots { .. }
            | Self::PackSlots { .. }) => modes::make(profile, edit)?,
            edit @ (Self::AddChannel { .. }
            | Self::RenameChannel { .. }
            | Self::MoveChannel { .. }
            | Self::RemoveChannel(_)
            | Self::SetSlots { .. }
            | Self::SetDefault { .. }
            | Self::SetSnap { .. }
            | Self::SetCell { .. }) => channels::make(profile, edit)?,
            edit => ranges::make(profile, edit)?,
        }
        Ok(())
    }
}

/// The finding for an edit of something that is not there (any more).
fn nothing(what: &str) -> Finding {
    refusal(format!("there is no such {what}"), "choose one that is there")
}

/// The finding for an edit that cannot be made.
fn refusal(what: impl Into<String>, mend: impl Into<String>) -> Finding {
    Finding::error(Place::default(), what, mend)
}

fn mode_of(profile: &mut Profile, mode: usize) -> Result<&mut Mode, Finding> {
    profile.modes.get_mut(mode).ok_or_else(|| nothing("mode"))
}

fn channel_of(profile: &mut Profile, at: ChannelAt) -> Result<&mut Channel, Finding> {
    let mode = mode_of(profile, at.mode)?;
    mode.channels.get_mut(at.channel).ok_or_else(|| nothing("channel"))
}

fn range_of(profile: &mut Profile, at: RangeAt) -> Result<&mut Range, Finding> {
    let channel = channel_of(profile, at.channel)?;
    channel.ranges.get_mut(at.range).ok_or_else(|| nothing("range"))
}

/// Moves an entry of a list to another place.
fn shift<T>(list: &mut Vec<T>, from: usize, to: usize, what: &str) -> Result<(), Finding> {
    if from >= list.len() || to >= list.len() {
        return Err(nothing(what));
    }
    let entry = list.remove(from);
    list.insert(to, entry);
    Ok(())
}

/// Where an entry of a list stands after the one at `from` was moved to `to`.
pub fn place_after_move(place: usize, from: usize, to: usize) -> usize {
    match place {
        place if place == from => to,
        place if from < place && place <= to => place - 1,
        place if to <= place && place < from => place + 1,
        place => place,
    }
}

/// Every effect of every range of a profile.
fn each_effect(profile: &mut Profile, mut change: impl FnMut(&mut Effect)) {
    for mode in &mut profile.modes {
        for range in mode.channels.iter_mut().flat_map(|channel| &mut channel.ranges) {
            change(&mut range.does);
            range.also.iter_mut().for_each(&mut change);
        }
    }
}

/// Lets what was accepted about a thing go along with its new name; both names are in the words of a
/// check: `mode "full"`.
fn rename_accepted(profile: &mut Profile, from: &str, to: &str) {
    for accepted in &mut profile.accepted {
        let rest = accepted.at.strip_prefix(from).filter(|r| r.is_empty() || r.starts_with(','));
        if let Some(rest) = rest {
            accepted.at = format!("{to}{rest}");
        }
    }
}
