//! The words and signs of a condition, each with its place in the text.

use std::ops::Range;

/// The longest condition that is read, in bytes.
pub const LONGEST: usize = 2000;

/// Why a condition cannot be read: where in the text, what stands there, and what would be right.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mistake {
    /// Where in the text, in bytes.
    pub at: Range<usize>,
    /// What was found.
    pub what: String,
    /// What would be right.
    pub mend: String,
}

impl Mistake {
    /// A mistake.
    pub fn new(at: Range<usize>, what: impl Into<String>, mend: impl Into<String>) -> Self {
        Self { at, what: what.into(), mend: mend.into() }
    }

    /// The place in the text as people count, in characters from 1.
    pub fn character(&self, text: &str) -> usize {
        let before = text.char_indices().take_while(|(at, _)| *at < self.at.start);
        before.count() + 1
    }

    /// The mistake in words, with its place.
    pub fn words(&self, text: &str) -> String {
        format!("character {}: {}: {}", self.character(text), self.what, self.mend)
    }
}

/// What a token is.
#[derive(Clone, Debug, PartialEq)]
pub enum Kind {
    /// A number, without a sign.
    Number(f64),
    /// A word, in small letters.
    Word(String),
    /// What stood between quotation marks.
    Text(String),
    /// A sign.
    Sign(&'static str),
    /// The end of the text.
    End,
}

/// One token.
#[derive(Clone, Debug, PartialEq)]
pub struct Token {
    /// Where it stands, in bytes.
    pub at: Range<usize>,
    /// What it is.
    pub kind: Kind,
}

impl Token {
    /// Whether it is this word.
    pub fn is_word(&self, word: &str) -> bool {
        matches!(&self.kind, Kind::Word(own) if own == word)
    }

    /// Whether it is this sign.
    pub fn is_sign(&self, sign: &str) -> bool {
        matches!(self.kind, Kind::Sign(own) if own == sign)
    }

