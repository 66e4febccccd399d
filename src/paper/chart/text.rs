//! A chart as plain text, in columns.

use super::{Chart, ChartChannel, ChartRow};
use crate::finding::one_line;
use crate::wire::slots_written;

/// Wider columns than these are not padded to: what is longer pushes the rest of its line.
const WIDEST_VALUES: usize = 20;
const WIDEST_FUNCTION: usize = 36;

/// Columns that the round steps may take before they get a line of their own.
const LINE: usize = 100;

/// The chart as plain text.
pub fn text(chart: &Chart) -> String {
    let mut out =
        format!("{}, mode {}, {} slots\n", one(&chart.title), one(&chart.mode), chart.slots);
    for (what, says) in &chart.facts {
        out.push_str(&format!("  {what:<11}{}\n", one(says)));
    }
    let rows = || chart.channels.iter().flat_map(|channel| &channel.rows);
    let width = |of: fn(&ChartRow) -> usize| rows().map(of).max().unwrap_or(0);
    let values = width(|row| row.values_words().chars().count()).min(WIDEST_VALUES);
    let function = width(|row| row.function_words().chars().count()).min(WIDEST_FUNCTION);
    for channel in &chart.channels {
        out.push('\n');
        out.push_str(&heading(channel));
        for row in &channel.rows {
            out.push_str(&line(row, values, function));
        }
    }
    if !chart.bare.is_empty() {
        out.push_str(&format!("\nnot described: {}\n", chart.bare_words()));
    }
    out
}

/// The line above a channel's values.
fn heading(channel: &ChartChannel) -> String {
    let mut heading = format!("{:<6}{}", slots_written(&channel.slots), one(&channel.name));
    if let Some(cell) = channel.cell {
        heading.push_str(&format!(", cell {cell}"));
    }
    heading.push_str(&format!("; rests at {}", channel.default));
    if !channel.at_rest.is_empty() {
        heading.push_str(&format!(" ({})", one(&channel.at_rest)));
    }
    if channel.snap {
        heading.push_str("; jumps in a fade");
    }
    heading.push('\n');
    heading
}

fn line(row: &ChartRow, values: usize, function: usize) -> String {
    let mut line =
        format!("      {:<values$}  {:<function$}", row.values_words(), one(row.function_words()));
    if let Some((a, b, unit)) = row.physical {
        let ends = if a == b {
            unit.format(a)
        } else {
            format!("{} to {}", unit.format(a), unit.format(b))
        };
        line.push_str(&format!("  {ends}"));
    }
    let mut line = line.trim_end().to_owned();
    for more in [row.notes_words(), row.steps_words()].into_iter().filter(|more| !more.is_empty()) {
        let more = one(&more).into_owned();
        let last = line.rsplit('\n').next().unwrap_or("").chars().count();
        if last + 2 + more.chars().count() <= LINE {
            line.push_str(&format!("  {more}"));
        } else {
            line.push_str(&format!("\n{:indent$}{more}", "", indent = 6 + values + 2));
        }
    }
    line.push('\n');
    line
}

fn one(text: &str) -> std::borrow::Cow<'_, str> {
    one_line(text)
}
