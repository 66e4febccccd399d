//! Searching the pages.

use super::Guide;
use super::page::{Block, Page, plain};

/// A place of the guide in which all words of a search stand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hit {
    /// The page's name.
    pub page: String,
    /// The heading, if the words do not stand above the first one.
    pub heading: Option<String>,
    /// Page and heading, as a person reads them.
    pub title: String,
    /// The first text in which one of the words stands.
    pub excerpt: String,
}

/// Longest excerpt, in characters.
const EXCERPT: usize = 120;

impl Guide {
    /// The sections in which every word of `text` stands, whether in its heading or below it; those with a
    /// word in the heading come first. Nothing for an empty text.
    pub fn search(&self, text: &str) -> Vec<Hit> {
        let words: Vec<String> = text.split_whitespace().map(str::to_lowercase).collect();
        if words.is_empty() {
            return Vec::new();
        }
        let sections = self.pages.iter().flat_map(sections);
        let mut hits: Vec<(bool, Hit)> = sections.filter_map(|it| it.hit(&words)).collect();
        hits.sort_by_key(|(in_title, _)| !in_title);
        hits.into_iter().map(|(_, hit)| hit).collect()
    }
}

/// A heading, or the top of a page, with the text up to the next.
struct Section {
    page: String,
    heading: Option<String>,
    title: String,
    texts: Vec<String>,
}

fn sections(page: &Page) -> Vec<Section> {
    let top = Section {
        page: page.name.clone(),
        heading: None,
        title: page.title.clone(),
        texts: Vec::new(),
    };
    let mut sections = vec![top];
    for block in &page.blocks {
        if let Block::Heading { words, anchor } = block {
            sections.push(Section {
                page: page.name.clone(),
                heading: Some(anchor.clone()),
                title: format!("{}: {words}", page.title),
                texts: Vec::new(),
            });
        } else if let (Some(section), false) = (sections.last_mut(), block.spans().is_empty()) {
            section.texts.push(plain(block.spans()));
        }
    }
    sections
}

impl Section {
    fn hit(self, words: &[String]) -> Option<(bool, Hit)> {
        let title = self.title.to_lowercase();
        let texts: Vec<String> = self.texts.iter().map(|text| text.to_lowercase()).collect();
        let everywhere = words
            .iter()
            .all(|word| title.contains(word) || texts.iter().any(|text| text.contains(word)));
        if !everywhere {
            return None;
        }
        let first = texts.iter().position(|text| words.iter().any(|word| text.contains(word)));
        let excerpt = self.texts.get(first.unwrap_or(0)).map(String::as_str).unwrap_or_default();
        let cut: String = excerpt.chars().take(EXCERPT).collect();
        let more = if cut.len() < excerpt.len() { "…" } else { "" };
        let Self { page, heading, title: shown, .. } = self;
        let hit = Hit { page, heading, title: shown, excerpt: format!("{cut}{more}") };
        Some((words.iter().any(|word| title.contains(word)), hit))
    }
}
