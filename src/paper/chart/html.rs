//! A chart as one page that needs nothing else and prints well.

use super::{Chart, ChartChannel, ChartRow};
use crate::stage::svg::escaped;
use crate::wire::slots_written;

/// How the page looks: greys on white, since only light has colour; a channel never breaks over pages
/// where that can be helped, and the head of the table comes again on each.
const STYLE: &str = "\
:root { color-scheme: light; }
body { font: 10pt/1.35 system-ui, sans-serif; color: #1a1a1a; background: #fff; margin: 2em auto; max-width: 62em; padding: 0 1em; }
h1 { font-size: 15pt; margin: 0 0 .2em; }
p { margin: .2em 0 1em; color: #444; }
dl { display: grid; grid-template-columns: max-content 1fr; gap: .1em 1em; margin: 0 0 1.2em; }
dt { color: #666; }
dd { margin: 0; }
table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; vertical-align: top; padding: .2em .5em; }
thead th { border-bottom: 1.5pt solid #1a1a1a; font-size: 9pt; color: #444; }
tbody { border-bottom: .75pt solid #999; break-inside: avoid; }
tbody.long { break-inside: auto; }
tbody tr { break-inside: avoid; }
tbody th { font-weight: 600; }
td.value, td.physical { font-variant-numeric: tabular-nums; white-space: nowrap; }
small { display: block; color: #555; font-weight: 400; }
tr.gap td { color: #666; font-style: italic; }
.swatch { display: inline-block; width: .8em; height: .8em; border: .5pt solid #444; margin-right: .4em; vertical-align: -.05em; print-color-adjust: exact; -webkit-print-color-adjust: exact; }
footer { margin-top: 1.2em; font-size: 8.5pt; color: #555; }
@page { size: A4; margin: 15mm; }
@media print { body { margin: 0; max-width: none; padding: 0; font-size: 9pt; } }
";

/// Rows from which on a channel may break over pages.
const LONG: usize = 24;

/// The chart as a page of HTML with its style inside.
pub fn html(chart: &Chart) -> String {
    let title = format!("{}, mode {}", chart.title, chart.mode);
    let mut page = format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<title>{}</title>\n\
         <style>\n{STYLE}</style>\n</head>\n<body>\n<h1>{}</h1>\n<p>Channel chart, mode {}, {} slots</p>\n<dl>\n",
        escaped(&title),
        escaped(&chart.title),
        escaped(&chart.mode),
        chart.slots
    );
    for (what, says) in &chart.facts {
        page.push_str(&format!("<dt>{what}</dt><dd>{}</dd>\n", escaped(says)));
    }
    page.push_str(
        "</dl>\n<table>\n<thead>\n<tr><th scope=\"col\">slot</th><th scope=\"col\">channel</th>\
         <th scope=\"col\">values</th><th scope=\"col\">function</th><th scope=\"col\">from</th>\
         <th scope=\"col\">to</th></tr>\n</thead>\n",
    );
    for channel in &chart.channels {
        page.push_str(&body(channel));
    }
    page.push_str("</table>\n<footer>\n");
    if !chart.bare.is_empty() {
        page.push_str(&format!("<p>Not described: {}.</p>\n", chart.bare_words()));
    }
    page.push_str(
        "<p>Values are those of the coarse slot where a range begins and ends with whole coarse steps; \
         others stand slot by slot, coarse/fine. Worked out from a profile: where it and the fixture's \
         manual differ, the manual is right.</p>\n</footer>\n</body>\n</html>\n",
    );
    page
}

fn body(channel: &ChartChannel) -> String {
    let long = if channel.rows.len() > LONG { " class=\"long\"" } else { "" };
    let mut body = format!("<tbody{long}>\n");
    let mut about = vec![format!("rests at {}", channel.default)];
    if !channel.at_rest.is_empty() {
        about.push(channel.at_rest.clone());
    }
    if let Some(cell) = channel.cell {
        about.push(format!("cell {cell}"));
    }
    if channel.snap {
        about.push("jumps in a fade".to_owned());
    }
    let span = channel.rows.len().max(1);
    let head = format!(
        "<th scope=\"row\" rowspan=\"{span}\">{}</th><th scope=\"row\" rowspan=\"{span}\">{}<small>{}</small></th>",
        slots_written(&channel.slots),
        escaped(&channel.name),
        escaped(&about.join(", "))
    );
    if channel.rows.is_empty() {
        body.push_str(&format!("<tr>{head}<td colspan=\"4\"></td></tr>\n"));
    }
    for (i, row) in channel.rows.iter().enumerate() {
        body.push_str(&tr(row, if i == 0 { &head } else { "" }));
    }
    body.push_str("</tbody>\n");
    body
}

fn tr(row: &ChartRow, head: &str) -> String {
    let class = if row.function.is_none() { " class=\"gap\"" } else { "" };
    let swatch = row.swatch.as_ref().map_or_else(String::new, |colour| {
        format!("<span class=\"swatch\" style=\"background:{colour}\"></span>")
    });
    // A value and its unit never part at the end of a line; lines break behind a comma.
    let steps = escaped(&row.steps_words()).replace(' ', "&nbsp;").replace(",&nbsp;", ", ");
    let more: Vec<String> = [escaped(&row.notes_words()), steps]
        .into_iter()
        .filter(|more| !more.is_empty())
        .map(|more| format!("<small>{more}</small>"))
        .collect();
    let (from, to) = match row.physical {
        Some((a, b, unit)) => (unit.format(a), unit.format(b)),
        None => (String::new(), String::new()),
    };
    format!(
        "<tr{class}>{head}<td class=\"value\">{}</td><td>{swatch}{}{}</td>\
         <td class=\"physical\">{}</td><td class=\"physical\">{}</td></tr>\n",
        row.values_words(),
        escaped(row.function_words()),
        more.concat(),
        escaped(&from),
        escaped(&to)
    )
}
