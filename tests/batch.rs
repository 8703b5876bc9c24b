//! Whole lists: every item's pieces are cut once, wrong rows are told by row and column, and the
//! bytes do not hang on threads, kills or earlier runs.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops where its ground is missing")]

use serde_json::Value;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

pub(crate) const MACHINE: &str = "oscillating-knife-table";
const SAMPLES: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/samples");

/// A folder with the herbarium's survey in it.
pub(crate) fn folder(name: &str) -> PathBuf {
    let dir = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("batch").join(name);
    let _ = fs::remove_dir_all(&dir);
    fs::create_dir_all(&dir).unwrap();
    for file in ["herbarium-survey.csv", "herbarium-survey.toml"] {
        fs::copy(Path::new(SAMPLES).join(file), dir.join(file)).unwrap();
    }
    dir
}

fn command(dir: &Path, out: &str, more: &[&str]) -> Command {
    let mut c = Command::new(env!("CARGO_BIN_EXE_flapwright"));
    c.current_dir(dir);
    c.args(["batch", "herbarium-survey.csv", "--job", "herbarium-survey.toml", "--lot", "5", "--out", out]);
    c.args(more);
    c
}

pub(crate) fn batch(dir: &Path, out: &str, more: &[&str]) -> Output {
    command(dir, out, more).output().unwrap()
}

pub(crate) fn good(o: &Output) -> String {
    assert!(o.status.success(), "{}", String::from_utf8_lossy(&o.stderr));
    String::from_utf8(o.stdout.clone()).unwrap()
}

pub(crate) fn err(o: &Output) -> String {
    String::from_utf8(o.stderr.clone()).unwrap()
}

/// Every file below a folder with its bytes.
pub(crate) fn tree(dir: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut all = BTreeMap::new();
    for entry in fs::read_dir(dir).unwrap() {
        let entry = entry.unwrap();
        let name = entry.file_name().into_string().unwrap();
        if entry.file_type().unwrap().is_dir() {
            all.insert(format!("{name}/"), Vec::new());
            all.extend(tree(&entry.path()).into_iter().map(|(n, b)| (format!("{name}/{n}"), b)));
        } else {
            all.insert(name, fs::read(entry.path()).unwrap());
        }
    }
    all
}

pub(crate) fn assert_same(a: &BTreeMap<String, Vec<u8>>, b: &BTreeMap<String, Vec<u8>>) {
    assert_eq!(a.keys().collect::<Vec<_>>(), b.keys().collect::<Vec<_>>());
    let differ: Vec<&String> = a.iter().filter(|(n, bytes)| b[*n] != **bytes).map(|(n, _)| n).collect();
    assert!(differ.is_empty(), "{differ:?}");
}

pub(crate) fn json(path: &Path) -> Value {
    serde_json::from_slice(&fs::read(path).unwrap()).unwrap()
}

/// What a lot's file of pieces holds, unpacked.
pub(crate) fn pieces(lot: &Path) -> Value {
    let packed = fs::read(lot.join("pieces.json.gz")).unwrap();
    serde_json::from_reader(flate2::read::GzDecoder::new(packed.as_slice())).unwrap()
}

/// The list with one line changed.
pub(crate) fn change(dir: &Path, line: usize, to: &str) {
    let path = dir.join("herbarium-survey.csv");
    let text = fs::read_to_string(&path).unwrap();
    let lines: Vec<&str> = text.lines().enumerate().map(|(i, l)| if i + 1 == line { to } else { l }).collect();
    fs::write(path, lines.join("\n") + "\n").unwrap();
}

