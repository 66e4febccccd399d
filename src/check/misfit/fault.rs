//! What may be wrong with a rig that does not do what its frame says.

use super::Case;
use crate::rig::{Address, Hang};
use crate::wire::Universe;

/// Something that may be wrong. What concerns the whole wire concerns every head.
#[derive(Clone, Debug, PartialEq)]
pub enum Fault {
    /// Nothing: what is seen is what the frame asks.
    Nothing,
    /// The head listens this many slots away from its patch.
    AddressOff {
        /// Slots; positive is later.
        by: i16,
    },
    /// The head listens at the address of another, given as a place in the rig.
    AddressOf {
        /// The other.
        other: usize,
    },
    /// Every head gets the slot beside its own: one side counts from 0 and the other from 1, or the start
    /// code is counted as a slot (513 values a frame).
    CountedFrom {
        /// Slots; positive is later.
        by: i16,
    },
    /// The head is set to another of its modes.
    Mode {
        /// The mode's name.
        name: String,
    },
    /// The head listens to another universe.
    Universe {
        /// That universe.
        universe: Universe,
    },
    /// Every head listens to the universe before or behind its own.
    EveryUniverse {
        /// Universes; positive is later.
        by: i32,
    },
    /// The slots of channels come in the other order.
    FineFirst {
        /// The channels, as places in the mode.
        channels: Vec<usize>,
    },
    /// The head takes only the coarse slots of its channels.
    CoarseOnly,
    /// Pan and tilt change places.
    Swapped,
    /// Pan runs backwards.
    PanInverted,
    /// Tilt runs backwards.
    TiltInverted,
    /// It hangs where it should stand, or stands where it should hang.
    Hangs {
        /// How it really is.
        hang: Hang,
    },
    /// A range ends elsewhere than its profile says.
    Boundary {
        /// The channel, as a place in the mode.
        channel: usize,
        /// The ranges on both sides, as places in the channel.
        ranges: (usize, usize),
        /// The last coarse value that really belongs to the lower one.
        last: u8,
    },
    /// A channel runs backwards.
    Inverted {
        /// The channel, as a place in the mode.
        channel: usize,
    },
    /// The signal was lost after one of the frames, or before them all, and heads do what they do then.
    SignalLost {
        /// The last frame that arrived, as a place among the frames. `None`: one before them.
        after: Option<usize>,
    },
    /// Packets end early.
    CutShort {
        /// The last slot that arrives.
        after: u16,
    },
    /// The lamp is out or its power stage failed: the data is right, the head moves and gives no light.
    NoLamp,
    /// Nothing reaches the head: no power, no cable, or its menu shuts the data out.
    NoData,
}

/// A kind of fault, by which faults are counted and told apart in lists.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "each is a fault of the same name without its particulars")]
pub enum Kind {
    Nothing,
    AddressOff,
    AddressOf,
    CountedFrom,
    Mode,
    Universe,
    EveryUniverse,
    FineFirst,
    CoarseOnly,
    Swapped,
    PanInverted,
    TiltInverted,
    Hangs,
    Boundary,
    Inverted,
    SignalLost,
    CutShort,
    NoLamp,
    NoData,
}

impl Kind {
    /// Its name.
    pub fn words(self) -> &'static str {
        match self {
            Self::Nothing => "nothing wrong",
            Self::AddressOff => "address off",
            Self::AddressOf => "address of another head",
            Self::CountedFrom => "counted from 0 or 1",
            Self::Mode => "wrong mode",
            Self::Universe => "wrong universe",
            Self::EveryUniverse => "universes counted from 0 or 1",
            Self::FineFirst => "coarse and fine swapped",
            Self::CoarseOnly => "8 bits for 16",
            Self::Swapped => "pan and tilt swapped",
            Self::PanInverted => "pan inverted",
            Self::TiltInverted => "tilt inverted",
            Self::Hangs => "hung or standing",
            Self::Boundary => "range ends elsewhere",
            Self::Inverted => "channel inverted",
            Self::SignalLost => "signal lost",
            Self::CutShort => "packet cut short",
            Self::NoLamp => "no lamp",
            Self::NoData => "no data or power",
        }
    }

    /// How common it is, against others: address, footprint and mode first, then orientation, profiles,
    /// universes and the wire (common practice, no source).
    pub fn weight(self) -> f64 {
        match self {
            Self::Nothing => 1.0,
            Self::AddressOff => 10.0,
            Self::Mode => 8.0,
            Self::AddressOf | Self::CountedFrom => 6.0,
            Self::Swapped | Self::PanInverted | Self::TiltInverted | Self::Hangs => 5.0,
            Self::Universe | Self::Boundary | Self::NoLamp | Self::NoData => 4.0,
            Self::EveryUniverse | Self::FineFirst | Self::CoarseOnly => 3.0,
            Self::Inverted | Self::SignalLost | Self::CutShort => 2.0,
        }
    }
}

