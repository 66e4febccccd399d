//! What is said of a profile: for each kind of finding a profile that has it, which differs in one place
//! from one of which nothing is said. The heads are worked examples, no real fixture's charts.

use std::collections::BTreeSet;
use std::path::Path;

use slotwright::check::check_profile;
use slotwright::finding::{Finding, Severity};
use slotwright::profile::library::FILES;
use slotwright::profile::lint::kinds::ALL;
use slotwright::profile::parse_profile;

/// A spot of which there is nothing to say.
const SPOT: &str = r##"(
  maker: "Neutral", model: "HAZEL",
  provenance: (chart: "worked example: no real fixture's chart"),
  body: (mass_kg: 20.0),
  head: Moving(
    pan: (travel_deg: 540.0, speed_deg_s: 240.0, accel_deg_s2: 400.0),
    tilt: (travel_deg: 270.0, speed_deg_s: 200.0, accel_deg_s2: 400.0),
  ),
  source: White(flux_lm: 10000.0, cct_k: 6500.0),
  optics: (beam_deg: 14.0, field_deg: 18.0),
  wheels: {
    "colour": (move_s: 0.15, shortest: true, slots: [Open, Tint("amber", "#ffb000"), Tint("blue", "#2040ff")]),
    "pattern": (move_s: 0.15, shortest: true, slots: [Open, Pattern("leaf", "leaf")]),
  },
  times: (zoom_s: 0.8, turn_s: 1.0),
  on_loss: (does: Hold),
  drawings: {"leaf": [[(-0.5, -0.5), (0.5, -0.5), (0.0, 0.5)]]},
  modes: [
    (name: "full", slots: 14, channels: [
      (name: "Pan", at: [1, 2], default: 0x8000, ranges: [(from: 0, to: 255, does: Pan(deg: (-270.0, 270.0)))]),
      (name: "Tilt", at: [3, 4], default: 0x8000, ranges: [(from: 0, to: 255, does: Tilt(deg: (-135.0, 135.0)))]),
      (name: "Dimmer", at: [5], ranges: [(from: 0, to: 255, does: Dimmer(percent: (0.0, 100.0), curve: Linear))]),
      (name: "Shutter", at: [6], default: 40, snap: true, ranges: [
        (from: 0, to: 31, does: Shut, label: "closed"),
        (from: 32, to: 63, does: Open, label: "open"),
        (from: 64, to: 255, does: Strobe(hz: (1.0, 20.0)), label: "strobe, slow to fast"),
      ]),
      (name: "Colour", at: [7], snap: true, ranges: [
        (from: 0, to: 63, does: Slot(wheel: "colour", slot: 1)),
        (from: 64, to: 127, does: Slot(wheel: "colour", slot: 2)),
        (from: 128, to: 255, does: Slot(wheel: "colour", slot: 3)),
      ]),
      (name: "Pattern", at: [8], snap: true, ranges: [
        (from: 0, to: 127, does: Slot(wheel: "pattern", slot: 1)),
        (from: 128, to: 255, does: Slot(wheel: "pattern", slot: 2), label: "leaf"),
      ]),
      (name: "Pattern kind", at: [9], snap: true, ranges: [
        (from: 0, to: 127, does: Select, label: "angle"),
        (from: 128, to: 255, does: Select, label: "rotation"),
      ]),
      (name: "Pattern rotation", at: [10], ranges: [
        (from: 0, to: 255, does: Turn(wheel: "pattern", deg: (0.0, 360.0)), label: "angle", when: [("Pattern kind", 0, 127)]),
        (from: 0, to: 255, does: Spin(wheel: "pattern", rpm: (1.0, 60.0)), label: "anticlockwise", when: [("Pattern kind", 128, 255)]),
      ]),
      (name: "Zoom", at: [11], ranges: [(from: 0, to: 255, does: Zoom(deg: (8.0, 40.0)), label: "narrow to wide")]),
      (name: "Aim speed", at: [12], snap: true, ranges: [
        (from: 0, to: 9, does: AimFollow, label: "follow"),
        (from: 10, to: 255, does: AimRate(deg_s: (240.0, 10.0)), label: "fast to slow"),
      ]),
      (name: "Control", at: [13], snap: true, ranges: [
        (from: 0, to: 199, does: Idle),
        (from: 200, to: 209, does: Reset(hold_s: 3.0, takes_s: 25.0), label: "reset, hold 3 s"),
        (from: 210, to: 255, does: Idle, label: "nothing"),
      ]),
      (name: "Spare", at: [14], ranges: [(from: 0, to: 255, does: Idle)]),
    ]),
    (name: "short", slots: 3, channels: [
      (name: "Pan", at: [1], default: 128, ranges: [(from: 0, to: 255, does: Pan(deg: (-270, 270)))]),
      (name: "Tilt", at: [2], default: 128, ranges: [(from: 0, to: 255, does: Tilt(deg: (-135, 135)))]),
      (name: "Dimmer", at: [3], ranges: [(from: 0, to: 255, does: Dimmer(percent: (0, 100), curve: Linear))]),
    ]),
  ],
)
"##;

