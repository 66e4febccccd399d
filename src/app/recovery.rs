//! What is not saved is kept beside the window, and offered when the next one opens after a crash.

use std::path::{Path, PathBuf};

use egui::{Context, Ui};

use super::bench::Page;
use super::dialogs::{Answer, Dialog, default_button};
use super::files::is_known_drawing;
use super::state::State;
use crate::finding::{Findings, Severity};
use crate::show::read::parse;
use crate::show::recovery::{CopyOf, Keep, Keeper, KeeperNews, LeftCopy};
use crate::show::{ProfileDocument, ProfileSources, Show};

/// A copy is no older than this while edits go on, in seconds.
const EVERY_S: f64 = 2.0;

/// Copies of what is not saved.
#[derive(Debug, Default)]
pub struct Recovery {
    keeper: Option<Keeper>,
    show: Kept,
    profile: Kept,
    /// Copies that were left behind and are still to be spoken of.
    left: Vec<LeftCopy>,
}

/// What was kept last.
#[derive(Clone, Copy, Debug, Default)]
struct Kept {
    /// The state that it was kept in, and whether it was unsaved then.
    mark: (u64, bool),
    /// When a copy was written last, in seconds of the window's own time.
    at_s: Option<f64>,
}

/// What is to be done about a copy.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Due {
    Nothing,
    Keep,
    Drop,
}

impl Kept {
    /// What is due now. Says also in how many seconds it will be, where it is too early.
    fn due(&mut self, mark: (u64, bool), now_s: f64) -> (Due, Option<f64>) {
        if mark == self.mark {
            return (Due::Nothing, None);
        }
        let wait_s = self.at_s.map_or(0.0, |at_s| at_s + EVERY_S - now_s);
        match mark.1 {
            true if wait_s > 0.0 => (Due::Nothing, Some(wait_s)),
            true => {
                (self.mark, self.at_s) = (mark, Some(now_s));
                (Due::Keep, None)
            }
            false => {
                let had = self.mark.1;
                self.mark = mark;
                (if had { Due::Drop } else { Due::Nothing }, None)
            }
        }
    }
}

/// What came of a copy that was left behind.
#[derive(Debug)]
pub struct Recovered {
    left: LeftCopy,
    what: Result<Document, Findings>,
}

#[derive(Debug)]
enum Document {
    Show(Box<Show>),
    Profile(Box<ProfileDocument>),
}

impl Recovered {
    /// Reads a copy; a show finds its profiles in these sources as they are by then.
    pub(super) fn read(left: LeftCopy, mut profiles: ProfileSources) -> Self {
        let (text, path) = (&left.copy.text, left.copy.path.as_deref());
        let what = match left.copy.of {
            CopyOf::Show => {
                profiles.refresh(&is_known_drawing);
                let library = profiles.library();
                parse(text, path, &library, &is_known_drawing, Severity::Warning)
                    .map(|(show, _)| Document::Show(Box::new(show)))
            }
            CopyOf::Profile => ProfileDocument::parse(text, path, &is_known_drawing)
                .map(|(document, _)| Document::Profile(Box::new(document))),
        };
        Self { left, what }
    }
}

impl State {
    /// Keeps copies of what is not saved in a folder from now on, and looks for those left there.
    pub fn keep_copies_in(&mut self, ctx: &Context, folder: PathBuf) {
        let waker = ctx.clone();
        match Keeper::start(folder, move || waker.request_repaint()) {
            Ok(keeper) => self.recovery.keeper = Some(keeper),
            Err(error) => {
                self.say(Severity::Warning, format!("nothing is kept for a crash: {error}"));
            }
        }
    }

    /// Has copies written or dropped as they are due, and speaks of those that were left behind.
    pub(super) fn tend_copies(&mut self, ctx: &Context) {
        let Some(keeper) = &self.recovery.keeper else { return };
        for news in keeper.news() {
            match news {
                KeeperNews::Left(left) => self.recovery.left = left,
                KeeperNews::Failed(finding) => self.say(finding.severity, finding.to_string()),
            }
        }
        if self.dialog.is_none() && !self.recovery.left.is_empty() {
            self.dialog = Some(Dialog::Left(std::mem::take(&mut self.recovery.left)));
        }
        self.keep_show(ctx);
        self.keep_profile(ctx);
    }

    fn keep_show(&mut self, ctx: &Context) {
        // An example of the guide is no show to be kept; the person's own waits behind it.
        let (document, edits) = self.guide.own().unwrap_or((&self.document, self.edits));
        let mark = (edits, document.is_dirty());
        let (due, wait_s) = self.recovery.show.due(mark, ctx.input(|input| input.time));
        wake_in(ctx, wait_s);
        let Some(keeper) = &self.recovery.keeper else { return };
        match due {
            Due::Nothing => {}
            Due::Drop => keeper.drop_copy(CopyOf::Show),
            Due::Keep => keeper.keep(Keep::Show {
                show: Box::new(document.show().clone()),
                path: document.path().map(Path::to_owned),
            }),
        }
    }

    fn keep_profile(&mut self, ctx: &Context) {
        let Some(bench) = &self.bench else { return };
        let mark = (bench.document.revision(), bench.document.is_dirty());
        let (due, wait_s) = self.recovery.profile.due(mark, ctx.input(|input| input.time));
        wake_in(ctx, wait_s);
        let Some(keeper) = &self.recovery.keeper else { return };
        match due {
            Due::Nothing => {}
            Due::Drop => keeper.drop_copy(CopyOf::Profile),
            Due::Keep => keeper.keep(Keep::Profile(Box::new(bench.document.without_steps()))),
        }
    }

