//! The draft profile: channels, wheels, head and source, as far as a table tells.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use super::super::effect::{Effect, Span};
use super::super::model::{
    Axis, Body, Channel, Emitter, Head, Lamp, Mode, Optics, Profile, Provenance, Range, Source,
};
use super::super::times::{OnLoss, Times};
use super::super::validate::validate;
use super::assumed::{BEAM_FIELD_DEG, CCT_K, FLUX_LM, HALF_PAN_DEG, HALF_TILT_DEG};
use super::effects::{self, Confidence, Guess, Job, wheel_of_patterns};
use super::lines;
use super::names::{Kind, Standing};
use super::reader;
use super::report::{RangeEntry, TableReport};
use super::resolve::{self, ModeChannel, ModeRow, ModeTable};
use super::rows::{Remark, Rows, Use};
use super::wheels::{UNSEEN, Wheels};
use super::words::Words;
use crate::finding::{Finding, Findings, Place, Severity, TextPlace};

/// Findings of one kind that are given at most; the report has all.
const MOST_FINDINGS: usize = 100;

/// What a table does not say about its fixture.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct TableOptions {
    /// Who makes it. Empty: unknown.
    pub maker: String,
    /// What it is called. Empty: unknown.
    pub model: String,
}

/// A draft profile and where it comes from.
#[derive(Clone, Debug, PartialEq)]
pub struct Draft {
    /// The profile. It reads back from its own text.
    pub profile: Profile,
    /// What each range rests on, and what became of each line.
    pub report: TableReport,
    /// What there is to say about the table.
    pub findings: Vec<Finding>,
}

/// Makes a draft profile of a channel table. `file` is only named in the findings, never opened.
///
/// # Errors
///
/// Where no channel is found in the text.
pub fn read_table(
    text: &str,
    file: Option<&Path>,
    options: &TableOptions,
) -> Result<Draft, Findings> {
    let (layout, lines) = lines::read(text);
    let mut rows = reader::read(layout, &lines);
    let modes = resolve::modes(&mut rows);
    if modes.is_empty() {
        let place = file.map_or_else(Place::default, Place::file);
        let mend = "it should have lines with a slot or a channel's name, values and what they do";
        return Err(Finding::error(place, "no channel was found in it", mend).into());
    }
    let mut maker = Maker::default();
    let made: Vec<Mode> = modes.iter().map(|mode| maker.mode(mode)).collect();
    let (profile, assumed) = maker.profile(made, options, file);
    maker.entries.iter_mut().for_each(|entry| close_glide(&mut entry.range.does, &profile));
    let report = TableReport { ranges: maker.entries, lines: rows.uses.clone(), assumed };
    let mut findings = said_of_lines(&rows, file);
    findings.extend(said_of_ranges(&report, file));
    let cut = text.lines().count() > lines::MOST_LINES;
    if cut {
        let what = format!("only the first {} lines are read", lines::MOST_LINES);
        let place = file.map_or_else(Place::default, Place::file);
        findings.push(Finding::warning(place, what, "give the table alone"));
    }
    let checked = validate(&profile, &|_| false);
    findings.extend(checked.list().iter().map(|(_, finding)| finding.clone()));
    Ok(Draft { profile, report, findings })
}

fn at(line: u32, file: Option<&Path>) -> Place {
    let text = Some(TextPlace { line, column: 1 });
    Place { file: file.map(PathBuf::from), text, item: None }
}

/// What was odd about lines, and which were not understood.
fn said_of_lines(rows: &Rows, file: Option<&Path>) -> Vec<Finding> {
    let said = |remark: &Remark| {
        let Remark { line, severity, what, mend } = remark;
        Finding::new(*severity, at(*line, file), what.clone(), mend.clone())
    };
    let mut findings: Vec<Finding> = rows.remarks.iter().take(MOST_FINDINGS).map(said).collect();
    let lost = rows.uses.iter().filter_map(|line| match &line.used {
        Use::NotUnderstood(why) => Some((line.line, why)),
        _ => None,
    });
    for (line, why) in lost.clone().take(MOST_FINDINGS) {
        let what = format!("not understood: {why}");
        findings.push(Finding::warning(
            at(line, file),
            what,
            "look whether it belongs to the table",
        ));
    }
    let more = (lost.count() + rows.remarks.len()).saturating_sub(findings.len());
    if more > 0 {
        let place = file.map_or_else(Place::default, Place::file);
        findings.push(Finding::note(
            place,
            format!("{more} more of these"),
            "the report has all lines",
        ));
    }
    findings
}

