//! Wheels with their colours, prisms, and the pictures of their patterns.

use std::collections::{BTreeMap, HashSet};

use tiny_skia::{Color, FillRule, Paint, PathBuilder, Pixmap, Transform};

use super::super::colour;
use super::super::description::{AnimationSystem, Facet, Slot, Wheel};
use super::super::said::Said;
use super::super::values::{CieColour, Matrix};
use crate::profile::{Profile, WheelSlot};

/// Pixels a picture is wide and high, as the standard advises (DIN SPEC 15800, table 12).
const SIDE: u32 = 256;

/// The openings of a drawing, as polygons in the unit disc with y up.
pub type Openings = Vec<Vec<(f64, f64)>>;

/// Finds the drawings that come with the program.
pub type Drawings<'a> = &'a dyn Fn(&str) -> Option<Openings>;

/// The wheels of a profile and the pictures they name.
#[derive(Debug, Default)]
pub(super) struct Wheels {
    pub(super) wheels: Vec<Wheel>,
    /// PNG files by their names without folder and ending.
    pub(super) pictures: BTreeMap<String, Vec<u8>>,
}

/// Makes the wheels of a profile.
pub(super) fn wheels(profile: &Profile, drawings: Drawings<'_>, said: &mut Said) -> Wheels {
    let mut made = Wheels::default();
    let files = file_names(profile);
    for (name, wheel) in &profile.wheels {
        let slots = wheel.slots.iter().map(|slot| described(slot, &files, profile)).collect();
        made.wheels.push(Wheel { name: Some(name.clone()), slots, ..Wheel::default() });
    }
    for (drawing, file) in &files {
        let own = profile.drawings.get(drawing).cloned();
        let openings = own.or_else(|| drawings(drawing));
        match openings.as_ref().and_then(picture) {
            Some(png) => {
                made.pictures.insert(file.clone(), png);
            }
            None => {
                let item = format!("drawing \"{drawing}\"");
                said.warning(&item, "there is no drawing of this name", "its picture is left out");
            }
        }
    }
    made
}

/// Every drawing that slots name, with a name that is safe for its file and unlike any other.
fn file_names(profile: &Profile) -> BTreeMap<String, String> {
    let mut taken = HashSet::new();
    let mut files = BTreeMap::new();
    for slot in profile.wheels.values().flat_map(|wheel| &wheel.slots) {
        let (WheelSlot::Pattern(_, drawing) | WheelSlot::Animation(_, drawing)) = slot else {
            continue;
        };
        if files.contains_key(drawing) {
            continue;
        }
        let safe = |c: char| if c.is_alphanumeric() || " -_".contains(c) { c } else { '_' };
        let plain: String = drawing.trim().chars().take(80).map(safe).collect();
        let mut file = plain.clone();
        let mut number = 2;
        while !taken.insert(file.to_lowercase()) {
            file = format!("{plain} {number}");
            number += 1;
        }
        files.insert(drawing.clone(), file);
    }
    files
}

fn described(slot: &WheelSlot, files: &BTreeMap<String, String>, profile: &Profile) -> Slot {
    let name = Some(slot.name().to_owned());
    let plain = Slot { name, color: Some(CieColour::WHITE), ..Slot::default() };
    match slot {
        WheelSlot::Open => plain,
        WheelSlot::Tint(_, hex) => Slot { color: colour::of_hex(hex), ..plain },
        // Nothing passes: white without luminance.
        WheelSlot::Blocked(_) => {
            Slot { color: Some(CieColour { luminance: 0.0, ..CieColour::WHITE }), ..plain }
        }
        WheelSlot::Pattern(_, drawing) => {
            Slot { media: files.get(drawing).cloned(), color: None, ..plain }
        }
        WheelSlot::Animation(_, drawing) => Slot {
            media: files.get(drawing).cloned(),
            color: None,
            animation: vec![AnimationSystem::default()],
            ..plain
        },
        WheelSlot::Prism { facets, spread_deg, .. } => {
            let share = spread_deg / profile.optics.field_deg;
            Slot { facets: thrown(*facets, share), color: None, ..plain }
        }
    }
}

/// Facets that throw their copies evenly round a circle, first upward; `share` is the throw in shares
/// of the picture.
fn thrown(facets: u8, share: f64) -> Vec<Facet> {
    let one = |i: u8| {
        let turn = std::f64::consts::TAU * (0.25 + f64::from(i) / f64::from(facets));
        let mut rotation = Matrix::default();
        (rotation.0[2][0], rotation.0[2][1]) = (share * turn.cos(), share * turn.sin());
        Facet { color: Some(CieColour::WHITE), rotation: Some(rotation), ..Facet::default() }
    };
    (0..facets).map(one).collect()
}

/// The picture of openings: the holder is transparent, what blocks is black, what passes is white
/// (DIN SPEC 15800, annex E). `None` where a picture cannot be made.
fn picture(openings: &Openings) -> Option<Vec<u8>> {
    let mut picture = Pixmap::new(SIDE, SIDE)?;
    let half = SIDE as f32 / 2.0;
    let mut paint = Paint { anti_alias: true, ..Paint::default() };
    paint.set_color(Color::BLACK);
    let disc = PathBuilder::from_circle(half, half, half)?;
    picture.fill_path(&disc, &paint, FillRule::Winding, Transform::identity(), None);
    paint.set_color(Color::WHITE);
    for opening in openings {
        let mut outline = PathBuilder::new();
        for (i, (x, y)) in opening.iter().enumerate() {
            let (x, y) = (half + *x as f32 * half, half - *y as f32 * half);
            if i == 0 { outline.move_to(x, y) } else { outline.line_to(x, y) }
        }
        outline.close();
        if let Some(path) = outline.finish() {
            picture.fill_path(&path, &paint, FillRule::Winding, Transform::identity(), None);
        }
    }
    picture.encode_png().ok()
}
