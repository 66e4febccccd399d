//! A channel from one end to the other on paper: a strip of small pictures, one a range, of a head that
//! rests with its light on.

use std::collections::BTreeMap;
use std::sync::Arc;

use glam::{DVec2, DVec3, Vec2};

use super::chart::{Chart, ChartRow};
use crate::check::change::slot_words;
use crate::check::light_on::lit_values;
use crate::decode::{CompiledChannel, CompiledMode, Plan, split, values_for, written};
use crate::finding::one_line;
use crate::profile::{Effect, Unit};
use crate::rig::{Address, Aim, Fixture, Hang, InHead};
use crate::stage::svg::{escaped, write_svg};
use crate::stage::{DrawOptions, Rect, Room, Scene, View, ViewKind, draw};
use crate::wire::{Frames, Slot, Universe};

/// How many pictures a strip has at most; ranges beyond them are told without one.
const MOST_PICTURES: usize = 256;

/// Width and height of a small picture, in points: a plan above, a front elevation below it.
pub(super) const SIZE: Vec2 = Vec2::new(180.0, 300.0);

/// Metres of the room across a small picture.
const ACROSS_M: f64 = 6.0;

/// How high the head hangs, in metres.
const HANGS_M: f64 = 4.5;

/// A head that looks straight down hides its own light in the plan and shows nothing of pan: unless tilt is
/// swept, it is tipped this far upstage, in degrees.
const TIPPED_DEG: f64 = 22.0;

/// A channel, range by range.
#[derive(Clone, Debug, PartialEq)]
pub struct Strip {
    /// Maker and model.
    pub title: String,
    /// The mode.
    pub mode: String,
    /// The channel.
    pub channel: String,
    /// Its slots counted from the fixture's first (which is 1), most significant first.
    pub slots: Vec<u16>,
    /// The ranges, in rising order.
    pub tiles: Vec<Tile>,
}

/// One range.
#[derive(Clone, Debug, PartialEq)]
pub struct Tile {
    /// The range, as the channel chart has it.
    pub row: ChartRow,
    /// The value that is shown: the one in the middle, at full resolution.
    pub value: u32,
    /// What the head does there, as an SVG document. Empty past the most pictures that a strip has.
    pub picture: String,
    /// How much light there is, for those who cannot see the picture.
    pub light: &'static str,
}

impl Tile {
    /// Physical values at both ends: `0.50 Hz to 18.00 Hz`. Empty where the range has none.
    pub fn physical_words(&self) -> String {
        match self.row.physical {
            Some((a, b, unit)) if a == b => unit.format(a),
            Some((a, b, unit)) => format!("{} to {}", unit.format(a), unit.format(b)),
            None => String::new(),
        }
    }
}

/// Works out the strip of a channel, which is a place in the mode. `None` where there is no such channel.
pub fn strip(mode: &Arc<CompiledMode>, channel: usize) -> Option<Strip> {
    let of = mode.channels.get(channel)?;
    let chart = Chart::new(mode);
    let charted =
        chart.channels.into_iter().find(|c| c.slots == of.offsets && c.name == of.name)?;
    let head = TestHead::new(mode, of);
    let shown: Vec<(ChartRow, u32, Scene)> = charted
        .rows
        .into_iter()
        .map(|row| {
            let value = row.from + (row.to - row.from) / 2;
            let scene = head.scene(channel, &row, value);
            (row, value, scene)
        })
        .collect();
    // One exposure for all of them, so that what is dimmer looks dimmer.
    let brightest = |scene: &Scene| (!scene.beams.is_empty()).then_some(scene.reference_lx);
    let reference_lx = shown.iter().filter_map(|(_, _, scene)| brightest(scene)).reduce(f64::max);
    let tiles = shown.into_iter().enumerate().map(|(i, (row, value, mut scene))| {
        scene.reference_lx = reference_lx.unwrap_or(scene.reference_lx);
        let light = if scene.beams.is_empty() { "dark" } else { "lit" };
        let title = format!("{} {}: {}", of.name, row.values_words(), row.function_words());
        let options = DrawOptions { title: &title, ..DrawOptions::default() };
        let picture = match i < MOST_PICTURES {
            true => write_svg(&draw(&scene, &views(), SIZE, &options)),
            false => String::new(),
        };
        Tile { row, value, picture, light }
    });
    Some(Strip {
        title: chart.title,
        mode: chart.mode,
        channel: of.name.clone(),
        slots: of.offsets.clone(),
        tiles: tiles.collect(),
    })
}

