//! Observations as a file: one line each, in the order in which they were made.
//!
//! A line says which slots were moved since the line before, if any, then which fixture was looked at and what
//! was seen of it. As RON: `[(fixture: 101, seen: "is dark"), (set: "1/7=255", fixture: 101, seen: "does
//! nothing")]`. As CSV: a first line with the columns' names, then a line each. What is seen is written as the
//! lists of the window say it, several things joined by `and`.

use std::path::Path;

use serde::Deserialize;

use super::Case;
use super::change::{Change, Changes};
use super::look::Sight;
use super::seen::{Happened, Observation, Seen};
use crate::finding::{Finding, Findings, Place, TextPlace, nearest, short};
use crate::profile::ron_text::from_ron;
use crate::rig::Fixture;
use crate::wire::{Frames, Slot, Universe};

/// A line of a file of observations.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, rename = "Line")]
pub struct LogLine {
    /// The look that was brought onto the stage since the line before. Empty: none.
    #[serde(default)]
    pub look: String,
    /// Slots that were moved since the line before: `1/7=255 1/8=0`. Empty: none.
    #[serde(default)]
    pub set: String,
    /// Slots that were moved one after the other, each back before the next: `1/17..48`. Empty: none.
    #[serde(default)]
    pub walk: String,
    /// The number of the fixture that was looked at.
    pub fixture: u32,
    /// What was seen: `is dark`, `lights up and becomes red`, of a walk `tips up at 21`.
    pub seen: String,
}

/// Most lines that are read.
const MOST_LINES: usize = 1000;

/// Most bytes of a file that are read.
const MOST_BYTES: usize = 1 << 20;

/// Reads a file of observations: CSV where its first line names the columns, else RON. `file` is only named
/// in the findings.
///
/// # Errors
///
/// What is no such file, with its line.
pub fn parse_log(text: &str, file: Option<&Path>) -> Result<Vec<LogLine>, Findings> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let place = Place { file: file.map(Path::to_owned), ..Place::default() };
    if text.len() > MOST_BYTES {
        let mend = "keep what was seen in one session";
        return Err(Finding::error(place, "the file has more than 1 MiB", mend).into());
    }
    let lines = match text.trim_start().starts_with(['[', '/', '#']) {
        true => from_ron(text, file).map_err(Findings::from)?,
        false => parse_csv(text, &place)?,
    };
    match lines.len() {
        0 => {
            let mend = "write one line for each thing that was seen";
            Err(Finding::error(place, "the file holds no observation", mend).into())
        }
        1..=MOST_LINES => Ok(lines),
        _ => {
            let what = format!("the file has more than {MOST_LINES} observations");
            Err(Finding::error(place, what, "keep what was seen in one session").into())
        }
    }
}

const COLUMNS: [&str; 5] = ["look", "set", "walk", "fixture", "seen"];

fn parse_csv(text: &str, file: &Place) -> Result<Vec<LogLine>, Findings> {
    let mut lines = text.lines().enumerate().filter(|(_, line)| !line.trim().is_empty());
    let at = |line: usize| {
        let line = u32::try_from(line + 1).unwrap_or(u32::MAX);
        Place { text: Some(TextPlace { line, column: 1 }), ..file.clone() }
    };
    let Some((first, header)) = lines.next() else { return Ok(Vec::new()) };
    let columns: Vec<String> = fields(header).iter().map(|name| name.to_lowercase()).collect();
    for name in &columns {
        if !COLUMNS.contains(&name.as_str()) {
            let near = nearest(name, COLUMNS).unwrap_or("fixture");
            let mend = format!("the columns are look, set, walk, fixture, seen; is it `{near}`?");
            return Err(
                Finding::error(at(first), format!("no column is `{}`", short(name)), mend).into()
            );
        }
    }
    let mut rows = Vec::new();
    for (number, line) in lines.take(MOST_LINES + 1) {
        let values = fields(line);
        if values.len() != columns.len() {
            let what = format!("{} values in a line of {} columns", values.len(), columns.len());
            let mend = "put text with commas between double quotes";
            return Err(Finding::error(at(number), what, mend).into());
        }
        let value = |column: &str| {
            let index = columns.iter().position(|name| name == column)?;
            values.get(index).cloned()
        };
        let fixture = value("fixture").unwrap_or_default();
        let Ok(fixture) = fixture.parse() else {
            let what = format!("`{}` is no fixture number", short(&fixture));
            return Err(Finding::error(at(number), what, "write a number, like 101").into());
        };
        let text = |column| value(column).unwrap_or_default();
        let (look, set, walk, seen) = (text("look"), text("set"), text("walk"), text("seen"));
        rows.push(LogLine { look, set, walk, fixture, seen });
    }
    Ok(rows)
}

