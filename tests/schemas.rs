//! Every JSON that the program writes is as its schema says, by a library that is not ours; and no schema is
//! blind: a key more, or one that is gone, is noticed.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops where its ground is missing")]

use crate::common::proof::samples;
use crate::common::references::{python, scratch};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

const SAMPLES: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/samples");
/// Every schema but that of the job, which is for what a maker writes.
const NAMES: [&str; 18] = [
    "profile",
    "manifest",
    "cut-list",
    "check",
    "export",
    "verify",
    "coupon",
    "coupon-read",
    "profiles",
    "profile-check",
    "cut",
    "cut-marks",
    "failure",
    "batch",
    "batch-report",
    "lot",
    "item",
    "pieces",
];

/// That of a shop, in a build that has one.
#[cfg(feature = "shop")]
const SHOP: &[&str] = &["shop"];
#[cfg(not(feature = "shop"))]
const SHOP: &[&str] = &[];

/// What was written, each with the schema that it is held against.
struct Kept {
    dir: PathBuf,
    documents: Vec<(&'static str, String, Value)>,
}

impl Kept {
    fn new(name: &str) -> Self {
        Self { dir: scratch(name), documents: Vec::new() }
    }

    fn run(&self, arguments: &[&str]) -> Output {
        Command::new(env!("CARGO_BIN_EXE_flapwright")).current_dir(&self.dir).args(arguments).output().unwrap()
    }

    /// What a command prints, which must be JSON whatever becomes of it.
    fn report(&mut self, schema: &'static str, arguments: &[&str], status: i32) {
        let o = self.run(&[arguments, &["--format", "json"]].concat());
        let said = String::from_utf8_lossy(&o.stderr);
        assert_eq!(o.status.code(), Some(status), "{arguments:?}: {said}{}", String::from_utf8_lossy(&o.stdout));
        assert!(said.is_empty(), "{arguments:?} says beside its report: {said}");
        let document = serde_json::from_slice(&o.stdout).unwrap_or_else(|e| panic!("{arguments:?}: {e}"));
        self.documents.push((schema, arguments.join(" "), document));
    }

    fn file(&mut self, schema: &'static str, name: &str) {
        let document = serde_json::from_slice(&fs::read(self.dir.join(name)).unwrap()).unwrap();
        self.documents.push((schema, name.to_owned(), document));
    }

    /// The JSON files of a folder that was exported.
    fn folder(&mut self, name: &str) {
        self.file("manifest", &format!("{name}/manifest.json"));
        if self.dir.join(name).join("cut-list.json").exists() {
            self.file("cut-list", &format!("{name}/cut-list.json"));
        }
    }

    fn put(&self, name: &str, text: &str) {
        fs::write(self.dir.join(name), text).unwrap();
    }

