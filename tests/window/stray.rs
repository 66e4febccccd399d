//! Stray slots in the window: listed, gone to, put as the twins have them.

use egui::Key;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use slotwright::app::keys::Action;
use slotwright::app::shell::App;
use slotwright::app::{Command, How};
use slotwright::wire::{Slot, Universe};

use crate::desk::{apply, demo, slow_desk_of, state};

fn held(desk: &Harness<'static, App>, slot: Slot) -> Option<u8> {
    state(desk).show().levels.state(Universe::ONE, slot).value()
}

#[test]
fn a_stray_slot_is_gone_to_and_put_as_its_twins_have_it() {
    let mut desk = slow_desk_of([1280.0, 800.0], demo());
    // Aim speed of fixture 104, at slots 109 to 144: the fifth is slot 113.
    let slot = Slot::new(113).expect("a slot");
    let before = held(&desk, slot);
    let values = vec![(slot, 120)];
    apply(&mut desk, Command::SetSlots { universe: Universe::ONE, values, gesture: false });
    apply(&mut desk, Command::Do(Action::Stray));
    assert_eq!(state(&desk).windows.stray.found.len(), 1);
    desk.get_by_label_contains("differs in slot 5");
    desk.get_by_label("Go to 104, slot 5").click();
    desk.run();
    let selected = state(&desk).selection.iter().map(|at| state(&desk).show().rig[*at].id);
    assert_eq!(selected.collect::<Vec<_>>(), [104]);
    desk.get_by_label("104, slot 5 as its twins").click();
    desk.run();
    assert_eq!(held(&desk, slot), before);
    desk.get_by_label_contains("not in the data");
    apply(&mut desk, Command::Do(Action::Undo));
    assert_eq!(held(&desk, slot), Some(120));
    apply(&mut desk, Command::Do(Action::Stray));
    assert!(!state(&desk).windows.stray.open);
}

#[test]
fn escape_closes_the_windows_one_by_one_before_it_lets_go_of_the_selection() {
    let mut desk = slow_desk_of([1280.0, 800.0], demo());
    apply(&mut desk, Command::Select { fixtures: vec![0], how: How::Replace });
    for action in [Action::Stray, Action::Difference, Action::Misfit] {
        apply(&mut desk, Command::Do(action));
    }
    for open in [(true, true, false), (true, false, false), (false, false, false)] {
        desk.key_press(Key::Escape);
        desk.run();
        let windows = &state(&desk).windows;
        assert_eq!((windows.stray.open, windows.diff.open, windows.misfit.open), open);
        assert_eq!(state(&desk).selection, [0], "the windows are about what is selected");
    }
    desk.key_press(Key::Escape);
    desk.run();
    assert!(state(&desk).selection.is_empty());
}
