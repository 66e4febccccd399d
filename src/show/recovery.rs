//! Copies of what is not saved yet, for the case that the program ends without being asked to.
//!
//! Every running window has a lock file of its own in the user's state folder and, beside it, a copy of
//! its show and of the profile on its bench while these are not saved. A copy whose lock nobody holds
//! any more was left behind. All of it is done in a thread of its own, and every copy is written as a
//! whole or not at all.

use std::ffi::OsString;
use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{self, Receiver, Sender};
use std::thread::{self, JoinHandle};
use std::time::{Duration, SystemTime};

use serde::{Deserialize, Serialize};

use super::disk::{read_text, write_file};
use super::model::Show;
use super::profile_document::ProfileDocument;
use super::write::to_ron;
use crate::finding::{Finding, Place};
use crate::profile::ron_text::from_ron;
use crate::profile::set_out;

/// Copies that are looked at when the window opens; more than that nobody left behind by accident.
const MOST_COPIES: usize = 64;

/// A lock without a copy is cleared away once it is older than this.
const FRESH: Duration = Duration::from_secs(60);

/// The ending of a lock file.
const LOCK: &str = "lock";

/// What a copy is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum CopyOf {
    /// A show.
    Show,
    /// The profile on the bench.
    Profile,
}

impl CopyOf {
    const ALL: [Self; 2] = [Self::Show, Self::Profile];

    fn ending(self) -> &'static str {
        match self {
            Self::Show => "show",
            Self::Profile => "profile",
        }
    }
}

/// What a copy holds.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Copy {
    /// What it is of.
    pub of: CopyOf,
    /// What it is called.
    pub name: String,
    /// The file that it was opened from or saved to last, if any.
    pub path: Option<PathBuf>,
    /// The text that saving would have written there.
    pub text: String,
}

/// A copy that was left behind.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeftCopy {
    /// What it holds.
    pub copy: Copy,
    /// When it was written.
    pub written: SystemTime,
    file: PathBuf,
}

/// What is to be kept.
#[derive(Debug)]
pub enum Keep {
    /// A show, written out in the thread that keeps it.
    Show {
        /// The show as its file would hold it.
        show: Box<Show>,
        /// Its file.
        path: Option<PathBuf>,
    },
    /// A profile, written out in the thread that keeps it.
    Profile(Box<ProfileDocument>),
}

impl Keep {
    fn copy(self) -> Copy {
        match self {
            Self::Show { show, path } => {
                Copy { of: CopyOf::Show, name: show.name.clone(), path, text: to_ron(&show) }
            }
            Self::Profile(document) => Copy {
                of: CopyOf::Profile,
                name: document.profile().key().0,
                path: document.path().map(Path::to_owned),
                text: document.text(),
            },
        }
    }
}

/// What the thread tells the window.
#[derive(Debug)]
pub enum KeeperNews {
    /// Copies that were left behind, the newest first.
    Left(Vec<LeftCopy>),
    /// A copy could not be written.
    Failed(Finding),
}

enum Ask {
    Keep(Keep),
    Drop(CopyOf),
    Forget(Vec<PathBuf>),
    /// The window closes as it was asked to: nothing is left to be kept.
    End,
}

/// Keeps copies until it is dropped. Dropped while a panic goes on, it leaves them where they are.
#[derive(Debug)]
pub struct Keeper {
    ask: Sender<Ask>,
    news: Receiver<KeeperNews>,
    thread: Option<JoinHandle<()>>,
}

impl Keeper {
    /// Looks for copies that were left behind in a folder, and keeps new ones there. `wake` is called
    /// whenever there is news.
    ///
    /// # Errors
    ///
    /// The system gives no thread.
    pub fn start(folder: PathBuf, wake: impl Fn() + Send + 'static) -> io::Result<Self> {
        let (ask, asked) = mpsc::channel();
        let (tell, news) = mpsc::channel();
        let thread = thread::Builder::new().name("copies".to_owned()).spawn(move || {
            let said = |news| {
                // A window that has closed hears nothing.
                let _ = tell.send(news);
                wake();
            };
            keep(&folder, &asked, said);
        })?;
        Ok(Self { ask, news, thread: Some(thread) })
    }

    /// Keeps a copy in the place of the one before.
    pub fn keep(&self, what: Keep) {
        self.send(Ask::Keep(what));
    }

    /// Drops a copy: what it is of was saved, or is not wanted.
    pub fn drop_copy(&self, of: CopyOf) {
        self.send(Ask::Drop(of));
    }

    /// Removes copies that were left behind. What was asked to be kept before is kept by then.
    pub fn forget(&self, copies: &[LeftCopy]) {
        self.send(Ask::Forget(copies.iter().map(|left| left.file.clone()).collect()));
    }

    /// What there is to say since it was asked last.
    pub fn news(&self) -> Vec<KeeperNews> {
        self.news.try_iter().collect()
    }

