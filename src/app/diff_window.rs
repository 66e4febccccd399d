//! Differences in the window: any two of looks, cues, instants and what stands on the stage, fixture by fixture, with a
//! ghost of the first side on the stage.

use egui::{Button, ComboBox, Context, DragValue, Grid, RichText, ScrollArea, Ui, vec2};

use super::change_window::over_reading;
use super::clock::Mode;
use super::command::{Command, How};
use super::state::{Exposure, State};
use super::theme::{number, small_strong};
use super::transport::named;
use crate::check::compare::Difference;
use crate::check::diff::{Diff, Side, SlotDifference, Standing, diff, stand};
use crate::cue::words;
use crate::motion::{Pose, RigMotion};
use crate::show::Show;
use crate::stage::Scene;

/// The most slots that are listed.
const MOST_SLOTS: usize = 200;

/// One side as it is chosen.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Pick {
    /// What stands on the stage.
    #[default]
    Stage,
    /// What stood on the stage when it was kept.
    Kept,
    /// A look, a cue or an instant of a list.
    Named(Side),
}

/// The difference that is looked at.
#[derive(Default)]
pub struct DiffView {
    /// The window is shown.
    pub open: bool,
    /// Both sides.
    pub picks: [Pick; 2],
    /// The first side has no ghost on the stage.
    no_ghost: bool,
    /// What was kept, and the rig of that time.
    kept: Option<(Standing, u64)>,
    sides: [Option<Ready>; 2],
    /// Whose ghosts the stage has: the edit, the rig and the choice.
    ghosts_of: Option<(u64, u64, Pick)>,
    /// What differs, or why that cannot be told.
    pub found: Option<Result<Diff, String>>,
}

/// What a standing was made of: the edit, the rig, the scene where it is that of the stage, the choice.
type Key = (u64, u64, u64);

struct Ready {
    key: Key,
    pick: Pick,
    standing: Result<Standing, String>,
}

impl State {
    /// Shows the difference, or hides it.
    pub(super) fn toggle_diff(&mut self) {
        let view = &mut self.windows.diff;
        view.open = !view.open;
        if view.open
            && view.picks == [Pick::Stage, Pick::Stage]
            && !self.document.show().looks.is_empty()
        {
            let look = self.look.unwrap_or_default();
            let name = self.document.show().looks.get(look).map(|look| look.name.clone());
            view.picks[0] = name.map_or(Pick::Stage, |name| Pick::Named(Side::Look(name)));
        }
        self.show_light(Exposure::Held);
    }

    /// The rig as it stands on the stage.
    fn standing_on_stage(&self) -> Standing {
        let (frames, decoded) = self.in_force();
        let is_moment = self.clock.mode != Mode::Arrived;
        let poses = match is_moment {
            true => self.clock.poses().to_vec(),
            false => {
                let rig = &self.show().rig;
                RigMotion::arrived(rig, &self.plan, frames, decoded, 0.0).poses_at(0.0)
            }
        };
        let words = match is_moment {
            true => format!("the stage at {}", words::seconds(self.clock.shown_s())),
            false => "the stage".to_owned(),
        };
        Standing { words, frames: frames.clone(), decoded: decoded.clone(), poses, is_moment }
    }

    /// Works out what differs, where a side or what it is made of changed. Not while time runs: a difference
    /// is of two instants.
    fn ready_diff(&mut self) {
        if self.clock.mode == Mode::Running {
            return;
        }
        let mut view = std::mem::take(&mut self.windows.diff);
        let mut changed = view.found.is_none();
        for (nth, pick) in view.picks.clone().into_iter().enumerate() {
            let scene = if pick == Pick::Stage { self.scene_number } else { 0 };
            let key = (self.edits, self.planned, scene);
            let known = view.sides[nth].as_ref();
            if known.is_some_and(|known| known.key == key && known.pick == pick) {
                continue;
            }
            let standing = match &pick {
                Pick::Stage => Ok(self.standing_on_stage()),
                Pick::Kept => match &view.kept {
                    Some((kept, rig)) if *rig == self.planned => Ok(kept.clone()),
                    // Another rig makes something else of the same slots.
                    Some((kept, _)) => {
                        let (frames, words) = (kept.frames.clone(), kept.words.clone());
                        Ok(Standing::arrived(self.show(), &self.plan, frames, words))
                    }
                    None => Err("nothing was kept yet".to_owned()),
                },
                Pick::Named(side) => {
                    stand(self.show(), &self.plan, side).map_err(|error| error.to_string())
                }
            };
            view.sides[nth] = Some(Ready { key, pick, standing });
            changed = true;
        }
        if changed && let [Some(one), Some(other)] = &view.sides {
            view.found = Some(match (&one.standing, &other.standing) {
                (Ok(one), Ok(other)) => Ok(diff(self.show(), &self.plan, one, other)),
                (Err(error), _) | (_, Err(error)) => Err(error.clone()),
            });
        }
        let first = (self.edits, self.planned, view.picks[0].clone());
        let ghosts = view.ghosts_of.as_ref() != Some(&first);
        view.ghosts_of = Some(first);
        self.windows.diff = view;
        if ghosts {
            self.show_light(Exposure::Held);
        }
    }

