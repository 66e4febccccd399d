//! The reading panel: what it says, and what it asks for.

use egui::{Key, Modifiers, Role, Theme};
use egui_kittest::{Harness, kittest::Queryable as _};
use slotwright::app::reading::{ReadingInput, ReadingState, reading_panel};
use slotwright::app::{Command, theme};

use crate::harness::{SoftTestRenderer, snapshot_options};
use crate::rig::Bench;

struct Panel {
    bench: Bench,
    state: ReadingState,
    dressed: bool,
    theme: Theme,
}

fn panel(bench: Bench, size: [f32; 2]) -> Harness<'static, Panel> {
    themed(bench, size, Theme::Dark)
}

fn themed(bench: Bench, size: [f32; 2], look: Theme) -> Harness<'static, Panel> {
    let state = Panel { bench, state: ReadingState::default(), dressed: false, theme: look };
    let show = |ui: &mut egui::Ui, panel: &mut Panel| {
        if !panel.dressed {
            ui.ctx().set_theme(panel.theme);
            theme::apply(ui.ctx());
            panel.dressed = true;
            return;
        }
        egui::CentralPanel::default().show(ui, |ui| {
            let bench = &panel.bench;
            let input = ReadingInput {
                rig: &bench.rig,
                plan: &bench.plan,
                frames: &bench.frames,
                decoded: &bench.decoded,
                selection: &bench.selection,
            };
            let commands = reading_panel(ui, input, &mut panel.state);
            panel.bench.apply(commands);
        });
    };
    let mut harness = Harness::builder()
        .with_size(size)
        .with_theme(look)
        .renderer(SoftTestRenderer::default())
        .build_ui_state(show, state);
    harness.run();
    harness
}

fn usual() -> Harness<'static, Panel> {
    panel(Bench::usual(), [400.0, 900.0])
}

#[test]
fn look() {
    for (name, look) in [("dark", Theme::Dark), ("light", Theme::Light)] {
        let mut bench = Bench::usual();
        bench.set(1, 22, 14);
        bench.set(1, 21, 70);
        let mut harness = themed(bench, [400.0, 700.0], look);
        harness.run();
        harness.render().unwrap().save(format!("/tmp/reading-{name}.png")).unwrap();
    }
}
