//! What the form for probing a head does: its notes in a file, steps back, and the draft profile.

use std::path::{Path, PathBuf};

use egui::Context;

use super::dialogs::Dialog;
use super::files::{Done, typed_path};
use super::probe::ProbeAsk;
use super::state::State;
use crate::finding::{Finding, Findings, Severity};
use crate::profile::probe::{Probe, Seen, Step, draft, parse_notes, write_notes};
use crate::show::disk::{read_text, write_file};

impl State {
    /// Opens or closes the form.
    pub(super) fn toggle_probe(&mut self) {
        self.probe.open = !self.probe.open;
    }

    /// Does what the form asks for.
    pub(super) fn act_on_probe(&mut self, ctx: &Context, ask: ProbeAsk) {
        match ask {
            ProbeAsk::Start => self.start_probe(ctx),
            ProbeAsk::Note(seen) => self.note_in_probe(ctx, seen),
            ProbeAsk::Skip => self.change_probe(ctx, |probe, step| {
                probe.note(step, Seen::NotLooked, None);
            }),
            ProbeAsk::SkipSlot => self.change_probe(ctx, Probe::skip_slot),
            ProbeAsk::Back => {
                if let Some((probe, _)) = &mut self.probe.running {
                    probe.notes.pop();
                }
                self.probe.find_step();
                self.save_notes(ctx);
            }
            ProbeAsk::SaveDraft => self.save_draft(ctx),
            ProbeAsk::Another => {
                (self.probe.running, self.probe.step, self.probe.fresh) = (None, None, None);
            }
        }
    }

    fn change_probe(&mut self, ctx: &Context, change: impl FnOnce(&mut Probe, &Step)) {
        let form = &mut self.probe;
        if let (Some((probe, _)), Some(step)) = (&mut form.running, &form.step) {
            change(probe, step);
            form.own_words.clear();
            form.measured.clear();
            form.find_step();
            self.save_notes(ctx);
        }
    }

    fn note_in_probe(&mut self, ctx: &Context, seen: Seen) {
        let measured = match measured(&self.probe.measured) {
            Ok(measured) => measured.filter(|_| seen.unit().is_some()),
            Err(why) => return self.say(Severity::Error, why),
        };
        self.change_probe(ctx, |probe, step| probe.note(step, seen, measured));
    }

    fn start_probe(&mut self, ctx: &Context) {
        let fresh = self.probe.fresh.clone().unwrap_or_default();
        let Some(mut path) = typed_path(&fresh.file(self.profiles.sources.folder())) else {
            return self.say(Severity::Error, "the notes need a file");
        };
        if path.extension().is_none() {
            path.set_extension("csv");
        }
        let probe = Probe {
            standing: fresh.standing,
            ..Probe::new(fresh.maker.trim(), fresh.model.trim(), fresh.slots)
        };
        self.jobs.work(ctx, format!("Opening {}", path.display()), move || {
            let result = open_notes(&path, probe).map(|(probe, said)| (Box::new(probe), said));
            Done::NotesOpened { path, result }
        });
    }

    /// Takes in notes that were opened, or begun.
    pub(super) fn notes_opened(
        &mut self,
        path: PathBuf,
        result: Result<(Box<Probe>, Vec<Finding>), Findings>,
    ) {
        match result {
            Ok((probe, said)) => {
                if !probe.notes.is_empty() {
                    let words = format!("going on with {} notes", probe.notes.len());
                    self.say(Severity::Note, words);
                }
                self.probe.running = Some((*probe, path));
                self.probe.find_step();
                if !said.is_empty() {
                    self.dialog = Some(Dialog::findings("Opened, with something to say", said));
                }
            }
            Err(Findings(findings)) => {
                self.dialog = Some(Dialog::findings("The notes cannot be opened", findings));
            }
        }
    }

