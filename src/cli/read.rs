//! `slotwright read`: what a frame asks of every fixture, as a table for people.

use super::after::{Later, LaterHead};
use super::args::ReadArgs;
use super::frames::Situation;
use super::table::{self, Columns};
use super::{Failure, Report, json};
use crate::decode::{ChannelReading, Held, Reading, raw_words};
use crate::finding::one_line;
use crate::light::level_estimates;
use crate::rig::{Address, Fixture};
use crate::stage::{Mark, MarkState, Scene};
use crate::wire::SlotState;

pub(super) fn run(args: &ReadArgs) -> Result<Report, Failure> {
    let mut situation = Situation::load(&args.frame)?;
    let places = match args.fixtures.as_slice() {
        [] => (0..situation.show.rig.len()).collect(),
        ids => situation.places(ids)?,
    };
    let later = Later::load(&mut situation, &args.when)?;
    let said = std::mem::take(&mut situation.said);
    let out = match args.json {
        true => json::reading(&situation, later.as_ref(), &places),
        false => {
            let named = if args.fixtures.is_empty() { &[][..] } else { &places };
            let beside = later.as_ref().map(|later| later.beside(&situation, named));
            table(&situation, later.as_ref(), &places) + &paragraph(&beside.unwrap_or_default())
        }
    };
    Ok(Report { out, said, bad: false })
}

/// Lines below a table, apart from it; nothing where there are none.
pub(super) fn paragraph(lines: &[String]) -> String {
    let lines: String = lines.iter().map(|line| format!("{}\n", one_line(line))).collect();
    if lines.is_empty() { lines } else { format!("\n{lines}") }
}

/// Channel, slots, value, range, what the chart calls it, what is asked in physical units, what is done
/// now.
type Row = [String; 7];

/// One fixture: its heading and its rows.
struct Block {
    heading: String,
    rows: Vec<Row>,
}

fn table(situation: &Situation, later: Option<&Later>, places: &[usize]) -> String {
    let scene = later.map_or_else(|| situation.scene(), |later| later.scene(situation));
    let blocks = places.iter().map(|at| block(situation, &scene, later, *at));
    let blocks: Vec<Block> = blocks.collect();
    let now = if later.is_some() { "now" } else { "" };
    let titles = ["channel", "slots", "value", "range", "what it does", "asked", now];
    let titles = titles.map(str::to_owned);
    let mut rows = vec![titles.clone()];
    rows.extend(blocks.iter().flat_map(|block| block.rows.iter().cloned()));
    let widths = Columns { give_way: &[4, 0, 5, 1, 6] }.widths(&rows);

    let show = match situation.show.name.as_str() {
        "" => "show without a name",
        name => name,
    };
    let mut from = format!("{show}: {}", situation.from);
    if let Some(later) = later {
        from.push_str(&format!(", {}", later.words));
    }
    let mut out = format!("{}\n", table::cut(&from, table::LINE));
    let mut told = Told::default();
    for block in &blocks {
        out.push('\n');
        out.push_str(&block.heading);
        if !block.rows.is_empty() {
            out.push_str(&table::line(&titles, &widths));
        }
        for row in &block.rows {
            told.look_at(row);
            out.push_str(&table::line(row, &widths));
        }
    }
    if blocks.is_empty() {
        out.push_str("no fixtures\n");
    }
    out.push_str(&told.legend());
    out
}

const NOT_SENT: &str = "not sent";
const KEPT: &str = "(kept)";
const NO_RANGE: &str = "no range";
const NOT_KNOWN: &str = "not known";

/// Which words that need explaining the table uses.
#[derive(Default)]
struct Told {
    not_sent: bool,
    kept: bool,
    no_range: bool,
    not_known: bool,
}

impl Told {
    fn look_at(&mut self, row: &Row) {
        self.not_sent |= row[2].ends_with(NOT_SENT);
        self.kept |= row[2].ends_with(KEPT);
        self.no_range |= row[3] == NO_RANGE;
        self.not_known |= row[3] == NOT_KNOWN;
    }

    fn legend(&self) -> String {
        let lines = [
            (
                self.not_sent,
                "not sent: no frame ever carried it, which is not 0; the light shown assumes the \
                 value at rest",
            ),
            (self.kept, "kept: an earlier frame carried it and the last one did not reach so far"),
            (
                self.no_range,
                "no range: the chart says nothing about this value; the light shown assumes the \
                 value at rest",
            ),
            (
                self.not_known,
                "not known: the range depends on a slot that is not sent; the light shown takes that \
                 to be at rest",
            ),
        ];
        let mut legend = String::new();
        for (_, line) in lines.iter().filter(|(told, _)| *told) {
            legend.push_str(if legend.is_empty() { "\n" } else { "" });
            legend.push_str(line);
            legend.push('\n');
        }
        legend
    }
}