/// Which ranges the user has to look at.
fn said_of_ranges(report: &TableReport, file: Option<&Path>) -> Vec<Finding> {
    let unsure = report.ranges.iter().filter(|entry| entry.confidence == Confidence::Unsure);
    let said = |entry: &RangeEntry| {
        let (from, to) = entry.values();
        let what = format!(
            "mode \"{}\", channel \"{}\", {from}..{to}: taken as {}",
            entry.mode,
            entry.channel,
            entry.range.does.key()
        );
        Finding::new(Severity::Warning, at(entry.line, file), what, entry.why.clone())
    };
    unsure.take(MOST_FINDINGS).map(said).collect()
}

/// The last place of a glide is the first again, a whole turn on.
fn close_glide(effect: &mut Effect, profile: &Profile) {
    if let Effect::Glide { wheel, slots } = effect {
        let count = profile.wheels.get(wheel).map_or(1, |wheel| wheel.slots.len());
        slots.1 = count as f64 + 1.0;
    }
}

/// What is gathered while the modes are made.
#[derive(Default)]
struct Maker {
    wheels: Wheels,
    entries: Vec<RangeEntry>,
    emitters: Vec<String>,
    cells: u16,
    half_pan_deg: Option<f64>,
    half_tilt_deg: Option<f64>,
    aims: bool,
    endless: (bool, bool),
    has_lamp: bool,
    zoom: Option<Span>,
}

impl Maker {
    fn mode(&mut self, table: &ModeTable) -> Mode {
        let last =
            table.channels.iter().flat_map(|channel| &channel.at).max().copied().unwrap_or(1);
        let rgb = |channel: &ModeChannel| {
            matches!(channel.named.kind, Kind::Emitter("red" | "green" | "blue"))
        };
        let has_emitters = table.channels.iter().any(rgb);
        let channels = table
            .channels
            .iter()
            .map(|channel| self.channel(table, channel, has_emitters))
            .collect();
        Mode { name: table.name.clone(), slots: last, channels }
    }

    fn channel(&mut self, table: &ModeTable, channel: &ModeChannel, has_emitters: bool) -> Channel {
        let turned = turned_wheel(table, channel);
        let mut ranges = Vec::with_capacity(channel.rows.len());
        for row in &channel.rows {
            let guess = self.guess(channel, row, &turned, has_emitters);
            self.note(&guess);
            let range = range(row, &guess);
            self.entries.push(RangeEntry {
                line: row.line,
                mode: table.name.clone(),
                channel: channel.name.clone(),
                slots: channel.at.clone(),
                range: range.clone(),
                stated: guess.stated,
                confidence: guess.confidence,
                why: guess.why,
            });
            ranges.push(range);
        }
        let cell = channel.named.cell;
        self.cells = self.cells.max(cell.unwrap_or(0));
        let snaps = matches!(
            channel.named.kind,
            Kind::Shutter | Kind::Control | Kind::Program | Kind::Pattern(_) | Kind::Prism
        );
        Channel {
            name: channel.name.clone(),
            default: default(channel, &ranges),
            snap: snaps && ranges.len() > 1,
            at: channel.at.clone(),
            cell,
            ranges,
        }
    }

    fn guess(
        &mut self,
        channel: &ModeChannel,
        row: &ModeRow,
        turned: &str,
        has_emitters: bool,
    ) -> Guess {
        let is_noted = row.text.ends_with(['*', '†', '¹', '²', '³']);
        let own = row.text.trim_end_matches(['*', '†', '¹', '²', '³', ' ']);
        let text = format!("{} {own}", row.context).trim().to_owned();
        let width = channel.at.len();
        let values =
            if row.is_fine { (row.to - row.from) / 256 + 1 } else { row.to - row.from + 1 };
        let mut job = Job {
            named: channel.named,
            name: &channel.name,
            words: Words::new(&text),
            text,
            is_whole: row.is_whole(width),
            values,
            wheels: &mut self.wheels,
            turned: turned.to_owned(),
            has_emitters,
        };
        let mut guess = effects::read(&mut job);
        if is_noted {
            guess = guess.doubted(Confidence::Likely, "a footnote belongs to it");
        }
        if row.implied {
            guess = guess.doubted(Confidence::Likely, "no values are printed; all are taken");
        }
        if !row.doubt.is_empty() {
            guess = guess.doubted(Confidence::Likely, &row.doubt);
        }
        guess
    }

