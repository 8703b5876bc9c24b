//! An export that meets a full disk, a killer or another export leaves the old folder or the new
//! one, whole, and the next run is not hindered by what was left.
#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use std::collections::BTreeMap;
use std::ffi::{OsStr, OsString};
use std::fs;
use std::os::unix::ffi::OsStrExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::time::Duration;

type Files = BTreeMap<OsString, Vec<u8>>;

const BINARY: &str = env!("CARGO_BIN_EXE_flapwright");

fn home(name: &str) -> PathBuf {
    let home = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("faults-{name}"));
    let _ = fs::remove_dir_all(&home);
    fs::create_dir_all(&home).unwrap();
    home
}

/// The folder's job, and one that is a little larger.
fn jobs(home: &Path) -> [PathBuf; 2] {
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/rockpool-folder.toml");
    let text = fs::read_to_string(sample).unwrap();
    let larger = text.replacen("copies = 1", "copies = 2", 1);
    let larger = if larger == text { text.replacen("format = 1", "format = 1\ncopies = 2", 1) } else { larger };
    ["old.toml", "new.toml"].map(|name| {
        let path = home.join(name);
        fs::write(&path, if name == "old.toml" { &text } else { &larger }).unwrap();
        path
    })
}

fn export(home: &Path, job: &Path, out: &OsStr) -> Command {
    let mut c = Command::new(BINARY);
    c.current_dir(home).arg("export").arg(job).arg("--out").arg(out);
    c.args(["--machine", "shared-laser-cutter"]).stdout(Stdio::piped()).stderr(Stdio::piped());
    c
}

fn good(o: &Output) {
    assert!(o.status.success(), "{}", String::from_utf8_lossy(&o.stderr));
}

fn files(dir: &Path) -> Files {
    fs::read_dir(dir).unwrap().map(|e| e.unwrap()).map(|e| (e.file_name(), fs::read(e.path()).unwrap())).collect()
}

/// What is in a folder beside what is named.
fn others(dir: &Path, known: &[&str]) -> Vec<OsString> {
    let names = fs::read_dir(dir).unwrap().map(|e| e.unwrap().file_name());
    names.filter(|n| !known.iter().any(|k| n == OsStr::new(k))).collect()
}

/// Both states of the folder, and the older one in place.
fn both(home: &Path) -> ([PathBuf; 2], Files, Files) {
    let jobs = jobs(home);
    good(&export(home, &jobs[1], "box".as_ref()).output().unwrap());
    let new = files(&home.join("box"));
    good(&export(home, &jobs[0], "box".as_ref()).output().unwrap());
    let old = files(&home.join("box"));
    assert!(old != new && old.len() > 8);
    (jobs, old, new)
}

const KNOWN: [&str; 3] = ["old.toml", "new.toml", "box"];

#[test]
fn a_kill_at_any_moment_leaves_one_folder_whole_and_the_next_run_sweeps() {
    let home = home("kill");
    let (jobs, old, new) = both(&home);
    let (mut kept, mut replaced, mut left) = (0, 0, 0);
    let mut is_old = true;
    // From the moment that its temporary folder is there, later by a step each time.
    for k in 0..30u32 {
        let mut child = export(&home, &jobs[usize::from(is_old)], "box".as_ref()).spawn().unwrap();
        let begun = others(&home, &KNOWN).len();
        while others(&home, &KNOWN).len() == begun && child.try_wait().unwrap().is_none() {
            std::thread::sleep(Duration::from_micros(100));
        }
        std::thread::sleep(Duration::from_micros(u64::from(k) * 800));
        let _ = child.kill();
        child.wait().unwrap();
        let now = files(&home.join("box"));
        assert!(now == old || now == new, "{k}: half a folder: {:?}", now.keys());
        if (now == old) == is_old {
            kept += 1
        } else {
            replaced += 1
        }
        is_old = now == old;
        left += usize::from(!others(&home, &KNOWN).is_empty());
    }
    assert!(kept > 0 && left > 0, "every kill came too late: {kept} kept, {replaced} replaced, {left} left something");
    good(&export(&home, &jobs[1], "box".as_ref()).output().unwrap());
    assert_eq!(files(&home.join("box")), new);
    assert_eq!(
        others(&home, &KNOWN),
        Vec::<OsString>::new(),
        "{kept} kept, {replaced} replaced, {left} left something"
    );
}

/// A limit on the size of a file stands for the disk: the write is refused half-way.
#[test]
fn a_disk_that_fills_leaves_the_old_folder() {
    let home = home("full");
    let (jobs, old, _) = both(&home);
    for blocks in [0, 1, 4, 16, 40, 80] {
        let call = format!(
            "trap '' XFSZ; ulimit -f {blocks}; exec '{BINARY}' export '{}' --out box --machine shared-laser-cutter",
            jobs[1].display()
        );
        let done = Command::new("sh").current_dir(&home).arg("-c").arg(call).output().unwrap();
        let said = String::from_utf8_lossy(&done.stderr).into_owned();
        assert_eq!(done.status.code(), Some(2), "{blocks}: {said}");
        assert!(said.contains("could not write the file") && said.contains("large"), "{said}");
        assert_eq!(files(&home.join("box")), old, "{blocks}");
        assert_eq!(others(&home, &KNOWN), Vec::<OsString>::new());
    }
}

