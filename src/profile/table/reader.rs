//! The walk over the lines: columns first, and what does not fit them as plain words.

use std::collections::HashMap;

use super::heads::{self, Columns, Role};
use super::lines::{Layout, Line};
use super::names::{Kind, named};
use super::noise;
use super::rows::{LineUse, Rows, Section, TableChannel, TableRow, Use};
use super::values::{Amount, Value};

/// Makes channels and rows of the lines.
pub(super) fn read(layout: Layout, lines: &[Line]) -> Rows {
    let mut repeats: HashMap<&str, usize> = HashMap::new();
    for line in lines.iter().filter(|line| !line.text.is_empty()) {
        *repeats.entry(&line.text).or_default() += 1;
    }
    let has_heads = lines.iter().any(heads::is_heads);
    let columns = if has_heads { None } else { Columns::from_contents(lines, layout) };
    let mut reader = Reader {
        layout,
        lines,
        repeats,
        columns,
        rows: Rows::default(),
        section: Section { modes: vec![String::new()], channels: Vec::new() },
        context: String::new(),
        after_row: false,
        numbered: false,
        longest: lines.iter().map(|line| line.text.chars().count()).max().unwrap_or(0),
    };
    for (at, Line { number, text, .. }) in lines.iter().enumerate() {
        if let Some(used) = reader.line(at) {
            reader.rows.uses.push(LineUse { line: *number, text: text.clone(), used });
        }
    }
    reader.close_section();
    reader.rows
}

/// What was read so far.
pub(super) struct Reader<'a> {
    pub(super) layout: Layout,
    lines: &'a [Line],
    repeats: HashMap<&'a str, usize>,
    pub(super) columns: Option<Columns>,
    pub(super) rows: Rows,
    pub(super) section: Section,
    /// What a heading inside a channel says of the rows below it.
    pub(super) context: String,
    /// The line before gave a row, which this one may go on.
    pub(super) after_row: bool,
    /// A channel of the section has slot numbers.
    pub(super) numbered: bool,
    /// Characters in the longest line.
    longest: usize,
}

/// Words that only stand inside a sentence.
const LINKS: [&str; 8] = ["and", "or", "to", "of", "with", "at", "by", "per"];

/// A line of fewer characters was not ended for want of room.
const LEAST_FULL: usize = 40;

/// Whether a line cannot be all of what was to be said.
fn breaks_off(text: &str) -> bool {
    let last = text.split_whitespace().next_back().unwrap_or_default();
    text.ends_with(['-', '–', ',', '/', ':', '(', '[', '+', '&', '→', '='])
        || LINKS.contains(&last)
        || text.matches('(').count() > text.matches(')').count()
}

