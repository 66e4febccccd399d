//! Slotwright shows, offline, what every value in a DMX512 frame does to every lighting fixture.
//!
//! ```text
//!  bytes --wire--> Frame --decode--> Reading --motion--> Pose --light--> Beam --stage--> Picture --> window | svg | png
//!                            ^        (asked)             (now)
//!                      profile + rig
//! ```
//!
//! # Layers
//!
//! An arrow only ever points down this list, and `tests/pipeline` holds the check that it does:
//! `app`, `cli`, `paper`, `check`, `show`, `cue`, `stage`, `light`, `motion`, `decode`, `rig`, `profile`, `wire`, `finding`.
//!
//! # Conventions
//!
//! * Right-handed, metres: x to the audience's right, y upstage (away from the audience), z up. The
//!   origin is the centre of the stage front edge, on the floor.
//! * Angles are degrees wherever a person or a file sees them (`_deg`) and radians inside geometry.
//! * Light is linear until a pixel is written; sRGB appears only at the edges.
//! * Slots, universes and wheel slots count from 1.
//! * No stage up to [`stage::Picture`] touches a file, a socket, a clock or the window.

pub mod app;
pub mod check;
pub mod cli;
pub mod cue;
pub mod decode;
pub mod finding;
pub mod light;
pub mod motion;
pub mod paper;
pub mod profile;
pub mod rig;
pub mod show;
pub mod stage;
pub mod wire;
