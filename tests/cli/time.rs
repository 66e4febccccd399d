//! `--after` and `slotwright trace`: what heads do over time.

use serde_json::{Value, json};

use crate::harness::{Bench, HEAD, Ran, SHOW, row};

/// A speed channel with a reset in it, where the head of the other tests has its fine tilt.
const SPEED: &str = r#"(name: "Speed", at: [6], ranges: [
        (from: 0, to: 9, does: AimFollow, label: "follow"),
        (from: 10, to: 199, does: AimRate(deg_s: (200.0, 10.0)), label: "fast to slow"),
        (from: 200, to: 209, does: Reset(hold_s: 4.0, takes_s: 20.0), label: "reset, hold 4 s"),
      ]),
      (name: "Dimmer""#;

fn bench() -> Bench {
    let bench = Bench::new();
    let head = HEAD
        .replace("at: [3, 6], default: 0x8000", "at: [3], default: 128")
        .replace("(name: \"Dimmer\"", SPEED);
    bench.write("head.ron", head);
    let turned = SHOW.replace("[0, 0, 128, 95, 255, 0]", "[255, 255, 128, 40, 255, 0]");
    bench.write("show.ron", turned.replace("Left flashes", "Left turned"));
    bench
}

/// Runs the words of a line, then some more arguments, in the folder of the show.
#[track_caller]
fn run(line: &str, more: &[&str]) -> Ran {
    let args: Vec<&str> = line.split(' ').chain(more.iter().copied()).collect();
    bench().run(&args)
}

/// worked example: 270 degrees at 200 deg/s and 600 deg/s2 take 270/200 + 200/600 = 1.68 s; after the
/// 0.33 s of pushing it has gone 33.3 degrees, and 100 more half a second later.
#[test]
fn a_table_shows_now_beside_asked() {
    let line = "read show.ron --fixture 7";
    let more = ["--look", "Left turned", "--from", "Both on", "--after", "0.833333333"];
    let ran = run(line, &more).code(0).quiet();
    let words = "look \"Left turned\", held 0.833333333 s from look \"Both on\"";
    let ran = ran.out(&[words, "arrives in 0.8 s"]);
    assert!(row(&ran.out, "Pan").ends_with("pan 270.00 deg 133.34 deg"), "{ran}");
    assert!(row(&ran.out, "channel").ends_with("asked now"), "{ran}");
    assert!(row(&ran.out, "Dimmer").ends_with("100.0 % 100.0 % lit"), "{ran}");
    assert!(row(&ran.out, "Shutter").ends_with("open open"), "{ran}");
    assert!(row(&ran.out, "Speed").ends_with("200.0 deg/s"), "{ran}");
    let ran = run(line, &["--look", "Left turned", "--after", "2"]).code(0).quiet();
    let ran = ran.out(&["held 2 s from rest", "arrived"]);
    assert!(row(&ran.out, "Pan").ends_with("270.00 deg 270.00 deg"), "{ran}");
}

#[test]
fn without_a_time_nothing_changes() {
    let ran = run("read show.ron", &[]).code(0).quiet();
    assert!(!ran.out.contains(" now") && !ran.out.contains("arrive"), "{ran}");
    let read = run("read show.ron --json", &[]).code(0).json();
    assert!(read["fixtures"][0].get("now").is_none(), "{read}");
    assert!(read["fixtures"][0]["channels"][0].get("now").is_none(), "{read}");
}

/// worked example: a reset that is held 4 s and takes 20 s.
#[test]
fn a_hold_is_counted_and_then_the_head_homes() {
    let line = "read show.ron --fixture 7 --slot 1/16=205 --after";
    let ran = run(line, &["2"]).code(0).quiet().out(&["reset: held 2.0 of 4 s", "lit, 100 %"]);
    assert!(row(&ran.out, "Speed").ends_with("held 2.0 of 4 s"), "{ran}");
    let ran = run(line, &["9"]).code(0).quiet().out(&["reset: homing, 15.0 s left", "  dark"]);
    assert!(row(&ran.out, "Shutter").ends_with("held dark"), "{ran}");
    run(line, &["40"]).code(0).quiet().out(&["lit, 100 %", "arrived"]);
}

#[test]
fn json_says_what_each_channel_and_fixture_does() {
    let more = ["--look", "Left turned", "--from", "Both on", "--after", "0.833333333"];
    let read = run("read show.ron --json", &more).code(0).quiet().json();
    let left = &read["fixtures"][0];
    let pan = &left["channels"][0]["now"];
    assert_eq!(pan["unit"], json!("deg"));
    assert!((pan["value"].as_f64().unwrap() - 133.3).abs() < 0.1, "{pan}");
    let now = &left["now"];
    assert_eq!((&now["lamp"], &now["estimate"]), (&json!("ready"), &Value::Null));
    assert!((now["pan_arrives_s"].as_f64().unwrap() - 1.683).abs() < 0.01, "{now}");
    assert!(now["state"][0].as_str().unwrap().starts_with("arrives in"), "{now}");
}

#[test]
fn a_time_that_is_none_is_wrong_usage() {
    for time in ["-1", "NaN", "inf", "1e9", "soon"] {
        let ran = run("read show.ron --after", &[time]).code(2);
        ran.err(&["is not a number of seconds, 0..86400"]);
    }
    run("read show.ron --from", &["Both on"]).code(2).err(&["--after"]);
    let ran = run("read show.ron --after 1 --from", &["Both of"]).code(2);
    ran.err(&["--from: error: the show has no look `Both of`; did you mean `Both on`?"]);
}

#[test]
fn a_picture_shows_the_head_on_its_way() {
    let bench = bench();
    let draw = |more: &[&str]| {
        let args = ["draw", "show.ron", "--look", "Left turned", "--out", "a.png"];
        let size = ["--size", "300x200"];
        let ran = bench.run(&[&args[..], &size, more].concat()).code(0).quiet();
        (ran.out, image::open(bench.path("a.png")).unwrap().into_rgba8())
    };
    let (_, arrived) = draw(&[]);
    let (said, early) = draw(&["--after", "0.3", "--from", "Both on"]);
    assert!(said.contains("held 0.3 s from look \"Both on\""), "{said}");
    assert!(early != arrived);
}

/// worked example: a head on its way from pan 0 to 270 has a ghost where it is asked to go, and none once
/// it is there.
#[test]
fn a_picture_has_a_ghost_of_where_a_head_is_asked_to_go() {
    let bench = bench();
    let ghosts = |after: &str| {
        let args = ["draw", "show.ron", "--look", "Left turned", "--from", "Both on"];
        let out = ["--view", "plan", "--out", "a.svg", "--after", after];
        bench.run(&[&args[..], &out].concat()).code(0).quiet();
        let text = std::fs::read_to_string(bench.path("a.svg")).unwrap();
        text.matches("stroke-dasharray").count()
    };
    assert!(ghosts("0.5") > ghosts("5"));
}

/// worked example: 270 degrees at 200 deg/s and 600 deg/s2 from 1 s on; 66.7 degrees of it after half a
/// second.
#[test]
fn timed_frames_are_read_and_drawn_at_an_instant() {
    let bench = bench();
    let text = "0,1,15,255\n0,1,14,40\n0,1,11,128\n0,1,12,0\n1,1,11,255\n1,1,12,255\n9,1,11,0\n";
    bench.write("t.csv", text);
    let args = ["read", "show.ron", "--fixture", "7", "--from", "Both on", "--after", "1.5"];
    let ran = bench.run(&[&args[..], &["--timed", "t.csv"]].concat()).code(0).quiet();
    let ran =
        ran.out(&["3 timed frames of t.csv, at 1.5 s from look \"Both on\"", "arrives in 1.2 s"]);
    assert!(row(&ran.out, "Pan").ends_with("pan 270.00 deg 66.67 deg"), "{ran}");
    let piped = bench.run_with(&[&args[..], &["--timed", "-"]].concat(), text.as_bytes());
    let piped = piped.code(0).quiet();
    assert_eq!(piped.out.replace("standard input", "t.csv"), ran.out);
    let read = bench.run(&[&args[..], &["--timed", "t.csv", "--json"]].concat()).code(0).json();
    assert_eq!(read["fixtures"][0]["channels"][0]["physical"], json!(270.0));

    let draw = ["draw", "show.ron", "--timed", "t.csv", "--size", "300x200", "--after"];
    for (after, out) in [("0.5", "before.png"), ("1.5", "during.png")] {
        let ran = bench.run(&[&draw[..], &[after, "--out", out]].concat()).code(0).quiet();
        ran.out(&[&format!("3 timed frames of t.csv, at {after} s from rest")]);
    }
    let picture = |name: &str| image::open(bench.path(name)).unwrap().into_rgba8();
    assert!(picture("before.png") != picture("during.png"));
}

#[test]
fn timed_frames_need_a_time_and_no_other_frames() {
    let bench = bench();
    bench.write("t.csv", "0,1,513,1");
    for (more, code, part) in [
        (&["--timed", "t.csv"][..], 2, "--after"),
        (&["--timed", "t.csv", "--after", "1", "--look", "Both on"], 2, "cannot be used with"),
        (&["--timed", "t.csv", "--after", "1", "--slot", "1/1=1"], 2, "cannot be used with"),
        (&["--timed", "t.csv", "--after", "1", "--from", "Both of"], 2, "did you mean `Both on`?"),
        (&["--timed", "t.csv", "--after", "1"], 1, "t.csv:1:5: error: there is no slot `513`"),
        (&["--timed", "no.csv", "--after", "1"], 1, "no.csv: error"),
    ] {
        for command in [&["read"][..], &["draw", "--out", "a.png"]] {
            let ran = bench.run(&[command, &["show.ron"], more].concat()).code(code).err(&[part]);
            assert!(ran.out.is_empty() && !bench.path("a.png").exists(), "{ran}");
        }
    }
}

/// worked example: a head that is dark 1 s after the last frame, and one that says nothing and is taken
/// to hold. The time-out of the other is 1.25 s: ANSI E1.11, as quoted by implementations.
#[test]
fn without_a_signal_each_head_does_what_its_profile_says() {
    let bench = bench();
    let head = std::fs::read_to_string(bench.path("head.ron")).unwrap();
    let read = |bench: &Bench, more: &[&str]| {
        let line = ["read", "show.ron", "--fixture", "7", "--look", "Both on", "--from", "Both on"];
        bench.run(&[&line[..], &["--silent-from", "2", "--after"], more].concat()).code(0).quiet()
    };
    read(&bench, &["3.2"]).out(&["silent from 2 s on", "lit, 100 %", "arrived\n"]);
    let words = "no signal: taken to hold what it had, as the profile does not say, for 0.8 s";
    read(&bench, &["4"]).out(&["lit, 100 %", words]);
    let dark = "on_loss: (after_s: 1.0, does: Dark), modes: [(";
    bench.write("head.ron", head.replace("modes: [(", dark));
    read(&bench, &["2.9"]).out(&["lit, 100 %"]);
    let ran =
        read(&bench, &["3.5"]).out(&["  dark\n", "no signal: dark by itself, for 0.5 s; arrived"]);
    assert!(row(&ran.out, "Shutter").ends_with("held dark"), "{ran}");
    bench.write("t.csv", "0,1,15,255\n0,1,14,40\n0,1,11,128\n0,1,12,0\n3,1,15,0\n");
    let args = ["trace", "show.ron", "--timed", "t.csv", "--fixture", "7", "--step", "500"];
    let ran = bench.run(&[&args[..], &["--silent-from", "2"]].concat()).code(0).quiet();
    assert!(row(&ran.out, "3.000").contains("no signal: dark"), "{ran}");
    assert!(row(&ran.out, "2.500").ends_with("arrived"), "{ran}");
    assert!(!ran.out.contains("\n  3.500"), "there is nothing more to come\n{ran}");
    bench.run(&["read", "--silent-from", "2"]).code(2).err(&["--after"]);
}

#[test]
fn a_course_goes_from_one_look_to_another() {
    let more = ["--from", "Both on", "--to", "Left turned"];
    let ran = run("trace show.ron --fixture 7 --step 500", &more).code(0).quiet();
    let ran = ran.out(&["look \"Left turned\" from look \"Both on\"", "7  Left\n", "pan asked"]);
    assert!(row(&ran.out, "0.000").starts_with("0.000 270.00 0.00"), "{ran}");
    assert!(row(&ran.out, "0.500").starts_with("0.500 270.00 66.67"), "{ran}");
    let last = row(&ran.out, "2.000");
    assert!(last.contains("270.00 270.00") && last.ends_with("arrived"), "{ran}");
    assert!(!ran.out.contains("\n  2.500"), "it ends where the head has arrived\n{ran}");
}

#[test]
fn a_course_is_written_as_csv() {
    let bench = bench();
    let args = ["trace", "show.ron", "--to", "Both on", "--fixture", "7"];
    let args = [&args[..], &["--seconds", "1", "--step", "250", "--csv"]].concat();
    let ran = bench.run(&[&args[..], &["-"]].concat()).code(0).quiet();
    let lines: Vec<&str> = ran.out.lines().collect();
    assert!(lines[0].starts_with("seconds,fixture,pan_asked_deg,pan_deg,"), "{ran}");
    assert_eq!(lines.len(), 6, "{ran}");
    let fields = lines[0].split(',').count();
    assert!(lines.iter().all(|line| line.split(',').count() == fields), "{ran}");
    let file = bench.run(&[&args[..], &["course.csv"]].concat()).code(0).quiet();
    file.out(&["wrote course.csv (5 rows)"]);
    assert_eq!(std::fs::read_to_string(bench.path("course.csv")).unwrap(), ran.out);
}

/// worked example: one head follows the frame, the other goes at 104.5 degrees a second.
#[test]
fn heads_that_arrive_apart_are_compared_slot_by_slot() {
    let turn = "trace show.ron --fixture 7 --fixture 9 --slot 1/11=255 --slot 2/1=255";
    let from = ["--look", "Both on", "--from", "Both on"];
    let ran = run(turn, &from).code(0).quiet();
    ran.out(&["7 and 9 arrive together with pan and tilt: 1.67 s"]);
    let ran = run(&format!("{turn} --slot 2/6=105"), &from).code(0).quiet();
    ran.out(&[
        "7 arrives with pan and tilt at 1.67 s, 9 at 2.7",
        "they differ in `slot 6 Speed: 0 in 7, 105 in 9`",
    ]);
    let read = turn.replace("trace", "read");
    let after = ["--after", "0.5", "--look", "Both on", "--from", "Both on"];
    let ran = run(&format!("{read} --slot 2/6=105"), &after).code(0).quiet();
    ran.out(&["`slot 6 Speed: 0 in 7, 105 in 9`"]);
    let ran = run(&read.replace("--fixture 9 ", ""), &after).code(0).quiet();
    assert!(!ran.out.contains("arrive together"), "one alone is not compared\n{ran}");
    let bench = bench();
    let show = std::fs::read_to_string(bench.path("show.ron")).unwrap();
    bench.write("show.ron", show.replace("(at: 1, values: [128, 0,", "(at: 1, values: [0, 0,"));
    let args: Vec<&str> = turn.split(' ').chain(from).collect();
    bench
        .run(&args)
        .code(0)
        .out(&["no slot of theirs is the cause; they started from different places"]);
}

#[test]
fn timed_frames_are_played() {
    let bench = bench();
    let text = "seconds,universe,slot,value\n0,1,15,255\n0,1,14,40\n1,1,11,255\n1,1,12,255\n";
    let args = ["trace", "show.ron", "--timed", "-", "--fixture", "7", "--step", "500"];
    let args = [&args[..], &["--from", "Both on"]].concat();
    let ran = bench.run_with(&args, text.as_bytes()).code(0).quiet();
    let ran = ran.out(&["2 timed frames of standard input from look \"Both on\""]);
    assert!(row(&ran.out, "0.500").starts_with("0.500 0.00 0.00"), "{ran}");
    assert!(row(&ran.out, "1.500").starts_with("1.500 270.00 66.67"), "{ran}");
    assert!(row(&ran.out, "3.000").ends_with("arrived"), "{ran}");
    bench.write("t.csv", text);
    let args = ["trace", "show.ron", "--timed", "t.csv", "--to", "Both on", "--fixture", "7"];
    bench.run(&args).code(2).err(&["cannot be used with"]);
}

#[test]
fn timed_frames_that_are_wrong_are_told_by_their_lines() {
    let bench = bench();
    let args = ["trace", "show.ron", "--timed", "t.csv", "--fixture", "7"];
    for (text, wanted) in [
        ("0,1,513,1", "t.csv:1:5: error: there is no slot `513`"),
        ("0,1,1,256", "t.csv:1:7: error: `256` is no value"),
        ("NaN,1,1,1", "t.csv:1:1: error: `NaN` is no time"),
        ("-1,1,1,1", "t.csv:1:1: error: `-1` is no time"),
        ("0,1,1,1\n2,1,1,1\n1,1,1,1", "t.csv:3:1: error: 1 s is before the 2 s of line 2"),
        ("1,1,1", "t.csv:1:1: error: 3 values in a line"),
        ("", "t.csv: error: the file holds no change"),
        ("\u{0}\u{1},,,\n,,,", "t.csv:1:1: error"),
    ] {
        bench.write("t.csv", text);
        bench.run(&args).code(1).err(&[wanted]);
    }
    bench.write("t.csv", [0xff, 0xfe, 0x00]);
    bench.run(&args).code(1).err(&["not UTF-8"]);
    bench.run(&["trace", "show.ron", "--timed", "no.csv", "--fixture", "7"]).code(1);
}

#[test]
fn a_course_too_long_to_print_is_refused() {
    let ran = run("trace show.ron --fixture 7 --seconds 86400 --step 1", &[]).code(2);
    ran.err(&["--seconds: error", "give a longer --step"]);
    run("trace show.ron", &[]).code(2).err(&["--fixture"]);
    let ran = run("trace show.ron --fixture 7 --to", &["Both of"]).code(2);
    ran.err(&["--to: error: the show has no look `Both of`"]);
}
