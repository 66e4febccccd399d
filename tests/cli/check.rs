//! `slotwright check`.

use serde_json::Value;

use crate::harness::{Bench, HEAD, SHOW};

#[test]
fn sound_files_are_counted_and_nothing_else_is_wrong() {
    let bench = Bench::new();
    let ran = bench.run(&["check", "show.ron", "head.ron"]).code(0).quiet();
    // The head leaves shutter values 96..255 out, and a fade to full crosses its strobe: each is told
    // once for each file that uses it.
    ran.out(&["head.ron:14:", "values 96..255 do nothing", "2 files, 0 errors, 4 warnings"]);
}

#[test]
fn every_shipped_profile_passes() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    for entry in std::fs::read_dir(folder.join("assets/profiles")).unwrap() {
        let path = entry.unwrap().path();
        Bench::new()
            .run(&["check", path.to_str().unwrap()])
            .code(0)
            .out(&["1 file, 0 errors, 0 warnings, 0 notes"]);
    }
    for entry in std::fs::read_dir(folder.join("shows")).unwrap() {
        let path = entry.unwrap().path();
        Bench::new().run(&["check", path.to_str().unwrap()]).code(0).out(&["1 file, 0 errors"]);
    }
}

#[test]
fn an_error_gives_its_line_and_column_and_exit_code_1() {
    let bench = Bench::new();
    bench.write("head.ron", HEAD.replace("(from: 32, to: 63,", "(from: 63, to: 32,"));
    let ran = bench.run(&["check", "head.ron"]).code(1).quiet();
    ran.out(&[
        "head.ron:16:9: ",
        "error: the range runs from `63` back to `32`",
        "1 file, 1 error",
    ]);
    bench.write("bad.ron", "(maker: \"A\", ");
    let ran = bench.run(&["check", "bad.ron", "show.ron", "nowhere.ron"]).code(1);
    ran.out(&["bad.ron:1:", "show.ron", "nowhere.ron: error", "3 files"]);
}

#[test]
fn heads_on_the_same_slots_are_an_error_here_and_open_all_the_same() {
    let bench = Bench::new();
    bench.write("show.ron", SHOW.replace("universe: 2, slot: 1", "universe: 1, slot: 14"));
    bench.run(&["check", "show.ron"]).code(1).out(&["show.ron:7:", "error: "]);
    bench.run(&["read", "show.ron"]).code(0).err(&["show.ron:7:", "warning: "]);
}

#[test]
fn what_is_neither_is_told_what_would_be_one() {
    let bench = Bench::new();
    bench.write("note.ron", "(shopping: [\"maker\"])");
    bench.run(&["check", "note.ron"]).code(1).out(&["neither a profile nor a show", "`maker`"]);
    let ran = bench.run_with(&["check", "-"], HEAD.as_bytes()).code(0);
    ran.out(&["standard input:14:", "1 file, 0 errors"]);
    bench.run(&["check"]).code(2).err(&["<PATH>..."]);
}

#[test]
fn findings_come_as_json_too() {
    let bench = Bench::new();
    bench.write("head.ron", HEAD.replace("does: Shut,", "does: Shutt,"));
    let read = bench.run(&["check", "--json", "head.ron", "nowhere.ron"]).code(1).json();
    assert_eq!(read["errors"], 2);
    let files = read["files"].as_array().unwrap();
    assert_eq!((&files[0]["kind"], &files[1]["kind"]), (&"profile".into(), &Value::Null));
    let finding = &files[0]["findings"][0];
    assert_eq!((&finding["line"], &finding["column"]), (&15.into(), &33.into()));
    assert_eq!((&finding["severity"], &finding["file"]), (&"error".into(), &"head.ron".into()));
    assert!(finding["mend"].as_str().unwrap().contains("did you mean `Shut`?"), "{finding}");
    assert_eq!((&finding["code"], &finding["accepted"]), (&Value::Null, &Value::Null));
}

#[test]
fn a_finding_says_why_and_can_be_accepted() {
    let bench = Bench::new();
    let dark = HEAD.replace("default: 40,", "default: 0, snap: true,");
    bench.write("head.ron", &dark);
    let ran = bench.run(&["check", "head.ron"]).code(0).quiet();
    ran.out(&[
        "head.ron:14:",
        "`default: 32` (`open`) would give light (whoever patches it",
        "[default-dark]",
    ]);
    let read = bench.run(&["check", "--json", "head.ron"]).code(0).json();
    let findings = read["files"][0]["findings"].as_array().unwrap();
    let found = findings.iter().find(|finding| finding["code"] == "default-dark").unwrap();
    assert!(found["why"].as_str().unwrap().contains("broken"), "{found}");
    let accepted = r#"  accepted: [(code: "default-dark", at: "mode \"six\", channel \"Shutter\"", reason: "rests closed")],
  modes: ["#;
    bench.write("head.ron", dark.replace("  modes: [", accepted));
    let ran = bench.run(&["check", "head.ron"]).code(0).quiet().out(&["1 accepted (`--all` shows"]);
    assert!(!ran.out.contains("default-dark"), "{ran}");
    let ran = bench.run(&["check", "--all", "head.ron"]).code(0).quiet();
    ran.out(&["accepted warning: ", "accepted: rests closed", "1 accepted"]);
    let read = bench.run(&["check", "--all", "--json", "head.ron"]).code(0).json();
    let findings = read["files"][0]["findings"].as_array().unwrap();
    assert!(findings.iter().any(|finding| finding["accepted"] == "rests closed"), "{read}");
}
