//! The course of a few heads: what was asked of them and what they did, instant by instant.

use std::collections::VecDeque;

use serde::{Deserialize, Serialize};

use crate::decode::{Asked, AxisAsk, Plan, Reading, ShutterAsk, WheelPlace};
use crate::motion::{HeadMotion, Pose, RigMotion, assumed, now};
use crate::profile::quantity::Unit;
use crate::rig::{FixtureId, Rig};

/// The most heads that are followed at once.
pub const MOST_HEADS: usize = 8;

/// The most instants that are kept; the oldest go first.
const MOST_ROWS: usize = 20_000;

/// A channel of a head that can be plotted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Quantity {
    /// Pan, in degrees.
    Pan,
    /// Tilt, in degrees.
    Tilt,
    /// What the dimmer lets through, in percent.
    Dimmer,
    /// What the shutter lets through, in percent, flash by flash.
    Shutter,
    /// The place of a wheel; wheels are counted from 0 in the order of their channels.
    Wheel(usize),
    /// Zoom, in degrees.
    Zoom,
    /// Any channel, in the terms that it is asked in; counted from 0 in the order of the names of those
    /// that are followed.
    Channel(usize),
}

impl Quantity {
    /// The unit of its values; that of a channel is in its column.
    fn unit(self) -> Unit {
        match self {
            Self::Pan | Self::Tilt | Self::Zoom => Unit::Degree,
            Self::Dimmer | Self::Shutter => Unit::Percent,
            Self::Wheel(_) | Self::Channel(_) => Unit::Slot,
        }
    }
}

/// One curve of one head.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// The head, as a place in the rig.
    pub fixture: usize,
    /// Its number.
    pub id: FixtureId,
    /// What is followed.
    pub quantity: Quantity,
    /// What that is called.
    pub name: String,
    /// The unit of its values; `None`: they are values of the channel.
    pub unit: Option<Unit>,
    /// The wheel or the channel, as the compiled mode counts them; 0 for all else.
    place: usize,
}

impl Column {
    /// The unit of its values in words.
    pub fn unit_word(&self) -> &'static str {
        self.unit.map_or("value", Unit::symbol)
    }
}

/// What was asked and what was done, of every column, at one instant.
struct Row {
    t_s: f64,
    values: Box<[(f32, f32)]>,
}

/// The course of a few heads.
#[derive(Default)]
pub struct Trace {
    fixtures: Vec<usize>,
    more: Vec<String>,
    columns: Vec<Column>,
    rows: VecDeque<Row>,
}

impl std::fmt::Debug for Trace {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Trace of {} columns, {} rows", self.columns.len(), self.rows.len())
    }
}

impl Trace {
    /// Follows the first few of these heads from now on, and these channels of theirs besides the usual
    /// ones. If they are others than before, or other channels, what was recorded goes. Returns whether
    /// they are.
    pub fn follow(&mut self, selection: &[usize], rig: &Rig, plan: &Plan, more: &[String]) -> bool {
        let mut fixtures: Vec<usize> = selection.to_vec();
        fixtures.truncate(MOST_HEADS);
        if fixtures == self.fixtures && more == self.more {
            return false;
        }
        self.rows.clear();
        self.columns = fixtures.iter().flat_map(|i| columns(*i, rig, plan, more)).collect();
        (self.fixtures, self.more) = (fixtures, more.to_vec());
        true
    }

    /// Forgets what was recorded and whom it was about.
    pub fn clear(&mut self) {
        *self = Self::default();
    }

    /// The heads that are followed, as places in the rig.
    pub fn fixtures(&self) -> &[usize] {
        &self.fixtures
    }

    /// The curves.
    pub fn columns(&self) -> &[Column] {
        &self.columns
    }

