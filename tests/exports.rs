//! Every sample through the real program, and what it wrote compared with the outside.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;

use common::references::{python, scratch};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn samples() -> Vec<PathBuf> {
    let home = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    let mut found: Vec<PathBuf> = fs::read_dir(home).unwrap().map(|e| e.unwrap().path()).collect();
    found.retain(|p| p.extension().is_some_and(|e| e == "toml"));
    found.sort();
    assert!(found.len() >= 3);
    found
}

fn folio() -> PathBuf {
    samples().into_iter().find(|p| p.ends_with("tideline-folio.toml")).unwrap()
}

fn flapwright(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_flapwright")).args(arguments).output().expect("it starts")
}

/// Exports every sample into folders of its own below `home`, both DXF versions of each sheet.
fn export_all(home: &Path, more: &[&str]) -> Vec<PathBuf> {
    export_each(samples(), home, more)
}

/// The same of these samples alone.
fn export_each(samples: Vec<PathBuf>, home: &Path, more: &[&str]) -> Vec<PathBuf> {
    let export = |sample: &PathBuf| {
        let out = home.join(sample.file_stem().unwrap());
        let mut arguments = vec!["export", sample.to_str().unwrap(), "--out", out.to_str().unwrap(), "--dxf", "both"];
        arguments.extend(more);
        let output = flapwright(&arguments);
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(output.status.success(), "{}: {said}", sample.display());
        out
    };
    samples.iter().map(export).collect()
}

fn bytes_of(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let read = |e: fs::DirEntry| (e.file_name().into_string().unwrap(), fs::read(e.path()).unwrap());
    fs::read_dir(folder).unwrap().map(|e| read(e.unwrap())).collect()
}

/// Source: GDAL, the library with which map programs read drawings, opens each file of both versions; every
/// line of the manifest is there once with its layer, bounds and length to a thousandth, and none besides.
#[test]
fn every_drawing_of_every_sample_is_the_same_in_gdal() {
    let folders = export_all(&scratch("exports-gdal"), &[]);
    let Some(answers) = python("check_gdal.py", &folders, &Value::Null) else { return };
    let answers = answers.as_array().unwrap().clone();
    assert_eq!(answers.len(), folders.len());
    for (answer, folder) in answers.iter().zip(&folders) {
        assert_faultless(answer, folder);
        assert!(answer["lines"].as_u64().unwrap() > 20, "{}", folder.display());
    }
    // A line moved by a hundredth of a millimetre is noticed.
    let folder = folders.iter().find(|f| f.ends_with("tideline-folio")).unwrap();
    let manifest = folder.join("manifest.json");
    let mut json: Value = serde_json::from_str(&fs::read_to_string(&manifest).unwrap()).unwrap();
    let x = json["sheets"][0]["placed"][0]["x"].as_f64().unwrap();
    json["sheets"][0]["placed"][0]["x"] = json!(x + 0.01);
    fs::write(&manifest, json.to_string()).unwrap();
    let answers = python("check_gdal.py", std::slice::from_ref(folder), &Value::Null).unwrap();
    assert!(!answers[0]["faults"].as_array().unwrap().is_empty());
}

/// The answers of check_export.py for these folders; at least so many lines must have been seen.
fn compare(kerf: &str, folders: &[PathBuf]) -> Option<Vec<Value>> {
    let arguments: Vec<PathBuf> = std::iter::once(kerf.into()).chain(folders.iter().cloned()).collect();
    let answers = python("check_export.py", &arguments, &Value::Null)?;
    let answers = answers.as_array().unwrap().clone();
    assert_eq!(answers.len(), folders.len());
    Some(answers)
}

/// No faults; the first few are told.
fn assert_faultless(answer: &Value, folder: &Path) {
    let faults: Vec<&str> = answer["faults"].as_array().unwrap().iter().filter_map(Value::as_str).collect();
    let first = faults.iter().take(4).copied().collect::<Vec<_>>().join("\n");
    assert!(faults.is_empty(), "{} faults in {}:\n{first}", faults.len(), folder.display());
}

/// Source: ezdxf opens and audits each file; every line of the manifest, placed by code of this
/// test's own, is there once with its layer, length and bounds to 1e-6 mm, and none besides.
#[test]
fn every_drawing_of_every_sample_is_its_manifest() {
    let folders = export_all(&scratch("exports-nominal"), &[]);
    let Some(answers) = compare("0", &folders) else { return };
    for (answer, folder) in answers.iter().zip(&folders) {
        assert_faultless(answer, folder);
        assert!(answer["lines"].as_u64().unwrap() > 20, "{}", folder.display());
    }
}

