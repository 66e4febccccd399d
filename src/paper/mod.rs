//! Documents for people: the channel chart of a mode.

pub mod chart;
