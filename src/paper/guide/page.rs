//! What a page is made of.

use super::claim::Claim;
use super::drawing::Drawing;
use super::moment::Moment;

/// One page.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Page {
    /// The name that links and the command line use.
    pub name: String,
    /// The title.
    pub title: String,
    /// What stands below the title.
    pub blocks: Vec<Block>,
    /// Every state that the page puts an example in, from the top down.
    pub moments: Vec<Moment>,
    /// What is wrong with the page's own text; a test sees to it that this is empty.
    pub problems: Vec<String>,
}

/// One piece of a page.
#[derive(Clone, Debug, PartialEq)]
pub enum Block {
    /// A heading.
    Heading {
        /// What it says.
        words: String,
        /// The name by which links find it.
        anchor: String,
    },
    /// Running text.
    Paragraph(Vec<Span>),
    /// One item of a list.
    Item(Vec<Span>),
    /// Where the facts above come from.
    Source(Vec<Span>),
    /// A caution.
    Caution(Vec<Span>),
    /// An example: a place among the page's moments.
    Example(usize),
    /// A drawing.
    Drawing(Drawing),
}

/// Words in one style.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Span {
    /// The words.
    pub words: String,
    /// They are a term that is explained here, or stand out.
    pub strong: bool,
    /// They are typed as they stand.
    pub code: bool,
    /// What they lead to or promise.
    pub target: Option<Target>,
}

/// What words lead to or promise.
#[derive(Clone, Debug, PartialEq)]
pub enum Target {
    /// Another place of the guide.
    Page {
        /// The page's name.
        page: String,
        /// The heading, if not the top.
        heading: Option<String>,
    },
    /// Puts the example in a state: a place among the page's moments.
    Do(usize),
    /// Something that the program must come to by itself.
    Claim(Claim),
    /// A key for the action of this name.
    Key(String),
}

impl Page {
    /// Every span of the page, from the top down.
    pub fn spans(&self) -> impl Iterator<Item = &Span> {
        self.blocks.iter().flat_map(Block::spans)
    }

    /// Every claim with its words, from the top down.
    pub fn claims(&self) -> impl Iterator<Item = (&str, &Claim)> {
        self.spans().filter_map(|span| match &span.target {
            Some(Target::Claim(claim)) => Some((span.words.as_str(), claim)),
            _ => None,
        })
    }

    /// Whether a heading has this name.
    pub fn has_heading(&self, name: &str) -> bool {
        let of = |block: &Block| matches!(block, Block::Heading { anchor, .. } if anchor == name);
        self.blocks.iter().any(of)
    }
}

impl Block {
    /// The words of the block in their styles; none for an example, a drawing or a heading.
    pub fn spans(&self) -> &[Span] {
        match self {
            Self::Paragraph(spans)
            | Self::Item(spans)
            | Self::Source(spans)
            | Self::Caution(spans) => spans,
            Self::Heading { .. } | Self::Example(_) | Self::Drawing(_) => &[],
        }
    }
}

/// The words of some spans, without their styles.
pub(super) fn plain(spans: &[Span]) -> String {
    spans.iter().map(|span| span.words.as_str()).collect()
}
