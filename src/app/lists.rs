//! The left column: the looks of the show and its fixtures.

use egui::text::{LayoutJob, TextWrapping};
use egui::{
    Align2, Button, Color32, FontId, Key, Rect, Response, Role, ScrollArea, Sense, Stroke,
    StrokeKind, TextEdit, Ui, WidgetInfo, pos2, vec2,
};

use super::command::{Command, How};
use super::keys::Action;
use super::state::State;
use super::theme::{Palette, number, small, small_strong, strong};
use crate::light::Rgb;
use crate::show::Edit;
use crate::stage::{Mark, MarkState, Scene};

/// Height of a row of a list, in points.
const ROW: f32 = 22.0;

/// A look's name that is being typed.
#[derive(Clone, Debug)]
pub struct Renaming {
    /// The look.
    pub look: usize,
    /// What was typed.
    pub text: String,
    /// The field has had the focus, so that losing it ends the typing.
    focused: bool,
}

impl Renaming {
    /// Starts with the name as it is.
    pub fn new(look: usize, text: String) -> Self {
        Self { look, text, focused: false }
    }
}

/// Draws the looks and the fixtures.
pub fn lists_panel(ui: &mut Ui, state: &mut State, commands: &mut Vec<Command>) {
    let half = ui.available_height() / 2.0;
    let rows = state.show().looks.len().max(1) as f32;
    let now = (state.look, state.selection.clone());
    let (look_before, selected_before) = std::mem::replace(&mut state.listed, now);
    // What was chosen elsewhere is brought into sight; what is scrolled away by hand stays away.
    let look = state.look.filter(|look| look_before != Some(*look));
    let chosen = state.selection.first().copied();
    let chosen = chosen.filter(|_| selected_before != state.selection);
    heading(ui, "Looks", None);
    let room = (half - 40.0).max(2.0 * ROW);
    ScrollArea::vertical()
        .id_salt("looks")
        .max_height(room.min(rows * ROW))
        .auto_shrink([false, true])
        .show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = 0.0;
            looks(ui, state, look, commands);
        });
    look_buttons(ui, state, commands);
    ui.add_space(8.0);
    let selected = state.selection.len();
    let count = match selected {
        0 => format!("{}", state.show().rig.len()),
        _ => format!("{selected} of {}", state.show().rig.len()),
    };
    heading(ui, "Fixtures", Some(&count));
    fixture_buttons(ui, state, commands);
    ScrollArea::vertical().id_salt("fixtures").auto_shrink([false, false]).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 0.0;
        fixtures(ui, state, chosen, commands);
    });
}

fn heading(ui: &mut Ui, words: &str, count: Option<&str>) {
    ui.horizontal(|ui| {
        ui.label(egui::RichText::new(words).font(strong()));
        if let Some(count) = count {
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                ui.weak(egui::RichText::new(count).font(small()));
            });
        }
    });
}

/// Draws the looks and scrolls to one of them, if that is asked for.
fn looks(ui: &mut Ui, state: &mut State, reveal: Option<usize>, commands: &mut Vec<Command>) {
    if state.show().looks.is_empty() {
        ui.weak("None yet. Set some slots, then keep them as a look.");
    }
    for look in 0..state.show().looks.len() {
        if state.renaming.as_ref().is_some_and(|renaming| renaming.look == look) {
            rename_field(ui, state, commands);
        } else {
            look_row(ui, state, look, reveal == Some(look), commands);
        }
    }
}

fn look_row(ui: &mut Ui, state: &State, look: usize, reveal: bool, commands: &mut Vec<Command>) {
    let Some(named) = state.show().looks.get(look) else { return };
    let current = state.look == Some(look);
    let changed = current && state.differs_from(look);
    let said = if changed { format!("{}, changed", named.name) } else { named.name.clone() };
    let stop = state.look.unwrap_or(0) == look;
    let (rect, response) = row(ui, current, stop, &said);
    let turns = [Action::PreviousLook, Action::NextLook];
    follow_arrows(ui, &response, reveal, turns, commands);
    let palette = Palette::of(ui.visuals());
    number_cell(ui, rect, 28.0, &(look + 1).to_string(), &palette);
    let mut right = rect.right() - 6.0;
    if changed {
        right = side_words(ui, right, rect, "changed", &palette);
    }
    elided(ui, &named.name, rect.left() + 36.0, right, rect, palette.text);
    let tip = match (named.note.is_empty(), changed) {
        (true, _) => "Recall this look into the slots. Double click to rename it.".to_owned(),
        (false, _) => named.note.clone(),
    };
    let response = response.on_hover_text(tip);
    if response.double_clicked() {
        commands.push(Command::Rename(look));
    } else if response.clicked() {
        commands.push(Command::Recall(look));
    }
}

