//! Blades that are never wrenched: what is written turns none in the stock by more than its corner
//! limit within its own width, counted here from the program's words alone; and the proof finds it
//! where a program does.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;

use common::proof::{Files, put, root, told, variant};
use flapwright::cli::{Exit, run};
use flapwright::diag::Source;
use flapwright::job::StockKind;
use flapwright::profile::{Profile, read};
use flapwright::verify::{Subject, verify_folder, verify_program};
use std::path::Path;

const TABLE: &str = "oscillating-knife-table";
const KNIFE: (&str, &str) = ("kerf = 0                  # derived", "kerf = ");

/// A place of a program: how far the tool has gone since it last came into the stock, mm, and where
/// the rotary axis stands, degrees.
type Stand = (f64, f64);

/// The largest turn of the C axis within `width` mm of way below `top`, in G-code of ours (one block
/// a line, every word on its own, centres relative): the words added up, arcs in 64 shares.
fn most_turned(text: &str, top: f64, width: f64) -> f64 {
    let (mut at, mut c, mut z, mut mode) = ((0.0f64, 0.0f64), 0.0f64, f64::INFINITY, 0u32);
    let mut behind: Vec<Stand> = Vec::new();
    let mut worst = 0.0f64;
    for line in text.lines().filter(|l| !l.starts_with('(')) {
        let words: Vec<(char, f64)> =
            line.split_whitespace().filter_map(|w| Some((w.chars().next()?, w[1..].parse().ok()?))).collect();
        let of = |letter: char| words.iter().find(|w| w.0 == letter).map(|w| w.1);
        for (_, g) in words.iter().filter(|w| w.0 == 'G' && w.1 < 4.0) {
            mode = *g as u32;
        }
        let to = (of('X').unwrap_or(at.0), of('Y').unwrap_or(at.1));
        let (next_c, next_z) = (of('C').unwrap_or(c), of('Z').unwrap_or(z));
        let chord = (to.0 - at.0).hypot(to.1 - at.1);
        let way = match (mode, of('I'), of('J')) {
            (2 | 3, i, j) if chord > 0.0 => {
                let radius = i.unwrap_or(0.0).hypot(j.unwrap_or(0.0));
                let short = 2.0 * (chord / 2.0 / radius).min(1.0).asin();
                // A blade turns as its arc does.
                let turned = (next_c - c).abs().to_radians();
                radius * if turned > std::f64::consts::PI { std::f64::consts::TAU - short } else { short }
            }
            _ => chord,
        };
        if z.min(next_z) >= top - 1e-9 || next_z >= top - 1e-9 {
            behind.clear();
        } else {
            let begin = behind.last().copied().unwrap_or((0.0, c));
            if behind.is_empty() {
                behind.push(begin);
            }
            let n = if (next_c - c).abs() > 0.0 { 64 } else { 1 };
            for k in 1..=n {
                let share = f64::from(k) / f64::from(n);
                let stand = (begin.0 + way * share, c + (next_c - c) * share);
                let near = behind.iter().rev().take_while(|b| stand.0 - b.0 < width);
                worst = near.map(|b| (stand.1 - b.1).abs()).fold(worst, f64::max);
                behind.push(stand);
            }
        }
        (at, c, z) = (to, next_c, next_z);
    }
    worst
}

fn programs<'a>(files: &'a Files, stock: &'a str) -> impl Iterator<Item = (&'a String, String)> {
    let is_one = move |name: &str| name.starts_with(stock) && name.ends_with(".nc") && !name.contains("outline");
    files.iter().filter(move |f| is_one(f.0)).map(|(n, b)| (n, String::from_utf8(b.clone()).unwrap()))
}

#[test]
fn a_knife_with_a_kerf_is_lifted_at_its_corners() {
    for (sample, thickness) in [("tideline-folio", 2.0), ("whelk-box", 2.0)] {
        for kerf in ["0.02", "0.05", "0.08", "0.3", "0.5"] {
            let change = format!("{}{kerf} # derived", KNIFE.1);
            let files = variant(sample, TABLE, &[(KNIFE.0, &change)], &format!("blade-{sample}-{kerf}"));
            assert_eq!(told(&verify_folder(&files)), Vec::<String>::new(), "{sample} {kerf}");
            let mut count = 0;
            for (name, text) in programs(&files, "board") {
                let thickness = thickness_of(&files, name).unwrap_or(thickness);
                let turned = most_turned(&text, thickness, 0.5);
                assert!(turned <= 15.0 + 0.1, "{name}: {turned} degrees at a kerf of {kerf}");
                count += 1;
            }
            assert!(count > 0);
        }
    }
}

