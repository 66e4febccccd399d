//! The bench: a profile edited live on a test head, undone, saved, and never lost unasked.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use egui::accesskit::Role;
use egui::{Key, Modifiers, Rect, ViewportCommand, ViewportEvent, ViewportId};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use slotwright::app::bench::{Bench, BenchCommand, Focus, Page, Section};
use slotwright::app::files::{Done, Purpose, is_known_drawing};
use slotwright::app::keys::Action;
use slotwright::app::shell::App;
use slotwright::app::state::Preferences;
use slotwright::app::{Command, State};
use slotwright::profile::edit::{ChannelAt, Edge, ProfileEdit};
use slotwright::profile::model::Range;
use slotwright::profile::{Curve, Effect, Library, Profile, Unit, parse_profile, to_ron};
use slotwright::stage::MarkState;

use crate::desk::{apply, desk, desk_of, finish, state, wait_for_jobs};

type Desk = Harness<'static, App>;

/// The window on the bench, with the first spot of the demo show.
pub fn bench_desk() -> Desk {
    let mut desk = desk();
    desk.key_press_modifiers(Modifiers::COMMAND, Key::B);
    desk.run();
    assert_eq!(state(&desk).page, Page::Bench);
    desk
}

pub fn bench(desk: &Desk) -> &Bench {
    state(desk).bench.as_ref().expect("the bench is open")
}

/// Shows a channel of the selected mode by its name.
#[track_caller]
pub fn show_channel(desk: &mut Desk, name: &str) {
    let mode = bench(desk).mode().expect("a mode");
    let channel = mode.channels.iter().position(|channel| channel.name == name);
    let channel = channel.expect("a channel of this name");
    let focus =
        Focus { section: Section::Channel, channel, range: None, ..bench(desk).focus.clone() };
    apply(desk, BenchCommand::Show(Box::new(focus)).into());
}

pub fn ranges(desk: &Desk) -> &[Range] {
    &bench(desk).channel().expect("a channel").ranges
}

fn bounds(desk: &Desk, range: usize) -> (u32, u32) {
    let width = bench(desk).channel().expect("a channel").at.len();
    ranges(desk)[range].bounds(width).expect("two ends")
}

fn at(bar: Rect, value: f32) -> egui::Pos2 {
    egui::pos2(bar.left() + value / 256.0 * bar.width(), bar.center().y)
}

#[track_caller]
fn press(desk: &mut Desk, words: &str) {
    desk.get_by_label(words).click();
    desk.run();
}

#[test]
fn the_bench_opens_on_the_profile_of_the_selected_fixture_and_its_head_gives_light() {
    let mut desk = bench_desk();
    let fixture = &state(&desk).show().rig[0];
    assert_eq!(bench(&desk).profile().key().0, fixture.profile);
    assert_eq!(bench(&desk).mode().map(|mode| mode.name.as_str()), Some(fixture.mode.as_str()));
    assert_eq!(bench(&desk).head.scene.marks[0].state, MarkState::Lit);
    desk.get_by_label("Stage: 1 of 1 fixtures lit");
    assert!(!bench(&desk).document.is_dirty(), "looking changes nothing");
    press(&mut desk, "Stage");
    assert_eq!(state(&desk).page, Page::Stage);
    desk.get_by_label_contains("101 Front spot left,");
}

