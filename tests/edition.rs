//! Editions: sheets that are alike are cut from one program, every copy of every piece is there
//! once, the first box may lie alone, copies may carry their numbers.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops where its ground is missing")]

use serde_json::Value;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

const MACHINE: &str = "oscillating-knife-table";

fn folder(name: &str) -> PathBuf {
    let dir = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("edition").join(name);
    let _ = fs::remove_dir_all(&dir);
    fs::create_dir_all(&dir).unwrap();
    dir
}

fn run(dir: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_flapwright")).current_dir(dir).args(arguments).output().unwrap()
}

/// The edition with so many copies, and more lines at its end.
fn atlas(dir: &Path, copies: u32, more: &str) {
    let text = fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/samples/dulse-atlas.toml")).unwrap();
    let line = text.lines().find(|l| l.starts_with("copies")).unwrap();
    let text = text.replace(line, &format!("copies = {copies}"));
    fs::write(dir.join("atlas.toml"), format!("{text}\n{more}\n")).unwrap();
}

fn manifest(folder: &Path) -> Value {
    serde_json::from_slice(&fs::read(folder.join("manifest.json")).unwrap()).unwrap()
}

/// Every (piece, copy) on the sheets, and how often it is there.
fn placed(manifest: &Value) -> BTreeMap<(String, u64), u32> {
    let mut all = BTreeMap::new();
    for sheet in manifest["sheets"].as_array().unwrap() {
        for p in sheet["placed"].as_array().unwrap() {
            let copies = p["copies"].as_array().unwrap();
            assert_eq!(copies.len() as u64, sheet["count"].as_u64().unwrap());
            assert_eq!(copies[0], p["copy"]);
            for copy in copies {
                *all.entry((p["piece"].as_str().unwrap().to_owned(), copy.as_u64().unwrap())).or_insert(0) += 1;
            }
        }
    }
    all
}

fn all_once(manifest: &Value, boxes: u64) {
    let placed = placed(manifest);
    let mut expected = 0;
    for piece in manifest["pieces"].as_array().unwrap() {
        let count = piece["count"].as_u64().unwrap() * boxes;
        expected += count;
        for copy in 1..=count {
            let key = (piece["id"].as_str().unwrap().to_owned(), copy);
            assert_eq!(placed.get(&key), Some(&1), "{key:?}");
        }
    }
    assert_eq!(placed.len() as u64, expected);
}

fn sheets(manifest: &Value) -> Vec<(String, u64)> {
    let told = |s: &Value| (s["id"].as_str().unwrap().to_owned(), s["count"].as_u64().unwrap());
    manifest["sheets"].as_array().unwrap().iter().map(told).collect()
}

fn good(dir: &Path, arguments: &[&str]) -> String {
    let o = run(dir, arguments);
    assert!(o.status.success(), "{}", String::from_utf8_lossy(&o.stderr));
    String::from_utf8(o.stdout).unwrap()
}

#[test]
fn sheets_that_repeat_are_cut_from_one_program_with_a_count() {
    let dir = folder("repeats");
    atlas(&dir, 75, "");
    let text = good(&dir, &["export", "atlas.toml", "--out", "out", "--machine", MACHINE]);
    let out = dir.join("out");
    let manifest = manifest(&out);
    all_once(&manifest, 75);
    let sheets = sheets(&manifest);
    let to_cut: u64 = sheets.iter().map(|s| s.1).sum();
    assert!(to_cut as usize >= 3 * sheets.len(), "{to_cut} sheets from {} programs", sheets.len());
    // One file of each kind for each sheet, whatever its count; the program says how often.
    let (most, count) = sheets.iter().max_by_key(|s| s.1).unwrap();
    let program = fs::read_to_string(out.join(format!("{most}.{MACHINE}.nc"))).unwrap();
    assert!(program.contains(&format!("cut {count} sheets alike")), "{}", &program[..600]);
    assert!(fs::read_to_string(out.join(format!("{most}.svg"))).unwrap().contains(&format!("cut {count} alike")));
    let names = fs::read_dir(&out).unwrap().filter(|e| {
        let name = e.as_ref().unwrap().file_name().into_string().unwrap();
        name.ends_with(".nc") && !name.contains("outline")
    });
    assert_eq!(names.count(), sheets.len());
    assert!(text.contains(&format!("cut {count} of it")), "{text}");
    // The cut list counts pieces, not placements.
    let list = fs::read_to_string(out.join("cut-list.csv")).unwrap();
    let count_of = |piece: &str| {
        let at = |line: &str, name: &str| {
            let column = list.lines().next().unwrap().split(',').position(|c| c == name).unwrap();
            line.split(',').nth(column).unwrap().to_owned()
        };
        list.lines().find(|l| at(l, "piece") == piece).map(|l| at(l, "count"))
    };
    assert_eq!(count_of("board-base").as_deref(), Some("75"), "{list}");
    assert_eq!(count_of("cloth-patch").as_deref(), Some("300"), "{list}");
}

