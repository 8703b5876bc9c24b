//! Lists as makers have them, and what a later run does with what is in the folder.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops where its ground is missing")]

use crate::batch::{MACHINE, assert_same, batch, change, err, folder, good, json, tree};
use serde_json::Value;
use std::fs;
use std::path::Path;
use std::process::Command;

/// The survey's list as some programs save it: semicolons between cells, commas in numbers.
fn with_semicolons(dir: &Path, rows: usize) {
    let list = fs::read_to_string(dir.join("herbarium-survey.csv")).unwrap();
    let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(list.as_bytes());
    let cells = |record: csv::StringRecord| {
        let cell = |(i, c): (usize, &str)| {
            let c = if i == 1 { c.to_owned() } else { c.replace('.', ",").replace("board,", "board.") };
            if c.contains(';') { format!("\"{c}\"") } else { c }
        };
        record.iter().enumerate().map(cell).collect::<Vec<_>>().join(";")
    };
    let lines: Vec<String> = reader.records().take(rows + 1).map(|r| cells(r.unwrap())).collect();
    fs::write(dir.join("herbarium-survey.csv"), lines.join("\n") + "\n").unwrap();
}

/// The list's first rows alone.
fn shorten(dir: &Path, rows: usize) {
    let list = fs::read_to_string(dir.join("herbarium-survey.csv")).unwrap();
    let lines: Vec<&str> = list.lines().take(rows + 1).collect();
    fs::write(dir.join("herbarium-survey.csv"), lines.join("\n") + "\n").unwrap();
}

#[test]
fn semicolons_with_decimal_commas_make_the_same_boxes() {
    let dir = folder("decimal-commas");
    shorten(&dir, 4);
    good(&batch(&dir, "points", &[]));
    with_semicolons(&dir, 4);
    assert!(fs::read_to_string(dir.join("herbarium-survey.csv")).unwrap().contains("9,5;10;10,5"));
    let o = batch(&dir, "commas", &["-v"]);
    good(&o);
    assert!(err(&o).contains("divided by semicolons") && err(&o).contains("decimal mark"), "{}", err(&o));
    assert_same(&tree(&dir.join("points")), &tree(&dir.join("commas")));
    // Not where commas divide the cells: there a comma in a number is no decimal mark.
    assert!(!err(&batch(&dir, "points", &[])).contains("decimal mark"));
}

#[test]
fn a_list_in_another_unit_or_without_rows_is_told_by_its_cause_once() {
    let dir = folder("causes");
    shorten(&dir, 0);
    let o = batch(&dir, "out", &[]);
    assert!(o.status.code() == Some(1) && err(&o).contains("a header and no row"), "{}", err(&o));
    assert!(!dir.join("out").exists());
    let rows: Vec<String> = (1..=6).map(|n| format!("A{n},8.{n},11.7,0.5")).collect();
    fs::write(dir.join("herbarium-survey.csv"), format!("id,width,height,depth\n{}\n", rows.join("\n"))).unwrap();
    let o = batch(&dir, "out", &[]);
    let told = err(&o);
    assert!(o.status.code() == Some(1) && told.matches("error").count() == 1, "{told}");
    assert!(told.contains("measured in inches in 6 rows") && told.contains("write the unit in the cells"), "{told}");
}

