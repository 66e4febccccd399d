//! Work that would hold the window up: file dialogs, reading a show and writing it. Each job has a
//! thread of its own and reports back when it is done; the window goes on meanwhile.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread;
use std::time::{Duration, Instant};

pub use super::done::{Done, Purpose};
use super::recovery::Recovered;
use super::table_form::TableRead;
use crate::finding::{Finding, Findings, Place};
pub use crate::light::pattern::is_known_drawing;
use crate::light::pattern::openings;
use crate::profile::Profile;
use crate::profile::gdtf::{Exported, Imported, export};
use crate::profile::table::{TableOptions, read_table};
use crate::profile::to_ron;
use crate::show::disk::{read_text, write_file};
use crate::show::recovery::LeftCopy;
use crate::show::{ProfileDocument, ProfileSources, Show, import_profile, read_show_in, save_show};
use crate::wire::parse_timed_frames;

/// A job that takes longer than this is spoken of in the window.
pub const NOTICEABLE: Duration = Duration::from_millis(100);

/// A dialog that comes back without an answer sooner than a person could have given one was never
/// there: the system has no file dialog to offer.
const NO_DIALOG: Duration = Duration::from_millis(400);

struct Running {
    id: u64,
    since: Instant,
    words: String,
    cancellable: bool,
}

/// The jobs under way.
pub struct Jobs {
    sender: Sender<(u64, Done)>,
    receiver: Receiver<(u64, Done)>,
    running: Vec<Running>,
    next_id: u64,
}

impl Default for Jobs {
    fn default() -> Self {
        let (sender, receiver) = channel();
        Self { sender, receiver, running: Vec::new(), next_id: 0 }
    }
}

impl Jobs {
    /// Asks the person for a file.
    pub fn choose(&mut self, ctx: &egui::Context, purpose: Purpose, near: Option<&Path>) {
        let (filter, extension) = match purpose {
            Purpose::Open | Purpose::Save | Purpose::CompareShow => ("Slotwright show", "ron"),
            Purpose::Timed => ("Timed frames", "csv"),
            Purpose::Plot => ("Comma-separated values", "csv"),
            Purpose::Chart | Purpose::DryRun | Purpose::Sheet | Purpose::Comparison => {
                ("Page of HTML", "html")
            }
            Purpose::List => ("Timed frames", "csv"),
            Purpose::Table => ("Text", "txt"),
            Purpose::OpenProfile | Purpose::SaveProfile | Purpose::Draft => {
                ("Slotwright profile", "ron")
            }
            Purpose::Import | Purpose::Describe => ("Fixture description", "gdtf"),
            Purpose::Profile => ("Slotwright profile", "ron"),
        };
        let extensions: &[&str] = match purpose {
            Purpose::Table => &["txt", "csv"],
            _ => &[extension],
        };
        let mut dialog = rfd::FileDialog::new().add_filter(filter, extensions);
        if let Some(folder) = near.and_then(Path::parent).filter(|folder| folder.is_dir()) {
            dialog = dialog.set_directory(folder);
        }
        let words = match purpose {
            Purpose::Open => "Choose a show to open",
            Purpose::Save => "Choose where to save the show",
            Purpose::Timed => "Choose timed frames to play",
            Purpose::Plot => "Choose where to write the plot",
            Purpose::Chart => "Choose where to write the channel chart",
            Purpose::DryRun => "Choose where to write the dry run",
            Purpose::List => "Choose where to write the list",
            Purpose::Sheet => "Choose where to write the cue sheet",
            Purpose::CompareShow => "Choose a show to compare with",
            Purpose::Comparison => "Choose where to write the comparison",
            Purpose::Table => "Choose a channel table",
            Purpose::Draft => "Choose where to save the draft",
            Purpose::OpenProfile => "Choose a profile to open",
            Purpose::SaveProfile => "Choose where to save the profile",
            Purpose::Import => "Choose a fixture description to import",
            Purpose::Describe => "Choose where to write the fixture description",
            Purpose::Profile => "Choose where to save the profile",
        };
        let name = near.and_then(Path::file_name).map(|name| name.to_string_lossy().into_owned());
        self.start(ctx, words.to_owned(), true, move || {
            let asked = Instant::now();
            let dialog = dialog.set_title(words);
            let chosen = match purpose {
                Purpose::Open
                | Purpose::CompareShow
                | Purpose::Timed
                | Purpose::OpenProfile
                | Purpose::Import
                | Purpose::Table => dialog.pick_file(),
                Purpose::Plot => dialog.set_file_name("course.csv").save_file(),
                Purpose::Chart => dialog.set_file_name("chart.html").save_file(),
                Purpose::DryRun => dialog.set_file_name("dry-run.html").save_file(),
                Purpose::Describe => {
                    let name = name.unwrap_or_else(|| "fixture.gdtf".to_owned());
                    dialog.set_file_name(name).save_file()
                }
                Purpose::Sheet => dialog.set_file_name("cue-sheet.html").save_file(),
                Purpose::Comparison => dialog.set_file_name("comparison.html").save_file(),
                Purpose::List => dialog.set_file_name("list.csv").save_file(),
                Purpose::Profile => {
                    let name = name.unwrap_or_else(|| "profile.ron".to_owned());
                    dialog.set_file_name(name).save_file()
                }
                Purpose::Save => {
                    dialog.set_file_name(name.unwrap_or_else(|| "show.ron".to_owned())).save_file()
                }
                Purpose::SaveProfile | Purpose::Draft => {
                    let name = name.unwrap_or_else(|| "profile.ron".to_owned());
                    dialog.set_file_name(name).save_file()
                }
            };
            match chosen {
                Some(path) => Done::Chosen(purpose, path),
                None if asked.elapsed() < NO_DIALOG => Done::NoDialog(purpose),
                None => Done::NotChosen(purpose),
            }
        });
    }

