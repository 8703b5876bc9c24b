//! Machines that count otherwise: in inches, from any corner of the bed, with axes mirrored or
//! exchanged, arcs by the place of their centre, steps of another size. Each program proves, and an
//! interpreter that is not ours is led over the same places of the bed as by the plain one.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;

use common::proof::{Files, export, put, told, variant};
use common::references::run_rs274;
use flapwright::diag::Level;
use flapwright::geom::{Bounds, Point, pt};
use flapwright::units::inch;
use flapwright::verify::place::Shown;
use flapwright::verify::{Finding, report, verify_folder};

/// A way that a machine may count, its park in the plain lower left corner; and where a place of its
/// own lies on the bed, derived by hand from the words.
struct Manner {
    name: &'static str,
    zero: &'static str,
    x: &'static str,
    y: &'static str,
    park: fn(f64, f64) -> (f64, f64),
    on_bed: fn(Point, f64, f64) -> Point,
    is_mirrored: bool,
}

const MANNERS: [Manner; 7] = [
    Manner {
        name: "far-left",
        zero: "upper-left",
        x: "right",
        y: "down",
        park: |_, h| (0.0, h),
        on_bed: |p, _, h| pt(p.x, h - p.y),
        is_mirrored: true,
    },
    Manner {
        name: "far-right",
        zero: "upper-right",
        x: "left",
        y: "down",
        park: |w, h| (w, h),
        on_bed: |p, w, h| pt(w - p.x, h - p.y),
        is_mirrored: false,
    },
    Manner {
        name: "negative",
        zero: "upper-right",
        x: "right",
        y: "up",
        park: |w, h| (-w, -h),
        on_bed: |p, w, h| pt(w + p.x, h + p.y),
        is_mirrored: false,
    },
    Manner {
        name: "near-right",
        zero: "lower-right",
        x: "left",
        y: "up",
        park: |w, _| (w, 0.0),
        on_bed: |p, w, _| pt(w - p.x, p.y),
        is_mirrored: true,
    },
    Manner {
        name: "exchanged",
        zero: "lower-left",
        x: "up",
        y: "right",
        park: |_, _| (0.0, 0.0),
        on_bed: |p, _, _| pt(p.y, p.x),
        is_mirrored: true,
    },
    Manner {
        name: "turned",
        zero: "lower-right",
        x: "up",
        y: "left",
        park: |w, _| (0.0, w),
        on_bed: |p, w, _| pt(w - p.y, p.x),
        is_mirrored: false,
    },
    Manner {
        name: "middle",
        zero: "centre",
        x: "down",
        y: "right",
        park: |w, h| (h / 2.0, -w / 2.0),
        on_bed: |p, w, h| pt(w / 2.0 + p.y, h / 2.0 - p.x),
        is_mirrored: false,
    },
];

/// Machines, and how many of the manners from where in the list each is tried in.
const MACHINES: [(&str, usize, usize); 4] =
    [("oscillating-knife-table", 0, 7), ("drag-knife-table", 4, 2), ("small-router", 0, 2), ("scoring-plotter", 5, 2)];

/// The bed of a shipped profile, which is what its file says.
fn bed(machine: &str) -> (f64, f64) {
    let text = std::fs::read_to_string(common::proof::root().join(format!("machine-profiles/{machine}.toml"))).unwrap();
    let of = |key: &str| -> f64 {
        let line = text.lines().find(|l| l.starts_with(&format!("{key} = "))).unwrap();
        line.split_whitespace().nth(2).unwrap().parse().unwrap()
    };
    (of("width"), of("height"))
}

fn counted(machine: &str, manner: &Manner) -> Files {
    let (w, h) = bed(machine);
    let (x, y) = (manner.park)(w, h);
    let keys = format!(
        "[machine]\nzero = \"{}\"\nx_points = \"{}\"\ny_points = \"{}\"\npark = [{x}, {y}] #",
        manner.zero, manner.x, manner.y
    );
    // The profile's own park follows as a comment of another name.
    // Blades stand as they do on the plain bed, which is told from +x.
    let turned = match manner.x {
        "right" => "0",
        "up" => "-90",
        "left" => "-180",
        _ => "-270",
    };
    let heading = format!("start_heading = {turned}  ");
    let mut changes = vec![("[machine]", keys.as_str()), ("\npark = [0, 0]", "\n# park = [0, 0]")];
    if machine.contains("knife") && turned != "0" {
        changes.extend([("start_heading = 0 ", heading.as_str()); 2]);
    }
    variant("rockpool-folder", machine, &changes, &format!("counted-{machine}-{}", manner.name))
}

