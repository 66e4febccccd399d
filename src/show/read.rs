//! Reading a show: its text, the profiles it names, and everything that does not fit together.

use std::collections::HashSet;
use std::path::Path;

use glam::DVec3;

use super::check_show::Check;
use super::disk::read_text;
use super::file::{AnyFormat, FORMAT, FixtureFile, LookFile, ShowFile, UniversesFile};
use super::model::{Look, Show};
use super::own_profiles::{Profiles, Shelf, own_profiles};
use super::read_cues;
use crate::cue::Cues;
use crate::decode::Plan;
use crate::finding::{Finding, Findings, Severity};
use crate::profile::place::PathInFile;
use crate::profile::ron_text::from_ron;
use crate::profile::{KnownDrawing, Library, Mode};
use crate::rig::{Address, Fixture, Rig, check_patch, fixture_words};
use crate::wire::{Frames, SLOTS, Slot, SlotState};

/// The text of the show that comes with the program.
const DEMO: &str = include_str!("../../shows/demo.ron");

/// Reads a show file and the profile files that it names, and nothing else.
///
/// # Errors
///
/// All findings, where at least one is an error.
pub fn read_show(
    path: &Path,
    known_drawing: KnownDrawing<'_>,
) -> Result<(Show, Vec<Finding>), Findings> {
    read_show_in(path, Library::embedded(), known_drawing)
}

/// As [`read_show`], where fixtures find their profiles in the show's own files first, then in this
/// library.
///
/// # Errors
///
/// All findings, where at least one is an error.
pub fn read_show_in(
    path: &Path,
    library: &Library,
    known_drawing: KnownDrawing<'_>,
) -> Result<(Show, Vec<Finding>), Findings> {
    let text = read_text(path)?;
    parse(&text, Some(path), library, known_drawing, Severity::Warning)
}

/// The show that comes with the program.
///
/// # Errors
///
/// Never, as a test makes sure.
pub fn demo_show(known_drawing: KnownDrawing<'_>) -> Result<Show, Findings> {
    demo_show_in(Library::embedded(), known_drawing)
}

/// As [`demo_show`], where fixtures find their profiles in this library.
///
/// # Errors
///
/// The library has other profiles under the names that the demo uses, and they do not fit.
pub fn demo_show_in(library: &Library, known_drawing: KnownDrawing<'_>) -> Result<Show, Findings> {
    let file = Some(Path::new("shows/demo.ron"));
    parse(DEMO, file, library, known_drawing, Severity::Warning).map(|(show, _)| show)
}

/// Reads a show from its text. `file` is where the text came from: findings name it, and the profile
/// files of the show are found relative to it.
///
/// Heads on the same slots are a warning here, and so are heads whose profile or mode is not to be had,
/// so that such a show can be opened and mended. The latter keep all that the show says of them.
///
/// # Errors
///
/// All findings, where at least one is an error.
pub fn parse_show(
    text: &str,
    file: Option<&Path>,
    known_drawing: KnownDrawing<'_>,
) -> Result<(Show, Vec<Finding>), Findings> {
    parse(text, file, Library::embedded(), known_drawing, Severity::Warning)
}

