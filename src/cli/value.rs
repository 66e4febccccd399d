//! `slotwright value`: which values of a channel do what is asked for.

use clap::Args;
use serde::Serialize;

use super::profile_of::{self, ModeArgs};
use super::table::{self, Columns};
use super::{Failure, Report, json};
use crate::decode::entry::{Entry, EntryError, parse};
use crate::decode::{Answer, CompiledChannel, CompiledMode, answers, split, written};
use crate::finding::{Finding, Place, listed, nearest, one_line};

/// Below the options of `value`.
pub const HELP: &str = "\
What can be asked for: a physical value in a unit of the channel (`5 Hz`, `129 deg`, `40 %`, `3200 K`,
`0.2 s`), or a range or wheel slot by its name or the beginning of it (`open`, `closed`, `amber`). Every
range that can do it is listed, with the nearest value, what that gives, and how far off it is; for a
channel of several slots also how far off the coarse slot alone would be. All other channels are taken
to stand at rest.

Exit codes: 0 there is a value; 1 a bad file, or no value of the channel does it; 2 wrong usage.

JSON (`--json`):
  {profile, mode, channel, asked, value, slots: [{slot, value}], words, warnings,
   answers: [{range: {from, to, label}, from, to, slots: [{slot, value}], physical, unit, error,
   coarse_error, when: [{slot, from, to}]}]}
  value and the values of answers are at the channel's full resolution; value, slots and words are
  null where a name is the beginning of several; slots count from the fixture's first, which is 1;
  physical, unit, error and coarse_error are null for a name; when lists the slots that must stand
  somewhere for the range to act.

Examples:
  slotwright value \"Tarnfell S1 Spot\" --mode full --channel Pan \"129 deg\"
  slotwright value my-head.ron --channel Shutter \"5 Hz\"";

/// What `value` takes.
#[derive(Args, Debug)]
pub struct ValueArgs {
    /// Which mode of which profile.
    #[command(flatten)]
    pub of: ModeArgs,
    /// Channel, by its name
    #[arg(long, value_name = "NAME")]
    pub channel: String,
    /// What it should do: `5 Hz`, `35 deg`, `open`, `amber`
    #[arg(value_name = "EFFECT", allow_hyphen_values = true)]
    pub effect: String,
    /// Print JSON instead of a table; its form is described in `slotwright help value`
    #[arg(long)]
    pub json: bool,
}

pub(super) fn run(args: &ValueArgs) -> Result<Report, Failure> {
    let (mode, said) = profile_of::load(&args.of)?;
    let channel = channel(&mode, &args.channel)?;
    let rests = |offset| at_rest(&mode, offset);
    let answers = answers(channel, &args.effect, rests).map_err(|error| refused(channel, error))?;
    let entry = match parse(channel, &args.effect, rests) {
        Ok(entry) => Some(entry),
        Err(EntryError::Ambiguous { .. }) => None,
        Err(error) => return Err(refused(channel, error)),
    };
    let question = Question { mode: &mode, channel, asked: &args.effect };
    let out = match args.json {
        true => question.machine(entry.as_ref(), &answers),
        false => question.people(entry.as_ref(), &answers),
    };
    Ok(Report { out, said, bad: false })
}

/// The channel of a name; where none is the same, the one that differs only in case.
fn channel<'a>(mode: &'a CompiledMode, name: &str) -> Result<&'a CompiledChannel, Failure> {
    let named = |same: &dyn Fn(&str) -> bool| mode.channels.iter().find(|c| same(&c.name));
    let found = named(&|known| known == name).or_else(|| named(&|k| k.eq_ignore_ascii_case(name)));
    found.ok_or_else(|| {
        let names = || mode.channels.iter().map(|channel| channel.name.as_str());
        let near = nearest(name, names());
        let near = near.map_or(String::new(), |near| format!("did you mean `{near}`? "));
        let what = format!("mode `{}` has no channel `{}`", mode.name, name.escape_debug());
        let mend = format!("{near}its channels: {}", listed(names()));
        Failure::Usage(Finding::error(Place::item("--channel"), what, mend))
    })
}

/// The byte of a slot while its channel rests.
fn at_rest(mode: &CompiledMode, offset: u16) -> Option<u8> {
    let (channel, part) = mode.channel_at(offset)?;
    let channel = &mode.channels[channel];
    split(channel.default, channel.offsets.len()).get(part).copied()
}

/// That no value does what was asked for is an answer; that it was not understood is a wrong question.
fn refused(channel: &CompiledChannel, error: EntryError) -> Failure {
    let place = Place::item(format!("channel \"{}\"", channel.name));
    let finding = Finding::error(place, error.to_string(), "");
    match error {
        EntryError::OutOfReach { .. } => Failure::File(finding.into()),
        _ => Failure::Usage(finding),
    }
}

/// What was asked of which channel.
struct Question<'a> {
    mode: &'a CompiledMode,
    channel: &'a CompiledChannel,
    asked: &'a str,
}