    /// Remembers what an effect needs of the fixture.
    fn note(&mut self, guess: &Guess) {
        let half = |known: &mut Option<f64>, (a, b): Span| {
            let most = a.abs().max(b.abs()).max(known.unwrap_or(0.0));
            *known = Some(most);
        };
        for effect in std::iter::once(&guess.does).chain(&guess.also) {
            match effect {
                Effect::Pan { deg } if guess.stated => half(&mut self.half_pan_deg, *deg),
                Effect::Tilt { deg } if guess.stated => half(&mut self.half_tilt_deg, *deg),
                Effect::PanSpin { .. } => self.endless.0 = true,
                Effect::TiltSpin { .. } => self.endless.1 = true,
                Effect::Emitter { name, .. } if !self.emitters.contains(name) => {
                    self.emitters.push(name.clone());
                }
                Effect::LampOn { .. } | Effect::LampOff { .. } => self.has_lamp = true,
                Effect::Zoom { deg } if guess.stated => self.zoom = Some(*deg),
                _ => {}
            }
            self.aims |= effect.aims();
        }
    }

    fn profile(
        &mut self,
        modes: Vec<Mode>,
        options: &TableOptions,
        file: Option<&Path>,
    ) -> (Profile, Vec<String>) {
        let mut assumed = Vec::new();
        let or = |text: &str, other: &str| {
            if text.trim().is_empty() { other.to_owned() } else { text.trim().to_owned() }
        };
        let head = self.head(&mut assumed);
        let source = self.source(&mut assumed);
        let optics = self.optics(&mut assumed);
        let wheels = std::mem::take(&mut self.wheels).finish();
        let has_patterns = wheels
            .values()
            .flat_map(|wheel| &wheel.slots)
            .any(|slot| matches!(slot, super::super::model::WheelSlot::Pattern(..)));
        let mut drawings = BTreeMap::new();
        if has_patterns {
            assumed.push("what the patterns look like; one drawing stands in for all".to_owned());
            drawings.insert(
                UNSEEN.to_owned(),
                vec![vec![(0.6, 0.0), (0.0, 0.6), (-0.6, 0.0), (0.0, -0.6)]],
            );
        }
        let count = self.cells;
        if count > 1 {
            assumed.push("where the cells sit; a row with 0.1 m between them is taken".to_owned());
        }
        let middle = f64::from(count.saturating_sub(1)) / 2.0;
        let place = |cell: u16| ((f64::from(cell) - middle) * 0.1, 0.0);
        let cells = if count > 0 { (0..count).map(place).collect() } else { Vec::new() };
        assumed.push("the value of each channel at rest".to_owned());
        let chart = file.map(|file| file.display().to_string()).unwrap_or_default();
        let mut profile = Profile {
            maker: or(&options.maker, "Unknown"),
            model: or(&options.model, "Draft"),
            revision: "draft".to_owned(),
            provenance: Provenance { chart, ..Provenance::default() },
            body: Body::default(),
            head,
            source,
            optics,
            wheels,
            times: Times::default(),
            on_loss: OnLoss::default(),
            cells,
            drawings,
            accepted: Default::default(),
            modes,
        };
        let mut modes = std::mem::take(&mut profile.modes);
        let ranges =
            modes.iter_mut().flat_map(|mode| &mut mode.channels).flat_map(|c| &mut c.ranges);
        ranges.for_each(|range| close_glide(&mut range.does, &profile));
        profile.modes = modes;
        (profile, assumed)
    }

    fn head(&self, assumed: &mut Vec<String>) -> Head {
        if !self.aims {
            return Head::Fixed;
        }
        let axis = |half: Option<f64>, usual: f64, endless| Axis {
            travel_deg: half.map_or(usual, |half| (half * 2.0).clamp(0.01, 100_000.0)).max(0.01),
            speed_deg_s: None,
            accel_deg_s2: None,
            endless,
        };
        for (half, name) in [(self.half_pan_deg, "pan"), (self.half_tilt_deg, "tilt")] {
            if half.is_none() {
                assumed.push(format!("the travel of {name}"));
            }
        }
        Head::Moving {
            pan: axis(self.half_pan_deg, HALF_PAN_DEG * 2.0, self.endless.0),
            tilt: axis(self.half_tilt_deg, HALF_TILT_DEG * 2.0, self.endless.1),
        }
    }

