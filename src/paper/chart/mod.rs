//! The channel chart of a mode, as a manual prints it, worked out from the profile.
//!
//! A [`Chart`] is built once; [`text()`], [`csv()`] and [`html()`] write it.

mod csv;
mod html;
mod steps;
mod text;

pub use csv::csv;
pub(super) use csv::quoted;
pub use html::html;
pub use text::text;

use crate::decode::compile::own_words;
use crate::decode::{CompiledChannel, CompiledMode, CompiledRange, written};
use crate::finding::rounded;
use crate::profile::coverage::{self, Gap};
use crate::profile::model::max_value;
use crate::profile::{Curve, Effect, Head, Profile, Source, Unit, WheelSlot};

/// The chart of one mode.
#[derive(Clone, Debug, PartialEq)]
pub struct Chart {
    /// Maker and model.
    pub title: String,
    /// The mode.
    pub mode: String,
    /// How many slots the fixture takes.
    pub slots: u16,
    /// What the fixture is, and where the figures come from: what each line is about, and what it says.
    pub facts: Vec<(&'static str, String)>,
    /// The channels, by their first slot.
    pub channels: Vec<ChartChannel>,
    /// Slots that no channel describes.
    pub bare: Vec<u16>,
}

/// One channel of a chart.
#[derive(Clone, Debug, PartialEq)]
pub struct ChartChannel {
    /// What a person calls it.
    pub name: String,
    /// Its slots counted from the fixture's first (which is 1), most significant first.
    pub slots: Vec<u16>,
    /// The value at rest, as [`written`] writes it.
    pub default: String,
    /// What it does at rest, while all other channels rest as well. Empty where no range says.
    pub at_rest: String,
    /// It jumps in a fade.
    pub snap: bool,
    /// The cell it drives, from 1. `None`: the whole fixture.
    pub cell: Option<u16>,
    /// What its values do, in rising order.
    pub rows: Vec<ChartRow>,
}

/// One line of a chart: values that do one thing.
#[derive(Clone, Debug, PartialEq)]
pub struct ChartRow {
    /// First value, at the channel's full resolution.
    pub from: u32,
    /// Last value, included.
    pub to: u32,
    /// Slots of the channel.
    pub width: usize,
    /// What they do, in the words of the profile. `None`: no range covers them.
    pub function: Option<String>,
    /// The stable name of the effect. Empty where there is none.
    pub effect: &'static str,
    /// Physical values at both ends, and their unit.
    pub physical: Option<(f64, f64, Unit)>,
    /// Round physical values between the ends, and the value nearest to each.
    pub steps: Vec<(u32, f64)>,
    /// Where other channels must stand: `Kind is 0..127`. Empty: anywhere.
    pub when: Vec<String>,
    /// What else there is to know: how long to hold it, what it does besides.
    pub notes: Vec<String>,
    /// The colour that a wheel slot gives white light, as `#rrggbb`.
    pub swatch: Option<String>,
}

impl ChartRow {
    /// A value of this row as a chart prints it: of the coarse slot where the row begins and ends with
    /// whole coarse steps, else slot by slot.
    fn value(&self, value: u32) -> String {
        let fine = max_value(self.width.saturating_sub(1));
        let whole = self.from & fine == 0 && self.to & fine == fine;
        match whole {
            true => (value >> (8 * self.width.saturating_sub(1).min(3))).to_string(),
            false => written(value, self.width),
        }
    }

    /// The first value as a chart prints it.
    pub fn from_words(&self) -> String {
        self.value(self.from)
    }

    /// The last value as a chart prints it.
    pub fn to_words(&self) -> String {
        self.value(self.to)
    }

    /// Both values: `32..95`, or `7` where there is but one.
    pub fn values_words(&self) -> String {
        let (from, to) = (self.from_words(), self.to_words());
        if from == to { from } else { format!("{from}..{to}") }
    }

    /// What these values do, in words.
    pub fn function_words(&self) -> &str {
        self.function.as_deref().unwrap_or("not in the chart")
    }