    /// Holds all of it against the schemas: how many documents of each there were. `None` without the library.
    fn judge(self) -> Option<BTreeMap<String, u64>> {
        let of = |name: &&str| (*name).to_owned();
        let schema = |name: &&str| -> Value { serde_json::from_slice(&self.run(&["schema", name]).stdout).unwrap() };
        let schemas: BTreeMap<String, Value> = NAMES.iter().chain(SHOP).map(|n| (of(n), schema(n))).collect();
        let found = python("json_schemas.py", &[], &json!({"schemas": schemas, "documents": self.documents}))?;
        for kind in ["wrong", "blind"] {
            let lines: Vec<&str> = found[kind].as_array().unwrap().iter().filter_map(Value::as_str).collect();
            assert!(lines.is_empty(), "{kind}:\n{}", lines.join("\n"));
        }
        Some(serde_json::from_value(found["documents"].clone()).unwrap())
    }
}

fn sample(name: &str) -> String {
    format!("{SAMPLES}/{name}")
}

#[test]
fn folders_and_what_is_said_of_them() {
    let mut kept = Kept::new("schemas-folders");
    for (i, (name, machines)) in samples().into_iter().enumerate() {
        let job = sample(&format!("{name}.toml"));
        kept.report("check", &["check", &job], 0);
        // A machine or two for each, so that all of them have their turn.
        let machine = machines[i % machines.len()];
        kept.report("export", &["export", &job, "--out", name, "--machine", machine, "--lifted"], 0);
        kept.folder(name);
        kept.report("verify", &["verify", name], 0);
    }
    let job = sample("rockpool-folder.toml");
    kept.report(
        "export",
        &["export", &job, "--out", "plain", "--first-article", "--kerf", "0.2 mm", "--svg", "--no-stock"],
        0,
    );
    kept.folder("plain");
    // A sheet in register: moved by 5 and 3 mm from where the machine's origin has it, and an artwork sheet.
    let marks = "format = 1\nsheet = \"board-1\"\n\
        [[mark]]\nname = \"a\"\nat = [10, 10]\nmeasured = [35, 33]\n\
        [[mark]]\nname = \"b\"\nat = [310, 10]\nmeasured = [335, 33]\n";
    kept.put("marks.toml", marks);
    let machine = ["--machine", "drag-knife-table", "--register", "marks.toml"];
    kept.report("export", &[&["export", &job, "--out", "moved", "--artwork"], &machine[..]].concat(), 0);
    kept.folder("moved");
    kept.report("verify", &["verify", "moved"], 0);
    let program = "rockpool-folder/board-1.drag-knife-table.nc";
    assert!(kept.dir.join(program).exists());
    let machine = ["--machine", "drag-knife-table", "--thickness", "2 mm"];
    kept.report("verify", &[&["verify", "--program", program], &machine[..]].concat(), 0);
    // What is wrong with folders, jobs and lists is told in the same forms.
    fs::write(kept.dir.join(program), "G21 G90\nG0 X1 Y1\nG1 Z-5 F100\nM2\n").unwrap();
    kept.report("verify", &["verify", "rockpool-folder"], 1);
    let text = fs::read_to_string(&job).unwrap();
    kept.put("long.toml", &text.replace("95 %", "195 %"));
    kept.report("check", &["check", "long.toml"], 1);
    kept.report("export", &["export", "long.toml", "--out", "long"], 1);
    kept.put("broken.toml", "format = 1\ntitle = \n[contents\n");
    kept.report("check", &["check", "broken.toml"], 1);
    kept.put("marked.toml", &format!("{text}\n[marks]\ngauges = true\nscrap = true\ncopy_numbers = true\n[title_label]\nwidth = \"60 mm\"\nheight = \"25 mm\"\n"));
    kept.report("export", &["export", "marked.toml", "--out", "marked"], 0);
    kept.folder("marked");
    kept.put("edition.toml", &format!("copies = 3\n{text}"));
    kept.report("export", &["export", "edition.toml", "--out", "rest", "--rest"], 0);
    kept.folder("rest");
    let Some(counts) = kept.judge() else { return };
    for (name, least) in [("check", 9), ("export", 10), ("manifest", 9), ("cut-list", 9), ("verify", 9)] {
        assert!(counts[name] >= least, "{name}: {counts:?}");
    }
}

#[test]
fn lists_coupons_profiles_and_failures() {
    let mut kept = Kept::new("schemas-lists");
    let list = fs::read_to_string(sample("herbarium-survey.csv")).unwrap();
    let lines: Vec<&str> = list.lines().take(9).collect();
    kept.put("list.csv", &lines.join("\n"));
    kept.put("job.toml", &fs::read_to_string(sample("herbarium-survey.toml")).unwrap());
    let batch =
        |list: &'static str, out: &'static str| ["batch", list, "--job", "job.toml", "--lot", "4", "--out", out];
    let machine = ["--machine", "oscillating-knife-table"];
    kept.report("batch-report", &[&batch("list.csv", "made")[..], &machine].concat(), 0);
    let longer: Vec<&str> = list.lines().take(10).collect();
    kept.put("longer.csv", &longer.join("\n"));
    kept.report("batch-report", &[&batch("longer.csv", "made")[..], &machine, &["--kerf", "0.1 mm"]].concat(), 0);
    // Some of it is cut, and more copies of a row are wanted.
    kept.report("cut", &["cut", "made", "lot-1", "lot-2/board-1"], 0);
    kept.report("cut", &["cut", "made/lot-2"], 0);
    kept.file("cut-marks", "made/lot-1/cut.json");
    kept.put("more.csv", &longer.join("\n").replace("293,10;10;10.5,1,", "293,10;10;10.5,3,"));
    kept.report("batch-report", &[&batch("more.csv", "made")[..], &machine].concat(), 0);
    // Rows that are wrong, in several ways.
    let wrong = ["TH-101,Too large,9000,8000,7,1,", "TH-102,A word,wide,200,7,1,", "=1+1,Odd id,180,240,7,1,"];
    kept.put("wrong.csv", &format!("{}\n{}\n", lines.join("\n"), wrong.join("\n")));
    kept.report("batch-report", &batch("wrong.csv", "wrong"), 1);
    kept.report("batch-report", &[&batch("wrong.csv", "strict")[..], &["--strict"]].concat(), 1);
    // Lots that keep little, and one with nothing to cut.
    kept.put("refused.csv", &format!("{}\n{}\n", lines[..5].join("\n"), wrong.join("\n")));
    kept.report("batch-report", &[&batch("refused.csv", "little")[..], &["--keep", "lists"]].concat(), 1);
    kept.file("batch", "little/batch.json");
    kept.file("manifest", "little/lot-1/manifest.json");
    kept.report("verify", &["verify", "little"], 0);
    // Broken off before the first lot: begun, and not ended.
    kept.file("batch", "strict/batch.json");
    kept.put("broken.toml", "format = 1\ntitle = \n");
    kept.report("failure", &["batch", "list.csv", "--job", "broken.toml", "--out", "o"], 1);
    kept.put("header.csv", "name,widht\nx,1\n");
    kept.report("batch-report", &batch("header.csv", "header"), 1);
    for out in ["made", "wrong"] {
        kept.file("batch", &format!("{out}/batch.json"));
        for lot in fs::read_dir(kept.dir.join(out)).unwrap().map(|e| e.unwrap()) {
            if !lot.file_type().unwrap().is_dir() {
                continue;
            }
            let lot = format!("{out}/{}", lot.file_name().to_string_lossy());
            kept.folder(&lot);
            kept.file("lot", &format!("{lot}/lot.json"));
            let unpacked = format!("{}-pieces.json", lot.replace('/', "-"));
            kept.put(&unpacked, &crate::batch::pieces(&kept.dir.join(&lot)).to_string());
            kept.file("pieces", &unpacked);
            for file in
                fs::read_dir(kept.dir.join(&lot)).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap())
            {
                if file.starts_with("item-") {
                    kept.file("item", &format!("{lot}/{file}"));
                }
            }
        }
    }
    for machine in ["small-router", "drag-knife-table", "scoring-plotter"] {
        let stock = if machine == "scoring-plotter" { "liner" } else { "board" };
        kept.report("coupon", &["coupon", "--machine", machine, "--out", machine, "--stock", stock], 0);
        kept.folder(machine);
    }
    kept.report("coupon", &["coupon", "--machine", "servo-plotter", "--out", "none", "--thickness", "9 mm"], 1);
    let form = fs::read_to_string(kept.dir.join("small-router/measured.toml")).unwrap();
    kept.put("small-router/measured.toml", &form.replace("plug = []", "plug = [9.9, 9.92, 9.91]"));
    kept.report("coupon-read", &["coupon", "--machine", "small-router", "--read", "small-router/measured.toml"], 0);
    kept.put("small-router/measured.toml", &form.replace("plug = []", "plug = [\"wet\"]"));
    kept.report("coupon-read", &["coupon", "--machine", "small-router", "--read", "small-router/measured.toml"], 1);
    kept.report("profiles", &["profiles"], 0);
    for name in ["small-router", "scoring-plotter", "shared-laser-cutter", "servo-plotter"] {
        kept.report("profile", &["profiles", "show", name], 0);
        kept.report("profile-check", &["profiles", "check", name], 0);
    }
    kept.put("bad.toml", "format = 1\nname = 3\n");
    kept.report("profile-check", &["profiles", "check", "bad.toml"], 1);
    kept.report("failure", &["verify", "--program", "list.csv", "--machine", "bad.toml"], 1);
    for failed in [
        &["check", "nowhere.toml"][..],
        &["check", "job.toml", "--efort", "3"],
        &["export", "job.toml"],
        &["export", "job.toml", "--out", "."],
        &["verify"],
        &["verify", "nowhere"],
        &["profiles", "show", "nothing"],
        &["batch", "nowhere.csv", "--job", "job.toml", "--out", "o"],
        &["coupon", "--machine", "nothing", "--out", "o"],
        &["chekc"],
    ] {
        kept.report("failure", failed, 2);
    }
    let Some(counts) = kept.judge() else { return };
    for name in [
        "cut",
        "cut-marks",
        "batch",
        "batch-report",
        "lot",
        "item",
        "pieces",
        "coupon",
        "coupon-read",
        "profiles",
        "profile-check",
        "failure",
    ] {
        assert!(counts.get(name).is_some_and(|n| *n > 0), "{name}: {counts:?}");
    }
}

