//! The folder's own account: every figure of the manifest that can be counted or followed is, and
//! the lists for people say the same. One change of each, and it is found; what `export`, `batch` and
//! `coupon` wrote agrees with itself.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;

use common::proof::{Files, export, files_of, put_all, root, samples, sha, told};
use common::references::scratch;
use flapwright::cli::{Exit, run};
use flapwright::verify::verify_folder;
use serde_json::{Value, json};
use std::path::Path;

/// The manifest changed, the other files as they are.
fn with_manifest(files: &Files, change: &dyn Fn(&mut Value)) -> Files {
    let mut files = files.clone();
    let mut manifest: Value = serde_json::from_slice(&files["manifest.json"]).unwrap();
    let before = manifest.clone();
    change(&mut manifest);
    assert!(manifest != before, "no damage done");
    files.insert("manifest.json".into(), serde_json::to_vec(&manifest).unwrap());
    files
}

fn program<'m>(m: &'m mut Value, file: &str) -> &'m mut Value {
    m["programs"].as_array_mut().unwrap().iter_mut().find(|p| p["file"].as_str().unwrap().ends_with(file)).unwrap()
}

fn more(v: &mut Value, by: f64) {
    *v = json!(v.as_f64().unwrap() + by);
}

/// A change of the manifest.
type Change = (&'static str, Box<dyn Fn(&mut Value)>);

fn changes() -> Vec<Change> {
    const BOARD: &str = "board-1.small-router.nc";
    const CLOTH: &str = "cloth-1.oscillating-knife-table.nc";
    const OUTLINE: &str = "board-1.small-router.outline.nc";
    let drop = |file: &'static str| -> Box<dyn Fn(&mut Value)> {
        Box::new(move |m| {
            m["programs"].as_array_mut().unwrap().retain(|p| !p["file"].as_str().unwrap().ends_with(file));
        })
    };
    let mut all: Vec<Change> = vec![
        ("a program dropped", drop(BOARD)),
        ("an outline run dropped", drop(OUTLINE)),
        (
            "all programs of a machine dropped",
            Box::new(|m| m["programs"].as_array_mut().unwrap().retain(|p| p["machine"] != "small-router")),
        ),
        (
            "a program entered twice",
            Box::new(|m| {
                let first = m["programs"][0].clone();
                m["programs"].as_array_mut().unwrap().push(first);
            }),
        ),
        ("an outline that is to work", Box::new(|m| program(m, OUTLINE)["kind"] = json!("work"))),
        ("work that is an outline", Box::new(|m| program(m, BOARD)["kind"] = json!("outline"))),
        ("a program of another sheet", Box::new(|m| program(m, CLOTH)["sheet"] = json!("liner-1"))),
        ("a program run twice", Box::new(|m| program(m, BOARD)["count"] = json!(2))),
        ("another tool", Box::new(|m| program(m, CLOTH)["tool"] = json!("knife"))),
        ("a tool more", Box::new(|m| program(m, BOARD)["tool"] = json!("pen, bit, knife"))),
        ("no operation", Box::new(|m| program(m, BOARD)["operations"] = json!([]))),
        (
            "an operation less",
            Box::new(|m| {
                program(m, CLOTH)["operations"].as_array_mut().unwrap().remove(0);
            }),
        ),
        (
            "an operation more",
            Box::new(|m| {
                program(m, CLOTH)["operations"] = json!(["mark", "crease-score", "half-depth-pocket", "through-cut"])
            }),
        ),
        ("a pass more", Box::new(|m| more_passes(program(m, CLOTH), 1))),
        ("less work", Box::new(|m| more(&mut program(m, BOARD)["cut_mm"], -60.0))),
        ("less travel", Box::new(|m| more(&mut program(m, BOARD)["travel_mm"], -60.0))),
        ("no time", Box::new(|m| program(m, BOARD)["seconds"] = json!(1.0))),
        ("a sheet cut twice", Box::new(|m| m["sheets"][0]["count"] = json!(2))),
        ("a sheet more used", Box::new(|m| more(&mut m["sheets"][0]["used"], 0.01))),
        ("an offcut over the pieces", Box::new(|m| more(&mut m["sheets"][0]["offcut"]["x"], -60.0))),
        ("an offcut that is smaller", Box::new(|m| more(&mut m["sheets"][0]["offcut"]["width"], -20.0))),
        ("an offcut forgotten", Box::new(|m| m["sheets"][0]["offcut"] = Value::Null)),
        ("a sheet of another stock", Box::new(|m| m["sheets"][1]["stock"] = json!("liner"))),
        ("a sheet of another thickness", Box::new(|m| more(&mut m["sheets"][1]["thickness"], 0.1))),
        ("a sheet wider", Box::new(|m| more(&mut m["sheets"][0]["width"], 5.0))),
        ("another copy", Box::new(|m| m["sheets"][0]["placed"][0]["copies"] = json!([2]))),
        (
            "a piece less on a sheet",
            Box::new(|m| {
                m["sheets"][0]["placed"].as_array_mut().unwrap().pop();
            }),
        ),
        ("more of a piece", Box::new(|m| m["pieces"][1]["count"] = json!(2))),
        ("another grain", Box::new(|m| m["pieces"][1]["grain"] = json!("width"))),
        ("another role", Box::new(|m| m["pieces"][3]["role"] = json!("base"))),
        ("another side", Box::new(|m| m["pieces"][3]["side"] = json!("head"))),
        ("a piece of another stock", Box::new(|m| m["pieces"][1]["stock"] = json!("cloth"))),
        ("another title", Box::new(|m| m["title"] = json!("Another box"))),
        (
            "a higher wall",
            Box::new(|m| {
                let walls = m["fit"]["walls"].as_object_mut().unwrap();
                let first = walls.keys().next().unwrap().clone();
                more(&mut walls[&first], 0.5);
            }),
        ),
    ];
    all.push(("another joint", Box::new(|m| more(&mut m["fit"]["joint"], 0.4))));
    all.push(("an elastic that there is not", Box::new(|m| m["fit"]["strap_length"] = json!(400.0))));
    all.push(("thicker board", Box::new(|m| more(&mut m["fit"]["dressed"]["board"], 0.3))));
    all.push((
        "a panel that is wider",
        Box::new(|m| more(&mut m["fit"]["dressed"]["panels"][0]["outline"][0][0], 2.0)),
    ));
    all.push(("less work by hand", Box::new(|m| more(&mut m["work"]["by_hand_minutes"], -30.0))));
    all.push(("a step that takes longer", Box::new(|m| more(&mut m["work"]["steps"][0]["minutes"], 30.0))));
    all.push(("machines that run longer", Box::new(|m| more(&mut m["work"]["run_minutes"], 30.0))));
    all.push(("a time that is none", Box::new(|m| more(&mut program(m, CLOTH)["seconds"], 900.0))));
    all
}

