//! The guide in the window: a page beside the stage, and its examples on it.

mod blocks;
mod links;
mod panel;
mod stand;

use std::collections::BTreeMap;

use super::canvas::Canvas;
use super::state::State;
use crate::paper::guide::Guide;
use crate::show::Document;

pub(super) use links::{channel_mark, guide_mark};
pub(super) use panel::{back_button, guide_panel};
use stand::Parked;

/// A place of the guide.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Here {
    /// The page, as a place among the pages; `None` is the list of them.
    pub page: Option<usize>,
    /// The heading, if not the top.
    pub heading: Option<String>,
}

/// What is asked of the guide.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum GuideAsk {
    /// Show the list of pages.
    Contents,
    /// Show a page, by its name, at a heading or at its top.
    Show {
        /// The page.
        page: String,
        /// The heading.
        heading: Option<String>,
    },
    /// Go to where one was before.
    Back,
    /// Go on to where one was before going back.
    Forward,
    /// Put an example on the stage, in a state that the page speaks of.
    Stand {
        /// The page, as a place among the pages.
        page: usize,
        /// The state, as a place among the page's moments.
        moment: usize,
        /// Whatever was changed in the example is forgotten.
        anew: bool,
    },
    /// Put the person's own show back on the stage.
    Leave,
}

/// The guide as the window has it.
#[derive(Default)]
pub struct GuideState {
    /// It is shown.
    pub open: bool,
    /// What it shows.
    pub here: Here,
    /// What is searched for.
    pub search: String,
    /// The example on the stage: the page and the state, as places.
    pub standing: Option<(usize, usize)>,
    /// Where one was before, the last one last.
    back: Vec<Here>,
    /// Where one was before going back, the next one last.
    forward: Vec<Here>,
    /// The page is still to be scrolled to its place.
    scroll: bool,
    /// The person's own show, while an example is on the stage.
    parked: Option<Box<Parked>>,
    /// Examples that were changed and left, by the name of their show.
    left: BTreeMap<String, Document>,
    /// Paints the drawings.
    canvas: Canvas,
}

/// The most places that are kept to go back to.
const MOST_BACK: usize = 100;

impl GuideState {
    /// The person's own show while an example is on the stage: the document, and how many edits the window
    /// had made when it was put aside.
    pub(super) fn own(&self) -> Option<(&Document, u64)> {
        self.parked.as_ref().map(|parked| parked.own())
    }

    fn go(&mut self, there: Here) {
        if there != self.here {
            let before = std::mem::replace(&mut self.here, there);
            self.back.push(before);
            if self.back.len() > MOST_BACK {
                self.back.remove(0);
            }
            self.forward.clear();
        }
        self.show_anew();
    }

    fn show_anew(&mut self) {
        self.open = true;
        self.scroll = true;
        self.search.clear();
    }

    /// One step back or on again, if there was one.
    fn turn(&mut self, back: bool) {
        let (from, to) = match back {
            true => (&mut self.back, &mut self.forward),
            false => (&mut self.forward, &mut self.back),
        };
        if let Some(there) = from.pop() {
            to.push(std::mem::replace(&mut self.here, there));
            self.show_anew();
        }
    }
}

impl State {
    /// Shows the guide, in place of the drills, or hides it. An example that is on the stage stays there.
    pub(super) fn toggle_guide(&mut self) {
        self.guide.open = !self.guide.open;
        self.drills.open &= !self.guide.open;
    }

    /// Does what is asked of the guide.
    pub(super) fn act_on_guide(&mut self, ask: GuideAsk) {
        match ask {
            GuideAsk::Contents => self.guide.go(Here::default()),
            GuideAsk::Show { page, heading } => {
                let page = Guide::embedded().place(&page);
                self.guide.go(Here { page, heading });
            }
            GuideAsk::Back => self.guide.turn(true),
            GuideAsk::Forward => self.guide.turn(false),
            GuideAsk::Stand { page, moment, anew } => self.stand_example(page, moment, anew),
            GuideAsk::Leave => self.leave_example(),
        }
        self.drills.open &= !self.guide.open;
    }
}
