//! Where in a text a thing stands: from a path such as `modes[0].channels[3].ranges[2].to` to its
//! line and column.
//!
//! The RON reader gives positions for what it cannot read at all. What it can read and what still
//! makes no sense is found later, on the model, by path; this walks the text once and finds the
//! places of all such paths. It goes down only where a path leads, so deep nesting costs no stack.

use std::path::Path;

use super::model::Accepted;
use super::tokens::{Kind, Token, Tokens};
use crate::finding::{Finding, Place, Severity, TextPlace};

/// How many findings of one file are kept; a file with more is wrong as a whole.
const KEPT: usize = 200;

/// One step down a path.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Step {
    /// A field of a struct or a key of a map.
    Name(String),
    /// A place in a list or tuple, from 0.
    Index(usize),
}

/// A path to a value in a RON text, from the outermost value.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PathInFile(Vec<Step>);

impl PathInFile {
    /// The outermost value.
    pub fn top() -> Self {
        Self::default()
    }

    /// The field or map key `name` of this value.
    pub fn field(&self, name: impl Into<String>) -> Self {
        self.step(Step::Name(name.into()))
    }

    /// The entry at `index`, from 0, of this list or tuple.
    pub fn index(&self, index: usize) -> Self {
        self.step(Step::Index(index))
    }

    fn step(&self, step: Step) -> Self {
        let mut steps = Vec::with_capacity(self.0.len() + 1);
        steps.extend_from_slice(&self.0);
        steps.push(step);
        Self(steps)
    }
}

/// What an acceptance covered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Covered {
    /// No finding.
    Nothing,
    /// A finding that may be accepted.
    Something,
    /// An error, which may not.
    AnError,
}

/// Collects findings by path, and stops keeping them when there are absurdly many.
#[derive(Clone, Debug, Default)]
pub struct Found {
    list: Vec<(PathInFile, Finding)>,
    dropped: usize,
    failed: bool,
}

impl Found {
    /// Takes a finding in.
    pub fn push(&mut self, path: PathInFile, finding: Finding) {
        self.failed |= finding.severity == Severity::Error;
        if self.list.len() < KEPT {
            self.list.push((path, finding));
        } else {
            self.dropped += 1;
        }
    }

    /// Takes all findings of another collection in.
    pub fn extend(&mut self, other: Self) {
        self.dropped += other.dropped;
        self.failed |= other.failed;
        for (path, finding) in other.list {
            self.push(path, finding);
        }
    }

    /// Whether an error was found.
    pub fn failed(&self) -> bool {
        self.failed
    }

    /// The findings with their paths, in the order in which they were made.
    pub fn list(&self) -> &[(PathInFile, Finding)] {
        &self.list
    }

    /// Marks the findings that the author of a profile accepted, with the reason, and says for each of
    /// `accepted` whether it covered one. An error cannot be accepted and stays as it is.
    pub fn accept(&mut self, accepted: &[Accepted]) -> Vec<Covered> {
        let mut covered = vec![Covered::Nothing; accepted.len()];
        if accepted.is_empty() {
            return covered;
        }
        for (_, finding) in &mut self.list {
            let item = finding.place.item.as_deref().unwrap_or("");
            let by = accepted.iter().position(|accepted| accepted.covers(finding.code, item));
            let Some(by) = by else { continue };
            if finding.severity == Severity::Error {
                covered[by] = Covered::AnError;
            } else {
                covered[by] = covered[by].max(Covered::Something);
                finding.accepted = Some(accepted[by].reason.clone());
            }
        }
        covered
    }

    /// Leaves out what was accepted.
    pub fn drop_accepted(&mut self) {
        self.list.retain(|(_, finding)| finding.accepted.is_none());
    }

    /// The findings with their places in `text`, in the order of the text.
    pub fn pin(self, text: &str, file: Option<&Path>) -> Vec<Finding> {
        let paths: Vec<&PathInFile> = self.list.iter().map(|(path, _)| path).collect();
        let places = locate(text, &paths);
        let mut findings: Vec<Finding> = self
            .list
            .into_iter()
            .zip(places)
            .map(|((_, mut finding), place)| {
                finding.place.file = file.map(Path::to_owned);
                finding.place.text = place;
                finding
            })
            .collect();
        findings.sort_by_key(|finding| finding.place.text);
        if self.dropped > 0 {
            let place = Place { file: file.map(Path::to_owned), ..Place::default() };
            let severity = if self.failed { Severity::Error } else { Severity::Note };
            let what = format!("{} more findings are not listed", self.dropped);
            findings.push(Finding::new(severity, place, what, "mend these first"));
        }
        findings
    }
}

