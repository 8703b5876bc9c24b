//! Sheets that are worked from both faces: which boards ask for it, whether both runs cut where they should, laid down
//! again by the corner or by pins, what cannot be made, and damages that the proof must find.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]
#![allow(clippy::print_stdout, reason = "counts are for people")]

use crate::common;
use crate::{closings, edited_profiles, proved};

use common::built::built;
use common::dice::Dice;
use common::program::{err, out, run};
use common::proof::{Files, files_of, put, sha, told};
use common::references::scratch;
use edited_profiles::Came;
use flapwright::design::Lay;
use flapwright::nest::nest;
use flapwright::profile::shipped;
use flapwright::verify::verify_folder;
use serde_json::Value;
use std::path::Path;

/// Two covers with a spine, tied at the fore-edge by two ribbons, a label on the front cover.
fn portfolio(by: &str) -> String {
    format!(
        "format = 1\ntitle = 'Bootlace'\n[contents]\nwidth = 250\nheight = 350\ndepth = 6\n[board]\nthickness = 2.5\n\
         sheet = {{ width = 700, height = 1000 }}\nmargin = 12\n[cloth]\nthickness = 0.35\n[liner]\nthickness = 0.2\n\
         [box]\nconstruction = 'portfolio'\n[portfolio]\nsquare = 5\n[ties.left]\nwidth = 12\nthickness = 0.4\n\
         count = 2\ninset = 22\ntail = 30\nslot_ease = 0.8\n[title_label]\nwidth = 90\nheight = 35\n[turning]\nby = '{by}'\n"
    )
}

/// A box whose left lid lies on its right one.
fn lids(more: &str) -> String {
    format!(
        "format = 1\ntitle = 'x'\n[contents]\nwidth = 200\nheight = 300\ndepth = 20\n[board]\nthickness = 2\n\
         [cloth]\nthickness = 0.35\n[liner]\nthickness = 0.25\n[flap.right]\ntier = 1\nreach = 90\n\
         [flap.left]\ntier = 2\nreach = '95 %'\n{more}"
    )
}

/// Exports a job for a machine; the folder's files.
fn exported(name: &str, text: &str, machine: &str, more: &[&str]) -> Files {
    let dir = scratch(&format!("turning-{name}"));
    std::fs::write(dir.join("job.toml"), text).unwrap();
    let fixed = ["export", "job.toml", "--out", "out", "--machine", machine, "--leave", "cloth,liner"];
    let made = run(&dir, &[&fixed[..], more].concat());
    assert!(made.status.success(), "{}{}", out(&made), err(&made));
    files_of(&dir.join("out"))
}

fn manifest(files: &Files) -> Value {
    serde_json::from_slice(&files["manifest.json"]).unwrap()
}

/// The folder with its manifest changed.
fn changed(files: &Files, change: impl Fn(&mut Value)) -> Vec<String> {
    let mut files = files.clone();
    let mut list = manifest(&files);
    change(&mut list);
    files.insert("manifest.json".into(), serde_json::to_vec(&list).unwrap());
    told(&verify_folder(&files))
}

