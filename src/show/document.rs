//! A show in hand: edits with undo and redo, and whether it was saved.

use std::path::{Component, Path, PathBuf};
use std::sync::Arc;

use super::edit::{Change, Edit, changes, slots_words};
use super::history::{self, History};
use super::model::Show;
use super::write::save_show;
use crate::finding::{Finding, Place};
use crate::profile::Library;

/// Steps that can be undone; older ones are forgotten.
const MOST_STEPS: usize = 5000;

/// A show that is being worked on.
#[derive(Debug)]
pub struct Document {
    pub(super) show: Show,
    path: Option<PathBuf>,
    /// Each step leads back by changes, in the order in which they are traded.
    pub(super) history: History<Vec<Change>>,
    /// Where fixtures that come in find their profiles, besides those the show has.
    pub(super) library: Arc<Library>,
    pub(super) revision: u64,
    pub(super) rig_revision: u64,
}

type Step = history::Step<Vec<Change>>;

impl Document {
    /// A show as it was read, unchanged; `path` is where it is saved.
    pub fn new(show: Show, path: Option<PathBuf>) -> Self {
        Self {
            show,
            path,
            history: History::new(MOST_STEPS),
            library: Arc::new(Library::embedded().clone()),
            revision: 0,
            rig_revision: 0,
        }
    }

    /// The show as it stands.
    pub fn show(&self) -> &Show {
        &self.show
    }

    /// Where it is saved.
    pub fn path(&self) -> Option<&Path> {
        self.path.as_deref()
    }

    /// Differs after every change from what it was before.
    pub fn revision(&self) -> u64 {
        self.revision
    }

    /// Differs after every change of fixtures, profiles or room from what it was before.
    pub fn rig_revision(&self) -> u64 {
        self.rig_revision
    }

    /// A mark for edits that are undone together: one drag, one edit of several fixtures.
    pub fn new_gesture(&mut self) -> u64 {
        self.history.new_gesture()
    }

    /// Does an edit. It joins the last step where that has the same gesture. Says whether anything
    /// changed: an edit to what is there already is no step.
    ///
    /// # Errors
    ///
    /// The show has no such look or fixture, or a show file could not hold the result. Nothing is
    /// changed then.
    pub fn apply(&mut self, edit: Edit, gesture: Option<u64>) -> Result<bool, Finding> {
        let (words, changes) = changes(&self.show, &self.library, edit)?;
        if changes.is_empty() {
            return Ok(false);
        }
        let back: Vec<Change> = changes.into_iter().map(|change| self.trade(change)).collect();
        match self.history.begin(gesture) {
            Some(step) => join(step, back),
            None => {
                let back = back.into_iter().rev().collect();
                self.history.push(Step { words, gesture, back });
            }
        }
        Ok(true)
    }

    /// Says in other words what the edits of a gesture come to together, if they were the last step.
    pub fn name_step(&mut self, gesture: u64, words: String) {
        self.history.name(gesture, words);
    }

    /// Takes the last step back and gives its words.
    pub fn undo(&mut self) -> Option<String> {
        let step = self.history.take_done()?;
        let step = self.trade_step(step);
        Some(self.history.put_undone(step))
    }

    /// Does the step that was last undone again and gives its words.
    pub fn redo(&mut self) -> Option<String> {
        let step = self.history.take_undone()?;
        let step = self.trade_step(step);
        Some(self.history.put_done(step))
    }

    /// The words of the step that undo takes back.
    pub fn can_undo(&self) -> Option<&str> {
        self.history.can_undo()
    }

    /// The words of the step that redo does again.
    pub fn can_redo(&self) -> Option<&str> {
        self.history.can_redo()
    }

    /// Whether it differs from what was last saved or opened.
    pub fn is_dirty(&self) -> bool {
        self.history.is_dirty()
    }

    /// The show as a file at `path` holds it: in another folder the profile files that it names are
    /// named as seen from there.
    ///
    /// # Errors
    ///
    /// A profile file cannot be named from there.
    pub fn show_for(&self, path: &Path) -> Result<Show, Finding> {
        Ok(Show { profile_files: self.files_seen_from(path)?, ..self.show.clone() })
    }

    /// Takes note that no file holds the show as it stands: it was kept from a session that broke off.
    pub fn mark_unsaved(&mut self) {
        self.history.mark_unsaved();
    }

