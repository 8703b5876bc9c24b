//! Cutting in register: sheets that lie aslant, found by their marks, cut there and proved; damages found.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;

use common::proof::{Files, attempt_with, files_of, put_all, root, told};
use flapwright::cli::Exit;
use flapwright::diag::Source;
use flapwright::geom::{Point, pt};
use flapwright::profile::{Profile, read, shipped};
use flapwright::verify::verify_folder;
use serde_json::Value;
use std::path::Path;

fn machine(id: &str) -> Profile {
    let text = shipped().iter().find(|p| p.0 == id).unwrap().1.to_owned();
    read(&Source { name: id.into(), text }, id).0.unwrap()
}

fn export(sample: &str, machine: &str, more: &[&str], name: &str) -> Result<Files, String> {
    let (out, exit, errors) = attempt_with(sample, &[machine], more, &format!("register-{name}"));
    if exit == Exit::Good { Ok(files_of(&out)) } else { Err(errors) }
}

/// What an export that must be refused says.
fn refused(sample: &str, machine: &str, more: &[&str], name: &str) -> String {
    export(sample, machine, more, name).err().unwrap_or_else(|| panic!("{name}: {more:?} is written"))
}

fn manifest(files: &Files) -> Value {
    serde_json::from_slice(&files["manifest.json"]).unwrap()
}

/// How a sheet lies: stretched, turned, moved; counted from where the machine has its corner.
#[derive(Clone, Copy)]
struct Lies {
    stretch: [f64; 2],
    lean: f64,
    turn: f64,
    shift: Point,
}

impl Lies {
    fn at(&self, p: Point) -> Point {
        let p = pt((p.x + p.y * self.lean) * self.stretch[0], p.y * self.stretch[1]);
        let (s, c) = self.turn.sin_cos();
        pt(p.x * c - p.y * s, p.x * s + p.y * c) + self.shift
    }
}

/// What an operator reads of a machine over a place of the sheet that lies so.
fn reading(profile: &Profile, lies: &Lies, on_sheet: Point) -> Point {
    let m = &profile.machine;
    let [x, y] = m.origin;
    m.to_controller(lies.at(on_sheet) + pt(x.to_mm(), y.to_mm()))
}

/// A file of marks counted from the sheet.
fn marks(name: &str, sheet: &str, rows: &[(Point, Point)], more: &str) -> String {
    let row = |(i, (at, measured)): (usize, &(Point, Point))| {
        format!("[[mark]]\nname = \"{i}\"\nat = [{}, {}]\nmeasured = [{}, {}]\n", at.x, at.y, measured.x, measured.y)
    };
    let rows: String = rows.iter().enumerate().map(row).collect();
    write(name, &format!("format = 1\nsheet = \"{sheet}\"\n{more}\n{rows}"))
}

fn write(name: &str, text: &str) -> String {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}.register.toml"));
    std::fs::write(&path, text).unwrap();
    path.to_str().unwrap().to_owned()
}