/// Two cells of two colours of which there is nothing to say.
const CELLS: &str = r##"(
  maker: "Neutral", model: "SORREL",
  provenance: (chart: "worked example: no real fixture's chart"),
  head: Fixed,
  source: Emitters([(name: "red", xy: (0.69, 0.305), flux_lm: 500.0), (name: "green", xy: (0.18, 0.695), flux_lm: 900.0)]),
  optics: (beam_deg: 14.0, field_deg: 18.0),
  on_loss: (does: Hold),
  cells: [(-0.1, 0.0), (0.1, 0.0)],
  modes: [
    (name: "cells", slots: 6, channels: [
      (name: "Dimmer", at: [1], ranges: [(from: 0, to: 255, does: Dimmer(percent: (0.0, 100.0), curve: Linear))]),
      (name: "Cell 1 red", at: [2], default: 255, cell: 1, ranges: [(from: 0, to: 255, does: Emitter(name: "red", percent: (0.0, 100.0)))]),
      (name: "Cell 1 green", at: [3], cell: 1, ranges: [(from: 0, to: 255, does: Emitter(name: "green", percent: (0.0, 100.0)))]),
      (name: "Cell 2 red", at: [4], default: 255, cell: 2, ranges: [(from: 0, to: 255, does: Emitter(name: "red", percent: (0.0, 100.0)))]),
      (name: "Cell 2 green", at: [5], cell: 2, ranges: [(from: 0, to: 255, does: Emitter(name: "green", percent: (0.0, 100.0)))]),
      (name: "Spare", at: [6], ranges: [(from: 0, to: 255, does: Idle)]),
    ]),
  ],
)
"##;

/// The drawings are the profile's own.
fn findings(text: &str) -> Vec<Finding> {
    check_profile(text, Some(Path::new("head.ron")), &|_| false)
}

fn shown(findings: &[Finding]) -> String {
    findings.iter().map(|finding| format!("{finding}\n")).collect()
}

