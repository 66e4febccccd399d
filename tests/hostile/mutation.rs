//! Sound files with random damage: nothing panics, and what is accepted writes back to itself.

use slotwright::profile::library::FILES;
use slotwright::profile::{self, parse_profile};
use slotwright::show::{self, parse_show};
use slotwright::wire::{Frames, parse_frame_text};

const DEMO: &str = include_str!("../../shows/demo.ron");

/// A small generator of numbers that are the same in every run (xorshift, 64 bits).
pub struct Dice(pub u64);

impl Dice {
    pub fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % n.max(1) as u64) as usize
    }
}

/// What is put in the place of something sound.
const NONSENSE: [&str; 16] = [
    "NaN",
    "-1",
    "1e300",
    "256",
    "65536",
    "4294967296",
    "\"\"",
    "(",
    ")",
    "[",
    "}",
    ",",
    ":",
    "Idle",
    "inf",
    "9999999999999999999999",
];

/// The text with a few things damaged.
pub fn damaged(text: &str, dice: &mut Dice) -> String {
    let mut bytes = text.as_bytes().to_vec();
    for _ in 0..=dice.below(3) {
        let at = dice.below(bytes.len());
        match dice.below(6) {
            0 => bytes.truncate(at),
            1 | 2 => {
                if let Some(byte) = bytes.get_mut(at) {
                    *byte ^= 1 << dice.below(8);
                }
            }
            3 => {
                let end = (at + dice.below(40)).min(bytes.len());
                bytes.drain(at..end);
            }
            4 => {
                let end = (at + dice.below(40)).min(bytes.len());
                let copy = bytes[at..end].to_vec();
                bytes.splice(at..at, copy);
            }
            _ => {
                // A number or word as a whole.
                let is_word = |b: &u8| b.is_ascii_alphanumeric() || matches!(b, b'.' | b'-' | b'_');
                let start = bytes[..at].iter().rposition(|b| !is_word(b)).map_or(0, |i| i + 1);
                let rest = bytes[at..].iter().position(|b| !is_word(b));
                let end = rest.map_or(bytes.len(), |i| at + i);
                let word = NONSENSE[dice.below(NONSENSE.len())];
                bytes.splice(start..end, word.bytes());
            }
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

#[test]
fn damaged_profiles_are_refused_or_make_sense() {
    let mut dice = Dice(0x51_07_44_19);
    let mut accepted = 0;
    for (_, text) in FILES {
        for _ in 0..60 {
            let text = damaged(text, &mut dice);
            if let Ok((profile, _)) = parse_profile(&text, None, &|_| true) {
                accepted += 1;
                let written = profile::to_ron(&profile);
                let again = parse_profile(&written, None, &|_| true).map(|(profile, _)| profile);
                assert_eq!(again.as_ref(), Ok(&profile), "{written}");
            }
        }
    }
    assert!(accepted > 0, "the damage is too great to test what is accepted");
}

#[test]
fn damaged_shows_are_refused_or_make_sense() {
    let mut dice = Dice(0x0d_ec_0d_e5);
    let mut accepted = 0;
    for _ in 0..150 {
        let text = damaged(DEMO, &mut dice);
        if let Ok((show, _)) = parse_show(&text, None, &|_| true) {
            accepted += 1;
            let written = show::to_ron(&show);
            let again = parse_show(&written, None, &|_| true).map(|(show, _)| show);
            assert_eq!(again.as_ref(), Ok(&show), "{written}");
        }
    }
    assert!(accepted > 0, "the damage is too great to test what is accepted");
}

/// Where the cues of a show begin: damage that is anywhere in it seldom meets them.
#[test]
fn damaged_cues_are_refused_or_make_sense() {
    let mut dice = Dice(0xc0_0e_11_57);
    let (head, cues) = DEMO.split_at(DEMO.find("  references: [").expect("the demo has cues"));
    let mut accepted = 0;
    for _ in 0..200 {
        let text = format!("{head}{}", damaged(cues, &mut dice));
        if let Ok((show, _)) = parse_show(&text, None, &|_| true) {
            accepted += 1;
            let written = show::to_ron(&show);
            let again = parse_show(&written, None, &|_| true).map(|(show, _)| show);
            assert_eq!(again.as_ref(), Ok(&show), "{written}");
        }
    }
    assert!(accepted > 0, "the damage is too great to test what is accepted");
}

#[test]
fn damaged_frames_are_refused_or_make_sense() {
    let mut dice = Dice(0xf2_a3_e0_01);
    let values: String = (0..513).map(|i| format!("{} ", i % 256)).collect();
    let lines: String = (1..400).map(|i| format!("{},{i},{}\n", i % 3 + 1, i % 256)).collect();
    for text in [values, lines.clone(), format!("universe,slot,value\n{lines}")] {
        for _ in 0..300 {
            if let Ok(frame) = parse_frame_text(&damaged(&text, &mut dice), None, None) {
                frame.apply(&mut Frames::default());
            }
        }
    }
}
