//! The shop: its stock in a file of its own, jobs that draw from it, cutting that takes off and gives back; and nothing
//! of it lost by two runs at once, kills or a full disk.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops where its ground is missing")]

use crate::batch::{assert_same, err, good, json, tree};
use serde_json::Value;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::time::Duration;

const BINARY: &str = env!("CARGO_BIN_EXE_flapwright");

/// A slim folder of which the shop knows the board; its other stocks say all themselves.
const JOB: &str = r#"format = 1
title = "Rockpool folder"

[contents]
size = "A5"
depth = 4

[board] # the usual
stock = "grey board"

[cloth]
thickness = 0.3

[liner]
thickness = 0.2

[flap.right]
tier = 1
reach = "60 %"

[flap.left]
tier = 2
reach = "95 %"
"#;

fn home(name: &str) -> PathBuf {
    let dir = Path::new(env!("CARGO_TARGET_TMPDIR")).join("shop").join(name);
    let _ = fs::remove_dir_all(&dir);
    fs::create_dir_all(&dir).unwrap();
    fs::write(dir.join("job.toml"), JOB).unwrap();
    dir
}

fn run(dir: &Path, arguments: &[&str]) -> Output {
    Command::new(BINARY).current_dir(dir).args(arguments).output().unwrap()
}

/// Says something of the shop `shop.db`.
fn say(dir: &Path, arguments: &[&str]) -> String {
    good(&run(dir, &[&["shop", "shop.db"], arguments].concat()))
}

/// All that is in it.
fn all(dir: &Path) -> Value {
    serde_json::from_str(&say(dir, &["--format", "json"])).unwrap()
}

/// How many whole sheets of the first size of the first stock there are, and how many leftovers.
fn counts(dir: &Path) -> (u64, usize) {
    let all = all(dir);
    let stock = &all["stocks"][0];
    (stock["sheets"][0]["on_hand"].as_u64().unwrap(), stock["leftovers"].as_array().unwrap().len())
}

/// A shop with one board: twelve sheets of 500 x 700 mm at 4.80.
fn stocked(name: &str) -> PathBuf {
    let dir = home(name);
    say(
        &dir,
        &["stock", "grey board", "--kind", "board", "--thickness", "2 mm", "--grain", "height", "--grammage", "1300"],
    );
    say(&dir, &["sheets", "grey board", "500 x 700 mm", "--on-hand", "12", "--price", "4.80"]);
    dir
}

#[test]
fn what_is_said_is_kept_corrected_and_listed() {
    let dir = stocked("kept");
    say(&dir, &["stock", "grey board", "--grammage", "1250"]);
    say(&dir, &["sheets", "grey board", "20 x 30 in", "--bought", "3"]);
    say(&dir, &["sheets", "grey board", "508 x 762 mm", "--bought", "2", "--price", "6"]);
    say(&dir, &["measured", "grey board", "2.12 mm"]);
    say(&dir, &["measured", "grey board", "81 pt"]);
    say(&dir, &["leftover", "grey board", "310 x 420 mm", "--from", "the tideline folio", "--count", "2"]);
    say(&dir, &["machine", "our table", "oscillating-knife-table"]);
    let of = all(&dir);
    let stock = &of["stocks"][0];
    assert_eq!((stock["thickness"].as_f64(), stock["grammage"].as_f64()), (Some(2.0), Some(1250.0)));
    // 81 thousandths of an inch of 25.4 mm; the last measured stands first.
    let measured: Vec<f64> =
        stock["measured"].as_array().unwrap().iter().map(|m| m["thickness"].as_f64().unwrap()).collect();
    assert!((measured[0] - 0.081 * 25.4).abs() < 1e-9 && (measured[1] - 2.12).abs() < 1e-9, "{measured:?}");
    // 20 by 30 in are 508 by 762 mm: one size.
    let sheets: Vec<(f64, u64)> = stock["sheets"]
        .as_array()
        .unwrap()
        .iter()
        .map(|s| (s["width"].as_f64().unwrap(), s["on_hand"].as_u64().unwrap()))
        .collect();
    assert_eq!(sheets, [(500.0, 12), (508.0, 5)]);
    assert_eq!(of["machines"], serde_json::json!(["our table"]));
    let text = say(&dir, &[]);
    for part in [
        "\"grey board\": board, 2.0574",
        "500 x 700 mm",
        "12 whole",
        "leftover 1",
        "the tideline folio",
        "Machines: our table",
    ] {
        assert!(text.contains(part), "{part}: {text}");
    }
    say(&dir, &["drop", "1"]);
    assert_eq!(counts(&dir), (12, 1));
    say(&dir, &["stock", "grey board", "--rename", "grey board 2"]);
    let before = fs::read(dir.join("shop.db")).unwrap();
    for (arguments, part) in [
        (&["sheets", "gray board 2", "500 x 700 mm"][..], "did you mean \"grey board 2\"?"),
        (&["stock", "felt"], "--kind"),
        (&["stock", "grey board 2", "--kind", "cloth"], "cannot become cloth"),
        (&["stock", "grey board 2", "--thickness", "30 mm"], "no thickness"),
        (&["measured", "grey board 2", "2 t"], "no length of its own"),
        (&["sheets", "grey board 2", "500"], "no size"),
        (&["sheets", "grey board 2", "500 x 700 mm", "--price", "-1"], "price"),
        (&["leftover", "grey board 2", "1 x 1 mm"], "a side of a sheet"),
        (&["drop", "2", "77"], "no leftover 77"),
        (&["machine", "other", "nowhere.toml"], "cannot read"),
    ] {
        let o = run(&dir, &[&["shop", "shop.db"], arguments].concat());
        assert!(o.status.code() == Some(2) && err(&o).contains(part), "{arguments:?}: {}", err(&o));
    }
    assert!(before == fs::read(dir.join("shop.db")).unwrap(), "what is refused changes nothing");
}

