//! The window, headless: logic by accessible name, pictures by the software renderer.

mod bench;
mod bench_forms;
mod canvas;
mod change;
mod cues;
mod cues_edit;
mod cues_more;
mod desk;
mod diff;
mod drill;
mod dry_run;
mod files;
#[path = "../pipeline/gdtf_file.rs"]
mod gdtf_file;
mod guide;
mod harness;
mod misfit;
mod past;
mod patching;
mod probe;
mod profiles;
mod reading;
mod recovery;
mod rig;
mod ruler;
mod shell;
mod signal;
mod slots;
mod stage;
mod stray;
mod sweep;
mod table;
mod time;
mod watch;
mod why;
