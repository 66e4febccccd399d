//! The quickest way from any position and speed to another under a limit of speed and of acceleration,
//! in closed form.
//!
//! With both limited, the minimum-time course accelerates at the limit, holds the top speed, and brakes
//! at the limit: a trapezoid of speed over time, or a triangle where the top speed is never reached
//! (K. M. Lynch and F. C. Park, Modern Robotics, 2017, section 9.2.2.2; from memory). Starting with
//! speed, the same holds once it is decided which way to push: towards the target as seen from where
//! the axis would stand if it braked at once.

/// A stretch of constant acceleration.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Leg {
    for_s: f64,
    accel_deg_s2: f64,
}

/// Where something is over time: a stretch of constant acceleration, one of constant speed and another of
/// constant acceleration, then constant speed for ever (mostly 0).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Course {
    start_s: f64,
    from_deg: f64,
    from_deg_s: f64,
    first: Leg,
    cruise_s: f64,
    last: Leg,
    end_s: f64,
    end_deg: f64,
    end_deg_s: f64,
}

/// Speed and acceleration that a course keeps to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Degrees a second.
    pub speed_deg_s: f64,
    /// Degrees a second squared.
    pub accel_deg_s2: f64,
}

impl Course {
    /// Standing still for ever.
    pub fn rest(start_s: f64, deg: f64) -> Self {
        Self {
            start_s,
            from_deg: deg,
            from_deg_s: 0.0,
            first: Leg::default(),
            cruise_s: 0.0,
            last: Leg::default(),
            end_s: start_s,
            end_deg: deg,
            end_deg_s: 0.0,
        }
    }

    /// The quickest course from a position and speed at `start_s` to rest at `target_deg`. A start
    /// faster than the limit brakes to it first. With no speed allowed it brakes and stays.
    #[inline]
    pub fn to(start_s: f64, from: (f64, f64), target_deg: f64, limits: Limits) -> Self {
        if limits.speed_deg_s.is_nan() || limits.speed_deg_s <= 0.0 {
            return Self::brake(start_s, from, limits.accel_deg_s2);
        }
        let Some(way) = Way::new(from, target_deg, limits.accel_deg_s2) else {
            // Braking at once ends on the target.
            let mut course = Self::brake(start_s, from, limits.accel_deg_s2);
            course.end_deg = target_deg;
            return course;
        };
        way.course(start_s, from, target_deg, limits)
    }

    /// The course to `target_deg` that takes `takes_s`, by a lower top speed; where that is too short
    /// a time, the quickest.
    pub fn in_time(
        start_s: f64,
        from: (f64, f64),
        target_deg: f64,
        takes_s: f64,
        limits: Limits,
    ) -> Self {
        let speed_deg_s = Way::new(from, target_deg, limits.accel_deg_s2)
            .and_then(|way| way.speed_for(takes_s))
            .map_or(limits.speed_deg_s, |speed| speed.min(limits.speed_deg_s));
        Self::to(start_s, from, target_deg, Limits { speed_deg_s, ..limits })
    }

    /// Braking to rest.
    pub fn brake(start_s: f64, from: (f64, f64), accel_deg_s2: f64) -> Self {
        Self::to_speed(start_s, from, 0.0, accel_deg_s2)
    }

    /// To a speed, and on with it for ever.
    pub fn to_speed(start_s: f64, from: (f64, f64), speed_deg_s: f64, accel_deg_s2: f64) -> Self {
        let change = speed_deg_s - from.1;
        let for_s = change.abs() / accel_deg_s2;
        let leg = Leg { for_s, accel_deg_s2: accel_deg_s2.copysign(change) };
        let mut course = Self {
            from_deg: from.0,
            from_deg_s: from.1,
            first: leg,
            end_s: start_s + for_s,
            end_deg_s: speed_deg_s,
            ..Self::rest(start_s, from.0)
        };
        course.end_deg = from.0 + (from.1 + speed_deg_s) / 2.0 * for_s;
        course
    }

    /// Position in degrees and speed in degrees a second at a time from the start on.
    #[inline]
    pub fn at(&self, t_s: f64) -> (f64, f64) {
        if t_s >= self.end_s {
            // Written apart so that rest is exactly on the target.
            let on_deg =
                if self.end_deg_s == 0.0 { 0.0 } else { self.end_deg_s * (t_s - self.end_s) };
            return (self.end_deg + on_deg, self.end_deg_s);
        }
        let on_s = positive(t_s - self.start_s);
        let first_s = lesser(on_s, self.first.for_s);
        let cruise_s = lesser(on_s - first_s, self.cruise_s);
        let last_s = lesser(on_s - first_s - cruise_s, self.last.for_s);
        let top_deg_s = self.from_deg_s + self.first.accel_deg_s2 * first_s;
        let deg_s = top_deg_s + self.last.accel_deg_s2 * last_s;
        let first_deg = (self.from_deg_s + top_deg_s) / 2.0 * first_s;
        let last_deg = (top_deg_s + deg_s) / 2.0 * last_s;
        (self.from_deg + first_deg + top_deg_s * cruise_s + last_deg, deg_s)
    }

