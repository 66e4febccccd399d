//! Frames over time, as text: lines of `seconds,universe,slot,value`.
//!
//! Only what changes need be written: a slot holds its value until a later line gives it another, and
//! one that no line names was never sent. All lines of one time are one frame. A first line
//! `seconds,universe,slot,value` may stand above them, and `#` starts a comment that runs to the end of
//! the line.
//!
//! A list of changes says nothing about the packets that carried them: between two lines the line is
//! taken to go on repeating what it holds, so that no gap, however long, is a loss of the signal.

use std::collections::HashMap;
use std::path::Path;

use super::frame::{Slot, Universe};
use super::levels::Frames;
use super::text::{MOST_ERRORS, Reader, data_lines, place};
use crate::finding::{Finding, Findings, Severity, short};

/// The latest time that is read, in seconds: a day.
pub const MOST_S: f64 = 86_400.0;

/// The most changes that are read.
pub const MOST_CHANGES: usize = 10_000_000;

/// One slot that gets a value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Change {
    /// The universe.
    pub universe: Universe,
    /// The slot.
    pub slot: Slot,
    /// Its value from then on.
    pub value: u8,
}

/// A moment at which something changes.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Moment {
    at_s: f64,
    /// Its first change.
    first: u32,
}

/// One slot through all time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Track {
    universe: Universe,
    slot: Slot,
    /// Where its changes begin among those sorted by slot.
    first: u32,
}

/// Frames over time.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TimedFrames {
    instants: Vec<Moment>,
    /// Every change, in the order of time.
    changes: Vec<Change>,
    tracks: Vec<Track>,
    /// The changes sorted by slot, and by time for each: places in `changes`. What a slot holds at any
    /// time is found by halving, whatever came before.
    by_slot: Vec<u32>,
}

impl TimedFrames {
    /// Frames from changes in the order of time; those of one time are one frame. Times are in seconds
    /// from 0. Changes past [`MOST_CHANGES`] are left out, and one whose time is before that of the
    /// change above it, or no number, counts as at that one's time.
    pub fn new(changes: impl IntoIterator<Item = (f64, Change)>) -> Self {
        let mut timed = Self::default();
        let mut last_s = 0.0;
        for (at_s, change) in changes.into_iter().take(MOST_CHANGES) {
            last_s = f64::max(last_s, at_s);
            if timed.instants.last().is_none_or(|instant| instant.at_s < last_s) {
                let first = timed.changes.len() as u32;
                timed.instants.push(Moment { at_s: last_s, first });
            }
            timed.changes.push(change);
        }
        timed.sort();
        timed
    }

    fn sort(&mut self) {
        let key = |i: &u32| {
            let change = self.changes[*i as usize];
            (change.universe, change.slot, *i)
        };
        let mut by_slot: Vec<u32> = (0..self.changes.len() as u32).collect();
        by_slot.sort_unstable_by_key(key);
        for (first, i) in (0..).zip(&by_slot) {
            let Change { universe, slot, .. } = self.changes[*i as usize];
            if self.tracks.last().is_none_or(|t| (t.universe, t.slot) != (universe, slot)) {
                self.tracks.push(Track { universe, slot, first });
            }
        }
        self.by_slot = by_slot;
    }

    /// The time of the last change, in seconds; 0 where there is none.
    pub fn duration_s(&self) -> f64 {
        self.instants.last().map_or(0.0, |instant| instant.at_s)
    }

    /// How many frames there are: moments at which something changes.
    pub fn len(&self) -> usize {
        self.instants.len()
    }

    /// Whether nothing ever changes.
    pub fn is_empty(&self) -> bool {
        self.instants.is_empty()
    }

    /// How many slots are given a value, over all frames.
    pub fn change_count(&self) -> usize {
        self.changes.len()
    }

    /// A frame, counted from 0: its time in seconds, and what changes. `None` past the last.
    pub fn frame(&self, nth: usize) -> Option<(f64, &[Change])> {
        let instant = self.instants.get(nth)?;
        let end = self.instants.get(nth + 1).map_or(self.changes.len(), |next| next.first as usize);
        Some((instant.at_s, self.changes.get(instant.first as usize..end)?))
    }

