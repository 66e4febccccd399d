//! The window of conditions: what is typed, what fits next, the conditions of the show, and their times.

use std::sync::atomic::Ordering;

use egui::text::{CCursor, CCursorRange};
use egui::{Button, Context, Id, Key, ProgressBar, RichText, ScrollArea, TextEdit, Ui, vec2};

use super::{Listed, Source, Watching};
use crate::app::change_window::over_reading;
use crate::app::command::Command;
use crate::app::cues::CueAsk;
use crate::app::state::State;
use crate::app::theme::{Palette, number, small, strong};
use crate::app::transport::named;
use crate::check::watch::{Completion, Span, complete};
use crate::cue::Watched;
use crate::finding::rounded;
use crate::show::{CueEdit, Edit};

/// Height of a row of the list of times, in points.
const ROW: f32 = 22.0;

/// How much of what fits is offered.
const OFFERED: usize = 14;

/// Shows the conditions in a window of their own while it is open.
pub fn watch_window(ctx: &Context, state: &mut State, commands: &mut Vec<Command>) {
    if !state.windows.watch.open {
        return;
    }
    state.ready_watches();
    let room = ctx.content_rect().size();
    let (mut open, mut list) = (true, None);
    egui::Window::new("Watch")
        .open(&mut open)
        .collapsible(false)
        .default_pos(over_reading(room, 500.0))
        .default_size(vec2(500.0, 420.0).min(room - vec2(60.0, 120.0)))
        .resizable(true)
        .show(ctx, |ui| {
            typing(ui, state, commands);
            ui.separator();
            list = conditions(ui, state, commands);
            ui.separator();
            times(ui, state, commands);
        });
    state.windows.watch.open = open;
    if let Some(nth) = list {
        state.list_times(ctx, nth);
    }
}

/// The field in which a condition is typed, what is wrong with it, and what fits next.
fn typing(ui: &mut Ui, state: &mut State, commands: &mut Vec<Command>) {
    let id = Id::unique("watch condition");
    let mistake = state.mistake_in_typed();
    let mut add = false;
    ui.horizontal(|ui| {
        ready_made(ui, state);
        let watching = &mut state.windows.watch;
        let takes_tab = !watching.typed.is_empty();
        let field = TextEdit::singleline(&mut watching.typed)
            .id(id)
            .hint_text("fixture 101 lit while moving")
            .lock_focus(takes_tab)
            .desired_width(ui.available_width() - 90.0);
        let field = named(ui.add(field), "Condition");
        // A window that is sized in its first pass takes no keyboard yet.
        if watching.asks_for_keys {
            watching.asks_for_keys = !field.has_focus();
            field.request_focus();
            ui.request_repaint();
        }
        let entered = field.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
        let words = if watching.editing.is_some() { "Change" } else { "Add" };
        let button = ui.add_enabled(mistake.is_none(), Button::new(words));
        let tip = "Keep the condition in the show; time stops as it becomes true while playing";
        add = (button.on_hover_text(tip).clicked() || entered) && mistake.is_none();
    });
    let typed = state.windows.watch.typed.clone();
    let palette = Palette::of(ui.visuals());
    match mistake.filter(|_| !typed.trim().is_empty()) {
        Some(mistake) => {
            // What only ends too early is still being typed.
            let going_on = mistake.at.start >= typed.len();
            let colour = if going_on { palette.weak_text } else { palette.error };
            ui.add(egui::Label::new(RichText::new(mistake.words(&typed)).color(colour)).wrap());
        }
        None => {
            ui.weak("What fits next can be clicked below, or typed; Tab takes the first.");
        }
    }
    offers(ui, state, id);
    if add {
        keep(state, commands);
    }
}

/// What can be typed where the cursor stands.
fn offers(ui: &mut Ui, state: &mut State, id: Id) {
    let typed = &state.windows.watch.typed;
    let held = TextEdit::load_state(ui.ctx(), id).and_then(|held| held.cursor.char_range());
    let at = held.map_or(typed.len(), |range| byte_of(typed, range.primary.index.into()));
    let offers = complete(typed, at, &state.show().rig, &state.plan);
    let mut chosen: Option<&Completion> = None;
    ui.horizontal_wrapped(|ui| {
        for offer in offers.iter().take(OFFERED) {
            let button = Button::new(RichText::new(&offer.text).font(small()));
            if ui.add(button).on_hover_text(&offer.about).clicked() {
                chosen = Some(offer);
            }
        }
    });
    if ui.memory(|memory| memory.has_focus(id))
        && ui.input_mut(|input| input.consume_key(egui::Modifiers::NONE, Key::Tab))
    {
        chosen = offers.first();
    }
    if let Some(offer) = chosen {
        put(ui.ctx(), &mut state.windows.watch.typed, id, offer);
    }
}

