//! Channel tables of differing layout, each with what a person reads in it.
//!
//! The tables are written for these tests, with invented makers; their conventions and conflicts are
//! common practice, no source. A wanted line is: slots, values, effect, and what it moves or its
//! physical ends; where the table gives no ends, the way they run.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use slotwright::decode::CompiledMode;
use slotwright::paper::chart::{Chart, csv};
use slotwright::profile::effect::{Effect, ResetPart, Shape};
use slotwright::profile::table::{Confidence, RangeEntry, TableOptions, Use, read_table};
use slotwright::profile::{parse_profile, to_ron};

/// Ranges of all tables together that must be recognised rightly.
const LEAST_SHARE: f64 = 0.95;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/pipeline/tables")
}

/// The facts of a range in the words of a wanted file.
fn facts(entry: &RangeEntry) -> String {
    let does = &entry.range.does;
    let mut words = vec![does.key().to_owned()];
    match does {
        Effect::Emitter { name, .. } => words.push(name.clone()),
        Effect::Filter { name, .. } => words.push(name.word().to_owned()),
        Effect::Strobe { shape: Shape::Opening, .. }
        | Effect::IrisPulse { shape: Shape::Opening, .. } => {
            words.push("opening".to_owned());
        }
        Effect::Strobe { shape: Shape::Closing, .. }
        | Effect::IrisPulse { shape: Shape::Closing, .. } => {
            words.push("closing".to_owned());
        }
        Effect::Reset { part, .. } => words.push(
            match part {
                ResetPart::Whole => "whole",
                ResetPart::Aim => "aim",
                ResetPart::Effects => "effects",
            }
            .to_owned(),
        ),
        Effect::Latch { on, .. } => words.push(if *on { "on" } else { "off" }.to_owned()),
        _ => {}
    }
    words.extend(does.wheel_slots().iter().map(u16::to_string));
    if let Some(physical) = entry.physical() {
        let (a, b) = physical.span;
        let signed = matches!(
            does,
            Effect::Scroll { .. }
                | Effect::Spin { .. }
                | Effect::PanSpin { .. }
                | Effect::TiltSpin { .. }
        );
        if signed {
            words.push(if a + b < 0.0 { "-" } else { "+" }.to_owned());
        }
        let (a, b) = if signed { (a.abs(), b.abs()) } else { (a, b) };
        if entry.stated && !matches!(does, Effect::Glide { .. }) {
            // A wanted file has two decimals.
            let shown = |value: f64| ((value * 100.0).round() / 100.0).to_string();
            words.extend([shown(a), shown(b)]);
        } else {
            let way = if a < b {
                "up"
            } else if a > b {
                "down"
            } else {
                "level"
            };
            words.push(way.to_owned());
        }
    }
    if let Some(Some(hold_s)) = does.hold_s() {
        words.push(format!("hold {hold_s}"));
    }
    for also in &entry.range.also {
        words.push(format!("also {}", also.key()));
    }
    words.join(" ")
}

/// Wanted or found: mode, slots and values, with the facts.
type Facts = BTreeMap<(String, String), String>;

fn wanted(text: &str) -> Facts {
    let mut mode = String::new();
    let mut facts = Facts::new();
    for line in text.lines().filter(|line| !line.trim().is_empty()) {
        if let Some(name) = line.strip_prefix("mode ") {
            mode = name.to_owned();
            continue;
        }
        let mut words = line.splitn(3, ' ');
        let at = format!("{} {}", words.next().expect("slots"), words.next().expect("values"));
        let before = facts.insert((mode.clone(), at), words.next().expect("an effect").to_owned());
        assert_eq!(before, None, "twice: {line}");
    }
    facts
}

/// What one table came to.
struct Score {
    name: String,
    right: usize,
    of: usize,
    misses: Vec<String>,
    wrong_as_sure: Vec<String>,
}

