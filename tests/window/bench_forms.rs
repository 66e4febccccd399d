//! The forms of the bench: channels, ranges, wheels, drawings, the fixture, findings.

use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use slotwright::app::Command;
use slotwright::app::bench::{BenchCommand, Focus, Page, Section};
use slotwright::app::keys::Action;
use slotwright::app::shell::App;
use slotwright::profile::edit::ProfileEdit;
use slotwright::profile::model::{Head, WheelSlot};
use slotwright::profile::{Effect, Loss, Source};

use crate::bench::{bench, bench_desk, ranges, show_channel};
use crate::desk::apply;

type Desk = Harness<'static, App>;

fn show(desk: &mut Desk, section: Section) {
    let focus = Focus { section, ..bench(desk).focus.clone() };
    apply(desk, BenchCommand::Show(Box::new(focus)).into());
}

#[track_caller]
fn press(desk: &mut Desk, words: &str) {
    desk.get_by_label(words).click();
    desk.run();
}

/// Types over what a text field holds.
#[track_caller]
fn type_over(desk: &mut Desk, field: &str, text: &str) {
    desk.get_by_role_and_label(Role::TextInput, field).focus();
    desk.run();
    desk.key_press_modifiers(Modifiers::COMMAND, Key::A);
    desk.get_by_role_and_label(Role::TextInput, field).type_text(text);
    desk.run();
    desk.key_press(Key::Enter);
    desk.run();
}

/// Chooses one entry of a list that drops down.
#[track_caller]
fn choose(desk: &mut Desk, list: &str, entry: &str) {
    desk.get_by_role_and_label(Role::ComboBox, list).click();
    desk.run();
    let matching: Vec<_> = desk.get_all_by_label(entry).collect();
    matching.last().expect("the entry").click();
    drop(matching);
    desk.run();
}

/// Begins a profile with nothing but a dimmer.
fn blank() -> Desk {
    let mut desk = bench_desk();
    desk.key_press_modifiers(Modifiers::COMMAND, Key::N);
    desk.run();
    assert_eq!(bench(&desk).profile().key().0, "Maker Untitled");
    desk
}

#[test]
fn a_profile_is_built_from_nothing() {
    let mut desk = blank();
    show(&mut desk, Section::Fixture);
    type_over(&mut desk, "Maker", "Bellweather");
    type_over(&mut desk, "Model", "Tin Lantern");
    assert_eq!(bench(&desk).profile().key().0, "Bellweather Tin Lantern");
    assert_eq!(bench(&desk).head.show().rig[0].profile, "Bellweather Tin Lantern");
    press(&mut desk, "Add channel");
    assert_eq!(bench(&desk).mode().expect("a mode").slots, 2);
    assert_eq!(ranges(&desk)[0].does, Effect::Unknown);
    type_over(&mut desk, "Channel name", "Gate");
    assert_eq!(bench(&desk).channel().expect("a channel").name, "Gate");
    press(&mut desk, "Finer");
    assert_eq!(bench(&desk).channel().expect("a channel").at, [2, 3]);
    press(&mut desk, "Coarser");
    press(&mut desk, "Effect: unknown");
    press(&mut desk, "shutter");
    press(&mut desk, "open");
    type_over(&mut desk, "Label of the range", "no shutter");
    assert_eq!(
        (ranges(&desk)[0].does.key(), ranges(&desk)[0].label.as_str()),
        ("open", "no shutter")
    );
    press(&mut desk, "Up");
    let names = |desk: &Desk| -> Vec<String> {
        let mode = bench(desk).mode().expect("a mode");
        mode.channels.iter().map(|c| format!("{} {:?}", c.name, c.at)).collect()
    };
    assert_eq!(names(&desk), ["Gate [1]", "Dimmer [2]"]);
    press(&mut desk, "New mode");
    show(&mut desk, Section::Channel);
    desk.get_by_label_contains("This mode has no channel yet.");
    press(&mut desk, "Remove mode");
    press(&mut desk, "Copy mode");
    assert_eq!(bench(&desk).profile().modes[1].name, "basic copy");
    type_over(&mut desk, "Mode name", "other");
    assert_eq!(bench(&desk).profile().modes[1].name, "other");
    press(&mut desk, "Remove mode");
    while bench(&desk).document.can_undo().is_some() {
        desk.key_press_modifiers(Modifiers::COMMAND, Key::Z);
        desk.run();
    }
    assert_eq!(bench(&desk).profile().key().0, "Maker Untitled");
    assert_eq!(names(&desk), ["Dimmer [1]"]);
}