#[test]
fn cost_and_time_are_those_of_all_sheets() {
    let dir = folder("cost");
    atlas(&dir, 30, "");
    let text = good(&dir, &["export", "atlas.toml", "--out", "out", "--machine", MACHINE, "--format", "json"]);
    let report: Value = serde_json::from_str(&text).unwrap();
    let manifest = manifest(&dir.join("out"));
    let takes = &report["takes"];
    // The board's sheets by the sum of their counts, and at the price in the job.
    let boards: Vec<&Value> = manifest["sheets"].as_array().unwrap().iter().filter(|s| s["stock"] == "board").collect();
    let count: u64 = boards.iter().map(|s| s["count"].as_u64().unwrap()).sum();
    assert_eq!(takes["stocks"][0]["stock"], "board");
    assert_eq!(takes["stocks"][0]["sheets"].as_u64().unwrap(), count);
    // Area by hand: width by height in mm.
    let area: f64 = boards
        .iter()
        .map(|s| s["width"].as_f64().unwrap() * s["height"].as_f64().unwrap() * s["count"].as_f64().unwrap() * 1e-6)
        .sum();
    assert!((takes["stocks"][0]["area_m2"].as_f64().unwrap() - area).abs() < 1e-4);
    let seconds: f64 = manifest["programs"]
        .as_array()
        .unwrap()
        .iter()
        .map(|p| p["seconds"].as_f64().unwrap() * p["count"].as_f64().unwrap())
        .sum();
    // Each program's time is written to a tenth.
    assert!((takes["machines"][0]["seconds"].as_f64().unwrap() - seconds).abs() < 0.1 * count as f64 * 3.0);
    let csv = fs::read_to_string(dir.join("out/cost.csv")).unwrap();
    let all = csv.lines().last().unwrap();
    assert!(csv.starts_with("what,") && all.starts_with("all,") && all.split(',').count() == 10, "{csv}");
    let minutes_of = |line: &str| line.split(',').nth(8).unwrap().parse::<f64>().unwrap();
    let by_hand = minutes_of(csv.lines().find(|l| l.starts_with("by hand,")).unwrap());
    let machines = minutes_of(all) - by_hand;
    assert!((machines - seconds / 60.0).abs() < 0.2, "{machines} against {}", seconds / 60.0);
    assert!((manifest["work"]["by_hand_minutes"].as_f64().unwrap() - by_hand).abs() < 0.1, "{csv}");
}

#[test]
fn the_first_box_lies_alone_on_request() {
    let dir = folder("first");
    atlas(&dir, 9, "");
    good(&dir, &["export", "atlas.toml", "--out", "out", "--first-article"]);
    let manifest = manifest(&dir.join("out"));
    all_once(&manifest, 9);
    let (mut first, mut rest) = (0, 0);
    for sheet in manifest["sheets"].as_array().unwrap() {
        let is_first = sheet["id"].as_str().unwrap().starts_with("first-");
        for p in sheet["placed"].as_array().unwrap() {
            let per_box = if p["piece"] == "cloth-patch" { 4 } else { 1 };
            let boxes = p["copies"].as_array().unwrap().iter().map(|c| (c.as_u64().unwrap() - 1) / per_box + 1);
            for number in boxes {
                assert_eq!(number == 1, is_first, "box {number} on {}", sheet["id"]);
                if is_first { first += 1 } else { rest += 1 }
            }
        }
    }
    assert_eq!(rest, 8 * first);
    // One box in all is the first article and nothing else.
    atlas(&dir, 1, "");
    good(&dir, &["export", "atlas.toml", "--out", "one", "--first-article"]);
    let one = self::manifest(&dir.join("one"));
    assert!(sheets(&one).iter().all(|s| s.0.starts_with("first-")), "{:?}", sheets(&one));
    all_once(&one, 1);
}

