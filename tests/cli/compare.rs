//! `slotwright compare`.

use crate::harness::{Bench, HEAD};
use crate::sheet::{CUES, show_with};

fn bench() -> Bench {
    let bench = Bench::new();
    bench.write("a.ron", show_with(CUES));
    bench
}

#[test]
fn shows_that_mean_the_same_differ_in_nothing_however_they_are_written() {
    let bench = bench();
    // 60 % of a dimmer is its value 153, and the reference can be written out.
    let written = CUES.replace(
        "\"Pan\": \"like singer\", \"Tilt\": \"like singer\", \"Dimmer\": \"60 %\"",
        "\"Pan\": \"10 deg\", \"Tilt\": \"20 deg\", \"Dimmer\": \"153\"",
    );
    assert_ne!(written, CUES);
    bench.write("b.ron", show_with(&written));
    bench.run(&["compare", "a.ron", "b.ron"]).code(0).quiet().out(&["0 of 3 cues differ"]);
}

#[test]
fn what_differs_is_told_at_the_cue_where_it_begins() {
    let bench = bench();
    let other = CUES
        .replace(
            "\"singer\", kind: Position, all: {\"Pan\": \"10 deg\"",
            "\"singer\", kind: Position, all: {\"Pan\": \"15 deg\"",
        )
        .replace("next: Wait(2.5)", "next: Wait(4.0)");
    bench.write("b.ron", show_with(&other));
    let ran = bench.run(&["compare", "a.ron", "b.ron"]).code(0).quiet();
    let lines: Vec<String> =
        ran.out.lines().map(|line| line.split_whitespace().collect::<Vec<_>>().join(" ")).collect();
    let told = [
        "first: Test barn, list \"Main\" (a.ron)",
        "second: Test barn, list \"Main\" (b.ron)",
        "",
        "cue 1 \"Up\"",
        "7, 9 Pan 10.00 deg 15.00 deg",
        "",
        "cue 3 \"Out\"",
        "next the next comes 2.5 s after its start the next comes 4 s after its start",
        "",
        "2 of 3 cues differ",
    ];
    assert_eq!(lines, told, "{}", ran.out);
}

#[test]
fn a_cue_that_one_side_has_not_is_told_with_what_it_leaves() {
    let bench = bench();
    let third = CUES.find("      (number: 3.0").unwrap();
    let end = CUES[third..].find("    ],\n  )],").unwrap() + third;
    let shorter = format!("{}{}", &CUES[..third], &CUES[end..])
        .replace("loops: [(from: 2.0, to: 3.0, passes: 2)],", "");
    bench.write("b.ron", show_with(&shorter));
    let ran = bench.run(&["compare", "a.ron", "b.ron", "--json"]).code(0).quiet();
    let told: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(told["whole"][0]["what"], "loops");
    assert_eq!(told["cue_count"], 3);
    let cue = &told["cues"][0];
    assert_eq!(cue["number"], "3");
    assert_eq!(cue["names"], serde_json::json!(["Out", null]));
    let differences = cue["differences"].as_array().unwrap();
    let of = |kind: &str| differences.iter().find(|of| of["kind"] == kind).unwrap();
    assert_eq!(of("cue")["after"], serde_json::Value::Null);
    let light: Vec<_> = differences.iter().filter(|of| of["kind"] == "light").collect();
    assert_eq!(light[0]["before"], "dark");
    assert_eq!(light[0]["fixtures"], serde_json::json!([7]));
    assert_eq!(light[0]["after"], "lit, flashing 7.74 times a second");
    assert_eq!(light[1]["after"], "lit");
    assert_eq!(of("channel")["what"], "Dimmer");
}

#[test]
fn two_lists_of_a_show_can_be_compared() {
    let bench = Bench::new();
    let second = "lists: [(name: \"Short\", cues: [(number: 1.0, name: \"Up\", set: [(fixtures: [7], values: {\"Dimmer\": \"100 %\"})])]), (";
    bench.write("two.ron", show_with(&CUES.replace("lists: [(", second)));
    let line = ["compare", "two.ron", "--list", "Main", "--with-list", "Short"];
    let ran = bench.run(&line).code(0).quiet();
    assert!(ran.out.contains("second: Test barn, list \"Short\""), "{}", ran.out);
    assert!(ran.out.contains("3 of 3 cues differ"), "{}", ran.out);
}

#[test]
fn a_list_can_be_compared_with_fixtures_of_another_mode() {
    let bench = Bench::new();
    // The same head with a coarse pan alone: only what its steps cannot reach may differ.
    let coarse = HEAD
        .replace("ROWAN-6", "ROWAN-5")
        .replace("name: \"six\", slots: 6", "name: \"five\", slots: 5")
        .replace("at: [1, 2], default: 0x8000", "at: [1], default: 128")
        .replace("at: [3, 6], default: 0x8000", "at: [3], default: 128");
    bench.write("coarse.ron", coarse);
    bench.write("a.ron", show_with(CUES));
    let line = ["compare", "a.ron", "--fixture", "7", "--to", "coarse.ron", "--html", "page.html"];
    let ran = bench.run(&line).code(0);
    assert!(ran.out.contains("Neutral ROWAN-5, mode five"), "{}", ran.out);
    assert!(ran.out.contains("0 of 3 cues differ"), "{}", ran.out);
    let less = HEAD
        .replace("ROWAN-6", "ROWAN-4")
        .replace("Strobe(hz: (1.0, 20.0))", "Strobe(hz: (1.0, 5.0))");
    bench.write("less.ron", less);
    let line = ["compare", "a.ron", "--fixture", "7", "--to", "less.ron", "--html", "page.html"];
    let ran = bench.run(&line).code(0);
    assert!(ran.out.contains("cannot be done"), "{}", ran.out);
    let page = std::fs::read_to_string(bench.path("page.html")).unwrap();
    let cues = page.matches("<h2>cue").count();
    assert!(cues > 0);
    assert_eq!(page.matches("src=\"data:image/svg+xml,%3Csvg").count(), 2 * cues);
}

#[test]
fn there_has_to_be_something_to_compare_with() {
    let bench = bench();
    bench.run(&["compare", "a.ron"]).code(2).err(&["--with-list"]);
    bench.run(&["compare"]).code(2);
    bench.run(&["compare", "a.ron", "none.ron"]).code(1);
    bench
        .run(&["compare", "a.ron", "a.ron", "--list", "Mian"])
        .code(2)
        .err(&["did you mean `Main`?"]);
    let line = ["compare", "a.ron", "--fixture", "8", "--to", "Tarnfell S1 Spot", "--mode", "full"];
    bench.run(&line).code(2).err(&["no fixture `8`"]);
    bench.run(&["compare", "a.ron", "--fixture", "7"]).code(2);
    bench.run(&["compare", "--help"]).code(0).out(&["slotwright compare my-show.ron"]);
}