/// A report that cannot be written is an error, and what was made stays whole.
#[test]
fn a_report_into_a_full_device_is_said() {
    let Ok(full) = fs::OpenOptions::new().write(true).open("/dev/full") else { return };
    let home = home("report");
    let jobs = jobs(&home);
    let done = export(&home, &jobs[0], "box".as_ref()).stdout(full).output().unwrap();
    assert!(!done.status.success());
    assert!(!String::from_utf8_lossy(&done.stderr).is_empty());
    assert!(!home.join("box").exists() || files(&home.join("box")).contains_key(OsStr::new("manifest.json")));
}

#[test]
fn two_exports_at_once_leave_one_of_them_whole() {
    let home = home("two");
    let (jobs, old, new) = both(&home);
    for _ in 0..12 {
        let mut running: Vec<_> = jobs.iter().map(|j| export(&home, j, "box".as_ref()).spawn().unwrap()).collect();
        for child in &mut running {
            child.wait().unwrap();
        }
        let now = files(&home.join("box"));
        assert!(now == old || now == new, "{:?}", now.keys());
    }
    good(&export(&home, &jobs[1], "box".as_ref()).output().unwrap());
    assert_eq!(others(&home, &KNOWN), Vec::<OsString>::new());
}

#[test]
fn what_another_program_left_is_not_swept() {
    let home = home("sweep");
    let jobs = jobs(&home);
    let theirs = home.join(".flapwright-1-0.new");
    fs::create_dir(&theirs).unwrap();
    fs::write(theirs.join("plan.txt"), "mine").unwrap();
    let outside = home.join("outside");
    fs::create_dir(&outside).unwrap();
    std::os::unix::fs::symlink(&outside, home.join(".flapwright-2-0.new")).unwrap();
    good(&export(&home, &jobs[0], "box".as_ref()).output().unwrap());
    assert_eq!(fs::read_to_string(theirs.join("plan.txt")).unwrap(), "mine");
    assert!(outside.is_dir() && home.join(".flapwright-2-0.new").is_symlink());
}

#[test]
fn unusual_names_are_names() {
    let home = home("names");
    let jobs = jobs(&home);
    let long = "b".repeat(250);
    let names: [&[u8]; 9] = [
        b"a box",
        b"it's \"quoted\"",
        "Schachtel für Algen 海藻".as_bytes(),
        b"-dash",
        b"new\nline",
        b"percent%20 & amp; $HOME",
        b"\xff\xfe not text",
        b"dot.",
        long.as_bytes(),
    ];
    for name in names {
        let name = OsStr::from_bytes(name);
        // As a shell passes it: a leading dash needs the equals sign or a path.
        let out = Path::new(".").join(name);
        good(&export(&home, &jobs[0], out.as_os_str()).output().unwrap());
        let checked = Command::new(BINARY).current_dir(&home).arg("verify").arg(&out).output().unwrap();
        good(&checked);
        fs::remove_dir_all(home.join(name)).unwrap();
    }
    // A job of such a name.
    for name in names {
        let job = home.join(OsStr::from_bytes(&[&name[..name.len().min(200)], b".toml"].concat()));
        fs::copy(&jobs[0], &job).unwrap();
        good(&export(&home, &job, "box".as_ref()).output().unwrap());
        fs::remove_file(&job).unwrap();
    }
}

#[test]
fn the_jobs_own_folder_is_never_replaced_nor_through_a_link() {
    let home = home("own");
    let jobs = jobs(&home);
    for out in [".", "..", "/", "", "old.toml", "old.toml/box"] {
        let done = export(&home, &jobs[0], out.as_ref()).output().unwrap();
        assert_eq!(done.status.code(), Some(2), "{out}: {}", String::from_utf8_lossy(&done.stderr));
        assert!(!String::from_utf8_lossy(&done.stderr).contains("panicked"));
    }
    let done = export(&home, &jobs[0], home.as_os_str()).output().unwrap();
    assert_eq!(done.status.code(), Some(2));
    std::os::unix::fs::symlink(&home, home.join("itself")).unwrap();
    let done = export(&home, &jobs[0], "itself".as_ref()).output().unwrap();
    assert_eq!(done.status.code(), Some(2), "{}", String::from_utf8_lossy(&done.stderr));
    assert!(jobs.iter().all(|j| j.is_file()));
    // A link to a folder of its own serves as that folder, and stays a link.
    let elsewhere = home.join("elsewhere");
    fs::create_dir(&elsewhere).unwrap();
    std::os::unix::fs::symlink(&elsewhere, home.join("link")).unwrap();
    good(&export(&home, &jobs[0], "link".as_ref()).output().unwrap());
    assert!(home.join("link").is_symlink() && elsewhere.join("manifest.json").is_file());
}

#[test]
fn a_file_is_replaced_whole_through_a_link_and_a_device_stays_one() {
    use flapwright::cli::folder::replace_file;
    let home = home("file");
    let (file, link) = (home.join("real.toml"), home.join("link.toml"));
    fs::write(&file, "before").unwrap();
    fs::write(home.join("real.toml.new"), "the maker's").unwrap();
    std::os::unix::fs::symlink("real.toml", &link).unwrap();
    replace_file(&link, b"after").unwrap();
    assert!(link.is_symlink());
    assert_eq!(fs::read_to_string(&file).unwrap(), "after");
    assert_eq!(fs::read_to_string(home.join("real.toml.new")).unwrap(), "the maker's");
    assert!(replace_file(&home, b"x").is_err());
    replace_file(Path::new("/dev/null"), b"x").unwrap();
    assert!(!fs::metadata("/dev/null").unwrap().is_file());
    assert_eq!(fs::read_dir(&home).unwrap().count(), 3);
}
