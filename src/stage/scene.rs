//! What there is to draw: the room, where every fixture stands and points, and every beam.

use glam::DVec3;

use super::room::Room;
use crate::decode::{Asked, Decoded, Plan};
use crate::light::beam::{Beam, add_beams, aim_cone, beam_frame};
use crate::light::{Cone, Face, Rgb};
use crate::motion::{Flash, Lamp, Pose, settle};
use crate::profile::Head;
use crate::rig::{FixtureId, Rig};
use crate::wire::Frames;

/// What a mark looks like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MarkKind {
    /// It does not move.
    Fixed,
    /// The head moves.
    Moving,
    /// A mirror moves.
    Mirror,
}

/// What can be said of a fixture's light.
#[derive(Clone, Debug, PartialEq)]
pub enum MarkState {
    /// Light leaves it.
    Lit,
    /// No light leaves it.
    Dark,
    /// Something else than the frame runs it: what, in words.
    Overridden(String),
    /// It has no address, or its profile is not to be had.
    Unread,
}

/// One fixture on the stage.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// Its number.
    pub id: FixtureId,
    /// What a person calls it.
    pub label: String,
    /// Where it is, in metres.
    pub at: DVec3,
    /// Where it points.
    pub axis: DVec3,
    /// Its field cone, whether or not there is light in it. `None` where its aim is not known.
    pub aim: Option<Cone>,
    /// The same where it was asked to point, while it is not there yet.
    pub asked_aim: Option<Cone>,
    /// Its cells' places in the room; one for a single-cell fixture.
    pub cells: Vec<DVec3>,
    /// What it looks like.
    pub kind: MarkKind,
    /// What can be said of its light.
    pub state: MarkState,
    /// The colour of its light at luminance 1, and how much of its fullest light it gives, 0..1.
    pub light: (Rgb, f64),
    /// How it flashes.
    pub flash: Option<Flash>,
    /// Its discharge lamp may be out: nothing was heard of it.
    pub lamp_unknown: bool,
}

/// Everything a view can show.
#[derive(Clone, Debug, PartialEq)]
pub struct Scene {
    /// The room.
    pub room: Room,
    /// Every fixture, in the rig's order.
    pub marks: Vec<Mark>,
    /// Every beam.
    pub beams: Vec<Beam>,
    /// The illuminance that automatic exposure takes as bright, in lux.
    pub reference_lx: f64,
}

/// How much brighter than what is metered bright is, so that patterns and haze still show above it.
const HEADROOM: f64 = 2.2;

/// Less than this from one beam is not worth a word, in lux: moonlight.
const LEAST_LX: f64 = 0.1;

/// A head that points this close to where it was asked to has no ghost: the two would be one line.
const LEAST_GHOST_RAD: f64 = 0.5 * std::f64::consts::PI / 180.0;

/// Illuminance taken as bright where nothing is lit, in lux.
const USUAL_LX: f64 = 500.0;

impl Scene {
    /// The scene that the frames make once everything has arrived. `decoded` must hold the same
    /// frames, through `plan`, which must be of this rig.
    pub fn new(room: &Room, rig: &Rig, plan: &Plan, frames: &Frames, decoded: &Decoded) -> Self {
        let poses = rig.iter().enumerate().map(|(i, fixture)| {
            let reading = plan.reading(i, frames, decoded)?;
            let mut asked = Asked::for_mode(reading.mode);
            reading.ask(&mut asked);
            Some(settle(&reading.mode.profile, &fixture.aim, &fixture.in_head, &asked))
        });
        let poses: Vec<Option<Pose>> = poses.collect();
        Self::from_poses(room, rig, plan, &poses)
    }

    /// Gives every fixture that is not yet where it was asked to point a ghost of its aim there.
    /// `asked` has a pose for each that may need one, in the rig's order; `plan` must be of this rig.
    pub fn add_ghosts(&mut self, rig: &Rig, plan: &Plan, asked: &[Option<Pose>]) {
        let fixtures = rig.iter().zip(plan.fixtures()).zip(asked);
        for (mark, ((fixture, planned), pose)) in self.marks.iter_mut().zip(fixtures) {
            let (Some(now), Some(mode), Some(pose)) = (&mark.aim, &planned.mode, pose) else {
                continue;
            };
            let there = aim_cone(fixture, &mode.profile, pose);
            mark.asked_aim =
                there.filter(|cone| cone.axis.angle_between(now.axis) > LEAST_GHOST_RAD);
        }
    }

