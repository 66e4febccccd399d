//! A page out of its Markdown.

use pulldown_cmark::{CodeBlockKind, Event, Parser, Tag, TagEnd};

use super::claim::{Claim, ClaimOf};
use super::drawing::Drawing;
use super::moment::Moment;
use super::page::{Block, Page, Span, Target, plain};
use crate::rig::FixtureId;
use crate::wire::{Slot, Universe};

impl Page {
    /// Reads a page. What cannot be read is left out and told in [`Page::problems`].
    pub fn parse(name: &str, text: &str) -> Self {
        let page = Page { name: name.to_owned(), ..Page::default() };
        let mut reader = Reader { page, ..Reader::default() };
        for event in Parser::new(text) {
            reader.take(event);
        }
        reader.page
    }
}

/// The name by which a heading is found: its words in small letters, joined by hyphens.
fn anchor(words: &str) -> String {
    let words = words.to_lowercase();
    let parts: Vec<&str> =
        words.split(|c: char| !c.is_alphanumeric()).filter(|part| !part.is_empty()).collect();
    parts.join("-")
}

#[derive(Default)]
struct Reader {
    page: Page,
    spans: Vec<Span>,
    strong: usize,
    /// The link that is open: what it leads to, or nothing where that cannot be read.
    link: Option<Option<Target>>,
    quote: bool,
    item: bool,
    /// The fenced block that is open: what stands behind its fence, and its text.
    fence: Option<(String, String)>,
}

impl Reader {
    fn take(&mut self, event: Event<'_>) {
        match event {
            Event::Start(Tag::Emphasis | Tag::Strong) => self.strong += 1,
            Event::End(TagEnd::Emphasis | TagEnd::Strong) => {
                self.strong = self.strong.saturating_sub(1);
            }
            Event::Start(Tag::Link { dest_url, .. }) => self.link = Some(self.target(&dest_url)),
            Event::End(TagEnd::Link) => self.link = None,
            Event::Start(Tag::BlockQuote(_)) => self.quote = true,
            Event::End(TagEnd::BlockQuote(_)) => self.quote = false,
            Event::Start(Tag::Item) => self.item = true,
            Event::End(TagEnd::Item) => {
                self.paragraph();
                self.item = false;
            }
            Event::End(TagEnd::Paragraph) => self.paragraph(),
            Event::End(TagEnd::Heading(level)) => self.heading(level as usize),
            Event::Start(Tag::CodeBlock(CodeBlockKind::Fenced(info))) => {
                self.fence = Some((info.to_string(), String::new()));
            }
            Event::End(TagEnd::CodeBlock) => self.fenced(),
            Event::Text(words) => match &mut self.fence {
                Some((_, text)) => text.push_str(&words),
                None => self.words(&words, false),
            },
            Event::Code(words) => self.words(&words, true),
            Event::SoftBreak | Event::HardBreak => self.words(" ", false),
            _ => {}
        }
    }

    fn words(&mut self, words: &str, code: bool) {
        let strong = self.strong > 0;
        let target = self.link.clone().flatten();
        match self.spans.last_mut() {
            // Markdown comes in pieces; a link is one piece of text.
            Some(last) if last.strong == strong && last.code == code && last.target == target => {
                last.words.push_str(words);
            }
            _ => self.spans.push(Span { words: words.to_owned(), strong, code, target }),
        }
    }

    fn heading(&mut self, level: usize) {
        let words = plain(&std::mem::take(&mut self.spans));
        match level {
            1 => self.page.title = words,
            _ => self.page.blocks.push(Block::Heading { anchor: anchor(&words), words }),
        }
    }

    fn paragraph(&mut self) {
        let mut spans = std::mem::take(&mut self.spans);
        if spans.is_empty() {
            return;
        }
        let caution = self.quote && spans[0].words.starts_with("Caution: ");
        self.page.blocks.push(match (caution, self.quote, self.item) {
            (true, ..) => {
                spans[0].words.drain(.."Caution: ".len());
                Block::Caution(spans)
            }
            (false, true, _) => Block::Source(spans),
            (false, false, true) => Block::Item(spans),
            (false, false, false) => Block::Paragraph(spans),
        });
    }

    fn fenced(&mut self) {
        let Some((info, text)) = self.fence.take() else { return };
        let (kind, rest) = info.split_once(' ').unwrap_or((&info, ""));
        match (kind, Drawing::parse(rest)) {
            ("example", _) => self.example(&text),
            ("drawing", Some(drawing)) => self.page.blocks.push(Block::Drawing(drawing)),
            _ => self.page.problems.push(format!("`{info}` is no block of a page")),
        }
    }

