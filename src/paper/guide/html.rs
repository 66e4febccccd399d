//! The guide as one page of HTML that needs nothing else: its style and its pictures are inside.

use glam::Vec2;

use super::Guide;
use super::drawing::Inks;
use super::moment::Moment;
use super::page::{Block, Page, Span, Target};
use crate::paper::sweep::in_address;
use crate::stage::svg::{escaped, write_svg};
use crate::stage::{DrawOptions, Rect, Sheet, ViewKind, draw};

/// How the page looks: greys on white, since only light has colour.
const STYLE: &str = "\
:root { color-scheme: light; }
body { font: 11pt/1.5 system-ui, sans-serif; color: #1a1a1a; background: #fff; margin: 2em auto; max-width: 46em; padding: 0 1em; }
h1 { font-size: 20pt; margin: 0 0 .4em; }
h2 { font-size: 16pt; margin: 2em 0 .4em; border-top: 1.5pt solid #1a1a1a; padding-top: .6em; break-after: avoid; }
h3 { font-size: 12pt; margin: 1.4em 0 .3em; break-after: avoid; }
p, li { margin: .3em 0 .7em; }
a { color: #4a42be; }
em { font-style: normal; font-weight: 600; }
p.source { font-size: 9pt; color: #555; border-left: 2pt solid #bbb; padding-left: .8em; }
p.caution { border: 1pt solid #a15c00; padding: .5em .8em; }
b.value { font-weight: 600; font-variant-numeric: tabular-nums; }
span.do { text-decoration: underline dotted #4a42be; }
figure { margin: 1em 0; break-inside: avoid; }
figure img { max-width: 100%; height: auto; display: block; }
figcaption { font-size: 9pt; color: #555; margin-top: .3em; }
@page { size: A4; margin: 15mm; }
@media print { body { margin: 0; max-width: none; padding: 0; font-size: 10pt; } }
";

/// Width and height of the picture of an example, in points.
const PICTURE: Vec2 = Vec2::new(560.0, 420.0);

/// The whole guide as one page.
pub fn html(guide: &Guide) -> String {
    let mut out = format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<title>Guide</title>\n\
         <style>\n{STYLE}</style>\n</head>\n<body>\n<h1>From the frame to the light</h1>\n<ol>\n"
    );
    for page in &guide.pages {
        out.push_str(&format!(
            "<li><a href=\"#{}\">{}</a></li>\n",
            page.name,
            escaped(&page.title)
        ));
    }
    out.push_str("</ol>\n");
    for page in &guide.pages {
        one_page(page, &mut out);
    }
    out.push_str("</body>\n</html>\n");
    out
}

fn one_page(page: &Page, out: &mut String) {
    out.push_str(&format!("<h2 id=\"{}\">{}</h2>\n", page.name, escaped(&page.title)));
    let mut listing = false;
    for block in &page.blocks {
        let item = matches!(block, Block::Item(_));
        if item != listing {
            out.push_str(if item { "<ul>\n" } else { "</ul>\n" });
            listing = item;
        }
        match block {
            Block::Heading { words, anchor } => {
                let id = id(&page.name, Some(anchor));
                out.push_str(&format!("<h3 id=\"{id}\">{}</h3>\n", escaped(words)));
            }
            Block::Paragraph(words) => out.push_str(&format!("<p>{}</p>\n", spans(words))),
            Block::Item(words) => out.push_str(&format!("<li>{}</li>\n", spans(words))),
            Block::Source(words) => {
                out.push_str(&format!("<p class=\"source\">{}</p>\n", spans(words)));
            }
            Block::Caution(words) => {
                out.push_str(&format!(
                    "<p class=\"caution\"><b>Caution.</b> {}</p>\n",
                    spans(words)
                ));
            }
            Block::Drawing(drawing) => {
                let svg = write_svg(&drawing.picture(PICTURE.x, &Inks::PAPER));
                let picture = picture(&svg, &drawing.words());
                out.push_str(&format!("<figure>{picture}</figure>\n"));
            }
            Block::Example(moment) => {
                let moment = page.moments.get(*moment);
                out.push_str(&moment.map(example).unwrap_or_default());
            }
        }
    }
    if listing {
        out.push_str("</ul>\n");
    }
}

fn id(page: &str, heading: Option<&str>) -> String {
    heading.map_or_else(|| page.to_owned(), |heading| format!("{page}--{heading}"))
}

fn spans(spans: &[Span]) -> String {
    let one = |span: &Span| {
        let mut words = escaped(&span.words);
        if span.code {
            words = format!("<code>{words}</code>");
        }
        if span.strong {
            words = format!("<em>{words}</em>");
        }
        match &span.target {
            Some(Target::Page { page, heading }) => {
                format!("<a href=\"#{}\">{words}</a>", id(page, heading.as_deref()))
            }
            Some(Target::Do(_)) => format!("<span class=\"do\">{words}</span>"),
            Some(Target::Claim(_)) => format!("<b class=\"value\">{words}</b>"),
            Some(Target::Key(_)) => format!("<kbd>{words}</kbd>"),
            None => words,
        }
    };
    spans.iter().map(one).collect()
}

/// A picture in the page itself, with what there is to see for those who do not see it.
fn picture(svg: &str, words: &str) -> String {
    format!("<img alt=\"{}\" src=\"data:image/svg+xml,{}\">", escaped(words), in_address(svg))
}

/// The stage as an example begins.
fn example(moment: &Moment) -> String {
    let Ok(stand) = moment.stand() else { return String::new() };
    let scene = stand.scene();
    let sheet = Sheet::fit(&stand.show.room, Rect::new(Vec2::ZERO, PICTURE), ViewKind::Front);
    let selected: Vec<usize> = stand.focus.iter().map(|(fixture, _)| *fixture).collect();
    let options =
        DrawOptions { selected: &selected, title: &moment.title, ..DrawOptions::default() };
    let svg = write_svg(&draw(&scene, &sheet.views(), PICTURE, &options));
    let title = escaped(&moment.title);
    format!(
        "<figure>{}<figcaption>Example: {title}. The plan above, the front elevation below.</figcaption></figure>\n",
        picture(&svg, &format!("the stage: {}", moment.title))
    )
}
