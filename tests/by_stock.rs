//! Folders of many files: each stock's files in a folder of its own, and all that reads, proves, replaces or lists them.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops where its ground is missing")]

use crate::batch::{MACHINE, assert_same, err, folder, good, json, tree};
use crate::common::proof::root;
use crate::common::references::scratch;
use flapwright::cli::folder::{FolderError, write_whole};
use serde_json::Value;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};

type Tree = BTreeMap<String, Vec<u8>>;

fn run(dir: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_flapwright")).current_dir(dir).args(arguments).output().unwrap()
}

fn export(dir: &Path, sample: &str, out: &str, more: &[&str]) -> Output {
    let job = root().join(format!("samples/{sample}.toml"));
    run(dir, &[&["export", job.to_str().unwrap(), "--out", out, "--machine", MACHINE], more].concat())
}

/// The files alone, by their own names.
fn flat(tree: &Tree) -> Tree {
    let files = tree.iter().filter(|(name, _)| !name.ends_with('/'));
    files.map(|(name, bytes)| (name.rsplit('/').next().unwrap().to_owned(), bytes.clone())).collect()
}

/// Which file is of which stock, by its name alone.
fn stock_of(name: &str) -> Option<&'static str> {
    let own = name.rsplit('/').next().unwrap();
    let is_of = |stock: &&&str| {
        let is_sheets = own.starts_with(&format!("{stock}-")) || own.starts_with(&format!("first-{stock}-"));
        is_sheets || own.contains(&format!("_{stock}-"))
    };
    ["board", "cloth", "liner"].iter().find(is_of).copied()
}

fn assert_by_stock(tree: &Tree) {
    let mut seen = 0;
    for name in tree.keys().filter(|n| !n.ends_with('/')) {
        match stock_of(name) {
            Some(stock) => {
                seen += 1;
                assert!(name.starts_with(&format!("{stock}/")), "{name}");
            }
            None => assert!(!name.contains('/'), "{name}"),
        }
    }
    assert!(seen > 5, "{:?}", tree.keys());
    let manifest: Value = serde_json::from_slice(&tree["manifest.json"]).unwrap();
    let listed = manifest["files"].as_array().unwrap();
    assert!(listed.iter().all(|f| tree.contains_key(f["file"].as_str().unwrap())));
    assert_eq!(listed.len() + 1, tree.keys().filter(|n| !n.ends_with('/')).count(), "all but the manifest");
    for program in manifest["programs"].as_array().unwrap() {
        assert!(tree.contains_key(program["file"].as_str().unwrap()), "{program}");
    }
    for sheet in manifest["sheets"].as_array().unwrap() {
        let drawings = sheet["drawings"].as_array().unwrap();
        assert!(!drawings.is_empty() && drawings.iter().all(|d| tree.contains_key(d.as_str().unwrap())), "{sheet}");
    }
}

/// The same files in other places, and each told where it lies.
#[test]
fn asked_for_they_lie_by_stock_and_prove() {
    let dir = scratch("by-stock-asked");
    let more = ["--png", "--svg", "--lifted", "--dxf", "both"];
    good(&export(&dir, "tideline-folio", "flat", &more));
    let report = export(&dir, "tideline-folio", "out", &[&more[..], &["--by-stock", "--format", "json"]].concat());
    let report: Value = serde_json::from_str(&good(&report)).unwrap();
    let (was, is) = (tree(&dir.join("flat")), tree(&dir.join("out")));
    assert_by_stock(&is);
    let (own, other) = (flat(&is), flat(&was));
    assert_eq!(own.keys().collect::<Vec<_>>(), other.keys().collect::<Vec<_>>());
    // What does not name another file is the same.
    let names_others = ["manifest.json", "page.html", "for-the-cutter.txt", "for-the-cutter.pdf"];
    let differ: Vec<&String> = own.iter().filter(|(n, b)| other[*n] != **b).map(|(n, _)| n).collect();
    assert!(differ.iter().all(|n| names_others.contains(&n.as_str())), "{differ:?}");
    let text = String::from_utf8(is["for-the-cutter.txt"].clone()).unwrap();
    assert!(
        text.contains("board/tideline-folio_board-2.5mm_1.dxf, board/tideline-folio_board-2.5mm_1.r12-mm.dxf"),
        "{text}"
    );
    let page = String::from_utf8(is["page.html"].clone()).unwrap();
    assert!(page.contains(&format!("\"name\":\"board/board-1.{MACHINE}.nc\"")));
    for name in report["files"].as_array().unwrap() {
        assert!(is.contains_key(name.as_str().unwrap()), "{name}");
    }
    let o = run(&dir, &["verify", "out", "--format", "json"]);
    let (proof, flat): (Value, Value) = (
        serde_json::from_slice(&o.stdout).unwrap(),
        serde_json::from_slice(&run(&dir, &["verify", "flat", "--format", "json"]).stdout).unwrap(),
    );
    assert_eq!((&proof["proved"], &proof["drawings"]), (&Value::Bool(true), &flat["drawings"]), "{proof}");
    assert_eq!(proof["programs"].as_array().unwrap().len(), flat["programs"].as_array().unwrap().len());
}