/// The thickness of a program's sheet as the manifest has it.
fn thickness_of(files: &Files, name: &str) -> Option<f64> {
    let manifest: serde_json::Value = serde_json::from_slice(&files["manifest.json"]).unwrap();
    let sheets = manifest["sheets"].as_array()?;
    let sheet = sheets.iter().find(|s| name.starts_with(&format!("{}.", s["id"].as_str().unwrap_or("?"))))?;
    sheet["thickness"].as_f64().or_else(|| sheet["thickness_mm"].as_f64())
}

#[test]
fn an_arc_tighter_than_the_blade_may_turn_is_lifted_and_turned() {
    // The notch of this sample has corners of 2 mm: 1 / (15 degrees) = 3.8 mm is more.
    let width = [("blade_width = 0.5", "blade_width = 1.0")];
    let files = variant("whelk-box", TABLE, &width, "blade-wide");
    assert_eq!(told(&verify_folder(&files)), Vec::<String>::new());
    let narrow = variant("whelk-box", TABLE, &[("width = 1100 ", "width = 1100 ")], "blade-narrow");
    for ((name, wide), (_, narrow)) in programs(&files, "board").zip(programs(&narrow, "board")) {
        let thickness = thickness_of(&files, name).unwrap_or(2.0);
        assert!(most_turned(&wide, thickness, 1.0) <= 15.1, "{name}");
        assert!(most_turned(&narrow, thickness, 1.0) > 15.1, "{name}: nothing to be lifted for");
    }
}

/// Exports a sample with a changed profile and returns what was complained of.
fn refused(sample: &str, machine: &str, change: (&str, &str), name: &str) -> String {
    let text = std::fs::read_to_string(root().join(format!("machine-profiles/{machine}.toml"))).unwrap();
    assert!(text.contains(change.0));
    let home = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("refused-{name}"));
    let _ = std::fs::remove_dir_all(&home);
    std::fs::create_dir_all(&home).unwrap();
    let profile = home.join(format!("{machine}.toml"));
    std::fs::write(&profile, text.replacen(change.0, change.1, 1)).unwrap();
    let mut args = vec!["flapwright".into(), "export".into()];
    args.push(root().join(format!("samples/{sample}.toml")).into_os_string());
    args.extend(["--out".into(), home.join("out").into_os_string(), "--machine".into(), profile.into_os_string()]);
    let (mut said, mut errors) = (Vec::new(), Vec::new());
    assert_eq!(run(args, &mut said, &mut errors, false), Exit::Errors);
    String::from_utf8(errors).unwrap()
}

#[test]
fn an_arc_that_no_turning_helps_is_refused_with_the_least_radius() {
    let said = refused("whelk-box", TABLE, ("blade_width = 0.5", "blade_width = 4"), "wide");
    assert!(said.contains("arc-too-tight") && said.contains("radius 2 mm"), "{said}");
    // 4 / (15 degrees) = 15.28.
    assert!(said.contains("15.28 mm") && said.contains("blade_width"), "{said}");
}

fn bench(text: &str) -> Profile {
    let (profile, said) = read(&Source { name: "bench.toml".into(), text: text.into() }, "bench");
    profile.unwrap_or_else(|| panic!("{said:?}"))
}

const BENCH: &str = "format = 1\nname = 'Bench'\n[machine]\nwidth = 300\nheight = 200\nsafe_height = 10\nrapid = 4000\n\
    rapid_z = 1000\nacceleration = 200\n[output]\nlanguage = 'gcode'\nextension = 'nc'\nrotary = 'C'\n\
    start = ['G21 G90']\nend = ['M2']\nchange = ['M6 T{number}']\n[[tool]]\nid = 'a'\nKIND\nmax_depth = 5\n\
    blade_width = 0.5\n[[rule]]\nfeed = 600\nplunge = 100\npass_depth = 5\nstock = 'board'\ntool = 'a'\n\
    corner_limit = 15\noverrun = 3\noperation = ";

/// What is said of a program by a tool of this kind in 2 mm of board, of turns in the stock.
fn turned_in_stock(kind: &str, operation: &str, program: &str) -> Vec<String> {
    let profile = bench(&format!("{}{operation}\n", BENCH.replace("KIND", kind)));
    let subject = Subject {
        file: "hand.nc",
        bytes: program.as_bytes(),
        profile: &profile,
        first_tool: 0,
        title: "",
        sheet: "",
        stock: StockKind::Board,
        thickness: 2.0,
        nominal: None,
        operations: &[],
        entry: None,
        stays_up: false,
        is_ours: false,
    };
    let found = verify_program(&subject).findings;
    found.into_iter().filter(|f| f.code == "turned-in-stock").map(|f| f.message).collect()
}

