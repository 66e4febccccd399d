//! What a file is chosen for, and what comes back of work done outside the pass of the window.

use std::path::PathBuf;

use super::cues::{Compared, Key};
use super::misfit::Told;
use super::recovery::Recovered;
use super::table_form::TableRead;
use super::timed::TraceOf;
use super::trace::Trace;
use super::watch::Listed;
use crate::check::rehearse::Report;
use crate::finding::{Finding, Findings};
use crate::profile::gdtf::Imported;
use crate::profile::probe::Probe;
use crate::show::{ProfileDocument, Show};
use crate::wire::TimedText;

/// What a chosen file is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// Opening it.
    Open,
    /// Writing the show to it.
    Save,
    /// Playing the timed frames in it.
    Timed,
    /// Writing what was recorded to it.
    Plot,
    /// Writing the channel chart to it.
    Chart,
    /// Writing what a dry run found to it.
    DryRun,
    /// Writing a cue list as timed frames to it.
    List,
    /// Writing a cue list as a page with pictures to it.
    Sheet,
    /// Comparing a cue list with the one in it.
    CompareShow,
    /// Writing a comparison of cue lists to it.
    Comparison,
    /// Reading the channel table in it.
    Table,
    /// Writing the draft made of a channel table to it.
    Draft,
    /// Opening the profile in it on the bench.
    OpenProfile,
    /// Writing the profile on the bench to it.
    SaveProfile,
    /// Making a profile of the fixture description in it.
    Import,
    /// Writing a fixture description of a profile to it.
    Describe,
    /// Writing the profile that was made to it.
    Profile,
}

/// What came of a job.
#[derive(Debug)]
pub enum Done {
    /// A file was chosen.
    Chosen(Purpose, PathBuf),
    /// No file was chosen.
    NotChosen(Purpose),
    /// The system showed no file dialog.
    NoDialog(Purpose),
    /// What was kept when the program broke off was read, or not.
    Recovered(Box<Recovered>),
    /// A show file was read, or not.
    Read {
        /// The file.
        path: PathBuf,
        /// The show with what is worth saying about it, or why there is none.
        result: Result<(Box<Show>, Vec<Finding>), Findings>,
    },
    /// A file of timed frames was read, or not.
    ReadTimed {
        /// The file.
        path: PathBuf,
        /// The frames with what is worth saying about them, or why there are none.
        result: Result<TimedText, Findings>,
    },
    /// The course of some heads through the timed frames was worked out.
    Traced {
        /// What it is about.
        of: TraceOf,
        /// The course.
        trace: Trace,
    },
    /// A list was run through, or the run was stopped.
    Rehearsed {
        /// What it was made of.
        key: Key,
        /// What was found.
        report: Option<Box<Report>>,
    },
    /// All times at which a condition is true were listed, or that was stopped.
    Watched(Box<Listed>),
    /// What is seen of heads was explained.
    Explained(Box<Told>),
    /// Cue lists were compared, or could not be.
    Compared(Result<Box<Compared>, Findings>),
    /// The text of a channel table was read from a file, or not.
    TableText(Result<String, Finding>),
    /// A channel table was read into a draft, or not.
    TableRead(TableRead),
    /// What was recorded was written, or not.
    Exported {
        /// The file.
        path: PathBuf,
        /// Why it could not be written.
        result: Result<(), Finding>,
    },
    /// The notes of a head that is probed were opened or begun, or not.
    NotesOpened {
        /// The file.
        path: PathBuf,
        /// The head with what is worth saying about its notes, or why there are none.
        result: Result<(Box<Probe>, Vec<Finding>), Findings>,
    },
    /// The notes of a head that is probed were written, or not.
    NotesSaved(Result<(), Finding>),
    /// A profile file was read, or not.
    ReadProfile {
        /// The file.
        path: PathBuf,
        /// The profile with what is worth saying about it, or why there is none.
        result: Result<(Box<ProfileDocument>, Vec<Finding>), Findings>,
    },
    /// A profile file was written, or not.
    SavedProfile {
        /// The file.
        path: PathBuf,
        /// How many edits were made on the bench when the writing began.
        edits: u64,
        /// Why it could not be written.
        result: Result<(), Finding>,
    },
    /// A fixture description was made into a profile, or not.
    Imported {
        /// The file.
        path: PathBuf,
        /// The profile with what is worth saying about it, or why there is none.
        result: Result<Box<Imported>, Findings>,
    },
    /// A fixture description was made of a profile and written, or not.
    Described {
        /// The file.
        path: PathBuf,
        /// What comes back otherwise than the profile has it, or why there is no file.
        result: Result<Vec<Finding>, Findings>,
    },
    /// A profile was written, or not.
    ProfileWritten {
        /// The file.
        path: PathBuf,
        /// The profile, with what is worth saying about it.
        imported: Box<Imported>,
        /// Why it could not be written.
        result: Result<(), Finding>,
    },
    /// A show file was written, or not.
    Saved {
        /// The file.
        path: PathBuf,
        /// How many edits the window had made when the writing began.
        edits: u64,
        /// Why it could not be written.
        result: Result<(), Finding>,
    },
}
