//! A draft profile from the channel table of a manual.
//!
//! Text to lines, lines to cells, cells to rows, rows to channels, and each row's words to an effect.
//! Every line is accounted for, every range says how far it can be trusted and why, and what is not
//! recognised stays unknown. Nothing here opens a file.

mod assumed;
mod by_columns;
mod colours;
mod draft;
mod effects;
mod heads;
mod lines;
mod names;
mod noise;
mod numbers;
mod percent;
mod plain;
mod reader;
mod report;
mod resolve;
mod rows;
mod slots;
mod values;
mod wheels;
mod words;

pub use draft::{Draft, TableOptions, read_table};
pub use effects::Confidence;
pub use report::{RangeEntry, TableReport};
pub use rows::{LineUse, Use};
