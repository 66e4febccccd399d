//! Answers, and the way people write them down.

use super::{Exercise, Task};
use crate::finding::{Finding, Findings, Place, short};

/// An answer to an exercise.
#[derive(Clone, Debug, PartialEq)]
pub enum Answer {
    /// These slots of the head, counted from 1, get these values; all others stay.
    Slots(Vec<(u16, u8)>),
    /// One of the choices, as a place in the list.
    Pick(usize),
    /// Addresses.
    Numbers(Vec<u16>),
    /// A time in microseconds.
    Us(f64),
}

impl Answer {
    /// It as people write it: `7=40 8=255`, `b`, `1 17 33`, `22760`.
    pub fn words(&self) -> String {
        match self {
            Self::Slots(slots) => {
                let words: Vec<String> = slots.iter().map(|(s, v)| format!("{s}={v}")).collect();
                words.join(" ")
            }
            Self::Pick(place) => letter(*place),
            Self::Numbers(numbers) => {
                let words: Vec<String> = numbers.iter().map(u16::to_string).collect();
                words.join(" ")
            }
            Self::Us(us) => format!("{us:.0}"),
        }
    }
}

/// The letter by which a choice is called.
pub(super) fn letter(place: usize) -> String {
    match u8::try_from(place) {
        Ok(place @ 0..=25) => char::from(b'a' + place).to_string(),
        _ => (place + 1).to_string(),
    }
}

impl Exercise {
    /// Reads an answer to this exercise as people write it.
    ///
    /// # Errors
    ///
    /// What is wrong with it, and how it is written.
    pub fn read_answer(&self, text: &str) -> Result<Answer, String> {
        let text = text.trim().to_lowercase();
        let words = || text.split([' ', ',', ';', '\t']).filter(|word| !word.is_empty());
        match &self.task {
            Task::Set { start, .. } => {
                let slots = words().map(|word| setting(word, start.len()));
                slots.collect::<Result<_, _>>().map(Answer::Slots)
            }
            Task::Which { .. } | Task::What { .. } | Task::Fault { .. } => {
                let count = self.choices().len();
                let found = (0..count).find(|place| letter(*place) == text);
                found.map(Answer::Pick).ok_or_else(|| {
                    let last = letter(count.saturating_sub(1));
                    format!("`{}` is none of a..{last}", short(&text))
                })
            }
            Task::Address { .. } | Task::Switches { .. } => {
                let numbers = words().map(|word| {
                    word.parse().map_err(|_| {
                        format!("`{}` is no address; write them as 1 17 33", short(word))
                    })
                });
                numbers.collect::<Result<_, _>>().map(Answer::Numbers)
            }
            Task::Packet { .. } => {
                let (number, factor) = match text.strip_suffix("ms") {
                    Some(number) => (number, 1000.0),
                    None => {
                        let bare = text.strip_suffix("us").or_else(|| text.strip_suffix("µs"));
                        (bare.unwrap_or(&text), 1.0)
                    }
                };
                let us = number.trim().parse::<f64>().ok().filter(|us| us.is_finite());
                us.map(|us| Answer::Us(us * factor)).ok_or_else(|| {
                    let text = short(&text);
                    format!("`{text}` is no time; write microseconds, as 22760, or 22.76 ms")
                })
            }
        }
    }
}

fn setting(word: &str, slots: usize) -> Result<(u16, u8), String> {
    let wrong = || {
        let word = short(word);
        format!(
            "`{word}` sets no slot; write slot=value, as 7=40 (slots 1..{slots}, values 0..255)"
        )
    };
    let (slot, value) = word.split_once('=').ok_or_else(wrong)?;
    let slot: u16 = slot.parse().map_err(|_| wrong())?;
    let value = value.parse().map_err(|_| wrong())?;
    let there = slot > 0 && usize::from(slot) <= slots;
    if there { Ok((slot, value)) } else { Err(wrong()) }
}

/// Most findings of one file.
const MOST_ERRORS: usize = 20;

/// Reads the answers to a sheet: lines of `number: answer`, where `#` begins a comment. For each exercise its
/// answer, or `None` where the file has none.
///
/// # Errors
///
/// Every line that is no answer, with its place and what would be right.
pub fn read_answers(text: &str, sheet: &[Exercise]) -> Result<Vec<Option<Answer>>, Findings> {
    let mut answers: Vec<Option<Answer>> = vec![None; sheet.len()];
    let mut wrong = Vec::new();
    for (i, line) in text.lines().enumerate() {
        let line = line.split('#').next().unwrap_or("").trim();
        if line.is_empty() {
            continue;
        }
        if wrong.len() == MOST_ERRORS {
            let what = "there are more errors from here on";
            let place = Place::item(format!("line {}", i + 1));
            wrong.push(Finding::error(place, what, "mend those above first"));
            break;
        }
        let place = || Place::item(format!("line {}", i + 1));
        let Some((number, answer)) = line.split_once(':') else {
            let what = format!("`{}` is no answer", short(line));
            wrong.push(Finding::error(
                place(),
                what,
                "write the number of the exercise first: `3: b`",
            ));
            continue;
        };
        let nth = number.trim().parse::<usize>().ok().and_then(|number| number.checked_sub(1));
        let Some((nth, exercise)) = nth.and_then(|nth| Some((nth, sheet.get(nth)?))) else {
            let what = format!("there is no exercise `{}`", short(number.trim()));
            let mend = format!("exercises are numbered 1..{}", sheet.len());
            wrong.push(Finding::error(place(), what, mend));
            continue;
        };
        match exercise.read_answer(answer) {
            Ok(answer) => answers[nth] = Some(answer),
            Err(what) => {
                wrong.push(Finding::error(place(), what, "write it as the sheet says"));
            }
        }
    }
    if wrong.is_empty() { Ok(answers) } else { Err(Findings(wrong)) }
}
