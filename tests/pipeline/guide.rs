//! The guide keeps what it promises: every link leads somewhere, every example stands, and whatever a page says
//! of one is what the pipeline comes to.

use std::collections::BTreeSet;

use slotwright::paper::guide::{
    Block, Claim, ClaimOf, Guide, Page, Span, Target, contents, examples, html, text,
};
use slotwright::wire::rate::packet_s;

fn guide() -> &'static Guide {
    Guide::embedded()
}

#[test]
fn the_pages_can_be_read() {
    let names: BTreeSet<&str> = guide().pages.iter().map(|page| page.name.as_str()).collect();
    assert_eq!(names.len(), guide().pages.len(), "no two pages have one name");
    for page in &guide().pages {
        assert!(page.problems.is_empty(), "{}: {:?}", page.name, page.problems);
        assert!(!page.title.is_empty() && page.blocks.len() > 5, "{}", page.name);
    }
}

#[test]
fn every_link_leads_somewhere() {
    for (page, span) in spans() {
        let Some(Target::Page { page: to, heading }) = &span.target else { continue };
        let there = guide().page(to);
        assert!(there.is_some(), "{}: `{}` leads to no page `{to}`", page.name, span.words);
        if let Some(heading) = heading {
            let found = there.unwrap().has_heading(heading);
            assert!(found, "{}: no heading `{heading}` on page `{to}`", page.name);
        }
    }
}

#[test]
fn headings_of_a_page_have_different_names() {
    for page in &guide().pages {
        let mut seen = BTreeSet::new();
        for block in &page.blocks {
            if let Block::Heading { anchor, .. } = block {
                assert!(seen.insert(anchor), "{}: two headings `{anchor}`", page.name);
            }
        }
    }
}

#[test]
fn every_page_has_an_example_that_stands() {
    let mut used = BTreeSet::new();
    for page in &guide().pages {
        assert!(!page.moments.is_empty(), "{} has no example", page.name);
        for moment in &page.moments {
            let stand = moment.stand().unwrap_or_else(|error| panic!("{}: {error}", page.name));
            let (fixture, channel) = stand.focus.unwrap_or_else(|| {
                assert!(
                    !moment.step.is_empty(),
                    "{}: {} is about nothing",
                    page.name,
                    moment.title
                );
                (0, None)
            });
            assert!(fixture < stand.show.rig.len());
            assert!(
                !moment.step.is_empty() || channel.is_some(),
                "{}: {} names a channel that there is",
                page.name,
                moment.title
            );
            assert!(!moment.title.is_empty());
            used.insert(moment.show.clone());
        }
    }
    assert_eq!(used, examples().map(str::to_owned).collect(), "no example is left over");
}

/// Worked examples, each out of the page's own words: what a page says is what the program says.
#[test]
fn every_promise_of_a_page_holds() {
    let mut counted = 0;
    for page in &guide().pages {
        for (words, claim) in page.claims() {
            let truth = claim.truth(page).unwrap_or_else(|why| panic!("{}: {why}", page.name));
            assert!(
                claim.holds(words, &truth),
                "{}: the page says `{words}`, the program `{truth}` ({claim:?})",
                page.name
            );
            counted += 1;
        }
    }
    assert!(counted > 80, "{counted} promises are asked");
}

/// A check that cannot fail would be none.
#[test]
fn a_wrong_promise_is_noticed() {
    let page = guide().page("shutters").unwrap();
    let (_, claim) = page.claims().find(|(words, _)| *words == "closed").unwrap();
    let truth = claim.truth(page).unwrap();
    assert!(claim.holds("closed", &truth) && !claim.holds("open", &truth));
    let nobody = Claim { of: ClaimOf::Is(99), moment: Some(0) };
    assert!(nobody.truth(page).is_err());
    let early = Claim { of: ClaimOf::Is(1), moment: None };
    assert!(early.truth(page).is_err(), "there is no example yet");
}