/// The line and column of each path's value. Where a path leads nowhere, the place of the last value
/// on the way to it; `None` only in a text without any value.
fn locate(text: &str, paths: &[&PathInFile]) -> Vec<Option<TextPlace>> {
    // A byte-order mark is no character of the text that a person counts.
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut walk = Walk { tokens: Tokens::new(text), paths, found: vec![None; paths.len()] };
    let all: Vec<usize> = (0..paths.len()).collect();
    walk.skip_attributes();
    walk.value(&all, 0);
    let mut order: Vec<(usize, usize)> =
        walk.found.iter().enumerate().filter_map(|(i, at)| at.map(|at| (at, i))).collect();
    order.sort_unstable();
    let mut places = vec![None; paths.len()];
    let mut counter = Counter::new(text);
    for (at, i) in order {
        places[i] = Some(counter.place(at));
    }
    places
}

/// The names of the fields of the outermost value, in order.
pub fn top_fields(text: &str) -> Vec<String> {
    let mut walk = Walk { tokens: Tokens::new(text), paths: &[], found: Vec::new() };
    walk.skip_attributes();
    let mut names = Vec::new();
    while let Some(token) = walk.tokens.peek() {
        walk.tokens.go_to(token.at.end);
        if token.kind == Kind::Open {
            break;
        }
    }
    while let Some(token) = walk.tokens.peek() {
        match token.kind {
            Kind::Close => break,
            Kind::Comma | Kind::Colon => walk.tokens.go_to(token.at.end),
            Kind::Open | Kind::Other => {
                names.extend(walk.key(&token));
                walk.tokens.skip_value();
            }
        }
    }
    names
}

/// The line and column of a byte of `text`.
pub fn place_of(text: &str, byte: usize) -> TextPlace {
    Counter::new(text).place(byte)
}

/// The byte of the innermost bracket that is open just before the byte `end`.
pub(super) fn open_before(text: &str, end: usize) -> Option<usize> {
    let mut open = Vec::new();
    for token in Tokens::new(text) {
        if token.at.start >= end {
            break;
        }
        match token.kind {
            Kind::Open => open.push(token.at.start),
            // The bracket that closes at the very end is the one asked for.
            Kind::Close if token.at.end >= end => break,
            Kind::Close => {
                open.pop();
            }
            _ => {}
        }
    }
    open.last().copied()
}

/// Counts lines and columns forward through a text.
struct Counter<'a> {
    text: &'a str,
    at: usize,
    place: TextPlace,
}

impl<'a> Counter<'a> {
    fn new(text: &'a str) -> Self {
        Self { text, at: 0, place: TextPlace { line: 1, column: 1 } }
    }

    /// The place of the byte `to`, which must not lie before that of the last call.
    fn place(&mut self, to: usize) -> TextPlace {
        let rest = self.text.get(self.at..).unwrap_or("");
        for (offset, c) in rest.char_indices() {
            if self.at + offset >= to {
                break;
            }
            if c == '\n' {
                self.place.line = self.place.line.saturating_add(1);
                self.place.column = 1;
            } else {
                self.place.column = self.place.column.saturating_add(1);
            }
        }
        self.at = self.at.max(to);
        self.place
    }
}

/// A walk through a text for several paths at once.
struct Walk<'a> {
    tokens: Tokens<'a>,
    paths: &'a [&'a PathInFile],
    /// For each path, the byte of the deepest value found on its way.
    found: Vec<Option<usize>>,
}

