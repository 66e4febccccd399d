//! The pipeline from frames to readings, stage by stage.

mod entry;