impl Fault {
    /// Its kind.
    pub fn kind(&self) -> Kind {
        match self {
            Self::Nothing => Kind::Nothing,
            Self::AddressOff { .. } => Kind::AddressOff,
            Self::AddressOf { .. } => Kind::AddressOf,
            Self::CountedFrom { .. } => Kind::CountedFrom,
            Self::Mode { .. } => Kind::Mode,
            Self::Universe { .. } => Kind::Universe,
            Self::EveryUniverse { .. } => Kind::EveryUniverse,
            Self::FineFirst { .. } => Kind::FineFirst,
            Self::CoarseOnly => Kind::CoarseOnly,
            Self::Swapped => Kind::Swapped,
            Self::PanInverted => Kind::PanInverted,
            Self::TiltInverted => Kind::TiltInverted,
            Self::Hangs { .. } => Kind::Hangs,
            Self::Boundary { .. } => Kind::Boundary,
            Self::Inverted { .. } => Kind::Inverted,
            Self::SignalLost { .. } => Kind::SignalLost,
            Self::CutShort { .. } => Kind::CutShort,
            Self::NoLamp => Kind::NoLamp,
            Self::NoData => Kind::NoData,
        }
    }

    /// It concerns the wire, and so every head.
    pub fn is_everywhere(&self) -> bool {
        matches!(
            self.kind(),
            Kind::Nothing
                | Kind::CountedFrom
                | Kind::EveryUniverse
                | Kind::SignalLost
                | Kind::CutShort
        )
    }

    /// Its share among all of its kind: near addresses before far ones (common practice, no source).
    pub(super) fn share(&self) -> f64 {
        match self {
            Self::AddressOff { by } => 1.0 / f64::from(by.unsigned_abs().max(1)),
            Self::FineFirst { channels } => 1.0 / channels.len().max(1) as f64,
            _ => 1.0,
        }
    }

    /// Where the head really listens, where its patch says `patched`. `None` for an address that there is
    /// not.
    pub(super) fn address(&self, case: &Case<'_>, patched: Address) -> Option<Address> {
        let mut address = patched;
        match self {
            Self::AddressOff { by } | Self::CountedFrom { by } => {
                let slot = i32::from(patched.slot.number()) + i32::from(*by);
                address.slot = u16::try_from(slot).ok().and_then(crate::wire::Slot::new)?;
            }
            Self::AddressOf { other } => address = case.rig.get(*other)?.address?,
            Self::Universe { universe } => address.universe = *universe,
            Self::EveryUniverse { by } => {
                let number = i64::from(patched.universe.number()) + i64::from(*by);
                address.universe = u32::try_from(number).ok().and_then(Universe::new)?;
            }
            _ => {}
        }
        Some(address)
    }

