//! The picture and its painters: light, PNG and SVG.

use std::time::Instant;

use glam::Vec2;
use proptest::prelude::*;
use slotwright::stage::picture::{
    AlignH, AlignV, Fill, Glow, Ink, Pane, Picture, Rect, Shape, Stroke, Weight, linear_from_srgb,
    respond, srgb_from_linear,
};
use slotwright::stage::png::{PngError, write_light, write_png};
use slotwright::stage::raster::{LightImage, encode};
use slotwright::stage::svg::{write_svg, write_svg_with_pixels};
use slotwright::stage::text::{anchor, line_heights, text_path, text_width};

const WHITE: [f32; 3] = [1.0; 3];

#[track_caller]
fn assert_near(actual: f32, expected: f32, tolerance: f32, what: &str) {
    assert!((actual - expected).abs() <= tolerance, "{what}: {actual}, expected {expected}");
}

fn rect_outline(x0: f32, y0: f32, x1: f32, y1: f32) -> Vec<Vec2> {
    Rect::new(Vec2::new(x0, y0), Vec2::new(x1, y1)).corners().to_vec()
}

fn lit(glows: &[Glow], width: usize, height: usize) -> LightImage {
    let mut image = LightImage::new();
    image.render(glows, Vec2::ZERO, 1.0, width, height);
    image
}

/// The light of the first channel over the whole image: the lit area in pixels, if the light is 1.
fn total(image: &LightImage) -> f64 {
    (0..image.height())
        .flat_map(|y| (0..image.width()).map(move |x| (x, y)))
        .filter_map(|(x, y)| image.light(x, y))
        .map(|light| f64::from(light[0]))
        .sum()
}

#[test]
fn the_transfer_function_is_that_of_srgb() {
    // IEC 61966-2-1:1999: the straight part ends at 0.0031308, 0.04045; ends map to ends.
    for (linear, encoded) in [(0.0, 0.0), (0.003_130_8, 0.040_45), (1.0, 1.0)] {
        assert_near(srgb_from_linear(linear), encoded, 1e-5, "encoded");
        assert_near(linear_from_srgb(encoded), linear, 1e-5, "linear");
    }
    // An independent implementation.
    for level in 0..=255_u8 {
        let own = Ink::grey(level).linear()[0];
        let other: palette::LinSrgb<f32> = palette::Srgb::new(level, level, level).into_linear();
        assert_near(own, other.red, 1e-5, "linear");
    }
}

#[test]
fn screening_in_linear_light_is_adding_light() {
    let (a, b, behind) = (0.7_f32, 1.9_f32, 0.02_f32);
    let screen = |under: f32, over: f32| 1.0 - (1.0 - under) * (1.0 - over);
    let one = screen(behind, 1.0 - (-a).exp());
    let both = screen(one, 1.0 - (-b).exp());
    assert_near(respond([a + b; 3], [behind; 3])[0], srgb_from_linear(both), 1e-6, "both");
}

#[test]
fn light_that_is_no_number_is_no_light() {
    let behind = [0.1, 0.2, 0.3];
    let plain = respond([0.0; 3], behind);
    assert_eq!(respond([f32::NAN, -1.0, f32::NEG_INFINITY], behind), plain);
    assert_near(respond([f32::INFINITY; 3], behind)[0], 1.0, 1e-6, "endless light");
}

#[test]
fn coverage_of_a_rectangle_is_its_share_of_each_pixel() {
    let image = lit(&[Glow::flat(rect_outline(1.25, 1.5, 3.5, 2.75), WHITE)], 5, 4);
    let share =
        |from: f32, to: f32, at: usize| (to.min(at as f32 + 1.0) - from.max(at as f32)).max(0.0);
    for y in 0..4 {
        for x in 0..5 {
            let expected = share(1.25, 3.5, x) * share(1.5, 2.75, y);
            let light = image.light(x, y).expect("inside");
            assert_near(light[0], expected, 1e-6, &format!("pixel {x}, {y}"));
        }
    }
    assert_eq!(image.light(5, 0), None);
    assert_eq!(image.light(0, 4), None);
}

