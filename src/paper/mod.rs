//! Documents for people: the channel chart of a mode, a channel's sweep, the plan for probing a head, a
//! cue sheet, what a dry run finds, two lists side by side, the guide.

pub mod chart;
pub mod comparison;
pub mod cue_sheet;
pub mod drill_sheet;
pub mod guide;
pub mod probe_sheet;
pub mod rehearsal;
pub mod sweep;