#[test]
fn every_item_has_all_its_pieces_on_sheets_that_are_proved() {
    let dir = folder("whole");
    let text = good(&batch(&dir, "out", &["--machine", MACHINE]));
    assert!(text.contains("24 of 24 items made") && text.contains("5 lots"), "{text}");
    let whole = json(&dir.join("out/batch.json"));
    assert_eq!(whole["finished"], true);
    let (mut boxes, mut shared) = (0, 0);
    for lot in whole["lots"].as_array().unwrap() {
        let lot_dir = dir.join("out").join(lot["folder"].as_str().unwrap());
        let manifest = json(&lot_dir.join("manifest.json"));
        let listed = pieces(&lot_dir);
        let mut placed: BTreeMap<String, u64> = BTreeMap::new();
        for sheet in manifest["sheets"].as_array().unwrap() {
            let on = sheet["placed"].as_array().unwrap();
            let mut items: Vec<&str> =
                on.iter().map(|p| p["piece"].as_str().unwrap().split('/').next().unwrap()).collect();
            items.sort_unstable();
            items.dedup();
            shared += usize::from(items.len() > 1);
            for p in on {
                *placed.entry(p["piece"].as_str().unwrap().into()).or_default() += sheet["count"].as_u64().unwrap();
            }
        }
        let pieces = listed["pieces"].as_array().unwrap();
        assert_eq!(placed.len(), pieces.len());
        for piece in pieces {
            assert_eq!(placed[piece["id"].as_str().unwrap()], piece["count"].as_u64().unwrap(), "{}", piece["id"]);
        }
        for item in lot["items"].as_array().unwrap() {
            // Base, two walls, two lids, cover and liner at least, each as often as there are copies.
            let copies = item["copies"].as_u64().unwrap();
            boxes += copies;
            let id = item["id"].as_str().unwrap();
            for piece in ["board-base", "board-wall-left", "board-flap-right", "cloth-cover", "liner-cross"] {
                assert_eq!(placed[&format!("{id}/{piece}")], copies, "{id}/{piece}");
            }
            let own = json(&lot_dir.join(format!("item-{id}.json")));
            assert_eq!(own["item"], *item);
            // The row's own measures and the job's clearance: the interior.
            assert!(own["fit"]["interior"][0].as_f64().unwrap() > 140.0);
        }
        // The label of a piece starts with its item, in strokes: two boxes of one size still differ.
        let o = Command::new(env!("CARGO_BIN_EXE_flapwright")).arg("verify").arg(&lot_dir).output().unwrap();
        assert!(o.status.success(), "{}", String::from_utf8_lossy(&o.stdout));
    }
    assert_eq!(whole["takes"]["boxes"].as_u64().unwrap(), boxes);
    assert!(shared > 5, "sheets are shared between items");
    // The items' shares add up to the whole, but for the cents.
    let items = || whole["lots"].as_array().unwrap().iter().flat_map(|l| l["items"].as_array().unwrap());
    let cost: f64 = items().map(|i| i["cost"].as_f64().unwrap()).sum();
    assert!((cost - whole["takes"]["cost"].as_f64().unwrap()).abs() < 0.005 * 24.0 + 0.01);
    let seconds: f64 = items().map(|i| i["seconds"].as_f64().unwrap()).sum();
    assert!((seconds - whole["takes"]["machines"][0]["seconds"].as_f64().unwrap()).abs() < 0.1 * 24.0);
    let rows = fs::read_to_string(dir.join("out/batch.csv")).unwrap();
    assert_eq!(rows.lines().count(), 25);
    let list = fs::read_to_string(dir.join("out/cut-list.csv")).unwrap();
    assert!(list.starts_with("lot,stock,"), "{list}");
    let base = list.lines().find(|l| l.contains(",TH-005/board-base,")).unwrap();
    // The fifth row has a board of 3 mm of its own.
    assert!(base.starts_with("1,board,3,"), "{base}");
}

#[test]
fn a_row_makes_the_box_that_its_measures_make_alone() {
    let dir = folder("alone");
    good(&batch(&dir, "out", &[]));
    // Row 4, TH-003, as a job of its own.
    let list = fs::read_to_string(dir.join("herbarium-survey.csv")).unwrap();
    let line = list.lines().nth(3).unwrap();
    let tail: Vec<&str> = line.rsplit('"').next().unwrap().trim_start_matches(',').split(',').collect();
    let mut job = fs::read_to_string(dir.join("herbarium-survey.toml")).unwrap();
    let depth = format!("[{}]", tail[2].replace(';', ", "));
    for (usual, own) in [("width = 210", tail[0]), ("height = 297", tail[1]), ("depth = 12", depth.as_str())] {
        assert!(job.contains(&format!("\n{usual}\n")));
        job = job.replace(&format!("\n{usual}\n"), &format!("\n{} = {own}\n", usual.split(' ').next().unwrap()));
    }
    fs::write(dir.join("one.toml"), job).unwrap();
    let o = Command::new(env!("CARGO_BIN_EXE_flapwright"))
        .current_dir(&dir)
        .args(["export", "one.toml", "--out", "one"])
        .output()
        .unwrap();
    good(&o);
    let (one, lot) = (json(&dir.join("one/manifest.json")), pieces(&dir.join("out/lot-1")));
    let outline = |m: &Value, id: &str| {
        m["pieces"].as_array().unwrap().iter().find(|p| p["id"] == id).map(|p| p["outline"].clone()).unwrap()
    };
    for piece in one["pieces"].as_array().unwrap() {
        let id = piece["id"].as_str().unwrap();
        assert_eq!(outline(&one, id), outline(&lot, &format!("TH-003/{id}")), "{id}");
    }
}

