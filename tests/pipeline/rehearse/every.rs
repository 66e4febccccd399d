//! Every kind of finding: the smallest show that has it, and its twin that has not. The numbers are tried
//! elsewhere.

use slotwright::check::rehearse::{kinds, rehearse};
use slotwright::cue::{Cue, CueList, Movement, MovementKind, Next, Time, Wave};
use slotwright::rig::Rig;
use slotwright::show::Show;
use slotwright::stage::Block;

use super::twins::{one, sliding};
use super::{alone, show, timed, wash};
use crate::heads::{alder, fixture, still};

const LIT: [(u32, &str, &str); 2] = [(1, "Shutter", "open"), (1, "Dimmer", "100 %")];

/// Whether a dry run of all lists tells this kind.
fn tells(show: &Show, code: &str) -> bool {
    let lists: Vec<usize> = (0..show.cues.lists.len()).collect();
    let report = rehearse(show, &lists, 1, &|_| true).expect("nobody stops it");
    report.told.iter().any(|told| told.finding.code == code)
}

/// Lit at once, then these changes in so many seconds.
fn then(changes: &[(u32, &str, &str)], fade_s: f64) -> Show {
    alone(vec![timed("1", 0.0, &LIT), timed("2", fade_s, changes)])
}

/// ALDER-16 lit with these beside.
fn lit_with(channel: &'static str, value: &'static str) -> Show {
    alone(vec![timed("1", 0.0, &[LIT[0], LIT[1], (1, channel, value)])])
}

/// The control channel of ALDER-16, faded over all its orders.
fn control(fade_s: f64) -> Show {
    one(sliding(alder(), "Control"), vec![timed("1", fade_s, &[(1, "Control", "255")])])
}

/// Lit, and sent on by so many degrees so often.
pub fn sent_on(deg: f64, every_s: f64) -> Show {
    let first = Cue { next: Next::Wait(2.0), ..timed("1", 0.0, &LIT) };
    let cues = (1..=6).map(|nth| {
        let pan = format!("{} deg", deg * f64::from(nth));
        let cue = timed(&(nth + 1).to_string(), 0.0, &[(1, "Pan", pan.as_str())]);
        Cue { next: Next::Wait(every_s), ..cue }
    });
    alone(std::iter::once(first).chain(cues).collect())
}

fn row(count: u32, cues: Vec<Cue>) -> Show {
    let rig: Rig =
        (0..count).map(|nth| fixture(&alder(), nth + 1, (nth * 16 + 1) as u16)).collect();
    show(&[alder()], rig, cues)
}

/// One cue a head, so many seconds apart.
fn each(count: u32, apart_s: f64, changes: &[(&'static str, &'static str)]) -> Show {
    let cues = (1..=count).map(|id| {
        let changes: Vec<_> =
            changes.iter().map(|(channel, value)| (id, *channel, *value)).collect();
        let cue = timed(&id.to_string(), 0.0, &changes);
        Cue { next: Next::Wait(apart_s), ..cue }
    });
    row(count, cues.collect())
}

fn live(pan: &str) -> Show {
    let second = timed("2", 0.0, &[(1, "Dimmer", "100 %"), (1, "Pan", "90 deg")]);
    let times =
        slotwright::cue::Times { up: Some(Time { fade_s: 1.0, delay_s: 0.0 }), ..second.times };
    let first = timed("1", 0.0, &[LIT[0], (1, "Dimmer", "0 %"), (1, "Pan", pan)]);
    alone(vec![first, Cue { times, ..second }])
}

fn swung(hz: f64) -> Show {
    let movement = Movement {
        fixtures: vec![1],
        kind: MovementKind::Level,
        wave: Wave::Square,
        hz,
        size: 100.0,
        spread: 0.0,
    };
    alone(vec![Cue { movements: vec![movement], ..timed("1", 0.0, &LIT) }])
}

fn early(at_s: f64) -> Show {
    let reset = timed("1", 0.0, &[(1, "Control", "204"), LIT[0]]);
    let lit = timed("2", 0.0, &[(1, "Control", "0"), LIT[1]]);
    alone(vec![Cue { next: Next::Wait(at_s), ..reset }, lit])
}

fn coarse(at: Vec<u16>) -> Show {
    let mut profile = alder().as_ref().clone();
    let pan = profile.modes[0].channels.iter_mut().find(|c| c.name == "Pan").expect("it pans");
    pan.default = if at.len() == 1 { 128 } else { 0x8000 };
    pan.at = at;
    let cues = vec![timed("1", 0.0, &LIT), timed("2", 20.0, &[(1, "Pan", "10 deg")])];
    one(std::sync::Arc::new(profile), cues)
}

fn gap(value: &str) -> Show {
    let channel = r#"(name: "Shutter", at: [1], ranges: [(from: 0, to: 9, does: Shut), (from: 100, to: 255, does: Open)])"#;
    one(still(1, channel, ""), vec![timed("1", 0.0, &[(1, "Shutter", value)])])
}

fn zone(x: f64) -> Show {
    let mut show = alone(vec![timed("1", 0.0, &LIT)]);
    let (min, max) = ((x, -1.0, 0.0), (x + 2.0, 1.0, 1.0));
    show.room.keep_out.push(Block { name: "orchestra".to_owned(), min, max });
    show
}