/// Source: shapely's buffer of every outline, hole and pocket by half the kerf.
#[test]
fn kerf_moved_drawings_are_shapelys_offsets() {
    // The wide one where corners are sharp, where there is a strap, and in one piece.
    let few =
        |p: &PathBuf| ["whelk-box.toml", "tideline-folio.toml", "rockpool-folder.toml"].iter().any(|n| p.ends_with(n));
    for (kerf, samples) in [("0.15", samples()), ("0.5", samples().into_iter().filter(few).collect())] {
        let home = scratch(&format!("exports-kerf-{kerf}"));
        let folders = export_each(samples, &home, &["--kerf", &format!("{kerf} mm")]);
        let Some(answers) = compare(kerf, &folders) else { return };
        for (answer, folder) in answers.iter().zip(&folders) {
            assert_faultless(answer, folder);
            assert!(answer["worst"].as_f64().unwrap() > 0.0, "nothing was compared in {}", folder.display());
        }
    }
}

/// The two above would be worth nothing if the comparison let everything pass.
#[test]
fn the_comparison_sees_a_line_moved_by_a_thousandth_of_a_hair_and_a_changed_file() {
    let folder = export_each(vec![folio()], &scratch("exports-damaged"), &[]).remove(0);
    let manifest = folder.join("manifest.json");
    let sound = fs::read_to_string(&manifest).unwrap();
    let mut json: Value = serde_json::from_str(&sound).unwrap();
    let x = json["sheets"][0]["placed"][0]["x"].as_f64().unwrap();
    json["sheets"][0]["placed"][0]["x"] = json!(x + 5e-6);
    fs::write(&manifest, json.to_string()).unwrap();
    let Some(answers) = compare("0", std::slice::from_ref(&folder)) else { return };
    assert!(!answers[0]["faults"].as_array().unwrap().is_empty());
    fs::write(&manifest, &sound).unwrap();
    let list = folder.join("cut-list.csv");
    let changed = fs::read_to_string(&list).unwrap().replacen(",1,", ",2,", 1);
    fs::write(&list, changed).unwrap();
    let faults = compare("0", &[folder]).unwrap()[0]["faults"].to_string();
    assert!(faults.contains("cut-list.csv"), "{faults}");
}

/// A cutter's kerf is another in board than in cloth: each stock's drawings are moved for its own, are named and told so,
/// and proved by it.
#[test]
fn every_stock_may_have_a_kerf_of_its_own() {
    let home = scratch("exports-kerfs");
    let kerfs = ["--kerf", "cloth=0.1 mm", "--kerf", "0.2 mm", "--kerf", "liner=0 mm"];
    let folder = export_each(vec![folio()], &home, &kerfs).remove(0);
    let manifest: Value = serde_json::from_str(&fs::read_to_string(folder.join("manifest.json")).unwrap()).unwrap();
    for sheet in manifest["sheets"].as_array().unwrap() {
        let (kerf, named) = match sheet["stock"].as_str().unwrap() {
            "board" => (0.2, "_kerf-0.2mm_"),
            "cloth" => (0.1, "_kerf-0.1mm_"),
            _ => (0.0, "_liner-"),
        };
        assert!((sheet["kerf"].as_f64().unwrap() - kerf).abs() < 1e-9, "{sheet}");
        let drawings = sheet["drawings"].as_array().unwrap();
        let is_named =
            |d: &Value| d.as_str().unwrap().contains(named) && (kerf > 0.0) == d.as_str().unwrap().contains("kerf");
        assert!(drawings.len() == 2 && drawings.iter().all(is_named), "{drawings:?}");
    }
    let told = fs::read_to_string(folder.join("for-the-cutter.txt")).unwrap();
    let differs = "The kerf differs. Board: in, outlines are moved out and holes in for a cut 0.2 mm wide in all";
    assert!(told.contains(differs) && told.contains("Liner: not in"), "{told}");
    let verify = |folder: &Path| flapwright(&["verify", folder.to_str().unwrap()]);
    let proof = verify(&folder);
    assert!(proof.status.success(), "{}", String::from_utf8_lossy(&proof.stderr));
    // Cloth that is said to be moved for the kerf of the board is not.
    let mut wrong = manifest.clone();
    for sheet in wrong["sheets"].as_array_mut().unwrap().iter_mut().filter(|s| s["stock"] == "cloth") {
        sheet["kerf"] = json!(0.4);
    }
    fs::write(folder.join("manifest.json"), wrong.to_string()).unwrap();
    assert!(!verify(&folder).status.success());
    for (typed, told) in [
        (&["--kerf", "felt=1 mm"][..], "there is no stock felt"),
        (&["--kerf", "1 mm", "--kerf", "2 mm"], "the kerf of all stocks is given twice"),
        (&["--kerf", "cloth=1 mm", "--kerf", "cloth=1 mm"], "the kerf of cloth is given twice"),
        (&["--kerf", "cloth=1"], "say the unit"),
    ] {
        let refused = flapwright(&[&["export", folio().to_str().unwrap(), "--out", "nowhere"], typed].concat());
        let said = String::from_utf8_lossy(&refused.stderr).into_owned();
        assert!(!refused.status.success() && said.contains(told), "{said}");
    }
}

