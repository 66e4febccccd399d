//! How channels act on one another.
//!
//! `Multiply` between levels is what levels do here anyway: a dimmer scales what it stands over, and
//! cells and emitters beneath it. No arithmetic is given in the standard; as shares of 0..1 that
//! multiply is the usual reading. Anything else has no counterpart, and it is said what that loses.

use super::super::attributes;
use super::super::description::RelationKind;
use super::super::said::Said;
use super::cells::acts_on_light;
use super::layout::{Layout, Placed};

/// Says what of the relations of a mode has no counterpart, and which channels set the same attribute
/// of the same part with no relation between them.
pub(super) fn check(layout: &Layout<'_>, said: &mut Said) {
    for relation in &layout.mode.relations {
        let name = |link: &Option<String>| link.clone().unwrap_or_default();
        let (master, follower) = (name(&relation.master), name(&relation.follower));
        let item = format!("{}, relation `{master}` to `{follower}`", layout.item);
        for link in [&master, &follower] {
            if layout.linked(link).next().is_none() {
                said.error(&item, format!("`{link}` is no channel of the mode"), "it is left out");
            }
        }
        let level = |link: &str| {
            layout.linked(link).next().is_none_or(|placed| {
                placed.channel.functions().any(|(_, f)| acts_on_light(f.attribute()))
            })
        };
        match &relation.kind {
            Some(RelationKind::Multiply) | None if level(&master) && level(&follower) => {}
            Some(RelationKind::Override) => {
                let what = "`Override`: the master takes the follower's place while it acts";
                let mend = "which values act is not in the file, so that both channels act here";
                said.warning(&item, what, mend);
            }
            kind => {
                let word = kind.as_ref().map_or("Multiply", RelationKind::text);
                let what = format!("`{word}` where one of the two is no level of light");
                let mend = "only levels scale one another here: the follower acts unscaled";
                said.warning(&item, what, mend);
            }
        }
    }
    twice(layout, said);
}

fn is_linked(placed: &Placed<'_>, link: &str) -> bool {
    let name = link.split('.').next().unwrap_or_default();
    placed.channel.name().eq_ignore_ascii_case(name)
}

/// Channels that set one attribute of one part, or the level of parts on one another, always and with
/// no relation between them.
fn twice(layout: &Layout<'_>, said: &mut Said) {
    let mut seen: Vec<(String, &Placed<'_>)> = Vec::new();
    for placed in layout.channels.iter().filter(|placed| !placed.slots.is_empty()) {
        let Some(part) = placed.part else { continue };
        for attribute in always(placed) {
            let meets = |(other, before): &&(String, &Placed<'_>)| {
                let Some(at) = before.part else { return false };
                let levels = attribute == "dimmer"
                    && (layout.parts.is_on(part, at) || layout.parts.is_on(at, part));
                *other == attribute && (at == part || levels) && !related(layout, placed, before)
            };
            if let Some((_, before)) = seen.iter().find(meets) {
                let what = format!(
                    "`{attribute}` is set by slot {} and by slot {}, with no relation between them",
                    before.slots[0], placed.slots[0]
                );
                said.error(&layout.channel_item(placed), what, "here both act: levels multiply");
            }
            seen.push((attribute, placed));
        }
        if seen.len() > 2000 {
            return;
        }
    }
}

/// The attributes that a channel sets whatever others do, in lower case.
fn always(placed: &Placed<'_>) -> Vec<String> {
    let functions = placed.channel.functions().map(|(_, function)| function);
    let free = functions.filter(|function| function.mode_master.is_none());
    let mut names: Vec<String> = free
        .filter(|function| {
            let named = attributes::find(function.attribute());
            named.is_some_and(|named| named.attribute.feature != "Control.Control")
        })
        .map(|function| function.attribute().to_lowercase())
        .collect();
    names.sort();
    names.dedup();
    names
}

fn related(layout: &Layout<'_>, a: &Placed<'_>, b: &Placed<'_>) -> bool {
    layout.mode.relations.iter().any(|relation| {
        let (Some(master), Some(follower)) = (&relation.master, &relation.follower) else {
            return false;
        };
        (is_linked(a, master) && is_linked(b, follower))
            || (is_linked(b, master) && is_linked(a, follower))
    })
}