#[cfg(feature = "shop")]
#[test]
fn a_shop_and_what_was_cut_of_it() {
    let mut kept = Kept::new("schemas-shop");
    let say = |kept: &mut Kept, what: &[&str]| kept.report("shop", &[&["shop", "shop.db"], what].concat(), 0);
    say(&mut kept, &["stock", "grey board", "--kind", "board", "--thickness", "2 mm", "--grain", "none"]);
    say(&mut kept, &["measured", "grey board", "2.1 mm"]);
    say(&mut kept, &["sheets", "grey board", "500 x 700 mm", "--on-hand", "3"]);
    say(&mut kept, &["leftover", "grey board", "200 x 300 mm"]);
    say(&mut kept, &["machine", "table", "oscillating-knife-table"]);
    let job = fs::read_to_string(sample("rockpool-folder.toml")).unwrap();
    kept.put("job.toml", &job.replacen("[board]\n", "[board]\nstock = \"grey board\"\n", 1));
    kept.report("export", &["export", "job.toml", "--out", "box", "--shop", "shop.db"], 0);
    kept.folder("box");
    kept.report("cut", &["cut", "box", "board-1", "--shop", "shop.db"], 0);
    kept.file("cut-marks", "box/cut.json");
    kept.report("shop", &["shop", "shop.db", "history"], 0);
    // The last has something of everything.
    kept.documents.reverse();
    kept.report("failure", &["shop", "shop.db", "drop", "99"], 2);
    kept.report("failure", &["shop", "nowhere.db"], 2);
    let Some(counts) = kept.judge() else { return };
    assert!(counts["shop"] > 5 && counts["cut-marks"] == 1, "{counts:?}");
}

