//! Fixtures of one model beside each other: when each arrives, and if not together, whether the data is
//! the cause.

use super::course::At;
use super::frames::Situation;
use crate::motion::compare::joined;
use crate::motion::now::aim_now;
use crate::motion::{Comparison, RigMotion, compare};

/// Where every head pointed before the first frame, in degrees of pan and tilt.
pub(super) struct Starts(Vec<Option<[f64; 2]>>);

impl Starts {
    /// Where the heads of a rig of `count` fixtures point now.
    pub(super) fn of(motion: &RigMotion, count: usize) -> Self {
        let aim = |i: usize| {
            let head = motion.head(i)?;
            Some(aim_now(head, &head.pose_at(motion.now_s())).map(|(deg, _)| deg))
        };
        Self((0..count).map(aim).collect())
    }

    /// Whether two heads pointed to different places.
    fn apart(&self, one: usize, other: usize) -> bool {
        let aim = |i: usize| self.0.get(i).copied().flatten();
        let (Some(a), Some(b)) = (aim(one), aim(other)) else { return false };
        a.iter().zip(b).any(|(a, b)| (a - b).abs() > 0.01)
    }
}

/// What there is to say of the fixtures at these places of the rig: one line for all of one mode.
/// Nothing where there are fewer than two.
pub(super) fn beside(
    situation: &Situation,
    at: At<'_>,
    starts: &Starts,
    places: &[usize],
) -> Vec<String> {
    if places.len() < 2 {
        return Vec::new();
    }
    let mut modes: Vec<(*const _, Vec<usize>)> = Vec::new();
    for place in places {
        let planned = situation.plan.fixtures().get(*place).and_then(|it| it.mode.as_ref());
        // One without a profile does nothing, which its own heading says.
        let Some(mode) = planned.map(std::sync::Arc::as_ptr) else { continue };
        match modes.iter_mut().find(|(of, _)| *of == mode) {
            Some((_, members)) => members.push(*place),
            None => modes.push((mode, vec![*place])),
        }
    }
    let compared = modes.iter().filter_map(|(_, members)| {
        compare(at.motion, &situation.plan, at.frames, at.decoded, members)
    });
    let mut lines: Vec<String> =
        compared.map(|compared| line(situation, starts, &compared)).collect();
    // Who asks about heads of different models wants to see them, not to have them compared.
    let alone = modes.iter().filter(|(_, members)| members.len() == 1 && !lines.is_empty());
    let alone: Vec<String> = alone.map(|(_, members)| name(situation, members[0])).collect();
    match alone.as_slice() {
        [] => {}
        [one] => lines.push(format!("{one} is the only one of its mode here, and is not compared")),
        all => lines.push(format!("{} are of other modes, and are not compared", joined(all))),
    }
    lines
}

fn name(situation: &Situation, place: usize) -> String {
    situation.show.rig.get(place).map_or(String::new(), |fixture| fixture.id.to_string())
}

fn line(situation: &Situation, starts: &Starts, compared: &Comparison) -> String {
    let named = |places: &[usize]| {
        joined(&places.iter().map(|place| name(situation, *place)).collect::<Vec<_>>())
    };
    let at = |s: Option<f64>| match s {
        Some(s) => format!("at {:.2} s", s.max(0.0)),
        None => "never".to_owned(),
    };
    let groups = compared.arrivals();
    if let ([(s, all)], true) = (groups.as_slice(), compared.same_target) {
        return match s {
            Some(s) => {
                format!("{} arrive together with pan and tilt: {:.2} s", named(all), s.max(0.0))
            }
            None => format!("{} go to no pan and tilt", named(all)),
        };
    }
    let arrivals = groups.iter().enumerate().map(|(nth, (s, places))| {
        let verb = if places.len() == 1 { "arrives" } else { "arrive" };
        match nth {
            0 => format!("{} {verb} with pan and tilt {}", named(places), at(*s)),
            _ => format!("{} {}", named(places), at(*s)),
        }
    });
    let arrivals: Vec<String> = arrivals.collect();
    let target = if compared.same_target { "" } else { ", asked to different places" };
    let why = match (compared.data_differs(), set_apart(situation, starts, compared)) {
        (false, Some(apart)) => format!("no slot of theirs is the cause; {apart}"),
        _ => compared.words(|place| name(situation, place)),
    };
    format!("{}{target}: {why}", arrivals.join(", "))
}

/// What besides the data makes the courses of fixtures differ, where that is known.
fn set_apart(
    situation: &Situation,
    starts: &Starts,
    compared: &Comparison,
) -> Option<&'static str> {
    let (first, others) = compared.fixtures.split_first()?;
    let rig = &situation.show.rig;
    let set = |place: usize| rig.get(place).map(|fixture| (fixture.aim, fixture.in_head));
    if others.iter().any(|other| set(*other) != set(*first)) {
        return Some("their swap, invert or offset does differ");
    }
    let apart = others.iter().any(|other| starts.apart(*first, *other));
    apart.then_some("they started from different places")
}
