//! The window of misfits: lists of what can be seen, what was seen, what may be wrong, and the next test.

use egui::{Button, ComboBox, Context, Label, RichText, ScrollArea, Ui, vec2};

use super::{MisfitView, Told, ToldRow};
use crate::app::change_window::OVER_LISTS;
use crate::app::command::Command;
use crate::app::now::sentence;
use crate::app::state::State;
use crate::app::theme::{Palette, strong};
use crate::app::transport::named;
use crate::check::misfit::{Changes, Happened, Sight, Step, Test};
use crate::show::Edit;
use crate::wire::Slot;

/// Rows that are shown at most.
const ROWS: usize = 12;

/// Greatest height of the answers to a test, in points: the explanations below stay in sight.
const MOST_ANSWERS_HEIGHT: f32 = 140.0;

/// What is asked of the window while it is drawn.
enum Ask {
    Seen(usize, Sight),
    Happened(usize, Happened),
    TakeBack(usize),
    Answer(Test, Option<Slot>, Changes),
}

/// Shows the misfits in a window of their own while it is open.
pub fn misfit_window(ctx: &Context, state: &mut State, commands: &mut Vec<Command>) {
    if !state.windows.misfit.open {
        return;
    }
    state.ready_misfit(ctx);
    let room = ctx.content_rect().size();
    let (mut open, mut ask) = (true, None);
    let mut view = std::mem::take(&mut state.windows.misfit);
    let moved = view.frames.last().is_some_and(|last| last != state.in_force().0);
    egui::Window::new("Misfit")
        .open(&mut open)
        .collapsible(false)
        .default_pos(OVER_LISTS)
        .default_size(vec2(640.0, 0.72 * room.y).min(room - vec2(60.0, 120.0)))
        .resizable(true)
        .show(ctx, |ui| {
            ui.weak("A head does not do what its frame says: pick what you see of it.");
            ask = observing(ui, state, &mut view, moved);
            ui.separator();
            ScrollArea::vertical().auto_shrink([false, true]).show(ui, |ui| {
                let told = view.told.clone().unwrap_or_default();
                ask = ask.take().or(seen(ui, &told));
                // What to do next stands above what may be a long list.
                ask = ask.take().or(testing(ui, &told, commands));
                explained(ui, &told, commands);
            });
        });
    view.open = open;
    state.windows.misfit = view;
    match ask {
        Some(Ask::Seen(place, sight)) => state.seen_now(place, sight),
        Some(Ask::Happened(place, happened)) => state.happened_now(place, happened),
        Some(Ask::TakeBack(nth)) => state.windows.misfit.take_back(nth),
        Some(Ask::Answer(test, at, changes)) => state.answered(&test, at, changes),
        None => {}
    }
}

/// The lists out of which an observation is made.
fn observing(ui: &mut Ui, state: &State, view: &mut MisfitView, moved: bool) -> Option<Ask> {
    let mut ask = None;
    let rig = &state.show().rig;
    let head = view.place.and_then(|place| rig.get(place));
    let chosen = head.map_or_else(|| "choose a head".to_owned(), |fixture| fixture.words());
    ui.horizontal(|ui| {
        let head = ComboBox::from_id_salt("misfit head").selected_text(chosen).width(200.0);
        let head = head.show_ui(ui, |ui| {
            for (place, fixture) in rig.iter().enumerate() {
                ui.selectable_value(&mut view.place, Some(place), fixture.words());
            }
        });
        named(head.response, "Head that is looked at");
    });
    let place = view.place.filter(|place| *place < rig.len());
    ui.horizontal(|ui| {
        let words = view
            .sight
            .map_or_else(|| "how it looks now".to_owned(), |sight| format!("it {}", sight.words()));
        let list = ComboBox::from_id_salt("misfit sight").selected_text(words).width(260.0);
        let list = list.height(420.0).show_ui(ui, |ui| {
            for sight in Sight::all() {
                ui.selectable_value(&mut view.sight, Some(sight), sight.words());
            }
        });
        named(list.response, "What is seen");
        let ready = place.zip(view.sight);
        let add = ui.add_enabled(ready.is_some(), Button::new("Add to this frame"));
        let tip = "The head looks so with the slots as they stand";
        if add.on_hover_text(tip).clicked() {
            ask = ready.map(|(place, sight)| Ask::Seen(place, sight));
        }
    });
    ui.horizontal(|ui| {
        let words = view.happened.map_or_else(
            || "what it did as slots moved".to_owned(),
            |seen| format!("it {}", seen.words()),
        );
        let list = ComboBox::from_id_salt("misfit happened").selected_text(words).width(260.0);
        let list = list.height(420.0).show_ui(ui, |ui| {
            for happened in Happened::all() {
                ui.selectable_value(&mut view.happened, Some(happened), happened.words());
            }
        });
        named(list.response, "What happened");
        let ready = place.zip(view.happened).filter(|_| moved);
        let add = ui.add_enabled(ready.is_some(), Button::new("Add as slots moved"));
        let tip =
            "It did so as the slots went from where something was seen last to where they stand";
        let none = "Add what is seen first, then move a slot";
        if add.on_hover_text(tip).on_disabled_hover_text(none).clicked() {
            ask = ready.map(|(place, happened)| Ask::Happened(place, happened));
        }
    });
    ask
}