fn parked(tilt: &'static str) -> Show {
    let mut show = alone(vec![timed("1", 0.0, &[(1, "Tilt", tilt)])]);
    show.room.open_air = true;
    show
}

fn two_lists(channel: &str) -> Show {
    let mut show = alone(vec![timed("1", 0.0, &[(1, "Pan", "10 deg")])]);
    let cues = vec![timed("1", 0.0, &[(1, channel, "20 deg")])];
    show.cues.lists.push(CueList { name: "Other".to_owned(), cues, ..CueList::default() });
    show
}

fn chased(apart_s: f64) -> Show {
    let first = timed("1", 0.0, &[(1, "Pan", "10 deg")]);
    alone(vec![
        Cue { next: Next::Wait(apart_s), ..first },
        timed("2", 0.0, &[(1, "Pan", "20 deg")]),
    ])
}

fn long(stands_s: f64) -> Show {
    let cue = |number| Cue { stands_s: Some(stands_s), ..timed(number, 0.0, &LIT) };
    alone(vec![cue("1"), cue("2")])
}

/// A show that has a kind and its twin that has not; `None` for a kind that nobody has thought of here.
fn pair(code: &str) -> Option<(Show, Show)> {
    let aimed = |pan| alone(vec![timed("1", 3.0, &[(1, "Pan", pan)])]);
    let turned = |pan| {
        alone(vec![timed("1", 0.0, &[(1, "Pan", "-80 deg")]), timed("2", 3.0, &[(1, "Pan", pan)])])
    };
    let coloured = |shutter| {
        let first = [(1, "Shutter", shutter), LIT[1], (1, "Colour", "c1")];
        alone(vec![timed("1", 0.0, &first), timed("2", 0.0, &[(1, "Colour", "c4")])])
    };
    let crept = |speed| {
        wash(vec![timed(
            "1",
            1.0,
            &[(1, "Pan", "100 deg"), (1, "Speed", speed), (1, "Red", "100 %")],
        )])
    };
    Some(match code {
        "live-move" => (live("0 deg"), live("90 deg")),
        "moves-lit" => (then(&[(1, "Pan", "45 deg")], 2.0), then(&[(1, "Pan", "0 deg")], 2.0)),
        "late" => (then(&[(1, "Pan", "180 deg")], 0.5), then(&[(1, "Pan", "180 deg")], 4.0)),
        "crawls" => (crept("0"), crept("255")),
        "wheel-passes" => (coloured("open"), coloured("closed")),
        "crosses" => (control(5.0), alone(vec![timed("1", 5.0, &[(1, "Control", "255")])])),
        "holds" => (control(80.0), control(20.0)),
        "homes" => (control(80.0), control(70.0)),
        "lamp-out" => (control(130.0), control(120.0)),
        "not-ready" => (early(10.0), early(40.0)),
        "gap" => (gap("50"), gap("150")),
        "end-stop" => {
            let mut off = aimed("200 deg");
            off.rig[0].aim.pan_offset_deg = 100.0;
            (off, aimed("200 deg"))
        }
        "at-stop" => (aimed("270 deg"), aimed("269 deg")),
        "steps" => (coarse(vec![1]), coarse(vec![1, 2])),
        "stutter" => (sent_on(15.0, 0.5), sent_on(6.0, 0.2)),
        "shorter-way" => (turned("170 deg"), turned("-20 deg")),
        "nothing-seen" => {
            (then(&[(1, "Dimmer", "100 %")], 1.0), alone(vec![timed("1", 0.0, &LIT)]))
        }
        "never-lit" => (lit_with("Shutter", "closed"), alone(vec![timed("1", 0.0, &LIT)])),
        "hidden" => (lit_with("Gobo", "122"), lit_with("Gobo", "0")),
        "audience" => (lit_with("Tilt", "-45 deg"), lit_with("Tilt", "45 deg")),
        "keep-out" => (zone(-1.0), zone(3.0)),
        "sun" => (parked("120 deg"), parked("0 deg")),
        "flashes" => (lit_with("Shutter", "70"), lit_with("Shutter", "65")),
        "flashes-together" => {
            let strobe = [("Shutter", "65"), ("Dimmer", "100 %")];
            (each(3, 0.21, &strobe), each(3, 0.0, &strobe))
        }
        "uneven" => (swung(20.0), swung(2.0)),
        "unsent" => (chased(0.0), chased(0.1)),
        "lamps-together" => {
            (each(12, 0.0, &[("Control", "224")]), each(12, 5.0, &[("Control", "224")]))
        }
        "lists-fight" => (two_lists("Pan"), two_lists("Tilt")),
        "cut-off" => (long(80_000.0), long(3.0)),
        _ => return None,
    })
}

#[test]
fn every_kind_has_a_show_that_has_it_and_a_twin_that_has_not() {
    for kind in kinds::ALL {
        let (has, has_not) = pair(kind.code).unwrap_or_else(|| panic!("no show for {}", kind.code));
        assert!(tells(&has, kind.code), "{} is not told", kind.code);
        assert!(!tells(&has_not, kind.code), "{} is told of its twin", kind.code);
    }
}