#[test]
fn the_table_is_in_the_lists_unit() {
    let dir = folder("unit");
    shorten(&dir, 2);
    good(&batch(&dir, "mm", &[]));
    let job = fs::read_to_string(dir.join("herbarium-survey.toml")).unwrap();
    // The same job with each figure's unit written, so that bare numbers may be inches.
    let mut inches = String::new();
    for line in job.lines() {
        let number = |t: &str| t.trim().parse::<f64>().is_ok();
        let line = match line.split_once(" = ") {
            Some((key, value)) if number(value) && !["format", "price", "grammage", "tier"].contains(&key) => {
                format!("{key} = \"{value} mm\"")
            }
            _ => line
                .replace("width = 3, height = 3, depth = 1 ", "width = \"3 mm\", height = \"3 mm\", depth = \"1 mm\" "),
        };
        let line = line.replace("{ width = 700, height = 1000 }", "{ width = \"700 mm\", height = \"1000 mm\" }");
        let line = line.replace("{ width = 1000, height = 1400 }", "{ width = \"1000 mm\", height = \"1400 mm\" }");
        inches.push_str(&format!("{line}\n"));
        if line.starts_with("title") {
            inches.push_str("units = \"in\"\n");
        }
    }
    fs::write(dir.join("herbarium-survey.toml"), inches).unwrap();
    let list = "id,title,width,height,depth\nTH-001,Bladder wrack,\"209 mm\",\"293 mm\",\"10.5 mm\"\n";
    fs::write(dir.join("herbarium-survey.csv"), list).unwrap();
    good(&batch(&dir, "inch", &[]));
    let cell = |out: &str, name: &str| {
        let mut reader = csv::Reader::from_path(dir.join(out).join("batch.csv")).unwrap();
        let at = reader.headers().unwrap().iter().position(|h| h == name);
        let at = at.unwrap_or_else(|| panic!("{out} has no {name}"));
        reader.records().next().unwrap().unwrap().get(at).unwrap().to_owned()
    };
    let mm: f64 = cell("mm", "interior_width_mm").parse().unwrap();
    let inch = cell("inch", "interior_width_in");
    assert!((inch.parse::<f64>().unwrap() * 25.4 - mm).abs() < 0.005 * 25.4 + 0.051, "{inch} in, {mm} mm");
    assert!(inch.split('.').nth(1).is_none_or(|d| d.len() <= 2), "{inch}");
}

#[test]
fn what_was_changed_by_hand_is_not_written_over_unasked() {
    let dir = folder("by-hand");
    shorten(&dir, 7);
    good(&batch(&dir, "out", &["--machine", MACHINE]));
    let program = fs::read_dir(dir.join("out/lot-1")).unwrap().map(|e| e.unwrap().path());
    let program = program.filter(|p| p.extension().is_some_and(|e| e == "nc")).min().unwrap();
    let text = fs::read_to_string(&program).unwrap();
    fs::write(&program, format!("{text}(slower here)\n")).unwrap();
    // Nothing of that lot is to be made: it stays.
    change(&dir, 8, "TH-007,Gutweed,181,241,9,1,");
    let text = good(&batch(&dir, "out", &["--machine", MACHINE]));
    assert!(
        text.contains("1 of them as they were") && text.contains("differ in lot 2 (row changed: TH-007)"),
        "{text}"
    );
    change(&dir, 3, "TH-002,Channelled wrack,236,315,10,1,");
    let before = tree(&dir.join("out"));
    let o = batch(&dir, "out", &["--machine", MACHINE]);
    let name = program.file_name().unwrap().to_str().unwrap();
    assert!(o.status.code() == Some(2) && err(&o).contains(&format!("lot-1/{name}")), "{}", err(&o));
    assert_same(&before, &tree(&dir.join("out")));
    // Another profile and a kerf are reasons too.
    let text = good(&batch(&dir, "out", &["--machine", MACHINE, "--force", "--kerf", "0.2 mm"]));
    for part in ["lots 1, 2", "row changed: TH-002", "kerf changed: 0.2 mm"] {
        assert!(text.contains(part), "{part}: {text}");
    }
    good(&Command::new(env!("CARGO_BIN_EXE_flapwright")).arg("verify").arg(dir.join("out")).output().unwrap());
}

#[test]
fn guides_and_labels_of_every_box_are_there_and_proved() {
    let dir = folder("guides");
    shorten(&dir, 6);
    good(&batch(&dir, "out", &["--guides"]));
    let first = tree(&dir.join("out"));
    for (lot, id) in [(1, "TH-001"), (1, "TH-005"), (2, "TH-006")] {
        let manifest = json(&dir.join(format!("out/lot-{lot}/manifest.json")));
        for paper in ["guide", "templates"] {
            let name = format!("item-{id}.{paper}.pdf");
            assert!(first[&format!("lot-{lot}/{name}")].starts_with(b"%PDF"), "{name}");
            assert!(manifest["files"].as_array().unwrap().iter().any(|f| f["file"] == name.as_str()), "{name}");
        }
    }
    assert!(first["labels.pdf"].starts_with(b"%PDF"));
    good(&batch(&dir, "out", &["--guides"]));
    good(&batch(&dir, "again", &["--guides", "--threads", "1"]));
    assert_same(&first, &tree(&dir.join("out")));
    assert_same(&first, &tree(&dir.join("again")));
    let verify = || Command::new(env!("CARGO_BIN_EXE_flapwright")).arg("verify").arg(dir.join("out")).output().unwrap();
    good(&verify());
    let guide = dir.join("out/lot-1/item-TH-001.guide.pdf");
    fs::write(&guide, b"%PDF another").unwrap();
    assert!(!verify().status.success());
    // More boxes than labels are made for.
    let list = "id,width,height,depth,copies\nTH-001,120,160,8,5001\n";
    fs::write(dir.join("herbarium-survey.csv"), list).unwrap();
    let o = batch(&dir, "many", &[]);
    good(&o);
    assert!(err(&o).contains("5001 boxes") && !dir.join("many/labels.pdf").exists(), "{}", err(&o));
}