/// Reads a show as [`parse_show`] does. What it can be opened with and does not fit is of the severity
/// `doubt`: heads on the same slots, profiles and modes that are not to be had.
///
/// # Errors
///
/// All findings, where at least one is an error.
pub fn parse(
    text: &str,
    file: Option<&Path>,
    library: &Library,
    known_drawing: KnownDrawing<'_>,
    doubt: Severity,
) -> Result<(Show, Vec<Finding>), Findings> {
    let read = from_ron::<ShowFile>(text, file);
    let format = match &read {
        Ok(raw) => Some(raw.format),
        // A show of a later format will hold what this program does not know: its number counts more.
        Err(_) => from_ron::<AnyFormat>(text, file).ok().map(|any| any.format),
    };
    let top = PathInFile::top();
    let mut check = Check::default();
    if let Some(format) = format.filter(|format| *format != FORMAT) {
        check.error(
            &top.field("format"),
            "",
            format!("this show has the format `{format}`"),
            format!("this version of the program reads the format {FORMAT} only"),
        );
        return Err(Findings(check.found.pin(text, file)));
    }
    let raw = read?;
    let mut others = Vec::new();
    let own =
        own_profiles(&raw.profile_files, file, known_drawing, (doubt, &mut check), &mut others);
    let shelf = Shelf { own: &own, library };
    shelf.tell_hidden(&raw.profile_files, &mut check);
    check.room(&raw.room);
    let (rig, profiles) = fixtures(&raw.fixtures, shelf, doubt, &mut check);
    if rig.iter().any(|(_, fixture)| !profiles.contains_key(&fixture.profile)) {
        // The profile may stand in a file that cannot be read.
        let errors = |finding: &&Finding| finding.severity == Severity::Error;
        others.extend(library.findings().iter().filter(errors).cloned());
    }
    patch(&rig, &profiles, doubt, &mut check);
    let looks = looks(&raw.looks, &mut check);
    let levels = match &raw.levels {
        Some(levels) => frames(levels, &top.field("levels"), "levels", &mut check),
        None => looks.first().map(|look| look.frames.clone()).unwrap_or_default(),
    };
    let cues = read_cues::read(&raw.lists, &raw.references, &raw.accepted, &mut check);
    let cues = Cues { watches: raw.watches, ..cues };
    let rig: Rig = rig.into_iter().map(|(_, fixture)| fixture).collect();
    if !check.found.failed() && !raw.lists.is_empty() {
        read_cues::resolve(&cues, &raw.lists, &rig, &Plan::new(&rig, &profiles), &mut check);
    }
    let failed = check.found.failed();
    let mut findings = check.found.pin(text, file);
    findings.extend(others);
    if failed {
        return Err(Findings(findings));
    }
    let show = Show {
        name: raw.name,
        notes: raw.notes,
        room: raw.room,
        profiles,
        profile_files: raw.profile_files,
        rig,
        looks,
        levels,
        cues,
    };
    Ok((show, findings))
}

/// The rig, each fixture with its place in the file, and the profiles it uses or could use.
fn fixtures(
    raw: &[FixtureFile],
    shelf: Shelf<'_>,
    doubt: Severity,
    check: &mut Check,
) -> (Vec<(usize, Fixture)>, Profiles) {
    let mut profiles = shelf.own.clone();
    let mut rig = Vec::new();
    let mut ids = HashSet::new();
    for (i, raw) in raw.iter().enumerate() {
        let path = PathInFile::top().field("fixtures").index(i);
        let item = fixture_words(raw.id, &raw.label);
        let id = check.fixture_id(&path, &item, raw.id, !ids.insert(raw.id));
        match shelf.get(&raw.profile) {
            Some(profile) => {
                check.mode(doubt, &path.field("mode"), &item, &raw.mode, &profile);
                profiles.insert(raw.profile.clone(), profile);
            }
            None => check.no_profile(doubt, &path.field("profile"), &item, &raw.profile, shelf),
        }
        check.hanging(&path, &item, raw.at, raw.hang, raw.aim);
        let fixture = Fixture {
            id: id.unwrap_or_default(),
            label: raw.label.clone(),
            profile: raw.profile.clone(),
            mode: raw.mode.clone(),
            address: address(raw, &path, &item, check),
            at: DVec3::from(raw.at),
            hang: raw.hang,
            aim: raw.aim,
            in_head: raw.in_head,
        };
        rig.push((i, fixture));
    }
    (rig, profiles)
}

/// Where a fixture is patched, `None` where it is not or where what is said makes no sense.
fn address(raw: &FixtureFile, path: &PathInFile, item: &str, check: &mut Check) -> Option<Address> {
    let universe = raw.universe.map(|number| check.universe(&path.field("universe"), item, number));
    let slot = raw.slot.map(|number| check.slot(&path.field("slot"), item, number));
    match (universe, slot) {
        (Some(universe), Some(slot)) => Some(Address { universe: universe?, slot: slot? }),
        (None, None) => None,
        (Some(_), None) => {
            let mend = "add `slot: ...`, or leave out `universe` where it is not patched";
            check.error(path, item, "the fixture has a universe and no slot", mend);
            None
        }
        (None, Some(_)) => {
            let mend = "add `universe: ...`, or leave out `slot` where it is not patched";
            check.error(path, item, "the fixture has a slot and no universe", mend);
            None
        }
    }
}

