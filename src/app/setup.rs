//! What is set up for a fixture: label, address, place, how it hangs, what is done to pan and tilt.

use egui::{ComboBox, DragValue, Grid, Key, Response, RichText, TextEdit, Ui};

use super::change_window::change_button;
use super::command::Command;
use super::guide::guide_mark;
use super::reading::note;
use super::state::State;
use super::theme::strong;
use crate::finding::Severity;
use crate::rig::{Address, Fixture, Hang};
use crate::show::Edit;
use crate::wire::{SLOTS, Slot, Universe};

/// What is being typed into the setup.
#[derive(Clone, Debug, Default)]
pub struct SetupState {
    /// The setup is shown.
    pub open: bool,
    label: Option<String>,
    address: Option<String>,
    refused: Option<String>,
}

impl SetupState {
    /// Forgets what was typed and not entered.
    pub fn forget(&mut self) {
        *self = Self { open: self.open, ..Self::default() };
    }
}

/// Farthest from the origin that a fixture can be placed, in metres.
const FARTHEST_M: f64 = 1000.0;

/// Draws the setup of the first selected fixture.
pub fn setup_panel(ui: &mut Ui, state: &mut State, commands: &mut Vec<Command>) {
    let chosen = state.selection.first().copied();
    let fixture = chosen.and_then(|index| Some((index, state.show().rig.get(index)?.clone())));
    let Some((index, fixture)) = fixture else {
        ui.label(RichText::new("Fixture setup").font(strong()));
        ui.weak("Select a fixture to see and change its address and where it hangs.");
        return;
    };
    ui.label(RichText::new(format!("Setup of {} {}", fixture.id, fixture.label)).font(strong()));
    if state.selection.len() > 1 {
        ui.weak(format!("The first of {} selected fixtures.", state.selection.len()));
    }
    let mut setup = std::mem::take(&mut state.setup);
    let mut changes =
        Changes { index, old: &fixture, new: fixture.clone(), gesture: false, over: false };
    Grid::new("setup").num_columns(2).spacing([12.0, 4.0]).show(ui, |ui| {
        label_row(ui, &mut changes, &mut setup);
        address_row(ui, state, &mut changes, &mut setup, commands);
        place_row(ui, &mut changes);
        hang_row(ui, &mut changes);
        aim_rows(ui, &mut changes);
    });
    state.setup = setup;
    changes.ask(commands);
    change_button(ui, commands);
}

/// A fixture as it was and as it is to be.
struct Changes<'a> {
    index: usize,
    old: &'a Fixture,
    new: Fixture,
    /// A number is being dragged.
    gesture: bool,
    /// The drag ended.
    over: bool,
}

impl Changes<'_> {
    fn note(&mut self, response: &Response) {
        self.gesture |= response.dragged();
        self.over |= response.drag_stopped();
    }

    fn ask(self, commands: &mut Vec<Command>) {
        if self.new != *self.old {
            let edit = Edit::SetFixture { index: self.index, fixture: Box::new(self.new) };
            commands.push(Command::Edit { edit, gesture: self.gesture });
        }
        if self.over {
            commands.push(Command::EndGesture);
        }
    }
}

/// A text field over a value: what is typed stays aside until Enter, or until the field is left.
fn typed(ui: &mut Ui, name: &str, held: &str, typing: &mut Option<String>) -> Option<String> {
    let mut text = typing.clone().unwrap_or_else(|| held.to_owned());
    let field = ui.add(TextEdit::singleline(&mut text).desired_width(f32::INFINITY));
    let field = field.accessible_name(name);
    if field.changed() {
        *typing = Some(text.clone());
    }
    if !field.lost_focus() {
        return None;
    }
    let cancelled = ui.input(|input| input.key_pressed(Key::Escape));
    typing.take().filter(|text| !cancelled && text != held)
}

fn label_row(ui: &mut Ui, changes: &mut Changes<'_>, setup: &mut SetupState) {
    ui.label("Label");
    if let Some(label) = typed(ui, "Label", &changes.old.label, &mut setup.label) {
        changes.new.label = label.trim().to_owned();
    }
    ui.end_row();
}

