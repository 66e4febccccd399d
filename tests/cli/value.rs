//! `slotwright value`.

use crate::harness::Bench;

/// A pan of 0 to 540 degrees, a shutter and two channels of which one chooses what the other does. No real
/// fixture's chart.
const HEAD: &str = r##"(
  maker: "Neutral", model: "LARCH",
  head: Moving(pan: (travel_deg: 1080.0), tilt: (travel_deg: 270.0)),
  source: White(flux_lm: 1000.0, cct_k: 5600.0), optics: (beam_deg: 20.0, field_deg: 30.0),
  wheels: {"colour": (move_s: 0.1, slots: [Open, Tint("amber", "#ffb000"), Tint("azure", "#2060ff")])},
  modes: [(name: "six", slots: 6, channels: [
    (name: "Pan", at: [1, 2], default: 0x8000, ranges: [(from: 0, to: 255, does: Pan(deg: (0.0, 540.0)))]),
    (name: "Kind", at: [3], ranges: [(from: 0, to: 127, does: Select, label: "plain"), (from: 128, to: 255, does: Select, label: "pulse")]),
    (name: "Shutter", at: [4], default: 20, ranges: [
      (from: 0, to: 15, does: Shut, label: "closed"),
      (from: 16, to: 31, does: Open, label: "open"),
      (from: 32, to: 95, does: Strobe(hz: (0.5, 18.0)), label: "strobe, slow to fast", when: [("Kind", 0, 127)]),
      (from: 32, to: 95, does: Strobe(hz: (0.3, 6.0), shape: Swell), label: "pulse", when: [("Kind", 128, 255)]),
      (from: 96, to: 255, does: Open, label: "open"),
    ]),
    (name: "Colour", at: [5], ranges: [
      (from: 0, to: 9, does: Slot(wheel: "colour", slot: 1), label: "white"),
      (from: 10, to: 19, does: Slot(wheel: "colour", slot: 2), label: "first"),
      (from: 20, to: 255, does: Slot(wheel: "colour", slot: 3)),
    ]),
    (name: "Dimmer", at: [6], ranges: [(from: 0, to: 255, does: Dimmer(percent: (0.0, 100.0)))]),
  ])],
)
"##;

fn bench() -> Bench {
    let bench = Bench::new();
    bench.write("larch.ron", HEAD);
    bench
}

#[test]
fn an_angle_comes_as_coarse_and_fine_with_what_the_coarse_slot_alone_would_miss() {
    // Worked example: 129 deg of 0..540 is 15656 = 61/40; 61 alone is 128.67 deg.
    let bench = bench();
    let args = ["value", "larch.ron", "--channel", "pan", "129 deg"];
    bench.run(&args).code(0).out(&["slot 1 = 61", "slot 2 = 40", "61/40", "129.00 deg", "-0.33"]);
    let ran = bench.run(&["value", "larch.ron", "--channel", "Pan", "129 deg", "--json"]).code(0);
    let read = ran.json();
    assert_eq!(read["value"], 15656);
    assert_eq!(
        read["slots"],
        serde_json::json!([{"slot": 1, "value": 61}, {"slot": 2, "value": 40}])
    );
    let answer = &read["answers"][0];
    let number = |name: &str| answer[name].as_f64().unwrap();
    assert!((number("physical") - 129.0).abs() < 540.0 / 65535.0 / 2.0, "{answer}");
    assert!((number("coarse_error") - (61.0 * 256.0 / 65535.0 * 540.0 - 129.0)).abs() < 1e-9);
    assert_eq!(answer["unit"], "deg");
}

#[test]
fn every_range_that_can_do_it_is_listed_with_what_it_waits_for() {
    let bench = bench();
    let ran = bench.run(&["value", "larch.ron", "--channel", "Shutter", "5 Hz", "--json"]).code(0);
    let read = ran.json();
    // 0.5 + 17.5 * 16/63 = 4.944 Hz at 48; 0.3 + 5.7 * 52/63 = 5.005 Hz at 84.
    assert_eq!(read["value"], 48);
    let answers = read["answers"].as_array().unwrap();
    let of = |i: usize| (&answers[i]["from"], &answers[i]["range"]["label"]);
    assert_eq!(of(0), (&48.into(), &"strobe, slow to fast".into()));
    assert_eq!(of(1), (&84.into(), &"pulse".into()));
    assert_eq!(answers[1]["when"], serde_json::json!([{"slot": 3, "from": 128, "to": 255}]));
    assert!(
        (answers[0]["error"].as_f64().unwrap() - (0.5 + 17.5 * 16.0 / 63.0 - 5.0)).abs() < 1e-9
    );
    // 0.2 s between flashes is 5 Hz.
    let ran = bench.run(&["value", "larch.ron", "--channel", "Shutter", "0.2 s"]).code(0);
    ran.out(&["slot 4 = 48", "Kind is 128..255"]);
}

#[test]
fn words_find_ranges_and_wheel_slots() {
    let bench = bench();
    let value = |channel: &str, effect: &str| {
        let args = ["value", "larch.ron", "--channel", channel, effect, "--json"];
        bench.run(&args).code(0).json()
    };
    let open = value("Shutter", "open");
    assert_eq!((&open["value"], open["answers"].as_array().unwrap().len()), (&16.into(), 2));
    assert_eq!((&open["answers"][0]["to"], &open["answers"][1]["from"]), (&31.into(), &96.into()));
    assert_eq!(value("Shutter", "closed")["value"], 0);
    // By the label of the chart, and by the name of what sits in the wheel.
    assert_eq!(value("Colour", "amber")["value"], 10);
    assert_eq!(value("Colour", "azu")["value"], 20);
    assert_eq!(value("Dimmer", "50 %")["value"], 128);
    assert_eq!(value("Dimmer", "#7")["value"], 7);
}

#[test]
fn what_cannot_be_done_says_what_can() {
    let bench = bench();
    let run = |channel: &str, effect: &str| {
        bench.run(&["value", "larch.ron", "--channel", channel, effect])
    };
    run("Shutter", "40 Hz").code(1).err(&["out of reach", "0.5..18 or 0.3..6 Hz"]);
    run("Pan", "-20 deg").code(1).err(&["0..540 deg"]);
    run("Shutter", "sideways").code(2).err(&["`sideways` is no value of this channel", "open"]);
    run("Shuter", "open").code(2).err(&["did you mean `Shutter`?"]);
    run("Pan", "").code(2).err(&["nothing was typed"]);
    let one_mode = bench.run(&["value", "S1 Spot", "--channel", "Pan", "0 deg"]).code(2);
    one_mode.err(&["more than one mode"]);
    let shipped = ["value", "S1 Spot", "--mode", "full", "--channel", "Colour wheel", "deep"];
    bench.run(&shipped).code(0).out(&["more than one name", "deep red", "deep blue"]);
}
