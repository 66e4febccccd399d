//! Bad input to the commands that explain: a finding with its place, never a panic, a hang or a silent nothing.

use crate::harness::{Bench, SHOW};

/// A bench whose show has a head without an address, one without a profile and one without a mode besides.
fn odd() -> Bench {
    let more = r#"
    (id: 11, label: "Nowhere", profile: "Neutral ROWAN-6", mode: "six", at: (0.0, 3.0, 5.0)),
    (id: 12, label: "No profile", profile: "Neutral NOBODY", mode: "six", universe: 3, slot: 1, at: (0.0, 3.0, 5.0)),
    (id: 13, label: "No mode", profile: "Neutral ROWAN-6", mode: "nine", universe: 3, slot: 50, at: (0.0, 3.0, 5.0)),
  ],
  looks:"#;
    let bench = Bench::new();
    assert!(SHOW.contains("  ],\n  looks:"));
    bench.write("odd.ron", SHOW.replacen("  ],\n  looks:", more.trim_start_matches('\n'), 1));
    bench.write("empty", "");
    bench.write("nul", [0; 5000]);
    bench.write("picture", b"\x89PNG\r\n\x1a\n\xff\xfe");
    bench.write("nested", "[".repeat(200_000));
    bench
}

#[test]
fn no_command_takes_what_is_no_show_or_profile() {
    let bench = odd();
    bench.write("seen.csv", "fixture,seen\n7,is dark\n");
    for (file, says) in [
        ("empty", "the file is empty"),
        ("missing", "there is no"),
        ("nul", "should stand here"),
        ("picture", "is not UTF-8 text"),
        ("nested", "should stand here"),
        (".", "this is a folder"),
    ] {
        for args in [
            &["why", file][..],
            &["stray", file],
            &["misfit", file, "seen.csv"],
            &["watch", file, "--when", "lit"],
            &["diff", file, "levels", "levels"],
            &["drill", file],
        ] {
            let ran = bench.run(args).err(&[says]);
            assert!(matches!(ran.code, 1 | 2) && ran.out.is_empty(), "{ran}");
            assert!(!ran.err.contains("panicked") && ran.err.len() < 2000, "{ran}");
        }
    }
}

#[test]
fn fixtures_and_slots_that_are_not_there_are_wrong_usage() {
    let bench = odd();
    for command in ["why", "stray"] {
        for (option, value, says) in [
            ("--fixture", "99", "the show has no fixture `99`"),
            ("--fixture", "0", "the show has no fixture `0`"),
            ("--fixture", "NaN", "invalid value 'NaN'"),
            ("--slot", "1/513=3", "slot `513` is not one of 1..512"),
            ("--slot", "1/0=3", "slot `0` is not one of 1..512"),
            ("--slot", "0/1=3", "universe `0` is not one of 1..63999"),
            ("--slot", "1/1=NaN", "`NaN` is not a whole number of 0..255"),
            ("--slot", "1/1=256", "`256` is not a whole number of 0..255"),
            ("--look", "nope", "the show has no look `nope`"),
        ] {
            let ran = bench.run(&[command, "odd.ron", option, value]).code(2).err(&[says]);
            assert!(ran.out.is_empty(), "{ran}");
        }
    }
    for after in ["NaN", "-1", "1e9", "inf"] {
        bench.run(&["why", "odd.ron", "--after", after]).code(2).err(&["number of seconds"]);
    }
}

#[test]
fn heads_without_a_profile_or_an_address_are_told_so() {
    let bench = odd();
    let why = |id| bench.run(&["why", "odd.ron", "--fixture", id]).code(0);
    why("11").out(&["it has no address, so that no frame reaches it"]);
    why("12").out(&["not known: no such profile or mode"]);
    why("13").out(&["not known: no such profile or mode"]);
    for (id, says) in [
        ("11", "it has no address, so that no frame reaches it"),
        ("12", "its profile or mode is not to be had"),
        ("13", "its profile or mode is not to be had"),
        ("7", "it has one twin only, and of two nobody can say which is stray"),
    ] {
        let ran = bench.run(&["stray", "odd.ron", "--fixture", id]).code(0).err(&[says]);
        ran.out(&["nothing to compare"]);
    }
    for (id, says) in [
        ("11", "observation 1: error: fixture 11 \"Nowhere\" has no address"),
        ("12", "observation 1: error: the profile of fixture 12 \"No profile\" is not to be had"),
        ("13", "observation 1: error: the profile of fixture 13 \"No mode\" is not to be had"),
    ] {
        bench.write("seen.csv", format!("fixture,seen\n{id},is dark\n"));
        bench.run(&["misfit", "odd.ron", "seen.csv"]).code(1).err(&[says]);
    }
}