fn address_row(
    ui: &mut Ui,
    state: &State,
    changes: &mut Changes<'_>,
    setup: &mut SetupState,
    commands: &mut Vec<Command>,
) {
    ui.horizontal(|ui| {
        ui.label("Address")
            .on_hover_text("Universe and first slot, such as 1/17; empty: not patched");
        guide_mark(ui, "addressing", Some("from-here-to-there"), commands);
    });
    let held = changes.old.address.map_or_else(String::new, |address| address.to_string());
    let footprint = footprint(state, changes.index);
    if let Some(text) = typed(ui, "Address", &held, &mut setup.address) {
        match parse_address(&text, footprint) {
            Ok(address) => changes.new.address = address,
            // What was refused stays to be mended; Escape goes back to what holds.
            Err(why) => (setup.refused, setup.address) = (Some(why), Some(text)),
        }
    }
    if setup.address.is_none() {
        setup.refused = None;
    }
    ui.end_row();
    let overlaps = overlaps(state, changes.index, footprint);
    let (words, severity) = match (&setup.refused, overlaps.is_empty()) {
        (Some(why), _) => (why.clone(), Severity::Error),
        (None, false) => (format!("shares slots with {}", overlaps.join(", ")), Severity::Warning),
        (None, true) => return,
    };
    ui.label("");
    note(ui, severity, &words);
    ui.end_row();
}

fn footprint(state: &State, index: usize) -> u16 {
    state.plan.fixtures().get(index).map_or(1, |fixture| fixture.least_slots())
}

/// Reads `universe/slot`, or a slot alone as one of universe 1; empty is not patched.
fn parse_address(text: &str, footprint: u16) -> Result<Option<Address>, String> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    let (universe, slot) = text.split_once(['/', '.']).unwrap_or(("1", text));
    let number = |text: &str| text.trim().parse::<u32>().ok();
    let universe = number(universe)
        .and_then(Universe::new)
        .ok_or_else(|| format!("universe `{}` is not one of 1..63999", universe.trim()))?;
    let slot = number(slot)
        .and_then(|slot| Slot::new(u16::try_from(slot).ok()?))
        .ok_or_else(|| format!("slot `{}` is not one of 1..512", slot.trim()))?;
    let address = Address { universe, slot };
    match address.slots_lost(footprint) {
        0 => Ok(Some(address)),
        lost => Err(format!(
            "{footprint} slots from {slot} would end {lost} past slot {SLOTS}; the last place is {}",
            SLOTS as u16 + 1 - footprint
        )),
    }
}

/// The other fixtures that listen to slots of this one, and listen to others besides: a fixture at
/// the same address in the same mode does the same on purpose.
fn overlaps(state: &State, index: usize, footprint: u16) -> Vec<String> {
    let rig = &state.show().rig;
    let Some((this, address)) = rig.get(index).and_then(|this| Some((this, this.address?))) else {
        return Vec::new();
    };
    let reach = |start: Address, footprint: u16| {
        let first = u32::from(start.slot.number());
        first..first + u32::from(footprint)
    };
    let mine = reach(address, footprint);
    let others = rig.iter().enumerate().filter(|(other, fixture)| {
        let twin = fixture.address == this.address
            && (&fixture.profile, &fixture.mode) == (&this.profile, &this.mode);
        let meets =
            fixture.address.filter(|it| it.universe == address.universe).is_some_and(|it| {
                let theirs = reach(it, self::footprint(state, *other));
                theirs.start < mine.end && mine.start < theirs.end
            });
        *other != index && meets && !twin
    });
    others.map(|(_, fixture)| format!("{} {}", fixture.id, fixture.label)).collect()
}

fn number(
    ui: &mut Ui,
    changes: &mut Changes<'_>,
    name: &str,
    value: &mut f64,
    unit: &str,
    reach: f64,
) {
    let step = if unit == " m" { 0.02 } else { 0.5 };
    let drag = DragValue::new(value)
        .speed(step)
        .range(-reach..=reach)
        .max_decimals(2)
        .suffix(unit)
        .update_while_editing(false);
    let response =
        ui.add(drag).accessible_name(name).on_hover_text(format!("{name}: drag or type"));
    changes.note(&response);
}

fn place_row(ui: &mut Ui, changes: &mut Changes<'_>) {
    ui.label("Place").on_hover_text(
        "Where the beam leaves from: x to the audience's right, y upstage, z up, in metres",
    );
    ui.horizontal(|ui| {
        let mut at = changes.new.at;
        for (name, value) in [("x", &mut at.x), ("y", &mut at.y), ("z", &mut at.z)] {
            ui.weak(name);
            number(ui, changes, name, value, " m", FARTHEST_M);
        }
        changes.new.at = at;
    });
    ui.end_row();
}

/// The ways to hang, in words, each with the angles it takes.
const HANGS: [&str; 4] = ["hung", "standing", "on its side", "turned freely"];

