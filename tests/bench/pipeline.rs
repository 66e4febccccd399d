//! How fast the pipeline runs.
//!
//! `decode` is one universe of 36 fourteen-slot heads, in time for one frame; `memcpy/512` beside it copies
//! the same frames. `seek` goes to any time of an hour in which they change. `picture` and `window` are 200 lit heads in a plan and a front elevation.
//!
//! `motion` steps heads through time: 36 of them with every slot changing, with pan and tilt alone changing,
//! and with every tenth head changing; and 1000 that have been asked and are on their way. It prints the size of
//! a head's state first. `motion/72 axes, the arithmetic alone` is the least that the first of these can take:
//! where 72 axes are, and their quickest courses on.
//!
//! Each also prints the best of many short batches: the time that nothing else on the machine took part in.

use std::collections::BTreeMap;
use std::hint::black_box;
use std::ops::Range;
use std::sync::Arc;
use std::time::{Duration, Instant};

use criterion::{Criterion, criterion_group, criterion_main};
use glam::{DVec3, Vec2};
use slotwright::app::canvas::{Canvas, install_fonts};
use slotwright::decode::{Asked, Plan};
use slotwright::motion::{Course, HeadMotion, Limits, Playback, RigMotion};
use slotwright::profile::Profile;
use slotwright::rig::{Address, Aim, Fixture, Hang, InHead, Rig};
use slotwright::stage::picture::Rect;
use slotwright::stage::raster::LightImage;
use slotwright::stage::{DrawOptions, Picture, Room, Scene, View, ViewKind, draw};
use slotwright::wire::{Change, Frames, Levels, SLOTS, Slot, TimedFrames, Universe};

/// Heads in one universe, and slots of each.
const HEADS: usize = 36;
const FOOTPRINT: usize = 14;

/// Frames decoded in turn, so that no prediction of the processor's fits them all.
const RING: usize = 64;

/// Heads stepped at once.
const MANY_HEADS: usize = 1000;

/// Lit heads in the picture.
const LIT: usize = 200;

/// The picture's size in points.
const SIZE: Vec2 = Vec2::new(900.0, 700.0);

fn profile() -> Arc<Profile> {
    Arc::new(ron::from_str(include_str!("spot-14.ron")).expect("the bench's own profile reads"))
}

fn fixture(i: usize, at: DVec3) -> Fixture {
    let universe = Universe::new((i / HEADS) as u32 + 1).expect("few universes");
    let slot = Slot::from_index(i % HEADS * FOOTPRINT).expect("36 heads of 14 slots fit");
    Fixture {
        id: i as u32 + 1,
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

fn plan(rig: &Rig) -> Plan {
    Plan::new(rig, &BTreeMap::from([("Neutral BENCH-14".to_owned(), profile())]))
}

/// Calls in a short batch that are enough to tell nanoseconds, and few enough to fall between two turns of
/// the machine's other work.
const MANY: u64 = 256;

/// Benches `f`, which `prepare` readies each time, untimed, and prints its best batch.
fn bench_with<T>(
    c: &mut Criterion,
    name: &str,
    batch: u64,
    mut prepare: impl FnMut() -> T,
    mut f: impl FnMut(T),
) {
    let mut best_s = f64::INFINITY;
    c.bench_function(name, |b| {
        b.iter_custom(|iterations| {
            let (mut left, mut total) = (iterations, Duration::ZERO);
            while left > 0 {
                let calls = left.min(batch);
                let prepared: Vec<T> = (0..calls).map(|_| prepare()).collect();
                let start = Instant::now();
                prepared.into_iter().for_each(&mut f);
                let took = start.elapsed();
                if calls == batch {
                    best_s = best_s.min(took.as_secs_f64() / batch as f64);
                }
                total += took;
                left -= calls;
            }
            total
        });
    });
    if best_s < 1e-5 {
        println!("{name:<40} best: {:8.1} ns", best_s * 1e9);
    } else if best_s.is_finite() {
        println!("{name:<40} best: {:8.3} ms", best_s * 1e3);
    }
}

/// Benches `f` and prints its best batch.
fn bench<R>(c: &mut Criterion, name: &str, batch: u64, mut f: impl FnMut() -> R) {
    bench_with(c, name, batch, || (), |()| drop(black_box(f())));
}

/// A small generator of random bytes (xorshift; from memory), so that every run has the same frames.
struct Random(u64);

impl Random {
    fn byte(&mut self) -> u8 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 32) as u8
    }
}

