//! A line read by the columns of its table.

use super::heads::{Columns, Role};
use super::lines::{Layout, Line};
use super::names::{Kind, base, named};
use super::reader::Reader;
use super::rows::Use;
use super::slots::{self, Slots};
use super::values::{self, Amount, Notation, Value};

/// The cells of a line by what they mean.
#[derive(Debug, Default)]
struct Cells {
    slots: Vec<Vec<u16>>,
    bad_slot: Option<String>,
    name: String,
    text: String,
    values: Vec<Value>,
    /// Values in another notation, which should say the same.
    others: Vec<Value>,
    default: Option<u8>,
}

impl Reader<'_> {
    /// What becomes of a line by its columns; `None` where it does not fit them.
    pub(super) fn by_columns(&mut self, line: &Line) -> Option<Use> {
        let columns = self.columns.clone()?;
        let mut cells = read_cells(&columns, line)?;
        if let Some(what) = cells.bad_slot.take() {
            return Some(Use::NotUnderstood(what));
        }
        let has_slots = cells.slots.iter().any(|slots| !slots.is_empty());
        if columns.has(Role::NameOrText) && !has_slots && !cells.values.is_empty() {
            cells.text = std::mem::take(&mut cells.name);
        }
        let only_words = !has_slots && cells.values.is_empty();
        if only_words {
            return self.words_only(line, &columns, &cells);
        }
        if let Some(problem) = self.channel_for(line, &columns, &cells, has_slots) {
            return Some(problem);
        }
        if let (Some(default), Some(channel)) = (cells.default, self.section.channels.last_mut()) {
            channel.default.get_or_insert(default);
        }
        if cells.values.is_empty() {
            if let Some(channel) = self.section.channels.last_mut() {
                channel.remark.clone_from(&cells.text);
            }
            return Some(Use::Channel);
        }
        self.compare(line.number, &cells);
        for value in cells.values {
            self.push(line.number, value, &cells.text);
        }
        Some(Use::Range)
    }

    /// Opens the channel that a line belongs to, or stays in the one that is open.
    fn channel_for(
        &mut self,
        line: &Line,
        columns: &Columns,
        cells: &Cells,
        has_slots: bool,
    ) -> Option<Use> {
        let current = self.section.channels.last();
        if has_slots {
            let same = current.is_some_and(|channel| channel.slots == cells.slots);
            if !same {
                self.open(cells.slots.clone(), &cells.name, line.number);
            } else if let Some(channel) = current
                && !cells.name.is_empty()
                && base(&channel.name) != base(&cells.name)
            {
                self.context.clone_from(&cells.name);
            }
            return None;
        }
        if !columns.has(Role::Slot) {
            let other = current.is_none_or(|channel| channel.name != cells.name);
            if !cells.name.is_empty() && other {
                self.open(Vec::new(), &cells.name, line.number);
            }
        } else if !cells.name.is_empty() && current.is_some() {
            self.more_name(&cells.name);
        }
        self.section
            .channels
            .is_empty()
            .then(|| Use::NotUnderstood("values stand before the first channel".to_owned()))
    }

    /// A name below a channel's own: the rest of the name, or what the next rows are about.
    fn more_name(&mut self, name: &str) {
        let Some(channel) = self.section.channels.last_mut() else { return };
        let joined = format!("{} {name}", channel.name);
        let (before, after) = (named(&channel.name).kind, named(&joined).kind);
        let is_rest = channel.rows.len() <= 1
            && (name.starts_with(char::is_lowercase) || name.starts_with('('))
            && after != Kind::Unknown
            && (before == Kind::Unknown || before == after || channel.rows.is_empty());
        if is_rest {
            channel.name = joined;
        } else {
            name.clone_into(&mut self.context);
        }
    }

    /// A line with neither slots nor values.
    fn words_only(&mut self, line: &Line, columns: &Columns, cells: &Cells) -> Option<Use> {
        let repeated = self.is_repeated(line);
        if repeated && !self.goes_on(&cells.text) || self.section.channels.is_empty() {
            return None;
        }
        // A title that happens to stand below some column is none of its cells.
        if self.layout == Layout::Aligned && !stands_below(columns, line) {
            return None;
        }
        match (cells.name.is_empty(), cells.text.is_empty()) {
            (true, false) if self.after_row => {
                self.go_on(&cells.text);
                Some(Use::Continued)
            }
            (true, false) => {
                let channel = self.section.channels.last_mut()?;
                if !channel.rows.is_empty() {
                    return None;
                }
                channel.remark = format!("{} {}", channel.remark, cells.text).trim().to_owned();
                Some(Use::Continued)
            }
            (false, text) if columns.has(Role::Slot) && line.filled().count() <= 2 => {
                if self.layout != Layout::Aligned && cells.slots.is_empty() {
                    return None;
                }
                self.more_name(&cells.name);
                if !text && self.after_row {
                    self.go_on(&cells.text);
                }
                Some(if self.context == cells.name { Use::SubHeading } else { Use::Continued })
            }
            _ => None,
        }
    }

    /// Says where a second notation of the same values differs from the first.
    fn compare(&mut self, line: u32, cells: &Cells) {
        let Some(Amount::Count(from, to)) = cells.values.first().map(|value| value.amount) else {
            return;
        };
        for other in &cells.others {
            let (differs, shown) = match other.amount {
                Amount::Count(a, b) => {
                    ((a, b) != (from, to), format!("{a}..{b} in the other notation"))
                }
                Amount::Percent(a, b) => {
                    let near = |percent: f64, value: u32| {
                        (percent * 255.0 / 100.0 - f64::from(value)).abs() <= 3.0
                    };
                    (!(near(a, from) && near(b, to)), format!("{a}..{b} %"))
                }
            };
            if differs {
                let what =
                    format!("the values are {from}..{to} and {shown}, which is not the same");
                self.rows.warn(line, what, "the decimal values are taken: look which is right");
            }
        }
    }
}

