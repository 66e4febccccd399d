//! Patterns a wheel can put in the light, as lists of openings, and the copies a prism makes.

use std::f64::consts::{PI, TAU};
use std::sync::LazyLock;

use glam::DVec2;
use serde::Deserialize;

/// The drawings shipped with the program.
const EMBEDDED: &str = include_str!("../../assets/patterns.ron");

/// A pattern: the openings that light passes through, in the unit disc of the aperture, y up.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// The name profiles use: lower case, words joined by hyphens.
    pub name: String,
    /// Simple polygons that do not overlap; none is closed by a repeated point.
    pub openings: Vec<Vec<DVec2>>,
    /// Share of the disc that is open, 0..1: the share of an even beam's flux that passes.
    pub open_fraction: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Record {
    name: String,
    openings: Vec<Vec<(f64, f64)>>,
}

/// A file of drawings that cannot be read is caught by the tests; here it would mean no patterns.
static LIBRARY: LazyLock<Vec<Drawing>> = LazyLock::new(|| read(EMBEDDED).unwrap_or_default());

/// Whether the program has a drawing of this name for profiles to use.
pub fn is_known_drawing(name: &str) -> bool {
    drawing(name).is_some()
}

/// The drawing of this name; `None` if the library has none.
pub fn drawing(name: &str) -> Option<&'static Drawing> {
    LIBRARY.iter().find(|drawing| drawing.name == name)
}

/// The names of all drawings, in the order of the library.
pub fn names() -> impl Iterator<Item = &'static str> {
    LIBRARY.iter().map(|drawing| drawing.name.as_str())
}

/// Where the `count` facets of a prism, turned by `turn_deg`, throw their copies: unit vectors in the
/// aperture, evenly round a circle and anticlockwise, first upward. The caller scales them by how
/// far the prism spreads the copies.
pub fn facet_offsets(count: usize, turn_deg: f64) -> impl Iterator<Item = DVec2> {
    let first_rad = PI / 2.0 + turn_deg.to_radians();
    (0..count).map(move |i| DVec2::from_angle(first_rad + TAU * i as f64 / count as f64))
}

/// Area of a simple polygon, positive if it runs anticlockwise.
pub fn signed_area(polygon: &[DVec2]) -> f64 {
    let next = polygon.iter().cycle().skip(1);
    polygon.iter().zip(next).map(|(a, b)| a.perp_dot(*b)).sum::<f64>() / 2.0
}

fn read(text: &str) -> Result<Vec<Drawing>, ron::error::SpannedError> {
    let records: Vec<Record> = ron::from_str(text)?;
    Ok(records.into_iter().map(Drawing::from).collect())
}

impl From<Record> for Drawing {
    fn from(record: Record) -> Self {
        let openings: Vec<Vec<DVec2>> = record
            .openings
            .into_iter()
            .map(|points| points.into_iter().map(DVec2::from).collect())
            .collect();
        let open_area: f64 = openings.iter().map(|opening| signed_area(opening).abs()).sum();
        Self { name: record.name, openings, open_fraction: (open_area / PI).clamp(0.0, 1.0) }
    }
}

/// The openings of a drawing that comes with the program, as polygons in the unit disc.
pub fn openings(name: &str) -> Option<Vec<Vec<(f64, f64)>>> {
    let polygon = |corners: &Vec<DVec2>| corners.iter().map(|at| (at.x, at.y)).collect();
    Some(drawing(name)?.openings.iter().map(polygon).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_embedded_library_reads_whole() {
        let drawings = read(EMBEDDED).unwrap();
        assert!(drawings.len() >= 16);
        assert_eq!(names().count(), drawings.len());
        assert!(drawing("three-leaves").is_some());
        assert!(drawing("no such pattern").is_none());
    }

    #[test]
    fn names_are_plain_and_differ() {
        let mut seen: Vec<_> = names().collect();
        for name in &seen {
            assert!(name.chars().all(|c| c.is_ascii_lowercase() || c == '-'), "{name}");
        }
        seen.sort_unstable();
        seen.dedup();
        assert_eq!(seen.len(), names().count());
    }

    #[test]
    fn openings_are_anticlockwise_polygons_inside_the_disc() {
        for drawing in LIBRARY.iter() {
            for opening in &drawing.openings {
                assert!(opening.len() >= 3, "{}", drawing.name);
                assert!(signed_area(opening) > 1e-4, "{}", drawing.name);
                assert!(opening.iter().all(|p| p.length() <= 1.0), "{}", drawing.name);
            }
            let vertices: usize = drawing.openings.iter().map(Vec::len).sum();
            assert!(vertices <= 150, "{} has {vertices} vertices", drawing.name);
            assert!((0.1..0.8).contains(&drawing.open_fraction), "{}", drawing.name);
        }
    }

    #[test]
    fn openings_neither_cross_themselves_nor_each_other() {
        for drawing in LIBRARY.iter() {
            let edges: Vec<(DVec2, DVec2)> = drawing
                .openings
                .iter()
                .flat_map(|o| o.iter().copied().zip(o.iter().copied().cycle().skip(1)))
                .collect();
            for (i, &(a, b)) in edges.iter().enumerate() {
                for &(c, d) in &edges[i + 1..] {
                    assert!(!cross(a, b, c, d), "{}: {a}-{b} and {c}-{d}", drawing.name);
                }
            }
        }
    }

    /// True if the two segments cross at an inner point of both.
    fn cross(a: DVec2, b: DVec2, c: DVec2, d: DVec2) -> bool {
        let side = |p: DVec2, q: DVec2, r: DVec2| (q - p).perp_dot(r - p);
        side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
    }

    #[test]
    fn facets_stand_evenly_round_a_circle() {
        let facets: Vec<_> = facet_offsets(3, 0.0).collect();
        assert!(facets[0].distance(DVec2::Y) < 1e-12);
        assert!(facets.iter().sum::<DVec2>().length() < 1e-12);
        assert!(facet_offsets(4, 90.0).next().unwrap().distance(-DVec2::X) < 1e-12);
        assert_eq!(facet_offsets(0, 0.0).count(), 0);
    }
}