    fn source(&self, assumed: &mut Vec<String>) -> Source {
        if self.emitters.is_empty() {
            assumed.push(format!("the source; {FLUX_LM} lm of {CCT_K} K stand in"));
            let lamp = if self.has_lamp { Lamp::Discharge } else { Lamp::Led };
            return Source::White { flux_lm: FLUX_LM, cct_k: CCT_K, lamp };
        }
        assumed.push(format!(
            "colour and light of the emitters; usual colours and {FLUX_LM} lm each stand in"
        ));
        let emitter =
            |name: &String| Emitter { name: name.clone(), xy: xy(name), flux_lm: FLUX_LM };
        Source::Emitters(self.emitters.iter().map(emitter).collect())
    }

    fn optics(&self, assumed: &mut Vec<String>) -> Optics {
        let (beam_deg, field_deg) = match self.zoom {
            Some((a, b)) => (a.min(b), (a.min(b) * 1.3).min(179.9)),
            None => BEAM_FIELD_DEG,
        };
        let what = if self.zoom.is_some() { "the field angle" } else { "beam and field angle" };
        assumed.push(format!("{what}; {beam_deg} and {field_deg:.1} deg stand in"));
        Optics { beam_deg, field_deg: field_deg.max(beam_deg), peak_cd: None }
    }
}

/// The usual colour of an emitter of a name, as CIE 1931 x and y: common practice, no source.
fn xy(name: &str) -> (f64, f64) {
    match name {
        "red" => (0.69, 0.30),
        "green" => (0.17, 0.70),
        "blue" => (0.14, 0.05),
        "amber" => (0.57, 0.42),
        "lime" => (0.41, 0.54),
        "uv" => (0.17, 0.01),
        "cyan" => (0.09, 0.40),
        "magenta" => (0.40, 0.18),
        "yellow" => (0.47, 0.47),
        "warm white" => (0.45, 0.41),
        _ => (0.3127, 0.3290),
    }
}

/// The wheel that a rotation channel turns: one whose patterns turn, else that of the same number.
fn turned_wheel(table: &ModeTable, channel: &ModeChannel) -> String {
    let wheels = || {
        table.channels.iter().filter_map(|other| match other.named.kind {
            Kind::Pattern(standing) => Some((standing, other.named.nth)),
            _ => None,
        })
    };
    let nth = channel.named.nth;
    let turning = |found: &(Standing, u16)| found.0 == Standing::Turning;
    let found = wheels()
        .find(|found| turning(found) && found.1 == nth)
        .or_else(|| wheels().find(turning))
        .or_else(|| wheels().find(|(_, n)| *n == nth))
        .or_else(|| wheels().next());
    let (standing, nth) = found.unwrap_or((Standing::Unsaid, 1));
    wheel_of_patterns(standing, nth)
}

fn range(row: &ModeRow, guess: &Guess) -> Range {
    let (from, to) = (Some(i64::from(row.from)), Some(i64::from(row.to)));
    let (coarse, fine) =
        if row.is_fine { ((None, None), (from, to)) } else { ((from, to), (None, None)) };
    let label = format!("{} {}", row.context, row.text);
    let label: String = crate::finding::one_line(label.trim()).chars().take(120).collect();
    Range {
        from: coarse.0,
        to: coarse.1,
        fine_from: fine.0,
        fine_to: fine.1,
        does: guess.does.clone(),
        also: guess.also.clone(),
        label: label.split_whitespace().collect::<Vec<_>>().join(" "),
        when: Vec::new(),
    }
}

/// The value at rest: the table's, else the middle of an axis and light through the shutter.
fn default(channel: &ModeChannel, ranges: &[Range]) -> u32 {
    let width = channel.at.len();
    let shift = 8 * width.saturating_sub(1) as u32;
    if let Some(value) = channel.default {
        return u32::from(value).checked_shl(shift).unwrap_or(0);
    }
    let does = |wanted: fn(&Effect) -> bool| ranges.iter().find(|range| wanted(&range.does));
    if does(|effect| matches!(effect, Effect::Pan { .. } | Effect::Tilt { .. })).is_some() {
        return 0x80u32.checked_shl(shift).unwrap_or(0);
    }
    let open = does(|effect| matches!(effect, Effect::Open));
    open.and_then(|range| range.bounds(width)).map_or(0, |(first, _)| first)
}