/// Only a board with pockets inside and a recess outside asks for a turn: with either alone it lies with the face up that
/// is worked, whichever face its maker cuts from. Derived.
#[test]
fn only_a_board_with_pockets_on_both_faces_is_turned_over() {
    let label = "[title_label]\nwidth = 60\nheight = 30\n";
    let (ties, face) = ("[ties.left]\nto = 'base'\n", "cut_face = 'face'\n");
    let magnets = "[magnets.left]\nthickness = 1\n";
    // What is written, how the labelled board lies, its pockets up and down, whether its sheet is turned over.
    let cases = [
        (label.to_owned(), Lay::OutsideUp, [1, 0], false),
        (ties.to_owned(), Lay::InsideUp, [1, 0], false),
        (format!("{label}{ties}"), Lay::InsideUp, [1, 1], true),
        (format!("{label}{magnets}"), Lay::InsideUp, [2, 1], true),
        // The ribbons come out of the lid, the label is on its wall.
        (format!("[title_label]\nwidth = 12\nheight = 60\non = 'spine'\n{ties}"), Lay::InsideUp, [1, 0], false),
    ];
    for (more, lay, [up, down], is_turned) in cases {
        for cut_face in ["", face] {
            let text = lids(&more).replace("[cloth]", &format!("{cut_face}[cloth]"));
            let made = built(&text);
            assert!(made.said.iter().all(|d| !d.is_error()), "{more}: {:#?}", made.said);
            let lid = made.piece("board-flap-left");
            assert_eq!((lid.lay, lid.pockets.len(), lid.back_pockets.len()), (lay, up, down), "{more}");
            let panel = made.design.assembly.panels.iter().find(|p| p.piece == lid.id).unwrap();
            let (inside, outside) = if lay == Lay::OutsideUp { (down, up) } else { (up, down) };
            assert_eq!((panel.recesses.len(), panel.outside_recesses.len()), (inside, outside), "{more}");
            let (sheets, said) = nest(&made.design.pieces, &made.job);
            assert_eq!(sheets.iter().any(|s| s.turn.is_some()), is_turned, "{more}");
            assert_eq!(said.iter().any(|d| d.code == "sheet-turned"), is_turned, "{more}: {said:#?}");
            // The inside of a board with pockets lies up, its outside where there is a recess alone.
            for placed in sheets.iter().flat_map(|s| &s.placed) {
                let piece = &made.design.pieces[placed.piece];
                if !piece.pockets.is_empty() {
                    assert_eq!(placed.transform.mirrored, piece.lay == Lay::OutsideUp, "{}", piece.id);
                }
            }
        }
    }
}

/// A program's cuts, the test's own reading: every end of a move below the stock's top (or under the beam), from the
/// sheet's lower left corner.
fn cuts(program: &[u8], top: Option<f64>, origin: [f64; 2]) -> Vec<[f64; 2]> {
    let mut at = [f64::NAN; 3];
    let (mut mode, mut is_on, mut all) = (0, false, Vec::new());
    for line in String::from_utf8_lossy(program).lines().filter(|l| !l.starts_with('(')) {
        let before = at;
        let mut centre = [0.0; 2];
        let mut goes = false;
        for word in line.split_whitespace() {
            let (letter, number) = (&word[..1], word[1..].parse::<f64>().unwrap_or(f64::NAN));
            match (letter, number as i64) {
                ("G", 0..=3) => mode = number as i64,
                ("M", 3 | 4) => is_on = true,
                ("M", 5) => is_on = false,
                ("I", _) => centre[0] = number,
                ("J", _) => centre[1] = number,
                ("X" | "Y" | "Z", _) => {
                    let axis = "XYZ".find(letter).unwrap();
                    at[axis] = number;
                    goes |= axis < 2;
                }
                _ => {}
            }
        }
        let is_down = top.map_or(is_on, |top| at[2] < top - 1e-6);
        if !goes || !is_down || mode == 0 {
            continue;
        }
        let mut points = vec![[before[0], before[1]], [at[0], at[1]]];
        if mode > 1 {
            // About its centre from its start to its end, the clock's way or the other.
            let middle = [before[0] + centre[0], before[1] + centre[1]];
            let angle = |p: [f64; 2]| (p[1] - middle[1]).atan2(p[0] - middle[0]);
            let (from, radius) = (angle(points[0]), centre[0].hypot(centre[1]));
            let whole = std::f64::consts::TAU;
            let turn = (angle(points[1]) - from).rem_euclid(whole);
            let turn = if mode == 2 { turn - whole } else { turn };
            let on = |share: f64| {
                [middle[0] + radius * (from + turn * share).cos(), middle[1] + radius * (from + turn * share).sin()]
            };
            points.extend((1..64).map(|i| on(f64::from(i) / 64.0)));
        }
        all.extend(points.iter().map(|p| [p[0] - origin[0], p[1] - origin[1]]));
    }
    all
}

/// The rectangle round points: least x, least y, most x, most y.
fn around(points: &[[f64; 2]]) -> [f64; 4] {
    points.iter().fold([f64::MAX, f64::MAX, f64::MIN, f64::MIN], |b, p| {
        [b[0].min(p[0]), b[1].min(p[1]), b[2].max(p[0]), b[3].max(p[1])]
    })
}