fn more_passes(program: &mut Value, by: u64) {
    program["passes"] = json!(program["passes"].as_u64().unwrap() + by);
}

/// One folder for all that change something in it.
fn folder() -> Files {
    static FILES: std::sync::LazyLock<Files> =
        std::sync::LazyLock::new(|| export("rockpool-folder", &["small-router", "oscillating-knife-table"], "account"));
    FILES.clone()
}

#[test]
fn one_figure_of_the_manifest_changed_is_found() {
    let files = folder();
    assert!(verify_folder(&files).is_good());
    let mut missed = Vec::new();
    for (name, change) in changes() {
        let folder = verify_folder(&with_manifest(&files, &*change));
        if folder.is_good() {
            missed.push(name);
        }
    }
    assert!(missed.is_empty(), "{missed:#?}");
}

#[test]
fn one_cell_of_a_list_changed_is_found() {
    // Without programs: the lists are read all the same, and sooner.
    let files = export("rockpool-folder", &[], "account-lists");
    let mut tried = 0;
    for name in ["cut-list.csv", "cost.csv"] {
        let text = String::from_utf8(files[name].clone()).unwrap();
        let rows: Vec<Vec<&str>> = text.lines().map(|l| l.split(',').collect()).collect();
        for (i, row) in rows.iter().enumerate().skip(1) {
            for (k, cell) in row.iter().enumerate() {
                // What a sheet costs is known to the job alone.
                let is_money = rows[0][k].starts_with("cost");
                let Ok(n) = cell.parse::<f64>() else { continue };
                if is_money {
                    continue;
                }
                let mut changed: Vec<Vec<String>> =
                    rows.iter().map(|r| r.iter().map(|c| (*c).to_owned()).collect()).collect();
                changed[i][k] = (n + if rows[0][k].starts_with("minutes") { 1.0 } else { 0.5 }).to_string();
                let text: String = changed.iter().map(|r| r.join(",") + "\r\n").collect();
                let folder = put_all(&files, name, text.into_bytes());
                assert!(
                    folder.all().any(|f| f.code == "account" && f.file == name),
                    "{name}: {} of row {i}",
                    rows[0][k]
                );
                tried += 1;
            }
        }
        let without_last: String = text.lines().take(rows.len() - 1).map(|l| format!("{l}\r\n")).collect();
        assert!(!put_all(&files, name, without_last.into_bytes()).is_good(), "{name}");
    }
    assert!(tried > 90, "{tried}");
    let list: Value = serde_json::from_slice(&files["cut-list.json"]).unwrap();
    for key in list["pieces"][0].as_object().unwrap().keys().filter(|k| *k != "size") {
        let mut changed = list.clone();
        let value = &mut changed["pieces"][0][key];
        *value = match value {
            Value::Number(n) => json!(n.as_f64().unwrap() + 2.0),
            Value::Null => json!(1),
            _ => json!("other"),
        };
        let folder = put_all(&files, "cut-list.json", serde_json::to_vec(&changed).unwrap());
        assert!(folder.all().any(|f| f.code == "account"), "{key}");
    }
}

