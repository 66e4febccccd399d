//! A cue sheet as plain text.

use super::{CueRow, CueSheet, SheetLine};
use crate::check::flashes::CAUTION;
use crate::finding::one_line;

/// The sheet as plain text: a line a cue, and below it what it does.
pub fn text(sheet: &CueSheet) -> String {
    let mut out = format!("{}: cue list {}\n", one_line(&sheet.show), one_line(&sheet.list));
    for words in [&sheet.notes].into_iter().chain(&sheet.rules).filter(|words| !words.is_empty()) {
        out.push_str(&format!("  {}\n", one_line(words)));
    }
    for row in &sheet.rows {
        cue(&mut out, row);
    }
    if sheet.rows.iter().any(|row| !row.flashes.is_empty()) {
        out.push_str(&format!("\nCaution: {CAUTION}.\n"));
    }
    out
}

fn cue(out: &mut String, row: &CueRow) {
    out.push_str(&format!("\n{}  [{}]\n", one_line(&row.title()), row.times));
    if !row.notes.is_empty() {
        out.push_str(&format!("    \"{}\"\n", one_line(&row.notes)));
    }
    let line = |line: &SheetLine| format!("    {}\n", one_line(&line.whole()));
    out.extend(row.lines.iter().map(line));
    out.extend(
        row.flashes.iter().map(|flash| format!("    caution: {}\n", one_line(&flash.whole()))),
    );
    if !row.next.is_empty() {
        out.push_str(&format!("    {}\n", row.next));
    }
}