#[test]
fn light_outside_the_image_is_cut_off_and_the_rest_stays_whole() {
    // The same triangle seen through four windows that share its corner regions.
    let outline = [(-40.0, -10.0), (90.0, 17.0), (3.0, 70.0)].map(Vec2::from).to_vec();
    let glows = [Glow::flat(outline, WHITE)];
    let mut whole = LightImage::new();
    whole.render(&glows, Vec2::splat(-50.0), 1.0, 150, 150);
    let part = lit(&glows, 20, 20);
    for y in 0..20 {
        for x in 0..20 {
            let (a, b) = (part.light(x, y).expect("in"), whole.light(x + 50, y + 50).expect("in"));
            assert_near(a[0], b[0], 1e-4, &format!("pixel {x}, {y}"));
        }
    }
}

#[test]
fn a_gradient_is_straight_between_stops_and_constant_beyond_them() {
    let fill = Fill::Along {
        from: Vec2::new(2.0, 0.0),
        to: Vec2::new(10.0, 0.0),
        stops: vec![(0.0, [1.0, 0.0, 0.0]), (0.5, [0.0, 1.0, 0.0]), (1.0, [0.0, 3.0, 0.0])],
    };
    let reverse = Fill::Along {
        from: Vec2::new(10.0, 0.0),
        to: Vec2::new(2.0, 0.0),
        stops: vec![(0.0, [0.0, 3.0, 0.0]), (0.5, [0.0, 1.0, 0.0]), (1.0, [1.0, 0.0, 0.0])],
    };
    for fill in [fill, reverse] {
        let image = lit(&[Glow { outline: rect_outline(0.0, 0.0, 14.0, 1.0), fill }], 14, 1);
        for x in 0..14 {
            let position = ((x as f32 + 0.5 - 2.0) / 8.0).clamp(0.0, 1.0);
            let expected = if position < 0.5 {
                [1.0 - 2.0 * position, 2.0 * position, 0.0]
            } else {
                [0.0, 1.0 + 4.0 * (position - 0.5), 0.0]
            };
            let light = image.light(x, 0).expect("inside");
            for i in 0..3 {
                assert_near(light[i], expected[i], 1e-5, &format!("pixel {x}, channel {i}"));
            }
        }
    }
}

#[test]
fn a_gradient_without_a_length_has_the_light_of_its_last_stop() {
    let stops = vec![(0.0, [1.0, 0.0, 0.0]), (1.0, [0.0, 0.5, 0.0])];
    for from in [Vec2::ONE, Vec2::splat(f32::NAN), Vec2::splat(f32::INFINITY)] {
        let fill = Fill::Along { from, to: Vec2::ONE, stops: stops.clone() };
        let glow = Glow { outline: rect_outline(0.0, 0.0, 4.0, 4.0), fill };
        assert_eq!(lit(std::slice::from_ref(&glow), 4, 4).light(2, 2), Some([0.0, 0.5, 0.0]));
        let mut picture = Picture::new(Vec2::splat(4.0), Ink::grey(0), "one stop");
        let mut pane = Pane::new(Rect::at(Vec2::ZERO, Vec2::splat(4.0)), Ink::grey(0));
        pane.glows.push(glow);
        picture.panes.push(pane);
        let expected = respond([0.0, 0.5, 0.0], [0.0; 3])[1] * 255.0;
        let level = f32::from(rendered(&write_svg(&picture)).get_pixel(2, 2).0[1]);
        assert_near(level, expected, 2.0, "green in the SVG");
    }
}

#[test]
fn two_beams_add_and_an_outline_wound_twice_does_not() {
    let outline = rect_outline(0.0, 0.0, 4.0, 4.0);
    let two = [Glow::flat(outline.clone(), WHITE), Glow::flat(outline.clone(), [0.5; 3])];
    assert_eq!(lit(&two, 4, 4).light(1, 1), Some([1.5; 3]));
    let twice = [outline.clone(), outline].concat();
    assert_eq!(lit(&[Glow::flat(twice, WHITE)], 4, 4).light(1, 1), Some(WHITE));
}

