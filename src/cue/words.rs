//! Cues in the words of people: times, how the next one comes, loops, movements.

use super::model::{Cue, FadeCurve, Loop, Next, SnapAt, Time, Times};
use super::movement::{Movement, MovementKind, Wave};
use crate::finding::rounded;
use crate::rig::FixtureId;

/// From how many fixtures of following numbers on only the first and the last are named.
const SPAN: usize = 3;

/// Seconds in words: `2.5 s`.
pub fn seconds(s: f64) -> String {
    format!("{} s", rounded(s, 3))
}

/// A fade and its delay: `3 s after 1.5 s`.
pub fn time(time: Time) -> String {
    match time.delay_s == 0.0 {
        true => seconds(time.fade_s),
        false => format!("{} after {}", seconds(time.fade_s), seconds(time.delay_s)),
    }
}

/// How long a cue takes, and how it fades where that is not evenly: `2 s; up 4 s; slow at both ends`.
pub fn times(cue: &Cue) -> String {
    let Times { all, up, down, aim, colour, beam } = cue.times;
    let mut words = vec![time(all)];
    let own = [("up", up), ("down", down), ("aim", aim), ("colour", colour), ("beam", beam)];
    words.extend(own.iter().filter_map(|(part, own)| Some(format!("{part} {}", time((*own)?)))));
    words.extend(curve(cue.curve).map(str::to_owned));
    words.extend(snap(cue.snap).map(str::to_owned));
    words.join("; ")
}

/// How a fade runs; `None` where it does so evenly.
fn curve(curve: FadeCurve) -> Option<&'static str> {
    match curve {
        FadeCurve::Even => None,
        FadeCurve::Smooth => Some("slow at both ends"),
        FadeCurve::SlowStart => Some("slow at first"),
        FadeCurve::SlowEnd => Some("slow at last"),
    }
}

/// When channels that jump do so; `None` where they do at the start.
fn snap(snap: SnapAt) -> Option<&'static str> {
    match snap {
        SnapAt::Start => None,
        SnapAt::Half => Some("jumps halfway"),
        SnapAt::End => Some("jumps at the end"),
    }
}

/// How the next cue comes.
pub fn next(next: Next) -> String {
    match next {
        Next::Go => "somebody sends the next".to_owned(),
        Next::Follow(0.0) => "the next follows at once".to_owned(),
        Next::Follow(s) => format!("the next follows after {}", seconds(s)),
        Next::Wait(s) => format!("the next comes {} after its start", seconds(s)),
    }
}

/// A span that is run again: `cues 8 to 9 run 3 times`.
pub fn repeats(span: &Loop) -> String {
    let (from, to) = (span.from, span.to);
    match span.passes {
        Some(passes) => format!("cues {from} to {to} run {passes} times in all"),
        None => format!("cues {from} to {to} run again until somebody jumps out"),
    }
}

/// Fixtures by their numbers, in rising order: `101, 102, 201 to 204`.
pub fn fixtures(ids: &[FixtureId]) -> String {
    let mut ids = ids.to_vec();
    ids.sort_unstable();
    ids.dedup();
    let mut words = Vec::new();
    let follow = |pair: &FixtureId, next: &FixtureId| pair.checked_add(1) == Some(*next);
    for span in ids.chunk_by(follow) {
        match span {
            [first, .., last] if span.len() >= SPAN => words.push(format!("{first} to {last}")),
            few => words.extend(few.iter().map(FixtureId::to_string)),
        }
    }
    words.join(", ")
}

/// What a movement does: `circle of 9 deg, 0.15 Hz, a whole turn spread over them`.
pub fn movement(movement: &Movement) -> String {
    let size = rounded(movement.size.abs(), 2);
    let mut words = match &movement.kind {
        MovementKind::Circle => format!("circle of {size} deg"),
        MovementKind::Pan => format!("pan to and fro by {size} deg"),
        MovementKind::Tilt => format!("tilt to and fro by {size} deg"),
        MovementKind::Level => format!("level down by {size} % and back"),
        MovementKind::Channel(name) => format!("{name} to and fro by {size}"),
    };
    words.push_str(match movement.wave {
        Wave::Sine => "",
        Wave::Triangle => ", straight up and down",
        Wave::Square => ", jumping",
        Wave::Saw => ", straight up and down at once",
    });
    words.push_str(&format!(", {} Hz", rounded(movement.hz.abs(), 3)));
    if movement.hz < 0.0 {
        words.push_str(" backwards");
    }
    match movement.spread {
        0.0 => words.push_str(", all alike"),
        1.0 => words.push_str(", a whole turn spread over them"),
        spread => words.push_str(&format!(", {} turns spread over them", rounded(spread, 2))),
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cue::CueNumber;

    #[test]
    fn numbers_that_follow_each_other_are_a_span() {
        assert_eq!(fixtures(&[102, 101, 201, 203, 202, 204, 7]), "7, 101, 102, 201 to 204");
        assert_eq!(fixtures(&[]), "");
        assert_eq!(fixtures(&[FixtureId::MAX, 1]), format!("1, {}", FixtureId::MAX));
    }

    #[test]
    fn times_are_told_in_short_and_only_where_they_differ() {
        let mut cue = Cue::new(CueNumber::whole(1).unwrap());
        assert_eq!(times(&cue), "0 s");
        cue.times.all = Time { fade_s: 2.5, delay_s: 0.0 };
        cue.times.up = Some(Time { fade_s: 3.0, delay_s: 1.5 });
        (cue.curve, cue.snap) = (FadeCurve::Smooth, SnapAt::End);
        let said = "2.5 s; up 3 s after 1.5 s; slow at both ends; jumps at the end";
        assert_eq!(times(&cue), said);
        assert_eq!(next(Next::Follow(1.0)), "the next follows after 1 s");
    }

    #[test]
    fn a_movement_says_what_moves_how_far_and_how_fast() {
        let of = |kind, hz, spread| Movement {
            fixtures: vec![1, 2],
            kind,
            wave: Wave::Sine,
            hz,
            size: 9.0,
            spread,
        };
        assert_eq!(
            movement(&of(MovementKind::Circle, 0.15, 1.0)),
            "circle of 9 deg, 0.15 Hz, a whole turn spread over them"
        );
        assert_eq!(
            movement(&of(MovementKind::Level, -2.0, 0.0)),
            "level down by 9 % and back, 2 Hz backwards, all alike"
        );
    }
}
