//! How fast the window goes to any instant of a long evening (`evening.rs`): 200 heads, 300 cues, two hours.
//!
//! The list is played ahead beside the window first, as it is whenever nothing changes for a moment; how long that
//! takes is printed. `seek` is what the window does to be at another instant: lists, heads, what is recorded, and
//! the light of the scene. `pass` is the whole pass after it, every panel laid out and tessellated, without the
//! graphics card's part. Each instant is timed once.

#[path = "evening.rs"]
mod evening;

use std::time::Instant;

use egui::{Context, Pos2, RawInput, Rect, vec2};
use slotwright::app::cues::CueAsk;
use slotwright::app::shell::window;
use slotwright::app::state::Preferences;
use slotwright::app::{Command, State};

/// Instants that are gone to, all over the evening.
const SEEKS: u32 = 300;

/// The window, with the time that it is told.
struct Desk {
    ctx: Context,
    state: State,
    time: f64,
}

impl Desk {
    /// One pass of the window.
    fn pass(&mut self) {
        self.time += 1.0 / 60.0;
        let rect = Rect::from_min_size(Pos2::ZERO, vec2(1280.0, 800.0));
        let input =
            RawInput { screen_rect: Some(rect), time: Some(self.time), ..RawInput::default() };
        let mut out = self.ctx.run_ui(input, |ui| window(ui, &mut self.state));
        let shapes = std::mem::take(&mut out.shapes);
        let drawn = self.ctx.tessellate(shapes, out.pixels_per_point);
        std::hint::black_box(drawn);
        out.drop_without_applying_deltas();
    }
}

fn main() {
    let ctx = Context::default();
    slotwright::app::theme::apply(&ctx);
    let preferences = Preferences { cues: true, ..Preferences::default() };
    let mut desk = Desk { ctx, state: State::new(evening::show(), None, preferences), time: 0.0 };
    let start = Instant::now();
    while !desk.state.is_prepared() {
        desk.pass();
        assert!(start.elapsed().as_secs() < 600, "the list is never played ahead");
    }
    println!("played ahead beside the window after {:.2} s", start.elapsed().as_secs_f64());
    let (mut seeks, mut passes) = (Vec::new(), Vec::new());
    for nth in 0..SEEKS {
        // A golden section step (from memory) spreads instants evenly in no order.
        let t_s = (f64::from(nth) * 0.618_033_988_75).fract() * evening::LASTS_S;
        let start = Instant::now();
        let ctx = desk.ctx.clone();
        desk.state.apply(&ctx, Command::Cues(CueAsk::Seek(t_s)));
        seeks.push(start.elapsed().as_secs_f64());
        let start = Instant::now();
        desk.pass();
        passes.push(start.elapsed().as_secs_f64());
    }
    told("seek", seeks);
    told("pass", passes);
}

fn told(what: &str, mut took: Vec<f64>) {
    took.sort_by(f64::total_cmp);
    let mean = took.iter().sum::<f64>() / took.len() as f64;
    let at = |share: f64| took[((took.len() - 1) as f64 * share) as usize] * 1e3;
    println!(
        "{what}: {} instants: mean {:.2} ms, half under {:.2}, 99 of 100 under {:.2}, worst {:.2}",
        took.len(),
        mean * 1e3,
        at(0.5),
        at(0.99),
        at(1.0)
    );
}
