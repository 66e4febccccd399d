//! The plan on paper: what to set, and boxes for what was seen.

use crate::profile::probe::{COARSE, Pass, Probe, WORDS};
use crate::stage::svg::escaped;

/// What may happen to people and to the head while it is probed.
pub const CAUTIONS: [&str; 6] = [
    "The head will move without warning, flash and get bright: nobody near it or looking into it, and \
     nothing that can burn within its reach. Flashing light can trigger seizures.",
    "It is hung or stood safely and has a safety bond; follow its manual if there is one, the local \
     codes and a competent person.",
    "Some values reset the head, put the lamp out or change its settings if they are held for some \
     seconds: look for 2 seconds at most, then go back to 0. A lamp that was put out must cool.",
    "If it goes dark and starts to home, or anything sounds wrong, set every slot to 0 at once and \
     note it. That value is not to be sent again.",
    "0 is where every slot rests here, which is not to say that 0 does nothing.",
    "What looks like nothing may only be hidden: in the dark colours cannot be seen, and a slot may \
     set the speed of another.",
];

/// Rows that are left free on paper for values in between.
const FREE_ROWS: usize = 24;

/// How a value is turned to on the way.
const HOW: &str = "From one value to the next go straight, without passing through others, and \
come back to 0 before the next slot. Where two neighbours differ, halve what is between them until \
you know where it changes.";

/// One part of the printed plan: a title, what to do, and whether it has a grid of all slots.
struct Part {
    title: String,
    words: String,
    grid: bool,
}

fn parts(probe: &Probe) -> Vec<Part> {
    let slots = probe.slots;
    let part = |number: usize, pass: Pass, words: &str, grid| Part {
        title: format!("{number}. {}", pass.name()),
        words: words.to_owned(),
        grid,
    };
    let frame = format!("Send a frame of {slots} slots, all at 0. Is there light? Does it move?");
    vec![
        part(1, Pass::Rest, &frame, false),
        part(2, Pass::Alone, "One slot at these values, every other at 0.", true),
        part(
            3,
            Pass::Pairs,
            "Only if nothing gave light: one slot at 255 and its neighbour at 32, 64, 128 and 255, then \
             the other way round; then slots further apart. Leave out what moved or reset.",
            false,
        ),
        part(
            4,
            Pass::Lit,
            "Keep the slots that give light as they were then: slot ____ at ____ and slot ____ at ____. \
             Every other slot once more.",
            true,
        ),
    ]
}

fn title(probe: &Probe) -> String {
    let name = format!("{} {}", probe.maker, probe.model);
    match crate::finding::one_line(name.trim()).as_ref() {
        "" => "Probing a head without a chart".to_owned(),
        name => format!("Probing {name} without a chart"),
    }
}

/// The plan as plain text, with boxes to fill in.
pub fn sheet_text(probe: &Probe) -> String {
    let mut text = format!("{}\n{}\n\n", title(probe), "=".repeat(title(probe).chars().count()));
    text.push_str("Maker ____________________  Model ____________________  Date ____________\n");
    text.push_str("Mode in its menu ____________________  It hung [ ]  it stood [ ]\n\nCAUTION\n");
    for caution in CAUTIONS {
        wrap(&mut text, "- ", caution);
    }
    text.push('\n');
    wrap(&mut text, "", HOW);
    text.push_str("\nWords for what is seen (left and up as a person on their feet has them)\n");
    for word in WORDS {
        text.push_str(&format!("  {:<22}{}\n", word.word, word.when));
    }
    for part in parts(probe) {
        text.push_str(&format!("\n{}\n", part.title));
        wrap(&mut text, "", &part.words);
        if part.grid {
            grid(&mut text, probe.slots);
        } else {
            text.push_str("[______________________________________________________________]\n");
        }
    }
    text.push_str("\n5. Values in between, and what was measured\n");
    let rule =
        |cell: &str| format!("| {cell:<4} | {cell:<4} | {cell:<4} | {cell:<24} | {cell:<18} |\n");
    text.push_str("| slot | from | to   | seen                     | measured (Hz, deg) |\n");
    for _ in 0..FREE_ROWS {
        text.push_str(&rule(""));
    }
    text.push_str(
        "\nTyped up as lines of slot,from,to,seen,measured,held this becomes a draft profile:\n  \
         slotwright probe --notes NOTES.csv --out DRAFT.ron\n",
    );
    text
}

fn grid(text: &mut String, slots: u16) {
    text.push_str("slot |");
    for value in COARSE {
        text.push_str(&format!(" {value:>7} |"));
    }
    text.push('\n');
    for slot in 1..=slots {
        text.push_str(&format!("{slot:>4} |{}\n", "         |".repeat(COARSE.len())));
    }
}

/// Adds words in lines of at most 100 characters; what follows the first is set in.
fn wrap(text: &mut String, mark: &str, words: &str) {
    let mut line = mark.to_owned();
    for word in words.split_whitespace() {
        if line.chars().count() + word.chars().count() > 100 {
            text.push_str(line.trim_end());
            text.push('\n');
            line = " ".repeat(mark.len());
        }
        line.push_str(word);
        line.push(' ');
    }
    text.push_str(line.trim_end());
    text.push('\n');
}

