//! Snapshots of a rig over time, so that going to any moment need not start from the beginning.

use super::rig_motion::RigMotion;

/// Snapshots at an even interval. There are never more than a set number: when they run out of room,
/// every second one goes and the interval doubles.
#[derive(Clone, Debug)]
pub struct Snapshots {
    every_s: f64,
    most: usize,
    taken: Vec<RigMotion>,
}

impl Snapshots {
    /// Nothing taken yet; one is to be taken every `every_s`, and at most `most` (at least 2) kept.
    pub fn new(every_s: f64, most: usize) -> Self {
        Self { every_s, most: most.max(2), taken: Vec::new() }
    }

    /// Takes a snapshot if it is time for one.
    pub fn note(&mut self, motion: &RigMotion) {
        if self.taken.last().is_some_and(|last| motion.now_s() < last.now_s() + self.every_s) {
            return;
        }
        if self.taken.len() >= self.most {
            let mut nth = 0;
            self.taken.retain(|_| {
                nth += 1;
                nth % 2 == 1
            });
            self.every_s *= 2.0;
            return self.note(motion);
        }
        self.taken.push(motion.clone());
    }

    /// The last snapshot at or before a time: what came after it must be given to it again.
    pub fn before(&self, t_s: f64) -> Option<&RigMotion> {
        let later = self.taken.partition_point(|motion| motion.now_s() <= t_s);
        self.taken.get(later.checked_sub(1)?)
    }

    /// Forgets what lies after a time, since something changed there.
    pub fn forget_after(&mut self, t_s: f64) {
        self.taken.retain(|motion| motion.now_s() <= t_s);
    }

    /// How far apart they are now, in seconds.
    pub fn every_s(&self) -> f64 {
        self.every_s
    }
}