fn assert_near(a: [f64; 4], b: [f64; 4], tolerance: f64) {
    assert!(a.iter().zip(b).all(|(a, b)| (a - b).abs() < tolerance), "{a:?} {b:?}");
}

/// Both runs traced back to the board by the test's own arithmetic. Worked by hand: the covers are 250 + 2 + 5 = 257 wide
/// and 350 + 2 + 2 x 5 = 362 high; the recess is 90 + 2 x 0.35 + 0.5 = 91.2 wide and 36.2 high, in the middle, a third of
/// what is left from the head: (362 - 36.2) / 3 = 108.6. Turned over left to right, what lies x from the left edge lies
/// x from the right one: the first run's places are taken from 700.
#[test]
fn both_faces_of_the_board_are_cut_where_they_belong() {
    for (machine, top, origin, kerf) in
        [("shared-laser-cutter", None, [10.0; 2], 0.18), ("small-router", Some(2.5), [20.0; 2], 1.0)]
    {
        for by in ["corner", "pins"] {
            let files = exported(&format!("hand-{machine}-{by}"), &portfolio(by), machine, &[]);
            assert_eq!(told(&verify_folder(&files)), Vec::<String>::new());
            let list = manifest(&files);
            let sheet = &list["sheets"][0];
            let front = sheet["placed"].as_array().unwrap().iter().find(|p| p["piece"] == "board-front-cover").unwrap();
            assert_eq!((&front["rotation"], &front["mirrored"]), (&0.0.into(), &false.into()));
            let (x, y) = (front["x"].as_f64().unwrap(), front["y"].as_f64().unwrap());
            let piece = list["pieces"].as_array().unwrap().iter().find(|p| p["id"] == "board-front-cover").unwrap();
            let points = |v: &Value| -> Vec<[f64; 2]> {
                v.as_array().unwrap().iter().map(|v| [v[0].as_f64().unwrap(), v[1].as_f64().unwrap()]).collect()
            };
            let board = around(&points(&piece["outline"]));
            assert!((board[2] - board[0] - 257.0).abs() < 1e-6 && (board[3] - board[1] - 362.0).abs() < 1e-6);
            let all = cuts(&files[&format!("board-1_first-side.{machine}.nc")], top, origin);
            // Seen from inside, from the board's lower left corner.
            let back = |p: &[f64; 2]| [700.0 - p[0] - x - board[0], p[1] - y - board[1]];
            let is_in_board = |p: &[f64; 2]| (0.0..257.0).contains(&p[0]) && (0.0..362.0).contains(&p[1]);
            let in_board: Vec<[f64; 2]> = all.iter().map(back).filter(is_in_board).collect();
            let half = kerf / 2.0;
            let (left, foot) = ((257.0 - 91.2) / 2.0 + half, 362.0 - 108.6 - 36.2 + half);
            assert_near(around(&in_board), [left, foot, left + 91.2 - kerf, foot + 36.2 - kerf], 0.02);
            // Nothing else is cut in the first run but the holes for the pins, each where the other's mirror image is.
            let others: Vec<[f64; 2]> = all.iter().filter(|p| !is_in_board(&back(p))).copied().collect();
            if by == "corner" {
                assert!(others.is_empty(), "{others:?}");
            } else {
                let of = |is_left: bool| -> Vec<[f64; 2]> {
                    others.iter().filter(|p| (p[0] < 350.0) == is_left).copied().collect()
                };
                let (a, b) = (around(&of(true)), around(&of(false)));
                assert_near([a[0], a[1], a[2], a[3]], [700.0 - b[2], b[1], 700.0 - b[0], b[3]], 0.02);
                assert!(
                    (a[2] - a[0] - (6.0 - kerf)).abs() < 0.05 && (a[3] - a[1] - (6.0 - kerf)).abs() < 0.05,
                    "{a:?}"
                );
                // Off the middle, and in the rim that is left of the sheet.
                assert!(((a[1] + a[3]) / 2.0 - 500.0).abs() > 5.0 && a[2] < 12.0 - 2.9, "{a:?}");
            }
            // The second run cuts the pockets of the ribbons, of which the free edge lies at the left seen from inside.
            let second = cuts(&files[&format!("board-1.{machine}.nc")], top, origin);
            let second: Vec<[f64; 2]> = second.iter().map(|p| [p[0] - x - board[0], p[1] - y - board[1]]).collect();
            let is_near = |p: &&[f64; 2]| (20.0..55.0).contains(&p[0]) && (60.0..300.0).contains(&p[1]);
            let pockets: Vec<[f64; 2]> = second.iter().filter(is_near).copied().collect();
            // Slots 22 in, 1.2 wide, pockets of 30 beyond them; two of 12.8, a quarter of the height from either end.
            let [x0, y0, x1, y1] = around(&pockets);
            assert_near(
                [x0, y0, x1, y1],
                [21.4 + half, 90.5 - 6.4 + half, 22.6 + 30.0 - half, 271.5 + 6.4 - half],
                0.1,
            );
        }
    }
}

