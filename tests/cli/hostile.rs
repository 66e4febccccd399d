//! Bad input through the real program: an error with its place and what would be right, never a
//! panic, a hang or half a result.

use std::fs::File;

use crate::harness::{Bench, HEAD, SHOW};

/// Puts `to` where `from` stands in a sound file.
#[track_caller]
fn spoil(text: &str, from: &str, to: &str) -> String {
    assert!(text.contains(from), "`{from}` should be in the sound file");
    text.replacen(from, to, 1)
}

/// Every command that takes a show refuses it, and writes nothing.
#[track_caller]
fn refused(bench: &Bench, show: &str, parts: &[&str]) {
    bench.run(&["check", show]).code(1).quiet().out(parts);
    for args in
        [&["read", show][..], &["read", show, "--json"], &["draw", show, "--out", "a.png"], &[show]]
    {
        let ran = bench.run(args).code(1).err(parts);
        assert!(ran.out.is_empty() && !bench.path("a.png").exists(), "{ran}");
    }
}

#[test]
fn a_show_that_cannot_be_meant_is_refused() {
    for (from, to, parts) in [
        (
            "fixtures:",
            "fixtrues:",
            &["show.ron:5:3: error: unknown field `fixtrues`", "did you mean"][..],
        ),
        (
            "slot: 11",
            "slot: 510",
            &["show.ron:6:", "6 slots from 510 run past the end of universe 1"],
        ),
        (
            "id: 7,",
            "id: 3200000000,",
            &["a fixture cannot have the number `3200000000`", "number it 1..999999"],
        ),
        ("slot: 11", "slot: 0", &["there is no slot `0`; slots are 1..512"]),
        ("slot: 11", "slot: 513", &["there is no slot `513`; slots are 1..512"]),
        ("[128, 0, 128, 40", "[128, 0, 256, 40", &["show.ron:11:", "`256`"]),
        ("(-2.0, 3.0, 5.0)", "(NaN, 3.0, 5.0)", &["show.ron:6:", "`NaN` is no place on a stage"]),
        ("(-2.0, 3.0, 5.0)", "(1e300, 3.0, 5.0)", &["is no place on a stage", "give metres"]),
        (
            "universe: 1,",
            "universe: 64000,",
            &["there is no universe `64000`; universes are 1..63999"],
        ),
        ("format: 1", "format: 99", &["this show has the format `99`"]),
    ] {
        let bench = Bench::new();
        bench.write("show.ron", spoil(SHOW, from, to));
        refused(&bench, "show.ron", parts);
    }
}

/// A check of the show finds an error, and so does one of the profile; the show still opens without it,
/// with its fixtures as nothing but their addresses and raw values.
#[track_caller]
fn opened_without(bench: &Bench, parts: &[&str]) {
    bench.run(&["check", "show.ron"]).code(1).quiet().out(parts);
    let ran = bench.run(&["read", "show.ron", "--fixture", "7"]).code(0).err(parts);
    ran.out(&[
        "7  Left",
        "no such profile or mode",
        "at least 1 slot; raw from 1/11 on: 128 0 128 40",
    ]);
    let ran = bench.run(&["read", "show.ron", "--json", "--fixture", "7"]).code(0);
    ran.out(&["\"asked\": null", "\"raw\": ["]);
    bench.run(&["draw", "show.ron", "--out", "a.svg"]).code(0).err(parts);
}

#[test]
fn a_show_opens_without_the_profiles_and_modes_that_are_not_to_be_had() {
    for (from, to, parts) in [
        (
            "\"Neutral ROWAN-6\"",
            "\"Neutral ROWN-6\"",
            &["there is no profile `Neutral ROWN-6`", "did you mean `Neutral ROWAN-6`?"][..],
        ),
        ("mode: \"six\"", "mode: \"sixteen\"", &["has no mode `sixteen`", "`six`"]),
        ("\"head.ron\"", "\"nowhere.ron\"", &["the profile file `nowhere.ron` cannot be used"]),
    ] {
        let bench = Bench::new();
        bench.write("show.ron", spoil(SHOW, from, to));
        opened_without(&bench, parts);
        bench.run(&["check", "show.ron"]).out(&["it takes at least 1 slot, 11 of universe 1"]);
    }
}

