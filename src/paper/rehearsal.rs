//! What a dry run found, as one page that needs nothing else and prints well.

use crate::check::flashes::CAUTION;
use crate::check::rehearse::{Report, Told};
use crate::finding::{Severity, rounded};
use crate::stage::svg::escaped;

/// How the page looks: greys on white; a severity has a word and a shape, and its colour besides.
const STYLE: &str = "\
:root { color-scheme: light; }
body { font: 10pt/1.4 system-ui, sans-serif; color: #1a1a1a; background: #fff; margin: 2em auto; max-width: 60em; padding: 0 1em; }
h1 { font-size: 15pt; margin: 0 0 .2em; }
h2 { font-size: 12pt; margin: 1.6em 0 .2em; }
p { margin: .2em 0 1em; color: #444; }
table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; vertical-align: top; padding: .25em .6em .25em 0; }
thead th { border-bottom: 1.5pt solid #1a1a1a; font-size: 9pt; color: #444; }
tbody { border-bottom: .75pt solid #999; }
tbody th { padding-top: .6em; font-weight: 600; }
tbody tr { break-inside: avoid; }
td.time { font-variant-numeric: tabular-nums; white-space: nowrap; text-align: right; }
td.kind { white-space: nowrap; }
small { display: block; color: #555; }
.error { color: #a11212; font-weight: 600; }
.warning { color: #7a4d00; font-weight: 600; }
.note { color: #444; }
.accepted { color: #666; font-weight: 400; }
footer { margin-top: 1.6em; font-size: 8.5pt; color: #555; }
@page { size: A4; margin: 15mm; }
@media print { body { margin: 0; max-width: none; padding: 0; font-size: 9pt; } }
";

/// The reports of some runs as a page of HTML with its style inside.
pub fn html(show: &str, reports: &[Report]) -> String {
    let title = escaped(&format!("{show}: dry run"));
    let mut page = format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<title>{title}</title>\n\
         <style>\n{STYLE}</style>\n</head>\n<body>\n<h1>{title}</h1>\n"
    );
    for report in reports {
        run(&mut page, report);
    }
    page.push_str(&format!(
        "<footer><p>A preview, and no certificate. {}. Where beams at eye level, moving heads, lamps or power are \
         told of, the fixture's manual, local codes and licensed or competent people decide.</p></footer>\n\
         </body>\n</html>\n",
        escaped(&sentence(CAUTION))
    ));
    page
}

fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

fn run(page: &mut String, report: &Report) {
    let errors = report
        .told
        .iter()
        .filter(|t| t.finding.severity == Severity::Error && t.finding.accepted.is_none());
    page.push_str(&format!(
        "<h2>{}</h2>\n<p>{} cues started in {} s; {} findings, of which {} are errors that stand.</p>\n",
        escaped(&report.lists.join(" with ")),
        report.starts.len(),
        rounded(report.duration_s, 1),
        report.told.len(),
        errors.count()
    ));
    if report.told.is_empty() {
        return;
    }
    page.push_str(
        "<table>\n<thead><tr><th scope=\"col\">at</th><th scope=\"col\"></th><th scope=\"col\">fixtures</th>\
         <th scope=\"col\">what</th></tr></thead>\n",
    );
    let mut cue = None;
    for told in &report.told {
        if cue != Some((told.list, told.cue)) {
            if cue.is_some() {
                page.push_str("</tbody>\n");
            }
            cue = Some((told.list, told.cue));
            let words = escaped(&report.cues[told.list][told.cue]);
            page.push_str(&format!(
                "<tbody>\n<tr><th colspan=\"4\" scope=\"rowgroup\">{words}</th></tr>\n"
            ));
        }
        row(page, told);
    }
    page.push_str("</tbody>\n</table>\n");
}

fn row(page: &mut String, told: &Told) {
    let finding = &told.finding;
    let (class, mark) = match (finding.severity, &finding.accepted) {
        (_, Some(_)) => ("accepted", "\u{2713} accepted"),
        (Severity::Error, None) => ("error", "\u{25a0} error"),
        (Severity::Warning, None) => ("warning", "\u{25b2} warning"),
        (Severity::Note, None) => ("note", "\u{25cf} note"),
    };
    let ids: Vec<String> = told.fixtures.iter().map(u32::to_string).collect();
    let mut more = String::new();
    let says = [finding.accepted.as_deref().unwrap_or_default(), &finding.mend, &finding.why];
    for words in says.into_iter().filter(|words| !words.is_empty()) {
        more.push_str(&format!("<small>{}</small>", escaped(words)));
    }
    page.push_str(&format!(
        "<tr><td class=\"time\">{} s</td><td class=\"kind {class}\">{mark}</td><td>{}</td><td>{}{more}</td></tr>\n",
        rounded(told.at_s, 2),
        ids.join(", "),
        escaped(&finding.what)
    ));
}