/// Plan above and front elevation below, of a room of this size.
pub(super) fn views() -> [View; 2] {
    let half = Vec2::new(SIZE.x, SIZE.y / 2.0);
    let points_per_m = f64::from(SIZE.x) / ACROSS_M;
    let upper = Rect::new(Vec2::ZERO, half);
    let lower = Rect::new(Vec2::new(0.0, half.y), SIZE);
    [
        View { kind: ViewKind::Plan, rect: upper, centre: DVec2::new(0.0, 3.0), points_per_m },
        View { kind: ViewKind::Front, rect: lower, centre: DVec2::new(0.0, 2.3), points_per_m },
    ]
}

/// A head of the mode that hangs in a small room, at rest with its light on.
struct TestHead<'a> {
    mode: &'a Arc<CompiledMode>,
    fixture: Fixture,
    room: Room,
    plan: Plan,
    /// Channels that do not rest, by name.
    values: BTreeMap<String, u32>,
}

impl<'a> TestHead<'a> {
    fn new(mode: &'a Arc<CompiledMode>, swept: &CompiledChannel) -> Self {
        let address = Slot::new(1).map(|slot| Address { universe: Universe::ONE, slot });
        let fixture = Fixture {
            id: 1,
            label: String::new(),
            profile: mode.profile.key().0,
            mode: mode.name.clone(),
            address,
            at: DVec3::new(0.0, 3.0, HANGS_M),
            hang: Hang::Hung,
            aim: Aim::default(),
            in_head: InHead::default(),
        };
        let mut values = lit_values(mode);
        let does = |channel: &CompiledChannel, wanted: &dyn Fn(&Effect) -> bool| {
            channel.ranges.iter().any(|range| range.effects().any(wanted))
        };
        let tilts = |e: &Effect| matches!(e, Effect::Tilt { .. } | Effect::TiltSpin { .. });
        if !does(swept, &tilts) {
            let tilt = mode.channels.iter().find(|channel| does(channel, &tilts));
            let tipped = tilt.and_then(|tilt| {
                let value = values_for(tilt, TIPPED_DEG, Unit::Degree).first()?.value;
                Some((tilt.name.clone(), value))
            });
            values.extend(tipped);
        }
        let room = Room {
            width_m: ACROSS_M,
            depth_m: ACROSS_M,
            front_m: 0.0,
            height_m: HANGS_M + 0.3,
            ..Room::default()
        };
        let plan = Plan::from_modes([(Some(mode.clone()), address)]);
        Self { mode, fixture, room, plan, values }
    }

    /// What there is to see with the channel at a value of a row, and what the row depends on so that it
    /// acts.
    fn scene(&self, channel: usize, row: &ChartRow, value: u32) -> Scene {
        let of = &self.mode.channels[channel];
        let mut bytes: BTreeMap<u16, u8> = BTreeMap::new();
        for other in &self.mode.channels {
            let value = self.values.get(&other.name).copied().unwrap_or(other.default);
            bytes.extend(other.offsets.iter().copied().zip(split(value, other.offsets.len())));
        }
        let range = of.ranges.iter().find(|range| {
            (range.first, range.last) == (row.from, row.to)
                && row.function.as_ref().is_none_or(|label| *label == range.label)
        });
        for when in range.iter().flat_map(|range| &range.when) {
            bytes.insert(when.offset, when.from);
        }
        bytes.extend(of.offsets.iter().copied().zip(split(value, of.offsets.len())));
        let mut frames = Frames::default();
        for (offset, byte) in bytes {
            if let Some(slot) = self.fixture.address.and_then(|at| at.slot_at(offset)) {
                frames.set(Universe::ONE, slot, byte);
            }
        }
        let mut decoded = self.plan.start();
        self.plan.decode(&frames, &mut decoded);
        let rig = vec![self.fixture.clone()];
        Scene::new(&self.room, &rig, &self.plan, &frames, &decoded)
    }
}

