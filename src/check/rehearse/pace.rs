//! Heads that are sent somewhere with their speed channel at its slow end.

use super::head::HeadRun;
use super::kinds;
use crate::decode::AimSpeed;
use crate::finding::{Severity, rounded};

/// The share of its top speed below which a head crawls.
const CRAWL: f64 = 0.1;

/// The longest time for a move that a cue is likely to mean, in seconds.
const LONG_S: f64 = 10.0;

/// The move by which speeds are told, in degrees.
const MOVE_DEG: f64 = 180.0;

impl HeadRun<'_> {
    /// Pan or tilt is sent somewhere: is it let go there?
    pub(super) fn judge_pace(&mut self, t_s: f64) {
        let (Some(head), Some(reading)) = (self.head(), self.reading()) else { return };
        let Some(limits) = head.model().axes else { return };
        let top_deg_s = limits[0].limits.speed_deg_s;
        let words = match reading.asked().aim_speed {
            AimSpeed::Rate { deg_s } if deg_s < CRAWL * top_deg_s => rate_words(deg_s),
            AimSpeed::Share { share } if share < CRAWL => rate_words(share * top_deg_s),
            AimSpeed::Time { s } if s > LONG_S => format!("every move takes {} s", rounded(s, 1)),
            _ => return,
        };
        let paces = reading.channels().find_map(|channel| {
            let paces = channel.range?.effects().any(|effect| effect.paces_aim());
            paces.then(|| (channel.channel.name.clone(), channel.held.value()))
        });
        let by = match paces {
            Some((name, Some(value))) => format!("`{name}` at {value}"),
            _ => "its speed".to_owned(),
        };
        let what = format!("{by} is at its slow end: {words}");
        let mend = "look which end of it is fast: some heads crawl when it is left at 0";
        self.tell(kinds::CRAWLS, Severity::Warning, (t_s, t_s), what, mend);
    }
}

fn rate_words(deg_s: f64) -> String {
    match deg_s > 0.0 {
        true => format!(
            "{} deg/s, at which {MOVE_DEG} deg take {} s",
            rounded(deg_s, 1),
            rounded(MOVE_DEG / deg_s, 0)
        ),
        false => "it moves nothing".to_owned(),
    }
}
