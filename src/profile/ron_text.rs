//! Reading RON: what could not be read, in words that say what would be right.

use std::collections::BTreeMap;
use std::fmt;
use std::marker::PhantomData;
use std::path::Path;

use ron::error::{Error, Position, SpannedError};
use serde::de::{Deserialize, DeserializeOwned, Deserializer, MapAccess, Visitor};

use super::place::{open_before, place_of};
use crate::finding::{Finding, Place, listed, nearest};

/// Reads a value from a RON text. What cannot be read is a finding with its line and column.
pub fn from_ron<T: DeserializeOwned>(text: &str, file: Option<&Path>) -> Result<T, Finding> {
    let text_or_mark = text.strip_prefix('\u{feff}').unwrap_or(text);
    if text_or_mark.trim().is_empty() {
        let place = Place { file: file.map(Path::to_owned), ..Place::default() };
        return Err(Finding::error(place, "the file is empty", "it should hold one RON value"));
    }
    ron::from_str(text_or_mark).map_err(|error| explain(text_or_mark, file, error))
}

/// Reads a map and refuses one that gives a key twice, of which the last would win unseen.
pub(crate) fn unique_map<'de, K, V, D>(deserializer: D) -> Result<BTreeMap<K, V>, D::Error>
where
    K: Deserialize<'de> + Ord + fmt::Display,
    V: Deserialize<'de>,
    D: Deserializer<'de>,
{
    struct Unique<K, V>(PhantomData<(K, V)>);

    impl<'de, K, V> Visitor<'de> for Unique<K, V>
    where
        K: Deserialize<'de> + Ord + fmt::Display,
        V: Deserialize<'de>,
    {
        type Value = BTreeMap<K, V>;

        fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
            f.write_str("a map")
        }

        fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<Self::Value, A::Error> {
            let mut map = BTreeMap::new();
            while let Some(key) = entries.next_key::<K>()? {
                if map.contains_key(&key) {
                    return Err(serde::de::Error::custom(format!(
                        "the key `{key}` is given twice"
                    )));
                }
                map.insert(key, entries.next_value()?);
            }
            Ok(map)
        }
    }

    deserializer.deserialize_map(Unique(PhantomData))
}

fn explain(text: &str, file: Option<&Path>, error: SpannedError) -> Finding {
    let end = byte_at(text, error.span.end);
    let at = match &error.code {
        // The reader stands behind the word; the word itself is what is wrong.
        Error::NoSuchStructField { found, .. } | Error::NoSuchEnumVariant { found, .. } => {
            text.get(..end).and_then(|before| before.rfind(found.as_str())).unwrap_or(end)
        }
        // The reader stands at the end of the struct; where it begins is easier to find.
        Error::MissingStructField { .. } => open_before(text, end).unwrap_or(end),
        Error::IntegerOutOfBounds | Error::InvalidValueForType { .. } => {
            word_start(text, end).unwrap_or(end)
        }
        Error::DuplicateStructField { field, .. } => {
            text.get(..end).and_then(|before| before.rfind(field)).unwrap_or(end)
        }
        _ => {
            // What stands there begins behind the blanks.
            let rest = text.get(end..).unwrap_or("");
            end + (rest.len() - rest.trim_start().len())
        }
    };
    let place = Place {
        file: file.map(Path::to_owned),
        text: Some(place_of(text, at)),
        ..Place::default()
    };
    let (what, mend) = words(&error.code, found_at(text, at));
    Finding::error(place, what, mend)
}