#[test]
fn a_boundary_is_dragged_live_as_one_step_of_undo() {
    let mut desk = bench_desk();
    show_channel(&mut desk, "Shutter");
    let start = bench(&desk).profile().clone();
    let open = ranges(&desk).iter().position(|range| range.does == Effect::Open).expect("open");
    let (first, last) = bounds(&desk, open);
    let bar = desk.get_by_label("Ranges of Shutter").rect();
    desk.drag_at(at(bar, last as f32 + 1.0));
    desk.run();
    for value in [last + 2, last + 4, last + 5] {
        desk.hover_at(at(bar, value as f32 + 1.0));
        desk.run();
    }
    desk.drop_at(at(bar, last as f32 + 6.0));
    desk.run();
    assert_eq!(bounds(&desk, open), (first, last + 5));
    assert_eq!(bounds(&desk, open + 1).0, last + 6, "the neighbour went along");
    let channel = bench(&desk).focus.channel;
    let compiled = &bench(&desk).head.plan.fixtures()[0].mode.as_ref().expect("a mode").channels;
    assert_eq!(compiled[channel].ranges[open].last, last + 5, "the test head follows");
    assert_eq!(bench(&desk).document.can_undo(), Some("move a range's end"));
    desk.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    desk.run();
    assert_eq!(bench(&desk).profile(), &start);
    assert!(!bench(&desk).document.is_dirty());
    desk.key_press_modifiers(Modifiers::COMMAND, Key::Y);
    desk.run();
    assert_eq!(bounds(&desk, open), (first, last + 5));
}

#[test]
fn a_click_on_a_range_selects_it_and_the_test_head_does_it() {
    let mut desk = bench_desk();
    show_channel(&mut desk, "Shutter");
    let shut = ranges(&desk).iter().position(|range| range.does == Effect::Shut).expect("shut");
    let (first, last) = bounds(&desk, shut);
    let bar = desk.get_by_label("Ranges of Shutter").rect();
    let middle = at(bar, (first + last) as f32 / 2.0 + 0.5);
    desk.drag_at(middle);
    desk.drop_at(middle);
    desk.run();
    assert_eq!(bench(&desk).focus.range, Some(shut));
    assert_eq!(bench(&desk).head.scene.marks[0].state, MarkState::Dark);
    desk.key_press(Key::CloseBracket);
    desk.run();
    assert_ne!(bench(&desk).focus.range, Some(shut));
    let value = bench(&desk).value(bench(&desk).focus.channel).expect("sent");
    let (first, last) = bounds(&desk, bench(&desk).focus.range.expect("the next range"));
    assert!((first..=last).contains(&value), "the test head does the next one");
    press(&mut desk, "alight");
    assert_eq!(bench(&desk).head.scene.marks[0].state, MarkState::Lit);
    assert!(!bench(&desk).document.is_dirty(), "values on the test head are no part of it");
}

#[test]
fn the_keyboard_moves_the_cursor_and_the_end_of_the_range() {
    let mut desk = bench_desk();
    show_channel(&mut desk, "Shutter");
    let (first, last) = bounds(&desk, 1);
    desk.get_by_label("Ranges of Shutter").focus();
    desk.run();
    let value = bench(&desk).value(bench(&desk).focus.channel).expect("sent");
    desk.key_press(Key::ArrowRight);
    desk.run();
    assert_eq!(bench(&desk).value(bench(&desk).focus.channel), Some(value + 1));
    apply(&mut desk, BenchCommand::Try(1).into());
    desk.key_press_modifiers(Modifiers::ALT, Key::ArrowRight);
    desk.run();
    assert_eq!(bounds(&desk, 1), (first, last + 1));
    desk.key_press_modifiers(Modifiers::ALT | Modifiers::SHIFT, Key::ArrowLeft);
    desk.run();
    assert_eq!(bounds(&desk, 1), (first, last));
}

#[test]
fn a_range_is_split_at_the_cursor_and_merged_again() {
    let mut desk = bench_desk();
    show_channel(&mut desk, "Shutter");
    let strobe = ranges(&desk).iter().position(|r| r.does.key() == "strobe").expect("a strobe");
    let start = ranges(&desk).to_vec();
    apply(&mut desk, BenchCommand::Try(strobe).into());
    desk.key_press(Key::D);
    desk.run();
    assert_eq!(ranges(&desk).len(), start.len() + 1);
    let halves = [strobe, strobe + 1].map(|i| ranges(&desk)[i].does.physical().expect("a rate"));
    assert!(halves[0].span.1 < halves[1].span.0, "the rate goes on where it was cut");
    assert_eq!(halves[0].unit, Unit::Hertz);
    apply(&mut desk, BenchCommand::Try(strobe).into());
    desk.key_press(Key::M);
    desk.run();
    assert_eq!(ranges(&desk), start);
}

