//! The notes as a CSV file: one line for each thing that was seen.
//!
//! ```text
//! # maker: Wold
//! # model: Nameless
//! # slots: 16
//! # it hung
//! slot,from,to,seen,measured,held,remark
//! all,0,0,nothing,,,
//! 5,32,255,brighter,,,
//! 7,64,95,strobes slow to fast,1..12,5=255,
//! ```

use std::path::Path;

use super::{Note, Probe, Seen, Setting};
use crate::finding::{Finding, Findings, Place, TextPlace, any_error, listed};
use crate::wire::SLOTS;

/// The columns, in order. Only the first four must be there.
const COLUMNS: [&str; 7] = ["slot", "from", "to", "seen", "measured", "held", "remark"];

/// Lines that are read; no person writes more.
const MOST_LINES: usize = 20_000;

/// Findings that are kept of one file.
const MOST_FINDINGS: usize = 50;

/// The notes as the text of a file, which [`parse_notes`] reads back to the same.
pub fn write_notes(probe: &Probe) -> String {
    let one_line = |text: &str| crate::finding::one_line(text).trim().to_owned();
    let mut text = format!(
        "# maker: {}\n# model: {}\n# slots: {}\n# it {}\n{}\n",
        one_line(&probe.maker),
        one_line(&probe.model),
        probe.slots,
        if probe.standing { "stood" } else { "hung" },
        COLUMNS.join(",")
    );
    for note in &probe.notes {
        let slot = note.slot.map_or_else(|| "all".to_owned(), |slot| slot.to_string());
        let measured = note.measured.map_or_else(String::new, |(a, b)| format!("{a}..{b}"));
        let held: Vec<String> = note.held.iter().map(|(s, v)| format!("{s}={v}")).collect();
        let cells = [
            slot,
            note.from.to_string(),
            note.to.to_string(),
            note.seen.to_string(),
            measured,
            held.join(" "),
            note.remark.clone(),
        ];
        let cells: Vec<String> = cells.iter().map(|cell| quoted(&one_line(cell))).collect();
        text.push_str(&cells.join(","));
        text.push('\n');
    }
    text
}

fn quoted(cell: &str) -> String {
    if cell.contains([',', ';', '"', '#']) {
        format!("\"{}\"", cell.replace('"', "\"\""))
    } else {
        cell.to_owned()
    }
}

/// Reads notes, and whatever there is to say about them. Where the file does not say how many slots
/// the head has, it has as many as the notes name.
///
/// # Errors
///
/// All findings, where at least one is an error: a line that names no slot or value, or is too short.
/// A word that is not on the list is no error: it is kept, and what it stands for stays unknown.
pub fn parse_notes(text: &str, file: Option<&Path>) -> Result<(Probe, Vec<Finding>), Findings> {
    let mut reader = Reader { probe: Probe::new("", "", 0), file, line: 0, findings: Vec::new() };
    for (i, line) in text.trim_start_matches('\u{feff}').lines().enumerate() {
        reader.line = i as u32 + 1;
        if i >= MOST_LINES {
            let what = format!("there are more than {MOST_LINES} lines");
            reader.say(Finding::error, what, "is this the right file?");
            break;
        }
        reader.read_line(line.trim());
        if reader.findings.len() >= MOST_FINDINGS {
            reader.say(Finding::error, "there is more that cannot be read", "mend these first");
            break;
        }
    }
    let mut probe = reader.probe;
    let named =
        |note: &Note| note.slot.into_iter().chain(note.held.iter().map(|held| held.0)).max();
    let most = probe.notes.iter().filter_map(named).max().unwrap_or(0);
    if probe.slots < most && probe.slots > 0 {
        let place = Place { file: file.map(Path::to_owned), ..Place::default() };
        let what = format!("slot {most} is noted of a head of {} slots", probe.slots);
        let mend = format!("it is taken to have {most}");
        reader.findings.push(Finding::warning(place, what, mend));
    }
    probe.slots = probe.slots.max(most).max(1);
    if any_error(&reader.findings) {
        return Err(Findings(reader.findings));
    }
    Ok((probe, reader.findings))
}

struct Reader<'a> {
    probe: Probe,
    file: Option<&'a Path>,
    /// The line that is read, from 1.
    line: u32,
    findings: Vec<Finding>,
}

