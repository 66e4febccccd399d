//! The reading panel: what the frame asks of the selected fixture, one row a channel.

use std::collections::BTreeMap;

use egui::{RichText, ScrollArea, Ui};

use super::command::Command;
use super::keys::Action;
use super::light_section::{LightSection, light_button, light_foot, why_of};
use super::now::{Now, forecast_words, sentence};
use super::reading_columns::{Columns, captions};
use super::reading_row::row;
use super::reading_words::numbers;
use super::signal::loss_lines;
use super::sweeping::BUTTON_ROOM;
use super::theme::{self, BAR, GRID, Palette};
use crate::check::why::Why;
use crate::decode::{
    Asked, CompiledChannel, CompiledMode, Decoded, Plan, Reading, raw_words, split,
};
use crate::finding::Severity;
use crate::light::estimates;
use crate::motion::compare::joined;
use crate::motion::{HeadMotion, LampState, RigMotion, arrival_estimate, compare, doings};
use crate::profile::model::{Lamp, Source};
use crate::rig::{Fixture, Rig};
use crate::stage::Room;
use crate::wire::{Frames, Slot, SlotState, Universe};

/// What the panel shows.
#[derive(Clone, Copy)]
pub struct ReadingInput<'a> {
    /// The fixtures.
    pub rig: &'a Rig,
    /// The rig, compiled.
    pub plan: &'a Plan,
    /// What is held of every universe.
    pub frames: &'a Frames,
    /// What the plan made of these frames.
    pub decoded: &'a Decoded,
    /// The selected fixtures, as places in the rig.
    pub selection: &'a [usize],
    /// What the heads do at this instant; `None` while time plays no part.
    pub now: Option<Now<'a>>,
    /// The heads sent at 0 s from where they were before the last change; `None` while time plays a
    /// part.
    pub forecast: Option<&'a RigMotion>,
    /// The room that light lands in.
    pub room: &'a Room,
}

/// What the panel remembers between passes.
#[derive(Clone, Debug, Default)]
pub struct ReadingState {
    /// The fixture whose channels the rest is about.
    primary: Option<usize>,
    /// Height of the notes under the rows in the last pass, in points.
    foot_height: f32,
    /// What is said of the light.
    pub(super) light: LightSection,
    /// The value that is being typed.
    pub(super) typing: Option<Typing>,
    /// The channel whose ruler the keyboard goes to next: that of the value just entered, so that
    /// arrows go on from it and Tab leads to the next row.
    pub(super) to_ruler: Option<usize>,
    /// The channel that was edited last, as a place in the mode.
    pub(super) touched: Option<usize>,
    /// What came of the last text: the channel, and what is said under it.
    pub(super) answer: Option<(usize, Answer)>,
    /// The channel that the guide speaks of, and whether it is still to be scrolled to.
    pub(super) pointed: Option<(usize, bool)>,
}

impl ReadingState {
    /// Points to a channel of a fixture, both as places, as if it had been touched.
    pub(super) fn point_to(&mut self, fixture: usize, channel: usize) {
        if self.primary != Some(fixture) {
            let foot_height = self.foot_height;
            *self = Self { primary: Some(fixture), foot_height, ..Self::default() };
        }
        (self.touched, self.pointed) = (Some(channel), Some((channel, true)));
    }
}

impl ReadingState {
    /// What is said of the light is unfolded.
    pub fn tells_light(&self) -> bool {
        self.light.open
    }
}

/// A value that is being typed.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Typing {
    /// The channel, as a place in the mode.
    pub channel: usize,
    /// The text so far.
    pub text: String,
    /// The text at the beginning: as long as nothing else stands there, nothing was asked for.
    pub before: String,
}

/// What is said under a row.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Answer {
    /// How the text was read, and what else it might have meant.
    Taken { words: String, warnings: Vec<String> },
    /// Why it was not taken.
    Refused(String),
}

/// The fixtures that the rows are about: those selected that share the mode of the first.
pub(super) struct Subject<'a> {
    pub input: ReadingInput<'a>,
    pub mode: &'a CompiledMode,
    /// Places in the rig; the first is the one whose reading is shown.
    pub members: Vec<usize>,
}

