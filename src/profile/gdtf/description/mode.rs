//! Modes: channels, what they do, and how they hang together.

use super::super::values::{self, DmxValue};
use super::fields::{Value, record, words};

/// Which start address a channel counts from.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum DmxBreak {
    /// This one, from 1.
    Number(u32),
    /// The last one of the reference that its tree is put in by.
    Overwrite,
}

impl Value for DmxBreak {
    fn from_attribute(text: &str) -> Result<Self, String> {
        if text.trim().eq_ignore_ascii_case("overwrite") {
            return Ok(Self::Overwrite);
        }
        match text.trim().parse() {
            // Some files count from 0 here; the standard counts from 1.
            Ok(number) if number <= 64 => Ok(Self::Number(u32::max(number, 1))),
            _ => Err(format!("`{}` is no start address of a fixture", values::short(text))),
        }
    }

    fn to_attribute(&self) -> String {
        match self {
            Self::Number(number) => number.to_string(),
            Self::Overwrite => "Overwrite".to_owned(),
        }
    }
}

words! {
    /// Which masters of a desk a channel follows.
    Master {
        /// None.
        None = "None",
        /// The grand master.
        Grand = "Grand",
        /// A group master.
        Group = "Group",
    }
}

words! {
    /// How one channel acts on another.
    RelationKind {
        /// It scales it.
        Multiply = "Multiply",
        /// It replaces it.
        Override = "Override",
    }
}

record! {
    /// A mode.
    DmxMode = "DMXMode" {
        /// Its name.
        name: String = "Name",
        /// What there is to say about it.
        description: String = "Description",
        /// The tree of parts it starts from.
        geometry: String = "Geometry",
    } {
        /// Its channels.
        channels: DmxChannel => Some("DMXChannels"),
        /// How they act on one another.
        relations: Relation => Some("Relations"),
    }
}

record! {
    /// A channel.
    DmxChannel = "DMXChannel" {
        /// The start address it counts from; the first where it is missing.
        dmx_break: DmxBreak = "DMXBreak",
        /// Its slots from 1, most significant first; none for a channel that takes no slot.
        offset: Vec<u16> = "Offset",
        /// The function it starts with, `Channel.Attribute.Function`.
        initial_function: String = "InitialFunction",
        /// The value that makes the fixture seen, or none.
        highlight: Option<DmxValue> = "Highlight",
        /// The value at rest, as files before version 1.1 have it.
        default: DmxValue = "Default",
        /// The part it acts on, and with it all parts on that one.
        geometry: String = "Geometry",
    } {
        /// What it does: only one of these at a time.
        logical: LogicalChannel => None,
    }
}

record! {
    /// One attribute of a channel.
    LogicalChannel = "LogicalChannel" {
        /// The attribute.
        attribute: String = "Attribute",
        /// It jumps in a fade.
        snap: bool = "Snap",
        /// The masters of a desk that it follows.
        master: Master = "Master",
        /// Time in seconds it needs to move in the dark.
        mib_fade_s: f64 = "MibFade",
        /// Shortest time in seconds between two changes.
        change_time_limit_s: f64 = "DMXChangeTimeLimit",
    } {
        /// What its values do.
        functions: ChannelFunction => None,
    }
}

