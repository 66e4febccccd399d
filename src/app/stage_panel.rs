//! The stage: plan above and an elevation below it, with what the pointer does there.
//!
//! The drawing is dark in the light window too. It shows light, and light adds: on white paper a beam
//! could only be drawn as ink, which takes light away.

use egui::{
    Color32, CursorIcon, EventFilter, Key, Pos2, Response, Role, Sense, Stroke, StrokeKind, Ui,
    WidgetInfo, vec2,
};
use glam::{DVec3, Vec2};
use serde::{Deserialize, Serialize};

use super::canvas::Canvas;
use super::command::{Command, How};
use super::keys::Action;
use super::theme::Palette;
use crate::stage::draw::DEFAULT_HAZE_PER_M;
use crate::stage::{
    DrawOptions, Picture, Rect, Room, Scene, Sheet, View, ViewKind, draw, pick, pick_box,
};

/// How the stage is shown; kept from run to run.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct StageSettings {
    /// The side view stands below the plan instead of the front elevation.
    pub side: bool,
    /// Stops of exposure on top of the automatic one.
    pub exposure_ev: f64,
    /// Share of light that haze scatters, per metre.
    pub haze_per_m: f64,
}

impl Default for StageSettings {
    fn default() -> Self {
        Self { side: false, exposure_ev: 0.0, haze_per_m: DEFAULT_HAZE_PER_M }
    }
}

/// The stops that the exposure can be moved by, either way.
pub const EXPOSURE_EV: f64 = 6.0;

/// The thickest haze that can be set, per metre.
pub const HAZE_PER_M: f64 = 0.25;

/// One step of the exposure keys: a third of a stop, as exposure is counted in photography.
const EXPOSURE_STEP_EV: f64 = 1.0 / 3.0;

/// One step of the haze keys.
const HAZE_STEP_PER_M: f64 = 0.01;

/// One press of a zoom key.
const ZOOM_STEP: f64 = 1.25;

/// One press of an arrow key, in points.
const PAN_STEP: f32 = 40.0;

impl StageSettings {
    /// What stands below the plan.
    pub fn lower(&self) -> ViewKind {
        if self.side { ViewKind::Side } else { ViewKind::Front }
    }

    fn act(&mut self, action: Action) {
        match action {
            Action::SwapSide => self.side = !self.side,
            Action::Brighter => self.exposure_ev += EXPOSURE_STEP_EV,
            Action::Darker => self.exposure_ev -= EXPOSURE_STEP_EV,
            Action::AutoExposure => self.exposure_ev = 0.0,
            Action::MoreHaze => self.haze_per_m += HAZE_STEP_PER_M,
            Action::LessHaze => self.haze_per_m -= HAZE_STEP_PER_M,
            _ => {}
        }
        self.exposure_ev = self.exposure_ev.clamp(-EXPOSURE_EV, EXPOSURE_EV);
        self.haze_per_m = self.haze_per_m.clamp(0.0, HAZE_PER_M);
    }
}

/// What the pointer is over.
#[derive(Clone, Debug, PartialEq)]
pub struct Under {
    /// The view.
    pub kind: ViewKind,
    /// The point of the floor or wall that the view looks at.
    pub point: DVec3,
    /// Each fixture that lights it, with its lux, brightest first.
    pub shares: Vec<(usize, f64)>,
}

impl Under {
    /// All light there, in lux.
    pub fn total_lx(&self) -> f64 {
        self.shares.iter().map(|(_, lux)| lux).sum()
    }
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Drag {
    Pan,
    Box(Pos2),
}

/// What the last picture was drawn from.
#[derive(Clone, Debug, PartialEq)]
struct DrawnFrom {
    scene_number: u64,
    sheet: Sheet,
    size: Vec2,
    settings: StageSettings,
    selected: Vec<usize>,
    hovered: Option<usize>,
}

/// Where the stage looks, and what was drawn last.
#[derive(Default)]
pub struct StageView {
    /// The two views; `None` before the first pass.
    pub sheet: Option<Sheet>,
    /// What the pointer is over.
    pub under: Option<Under>,
    /// The fixture whose mark or beam the pointer is over.
    pub hovered: Option<usize>,
    /// How many pictures were drawn: none while nothing changes.
    pub pictures: u64,
    size: Vec2,
    /// The user moved the views since they were fitted, so that a resize keeps their scale.
    moved: bool,
    drag: Option<Drag>,
    drawn: Option<(DrawnFrom, Picture)>,
    canvas: Canvas,
}

/// What the stage is drawn from.
pub struct StageInput<'a> {
    /// The light.
    pub scene: &'a Scene,
    /// Another one for every new scene.
    pub scene_number: u64,
    /// The selected fixtures.
    pub selection: &'a [usize],
    /// How it is shown.
    pub settings: StageSettings,
    /// The show's name.
    pub title: &'a str,
    /// What can be said of the light of the fixture that the pointer was over in the last pass.
    pub told: Option<&'a str>,
}

