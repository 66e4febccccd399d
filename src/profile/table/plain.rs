//! A line read as words: a heading with a slot, values with what they do, or both.

use super::lines::Line;
use super::names::{Kind, named};
use super::reader::Reader;
use super::rows::Use;
use super::slots;
use super::values::{self, Amount, Notation, Value};

impl Reader<'_> {
    /// What becomes of a line by its words; `None` where no slot and no value stands in it.
    pub(super) fn plain(&mut self, line: &Line) -> Option<Use> {
        let text = line.text.trim_matches(['|', ';', ',', '"', ' ']);
        let text = text.trim_start_matches(['•', '*', '·', '▪', '■', '>']).trim();
        // `>=240` begins with a mark that is no bullet.
        let text = if line.text.trim_start().starts_with('>') { line.text.trim() } else { text };
        if let Some((slots, rest)) = slots::keyword(text) {
            return Some(self.heading(line.number, slots, rest));
        }
        let at_start = slots::at_start(text).filter(|(_, rest)| rest.contains(char::is_alphabetic));
        if let Some((slots, rest)) = &at_start {
            let numbered =
                rest.starts_with([')', ':']) || (rest.starts_with('.') && !rest.starts_with(".."));
            if numbered
                && values::take(rest.trim_start_matches([')', ':', '.', ' ']), Notation::Any)
                    .is_none()
            {
                return Some(self.heading(line.number, slots.clone(), rest));
            }
        }
        if let Some((value, rest)) = values::take(text, Notation::Any) {
            let as_slots = at_start.filter(|(slots, rest)| self.is_slots(&value, slots, rest));
            if let Some((slots, rest)) = as_slots {
                return Some(self.heading(line.number, slots, rest));
            }
            if self.section.channels.is_empty() {
                return None;
            }
            let rest = values::after_other_notation(rest);
            self.push(line.number, value, behind(rest));
            return Some(Use::Range);
        }
        if let Some((slots, rest)) = at_start
            && self.goes_up(&slots)
            && named(rest).kind != Kind::Unknown
        {
            return Some(self.heading(line.number, slots, rest));
        }
        self.values_inside(line.number, text)
    }

    /// A heading with slots, perhaps with values and what they do in the same line.
    fn heading(&mut self, line: u32, slots: Vec<u16>, rest: &str) -> Use {
        if let Some(what) = slots::bad(&slots) {
            return Use::NotUnderstood(what);
        }
        let rest = behind(rest);
        let same = self
            .section
            .channels
            .last()
            .is_some_and(|channel| channel.slots.first() == Some(&slots));
        match values::find_range(rest) {
            Some((before, value, after)) => {
                let (name, text) = parts(before);
                let after = behind(values::after_other_notation(after));
                let text = format!("{text} {after}");
                if !same {
                    self.open(vec![slots], name, line);
                }
                self.push(line, value, text.trim());
                Use::Range
            }
            None => {
                let (name, remark) = parts(rest);
                if !same {
                    self.open(vec![slots], name, line);
                }
                if let Some(channel) = self.section.channels.last_mut() {
                    remark.clone_into(&mut channel.remark);
                }
                Use::Channel
            }
        }
    }

    /// Values in the middle or at the end of a line.
    fn values_inside(&mut self, line: u32, text: &str) -> Option<Use> {
        let (before, value, after) = values::find_range(text)?;
        let before = before.trim_end_matches([' ', '.', ':', '-', '–', '=', '(', '…', '\t']);
        let after = behind(values::after_other_notation(after)).trim_start_matches(')');
        let whole = value.amount == Amount::Count(0, 255);
        let from_0 = matches!(value.amount, Amount::Count(0, _));
        let (name, rest) = parts(before);
        let names_one = !self.numbered
            && from_0
            && named(name).kind != Kind::Unknown
            && (whole || !after.is_empty() || !rest.is_empty() || self.section.channels.is_empty());
        if names_one {
            self.open(Vec::new(), name, line);
            self.push(line, value, format!("{rest} {after}").trim());
            return Some(Use::Range);
        }
        if self.section.channels.is_empty() {
            return None;
        }
        self.push(line, value, format!("{before} {after}").trim());
        Some(Use::Range)
    }

    /// Whether numbers at the start of a line are slots and not values.
    fn is_slots(&self, value: &Value, slots: &[u16], rest: &str) -> bool {
        let Amount::Count(first, _) = value.amount else { return false };
        if first == 0 {
            return false;
        }
        let up = self.goes_up(slots);
        if values::find_range(rest)
            .is_some_and(|(_, later, _)| matches!(later.amount, Amount::Count(0, _)))
        {
            return up;
        }
        let channel = self.section.channels.last();
        let last =
            channel.and_then(|channel| channel.rows.last()).and_then(|row| row.value.as_ref());
        let reached = match last.map(|value| value.amount) {
            Some(Amount::Count(_, to)) => Some(to),
            _ => None,
        };
        if reached.is_some_and(|to| to + 1 == first) {
            return false;
        }
        let next = self.last_slot().is_none_or(|last| slots.first() == Some(&(last + 1)));
        let all_said = reached.is_none_or(|to| to == 255);
        match channel {
            None => true,
            Some(_) => next && (all_said || named(rest).kind != Kind::Unknown),
        }
    }

    /// Whether slots lie above those of the channel before.
    fn goes_up(&self, slots: &[u16]) -> bool {
        let first = slots.iter().min().copied();
        self.last_slot()
            .is_none_or(|last| first.is_some_and(|first| first > last && first <= last + 16))
    }

    fn last_slot(&self) -> Option<u16> {
        self.section
            .channels
            .last()
            .and_then(|channel| channel.slots.first()?.iter().max().copied())
    }
}

/// A text without the marks that part it from what stands before.
fn behind(text: &str) -> &str {
    let marks =
        |c: char| c.is_whitespace() || matches!(c, ':' | '=' | '|' | '–' | '—' | '…' | ')' | '.');
    let text = text.trim_matches(|c: char| {
        c.is_whitespace() || matches!(c, ':' | '=' | '|' | '–' | '—' | '…')
    });
    let text = text.trim_start_matches(marks);
    // A dash close up to a number is its sign.
    match text.strip_prefix('-') {
        Some(rest) if !rest.starts_with(|c: char| c.is_ascii_digit()) => {
            rest.trim_start_matches(marks)
        }
        _ => text,
    }
}

/// What stands before and behind a gap of two blanks.
fn parts(text: &str) -> (&str, &str) {
    let text = text.trim();
    match text.split_once("  ").or_else(|| text.split_once('\t')) {
        Some((name, rest)) => (name.trim(), rest.trim()),
        None => (text, ""),
    }
}
