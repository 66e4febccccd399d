//! What the window does with a sweep: the slots follow it and the show stays as it is, until the value
//! is kept or the sweep ends.

use std::collections::BTreeMap;

use egui::{Layout, RichText, Sense, Ui, UiBuilder, WidgetInfo, vec2};

use super::clock::Mode;
use super::command::Command;
use super::keys::Action;
use super::state::{Exposure, State};
use super::sweep::{Pace, Sweep};
use super::theme::{self, Palette};
use super::time::in_force;
use crate::decode::sweep::stops;
use crate::decode::{Decoded, Held, Plan, split, written};
use crate::finding::Severity;
use crate::show::Edit;
use crate::wire::{Frames, Slot, SlotState, Universe};

/// Slots and their values, by universe.
pub(super) type SlotValues = BTreeMap<Universe, Vec<(Slot, u8)>>;

/// Room for the button at the right of a channel's line, in points.
pub(super) const BUTTON_ROOM: f32 = 16.0;

/// A sweep that is on.
pub struct Swept {
    /// The fixtures, as places in the rig; the first is the one that is told of.
    pub fixtures: Vec<usize>,
    /// The channel, as a place in their mode.
    pub channel: usize,
    /// Where it stands.
    pub sweep: Sweep,
    /// The slots as they were, but for the channel.
    pub(super) frames: Frames,
    /// What these come to.
    pub(super) decoded: Decoded,
    /// Timed frames were in the lead before.
    led: bool,
    /// The automatic exposure before, in lux.
    reference_lx: f64,
    /// What the window's own clock showed at the last pass, in seconds.
    passed_s: Option<f64>,
}

impl Swept {
    /// The slots of the channel, with the value that the sweep stands at.
    fn slot_values(&self, plan: &Plan) -> SlotValues {
        let mut values = SlotValues::new();
        for fixture in self.fixtures.iter().filter_map(|i| plan.fixtures().get(*i)) {
            let channel = fixture.mode.as_ref().and_then(|mode| mode.channels.get(self.channel));
            let (Some(channel), Some(address)) = (channel, fixture.address) else { continue };
            let bytes = split(self.sweep.value(), channel.offsets.len());
            let slots = channel.offsets.iter().map(|offset| address.slot_at(*offset));
            let set = slots.zip(bytes).filter_map(|(slot, byte)| Some((slot?, byte)));
            values.entry(address.universe).or_default().extend(set);
        }
        values
    }
}

impl State {
    /// Does what a key or a menu asked of a sweep.
    pub(super) fn act_on_sweep(&mut self, action: Action) {
        if action == Action::Sweep {
            return self.sweep_touched();
        }
        let pace = &mut self.preferences.sweep;
        let Some(swept) = &mut self.sweep else {
            match action {
                Action::SweepPace => {
                    *pace = pace.next();
                    let words = format!("a sweep takes {} s from now on", pace.seconds());
                    self.say(Severity::Note, words);
                }
                _ => self.say(Severity::Note, "nothing is being swept"),
            }
            return;
        };
        match action {
            Action::NextBoundary | Action::LastBoundary => {
                swept.sweep.step(action == Action::NextBoundary);
                self.show_sweep();
            }
            Action::SweepPace => *pace = pace.next(),
            Action::KeepSwept => self.keep_swept(),
            Action::EndSweep => drop(self.end_sweep()),
            _ => {}
        }
    }

    /// Holds the sweep that is on or lets it go on; else begins with the channel touched last.
    fn sweep_touched(&mut self) {
        if let Some(swept) = &mut self.sweep {
            swept.sweep.toggle();
            return self.show_sweep();
        }
        let fixtures = self.read_fixtures();
        match fixtures.is_empty() {
            true => self.say(Severity::Note, "select a fixture to sweep one of its channels"),
            false => self.begin_sweep(fixtures, self.reading.touched.unwrap_or(0)),
        }
    }

    /// The fixtures that the rows of the reading panel are about.
    pub(super) fn read_fixtures(&self) -> Vec<usize> {
        let mode = |i: &usize| self.plan.fixtures().get(*i)?.mode.as_ref();
        let first = self.selection.iter().find_map(mode);
        let same = |i: &&usize| {
            first.zip(mode(i)).is_some_and(|(first, other)| std::sync::Arc::ptr_eq(first, other))
        };
        self.selection.iter().filter(same).copied().collect()
    }

