//! A draft profile from the channel table of a manual.

use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use slotwright::app::Command;
use slotwright::app::bench::Page;
use slotwright::app::files::{Done, Purpose};
use slotwright::app::keys::Action;
use slotwright::app::shell::App;
use slotwright::profile::Effect;

use crate::desk::{apply, desk, finish, state, wait_for_jobs};

/// A chart as manuals print them; the head is invented.
const CHART: &str = "1\tPan\t0-255\tPan 540 deg\n2\tTilt\t0-255\tTilt 270 deg\n3\tDimmer\t0-255\tDimmer 0-100 %\n\
    4\tShutter\t0-31\tClosed\n\t\t32-63\tOpen\n\t\t64-95\tStrobe slow to fast 1-20 Hz\n\t\t96-255\tQuux wobble\n";

/// The form with this text pasted into it.
fn pasted(text: &str) -> Harness<'static, App> {
    let mut desk = desk();
    desk.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::T);
    desk.run();
    desk.get_by_label_contains("Paste the channel table");
    desk.get_by_role_and_label(Role::MultilineTextInput, "Table").focus();
    desk.run();
    desk.event(egui::Event::Paste(text.to_owned()));
    desk.run();
    wait_for_jobs(&mut desk);
    desk
}

#[test]
fn a_pasted_table_is_read_and_nothing_of_it_is_dropped() {
    let desk = pasted(CHART);
    let draft = state(&desk).windows.table.draft();
    let report = &draft.expect("a draft").report;
    assert_eq!(report.ranges.len(), 7);
    desk.get_by_label_contains("7 ranges");
    let unknown = report.ranges.last().expect("seven");
    assert_eq!(unknown.range.does, Effect::Unknown);
    assert!(unknown.range.label.contains("Quux"));
}

#[test]
fn the_draft_goes_on_the_bench_with_its_doubts_above_it() {
    let mut desk = pasted(CHART);
    desk.get_by_role_and_label(Role::Button, "Put on the bench").click();
    desk.run();
    wait_for_jobs(&mut desk);
    assert_eq!(state(&desk).page, Page::Bench);
    assert!(!state(&desk).windows.table.open);
    let bench = state(&desk).bench.as_ref().expect("a bench");
    let shutter = bench.profile().modes[0].channel("Shutter").expect("the chart has one");
    assert!(shutter.ranges.iter().any(|range| range.does == Effect::Shut));
    assert!(bench.document.text().starts_with("//"));
}

#[test]
fn what_was_pasted_is_there_again_after_the_form_was_closed() {
    let mut desk = pasted(CHART);
    for shown in [false, true] {
        desk.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::T);
        desk.run();
        assert_eq!(state(&desk).windows.table.open, shown);
    }
    desk.get_by_label_contains("7 ranges");
}

#[test]
fn a_text_without_channels_says_what_is_wanted_and_gives_no_draft() {
    let desk = pasted("a quiet evening");
    desk.get_by_label_contains("no channel was found");
    assert!(state(&desk).windows.table.draft().is_none());
}

#[test]
fn a_file_is_read_into_the_form_and_one_that_is_not_there_is_spoken_of() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("chart.txt");
    std::fs::write(&file, CHART).expect("written");
    let mut desk = desk();
    finish(&mut desk, Done::Chosen(Purpose::Table, file));
    desk.get_by_label_contains("7 ranges");
    finish(&mut desk, Done::Chosen(Purpose::Table, folder.path().join("none.txt")));
    desk.get_by_label_contains("The table cannot be opened");
}

#[test]
fn what_has_to_be_looked_at_comes_first_and_can_be_shown_alone() {
    let mut desk = pasted(CHART);
    let top = |desk: &Harness<'static, App>, label: &str| {
        let found = desk.get_all_by_label(label).map(|node| node.rect().top());
        found.fold(f32::INFINITY, f32::min)
    };
    assert!(top(&desk, "unsure") < top(&desk, "sure"), "the doubtful row is the first");
    desk.get_by_role_and_label(Role::Button, "1 unsure").click();
    desk.run();
    desk.get_by_label("unsure");
    assert!(desk.query_by_label("sure").is_none(), "rows of other kinds are not shown");
    desk.get_by_role_and_label(Role::Button, "7 ranges").click();
    desk.run();
    assert!(desk.query_all_by_label("sure").count() > 1);
}

#[test]
fn only_the_rows_of_a_long_table_that_can_be_seen_are_laid_out() {
    let rows: String =
        (1..=500).map(|slot| format!("{slot}\tQuux {slot}\t0-255\tWobble\n")).collect();
    let desk = pasted(&rows);
    let ranges = state(&desk).windows.table.draft().expect("a draft").report.ranges.len();
    assert_eq!(ranges, 500);
    let shown = desk.query_all_by_label("0..255").count();
    assert!((5..100).contains(&shown), "{shown} rows");
}

#[test]
fn while_a_table_is_read_the_last_result_stays_and_no_draft_of_it_goes_out() {
    let mut desk = pasted(CHART);
    desk.get_by_role_and_label(Role::MultilineTextInput, "Table").focus();
    desk.event(egui::Event::Text("x".to_owned()));
    desk.step();
    desk.get_by_label_contains("7 ranges");
    wait_for_jobs(&mut desk);
    assert!(state(&desk).windows.table.draft().is_some());
    desk.get_by_role_and_label(Role::Button, "Put on the bench").click();
    desk.run();
    assert_eq!(state(&desk).page, Page::Bench);
}

#[test]
fn the_button_asks_for_a_file_and_the_typed_one_is_read() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("chart.txt");
    std::fs::write(&file, CHART).expect("written");
    let mut desk = desk();
    apply(&mut desk, Command::Do(Action::Table));
    let button = desk.get_by_role_and_label(Role::Button, "Open a file\u{2026}");
    let screens = ["DISPLAY", "WAYLAND_DISPLAY", "DBUS_SESSION_BUS_ADDRESS"];
    if screens.iter().any(|screen| std::env::var_os(screen).is_some()) {
        // The system's own dialog would stand there until somebody answers it.
        finish(&mut desk, Done::NoDialog(Purpose::Table));
    } else {
        button.click();
        desk.run();
        wait_for_jobs(&mut desk);
    }
    desk.get_by_label("Open a channel table");
    desk.event(egui::Event::Text(file.display().to_string()));
    desk.run();
    desk.get_by_role_and_label(Role::Button, "Open").click();
    desk.run();
    wait_for_jobs(&mut desk);
    desk.get_by_label_contains("7 ranges");
}

#[test]
fn the_draft_is_saved_from_the_form_with_its_doubts_above_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = pasted(CHART);
    desk.get_by_role_and_label(Role::Button, "Save draft\u{2026}");
    finish(&mut desk, Done::Chosen(Purpose::Draft, folder.path().join("quux")));
    let text = std::fs::read_to_string(folder.path().join("quux.ron")).expect("written");
    assert!(text.starts_with("// A draft from a channel table."), "{text}");
    assert!(text.contains("Quux wobble"));
}