/// The values of a CSV line. One between double quotes may hold commas, and a doubled quote means one.
fn fields(line: &str) -> Vec<String> {
    let (mut all, mut value, mut quoted) = (Vec::new(), String::new(), false);
    let mut chars = line.chars().peekable();
    while let Some(c) = chars.next() {
        match c {
            '"' if quoted && chars.peek() == Some(&'"') => {
                chars.next();
                value.push('"');
            }
            '"' => quoted = !quoted,
            ',' if !quoted => all.push(std::mem::take(&mut value).trim().to_owned()),
            c => value.push(c),
        }
    }
    all.push(value.trim().to_owned());
    all
}

impl Case<'_> {
    /// Adds the observations of a file. `look` gives the levels of a look by its name.
    ///
    /// # Errors
    ///
    /// The first line that cannot be meant, by its number: a fixture, look, slot or sight that there is not,
    /// or a change without a slot that was moved.
    pub fn read_log(
        &mut self,
        lines: &[LogLine],
        look: &dyn Fn(&str) -> Option<Frames>,
    ) -> Result<(), Finding> {
        for (nth, line) in lines.iter().enumerate() {
            self.read_line(line, look).map_err(|(what, mend)| {
                Finding::error(Place::item(format!("observation {}", nth + 1)), what, mend)
            })?;
        }
        Ok(())
    }

    /// Whether anything can be said of the head at a place in the rig: without a profile or an address no frame
    /// says what it should do, so that nothing that is seen of it speaks for or against a fault.
    fn can_be_judged(&self, place: usize) -> Result<(), (String, String)> {
        let head = self.rig.get(place).map_or_else(String::new, Fixture::words);
        let planned = self.plan.fixtures().get(place);
        if planned.is_none_or(|planned| planned.mode.is_none()) {
            let mend = "give the show its profile, or look at another head".to_owned();
            return Err((format!("the profile of {head} is not to be had"), mend));
        }
        if planned.is_none_or(|planned| planned.address.is_none()) {
            let what = format!("{head} has no address, so that no frame reaches it");
            return Err((what, "give it one in the patch, or look at another head".to_owned()));
        }
        Ok(())
    }

    fn read_line(
        &mut self,
        line: &LogLine,
        look: &dyn Fn(&str) -> Option<Frames>,
    ) -> Result<(), (String, String)> {
        let place = self.rig.iter().position(|fixture| fixture.id == line.fixture);
        let place = place.ok_or_else(|| {
            let what = format!("the show has no fixture `{}`", line.fixture);
            (what, "look at the numbers of its patch".to_owned())
        })?;
        self.can_be_judged(place)?;
        let mut frames = self.frames.last().cloned().unwrap_or_default();
        let moved = !line.look.is_empty() || !line.set.trim().is_empty();
        if !line.look.is_empty() {
            frames = look(&line.look).ok_or_else(|| {
                let what = format!("the show has no look `{}`", short(&line.look));
                (what, "write the name of one of its looks".to_owned())
            })?;
        }
        for word in line.set.split_whitespace() {
            let (universe, slot, value) = parse_set(word).ok_or_else(|| {
                let mend = "write universe/slot=value, like 1/17=128";
                (format!("`{}` sets no slot", short(word)), mend.to_owned())
            })?;
            frames.set(universe, slot, value);
        }
        if moved || self.frames.is_empty() {
            self.frames.push(frames);
        }
        let last = self.frames.len() - 1;
        if !line.walk.is_empty() {
            let seen = parse_walk(&line.walk, &line.seen, last)?;
            self.seen.push(Observation { place, seen });
            return Ok(());
        }
        for words in things(&line.seen) {
            let seen = match word_of(&words)? {
                Word::Sight(sight) => Seen::At { frame: last, sight },
                Word::Happened(happened) if moved && last > 0 => {
                    Seen::From { before: last - 1, after: last, happened }
                }
                Word::Happened(happened) => {
                    let what = format!("`{}`: nothing was moved before it", happened.words());
                    return Err((what, "say with `set` or `look` what was moved".to_owned()));
                }
            };
            self.seen.push(Observation { place, seen });
        }
        Ok(())
    }
}

