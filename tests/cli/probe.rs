//! `slotwright probe`.

use crate::harness::Bench;

const NOTES: &str = "\
# maker: Wold
# model: Nameless
# slots: 4
slot,from,to,seen,measured,held
all,0,0,nothing
1,0,255,turns left,0..540
2,32,255,nothing
3,1,255,brighter
4,0,15,light on,,3=255
4,16,99,strobes slow to fast,1..12,3=255
4,100,255,goes dark then homes,,3=255
";

#[test]
fn the_plan_is_printed_or_written_as_a_page() {
    let bench = Bench::new();
    let ran = bench.run(&["probe", "--slots", "3"]).code(0).quiet();
    ran.out(&[
        "CAUTION",
        "1. At rest",
        "2. One slot at a time",
        "goes dark then homes",
        "\n   3 |",
    ]);
    bench.run(&["probe", "--slots", "3", "--out", "plan.html"]).code(0).out(&["wrote plan.html"]);
    let page = std::fs::read_to_string(bench.path("plan.html")).unwrap();
    assert!(page.starts_with("<!DOCTYPE html>") && page.ends_with("</body></html>\n"));
    // Nothing of it is fetched from anywhere.
    assert!(!page.contains("http") && !page.contains("<script"));
}

#[test]
fn notes_to_fill_in_read_back_as_none_and_filled_in_they_make_a_draft() {
    let bench = Bench::new();
    bench.run(&["probe", "--slots", "2", "--out", "notes.csv"]).code(0);
    let empty = std::fs::read_to_string(bench.path("notes.csv")).unwrap();
    assert!(empty.contains("\nall,0,0,,,,\n1,32,32,,,,\n"), "{empty}");
    bench.run(&["probe", "--notes", "notes.csv"]).code(0).quiet().out(&["Set every slot to 0."]);
    bench.write("notes.csv", NOTES);
    let ran = bench.run(&["probe", "--notes", "notes.csv", "--out", "draft.ron"]).code(0);
    ran.err(&["draft.ron: warning: the head turns, and how far was not measured on both axes"]);
    bench.run(&["check", "draft.ron"]).code(0).out(&["1 file, 0 errors"]);
    let draft = std::fs::read_to_string(bench.path("draft.ron")).unwrap();
    for part in [
        "// A draft",
        "maker: \"Wold\"",
        "does: Strobe(hz: (1.0, 12.0))",
        "does: Reset(), label: \"goes dark then homes\"",
        "does: Unknown, label: \"nothing seen\"",
    ] {
        assert!(draft.contains(part), "{part} in\n{draft}");
    }
}

#[test]
fn a_draft_can_be_patched_and_its_unknown_slots_are_read_as_raw_values() {
    let bench = Bench::new();
    bench
        .run(&[
            "probe", "--slots", "6", "--maker", "Neutral", "--model", "ROWAN-6", "--out",
            "head.ron",
        ])
        .code(0);
    let show = crate::harness::SHOW.replace("mode: \"six\"", "mode: \"probed\"");
    bench.write("show.ron", show);
    let ran = bench.run(&["read", "show.ron", "--fixture", "7", "--slot", "1/12=77"]).code(0);
    ran.out(&["Neutral ROWAN-6, mode probed", "Slot 2", "77", "not looked at"]);
}

#[test]
fn what_is_missing_or_bad_is_said() {
    let bench = Bench::new();
    bench.run(&["probe"]).code(2).err(&["neither a number of slots nor notes"]);
    bench.run(&["probe", "--slots", "0"]).code(2).err(&["`0` is not a number of slots, 1..512"]);
    bench.run(&["probe", "--slots", "513"]).code(2);
    bench
        .run(&["probe", "--slots", "3", "--out", "plan.pdf"])
        .code(2)
        .err(&["end its name in .html"]);
    let ran =
        bench.run_with(&["probe", "--notes", "-"], b"slot,from,to,seen\n1,0,300,nothing\n").code(1);
    ran.err(&["standard input:2:1: error: no slot carries the value `300`"]);
    let ran = bench.run_with(&["probe", "--notes", "-"], b"1,0,30,ligth on\n").code(0);
    ran.err(&["warning: `ligth on` is no word of the list; did you mean `light on`?"]);
    bench.run_with(&["probe", "--notes", "-"], b"\xff\xfe\x00").code(1);
    bench.run_with(&["probe", "--notes", "-", "--out", "x.ron"], b"").code(0);
}