/// Where a page speaks of what the example is asked or does, the words are marked, so that they are asked: no
/// physical value stands bare in a paragraph with a step.
#[test]
fn values_beside_a_step_are_marked() {
    for page in &guide().pages {
        for block in &page.blocks {
            let stepped = |span: &Span| matches!(span.target, Some(Target::Do(_)));
            if !block.spans().iter().any(stepped) {
                continue;
            }
            for span in block.spans().iter().filter(|span| span.target.is_none()) {
                for unit in [" deg", " Hz", " rpm", " K", " %"] {
                    let bare = span
                        .words
                        .match_indices(unit)
                        .find(|(at, _)| span.words[..*at].ends_with(|c: char| c.is_ascii_digit()));
                    assert!(bare.is_none(), "{}: `{}` is not marked", page.name, span.words);
                }
            }
        }
    }
}

/// Facts with numbers come with where they are from: the standards by name, all else as common practice.
#[test]
fn every_page_says_where_its_facts_are_from() {
    for page in &guide().pages {
        let sources = page.blocks.iter().filter(|block| matches!(block, Block::Source(_)));
        // Shutters are told by the chart of the example alone.
        let wanted = usize::from(page.name != "shutters");
        assert!(sources.count() >= wanted, "{} names a source", page.name);
    }
}

/// ANSI E1.11-2008 (R2018), from memory of its figures: 22.676 ms for a full frame, 1.204 ms at least.
#[test]
fn the_times_of_a_packet_are_those_of_the_line() {
    let page = guide().page("frame").unwrap();
    let says = |words: &str| page.claims().any(|(said, _)| said == words);
    assert!(says(&format!("{:.0}", packet_s(512) * 1e6)), "a full frame");
    assert!(says(&format!("{:.0}", packet_s(24) * 1e6)), "24 slots");
    assert!(says(&format!("{:.1}", 1.0 / packet_s(512))), "frames a second");
}

/// Steps add up: a step takes nothing back that an earlier one of the same example set.
#[test]
fn a_moment_has_all_steps_before_it() {
    for page in &guide().pages {
        for pair in page.moments.windows(2) {
            let goes_on = !pair[1].step.is_empty();
            let kept = pair[0].slots.keys().all(|slot| pair[1].slots.contains_key(slot));
            assert!(!goes_on || kept, "{}: {}", page.name, pair[1].title);
        }
    }
}

#[test]
fn a_search_finds_sections_with_all_words() {
    let hits = guide().search("terminator 120");
    assert_eq!(hits[0].page, "cabling");
    assert_eq!(hits[0].heading.as_deref(), Some("the-terminator"));
    assert!(hits[0].excerpt.to_lowercase().contains("terminator"));
    assert!(guide().search("").is_empty() && guide().search("   ").is_empty());
    assert!(guide().search("terminator xylophone").is_empty());
    // A word of a heading comes before one that only stands below it.
    assert!(guide().search("SWITCHES")[0].title.contains("Switches"));
    for hit in guide().search("slot") {
        let page = guide().page(&hit.page).unwrap();
        assert!(hit.heading.is_none_or(|heading| page.has_heading(&heading)));
    }
}

#[test]
fn the_text_fits_a_terminal_and_keeps_every_word() {
    for page in &guide().pages {
        let text = text(page);
        assert!(text.lines().all(|line| line.chars().count() <= 90), "{}", page.name);
        let words =
            |text: &str| -> Vec<String> { text.split_whitespace().map(str::to_owned).collect() };
        let all = words(&text).join(" ");
        for (said, _) in page.claims() {
            assert!(all.contains(said), "{}: {said}", page.name);
        }
    }
    let list = contents(guide());
    assert!(guide().pages.iter().all(|page| list.contains(&page.title)));
}

#[test]
fn the_page_of_html_stands_alone() {
    let html = html(guide());
    assert!(!html.contains("src=\"http") && !html.contains("href=\"http"), "nothing is fetched");
    for page in &guide().pages {
        assert!(html.contains(&format!("<h2 id=\"{}\">", page.name)));
    }
    // Every link inside leads to a place inside.
    for (at, _) in html.match_indices("href=\"#") {
        let rest = &html[at + 7..];
        let name = &rest[..rest.find('"').unwrap()];
        assert!(html.contains(&format!(" id=\"{name}\"")), "{name}");
    }
    let balanced = |tag: &str| {
        html.matches(&format!("<{tag}>")).count() == html.matches(&format!("</{tag}>")).count()
    };
    assert!(balanced("ul") && balanced("figure"));
}

fn spans() -> impl Iterator<Item = (&'static Page, &'static Span)> {
    guide().pages.iter().flat_map(|page| page.spans().map(move |span| (page, span)))
}
