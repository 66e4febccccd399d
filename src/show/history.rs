//! Steps of undo and redo, and which of them was saved.

use std::collections::VecDeque;

/// What was done to something, step by step.
#[derive(Clone, Debug)]
pub(super) struct History<B> {
    done: VecDeque<Step<B>>,
    undone: Vec<Step<B>>,
    /// How many steps were done when it was last saved; `None` where no undo leads back there.
    saved_at: Option<usize>,
    gestures: u64,
    most: usize,
}

/// What one undo takes back or one redo does again.
#[derive(Clone, Debug)]
pub(super) struct Step<B> {
    /// What was done, in words.
    pub(super) words: String,
    /// Edits of the same gesture are one step.
    pub(super) gesture: Option<u64>,
    /// What leads to the other side of the step.
    pub(super) back: B,
}

impl<B> History<B> {
    /// Nothing done yet, and saved as it is. Steps older than the last `most` are forgotten.
    pub(super) fn new(most: usize) -> Self {
        Self { done: VecDeque::new(), undone: Vec::new(), saved_at: Some(0), gestures: 0, most }
    }

    /// A mark for edits that are undone together.
    pub(super) fn new_gesture(&mut self) -> u64 {
        self.gestures += 1;
        self.gestures
    }

    /// An edit is about to be made: what was undone cannot be done again after it. Gives the step that
    /// the edit joins, if its gesture goes on.
    pub(super) fn begin(&mut self, gesture: Option<u64>) -> Option<&mut Step<B>> {
        let joins = gesture.is_some()
            && self.undone.is_empty()
            // What was saved stays a place that undo leads to.
            && self.saved_at != Some(self.done.len());
        self.undone.clear();
        if self.saved_at.is_some_and(|saved| saved > self.done.len()) {
            self.saved_at = None;
        }
        self.done.back_mut().filter(|step| joins && step.gesture == gesture)
    }

    /// Gives the last step other words, if it is the one of this gesture.
    pub(super) fn name(&mut self, gesture: u64, words: String) {
        if let Some(step) = self.done.back_mut().filter(|step| step.gesture == Some(gesture)) {
            step.words = words;
        }
    }

    /// Takes in a step that was done.
    pub(super) fn push(&mut self, step: Step<B>) {
        self.done.push_back(step);
        if self.done.len() > self.most {
            self.done.pop_front();
            self.saved_at = self.saved_at.and_then(|saved| saved.checked_sub(1));
        }
    }

    /// The step to take back, to be put among those undone.
    pub(super) fn take_done(&mut self) -> Option<Step<B>> {
        self.done.pop_back()
    }

    /// Keeps a step that was taken back, and gives its words.
    pub(super) fn put_undone(&mut self, step: Step<B>) -> String {
        let words = step.words.clone();
        self.undone.push(step);
        words
    }

    /// The step to do again, to be put among those done.
    pub(super) fn take_undone(&mut self) -> Option<Step<B>> {
        self.undone.pop()
    }

    /// Keeps a step that was done again, and gives its words.
    pub(super) fn put_done(&mut self, step: Step<B>) -> String {
        let words = step.words.clone();
        self.done.push_back(step);
        words
    }

    /// The words of the step that undo takes back.
    pub(super) fn can_undo(&self) -> Option<&str> {
        self.done.back().map(|step| step.words.as_str())
    }

    /// The words of the step that redo does again.
    pub(super) fn can_redo(&self) -> Option<&str> {
        self.undone.last().map(|step| step.words.as_str())
    }

    /// Every step, done and undone.
    pub(super) fn steps_mut(&mut self) -> impl Iterator<Item = &mut Step<B>> {
        self.done.iter_mut().chain(&mut self.undone)
    }

    /// Whether it differs from what was last saved or opened.
    pub(super) fn is_dirty(&self) -> bool {
        self.saved_at != Some(self.done.len())
    }

    /// Takes note that nothing on the disk is as it ever was here.
    pub(super) fn mark_unsaved(&mut self) {
        self.saved_at = None;
    }

    /// Takes note that it was saved as it stands.
    pub(super) fn mark_saved(&mut self) {
        self.saved_at = Some(self.done.len());
    }
}
