//! Comparison in the window: the list on show beside another list, another show, or itself with fixtures of another
//! model or mode. It is worked out beside the window.

use std::path::{Path, PathBuf};

use egui::{ComboBox, RichText, ScrollArea, Ui, vec2};

use super::act::CueAsk;
use crate::app::command::Command;
use crate::app::files::{Done, Purpose, is_known_drawing};
use crate::app::profiles::choices;
use crate::app::reading::note;
use crate::app::show_files::file_name;
use crate::app::state::State;
use crate::app::theme::{small, strong};
use crate::app::transport::named;
use crate::check::compare::{Comparison, Difference, compare, of_mode};
use crate::cue::words;
use crate::finding::{Finding, Findings, Place, Severity};
use crate::paper::comparison;
use crate::profile::Library;
use crate::rig::FixtureId;
use crate::show::disk::write_file;
use crate::show::{Show, read_show_in};

/// Height of a row, in points.
const ROW: f32 = 20.0;

/// Widths of whom it concerns, what, and either side, in points.
const COLUMNS: [f32; 4] = [110.0, 130.0, 210.0, 210.0];

/// With what the list on show is compared.
#[derive(Clone, Debug, Default, PartialEq)]
enum With {
    /// Nothing was chosen yet.
    #[default]
    Nothing,
    /// Another list of the show, by its name.
    List(String),
    /// The list of the same name in another show.
    Show(PathBuf),
    /// Itself, with the selected fixtures of another model or mode.
    Mode { profile: String, mode: String },
}

/// The window in which lists are compared.
#[derive(Debug, Default)]
pub struct CompareWindow {
    with: With,
    /// The comparison under way.
    job: Option<u64>,
    /// What came of the last one.
    pub found: Option<Result<Box<Compared>, Findings>>,
}

/// A comparison, with the shows that its pictures are made of.
#[derive(Debug)]
pub struct Compared {
    /// What differs.
    pub comparison: Comparison,
    /// The list of the open show that it is about, as a place.
    list: usize,
    before: Show,
    after: Show,
}