    /// When it comes to rest, or to its last speed.
    pub fn end_s(&self) -> f64 {
        self.end_s
    }

    /// Where it comes to rest; `None` where it goes on for ever.
    pub fn rest_deg(&self) -> Option<f64> {
        (self.end_deg_s == 0.0).then_some(self.end_deg)
    }

    /// The same course with every position moved by `deg`: another name for the same places.
    pub fn moved(self, deg: f64) -> Self {
        Self { from_deg: self.from_deg + deg, end_deg: self.end_deg + deg, ..self }
    }
}

/// The lesser of two numbers, which is the second where the first is none. One instruction, unlike
/// `f64::min`.
fn lesser(a: f64, b: f64) -> f64 {
    if a < b { a } else { b }
}

/// A number that is above 0, or else 0, also for one that is none. One instruction, unlike `f64::max`.
fn positive(a: f64) -> f64 {
    if a > 0.0 { a } else { 0.0 }
}

/// Where braking at once would come to rest.
pub fn stops_at(from: (f64, f64), accel_deg_s2: f64) -> f64 {
    from.0 + from.1 * from.1.abs() / (2.0 * accel_deg_s2)
}

/// A move seen in the direction in which it must push first.
struct Way {
    sign: f64,
    /// Distance to the target along the direction; negative where the start shoots past it.
    deg: f64,
    /// Starting speed along the direction.
    deg_s: f64,
    accel_deg_s2: f64,
}

impl Way {
    /// `None` where braking at once ends on the target.
    #[inline]
    fn new(from: (f64, f64), target_deg: f64, accel_deg_s2: f64) -> Option<Self> {
        let short_deg = target_deg - stops_at(from, accel_deg_s2);
        // What is left over from rounding is no move.
        if short_deg.is_nan() || short_deg.abs() <= 1e-12 * target_deg.abs().max(1.0) {
            return None;
        }
        let sign = short_deg.signum();
        let (deg, deg_s) = (sign * (target_deg - from.0), sign * from.1);
        Some(Self { sign, deg, deg_s, accel_deg_s2 })
    }

    #[inline]
    fn course(&self, start_s: f64, from: (f64, f64), target_deg: f64, limits: Limits) -> Course {
        let (accel, top) = (self.accel_deg_s2, limits.speed_deg_s);
        let per_accel = 1.0 / accel;
        // The speed at which the two straight lines of a triangle meet. It is above the starting speed, so
        // that the lower of it and the top speed is the top speed wherever the start is faster than that.
        let peak = positive(accel * self.deg + self.deg_s * self.deg_s / 2.0).sqrt();
        let cruise = lesser(peak, top);
        let change = cruise - self.deg_s;
        let first_s = change.abs() * per_accel;
        let last_s = cruise * per_accel;
        let pushed_deg = (self.deg_s + cruise) / 2.0 * first_s + cruise / 2.0 * last_s;
        // A triangle leaves nothing, but for rounding; asking which it is would cost more than dividing.
        let cruise_s = positive((self.deg - pushed_deg) / cruise);
        let push = accel.copysign(change);
        Course {
            start_s,
            from_deg: from.0,
            from_deg_s: from.1,
            first: Leg { for_s: first_s, accel_deg_s2: self.sign * push },
            cruise_s,
            last: Leg { for_s: last_s, accel_deg_s2: -self.sign * accel },
            end_s: start_s + first_s + cruise_s + last_s,
            end_deg: target_deg,
            end_deg_s: 0.0,
        }
    }

    /// The top speed with which the move takes this long; `None` where no speed is high enough.
    ///
    /// A start slower than that speed: `v²/a - (T + v0/a) v + (d + v0²/2a) = 0`, the smaller root. A
    /// faster one: `v = (d - v0²/2a) / (T - v0/a)`.
    fn speed_for(&self, takes_s: f64) -> Option<f64> {
        let accel = self.accel_deg_s2;
        let ramp_deg = self.deg_s * self.deg_s / (2.0 * accel);
        let ramp_s = self.deg_s / accel;
        let (time_s, deg) = (takes_s + ramp_s, self.deg + ramp_deg);
        let root = time_s * time_s - 4.0 * deg / accel;
        if !(root >= 0.0 && time_s > 0.0) {
            return None;
        }
        // The smaller root, written so that nothing is lost when the move is slow.
        let speed = 2.0 * deg / (time_s + root.sqrt());
        if speed >= self.deg_s {
            return Some(speed);
        }
        let (left_s, left_deg) = (takes_s - ramp_s, self.deg - ramp_deg);
        (left_s > 0.0 && left_deg > 0.0).then(|| left_deg / left_s)
    }
}
