//! A cue list on paper: times, what each cue changes in plain words, and a small picture of the stage
//! for each, once it has faded. Built once, and written as text, CSV or a page.

mod changes;
mod csv;
mod html;
mod text;

use std::sync::Arc;

use glam::{DVec2, Vec2};

use self::changes::Changed;
pub use csv::csv;
pub use html::html;
pub use text::text;

use crate::check::flashes::MOST_ON_SCREEN;
use crate::cue::{Compiled, Cue, CueList, Loop, Movement, MovementKind, Tracks, words};
use crate::decode::Plan;
use crate::finding::{Finding, rounded};
use crate::rig::FixtureId;
use crate::show::Show;
use crate::stage::svg::write_svg_with_pixels;
use crate::stage::{DrawOptions, MarkState, Rect, Room, Scene, View, ViewKind, draw};
use crate::wire::Frames;

/// Width of a picture in the points of its drawing.
const PICTURE_WIDTH: f32 = 420.0;

/// The greatest height of a picture, in points.
const PICTURE_HEIGHT: f64 = 840.0;

/// Pixels of light in a point of the drawing: a little more than the page shows; lines and names are vectors.
const LIGHT_SCALE: f32 = 0.5;

/// What stays free beside the room and above and below it, in points: names and scale bars.
const PICTURE_MARGINS: [f64; 2] = [14.0, 24.0];

/// A list, cue by cue.
#[derive(Clone, Debug, PartialEq)]
pub struct CueSheet {
    /// What the show is called.
    pub show: String,
    /// What the list is called.
    pub list: String,
    /// What its makers say about it.
    pub notes: String,
    /// What holds for the whole list: spans that are run again, heads that are moved ahead.
    pub rules: Vec<String>,
    /// The cues, in order.
    pub rows: Vec<CueRow>,
    /// What could not be resolved.
    pub unresolved: Vec<Finding>,
}

/// One cue.
#[derive(Clone, Debug, PartialEq)]
pub struct CueRow {
    /// Its number.
    pub number: String,
    /// What it is called.
    pub name: String,
    /// What there is to see, or to heed.
    pub notes: String,
    /// How long its parts take, in short.
    pub times: String,
    /// From its start until all of it has faded, in seconds.
    pub takes_s: f64,
    /// How the next cue comes.
    pub next: String,
    /// What it changes, and what else happens in it.
    pub lines: Vec<SheetLine>,
    /// The heads that flash once it has faded, and levels that come and go as fast.
    pub flashes: Vec<SheetLine>,
    /// The fixtures that give light once it has faded.
    pub lit: Vec<FixtureId>,
    /// The stage once it has faded, as an SVG document. Empty where no pictures were asked for.
    pub picture: String,
}

/// Something about some fixtures.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetLine {
    /// The fixtures in words; empty where it is about the whole cue.
    pub fixtures: String,
    /// What.
    pub words: String,
}

impl SheetLine {
    fn new(ids: &[FixtureId], words: impl Into<String>) -> Self {
        Self { fixtures: words::fixtures(ids), words: words.into() }
    }

    /// Both parts: `101, 102: at singer, 60 %`.
    pub fn whole(&self) -> String {
        match self.fixtures.as_str() {
            "" => self.words.clone(),
            fixtures => format!("{fixtures}: {}", self.words),
        }
    }
}

impl CueRow {
    /// Its number and name: `3 Singer`.
    pub fn title(&self) -> String {
        format!("{} {}", self.number, self.name).trim_end().to_owned()
    }
}

