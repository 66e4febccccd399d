//! `slotwright library`: the profiles that come with the program.

use super::Report;
use super::table::{self, Columns};
use crate::profile::{Head, Library, Profile, Source};

pub(super) fn run() -> Report {
    let titles = ["profile", "mode", "slots", "channels", "what it is"].map(str::to_owned);
    let mut rows = vec![titles];
    for profile in Library::embedded().profiles() {
        for (i, mode) in profile.modes.iter().enumerate() {
            let once = |text: String| if i == 0 { text } else { String::new() };
            rows.push([
                once(profile.key().0),
                mode.name.clone(),
                mode.slots.to_string(),
                mode.channels.len().to_string(),
                once(description(profile)),
            ]);
        }
    }
    let widths = Columns { give_way: &[4, 0, 1] }.widths(&rows);
    let out = rows.iter().map(|row| table::line(row, &widths)).collect();
    Report { out, ..Report::default() }
}

/// What moves, and how much light there is: `moving head, 540 x 270 deg, 8200 lm`.
fn description(profile: &Profile) -> String {
    let mut parts = vec![match &profile.head {
        Head::Fixed => "fixed".to_owned(),
        Head::Moving { .. } => "moving head".to_owned(),
        Head::Mirror { .. } => "moving mirror".to_owned(),
    }];
    if let Some((pan, tilt)) = profile.head.axes() {
        let pan = if pan.endless { "endless".to_owned() } else { pan.travel_deg.to_string() };
        parts.push(format!("{pan} x {} deg", tilt.travel_deg));
    }
    if profile.cell_count() > 1 {
        parts.push(format!("{} cells", profile.cell_count()));
    }
    if let Source::Emitters(emitters) = &profile.source
        && emitters.len() > 1
    {
        parts.push(format!("{} colours", emitters.len()));
    }
    parts.push(format!("{:.0} lm", profile.source.full_flux_lm()));
    parts.join(", ")
}
