//! The channels of a mode: their values at rest, and their ranges out of pieces.

use super::super::description::{ChannelFunction, DmxChannel, FixtureType};
use super::super::said::Said;
use super::super::values::DmxValue;
use super::cells::{Cells, Reach, acts_on_light};
use super::curves;
use super::effects::Maker;
use super::layout::{Layout, Placed};
use super::pieces::{Piece, When, cut, spans, without};
use super::strobe;
use super::words::attribute_words;
use crate::profile::coverage::values;
use crate::profile::model::max_value;
use crate::profile::{Channel, Condition, Effect, Range};

/// Functions and sets of one channel.
const MOST_PIECES: usize = 1000;

/// Functions and sets of all channels of a profile, with references put in.
pub(super) const MOST_IN_ALL: usize = 100_000;

/// Makes a channel out of what the file says of it; `None` for one that takes no slot.
pub(super) fn channel(
    layout: &Layout<'_>,
    placed: &Placed<'_>,
    cells: &Cells,
    maker: &mut Maker<'_, '_>,
) -> Option<Channel> {
    let item = layout.channel_item(placed);
    let described = placed.channel;
    if placed.slots.is_empty() {
        virtual_channel(described, &item, maker.said);
        return None;
    }
    maker.item.clone_from(&item);
    let width = placed.slots.len();
    let cost = cost(described);
    if cost > MOST_PIECES || cost > maker.pieces_left {
        let what = format!("the channel has {cost} functions and sets");
        let mend = format!("{MOST_PIECES} are allowed, and {MOST_IN_ALL} in all; it is left out");
        maker.said.error(&item, what, mend);
        return None;
    }
    maker.pieces_left -= cost;
    let reach = cells.reach(&layout.parts, placed.part);
    let pieces = pieces(layout, placed, width, (maker.fixture, maker.said));
    let pieces = strobe::by_kind(pieces, layout, placed, maker.said);
    let mut ranges = Vec::with_capacity(pieces.len());
    for piece in &pieces {
        for (first, last, effects) in maker.effects(piece) {
            let effects = reached(effects, piece, reach, layout, maker);
            ranges.push(range(piece, first, last, width, effects));
        }
    }
    ranges.sort_by_key(|range| range.bounds(width));
    hints(described, &item, maker.fixture, maker.said);
    straddles(described, width, &item, maker.said);
    let snap = described.logical.iter().any(|logical| logical.snap == Some(true));
    let cell = if let Reach::Cell(cell) = reach { Some(cell) } else { None };
    Some(Channel {
        name: placed.name.clone(),
        at: placed.slots.clone(),
        default: rest(described).map_or(0, |value| value.to_width(width)),
        snap,
        cell,
        ranges,
    })
}

fn cost(channel: &DmxChannel) -> usize {
    let parts = |function: &ChannelFunction| match function.dmx_profile {
        Some(_) => curves::PARTS,
        None => 1,
    };
    channel.functions().map(|(_, function)| parts(function) + function.sets.len()).sum()
}

/// The value at rest: that of the function it starts with; older files have it on the channel.
pub(super) fn rest(channel: &DmxChannel) -> Option<DmxValue> {
    initial(channel).and_then(|function| function.default).or(channel.default)
}

/// The function that a channel starts with: the one it names, else the first.
fn initial(channel: &DmxChannel) -> Option<&ChannelFunction> {
    let link = channel.initial_function.as_deref().unwrap_or_default();
    let named = link.rsplit('.').next().filter(|name| !name.is_empty());
    let of_name = channel.functions().find(|(_, function)| function.name.as_deref() == named);
    of_name.filter(|_| named.is_some()).or_else(|| channel.functions().next()).map(|(_, f)| f)
}

