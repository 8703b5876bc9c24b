//! The program as a person runs it: the real binary in temporary folders.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops where its ground is missing")]

use crate::common::program::{err, out, run};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

const SAMPLES: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/samples");

/// A folder of its own for one test, made anew.
fn folder(name: &str) -> PathBuf {
    let dir = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("cli").join(name);
    let _ = fs::remove_dir_all(&dir);
    fs::create_dir_all(&dir).unwrap();
    dir
}

/// Every file of a folder with its bytes.
fn files(dir: &Path) -> BTreeMap<String, Vec<u8>> {
    fs::read_dir(dir)
        .unwrap()
        .map(|e| e.unwrap())
        .map(|e| (e.file_name().to_string_lossy().into_owned(), fs::read(e.path()).unwrap()))
        .collect()
}

fn sample(name: &str) -> String {
    format!("{SAMPLES}/{name}.toml")
}

#[test]
fn a_new_job_can_be_checked_and_exported_at_once() {
    let dir = folder("new");
    let new = run(&dir, &["new", "box.toml"]);
    assert_eq!(new.status.code(), Some(0), "{}", err(&new));
    let check = run(&dir, &["check", "box.toml"]);
    assert_eq!(check.status.code(), Some(0), "{}", out(&check));
    assert!(out(&check).contains("the box fits"), "{}", out(&check));
    let export = run(&dir, &["export", "box.toml", "--out", "box"]);
    assert_eq!(export.status.code(), Some(0), "{}", err(&export));
    for file in ["manifest.json", "board-1.svg", "cloth-1.svg", "liner-1.svg", "cut-list.csv"] {
        assert!(dir.join("box").join(file).is_file(), "{file}");
    }
    // A job that is there is never written over.
    let again = run(&dir, &["new", "box.toml"]);
    assert_eq!(again.status.code(), Some(2));
    assert!(err(&again).contains("left as it is"));
}

#[test]
fn exit_status_has_three_meanings() {
    let dir = folder("status");
    fs::write(dir.join("bad.toml"), "format = 1\ntitle = 3\n[contents]\nwidht = 5\n").unwrap();
    let bad = run(&dir, &["check", "bad.toml"]);
    assert_eq!(bad.status.code(), Some(1));
    // Every error at once, with file, line and column.
    for part in ["bad.toml:2:9", "bad.toml:4:1", "did you mean `width`?"] {
        assert!(out(&bad).contains(part), "{part} in {}", out(&bad));
    }
    assert_eq!(run(&dir, &["check", "nowhere.toml"]).status.code(), Some(2));
    assert_eq!(run(&dir, &["chekc"]).status.code(), Some(2));
    assert_eq!(run(&dir, &["--help"]).status.code(), Some(0));
    fs::write(dir.join("latin.toml"), b"title = \"\xe9\"").unwrap();
    assert_eq!(run(&dir, &["check", "latin.toml"]).status.code(), Some(2));
}

#[test]
fn a_job_with_errors_writes_nothing() {
    let dir = folder("nothing");
    let text = fs::read_to_string(sample("rockpool-folder")).unwrap().replace("reach = \"95 %\"", "reach = \"195 %\"");
    fs::write(dir.join("bad.toml"), text).unwrap();
    let export = run(&dir, &["export", "bad.toml", "--out", "made"]);
    assert_eq!(export.status.code(), Some(1));
    assert!(err(&export).contains("Nothing was written"), "{}", err(&export));
    assert!(!dir.join("made").exists());
    assert_eq!(files(&dir).len(), 1, "no temporary folder stays");
}

#[test]
fn the_same_job_gives_the_same_bytes() {
    let dir = folder("bytes");
    for out in ["one", "two"] {
        let o = run(
            &dir,
            &[
                "export",
                &sample("tideline-folio"),
                "--out",
                out,
                "--dxf",
                "both",
                "--kerf",
                "0.2 mm",
                "--machine",
                "oscillating-knife-table",
            ],
        );
        assert_eq!(o.status.code(), Some(0), "{}", err(&o));
    }
    let (one, two) = (files(&dir.join("one")), files(&dir.join("two")));
    assert!(one.len() >= 12);
    assert_eq!(one, two);
    // And again over the first: our own folder may be replaced.
    let o = run(&dir, &["export", &sample("tideline-folio"), "--out", "one"]);
    assert_eq!(o.status.code(), Some(0), "{}", err(&o));
    assert!(
        !dir.join("one/tideline-folio_board-2.5mm_1.r12-mm.dxf").exists(),
        "the folder is made whole, nothing of the old one stays"
    );
}

