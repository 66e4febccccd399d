//! The guide: short pages on what a frame is and what becomes of it, with examples that can be put on the stage.
//!
//! A page is Markdown with links of its own. `do:8=9` sets slot 8 to 9 in the example above it; `says:1/Pan`,
//! `is:1`, `found:3`, `loss:2` and `calc:170*256+85` mark words that the program must come to by itself, and
//! `key:Chart` those that name a key. [`Claim`] says what each of them means, and the tests ask every one.

mod calc;
mod claim;
mod drawing;
mod html;
mod markdown;
mod moment;
mod page;
mod search;
mod text;

use std::sync::LazyLock;

pub use claim::{Claim, ClaimOf};
pub use drawing::{Drawing, Inks};
pub use html::html;
pub use moment::{Moment, Stand, examples};
pub use page::{Block, Page, Span, Target};
pub use search::Hit;
pub use text::{contents, text};

/// The pages by name, in the order in which to read them.
const PAGES: [(&str, &str); 8] = [
    ("frame", include_str!("../../../assets/guide/frame.md")),
    ("chart", include_str!("../../../assets/guide/chart.md")),
    ("coarse-fine", include_str!("../../../assets/guide/coarse-fine.md")),
    ("shutters", include_str!("../../../assets/guide/shutters.md")),
    ("wheels", include_str!("../../../assets/guide/wheels.md")),
    ("addressing", include_str!("../../../assets/guide/addressing.md")),
    ("cabling", include_str!("../../../assets/guide/cabling.md")),
    ("safety", include_str!("../../../assets/guide/safety.md")),
];

/// All pages.
#[derive(Clone, Debug, PartialEq)]
pub struct Guide {
    /// The pages, in the order in which to read them.
    pub pages: Vec<Page>,
}

static EMBEDDED: LazyLock<Guide> = LazyLock::new(|| Guide {
    pages: PAGES.iter().map(|(name, text)| Page::parse(name, text)).collect(),
});

impl Guide {
    /// The guide that the program carries.
    pub fn embedded() -> &'static Self {
        &EMBEDDED
    }

    /// The place of a page, by its name.
    pub fn place(&self, name: &str) -> Option<usize> {
        self.pages.iter().position(|page| page.name == name)
    }

    /// A page by its name.
    pub fn page(&self, name: &str) -> Option<&Page> {
        self.pages.iter().find(|page| page.name == name)
    }
}