fn score(table: &Path) -> Score {
    let name = table.file_name().expect("a name").to_string_lossy().into_owned();
    let text = fs::read_to_string(table).expect("a table");
    let want = wanted(&fs::read_to_string(table.with_extension("want")).expect("what is wanted"));
    let draft =
        read_table(&text, Some(Path::new(&name)), &TableOptions::default()).expect("a draft");
    // Without names of modes in the wanted file there is one.
    let named = want.keys().any(|(mode, _)| !mode.is_empty());
    let mut found: BTreeMap<(String, String), (String, Confidence)> = BTreeMap::new();
    for entry in &draft.report.ranges {
        let mode = if named { entry.mode.clone() } else { String::new() };
        let slots: Vec<String> = entry.slots.iter().map(u16::to_string).collect();
        let (from, to) = entry.values();
        let at = format!("{} {from}-{to}", slots.join("/"));
        found.insert((mode, at), (facts(entry), entry.confidence));
    }
    let mut score =
        Score { name, right: 0, of: want.len(), misses: Vec::new(), wrong_as_sure: Vec::new() };
    for (at, facts) in &want {
        match found.get(at) {
            Some((got, _)) if got == facts => score.right += 1,
            Some((got, _)) => {
                score.misses.push(format!("{} {}: wanted {facts}, got {got}", at.0, at.1))
            }
            None => score.misses.push(format!("{} {}: wanted {facts}, got nothing", at.0, at.1)),
        }
    }
    for (at, (got, confidence)) in &found {
        let right = want.get(at) == Some(got);
        if !want.contains_key(at) {
            // What is not in the table and was found all the same counts against it.
            score.of += 1;
            score.misses.push(format!("{} {}: {got} is not in the table", at.0, at.1));
        }
        if !right && *confidence == Confidence::Sure {
            score.wrong_as_sure.push(format!("{} {}: {got}", at.0, at.1));
        }
    }
    every_line_is_accounted_for(&text, &draft.report.lines);
    let written = draft.report.to_ron(&draft.profile);
    let read = parse_profile(&written, None, &|_| false);
    let (again, _) =
        read.unwrap_or_else(|findings| panic!("{}: {findings}\n{written}", score.name));
    assert_eq!(to_ron(&again), to_ron(&draft.profile), "{}", score.name);
    score
}

#[track_caller]
fn every_line_is_accounted_for(text: &str, lines: &[slotwright::profile::table::LineUse]) {
    let filled = |line: &str| !line.trim_matches(['|', ';', ',', '"', ' ', '\t']).is_empty();
    let numbers: Vec<u32> =
        text.lines().zip(1..).filter(|(line, _)| filled(line)).map(|(_, number)| number).collect();
    let told: Vec<u32> = lines.iter().map(|line| line.line).collect();
    assert_eq!(told, numbers);
}

fn tables() -> Vec<PathBuf> {
    let mut tables: Vec<PathBuf> = fs::read_dir(folder())
        .expect("the folder of tables")
        .map(|entry| entry.expect("an entry of it").path())
        .filter(|path| path.extension().is_some_and(|extension| extension != "want"))
        .collect();
    tables.sort();
    tables
}

#[test]
fn nearly_all_ranges_are_recognised_and_no_wrong_one_is_sure() {
    let scores: Vec<Score> = tables().iter().map(|table| score(table)).collect();
    assert!(scores.len() >= 25, "only {} tables", scores.len());
    let (mut right, mut of, mut report) = (0, 0, String::new());
    for Score { name, right: good, of: all, misses, wrong_as_sure } in &scores {
        right += good;
        of += all;
        report.push_str(&format!("{name}: {good} of {all}\n"));
        misses.iter().for_each(|miss| report.push_str(&format!("    {miss}\n")));
        wrong_as_sure
            .iter()
            .for_each(|wrong| report.push_str(&format!("    WRONG AND SURE {wrong}\n")));
    }
    let share = right as f64 / of as f64;
    report.push_str(&format!(
        "{right} of {of} ranges in {} tables: {:.1} %\n",
        scores.len(),
        share * 100.0
    ));
    println!("{report}");
    assert!(share >= LEAST_SHARE, "{report}");
    assert!(scores.iter().all(|score| score.wrong_as_sure.is_empty()), "{report}");
}

