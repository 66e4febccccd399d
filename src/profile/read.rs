//! Reading a profile from its RON text.

use std::path::Path;

use super::model::Profile;
use super::ron_text::from_ron;
use super::validate::{KnownDrawing, validate};
use crate::finding::{Finding, Findings};

/// Reads a profile, and whatever there is to say about it but for what its author accepted.
///
/// `file` is only named in the findings, never opened. `known_drawing` says whether there is a
/// pattern drawing of that name besides the profile's own.
///
/// # Errors
///
/// All findings, where at least one is an error.
pub fn parse_profile(
    text: &str,
    file: Option<&Path>,
    known_drawing: KnownDrawing<'_>,
) -> Result<(Profile, Vec<Finding>), Findings> {
    let profile: Profile = from_ron(text, file)?;
    let mut found = validate(&profile, known_drawing);
    found.accept(&profile.accepted);
    found.drop_accepted();
    let failed = found.failed();
    let findings = found.pin(text, file);
    if failed { Err(Findings(findings)) } else { Ok((profile, findings)) }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::finding::Severity;
    use crate::profile::{Effect, Head, Shape};

    /// A small profile that holds one thing of every kind of place a finding can name.
    pub(crate) const SPOT: &str = r##"(
  maker: "Tarnfell", model: "S1 Spot", revision: "3",
  body: (mass_kg: 17.5, power_w: 340),
  head: Moving(
    pan:  (travel_deg: 540.0, speed_deg_s: 220.0, accel_deg_s2: 700.0),
    tilt: (travel_deg: 270, speed_deg_s: 190.0, accel_deg_s2: 700.0),
  ),
  source: White(flux_lm: 8200.0, cct_k: 7200.0),
  optics: (beam_deg: 13.0, field_deg: 17.0),
  wheels: {
    "colour": (move_s: 0.35, slots: [Open, Tint("amber", "#ffb000"), Tint("deep blue", "#0b2bd6")]),
    "pattern": (move_s: 0.4, slots: [Open, Pattern("three leaves", "three-leaves")]),
  },
  modes: [(
    name: "full", slots: 6,
    channels: [
      (name: "Tilt", at: [1, 2], default: 0x8000, ranges: [(from: 0, to: 255, does: Tilt(deg: (-135.0, 135)))]),
      (name: "Shutter", at: [3], default: 24, snap: true, ranges: [
        (from: 0,   to: 15,  does: Shut, label: "closed"),
        (from: 16,  to: 31,  does: Open, label: "open"),
        (from: 32,  to: 95,  does: Strobe(hz: (0.5, 18.0), shape: Hard)),
        (from: 96,  to: 255, does: Strobe(hz: (0.3, 3.0), shape: Swell), label: "pulse, slow to fast"),
      ]),
      (name: "Pattern", at: [4], ranges: [
        (from: 0, to: 63, does: Slot(wheel: "pattern", slot: 1)),
        (from: 64, to: 255, does: Slot(wheel: "pattern", slot: 2)),
      ]),
      (name: "Pattern turn", at: [5], cell: 1, ranges: [
        (from: 0, to: 255, does: Idle, when: [("Pattern", 0, 63)]),
        (from: 0, to: 255, does: Turn(wheel: "pattern", deg: (0, 360)), when: [("Pattern", 64, 255)]),
      ]),
      (name: "Control", at: [6], ranges: [
        (from: 0, to: 209, does: Idle),
        (from: 210, to: 219, does: Reset(hold_s: 4.0, takes_s: 20.0), label: "reset, hold 4 s"),
        (from: 220, to: 255, does: Idle),
      ]),
    ],
  )],
)
"##;

    fn parse(text: &str) -> Result<(Profile, Vec<Finding>), Findings> {
        parse_profile(text, Some(Path::new("spot.ron")), &|name| name == "three-leaves")
    }

    /// Puts `to` where `from` stands in the sound profile. A finding that starts with `expected`
    /// must be made where `to` has its `§`.
    #[track_caller]
    fn check(from: &str, to: &str, expected: &str) {
        assert_eq!(SPOT.matches(from).count(), 1, "`{from}` should stand there once");
        let marked = SPOT.replacen(from, to, 1);
        let (before, _) = marked.split_once('§').unwrap();
        let line = before.lines().count().max(1);
        let column = before.lines().last().unwrap_or("").chars().count() + 1;
        let expected = format!("spot.ron:{line}:{column}: {expected}");
        let findings = match parse(&marked.replace('§', "")) {
            Ok((_, findings)) => findings,
            Err(findings) => findings.0,
        };
        let lines: Vec<String> = findings.iter().map(Finding::to_string).collect();
        assert!(
            lines.iter().any(|line| line.starts_with(&expected)),
            "{expected}\nshould be among\n{}",
            lines.join("\n")
        );
    }

    #[test]
    fn the_form_of_a_profile_reads_as_its_author_means_it() {
        let (profile, findings) = parse(SPOT).unwrap();
        assert_eq!(findings, []);
        assert!(matches!(&profile.head, Head::Moving { tilt, .. } if tilt.travel_deg == 270.0));
        let mode = profile.mode("full").unwrap();
        assert_eq!(mode.channel("Tilt").unwrap().default, 0x8000);
        let strobe = &mode.channel("Shutter").unwrap().ranges[2].does;
        assert!(
            matches!(strobe, Effect::Strobe { hz: (0.5, 18.0), shape: Shape::Hard, .. }),
            "{strobe:?}"
        );
        let turn = mode.channel("Pattern turn").unwrap();
        assert_eq!((turn.cell, turn.ranges[1].when[0].1), (Some(1), 64));
    }

    #[test]
    fn what_cannot_be_read_is_shown_with_what_would_be_right() {
        check(
            "    channels: [",
            "    §chanels: [",
            "error: unknown field `chanels` of `Mode`; did you mean `channels`? allowed here: `name`",
        );
        check(
            "does: Shut,",
            "does: §Shutt,",
            "error: unknown effect `Shutt`; did you mean `Shut`? allowed here: `Pan`, `Tilt`",
        );
        check("shape: Hard", "§shap: Hard", "error: unknown field `shap`");
        check(
            "(\n  maker: \"Tarnfell\", ",
            "§(\n",
            "error: the field `maker` of `Profile` is missing; add `maker: ...`",
        );
        check("power_w: 340", "power_w: §many", "error: found `many`; a number should");
        check("(0.3, 3.0)", "(0.3§)", "error: found 1 entries; ");
        check("\"pattern\": (", "\"colour\"§: (", "error: the key `colour` is given twice");
        check("at: [4]", "at: [§-4]", "error: the number `-4` does not fit here");
        check("at: [4]", "at: [§70000]", "error: the number `70000` does not fit here");
        check("at: [4]", "at: §4", "error: found `4`; a list");
        check("slots: 6,", "slots: 6, §slots: 7,", "error: the field `slots` is given twice");
        check(
            "optics: (beam_deg: 13.0, field_deg: 17.0),\n  wheels",
            "optics: (beam_deg: 13.0, field_deg: 17.0)\n  §wheels",
            "error: found `wheels`; `,` or",
        );
    }

    #[test]
    fn a_text_that_is_no_profile_at_all_says_so() {
        for (text, expected) in [
            ("", "spot.ron: error: the file is empty"),
            (" \n ", "spot.ron: error: the file is empty"),
            ("{\"a\": 1}", "spot.ron:1:1: error: found `{`; `(`"),
            ("hello world", "spot.ron:1:7: error: found `world`"),
            ("(", "spot.ron:1:"),
            (&"[".repeat(100_000), "spot.ron:1:"),
            (&"(maker:".repeat(100_000), "spot.ron:1:"),
            (&"/*".repeat(100_000), "spot.ron:1:"),
            (&SPOT.replace("\"full\"", "\"full"), "spot.ron:"),
        ] {
            let findings = parse(text).unwrap_err();
            assert!(findings.to_string().starts_with(expected), "{findings}");
        }
    }

    #[test]
    fn ranges_that_cannot_be_meant_are_errors_at_their_place() {
        let shutter = |tail: &str| format!("mode \"full\", channel \"Shutter\", range {tail}");
        check(
            "(from: 16,  to: 31",
            "§(from: 31,  to: 16",
            &shutter("2: error: the range runs from `31` back to `16`"),
        );
        check(
            "(from: 16,  to: 31",
            "§(from: 15,  to: 31",
            &shutter("2: error: value 15 already belongs to range 1"),
        );
        check(
            "to: 95",
            "to: §256",
            &shutter("3: error: the channel has no value `256`; `to` lies in 0..255"),
        );
        check("from: 32,", "from: §-1,", &shutter("3: error: the channel has no value `-1`"));
        check("(from: 32, ", "§(", &shutter("3: error: the range has no `from`"));
        check(
            "from: 32, ",
            "fine_from: §256, ",
            &shutter("3: error: the channel has no value `256`; `fine_from` lies in 0..255"),
        );
    }

    #[test]
    fn conditions_must_be_able_to_hold() {
        let range = |tail: &str| format!("mode \"full\", channel \"Pattern turn\", range {tail}");
        check(
            "(\"Pattern\", 0, 63)",
            "(§\"Patern\", 0, 63)",
            &range("1: error: the mode has no channel `Patern`; did you mean `Pattern`?"),
        );
        check(
            "(\"Pattern\", 0, 63)",
            "(\"Pattern\", §63, 0)",
            &range("1: error: no value lies in `63..0`"),
        );
        check(
            "(\"Pattern\", 0, 63)",
            "(§\"Pattern turn\", 0, 63)",
            &range("1: error: the range depends on its own channel"),
        );
        check(
            "(\"Pattern\", 0, 63)]),\n        (",
            "(\"Pattern\", 0, 64)]),\n        §(",
            &range("2: error: values 0..255 already belong to range 1"),
        );
    }

    #[test]
    fn gaps_and_unknowns_are_told_without_refusing_the_profile() {
        check(
            "\"Control\", at: [6], ranges: [\n        (from: 0, to: 209",
            "\"Control\", at: [6], ranges: §[\n        (from: 0, to: 207",
            "mode \"full\", channel \"Control\": warning: values 208..209 do nothing",
        );
        check(
            "slots: 6",
            "slots: §9",
            "mode \"full\": note: no channel describes slots 7..9 of this mode",
        );
        let text = SPOT.replace("(from: 16,  to: 31,  does: Open, label: \"open\"),", "");
        let (_, findings) = parse(&text).unwrap();
        let whats: Vec<&str> = findings.iter().map(|finding| finding.what.as_str()).collect();
        assert_eq!(whats, ["no range covers the default `24`", "values 16..31 do nothing"]);
        for (said, unknown) in [
            ("move_s: 0.4, ", "the move time of `pattern`"),
            ("speed_deg_s: 220.0, ", "speed or acceleration"),
            ("hold_s: 4.0, ", "how long a reset or lamp value"),
        ] {
            let (_, findings) = parse(&SPOT.replace(said, "")).unwrap();
            assert_eq!((findings.len(), findings[0].severity), (1, Severity::Note));
            assert!(findings[0].what.starts_with(unknown), "{}", findings[0]);
        }
    }

    #[test]
    fn what_the_profile_does_not_have_cannot_be_used() {
        check(
            "Turn(wheel: \"pattern\"",
            "Turn(wheel: §\"patern\"",
            "mode \"full\", channel \"Pattern turn\", range 2: error: the profile has no wheel \
             `patern`; did you mean `pattern`?",
        );
        for slot in ["§3)", "§0)"] {
            check(
                "slot: 2)",
                &format!("slot: {slot}"),
                "mode \"full\", channel \"Pattern\", range 2: error: the wheel `pattern` has no slot",
            );
        }
        check(
            "cell: 1",
            "cell: §2",
            "mode \"full\", channel \"Pattern turn\": error: the profile has no cell `2`",
        );
        check(
            "\"three-leaves\"",
            "§\"four-leaves\"",
            "wheel \"pattern\", slot 2: error: there is no drawing called `four-leaves`",
        );
        check(
            "\"#ffb000\"",
            "§\"#ffb00\"",
            "wheel \"colour\", slot 2: error: `#ffb00` is no colour",
        );
        check(
            "does: Shut,",
            "does: Emitter(name: §\"red\", percent: (0, 100)),",
            "mode \"full\", channel \"Shutter\", range 1: error: the profile has no emitter `red`",
        );
        check(
            "does: Shut,",
            "does: Blade(blade: §5, percent: (0, 100)),",
            "mode \"full\", channel \"Shutter\", range 1: error: there is no blade `5`",
        );
    }

    #[test]
    fn slots_and_names_are_used_once() {
        let shutter = |tail: &str| format!("mode \"full\", channel \"Shutter\": error: {tail}");
        check("at: [3]", "at: [§2]", &shutter("slot `2` belongs to channel `Tilt` already"));
        check("at: [3]", "at: [§0]", &shutter("the mode has no slot `0`"));
        check("at: [3]", "at: [§7]", &shutter("the mode has no slot `7`; its slots are 1..6"));
        check("at: [3]", "at: §[]", &shutter("a channel of 0 slots"));
        check(
            "\"Shutter\"",
            "§\"Tilt\"",
            "mode \"full\", channel \"Tilt\": error: the name `Tilt` is used twice",
        );
        check("slots: 6", "slots: §513", "mode \"full\": error: a mode of `513` slots");
        check(
            "0x8000",
            "§0x18000",
            "mode \"full\", channel \"Tilt\": error: the default `98304` does not fit",
        );
    }

    #[test]
    fn absurd_numbers_are_refused() {
        let nonsense = |item: &str, value: &str| format!("{item}: error: `{value}` makes no sense");
        check("travel_deg: 540.0", "travel_deg: §NaN", &nonsense("head", "NaN"));
        check("travel_deg: 540.0", "travel_deg: §1e9", &nonsense("head", "1000000000"));
        check("flux_lm: 8200.0", "flux_lm: §-1", &nonsense("source", "-1"));
        check("cct_k: 7200.0", "cct_k: §inf", &nonsense("source", "inf"));
        check("field_deg: 17.0", "field_deg: §12", "optics: error: the field angle `12` is");
        check(
            "(0.5, 18.0)",
            "(0.5, §NaN)",
            &nonsense("mode \"full\", channel \"Shutter\", range 3", "NaN"),
        );
        check(
            "hold_s: 4.0",
            "hold_s: §-4",
            &nonsense("mode \"full\", channel \"Control\", range 2", "-4"),
        );
        check(
            "(-135.0, 135)",
            "§(-135.0, 500)",
            "mode \"full\", channel \"Tilt\", range 1: warning: `(-135, 500)` asks for more than",
        );
    }
}
