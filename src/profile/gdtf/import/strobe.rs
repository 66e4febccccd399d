//! Flashes whose rate and kind stand on two channels: `StrobeFrequency` says how often, and one of the
//! `StrobeMode` attributes of another channel says in what way (DIN SPEC 15800, annex A).
//!
//! The ranges of the rate then depend on the channel of the kind, which does nothing by itself.

use super::super::description::ChannelFunction;
use super::super::said::Said;
use super::layout::{Layout, Placed};
use super::pieces::{Piece, When, spans};
use crate::profile::model::max_value;

/// What the attributes of a kind of flashes begin with.
const KIND: &str = "strobemode";

/// Whether an attribute says in what way another channel's rate flashes.
pub(super) fn is_kind(attribute: &str) -> bool {
    let attribute = attribute.to_ascii_lowercase();
    attribute.strip_prefix(KIND).is_some_and(|end| !end.is_empty())
}

/// What is done about kinds of flashes that cannot be told.
const EVEN: &str = "flashes are taken as even and hard";

/// Whether a function acts whatever other channels stand at.
fn is_free(function: &ChannelFunction) -> bool {
    function.mode_master.as_deref().is_none_or(|link| link.trim().is_empty())
}

/// Values of a channel, as its first and last coarse value, at which flashes are of a kind.
type Kind<'a> = (&'a ChannelFunction, (i64, i64));

/// Pieces of a rate, one for each kind of flashes that another channel chooses; all others as they are.
pub(super) fn by_kind<'a>(
    pieces: Vec<Piece<'a>>,
    layout: &Layout<'a>,
    placed: &Placed<'a>,
    said: &mut Said,
) -> Vec<Piece<'a>> {
    let is_rate =
        |piece: &Piece<'_>| piece.function.attribute().eq_ignore_ascii_case("StrobeFrequency");
    if !pieces.iter().any(is_rate) {
        return pieces;
    }
    let Some((name, kinds)) = kinds(layout, placed, said) else { return pieces };
    let split = |piece: Piece<'a>| match is_rate(&piece) {
        true => kinds.iter().filter_map(|kind| of_kind(&piece, &name, kind)).collect(),
        false => vec![piece],
    };
    pieces.into_iter().flat_map(split).collect()
}

/// A piece where flashes are of one kind; `None` where that never is while the piece holds.
fn of_kind<'a>(piece: &Piece<'a>, name: &str, kind: &Kind<'a>) -> Option<Piece<'a>> {
    let (function, (first, last)) = *kind;
    let own = piece.when.get(name).copied().unwrap_or((0, 255));
    let both = (own.0.max(first), own.1.min(last));
    let mut made = piece.clone();
    made.when.insert(name.to_owned(), both);
    made.flashes = Some(function.attribute());
    (both.0 <= both.1).then_some(made)
}

/// The channel that chooses the kind of flashes for a rate, with its kinds.
fn kinds<'a>(
    layout: &Layout<'a>,
    placed: &Placed<'a>,
    said: &mut Said,
) -> Option<(String, Vec<Kind<'a>>)> {
    let reference = |placed: &Placed<'_>| placed.part.map(|part| layout.parts.list[part].reference);
    let chooses = |other: &&Placed<'a>| {
        let mut functions = other.channel.functions();
        !other.slots.is_empty()
            && other.name != placed.name
            && reference(other) == reference(placed)
            && functions.any(|(_, f)| is_kind(f.attribute()))
    };
    let chooser = layout.channels.iter().find(chooses)?;
    let width = chooser.slots.len();
    let shift = 8 * (width - 1) as u32;
    let fine = max_value(width - 1);
    let mut found = Vec::new();
    if chooser.channel.functions().any(|(_, f)| is_kind(f.attribute()) && !is_free(f)) {
        let what =
            format!("the kind of flashes depends on more channels than `{}` alone", chooser.name);
        said.warning(&layout.channel_item(placed), what, EVEN);
        return None;
    }
    for logical in &chooser.channel.logical {
        let always = |function: &ChannelFunction| is_free(function).then(When::new);
        let whens: Vec<Option<When>> = logical.functions.iter().map(always).collect();
        for (function, first, last) in spans(logical, &whens, width).into_iter().flat_map(|s| s.1) {
            if !is_kind(function.attribute()) {
                continue;
            }
            if first & fine != 0 || last & fine != fine {
                let what =
                    format!("the kind of flashes depends on a fine value of `{}`", chooser.name);
                said.warning(&layout.channel_item(placed), what, EVEN);
                return None;
            }
            found.push((function, (i64::from(first >> shift), i64::from(last >> shift))));
        }
    }
    (!found.is_empty()).then(|| (chooser.name.clone(), found))
}
