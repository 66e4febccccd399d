//! Room, views and the picture: the list of plain 2D shapes that every output draws.

mod coverage;
pub mod draw;
mod glow;
mod mark;
pub mod pick;
pub mod picture;
pub mod png;
pub mod raster;
pub mod room;
pub mod scene;
pub mod svg;
pub mod text;
pub mod view;

pub use draw::{DrawOptions, draw};
pub use pick::{pick, pick_box};
pub use picture::{
    AlignH, AlignV, Fill, Glow, Ink, Pane, Picture, Rect, Shape, Stroke, Weight, respond,
};
pub use room::{Block, Room, Truss};
pub use scene::{Mark, MarkKind, MarkState, Scene};
pub use view::{Sheet, View, ViewKind};