#[test]
fn a_job_draws_what_it_leaves_out_and_the_folder_keeps_it() {
    let dir = stocked("draws");
    say(&dir, &["measured", "grey board", "2.1 mm"]);
    say(&dir, &["leftover", "grey board", "480 x 340 mm"]);
    let o = run(&dir, &["export", "job.toml", "--out", "box", "--shop", "shop.db"]);
    let text = good(&o);
    for part in
        ["From the shop:", "thickness 2.1 mm (as measured)", "500 mm x 700 mm (12 there)", "price 4.80", "1 leftover"]
    {
        assert!(text.contains(part), "{part}: {text}");
    }
    // The folder's job says all of it, so that it can be worked again without the shop: the same files.
    let kept = fs::read_to_string(dir.join("box/job.toml")).unwrap();
    assert!(
        kept.contains("# the usual") && kept.contains("# from the shop") && kept.contains("[[board.leftover]]"),
        "{kept}"
    );
    let box_of = tree(&dir.join("box"));
    fs::write(dir.join("kept.toml"), &kept).unwrap();
    good(&run(&dir, &["export", "kept.toml", "--out", "again"]));
    let mut again = tree(&dir.join("again"));
    // The page has the job's name in it.
    again.insert("page.html".into(), box_of["page.html"].clone());
    again.insert("manifest.json".into(), box_of["manifest.json"].clone());
    assert_same(&box_of, &again);
    let manifest = json(&dir.join("box/manifest.json"));
    let board: Vec<&Value> = manifest["sheets"].as_array().unwrap().iter().filter(|s| s["stock"] == "board").collect();
    assert!(board.iter().all(|s| s["thickness"] == 2.1 && s["named"] == "grey board"), "{board:?}");
    good(&run(&dir, &["verify", "box"]));
    // A second run gives the same bytes: no time and no number of the shop is in them.
    std::thread::sleep(Duration::from_millis(1100));
    good(&run(&dir, &["export", "job.toml", "--out", "box", "--shop", "shop.db"]));
    assert_same(&box_of, &tree(&dir.join("box")));
    // What the job says itself stands, in either way of writing a table, and in inches.
    let own = JOB
        .replace("title =", "units = \"in\"\ntitle =")
        .replace("depth = 4", "depth = \"4 mm\"")
        .replace("thickness = 0.3", "thickness = \"0.3 mm\"")
        .replace("thickness = 0.2", "thickness = \"0.2 mm\"")
        .replace("[board] # the usual\nstock = \"grey board\"\n", "")
        .replace("[contents]", "board = { stock = \"grey board\", thickness = \"2.5 mm\", price = 7 }\n\n[contents]");
    fs::write(dir.join("own.toml"), &own).unwrap();
    good(&run(&dir, &["export", "own.toml", "--out", "own", "--shop", "shop.db"]));
    let manifest = json(&dir.join("own/manifest.json"));
    let first = manifest["sheets"].as_array().unwrap().iter().find(|s| s["stock"] == "board").unwrap();
    assert_eq!(first["thickness"], 2.5);
    let kept = fs::read_to_string(dir.join("own/job.toml")).unwrap();
    assert!(kept.contains("price = 7") && kept.contains("\"500 mm\"") && !kept.contains("4.8"), "{kept}");
    // A check, a machine of the shop's, and more sheets than there are.
    let text = good(&run(&dir, &["check", "job.toml", "--shop", "shop.db"]));
    assert!(text.contains("From the shop:"), "{text}");
    say(&dir, &["machine", "our-table", "oscillating-knife-table"]);
    say(&dir, &["sheets", "grey board", "500 x 700 mm", "--on-hand", "1"]);
    fs::write(dir.join("many.toml"), format!("copies = 9\n{JOB}")).unwrap();
    let o = run(&dir, &["export", "many.toml", "--out", "many", "--shop", "shop.db", "--machine", "our-table"]);
    good(&o);
    assert!(err(&o).contains("and the shop has 1") && err(&o).contains("buy "), "{}", err(&o));
    assert!(dir.join("many/board-1.our-table.nc").exists());
}

