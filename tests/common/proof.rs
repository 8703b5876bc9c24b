//! Folders exported into memory, to be proved, and damages done to them.

use flapwright::cli::{Exit, run};
use flapwright::verify::{Folder, verify_folder};
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// The files of an exported folder.
pub(crate) type Files = BTreeMap<String, Vec<u8>>;

const MOST: [&str; 4] = ["oscillating-knife-table", "drag-knife-table", "shared-laser-cutter", "servo-plotter"];

/// Every sample with the shipped machines that can cut it.
pub(crate) fn samples() -> Vec<(&'static str, Vec<&'static str>)> {
    let with = |more: &[&'static str]| [&MOST[..], more].concat();
    vec![
        ("tideline-folio", with(&["small-router"])),
        ("rockpool-folder", with(&["small-router", "scoring-plotter"])),
        // Its board is longer than the small router travels.
        ("dulse-atlas", with(&[])),
        ("cockle-portfolio", with(&[])),
        ("sandpiper-case", with(&[])),
        ("limpet-wrapper", vec!["drag-knife-table", "oscillating-knife-table", "shared-laser-cutter"]),
        ("whelk-box", with(&["small-router"])),
        ("samphire-folder", with(&["small-router"])),
        ("pepper-dulse-folder", with(&["small-router"])),
        ("bladderwrack-case", with(&["small-router"])),
        ("laver-slipcase", with(&["small-router"])),
        ("bootlace-portfolio", with(&["small-router"])),
    ]
}

/// The repository.
pub(crate) fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// A sample exported for machines, names or paths of profiles; the folder lies under target by
/// this name.
pub(crate) fn export(sample: &str, machines: &[&str], name: &str) -> Files {
    files_of(&exported(sample, machines, name))
}

/// The same where the machines can do it; `None` where they say why they cannot.
pub(crate) fn may_export(sample: &str, machines: &[&str], name: &str) -> Option<Files> {
    let (out, exit, errors) = attempt(sample, machines, name);
    if exit == Exit::Errors {
        assert!(errors.contains("error[") && !out.exists(), "{errors}");
        return None;
    }
    assert_eq!(exit, Exit::Good, "{errors}");
    Some(files_of(&out))
}

/// The same, left on the disk.
pub(crate) fn exported(sample: &str, machines: &[&str], name: &str) -> PathBuf {
    let (out, exit, errors) = attempt(sample, machines, name);
    assert_eq!(exit, Exit::Good, "{errors}");
    out
}

/// An export into a folder under target: where, how it ended and what it complained of.
fn attempt(sample: &str, machines: &[&str], name: &str) -> (PathBuf, Exit, String) {
    attempt_with(sample, machines, &[], name)
}

/// The same with further arguments.
pub(crate) fn attempt_with(sample: &str, machines: &[&str], more: &[&str], name: &str) -> (PathBuf, Exit, String) {
    let out = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("proof-{name}"));
    let _ = std::fs::remove_dir_all(&out);
    // A job that lies elsewhere is named by its whole path.
    let job = root().join("samples").join(format!("{sample}.toml"));
    let mut args = vec!["flapwright".into(), "export".into(), job.into_os_string(), "--out".into()];
    args.push(out.clone().into_os_string());
    for machine in machines {
        args.extend(["--machine".into(), (*machine).into()]);
    }
    args.extend(more.iter().map(Into::into));
    let (mut said, mut errors) = (Vec::new(), Vec::new());
    let exit = run(args, &mut said, &mut errors, false);
    (out, exit, String::from_utf8_lossy(&errors).into_owned())
}

/// The files of a folder, those of the folders of its stocks by their places.
pub(crate) fn files_of(folder: &Path) -> Files {
    let mut files = Files::default();
    for entry in std::fs::read_dir(folder).unwrap().map(|e| e.unwrap()) {
        let name = entry.file_name().into_string().unwrap();
        if entry.file_type().unwrap().is_dir() {
            files.extend(files_of(&entry.path()).into_iter().map(|(own, bytes)| (format!("{name}/{own}"), bytes)));
        } else {
            files.insert(name, std::fs::read(entry.path()).unwrap());
        }
    }
    files
}

/// A sample exported with further arguments.
pub(crate) fn export_with(sample: &str, more: &[&str], name: &str) -> Files {
    let (out, exit, errors) = attempt_with(sample, &[], more, name);
    assert_eq!(exit, Exit::Good, "{errors}");
    files_of(&out)
}