#[test]
fn a_folder_that_is_not_ours_is_left_alone() {
    let dir = folder("foreign");
    fs::create_dir(dir.join("letters")).unwrap();
    fs::write(dir.join("letters/dear.txt"), "dear").unwrap();
    let o = run(&dir, &["export", &sample("rockpool-folder"), "--out", "letters"]);
    assert_eq!(o.status.code(), Some(2));
    assert_eq!(files(&dir.join("letters")).len(), 1);
}

#[test]
fn the_manifest_names_every_file_with_its_hash() {
    let dir = folder("manifest");
    let o = run(&dir, &["export", &sample("tideline-folio"), "--out", "folio", "--machine", "shared-laser-cutter"]);
    assert_eq!(o.status.code(), Some(0), "{}", err(&o));
    let all = files(&dir.join("folio"));
    let manifest: serde_json::Value = serde_json::from_slice(&all["manifest.json"]).unwrap();
    let listed = manifest["files"].as_array().unwrap();
    assert_eq!(listed.len() + 1, all.len());
    for entry in listed {
        let bytes = &all[entry["file"].as_str().unwrap()];
        assert_eq!(entry["sha256"].as_str().unwrap(), flapwright::write::manifest::sha256_hex(bytes));
    }
    let placed: usize =
        manifest["sheets"].as_array().unwrap().iter().map(|s| s["placed"].as_array().unwrap().len()).sum();
    let needed: u64 = manifest["pieces"].as_array().unwrap().iter().map(|p| p["count"].as_u64().unwrap()).sum();
    assert_eq!(placed as u64, needed);
    for program in manifest["programs"].as_array().unwrap() {
        assert!(all.contains_key(program["file"].as_str().unwrap()));
    }
}

#[test]
fn reports_for_programs_are_json() {
    let dir = folder("json");
    for arguments in [
        vec!["check", "SAMPLE", "--format", "json"],
        vec!["export", "SAMPLE", "--out", "o", "--format", "json"],
        vec!["profiles", "--format", "json"],
        vec!["profiles", "show", "small-router", "--format", "json"],
        vec!["profiles", "check", "small-router", "--format", "json"],
        vec!["schema", "job"],
        vec!["schema", "profile"],
    ] {
        let folio = sample("tideline-folio");
        let arguments: Vec<&str> =
            arguments.into_iter().map(|a| if a == "SAMPLE" { folio.as_str() } else { a }).collect();
        let o = run(&dir, &arguments);
        assert_eq!(o.status.code(), Some(0), "{arguments:?}: {}", err(&o));
        let parsed: serde_json::Value =
            serde_json::from_slice(&o.stdout).unwrap_or_else(|e| panic!("{arguments:?}: {e}"));
        assert!(parsed.is_object() || parsed.is_array());
    }
}

#[test]
fn a_stock_too_thick_for_a_machine_is_left_to_the_hand_and_said() {
    let dir = folder("leave");
    let folio = fs::read_to_string(sample("tideline-folio")).unwrap();
    let thick = folio.replacen("thickness = 2", "thickness = 4", 1);
    assert!(thick != folio);
    fs::write(dir.join("thick.toml"), thick).unwrap();
    let export = |more: &[&str]| {
        run(&dir, &[&["export", "thick.toml", "--out", "o", "--machine", "shared-laser-cutter"], more].concat())
    };
    let o = export(&[]);
    assert_eq!(o.status.code(), Some(1), "{}", out(&o));
    assert!(err(&o).contains("--leave board/through-cut"), "{}", err(&o));
    assert!(!dir.join("o").exists());
    let o = export(&["--leave", "board"]);
    assert_eq!(o.status.code(), Some(0), "{}", err(&o));
    let said = out(&o);
    let left =
        said.lines().find(|l| l.trim_start().starts_with("board  mark") || l.trim_start().starts_with("board  half"));
    assert!(left.is_some_and(|l| l.contains("half-depth-pocket, through-cut")), "{said}");
    assert!(
        dir.join("o/cloth-1.shared-laser-cutter.nc").exists() && !dir.join("o/board-1.shared-laser-cutter.nc").exists()
    );
    let o = export(&["--leave", "bord"]);
    assert_eq!(o.status.code(), Some(2));
    assert!(err(&o).contains("STOCK/OPERATION"), "{}", err(&o));
}