#[test]
fn observations_that_cannot_be_meant_are_told_with_their_place() {
    let bench = odd();
    for (text, says) in [
        ("", "the file holds no observation"),
        ("set,fixture,seen\n", "the file holds no observation"),
        ("set,fixture,seen\n1/513=3,7,is dark\n", "observation 1: error: `1/513=3` sets no slot"),
        ("set,fixture,seen\n1/0=3,7,is dark\n", "observation 1: error: `1/0=3` sets no slot"),
        ("set,fixture,seen\n1/1=256,7,is dark\n", "observation 1: error: `1/1=256` sets no slot"),
        ("set,fixture,seen\n,7,is dark\n1/1=NaN,7,is dark\n", "observation 2: error: `1/1=NaN`"),
        ("fixture,seen\nNaN,is dark\n", "seen.csv:2:1: error: `NaN` is no fixture number"),
        ("fixture,seen\n99,is dark\n", "observation 1: error: the show has no fixture `99`"),
        ("fixture,seen\n7,\n", "observation 1: error: `` is nothing that can be seen"),
        ("walk,fixture,seen\n1/1..513,7,does nothing\n", "`1/1..513` is no walk over slots"),
        ("walk,fixture,seen\n1/,7,does nothing\n", "`1/` is no walk over slots"),
        ("walk,fixture,seen\n1/40..2,7,does nothing\n", "40..2 runs backwards; write 2..40"),
        ("walk,fixture,seen\n1/1..9,7,tips up at 600\n", "no slot of the walk"),
        ("[(set:((((((", "seen.csv:1:"),
    ] {
        bench.write("seen.csv", text);
        let ran = bench.run(&["misfit", "odd.ron", "seen.csv"]).code(1).err(&["seen.csv", says]);
        assert!(ran.out.is_empty(), "{ran}");
    }
    for text in [vec![0; 50_000], "x".repeat(50_000).into_bytes()] {
        bench.write("seen.csv", text);
        let ran = bench.run(&["misfit", "odd.ron", "seen.csv"]).code(1).err(&["no column is"]);
        assert!(ran.err.len() < 2000, "{} bytes", ran.err.len());
    }
    let many = format!("fixture,seen\n{}", "7,is dark\n".repeat(200_000));
    bench.write("seen.csv", many);
    bench.run(&["misfit", "odd.ron", "seen.csv"]).code(1).err(&["more than 1 MiB"]);
}

#[test]
fn observations_that_contradict_each_other_go_with_nothing() {
    let bench = odd();
    for text in [
        "fixture,seen\n7,is dark\n7,is lit\n",
        // The slot had that value already: what was sent is the same both times.
        "set,fixture,seen\n,7,is dark\n1/14=40,7,is lit and steady\n",
        "set,fixture,seen\n,9,is dark\n1/14=0,7,is dark\n1/14=40,9,is lit\n",
    ] {
        bench.write("seen.csv", text);
        let ran = bench.run(&["misfit", "odd.ron", "seen.csv", "--look", "Both on"]).code(1);
        ran.out(&["nothing that was tried goes with everything"]).err(&["cannot both be"]);
    }
}