record! {
    /// What the values of a channel do from one value on.
    ChannelFunction = "ChannelFunction" {
        /// Its name.
        name: String = "Name",
        /// The attribute; `NoFeature` where it is missing.
        attribute: String = "Attribute",
        /// What the manual calls it.
        original_attribute: String = "OriginalAttribute",
        /// Its first value; its last lies before the next function's first.
        dmx_from: DmxValue = "DMXFrom",
        /// The value at rest.
        default: DmxValue = "Default",
        /// The physical value at its first value; 0 where it is missing.
        physical_from: f64 = "PhysicalFrom",
        /// The physical value at its last value; 1 where it is missing.
        physical_to: f64 = "PhysicalTo",
        /// Time in seconds from the least to the greatest.
        real_fade_s: f64 = "RealFade",
        /// Time in seconds from rest to full speed.
        real_acceleration_s: f64 = "RealAcceleration",
        /// The wheel it moves.
        wheel: String = "Wheel",
        /// The emitter it sets.
        emitter: String = "Emitter",
        /// The filter it sets.
        filter: String = "Filter",
        /// The colour space it means.
        color_space: String = "ColorSpace",
        /// The gamut it means.
        gamut: String = "Gamut",
        /// The channel or function that must stand somewhere for it to be active.
        mode_master: String = "ModeMaster",
        /// From here.
        mode_from: DmxValue = "ModeFrom",
        /// To here.
        mode_to: DmxValue = "ModeTo",
        /// The curve it follows.
        dmx_profile: String = "DMXProfile",
        /// Physical value that the curve's 0 is.
        min: f64 = "Min",
        /// Physical value that the curve's 100 percent is.
        max: f64 = "Max",
        /// A name of the user's.
        custom_name: String = "CustomName",
    } {
        /// Parts of it that have names.
        sets: ChannelSet => None,
        /// Physical values besides.
        sub_sets: SubChannelSet => None,
    }
}

record! {
    /// A part of a function with a name.
    ChannelSet = "ChannelSet" {
        /// Its name.
        name: String = "Name",
        /// Its first value; its last lies before the next one's first.
        dmx_from: DmxValue = "DMXFrom",
        /// The physical value at its first value, where it has its own.
        physical_from: f64 = "PhysicalFrom",
        /// The physical value at its last value, where it has its own.
        physical_to: f64 = "PhysicalTo",
        /// The slot of the wheel, from 1; 0 for none.
        wheel_slot: u32 = "WheelSlotIndex",
    } {
        /// Physical values besides.
        sub_sets: SubChannelSet => None,
    }
}

record! {
    /// A physical value besides the main one.
    SubChannelSet = "SubChannelSet" {
        /// Its name.
        name: String = "Name",
        /// At the first value.
        physical_from: f64 = "PhysicalFrom",
        /// At the last value.
        physical_to: f64 = "PhysicalTo",
        /// What it is.
        unit: String = "SubPhysicalUnit",
        /// The curve it follows.
        dmx_profile: String = "DMXProfile",
    } {}
}

record! {
    /// How one channel acts on another.
    Relation = "Relation" {
        /// Its name.
        name: String = "Name",
        /// The channel that acts.
        master: String = "Master",
        /// The function that it acts on, `Channel.Attribute.Function`.
        follower: String = "Follower",
        /// How.
        kind: RelationKind = "Type",
    } {}
}

impl DmxMode {
    /// Its name; empty where it has none.
    pub fn name(&self) -> &str {
        self.name.as_deref().unwrap_or_default()
    }
}

impl DmxChannel {
    /// The name that links use: `Geometry_Attribute`, with the attribute of the first logical channel.
    pub fn name(&self) -> String {
        let attribute = self.logical.first().and_then(|logical| logical.attribute.as_deref());
        let geometry = self.geometry.as_deref().unwrap_or_default();
        format!("{geometry}_{}", attribute.unwrap_or("NoFeature"))
    }

    /// Its slots from 1, most significant first.
    pub fn slots(&self) -> &[u16] {
        self.offset.as_deref().unwrap_or_default()
    }

    /// Every function with the logical channel it stands in.
    pub fn functions(&self) -> impl Iterator<Item = (&LogicalChannel, &ChannelFunction)> {
        self.logical.iter().flat_map(|logical| logical.functions.iter().map(move |f| (logical, f)))
    }
}

impl ChannelFunction {
    /// The attribute that it sets.
    pub fn attribute(&self) -> &str {
        self.attribute.as_deref().unwrap_or("NoFeature")
    }

    /// The physical values at its first and last value.
    pub fn physical(&self) -> (f64, f64) {
        (self.physical_from.unwrap_or(0.0), self.physical_to.unwrap_or(1.0))
    }

    /// Its first value.
    pub fn from(&self) -> DmxValue {
        self.dmx_from.unwrap_or(DmxValue::ZERO)
    }
}
