//! Reading whom a condition is about.

use super::super::token::{Kind, Mistake};
use super::super::tree::{Expr, How, Node, Subject, Who};
use super::{COUNTED, NUMBERED, Reader};

impl Reader<'_> {
    /// Somebody is named: all that follows is about them.
    pub(super) fn of_subject(&mut self) -> Result<Expr, Mistake> {
        let from = self.peek().at.start;
        let beam = self.word(&["beam"]).is_some();
        let subject = self.subject()?;
        self.about(subject, from, beam)
    }

    pub(super) fn about(
        &mut self,
        subject: Subject,
        from: usize,
        beam: bool,
    ) -> Result<Expr, Mistake> {
        let before = std::mem::replace(&mut self.named, true);
        let inner = match beam {
            true => self.beam(from).and_then(|height| self.after_number(height)),
            false => self.or(),
        };
        self.named = before;
        let inner = inner?;
        Ok(Expr { at: from..inner.at.end, node: Node::Of(subject, Box::new(inner)) })
    }

    /// One number of somebody else, within a sum.
    pub(super) fn number_of_subject(&mut self) -> Result<Expr, Mistake> {
        let from = self.peek().at.start;
        let subject = self.subject()?;
        if subject.how != How::One {
            let mend = "name one fixture there: `fixture 3 pan > fixture 4 pan`";
            return Err(Mistake::new(subject.at, "a number is of one fixture", mend));
        }
        let inner = self.deeper(Self::one)?;
        Ok(Expr { at: from..inner.at.end, node: Node::Of(subject, Box::new(inner)) })
    }

    fn subject(&mut self) -> Result<Subject, Mistake> {
        let from = self.peek().at.start;
        let counted = self.word(&COUNTED);
        let how = match counted.as_ref().map(|token| &token.kind) {
            Some(Kind::Word(word)) if word == "any" => How::Any,
            Some(Kind::Word(word)) if word.starts_with("no") => How::No,
            Some(_) => How::All,
            None => How::One,
        };
        let mut of = self.word(&["of"]).is_some();
        let fixture = self.word(&NUMBERED).is_some();
        of |= self.word(&["of"]).is_some();
        // `any fixture "Shutter"` names a channel, `any of "S1 Spot"` fixtures.
        let by_name = of || !fixture;
        let who = self.who(by_name)?;
        let at = from..self.tokens[self.next - 1].at.end;
        let one = matches!(who[..], [Who::Numbers(a, b)] if a == b);
        match how {
            How::One if self.peek().kind == Kind::End && who.is_empty() => {
                let token = self.peek().clone();
                Err(self.unexpected(token, "the number of a fixture"))
            }
            How::One if who.is_empty() => {
                let mend = "write its number, `fixture 3`, or `any fixture`";
                Err(Mistake::new(at, "which fixture is meant?", mend))
            }
            How::One if !one => {
                let mend = "write `any of 1..12` or `all of 1..12`";
                Err(Mistake::new(at, "is it any of these, or all?", mend))
            }
            _ if of && who.is_empty() => {
                let token = self.peek().clone();
                Err(self.unexpected(token, "the number of a fixture or the name of a model"))
            }
            _ => Ok(Subject { at, how, who }),
        }
    }

    fn who(&mut self, by_name: bool) -> Result<Vec<Who>, Mistake> {
        let mut all = Vec::new();
        loop {
            let token = self.peek().clone();
            match &token.kind {
                Kind::Number(_) => {
                    let first = self.id()?;
                    let last = if self.sign("..").is_some() { self.id()? } else { first };
                    if last < first {
                        let what = format!("{first}..{last} runs backwards");
                        let mend = format!("write {last}..{first}");
                        return Err(Mistake::new(token.at, what, mend));
                    }
                    all.push(Who::Numbers(first, last));
                }
                Kind::Text(name) if by_name => {
                    all.push(Who::Named(name.clone()));
                    self.take();
                }
                _ if all.is_empty() => return Ok(all),
                _ => return Err(self.unexpected(token, "the number of a fixture")),
            }
            if self.sign(",").is_none() {
                return Ok(all);
            }
        }
    }

    fn id(&mut self) -> Result<u32, Mistake> {
        let token = self.take();
        let text = &self.text[token.at.clone()];
        let number = matches!(token.kind, Kind::Number(_)).then(|| text.parse().ok()).flatten();
        number.ok_or_else(|| {
            let what = format!("{} is no number of a fixture", token.words());
            Mistake::new(token.at, what, "fixtures have whole numbers: `fixture 3`")
        })
    }
}