/// A channel that takes no slot cannot be set by a frame: what it does stands as it does at rest.
fn virtual_channel(channel: &DmxChannel, item: &str, said: &mut Said) {
    let full = initial(channel).is_some_and(|function| {
        let (from, to) = function.physical();
        let most = max_value(4);
        let at = rest(channel).map_or(most, |value| value.to_width(4));
        (from + (to - from) * f64::from(at) / f64::from(most)) > 0.99
    });
    let is_dimmer = channel.name().to_lowercase().ends_with("_dimmer");
    match is_dimmer {
        true if full => {
            said.note(item, "a dimmer without a slot", "the emitters are the level");
        }
        true => {
            let mend = "the emitters alone are the level here, as if it stood at full";
            said.warning(item, "a dimmer without a slot that is not at full at rest", mend);
        }
        false => said.note(item, "a channel without a slot", "no frame sets it; it is left out"),
    }
}

/// The pieces of a channel, none of which meets another.
fn pieces<'a>(
    layout: &Layout<'_>,
    placed: &Placed<'a>,
    width: usize,
    (fixture, said): (&FixtureType, &mut Said),
) -> Vec<Piece<'a>> {
    let item = layout.channel_item(placed);
    let mut groups: Vec<Vec<Piece<'a>>> = Vec::new();
    for logical in &placed.channel.logical {
        let whens: Vec<Option<When>> = logical
            .functions
            .iter()
            .map(|function| when(layout, placed, function, &item, said))
            .collect();
        for (function, when) in logical.functions.iter().zip(&whens) {
            if when.is_none() {
                let name = function.name.as_deref().unwrap_or_default();
                let what = format!("the function `{name}` depends on a channel that takes no slot");
                let mend = "that channel never stands where it would act; it is left out";
                said.warning(&item, what, mend);
            }
        }
        for (when, group) in spans(logical, &whens, width) {
            let cut = group.iter().flat_map(|(function, first, last)| {
                let pieces = cut(function, &when, (*first, *last), width);
                match curves::to_bend(fixture, function) {
                    Some(curve) => {
                        let bent = |piece| curves::bend(piece, (*first, *last), curve);
                        pieces.into_iter().flat_map(bent).collect()
                    }
                    None => pieces,
                }
            });
            groups.push(cut.filter(|piece| !piece.is_gap()).collect());
        }
    }
    settle(groups, &item, width, said)
}

