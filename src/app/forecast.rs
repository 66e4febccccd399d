//! What a change of the slots would take, while time plays no part: every head is shown where it is
//! asked to be, and beside that how long it would be on its way from where it was.

use super::clock::{Clock, Mode};
use super::state::State;
use crate::motion::RigMotion;

/// The heads before a change, and the rig that they are of.
pub(super) struct Before {
    heads: RigMotion,
    planned: u64,
}

/// The heads on their way from where they were before the last change to where they are asked to be.
pub struct Forecast {
    /// The gesture that the change is part of: a drag is one change, from where it began.
    gesture: Option<u64>,
    /// The heads as they were before the change.
    before: RigMotion,
    /// The heads sent on their way at 0 s.
    motion: RigMotion,
}

impl Forecast {
    /// Every head sent at 0 s from where it was before the last change of the slots; `None` while time
    /// plays a part, and where nothing was changed yet.
    pub fn sent<'a>(forecast: Option<&'a Self>, clock: &Clock) -> Option<&'a RigMotion> {
        let forecast = forecast.filter(|_| clock.mode == Mode::Arrived);
        forecast.map(|forecast| &forecast.motion)
    }
}

impl State {
    /// The heads before a change that is about to be made. Within one gesture that is where it began.
    pub(super) fn before_change(&mut self, gesture: Option<u64>) -> Option<Before> {
        if self.clock.mode != Mode::Arrived {
            return None;
        }
        let same = |known: &Forecast| gesture.is_some() && known.gesture == gesture;
        let heads = match self.forecast.take().filter(same) {
            Some(known) => known.before,
            None => {
                let (frames, decoded) = self.in_force();
                let rig = &self.document.show().rig;
                RigMotion::arrived(rig, &self.plan, frames, decoded, 0.0)
            }
        };
        Some(Before { heads, planned: self.planned })
    }

    /// Works out what the change that was made takes. One of the rig takes no time.
    pub(super) fn foresee(&mut self, before: Option<Before>, gesture: Option<u64>) {
        let before = before.filter(|before| before.planned == self.planned);
        self.forecast = before.map(|Before { heads: before, .. }| {
            let mut motion = before.clone();
            let levels = &self.document.show().levels;
            motion.frame(0.0, &self.plan, levels, &self.decoded);
            Forecast { gesture, before, motion }
        });
    }
}
