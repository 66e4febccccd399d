//! The guide as plain text.

use super::Guide;
use super::page::{Block, Page, Target, plain};

/// Characters in a line, at most.
const LINE: usize = 88;

/// The list of pages: name and title.
pub fn contents(guide: &Guide) -> String {
    let widest = guide.pages.iter().map(|page| page.name.len()).max().unwrap_or(0);
    let line = |page: &Page| format!("  {:widest$}  {}\n", page.name, page.title);
    guide.pages.iter().map(line).collect()
}

/// One page. Where an example stands, so does the command that shows it in the window.
pub fn text(page: &Page) -> String {
    let mut out = format!("{}\n{}\n", page.title, "=".repeat(page.title.chars().count()));
    let mut before: Option<&Block> = None;
    for block in &page.blocks {
        let listed = matches!((before, block), (Some(Block::Item(_)), Block::Item(_)));
        if !listed {
            out.push('\n');
        }
        out.push_str(&block_text(page, block));
        before = Some(block);
    }
    out
}

fn block_text(page: &Page, block: &Block) -> String {
    match block {
        Block::Heading { words, .. } => {
            format!("{words}\n{}\n", "-".repeat(words.chars().count()))
        }
        Block::Paragraph(_) => wrapped(&linked(block), "", ""),
        Block::Item(_) => wrapped(&linked(block), "- ", "  "),
        Block::Source(_) => wrapped(&linked(block), "    ", "    "),
        Block::Caution(_) => wrapped(&linked(block), "! ", "! "),
        Block::Drawing(drawing) => wrapped(&format!("[{}]", drawing.words()), "", ""),
        Block::Example(moment) => {
            let title = page.moments.get(*moment).map_or("", |moment| &moment.title);
            wrapped(&format!("Example: {title}. In the window, Help > Guide opens it."), "* ", "  ")
        }
    }
}

/// The words of a block. A link to another page is followed by the name of that page.
fn linked(block: &Block) -> String {
    let spans = block.spans();
    if spans.iter().all(|span| !matches!(span.target, Some(Target::Page { .. }))) {
        return plain(spans);
    }
    let words = spans.iter().map(|span| match &span.target {
        Some(Target::Page { page, .. }) => format!("{} (guide {page})", span.words),
        _ => span.words.clone(),
    });
    words.collect()
}

/// Words in lines: the first begins with `first`, the others with `then`.
fn wrapped(text: &str, first: &str, then: &str) -> String {
    let mut out = first.to_owned();
    let mut used = first.chars().count();
    let mut empty = true;
    for word in text.split_whitespace() {
        let width = word.chars().count();
        if !empty && used + 1 + width > LINE {
            out.push('\n');
            out.push_str(then);
            used = then.chars().count();
            empty = true;
        }
        if !empty {
            out.push(' ');
            used += 1;
        }
        out.push_str(word);
        used += width;
        empty = false;
    }
    out.push('\n');
    out
}
