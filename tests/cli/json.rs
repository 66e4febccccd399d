//! The form of `read --json`, which programs rely on.

use serde_json::Value;

use crate::harness::Bench;

#[track_caller]
fn keys(value: &Value, expected: &[&str]) {
    let keys: Vec<&str> = value.as_object().unwrap().keys().map(String::as_str).collect();
    let mut expected = expected.to_vec();
    expected.sort_unstable();
    assert_eq!(keys, expected);
}

/// Checks a whole reading against the form that `slotwright help read` gives.
#[track_caller]
fn holds_to_the_form(read: &Value) {
    keys(read, &["show", "fixtures"]);
    for fixture in read["fixtures"].as_array().unwrap() {
        let names = [
            "id",
            "label",
            "profile",
            "mode",
            "universe",
            "address",
            "channels",
            "asked",
            "estimates",
        ];
        keys(fixture, &names);
        for channel in fixture["channels"].as_array().unwrap() {
            check_channel(channel);
        }
        check_asked(&fixture["asked"]);
    }
}

#[track_caller]
fn check_channel(channel: &Value) {
    let names = ["name", "slots", "value", "held", "range", "effect", "physical", "unit"];
    keys(channel, &names);
    let slots = channel["slots"].as_array().unwrap();
    assert!((1..=4).contains(&slots.len()), "{channel}");
    for slot in slots.iter().filter(|slot| !slot.is_null()) {
        assert!((1..=512).contains(&slot.as_u64().unwrap()), "{channel}");
    }
    let held = channel["held"].as_str().unwrap();
    assert!(["sent", "kept", "never_sent", "no_slot"].contains(&held), "{channel}");
    assert_eq!(channel["value"].is_null(), held == "never_sent" || held == "no_slot", "{channel}");
    let range = &channel["range"];
    assert_eq!(range.is_null(), channel["effect"].is_null(), "{channel}");
    assert_eq!(channel["physical"].is_null(), channel["unit"].is_null(), "{channel}");
    if !range.is_null() {
        keys(range, &["from", "to", "label"]);
        let number = |value: &Value| value.as_u64().unwrap();
        let value = number(&channel["value"]);
        assert!((number(&range["from"])..=number(&range["to"])).contains(&value), "{channel}");
        assert!(range["label"].is_string() && channel["effect"].is_string(), "{channel}");
    }
}

#[track_caller]
fn check_asked(asked: &Value) {
    let names = [
        "pan",
        "tilt",
        "aim_speed",
        "dark_while_aiming",
        "dark_while_wheels",
        "cells",
        "wheels",
        "zoom_deg",
        "focus",
        "iris",
        "iris_pulse_hz",
        "frost",
        "blades",
        "frame_turn_deg",
        "commands",
        "overridden_by",
        "taken_at_rest",
    ];
    keys(asked, &names);
    for cell in asked["cells"].as_array().unwrap() {
        keys(cell, &["level", "shutter", "emitters", "filters", "temperature_k"]);
    }
    for wheel in asked["wheels"].as_array().unwrap() {
        keys(wheel, &["wheel", "place", "turn"]);
    }
}

#[test]
fn the_form_is_kept() {
    let bench = Bench::new();
    bench.write("half.txt", "1 2 3 4 5 6 7 8 9 10 11 12 13 200");
    bench.write("nothing.csv", "universe,slot,value\n60000,1,1");
    for args in [
        &["read", "--json"][..],
        &["read", "show.ron", "--json"],
        &["read", "show.ron", "--json", "--look", "Left flashes"],
        &["read", "show.ron", "--json", "--frame", "half.txt"],
        &["read", "--json", "--frame", "nothing.csv"],
    ] {
        holds_to_the_form(&bench.run(args).code(0).json());
    }
}

#[test]
fn every_value_of_every_shipped_channel_keeps_the_form() {
    // All slots of the demo show at the same value: every range comes up, numbers stay finite.
    let bench = Bench::new();
    for value in (0..=255).step_by(17) {
        let line = vec![value.to_string(); 512].join(" ");
        bench.write("all.txt", line);
        let args =
            ["--frame", "all.txt", "--universe", "1", "--frame", "all.txt", "--universe", "2"];
        let mut all = vec!["read", "--json"];
        all.extend(args);
        holds_to_the_form(&bench.run(&all).code(0).json());
    }
}

#[test]
fn what_is_asked_is_typed() {
    let bench = Bench::new();
    let read = bench.run(&["read", "show.ron", "--json", "--look", "Left flashes"]).code(0).json();
    let left = &read["fixtures"][0];
    assert_eq!(
        (&left["id"], &left["universe"], &left["address"]),
        (&7.into(), &1.into(), &11.into())
    );
    // Worked example: value 0 is the first of -270..270 degrees, 95 the last of 1..20 Hz.
    assert_eq!(left["asked"]["pan"]["to"]["deg"], -270.0);
    assert_eq!(left["asked"]["cells"][0]["shutter"]["flash"]["hz"], 20.0);
    assert_eq!(left["asked"]["cells"][0]["level"], 1.0);
    let pan = &left["channels"][0];
    assert_eq!((&pan["physical"], &pan["unit"]), (&(-270.0).into(), &"deg".into()));
    assert_eq!(pan["slots"], serde_json::json!([11, 12]));
    assert_eq!(pan["range"], serde_json::json!({"from": 0, "to": 65535, "label": "pan"}));
    // The other head's universe was never heard in this look.
    let right = &read["fixtures"][1];
    assert_eq!(right["channels"][0]["held"], "never_sent");
    assert_eq!(right["asked"]["taken_at_rest"], serde_json::json!([1, 2, 3, 4]));
}