/// Frames in which every slot differs from the frame before.
fn ring() -> Vec<Levels> {
    let mut random = Random(0x5107_3713);
    let mut values = [0u8; SLOTS];
    let mut next = || {
        for value in &mut values {
            *value = value.wrapping_add(1 + random.byte() % 255);
        }
        Levels::full(values)
    };
    (0..RING).map(|_| next()).collect()
}

fn decode(c: &mut Criterion) {
    let rig: Rig = (0..HEADS).map(|i| fixture(i, DVec3::Z * 6.0)).collect();
    let plan = plan(&rig);
    let ring = ring();
    let mut decoded = plan.start();
    let mut at = 0;
    bench(c, "decode/36x14, every slot changes", MANY, || {
        at = (at + 1) % RING;
        plan.decode_universe(Universe::ONE, black_box(&ring[at]), &mut decoded)
    });
    let mut copy = [0u8; SLOTS];
    bench(c, "memcpy/512, the same frames", MANY, || {
        at = (at + 1) % RING;
        copy.copy_from_slice(black_box(&ring[at]).values());
        black_box(&copy);
    });
    bench(c, "decode/36x14, same frame", MANY, || {
        plan.decode_universe(Universe::ONE, black_box(&ring[at]), &mut decoded)
    });

    let mut frames = Frames::default();
    *frames.universe_mut(Universe::ONE) = ring[0].clone();
    plan.decode(&frames, &mut decoded);
    let mode = plan.fixtures()[0].mode.clone().expect("the profile is at hand");
    let mut asked = Asked::for_mode(&mode);
    bench(c, "decode/36 readings", 16, || {
        for i in 0..HEADS {
            if let Some(reading) = plan.reading(i, &frames, &decoded) {
                reading.ask(black_box(&mut asked));
            }
        }
    });
}

/// Frames in which only these slots of each head, from 0, differ from the frame before.
fn changing(first: &Levels, slots: impl Fn(usize, usize) -> Range<usize>) -> Vec<Levels> {
    let mut random = Random(0x0fad_e0ff);
    let mut values = *first.values();
    let mut next = |turn: usize| {
        for head in 0..HEADS {
            for offset in slots(turn, head) {
                let value = &mut values[head * FOOTPRINT + offset];
                *value = value.wrapping_add(1 + random.byte() % 255);
            }
        }
        Levels::full(values)
    };
    (0..RING).map(&mut next).collect()
}

/// All slots of every tenth head, others each turn.
fn tenth(turn: usize, head: usize) -> Range<usize> {
    if (turn + head).is_multiple_of(10) { 0..FOOTPRINT } else { 0..0 }
}

/// The arithmetic of a step that changes every target: nothing is read, compared or stored beside it.
fn axes_alone(c: &mut Criterion) {
    let mut random = Random(0xa4e5);
    let limits = Limits { speed_deg_s: 240.0, accel_deg_s2: 400.0 };
    let targets: Vec<f64> = (0..4096).map(|_| f64::from(random.byte()) - 128.0).collect();
    let mut courses = [Course::rest(0.0, 0.0); 2 * HEADS];
    let (mut at, mut t_s) = (0, 0.0);
    bench(c, "motion/72 axes, the arithmetic alone", 16, || {
        t_s += 0.025;
        for course in &mut courses {
            at = (at + 1) % targets.len();
            *course = Course::to(t_s, course.at(t_s), targets[at], limits);
        }
        black_box(&courses);
    });
}

