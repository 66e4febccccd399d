//! Pictures as the window paints them.

use egui_kittest::Harness;
use glam::Vec2;
use slotwright::app::canvas::{Canvas, family, install_fonts};
use slotwright::app::soft::SoftRenderer;
use slotwright::stage::picture::{
    AlignH, AlignV, Fill, Glow, Ink, Pane, Picture, Rect, Shape, Stroke, Weight,
};
use slotwright::stage::png::write_png;
use slotwright::stage::text::{line_heights, text_width};

use crate::harness::{SoftTestRenderer, snapshot_options};

const PAPER: Ink = Ink::grey(24);
const LINE: Ink = Ink::grey(190);

/// Two beams that cross, a footprint, and a shape of each kind.
fn demo() -> Picture {
    let mut picture = Picture::new(Vec2::new(220.0, 150.0), Ink::grey(12), "two beams");
    let mut pane = Pane::new(Rect::at(Vec2::splat(10.0), Vec2::new(200.0, 110.0)), PAPER);
    let beam = |x: f32, lean: f32, light: [f32; 3]| Glow {
        outline: [
            (x - 2.0, 20.0),
            (x + 2.0, 20.0),
            (x + lean + 22.0, 130.0),
            (x + lean - 22.0, 130.0),
        ]
        .map(Vec2::from)
        .to_vec(),
        fill: Fill::Along {
            from: Vec2::new(x, 20.0),
            to: Vec2::new(x + lean, 120.0),
            stops: vec![(0.0, light), (1.0, light.map(|value| value * 0.2))],
        },
    };
    pane.glows.push(beam(70.0, 60.0, [1.4, 0.7, 0.05]));
    pane.glows.push(beam(150.0, -60.0, [0.05, 0.5, 1.6]));
    let stroke = Stroke::solid(1.0, LINE);
    pane.shapes = vec![
        Shape::segment(Vec2::new(10.0, 20.5), Vec2::new(210.0, 20.5), stroke),
        Shape::segment(
            Vec2::new(10.0, 100.5),
            Vec2::new(210.0, 100.5),
            Stroke::dashed(1.0, LINE, 6.0, 4.0),
        ),
        Shape::circle(Vec2::new(70.0, 20.0), 6.0, Some(stroke), Some(Ink::grey(60))),
        Shape::circle(Vec2::new(150.0, 20.0), 6.0, Some(stroke), Some(Ink::grey(60))),
        Shape::text(
            Vec2::new(110.0, 60.0),
            (AlignH::Centre, AlignV::Middle),
            13.0,
            Ink::grey(235),
            "Beams add",
        )
        .haloed(Ink([0, 0, 0, 160])),
    ];
    picture.panes.push(pane);
    picture.shapes.push(
        Shape::text(
            Vec2::new(12.0, 145.0),
            (AlignH::Left, AlignV::Bottom),
            14.0,
            LINE,
            "Plan, 1:100",
        )
        .weighing(Weight::Strong),
    );
    picture.shapes.push(
        Shape::text(
            Vec2::new(208.0, 145.0),
            (AlignH::Right, AlignV::Bottom),
            12.0,
            LINE,
            "12.50 m",
        )
        .weighing(Weight::Mono),
    );
    picture
}

struct State {
    canvas: Canvas,
    picture: Picture,
}

fn harness(picture: Picture) -> Harness<'static, State> {
    let size = picture.size;
    let mut ready = false;
    let mut harness = Harness::builder()
        .with_size([size.x + 16.0, size.y + 16.0])
        .renderer(SoftTestRenderer::default())
        .build_ui_state(
            move |ui, state: &mut State| {
                if !ready {
                    // Fonts that are set now are there from the next frame on.
                    install_fonts(ui);
                    ready = true;
                    ui.request_repaint();
                    return;
                }
                let corner = egui::pos2(8.0, 8.0);
                let painter = ui.painter().with_clip_rect(egui::Rect::EVERYTHING);
                state.canvas.paint(&painter, corner, &state.picture);
            },
            State { canvas: Canvas::new(), picture },
        );
    harness.run();
    harness
}

#[test]
fn a_picture_looks_like_its_snapshot() {
    harness(demo()).snapshot_options("canvas", &snapshot_options());
}

#[test]
fn the_window_and_the_png_show_the_same_picture() {
    let mut harness = harness(demo());
    let window = harness.render().expect("the window draws");
    let png = write_png(&demo(), 1.0).expect("the demo has a size");
    let png = image::load_from_memory(&png).expect("a PNG").to_rgba8();
    for (x, y) in (0..png.width()).flat_map(|x| (68..98).map(move |y| (x, y))) {
        let (light, shown) = (png.get_pixel(x, y).0, window.get_pixel(x + 8, y + 8).0);
        let off = (0..3).map(|i| light[i].abs_diff(shown[i])).max();
        assert!(off <= Some(1), "at {x}, {y}: {light:?} in the PNG, {shown:?} in the window");
    }
    // Letters are hinted in the window and not in the PNG, so their edges differ, not their places.
    for (name, left, right) in [("title", 0, 110), ("scale", 110, 220)] {
        let place = egui::Rect::from_min_max(
            egui::pos2(left as f32, 124.0),
            egui::pos2(right as f32, 150.0),
        );
        let drawn = centre_of_brightness(&png, place);
        let shown = centre_of_brightness(&window, place.translate(egui::Vec2::splat(8.0)));
        let off = shown - drawn - egui::Vec2::splat(8.0);
        assert!(off.length() < 0.5, "{name}: {drawn:?} in the PNG, {shown:?} in the window");
    }
}

