//! Profiles in the user's folder, and profiles by name.

use crate::harness::{Bench, HEAD, Ran, SHOW};

/// A folder of profiles with the head that `show.ron` uses, which names no file of its own then.
fn bench() -> Bench {
    let bench = Bench::new();
    std::fs::create_dir(bench.path("heads")).unwrap();
    std::fs::rename(bench.path("head.ron"), bench.path("heads/rowan.ron")).unwrap();
    bench.write("show.ron", SHOW.replace("  profile_files: [\"head.ron\"],\n", ""));
    bench
}

fn run(bench: &Bench, args: &[&str]) -> Ran {
    bench.run_in(args, &[("SLOTWRIGHT_PROFILES", "heads")])
}

#[test]
fn the_library_lists_the_users_profiles_with_their_files() {
    let bench = bench();
    let ran = run(&bench, &["library"]).code(0);
    ran.out(&["Neutral ROWAN-6", "rowan.ron", "program", "looked for in heads"]);
    // Without the variable they lie where the desktop keeps what belongs to programs (XDG Base
    // Directory Specification).
    let home = bench.path("data");
    std::fs::create_dir_all(home.join("slotwright")).unwrap();
    std::fs::rename(bench.path("heads"), home.join("slotwright/profiles")).unwrap();
    let mut command = bench.command(&["library"]);
    command.env_remove("SLOTWRIGHT_PROFILES").env("XDG_DATA_HOME", &home);
    let out = String::from_utf8(command.output().unwrap().stdout).unwrap();
    assert!(out.contains("rowan.ron"), "{out}");
}

#[test]
fn shows_and_commands_find_them_by_name() {
    let bench = bench();
    run(&bench, &["read", "show.ron", "--fixture", "7"])
        .code(0)
        .out(&["Neutral ROWAN-6, mode six"]);
    run(&bench, &["check", "show.ron"]).code(0).quiet();
    for word in ["Neutral ROWAN-6", "rowan-6", "heads/rowan.ron"] {
        let ran = run(&bench, &["check", word]).code(0).quiet();
        ran.out(&["rowan.ron:", "values 96..255 do nothing", "1 file, 0 errors"]);
    }
    run(&bench, &["check", "S1 Spot"]).code(0).out(&["1 file, 0 errors"]);
    run(&bench, &["chart", "rowan-6"]).code(0).out(&["Neutral ROWAN-6, mode six"]);
    let shutter = ["value", "ROWAN-6", "--channel", "Shutter", "open"];
    run(&bench, &shutter).code(0).out(&["32"]);
    bench.run(&shutter).code(2).err(&["no profile and no file `ROWAN-6`"]);
    run(&bench, &["check", "S1 Spto"]).code(1).out(&["no profile and no file `S1 Spto`"]);
    let ran = bench.run(&["read", "show.ron"]).code(0);
    ran.err(&["there is no profile `Neutral ROWAN-6`"]).out(&["at least 1 slot"]);
}

#[test]
fn a_broken_file_is_told_with_its_line_and_harms_nothing_else() {
    let bench = bench();
    bench.write("heads/bad.ron", HEAD.replace("does: Shut,", "does: Shutt,"));
    let ran = run(&bench, &["library"]).code(1);
    let ran = ran.out(&["Neutral ROWAN-6"]);
    ran.err(&["heads/bad.ron:15:33: error: unknown effect `Shutt`; did you mean `Shut`?"]);
    run(&bench, &["read", "show.ron"]).code(0).quiet();
    // Where it is the one that a show needs, the show says why it has none.
    std::fs::remove_file(bench.path("heads/rowan.ron")).unwrap();
    let ran = run(&bench, &["read", "show.ron"]).code(0);
    ran.err(&["there is no profile `Neutral ROWAN-6`", "heads/bad.ron:15:33: error: "]);
}

#[test]
fn what_hides_what_is_a_note() {
    let bench = bench();
    let spot = include_str!("../../assets/profiles/tarnfell-s1-spot.ron");
    bench.write("heads/spot.ron", spot);
    let ran = run(&bench, &["library"]).code(0);
    ran.err(&["heads/spot.ron: note: this `Tarnfell S1 Spot` is used and not the one that comes"]);
    bench.write("own.ron", HEAD);
    bench.write("show.ron", SHOW.replace("head.ron", "own.ron"));
    let ran = run(&bench, &["check", "show.ron"]).code(0).quiet();
    ran.out(&["note: the show's own `Neutral ROWAN-6` is used, and hides that of heads/rowan.ron"]);
}
