//! The lists and their cues, what plays, and the buttons for it.

use egui::{
    Align, Align2, Button, DragValue, Frame, Layout, Margin, Panel, Rect, RichText, Role,
    ScrollArea, Sense, Slider, Ui, WidgetInfo, pos2, vec2,
};

use super::act::CueAsk;
use super::edit::{arrange, editor};
use super::marks::cue_mark;
use super::words;
use crate::app::command::Command;
use crate::app::keys::Action;
use crate::app::state::State;
use crate::app::theme::{Palette, number, small, small_strong, strong};
use crate::app::transport::named;
use crate::cue::{Cue, CueList, Player};

/// Height of a row, in points.
const ROW: f32 = 36.0;

/// Draws the lists.
pub fn cues_panel(ui: &mut Ui, state: &State, commands: &mut Vec<Command>) {
    ui.horizontal(|ui| {
        ui.label(RichText::new("Cues").font(strong()));
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let tip = "The cues and the channels of the selected fixtures as a table";
            if ui.selectable_label(state.cues.grid, "Grid").on_hover_text(tip).clicked() {
                commands.push(Command::Cues(CueAsk::Grid));
            }
        });
    });
    tabs(ui, state, commands);
    let Some(list) = state.show().cues.lists.get(state.cues.list) else {
        ui.weak("None yet. Set some slots, then record what the stage shows as a cue.");
        record_buttons(ui, state, commands);
        return;
    };
    play_buttons(ui, state, commands);
    levels(ui, state, commands);
    let frame = Frame::new().inner_margin(Margin { top: 6, ..Margin::ZERO });
    let most = (ui.available_height() - 3.0 * ROW).max(61.0);
    let usual = (ui.available_height() * 0.46).clamp(150.0, 420.0).min(most);
    let panel = Panel::bottom("cue editor").frame(frame).resizable(true);
    panel.default_size(usual).size_range(60.0..=most).show(ui, |ui| editor(ui, state, commands));
    Panel::bottom("cue buttons").frame(frame).resizable(false).show(ui, |ui| {
        record_buttons(ui, state, commands);
    });
    rows(ui, state, list, commands);
}

fn tabs(ui: &mut Ui, state: &State, commands: &mut Vec<Command>) {
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        for (place, list) in state.show().cues.lists.iter().enumerate() {
            let shown = state.cues.list == place;
            let lead = state.cues.lead();
            let on = lead.and_then(|lead| lead.player(place)?.at()).is_some();
            let words = if on { format!("{} \u{2022}", list.name) } else { list.name.clone() };
            let tip = match (on, list.notes.is_empty()) {
                (true, _) => "This list plays".to_owned(),
                (false, true) => "Show this list".to_owned(),
                (false, false) => list.notes.clone(),
            };
            if ui.selectable_label(shown, words).on_hover_text(tip).clicked() && !shown {
                commands.push(Command::Cues(CueAsk::Show(place)));
            }
        }
        if ui.button("New list").on_hover_text("Add an empty list").clicked() {
            commands.push(Command::Cues(CueAsk::NewList));
        }
    });
}

fn act(ui: &mut Ui, words: &str, action: Action, enabled: bool, commands: &mut Vec<Command>) {
    let button = ui.add_enabled(enabled, Button::new(words)).on_hover_text(action.tip(ui.ctx()));
    if named(button, action.row().name).clicked() {
        commands.push(Command::Do(action));
    }
}

fn play_buttons(ui: &mut Ui, state: &State, commands: &mut Vec<Command>) {
    let lead = state.cues.lead();
    let player = lead.and_then(|lead| lead.player(state.cues.list));
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let go = Button::new(RichText::new("Go").font(strong())).min_size(vec2(56.0, 0.0));
        if ui.add(go).on_hover_text(Action::CueGo.tip(ui.ctx())).clicked() {
            commands.push(Command::Do(Action::CueGo));
        }
        act(ui, "Back", Action::CueBack, player.is_some_and(|p| p.at() > Some(0)), commands);
        let paused = player.is_some_and(Player::is_paused);
        let words = if paused { "Go on" } else { "Pause" };
        act(ui, words, Action::CuePause, lead.is_some(), commands);
        act(ui, "Release", Action::CueRelease, lead.is_some(), commands);
    });
}