/// Works out the sheet of a list of a show, counted from 0. `None` where there is no such list.
pub fn cue_sheet(show: &Show, list: usize, pictures: bool) -> Option<CueSheet> {
    let of = show.cues.lists.get(list)?;
    let plan = Plan::new(&show.rig, &show.profiles);
    let tracks = Arc::new(Tracks::new(&plan));
    let compiled = Compiled::new(&show.cues, list, &show.rig, &plan, &tracks);
    let mut stands = Stands::new(show, &plan, &tracks);
    let (mut rows, mut scenes) = (Vec::new(), Vec::new());
    for (place, cue) in of.cues.iter().enumerate() {
        let (row, scene) = stands.cue(&compiled, of, place, cue);
        rows.push(row);
        scenes.push(scene);
    }
    if pictures {
        draw_all(&show.room, &mut rows, scenes);
    }
    let mut rules: Vec<String> = of.loops.iter().map(words::repeats).collect();
    rules.extend(of.dark_moves.map(|dark| {
        format!("heads that are dark are moved ahead in {}", words::seconds(dark.fade_s))
    }));
    Some(CueSheet {
        show: show.name.clone(),
        list: of.name.clone(),
        notes: of.notes.clone(),
        rules,
        rows,
        unresolved: compiled.unresolved.into_iter().map(|un| un.finding).collect(),
    })
}

/// Where all channels stand, from cue to cue.
struct Stands<'a> {
    show: &'a Show,
    plan: &'a Plan,
    tracks: &'a Tracks,
    frames: Frames,
    changed: Changed<'a>,
}

impl<'a> Stands<'a> {
    fn new(show: &'a Show, plan: &'a Plan, tracks: &'a Tracks) -> Self {
        let changed = Changed::new(show, plan, tracks);
        Self { show, plan, tracks, frames: tracks.at_rest(), changed }
    }

    fn cue(&mut self, list: &Compiled, of: &CueList, place: usize, cue: &Cue) -> (CueRow, Scene) {
        let compiled = &list.cues[place];
        for moved in &compiled.moves {
            self.tracks.put(moved.track, moved.to, &mut self.frames);
        }
        let mut decoded = self.plan.start();
        self.plan.decode(&self.frames, &mut decoded);
        let mut lines = self.changed.lines(cue, &compiled.moves, &self.frames, &decoded);
        // Only now, so that what the cue itself does is told first.
        for ahead in &compiled.ahead {
            self.tracks.put(ahead.track, ahead.to, &mut self.frames);
        }
        self.plan.decode(&self.frames, &mut decoded);
        lines.extend(self.ahead(list, place));
        lines.extend(unresolved(list, place));
        let ends: Vec<&Loop> = of.loops.iter().filter(|span| span.to == cue.number).collect();
        lines.extend(ends.iter().map(|span| {
            let passes = span.passes.map_or("until somebody jumps out".to_owned(), |passes| {
                format!("{passes} times in all")
            });
            SheetLine::new(&[], format!("then back to cue {}, {passes}", span.from))
        }));
        let last = place + 1 == of.cues.len() && ends.is_empty();
        let show = self.show;
        let scene = Scene::new(&show.room, &show.rig, self.plan, &self.frames, &decoded);
        let lit = scene.marks.iter().filter(|mark| mark.state == MarkState::Lit);
        let row = CueRow {
            number: cue.number.to_string(),
            name: cue.name.clone(),
            notes: cue.notes.clone(),
            times: words::times(cue),
            takes_s: compiled.takes_s,
            next: if last { String::new() } else { words::next(cue.next) },
            lines,
            flashes: flashes(&scene).into_iter().chain(fast_levels(cue)).collect(),
            lit: lit.map(|mark| mark.id).collect(),
            picture: String::new(),
        };
        (row, scene)
    }

    /// Which heads are moved ahead in the dark, and for which cue.
    fn ahead(&self, list: &Compiled, place: usize) -> Vec<SheetLine> {
        let mut by_cue: Vec<(usize, Vec<FixtureId>)> = Vec::new();
        for ahead in &list.cues[place].ahead {
            let fixture = self.tracks.get(ahead.track).map(|track| track.fixture);
            let Some(fixture) = fixture.and_then(|fixture| self.show.rig.get(fixture)) else {
                continue;
            };
            match by_cue.iter_mut().find(|(cue, _)| *cue == ahead.for_cue) {
                Some((_, ids)) => ids.push(fixture.id),
                None => by_cue.push((ahead.for_cue, vec![fixture.id])),
            }
        }
        let line = |(cue, ids): &(usize, Vec<FixtureId>)| {
            let number = list.cues.get(*cue)?.number;
            Some(SheetLine::new(ids, format!("moved ahead in the dark, for cue {number}")))
        };
        by_cue.iter().filter_map(line).collect()
    }
}

