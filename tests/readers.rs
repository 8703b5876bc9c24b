//! The readers of the proof against readers that are not ours: every program of every sample as the
//! RS274/NGC interpreter follows it, move for move; programs that we did not write likewise; every
//! drawing entity by entity as ezdxf sees it.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;

use common::proof::{export, samples};
use common::references::{python, read_by_ezdxf, run_rs274, scratch};
use flapwright::diag::Source;
use flapwright::geom::{Stroke, pt};
use flapwright::profile::{self, Language, Profile, shipped};
use flapwright::units::inch;
use flapwright::verify::read::dxf;
use flapwright::verify::read::{Expectation, Kind, Move, program};
use proptest::prelude::Rng;
use proptest::test_runner::{RngAlgorithm, TestRng};
use serde_json::{Value, json};

/// What a reader makes of a block that moves the machine: where to, over which centre and which way
/// round, how fast. Millimetres and degrees.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Did {
    call: &'static str,
    to: [f64; 4],
    /// An arc's centre and its turn: 1 counter-clockwise, -1 clockwise.
    round: Option<[f64; 3]>,
    feed: f64,
}

/// The canonical calls (NIST IR 6556, section 4: straight moves with x y z a b c; an arc's end in
/// the plane, its centre, its turn, its end along the third axis, a b c), made mm.
fn canon(calls: &str) -> Vec<Did> {
    let mut all = Vec::new();
    let (mut unit, mut feed, mut last) = (1.0, 0.0, vec![0.0; 6]);
    for line in calls.lines() {
        let call = line.trim_start_matches(|c: char| c == ' ' || c == '.' || c == 'N' || c.is_ascii_digit());
        let Some((name, rest)) = call.split_once('(') else { continue };
        let mut n: Vec<f64> = rest.trim_end_matches(')').split(',').filter_map(|n| n.trim().parse().ok()).collect();
        let now = unit;
        let mm = |v: f64| v * now;
        match name {
            "USE_LENGTH_UNITS" => unit = if rest.contains("INCHES") { inch(1.0).to_mm() } else { 1.0 },
            // As the unit then is.
            "SET_FEED_RATE" => feed = mm(n[0]),
            "STRAIGHT_TRAVERSE" => {
                let to = [mm(n[0]), mm(n[1]), mm(n[2]), n[5]];
                all.push(Did { call: "traverse", to, round: None, feed: f64::NAN });
            }
            "STRAIGHT_FEED" => {
                let to = [mm(n[0]), mm(n[1]), mm(n[2]), n[5]];
                // A turn alone goes at degrees a minute, whatever the unit.
                let stays = n[..3].iter().zip(&last).all(|(v, was): (&f64, &f64)| (mm(*v) - was).abs() < 4e-3);
                let turns = stays && (n[5] - last[5]).abs() > 0.0;
                all.push(Did { call: "feed", to, round: None, feed: if turns { f64::NAN } else { feed } });
            }
            "ARC_FEED" => {
                let (to, round) = ([mm(n[0]), mm(n[1]), mm(n[5]), n[8]], Some([mm(n[2]), mm(n[3]), n[4]]));
                all.push(Did { call: "arc", to, round, feed });
                n = vec![n[0], n[1], n[5], n[6], n[7], n[8]];
            }
            "DWELL" => all.push(Did { call: "dwell", to: [n[0], 0.0, 0.0, 0.0], round: None, feed: f64::NAN }),
            "PROGRAM_END" => all.push(Did { call: "end", to: [0.0; 4], round: None, feed: f64::NAN }),
            _ => {}
        }
        if n.len() == 6 {
            last = n.iter().take(3).map(|v| mm(*v)).chain(n[3..].iter().copied()).collect();
        }
    }
    all
}

