//! The light of the fixture that is read: in one line what can be said of it, and unfolded its way link by link,
//! what holds it back, and a button that gives light.

use egui::{Align, Button, Color32, Label, Layout, RichText, ScrollArea, Stroke, Ui, vec2};

use super::command::Command;
use super::keys::Action;
use super::now::sentence;
use super::reading::{ReadingInput, note};
use super::state::State;
use super::theme::Palette;
use crate::check::why::words::percent;
use crate::check::why::{Link, Mend, Moment, OUTSIDE, Verdict, Why};
use crate::finding::Severity;
use crate::wire::Universe;

/// Greatest height of what is unfolded, in points.
const MOST_HEIGHT: f32 = 150.0;

/// While time runs, what would give light is worked out anew so many times a second.
const MENDS_A_SECOND: f64 = 4.0;

/// What the section remembers between passes.
#[derive(Clone, Debug, Default)]
pub struct LightSection {
    /// It is unfolded.
    pub open: bool,
    /// What would give light, and what that was worked out from.
    mend: Option<(MendOf, Option<Mend>)>,
}

/// Everything that a mend depends on.
#[derive(Clone, Debug, PartialEq)]
struct MendOf {
    fixture: crate::rig::Fixture,
    bytes: Vec<Option<u8>>,
    verdict: Verdict,
    /// Which quarter of a second it is; `None` while time plays no part.
    quarter: Option<i64>,
    /// The compiled mode: another one stands elsewhere.
    mode: usize,
}

/// Why the light of a fixture is as it is at the instant on show.
pub(super) fn why_of(input: ReadingInput<'_>, place: usize) -> Option<Why<'_>> {
    let moment = moment_of(input);
    match input.now.and_then(|now| Some((now.motion.head(place)?, now.t_s))) {
        Some((head, t_s)) => moment.at(place, head, t_s),
        None => moment.settled(place),
    }
}

fn moment_of(input: ReadingInput<'_>) -> Moment<'_> {
    let ReadingInput { rig, plan, frames, decoded, .. } = input;
    Moment { rig, plan, frames, decoded }
}

/// The button that unfolds what is said of the light; its tooltip says it in one sentence.
pub(super) fn light_button(
    ui: &mut Ui,
    why: &Why<'_>,
    section: &LightSection,
    commands: &mut Vec<Command>,
) {
    let tip = format!("{}\n{}", sentence(&why.sentence()), Action::Why.tip(ui.ctx()));
    let button = Button::selectable(section.open, Action::Why.row().name).small();
    if ui.add(button).on_hover_text(tip).clicked() {
        commands.push(Command::Do(Action::Why));
    }
}

/// Below the rows: why there is no light, where there is none; and what is unfolded. Returns the channel,
/// as a place in the mode, whose ruler is to have the keyboard.
pub(super) fn light_foot(
    ui: &mut Ui,
    input: ReadingInput<'_>,
    why: &Why<'_>,
    section: &mut LightSection,
    commands: &mut Vec<Command>,
) -> Option<usize> {
    // What overrides the rest, and a missing address, are told above the rows.
    if section.open || why.verdict == Verdict::Dark {
        let severity = severity(why).unwrap_or(Severity::Note);
        note(ui, severity, &sentence(&why.sentence()));
    }
    if !section.open {
        return None;
    }
    if why.verdict != Verdict::Lit {
        give_light(ui, input, why, section, commands);
    }
    unfolded(ui, input, why)
}

/// How much what is said of the light matters; `None` for a fixture that is lit.
fn severity(why: &Why<'_>) -> Option<Severity> {
    match why.verdict {
        Verdict::Lit => None,
        Verdict::Dark => Some(Severity::Warning),
        Verdict::RunsItself | Verdict::NotPatched => Some(Severity::Note),
    }
}

/// What is unfolded: the links, the other causes, near misses, and what no frame shows.
fn unfolded(ui: &mut Ui, input: ReadingInput<'_>, why: &Why<'_>) -> Option<usize> {
    let mut to_ruler = None;
    let area = ScrollArea::vertical().id_salt("light").max_height(MOST_HEIGHT);
    area.auto_shrink([false, true]).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 3.0;
        to_ruler = chain(ui, input, why);
        // The first cause is told above.
        let first = why.first_block();
        for cause in why.causes().iter().filter(|cause| Some(&cause.link) != first) {
            let words = format!("{}: {}", why.link_name(&cause.link), why.because(cause));
            note(ui, severity(why).unwrap_or(Severity::Note), &sentence(&words));
        }
        for near in why.near(input.room) {
            note(ui, Severity::Note, &sentence(&near.words));
        }
        let words = "Not visible in the data: lamp, menu, cable, a head that homes by itself.";
        let palette = Palette::of(ui.visuals());
        let outside = ui.label(RichText::new(words).small().color(palette.weak_text));
        outside.on_hover_text(format!("Look at\n{}", OUTSIDE.join("\n")));
    });
    to_ruler
}

