//! Texts that are no profile, no show and no frame.

use std::path::Path;
use std::time::{Duration, Instant};

use slotwright::profile::parse_profile;
use slotwright::show::parse_show;
use slotwright::wire::parse_frame_text;

/// Every reader must refuse the text, with the file named, and soon.
#[track_caller]
fn check_refused(name: &str, text: &str) {
    let start = Instant::now();
    let file = Some(Path::new("bad.file"));
    let profile =
        parse_profile(text, file, &|_| true).map(|_| ()).expect_err("it should be refused");
    let show = parse_show(text, file, &|_| true).map(|_| ()).expect_err("it should be refused");
    let frame = parse_frame_text(text, None, file).map(|_| ()).expect_err("it should be refused");
    for findings in [profile, show, frame] {
        let line = findings.to_string();
        assert!(line.starts_with("bad.file"), "{name}: {line}");
        assert!(line.len() < 100_000, "{name}: a message of {} bytes", line.len());
    }
    assert!(start.elapsed() < Duration::from_secs(10), "{name}: took {:?}", start.elapsed());
}

#[test]
fn what_is_no_ron_is_refused_with_a_place() {
    for text in
        ["", " \n\t", "hello", "{", "(", ")", "\"", "/*", "//", "#![", "(:)", "\u{feff}", "r#\""]
    {
        check_refused(text, text);
    }
    check_refused("nul", "\0\0\0\0");
    check_refused("wide", "ﷺ🎚\u{202e}(maker: ");
}

#[test]
fn deep_nesting_costs_no_stack() {
    for open in ["(", "[", "{", "/*", "(a:", "[(", "{\"a\":", "Some(", "#![enable("] {
        check_refused(open, &open.repeat(100_000));
        let show = format!("(format: 1, name: \"x\", looks: {}", open.repeat(100_000));
        check_refused(open, &show);
    }
}

#[test]
fn a_long_text_without_sense_is_refused_soon() {
    check_refused("one word", &"x".repeat(1 << 20));
    check_refused("one number", &"9".repeat(1 << 20));
    check_refused("one string", &format!("\"{}", "y".repeat(1 << 20)));
    check_refused("zeros", &"\0".repeat(1 << 20));
    check_refused("lines", &"\n".repeat(1 << 20));
    check_refused("values", &"300 ".repeat(1 << 18));
}

#[test]
fn a_show_with_a_hundred_thousand_mistakes_names_some_of_them() {
    let values = "256, ".repeat(100_000);
    let text = format!(
        "(format: 1, name: \"x\", looks: [(name: \"a\", universes: {{1: [(at: 1, values: [{values}])]}})])"
    );
    let findings = parse_show(&text, None, &|_| true).unwrap_err();
    assert!(findings.0.len() <= 201, "{}", findings.0.len());
    let fixtures =
        "(id: 0, profile: \"\", mode: \"\", universe: 0, slot: 0, at: (NaN, 0, 0)),".repeat(20_000);
    let text = format!("(format: 1, name: \"x\", fixtures: [{fixtures}])");
    let findings = parse_show(&text, None, &|_| true).unwrap_err();
    assert!(findings.0.len() <= 201, "{}", findings.0.len());
}

#[test]
fn a_profile_of_many_ranges_and_conditions_is_checked_soon() {
    let when: String = (0..200).map(|i| format!("(\"C{i}\", {i}, 255),")).collect();
    let range = format!("(from: 0, to: 255, does: Idle, when: [{when}]),").repeat(1000);
    let channels: String =
        (0..200).map(|i| format!("(name: \"C{i}\", at: [{}], ranges: []),", i + 2)).collect();
    let text = format!(
        "(maker: \"M\", model: \"N\", head: Fixed, source: White(flux_lm: 1, cct_k: 3000), \
         optics: (beam_deg: 1, field_deg: 2), modes: [(name: \"m\", slots: 512, channels: [\
         (name: \"A\", at: [1], ranges: [{range}]), {channels}])])"
    );
    let start = Instant::now();
    assert!(parse_profile(&text, None, &|_| true).is_err());
    assert!(start.elapsed() < Duration::from_secs(10), "took {:?}", start.elapsed());
}

/// A mark at the beginning, line ends of two characters and tabs move no line and no column.
#[test]
fn columns_are_those_that_an_editor_shows() {
    let show = |field: &str, slot: &str| {
        format!(
            "\u{feff}(\r\n\tformat: 1,\r\n\tname: \"é🎚\",\r\n\t{field}: [\r\n\t\t(id: 1, slot: {slot}, \
             universe: 1, profile: \"Tarnfell S1 Spot\", mode: \"compact\", at: (0, 0, 5)),\r\n\t],\r\n)\r\n"
        )
    };
    for (text, expected) in [
        (show("fixtures", "513"), "bad.file:5:17: fixture 1: error: there is no slot `513`"),
        (show("fixtrues", "1"), "bad.file:4:2: error: unknown field `fixtrues`"),
        (show("fixtures", "one"), "bad.file:5:17: error: "),
    ] {
        let findings = parse_show(&text, Some(Path::new("bad.file")), &|_| true).unwrap_err();
        assert!(findings.to_string().starts_with(expected), "{findings}\nshould start {expected}");
    }
    let frame = parse_frame_text("\u{feff}1\t2\r\n\t300\r\n", None, Some(Path::new("bad.file")));
    let findings = frame.unwrap_err().to_string();
    assert!(findings.starts_with("bad.file:2:2: error: `300`"), "{findings}");
}

#[test]
fn a_profile_too_big_to_draw_is_refused() {
    let profile = |cells: usize, corners: usize| {
        let cells = "(0.1, 0.2), ".repeat(cells);
        let corners = "(0.1, 0.2), ".repeat(corners);
        format!(
            "(maker: \"M\", model: \"N\", head: Fixed, source: White(flux_lm: 1, cct_k: 3000), \
             optics: (beam_deg: 1, field_deg: 2), cells: [{cells}], drawings: {{\"d\": [[{corners}]]}}, \
             modes: [(name: \"m\", slots: 1, channels: [])])"
        )
    };
    for (cells, corners, expected) in [
        (100_000, 3, "error: 100000 cells in one fixture; 512 are allowed"),
        (1, 100_000, "drawing \"d\": error: 100000 corners in one drawing; 1024 are allowed"),
    ] {
        let findings = parse_profile(&profile(cells, corners), None, &|_| true).unwrap_err();
        assert!(findings.to_string().contains(expected), "{findings}");
    }
    assert!(parse_profile(&profile(512, 1024), None, &|_| true).is_ok());
}
