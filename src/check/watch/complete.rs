//! What can be typed next in a condition.

use std::collections::BTreeSet;
use std::ops::Range;

use super::read::read;
use super::resolve::resolve;
use super::token::{Kind, LONGEST, tokens};
use super::words::{QUANTITIES, STATES, UNITS};
use crate::decode::Plan;
use crate::rig::Rig;

/// The most that is offered.
const MOST: usize = 40;

/// One thing that can be typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Completion {
    /// What of the text it takes the place of, in bytes.
    pub replaces: Range<usize>,
    /// What is put there.
    pub text: String,
    /// What it means.
    pub about: String,
}

/// What fits at a place of a condition, given in bytes, for a rig. `plan` must be of this rig. What stands behind
/// the place is not looked at.
pub fn complete(text: &str, at: usize, rig: &Rig, plan: &Plan) -> Vec<Completion> {
    let Some(before) = text.get(..at).filter(|before| before.len() <= LONGEST) else {
        return Vec::new();
    };
    let (from, begun) = word_begun(before);
    let before = &before[..from];
    let Ok(said) = tokens(before) else { return Vec::new() };
    let place = Place { before, rig, plan, whole: is_whole(before, rig, plan) };
    let mut offers: Vec<(String, String)> = Vec::new();
    match said.iter().rev().nth(1).map(|token| &token.kind) {
        Some(Kind::Word(word)) if ["is", "leaves", "enters"].contains(&word.as_str()) => {
            offers.extend(place.ranges(&said));
        }
        Some(Kind::Word(word)) if word == "fixture" => offers.extend(place.numbers()),
        Some(Kind::Number(_)) => offers.extend(place.units()),
        _ => {}
    }
    offers.extend(place.words());
    let begins = |offer: &str| {
        let plain = offer.trim_start_matches('"').to_lowercase();
        plain.starts_with(&begun.trim_start_matches('"').to_lowercase())
    };
    let mut known = BTreeSet::new();
    offers
        .into_iter()
        .filter(|(text, _)| begins(text) && *text != begun && known.insert(text.clone()))
        .take(MOST)
        .map(|(text, about)| Completion { replaces: from..at, text, about })
        .collect()
}

/// The word, or name in quotation marks, that is being typed, and where it begins.
fn word_begun(before: &str) -> (usize, &str) {
    if before.matches('"').count() % 2 == 1 {
        let from = before.rfind('"').unwrap_or(before.len());
        return (from, &before[from..]);
    }
    let letters = |c: char| c.is_alphanumeric() || c == '_';
    let begun = before.len() - before.trim_end_matches(letters).len();
    let from = before.len() - begun;
    // A number is whole as it stands: units come behind it.
    match before[from..].starts_with(|c: char| c.is_ascii_digit()) {
        true => (before.len(), ""),
        false => (from, &before[from..]),
    }
}

/// Whether a text is a condition as it stands.
fn is_whole(text: &str, rig: &Rig, plan: &Plan) -> bool {
    read(text).is_ok_and(|expr| resolve(&expr, rig, plan).is_ok())
}

struct Place<'a> {
    before: &'a str,
    rig: &'a Rig,
    plan: &'a Plan,
    /// What stands before it is a condition by itself.
    whole: bool,
}

impl Place<'_> {
    /// Whether a word can stand here: reading gets past it.
    fn fits(&self, word: &str) -> bool {
        let text = format!("{} {word}", self.before);
        match read(&text) {
            Ok(_) => true,
            Err(mistake) => mistake.at.start >= text.len(),
        }
    }

    /// Everything that can stand here whatever was said.
    fn words(&self) -> Vec<(String, String)> {
        let mut offers: Vec<(&str, &str)> = Vec::new();
        if self.whole {
            offers.extend([
                ("and", "both are true"),
                ("while", "both are true"),
                ("or", "at least one is true"),
            ]);
        } else {
            offers.extend([
                ("fixture", "one fixture, by its number"),
                ("any fixture", "at least one fixture"),
                ("all fixtures", "every fixture"),
                ("no fixture", "none of them"),
                ("any of", "at least one of these: `any of 1..12`"),
                ("all of", "each of these: `all of 1..12`"),
            ]);
            offers.extend(STATES.iter().map(|(word, _, about)| (*word, *about)));
            offers.extend(QUANTITIES.iter().map(|(word, _, about)| (*word, *about)));
            offers.extend([
                ("starts", "a state begins with this packet"),
                ("stops", "a state ends with this packet"),
                ("slot", "the value of a slot: `slot 1.7`"),
                ("time", "seconds from the start"),
                ("not", "the opposite"),
            ]);
            offers.extend([
                ("is", "a channel stands in a range"),
                ("leaves", "a channel leaves a range with this packet"),
                ("enters", "a channel enters a range with this packet"),
                (">", "greater"),
                ("<", "less"),
                (">=", "at least"),
                ("<=", "at most"),
                ("=", "equal"),
                ("!=", "not equal"),
            ]);
        }
        let mut all: Vec<(String, String)> = offers
            .into_iter()
            .filter(|(word, _)| self.fits(word))
            .map(|(word, about)| (word.to_owned(), about.to_owned()))
            .collect();
        if !self.whole && self.fits("\"x\"") {
            all.extend(self.channels());
        }
        all
    }

    fn channels(&self) -> Vec<(String, String)> {
        let modes = self.plan.fixtures().iter().filter_map(|fixture| fixture.mode.as_ref());
        let names: BTreeSet<&str> =
            modes.flat_map(|mode| &mode.channels).map(|channel| channel.name.as_str()).collect();
        let quoted = |name: &str| (format!("\"{name}\""), "a channel".to_owned());
        names.into_iter().filter(|name| !name.contains('"')).map(quoted).collect()
    }

    /// Ranges of the channel that was named last.
    fn ranges(&self, said: &[super::token::Token]) -> Vec<(String, String)> {
        let channel = said.iter().rev().skip(2).find_map(|token| match &token.kind {
            Kind::Text(name) | Kind::Word(name) => Some(name.to_lowercase()),
            _ => None,
        });
        let Some(channel) = channel else { return Vec::new() };
        let modes = self.plan.fixtures().iter().filter_map(|fixture| fixture.mode.as_ref());
        let of = modes
            .flat_map(|mode| &mode.channels)
            .filter(|own| own.name.to_lowercase() == channel)
            .flat_map(|own| &own.ranges);
        let quoted = |name: &str| (format!("\"{name}\""), format!("a range of `{channel}`"));
        of.flat_map(|range| range.names()).filter(|name| !name.contains('"')).map(quoted).collect()
    }

    fn numbers(&self) -> Vec<(String, String)> {
        let fixtures = self.rig.iter();
        fixtures.map(|fixture| (fixture.id.to_string(), fixture.words())).collect()
    }

    /// Units that make a condition of what was said.
    fn units(&self) -> Vec<(String, String)> {
        let mut known = Vec::new();
        let mut fitting = Vec::new();
        for (unit, dim, _) in UNITS {
            if !known.contains(&dim)
                && is_whole(&format!("{} {unit}", self.before), self.rig, self.plan)
            {
                fitting.push((dim.symbol().to_owned(), "the unit".to_owned()));
            }
            known.push(dim);
        }
        fitting
    }
}