/// Shows the panel over all the room that is left. The commands are for after the pass.
pub fn reading_panel(
    ui: &mut Ui,
    input: ReadingInput<'_>,
    state: &mut ReadingState,
) -> Vec<Command> {
    let mut commands = Vec::new();
    let Some((subject, others)) = subject(input) else {
        state.primary = None;
        nothing_to_read(ui, input);
        return commands;
    };
    let primary = subject.members[0];
    if state.primary != Some(primary) {
        let light = std::mem::take(&mut state.light);
        let (primary, foot_height) = (Some(primary), state.foot_height);
        *state = ReadingState { primary, foot_height, light, ..ReadingState::default() };
    }
    let Some(reading) = input.plan.reading(primary, input.frames, input.decoded) else {
        return commands;
    };
    ui.spacing_mut().item_spacing.y = 2.0;
    let head = input.now.and_then(|now| now.motion.head(primary).map(|head| (now.t_s, head)));
    // Whatever stands above the rows stands in one scope: how much of it there is must not change
    // what the rows are called, or a drag that crosses into another range would lose its ruler.
    let why = why_of(input, primary);
    ui.scope(|ui| {
        let light = why.as_ref().map(|why| (why, &state.light));
        header(ui, &subject, &others, light, &mut commands);
        overridden(ui, &reading);
        compared(ui, &subject);
    });
    let palette = Palette::of(ui.visuals());
    let columns = Columns::new(ui, &subject, ui.available_width() - BAR - BUTTON_ROOM);
    captions(ui, &columns, &palette);
    let height = (ui.available_height() - state.foot_height).max(80.0);
    let area = ScrollArea::vertical().auto_shrink(false).id_salt("channels").max_height(height);
    area.show(ui, |ui| {
        ui.set_width(columns.width() + BUTTON_ROOM);
        ui.spacing_mut().item_spacing.y = 0.0;
        ui.add_space(2.0);
        for index in 0..subject.mode.channels.len() {
            ui.push_id(index, |ui| row(ui, &subject, index, &columns, state, &mut commands));
        }
    });
    // Notes come and go with the values. At the foot they move no ruler from under the pointer.
    let top = ui.cursor().top();
    if let Some(why) = &why {
        let to_ruler = light_foot(ui, input, why, &mut state.light, &mut commands);
        state.to_ruler = to_ruler.or(state.to_ruler);
    }
    without_signal(ui, input, primary);
    notes(ui, &reading, head);
    let sent = input.forecast.and_then(|motion| motion.head(primary));
    if let Some(words) = sent.and_then(forecast_words) {
        note(ui, Severity::Note, &words);
    }
    let foot_height = ui.cursor().top() - top;
    if foot_height != state.foot_height {
        state.foot_height = foot_height;
        ui.ctx().request_repaint();
    }
    commands
}

/// Splits the selection: those whose rows are shown, and those of other modes or of none.
fn subject(input: ReadingInput<'_>) -> Option<(Subject<'_>, Vec<usize>)> {
    let mode_of = |i: &usize| input.plan.fixtures().get(*i)?.mode.as_ref();
    let mode = input.selection.iter().find_map(mode_of)?;
    let (members, others) = input
        .selection
        .iter()
        .copied()
        .filter(|i| *i < input.rig.len())
        .partition::<Vec<usize>, _>(|i| {
            mode_of(i).is_some_and(|m| std::sync::Arc::ptr_eq(m, mode))
        });
    let found = !members.is_empty();
    found.then(|| (Subject { input, mode: mode.as_ref(), members }, others))
}

