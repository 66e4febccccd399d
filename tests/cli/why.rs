//! `slotwright why`.

use crate::harness::Bench;

#[test]
fn a_dark_fixture_is_told_with_its_slot_and_what_would_give_light() {
    // Worked example.
    let args = ["why", "show.ron", "--slot", "1/14=9", "--fixture", "7"];
    let ran = Bench::new().run(&args).code(0).quiet();
    let ran = ran.out(&[
        "7  Left\n",
        "dark because slot 14 = 9 is in the range closed, 0..31; open is 32..63",
        "to give light: set slot 14 from 9 to 32 (open)",
        "shutter",
        "<- here",
        "the cause:",
        "to disprove it, move slot 14 and look",
        "not visible in the data",
        "120 ohm",
    ]);
    assert!(ran.out.lines().all(|line| line.chars().count() <= 100), "{ran}");
}

#[test]
fn without_a_fixture_every_one_has_a_line_and_dark_ones_come_first() {
    let ran = Bench::new().run(&["why", "show.ron", "--slot", "2/5=0"]).code(0).quiet();
    let lines: Vec<&str> = ran.out.lines().collect();
    assert!(lines[0].starts_with("Test barn: look \"Both on\", 1 slot set"), "{ran}");
    assert!(lines[1].trim_start().starts_with("9  Right  dark because slot 5 = 0"), "{ran}");
    assert!(ran.out.contains("7  Left   lit: 100 % of full, 10000 lm"), "{ran}");
}

#[test]
fn json_has_links_causes_and_the_mend() {
    let args =
        ["why", "show.ron", "--slot", "1/14=9", "--slot", "1/15=0", "--fixture", "7", "--json"];
    let ran = Bench::new().run(&args).code(0).quiet();
    let json = ran.json();
    let head = &json["fixtures"][0];
    assert_eq!((&head["id"], &head["verdict"]), (&7.into(), &"dark".into()));
    let stages: Vec<&str> = head["causes"]
        .as_array()
        .expect("causes")
        .iter()
        .filter_map(|c| c["stage"].as_str())
        .collect();
    assert_eq!(stages, ["dimmer", "shutter"]);
    assert_eq!(head["causes"][1]["made_by"][0]["range"]["label"], "closed");
    let changes = head["mend"]["changes"].as_array().expect("changes");
    let sets: Vec<(u64, u64)> =
        changes.iter().filter_map(|c| Some((c["slot"].as_u64()?, c["to"].as_u64()?))).collect();
    assert_eq!(sets, [(14, 32), (15, 255)]);
    assert_eq!(head["mend"]["gives_lm"].as_f64(), Some(10_000.0));
    let all = Bench::new().run(&["why", "show.ron", "--json"]).code(0);
    let json = all.json();
    assert_eq!(json["fixtures"].as_array().map(Vec::len), Some(2));
    assert!(json["fixtures"][0]["mend"].is_null());
}

#[test]
fn what_was_never_sent_is_told_apart_from_nothing() {
    let bench = Bench::new();
    bench.write("short.txt", "128 0 128");
    let args = ["why", "show.ron", "--frame", "short.txt", "--fixture", "9", "--universe", "2"];
    bench.run(&args).code(0).out(&[
        "dark because no frame has reached slot 5; taken to be at rest, in the range dimmer",
    ]);
}

#[test]
fn a_while_after_its_frame_a_head_is_told_as_it_is_then() {
    let args = ["why", "show.ron", "--after", "0.1", "--fixture", "7"];
    Bench::new().run(&args).code(0).out(&["lit: 100 % of full"]);
}

#[test]
fn a_fixture_that_is_not_there_is_wrong_usage_and_a_bad_show_a_bad_file() {
    let bench = Bench::new();
    bench.run(&["why", "show.ron", "--fixture", "8"]).code(2).err(&["no fixture `8`"]);
    bench.write("bad.ron", "(format: 1, fixtures: [");
    bench.run(&["why", "bad.ron"]).code(1);
    bench.run(&["help", "why"]).code(0).out(&["slotwright why my-show.ron --slot 1/7=9"]);
}
