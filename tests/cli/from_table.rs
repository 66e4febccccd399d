//! `slotwright table`.

use crate::harness::{Bench, row};

/// A table that says some things and leaves others out. No real fixture's.
const TABLE: &str = "\
Channel 1 Shutter
0-7 closed
8-131 strobe, slow to fast
132-247 open
248-255 wobble
Channel 2 Dimmer
0-255 0-100%
Page 3 of 4
Whatever this may be
";

#[test]
fn a_table_becomes_a_profile_that_passes_its_check() {
    let bench = Bench::new();
    bench.write("chart.txt", TABLE);
    let args =
        ["table", "chart.txt", "--out", "wren.ron", "--maker", "Brindlesby", "--model", "Wren"];
    let ran = bench.run(&args).code(0);
    assert!(row(&ran.out, "2 ").contains("1 Shutter 0..7 shut sure"), "{ran}");
    let ran = ran.out(&[
        "5 ranges: 3 sure, 1 likely, 1 unsure",
        "line 8 left out, a page number",
        "wrote wren.ron",
    ]);
    ran.err(&[
        "chart.txt:9:1: warning: not understood",
        "chart.txt:5:1: warning: ",
        "taken as unknown",
    ]);
    let written = std::fs::read_to_string(bench.path("wren.ron")).unwrap();
    assert!(
        written.contains("maker: \"Brindlesby\"") && written.contains("// Line 5: "),
        "{written}"
    );
    bench.run(&["check", "wren.ron"]).code(0).out(&["1 file, 0 errors"]);
}

#[test]
fn a_table_can_come_by_standard_input_and_give_json() {
    let bench = Bench::new();
    let ran = bench.run_with(&["table", "-", "--json"], TABLE.as_bytes()).code(0);
    let json = ran.json();
    assert_eq!((json["sure"].as_u64(), json["wrote"].is_null()), (Some(3), true));
    let strobe = &json["ranges"][1];
    assert_eq!(
        (strobe["effect"].as_str(), strobe["stated"].as_bool()),
        (Some("strobe"), Some(false))
    );
    assert_eq!(json["ranges"][3]["effect"], "unknown");
    let lines = json["lines"].as_array().unwrap();
    assert_eq!(lines.len(), TABLE.lines().count());
    assert_eq!(
        (&lines[7]["used"], &lines[8]["used"]),
        (&"ignored".into(), &"not-understood".into())
    );
}

#[test]
fn what_holds_no_channel_is_refused() {
    let bench = Bench::new();
    bench.write("note.txt", "milk\nbread\n");
    bench
        .run(&["table", "note.txt", "--out", "x.ron"])
        .code(1)
        .err(&["note.txt", "no channel was found"]);
    assert!(!bench.path("x.ron").exists());
    bench.run(&["table", "nowhere.txt"]).code(1).err(&["nowhere.txt"]);
    bench.run(&["table"]).code(2).err(&["<FILE>"]);
    bench.run(&["table", "--help"]).code(0).out(&["slotwright table chart.txt --out wren.ron"]);
}