fn patch(rig: &[(usize, Fixture)], profiles: &Profiles, doubt: Severity, check: &mut Check) {
    let fixtures: Vec<Fixture> = rig.iter().map(|(_, fixture)| fixture.clone()).collect();
    let mode_of = |fixture: &Fixture| -> Option<&Mode> {
        profiles.get(&fixture.profile).and_then(|profile| profile.mode(&fixture.mode))
    };
    for found in check_patch(&fixtures, &mode_of, doubt) {
        let path = PathInFile::top().field("fixtures").index(rig[found.fixture].0);
        check.found.push(path.field(found.field), found.finding);
    }
}

fn looks(raw: &[LookFile], check: &mut Check) -> Vec<Look> {
    let mut names = HashSet::new();
    let mut looks = Vec::new();
    for (i, raw) in raw.iter().enumerate() {
        let path = PathInFile::top().field("looks").index(i);
        let item = format!("look \"{}\"", raw.name);
        if raw.name.trim().is_empty() {
            check.error(&path.field("name"), &item, "the look has no name", "give it one");
        } else if !names.insert(raw.name.as_str()) {
            let what = format!("another look is called `{}` already", raw.name);
            check.error(&path.field("name"), &item, what, "give each its own name");
        }
        let frames = frames(&raw.universes, &path.field("universes"), &item, check);
        looks.push(Look { name: raw.name.clone(), note: raw.note.clone(), frames });
    }
    looks
}

