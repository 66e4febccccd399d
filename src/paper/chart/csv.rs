//! A chart as comma-separated values (the form that RFC 4180 describes, with plain line ends).

use super::{Chart, ChartRow, plain};
use crate::wire::slots_written;

/// The first line: what each column holds.
const HEAD: &str = "slot,channel,from,to,function,physical from,physical to,unit\n";

/// The chart as comma-separated values, one line a range. Slots of one channel stand as `1/2`, and so
/// do values that begin or end inside a coarse step.
pub fn csv(chart: &Chart) -> String {
    let mut out = HEAD.to_owned();
    for channel in &chart.channels {
        for row in &channel.rows {
            let (a, b, unit) = match row.physical {
                Some((a, b, unit)) => (plain(a), plain(b), unit.symbol()),
                None => (String::new(), String::new(), ""),
            };
            let cells = [
                slots_written(&channel.slots),
                quoted(&channel.name),
                row.from_words(),
                row.to_words(),
                quoted(&function(row)),
                a,
                b,
                unit.to_owned(),
            ];
            out.push_str(&cells.join(","));
            out.push('\n');
        }
    }
    out
}

/// What the values do, with where other channels must stand.
fn function(row: &ChartRow) -> String {
    match row.when.is_empty() {
        true => row.function_words().to_owned(),
        false => format!("{} (while {})", row.function_words(), row.when.join(" and ")),
    }
}

/// A text as a cell: in quotation marks where it holds one, a comma or a line end.
pub(in crate::paper) fn quoted(text: &str) -> String {
    if text.contains(['"', ',', '\n', '\r']) {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text.to_owned()
    }
}