/// Where a mark of the artwork sheet is on the sheet that is cut, by nothing but the SVG and the manifest: the cloth
/// of the one, seen from outside, is the piece of the other.
fn artwork_on_sheet(files: &Files, name: &str, sheet: &str) -> impl Fn(Point) -> Point + use<> {
    let svg = String::from_utf8(files[name].clone()).unwrap();
    let height: f64 = svg.split("height=\"").nth(1).unwrap().split("mm\"").next().unwrap().parse().unwrap();
    let path = svg.split("<g id=\"guides\">").nth(1).unwrap().split(" d=\"").nth(1).unwrap().split('Z').next().unwrap();
    let mut low = pt(f64::MAX, f64::MAX);
    for part in path.split(['M', 'L', 'A']).filter(|p| !p.trim().is_empty()) {
        let n: Vec<f64> = part.split_whitespace().map(|n| n.parse().unwrap()).collect();
        let p = pt(n[n.len() - 2], height - n[n.len() - 1]);
        low = pt(low.x.min(p.x), low.y.min(p.y));
    }
    let manifest = manifest(files);
    let pieces = manifest["pieces"].as_array().unwrap();
    let id = name.trim_start_matches("artwork").trim_start_matches('-').trim_end_matches(".svg");
    let is_it = |p: &&Value| if id.is_empty() { p["role"] == "cover" } else { p["id"] == id };
    let cover = pieces.iter().find(is_it).unwrap();
    let vertices: Vec<Point> = cover["outline"]
        .as_array()
        .unwrap()
        .iter()
        .map(|v| pt(v[0].as_f64().unwrap(), v[1].as_f64().unwrap()))
        .collect();
    let right = vertices.iter().map(|v| v.x).fold(f64::MIN, f64::max);
    let lower = vertices.iter().map(|v| v.y).fold(f64::MAX, f64::min);
    let sheets = manifest["sheets"].as_array().unwrap();
    let sheet = sheets.iter().find(|s| s["id"] == sheet).unwrap();
    let placed = sheet["placed"].as_array().unwrap().iter().find(|p| p["piece"] == cover["id"]).unwrap().clone();
    move |on_artwork| {
        let own = pt(right - (on_artwork.x - low.x), on_artwork.y - low.y + lower);
        let own = if placed["mirrored"] == true { pt(-own.x, own.y) } else { own };
        let (s, c) = placed["rotation"].as_f64().unwrap().to_radians().sin_cos();
        pt(own.x * c - own.y * s, own.x * s + own.y * c)
            + pt(placed["x"].as_f64().unwrap(), placed["y"].as_f64().unwrap())
    }
}

/// The marks that a form asks for: name and place.
fn asked(form: &str) -> Vec<(char, Point)> {
    let at = |t: &str| -> Point {
        let n: Vec<f64> = t.split(']').next().unwrap().split(", ").map(|n| n.parse().unwrap()).collect();
        pt(n[0], n[1])
    };
    form.split("[[mark]]")
        .skip(1)
        .map(|m| (m.split('"').nth(1).unwrap().chars().next().unwrap(), at(m.split("at = [").nth(1).unwrap())))
        .collect()
}

/// A print laid on a bed: the form is filled in as the machine shows its marks, the sheet cut there and proved.
#[test]
fn prints_are_cut_where_they_lie_on_four_machines_and_the_proof_finds_it_so() {
    let lies = Lies { stretch: [1.003, 0.998], lean: 0.001, turn: 0.02, shift: pt(31.0, 12.5) };
    // The same box with the printed face up on the bed.
    let job = std::fs::read_to_string(root().join("samples/rockpool-folder.toml")).unwrap();
    let job = job.replacen("[cloth]\n", "[cloth]\ncut_face = \"face\"\n", 1);
    std::fs::write(Path::new(env!("CARGO_TARGET_TMPDIR")).join("rockpool-face-up.toml"), job).unwrap();
    let face = format!("{}/rockpool-face-up", env!("CARGO_TARGET_TMPDIR"));
    // And the paper of a side, whose artwork sheet is one of three.
    for (sample, id, n, of) in [
        ("rockpool-folder", "drag-knife-table", 4, ""),
        ("rockpool-folder", "oscillating-knife-table", 3, ""),
        ("rockpool-folder", "shared-laser-cutter", 2, ""),
        ("rockpool-folder", "servo-plotter", 4, ""),
        (face.as_str(), "drag-knife-table", 3, ""),
        ("thongweed-portfolio", "drag-knife-table", 4, "-paper-back-cover"),
    ] {
        let name = format!("{}-{id}-{n}{of}", sample.rsplit('/').next().unwrap());
        let plain = export(sample, id, &["--artwork"], &format!("{name}-plain")).unwrap();
        let profile = machine(id);
        let form = String::from_utf8(plain[&format!("register{of}.toml")].clone()).unwrap();
        let sheet = form.split("sheet = \"").nth(1).unwrap().split('"').next().unwrap().to_owned();
        let on_sheet = artwork_on_sheet(&plain, &format!("artwork{of}.svg"), &sheet);
        // Two marks cannot tell a stretch along from one across.
        let lies = if n == 2 { Lies { stretch: [1.0; 2], lean: 0.0, ..lies } } else { lies };
        let mut filled = form.clone();
        for (mark, at) in asked(&form).into_iter().take(n) {
            let q = reading(&profile, &lies, on_sheet(at));
            let head = format!("name = \"{mark}\"\nat = [{}, {}]\n", at.x, at.y);
            assert!(filled.contains(&head), "{head}");
            filled = filled
                .replace(&format!("{head}# measured = [0, 0]"), &format!("{head}measured = [{:.6}, {:.6}]", q.x, q.y));
        }
        let file = write(&name, &filled);
        let moved = export(sample, id, &["--register", &file], &name).unwrap();
        let list = manifest(&moved);
        let r = &list["registers"][0];
        for (row, unit) in [pt(1.0, 0.0), pt(0.0, 1.0)].into_iter().enumerate() {
            let to = lies.at(unit) - lies.at(pt(0.0, 0.0));
            let cell = |c: usize| r["matrix"][c][row].as_f64().unwrap();
            assert!((cell(0) - to.x).abs() < 1e-5 && (cell(1) - to.y).abs() < 1e-5, "{name}: {r}");
        }
        assert!((r["shift"][0].as_f64().unwrap() - lies.shift.x).abs() < 0.003, "{name}: {r}");
        let proof = verify_folder(&moved);
        assert_eq!(told(&proof), Vec::<String>::new(), "{name}");
        assert!(proof.is_compared() && proof.programs.len() > 2);

        // A program that was not moved in the place of the one that was.
        let programs = list["programs"].as_array().unwrap();
        let work = programs.iter().find(|p| p["sheet"] == *sheet && p["kind"] == "work").unwrap();
        let file = work["file"].as_str().unwrap();
        let wrong = put_all(&moved, file, plain[file].clone());
        assert!(!wrong.is_good() && !told(&wrong).is_empty(), "{name}: a program for a sheet at its corner passes");

        damage(&moved, &name);
    }
}

