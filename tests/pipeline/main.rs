//! The pipeline, stage by stage.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod aim;
mod answers;
mod arrows;
mod change;
mod compare;
mod cues;
mod decode_cases;
mod diff;
mod drill;
mod entry;
mod explain_cases;
mod frame_cases;
mod gdtf;
mod gdtf_export;
mod gdtf_file;
mod gdtf_import;
mod gdtf_parts;
mod gdtf_round_trip;
mod guide;
mod heads;
mod lint;
mod lint_conventions;
mod misfit;
mod misfit_props;
mod misfit_sense;
mod motion;
mod motion_cases;
mod motion_props;
mod picture;
mod probe;
mod properties;
mod rehearse;
mod resets;
mod scene;
mod shipped;
mod signal;
mod stray;
mod tables;
mod timed;
mod watch;
mod why;
mod why_props;
