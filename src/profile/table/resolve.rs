//! From channels as printed to the channels of each mode: slots, coarse and fine, values of the slot.

use std::collections::HashSet;

use super::names::{Kind, Named, base, named};
use super::percent;
use super::rows::{Rows, Section, TableChannel, TableRow, Use};
use super::values::Amount;
use crate::wire::SLOTS;

/// A mode as the table has it.
#[derive(Clone, Debug)]
pub(super) struct ModeTable {
    pub(super) name: String,
    pub(super) channels: Vec<ModeChannel>,
}

/// A channel of one mode.
#[derive(Clone, Debug)]
pub(super) struct ModeChannel {
    pub(super) name: String,
    pub(super) named: Named,
    pub(super) at: Vec<u16>,
    pub(super) rows: Vec<ModeRow>,
    pub(super) default: Option<u8>,
}

/// Values of a channel and what they do.
#[derive(Clone, Debug)]
pub(super) struct ModeRow {
    pub(super) line: u32,
    pub(super) from: u32,
    pub(super) to: u32,
    /// The values are those of the whole channel, not of its coarse slot.
    pub(super) is_fine: bool,
    pub(super) text: String,
    pub(super) context: String,
    /// Why its ends are not quite sure.
    pub(super) doubt: String,
    /// No values are printed: all are meant.
    pub(super) implied: bool,
}

impl ModeRow {
    /// Whether it covers every value of the channel.
    pub(super) fn is_whole(&self, width: usize) -> bool {
        let last = if self.is_fine { super::super::model::max_value(width) } else { 255 };
        self.from == 0 && self.to == last
    }
}

/// The modes of the table, each with its own slots.
pub(super) fn modes(rows: &mut Rows) -> Vec<ModeTable> {
    let sections = std::mem::take(&mut rows.sections);
    let mut modes = Vec::new();
    for section in &sections {
        for (i, name) in section.modes.iter().enumerate() {
            // Remarks about a row are made once, not once for each mode that has it.
            let mut silent = Rows::default();
            let said = if i == 0 { &mut *rows } else { &mut silent };
            let channels = mode_channels(section, i, said);
            if !channels.is_empty() {
                let name = name_for(name, &modes);
                modes.push(ModeTable { name, channels });
            }
        }
    }
    modes
}

fn name_for(name: &str, modes: &[ModeTable]) -> String {
    let numbered = format!("mode {}", modes.len() + 1);
    let taken = |name: &str| modes.iter().any(|mode| mode.name == name);
    if name.trim().is_empty() || taken(name) {
        if modes.is_empty() { "standard".to_owned() } else { numbered }
    } else {
        name.trim().to_owned()
    }
}

fn mode_channels(section: &Section, mode: usize, rows: &mut Rows) -> Vec<ModeChannel> {
    let mut channels: Vec<(ModeChannel, &TableChannel)> = Vec::new();
    let mut fines: Vec<(ModeChannel, &TableChannel)> = Vec::new();
    let numbered =
        section.channels.iter().any(|channel| channel.slots.iter().any(|s| !s.is_empty()));
    let mut taken: HashSet<u16> = HashSet::new();
    let mut next = 1u16;
    for table in &section.channels {
        let mut at = table.slots.get(mode).cloned().unwrap_or_default();
        if at.is_empty() {
            if numbered {
                continue;
            }
            at.push(next);
        }
        next = at.iter().max().map_or(next, |slot| slot.saturating_add(1));
        if at.iter().any(|slot| usize::from(*slot) > SLOTS) {
            rows.mark(table.line, Use::NotUnderstood(format!("there are {SLOTS} slots at most")));
            continue;
        }
        if let Some(slot) = at.iter().find(|slot| taken.contains(*slot)) {
            let what = format!("slot {slot} belongs to another channel already");
            drop_channel(table, &what, rows);
            continue;
        }
        taken.extend(&at);
        let named = name_of(table);
        let is_fine = named.fine > 0 && at.len() == 1;
        let rows = table_rows(table, at.len(), rows);
        let named = Named { fine: u8::from(is_fine) * named.fine, ..named };
        let name =
            if table.name.is_empty() { named.kind.word().to_owned() } else { table.name.clone() };
        let channel = ModeChannel { name, named, at, rows, default: table.default };
        if is_fine { fines.push((channel, table)) } else { channels.push((channel, table)) }
    }
    fines.sort_by_key(|(channel, _)| channel.named.fine);
    for (fine, table) in fines {
        pair(&mut channels, fine, table, rows);
    }
    let mut channels: Vec<ModeChannel> = channels.into_iter().map(|(channel, _)| channel).collect();
    channels.sort_by_key(|channel| channel.at.iter().min().copied());
    once_each(&mut channels);
    channels
}