#[test]
fn a_channel_is_dragged_to_another_place() {
    let mut desk = bench_desk();
    let name = |desk: &Desk, i: usize| bench(desk).mode().expect("a mode").channels[i].name.clone();
    let row = |desk: &Desk, i: usize| {
        let channel = &bench(desk).mode().expect("a mode").channels[i];
        let slots: Vec<String> = channel.at.iter().map(u16::to_string).collect();
        let words = format!("{}  {}", slots.join("+"), channel.name);
        desk.get_by_label(&words).rect().center()
    };
    let (from, to) = (row(&desk, 0), row(&desk, 2));
    let moved = name(&desk, 0);
    desk.drag_at(from);
    desk.step();
    for share in [0.3, 0.6, 1.0] {
        desk.hover_at(from + (to - from) * share);
        desk.step();
    }
    desk.drop_at(to);
    desk.run();
    assert_eq!(name(&desk, 2), moved, "the drag did something");
    assert_eq!(bench(&desk).document.can_undo(), Some("move a channel"));
}

#[test]
fn a_gap_is_filled_where_the_cursor_stands() {
    let mut desk = bench_desk();
    show_channel(&mut desk, "Shutter");
    apply(&mut desk, BenchCommand::Try(1).into());
    let (count, gone) = (ranges(&desk).len(), ranges(&desk)[1].bounds(1));
    press(&mut desk, "Remove range");
    assert_eq!(ranges(&desk).len(), count - 1);
    press(&mut desk, "Fill the gap");
    assert_eq!(ranges(&desk)[1].bounds(1), gone, "the cursor still stands there");
    assert_eq!(ranges(&desk)[1].does, Effect::Unknown);
    assert_eq!(bench(&desk).focus.range, Some(1));
}

#[test]
fn a_range_does_two_things_and_depends_on_another_channel() {
    let mut desk = blank();
    press(&mut desk, "Add channel");
    press(&mut desk, "Also does");
    assert_eq!(ranges(&desk)[0].also.len(), 1);
    desk.get_all_by_label("Remove effect").next().expect("two of them").click();
    desk.run();
    assert!(ranges(&desk)[0].also.is_empty());
    press(&mut desk, "Depends on");
    assert_eq!(ranges(&desk)[0].when[0].0, "Dimmer");
    desk.get_by_label("while Dimmer 0..255");
    press(&mut desk, "Remove condition");
    assert!(ranges(&desk)[0].when.is_empty());
}

#[test]
fn a_wheel_is_built_slot_by_slot_and_its_colour_shows() {
    let mut desk = blank();
    show(&mut desk, Section::Wheels);
    press(&mut desk, "Add wheel");
    type_over(&mut desk, "Wheel name", "colours");
    press(&mut desk, "Add slot");
    type_over(&mut desk, "Name of slot 2", "leaf");
    type_over(&mut desk, "Colour of slot 2 as text", "#20c040");
    let slots = |desk: &Desk| bench(desk).profile().wheels["colours"].slots.clone();
    assert_eq!(slots(&desk)[1], WheelSlot::Tint("leaf".to_owned(), "#20c040".to_owned()));
    press(&mut desk, "Colour of slot 2");
    desk.get_by_role_and_label(Role::Slider, "Saturation").set_value_accesskit(0.0);
    desk.run();
    let WheelSlot::Tint(_, grey) = slots(&desk)[1].clone() else { panic!("a colour") };
    assert_eq!((&grey[1..3], &grey[3..5]), (&grey[5..7], &grey[5..7]), "{grey} is a grey");
    desk.get_by_role_and_label(Role::Slider, "Saturation").set_value_accesskit(90.0);
    desk.run();
    let WheelSlot::Tint(_, green) = slots(&desk)[1].clone() else { panic!("a colour") };
    assert!(green[3..5] > green[1..3] && green[3..5] > green[5..7], "{green} has its hue again");
    desk.key_press(Key::Escape);
    desk.run();
    press(&mut desk, "Add slot");
    choose(&mut desk, "Kind of slot 3", "pattern");
    assert!(matches!(slots(&desk)[2], WheelSlot::Pattern(..)));
    type_over(&mut desk, "Colour of slot 2 as text", "green");
    desk.get_by_label_contains("`green` is no colour");
    press(&mut desk, "Add channel");
    press(&mut desk, "Effect: unknown");
    press(&mut desk, "wheel");
    press(&mut desk, "slot");
    choose(&mut desk, "Wheel slot", "2 leaf");
    assert_eq!(ranges(&desk)[0].does, Effect::Slot { wheel: "colours".to_owned(), slot: 2 });
    let light = bench(&desk).head.scene.marks[0].light.0.0;
    assert!(light[1] > light[0] && light[1] > light[2], "the test head is green: {light:?}");
}