const STYLE: &str = "\
body{font:10pt/1.35 sans-serif;color:#000;background:#fff;max-width:190mm;margin:10mm auto}\
h1{font-size:15pt}h2{font-size:11.5pt;margin:6mm 0 1mm}p{margin:1mm 0}\
table{border-collapse:collapse;width:100%}td,th{border:.3mm solid #555;padding:.6mm 1.2mm;text-align:left}\
thead{display:table-header-group}tr{break-inside:avoid}.grid td{height:6.5mm}.grid th{width:9mm}\
.caution{border:.6mm solid #000;padding:1mm 3mm}.words td{border:0;padding:0 3mm 0 0}.box{height:14mm;border:.3mm solid #555}\
@media print{body{margin:0;max-width:none}@page{margin:12mm}}";

/// The plan as one page of HTML that prints, with boxes to fill in.
pub fn sheet_html(probe: &Probe) -> String {
    let name = escaped(&title(probe));
    let mut html = format!(
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><title>{name}</title>\
         <style>{STYLE}</style></head>\n<body>\n<h1>{name}</h1>\n\
         <p>Maker ______________________ Model ______________________ Date ______________</p>\n\
         <p>Mode in its menu ______________________ \u{25a1} it hung \u{25a1} it stood</p>\n\
         <div class=\"caution\"><h2>Caution</h2><ul>\n"
    );
    for caution in CAUTIONS {
        html.push_str(&format!("<li>{}</li>\n", escaped(caution)));
    }
    html.push_str(&format!("</ul></div>\n<p>{}</p>\n", escaped(HOW)));
    html.push_str("<h2>Words for what is seen</h2>\n<table class=\"words\">\n");
    for pair in WORDS.chunks(2) {
        html.push_str("<tr>");
        for word in pair {
            html.push_str(&format!("<td><b>{}</b></td><td>{}</td>", word.word, escaped(word.when)));
        }
        html.push_str("</tr>\n");
    }
    html.push_str("</table>\n<p>Left and up as a person on their feet has them.</p>\n");
    for part in parts(probe) {
        html.push_str(&format!("<h2>{}</h2>\n<p>{}</p>\n", part.title, escaped(&part.words)));
        if part.grid {
            html_grid(&mut html, probe.slots);
        } else {
            html.push_str("<div class=\"box\"></div>\n");
        }
    }
    html.push_str(
        "<h2>5. Values in between, and what was measured</h2>\n<table class=\"grid\"><thead><tr>\
         <th>slot</th><th>from</th><th>to</th><td>seen</td><td>measured (Hz, deg)</td><td>held</td>\
         </tr></thead>\n",
    );
    for _ in 0..FREE_ROWS {
        html.push_str("<tr><th></th><th></th><th></th><td></td><td></td><td></td></tr>\n");
    }
    html.push_str("</table>\n</body></html>\n");
    html
}

fn html_grid(html: &mut String, slots: u16) {
    html.push_str("<table class=\"grid\"><thead><tr><th>slot</th>");
    for value in COARSE {
        html.push_str(&format!("<td>{value}</td>"));
    }
    html.push_str("</tr></thead>\n");
    for slot in 1..=slots {
        html.push_str(&format!("<tr><th>{slot}</th>{}</tr>\n", "<td></td>".repeat(COARSE.len())));
    }
    html.push_str("</table>\n");
}

/// What to look at next after the notes there are, as lines.
pub fn next_steps(probe: &Probe, most: usize) -> String {
    let steps = probe.steps_ahead(most + 1);
    if steps.is_empty() {
        return "There is nothing left to look at.\n".to_owned();
    }
    let mut text = String::new();
    let mut pass = None;
    for step in steps.iter().take(most) {
        if pass != Some(step.pass) {
            pass = Some(step.pass);
            text.push_str(&format!("{}:\n", step.pass.name()));
        }
        let finer = if step.finer { "  (where it changed)" } else { "" };
        text.push_str(&format!("  [ ] {}{finer}\n", step.words()));
    }
    if steps.len() > most {
        text.push_str("  and more after these\n");
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::profile::probe::Seen;

    #[test]
    fn the_sheet_has_a_box_for_every_slot_and_value_and_warns_first() {
        let probe = Probe::new("Wold <b>", "X", 5);
        let html = sheet_html(&probe);
        assert_eq!(html.matches("<th>5</th>").count(), 2, "alone, and with light");
        assert!(html.contains("Wold &lt;b&gt;") && !html.contains("<b>\u{20}X"));
        for tag in ["table", "tr", "td", "ul", "li", "div"] {
            let opened = html.matches(&format!("<{tag}>")).count()
                + html.matches(&format!("<{tag} ")).count();
            assert_eq!(opened, html.matches(&format!("</{tag}>")).count(), "{tag}");
        }
        let text = sheet_text(&probe);
        assert!(text.lines().all(|line| line.chars().count() <= 102), "{text}");
        let at = |words: &str| text.find(words).unwrap();
        assert!(at("CAUTION") < at("2. One slot at a time"));
        for word in WORDS {
            assert!(text.contains(word.word) && html.contains(word.word), "{}", word.word);
        }
    }

    #[test]
    fn the_next_steps_follow_the_notes() {
        let mut probe = Probe::new("Wold", "X", 1);
        assert!(
            next_steps(&probe, 3).starts_with("At rest:\n  [ ] Set every slot to 0.\nOne slot")
        );
        let rest = probe.next_step().unwrap();
        probe.note(&rest, Seen::LightOn, None);
        let first = probe.next_step().unwrap();
        probe.skip_slot(&first);
        assert_eq!(next_steps(&probe, 3), "There is nothing left to look at.\n");
    }
}
