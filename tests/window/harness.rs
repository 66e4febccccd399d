//! Shows one panel of the window, and draws it with the program's own software renderer.

use egui::{Theme, Ui};
use egui_kittest::{Harness, SnapshotOptions, TestRenderer};
use slotwright::app::soft::SoftRenderer;
use slotwright::app::theme;

use crate::rig::Bench;

/// [`SoftRenderer`] as the test harness wants it.
#[derive(Default)]
pub struct SoftTestRenderer(SoftRenderer);

impl TestRenderer for SoftTestRenderer {
    fn handle_delta(&mut self, delta: &mut egui::TexturesDelta) {
        self.0.update(delta);
    }

    fn render(
        &mut self,
        ctx: &egui::Context,
        output: &egui::FullOutput,
    ) -> Result<image::RgbaImage, String> {
        let pixels_per_point = output.pixels_per_point;
        let size = (ctx.content_rect().size() * pixels_per_point).round();
        let primitives = ctx.tessellate(output.shapes.clone(), pixels_per_point);
        let size_px = [size.x as usize, size.y as usize];
        let image = self.0.render(&primitives, size_px, pixels_per_point, egui::Color32::BLACK);
        image::RgbaImage::from_raw(size.x as u32, size.y as u32, image.as_raw().to_vec())
            .ok_or_else(|| String::from("the image has another size than the window"))
    }
}

/// Keeps the pictures of window tests beside the tests.
pub fn snapshot_options() -> SnapshotOptions {
    SnapshotOptions::new().output_path("tests/window/snapshots")
}

/// One panel and the rig that it shows.
pub struct Panel<S> {
    pub bench: Bench,
    pub state: S,
    theme: Theme,
    dressed: bool,
}

/// A panel alone in a window of this size; `show` shows it and does what it asks for.
pub fn panel_of<S: Default + 'static>(
    bench: Bench,
    size: [f32; 2],
    look: Theme,
    show: fn(&mut Ui, &mut Bench, &mut S),
) -> Harness<'static, Panel<S>> {
    let state = Panel { bench, state: S::default(), theme: look, dressed: false };
    let show = move |ui: &mut Ui, panel: &mut Panel<S>| {
        if !panel.dressed {
            ui.ctx().set_theme(panel.theme);
            theme::apply(ui.ctx());
            panel.dressed = true;
            return;
        }
        egui::CentralPanel::default().show(ui, |ui| show(ui, &mut panel.bench, &mut panel.state));
    };
    let mut harness = Harness::builder()
        .with_size(size)
        .with_theme(look)
        .renderer(SoftTestRenderer::default())
        .build_ui_state(show, state);
    harness.run();
    harness
}
