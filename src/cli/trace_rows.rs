//! The course of heads as a table and as CSV.

use super::frames::Situation;
use super::read::span;
use super::table::{self, Columns};
use super::trace::Traced;
use crate::decode::{Asked, AxisAsk};
use crate::motion::now::aim_now;
use crate::motion::{HeadMotion, doings};
use crate::profile::quantity::Unit;

/// One fixture at one time.
pub(super) struct Row {
    t_s: f64,
    pan: AxisAsk,
    tilt: AxisAsk,
    /// `None` while something else than the frame runs it: what it does is not known then.
    now: Option<RowNow>,
    state: String,
}

struct RowNow {
    /// Degrees and revolutions a minute of pan and tilt, as their channels would ask for them.
    aim: [(f64, f64); 2],
    /// Shares, 0..1.
    dimmer: Option<f64>,
    shutter: Option<f64>,
    light: f64,
    /// Places, from 1.
    wheels: Vec<f64>,
    zoom_deg: Option<f64>,
}

impl Row {
    /// What a head is asked and does at a time. It must have been advanced to it.
    pub(super) fn new(head: &HeadMotion, asked: &Asked, t_s: f64) -> Self {
        let pose = head.pose_at(t_s);
        let (now, state) = match &pose.overridden_by {
            Some(what) => (None, format!("runs by itself: {}", what.words())),
            None => {
                let now = RowNow {
                    aim: aim_now(head, &pose),
                    dimmer: head.dimmer(0, t_s),
                    shutter: head.shutter(0, t_s).map(|(through, _)| through),
                    light: pose.instant(),
                    wheels: pose.wheels.iter().map(|wheel| wheel.place).collect(),
                    zoom_deg: pose.zoom_deg,
                };
                let words = doings(head, t_s).into_iter().map(|doing| doing.words);
                (Some(now), words.collect::<Vec<_>>().join("; "))
            }
        };
        Self { t_s, pan: asked.pan, tilt: asked.tilt, now, state }
    }

    /// Its cells, with the places of these wheels.
    fn cells(&self, wheels: &[usize]) -> [String; 10] {
        let axis = |(deg, rpm): (f64, f64)| match rpm {
            0.0 => plain(deg),
            rpm => Unit::Rpm.format(rpm),
        };
        let asked = |ask: AxisAsk| match ask {
            AxisAsk::Unasked => String::new(),
            AxisAsk::To { deg } => plain(deg),
            AxisAsk::Spin { rpm } => Unit::Rpm.format(rpm),
            AxisAsk::Stay => "stay".to_owned(),
        };
        let percent = |share: f64| format!("{:.1}", share * 100.0);
        let now = |text: &dyn Fn(&RowNow) -> Option<String>| {
            self.now.as_ref().and_then(text).unwrap_or_default()
        };
        let places = |now: &RowNow| {
            let places = wheels.iter().filter_map(|wheel| now.wheels.get(*wheel));
            Some(places.map(|place| format!("{place:.2}")).collect::<Vec<_>>().join(" "))
        };
        [
            format!("{:.3}", self.t_s),
            asked(self.pan),
            now(&|now| Some(axis(now.aim[0]))),
            asked(self.tilt),
            now(&|now| Some(axis(now.aim[1]))),
            now(&|now| now.dimmer.map(percent)),
            now(&|now| now.shutter.map(percent)),
            now(&places),
            now(&|now| now.zoom_deg.map(plain)),
            self.state.clone(),
        ]
    }
}

/// An angle in degrees without its unit, which the heading says.
fn plain(deg: f64) -> String {
    Unit::Degree.format(deg).trim_end_matches(" deg").to_owned()
}

/// The wheels that do not stand in one place all the time.
fn moving(one: &Traced<'_>) -> Vec<usize> {
    let place = |row: &Row, wheel: usize| row.now.as_ref()?.wheels.get(wheel).copied();
    let moves = |wheel: &usize| {
        let mut places = one.rows.iter().filter_map(|row| place(row, *wheel));
        let first = places.next();
        places.any(|place| first.is_some_and(|first| (place - first).abs() > 0.005))
    };
    (0..one.wheels.len()).filter(moves).collect()
}

const TITLES: [&str; 10] =
    ["s", "pan asked", "now", "tilt asked", "now", "dimmer", "shutter", "wheels", "zoom", "state"];