    /// Writes the notes, one writing at a time, so that an older one never comes last.
    fn save_notes(&mut self, ctx: &Context) {
        let form = &mut self.probe;
        let Some((probe, path)) = &form.running else { return };
        if std::mem::replace(&mut form.saving, true) {
            form.newer = true;
            return;
        }
        let (text, path) = (write_notes(probe), path.clone());
        self.jobs.work(ctx, format!("Writing {}", path.display()), move || {
            Done::NotesSaved(write_file(&path, text.as_bytes()))
        });
    }

    /// Takes note that the notes were written, or not.
    pub(super) fn notes_saved(&mut self, ctx: &Context, result: Result<(), Finding>) {
        self.probe.saving = false;
        if let Err(finding) = result {
            self.say(Severity::Error, finding.to_string());
        }
        if std::mem::take(&mut self.probe.newer) {
            self.save_notes(ctx);
        }
    }

    fn save_draft(&mut self, ctx: &Context) {
        let Some((probe, path)) = &self.probe.running else { return };
        let (draft, notes) = (draft(probe), path.clone());
        self.jobs.work(ctx, "Writing the draft profile".to_owned(), move || {
            let path = draft_path(&notes);
            let result = write_file(&path, draft.to_ron().as_bytes());
            Done::Exported { path, result }
        });
    }
}

/// The notes in a file; where there is none, it is begun with this head.
fn open_notes(path: &Path, fresh: Probe) -> Result<(Probe, Vec<Finding>), Findings> {
    if path.exists() {
        return parse_notes(&read_text(path)?, Some(path));
    }
    if let Some(folder) = path.parent().filter(|folder| !folder.as_os_str().is_empty()) {
        // Where it cannot be made, writing says so better.
        let _ = std::fs::create_dir_all(folder);
    }
    write_file(path, write_notes(&fresh).as_bytes())?;
    Ok((fresh, Vec::new()))
}

/// Where a draft goes: beside its notes, over an older draft and over nothing else.
fn draft_path(notes: &Path) -> PathBuf {
    let may_go = |path: &PathBuf| {
        !path.exists() || read_text(path).is_ok_and(|text| text.starts_with("// A draft"))
    };
    let stem = notes.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    let plain = notes.with_extension("ron");
    let mut others = (2..100).map(|n| notes.with_file_name(format!("{stem}-{n}.ron")));
    if may_go(&plain) { plain } else { others.find(may_go).unwrap_or(plain) }
}

/// One number, or the first and the last like `1..12`; nothing where nothing is typed.
fn measured(text: &str) -> Result<Option<(f64, f64)>, String> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    let number = |text: &str| text.trim().parse::<f64>().ok().filter(|number| number.is_finite());
    let (a, b) = text.split_once("..").unwrap_or((text, text));
    match (number(a), number(b)) {
        (Some(a), Some(b)) => Ok(Some((a, b))),
        _ => Err(format!("`{}` is no measurement: write a number, or 1..12", text.escape_debug())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_draft_goes_over_an_older_draft_and_over_nothing_else() {
        let folder = tempfile::tempdir().unwrap();
        let notes = folder.path().join("a.csv");
        let plain = folder.path().join("a.ron");
        assert_eq!(draft_path(&notes), plain);
        std::fs::write(&plain, "// A draft, made").unwrap();
        assert_eq!(draft_path(&notes), plain);
        std::fs::write(&plain, "(maker: \"mine\")").unwrap();
        assert_eq!(draft_path(&notes), folder.path().join("a-2.ron"));
    }

    #[test]
    fn a_measurement_is_one_number_or_two() {
        assert_eq!(measured(" "), Ok(None));
        assert_eq!(measured("5"), Ok(Some((5.0, 5.0))));
        assert_eq!(measured("1 .. 12.5"), Ok(Some((1.0, 12.5))));
        for text in ["x", "1..", "NaN", "1..inf"] {
            assert!(measured(text).is_err(), "{text}");
        }
    }
}
