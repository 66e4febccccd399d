//! `slotwright misfit`.

use crate::harness::Bench;

const DARK: &str = "set,fixture,seen\n,7,is dark\n1/14=50,7,does nothing\n";

#[test]
fn what_may_be_wrong_is_listed_with_the_next_test() {
    let bench = Bench::new();
    bench.write("seen.csv", DARK);
    let ran = bench.run(&["misfit", "show.ron", "seen.csv", "--look", "Both on"]).code(0).quiet();
    let ran = ran.out(&[
        "explanations go with everything that was seen, likeliest first",
        "fixture 7 \"Left\"",
        "next test: ",
        "to disprove it without a test: ",
    ]);
    assert!(ran.out.lines().all(|line| line.chars().count() <= 100), "{ran}");
}

#[test]
fn ron_says_the_same_as_csv_and_json_has_the_rows() {
    let bench = Bench::new();
    bench.write("seen.csv", DARK);
    let ron = r#"[(fixture: 7, seen: "is dark"), (set: "1/14=50", fixture: 7, seen: "does nothing")]"#;
    bench.write("seen.ron", ron);
    let args = |file| ["misfit", "show.ron", file, "--look", "Both on", "--json"];
    let csv = bench.run(&args("seen.csv")).code(0).quiet();
    let ron = bench.run(&args("seen.ron")).code(0).quiet();
    assert_eq!(csv.out, ron.out);
    let json = csv.json();
    let rows = json["explanations"].as_array().expect("rows");
    assert!(!rows.is_empty());
    for row in rows {
        assert!(row["contradicts"].as_array().is_some_and(Vec::is_empty), "{row}");
    }
    assert!(json["test"]["outcomes"].as_array().is_some_and(|all| all.len() > 1));
}

#[test]
fn where_nothing_explains_everything_the_exit_code_says_so() {
    let bench = Bench::new();
    bench.write("seen.csv", "fixture,seen\n7,is dark\n7,is lit\n");
    let ran = bench.run(&["misfit", "show.ron", "seen.csv", "--look", "Both on"]).code(1);
    ran.out(&["nothing that was tried goes with everything", "it does not explain that"]);
}

#[test]
fn a_word_that_cannot_be_seen_is_told_with_the_nearest() {
    let bench = Bench::new();
    bench.write("seen.csv", "fixture,seen\n7,is darkk\n");
    let ran = bench.run(&["misfit", "show.ron", "seen.csv"]).code(1);
    assert!(ran.err.contains("`is darkk` is nothing that can be seen"), "{ran}");
    assert!(ran.err.contains("is it `is dark`?"), "{ran}");
    bench.write("seen.csv", "fixture,seen\n7,does nothing\n");
    let ran = bench.run(&["misfit", "show.ron", "seen.csv"]).code(1);
    assert!(ran.err.contains("nothing was moved before it"), "{ran}");
    bench.write("seen.csv", "fixture,seen\n8,is dark\n");
    let ran = bench.run(&["misfit", "show.ron", "seen.csv"]).code(1);
    assert!(ran.err.contains("the show has no fixture `8`"), "{ran}");
}