    /// Gives a scene a thin ghost of the first side, where another is looked at.
    pub(super) fn ghost_first_side(&self, scene: &mut Scene) {
        let view = &self.windows.diff;
        if let Some(poses) = view.ghost().filter(|_| view.open) {
            scene.add_ghosts(&self.show().rig, &self.plan, poses);
        }
    }
}

impl DiffView {
    /// What heads do on the first side, where that is not the stage itself.
    fn ghost(&self) -> Option<&[Option<Pose>]> {
        let first = self.sides[0].as_ref().filter(|_| !self.no_ghost)?;
        let other = first.pick != Pick::Stage;
        first.standing.as_ref().ok().filter(|_| other).map(|standing| standing.poses.as_slice())
    }
}

/// Shows the difference in a window of its own while it is open.
pub fn diff_window(ctx: &Context, state: &mut State, commands: &mut Vec<Command>) {
    if !state.windows.diff.open {
        return;
    }
    state.ready_diff();
    let room = ctx.content_rect().size();
    let (mut open, mut keep) = (true, false);
    let mut view = std::mem::take(&mut state.windows.diff);
    let ghost = view.no_ghost;
    egui::Window::new("Difference")
        .open(&mut open)
        .collapsible(false)
        .default_pos(over_reading(room, 520.0))
        .default_size(vec2(520.0, 400.0).min(room - vec2(60.0, 120.0)))
        .resizable(true)
        .show(ctx, |ui| {
            keep = sides(ui, state, &mut view);
            ui.separator();
            match &view.found {
                Some(Ok(found)) => rows(ui, state, found, commands),
                Some(Err(error)) => {
                    ui.add(egui::Label::new(error).wrap());
                }
                None => {
                    ui.weak("Time runs: pause it to compare.");
                }
            }
        });
    view.open = open;
    let changed = view.no_ghost != ghost || !open;
    state.windows.diff = view;
    if keep {
        let kept = (state.standing_on_stage(), state.planned);
        let view = &mut state.windows.diff;
        (view.kept, view.picks[0], view.sides[0]) = (Some(kept), Pick::Kept, None);
        view.ghosts_of = None;
    }
    if changed {
        state.show_light(Exposure::Held);
    }
}

/// Both sides, each to be chosen. Gives whether what stands on the stage is to be kept.
fn sides(ui: &mut Ui, state: &State, view: &mut DiffView) -> bool {
    let mut keep = false;
    Grid::new("difference sides").num_columns(3).show(ui, |ui| {
        for (nth, name) in ["First", "Second"].into_iter().enumerate() {
            ui.label(name);
            pick(ui, state.show(), name, &mut view.picks[nth], view.kept.is_some());
            if nth == 0 {
                let tip = "Keep what stands on the stage now as the first side, to compare with what comes";
                keep = ui.button("Keep the stage").on_hover_text(tip).clicked();
            } else if ui.button("Swap").on_hover_text("Exchange the sides").clicked() {
                view.picks.swap(0, 1);
            }
            ui.end_row();
        }
    });
    let mut ghost = !view.no_ghost;
    let tip =
        "Draw thinly where the heads of the first side point; the stage shows what stands there";
    ui.checkbox(&mut ghost, "Ghost of the first side on the stage").on_hover_text(tip);
    view.no_ghost = !ghost;
    keep
}

/// What a side is called in the list of them.
fn pick_words(show: &Show, pick: &Pick) -> String {
    match pick {
        Pick::Stage => "what stands on the stage".to_owned(),
        Pick::Kept => "the stage as it was kept".to_owned(),
        Pick::Named(Side::Look(name)) => format!("look \"{name}\""),
        Pick::Named(Side::Cue(list, cue)) => {
            let list = list.as_deref().unwrap_or_default();
            let of = show.cues.list(list).and_then(|place| show.cues.lists.get(place));
            let cue = of.and_then(|of| of.cues.get(of.cue(*cue)?)).map(crate::cue::Cue::words);
            format!("{list}, {}", cue.unwrap_or_default())
        }
        Pick::Named(Side::At(list, _)) => {
            format!("instant of {}", list.as_deref().unwrap_or_default())
        }
        Pick::Named(_) => "the slots as they stand".to_owned(),
    }
}