impl Walk<'_> {
    /// Passes `#![enable(...)]` before the first value.
    fn skip_attributes(&mut self) {
        while let Some(token) = self.tokens.peek() {
            if !self.tokens.word(&token).starts_with('#') {
                return;
            }
            self.tokens.go_to(token.at.end);
            while let Some(token) = self.tokens.next() {
                if self.tokens.word(&token) == "]" {
                    break;
                }
            }
        }
    }

    /// Passes one value that the paths `wanted` lead to or through; `depth` steps are behind.
    fn value(&mut self, wanted: &[usize], depth: usize) {
        let Some(first) = self.tokens.peek() else { return };
        for path in wanted {
            self.found[*path] = Some(first.at.start);
        }
        let deeper: Vec<usize> =
            wanted.iter().copied().filter(|path| self.paths[*path].0.len() > depth).collect();
        if deeper.is_empty() {
            return self.tokens.skip_value();
        }
        match first.kind {
            Kind::Open => self.tokens.go_to(first.at.end),
            Kind::Other => {
                // The name of a variant or struct, which paths do not mention.
                self.tokens.go_to(first.at.end);
                match self.tokens.peek() {
                    Some(token) if token.kind == Kind::Open => self.tokens.go_to(token.at.end),
                    _ => return,
                }
            }
            _ => return,
        }
        self.entries(&deeper, depth);
    }

    /// Passes the entries of a list, tuple, struct or map, and its closing bracket.
    fn entries(&mut self, wanted: &[usize], depth: usize) {
        let mut index = 0;
        while let Some(token) = self.tokens.peek() {
            match token.kind {
                Kind::Close => {
                    self.tokens.go_to(token.at.end);
                    return;
                }
                Kind::Comma | Kind::Colon => {
                    self.tokens.go_to(token.at.end);
                    continue;
                }
                Kind::Open | Kind::Other => {}
            }
            let step = match self.key(&token) {
                Some(name) => Step::Name(name),
                None => Step::Index(index),
            };
            let inside: Vec<usize> = wanted
                .iter()
                .copied()
                .filter(|path| self.paths[*path].0.get(depth) == Some(&step))
                .collect();
            if inside.is_empty() {
                self.tokens.skip_value();
            } else {
                self.value(&inside, depth + 1);
                // What the value left over, had it no brackets to go into.
                self.tokens.skip_value();
            }
            index += 1;
        }
    }

    /// If `token` is a field name or map key, passes it and its colon and gives the name.
    fn key(&mut self, token: &Token) -> Option<String> {
        if token.kind != Kind::Other {
            return None;
        }
        let mut ahead = self.tokens.clone();
        ahead.go_to(token.at.end);
        let colon = ahead.next().filter(|next| next.kind == Kind::Colon)?;
        self.tokens.go_to(colon.at.end);
        let word = self.tokens.word(token);
        if word.starts_with(['"', 'r'])
            && let Ok(key) = ron::from_str::<String>(word)
        {
            return Some(key);
        }
        Some(word.to_owned())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(text: &str, path: PathInFile, line: u32, column: u32) {
        let places = locate(text, &[&path]);
        assert_eq!(places, [Some(TextPlace { line, column })], "{path:?}");
    }

    const TEXT: &str = r##"#![enable(implicit_some)]
// A comment with ( brackets [ in it.
(
  name: "é (odd) \" ]", /* /* nested */ , */ modes: [
    (a: 1, at: [1, 2]), (a: Slot(wheel: "x", slot: 9), "é": 7),
  ],
  raw: r#"a " ) b"#, keys: { "my key": (2, 5), 12: 'x' },
  pair: (1.0, -2.5),
)
"##;

    #[test]
    fn paths_lead_through_lists_structs_maps_and_variants() {
        let top = PathInFile::top();
        check(TEXT, top.clone(), 3, 1);
        check(TEXT, top.field("modes").index(0).field("at").index(1), 5, 20);
        check(TEXT, top.field("modes").index(1).field("a"), 5, 29);
        check(TEXT, top.field("modes").index(1).field("a").field("slot"), 5, 52);
        check(TEXT, top.field("keys").field("my key").index(1), 7, 44);
        check(TEXT, top.field("keys").field("12"), 7, 52);
        check(TEXT, top.field("pair").index(1), 8, 15);
    }

    #[test]
    fn columns_count_characters_and_a_lost_path_ends_at_the_last_value_on_it() {
        let top = PathInFile::top();
        check(TEXT, top.field("modes").index(1).field("é"), 5, 61);
        check(TEXT, top.field("modes").index(7).field("a"), 4, 53);
        check(TEXT, top.field("modes").index(0).field("none"), 5, 5);
    }

    #[test]
    fn a_hundred_thousand_open_brackets_cost_no_stack() {
        let text = "[".repeat(100_000);
        let mut path = PathInFile::top();
        for _ in 0..6 {
            path = path.index(0);
        }
        check(&text, path, 1, 7);
        assert_eq!(open_before(&text, 99_999), Some(99_998));
    }

    #[test]
    fn the_open_bracket_before_a_place_is_found() {
        let text = "(a: [1, 2], b: (c: \"(\"), d: 1)";
        assert_eq!(open_before(text, text.len()), Some(0));
        assert_eq!(open_before(text, 7), Some(4));
        assert_eq!(open_before(text, 23), Some(15));
    }

    #[test]
    fn text_that_is_cut_off_anywhere_is_walked_to_its_end() {
        let path = PathInFile::top().field("modes").index(1).field("a").field("slot");
        for end in (0..TEXT.len()).filter(|end| TEXT.is_char_boundary(*end)) {
            locate(&TEXT[..end], &[&path]);
            open_before(&TEXT[..end], end);
        }
    }
}
