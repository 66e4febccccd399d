//! Bad input from outside: whatever a file holds, the answer is a finding with a place and a mend, never
//! a panic, a hang or a damaged file.

mod change;
mod disk;
mod gdtf;
#[path = "../pipeline/gdtf_file.rs"]
mod gdtf_file;
mod gdtf_files;
#[path = "../pipeline/gdtf_import.rs"]
mod gdtf_import;
mod lint;
mod mutation;
mod stage;
mod text;
mod watch;
