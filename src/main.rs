//! Draws and reads DMX512 lighting rigs offline: the window and the command line.

fn main() {}