    /// What is wrong, in one sentence about the head at a place in the rig.
    pub fn words(&self, case: &Case<'_>, place: usize) -> String {
        let address = case.rig.get(place).and_then(|fixture| fixture.address);
        let really = address.and_then(|address| self.address(case, address));
        let slots = match (address, really) {
            (Some(patched), Some(really)) => {
                format!("{} instead of {}", really.slot, patched.slot)
            }
            _ => "elsewhere".to_owned(),
        };
        let channel = |at: usize| {
            let mode = case.mode(place);
            let name = mode.and_then(|mode| mode.channels.get(at)).map(|c| c.name.as_str());
            format!("`{}`", name.unwrap_or("?"))
        };
        match self {
            Self::Nothing => "nothing is wrong: this is what the frame asks".to_owned(),
            Self::AddressOff { by } => {
                let (count, way) = (by.unsigned_abs(), if *by < 0 { "early" } else { "late" });
                let unit = if count == 1 { "slot" } else { "slots" };
                format!("its address is {count} {unit} too {way}: slot {slots}")
            }
            Self::AddressOf { other } => {
                let other = case.rig.get(*other).map_or_else(String::new, |f| f.words());
                format!("it has the address of {other}: slot {slots}")
            }
            Self::CountedFrom { by } => format!(
                "every head gets the slot {} its own: one side counts from 0, or the start code \
                 is sent as a slot",
                if *by < 0 { "before" } else { "behind" }
            ),
            Self::Mode { name } => {
                let mode = case.rig.get(place).map_or("", |fixture| fixture.mode.as_str());
                format!("it is in mode `{name}` instead of `{mode}`")
            }
            Self::Universe { universe } => {
                let patched = address.map_or(0, |address| address.universe.number());
                format!("it listens to universe {universe} instead of {patched}")
            }
            Self::EveryUniverse { by } => format!(
                "every head listens to the universe {} its own: one side counts from 0",
                if *by < 0 { "before" } else { "behind" }
            ),
            Self::FineFirst { channels } => {
                let names: Vec<String> = channels.iter().map(|at| channel(*at)).collect();
                format!("coarse and fine change places on {}", names.join(", "))
            }
            Self::CoarseOnly => {
                "it takes 8 bits where 16 are sent: its fine slots do nothing".into()
            }
            Self::Swapped => "pan and tilt are swapped".to_owned(),
            Self::PanInverted => "pan is inverted".to_owned(),
            Self::TiltInverted => "tilt is inverted".to_owned(),
            Self::Hangs { hang } => {
                let stands = matches!(hang, Hang::Standing | Hang::StandingTurned { .. });
                if stands {
                    "it stands, and is set to hang"
                } else {
                    "it hangs, and is set to stand"
                }
                .to_owned()
            }
            Self::Boundary { channel: at, ranges, last } => {
                let mode = case.mode(place);
                let ranges_of = mode.and_then(|mode| mode.channels.get(*at));
                let label = |range: usize| {
                    let range = ranges_of.and_then(|channel| channel.ranges.get(range));
                    range.map_or("?", |range| range.label.as_str()).to_owned()
                };
                let next = u16::from(*last) + 1;
                format!(
                    "on {} the range `{}` begins elsewhere than the profile says, perhaps at {next}: \
                     the one before it is `{}`",
                    channel(*at),
                    label(ranges.1),
                    label(ranges.0)
                )
            }
            Self::Inverted { channel: at } => format!("{} runs backwards", channel(*at)),
            Self::SignalLost { after: None } => {
                "the signal was lost before, and every head does what it does then".to_owned()
            }
            Self::SignalLost { after: Some(frame) } => {
                format!("the signal was lost after {}", case.frame_words(*frame))
            }
            Self::CutShort { after } => {
                format!("packets end after slot {after}: nothing behind it arrives")
            }
            Self::NoLamp => "nothing in the data: its lamp is out or failed".to_owned(),
            Self::NoData => {
                "nothing in the data: no power, no cable, or its menu shuts it out".to_owned()
            }
        }
    }

    /// What a look at the head or the wire would show, where a test of slots is not wanted.
    pub fn look_up(&self) -> &'static str {
        match self.kind() {
            Kind::Nothing => "compare what is seen with the reading once more",
            Kind::AddressOff | Kind::AddressOf => "read the address on the head's own display",
            Kind::CountedFrom => {
                "count the values of a frame (512 or 513), and look whether addresses begin at 0"
            }
            Kind::Mode => "read the mode on the head's own display",
            Kind::Universe => "follow the cable, or read the universe on the head's own display",
            Kind::EveryUniverse => "look whether both ends count universes from 0 or from 1",
            Kind::FineFirst | Kind::CoarseOnly | Kind::Inverted => {
                "read the channel chart of the head's manual and its menu"
            }
            Kind::Swapped | Kind::PanInverted | Kind::TiltInverted => {
                "read invert and swap in the head's menu and in the patch"
            }
            Kind::Hangs => "look at the head",
            Kind::Boundary => "read this range in the head's manual, for its software version",
            Kind::SignalLost => "look whether the data light of any head is on",
            Kind::CutShort => "count the slots of a packet",
            Kind::NoLamp => "strike the lamp, and read the error on the head's display",
            Kind::NoData => "look whether the head's display and data light are on",
        }
    }
}