impl Reader<'_> {
    fn say(
        &mut self,
        make: fn(Place, String, String) -> Finding,
        what: impl Into<String>,
        mend: impl Into<String>,
    ) {
        let place = Place {
            file: self.file.map(Path::to_owned),
            text: Some(TextPlace { line: self.line, column: 1 }),
            item: None,
        };
        self.findings.push(make(place, what.into(), mend.into()));
    }

    fn read_line(&mut self, line: &str) {
        if let Some(comment) = line.strip_prefix('#') {
            self.read_comment(comment.trim());
            return;
        }
        let cells = cells(line);
        let is_head = cells.first().is_some_and(|cell| cell.eq_ignore_ascii_case("slot"));
        if is_head || cells.iter().all(String::is_empty) {
            return;
        }
        match self.note(&cells) {
            Ok(Some(note)) => self.probe.notes.push(note),
            // A line of the sheet that was not filled in.
            Ok(None) => {}
            Err((what, mend)) => self.say(Finding::error, what, mend),
        }
    }

    fn read_comment(&mut self, comment: &str) {
        match comment.split_once(':').map(|(name, value)| (name.trim(), value.trim())) {
            Some(("maker", value)) => self.probe.maker = value.to_owned(),
            Some(("model", value)) => self.probe.model = value.to_owned(),
            Some(("slots", value)) => match slot_number(value) {
                Some(slots) => self.probe.slots = slots,
                None => {
                    let what = format!("a head cannot have `{}` slots", value.escape_debug());
                    self.say(Finding::error, what, "give a number from 1 to 512");
                }
            },
            _ if comment == "it stood" => self.probe.standing = true,
            _ => {}
        }
    }

    fn note(&mut self, cells: &[String]) -> Result<Option<Note>, (String, String)> {
        let cell = |at: usize| cells.get(at).map_or("", String::as_str);
        if cell(3).is_empty() {
            return Ok(None);
        }
        let slot = match cell(0) {
            "all" => None,
            text => Some(slot_number(text).ok_or_else(|| no_slot(text))?),
        };
        let (from, to) =
            (value(cell(1))?, value(if cell(2).is_empty() { cell(1) } else { cell(2) })?);
        if from > to {
            let what = format!("the line runs from `{from}` back to `{to}`");
            return Err((what, "put the smaller value first".to_owned()));
        }
        let seen = Seen::of(cell(3)).unwrap_or_else(|| {
            let near = Seen::nearest(cell(3)).map(|near| format!("did you mean `{near}`? "));
            let what = format!("`{}` is no word of the list", cell(3).escape_debug());
            let mend = "it is kept as it stands, and what it does stays unknown";
            self.say(Finding::warning, what, format!("{}{mend}", near.unwrap_or_default()));
            Seen::Other(cell(3).to_owned())
        });
        Ok(Some(Note {
            slot,
            from,
            to,
            seen,
            measured: measured(cell(4))?,
            held: held(cell(5))?,
            remark: cell(6).to_owned(),
        }))
    }
}

/// The cells of a line, without the blanks around them. A cell in quotes may hold commas, and quotes
/// written twice.
fn cells(line: &str) -> Vec<String> {
    let mut cells = vec![String::new()];
    let mut in_quotes = false;
    let mut chars = line.chars().peekable();
    while let Some(c) = chars.next() {
        let Some(cell) = cells.last_mut() else { break };
        match c {
            '"' if in_quotes && chars.peek() == Some(&'"') => {
                chars.next();
                cell.push('"');
            }
            '"' if in_quotes => in_quotes = false,
            '"' if cell.trim().is_empty() => {
                cell.clear();
                in_quotes = true;
            }
            ',' | ';' | '\t' if !in_quotes => cells.push(String::new()),
            c => cell.push(c),
        }
    }
    cells.iter().map(|cell| cell.trim().to_owned()).collect()
}

fn slot_number(text: &str) -> Option<u16> {
    text.parse().ok().filter(|slot| (1..=SLOTS as u16).contains(slot))
}

fn no_slot(text: &str) -> (String, String) {
    let what = format!("there is no slot `{}`", text.escape_debug());
    (what, "name one of the head's own slots, counted from 1, or `all`".to_owned())
}

fn value(text: &str) -> Result<u8, (String, String)> {
    text.parse().map_err(|_| {
        let what = format!("no slot carries the value `{}`", text.escape_debug());
        (what, "values are 0..255".to_owned())
    })
}

/// `1..12` or one number for both ends; empty for nothing.
fn measured(text: &str) -> Result<Option<(f64, f64)>, (String, String)> {
    if text.is_empty() {
        return Ok(None);
    }
    let number = |text: &str| {
        let number = text.trim().parse::<f64>().ok();
        number.filter(|number| number.is_finite() && number.abs() <= 100_000.0)
    };
    let (a, b) = text.split_once("..").unwrap_or((text, text));
    match (number(a), number(b)) {
        (Some(a), Some(b)) => Ok(Some((a, b))),
        _ => {
            let what = format!("`{}` is no measurement", text.escape_debug());
            Err((what, "write the first and the last number like 1..12, or one number".to_owned()))
        }
    }
}