fn rename_field(ui: &mut Ui, state: &mut State, commands: &mut Vec<Command>) {
    let Some(mut renaming) = state.renaming.take() else { return };
    let edit = TextEdit::singleline(&mut renaming.text).desired_width(f32::INFINITY);
    let field = ui.add_sized([ui.available_width(), ROW], edit);
    let field = field.accessible_name(format!("Name of look {}", renaming.look + 1));
    if !renaming.focused {
        field.request_focus();
        field.scroll_to_me(None);
        renaming.focused = true;
        select_all(ui, field.id, renaming.text.chars().count());
    } else if field.lost_focus() {
        let name = renaming.text.trim().to_owned();
        let cancelled = ui.input(|input| input.key_pressed(Key::Escape));
        let old = state.show().looks.get(renaming.look).map(|look| look.name.clone());
        if !cancelled && !name.is_empty() && old.is_some_and(|old| old != name) {
            let taken = state.show().looks.iter().any(|look| look.name == name);
            commands.push(if taken {
                Command::Message(format!("another look is called `{name}` already"))
            } else {
                let edit = Edit::RenameLook { index: renaming.look, name };
                Command::Edit { edit, gesture: false }
            });
        }
        return;
    }
    state.renaming = Some(renaming);
}

/// Selects all of a text field, so that typing replaces what it holds.
fn select_all(ui: &Ui, field: egui::Id, length: usize) {
    let mut edit = TextEdit::load_state(ui.ctx(), field).unwrap_or_default();
    let range = egui::text::CCursorRange::two(
        egui::text::CCursor::new(0),
        egui::text::CCursor::new(length),
    );
    edit.cursor.set_char_range(Some(range));
    edit.store(ui.ctx(), field);
}

fn look_buttons(ui: &mut Ui, state: &State, commands: &mut Vec<Command>) {
    let changed = state.look.is_some_and(|look| state.differs_from(look));
    let buttons = [
        ("Keep new", true, Action::NewLook),
        ("Update", changed, Action::UpdateLook),
        ("Delete", state.look.is_some(), Action::DeleteLook),
    ];
    row_of_buttons(ui, buttons, commands);
}

fn fixture_buttons(ui: &mut Ui, state: &State, commands: &mut Vec<Command>) {
    let selected = !state.selection.is_empty();
    let buttons = [
        ("Add\u{2026}", true, Action::AddFixtures),
        ("Copy", selected, Action::DuplicateFixtures),
        ("Remove", selected, Action::RemoveFixtures),
    ];
    row_of_buttons(ui, buttons, commands);
}

fn row_of_buttons(ui: &mut Ui, buttons: [(&str, bool, Action); 3], commands: &mut Vec<Command>) {
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        ui.spacing_mut().button_padding.x = 6.0;
        for (words, enabled, action) in buttons {
            let button = ui.add_enabled(enabled, Button::new(words));
            let tip = action.tip(ui.ctx());
            if button.on_hover_text(&tip).on_disabled_hover_text(tip).clicked() {
                commands.push(Command::Do(action));
            }
        }
    });
}

/// Draws the fixtures and scrolls to one of them, if that is asked for.
fn fixtures(ui: &mut Ui, state: &State, reveal: Option<usize>, commands: &mut Vec<Command>) {
    let rig = &state.show().rig;
    if rig.is_empty() {
        ui.weak("This show has no fixtures. Add some, or open the demo show to see some.");
    }
    let mut from = 0;
    while from < rig.len() {
        let kind = |at: usize| (&rig[at].profile, &rig[at].mode);
        let run = (from..rig.len()).take_while(|at| kind(*at) == kind(from)).count();
        kind_row(ui, state, from..from + run, commands);
        for fixture in from..from + run {
            fixture_row(ui, state, fixture, reveal == Some(fixture), commands);
        }
        from += run;
    }
}

/// The heading over neighbours of one profile and mode; a click selects them all.
fn kind_row(
    ui: &mut Ui,
    state: &State,
    fixtures: std::ops::Range<usize>,
    commands: &mut Vec<Command>,
) {
    let Some(first) = state.show().rig.get(fixtures.start) else { return };
    let words = format!("{} \u{00b7} {}", first.profile, first.mode);
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), 20.0), Sense::CLICK);
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, format!("Select all {words}")));
    let palette = Palette::of(ui.visuals());
    let colour = if response.hovered() { palette.text } else { palette.weak_text };
    let galley = elide(ui, &words, small(), colour, rect.width() - 12.0);
    let at = pos2(rect.left() + 6.0, rect.bottom() - 3.0 - galley.size().y);
    ui.painter().galley(at, galley, colour);
    focus_ring(ui, &response, rect, &palette);
    let tip = format!("{words}\nClick to select these {}", fixtures.len());
    if response.on_hover_text(tip).clicked() {
        commands.push(Command::Select { fixtures: fixtures.collect(), how: How::Replace });
    }
}