/// Every figure of where a sheet lies, changed once: each is found.
fn damage(moved: &Files, name: &str) {
    let list = manifest(moved);
    let r = &list["registers"][0];
    let mut paths: Vec<String> = Vec::new();
    for cell in ["/matrix/0/0", "/matrix/0/1", "/matrix/1/0", "/matrix/1/1", "/shift/0", "/shift/1"] {
        paths.push(cell.into());
    }
    for one in ["/turn", "/scales/0", "/scales/1", "/shear"] {
        paths.push(one.into());
    }
    for i in 0..r["marks"].as_array().unwrap().len() {
        for key in ["at/0", "at/1", "measured/0", "measured/1", "residual"] {
            paths.push(format!("/marks/{i}/{key}"));
        }
    }
    for path in paths {
        let mut list = list.clone();
        let cell = list["registers"][0].pointer_mut(&path).unwrap();
        *cell = (cell.as_f64().unwrap() + 1e-3).into();
        let mut files = moved.clone();
        files.insert("manifest.json".into(), serde_json::to_vec(&list).unwrap());
        let found = told(&verify_folder(&files));
        assert!(!found.is_empty(), "{name}: {path} changed by a thousandth is not found");
    }
    for (key, value) in [("turned_over", Value::Bool(true)), ("stretch", "even".into()), ("machine", "other".into())] {
        let mut list = list.clone();
        if list["registers"][0][key] == value {
            continue;
        }
        list["registers"][0][key] = value;
        let mut files = moved.clone();
        files.insert("manifest.json".into(), serde_json::to_vec(&list).unwrap());
        // A print that grew alike may as well be called so; then nothing else is wrong with it either.
        let found = told(&verify_folder(&files));
        assert!(!found.is_empty() || key == "stretch", "{name}: {key}");
    }
    // The record taken away: then the program is in the wrong place.
    let mut list = list.clone();
    list.as_object_mut().unwrap().remove("registers");
    let mut files = moved.clone();
    files.insert("manifest.json".into(), serde_json::to_vec(&list).unwrap());
    assert!(!verify_folder(&files).is_good(), "{name}: without its place");
}