/// What a channel is: by its name, or by the first of its rows that tells.
fn name_of(table: &TableChannel) -> Named {
    let by_name = named(&table.name);
    if by_name.kind != Kind::Unknown || !table.name.is_empty() {
        return by_name;
    }
    let texts = std::iter::once(&table.remark).chain(table.rows.iter().map(|row| &row.text));
    texts.map(|text| named(text)).find(|found| found.kind != Kind::Unknown).unwrap_or(by_name)
}

/// Joins a fine slot to its coarse one.
fn pair<'a>(
    channels: &mut Vec<(ModeChannel, &'a TableChannel)>,
    fine: ModeChannel,
    table: &'a TableChannel,
    rows: &mut Rows,
) {
    let is_coarse = |other: &ModeChannel| {
        let same_name = base(&other.name) == base(&fine.name);
        let same_kind = other.named.kind != Kind::Unknown
            && (other.named.kind, other.named.nth, other.named.cell)
                == (fine.named.kind, fine.named.nth, fine.named.cell);
        (same_name || same_kind) && other.at.len() == usize::from(fine.named.fine)
    };
    // The same name comes before the same kind, of which there may be several.
    let by_name = channels
        .iter()
        .position(|(other, _)| is_coarse(other) && base(&other.name) == base(&fine.name));
    let found = by_name.or_else(|| channels.iter().position(|(other, _)| is_coarse(other)));
    match found.and_then(|at| channels.get_mut(at)) {
        Some((coarse, _)) => {
            if fine.at.first() < coarse.at.last() {
                let what = "the fine slot stands before the coarse one";
                rows.warn(table.line, what, "legal, and easily taken the wrong way round");
            }
            coarse.at.extend(&fine.at);
            rows.mark(table.line, Use::Fine);
            for row in &table.rows {
                rows.mark(row.line, Use::Fine);
            }
        }
        None => {
            let what = format!("`{}` is called fine and has no coarse channel", fine.name);
            rows.warn(table.line, what, "it stays a channel of which nothing is known");
            let named = Named { kind: Kind::Unknown, fine: 0, ..fine.named };
            channels.push((ModeChannel { named, ..fine }, table));
        }
    }
}

fn drop_channel(table: &TableChannel, what: &str, rows: &mut Rows) {
    rows.warn(table.line, what, "only the first channel is kept: look which is right");
    for line in std::iter::once(table.line).chain(table.rows.iter().map(|row| row.line)) {
        rows.mark(line, Use::NotUnderstood(what.to_owned()));
    }
}

/// Gives every channel a name of its own.
fn once_each(channels: &mut [ModeChannel]) {
    let mut seen: HashSet<String> = HashSet::new();
    for channel in channels {
        let first = channel.name.clone();
        let mut n = 2;
        while !seen.insert(channel.name.clone()) {
            channel.name = format!("{first} {n}");
            n += 1;
        }
    }
}