/// Our reader's moves in the same form. What is not yet known stands at nought there.
fn ours(moves: &[Move]) -> Vec<Did> {
    let mut all: Vec<Did> = Vec::new();
    let known = |v: f64| if v.is_nan() { 0.0 } else { v };
    let mut last: Option<&Move> = None;
    for m in moves {
        let to = [known(m.to.x), known(m.to.y), known(m.to.z), m.to.turn];
        let did = |call, round, feed| Did { call, to, round, feed };
        match m.kind {
            Kind::Rapid => all.push(did("traverse", None, f64::NAN)),
            Kind::Line => all.push(did("feed", None, m.feed)),
            Kind::Turn => all.push(did("feed", None, f64::NAN)),
            Kind::Dwell(s) => all.push(Did { to: [s, 0.0, 0.0, 0.0], ..did("dwell", None, f64::NAN) }),
            Kind::End => all.push(Did { to: [0.0; 4], ..did("end", None, f64::NAN) }),
            Kind::Arc { bulge, .. } => {
                let c = m.segment().center().expect("an arc");
                let arc = did("arc", Some([c.x, c.y, bulge.signum()]), m.feed);
                // More than half a turn comes in two halves of one line.
                match last.filter(|l| l.line == m.line && matches!(l.kind, Kind::Arc { .. })) {
                    Some(_) => *all.last_mut().unwrap() = arc,
                    None => all.push(arc),
                }
            }
            _ => {}
        }
        last = Some(m);
    }
    all
}

/// Four decimals of the interpreter's, and of an arc's end that does not lie quite on its circle the
/// half of what RS274/NGC lets pass (0.002 mm): a bulge's centre is that of the chord's bisector.
fn same(theirs: &Did, ours: &Did, unit: f64) -> bool {
    let near = |a: f64, b: f64, slack: f64| a.is_nan() && b.is_nan() || (a - b).abs() <= slack;
    let round = match (theirs.round, ours.round) {
        (Some(a), Some(b)) => near(a[0], b[0], CENTRE) && near(a[1], b[1], CENTRE) && near(a[2], b[2], 0.0),
        (a, b) => a == b,
    };
    let places = theirs.to.iter().zip(&ours.to).all(|(a, b)| near(*a, *b, 6e-5 * unit));
    theirs.call == ours.call && places && round && near(theirs.feed, ours.feed, 6e-5 * unit)
}

/// See [`same`], mm.
const CENTRE: f64 = 2e-3;

fn assert_same(name: &str, text: &str, profile: &Profile, stand_in: &str, unit: f64) -> Option<usize> {
    let expect = Expectation { profile, first_tool: 0, sheet: "", title: "", safe_z: 0.0 };
    let reading = program(text.as_bytes(), &expect);
    let ours = ours(&reading.moves);
    let answer = run_rs274(stand_in)?.unwrap_or_else(|complaint| panic!("{name}: {complaint}"));
    let theirs = canon(&answer);
    for (i, (a, b)) in theirs.iter().zip(&ours).enumerate() {
        assert!(same(a, b, unit), "{name}, move {}: the interpreter\n{a:?}, our reader\n{b:?}", i + 1);
    }
    assert_eq!(theirs.len(), ours.len(), "{name}");
    Some(ours.len())
}

fn machine(id: &str) -> Profile {
    let text = shipped().iter().find(|s| s.0 == id).unwrap().1;
    profile::read(&Source { name: id.into(), text: text.into() }, id).0.unwrap()
}

/// Source: the RS274/NGC interpreter of a machine controller, Debian's; its calls as in NIST IR 6556.
#[test]
fn every_program_of_every_sample_is_read_as_the_interpreter_reads_it() {
    let (mut files, mut moves) = (0, 0);
    for (sample, machines) in samples() {
        let folder = export(sample, &machines, &format!("readers-{sample}"));
        for id in machines {
            let profile = machine(id);
            if profile.output.language != Language::Gcode {
                continue;
            }
            let suffix = format!(".{}", profile.output.extension);
            for (name, bytes) in folder.iter().filter(|f| f.0.contains(id) && f.0.ends_with(&suffix)) {
                let text = std::str::from_utf8(bytes).unwrap();
                // The servo's word is its firmware's own, which has no program end either; the
                // standard knows no word above M199 and wants an end.
                let is_servo = id == "servo-plotter";
                let stand_in =
                    if is_servo { in_seconds(text).replace("M280 ", "(servo) ;") + "M2\n" } else { text.to_owned() };
                let text = if is_servo { text.to_owned() + "M2\n" } else { text.to_owned() };
                let Some(n) = assert_same(&format!("{sample}: {name}"), &text, &profile, &stand_in, 1.0) else {
                    return;
                };
                files += 1;
                moves += n;
            }
        }
    }
    println!("{files} programs, {moves} moves alike");
    assert!(files > 60 && moves > 80_000, "{files} programs, {moves} moves");
}

