//! Frames as text files.
//!
//! Two forms are read; in both, `#` starts a comment that runs to the end of the line:
//!
//! * plain values: up to 512 decimal numbers 0..255, separated by blanks, commas or line ends. The
//!   first is slot 1. 513 numbers are a start code and 512 slots.
//! * lines of `universe,slot,value`. The slots named are sent, all others are not.
//!
//! How the form is told: a first line `universe,slot,value` makes it lines for certain. Without it,
//! a file in which every line holds exactly three numbers with commas between them is read as lines,
//! and every other file as plain values. Where the other reading would be possible too, a note says
//! which was taken.

use std::collections::HashMap;
use std::path::Path;

use super::frame::{Frame, SLOTS, Slot, Universe};
use super::levels::Frames;
use crate::finding::{Finding, Findings, Place, Severity, TextPlace, short};

/// Errors after which the rest of a file is not looked at.
pub(super) const MOST_ERRORS: usize = 20;

/// What a frame file holds.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FrameText {
    /// Whole frames: one, from a file of plain values.
    pub frames: Vec<(Universe, Frame)>,
    /// Single slots, from a file of lines.
    pub slots: Vec<(Universe, Slot, u8)>,
    /// What there is to say about it; none is an error.
    pub findings: Vec<Finding>,
}

impl FrameText {
    /// Sends everything to `frames`: a whole frame as a packet, single slots one by one.
    pub fn apply(&self, frames: &mut Frames) {
        for (universe, frame) in &self.frames {
            frames.universe_mut(*universe).apply(frame);
        }
        for (universe, slot, value) in &self.slots {
            frames.set(*universe, *slot, *value);
        }
    }
}

/// Reads a frame file. `universe` says whose the values of a plain file are (1 where nobody says);
/// `file` is only named in the findings, never opened.
///
/// # Errors
///
/// All findings, where at least one is an error: a value that no slot carries, a slot or universe
/// that does not exist, more than 513 values, none at all.
pub fn parse_frame_text(
    text: &str,
    universe: Option<Universe>,
    file: Option<&Path>,
) -> Result<FrameText, Findings> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut reader = Reader { file, findings: Vec::new(), errors: 0 };
    let form = form_of(text);
    let mut read = match form {
        Form::Lines { .. } => reader.lines(text, universe, form),
        Form::Values { .. } => reader.values(text, universe, form),
    };
    read.findings = reader.finish()?;
    Ok(read)
}

/// How a file is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Form {
    /// Lines of `universe,slot,value`.
    Lines { header: bool },
    /// Plain values. Most of the lines look like `universe,slot,value` all the same.
    Values { most_are_lines: bool },
}

fn form_of(text: &str) -> Form {
    let (mut all, mut threes) = (0usize, 0usize);
    for (_, line) in data_lines(text) {
        if all == 0 && is_header(line) {
            return Form::Lines { header: true };
        }
        all += 1;
        let is_field = |field: &str| field.split_whitespace().count() == 1;
        if line.split(',').count() == 3 && line.split(',').all(is_field) {
            threes += 1;
        }
    }
    if all > 0 && threes == all {
        Form::Lines { header: false }
    } else {
        Form::Values { most_are_lines: threes * 2 > all }
    }
}

fn is_header(line: &str) -> bool {
    let names = line.split(',').map(|name| name.trim().to_ascii_lowercase());
    names.eq(["universe", "slot", "value"])
}

/// Lines that hold more than a comment, with their numbers from 1 and without their comments.
pub(super) fn data_lines(text: &str) -> impl Iterator<Item = (u32, &str)> {
    (1..)
        .zip(text.lines())
        .map(|(number, line)| (number, line.split('#').next().unwrap_or("")))
        .filter(|(_, line)| !line.trim().is_empty())
}

pub(super) struct Reader<'a> {
    pub(super) file: Option<&'a Path>,
    pub(super) findings: Vec<Finding>,
    pub(super) errors: usize,
}