/// Whether the words of an aligned line begin where a column of names or texts does.
fn stands_below(columns: &Columns, line: &Line) -> bool {
    line.filled().all(|cell| columns.begins(cell.start))
}

/// The cells of a line; `None` where one of them is not what its column holds.
fn read_cells(columns: &Columns, line: &Line) -> Option<Cells> {
    let placed = columns.place(line);
    let mut cells = Cells::default();
    let mut found: Vec<(Notation, Vec<Value>)> = Vec::new();
    let (mut from, mut to) = (None, None);
    let mut physical: Vec<&str> = Vec::new();
    let mut unit = "";
    for (text, role) in placed.iter().map(|text| text.trim()).zip(&columns.roles) {
        match role {
            Role::Slot => match slots::cell(text) {
                Slots::Some(slots) => cells.slots.push(slots),
                Slots::None => cells.slots.push(Vec::new()),
                Slots::Bad(what) => cells.bad_slot = Some(what),
                Slots::Other => return None,
            },
            _ if text.is_empty() => {}
            Role::Name | Role::NameOrText => join(&mut cells.name, text),
            Role::Text => join(&mut cells.text, text),
            Role::Value(notation) => match values::cell(text, *notation) {
                Some(values) => found.push((*notation, values)),
                None if text.chars().all(|c| !c.is_alphanumeric()) => {}
                None => {
                    // Only one blank parts the values from what they do.
                    let (value, rest) = values::take(text, *notation)?;
                    join(&mut cells.text, rest.trim_start_matches([' ', '-', '–', ':', '=']));
                    found.push((*notation, vec![value]));
                }
            },
            Role::From => from = Some(single(text)?),
            Role::To => to = Some(single(text)?),
            Role::Default => {
                cells.default = single(text).and_then(|value| u8::try_from(value).ok())
            }
            Role::Physical => physical.push(text),
            Role::Unit => unit = text,
            Role::Skip => {}
        }
    }
    if let (Some(from), to) = (from, to) {
        let to = to.unwrap_or(from);
        let (low, high) = (from.min(to), from.max(to));
        let amount = Amount::Count(low, high);
        found
            .push((Notation::Decimal, vec![Value { amount, is_range: true, reversed: from > to }]));
    }
    if let [from, to] = physical.as_slice() {
        join(&mut cells.text, &format!("({from} {unit} to {to} {unit})"));
    }
    let order = [Notation::Decimal, Notation::Any, Notation::Hex, Notation::Percent];
    found.sort_by_key(|(notation, _)| order.iter().position(|known| known == notation));
    let mut found = found.into_iter();
    cells.values = found.next().map(|(_, values)| values).unwrap_or_default();
    cells.others = found.filter_map(|(_, values)| values.first().cloned()).collect();
    Some(cells)
}

fn join(text: &mut String, more: &str) {
    if !text.is_empty() {
        text.push(' ');
    }
    text.push_str(more);
}

/// One whole number in a cell.
fn single(text: &str) -> Option<u32> {
    match values::cell(text, Notation::Any)?.as_slice() {
        [Value { amount: Amount::Count(from, to), .. }] if from == to => Some(*from),
        _ => None,
    }
}
