//! The folder keeps its job with every drawing that this names: it is made again from itself, byte for byte.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;

use common::proof::{Files, files_of, told};
use common::references::scratch;
use flapwright::cli::{Exit, run};
use flapwright::verify::verify_folder;
use serde_json::Value;
use std::fs;
use std::path::Path;

const SAMPLE: &str = include_str!("../samples/whelk-box.toml");
const LID: &str = include_str!("../samples/whelk-lid.dxf");

fn export(job: &Path, out: &Path) -> Files {
    let mut args: Vec<std::ffi::OsString> = ["flapwright", "export"].map(Into::into).into();
    args.extend([job.as_os_str().to_owned(), "--out".into(), out.as_os_str().to_owned()]);
    args.extend(["--machine", "small-router", "--svg", "--png"].map(Into::into));
    let (mut said, mut errors) = (Vec::new(), Vec::new());
    let exit = run(args, &mut said, &mut errors, false);
    assert_eq!(exit, Exit::Good, "{}", String::from_utf8_lossy(&errors));
    files_of(out)
}

/// The drawings that a folder keeps of its job.
fn of_job(files: &Files) -> Vec<String> {
    let manifest: Value = serde_json::from_slice(&files["manifest.json"]).unwrap();
    let listed = manifest["files"].as_array().unwrap().iter().filter(|f| f["is_of_job"] == true);
    listed.map(|f| f["file"].as_str().unwrap().to_owned()).collect()
}

/// A folder exported from a job whose two drawn lids have these paths, and again from its own `job.toml`: all but the
/// page, which shows the job's text, is the same.
fn twice(name: &str, left: (&str, &str), right: (&str, &str)) -> Files {
    let home = scratch(&format!("job-copy-{name}"));
    let at = home.join("jobs");
    for (path, bytes) in [left, right] {
        let path = at.join(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, bytes).unwrap();
    }
    let named = |path: &str| format!("outline = '{path}'  # by hand");
    let text = SAMPLE.replacen("outline = \"whelk-lid.dxf\"", &named(left.0), 1).replacen(
        "outline = \"whelk-lid.dxf\"",
        &named(right.0),
        1,
    );
    fs::create_dir_all(&at).unwrap();
    fs::write(at.join("job.toml"), &text).unwrap();
    let first = export(&at.join("job.toml"), &home.join("first"));
    // Nothing of where the job came from is left.
    for (path, _) in [left, right] {
        let _ = fs::remove_file(at.join(path));
    }
    fs::remove_dir_all(&at).unwrap();
    let second = export(&home.join("first").join("job.toml"), &home.join("second"));
    assert_eq!(first.keys().collect::<Vec<_>>(), second.keys().collect::<Vec<_>>());
    for (file, bytes) in first.iter().filter(|(file, _)| !["page.html", "manifest.json"].contains(&file.as_str())) {
        assert!(*bytes == second[file], "{name}: {file}");
    }
    assert_eq!(of_job(&first), of_job(&second));
    for files in [&first, &second] {
        let proof = verify_folder(files);
        assert_eq!(told(&proof), Vec::<String>::new(), "{name}");
        assert!(proof.all().all(|f| f.code != "job-drawing"), "{name}");
    }
    // Whatever stands around the two names is the maker's.
    let kept = String::from_utf8(first["job.toml"].clone()).unwrap();
    let around = |text: &str| -> Vec<String> {
        text.lines().map(|l| if l.starts_with("outline = ") { "outline" } else { l }.to_owned()).collect()
    };
    assert_eq!(around(&kept), around(&text), "{name}");
    assert_eq!(kept.matches("  # by hand").count(), 2, "{name}");
    first
}

