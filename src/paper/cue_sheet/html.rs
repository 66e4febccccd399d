//! A cue sheet as one page that needs nothing else and prints well.

use super::{CueRow, CueSheet};
use crate::check::flashes::CAUTION;
use crate::paper::sweep::in_address;
use crate::stage::svg::escaped;

/// How the page looks: greys on white around dark pictures, since only light has colour. A cue never
/// breaks over pages where that can be helped, and the head of the table comes again on each.
const STYLE: &str = "\
:root { color-scheme: light; }
body { font: 10pt/1.35 system-ui, sans-serif; color: #1a1a1a; background: #fff; margin: 2em auto; max-width: 66em; padding: 0 1em; }
h1 { font-size: 15pt; margin: 0 0 .2em; }
p { margin: .2em 0 .4em; color: #444; }
table { border-collapse: collapse; width: 100%; margin-top: 1em; }
th, td { text-align: left; vertical-align: top; padding: .5em .8em .5em 0; }
thead th { border-bottom: 1.5pt solid #1a1a1a; font-size: 9pt; color: #444; padding: .2em .8em .2em 0; }
tbody tr { border-bottom: .75pt solid #999; break-inside: avoid; }
th.number { font-size: 13pt; font-variant-numeric: tabular-nums; white-space: nowrap; }
td.cue { width: 24%; }
td.cue b { font-size: 11pt; }
td.picture { width: 190px; }
img { display: block; width: 190px; print-color-adjust: exact; -webkit-print-color-adjust: exact; }
ul { list-style: none; margin: 0; padding: 0; }
li { margin: 0 0 .2em; padding-left: 1em; text-indent: -1em; }
li b { font-variant-numeric: tabular-nums; }
small { display: block; color: #555; margin-top: .2em; }
.caution { font-weight: 600; }
footer { margin-top: 1.2em; font-size: 8.5pt; color: #555; }
@page { size: A4; margin: 15mm; }
@media print { body { margin: 0; max-width: none; padding: 0; font-size: 9pt; } td.picture, img { width: 165px; } }
";

/// The sheet as a page of HTML with its style and pictures inside.
pub fn html(sheet: &CueSheet) -> String {
    let title = escaped(&format!("{}: {}", sheet.show, sheet.list));
    let mut page = format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<title>{title}</title>\n\
         <style>\n{STYLE}</style>\n</head>\n<body>\n<h1>{title}</h1>\n<p>Cue sheet, {} cues</p>\n",
        sheet.rows.len()
    );
    for words in [&sheet.notes].into_iter().chain(&sheet.rules).filter(|words| !words.is_empty()) {
        page.push_str(&format!("<p>{}</p>\n", escaped(words)));
    }
    let pictures = sheet.rows.iter().any(|row| !row.picture.is_empty());
    let stage = if pictures { "<th scope=\"col\">once faded</th>" } else { "" };
    page.push_str(&format!(
        "<table>\n<thead><tr><th scope=\"col\">cue</th><th scope=\"col\">name and times</th>{stage}\
         <th scope=\"col\">what it does</th></tr></thead>\n<tbody>\n"
    ));
    for row in &sheet.rows {
        cue(&mut page, row);
    }
    page.push_str("</tbody>\n</table>\n<footer>\n");
    if sheet.rows.iter().any(|row| !row.flashes.is_empty()) {
        page.push_str(&format!(
            "<p class=\"caution\">\u{25b2} Caution: {}.</p>\n",
            escaped(CAUTION)
        ));
    }
    if pictures {
        page.push_str(
            "<p>Plan above, front elevation below; one exposure for all pictures; everything has arrived, \
             movements stand in their middle, and flashes show as their mean.</p>\n",
        );
    }
    page.push_str(
        "<p>Worked out from profiles: where they and the fixtures' manuals differ, the manuals are right.</p>\n\
         </footer>\n</body>\n</html>\n",
    );
    page
}

fn cue(page: &mut String, row: &CueRow) {
    page.push_str(&format!(
        "<tr><th class=\"number\" scope=\"row\">{}</th><td class=\"cue\"><b>{}</b><br>{}",
        escaped(&row.number),
        escaped(&row.name),
        escaped(&row.times).replace("; ", "<br>")
    ));
    for words in [&row.next, &row.notes].into_iter().filter(|words| !words.is_empty()) {
        page.push_str(&format!("<small>{}</small>", escaped(words)));
    }
    page.push_str("</td>\n");
    if !row.picture.is_empty() {
        let (name, lit) = (escaped(&row.title()), row.lit.len());
        let picture = in_address(&row.picture);
        page.push_str(&format!(
            "<td class=\"picture\"><img alt=\"the stage in cue {name}: {lit} lit\" \
             src=\"data:image/svg+xml,{picture}\"></td>\n"
        ));
    }
    page.push_str("<td><ul>\n");
    for (class, mark, lines) in
        [("", "", &row.lines), (" class=\"caution\"", "\u{25b2} caution: ", &row.flashes)]
    {
        for line in lines {
            let fixtures = match line.fixtures.as_str() {
                "" => String::new(),
                fixtures => format!("<b>{}</b>: ", escaped(fixtures)),
            };
            page.push_str(&format!("<li{class}>{mark}{fixtures}{}</li>\n", unbroken(&line.words)));
        }
    }
    page.push_str("</ul></td></tr>\n");
}

/// A text for the page, in which no number is parted from its unit.
fn unbroken(text: &str) -> String {
    let mut out = escaped(text);
    for unit in [" %", " deg", " Hz", " K", " rpm", " s"] {
        for end in [",", ";"] {
            out = out.replace(&format!("{unit}{end}"), &format!("\u{a0}{}{end}", unit.trim()));
        }
        if let Some(number) = out.strip_suffix(unit) {
            out = format!("{number}\u{a0}{}", unit.trim());
        }
    }
    out
}