impl Reader<'_> {
    /// What becomes of a line; `None` for a blank one.
    fn line(&mut self, at: usize) -> Option<Use> {
        let lines = self.lines;
        let line = &lines[at];
        if line.text.trim_matches(['|', ';', ',', '"', ' ']).is_empty() {
            return None;
        }
        if let Some(why) = noise::reason(&line.text) {
            return Some(Use::Ignored(why.to_owned()));
        }
        if heads::is_heads(line) {
            return Some(self.column_heads(at));
        }
        if line.filled().count() == 1
            && let Some(mode) = noise::mode(line.text.trim_matches(['|', ';', ',', '"', ' ']))
            && !self.goes_on(&line.text)
        {
            self.open_mode(mode);
            return Some(Use::Mode);
        }
        let by_columns = self.columns.is_some().then(|| self.by_columns(line)).flatten();
        let used = by_columns.or_else(|| self.plain(line)).unwrap_or_else(|| self.leftover(at));
        self.after_row = matches!(used, Use::Range)
            || (self.after_row && matches!(used, Use::Continued | Use::Ignored(_)));
        Some(used)
    }

    fn column_heads(&mut self, at: usize) -> Use {
        if self.layout == Layout::Plain {
            return Use::ColumnHeads;
        }
        let columns = Columns::from_heads(&self.lines[at], &self.lines[at + 1..], self.layout);
        let useful = columns.roles.iter().any(|role| matches!(role, Role::Value(_) | Role::From));
        if useful {
            // The same headings on the next page go on; other modes begin anew.
            if columns.mode_count() != self.section.modes.len()
                || (columns.mode_count() > 1 && columns.modes != self.section.modes)
            {
                self.close_section();
            }
            if columns.mode_count() > 1 {
                self.section.modes.clone_from(&columns.modes);
            }
            self.columns = Some(columns);
        }
        Use::ColumnHeads
    }

    fn open_mode(&mut self, name: String) {
        if self.section.channels.is_empty() {
            self.section.modes = vec![name];
        } else if self.section.modes.first() != Some(&name) {
            self.close_section();
            self.section.modes = vec![name];
        }
        self.context.clear();
    }

    /// Puts the channels so far away as a section of their own.
    fn close_section(&mut self) {
        let count = self.columns.as_ref().map_or(1, Columns::mode_count);
        let fresh = Section { modes: vec![String::new(); count], channels: Vec::new() };
        let section = std::mem::replace(&mut self.section, fresh);
        if !section.channels.is_empty() {
            self.rows.sections.push(section);
        }
        self.context.clear();
        self.after_row = false;
        self.numbered = false;
    }

    /// A line that is neither a row nor a heading by itself.
    fn leftover(&mut self, at: usize) -> Use {
        let line = &self.lines[at];
        let text = line.text.trim_matches(['|', ';', ',', '"', ' ']);
        let has_rows = self.section.channels.iter().any(|channel| !channel.rows.is_empty());
        if self.repeats.get(line.text.as_str()).is_some_and(|times| *times > 1)
            && !self.goes_on(text)
        {
            return Use::Ignored(
                "a page header or footer: it stands there more than once".to_owned(),
            );
        }
        if self.names_a_channel(at, text) {
            self.open(Vec::new(), text, line.number);
            return Use::Channel;
        }
        if self.section.channels.is_empty() {
            return Use::Ignored("a title: it stands before the first channel".to_owned());
        }
        if let Some(context) = text.strip_suffix(':') {
            self.context = context.trim().to_owned();
            return Use::SubHeading;
        }
        if self.goes_on(text) && has_rows {
            if !self.is_wrapped(at, text) {
                let why = "it may go on from the line before, or have nothing to do with it";
                return Use::NotUnderstood(why.to_owned());
            }
            self.go_on(text);
            return Use::Continued;
        }
        Use::NotUnderstood("no values and no slot stand in it".to_owned())
    }

    /// Whether a line without values looks like the rest of the row before it.
    pub(super) fn goes_on(&self, text: &str) -> bool {
        let first = text.chars().next().unwrap_or(' ');
        self.after_row && (first.is_lowercase() || matches!(first, '(' | '[' | '+' | '&' | '→'))
    }

    /// Whether a line is plainly the rest of the one before: that one breaks off, this one opens with
    /// what only goes on, or there was no more room in that one.
    fn is_wrapped(&self, at: usize, text: &str) -> bool {
        let first = text.split_whitespace().next().unwrap_or_default();
        let line_before = self.lines[..at].iter().rev().find(|line| !line.text.is_empty());
        let before = line_before.map_or("", |line| line.text.as_str());
        let width = before.chars().count();
        breaks_off(before)
            || !first.starts_with(char::is_alphanumeric)
            || LINKS.contains(&first)
            || (width >= LEAST_FULL && width + first.chars().count() + 1 > self.longest)
    }

    /// Adds a text to the row before.
    pub(super) fn go_on(&mut self, text: &str) {
        let last = self.section.channels.last_mut();
        if let Some(row) = last.and_then(|channel| channel.rows.last_mut()) {
            // A word that was parted at the end of the line is put together again.
            if row.text.ends_with('-')
                && row.text.chars().rev().nth(1).is_some_and(char::is_alphabetic)
            {
                row.text.pop();
            } else {
                row.text.push(' ');
            }
            row.text.push_str(text);
        }
    }

    /// Whether a line without a slot names a channel of a table without slot numbers.
    fn names_a_channel(&self, at: usize, text: &str) -> bool {
        let next = self.lines[at + 1..].iter().find(|line| !line.text.is_empty());
        let zero = |line: &Line| {
            super::values::take(&line.text, super::values::Notation::Any).is_some_and(
                |(value, _)| {
                    matches!(value.amount, Amount::Count(0, _))
                        || matches!(value.amount, Amount::Percent(low, _) if low == 0.0)
                },
            )
        };
        !self.numbered
            && text.split_whitespace().count() <= 5
            && named(text.trim_end_matches(':')).kind != Kind::Unknown
            && next.is_some_and(zero)
    }

    /// Opens a channel.
    pub(super) fn open(&mut self, mut slots: Vec<Vec<u16>>, name: &str, line: u32) {
        slots.resize(self.section.modes.len().max(1), Vec::new());
        let again = |channel: &TableChannel| {
            slots.iter().zip(&channel.slots).any(|(a, b)| !a.is_empty() && a == b)
        };
        // Slots that begin anew belong to another mode.
        let first = slots.first().and_then(|slots| slots.first()).copied();
        if first == Some(1)
            && self.section.channels.len() > 2
            && self.section.channels.iter().any(again)
        {
            self.close_section();
        }
        self.numbered |= slots.iter().any(|slots| !slots.is_empty());
        let name = name.trim().trim_matches([':', '-', '–', '=', '.', ' ']).trim().to_owned();
        self.section.channels.push(TableChannel {
            line,
            slots,
            name,
            rows: Vec::new(),
            remark: String::new(),
            default: None,
        });
        self.context.clear();
        self.after_row = false;
    }

    /// Adds a row to the channel that is open.
    pub(super) fn push(&mut self, line: u32, value: Value, text: &str) {
        if value.reversed {
            let mend = "the lower value is taken as the first";
            self.rows.warn(line, "the values run backwards", mend);
        }
        let context = self.context.clone();
        if let Some(channel) = self.section.channels.last_mut() {
            let text = text.trim().to_owned();
            channel.rows.push(TableRow { line, value: Some(value), text, context });
        }
    }

    /// Whether this line also stands elsewhere, as a page header does.
    pub(super) fn is_repeated(&self, line: &Line) -> bool {
        self.repeats.get(line.text.as_str()).is_some_and(|times| *times > 1)
    }
}
