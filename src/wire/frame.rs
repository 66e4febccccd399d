//! One frame: a start code and up to 512 slots (ANSI E1.11-2008).

use std::fmt;

use serde::{Deserialize, Serialize};

/// Slots in a full frame (E1.11: data slots 1..512).
pub const SLOTS: usize = 512;

/// The start code of plain levels, the only one a level decoder may apply (E1.11, 8.5.1).
pub const NULL_START_CODE: u8 = 0x00;

/// A slot number, 1..512. Slot 0 is the start code and never an address.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Slot(u16);

impl Slot {
    /// The first.
    pub const FIRST: Self = Self(1);

    /// The slot of this number, or `None` outside 1..512.
    pub fn new(number: u16) -> Option<Self> {
        (1..=SLOTS as u16).contains(&number).then_some(Self(number))
    }

    /// The slot at `index` of a buffer of data slots, or `None` past the end.
    pub fn from_index(index: usize) -> Option<Self> {
        u16::try_from(index).ok().and_then(|i| i.checked_add(1)).and_then(Self::new)
    }

    /// Its number, from 1.
    pub fn number(self) -> u16 {
        self.0
    }

    /// Its place in a buffer of data slots, from 0.
    pub fn index(self) -> usize {
        usize::from(self.0) - 1
    }
}

impl fmt::Display for Slot {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// A universe number, 1..63999 (ANSI E1.31-2018, 9.1.1).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "u32", into = "u32")]
pub struct Universe(u16);

impl Universe {
    /// The first universe.
    pub const ONE: Self = Self(1);

    /// The universe of this number, or `None` outside 1..63999.
    pub fn new(number: u32) -> Option<Self> {
        u16::try_from(number).ok().filter(|n| (1..=63_999).contains(n)).map(Self)
    }

    /// Its number, from 1.
    pub fn number(self) -> u16 {
        self.0
    }
}

impl fmt::Display for Universe {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl TryFrom<u32> for Universe {
    type Error = String;

    fn try_from(number: u32) -> Result<Self, String> {
        Self::new(number).ok_or_else(|| format!("universe `{number}` is not one of 1..63999"))
    }
}

impl From<Universe> for u32 {
    fn from(universe: Universe) -> Self {
        universe.0.into()
    }
}

/// Why bytes are not a frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FrameError {
    /// No byte at all: not even a start code.
    Empty,
    /// More than 512 slots behind the start code.
    TooLong(usize),
}

impl fmt::Display for FrameError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => write!(f, "a packet of no bytes has no start code"),
            Self::TooLong(n) => {
                write!(f, "{n} slots behind the start code where a frame holds at most {SLOTS}")
            }
        }
    }
}

impl std::error::Error for FrameError {}

/// A start code and up to 512 slots, as one packet carries them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Frame {
    start_code: u8,
    slots: Vec<u8>,
}

impl Frame {
    /// A frame of levels. Errors above 512 slots.
    pub fn levels(slots: impl Into<Vec<u8>>) -> Result<Self, FrameError> {
        Self::new(NULL_START_CODE, slots)
    }

    /// A frame with any start code. Errors above 512 slots.
    pub fn new(start_code: u8, slots: impl Into<Vec<u8>>) -> Result<Self, FrameError> {
        let slots = slots.into();
        if slots.len() > SLOTS {
            return Err(FrameError::TooLong(slots.len()));
        }
        Ok(Self { start_code, slots })
    }

    /// A frame from the bytes of a packet: the start code, then the slots.
    pub fn from_packet(bytes: &[u8]) -> Result<Self, FrameError> {
        let (start_code, slots) = bytes.split_first().ok_or(FrameError::Empty)?;
        Self::new(*start_code, slots)
    }

    /// The start code.
    pub fn start_code(&self) -> u8 {
        self.start_code
    }

    /// The slots the packet reaches; `[0]` is slot 1.
    pub fn slots(&self) -> &[u8] {
        &self.slots
    }

    /// Whether the slots are levels at all (start code 0; E1.11, 8.5.1).
    pub fn carries_levels(&self) -> bool {
        self.start_code == NULL_START_CODE
    }

    /// What the start code means (E1.11-2008, 8.5 and Annex D; E1.20 for 0xCC).
    pub fn start_code_meaning(&self) -> &'static str {
        match self.start_code {
            0x00 => "levels",
            0x17 => "ASCII text packet",
            0x55 => "test packet",
            0x90 => "UTF-8 text packet",
            0x91 => "maker-specific packet",
            0xCC => "remote device management",
            0xCF => "system information packet",
            0xDD => "per-slot priorities",
            0xF0..=0xF7 => "prototype, never in sold equipment",
            0x92..=0xA9 | 0xAB..=0xCD => "reserved by the standard",
            _ => "another maker's use",
        }
    }
}

/// The slots of one channel as people write them: `7`, `1/2`.
pub fn slots_written(slots: &[u16]) -> String {
    let numbers: Vec<String> = slots.iter().map(u16::to_string).collect();
    numbers.join("/")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slots_count_from_one() {
        assert_eq!(Slot::new(0), None);
        assert_eq!(Slot::new(513), None);
        assert_eq!(Slot::new(1).map(Slot::index), Some(0));
        assert_eq!(Slot::from_index(511).map(Slot::number), Some(512));
        assert_eq!(Slot::from_index(512), None);
        assert_eq!(Slot::from_index(usize::MAX), None);
    }

    #[test]
    fn a_packet_is_a_start_code_and_at_most_512_slots() {
        assert_eq!(Frame::from_packet(&[]), Err(FrameError::Empty));
        assert_eq!(Frame::from_packet(&[0; 514]), Err(FrameError::TooLong(513)));
        let frame = Frame::from_packet(&[0, 10, 20]).unwrap();
        assert_eq!((frame.carries_levels(), frame.slots()), (true, &[10, 20][..]));
        assert!(!Frame::from_packet(&[0xCC, 1]).unwrap().carries_levels());
    }
}
