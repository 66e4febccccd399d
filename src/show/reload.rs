//! Profiles that change on the disk while a show is open.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::check_show::Check;
use super::document::Document;
use super::edit::{all_fit, refuse};
use super::own_profiles::Shelf;
use crate::finding::{Finding, Place};
use crate::profile::{Library, Profile};

/// What came of taking in profiles.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Reloaded {
    /// The profiles of the show that are others now, by name.
    pub changed: Vec<String>,
    /// Why others stayed as they were.
    pub findings: Vec<Finding>,
}

impl Document {
    /// Lets fixtures that come in find their profiles in this library.
    pub fn set_library(&mut self, library: Arc<Library>) {
        self.library = library;
    }

    /// Where fixtures that come in find their profiles.
    pub fn library(&self) -> &Library {
        &self.library
    }

    /// The profile files that the show names, as seen from here. While it has no file itself, those are
    /// none but the ones named by their whole path.
    pub fn own_profile_paths(&self) -> Vec<PathBuf> {
        let files = self.show().profile_files.iter();
        match self.path().map(|path| path.parent().unwrap_or(Path::new(""))) {
            Some(folder) => files.map(|file| folder.join(file)).collect(),
            None => files.map(PathBuf::from).filter(|file| file.is_absolute()).collect(),
        }
    }

    /// Puts profiles as they are on the disk now in the place of those the show has: `own` are those
    /// of its own files. This is no edit: it cannot be undone, and leaves saved what is saved. A
    /// profile that some fixture cannot have stays as it was, with a finding. One that was not to be had
    /// until now makes the fixtures whole that name it.
    pub fn take_profiles(
        &mut self,
        library: Arc<Library>,
        own: &BTreeMap<String, Arc<Profile>>,
    ) -> Reloaded {
        self.library = library;
        let library = self.library.clone();
        let shelf = Shelf { own, library: &library };
        let mut reloaded = Reloaded::default();
        let mut names: Vec<String> = self.show.profiles.keys().cloned().collect();
        names.extend(own.keys().cloned());
        names.extend(self.show.rig.iter().map(|fixture| fixture.profile.clone()));
        names.sort_unstable();
        names.dedup();
        for name in names {
            match (shelf.get(&name), self.show.profiles.get(&name)) {
                (Some(now), Some(before)) if now == *before => {}
                (Some(now), _) => match self.can_have(&name, &now) {
                    Ok(()) => {
                        self.show.profiles.insert(name.clone(), now);
                        reloaded.changed.push(name);
                    }
                    Err(finding) => reloaded.findings.push(finding),
                },
                (None, Some(_)) if self.show.rig.iter().any(|fixture| fixture.profile == name) => {
                    let what = format!("no file holds the profile `{name}` any more");
                    let mend = "its fixtures keep it until the show is closed: put the file back";
                    reloaded.findings.push(Finding::warning(Place::default(), what, mend));
                }
                (None, _) => {}
            }
        }
        // Undoing and redoing must not bring back what the files no longer hold.
        for step in self.history.steps_mut() {
            for change in &mut step.back {
                change.renew(|name| shelf.get(name));
            }
        }
        if !reloaded.changed.is_empty() {
            self.revision += 1;
            self.rig_revision += 1;
        }
        reloaded
    }

