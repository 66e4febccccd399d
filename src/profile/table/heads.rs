//! Columns: what each holds, by its heading or by what stands in it.

use super::lines::{Layout, Line};
use super::slots::{self, Slots};
use super::values::{self, Notation};
use super::words::Words;

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Role {
    /// Slot numbers, one column a mode.
    Slot,
    /// Names of channels.
    Name,
    /// Names of channels and, below them, what their values do.
    NameOrText,
    /// Values, both ends in one cell.
    Value(Notation),
    /// First values.
    From,
    /// Last values.
    To,
    /// What values do.
    Text,
    /// The value at rest.
    Default,
    /// Physical value at the first or last value, as a chart with both prints it.
    Physical,
    /// The unit of those.
    Unit,
    /// Something that is not read.
    Skip,
}

/// The columns of a table.
#[derive(Clone, Debug)]
pub(super) struct Columns {
    /// What each holds.
    pub(super) roles: Vec<Role>,
    /// The heading of each column of slots, in order.
    pub(super) modes: Vec<String>,
    /// Where each stands in aligned lines.
    spans: Vec<(usize, usize)>,
    separated: bool,
}

/// A heading by itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Head {
    Slot,
    SlotOrName,
    Name,
    Function,
    Role(Role),
    Unknown,
}

fn head(text: &str) -> Head {
    let words = Words::new(text);
    let slot = [
        "ch",
        "chan",
        "slot",
        "slots",
        "no",
        "nr",
        "dmx slot",
        "dmx ch",
        "channel no",
        "channel number",
        "ch no",
        "offset",
        "dmx address",
    ];
    let slot_or_name = ["channel", "channels", "dmx channel", "dmx channels"];
    let name = [
        "name",
        "channel name",
        "parameter",
        "control",
        "attribute",
        "feature",
        "channel function",
    ];
    let value = [
        "value",
        "values",
        "dmx value",
        "dmx values",
        "dmx",
        "range",
        "dmx range",
        "data",
        "level",
        "value range",
        "values range",
        "dmx data",
        "bits",
    ];
    let text_heads = [
        "description",
        "effect",
        "action",
        "meaning",
        "detail",
        "details",
        "result",
        "what it does",
        "comment",
        "comments",
        "remark",
        "remarks",
        "notes",
        "note",
        "setting",
    ];
    let known = words.text();
    let physical = ["physical from", "physical to"];
    if text.trim() == "#" || slot.contains(&known) {
        Head::Slot
    } else if slot_or_name.contains(&known) {
        Head::SlotOrName
    } else if name.contains(&known) {
        Head::Name
    } else if ["function", "functions"].contains(&known) {
        Head::Function
    } else if value.contains(&known) {
        Head::Role(Role::Value(Notation::Any))
    } else if text_heads.contains(&known) {
        Head::Role(Role::Text)
    } else if physical.contains(&known) {
        Head::Role(Role::Physical)
    } else if ["from", "start", "first", "dmx from", "from value"].contains(&known) {
        Head::Role(Role::From)
    } else if ["to", "end", "last", "dmx to", "to value"].contains(&known) {
        Head::Role(Role::To)
    } else if known == "unit" {
        Head::Role(Role::Unit)
    } else if ["default", "default value", "home"].contains(&known) {
        Head::Role(Role::Default)
    } else if ["snap", "fade", "type"].contains(&known) {
        Head::Role(Role::Skip)
    } else if words.count() <= 3 && words.any(&["hex", "hexadecimal"]) {
        Head::Role(Role::Value(Notation::Hex))
    } else if words.count() <= 3 && words.any(&["dec", "decimal"]) {
        Head::Role(Role::Value(Notation::Decimal))
    } else if words.count() <= 2 && (words.any(&["percent", "percentage"]) || text.contains('%')) {
        Head::Role(Role::Value(Notation::Percent))
    } else {
        Head::Unknown
    }
}