/// Waits in milliseconds as the standard has them.
fn in_seconds(text: &str) -> String {
    let line = |l: &str| match l.strip_prefix("G4 P").and_then(|ms| ms.parse::<f64>().ok()) {
        Some(ms) => format!("G4 P{}\n", ms / 1000.0),
        None => l.to_owned() + "\n",
    };
    text.lines().map(line).collect()
}

/// A machine that knows what the standard knows, and a rotary axis.
fn any_mill() -> Profile {
    let text = "format = 1\nname = 'Any mill'\n[machine]\nwidth = 3000\nheight = 3000\nsafe_height = 10\nrapid = 4000\n\
        rapid_z = 1000\nacceleration = 200\n[output]\nlanguage = 'gcode'\nextension = 'nc'\nrotary = 'C'\n\
        start = ['G21 G90']\nend = ['M2']\n[[tool]]\nid = 'bit'\nkind = 'router'\nkerf = 2\nmax_depth = 5\n\
        on = ['M3 S{speed}']\noff = ['M5']\n[[rule]]\noperation = 'through-cut'\nstock = 'board'\ntool = 'bit'\n\
        feed = 600\nplunge = 100\npass_depth = 1\nspeed = 9000\n";
    let (profile, said) = profile::read(&Source { name: "any.toml".into(), text: text.into() }, "any");
    profile.unwrap_or_else(|| panic!("{said:?}"))
}

/// Programs as other programs and people write them, all after RS274/NGC.
#[test]
fn programs_of_other_hands_are_read_as_the_interpreter_reads_them() {
    let profile = any_mill();
    for (name, unit, text) in [
        ("without spaces, small letters", 1.0, "g21g90g17\ng0z5\nx10y20\ng1z-.5f100\nx30.f600\ng2x40y10i0j-10\nm2\n"),
        ("numbers of lines and a frame", 1.0, "%\nN10 G21\nN20 G90\nN30 G0 X1 Y2 Z3\nN40 G1 X-1 F50\nN50 M2\n%\n"),
        ("in inches", 25.4, "G20 G90\nG0 X1 Y0.5\nG1 Z-0.05 F10\nX2.25\nG3 X3.25 Y1.5 I0 J1\nG0 Z.5\nM2\n"),
        (
            "step by step",
            1.0,
            "G21 G90\nG0 X0 Y0 Z0\nG91 Z5\nX10 Y10\nG1 Z-6 F90\nX5\nY5\nX-5\nY-5\nG2 X4 Y4 I4 J0\nG0 Z6\nM2\n",
        ),
        (
            "arcs by their radius",
            1.0,
            "G21 G90 F200\nG0 X0 Y0\nG2 X20 Y0 R15\nG2 X40 Y0 R-15\nG3 X60 Y0 R10\nG3 X70 Y10 R-10\nM30\n",
        ),
        (
            "whole circles and screws",
            1.0,
            "G21 G90 F200\nG0 X10 Y0 Z1\nG2 I-10 J0\nG3 X10 Y0 I-10 Z-1\nG2 X-10 Y0 I-10 J0 Z-2\nM2\n",
        ),
        (
            "units changed on the way",
            25.4,
            "G21 G90\nG0 X25.4 Y10\nG20\nG1 X2 F10\nG21\nX10 F100\nG91 X1\nG90 Y3\nM2\n",
        ),
        ("words in another order", 1.0, "G90 G21\nY5 X3 G0\nF100 X8 G1\nJ5 Y10 I0 X13 G3\nG1 Z-1\nX1 (done) Y1\nM2\n"),
        (
            "a turn and a way at once",
            1.0,
            "G21 G90\nG0 X0 Y0 C90\nG1 Z-1 F60\nX10 C45 F300\nG3 X20 Y10 I0 J10 C135\nG1 C0 F90\nM2\n",
        ),
        (
            "waits, speeds, comments",
            1.0,
            "G21 G90 ; metric\nM3 S9000\nG4 P1.5\n(there) G0 X4 (and back) Y4\nG1 X0 F10 ; slowly\nM5\nM2\n",
        ),
    ] {
        let Some(n) = assert_same(name, text, &profile, text, unit) else { return };
        assert!(n >= 3, "{name}");
    }
}

