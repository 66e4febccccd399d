//! A cue sheet as comma-separated values (the form that RFC 4180 describes, with plain line ends).

use super::{CueSheet, SheetLine};
use crate::cue::words;
use crate::finding::rounded;
use crate::paper::chart::quoted;

/// The first line: what each column holds.
const HEAD: &str = "cue,name,times,takes s,next,what it does,lit,flashes,notes\n";

/// The sheet as comma-separated values, one line a cue. What it does stands in one cell, parted by
/// semicolons.
pub fn csv(sheet: &CueSheet) -> String {
    let mut out = HEAD.to_owned();
    let joined =
        |lines: &[SheetLine]| lines.iter().map(SheetLine::whole).collect::<Vec<_>>().join("; ");
    for row in &sheet.rows {
        let cells = [
            row.number.clone(),
            quoted(&row.name),
            quoted(&row.times),
            rounded(row.takes_s, 3),
            quoted(&row.next),
            quoted(&joined(&row.lines)),
            quoted(&words::fixtures(&row.lit)),
            quoted(&joined(&row.flashes)),
            quoted(&row.notes),
        ];
        out.push_str(&cells.join(","));
        out.push('\n');
    }
    out
}