/// What cannot be made, and where it is told.
#[test]
fn what_cannot_be_turned_over_is_refused_with_its_mend() {
    let errors = |text: &str| -> Vec<&'static str> {
        let made = built(text);
        let nested = nest(&made.design.pieces, &made.job).1;
        made.said.iter().chain(&nested).filter(|d| d.is_error()).map(|d| d.code).collect()
    };
    // In a rim of 12 mm holes of 6 mm have 3 mm on either side, in one of 11 mm none: board that fills its sheet.
    let full = |margin: &str, by: &str| {
        portfolio(by)
            .replace("sheet = { width = 700, height = 1000 }", "sheet = { width = 600, height = 386 }")
            .replace("margin = 12", margin)
    };
    assert_eq!(errors(&full("margin = 12", "pins")), Vec::<&str>::new());
    let narrow = full("margin = 11", "pins").replace("width = 600, height = 386", "width = 560, height = 384");
    assert_eq!(errors(&narrow), ["no-room-for-pins"]);
    assert_eq!(errors(&narrow.replace("'pins'", "'corner'")), Vec::<&str>::new());
    assert_eq!(errors(&narrow.replace("by = 'pins'", "by = 'pins'\npin_diameter = 5")), Vec::<&str>::new());
    // Of 2 mm a magnet takes 1.1 and a label 0.5: 0.4 mm of board is less than the least.
    let over = |depth: &str| {
        lids(&format!(
            "[title_label]\nwidth = 100\nheight = 200\nfrom_head = 30\ndepth = {depth}\n[magnets.left]\ncount = 1\ninset = 50\nthickness = 1\n"
        ))
    };
    let codes = |text: &str| -> Vec<&'static str> {
        built(text).said.iter().map(|d| d.code).filter(|c| c.contains("label")).collect()
    };
    assert_eq!(codes(&over("0.5")), ["label-meets-pocket"]);
    assert_eq!(codes(&over("0.4")), Vec::<&str>::new());
    // A ribbon's slot 22 mm in from the free edge, in the middle of the lid's height, under a label that reaches to it, that
    // ends a millimetre before it, and that keeps a board's thickness off; and a recess that meets its pocket.
    let tied = |width: &str, depth: &str| {
        let label = format!("[title_label]\nwidth = {width}\nheight = 30\nfrom_head = 136\ndepth = {depth}\n");
        codes(&lids(&format!("{label}[ties.left]\ninset = 22\nto = 'base'\n")))
    };
    assert_eq!(tied("150", "0.5"), ["label-meets-slot"]);
    assert_eq!(tied("145", "0.5"), ["label-meets-slot"]);
    assert_eq!(tied("140", "0.5"), Vec::<&str>::new());
    assert_eq!(tied("140", "1.1"), ["label-meets-pocket"]);
    // A millimetre more of board mends it: it is what is said.
    let thicker = over("0.5").replace("thickness = 2\n", "thickness = 3\n");
    assert_eq!(codes(&thicker), Vec::<&str>::new());
    // Of 3 mm both may take three quarters without a word, and leave 0.5 mm at the least.
    let deep = |depth: &str| over(depth).replace("thickness = 2\n", "thickness = 3\n");
    assert_eq!(codes(&deep("1.1")), Vec::<&str>::new());
    assert_eq!(codes(&deep("1.3")), ["thin-under-label"]);
    assert_eq!(codes(&deep("1.5")), ["label-meets-pocket"]);
}