#[test]
fn without_a_shop_jobs_are_worked_as_ever_and_wrong_names_are_told() {
    let dir = stocked("without");
    let o = run(&dir, &["check", "job.toml"]);
    assert!(
        o.status.code() == Some(1) && (err(&o) + &String::from_utf8_lossy(&o.stdout)).contains("--shop"),
        "{}",
        err(&o)
    );
    let whole = JOB.replace(
        "stock = \"grey board\"",
        "stock = \"grey board\"\nthickness = 2\nsheet = { width = 500, height = 700 }",
    );
    fs::write(dir.join("whole.toml"), &whole).unwrap();
    good(&run(&dir, &["export", "whole.toml", "--out", "whole"]));
    for (from, to, part) in [
        ("stock = \"grey board\"", "stock = \"gray board\"", "did you mean \"grey board\"?"),
        ("[cloth]\n", "[cloth]\nstock = \"grey board\"\n", "is board in the shop"),
    ] {
        fs::write(dir.join("wrong.toml"), JOB.replace(from, to)).unwrap();
        let o = run(&dir, &["export", "wrong.toml", "--out", "wrong", "--shop", "shop.db"]);
        assert!(o.status.code() == Some(2) && err(&o).contains(part) && !dir.join("wrong").exists(), "{}", err(&o));
    }
    // Files that are no shop, or none, are left as they are.
    fs::write(
        dir.join("text.db"),
        "a maker's own text, longer than the head of a database would be, by far. ".repeat(20),
    )
    .unwrap();
    fs::write(dir.join("empty.db"), "").unwrap();
    for (file, part) in
        [("text.db", "no database"), ("empty.db", "it is empty"), ("none.db", "cannot open"), (".", "no file")]
    {
        let before = fs::read(dir.join(file)).ok();
        for arguments in [&["shop", file][..], &["export", "job.toml", "--out", "wrong", "--shop", file]] {
            let o = run(&dir, arguments);
            assert!(o.status.code() == Some(2) && err(&o).contains(part), "{arguments:?}: {}", err(&o));
        }
        assert_eq!(before, fs::read(dir.join(file)).ok());
    }
    let o = run(&dir, &["shop", "text.db", "stock", "felt", "--kind", "liner"]);
    assert!(o.status.code() == Some(2) && err(&o).contains("left as it is"), "{}", err(&o));
}