/// Source of the guides' text: pdfium. An item's guide names the lot's sheets that its pieces lie on, and no other, with
/// their files and with whom they are shared; it says of none of them that it is to be cut or bought for that item.
#[test]
fn a_guide_of_an_item_tells_whose_sheets_its_pieces_lie_on() {
    let dir = folder("guide-sheets");
    shorten(&dir, 8);
    // Several boxes alike, and one on board of its own.
    change(&dir, 3, "TH-002,\"Channelled wrack\",237,315,9.5;10;10.5,4,");
    good(&batch(&dir, "out", &["--guides", "--machine", MACHINE, "--svg"]));
    let whole = json(&dir.join("out/batch.json"));
    let (mut items, mut paths) = (Vec::new(), Vec::new());
    for lot in whole["lots"].as_array().unwrap() {
        let manifest = json(&dir.join("out").join(lot["folder"].as_str().unwrap()).join("manifest.json"));
        for item in lot["items"].as_array().unwrap() {
            let (folder, id) = (lot["folder"].as_str().unwrap(), item["id"].as_str().unwrap());
            items.push((folder.to_owned(), id.to_owned(), item.clone(), manifest.clone()));
            paths.push(dir.join("out").join(folder).join(format!("item-{id}.guide.pdf")));
        }
    }
    let Some(read) = crate::common::references::python("pdf_text.py", &paths, &Value::Null) else { return };
    let (mut shared, mut alone) = (0, 0);
    for ((folder, id, item, manifest), pages) in items.iter().zip(read.as_array().unwrap()) {
        let text: String = pages.as_array().unwrap().iter().map(|p| format!("{} ", p.as_str().unwrap())).collect();
        let has = |part: &str| text.contains(part);
        let own: Vec<&str> = item["sheets"]
            .as_object()
            .unwrap()
            .values()
            .flat_map(|ids| ids.as_array().unwrap().iter().map(|id| id.as_str().unwrap()))
            .collect();
        for sheet in manifest["sheets"].as_array().unwrap() {
            let name = sheet["id"].as_str().unwrap();
            let programs = manifest["programs"].as_array().unwrap().iter();
            let programs = programs.filter(|p| p["sheet"] == name && p["kind"] == "work").map(|p| &p["file"]);
            let files: Vec<&str> =
                sheet["drawings"].as_array().unwrap().iter().chain(programs).map(|f| f.as_str().unwrap()).collect();
            assert!(files.len() > 2, "{name}: {files:?}");
            for file in files {
                assert_eq!(has(file), own.contains(&name), "{folder}, {id}: {file}");
            }
            // A name is one only where no further figure follows it.
            let is_named = text.match_indices(name).any(|(at, _)| {
                let rest = &text[at + name.len()..];
                !rest.starts_with(|c: char| c.is_ascii_digit() || c == '.')
            });
            assert_eq!(is_named, own.contains(&name), "{folder}, {id}: {name}");
            let with: std::collections::BTreeSet<&str> = sheet["placed"]
                .as_array()
                .unwrap()
                .iter()
                .map(|p| p["piece"].as_str().unwrap().split('/').next().unwrap())
                .collect();
            if own.contains(&name) {
                shared += usize::from(with.len() > 1);
                alone += usize::from(with.len() == 1);
            }
        }
        for part in [format!("on the sheets of {folder}"), format!("begins with {id}"), "do not cut them again".into()]
        {
            assert!(has(&part), "{folder}, {id}: {part}");
        }
        for part in ["(cut ", "Cut each piece to its outline", "before you cut the other", "% used", "What to cut"] {
            assert!(!has(part), "{folder}, {id}: {part}");
        }
    }
    assert!(shared > 8 && alone > 0, "{shared}, {alone}");
}