impl<'a> Subject<'a> {
    /// What is asked of one member.
    pub(super) fn reading(&self, member: usize) -> Option<Reading<'a>> {
        self.input.plan.reading(member, self.input.frames, self.input.decoded)
    }

    /// The commands that give a channel of each member a value of its own; `None` leaves one as it
    /// is. One edit is one step of undo, however many universes it reaches.
    pub(super) fn set(
        &self,
        channel: &CompiledChannel,
        value_of: impl Fn(&Reading<'_>) -> Option<u32>,
        gesture: bool,
    ) -> Vec<Command> {
        let mut by_universe: BTreeMap<Universe, Vec<(Slot, u8)>> = BTreeMap::new();
        for member in &self.members {
            let Some(reading) = self.reading(*member) else { continue };
            let Some(address) = self.input.rig.get(*member).and_then(|f| f.address) else {
                continue;
            };
            let Some(value) = value_of(&reading) else { continue };
            let bytes = split(value, channel.offsets.len());
            for (offset, byte) in channel.offsets.iter().zip(bytes) {
                if reading.slot_state(*offset) != Some(SlotState::Sent(byte))
                    && let Some(slot) = reading.slot(*offset)
                {
                    by_universe.entry(address.universe).or_default().push((slot, byte));
                }
            }
        }
        let several = by_universe.len() > 1;
        let mut commands: Vec<Command> = by_universe
            .into_iter()
            .map(|(universe, values)| Command::SetSlots {
                universe,
                values,
                gesture: gesture || several,
            })
            .collect();
        if several && !gesture {
            commands.push(Command::EndGesture);
        }
        commands
    }
}

fn nothing_to_read(ui: &mut Ui, input: ReadingInput<'_>) {
    let palette = Palette::of(ui.visuals());
    let missing = input.selection.iter().find_map(|i| input.rig.get(*i));
    ui.add_space(6.0 * GRID);
    ui.vertical_centered(|ui| {
        ui.set_max_width(260.0);
        match missing {
            Some(fixture) => {
                ui.label(RichText::new(title(fixture)).font(theme::strong()));
                let (profile, mode) = (&fixture.profile, &fixture.mode);
                ui.label(format!("Nothing is known of `{profile}` in the mode `{mode}`."));
                if let Some(address) = fixture.address {
                    ui.label(format!("It takes {}.", raw_words(address, input.rig, input.frames)));
                }
                let mend = "It keeps its name, its address and its values. Put its profile into your \
                            folder or the show's, or change its model (Tools).";
                ui.label(RichText::new(mend).color(palette.weak_text));
            }
            None => {
                ui.label(RichText::new("Nothing is selected").font(theme::strong()));
                ui.label(
                    RichText::new(
                        "Click a fixture or its beam on the stage, its name in the list, or one \
                         of its slots, to see what every channel asks of it.",
                    )
                    .color(palette.weak_text),
                );
            }
        }
    });
}

fn title(fixture: &Fixture) -> String {
    match fixture.label.as_str() {
        "" => fixture.id.to_string(),
        label => format!("{}  {label}", fixture.id),
    }
}

fn header(
    ui: &mut Ui,
    subject: &Subject<'_>,
    others: &[usize],
    light: Option<(&Why<'_>, &LightSection)>,
    commands: &mut Vec<Command>,
) {
    let palette = Palette::of(ui.visuals());
    let (rig, mode) = (subject.input.rig, subject.mode);
    let Some(first) = rig.get(subject.members[0]) else { return };
    let heading = match subject.members.len() {
        1 => title(first),
        n => format!("{n} fixtures, {} {}", first.profile, first.mode),
    };
    let heading = RichText::new(heading).font(egui::FontId::new(15.0, theme::strong_family()));
    ui.scope(|ui| {
        // The button must not make the line any higher.
        ui.spacing_mut().interact_size.y = 18.0;
        ui.horizontal(|ui| heading_line(ui, heading, light, commands));
    });
    let detail = match subject.members.len() {
        1 => {
            let place = match first.address {
                Some(address) => {
                    let last = address.slot.number() + mode.footprint.saturating_sub(1);
                    format!("{address}..{last}")
                }
                None => "no address".to_owned(),
            };
            format!("{}  ·  {}  ·  {place}", first.profile, first.mode)
        }
        _ => format!("{}. An edit goes to all of them.", numbers(rig, &subject.members)),
    };
    ui.label(RichText::new(detail).color(palette.weak_text));
    if !others.is_empty() {
        let words = format!(
            "Rows and edits are about {} {} only. Also selected, of other modes: {}.",
            first.profile,
            first.mode,
            numbers(rig, others)
        );
        note(ui, Severity::Note, &words);
    }
    if let Some(lost) = first.address.map(|a| a.slots_lost(mode.footprint)).filter(|lost| *lost > 0)
    {
        note(ui, Severity::Error, &format!("{lost} of its slots lie past slot 512."));
    }
}

/// What is read, and at the right what is said of its light and the way to its setup.
fn heading_line(
    ui: &mut Ui,
    heading: RichText,
    light: Option<(&Why<'_>, &LightSection)>,
    commands: &mut Vec<Command>,
) {
    ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
        let button = ui.small_button("Setup").on_hover_text(Action::Setup.tip(ui.ctx()));
        if button.clicked() {
            commands.push(Command::Do(Action::Setup));
        }
        if let Some((why, section)) = light {
            light_button(ui, why, section, commands);
        }
        ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| {
            ui.add(egui::Label::new(heading).truncate());
        });
    });
}

