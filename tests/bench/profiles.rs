//! How long profiles take: to read, to check and to compile.
//!
//! `read and lint` is a thousand profiles, the shipped ones over and over, on one core; the parts of it stand
//! beside it, and as a baseline a walk over the same bytes that counts their brackets. `compile` is one mode of
//! 64 channels; beside it a copy of the mode. Each also prints the best of many runs: the time that nothing else
//! on the machine took part in.

use std::hint::black_box;
use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};

use criterion::{Criterion, criterion_group, criterion_main};
use slotwright::check::{check_profile, lint_profile};
use slotwright::decode::CompiledMode;
use slotwright::light::pattern::drawing;
use slotwright::paper::chart::{Chart, html};
use slotwright::profile::library::FILES;
use slotwright::profile::lint::lint;
use slotwright::profile::{Channel, Library, Mode, Profile, validate};

/// Profiles that are read and looked through.
const PROFILES: usize = 1000;

/// Channels of the mode that is compiled.
const CHANNELS: usize = 64;

/// Benches `f` and prints its best run.
fn bench<R>(c: &mut Criterion, name: &str, mut f: impl FnMut() -> R) {
    let mut best_s = f64::INFINITY;
    c.bench_function(name, |b| {
        b.iter_custom(|iterations| {
            let mut total = Duration::ZERO;
            for _ in 0..iterations {
                let start = Instant::now();
                black_box(f());
                let took = start.elapsed();
                best_s = best_s.min(took.as_secs_f64());
                total += took;
            }
            total
        });
    });
    println!("{name:<40} best: {:10.3} us", best_s * 1e6);
}

/// A thousand texts, in turn.
fn texts() -> impl Iterator<Item = (&'static str, &'static str)> {
    FILES.iter().copied().cycle().take(PROFILES)
}

fn read_and_lint(c: &mut Criterion) {
    let bytes: usize = texts().map(|(_, text)| text.len()).sum();
    println!("{PROFILES} profiles are {:.1} MB", bytes as f64 / 1e6);
    let known = |name: &str| drawing(name).is_some();
    bench(c, "profiles/1000: read and lint", || {
        texts()
            .map(|(file, text)| check_profile(text, Some(Path::new(file)), &known).len())
            .sum::<usize>()
    });
    bench(c, "profiles/1000: count brackets", || {
        texts().map(|(_, text)| text.bytes().filter(|byte| *byte == b'(').count()).sum::<usize>()
    });
    bench(c, "profiles/1000: read RON only", || {
        texts().filter(|(_, text)| ron::from_str::<Profile>(text).is_ok()).count()
    });
    let profiles: Vec<Arc<Profile>> = Library::embedded().profiles().cloned().collect();
    let all = || profiles.iter().cycle().take(PROFILES);
    bench(c, "profiles/1000: mistakes only", || {
        all().map(|profile| validate(profile, &known).list().len()).sum::<usize>()
    });
    bench(c, "profiles/1000: lint only", || {
        all().map(|profile| lint(profile).list().len()).sum::<usize>()
    });
    bench(c, "profiles/1000: mistakes, lint, pipeline", || {
        all().map(|profile| lint_profile(profile, &known).list().len()).sum::<usize>()
    });
}

/// A mode of 64 channels: those of the largest shipped one, over again.
fn large_mode() -> (Arc<Profile>, Mode) {
    let profiles = Library::embedded().profiles();
    let largest =
        profiles.flat_map(|profile| profile.modes.iter().map(move |mode| (profile, mode)));
    let (profile, mode) = largest
        .max_by_key(|(_, mode)| mode.channels.iter().map(|c| c.ranges.len()).sum::<usize>())
        .expect("there are shipped modes");
    let channels = mode.channels.iter().cycle().take(CHANNELS).enumerate();
    let channel = |(i, channel): (usize, &Channel)| {
        let first = i as u16 * 4 + 1;
        let at = (first..first + channel.at.len() as u16).collect();
        // The first round keeps its names, by which conditions find their channels.
        let name = match i < mode.channels.len() {
            true => channel.name.clone(),
            false => format!("{} {i}", channel.name),
        };
        Channel { name, at, ..channel.clone() }
    };
    let channels = channels.map(channel).collect();
    (profile.clone(), Mode { name: "64".into(), slots: 256, channels })
}

fn compile(c: &mut Criterion) {
    let (profile, mode) = large_mode();
    let ranges: usize = mode.channels.iter().map(|channel| channel.ranges.len()).sum();
    println!("{CHANNELS} channels with {ranges} ranges");
    bench(c, "compile/64 channels", || CompiledMode::new(black_box(&profile), black_box(&mode)));
    bench(c, "compile/a copy of the 64 channels", || black_box(&mode).clone());
    let compiled = CompiledMode::new(&profile, &mode);
    bench(c, "chart/64 channels, as a page", || html(&Chart::new(&compiled)));
}

criterion_group! {
    name = benches;
    config = Criterion::default()
        .sample_size(10)
        .warm_up_time(Duration::from_millis(500))
        .measurement_time(Duration::from_secs(3));
    targets = compile, read_and_lint
}
criterion_main!(benches);
