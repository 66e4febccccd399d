//! A run with the heads in it: every instant of it at once.

use std::sync::Arc;

use super::run::{Course, Kept, Run};
use crate::decode::{Decoded, Plan};
use crate::motion::{Pose, RigMotion};
use crate::rig::Rig;
use crate::wire::Frames;

/// How many packets that change something lie between two snapshots at first.
const PACKETS: u32 = 32;

/// How much memory all snapshots together may take, in bytes, about.
const ROOM: usize = 256 << 20;

/// What one head takes in a snapshot, in bytes, about: itself, its wheels, cells, emitters and slots.
const HEAD_BYTES: usize = 3 << 10;

/// The least and the most snapshots that are kept.
const KEPT: (usize, usize) = (16, 2048);

/// A straight run of lists played to a rig.
///
/// Going to an instant plays on from the nearest snapshot before it. Snapshots are taken where work piles
/// up, not where time does: an hour in which nothing changes needs none.
#[derive(Clone, Debug)]
pub struct Scrub {
    run: Arc<Run>,
    kept: Arc<Kept>,
    now: Moment,
    now_s: f64,
    /// How far it was played ahead.
    ahead: Moment,
    /// Shared with copies: they are most of what there is.
    snapshots: Arc<Vec<RigMotion>>,
    most: usize,
    every: u32,
    /// Packets played ahead that changed something since the last snapshot.
    since: u32,
}

#[derive(Clone, Debug)]
struct Moment {
    course: Course,
    decoded: Decoded,
    motion: RigMotion,
}

impl Moment {
    /// Plays one packet.
    fn packet(&mut self, packet: u64, at_s: f64, plan: &Plan) {
        if self.course.step(packet) {
            plan.decode(self.course.frames(), &mut self.decoded);
            self.motion.frame(at_s, plan, self.course.frames(), &self.decoded);
        }
    }
}

impl Scrub {
    /// Stands at the beginning, with every head arrived where channels at rest have it. `plan` must be of
    /// this rig.
    pub fn new(run: Arc<Run>, rig: &Rig, plan: &Plan) -> Self {
        let frames = run.tracks().at_rest();
        let mut decoded = plan.start();
        plan.decode(&frames, &mut decoded);
        let motion = RigMotion::arrived(rig, plan, &frames, &decoded, 0.0);
        let mut now = Moment { course: Course::new(run.clone()), decoded, motion };
        now.packet(0, 0.0, plan);
        let most = (ROOM / (HEAD_BYTES * rig.len().max(1))).clamp(KEPT.0, KEPT.1);
        Self {
            kept: Arc::new(Kept::new(&run)),
            ahead: now.clone(),
            snapshots: Arc::new(vec![now.motion.clone()]),
            now,
            now_s: 0.0,
            most,
            every: PACKETS,
            since: 0,
            run,
        }
    }

    /// The run.
    pub fn run(&self) -> &Arc<Run> {
        &self.run
    }

    /// Where it stands, in seconds.
    pub fn now_s(&self) -> f64 {
        self.now_s
    }

    /// What is held of every universe there.
    pub fn frames(&self) -> &Frames {
        self.now.course.frames()
    }

    /// What that comes to, through the plan.
    pub fn decoded(&self) -> &Decoded {
        &self.now.decoded
    }

    /// Every head there.
    pub fn motion(&self) -> &RigMotion {
        &self.now.motion
    }

    /// The lists there.
    pub fn course(&self) -> &Course {
        &self.now.course
    }

    /// What every fixture does there, in the rig's order.
    pub fn poses(&self) -> Vec<Option<Pose>> {
        self.now.motion.poses_at(self.now_s)
    }

    /// Plays at most so many packets ahead that may change something, and keeps snapshots of the way, so
    /// that going there later costs little. Says whether there is more. `plan` must be the one it was
    /// made with.
    pub fn prepare(&mut self, plan: &Plan, most_packets: usize) -> bool {
        for _ in 0..most_packets {
            let Some(packet) = self.ahead.course.next_packet() else { return false };
            self.ahead.packet(packet, self.run.packet_at_s(packet), plan);
            self.since += 1;
            if self.since >= self.every {
                self.keep();
            }
        }
        self.ahead.course.next_packet().is_some()
    }

    fn keep(&mut self) {
        self.since = 0;
        let snapshots = Arc::make_mut(&mut self.snapshots);
        if snapshots.len() >= self.most {
            let mut nth = 0;
            snapshots.retain(|_| {
                nth += 1;
                nth % 2 == 1
            });
            self.every *= 2;
        }
        snapshots.push(self.ahead.motion.clone());
    }

    /// Goes to an instant, in seconds; one before 0 is 0, one past the end is the end. `plan` must be the one it was made with.
    pub fn seek(&mut self, plan: &Plan, t_s: f64) {
        let t_s = if t_s.is_finite() { t_s.clamp(0.0, self.run.end_s()) } else { 0.0 };
        let later = self.snapshots.partition_point(|motion| motion.now_s() <= t_s);
        let before = later.checked_sub(1).and_then(|place| self.snapshots.get(place));
        let back = t_s < self.now_s;
        if let Some(motion) = before.filter(|motion| back || motion.now_s() > self.now_s) {
            let course = self.kept.course_at(motion.now_s());
            let mut decoded = plan.start();
            plan.decode(course.frames(), &mut decoded);
            self.now = Moment { course, decoded, motion: motion.clone() };
        }
        while let Some(packet) = self.now.course.next_packet() {
            let at_s = self.run.packet_at_s(packet);
            if at_s > t_s {
                break;
            }
            self.now.packet(packet, at_s, plan);
        }
        self.now.motion.advance(t_s);
        self.now_s = t_s;
    }
}
