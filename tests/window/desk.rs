//! The whole window on a show, headless.

use std::time::{Duration, Instant};

use egui_kittest::Harness;
use slotwright::app::files::{Done, is_known_drawing};
use slotwright::app::shell::App;
use slotwright::app::state::Preferences;
use slotwright::app::{Command, State};
use slotwright::show::{Show, demo_show};

use crate::harness::SoftTestRenderer;

/// The size that the window opens at, in points.
pub const USUAL: [f32; 2] = [1280.0, 800.0];

pub fn demo() -> Show {
    demo_show(&is_known_drawing).expect("the demo show is sound")
}

/// The window on the demo show.
pub fn desk() -> Harness<'static, App> {
    desk_of(USUAL, Preferences::default())
}

pub fn desk_of(size: [f32; 2], preferences: Preferences) -> Harness<'static, App> {
    desk_in_steps(size, 1.0 / 60.0, demo(), preferences)
}

/// What a long pass of the window takes, in seconds: what is seen does not depend on how often it is
/// drawn.
pub const LONG_STEP_S: f64 = 0.05;

/// The window on a show, in long passes.
pub fn slow_desk_of(size: [f32; 2], show: Show) -> Harness<'static, App> {
    desk_in_steps(size, LONG_STEP_S as f32, show, Preferences::default())
}

fn desk_in_steps(
    size: [f32; 2],
    step_s: f32,
    show: Show,
    preferences: Preferences,
) -> Harness<'static, App> {
    let mut desk = Harness::builder()
        .with_size(size)
        .with_max_steps(16)
        .with_step_dt(step_s)
        .renderer(SoftTestRenderer::default())
        .build_eframe(|cc| App::with_show(&cc.egui_ctx, show, preferences));
    desk.run();
    desk
}

/// Tells the window what came of a job, and waits for those that follow from it.
pub fn finish(desk: &mut Harness<'static, App>, done: Done) {
    let ctx = desk.ctx.clone();
    desk.state_mut().state.finish(&ctx, done);
    desk.run();
    wait_for_jobs(desk);
}

/// What the window holds.
pub fn state<'a>(desk: &'a Harness<'static, App>) -> &'a State {
    &desk.state().state
}

/// Applies a command as if a panel had asked for it.
pub fn apply(desk: &mut Harness<'static, App>, command: Command) {
    let ctx = desk.ctx.clone();
    desk.state_mut().state.apply(&ctx, command);
    desk.run();
}

/// Waits for the jobs under way; they take milliseconds.
#[track_caller]
pub fn wait_for_jobs(desk: &mut Harness<'static, App>) {
    let begun = Instant::now();
    while desk.state().state.jobs.is_busy() {
        assert!(begun.elapsed() < Duration::from_secs(20), "the job never ends");
        std::thread::sleep(Duration::from_millis(5));
        desk.step();
    }
    desk.run();
}