impl Question<'_> {
    fn written(&self, value: u32) -> String {
        written(value, self.channel.offsets.len())
    }

    fn people(&self, entry: Option<&Entry>, answers: &[Answer]) -> String {
        let Self { mode, channel, asked } = self;
        let title = format!(
            "{}, mode {}, channel {}: {asked}",
            mode.profile.key(),
            mode.name,
            channel.name
        );
        let mut out = format!("{}\n", one_line(&title));
        if let Some(entry) = entry {
            for (slot, value) in self.slots(entry.value) {
                out.push_str(&format!("  slot {slot} = {value}\n"));
            }
            for line in table::wrapped(&entry.words, table::LINE - 2) {
                out.push_str(&format!("  {line}\n"));
            }
            for line in entry.warnings.iter().flat_map(|w| table::wrapped(w, table::LINE - 2)) {
                out.push_str(&format!("  {line}\n"));
            }
        } else {
            out.push_str("  it is the beginning of more than one name\n");
        }
        let titles = ["value", "range", "what it does", "gives", "off by", "coarse alone", "while"];
        let mut rows: Vec<_> = answers.iter().map(|answer| self.row(answer)).collect();
        // A column without anything in it needs no name.
        let titles = std::array::from_fn(|i| match rows.iter().any(|row| !row[i].is_empty()) {
            true => titles[i].to_owned(),
            false => String::new(),
        });
        rows.insert(0, titles);
        let widths = Columns { give_way: &[2, 6] }.widths(&rows);
        out.push('\n');
        out.extend(rows.iter().map(|row| table::line(row, &widths)));
        out
    }

    fn row(&self, answer: &Answer) -> [String; 7] {
        let range = &self.channel.ranges[answer.range];
        let span = |first, last| match first == last {
            true => self.written(first),
            false => format!("{}..{}", self.written(first), self.written(last)),
        };
        let [gives, error, coarse] = match answer.near {
            None => [String::new(), String::new(), String::new()],
            Some(near) => {
                let wide = self.channel.offsets.len() > 1;
                let coarse = if wide { off(near.coarse_error) } else { String::new() };
                [near.unit.format(near.physical), off(near.error), coarse]
            }
        };
        let when = range.when.iter().map(|when| {
            let name = self.mode.channel_at(when.offset);
            let name = name.map_or("", |(at, _)| self.mode.channels[at].name.as_str());
            format!("{name} is {}..{}", when.from, when.to)
        });
        [
            span(answer.first, answer.last),
            span(range.first, range.last),
            range.label.clone(),
            gives,
            error,
            coarse,
            when.collect::<Vec<_>>().join(" and "),
        ]
    }

    fn slots(&self, value: u32) -> impl Iterator<Item = (u16, u8)> {
        let bytes = split(value, self.channel.offsets.len());
        self.channel.offsets.iter().copied().zip(bytes)
    }

    fn slots_json(&self, value: u32) -> Vec<SlotJson> {
        self.slots(value).map(|(slot, value)| SlotJson { slot, value }).collect()
    }

    fn machine(&self, entry: Option<&Entry>, answers: &[Answer]) -> String {
        json::lines(&ValueJson {
            profile: self.mode.profile.key().0,
            mode: &self.mode.name,
            channel: &self.channel.name,
            asked: self.asked,
            value: entry.map(|entry| entry.value),
            slots: entry.map(|entry| self.slots_json(entry.value)),
            words: entry.map(|entry| entry.words.as_str()),
            warnings: entry.map_or(&[], |entry| entry.warnings.as_slice()),
            answers: answers.iter().map(|answer| self.answer_json(answer)).collect(),
        })
    }

    fn answer_json(&self, answer: &Answer) -> AnswerJson<'_> {
        let range = &self.channel.ranges[answer.range];
        let near = answer.near;
        let when = range.when.iter();
        AnswerJson {
            range: RangeJson { from: range.first, to: range.last, label: &range.label },
            from: answer.first,
            to: answer.last,
            slots: self.slots_json(answer.first),
            physical: near.map(|near| near.physical),
            unit: near.map(|near| near.unit.symbol()),
            error: near.map(|near| near.error),
            coarse_error: near.map(|near| near.coarse_error),
            when: when.map(|w| WhenJson { slot: w.offset, from: w.from, to: w.to }).collect(),
        }
    }
}

/// How far off a value is, in the unit of the column beside it: two digits that count.
fn off(error: f64) -> String {
    let size = error.abs();
    if size < 1e-9 {
        return "exact".to_owned();
    }
    let decimals = (1.0 - size.log10().floor()).clamp(0.0, 12.0) as usize;
    format!("{error:+.decimals$}")
}

#[derive(Serialize)]
struct ValueJson<'a> {
    profile: String,
    mode: &'a str,
    channel: &'a str,
    asked: &'a str,
    value: Option<u32>,
    slots: Option<Vec<SlotJson>>,
    words: Option<&'a str>,
    warnings: &'a [String],
    answers: Vec<AnswerJson<'a>>,
}

#[derive(Serialize)]
struct SlotJson {
    slot: u16,
    value: u8,
}

#[derive(Serialize)]
struct AnswerJson<'a> {
    range: RangeJson<'a>,
    from: u32,
    to: u32,
    slots: Vec<SlotJson>,
    physical: Option<f64>,
    unit: Option<&'static str>,
    error: Option<f64>,
    coarse_error: Option<f64>,
    when: Vec<WhenJson>,
}

#[derive(Serialize)]
struct RangeJson<'a> {
    from: u32,
    to: u32,
    label: &'a str,
}

#[derive(Serialize)]
struct WhenJson {
    slot: u16,
    from: u8,
    to: u8,
}
