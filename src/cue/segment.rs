//! The value of one channel over time: fades, jumps and movements, each in closed form.

use super::model::FadeCurve;
use super::movement::Swing;

/// What a cue sends one channel to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Target {
    /// The value at the channel's full resolution.
    pub to: u32,
    /// From the start of the cue to the beginning of the fade, in seconds.
    pub delay_s: f64,
    /// From the beginning of the fade to its end, in seconds.
    pub fade_s: f64,
    /// How the fade runs.
    pub curve: FadeCurve,
    /// It jumps, at this share of the fade.
    pub snap: Option<f64>,
    /// A movement on top.
    pub swing: Option<Swing>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Segment {
    begin_s: f64,
    fade_s: f64,
    from: f64,
    to: f64,
    curve: FadeCurve,
    snap: Option<f64>,
    swing: Option<Swing>,
}

impl Segment {
    fn at(&self, t_s: f64) -> f64 {
        let for_s = t_s - self.begin_s;
        let share = if for_s >= self.fade_s { 1.0 } else { (for_s / self.fade_s).max(0.0) };
        let value = match self.snap {
            Some(at) if share >= at => self.to,
            Some(_) => self.from,
            None if share >= 1.0 => self.to,
            None => self.from + (self.to - self.from) * self.curve.at(share),
        };
        match &self.swing {
            Some(swing) => swing.over(value, for_s.max(0.0), share),
            None => value,
        }
    }

    fn still_from_s(&self) -> f64 {
        match self.swing {
            Some(_) => f64::INFINITY,
            None => self.begin_s + self.fade_s * self.snap.unwrap_or(1.0),
        }
    }
}

/// One channel as a list drives it. Times are those of the list, in seconds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TrackState {
    now: Segment,
    /// What begins once its delay is over; until then the one before goes on.
    next: Option<Segment>,
}

impl TrackState {
    /// A channel that stands at a value.
    pub fn at_rest(value: u32) -> Self {
        let value = f64::from(value);
        let now = Segment {
            begin_s: f64::NEG_INFINITY,
            fade_s: 0.0,
            from: value,
            to: value,
            curve: FadeCurve::Even,
            snap: None,
            swing: None,
        };
        Self { now, next: None }
    }

    /// A cue that starts at `t_s` sends it somewhere, from wherever it is by then. What an earlier cue
    /// would still have begun later is forgotten.
    pub fn start(&mut self, t_s: f64, target: &Target) {
        let in_force = match self.next {
            Some(next) if next.begin_s <= t_s => self.begun(next),
            _ => self.now,
        };
        let begin_s = t_s + target.delay_s;
        let coming = Segment {
            begin_s,
            fade_s: target.fade_s,
            from: 0.0,
            to: f64::from(target.to),
            curve: target.curve,
            snap: target.snap,
            swing: target.swing,
        };
        *self = Self { now: in_force, next: Some(coming) };
        if target.delay_s <= 0.0 {
            *self = Self { now: self.begun(coming), next: None };
        }
    }

    /// A segment that begins, from where the one before it is by then.
    fn begun(&self, next: Segment) -> Segment {
        Segment { from: self.now.at(next.begin_s), ..next }
    }

    fn in_force(&self, t_s: f64) -> Segment {
        match self.next {
            Some(next) if next.begin_s <= t_s => self.begun(next),
            _ => self.now,
        }
    }

    /// The value at a time from the last start on, at full resolution and not yet rounded.
    pub fn exact(&self, t_s: f64) -> f64 {
        self.in_force(t_s).at(t_s)
    }

    /// The value at a time from the last start on, at full resolution.
    pub fn value(&self, t_s: f64) -> u32 {
        // Rounds half up, and keeps to what 32 bits hold.
        (self.exact(t_s) + 0.5).floor() as u32
    }

    /// The value that it ends at, without the movement on top.
    pub fn target(&self) -> u32 {
        self.next.unwrap_or(self.now).to as u32
    }

    /// How far the movement on top is in its turn at a time, in turns; `None` without one.
    pub(super) fn turns(&self, t_s: f64) -> Option<f64> {
        let of = self.in_force(t_s);
        let swing = of.swing?;
        Some(swing.phase + swing.hz * (t_s - of.begin_s).max(0.0))
    }

    /// From when on its value no longer changes; infinite while it moves without end.
    pub fn still_from_s(&self) -> f64 {
        match &self.next {
            Some(next) => next.still_from_s(),
            None => self.now.still_from_s(),
        }
    }

    /// Whether its value may change between two times.
    pub fn changes_between(&self, from_s: f64, to_s: f64) -> bool {
        let waits = self.next.is_some_and(|next| next.begin_s > from_s);
        let now = self.in_force(from_s);
        let moves = now.begin_s < to_s && now.still_from_s() >= from_s;
        moves || waits && self.next.is_some_and(|next| next.begin_s <= to_s)
    }

    /// Whether a movement is on it, or will be.
    pub fn swings(&self) -> bool {
        self.next.unwrap_or(self.now).swing.is_some()
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn to(to: u32, fade_s: f64) -> Target {
        Target { to, delay_s: 0.0, fade_s, curve: FadeCurve::Even, snap: None, swing: None }
    }

    #[test]
    fn a_delayed_fade_lets_the_one_before_go_on() {
        let mut track = TrackState::at_rest(0);
        track.start(0.0, &to(100, 10.0));
        track.start(2.0, &Target { delay_s: 3.0, ..to(0, 5.0) });
        assert_eq!(track.value(4.0), 40);
        assert_eq!(track.value(5.0), 50);
        assert_eq!(track.value(7.5), 25);
        assert_eq!(track.value(10.0), 0);
        assert_eq!(track.still_from_s(), 10.0);
    }

    #[test]
    fn a_jump_comes_at_the_start_halfway_or_at_the_end() {
        for (snap, at_s) in [(0.0, 1.0), (0.5, 3.0), (1.0, 5.0)] {
            let mut track = TrackState::at_rest(10);
            track.start(0.0, &Target { delay_s: 1.0, snap: Some(snap), ..to(200, 4.0) });
            assert_eq!(track.value(at_s - 1e-6), 10);
            assert_eq!(track.value(at_s), 200);
        }
    }

    #[test]
    fn a_fade_in_no_time_is_there_at_once() {
        let mut track = TrackState::at_rest(10);
        track.start(1.0, &to(255, 0.0));
        assert_eq!(track.value(1.0), 255);
        assert_eq!(track.exact(1.0), 255.0);
    }

    proptest! {
        /// A wide channel fades as one number: monotone, and never further in a frame than an even
        /// fade goes. Coarse and fine faded apart would jump by 255 at each step of the coarse slot.
        #[test]
        fn a_wide_fade_is_monotone_and_has_no_step_over_its_slope(
            from in 0u32..=65_535, end in 0u32..=65_535, fade_s in 0.1f64..60.0,
        ) {
            let mut track = TrackState::at_rest(from);
            track.start(0.0, &to(end, fade_s));
            let frames = (fade_s * 44.0).ceil() as u32;
            let most = (f64::from(from.abs_diff(end)) / (fade_s * 44.0)).ceil() as u32 + 1;
            let mut last = from;
            for frame in 0..=frames {
                let value = track.value(f64::from(frame) / 44.0);
                prop_assert!(value.abs_diff(last) <= most);
                let onwards = if end >= from { value >= last } else { value <= last };
                prop_assert!(onwards);
                last = value;
            }
            prop_assert_eq!(last, end);
        }
    }
}
