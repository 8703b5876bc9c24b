//! What the lots of a list keep on the disk: nothing of a lot with nothing to cut, and else what was asked for.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops where its ground is missing")]

use crate::batch::{MACHINE, assert_same, batch, change, err, folder, good, json, pieces, tree};
use serde_json::Value;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};

fn run(dir: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_flapwright")).current_dir(dir).args(arguments).output().unwrap()
}

fn out(o: &Output) -> String {
    String::from_utf8(o.stdout.clone()).unwrap()
}

/// Rows of the second lot of five, each wrong in its own way.
fn refuse_the_second_lot(dir: &Path) {
    for (n, wrong) in ["-200,240,9", "9000,8000,7", "wide,200,7", "200,0,7", "200,240,nan"].iter().enumerate() {
        change(dir, n + 7, &format!("TH-10{n},Wrong,{wrong},1,"));
    }
}

fn lots(whole: &Value) -> Vec<(u64, Option<String>, usize)> {
    let of = |l: &Value| {
        let rows = l["items"].as_array().unwrap().len();
        (l["lot"].as_u64().unwrap(), l["folder"].as_str().map(str::to_owned), rows)
    };
    whole["lots"].as_array().unwrap().iter().map(of).collect()
}

#[test]
fn a_lot_with_nothing_to_cut_has_no_folder_and_is_known_again() {
    let dir = folder("kept-refused");
    let before = fs::read(dir.join("herbarium-survey.csv")).unwrap();
    refuse_the_second_lot(&dir);
    let o = batch(&dir, "out", &[]);
    assert_eq!(o.status.code(), Some(1), "{}", err(&o));
    assert!(out(&o).contains("19 of 24 items made, 5 refused") && out(&o).contains("4 lots in"), "{}", out(&o));
    // What the others take is still known: a lot that takes nothing lacks no price.
    assert!(json(&dir.join("out/batch.json"))["takes"]["cost"].as_f64().is_some_and(|c| c > 0.0));
    let first = tree(&dir.join("out"));
    assert!(!first.contains_key("lot-2/") && first.contains_key("lot-3/"));
    let line: Value = serde_json::from_slice(&first["refused.jsonl"]).unwrap();
    assert_eq!((line["lot"].as_u64(), line["items"].as_array().unwrap().len()), (Some(2), 5));
    let named: Vec<_> = lots(&json(&dir.join("out/batch.json")));
    assert_eq!(named[1], (2, None, 5));
    assert!(named.len() == 5 && named[2] == (3, Some("lot-3".into()), 5), "{named:?}");
    let table = String::from_utf8(first["batch.csv"].clone()).unwrap();
    let rows: Vec<u64> = table.lines().skip(1).map(|l| l.split(',').next().unwrap().parse().unwrap()).collect();
    assert_eq!(rows, (2..=25).collect::<Vec<u64>>(), "rows stand as the list has them");
    assert!(table.lines().nth(6).unwrap().contains("refused,2,"), "{table}");
    good(&run(&dir, &["verify", "out"]));
    // Once more, by other threads, with more rows after them: what is there stays.
    for threads in ["1", "2"] {
        assert_eq!(batch(&dir, "out", &["--threads", threads]).status.code(), Some(1));
        assert_same(&first, &tree(&dir.join("out")));
    }
    // Mended, the lot is made, and it is told why; wrong again it goes.
    let wrong = fs::read(dir.join("herbarium-survey.csv")).unwrap();
    fs::write(dir.join("herbarium-survey.csv"), &before).unwrap();
    good(&batch(&dir, "out", &[]));
    let mended = tree(&dir.join("out"));
    assert!(mended.contains_key("lot-2/manifest.json") && !mended.contains_key("refused.jsonl"));
    let changes = String::from_utf8(mended["changes.csv"].clone()).unwrap();
    assert!(changes.contains("2,board-1") && changes.contains("row gone,TH-100"), "{changes}");
    good(&batch(&dir, "fresh", &[]));
    let but_changes = |mut all: BTreeMap<String, Vec<u8>>| {
        all.remove("changes.csv");
        all
    };
    assert_same(&but_changes(mended), &but_changes(tree(&dir.join("fresh"))));
    fs::write(dir.join("herbarium-survey.csv"), &wrong).unwrap();
    assert_eq!(batch(&dir, "out", &[]).status.code(), Some(1));
    let again = tree(&dir.join("out"));
    let changes = String::from_utf8(again["changes.csv"].clone()).unwrap();
    assert!(changes.contains("2,board-1") && changes.contains("row added,TH-100"), "{changes}");
    assert_same(&but_changes(first), &but_changes(again));
}