#[test]
fn a_concave_outline_leaves_its_notch_dark() {
    let outline = [
        (0.0, 0.0),
        (9.0, 0.0),
        (9.0, 9.0),
        (6.0, 9.0),
        (6.0, 3.0),
        (3.0, 3.0),
        (3.0, 9.0),
        (0.0, 9.0),
    ];
    let image = lit(&[Glow::flat(outline.map(Vec2::from).to_vec(), WHITE)], 9, 9);
    assert_eq!(image.light(4, 6), Some([0.0; 3]));
    assert_eq!(image.light(1, 6), Some(WHITE));
    assert_eq!(image.light(8, 8), Some(WHITE));
}

#[test]
fn outlines_that_are_none_give_no_light() {
    let wild = [f32::NAN, f32::INFINITY, f32::NEG_INFINITY];
    let mut glows = vec![
        Glow::flat(Vec::new(), WHITE),
        Glow::flat(vec![Vec2::ZERO, Vec2::ONE], WHITE),
        Glow::flat(rect_outline(0.0, 0.0, 8.0, 8.0), [f32::NAN, -1.0, f32::NEG_INFINITY]),
    ];
    for value in wild {
        glows.push(Glow::flat(rect_outline(0.0, 0.0, value, 4.0), WHITE));
        glows.push(Glow {
            outline: rect_outline(0.0, 0.0, 4.0, 4.0),
            fill: Fill::Along { from: Vec2::ZERO, to: Vec2::ONE, stops: vec![(value, WHITE)] },
        });
    }
    assert_eq!(total(&lit(&glows, 8, 8)), 0.0);
    let huge =
        Glow::flat(rect_outline(-f32::MAX, -f32::MAX, f32::MAX, f32::MAX), [f32::INFINITY; 3]);
    let light = lit(&[huge], 3, 3).light(2, 2).expect("inside");
    assert!(light[0] > 50.0 && light[0].is_finite(), "endless light in a finite image: {light:?}");
}

#[test]
fn encoding_follows_the_response_within_a_level() {
    let background = Ink::rgb(20, 40, 0);
    let glows: Vec<Glow> = (0..200)
        .map(|x| {
            let light = (x as f32 * 0.05).powi(2) * 0.05;
            let x = x as f32;
            Glow::flat(rect_outline(x, 0.0, x + 1.0, 8.0), [light, 0.5 * light, 0.2 * light])
        })
        .collect();
    let image = lit(&glows, 200, 8);
    for dither in [false, true] {
        let mut rgba = Vec::new();
        encode(&image, background, dither, &mut rgba);
        for (at, pixel) in rgba.chunks_exact(4).enumerate() {
            let light = image.light(at % 200, at / 200).expect("inside");
            let exact = respond(light, background.linear());
            for i in 0..3 {
                let bound = if dither { 1.3 } else { 0.8 };
                assert_near(f32::from(pixel[i]), exact[i] * 255.0, bound, "level");
            }
        }
    }
}

#[test]
fn dither_keeps_the_mean_and_leaves_the_dark_alone() {
    let light = 0.0123;
    let image = lit(&[Glow::flat(rect_outline(0.0, 0.0, 32.0, 32.0), [light; 3])], 32, 64);
    let mut rgba = Vec::new();
    encode(&image, Ink::grey(30), true, &mut rgba);
    let (lit, dark) = rgba.split_at(32 * 32 * 4);
    assert!(dark.chunks_exact(4).all(|pixel| pixel == [30, 30, 30, 255]));
    let mean = lit.chunks_exact(4).map(|pixel| f32::from(pixel[0])).sum::<f32>() / 1024.0;
    let exact = respond([light; 3], Ink::grey(30).linear())[0] * 255.0;
    assert_near(mean, exact, 0.2, "mean level");
    let mut again = Vec::new();
    encode(&image, Ink::grey(30), true, &mut again);
    assert_eq!(rgba, again, "the same on every run");
}

