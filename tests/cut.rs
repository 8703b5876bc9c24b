//! What is cut stays cut: marks of a list's lots and of a folder's sheets, and what later runs make of them.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops where its ground is missing")]

use crate::batch::{MACHINE, assert_same, batch, change, err, folder, good, json, tree};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::Duration;

const BINARY: &str = env!("CARGO_BIN_EXE_flapwright");
const LIST: &str = "herbarium-survey.csv";

fn run(dir: &Path, arguments: &[&str]) -> Output {
    Command::new(BINARY).current_dir(dir).args(arguments).output().unwrap()
}

fn said(o: &Output) -> String {
    String::from_utf8(o.stdout.clone()).unwrap()
}

/// The files of one lot.
fn lot(dir: &Path, number: u32) -> BTreeMap<String, Vec<u8>> {
    tree(&dir.join(format!("out/lot-{number}")))
}

/// The ids of a lot's rows, in their order.
fn ids(dir: &Path, number: u32) -> Vec<String> {
    let record = json(&dir.join(format!("out/lot-{number}/lot.json")));
    record["items"].as_array().unwrap().iter().map(|i| i["id"].as_str().unwrap().to_owned()).collect()
}

/// The list's lines, the header first.
fn lines(dir: &Path) -> Vec<String> {
    fs::read_to_string(dir.join(LIST)).unwrap().lines().map(str::to_owned).collect()
}

fn put(dir: &Path, lines: &[String]) {
    fs::write(dir.join(LIST), lines.join("\n") + "\n").unwrap();
}

/// The first column of `batch.csv` and others by name, of one id.
fn cells(dir: &Path, id: &str, names: &[&str]) -> Vec<Vec<String>> {
    let mut reader = csv::Reader::from_path(dir.join("out/batch.csv")).unwrap();
    let header = reader.headers().unwrap().clone();
    let at = |name: &str| header.iter().position(|h| h == name).unwrap();
    let rows = reader.records().map(Result::unwrap).filter(|r| &r[at("id")] == id);
    rows.map(|r| names.iter().map(|n| r[at(n)].to_owned()).collect()).collect()
}

/// 24 rows in lots of five, the first and the third of them cut.
fn cut_survey(name: &str, more: &[&str]) -> std::path::PathBuf {
    let dir = folder(name);
    good(&batch(&dir, "out", more));
    let (one, three) = (lot(&dir, 1), lot(&dir, 3));
    good(&run(&dir, &["cut", "out", "lot-1", "lot-3"]));
    // The second lot is laid anew, on what is left of the first (`cut_leftovers`).
    good(&batch(&dir, "out", more));
    for (number, files) in [(1, one), (3, three)] {
        let mut now = lot(&dir, number);
        assert!(now.remove("cut.json").is_some());
        assert_same(&files, &now);
    }
    dir
}

#[test]
fn a_lot_that_is_cut_is_never_changed() {
    let dir = cut_survey("cut-stays", &["--machine", MACHINE]);
    let before = tree(&dir.join("out"));
    // The same again: nothing moves.
    let text = good(&batch(&dir, "out", &["--machine", MACHINE]));
    assert!(text.contains("24 of 24 items made") && text.contains("left as cut: lots 1, 3"), "{text}");
    let mut after = tree(&dir.join("out"));
    // Since the run before nothing has changed, and this file says just that.
    after.insert("changes.csv".into(), before["changes.csv"].clone());
    assert_same(&before, &after);
    // A row of a lot that is cut is corrected, one is written otherwise, one is added in front, one taken out of a
    // lot that is not cut.
    let (one, two, three) = (lot(&dir, 1), lot(&dir, 2), lot(&dir, 3));
    let mut list = lines(&dir);
    list[2] = "TH-002,Channelled wrack,240,315,9.5;10;10.5,1,".into();
    list[3] = list[3].replace(",177,234,", ",177.0,\"234 mm\",");
    list.insert(1, "TH-100,Sea lettuce,181,241,7,1,".into());
    put(&dir, &list);
    let o = batch(&dir, "out", &["--machine", MACHINE]);
    let text = good(&o);
    assert!(text.contains("25 of 25 items made"), "{text}");
    assert_same(&one, &lot(&dir, 1));
    assert_same(&three, &lot(&dir, 3));
    assert_ne!(two, lot(&dir, 2), "a row in front moves those of lots that are not cut");
    let told = err(&o);
    assert!(
        told.contains("row 4 (TH-002): it has changed since it was cut in lot-1, and is made again in lot-6"),
        "{told}"
    );
    // What is only written otherwise is the same box: nobody cuts it again.
    assert!(!told.contains("TH-003"), "{told}");
    let rows = cells(&dir, "TH-002", &["row", "state", "lot", "interior_width_mm"]);
    // The row's own width and the job's clearance of 3 mm.
    assert_eq!(rows[0][..3], ["4", "cut", "1"]);
    assert_eq!((rows[0][3].as_str(), rows[1][1].as_str(), rows[1][3].as_str()), ("240", "made", "243"));
    assert_eq!(cells(&dir, "TH-003", &["row", "state", "lot"]), [["5", "cut", "1"]]);
    // Every row of the list is made once, but for the one that is made again.
    let all: Vec<String> = (1..=6).flat_map(|n| ids(&dir, n)).collect();
    let mut sorted = all.clone();
    sorted.sort();
    let twice: Vec<&String> = sorted.windows(2).filter(|w| w[0] == w[1]).map(|w| &w[0]).collect();
    assert_eq!((all.len(), twice), (26, vec![&"TH-002".to_owned()]));
    assert_eq!(ids(&dir, 2)[0], "TH-100");
    good(&run(&dir, &["verify", "out"]));
}