#[test]
fn an_effect_is_chosen_from_its_group_and_seen_at_once() {
    let mut desk = bench_desk();
    show_channel(&mut desk, "Shutter");
    let strobe = ranges(&desk).iter().position(|r| r.does.key() == "strobe").expect("a strobe");
    apply(&mut desk, BenchCommand::Try(strobe).into());
    assert!(bench(&desk).head.scene.marks[0].flash.is_some());
    press(&mut desk, "Effect: strobe");
    press(&mut desk, "shutter");
    desk.get_by_role_and_label(Role::Button, "shut").click();
    desk.run();
    assert_eq!(ranges(&desk)[strobe].does, Effect::Shut);
    assert_eq!(bench(&desk).head.scene.marks[0].state, MarkState::Dark);
    press(&mut desk, "Effect: shut");
    press(&mut desk, "level");
    press(&mut desk, "dimmer");
    assert!(matches!(ranges(&desk)[strobe].does, Effect::Dimmer { .. }));
    desk.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    desk.run();
    assert_eq!(ranges(&desk)[strobe].does, Effect::Shut, "each choice is a step");
}

#[test]
fn the_test_head_keeps_its_values_by_the_names_of_its_channels() {
    let mut desk = bench_desk();
    show_channel(&mut desk, "Shutter");
    let shutter = bench(&desk).focus.channel;
    let held = bench(&desk).value(shutter);
    let at = bench(&desk).channel_at();
    apply(
        &mut desk,
        BenchCommand::Edit { edit: ProfileEdit::MoveChannel { at, to: 0 }, gesture: false }.into(),
    );
    assert_eq!(bench(&desk).focus.channel, 0, "the selection goes along");
    assert_eq!(bench(&desk).value(0), held);
    let at = ChannelAt { mode: bench(&desk).focus.mode, channel: 0 };
    let edit = ProfileEdit::RenameChannel { at, name: "Gate".to_owned() };
    apply(&mut desk, BenchCommand::Edit { edit, gesture: false }.into());
    assert_eq!(bench(&desk).value(0), held);
    assert_eq!(bench(&desk).head.scene.marks[0].state, MarkState::Lit);
}

#[test]
fn an_edit_that_cannot_be_made_says_why() {
    let mut desk = bench_desk();
    show_channel(&mut desk, "Shutter");
    let before = bench(&desk).profile().clone();
    let at = bench(&desk).channel_at().range(0);
    let edit = ProfileEdit::MoveEdge { at, edge: Edge::Last, to: 255 };
    apply(&mut desk, BenchCommand::Edit { edit, gesture: false }.into());
    assert_eq!(bench(&desk).profile(), &before);
    desk.get_by_label_contains("the end cannot go to `255`");
}

#[test]
fn a_profile_is_saved_with_the_comments_it_had_and_reads_back() {
    let mut desk = bench_desk();
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("spot.ron");
    let text = format!("// Measured in the workshop.\n{}", to_ron(bench(&desk).profile()));
    std::fs::write(&path, &text).expect("written");
    apply(&mut desk, Command::OpenFile(path.clone()));
    wait_for_jobs(&mut desk);
    assert_eq!(bench(&desk).document.path(), Some(path.as_path()));
    show_channel(&mut desk, "Dimmer");
    let at = bench(&desk).channel_at().range(0);
    let edit = ProfileEdit::SetLabel { at, label: "lens light".to_owned() };
    apply(&mut desk, BenchCommand::Edit { edit, gesture: false }.into());
    assert!(bench(&desk).document.is_dirty());
    desk.key_press_modifiers(Modifiers::COMMAND, Key::S);
    desk.run();
    wait_for_jobs(&mut desk);
    assert!(!bench(&desk).document.is_dirty());
    let written = std::fs::read_to_string(&path).expect("the file");
    assert!(written.starts_with("// Measured in the workshop.\n("));
    let (again, _) = parse_profile(&written, None, &is_known_drawing).expect("a profile");
    assert_eq!(&again, &**bench(&desk).profile());
    let other = folder.path().join("copy");
    finish(&mut desk, Done::Chosen(Purpose::SaveProfile, other.clone()));
    wait_for_jobs(&mut desk);
    assert_eq!(bench(&desk).document.path(), Some(other.with_extension("ron").as_path()));
    let nowhere = PathBuf::from("/nowhere/at/all.ron");
    finish(&mut desk, Done::Chosen(Purpose::SaveProfile, nowhere));
    wait_for_jobs(&mut desk);
    desk.get_by_label_contains("was not saved");
}

