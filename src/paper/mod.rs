//! Documents for people: the channel chart of a mode, a channel's sweep, the plan for probing a head.

pub mod chart;
pub mod probe_sheet;
pub mod rehearsal;
pub mod sweep;