    /// Takes note that [`Self::show_for`] this path was written there.
    pub fn mark_saved(&mut self, path: impl Into<PathBuf>) {
        let path = path.into();
        if let Some((from, to)) = self.move_to(&path) {
            let rename = |file: &mut String| {
                let whole = from.join(&*file);
                *file =
                    relative(&whole, &to).unwrap_or_else(|| whole.to_string_lossy().into_owned());
            };
            self.show.profile_files.iter_mut().for_each(rename);
            // Undoing and redoing must not bring back names as seen from the old folder.
            let changes = self.history.steps_mut().flat_map(|step| &mut step.back);
            changes.filter_map(Change::profile_file).for_each(rename);
        }
        self.path = Some(path);
        self.history.mark_saved();
    }

    /// Saves it and takes note of that.
    ///
    /// # Errors
    ///
    /// The file could not be written: the old one is whole then, and the show unsaved.
    pub fn save(&mut self, path: &Path) -> Result<(), Finding> {
        save_show(path, &self.show_for(path)?)?;
        self.mark_saved(path);
        Ok(())
    }

    /// The folder of the show and that of a file at `path`, where they differ.
    fn move_to(&self, path: &Path) -> Option<(PathBuf, PathBuf)> {
        // Where there is no such folder, writing says so better.
        let (from, to) = (folder_of(self.path.as_ref()?)?, folder_of(path)?);
        (from != to).then_some((from, to))
    }

    /// The profile files of the show, relative to a show file at `path`.
    fn files_seen_from(&self, path: &Path) -> Result<Vec<String>, Finding> {
        let files = &self.show.profile_files;
        let Some((from, to)) = self.move_to(path) else { return Ok(files.clone()) };
        let seen = files.iter().map(|file| {
            relative(&from.join(file), &to).ok_or_else(|| {
                Finding::error(
                    Place::file(path),
                    format!("the profile file `{file}` cannot be named from there"),
                    "save the show on the disk that its profile files are on",
                )
            })
        });
        seen.collect()
    }

    /// A file as the show names it: as seen from its own file, where it has one.
    pub fn name_of(&self, file: &Path) -> String {
        let whole = file.canonicalize().unwrap_or_else(|_| file.to_owned());
        let folder = self.path.as_deref().and_then(folder_of);
        let seen = folder.and_then(|folder| relative(&whole, &folder));
        seen.unwrap_or_else(|| whole.to_string_lossy().into_owned())
    }

    fn trade(&mut self, change: Change) -> Change {
        self.revision += 1;
        if change.touches_rig() {
            self.rig_revision += 1;
        }
        change.trade(&mut self.show)
    }

    /// Trades a whole step and gives the step that trades back.
    fn trade_step(&mut self, step: Step) -> Step {
        let mut back: Vec<Change> =
            step.back.into_iter().map(|change| self.trade(change)).collect();
        back.reverse();
        Step { back, ..step }
    }
}

/// Takes into a step what undoes the next edit of its gesture, in the order in which it was done.
fn join(step: &mut Step, back: Vec<Change>) {
    let mut newest_first = Vec::new();
    for change in back {
        // A change of the same slots as one before only adds what is new; anything else must be
        // traded back before the others.
        let alone = newest_first.is_empty();
        match step.back.first_mut().filter(|_| alone) {
            Some(first) => {
                if let Err(change) = first.absorb(change) {
                    newest_first.insert(0, change);
                }
            }
            None => newest_first.insert(0, change),
        }
    }
    step.back.splice(0..0, newest_first);
    let mut count = 0;
    for change in &step.back {
        let Change::Slots { states, .. } = change else { return };
        count += states.len();
    }
    if let Some(Change::Slots { universe, states, .. }) = step.back.first()
        && let Some((first, _)) = states.first()
    {
        step.words = slots_words(*universe, *first, count);
    }
}

/// The folder of a file, with every link in it followed.
fn folder_of(file: &Path) -> Option<PathBuf> {
    let folder = file.parent().filter(|folder| !folder.as_os_str().is_empty());
    folder.unwrap_or(Path::new(".")).canonicalize().ok()
}

