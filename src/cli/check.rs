//! `slotwright check`: what there is to say about profiles and shows.

use std::path::Path;

use serde::Serialize;

use super::args::CheckArgs;
use super::{Failure, Report, input, json};
use crate::check::{FileKind, check_text};
use crate::finding::{Finding, Severity, TextPlace};
use crate::light::pattern;

/// What there is to say about one file.
struct Checked<'a> {
    path: &'a Path,
    kind: Option<FileKind>,
    findings: Vec<Finding>,
    /// Accepted findings that are not shown.
    hidden: usize,
}

pub(super) fn run(args: &CheckArgs) -> Result<Report, Failure> {
    let files: Vec<Checked<'_>> = args.paths.iter().map(|path| check(path, args.all)).collect();
    let bad = count(&files, Severity::Error) > 0;
    let out = if args.json { machine(&files) } else { people(&files) };
    Ok(Report { out, said: Vec::new(), bad })
}

fn check(path: &Path, all: bool) -> Checked<'_> {
    let (kind, mut findings) = match input::read_text(path) {
        Ok(text) => {
            let known = |name: &str| pattern::drawing(name).is_some();
            check_text(&text, input::name(path), &known)
        }
        Err(finding) => (None, vec![finding]),
    };
    let before = findings.len();
    findings.retain(|finding| all || finding.accepted.is_none());
    Checked { path, kind, hidden: before - findings.len(), findings }
}

fn count(files: &[Checked<'_>], severity: Severity) -> usize {
    let all = files.iter().flat_map(|file| &file.findings);
    all.filter(|finding| finding.severity == severity && finding.accepted.is_none()).count()
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
    let shown = files.iter().flat_map(|file| &file.findings);
    let accepted = shown.filter(|finding| finding.accepted.is_some()).count();
    let hidden: usize = files.iter().map(|file| file.hidden).sum();
    match (accepted, hidden) {
        (0, 0) => {}
        (0, hidden) => parts.push(format!("{hidden} accepted (`--all` shows them)")),
        (shown, _) => parts.push(format!("{shown} accepted")),
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
    kind: Option<FileKind>,
    findings: Vec<FindingJson<'a>>,
}

#[derive(Serialize)]
struct FindingJson<'a> {
    severity: &'static str,
    file: Option<String>,
    line: Option<u32>,
    column: Option<u32>,
    item: Option<&'a str>,
    code: Option<&'static str>,
    what: &'a str,
    why: &'a str,
    mend: &'a str,
    accepted: Option<&'a str>,
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
        code: Some(finding.code).filter(|code| !code.is_empty()),
        what: &finding.what,
        why: &finding.why,
        mend: &finding.mend,
        accepted: finding.accepted.as_deref(),
    }
}
