//! The ruler of a channel, by itself.

use std::sync::Arc;

use egui::{Role, Theme};
use egui_kittest::{Harness, kittest::Queryable as _};
use slotwright::app::ruler::{Ruler, RulerEdit};
use slotwright::app::theme;
use slotwright::decode::CompiledMode;
use slotwright::profile::Profile;

use crate::harness::{SoftTestRenderer, snapshot_options};

const HEAD: &str = r##"(
    maker: "Neutral", model: "Rulers",
    head: Fixed,
    source: White(flux_lm: 8000.0, cct_k: 6500.0),
    optics: (beam_deg: 13.0, field_deg: 17.0),
    wheels: {"colour": (slots: [Open, Tint("amber", "#ffb000"), Tint("azure", "#0b2bd6")])},
    modes: [(name: "full", slots: 4, channels: [
        (name: "Zoom", at: [1, 2], ranges: [(from: 0, to: 255, does: Zoom(deg: (8.0, 40.0)))]),
        (name: "Shutter", at: [3], ranges: [
            (from: 0, to: 31, does: Shut),
            (from: 32, to: 95, does: Open),
            (from: 128, to: 255, does: Strobe(hz: (1.0, 20.0)), label: "strobe, slow to fast"),
        ]),
        (name: "Colour", at: [4], ranges: [
            (from: 0, to: 63, does: Slot(wheel: "colour", slot: 1)),
            (from: 64, to: 127, does: Slot(wheel: "colour", slot: 2)),
            (from: 128, to: 191, does: Split(wheel: "colour", between: (2, 3))),
            (from: 192, to: 255, does: Slot(wheel: "colour", slot: 3)),
        ]),
    ])],
)"##;

struct Rulers {
    mode: CompiledMode,
    edits: Vec<RulerEdit>,
    values: Vec<u32>,
    dressed: bool,
}

fn rulers(look: Theme) -> Harness<'static, Rulers> {
    let profile: Arc<Profile> = Arc::new(ron::from_str(HEAD).expect("the head is valid"));
    let mode = CompiledMode::new(&profile, &profile.modes[0].clone());
    let state = Rulers { mode, edits: Vec::new(), values: vec![0x8000, 40, 70], dressed: false };
    let show = move |ui: &mut egui::Ui, state: &mut Rulers| {
        if !state.dressed {
            ui.ctx().set_theme(look);
            theme::apply(ui.ctx());
            state.dressed = true;
            return;
        }
        for (i, channel) in state.mode.channels.iter().enumerate() {
            let value = state.values[i];
            let values = [value, 200];
            let ruler = Ruler {
                mode: &state.mode,
                channel,
                values: if i == 2 { &values } else { &values[..1] },
                now: (i == 0).then_some(12_000.5),
                in_force: channel.find_with(value, |_| None).filter(|_| i != 2),
                held: &|_| None,
                enabled: i != 2,
                words: "",
            };
            let (_, edits) = ui.push_id(i, |ui| ruler.show(ui, 26.0)).inner;
            state.edits.extend(edits);
        }
    };
    let mut harness = Harness::builder()
        .with_size([360.0, 110.0])
        .with_theme(look)
        .renderer(SoftTestRenderer::default())
        .build_ui_state(show, state);
    harness.run();
    harness
}

/// Points at a value of the shutter's ruler.
fn at(harness: &Harness<'static, Rulers>, value: f32) -> egui::Pos2 {
    let rect = harness.get_by_role_and_label(Role::Slider, "Shutter").rect();
    egui::pos2(rect.left() + rect.width() * (value + 0.5) / 256.0, rect.center().y)
}

#[test]
fn a_range_says_on_hover_what_it_does_at_both_ends() {
    let mut harness = rulers(Theme::Dark);
    harness.hover_at(at(&harness, 200.0));
    harness.run_steps(6);
    harness.get_by_label("128..255  strobe, slow to fast");
    harness.get_by_label("strobe: 1.00 Hz at 128, 20.00 Hz at 255");
    harness.hover_at(at(&harness, 100.0));
    harness.run_steps(6);
    harness.get_by_label("No range covers this value: it does nothing.");
}

#[test]
fn a_ruler_without_a_slot_takes_no_edit() {
    let mut harness = rulers(Theme::Dark);
    let rect = harness.get_by_role_and_label(Role::Slider, "Colour").rect();
    harness.drag_at(rect.center());
    harness.step();
    harness.drop_at(rect.center());
    harness.run();
    assert_eq!(harness.state().edits, []);
}

#[test]
fn a_press_sets_the_value_under_it_and_the_release_ends_the_gesture() {
    let mut harness = rulers(Theme::Dark);
    let place = at(&harness, 150.0);
    harness.drag_at(place);
    harness.step();
    harness.drop_at(place);
    harness.run();
    assert_eq!(harness.state().edits.first(), Some(&RulerEdit::To(150)));
    assert_eq!(harness.state().edits.last(), Some(&RulerEdit::End));
}

/// Ranges, a gap, samples, two cursors, a ghost and the focus.
fn picture(look: Theme, name: &str) {
    let mut harness = rulers(look);
    harness.get_by_role_and_label(Role::Slider, "Shutter").focus();
    harness.run();
    harness.snapshot_options(name, &snapshot_options());
}

#[test]
fn rulers_in_the_dark() {
    picture(Theme::Dark, "rulers_dark");
}

#[test]
fn rulers_in_the_light() {
    picture(Theme::Light, "rulers_light");
}
