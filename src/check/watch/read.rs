//! Reading a condition.
//!
//! ```text
//! or       and { "or" and }
//! and      not { ("and" | "while" | "but") not }
//! not      "not" not | ("starts" | "stops") state | compare
//! compare  subject or | sum { sign sum } | sum ("is" ["not"] | "leaves" | "enters") range
//! sum      product { ("+" | "-") product }
//! product  one { ("*" | "/") one }
//! one      number [unit] | "(" or ")" | "-" one | "slot" [universe "."] slot | "time"
//!          | state | quantity | channel | beam
//! beam     "beam" ["of" who] ("below" | "above") sum ["over the audience"] | "beam over the audience"
//! subject  "fixture" id | ("any" | "all" | "no") ["of"] ["fixture"] ["of"] [who { "," who }]
//! who      id [".." id] | "model or label"
//! ```
//!
//! Who is spoken of holds up to the next one who is named, or the closing parenthesis: `fixture 3 lit and
//! moving`. Where nobody is named, any fixture is meant.

mod whom;

use std::ops::Range;

use super::token::{Kind, Mistake, Token, tokens};
use super::tree::{Arith, Compare, Expr, How, Node, RangeName, Subject};
use super::words::{self, Dim, Quantity, State, UNITS};
use crate::wire::{Slot, Universe};

/// How deep parentheses, signs and `not` may lie within each other.
const DEEPEST: usize = 40;

/// How many things may be put together by signs, `and` and `or`.
const MOST_JOINED: usize = 200;

/// Reads a condition.
///
/// # Errors
///
/// The first place at which the text means nothing, with what would.
pub fn read(text: &str) -> Result<Expr, Mistake> {
    let mut reader =
        Reader { text, tokens: tokens(text)?, next: 0, depth: 0, joined: 0, named: false };
    if reader.peek().kind == Kind::End {
        let mend = "write what is to be true: `fixture 3 lit while moving`";
        return Err(Mistake::new(0..0, "there is no condition", mend));
    }
    let expr = reader.or()?;
    match reader.peek() {
        token if token.kind == Kind::End => Ok(expr),
        token if token.is_sign(")") => {
            Err(Mistake::new(token.at.clone(), "`)` closes nothing", "leave it out"))
        }
        token => Err(reader.unexpected(token.clone(), "`and`, `or`, a comparison or the end")),
    }
}

struct Reader<'t> {
    text: &'t str,
    tokens: Vec<Token>,
    next: usize,
    depth: usize,
    /// How many things were put together.
    joined: usize,
    /// Somebody is spoken of.
    named: bool,
}

const NUMBERED: [&str; 4] = ["fixture", "fixtures", "head", "heads"];
const COUNTED: [&str; 5] = ["any", "all", "every", "no", "none"];