impl Reader<'_> {
    /// Everything said, where none of it is an error.
    pub(super) fn finish(mut self) -> Result<Vec<Finding>, Findings> {
        if self.errors >= MOST_ERRORS {
            let what = "the rest of the file was not looked at";
            self.say(Severity::Note, None, what, "mend these first");
        }
        if self.errors > 0 { Err(Findings(self.findings)) } else { Ok(self.findings) }
    }

    pub(super) fn say(
        &mut self,
        severity: Severity,
        at: Option<TextPlace>,
        what: impl Into<String>,
        mend: impl Into<String>,
    ) {
        let place = Place { file: self.file.map(Path::to_owned), text: at, item: None };
        self.findings.push(Finding::new(severity, place, what, mend));
        self.errors += usize::from(severity == Severity::Error);
    }

    pub(super) fn error(&mut self, at: Option<TextPlace>, what: String, mend: impl Into<String>) {
        self.say(Severity::Error, at, what, mend);
    }

    fn values(&mut self, text: &str, universe: Option<Universe>, form: Form) -> FrameText {
        let mut values: Vec<u8> = Vec::with_capacity(SLOTS + 1);
        let mut count = 0usize;
        let mut excess = None;
        for (number, line) in data_lines(text) {
            let mut fields = line.split(',').peekable();
            while let Some(field) = fields.next() {
                // A comma at the end of a line ends a row; any other empty field is a slot that
                // would silently move all that follow.
                if field.trim().is_empty() && fields.peek().is_some() {
                    let at = place(number, line, field);
                    let mend = "write every slot, or lines of `universe,slot,value`";
                    self.error(Some(at), "there is no value before this comma".to_owned(), mend);
                }
                for word in field.split_whitespace() {
                    count += 1;
                    match self.byte(number, line, word) {
                        Some(value) if values.len() <= SLOTS => values.push(value),
                        Some(_) if excess.is_none() => excess = Some(place(number, line, word)),
                        _ => {}
                    }
                    if self.errors >= MOST_ERRORS {
                        return FrameText::default();
                    }
                }
            }
        }
        if let Some(at) = excess {
            self.error(
                Some(at),
                format!("the file holds {count} values"),
                format!("a frame is at most {SLOTS}, or {} with its start code", SLOTS + 1),
            );
        } else if count == 0 {
            self.error(None, "the file holds no value".to_owned(), "write values 0..255");
        }
        if self.errors > 0 {
            return FrameText::default();
        }
        if form == (Form::Values { most_are_lines: true }) {
            self.say(
                Severity::Warning,
                None,
                format!("read as {count} plain values, slot 1 first, though most lines hold three"),
                "if they are lines of `universe,slot,value`, put that line first",
            );
        }
        self.frame(values, universe)
    }

    /// The frame that plain values make, up to 513 of them.
    fn frame(&mut self, mut values: Vec<u8>, universe: Option<Universe>) -> FrameText {
        let coded = values.len() > SLOTS;
        let start_code = if coded { values.remove(0) } else { 0 };
        let whole = values.len() == SLOTS;
        let Ok(frame) = Frame::new(start_code, values) else { return FrameText::default() };
        if !frame.carries_levels() {
            let what = format!(
                "513 values: the first, `{start_code}`, is a start code for {}: no levels",
                frame.start_code_meaning()
            );
            self.say(Severity::Warning, None, what, "no slot is changed; levels have start code 0");
        } else if coded {
            let what = "513 values: the first, `0`, was taken as the start code of levels";
            self.say(Severity::Note, None, what, "slot 1 is the second value");
        } else if whole && frame.slots().first() == Some(&0) {
            self.say(
                Severity::Note,
                None,
                "512 values, the first of them `0`: it was taken as slot 1",
                "a file that begins with the start code has 513",
            );
        }
        let universe = universe.unwrap_or_else(|| {
            let mend = "say whose values they are if that is wrong";
            self.say(Severity::Note, None, "taken as universe 1, as nobody said which", mend);
            Universe::ONE
        });
        FrameText { frames: vec![(universe, frame)], ..FrameText::default() }
    }

    fn lines(&mut self, text: &str, universe: Option<Universe>, form: Form) -> FrameText {
        let header = form == (Form::Lines { header: true });
        let mut slots = Vec::new();
        let mut seen = HashMap::new();
        let mut could_be_plain = !header;
        let mut others = false;
        for (number, line) in data_lines(text).skip(usize::from(header)) {
            let fields: Vec<&str> = line.splitn(4, ',').map(str::trim).collect();
            let [of, slot, value] = fields[..] else {
                let at = place(number, line, line.trim_start());
                let mend = "each line is `universe,slot,value`";
                self.error(Some(at), format!("{} values in a line", fields.len()), mend);
                if self.errors >= MOST_ERRORS {
                    break;
                }
                continue;
            };
            let numbers = (
                self.universe(number, line, of),
                self.slot(number, line, slot),
                self.byte(number, line, value),
            );
            if self.errors >= MOST_ERRORS {
                break;
            }
            let (Some(of), Some(slot), Some(value)) = numbers else { continue };
            could_be_plain &= of.number() < 256 && slot.number() < 256;
            others |= universe.is_some_and(|universe| universe != of);
            if let Some(before) = seen.insert((of, slot), number) {
                let at = place(number, line, line.trim_start());
                let what = format!("slot {slot} of universe {of} has a value in line {before}");
                self.error(Some(at), what, "let each slot come once");
            }
            slots.push((of, slot, value));
        }
        if slots.is_empty() && self.errors == 0 {
            let mend = "write lines of `universe,slot,value`";
            self.error(None, "the file holds no value".to_owned(), mend);
        }
        if could_be_plain && (1..=SLOTS / 3).contains(&slots.len()) {
            self.say(
                Severity::Note,
                None,
                "read as lines of universe, slot, value, as each holds three numbers",
                "put `universe,slot,value` first to make that certain, or all values on one line \
                 without commas if they are slots 1, 2, 3, ...",
            );
        }
        if others {
            let what = "the lines name their universes, which count more than the one asked for";
            self.say(Severity::Note, None, what, "");
        }
        FrameText { slots, ..FrameText::default() }
    }

    /// A slot's value.
    pub(super) fn byte(&mut self, number: u32, line: &str, word: &str) -> Option<u8> {
        let parsed = decimal(word).and_then(|value| u8::try_from(value).ok());
        if parsed.is_none() {
            let at = place(number, line, word);
            self.error(Some(at), format!("`{}` is no value of a slot", short(word)), hint(word));
        }
        parsed
    }

    pub(super) fn slot(&mut self, number: u32, line: &str, word: &str) -> Option<Slot> {
        let parsed = decimal(word).and_then(|slot| u16::try_from(slot).ok()).and_then(Slot::new);
        if parsed.is_none() {
            let at = place(number, line, word);
            self.error(Some(at), format!("there is no slot `{}`", short(word)), "slots are 1..512");
        }
        parsed
    }

    pub(super) fn universe(&mut self, number: u32, line: &str, word: &str) -> Option<Universe> {
        let parsed = decimal(word).and_then(Universe::new);
        if parsed.is_none() {
            let at = place(number, line, word);
            let what = format!("there is no universe `{}`", short(word));
            self.error(Some(at), what, "universes are 1..63999");
        }
        parsed
    }
}

