//! `slotwright check`.

use crate::harness::{Bench, HEAD, SHOW};

#[test]
fn sound_files_are_counted_and_nothing_else_is_wrong() {
    let bench = Bench::new();
    let ran = bench.run(&["check", "show.ron", "head.ron"]).code(0).quiet();
    // The head leaves shutter values 96..255 out, which is told once for each file that uses it.
    ran.out(&["head.ron:14:", "values 96..255 do nothing", "2 files, 0 errors, 2 warnings"]);
}

#[test]
fn every_shipped_profile_passes() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    for entry in std::fs::read_dir(folder.join("assets/profiles")).unwrap() {
        let path = entry.unwrap().path();
        Bench::new().run(&["check", path.to_str().unwrap()]).code(0).out(&["1 file, 0 errors"]);
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
    assert_eq!(
        (&files[0]["kind"], &files[1]["kind"]),
        (&"profile".into(), &serde_json::Value::Null)
    );
    let finding = &files[0]["findings"][0];
    assert_eq!((&finding["line"], &finding["column"]), (&15.into(), &33.into()));
    assert_eq!((&finding["severity"], &finding["file"]), (&"error".into(), &"head.ron".into()));
    assert!(finding["mend"].as_str().unwrap().contains("did you mean `Shut`?"), "{finding}");
}
