//! The parts that channels act on: a body, a yoke and a head where it aims, and a beam for each cell.
//!
//! Links know a channel by its part and its first attribute, which a mode may have only once. A second
//! channel of the same attribute therefore acts on a part around the first one's, with all that is on
//! it: what acts on a part acts on everything that stands on it. Channels that act on no part in
//! particular get parts beside one another instead, so that their number is not bounded by how deep
//! elements may nest.

use std::collections::BTreeMap;

use super::super::description::{Beam, BeamType, Geometries, Geometry, GeometryKind, LampType};
use super::super::values::Matrix;
use crate::profile::{Channel, Head, Lamp, Profile, Source};

/// The model of the whole body.
pub(super) const MODEL: &str = "Box";

/// Where a channel acts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(super) enum Place {
    /// On everything.
    Body,
    /// On the axis of pan.
    Yoke,
    /// On the axis of tilt.
    Head,
    /// On a cell, from 1.
    Cell(u16),
    /// On nothing in particular, beside the rest.
    Aside,
}

/// Attributes that say nothing of a part: what they mean does not depend on where they act.
const OF_NO_PART: [&str; 2] = ["NoFeature", super::effects::OTHER];

impl Place {
    /// Where a channel acts whose first attribute is this.
    pub(super) fn of(channel: &Channel, attribute: &str, profile: &Profile) -> Self {
        let aims = profile.head.axes().is_some();
        match (channel.cell, attribute) {
            (Some(cell), _) if profile.cells.len() > 1 => Self::Cell(cell),
            (_, "Pan" | "PanRotate") if aims => Self::Yoke,
            (_, "Tilt" | "TiltRotate") if aims => Self::Head,
            _ => Self::Body,
        }
    }

    /// Where the so-many-th channel of an attribute acts that acts here.
    pub(super) fn at_level(self, attribute: &str, level: usize) -> Self {
        let aside = self == Self::Body && level > 1 && OF_NO_PART.contains(&attribute);
        if aside { Self::Aside } else { self }
    }

    /// What its parts are called. A reader knows a mirror by nothing but its name.
    fn word(self, mirror: bool) -> String {
        match self {
            Self::Body => "Body".to_owned(),
            Self::Yoke if mirror => "Mirror pan".to_owned(),
            Self::Head if mirror => "Mirror tilt".to_owned(),
            Self::Yoke => "Yoke".to_owned(),
            Self::Head => "Head".to_owned(),
            Self::Cell(cell) => format!("Cell {cell}"),
            Self::Aside => "Control".to_owned(),
        }
    }

    fn name(self, level: usize, mirror: bool) -> String {
        match level {
            0 | 1 => self.word(mirror),
            level => format!("{} level {level}", self.word(mirror)),
        }
    }
}

/// How many parts of each place stand one on another.
#[derive(Clone, Debug)]
pub(super) struct Levels {
    most: BTreeMap<Place, usize>,
    mirror: bool,
}

impl Levels {
    /// One part of each place, for a head of this kind.
    pub(super) fn of(head: &Head) -> Self {
        Self { most: BTreeMap::new(), mirror: matches!(head, Head::Mirror { .. }) }
    }

    /// The part of a place for its so-many-th channel of one attribute, from 1.
    pub(super) fn name(&mut self, place: Place, level: usize) -> String {
        let most = self.most.entry(place).or_insert(1);
        *most = (*most).max(level);
        place.name(level, self.mirror)
    }

    fn levels(&self, place: Place) -> usize {
        self.most.get(&place).copied().unwrap_or(1)
    }

    /// The most parts that stand one on another in this profile, the beam included.
    pub(super) fn deepest(&self) -> usize {
        let cells = self.most.iter().filter(|(place, _)| matches!(place, Place::Cell(_)));
        let cell = cells.map(|(_, levels)| *levels).max().unwrap_or(1);
        let axes = self.levels(Place::Yoke) + self.levels(Place::Head);
        self.levels(Place::Body) + axes + cell + 1
    }

    /// The tree of the parts.
    pub(super) fn geometries(&self, profile: &Profile) -> Geometries {
        let beams: Vec<Geometry> = match profile.cells.as_slice() {
            [] => vec![beam(profile, "Beam".to_owned(), 1)],
            [at] => {
                let mut beam = beam(profile, "Beam".to_owned(), 1);
                let mut place = Matrix::default();
                (place.0[0][3], place.0[1][3]) = *at;
                beam.position = Some(place);
                vec![beam]
            }
            cells => cells
                .iter()
                .enumerate()
                .map(|(i, at)| {
                    let cell = u16::try_from(i + 1).unwrap_or(u16::MAX);
                    let beam = beam(profile, format!("Beam {cell}"), cells.len());
                    let mut part = self.around(Place::Cell(cell), vec![beam]);
                    let mut place = Matrix::default();
                    (place.0[0][3], place.0[1][3]) = *at;
                    part.position = Some(place);
                    part
                })
                .collect(),
        };
        let mut on_body = match profile.head.axes() {
            Some(_) => {
                let head = self.around(Place::Head, beams);
                vec![self.around(Place::Yoke, vec![head])]
            }
            None => beams,
        };
        let beside = 2..=self.most.get(&Place::Aside).copied().unwrap_or(1);
        on_body.extend(
            beside.map(|level| {
                Geometry::new(GeometryKind::Body, Place::Aside.name(level, self.mirror))
            }),
        );
        let mut body = self.around(Place::Body, on_body);
        body.model = profile.body.size_m.map(|_| MODEL.to_owned());
        Geometries { trees: vec![body] }
    }

    /// The parts of a place with others on the innermost.
    fn around(&self, place: Place, inside: Vec<Geometry>) -> Geometry {
        let kind = match place {
            Place::Yoke | Place::Head => GeometryKind::Axis,
            Place::Body | Place::Cell(_) | Place::Aside => GeometryKind::Body,
        };
        let levels = self.levels(place);
        let mut part = Geometry::new(kind.clone(), place.name(levels, self.mirror));
        part.children = inside;
        for level in (1..levels).rev() {
            let mut outer = Geometry::new(kind.clone(), place.name(level, self.mirror));
            outer.children.push(part);
            part = outer;
        }
        part
    }
}

/// One of so many beams that share the light.
fn beam(profile: &Profile, name: String, of: usize) -> Geometry {
    let (lamp_type, color_temperature_k) = match &profile.source {
        Source::White { cct_k, lamp, .. } => {
            let lamp = match lamp {
                Lamp::Led => LampType::Led,
                Lamp::Discharge => LampType::Discharge,
                Lamp::Tungsten => LampType::Tungsten,
            };
            (lamp, Some(*cct_k))
        }
        Source::Emitters(_) => (LampType::Led, None),
    };
    let hard = profile.wheels.values().any(|wheel| wheel.slots.len() > 1);
    let mut part = Geometry::new(GeometryKind::Beam, name);
    part.beam = Some(Beam {
        lamp_type: Some(lamp_type),
        luminous_flux_lm: Some(profile.source.full_flux_lm() / of as f64),
        color_temperature_k,
        beam_angle_deg: Some(profile.optics.beam_deg),
        field_angle_deg: Some(profile.optics.field_deg),
        beam_type: Some(if hard { BeamType::Spot } else { BeamType::Wash }),
        ..Beam::default()
    });
    part
}