#[test]
fn the_proof_counts_the_turn_of_a_steered_blade_by_its_way() {
    let knife = |cut: &str| {
        let program = format!("G21 G90\nG0 Z12\nG0 X50 Y50\nG1 Z-0.1 F100\n{cut}G0 Z12\nM2\n");
        turned_in_stock("kind = 'tangential-knife'", "'through-cut'", &program)
    };
    // Derived: within 0.5 mm a blade may turn by 15 degrees, so on 1.91 mm and more.
    assert!(knife("G1 X60 F600\nG3 X70 Y60 I0 J10 C90\n").is_empty());
    assert!(knife("G1 X60 F600\nG3 X62 Y52 I0 J2 C90\n").is_empty());
    let tight = knife("G1 X60 F600\nG3 X61.8 Y51.8 I0 J1.8 C90\n");
    assert!(tight[0].contains("15.9 degrees in the stock within 0.5 mm"), "{tight:?}");
    // A square corner at a kerf of 0.05, rounded about.
    let round = knife("G1 X60 F600\nG3 X60.025 Y50.025 I0 J0.025 C90\nG1 Y60\n");
    assert!(round[0].contains("90 degrees in the stock within 0.04 mm of its way, 15 are let pass"), "{round:?}");
    // Turned on the spot, in two turns that are each let pass, and in the air.
    assert!(!knife("G1 X60 F600\nG1 C90 F3600\n").is_empty());
    assert!(!knife("G1 X60 F600\nG1 C12 F3600\nG1 X60.3 Y50.06 F600\nG1 C24 F3600\n").is_empty());
    assert!(knife("G1 X60 F600\nG1 C12 F3600\nG1 X61 Y50.21 F600\nG1 C24 F3600\n").is_empty());
    assert!(knife("G1 X60 F600\nG0 Z12\nG1 C90 F3600\nG1 Z-0.1 F100\nG1 Y60 F600\n").is_empty());
    // A wheel on the same axis.
    let wheel = |cut: &str| {
        let program = format!("G21 G90\nG0 Z12\nG0 X50 Y50\nG1 Z1.5 F100\n{cut}G0 Z12\nM2\n");
        turned_in_stock("kind = 'crease-wheel'", "'crease-score'\ndepth = 0.5", &program)
    };
    assert!(wheel("G1 X60 F600\nG3 X62 Y52 I0 J2 C90\n").is_empty());
    assert!(!wheel("G1 X60 F600\nG3 X61 Y51 I0 J1 C90\n").is_empty());
}

#[test]
fn the_proof_counts_the_swivels_of_a_drag_knife() {
    let knife = |swivel: &str, cut: &str| {
        let program = format!("G21 G90\nG0 Z12\nG0 X53 Y50\nG1 Z-0.1 F100\nG1 X63 F600\n{cut}G0 Z12\nM2\n");
        turned_in_stock(&format!("kind = 'drag-knife'\npivot_offset = 3{swivel}"), "'through-cut'", &program)
    };
    // The pivot about the tip at 60, 50.
    let (deep, shallow) = ("G3 X60 Y53 I-3 J0\n", "G1 Z1.6 F100\nG3 X60 Y53 I-3 J0 F600\nG1 Z-0.1 F100\nG1 Y60 F600\n");
    assert!(knife("\nswivel_depth = 0.4", deep)[0].contains("90 degrees in the stock"));
    assert!(knife("\nswivel_depth = 0.4", shallow).is_empty());
    assert!(knife("", deep).is_empty(), "its owner lets it swivel at full depth");
    // The tip on an arc of 2 mm, 14.3 degrees on 0.5 mm: the pivot on one of sqrt(13). On 1 mm: too much.
    let led = |r: f64| {
        let out = r.hypot(3.0);
        // About the arc's middle: the pivot stands atan(3 / r) ahead of the tip.
        let (x, y) = (60.0, 50.0 + r);
        let at = |turned: f64| {
            let angle = (turned - 90.0).to_radians() + (3.0 / r).atan();
            (x + out * angle.cos(), y + out * angle.sin())
        };
        let (end, start) = (at(90.0), at(0.0));
        format!("G3 X{:.4} Y{:.4} I{:.4} J{:.4}\n", end.0, end.1, x - start.0, y - start.1)
    };
    assert!(knife("\nswivel_depth = 0.4", &led(2.0)).is_empty());
    assert!(!knife("\nswivel_depth = 0.4", &led(1.0)).is_empty());
}

#[test]
fn chords_of_an_arc_point_along_it_in_their_middles() {
    for chord in ["0.01", "0.03"] {
        let change = [("arcs = true ", "arcs = false "), ("chord = 0.01", &format!("chord = {chord}"))];
        let files = variant("rockpool-folder", TABLE, &change, &format!("blade-chords-{chord}"));
        assert_eq!(told(&verify_folder(&files)), Vec::<String>::new(), "{chord}");
    }
}

