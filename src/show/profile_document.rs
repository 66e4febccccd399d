//! A profile file in hand: edits with undo and redo, and whether it was saved.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::disk::{read_text, write_file};
use super::history::{History, Step};
use crate::finding::{Finding, Findings, Place};
use crate::profile::head_comment::{comments_inside, head_comment, with_head_comment};
use crate::profile::ron_text::from_ron;
use crate::profile::{KnownDrawing, Profile, ProfileEdit, to_ron, validate};

/// Steps that can be undone; older ones are forgotten. Each holds a whole profile.
const MOST_STEPS: usize = 1000;

/// A profile that is being worked on.
#[derive(Clone, Debug)]
pub struct ProfileDocument {
    profile: Arc<Profile>,
    path: Option<PathBuf>,
    /// Comments that the file has above the profile.
    head: String,
    /// Each step leads back to the profile on its other side.
    history: History<Arc<Profile>>,
    revision: u64,
}

impl ProfileDocument {
    /// A profile that no file holds yet, as it is.
    pub fn new(profile: Profile) -> Self {
        Self {
            profile: Arc::new(profile),
            path: None,
            head: String::new(),
            history: History::new(MOST_STEPS),
            revision: 0,
        }
    }

    /// Takes a profile out of the text of a file, with what there is to say about it. One that can be
    /// read but makes no sense is taken too, so that it can be mended.
    ///
    /// # Errors
    ///
    /// The text holds no profile.
    pub fn parse(
        text: &str,
        path: Option<&Path>,
        known_drawing: KnownDrawing<'_>,
    ) -> Result<(Self, Vec<Finding>), Findings> {
        let profile: Profile = from_ron(text, path)?;
        let mut findings = validate(&profile, known_drawing).pin(text, path);
        let inside = comments_inside(text);
        if inside > 0 {
            let place = Place { file: path.map(Path::to_owned), ..Place::default() };
            let (plural, are) = if inside == 1 { ("", "is") } else { ("s", "are") };
            findings.push(Finding::warning(
                place,
                format!("{inside} comment{plural} inside the profile {are} not kept"),
                "those above it are; save under another name to keep this file as it is",
            ));
        }
        let head = head_comment(text).to_owned();
        let path = path.map(Path::to_owned);
        Ok((Self { path, head, ..Self::new(profile) }, findings))
    }

    /// Reads a profile file.
    ///
    /// # Errors
    ///
    /// The file cannot be read or holds no profile.
    pub fn read(
        path: &Path,
        known_drawing: KnownDrawing<'_>,
    ) -> Result<(Self, Vec<Finding>), Findings> {
        Self::parse(&read_text(path)?, Some(path), known_drawing)
    }

    /// The same without its steps of undo, for another thread to write out.
    pub fn without_steps(&self) -> Self {
        Self {
            profile: self.profile.clone(),
            path: self.path.clone(),
            head: self.head.clone(),
            history: History::new(MOST_STEPS),
            revision: self.revision,
        }
    }

    /// The profile as it stands.
    pub fn profile(&self) -> &Arc<Profile> {
        &self.profile
    }

    /// Where it is saved.
    pub fn path(&self) -> Option<&Path> {
        self.path.as_deref()
    }

    /// Differs after every change from what it was before.
    pub fn revision(&self) -> u64 {
        self.revision
    }

    /// A mark for edits that are undone together: one drag.
    pub fn new_gesture(&mut self) -> u64 {
        self.history.new_gesture()
    }

    /// Makes an edit. It joins the last step where that has the same gesture. Says whether anything
    /// changed: an edit to what is there already is no step.
    ///
    /// # Errors
    ///
    /// The edit cannot be made; see [`ProfileEdit::apply`]. Nothing is changed then.
    pub fn apply(
        &mut self,
        edit: ProfileEdit,
        gesture: Option<u64>,
        known_drawing: KnownDrawing<'_>,
    ) -> Result<bool, Finding> {
        let words = edit.words();
        let mut profile = Profile::clone(&self.profile);
        edit.apply(&mut profile, known_drawing)?;
        if profile == *self.profile {
            return Ok(false);
        }
        let before = std::mem::replace(&mut self.profile, Arc::new(profile));
        self.revision += 1;
        // The profile before a gesture is the one before all of it.
        if self.history.begin(gesture).is_none() {
            self.history.push(Step { words, gesture, back: before });
        }
        Ok(true)
    }

    /// Takes the last step back and gives its words.
    pub fn undo(&mut self) -> Option<String> {
        let step = self.history.take_done()?;
        let step = self.trade(step);
        Some(self.history.put_undone(step))
    }

    /// Makes the step that was last undone again and gives its words.
    pub fn redo(&mut self) -> Option<String> {
        let step = self.history.take_undone()?;
        let step = self.trade(step);
        Some(self.history.put_done(step))
    }

    fn trade(&mut self, step: Step<Arc<Profile>>) -> Step<Arc<Profile>> {
        self.revision += 1;
        let back = std::mem::replace(&mut self.profile, step.back);
        Step { back, ..step }
    }

    /// The words of the step that undo takes back.
    pub fn can_undo(&self) -> Option<&str> {
        self.history.can_undo()
    }

    /// The words of the step that redo makes again.
    pub fn can_redo(&self) -> Option<&str> {
        self.history.can_redo()
    }

    /// Whether it differs from what was last saved or opened.
    pub fn is_dirty(&self) -> bool {
        self.history.is_dirty()
    }

    /// The file's text: the comments it had above the profile, and the profile.
    pub fn text(&self) -> String {
        with_head_comment(&self.head, &to_ron(&self.profile))
    }

    /// Takes note that no file holds the profile as it stands: it was kept from a session that broke off.
    pub fn mark_unsaved(&mut self) {
        self.history.mark_unsaved();
    }

