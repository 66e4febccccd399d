//! Which beams are one cell: those that no channel can tell apart.

use std::collections::BTreeMap;

use super::super::attributes;
use super::geometry::Parts;
use super::layout::Layout;

/// The cells of a fixture.
#[derive(Clone, Debug, Default)]
pub(super) struct Cells {
    /// For each beam, the cell it belongs to, from 1. Empty: one cell.
    of_beam: Vec<u16>,
    /// Where the cells sit in metres, x and y from the fixture's own origin. Empty: one cell there.
    pub(super) places: Vec<(f64, f64)>,
}

/// What a channel acts on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Reach {
    /// Everything.
    Whole,
    /// One cell, from 1.
    Cell(u16),
    /// Some cells and not others.
    Some(usize),
}

impl Cells {
    /// The cells of all modes together. Modes that see another number of beams than the greatest do not
    /// count: they have no cell of their own.
    pub(super) fn of(modes: &[Layout<'_>]) -> Self {
        let most = modes.iter().map(|mode| mode.parts.beams.len()).max().unwrap_or(0);
        if most < 2 {
            return Self::default();
        }
        let mut touched: Vec<Vec<usize>> = vec![Vec::new(); most];
        let mut number = 0;
        for mode in modes.iter().filter(|mode| mode.parts.beams.len() == most) {
            for channel in &mode.channels {
                let Some(part) = channel.part else { continue };
                let attributes = channel.channel.functions();
                if !attributes.into_iter().any(|(_, f)| acts_on_light(f.attribute())) {
                    continue;
                }
                for beam in mode.parts.beams_on(part) {
                    touched[*beam].push(number);
                }
                number += 1;
            }
        }
        let mut cells: BTreeMap<&[usize], u16> = BTreeMap::new();
        let mut of_beam = Vec::with_capacity(most);
        for channels in &touched {
            let next = u16::try_from(cells.len() + 1).unwrap_or(u16::MAX);
            of_beam.push(*cells.entry(channels.as_slice()).or_insert(next));
        }
        if cells.len() < 2 {
            return Self::default();
        }
        let parts = modes.iter().map(|mode| &mode.parts).find(|parts| parts.beams.len() == most);
        let places = parts.map(|parts| places(parts, &of_beam)).unwrap_or_default();
        Self { of_beam, places }
    }

    /// What a channel on a part acts on.
    pub(super) fn reach(&self, parts: &Parts, part: Option<usize>) -> Reach {
        let Some(part) = part else { return Reach::Whole };
        if parts.beams.len() < 2 {
            return Reach::Whole;
        }
        let beams = parts.beams_on(part);
        if beams.is_empty() || beams.len() == parts.beams.len() {
            return Reach::Whole;
        }
        if parts.beams.len() != self.of_beam.len() {
            return Reach::Some(beams.len());
        }
        let cell = self.of_beam[beams[0]];
        let whole_cell = self.of_beam.iter().filter(|of| **of == cell).count() == beams.len();
        if whole_cell && beams.iter().all(|beam| self.of_beam[*beam] == cell) {
            return Reach::Cell(cell);
        }
        Reach::Some(beams.len())
    }
}

/// The middle of each cell's beams, from the fixture's own origin.
fn places(parts: &Parts, of_beam: &[u16]) -> Vec<(f64, f64)> {
    let count = of_beam.iter().copied().max().unwrap_or(0);
    let at = |beam: usize| {
        let rows = parts.list[parts.beams[beam]].at.0;
        (rows[0][3], rows[1][3])
    };
    let cell = |cell: u16| {
        let own: Vec<usize> = (0..of_beam.len()).filter(|beam| of_beam[*beam] == cell).collect();
        let n = own.len().max(1) as f64;
        let sum = own.iter().map(|beam| at(*beam)).fold((0.0, 0.0), |a, b| (a.0 + b.0, a.1 + b.1));
        let place = |sum: f64| super::round(sum / n).clamp(-100.0, 100.0);
        (place(sum.0), place(sum.1))
    };
    (1..=count).map(cell).collect()
}

/// Whether an attribute changes the light of a cell by itself.
pub(super) fn acts_on_light(attribute: &str) -> bool {
    let Some(named) = attributes::find(attribute) else { return false };
    let name = named.attribute.name;
    ["Dimmer", "Shutter", "Strobe", "ColorAdd", "ColorSub", "CTO", "CTB", "CTC"]
        .iter()
        .any(|start| name.starts_with(start))
        && !name.ends_with("Reset")
        && !name.ends_with("Mode")
        && name != "DimmerCurve"
}
