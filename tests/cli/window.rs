//! `slotwright` without a display to open its window on.

use crate::harness::Bench;

#[test]
fn without_a_display_the_first_look_is_read_instead() {
    let bench = Bench::new();
    let ran = bench.run(&[]).code(0);
    let ran = ran.err(&["no display to open a window on", "slotwright draw --out stage.png"]);
    assert_eq!(ran.out, bench.run(&["read"]).out);
}

#[test]
fn a_named_show_is_read_and_the_command_names_it() {
    let bench = Bench::new();
    bench.write("my show.ron", crate::harness::SHOW);
    let ran = bench.run(&["my show.ron"]).code(0);
    let ran = ran.err(&["slotwright draw 'my show.ron' --out stage.png"]);
    ran.out(&["Test barn: look \"Both on\""]);
}

/// A display that is named and not there must end in the same words, not in a panic.
#[cfg(target_os = "linux")]
#[test]
fn a_display_that_does_not_answer_is_none() {
    let bench = Bench::new();
    let output = bench.command(&["show.ron"]).env("DISPLAY", ":4711").output().unwrap();
    let err = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{err}");
    assert!(err.starts_with("there is no display to open a window on; here is what"), "{err}");
    assert!(String::from_utf8_lossy(&output.stdout).contains("Test barn"), "{err}");
}

#[test]
fn a_mistyped_command_is_no_show() {
    let bench = Bench::new();
    bench.run(&["raed"]).code(2).err(&["`raed`", "did you mean `slotwright read`?"]);
    bench.run(&["--exit-after", "soon"]).code(2).err(&["a number of seconds"]);
    bench.run(&["--nonsense"]).code(2).err(&["unexpected argument '--nonsense'"]);
}
