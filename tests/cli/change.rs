//! `slotwright change`.

use serde_json::Value;

use crate::harness::{Bench, HEAD};

/// The head of the harness with its shutter the other way round, its dimmer after it and a reset. No real
/// fixture's chart.
fn other() -> String {
    let text = HEAD
        .replace("ROWAN-6", "ROWAN-7")
        .replace("\"six\", slots: 6", "\"seven\", slots: 7")
        .replace(
            "(from: 0, to: 31, does: Shut, label: \"closed\"),\n        (from: 32, to: 63, does: Open, label: \"open\")",
            "(from: 0, to: 31, does: Open, label: \"open\"),\n        (from: 32, to: 63, does: Shut, label: \"closed\")",
        );
    text.replace(
        "curve: Linear))]),",
        "curve: Linear))]),\n      (name: \"Control\", at: [7], snap: true, ranges: [(from: 0, to: 249, does: Idle), (from: 250, to: 255, does: Reset(hold_s: 3.0))]),",
    )
}

fn bench() -> Bench {
    let bench = Bench::new();
    bench.write("other.ron", other());
    bench
}

#[test]
fn each_look_says_what_would_happen_and_what_cannot_be_kept() {
    bench().run(&["change", "show.ron", "--fixture", "7", "--to", "other.ron"]).code(0).out(&[
        "7, at 1/11: Neutral ROWAN-6, mode six (6 slots) becomes Neutral ROWAN-7, mode seven (7 slots)",
        "closed before at Shutter values 0..31; after at Shutter values 32..63",
        "Both on\n",
        "warning: if the values stay in their slots: lit before, dark after: slot 4 = 40, Shutter",
        "`closed`, was Shutter `open`",
        "Left flashes\n",
        "3 of 4 channels mean the same",
    ]);
}

#[test]
fn one_frame_is_told_in_full_and_a_danger_is_an_error() {
    let bench = bench();
    let frame = ["--slot", "1/14=0", "--slot", "1/17=255"];
    let mut line = vec!["change", "show.ron", "--fixture", "7", "--to", "other.ron"];
    line.extend(frame);
    bench.run(&line).code(1).out(&[
        "error: if the values stay in their slots: dark before, lit after: slot 4 = 0, Shutter",
        "error: if the values stay in their slots: a reset once the value was held: slot 7 = 255, Control",
        "Shutter: closed",
        "Shutter 40: closed",
        "kept",
    ]);
    line.push("--json");
    let ran = bench.run(&line).code(1);
    let json: Value = serde_json::from_str(&ran.out).unwrap();
    let change = &json[0]["frames"][0]["change"];
    assert_eq!(json[0]["footprint"], serde_json::json!([6, 7]));
    assert_eq!(change["dangers"][0]["kind"], "dark-to-lit");
    assert_eq!(change["dangers"][1]["kind"], "reset");
    let shutter = change["kept"].as_array().unwrap().iter().find(|r| r["channel"] == "Shutter");
    let shutter = shutter.unwrap();
    assert_eq!((&shutter["outcome"], &shutter["to"][0]["value"]), (&"exact".into(), &40.into()));
    assert_eq!(change["dangers_kept"], serde_json::json!([]));
}

/// Cues of the demo give its washes levels of four emitters, which a spot has not.
#[test]
fn cues_say_what_they_give_in_other_words_and_what_is_lost() {
    let line =
        ["change", "--fixture", "201", "--to", "Tarnfell S1 Spot", "--mode", "full", "--json"];
    let bench = bench();
    let ran = bench.run(&line);
    let json: Value = serde_json::from_str(&ran.out).unwrap();
    let rows = json[0]["cues"].as_array().unwrap();
    let blue = rows.iter().find(|row| row["channel"] == "Blue").unwrap();
    assert_eq!((&blue["list"], &blue["outcome"]), (&"Evening".into(), &"lost".into()));
    assert_eq!(blue["value"], "like night");
    bench.run(&line[..7]).out(&["What cues give it in other words", "cue 1 \"Doors\""]);
    // In a shorter mode of its own profile every word can stay.
    let line = ["change", "--fixture", "103", "--to", "Tarnfell S1 Spot", "--mode", "compact"];
    assert!(!bench.run(&line).out.contains("What cues give it"));
}

#[test]
fn what_is_not_there_is_wrong_usage_and_a_broken_profile_a_bad_file() {
    let bench = bench();
    let run = |to: &str, id: &str| bench.run(&["change", "show.ron", "--fixture", id, "--to", to]);
    run("other.ron", "8").code(2);
    run("No such head", "7").code(2);
    run("Tarnfell S1 Spot", "7").code(2).err(&["has more than one mode"]);
    bench.write("bad.ron", "(maker: ");
    run("bad.ron", "7").code(1);
    bench
        .run(&["change", "--fixture", "101", "--to", "Tarnfell S1 Spot", "--mode", "none"])
        .code(2);
    bench.run(&["change", "--help"]).code(0).out(&["slotwright change --fixture 101"]);
}
