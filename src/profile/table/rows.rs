//! From lines to channels with their rows: which line opens a channel, which is a range, which goes on
//! from the one before, and which is none of these.

use super::values::Value;
use crate::finding::Severity;

/// What became of a line of the table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Use {
    /// It gave at least one range.
    Range,
    /// It opens a channel.
    Channel,
    /// It names the fine part of a channel.
    Fine,
    /// It holds the headings of columns.
    ColumnHeads,
    /// It opens a mode.
    Mode,
    /// It says what the rows below it are about.
    SubHeading,
    /// It goes on from the line before.
    Continued,
    /// Left out on purpose, with the reason.
    Ignored(String),
    /// Not understood, with the reason.
    NotUnderstood(String),
}

impl Use {
    /// The stable name in machine-readable output.
    pub fn key(&self) -> &'static str {
        match self {
            Self::Range => "range",
            Self::Channel => "channel",
            Self::Fine => "fine",
            Self::ColumnHeads => "column-heads",
            Self::Mode => "mode",
            Self::SubHeading => "sub-heading",
            Self::Continued => "continued",
            Self::Ignored(_) => "ignored",
            Self::NotUnderstood(_) => "not-understood",
        }
    }

    /// Why it was left out or not understood.
    pub fn reason(&self) -> &str {
        match self {
            Self::Ignored(reason) | Self::NotUnderstood(reason) => reason,
            _ => "",
        }
    }
}

/// A line of the table and what became of it. Blank lines are not listed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LineUse {
    /// Its number, from 1.
    pub line: u32,
    /// Its text.
    pub text: String,
    /// What became of it.
    pub used: Use,
}

impl LineUse {
    /// That it was left out or not understood, and why. `None` for a line that was used.
    pub fn told(&self) -> Option<String> {
        let (word, reason) = match &self.used {
            Use::Ignored(reason) => ("left out", reason),
            Use::NotUnderstood(reason) => ("not understood", reason),
            _ => return None,
        };
        Some(format!("line {} {word}, {reason}", self.line))
    }
}

/// One row of a channel: values and what they do.
#[derive(Clone, Debug)]
pub(super) struct TableRow {
    pub(super) line: u32,
    /// `None`: no values are printed, and all are meant.
    pub(super) value: Option<Value>,
    pub(super) text: String,
    /// What a heading above the row says of it.
    pub(super) context: String,
}

/// A channel as the table has it.
#[derive(Clone, Debug)]
pub(super) struct TableChannel {
    pub(super) line: u32,
    /// Its slots in each mode of its section; empty where it is not in the mode.
    pub(super) slots: Vec<Vec<u16>>,
    pub(super) name: String,
    pub(super) rows: Vec<TableRow>,
    /// What stands beside its name where no values are printed.
    pub(super) remark: String,
    pub(super) default: Option<u8>,
}

/// A part of the text with its own modes.
#[derive(Clone, Debug, Default)]
pub(super) struct Section {
    /// The modes that its columns of slots stand for; one without a name where there is one column.
    pub(super) modes: Vec<String>,
    pub(super) channels: Vec<TableChannel>,
}

/// Something to say about a line.
#[derive(Clone, Debug)]
pub(super) struct Remark {
    pub(super) line: u32,
    pub(super) severity: Severity,
    pub(super) what: String,
    pub(super) mend: String,
}

/// What was made of all lines.
#[derive(Clone, Debug, Default)]
pub(super) struct Rows {
    pub(super) sections: Vec<Section>,
    pub(super) uses: Vec<LineUse>,
    pub(super) remarks: Vec<Remark>,
}

impl Rows {
    /// Says something about a line that surprises.
    pub(super) fn warn(&mut self, line: u32, what: impl Into<String>, mend: impl Into<String>) {
        let (what, mend) = (what.into(), mend.into());
        self.remarks.push(Remark { line, severity: Severity::Warning, what, mend });
    }

    /// Changes what became of a line.
    pub(super) fn mark(&mut self, line: u32, used: Use) {
        if let Ok(at) = self.uses.binary_search_by_key(&line, |entry| entry.line) {
            self.uses[at].used = used;
        }
    }
}
