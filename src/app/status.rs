//! The line at the bottom: what the pointer is over on the stage, and what was said last.

use egui::{Layout, RichText, Sense, Ui, vec2};

use super::bench::Page;
use super::keys::Action;
use super::lists::LightWords;
use super::signal::cut_words;
use super::stage_panel::Under;
use super::state::State;
use super::theme::{Palette, number, severity_mark};
use crate::finding::Severity;
use crate::stage::ViewKind;

/// How many fixtures' shares of the light the line itself names; its tooltip names all.
const SHARES: usize = 3;

/// Draws the line.
pub fn status_line(ui: &mut Ui, state: &mut State) {
    ui.horizontal_centered(|ui| {
        message(ui, state);
        ui.with_layout(Layout::right_to_left(egui::Align::Center), |ui| {
            let state = match &state.bench {
                Some(bench) if state.page == Page::Bench => &bench.head,
                _ => &*state,
            };
            if let Some(under) = &state.stage.under {
                let words = RichText::new(light_words(state, under)).font(number());
                ui.label(words).on_hover_text(all_shares(state, under));
            } else {
                ui.weak("Point at the stage to read the light there, in lux.");
            }
            if let Some(hovered) = state.stage.hovered {
                ui.separator();
                let name = fixture_name(state, hovered);
                ui.label(format!("{name}: {}", LightWords::of(&state.scene, hovered).spoken));
            }
        });
    });
}

fn message(ui: &mut Ui, state: &mut State) {
    let busy = state.jobs.noticeable().map(|(words, can)| (words.to_owned(), can));
    if let Some((words, cancellable)) = busy {
        ui.spinner();
        ui.label(format!("{words}\u{2026}"));
        if cancellable && ui.small_button("Cancel").clicked() {
            state.jobs.cancel();
        }
        return;
    }
    match (&state.status, cut_words(state)) {
        (Some(status), _) => said(ui, status.severity, &status.words),
        (None, Some(words)) => said(ui, Severity::Warning, &words),
        (None, None) => hint(ui, state),
    }
}

fn said(ui: &mut Ui, severity: Severity, words: &str) {
    let palette = Palette::of(ui.visuals());
    if severity != Severity::Note {
        let (rect, _) = ui.allocate_exact_size(vec2(10.0, 12.0), Sense::hover());
        severity_mark(ui.painter(), severity, rect.center(), 9.0, &palette);
    }
    ui.add(egui::Label::new(words).truncate());
}

/// What to try next, as long as nothing else is to be said.
fn hint(ui: &mut Ui, state: &State) {
    let keys = Action::Keys.key_words(ui.ctx());
    if state.page == Page::Bench {
        let back = Action::Bench.key_words(ui.ctx());
        let words = format!(
            "Drag a boundary, or click a range to try it. {back}: back to the stage. {keys}: all keys."
        );
        ui.add(egui::Label::new(RichText::new(words).weak()).truncate());
        return;
    }
    let words = match (state.show().rig.is_empty(), state.selection.is_empty()) {
        (true, _) => format!("Open a show or drop one here. {keys}: all keys."),
        (_, true) => format!("Click a fixture or its beam to read it. {keys}: all keys."),
        (_, false) => format!(
            "Drag a ruler and watch the beam. {}: next look. {keys}: all keys.",
            Action::NextLook.key_words(ui.ctx()),
        ),
    };
    ui.add(egui::Label::new(RichText::new(words).weak()).truncate());
}

fn fixture_name(state: &State, fixture: usize) -> String {
    let known = state.show().rig.get(fixture);
    known.map_or_else(String::new, |known| format!("{} {}", known.id, known.label))
}

/// Where the pointer is, and the light there: `floor  x 1.20  y 3.40 m   812 lx  (101: 640, 102: 172)`.
fn light_words(state: &State, under: &Under) -> String {
    let point = under.point;
    let place = match under.kind {
        ViewKind::Plan => format!("floor  x {:.2}  y {:.2} m", point.x, point.y),
        ViewKind::Front => format!("back wall  x {:.2}  z {:.2} m", point.x, point.z),
        ViewKind::Side => format!("left wall  y {:.2}  z {:.2} m", point.y, point.z),
    };
    let mut words = format!("{place}   {}", lux_words(under.total_lx()));
    if under.shares.len() > 1 {
        let known = under.shares.iter().take(SHARES).filter_map(|(fixture, lux)| {
            Some(format!("{}: {}", state.show().rig.get(*fixture)?.id, figure(*lux)))
        });
        let named: Vec<_> = known.collect();
        let more = if under.shares.len() > SHARES { ", \u{2026}" } else { "" };
        words.push_str(&format!("  ({}{more})", named.join(", ")));
    }
    words
}

fn all_shares(state: &State, under: &Under) -> String {
    if under.shares.is_empty() {
        return "No beam reaches this point.".to_owned();
    }
    let share = |(fixture, lux): &(usize, f64)| {
        format!("{}  {}", lux_words(*lux), fixture_name(state, *fixture))
    };
    let lines: Vec<_> = under.shares.iter().map(share).collect();
    format!("{} in all\n{}", lux_words(under.total_lx()), lines.join("\n"))
}

fn lux_words(lux: f64) -> String {
    format!("{} lx", figure(lux))
}

/// Illuminance to a tenth below 10 lx, and in whole lux above.
fn figure(lux: f64) -> String {
    match lux {
        lux if lux < 0.05 => "0".to_owned(),
        lux if lux < 10.0 => format!("{lux:.1}"),
        lux => format!("{lux:.0}"),
    }
}