fn hang_row(ui: &mut Ui, changes: &mut Changes<'_>) {
    ui.label("Hangs");
    ui.horizontal(|ui| {
        let kind = hang_kind(changes.new.hang);
        let [mut x_deg, mut y_deg, mut z_deg] = changes.new.hang.angles_deg();
        let mut chosen = kind;
        ComboBox::from_id_salt("hang")
            .selected_text(HANGS[kind])
            .width(96.0)
            .show_ui(ui, |ui| {
                for (i, words) in HANGS.iter().enumerate() {
                    ui.selectable_value(&mut chosen, i, *words);
                }
            })
            .response
            .accessible_name("Hangs");
        if chosen == 3 {
            number(ui, changes, "about x", &mut x_deg, "\u{b0}", 360.0);
            number(ui, changes, "about y", &mut y_deg, "\u{b0}", 360.0);
        } else {
            ui.weak("turned");
        }
        number(ui, changes, "about the vertical", &mut z_deg, "\u{b0}", 360.0);
        changes.new.hang = hang(chosen, [x_deg, y_deg, z_deg]);
    });
    ui.end_row();
}

fn hang_kind(hang: Hang) -> usize {
    match hang {
        Hang::Hung | Hang::HungTurned { .. } => 0,
        Hang::Standing | Hang::StandingTurned { .. } => 1,
        Hang::OnSide { .. } => 2,
        Hang::Turned { .. } => 3,
    }
}

fn hang(kind: usize, [x_deg, y_deg, turn_deg]: [f64; 3]) -> Hang {
    match (kind, turn_deg == 0.0) {
        (0, true) => Hang::Hung,
        (0, false) => Hang::HungTurned { turn_deg },
        (1, true) => Hang::Standing,
        (1, false) => Hang::StandingTurned { turn_deg },
        (2, _) => Hang::OnSide { turn_deg },
        _ => Hang::Turned { x_deg, y_deg, z_deg: turn_deg },
    }
}

fn aim_rows(ui: &mut Ui, changes: &mut Changes<'_>) {
    let mut aim = changes.new.aim;
    ui.label("Aim").on_hover_text("Done to what is asked, in this order: swap, invert, offset");
    ui.horizontal(|ui| {
        ui.checkbox(&mut aim.swap, "swap").on_hover_text("Pan and tilt change places");
        ui.checkbox(&mut aim.invert_pan, "invert pan").on_hover_text("Pan runs backwards");
        ui.checkbox(&mut aim.invert_tilt, "invert tilt").on_hover_text("Tilt runs backwards");
    });
    ui.end_row();
    ui.label("Offset");
    ui.horizontal(|ui| {
        ui.weak("pan");
        number(ui, changes, "pan offset", &mut aim.pan_offset_deg, "\u{b0}", 360.0);
        ui.weak("tilt");
        number(ui, changes, "tilt offset", &mut aim.tilt_offset_deg, "\u{b0}", 360.0);
    });
    ui.end_row();
    changes.new.aim = aim;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn addresses_are_read_or_refused_in_words() {
        let read = |text| parse_address(text, 16).map(|it| it.map(|it| it.to_string()));
        assert_eq!(read("1/17"), Ok(Some("1/17".to_owned())));
        assert_eq!(read(" 2 / 497 "), Ok(Some("2/497".to_owned())));
        assert_eq!(read("17"), Ok(Some("1/17".to_owned())));
        assert_eq!(read(""), Ok(None));
        for (text, why) in [
            ("1/0", "slot `0` is not one of 1..512"),
            ("1/513", "slot `513` is not one of 1..512"),
            ("0/1", "universe `0` is not one of 1..63999"),
            ("a/1", "universe `a` is not one of 1..63999"),
            ("1/501", "16 slots from 501 would end 4 past slot 512; the last place is 497"),
        ] {
            assert_eq!(read(text), Err(why.to_owned()));
        }
    }

    #[test]
    fn a_way_to_hang_keeps_its_angles() {
        for way in [
            Hang::Hung,
            Hang::HungTurned { turn_deg: 30.0 },
            Hang::Standing,
            Hang::StandingTurned { turn_deg: -5.0 },
            Hang::OnSide { turn_deg: 90.0 },
            Hang::Turned { x_deg: 1.0, y_deg: 2.0, z_deg: 3.0 },
        ] {
            assert_eq!(hang(hang_kind(way), way.angles_deg()), way);
        }
    }
}