#[test]
fn cutting_takes_off_and_gives_back_and_all_of_it_is_undone() {
    let dir = stocked("cut");
    fs::write(dir.join("many.toml"), format!("copies = 4\n{JOB}")).unwrap();
    good(&run(&dir, &["export", "many.toml", "--out", "box", "--shop", "shop.db"]));
    let manifest = json(&dir.join("box/manifest.json"));
    let board: Vec<&Value> = manifest["sheets"].as_array().unwrap().iter().filter(|s| s["stock"] == "board").collect();
    let sheets: u64 = board.iter().map(|s| s["count"].as_u64().unwrap()).sum();
    let offcuts: u64 = board.iter().filter(|s| s["offcut"].is_object()).map(|s| s["count"].as_u64().unwrap()).sum();
    assert!(sheets > 1 && offcuts > 0, "{board:?}");
    let names: Vec<&str> = board.iter().map(|s| s["id"].as_str().unwrap()).collect();
    let cut = |more: &[&str]| run(&dir, &[&["cut", "box"], &names[..], more].concat());
    let o = cut(&["--shop", "shop.db"]);
    good(&o);
    assert_eq!(counts(&dir), (12 - sheets, offcuts as usize));
    // Twice said is once cut.
    good(&cut(&["--shop", "shop.db"]));
    good(&cut(&[]));
    assert_eq!(counts(&dir), (12 - sheets, offcuts as usize));
    let of = all(&dir);
    assert_eq!(of["cuts"].as_array().unwrap().len() as u64, sheets);
    for left in of["stocks"][0]["leftovers"].as_array().unwrap() {
        let is_it = |s: &&Value| {
            s["offcut"]["width"].as_f64().is_some_and(|w| (w.floor() - left["width"].as_f64().unwrap()).abs() < 1e-9)
        };
        let from = board.iter().copied().find(is_it).expect("a leftover is some sheet's");
        assert!(left["height"].as_f64().unwrap() <= from["offcut"]["height"].as_f64().unwrap());
        assert!(left["source"].as_str().unwrap().starts_with("Rockpool folder, board-"), "{left}");
    }
    assert!(good(&run(&dir, &["shop", "shop.db", "history"])).contains("Rockpool folder"));
    // The next job lies on what is left, and takes it.
    good(&run(&dir, &["export", "job.toml", "--out", "next", "--shop", "shop.db"]));
    let next = json(&dir.join("next/manifest.json"));
    let on: Vec<&Value> =
        next["sheets"].as_array().unwrap().iter().filter(|s| s["stock"] == "board" && s["leftover"] == true).collect();
    if !on.is_empty() {
        let id = on[0]["id"].as_str().unwrap();
        let before = all(&dir)["stocks"][0]["leftovers"].as_array().unwrap().clone();
        good(&run(&dir, &["cut", "next", id, "--shop", "shop.db"]));
        let after = all(&dir)["stocks"][0]["leftovers"].as_array().unwrap().clone();
        let numbers = |all: &[Value]| all.iter().map(|l| l["number"].as_u64().unwrap()).collect::<Vec<_>>();
        let gone: Vec<u64> = numbers(&before).into_iter().filter(|n| !numbers(&after).contains(n)).collect();
        assert_eq!(gone.len(), 1);
        // What was used since cannot be taken back before that.
        let o = cut(&["--undo", "--shop", "shop.db"]);
        assert!(o.status.code() == Some(2) && err(&o).contains("was used since"), "{}", err(&o));
        good(&run(&dir, &["cut", "next", id, "--undo", "--shop", "shop.db"]));
    }
    // A shop that was told is told of the undoing too, also when the folder was moved.
    let o = cut(&["--undo"]);
    assert!(o.status.code() == Some(2) && err(&o).contains("--shop"), "{}", err(&o));
    fs::rename(dir.join("box"), dir.join("moved")).unwrap();
    let moved = |more: &[&str]| run(&dir, &[&["cut", "moved"], &names[..], more].concat());
    good(&moved(&["--shop", "shop.db"]));
    assert_eq!(counts(&dir).0, 12 - sheets, "the same sheets in another place");
    good(&moved(&["--undo", "--shop", "shop.db"]));
    assert_eq!(counts(&dir), (12, 0));
    assert_eq!(all(&dir)["cuts"], serde_json::json!([]));
    assert!(!dir.join("moved/cut.json").exists());
    // Another box in the same place is another box.
    good(&run(&dir, &["export", "many.toml", "--out", "place", "--shop", "shop.db"]));
    good(&run(&dir, &[&["cut", "place"], &names[..], &["--shop", "shop.db"]].concat()));
    fs::remove_dir_all(dir.join("place")).unwrap();
    good(&run(&dir, &["export", "many.toml", "--out", "place", "--shop", "shop.db"]));
    let again = json(&dir.join("place/manifest.json"));
    let whole = |s: &&Value| s["stock"] == "board" && s["leftover"] == false;
    let more: u64 =
        again["sheets"].as_array().unwrap().iter().filter(whole).map(|s| s["count"].as_u64().unwrap()).sum();
    good(&run(&dir, &["cut", "place", "--all", "--shop", "shop.db"]));
    assert_eq!(counts(&dir).0, 12 - sheets - more);
    // Another shop knows nothing of it.
    good(&run(&dir, &["shop", "other.db", "stock", "grey board", "--kind", "board"]));
    let o = run(&dir, &["cut", "place", "--all", "--undo", "--shop", "other.db"]);
    assert!(o.status.code() == Some(2) && err(&o).contains("told to another shop"), "{}", err(&o));
    good(&run(&dir, &["cut", "place", "--all", "--undo", "--shop", "shop.db"]));
    // More is cut than there is by the count: that is said, and the count ends at none.
    say(&dir, &["sheets", "grey board", "500 x 700 mm", "--on-hand", "1"]);
    let o = moved(&["--shop", "shop.db"]);
    good(&o);
    assert!(err(&o).contains("count what there is"), "{}", err(&o));
    assert_eq!(counts(&dir).0, 0);
    good(&moved(&["--undo", "--shop", "shop.db"]));
    assert_eq!(counts(&dir).0, 1);
    // A stock that the job does not name is named.
    let cloth = manifest["sheets"].as_array().unwrap().iter().find(|s| s["stock"] == "cloth").unwrap()["id"]
        .as_str()
        .unwrap()
        .to_owned();
    let o = run(&dir, &["cut", "moved", &cloth, "--shop", "shop.db"]);
    assert!(o.status.code() == Some(2) && err(&o).contains("--stock cloth=NAME"), "{}", err(&o));
    say(&dir, &["stock", "linen", "--kind", "cloth"]);
    good(&run(&dir, &["cut", "moved", &cloth, "--shop", "shop.db", "--stock", "cloth=linen"]));
}

