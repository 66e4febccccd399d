//! `slotwright drill`.

use serde_json::Value;

use crate::harness::Bench;

#[test]
fn a_seed_gives_a_sheet_with_its_key_behind_it() {
    let bench = Bench::new();
    let sheet = bench.run(&["drill", "head.ron", "--seed", "7"]).code(0);
    assert!(sheet.out.starts_with("Neutral ROWAN-6, mode six: level 1, first light (seed 7)\n"));
    assert!(sheet.out.contains("\n10. "), "{}", sheet.out);
    assert!(sheet.out.contains("\u{c}Answer key\n"));
    assert_eq!(sheet.out, bench.run(&["drill", "head.ron", "--seed", "7"]).code(0).out);
    assert_ne!(sheet.out, bench.run(&["drill", "head.ron", "--seed", "8"]).code(0).out);
}

/// Worked example, pinned: a sheet that a teacher printed comes again in every later version.
#[test]
fn sheets_stay_what_they_were() {
    let bench = Bench::new();
    for (level, key) in [
        (
            "2",
            "Answer key\n\n\
             1.  1=81 2=37 3=241 6=144\n    slot 1 (Pan): 80..82\n    slot 3 (Tilt): 239..243\n\
             2.  1=40 2=207 3=76 6=126\n    slot 1 (Pan): 39..41\n    slot 3 (Tilt): 74..78\n\
             3.  b: Pan: pan, -94.92 deg\n",
        ),
        (
            "5",
            "Answer key\n\n\
             1.  a: the head is set to address 27, not 21\n    that shows just what is seen\n\
             2.  d: the head is set to address 74, not 68\n    that shows just what is seen\n\
             3.  b: slot 78 (the head's slot 5) stands at 7\n    that shows just what is seen\n",
        ),
    ] {
        let line = ["drill", "head.ron", "--seed", "7", "--count", "3", "--level", level];
        let ran = bench.run(&line).code(0);
        assert_eq!(ran.out.split('\u{c}').nth(1), Some(key), "level {level}");
    }
}

#[test]
fn the_page_has_pictures_and_the_key_on_a_sheet_of_its_own() {
    let bench = Bench::new();
    bench.run(&["drill", "--level", "2", "--html", "class.html"]).code(0).quiet();
    let page = std::fs::read_to_string(bench.path("class.html")).unwrap();
    assert!(page.starts_with("<!DOCTYPE html>"));
    assert!(page.contains("break-before: page") && page.contains("<h2>Answer key</h2>"));
    let pictures = page.matches("src=\"data:image/svg+xml,").count();
    assert!(pictures > 3, "{pictures} pictures");
    assert_eq!(page.matches("<img alt=\"Exercise ").count(), pictures);
}

#[test]
fn answers_of_the_key_are_all_right_and_others_are_told_why_not() {
    let bench = Bench::new();
    for level in ["1", "2", "3", "4", "5"] {
        let line = ["drill", "--seed", "5", "--count", "6", "--level", level];
        let json = bench.run(&[&line[..], &["--json"]].concat()).code(0);
        let sheet: Value = serde_json::from_str(&json.out).unwrap();
        let answers = sheet["exercises"]
            .as_array()
            .unwrap()
            .iter()
            .map(|row| format!("{}: {}\n", row["number"], row["answer"].as_str().unwrap()));
        bench.write("right.txt", answers.collect::<String>());
        let graded = bench.run(&[&line[..], &["--answers", "right.txt"]].concat()).code(0);
        assert!(graded.out.ends_with("6 of 6 right, 6 points\n"), "{}", graded.out);
    }
    let line = ["drill", "--seed", "5", "--answers"];
    bench.write("none.txt", "");
    bench.run(&[&line[..], &["none.txt"]].concat()).code(1).out(&["no answer", "0 of 10 right"]);
    bench.write("odd.txt", "one: two\n");
    bench.run(&[&line[..], &["odd.txt"]].concat()).code(1).err(&[
        "odd.txt",
        "line 1",
        "there is no exercise `one`",
    ]);
}

#[test]
fn wrong_usage_is_told() {
    let bench = Bench::new();
    bench.run(&["drill", "--level", "9"]).code(2).err(&["a level is 1 (first light)"]);
    bench.run(&["drill", "Tarnfell S1 Spot"]).code(2).err(&["has more than one mode"]);
    bench.run(&["drill", "none.ron"]).code(1);
    bench.run(&["drill", "--help"]).code(0).out(&["slotwright drill --seed 7"]);
}