fn motion(c: &mut Criterion) {
    axes_alone(c);
    let rig: Rig = (0..HEADS).map(|i| fixture(i, DVec3::Z * 6.0)).collect();
    let plan_36 = plan(&rig);
    let ring = ring();
    let mut decoded = plan_36.start();
    let mut frames = Frames::default();
    let mut motion = RigMotion::at_rest(&rig, &plan_36, 0.0);
    let head = motion.head(0).expect("the profile is at hand");
    println!(
        "state of a head: {} bytes, {} of them on the heap",
        size_of::<HeadMotion>() + head.heap_bytes(),
        head.heap_bytes()
    );
    let (mut at, mut t_s) = (0, 0.0);
    for (name, ring) in [
        ("motion/36x14, decode and step, every slot changes", ring.clone()),
        ("motion/36x14, decode and step, pan and tilt change", changing(&ring[0], |_, _| 0..4)),
        ("motion/36x14, decode and step, a tenth of the heads changes", changing(&ring[0], tenth)),
    ] {
        bench(c, name, 16, || {
            (at, t_s) = ((at + 1) % RING, t_s + 0.025);
            frames.universe_mut(Universe::ONE).clone_from(black_box(&ring[at]));
            plan_36.decode(&frames, &mut decoded);
            motion.frame(t_s, &plan_36, &frames, &decoded);
        });
    }
    bench(c, "motion/36x14, decode and step, same frame", 16, || {
        t_s += 0.025;
        plan_36.decode(&frames, &mut decoded);
        motion.frame(t_s, &plan_36, &frames, &decoded);
    });

    let rig: Rig = (0..MANY_HEADS).map(|i| fixture(i, DVec3::Z * 6.0)).collect();
    let plan_many = plan(&rig);
    let mut frames = Frames::default();
    let universes = MANY_HEADS.div_ceil(HEADS) as u32;
    for (universe, levels) in (1..=universes).zip(ring.iter().cycle()) {
        let universe = Universe::new(universe).expect("few universes");
        frames.universe_mut(universe).clone_from(levels);
    }
    let mut decoded = plan_many.start();
    plan_many.decode(&frames, &mut decoded);
    let mut motion = RigMotion::at_rest(&rig, &plan_many, 0.0);
    motion.frame(0.0, &plan_many, &frames, &decoded);
    let (mut t_s, mut poses) = (0.0, Vec::new());
    bench(c, "motion/1000 heads: step", 16, || {
        t_s += 0.001;
        motion.advance(black_box(t_s));
    });
    let mut t_s = motion.now_s();
    bench(c, "motion/1000 heads: step and every pose", 4, || {
        t_s += 0.001;
        motion.advance(black_box(t_s));
        motion.fill_poses(t_s, &mut poses);
    });
    bench(c, "motion/1000 heads: snapshot", 1, || motion.clone());
}

/// 200 lit heads over the stage: tints on most, a pattern on every fifth.
struct Lit {
    room: Room,
    rig: Rig,
    plan: Plan,
    frames: Frames,
    views: [View; 2],
}

impl Lit {
    fn new() -> Self {
        let room = Room { width_m: 24.0, depth_m: 14.0, ..Room::default() };
        let at = |i: usize| {
            let (column, row) = ((i % 25) as f64, (i / 25) as f64);
            DVec3::new(column * 0.9 - 10.8, 1.0 + row * 1.5, 6.0)
        };
        let rig: Rig = (0..LIT).map(|i| fixture(i, at(i))).collect();
        let mut random = Random(0x0dd_ba11);
        let mut frames = Frames::default();
        for (i, fixture) in rig.iter().enumerate() {
            let address = fixture.address.expect("every head is patched");
            let pattern = if i % 5 == 0 { random.byte() % 64 } else { 0 };
            let levels = [
                random.byte(),
                random.byte(),
                96 + random.byte() % 64,
                random.byte(),
                0,
                255,
                40,
                random.byte() % 128,
                pattern,
                random.byte() % 128,
                0,
                random.byte(),
                0,
                0,
            ];
            for (offset, level) in (1..).zip(levels) {
                let slot = address.slot_at(offset).expect("the head fits");
                frames.set(address.universe, slot, level);
            }
        }
        let plan = plan(&rig);
        let half = Vec2::new(SIZE.x, SIZE.y / 2.0);
        let views = [
            View::fit(ViewKind::Plan, &room, Rect::at(Vec2::ZERO, half)),
            View::fit(ViewKind::Front, &room, Rect::at(Vec2::new(0.0, half.y), half)),
        ];
        Self { room, rig, plan, frames, views }
    }

    fn scene(&self) -> Scene {
        let mut decoded = self.plan.start();
        self.plan.decode(&self.frames, &mut decoded);
        Scene::new(&self.room, &self.rig, &self.plan, &self.frames, &decoded)
    }

    fn draw(&self, scene: &Scene) -> Picture {
        draw(scene, &self.views, SIZE, &DrawOptions::default())
    }
}