/// Saves the profile on the bench with its dimmer at half, and gives the show's.
fn save_dimmed(desk: &mut Desk, path: &Path) -> Arc<Profile> {
    show_channel(desk, "Dimmer");
    let at = bench(desk).channel_at().range(0);
    let does = Effect::Dimmer { percent: (0.0, 50.0), curve: Curve::Linear };
    let edit = ProfileEdit::SetEffects { at, effects: vec![does] };
    apply(desk, BenchCommand::Edit { edit, gesture: false }.into());
    finish(desk, Done::Chosen(Purpose::SaveProfile, path.to_owned()));
    let key = bench(desk).profile().key().0;
    state(desk).show().profiles[&key].clone()
}

#[test]
fn a_profile_that_is_saved_takes_effect_in_the_show_that_uses_it_though_nobody_watches_its_file() {
    let mut desk = bench_desk();
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("spot.ron");
    let taken = save_dimmed(&mut desk, &path);
    assert_eq!(&taken, bench(&desk).profile());
    desk.get_by_label_contains("the show uses it");
    assert_eq!(state(&desk).show().profile_files.len(), 1, "the show names its file now");
    apply(&mut desk, Command::Do(Action::Bench));
    apply(&mut desk, Command::Do(Action::Undo));
    assert!(state(&desk).show().profile_files.is_empty(), "and that is one step of undo");
    assert_ne!(state(&desk).show().profiles[&taken.key().0], taken);
}

#[test]
fn a_profile_that_fixtures_of_the_show_cannot_have_is_saved_and_the_show_keeps_its_own() {
    let mut desk = bench_desk();
    let folder = tempfile::tempdir().expect("a folder");
    let edit = ProfileEdit::RenameMode { mode: 0, name: "other".to_owned() };
    apply(&mut desk, BenchCommand::Edit { edit, gesture: false }.into());
    let before = state(&desk).show().clone();
    finish(&mut desk, Done::Chosen(Purpose::SaveProfile, folder.path().join("spot.ron")));
    assert!(!bench(&desk).document.is_dirty());
    desk.get_by_label_contains("the show keeps its own");
    assert_eq!(*state(&desk).show(), before);
}

fn edit_something(desk: &mut Desk) {
    show_channel(desk, "Dimmer");
    let at = bench(desk).channel_at().range(0);
    let edit = ProfileEdit::SetLabel { at, label: "lens light".to_owned() };
    apply(desk, BenchCommand::Edit { edit, gesture: false }.into());
    assert!(bench(desk).document.is_dirty());
}

#[test]
fn another_profile_is_not_begun_over_unsaved_changes_unasked() {
    let mut desk = bench_desk();
    edit_something(&mut desk);
    desk.key_press_modifiers(Modifiers::COMMAND, Key::N);
    desk.run();
    desk.get_by_label("A new profile would lose them.");
    press(&mut desk, "Cancel");
    assert!(bench(&desk).document.is_dirty(), "nothing was lost");
    desk.key_press_modifiers(Modifiers::COMMAND, Key::N);
    desk.run();
    press(&mut desk, "Discard");
    assert_eq!(bench(&desk).profile().key().0, "Maker Untitled");
    assert_eq!(bench(&desk).head.scene.marks[0].state, MarkState::Lit);
    apply(&mut desk, BenchCommand::OpenLibrary("Saltgrave Cobble".to_owned()).into());
    assert_eq!(bench(&desk).profile().key().0, "Saltgrave Cobble");
    assert!(bench(&desk).document.path().is_none(), "a copy has no file");
}