#[test]
fn one_thread_and_two_and_a_second_run_give_the_same_bytes() {
    let dir = folder("threads");
    good(&batch(&dir, "one", &["--machine", MACHINE, "--threads", "1"]));
    let one = tree(&dir.join("one"));
    for (out, threads) in [("two", "2"), ("five", "5"), ("again", "1")] {
        good(&batch(&dir, out, &["--machine", MACHINE, "--threads", threads]));
        assert_same(&one, &tree(&dir.join(out)));
    }
    // And a single job's export.
    let export = |out: &str, threads: &str| {
        let o = Command::new(env!("CARGO_BIN_EXE_flapwright"))
            .current_dir(&dir)
            .args(["export", &format!("{SAMPLES}/tideline-folio.toml"), "--out", out, "--machine", MACHINE])
            .args(["--threads", threads])
            .output()
            .unwrap();
        good(&o);
        tree(&dir.join(out))
    };
    assert_same(&export("e1", "1"), &export("e2", "2"));
}

#[test]
fn a_run_that_is_killed_and_taken_up_ends_the_same() {
    let dir = folder("killed");
    let start = Instant::now();
    good(&batch(&dir, "whole", &["--machine", MACHINE]));
    let whole = start.elapsed();
    let expected = tree(&dir.join("whole"));
    let mut seed = 11u64;
    let mut cut_short = 0;
    for round in 0..4 {
        let out = format!("killed-{round}");
        // Killed time and again at points spread over the run, then left to end.
        for _ in 0..4 {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            let part = (seed >> 33) as f64 / f64::from(1u32 << 31);
            let mut child = command(&dir, &out, &["--machine", MACHINE])
                .stdout(Stdio::null())
                .stderr(Stdio::null())
                .spawn()
                .unwrap();
            std::thread::sleep(Duration::from_secs_f64(whole.as_secs_f64() * part * 0.8));
            if child.try_wait().unwrap().is_none() {
                cut_short += 1;
            }
            let _ = child.kill();
            child.wait().unwrap();
        }
        good(&batch(&dir, &out, &["--machine", MACHINE]));
        assert_same(&expected, &tree(&dir.join(&out)));
    }
    assert!(cut_short > 0, "no run was cut short: the test proved nothing");
}

