//! A long evening: 200 heads over 8 universes, a list of 300 cues that runs for two hours.

use std::collections::BTreeMap;
use std::sync::Arc;

use glam::DVec3;
use slotwright::cue::{
    Cue, CueList, CueNumber, Cues, Movement, MovementKind, Next, Time, Times, Value, Wave,
};
use slotwright::profile::Profile;
use slotwright::rig::{Address, Aim, Fixture, Hang, InHead};
use slotwright::show::Show;
use slotwright::stage::Room;
use slotwright::wire::{Frames, Slot, Universe};

/// How many heads, cues and seconds there are.
pub const HEADS: u32 = 200;
pub const CUES: u32 = 300;
pub const LASTS_S: f64 = 7200.0;

const IN_A_UNIVERSE: u32 = 25;
const FOOTPRINT: usize = 14;

fn fixture(nth: u32) -> Fixture {
    let universe = Universe::new(nth / IN_A_UNIVERSE + 1).expect("few universes");
    let slot = Slot::from_index((nth % IN_A_UNIVERSE) as usize * FOOTPRINT).expect("25 heads fit");
    let at = DVec3::new(f64::from(nth % 20) - 9.5, f64::from(nth / 20), 6.0);
    Fixture {
        id: nth + 1,
        label: String::new(),
        profile: "Neutral BENCH-14".into(),
        mode: "14".into(),
        address: Some(Address { universe, slot }),
        at,
        hang: Hang::Hung,
        aim: Aim::default(),
        in_head: InHead::default(),
    }
}

/// A cue in which every other head goes elsewhere in 4 s, in another colour and at another level, and every
/// tenth one has ten heads circle.
fn cue(nth: u32) -> Cue {
    let mut cue = Cue::new(CueNumber::whole(nth + 1).expect("few cues"));
    let (pan, tilt) = (f64::from(nth * 37 % 300) - 150.0, f64::from(nth * 23 % 160) - 80.0);
    for id in (1..=HEADS).filter(|id| id % 2 == nth % 2) {
        let own = f64::from(id % 10);
        let texts = [
            ("Pan", format!("{} deg", pan + own)),
            ("Tilt", format!("{} deg", tilt - own)),
            ("Dimmer", format!("{} %", (nth * 31 + id) % 101)),
            ("Shutter", "open".to_owned()),
            ("Colour", format!("slot {}", 1 + (nth + id) % 7)),
        ];
        let typed = |(channel, text): (&str, String)| -> (String, Value) {
            (channel.to_owned(), text.parse().expect("a value"))
        };
        cue.changes.insert(id, texts.into_iter().map(typed).collect());
    }
    if nth.is_multiple_of(10) {
        let fixtures = (1..=10).map(|id| id * 2 - nth % 2).collect();
        let kind = MovementKind::Circle;
        cue.movements.push(Movement {
            fixtures,
            kind,
            wave: Wave::Sine,
            hz: 0.25,
            size: 8.0,
            spread: 1.0,
        });
    }
    cue.times = Times { all: Time { fade_s: 4.0, delay_s: 0.0 }, ..Times::default() };
    cue.next = Next::Wait(LASTS_S / f64::from(CUES));
    cue
}

/// The show.
pub fn show() -> Show {
    let profile: Arc<Profile> =
        Arc::new(ron::from_str(include_str!("spot-14.ron")).expect("it reads"));
    let list = CueList {
        name: "Evening".to_owned(),
        cues: (0..CUES).map(cue).collect(),
        ..CueList::default()
    };
    Show {
        name: "Evening".to_owned(),
        notes: String::new(),
        room: Room::default(),
        profiles: BTreeMap::from([(profile.key().0, profile)]),
        profile_files: Vec::new(),
        rig: (0..HEADS).map(fixture).collect(),
        looks: Vec::new(),
        levels: Frames::default(),
        cues: Cues { lists: vec![list], ..Cues::default() },
    }
}