    /// Takes note that [`Self::text`] was written to a file.
    pub fn mark_saved(&mut self, path: impl Into<PathBuf>) {
        self.path = Some(path.into());
        self.history.mark_saved();
    }

    /// Writes it to a file and takes note of that.
    ///
    /// # Errors
    ///
    /// The file could not be written: the old one is whole then, and the profile unsaved.
    pub fn save(&mut self, path: &Path) -> Result<(), Finding> {
        write_file(path, self.text().as_bytes())?;
        self.mark_saved(path);
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::profile::Library;
    use crate::profile::edit::{ChannelAt, Edge};

    fn spot() -> Profile {
        Profile::clone(&Library::embedded().get("Tarnfell S1 Spot").unwrap())
    }

    const DIMMER: ChannelAt = ChannelAt { mode: 0, channel: 3 };

    fn edge(to: u32) -> ProfileEdit {
        ProfileEdit::MoveEdge { at: DIMMER.range(0), edge: Edge::Last, to }
    }

    fn label(words: &str) -> ProfileEdit {
        ProfileEdit::SetLabel { at: DIMMER.range(0), label: words.to_owned() }
    }

    fn apply(document: &mut ProfileDocument, edit: ProfileEdit, gesture: Option<u64>) -> bool {
        document.apply(edit, gesture, &|_| true).unwrap()
    }

    #[test]
    fn a_drag_is_one_step_and_what_is_there_already_is_none() {
        let mut document = ProfileDocument::new(spot());
        let start = document.profile().clone();
        let gesture = Some(document.new_gesture());
        for words in ["a", "b", "c"] {
            assert!(apply(&mut document, label(words), gesture));
        }
        assert!(!apply(&mut document, label("c"), None));
        assert_eq!(document.can_undo(), Some("label of a range"));
        assert_eq!(document.undo().as_deref(), Some("label of a range"));
        assert_eq!(document.profile(), &start);
        assert!(!document.is_dirty());
        document.redo();
        assert_eq!(document.profile().modes[0].channels[3].ranges[0].label, "c");
    }

    #[test]
    fn what_was_saved_stays_a_place_that_undo_leads_to() {
        let mut document = ProfileDocument::new(spot());
        let gesture = Some(document.new_gesture());
        apply(&mut document, label("a"), gesture);
        document.mark_saved("a.ron");
        apply(&mut document, label("b"), gesture);
        assert!(document.is_dirty());
        document.undo();
        assert!(!document.is_dirty());
        document.undo();
        assert!(document.is_dirty());
        apply(&mut document, label("c"), None);
        document.undo();
        assert!(document.is_dirty(), "the saved state was left behind");
    }

    #[test]
    fn a_file_keeps_the_comments_above_the_profile_and_says_which_go() {
        let text = format!("// Checked on the bench.\n// Twice.\n{}", to_ron(&spot()));
        let (mut document, findings) = ProfileDocument::parse(&text, None, &|_| true).unwrap();
        assert!(findings.iter().all(|finding| !finding.what.contains("comment")), "{findings:?}");
        assert_eq!(document.text(), text, "written as it was read");
        let inside = text.replace("  optics:", "  // measured\n  optics:");
        let (_, findings) = ProfileDocument::parse(&inside, None, &|_| true).unwrap();
        assert!(findings.iter().any(|f| f.what == "1 comment inside the profile is not kept"));
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("spot.ron");
        apply(&mut document, label("lens"), None);
        document.save(&path).unwrap();
        assert!(!document.is_dirty());
        let (again, _) = ProfileDocument::read(&path, &|_| true).unwrap();
        assert_eq!((again.profile(), again.text()), (document.profile(), document.text()));
    }

    #[test]
    fn a_profile_that_makes_no_sense_is_taken_to_be_mended_and_no_profile_is_not() {
        let text = to_ron(&spot()).replace("field_deg: 17.0", "field_deg: 7.0");
        let (document, findings) = ProfileDocument::parse(&text, None, &|_| true).unwrap();
        assert_eq!(document.profile().optics.field_deg, 7.0);
        assert!(crate::finding::any_error(&findings));
        assert!(ProfileDocument::parse("(maker: 3)", None, &|_| true).is_err());
        assert!(ProfileDocument::read(Path::new("/nowhere/at.ron"), &|_| true).is_err());
    }

    proptest! {
        #[test]
        fn any_edits_are_undone_to_the_start_and_redone_to_the_end(
            edits in prop::collection::vec((0u8..4, any::<u8>(), 0u64..3), 0..40),
            turns in prop::collection::vec(any::<bool>(), 0..20),
        ) {
            let mut document = ProfileDocument::new(spot());
            let start = document.profile().clone();
            for (kind, value, gesture) in edits {
                let range = document.profile().modes[0].channels[3].ranges.len();
                let at = DIMMER.range(usize::from(value) % range.max(1));
                let edit = match kind {
                    0 => edge(u32::from(value)),
                    1 => ProfileEdit::SplitRange { at, value: u32::from(value) },
                    2 => ProfileEdit::MergeRange(at),
                    _ => label(&value.to_string()),
                };
                let before = document.profile().clone();
                if document.apply(edit, (gesture > 0).then_some(gesture), &|_| true).is_err() {
                    prop_assert_eq!(document.profile(), &before);
                }
            }
            let end = document.profile().clone();
            for back in turns {
                if back { document.undo(); } else { document.redo(); }
            }
            while document.redo().is_some() {}
            prop_assert_eq!(document.profile(), &end);
            while document.undo().is_some() {}
            prop_assert_eq!(document.profile(), &start);
            prop_assert!(!document.is_dirty());
            while document.redo().is_some() {}
            prop_assert_eq!(document.profile(), &end);
        }
    }
}