fn centre_of_brightness(image: &image::RgbaImage, place: egui::Rect) -> egui::Vec2 {
    let (mut sum, mut weight) = (egui::Vec2::ZERO, 0.0);
    for (x, y, pixel) in image.enumerate_pixels() {
        let at = egui::pos2(x as f32 + 0.5, y as f32 + 0.5);
        if place.contains(at) {
            let bright = f32::from(pixel.0[1].saturating_sub(12));
            sum += at.to_vec2() * bright;
            weight += bright;
        }
    }
    sum / weight
}

#[test]
fn light_is_worked_out_only_when_it_changes() {
    let mut harness = harness(demo());
    let first = harness.state().canvas.renders();
    assert_eq!(first, 1);
    harness.run_steps(5);
    harness.state_mut().picture.panes[0].shapes.clear();
    harness.run_steps(2);
    assert_eq!(harness.state().canvas.renders(), first, "neither frames nor shapes change light");
    harness.state_mut().picture.panes[0].glows[0].outline[0].x += 1.0;
    harness.run_steps(2);
    assert_eq!(harness.state().canvas.renders(), first + 1, "a moved beam changes it once");
}

#[test]
fn shapes_that_cannot_be_drawn_are_left_out() {
    let mut picture = demo();
    let ink = Ink::grey(255);
    let wild = [f32::NAN, f32::INFINITY, 1e30];
    for value in wild {
        let stroke = Stroke::dashed(1.0, ink, 1.0, 1.0);
        let far = vec![Vec2::ZERO, Vec2::splat(value)];
        picture.panes[0].shapes.push(Shape::polyline(far.clone(), stroke));
        picture.panes[0].shapes.push(Shape::circle(Vec2::ZERO, value, Some(stroke), None));
        picture.panes[0].shapes.push(Shape::text(
            far[1],
            (AlignH::Left, AlignV::Top),
            value,
            ink,
            "\n\t",
        ));
        picture.panes[0].glows.push(Glow::flat(vec![far[1]; 4], [value; 3]));
        picture.panes.push(Pane::new(Rect::new(Vec2::ZERO, far[1]), PAPER));
    }
    harness(picture).render().expect("the rest is drawn");
}

#[test]
fn text_is_as_wide_in_the_window_as_in_a_file() {
    let harness = harness(demo());
    for (weight, words) in [
        (Weight::Regular, "AVATAR To Wa 16-bit, 540°"),
        (Weight::Strong, "Tarnfell S1 Spot"),
        (Weight::Mono, "0x80 -> 270.00"),
        (Weight::Regular, "→ ✓ mixed ◆"),
    ] {
        let size = 13.0;
        let font = egui::FontId::new(size, family(weight));
        let galley = harness.ctx.fonts_mut(|fonts| {
            fonts.layout_no_wrap(String::from(words), font, egui::Color32::WHITE)
        });
        let width = text_width(words, size, weight);
        assert!(
            (galley.size().x - width).abs() < 0.6,
            "`{words}`: {} and {width}",
            galley.size().x
        );
        let line = line_heights(size, weight).line;
        assert!((galley.size().y - line).abs() < 0.6, "`{words}`: {} and {line}", galley.size().y);
    }
}

/// Two triangles that make a square, half clear.
fn square(renderer: &SoftRenderer) -> egui::ColorImage {
    let mut mesh = egui::Mesh::default();
    let half = egui::Color32::from_rgba_premultiplied(100, 0, 0, 128);
    mesh.add_colored_rect(
        egui::Rect::from_min_max(egui::pos2(1.0, 1.0), egui::pos2(5.0, 5.0)),
        half,
    );
    let clip_rect = egui::Rect::from_min_max(egui::pos2(0.0, 0.0), egui::pos2(4.0, 9.0));
    let primitive = egui::epaint::Primitive::Mesh(mesh);
    let primitives = [egui::ClippedPrimitive { clip_rect, primitive }];
    renderer.render(&primitives, [8, 8], 1.0, egui::Color32::WHITE)
}

fn with_white_texture() -> SoftRenderer {
    let mut renderer = SoftRenderer::new();
    let mut delta = egui::TexturesDelta::default();
    let white = egui::ColorImage::filled([2, 2], egui::Color32::WHITE);
    let change = egui::epaint::ImageDelta::full(white, egui::TextureOptions::LINEAR);
    delta.push(egui::TextureId::default(), change);
    renderer.update(&mut delta);
    renderer
}

#[test]
fn the_software_renderer_blends_each_pixel_once_and_clips() {
    let image = square(&with_white_texture());
    // 100 + 255 * (1 - 128 / 255) = 227 and 127: premultiplied blending, worked by hand.
    let blended = egui::Color32::from_rgb(227, 127, 127);
    for y in 0..8 {
        for x in 0..8 {
            let inside = (1..4).contains(&x) && (1..5).contains(&y);
            let expected = if inside { blended } else { egui::Color32::WHITE };
            assert_eq!(image.pixels[y * 8 + x], expected, "pixel {x}, {y}");
        }
    }
}

#[test]
fn the_software_renderer_leaves_out_what_has_no_texture() {
    let image = square(&SoftRenderer::new());
    assert!(image.pixels.iter().all(|pixel| *pixel == egui::Color32::WHITE));
}
