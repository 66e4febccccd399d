//! `slotwright guide`.

use crate::harness::Bench;

#[test]
fn the_pages_are_listed_and_printed() {
    let bench = Bench::new();
    bench.run(&["guide"]).code(0).quiet().out(&["shutters", "Shutters, and why a head is dark"]);
    let page = bench.run(&["guide", "coarse-fine"]).code(0).quiet();
    page.out(&["16 bits: coarse and fine\n=====", "170 × 256 + 85 = 43605", "89.30 deg"]);
}

#[test]
fn a_page_that_is_not_there_is_wrong_usage() {
    let ran = Bench::new().run(&["guide", "shuters"]).code(2);
    ran.err(&["the guide has no page `shuters`", "did you mean `shutters`?", "coarse-fine"]);
}

#[test]
fn places_are_found() {
    let bench = Bench::new();
    let ran = bench.run(&["guide", "--search", "terminator ohms"]).code(0);
    ran.out(&["cabling: Cabling: The terminator", "the signal must not bounce back"]);
    bench
        .run(&["guide", "--search", "xylophone"])
        .code(0)
        .out(&["no place has all of `xylophone`"]);
}

#[test]
fn the_whole_guide_is_one_page_of_html() {
    let bench = Bench::new();
    bench.run(&["guide", "--html", "guide.html"]).code(0).out(&["wrote guide.html: 8 pages"]);
    let html = std::fs::read_to_string(bench.path("guide.html")).unwrap();
    for part in ["<!DOCTYPE html>", "data:image/svg+xml,", "id=\"safety\"", "Caution."] {
        assert!(html.contains(part), "{part}");
    }
    bench.run(&["guide", "frame", "--html", "x.html"]).code(2);
    bench.run(&["guide", "--html", "no/such/folder/x.html"]).code(1).err(&["x.html"]);
}