/// Pieces of groups within which none meets another, so that none does at all.
fn settle<'a>(
    mut groups: Vec<Vec<Piece<'a>>>,
    item: &str,
    width: usize,
    said: &mut Said,
) -> Vec<Piece<'a>> {
    if groups.len() == 1 {
        return groups.swap_remove(0);
    }
    let numbered = groups.into_iter().enumerate();
    let mut all: Vec<(usize, Piece<'a>)> =
        numbered.flat_map(|(i, group)| group.into_iter().map(move |piece| (i, piece))).collect();
    all.sort_by_key(|(_, piece)| piece.rank());
    let mut settled: Vec<(usize, Piece<'a>)> = Vec::with_capacity(all.len());
    for (group, piece) in all {
        let (rank, first, last) = (piece.rank(), piece.first, piece.last);
        let met: Vec<&Piece<'a>> = settled
            .iter()
            .filter(|(other, _)| *other != group)
            .map(|(_, other)| other)
            .filter(|other| other.first <= last && first <= other.last)
            .collect();
        let rival = met.iter().find(|other| other.rank() == rank && other.when == piece.when);
        if let Some(rival) = rival.filter(|_| rank < 2) {
            let (rival, own) = (rival.function.attribute(), piece.function.attribute());
            let what = format!("`{rival}` and `{own}` both claim {}", values(first, last, width));
            said.warning(item, what, "only one can hold; the first is taken");
        }
        let left = without(piece, &met);
        settled.extend(left.into_iter().map(|piece| (group, piece)));
    }
    settled.into_iter().map(|(_, piece)| piece).collect()
}

/// Where other channels must stand for a function to be active; `None` if they never do.
///
/// No condition at all means always. A condition without ends covers the value 0 only (DIN SPEC 15800,
/// table 60).
fn when(
    layout: &Layout<'_>,
    placed: &Placed<'_>,
    function: &ChannelFunction,
    item: &str,
    said: &mut Said,
) -> Option<When> {
    let link = function.mode_master.as_deref().map(str::trim).filter(|link| !link.is_empty());
    let Some(link) = link else { return Some(When::new()) };
    let masters: Vec<&Placed<'_>> = layout.linked(link).collect();
    let reference = |placed: &Placed<'_>| placed.part.map(|part| layout.parts.list[part].reference);
    let beside: Vec<&Placed<'_>> =
        masters.iter().copied().filter(|master| reference(master) == reference(placed)).collect();
    let master = match (masters.as_slice(), beside.as_slice()) {
        ([], _) => {
            let what = format!("a function depends on `{link}`, which is no channel of the mode");
            said.error(item, what, "it is taken to be active always");
            return Some(When::new());
        }
        (_, [one]) | ([one], _) => one,
        ([first, ..], _) => {
            let what =
                format!("a function depends on `{link}`: ambiguous, {} instances", masters.len());
            said.warning(item, what, format!("the first is taken, `{}`", first.name));
            first
        }
    };
    let from = function.mode_from.unwrap_or(DmxValue::ZERO);
    let to = function.mode_to.unwrap_or(DmxValue::ZERO);
    let width = master.slots.len();
    if width == 0 {
        let at = rest(master.channel).unwrap_or(DmxValue::ZERO).to_width(4);
        let active = (from.to_width(4)..=to.to_width(4)).contains(&at);
        return active.then(When::new);
    }
    if master.name == placed.name {
        said.error(
            item,
            "a function depends on its own channel",
            "it is taken to be active always",
        );
        return Some(When::new());
    }
    let (first, last) = (from.to_width(width), to.to_width(width));
    if first > last {
        let what = format!("a function depends on `{link}` from {from} back to {to}");
        said.error(item, what, "no value lies there; it is taken to be active always");
        return Some(When::new());
    }
    let shift = 8 * (width - 1) as u32;
    let fine = max_value(width - 1);
    let whole = (first & fine == 0 || usize::from(from.bytes) < width)
        && (last & fine == fine || usize::from(to.bytes) < width);
    if !whole {
        let what = format!("a function depends on a fine value of `{link}`, {from} to {to}");
        said.warning(item, what, "only its coarse value counts here");
    }
    Some(When::from([(master.name.clone(), (i64::from(first >> shift), i64::from(last >> shift)))]))
}

/// A range of the profile. Whole coarse values are written as such.
fn range(piece: &Piece<'_>, first: u32, last: u32, width: usize, effects: Vec<Effect>) -> Range {
    let fine = max_value(width.saturating_sub(1));
    let shift = 8 * (width.saturating_sub(1)) as u32;
    let coarse = first & fine == 0 && last & fine == fine;
    let (from, to) = (i64::from(first >> shift), i64::from(last >> shift));
    let mut effects = effects.into_iter();
    let does = effects.next().unwrap_or(Effect::Unknown);
    let mut label = piece.label().trim().to_owned();
    if label.is_empty() && matches!(does, Effect::Unknown | Effect::Reset { .. }) {
        label = attribute_words(piece.function.attribute()).to_lowercase();
    }
    let always = |interval: &(i64, i64)| *interval == (0, 255);
    let when = piece.when.iter().filter(|(_, interval)| !always(interval));
    Range {
        from: coarse.then_some(from),
        to: coarse.then_some(to),
        fine_from: (!coarse).then_some(i64::from(first)),
        fine_to: (!coarse).then_some(i64::from(last)),
        does,
        also: effects.collect(),
        label,
        when: when.map(|(name, (a, b))| Condition(name.clone(), *a, *b)).collect(),
    }
}

/// Effects that a channel on a part of the fixture can have here.
fn reached(
    effects: Vec<Effect>,
    piece: &Piece<'_>,
    reach: Reach,
    layout: &Layout<'_>,
    maker: &mut Maker<'_, '_>,
) -> Vec<Effect> {
    let idle = effects.iter().all(|effect| matches!(effect, Effect::Idle | Effect::Unknown));
    let attribute = piece.function.attribute();
    let (what, mend) = match reach {
        _ if idle => return effects,
        Reach::Whole => return effects,
        Reach::Cell(_) if acts_on_light(attribute) => return effects,
        Reach::Cell(_) | Reach::Some(_) if layout.setting(attribute) == 1 => {
            let item = maker.item.clone();
            let what = format!("`{attribute}` of some of the beams alone");
            maker.said.warning(&item, what, "here it acts on all of them");
            return effects;
        }
        Reach::Cell(_) => (
            format!("`{attribute}` of one cell alone"),
            "only light differs between cells here; the range stands as unknown".to_owned(),
        ),
        Reach::Some(beams) => (
            format!("a channel for {beams} of {} beams together", layout.parts.beams.len()),
            "a channel drives one cell or all; import this mode by itself, or expect it to stand as \
             unknown"
                .to_owned(),
        ),
    };
    let item = maker.item.clone();
    maker.said.warning(&item, what, mend);
    vec![Effect::Unknown]
}

/// What a channel says to a desk and has no counterpart here.
fn hints(channel: &DmxChannel, item: &str, fixture: &FixtureType, said: &mut Said) {
    let mut kept_out = Vec::new();
    if matches!(channel.highlight, Some(Some(_))) {
        kept_out.push("the value that makes the fixture seen (`Highlight`)");
    }
    for logical in &channel.logical {
        if logical.mib_fade_s.is_some_and(|s| s != 0.0) {
            kept_out.push("a time for moves in the dark (`MibFade`)");
        }
        if logical.change_time_limit_s.is_some_and(|s| s != 0.0) {
            kept_out.push("a shortest time between changes (`DMXChangeTimeLimit`)");
        }
        if logical.master.as_ref().is_some_and(|master| master.text() != "None") {
            kept_out.push("the masters of a desk (`Master`)");
        }
    }
    for (_, function) in channel.functions() {
        let is_dimmer = function.attribute().eq_ignore_ascii_case("Dimmer");
        if function.dmx_profile.is_some() && !is_dimmer {
            let what = format!("`{}` follows a curve", function.attribute());
            match curves::to_bend(fixture, function) {
                Some(_) => said.note(item, what, "straight parts stand for it here"),
                None => said.warning(item, what, "none can stand for it here; taken as even"),
            }
        }
        if function.color_space.is_some() || function.gamut.is_some() {
            kept_out.push("colour spaces and gamuts");
        }
        if !function.sub_sets.is_empty() || function.sets.iter().any(|set| !set.sub_sets.is_empty())
        {
            kept_out.push("physical values besides the main one (`SubChannelSet`)");
        }
    }
    for what in kept_out {
        said.note("", format!("{what} have no counterpart here"), "they are left out");
    }
}

/// Beginnings written in fewer bytes than the channel has lie within a coarse value once widened.
fn straddles(channel: &DmxChannel, width: usize, item: &str, said: &mut Said) {
    let begins = channel.functions().map(|(_, function)| function.from());
    let mut within = begins.filter(|from| from.is_widened(width));
    if let Some(from) = within.next() {
        let coarse = from.to_width(1);
        said.warning(
            item,
            format!("`{from}` in a channel of {width} slots: coarse {coarse} straddles two ranges"),
            format!(
                "the standard repeats its bytes, so the range begins at {}; if the manual means the \
                 whole of coarse {coarse}, write `from: {coarse}`",
                from.to_width(width)
            ),
        );
    }
}
