//! What the rows of a list say, in short.

use crate::cue::{CompiledCue, Cue, Next, Time};
use crate::finding::number;

/// How long a cue takes: `2 s`, `up 4 s, down 2 s`, with what begins later.
pub(super) fn times(cue: &Cue) -> String {
    let of = |time: Time| match time.delay_s > 0.0 {
        true => format!("{} s after {} s", number(time.fade_s), number(time.delay_s)),
        false => format!("{} s", number(time.fade_s)),
    };
    let own = [
        ("up", cue.times.up),
        ("down", cue.times.down),
        ("aim", cue.times.aim),
        ("colour", cue.times.colour),
        ("beam", cue.times.beam),
    ];
    let own = own.iter().filter_map(|(name, time)| Some(format!("{name} {}", of((*time)?))));
    std::iter::once(of(cue.times.all)).chain(own).collect::<Vec<_>>().join(", ")
}

/// How the next cue comes, where nobody sends it.
pub(super) fn next(next: Next) -> Option<String> {
    match next {
        Next::Go => None,
        Next::Follow(0.0) => Some("next follows".to_owned()),
        Next::Follow(s) => Some(format!("next follows after {} s", number(s))),
        Next::Wait(s) => Some(format!("next {} s after its start", number(s))),
    }
}

/// What else there is to know of a cue.
pub(super) fn marks(cue: &Cue, compiled: Option<&CompiledCue>) -> Vec<&'static str> {
    let ahead = compiled.is_some_and(|cue| !cue.ahead.is_empty());
    let marks =
        [(cue.asserts, "asserts"), (!cue.movements.is_empty(), "movement"), (ahead, "moves ahead")];
    marks.into_iter().filter(|(is, _)| *is).map(|(_, word)| word).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cue::CueNumber;

    #[test]
    fn times_say_what_has_a_time_of_its_own() {
        let mut cue = Cue::new(CueNumber::whole(1).expect("a number"));
        assert_eq!(times(&cue), "0 s");
        cue.times.all = Time { fade_s: 2.0, delay_s: 0.0 };
        cue.times.up = Some(Time { fade_s: 4.0, delay_s: 1.5 });
        assert_eq!(times(&cue), "2 s, up 4 s after 1.5 s");
    }
}