#[test]
fn what_is_not_ours_stays_beside_lots_with_nothing_to_cut() {
    let dir = folder("kept-not-ours");
    good(&batch(&dir, "out", &[]));
    // A file of that name which holds no records, where no lot is refused.
    fs::write(dir.join("out/refused.jsonl"), "whom I refused\n").unwrap();
    good(&batch(&dir, "out", &[]));
    assert_eq!(fs::read_to_string(dir.join("out/refused.jsonl")).unwrap(), "whom I refused\n");
    fs::remove_file(dir.join("out/refused.jsonl")).unwrap();
    // A maker's own in a lot that is to go, and a sheet that is cut.
    refuse_the_second_lot(&dir);
    fs::write(dir.join("out/lot-2/notes.txt"), "mine").unwrap();
    let o = batch(&dir, "out", &[]);
    assert!(o.status.code() == Some(2) && err(&o).contains("notes.txt"), "{}", err(&o));
    assert_eq!(fs::read_to_string(dir.join("out/lot-2/notes.txt")).unwrap(), "mine");
    fs::remove_file(dir.join("out/lot-2/notes.txt")).unwrap();
    good(&run(&dir, &["cut", "out", "lot-2/board-1"]));
    let cut = tree(&dir.join("out/lot-2"));
    assert_eq!(batch(&dir, "out", &[]).status.code(), Some(1));
    assert_same(&cut, &tree(&dir.join("out/lot-2")));
}

#[test]
fn shares_with_a_lot_with_nothing_to_cut_end_as_one_run_does() {
    let dir = folder("kept-shares");
    refuse_the_second_lot(&dir);
    assert_eq!(batch(&dir, "whole", &[]).status.code(), Some(1));
    good(&batch(&dir, "out", &["--shard", "1/3"]));
    good(&batch(&dir, "out", &["--shard", "3/3"]));
    let o = batch(&dir, "out", &["--gather"]);
    assert!(!o.status.success() && err(&o).contains("not made from this list yet: lot-2"), "{}", err(&o));
    good(&batch(&dir, "out", &["--shard", "2/3"]));
    assert!(dir.join("out/refused.jsonl.2-of-3").is_file() && !dir.join("out/refused.jsonl").exists());
    // A share again finds its lots as they are, that with nothing to cut as well.
    let before = tree(&dir.join("out"));
    good(&batch(&dir, "out", &["--shard", "2/3"]));
    assert_same(&before, &tree(&dir.join("out")));
    assert_eq!(batch(&dir, "out", &["--gather"]).status.code(), Some(1));
    assert_same(&tree(&dir.join("whole")), &tree(&dir.join("out")));
}

