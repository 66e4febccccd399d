//! From text to lines, and from lines to cells.

/// Lines that are read at most; no manual's chart comes near.
pub(super) const MOST_LINES: usize = 20_000;

/// Characters of a line that are read at most.
pub(super) const MOST_CHARS: usize = 2_000;

/// Lines that one cell in quotes runs over at most, after its first.
const MOST_JOINED: usize = 40;

/// How the cells of a line are kept apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Layout {
    /// By a character.
    Separated(char),
    /// By two blanks or more, so that columns stand below each other.
    Aligned,
    /// Not at all.
    Plain,
}

/// One cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Cell {
    /// What it holds, trimmed.
    pub(super) text: String,
    /// Its column in a separated line; the place of its first character in an aligned one.
    pub(super) start: usize,
    /// One past its last character in an aligned line.
    pub(super) end: usize,
}

/// One line of the text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Line {
    /// Its number, from 1.
    pub(super) number: u32,
    /// The whole line, trimmed, with its inner blanks.
    pub(super) text: String,
    /// Its cells. Separated lines keep empty ones, so that columns count.
    pub(super) cells: Vec<Cell>,
}

impl Line {
    /// The cells that hold something.
    pub(super) fn filled(&self) -> impl Iterator<Item = &Cell> {
        self.cells.iter().filter(|cell| !cell.text.is_empty())
    }
}

/// The lines of a text, and how their cells are kept apart.
pub(super) fn read(text: &str) -> (Layout, Vec<Line>) {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let lines: Vec<String> = text.lines().take(MOST_LINES).map(clean).collect();
    let (layout, lines) = with_whole_cells(lines);
    let lines = lines
        .into_iter()
        .map(|(number, line)| Line {
            number,
            cells: split(&line, layout),
            text: line.trim().to_owned(),
        })
        .collect();
    (layout, lines)
}

/// The layout, and the lines with their numbers; those that one cell in quotes runs over are one.
fn with_whole_cells(lines: Vec<String>) -> (Layout, Vec<(u32, String)>) {
    if lines.iter().any(|line| line.contains('"')) {
        for separator in ['\t', ';', ','] {
            let joined = join_cells(&lines, separator);
            if joined.len() == lines.len() {
                continue;
            }
            let texts: Vec<String> = joined.iter().map(|(_, line)| line.clone()).collect();
            let layout = detect(&texts);
            if layout == Layout::Separated(separator) {
                return (layout, joined);
            }
        }
    }
    let layout = detect(&lines);
    (layout, (1..).zip(lines).collect())
}

/// Lines whose last cell is in quotes that are still open, put together with those that follow up to the
/// closing ones. A mark that is closed nowhere near is a mark for inches, or a slip.
fn join_cells(lines: &[String], separator: char) -> Vec<(u32, String)> {
    let mut joined = Vec::new();
    let mut at = 0;
    while at < lines.len() {
        let mut whole = lines[at].clone();
        let mut count = 1;
        if is_open(&whole, separator) {
            let mut tried = whole.clone();
            for (more, line) in lines[at + 1..].iter().take(MOST_JOINED).enumerate() {
                tried.push(' ');
                tried.push_str(line.trim());
                if tried.len() > MOST_CHARS {
                    break;
                }
                if line.contains('"') && !is_open(&tried, separator) {
                    (whole, count) = (tried, more + 2);
                    break;
                }
            }
        }
        joined.push((at as u32 + 1, whole));
        at += count;
    }
    joined
}

/// Whether the line ends inside a cell in quotes.
fn is_open(line: &str, separator: char) -> bool {
    cells_of(line, separator).1
}

/// One spelling for blanks and rules, and no control character but the tab.
fn clean(line: &str) -> String {
    let clean = |c: char| match c {
        '│' | '┃' | '║' | '¦' => '|',
        '\t' => '\t',
        '\u{ad}' | '\u{200b}' | '\u{200c}' | '\u{200d}' | '\u{feff}' => '\u{ad}',
        c if c.is_control() || c.is_whitespace() => ' ',
        c => c,
    };
    line.chars().take(MOST_CHARS).map(clean).filter(|c| *c != '\u{ad}').collect()
}

fn detect(lines: &[String]) -> Layout {
    let filled: Vec<&str> = lines
        .iter()
        .map(|line| line.trim())
        .filter(|line| line.contains(|c: char| c.is_alphanumeric()))
        .collect();
    for separator in ['\t', '|', ';', ','] {
        let counts: Vec<usize> =
            filled.iter().map(|line| split(line, Layout::Separated(separator)).len()).collect();
        let several = counts.iter().filter(|n| **n >= 2).count();
        let enough = match separator {
            '\t' | '|' => several * 3 >= filled.len(),
            ';' => several * 2 >= filled.len(),
            // A comma stands in words too: most lines must have the same cells, or nearly all lines some.
            _ => most_common(&counts).is_some_and(|(cells, times)| {
                (cells >= 3 && times * 2 >= filled.len())
                    || (cells == 2 && times * 5 >= filled.len() * 4)
            }),
        };
        if several >= 1 && enough {
            return Layout::Separated(separator);
        }
    }
    let spaced = filled.iter().filter(|line| line.contains("  ")).count();
    if spaced >= 2 && spaced * 4 >= filled.len() { Layout::Aligned } else { Layout::Plain }
}

/// The value that comes most often above 1, and how often.
fn most_common(counts: &[usize]) -> Option<(usize, usize)> {
    let most = counts.iter().copied().filter(|n| *n >= 2).max()?;
    (2..=most.min(64))
        .map(|n| (n, counts.iter().filter(|count| **count == n).count()))
        .max_by_key(|(n, times)| (*times, *n))
}