fn picture(c: &mut Criterion) {
    let lit = Lit::new();
    let scene = lit.scene();
    assert!(scene.beams.len() >= LIT, "every head is lit");
    let picture = lit.draw(&scene);
    bench(c, "picture/200 lit heads: scene", 1, || lit.scene());
    bench(c, "picture/200 lit heads: draw", 1, || lit.draw(&scene));
    bench(c, "picture/200 lit heads: both", 1, || lit.draw(&lit.scene()));
    let mut image = LightImage::new();
    bench(c, "picture/200 lit heads: raster of light", 1, || {
        for pane in &picture.panes {
            let size = pane.rect.size();
            let (width, height) = (size.x as usize, size.y as usize);
            image.render(&pane.glows, pane.rect.min, 1.0, width, height);
        }
    });
}

fn window(c: &mut Criterion) {
    let lit = Lit::new();
    let picture = lit.draw(&lit.scene());
    let ctx = egui::Context::default();
    install_fonts(&ctx);
    let mut canvas = Canvas::new();
    let mut shapes = || {
        let rect = egui::Rect::from_min_size(egui::Pos2::ZERO, egui::vec2(SIZE.x, SIZE.y));
        let input = egui::RawInput { screen_rect: Some(rect), ..Default::default() };
        let mut output = ctx.run_ui(input, |ui| {
            canvas.paint(ui.painter(), rect.min, &picture);
        });
        output.textures_delta.clear();
        std::mem::take(&mut output.shapes)
    };
    bench(c, "window/200 lit heads: paint, light kept", 1, &mut shapes);
    let painted = shapes();
    assert!(painted.len() > 5 * LIT, "{} shapes", painted.len());
    let prepare = || painted.clone();
    bench_with(c, "window/200 lit heads: tessellate", 1, prepare, |shapes| {
        black_box(ctx.tessellate(shapes, 1.0));
    });
}

/// An hour of frames, 44 a second, in each of which 60 slots change.
fn hour() -> TimedFrames {
    let mut random = Random(0x7173_d0aa);
    TimedFrames::new((0..3600 * 44 * 60u32).filter_map(|i| {
        let slot = usize::from(random.byte()) * 2 + usize::from(random.byte() % 2);
        let slot = Slot::from_index(slot)?;
        let change = Change { universe: Universe::ONE, slot, value: random.byte() };
        Some((f64::from(i / 60) / 44.0, change))
    }))
}

/// Going to any time of an hour that was played ahead once. Prints how long that took, and the worst of
/// many seeks.
fn seek(c: &mut Criterion) {
    let rig: Rig = (0..HEADS).map(|i| fixture(i, DVec3::Z * 6.0)).collect();
    let plan = plan(&rig);
    let mut playback = Playback::new(Arc::new(hour()), &rig, &plan, &Frames::default());
    let start = Instant::now();
    while playback.prepare(&plan, 1000) {}
    let ahead = start.elapsed();
    let mut random = Random(0x05ee_c0de);
    let mut any_s =
        || f64::from(u16::from_be_bytes([random.byte(), random.byte()])) / 65536.0 * 3600.0;
    let (mut worst, mut all) = (Duration::ZERO, Duration::ZERO);
    for _ in 0..1000 {
        let t_s = any_s();
        // The best of three, so that what else the machine did counts in none.
        let mut took = Duration::MAX;
        for _ in 0..3 {
            playback.seek(&plan, 0.0);
            let start = Instant::now();
            playback.seek(&plan, t_s);
            took = took.min(start.elapsed());
        }
        (worst, all) = (worst.max(took), all + took);
    }
    let ms = |time: Duration| time.as_secs_f64() * 1e3;
    println!(
        "seek/an hour played ahead: {:.0} ms; 1000 seeks: mean {:.3} ms, worst {:.3} ms, snapshots {:.1} s apart",
        ms(ahead),
        ms(all) / 1000.0,
        ms(worst),
        playback.every_s(),
    );
    bench(c, "seek/any time of an hour, 36 heads", 1, || playback.seek(&plan, any_s()));
}

criterion_group! {
    name = benches;
    config = Criterion::default()
        .sample_size(30)
        .warm_up_time(Duration::from_millis(500))
        .measurement_time(Duration::from_secs(2));
    targets = decode, motion, seek, picture, window
}
criterion_main!(benches);