    /// Reads a show file, whose fixtures find their profiles in these sources as they are by then.
    pub fn read(&mut self, ctx: &egui::Context, path: PathBuf, mut profiles: ProfileSources) {
        self.start(ctx, format!("Reading {}", path.display()), true, move || {
            profiles.refresh(&is_known_drawing);
            let result = read_show_in(&path, &profiles.library(), &is_known_drawing);
            let result = result.map(|(show, findings)| (Box::new(show), findings));
            Done::Read { path, result }
        });
    }

    /// Writes a show file. `edits` comes back with the result.
    pub fn save(&mut self, ctx: &egui::Context, path: PathBuf, show: Show, edits: u64) {
        // A file half written is never left behind, but one that is being put in place is not
        // stopped either: this job cannot be cancelled.
        self.start(ctx, format!("Writing {}", path.display()), false, move || {
            let result = save_show(&path, &show);
            Done::Saved { path, edits, result }
        });
    }

    /// Reads a profile file.
    pub fn read_profile(&mut self, ctx: &egui::Context, path: PathBuf) {
        self.start(ctx, format!("Reading {}", path.display()), true, move || {
            let result = ProfileDocument::read(&path, &is_known_drawing);
            let result = result.map(|(document, findings)| (Box::new(document), findings));
            Done::ReadProfile { path, result }
        });
    }

    /// Writes a profile file. `edits` comes back with the result.
    pub fn save_profile(&mut self, ctx: &egui::Context, path: PathBuf, text: String, edits: u64) {
        self.start(ctx, format!("Writing {}", path.display()), false, move || {
            let result = write_file(&path, text.as_bytes());
            Done::SavedProfile { path, edits, result }
        });
    }

    /// Reads a file of timed frames.
    pub fn read_timed(&mut self, ctx: &egui::Context, path: PathBuf) {
        self.start(ctx, format!("Reading {}", path.display()), true, move || {
            let text = read_text(&path).map_err(|finding| Findings(vec![finding]));
            let result = text.and_then(|text| parse_timed_frames(&text, Some(&path)));
            Done::ReadTimed { path, result }
        });
    }

    /// Reads the text of a channel table.
    pub fn read_table_text(&mut self, ctx: &egui::Context, path: PathBuf) {
        self.start(ctx, format!("Reading {}", path.display()), true, move || {
            Done::TableText(read_text(&path))
        });
    }

    /// Makes a draft of a channel table. Gives the mark by which [`Self::is_running`] knows the job.
    pub fn read_table(&mut self, ctx: &egui::Context, text: String, options: TableOptions) -> u64 {
        self.start(ctx, "Reading the table".to_owned(), true, move || {
            let read = read_table(&text, None, &options);
            Done::TableRead(TableRead::new(read.map_err(|findings| findings.0)))
        })
    }

    /// Writes text to a file.
    pub fn export(&mut self, ctx: &egui::Context, path: PathBuf, text: String) {
        self.start(ctx, format!("Writing {}", path.display()), false, move || {
            let result = write_file(&path, text.as_bytes());
            Done::Exported { path, result }
        });
    }

    /// Makes a profile of a fixture description.
    pub fn import(&mut self, ctx: &egui::Context, path: PathBuf) {
        self.start(ctx, format!("Importing {}", path.display()), true, move || {
            let result = import_profile(&path, None).map(Box::new);
            Done::Imported { path, result }
        });
    }

    /// Makes a fixture description of a profile and writes it.
    pub fn describe(&mut self, ctx: &egui::Context, path: PathBuf, profile: Arc<Profile>) {
        self.start(ctx, format!("Writing {}", path.display()), false, move || {
            let made = export(&profile, &openings);
            let result = made.and_then(|Exported { bytes, findings }| {
                write_file(&path, &bytes)?;
                Ok(findings)
            });
            Done::Described { path, result }
        });
    }

    /// Writes a profile that was made of a fixture description to a file.
    pub fn write_profile(&mut self, ctx: &egui::Context, path: PathBuf, imported: Box<Imported>) {
        self.start(ctx, format!("Writing {}", path.display()), false, move || {
            let result = write_file(&path, to_ron(&imported.profile).as_bytes());
            Done::ProfileWritten { path, imported, result }
        });
    }