/// One table for each fixture.
pub(super) fn table(situation: &Situation, words: &str, traced: &[Traced<'_>]) -> String {
    let name = &situation.show.name;
    let mut out = format!("{}\n", table::cut(&format!("{name}: {words}"), table::LINE));
    out.push_str("angles in degrees, dimmer and shutter in percent\n");
    for one in traced {
        let fixture = &situation.show.rig[one.at];
        let planned = situation.plan.fixtures().get(one.at);
        let mode = planned.and_then(|planned| planned.mode.as_deref());
        let place = span(fixture, mode.map_or(0, |mode| mode.footprint));
        let mut lines = vec![format!("{}, mode {}, {place}", fixture.profile, fixture.mode)];
        if mode.is_none() {
            lines.push("no such profile or mode".to_owned());
        } else if fixture.address.is_none() {
            lines.push("not patched: no frame reaches it".to_owned());
        }
        let wheels = moving(one);
        if !wheels.is_empty() {
            let names: Vec<&str> = wheels.iter().map(|wheel| one.wheels[*wheel]).collect();
            let others = if wheels.len() < one.wheels.len() { "; the others stand" } else { "" };
            lines.push(format!("wheels: {}{others}", names.join(", ")));
        }
        let estimate = one.estimate.iter().map(|words| format!("an estimate: {words}"));
        lines.extend(estimate.flat_map(|words| table::wrapped(&words, table::LINE - 2)));
        let title = format!("{}  {}", fixture.id, fixture.label);
        out.push_str(&format!("\n{}\n", table::cut(title.trim_end(), table::LINE)));
        for line in lines {
            out.push_str(&format!("  {}\n", table::cut(&line, table::LINE - 2)));
        }
        let mut rows = vec![TITLES.map(str::to_owned)];
        rows.extend(one.rows.iter().map(|row| row.cells(&wheels)));
        if rows.len() > 1 {
            let widths = Columns { give_way: &[9, 7] }.widths(&rows);
            rows.iter().for_each(|row| out.push_str(&table::line(row, &widths)));
        }
    }
    out
}

/// All fixtures in one list, by time and then by fixture. Every wheel of any of them has a column.
pub(super) fn csv(situation: &Situation, traced: &[Traced<'_>]) -> String {
    let mut wheels: Vec<&str> = Vec::new();
    for wheel in traced.iter().flat_map(|one| &one.wheels) {
        if !wheels.contains(wheel) {
            wheels.push(wheel);
        }
    }
    let mut out = String::from(
        "seconds,fixture,pan_asked_deg,pan_deg,pan_rpm,tilt_asked_deg,tilt_deg,tilt_rpm,\
         dimmer_percent,shutter_percent,light_percent,zoom_deg",
    );
    for wheel in &wheels {
        out.push_str(&format!(",{}", field(&format!("wheel {wheel}"))));
    }
    out.push_str(",state\n");
    let count = traced.iter().map(|one| one.rows.len()).max().unwrap_or(0);
    for nth in 0..count {
        for one in traced {
            let Some(row) = one.rows.get(nth) else { continue };
            let id = situation.show.rig[one.at].id;
            out.push_str(&line(row, id, &one.wheels, &wheels));
        }
    }
    out
}

fn line(row: &Row, id: u32, own: &[&str], wheels: &[&str]) -> String {
    let asked = |ask: AxisAsk| if let AxisAsk::To { deg } = ask { Some(deg) } else { None };
    let now = row.now.as_ref();
    let percent = |share: Option<f64>| share.map(|share| share * 100.0);
    let mut fields = vec![format!("{:.3}", row.t_s), id.to_string()];
    let numbers = [
        asked(row.pan),
        now.map(|now| now.aim[0].0),
        now.map(|now| now.aim[0].1),
        asked(row.tilt),
        now.map(|now| now.aim[1].0),
        now.map(|now| now.aim[1].1),
        percent(now.and_then(|now| now.dimmer)),
        percent(now.and_then(|now| now.shutter)),
        percent(now.map(|now| now.light)),
        now.and_then(|now| now.zoom_deg),
    ];
    fields.extend(numbers.map(number));
    fields.extend(wheels.iter().map(|wheel| {
        let nth = own.iter().position(|name| name == wheel);
        number(nth.and_then(|nth| now?.wheels.get(nth).copied()))
    }));
    fields.push(field(&row.state));
    fields.join(",") + "\n"
}

/// A number with four decimals; nothing where there is none.
fn number(value: Option<f64>) -> String {
    let Some(value) = value.filter(|value| value.is_finite()) else { return String::new() };
    let text = format!("{value:.4}");
    // What rounds to nothing has no sign.
    if text == "-0.0000" { "0.0000".to_owned() } else { text }
}

/// Text as CSV writes it: in quotes where a comma, quote or line end stands in it (RFC 4180).
fn field(text: &str) -> String {
    if text.contains([',', '"', '\n', '\r']) {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text.to_owned()
    }
}
