//! Rows of text in aligned columns that fit a terminal.

use crate::finding::one_line;

/// Characters a line may take.
pub(super) const LINE: usize = 100;

/// Between two columns.
const GAP: usize = 2;

/// Before the first column.
const INDENT: usize = 2;

/// No column that gives way gets narrower than this.
const NARROWEST: usize = 8;

/// How columns share a line.
pub(super) struct Columns<'a> {
    /// Columns that are cut short where a line would be too long, the first first.
    pub give_way: &'a [usize],
}

impl Columns<'_> {
    /// The width of each column, so that all `rows` stand below each other.
    pub(super) fn widths<const N: usize>(&self, rows: &[[String; N]]) -> [usize; N] {
        let mut widths: [usize; N] = std::array::from_fn(|column| {
            rows.iter().map(|row| row[column].chars().count()).max().unwrap_or(0)
        });
        for column in self.give_way {
            let taken = INDENT + widths.iter().sum::<usize>() + GAP * N.saturating_sub(1);
            let narrow = widths[*column].saturating_sub(taken.saturating_sub(LINE));
            widths[*column] = narrow.max(NARROWEST.min(widths[*column]));
        }
        widths
    }
}

/// One line of a table.
pub(super) fn line<const N: usize>(row: &[String; N], widths: &[usize; N]) -> String {
    let mut line = " ".repeat(INDENT);
    for (cell, width) in row.iter().zip(widths) {
        line.push_str(&format!("{:<width$}{:GAP$}", cut(cell, *width), ""));
    }
    line.truncate(line.trim_end().len());
    line.push('\n');
    line
}

/// `text` in at most `width` characters.
pub(super) fn cut(text: &str, width: usize) -> String {
    let shown = one_line(text);
    if shown.chars().count() <= width {
        return shown.into_owned();
    }
    let mut short: String = shown.chars().take(width.saturating_sub(1)).collect();
    short.push('…');
    short
}

/// `text` in lines of at most `width` characters, broken at blanks; a longer word is cut.
pub(super) fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in one_line(text).split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(cut(word, width)),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_align_and_a_line_never_grows_too_long() {
        let rows = [
            ["Pan".to_owned(), "x".repeat(90), "0.00 deg".to_owned()],
            ["Colour wheel".to_owned(), "short".to_owned(), "é".to_owned()],
        ];
        let widths = Columns { give_way: &[1, 0] }.widths(&rows);
        let lines: Vec<String> = rows.iter().map(|row| line(row, &widths)).collect();
        for line in &lines {
            assert!(line.trim_end().chars().count() <= LINE, "{line}");
        }
        let start = |line: &str, what| line.split(what).next().unwrap().chars().count();
        assert_eq!(start(&lines[0], "0.00"), start(&lines[1], "é"));
        assert!(lines[0].contains('…'));
    }

    #[test]
    fn nothing_breaks_out_of_its_line() {
        assert_eq!(cut("two\nlines\u{1b}", 20), "two lines ");
        assert_eq!(cut("abcdef", 4), "abc…");
        assert_eq!(wrapped("one two\nthree fourteen", 7), ["one two", "three", "fourte…"]);
    }
}
