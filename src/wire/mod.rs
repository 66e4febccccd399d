//! Frames: what one packet carries and what a receiver holds after some of them.

pub mod frame;
pub mod levels;
pub mod rate;
pub mod text;
pub mod timed;

pub use frame::{Frame, FrameError, SLOTS, Slot, Universe, slots_written};
pub use levels::{Frames, Levels, SlotSet, SlotState};
pub use rate::packet_s;
pub use text::{FrameText, parse_frame_text};
pub use timed::{Change, TimedFrames, TimedText, parse_timed_frames};