#[test]
fn lots_keep_what_was_asked_for_and_the_proof_says_what_it_had_not() {
    let dir = folder("kept-words");
    let o = batch(&dir, "out", &["--keep", "dxf,sheets"]);
    assert_eq!(o.status.code(), Some(2));
    for word in ["dxf", "svg", "pictures", "items", "pieces", "lists"] {
        assert!(err(&o).contains(word), "{}", err(&o));
    }
    let o = batch(&dir, "out", &["--keep", "pieces", "--svg"]);
    assert!(o.status.code() == Some(2) && err(&o).contains("add svg to --keep"), "{}", err(&o));
    let o = batch(&dir, "out", &["--keep", "pieces", "--dxf", "r12"]);
    assert!(o.status.code() == Some(2) && err(&o).contains("add dxf to --keep"), "{}", err(&o));
    assert!(!dir.join("out").exists());

    good(&batch(&dir, "all", &["--machine", MACHINE]));
    let all = tree(&dir.join("all"));
    let is_kept = |name: &str, words: &[&str]| {
        let of = |word: &str| words.contains(&word);
        match name {
            _ if name.ends_with(".dxf") => of("dxf"),
            _ if name.ends_with("pieces.json.gz") => of("pieces"),
            _ if name.contains("/item-") => of("items"),
            _ if name.ends_with(".svg") && !name.contains(MACHINE) => of("pictures"),
            _ => true,
        }
    };
    // What verify says of each: proved or not, and of what it had not.
    for (words, is_proved, unproved) in [
        ("dxf,pieces", true, ""),
        ("pieces", false, "the drawings, so that none was proved (in 5 folders)"),
        ("dxf,pictures,items", false, "the pieces, so that nothing was held against them (in 5 folders)"),
        ("lists", false, "the pieces"),
    ] {
        let name = words.replace(',', "-");
        good(&batch(&dir, &name, &["--machine", MACHINE, "--keep", words]));
        let kept = tree(&dir.join(&name));
        let words: Vec<&str> = words.split(',').collect();
        let expected: Vec<&String> = all.keys().filter(|n| is_kept(n, &words)).collect();
        assert_eq!(kept.keys().collect::<Vec<_>>(), expected, "{name}");
        // The lists, the programs and what is kept are the same bytes.
        let own = ["lot.json", "manifest.json"];
        let differ: Vec<&String> = kept.iter().filter(|(n, b)| all[*n] != **b).map(|(n, _)| n).collect();
        assert!(differ.iter().all(|n| own.iter().any(|o| n.ends_with(o))), "{differ:?}");
        let text = good(&run(&dir, &["verify", &name]));
        let report: Value = serde_json::from_str(&good(&run(&dir, &["verify", &name, "--format", "json"]))).unwrap();
        assert_eq!(report["proved"], is_proved, "{name}: {text}");
        assert!(text.contains(unproved) && text.contains("NOT proved in all") != is_proved, "{name}: {text}");
        assert!(report["not_kept"].as_array().unwrap().iter().all(|k| k["folders"] == 5), "{report}");
        // Taken up again nothing is worked, and by shares it is the same.
        good(&batch(&dir, &name, &["--machine", MACHINE, "--keep", &words.join(","), "--threads", "1"]));
        assert_same(&kept, &tree(&dir.join(&name)));
    }
    for more in ["--shard=1/2", "--shard=2/2", "--gather"] {
        good(&batch(&dir, "shares", &["--machine", MACHINE, "--keep", "lists", more]));
    }
    assert_same(&tree(&dir.join("lists")), &tree(&dir.join("shares")));
    // A file that was kept is still held to its hash, and one that is gone is no file that was not kept.
    for (gone, code) in
        [("lists/lot-1/cut-list.csv", "file-missing"), ("dxf-pieces/lot-1/pieces.json.gz", "file-missing")]
    {
        fs::remove_file(dir.join(gone)).unwrap();
        let o = run(&dir, &["verify", gone.split('/').next().unwrap()]);
        assert!(o.status.code() == Some(1) && out(&o).contains(code), "{gone}: {}", out(&o));
    }
    fs::write(dir.join("pieces/lot-1/pieces.json.gz"), b"no gzip").unwrap();
    let o = run(&dir, &["verify", "pieces"]);
    assert!(o.status.code() == Some(1) && out(&o).contains("pieces.json.gz does not hold its pieces"), "{}", out(&o));
}

