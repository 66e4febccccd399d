//! `slotwright diff`.

use crate::harness::Bench;

#[test]
fn two_looks_differ_in_slots_and_in_words() {
    let bench = Bench::new();
    let ran = bench.run(&["diff", "show.ron", "look:Both on", "look:Left flashes"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("1/14") && ran.out.contains("Shutter"), "{}", ran.out);
    assert!(ran.out.contains("20.00 Hz"), "{}", ran.out);
    assert!(ran.out.contains("not sent"), "{}", ran.out);
    let ran = bench.run(&["diff", "show.ron", "levels", "levels"]);
    assert!(ran.out.ends_with("nothing differs\n"), "{}", ran.out);
}

#[test]
fn a_frame_file_and_given_slots_can_be_sides() {
    let bench = Bench::new();
    bench.write("f.csv", "universe,slot,value\n1,15,7\n");
    let args = ["diff", "show.ron", "f.csv", "slots:1/15=8", "--json"];
    let ran = bench.run(&args);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let json: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    let slots = json["slots"].as_array().unwrap();
    let dimmer = slots.iter().find(|slot| slot["slot"] == 15).expect("it differs");
    assert_eq!((dimmer["before"].as_u64(), dimmer["after"].as_u64()), (Some(7), Some(8)));
    assert!(json["fixtures"].as_array().unwrap().iter().any(|d| d["what"] == "Dimmer"));
}

#[test]
fn cues_and_instants_of_the_demo_and_modes_are_compared() {
    let bench = Bench::new();
    let ran = bench.run(&["diff", "cue:Evening/1", "at:Evening/12.5s"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("light now"), "{}", ran.out);
    let (full, compact) = ("mode:Tarnfell S1 Spot/full", "mode:Tarnfell S1 Spot/compact");
    let ran = bench.run(&["diff", full, compact]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("Shutter") && ran.out.contains("is shut by"), "{}", ran.out);
    let ran = bench.run(&["diff", full, compact, "--json"]);
    let json: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    assert!(json["channels"].as_array().unwrap().len() > 10);
}

#[test]
fn what_is_not_there_is_wrong_usage() {
    let bench = Bench::new();
    for (args, part) in [
        (vec!["diff", "show.ron", "look:Both", "levels"], "Both on"),
        (vec!["diff", "show.ron", "levels", "cue:5"], "no cue list"),
        (vec!["diff", "levels", "mode:Tarnfell S1 Spot/full"], "a mode"),
        (vec!["diff", "levels"], "A B"),
    ] {
        let ran = bench.run(&args);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{args:?} {}", ran.err);
        assert!(ran.err.contains(part), "{args:?}: {}", ran.err);
    }
}
