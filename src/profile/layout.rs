//! RON set out for people: what fits on a line stays on it, what does not is opened up, one entry a
//! line, and long rows of numbers come sixteen to a line.

use serde::Serialize;

use super::tokens::{Kind, Token, Tokens};

/// Columns of a line, unless one entry alone is longer.
const WIDTH: usize = 120;

/// Numbers on a line of a long list.
const ROW: usize = 16;

/// A value as RON text with a line end behind it.
///
/// # Panics
///
/// Never for structs, enums, lists and maps of text and numbers, which RON can always write.
pub(crate) fn set_out<T: Serialize>(value: &T) -> String {
    let compact = ron::to_string(value).expect("structs of text and numbers can be written");
    let mut tokens = Tokens::new(&compact);
    let mut text = String::with_capacity(compact.len() * 2);
    if let Some(node) = Node::read(&mut tokens, &compact) {
        node.write(&mut text, 0, 0, true);
    }
    text.push('\n');
    text
}

/// A value of the text.
struct Node<'a> {
    /// A number, text or name; before brackets, the name of a variant.
    head: &'a str,
    /// Opening and closing bracket with what is between.
    body: Option<Body<'a>>,
    /// Columns that it takes on one line.
    width: usize,
}

struct Body<'a> {
    open: &'a str,
    close: &'static str,
    entries: Vec<(Option<&'a str>, Node<'a>)>,
}

impl<'a> Node<'a> {
    fn read(tokens: &mut Tokens<'a>, text: &'a str) -> Option<Self> {
        let word = |token: &Token| &text[token.at.clone()];
        let mut first = tokens.next()?;
        let mut head = "";
        if first.kind == Kind::Other {
            head = word(&first);
            match tokens.peek() {
                Some(next) if next.kind == Kind::Open => {
                    tokens.next();
                    first = next;
                }
                _ => return Some(Self { head, body: None, width: head.chars().count() }),
            }
        }
        let close = match word(&first) {
            "(" => ")",
            "[" => "]",
            _ => "}",
        };
        let mut entries = Vec::new();
        while let Some(next) = tokens.peek() {
            match next.kind {
                Kind::Close => {
                    tokens.next();
                    break;
                }
                Kind::Comma | Kind::Colon => {
                    tokens.next();
                    continue;
                }
                Kind::Open | Kind::Other => {}
            }
            let mut ahead = tokens.clone();
            ahead.next();
            let key = ahead.next().filter(|second| second.kind == Kind::Colon).map(|_| {
                *tokens = ahead;
                word(&next)
            });
            entries.push((key, Self::read(tokens, text)?));
        }
        let inside: usize = entries
            .iter()
            .map(|(key, node)| key.map_or(0, |key| key.chars().count() + 2) + node.width)
            .sum();
        let width = head.chars().count() + 2 + inside + 2 * entries.len().saturating_sub(1);
        Some(Self { head, body: Some(Body { open: word(&first), close, entries }), width })
    }

    /// Writes the node where `column` columns of the line are taken.
    fn write(&self, text: &mut String, indent: usize, column: usize, opened: bool) {
        text.push_str(self.head);
        let Some(Body { open, close, entries }) = &self.body else { return };
        text.push_str(open);
        // One column is for the comma behind it.
        let fits = column + self.width < WIDTH;
        if entries.is_empty() || (fits && !opened) {
            for (i, (key, node)) in entries.iter().enumerate() {
                if i > 0 {
                    text.push_str(", ");
                }
                write_key(text, *key);
                node.write(text, indent, 0, false);
            }
        } else if entries.iter().all(|(key, node)| key.is_none() && node.body.is_none()) {
            for row in entries.chunks(ROW) {
                new_line(text, indent + 2);
                for (i, (_, node)) in row.iter().enumerate() {
                    if i > 0 {
                        text.push(' ');
                    }
                    text.push_str(node.head);
                    text.push(',');
                }
            }
            new_line(text, indent);
        } else {
            for (key, node) in entries {
                new_line(text, indent + 2);
                let taken = indent + 2 + key.map_or(0, |key| key.chars().count() + 2);
                write_key(text, *key);
                node.write(text, indent + 2, taken, false);
                text.push(',');
            }
            new_line(text, indent);
        }
        text.push_str(close);
    }
}

fn write_key(text: &mut String, key: Option<&str>) {
    if let Some(key) = key {
        text.push_str(key);
        text.push_str(": ");
    }
}

fn new_line(text: &mut String, indent: usize) {
    text.push('\n');
    text.extend(std::iter::repeat_n(' ', indent));
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::*;

    #[test]
    fn what_fits_stays_on_a_line_and_long_rows_come_sixteen_a_line() {
        let short: BTreeMap<u8, (f64, &str)> =
            BTreeMap::from([(1, (0.5, "a, (b")), (2, (-1.0, ""))]);
        assert_eq!(set_out(&short), "{\n  1: (0.5, \"a, (b\"),\n  2: (-1.0, \"\"),\n}\n");
        let numbers: Vec<u8> = (100..140).collect();
        let text = set_out(&vec![numbers.clone(), vec![1]]);
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines[1], "  [");
        assert!(lines[2].starts_with("    100, 101, 102") && lines[2].ends_with("115,"));
        assert_eq!(lines[6], "  [1],");
        assert_eq!(ron::from_str::<Vec<Vec<u8>>>(&text), Ok(vec![numbers, vec![1]]));
    }
}