#[test]
fn a_drawing_is_clicked_corner_by_corner() {
    let mut desk = blank();
    show(&mut desk, Section::Wheels);
    press(&mut desk, "New drawing");
    let disc = desk.get_by_label("Disc of drawing: 0 openings").rect();
    let corners = [(-0.5, -0.5), (0.5, -0.5), (0.0, 0.6), (-0.5, -0.5)];
    for (x, y) in corners {
        let at = disc.center() + egui::vec2(x, -y) * (disc.width() / 2.0 - 6.0);
        desk.hover_at(at);
        desk.drag_at(at);
        desk.drop_at(at);
        desk.run();
    }
    assert_eq!(
        bench(&desk).profile().drawings["drawing"],
        [vec![(-0.5, -0.5), (0.5, -0.5), (0.0, 0.6)]],
        "the first corner, clicked again, closes it"
    );
    // A corner is dragged, in several moves, as one step of undo; Shift leaves the grid.
    let place = |x: f32, y: f32| disc.center() + egui::vec2(x, -y) * (disc.width() / 2.0 - 6.0);
    let drag = |desk: &mut Harness<'static, App>, way: &[(f32, f32)]| {
        desk.hover_at(place(way[0].0, way[0].1));
        desk.drag_at(place(way[0].0, way[0].1));
        desk.run();
        for (x, y) in &way[1..] {
            desk.hover_at(place(*x, *y));
            desk.run();
        }
        let (x, y) = way[way.len() - 1];
        desk.drop_at(place(x, y));
        desk.run();
    };
    let corner = |desk: &Harness<'static, App>| bench(desk).profile().drawings["drawing"][0][1];
    drag(&mut desk, &[(0.5, -0.5), (0.6, 0.0), (0.7, 0.2)]);
    assert_eq!(corner(&desk), (0.7, 0.2));
    apply(&mut desk, Command::Do(Action::Undo));
    assert_eq!(corner(&desk), (0.5, -0.5), "one step for the whole way");
    apply(&mut desk, Command::Do(Action::Redo));
    assert_eq!(corner(&desk), (0.7, 0.2));
    // A drag past the edge stops there, and one that begins at no corner moves nothing.
    drag(&mut desk, &[(0.7, 0.2), (0.9, 0.9)]);
    let (x, y) = corner(&desk);
    assert!(x.hypot(y) <= 1.0 && x > 0.69 && y > 0.69, "{x} {y}");
    let before = bench(&desk).profile().drawings["drawing"].clone();
    drag(&mut desk, &[(-0.8, 0.3), (0.1, 0.1)]);
    assert_eq!(bench(&desk).profile().drawings["drawing"], before);
    desk.get_by_label("Disc of drawing: 1 openings");
    press(&mut desk, "Remove opening");
    assert!(bench(&desk).profile().drawings["drawing"].is_empty());
}

#[test]
fn the_fixture_as_a_whole_is_set_up() {
    let mut desk = blank();
    show(&mut desk, Section::Fixture);
    choose(&mut desk, "What moves", "moving head");
    assert!(matches!(bench(&desk).profile().head, Head::Moving { .. }));
    choose(&mut desk, "Source", "emitters");
    let Source::Emitters(emitters) = &bench(&desk).profile().source else { panic!("emitters") };
    assert_eq!(emitters.len(), 3);
    type_over(&mut desk, "Name of emitter 1", "ruby");
    assert_eq!(bench(&desk).profile().source.emitters()[0].name, "ruby");
    desk.get_by_label("Mass known").click();
    desk.run();
    assert_eq!(bench(&desk).profile().body.mass_kg, Some(10.0));
    show(&mut desk, Section::Cells);
    press(&mut desk, "Add cell");
    press(&mut desk, "Add cell");
    assert_eq!(bench(&desk).profile().cells, [(0.0, 0.0), (0.1, 0.0)]);
    show(&mut desk, Section::Loss);
    choose(&mut desk, "What it then does", "shows a look of its own");
    press(&mut desk, "Take from the test head");
    let does = bench(&desk).profile().on_loss.does.clone();
    let Some(Loss::Standby { values, .. }) = does else { panic!("a look") };
    assert_eq!(values["Dimmer"], 255);
}

