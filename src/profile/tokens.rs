//! RON text cut into tokens, as far as brackets, commas, strings and comments go.

use std::ops::Range;

/// What a token is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    /// An opening bracket.
    Open,
    /// A closing bracket.
    Close,
    /// A comma.
    Comma,
    /// A colon.
    Colon,
    /// A string, character, number, name or anything else.
    Other,
}

/// A token and the bytes where it stands.
#[derive(Clone, Debug)]
pub(super) struct Token {
    pub(super) kind: Kind,
    pub(super) at: Range<usize>,
}

/// Cuts a text into tokens. Never fails: what it does not know is a token of its own.
#[derive(Clone)]
pub(super) struct Tokens<'a> {
    text: &'a str,
    at: usize,
}

impl Iterator for Tokens<'_> {
    type Item = Token;

    fn next(&mut self) -> Option<Token> {
        self.skip_trivia();
        let start = self.at;
        let byte = self.byte(0)?;
        let kind = match byte {
            b'(' | b'[' | b'{' => Kind::Open,
            b')' | b']' | b'}' => Kind::Close,
            b',' => Kind::Comma,
            b':' => Kind::Colon,
            _ => Kind::Other,
        };
        if kind != Kind::Other {
            self.at += 1;
        } else if byte == b'"' {
            self.skip_quoted(b'"');
        } else if byte == b'\'' {
            self.skip_quoted(b'\'');
        } else if !self.skip_raw_string() {
            self.skip_word();
        }
        Some(Token { kind, at: start..self.at })
    }
}

impl<'a> Tokens<'a> {
    /// The tokens of a text.
    pub(super) fn new(text: &'a str) -> Self {
        Self { text, at: 0 }
    }

    /// Goes on at a byte, which must be the end of a token.
    pub(super) fn go_to(&mut self, at: usize) {
        self.at = at;
    }

    /// The text of a token.
    pub(super) fn word(&self, token: &Token) -> &'a str {
        self.text.get(token.at.clone()).unwrap_or("")
    }

    fn byte(&self, ahead: usize) -> Option<u8> {
        self.text.as_bytes().get(self.at + ahead).copied()
    }

    /// The next token, which stays the next.
    pub(super) fn peek(&self) -> Option<Token> {
        self.clone().next()
    }

    /// Passes blanks and comments.
    fn skip_trivia(&mut self) {
        let bytes = self.text.as_bytes();
        loop {
            match (self.byte(0), self.byte(1)) {
                (Some(b'/'), Some(b'/')) => {
                    let line = bytes[self.at..].iter().position(|b| *b == b'\n');
                    self.at = line.map_or(bytes.len(), |n| self.at + n + 1);
                }
                (Some(b'/'), Some(b'*')) => self.skip_block_comment(),
                (Some(b), _) if b.is_ascii_whitespace() => self.at += 1,
                _ => return,
            }
        }
    }

    /// Passes a block comment, which may hold others.
    fn skip_block_comment(&mut self) {
        let mut depth = 0usize;
        while let Some(byte) = self.byte(0) {
            match (byte, self.byte(1)) {
                (b'/', Some(b'*')) => {
                    depth += 1;
                    self.at += 2;
                }
                (b'*', Some(b'/')) => {
                    depth -= 1;
                    self.at += 2;
                    if depth == 0 {
                        return;
                    }
                }
                _ => self.at += 1,
            }
        }
    }

    fn skip_quoted(&mut self, quote: u8) {
        self.at += 1;
        while let Some(byte) = self.byte(0) {
            self.at += 1;
            if byte == quote {
                return;
            }
            if byte == b'\\' && self.byte(0).is_some() {
                self.at += 1;
            }
        }
    }

    /// Passes `r"..."` or `r#"..."#` and says whether there was one.
    fn skip_raw_string(&mut self) -> bool {
        let start = if self.byte(0) == Some(b'b') { 1 } else { 0 };
        if self.byte(start) != Some(b'r') {
            return false;
        }
        let hashes = (0..).take_while(|i| self.byte(start + 1 + i) == Some(b'#')).count();
        if self.byte(start + 1 + hashes) != Some(b'"') {
            return false;
        }
        let body = self.at + start + hashes + 2;
        let close = format!("\"{}", "#".repeat(hashes));
        let rest = self.text.get(body..).unwrap_or("");
        self.at = rest.find(&close).map_or(self.text.len(), |n| body + n + close.len());
        true
    }

    fn skip_word(&mut self) {
        let is_word = |b: u8| {
            b.is_ascii_alphanumeric() || matches!(b, b'_' | b'.' | b'+' | b'-' | b'#') || b >= 0x80
        };
        let start = self.at;
        while self.byte(0).is_some_and(is_word) {
            self.at += 1;
        }
        if self.at == start {
            self.at += 1;
        }
    }

    /// Passes one value: everything up to a comma or a closing bracket of the outside.
    pub(super) fn skip_value(&mut self) {
        let mut depth = 0usize;
        while let Some(token) = self.peek() {
            match token.kind {
                Kind::Comma if depth == 0 => return,
                Kind::Close if depth == 0 => return,
                Kind::Open => depth += 1,
                Kind::Close => depth -= 1,
                _ => {}
            }
            self.at = token.at.end;
        }
    }
}