    fn example(&mut self, text: &str) {
        let mut moment = Moment::default();
        for line in text.lines() {
            let (key, value) = line.split_once(": ").unwrap_or((line, ""));
            match (key, value.parse::<FixtureId>()) {
                ("title", _) => moment.title = value.to_owned(),
                ("show", _) => moment.show = value.to_owned(),
                ("touch", _) => moment.channel = Some(value.to_owned()),
                ("select", Ok(id)) => moment.fixture = Some(id),
                _ => self.page.problems.push(format!("`{line}` says nothing of an example")),
            }
        }
        self.page.blocks.push(Block::Example(self.page.moments.len()));
        self.page.moments.push(moment);
    }

    fn target(&mut self, link: &str) -> Option<Target> {
        // A link cannot have blanks, so that those of a channel's name come as `%20`.
        let link = link.replace("%20", " ");
        let target = match link.split_once(':') {
            Some(("do", steps)) => self.step(steps),
            Some(("key", action)) => Some(Target::Key(action.to_owned())),
            Some((kind, of)) => self.claim(kind, of).map(Target::Claim),
            None => {
                let (page, heading) = match link.split_once('#') {
                    Some((page, heading)) => (page, Some(heading.to_owned())),
                    None => (link.as_str(), None),
                };
                let page = if page.is_empty() { self.page.name.as_str() } else { page };
                Some(Target::Page { page: page.to_owned(), heading })
            }
        };
        if target.is_none() {
            self.page.problems.push(format!("`{link}` leads nowhere"));
        }
        target
    }

    fn claim(&self, kind: &str, of: &str) -> Option<Claim> {
        let (id, rest) = of.split_once('/').unwrap_or((of, ""));
        let id = id.parse::<FixtureId>().ok();
        let of = match kind {
            "says" => ClaimOf::Says(id?, rest.to_owned()),
            "is" => ClaimOf::Is(id?),
            "found" => ClaimOf::Found(id?),
            "loss" => ClaimOf::Loss(id?),
            "calc" => ClaimOf::Calc(of.to_owned()),
            _ => return None,
        };
        Some(Claim { of, moment: self.page.moments.len().checked_sub(1) })
    }

    /// A step: `8=9,10=255`, each a slot of universe 1, or `2/8=9`.
    fn step(&mut self, steps: &str) -> Option<Target> {
        let mut moment = self.page.moments.last()?.clone();
        moment.step = steps.split(',').map(setting).collect::<Option<_>>()?;
        let set = moment.step.iter().map(|(universe, slot, value)| ((*universe, *slot), *value));
        moment.slots.extend(set);
        self.page.moments.push(moment);
        Some(Target::Do(self.page.moments.len() - 1))
    }
}

fn setting(text: &str) -> Option<(Universe, Slot, u8)> {
    let (at, value) = text.split_once('=')?;
    let (universe, slot) = at.split_once('/').unwrap_or(("1", at));
    let universe = Universe::new(universe.trim().parse().ok()?)?;
    Some((universe, Slot::new(slot.trim().parse().ok()?)?, value.trim().parse().ok()?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_add_up_and_claims_are_about_the_step_before_them() {
        let page = Page::parse(
            "p",
            "# T\n\n[a](calc:1)\n\n```example\ntitle: E\nshow: two-spots\nselect: 1\ntouch: Pan\n```\n\n\
             [b](do:1=2,3=4) and [c](says:1/Pan), [d](do:2/1=7)\n\n> Caution: mind *this*\n",
        );
        assert_eq!((page.title.as_str(), page.problems.len()), ("T", 0));
        assert_eq!(page.moments.len(), 3);
        assert_eq!((page.moments[2].slots.len(), page.moments[2].step.len()), (3, 1));
        let claims: Vec<_> = page.claims().map(|(words, claim)| (words, claim.moment)).collect();
        assert_eq!(claims, [("a", None), ("c", Some(1))]);
        let Some(Block::Caution(spans)) = page.blocks.last() else { panic!("a caution") };
        assert_eq!((plain(spans).as_str(), spans[1].strong), ("mind this", true));
    }

    #[test]
    fn what_cannot_be_read_is_told() {
        let page =
            Page::parse("p", "[a](do:0=1) [b](says:x/Pan) [c](foo:1)\n\n```drawing x\n```\n");
        assert_eq!(page.problems.len(), 4, "{:?}", page.problems);
    }

    #[test]
    fn headings_have_names() {
        assert_eq!(anchor("In a room: four, or five"), "in-a-room-four-or-five");
    }
}
