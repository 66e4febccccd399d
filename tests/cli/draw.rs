//! `slotwright draw`.

use std::collections::HashSet;

use image::RgbaImage;

use crate::harness::Bench;

#[track_caller]
fn png(bench: &Bench, name: &str) -> RgbaImage {
    image::open(bench.path(name)).unwrap().into_rgba8()
}

/// The sum of all channels of all pixels, as a measure of light.
fn light(picture: &RgbaImage) -> u64 {
    picture.pixels().map(|pixel| pixel.0[..3].iter().map(|c| u64::from(*c)).sum::<u64>()).sum()
}

#[test]
fn a_png_shows_the_stage_and_its_light() {
    let bench = Bench::new();
    let args = ["draw", "show.ron", "--out", "stage.png", "--size", "500x400"];
    let ran = bench.run(&args).code(0).quiet();
    ran.out(&["wrote stage.png (500x400): Test barn: look \"Both on\""]);
    let lit = png(&bench, "stage.png");
    assert_eq!(lit.dimensions(), (500, 400));
    let colours: HashSet<_> = lit.pixels().map(|pixel| pixel.0).collect();
    assert!(colours.len() > 50, "{} colours only", colours.len());
    let mut dark = args.to_vec();
    dark.extend(["--slot", "1/15=0", "--slot", "2/5=0"]);
    bench.run(&dark).code(0);
    assert!(light(&png(&bench, "stage.png")) < light(&lit));
}

#[test]
fn exposure_and_haze_change_the_light_and_a_marked_fixture_shows() {
    let bench = Bench::new();
    let draw = |more: &[&str]| {
        let mut args = vec!["draw", "show.ron", "--out", "a.png", "--size", "400x300"];
        args.extend(more);
        bench.run(&args).code(0);
        png(&bench, "a.png")
    };
    let plain = draw(&[]);
    assert!(light(&draw(&["--exposure", "2"])) > light(&plain));
    assert!(light(&draw(&["--exposure", "-2"])) < light(&plain));
    assert!(light(&draw(&["--haze", "20"])) > light(&plain));
    assert!(draw(&["--fixture", "7"]) != plain);
    assert!(draw(&[]) == plain, "the same stage gives the same picture");
}

#[test]
fn every_view_is_drawn_as_well_formed_svg() {
    let bench = Bench::new();
    for view in ["plan", "front", "side", "sheet"] {
        let args = ["draw", "show.ron", "--view", view, "--out", "stage.SVG", "--size", "640x480"];
        bench.run(&args).code(0).quiet();
        let text = std::fs::read_to_string(bench.path("stage.SVG")).unwrap();
        let options = resvg::usvg::Options::default();
        let tree = resvg::usvg::Tree::from_str(&text, &options).unwrap();
        assert_eq!((tree.size().width(), tree.size().height()), (640.0, 480.0));
        assert!(text.contains("Test barn"), "the title is there");
    }
}

#[test]
fn the_demo_show_is_drawn_where_no_show_is_named() {
    let bench = Bench::new();
    bench.run(&["draw", "--out", "stage.png"]).code(0).quiet().out(&["wrote stage.png (1280x960)"]);
    assert_eq!(png(&bench, "stage.png").dimensions(), (1280, 960));
}

#[test]
fn a_picture_that_cannot_be_made_is_told_before_anything_is_written() {
    let bench = Bench::new();
    std::fs::create_dir(bench.path("folder.png")).unwrap();
    for (args, code, part) in [
        (&["draw", "show.ron", "--out", "stage.jpg"][..], 2, "end its name in .svg or .png"),
        (&["draw", "show.ron", "--out", "stage"], 2, "end its name in .svg or .png"),
        (&["draw", "show.ron"], 2, "--out <FILE>"),
        (&["draw", "show.ron", "--out", "a.png", "--size", "0x10"], 2, "each side has 16..8192"),
        (
            &["draw", "show.ron", "--out", "a.png", "--size", "99999x99999"],
            2,
            "each side has 16..8192",
        ),
        (&["draw", "show.ron", "--out", "a.png", "--size", "big"], 2, "like 1920x1080"),
        (&["draw", "show.ron", "--out", "a.png", "--exposure", "NaN"], 2, "a number of stops"),
        (&["draw", "show.ron", "--out", "a.png", "--haze", "-1"], 2, "--haze"),
        (&["draw", "show.ron", "--out", "a.png", "--view", "top"], 2, "possible values: plan"),
        (&["draw", "show.ron", "--out", "a.png", "--fixture", "1"], 2, "has no fixture `1`"),
        (&["draw", "nowhere.ron", "--out", "a.png"], 1, "nowhere.ron: error"),
        (&["draw", "show.ron", "--out", "nowhere/a.png"], 1, "nowhere/a.png: error"),
        (&["draw", "show.ron", "--out", "folder.png"], 1, "folder.png: error"),
    ] {
        let ran = bench.run(args).code(code).err(&[part]);
        assert!(ran.out.is_empty(), "{ran}");
        assert!(!bench.path("a.png").exists(), "{ran}");
    }
    let left: Vec<_> =
        std::fs::read_dir(bench.path(".")).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert_eq!(left.len(), 3, "nothing is left lying about: {left:?}");
}