/// What of a cue could not be resolved.
fn unresolved(list: &Compiled, place: usize) -> impl Iterator<Item = SheetLine> {
    let of_cue = list.unresolved.iter().filter(move |unresolved| unresolved.cue == place);
    of_cue.map(|unresolved| {
        let channel = unresolved.channel.as_ref().map_or(String::new(), |name| format!("{name}: "));
        let words = format!("cannot be done: {channel}{}", unresolved.finding.what);
        SheetLine::new(&[unresolved.fixture], words)
    })
}

/// Heads whose light flashes, by how fast.
fn flashes(scene: &Scene) -> Vec<SheetLine> {
    let mut by_rate: Vec<(String, Vec<FixtureId>)> = Vec::new();
    for mark in scene.marks.iter().filter(|mark| mark.state == MarkState::Lit) {
        let Some(flash) = mark.flash else { continue };
        let words = format!("flashes {} times a second", rounded(flash.hz, 2));
        match by_rate.iter_mut().find(|(known, _)| *known == words) {
            Some((_, ids)) => ids.push(mark.id),
            None => by_rate.push((words, vec![mark.id])),
        }
    }
    by_rate.into_iter().map(|(words, ids)| SheetLine::new(&ids, words)).collect()
}

/// Movements of levels that may come to more flashes than usual guidance gives.
fn fast_levels(cue: &Cue) -> impl Iterator<Item = SheetLine> {
    let fast = |of: &&Movement| of.kind == MovementKind::Level && of.hz.abs() > MOST_ON_SCREEN;
    cue.movements.iter().filter(fast).map(|of| {
        let words = format!("its level comes and goes {} times a second", rounded(of.hz.abs(), 2));
        SheetLine::new(&of.fixtures, words)
    })
}

/// Draws every scene with one exposure, so that what is dimmer looks dimmer.
fn draw_all(room: &Room, rows: &mut [CueRow], mut scenes: Vec<Scene>) {
    share_exposure(&mut scenes);
    for (row, scene) in rows.iter_mut().zip(&scenes) {
        row.picture = picture(room, scene, &format!("cue {}", row.title()));
    }
}

/// Gives scenes the exposure of the brightest.
pub(super) fn share_exposure(scenes: &mut [Scene]) {
    let lit = scenes.iter().filter(|scene| !scene.beams.is_empty());
    if let Some(reference_lx) = lit.map(|scene| scene.reference_lx).reduce(f64::max) {
        scenes.iter_mut().for_each(|scene| scene.reference_lx = reference_lx);
    }
}

/// A small plan with the front elevation below it, as an SVG document.
pub(super) fn picture(room: &Room, scene: &Scene, title: &str) -> String {
    let kinds = [ViewKind::Plan, ViewKind::Front];
    let bounds = kinds.map(|kind| kind.room_bounds(room));
    let metres = bounds.map(|(low, high)| (high - low).max(DVec2::splat(0.1)));
    let [margin_x, margin_y] = PICTURE_MARGINS;
    let free = f64::from(PICTURE_WIDTH) - 2.0 * margin_x;
    let tall = PICTURE_HEIGHT - 4.0 * margin_y;
    let points_per_m =
        (free / metres[0].x.max(metres[1].x)).min(tall / (metres[0].y + metres[1].y));
    let heights = metres.map(|of| ((of.y * points_per_m + 2.0 * margin_y) as f32).round());
    let mut top = 0.0;
    let views: Vec<View> = (0..kinds.len())
        .map(|i| {
            let rect = Rect::new(Vec2::new(0.0, top), Vec2::new(PICTURE_WIDTH, top + heights[i]));
            top += heights[i];
            let centre = (bounds[i].0 + bounds[i].1) / 2.0;
            View { kind: kinds[i], rect, centre, points_per_m }
        })
        .collect();
    let size = Vec2::new(PICTURE_WIDTH, top);
    let picture = draw(scene, &views, size, &DrawOptions { title, ..DrawOptions::default() });
    write_svg_with_pixels(&picture, LIGHT_SCALE)
}