fn fixture_row(
    ui: &mut Ui,
    state: &State,
    fixture: usize,
    reveal: bool,
    commands: &mut Vec<Command>,
) {
    let Some(patched) = state.show().rig.get(fixture) else { return };
    let selected = state.selection.binary_search(&fixture).is_ok();
    let light = LightWords::of(&state.scene, fixture);
    let said = format!("{} {}, {}", patched.id, patched.label, light.spoken);
    let stop = state.selection.first().copied().unwrap_or(0) == fixture;
    let (rect, response) = row(ui, selected, stop, &said);
    let turns = [Action::PreviousFixture, Action::NextFixture];
    follow_arrows(ui, &response, reveal, turns, commands);
    if !ui.is_rect_visible(rect) {
        return;
    }
    let palette = Palette::of(ui.visuals());
    number_cell(ui, rect, 34.0, &patched.id.to_string(), &palette);
    let mut right = rect.right() - 6.0;
    swatch(ui, pos2(right - 7.0, rect.center().y), light.colour, &palette);
    right -= 20.0;
    if !light.short.is_empty() {
        right = side_words(ui, right, rect, &light.short, &palette);
    }
    elided(ui, &patched.label, rect.left() + 42.0, right, rect, palette.text);
    let address = patched.address.map_or_else(
        || "not patched".to_owned(),
        |address| format!("universe {}, from slot {}", address.universe, address.slot),
    );
    let mut tip = format!("{}, {}\n{address}\n{}", patched.profile, patched.mode, light.spoken);
    // What is said of the light is worked out for the row under the pointer alone.
    if let Some(words) =
        Some(()).filter(|()| response.hovered()).and_then(|()| state.light_words(fixture))
    {
        tip.push_str(&format!("\n{words}"));
    }
    let response = response.on_hover_text(tip);
    if response.clicked() {
        let modifiers = ui.input(|input| input.modifiers);
        commands.push(pick(state, fixture, modifiers));
    }
}

/// What a click on a row selects: the row, with Ctrl the row besides, with Shift all rows up to it.
fn pick(state: &State, fixture: usize, modifiers: egui::Modifiers) -> Command {
    if modifiers.command {
        return Command::Select { fixtures: vec![fixture], how: How::Toggle };
    }
    match state.selection.first().filter(|_| modifiers.shift) {
        Some(&first) => {
            let span = fixture.min(first)..=fixture.max(first);
            Command::Select { fixtures: span.collect(), how: How::Replace }
        }
        None => Command::Select { fixtures: vec![fixture], how: How::Replace },
    }
}

/// The light that a fixture gives now, in words and as a colour.
pub struct LightWords {
    /// For a row: the flash rate, `dark`, or nothing for steady light.
    pub short: String,
    /// For a tooltip and for those who hear it.
    pub spoken: String,
    /// What a white surface in the light looks like. `None`: dark.
    pub colour: Option<[u8; 3]>,
}

impl LightWords {
    /// The words for one fixture of a scene.
    pub fn of(scene: &Scene, fixture: usize) -> Self {
        let Some(mark) = scene.marks.get(fixture) else {
            return Self { short: String::new(), spoken: "no data".to_owned(), colour: None };
        };
        let (short, spoken) = match (&mark.state, mark.flash) {
            (MarkState::Unread, _) => ("no data", "not patched, or its profile is missing"),
            (MarkState::Overridden(what), _) => ("own program", what.as_str()),
            (MarkState::Dark, _) => ("dark", "dark"),
            (MarkState::Lit, None) => ("", "steady light"),
            (MarkState::Lit, Some(flash)) => {
                let hz = flash.hz;
                return Self {
                    short: format!("{hz:.1} Hz"),
                    spoken: format!(
                        "flashes {hz:.2} times a second; drawn steady at its mean light"
                    ),
                    colour: colour_of(mark),
                };
            }
        };
        Self { short: short.to_owned(), spoken: spoken.to_owned(), colour: colour_of(mark) }
    }
}