#[test]
fn the_same_job_gives_the_same_bytes_over_a_folder_of_ours_too() {
    let home = scratch("exports-again");
    let first: Vec<_> = export_all(&home, &[]).iter().map(|f| bytes_of(f)).collect();
    assert!(first.iter().all(|files| files.contains_key("manifest.json") && files.len() >= 5));
    let again: Vec<_> = export_all(&home, &[]).iter().map(|f| bytes_of(f)).collect();
    let elsewhere: Vec<_> = export_all(&scratch("exports-elsewhere"), &[]).iter().map(|f| bytes_of(f)).collect();
    assert!(first == again && first == elsewhere);
}

#[test]
fn a_folder_of_the_makers_own_is_refused_and_kept() {
    let home = scratch("exports-foreign");
    let folder = home.join("notes");
    fs::create_dir(&folder).unwrap();
    fs::write(folder.join("notes.txt"), "left lid 1 mm tight").unwrap();
    let sample = samples().remove(0);
    let output = flapwright(&["export", sample.to_str().unwrap(), "--out", folder.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("notes"), "{output:?}");
    assert_eq!(bytes_of(&folder).len(), 1);
    assert_eq!(fs::read_dir(&home).unwrap().count(), 1, "nothing temporary is left");
}

/// A job that cannot be cut: an error naming both sizes, exit 1, and no folder.
#[test]
fn a_sheet_too_small_stops_the_export_before_anything_is_written() {
    let home = scratch("exports-small");
    let job = home.join("small.toml");
    let text = fs::read_to_string(folio()).unwrap();
    let table = text.find("[board]").expect("the sample has a [board] table");
    let from = table + text[table..].find("sheet").expect("with a sheet");
    let to = from + text[from..].find('\n').unwrap();
    fs::write(&job, format!("{}sheet = {{ width = 250, height = 300 }}{}", &text[..from], &text[to..])).unwrap();
    let out = home.join("out");
    let output = flapwright(&["export", job.to_str().unwrap(), "--out", out.to_str().unwrap(), "-v"]);
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(1), "{said}");
    for part in ["piece-too-large", "board-flap-left", "210.5 x 302.3 mm", "250 x 300 mm"] {
        assert!(said.contains(part), "{part} in {said}");
    }
    assert!(!out.exists());
}

/// The fields of one line of CSV, by RFC 4180 section 2, read here.
fn fields(line: &str) -> Vec<String> {
    let (mut fields, mut field, mut quoted) = (Vec::new(), String::new(), false);
    let mut rest = line.chars().peekable();
    while let Some(c) = rest.next() {
        match c {
            '"' if quoted && rest.peek() == Some(&'"') => field.extend(rest.next()),
            '"' => quoted = !quoted,
            ',' if !quoted => fields.push(std::mem::take(&mut field)),
            c => field.push(c),
        }
    }
    fields.push(field);
    fields
}