#[test]
fn another_word_is_told_as_a_change_and_leaves_alone_what_is_cut() {
    let dir = folder("kept-cut");
    good(&batch(&dir, "out", &[]));
    good(&run(&dir, &["cut", "out", "lot-1"]));
    let cut = tree(&dir.join("out/lot-1"));
    good(&batch(&dir, "out", &["--keep", "lists"]));
    assert_same(&cut, &tree(&dir.join("out/lot-1")));
    let now = tree(&dir.join("out"));
    assert!(!now.keys().any(|n| n.starts_with("lot-3/") && n.ends_with(".dxf")));
    let changes = String::from_utf8(now["changes.csv"].clone()).unwrap();
    assert!(changes.contains("options changed") && !changes.contains("\n1,"), "{changes}");
    // What is left of the sheets that are cut is taken as ever, and a sheet without files can be marked.
    assert!(
        json(&dir.join("out/lot-2/lot.json"))["sheets"].as_array().unwrap().iter().any(|s| s["leftover_of"].is_array())
    );
    good(&run(&dir, &["cut", "out", "lot-2/board-1"]));
    let text = good(&run(&dir, &["verify", "out"]));
    assert!(text.contains("(in 4 folders)"), "{text}");
}

#[test]
fn packed_drawings_are_proved_as_they_are() {
    let dir = folder("kept-packed");
    good(&batch(&dir, "plain", &["--svg"]));
    good(&batch(&dir, "out", &["--svg", "--pack", "--guides"]));
    let (plain, packed) = (tree(&dir.join("plain")), tree(&dir.join("out")));
    let is_drawn = |n: &str| n.ends_with(".dxf") || n.ends_with(".svg");
    let mut seen = 0;
    for (name, bytes) in plain.iter().filter(|(n, _)| is_drawn(n)) {
        let mut unpacked = Vec::new();
        let file = &packed[&format!("{name}.gz")];
        std::io::copy(&mut flate2::read::GzDecoder::new(file.as_slice()), &mut unpacked).unwrap();
        assert!(unpacked == *bytes, "{name}");
        seen += 1;
    }
    assert!(seen > 40 && !packed.keys().any(|n| is_drawn(n)), "{seen}");
    let sizes = |all: &BTreeMap<String, Vec<u8>>| all.values().map(Vec::len).sum::<usize>();
    assert!(
        sizes(&packed) - packed.iter().filter(|(n, _)| n.ends_with(".pdf")).map(|(_, b)| b.len()).sum::<usize>()
            < sizes(&plain) / 3
    );
    let drawings = |name: &str| -> (Value, Value) {
        let report: Value = serde_json::from_str(&good(&run(&dir, &["verify", name, "--format", "json"]))).unwrap();
        (report["proved"].clone(), report["drawings"].clone())
    };
    assert_eq!(drawings("out"), drawings("plain"));
    assert_eq!(drawings("out").0, true);
    // A line moved in a packed drawing is found though the manifest has its hash.
    let name = packed.keys().find(|n| n.starts_with("lot-1/") && n.ends_with(".dxf.gz")).unwrap();
    let mut text = String::new();
    std::io::Read::read_to_string(&mut flate2::read::GzDecoder::new(packed[name].as_slice()), &mut text).unwrap();
    let at = text.find("THROUGH-CUT\n100\nAcDbPolyline").unwrap();
    let moved = format!("{}{}", &text[..at], text[at..].replacen("\n 10\n", "\n 10\n1", 1));
    let mut file = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
    std::io::Write::write_all(&mut file, moved.as_bytes()).unwrap();
    let bytes = file.finish().unwrap();
    fs::write(dir.join("out").join(name), &bytes).unwrap();
    let o = run(&dir, &["verify", "out"]);
    assert!(o.status.code() == Some(1) && out(&o).contains("file-changed"), "{}", out(&o));
    let manifest = fs::read_to_string(dir.join("out/lot-1/manifest.json")).unwrap();
    let hash = |bytes: &[u8]| flapwright::write::manifest::sha256_hex(bytes);
    let manifest = manifest.replace(&hash(&packed[name]), &hash(&bytes));
    fs::write(dir.join("out/lot-1/manifest.json"), manifest).unwrap();
    let o = run(&dir, &["verify", "out"]);
    assert!(o.status.code() == Some(1) && !out(&o).contains("file-changed"), "{}", out(&o));
    // The pieces are those of the plain lots.
    assert_eq!(pieces(&dir.join("out/lot-1")), pieces(&dir.join("plain/lot-1")));
}