    fn send(&self, ask: Ask) {
        // A thread that has ended keeps nothing: there is nobody to tell.
        let _ = self.ask.send(ask);
    }
}

impl Drop for Keeper {
    fn drop(&mut self) {
        if thread::panicking() {
            return;
        }
        self.send(Ask::End);
        if let Some(thread) = self.thread.take() {
            // It only ends by itself; there is nothing left to do if it broke off.
            let _ = thread.join();
        }
    }
}

/// The folder for copies: `slotwright/unsaved` in the user's folder for state (XDG Base Directory
/// Specification 0.8: `$XDG_STATE_HOME`, or `$HOME/.local/state` where that is not set, empty or
/// relative). `None` for somebody without a home.
pub fn copies_folder() -> Option<PathBuf> {
    folder_of(|name| std::env::var_os(name), std::env::home_dir())
}

fn folder_of(
    variable: impl Fn(&str) -> Option<OsString>,
    home: Option<PathBuf>,
) -> Option<PathBuf> {
    let state = variable("XDG_STATE_HOME").map(PathBuf::from).filter(|path| path.is_absolute());
    let state = state.or_else(|| home.map(|home| home.join(".local/state")));
    state.map(|state| state.join("slotwright").join("unsaved"))
}

fn keep(folder: &Path, asked: &Receiver<Ask>, say: impl Fn(KeeperNews)) {
    let mut left = left_copies(folder);
    if !left.is_empty() {
        left.sort_by_key(|copy| std::cmp::Reverse(copy.written));
        say(KeeperNews::Left(left));
    }
    let mut desk: Option<OwnFiles> = None;
    while let Ok(ask) = asked.recv() {
        match ask {
            Ask::Keep(what) => {
                let copy = what.copy();
                let written = match &desk {
                    Some(desk) => desk.write(&copy),
                    None => OwnFiles::new(folder).and_then(|new| desk.insert(new).write(&copy)),
                };
                if let Err(finding) = written {
                    say(KeeperNews::Failed(finding));
                }
            }
            Ask::Drop(of) => {
                if let Some(desk) = &desk {
                    remove(&desk.copy(of));
                }
            }
            Ask::Forget(files) => {
                for file in files {
                    remove(&file);
                    clear_lock(&file.with_extension(LOCK));
                }
            }
            Ask::End => {
                if let Some(desk) = desk {
                    desk.clear();
                }
                return;
            }
        }
    }
}

/// The files of one running window. Its lock is held as long as this is.
struct OwnFiles {
    lock_path: PathBuf,
    _lock: File,
}

impl OwnFiles {
    fn new(folder: &Path) -> Result<Self, Finding> {
        let failed = |error: io::Error| {
            let what = format!("what is not saved is not kept for a crash: {error}");
            Finding::warning(
                Place::file(folder),
                what,
                "save often, or let the program write into this folder",
            )
        };
        fs::create_dir_all(folder).map_err(failed)?;
        let mut builder = tempfile::Builder::new();
        builder.prefix("window-").suffix(".lock");
        let made = builder.tempfile_in(folder).map_err(failed)?;
        // Another window that looks round may hold it for a moment.
        made.as_file().lock().map_err(failed)?;
        let (lock, lock_path) = made.keep().map_err(|error| failed(error.error))?;
        Ok(Self { lock_path, _lock: lock })
    }

    fn copy(&self, of: CopyOf) -> PathBuf {
        self.lock_path.with_extension(of.ending())
    }

    fn write(&self, copy: &Copy) -> Result<(), Finding> {
        write_file(&self.copy(copy.of), set_out(copy).as_bytes())
    }

    fn clear(self) {
        for of in CopyOf::ALL {
            remove(&self.copy(of));
        }
        remove(&self.lock_path);
    }
}

/// Removes a lock that no copy stands beside.
fn clear_lock(lock: &Path) {
    if CopyOf::ALL.iter().all(|of| !lock.with_extension(of.ending()).exists()) {
        remove(lock);
    }
}

/// Removes a file, if it is there. One that cannot be removed is found again next time.
fn remove(path: &Path) {
    let _ = fs::remove_file(path);
}

/// The copies in a folder whose windows have gone. Locks without a copy are cleared away.
fn left_copies(folder: &Path) -> Vec<LeftCopy> {
    let Ok(entries) = fs::read_dir(folder) else { return Vec::new() };
    let mut left = Vec::new();
    let locks = entries.flatten().map(|entry| entry.path());
    let locks = locks.filter(|path| path.extension().is_some_and(|end| end == LOCK));
    for lock in locks.take(MOST_COPIES) {
        let Ok(file) = File::open(&lock) else { continue };
        if file.try_lock().is_err() {
            continue;
        }
        let files = CopyOf::ALL.map(|of| lock.with_extension(of.ending()));
        let found: Vec<LeftCopy> = files.iter().filter_map(|file| read_copy(file)).collect();
        // A fresh one may be about to be locked by the window that made it.
        let age = file.metadata().and_then(|about| about.modified()).map(|at| at.elapsed());
        if age.is_ok_and(|age| age.is_ok_and(|age| age > FRESH)) {
            clear_lock(&lock);
        }
        left.extend(found);
    }
    left
}

