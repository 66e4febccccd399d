//! `slotwright watch`.

use crate::harness::Bench;

#[test]
fn timed_frames_are_looked_through_and_an_exit_code_says_whether_it_is_true() {
    let bench = Bench::new();
    bench.write("t.csv", "0,1,15,0\n1,1,15,255\n2,1,15,0\n3,1,15,0\n");
    let ran = bench.run(&["watch", "show.ron", "--when", "fixture 7 lit", "--timed", "t.csv"]);
    assert_eq!(ran.code, 1, "{} {}", ran.out, ran.err);
    assert!(ran.out.contains("1 s to") && ran.out.contains("true 1 time in 3 s"), "{}", ran.out);
    let ran = bench.run(&["watch", "show.ron", "--when", "fixture 9 lit", "--frames", "t.csv"]);
    assert_eq!((ran.code, ran.out.as_str()), (0, "true 0 times in 3 s\n"), "{}", ran.err);
}

#[test]
fn a_frame_and_a_cue_list_can_be_asked_too() {
    let bench = Bench::new();
    let ran = bench.run(&["watch", "show.ron", "--look", "Both on", "--when", "all fixtures lit"]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(
        ran.out.starts_with("true of look \"Both on\": fixture 7 \"Left\" lit;"),
        "{}",
        ran.out
    );
    let ran = bench.run(&["watch", "show.ron", "--look", "Both on", "--when", "any fixture dark"]);
    assert_eq!((ran.code, ran.out.as_str()), (0, "not true of look \"Both on\"\n"));
    let ran = bench.run(&["watch", "--when", "any fixture lit while moving", "--list", "Evening"]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(ran.out.contains("moving"), "{}", ran.out);
}

#[test]
fn json_has_every_span_with_what_made_it_true() {
    let bench = Bench::new();
    bench.write("t.csv", "0,1,15,0\n1,1,15,255\n2,1,15,0\n");
    let args = ["watch", "show.ron", "--when", "slot 1.15 > 100", "--timed", "t.csv", "--json"];
    let ran = bench.run(&args);
    let json: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!((json["count"].as_u64(), json["end_s"].as_f64()), (Some(1), Some(2.0)));
    assert_eq!(json["spans"][0]["from_s"].as_f64(), Some(1.0));
    assert_eq!(json["spans"][0]["because"][0], "slot 1.15 = 255");
}

#[test]
fn a_condition_that_means_nothing_is_wrong_usage_with_its_place() {
    let bench = Bench::new();
    let ran = bench.run(&["watch", "show.ron", "--when", "fixture 7 litt"]);
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    assert!(ran.err.contains("--when, character 11"), "{}", ran.err);
    assert!(ran.err.contains("did you mean `lit`?"), "{}", ran.err);
    let ran = bench.run(&["watch", "show.ron"]);
    assert_eq!(ran.code, 2, "{}", ran.err);
}