fn parse_set(word: &str) -> Option<(Universe, Slot, u8)> {
    let (place, value) = word.split_once('=')?;
    let (universe, slot) = place.split_once('/')?;
    let universe = Universe::new(universe.trim().parse().ok()?)?;
    Some((universe, Slot::new(slot.trim().parse().ok()?)?, value.trim().parse().ok()?))
}

/// `1/17..24,26..40` with what was seen: `does nothing`, or `tips up at 21`.
fn parse_walk(walk: &str, seen: &str, frame: usize) -> Result<Seen, (String, String)> {
    let bad = || {
        let mend = "write universe/first..last, like 1/17..48".to_owned();
        (format!("`{}` is no walk over slots", short(walk)), mend)
    };
    let (universe, runs) = walk.split_once('/').ok_or_else(bad)?;
    let universe = universe.trim().parse().ok().and_then(Universe::new).ok_or_else(bad)?;
    let slot = |text: &str| text.trim().parse().ok().and_then(Slot::new).ok_or_else(bad);
    let mut slots = Vec::new();
    for run in runs.split([',', ' ']).filter(|run| !run.is_empty()) {
        let (first, last) = run.split_once("..").unwrap_or((run, run));
        let (first, last) = (slot(first)?, slot(last)?);
        if last < first {
            return Err((
                format!("{first}..{last} runs backwards"),
                format!("write {last}..{first}"),
            ));
        }
        slots.extend((first.number()..=last.number()).filter_map(Slot::new));
    }
    if slots.is_empty() {
        return Err(bad());
    }
    let found = match seen.rsplit_once(" at ") {
        Some((words, at)) => {
            let at = at.trim().trim_start_matches("slot").trim();
            let at = at.parse().ok().and_then(Slot::new).filter(|at| slots.contains(at));
            let at = at.ok_or_else(|| {
                let mend = "end it with the slot at which it happened, like `tips up at 21`";
                (format!("`{}`: no slot of the walk", short(seen)), mend.to_owned())
            })?;
            let mut changes = Vec::new();
            for words in things(words) {
                match word_of(&words)? {
                    Word::Happened(Happened::Did(change)) => changes.push(change),
                    _ => {
                        let what = format!("`{}` is nothing that a walk shows", short(&words));
                        return Err((what, list_changes()));
                    }
                }
            }
            Some((at, Changes::from_iter(changes)))
        }
        None if seen.trim() == "does nothing" => None,
        None => {
            let mend = "end it with the slot at which it happened, or write `does nothing`";
            return Err((format!("`{}`: at which slot?", short(seen)), mend.to_owned()));
        }
    };
    Ok(Seen::Walked { frame, universe, slots, found })
}

enum Word {
    Sight(Sight),
    Happened(Happened),
}

fn list_changes() -> String {
    let all: Vec<String> = Change::all().map(Change::words).collect();
    format!("what can be seen to happen is: {}", all.join(", "))
}

