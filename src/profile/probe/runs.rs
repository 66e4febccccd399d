//! From notes to runs of values that did one thing.

use super::{Note, Probe, Seen, Trend};

/// A run of values of one slot that did one thing.
#[derive(Clone, Debug)]
pub(super) struct Run<'a> {
    /// The first value.
    pub from: u8,
    /// The last value.
    pub to: u8,
    /// `None`: nobody looked.
    pub seen: Option<&'a Seen>,
    /// The first and the last value at which something was measured, with what that was.
    measured: Option<[(u8, f64); 2]>,
}

impl<'a> Run<'a> {
    fn unseen(from: u8, to: u8) -> Self {
        Run { from, to, seen: None, measured: None }
    }

    /// The parts between which what was measured begins and ends. One measurement alone is good for
    /// the whole where nothing changes with the value, and for nothing where it does.
    pub(super) fn parts(&self) -> Vec<(Self, Option<(f64, f64)>)> {
        let Some([(first, a), (last, b)]) = self.measured else {
            return vec![(self.clone(), None)];
        };
        if first == last {
            let steady =
                matches!(self.seen, Some(Seen::Strobes(Trend::Same) | Seen::Pulses(Trend::Same)));
            return vec![(self.clone(), steady.then_some((a, b)))];
        }
        let part = |from, to| Run { from, to, ..self.clone() };
        let mut parts = vec![(part(first, last), Some((a, b)))];
        if self.from < first {
            parts.insert(0, (part(self.from, first - 1), None));
        }
        if last < self.to {
            parts.push((part(last + 1, self.to), None));
        }
        parts
    }
}

/// What each value of a slot did. A later note counts more than an earlier one, and something that was
/// seen more than that nothing was: in the dark there is nothing to see.
fn values(probe: &Probe, slot: u16) -> [Option<&Note>; 256] {
    let mut values: [Option<&Note>; 256] = [None; 256];
    let of_slot = |note: &&Note| note.slot == Some(slot) && note.seen != Seen::NotLooked;
    for note in probe.notes.iter().filter(of_slot) {
        for value in note.from..=note.to {
            let known = &mut values[usize::from(value)];
            let says_less = note.seen == Seen::Nothing
                && known.is_some_and(|known| known.seen != Seen::Nothing);
            if !says_less {
                *known = Some(note);
            }
        }
    }
    // That there is light all along says nothing about this slot.
    let nothing = |note: &&Note| matches!(note.seen, Seen::Nothing | Seen::LightOn);
    let lit = probe.light().unwrap_or_default();
    let held = |note: &Note| lit.iter().all(|setting| note.held.contains(setting));
    let all_along = |note: &&Note| note.seen == Seen::LightOn && held(note);
    let known = || values.iter().flatten().copied();
    if probe.light().is_some()
        && known().all(|note| nothing(&note))
        && known().any(|n| all_along(&n))
    {
        let unlit = |note: &Note| !all_along(&note);
        for value in &mut values {
            *value = value.filter(|note| unlit(note));
        }
    }
    values
}

/// The runs of a slot, which between them cover every value once.
pub(super) fn runs<'a>(probe: &'a Probe, slot: u16) -> Vec<Run<'a>> {
    const NOTHING: &Seen = &Seen::Nothing;
    let values = values(probe, slot);
    let rest_looked_at =
        probe.notes.iter().any(|note| note.slot.is_none() && note.seen != Seen::NotLooked);
    let measured_at = |note: &Note, value: u8| match note.measured {
        Some((a, _)) if value == note.from => Some(a),
        Some((_, b)) if value == note.to => Some(b),
        _ => None,
    };
    let mut seen: Vec<(u8, &Seen, Option<f64>)> = Vec::new();
    for (value, note) in (0..=255u8).zip(values) {
        match note {
            Some(note) => seen.push((value, &note.seen, measured_at(note, value))),
            None if value == 0 && rest_looked_at => seen.push((0, NOTHING, None)),
            None => {}
        }
    }
    // At rest nothing changes by itself: it is the beginning of what begins right behind it.
    if let [(0, rest, _), (1, next, _), ..] = seen.as_slice()
        && **rest == Seen::Nothing
        && next.is_gradual()
    {
        // Angles are measured from rest.
        let turns = next.unit() == Some("deg") && !matches!(next, Seen::Wider | Seen::Narrower);
        seen[0] = (0, next, turns.then_some(0.0));
    }
    let mut runs: Vec<Run<'_>> = Vec::new();
    let mut next_value = 0u16;
    for (value, what, number) in seen {
        let here = number.map(|number| (value, number));
        let goes_on = runs.last().is_some_and(|run| run.seen.is_some_and(|it| it.goes_with(what)));
        match runs.last_mut() {
            Some(run) if goes_on => {
                run.to = value;
                run.seen = run.seen.map(|it| it.more_telling(what));
                run.measured = match (run.measured, here) {
                    (Some([first, _]), Some(here)) => Some([first, here]),
                    (None, Some(here)) => Some([here, here]),
                    (known, None) => known,
                };
            }
            _ => {
                if let Ok(from) = u8::try_from(next_value)
                    && from < value
                {
                    runs.push(Run::unseen(from, value - 1));
                }
                let measured = here.map(|here| [here, here]);
                runs.push(Run { from: value, to: value, seen: Some(what), measured });
            }
        }
        next_value = u16::from(value) + 1;
    }
    if let Ok(from) = u8::try_from(next_value) {
        runs.push(Run::unseen(from, 255));
    }
    runs
}