#[test]
fn corrected_rows_come_after_all_others_and_move_none() {
    let dir = cut_survey("cut-corrected", &[]);
    let (two, four) = (lot(&dir, 2), lot(&dir, 4));
    change(&dir, 2, "TH-001,Bladder wrack,212,293,10;10;10.5,1,");
    good(&batch(&dir, "out", &[]));
    assert_same(&two, &lot(&dir, 2));
    assert_same(&four, &lot(&dir, 4));
    let changes = fs::read_to_string(dir.join("out/changes.csv")).unwrap();
    assert!(changes.contains(",row made again,TH-001"), "{changes}");
    // The last lot had four rows of five.
    assert_eq!(ids(&dir, 5).last().unwrap(), "TH-001");
    // Marked as well, both stay; the row as it was first is what is cut, too.
    good(&run(&dir, &["cut", "out", "--all"]));
    let whole = tree(&dir.join("out"));
    let again = |whole: &BTreeMap<String, Vec<u8>>| {
        let text = good(&batch(&dir, "out", &[]));
        assert!(text.contains("24 of 24 items made") && text.contains("lots 1 to 5"), "{text}");
        for (name, bytes) in whole.iter().filter(|(name, _)| name.starts_with("lot-")) {
            assert_eq!(fs::read(dir.join("out").join(name)).unwrap_or_default(), *bytes, "{name}");
        }
        assert!(!dir.join("out/lot-6").exists());
    };
    again(&whole);
    let first = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("samples").join(LIST)).unwrap();
    fs::write(dir.join(LIST), first).unwrap();
    again(&whole);
}

#[test]
fn a_maker_may_let_a_changed_row_stay_as_it_was_cut() {
    let dir = cut_survey("cut-as-cut", &[]);
    let before = tree(&dir.join("out"));
    change(&dir, 3, "TH-002,Channelled wrack,240,315,9.5;10;10.5,1,");
    let o = batch(&dir, "out", &["--as-cut", "-v"]);
    good(&o);
    assert!(
        err(&o).contains("row 3 (TH-002): it has changed since it was cut in lot-1, and stays as it was cut"),
        "{}",
        err(&o)
    );
    for (name, bytes) in before.iter().filter(|(name, _)| name.starts_with("lot-") && !name.ends_with('/')) {
        assert_eq!(fs::read(dir.join("out").join(name)).unwrap(), *bytes, "{name}");
    }
    assert!(!dir.join("out/lot-6").exists());
}

