//! Watches the folders in which profiles lie, and reads what changed there beside the window.

use std::io;
use std::path::PathBuf;
use std::sync::mpsc::{self, Receiver, RecvTimeoutError, Sender};
use std::thread;
use std::time::{Duration, Instant};

use notify::{
    Event, EventKind, RecommendedWatcher, RecursiveMode, Watcher as _,
    event::{AccessKind, AccessMode},
};

use super::profile_sources::ProfileSources;

/// Editors write a file in several steps: nothing is read until it was quiet for this long.
const QUIET: Duration = Duration::from_millis(80);

/// A file that is written without a pause is read after this long all the same.
const LONGEST_WAIT: Duration = Duration::from_millis(800);

/// Where nothing can be watched (the folder is not there yet, or the system offers no watching), it is
/// looked at this often.
const POLL: Duration = Duration::from_secs(2);

/// When to read after a run of changes. Times are counted from any fixed instant.
#[derive(Clone, Copy, Debug, Default)]
struct Pause {
    first: Option<Duration>,
    last: Duration,
}

impl Pause {
    /// Something changed.
    fn touch(&mut self, now: Duration) {
        self.first.get_or_insert(now);
        self.last = now;
    }

    /// When to read; `None` while nothing changed.
    fn due(&self) -> Option<Duration> {
        self.first.map(|first| (self.last + QUIET).min(first + LONGEST_WAIT))
    }
}

enum Ask {
    /// Something changed on the disk.
    Touched,
    /// These are the open show's own profile files now.
    Own(Vec<PathBuf>),
    Stop,
}

/// A thread that watches until this is dropped.
pub struct ProfileWatch {
    ask: Sender<Ask>,
    news: Receiver<ProfileSources>,
}

impl ProfileWatch {
    /// Reads the sources and goes on watching them. `wake` is called whenever there is news.
    ///
    /// # Errors
    ///
    /// The system gives no thread.
    pub fn start(
        sources: ProfileSources,
        known_drawing: fn(&str) -> bool,
        wake: impl Fn() + Send + 'static,
    ) -> io::Result<Self> {
        let (ask, asked) = mpsc::channel();
        let (tell, news) = mpsc::channel();
        let touched = ask.clone();
        thread::Builder::new().name("profiles".to_owned()).spawn(move || {
            let eyes = Eyes::new(touched);
            watch(
                sources,
                eyes,
                &asked,
                |sources| {
                    let open = tell.send(sources).is_ok();
                    wake();
                    open
                },
                known_drawing,
            );
        })?;
        Ok(Self { ask, news })
    }

    /// Watches these files as the open show's own instead of those before.
    pub fn set_own(&self, paths: Vec<PathBuf>) {
        // A thread that has ended watches nothing: there is nobody to tell.
        let _ = self.ask.send(Ask::Own(paths));
    }

    /// What was read last, if it was not taken yet.
    pub fn news(&self) -> Option<ProfileSources> {
        self.news.try_iter().last()
    }
}

impl Drop for ProfileWatch {
    fn drop(&mut self) {
        let _ = self.ask.send(Ask::Stop);
    }
}

fn watch(
    mut sources: ProfileSources,
    mut eyes: Eyes,
    asked: &Receiver<Ask>,
    tell: impl Fn(ProfileSources) -> bool,
    known_drawing: fn(&str) -> bool,
) {
    let begun = Instant::now();
    let mut pause = Pause::default();
    let mut asked_for = false;
    // The first look is news even where it finds nothing: whoever waits for it can go on.
    eyes.look_at(&sources.watched());
    sources.refresh(&known_drawing);
    if !tell(sources.clone()) {
        return;
    }
    loop {
        let now = begun.elapsed();
        let wait = match pause.due() {
            Some(due) => due.saturating_sub(now),
            None if eyes.see_all => Duration::from_secs(3600),
            None => POLL,
        };
        match asked.recv_timeout(wait) {
            Ok(Ask::Touched) => pause.touch(begun.elapsed()),
            Ok(Ask::Own(paths)) => {
                sources.set_own(paths);
                eyes.look_at(&sources.watched());
                pause.touch(begun.elapsed());
                asked_for = true;
            }
            Ok(Ask::Stop) | Err(RecvTimeoutError::Disconnected) => return,
            Err(RecvTimeoutError::Timeout) => {
                pause = Pause::default();
                eyes.look_at(&sources.watched());
                let changed = sources.refresh(&known_drawing);
                if (changed || std::mem::take(&mut asked_for)) && !tell(sources.clone()) {
                    return;
                }
            }
        }
    }
}