#[test]
fn the_window_does_not_close_over_an_unsaved_profile_unasked() {
    let mut desk = bench_desk();
    edit_something(&mut desk);
    press(&mut desk, "Stage");
    let close = |desk: &mut Desk| {
        let root = desk.input_mut().viewports.entry(ViewportId::ROOT).or_default();
        root.events.push(ViewportEvent::Close);
        desk.step();
        let root = desk.output().viewport_output.get(&ViewportId::ROOT);
        root.is_some_and(|root| root.commands.contains(&ViewportCommand::CancelClose))
    };
    assert!(close(&mut desk));
    desk.run();
    desk.get_by_label_contains("Save the changes to Tarnfell");
    desk.get_by_label("Discard").click();
    desk.step();
    desk.step();
    assert!(state(&desk).leaving);
    assert!(!close(&mut desk));
}

#[test]
fn what_belongs_to_the_show_is_not_done_from_the_bench() {
    let mut desk = bench_desk();
    let levels = state(&desk).show().levels.clone();
    desk.key_press(Key::L);
    desk.run();
    assert_eq!(state(&desk).show().levels, levels);
    desk.get_by_label_contains("that is done on the stage");
    apply(&mut desk, Command::Do(Action::Play));
    assert!(state(&desk).motion().is_none(), "the show stands still");
    assert!(bench(&desk).head.motion().is_some(), "time runs for the test head");
}

#[test]
fn nothing_is_drawn_again_while_nothing_changes() {
    let mut desk = bench_desk();
    show_channel(&mut desk, "Shutter");
    let pictures = bench(&desk).head.stage.pictures;
    for _ in 0..10 {
        desk.step();
        let root = desk.output().viewport_output.get(&ViewportId::ROOT);
        let delay = root.map(|root| root.repaint_delay);
        assert_eq!(delay, Some(std::time::Duration::MAX), "no pass is asked for");
    }
    assert_eq!(bench(&desk).head.stage.pictures, pictures);
}

#[test]
fn every_part_is_drawn_at_every_size_in_both_themes_and_leaves_room_for_the_stage() {
    for (size, light) in
        [([1000.0, 640.0], false), ([1280.0, 800.0], true), ([1920.0, 1080.0], false)]
    {
        let mut desk = desk_of(size, Preferences { light, ..Preferences::default() });
        apply(&mut desk, Command::Do(Action::Bench));
        for section in [
            Section::Fixture,
            Section::Wheels,
            Section::Cells,
            Section::Loss,
            Section::Mode,
            Section::Channel,
        ] {
            let focus = Focus { section, ..bench(&desk).focus.clone() };
            apply(&mut desk, BenchCommand::Show(Box::new(focus)).into());
            let stage = desk.get_by_label_contains("Stage:").rect();
            assert!(stage.width() > 300.0 && stage.height() > 150.0, "{size:?}: {stage:?}");
        }
        let channels = bench(&desk).mode().map_or(0, |mode| mode.channels.len());
        for channel in 0..channels {
            let focus = Focus { channel, range: Some(0), ..bench(&desk).focus.clone() };
            apply(&mut desk, BenchCommand::Show(Box::new(focus)).into());
        }
    }
}

/// A small generator, so that the walk is the same on every machine: the multiplier of Knuth's MMIX.
fn next(seed: &mut u64) -> usize {
    *seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
    (*seed >> 33) as usize
}

