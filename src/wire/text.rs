//! Frames as text files.
