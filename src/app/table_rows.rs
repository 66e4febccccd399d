//! What was made of a channel table, as rows: what has to be looked at comes first.

use egui::{Label, RichText, ScrollArea, Sense, Ui, vec2};

use super::theme::{Palette, number, severity_mark, small_strong};
use crate::finding::Severity;
use crate::profile::table::{Confidence, Draft, RangeEntry, TableReport, Use};

/// Height of a row, in points.
const ROW: f32 = 20.0;

/// Width of what a row is trusted with, in points.
const TRUST: f32 = 116.0;
/// Width of the line number, in points.
const LINE: f32 = 36.0;
/// Width of the values, in points.
const VALUES: f32 = 84.0;
/// Space between two columns, in points.
const GAP: f32 = 10.0;

/// One row, as a place in the report.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Row {
    Range(usize),
    Line(usize),
    Assumed(usize),
}

/// What kind of row it is; the order is the order in which they are shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Kind {
    /// A range that has to be looked at.
    Unsure,
    /// A line that was not understood.
    NotUnderstood,
    /// What the table does not say.
    Assumed,
    /// A range that is likely right.
    Likely,
    /// A line that was read as the rest of the one before.
    Joined,
    /// A line that was left out on purpose.
    LeftOut,
    /// A range that is right.
    Sure,
}

impl Kind {
    const ALL: [Self; 7] = [
        Self::Unsure,
        Self::NotUnderstood,
        Self::Assumed,
        Self::Likely,
        Self::Joined,
        Self::LeftOut,
        Self::Sure,
    ];

    fn word(self) -> &'static str {
        match self {
            Self::Unsure => Confidence::Unsure.word(),
            Self::NotUnderstood => "not understood",
            Self::Assumed => "assumed",
            Self::Likely => Confidence::Likely.word(),
            Self::Joined => "joined",
            Self::LeftOut => "left out",
            Self::Sure => Confidence::Sure.word(),
        }
    }

    /// The mark before its word; what is sure has none.
    fn severity(self) -> Option<Severity> {
        match self {
            Self::Unsure | Self::NotUnderstood => Some(Severity::Warning),
            Self::Assumed | Self::Likely => Some(Severity::Note),
            Self::Joined | Self::LeftOut | Self::Sure => None,
        }
    }

    fn tip(self) -> &'static str {
        match self {
            Self::Unsure => "Ranges that have to be looked at",
            Self::NotUnderstood => "Lines that nothing was made of",
            Self::Assumed => "What the table does not say and the draft had to have",
            Self::Likely => "Ranges that are likely right",
            Self::Joined => "Lines that were read as the rest of the one before",
            Self::LeftOut => "Lines that were left out on purpose",
            Self::Sure => "Ranges that say plainly what they do",
        }
    }
}

/// The rows of a report in the order in which they are shown.
#[derive(Debug, Default)]
pub(super) struct TableRows(Vec<(Kind, Row)>);

impl TableRows {
    /// Puts what has to be looked at first, and each kind in the order of the table.
    pub(super) fn new(report: &TableReport) -> Self {
        let kind = |entry: &RangeEntry| match entry.confidence {
            Confidence::Unsure => Kind::Unsure,
            Confidence::Likely => Kind::Likely,
            Confidence::Sure => Kind::Sure,
        };
        let ranges = report.ranges.iter().map(kind).enumerate();
        let ranges = ranges.map(|(i, kind)| (kind, Row::Range(i)));
        let lines = report.lines.iter().enumerate().filter_map(|(i, line)| match line.used {
            Use::NotUnderstood(_) => Some((Kind::NotUnderstood, Row::Line(i))),
            Use::Continued => Some((Kind::Joined, Row::Line(i))),
            Use::Ignored(_) => Some((Kind::LeftOut, Row::Line(i))),
            _ => None,
        });
        let assumed = (0..report.assumed.len()).map(|i| (Kind::Assumed, Row::Assumed(i)));
        let mut rows: Vec<_> = ranges.chain(lines).chain(assumed).collect();
        // Stable: what is of one kind stays in the order of the table.
        rows.sort_by_key(|(kind, _)| *kind);
        Self(rows)
    }

    fn count(&self, kind: Kind) -> usize {
        self.0.iter().filter(|(known, _)| *known == kind).count()
    }
}

/// Draws the rows of one kind, or all, and the choice between them. Only what can be seen is laid out.
pub(super) fn table_rows(ui: &mut Ui, rows: &TableRows, draft: &Draft, only: &mut Option<Kind>) {
    filter(ui, rows, draft, only);
    let shown: Vec<(Kind, Row)> =
        rows.0.iter().filter(|(kind, _)| only.is_none_or(|only| only == *kind)).copied().collect();
    let widths = Widths::new(ui.available_width() - ui.spacing().scroll.bar_width - GAP);
    ui.spacing_mut().item_spacing = vec2(GAP, 0.0);
    ui.horizontal(|ui| {
        let words = ["trust", "line", "channel", "values", "does", "why"];
        for (words, width) in words.into_iter().zip(widths.all()) {
            cell(ui, width, RichText::new(words).font(small_strong()));
        }
    });
    let area = ScrollArea::vertical().id_salt("table rows").auto_shrink(false);
    area.show_rows(ui, ROW, shown.len(), |ui, visible| {
        for (kind, row) in &shown[visible] {
            ui.horizontal(|ui| one_row(ui, &widths, *kind, *row, &draft.report));
        }
    });
}