    /// How many frames came up to a time, that one included.
    pub fn count_until(&self, t_s: f64) -> usize {
        self.instants.partition_point(|instant| instant.at_s <= t_s)
    }

    /// The frames after `from_s`, up to and with `to_s`: time in seconds, and what changes.
    pub fn between(&self, from_s: f64, to_s: f64) -> impl Iterator<Item = (f64, &[Change])> {
        (self.count_until(from_s)..self.count_until(to_s)).filter_map(|nth| self.frame(nth))
    }

    /// The frames as a text that [`parse_timed_frames`] reads back to the same.
    pub fn to_csv(&self) -> String {
        let mut text = "seconds,universe,slot,value\n".to_owned();
        for (at_s, changes) in (0..self.len()).filter_map(|nth| self.frame(nth)) {
            for Change { universe, slot, value } in changes {
                text.push_str(&format!("{at_s},{universe},{slot},{value}\n"));
            }
        }
        text
    }

    /// What is held at a time, that one included, where nothing was sent before.
    pub fn frames_at(&self, t_s: f64) -> Frames {
        self.frames_from(&Frames::default(), t_s)
    }

    /// What is held at a time, that one included, where `start` was held before. Each slot is looked
    /// up: what came before costs nothing.
    pub fn frames_from(&self, start: &Frames, t_s: f64) -> Frames {
        let mut frames = start.clone();
        let next = self.instants.get(self.count_until(t_s));
        let until = next.map_or(self.changes.len(), |instant| instant.first as usize);
        for (nth, track) in self.tracks.iter().enumerate() {
            let end = self.tracks.get(nth + 1).map_or(self.by_slot.len(), |t| t.first as usize);
            let own = self.by_slot.get(track.first as usize..end).unwrap_or_default();
            let came = own.partition_point(|i| (*i as usize) < until);
            if let Some(last) = came.checked_sub(1).and_then(|last| own.get(last)) {
                frames.set(track.universe, track.slot, self.changes[*last as usize].value);
            }
        }
        frames
    }
}

/// What a file of timed frames holds.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TimedText {
    /// The frames.
    pub timed: TimedFrames,
    /// What there is to say about it; none is an error.
    pub findings: Vec<Finding>,
}

/// Reads timed frames. `file` is only named in the findings, never opened.
///
/// # Errors
///
/// All findings, where at least one is an error: a time that is no number of 0..86400 seconds or that
/// runs backwards, a slot, universe or value that does not exist, more than [`MOST_CHANGES`] lines,
/// none at all.
pub fn parse_timed_frames(text: &str, file: Option<&Path>) -> Result<TimedText, Findings> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut reader = Reader { file, findings: Vec::new(), errors: 0 };
    let changes = reader.timed_lines(text);
    let findings = reader.finish()?;
    Ok(TimedText { timed: TimedFrames::new(changes), findings })
}

