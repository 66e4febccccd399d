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
    let ron =
        r#"[(fixture: 7, seen: "is dark"), (set: "1/14=50", fixture: 7, seen: "does nothing")]"#;
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

#[test]
fn timed_frames_alone_say_which_addresses_make_sense() {
    let bench = Bench::new();
    // The levels of the look, at the addresses of its heads, and the same one slot late.
    let lines = |late: usize| {
        let heads = [(1, 11), (2, 1)].into_iter().flat_map(|(universe, first)| {
            let levels = [128, 0, 128, 40, 255, 0].into_iter().enumerate();
            levels.map(move |(i, level)| format!("0,{universe},{},{level}\n", first + i + late))
        });
        heads.collect::<String>()
    };
    let (right, late) = (lines(0), lines(1));
    bench.write("right.csv", right);
    bench.write("late.csv", late);
    let ran = bench.run(&["misfit", "show.ron", "--timed", "right.csv"]);
    ran.code(0).out(&["every head makes most sense as it is patched"]);
    let ran = bench.run(&["misfit", "show.ron", "--timed", "late.csv"]);
    ran.code(1).out(&["a hypothesis, not a fix", "1 slot behind", "as patched:"]);
    let json = bench.run(&["misfit", "show.ron", "--timed", "late.csv", "--json"]).code(1).json();
    assert!(json["heads"].as_array().is_some_and(|heads| !heads.is_empty()));
}

#[test]
fn observations_and_timed_frames_are_not_taken_together() {
    let bench = Bench::new();
    bench.write("seen.csv", DARK);
    bench.write("frames.csv", "0,1,1,5\n");
    let args = ["misfit", "show.ron", "seen.csv", "--timed", "frames.csv"];
    bench.run(&args).code(2).err(&["leave out either"]);
    bench.run(&["misfit"]).code(2);
}