#[test]
fn a_folder_is_made_again_from_itself() {
    let other = LID.replacen("0\nSECTION", "999\nthe same wave, drawn anew\n0\nSECTION", 1);
    let lines = |files: &Files| -> Vec<String> {
        let text = String::from_utf8(files["job.toml"].clone()).unwrap();
        text.lines().filter(|l| l.starts_with("outline")).map(|l| l.replace("  # by hand", "")).collect()
    };
    // The same text where that is possible.
    let files = twice("plain", ("whelk-lid.dxf", LID), ("whelk-lid.dxf", LID));
    assert_eq!(lines(&files), ["outline = 'whelk-lid.dxf'"; 2]);
    assert_eq!((of_job(&files), files["whelk-lid.dxf"].as_slice()), (vec!["whelk-lid.dxf".into()], LID.as_bytes()));
    let files = twice("here", ("./the lid.dxf", LID), ("the lid.dxf", LID));
    assert_eq!(lines(&files), ["outline = './the lid.dxf'", "outline = 'the lid.dxf'"]);
    assert_eq!(of_job(&files), ["the lid.dxf"]);
    // Out of other folders, by whole paths, two of one name.
    let files = twice("above", ("../lid.dxf", LID), ("drawn/lid.dxf", &other));
    assert_eq!(of_job(&files), ["lid-2.dxf", "lid.dxf"]);
    assert_eq!(lines(&files).iter().filter(|l| l.as_str() == "outline = \"lid.dxf\"").count(), 1);
    let all = [files["lid.dxf"].as_slice(), files["lid-2.dxf"].as_slice()];
    assert!(all.contains(&LID.as_bytes()) && all.contains(&other.as_bytes()));
    let far = scratch("job-copy-elsewhere").join("Whelk lid (left).DXF");
    let files = twice("far", (far.to_str().unwrap(), LID), ("LID.dxf", &other));
    assert_eq!(of_job(&files), ["LID.dxf", "whelk-lid-left.dxf"]);
    // No end that says what it is.
    let files = twice("bare", ("lid", LID), ("manifest.json", &other));
    assert_eq!(of_job(&files), ["lid.dxf", "manifest.dxf"]);
    // What a sheet's drawing or picture is called, or could be.
    let files = twice("taken", ("Board-1.svg.dxf", LID), ("whelk-box_board-3mm_1.dxf", &other));
    assert_eq!(of_job(&files), ["board-1-svg.dxf", "whelk-box-board-3mm-1.dxf"]);
    assert!(files["whelk-box_board-3mm_1.dxf"] != other.as_bytes());
}

#[test]
fn a_drawing_of_the_job_is_proved_to_be_one() {
    let home = scratch("job-copy-proof");
    fs::write(home.join("job.toml"), SAMPLE).unwrap();
    fs::write(home.join("whelk-lid.dxf"), LID).unwrap();
    let good = export(&home.join("job.toml"), &home.join("out"));
    let proof = |change: &dyn Fn(&mut Files)| {
        let mut files = good.clone();
        change(&mut files);
        verify_folder(&files)
    };
    let listed = |files: &mut Files, change: &dyn Fn(&mut Vec<Value>)| {
        let mut manifest: Value = serde_json::from_slice(&files["manifest.json"]).unwrap();
        change(manifest["files"].as_array_mut().unwrap());
        files.insert("manifest.json".into(), serde_json::to_vec(&manifest).unwrap());
    };
    let entry = |all: &mut Vec<Value>, name: &str, is_of_job: bool| {
        let entry = all.iter_mut().find(|f| f["file"] == name).unwrap();
        entry["is_of_job"] = is_of_job.into();
    };
    let changed = proof(&|f| f.get_mut("whelk-lid.dxf").unwrap().push(b'\n'));
    assert!(told(&changed).iter().any(|t| t.starts_with("whelk-lid.dxf: [file-changed]")), "{:?}", told(&changed));
    let gone = proof(&|f| drop(f.remove("whelk-lid.dxf")));
    assert!(told(&gone).iter().any(|t| t.contains("[file-missing]")), "{:?}", told(&gone));
    let unmarked = proof(&|f| listed(f, &|all| entry(all, "whelk-lid.dxf", false)));
    assert!(told(&unmarked).iter().any(|t| t.contains("[drawing-stray]")), "{:?}", told(&unmarked));
    // A sheet's drawing is none of the job's, nor is any other file.
    for name in ["whelk-box_board-3mm_1.dxf", "board-1.svg", "guide.pdf"] {
        let marked = proof(&|f| listed(f, &|all| entry(all, name, true)));
        assert!(told(&marked).iter().any(|t| t.contains("[drawing-stray]")), "{name}: {:?}", told(&marked));
    }
    // A folder as it was written before drawings were kept in it: what it cuts is as good as it was.
    let before = proof(&|f| {
        drop(f.remove("whelk-lid.dxf"));
        listed(f, &|all| all.retain(|f| f["file"] != "whelk-lid.dxf"));
    });
    assert_eq!(told(&before), Vec::<String>::new());
    assert!(before.all().any(|f| f.code == "job-drawing" && f.message.contains("whelk-lid.dxf")));
}