/// `file` as seen from a folder, with `/` between its parts; `None` where no such way leads there.
fn relative(file: &Path, folder: &Path) -> Option<String> {
    let mut parts: Vec<Component<'_>> = Vec::new();
    for part in file.components() {
        match part {
            Component::CurDir => {}
            Component::ParentDir => {
                parts.pop();
            }
            part => parts.push(part),
        }
    }
    let base: Vec<Component<'_>> = folder.components().collect();
    if parts.first() != base.first() {
        return None;
    }
    let shared = parts.iter().zip(&base).take_while(|(a, b)| a == b).count();
    let up = std::iter::repeat_n("..", base.len() - shared);
    let down = parts[shared..].iter().map(|part| part.as_os_str().to_str());
    let words: Option<Vec<&str>> = up.map(Some).chain(down).collect();
    words.map(|words| words.join("/"))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::cue::{Cue, CueList, CueNumber, Value};
    use crate::profile::Profile;
    use crate::show::CueEdit;
    use crate::show::read::parse_show;
    use crate::wire::{Slot, Universe};

    const SHOW: &str = r#"(
      format: 1, name: "Test",
      fixtures: [
        (id: 1, label: "A", profile: "Tarnfell S1 Spot", mode: "compact", universe: 1, slot: 1, at: (0, 0, 5)),
        (id: 2, label: "B", profile: "Tarnfell S1 Spot", mode: "compact", universe: 1, slot: 17, at: (1, 0, 5)),
      ],
      looks: [
        (name: "One", universes: {1: [(at: 1, values: [1, 2, 3])]}),
        (name: "Two", universes: {2: [(at: 5, values: [9]), (at: 9, values: [8], kept: true)]}),
      ],
    )"#;

    fn document() -> Document {
        Document::new(parse_show(SHOW, None, &|_| true).unwrap().0, None)
    }

    fn slots(universe: u32, values: &[(u16, u8)]) -> Edit {
        Edit::SetSlots {
            universe: Universe::new(universe).unwrap(),
            values: values.iter().map(|(slot, v)| (Slot::new(*slot).unwrap(), *v)).collect(),
        }
    }

    /// A list with a cue for a fixture that may come and go.
    fn cue(name: String, value: u8) -> Edit {
        let mut cue = Cue::new(CueNumber::whole(1).unwrap());
        let fixture = u32::from(value % 7);
        crate::cue::edit::set(&mut cue, &[fixture], "Dimmer", Some(&Value::Byte(value)));
        cue.still.push(fixture);
        let list = CueList { name, cues: vec![cue], ..CueList::default() };
        Edit::Cues(CueEdit::AddList(Box::new(list)))
    }

    /// Any edit, many of which cannot be done.
    fn edit(document: &Document, (kind, a, b): (u8, u16, u8)) -> Edit {
        let (index, name) = (usize::from(b % 4), format!("Look {}", b % 6));
        let mut fixture = Box::new(
            document
                .show()
                .rig
                .first()
                .cloned()
                .unwrap_or_else(|| parse_show(SHOW, None, &|_| true).unwrap().0.rig[0].clone()),
        );
        fixture.id = u32::from(b % 7);
        fixture.at.x = f64::from(a);
        fixture.address = None;
        if b % 3 == 0 {
            fixture.profile = "Saltgrave Cobble".to_owned();
            let profile = crate::profile::Library::embedded().get(&fixture.profile).unwrap();
            fixture.mode = profile.modes[0].name.clone();
        }
        match kind % 16 {
            0 => Edit::RecallLook(index),
            1 => Edit::StoreLook { name },
            2 => Edit::UpdateLook(index),
            3 => Edit::RenameLook { index, name },
            4 => Edit::NoteLook { index, note: name },
            5 => Edit::DeleteLook(index),
            6 => Edit::MoveLook { from: index, to: usize::from(a % 4) },
            7 => Edit::SetFixture { index, fixture },
            8 => Edit::AddFixture(fixture),
            9 => Edit::RemoveFixture(index),
            10 => Edit::SetName(name),
            11 => cue(name, b),
            12 => Edit::Cues(CueEdit::RemoveList(index)),
            _ => slots(
                u32::from(a % 3) + 1,
                &[(a % 20 + 1, b), (a % 7 + 1, b / 2), (a % 20 + 1, b / 3)],
            ),
        }
    }

    proptest! {
        #[test]
        fn any_edits_are_undone_to_the_start_and_redone_to_the_end(
            edits in prop::collection::vec(((any::<u8>(), any::<u16>(), any::<u8>()), 0u64..4), 0..60),
            turns in prop::collection::vec(any::<bool>(), 0..20),
        ) {
            let mut document = document();
            let start = document.show().clone();
            for (edit_of, gesture) in edits {
                let edit = edit(&document, edit_of);
                // What cannot be done must leave everything as it was.
                let before = document.show().clone();
                if document.apply(edit, (gesture > 0).then_some(gesture)).is_err() {
                    prop_assert_eq!(document.show(), &before);
                }
            }
            let end = document.show().clone();
            for back in turns {
                if back { document.undo(); } else { document.redo(); }
            }
            while document.redo().is_some() {}
            prop_assert_eq!(document.show(), &end);
            while document.undo().is_some() {}
            prop_assert_eq!(document.show(), &start);
            prop_assert!(!document.is_dirty());
            while document.redo().is_some() {}
            prop_assert_eq!(document.show(), &end);
        }
    }

    #[test]
    fn a_gesture_is_one_step_that_says_how_much_it_did() {
        let mut document = document();
        let gesture = Some(document.new_gesture());
        for value in 0..100 {
            document.apply(slots(1, &[(1, value), (17, value)]), gesture).unwrap();
        }
        assert_eq!(document.can_undo(), Some("set 2 slots"));
        document.apply(slots(2, &[(9, 5)]), gesture).unwrap();
        assert_eq!(document.undo().as_deref(), Some("set 3 slots"));
        assert_eq!(document.can_undo(), None);
        assert_eq!(document.can_redo(), Some("set 3 slots"));
    }

    #[test]
    fn what_is_there_already_is_no_step() {
        let mut document = document();
        assert_eq!(document.apply(slots(1, &[(1, 1)]), None), Ok(false));
        assert_eq!(document.apply(Edit::RecallLook(0), None), Ok(false));
        assert_eq!((document.can_undo(), document.is_dirty()), (None, false));
    }

    #[test]
    fn dirty_means_different_from_what_was_saved() {
        let mut document = document();
        let gesture = Some(document.new_gesture());
        document.apply(slots(1, &[(1, 50)]), gesture).unwrap();
        document.mark_saved("a.ron");
        assert!(!document.is_dirty());
        // The same drag goes on after saving: a step of its own, so that undo leads to the saved state.
        document.apply(slots(1, &[(1, 60)]), gesture).unwrap();
        assert!(document.is_dirty());
        document.undo();
        assert!(!document.is_dirty());
        document.undo();
        assert!(document.is_dirty());
        document.apply(slots(1, &[(1, 70)]), None).unwrap();
        document.undo();
        assert!(document.is_dirty(), "what was saved can no longer be reached");
    }

    #[test]
    fn edits_that_no_file_could_hold_are_refused() {
        let mut document = document();
        let mut fixture = document.show().rig[0].clone();
        fixture.id = 2;
        let refused = |document: &mut Document, fixture: &crate::rig::Fixture| {
            let edit = Edit::SetFixture { index: 0, fixture: Box::new(fixture.clone()) };
            document.apply(edit, None).unwrap_err().to_string()
        };
        assert!(refused(&mut document, &fixture).contains("another fixture has the number `2`"));
        fixture.id = 1;
        fixture.mode = "none".to_owned();
        assert!(refused(&mut document, &fixture).contains("has no mode `none`"));
        fixture.mode = "compact".to_owned();
        fixture.at.x = f64::NAN;
        assert!(refused(&mut document, &fixture).contains("`NaN` is no place"));
        let same = Edit::RenameLook { index: 0, name: "Two".to_owned() };
        assert!(document.apply(same, None).is_err());
        assert!(!document.is_dirty());
    }

    #[test]
    fn a_profile_that_is_undone_keeps_its_file_when_the_show_moves() {
        let folder = tempfile::tempdir().unwrap();
        let (here, there) = (folder.path().join("here"), folder.path().join("there/deep"));
        std::fs::create_dir_all(&here).unwrap();
        std::fs::create_dir_all(&there).unwrap();
        let mut document = document();
        document.save(&here.join("a.ron")).unwrap();
        let spot = Library::embedded().get("Tarnfell S1 Spot").unwrap();
        let edit = |name: &str| {
            let profile = Profile { model: name.to_owned(), ..Profile::clone(&spot) };
            Edit::AddProfile { profile: Box::new(profile), file: format!("{name}.ron") }
        };
        document.apply(edit("first"), None).unwrap();
        document.apply(edit("second"), None).unwrap();
        document.undo();
        document.save(&there.join("a.ron")).unwrap();
        assert_eq!(document.show().profile_files, ["../../here/first.ron"]);
        document.redo();
        assert_eq!(
            document.show().profile_files,
            ["../../here/first.ron", "../../here/second.ron"],
            "redone in the new folder"
        );
        document.undo();
        document.undo();
        document.save(&here.join("b.ron")).unwrap();
        document.redo();
        document.redo();
        assert_eq!(document.show().profile_files, ["first.ron", "second.ron"]);
    }

    #[test]
    fn a_file_is_named_as_seen_from_the_other_folder() {
        let check = |file: &str, folder: &str, expected: Option<&str>| {
            assert_eq!(relative(Path::new(file), Path::new(folder)).as_deref(), expected);
        };
        check("/a/b/p.ron", "/a/b", Some("p.ron"));
        check("/a/b/x/../p.ron", "/a/c/d", Some("../../b/p.ron"));
        check("/a/p.ron", "/a/b", Some("../p.ron"));
        check("p.ron", "/a/b", None);
    }
}