#[test]
fn what_has_not_changed_is_not_worked_again() {
    let dir = folder("resumed");
    let without = |mut all: BTreeMap<String, Vec<u8>>| {
        all.remove("changes.csv");
        all
    };
    let kept = |o: &Output| -> u64 { serde_json::from_str::<Value>(&good(o)).unwrap()["lots_kept"].as_u64().unwrap() };
    let run = |out: &str| batch(&dir, out, &["--machine", MACHINE, "--format", "json"]);
    assert_eq!(kept(&run("out")), 0);
    let first = tree(&dir.join("out"));
    assert_eq!(kept(&run("out")), 5);
    assert_same(&first, &tree(&dir.join("out")));
    // A row of the third lot grows: only that lot is made again.
    change(&dir, 14, "TH-013,Serrated wrack,180,240,9,1,");
    assert_eq!(kept(&run("out")), 4);
    let changes = fs::read_to_string(dir.join("out/changes.csv")).unwrap();
    assert!(changes.lines().count() == 2 && changes.lines().nth(1).unwrap().starts_with("3,board-"), "{changes}");
    assert!(changes.trim_end().ends_with(",row changed,TH-013"), "{changes}");
    run("fresh");
    assert_same(&without(tree(&dir.join("fresh"))), &without(tree(&dir.join("out"))));
    // A file that is gone is made again; so is everything after a change of the job.
    let drawing = fs::read_dir(dir.join("out/lot-2")).unwrap().map(|e| e.unwrap().path());
    let drawing = drawing.filter(|p| p.extension().is_some_and(|e| e == "dxf")).min().unwrap();
    fs::remove_file(drawing).unwrap();
    assert_eq!(kept(&run("out")), 4);
    assert_same(&tree(&dir.join("fresh")), &tree(&dir.join("out")));
    let job = fs::read_to_string(dir.join("herbarium-survey.toml")).unwrap();
    fs::write(dir.join("herbarium-survey.toml"), job.replace("thickness = 0.35", "thickness = 0.4")).unwrap();
    assert_eq!(kept(&run("out")), 0);
    // A shorter list takes the lots away that it no longer has.
    let list = fs::read_to_string(dir.join("herbarium-survey.csv")).unwrap();
    let short: Vec<&str> = list.lines().take(8).collect();
    fs::write(dir.join("herbarium-survey.csv"), short.join("\n")).unwrap();
    // Not without being asked.
    let before = tree(&dir.join("out"));
    let o = run("out");
    let told = String::from_utf8(o.stdout.clone()).unwrap();
    assert!(o.status.code() == Some(2) && told.contains("lot-3, lot-4, lot-5"), "{told}");
    assert_same(&before, &tree(&dir.join("out")));
    good(&batch(&dir, "out", &["--machine", MACHINE, "--force"]));
    let changes = fs::read_to_string(dir.join("out/changes.csv")).unwrap();
    assert_eq!(changes.matches(",lot gone,").count(), 3, "{changes}");
    fs::remove_file(dir.join("out/changes.csv")).unwrap();
    good(&run("short"));
    fs::remove_file(dir.join("short/changes.csv")).unwrap();
    assert_same(&tree(&dir.join("short")), &tree(&dir.join("out")));
}

#[test]
fn wrong_rows_are_told_by_row_and_column_and_the_rest_goes_on() {
    let dir = folder("wrong");
    change(&dir, 3, "TH-002,Channelled wrack,237,\"31,500\",9,1,");
    change(&dir, 6, "TH-005,Sugar kelp,254,336,9,many,");
    change(&dir, 8, "TH-007,Gutweed,297");
    change(&dir, 10, ",Coral weed,180,240,7,1,");
    change(&dir, 12, "TH-001,Serrated wrack,180,240,7,1,");
    change(&dir, 15, "TH-014,Purple laver,9000,8000,7,1,");
    change(&dir, 20, "TH-019,Juicy whorl weed,180,240,7;wet,1,");
    let o = batch(&dir, "out", &[]);
    assert_eq!(o.status.code(), Some(1));
    let told = err(&o);
    for part in [
        "row 3 (TH-002), column height: `31,500` is not a length",
        "row 6 (TH-005), column copies: `copies` must be a whole number",
        "row 8 (TH-007): the row has 3 cells and the header 7",
        "row 10, column id: the row has no id",
        "row 12 (TH-001), column id: the id TH-001 is that of row 2 too",
        "row 15 (TH-014)",
        "row 20 (TH-019), column depth: `wet` is not a length",
    ] {
        assert!(told.contains(part), "{part}\n{told}");
    }
    for (row, next) in told.lines().filter(|l| l.starts_with("error")).zip(told.lines().skip(1)) {
        assert!(row.contains("herbarium-survey.csv row "), "{row} {next}");
    }
    assert!(told.matches("  help: ").count() >= 6, "{told}");
    let text = String::from_utf8(o.stdout.clone()).unwrap();
    assert!(text.contains("17 of 24 items made, 7 refused"), "{text}");
    let rows = fs::read_to_string(dir.join("out/batch.csv")).unwrap();
    assert_eq!(rows.matches(",refused,").count(), 7);
    assert_eq!(rows.matches(",made,").count(), 17);
    // The good rows are as they would be in a list without the bad ones' pieces: all are proved.
    let o = Command::new(env!("CARGO_BIN_EXE_flapwright")).arg("verify").arg(dir.join("out/lot-1")).output().unwrap();
    assert!(o.status.success(), "{}", String::from_utf8_lossy(&o.stdout));
    // A second run tells the same.
    assert_eq!(err(&batch(&dir, "out", &[])), told);
    // A strict one stops at the first lot that is wrong, and says so.
    let o = batch(&dir, "strict", &["--strict"]);
    assert_eq!(o.status.code(), Some(1));
    assert!(err(&o).contains("Stopped") && !dir.join("strict/lot-1").exists());
}