/// Rate, grand level and flash.
fn levels(ui: &mut Ui, state: &State, commands: &mut Vec<Command>) {
    let lead = state.cues.lead();
    let player = lead.and_then(|lead| lead.player(state.cues.list));
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let mut rate = player.map_or(1.0, Player::rate);
        let drag = DragValue::new(&mut rate).speed(0.01).range(0.05..=20.0).max_decimals(2);
        let tip = "How fast the list runs: 1 is as written";
        let drag = ui.add(drag.prefix("rate ").suffix("x")).on_hover_text(tip);
        if named(drag, "Rate of the list").changed() {
            commands.push(Command::Cues(CueAsk::Rate(rate)));
        }
        let flash = ui.button("Flash");
        let flash = flash.on_hover_text("Held: the levels of the list at once, in full");
        let held = flash.is_pointer_button_down_on();
        let id = flash.id.with("held");
        let before: bool = ui.data(|data| data.get_temp(id)).unwrap_or_default();
        if held != before {
            ui.data_mut(|data| data.insert_temp(id, held));
            commands.push(Command::Cues(CueAsk::Flash(held)));
        }
        ui.weak("Level");
        let mut percent = lead.map_or(100.0, |lead| lead.playbacks.grand() * 100.0);
        // What stands behind the slider takes its room first: a row wider than the panel would widen that.
        ui.spacing_mut().slider_width = (ui.available_width() - 84.0).max(30.0);
        let slider = Slider::new(&mut percent, 0.0..=100.0).suffix(" %").max_decimals(0);
        let slider = ui.add(slider).on_hover_text("All levels of all lists are multiplied by this");
        if named(slider, "Grand level").changed() {
            commands.push(Command::Cues(CueAsk::Grand(percent / 100.0)));
        }
    });
}

fn record_buttons(ui: &mut Ui, state: &State, commands: &mut Vec<Command>) {
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let picked = state.cues.picked.is_some();
        act(ui, "Record", Action::RecordCue, true, commands);
        act(ui, "Update", Action::UpdateCue, picked, commands);
        act(ui, "Delete", Action::DeleteCue, picked, commands);
        let tip = "A new cue takes everything that the stage shows, and not only what differs \
            from the cues before it";
        let mut everything = state.cues.everything;
        if ui.checkbox(&mut everything, "all").on_hover_text(tip).changed() {
            commands.push(Command::Cues(CueAsk::Everything(everything)));
        }
    });
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        arrange(ui, state, commands);
    });
}

fn rows(ui: &mut Ui, state: &State, list: &CueList, commands: &mut Vec<Command>) {
    if list.cues.is_empty() {
        ui.weak("No cues yet. Record what the stage shows.");
        return;
    }
    let area = ScrollArea::vertical().id_salt("cues").auto_shrink([false, false]);
    ui.spacing_mut().item_spacing.y = 0.0;
    area.show_rows(ui, ROW, list.cues.len(), |ui, shown| {
        let top = ui.cursor().top() - shown.start as f32 * ROW;
        bring_into_sight(ui, state, top);
        for place in shown {
            if let Some(cue) = list.cues.get(place) {
                row(ui, state, place, cue, commands);
            }
        }
    });
}

/// Scrolls to the chosen cue once it is another than in the last pass; the first row begins at `top`.
fn bring_into_sight(ui: &Ui, state: &State, top: f32) {
    let id = ui.scope_id().with("in sight");
    let chosen = state.cues.picked.map(|place| (state.cues.list, place));
    let before: Option<(usize, usize)> = ui.data(|data| data.get_temp(id)).flatten();
    if let Some((_, place)) = chosen.filter(|chosen| before != Some(*chosen)) {
        let corner = pos2(ui.max_rect().left(), top + place as f32 * ROW);
        // A little more than the row: at the ends of the list rows fade out.
        let row = Rect::from_min_size(corner, vec2(1.0, ROW)).expand2(vec2(0.0, 8.0));
        ui.scroll_to_rect_animation(row, None, egui::style::ScrollAnimation::none());
    }
    if before != chosen {
        ui.data_mut(|data| data.insert_temp(id, chosen));
    }
}

/// What a row says of a cue in play: words at its right, and how far it has faded.
fn standing(state: &State, place: usize) -> (String, Option<f32>) {
    let lead = state.cues.lead();
    let Some((lead, player)) = lead.and_then(|l| Some((l, l.player(state.cues.list)?))) else {
        return (String::new(), None);
    };
    if player.at() != Some(place) {
        let next = player.next() == Some(place);
        return (if next { "next".to_owned() } else { String::new() }, None);
    }
    let now_s = lead.now_s();
    let for_s = player.for_s(now_s).unwrap_or_default();
    let takes_s = player.list().cues.get(place).map_or(0.0, |cue| cue.takes_s);
    let share = if takes_s > 0.0 { (for_s / takes_s).min(1.0) } else { 1.0 };
    let words = match player.starts_in_s(now_s) {
        _ if player.is_paused() => "paused".to_owned(),
        Some(s) => format!("next in {s:.1} s"),
        None if share < 1.0 => format!("{:.1} s", takes_s - for_s),
        None => "on".to_owned(),
    };
    (words, Some(share as f32))
}

