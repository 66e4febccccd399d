//! The guide beside the stage: links, search, and examples that leave the person's own show as it is.

use egui::Key;
use egui::accesskit::Role;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use slotwright::app::dialogs::Dialog;
use slotwright::app::guide::{GuideAsk, Here};
use slotwright::app::keys::{self, Action};
use slotwright::app::shell::App;
use slotwright::app::{Command, How};
use slotwright::paper::guide::{Guide, Target};
use slotwright::stage::MarkState;
use slotwright::wire::{Slot, Universe};

use crate::desk::{apply, desk, state};

type Desk = Harness<'static, App>;

fn slot(number: u16) -> Slot {
    Slot::new(number).expect("1..512")
}

fn show(desk: &mut Desk, page: &str) {
    let ask = GuideAsk::Show { page: page.to_owned(), heading: None };
    apply(desk, Command::Guide(ask));
}

fn value(desk: &Desk, number: u16) -> Option<u8> {
    state(desk).show().levels.state(Universe::ONE, slot(number)).value()
}

fn edit_own(desk: &mut Desk) {
    let values = vec![(slot(500), 77)];
    apply(desk, Command::SetSlots { universe: Universe::ONE, values, gesture: false });
    assert!(state(desk).document.is_dirty(), "the edit took place");
}

#[test]
fn a_key_opens_the_guide_beside_the_stage_and_closes_it() {
    let mut desk = desk();
    desk.key_press(Key::F3);
    desk.run();
    assert!(state(&desk).guide.open);
    desk.get_by_role_and_label(Role::Link, "Shutters, and why a head is dark").click();
    desk.run();
    let page = Guide::embedded().place("shutters");
    assert_eq!(state(&desk).guide.here, Here { page, heading: None });
    // The stage stays in sight, and so does the reading.
    desk.get_by_role_and_label(Role::Slider, "Shutter");
    desk.get_by_label_contains("Open on the stage");
    desk.key_press(Key::F3);
    desk.run();
    assert!(!state(&desk).guide.open);
}

#[test]
fn back_and_forward_lead_through_the_pages() {
    let mut desk = desk();
    for page in ["frame", "chart", "wheels"] {
        show(&mut desk, page);
    }
    let page = |desk: &Desk| {
        state(desk).guide.here.page.map(|page| Guide::embedded().pages[page].name.clone())
    };
    desk.get_by_role_and_label(Role::Button, "Back").click();
    desk.run();
    assert_eq!(page(&desk).as_deref(), Some("chart"));
    desk.get_by_role_and_label(Role::Button, "Forward").click();
    desk.run();
    assert_eq!(page(&desk).as_deref(), Some("wheels"));
    for _ in 0..5 {
        apply(&mut desk, Command::Guide(GuideAsk::Back));
    }
    assert_eq!(page(&desk), None, "the list of pages comes first, and nothing before it");
}

#[test]
fn a_search_leads_to_the_heading() {
    let mut desk = desk();
    apply(&mut desk, Command::Do(Action::Guide));
    desk.get_by_label("Search the guide").focus();
    desk.run();
    desk.get_by_label("Search the guide").type_text("terminator ohms");
    desk.run();
    desk.get_by_role_and_label(Role::Link, "Cabling: The terminator").click();
    desk.run();
    let guide = &state(&desk).guide;
    assert_eq!(guide.here.page, Guide::embedded().place("cabling"));
    assert_eq!(guide.here.heading.as_deref(), Some("the-terminator"));
    assert!(guide.search.is_empty(), "the page shows and not what was found");
}

#[test]
fn a_step_on_a_page_sets_the_example_and_says_what_the_page_says() {
    let mut desk = desk();
    show(&mut desk, "shutters");
    desk.get_by_role_and_label(Role::Button, "Open on the stage").click();
    desk.run();
    assert_eq!(state(&desk).show().name, "Guide: two spots");
    assert_eq!(state(&desk).scene.marks[0].state, MarkState::Lit);
    // A link that begins a line also counts the end of the line before it, so that its middle is no place to
    // click at.
    desk.get_by_role_and_label(Role::Link, "Set slot 8 to 9").click_accesskit();
    desk.run();
    assert_eq!(value(&desk, 8), Some(9));
    assert_eq!(state(&desk).scene.marks[0].state, MarkState::Dark);
    assert_eq!(state(&desk).selection, [0]);
    // It can be undone like any other edit.
    apply(&mut desk, Command::Do(Action::Undo));
    assert_eq!(value(&desk, 8), Some(24));
}

/// Worked examples: the states that the pages put their examples in are those that the window then shows.
#[test]
fn every_step_of_every_page_can_be_clicked_through() {
    let mut desk = desk();
    for (page, of) in Guide::embedded().pages.iter().enumerate() {
        for (moment, wanted) in of.moments.iter().enumerate() {
            apply(&mut desk, Command::Guide(GuideAsk::Stand { page, moment, anew: false }));
            assert_eq!(state(&desk).guide.standing, Some((page, moment)));
            let levels = &state(&desk).show().levels;
            for ((universe, slot), value) in &wanted.slots {
                let now = levels.state(*universe, *slot).value();
                assert_eq!(now, Some(*value), "{}: {}", of.name, wanted.title);
            }
        }
    }
}

