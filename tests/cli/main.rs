//! The command line, as a user meets it: the real program, run in a folder of its own.

mod check;
mod draw;
mod frames;
mod harness;
mod hostile;
mod json;
mod read;
mod window;