/// Whether a line holds the headings of columns.
pub(super) fn is_heads(line: &Line) -> bool {
    let cells: Vec<&str> = line.filled().map(|cell| cell.text.as_str()).collect();
    let number = |text: &&str| {
        values::cell(text, Notation::Any).is_some() || matches!(slots::cell(text), Slots::Some(_))
    };
    if cells.iter().any(number) {
        return false;
    }
    let known = cells.iter().filter(|text| head(text) != Head::Unknown).count();
    if cells.len() >= 2 {
        return known >= 2
            || (known == 1 && cells.len() == 2 && line.text.to_lowercase().contains("value"));
    }
    let words = Words::new(&line.text);
    let more = ["dmx", "of", "the", "range", "hex", "dec", "decimal"];
    words.count() >= 2
        && words.iter().all(|word| head(word) != Head::Unknown || more.contains(&word))
}

impl Columns {
    /// The columns below a line of headings; `below` are the lines that follow it.
    pub(super) fn from_heads(line: &Line, below: &[Line], layout: Layout) -> Self {
        let separated = matches!(layout, Layout::Separated(_));
        let mut columns = Self {
            roles: vec![Role::Skip; line.cells.len()],
            modes: Vec::new(),
            spans: line.cells.iter().map(|cell| (cell.start, cell.end)).collect(),
            separated,
        };
        let heads: Vec<Head> = line.cells.iter().map(|cell| head(&cell.text)).collect();
        let value_at =
            heads.iter().position(|head| matches!(head, Head::Role(Role::Value(_) | Role::From)));
        let before_value = |i: usize| value_at.is_none_or(|at| i < at);
        let text_behind = |i: usize| {
            heads
                .iter()
                .skip(i + 1)
                .any(|head| matches!(head, Head::Role(Role::Text) | Head::Function))
        };
        let has_name = heads.contains(&Head::Name);
        for (i, found) in heads.iter().enumerate() {
            let slots = || columns.holds_slots(i, below);
            columns.roles[i] = match found {
                Head::Slot => Role::Slot,
                Head::SlotOrName if slots() => Role::Slot,
                Head::SlotOrName | Head::Name => Role::Name,
                Head::Function if has_name || !before_value(i) => Role::Text,
                Head::Function if text_behind(i) => Role::Name,
                Head::Function => Role::NameOrText,
                Head::Role(role) => *role,
                Head::Unknown if before_value(i) && slots() => Role::Slot,
                Head::Unknown if line.cells[i].text.is_empty() => Role::Skip,
                Head::Unknown if before_value(i) => Role::Name,
                Head::Unknown => Role::Text,
            };
        }
        let modes = line.cells.iter().zip(&columns.roles).filter(|(_, role)| **role == Role::Slot);
        columns.modes = modes.map(|(cell, _)| cell.text.clone()).collect();
        columns
    }