#[test]
fn only_the_copies_that_are_not_cut_are_made() {
    let dir = folder("cut-copies");
    let job = fs::read_to_string(dir.join("herbarium-survey.toml")).unwrap();
    fs::write(dir.join("herbarium-survey.toml"), format!("{job}\n[marks]\ncopy_numbers = true\n")).unwrap();
    let list: Vec<String> = lines(&dir).into_iter().take(7).collect();
    put(&dir, &list);
    good(&batch(&dir, "out", &[]));
    good(&run(&dir, &["cut", "out", "lot-1"]));
    let one = lot(&dir, 1);
    // A title names no piece; one more copy of the third row, fewer of none.
    change(&dir, 2, "TH-001,Another title,209,293,10;10;10.5,1,");
    change(&dir, 4, "TH-003,Dulse,177,234,5;5;5.5,3,");
    let o = batch(&dir, "out", &["-v"]);
    good(&o);
    assert!(
        err(&o).contains("row 4 (TH-003): 1 of its copies were cut in lot-1; the others are made in lot-2"),
        "{}",
        err(&o)
    );
    assert_same(&one, &lot(&dir, 1));
    assert_eq!(ids(&dir, 2), ["TH-006", "TH-003"]);
    let record = json(&dir.join("out/lot-2/lot.json"));
    let item = &record["items"][1];
    assert_eq!((item["copies"].as_u64(), item["first_copy"].as_u64()), (Some(2), Some(2)));
    // The letters NO 2 and NO 3 are on them: nothing of lot 2 is drawn as the first copy in a folder of its own.
    let manifest = json(&dir.join("out/lot-2/manifest.json"));
    let marks = |m: &serde_json::Value| -> Vec<String> {
        let placed = m["sheets"].as_array().unwrap().iter().flat_map(|s| s["placed"].as_array().unwrap());
        placed.filter(|p| p["piece"] == "TH-003/board-base").map(|p| p["marks"].to_string()).collect()
    };
    let fresh = folder("cut-copies-fresh");
    fs::copy(dir.join("herbarium-survey.toml"), fresh.join("herbarium-survey.toml")).unwrap();
    put(&fresh, &[list[0].clone(), "TH-003,Dulse,177,234,5;5;5.5,3,".into()]);
    good(&batch(&fresh, "out", &[]));
    let numbered = marks(&json(&fresh.join("out/lot-1/manifest.json")));
    let mut later = marks(&manifest);
    later.sort();
    let mut expected = numbered[1..].to_vec();
    expected.sort();
    assert!(numbered.len() == 3 && later == expected, "{later:?} {numbered:?}");
    // Fewer than were cut: there is nothing to make.
    change(&dir, 4, "TH-003,Dulse,177,234,5;5;5.5,1,");
    good(&batch(&dir, "out", &[]));
    assert_eq!(ids(&dir, 2), ["TH-006"]);
    good(&run(&dir, &["verify", "out"]));
}

#[test]
fn rows_that_were_refused_or_are_wrong_now_go_to_the_end() {
    let dir = folder("cut-refused");
    let list: Vec<String> = lines(&dir).into_iter().take(11).collect();
    put(&dir, &list);
    change(&dir, 3, "TH-002,Channelled wrack,237,\"31,500\",9,1,");
    assert_eq!(batch(&dir, "out", &[]).status.code(), Some(1));
    good(&run(&dir, &["cut", "out", "lot-1"]));
    let one = lot(&dir, 1);
    // Still wrong: told once, of its new lot.
    let o = batch(&dir, "out", &[]);
    assert_eq!(o.status.code(), Some(1));
    assert!(
        err(&o).matches("row 3 (TH-002)").count() == 1 && said(&o).contains("9 of 10 items made, 1 refused"),
        "{}{}",
        err(&o),
        said(&o)
    );
    let two = lot(&dir, 2);
    change(&dir, 3, "TH-002,Channelled wrack,237,315,9,1,");
    let text = good(&batch(&dir, "out", &[]));
    assert!(text.contains("10 of 10 items made"), "{text}");
    assert_eq!(ids(&dir, 3), ["TH-002"]);
    // A row that is cut and wrong now is refused, and moves none.
    change(&dir, 2, "TH-001,Bladder wrack,209,wide,10,1,");
    assert_eq!(batch(&dir, "out", &[]).status.code(), Some(1));
    assert_eq!(ids(&dir, 3), ["TH-001", "TH-002"]);
    assert_same(&one, &lot(&dir, 1));
    assert_same(&two, &lot(&dir, 2));
}