/// How many rows there are of each kind; a click shows these alone.
fn filter(ui: &mut Ui, rows: &TableRows, draft: &Draft, only: &mut Option<Kind>) {
    ui.horizontal_wrapped(|ui| {
        let all = format!("{} ranges", draft.report.ranges.len());
        let tip = "Show every row; what has to be looked at comes first";
        if ui.selectable_label(only.is_none(), all).on_hover_text(tip).clicked() {
            *only = None;
        }
        for kind in Kind::ALL {
            let count = rows.count(kind);
            if count == 0 {
                // What was chosen has gone with the rows that it showed.
                if *only == Some(kind) {
                    *only = None;
                }
                continue;
            }
            let words = format!("{count} {}", kind.word());
            let chosen = *only == Some(kind);
            if ui.selectable_label(chosen, words).on_hover_text(kind.tip()).clicked() {
                *only = if chosen { None } else { Some(kind) };
            }
        }
    });
}

/// Widths of the columns that share what the others leave, in points.
struct Widths {
    channel: f32,
    does: f32,
    why: f32,
}

impl Widths {
    fn new(width: f32) -> Self {
        let rest = (width - TRUST - LINE - VALUES - 5.0 * GAP).max(180.0);
        let channel = (rest * 0.24).min(180.0);
        let does = (rest - channel) * 0.42;
        Self { channel, does, why: rest - channel - does }
    }

    fn all(&self) -> [f32; 6] {
        [TRUST, LINE, self.channel, VALUES, self.does, self.why]
    }
}

fn one_row(ui: &mut Ui, widths: &Widths, kind: Kind, row: Row, report: &TableReport) {
    let palette = Palette::of(ui.visuals());
    trust(ui, kind, &palette);
    match row {
        Row::Range(i) => {
            let entry = &report.ranges[i];
            let (from, to) = entry.values();
            cell(ui, LINE, RichText::new(entry.line.to_string()).font(number()));
            cell(ui, widths.channel, RichText::new(entry.channel_words()));
            cell(ui, VALUES, RichText::new(format!("{from}..{to}")).font(number()));
            cell(ui, widths.does, RichText::new(does(entry)));
            cell(ui, widths.why, RichText::new(&entry.why));
        }
        Row::Line(i) => {
            let line = &report.lines[i];
            cell(ui, LINE, RichText::new(line.line.to_string()).font(number()));
            let width = widths.channel + VALUES + widths.does + 2.0 * GAP;
            cell(ui, width, RichText::new(&line.text).color(palette.weak_text));
            let why = match kind {
                Kind::Joined => "it goes on from the line before",
                _ => line.used.reason(),
            };
            cell(ui, widths.why, RichText::new(why));
        }
        Row::Assumed(i) => {
            cell(ui, LINE, RichText::new(""));
            let width = widths.channel + VALUES + widths.does + widths.why + 3.0 * GAP;
            cell(ui, width, RichText::new(&report.assumed[i]));
        }
    }
}

/// What a range does. The manual's own words say more than a slot's number, or that something is not
/// known.
fn does(entry: &RangeEntry) -> String {
    let label = entry.range.label.as_str();
    let words = entry.effect_words();
    match entry.physical() {
        None if !label.is_empty() => format!("{words}: {label}"),
        _ => words,
    }
}

/// How far a row can be trusted: a shape and a word.
fn trust(ui: &mut Ui, kind: Kind, palette: &Palette) {
    ui.allocate_ui(vec2(TRUST, ROW), |ui| {
        ui.set_min_size(vec2(TRUST, ROW));
        ui.horizontal_centered(|ui| {
            ui.spacing_mut().item_spacing.x = 6.0;
            let (mark, _) = ui.allocate_exact_size(vec2(10.0, ROW), Sense::hover());
            if let Some(severity) = kind.severity() {
                severity_mark(ui.painter(), severity, mark.center(), 8.0, palette);
            }
            let ink = if kind == Kind::LeftOut { palette.weak_text } else { palette.text };
            ui.label(RichText::new(kind.word()).color(ink));
        });
    });
}

/// A cell of a row. What is too long for it is shown whole while the pointer is on it.
fn cell(ui: &mut Ui, width: f32, words: RichText) {
    let layout = egui::Layout::left_to_right(egui::Align::Center);
    ui.allocate_ui_with_layout(vec2(width, ROW), layout, |ui| {
        ui.set_min_size(vec2(width, ROW));
        ui.add(Label::new(words).truncate());
    });
}
