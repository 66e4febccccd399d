//! Frame files on the command line.

use std::io::{Read as _, Write as _};
use std::process::Stdio;

use serde_json::{Value, json};

use crate::harness::{Bench, Ran};

/// Value and `held` of a channel of fixture 7, whose slots are 11..16 of universe 1.
#[track_caller]
fn channel(ran: &Ran, name: &str) -> (Value, Value) {
    let read = ran.json();
    let channels = read["fixtures"][0]["channels"].as_array().unwrap();
    let channel = channels.iter().find(|channel| channel["name"] == name).unwrap();
    (channel["value"].clone(), channel["held"].clone())
}

fn read(bench: &Bench, args: &[&str]) -> Ran {
    let mut all = vec!["read", "show.ron", "--json", "--fixture", "7"];
    all.extend(args);
    bench.run(&all).code(0)
}

fn values(count: usize, of: impl Fn(usize) -> u8) -> String {
    (0..count).map(|i| of(i).to_string()).collect::<Vec<_>>().join(" ")
}

#[test]
fn slots_past_the_end_of_a_short_frame_are_not_sent_which_is_not_0() {
    let bench = Bench::new();
    bench.write("desk.txt", values(14, |_| 0));
    let ran = read(&bench, &["--frame", "desk.txt", "--universe", "1"]);
    assert_eq!(channel(&ran, "Pan"), (json!(0), json!("sent")));
    assert_eq!(channel(&ran, "Shutter"), (json!(0), json!("sent")));
    assert_eq!(channel(&ran, "Dimmer"), (Value::Null, json!("never_sent")));
    // Its fine slot, 16, was not reached: half a value is none.
    assert_eq!(channel(&ran, "Tilt"), (Value::Null, json!("never_sent")));
    let table = bench.run(&["read", "show.ron", "--frame", "desk.txt"]).code(0);
    let table = table.out(&["0 - not sent", "not sent: no frame ever carried it, which is not 0"]);
    let dimmer = table.out.lines().find(|line| line.contains("Dimmer")).unwrap();
    assert!(dimmer.contains("not sent") && !dimmer.contains('%'), "{table}");
}

#[test]
fn frames_are_applied_in_order_and_a_shorter_one_keeps_what_was_there() {
    let bench = Bench::new();
    bench.write("long.txt", values(20, |_| 40));
    bench.write("short.txt", "# only pan\n0,0,0,0,0\n0,0,0,0,0\n1,2");
    let ran = read(&bench, &["--frame", "long.txt", "--frame", "short.txt", "--universe", "1"]);
    assert_eq!(channel(&ran, "Pan"), (json!(0x0102), json!("sent")));
    assert_eq!(channel(&ran, "Shutter"), (json!(40), json!("kept")));
    let table = bench.run(&["read", "show.ron", "--frame", "long.txt", "--frame", "short.txt"]);
    table.code(0).out(&["frame long.txt, frame short.txt", "40 (kept)", "kept: an earlier frame"]);
    let ran = read(&bench, &["--look", "Both on", "--frame", "short.txt", "--universe", "1"]);
    assert_eq!(channel(&ran, "Dimmer"), (json!(255), json!("kept")));
}

#[test]
fn each_frame_file_may_have_its_universe() {
    let bench = Bench::new();
    bench.write("a.txt", values(16, |i| i as u8 + 1));
    bench.write("b.txt", values(6, |i| i as u8 + 101));
    let args = ["read", "show.ron", "--json", "--frame", "b.txt", "--universe", "2"];
    let mut args = args.to_vec();
    args.extend(["--frame", "a.txt", "--universe", "1"]);
    let ran = bench.run(&args).code(0).quiet();
    assert_eq!(channel(&ran, "Shutter"), (json!(14), json!("sent")));
    assert_eq!(ran.json()["fixtures"][1]["channels"][2]["value"], json!(104));
    let swapped =
        bench.run(&["read", "show.ron", "--frame", "a.txt", "--universe", "1", "--universe", "2"]);
    swapped.code(2).err(&["--universe: error: 2 universes are given for one frame file"]);
}

#[test]
fn lines_of_universe_slot_and_value_set_just_those_slots() {
    let bench = Bench::new();
    bench.write("slots.csv", "universe,slot,value\n1,15,77\n2,1,5\n");
    let ran = read(&bench, &["--frame", "slots.csv"]);
    assert_eq!(channel(&ran, "Dimmer"), (json!(77), json!("sent")));
    assert_eq!(channel(&ran, "Shutter"), (Value::Null, json!("never_sent")));
}