/// What lies there is replaced whole, either way, and what is somebody else's stays.
#[test]
fn one_takes_the_place_of_the_other() {
    let dir = scratch("by-stock-replaced");
    let at = |name: &str| tree(&dir.join(name));
    good(&export(&dir, "rockpool-folder", "out", &[]));
    let flat = at("out");
    good(&export(&dir, "rockpool-folder", "out", &["--by-stock"]));
    let shelved = at("out");
    assert_by_stock(&shelved);
    good(&export(&dir, "rockpool-folder", "fresh", &["--by-stock"]));
    assert_same(&shelved, &at("fresh"));
    good(&export(&dir, "rockpool-folder", "out", &[]));
    assert_same(&flat, &at("out"));
    let beside: Vec<String> =
        fs::read_dir(&dir).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    assert_eq!(beside.len(), 2, "nothing is left beside: {beside:?}");
    // A file of the maker's in a folder of ours, or a folder that is none of ours.
    for foreign in ["board/notes.txt", "board/mine/notes.txt", "mine/notes.txt"] {
        let path = dir.join("fresh").join(foreign);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(&path, "mine").unwrap();
        let before = at("fresh");
        let o = export(&dir, "rockpool-folder", "fresh", &[]);
        assert_eq!(o.status.code(), Some(2), "{foreign}");
        let named = foreign.trim_end_matches("/notes.txt").trim_end_matches("board/notes.txt");
        assert!(err(&o).contains(named), "{foreign}: {}", err(&o));
        assert_same(&before, &at("fresh"));
        let o = run(&dir, &["verify", "fresh"]);
        assert_eq!(o.status.code(), Some(1), "{foreign} is no file of the export");
        fs::remove_file(&path).unwrap();
        if foreign.contains("mine") {
            fs::remove_dir(path.parent().unwrap()).unwrap();
        }
    }
    // An empty folder of a stock is nobody's loss.
    good(&export(&dir, "rockpool-folder", "fresh", &[]));
    assert_same(&flat, &at("fresh"));
}

/// A changed, a missing and a further file in a folder of a stock are found.
#[test]
fn a_damage_in_a_folder_of_a_stock_is_found() {
    let dir = scratch("by-stock-damaged");
    good(&export(&dir, "rockpool-folder", "out", &["--by-stock"]));
    let found = || {
        let o = run(&dir, &["verify", "out", "--format", "json"]);
        let proof: Value = serde_json::from_slice(&o.stdout).unwrap();
        let of = |f: &Value| format!("{} {}", f["code"].as_str().unwrap(), f["file"].as_str().unwrap());
        let programs =
            proof["programs"].as_array().unwrap().iter().flat_map(|p| p["findings"].as_array().into_iter().flatten());
        let all: Vec<String> = proof["findings"].as_array().unwrap().iter().chain(programs).map(of).collect();
        (o.status.code(), all)
    };
    assert_eq!(found(), (Some(0), Vec::new()));
    let program = format!("board/board-1.{MACHINE}.nc");
    let path = dir.join("out").join(&program);
    let kept = fs::read(&path).unwrap();
    fs::write(&path, [&kept[..], b"G0 X1\n"].concat()).unwrap();
    assert!(found().1.contains(&format!("file-changed {program}")), "{:?}", found());
    fs::remove_file(&path).unwrap();
    assert!(found().1.contains(&format!("file-missing {program}")), "{:?}", found());
    fs::write(&path, &kept).unwrap();
    fs::copy(&path, dir.join("out/board/board-2.nc")).unwrap();
    assert!(found().1.contains(&"file-extra board/board-2.nc".to_owned()), "{:?}", found());
    // At the wrong place it is missing at its own.
    fs::rename(&path, dir.join("out").join(format!("board-1.{MACHINE}.nc"))).unwrap();
    assert!(found().1.contains(&format!("file-missing {program}")), "{:?}", found());
}

