//! One thing a check has to say: how bad, where, what, why, and what to do about it.
//!
//! Every stage that reads something from outside reports with this type, so that the window, the
//! command line and the tests show the same sentence. It stands below every other module.

use std::borrow::Cow;
use std::fmt;
use std::path::PathBuf;

/// How much a finding matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Worth knowing; nothing is wrong.
    Note,
    /// Legal, but it will surprise somebody.
    Warning,
    /// It cannot work as written.
    Error,
}

impl Severity {
    /// The word printed before a finding.
    pub fn word(self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Warning => "warning",
            Self::Error => "error",
        }
    }
}

/// A place in a text file. Lines and columns count from 1, columns in characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct TextPlace {
    /// Line, from 1.
    pub line: u32,
    /// Column, from 1, in characters.
    pub column: u32,
}

/// Where a finding was made. Every part is optional: what is known is shown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Place {
    /// The file, as the user named it.
    pub file: Option<PathBuf>,
    /// Line and column in that file.
    pub text: Option<TextPlace>,
    /// The thing inside it, in words: `mode "full", channel "Shutter", range 3`.
    pub item: Option<String>,
}

impl Place {
    /// A place that is only words.
    pub fn item(item: impl Into<String>) -> Self {
        Self { item: Some(item.into()), ..Self::default() }
    }

    /// A whole file.
    pub fn file(file: impl Into<PathBuf>) -> Self {
        Self { file: Some(file.into()), ..Self::default() }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut gap = "";
        if let Some(file) = &self.file {
            f.write_str(&one_line(&file.to_string_lossy()))?;
            if let Some(at) = self.text {
                write!(f, ":{}:{}", at.line, at.column)?;
            }
            gap = ": ";
        } else if let Some(at) = self.text {
            write!(f, "line {}, column {}", at.line, at.column)?;
            gap = ": ";
        }
        if let Some(item) = &self.item {
            write!(f, "{gap}{}", one_line(item))?;
        }
        Ok(())
    }
}

/// One thing a check has to say.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// How much it matters.
    pub severity: Severity,
    /// Where it is.
    pub place: Place,
    /// What was found, with the bad value in backticks. One lower-case sentence, no full stop.
    pub what: String,
    /// What would be right, or what to do. Empty where nothing is to be done.
    pub mend: String,
    /// Why it matters: what somebody will see who does nothing about it. Empty where `what` says it all.
    pub why: String,
    /// The stable name of its kind, such as `default-dark`, by which it can be accepted. Empty for a kind
    /// that has none.
    pub code: &'static str,
    /// The reason for which whoever wrote the file accepted it. `None`: nobody did.
    pub accepted: Option<String>,
}

impl Finding {
    /// A finding of the given severity.
    pub fn new(
        severity: Severity,
        place: Place,
        what: impl Into<String>,
        mend: impl Into<String>,
    ) -> Self {
        Self {
            severity,
            place,
            what: what.into(),
            mend: mend.into(),
            why: String::new(),
            code: "",
            accepted: None,
        }
    }

    /// The same, with why it matters.
    pub fn because(self, why: impl Into<String>) -> Self {
        Self { why: why.into(), ..self }
    }

    /// The same, with the stable name of its kind.
    pub fn coded(self, code: &'static str) -> Self {
        Self { code, ..self }
    }

    /// Something that cannot work as written.
    pub fn error(place: Place, what: impl Into<String>, mend: impl Into<String>) -> Self {
        Self::new(Severity::Error, place, what, mend)
    }

    /// Something legal that will surprise somebody.
    pub fn warning(place: Place, what: impl Into<String>, mend: impl Into<String>) -> Self {
        Self::new(Severity::Warning, place, what, mend)
    }

    /// Something worth knowing.
    pub fn note(place: Place, what: impl Into<String>, mend: impl Into<String>) -> Self {
        Self::new(Severity::Note, place, what, mend)
    }
}

impl fmt::Display for Finding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let place = self.place.to_string();
        if !place.is_empty() {
            write!(f, "{place}: ")?;
        }
        let accepted = if self.accepted.is_some() { "accepted " } else { "" };
        write!(f, "{accepted}{}: {}", self.severity.word(), one_line(&self.what))?;
        if !self.mend.is_empty() {
            write!(f, "; {}", one_line(&self.mend))?;
        }
        if !self.why.is_empty() {
            write!(f, " ({})", one_line(&self.why))?;
        }
        if !self.code.is_empty() {
            write!(f, " [{}]", self.code)?;
        }
        if let Some(reason) = &self.accepted {
            write!(f, "; accepted: {}", one_line(reason))?;
        }
        Ok(())
    }
}

/// The findings that stop something: at least one is an error.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Findings(pub Vec<Finding>);

/// Whether any of them is an error.
pub fn any_error(findings: &[Finding]) -> bool {
    findings.iter().any(|finding| finding.severity == Severity::Error)
}

/// The one of `names` that `word` is most likely a slip of, if one is near enough to be meant.
pub fn nearest<'a>(word: &str, names: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let wanted = word.to_lowercase();
    let length = wanted.chars().count();
    // A third of the letters may be wrong, and one in any case.
    let allowed = (length / 3).max(1);
    names
        .into_iter()
        // Names of quite another length need no look: each letter more or less is a slip itself.
        .filter(|name| name.chars().count().abs_diff(length) <= allowed)
        .map(|name| (slips(&wanted, &name.to_lowercase()), name))
        .filter(|(slips, _)| *slips <= allowed)
        .min_by_key(|(slips, _)| *slips)
        .map(|(_, name)| name)
}

