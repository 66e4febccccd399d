//! The command line, as a user meets it: the real program, run in a folder of its own.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod change;
mod chart;
mod check;
mod compare;
mod diff;
mod draw;
mod drill;
mod export;
mod frames;
mod from_table;
#[path = "../pipeline/gdtf_file.rs"]
mod gdtf_file;
mod guide;
mod harness;
mod hostile;
mod hostile_explain;
mod import;
mod json;
mod misfit;
mod probe;
mod profiles;
mod read;
mod rehearse;
mod sheet;
mod stray;
mod sweep;
mod time;
mod value;
mod watch;
mod why;
mod window;
