//! Room, views and the picture: the list of plain 2D shapes that every output draws.

mod coverage;
pub mod picture;
pub mod png;
pub mod raster;
pub mod room;
pub mod svg;
pub mod text;

pub use picture::{
    AlignH, AlignV, Fill, Glow, Ink, Pane, Picture, Rect, Shape, Stroke, Weight, respond,
};
pub use room::{Block, Room, Truss};
