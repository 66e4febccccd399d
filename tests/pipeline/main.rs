//! The pipeline, stage by stage.

mod aim;
mod arrows;
mod decode_cases;
mod entry;
mod frame_cases;
mod gdtf;
mod gdtf_file;
mod gdtf_import;
mod heads;
mod lint;
mod lint_conventions;
mod motion;
mod motion_cases;
mod motion_props;
mod picture;
mod properties;
mod scene;
mod shipped;
mod timed;