/// Every fault that could concern the head at a place in the rig.
pub(super) fn of_head(case: &Case<'_>, place: usize) -> Vec<Fault> {
    let (Some(fixture), Some(mode)) = (case.rig.get(place), case.mode(place)) else {
        return Vec::new();
    };
    let mut all = vec![Fault::NoLamp, Fault::NoData];
    if let Some(address) = fixture.address {
        addresses(case, place, address, &mut all);
    }
    let others = mode.profile.modes.iter().filter(|other| other.name != mode.name);
    all.extend(others.map(|other| Fault::Mode { name: other.name.clone() }));
    let wide: Vec<usize> =
        (0..mode.channels.len()).filter(|at| mode.channels[*at].offsets.len() > 1).collect();
    if !wide.is_empty() {
        all.push(Fault::CoarseOnly);
        all.extend(wide.iter().map(|at| Fault::FineFirst { channels: vec![*at] }));
    }
    if wide.len() > 1 {
        all.push(Fault::FineFirst { channels: wide });
    }
    if mode.profile.head.axes().is_some() {
        all.extend([Fault::Swapped, Fault::PanInverted, Fault::TiltInverted]);
    }
    let other_hang = match fixture.hang {
        Hang::Hung => Some(Hang::Standing),
        Hang::Standing => Some(Hang::Hung),
        Hang::HungTurned { turn_deg } => Some(Hang::StandingTurned { turn_deg }),
        Hang::StandingTurned { turn_deg } => Some(Hang::HungTurned { turn_deg }),
        Hang::OnSide { .. } | Hang::Turned { .. } => None,
    };
    all.extend(other_hang.map(|hang| Fault::Hangs { hang }));
    all.extend((0..mode.channels.len()).map(|channel| Fault::Inverted { channel }));
    super::boundary::near(case, place, &mut all);
    all
}

/// How far off an address is looked for.
const REACH: i16 = 16;

fn addresses(case: &Case<'_>, place: usize, address: Address, all: &mut Vec<Fault>) {
    let off = (-REACH..=REACH).filter(|by| *by != 0).map(|by| Fault::AddressOff { by });
    all.extend(off.filter(|fault| fault.address(case, address).is_some()));
    let mut taken = vec![address];
    for (other, fixture) in case.rig.iter().enumerate() {
        let Some(theirs) = fixture.address.filter(|theirs| !taken.contains(theirs)) else {
            continue;
        };
        if other != place {
            taken.push(theirs);
            all.push(Fault::AddressOf { other });
        }
    }
    let number = u32::from(address.universe.number());
    let beside = [number.checked_sub(1), Some(number + 1)];
    let mut universes: Vec<Universe> =
        beside.into_iter().flatten().filter_map(Universe::new).collect();
    universes.extend(case.frames.iter().flat_map(|frames| frames.iter().map(|(at, _)| at)));
    universes.sort_unstable();
    universes.dedup();
    let others = universes.into_iter().filter(|universe| *universe != address.universe);
    all.extend(others.map(|universe| Fault::Universe { universe }));
}

/// Every fault of the wire that could concern these heads.
pub(super) fn of_wire(case: &Case<'_>, places: &[usize]) -> Vec<Fault> {
    let mut all = vec![Fault::Nothing];
    all.extend([-1, 1].map(|by| Fault::CountedFrom { by }));
    all.extend([-1, 1].map(|by| Fault::EveryUniverse { by }));
    all.push(Fault::SignalLost { after: None });
    let kept = case.before_tests().saturating_sub(1);
    all.extend((0..kept).map(|frame| Fault::SignalLost { after: Some(frame) }));
    let mut ends: Vec<u16> = Vec::new();
    for place in places {
        let address = case.rig.get(*place).and_then(|fixture| fixture.address);
        let (Some(address), Some(mode)) = (address, case.mode(*place)) else { continue };
        let offsets = mode.channels.iter().flat_map(|channel| &channel.offsets);
        let slots = offsets.filter_map(|offset| address.slot_at(*offset));
        ends.extend(slots.map(|slot| slot.number() - 1));
    }
    ends.sort_unstable();
    ends.dedup();
    all.extend(ends.into_iter().map(|after| Fault::CutShort { after }));
    all
}