#[test]
fn a_shipped_profile_is_copied_for_the_maker_and_nothing_is_overwritten() {
    let dir = folder("copy");
    let o = run(&dir, &["profiles", "copy", "small-router", "mine.toml"]);
    assert_eq!(o.status.code(), Some(0), "{}", err(&o));
    let copied = fs::read_to_string(dir.join("mine.toml")).unwrap();
    assert_eq!(copied, include_str!("../machine-profiles/small-router.toml"));
    let o = run(&dir, &["profiles", "check", "mine.toml"]);
    assert_eq!(o.status.code(), Some(0), "{}", out(&o));
    let o = run(&dir, &["profiles", "copy", "drag-knife-table", "mine.toml"]);
    assert_eq!(o.status.code(), Some(2));
    assert!(err(&o).contains("is there already"), "{}", err(&o));
    assert_eq!(fs::read_to_string(dir.join("mine.toml")).unwrap(), copied);
}

#[test]
fn a_reader_that_hangs_up_is_no_error() {
    let mut child = Command::new(env!("CARGO_BIN_EXE_flapwright"))
        .arg("new")
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let ended = child.wait_with_output().unwrap();
    assert_eq!(ended.status.code(), Some(0), "{}", String::from_utf8_lossy(&ended.stderr));
}

#[test]
fn a_machine_that_cannot_do_the_work_is_refused_before_anything_is_written() {
    let dir = folder("machine");
    // The plotter cuts no board; with the cuts left to the hand it still marks and creases.
    let o = run(&dir, &["export", &sample("tideline-folio"), "--out", "o", "--machine", "scoring-ploter"]);
    assert_eq!(o.status.code(), Some(2));
    assert!(err(&o).contains("did you mean `scoring-plotter`?"), "{}", err(&o));
    let profile = include_str!("../machine-profiles/oscillating-knife-table.toml");
    let mut kept = Vec::new();
    // Without its pocket rule for board.
    for rule in profile.split("[[rule]]") {
        if !(rule.contains("\"half-depth-pocket\"") && rule.contains("\"board\"")) {
            kept.push(rule);
        }
    }
    assert!(kept.len() < profile.split("[[rule]]").count());
    fs::write(dir.join("mine.toml"), kept.join("[[rule]]")).unwrap();
    let o = run(&dir, &["export", &sample("tideline-folio"), "--out", "o", "--machine", "mine.toml"]);
    assert_eq!(o.status.code(), Some(1), "{}", out(&o));
    assert!(err(&o).contains("half-depth-pocket"), "{}", err(&o));
    assert!(!dir.join("o").exists());
    let o = run(
        &dir,
        &["export", &sample("tideline-folio"), "--out", "o", "--machine", "mine.toml", "--leave", "half-depth-pocket"],
    );
    assert_eq!(o.status.code(), Some(0), "{}", err(&o));
    assert!(dir.join("o/board-1.mine.nc").is_file());
}

/// The picture in the README is what the README's command gives. After a change that is meant:
/// `cp tideline/board-1.svg samples/pictures/`.
#[test]
fn the_picture_in_the_readme_is_what_export_draws() {
    let dir = folder("picture");
    let o = run(&dir, &["export", &sample("tideline-folio"), "--out", "tideline"]);
    assert_eq!(o.status.code(), Some(0), "{}", err(&o));
    let kept = fs::read(format!("{SAMPLES}/pictures/board-1.svg")).unwrap();
    assert!(fs::read(dir.join("tideline/board-1.svg")).unwrap() == kept, "samples/pictures/board-1.svg is out of date");
}