/// What was seen, each with a way to take it back.
fn seen(ui: &mut Ui, told: &Told) -> Option<Ask> {
    let mut ask = None;
    for (nth, words) in told.seen.iter().enumerate() {
        ui.horizontal_top(|ui| {
            let button = named(ui.small_button("\u{d7}"), &format!("Take back: {words}"));
            if button.on_hover_text("Take this observation back").clicked() {
                ask = Some(Ask::TakeBack(nth));
            }
            ui.add(Label::new(words).wrap());
        });
    }
    ask
}

fn explained(ui: &mut Ui, told: &Told, commands: &mut Vec<Command>) {
    if told.seen.is_empty() {
        return;
    }
    ui.separator();
    let words = match told.rows.len() {
        0 => "Nothing that was tried goes with all of it".to_owned(),
        1 => "One explanation goes with all of it".to_owned(),
        n => format!("{n} explanations go with all of it, likeliest first"),
    };
    ui.label(RichText::new(words).font(strong()));
    for (nth, explained) in told.rows.iter().take(ROWS).enumerate() {
        row(ui, Some(nth + 1), explained, commands);
    }
    if told.rows.len() > ROWS {
        ui.weak(format!("and {} more", told.rows.len() - ROWS));
    }
    for explained in &told.others {
        row(ui, None, explained, commands);
    }
}

fn row(ui: &mut Ui, nth: Option<usize>, row: &ToldRow, commands: &mut Vec<Command>) {
    let Some((first, same)) = row.words.split_first() else { return };
    ui.horizontal_top(|ui| {
        if let Some((place, fixture)) = &row.adopt {
            let button = named(ui.small_button("Adopt"), &format!("Adopt: {first}"));
            if button.on_hover_text("Change the patch of the show so; it can be undone").clicked() {
                let fixture = Box::new(fixture.clone());
                let edit = Edit::SetFixture { index: *place, fixture };
                commands.push(Command::Edit { edit, gesture: false });
            }
        }
        let nth = nth.map_or_else(|| "nearest: ".to_owned(), |nth| format!("{nth}. "));
        let tied = if row.tied { " (as likely as the one before)" } else { "" };
        ui.add(Label::new(format!("{nth}{first}{tied}")).wrap())
            .on_hover_text(format!("To disprove it without a test: {}", row.look_up));
    });
    for same in same {
        below(ui, format!("or, the same to the eye: {same}").into());
    }
    let weak = Palette::of(ui.visuals()).weak_text;
    for evidence in &row.evidence {
        below(ui, RichText::new(evidence).color(weak));
    }
}

/// Words that belong to the row above: each of their lines is set in.
fn below(ui: &mut Ui, words: RichText) {
    ui.horizontal_top(|ui| {
        ui.add_space(16.0);
        ui.add(Label::new(words).wrap());
    });
}

/// The next test, with a button for each answer.
fn testing(ui: &mut Ui, told: &Told, commands: &mut Vec<Command>) -> Option<Ask> {
    let mut ask = None;
    let Some((test, words)) = &told.test else {
        if told.rows.len() > 1 {
            ui.separator();
            ui.weak("No safe move of slots tells these apart any further.");
        }
        return None;
    };
    ui.separator();
    ui.label(RichText::new("Next test").font(strong()));
    ui.add(Label::new(sentence(words)).wrap());
    if let Step::Set { slot, to, .. } = test.step
        && ui.button("Set it").on_hover_text("Set the slot here; it can be undone").clicked()
    {
        let (universe, values) = (test.universe, vec![(slot, to)]);
        commands.push(Command::SetSlots { universe, values, gesture: false });
    }
    ui.weak("What does it do? Each answer names the explanations that say so.");
    let answers = ScrollArea::vertical().id_salt("answers").max_height(MOST_ANSWERS_HEIGHT);
    answers.auto_shrink([false, true]).show(ui, |ui| {
        for outcome in &test.outcomes {
            ui.horizontal_top(|ui| {
                let words = format!("it {}", outcome.words());
                if ui.button(&words).clicked() {
                    ask = Some(Ask::Answer(test.clone(), outcome.at, outcome.changes));
                }
                let says: Vec<String> =
                    outcome.rows.iter().take(8).map(|row| (row + 1).to_string()).collect();
                let more = if outcome.rows.len() > 8 { ", ..." } else { "" };
                ui.weak(format!("{}{more}", says.join(", ")));
            });
        }
    });
    ask
}
