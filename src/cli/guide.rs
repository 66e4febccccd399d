//! `slotwright guide`: the guide as text, or all of it as one page of HTML.

use std::path::PathBuf;

use clap::Args;

use super::{Failure, Report};
use crate::finding::{Finding, Place, listed, nearest, one_line, short};
use crate::paper::guide::{Guide, Hit, contents, html, text};
use crate::show::disk::write_file;

/// Below the options of `guide`.
pub const HELP: &str = "\
The pages say what a frame is, how to read a channel chart, how coarse and fine slots make one number, why
a head is dark, what wheels do, how heads are addressed and cabled, and what to mind about flashing
light. Their numbers are worked out by the program; where a fact is from is said below it. In the
window, Help > Guide shows the same pages and puts their examples on the stage.

Examples:
  slotwright guide                     list the pages
  slotwright guide shutters            print one page
  slotwright guide --search \"120 ohm\"  find the places where both words stand
  slotwright guide --html guide.html   write all of it as one page, with pictures";

/// What `guide` takes.
#[derive(Args, Debug)]
pub struct GuideArgs {
    /// Which page to print; without it, the list of pages
    #[arg(conflicts_with_all = ["html", "search"])]
    pub page: Option<String>,
    /// Find the places where all of these words stand
    #[arg(long, value_name = "WORDS", conflicts_with = "html")]
    pub search: Option<String>,
    /// Write the whole guide to this file as one page of HTML; a file that is there is replaced
    #[arg(long, value_name = "FILE")]
    pub html: Option<PathBuf>,
}

pub(super) fn run(args: &GuideArgs) -> Result<Report, Failure> {
    let guide = Guide::embedded();
    let out = match (&args.html, &args.search, &args.page) {
        (Some(path), ..) => {
            write_file(path, html(guide).as_bytes())?;
            let name = path.to_string_lossy();
            format!("wrote {}: {} pages\n", one_line(&name), guide.pages.len())
        }
        (None, Some(words), _) if words.trim().is_empty() => {
            return Err(Failure::Usage(Finding::error(
                Place::item("--search"),
                "there is nothing to look for",
                "write one or more words: `--search \"120 ohm\"`",
            )));
        }
        (None, Some(words), _) => found(guide, words),
        (None, None, Some(name)) => text(guide.page(name).ok_or_else(|| no_page(guide, name))?),
        (None, None, None) => {
            format!("{}\nto read one, run: slotwright guide NAME\n", contents(guide))
        }
    };
    Ok(Report { out, ..Report::default() })
}

fn found(guide: &Guide, words: &str) -> String {
    let hits = guide.search(words);
    if hits.is_empty() {
        let words = if words.len() > 100 { short(words) } else { one_line(words).into_owned() };
        return format!("no place has all of `{words}`\n");
    }
    let hit = |hit: &Hit| format!("{}: {}\n    {}\n", hit.page, hit.title, hit.excerpt);
    hits.iter().map(hit).collect()
}

fn no_page(guide: &Guide, name: &str) -> Failure {
    let names = || guide.pages.iter().map(|page| page.name.as_str());
    let near = nearest(name, names()).map(|near| format!("did you mean `{near}`? "));
    Failure::Usage(Finding::error(
        Place::item("PAGE"),
        format!("the guide has no page `{}`", short(name)),
        format!("{}it has {}", near.unwrap_or_default(), listed(names())),
    ))
}