#[test]
fn a_shorter_or_another_list_and_force_leave_what_is_cut() {
    let dir = cut_survey("cut-shorter", &[]);
    let (one, three) = (lot(&dir, 1), lot(&dir, 3));
    let list = lines(&dir);
    put(&dir, &[&list[..1], &list[6..11], &list[16..]].concat());
    // The rows of both lots that are cut are gone: those of the others fill their lots as before.
    let o = batch(&dir, "out", &[]);
    good(&o);
    assert!(err(&o).contains("TH-001 was cut in lot-1 and is no longer in the list"), "{}", err(&o));
    assert_eq!(cells(&dir, "TH-001", &["row", "state"]), [["", "cut"]]);
    // A list that would drop finished lots stops; forced, it drops those alone that are not cut.
    put(&dir, &list[..2]);
    let before = tree(&dir.join("out"));
    let o = batch(&dir, "out", &[]);
    assert!(o.status.code() == Some(2) && err(&o).contains("lot-2, lot-4, lot-5"), "{}", err(&o));
    assert_same(&before, &tree(&dir.join("out")));
    good(&batch(&dir, "out", &["--force"]));
    for (number, files) in [(1, &one), (3, &three)] {
        assert_same(files, &lot(&dir, number));
    }
    assert!(!dir.join("out/lot-2").exists() && !dir.join("out/lot-5").exists());
    // Another job, and a machine more: what is cut stays.
    let job = fs::read_to_string(dir.join("herbarium-survey.toml")).unwrap();
    fs::write(dir.join("herbarium-survey.toml"), job.replace("thickness = 0.35", "thickness = 0.5")).unwrap();
    put(&dir, &list);
    let o = batch(&dir, "out", &["--machine", MACHINE, "-v"]);
    good(&o);
    assert!(err(&o).contains("the job has changed since this lot was cut"), "{}", err(&o));
    assert_same(&one, &lot(&dir, 1));
    assert_same(&three, &lot(&dir, 3));
}

#[test]
fn one_sheet_of_a_lot_holds_it_whole_and_marks_are_taken_back() {
    let dir = folder("cut-sheet");
    put(&dir, &lines(&dir)[..11]);
    good(&batch(&dir, "out", &[]));
    let text = good(&run(&dir, &["cut", "out", "lot-0001/board-1"]));
    assert!(text.contains("1 sheet marked as cut") && text.contains("begun"), "{text}");
    let one = lot(&dir, 1);
    change(&dir, 2, "TH-001,Bladder wrack,212,293,10;10;10.5,1,");
    good(&batch(&dir, "out", &[]));
    assert_same(&one, &lot(&dir, 1));
    assert_eq!(ids(&dir, 3), ["TH-001"]);
    // From the lot's own folder, by a path that a shell completes, twice, and back.
    good(&run(&dir, &["cut", "out/lot-1", "board-1"]));
    let text = good(&run(&dir, &["cut", "out", "out/lot-1/", "--undo"]));
    assert!(text.contains("1 sheet no longer marked as cut"), "{text}");
    assert!(!dir.join("out/lot-1/cut.json").exists());
    // Without the mark the row is corrected where it stands; the lot that was made for it is no longer wanted.
    let o = batch(&dir, "out", &[]);
    assert!(o.status.code() == Some(2) && err(&o).contains("lot-3"), "{}", err(&o));
    good(&batch(&dir, "out", &["--force"]));
    assert_eq!(ids(&dir, 1)[0], "TH-001");
    assert_ne!(one["lot.json"], lot(&dir, 1)["lot.json"]);
}

