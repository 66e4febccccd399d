//! `slotwright check`: what there is to say about profiles and shows.

use std::path::Path;

use serde::Serialize;

use super::args::CheckArgs;
use super::{Failure, Report, input, json};
use crate::finding::{Finding, Findings, Place, Severity, TextPlace};
use crate::light::pattern;
use crate::profile::parse_profile;
use crate::profile::place::{PathInFile, locate};
use crate::show::check_show;

/// What a file holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
enum Kind {
    Profile,
    Show,
}

/// What there is to say about one file.
struct Checked<'a> {
    path: &'a Path,
    kind: Option<Kind>,
    findings: Vec<Finding>,
}

pub(super) fn run(args: &CheckArgs) -> Result<Report, Failure> {
    let files: Vec<Checked<'_>> = args.paths.iter().map(|path| check(path)).collect();
    let bad = count(&files, Severity::Error) > 0;
    let out = if args.json { machine(&files) } else { people(&files) };
    Ok(Report { out, said: Vec::new(), bad })
}

fn check(path: &Path) -> Checked<'_> {
    let (kind, findings) = match input::read_text(path) {
        Ok(text) => look_at(path, &text),
        Err(finding) => (None, vec![finding]),
    };
    Checked { path, kind, findings }
}

fn look_at(path: &Path, text: &str) -> (Option<Kind>, Vec<Finding>) {
    let file = input::name(path);
    let kind = kind_of(text);
    let known = |name: &str| pattern::drawing(name).is_some();
    let findings = match kind {
        Some(Kind::Profile) => match parse_profile(text, Some(file), &known) {
            Ok((_, findings)) | Err(Findings(findings)) => findings,
        },
        Some(Kind::Show) => check_show(text, Some(file), &known),
        None => vec![neither(file, text)],
    };
    (kind, findings)
}

/// Tells a profile from a show by the fields that only one of them has.
fn kind_of(text: &str) -> Option<Kind> {
    let top = PathInFile::top();
    let fields = ["maker", "modes", "format", "fixtures"].map(|name| top.field(name));
    let mut paths = vec![&top];
    paths.extend(&fields);
    // A field that is not there is placed at the whole value.
    let places = locate(text, &paths);
    let there = |i: usize| places[i].is_some() && places[i] != places[0];
    match (there(1) || there(2), there(3) || there(4)) {
        (true, false) => Some(Kind::Profile),
        (_, true) => Some(Kind::Show),
        (false, false) => None,
    }
}

/// A text that is no RON at all gets the reader's own words for what is wrong with it.
fn neither(file: &Path, text: &str) -> Finding {
    let readable = crate::profile::ron_text::from_ron::<serde::de::IgnoredAny>(text, Some(file));
    readable.err().unwrap_or_else(|| {
        Finding::error(
            Place::file(file),
            "this is neither a profile nor a show",
            "a profile names its `maker`, a show its `format` and `fixtures`",
        )
    })
}

fn count(files: &[Checked<'_>], severity: Severity) -> usize {
    let all = files.iter().flat_map(|file| &file.findings);
    all.filter(|finding| finding.severity == severity).count()
}

fn people(files: &[Checked<'_>]) -> String {
    let mut out = String::new();
    for finding in files.iter().flat_map(|file| &file.findings) {
        out.push_str(&format!("{finding}\n"));
    }
    let counted = |n: usize, one: &str| format!("{n} {one}{}", if n == 1 { "" } else { "s" });
    let mut parts = vec![counted(files.len(), "file")];
    for (severity, word) in WORDS {
        parts.push(counted(count(files, severity), word));
    }
    out.push_str(&parts.join(", "));
    out.push('\n');
    out
}

const WORDS: [(Severity, &str); 3] =
    [(Severity::Error, "error"), (Severity::Warning, "warning"), (Severity::Note, "note")];

#[derive(Serialize)]
struct CheckJson<'a> {
    files: Vec<FileJson<'a>>,
    errors: usize,
    warnings: usize,
    notes: usize,
}

#[derive(Serialize)]
struct FileJson<'a> {
    path: String,
    kind: Option<Kind>,
    findings: Vec<FindingJson<'a>>,
}

#[derive(Serialize)]
struct FindingJson<'a> {
    severity: &'static str,
    file: Option<String>,
    line: Option<u32>,
    column: Option<u32>,
    item: Option<&'a str>,
    what: &'a str,
    mend: &'a str,
}

fn machine(files: &[Checked<'_>]) -> String {
    json::lines(&CheckJson {
        files: files
            .iter()
            .map(|file| FileJson {
                path: file.path.display().to_string(),
                kind: file.kind,
                findings: file.findings.iter().map(finding_json).collect(),
            })
            .collect(),
        errors: count(files, Severity::Error),
        warnings: count(files, Severity::Warning),
        notes: count(files, Severity::Note),
    })
}

fn finding_json(finding: &Finding) -> FindingJson<'_> {
    let place = &finding.place;
    FindingJson {
        severity: finding.severity.word(),
        file: place.file.as_ref().map(|file| file.display().to_string()),
        line: place.text.map(|TextPlace { line, .. }| line),
        column: place.text.map(|TextPlace { column, .. }| column),
        item: place.item.as_deref(),
        what: &finding.what,
        mend: &finding.mend,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_profile_is_told_from_a_show_even_where_it_does_not_parse() {
        for (text, kind) in [
            ("(maker: \"A\", model: \"B\", modes: [(name: ", Some(Kind::Profile)),
            ("(mkaer: \"A\", modes: [])", Some(Kind::Profile)),
            (
                "(format: 1, name: \"A\", fixtures: [(id: 1, profile: \"maker:\")])",
                Some(Kind::Show),
            ),
            ("#![enable(implicit_some)]\n(fixtures: [])", Some(Kind::Show)),
            ("(name: \"maker: x\")", None),
            ("[1, 2]", None),
            ("", None),
        ] {
            assert_eq!(kind_of(text), kind, "{text}");
        }
    }
}
