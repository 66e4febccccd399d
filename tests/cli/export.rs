//! `slotwright export`.

use crate::harness::Bench;

#[test]
fn a_profile_becomes_a_description_that_import_reads() {
    let bench = Bench::new();
    let ran = bench.run(&["export", "Tarnfell S1 Spot", "--out", "spot.gdtf"]).code(0);
    let ran = ran.out(&["spot.gdtf: Tarnfell S1 Spot, full (36 slots), compact (16 slots)"]);
    ran.err(&["channel \"Aim speed\": warning: `AimFollow` reads back as `Unknown`"]);
    let ran = bench.run(&["import", "spot.gdtf", "--out", "spot.ron"]).code(0);
    ran.out(&["spot.ron: Tarnfell S1 Spot, full (36 slots), compact (16 slots)"]);
    bench.run(&["check", "spot.ron"]).code(0).out(&["1 file, 0 errors"]);
}

#[test]
fn a_file_that_is_there_is_not_written_over_unless_told_to() {
    let bench = Bench::new();
    bench.write("x.gdtf", "mine");
    let ran = bench.run(&["export", "Tarnfell S1 Spot", "--out", "x.gdtf"]).code(1);
    ran.err(&["x.gdtf: error: there is a file of this name already", "`--force`"]);
    assert_eq!(std::fs::read(bench.path("x.gdtf")).unwrap(), b"mine");
    bench.run(&["export", "Tarnfell S1 Spot", "--out", "x.gdtf", "--force"]).code(0);
    assert_ne!(std::fs::read(bench.path("x.gdtf")).unwrap(), b"mine");
}

#[test]
fn what_cannot_be_exported_is_told_and_nothing_is_written() {
    let bench = Bench::new();
    bench.write("broken.ron", "(maker: \"Neutral\"");
    bench.run(&["export", "broken.ron", "--out", "x.gdtf"]).code(1).err(&["broken.ron"]);
    bench.run(&["export", "No such head", "--out", "x.gdtf"]).code(2);
    bench.run(&["export", "Tarnfell S1 Spot"]).code(2).err(&["--out"]);
    assert!(!bench.path("x.gdtf").exists());
}
