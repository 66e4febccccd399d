//! Files that cannot be read, and saves that cannot be made.

use std::fs;
use std::path::Path;

use slotwright::show::disk::{MOST_BYTES, read_text, write_file};
use slotwright::show::{Document, demo_show, read_show, save_show};

#[track_caller]
fn check_unreadable(path: &Path, expected: &str) {
    let line =
        read_show(path, &|_| true).map(|_| ()).expect_err("it should be refused").to_string();
    let expected = format!("{}: error: {expected}", path.display());
    assert!(line.starts_with(&expected), "{line}\nshould start with\n{expected}");
}

#[test]
fn what_is_no_readable_file_says_what_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let file = |name: &str| folder.path().join(name);
    check_unreadable(
        &file("none.ron"),
        "the file cannot be read: there is no file or folder of this",
    );
    check_unreadable(folder.path(), "this is a folder, not a file");
    fs::write(file("empty.ron"), "").unwrap();
    check_unreadable(&file("empty.ron"), "the file is empty");
    fs::write(file("inside.ron"), "x").unwrap();
    check_unreadable(&file("inside.ron/deeper.ron"), "the file cannot be read: ");
    // 200 MB of zeros, which take no room on most disks.
    let zeros = fs::File::create(file("zeros.ron")).unwrap();
    zeros.set_len(200 << 20).unwrap();
    check_unreadable(&file("zeros.ron"), "the file is too large: 200 MB; at most 64 MB are read");
    zeros.set_len(MOST_BYTES + 1).unwrap();
    check_unreadable(&file("zeros.ron"), "the file is too large");
    fs::write(file("latin.ron"), b"(name: \"caf\xe9\")").unwrap();
    let finding = read_text(&file("latin.ron")).unwrap_err();
    assert_eq!(finding.place.text.map(|at| (at.line, at.column)), Some((1, 12)));
}

#[cfg(unix)]
#[test]
fn a_device_that_never_ends_is_not_opened() {
    check_unreadable(Path::new("/dev/zero"), "this is no ordinary file");
}

#[cfg(unix)]
#[test]
fn a_file_without_read_permission_is_refused_unless_one_is_allowed_everything() {
    use std::os::unix::fs::PermissionsExt as _;

    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("closed.ron");
    fs::write(&path, "(format: 1, name: \"x\")").unwrap();
    fs::set_permissions(&path, fs::Permissions::from_mode(0o000)).unwrap();
    if fs::read(&path).is_err() {
        check_unreadable(&path, "the file cannot be read: permission is denied");
    }
}

#[test]
fn a_show_saved_reads_back_to_itself() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("show.ron");
    let show = demo_show(&|_| true).unwrap();
    fs::write(&path, "old").unwrap();
    save_show(&path, &show).unwrap();
    assert_eq!(read_show(&path, &|_| true).unwrap().0, show);
    let names: Vec<_> =
        fs::read_dir(folder.path()).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert_eq!(names, ["show.ron"], "nothing is left beside it");
}

#[test]
fn a_failed_save_says_so_and_changes_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let show = demo_show(&|_| true).unwrap();
    let missing = folder.path().join("none/show.ron");
    let line = save_show(&missing, &show).unwrap_err().to_string();
    assert!(
        line.contains("there is no file or folder of this name; nothing was changed"),
        "{line}"
    );
    let taken = folder.path().join("taken");
    fs::create_dir(&taken).unwrap();
    let line = save_show(&taken, &show).unwrap_err().to_string();
    assert!(line.contains("no file; nothing was changed"), "{line}");
    let left: Vec<_> =
        fs::read_dir(folder.path()).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert_eq!(left, ["taken"]);
    let mut document = Document::new(show, None);
    assert!(document.save(&missing).is_err());
    assert_eq!(document.path(), None);
}

#[cfg(unix)]
#[test]
fn permissions_and_links_are_kept() {
    use std::os::unix::fs::{PermissionsExt as _, symlink};

    let folder = tempfile::tempdir().unwrap();
    let (path, link) = (folder.path().join("real.ron"), folder.path().join("link.ron"));
    fs::write(&path, "old").unwrap();
    fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
    symlink(&path, &link).unwrap();
    write_file(&link, "new".as_bytes()).unwrap();
    assert_eq!(fs::read_to_string(&path).unwrap(), "new");
    assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
    assert_eq!(fs::metadata(&path).unwrap().permissions().mode() & 0o777, 0o640);
}

#[test]
fn a_show_saved_elsewhere_still_finds_its_profiles() {
    let folder = tempfile::tempdir().unwrap();
    let (old, new) = (folder.path().join("a"), folder.path().join("b/c"));
    fs::create_dir_all(&old).unwrap();
    fs::create_dir_all(&new).unwrap();
    fs::write(
        old.join("own.ron"),
        "(maker: \"Own\", model: \"Lamp\", head: Fixed, source: White(flux_lm: 1, cct_k: 3000), \
         optics: (beam_deg: 1, field_deg: 2), modes: [(name: \"m\", slots: 1, channels: [])])",
    )
    .unwrap();
    let path = old.join("show.ron");
    fs::write(
        &path,
        "(format: 1, name: \"x\", profile_files: [\"own.ron\"], fixtures: [(id: 1, profile: \
         \"Own Lamp\", mode: \"m\", at: (0, 0, 1))])",
    )
    .unwrap();
    let (show, _) = read_show(&path, &|_| true).unwrap();
    let mut document = Document::new(show, Some(path));
    let path = new.join("show.ron");
    document.save(&path).unwrap();
    assert_eq!(document.show().profile_files, ["../../a/own.ron"]);
    assert_eq!(&read_show(&path, &|_| true).unwrap().0, document.show());
}