#[test]
fn a_profile_that_cannot_be_meant_is_left_out_of_its_show() {
    for (from, to, parts) in [
        ("flux_lm: 10000.0", "flux: 10000.0", &["head.ron:7:", "unknown field `flux`"][..]),
        (
            "from: 0, to: 31",
            "from: 31, to: 0",
            &["head.ron:15:", "the range runs from `31` back to `0`"],
        ),
        (
            "from: 32, to: 63",
            "from: 31, to: 63",
            &["head.ron:16:", "value 31 already belongs to range 1"],
        ),
        ("at: [5]", "at: [4]", &["head.ron:19:", "slot `4` belongs to channel `Shutter` already"]),
        ("at: [5]", "at: [0]", &["the mode has no slot `0`"]),
        ("at: [5]", "at: [513]", &["the mode has no slot `513`"]),
        ("to: 95", "to: 256", &["head.ron:17:", "the channel has no value `256`"]),
        ("travel_deg: 540.0", "travel_deg: NaN", &["head.ron:4:", "`NaN` makes no sense"]),
        ("(1.0, 20.0)", "(1.0, 1e300)", &["head.ron:17:", "makes no sense"]),
    ] {
        let bench = Bench::new();
        bench.write("head.ron", spoil(HEAD, from, to));
        bench.run(&["check", "head.ron"]).code(1).out(parts);
        opened_without(&bench, parts);
    }
}

#[test]
fn what_is_no_text_of_this_kind_is_refused() {
    for text in [
        "hello".to_owned(),
        String::new(),
        "(".to_owned(),
        "[".repeat(100_000),
        "(format:".repeat(50_000),
        "\u{0}".repeat(1000),
        "(format: 1".to_owned(),
    ] {
        let bench = Bench::new();
        bench.write("bad.ron", text);
        refused(&bench, "bad.ron", &["bad.ron"]);
    }
    let bench = Bench::new();
    bench.write("bad.ron", b"(format: 1, name: \"\xff\")");
    refused(&bench, "bad.ron", &["bad.ron:1:", "not UTF-8"]);
}

#[test]
fn two_hundred_megabytes_of_nothing_are_not_even_read() {
    let bench = Bench::new();
    File::create(bench.path("zeros.ron")).unwrap().set_len(200 << 20).unwrap();
    refused(&bench, "zeros.ron", &["zeros.ron: error: the file is too large: 200 MB"]);
    let ran = bench.run(&["read", "show.ron", "--frame", "zeros.ron"]).code(1);
    ran.err(&["zeros.ron: error: the file is too large: 200 MB"]);
}

#[test]
fn a_folder_and_a_missing_file_are_no_files() {
    let bench = Bench::new();
    std::fs::create_dir(bench.path("folder")).unwrap();
    refused(&bench, "folder", &["folder: error: this is a folder"]);
    refused(&bench, "nowhere.ron", &["nowhere.ron: error: the file cannot be read"]);
    bench.run(&["read", "show.ron", "--frame", "folder"]).code(1).err(&["folder: error"]);
}

#[cfg(unix)]
#[test]
fn a_file_that_may_not_be_read_is_told_so() {
    use std::os::unix::fs::PermissionsExt as _;

    let bench = Bench::new();
    let path = bench.path("show.ron");
    std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o000)).unwrap();
    // To the super-user no file is closed, and there is nothing to check.
    if std::fs::read(&path).is_err() {
        refused(&bench, "show.ron", &["show.ron: error: the file cannot be read: permission"]);
    }
}