/// What the system watches for us.
struct Eyes {
    watcher: Option<RecommendedWatcher>,
    on: Vec<(PathBuf, bool)>,
    /// Every folder asked for is watched.
    see_all: bool,
}

impl Eyes {
    fn new(touched: Sender<Ask>) -> Self {
        let on_event = move |event: notify::Result<Event>| {
            if event.is_ok_and(|event| !is_reading(event.kind)) {
                let _ = touched.send(Ask::Touched);
            }
        };
        Self { watcher: notify::recommended_watcher(on_event).ok(), on: Vec::new(), see_all: false }
    }

    /// Watches these folders and no others.
    fn look_at(&mut self, folders: &[(PathBuf, bool)]) {
        let Some(watcher) = &mut self.watcher else { return };
        for (folder, _) in self.on.extract_if(.., |known| !folders.contains(known)) {
            // A folder that is gone is no longer watched anyway.
            let _ = watcher.unwatch(&folder);
        }
        self.see_all = true;
        for (folder, below) in folders {
            // A folder that was made anew under its old name is another folder to the system.
            let gone = !folder.is_dir();
            if gone {
                self.on.retain(|(known, _)| known != folder);
            }
            if self.on.iter().any(|(known, _)| known == folder) {
                continue;
            }
            let mode = if *below { RecursiveMode::Recursive } else { RecursiveMode::NonRecursive };
            if !gone && watcher.watch(folder, mode).is_ok() {
                self.on.push((folder.clone(), *below));
            } else {
                self.see_all = false;
            }
        }
    }
}

/// Whether an event only says that somebody read: we do so ourselves at every change.
fn is_reading(kind: EventKind) -> bool {
    matches!(kind, EventKind::Access(access) if access != AccessKind::Close(AccessMode::Write))
}

#[cfg(test)]
mod tests {
    use std::fs;

    use super::*;
    use crate::show::profile_sources::tests::head;

    const MS: Duration = Duration::from_millis(1);

    #[test]
    fn a_run_of_changes_is_read_once_it_is_over() {
        let mut pause = Pause::default();
        assert_eq!(pause.due(), None);
        pause.touch(10 * MS);
        assert_eq!(pause.due(), Some(90 * MS));
        pause.touch(60 * MS);
        assert_eq!(pause.due(), Some(140 * MS));
        pause.touch(790 * MS);
        assert_eq!(pause.due(), Some(810 * MS), "a file that is always written is read at last");
    }

    /// Waits for news, which comes within a fraction of a second.
    #[track_caller]
    fn wait_for(watch: &ProfileWatch, wanted: impl Fn(&ProfileSources) -> bool) {
        let begun = Instant::now();
        while !watch.news().is_some_and(|news| wanted(&news)) {
            assert!(begun.elapsed() < Duration::from_secs(20), "the change is never seen");
            thread::sleep(Duration::from_millis(5));
        }
    }

    #[test]
    fn a_change_on_the_disk_is_news() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.ron");
        fs::write(&path, head("Ash", 100)).unwrap();
        let sources = ProfileSources::in_folder(folder.path());
        let watch = ProfileWatch::start(sources, |_| true, || {}).unwrap();
        wait_for(&watch, |news| news.library().get("Wold Ash").is_some());
        fs::write(&path, "(maker:").unwrap();
        wait_for(&watch, |news| news.broken().count() == 1);
        // As most editors save: beside it first, then in its place.
        fs::write(folder.path().join("b.tmp"), head("Beech", 100)).unwrap();
        fs::rename(folder.path().join("b.tmp"), &path).unwrap();
        wait_for(&watch, |news| news.library().get("Wold Beech").is_some());
        // In a folder that was made later.
        fs::create_dir(folder.path().join("more")).unwrap();
        fs::write(folder.path().join("more/c.ron"), head("Cedar", 100)).unwrap();
        wait_for(&watch, |news| news.library().get("Wold Cedar").is_some());
        let own = tempfile::tempdir().unwrap();
        let path = own.path().join("own.ron");
        fs::write(&path, head("Own", 100)).unwrap();
        watch.set_own(vec![path]);
        wait_for(&watch, |news| news.own().contains_key("Wold Own"));
    }
}