/// The strip as plain text: one line a range.
pub fn text(strip: &Strip) -> String {
    let mut rows: Vec<[String; 5]> =
        vec![["values", "shown", "light", "function", ""].map(str::to_owned)];
    rows.extend(strip.tiles.iter().map(|tile| {
        let more = [tile.physical_words(), tile.row.notes_words()];
        let more: Vec<String> = more.into_iter().filter(|words| !words.is_empty()).collect();
        [
            tile.row.values_words(),
            written(tile.value, strip.slots.len()),
            tile.light.to_owned(),
            one_line(tile.row.function_words()).into_owned(),
            one_line(&more.join("; ")).into_owned(),
        ]
    }));
    let width =
        |column: usize| rows.iter().map(|row| row[column].chars().count()).max().unwrap_or(0);
    let widths: [usize; 5] = std::array::from_fn(width);
    let mut out = format!("{}\n\n", one_line(&heading(strip)));
    for row in &rows {
        let mut line = String::from("  ");
        for (cell, width) in row.iter().zip(widths) {
            line.push_str(&format!("{cell:<width$}  "));
        }
        out.push_str(line.trim_end());
        out.push('\n');
    }
    out
}

fn heading(strip: &Strip) -> String {
    let slots = slot_words(&strip.slots);
    format!("{}, mode {}: {}, {slots}", strip.title, strip.mode, strip.channel)
}

/// How the page looks: greys on white around dark pictures, since only light has colour.
const STYLE: &str = "\
:root { color-scheme: light; }
body { font: 10pt/1.35 system-ui, sans-serif; color: #1a1a1a; background: #fff; margin: 2em auto; max-width: 64em; padding: 0 1em; }
h1 { font-size: 15pt; margin: 0 0 .2em; }
p { margin: .2em 0 1em; color: #444; }
ol { list-style: none; display: flex; flex-wrap: wrap; gap: 14px; margin: 0; padding: 0; }
li { width: 180px; break-inside: avoid; }
img { display: block; width: 180px; height: 300px; print-color-adjust: exact; -webkit-print-color-adjust: exact; }
b { font-variant-numeric: tabular-nums; }
small { display: block; color: #555; }
footer { margin-top: 1.2em; font-size: 8.5pt; color: #555; }
@page { size: A4; margin: 15mm; }
@media print { body { margin: 0; max-width: none; padding: 0; font-size: 9pt; } }
";

/// The strip as one page of HTML that needs nothing else.
pub fn html(strip: &Strip) -> String {
    let title = escaped(&heading(strip));
    let mut page = format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<title>{title}</title>\n\
         <style>\n{STYLE}</style>\n</head>\n<body>\n<h1>{title}</h1>\n<p>From 0 to the greatest value, one \
         picture a range, at the value in its middle. The head hangs at {HANGS_M} m and rests with its \
         light on, tipped by {TIPPED_DEG} deg if it can be; everything has arrived, and flashes show as \
         their mean.</p>\n<ol>\n"
    );
    for tile in &strip.tiles {
        let name =
            format!("{}: {}, {}", tile.row.values_words(), tile.row.function_words(), tile.light);
        page.push_str("<li>");
        if !tile.picture.is_empty() {
            let picture = in_address(&tile.picture);
            let name = escaped(&name);
            page.push_str(&format!("<img alt=\"{name}\" src=\"data:image/svg+xml,{picture}\">"));
        }
        let function = escaped(tile.row.function_words());
        page.push_str(&format!("\n<b>{}</b> {function}\n", tile.row.values_words()));
        let shown = format!("shown at {}", written(tile.value, strip.slots.len()));
        for words in [tile.physical_words(), tile.row.notes_words(), shown] {
            if !words.is_empty() {
                page.push_str(&format!("<small>{}</small>\n", escaped(&words)));
            }
        }
        page.push_str("</li>\n");
    }
    page.push_str(
        "</ol>\n<footer>Worked out from a profile: where it and the fixture's manual differ, the manual \
         is right.</footer>\n</body>\n</html>\n",
    );
    page
}

/// A document inside an address, as RFC 3986 has it: each picture is one of its own, so that the names
/// in it stay apart from those in the others. The two kinds of quotes change places, which means the same and
/// is shorter.
pub(super) fn in_address(document: &str) -> String {
    let mut out = String::with_capacity(document.len() * 5 / 4);
    for byte in document.bytes() {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' => out.push(char::from(byte)),
            // All of these may stand in a quoted address as they are.
            b' ' | b'=' | b':' | b'/' | b'.' | b',' | b'-' | b'_' | b';' | b'(' | b')' | b'+' => {
                out.push(char::from(byte));
            }
            b'"' => out.push('\''),
            b'\'' => out.push_str("%22"),
            _ => out.push_str(&format!("%{byte:02X}")),
        }
    }
    out
}