#[test]
fn wrong_names_and_damaged_marks_are_told_and_nothing_is_marked() {
    let dir = folder("cut-wrong");
    put(&dir, &lines(&dir)[..7]);
    good(&batch(&dir, "out", &[]));
    let before = tree(&dir.join("out"));
    for (arguments, part) in [
        (&["cut", "out", "lot-1", "lot-7", "lot-1/bord-1"][..], "has no `lot-7`, `lot-1/bord-1`"),
        (&["cut", "out/lot-1", "lot-1"], "out/lot-1 has no `lot-1`"),
        (&["cut", "out", "lot-1/board-1", "--count", "9"], "of lot-1/board-1 there are 1"),
        (&["cut", "nowhere", "lot-1"], "cannot read nowhere"),
        (&["cut", ".", "lot-1"], "was written by neither"),
        (&["cut", "out", "--count", "2"], "--count"),
    ] {
        let o = run(&dir, arguments);
        assert!(o.status.code() == Some(2) && err(&o).contains(part), "{arguments:?}: {}{}", err(&o), said(&o));
        assert_same(&before, &tree(&dir.join("out")));
    }
    good(&run(&dir, &["cut", "out", "lot-1"]));
    // What cannot be read is never taken for "nothing is cut".
    let whole = fs::read_to_string(dir.join("out/lot-1/cut.json")).unwrap();
    for text in ["", "{", &whole.replace("\"format\": 1", "\"format\": 2"), &whole.replace("board-1", "board-9")] {
        fs::write(dir.join("out/lot-1/cut.json"), text).unwrap();
        if !text.contains("board-9") {
            let o = batch(&dir, "out", &["--force"]);
            assert!(o.status.code() == Some(2) && err(&o).contains("cut.json"), "{text}: {}", err(&o));
        }
        let o = run(&dir, &["verify", "out"]);
        assert!(o.status.code() == Some(1) && said(&o).contains("marks-wrong"), "{text}: {}", said(&o));
    }
    fs::write(dir.join("out/lot-1/cut.json"), &whole).unwrap();
    good(&run(&dir, &["verify", "out"]));
    fs::write(dir.join("out/lot-1/lot.json"), "{").unwrap();
    let o = batch(&dir, "out", &["--force"]);
    assert!(o.status.code() == Some(2) && err(&o).contains("says what was cut"), "{}", err(&o));
}

#[test]
fn an_export_keeps_the_sheets_that_are_cut_or_stops() {
    let dir = folder("cut-export");
    let job = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/dulse-atlas.toml")).unwrap();
    fs::write(dir.join("job.toml"), &job).unwrap();
    let export = |more: &[&str]| run(&dir, &[&["export", "job.toml", "--out", "out"][..], more].concat());
    good(&export(&["--machine", MACHINE]));
    let manifest = json(&dir.join("out/manifest.json"));
    let sheets = manifest["sheets"].as_array().unwrap();
    let alike = sheets.iter().find(|s| s["count"].as_u64().unwrap() > 2).expect("an edition has sheets alike");
    let (id, count) = (alike["id"].as_str().unwrap(), alike["count"].as_u64().unwrap());
    let text = good(&run(&dir, &["cut", "out", id, "--count", "2"]));
    assert!(text.contains(&format!("2 of {count} cut")), "{text}");
    let before = tree(&dir.join("out"));
    // The same again, and more of the same: what is cut stays as it is, and stays marked.
    good(&export(&["--machine", MACHINE]));
    assert_same(&before, &tree(&dir.join("out")));
    good(&export(&["--machine", MACHINE, "--svg", "--lifted"]));
    let more = tree(&dir.join("out"));
    assert_eq!(more["cut.json"], before["cut.json"]);
    for (name, bytes) in before.iter().filter(|(name, _)| name.starts_with(&format!("{id}."))) {
        assert!(more[name] == *bytes, "{name}");
    }
    good(&run(&dir, &["verify", "out"]));
    // Another box, another machine, more copies: the folder stays.
    for (from, to) in [("copies = 12", "copies = 13"), ("copies = 12", "copies = 12\nlayout = \"straight-cuts\"")] {
        assert!(job.contains(from));
        fs::write(dir.join("job.toml"), job.replace(from, to)).unwrap();
        let o = export(&["--machine", MACHINE]);
        let told = err(&o);
        assert!(
            o.status.code() == Some(2)
                && told.contains(id)
                && told.contains("marked as cut")
                && told.contains("copies"),
            "{told}"
        );
        assert_same(&more, &tree(&dir.join("out")));
    }
    fs::write(dir.join("job.toml"), &job).unwrap();
    let o = export(&[]);
    assert!(o.status.code() == Some(2), "its program would be gone");
    // Neither does a coupon take its place.
    let o = run(&dir, &["coupon", "--machine", MACHINE, "--out", "out"]);
    assert!(o.status.code() == Some(2) && err(&o).contains("marked as cut"), "{}", err(&o));
    assert_same(&more, &tree(&dir.join("out")));
    good(&run(&dir, &["cut", "out", id, "--undo"]));
    good(&export(&[]));
    assert!(!dir.join("out/cut.json").exists());
}

