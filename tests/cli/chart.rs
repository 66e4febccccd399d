//! `slotwright chart`.

use crate::harness::{Bench, HEAD};

/// A head with a gap, a condition, a hold, a coloured wheel slot and bounds inside a coarse step. No real
/// fixture's chart.
const CHARTED: &str = r##"(
  maker: "Neutral", model: "ASPEN <1>",
  provenance: (chart: "worked example: no real fixture's chart", software: "1.2"),
  head: Fixed,
  source: White(flux_lm: 1000.0, cct_k: 5600.0), optics: (beam_deg: 20.0, field_deg: 30.0),
  wheels: {"colour": (move_s: 0.1, shortest: true, slots: [Open, Tint("amber, deep", "#ffb000")])},
  modes: [(name: "seven", slots: 7, channels: [
    (name: "Colour", at: [1], snap: true, ranges: [
      (from: 0, to: 127, does: Slot(wheel: "colour", slot: 1)),
      (from: 128, to: 255, does: Slot(wheel: "colour", slot: 2)),
    ]),
    (name: "Kind", at: [2], snap: true, ranges: [
      (from: 0, to: 127, does: Select, label: "angle"), (from: 128, to: 255, does: Select, label: "spin"),
    ]),
    (name: "Turn", at: [4, 3], default: 0x8000, ranges: [
      (fine_from: 0, fine_to: 32895, does: Turn(wheel: "colour", deg: (0.0, 360.0)), label: "angle", when: [("Kind", 0, 127)]),
      (fine_from: 32896, to: 255, does: Idle, when: [("Kind", 0, 127)]),
      (from: 0, to: 255, does: Spin(wheel: "colour", rpm: (-60.0, 60.0)), label: "spin", when: [("Kind", 128, 255)]),
    ]),
    (name: "Control", at: [5], snap: true, ranges: [
      (from: 0, to: 199, does: Idle),
      (from: 210, to: 219, does: Reset(hold_s: 3.0, takes_s: 25.0), label: "reset"),
      (from: 220, to: 255, does: Idle),
    ]),
    (name: "Shutter", at: [6], default: 10, ranges: [
      (from: 0, to: 63, does: Open, label: "open"),
      (from: 64, to: 255, does: Strobe(hz: (0.0, 20.0)), label: "=strobe"),
    ]),
  ])],
)
"##;

fn bench() -> Bench {
    let bench = Bench::new();
    bench.write("aspen.ron", CHARTED);
    bench
}

#[test]
fn the_text_says_what_a_manual_says() {
    let ran = bench().run(&["chart", "aspen.ron"]).code(0);
    ran.out(&[
        "Neutral ASPEN <1>, mode seven, 7 slots",
        "software   1.2",
        "4/3   Turn; rests at 128/0 (358.61 deg)",
        "0/0..128/127      angle",
        "90 deg at 32/32, 180 deg at 64/64, 270 deg at 96/95",
        "128/128..255/255",
        "while Kind is 0..127",
        "200..209",
        "not in the chart",
        "hold 3 s; takes 25 s",
        "jumps in a fade",
        "0.00 Hz to 20.00 Hz",
        "5 Hz at 112, 10 Hz at 160, 15 Hz at 207",
        "not described: slot 7",
    ])
    .err(&["values 200..209 do nothing"]);
}

#[test]
fn the_csv_has_the_columns_it_promises() {
    let ran = bench().run(&["chart", "aspen.ron", "--format", "csv"]).code(0);
    let lines: Vec<&str> = ran.out.lines().collect();
    assert_eq!(lines[0], "slot,channel,from,to,function,physical from,physical to,unit");
    for line in [
        "1,Colour,0,127,open,,,",
        "1,Colour,128,255,\"amber, deep\",,,",
        "4/3,Turn,0/0,128/127,angle (while Kind is 0..127),0,360,deg",
        "4/3,Turn,0,255,spin (while Kind is 128..255),-60,60,rpm",
        "5,Control,200,209,not in the chart,,,",
        "6,Shutter,64,255,=strobe,0,20,Hz",
    ] {
        assert!(lines.contains(&line), "`{line}` should be in\n{ran}");
    }
    assert_eq!(lines.len(), 14, "{ran}");
}

#[test]
fn the_page_is_whole_and_escapes_what_it_is_given() {
    let bench = bench();
    let ran = bench.run(&["chart", "aspen.ron", "--out", "aspen.html"]).code(0);
    ran.out(&["wrote aspen.html"]);
    let page = std::fs::read_to_string(bench.path("aspen.html")).unwrap();
    assert!(page.starts_with("<!DOCTYPE html>") && page.ends_with("</html>\n"));
    for part in [
        "<meta charset=\"utf-8\">",
        "@media print",
        "Neutral ASPEN &lt;1&gt;",
        "style=\"background:#ffb000\"",
        "<tr class=\"gap\">",
        "rowspan=\"3\"",
    ] {
        assert!(page.contains(part), "`{part}` should be in\n{page}");
    }
    assert!(!page.contains("http") && !page.contains("<script") && !page.contains("ASPEN <1>"));
    // Every row has as many cells as the head of the table, those that span rows counted.
    for tag in ["table", "thead", "tbody", "tr", "td", "th", "span", "small", "dl", "footer", "p"] {
        let open =
            page.matches(&format!("<{tag}>")).count() + page.matches(&format!("<{tag} ")).count();
        assert_eq!(open, page.matches(&format!("</{tag}>")).count(), "{tag}");
    }
    let document = page.split_once('\n').unwrap().1.replace("<meta charset=\"utf-8\">", "");
    assert!(resvg::usvg::roxmltree::Document::parse(&document).is_ok(), "it nests");
}

#[test]
fn a_profile_goes_by_file_by_name_or_by_model() {
    let bench = bench();
    for name in ["Tarnfell S1 Spot", "s1 spot"] {
        let ran = bench.run(&["chart", name, "--mode", "Compact"]).code(0).quiet();
        ran.out(&["Tarnfell S1 Spot, mode compact, 16 slots", "5     Shutter; rests at 48 (open)"]);
    }
    bench.run(&["chart", "S1 Spot"]).code(2).err(&["more than one mode", "`full`, `compact`"]);
    bench.run(&["chart", "S1 Spot", "--mode", "compct"]).code(2).err(&["did you mean `compact`?"]);
    bench.run(&["chart", "S1 Spto"]).code(2).err(&["did you mean `S1 Spot`?"]);
    bench.run(&["chart", "nowhere.ron"]).code(1).err(&["nowhere.ron: error"]);
    let ran = bench.run_with(&["chart", "-", "--format", "csv"], HEAD.as_bytes()).code(0);
    ran.out(&["1/2,Pan,0,255,pan,-270,270,deg"]);
    bench.write("bad.ron", "(maker: ");
    bench.run(&["chart", "bad.ron"]).code(1).err(&["bad.ron:1:"]);
}

#[test]
fn every_shipped_mode_has_a_chart_of_every_form() {
    let bench = bench();
    for profile in slotwright::profile::Library::embedded().profiles() {
        for mode in &profile.modes {
            for format in ["text", "csv", "html"] {
                let args = ["chart", &profile.key().0, "--mode", &mode.name, "--format", format];
                let ran = bench.run(&args).code(0).quiet();
                assert!(!ran.out.contains("NaN") && ran.out.lines().count() > 5, "{ran}");
            }
        }
    }
}
