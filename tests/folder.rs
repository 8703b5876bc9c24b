//! The output folder: whole or not at all, and never over anything of the maker's.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use flapwright::cli::folder::{FolderError, write_whole};
use flapwright::comp::Kerfs;
use flapwright::units::{Unit, mm};
use flapwright::write::manifest::{FitFigures, Of, OfBox, PiecesIn, manifest};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// A folder of this test's own, removed with it.
struct Scratch(PathBuf);

impl Scratch {
    fn new(name: &str) -> Self {
        let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("folder-{name}"));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    /// Everything in it, temporary folders too.
    fn names(&self) -> Vec<String> {
        names(&self.0)
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn names(dir: &Path) -> Vec<String> {
    let mut names: Vec<String> =
        fs::read_dir(dir).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

/// Files of an export with its manifest.
fn export(version: &str) -> Vec<(String, Vec<u8>)> {
    let none = flapwright::units::Length::ZERO;
    let fit = FitFigures {
        interior: [none; 3],
        exterior: [none; 3],
        joint: none,
        step: none,
        walls: BTreeMap::new(),
        play: BTreeMap::new(),
        joint_thickness: mm(3.0),
        depths: [mm(12.0); 3],
        closing: None,
        bare_mm2: 0.0,
        dressed: None,
        strap_length: None,
        ties: Vec::new(),
        magnets: Vec::new(),
        inside: None,
        case: None,
    };
    let mut files = vec![
        ("board-1.dxf".to_owned(), version.as_bytes().to_vec()),
        (format!("only-{version}.csv"), b"stock\r\n".to_vec()),
    ];
    let of = Of {
        title: "Tideline folio",
        unit: Unit::Mm,
        kerf: Kerfs::default(),
        has_edge: true,
        first_copy: 1,
        registers: &[],
        named_by_job: &[],
        pieces: PiecesIn::Here,
        left_out: &[],
    };
    let of_box = OfBox { fit, work: None };
    let listed = manifest(&of, Some(&of_box), &[], &[], &[], &files).unwrap();
    files.push(("manifest.json".into(), listed));
    files
}

#[test]
fn a_new_folder_holds_the_files_and_nothing_else_is_left() {
    let scratch = Scratch::new("new");
    let dir = scratch.0.join("tideline");
    write_whole(&dir, &export("one")).unwrap();
    assert_eq!(names(&dir), ["board-1.dxf", "manifest.json", "only-one.csv"]);
    assert_eq!(fs::read(dir.join("board-1.dxf")).unwrap(), b"one");
    assert_eq!(scratch.names(), ["tideline"]);
}

#[test]
fn a_folder_of_ours_is_replaced_whole() {
    let scratch = Scratch::new("replaced");
    let dir = scratch.0.join("tideline");
    write_whole(&dir, &export("one")).unwrap();
    write_whole(&dir, &export("two")).unwrap();
    assert_eq!(names(&dir), ["board-1.dxf", "manifest.json", "only-two.csv"], "nothing of the first is left");
    assert_eq!(fs::read(dir.join("board-1.dxf")).unwrap(), b"two");
    assert_eq!(scratch.names(), ["tideline"]);
}

#[test]
fn an_empty_folder_is_taken() {
    let scratch = Scratch::new("empty");
    let dir = scratch.0.join("tideline");
    fs::create_dir(&dir).unwrap();
    write_whole(&dir, &export("one")).unwrap();
    assert_eq!(names(&dir).len(), 3);
    assert_eq!(scratch.names(), ["tideline"]);
}

#[test]
fn what_is_not_ours_is_left_untouched() {
    let scratch = Scratch::new("foreign");
    let dir = scratch.0.join("photos");
    fs::create_dir(&dir).unwrap();
    fs::write(dir.join("kelp.png"), b"kelp").unwrap();
    assert!(matches!(write_whole(&dir, &export("one")), Err(FolderError::NotOurs(_))));
    // Some other program's manifest.json does not make it ours.
    for text in ["{}", "[1]", "{\"format\": 1, \"files\": []}", "not json"] {
        fs::write(dir.join("manifest.json"), text).unwrap();
        assert!(matches!(write_whole(&dir, &export("one")), Err(FolderError::NotOurs(_))), "{text}");
    }
    assert_eq!(names(&dir), ["kelp.png", "manifest.json"]);
    assert_eq!(fs::read(dir.join("kelp.png")).unwrap(), b"kelp");
    assert_eq!(scratch.names(), ["photos"]);
}

#[test]
fn a_file_or_folder_of_the_makers_in_ours_stops_it() {
    let scratch = Scratch::new("notes");
    let dir = scratch.0.join("tideline");
    write_whole(&dir, &export("one")).unwrap();
    fs::write(dir.join("notes.txt"), b"left lid 1 mm tight").unwrap();
    let error = write_whole(&dir, &export("two")).unwrap_err();
    assert!(matches!(&error, FolderError::Foreign { entry, .. } if entry == Path::new("notes.txt")));
    assert!(error.to_string().contains("notes.txt") && error.to_string().contains("tideline"), "{error}");
    assert_eq!(fs::read(dir.join("board-1.dxf")).unwrap(), b"one", "the old files stay");
    fs::remove_file(dir.join("notes.txt")).unwrap();
    // A folder that took the name of a listed file is not that file.
    fs::remove_file(dir.join("board-1.dxf")).unwrap();
    fs::create_dir(dir.join("board-1.dxf")).unwrap();
    assert!(matches!(write_whole(&dir, &export("two")), Err(FolderError::Foreign { .. })));
    assert_eq!(scratch.names(), ["tideline"]);
}

#[test]
fn a_file_of_that_name_and_paths_without_a_name_are_refused() {
    let scratch = Scratch::new("file");
    let file = scratch.0.join("tideline");
    fs::write(&file, b"a file").unwrap();
    assert!(matches!(write_whole(&file, &export("one")), Err(FolderError::NotAFolder(_))));
    assert_eq!(fs::read(&file).unwrap(), b"a file");
    for path in ["/", "..", ""] {
        assert!(write_whole(Path::new(path), &export("one")).is_err(), "{path:?}");
    }
    assert_eq!(scratch.names(), ["tideline"]);
}

#[test]
fn folders_above_are_made_and_a_file_among_them_is_refused() {
    let scratch = Scratch::new("above");
    let deep = scratch.0.join("winter").join("tideline");
    write_whole(&deep, &export("one")).unwrap();
    assert_eq!(fs::read(deep.join("board-1.dxf")).unwrap(), b"one");
    let under_file = deep.join("board-1.dxf").join("tideline");
    let error = write_whole(&under_file, &export("two")).unwrap_err();
    assert!(error.to_string().contains("board-1.dxf"), "{error}");
}

#[cfg(unix)]
#[test]
fn through_a_link_the_folder_is_replaced_that_it_leads_to() {
    let scratch = Scratch::new("link");
    let real = scratch.0.join("real");
    write_whole(&real, &export("one")).unwrap();
    let link = |name: &str, to: &Path| {
        let link = scratch.0.join(name);
        std::os::unix::fs::symlink(to, &link).unwrap();
        link
    };
    let good = link("link", Path::new("real"));
    write_whole(&good, &export("two")).unwrap();
    assert!(good.is_symlink());
    assert_eq!(fs::read(real.join("board-1.dxf")).unwrap(), b"two");
    assert_eq!(names(&real), ["board-1.dxf", "manifest.json", "only-two.csv"]);
    // What is not ours stays whatever leads there, and is told by the name that was given.
    let photos = scratch.0.join("photos");
    fs::create_dir(&photos).unwrap();
    fs::write(photos.join("kelp.png"), b"kelp").unwrap();
    let foreign = link("foreign", &photos);
    let error = write_whole(&foreign, &export("two")).unwrap_err();
    assert!(matches!(error, FolderError::NotOurs(_)) && error.to_string().contains("foreign"), "{error}");
    // A link to a file, or to nothing, is no folder.
    for to in [real.join("board-1.dxf"), scratch.0.join("nowhere")] {
        let bad = link(&format!("to-{}", to.file_name().unwrap().to_string_lossy()), &to);
        assert!(matches!(write_whole(&bad, &export("two")), Err(FolderError::NotAFolder(_))));
    }
    assert!(!scratch.0.join("nowhere").exists());
    assert_eq!(names(&photos), ["kelp.png"]);
}

#[test]
fn a_folder_that_another_run_writes_is_left_to_it() {
    let scratch = Scratch::new("busy");
    let dir = scratch.0.join("tideline");
    write_whole(&dir, &export("one")).unwrap();
    let other = fs::File::open(&dir).unwrap();
    other.lock().unwrap();
    let error = write_whole(&dir, &export("two")).unwrap_err();
    assert!(matches!(error, FolderError::Busy(_)) && error.to_string().contains("another run"), "{error}");
    assert_eq!(fs::read(dir.join("board-1.dxf")).unwrap(), b"one");
    drop(other);
    write_whole(&dir, &export("two")).unwrap();
    assert_eq!(scratch.names(), ["tideline"]);
}

#[test]
fn unusual_folder_names_work_and_file_names_stay_inside() {
    let scratch = Scratch::new("names");
    let long = "m".repeat(255);
    for name in ["Ascophyllum, fronds (2)", "-rf", "höhe ×2", " ", long.as_str()] {
        let dir = scratch.0.join(name);
        write_whole(&dir, &export("one")).unwrap();
        write_whole(&dir, &export("two")).unwrap();
        assert_eq!(fs::read(dir.join("board-1.dxf")).unwrap(), b"two");
    }
    assert_eq!(scratch.names().len(), 5);
    let dir = scratch.0.join("out");
    for name in ["../escape", "/tmp/escape", "a/b/c", "a//b", "", ".", "..", "a/"] {
        let files = [(name.to_owned(), b"x".to_vec())];
        assert!(matches!(write_whole(&dir, &files), Err(FolderError::BadFileName(_))), "{name:?}");
    }
    let twice = [("a".to_owned(), b"1".to_vec()), ("a".to_owned(), b"2".to_vec())];
    assert!(matches!(write_whole(&dir, &twice), Err(FolderError::BadFileName(_))));
    assert!(!dir.exists());
}

#[test]
fn a_write_that_fails_half_way_leaves_the_old_folder_and_no_temporary_one() {
    let scratch = Scratch::new("half");
    let dir = scratch.0.join("tideline");
    write_whole(&dir, &export("one")).unwrap();
    let mut files = export("two");
    // No file system here takes a name of 300 characters; the files before it were written.
    files.push(("x".repeat(300), b"x".to_vec()));
    let error = write_whole(&dir, &files).unwrap_err();
    assert!(matches!(error, FolderError::Io { doing: "make the file", .. }), "{error}");
    assert_eq!(fs::read(dir.join("board-1.dxf")).unwrap(), b"one");
    assert_eq!(names(&dir).len(), 3);
    assert_eq!(scratch.names(), ["tideline"]);
}

#[cfg(unix)]
#[test]
fn a_parent_that_may_not_be_written_is_said() {
    use std::os::unix::fs::PermissionsExt;
    let scratch = Scratch::new("readonly");
    fs::set_permissions(&scratch.0, fs::Permissions::from_mode(0o555)).unwrap();
    let result = write_whole(&scratch.0.join("tideline"), &export("one"));
    let may_write_anywhere = fs::create_dir(scratch.0.join("probe")).is_ok();
    fs::set_permissions(&scratch.0, fs::Permissions::from_mode(0o755)).unwrap();
    if may_write_anywhere {
        // Root is not bound by the mode; the kernel's own folder is read-only for it as well.
        let error = write_whole(Path::new("/proc/tideline"), &export("one")).unwrap_err();
        assert!(error.to_string().contains("/proc"), "{error}");
    } else {
        let error = result.unwrap_err();
        assert!(error.to_string().contains("make a folder in"), "{error}");
        assert!(scratch.names().is_empty());
    }
}