#[test]
fn a_wrong_header_or_a_folder_of_the_makers_stops_it_before_anything_is_written() {
    let dir = folder("header");
    change(&dir, 1, "name,title,widht,height,depth,copies,board.thicknes");
    let o = batch(&dir, "out", &[]);
    assert_eq!(o.status.code(), Some(1));
    let told = err(&o);
    for part in ["no column `id`", "column widht", "did you mean `width`?", "did you mean `board.thickness`?"] {
        assert!(told.contains(part), "{part}\n{told}");
    }
    assert!(!dir.join("out").exists());
    let dir = folder("makers");
    fs::create_dir(dir.join("out")).unwrap();
    fs::write(dir.join("out/kelp.png"), b"kelp").unwrap();
    let o = batch(&dir, "out", &[]);
    assert_eq!(o.status.code(), Some(2));
    assert_eq!(tree(&dir.join("out")).into_keys().collect::<Vec<_>>(), ["kelp.png"]);
    // Of a batch of ours a lot to which the maker added a note is left alone.
    fs::remove_file(dir.join("out/kelp.png")).unwrap();
    good(&batch(&dir, "out", &[]));
    fs::write(dir.join("out/lot-2/notes.txt"), b"left lid tight").unwrap();
    change(&dir, 9, "TH-008,Gutweed,181,241,9,1,");
    let o = batch(&dir, "out", &[]);
    assert_eq!(o.status.code(), Some(2));
    assert!(err(&o).contains("notes.txt"), "{}", err(&o));
    assert!(dir.join("out/lot-2/notes.txt").exists());
}

#[test]
fn semicolons_and_a_mark_of_byte_order_are_read_as_well() {
    let dir = folder("semicolons");
    good(&batch(&dir, "commas", &[]));
    let commas = tree(&dir.join("commas"));
    let list = fs::read_to_string(dir.join("herbarium-survey.csv")).unwrap();
    let field = |f: &str| if f.contains(';') { format!("\"{f}\"") } else { f.to_owned() };
    let row = |line: &str| {
        // Titles hold commas in quotes; depths hold semicolons.
        let mut cells: Vec<String> = Vec::new();
        for (i, part) in line.split('"').enumerate() {
            if i == 1 {
                cells.push(format!("\"{part}\""));
            } else {
                cells.extend(part.trim_matches(',').split(',').map(field));
                if i == 2 && part.ends_with(',') {
                    cells.push(String::new());
                }
            }
        }
        cells.join(";")
    };
    let text: Vec<String> = list.lines().map(row).collect();
    fs::write(dir.join("herbarium-survey.csv"), format!("\u{feff}{}\r\n", text.join("\r\n"))).unwrap();
    good(&batch(&dir, "semicolons", &[]));
    assert_same(&commas, &tree(&dir.join("semicolons")));
}

#[test]
fn every_lot_of_a_list_is_proved_at_once() {
    let dir = folder("proved");
    let o = batch(&dir, "survey", &["--machine", MACHINE]);
    assert!(o.status.success(), "{}", err(&o));
    let verify = || {
        let program = env!("CARGO_BIN_EXE_flapwright");
        let o =
            Command::new(program).args(["verify", "survey", "--format", "json"]).current_dir(&dir).output().unwrap();
        (o.status.code(), serde_json::from_slice::<Value>(&o.stdout).unwrap())
    };
    let (code, sound) = verify();
    assert_eq!(code, Some(0), "{sound:#}");
    let of = |lot: &str| {
        sound["programs"].as_array().unwrap().iter().filter(|p| p["file"].as_str().unwrap().starts_with(lot)).count()
    };
    assert!(of("lot-1/") > 0 && of("lot-2/") > 0 && of("lot-3/") > 0, "{sound:#}");
    let codes = |found: &Value| -> Vec<(String, String)> {
        let text = |v: &Value| v.as_str().unwrap().to_owned();
        found["findings"].as_array().unwrap().iter().map(|f| (text(&f["code"]), text(&f["file"]))).collect()
    };
    // A program of the second lot loses a line; a lot is gone; another is of no list.
    let lot = dir.join("survey/lot-2");
    let name = |e: fs::DirEntry| e.file_name().into_string().unwrap();
    let program =
        fs::read_dir(&lot).unwrap().map(|e| name(e.unwrap())).find(|n| n.ends_with(&format!("{MACHINE}.nc"))).unwrap();
    let text = fs::read_to_string(lot.join(&program)).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    let at = lines.len() / 2;
    fs::write(lot.join(&program), [&lines[..at], &lines[at + 1..]].concat().join("\n") + "\n").unwrap();
    fs::rename(dir.join("survey/lot-3"), dir.join("survey/lot-9")).unwrap();
    let (code, found) = verify();
    assert_eq!(code, Some(1));
    let all = codes(&found);
    assert!(all.contains(&("file-changed".into(), format!("lot-2/{program}"))), "{all:?}");
    assert!(all.contains(&("lot-missing".into(), "batch.json".into())), "{all:?}");
    assert!(all.contains(&("lot-extra".into(), "lot-9".into())), "{all:?}");
    assert!(!all.iter().any(|(_, file)| file.starts_with("lot-1/")), "{all:?}");
}