fn row(ui: &mut Ui, state: &State, place: usize, cue: &Cue, commands: &mut Vec<Command>) {
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), ROW), Sense::click());
    let picked = state.cues.chosen().contains(&place);
    let (side, share) = standing(state, place);
    response.widget_info(|| {
        let words = if side.is_empty() { cue.words() } else { format!("{}, {side}", cue.words()) };
        WidgetInfo::selected(Role::ListBoxOption, true, picked, words)
    });
    let palette = Palette::of(ui.visuals());
    let painter = ui.painter_at(rect);
    let fill = match (picked, response.hovered()) {
        (true, _) => palette.accent_fill,
        (false, true) => palette.hover,
        (false, false) => palette.panel,
    };
    painter.rect_filled(rect, 3.0, fill);
    if response.has_focus() {
        let ring = egui::Stroke::new(1.0, palette.accent);
        painter.rect_stroke(rect, 3.0, ring, egui::StrokeKind::Inside);
    }
    if let Some(share) = share {
        let left_bottom = pos2(rect.left(), rect.bottom() - 3.0);
        let bar = Rect::from_min_size(left_bottom, vec2(rect.width() * share, 3.0));
        painter.rect_filled(bar, 0.0, palette.accent);
    }
    let top = rect.top() + 11.0;
    let at = pos2(rect.left() + 42.0, top);
    painter.text(at, Align2::RIGHT_CENTER, cue.number.to_string(), number(), palette.text);
    let right = pos2(rect.right() - 16.0, top);
    let side = painter.text(right, Align2::RIGHT_CENTER, side, small_strong(), palette.text);
    let left = rect.left() + 50.0;
    let name = if cue.name.is_empty() { "no name" } else { &cue.name };
    let ink = if cue.name.is_empty() { palette.weak_text } else { palette.text };
    line(ui, name, egui::FontId::proportional(13.0), ink, pos2(left, top), side.left() - 6.0);
    let more = details(state, place, cue);
    let below = pos2(left, rect.top() + 25.0);
    let at = pos2(rect.right() - 20.0, below.y);
    let marked = cue_mark(ui, state, &cue.words(), at, commands);
    let end = if marked { at.x - 10.0 } else { rect.right() - 16.0 };
    line(ui, &more, small(), palette.weak_text, below, end);
    let tip = match cue.notes.is_empty() {
        true => format!(
            "{}: {more}\nDouble click or Enter jumps to it, Shift+click and Ctrl+click choose several",
            cue.words()
        ),
        false => format!(
            "{}\n{more}\nDouble click or Enter jumps to it, Shift+click and Ctrl+click choose several",
            cue.notes
        ),
    };
    let enter = response.has_focus() && ui.input(|input| input.key_pressed(egui::Key::Enter));
    let response = response.on_hover_text(tip);
    if response.double_clicked() || enter {
        commands.push(Command::Cues(CueAsk::Jump(place)));
    } else if response.clicked() {
        let held = ui.input(|input| input.modifiers);
        commands.push(Command::Cues(match (held.shift, held.command) {
            (true, _) => CueAsk::PickTo(place),
            (false, true) => CueAsk::PickAlso(place),
            (false, false) => CueAsk::Pick(place),
        }));
    }
}

fn details(state: &State, place: usize, cue: &Cue) -> String {
    let compiled = state.cues.timeline.as_ref().and_then(|of| of.run.lists().first());
    let compiled = compiled.and_then(|list| list.cues.get(place));
    let mut parts = vec![words::times(cue)];
    parts.extend(words::next(cue.next));
    parts.extend(words::marks(cue, compiled).into_iter().map(str::to_owned));
    parts.join(" \u{b7} ")
}

/// A line of text that ends where there is no more room.
fn line(ui: &Ui, words: &str, font: egui::FontId, ink: egui::Color32, at: egui::Pos2, right: f32) {
    let mut job = egui::text::LayoutJob::simple_singleline(words.to_owned(), font, ink);
    job.wrap = egui::text::TextWrapping::truncate_at_width((right - at.x).max(0.0));
    let galley = ui.painter().layout_job(job);
    ui.painter().galley(at - vec2(0.0, galley.size().y / 2.0), galley, ink);
}

/// Draws the strip that says that lists lead, and how to let go of them.
pub fn cue_strip(ui: &mut Ui, state: &State, commands: &mut Vec<Command>) {
    let Some(lead) = state.cues.lead() else { return };
    let palette = Palette::of(ui.visuals());
    ui.horizontal_centered(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            act(ui, "Release all", Action::EndCues, true, commands);
            act(ui, "Take into the slots", Action::CuesToSlots, true, commands);
            let on = |player: &Player| {
                let list = player.list();
                Some(format!("{}: {}", list.name, list.cues.get(player.at()?)?.words))
            };
            let lists = 0..lead.playbacks.players().len();
            let on: Vec<String> = lists.filter_map(|list| on(lead.player(list)?)).collect();
            let words = match on.is_empty() {
                true => "Cues lead; none is on".to_owned(),
                false => format!("Cues lead \u{b7} {}", on.join(" \u{b7} ")),
            };
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                let text = RichText::new(&words).font(strong()).color(palette.accent);
                ui.add(egui::Label::new(text).truncate()).on_hover_text(
                    "The slots follow the lists; the show's own slots stay as they are",
                );
            });
        });
    });
}