/// A sample exported for a shipped machine whose text was changed.
pub(crate) fn variant(sample: &str, machine: &str, changes: &[(&str, &str)], name: &str) -> Files {
    let mut text = std::fs::read_to_string(root().join(format!("machine-profiles/{machine}.toml"))).unwrap();
    for (from, to) in changes {
        assert!(text.contains(from), "{machine}: {from}");
        text = text.replacen(from, to, 1);
    }
    let home = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("proof-variant-{name}"));
    std::fs::create_dir_all(&home).unwrap();
    let path = home.join(format!("{machine}.toml"));
    std::fs::write(&path, text).unwrap();
    export(sample, &[path.to_str().unwrap()], name)
}

/// A sample exported for shipped machines each of whose tools takes `kerf` mm, its drawings moved for
/// as much. A pocket's lines stand no farther apart than the beam is wide, as the profile's check asks.
pub(crate) fn with_kerf(sample: &str, machines: &[&str], kerf: f64, name: &str) -> Result<Files, String> {
    let home = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("proof-kerf-{name}"));
    std::fs::create_dir_all(&home).unwrap();
    let path = |machine: &&str| {
        let text = std::fs::read_to_string(root().join(format!("machine-profiles/{machine}.toml"))).unwrap();
        let of_beam = machine.contains("laser");
        let line = |l: &str| match l {
            _ if l.starts_with("kerf = ") => format!("kerf = {kerf}\n"),
            _ if l.starts_with("hatch = ") && of_beam => format!("hatch = {}\n", kerf.min(0.15)),
            _ => format!("{l}\n"),
        };
        let path = home.join(format!("{machine}.toml"));
        std::fs::write(&path, text.lines().map(line).collect::<String>()).unwrap();
        path.to_str().unwrap().to_owned()
    };
    let paths: Vec<String> = machines.iter().map(path).collect();
    let paths: Vec<&str> = paths.iter().map(String::as_str).collect();
    let (out, exit, errors) = attempt_with(sample, &paths, &["--kerf", &format!("{kerf} mm")], name);
    if exit == Exit::Good { Ok(files_of(&out)) } else { Err(errors) }
}

/// Every error in words.
pub(crate) fn told(folder: &Folder) -> Vec<String> {
    folder.all().filter(|f| f.is_error()).map(|f| format!("{}: [{}] {}", f.file, f.code, f.message)).collect()
}

/// The hash of a file as the manifest has it.
pub(crate) fn sha(bytes: &[u8]) -> String {
    flapwright::write::manifest::sha256_hex(bytes)
}

/// The files with another in the place of one, and the manifest with its hash put right.
fn rehashed(files: &Files, name: &str, bytes: Vec<u8>) -> (Files, Value) {
    let mut files = files.clone();
    assert!(files[name] != bytes, "{name}: no damage done");
    let mut manifest: Value = serde_json::from_slice(&files["manifest.json"]).unwrap();
    for file in manifest["files"].as_array_mut().unwrap() {
        if file["file"] == name {
            file["sha256"] = sha(&bytes).into();
        }
    }
    files.insert(name.to_owned(), bytes);
    (files, manifest)
}

/// A folder in which one file is another, its hash put right so that only the proof can find it.
/// Only this file's program or drawing is proved: a profile's are all of its machine.
pub(crate) fn put(files: &Files, name: &str, bytes: Vec<u8>) -> Folder {
    let (mut files, mut manifest) = rehashed(files, name, bytes);
    let is_of = |p: &Value| match name.strip_suffix(".profile.toml") {
        Some(machine) => p["machine"] == machine,
        None => p["file"] == name,
    };
    manifest["programs"].as_array_mut().unwrap().retain(is_of);
    let programs = manifest["programs"].clone();
    let is_used = |s: &Value| {
        let id = s["id"].as_str().unwrap();
        let is_drawn = s["drawings"].as_array().unwrap().iter().any(|d| d == name);
        programs.as_array().unwrap().iter().any(|p| p["sheet"] == id) || is_drawn
    };
    manifest["sheets"].as_array_mut().unwrap().retain(is_used);
    files.insert("manifest.json".into(), serde_json::to_vec(&manifest).unwrap());
    let mut folder = verify_folder(&files);
    // Of a folder of which a part was taken out the account cannot agree.
    folder.findings.retain(|f| !["account", "drawing-stray"].contains(&f.code));
    folder
}

/// The same with every program kept, for what hangs on several of them.
pub(crate) fn put_all(files: &Files, name: &str, bytes: Vec<u8>) -> Folder {
    let (mut files, manifest) = rehashed(files, name, bytes);
    files.insert("manifest.json".into(), serde_json::to_vec(&manifest).unwrap());
    verify_folder(&files)
}