proptest! {
    /// The light of a polygon inside the image is its area, by the shoelace formula.
    #[test]
    fn all_light_of_a_triangle_is_kept(points in proptest::collection::vec((0.0_f32..60.0, 0.0_f32..40.0), 3)) {
        let points: Vec<Vec2> = points.into_iter().map(Vec2::from).collect();
        let area = 0.5 * f64::from((points[1] - points[0]).perp_dot(points[2] - points[0])).abs();
        let light = total(&lit(&[Glow::flat(points, WHITE)], 60, 40));
        prop_assert!((light - area).abs() < 0.02, "{light} and {area}");
    }

    /// Nothing that can be written as numbers stops the raster or leaves light that is no number.
    #[test]
    fn no_outline_stops_the_raster(
        points in proptest::collection::vec((any::<f32>(), any::<f32>()), 0..8),
        from in any::<(f32, f32)>(),
        to in any::<(f32, f32)>(),
        stops in proptest::collection::vec((any::<f32>(), any::<[f32; 3]>()), 0..4),
        scale in any::<f32>(),
    ) {
        let outline: Vec<Vec2> = points.into_iter().map(Vec2::from).collect();
        let fill = Fill::Along { from: from.into(), to: to.into(), stops };
        let glows = [Glow { outline, fill }, Glow::flat(rect_outline(0.0, 0.0, 2.0, 2.0), WHITE)];
        let mut image = LightImage::new();
        image.render(&glows, Vec2::ZERO, scale, 9, 7);
        prop_assert!(total(&image).is_finite());
        image.render(&glows[1..], Vec2::ZERO, 1.0, 9, 7);
        prop_assert!((total(&image) - 4.0).abs() < 1e-5, "nothing is left of the outline before");
    }
}

/// Two beams that cross, one with a gradient, over a grey pane in a darker picture.
fn crossing() -> Picture {
    let mut picture = Picture::new(Vec2::new(120.0, 90.0), Ink::grey(10), "two <beams> & more");
    let mut pane = Pane::new(Rect::at(Vec2::splat(10.0), Vec2::new(100.0, 70.0)), Ink::grey(34));
    pane.glows.push(Glow::flat(rect_outline(0.0, 30.0, 200.0, 50.0), [0.9, 0.3, 0.05]));
    pane.glows.push(Glow {
        outline: rect_outline(40.0, -20.0, 70.0, 100.0),
        fill: Fill::Along {
            from: Vec2::new(0.0, 10.0),
            to: Vec2::new(0.0, 80.0),
            stops: vec![(0.0, [0.1, 0.4, 1.6]), (1.0, [0.02, 0.1, 0.3])],
        },
    });
    picture.panes.push(pane);
    picture
}

fn pixels(png: &[u8]) -> image::RgbaImage {
    image::load_from_memory(png).expect("a PNG").to_rgba8()
}

/// The SVG as an independent renderer draws it.
fn rendered(svg: &str) -> image::RgbaImage {
    let options = resvg::usvg::Options::default();
    let tree = resvg::usvg::Tree::from_str(svg, &options).expect("well-formed SVG");
    let size = tree.size().to_int_size();
    let mut pixmap = resvg::tiny_skia::Pixmap::new(size.width(), size.height()).expect("a size");
    resvg::render(&tree, resvg::tiny_skia::Transform::identity(), &mut pixmap.as_mut());
    image::RgbaImage::from_raw(size.width(), size.height(), pixmap.take()).expect("all pixels")
}

#[test]
fn png_shows_the_response_to_the_sum_of_light() {
    let png = pixels(&write_png(&crossing(), 1.0).expect("writes"));
    let behind = Ink::grey(34).linear();
    let (flat, share) = ([0.9, 0.3, 0.05], (40.5 - 10.0) / 70.0);
    let (high, low) = ([0.1, 0.4, 1.6], [0.02, 0.1, 0.3]);
    let along: [f32; 3] = std::array::from_fn(|i| high[i] + (low[i] - high[i]) * share);
    let both = std::array::from_fn(|i| flat[i] + along[i]);
    for (x, y, light) in [(20, 40, flat), (55, 40, both), (20, 20, [0.0; 3])] {
        let expected = respond(light, behind);
        for (level, expected) in png.get_pixel(x, y).0.into_iter().zip(expected) {
            let what = format!("pixel {x}, {y}");
            assert_near(f32::from(level), expected * 255.0, 1.3, &what);
        }
    }
    assert_eq!(png.get_pixel(5, 40).0, [10, 10, 10, 255], "light stays in its pane");
    assert_eq!(png.get_pixel(55, 85).0, [10, 10, 10, 255], "light stays in its pane");
}