/// A whole decimal number of plain digits.
fn decimal(word: &str) -> Option<u32> {
    word.bytes().all(|byte| byte.is_ascii_digit()).then(|| word.parse().ok()).flatten()
}

/// What would be right instead of a word that is no value.
fn hint(word: &str) -> String {
    let hex = word.strip_prefix("0x").or_else(|| word.strip_prefix("0X"));
    if let Some(value) = hex.and_then(|digits| u8::from_str_radix(digits, 16).ok()) {
        return format!("numbers are decimal here: `{value}`");
    }
    if word.contains(';') {
        return "separate values by blanks, commas or line ends".to_owned();
    }
    "values are whole numbers 0..255".to_owned()
}

/// The place of a part of a line.
pub(super) fn place(number: u32, line: &str, part: &str) -> TextPlace {
    let byte = (part.as_ptr() as usize).saturating_sub(line.as_ptr() as usize);
    let before = line.get(..byte).unwrap_or("");
    TextPlace { line: number, column: before.chars().count() as u32 + 1 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wire::SlotState;

    fn read(text: &str) -> Result<FrameText, Findings> {
        parse_frame_text(text, Some(Universe::ONE), Some(Path::new("f.txt")))
    }

    /// Checks the values from slot 1 on and the starts of all findings.
    #[track_caller]
    fn check_values(text: &str, values: &[u8], findings: &[&str]) {
        let read = read(text).unwrap();
        assert_eq!(read.frames[0].1.slots(), values);
        check_findings(&read.findings, findings);
    }

    #[track_caller]
    fn check_error(text: &str, findings: &[&str]) {
        check_findings(&read(text).unwrap_err().0, findings);
    }

    #[track_caller]
    fn check_findings(findings: &[Finding], expected: &[&str]) {
        let lines: Vec<String> = findings.iter().map(Finding::to_string).collect();
        assert_eq!(lines.len(), expected.len(), "{lines:#?}");
        for (line, expected) in lines.iter().zip(expected) {
            assert!(line.starts_with(expected), "{line}\nshould start with\n{expected}");
        }
    }

    fn row(value: &str, count: usize) -> String {
        vec![value; count].join(" ")
    }

    #[test]
    fn blanks_commas_and_line_ends_separate_values() {
        check_values("1, 2\t3 4,\r\n5,6\n# all of it\n7 # the last\n", &[1, 2, 3, 4, 5, 6, 7], &[]);
        check_values("\u{feff}255", &[255], &[]);
    }

    /// ANSI E1.11-2008: a packet is a start code and up to 512 slots; 8.5.1: only start code 0
    /// carries levels.
    #[test]
    fn the_number_of_values_says_whether_there_is_a_start_code() {
        check_values(&row("7", 512), &[7; 512], &[]);
        let first_is_slot_1 =
            "f.txt: note: 512 values, the first of them `0`: it was taken as slot 1";
        check_values(
            &format!("0 {}", row("7", 511)),
            &[&[0][..], &[7; 511]].concat(),
            &[first_is_slot_1],
        );
        check_values(
            &format!("0 {}", row("7", 512)),
            &[7; 512],
            &["f.txt: note: 513 values: the first, `0`, was taken as the start code of levels"],
        );
        check_values(
            &format!("23 {}", row("7", 512)),
            &[7; 512],
            &["f.txt: warning: 513 values: the first, `23`, is a start code for ASCII text packet"],
        );
        let mut frames = Frames::default();
        read(&format!("23 {}", row("7", 512))).unwrap().apply(&mut frames);
        assert_eq!(frames.state(Universe::ONE, Slot::new(1).unwrap()), SlotState::NeverSent);
        check_error(
            &format!("{}\n1 2 3", row("7", 512)),
            &["f.txt:2:3: error: the file holds 515"],
        );
        check_error(
            &row("7", 600),
            &["f.txt:1:1027: error: the file holds 600 values; a frame is"],
        );
        check_error("", &["f.txt: error: the file holds no value"]);
        check_error("# nothing\n", &["f.txt: error: the file holds no value"]);
    }

    #[test]
    fn a_word_that_is_no_value_is_shown_in_its_place() {
        for (word, mend) in [
            ("256", "values are whole numbers 0..255"),
            ("-1", "values are whole"),
            ("+1", "values are whole"),
            ("1.5", "values are whole"),
            ("abc", "values are whole"),
            ("50%", "values are whole"),
            ("99999999999999999999", "values are whole"),
            ("0x1F", "numbers are decimal here: `31`"),
            ("1;2", "separate values by blanks"),
        ] {
            let expected = format!("f.txt:2:4: error: `{word}` is no value of a slot; {mend}");
            check_error(
                &format!("1 2 3 4\né, {word} 7\n"),
                &["f.txt:2:1: error: `é` is no value", &expected],
            );
        }
        check_error("1,,2", &["f.txt:1:3: error: there is no value before this comma"]);
    }

    #[test]
    fn lines_send_the_slots_they_name_and_no_others() {
        let text = "universe,slot,value\n1,5,255\n 2 , 512 , 0 # last\n";
        let read = parse_frame_text(text, None, None).unwrap();
        check_findings(&read.findings, &[]);
        let mut frames = Frames::default();
        read.apply(&mut frames);
        let two = Universe::new(2).unwrap();
        assert_eq!(frames.state(Universe::ONE, Slot::new(5).unwrap()), SlotState::Sent(255));
        assert_eq!(frames.state(Universe::ONE, Slot::new(4).unwrap()), SlotState::NeverSent);
        assert_eq!(frames.state(two, Slot::new(512).unwrap()), SlotState::Sent(0));
    }

    #[test]
    fn which_reading_was_taken_is_said_where_both_are_possible() {
        let read_text = read("1,2,3").unwrap();
        assert_eq!(read_text.slots, [(Universe::ONE, Slot::new(2).unwrap(), 3)]);
        check_findings(&read_text.findings, &["f.txt: note: read as lines of universe, slot"]);
        check_findings(&read("1,300,3").unwrap().findings, &[]);
        check_values(
            "1,2,3\n1,3,4\n1,9",
            &[1, 2, 3, 1, 3, 4, 1, 9],
            &["f.txt: warning: read as 8 plain values"],
        );
        check_values("1 2 3", &[1, 2, 3], &[]);
        let unsaid = parse_frame_text("1 2", None, None).unwrap();
        check_findings(&unsaid.findings, &["note: taken as universe 1"]);
    }

    #[test]
    fn lines_with_places_that_do_not_exist_are_errors() {
        check_error(
            "universe,slot,value\n1,0,5\n1,513,5\n0,1,5\n64000,1,5\n1,1,256\n1,2\n1,3,4,5",
            &[
                "f.txt:2:3: error: there is no slot `0`; slots are 1..512",
                "f.txt:3:3: error: there is no slot `513`",
                "f.txt:4:1: error: there is no universe `0`; universes are 1..63999",
                "f.txt:5:1: error: there is no universe `64000`",
                "f.txt:6:5: error: `256` is no value of a slot",
                "f.txt:7:1: error: 2 values in a line",
                "f.txt:8:1: error: 4 values in a line",
            ],
        );
        check_error(
            "1,1,5\n1,1,6",
            &[
                "f.txt:2:1: error: slot 1 of universe 1 has a value in line 1",
                "f.txt: note: read as lines",
            ],
        );
        check_error("universe,slot,value\n", &["f.txt: error: the file holds no value"]);
    }

    #[test]
    fn a_file_that_is_wrong_all_over_is_not_read_to_its_end() {
        for text in ["x ".repeat(1_000_000), "x,y,z\n".repeat(100_000)] {
            let findings = read(&text).unwrap_err().0;
            assert!((MOST_ERRORS..MOST_ERRORS + 5).contains(&findings.len()));
        }
    }
}