#[test]
fn the_rest_is_what_the_first_article_leaves() {
    let dir = folder("rest");
    atlas(&dir, 9, "[marks]\ngauges = true");
    good(&dir, &["export", "atlas.toml", "--out", "first", "--first-article"]);
    let text = good(&dir, &["export", "atlas.toml", "--out", "rest", "--rest", "--machine", MACHINE]);
    assert!(text.contains("Boxes 2 to 9"), "{text}");
    let (first, rest) = (manifest(&dir.join("first")), manifest(&dir.join("rest")));
    assert_eq!((&first["first_copy"], &rest["first_copy"]), (&Value::Null, &Value::from(2)));
    // The same sheets with the same copies, without those of the first box.
    let of = |m: &Value| -> Vec<Value> {
        let is_later = |s: &&Value| !s["id"].as_str().unwrap().starts_with("first-") && s["stock"] != "board";
        m["sheets"].as_array().unwrap().iter().filter(is_later).map(|s| s["placed"].clone()).collect()
    };
    assert!(!of(&rest).is_empty());
    assert_eq!(of(&first), of(&rest));
    let gauges = |id: &str| rest["pieces"].as_array().unwrap().iter().any(|p| p["id"] == id && p["role"] == "gauge");
    let placed = placed(&rest);
    for piece in rest["pieces"].as_array().unwrap().iter().filter(|p| p["role"] != "gauge") {
        let (id, each) = (piece["id"].as_str().unwrap(), piece["count"].as_u64().unwrap());
        let copies: Vec<u64> = placed.keys().filter(|k| k.0 == id).map(|k| k.1).collect();
        assert_eq!(copies, (each + 1..=9 * each).collect::<Vec<_>>(), "{id}");
    }
    assert!(placed.keys().filter(|k| gauges(&k.0)).all(|k| k.1 == 1));
    let list: Value = serde_json::from_slice(&fs::read(dir.join("rest/cut-list.json")).unwrap()).unwrap();
    assert_eq!(list["copies"], 8);
    good(&dir, &["verify", "rest"]);
    // A manifest that forgets which box is the first is not believed.
    let path = dir.join("rest/manifest.json");
    let text = fs::read_to_string(&path).unwrap();
    fs::write(&path, text.replace("\"first_copy\": 2,", "")).unwrap();
    assert!(!run(&dir, &["verify", "rest"]).status.success());
    let told = |arguments: &[&str]| {
        let o = run(&dir, arguments);
        assert!(!o.status.success());
        String::from_utf8(o.stderr).unwrap()
    };
    let both = told(&["export", "atlas.toml", "--out", "both", "--rest", "--first-article"]);
    assert!(both.contains("--rest leaves the first box out"), "{both}");
    atlas(&dir, 1, "");
    let one = told(&["export", "atlas.toml", "--out", "one", "--rest"]);
    assert!(one.contains("the job is of one box") && !dir.join("one").exists(), "{one}");
}

#[test]
fn copies_that_carry_their_numbers_have_sheets_of_their_own_and_are_proved() {
    let dir = folder("numbers");
    atlas(&dir, 14, "[marks]\ncopy_numbers = true");
    let o = run(&dir, &["export", "atlas.toml", "--out", "out", "--machine", MACHINE, "-v"]);
    assert!(o.status.success());
    assert!(String::from_utf8_lossy(&o.stderr).contains("without numbers"), "the cost of it is said");
    let manifest = manifest(&dir.join("out"));
    all_once(&manifest, 14);
    assert!(sheets(&manifest).iter().all(|s| s.1 == 1));
    let placed = |piece: &str| -> Vec<Value> {
        let all = manifest["sheets"].as_array().unwrap().iter().flat_map(|s| s["placed"].as_array().unwrap());
        all.filter(|p| p["piece"] == piece).cloned().collect()
    };
    let bases = placed("board-base");
    assert_eq!(bases.len(), 14);
    for (i, base) in bases.iter().enumerate() {
        assert!(base["marks"].as_array().unwrap().len() >= 3, "a number in strokes");
        assert!(bases[..i].iter().all(|b| b["marks"] != base["marks"]), "no two alike");
    }
    // What is drawn is what the manifest says, by the program's own proof.
    good(&dir, &["verify", "out"]);
}

#[test]
fn gauges_and_scrap_are_worked_and_proved() {
    let dir = folder("scrap");
    atlas(&dir, 1, "[marks]\ngauges = true\nscrap = true");
    good(&dir, &["export", "atlas.toml", "--out", "out", "--machine", MACHINE]);
    let manifest = manifest(&dir.join("out"));
    let sheets = manifest["sheets"].as_array().unwrap();
    assert!(sheets.iter().any(|s| s["marks"].as_array().is_some_and(|m| m.len() >= 5)), "the word has five letters");
    let gauges = manifest["pieces"].as_array().unwrap().iter().filter(|p| p["role"] == "gauge").count();
    assert!(gauges >= 2, "{gauges}");
    good(&dir, &["verify", "out"]);
    // A letter that is not drawn is missed.
    let name = format!("{}.{MACHINE}.nc", sheets[0]["id"].as_str().unwrap());
    let program = fs::read_to_string(dir.join("out").join(&name)).unwrap();
    let at = program.find("(mark waste").unwrap();
    let end = at + program[at + 1..].find("\n(").unwrap();
    let cut = format!("{}{}", &program[..at], &program[end + 2..]);
    fs::write(dir.join("part.nc"), cut).unwrap();
    let sheet = format!("out/{}", sheets[0]["drawings"][0].as_str().unwrap());
    let checked = run(
        &dir,
        &["verify", "--program", "part.nc", "--machine", MACHINE, "--thickness", "110 pt", "--sheet", &sheet],
    );
    assert!(!checked.status.success());
}