#[test]
fn svg_shows_the_same_light_as_png() {
    let png = pixels(&write_png(&crossing(), 1.0).expect("writes"));
    let svg = rendered(&write_svg(&crossing()));
    assert_eq!(png.dimensions(), svg.dimensions());
    for (x, y, pixel) in png.enumerate_pixels() {
        let other = svg.get_pixel(x, y);
        for i in 0..3 {
            // The 256 levels of what is blended are up to three levels on screen in the dark.
            let (a, b) = (f32::from(pixel.0[i]), f32::from(other.0[i]));
            assert_near(b, a, 4.0, &format!("pixel {x}, {y}, channel {i}"));
        }
    }
}

/// Light as pixels lies where the vectors have it, and lines and words stay what they were.
#[test]
fn svg_with_pixels_holds_the_light_of_each_pane_once() {
    let picture = crossing();
    let svg = write_svg_with_pixels(&picture, 0.5);
    assert_eq!(svg.matches("<image ").count(), picture.panes.len());
    for gone in ["linearGradient", "mix-blend-mode", "<filter"] {
        assert!(!svg.contains(gone), "{gone}");
    }
    let encoded = svg.split("base64,").nth(1).and_then(|rest| rest.split('"').next());
    let light = write_light(&picture.panes[0], 0.5).expect("writes");
    assert_eq!(encoded.map(str::len), Some(light.len().div_ceil(3) * 4));
    let (half, size) = (pixels(&light), picture.panes[0].rect.size());
    assert_eq!(half.dimensions(), ((size.x / 2.0) as u32, (size.y / 2.0) as u32));
    let whole = pixels(&write_png(&picture, 1.0).expect("writes"));
    let min = picture.panes[0].rect.min;
    let (x, y) = (half.width() / 2, half.height() / 2);
    let of_whole = whole.get_pixel(min.x as u32 + 2 * x, min.y as u32 + 2 * y);
    for (a, b) in half.get_pixel(x, y).0.into_iter().zip(of_whole.0) {
        assert_near(f32::from(a), f32::from(b), 6.0, "the middle of the pane");
    }
    // What cannot be made pixels of stays vectors.
    assert_eq!(write_svg_with_pixels(&picture, 1e9), write_svg(&picture));
    assert_eq!(write_svg_with_pixels(&picture, f32::NAN), write_svg(&picture));
}

#[test]
fn svg_is_the_same_every_time_and_escapes_what_it_is_given() {
    let mut picture = crossing();
    let at = Vec2::new(60.0, 20.0);
    picture.shapes.push(
        Shape::text(
            at,
            (AlignH::Centre, AlignV::Middle),
            9.0,
            Ink::grey(255),
            "a<b> & \"c\"\u{0}\n",
        )
        .haloed(Ink::grey(0))
        .turned(-90.0),
    );
    picture.shapes.push(Shape::segment(
        Vec2::new(1.0 / 3.0, -0.001),
        at,
        Stroke::dashed(0.5, Ink([255, 0, 0, 51]), 4.0, 2.0),
    ));
    let svg = write_svg(&picture);
    assert_eq!(svg, write_svg(&picture));
    assert!(svg.contains("<title>two &lt;beams&gt; &amp; more</title>"), "{svg}");
    assert!(svg.contains(">a&lt;b&gt; &amp; &quot;c&quot;  </text>"), "{svg}");
    assert!(svg.contains("transform=\"rotate(-90 60 20)\""), "{svg}");
    assert!(svg.contains("points=\"0.33,0 60,20\""), "two decimals, and no -0: {svg}");
    assert!(svg.contains("stroke-opacity=\"0.2\" stroke-width=\"0.5\" stroke-dasharray=\"4 2\""));
    rendered(&svg);
}