impl StageView {
    /// Does what a key or a menu asked for.
    pub fn act(&mut self, action: Action, settings: &mut StageSettings, room: &Room) {
        let whole = Rect::at(Vec2::ZERO, self.size);
        settings.act(action);
        match action {
            Action::Fit => self.fit(room, whole, settings.lower()),
            Action::SwapSide => {
                self.fit(room, whole, settings.lower());
            }
            Action::ZoomIn | Action::ZoomOut => {
                let factor = if action == Action::ZoomIn { ZOOM_STEP } else { 1.0 / ZOOM_STEP };
                if let Some(sheet) = &mut self.sheet {
                    sheet.zoom_about(sheet.upper.rect.centre(), factor);
                    self.moved = true;
                }
            }
            _ => {}
        }
    }

    fn fit(&mut self, room: &Room, rect: Rect, lower: ViewKind) {
        self.sheet = Some(Sheet::fit(room, rect, lower));
        self.moved = false;
    }

    /// The views in a rectangle of this size.
    fn lay_out(&mut self, room: &Room, size: Vec2, lower: ViewKind) -> Sheet {
        let whole = Rect::at(Vec2::ZERO, size);
        match &mut self.sheet {
            Some(sheet) if sheet.lower.kind == lower && (self.size == size || self.moved) => {
                if self.size != size {
                    sheet.resize(whole);
                }
            }
            _ => self.fit(room, whole, lower),
        }
        self.size = size;
        self.sheet.unwrap_or_else(|| Sheet::fit(room, whole, lower))
    }
}

/// Draws the stage in what room there is, and returns what the pointer asked for.
pub fn stage_panel(ui: &mut Ui, input: &StageInput<'_>, view: &mut StageView) -> Vec<Command> {
    let size = ui.available_size().floor().max(vec2(40.0, 40.0));
    let (rect, response) = ui.allocate_exact_size(size, Sense::click_and_drag());
    let lit = input.scene.marks.iter().filter(|mark| mark.light.1 > 0.0).count();
    let name = format!("Stage: {lit} of {} fixtures lit", input.scene.marks.len());
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, &name));
    let room = &input.scene.room;
    view.lay_out(room, Vec2::new(rect.width(), rect.height()), input.settings.lower());
    let origin = rect.min;
    let mut commands = Vec::new();
    navigate(ui, &response, origin, view);
    point_at(ui, &response, origin, input, view);
    choose(ui, &response, origin, input, view, &mut commands);
    paint(ui, origin, input, view);
    overlay(ui, &response, origin, view);
    tell(response, input, view);
    commands
}

/// Says beside the pointer why the fixture under it is dark, or what its light is.
fn tell(response: Response, input: &StageInput<'_>, view: &StageView) {
    let under = view.hovered.filter(|_| view.drag.is_none());
    let mark = under.and_then(|fixture| input.scene.marks.get(fixture));
    if let (Some(mark), Some(told)) = (mark, input.told) {
        let words = format!("{}  {}\n{told}", mark.id, mark.label);
        response.on_hover_text_at_pointer(words);
    }
}

fn inside(origin: Pos2, at: Pos2) -> Vec2 {
    Vec2::new(at.x - origin.x, at.y - origin.y)
}

/// Wheel, pinch, drag and arrow keys move the views.
fn navigate(ui: &Ui, response: &Response, origin: Pos2, view: &mut StageView) {
    let Some(sheet) = &mut view.sheet else { return };
    if let Some(at) = response.hover_pos() {
        let (scroll, pinch) = ui.input(|input| (input.smooth_scroll_delta().y, input.zoom_delta()));
        let factor = f64::from(scroll / 240.0).exp2() * f64::from(pinch);
        if factor != 1.0 {
            sheet.zoom_about(inside(origin, at), factor);
            view.moved = true;
        }
    }
    if response.drag_started() {
        let start = ui.input(|input| input.pointer.press_origin());
        let boxed = ui.input(|input| input.modifiers.shift && input.pointer.primary_down());
        view.drag = match start {
            Some(start) if boxed => Some(Drag::Box(start)),
            _ => Some(Drag::Pan),
        };
    }
    if view.drag == Some(Drag::Pan) && response.dragged() {
        let delta = response.drag_delta();
        let at = response.interact_pointer_pos().unwrap_or(origin)
            - response.total_drag_delta().unwrap_or_default();
        sheet.pan(inside(origin, at), Vec2::new(delta.x, delta.y));
        view.moved |= delta != egui::Vec2::ZERO;
    }
    if response.has_focus() {
        let filter = EventFilter {
            horizontal_arrows: true,
            vertical_arrows: true,
            ..EventFilter::default()
        };
        ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, filter));
        let delta = ui.input(|input| {
            let pressed = |key| f32::from(u8::from(input.key_pressed(key)));
            Vec2::new(
                pressed(Key::ArrowLeft) - pressed(Key::ArrowRight),
                pressed(Key::ArrowUp) - pressed(Key::ArrowDown),
            )
        });
        if delta != Vec2::ZERO {
            sheet.pan(sheet.upper.rect.centre(), delta * PAN_STEP);
            view.moved = true;
        }
    }
}