#[test]
fn conditions_that_cannot_be_meant_are_told_with_their_place() {
    let bench = odd();
    let long = "slot 1.7 > 1 and ".repeat(6000);
    let deep = "(".repeat(60_000);
    let nots = format!("{}lit", "not ".repeat(400));
    for (text, says) in [
        ("", "there is no condition"),
        (" ", "there is no condition"),
        ("(", "character 2: error: it ends too early"),
        (&long, "write at most 2000"),
        (&deep, "write at most 2000"),
        (&nots, "--when, character"),
        ("slot 1.513 > 0", "that is no slot"),
        ("slot 1.0 > 0", "that is no slot"),
        ("slot 0.1 > 0", "that is no slot"),
        ("slot 1.1 > NaN", "--when, character 12"),
        ("slot 1.1 > 256", "character 12: error: no slot holds that number; a slot holds 0..255"),
        ("slot 1.1 > -1", "no slot holds that number"),
        ("300 = slot 1.1", "character 1: error: no slot holds that number"),
        ("fixture 99 lit", "the show has no fixture 99"),
        ("fixture 12 lit", "the profile of fixture 12 \"No profile\" is not to be had"),
        ("all of 9..7 lit", "9..7 runs backwards; write 7..9"),
        ("fixture 7 \"Nope\" > 3", "fixture 7 \"Left\" has no channel `Nope`"),
    ] {
        let ran = bench.run(&["watch", "odd.ron", "--when", text]).code(2).err(&[says]);
        assert!(ran.out.is_empty(), "{ran}");
    }
    for (file, says) in [
        ("empty", "the file holds no change"),
        ("missing", "there is no file"),
        ("nul", "nul:1:1"),
        ("picture", "is not UTF-8"),
    ] {
        let args = ["watch", "odd.ron", "--timed", file, "--when", "fixture 7 lit"];
        bench.run(&args).code(1).err(&[says]);
    }
}

#[test]
fn sides_that_cannot_be_meant_are_told() {
    let bench = odd();
    for (side, code, says) in [
        ("look:nope", 2, "the show has no look `nope`"),
        ("slots:1/513=3", 2, "`1/513=3` sets no slot"),
        ("slots:1/0=3", 2, "`1/0=3` sets no slot"),
        ("slots:1/1=NaN", 2, "`1/1=NaN` sets no slot"),
        ("slots:", 2, "sets no slot"),
        ("cue:5", 2, "the show has no cue list"),
        ("at:NaNs", 2, "`NaNs` is no time"),
        ("at:x/-3s", 2, "is no time"),
        ("at:x/1e9s", 2, "is no time"),
        ("mode:nope", 2, "a mode can only be compared with a mode"),
        ("empty", 1, "the file holds no value"),
        ("missing", 1, "there is no file"),
        ("nul", 1, "is no value of a slot"),
        ("picture", 1, "is not UTF-8"),
    ] {
        let ran = bench.run(&["diff", "odd.ron", side, "levels"]).code(code).err(&[says]);
        assert!(ran.out.is_empty(), "{ran}");
    }
}

#[test]
fn drills_and_pages_that_cannot_be_meant_are_told() {
    let bench = odd();
    for (option, says) in [
        ("--level=0", "a level is 1 (first light)"),
        ("--level=99", "a level is 1 (first light)"),
        ("--level=-1", "a level is 1 (first light)"),
        ("--seed=-1", "invalid value '-1' for '--seed"),
        ("--seed=NaN", "invalid value 'NaN' for '--seed"),
        ("--count=0", "0 is not in 1..=200"),
        ("--count=1000000000", "is not in 1..=200"),
        ("--count=-1", "is not in 1..=200"),
        ("--mode=nope", "has no mode `nope`"),
    ] {
        let ran = bench.run(&["drill", "head.ron", option]).code(2).err(&[says]);
        assert!(ran.out.is_empty(), "{ran}");
    }
    bench.write("many.txt", ",7,is dark\n".repeat(200_000));
    for (file, says) in [
        ("many.txt", "line 21: error: there are more errors from here on"),
        ("nul", "line 1: error: `"),
        ("missing", "there is no file"),
        ("picture", "is not UTF-8"),
    ] {
        let ran = bench.run(&["drill", "head.ron", "--answers", file]).code(1).err(&[says]);
        assert!(ran.out.is_empty() && ran.err.len() < 4000, "{} bytes", ran.err.len());
    }
    bench.run(&["drill", "head.ron", "--answers", "empty"]).code(1).out(&["0 of 10 right"]);
    bench.run(&["guide", "--search", " "]).code(2).err(&["there is nothing to look for"]);
    let ran = bench.run(&["guide", "--search", &"a word ".repeat(10_000)]).code(0);
    assert!(ran.out.len() < 200, "{} bytes", ran.out.len());
    bench.run(&["guide", "../../x"]).code(2).err(&["the guide has no page `../../x`"]);
}
