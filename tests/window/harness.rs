//! Draws the window of a test with the program's own software renderer.

use egui_kittest::{SnapshotOptions, TestRenderer};
use slotwright::app::soft::SoftRenderer;

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