/// Puts what was chosen into the text, and the cursor behind it.
fn put(ctx: &Context, text: &mut String, id: Id, offer: &Completion) {
    let before = text[..offer.replaces.start].to_owned();
    let blank = if before.is_empty() || before.ends_with([' ', '(']) { "" } else { " " };
    let put = format!("{before}{blank}{} ", offer.text);
    let cursor = put.chars().count();
    *text = format!("{put}{}", text[offer.replaces.end..].trim_start());
    let mut held = TextEdit::load_state(ctx, id).unwrap_or_default();
    held.cursor.set_char_range(Some(CCursorRange::one(CCursor::new(cursor))));
    held.store(ctx, id);
    ctx.memory_mut(|memory| memory.request_focus(id));
}

fn byte_of(text: &str, character: usize) -> usize {
    text.char_indices().nth(character).map_or(text.len(), |(at, _)| at)
}

/// Conditions about the selected fixture, or any, to choose from a menu.
fn ready_made(ui: &mut Ui, state: &mut State) {
    let selected = state.selection.iter().filter_map(|place| state.show().rig.get(*place));
    let ids: Vec<String> = selected.map(|fixture| fixture.id.to_string()).collect();
    let whom = match ids.as_slice() {
        [] => "any fixture".to_owned(),
        [one] => format!("fixture {one}"),
        many => format!("any of {}", many.join(", ")),
    };
    let mut chosen = None;
    ui.menu_button("Make", |ui| {
        for what in [
            "lit while moving",
            "starts moving",
            "lit",
            "dark",
            "flashing",
            "resetting",
            "level > 50 %",
            "flash > 4 Hz",
            "beam below 2 m over the audience",
            "lux at eye level > 100 lx",
        ] {
            let words = format!("{whom} {what}");
            if ui.button(&words).clicked() {
                chosen = Some(words);
            }
        }
        for (words, tip) in shutters(state, &whom) {
            if ui.button(&words).on_hover_text(tip).clicked() {
                chosen = Some(words);
            }
        }
    })
    .response
    .on_hover_text("Conditions about the selected fixtures, to begin with");
    if let Some(words) = chosen {
        state.windows.watch.typed = words;
    }
}

/// The shutter of the first selected fixture leaving what it is in.
fn shutters(state: &State, whom: &str) -> Vec<(String, &'static str)> {
    let Some(reading) = state.selection.first().and_then(|place| state.reading_of(*place)) else {
        return Vec::new();
    };
    let touched = reading.channels().filter_map(|channel| {
        let (name, range) = (&channel.channel.name, channel.range?);
        let named = !name.contains('"') && !range.label.contains('"');
        let steps = channel.channel.ranges.len() > 1 && range.physical.is_none();
        (named && steps).then(|| format!("{whom} \"{name}\" leaves \"{}\"", range.label))
    });
    let tip = "True for the one packet with which the channel leaves the range it is in now";
    touched.take(6).map(|words| (words, tip)).collect()
}

/// Takes the condition that was typed into the show.
fn keep(state: &mut State, commands: &mut Vec<Command>) {
    let watching = &mut state.windows.watch;
    let when = std::mem::take(&mut watching.typed).trim().to_owned();
    let editing = watching.editing.take();
    let mut watches = state.document.show().cues.watches.clone();
    let words = match editing.and_then(|nth| watches.get_mut(nth)) {
        Some(watched) => {
            watched.when.clone_from(&when);
            format!("change the condition to `{when}`")
        }
        None => {
            watches.push(Watched { when: when.clone(), on: true });
            format!("watch for `{when}`")
        }
    };
    commands.push(set(words, watches));
}

fn set(words: String, watches: Vec<Watched>) -> Command {
    Command::Edit { edit: Edit::Cues(CueEdit::SetWatches { words, watches }), gesture: false }
}