fn split(line: &str, layout: Layout) -> Vec<Cell> {
    match layout {
        Layout::Separated(separator) => {
            let mut cells = separated(line, separator);
            if separator == '|' {
                // A frame around the table is no column.
                if cells.first().is_some_and(String::is_empty) && line.trim().starts_with('|') {
                    cells.remove(0);
                }
                if cells.last().is_some_and(String::is_empty) && line.trim().ends_with('|') {
                    cells.pop();
                }
            }
            let number = |(i, text)| Cell { text, start: i, end: i + 1 };
            cells.into_iter().enumerate().map(number).collect()
        }
        Layout::Aligned => aligned(line),
        Layout::Plain => {
            vec![Cell { text: line.trim().to_owned(), start: 0, end: line.chars().count() }]
        }
    }
}

/// Cells between separators; a cell in quotes may hold the separator, and a doubled quote is one.
fn separated(line: &str, separator: char) -> Vec<String> {
    cells_of(line, separator).0
}

/// The cells, and whether the last one's quotes are still open.
fn cells_of(line: &str, separator: char) -> (Vec<String>, bool) {
    let mut cells = Vec::new();
    let mut cell = String::new();
    let mut quoted = false;
    let mut chars = line.chars().peekable();
    while let Some(c) = chars.next() {
        if c == '"' && quoted && chars.peek() == Some(&'"') {
            chars.next();
            cell.push('"');
        } else if c == '"' && (quoted || cell.trim().is_empty()) {
            quoted = !quoted;
        } else if c == separator && !quoted {
            cells.push(cell.trim().to_owned());
            cell.clear();
        } else {
            cell.push(c);
        }
    }
    cells.push(cell.trim().to_owned());
    (cells, quoted)
}

/// Cells between two blanks or more; a tab counts as such a gap.
fn aligned(line: &str) -> Vec<Cell> {
    let mut cells: Vec<Cell> = Vec::new();
    let mut blanks = 2;
    for (at, c) in line.chars().enumerate() {
        if c == ' ' || c == '\t' {
            blanks += if c == '\t' { 2 } else { 1 };
            continue;
        }
        match cells.last_mut() {
            Some(cell) if blanks < 2 => {
                cell.text.extend(std::iter::repeat_n(' ', blanks));
                cell.text.push(c);
                cell.end = at + 1;
            }
            _ => cells.push(Cell { text: c.to_string(), start: at, end: at + 1 }),
        }
        blanks = 0;
    }
    cells
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(line: &Line) -> Vec<&str> {
        line.cells.iter().map(|cell| cell.text.as_str()).collect()
    }

    #[test]
    fn separators_are_told_from_commas_in_words() {
        let (layout, lines) = read("1,Pan,0-255,\"Pan, 540°\"\n2,Tilt,0-255,Tilt\n");
        assert_eq!(layout, Layout::Separated(','));
        assert_eq!(texts(&lines[0]), ["1", "Pan", "0-255", "Pan, 540°"]);
        assert_eq!(
            read("Channel 1 Shutter\n0-7 closed\n8-255 strobe, slow to fast\n").0,
            Layout::Plain
        );
        let (layout, lines) = read("| 1 | Pan | 0-255 |\n|   |     | 3 |\n");
        assert_eq!(layout, Layout::Separated('|'));
        assert_eq!(texts(&lines[1]), ["", "", "3"]);
        assert_eq!(read("1\tPan\t0-255\n\t\t3").0, Layout::Separated('\t'));
    }

    /// RFC 4180, 2.6: fields with line breaks are enclosed in double quotes.
    #[test]
    fn a_cell_in_quotes_may_run_over_several_lines() {
        let text =
            "1,Pan,0-255,\"Pan,\n540°\"\n2,Shutter,0-7,\"closed\nor \"\"shut\"\"\"\n,,8-255,open\n";
        let (layout, lines) = read(text);
        assert_eq!(layout, Layout::Separated(','));
        assert_eq!(lines.iter().map(|line| line.number).collect::<Vec<_>>(), [1, 3, 5]);
        assert_eq!(texts(&lines[0]), ["1", "Pan", "0-255", "Pan, 540°"]);
        assert_eq!(texts(&lines[1]), ["2", "Shutter", "0-7", "closed or \"shut\""]);
    }

    #[test]
    fn quotes_that_are_never_closed_join_nothing() {
        let (_, lines) = read("1,Pan,0-255,\"Pan\n2,Tilt,0-255,Tilt\n3,Dimmer,0-255,Dimmer\n");
        assert_eq!(lines.len(), 3);
        let long = format!("1,Pan,0-255,\"x\n{}", "y,y,y,y\n".repeat(100_000));
        assert_eq!(read(&long).1.len(), MOST_LINES);
    }

    #[test]
    fn aligned_cells_know_where_they_stand() {
        let (layout, lines) = read("CH  Name     Value\n1   Pan fine  0 - 255\n");
        assert_eq!(layout, Layout::Aligned);
        assert_eq!(texts(&lines[1]), ["1", "Pan fine", "0 - 255"]);
        assert_eq!((lines[1].cells[1].start, lines[1].cells[1].end), (4, 12));
    }

    #[test]
    fn long_lines_are_cut_and_many_lines_are_not_all_read() {
        let (_, lines) = read(&"x".repeat(1_000_000));
        assert_eq!(lines[0].text.len(), MOST_CHARS);
        assert_eq!(read(&"1\n".repeat(100_000)).1.len(), MOST_LINES);
    }
}
