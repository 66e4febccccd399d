//! The parts of a fixture with every reference put in: how often a part comes, where its channels
//! begin, and which beams it acts on.
//!
//! A reference cannot lead back to a tree that it stands in, and one fixture has at most
//! [`MOST_PARTS`] parts, so that references to references do not multiply without end.

use std::collections::HashMap;

use super::super::description::{
    Beam, BeamType, DmxBreak, DmxChannel, FixtureType, Geometry, GeometryKind, position,
};
use super::super::said::Said;
use super::super::values::Matrix4;

/// Parts one fixture may have with its references put in.
pub const MOST_PARTS: usize = 4096;

/// How deep parts may stand on one another with references put in.
pub const MOST_DEPTH: usize = 96;

/// A part where it comes.
#[derive(Clone, Debug)]
pub(super) struct Part {
    /// Its name.
    pub(super) name: String,
    /// The part it stands on.
    pub(super) parent: Option<usize>,
    /// The nearest reference that it was put in by.
    pub(super) reference: Option<usize>,
    /// Start addresses and the slots by which channels move up there, of a reference.
    pub(super) breaks: Vec<(u32, u32)>,
    /// Where it stands in the fixture.
    pub(super) at: Matrix4,
    /// What is said of it as a beam.
    pub(super) beam: Option<Beam>,
}

/// Every part of a fixture in a mode.
#[derive(Clone, Debug, Default)]
pub(super) struct Parts {
    /// The parts, each behind the one it stands on.
    pub(super) list: Vec<Part>,
    /// Those that throw light.
    pub(super) beams: Vec<usize>,
    by_name: HashMap<String, Vec<usize>>,
    /// For each part, the beams on it, by their numbers among the beams.
    beams_on: Vec<Vec<usize>>,
}

impl Parts {
    /// The parts of the tree `top` with its references put in.
    pub(super) fn of(fixture: &FixtureType, top: &str, item: &str, said: &mut Said) -> Self {
        let mut grower = Grower { fixture, item, said, parts: Self::default(), inside: Vec::new() };
        match fixture.geometry(top).or_else(|| fixture.geometries().next()) {
            Some(tree) => {
                if tree.name() != top {
                    let what = format!("there is no part `{top}` to start from");
                    let mend = format!("`{}` is taken", tree.name());
                    grower.said.error(item, what, mend);
                }
                grower.inside.push(tree.name().to_owned());
                grower.grow(tree, None, Matrix4::default(), 0);
            }
            None => grower.said.error(item, "the fixture has no parts", "cells are not known"),
        }
        let mut parts = grower.parts;
        let throws = |part: &Part| part.beam.as_ref().is_some_and(throws_light);
        parts.beams = (0..parts.list.len()).filter(|i| throws(&parts.list[*i])).collect();
        parts.beams_on = vec![Vec::new(); parts.list.len()];
        for (number, beam) in parts.beams.iter().enumerate() {
            for part in std::iter::successors(Some(*beam), |i| parts.list[*i].parent) {
                parts.beams_on[part].push(number);
            }
        }
        for (i, part) in parts.list.iter().enumerate() {
            parts.by_name.entry(part.name.clone()).or_default().push(i);
        }
        parts
    }

    /// The parts of a name.
    pub(super) fn named(&self, name: &str) -> &[usize] {
        self.by_name.get(name).map(Vec::as_slice).unwrap_or_default()
    }

    /// Whether `inner` is `outer`, or stands on it.
    pub(super) fn is_on(&self, inner: usize, outer: usize) -> bool {
        std::iter::successors(Some(inner), |i| self.list[*i].parent).any(|i| i == outer)
    }

    /// Which of the beams stand on a part; each by its number among the beams.
    pub(super) fn beams_on(&self, part: usize) -> &[usize] {
        &self.beams_on[part]
    }

    /// The start address that a channel counts from at a part, and the slots by which it moves up.
    /// A reference moves it by its offset less 1 (DIN SPEC 15800, table 49), one inside another by
    /// both.
    pub(super) fn place(&self, channel: &DmxChannel, part: Option<usize>) -> (u32, u32) {
        let reference = part.and_then(|part| self.list[part].reference);
        let around = || std::iter::successors(reference, |i| self.list[*i].reference);
        let counts_from = match &channel.dmx_break {
            Some(DmxBreak::Overwrite) => {
                let last = reference.and_then(|i| self.list[i].breaks.last());
                last.map_or(1, |(number, _)| *number)
            }
            Some(DmxBreak::Number(number)) => *number,
            None => 1,
        };
        let shift = around().map(|i| {
            let breaks = &self.list[i].breaks;
            let own = breaks.iter().rev().find(|(number, _)| *number == counts_from);
            own.map_or(0, |(_, shift)| *shift)
        });
        (counts_from, shift.fold(0, u32::saturating_add))
    }
}

fn throws_light(beam: &Beam) -> bool {
    !matches!(beam.beam_type, Some(BeamType::None | BeamType::Glow))
}

struct Grower<'a, 's> {
    fixture: &'a FixtureType,
    item: &'a str,
    said: &'s mut Said,
    parts: Parts,
    /// The trees that are being put in.
    inside: Vec<String>,
}

impl Grower<'_, '_> {
    fn grow(&mut self, part: &Geometry, parent: Option<usize>, around: Matrix4, depth: usize) {
        if self.parts.list.len() >= MOST_PARTS || depth >= MOST_DEPTH {
            let mend =
                format!("{MOST_PARTS} parts, {MOST_DEPTH} deep, are allowed; the rest is left out");
            self.said.error(self.item, "the fixture has too many parts", mend);
            return;
        }
        let at = around.then(&position(part));
        let index = self.parts.list.len();
        let parent_reference = parent.and_then(|parent| match &self.parts.list[parent] {
            reference if reference.breaks.is_empty() => reference.reference,
            _ => Some(parent),
        });
        let is_reference = part.kind == GeometryKind::Reference;
        let mut breaks: Vec<(u32, u32)> =
            part.breaks.iter().map(|b| (b.dmx_break.unwrap_or(1), b.shift())).collect();
        if is_reference && breaks.is_empty() {
            // It is a place of its own all the same, with its channels where they are.
            breaks.push((1, 0));
        }
        self.parts.list.push(Part {
            name: part.name().to_owned(),
            parent,
            reference: parent_reference,
            breaks,
            at,
            beam: part.beam.clone(),
        });
        for child in &part.children {
            self.grow(child, Some(index), at, depth + 1);
        }
        if is_reference {
            self.put_in(part, index, at, depth);
        }
    }

    fn put_in(&mut self, part: &Geometry, index: usize, at: Matrix4, depth: usize) {
        let name = part.refers_to.as_deref().unwrap_or_default();
        if self.inside.iter().any(|tree| tree == name) {
            let what = format!("the reference `{}` leads back to `{name}`", part.name());
            self.said.error(self.item, what, "a part cannot stand on itself; it is left out");
            return;
        }
        let Some(tree) = self.fixture.geometry(name) else {
            let what =
                format!("the reference `{}` leads to `{name}`, which is not there", part.name());
            self.said.error(self.item, what, "it is left out");
            return;
        };
        self.inside.push(name.to_owned());
        self.grow(tree, Some(index), at, depth + 1);
        self.inside.pop();
    }
}