#[test]
fn shapes_look_alike_in_png_and_svg() {
    let mut picture = Picture::new(Vec2::new(60.0, 60.0), Ink::grey(250), "shapes");
    let stroke = Stroke::solid(2.0, Ink::rgb(200, 30, 30));
    let fill = Some(Ink([0, 0, 200, 128]));
    picture.shapes = vec![
        Shape::rect(Rect::at(Vec2::splat(5.0), Vec2::splat(20.0)), Some(stroke), fill),
        Shape::circle(Vec2::new(42.0, 15.0), 10.0, Some(stroke), fill),
        Shape::polyline(
            vec![Vec2::new(5.0, 35.0), Vec2::new(30.0, 55.0), Vec2::new(55.0, 35.0)],
            stroke,
        ),
        Shape::segment(
            Vec2::new(5.0, 31.0),
            Vec2::new(55.0, 31.0),
            Stroke::dashed(1.0, stroke.ink, 5.0, 5.0),
        ),
    ];
    let png = pixels(&write_png(&picture, 1.0).expect("writes"));
    let svg = rendered(&write_svg(&picture));
    for (x, y, pixel) in png.enumerate_pixels() {
        for i in 0..4 {
            let (a, b) = (f32::from(pixel.0[i]), f32::from(svg.get_pixel(x, y).0[i]));
            // The two make a circle of other curves, so its edges differ a little.
            assert_near(b, a, 16.0, &format!("pixel {x}, {y}, channel {i}"));
        }
    }
}

#[test]
fn a_png_has_the_scale_asked_for_and_refuses_sizes_without_pixels() {
    let png = pixels(&write_png(&crossing(), 2.5).expect("writes"));
    assert_eq!(png.dimensions(), (300, 225));
    for scale in [0.0, -1.0, f32::NAN, f32::INFINITY, 1e9] {
        let error = write_png(&crossing(), scale).expect_err("no such image");
        assert!(matches!(error, PngError::Size { .. }), "{error}");
        assert!(error.to_string().contains("1 to 16384 pixels"), "{error}");
    }
}

/// The box of the pixels of a text that are not background: left, top, right, bottom.
fn ink_box(text: Shape) -> [u32; 4] {
    let mut picture = Picture::new(Vec2::new(200.0, 100.0), Ink::grey(0), "text");
    picture.shapes.push(text);
    let png = pixels(&write_png(&picture, 1.0).expect("writes"));
    let mut bounds = [u32::MAX, u32::MAX, 0, 0];
    for (x, y, pixel) in png.enumerate_pixels().filter(|(_, _, pixel)| pixel.0[0] > 60) {
        assert_eq!(pixel.0[3], 255);
        bounds = [bounds[0].min(x), bounds[1].min(y), bounds[2].max(x + 1), bounds[3].max(y + 1)];
    }
    bounds
}

#[test]
fn text_lies_where_its_alignment_says() {
    let at = Vec2::new(100.0, 50.0);
    let size = 20.0;
    let text = |h, v| Shape::text(at, (h, v), size, Ink::grey(255), "HH");
    let width = text_width("HH", size, Weight::Regular);
    let close = |a: u32, b: f32| assert_near(a as f32, b, 2.5, "edge of the letters");
    close(ink_box(text(AlignH::Left, AlignV::Baseline))[0], 100.0);
    close(ink_box(text(AlignH::Right, AlignV::Baseline))[2], 100.0);
    let centred = ink_box(text(AlignH::Centre, AlignV::Baseline));
    close(centred[0], 100.0 - 0.5 * width);
    assert_eq!(centred[3], 50, "capitals stand on the baseline");
    let heights = line_heights(size, Weight::Regular);
    let foot = |v| ink_box(text(AlignH::Left, v))[3] as f32;
    assert_near(foot(AlignV::Top), 50.0 + heights.ascent, 1.0, "top");
    assert_near(foot(AlignV::Bottom), 50.0 + heights.ascent - heights.line, 1.0, "bottom");
    assert_near(foot(AlignV::Middle), 50.0 + heights.ascent - 0.5 * heights.line, 1.0, "middle");
    // A quarter turn clockwise makes what ran right run down.
    let turned = ink_box(text(AlignH::Left, AlignV::Baseline).turned(90.0));
    close(turned[1], 50.0);
    close(turned[3], 50.0 + width);
    assert_eq!(turned[0], 100);
}