    /// Round steps in words: `5 Hz at 48, 10 Hz at 66`.
    pub fn steps_words(&self) -> String {
        let Some((.., unit)) = self.physical else { return String::new() };
        let step = |(value, physical): &(u32, f64)| {
            let at = written(*value, self.width);
            match unit {
                Unit::Slot => format!("slot {} at {at}", plain(*physical)),
                _ => format!("{} {} at {at}", plain(*physical), unit.symbol()),
            }
        };
        self.steps.iter().map(step).collect::<Vec<_>>().join(", ")
    }

    /// What else there is to know, in words.
    pub fn notes_words(&self) -> String {
        let when = (!self.when.is_empty()).then(|| format!("while {}", self.when.join(" and ")));
        when.into_iter().chain(self.notes.iter().cloned()).collect::<Vec<_>>().join("; ")
    }
}

impl Chart {
    /// The slots that no channel describes, in words: `slots 7, 9`. Empty where there are none.
    pub fn bare_words(&self) -> String {
        let bare: Vec<String> = self.bare.iter().map(u16::to_string).collect();
        match bare.as_slice() {
            [] => String::new(),
            [one] => format!("slot {one}"),
            all => format!("slots {}", all.join(", ")),
        }
    }

    /// Works the chart of a mode out.
    pub fn new(mode: &CompiledMode) -> Self {
        let profile = &mode.profile;
        let mut channels: Vec<ChartChannel> =
            mode.channels.iter().map(|channel| chart_channel(mode, channel)).collect();
        channels.sort_by_key(|channel| channel.slots.first().copied());
        Self {
            title: profile.key().0,
            mode: mode.name.clone(),
            slots: mode.footprint,
            facts: facts(profile),
            channels,
            bare: (1..=mode.footprint).filter(|slot| mode.channel_at(*slot).is_none()).collect(),
        }
    }
}

fn chart_channel(mode: &CompiledMode, channel: &CompiledChannel) -> ChartChannel {
    let width = channel.offsets.len();
    let ranges = channel.ranges.iter().enumerate();
    let mut rows: Vec<ChartRow> = ranges.map(|(i, range)| row(mode, channel, i, range)).collect();
    let described = mode.profile.mode(&mode.name).and_then(|mode| mode.channel(&channel.name));
    rows.extend(described.iter().flat_map(|channel| coverage::gaps(channel)).map(gap_row));
    rows.sort_by_key(|row| (row.from, row.to));
    let held = |offset: u16| {
        let (at, part) = mode.channel_at(offset)?;
        let other = &mode.channels[at];
        let below = other.offsets.len() - 1 - part;
        Some((other.default >> (8 * below)) as u8)
    };
    let rests_in = channel.find_with(channel.default, held).and_then(|r| channel.ranges.get(r));
    let at_rest =
        rests_in.map(|range| match (range.physical, range.physical_at(channel.default)) {
            (Some(physical), Some(value)) => physical.unit.format(value),
            _ => range.label.clone(),
        });
    ChartChannel {
        name: channel.name.clone(),
        slots: channel.offsets.clone(),
        default: written(channel.default, width),
        at_rest: at_rest.unwrap_or_default(),
        snap: channel.snap,
        cell: channel.cell,
        rows,
    }
}

fn row(
    mode: &CompiledMode,
    channel: &CompiledChannel,
    index: usize,
    range: &CompiledRange,
) -> ChartRow {
    let when = range.when.iter().map(|when| {
        let name = mode.channel_at(when.offset).map(|(at, _)| mode.channels[at].name.clone());
        let name = name.unwrap_or_else(|| format!("slot {}", when.offset));
        format!("{name} is {}..{}", when.from, when.to)
    });
    // A range of one value has no second end.
    let physical = range.physical.map(|physical| {
        let last = if range.first == range.last { 0.0 } else { 1.0 };
        (physical.at(0.0), physical.at(last), physical.unit)
    });
    ChartRow {
        from: range.first,
        to: range.last,
        width: channel.offsets.len(),
        function: Some(range.label.clone()),
        effect: range.does.key(),
        physical,
        steps: steps::steps(channel, index, range),
        when: when.collect(),
        notes: notes(mode, range),
        swatch: swatch(&mode.profile, &range.does),
    }
}

fn gap_row(gap: Gap) -> ChartRow {
    let setting = gap.setting.iter();
    ChartRow {
        from: gap.first,
        to: gap.last,
        width: gap.width,
        function: None,
        effect: "",
        physical: None,
        steps: Vec::new(),
        when: setting.map(|at| format!("{} is {}..{}", at.0, at.1, at.2)).collect(),
        notes: Vec::new(),
        swatch: None,
    }
}

/// What else there is to know of a range.
fn notes(mode: &CompiledMode, range: &CompiledRange) -> Vec<String> {
    let mut notes = Vec::new();
    for effect in range.effects() {
        match effect.hold_s() {
            Some(Some(hold_s)) => notes.push(format!("hold {} s", plain(hold_s))),
            Some(None) => notes.push("how long to hold it is not given".to_owned()),
            None => {}
        }
        match effect {
            Effect::Reset { takes_s: Some(takes_s), .. } => {
                notes.push(format!("takes {} s", plain(*takes_s)));
            }
            Effect::Dimmer { curve, .. } => notes.push(curve_words(curve).to_owned()),
            _ => {}
        }
    }
    let also: Vec<String> =
        range.also.iter().map(|effect| own_words(&mode.profile, effect)).collect();
    if !also.is_empty() {
        notes.push(format!("also {}", also.join(", ")));
    }
    notes
}

fn curve_words(curve: &Curve) -> &'static str {
    match curve {
        Curve::Unknown => "curve not given",
        Curve::Linear => "linear",
        Curve::Square => "square curve",
        Curve::S => "S curve",
        Curve::Table(_) => "curve of its own",
    }
}

