//! `slotwright sweep`.

use crate::harness::Bench;

#[test]
fn each_range_is_a_line_with_its_ends_and_whether_there_is_light() {
    let ran = Bench::new().run(&["sweep", "head.ron", "--channel", "Shutter"]).code(0);
    let lines: Vec<Vec<&str>> =
        ran.out.lines().map(|line| line.split_whitespace().collect()).collect();
    assert_eq!(lines[0].join(" "), "Neutral ROWAN-6, mode six: Shutter, slot 4");
    assert_eq!(lines[3], ["0..31", "15", "dark", "closed"]);
    assert_eq!(lines[4], ["32..63", "47", "lit", "open"]);
    let strobe = "64..95 79 lit strobe, slow to fast 1.00 Hz to 20.00 Hz";
    assert_eq!(lines[5].join(" "), strobe);
    assert_eq!(lines[6][..5], ["96..255", "175", "lit", "not", "in"]);
}

#[test]
fn the_page_has_a_picture_a_range_and_needs_nothing_else() {
    let bench = Bench::new();
    let line = ["sweep", "Tarnfell S1 Spot", "--mode", "full", "--channel", "colour wheel"];
    bench.run(&[&line[..], &["--out", "colours.html"]].concat()).code(0).quiet();
    let page = std::fs::read_to_string(bench.path("colours.html")).unwrap();
    assert!(page.starts_with("<!DOCTYPE html>"));
    let pictures = page.matches("src=\"data:image/svg+xml,%3Csvg").count();
    assert_eq!(pictures, page.matches("<li>").count());
    assert!(pictures > 8, "{pictures} ranges");
    assert!(
        !page.contains("http:") || page.matches("http").count() == pictures,
        "no address but SVG's"
    );
}

#[test]
fn channels_of_shipped_heads_can_be_swept() {
    let bench = Bench::new();
    for (profile, mode, channel) in [
        ("Tarnfell S1 Spot", "full", "Pan"),
        ("Tarnfell S1 Spot", "full", "Control"),
        ("Ockerwick W19 Wash", "extended", "Red"),
    ] {
        bench.run(&["sweep", profile, "--mode", mode, "--channel", channel]).code(0).quiet();
    }
}

#[test]
fn a_channel_that_is_not_there_is_wrong_usage() {
    let bench = Bench::new();
    bench
        .run(&["sweep", "head.ron", "--channel", "Shuter"])
        .code(2)
        .err(&["did you mean `Shutter`?"]);
    bench.run(&["sweep", "none.ron", "--channel", "Shutter"]).code(1);
    bench.run(&["sweep", "--help"]).code(0).out(&["slotwright sweep my-head.ron"]);
}