#[test]
fn a_halo_reaches_beyond_the_letters() {
    let text = Shape::text(
        Vec2::new(100.0, 50.0),
        (AlignH::Left, AlignV::Baseline),
        20.0,
        Ink::grey(255),
        "H",
    );
    let (plain, haloed) = (ink_box(text.clone()), ink_box(text.haloed(Ink::grey(200))));
    assert!(haloed[0] < plain[0] && haloed[1] < plain[1], "{plain:?} and {haloed:?}");
    assert!(haloed[2] > plain[2] && haloed[3] > plain[3], "{plain:?} and {haloed:?}");
}

#[test]
fn every_font_has_its_letters_and_mono_is_monospaced() {
    for weight in [Weight::Regular, Weight::Strong, Weight::Mono] {
        assert!(text_path("Slot 1 · 540°", 12.0, weight).is_some());
        assert!(text_width("Slot", 24.0, weight) > 0.0);
        let (small, large) = (text_width("Slot", 12.0, weight), text_width("Slot", 24.0, weight));
        assert_near(large, 2.0 * small, 1e-3, "width grows with size");
        assert_eq!(text_width("", 12.0, weight), 0.0);
        assert_eq!(text_width("Slot", f32::NAN, weight), 0.0);
    }
    let mono = |text| text_width(text, 12.0, Weight::Mono);
    assert_near(mono("iiii"), mono("WWWW"), 1e-3, "monospaced");
    assert!(
        text_width("AV", 12.0, Weight::Regular)
            < text_width("A", 12.0, Weight::Regular) + text_width("V", 12.0, Weight::Regular),
        "kerned"
    );
    assert_eq!(anchor(9.0, 12.0, Weight::Mono, (AlignH::Left, AlignV::Baseline)), Vec2::ZERO);
    let mut many = String::from("\u{202e}\u{200d}🙂ﷺ\u{fe0f}\u{301}");
    many.push_str(&"字".repeat(500));
    assert!(text_width(&many, 12.0, Weight::Strong).is_finite());
}

/// 200 beams of four nested outlines in a pane of 900 by 700, and the time they take, printed.
#[test]
fn a_stage_full_of_beams_is_drawn() {
    let mut glows = Vec::new();
    for beam in 0..200 {
        let x = 20.0 + 4.3 * beam as f32;
        let lean = 300.0 * (beam as f32 * 0.7).sin();
        for ring in 1..=4 {
            let half = 8.0 * ring as f32;
            let (from, to) = (Vec2::new(x, 40.0), Vec2::new(x + lean, 640.0));
            glows.push(Glow {
                outline: vec![
                    from - Vec2::X,
                    from + Vec2::X,
                    to + Vec2::X * half,
                    to - Vec2::X * half,
                ],
                fill: Fill::Along {
                    from,
                    to,
                    stops: vec![(0.0, [0.1; 3]), (0.3, [0.03; 3]), (1.0, [0.01; 3])],
                },
            });
        }
    }
    let (mut image, mut rgba) = (LightImage::new(), Vec::new());
    image.render(&glows, Vec2::ZERO, 1.0, 900, 700);
    let start = Instant::now();
    image.render(&glows, Vec2::ZERO, 1.0, 900, 700);
    let middle = Instant::now();
    encode(&image, Ink::grey(20), true, &mut rgba);
    println!("render {:?}, encode {:?}", middle - start, middle.elapsed());
    assert_eq!(rgba.len(), 900 * 700 * 4);
    assert!(total(&image) > 10_000.0);
}