#[test]
fn a_list_draws_from_the_shop_and_gives_back_lot_by_lot() {
    let dir = stocked("list");
    say(&dir, &["leftover", "grey board", "420 x 320 mm", "--count", "2"]);
    let rows = ["TH-001,148,210,4", "TH-002,120,170,5", "TH-003,150,212,4", "TH-004,121,171,6"];
    fs::write(dir.join("list.csv"), format!("id,width,height,depth\n{}\n", rows.join("\n"))).unwrap();
    let job = JOB.replace("size = \"A5\"", "width = 148\nheight = 210");
    fs::write(dir.join("job.toml"), job).unwrap();
    let batch =
        || run(&dir, &["batch", "list.csv", "--job", "job.toml", "--out", "out", "--lot", "2", "--shop", "shop.db"]);
    let text = good(&batch());
    assert!(text.contains("From the shop:"), "{text}");
    let used = |lot: u32| -> Vec<String> {
        let record = json(&dir.join(format!("out/lot-{lot}/lot.json")));
        let of = |s: &Value| serde_json::from_value::<Vec<String>>(s["leftover_of"].clone()).unwrap_or_default();
        record["sheets"].as_array().unwrap().iter().flat_map(of).collect()
    };
    let first = used(1).len();
    assert!(first > 0 && used(2).is_empty(), "{first}");
    let boards: Vec<String> = json(&dir.join("out/lot-1/manifest.json"))["sheets"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|s| s["stock"] == "board")
        .map(|s| format!("lot-1/{}", s["id"].as_str().unwrap()))
        .collect();
    let names: Vec<&str> = boards.iter().map(String::as_str).collect();
    let lot = tree(&dir.join("out/lot-1"));
    good(&run(&dir, &[&["cut", "out"], &names[..], &["--shop", "shop.db"]].concat()));
    let there = all(&dir)["stocks"][0]["leftovers"].as_array().unwrap().len();
    good(&batch());
    let mut now = tree(&dir.join("out/lot-1"));
    now.remove("cut.json");
    assert_same(&lot, &now);
    // What the shop keeps it gives out itself: nothing is offered twice.
    let second = used(2);
    assert!(
        second.len() <= there && second.iter().all(|from| from.starts_with("board.leftover")),
        "{second:?} of {there}"
    );
    // More sheets than there are are told, of all lots that are to be cut.
    say(&dir, &["sheets", "grey board", "500 x 700 mm", "--on-hand", "0"]);
    let o = batch();
    good(&o);
    let sheets = json(&dir.join("out/lot-2/lot.json"))["sheets"].as_array().unwrap().clone();
    let is_whole = |s: &&Value| s["id"].as_str().unwrap().starts_with("board") && s["leftover_of"].is_null();
    let wanted: u64 = sheets.iter().filter(is_whole).map(|s| s["count"].as_u64().unwrap()).sum();
    let told = err(&o);
    assert_eq!(told.contains("and the shop has 0"), wanted > 0, "{wanted}: {told}");
    assert!(wanted == 0 || told.contains(&format!("{wanted} sheet")), "{wanted}: {told}");
}