#[test]
fn of_513_values_the_first_is_the_start_code() {
    // ANSI E1.11-2008, 8.5.1: only packets with start code 0 carry levels.
    let bench = Bench::new();
    bench.write("levels.txt", format!("0 {}", values(512, |i| i as u8)));
    let ran = read(&bench, &["--frame", "levels.txt", "--universe", "1"]);
    let ran =
        ran.err(&["levels.txt: note: 513 values: the first, `0`, was taken as the start code"]);
    assert_eq!(channel(&ran, "Shutter"), (json!(13), json!("sent")));
    bench.write("other.txt", format!("204 {}", values(512, |_| 255)));
    let ran = read(&bench, &["--frame", "other.txt", "--universe", "1"]);
    let ran = ran.err(&["other.txt", "`204`, is a start code", "no levels"]);
    assert_eq!(channel(&ran, "Shutter"), (Value::Null, json!("never_sent")));
}

#[test]
fn standard_input_is_a_frame_file_called_dash() {
    let bench = Bench::new();
    let args = ["read", "show.ron", "--json", "--frame", "-", "--universe", "1"];
    let ran = bench.run_with(&args, values(16, |i| i as u8).as_bytes()).code(0);
    assert_eq!(channel(&ran, "Shutter"), (json!(13), json!("sent")));
    let ran = bench.run_with(&args, b"1 2 3\n4 lots").code(1);
    ran.err(&["standard input:2:3: error: `lots` is no value of a slot"]);
    bench.run_with(&args, b"").code(1).err(&["standard input: error: the file holds no value"]);
}

#[cfg(target_os = "linux")]
#[test]
fn a_pipe_is_read_like_a_file() {
    let bench = Bench::new();
    let args = ["read", "show.ron", "--json", "--frame", "/dev/stdin", "--universe", "1"];
    let ran = bench.run_with(&args, values(16, |i| i as u8).as_bytes()).code(0);
    assert_eq!(channel(&ran, "Shutter"), (json!(13), json!("sent")));
}

#[test]
fn a_frame_that_cannot_be_meant_is_refused_at_its_place() {
    let bench = Bench::new();
    for (text, part) in [
        (values(600, |_| 1), "error: the file holds 600 values"),
        ("1 2\n3 256".to_owned(), "frame.txt:2:3: error: `256` is no value of a slot"),
        ("1 -1".to_owned(), "frame.txt:1:3: error: `-1` is no value of a slot"),
        ("1 1.5".to_owned(), "frame.txt:1:3: error: `1.5` is no value of a slot"),
        ("0xFF".to_owned(), "numbers are decimal here: `255`"),
        ("universe,slot,value\n1,0,5".to_owned(), "frame.txt:2:3: error: there is no slot `0`"),
        ("universe,slot,value\n1,513,5".to_owned(), "there is no slot `513`; slots are 1..512"),
        ("universe,slot,value\n0,1,5".to_owned(), "there is no universe `0`"),
    ] {
        bench.write("frame.txt", text);
        let ran = bench.run(&["read", "show.ron", "--frame", "frame.txt"]).code(1).err(&[part]);
        assert!(ran.out.is_empty(), "{ran}");
    }
    bench.run(&["read", "show.ron", "--frame", "nowhere.txt"]).code(1).err(&["nowhere.txt: error"]);
}

/// Starts a command that waits for its frame, so that its output can be cut off for certain before
/// it writes.
fn cut_off(bench: &Bench, args: &[&str], close_err: bool) -> i32 {
    let mut command = bench.command(args);
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().unwrap();
    drop(child.stdout.take());
    if close_err {
        drop(child.stderr.take());
    }
    child.stdin.take().unwrap().write_all(b"1 2 3").unwrap();
    let code = child.wait().unwrap().code();
    if let Some(mut err) = child.stderr.take() {
        let mut said = String::new();
        err.read_to_string(&mut said).unwrap();
        assert!(!said.contains("panicked") && !said.contains("pipe"), "{said}");
    }
    code.unwrap_or(-1)
}

#[test]
fn a_reader_that_has_seen_enough_is_no_error() {
    let bench = Bench::new();
    for args in [&["read", "show.ron", "--frame", "-"][..], &["read", "--json", "--frame", "-"]] {
        assert_eq!(cut_off(&bench, args, false), 0);
        assert_eq!(cut_off(&bench, args, true), 0);
    }
}

#[cfg(target_os = "linux")]
#[test]
fn a_result_that_cannot_be_written_is_told() {
    let bench = Bench::new();
    let full = std::fs::File::options().write(true).open("/dev/full").unwrap();
    let output = bench.command(&["read", "show.ron"]).stdout(full).output().unwrap();
    let err = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(1), "{err}");
    assert!(err.contains("error: the result cannot be written"), "{err}");
}