/// The colour of the wheel slot that an effect puts into the light.
fn swatch(profile: &Profile, effect: &Effect) -> Option<String> {
    let (Effect::Slot { wheel, slot } | Effect::Shake { wheel, slot, .. }) = effect else {
        return None;
    };
    let slot = profile.wheels.get(wheel)?.slots.get(usize::from(*slot).checked_sub(1)?)?;
    let WheelSlot::Tint(_, colour) = slot else { return None };
    // Checked here too, because it becomes part of a page.
    let digits = colour.strip_prefix('#')?;
    let sound = digits.len() == 6 && digits.bytes().all(|byte| byte.is_ascii_hexdigit());
    sound.then(|| colour.clone())
}

/// What a fixture is, and where its figures come from.
fn facts(profile: &Profile) -> Vec<(&'static str, String)> {
    let mut facts = vec![(
        "head",
        match &profile.head {
            Head::Fixed => "fixed".to_owned(),
            Head::Moving { pan, tilt } | Head::Mirror { pan, tilt } => {
                let kind =
                    if matches!(profile.head, Head::Mirror { .. }) { "mirror" } else { "head" };
                format!("moving {kind}, pan {} deg, tilt {} deg", pan.travel_deg, tilt.travel_deg)
            }
        },
    )];
    facts.push((
        "light",
        match &profile.source {
            Source::White { flux_lm, cct_k, .. } => format!("{flux_lm:.0} lm, {cct_k:.0} K"),
            Source::Emitters(emitters) => {
                let names: Vec<&str> = emitters.iter().map(|e| e.name.as_str()).collect();
                format!("{:.0} lm of {}", profile.source.full_flux_lm(), names.join(", "))
            }
        },
    ));
    let optics = &profile.optics;
    facts.push(("beam", format!("{} deg, field {} deg", optics.beam_deg, optics.field_deg)));
    if profile.cell_count() > 1 {
        facts.push(("cells", profile.cell_count().to_string()));
    }
    let provenance = &profile.provenance;
    let written = [
        ("revision", &profile.revision),
        ("chart", &provenance.chart),
        ("software", &provenance.software),
        ("checked by", &provenance.checked_by),
    ];
    let given = written.into_iter().filter(|(_, text)| !text.is_empty());
    facts.extend(given.map(|(what, text)| (what, text.clone())));
    facts
}

/// A number with up to four decimals, and none that are needless.
fn plain(value: f64) -> String {
    rounded(value, 4)
}
