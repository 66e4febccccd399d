//! What differs between two cue lists, as one page that needs nothing else and prints well.

use super::cue_sheet::{picture, share_exposure};
use super::sweep::in_address;
use crate::check::compare::{Comparison, CueDifference, Difference};
use crate::cue::words;
use crate::decode::Plan;
use crate::show::Show;
use crate::stage::Scene;
use crate::stage::svg::escaped;
use crate::wire::Frames;

/// How the page looks: greys on white around dark pictures, since only light has colour.
const STYLE: &str = "\
:root { color-scheme: light; }
body { font: 10pt/1.35 system-ui, sans-serif; color: #1a1a1a; background: #fff; margin: 2em auto; max-width: 66em; padding: 0 1em; }
h1 { font-size: 15pt; margin: 0 0 .4em; }
h2 { font-size: 12pt; margin: 1.6em 0 .4em; break-after: avoid; }
dl { display: grid; grid-template-columns: max-content 1fr; gap: .1em 1em; margin: 0 0 .6em; }
dt { color: #666; }
dd { margin: 0; }
table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; vertical-align: top; padding: .25em .8em .25em 0; width: 30%; }
th:first-child, td:first-child { width: 16%; font-variant-numeric: tabular-nums; }
thead th { border-bottom: 1pt solid #1a1a1a; font-size: 9pt; color: #444; }
tbody tr { border-bottom: .5pt solid #bbb; break-inside: avoid; }
td.none { color: #777; font-style: italic; }
figure { display: inline-block; margin: .6em 1em 0 0; break-inside: avoid; }
figcaption { font-size: 9pt; color: #444; }
img { display: block; width: 250px; print-color-adjust: exact; -webkit-print-color-adjust: exact; }
footer { margin-top: 1.6em; font-size: 8.5pt; color: #555; }
@page { size: A4; margin: 15mm; }
@media print { body { margin: 0; max-width: none; padding: 0; font-size: 9pt; } }
";

/// A cue by its number and its names: `cue 3 "Dawn"`, `cue 3 "Dawn" / "Sunrise"`.
pub fn cue_words(cue: &CueDifference) -> String {
    let name = |name: &str| if name.is_empty() { String::new() } else { format!(" \"{name}\"") };
    let names = match &cue.names {
        (Some(one), Some(other)) if one != other => format!("{} /{}", name(one), name(other)),
        (Some(one), _) => name(one),
        (None, other) => name(other.as_deref().unwrap_or_default()),
    };
    format!("cue {}{names}", cue.number)
}

/// The comparison of lists of two shows as a page of HTML, with its style and pictures inside.
pub fn html(comparison: &Comparison, before: &Show, after: &Show) -> String {
    let (one, other) = (escaped(&comparison.sides.0), escaped(&comparison.sides.1));
    let mut page = format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<title>{one} / {other}</title>\n\
         <style>\n{STYLE}</style>\n</head>\n<body>\n<h1>What differs</h1>\n\
         <dl><dt>first</dt><dd>{one}</dd><dt>second</dt><dd>{other}</dd></dl>\n\
         <p>{} of {} cues differ. What goes on differing is told once, where it begins.</p>\n",
        comparison.cues.len(),
        comparison.cue_count
    );
    if !comparison.whole.is_empty() {
        page.push_str("<h2>The whole</h2>\n");
        table(&mut page, &comparison.whole);
    }
    let pictures = Pictures::new(comparison, before, after);
    for (place, cue) in comparison.cues.iter().enumerate() {
        page.push_str(&format!("<h2>{}</h2>\n", escaped(&cue_words(cue))));
        table(&mut page, &cue.differences);
        pictures.put(&mut page, place, cue);
    }
    page.push_str(
        "<footer><p>Plan above, front elevation below, once all has faded; one exposure for all pictures. \
         Worked out from profiles: where they and the fixtures' manuals differ, the manuals are right.</p>\
         </footer>\n</body>\n</html>\n",
    );
    page
}

fn table(page: &mut String, differences: &[Difference]) {
    page.push_str(
        "<table>\n<thead><tr><th scope=\"col\">fixtures</th><th scope=\"col\"></th><th scope=\"col\">first</th>\
         <th scope=\"col\">second</th></tr></thead>\n<tbody>\n",
    );
    for difference in differences {
        let cell = |words: &Option<String>| match words {
            Some(words) => format!("<td>{}</td>", escaped(words)),
            None => "<td class=\"none\">nothing</td>".to_owned(),
        };
        let sides = match (&difference.before, &difference.after) {
            (None, None) => "<td></td><td></td>".to_owned(),
            (before, after) => format!("{}{}", cell(before), cell(after)),
        };
        page.push_str(&format!(
            "<tr><td>{}</td><td>{}</td>{sides}</tr>\n",
            words::fixtures(&difference.fixtures),
            escaped(&difference.what)
        ));
    }
    page.push_str("</tbody>\n</table>\n");
}

/// The stage on either side, cue by cue.
struct Pictures<'a> {
    shows: [&'a Show; 2],
    /// Both sides of each cue in turn.
    scenes: Vec<Scene>,
}

impl<'a> Pictures<'a> {
    fn new(comparison: &Comparison, before: &'a Show, after: &'a Show) -> Self {
        let shows = [before, after];
        let plans = shows.map(|show| Plan::new(&show.rig, &show.profiles));
        let scene = |side: usize, frames: &Frames| {
            let (show, plan): (&Show, &Plan) = (shows[side], &plans[side]);
            let mut decoded = plan.start();
            plan.decode(frames, &mut decoded);
            Scene::new(&show.room, &show.rig, plan, frames, &decoded)
        };
        let both = |cue: &CueDifference| [scene(0, &cue.frames.0), scene(1, &cue.frames.1)];
        let mut scenes: Vec<Scene> = comparison.cues.iter().flat_map(both).collect();
        share_exposure(&mut scenes);
        Self { shows, scenes }
    }

    fn put(&self, page: &mut String, place: usize, cue: &CueDifference) {
        let scenes = self.scenes.iter().skip(2 * place).zip(self.shows).zip(["first", "second"]);
        for ((scene, show), side) in scenes {
            let title = format!("{side}: {}", cue_words(cue));
            page.push_str(&format!(
                "<figure><figcaption>{side}</figcaption><img alt=\"the stage on the {side} side: {}\" \
                 src=\"data:image/svg+xml,{}\"></figure>\n",
                escaped(&cue_words(cue)),
                in_address(&picture(&show.room, scene, &title))
            ));
        }
    }
}