    /// Reads what was kept when the program broke off.
    pub(super) fn recover(
        &mut self,
        ctx: &egui::Context,
        left: LeftCopy,
        profiles: ProfileSources,
    ) {
        self.start(ctx, format!("Reading the copy of {}", left.copy.name), true, move || {
            Done::Recovered(Box::new(Recovered::read(left, profiles)))
        });
    }

    /// Does a piece of work that may be given up. Gives the mark by which [`Self::is_running`] knows it.
    pub(super) fn background(
        &mut self,
        ctx: &egui::Context,
        words: String,
        work: impl FnOnce() -> Done + Send + 'static,
    ) -> u64 {
        self.start(ctx, words, true, work)
    }

    /// Does a piece of work that is not to be stopped.
    pub(super) fn work(
        &mut self,
        ctx: &egui::Context,
        words: String,
        work: impl FnOnce() -> Done + Send + 'static,
    ) {
        self.start(ctx, words, false, work);
    }

    fn start(
        &mut self,
        ctx: &egui::Context,
        words: String,
        cancellable: bool,
        work: impl FnOnce() -> Done + Send + 'static,
    ) -> u64 {
        self.next_id += 1;
        let id = self.next_id;
        let (sender, waker) = (self.sender.clone(), ctx.clone());
        let spawned = thread::Builder::new().name(words.clone()).spawn(move || {
            // The window may have closed meanwhile; then nobody waits for the result.
            if sender.send((id, work())).is_ok() {
                waker.request_repaint();
            }
        });
        if spawned.is_ok() {
            self.running.push(Running { id, since: Instant::now(), words, cancellable });
            ctx.request_repaint_after(NOTICEABLE);
        }
        id
    }

    /// Whether a job is still waited for: it has neither come to an end nor was it cancelled.
    pub fn is_running(&self, id: u64) -> bool {
        self.running.iter().any(|job| job.id == id)
    }

    /// Whether anything is under way.
    pub fn is_busy(&self) -> bool {
        !self.running.is_empty()
    }

    /// What has been going on for long enough to be spoken of, and whether it can be cancelled.
    pub fn noticeable(&self) -> Option<(&str, bool)> {
        let long = self.running.iter().find(|job| job.since.elapsed() >= NOTICEABLE)?;
        Some((&long.words, long.cancellable))
    }

    /// Forgets every job that can be cancelled: what it comes to is thrown away.
    pub fn cancel(&mut self) {
        self.running.retain(|job| !job.cancellable);
    }

    /// The results that came in and that somebody still waits for.
    pub fn take_done(&mut self) -> Vec<Done> {
        let arrived: Vec<_> = self.receiver.try_iter().collect();
        let wanted = arrived.into_iter().filter_map(|(id, done)| {
            let at = self.running.iter().position(|job| job.id == id)?;
            self.running.swap_remove(at);
            Some(done)
        });
        wanted.collect()
    }
}

/// Whether a file is one of timed frames, by its name.
pub fn is_timed(path: &Path) -> bool {
    path.extension().is_some_and(|extension| extension.eq_ignore_ascii_case("csv"))
}

/// Whether a file is a fixture description of the open standard, by its name.
pub fn is_description(path: &Path) -> bool {
    path.extension().is_some_and(|extension| extension.eq_ignore_ascii_case("gdtf"))
}

/// What a path typed by hand stands for: blanks around it and a leading `~/` are seen to.
pub fn typed_path(text: &str) -> Option<PathBuf> {
    let text = text.trim().trim_matches('"');
    if text.is_empty() {
        return None;
    }
    match (text.strip_prefix("~/"), std::env::home_dir()) {
        (Some(rest), Some(home)) => Some(home.join(rest)),
        _ => Some(PathBuf::from(text)),
    }
}

/// The finding for a file that cannot be what was dropped or named.
pub fn not_a_file(what: &str) -> Finding {
    Finding::error(
        Place::default(),
        what.to_owned(),
        "drop one file from this computer: a show (.ron), timed frames (.csv) or a fixture (.gdtf)"
            .to_owned(),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_typed_path_is_trimmed() {
        assert_eq!(typed_path("  a b.ron \n"), Some(PathBuf::from("a b.ron")));
        assert_eq!(typed_path("\"/x/y.ron\""), Some(PathBuf::from("/x/y.ron")));
        assert_eq!(typed_path("   "), None);
    }

    #[test]
    fn a_cancelled_job_reports_nothing() {
        let ctx = egui::Context::default();
        let mut jobs = Jobs::default();
        jobs.read(&ctx, PathBuf::from("/nowhere/at/all.ron"), ProfileSources::default());
        assert!(jobs.is_busy());
        jobs.cancel();
        assert!(!jobs.is_busy());
        thread::sleep(Duration::from_millis(50));
        assert!(jobs.take_done().is_empty());
    }
}