#[test]
fn the_own_show_comes_back_as_it_was() {
    let mut desk = desk();
    apply(&mut desk, Command::Select { fixtures: vec![3], how: How::Replace });
    apply(&mut desk, Command::Recall(1));
    edit_own(&mut desk);
    let own = state(&desk).show().clone();
    show(&mut desk, "wheels");
    desk.get_by_role_and_label(Role::Button, "Open on the stage").click();
    desk.run();
    assert_ne!(state(&desk).show().name, own.name);
    assert!(state(&desk).dialog.is_none(), "nothing is lost, so nothing is asked");
    let backs: Vec<_> = desk.get_all_by_role_and_label(Role::Button, "Back to my show").collect();
    assert_eq!(backs.len(), 2, "on the page, and beside the name of the show");
    backs[0].click();
    desk.run();
    assert_eq!(*state(&desk).show(), own);
    assert!(state(&desk).document.is_dirty(), "it is as unsaved as it was");
    assert_eq!((&state(&desk).selection[..], state(&desk).look), (&[3][..], Some(1)));
    assert!(desk.query_by_role_and_label(Role::Button, "Back to my show").is_none());
    // Its steps of undo are still there.
    apply(&mut desk, Command::Do(Action::Undo));
    assert_eq!(value(&desk, 500), None);
}

#[test]
fn a_changed_example_is_as_it_was_left_until_it_is_started_anew() {
    let mut desk = desk();
    let page = Guide::embedded().place("shutters").expect("there is such a page");
    let stand = |desk: &mut Desk, anew| {
        apply(desk, Command::Guide(GuideAsk::Stand { page, moment: 0, anew }));
    };
    stand(&mut desk, false);
    let values = vec![(slot(300), 5)];
    apply(&mut desk, Command::SetSlots { universe: Universe::ONE, values, gesture: false });
    apply(&mut desk, Command::Guide(GuideAsk::Leave));
    stand(&mut desk, false);
    assert_eq!(value(&desk, 300), Some(5), "as it was left");
    stand(&mut desk, true);
    assert_eq!(value(&desk, 300), None, "anew");
    assert!(!state(&desk).document.is_dirty());
}

#[test]
fn what_takes_the_show_away_is_about_the_own_show() {
    let mut desk = desk();
    edit_own(&mut desk);
    let own = state(&desk).show().name.clone();
    apply(&mut desk, Command::Guide(GuideAsk::Stand { page: 0, moment: 1, anew: false }));
    apply(&mut desk, Command::Do(Action::New));
    assert!(matches!(state(&desk).dialog, Some(Dialog::Unsaved(_))), "it is not saved yet");
    assert_eq!(state(&desk).show().name, own);
}

#[test]
fn examples_take_nothing_from_a_show_that_plays() {
    let mut desk = desk();
    apply(&mut desk, Command::Do(Action::StepOn));
    let t_s = state(&desk).clock.t_s;
    assert!(t_s > 0.0, "time went on");
    apply(&mut desk, Command::Guide(GuideAsk::Stand { page: 0, moment: 0, anew: false }));
    assert_eq!(state(&desk).clock.t_s, 0.0, "the example has a time of its own");
    apply(&mut desk, Command::Guide(GuideAsk::Leave));
    assert_eq!(state(&desk).clock.t_s, t_s);
}

#[test]
fn controls_lead_to_their_pages() {
    let mut desk = desk();
    desk.get_by_role_and_label(Role::Link, "Guide to Shutter").click();
    desk.run();
    assert_eq!(state(&desk).guide.here.page, Guide::embedded().place("shutters"));
    desk.get_by_role_and_label(Role::Link, "Guide to Pan").click();
    desk.run();
    assert_eq!(state(&desk).guide.here.page, Guide::embedded().place("coarse-fine"));
    apply(&mut desk, Command::Do(Action::Setup));
    desk.get_by_role_and_label(Role::Button, "Guide: Addressing").click();
    desk.run();
    assert_eq!(state(&desk).guide.here.page, Guide::embedded().place("addressing"));
}

#[test]
fn the_guide_is_there_on_the_bench_too() {
    let mut desk = desk();
    apply(&mut desk, Command::Do(Action::Bench));
    desk.key_press(Key::F3);
    desk.run();
    desk.get_by_role_and_label(Role::Link, "Wheels").click();
    desk.run();
    desk.get_by_role_and_label(Role::Button, "Open on the stage").click();
    desk.run();
    assert_eq!(state(&desk).show().name, "Guide: two spots");
    // It went from the bench to the stage, where the example is.
    desk.get_by_role_and_label(Role::Link, "Set slot 9 to 34");
}

/// The keys that pages name are those of the window.
#[test]
fn keys_that_pages_name_are_right() {
    let desk = desk();
    let mut named = 0;
    for page in &Guide::embedded().pages {
        for span in page.spans() {
            let Some(Target::Key(name)) = &span.target else { continue };
            let row = keys::TABLE.iter().find(|row| format!("{:?}", row.action) == *name);
            let row = row.unwrap_or_else(|| panic!("{}: no action `{name}`", page.name));
            let words: Vec<String> =
                row.keys.iter().map(|key| keys::words(&desk.ctx, key).to_lowercase()).collect();
            let said = span.words.to_lowercase().replace(" bar", "");
            assert!(words.contains(&said), "{}: `{said}` is not {words:?}", page.name);
            named += 1;
        }
    }
    assert!(named >= 5, "{named} keys are named");
}