#[test]
fn a_finding_is_listed_as_the_edit_is_made_and_leads_to_its_place() {
    let mut desk = bench_desk();
    show_channel(&mut desk, "Shutter");
    let channel = bench(&desk).focus.channel;
    let at = bench(&desk).channel_at().range(1);
    apply(
        &mut desk,
        BenchCommand::Edit { edit: ProfileEdit::RemoveRange(at), gesture: false }.into(),
    );
    show(&mut desk, Section::Fixture);
    desk.get_by_label_contains("do nothing").click();
    desk.run();
    assert_eq!(bench(&desk).focus.section, Section::Channel);
    assert_eq!(bench(&desk).focus.channel, channel);
    desk.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    desk.run();
    assert!(desk.query_by_label_contains("do nothing").is_none());
}

#[test]
fn a_finding_is_accepted_with_a_reason_and_taken_back() {
    let mut desk = blank();
    let open = |desk: &Desk| {
        let findings = bench(desk).findings.iter();
        findings.filter(|(_, finding)| finding.accepted.is_none()).count()
    };
    let before = open(&desk);
    desk.get_all_by_label("Accept").next().expect("one that can be").click();
    desk.run();
    type_over(&mut desk, "Reason to accept it", "so says the chart");
    assert_eq!(bench(&desk).profile().accepted[0].reason, "so says the chart");
    assert!(open(&desk) < before);
    // It stands at the end of the list, out of sight.
    desk.get_all_by_label("Take back").next().expect("the one").click_accesskit();
    desk.run();
    assert_eq!(open(&desk), before);
}

#[test]
fn a_text_that_is_still_being_typed_is_taken_before_the_page_turns() {
    let mut desk = blank();
    desk.get_by_role_and_label(Role::TextInput, "Channel name").focus();
    desk.run();
    desk.key_press_modifiers(Modifiers::COMMAND, Key::A);
    desk.get_by_role_and_label(Role::TextInput, "Channel name").type_text("Level");
    desk.run();
    assert_eq!(bench(&desk).channel().expect("a channel").name, "Dimmer", "not yet");
    desk.key_press_modifiers(Modifiers::COMMAND, Key::B);
    desk.run();
    assert_eq!(crate::desk::state(&desk).page, Page::Stage);
    assert_eq!(bench(&desk).channel().expect("a channel").name, "Level");
}

#[test]
fn a_broken_profile_is_opened_to_be_mended() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("broken.ron");
    let begins = r#"(maker: "", model: "Wreck", head: Fixed, source: Emitters([]),
        optics: (beam_deg: 20.0, field_deg: -1.0), cells: [(1e300, NaN)],
        wheels: {"empty": (slots: [])}, drawings: {"line": [[(5.0, 5.0)]]},"#;
    for modes in [
        "modes: []",
        r#"modes: [(name: "m", slots: 0, channels: [])]"#,
        r#"modes: [(name: "m", slots: 3, channels: [
            (name: "A", at: [], ranges: [(from: 0, to: 255, does: Pan(deg: (0, 1e300)))]),
            (name: "A", at: [600, 1, 1, 2, 3], default: 4294967295, cell: 9, ranges: [
                (does: Slot(wheel: "none", slot: 0)), (from: 9, to: 3, does: Open),
                (from: -5, to: 900, does: Emitter(name: "x", percent: (0, 1)), when: [("B", 9, 3)])]),
        ])]"#,
    ] {
        std::fs::write(&path, format!("{begins} {modes})")).expect("written");
        let mut desk = bench_desk();
        apply(&mut desk, slotwright::app::Command::OpenFile(path.clone()));
        crate::desk::wait_for_jobs(&mut desk);
        assert_eq!(bench(&desk).profile().model, "Wreck");
        for section in [
            Section::Fixture,
            Section::Wheels,
            Section::Cells,
            Section::Loss,
            Section::Mode,
            Section::Channel,
        ] {
            show(&mut desk, section);
        }
        for channel in 0..2 {
            for range in 0..3 {
                let focus = Focus { channel, ..bench(&desk).focus.clone() };
                apply(&mut desk, BenchCommand::Show(Box::new(focus)).into());
                apply(&mut desk, BenchCommand::Try(range).into());
            }
        }
        show(&mut desk, Section::Fixture);
        let errors = |desk: &Desk| {
            let findings = bench(desk).findings.iter();
            findings.filter(|(_, it)| it.severity == slotwright::finding::Severity::Error).count()
        };
        let before = errors(&desk);
        type_over(&mut desk, "Maker", "Bellweather");
        assert_eq!(bench(&desk).profile().maker, "Bellweather");
        assert!(errors(&desk) < before);
    }
}