/// What the universes of a look carry.
fn frames(raw: &UniversesFile, path: &PathInFile, item: &str, check: &mut Check) -> Frames {
    let mut frames = Frames::default();
    for (number, runs) in raw {
        let path = path.field(number.to_string());
        let item = format!("{item}, universe {number}");
        let Some(universe) = check.universe(&path, &item, *number) else { continue };
        let levels = frames.universe_mut(universe);
        for (i, run) in runs.iter().enumerate() {
            let path = path.index(i);
            let Some(first) = check.slot(&path.field("at"), &item, run.at) else { continue };
            for (j, value) in run.values.iter().enumerate() {
                let path = || path.field("values").index(j);
                let Some(slot) = Slot::from_index(first.index() + j) else {
                    let what = format!("{} values from slot {first} on", run.values.len());
                    let fit = SLOTS - first.index();
                    let mend = format!("a universe ends at slot {SLOTS}: {fit} fit");
                    check.error(&path(), &item, what, mend);
                    break;
                };
                let Ok(value) = u8::try_from(*value) else {
                    let what = format!("slot {slot} cannot carry the value `{value}`");
                    check.error(&path(), &item, what, "values are 0..255");
                    continue;
                };
                if levels.state(slot) != SlotState::NeverSent {
                    let what = format!("slot {slot} has a value already");
                    check.error(&path(), &item, what, "let each slot come once");
                    break;
                }
                let state = if run.kept { SlotState::Kept(value) } else { SlotState::Sent(value) };
                levels.put(slot, state);
            }
        }
    }
    frames
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::show::to_ron;
    use crate::wire::Universe;

    const HEAD: &str = r#"(
  maker: "Odd", model: "Head", head: Fixed, source: White(flux_lm: 1000, cct_k: 3200),
  optics: (beam_deg: 10, field_deg: 20),
  modes: [(name: "full", slots: 16, channels: [
    (name: "Dimmer", at: [1], ranges: [(from: 0, to: 255, does: Dimmer(percent: (0, 100), curve: Linear))]),
    (name: "Control", at: [16], ranges: [(from: 0, to: 255, does: Idle)]),
  ])],
)"#;

    const SHOW: &str = r#"(
  format: 1, name: "Odd ends", notes: "é",
  profile_files: ["odd.ron"],
  room: (width_m: 12, depth_m: 8, front_m: 4, height_m: 7,
    trusses: [(name: "T1", from: (-5, 2, 6), to: (5, 2, 6))],
    blocks: [(name: "Riser", min: (-1, 4, 0), max: (1, 6, 0.4))]),
  fixtures: [
    (id: 1, label: "Front", profile: "Odd Head", mode: "full", universe: 1, slot: 17, at: (-2, 1, 6), hang: HungTurned(turn_deg: 90), aim: (invert_pan: true)),
    (id: 2, profile: "Odd Head", mode: "full", universe: "", at: (2.5, 1, 6)),
    (id: 3, profile: "Odd Head", mode: "full", universe: 2, slot: 497, at: (0, 1, 6)),
  ],
  looks: [
    (name: "Low", universes: {1: [(at: 17, values: [10, 20, 30])], 2: []}),
    (name: "High", note: "bright", universes: {1: [(at: 1, values: [255]), (at: 512, values: [9], kept: true)]}),
  ],
  levels: {1: [(at: 3, values: [7])]},
)
"#;

    /// A folder with the show, `show.ron`, and the profile that it names.
    fn folder(show: &str) -> tempfile::TempDir {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("odd.ron"), HEAD).unwrap();
        std::fs::write(folder.path().join("show.ron"), show).unwrap();
        folder
    }

    fn read(show: &str) -> Result<(Show, Vec<Finding>), Findings> {
        let folder = folder(show);
        read_show(&folder.path().join("show.ron"), &|_| true)
    }

    /// Puts `to` where `from` stands in the sound show. A finding that starts with `expected` must be
    /// made where `to` has its `§`.
    #[track_caller]
    fn check(from: &str, to: &str, expected: &str) {
        assert_eq!(SHOW.matches(from).count(), 1, "`{from}` should stand there once");
        let marked = SHOW.replacen(from, to, 1);
        let (before, _) = marked.split_once('§').unwrap();
        let line = before.lines().count();
        let column = before.lines().last().unwrap_or("").chars().count() + 1;
        let expected = format!("show.ron:{line}:{column}: {expected}");
        let findings = match read(&marked.replace('§', "")) {
            Ok((_, findings)) => findings,
            Err(findings) => findings.0,
        };
        let lines: Vec<String> = findings.iter().map(Finding::to_string).collect();
        assert!(
            lines.iter().any(|line| line.contains(&expected)),
            "{expected}\nshould be among\n{}",
            lines.join("\n")
        );
    }

    #[test]
    fn a_show_reads_with_what_was_not_sent_and_not_patched() {
        let (show, findings) = read(SHOW).unwrap();
        let words: Vec<String> = findings.iter().map(|f| f.what.clone()).collect();
        assert_eq!(words, ["no channel describes slots 2..15 of this mode"]);
        assert_eq!(show.rig[0].address.unwrap().to_string(), "1/17");
        assert_eq!(show.rig[1].address, None);
        assert_eq!(show.rig[1].hang, crate::rig::Hang::Hung);
        let slot = |n| Slot::new(n).unwrap();
        let one = Universe::ONE;
        assert_eq!(show.looks[0].frames.state(one, slot(18)), SlotState::Sent(20));
        assert_eq!(show.looks[0].frames.state(one, slot(20)), SlotState::NeverSent);
        assert_eq!(show.looks[1].frames.state(one, slot(512)), SlotState::Kept(9));
        assert_eq!(show.levels.state(one, slot(3)), SlotState::Sent(7));
    }

    #[test]
    fn a_show_reads_back_to_itself_and_writes_the_same_again() {
        let (show, _) = read(SHOW).unwrap();
        let text = to_ron(&show);
        assert_eq!(read(&text).unwrap().0, show, "{text}");
        assert_eq!(to_ron(&read(&text).unwrap().0), text);
    }

    #[test]
    fn a_show_that_was_never_edited_stands_at_its_first_look() {
        let text = SHOW.replace("  levels: {1: [(at: 3, values: [7])]},\n", "");
        let (show, _) = read(&text).unwrap();
        assert_eq!(show.levels, show.looks[0].frames);
        assert!(!to_ron(&show).contains("levels"));
    }

    #[test]
    fn the_shows_that_come_with_the_program_have_no_error_and_write_back() {
        let demo = demo_show(&|_| true).unwrap();
        assert_eq!(parse_show(&to_ron(&demo), None, &|_| true).unwrap().0, demo);
    }

    #[test]
    fn addresses_that_do_not_exist_are_errors_at_their_place() {
        let item = "fixture 1 \"Front\": error: ";
        let front = |tail: &str| format!("{item}{tail}");
        check("slot: 17", "slot: §0", &front("there is no slot `0`; slots are 1..512"));
        check("slot: 17", "slot: §513", &front("there is no slot `513`"));
        check("slot: 17", "slot: §-1", &front("there is no slot `-1`"));
        check("universe: 1,", "universe: §0,", &front("there is no universe `0`; universes are"));
        check("universe: 1,", "universe: §64000,", &front("there is no universe `64000`"));
        let missing = front("the fixture has a universe and no slot");
        check(
            "(id: 1, label: \"Front\", profile: \"Odd Head\", mode: \"full\", universe: 1, slot: 17",
            "§(id: 1, label: \"Front\", profile: \"Odd Head\", mode: \"full\", universe: 1",
            &missing,
        );
    }

    #[test]
    fn what_runs_past_the_end_names_what_is_lost() {
        check(
            "slot: 497",
            "slot: §498",
            "fixture 3: error: 16 slots from 498 run past the end of universe 2: slot 16 `Control` \
             would be slot 513",
        );
    }

    #[test]
    fn names_that_nobody_has_come_with_those_there_are() {
        check(
            "(id: 2, profile: \"Odd Head\"",
            "(id: 2, profile: §\"Odd Haed\"",
            "fixture 2: warning: there is no profile `Odd Haed`; did you mean `Odd Head`? there are: \
             `Odd Head`",
        );
        check(
            "mode: \"full\", universe: \"\"",
            "mode: §\"fill\", universe: \"\"",
            "fixture 2: warning: `Odd Head` has no mode `fill`; did you mean `full`? its modes: `full`",
        );
        check(
            "[\"odd.ron\"]",
            "[§\"none.ron\"]",
            "warning: the profile file `none.ron` cannot be used",
        );
        check("[\"odd.ron\"]", "[§\"/odd.ron\"]", "error: `/odd.ron` is no place relative to");
        check("[\"odd.ron\"]", "[\"odd.ron\", §\"odd.ron\"]", "error: another file holds the");
    }

    #[test]
    fn numbers_and_names_that_come_twice_are_errors() {
        check("(id: 2", "(id: §1", "fixture 1: error: another fixture has the number `1` already");
        check("(id: 2", "(id: §0", "fixture 0: error: a fixture cannot have the number `0`");
        check("\"High\"", "§\"Low\"", "look \"Low\": error: another look is called `Low` already");
        check("2: []", "1§: []", "error: the key `1` is given twice");
        check("format: 1", "format: §2", "error: this show has the format `2`");
        check(
            "format: 1, name",
            "format: §2, planets: [Venus(1), {\"a\": None}], name",
            "error: this show has the format `2`",
        );
    }

    #[test]
    fn values_that_no_slot_carries_are_errors() {
        let low = |tail: &str| format!("look \"Low\", universe 1: error: {tail}");
        check("[10, 20,", "[10, §256,", &low("slot 18 cannot carry the value `256`"));
        check("[10, 20,", "[§-1, 20,", &low("slot 17 cannot carry the value `-1`"));
        check("at: 17,", "at: §513,", &low("there is no slot `513`"));
        check(
            "(at: 17, values: [10, 20, 30",
            "(at: 511, values: [10, 20, §30",
            &low("3 values from slot 511 on; a universe ends at slot 512: 2 fit"),
        );
        check(
            "(at: 17, values: [10, 20, 30])",
            "(at: 17, values: [10, 20, 30]), (at: 19, values: [§1])",
            &low("slot 19 has a value already"),
        );
        check("2: []", "0: §[]", "look \"Low\", universe 0: error: there is no universe `0`");
    }

    #[test]
    fn places_that_are_on_no_stage_are_errors() {
        let item = "fixture 2: error: ";
        check("(2.5, 1, 6)", "(§NaN, 1, 6)", &format!("{item}`NaN` is no place on a stage"));
        check("(2.5, 1, 6)", "(2, §1e300, 6)", &format!("{item}`1e300` is no place"));
        check("(2.5, 1, 6)", "(2, 1, §-inf)", &format!("{item}`-inf`"));
        check("width_m: 12", "width_m: §0", "room: error: a room cannot have a `width_m` of `0`");
        check("height_m: 7", "height_m: §NaN", "room: error: a room cannot have a `height_m`");
        check("to: (5, 2, 6)", "to: (5, §1e9, 6)", "truss \"T1\": error: `1000000000` is no place");
        check("max: (1,", "max: §(-9,", "block \"Riser\": error: `max` lies before `min`");
        check(
            "HungTurned(turn_deg: 90)",
            "§HungTurned(turn_deg: NaN)",
            "fixture 1 \"Front\": error: `NaN` is no angle",
        );
    }

    #[test]
    fn heads_on_the_same_slots_are_a_warning_and_the_show_still_opens() {
        let text = SHOW.replace("universe: 2, slot: 497", "universe: 1, slot: 20");
        let (show, findings) = read(&text).unwrap();
        assert_eq!(show.rig.len(), 3);
        assert!(findings.iter().any(|finding| {
            finding.severity == Severity::Warning && finding.what.contains("belong to fixture 1")
        }));
    }
}
