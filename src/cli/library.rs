//! `slotwright library`: the profiles there are to use, and where each comes from.

use super::table::{self, Columns};
use super::{Report, input};
use crate::finding::{Severity, any_error, one_line};
use crate::profile::{Head, Library, Origin, Profile, Source};
use crate::show::ProfileSources;

pub(super) fn run() -> Report {
    let titles = ["profile", "mode", "slots", "channels", "what it is", "from"].map(str::to_owned);
    let mut sources = ProfileSources::of_user();
    sources.refresh(&input::is_known_drawing);
    let library = sources.library();
    let mut rows = vec![titles];
    for profile in library.profiles() {
        for (i, mode) in profile.modes.iter().enumerate() {
            let once = |text: String| if i == 0 { text } else { String::new() };
            rows.push([
                once(profile.key().0),
                mode.name.clone(),
                mode.slots.to_string(),
                mode.channels.len().to_string(),
                once(description(profile)),
                once(from(&library, &sources, &profile.key().0)),
            ]);
        }
    }
    let widths = Columns { give_way: &[4, 5, 0, 1] }.widths(&rows);
    let mut out: String = rows.iter().map(|row| table::line(row, &widths)).collect();
    if let Some(folder) = sources.folder() {
        let there = if folder.is_dir() { "" } else { " (which is not there)" };
        let folder = folder.to_string_lossy();
        out.push_str(&format!(
            "\nyour own profiles are looked for in {}{there}\n",
            one_line(&folder)
        ));
    }
    let said = library.findings().iter().filter(|finding| {
        // What a sound profile leaves open is for `check`; what hides what is said here.
        finding.severity > Severity::Note || finding.what.ends_with("comes with the program")
    });
    let said: Vec<_> = said.cloned().collect();
    let bad = any_error(&said);
    Report { out, said, bad }
}

/// Where a profile comes from: `program`, or its file in the user's folder.
fn from(library: &Library, sources: &ProfileSources, name: &str) -> String {
    match (library.origin(name), sources.folder()) {
        (Some(Origin::File(path)), Some(folder)) => {
            let path = path.strip_prefix(folder).unwrap_or(path);
            one_line(&path.to_string_lossy()).into_owned()
        }
        (Some(Origin::File(path)), None) => one_line(&path.to_string_lossy()).into_owned(),
        _ => "program".to_owned(),
    }
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