/// The conditions of the show. Gives the one whose times are asked for.
fn conditions(ui: &mut Ui, state: &mut State, commands: &mut Vec<Command>) -> Option<usize> {
    let watches = state.show().cues.watches.clone();
    if watches.is_empty() {
        ui.weak("No condition yet. Time stops as one becomes true while it plays.");
        return None;
    }
    let source = state.watch_source();
    let through = match &source {
        Some(Source::Timed(name)) => format!("Find every time in {name} at which it is true"),
        Some(Source::List(_, name)) => {
            format!("Find every time in the list {name}, run straight through, at which it is true")
        }
        None => "Open timed frames or make a cue list to look through".to_owned(),
    };
    let mut list = None;
    for (nth, watched) in watches.iter().enumerate() {
        ui.horizontal(|ui| {
            let mut on = watched.on;
            let tick = named(ui.checkbox(&mut on, ""), &format!("Watch for {}", watched.when));
            if tick.on_hover_text("Stop time as this becomes true while it plays").changed() {
                let mut changed = watches.clone();
                changed[nth].on = on;
                let how = if on { "watch" } else { "no longer watch" };
                commands.push(set(format!("{how} for `{}`", watched.when), changed));
            }
            let wrong = state.windows.watch.rows.get(nth).and_then(|row| row.watch.as_ref().err());
            let ready = wrong.is_none() && source.is_some();
            let times = ui.add_enabled(ready, Button::new("All times").small());
            if named(times, &format!("All times of {}", watched.when))
                .on_hover_text(&through)
                .clicked()
            {
                list = Some(nth);
            }
            row_end(ui, &mut state.windows.watch, nth, &watches, commands);
            let is_true = state.windows.watch.rows.get(nth);
            let is_true = is_true.and_then(|row| row.live.as_ref()).and_then(|live| live.is_true());
            if is_true == Some(true) {
                ui.label(RichText::new("true").font(strong()))
                    .on_hover_text("True at the instant that was looked at last");
            }
            ui.add(egui::Label::new(&watched.when).truncate());
        });
        let wrong = state.windows.watch.rows.get(nth).and_then(|row| row.watch.as_ref().err());
        if let Some(wrong) = wrong {
            let colour = Palette::of(ui.visuals()).error;
            ui.add(egui::Label::new(RichText::new(wrong).color(colour)).wrap());
        }
    }
    list
}

/// What can be done with one condition.
fn row_end(
    ui: &mut Ui,
    watching: &mut Watching,
    nth: usize,
    watches: &[Watched],
    commands: &mut Vec<Command>,
) {
    let when = &watches[nth].when;
    let change = named(ui.small_button("Change"), &format!("Change {when}"));
    if change.on_hover_text("Type it anew").clicked() {
        watching.typed.clone_from(when);
        watching.editing = Some(nth);
    }
    let remove = named(ui.small_button("Remove"), &format!("Remove {when}"));
    if remove.on_hover_text("Take it out of the show; it can be undone").clicked() {
        let mut left = watches.to_vec();
        left.remove(nth);
        watching.editing = None;
        commands.push(set(format!("no longer watch for `{when}`"), left));
    }
}

/// Where time stopped, how far a search is, and the times that were found.
fn times(ui: &mut Ui, state: &mut State, commands: &mut Vec<Command>) {
    let running = |job: u64| state.jobs.is_running(job);
    if state.windows.watch.work.as_ref().is_some_and(|work| !running(work.job)) {
        state.windows.watch.work = None;
    }
    let mut cancel = false;
    if let Some(work) = &state.windows.watch.work {
        ui.horizontal(|ui| {
            let share = work.done.load(Ordering::Relaxed) as f32 / 1000.0;
            ui.add(ProgressBar::new(share).desired_width(160.0).show_percentage());
            cancel = ui.button("Cancel").on_hover_text("Stop looking").clicked();
        });
    }
    if cancel {
        state.windows.watch.work = None;
    }
    if let Some(stopped) = &state.windows.watch.stopped {
        let words = format!("Stopped at {} s: {}", rounded(stopped.at_s, 3), stopped.when);
        ui.label(RichText::new(words).font(strong())).on_hover_text(stopped.because.join("\n"));
    }
    let Some(listed) = &state.windows.watch.listed else { return };
    let Some(found) = &listed.found else { return };
    let through = match &listed.source {
        Source::Timed(name) | Source::List(_, name) => name,
    };
    let times = if found.count == 1 { "time" } else { "times" };
    let end = rounded(found.end_s, 1);
    ui.label(format!("{} is true {} {times} in {through}, {end} s", listed.when, found.count));
    let spans = &found.spans;
    ScrollArea::vertical().auto_shrink(false).show_rows(ui, ROW, spans.len(), |ui, range| {
        for span in &spans[range] {
            span_row(ui, listed, span, commands);
        }
    });
}

fn span_row(ui: &mut Ui, listed: &Listed, span: &Span, commands: &mut Vec<Command>) {
    ui.horizontal(|ui| {
        let words = format!("{} s", rounded(span.from_s, 3));
        let go =
            ui.add(Button::new(RichText::new(&words).font(number())).min_size(vec2(84.0, 0.0)));
        if named(go, &format!("Go to {words}")).on_hover_text("Go to this instant").clicked() {
            match &listed.source {
                Source::Timed(_) => commands.push(Command::Scrub(span.from_s)),
                Source::List(list, _) => {
                    commands.push(Command::Cues(CueAsk::Show(*list)));
                    commands.push(Command::Cues(CueAsk::Seek(span.from_s)));
                }
            }
        }
        ui.label(RichText::new(format!("to {} s", rounded(span.to_s, 3))).font(number()));
        let because = span.values.join("; ");
        ui.add(egui::Label::new(&because).truncate()).on_hover_text(span.values.join("\n"));
    });
}
