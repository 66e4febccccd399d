//! `slotwright drill`: a sheet of exercises with its answer key, and the grading of answers.

use std::path::PathBuf;

use clap::Args;

use super::profile_of::{self, ModeArgs};
use super::{Failure, Report, input};
use crate::check::drill::{Level, TestHead, points, read_answers, sheet};
use crate::finding::{Finding, Place, one_line};
use crate::paper::drill_sheet::{drill_sheet, html, text};
use crate::show::disk::write_file;

/// Below the options of `drill`.
pub const HELP: &str = "\
Exercises are made of the mode and the seed: the same seed gives the same sheet again, so that a class can have
one sheet. Levels:
  1 first light      level and shutter
  2 aim and colour   aim, colour and pattern; which slot did that
  3 the whole head   every channel, from rest; addresses and address switches
  4 on the line      several channels at once; how long a packet is (ANSI E1.11)
  5 misfits          a rig in which one thing is wrong

The text has the key behind a form feed, the page on a sheet of paper of its own.

Answers (`--answers FILE`) are lines of the number of an exercise, a colon and the answer:
  1: 7=40 8=255      slots of the head and their values
  2: b               a choice
  3: 1 17 33         addresses
  4: 22760           microseconds
They are graded by what the head then does: any value of the right range counts. The profile, mode, level,
seed and count must be those of the sheet.

Exit codes: 0 good, and with answers all are right; 1 some are wrong or missing, or a bad file; 2 wrong usage.

JSON (`--json`):
  {profile, mode, level, level_name, seed, exercises: [{number, kind, question, choices, answer_form, hints,
  answer, key, flashes}]}
  kind is set, which-slot, what-does, find-fault, address, switches or packet

Examples:
  slotwright drill --seed 7
  slotwright drill \"Tarnfell S1 Spot\" --mode full --level 3 --seed 7 --html class.html
  slotwright drill --seed 7 --answers anna.txt";

/// The profile and mode of a sheet for which none is named.
const USUAL: (&str, &str) = ("Tarnfell S1 Spot", "full");

/// What `drill` takes.
#[derive(Args, Debug)]
pub struct DrillArgs {
    /// Profile: a RON file, or the name of one that `library` lists; without it, one that comes with the program
    #[arg(value_name = "PROFILE")]
    pub profile: Option<String>,
    /// Mode, by its name; needed where the profile has more than one
    #[arg(long, value_name = "MODE")]
    pub mode: Option<String>,
    /// Level, 1..5 or its name
    #[arg(long, value_name = "LEVEL", default_value = "1")]
    pub level: Level,
    /// The seed of the sheet: the same gives the same sheet
    #[arg(long, value_name = "SEED", default_value_t = 1)]
    pub seed: u64,
    /// How many exercises, 1..200
    #[arg(long, value_name = "N", default_value_t = 10, value_parser = clap::value_parser!(u16).range(1..=200))]
    pub count: u16,
    /// Write the sheet to this file as one page of HTML; a file that is there is replaced
    #[arg(long, value_name = "FILE", conflicts_with_all = ["json", "answers"])]
    pub html: Option<PathBuf>,
    /// Print JSON instead of text
    #[arg(long, conflicts_with = "answers")]
    pub json: bool,
    /// Grade the answers in this file, `-` for standard input
    #[arg(long, value_name = "FILE")]
    pub answers: Option<PathBuf>,
}

pub(super) fn run(args: &DrillArgs) -> Result<Report, Failure> {
    let of = match &args.profile {
        Some(profile) => ModeArgs { profile: profile.clone(), mode: args.mode.clone() },
        None => {
            let mode = args.mode.clone().or_else(|| Some(USUAL.1.to_owned()));
            ModeArgs { profile: USUAL.0.to_owned(), mode }
        }
    };
    let (mode, said) = profile_of::load(&of)?;
    let mut head = TestHead::new(&mode);
    let exercises = sheet(&mut head, args.level, args.seed, usize::from(args.count));
    if let Some(path) = &args.answers {
        let read = input::read_text(path)?;
        let answers = read_answers(&read, &exercises).map_err(|mut findings| {
            for finding in &mut findings.0 {
                finding.place.file = Some(input::name(path).to_owned());
            }
            Failure::File(findings)
        })?;
        let (mut out, mut sum, mut right) = (String::new(), 0.0, 0);
        for (i, (exercise, answer)) in exercises.iter().zip(&answers).enumerate() {
            let Some(answer) = answer else {
                out.push_str(&format!("{:<4}no answer\n", format!("{}.", i + 1)));
                continue;
            };
            let grade = exercise.grade(&mut head, answer);
            if grade.right {
                (sum, right) = (sum + points(0, 0), right + 1);
            }
            let word = if grade.right { "right" } else { "wrong" };
            let why = grade.said.join("; ");
            out.push_str(&format!("{:<4}{word}: {}\n", format!("{}.", i + 1), one_line(&why)));
        }
        out.push_str(&format!("{right} of {} right, {sum:.0} points\n", exercises.len()));
        return Ok(Report { out, said, bad: right < exercises.len() });
    }
    let sheet = drill_sheet(&mut head, args.level, args.seed, &exercises, args.html.is_some());
    let out = match &args.html {
        Some(path) if input::is_standard(path) => html(&sheet),
        Some(path) => {
            write_file(path, html(&sheet).as_bytes())?;
            let name = path.to_string_lossy();
            format!("wrote {}: {} exercises\n", one_line(&name), sheet.exercises.len())
        }
        None if args.json => {
            serde_json::to_string_pretty(&sheet).map(|json| json + "\n").map_err(|error| {
                Finding::error(Place::default(), format!("the sheet is no JSON: {error}"), "")
            })?
        }
        None => text(&sheet),
    };
    Ok(Report { out, said, bad: false })
}
