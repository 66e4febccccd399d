//! The pipeline, stage by stage.

mod aim;
mod arrows;
mod decode_cases;
mod entry;
mod frame_cases;
mod heads;
mod motion;
mod motion_props;
mod picture;
mod properties;
mod resets;
mod scene;
mod shipped;
mod timed;
