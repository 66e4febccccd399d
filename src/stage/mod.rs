//! Room, views and the picture: the list of plain 2D shapes that every output draws.

pub mod picture;

pub use picture::{
    AlignH, AlignV, Fill, Glow, Ink, Pane, Picture, Rect, Shape, Stroke, Weight, respond,
};