/// Damages of the first run and of what is said of it, each of which the proof must find.
#[test]
fn a_first_run_that_is_wrong_is_found() {
    let files = exported("damages", &portfolio("pins"), "shared-laser-cutter", &["--svg"]);
    assert_eq!(told(&verify_folder(&files)), Vec::<String>::new());
    let first = "board-1_first-side.shared-laser-cutter.nc";
    let text = String::from_utf8(files[first].clone()).unwrap();
    // Not mirrored: as it would be if the sheet were not turned over. The bed counts from its corner, the sheet lies at 10.
    let x_words = |change: &dyn Fn(f64) -> f64| -> Vec<u8> {
        let word = |w: &str| match w.strip_prefix('X').and_then(|n| n.parse::<f64>().ok()) {
            Some(x) => format!("X{}", (change(x) * 1e4).round() / 1e4),
            None => w.to_owned(),
        };
        let line = |l: &str| {
            if l.starts_with('(') { l.to_owned() } else { l.split(' ').map(word).collect::<Vec<_>>().join(" ") }
        };
        text.lines().map(|l| line(l) + "\n").collect::<String>().into_bytes()
    };
    // The pins' circles have centres from their start, which a mirror turns round: only the recess is mirrored.
    let recess = text.find("(half-depth-pocket").unwrap()..text.find("(through-cut").unwrap();
    let mirrored = String::from_utf8(x_words(&|x| 720.0 - x)).unwrap();
    let begin = mirrored.find("(half-depth-pocket").unwrap()..mirrored.find("(through-cut").unwrap();
    let not_mirrored = text.replace(&text[recess.clone()], &mirrored[begin]).into_bytes();
    let found = told(&put(&files, first, not_mirrored));
    assert!(!found.is_empty(), "a program that is not mirrored passes");
    // Half a millimetre aside, as on a sheet that is so much narrower.
    let found = told(&put(&files, first, x_words(&|x| x + 0.5)));
    assert!(!found.is_empty(), "a program half a millimetre aside passes");
    // A recess that is not cut, and a drawing of the other run in the place of the first one's.
    let without = text.replace(&text[recess], "");
    assert!(!told(&put(&files, first, without.into_bytes())).is_empty(), "a recess that is not cut passes");
    for kind in ["dxf", "cut.svg"] {
        let (one, other) =
            (format!("bootlace_board-2.5mm_1.{kind}"), format!("bootlace_board-2.5mm_1_first-side.{kind}"));
        let drawing = files[&one].clone();
        let mut swapped = files.clone();
        let mut list = manifest(&files);
        for file in list["files"].as_array_mut().unwrap() {
            if file["file"] == *other {
                file["sha256"] = sha(&drawing).into();
            }
        }
        swapped.insert("manifest.json".into(), serde_json::to_vec(&list).unwrap());
        swapped.insert(other, drawing);
        assert!(!told(&verify_folder(&swapped)).is_empty(), "a {kind} of the other run passes");
    }
    type Change = fn(&mut Value);
    let changes: [(&str, Change); 9] = [
        ("said to be of the second run", |m| {
            for p in m["programs"].as_array_mut().unwrap() {
                p.as_object_mut().unwrap().remove("first_side");
            }
        }),
        ("said to be laid by its corner", |m| m["sheets"][0]["turned"]["by"] = "corner".into()),
        ("a pin aside", |m| m["sheets"][0]["turned"]["pins"][0]["x"] = 6.4.into()),
        ("a pin higher", |m| m["sheets"][0]["turned"]["pins"][1]["y"] = 500.0.into()),
        ("a wider hole", |m| m["sheets"][0]["turned"]["pins"][1]["diameter"] = 8.into()),
        ("a pin too few", |m| drop(m["sheets"][0]["turned"]["pins"].as_array_mut().unwrap().pop())),
        ("nothing said of a turn", |m| drop(m["sheets"][0].as_object_mut().unwrap().remove("turned"))),
        ("no drawing of the first run", |m| m["sheets"][0]["turned"]["drawings"] = Value::Array(Vec::new())),
        ("no program of the first run", |m| {
            m["programs"].as_array_mut().unwrap().retain(|p| p["first_side"].is_null());
        }),
    ];
    let passed: Vec<&str> =
        changes.iter().filter(|(_, c)| changed(&files, c).is_empty()).map(|(name, _)| *name).collect();
    assert!(passed.is_empty(), "{passed:?}");
}