    /// Whether nothing was recorded.
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty() || self.columns.is_empty()
    }

    /// The first and the last instant.
    pub fn span_s(&self) -> Option<(f64, f64)> {
        Some((self.rows.front()?.t_s, self.rows.back()?.t_s))
    }

    /// How many instants there are.
    pub fn len(&self) -> usize {
        self.rows.len()
    }

    /// Records an instant. One that was recorded already counts anew; going back in time begins anew.
    pub fn record<'a>(
        &mut self,
        t_s: f64,
        motion: &RigMotion,
        poses: &[Option<Pose>],
        read: impl Fn(usize) -> Option<Reading<'a>>,
    ) {
        if self.rows.back().is_some_and(|row| row.t_s > t_s) {
            self.rows.clear();
        }
        let mut values = Vec::with_capacity(self.columns.len());
        for fixture in &self.fixtures {
            let pose = poses.get(*fixture).and_then(Option::as_ref);
            let (head, reading) = (motion.head(*fixture), read(*fixture));
            let of_head = self.columns.iter().filter(|column| column.fixture == *fixture);
            match (pose, head, reading) {
                (Some(pose), Some(head), Some(reading)) => {
                    let asked = reading.asked();
                    values.extend(of_head.map(|column| match column.quantity {
                        Quantity::Channel(_) => channel_value(column, t_s, head, pose, &reading),
                        _ => value(column, t_s, head, pose, &asked),
                    }));
                }
                _ => values.extend(of_head.map(|_| (f32::NAN, f32::NAN))),
            }
        }
        // Where a new ask comes, the instant has two rows: as it was, and as it is from then on.
        let same: Vec<usize> =
            (0..self.rows.len()).rev().take_while(|i| self.rows[*i].t_s == t_s).collect();
        if same.len() > 1 {
            self.rows.pop_back();
        }
        if self.rows.len() >= MOST_ROWS {
            self.rows.pop_front();
        }
        self.rows.push_back(Row { t_s, values: values.into() });
    }

    /// The points of a column from `from_s` on, asked or now: time and value. There are none where
    /// nothing is known.
    pub fn points(&self, column: usize, now: bool, from_s: f64) -> Vec<[f64; 2]> {
        let first = self.rows.partition_point(|row| row.t_s < from_s).saturating_sub(1);
        let rows = self.rows.range(first..);
        let points = rows.filter_map(|row| {
            let (asked, done) = *row.values.get(column)?;
            let value = f64::from(if now { done } else { asked });
            value.is_finite().then_some([row.t_s, value])
        });
        points.collect()
    }

    /// The whole record as comma-separated values: seconds, then what was asked and done of each
    /// column. What is not known is left empty.
    pub fn to_csv(&self) -> String {
        let mut text = String::from("seconds");
        for column in &self.columns {
            let (Column { id, name, .. }, unit) = (column, column.unit_word());
            for what in ["asked", "now"] {
                text.push_str(&format!(",{}", quoted(&format!("{id} {name} {what} {unit}"))));
            }
        }
        text.push('\n');
        for row in &self.rows {
            text.push_str(&format!("{:.6}", row.t_s));
            for (asked, now) in row.values.iter() {
                for value in [asked, now] {
                    match value.is_finite() {
                        true => text.push_str(&format!(",{value:.4}")),
                        false => text.push(','),
                    }
                }
            }
            text.push('\n');
        }
        text
    }
}

/// A field as RFC 4180 has it.
fn quoted(field: &str) -> String {
    match field.contains([',', '"', '\n', '\r']) {
        true => format!("\"{}\"", field.replace('"', "\"\"")),
        false => field.to_owned(),
    }
}

/// What of a fixture can be plotted.
fn columns(fixture: usize, rig: &Rig, plan: &Plan, more: &[String]) -> Vec<Column> {
    let mode = plan.fixtures().get(fixture).and_then(|planned| planned.mode.as_ref());
    let (Some(mode), Some(known)) = (mode, rig.get(fixture)) else { return Vec::new() };
    let mut columns = Vec::new();
    let mut add = |quantity: Quantity, name: &str, place| {
        let (id, unit) = (known.id, Some(quantity.unit()));
        columns.push(Column { fixture, id, quantity, name: name.to_owned(), unit, place });
    };
    if mode.profile.head.axes().is_some() {
        add(Quantity::Pan, "pan", 0);
        add(Quantity::Tilt, "tilt", 0);
    }
    add(Quantity::Dimmer, "dimmer", 0);
    add(Quantity::Shutter, "shutter output", 0);
    let ranges = || mode.channels.iter().flat_map(|channel| &channel.ranges);
    let mut wheels: Vec<usize> = Vec::new();
    for wheel in ranges().filter_map(|range| range.wheel) {
        if !wheels.contains(&wheel) {
            wheels.push(wheel);
        }
    }
    for (rank, wheel) in wheels.into_iter().enumerate() {
        if let Some(name) = mode.wheels.get(wheel) {
            add(Quantity::Wheel(rank), &format!("{name} wheel"), wheel);
        }
    }
    if ranges().flat_map(|range| range.effects()).any(|effect| effect.key() == "zoom") {
        add(Quantity::Zoom, "zoom", 0);
    }
    for (rank, name) in more.iter().enumerate() {
        if let Some(place) = mode.channels.iter().position(|channel| channel.name == *name) {
            let ranges = mode.channels[place].ranges.iter();
            let unit = ranges.filter_map(|range| Some(range.physical?.unit)).next();
            let (name, quantity) = (name.clone(), Quantity::Channel(rank));
            columns.push(Column { fixture, id: known.id, quantity, name, unit, place });
        }
    }
    columns
}