fn pick(ui: &mut Ui, show: &Show, name: &str, pick: &mut Pick, kept: bool) {
    ui.horizontal(|ui| {
        let combo = ComboBox::from_id_salt(name).selected_text(pick_words(show, pick)).width(240.0);
        let combo = combo.show_ui(ui, |ui| {
            let mut choices = vec![Pick::Stage];
            choices.extend(kept.then_some(Pick::Kept));
            choices.push(Pick::Named(Side::Levels));
            choices.extend(show.looks.iter().map(|l| Pick::Named(Side::Look(l.name.clone()))));
            for list in &show.cues.lists {
                let at_s = match &*pick {
                    Pick::Named(Side::At(_, at_s)) => *at_s,
                    _ => 0.0,
                };
                choices.push(Pick::Named(Side::At(Some(list.name.clone()), at_s)));
                let cue = |cue: &crate::cue::Cue| Side::Cue(Some(list.name.clone()), cue.number);
                choices.extend(list.cues.iter().map(|of| Pick::Named(cue(of))));
            }
            for choice in choices {
                let words = pick_words(show, &choice);
                ui.selectable_value(pick, choice, words);
            }
        });
        named(combo.response, &format!("{name} side"));
        if let Pick::Named(Side::At(_, at_s)) = pick {
            let drag = DragValue::new(at_s).range(0.0..=86_400.0).speed(0.05).suffix(" s");
            named(ui.add(drag), &format!("{name} instant"))
                .on_hover_text("Seconds from the start of the list, run straight through");
        }
    });
}

fn rows(ui: &mut Ui, state: &State, found: &Diff, commands: &mut Vec<Command>) {
    if found.is_same() {
        ui.label("Nothing differs.");
        return;
    }
    let places = |difference: &Difference| -> Vec<usize> {
        let rig = state.show().rig.iter().enumerate();
        rig.filter(|(_, f)| difference.fixtures.contains(&f.id)).map(|(place, _)| place).collect()
    };
    let mut all: Vec<usize> = found.fixtures.iter().flat_map(places).collect();
    all.sort_unstable();
    all.dedup();
    ui.horizontal(|ui| {
        let heads = if all.len() == 1 { "head" } else { "heads" };
        ui.label(format!("{} slots and {} {heads} differ", found.slots.len(), all.len()));
        let select = ui.add_enabled(!all.is_empty(), Button::new("Select them"));
        if select.on_hover_text("Select the heads that differ, which marks them").clicked() {
            commands.push(Command::Select { fixtures: all.clone(), how: How::Replace });
        }
    });
    ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        Grid::new("difference rows").num_columns(4).max_col_width(170.0).striped(true).show(
            ui,
            |ui| {
                for head in ["fixtures", "", "first", "second"] {
                    ui.label(RichText::new(head).font(small_strong()));
                }
                ui.end_row();
                for difference in &found.fixtures {
                    let ids = words::fixtures(&difference.fixtures);
                    let go =
                        named(ui.small_button(&ids), &format!("Select {ids}, {}", difference.what));
                    if go.on_hover_text("Select them").clicked() {
                        let fixtures = places(difference);
                        commands.push(Command::Select { fixtures, how: How::Replace });
                    }
                    ui.label(&difference.what);
                    for side in [&difference.before, &difference.after] {
                        ui.label(side.as_deref().unwrap_or("\u{2013}"));
                    }
                    ui.end_row();
                }
            },
        );
        ui.collapsing(format!("Slots ({})", found.slots.len()), |ui| slots(ui, &found.slots));
    });
}

fn slots(ui: &mut Ui, slots: &[SlotDifference]) {
    let value = |value: Option<u8>| value.map_or("not sent".to_owned(), |value| value.to_string());
    Grid::new("difference slots").num_columns(4).striped(true).show(ui, |ui| {
        for slot in slots.iter().take(MOST_SLOTS) {
            ui.label(RichText::new(format!("{}/{}", slot.universe, slot.slot)).font(number()));
            ui.label(RichText::new(value(slot.before)).font(number()));
            ui.label(RichText::new(value(slot.after)).font(number()));
            ui.label(&slot.of);
            ui.end_row();
        }
    });
    if slots.len() > MOST_SLOTS {
        ui.weak(format!("and {} more", slots.len() - MOST_SLOTS));
    }
}
