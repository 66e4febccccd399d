//! The command line: the same pipeline as the window, without one.
//!
//! A command works out everything it has to say before any of it is printed, so that a mistake never
//! leaves half a result on standard output. Results go to standard output, and what is said about the
//! input goes to standard error.

mod after;
pub mod args;
mod beside;
mod change;
mod chart;
mod check;
pub mod compare;
mod course;
pub mod diff;
mod draw;
pub mod drill;
pub mod export;
mod frames;
mod from_table;
pub mod guide;
pub mod help;
pub mod import;
mod input;
mod json;
mod library;
pub mod misfit;
mod misfit_timed;
pub mod play;
pub mod probe;
mod profile_of;
mod read;
pub mod rehearse;
pub mod sheet;
pub mod stray;
mod sweep;
mod table;
mod trace;
mod trace_rows;
mod value;
pub mod watch;
pub mod why;
mod why_json;

use std::io::{self, Write};
use std::path::Path;
use std::process::ExitCode;

pub use args::{Cli, Command};

use crate::finding::{Finding, Findings};
use args::{FrameArgs, ReadArgs};

/// What a command has to say.
#[derive(Debug, Default)]
struct Report {
    /// The result, for standard output.
    out: String,
    /// What is worth saying about the input, for standard error.
    said: Vec<Finding>,
    /// It ran, and found an error.
    bad: bool,
}

/// Why a command could not run.
#[derive(Debug)]
enum Failure {
    /// It was called for something that is not there.
    Usage(Finding),
    /// A file is bad.
    File(Findings),
}

impl From<Findings> for Failure {
    fn from(findings: Findings) -> Self {
        Self::File(findings)
    }
}

impl From<Finding> for Failure {
    fn from(finding: Finding) -> Self {
        Self::File(finding.into())
    }
}

/// Exit code of a bad file, or of an error that a check found.
const BAD_FILE: u8 = 1;

/// Exit code of wrong usage, as the reader of the arguments has it too.
const BAD_USAGE: u8 = 2;

/// Runs a command and prints what it says: 0 if all is well, 1 for a bad file or an error found by
/// a check, 2 for wrong usage.
pub fn run(command: &Command) -> ExitCode {
    finish(match command {
        Command::Read(args) => read::run(args),
        Command::Why(args) => why::run(args),
        Command::Misfit(args) => misfit::run(args),
        Command::Draw(args) => draw::run(args),
        Command::Trace(args) => trace::run(args),
        Command::Play(args) => play::run(args),
        Command::Rehearse(args) => rehearse::run(args),
        Command::Watch(args) => watch::run(args),
        Command::Diff(args) => diff::run(args),
        Command::Stray(args) => stray::run(args),
        Command::Sheet(args) => sheet::run(args),
        Command::Compare(args) => compare::run(args),
        Command::Check(args) => check::run(args),
        Command::Change(args) => change::run(args),
        Command::Chart(args) => chart::run(args),
        Command::Sweep(args) => sweep::run(args),
        Command::Value(args) => value::run(args),
        Command::Table(args) => from_table::run(args),
        Command::Import(args) => import::run(args),
        Command::Export(args) => export::run(args),
        Command::Library => Ok(library::run()),
        Command::Probe(args) => probe::run(args),
        Command::Guide(args) => guide::run(args),
        Command::Drill(args) => drill::run(args),
    })
}

/// Stands in for the window where there is no display to open it on: says so with `why`, prints the
/// reading of the show (the demo show without one) and names the command that draws it.
pub fn without_window(show: Option<&Path>, why: &str) -> ExitCode {
    let frame = FrameArgs { show: show.map(Path::to_owned), ..FrameArgs::default() };
    let named = show.map(|show| format!("{} ", shell_word(show))).unwrap_or_default();
    let notice = format!(
        "{why}; here is what the show asks of its fixtures instead\n\
         to draw it to a file, run: slotwright draw {named}--out stage.png\n"
    );
    let result = read::run(&ReadArgs { frame, ..ReadArgs::default() });
    if result.is_ok() {
        print_err(&notice);
    }
    finish(result)
}

/// Why `show` cannot be what was meant, where it is no file and looks like a slip of a command.
pub fn mistyped_command(show: &Path) -> Option<Finding> {
    let word = show.to_str().filter(|_| !show.exists())?;
    let near = crate::finding::nearest(
        word,
        [
            "read", "draw", "trace", "play", "rehearse", "sheet", "compare", "check", "change",
            "chart", "sweep", "value", "library", "table", "import", "export", "probe", "watch",
            "stray", "why", "misfit", "diff", "guide", "drill", "help",
        ],
    )?;
    Some(Finding::error(
        crate::finding::Place::default(),
        format!("there is no command and no show file `{word}`"),
        format!("did you mean `slotwright {near}`?"),
    ))
}

/// Prints a finding about how the program was called, and gives the exit code for that.
pub fn usage_error(finding: &Finding) -> ExitCode {
    print_err(&format!("{finding}\nfor more, try: slotwright --help\n"));
    ExitCode::from(BAD_USAGE)
}

fn finish(result: Result<Report, Failure>) -> ExitCode {
    let report = match result {
        Ok(report) => report,
        Err(Failure::Usage(finding)) => return usage_error(&finding),
        Err(Failure::File(findings)) => {
            print_err(&format!("{findings}\n"));
            return ExitCode::from(BAD_FILE);
        }
    };
    for finding in &report.said {
        print_err(&format!("{finding}\n"));
    }
    match print_out(&report.out) {
        Ok(()) if report.bad => ExitCode::from(BAD_FILE),
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            print_err(&format!("error: the result cannot be written: {error}\n"));
            ExitCode::from(BAD_FILE)
        }
    }
}

/// Prints a result. A reader that has seen enough and closed its end is no error.
fn print_out(text: &str) -> io::Result<()> {
    let mut out = io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(()),
        result => result,
    }
}

/// Prints to standard error. If nobody listens there, there is nobody to tell.
fn print_err(text: &str) {
    let _ = io::stderr().lock().write_all(text.as_bytes());
}

/// A path as it can be typed into a shell again.
fn shell_word(path: &Path) -> String {
    let text = path.display().to_string();
    let plain = |c: char| c.is_alphanumeric() || "/._-+:\\".contains(c);
    if !text.is_empty() && text.chars().all(plain) {
        text
    } else {
        format!("'{}'", text.replace('\'', "'\\''"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_can_be_typed_again() {
        assert_eq!(shell_word(Path::new("shows/my-show.ron")), "shows/my-show.ron");
        assert_eq!(shell_word(Path::new("my show.ron")), "'my show.ron'");
        assert_eq!(shell_word(Path::new("it's")), "'it'\\''s'");
    }

    #[test]
    fn a_slip_of_a_command_is_told_from_a_show() {
        let finding = mistyped_command(Path::new("raed")).unwrap();
        assert!(finding.to_string().contains("did you mean `slotwright read`?"), "{finding}");
        assert_eq!(mistyped_command(Path::new("summer-tour.ron")), None);
        // A file of that name is what was meant.
        assert_eq!(mistyped_command(Path::new("src")), None);
    }
}