/// Names that hold line ends, control characters and marks of every output's own language.
#[test]
fn names_break_out_of_no_table_line_or_drawing() {
    const ODD: &str = r#"a\nb\t\u{7}\u{1b}[31m<b>&'\"\u{202e}\u{0}z"#;
    let bench = Bench::new();
    let odd = SHOW
        .replace("Test barn", ODD)
        .replace("\"Left\"", &format!("\"{ODD}\""))
        .replace("Both on", &format!("Both {ODD}"))
        .replace("universe: 2, slot: 1,", "universe: 1, slot: 14,");
    bench.write("show.ron", odd);
    let plain = |c: char| c == '\n' || !(c.is_control() || c == '\u{202e}');
    for args in [
        &["read", "show.ron"][..],
        &["check", "show.ron"],
        &["read", "show.ron", "--look", "a\nb\u{1b}"],
        &["draw", "show.ron", "--out", "odd.svg"],
        &["draw", "show.ron", "--out", "odd.png"],
    ] {
        let ran = bench.run(args);
        assert!(ran.out.chars().chain(ran.err.chars()).all(plain), "{ran}");
        let broken = |line: &str| line.starts_with("b ");
        assert!(!ran.out.lines().chain(ran.err.lines()).any(broken), "{ran}");
    }
    let svg = std::fs::read_to_string(bench.path("odd.svg")).unwrap();
    assert!(svg.chars().all(plain) && !svg.contains("<b>"), "{svg}");
    resvg::usvg::Tree::from_str(&svg, &resvg::usvg::Options::default()).unwrap();
    let name = bench.run(&["read", "show.ron", "--json"]).code(0).json()["show"].clone();
    assert_eq!(
        name, "a\nb\t\u{7}\u{1b}[31m<b>&'\"\u{202e}\u{0}z",
        "a program gets the name as it is"
    );
}

#[cfg(unix)]
#[test]
fn a_file_may_have_any_name_that_the_system_allows() {
    use std::ffi::OsStr;
    use std::os::unix::ffi::OsStrExt as _;
    use std::os::unix::fs::symlink;

    let bench = Bench::new();
    let odd = OsStr::from_bytes(b"sh\xffow\n.ron");
    std::fs::copy(bench.path("show.ron"), bench.path("").join(odd)).unwrap();
    for (verb, code) in [("check", 0), ("read", 0)] {
        let output = bench.command(&[verb]).arg(odd).output().unwrap();
        assert_eq!(output.status.code(), Some(code), "{output:?}");
    }
    std::fs::write(bench.path("").join(odd), "(format: 1, nam: \"x\")").unwrap();
    let output = bench.command(&["read"]).arg(odd).output().unwrap();
    assert_eq!(output.status.code(), Some(1), "{output:?}");
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(said.starts_with("sh\u{fffd}ow .ron:1:13: error: unknown field `nam`"), "{said}");

    symlink("show.ron", bench.path("link.ron")).unwrap();
    symlink("nowhere.ron", bench.path("dangling.ron")).unwrap();
    symlink("loop.ron", bench.path("loop.ron")).unwrap();
    bench.run(&["read", "link.ron"]).code(0).out(&["7  Left"]);
    for link in ["dangling.ron", "loop.ron"] {
        refused(&bench, link, &[&format!("{link}: error: the file cannot be read")]);
    }
}

#[test]
fn a_show_of_nothing_reads_and_draws() {
    let bench = Bench::new();
    bench.write("empty.ron", "(format: 1, name: \"\")");
    bench.run(&["check", "empty.ron"]).code(0).quiet();
    bench.run(&["read", "empty.ron"]).code(0).quiet().out(&["show without a name", "no fixtures"]);
    bench.run(&["draw", "empty.ron", "--out", "empty.svg"]).code(0).quiet();
    bench.run(&["draw", "empty.ron", "--out", "empty.png", "--size", "16x16"]).code(0).quiet();
    bench.run(&["read", "empty.ron", "--look", "any"]).code(2).err(&["it has none"]);
}
