//! A draft profile from the channel table of a manual.

use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use slotwright::app::bench::Page;
use slotwright::app::files::{Done, Purpose};
use slotwright::app::shell::App;
use slotwright::profile::Effect;

use crate::desk::{desk, finish, state, wait_for_jobs};

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
    desk
}

#[test]
fn a_pasted_table_is_read_at_once_and_nothing_of_it_is_dropped() {
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