/// Reads a table that nobody should ever write; it must end, and what it gives must read back.
#[track_caller]
fn survives(text: &str) {
    if let Ok(draft) = read_table(text, None, &TableOptions::default()) {
        let written = draft.report.to_ron(&draft.profile);
        assert!(
            parse_profile(&written, None, &|_| false).is_ok(),
            "{}",
            &written[..written.len().min(4000)]
        );
    }
}

#[test]
fn texts_that_are_no_tables_are_refused_or_survived() {
    let heads_only = "CH,Value,Function\nCH,Value,Function\n";
    for text in ["", " \n\n", heads_only, "\u{feff}", "NaN,NaN,NaN\n", "|||||\n|-|-|\n", "page 1\n"]
    {
        assert!(read_table(text, None, &TableOptions::default()).is_err(), "{text:?}");
    }
    let odd = [
        "CH,Value,Function\n0,0-255,Pan\n513,0-255,Tilt\n1,300-900,Dimmer\n2,255-0,Dimmer 100-0%\n",
        "1,Pan,0-255,NaN Hz\n1,Pan,0-255,1e999 Hz\n",
        "Channel 1 Strobe\n0-255 strobe 0-0 Hz\nChannel 2 Zoom\n0-255 0°-900°\n",
        "Channel 1 Shutter\n0-8 closed\n8-15 open\n3-12 strobe\n15-255 open\n",
        "Channel 99999 Shutter\n0-99999 closed\n-5-10 open\n",
        "\u{0}\u{1}\u{2}\u{ff}\u{202e}1 Pan 0-255\n",
        "Channel 1 Pan\nChannel 1 Pan\nChannel 1 Pan\n",
        "Channel 1 Reset\n0-255 reset hold 99999 s\n",
        "CH,Name,Value,Function\n1,Red 600,0-255,\n2,Red 1,0-255,\n",
    ];
    odd.iter().for_each(|text| survives(text));
}

#[test]
fn large_texts_end() {
    let binary: String = (0..200_000u32).map(|i| char::from((i * 7 % 251) as u8)).collect();
    survives(&binary);
    survives(&"0-255 Pan 0-540°\n".repeat(60_000));
    survives(&format!("Channel 1 Dimmer\n{}", "0% - 50% dark to full\n".repeat(40_000)));
    survives(&"1-".repeat(500_000));
    survives(
        &(1..=30_000).map(|i| format!("Channel {i} Pan\n{i}-{} open\n", i + 1)).collect::<String>(),
    );
}

#[test]
fn oddities_are_said_with_their_line() {
    let text = "Channel 1 Shutter\n0-8 closed\n8-15 open\n31-16 strobe slow to fast\n32-300 open\n";
    let draft = read_table(text, None, &TableOptions::default()).unwrap();
    let said: Vec<String> = draft.findings.iter().map(ToString::to_string).collect();
    for part in ["line 3 begins at the value", "the values run backwards", "no value `300`"] {
        assert!(said.iter().any(|finding| finding.contains(part)), "{part}: {said:?}");
    }
    let lost = draft.report.lines.iter().find(|line| line.line == 5).unwrap();
    assert!(matches!(lost.used, Use::NotUnderstood(_)), "{lost:?}");
    // Where readings of percent differ, a warning says so: 50 % of 255 is 127.5 (worked example).
    let text = "Channel 1 Shutter\n0-49% closed\n50-100% open\n";
    let draft = read_table(text, None, &TableOptions::default()).unwrap();
    assert!(draft.findings.iter().any(|finding| finding.what.contains("percent")));
}