/// The things of which a text says that they were seen, joined by `and` or commas. Some of their own words have an
/// `and` in them.
fn things(text: &str) -> Vec<String> {
    let known = |words: &str| {
        let is = |own: String| own.eq_ignore_ascii_case(words);
        Sight::all().any(|sight| is(sight.words())) || Happened::all().any(|seen| is(seen.words()))
    };
    let mut all: Vec<String> = Vec::new();
    for part in text.split(" and ").flat_map(|part| part.split(',')).map(str::trim) {
        let joined = all.last().map(|last| format!("{last} and {part}"));
        match (joined.filter(|joined| known(joined)), all.last_mut()) {
            (Some(joined), Some(last)) => *last = joined,
            _ => all.push(part.to_owned()),
        }
    }
    all
}

fn word_of(words: &str) -> Result<Word, (String, String)> {
    let plain = words.trim().to_lowercase();
    let plain = plain.strip_prefix("it ").unwrap_or(&plain);
    let is = format!("is {plain}");
    let sights: Vec<(String, Sight)> = Sight::all().map(|sight| (sight.words(), sight)).collect();
    if let Some((_, sight)) = sights.iter().find(|(words, _)| words == plain || *words == is) {
        return Ok(Word::Sight(*sight));
    }
    let all: Vec<(String, Happened)> = Happened::all().map(|seen| (seen.words(), seen)).collect();
    if let Some((_, happened)) = all.iter().find(|(words, _)| words == plain) {
        return Ok(Word::Happened(*happened));
    }
    let names = sights.iter().map(|(words, _)| words.as_str());
    let names = names.chain(all.iter().map(|(words, _)| words.as_str()));
    let mend = match nearest(plain, names) {
        Some(near) => format!("is it `{near}`? `slotwright help misfit` lists all"),
        None => "`slotwright help misfit` lists what can be seen".to_owned(),
    };
    Err((format!("`{}` is nothing that can be seen", short(words.trim())), mend))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_forms_of_a_file_say_the_same() {
        let ron = r#"[(fixture: 101, seen: "is dark"), (set: "1/7=255", fixture: 101, seen: "does nothing")]"#;
        let csv = "set,fixture,seen\n,101,is dark\n1/7=255,101,does nothing\n";
        assert_eq!(parse_log(ron, None).unwrap(), parse_log(csv, None).unwrap());
    }

    #[test]
    fn every_word_of_the_lists_reads_back() {
        for sight in Sight::all() {
            assert!(matches!(word_of(&sight.words()), Ok(Word::Sight(read)) if read == sight));
            assert_eq!(things(&sight.words()), [sight.words()]);
        }
        for happened in Happened::all() {
            let read = word_of(&happened.words());
            assert_eq!(things(&happened.words()), [happened.words()]);
            // What is seen of a moment goes before what happens between two, in the same words.
            let told = matches!(read, Ok(Word::Happened(read)) if read == happened);
            let sight = matches!(read, Ok(Word::Sight(Sight::Pattern | Sight::RunsItself)));
            assert!(told || sight, "{}", happened.words());
        }
    }

    #[test]
    fn a_bad_file_is_told_by_its_line() {
        #[track_caller]
        fn check(text: &str, says: &str) {
            let findings = parse_log(text, None).unwrap_err().to_string();
            assert!(findings.contains(says), "{findings}");
        }
        check("set,fixtur,seen\n", "is it `fixture`?");
        check("fixture,seen\nx,is dark\n", "`x` is no fixture number");
        check("fixture,seen\n1\n", "1 values in a line of 2 columns");
        check("fixture,seen\n", "holds no observation");
        check("[(fixture: 1)]", "seen");
    }

    #[test]
    fn quoted_values_may_hold_commas() {
        assert_eq!(fields(r#"a,"b, ""c""",d"#), ["a", "b, \"c\"", "d"]);
    }
}