    /// What it is, for a message.
    pub fn words(&self) -> String {
        match &self.kind {
            Kind::Number(value) => format!("`{value}`"),
            Kind::Word(word) => format!("`{word}`"),
            Kind::Text(text) => format!("`\"{}\"`", text.escape_debug()),
            Kind::Sign(sign) => format!("`{sign}`"),
            Kind::End => "the end".to_owned(),
        }
    }
}

/// Signs as they are typed, and which is meant; longer ones first.
const SIGNS: [(&str, &str); 22] = [
    ("..", ".."),
    ("<=", "<="),
    (">=", ">="),
    ("!=", "!="),
    ("<>", "!="),
    ("==", "="),
    ("<", "<"),
    (">", ">"),
    ("=", "="),
    ("+", "+"),
    ("-", "-"),
    ("*", "*"),
    ("/", "/"),
    ("(", "("),
    (")", ")"),
    (",", ","),
    ("%", "%"),
    ("\u{b0}", "deg"),
    ("\u{2264}", "<="),
    ("\u{2265}", ">="),
    ("\u{2260}", "!="),
    ("\u{2212}", "-"),
];

/// Quotation marks: what opens, and what closes.
const QUOTES: [(char, char); 3] = [('"', '"'), ('\u{201c}', '\u{201d}'), ('\u{201e}', '\u{201c}')];

/// The tokens of a condition; the last is [`Kind::End`].
///
/// # Errors
///
/// The text is longer than [`LONGEST`], a quotation mark is not closed, or a sign means nothing.
pub fn tokens(text: &str) -> Result<Vec<Token>, Mistake> {
    if text.len() > LONGEST {
        let what = format!("the condition has {} bytes", text.len());
        let mend = format!("write at most {LONGEST}, or split it into several conditions");
        return Err(Mistake::new(0..0, what, mend));
    }
    let mut all = Vec::new();
    let mut at = 0;
    while let Some(first) = text[at..].chars().next() {
        if first.is_whitespace() {
            at += first.len_utf8();
            continue;
        }
        let token = token(text, at, first)?;
        at = token.at.end;
        all.push(token);
    }
    all.push(Token { at: text.len()..text.len(), kind: Kind::End });
    Ok(all)
}

fn token(text: &str, at: usize, first: char) -> Result<Token, Mistake> {
    let rest = &text[at..];
    if first.is_ascii_digit() {
        let length = number_length(rest);
        let value = rest[..length].parse().unwrap_or(f64::NAN);
        return Ok(Token { at: at..at + length, kind: Kind::Number(value) });
    }
    if let Some((_, close)) = QUOTES.iter().find(|(open, _)| *open == first) {
        let inner = &rest[first.len_utf8()..];
        let Some(length) = inner.find(*close) else {
            let what = "a quotation mark is opened and not closed";
            return Err(Mistake::new(at..text.len(), what, "close it with `\"`"));
        };
        let end = at + first.len_utf8() + length + close.len_utf8();
        return Ok(Token { at: at..end, kind: Kind::Text(inner[..length].to_owned()) });
    }
    if first.is_alphabetic() || first == '_' {
        let length = word_length(rest);
        let word = rest[..length].to_lowercase();
        return Ok(Token { at: at..at + length, kind: Kind::Word(word) });
    }
    match SIGNS.iter().find(|(typed, _)| rest.starts_with(typed)) {
        Some((typed, "deg")) => {
            let kind = Kind::Word("deg".to_owned());
            Ok(Token { at: at..at + typed.len(), kind })
        }
        Some((typed, sign)) => Ok(Token { at: at..at + typed.len(), kind: Kind::Sign(sign) }),
        None => {
            let what = format!("`{}` means nothing here", first.escape_debug());
            let mend = match first {
                '&' => "write `and`",
                '|' => "write `or`",
                '!' => "write `not`, or `!=` between two numbers",
                '\'' => "write names between \"quotation marks\"",
                '.' => "write a number with a digit before the point: `0.5`",
                _ => "leave it out, or put a name between \"quotation marks\"",
            };
            Err(Mistake::new(at..at + first.len_utf8(), what, mend))
        }
    }
}

/// Digits, and a point with digits behind it: the points of `1..12` are no part of a number.
fn number_length(rest: &str) -> usize {
    let digits = |from: usize| rest[from..].bytes().take_while(u8::is_ascii_digit).count();
    let whole = digits(0);
    let fraction = match rest[whole..].strip_prefix('.') {
        Some(_) => digits(whole + 1),
        None => 0,
    };
    if fraction > 0 { whole + 1 + fraction } else { whole }
}

/// Letters and digits, and a hyphen between two letters.
fn word_length(rest: &str) -> usize {
    let mut length = 0;
    let mut letters = rest.chars().peekable();
    let mut before_is_letter = false;
    while let Some(letter) = letters.next() {
        let within = letter == '-'
            && before_is_letter
            && letters.peek().is_some_and(|next| next.is_alphabetic());
        if !letter.is_alphanumeric() && letter != '_' && !within {
            break;
        }
        before_is_letter = letter.is_alphabetic();
        length += letter.len_utf8();
    }
    length
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kinds(text: &str) -> Vec<Kind> {
        tokens(text).unwrap().into_iter().map(|token| token.kind).collect()
    }

    #[test]
    fn points_of_an_interval_are_no_part_of_a_number() {
        let number = Kind::Number;
        assert_eq!(kinds("1..12"), [number(1.0), Kind::Sign(".."), number(12.0), Kind::End]);
        assert_eq!(kinds("1.5"), [number(1.5), Kind::End]);
    }

    #[test]
    fn signs_of_print_mean_what_they_do_on_a_keyboard() {
        assert_eq!(kinds("\u{2264} 35\u{b0}"), kinds("<= 35 deg"));
        assert_eq!(kinds("\u{201c}Open\u{201d}"), [Kind::Text("Open".to_owned()), Kind::End]);
    }

    #[test]
    fn places_are_counted_in_characters() {
        let text = "\u{e4}\u{f6} ?";
        let mistake = tokens(text).unwrap_err();
        assert_eq!(mistake.character(text), 4);
    }
}