impl Reader<'_> {
    fn ahead(&self, by: usize) -> &Token {
        // The last token is the end, which never runs out.
        &self.tokens[(self.next + by).min(self.tokens.len() - 1)]
    }

    fn peek(&self) -> &Token {
        self.ahead(0)
    }

    fn take(&mut self) -> Token {
        let token = self.peek().clone();
        self.next += 1;
        token
    }

    fn word(&mut self, words: &[&str]) -> Option<Token> {
        words.iter().any(|word| self.peek().is_word(word)).then(|| self.take())
    }

    fn sign(&mut self, sign: &str) -> Option<Token> {
        self.peek().is_sign(sign).then(|| self.take())
    }

    fn unexpected(&self, token: Token, wanted: &str) -> Mistake {
        let near = match &token.kind {
            Kind::Word(word) => crate::finding::nearest(word, words::all_words())
                .filter(|near| near != word)
                .map(|near| format!("did you mean `{near}`? ")),
            _ => None,
        };
        let what = match token.kind {
            Kind::End => "it ends too early".to_owned(),
            _ => format!("{} cannot stand here", token.words()),
        };
        Mistake::new(token.at, what, format!("{}{wanted} can stand here", near.unwrap_or_default()))
    }

    fn deeper<R>(
        &mut self,
        read: impl FnOnce(&mut Self) -> Result<R, Mistake>,
    ) -> Result<R, Mistake> {
        self.depth += 1;
        if self.depth > DEEPEST {
            let what = format!("more than {DEEPEST} levels lie within each other");
            return Err(Mistake::new(self.peek().at.clone(), what, "write it with fewer levels"));
        }
        let result = read(self);
        self.depth -= 1;
        result
    }

    /// Two things put together.
    fn join(
        &mut self,
        node: impl FnOnce(Box<Expr>, Box<Expr>) -> Node,
        left: Expr,
        right: Expr,
    ) -> Result<Expr, Mistake> {
        let at = left.at.start..right.at.end;
        self.joined += 1;
        if self.joined > MOST_JOINED {
            let what = format!("more than {MOST_JOINED} things are put together");
            return Err(Mistake::new(at, what, "split it into several conditions"));
        }
        Ok(Expr { at, node: node(Box::new(left), Box::new(right)) })
    }

    fn or(&mut self) -> Result<Expr, Mistake> {
        let mut left = self.and()?;
        while self.peek().is_word("or") && !self.somebody_else(1) {
            self.take();
            let right = self.and()?;
            left = self.join(Node::Or, left, right)?;
        }
        Ok(left)
    }

    fn and(&mut self) -> Result<Expr, Mistake> {
        let mut left = self.not()?;
        while ["and", "while", "but"].iter().any(|word| self.peek().is_word(word))
            && !self.somebody_else(1)
        {
            self.take();
            let right = self.not()?;
            left = self.join(Node::And, left, right)?;
        }
        Ok(left)
    }

    /// Whether somebody is spoken of, and another is named there.
    fn somebody_else(&self, by: usize) -> bool {
        let not = usize::from(self.ahead(by).is_word("not"));
        self.named && self.begins_subject(by + not)
    }

    fn begins_subject(&self, by: usize) -> bool {
        let token = self.ahead(by);
        let named = NUMBERED.iter().chain(&COUNTED).any(|word| token.is_word(word));
        named || token.is_word("beam") && self.ahead(by + 1).is_word("of")
    }

    fn not(&mut self) -> Result<Expr, Mistake> {
        // `fixture 3 is lit`.
        if self.named {
            self.word(&["is"]);
        }
        if let Some(not) = self.word(&["not"]) {
            let inner = self.deeper(Self::not)?;
            return Ok(Expr { at: not.at.start..inner.at.end, node: Node::Not(Box::new(inner)) });
        }
        self.compare()
    }

    fn compare(&mut self) -> Result<Expr, Mistake> {
        if self.begins_subject(0) {
            return self.deeper(Self::of_subject);
        }
        if !self.named && self.is_about_a_fixture() {
            let at = self.peek().at.start;
            let subject = Subject { at: at..at, how: How::Any, who: Vec::new() };
            return self.deeper(|reader| reader.about(subject, at, false));
        }
        if let Some(edge) = self.word(&["starts", "stops", "becomes"]) {
            return self.edge_of_state(edge);
        }
        let left = self.sum()?;
        self.after_number(left)
    }

    /// Whether what comes speaks of a fixture without naming one.
    fn is_about_a_fixture(&self) -> bool {
        match &self.peek().kind {
            Kind::Word(word) => !["slot", "time"].contains(&word.as_str()),
            Kind::Text(_) => true,
            _ => false,
        }
    }

    fn edge_of_state(&mut self, edge: Token) -> Result<Expr, Mistake> {
        let Some(state) = words::state(self.peek()) else {
            let token = self.peek().clone();
            return Err(self.unexpected(token, "a state, such as `moving` or `lit`,"));
        };
        let token = self.take();
        let inner = Expr { at: token.at.clone(), node: Node::State(state) };
        let rises = !edge.is_word("stops");
        Ok(Expr { at: edge.at.start..token.at.end, node: Node::Edge(Box::new(inner), rises) })
    }

    /// What stands behind a number: comparisons, or the range that a channel is in.
    fn after_number(&mut self, left: Expr) -> Result<Expr, Mistake> {
        if let Node::Channel(channel) = &left.node
            && let Some(verb) = self.word(&["is", "leaves", "enters"])
        {
            let channel = channel.clone();
            return self.range_of(left.at, channel, &verb);
        }
        let Some(compare) = self.comparison() else { return Ok(left) };
        let mut right = self.sum()?;
        let mut whole = self.join(|a, b| Node::Compare(compare, a, b), left, right.clone())?;
        // `10 deg < pan < 20 deg` says two things.
        while let Some(compare) = self.comparison() {
            let next = self.sum()?;
            let one = self.join(|a, b| Node::Compare(compare, a, b), right, next.clone())?;
            whole = self.join(Node::And, whole, one)?;
            right = next;
        }
        Ok(whole)
    }

    fn comparison(&mut self) -> Option<Compare> {
        let found = match &self.peek().kind {
            Kind::Sign(sign) => Compare::of(sign),
            Kind::Word(word) => match word.as_str() {
                "below" | "under" => Some(Compare::Less),
                "above" => Some(Compare::Greater),
                "is" => Some(Compare::Equal),
                _ => None,
            },
            _ => None,
        };
        found.inspect(|_| self.next += 1)
    }

    fn range_of(
        &mut self,
        from: Range<usize>,
        channel: String,
        verb: &Token,
    ) -> Result<Expr, Mistake> {
        let not = if verb.is_word("is") { self.word(&["not"]) } else { None };
        let range = self.range_name()?;
        let at = from.start..range.at.end;
        let is = Expr { at: at.clone(), node: Node::Is(channel, range) };
        let node = match () {
            () if verb.is_word("enters") => Node::Edge(Box::new(is), true),
            () if verb.is_word("leaves") => Node::Edge(Box::new(is), false),
            () if not.is_some() => Node::Not(Box::new(is)),
            () => return Ok(is),
        };
        Ok(Expr { at, node })
    }

    fn range_name(&mut self) -> Result<RangeName, Mistake> {
        if let Kind::Text(name) = &self.peek().kind {
            let name = name.clone();
            return Ok(RangeName { name, at: self.take().at });
        }
        let first = self.peek().at.start;
        let mut end = first;
        loop {
            let token = self.peek();
            let goes_on = match &token.kind {
                Kind::Word(word) => !["and", "or", "while", "but"].contains(&word.as_str()),
                Kind::Number(_) => end > first,
                _ => false,
            };
            if !goes_on {
                break;
            }
            end = self.take().at.end;
        }
        if end == first {
            let token = self.peek().clone();
            return Err(
                self.unexpected(token, "the name of a range, such as `open` or `\"deep blue\"`,")
            );
        }
        Ok(RangeName { name: self.text[first..end].to_owned(), at: first..end })
    }

    fn sum(&mut self) -> Result<Expr, Mistake> {
        let mut left = self.product()?;
        loop {
            let arith = match () {
                () if self.sign("+").is_some() => Arith::Add,
                () if self.sign("-").is_some() => Arith::Subtract,
                () => return Ok(left),
            };
            let right = self.product()?;
            left = self.join(|a, b| Node::Arith(arith, a, b), left, right)?;
        }
    }

    fn product(&mut self) -> Result<Expr, Mistake> {
        let mut left = self.one()?;
        loop {
            let arith = match () {
                () if self.sign("*").is_some() => Arith::Multiply,
                () if self.sign("/").is_some() => Arith::Divide,
                () => return Ok(left),
            };
            let right = self.one()?;
            left = self.join(|a, b| Node::Arith(arith, a, b), left, right)?;
        }
    }

    fn one(&mut self) -> Result<Expr, Mistake> {
        if let Some(open) = self.sign("(") {
            return self.parenthesis(open);
        }
        if let Some(minus) = self.sign("-") {
            let inner = self.deeper(Self::one)?;
            let at = minus.at.start..inner.at.end;
            return Ok(Expr { at, node: Node::Minus(Box::new(inner)) });
        }
        if self.begins_subject(0) {
            return self.number_of_subject();
        }
        let token = self.peek().clone();
        let node = match &token.kind {
            Kind::Number(value) => {
                self.take();
                let unit = self.unit();
                let factor = unit.map_or(1.0, |(_, factor)| factor);
                let end = self.tokens[self.next - 1].at.end;
                let node = Node::Number(value * factor, unit.map(|(dim, _)| dim));
                return Ok(Expr { at: token.at.start..end, node });
            }
            Kind::Text(name) => Node::Channel(name.clone()),
            Kind::Word(word) if word == "slot" => return self.slot(),
            Kind::Word(word) if word == "time" => Node::Time,
            Kind::Word(word) if word == "beam" => {
                self.take();
                return self.beam(token.at.start);
            }
            Kind::Word(word) => match (words::state(&token), words::quantity(&token)) {
                (Some(state), _) => Node::State(state),
                (_, Some(quantity)) => {
                    self.take();
                    return Ok(self.quantity(token, quantity));
                }
                _ if words::OTHER_WORDS.contains(&word.as_str()) => {
                    return Err(
                        self.unexpected(token, "a state, a number or the name of a channel")
                    );
                }
                _ => Node::Channel(word.clone()),
            },
            Kind::Sign(_) | Kind::End => {
                return Err(self.unexpected(token, "a state, a number or the name of a channel"));
            }
        };
        self.take();
        Ok(Expr { at: token.at, node })
    }

    fn parenthesis(&mut self, open: Token) -> Result<Expr, Mistake> {
        let inner = self.deeper(Self::or)?;
        if self.sign(")").is_none() {
            let token = self.peek();
            let what = match token.kind {
                Kind::End => "a parenthesis is opened and not closed".to_owned(),
                _ => format!("{} stands where the parenthesis should close", token.words()),
            };
            return Err(Mistake::new(open.at.start..token.at.end, what, "close it with `)`"));
        }
        Ok(Expr { at: open.at.start..self.tokens[self.next - 1].at.end, node: inner.node })
    }

    /// The words that may stand behind a number of a fixture: `lux at eye level`.
    fn quantity(&mut self, token: Token, quantity: Quantity) -> Expr {
        match quantity {
            Quantity::EyeLux if self.word(&["at"]).is_some() => {
                self.word(&["eye"]);
                self.word(&["level"]);
            }
            Quantity::Height => self.over_the_audience(),
            _ => {}
        }
        let end = self.tokens[self.next - 1].at.end;
        Expr { at: token.at.start..end, node: Node::Quantity(quantity) }
    }

    fn over_the_audience(&mut self) {
        if self.word(&["over"]).is_some() {
            self.word(&["the"]);
            self.word(&["audience"]);
        }
    }

    /// What stands behind `beam`.
    fn beam(&mut self, from: usize) -> Result<Expr, Mistake> {
        if self.peek().is_word("over") {
            self.over_the_audience();
            let end = self.tokens[self.next - 1].at.end;
            return Ok(Expr { at: from..end, node: Node::State(State::OverAudience) });
        }
        self.word(&["height"]);
        self.over_the_audience();
        let end = self.tokens[self.next - 1].at.end;
        let height = Expr { at: from..end, node: Node::Quantity(Quantity::Height) };
        let Some(compare) = self.comparison() else { return Ok(height) };
        let limit = self.sum()?;
        self.over_the_audience();
        let at = from..self.tokens[self.next - 1].at.end;
        Ok(Expr { at, node: Node::Compare(compare, Box::new(height), Box::new(limit)) })
    }

    /// A unit behind a number.
    fn unit(&mut self) -> Option<(Dim, f64)> {
        if self.sign("%").is_some() {
            return Some((Dim::Percent, 1.0));
        }
        let Kind::Word(word) = &self.peek().kind else { return None };
        let (_, dim, factor) = UNITS.iter().find(|(unit, _, _)| unit == word)?;
        self.take();
        if *dim == Dim::Degree && self.peek().is_sign("/") && self.ahead(1).is_word("s") {
            self.next += 2;
            return Some((Dim::DegreePerSecond, 1.0));
        }
        Some((*dim, *factor))
    }

    fn slot(&mut self) -> Result<Expr, Mistake> {
        let from = self.take().at.start;
        let number = self.take();
        let wrong = |at: Range<usize>| {
            let mend = "write universe and slot, `slot 1.7`: universes are 1..63999, slots 1..512";
            Mistake::new(from..at.end, "that is no slot", mend)
        };
        if number.kind == Kind::End {
            return Err(self.unexpected(number, "universe and slot, such as `1.7`,"));
        }
        if !matches!(number.kind, Kind::Number(_)) {
            return Err(wrong(number.at));
        }
        let first = self.text[number.at.clone()].to_owned();
        // `1/7`, as slots are written elsewhere.
        let (universe, slot) = match first.split_once('.') {
            Some((universe, slot)) => (universe.to_owned(), slot.to_owned()),
            None if self.peek().is_sign("/") && matches!(self.ahead(1).kind, Kind::Number(_)) => {
                self.take();
                let slot = self.take();
                (first, self.text[slot.at].to_owned())
            }
            None => ("1".to_owned(), first),
        };
        let at = from..self.tokens[self.next - 1].at.end;
        let universe = universe.parse().ok().and_then(Universe::new);
        let slot = slot.parse().ok().and_then(Slot::new);
        match (universe, slot) {
            (Some(universe), Some(slot)) => Ok(Expr { at, node: Node::Slot(universe, slot) }),
            _ => Err(wrong(at)),
        }
    }
}
