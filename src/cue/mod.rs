//! Cues: numbered steps of a show, resolved through profiles into frames.
//!
//! A [`CueList`] says what changes and when. [`Compiled`] resolves it against a rig: every change becomes
//! a value of a [`Track`], which is one channel of one fixture at its full resolution. A [`Player`] runs
//! one list; [`Playbacks`] merges several and gives frames. Every fade is a closed form of time, so that
//! what is played never depends on how often somebody looks.

mod carry;
pub mod compiled;
mod dark;
pub mod edit;
pub mod model;
pub mod movement;
pub mod number;
pub mod playback;
pub mod player;
pub mod record;
pub mod resolve;
pub mod run;
pub mod schedule;
pub mod scrub;
pub mod segment;
pub mod standing;
pub mod tracks;
pub mod value;
pub mod words;

pub use compiled::{Compiled, CompiledCue, Move, Unresolved};
pub use model::{
    Changes, Cue, CueList, Cues, DarkMoves, FadeCurve, Loop, Next, Reference, ReferenceKind,
    SnapAt, Time, Times, Watched,
};
pub use movement::{Movement, MovementKind, Wave};
pub use number::CueNumber;
pub use playback::Playbacks;
pub use player::Player;
pub use record::{Stage, Take};
pub use resolve::{meaning, resolve};
pub use run::{Course, Kept, Run, RunStart};
pub use schedule::{Start, schedule};
pub use scrub::Scrub;
pub use segment::{Target, TrackState};
pub use standing::Standing;
pub use tracks::{Part, Track, Tracks};
pub use value::Value;