/// What a channel asks and what is done of it, in the unit of its column; where it has none, the
/// channel's value.
fn channel_value(
    column: &Column,
    t_s: f64,
    head: &HeadMotion,
    pose: &Pose,
    reading: &Reading<'_>,
) -> (f32, f32) {
    let nothing = f32::NAN;
    let Some(channel) = reading.channel(column.place) else { return (nothing, nothing) };
    let Some(unit) = column.unit else {
        return (channel.held.value().map_or(nothing, |value| value as f32), nothing);
    };
    let Some(range) = channel.range else { return (nothing, nothing) };
    let asked = range.physical.filter(|physical| physical.unit == unit).and(channel.physical);
    let done = now(head, pose, reading, &channel, t_s).and_then(|now| now.value);
    let done = done.filter(|(_, of)| *of == unit).map(|(value, _)| value);
    let shown = |value: Option<f64>| value.map_or(nothing, |value| value as f32);
    (shown(asked), shown(done))
}

/// What is asked and what is done.
fn value(column: &Column, t_s: f64, head: &HeadMotion, pose: &Pose, asked: &Asked) -> (f32, f32) {
    let nothing = f64::NAN;
    let to = |ask: &AxisAsk| if let AxisAsk::To { deg } = ask { *deg } else { nothing };
    let (pan_deg, tilt_deg) = head.as_channels_ask(pose.pan_deg, pose.tilt_deg);
    let cells = 0..pose.cells.len();
    let (asked, now) = match column.quantity {
        Quantity::Pan => (to(&asked.pan), pan_deg),
        Quantity::Tilt => (to(&asked.tilt), tilt_deg),
        Quantity::Dimmer => {
            let asked = asked.cells.iter().map(|cell| cell.level.unwrap_or(1.0)).reduce(f64::max);
            let now = cells.filter_map(|cell| head.dimmer(cell, t_s)).reduce(f64::max);
            (asked.map_or(nothing, |a| a * 100.0), now.map_or(nothing, |n| n * 100.0))
        }
        Quantity::Shutter => {
            let asked = asked.cells.iter().map(|cell| share(&cell.shutter)).reduce(f64::max);
            let now = cells.filter_map(|cell| head.shutter(cell, t_s)).map(|(at, _)| at);
            let now = now.reduce(f64::max);
            (asked.map_or(nothing, |a| a * 100.0), now.map_or(nothing, |n| n * 100.0))
        }
        Quantity::Wheel(_) => {
            let wheel = column.place;
            let asked = asked.wheels.get(wheel).map_or(nothing, |ask| match ask.place {
                WheelPlace::At { place } => place,
                WheelPlace::Shake { slot, .. } => f64::from(slot),
                _ => nothing,
            });
            (asked, pose.wheels.get(wheel).map_or(nothing, |wheel| wheel.place))
        }
        Quantity::Channel(_) => (nothing, nothing),
        Quantity::Zoom => (asked.zoom_deg.unwrap_or(nothing), pose.zoom_deg.unwrap_or(nothing)),
    };
    (asked as f32, now as f32)
}

/// What an asked shutter lets through on average, 0..1.
fn share(ask: &ShutterAsk) -> f64 {
    match ask {
        ShutterAsk::Unasked | ShutterAsk::Open => 1.0,
        ShutterAsk::Shut => 0.0,
        ShutterAsk::Flash { shape, timing, .. } => assumed::mean_light(*shape, *timing),
    }
}
