//! Which fixtures a fixture has to be played with: those that share a slot with it, and those that may lead it.

use std::collections::BTreeMap;

use crate::decode::{CompiledMode, Plan};
use crate::profile::Effect;
use crate::wire::Universe;

/// For every fixture of a rig those that it is played with, itself among them, as places in rising order.
pub(in crate::check) fn companies(plan: &Plan) -> Vec<Vec<usize>> {
    let mut group: Vec<usize> = (0..plan.fixtures().len()).collect();
    let mut join = |a: usize, b: usize| {
        let (keep, drop) = (group[a].min(group[b]), group[a].max(group[b]));
        if keep != drop {
            group.iter_mut().filter(|of| **of == drop).for_each(|of| *of = keep);
        }
    };
    let driven = plan.fixtures().iter().enumerate();
    let driven = driven.filter_map(|(place, of)| Some((place, of.mode.as_ref()?, of.address?)));
    let mut driven: Vec<_> = driven.collect();
    driven.sort_by_key(|(place, _, address)| (address.universe, address.slot, *place));
    let mut last: Option<(Universe, usize, usize)> = None;
    let mut leads: BTreeMap<(*const CompiledMode, Universe), usize> = BTreeMap::new();
    for (place, mode, address) in driven {
        let first = address.slot.index();
        let end = first + usize::from(mode.footprint);
        match last {
            Some((universe, ends, with)) if universe == address.universe && first < ends => {
                join(with, place);
                last = Some((universe, ends.max(end), place));
            }
            _ => last = Some((address.universe, end, place)),
        }
        if follows(mode) {
            let key = (std::ptr::from_ref(&**mode), address.universe);
            join(*leads.entry(key).or_insert(place), place);
        }
    }
    let mut members: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (place, of) in group.iter().enumerate() {
        members.entry(*of).or_default().push(place);
    }
    group.iter().map(|of| members.get(of).cloned().unwrap_or_default()).collect()
}

/// Whether a fixture of a mode can be set to do what another one does.
fn follows(mode: &CompiledMode) -> bool {
    let mut ranges = mode.channels.iter().flat_map(|channel| &channel.ranges);
    ranges.any(|range| range.effects().any(|effect| matches!(effect, Effect::Follow)))
}