    /// The scene of fixtures that do this, in the rig's order. `plan` must be of this rig. A fixture
    /// without a pose, or past the end of the poses, is unread.
    pub fn from_poses(room: &Room, rig: &Rig, plan: &Plan, poses: &[Option<Pose>]) -> Self {
        let mut beams = Vec::new();
        let marks = rig
            .iter()
            .enumerate()
            .map(|(i, fixture)| {
                let unread = || Mark {
                    id: fixture.id,
                    label: fixture.label.clone(),
                    at: fixture.at,
                    axis: fixture.hang.rotation() * DVec3::NEG_Z,
                    aim: None,
                    asked_aim: None,
                    cells: vec![fixture.at],
                    kind: MarkKind::Fixed,
                    state: MarkState::Unread,
                    light: (Rgb::BLACK, 0.0),
                    flash: None,
                    lamp_unknown: false,
                };
                let mode = plan.fixtures().get(i).and_then(|planned| planned.mode.as_ref());
                let (Some(mode), Some(Some(pose))) = (mode, poses.get(i)) else { return unread() };
                if fixture.address.is_none() {
                    return unread();
                }
                let profile = &mode.profile;
                let first = beams.len();
                add_beams(i, fixture, profile, pose, &mut beams);
                let frame = beam_frame(fixture, profile, pose);
                let right = frame.axis.cross(frame.up);
                let cells = match profile.cells.as_slice() {
                    [] => vec![fixture.at],
                    cells => {
                        let place = |(x, y): &(f64, f64)| fixture.at + right * *x + frame.up * *y;
                        cells.iter().map(place).collect()
                    }
                };
                Mark {
                    axis: frame.axis,
                    aim: match pose.overridden_by {
                        None => aim_cone(fixture, profile, pose),
                        Some(_) => None,
                    },
                    cells,
                    kind: match profile.head {
                        Head::Fixed => MarkKind::Fixed,
                        Head::Moving { .. } => MarkKind::Moving,
                        Head::Mirror { .. } => MarkKind::Mirror,
                    },
                    state: state(pose, beams.len() > first),
                    light: (mean_colour(&beams[first..]), pose.light()),
                    flash: pose.flash(),
                    lamp_unknown: pose.lamp == Lamp::Unknown,
                    ..unread()
                }
            })
            .collect();
        let mut scene = Self { room: room.clone(), marks, beams, reference_lx: USUAL_LX };
        scene.reference_lx = scene.bright_lx();
        scene
    }

    /// Illuminance on a small surface at `point`, whose unit normal is `normal`: each fixture that
    /// lights it with its lux, brightest first. Nothing in the way is looked for.
    pub fn illuminance_at(&self, point: DVec3, normal: DVec3) -> Vec<(usize, f64)> {
        let mut lit: Vec<(usize, f64)> = Vec::new();
        for beam in &self.beams {
            let lux = beam.illuminance_at(point, normal).luminance();
            if lux >= LEAST_LX {
                match lit.iter_mut().find(|(fixture, _)| *fixture == beam.fixture) {
                    Some((_, sum)) => *sum += lux,
                    None => lit.push((beam.fixture, lux)),
                }
            }
        }
        lit.sort_by(|a, b| b.1.total_cmp(&a.1));
        lit
    }

    /// Automatic exposure, as a camera meters: the illuminance which most of the lit floor and back
    /// wall stay below. The strongest channel counts, so that a saturated colour is not called dark.
    fn bright_lx(&self) -> f64 {
        let [floor, wall, ..] = faces(&self.room);
        let beams: Vec<_> = self.beams.iter().map(Beam::metered).collect();
        let mut lit: Vec<f64> = meter_points(&floor, 9, 8)
            .chain(meter_points(&wall, 9, 4))
            .map(|(point, normal)| {
                let sum = beams
                    .iter()
                    .fold(Rgb::BLACK, |sum, beam| sum + beam.illuminance_at(point, normal));
                sum.0.into_iter().fold(0.0, f64::max)
            })
            .filter(|lux| lux.is_finite())
            .collect();
        let brightest = lit.iter().copied().fold(0.0, f64::max);
        lit.retain(|lux| *lux > brightest / 50.0);
        lit.sort_by(f64::total_cmp);
        let metered = lit.get(lit.len() * 4 / 5).copied().filter(|lux| *lux > 1.0);
        metered.map_or(USUAL_LX, |lux| lux * HEADROOM)
    }
}

/// Points spread evenly over a face, with its normal.
fn meter_points(face: &Face, across: u32, up: u32) -> impl Iterator<Item = (DVec3, DVec3)> {
    let share = |i: u32, n: u32| (f64::from(i) + 0.5) / f64::from(n);
    (0..across * up).map(move |i| {
        let (x, y) = (share(i % across, across), share(i / across, up));
        let point = face.origin + face.u * (face.width_m * x) + face.v * (face.height_m * y);
        (point, face.normal)
    })
}

fn state(pose: &Pose, lit: bool) -> MarkState {
    match &pose.overridden_by {
        Some(what) => MarkState::Overridden(what.words()),
        None if lit => MarkState::Lit,
        None => MarkState::Dark,
    }
}

/// The colour of some beams together, at luminance 1.
fn mean_colour(beams: &[Beam]) -> Rgb {
    let sum =
        beams.iter().fold(Rgb::BLACK, |sum, beam| sum + beam.rgb_cd * beam.mean_transmission());
    sum.unit_luminance()
}

/// The faces of a room that light lands on: floor, back wall, left, right, front and ceiling.
pub fn faces(room: &Room) -> [Face; 6] {
    let (min, max) = (room.min(), room.max());
    let size = max - min;
    let (x, y, z) = (DVec3::X, DVec3::Y, DVec3::Z);
    [
        Face::new(min, x, y, size.x, size.y),
        Face::new(DVec3::new(min.x, max.y, min.z), x, z, size.x, size.z),
        Face::new(min, y, z, size.y, size.z),
        Face::new(DVec3::new(max.x, min.y, min.z), z, y, size.z, size.y),
        Face::new(min, z, x, size.z, size.x),
        Face::new(DVec3::new(min.x, min.y, max.z), y, x, size.y, size.x),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_face_looks_into_the_room() {
        let room = Room::default();
        let middle = (room.min() + room.max()) / 2.0;
        for face in faces(&room) {
            assert!((middle - face.origin).dot(face.normal) > 0.0, "{face:?}");
        }
    }
}