/// Marks beside runs that write: whichever comes first, what is marked is there afterwards.
#[cfg(unix)]
#[test]
fn marks_survive_kills_full_disks_and_runs_at_once() {
    let dir = folder("cut-faults");
    put(&dir, &lines(&dir)[..13]);
    good(&batch(&dir, "out", &[]));
    // Killed at any moment the file is the old one or the new one, and the next run finds its way.
    for k in 0..24u64 {
        good(&run(&dir, &["cut", "out", "lot-1/board-1"]));
        let old = fs::read(dir.join("out/lot-1/cut.json")).unwrap();
        let mut child = Command::new(BINARY)
            .current_dir(&dir)
            .args(["cut", "out", "lot-1"])
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        std::thread::sleep(Duration::from_micros(k * 300));
        let _ = child.kill();
        child.wait().unwrap();
        let now = fs::read(dir.join("out/lot-1/cut.json")).unwrap();
        assert!(
            now == old || now.len() > old.len() && serde_json::from_slice::<serde_json::Value>(&now).is_ok(),
            "{k}"
        );
        good(&run(&dir, &["cut", "out", "lot-1", "--undo"]));
    }
    let left: Vec<String> = lot(&dir, 1).into_keys().filter(|n| n.starts_with("cut.json")).collect();
    assert_eq!(left, Vec::<String>::new());
    // What a killed run left is in nobody's way.
    fs::write(dir.join("out/lot-1/cut.json.77.new"), "{").unwrap();
    good(&run(&dir, &["verify", "out"]));
    change(&dir, 2, "TH-001,Bladder wrack,212,293,10;10;10.5,1,");
    good(&batch(&dir, "out", &[]));
    assert!(!dir.join("out/lot-1/cut.json.77.new").exists());
    // A limit on the size of a file stands for the disk.
    good(&run(&dir, &["cut", "out", "lot-2/board-1"]));
    let before = tree(&dir.join("out"));
    let call = format!("trap '' XFSZ; ulimit -f 0; exec '{BINARY}' cut out lot-2");
    let done = Command::new("sh").current_dir(&dir).arg("-c").arg(call).output().unwrap();
    assert_eq!(done.status.code(), Some(2), "{}", err(&done));
    assert_same(&before, &tree(&dir.join("out")));
    // A run that writes and marks that are set at once: a lot that is marked is never changed after.
    good(&run(&dir, &["cut", "out", "lot-2/board-1", "--undo"]));
    for round in 0..6 {
        change(&dir, 3, &format!("TH-002,Channelled wrack,{},315,10,1,", 241 + round));
        change(&dir, 8, &format!("TH-007,Gutweed,{},241,9,1,", 181 + round));
        let mut writes = Command::new(BINARY)
            .current_dir(&dir)
            .args(["batch", LIST, "--job", "herbarium-survey.toml", "--lot", "5", "--out", "out", "--force"])
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        std::thread::sleep(Duration::from_millis(20 * round));
        let marked = run(&dir, &["cut", "out/lot-1", "board-1"]);
        let at = marked.status.success().then(|| lot(&dir, 1));
        writes.wait().unwrap();
        match at {
            Some(files) => assert_same(&files, &lot(&dir, 1)),
            None => assert!(err(&marked).contains("another run is writing"), "{}", err(&marked)),
        }
        good(&run(&dir, &["cut", "out", "lot-1", "--undo"]));
        let done = batch(&dir, "out", &["--force"]);
        good(&done);
    }
    // Two that mark at once: both marks are there, or one was told to wait.
    for _ in 0..6 {
        let mark = |what: &str| {
            let mut c = Command::new(BINARY);
            c.current_dir(&dir).args(["cut", "out", what]).stdout(Stdio::null()).stderr(Stdio::piped());
            c.spawn().unwrap()
        };
        let (one, two) = (mark("lot-1"), mark("lot-2"));
        let ends = [one.wait_with_output().unwrap(), two.wait_with_output().unwrap()];
        for (n, o) in ends.iter().enumerate() {
            let is_there = dir.join(format!("out/lot-{}/cut.json", n + 1)).exists();
            assert_eq!(o.status.success(), is_there, "{}", err(o));
            assert!(is_there || err(o).contains("another run is writing"), "{}", err(o));
        }
        good(&run(&dir, &["cut", "out", "--all", "--undo"]));
    }
}