/// The kinds of which the tests have a profile.
#[derive(Default)]
struct Seen(BTreeSet<&'static str>);

impl Seen {
    /// Makes `edits` in a head of which nothing is said. A finding of the kind `code` must then be made
    /// where the new text has its `§`, and say why it matters.
    #[track_caller]
    fn case(&mut self, head: &str, code: &'static str, edits: &[(&str, &str)]) -> Finding {
        let mut text = head.to_owned();
        for (from, to) in edits {
            assert_eq!(text.matches(from).count(), 1, "{code}: `{from}` should stand there once");
            text = text.replacen(from, to, 1);
        }
        let (before, _) = text.split_once('§').unwrap_or_else(|| panic!("{code}: no place"));
        let line = before.matches('\n').count() as u32 + 1;
        let column = before.rsplit('\n').next().unwrap_or("").chars().count() as u32 + 1;
        let findings = findings(&text.replace('§', ""));
        let found = findings.iter().find(|finding| {
            let place = finding.place.text;
            finding.code == code && place.is_some_and(|at| (at.line, at.column) == (line, column))
        });
        let Some(found) = found else {
            panic!(
                "{code} should be said at {line}:{column}, and what is said is\n{}",
                shown(&findings)
            );
        };
        assert!(
            !found.why.is_empty() && !found.what.is_empty() && !found.mend.is_empty(),
            "{found}"
        );
        self.0.insert(code);
        found.clone()
    }

    #[track_caller]
    fn spot(&mut self, code: &'static str, from: &str, to: &str) -> Finding {
        self.case(SPOT, code, &[(from, to)])
    }

    #[track_caller]
    fn cells(&mut self, code: &'static str, from: &str, to: &str) -> Finding {
        self.case(CELLS, code, &[(from, to)])
    }
}

const PAN: &str = "ranges: [(from: 0, to: 255, does: Pan(deg: (-270.0, 270.0)))]";
const SPARE: &str = "(name: \"Spare\", at: [14], ranges: [(from: 0, to: 255, does: Idle)]),";
const THIRD: &str = "(from: 128, to: 255, does: Slot(wheel: \"colour\", slot: 3))";
const CONTROL: &str =
    "(name: \"Control\", at: [13], snap: true, ranges: [\n        (from: 0, to: 199, does: Idle),";
const STROBE: &str = "does: Strobe(hz: (1.0, 20.0)), label: \"strobe, slow to fast\"";
const HOLD: &str = "on_loss: (does: Hold),\n  drawings";

#[test]
fn of_a_sound_profile_there_is_nothing_to_say() {
    for head in [SPOT, CELLS] {
        let findings = findings(head);
        assert!(findings.is_empty(), "\n{}", shown(&findings));
    }
}

#[test]
fn every_kind_of_finding_is_made_where_it_belongs() {
    let mut seen = Seen::default();
    names_and_numbers(&mut seen);
    slots_and_ranges(&mut seen);
    rest_and_fades(&mut seen);
    words_against_numbers(&mut seen);
    parts(&mut seen);
    acceptances(&mut seen);
    let missing: Vec<&str> =
        ALL.iter().map(|kind| kind.code).filter(|code| !seen.0.contains(code)).collect();
    assert_eq!(missing, Vec::<&str>::new(), "no profile has these");
}

fn names_and_numbers(seen: &mut Seen) {
    seen.spot("no-name", "maker: \"Neutral\"", "maker: §\" \"");
    seen.spot("name-twice", "\"Spare\"", "§\"Zoom\"");
    seen.spot("number", "cct_k: 6500.0", "cct_k: §1.0");
    seen.spot("field-angle", "field_deg: 18.0", "field_deg: §8.0");
    let all = "Emitters([(name: \"red\", xy: (0.69, 0.305), flux_lm: 500.0), \
               (name: \"green\", xy: (0.18, 0.695), flux_lm: 900.0)])";
    seen.cells("no-emitter", all, "§Emitters([])");
    seen.spot("colour", "\"#ffb000\"", "§\"#ffb0\"");
    seen.spot("no-slots", "[Open, Pattern(\"leaf\", \"leaf\")]", "§[]");
    seen.spot("drawing", "[(-0.5, -0.5), (0.5, -0.5), (0.0, 0.5)]", "§[(-0.5, -0.5), (0.5, -0.5)]");
    let many = format!("cells: §[{}]", "(0.0, 0.0), ".repeat(513));
    seen.cells("too-many", "cells: [(-0.1, 0.0), (0.1, 0.0)]", &many);
    seen.spot("reference", "Slot(wheel: \"colour\", slot: 2)", "Slot(wheel: §\"color\", slot: 2)");
    let modes = SPOT.find("modes: [").expect("there are modes");
    seen.spot("no-mode", &SPOT[modes..], "modes: §[])");
    // A pan of 5400 degrees is a slip of a zero.
    let high = seen.spot("physical-high", "travel_deg: 540.0", "travel_deg: §5400.0");
    assert!(high.what.starts_with("`5400 deg`"), "{high}");
    seen.spot(
        "physical-high",
        STROBE,
        "does: §Strobe(hz: (1.0, 400.0)), label: \"strobe, slow to fast\"",
    );
    seen.spot("instant", "zoom_s: 0.8", "zoom_s: §0.0");
    seen.spot("assumed", "times: (zoom_s: 0.8, turn_s: 1.0)", "times: §(turn_s: 1.0)");
    seen.spot("assumed", "on_loss: (does: Hold)", "on_loss: §()");
    seen.spot(
        "provenance",
        "(\n  maker: \"Neutral\", model: \"HAZEL\",\n  provenance: (chart: \"worked example: no real fixture's chart\"),",
        "§(\n  maker: \"Neutral\", model: \"HAZEL\",",
    );
}

fn slots_and_ranges(seen: &mut Seen) {
    seen.spot("footprint", "slots: 3,", "slots: §513,");
    seen.spot("slot-outside", "at: [14]", "at: [§15]");
    seen.spot("slot-twice", "at: [14]", "at: [§13]");
    seen.spot("slot-unused", "slots: 14", "slots: §15");
    seen.spot("range-ends", "(from: 32, to: 63", "§(from: 63, to: 32");
    seen.spot("overlap", "(from: 32, to: 63", "§(from: 31, to: 63");
    let gapped = CONTROL.replace("\n        (from: 0, to: 199, does: Idle),", "");
    seen.spot("gap", CONTROL, &gapped.replace("ranges: [", "ranges: §["));
    seen.spot("default-gap", CONTROL, &gapped.replace("(name", "§(name"));
    let kind = "when: [(\"Pattern kind\", 0, 127)]";
    seen.spot("when-unknown", kind, "when: [(§\"Pattern kin\", 0, 127)]");
    seen.spot(
        "when-never",
        kind,
        "when: §[(\"Pattern kind\", 0, 63), (\"Pattern kind\", 64, 127)]",
    );
    seen.spot("when-never", kind, "when: [(\"Pattern kind\", §127, 0)]");
    seen.spot("fine-alone", "\"Spare\"", "§\"Zoom fine\"");
    let apart = [(SPARE, ""), ("(name: \"Zoom\", at: [11]", "(name: \"Zoom\", at: §[11, 14]")];
    seen.case(SPOT, "fine-apart", &apart);
    seen.spot("fine-reversed", "at: [1, 2]", "at: §[2, 1]");
    // 128 in every slot of a wide channel is 32896; 128 with the fine slot at 0 is not.
    seen.spot(
        "straddles",
        PAN,
        "ranges: [(fine_from: 0, fine_to: 32895, does: Idle), (fine_from: §32896, to: 255, does: Pan(deg: (0.0, 270.0)))]",
    );
    seen.spot(
        "same-ranges",
        THIRD,
        "§(from: 128, to: 255, does: Slot(wheel: \"colour\", slot: 2))",
    );
    let unknown = "§(from: 210, to: 255, does: Unknown)";
    seen.spot("unknown", "(from: 210, to: 255, does: Idle, label: \"nothing\")", unknown);
    seen.spot("wheel-slot", "slot: 3)", "slot: §4)");
    let short_pan = "(name: \"Pan\", at: [1], default: 128, ranges: [(from: 0, to: 255, does: Pan(deg: (-270, 270)))])";
    let other = format!("§{}", short_pan.replace("270", "265"));
    let disagree = seen.spot("modes-disagree", short_pan, &other);
    assert_eq!(disagree.severity, Severity::Warning, "{disagree}");
}

fn rest_and_fades(seen: &mut Seen) {
    seen.spot("default-outside", "default: 40", "default: §256");
    // Light-on test: shutter at rest closed, dimmer at full.
    let dark = seen.spot("default-dark", "default: 40", "default: §0");
    assert!(dark.what.contains("`0` is `closed`"), "{dark}");
    assert_eq!(dark.mend, "`default: 32` (`open`) would give light");
    let dim = "(name: \"cells\", slots: 6, channels: [\n";
    let colours_down = [
        (dim, "(name: \"cells\", slots: 6, channels: §[\n"),
        ("at: [2], default: 255", "at: [2]"),
        ("at: [4], default: 255", "at: [4]"),
    ];
    let dark = seen.case(CELLS, "default-dark", &colours_down);
    assert_eq!(dark.severity, Severity::Note, "{dark}");
    seen.spot("default-acts", "at: [13], snap", "at: [13], default: §200, snap");
    seen.spot("default-flashes", "default: 40", "default: §70");
    seen.spot("default-aim", "at: [1, 2], default: 0x8000", "at: [1, 2], default: §0");
    let crosses = seen.spot(
        "fade-crosses",
        "(name: \"Control\", at: [13], snap: true",
        "§(name: \"Control\", at: [13]",
    );
    assert!(crosses.what.contains("`reset, hold 3 s` (values 200..209)"), "{crosses}");
    seen.spot("no-snap", "(name: \"Colour\", at: [7], snap: true", "§(name: \"Colour\", at: [7]");
    let never_steady = [
        ("default: 40, snap: true, ranges: [", "snap: true, ranges: §["),
        ("does: Open, label: \"open\"", "does: Shut, label: \"still closed\""),
    ];
    seen.case(SPOT, "no-open", &never_steady);
    let bright = "does: §Dimmer(percent: (100.0, 0.0), curve: Linear)";
    seen.spot("dimmer-bright", "does: Dimmer(percent: (0.0, 100.0), curve: Linear)", bright);
    seen.spot(
        "hold-unknown",
        "Reset(hold_s: 3.0, takes_s: 25.0), label: \"reset, hold 3 s\"",
        "§Reset(takes_s: 25.0), label: \"reset\"",
    );
}

fn words_against_numbers(seen: &mut Seen) {
    let falling = "does: Strobe(hz: (20.0, 1.0)), label: §\"strobe, slow to fast\"";
    seen.spot("label-sense", STROBE, falling);
    let label = "label: \"narrow to wide\"";
    seen.spot("label-sense", label, "label: §\"wide > narrow\"");
    seen.spot("label-sense", "label: \"fast to slow\"", "label: §\"Slow - Fast\"");
    let spin = "rpm: (1.0, 60.0)), label: \"anticlockwise\"";
    seen.spot("label-turn", spin, "rpm: (1.0, 60.0)), label: §\"clockwise\"");
    seen.spot("label-hold", "label: \"reset, hold 3 s\"", "label: §\"reset, hold 5 s\"");
    seen.spot("label-effect", "label: \"open\"", "label: §\"strobe\"");
    seen.spot("name-effect", "\"Zoom\"", "§\"Focus\"");
    seen.spot("name-effect", "\"Pan\", at: [1, 2]", "§\"Tilt angle\", at: [1, 2]");
    seen.cells("name-effect", "\"Cell 1 green\"", "§\"Cell 1 red too\"");
    seen.spot("wheel-name", "Tint(\"amber\", \"#ffb000\")", "§Tint(\"white\", \"#ffb000\")");
    seen.spot("wheel-name", "Tint(\"amber\", \"#ffb000\")", "§Tint(\"amber\", \"#ffffff\")");
    let from_nothing = "rpm: (0.0, 60.0), even_in: §Seconds), label: \"anticlockwise\"";
    seen.spot("period", spin, from_nothing);
}

fn parts(seen: &mut Seen) {
    let tilt = "does: Tilt(deg: (-135.0, 135.0))";
    seen.spot("travel", tilt, "does: Tilt(deg: §(-200.0, 200.0))");
    let spare = |does: &str| SPARE.replace("does: Idle", does);
    seen.spot("endless", SPARE, &spare("does: PanSpin(rpm: §(1.0, 20.0))"));
    seen.cells("cannot-aim", "does: Idle", "does: §Pan(deg: (-1.0, 1.0))");
    let twice = format!("§{}", spare("does: Zoom(deg: (8.0, 40.0))"));
    let twice = seen.spot("same-part", SPARE, &twice);
    assert!(twice.what.contains("the zoom, and so does `Zoom`"), "{twice}");
    let whole_wheel =
        "\"spare\": §(move_s: 0.1, shortest: true, slots: [Open]),\n    \"pattern\": (";
    seen.spot("wheel-unused", "\"pattern\": (", whole_wheel);
    let unreached = [
        ("slots: [Open, Tint(\"amber\"", "slots: §[Open, Tint(\"amber\""),
        (THIRD, "(from: 128, to: 255, does: Slot(wheel: \"colour\", slot: 1), label: \"white\")"),
    ];
    seen.case(SPOT, "wheel-unreached", &unreached);
    let short =
        ("(name: \"short\", slots: 3, channels: [", "(name: \"short\", slots: 3, channels: §[");
    seen.case(
        SPOT,
        "no-dimmer",
        &[short, ("does: Dimmer(percent: (0, 100), curve: Linear)", "does: Idle")],
    );
    seen.case(SPOT, "no-aim", &[short, ("does: Pan(deg: (-270, 270))", "does: Idle")]);
    let channels = ("slots: 6, channels: [", "slots: 6, channels: §[");
    let green = |cell: u8, slot: u8| {
        format!(
            "at: [{slot}], cell: {cell}, ranges: [(from: 0, to: 255, does: Emitter(name: \"green\", percent: (0.0, 100.0)))]"
        )
    };
    let idle = |cell: u8, slot: u8| {
        format!("at: [{slot}], cell: {cell}, ranges: [(from: 0, to: 255, does: Idle)]")
    };
    let (a, b, c, d) = (green(1, 3), green(2, 5), idle(1, 3), idle(2, 5));
    seen.case(CELLS, "emitter-unused", &[channels, (&a, &c), (&b, &d)]);
    seen.case(CELLS, "cell-unused", &[channels, ("(0.1, 0.0)]", "(0.1, 0.0), (0.3, 0.0)]")]);
}

fn acceptances(seen: &mut Seen) {
    let accept = |entry: &str| format!("on_loss: (does: Hold), accepted: [{entry}],\n  drawings");
    let no_reason = accept("(code: \"gap\", reason: §\"\")");
    seen.spot("no-reason", HOLD, &no_reason);
    seen.spot("unmatched", HOLD, &accept("§(code: \"gap\", reason: \"as the chart has it\")"));
    seen.spot("reference", HOLD, &accept("(code: §\"gapp\", reason: \"as the chart has it\")"));
    let of_an_error = accept("§(code: \"range-ends\", reason: \"it worked so far\")");
    let backwards = ("(from: 32, to: 63", "(from: 63, to: 32");
    seen.case(SPOT, "not-acceptable", &[(HOLD, &of_an_error), backwards]);
}

/// The spot with its shutter closed at rest, and this acceptance.
fn closed_at_rest(acceptance: &str) -> String {
    let accepted = format!("on_loss: (does: Hold), accepted: [{acceptance}],\n  drawings");
    SPOT.replace("default: 40", "default: 0").replace(HOLD, &accepted)
}

#[test]
fn what_is_accepted_is_told_with_its_reason() {
    for at in
        ["", "at: \"mode \\\"full\\\"\",", "at: \"mode \\\"full\\\", channel \\\"Shutter\\\"\","]
    {
        let text =
            closed_at_rest(&format!("(code: \"default-dark\", {at} reason: \"rests closed\")"));
        let findings = findings(&text);
        assert_eq!(findings.len(), 1, "{}", shown(&findings));
        assert_eq!(findings[0].accepted.as_deref(), Some("rests closed"));
    }
    // Half a name is another name, and another kind is another matter.
    for other in [
        "(code: \"default-dark\", at: \"mode \\\"full\\\", channel \\\"Shut\", reason: \"rests closed\")",
        "(code: \"default-acts\", reason: \"rests closed\")",
    ] {
        let findings = findings(&closed_at_rest(other));
        let codes: Vec<&str> = findings.iter().map(|finding| finding.code).collect();
        assert!(codes.contains(&"default-dark") && codes.contains(&"unmatched"), "{codes:?}");
        assert!(findings.iter().all(|finding| finding.accepted.is_none()));
    }
}

#[test]
fn loading_a_profile_leaves_out_what_was_accepted_and_writes_it_back() {
    let gap = SPOT.replace("(from: 210, to: 255, does: Idle, label: \"nothing\"),", "");
    let accepted =
        "on_loss: (does: Hold), accepted: [(code: \"gap\", reason: \"not used\")],\n  drawings";
    let (_, said) = parse_profile(&gap, None, &|_| false).expect("it reads");
    assert_eq!(said.len(), 1, "{}", shown(&said));
    let (profile, said) =
        parse_profile(&gap.replace(HOLD, accepted), None, &|_| false).expect("it reads");
    assert!(said.is_empty(), "{}", shown(&said));
    let again = slotwright::profile::to_ron(&profile);
    assert_eq!(parse_profile(&again, None, &|_| false).expect("it reads").0, profile);
}

#[test]
fn of_a_shipped_profile_nothing_is_left_to_say() {
    for (name, text) in FILES {
        let known = |name: &str| slotwright::light::pattern::drawing(name).is_some();
        let findings = check_profile(text, Some(Path::new(name)), &known);
        let open: Vec<&Finding> = findings.iter().filter(|f| f.accepted.is_none()).collect();
        assert!(open.is_empty(), "{name}:\n{open:#?}");
    }
}