/// What a white surface looks like in a fixture's light, as bright as the fixture's own fullest light
/// allows.
fn colour_of(mark: &Mark) -> Option<[u8; 3]> {
    let (Rgb(colour), share) = mark.light;
    let strongest = colour.iter().copied().fold(0.0, f64::max);
    (mark.state == MarkState::Lit && strongest > 0.0)
        .then(|| (Rgb(colour) * (share / strongest)).to_srgb8())
}

fn swatch(ui: &Ui, centre: egui::Pos2, colour: Option<[u8; 3]>, palette: &Palette) {
    let rect = Rect::from_center_size(centre, vec2(14.0, 12.0));
    let stroke = Stroke::new(1.0, palette.strong_line);
    match colour {
        Some([red, green, blue]) => {
            let fill = Color32::from_rgb(red, green, blue);
            ui.painter().rect(rect, 2.0, fill, stroke, StrokeKind::Inside);
        }
        None => {
            ui.painter().rect_stroke(rect, 2.0, Stroke::new(1.0, palette.line), StrokeKind::Inside);
        }
    }
}

/// Scrolls to a row that was just chosen, and lets the arrow keys choose its neighbours while it has
/// the keyboard, which goes along with the choice.
fn follow_arrows(
    ui: &Ui,
    response: &Response,
    reveal: bool,
    [up, down]: [Action; 2],
    commands: &mut Vec<Command>,
) {
    let along = egui::Id::unique("the keyboard goes along").with(down.row().name);
    if reveal {
        response.scroll_to_me(None);
        if ui.data_mut(|data| data.remove_temp::<bool>(along)).is_some() {
            response.request_focus();
        }
    }
    if !response.has_focus() {
        return;
    }
    let filter = egui::EventFilter { vertical_arrows: true, ..Default::default() };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, filter));
    for (key, action) in [(Key::ArrowUp, up), (Key::ArrowDown, down)] {
        let times = ui.input_mut(|input| input.count_and_consume_key(egui::Modifiers::NONE, key));
        if times > 0 {
            ui.data_mut(|data| data.insert_temp(along, true));
            commands.extend(std::iter::repeat_n(Command::Do(action), times));
        }
    }
}

/// A row of a list: its place, with what is behind it drawn. One row of a list is a stop of the Tab
/// key; from there arrows lead to the others.
fn row(ui: &mut Ui, selected: bool, stop: bool, name: &str) -> (Rect, Response) {
    let sense = if stop { Sense::click() } else { Sense::CLICK };
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), ROW), sense);
    response.widget_info(|| WidgetInfo::selected(Role::ListBoxOption, true, selected, name));
    if ui.is_rect_visible(rect) {
        let palette = Palette::of(ui.visuals());
        let fill = match (selected, response.hovered()) {
            (true, _) => palette.accent_fill,
            (false, true) => palette.hover,
            (false, false) => Color32::TRANSPARENT,
        };
        ui.painter().rect_filled(rect, 3.0, fill);
        focus_ring(ui, &response, rect, &palette);
    }
    (rect, response)
}

fn focus_ring(ui: &Ui, response: &Response, rect: Rect, palette: &Palette) {
    if response.has_focus() {
        let ring = Stroke::new(1.0, palette.accent);
        ui.painter().rect_stroke(rect, 3.0, ring, StrokeKind::Inside);
    }
}

fn number_cell(ui: &Ui, row: Rect, right: f32, words: &str, palette: &Palette) {
    let at = pos2(row.left() + right, row.center().y);
    ui.painter().text(at, Align2::RIGHT_CENTER, words, number(), palette.weak_text);
}

/// Small words at the right end of a row. Returns where the room left of them ends.
fn side_words(ui: &Ui, right: f32, row: Rect, words: &str, palette: &Palette) -> f32 {
    let at = pos2(right, row.center().y);
    let place =
        ui.painter().text(at, Align2::RIGHT_CENTER, words, small_strong(), palette.weak_text);
    place.left() - 6.0
}

fn elided(ui: &Ui, words: &str, left: f32, right: f32, row: Rect, colour: Color32) {
    let galley = elide(ui, words, FontId::proportional(13.0), colour, right - left);
    let at = pos2(left, row.center().y - galley.size().y / 2.0);
    ui.painter().galley(at, galley, colour);
}

fn elide(
    ui: &Ui,
    words: &str,
    font: FontId,
    colour: Color32,
    width: f32,
) -> std::sync::Arc<egui::Galley> {
    let mut job = LayoutJob::simple_singleline(words.to_owned(), font, colour);
    job.wrap = TextWrapping::truncate_at_width(width.max(0.0));
    ui.painter().layout_job(job)
}
