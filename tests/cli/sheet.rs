//! `slotwright sheet`.

use crate::harness::{Bench, SHOW};

/// Three cues for the two heads of the bench.
pub const CUES: &str = r#"
  references: [(name: "singer", kind: Position, all: {"Pan": "10 deg", "Tilt": "20 deg"})],
  lists: [(
    name: "Main", notes: "By hand.",
    loops: [(from: 2.0, to: 3.0, passes: 2)],
    cues: [
      (number: 1.0, name: "Up", notes: "On the <bell>.", times: (fade_s: 2.0, up: (fade_s: 4.0, delay_s: 0.5)), set: [
        (fixtures: [7, 9], values: {"Pan": "like singer", "Tilt": "like singer", "Dimmer": "60 %"}),
      ]),
      (number: 2.0, name: "Flash", next: Follow(1.0), set: [
        (fixtures: [7], values: {"Shutter": "8 Hz", "Dimmer": "60 %"}),
      ]),
      (number: 3.0, name: "Out", next: Wait(2.5), set: [
        (fixtures: [7, 9], values: {"Dimmer": "0 %"}),
        (fixtures: [7], values: {"Pan": "-45 deg"}),
      ]),
    ],
  )],
)
"#;

/// The show of the bench with these cues.
pub fn show_with(cues: &str) -> String {
    let body = SHOW.trim_end().strip_suffix(')').unwrap();
    format!("{body}{cues}")
}

fn bench() -> Bench {
    let bench = Bench::new();
    bench.write("cued.ron", show_with(CUES));
    bench
}

#[test]
fn each_cue_says_what_it_changes_in_plain_words() {
    let ran = bench().run(&["sheet", "cued.ron"]).code(0).quiet();
    let said = "\
Test barn: cue list Main
  By hand.
  cues 2 to 3 run 2 times in all

1 Up  [2 s; up 4 s after 0.5 s]
    \"On the <bell>.\"
    7, 9: at singer, 60 %
    somebody sends the next

2 Flash  [0 s]
    7: strobe 8 Hz
    1 value is set to what it stands at
    caution: 7: flashes 7.74 times a second
    the next follows after 1 s

3 Out  [0 s]
    7: pan -45 deg
    7, 9: out
    then back to cue 2, 2 times in all
    the next comes 2.5 s after its start

Caution: flashing light can bring on seizures";
    assert!(ran.out.starts_with(said), "{}", ran.out);
}

#[test]
fn a_table_has_a_line_a_cue() {
    let ran = bench().run(&["sheet", "cued.ron", "--format", "csv"]).code(0).quiet();
    let lines: Vec<&str> = ran.out.lines().collect();
    assert_eq!(lines[0], "cue,name,times,takes s,next,what it does,lit,flashes,notes");
    let up = "1,Up,2 s; up 4 s after 0.5 s,4.5,somebody sends the next,\"7, 9: at singer, 60 %\",\"7, 9\",,On the <bell>.";
    assert_eq!(lines[1], up);
    assert_eq!(lines.len(), 4);
}

#[test]
fn the_page_has_a_picture_a_cue_and_needs_nothing_else() {
    let bench = bench();
    bench
        .run(&["sheet", "cued.ron", "--out", "main.html"])
        .code(0)
        .out(&["wrote main.html: Main, 3 cues"]);
    let page = std::fs::read_to_string(bench.path("main.html")).unwrap();
    assert!(page.starts_with("<!DOCTYPE html>"));
    let pictures = page.matches("src=\"data:image/svg+xml,%3Csvg").count();
    assert_eq!(pictures, 3);
    // The one address is that of the language which the pictures are in.
    assert_eq!(page.matches("http").count(), pictures);
    assert!(page.contains("On the &lt;bell&gt;."));
    assert!(
        page.contains("the stage in cue 1 Up: 2 lit")
            && page.contains("the stage in cue 3 Out: 0 lit")
    );
    assert!(page.contains("\u{25b2} Caution: flashing light can bring on seizures"));
    bench.run(&["sheet", "cued.ron", "--no-pictures", "--out", "plain.html"]).code(0);
    let plain = std::fs::read_to_string(bench.path("plain.html")).unwrap();
    assert!(!plain.contains("<img") && plain.contains("at singer"));
}

#[test]
fn the_demo_show_has_a_sheet_for_each_list() {
    let bench = Bench::new();
    let ran = bench.run(&["sheet"]).code(0).quiet();
    assert!(ran.out.contains("101, 102: at singer, 3200 K, zoom 16 deg"), "{}", ran.out);
    assert!(ran.out.contains("104, 105: moved ahead in the dark, for cue 5"), "{}", ran.out);
    assert!(ran.out.contains("301 to 304: circle of 9 deg, 0.15 Hz"), "{}", ran.out);
    bench.run(&["sheet", "--list", "accents"]).code(0).quiet().out(&["501, 502: "]);
}

#[test]
fn what_cannot_be_done_is_on_the_sheet_and_told() {
    let bench = Bench::new();
    bench.write(
        "bad.ron",
        show_with(&CUES.replace("\"Shutter\": \"8 Hz\"", "\"Shutter\": \"90 Hz\"")),
    );
    let ran = bench.run(&["sheet", "bad.ron"]);
    assert!(ran.out.contains("7: cannot be done: Shutter: "), "{} {}", ran.out, ran.err);
    assert!(ran.err.contains("90 Hz"), "{}", ran.err);
}

#[test]
fn a_list_that_is_not_there_is_wrong_usage() {
    let bench = bench();
    bench.run(&["sheet", "cued.ron", "--list", "Mian"]).code(2).err(&["did you mean `Main`?"]);
    bench.run(&["sheet", "show.ron"]).code(2).err(&["no cue list"]);
    bench.run(&["sheet", "none.ron"]).code(1);
    bench.run(&["sheet", "--help"]).code(0).out(&["slotwright sheet my-show.ron"]);
}