    /// Does what was answered about copies that were left behind. Without an answer they stay for the
    /// next time.
    pub(super) fn answer_left(&mut self, ctx: &Context, answer: Answer, left: Vec<LeftCopy>) {
        match answer {
            Answer::Recover => {
                for of in [CopyOf::Show, CopyOf::Profile] {
                    // The newest is the first; others stay for the next time.
                    if let Some(newest) = left.iter().find(|left| left.copy.of == of) {
                        let sources = self.profiles.sources.clone();
                        self.jobs.recover(ctx, newest.clone(), sources);
                    }
                }
            }
            Answer::Discard => {
                if let Some(keeper) = &self.recovery.keeper {
                    keeper.forget(&left);
                }
            }
            _ => {}
        }
    }

    /// Takes in what was kept when the program broke off.
    pub(super) fn recovered(&mut self, ctx: &Context, recovered: Recovered) {
        let Recovered { left, what } = recovered;
        let name = left.copy.name.clone();
        match what {
            Ok(Document::Show(show)) => {
                self.leave_example();
                self.replace(*show, left.copy.path.clone());
                self.document.mark_unsaved();
                self.recovery.show.at_s = None;
                self.keep_show(ctx);
            }
            Ok(Document::Profile(document)) => {
                self.put_on_bench(*document);
                if let Some(bench) = &mut self.bench {
                    bench.document.mark_unsaved();
                }
                self.recovery.profile.at_s = None;
                self.keep_profile(ctx);
                // A show that was recovered with it is what the window opens on.
                if self.page == Page::Stage && !self.document.is_dirty() {
                    self.turn_page();
                }
            }
            Err(Findings(findings)) => {
                let title = format!("The copy of {name} cannot be read");
                self.dialog = Some(Dialog::findings(title, findings));
                return;
            }
        }
        // The old copy goes once there is a new one: what is asked of the keeper is done in order.
        if let Some(keeper) = &self.recovery.keeper {
            keeper.forget(&[left]);
        }
        self.say(Severity::Note, format!("recovered {name}; it is not saved yet"));
    }
}

fn wake_in(ctx: &Context, wait_s: Option<f64>) {
    if let Some(wait_s) = wait_s {
        ctx.request_repaint_after_secs(wait_s as f32);
    }
}

/// Asks what is to become of copies that were left behind.
pub(super) fn left_copies(ui: &mut Ui, left: &[LeftCopy]) -> Option<Answer> {
    ui.set_width(460.0_f32.min(ui.ctx().content_rect().width() - 64.0));
    ui.heading("Recover what was not saved?");
    ui.add_space(4.0);
    ui.label("Slotwright ended before these were saved. A copy of each was kept:");
    ui.add_space(4.0);
    for LeftCopy { copy, written, .. } in left.iter().take(8) {
        let what = match copy.of {
            CopyOf::Show => "show",
            CopyOf::Profile => "profile",
        };
        let age = written.elapsed().map(|age| ago(age.as_secs())).unwrap_or_default();
        ui.label(format!("{what} {}{age}", copy.name));
        let place = match &copy.path {
            Some(path) => path.display().to_string(),
            None => "never saved to a file".to_owned(),
        };
        ui.weak(place);
    }
    if left.len() > 8 {
        ui.weak(format!("and {} more", left.len() - 8));
    }
    ui.add_space(12.0);
    let mut answer = None;
    ui.horizontal(|ui| {
        if default_button(ui, "Recover") {
            answer = Some(Answer::Recover);
        }
        let tip = "Remove the copies; what is in them is lost";
        if ui.button("Throw away").on_hover_text(tip).clicked() {
            answer = Some(Answer::Discard);
        }
        if ui.button("Later").on_hover_text("Ask again next time (Esc)").clicked() {
            answer = Some(Answer::Cancel);
        }
    });
    answer
}

/// How long ago something was, after a comma.
fn ago(seconds: u64) -> String {
    let (count, unit) = match seconds {
        0..60 => return ", less than a minute ago".to_owned(),
        60..3600 => (seconds / 60, "minute"),
        3600..86_400 => (seconds / 3600, "hour"),
        _ => (seconds / 86_400, "day"),
    };
    format!(", {count} {unit}{} ago", if count == 1 { "" } else { "s" })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_copy_is_written_at_once_then_every_two_seconds_and_dropped_with_the_save() {
        let mut kept = Kept::default();
        assert_eq!(kept.due((0, false), 0.0), (Due::Nothing, None));
        assert_eq!(kept.due((1, true), 1.0), (Due::Keep, None));
        assert_eq!(kept.due((1, true), 1.1), (Due::Nothing, None));
        assert_eq!(kept.due((2, true), 1.5), (Due::Nothing, Some(1.5)));
        assert_eq!(kept.due((3, true), 3.0), (Due::Keep, None));
        assert_eq!(kept.due((3, false), 3.1), (Due::Drop, None));
        assert_eq!(kept.due((4, false), 3.2), (Due::Nothing, None), "there is no copy any more");
    }

    #[test]
    fn ages_are_in_words() {
        assert_eq!(ago(59), ", less than a minute ago");
        assert_eq!([ago(60), ago(7300)], [", 1 minute ago", ", 2 hours ago"]);
        assert_eq!(ago(86_400 * 3), ", 3 days ago");
    }
}
