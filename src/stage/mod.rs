//! Room, views and the picture: the list of plain 2D shapes that every output draws.

pub mod room;

pub use room::{Block, Room, Truss};