impl Reader<'_> {
    fn timed_lines(&mut self, text: &str) -> Vec<(f64, Change)> {
        let mut changes = Vec::new();
        // The time of the last good line, and its number.
        let mut last: Option<(f64, u32)> = None;
        let mut twice = Twice::default();
        for (nth, (number, line)) in data_lines(text).enumerate() {
            if nth == 0 && is_header(line) {
                continue;
            }
            if self.errors >= MOST_ERRORS {
                break;
            }
            if changes.len() >= MOST_CHANGES {
                let what = format!("there are more than {MOST_CHANGES} changes");
                self.error(Some(place(number, line, line)), what, "split the file");
                break;
            }
            let Some((at_s, change)) = self.timed_line(number, line) else { continue };
            if let Some((before_s, before)) = last.filter(|(before_s, _)| at_s < *before_s) {
                let what = format!("{at_s} s is before the {before_s} s of line {before}");
                let at = place(number, line, line.trim_start());
                self.error(Some(at), what, "times must not run backwards: sort the lines by time");
                continue;
            }
            last = Some((at_s, number));
            twice.look_at(at_s, change, number);
            changes.push((at_s, change));
        }
        if changes.is_empty() && self.errors == 0 {
            let mend = "write lines of `seconds,universe,slot,value`";
            self.error(None, "the file holds no change".to_owned(), mend);
        }
        if let Some(what) = twice.words() {
            self.say(Severity::Warning, None, what, "a frame carries each slot once");
        }
        changes
    }

    fn timed_line(&mut self, number: u32, line: &str) -> Option<(f64, Change)> {
        let fields: Vec<&str> = line.splitn(5, ',').map(str::trim).collect();
        let [at, universe, slot, value] = fields[..] else {
            let start = place(number, line, line.trim_start());
            let count =
                if fields.len() > 4 { "more than 4".into() } else { fields.len().to_string() };
            let mend = "each line is `seconds,universe,slot,value`";
            self.error(Some(start), format!("{count} values in a line"), mend);
            return None;
        };
        // All four are looked at, so that every mistake of a line is told at once.
        let at_s = self.seconds(number, line, at);
        let universe = self.universe(number, line, universe);
        let slot = self.slot(number, line, slot);
        let value = self.byte(number, line, value);
        Some((at_s?, Change { universe: universe?, slot: slot?, value: value? }))
    }

    fn seconds(&mut self, number: u32, line: &str, word: &str) -> Option<f64> {
        let starts = |c: char| c.is_ascii_digit() || c == '.';
        let parsed = word.starts_with(starts).then(|| word.parse::<f64>().ok()).flatten();
        let parsed = parsed.filter(|at_s| (0.0..=MOST_S).contains(at_s));
        if parsed.is_none() {
            let what = format!("`{}` is no time", short(word));
            let mend = "times are seconds from the start, 0..86400, with a point";
            self.error(Some(place(number, line, word)), what, mend);
        }
        parsed
    }
}

/// Slots that one frame gives two values.
#[derive(Default)]
struct Twice {
    seen: HashMap<(Universe, Slot), (f64, u32, u8)>,
    first: Option<(u32, u32)>,
    count: usize,
}

impl Twice {
    fn look_at(&mut self, at_s: f64, change: Change, line: u32) {
        let slot = (change.universe, change.slot);
        if let Some((before_s, before, value)) = self.seen.insert(slot, (at_s, line, change.value))
            && before_s == at_s
            && value != change.value
        {
            self.count += 1;
            self.first.get_or_insert((before, line));
        }
    }

    fn words(&self) -> Option<String> {
        let (before, line) = self.first?;
        let more = match self.count - 1 {
            0 => String::new(),
            more => format!(", and {more} more like it"),
        };
        Some(format!(
            "lines {before} and {line} give one slot two values at one time{more}: the later counts"
        ))
    }
}