/// The rows of a channel with their values as numbers of the slot.
fn table_rows(table: &TableChannel, width: usize, rows: &mut Rows) -> Vec<ModeRow> {
    if table.rows.is_empty() {
        let text = table.remark.clone();
        let (context, doubt) = (String::new(), String::new());
        let line = table.line;
        return vec![ModeRow {
            line,
            from: 0,
            to: 255,
            is_fine: false,
            text,
            context,
            doubt,
            implied: true,
        }];
    }
    let mut made: Vec<ModeRow> = Vec::new();
    let percents = percent::read(table, rows);
    for (i, row) in table.rows.iter().enumerate() {
        match row.value.as_ref().map(|value| value.amount) {
            Some(Amount::Count(from, to)) => match count(row, from, to, width) {
                Ok(row) => made.push(row),
                Err(what) => {
                    rows.warn(row.line, &what, "look at the table again");
                    rows.mark(row.line, Use::NotUnderstood(what));
                }
            },
            Some(Amount::Percent(..)) => match percents.get(i).and_then(Clone::clone) {
                Some((from, to, doubt)) => made.push(ModeRow { doubt, ..plain_row(row, from, to) }),
                None => {
                    let what = "these are no percent of anything: 0..100 are".to_owned();
                    rows.mark(row.line, Use::NotUnderstood(what));
                }
            },
            None => made.push(plain_row(row, 0, 255)),
        }
    }
    apart(made, rows)
}

fn plain_row(row: &TableRow, from: u32, to: u32) -> ModeRow {
    ModeRow {
        line: row.line,
        from,
        to,
        is_fine: false,
        text: row.text.clone(),
        context: row.context.clone(),
        doubt: String::new(),
        implied: false,
    }
}

/// Values of one slot, or of two together.
fn count(row: &TableRow, from: u32, to: u32, width: usize) -> Result<ModeRow, String> {
    if to <= 255 {
        return Ok(plain_row(row, from, to));
    }
    if width < 2 || to > 0xffff {
        return Err(format!("a slot has no value `{to}`: its values are 0..255"));
    }
    // Two slots together, which most often end where the coarse one changes.
    if from & 0xff == 0 && to & 0xff == 0xff {
        return Ok(plain_row(row, from >> 8, to >> 8));
    }
    if width != 2 {
        return Err(format!("`{to}` is a value of two slots, and the channel has {width}"));
    }
    Ok(ModeRow { is_fine: true, ..plain_row(row, from, to) })
}

/// Takes out what two rows both claim: the later one of two neighbours has the value they share.
fn apart(made: Vec<ModeRow>, rows: &mut Rows) -> Vec<ModeRow> {
    let mut order: Vec<usize> = (0..made.len()).collect();
    order.sort_by_key(|i| (made[*i].is_fine, made[*i].from, *i));
    let mut kept: Vec<ModeRow> = Vec::with_capacity(made.len());
    for row in order.into_iter().filter_map(|i| made.get(i).cloned()) {
        let mut row = row;
        // Values of two slots and of one are not compared.
        if let Some(before) = kept.last_mut().filter(|before| before.is_fine == row.is_fine) {
            if row.from == before.to && before.from < before.to && row.from <= row.to {
                before.to -= 1;
                let why = format!("line {} begins at the value this one ends with", row.line);
                before.doubt.clone_from(&why);
                rows.warn(before.line, why, "the later line has it: look which is right");
            } else if row.from <= before.to {
                let what = format!(
                    "values {}..{} stand in line {} too",
                    row.from,
                    row.to.min(before.to),
                    before.line
                );
                rows.warn(
                    row.line,
                    &what,
                    "the line that begins lower keeps them: look which is right",
                );
                row.from = before.to + 1;
                row.doubt.clone_from(&what);
                if row.from > row.to {
                    rows.mark(row.line, Use::NotUnderstood(what));
                    continue;
                }
            }
        } else if kept.iter().any(|before| before.is_fine != row.is_fine) {
            let what = "values of one slot and of two together in the same channel".to_owned();
            rows.mark(row.line, Use::NotUnderstood(what));
            continue;
        }
        kept.push(row);
    }
    kept
}