#[test]
fn what_is_not_recognised_is_unknown_with_its_words_and_not_nothing() {
    let text = "Channel 1 Macros\n0-9 No function\n10-255 Wobble the frobnicator\n";
    let draft = read_table(text, None, &TableOptions::default()).unwrap();
    let entry = &draft.report.ranges[1];
    assert_eq!((entry.range.does.clone(), entry.confidence), (Effect::Unknown, Confidence::Unsure));
    assert_eq!(entry.range.label, "Wobble the frobnicator");
    assert_eq!(draft.report.ranges[0].range.does, Effect::Idle);
    let written = draft.report.to_ron(&draft.profile);
    assert!(written.contains("// Line 3: "), "{written}");
}

/// Where a range is and what it does, with its physical ends to two decimals.
fn doings(entries: &[RangeEntry], mode: &str) -> BTreeMap<String, String> {
    let near = |value: f64| format!("{:.2}", value + 0.0);
    let one = |entry: &RangeEntry| {
        let at = format!("{:?} {:?}", entry.slots, entry.values());
        let does = &entry.range.does;
        let ends = entry.physical().map(|p| (near(p.span.0), near(p.span.1), p.unit));
        (at, format!("{} {:?} {ends:?}", does.key(), does.wheel_slots()))
    };
    entries.iter().filter(|entry| entry.mode == mode).map(one).collect()
}

#[test]
fn a_draft_comes_back_from_its_own_chart() {
    let (mut same, mut of, mut report) = (0, 0, String::new());
    for table in tables() {
        let text = fs::read_to_string(&table).unwrap();
        let draft = read_table(&text, None, &TableOptions::default()).unwrap();
        let profile = Arc::new(draft.profile);
        for mode in &profile.modes {
            let chart = csv(&Chart::new(&CompiledMode::new(&profile, mode)));
            let again = read_table(&chart, None, &TableOptions::default()).unwrap();
            let before = doings(&draft.report.ranges, &mode.name);
            let after = doings(&again.report.ranges, &again.profile.modes[0].name);
            of += before.len();
            for (at, does) in &before {
                let found = after.get(at).map_or("nothing", String::as_str);
                same += usize::from(found == does);
                if found != does {
                    report.push_str(&format!("{}: {at}: {does} became {found}\n", table.display()));
                }
            }
        }
    }
    report.push_str(&format!("{same} of {of} ranges\n"));
    println!("{report}");
    assert_eq!(same, of, "{report}");
}

/// What became of the lines that give no range by themselves, and the last range's words.
fn joined_to(last_row: &str, next: &str) -> (Use, String) {
    let text = format!(
        "Channel 1 Shutter\n0-7 closed\n8-255 {last_row}\n{next}\nChannel 2 Dimmer\n0-255 dimmer 0-100%\n"
    );
    let draft = read_table(&text, None, &TableOptions::default()).expect("a draft");
    let used = draft.report.lines.iter().find(|line| line.line == 4).expect("listed").used.clone();
    let range = draft.report.ranges.iter().find(|entry| entry.line == 3).expect("read");
    (used, range.range.label.clone())
}

#[test]
fn a_stray_line_is_listed_by_itself_and_not_joined_to_the_range_above_it() {
    for stray in ["see the safety notes", "subject to change without notice", "www page 12"] {
        let (used, label) = joined_to("open", stray);
        assert!(matches!(used, Use::NotUnderstood(_) | Use::Ignored(_)), "{stray}: {used:?}");
        assert!(!label.contains(stray), "{label}");
    }
}

#[test]
fn a_line_that_is_plainly_the_rest_of_the_one_before_goes_with_it() {
    for (row, next) in [
        ("strobe, slow to", "fast"),
        ("strobe slow", "to fast"),
        ("strobe (slow to", "fast)"),
        ("strobe", "(slow to fast)"),
        ("strobe,", "slow to fast"),
        ("strobe with a rate that rises evenly over all of the range from slow", "up again"),
    ] {
        assert_eq!(joined_to(row, next).0, Use::Continued, "{row} | {next}");
    }
}