/// Programs thrown by dice out of every word that both read.
#[test]
fn programs_thrown_by_dice_are_read_as_the_interpreter_reads_them() {
    let profile = any_mill();
    for seed in 0..12u8 {
        let mut rng = TestRng::from_seed(RngAlgorithm::ChaCha, &[seed; 32]);
        let mut roll = |n: u64| rng.next_u64() % n;
        let mut text = String::from("G21 G90 G17\nG0 X50 Y50 Z5\nF400\n");
        let (mut at, mut absolute, mut mm) = ((50.0f64, 50.0f64), true, true);
        for _ in 0..400 {
            // Off the standard's corners: no arc of no length, no radius below half the chord.
            let to = ((roll(200_000) as f64) / 1000.0, (roll(200_000) as f64) / 1000.0);
            let one = if mm { 1.0 } else { 25.4 };
            let place = |v: f64, from: f64| (if absolute { v } else { v - from }) / one;
            let xy = format!("X{:.6} Y{:.6}", place(to.0, at.0), place(to.1, at.1));
            let line = match roll(11) {
                0 => {
                    absolute = !absolute;
                    if absolute { "G90".to_owned() } else { "G91".to_owned() }
                }
                1 => {
                    mm = !mm;
                    (if mm { "G21" } else { "G20" }).to_owned()
                }
                2 => format!("F{}", 10 + roll(90)),
                3 => format!("G4 P{}", roll(30) as f64 / 10.0),
                4 => format!("G1 Z{:.3}", roll(4000) as f64 / 1000.0 / one),
                5 => format!("C{:.2}", roll(72_000) as f64 / 100.0),
                k @ (6..=8) => {
                    let word = ["G0", "G1", "G1 F250"][k as usize - 6];
                    at = to;
                    format!("{word} {xy}")
                }
                k => {
                    let half = (pt(at.0, at.1).distance(pt(to.0, to.1)) / 2.0).max(1.0);
                    let arc = if roll(2) == 0 { "G2" } else { "G3" };
                    let radius = half * (1.1 + roll(300) as f64 / 100.0) / one;
                    let word = if k == 9 {
                        let sign = if roll(2) == 0 { "" } else { "-" };
                        format!("{arc} {xy} R{sign}{radius:.6}")
                    } else {
                        // Any centre on the bisector.
                        let (dx, dy) = ((to.0 - at.0) / 2.0, (to.1 - at.1) / 2.0);
                        let t = roll(400) as f64 / 100.0 - 2.0;
                        format!("{arc} {xy} I{:.6} J{:.6}", (dx - dy * t) / one, (dy + dx * t) / one)
                    };
                    at = to;
                    word
                }
            };
            text.push_str(&line);
            text.push('\n');
        }
        text.push_str("M2\n");
        // A turn alone is not legal after an arc: the mode of a move must be said.
        let text = text.replace("\nC", "\nG1 C");
        let Some(_) = assert_same(&format!("dice {seed}"), &text, &profile, &text, 25.4) else { return };
    }
}

fn entities(seen: &Value) -> Vec<&Value> {
    seen["entities"].as_array().unwrap().iter().filter(|e| e["layer"] != "STOCK").collect()
}