/// `5=255 7=20`; empty for nothing.
fn held(text: &str) -> Result<Vec<Setting>, (String, String)> {
    let mut all = Vec::new();
    for word in text.split_whitespace() {
        let (slot, of) = word.split_once('=').ok_or_else(|| {
            let what = format!("`{}` does not say what was held", word.escape_debug());
            (what, format!("write slot=value, like 5=255; columns: {}", listed(COLUMNS)))
        })?;
        all.push((slot_number(slot).ok_or_else(|| no_slot(slot))?, value(of)?));
    }
    all.sort_unstable();
    all.dedup();
    Ok(all)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::WORDS;
    use super::*;

    fn read(text: &str) -> (Probe, Vec<String>) {
        let (probe, findings) = parse_notes(text, Some(Path::new("n.csv"))).unwrap();
        (probe, findings.iter().map(Finding::to_string).collect())
    }

    #[test]
    fn a_table_filled_in_by_hand_is_read() {
        let (probe, said) = read(
            "Slot, From, To, Seen\n\n5, 32, 255, Brighter\n7;64;95;strobes slow to fast;1..12;5=255\n\
             6,10,,\"colour deep, dark blue\"\n8,0,255,\n",
        );
        assert_eq!(said, [] as [String; 0]);
        assert_eq!((probe.slots, probe.notes.len()), (7, 3), "an empty row is no note");
        assert_eq!(probe.notes[1].measured, Some((1.0, 12.0)));
        assert_eq!(probe.notes[1].held, [(5, 255)]);
        assert_eq!((probe.notes[2].from, probe.notes[2].to), (10, 10));
        assert_eq!(probe.notes[2].seen, Seen::Colour("deep, dark blue".to_owned()));
    }

    #[test]
    fn a_slip_is_kept_and_said_with_its_line() {
        let (probe, said) = read("slot,from,to,seen\n1,0,9,ligth on\n");
        assert_eq!(probe.notes[0].seen, Seen::Other("ligth on".to_owned()));
        assert!(said[0].starts_with("n.csv:2:1: warning: `ligth on` is no word of the list"));
        assert!(said[0].contains("did you mean `light on`?"), "{said:?}");
    }

    #[test]
    fn lines_that_name_nothing_that_is_there_are_errors() {
        for (line, what) in [
            ("0,0,9,nothing", "there is no slot `0`"),
            ("513,0,9,nothing", "there is no slot `513`"),
            ("x,0,9,nothing", "there is no slot `x`"),
            ("1,0,256,nothing", "no slot carries the value `256`"),
            ("1,-1,2,nothing", "no slot carries the value `-1`"),
            ("1,,,nothing", "no slot carries the value ``"),
            ("1,9,0,nothing", "the line runs from `9` back to `0`"),
            ("1,0,9,strobes,NaN", "`NaN` is no measurement"),
            ("1,0,9,strobes,1..inf", "`1..inf` is no measurement"),
            ("1,0,9,nothing,,5", "`5` does not say what was held"),
            ("# slots: 0", "a head cannot have `0` slots"),
        ] {
            let findings = parse_notes(&format!("\n{line}\n"), None).unwrap_err();
            let said = findings.to_string();
            assert!(
                said.starts_with(&format!("line 2, column 1: error: {what}")),
                "{line}: {said}"
            );
        }
    }

    fn any_note() -> impl Strategy<Value = Note> {
        let word = (0..WORDS.len(), "[a-z ,\"#]{0,12}").prop_map(|(at, own)| {
            let own = own.trim().to_owned();
            match WORDS[at].seen() {
                Seen::Colour(_) => Seen::Colour(own),
                Seen::Pattern(_) => Seen::Pattern(own),
                Seen::Other(_) => Seen::Other(own),
                seen => seen,
            }
        });
        let held = prop::collection::btree_map(1u16..=512, any::<u8>(), 0..3);
        (
            prop::option::of(1u16..=512),
            any::<(u8, u8)>(),
            word,
            prop::option::of((-500.0..500.0, -500.0..500.0)),
            held,
            "[a-zé ,\";]{0,12}",
        )
            .prop_map(|(slot, (a, b), seen, measured, held, remark)| Note {
                slot,
                from: a.min(b),
                to: a.max(b),
                seen: Seen::of(&seen.to_string()).unwrap_or(seen),
                measured,
                held: held.into_iter().collect(),
                remark: remark.trim().to_owned(),
            })
    }

    proptest! {
        #[test]
        fn notes_read_back_to_themselves(
            notes in prop::collection::vec(any_note(), 0..20),
            standing in any::<bool>(),
        ) {
            let probe = Probe { standing, notes, ..Probe::new("Wold", "Nameless: 3", 512) };
            let (again, findings) = parse_notes(&write_notes(&probe), None).unwrap();
            prop_assert_eq!(again, probe);
            prop_assert_eq!(findings, []);
        }

        #[test]
        fn no_text_is_too_bad_to_read(text in "[0-9a-z,;#:\"\\n. =-]{0,300}") {
            let _ = parse_notes(&text, None);
        }
    }
}