/// Recesses of both faces that lie over each other must leave board: found in what the manifest says, where the job was not
/// asked.
#[test]
fn recesses_that_meet_are_found() {
    let text = lids(
        "[title_label]\nwidth = 100\nheight = 200\nfrom_head = 30\ndepth = 0.4\n[magnets.left]\ncount = 1\ninset = 50\nthickness = 1\n",
    );
    let files = exported("meet", &text, "small-router", &[]);
    assert_eq!(told(&verify_folder(&files)), Vec::<String>::new());
    let found = changed(&files, |m| {
        for sheet in m["sheets"].as_array_mut().unwrap().iter_mut().filter(|s| s["stock"] == "board") {
            sheet["thickness"] = 1.5.into();
        }
    });
    assert!(found.iter().any(|f| f.contains("they meet in a board")), "{found:#?}");
    // A recess that is said to be deeper than it is cut.
    let found = changed(&files, |m| {
        for p in m["pieces"].as_array_mut().unwrap().iter_mut().filter(|p| p["back_pockets"].is_array()) {
            p["back_pockets"][0]["depth"] = 0.6.into();
        }
    });
    assert!(found.iter().any(|f| f.contains("pocket-depth")), "{found:#?}");
}

/// What is left to the hand: no program of the first run without pockets, holes for pins by hand where nothing is cut
/// through; a machine that only draws has neither.
#[test]
fn a_machine_without_pockets_makes_no_first_run() {
    let names = |files: &Files| -> Vec<String> {
        files.keys().filter(|n| n.ends_with(".nc") && n.contains("first-side")).cloned().collect()
    };
    let text = portfolio("pins");
    let all = exported("left-none", &text, "small-router", &["--lifted"]);
    assert_eq!(names(&all).len(), 3, "{:?}", names(&all));
    assert_eq!(told(&verify_folder(&all)), Vec::<String>::new());
    let leave = ["--leave", "cloth,liner,half-depth-pocket"];
    let pocketless = exported("left-pockets", &text, "shared-laser-cutter", &leave);
    assert_eq!(names(&pocketless), Vec::<String>::new());
    assert_eq!(told(&verify_folder(&pocketless)), Vec::<String>::new());
    let dir = scratch("turning-left-cuts");
    std::fs::write(dir.join("job.toml"), &text).unwrap();
    let leave = "cloth,liner,board/through-cut";
    let made = run(&dir, &["export", "job.toml", "--out", "out", "--machine", "small-router", "--leave", leave]);
    assert!(made.status.success(), "{}{}", out(&made), err(&made));
    let said = format!("{}{}", out(&made), err(&made));
    assert!(said.contains("pins-by-hand") && said.contains("drill them before the first run"), "{said}");
    let files = files_of(&dir.join("out"));
    assert_eq!(names(&files).len(), 2, "{:?}", names(&files));
    assert_eq!(told(&verify_folder(&files)), Vec::<String>::new());
}

/// The holes for the pins are marks too: where they were measured after the turn, the second run is made there; the first
/// run stays as it is.
#[test]
fn a_turned_sheet_may_lie_where_its_holes_were_measured() {
    let text = portfolio("pins");
    let machine = "shared-laser-cutter";
    let plain = exported("not-in-register", &text, machine, &[]);
    let pins = manifest(&plain)["sheets"][0]["turned"]["pins"].clone();
    let row = |i: usize| {
        let (x, y) = (pins[i]["x"].as_f64().unwrap(), pins[i]["y"].as_f64().unwrap());
        // The corner lies at 10 and 10; the sheet 3 mm farther right and 2 mm higher.
        format!("[[mark]]\nname = '{i}'\nat = [{x}, {y}]\nmeasured = [{}, {}]\n", x + 13.0, y + 12.0)
    };
    let marks = scratch("turning-marks").join("marks.toml");
    std::fs::write(&marks, format!("format = 1\nsheet = 'board-1'\n{}{}", row(0), row(1))).unwrap();
    let moved = exported("in-register", &text, machine, &["--register", &marks.to_string_lossy()]);
    assert_eq!(told(&verify_folder(&moved)), Vec::<String>::new());
    let first = format!("board-1_first-side.{machine}.nc");
    assert_eq!(plain[&first], moved[&first]);
    let second = |files: &Files| around(&cuts(&files[&format!("board-1.{machine}.nc")], None, [10.0; 2]));
    let (a, b) = (second(&plain), second(&moved));
    assert_near([a[0] + 3.0, a[1] + 2.0, a[2] + 3.0, a[3] + 2.0], b, 0.01);
}