fn block(situation: &Situation, scene: &Scene, later: Option<&Later>, at: usize) -> Block {
    let later = later.and_then(|later| later.head(situation, at));
    let fixture = &situation.show.rig[at];
    let reading = situation.plan.reading(at, &situation.frames, &situation.decoded);
    let footprint = reading.map_or(0, |reading| reading.mode.footprint);
    let title = format!("{}  {}", fixture.id, fixture.label);
    let model = format!("{}, mode {}, {}", fixture.profile, fixture.mode, span(fixture, footprint));
    let state = state(scene.marks.get(at), reading.is_some());
    let mut heading = format!("{}\n", table::cut(title.trim_end(), table::LINE));
    let estimates = reading.filter(|_| fixture.address.is_some()).map(|reading| {
        let words = level_estimates(reading.mode, &reading.asked());
        words.into_iter().map(|words| format!("an estimate: {words}"))
    });
    let doings = later.as_ref().map(|head| head.doings().join("; ")).filter(|it| !it.is_empty());
    let of_times = later.as_ref().and_then(LaterHead::estimate);
    let of_times = of_times.map(|words| format!("an estimate: {words}"));
    let raw = fixture.address.filter(|_| reading.is_none());
    let raw = raw.map(|address| raw_words(address, &situation.show.rig, &situation.frames));
    let lines = [model, state].into_iter().chain(raw).chain(doings);
    for line in lines.chain(estimates.into_iter().flatten()) {
        heading.push_str(&format!("  {}\n", table::cut(&line, table::LINE - 2)));
    }
    for line in of_times.iter().flat_map(|words| table::wrapped(words, table::LINE - 2)) {
        heading.push_str(&format!("  {line}\n"));
    }
    let rows = reading.map(|reading| {
        let row = |channel| {
            let now = later.as_ref().and_then(|head| head.now(&channel));
            row(&reading, &channel, now.map_or_else(String::new, |now| now.words))
        };
        reading.channels().map(row).collect()
    });
    Block { heading, rows: rows.unwrap_or_default() }
}

/// The slots a fixture takes: `1/17..32`.
pub(super) fn span(fixture: &Fixture, footprint: u16) -> String {
    let Some(address) = fixture.address else { return "not patched".to_owned() };
    let Address { universe, slot } = address;
    let last = slot.number().saturating_add(footprint.max(1) - 1);
    let place = match footprint {
        0 | 1 => format!("{universe}/{slot}"),
        _ => format!("{universe}/{slot}..{last}"),
    };
    match address.slots_lost(footprint) {
        0 => place,
        lost => format!("{place} ({lost} past the end of the universe)"),
    }
}

/// What can be said of a fixture's light: `lit, 80 % of full, 5.00 flashes a second`.
fn state(mark: Option<&Mark>, has_mode: bool) -> String {
    let Some(mark) = mark else { return "not on the stage".to_owned() };
    let mut words = match &mark.state {
        MarkState::Lit => format!("lit, {:.0} % of full", mark.light.1 * 100.0),
        MarkState::Dark => "dark".to_owned(),
        MarkState::Overridden(what) => format!("runs by itself: {what}"),
        MarkState::Unread if has_mode => "not patched: no frame reaches it".to_owned(),
        MarkState::Unread => "no such profile or mode".to_owned(),
    };
    if let Some(flash) = mark.flash {
        words.push_str(&format!(", {:.2} flashes a second", flash.hz));
    }
    if mark.lamp_unknown {
        words.push_str("; lamp on or off is not known");
    }
    words
}

fn row(reading: &Reading<'_>, channel: &ChannelReading<'_>, now: String) -> Row {
    let (range, does, asked) = match (channel.held, channel.range) {
        (Held::Sent(_) | Held::Kept(_), Some(range)) => (
            format!("{}..{}", range.first, range.last),
            range.label.clone(),
            // A range without a number asks for just what it is called: once is enough.
            range.physical.map_or_else(String::new, |_| channel.words()),
        ),
        (Held::Sent(_) | Held::Kept(_), None) if channel.waits => {
            (NOT_KNOWN.to_owned(), "unknown".to_owned(), String::new())
        }
        (Held::Sent(_) | Held::Kept(_), None) => {
            (NO_RANGE.to_owned(), "nothing".to_owned(), String::new())
        }
        (Held::NeverSent | Held::NoSlot, _) => (String::new(), "unknown".to_owned(), String::new()),
    };
    let name = channel.channel.name.clone();
    [name, slots(reading, channel), value(reading, channel), range, does, asked, now]
}

/// The channel's slots, coarse first: `17 18`. One past the end of the universe is `-`.
fn slots(reading: &Reading<'_>, channel: &ChannelReading<'_>) -> String {
    let number = |offset: &u16| {
        reading.slot(*offset).map_or_else(|| "-".to_owned(), |slot| slot.to_string())
    };
    let all: Vec<String> = channel.channel.offsets.iter().map(number).collect();
    all.join(" ")
}

/// The bytes, and the number they make: `128 0 = 32768`. A byte that was never sent is `-`.
fn value(reading: &Reading<'_>, channel: &ChannelReading<'_>) -> String {
    let offsets = &channel.channel.offsets;
    let byte = |offset: &u16| match reading.slot_state(*offset).and_then(SlotState::value) {
        Some(byte) => byte.to_string(),
        None => "-".to_owned(),
    };
    let bytes: Vec<String> = offsets.iter().map(byte).collect();
    let bytes = bytes.join(" ");
    let sum = |value: u32| match offsets.len() {
        1 => bytes.clone(),
        _ => format!("{bytes} = {value}"),
    };
    match channel.held {
        Held::Sent(value) => sum(value),
        Held::Kept(value) => format!("{} {KEPT}", sum(value)),
        Held::NeverSent if bytes.contains(|c: char| c.is_ascii_digit()) => {
            format!("{bytes} {NOT_SENT}")
        }
        Held::NeverSent => NOT_SENT.to_owned(),
        Held::NoSlot => "no slot".to_owned(),
    }
}