#[test]
fn the_cut_list_says_the_same_as_csv_as_json_and_in_the_manifest() {
    let home = scratch("cut-lists");
    for folder in export_all(&home, &[]) {
        let files = bytes_of(&folder);
        let csv = String::from_utf8(files["cut-list.csv"].clone()).unwrap();
        let json: Value = serde_json::from_slice(&files["cut-list.json"]).unwrap();
        let manifest: Value = serde_json::from_slice(&files["manifest.json"]).unwrap();
        let mut lines = csv.split_terminator("\r\n");
        let columns = fields(lines.next().unwrap());
        let rows: Vec<Vec<String>> = lines.map(fields).collect();
        let pieces = json["pieces"].as_array().unwrap();
        let listed = manifest["pieces"].as_array().unwrap();
        // After the pieces the elastics, as long as the manifest says.
        let strap = manifest["fit"]["strap_length"].as_f64();
        assert_eq!(rows.len(), pieces.len());
        // Of each lid's ties the ribbons, and the loops of its pegs.
        let ties = manifest["fit"]["ties"].as_array().into_iter().flatten().flat_map(|tie| {
            let pegs = &tie["pegs"];
            let loops = pegs.is_object().then(|| (&tie["side"], &pegs["loop_length"], &pegs["count"]));
            [(&tie["side"], &tie["length"], &tie["ribbons"])].into_iter().chain(loops)
        });
        let ties: Vec<(&Value, &Value, &Value)> = ties.collect();
        let reels = usize::from(strap.is_some());
        // What lies inside and is cut from no stock of the job (`tests/inside.rs` holds these).
        let inside = pieces.iter().filter(|p| p["stock"] == "padding" || p["piece"] == "lift-ribbon").count();
        assert_eq!(pieces.len(), listed.len() + reels + ties.len() + inside, "{}", folder.display());
        for ((side, length, count), ribbon) in ties.iter().zip(&pieces[listed.len() + reels..]) {
            assert_eq!((&ribbon["stock"], &ribbon["side"]), (&Value::from("ribbon"), *side));
            assert!((ribbon["height_mm"].as_f64().unwrap() - length.as_f64().unwrap()).abs() < 0.006, "{ribbon}");
            let copies = ribbon["copies"].as_u64().unwrap();
            assert_eq!(ribbon["count"].as_u64().unwrap(), count.as_u64().unwrap() * copies);
        }
        if let Some(length) = strap {
            let elastic = &pieces[listed.len()];
            assert_eq!((&elastic["stock"], &elastic["piece"]), (&Value::from("elastic"), &Value::from("strap")));
            assert!((elastic["height_mm"].as_f64().unwrap() - length).abs() < 0.006, "{elastic}");
            assert_eq!(elastic["count"], elastic["copies"]);
        }
        let per_unit = if json["unit"] == "in" { 25.4 } else { 1.0 };
        for ((row, piece), known) in rows.iter().zip(pieces).zip(listed) {
            assert_eq!(row.len(), columns.len());
            let keys: Vec<&String> = piece.as_object().unwrap().keys().collect();
            assert_eq!(keys, columns.iter().collect::<Vec<_>>());
            for (key, cell) in columns.iter().zip(row) {
                match &piece[key] {
                    Value::Null => assert_eq!(cell, ""),
                    Value::String(text) => assert_eq!(cell, text),
                    Value::Number(n) => assert!((cell.parse::<f64>().unwrap() - n.as_f64().unwrap()).abs() < 1e-9),
                    Value::Array(l) => {
                        assert_eq!(*cell, l.iter().map(|v| v.as_str().unwrap()).collect::<Vec<_>>().join(" "))
                    }
                    other => panic!("{key}: {other}"),
                }
            }
            // The outside: the manifest's outlines and counts, measured here.
            let number = |key: &str| piece[key].as_f64().unwrap();
            assert_eq!(piece["piece"], known["id"]);
            let same = |a: f64, b: f64| (a - b).abs() < 1e-9;
            assert!(same(number("each"), known["count"].as_f64().unwrap()));
            assert!(same(number("count"), number("each") * number("copies")));
            assert_eq!(number("slots") as usize, known["holes"].as_array().unwrap().len());
            let pockets = |face: &str| known[face].as_array().map_or(0, Vec::len);
            assert_eq!(number("pockets") as usize, pockets("pockets") + pockets("back_pockets"));
            assert!((number("width") * per_unit - number("width_mm")).abs() < 0.02, "{piece}");
            let at = |i: usize| known["outline"].as_array().unwrap().iter().map(move |v| v[i].as_f64().unwrap());
            let span = |i: usize| at(i).fold(f64::MIN, f64::max) - at(i).fold(f64::MAX, f64::min);
            if at(2).all(|bulge| bulge == 0.0) {
                assert!((span(0) - number("width_mm")).abs() < 0.006 && (span(1) - number("height_mm")).abs() < 0.006);
            }
            for sheet in piece["sheets"].as_array().unwrap() {
                let drawn = manifest["sheets"].as_array().unwrap().iter().find(|s| s["id"] == *sheet).unwrap();
                let file = drawn["drawings"][0].as_str().unwrap();
                assert!(files.contains_key(file), "{file}");
            }
        }
    }
}