    /// The columns of separated lines without headings, by what stands in them.
    pub(super) fn from_contents(lines: &[Line], layout: Layout) -> Option<Self> {
        if !matches!(layout, Layout::Separated(_)) {
            return None;
        }
        let count = lines.iter().map(|line| line.cells.len()).max()?.min(32);
        let mut roles = vec![Role::Skip; count];
        let share = |i: usize, is: &dyn Fn(&str) -> bool| {
            let cells = lines.iter().filter_map(|line| line.cells.get(i));
            let filled: Vec<&str> =
                cells.map(|cell| cell.text.as_str()).filter(|text| !text.is_empty()).collect();
            let good = filled.iter().filter(|text| is(text)).count();
            if filled.is_empty() { 0.0 } else { good as f64 / filled.len() as f64 }
        };
        let range = |text: &str| {
            values::cell(text, Notation::Any)
                .is_some_and(|values| values.iter().any(|v| v.is_range))
        };
        let slot = |text: &str| matches!(slots::cell(text), Slots::Some(_) | Slots::Bad(_));
        let number = |text: &str| values::cell(text, Notation::Any).is_some();
        let word = |text: &str| text.contains(char::is_alphabetic);
        let ranges: Vec<f64> = (0..count).map(|i| share(i, &range)).collect();
        let best = (0..count).max_by(|a, b| ranges[*a].total_cmp(&ranges[*b]))?;
        let value_at = if ranges[best] >= 0.5 {
            roles[best] = Role::Value(Notation::Any);
            best
        } else {
            // Two columns of single numbers behind the slots are first and last values.
            let numbers: Vec<usize> = (0..count).filter(|i| share(*i, &number) >= 0.6).collect();
            match numbers.as_slice() {
                [.., from, to] if to - from == 1 && numbers.len() >= 2 => {
                    roles[*from] = Role::From;
                    roles[*to] = Role::To;
                    *from
                }
                _ => return None,
            }
        };
        let mut named = false;
        for (i, role) in roles.iter_mut().enumerate().filter(|(_, role)| **role == Role::Skip) {
            *role = if i < value_at && !named && share(i, &slot) >= 0.6 {
                Role::Slot
            } else if i < value_at && share(i, &word) >= 0.5 {
                named = true;
                Role::Name
            } else if i > value_at {
                Role::Text
            } else {
                Role::Skip
            };
        }
        if !roles.contains(&Role::Text) {
            for role in roles.iter_mut().filter(|role| **role == Role::Name) {
                *role = Role::NameOrText;
            }
        }
        let modes =
            roles.iter().filter(|role| **role == Role::Slot).map(|_| String::new()).collect();
        Some(Self { roles, modes, spans: Vec::new(), separated: true })
    }

    /// How many columns of slots there are, at least 1.
    pub(super) fn mode_count(&self) -> usize {
        self.modes.len().max(1)
    }

    /// Whether there is a column of a role.
    pub(super) fn has(&self, role: Role) -> bool {
        self.roles.contains(&role)
    }

    /// What a line has in each column.
    pub(super) fn place(&self, line: &Line) -> Vec<String> {
        let mut placed = vec![String::new(); self.roles.len()];
        for cell in line.filled() {
            let column =
                if self.separated { Some(cell.start) } else { self.nearest(cell.start, cell.end) };
            // What stands behind the last column goes with it.
            let Some(column) = column.map(|column| column.min(self.roles.len().saturating_sub(1)))
            else {
                continue;
            };
            if let Some(text) = placed.get_mut(column) {
                if !text.is_empty() {
                    text.push(' ');
                }
                text.push_str(&cell.text);
            }
        }
        placed
    }

    /// Whether a column of words begins at a place of an aligned line.
    pub(super) fn begins(&self, start: usize) -> bool {
        let words = |role: &Role| matches!(role, Role::Name | Role::NameOrText | Role::Text);
        let columns = self.spans.iter().zip(&self.roles).filter(|(_, role)| words(role));
        columns.into_iter().any(|((from, _), _)| from.abs_diff(start) <= 1)
    }

    /// The column that a piece of an aligned line stands below.
    fn nearest(&self, start: usize, end: usize) -> Option<usize> {
        let far = |(i, (from, to)): &(usize, &(usize, usize))| {
            let gap = from.saturating_sub(end.saturating_sub(1)).max(start.saturating_sub(*to - 1));
            (gap, from.abs_diff(start), *i)
        };
        self.spans.iter().enumerate().min_by_key(far).map(|(i, _)| i)
    }

    /// Whether most of what stands in a column are slot numbers.
    fn holds_slots(&self, column: usize, below: &[Line]) -> bool {
        let mut counts = (0, 0);
        for line in below.iter().take(60) {
            let placed = self.place(line);
            let Some(text) = placed.get(column).filter(|text| !text.is_empty()) else { continue };
            counts.1 += 1;
            counts.0 += usize::from(matches!(
                slots::cell(text),
                Slots::Some(_) | Slots::Bad(_) | Slots::None
            ));
        }
        counts.0 > 0 && counts.0 * 5 >= counts.1 * 3
    }
}
