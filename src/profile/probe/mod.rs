//! Finding out what a head does for which there is no chart: one slot at a time from a safe rest, then
//! again with light held on; what was seen becomes a draft profile in which unknown stays unknown.
//!
//! Nothing here sends anything: a person sets the slots, looks, and notes what was seen.

mod draft;
mod notes;
mod plan;
mod ranges;
mod runs;
mod seen;

pub use draft::{Draft, draft};
pub use notes::{parse_notes, write_notes};
pub use plan::{COARSE, Pass, Step};
pub use seen::{Seen, Trend, WORDS, Word};

/// A slot of the head, counted from its first, which is 1, with a value.
pub type Setting = (u16, u8);

/// A head that is being probed, and what was seen of it so far.
#[derive(Clone, Debug, PartialEq)]
pub struct Probe {
    /// Who makes it, as far as one can tell.
    pub maker: String,
    /// What it is called.
    pub model: String,
    /// How many slots it is taken to have.
    pub slots: u16,
    /// It stood on its foot while it was looked at; otherwise it hung.
    pub standing: bool,
    /// What was seen, in the order in which it was noted.
    pub notes: Vec<Note>,
}

/// What was seen of one slot.
#[derive(Clone, Debug, PartialEq)]
pub struct Note {
    /// The slot; `None` for all of them at 0.
    pub slot: Option<u16>,
    /// The first value that did this.
    pub from: u8,
    /// The last value that did this.
    pub to: u8,
    /// What was seen.
    pub seen: Seen,
    /// What was measured at the first and at the last value: Hz of flashes, degrees turned (from the
    /// first to the last, as `(0, 540)`), degrees of a beam.
    pub measured: Option<(f64, f64)>,
    /// The slots that were held at other values than 0 meanwhile, in order.
    pub held: Vec<Setting>,
    /// Whatever else there is to say.
    pub remark: String,
}

impl Probe {
    /// A head of which nothing was seen yet.
    pub fn new(maker: impl Into<String>, model: impl Into<String>, slots: u16) -> Self {
        let (maker, model) = (maker.into(), model.into());
        Self { maker, model, slots, standing: false, notes: Vec::new() }
    }

    /// Notes what was seen in a step.
    pub fn note(&mut self, step: &Step, seen: Seen, measured: Option<(f64, f64)>) {
        let (slot, value, held) = (step.slot, step.value, step.held.clone());
        let remark = String::new();
        self.notes.push(Note { slot, from: value, to: value, seen, measured, held, remark });
    }

    /// Leaves the rest of a step's slot alone, while the same slots are held.
    pub fn skip_slot(&mut self, step: &Step) {
        self.notes.push(Note {
            slot: step.slot,
            from: u8::from(step.slot.is_some()),
            to: if step.slot.is_some() { 255 } else { 0 },
            seen: Seen::NotLooked,
            measured: None,
            held: step.held.clone(),
            remark: String::new(),
        });
    }
}
