//! How fast a dry run is: a long evening (`evening.rs`), 200 heads over 8 universes, 300 cues, two hours, on one
//! thread and on as many as there are. The run of the list without heads is printed beside it, as its floor.

#[path = "evening.rs"]
mod evening;

use std::sync::Arc;
use std::time::Instant;

use slotwright::check::rehearse::{Report, rehearse, straight_run};
use slotwright::cue::Course;
use slotwright::decode::Plan;
use slotwright::show::Show;

fn timed<R>(name: &str, mut f: impl FnMut() -> R) -> R {
    let mut best_s = f64::INFINITY;
    let mut result = None;
    for _ in 0..3 {
        let start = Instant::now();
        result = Some(f());
        best_s = best_s.min(start.elapsed().as_secs_f64());
    }
    let times = evening::LASTS_S / best_s;
    println!("{name:<40} best of 3: {best_s:8.3} s, {times:8.0} times real time");
    result.expect("it ran")
}

/// Peak resident memory of this process in MB; `None` where the system does not say.
fn peak_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    let kb: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kb / 1024.0)
}

fn run(show: &Show, threads: usize) -> Report {
    rehearse(show, &[0], threads, &|_| true).expect("nobody stopped it")
}

fn main() {
    let show = evening::show();
    let plan = Plan::new(&show.rig, &show.profiles);
    let straight = straight_run(&show, &plan, &[0]);
    timed("floor/the list without heads", || {
        let mut course = Course::new(Arc::clone(&straight));
        while let Some(packet) = course.next_packet() {
            course.step(packet);
        }
    });
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    let one = timed("rehearse/one thread", || run(&show, 1));
    let all = timed(&format!("rehearse/{threads} threads"), || run(&show, threads));
    assert_eq!(one, all, "the report depends on the threads");
    println!("{} findings; peak memory {:.0} MB", all.told.len(), peak_mb().unwrap_or(f64::NAN));
}