/// Why nothing that the rows say counts, if that is so.
fn overridden(ui: &mut Ui, reading: &Reading<'_>) {
    if let Some(by) = &reading.asked().overridden_by {
        let words =
            format!("Overridden: {}. What the other channels ask does not count.", by.words());
        note(ui, Severity::Warning, &words);
    }
}

/// What else concerns the fixture as a whole.
fn notes(ui: &mut Ui, reading: &Reading<'_>, head: Option<(f64, &HeadMotion)>) {
    let asked = reading.asked();
    if let Some((t_s, head)) = head {
        for doing in doings(head, t_s) {
            let detail = doing.detail.map_or(String::new(), |detail| format!(": {detail}"));
            note(ui, doing.severity, &sentence(&(doing.words + &detail)));
        }
        if let Some(words) = arrival_estimate(head, t_s) {
            note(ui, Severity::Note, &format!("An estimate: {words}."));
        }
    } else {
        for words in held_commands(&asked) {
            note(ui, Severity::Note, &words);
        }
    }
    let lamp = head.is_none_or(|(_, head)| head.lamp() == LampState::Unknown)
        && matches!(reading.mode.profile.source, Source::White { lamp: Lamp::Discharge, .. });
    if lamp && !asked.commands.iter().any(|c| matches!(c, crate::decode::Command::Lamp { .. })) {
        note(ui, Severity::Note, "Lamp: no frame says whether it was struck; taken as on.");
    }
    if let Some(level) = asked.computed_level() {
        let words = format!(
            "Level: computed {:.0} %, that of the largest emitter; there is no dimmer.",
            level * 100.0
        );
        note(ui, Severity::Note, &words);
    }
    for words in estimates(reading.mode, &asked) {
        note(ui, Severity::Note, &format!("An estimate: {words}."));
    }
    if !asked.taken_at_rest.is_empty() {
        let channels = &reading.mode.channels;
        let names: Vec<&str> = asked
            .taken_at_rest
            .iter()
            .filter_map(|i| channels.get(usize::from(*i)))
            .map(|channel| channel.name.as_str())
            .collect();
        let words = match names.len() {
            n if n > 4 => format!("{n} channels ask nothing and are taken as at rest."),
            _ => format!("{}: nothing asked, taken as at rest.", names.join(", ")),
        };
        note(ui, Severity::Note, &words);
    }
}

/// What the selected fixtures do about a signal that is cut.
fn without_signal(ui: &mut Ui, input: ReadingInput<'_>, primary: usize) {
    let Some(now) = &input.now else { return };
    let lines = loss_lines(input.rig, now, input.selection, primary);
    for (alike, words) in &lines {
        let several = input.selection.len() > 1;
        let who = if several { numbers(input.rig, alike) + ": " } else { String::new() };
        note(ui, Severity::Warning, &format!("{who}{words}"));
    }
}

