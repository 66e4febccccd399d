//! One thing a check has to say: how bad, where, what, why, and what to do about it.
//!
//! Every stage that reads something from outside reports with this type, so that the window, the
//! command line and the tests show the same sentence. It stands below every other module.

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
            write!(f, "{}", file.display())?;
            if let Some(at) = self.text {
                write!(f, ":{}:{}", at.line, at.column)?;
            }
            gap = ": ";
        } else if let Some(at) = self.text {
            write!(f, "line {}, column {}", at.line, at.column)?;
            gap = ": ";
        }
        if let Some(item) = &self.item {
            write!(f, "{gap}{item}")?;
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
}

impl Finding {
    /// A finding of the given severity.
    pub fn new(
        severity: Severity,
        place: Place,
        what: impl Into<String>,
        mend: impl Into<String>,
    ) -> Self {
        Self { severity, place, what: what.into(), mend: mend.into() }
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
        write!(f, "{}: {}", self.severity.word(), self.what)?;
        if !self.mend.is_empty() {
            write!(f, "; {}", self.mend)?;
        }
        Ok(())
    }
}

/// The findings that stop something: at least one is an error.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Findings(pub Vec<Finding>);

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
