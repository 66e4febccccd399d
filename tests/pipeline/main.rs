//! The pipeline, stage by stage.

mod picture;
