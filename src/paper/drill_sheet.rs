//! A sheet of exercises on paper: the questions, and the answer key on a page of its own.

use serde::Serialize;

use super::sweep::{SIZE, in_address, views};
use crate::check::drill::{Exercise, Level, Task, TestHead};
use crate::finding::one_line;
use crate::stage::svg::{escaped, write_svg};
use crate::stage::{DrawOptions, draw};

/// A sheet.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DrillSheet {
    /// Maker and model.
    pub profile: String,
    /// The mode.
    pub mode: String,
    /// The level, from 1.
    pub level: u8,
    /// The level's name.
    pub level_name: &'static str,
    /// The seed that it was made of: the same gives the same sheet again.
    pub seed: u64,
    /// The exercises, in order.
    pub exercises: Vec<Row>,
}

/// One exercise.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Row {
    /// Its number, from 1.
    pub number: usize,
    /// The stable name of its kind.
    pub kind: &'static str,
    /// What is asked.
    pub question: Vec<String>,
    /// What there is to choose from.
    pub choices: Vec<String>,
    /// How the answer is written.
    pub answer_form: &'static str,
    /// Hints, from a nudge to most of the answer.
    pub hints: Vec<String>,
    /// An answer that is right, as a file of answers has it.
    pub answer: String,
    /// The answer key in words.
    pub key: Vec<String>,
    /// What is seen flashes.
    pub flashes: bool,
    /// Small pictures: what each shows, and an SVG document.
    #[serde(skip)]
    pub pictures: Vec<(&'static str, String)>,
}

/// Puts exercises onto a sheet. `head` is of the mode that they were made of.
pub fn drill_sheet(
    head: &mut TestHead,
    level: Level,
    seed: u64,
    exercises: &[Exercise],
    pictures: bool,
) -> DrillSheet {
    let mode = head.mode.clone();
    let rows = exercises.iter().enumerate().map(|(i, exercise)| Row {
        number: i + 1,
        kind: exercise.kind(),
        question: exercise.question(&mode),
        choices: exercise.choices().iter().map(|choice| choice.words.clone()).collect(),
        answer_form: exercise.answer_form(),
        hints: exercise.hints(head),
        answer: exercise.right_answer().map_or_else(String::new, |answer| answer.words()),
        key: exercise.key(head),
        flashes: exercise.flashes(),
        pictures: if pictures { small_pictures(head, exercise) } else { Vec::new() },
    });
    DrillSheet {
        exercises: rows.collect(),
        profile: mode.profile.key().0,
        mode: mode.name.clone(),
        level: level.number(),
        level_name: level.words(),
        seed,
    }
}

fn small_pictures(head: &mut TestHead, exercise: &Exercise) -> Vec<(&'static str, String)> {
    let shown: Vec<(&'static str, &[u8])> = match &exercise.task {
        Task::Set { target, .. } => vec![("like this", target)],
        Task::Which { before, after, .. } => vec![("before", before), ("after", after)],
        _ => Vec::new(),
    };
    let mut scenes: Vec<_> =
        shown.into_iter().map(|(name, slots)| (name, head.scene(slots))).collect();
    // One exposure for all of them, so that what is dimmer looks dimmer.
    let lit = scenes.iter().filter(|(_, scene)| !scene.beams.is_empty());
    let reference_lx = lit.map(|(_, scene)| scene.reference_lx).reduce(f64::max);
    let drawn = scenes.iter_mut().map(|(name, scene)| {
        scene.reference_lx = reference_lx.unwrap_or(scene.reference_lx);
        let options = DrawOptions { title: name, ..DrawOptions::default() };
        (*name, write_svg(&draw(scene, &views(), SIZE, &options)))
    });
    drawn.collect()
}

fn heading(sheet: &DrillSheet) -> String {
    format!(
        "{}, mode {}: level {}, {} (seed {})",
        sheet.profile, sheet.mode, sheet.level, sheet.level_name, sheet.seed
    )
}

const CAUTION: &str = "Some of this light flashes. Flashing light can harm people with photosensitive epilepsy: \
                       on a real head, warn those present first and follow the local rules.";