/// What went wrong and what would be right; `found` is what stands at the place.
fn words(error: &Error, found: String) -> (String, String) {
    let expected = |wanted: &str| (format!("found {found}"), format!("{wanted} should stand here"));
    match error {
        Error::NoSuchStructField { expected, found, outer } => {
            let of = outer.as_ref().map(|outer| format!(" of `{outer}`")).unwrap_or_default();
            (format!("unknown field `{found}`{of}"), choose(found, expected))
        }
        Error::NoSuchEnumVariant { expected, found, outer } => {
            let kind = outer.as_deref().unwrap_or("value").to_lowercase();
            (format!("unknown {kind} `{found}`"), choose(found, expected))
        }
        Error::MissingStructField { field, outer } => {
            let of = outer.as_ref().map(|outer| format!(" of `{outer}`")).unwrap_or_default();
            (format!("the field `{field}`{of} is missing"), format!("add `{field}: ...`"))
        }
        Error::DuplicateStructField { field, .. } => {
            (format!("the field `{field}` is given twice"), "keep one of them".to_owned())
        }
        Error::Eof => ("the text ends too early".to_owned(), "close every bracket".to_owned()),
        Error::ExpectedStringEnd => {
            ("a string has no closing `\"`".to_owned(), "close it".to_owned())
        }
        Error::UnclosedBlockComment => {
            ("a comment has no closing `*/`".to_owned(), "close it".to_owned())
        }
        Error::ExceededRecursionLimit => (
            "brackets are nested too deeply".to_owned(),
            "no value of this kind nests more than a few deep".to_owned(),
        ),
        Error::IntegerOutOfBounds => (
            format!("the number {found} does not fit here"),
            "give a whole number from 0 that this field can hold".to_owned(),
        ),
        Error::InvalidValueForType { expected, found } => {
            (format!("found {found}"), format!("{expected} should stand here"))
        }
        Error::ExpectedDifferentLength { expected, found } => {
            (format!("found {found} entries"), format!("{expected} should stand here"))
        }
        Error::TrailingCharacters => (
            format!("found {found} behind the end of the value"),
            "a file holds one value".to_owned(),
        ),
        Error::ExpectedArray => expected("a list, opened with `[`,"),
        Error::ExpectedArrayEnd => expected("`,` or `]`"),
        Error::ExpectedMap => expected("a map, opened with `{`,"),
        Error::ExpectedMapEnd => expected("`,` or `}`"),
        Error::ExpectedMapColon => expected("`:`"),
        Error::ExpectedComma => expected("`,` or a closing bracket"),
        Error::ExpectedStructLike | Error::ExpectedNamedStructLike(_) => expected("`(`"),
        Error::ExpectedStructLikeEnd => expected("`,` or `)`"),
        Error::ExpectedString => expected("a text in `\"`"),
        Error::ExpectedBoolean => expected("`true` or `false`"),
        Error::ExpectedInteger => expected("a whole number"),
        Error::ExpectedFloat => expected("a number"),
        Error::ExpectedIdentifier => expected("a name"),
        Error::ExpectedUnit => expected("`()`"),
        Error::ExpectedDifferentStructName { expected: name, .. } => {
            expected(&format!("`(`, or `{name}` and `(`,"))
        }
        other => (lower_first(&other.to_string()), "mend the text here".to_owned()),
    }
}

/// The nearest of the allowed names, and all of them.
fn choose(found: &str, allowed: &[&str]) -> String {
    let all = listed(allowed.iter().copied());
    match nearest(found, allowed.iter().copied()) {
        Some(near) => format!("did you mean `{near}`? allowed here: {all}"),
        None => format!("allowed here: {all}"),
    }
}

/// The word or sign at a byte, in backticks and short enough for a line.
fn found_at(text: &str, at: usize) -> String {
    let rest = text.get(at..).unwrap_or("");
    let Some(first) = rest.chars().next() else { return "the end of the text".to_owned() };
    let is_word = |c: char| c.is_alphanumeric() || matches!(c, '_' | '.' | '-' | '+');
    if first == '"' {
        return "a text".to_owned();
    }
    let word: String = if is_word(first) {
        rest.chars().take_while(|c| is_word(*c)).take(24).collect()
    } else {
        first.to_string()
    };
    format!("`{}`", word.escape_debug())
}

/// The start of the word that ends at `end`.
fn word_start(text: &str, end: usize) -> Option<usize> {
    let before = text.get(..end)?;
    let word = before.trim_end_matches(|c: char| c.is_alphanumeric() || "_.+-".contains(c));
    (word.len() < end).then_some(word.len())
}

/// The byte at a line and column of the RON reader, which count characters from 1.
fn byte_at(text: &str, position: Position) -> usize {
    let mut line_start = 0;
    for _ in 1..position.line {
        match text[line_start..].find('\n') {
            Some(n) => line_start += n + 1,
            None => break,
        }
    }
    let line = &text[line_start..];
    let column = position.col.saturating_sub(1);
    line_start + line.char_indices().nth(column).map_or(line.len(), |(at, _)| at)
}

fn lower_first(text: &str) -> String {
    let mut chars = text.chars();
    match chars.next() {
        Some(first) => first.to_lowercase().chain(chars).collect(),
        None => String::new(),
    }
}