/// The second laying-on is counted: minutes by hand of a sheet, twice.
#[test]
fn both_runs_are_counted() {
    let files = exported("time", &portfolio("corner"), "shared-laser-cutter", &[]);
    let list = manifest(&files);
    let runs = list["work"]["runs"].as_array().unwrap();
    let told: Vec<(bool, f64)> = runs
        .iter()
        .map(|r| (r["first_side"].as_bool().unwrap_or(false), r["by_hand_minutes"].as_f64().unwrap()))
        .collect();
    assert_eq!(told.iter().map(|t| t.0).collect::<Vec<_>>(), [true, false]);
    assert!(told.iter().all(|t| t.1 > 0.0), "{told:?}");
    let seconds: f64 = list["programs"].as_array().unwrap().iter().map(|p| p["seconds"].as_f64().unwrap()).sum();
    let minutes: f64 = runs.iter().map(|r| r["run_minutes"].as_f64().unwrap()).sum();
    assert!((seconds / 60.0 - minutes).abs() < 0.2, "{seconds} {minutes}");
}

/// A list whose rows have a label and ribbons: lots are proved, in folders of each stock too.
#[test]
fn a_list_turns_its_sheets_over() {
    for (by, more) in [("corner", &[][..]), ("pins", &["--by-stock"][..])] {
        let dir = scratch(&format!("turning-list-{by}"));
        std::fs::write(dir.join("job.toml"), portfolio(by)).unwrap();
        let rows = "id,contents.width,contents.height,contents.depth\nBL-1,200,300,6\nBL-2,180,240,5\nBL-3,150,200,4\n";
        std::fs::write(dir.join("list.csv"), rows).unwrap();
        let fixed = [
            "batch",
            "list.csv",
            "--job",
            "job.toml",
            "--out",
            "out",
            "--machine",
            "shared-laser-cutter",
            "--leave",
            "cloth,liner",
        ];
        let made = run(&dir, &[&fixed[..], more].concat());
        assert!(made.status.success(), "{}{}", out(&made), err(&made));
        let lot = dir.join("out/lot-1");
        let files = files_of(&lot);
        assert!(files.keys().any(|n| n.contains("_first-side.shared-laser-cutter.nc")), "{:?}", files.keys());
        assert_eq!(told(&verify_folder(&files)), Vec::<String>::new());
    }
}

/// A random job with ties or magnets and a label on the same lid.
fn random(seed: u64) -> Option<String> {
    let text = closings::random(seed)?;
    if !text.contains("[ties.") && !text.contains("[magnets.") {
        return None;
    }
    let mut d = Dice(seed ^ 0x7A2D_0BEE);
    let mut pick = |low: f64, high: f64| {
        let share = (d.next() >> 11) as f64 / (1u64 << 53) as f64;
        ((low + share * (high - low)) * 100.0).round() / 100.0
    };
    let label = format!(
        "[title_label]\nwidth = {}\nheight = {}\nthickness = {}\n",
        pick(4.0, 60.0),
        pick(4.0, 40.0),
        pick(0.05, 0.3)
    );
    let by = if pick(0.0, 1.0) < 0.5 { "corner" } else { "pins" };
    let turning = format!("[turning]\nby = '{by}'\npin_diameter = {}\n", pick(2.0, 8.0));
    // Boards that lie close to the rim leave no room for pins.
    let text = if pick(0.0, 1.0) < 0.7 { text.replacen("[board]\n", "[board]\nmargin = 15\n", 1) } else { text };
    Some(format!("{text}{label}{turning}"))
}

