//! `slotwright import`.

use crate::gdtf_file::{Parts, mode, pack, plain};
use crate::harness::Bench;

fn alder() -> Vec<u8> {
    let channels = plain("1,2", "Yoke", "Pan", r#"PhysicalFrom="-270" PhysicalTo="270""#)
        + &plain("3", "Lens", "Dimmer", "")
        + &plain("4", "Body", "Fans", "");
    Parts { modes: &mode(&channels), ..Parts::default() }.packed()
}

#[test]
fn a_description_becomes_a_profile_that_check_passes() {
    let bench = Bench::new();
    bench.write("alder.gdtf", alder());
    let ran = bench.run(&["import", "alder.gdtf", "--out", "alder.ron"]).code(0);
    let ran = ran.out(&["alder.ron: Neutral ALDER, m (4 slots)"]);
    ran.err(&["alder.gdtf: note: the attribute `Fans` has no counterpart here"]);
    bench.run(&["check", "alder.ron"]).code(0).out(&["1 file, 0 errors"]);
}

#[test]
fn a_file_that_is_there_is_not_written_over_unless_told_to() {
    let bench = Bench::new();
    bench.write("alder.gdtf", alder());
    let head = std::fs::read(bench.path("head.ron")).unwrap();
    let ran = bench.run(&["import", "alder.gdtf", "--out", "head.ron"]).code(1);
    ran.err(&["head.ron: error: there is a file of this name already", "`--force`"]);
    assert_eq!(std::fs::read(bench.path("head.ron")).unwrap(), head);
    bench.run(&["import", "alder.gdtf", "--out", "head.ron", "--force"]).code(0);
    assert_ne!(std::fs::read(bench.path("head.ron")).unwrap(), head);
}

#[test]
fn what_cannot_be_used_is_told_and_nothing_is_written() {
    let bench = Bench::new();
    bench.write("alder.gdtf", alder());
    let ran = bench.run(&["import", "alder.gdtf", "--mode", "n", "--out", "x.ron"]).code(1);
    ran.err(&["alder.gdtf: error: the file has no mode `n`"]);
    bench.write("text.gdtf", "hello");
    let ran = bench.run(&["import", "text.gdtf", "--out", "x.ron"]).code(1);
    ran.err(&["text.gdtf: error: it is no whole zip archive"]);
    bench.write("bad.gdtf", pack(&[("description.xml", b"<GDTF>\n  <A x='&b;'/></GDTF>")]));
    let ran = bench.run(&["import", "bad.gdtf", "--out", "x.ron"]).code(1);
    ran.err(&["bad.gdtf:2:3: error: the attribute `x` cannot be read"]);
    bench.run(&["import", "nowhere.gdtf", "--out", "x.ron"]).code(1).err(&["cannot be read"]);
    bench.run(&["import", "alder.gdtf"]).code(2).err(&["--out"]);
    assert!(!bench.path("x.ron").exists());
}

#[test]
fn a_part_that_cannot_be_used_makes_the_code_1_and_the_profile_is_sound_all_the_same() {
    let bench = Bench::new();
    let channels = plain("1", "Lens", "Dimmer", "") + &plain("1", "Head", "Zoom", "");
    let file = Parts { modes: &mode(&channels), ..Parts::default() }.packed();
    bench.write("alder.gdtf", file);
    let ran = bench.run(&["import", "alder.gdtf", "--out", "alder.ron"]).code(1);
    let ran = ran.out(&["alder.ron: Neutral ALDER"]);
    ran.err(&["channel \"Zoom\": error: slot 1 belongs to another channel already"]);
    bench.run(&["check", "alder.ron"]).code(0);
}