/// Where fixtures of one mode that are asked to one place arrive at different times: whether the data is
/// the cause. Of several places, the one that most are asked to counts.
fn compared(ui: &mut Ui, subject: &Subject<'_>) {
    let ReadingInput { plan, frames, decoded, rig, now, forecast, .. } = subject.input;
    let (motion, t_s) = match (now, forecast) {
        (Some(now), _) => (now.motion, now.t_s),
        (None, Some(motion)) => (motion, 0.0),
        (None, None) => return,
    };
    let found = compare(motion, plan, frames, decoded, &to_one_place(subject));
    let Some(found) = found.filter(|found| found.same_target) else { return };
    let groups = found.arrivals();
    let ([(Some(first_s), first), ..], [.., (Some(last_s), last)]) =
        (groups.as_slice(), groups.as_slice())
    else {
        return;
    };
    if groups.len() < 2 || *last_s < t_s {
        return;
    }
    let id = |i: usize| rig.get(i).map_or(String::new(), |fixture| fixture.id.to_string());
    let ids = |places: &[usize]| joined(&places.iter().map(|i| id(*i)).collect::<Vec<_>>());
    let words = format!(
        "Same target, yet {} {} {:.2} s after {}: {}.",
        ids(last),
        if last.len() == 1 { "arrives" } else { "arrive" },
        last_s - first_s,
        ids(first),
        found.words(id)
    );
    note(ui, Severity::Warning, &words);
}

/// The members that are asked to the pan and tilt that most of them are asked to.
fn to_one_place(subject: &Subject<'_>) -> Vec<usize> {
    if subject.members.len() < 2 {
        return Vec::new();
    }
    let target = |member: &usize| {
        let asked = subject.reading(*member)?.asked();
        Some((asked.pan, asked.tilt))
    };
    let mut groups: Vec<(_, Vec<usize>)> = Vec::new();
    for member in &subject.members {
        let place = target(member);
        match groups.iter_mut().find(|(known, _)| *known == place) {
            Some((_, members)) => members.push(*member),
            None => groups.push((place, vec![*member])),
        }
    }
    // Of several as large the first counts: `max_by_key` takes the last.
    let most = groups.into_iter().rev().max_by_key(|(_, members)| members.len());
    most.map_or_else(Vec::new, |(_, members)| members)
}

/// Commands that act once their value was held, in words.
fn held_commands(asked: &Asked) -> Vec<String> {
    use crate::decode::Command as Held;
    let once = |hold_s: &Option<f64>| match hold_s {
        Some(hold_s) => format!("once held {hold_s} s"),
        None => "once held for a time the profile does not give".to_owned(),
    };
    let words = asked.commands.iter().map(|command| match command {
        Held::Reset { hold_s, .. } => format!("Reset: acts {}.", once(hold_s)),
        Held::Lamp { on: true, hold_s } => format!("Lamp on: acts {}.", once(hold_s)),
        Held::Lamp { on: false, hold_s } => format!("Lamp off: acts {}.", once(hold_s)),
        Held::Latch { switch, on, hold_s } => {
            let state = if *on { "on" } else { "off" };
            format!("Switch `{}` {state}: acts {}.", switch.word(), once(hold_s))
        }
        Held::UseCurve { hold_s, .. } => {
            format!("Dimmer curve: chosen {}, and kept.", once(hold_s))
        }
    });
    words.collect()
}

/// One line with the mark of its severity before it.
pub(super) fn note(ui: &mut Ui, severity: Severity, words: &str) {
    let palette = Palette::of(ui.visuals());
    ui.horizontal_top(|ui| {
        ui.spacing_mut().item_spacing.x = GRID;
        let (mark, _) = ui.allocate_exact_size(egui::vec2(10.0, 14.0), egui::Sense::hover());
        theme::severity_mark(ui.painter(), severity, mark.center(), 7.0, &palette);
        let colour = match severity {
            Severity::Note => palette.text,
            _ => palette.severity(severity),
        };
        ui.add(egui::Label::new(RichText::new(words).small().color(colour)).wrap());
    });
}
