//! Where the window finds profiles, and what it does when their files change.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use egui::Context;

use super::dialogs::Dialog;
use super::files::is_known_drawing;
use super::state::{Exposure, State};
use crate::finding::{Finding, Place, Severity, one_line};
use crate::profile::{Library, Profile};
use crate::show::{Edit, ProfileSources, ProfileWatch, Show};

/// Every profile that a fixture can have: those of the show come before those of the user's folder and
/// of the program.
pub(in crate::app) fn choices(show: &Show, library: &Library) -> BTreeMap<String, Arc<Profile>> {
    let library = library.profiles().map(|p| (p.key().0, p.clone()));
    let own = show.profiles.iter().map(|(key, profile)| (key.clone(), profile.clone()));
    library.chain(own).collect()
}

/// The profile files, as they were read last.
#[derive(Default)]
pub struct Profiles {
    /// The user's folder and the open show's own files.
    pub sources: ProfileSources,
    /// Why the open show could not take some of them.
    refused: Vec<Finding>,
    watch: Option<ProfileWatch>,
}

impl State {
    /// Reads these sources beside the window and follows their changes from now on.
    pub fn watch_profiles(&mut self, ctx: &Context, sources: ProfileSources) {
        let waker = ctx.clone();
        let started =
            ProfileWatch::start(sources, is_known_drawing, move || waker.request_repaint());
        match started {
            Ok(watch) => {
                self.profiles.watch = Some(watch);
                self.use_profiles();
            }
            Err(error) => self.say(Severity::Warning, format!("profiles are not watched: {error}")),
        }
    }

    /// Lets the open show use the profiles there are, and has its own files watched.
    pub(super) fn use_profiles(&mut self) {
        self.document.set_library(Arc::new(self.profiles.sources.library()));
        self.profiles.refused.clear();
        if let Some(watch) = &self.profiles.watch {
            watch.set_own(self.document.own_profile_paths());
        }
    }

    /// Takes in what the watch has read, if it has read anything.
    pub(super) fn take_news_of_profiles(&mut self) {
        if let Some(news) = self.profiles.watch.as_ref().and_then(ProfileWatch::news) {
            self.take_profiles(news);
        }
    }

    /// Takes profiles in as they are on the disk now. Fixtures keep their levels, and what cannot be
    /// used leaves them as they were.
    pub fn take_profiles(&mut self, sources: ProfileSources) {
        let errors_before = errors(&self.profiles.sources.findings());
        self.profiles.sources = sources;
        let sources = &self.profiles.sources;
        let (library, own) = (Arc::new(sources.library()), sources.own());
        if sources.own_paths() != self.document.own_profile_paths() {
            // This was read for another show: what was read for this one is under way.
            self.document.set_library(library);
            return;
        }
        let reloaded = self.document.take_profiles(library, &own);
        if !reloaded.changed.is_empty() {
            self.work_out(Exposure::Held);
        }
        let errors = errors(&self.profiles.sources.findings());
        let fresh = errors.iter().find(|error| !errors_before.contains(error));
        let refused = reloaded.findings.iter().find(|it| !self.profiles.refused.contains(it));
        if let Some(finding) = fresh.or(refused) {
            // What would be right can be long: there is room for it in the dialog.
            let short = Finding { mend: "Help > Profiles says more".to_owned(), ..finding.clone() };
            let words = short.to_string();
            self.say(finding.severity, words);
        } else if !reloaded.changed.is_empty() {
            let names = one_line(&reloaded.changed.join(", ")).into_owned();
            self.say(Severity::Note, format!("read again: {names}"));
        } else if errors.is_empty() && !errors_before.is_empty() {
            self.say(Severity::Note, "the profile file is mended");
        }
        self.profiles.refused = reloaded.findings;
    }

    /// Lets the open show have a profile that was just saved to a file, where it uses one of this name.
    /// From a file that it reads anyway, this is no edit; any other becomes a file of its own. Says what
    /// came of it, unless the show does not use it.
    pub(super) fn take_saved_profile(
        &mut self,
        path: &Path,
        profile: &Arc<Profile>,
    ) -> Option<Result<(), Finding>> {
        let key = profile.key().0;
        match self.show().profiles.get(&key) {
            Some(before) if before == profile => return None,
            None if self.show().rig.iter().all(|fixture| fixture.profile != key) => return None,
            _ => {}
        }
        let sources = &self.profiles.sources;
        let whole = |path: &Path| path.canonicalize().unwrap_or_else(|_| path.to_owned());
        let file = whole(path);
        let is_own = self.document.own_profile_paths().iter().any(|own| whole(own) == file);
        let in_folder = sources.folder().is_some_and(|folder| file.starts_with(whole(folder)));
        let (mut library, mut own) = (sources.library(), sources.own());
        if !is_own && (!in_folder || own.contains_key(&key)) {
            let file = self.document.name_of(path);
            let profile = Box::new(Profile::clone(profile));
            return match self.document.apply(Edit::TakeProfile { profile, file }, None) {
                Ok(_) => {
                    self.edits += 1;
                    self.use_profiles();
                    self.work_out(Exposure::Held);
                    Some(Ok(()))
                }
                Err(finding) => Some(Err(finding)),
            };
        }
        if is_own {
            own.insert(key, profile.clone());
        } else {
            library.lay_over(path, profile.clone());
        }
        let reloaded = self.document.take_profiles(Arc::new(library), &own);
        self.work_out(Exposure::Held);
        let key = profile.key().0;
        match self.show().profiles.get(&key) == Some(profile) {
            true => Some(Ok(())),
            false => reloaded.findings.into_iter().next().map(Err),
        }
    }

    /// Opens the dialog that says where profiles are found and what is wrong with their files.
    pub(super) fn show_profiles(&mut self) {
        let sources = &self.profiles.sources;
        let count = self.document.library().names().count();
        let place = match sources.folder() {
            Some(folder) => format!("Your own are looked for in {}", folder.display()),
            None => "No folder of your own is looked into".to_owned(),
        };
        let order = "a show's own files come first, then your folder, then those of the program";
        let what = format!("{count} profiles can be used; {order}");
        let mut findings = vec![Finding::note(Place::default(), what, place)];
        findings.extend(self.profiles.refused.iter().cloned());
        findings.extend(sources.findings());
        self.dialog = Some(Dialog::findings("Profiles", findings));
    }
}

fn errors(findings: &[Finding]) -> Vec<Finding> {
    findings.iter().filter(|finding| finding.severity == Severity::Error).cloned().collect()
}
