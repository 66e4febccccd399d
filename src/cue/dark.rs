//! Heads that are dark are moved ahead to where a later cue lights them.

use super::compiled::{Ahead, Compiled, Move, part_time};
use super::tracks::Part;
use crate::decode::{Asked, Plan};
use crate::motion::settle;
use crate::rig::Rig;

/// Adds the moves ahead to every cue in which a head goes dark, or is dark already, until it is lit.
pub(super) fn move_ahead(list: &mut Compiled, rig: &Rig, plan: &Plan, fade_s: f64) {
    let lit = lit_after(list, rig, plan);
    let mut ahead: Vec<(usize, Ahead)> = Vec::new();
    for cue in 1..list.cues.len() {
        for of in &list.cues[cue].moves {
            let Some(track) = list.tracks.get(of.track) else { continue };
            let fixture = track.fixture;
            let moved = matches!(track.part, Part::Aim | Part::Colour | Part::Beam);
            let lights = lit[cue][fixture] && !lit[cue - 1][fixture];
            if !moved || !lights {
                continue;
            }
            if let Some((from, delay_s)) = dark_since(list, &lit, cue, of, fixture) {
                ahead.push((
                    from,
                    Ahead { track: of.track, to: of.to, delay_s, fade_s, for_cue: cue },
                ));
            }
        }
    }
    for (cue, ahead) in ahead {
        list.cues[cue].ahead.push(ahead);
    }
}

/// The earliest cue from which on a head can be moved ahead for `cue`, and from when on in it.
fn dark_since(
    list: &Compiled,
    lit: &[Vec<bool>],
    cue: usize,
    of: &Move,
    fixture: usize,
) -> Option<(usize, f64)> {
    let mut found = None;
    for before in (0..cue).rev() {
        let here = &list.cues[before];
        let own = here.moves.binary_search_by_key(&of.track, |of| of.track).is_ok();
        let part = list.tracks.get(of.track).map_or(Part::Beam, |track| track.part);
        let time = part_time(&here.times, part, true);
        // What this cue itself does to the channel comes first; where that waits, it would be forgotten.
        if lit[before][fixture] || own && time.delay_s > 0.0 {
            break;
        }
        let was_lit = before > 0 && lit[before - 1][fixture];
        let dark_s = if was_lit { goes_dark_s(list, before, fixture) } else { 0.0 };
        let own_s = if own { time.end_s() } else { 0.0 };
        found = Some((before, dark_s.max(own_s)));
        if was_lit || own {
            break;
        }
    }
    found
}

/// From the start of a cue until what darkens a fixture has ended, in seconds.
fn goes_dark_s(list: &Compiled, cue: usize, fixture: usize) -> f64 {
    let cue = &list.cues[cue];
    let ends = cue.moves.iter().filter_map(|of| {
        let track = list.tracks.get(of.track).filter(|track| track.fixture == fixture)?;
        let darkens = matches!(track.part, Part::Level | Part::Shutter);
        darkens.then(|| part_time(&cue.times, track.part, false).end_s())
    });
    ends.fold(0.0, f64::max)
}

/// Whether each fixture gives light once each cue has faded.
fn lit_after(list: &Compiled, rig: &Rig, plan: &Plan) -> Vec<Vec<bool>> {
    let mut frames = list.tracks.at_rest();
    let mut decoded = plan.start();
    let mut asked: Vec<Option<Asked>> = plan
        .fixtures()
        .iter()
        .map(|fixture| fixture.mode.as_ref().map(|mode| Asked::for_mode(mode)))
        .collect();
    let lit = list.cues.iter().map(|cue| {
        for of in &cue.moves {
            list.tracks.put(of.track, of.to, &mut frames);
        }
        plan.decode(&frames, &mut decoded);
        let of_fixture = |(place, fixture): (usize, &crate::rig::Fixture)| {
            let Some(reading) = plan.reading(place, &frames, &decoded) else { return false };
            let Some(asked) = &mut asked[place] else { return false };
            reading.ask(asked);
            let pose = settle(&reading.mode.profile, &fixture.aim, &fixture.in_head, asked);
            pose.light() > 0.0
        };
        rig.iter().enumerate().map(of_fixture).collect()
    });
    lit.collect()
}