/// Sheets that are marked as cut stay, wherever their files lie; --rest has its folders too.
#[test]
fn what_is_cut_stays_cut() {
    let dir = scratch("by-stock-cut");
    good(&export(&dir, "dulse-atlas", "out", &["--effort", "1", "--first-article", "--by-stock"]));
    good(&run(&dir, &["cut", "out", "first-board-1"]));
    let marks = fs::read(dir.join("out/cut.json")).unwrap();
    good(&export(&dir, "dulse-atlas", "out", &["--effort", "1", "--first-article"]));
    assert_eq!(fs::read(dir.join("out/cut.json")).unwrap(), marks, "the same files lie elsewhere");
    good(&export(&dir, "dulse-atlas", "out", &["--effort", "1", "--first-article", "--by-stock"]));
    assert_eq!(fs::read(dir.join("out/cut.json")).unwrap(), marks);
    let o = export(&dir, "dulse-atlas", "out", &["--effort", "1", "--by-stock", "--kerf", "0.2 mm"]);
    assert_eq!(o.status.code(), Some(2), "{}", err(&o));
    good(&run(&dir, &["verify", "out"]));
    good(&export(&dir, "dulse-atlas", "rest", &["--effort", "1", "--rest", "--by-stock"]));
    assert_by_stock(&tree(&dir.join("rest")));
    good(&run(&dir, &["verify", "rest"]));
}

/// More than twenty sheets that differ lie by stock unasked: every piece of an edition with its number.
#[test]
fn many_sheets_lie_by_stock_unasked() {
    let dir = scratch("by-stock-many");
    let text = fs::read_to_string(root().join("samples/rockpool-folder.toml")).unwrap();
    let mut job: toml::Table = text.parse().unwrap();
    job.insert("copies".into(), toml::Value::Integer(40));
    job.insert("layout_effort".into(), toml::Value::Integer(1));
    let marks = job.entry("marks").or_insert_with(|| toml::Value::Table(toml::Table::new()));
    marks.as_table_mut().unwrap().insert("copy_numbers".into(), toml::Value::Boolean(true));
    fs::write(dir.join("job.toml"), job.to_string()).unwrap();
    good(&run(&dir, &["export", "job.toml", "--out", "out"]));
    let all = tree(&dir.join("out"));
    let manifest: Value = serde_json::from_slice(&all["manifest.json"]).unwrap();
    assert!(manifest["sheets"].as_array().unwrap().len() > 20);
    assert_by_stock(&all);
    good(&run(&dir, &["verify", "out"]));
}

/// Lots of a list: taken up again, proved, and a sheet that only lies elsewhere is no other sheet.
#[test]
fn lots_have_their_folders() {
    let dir = folder("by-stock");
    let rows = fs::read_to_string(dir.join("herbarium-survey.csv")).unwrap();
    fs::write(dir.join("short.csv"), rows.lines().take(7).collect::<Vec<_>>().join("\n")).unwrap();
    let batch = |out: &str, more: &[&str]| {
        let all = ["batch", "short.csv", "--job", "herbarium-survey.toml", "--out", out, "--lot", "3"];
        good(&run(&dir, &[&all[..], more].concat()))
    };
    let more = ["--machine", MACHINE, "--by-stock"];
    batch("out", &more);
    assert_by_stock(&tree(&dir.join("out/lot-1")));
    good(&run(&dir, &["verify", "out"]));
    let first = tree(&dir.join("out"));
    let text = batch("out", &more);
    assert!(text.contains("2 of them as they were"), "{text}");
    assert_same(&first, &tree(&dir.join("out")));
    // The same sheets in other places: no sheet is told to be another.
    batch("flat", &["--machine", MACHINE]);
    let text = batch("out", &["--machine", MACHINE]);
    assert!(!text.contains("options changed"), "no sheet is another: {text}");
    assert_same(&tree(&dir.join("flat")), &tree(&dir.join("out")));
    // A lot that is cut stays where it lies.
    batch("out", &more);
    good(&run(&dir, &["cut", "out", "lot-1/board-1"]));
    batch("out", &["--machine", MACHINE]);
    assert!(dir.join("out/lot-1/board").is_dir() && !dir.join("out/lot-2/board").exists());
    good(&run(&dir, &["verify", "out"]));
    assert_eq!(json(&dir.join("out/batch.json"))["finished"], true);
}

/// A name may have one folder before it and no more; nothing leads out.
#[test]
fn only_plain_names_are_written() {
    let dir = scratch("by-stock-names");
    let file = |name: &str| (name.to_owned(), b"x".to_vec());
    for bad in ["a/b/c", "/x", "../x", "a/../x", "a/", "./x", "a/./x", "a//x", "x/.."] {
        let refused = write_whole(&dir.join("out"), &[file(bad)]);
        assert!(matches!(refused, Err(FolderError::BadFileName(n)) if n == bad), "{bad}");
    }
    let twice = write_whole(&dir.join("out"), &[file("board"), file("board/board-1.svg")]);
    assert!(matches!(twice, Err(FolderError::BadFileName(n)) if n == "board"));
    write_whole(&dir.join("out"), &[file("board/x"), file("cloth/x"), file("x")]).unwrap();
    assert_eq!(tree(&dir.join("out")).len(), 5);
    assert_eq!(fs::read_dir(&dir).unwrap().count(), 1, "nothing is left beside it");
}