/// Where the interpreter was led, mm on its own axes, and which way round: the canonical calls of NIST
/// IR 6556, section 4.
fn led(program: &str) -> Option<Vec<(&'static str, Point, f64, f64)>> {
    let calls = run_rs274(program)?.unwrap_or_else(|complaint| panic!("{complaint}"));
    let mut unit = 1.0;
    let mut all: Vec<(&'static str, Point, f64, f64)> = Vec::new();
    for line in calls.lines() {
        let call = line.trim_start_matches(|c: char| c == ' ' || c == '.' || c == 'N' || c.is_ascii_digit());
        let Some((name, rest)) = call.split_once('(') else { continue };
        let n: Vec<f64> = rest.trim_end_matches(')').split(',').filter_map(|n| n.trim().parse().ok()).collect();
        let at = |i: usize| pt(n[i] * unit, n[i + 1] * unit);
        let did = match name {
            "USE_LENGTH_UNITS" => {
                unit = if rest.contains("INCHES") { inch(1.0).to_mm() } else { 1.0 };
                continue;
            }
            "STRAIGHT_TRAVERSE" => ("traverse", at(0), n[2] * unit, 0.0),
            "STRAIGHT_FEED" => ("feed", at(0), n[2] * unit, 0.0),
            "ARC_FEED" => ("arc", at(0), n[5] * unit, n[4].signum() * at(0).distance(at(2))),
            _ => continue,
        };
        // A turn of the blade leads nowhere; whether the first is needed hangs on where +x points.
        let stays = all.last().is_some_and(|l| l.1.distance(did.1) < 1e-9 && (l.2 - did.2).abs() < 1e-9);
        if !stays || did.0 == "arc" {
            all.push(did);
        }
    }
    Some(all)
}

fn programs<'f>(files: &'f Files, machine: &str) -> Vec<(&'f String, &'f str)> {
    let is_program = |n: &str| n.contains(machine) && n.ends_with(".nc");
    files.iter().filter(|f| is_program(f.0)).map(|(n, b)| (n, std::str::from_utf8(b).unwrap())).collect()
}

#[test]
fn a_bed_counted_from_any_corner_proves_and_leads_over_the_same_places() {
    for (machine, from, count) in MACHINES {
        let plain = export("rockpool-folder", &[machine], &format!("counted-{machine}"));
        let (w, h) = bed(machine);
        for manner in &MANNERS[from..from + count] {
            let files = counted(machine, manner);
            let folder = verify_folder(&files);
            assert!(folder.is_good() && !folder.programs.is_empty(), "{machine} {}: {:#?}", manner.name, told(&folder));
            let mut compared = 0;
            for (name, text) in programs(&files, machine) {
                let (Some(theirs), Some(plain)) = (led(text), led(std::str::from_utf8(&plain[name]).unwrap())) else {
                    return;
                };
                assert_eq!(theirs.len(), plain.len(), "{name} {}", manner.name);
                // The first goes up from where nobody knows it to stand.
                for (i, (a, b)) in theirs.iter().zip(&plain).enumerate().skip(1) {
                    let sign = if manner.is_mirrored { -1.0 } else { 1.0 };
                    let place = (manner.on_bed)(a.1, w, h);
                    let is_same = a.0 == b.0 && place.distance(b.1) < 3e-4 && (a.2 - b.2).abs() < 1e-9;
                    assert!(is_same && (sign * a.3 - b.3).abs() < 2e-3, "{name} {} move {i}: {a:?} {b:?}", manner.name);
                    compared += 1;
                }
            }
            assert!(compared > 300 || machine == "scoring-plotter", "{machine}: {compared}");
        }
    }
}

