//! Misfits in the window: seen, explained, answered, adopted.

use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use slotwright::app::Command;
use slotwright::app::command::How;
use slotwright::app::keys::Action;
use slotwright::app::shell::App;

use crate::desk::{apply, demo, slow_desk_of, state, wait_for_jobs};

/// Lets the window take a step in which what was seen is explained, and waits for that.
fn settle(desk: &mut Harness<'static, App>) {
    desk.step();
    desk.step();
    wait_for_jobs(desk);
}

#[test]
fn what_is_seen_of_the_selected_head_is_explained_and_an_explanation_is_adopted() {
    let mut desk = slow_desk_of([1280.0, 2400.0], demo());
    apply(&mut desk, Command::Select { fixtures: vec![0], how: How::Replace });
    apply(&mut desk, Command::Do(Action::Misfit));
    assert_eq!(state(&desk).windows.misfit.place, Some(0));
    desk.get_by_label("What is seen").click();
    desk.run();
    desk.get_by_label("points up").click();
    desk.run();
    desk.get_by_label("Add to this frame").click();
    settle(&mut desk);
    let told = state(&desk).windows.misfit.told.clone().expect("it is explained");
    assert_eq!(told.seen.len(), 1);
    assert!(!told.rows.is_empty());
    let (test, _) = told.test.clone().expect("a test tells them apart");
    let (place, adopted) = told.rows.iter().find_map(|row| row.adopt.clone()).expect("a patch");
    let before = state(&desk).show().rig[place].clone();
    let label = told.rows.iter().find(|row| row.adopt.is_some()).expect("a patch").words[0].clone();
    desk.get_by_label(&format!("Adopt: {label}")).click();
    settle(&mut desk);
    assert_eq!(state(&desk).show().rig[place], adopted);
    let ctx = desk.ctx.clone();
    desk.state_mut().state.apply(&ctx, Command::Do(Action::Undo));
    settle(&mut desk);
    assert_eq!(state(&desk).show().rig[place], before);
    let answer = format!("it {}", test.outcomes[0].words());
    desk.get_by_label(&answer).click();
    settle(&mut desk);
    assert_eq!(state(&desk).windows.misfit.seen.len(), 2);
    apply(&mut desk, Command::Do(Action::Misfit));
    assert!(!state(&desk).windows.misfit.open);
}
