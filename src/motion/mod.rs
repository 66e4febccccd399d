//! From what is asked to what a fixture does.
//!
//! [`HeadMotion`] is one fixture over time and [`RigMotion`] all of them. Everything is kept in closed
//! form from the moment it was last asked for something else: a pose at any later time costs the same
//! and does not depend on the times looked at between. [`settle()`] gives the pose of a fixture that
//! has had all the time it needs: everything has arrived, every hold was held.

mod aimed;
pub mod assumed;
pub mod axis;
pub mod cell;
pub mod compare;
pub mod control;
pub mod course;
pub mod doings;
pub mod head;
pub mod lag;
pub mod lamp;
pub mod laws;
pub mod model;
pub mod now;
pub mod optics;
pub mod phase;
pub mod play;
pub mod pose;
pub mod rig_motion;
mod send;
pub mod settle;
pub mod shutter;
pub mod snapshots;
pub mod turn;
pub mod watch;
pub mod wheel;

pub use compare::{Comparison, Difference, compare};
pub use control::{Hold, Order, Reset, Stage};
pub use course::{Course, Limits};
pub use doings::{Doing, arrival_estimate, assumed_on_the_way, doings, left_alone, time_estimate};
pub use head::{Arrival, HeadMotion};
pub use lamp::LampState;
pub use model::{HeadModel, LossPolicy, Part};
pub use now::{Now, now};
pub use play::{Cut, Playback};
pub use pose::{CellPose, Flash, Lamp, Pose, WheelPose};
pub use rig_motion::RigMotion;
pub use settle::settle;
pub use snapshots::Snapshots;