#[test]
fn inches_and_centres_as_places_prove_and_lead_over_the_same_places() {
    let inches: &[(&str, &str)] = &[("[output]", "[output]\nunit = \"inch\""), ("G21", "G20")];
    let places: &[(&str, &str)] = &[("[output]", "[output]\narc_centres = \"places\""), ("G21", "G90.1 G21")];
    let both: &[(&str, &str)] =
        &[("[output]", "[output]\nunit = \"inch\"\narc_centres = \"places\""), ("G21", "G90.1 G20")];
    for machine in ["oscillating-knife-table", "drag-knife-table", "small-router", "shared-laser-cutter"] {
        let plain = export("rockpool-folder", &[machine], &format!("worded-{machine}"));
        for (name, changes, slack) in [("inches", inches, 3e-3), ("places", places, 2e-4), ("both", both, 3e-3)] {
            let files = variant("rockpool-folder", machine, changes, &format!("worded-{machine}-{name}"));
            let folder = verify_folder(&files);
            assert!(folder.is_good() && !folder.programs.is_empty(), "{machine} {name}: {:#?}", told(&folder));
            let (mut arcs, mut compared) = (0, 0);
            for (file, text) in programs(&files, machine) {
                let (Some(theirs), Some(plain)) = (led(text), led(std::str::from_utf8(&plain[file]).unwrap())) else {
                    return;
                };
                // What is shorter than the last decimal is left out in one and not in the other, so
                // each place is looked for a little way on.
                let mut at = 0;
                for b in plain.iter().skip(1).filter(|b| b.0 != "traverse") {
                    let near = theirs
                        .iter()
                        .skip(at)
                        .take(12)
                        .position(|a| a.1.distance(b.1) < slack && (a.2 - b.2).abs() < slack);
                    let found = near.unwrap_or_else(|| panic!("{file} {name}: nothing near {b:?}"));
                    at += found;
                    arcs += usize::from(theirs[at].0 == "arc");
                    compared += 1;
                }
            }
            assert!(compared > 300 && arcs > 20, "{machine} {name}: {compared} {arcs}");
        }
    }
}

#[test]
fn plots_in_steps_of_another_size_prove() {
    // 0.01 mm and a thousandth of an inch: steps of plotters that are not the language's own (from memory).
    for step in ["0.01", "0.0254", "0.05"] {
        let keys = format!("[output]\nstep = {step}");
        let name = format!("steps-{}", step.replace('.', "-"));
        let files = variant("rockpool-folder", "scoring-plotter", &[("[output]", &keys)], &name);
        let folder = verify_folder(&files);
        assert!(folder.is_good() && !folder.programs.is_empty(), "{step}: {:#?}", told(&folder));
        // The same plot for a plotter of another step is another size.
        let profile = "scoring-plotter.profile.toml";
        let text = String::from_utf8(files[profile].clone()).unwrap();
        let folder = put(&files, profile, text.replace(&format!("step = {step}"), "step = 0.02").into_bytes());
        assert!(!folder.is_good(), "{step}");
    }
}

#[test]
fn a_program_in_the_wrong_frame_is_found() {
    let files = counted("small-router", &MANNERS[0]);
    let profile = "small-router.profile.toml";
    let text = String::from_utf8(files[profile].clone()).unwrap();
    for (from, to) in [
        ("zero = \"upper-left\"", "zero = \"lower-left\""),
        ("x_points = \"right\"", "x_points = \"left\""),
        ("unit = \"mm\"", "unit = \"inch\""),
    ] {
        let changed = if text.contains(from) {
            text.replace(from, to)
        } else {
            text.replace("[output]", &format!("[output]\n{to}"))
        };
        let folder = put(&files, profile, changed.into_bytes());
        assert!(!folder.is_good(), "{to}");
    }
    // Centres as places, read as ways: G90.1 taken out.
    let changes = [("[output]", "[output]\narc_centres = \"places\""), ("G21", "G90.1 G21")];
    let files = variant("rockpool-folder", "small-router", &changes, "frame-centres");
    let mut tried = 0;
    for (name, text) in programs(&files, "small-router").into_iter().filter(|p| p.1.contains("G3 ")) {
        let damaged = text.replacen("G90.1 G21", "G91.1 G21", 1);
        assert!(!put(&files, name, damaged.into_bytes()).is_good(), "{name}");
        tried += 1;
    }
    assert!(tried > 0, "no program has an arc");
}

fn value(line: &str, letter: char) -> Option<f64> {
    line.split(' ').find_map(|w| w.strip_prefix(letter)?.parse().ok())
}

/// What was found of a spike that is put into a program after the line `at`, one of its four ways going into a
/// piece: the place that is told, and the spike's rectangle in the program's own numbers.
fn told_of_a_spike(
    files: &Files,
    name: &str,
    at: usize,
    p: Point,
    length: f64,
    write: impl Fn(Point) -> String,
) -> (Shown, Bounds) {
    let text = String::from_utf8(files[name].clone()).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    for (x, y) in [(1.0, 1.0), (-1.0, 1.0), (1.0, -1.0), (-1.0, -1.0)] {
        let tip = p + pt(x, y) * length;
        let spike = [write(tip), write(p)];
        let damaged: String = lines[..=at]
            .iter()
            .copied()
            .chain(spike.iter().map(String::as_str))
            .chain(lines[at + 1..].iter().copied())
            .map(|l| format!("{l}\n"))
            .collect();
        let folder = put(files, name, damaged.into_bytes());
        let of_it =
            |f: &&Finding| f.code == "cut-in-piece" && f.line.is_some_and(|l| (l as usize).abs_diff(at + 2) <= 2);
        if let Some(found) = folder.all().find(of_it) {
            let shown = found.shown.unwrap();
            let text = report::text(&folder, Level::Usual);
            assert!(text.contains(&format!(":{} at {shown}\n", found.line.unwrap())), "{text}");
            let json = report::to_json(&folder);
            let all = json["findings"].as_array().unwrap();
            let same = all.iter().find(|f| f["code"] == "cut-in-piece").unwrap();
            assert_eq!(same["at"]["unit"], shown.unit, "{same}");
            let bed = found.place.unwrap();
            assert!((same["x"].as_f64().unwrap() - bed.x).abs() < 1e-3, "{same}");
            return (shown, Bounds::of([p, tip]));
        }
    }
    panic!("{name}: no spike goes into a piece");
}