fn read_copy(file: &Path) -> Option<LeftCopy> {
    let written = fs::metadata(file).and_then(|about| about.modified()).ok()?;
    let copy = from_ron::<Copy>(&read_text(file).ok()?, Some(file)).ok()?;
    Some(LeftCopy { copy, written, file: file.to_owned() })
}

#[cfg(test)]
mod tests {
    use std::time::Instant;

    use super::*;
    use crate::show::demo_show;

    fn keeper(folder: &Path) -> Keeper {
        Keeper::start(folder.to_owned(), || {}).unwrap()
    }

    fn demo() -> Keep {
        let show = Box::new(demo_show(&|_| true).unwrap());
        Keep::Show { show, path: Some("/shows/a \"quoted\" name.ron".into()) }
    }

    /// What is left, once `enough` of it is there.
    fn wait_for(folder: &Path, enough: usize) -> Vec<PathBuf> {
        let begun = Instant::now();
        loop {
            let files = fs::read_dir(folder).into_iter().flatten().flatten();
            let paths: Vec<PathBuf> = files.map(|entry| entry.path()).collect();
            let whole = paths.iter().all(|path| path.extension().is_some_and(|end| end != "part"));
            if whole && paths.len() == enough {
                return paths;
            }
            assert!(begun.elapsed() < Duration::from_secs(20), "{paths:?}");
            thread::sleep(Duration::from_millis(5));
        }
    }

    fn left(keeper: &Keeper) -> Vec<LeftCopy> {
        let begun = Instant::now();
        loop {
            for news in keeper.news() {
                if let KeeperNews::Left(left) = news {
                    return left;
                }
            }
            assert!(begun.elapsed() < Duration::from_secs(20), "nothing was found");
            thread::sleep(Duration::from_millis(5));
        }
    }

    /// As a crash leaves a window: its thread and its lock are gone, its files are not.
    fn crash(keeper: Keeper) {
        let mut keeper = keeper;
        keeper.ask = mpsc::channel().0;
        if let Some(thread) = keeper.thread.take() {
            thread.join().unwrap();
        }
    }

    #[test]
    fn a_copy_that_was_left_behind_is_found_and_forgotten_once_it_is_taken() {
        let folder = tempfile::tempdir().unwrap();
        let first = keeper(folder.path());
        first.keep(demo());
        wait_for(folder.path(), 2);
        crash(first);

        let second = keeper(folder.path());
        let left = left(&second);
        assert_eq!(left.len(), 1);
        let copy = &left[0].copy;
        assert_eq!((copy.of, copy.name.as_str()), (CopyOf::Show, "Ropewalk Hall"));
        assert_eq!(copy.path.as_deref(), Some(Path::new("/shows/a \"quoted\" name.ron")));
        let (show, _) = crate::show::parse_show(&copy.text, None, &|_| true).unwrap();
        assert_eq!(show, demo_show(&|_| true).unwrap());
        second.forget(&left);
        drop(second);
        wait_for(folder.path(), 0);
    }

    #[test]
    fn a_window_that_still_runs_keeps_its_copies_to_itself() {
        let folder = tempfile::tempdir().unwrap();
        let first = keeper(folder.path());
        first.keep(demo());
        wait_for(folder.path(), 2);
        assert_eq!(left_copies(folder.path()), []);
        first.drop_copy(CopyOf::Show);
        wait_for(folder.path(), 1);
        drop(first);
        wait_for(folder.path(), 0);
    }

    #[test]
    fn a_copy_that_is_no_copy_is_left_alone() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("window-a.lock"), "").unwrap();
        fs::write(folder.path().join("window-a.show"), "(of: Show, name: ").unwrap();
        assert_eq!(left_copies(folder.path()), []);
        assert!(folder.path().join("window-a.show").exists());
    }

    #[test]
    fn the_folder_comes_from_the_environment() {
        // XDG Base Directory Specification 0.8: `$HOME/.local/state` where XDG_STATE_HOME is not set
        // or empty; a relative path is ignored.
        let of = |value: Option<&str>| {
            folder_of(|_| value.map(OsString::from), Some("/home/a".into())).unwrap()
        };
        let usual = PathBuf::from("/home/a/.local/state/slotwright/unsaved");
        assert_eq!([of(None), of(Some("")), of(Some("state"))], [(); 3].map(|()| usual.clone()));
        assert_eq!(of(Some("/s")), Path::new("/s/slotwright/unsaved"));
    }
}