/// Jobs and profiles are held against the schemas that editors take.
#[test]
fn the_samples_are_as_their_schemas_say() {
    let script = "import json,sys,tomllib\nprint(json.dumps([tomllib.load(open(f,'rb')) for f in sys.argv[1:]]))";
    let Some(python) = crate::common::references::reference("python") else { return };
    let kept = Kept::new("schemas-samples");
    let files = |dir: &str| -> Vec<PathBuf> {
        let all = fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join(dir)).unwrap();
        let mut all: Vec<PathBuf> =
            all.map(|e| e.unwrap().path()).filter(|p| p.extension().is_some_and(|e| e == "toml")).collect();
        all.sort();
        all
    };
    for (schema, dir, least) in [("job", "samples", 8), ("profile", "machine-profiles", 6)] {
        let files = files(dir);
        let o = Command::new(&python).arg("-c").arg(script).args(&files).output().unwrap();
        assert!(o.status.success(), "{}", String::from_utf8_lossy(&o.stderr));
        let all: Vec<Value> = serde_json::from_slice(&o.stdout).unwrap();
        assert!(all.len() >= least);
        let of: Value = serde_json::from_slice(&kept.run(&["schema", schema]).stdout).unwrap();
        let named: Vec<Value> = files.iter().zip(all).map(|(f, v)| json!([schema, f, v])).collect();
        let given = json!({"schemas": {schema: of}, "documents": named});
        let found = crate::common::references::python("json_schemas.py", &[], &given).unwrap();
        assert_eq!(found["wrong"], json!([]));
    }
}