/// A maker looks for a place on the controller's display, which shows the program's own coordinates.
#[test]
fn a_place_is_told_as_the_program_counts() {
    let inches: &[(&str, &str)] = &[("[output]", "[output]\nunit = \"inch\""), ("G21", "G20")];
    let mut cases = vec![(variant("rockpool-folder", "small-router", inches, "told-inches"), "in", inch(1.0).to_mm())];
    for manner in [0, 2, 4] {
        cases.push((counted("small-router", &MANNERS[manner]), "mm", 1.0));
    }
    for (files, unit, each) in &cases {
        let name = "board-1.small-router.nc";
        let text = std::str::from_utf8(&files[name]).unwrap();
        let mut p = pt(f64::NAN, f64::NAN);
        let mut straight = false;
        let at = text.lines().enumerate().skip(60).find_map(|(i, l)| {
            p = pt(value(l, 'X').unwrap_or(p.x), value(l, 'Y').unwrap_or(p.y));
            straight = if l.starts_with('G') { l.starts_with("G1 ") } else { straight };
            (straight && l.contains('X') && l.contains('Y') && !l.contains('Z') && p.x.is_finite()).then_some(i)
        });
        let write = |p: Point| format!("G1 X{:.4} Y{:.4}", p.x, p.y);
        let (shown, spike) = told_of_a_spike(files, name, at.unwrap(), p, 4.0 / each, write);
        let of_it = Bounds { min: pt(shown.x, shown.y), max: pt(shown.x, shown.y) };
        assert!(shown.unit == *unit && spike.contains(of_it, 1e-3), "{unit}: {shown:?}, {spike:?}");
    }
    // A plot counts steps.
    let plain = export("rockpool-folder", &["scoring-plotter"], "told-steps");
    let name = "cloth-1.scoring-plotter.3-fine-knife.plt";
    let text = std::str::from_utf8(&plain[name]).unwrap();
    let pen = |l: &str| -> Option<Point> {
        let (x, y) = l.strip_prefix("PD")?.strip_suffix(';')?.split_once(',')?;
        Some(pt(x.parse().ok()?, y.parse().ok()?))
    };
    let (at, p) = text.lines().enumerate().skip(10).find_map(|(i, l)| Some((i, pen(l)?))).unwrap();
    let write = |p: Point| format!("PD{:.0},{:.0};", p.x, p.y);
    let (shown, spike) = told_of_a_spike(&plain, name, at, p, 160.0, write);
    let of_it = Bounds { min: pt(shown.x, shown.y), max: pt(shown.x, shown.y) };
    assert!(shown.unit == "steps" && spike.contains(of_it, 4.0), "{shown:?}, {spike:?}");
    // A drawing counts from its sheet's corner, in mm.
    let name = plain.keys().find(|n| n.contains("_cloth") && n.ends_with("_1.dxf")).unwrap();
    let text = String::from_utf8(plain[name].clone()).unwrap();
    let at = text.rfind("\nLWPOLYLINE\n").unwrap();
    let at = at + text[at..].find("\n 10\n").unwrap();
    let number = text[at + 1..].lines().nth(1).unwrap().to_owned();
    let moved = format!("{}", number.trim().parse::<f64>().unwrap() + 3.0);
    let folder = put(&plain, name, (text[..at].to_owned() + &text[at..].replacen(&number, &moved, 1)).into_bytes());
    let found = folder.all().find(|f| f.file == *name && f.place.is_some()).unwrap();
    let (shown, place) = (found.shown.unwrap(), found.place.unwrap());
    assert!(shown.unit == "mm" && pt(shown.x, shown.y).distance(place) < 1e-3, "{found:?}");
}
