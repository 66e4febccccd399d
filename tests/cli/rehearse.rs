//! `slotwright play` and `slotwright rehearse`.

use std::fs;

use crate::harness::{Bench, Ran};

const HEAD: &str = r#"(format: 1, name: "Two", fixtures: [
  (id: 1, label: "Left", profile: "Tarnfell S1 Spot", mode: "compact", universe: 1, slot: 1, at: (0, 0, 5)),
], lists: [(name: "Main", cues: ["#;

/// A show with these cues, in a folder of its own.
fn show(cues: &str, more: &str) -> (tempfile::TempDir, String) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("show.ron");
    fs::write(&path, format!("{HEAD}{cues}])]{more})")).unwrap();
    let path = path.to_string_lossy().into_owned();
    (folder, path)
}

const FLASHES: &str =
    r#"(number: 1, set: [(fixtures: [1], values: {"Dimmer": "100 %", "Shutter": "10 Hz"})])"#;
const CALM: &str =
    r#"(number: 1, times: (fade_s: 2), set: [(fixtures: [1], values: {"Dimmer": "100 %"})])"#;

fn slotwright(args: &[&str]) -> Ran {
    Bench::new().run(args)
}

#[test]
fn play_says_when_each_cue_starts() {
    let told = slotwright(&["play"]);
    assert_eq!(told.code, 0, "{}", told.err);
    assert!(
        told.out.contains("cue 1 \"Doors\"") && told.out.contains("waits for somebody"),
        "{}",
        told.out
    );
    assert!(told.out.contains("the next comes 3 s after its start"), "{}", told.out);
    let other = slotwright(&["play", "--list", "accents"]);
    assert!(other.out.contains("Sides up") && !other.out.contains("Doors"), "{}", other.out);
}

#[test]
fn a_list_that_is_not_there_is_wrong_usage_with_its_mend() {
    for command in ["play", "rehearse"] {
        let told = slotwright(&[command, "--list", "Evenin"]);
        assert_eq!((told.code, told.out.as_str()), (2, ""));
        assert!(told.err.contains("did you mean `Evening`?"), "{}", told.err);
    }
}

#[test]
fn an_exported_list_is_played_by_the_commands_that_take_timed_frames() {
    let (folder, path) = show(CALM, "");
    let csv = folder.path().join("run.csv");
    let csv = csv.to_str().unwrap();
    let told = slotwright(&["play", &path, "--out", csv]);
    assert_eq!(told.code, 0, "{}", told.err);
    assert!(told.out.contains("frames"), "{}", told.out);
    let read = slotwright(&["read", &path, "--timed", csv, "--after", "1"]);
    assert_eq!(read.code, 0, "{}", read.err);
    // Half of 255 after half of the fade, in the last packet before.
    assert!(read.out.contains("Dimmer") && read.out.contains("127"), "{}", read.out);
    let piped = slotwright(&["play", &path, "--out", "-"]);
    assert_eq!(piped.out, fs::read_to_string(csv).unwrap());
}

#[test]
fn an_error_that_stands_makes_the_exit_code_1_until_it_is_accepted() {
    let (_folder, path) = show(FLASHES, "");
    let told = slotwright(&["rehearse", &path]);
    assert_eq!(told.code, 1, "{}{}", told.out, told.err);
    assert!(told.out.contains("error: fixture 1: it flashes"), "{}", told.out);
    assert!(told.out.contains("photosensitive"), "{}", told.out);
    let accepted = r#", accepted: [(code: "flashes", reason: "warned of at the door")]"#;
    let (_folder, path) = show(FLASHES, accepted);
    let told = slotwright(&["rehearse", &path]);
    assert_eq!(told.code, 0, "{}{}", told.out, told.err);
    assert!(
        told.out.contains("accepted error") && told.out.contains("warned of at the door"),
        "{}",
        told.out
    );
}

#[test]
fn the_report_is_there_as_json_and_as_a_page() {
    let (folder, path) = show(FLASHES, "");
    let page = folder.path().join("run.html");
    let told = slotwright(&["rehearse", &path, "--json", "--html", page.to_str().unwrap()]);
    assert_eq!(told.code, 1);
    let json: serde_json::Value = serde_json::from_str(&told.out).unwrap();
    let finding =
        json[0]["findings"].as_array().unwrap().iter().find(|f| f["code"] == "flashes").unwrap();
    assert_eq!(finding["severity"], "error");
    assert_eq!((&finding["list"], &finding["cue"]), (&"Main".into(), &"cue 1".into()));
    assert_eq!(finding["accepted"], serde_json::Value::Null);
    let page = fs::read_to_string(page).unwrap();
    assert!(
        page.contains("photosensitive") && page.contains("cue 1") && !page.contains("http"),
        "{page}"
    );
    let again = slotwright(&["rehearse", &path, "--json", "--threads", "1"]);
    assert_eq!(again.out, told.out);
}

#[test]
fn a_show_without_lists_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("bare.ron");
    fs::write(&path, "(format: 1, name: \"Bare\")").unwrap();
    let told = slotwright(&["rehearse", path.to_str().unwrap()]);
    assert_eq!((told.code, told.out.as_str()), (2, ""));
    assert!(told.err.contains("the show has no cue list"), "{}", told.err);
}