/// The bytes of a moment are those of a whole state, whoever was killed: no sheet is lost or counted twice.
#[cfg(unix)]
#[test]
fn kills_full_disks_and_runs_at_once_lose_nothing() {
    let dir = stocked("faults");
    fs::write(dir.join("many.toml"), format!("copies = 7\n{JOB}")).unwrap();
    good(&run(&dir, &["export", "many.toml", "--out", "box", "--shop", "shop.db"]));
    let manifest = json(&dir.join("box/manifest.json"));
    let board: Vec<&Value> = manifest["sheets"].as_array().unwrap().iter().filter(|s| s["stock"] == "board").collect();
    let sheets: u64 = board.iter().map(|s| s["count"].as_u64().unwrap()).sum();
    let offcuts =
        board.iter().filter(|s| s["offcut"].is_object()).map(|s| s["count"].as_u64().unwrap()).sum::<u64>() as usize;
    let names: Vec<&str> = board.iter().map(|s| s["id"].as_str().unwrap()).collect();
    let arguments = [&["cut", "box"], &names[..], &["--shop", "shop.db"]].concat();
    let undo = [&arguments[..], &["--undo"]].concat();
    // Killed at any moment, and said again: as if it had never been killed.
    let mut broken = 0;
    for k in 0..20u64 {
        let mut child = Command::new(BINARY)
            .current_dir(&dir)
            .args(&arguments)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        std::thread::sleep(Duration::from_micros(k * 700));
        let _ = child.kill();
        child.wait().unwrap();
        let now = counts(&dir);
        assert!(now == (12, 0) || now == (12 - sheets, offcuts), "{k}: {now:?}");
        broken += u64::from(now == (12, 0) || !dir.join("box/cut.json").exists());
        good(&run(&dir, &arguments));
        assert_eq!(counts(&dir), (12 - sheets, offcuts), "{k}");
        good(&run(&dir, &undo));
        assert_eq!(counts(&dir), (12, 0), "{k}");
    }
    assert!(broken > 0, "every kill came too late: the test proved nothing");
    // A limit on the size of a file stands for the disk.
    let before = (all(&dir), tree(&dir.join("box")));
    for blocks in [0, 8, 40] {
        let call = format!("trap '' XFSZ; ulimit -f {blocks}; exec '{BINARY}' {}", arguments.join(" "));
        let done = Command::new("sh").current_dir(&dir).arg("-c").arg(call).output().unwrap();
        assert_eq!(done.status.code(), Some(2), "{blocks}: {}", err(&done));
        assert_eq!(before.0["stocks"], all(&dir)["stocks"], "{blocks}: {}", err(&done));
        assert_same(&before.1, &tree(&dir.join("box")));
    }
    // Many at once: each waits for its turn, and all of them count.
    let begun = |words: &[&str]| {
        let mut command = Command::new(BINARY);
        command.current_dir(&dir).args(words).stdout(Stdio::null()).stderr(Stdio::piped()).spawn().unwrap()
    };
    let leftover = |n| {
        let (size, from) = (format!("{} x 300 mm", 200 + n), format!("run {n}"));
        begun(&["shop", "shop.db", "leftover", "grey board", &size, "--from", &from])
    };
    let bought = |_| begun(&["shop", "shop.db", "sheets", "grey board", "500 x 700 mm", "--bought", "2"]);
    let all_good = |children: Vec<Child>| {
        for child in children {
            good(&child.wait_with_output().unwrap());
        }
    };
    all_good((0..8).map(leftover).collect());
    all_good((0..6).map(bought).collect());
    assert_eq!(counts(&dir), (24, 8));
    // Made by several at once, or by one that is killed: one shop, with all that was said.
    for round in 0..6u64 {
        let file = format!("new-{round}.db");
        let make = |name: &str| {
            let words = ["shop", &file, "stock", name, "--kind", "board"];
            Command::new(BINARY)
                .current_dir(&dir)
                .args(words)
                .stdout(Stdio::null())
                .stderr(Stdio::piped())
                .spawn()
                .unwrap()
        };
        let mut killed = make("killed");
        std::thread::sleep(Duration::from_micros(round * 900));
        let _ = killed.kill();
        killed.wait().unwrap();
        let both = [make("one"), make("two")];
        for child in both {
            good(&child.wait_with_output().unwrap());
        }
        let of: Value = serde_json::from_str(&good(&run(&dir, &["shop", &file, "--format", "json"]))).unwrap();
        let names: BTreeMap<&str, ()> =
            of["stocks"].as_array().unwrap().iter().map(|s| (s["name"].as_str().unwrap(), ())).collect();
        assert!(names.contains_key("one") && names.contains_key("two"), "{names:?}");
    }
    // Nothing lies beside when nobody has it open.
    let beside: Vec<String> = fs::read_dir(&dir)
        .unwrap()
        .map(|e| e.unwrap().file_name().into_string().unwrap())
        .filter(|n| n.contains("-journal") || n.contains("-wal"))
        .collect();
    assert!(beside.iter().all(|n| n.starts_with("new-")), "{beside:?}");
}