    /// Whether every fixture of a profile can have it as it is now.
    fn can_have(&self, name: &str, now: &Profile) -> Result<(), Finding> {
        let mut check = Check::default();
        all_fit(&self.show, name, now, &mut check);
        refuse(&check).map_err(|finding| {
            let mend = format!("{}; `{name}` stays as it was until then", finding.mend);
            Finding { mend: mend.trim_start_matches("; ").to_owned(), ..finding }
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::profile::parse_profile;
    use crate::show::profile_sources::tests::head;
    use crate::show::{Edit, parse_show};

    const SHOW: &str = r#"(
      format: 1, name: "Test",
      fixtures: [(id: 1, profile: "Tarnfell S1 Spot", mode: "compact", universe: 1, slot: 1, at: (0, 0, 5))],
    )"#;

    fn ember(level: u8) -> Arc<Profile> {
        Arc::new(parse_profile(&head("Ember", level), None, &|_| true).unwrap().0)
    }

    fn library(profile: &Arc<Profile>) -> Arc<Library> {
        let mut library = Library::embedded().clone();
        library.lay_over(Path::new("ember.ron"), profile.clone());
        Arc::new(library)
    }

    /// The show with one fixture more, of a profile that only the user's folder has.
    fn document() -> Document {
        let mut document = Document::new(parse_show(SHOW, None, &|_| true).unwrap().0, None);
        document.set_library(library(&ember(100)));
        let mut fixture = document.show().rig[0].clone();
        (fixture.id, fixture.address) = (2, None);
        (fixture.profile, fixture.mode) = ("Wold Ember".to_owned(), "one".to_owned());
        document.apply(Edit::AddFixture(Box::new(fixture)), None).unwrap();
        document
    }

    #[test]
    fn a_profile_that_changed_is_taken_and_undo_does_not_bring_the_old_one_back() {
        let mut document = document();
        let before = document.rig_revision();
        assert_eq!(
            document.take_profiles(library(&ember(100)), &BTreeMap::new()),
            Reloaded::default(),
            "nothing is new"
        );
        document.undo();
        let now = ember(50);
        let reloaded = document.take_profiles(library(&now), &BTreeMap::new());
        // The profile went with the fixture; what comes back with it is the new one.
        assert_eq!(reloaded, Reloaded::default());
        document.redo();
        assert_eq!(document.show().profiles["Wold Ember"], now);
        let reloaded = document.take_profiles(library(&ember(20)), &BTreeMap::new());
        assert_eq!(reloaded.changed, ["Wold Ember"]);
        assert!(document.is_dirty(), "the fixture that was added is still not saved");
        assert!(document.rig_revision() > before);
    }

    #[test]
    fn a_show_without_its_profiles_keeps_all_of_them_and_is_whole_when_they_come() {
        let text = r#"(format: 1, name: "Test", profile_files: ["gone.ron"],
          fixtures: [
            (id: 1, label: "A", profile: "Wold Ember", mode: "one", universe: 1, slot: 7, at: (1, 2, 5)),
            (id: 2, profile: "Wold Ember", mode: "none", universe: 1, slot: 9, at: (0, 0, 5)),
          ],
          looks: [(name: "On", universes: {1: [(at: 7, values: [200])]})],
          lists: [(name: "Main", cues: [(number: 1, set: [(fixtures: [1], values: {"Dimmer": "50 %"})])])],
        )"#;
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("show.ron");
        let (show, said) = parse_show(text, Some(&path), &|_| true).unwrap();
        let said: Vec<String> = said.iter().map(|finding| finding.what.clone()).collect();
        assert!(said.iter().any(|what| what == "there is no profile `Wold Ember`"), "{said:?}");
        // Saved and read again it is the same show.
        let written = crate::show::to_ron(&show);
        assert_eq!(parse_show(&written, Some(&path), &|_| true).unwrap().0, show, "{written}");
        assert!(written.contains("gone.ron") && written.contains("50 %"), "{written}");
        // Its fixtures can be worked with: moved, copied, taken out and brought back.
        let mut document = Document::new(show.clone(), Some(path));
        let mut fixture = show.rig[0].clone();
        fixture.at.x = 3.0;
        document
            .apply(Edit::SetFixture { index: 0, fixture: Box::new(fixture.clone()) }, None)
            .unwrap();
        (fixture.id, fixture.address) = (3, None);
        document.apply(Edit::AddFixture(Box::new(fixture.clone())), None).unwrap();
        document.apply(Edit::RemoveFixture(0), None).unwrap();
        fixture.mode = "other".to_owned();
        fixture.id = 4;
        let refused = document.apply(Edit::AddFixture(Box::new(fixture)), None).unwrap_err();
        assert!(refused.what.contains("there is no profile"), "{refused}");
        while document.undo().is_some() {}
        assert_eq!(document.show(), &show);
        // The profile turns up in the user's folder: the head is whole, and one in a mode it has not is
        // as it was.
        let reloaded = document.take_profiles(library(&ember(100)), &BTreeMap::new());
        assert_eq!((reloaded.changed, reloaded.findings), (vec!["Wold Ember".to_owned()], vec![]));
        let plan = crate::decode::Plan::new(&document.show().rig, &document.show().profiles);
        let known: Vec<bool> =
            plan.fixtures().iter().map(|fixture| fixture.mode.is_some()).collect();
        assert_eq!(known, [true, false]);
        assert!(!document.is_dirty(), "nothing of the show is another");
    }

    #[test]
    fn a_profile_without_a_mode_that_is_in_use_stays_as_it_was() {
        let mut document = document();
        let mut other = (*ember(50)).clone();
        other.modes[0].name = "two".to_owned();
        let reloaded = document.take_profiles(library(&Arc::new(other)), &BTreeMap::new());
        assert_eq!(reloaded.changed, [] as [String; 0]);
        let said = reloaded.findings[0].to_string();
        assert!(said.contains("`Wold Ember` has no mode `one`"), "{said}");
        assert!(said.contains("stays as it was"), "{said}");
        assert_eq!(document.show().profiles["Wold Ember"], ember(100));
    }

    #[test]
    fn the_shows_own_file_comes_before_the_folder_and_a_profile_that_is_gone_is_kept() {
        let mut document = document();
        let own = BTreeMap::from([("Wold Ember".to_owned(), ember(20))]);
        document.take_profiles(library(&ember(50)), &own);
        assert_eq!(document.show().profiles["Wold Ember"], ember(20));
        let gone = Arc::new(Library::embedded().clone());
        let reloaded = document.take_profiles(gone, &BTreeMap::new());
        assert!(reloaded.findings[0].what.contains("no file holds the profile `Wold Ember`"));
        assert_eq!(document.show().profiles["Wold Ember"], ember(20));
    }
}