    /// Begins to sweep a channel of these fixtures, which are of one mode. Where that is on already, it
    /// is held or goes on.
    pub(super) fn begin_sweep(&mut self, fixtures: Vec<usize>, channel: usize) {
        let is_on = |swept: &Swept| swept.channel == channel && swept.fixtures == fixtures;
        if self.sweep.as_ref().is_some_and(is_on) {
            return self.sweep_touched();
        }
        self.end_sweep();
        let led = self.timed.as_ref().is_some_and(|timed| timed.leads);
        let (frames, decoded) = in_force(
            None,
            self.cues.lead(),
            self.timed.as_ref(),
            None,
            &self.document,
            &self.decoded,
        );
        let reading = fixtures.first().and_then(|i| self.plan.reading(*i, frames, decoded));
        let Some(reading) = reading else { return };
        let Some(of) = reading.mode.channels.get(channel) else { return };
        if reading.held(of) == Held::NoSlot {
            let words = format!("{} has no slot to sweep", of.name);
            return self.say(Severity::Warning, words);
        }
        let held = |offset| reading.slot_state(offset).and_then(SlotState::value);
        let sweep = Sweep::new(stops(of, held), of.max_value());
        let (frames, decoded) = (frames.clone(), self.plan.start());
        self.show_own_slots();
        // What a change before would have taken is not what is on the way now.
        self.forecast = None;
        self.sweep = Some(Swept {
            fixtures,
            channel,
            sweep,
            frames,
            decoded,
            led,
            reference_lx: self.scene.reference_lx,
            passed_s: None,
        });
        self.show_sweep();
    }

    /// Puts the value of the sweep into its slots, and shows what comes of it.
    fn show_sweep(&mut self) {
        let Some(swept) = &mut self.sweep else { return };
        for (universe, values) in swept.slot_values(&self.plan) {
            for (slot, value) in values {
                swept.frames.set(universe, slot, value);
            }
        }
        self.plan.decode(&swept.frames, &mut swept.decoded);
        self.ask_anew();
    }

    /// Other slots are in force: asks the heads for what they say.
    pub(super) fn ask_anew(&mut self) {
        let leads = self.timed.as_ref().is_some_and(|timed| timed.leads);
        if self.clock.mode != Mode::Arrived {
            self.come_back();
            if !leads && self.clock.cut_since_s.is_none() {
                let (frames, decoded) = in_force(
                    self.sweep.as_ref(),
                    self.cues.lead(),
                    self.timed.as_ref(),
                    None,
                    &self.document,
                    &self.decoded,
                );
                self.clock.motion.frame(self.clock.t_s, &self.plan, frames, decoded);
            }
            if !leads {
                self.note_asked();
            }
            self.go_to(self.clock.t_s);
            self.record();
        }
        self.show_light(Exposure::Held);
    }

    /// Lets a sweep go on, by the window's own clock.
    pub(super) fn tick_sweep(&mut self, window_s: f64) {
        let Some(swept) = &mut self.sweep else { return };
        let before_s = swept.passed_s.replace(window_s).unwrap_or(window_s);
        if swept.sweep.advance(window_s - before_s, self.preferences.sweep) {
            self.show_sweep();
        }
    }

    /// Ends a sweep, so that everything is as it was before, and gives what its slots stood at.
    pub(super) fn end_sweep(&mut self) -> SlotValues {
        let Some(swept) = self.sweep.take() else { return SlotValues::new() };
        if let Some(timed) = self.timed.as_mut().filter(|_| swept.led) {
            timed.leads = true;
            self.clock.t_s = timed.playback.now_s();
        }
        self.scene.reference_lx = swept.reference_lx;
        self.ask_anew();
        swept.slot_values(&self.plan)
    }

    /// Ends a sweep and keeps its value in the show, as one step of undo.
    fn keep_swept(&mut self) {
        let values = self.end_sweep();
        let several = values.len() > 1;
        for (universe, values) in values {
            self.edit_in(Edit::SetSlots { universe, values }, several);
        }
        self.end_gesture();
    }
}

/// The button at the right of a channel's line that begins its sweep. Keys begin one too, so that it
/// takes no place in the order of Tab. Whether it was clicked.
pub(super) fn sweep_button(ui: &Ui, line: egui::Rect, channel: &str) -> bool {
    let left = line.right() + 3.0;
    let rect = egui::Rect::from_x_y_ranges(left..=left + BUTTON_ROOM - 3.0, line.y_range());
    let response = ui.interact(rect, ui.scope_id().with("sweep"), Sense::CLICK);
    let name = format!("Sweep {channel}");
    response.widget_info(|| WidgetInfo::labeled(egui::Role::Button, true, &name));
    let palette = Palette::of(ui.visuals());
    let ink = if response.hovered() { palette.accent } else { palette.strong_line };
    // An arrow from one end to the other.
    let (y, [a, b]) = (rect.center().y - 1.0, [rect.left() + 1.0, rect.right() - 2.0]);
    let stroke = egui::Stroke::new(1.2, ink);
    let painter = ui.painter();
    painter.vline(a, y - 3.5..=y + 3.5, stroke);
    painter.hline(a..=b, y, stroke);
    for dy in [-3.0, 3.0] {
        painter.line_segment([egui::pos2(b - 3.0, y + dy), egui::pos2(b, y)], stroke);
    }
    let key = Action::Sweep.key_words(ui.ctx());
    let tip = format!(
        "Run {channel} from 0 to its greatest value and see what each range does ({key} for the channel touched last)"
    );
    response.on_hover_text(tip).clicked()
}

