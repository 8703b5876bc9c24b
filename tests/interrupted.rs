//! Ctrl-C while a layout is searched for: the best layout so far, or nothing; never half a folder.
#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::panic, reason = "helpers of tests")]

use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::time::Duration;

/// The edition, 60 copies, with a search that would take hours.
fn begin(name: &str) -> (PathBuf, Child) {
    let dir = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("interrupted").join(name);
    let _ = fs::remove_dir_all(&dir);
    fs::create_dir_all(&dir).unwrap();
    let text = include_str!("../samples/dulse-atlas.toml").replace("copies = 12", "copies = 60");
    fs::write(dir.join("job.toml"), text).unwrap();
    let mut c = Command::new(env!("CARGO_BIN_EXE_flapwright"));
    c.current_dir(&dir).args(["export", "job.toml", "--out", "out", "--effort", "1000000"]);
    let child = c.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    (dir, child)
}

fn interrupt(child: &Child) {
    assert!(Command::new("kill").args(["-INT", &child.id().to_string()]).status().unwrap().success());
}

/// Waits for the end, at most a minute.
fn end(mut child: Child) -> Output {
    for _ in 0..600 {
        if child.try_wait().unwrap().is_some() {
            return child.wait_with_output().unwrap();
        }
        std::thread::sleep(Duration::from_millis(100));
    }
    child.kill().unwrap();
    panic!("it goes on a minute after Ctrl-C: {:?}", child.wait_with_output());
}

fn names(dir: &Path) -> BTreeSet<String> {
    fs::read_dir(dir).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect()
}

#[test]
fn the_best_layout_so_far_is_written_whole() {
    let (dir, mut child) = begin("once");
    std::thread::sleep(Duration::from_secs(3));
    assert!(child.try_wait().unwrap().is_none(), "the search is long");
    interrupt(&child);
    let output = end(child);
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(output.status.success() && said.contains("layout-stopped"), "{said}");
    let out = dir.join("out");
    let manifest: Value = serde_json::from_slice(&fs::read(out.join("manifest.json")).unwrap()).unwrap();
    let mut listed: BTreeSet<String> =
        manifest["files"].as_array().unwrap().iter().map(|f| f["file"].as_str().unwrap().to_owned()).collect();
    listed.insert("manifest.json".into());
    assert_eq!(names(&out), listed);
    // Every piece of every copy lies on a sheet once.
    let mut placed: BTreeMap<&str, u64> = BTreeMap::new();
    for sheet in manifest["sheets"].as_array().unwrap() {
        for p in sheet["placed"].as_array().unwrap() {
            *placed.entry(p["piece"].as_str().unwrap()).or_default() += sheet["count"].as_u64().unwrap();
        }
    }
    for piece in manifest["pieces"].as_array().unwrap() {
        let wanted = 60 * piece["count"].as_u64().unwrap();
        assert_eq!(placed[piece["id"].as_str().unwrap()], wanted, "{}", piece["id"]);
    }
    let proof = Command::new(env!("CARGO_BIN_EXE_flapwright")).arg("verify").arg(&out).output().unwrap();
    assert!(proof.status.success(), "{}", String::from_utf8_lossy(&proof.stdout));
}

#[test]
fn a_second_time_ends_at_once_and_writes_nothing() {
    let (dir, child) = begin("twice");
    std::thread::sleep(Duration::from_secs(2));
    // The second before the first can have been answered; where it was, the folder is whole.
    interrupt(&child);
    interrupt(&child);
    let output = end(child);
    let left = names(&dir);
    if output.status.code() == Some(130) {
        assert_eq!(left, BTreeSet::from(["job.toml".into()]));
    } else {
        assert!(output.status.success() && dir.join("out/manifest.json").exists());
        assert_eq!(left.len(), 2, "{left:?}");
    }
}