/// Finds what the pointer is over.
fn point_at(
    ui: &Ui,
    response: &Response,
    origin: Pos2,
    input: &StageInput<'_>,
    view: &mut StageView,
) {
    let at = response.hover_pos().filter(|_| !response.dragged()).map(|at| inside(origin, at));
    let seen = at.zip(view.sheet).and_then(|(at, sheet)| Some((at, *sheet.view_at(at)?)));
    let hovered = seen.and_then(|(at, over)| pick(input.scene, &over, at));
    let under = seen.and_then(|(at, over)| light_at(input.scene, &over, at));
    if (&hovered, &under) != (&view.hovered, &view.under) {
        (view.hovered, view.under) = (hovered, under);
        // The status line below was drawn before this was known.
        ui.ctx().request_repaint();
    }
    if view.hovered.is_some() {
        ui.ctx().set_cursor_icon(CursorIcon::PointingHand);
    } else if response.dragged() && view.drag == Some(Drag::Pan) {
        ui.ctx().set_cursor_icon(CursorIcon::Grabbing);
    }
}

fn light_at(scene: &Scene, view: &View, at: Vec2) -> Option<Under> {
    let flat = view.to_plane(at);
    let (low, high) = view.kind.room_bounds(&scene.room);
    let in_room = flat.cmpge(low).all() && flat.cmple(high).all();
    let (point, normal) = view.kind.surface(&scene.room, flat);
    in_room.then(|| Under { kind: view.kind, point, shares: scene.illuminance_at(point, normal) })
}

/// Clicks and boxes select.
fn choose(
    ui: &Ui,
    response: &Response,
    origin: Pos2,
    input: &StageInput<'_>,
    view: &mut StageView,
    commands: &mut Vec<Command>,
) {
    let Some(sheet) = view.sheet else { return };
    if response.clicked()
        && let Some(at) = response.interact_pointer_pos()
    {
        response.request_focus();
        let at = inside(origin, at);
        let hit = sheet.view_at(at).and_then(|over| pick(input.scene, over, at));
        let shift = ui.input(|input| input.modifiers.shift || input.modifiers.command);
        match hit {
            Some(fixture) => {
                let how = if shift { How::Toggle } else { How::Replace };
                commands.push(Command::Select { fixtures: vec![fixture], how });
            }
            None if !shift => {
                commands.push(Command::Select { fixtures: Vec::new(), how: How::Replace });
            }
            None => {}
        }
    }
    if response.drag_stopped() {
        let ended = ui.input(|input| input.pointer.latest_pos());
        if let (Some(Drag::Box(start)), Some(end)) = (view.drag.take(), ended) {
            let start = inside(origin, start);
            let end = inside(origin, end);
            let drawn = Rect::new(start.min(end), start.max(end));
            if let Some(over) = sheet.view_at(start) {
                let fixtures = pick_box(input.scene, over, drawn);
                commands.push(Command::Select { fixtures, how: How::Add });
            }
        }
    }
}

/// Paints the picture, drawing it anew only when something in it changed.
fn paint(ui: &Ui, origin: Pos2, input: &StageInput<'_>, view: &mut StageView) {
    let Some(sheet) = view.sheet else { return };
    let from = DrawnFrom {
        scene_number: input.scene_number,
        sheet,
        size: view.size,
        settings: input.settings,
        selected: input.selection.to_vec(),
        hovered: view.hovered,
    };
    if view.drawn.as_ref().is_none_or(|(drawn, _)| *drawn != from) {
        let options = DrawOptions {
            exposure_ev: input.settings.exposure_ev,
            haze_per_m: input.settings.haze_per_m,
            selected: input.selection,
            hovered: view.hovered,
            title: input.title,
        };
        let picture = draw(input.scene, &sheet.views(), view.size, &options);
        view.pictures += 1;
        view.drawn = Some((from, picture));
    }
    if let Some((_, picture)) = &view.drawn {
        view.canvas.paint(ui.painter(), origin, picture);
    }
}

/// The box being drawn, and the rim that shows the keyboard's focus.
fn overlay(ui: &Ui, response: &Response, origin: Pos2, view: &StageView) {
    let accent = Palette::DARK.accent;
    if let (Some(Drag::Box(start)), Some(end)) = (view.drag, response.interact_pointer_pos())
        && let Some(over) = view.sheet.as_ref().and_then(|s| s.view_at(inside(origin, start)))
    {
        let clip = egui::Rect::from_min_max(
            origin + vec2(over.rect.min.x, over.rect.min.y),
            origin + vec2(over.rect.max.x, over.rect.max.y),
        );
        let painter = ui.painter().with_clip_rect(clip);
        let fill = Color32::from_rgba_unmultiplied(accent.r(), accent.g(), accent.b(), 24);
        let drawn = egui::Rect::from_two_pos(start, end);
        painter.rect(drawn, 0.0, fill, Stroke::new(1.0, accent), StrokeKind::Inside);
    }
    if response.has_focus() {
        let rim = Stroke::new(1.0, accent);
        ui.painter().rect_stroke(response.rect, 0.0, rim, StrokeKind::Inside);
    }
}
