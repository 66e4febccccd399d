//! The pipeline, stage by stage.

mod entry;
mod picture;