/// Derived: rows that are alike take the same of what their lot takes, whichever of its sheets their pieces came to lie on,
/// to the cent that cannot be divided; and all rows of a lot come to its sum, cent for cent.
#[test]
fn rows_that_are_alike_cost_the_same_and_all_come_to_the_whole() {
    let dir = folder("alike");
    let job = dir.join("herbarium-survey.toml");
    let text = fs::read_to_string(&job).unwrap();
    let paid = "[glue]\nprice = 9\n\n[work]\nrate = 25\nmachine_rate = 12\n\n[board]";
    fs::write(&job, text.replacen("[board]", paid, 1).replacen("price = 4.80", "price = 4.87", 1)).unwrap();
    let mut list = String::from("id,title,width,height,depth,copies\n");
    for (n, size) in
        ["209,293,10", "209,293,10", "237,315,12", "209,293,10", "145,205,8"].iter().cycle().take(19).enumerate()
    {
        // Names of other lengths: what is drawn on a piece is no share of the box.
        list.push_str(&format!("{},\"Dulse {n}\",{size},{}\n", "W".repeat(1 + n % 7) + &n.to_string(), 1 + n % 2));
    }
    fs::write(dir.join("herbarium-survey.csv"), list).unwrap();
    for (out, more) in [("cut", &["--machine", MACHINE][..]), ("drawn", &[])] {
        let arguments =
            ["batch", "herbarium-survey.csv", "--job", "herbarium-survey.toml", "--lot", "12", "--out", out];
        let mut command = Command::new(env!("CARGO_BIN_EXE_flapwright"));
        good(&command.current_dir(&dir).args(arguments).args(more).output().unwrap());
        let whole = json(&dir.join(out).join("batch.json"));
        let cents = |v: &Value| (v.as_f64().unwrap() * 100.0).round() as i64;
        let (mut uneven, mut compared) = (0, 0);
        for lot in whole["lots"].as_array().unwrap() {
            let items = lot["items"].as_array().unwrap();
            for (key, sum) in [("cost", &lot["takes"]["cost"]), ("in_all", &lot["takes"]["work"]["money"]["in_all"])] {
                assert_eq!(items.iter().map(|i| cents(&i[key])).sum::<i64>(), cents(sum), "{out}: {key}");
            }
            for (n, a) in items.iter().enumerate() {
                let is_alike = |b: &&Value| a["holds"] == b["holds"] && a["copies"] == b["copies"];
                for b in items[n + 1..].iter().filter(is_alike) {
                    compared += 1;
                    uneven += usize::from(a["sheets"] != b["sheets"]);
                    for key in ["cost", "in_all"] {
                        assert!(
                            (cents(&a[key]) - cents(&b[key])).abs() <= 1,
                            "{out}: {key} of {} and {}",
                            a["id"],
                            b["id"]
                        );
                    }
                    assert_eq!((&a["seconds"], &a["minutes"]), (&b["seconds"], &b["minutes"]), "{out}: {}", a["id"]);
                }
            }
        }
        // They do not lie alike, or this says nothing.
        assert!(compared > 10 && uneven > 5, "{compared}, {uneven}");
    }
}