/// Each of our lines is ezdxf's entity of the same place in the file: layer, whether closed, length,
/// bounds.
fn assert_drawn(name: &str, bytes: &[u8], seen: &Value, unit: f64) -> usize {
    let (drawn, found) = dxf::read(bytes);
    assert!(found.is_empty(), "{name}: {found:?}");
    let entities = entities(seen);
    assert_eq!(entities.len(), drawn.lines.len(), "{name}");
    for (e, (kind, stroke)) in entities.iter().zip(&drawn.lines) {
        assert_eq!(e["layer"].as_str().unwrap(), kind.word().to_uppercase(), "{name}");
        assert_eq!(e["closed"], stroke.is_closed(), "{name}: {e}");
        let length = e["length"].as_f64().unwrap() * unit;
        assert!((length - stroke.length()).abs() < 1e-6, "{name}: {} is not {length}: {e}", stroke.length());
        let b = stroke.bounds();
        for (theirs, ours) in e["bounds"].as_array().unwrap().iter().zip([b.min.x, b.min.y, b.max.x, b.max.y]) {
            assert!((theirs.as_f64().unwrap() * unit - ours).abs() < 1e-6, "{name}: {ours} is not {theirs}: {e}");
        }
        // Where its points are said, vertex by vertex.
        if let (Some(vertices), Stroke::Open(_) | Stroke::Closed(_)) = (e["vertices"].as_array(), stroke) {
            let mine = stroke.vertices();
            assert_eq!(vertices.len(), mine.len(), "{name}: {e}");
            for (i, (v, w)) in vertices.iter().zip(mine).enumerate() {
                let n: Vec<f64> = v.as_array().unwrap().iter().map(|n| n.as_f64().unwrap()).collect();
                assert!((n[0] * unit - w.x).abs() < 1e-9 && (n[1] * unit - w.y).abs() < 1e-9, "{name}: {v} {w:?}");
                // What the last vertex of an open line says of what follows means nothing.
                let has_next = stroke.is_closed() || i + 1 < mine.len();
                assert!(!has_next || (n[2] - w.bulge).abs() < 1e-9, "{name}: {v} {w:?}");
            }
        }
    }
    entities.len()
}

/// Source: ezdxf, which reads the files by the DXF reference.
#[test]
fn every_drawing_of_every_sample_is_read_as_ezdxf_reads_it() {
    let home = scratch("readers-drawings");
    let mut paths = Vec::new();
    for (sample, _) in samples() {
        let folder = export(sample, &[], &format!("readers-drawn-{sample}"));
        let job = folder.iter().find(|f| f.0 == "job.toml").map(|f| String::from_utf8_lossy(f.1).into_owned());
        // A maker's drawing that the job names has layers of its own.
        let is_ours = |name: &str| name.ends_with(".dxf") && !job.as_ref().is_some_and(|job| job.contains(name));
        for (name, bytes) in folder.iter().filter(|f| is_ours(f.0)) {
            let path = home.join(format!("{sample}-{name}"));
            std::fs::write(&path, bytes).unwrap();
            paths.push(path);
        }
    }
    let Some(seen) = read_by_ezdxf(&paths) else { return };
    let count = |(path, seen): (&std::path::PathBuf, &Value)| {
        assert_drawn(&path.display().to_string(), &std::fs::read(path).unwrap(), seen, 1.0)
    };
    let lines: usize = paths.iter().zip(&seen).map(count).sum();
    println!("{} drawings, {lines} lines alike", paths.len());
    assert!(paths.len() >= 15 && lines > 500, "{} drawings, {lines} lines", paths.len());
}

/// Drawings that ezdxf wrote: every kind of line that is read, in four versions of the format and
/// two units.
#[test]
fn drawings_of_another_writer_are_read_as_it_reads_them() {
    let home = scratch("readers-foreign");
    let Some(written) = python("write_dxf.py", &[home], &json!(null)) else { return };
    let paths: Vec<std::path::PathBuf> =
        written.as_array().unwrap().iter().map(|p| p.as_str().unwrap().into()).collect();
    assert_eq!(paths.len(), 8);
    let seen = read_by_ezdxf(&paths).unwrap();
    for (path, seen) in paths.iter().zip(&seen) {
        // R12 has no place for the unit: mm.
        let inches = seen["insunits"] == json!(1) && seen["version"] != "AC1009";
        let unit = if inches { inch(1.0).to_mm() } else { 1.0 };
        let n = assert_drawn(&path.display().to_string(), &std::fs::read(path).unwrap(), seen, unit);
        assert!(n >= 30, "{n}");
    }
}