/// The links in a row, each with what it lets through, the first that blocks marked.
fn chain(ui: &mut Ui, input: ReadingInput<'_>, why: &Why<'_>) -> Option<usize> {
    let first = why.first_block().copied().filter(|_| why.verdict != Verdict::Lit);
    let landing = why.landing(input.room);
    let mut to_ruler = None;
    // A row is as high as a chip from its beginning on.
    let high = std::mem::replace(&mut ui.spacing_mut().interact_size.y, 16.0);
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = vec2(4.0, 4.0);
        for link in why.telling_links() {
            let through = link.lets_through.map_or("?".to_owned(), percent);
            let landed = match (link.stage, &landing) {
                (crate::check::why::Stage::Distance, Some(landing)) => {
                    landing.distance_m.map(|m| format!("{m:.1} m"))
                }
                (crate::check::why::Stage::Surface, Some(landing)) => {
                    // No light is 0 lx and not -0 lx.
                    let lux = landing.lux.max(0.0) + 0.0;
                    Some(format!("{lux:.0} lx on {}", landing.on.unwrap_or("nothing")))
                }
                _ => None,
            };
            let words = format!("{} {}", why.link_name(link), landed.unwrap_or(through));
            if chip(ui, &words, link, first.as_ref()).on_hover_text(tip(why, link)).clicked() {
                to_ruler = why.evidence(link).first().map(|evidence| evidence.place);
            }
        }
    });
    ui.spacing_mut().interact_size.y = high;
    to_ruler
}

fn chip(ui: &mut Ui, words: &str, link: &Link, first: Option<&Link>) -> egui::Response {
    let palette = Palette::of(ui.visuals());
    let blocks = link.blocks_all();
    let text = RichText::new(words).small().color(if blocks {
        palette.severity(Severity::Warning)
    } else {
        palette.text
    });
    let stroke = match first == Some(link) {
        true => Stroke::new(1.5, palette.severity(Severity::Warning)),
        false => Stroke::new(1.0, palette.line),
    };
    ui.add(Button::new(text).small().fill(Color32::TRANSPARENT).stroke(stroke))
}

fn tip(why: &Why<'_>, link: &Link) -> String {
    let words = why.link_words(link);
    match words.is_empty() {
        true => "No channel bears on it".to_owned(),
        false => words,
    }
}

/// What would give light, and the button that does it.
fn give_light(
    ui: &mut Ui,
    input: ReadingInput<'_>,
    why: &Why<'_>,
    section: &mut LightSection,
    commands: &mut Vec<Command>,
) {
    let Some(mend) = section.mend(input, why) else { return };
    ui.horizontal_top(|ui| {
        let button = ui.add_enabled(mend.is_possible(), Button::new("Give light"));
        let button = button
            .on_hover_text("Set these slots: one step that can be undone")
            .on_disabled_hover_text("No slot that can be set gives light");
        if button.clicked() {
            let universe = mend.changes.first().map_or(Universe::ONE, |change| change.universe);
            let values = mend.changes.iter().map(|change| (change.slot, change.to)).collect();
            commands.push(Command::SetSlots { universe, values, gesture: false });
        }
        ui.with_layout(Layout::top_down(Align::LEFT), |ui| {
            ui.add(Label::new(RichText::new(sentence(&mend.words())).small()).wrap());
            let shared = |change: &crate::check::why::SlotChange| {
                let rig = input.rig;
                let ids = change.shared_with.iter().filter_map(|place| rig.get(*place));
                ids.map(|fixture| fixture.id.to_string()).collect::<Vec<_>>()
            };
            let mut others: Vec<String> = mend.changes.iter().flat_map(shared).collect();
            others.sort();
            others.dedup();
            if !others.is_empty() {
                let words = format!("{} too: they read these slots", others.join(", "));
                note(ui, Severity::Warning, &sentence(&words));
            }
        });
    });
}

impl LightSection {
    /// What would give light, worked out anew only where something changed.
    fn mend(&mut self, input: ReadingInput<'_>, why: &Why<'_>) -> Option<&Mend> {
        let offsets = 1..=why.reading.mode.footprint;
        let held = |offset| why.reading.slot_state(offset).and_then(|state| state.value());
        let of = MendOf {
            fixture: why.fixture.clone(),
            bytes: offsets.map(held).collect(),
            verdict: why.verdict,
            quarter: why.over_time.map(|(_, t_s)| (t_s * MENDS_A_SECOND).floor() as i64),
            mode: std::ptr::from_ref(why.reading.mode) as usize,
        };
        if self.mend.as_ref().is_none_or(|(known, _)| *known != of) {
            self.mend = Some((of, moment_of(input).mend(why)));
        }
        self.mend.as_ref().and_then(|(_, mend)| mend.as_ref())
    }
}

impl State {
    /// Folds what is said of the light of the fixture that is read, or unfolds it.
    pub(super) fn toggle_why(&mut self) {
        let shown = self.preferences.reading;
        self.reading.light.open = !(self.reading.light.open && shown);
        self.preferences.reading = true;
        if self.selection.is_empty() {
            self.say(Severity::Note, "select a fixture to see why its light is as it is");
        }
    }

    /// What can be said of the light of a fixture at the instant on show.
    pub fn light_words(&self, place: usize) -> Option<String> {
        let input = self.reading_input();
        let why = why_of(input, place)?;
        let mut words = sentence(&why.sentence());
        if why.verdict == Verdict::Lit {
            for near in why.near(input.room) {
                words.push_str(&format!("\n{}", sentence(&near.words)));
            }
        }
        Some(words)
    }
}