/// The sheet as plain text, with the key behind a form feed.
pub fn text(sheet: &DrillSheet) -> String {
    let mut out = format!("{}\n", one_line(&heading(sheet)));
    if sheet.exercises.iter().any(|row| row.flashes) {
        out.push_str(&format!("{CAUTION}\n"));
    }
    for row in &sheet.exercises {
        out.push('\n');
        for (i, line) in row.question.iter().enumerate() {
            let number = if i == 0 { format!("{}.", row.number) } else { String::new() };
            out.push_str(&format!("{number:<4}{}\n", one_line(line)));
        }
        for (place, choice) in row.choices.iter().enumerate() {
            out.push_str(&format!("    {}) {}\n", Exercise::letter(place), one_line(choice)));
        }
        out.push_str(&format!("    Answer ({}): ______\n", row.answer_form));
    }
    out.push_str("\n\u{c}Answer key\n\n");
    for row in &sheet.exercises {
        for (i, line) in row.key.iter().enumerate() {
            let number = if i == 0 { format!("{}.", row.number) } else { String::new() };
            out.push_str(&format!("{number:<4}{}\n", one_line(line)));
        }
    }
    out
}

/// How the page looks: greys on white around dark pictures, since only light has colour.
const STYLE: &str = "\
:root { color-scheme: light; }
body { font: 10.5pt/1.4 system-ui, sans-serif; color: #1a1a1a; background: #fff; margin: 2em auto; max-width: 48em; padding: 0 1em; }
h1 { font-size: 15pt; margin: 0 0 .2em; }
h2 { font-size: 13pt; }
.key { break-before: page; }
.sheet li { margin: 0 0 1.4em; break-inside: avoid; }
p { margin: .2em 0; }
ol.choices { list-style: lower-alpha; }
ol.choices li { margin: .15em 0; }
figure { display: inline-block; margin: .5em 1em .5em 0; }
figcaption, small { color: #555; font-size: 8.5pt; }
img { display: block; width: 126px; height: 210px; print-color-adjust: exact; -webkit-print-color-adjust: exact; }
.answer { border-bottom: 1px solid #888; display: inline-block; min-width: 16em; }
.key li { margin: 0 0 .5em; }
footer { margin-top: 1.2em; font-size: 8.5pt; color: #555; }
@page { size: A4; margin: 15mm; }
@media print { body { margin: 0; max-width: none; padding: 0; } }
";

/// The sheet as one page of HTML that needs nothing else; the key begins a sheet of paper of its own.
pub fn html(sheet: &DrillSheet) -> String {
    let title = escaped(&heading(sheet));
    let mut page = format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<title>{title}</title>\n\
         <style>\n{STYLE}</style>\n</head>\n<body>\n<h1>{title}</h1>\n<p>Name: <span class=\"answer\"></span></p>\n"
    );
    if sheet.exercises.iter().any(|row| row.flashes) {
        page.push_str(&format!("<p><b>Caution.</b> {CAUTION}</p>\n"));
    }
    page.push_str("<ol class=\"sheet\">\n");
    for row in &sheet.exercises {
        page.push_str("<li>");
        for line in &row.question {
            page.push_str(&format!("<p>{}</p>\n", escaped(line)));
        }
        for (name, picture) in &row.pictures {
            let alt = format!("Exercise {}, {name}: plan above, front elevation below", row.number);
            page.push_str(&format!(
                "<figure><img alt=\"{alt}\" src=\"data:image/svg+xml,{}\"><figcaption>{name}</figcaption></figure>",
                in_address(picture)
            ));
        }
        if !row.choices.is_empty() {
            page.push_str("<ol class=\"choices\">\n");
            for choice in &row.choices {
                page.push_str(&format!("<li>{}</li>\n", escaped(choice)));
            }
            page.push_str("</ol>\n");
        }
        page.push_str(&format!(
            "<p><small>Answer ({}):</small> <span class=\"answer\"></span></p></li>\n",
            row.answer_form
        ));
    }
    page.push_str("</ol>\n<section class=\"key\">\n<h2>Answer key</h2>\n<ol>\n");
    for row in &sheet.exercises {
        let lines: Vec<String> = row.key.iter().map(|line| escaped(line)).collect();
        page.push_str(&format!("<li>{}</li>\n", lines.join("<br>\n")));
    }
    page.push_str(
        "</ol>\n</section>\n<footer>Any answer that means what is asked is right. Worked out from a profile: where \
         it and the fixture's manual differ, the manual is right.</footer>\n</body>\n</html>\n",
    );
    page
}
