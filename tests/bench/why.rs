//! How fast it is told why heads are dark: links and causes of every head of a 1,000-head rig, settled and over
//! time, with every third head dark for one reason or another; their sentences; and one head's mend.

use std::collections::BTreeMap;
use std::hint::black_box;
use std::sync::Arc;
use std::time::Instant;

use glam::DVec3;
use slotwright::check::why::{Moment, Why};
use slotwright::decode::Plan;
use slotwright::motion::RigMotion;
use slotwright::profile::Profile;
use slotwright::rig::{Address, Aim, Fixture, Hang, InHead, Rig};
use slotwright::wire::{Frames, Slot, Universe};

const HEADS: usize = 1000;
const IN_A_UNIVERSE: usize = 36;
const FOOTPRINT: usize = 14;

fn fixture(i: usize) -> Fixture {
    let universe = Universe::new((i / IN_A_UNIVERSE) as u32 + 1).expect("few universes");
    let slot = Slot::from_index(i % IN_A_UNIVERSE * FOOTPRINT).expect("36 heads fit");
    Fixture {
        id: i as u32 + 1,
        label: String::new(),
        profile: "Neutral BENCH-14".into(),
        mode: "14".into(),
        address: Some(Address { universe, slot }),
        at: DVec3::new((i % 40) as f64 - 20.0, (i / 40) as f64, 8.0),
        hang: Hang::Hung,
        aim: Aim::default(),
        in_head: InHead::default(),
    }
}

/// Calls `f` often and prints the best time that one call took.
fn best<T>(name: &str, mut f: impl FnMut() -> T) -> f64 {
    let mut best_s = f64::INFINITY;
    for _ in 0..50 {
        let start = Instant::now();
        black_box(f());
        best_s = best_s.min(start.elapsed().as_secs_f64());
    }
    println!("{name:<56} best of 50: {:8.3} ms", best_s * 1e3);
    best_s
}

fn main() {
    let profile: Arc<Profile> =
        Arc::new(ron::from_str(include_str!("spot-14.ron")).expect("the bench's profile reads"));
    let rig: Rig = (0..HEADS).map(fixture).collect();
    let plan = Plan::new(&rig, &BTreeMap::from([("Neutral BENCH-14".to_owned(), profile)]));
    let mut frames = Frames::default();
    for (i, head) in rig.iter().enumerate() {
        let Some(address) = head.address else { continue };
        for offset in 0..FOOTPRINT {
            let slot = address.slot_at(offset as u16 + 1).expect("it fits");
            // Values that go through every range of every channel, so that many heads are dark.
            let value = (i * 37 + offset * 61) % 256;
            frames.set(address.universe, slot, value as u8);
        }
    }
    let mut decoded = plan.start();
    plan.decode(&frames, &mut decoded);
    let moment = Moment { rig: &rig, plan: &plan, frames: &frames, decoded: &decoded };
    let motion = RigMotion::arrived(&rig, &plan, &frames, &decoded, 0.0);
    let all: Vec<Why<'_>> = moment.all_settled().into_iter().flatten().collect();
    let dark: Vec<&Why<'_>> = all.iter().filter(|why| why.is_dark()).collect();
    println!("{} heads, {} of them dark", all.len(), dark.len());
    best("why/1000 heads, links, settled", || moment.all_settled());
    best("why/1000 heads, links, over time", || {
        let why = |i: usize| moment.at(i, motion.head(i)?, 0.0);
        (0..HEADS).map(why).collect::<Vec<_>>()
    });
    best("why/1000 heads, links and causes, settled", || {
        let all = moment.all_settled();
        all.iter().flatten().map(|why| why.causes().len()).sum::<usize>()
    });
    best("why/sentences of all of them", || {
        all.iter().map(|why| why.sentence().len()).sum::<usize>()
    });
    if let Some(one) = dark.first() {
        best("why/the mend of one head", || moment.mend(one));
    }
    let start = Instant::now();
    let mended = dark.iter().filter_map(|why| moment.mend(why)).filter(|mend| mend.gives_lm > 0.0);
    let mended = mended.count();
    let took_s = start.elapsed().as_secs_f64();
    println!("why/mends of all dark heads: {mended} of {} in {took_s:.3} s", dark.len());
}
