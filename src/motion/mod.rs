//! From what is asked to what a fixture does.
//!
//! [`settle()`] gives the pose of a fixture that has had all the time it needs: everything has arrived,
//! every hold was held.

pub mod assumed;
pub mod pose;
pub mod settle;

pub use pose::{CellPose, Flash, Lamp, Pose, WheelPose};
pub use settle::settle;