/// `names` in backticks, as a list for a message; a long list is cut short.
pub fn listed<'a>(names: impl IntoIterator<Item = &'a str>) -> String {
    const SHOWN: usize = 60;
    let mut names = names.into_iter();
    let mut text: Vec<String> =
        names.by_ref().take(SHOWN).map(|name| format!("`{name}`")).collect();
    match names.count() {
        0 => {}
        more => text.push(format!("and {more} more")),
    }
    if text.is_empty() { "none".to_owned() } else { text.join(", ") }
}

/// The beginning of a word of a file as a message can show it, with what cannot be seen escaped.
pub fn short(word: &str) -> String {
    let mut text: String = word.chars().take(24).flat_map(char::escape_debug).collect();
    if word.chars().nth(24).is_some() {
        text.push_str("...");
    }
    text
}

/// `text` on one line: line ends, other control characters and those that turn the direction of what
/// follows are blanks, so that a name from a file can neither break out of its line nor steer a
/// terminal.
pub fn one_line(text: &str) -> Cow<'_, str> {
    let steers = |c: char| {
        c.is_control()
            || matches!(c, '\u{2028}' | '\u{2029}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    };
    if text.contains(steers) { Cow::Owned(text.replace(steers, " ")) } else { Cow::Borrowed(text) }
}

/// A number as a message can show it: in full where that is short, else with an exponent.
pub fn number(value: f64) -> String {
    let size = value.abs();
    if size == 0.0 || !size.is_finite() || (1e-6..1e12).contains(&size) {
        value.to_string()
    } else {
        format!("{value:e}")
    }
}

/// A number with at most this many decimals, and none that are needless: `270`, `0.5`.
pub fn rounded(value: f64, most: usize) -> String {
    let shown = format!("{value:.most$}");
    // Without decimals every zero counts.
    let shown = match shown.contains('.') {
        true => shown.trim_end_matches('0').trim_end_matches('.'),
        false => &shown,
    };
    if shown == "-0" { "0".to_owned() } else { shown.to_owned() }
}

/// How many letters must be put in, left out, exchanged or swapped with their neighbour to get from
/// one word to the other (the optimal string alignment distance).
fn slips(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    let mut before = vec![0; b.len() + 1];
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for i in 0..a.len() {
        let mut row = vec![i + 1; b.len() + 1];
        for j in 0..b.len() {
            let other = usize::from(a[i] != b[j]);
            row[j + 1] = (last[j] + other).min(last[j + 1] + 1).min(row[j] + 1);
            if i > 0 && j > 0 && a[i] == b[j - 1] && a[i - 1] == b[j] {
                row[j + 1] = row[j + 1].min(before[j - 1] + 1);
            }
        }
        before = std::mem::replace(&mut last, row);
    }
    last[b.len()]
}

impl fmt::Display for Findings {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, finding) in self.0.iter().enumerate() {
            if i > 0 {
                writeln!(f)?;
            }
            write!(f, "{finding}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Findings {}

impl From<Finding> for Findings {
    fn from(finding: Finding) -> Self {
        Self(vec![finding])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_name_forgives_a_slip_and_no_more() {
        let names = ["channels", "name", "slots"];
        assert_eq!(nearest("chanels", names), Some("channels"));
        assert_eq!(nearest("nmae", names), Some("name"));
        assert_eq!(nearest("Slots", names), Some("slots"));
        assert_eq!(nearest("gobo", names), None);
        assert_eq!(nearest("", names), None);
        // A very long word costs no time: its length alone rules every name out.
        assert_eq!(nearest(&"x".repeat(1_000_000), names), None);
    }

    #[test]
    fn names_from_a_file_never_break_out_of_their_line() {
        let place = Place {
            item: Some("fixture 1 \"a\nb\"".to_owned()),
            ..Place::file("new\nline\u{1b}[31m.ron")
        };
        let finding = Finding::error(place, "there is no look `x\r\n\u{202e}y`", "it has `\u{7}`");
        assert_eq!(
            finding.to_string(),
            "new line [31m.ron: fixture 1 \"a b\": error: there is no look `x   y`; it has ` `"
        );
    }

    #[test]
    fn numbers_in_messages_stay_short() {
        for (value, shown) in [
            (1e300, "1e300"),
            (-1.5e-300, "-1.5e-300"),
            (1e9, "1000000000"),
            (0.25, "0.25"),
            (-0.0, "-0"),
            (f64::NAN, "NaN"),
            (f64::NEG_INFINITY, "-inf"),
        ] {
            assert_eq!(number(value), shown);
        }
    }

    #[test]
    fn a_finding_reads_as_one_line() {
        let place = Place {
            file: Some("a.ron".into()),
            text: Some(TextPlace { line: 3, column: 7 }),
            item: Some("mode \"full\"".to_owned()),
        };
        let finding = Finding::error(place, "slot `0` does not exist", "slots count from 1");
        assert_eq!(
            finding.to_string(),
            "a.ron:3:7: mode \"full\": error: slot `0` does not exist; slots count from 1"
        );
        let told = Finding { accepted: Some("as meant".to_owned()), ..finding.clone() };
        let told = told.because("nothing answers").coded("slot");
        assert_eq!(
            told.to_string(),
            "a.ron:3:7: mode \"full\": accepted error: slot `0` does not exist; slots count from 1 \
             (nothing answers) [slot]; accepted: as meant"
        );
    }
}
