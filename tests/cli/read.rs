//! `slotwright read`, as a table.

use crate::harness::{Bench, row};

#[test]
fn a_look_is_read_channel_by_channel() {
    // Worked example: 540 degrees over 65535 steps, so 32768 lies half a step past the middle.
    let ran = Bench::new().run(&["read", "show.ron"]).code(0).quiet();
    assert!(ran.out.starts_with("Test barn: look \"Both on\"\n"), "{ran}");
    let ran =
        ran.out(&["7  Left\n", "Neutral ROWAN-6, mode six, 1/11..16\n", "2/1..6", "lit, 100 %"]);
    assert_eq!(row(&ran.out, "Pan"), "Pan 11 12 128 0 = 32768 0..65535 pan 0.00 deg");
    assert_eq!(row(&ran.out, "Tilt"), "Tilt 13 16 128 0 = 32768 0..65535 tilt 0.00 deg");
    assert_eq!(row(&ran.out, "Shutter"), "Shutter 14 40 32..63 open");
    assert_eq!(row(&ran.out, "Dimmer"), "Dimmer 15 255 0..255 dimmer 100.0 %");
}

#[test]
fn a_look_is_chosen_by_name_and_slots_are_set_over_it() {
    let args =
        ["read", "show.ron", "--look", "left flashes", "--slot", "1/11=255", "--slot", "1/12=255"];
    let ran = Bench::new().run(&args).code(0).quiet();
    let ran = ran.out(&["look \"Left flashes\", 2 slots set", "20.00 flashes a second"]);
    assert_eq!(row(&ran.out, "Pan"), "Pan 11 12 255 255 = 65535 0..65535 pan 270.00 deg");
    assert_eq!(row(&ran.out, "Shutter"), "Shutter 14 95 64..95 strobe, slow to fast 20.00 Hz");
}

#[test]
fn only_the_fixtures_asked_for_are_shown() {
    let bench = Bench::new();
    let ran = bench.run(&["read", "show.ron", "--fixture", "9"]).code(0).out(&["9  Right"]);
    assert!(!ran.out.contains("7  Left"), "{ran}");
    bench.run(&["read", "show.ron", "--fixture", "9", "--fixture", "7"]).code(0).out(&["7  Left"]);
    bench
        .run(&["read", "show.ron", "--fixture", "8"])
        .code(2)
        .err(&["--fixture: error: the show has no fixture `8`; it has `7`, `9`"]);
}

#[test]
fn a_value_in_no_range_does_nothing_and_the_table_says_so() {
    let ran = Bench::new().run(&["read", "show.ron", "--slot", "1/14=200"]).code(0);
    let ran = ran.out(&["no range: the chart says nothing about this value"]);
    assert_eq!(row(&ran.out, "Shutter"), "Shutter 14 200 no range nothing");
}

#[test]
fn lines_fit_a_hundred_columns_whatever_the_names() {
    let bench = Bench::new();
    let long = "x".repeat(300);
    bench.write("head.ron", crate::harness::HEAD.replace("slow to fast", &long));
    bench.write("show.ron", crate::harness::SHOW.replace("\"Left\"", &format!("\"{long}\"")));
    let ran = bench.run(&["read", "show.ron", "--look", "Left flashes"]).code(0);
    for line in ran.out.lines() {
        assert!(line.chars().count() <= 100, "{line}\n{ran}");
    }
}

#[test]
fn the_demo_show_is_read_where_no_show_is_named() {
    let ran = Bench::new().run(&["read"]).code(0).quiet();
    assert!(ran.out.contains("channel") && ran.out.lines().count() > 20, "{ran}");
}

#[test]
fn what_is_asked_for_and_not_there_is_wrong_usage() {
    let bench = Bench::new();
    for (args, part) in [
        (
            &["read", "show.ron", "--look", "Both"][..],
            "the show has no look `Both`; it has `Both on`",
        ),
        (&["read", "show.ron", "--look", "Both in"], "did you mean `Both on`?"),
        (&["read", "show.ron", "--slot", "1/513=0"], "slot `513` is not one of 1..512"),
        (&["read", "show.ron", "--slot", "1/0=0"], "slot `0` is not one of 1..512"),
        (&["read", "show.ron", "--slot", "1/1=256"], "value `256` is not a whole number of 0..255"),
        (&["read", "show.ron", "--slot", "0/1=2"], "universe `0` is not one of 1..63999"),
        (&["read", "show.ron", "--slot", "17=2"], "write universe/slot=value, like 1/17=128"),
        (&["read", "show.ron", "--universe", "2"], "no frame file"),
        (&["read", "show.ron", "--fixture", "x"], "invalid value 'x' for '--fixture <ID>'"),
        (&["read", "show.ron", "--jason"], "unexpected argument '--jason'"),
        (&["read", "show.ron", "another.ron"], "unexpected argument 'another.ron'"),
    ] {
        let ran = bench.run(args).code(2).err(&[part]);
        assert!(ran.out.is_empty(), "{ran}");
    }
}

#[test]
fn help_tells_the_forms_and_is_no_error() {
    let bench = Bench::new();
    bench.run(&["help"]).code(0).quiet().out(&["read", "draw", "check", "library", "Exit codes"]);
    bench.run(&["help", "read"]).code(0).quiet().out(&["universe,slot,value", "taken_at_rest"]);
    bench.run(&["help", "draw"]).code(0).quiet().out(&["Frame files:", "--exposure"]);
    bench.run(&["--version"]).code(0).quiet().out(&["slotwright 0."]);
}

#[test]
fn the_library_lists_every_mode_with_its_footprint() {
    let ran = Bench::new().run(&["library"]).code(0).quiet();
    for profile in slotwright::profile::Library::embedded().profiles() {
        assert!(ran.out.contains(&profile.key().0), "{ran}");
        for mode in &profile.modes {
            let row = format!("{} {} {}", mode.name, mode.slots, mode.channels.len());
            let found = ran
                .out
                .lines()
                .any(|line| line.split_whitespace().collect::<Vec<_>>().join(" ").contains(&row));
            assert!(found, "{row} in\n{ran}");
        }
    }
}