/// A program of ours in which the straight cuts along an axis below `top` are parted into steps of
/// 0.3 mm, the blade being turned a little before each as it is on a curve of many small steps.
fn in_small_steps(text: &str, top: f64) -> String {
    let (mut at, mut c, mut z, mut mode, mut feed) = ((0.0f64, 0.0f64), 0.0f64, f64::INFINITY, 0.0f64, 0.0f64);
    let mut out = String::new();
    for line in text.lines() {
        let words: Vec<(char, f64)> =
            line.split_whitespace().filter_map(|w| Some((w.chars().next()?, w[1..].parse().ok()?))).collect();
        let of = |letter: char| words.iter().find(|w| w.0 == letter).map(|w| w.1);
        let is_comment = line.starts_with('(');
        if let Some(g) = of('G').filter(|g| *g < 4.0 && !is_comment) {
            mode = g;
        }
        let moves = (of('X').is_some() || of('Y').is_some()) && !is_comment;
        let to = if moves { (of('X').unwrap_or(at.0), of('Y').unwrap_or(at.1)) } else { at };
        let length = (to.0 - at.0).hypot(to.1 - at.1);
        let is_knife = c.abs() > 0.0 || out.contains("C90");
        if moves && (mode - 1.0).abs() < 0.1 && z < top && of('C').is_none() && is_knife && length > 5.0 {
            feed = of('F').unwrap_or(feed);
            let n = (length / 0.3).ceil();
            for k in 1..=n as u32 {
                let share = f64::from(k) / n;
                let turn = if k == n as u32 { 0.0 } else { 0.05 * f64::from(k % 2) };
                let (x, y) = (at.0 + (to.0 - at.0) * share, at.1 + (to.1 - at.1) * share);
                out.push_str(&format!("G1 C{:.4} F10800\nX{x:.4} Y{y:.4} F{feed}\n", c + turn));
            }
        } else {
            out.push_str(line);
            out.push('\n');
        }
        if !is_comment {
            (at, c, z, feed) = (to, of('C').unwrap_or(c), of('Z').unwrap_or(z), of('F').unwrap_or(feed));
        }
    }
    out
}

#[test]
fn an_outline_in_small_steps_is_not_worked_twice() {
    let files = variant("tideline-folio", TABLE, &[("width = 1100 ", "width = 1100 ")], "blade-fine");
    let name = format!("board-1.{TABLE}.nc");
    let text = String::from_utf8(files[&name].clone()).unwrap();
    let fine = in_small_steps(&text, thickness_of(&files, &name).unwrap());
    assert!(fine.lines().count() > 5 * text.lines().count(), "nothing was parted");
    // So many stops take longer than the manifest says, and that is told.
    let told: Vec<String> = told(&put(&files, &name, fine.into_bytes()));
    assert!(told.iter().all(|t| t.contains("[account] it takes ")), "{told:?}");
}

#[test]
fn a_slot_that_shares_an_edge_with_its_pocket_is_milled_as_either_rule_says() {
    for direction in ["climb", "conventional"] {
        let change = format!("direction = \"{direction}\"");
        let changes = [("direction = \"climb\"", change.as_str()), ("direction = \"conventional\"", change.as_str())];
        // Each of the two rules that has the other word is changed; the second finds nothing else.
        let text = std::fs::read_to_string(root().join("machine-profiles/small-router.toml")).unwrap();
        let other: Vec<_> = changes.into_iter().filter(|c| c.0 != c.1 && text.contains(c.0)).collect();
        let files = variant("tideline-folio", "small-router", &other, &format!("blade-{direction}"));
        assert_eq!(told(&verify_folder(&files)), Vec::<String>::new(), "{direction}");
    }
}

#[test]
fn an_overrun_that_was_asked_for_is_not_a_second_pass() {
    let table = "drag-knife-table";
    for (name, changes) in [
        (
            "offset",
            vec![
                ("pivot_offset = 3.0", "pivot_offset = 5"),
                ("overrun = 3.5", "overrun = 5.5"),
                ("overrun = 3.5", "overrun = 5.5"),
            ],
        ),
        ("overrun", vec![("overrun = 3.5", "overrun = 6"), ("overrun = 3.5", "overrun = 6")]),
    ] {
        let files = variant("tideline-folio", table, &changes, &format!("blade-over-{name}"));
        assert_eq!(told(&verify_folder(&files)), Vec::<String>::new(), "{name}");
    }
}

#[test]
fn a_steep_wedge_proves() {
    for sample in ["tideline-folio", "whelk-box"] {
        let files = variant(sample, TABLE, &[("edge_angle = 30", "edge_angle = 45")], &format!("blade-wedge-{sample}"));
        assert_eq!(told(&verify_folder(&files)), Vec::<String>::new(), "{sample}");
    }
}
