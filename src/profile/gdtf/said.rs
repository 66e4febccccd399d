//! Collecting what there is to say, without end neither in number nor in repetition.

use std::collections::HashSet;

use super::xml::Element;
use crate::finding::{Finding, Place, Severity};

/// How many findings of one file are kept; a file with more is wrong as a whole.
const KEPT: usize = 300;

/// Findings of one file. The same sentence about the same thing is kept once.
#[derive(Clone, Debug, Default)]
pub struct Said {
    list: Vec<Finding>,
    seen: HashSet<(String, String)>,
    dropped: usize,
    failed: bool,
}

impl Said {
    /// Takes a finding in.
    pub fn push(&mut self, finding: Finding) {
        self.failed |= finding.severity == Severity::Error;
        if self.list.len() >= KEPT {
            self.dropped += 1;
            // An error is never the one to go.
            let lesser = self.list.iter().rposition(|kept| kept.severity != Severity::Error);
            match lesser.filter(|_| finding.severity == Severity::Error) {
                Some(lesser) => self.list.remove(lesser),
                None => return,
            };
        }
        let item = finding.place.item.clone().unwrap_or_default();
        let at = finding.place.text.map(|at| format!("{}:{}", at.line, at.column));
        if self.seen.insert((item + &at.unwrap_or_default(), finding.what.clone())) {
            self.list.push(finding);
        }
    }

    /// Something that cannot work as written, at an element.
    pub(super) fn error_at(&mut self, at: &Element<'_>, what: impl Into<String>, mend: &str) {
        self.push(Finding::error(at.place(), what, mend));
    }

    /// Something worth knowing, at an element. It is said once for all elements of that kind.
    pub(super) fn note_at(&mut self, at: &Element<'_>, what: impl Into<String>, mend: &str) {
        let what = what.into();
        if self.seen.insert((at.name.to_string(), what.clone())) {
            self.push(Finding::note(at.place(), what, mend));
        }
    }

    /// Something that cannot work as written, about the thing in words.
    pub(super) fn error(&mut self, item: &str, what: impl Into<String>, mend: impl Into<String>) {
        self.push(Finding::error(place(item), what, mend));
    }

    /// Something legal that will surprise somebody, about the thing in words.
    pub(super) fn warning(&mut self, item: &str, what: impl Into<String>, mend: impl Into<String>) {
        self.push(Finding::warning(place(item), what, mend));
    }

    /// Something worth knowing, about the thing in words.
    pub(super) fn note(&mut self, item: &str, what: impl Into<String>, mend: impl Into<String>) {
        self.push(Finding::note(place(item), what, mend));
    }

    /// Whether an error was found.
    pub fn failed(&self) -> bool {
        self.failed
    }

    /// The findings in the order in which they were made; a last one counts those not kept.
    pub fn into_list(mut self) -> Vec<Finding> {
        if self.dropped > 0 {
            let what = format!("{} more findings are not shown", self.dropped);
            self.list.push(Finding::note(Place::default(), what, "mend these first"));
        }
        self.list
    }
}

fn place(item: &str) -> Place {
    if item.is_empty() { Place::default() } else { Place::item(item) }
}