fn is_header(line: &str) -> bool {
    let names = line.split(',').map(|name| name.trim().to_ascii_lowercase());
    names.eq(["seconds", "universe", "slot", "value"])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wire::SlotState;

    fn read(text: &str) -> TimedText {
        parse_timed_frames(text, Some(Path::new("t.csv"))).unwrap()
    }

    fn slot(n: u16) -> Slot {
        Slot::new(n).unwrap()
    }

    #[track_caller]
    fn check_error(text: &str, expected: &[&str]) {
        let findings = parse_timed_frames(text, Some(Path::new("t.csv"))).unwrap_err().0;
        let lines: Vec<String> = findings.iter().map(Finding::to_string).collect();
        assert_eq!(lines.len(), expected.len(), "{lines:#?}");
        for (line, expected) in lines.iter().zip(expected) {
            assert!(line.starts_with(expected), "{line}\nshould start with\n{expected}");
        }
    }

    #[test]
    fn changes_of_one_time_are_one_frame() {
        let text = "\u{feff}Seconds, Universe,slot,value\r\n0,1,1,10 # on\n0.0,1,2,20\n1.5,2,512,7\n1.5,1,1,0\n";
        let TimedText { timed, findings } = read(text);
        assert_eq!(findings, []);
        assert_eq!((timed.len(), timed.change_count(), timed.duration_s()), (2, 4, 1.5));
        let two = Universe::new(2).unwrap();
        let before = timed.frames_at(1.499);
        assert_eq!(before.state(Universe::ONE, slot(1)), SlotState::Sent(10));
        assert_eq!(before.state(two, slot(512)), SlotState::NeverSent);
        let after = timed.frames_at(1.5);
        assert_eq!(after.state(Universe::ONE, slot(1)), SlotState::Sent(0));
        assert_eq!(after.state(Universe::ONE, slot(2)), SlotState::Sent(20));
        assert_eq!(after.state(two, slot(512)), SlotState::Sent(7));
        assert_eq!(timed.frames_at(-1.0), Frames::default());
        let times: Vec<f64> = timed.between(0.0, 9.0).map(|(at_s, _)| at_s).collect();
        assert_eq!(times, [1.5], "the start is left out and the end is in");
    }

    #[test]
    fn what_is_held_does_not_depend_on_how_it_is_looked_up() {
        let mut random = 7u32;
        let mut next = |below: u32| {
            random = random.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (random >> 8) % below
        };
        let changes: Vec<(f64, Change)> = (0..3000)
            .map(|i| {
                let universe = Universe::new(next(3) + 1).unwrap();
                let slot = slot(next(40) as u16 + 1);
                (f64::from(i / 5) * 0.025, Change { universe, slot, value: next(256) as u8 })
            })
            .collect();
        let timed = TimedFrames::new(changes.iter().copied());
        let mut frames = Frames::default();
        frames.set(Universe::ONE, slot(500), 9);
        let start = frames.clone();
        for (at_s, changes) in (0..timed.len()).filter_map(|nth| timed.frame(nth)) {
            for change in changes {
                frames.set(change.universe, change.slot, change.value);
            }
            assert_eq!(timed.frames_from(&start, at_s), frames, "{at_s}");
        }
    }

    #[test]
    fn what_is_wrong_is_told_in_its_place() {
        check_error(
            "seconds,universe,slot,value\nNaN,1,1,1\n-1,1,1,1\ninf,1,1,1\n1e9,1,1,1\n0,1,513,1\n0,1,1,256\n0,0,1,1\n0,1,1\n0,1,1,1,1\n,1,1,1\n0,5,1,1,1,2",
            &[
                "t.csv:2:1: error: `NaN` is no time; times are seconds",
                "t.csv:3:1: error: `-1` is no time",
                "t.csv:4:1: error: `inf` is no time",
                "t.csv:5:1: error: `1e9` is no time",
                "t.csv:6:5: error: there is no slot `513`",
                "t.csv:7:7: error: `256` is no value of a slot",
                "t.csv:8:3: error: there is no universe `0`",
                "t.csv:9:1: error: 3 values in a line",
                "t.csv:10:1: error: more than 4 values in a line",
                "t.csv:11:1: error: `` is no time",
                "t.csv:12:1: error: more than 4 values in a line",
            ],
        );
        check_error(
            "1,1,1,1\n# a comment\n0.5,1,1,2\n",
            &["t.csv:3:1: error: 0.5 s is before the 1 s of line 1; times must not run backwards"],
        );
        check_error("", &["t.csv: error: the file holds no change"]);
        check_error("seconds,universe,slot,value\n", &["t.csv: error: the file holds no change"]);
    }

    #[test]
    fn a_slot_twice_in_one_frame_takes_the_later_value_and_says_so() {
        let TimedText { timed, findings } = read("0,1,1,1\n0,1,1,2\n0,1,2,3\n0,1,2,3\n");
        assert_eq!(timed.frames_at(0.0).state(Universe::ONE, slot(1)), SlotState::Sent(2));
        let lines: Vec<String> = findings.iter().map(Finding::to_string).collect();
        assert_eq!(lines.len(), 1, "{lines:#?}");
        assert!(lines[0].contains("lines 1 and 2 give one slot two values"), "{lines:#?}");
    }

    #[test]
    fn a_file_that_is_wrong_all_over_is_not_read_to_its_end() {
        let findings = parse_timed_frames(&"x,y,z,w\n".repeat(100_000), None).unwrap_err().0;
        assert!((MOST_ERRORS..MOST_ERRORS + 6).contains(&findings.len()), "{}", findings.len());
    }
}