/// A slot, and holes for pins, so short that a bit is through the stock on much of them while it still goes down its ramp.
const KEPT: [u64; 3] = [1654, 1819, 3564];

/// What is exported is proved; what is not says why. More of them: `FLAPWRIGHT_TURNED_JOBS=2000`.
#[test]
fn random_labels_over_pockets_are_refused_with_a_reason_or_proved() {
    let from = proved::setting("FLAPWRIGHT_TURNED_FROM", 0);
    let count = proved::setting("FLAPWRIGHT_TURNED_JOBS", 240);
    let (mut turned, mut run) = (0, 0);
    let (proved, faults) = proved::exported_and_proved("turned", (from..from + count).chain(KEPT), random, |out| {
        let list: Value = serde_json::from_slice(&std::fs::read(out.join("manifest.json")).unwrap()).unwrap();
        turned += usize::from(list["sheets"].as_array().unwrap().iter().any(|s| !s["turned"].is_null()));
        run += usize::from(list["programs"].as_array().unwrap().iter().any(|p| p["first_side"] == true));
    });
    println!(
        "{proved} of {count} jobs were written and proved, {turned} with a sheet to turn over, {run} by a machine"
    );
    assert!(faults.is_empty(), "{} of {proved} not proved\n{}", faults.len(), faults.join("\n"));
    assert!((turned > 3 && run > 1) || count < 240, "only {turned} to turn over, {run} by a machine");
}

/// Edited profiles over a sheet that is turned over. More of them: `FLAPWRIGHT_TURNED_EDITED=1000`.
#[test]
fn edited_profiles_work_both_faces_or_say_why_not() {
    let from = proved::setting("FLAPWRIGHT_TURNED_EDITED_FROM", 0);
    let count = proved::setting("FLAPWRIGHT_TURNED_EDITED", 24);
    let home = Path::new(env!("CARGO_TARGET_TMPDIR")).join("turned-edited");
    std::fs::create_dir_all(&home).unwrap();
    let (mut proved, mut faults) = (0, Vec::new());
    for seed in from..from + count {
        let mut dice = Dice(seed.wrapping_mul(0x9E37_79B9) ^ 0x7A2D);
        // Only those that cut pockets into board.
        let machines = ["oscillating-knife-table", "shared-laser-cutter", "small-router"];
        let machine = machines[(dice.next() % 3) as usize];
        let profile = shipped().iter().find(|s| s.0 == machine).unwrap().1.parse().unwrap();
        let mut edits = vec![edited_profiles::drawn(&mut dice, &profile), edited_profiles::drawn(&mut dice, &profile)];
        if dice.next().is_multiple_of(4) {
            edits.extend(edited_profiles::frame(&mut dice));
        }
        let by = if dice.next().is_multiple_of(2) { "pins" } else { "corner" };
        let job = home.join(format!("{seed}.toml"));
        // A small one: a label's recess as large as a hand takes minutes to follow.
        let text = portfolio(by)
            .replace("width = 90\nheight = 35", "width = 24\nheight = 12")
            .replace("width = 250\nheight = 350", "width = 90\nheight = 130")
            .replace(
                "width = 12\nthickness = 0.4\ncount = 2\ninset = 22\ntail = 30",
                "width = 10\nthickness = 0.4\ntail = 12",
            );
        std::fs::write(&job, text.replace("width = 700, height = 1000", "width = 380, height = 380")).unwrap();
        let is_lifted = dice.next().is_multiple_of(4);
        match edited_profiles::attempt(&format!("turned-{seed}"), &job, machine, &edits, None, is_lifted) {
            Came::Proved => proved += 1,
            Came::Refused(why) => {
                println!("{seed}: {}", why.lines().find(|l| l.contains("error[")).unwrap_or_default())
            }
            Came::Unproved(told) => faults.push(format!("{seed}: {machine} {edits:?} {by}\n  {}", told.join("\n  "))),
        }
    }
    println!("{proved} of {count} were written and proved");
    assert!(faults.is_empty(), "{} of {count} not proved\n{}", faults.len(), faults.join("\n"));
    assert!(proved * 4 > count as usize, "only {proved} of {count} were written");
}