#[test]
fn any_commands_one_after_another_leave_a_profile_that_reads_back() {
    let ctx = egui::Context::default();
    let mut state = State::new(crate::desk::demo(), None, Preferences::default());
    state.apply(&ctx, Command::Do(Action::Bench));
    let mut seed = 20;
    for step in 0..400 {
        let bench = state.bench.as_ref().expect("the bench is open");
        let place = ChannelAt { mode: next(&mut seed) % 3, channel: next(&mut seed) % 40 };
        let range = place.range(next(&mut seed) % 12);
        let value = next(&mut seed) as u32 % 300;
        let edit = |edit| BenchCommand::Edit { edit, gesture: value < 150 };
        let command = match next(&mut seed) % 16 {
            0 => edit(ProfileEdit::RemoveChannel(place)),
            1 => edit(ProfileEdit::MoveChannel { at: place, to: value as usize % 40 }),
            2 => edit(ProfileEdit::SplitRange { at: range, value }),
            3 => edit(ProfileEdit::MergeRange(range)),
            4 => edit(ProfileEdit::RemoveRange(range)),
            5 => edit(ProfileEdit::MoveEdge { at: range, edge: Edge::Last, to: value }),
            6 => edit(ProfileEdit::RemoveMode(place.mode)),
            7 => edit(ProfileEdit::SetSlots { at: place, slots: vec![value as u16, 3] }),
            8 => BenchCommand::Try(range.range),
            9 => BenchCommand::SetValue { channel: place.channel, value },
            10 => BenchCommand::NewChannel,
            11 => BenchCommand::CopyMode,
            12 => BenchCommand::Rest,
            _ => {
                let focus = Focus {
                    mode: place.mode,
                    channel: place.channel,
                    range: Some(range.range),
                    ..bench.focus.clone()
                };
                BenchCommand::Show(Box::new(focus))
            }
        };
        state.apply(&ctx, command.into());
        let action = match step % 7 {
            0 => Action::Undo,
            1 => Action::NextRange,
            2 => Action::SplitRange,
            3 => Action::Redo,
            4 => Action::StepOn,
            _ => continue,
        };
        state.apply(&ctx, Command::Do(action));
    }
    let profile = state.bench.as_ref().expect("the bench is open").profile().clone();
    let (again, _) = parse_profile(&to_ron(&profile), None, &is_known_drawing).expect("sound");
    assert_eq!(again, *profile);
}

#[test]
fn the_test_head_does_whatever_range_of_whatever_profile_is_tried() {
    let ctx = egui::Context::default();
    let mut state = State::new(crate::desk::demo(), None, Preferences::default());
    state.apply(&ctx, Command::Do(Action::Bench));
    let names: Vec<String> = Library::embedded().names().map(str::to_owned).collect();
    let mut tried = 0;
    for name in names {
        state.apply(&ctx, BenchCommand::OpenLibrary(name.clone()).into());
        let profile = state.bench.as_ref().expect("the bench is open").profile().clone();
        assert_eq!(profile.key().0, name);
        let lit = &state.bench.as_ref().expect("open").head.scene.marks[0].state;
        assert!(*lit == MarkState::Lit, "{name} gives light at first sight");
        for (mode, layout) in profile.modes.iter().enumerate() {
            for (channel, control) in layout.channels.iter().enumerate() {
                let focus = Focus { mode, channel, ..Focus::default() };
                state.apply(&ctx, BenchCommand::Show(Box::new(focus)).into());
                for (range, meant) in control.ranges.iter().enumerate() {
                    state.apply(&ctx, BenchCommand::Try(range).into());
                    let head = &state.bench.as_ref().expect("open").head;
                    let reading = head.plan.reading(0, head.frames(), &head.decoded);
                    let reading = reading.expect("a fixture");
                    let done = reading.channel(channel).and_then(|channel| channel.range);
                    let done = done.map(|range| (range.first, range.last, range.does.clone()));
                    let (first, last) = meant.bounds(control.at.len()).expect("two ends");
                    let meant = Some((first, last, meant.does.clone()));
                    assert_eq!(done, meant, "{name}, {}, {}", layout.name, control.name);
                    tried += 1;
                }
            }
        }
    }
    assert!(tried > 500, "{tried} ranges were tried");
}

#[test]
fn every_profile_of_the_library_is_shown_whole() {
    let mut desk = bench_desk();
    for name in Library::embedded().names() {
        apply(&mut desk, BenchCommand::OpenLibrary(name.to_owned()).into());
        for section in [Section::Fixture, Section::Wheels, Section::Cells, Section::Channel] {
            let focus = Focus { section, ..bench(&desk).focus.clone() };
            apply(&mut desk, BenchCommand::Show(Box::new(focus)).into());
        }
        assert!(!bench(&desk).document.is_dirty(), "looking at {name} changes nothing");
    }
}