#[test]
fn a_file_that_no_entry_names_is_found() {
    let files = folder();
    let mut manifest: Value = serde_json::from_slice(&files["manifest.json"]).unwrap();
    // Listed with its hash, a program as any other.
    let bytes = b"G21 G90\nG0 Z30\nM2\n".to_vec();
    manifest["files"].as_array_mut().unwrap().push(json!({"file": "board-2.small-router.nc", "sha256": sha(&bytes)}));
    let mut changed = files.clone();
    changed.insert("board-2.small-router.nc".into(), bytes);
    changed.insert("manifest.json".into(), serde_json::to_vec(&manifest).unwrap());
    let folder = verify_folder(&changed);
    assert!(folder.all().any(|f| f.code == "account" && f.file.starts_with("board-2")), "{:#?}", told(&folder));
}

/// The drawing of the first board.
const BOARD: &str = "rockpool-folder_board-2mm_1.dxf";

#[test]
fn another_rectangle_of_stock_in_a_drawing_is_found() {
    let files = folder();
    let text = String::from_utf8(files[BOARD].clone()).unwrap();
    let at = text.find("\nSTOCK\n100\n").unwrap();
    let (before, after) = text.split_at(at);
    for (from, to) in [("500.0", "490.0"), ("700.0", "701.0"), ("  0\n", "  0\n")] {
        let damaged = if from == to {
            // Left out whole.
            let start = before.rfind("LWPOLYLINE").unwrap() - "  0\n".len();
            let end = at + after.find("\n  0\n").unwrap() + 1;
            format!("{}{}", &text[..start], &text[end..])
        } else {
            format!("{before}{}", after.replacen(from, to, 2))
        };
        let folder = put_all(&files, BOARD, damaged.into_bytes());
        assert!(folder.all().any(|f| f.code == "stock-rectangle"), "{from}: {:#?}", told(&folder));
    }
}

#[test]
fn whatever_is_written_agrees_with_itself() {
    for (sample, machines) in samples() {
        let folder = verify_folder(&export(sample, &machines, &format!("account-{sample}")));
        assert!(folder.is_good(), "{sample}: {:#?}", told(&folder));
    }
    // Editions, the first box alone, drawings in both forms, a coupon, several boxes on shared sheets.
    let home = scratch("account");
    let run = |arguments: &[&str], out: &Path| {
        let mut args: Vec<std::ffi::OsString> = vec!["flapwright".into()];
        args.extend(arguments.iter().map(|a| (*a).into()));
        args.extend(["--out".into(), out.into()]);
        let (mut said, mut errors) = (Vec::new(), Vec::new());
        let exit = run(args, &mut said, &mut errors, false);
        assert_eq!(exit, Exit::Good, "{arguments:?}: {}", String::from_utf8_lossy(&errors));
    };
    let sound = |dir: &Path| {
        let folder = verify_folder(&files_of(dir));
        assert!(folder.is_good(), "{}: {:#?}", dir.display(), told(&folder));
    };
    let sample = |name: &str| root().join("samples").join(name).to_str().unwrap().to_owned();
    let first = home.join("first");
    run(
        &["export", &sample("dulse-atlas.toml"), "--first-article", "--machine", "shared-laser-cutter", "--png"],
        &first,
    );
    sound(&first);
    let both = home.join("both");
    run(&["export", &sample("tideline-folio.toml"), "--dxf", "both", "--machine", "drag-knife-table"], &both);
    sound(&both);
    for machine in ["small-router", "drag-knife-table", "shared-laser-cutter"] {
        let coupon = home.join(format!("coupon-{machine}"));
        run(&["coupon", "--machine", machine], &coupon);
        sound(&coupon);
    }
    let batch = home.join("batch");
    let (list, job) = (sample("herbarium-survey.csv"), sample("herbarium-survey.toml"));
    run(&["batch", &list, "--job", &job, "--lot", "6", "--machine", "oscillating-knife-table"], &batch);
    let mut lots = 0;
    for entry in std::fs::read_dir(&batch).unwrap() {
        let path = entry.unwrap().path();
        if path.join("manifest.json").exists() {
            sound(&path);
            lots += 1;
        }
    }
    assert!(lots > 1, "{lots}");
}