/// A file of the version that knew no paper is brought on when it is opened, and nothing of it is lost.
#[test]
fn a_file_of_the_version_before_takes_paper_and_keeps_all_else() {
    let dir = stocked("older");
    say(&dir, &["leftover", "grey board", "310 x 420 mm", "--from", "the tideline folio"]);
    let before = all(&dir);
    let file = || rusqlite::Connection::open(dir.join("shop.db")).unwrap();
    // As the version before made the table of stocks: its words, without paper.
    let table: String =
        file().query_row("SELECT sql FROM sqlite_schema WHERE name = 'stock'", [], |r| r.get(0)).unwrap();
    assert!(table.contains("'paper', "), "{table}");
    let older = table.replace("'paper', ", "").replacen("stock", "older", 1);
    file()
        .execute_batch(&format!(
            "PRAGMA foreign_keys = OFF; BEGIN; {older}; INSERT INTO older SELECT * FROM stock; DROP TABLE stock; \
             ALTER TABLE older RENAME TO stock; PRAGMA user_version = 1; COMMIT;"
        ))
        .unwrap();
    assert!(file().execute("INSERT INTO stock (name, kind) VALUES ('x', 'paper')", []).is_err());
    // Looked at, it is brought on; then it takes paper.
    assert_eq!(all(&dir), before);
    say(&dir, &["stock", "marbled", "--kind", "paper", "--thickness", "0.15 mm", "--coating", "none"]);
    let after = all(&dir);
    let of = |all: &Value, name: &str| all["stocks"].as_array().unwrap().iter().find(|s| s["name"] == name).cloned();
    assert_eq!(of(&after, "grey board"), of(&before, "grey board"));
    assert_eq!(of(&after, "marbled").unwrap()["kind"], "paper");
    let number = |ask: &str| file().query_row(ask, [], |r| r.get::<_, i64>(0)).unwrap();
    assert_eq!(number("PRAGMA user_version"), 2);
    assert_eq!(number("SELECT count(*) FROM pragma_foreign_key_check"), 0);
}
