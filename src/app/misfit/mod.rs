//! Misfits in the window: what is seen of a head that does not do what its frame says, what may be wrong, and the
//! next test.

mod act;
mod window;

use crate::check::misfit::{Happened, Observation, Sight, Test};
use crate::rig::Fixture;
use crate::wire::Frames;

pub use window::misfit_window;

/// What was seen, and what may be wrong.
#[derive(Default)]
pub struct MisfitView {
    /// The window is shown.
    pub open: bool,
    /// The head that is looked at, as a place in the rig.
    pub place: Option<usize>,
    /// What is chosen in the lists.
    sight: Option<Sight>,
    happened: Option<Happened>,
    /// The frames that something was seen in, oldest first.
    frames: Vec<Frames>,
    /// What was seen.
    pub seen: Vec<Observation>,
    /// Counts every change of what was seen.
    number: u64,
    /// What it was explained for: the rig and what was seen.
    asked_for: Option<(u64, u64)>,
    /// What may be wrong.
    pub told: Option<Told>,
}

/// What may be wrong, in words.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Told {
    /// What was seen.
    pub seen: Vec<String>,
    /// What goes with all of it, likeliest first.
    pub rows: Vec<ToldRow>,
    /// What contradicts some of it, where nothing goes with all.
    pub others: Vec<ToldRow>,
    /// The next test, and what to do in it.
    pub test: Option<(Test, String)>,
    asked_for: (u64, u64),
}

/// An explanation in words.
#[derive(Clone, Debug, PartialEq)]
pub struct ToldRow {
    /// What may be wrong, and what is the same in all that can be seen.
    pub words: Vec<String>,
    /// It is as likely as the one before.
    pub tied: bool,
    /// What speaks for it, or what it does not explain.
    pub evidence: Vec<String>,
    /// What a look at the head would show.
    pub look_up: &'static str,
    /// The head as it would really be patched, with its place in the rig.
    pub adopt: Option<(usize, Fixture)>,
}