/// A line of the window: a heading with the cue that it leads to, or something that differs.
enum Line<'a> {
    Head(String, Option<&'a str>),
    Row(&'a Difference),
}

impl State {
    /// Opens the window for comparisons, or closes it.
    pub(in crate::app) fn toggle_comparison(&mut self) {
        if self.windows.compare.take().is_some() {
            return;
        }
        let lists = &self.show().cues.lists;
        let Some(shown) = lists.get(self.cues.list) else {
            return self.say(Severity::Note, "there is no cue list to compare");
        };
        let other = lists.iter().find(|list| list.name != shown.name);
        let with = other.map_or(With::Nothing, |list| With::List(list.name.clone()));
        self.windows.compare = Some(Box::new(CompareWindow { with, ..CompareWindow::default() }));
    }

    /// Compares with the list of another show.
    pub(in crate::app) fn compare_with_show(&mut self, ctx: &egui::Context, path: PathBuf) {
        if let Some(window) = &mut self.windows.compare {
            window.with = With::Show(path);
            self.begin_comparison(ctx);
        }
    }

    fn begin_comparison(&mut self, ctx: &egui::Context) {
        let (show, list, sources) =
            (self.show().clone(), self.cues.list, self.profiles.sources.clone());
        let selected: Vec<FixtureId> =
            self.selection.iter().filter_map(|at| Some(show.rig.get(*at)?.id)).collect();
        let Some(window) = &mut self.windows.compare else { return };
        let with = window.with.clone();
        let library = self.document.library().clone();
        let job = self.jobs.background(ctx, "Comparing".to_owned(), move || {
            let other = |path: &Path| {
                let mut sources = sources;
                sources.refresh(&is_known_drawing);
                Ok(read_show_in(path, &sources.library(), &is_known_drawing)?.0)
            };
            Done::Compared(compared(show, list, &library, &with, &selected, other).map(Box::new))
        });
        window.job = Some(job);
    }

    /// Takes in what came of a comparison, if it is still wanted.
    pub(in crate::app) fn take_comparison(&mut self, found: Result<Box<Compared>, Findings>) {
        if let Some(window) = &mut self.windows.compare {
            (window.job, window.found) = (None, Some(found));
        }
    }

    /// Writes the comparison as a page with pictures.
    pub(in crate::app) fn export_comparison(&mut self, ctx: &egui::Context, path: PathBuf) {
        let window = self.windows.compare.as_ref();
        let Some(Ok(found)) = window.and_then(|window| window.found.as_ref()) else { return };
        let (of, before, after) =
            (found.comparison.clone(), found.before.clone(), found.after.clone());
        self.jobs.work(ctx, format!("Writing {}", path.display()), move || {
            let page = comparison::html(&of, &before, &after);
            let result = write_file(&path, page.as_bytes());
            Done::Exported { path, result }
        });
    }

    /// Writes the list on show as a page with a picture of the stage a cue.
    pub(in crate::app) fn export_sheet(&mut self, ctx: &egui::Context, path: PathBuf) {
        use crate::paper::cue_sheet::{cue_sheet, html};
        let (show, list) = (self.show().clone(), self.cues.list);
        self.jobs.work(ctx, format!("Writing {}", path.display()), move || {
            let result = match cue_sheet(&show, list, true) {
                Some(sheet) => write_file(&path, html(&sheet).as_bytes()),
                None => Err(Finding::error(Place::default(), "there is no cue list", "")),
            };
            Done::Exported { path, result }
        });
    }
}

/// Compares a list of a show with what was chosen.
fn compared(
    show: Show,
    list: usize,
    library: &Library,
    with: &With,
    selected: &[FixtureId],
    read: impl FnOnce(&Path) -> Result<Show, Findings>,
) -> Result<Compared, Findings> {
    let wrong =
        |what: &str, mend: &str| Findings(vec![Finding::error(Place::default(), what, mend)]);
    let mut after = match with {
        With::Show(path) => read(path)?,
        _ => show.clone(),
    };
    let name = show.cues.lists.get(list).map_or("", |list| list.name.as_str());
    let other = match with {
        With::Nothing => return Err(wrong("nothing was chosen", "choose what to compare with")),
        With::List(name) => after.cues.list(name),
        // A list that is called otherwise may be the same all the same.
        With::Show(_) => after.cues.list(name).or((!after.cues.lists.is_empty()).then_some(0)),
        With::Mode { profile, mode } => {
            if selected.is_empty() {
                return Err(wrong("no fixture is selected", "select those that would be of it"));
            }
            let kinds = choices(&show, library);
            let kind = kinds.get(profile);
            let kind = kind.ok_or_else(|| wrong("that profile is gone", "choose another one"))?;
            of_mode(&mut after, selected, kind, mode)
                .map_err(|id| wrong(&format!("there is no fixture {id}"), "select others"))?;
            Some(list)
        }
    };
    let other = other.ok_or_else(|| wrong("the other side has no such list", "choose another"))?;
    let side = |show: &Show, list: usize| {
        let name = show.cues.lists.get(list).map_or("", |list| list.name.as_str());
        format!("{}, list \"{name}\"", show.name)
    };
    let mut sides = (side(&show, list), side(&after, other));
    match with {
        With::Show(path) => sides.1 = format!("{} ({})", sides.1, file_name(path)),
        With::Mode { profile, mode } => {
            let ids = words::fixtures(selected);
            sides.1 = format!("{}, with {ids} as {profile}, mode {mode}", sides.1);
        }
        With::List(_) | With::Nothing => {}
    }
    let comparison = compare((&show, list), (&after, other), sides);
    let comparison = comparison.ok_or_else(|| wrong("a list is gone", "choose another one"))?;
    Ok(Compared { comparison, list, before: show, after })
}

/// Shows the window while it is open.
pub fn compare_window(ctx: &egui::Context, state: &mut State, commands: &mut Vec<Command>) {
    let Some(mut window) = state.windows.compare.take() else { return };
    if window.job.is_some_and(|job| !state.jobs.is_running(job)) {
        window.job = None;
    }
    let room = ctx.content_rect().size();
    let (mut open, mut asked) = (true, None);
    egui::Window::new("Compare cue lists")
        .open(&mut open)
        .collapsible(false)
        .default_pos(egui::pos2(room.x * 0.26, 50.0))
        .default_size(vec2(720.0, 440.0).min(room - vec2(60.0, 120.0)))
        .resizable(true)
        .show(ctx, |ui| {
            asked = head(ui, state, &mut window);
            ui.separator();
            match &window.found {
                Some(Ok(found)) => differences(ui, found, commands),
                Some(Err(Findings(findings))) => {
                    for finding in findings {
                        note(ui, finding.severity, &finding.to_string());
                    }
                }
                None => drop(ui.weak("Choose the other side, then Compare.")),
            }
        });
    if open {
        state.windows.compare = Some(window);
    }
    match asked {
        Some(Asked::Run) => state.begin_comparison(ctx),
        Some(Asked::Choose) => {
            state.jobs.choose(ctx, Purpose::CompareShow, state.document.path());
        }
        Some(Asked::Save) => state.jobs.choose(ctx, Purpose::Comparison, state.document.path()),
        None => {}
    }
}

/// What a button of the window asked for.
enum Asked {
    Run,
    Choose,
    Save,
}

fn head(ui: &mut Ui, state: &State, window: &mut CompareWindow) -> Option<Asked> {
    let mut asked = None;
    let lists = &state.show().cues.lists;
    let name = lists.get(state.cues.list).map_or("", |list| list.name.as_str());
    ui.horizontal_wrapped(|ui| {
        ui.label(RichText::new(name).font(strong()));
        ui.label("with");
        let shown = match &window.with {
            With::Nothing => "choose".to_owned(),
            With::List(name) => format!("list {name}"),
            With::Show(path) => file_name(path),
            With::Mode { .. } => "another model or mode".to_owned(),
        };
        let combo = ComboBox::from_id_salt("compare with").selected_text(shown).width(170.0);
        let combo = combo.show_ui(ui, |ui| {
            for list in lists.iter().filter(|list| list.name != name) {
                let with = With::List(list.name.clone());
                ui.selectable_value(&mut window.with, with, format!("list {}", list.name));
            }
            if ui.button("a list of another show\u{2026}").clicked() {
                asked = Some(Asked::Choose);
                ui.close();
            }
            let of_mode = matches!(window.with, With::Mode { .. });
            if ui.selectable_label(of_mode, "itself in another model or mode").clicked() {
                window.with = first_mode(state);
            }
        });
        named(combo.response, "What to compare with");
        mode_choice(ui, state, &mut window.with);
        if window.job.is_some() {
            ui.spinner();
            ui.weak("comparing");
            return;
        }
        let ready = window.with != With::Nothing;
        if ui.add_enabled(ready, egui::Button::new("Compare")).clicked() {
            asked = Some(Asked::Run);
        }
        let done = matches!(window.found, Some(Ok(_)));
        let tip = "One page of HTML with pictures of the stage side by side for each cue";
        let page = ui.add_enabled(done, egui::Button::new("Save as HTML"));
        if page.on_hover_text(tip).clicked() {
            asked = Some(Asked::Save);
        }
    });
    asked
}

/// The mode that the first selected fixture is in: what there is to choose begins there.
fn first_mode(state: &State) -> With {
    let first = state.selection.first().and_then(|at| state.show().rig.get(*at));
    let of = first.map(|fixture| (fixture.profile.clone(), fixture.mode.clone()));
    let (profile, mode) = of.unwrap_or_default();
    With::Mode { profile, mode }
}

fn mode_choice(ui: &mut Ui, state: &State, with: &mut With) {
    let With::Mode { profile, mode } = with else { return };
    let kinds = choices(state.show(), state.document.library());
    let combo = ComboBox::from_id_salt("compare model").selected_text(profile.as_str());
    let combo = combo.width(150.0).show_ui(ui, |ui| {
        for (key, kind) in &kinds {
            if ui.selectable_label(profile == key, key).clicked() {
                profile.clone_from(key);
                *mode = kind.modes.first().map_or_else(String::new, |mode| mode.name.clone());
            }
        }
    });
    named(combo.response, "Model to compare with");
    let modes = kinds.get(profile.as_str()).map(|kind| kind.modes.as_slice()).unwrap_or_default();
    let combo = ComboBox::from_id_salt("compare mode").selected_text(mode.as_str());
    let combo = combo.width(80.0).show_ui(ui, |ui| {
        for of in modes {
            ui.selectable_value(mode, of.name.clone(), &of.name);
        }
    });
    named(combo.response, "Mode to compare with");
    let count = state.selection.len();
    let words = match count {
        0 => "of the fixtures that you select".to_owned(),
        1 => "of the selected fixture".to_owned(),
        count => format!("of the {count} selected fixtures"),
    };
    ui.weak(words);
}

fn differences(ui: &mut Ui, found: &Compared, commands: &mut Vec<Command>) {
    let comparison = &found.comparison;
    ui.weak(format!("before: {}", comparison.sides.0));
    ui.weak(format!("after: {}", comparison.sides.1));
    if comparison.is_same() {
        ui.label("Nothing differs.");
        return;
    }
    let (differ, of) = (comparison.cues.len(), comparison.cue_count);
    ui.label(format!("{differ} of {of} cues differ"));
    let mut lines = Vec::new();
    if !comparison.whole.is_empty() {
        lines.push(Line::Head("The whole".to_owned(), None));
        lines.extend(comparison.whole.iter().map(Line::Row));
    }
    for cue in &comparison.cues {
        lines.push(Line::Head(comparison::cue_words(cue), Some(&cue.number)));
        lines.extend(cue.differences.iter().map(Line::Row));
    }
    let area = ScrollArea::both().id_salt("differences").auto_shrink(false);
    area.show_rows(ui, ROW, lines.len(), |ui, shown| {
        for line in &lines[shown] {
            match line {
                Line::Head(words, number) => heading(ui, words, *number, found, commands),
                Line::Row(row) => difference(ui, row),
            }
        }
    });
}

/// The cue that differs, which leads to it where the open show has it.
fn heading(
    ui: &mut Ui,
    words: &str,
    number: Option<&str>,
    found: &Compared,
    commands: &mut Vec<Command>,
) {
    ui.horizontal(|ui| {
        ui.set_height(ROW - ui.spacing().item_spacing.y);
        let list = found.before.cues.lists.get(found.list);
        let number = number.and_then(|number| number.parse().ok());
        let place = list.zip(number).and_then(|(list, number)| list.cue(number));
        let Some(place) = place else {
            ui.label(RichText::new(words).font(strong()));
            return;
        };
        let link = ui.link(RichText::new(words).font(strong()));
        let link = link.on_hover_text("Show this cue of the open show on the stage");
        if named(link, &format!("Go to {words}")).clicked() {
            commands.push(Command::Cues(CueAsk::Show(found.list)));
            commands.push(Command::Cues(CueAsk::Jump(place)));
        }
    });
}

fn difference(ui: &mut Ui, row: &Difference) {
    let side = |words: &Option<String>| match (&row.before, &row.after) {
        (None, None) => String::new(),
        _ => words.clone().unwrap_or_else(|| "\u{2013}".to_owned()),
    };
    let cells =
        [words::fixtures(&row.fixtures), row.what.clone(), side(&row.before), side(&row.after)];
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 8.0;
        for (words, width) in cells.iter().zip(COLUMNS) {
            let size = vec2(width, ROW - ui.spacing().item_spacing.y);
            let text = egui::Label::new(RichText::new(words).font(small())).truncate();
            ui.allocate_ui_with_layout(
                size,
                egui::Layout::left_to_right(egui::Align::Center),
                |ui| {
                    ui.set_min_width(width);
                    ui.add(text);
                },
            );
        }
    });
}