/// A board whose corners were marked, turned over and cut through from its back; what would be worked into the wrong
/// face is refused.
#[test]
fn a_board_that_is_turned_over_is_cut_through_from_its_back() {
    let id = "oscillating-knife-table";
    let plain = export("tideline-folio", id, &[], "board-plain").unwrap();
    let profile = machine(id);
    let sheets = manifest(&plain)["sheets"].clone();
    let sheet = sheets.as_array().unwrap().iter().find(|s| s["stock"] == "board").unwrap().clone();
    let (id_of, width) = (sheet["id"].as_str().unwrap(), sheet["width"].as_f64().unwrap());
    let lies = Lies { stretch: [1.0; 2], lean: 0.0, turn: 0.015, shift: pt(20.0, 3.0) };
    let places = [pt(10.0, 10.0), pt(650.0, 30.0), pt(600.0, 950.0)];
    let over = |p: Point| pt(width - p.x, p.y);
    let rows: Vec<(Point, Point)> = places.iter().map(|p| (*p, reading(&profile, &lies, over(*p)))).collect();
    let file = marks("board-over", id_of, &rows, "turned_over = true");
    let errors = refused("tideline-folio", id, &["--register", &file], "board-over");
    assert!(errors.contains("wrong-face"), "{errors}");
    let leave = "board/mark,board/half-depth-pocket,board/crease-score";
    let moved = export("tideline-folio", id, &["--register", &file, "--leave", leave], "board-over").unwrap();
    assert_eq!(told(&verify_folder(&moved)), Vec::<String>::new());
    // Not turned over it does not fit.
    let file = marks("board-not-over", id_of, &rows, "");
    let errors = refused("tideline-folio", id, &["--register", &file], "board-not-over");
    assert!(errors.contains("marks-do-not-fit") && errors.contains("turned_over = true"), "{errors}");
    damage(&moved, "board-over");
}

#[test]
fn what_cannot_be_in_register_is_refused_with_its_reason_and_nothing_written() {
    let profile = machine("drag-knife-table");
    let lies = Lies { stretch: [1.0; 2], lean: 0.0, turn: 0.01, shift: pt(10.0, 3.0) };
    let places = [pt(20.0, 20.0), pt(400.0, 20.0), pt(400.0, 600.0), pt(20.0, 500.0)];
    let rows =
        |lies: &Lies| -> Vec<(Point, Point)> { places.iter().map(|p| (*p, reading(&profile, lies, *p))).collect() };
    let mut swapped = rows(&lies);
    (swapped[0].1, swapped[1].1) = (swapped[1].1, swapped[0].1);
    let far = rows(&Lies { shift: pt(1000.0, 3.0), ..lies });
    let good = rows(&lies);
    let file = |name: &str, sheet: &str, rows: &[(Point, Point)], more: &str| marks(name, sheet, rows, more);
    for (name, path, code) in [
        ("swapped", file("swapped", "board-1", &swapped, ""), "0 and 1 are exchanged"),
        ("far", file("far", "board-1", &far, ""), "out-of-reach"),
        ("sheet", file("sheet", "board-9", &good, ""), "no-such-sheet"),
        ("machine", file("machine", "board-1", &good, "machine = \"another\""), "register-machine"),
        ("one", file("one", "board-1", &good[..1], ""), "marks-missing"),
        ("artwork", file("artwork", "board-1", &good, "on = \"artwork\""), "not-one-cover"),
        ("key", file("key", "board-1", &good, "turnd_over = true"), "turned_over"),
    ] {
        let errors = refused("rockpool-folder", "drag-knife-table", &["--register", &path], "refused");
        assert!(errors.contains(code), "{name}: {errors}");
        assert!(!Path::new(env!("CARGO_TARGET_TMPDIR")).join("proof-register-refused").exists(), "{name}");
    }
    let path = file("twice", "board-1", &good, "");
    let twice = ["--register", &path, "--register", &path];
    let errors = refused("rockpool-folder", "drag-knife-table", &twice, "refused");
    assert!(errors.contains("measured-twice"), "{errors}");
    // A mark of the artwork sheet that is not where this job has it.
    let rows: String =
        ["A", "B"].iter().map(|n| format!("[[mark]]\nname = \"{n}\"\nat = [13, 12]\nmeasured = [1, 2]\n")).collect();
    let path = write("other-artwork", &format!("format = 1\nsheet = \"cloth-1\"\non = \"artwork\"\n{rows}"));
    let errors = refused("rockpool-folder", "drag-knife-table", &["--register", &path], "refused");
    assert!(errors.contains("other-artwork"), "{errors}");
    assert!(root().join("samples/rockpool-folder.toml").exists());
}