/// Draws the strip that holds, steps and ends a sweep.
pub(super) fn sweep_strip(ui: &mut Ui, state: &mut State, commands: &mut Vec<Command>) {
    let Some(swept) = &state.sweep else { return };
    ui.horizontal_centered(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let mut act = |ui: &mut Ui, words: &str, action: Action| {
            if ui.button(words).on_hover_text(action.tip(ui.ctx())).clicked() {
                commands.push(Command::Do(action));
            }
        };
        act(ui, if swept.sweep.running { "Hold" } else { "Go on" }, Action::Sweep);
        act(ui, "Last boundary", Action::LastBoundary);
        act(ui, "Next boundary", Action::NextBoundary);
        ui.add_space(6.0);
        for pace in Pace::ALL {
            let words = format!("{} s", pace.seconds());
            let key = Action::SweepPace.key_words(ui.ctx());
            let tip = format!(
                "The whole channel in {words} ({key} for the next pace); longer where more than six \
                 ranges a second would pass"
            );
            let chosen = state.preferences.sweep == pace;
            if ui.selectable_label(chosen, words).on_hover_text(tip).clicked() {
                state.preferences.sweep = pace;
            }
        }
        ui.with_layout(Layout::right_to_left(egui::Align::Center), |ui| {
            act(ui, "End sweep", Action::EndSweep);
            act(ui, "Keep value", Action::KeepSwept);
        });
    });
}

/// What the sweep stands at.
struct Told {
    /// The fixture and the channel.
    of: String,
    /// What the range is called.
    range: String,
    /// The value, and what it is in physical terms.
    value: String,
}

fn told(state: &State) -> Option<Told> {
    let swept = state.sweep.as_ref()?;
    let first = *swept.fixtures.first()?;
    let reading = state.plan.reading(first, &swept.frames, &swept.decoded)?;
    let channel = reading.channel(swept.channel)?;
    let fixture = state.show().rig.get(first)?;
    let more = match swept.fixtures.len() {
        1 => String::new(),
        n => format!(" and {} more", n - 1),
    };
    let (at, count) = swept.sweep.place();
    let range = channel.range.map_or("no range: it does nothing", |range| range.label.as_str());
    let physical = channel.range.and_then(|range| range.physical).zip(channel.physical);
    let physical = physical.map_or(String::new(), |(of, value)| of.unit.format(value));
    let value = written(swept.sweep.value(), channel.channel.offsets.len());
    Some(Told {
        of: format!(
            "{}{more}  \u{b7}  {}  \u{b7}  {at} of {count}",
            fixture.id, channel.channel.name
        ),
        range: range.to_owned(),
        value: if physical.is_empty() { value } else { format!("{value}   {physical}") },
    })
}

/// Draws what the sweep stands at, large, over the stage.
pub(super) fn sweep_overlay(ui: &mut Ui, stage: egui::Rect, state: &State) {
    let Some(told) = told(state) else { return };
    // The stage is dark in the light window too.
    let palette = Palette::DARK;
    let large = |points: f32| egui::FontId::new(points, theme::strong_family());
    let lines = [
        (told.of, egui::FontId::proportional(13.0), palette.weak_text),
        (told.range, large(26.0), palette.text),
        (told.value, egui::FontId::monospace(18.0), palette.text),
    ];
    // As wide as the words, in steps: a number that gets a digit must not make it jump.
    let widest = lines.iter().map(|(words, font, ink)| {
        ui.painter().layout_no_wrap(words.clone(), font.clone(), *ink).size().x
    });
    let wanted = (widest.fold(0.0, f32::max) / 80.0).ceil() * 80.0 + 26.0;
    let width = wanted.min((stage.width() - 24.0).max(40.0));
    let rect = egui::Rect::from_min_size(stage.min + vec2(12.0, 12.0), vec2(width, 96.0));
    let painter = ui.painter().with_clip_rect(stage);
    painter.rect_filled(rect, 3.0, egui::Color32::from_black_alpha(190));
    let share = state.sweep.as_ref().map_or(0.0, |swept| swept.sweep.share()) as f32;
    let bar = egui::Rect::from_min_max(rect.left_bottom() - vec2(0.0, 3.0), rect.max);
    painter.rect_filled(bar.with_max_x(bar.left() + share * bar.width()), 0.0, palette.accent);
    let mut over = ui.new_child(UiBuilder::new().max_rect(rect.shrink2(vec2(12.0, 8.0))));
    over.spacing_mut().item_spacing.y = 2.0;
    for (words, font, ink) in lines {
        let text = RichText::new(words).font(font).color(ink);
        over.add(egui::Label::new(text).truncate().selectable(false));
    }
}
