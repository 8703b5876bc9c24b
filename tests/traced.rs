//! The path that a standard interpreter traces is the kerf-moved contours of the sheet, no more and
//! no less.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;

use common::references::run_rs274;
use flapwright::comp::kerf_moved;
use flapwright::design::design;
use flapwright::diag::Source;
use flapwright::geom::{Point, Stroke, pt};
use flapwright::job;
use flapwright::motion::build;
use flapwright::nest::nest;
use flapwright::ops::operations;
use flapwright::profile::{self, OperationKind};
use flapwright::units::{Length, mm};
use flapwright::write::program::write;

/// A beam that does nothing but follow its line: no leads, no overrun, no bridges.
const PLAIN_BEAM: &str = r#"
format = 1
name = "Plain beam"
cautions = ["A drawing for a test."]
[machine]
width = 3000
height = 3000
z_axis = false
origin = [10, 20]
[output]
start = ["G21 G90 G94 G17 G40"]
end = ["M5", "M2"]
[[tool]]
id = "beam"
kind = "beam"
kerf = 0.2
max_depth = 10
lift = "words"
on = ["M3 S100"]
off = ["M5"]
"#;

fn plain_beam() -> profile::Profile {
    let mut text = PLAIN_BEAM.to_owned();
    for stock in ["board", "cloth", "liner"] {
        for operation in ["mark", "crease-score", "through-cut"] {
            text += &format!(
                "[[rule]]\noperation = \"{operation}\"\nstock = \"{stock}\"\ntool = \"beam\"\nfeed = 1000\nlead = 0\noverrun = 0\n"
            );
        }
    }
    let (profile, said) = profile::read(&Source { name: "plain-beam.toml".into(), text }, "plain-beam");
    profile.unwrap_or_else(|| panic!("{said:#?}"))
}

/// What the interpreter cut: every point where a cut starts or ends, and the length in all.
struct Trace {
    ends: Vec<Point>,
    length: f64,
    /// Whether a cut was made before the beam was on, or a traverse while it was.
    beam_wrong: bool,
    on_at_end: bool,
}

/// Follows canonical calls (NIST IR 6556, section 4): STRAIGHT_FEED and ARC_FEED with the end in x
/// and y first; an arc's centre next and then its turn, positive counter-clockwise.
fn trace(calls: &str) -> Trace {
    let mut t = Trace { ends: Vec::new(), length: 0.0, beam_wrong: false, on_at_end: false };
    let mut at = pt(0.0, 0.0);
    for line in calls.lines() {
        let call = line.trim_start_matches(|c: char| c == ' ' || c == '.' || c == 'N' || c.is_ascii_digit());
        let Some((name, rest)) = call.split_once('(') else { continue };
        let n: Vec<f64> = rest.trim_end_matches(')').split(',').filter_map(|n| n.trim().parse().ok()).collect();
        match name {
            "START_SPINDLE_CLOCKWISE" => t.on_at_end = true,
            "STOP_SPINDLE_TURNING" => t.on_at_end = false,
            "STRAIGHT_TRAVERSE" => {
                t.beam_wrong |= t.on_at_end && at.distance(pt(n[0], n[1])) > 1e-9;
                at = pt(n[0], n[1]);
            }
            "STRAIGHT_FEED" | "ARC_FEED" => {
                let end = pt(n[0], n[1]);
                if name == "STRAIGHT_FEED" {
                    t.length += at.distance(end);
                } else {
                    let (center, turn) = (pt(n[2], n[3]), n[4]);
                    let angle = ((end - center).heading() - (at - center).heading()) * turn.signum();
                    let angle = angle.rem_euclid(std::f64::consts::TAU);
                    t.length += angle * center.distance(end);
                }
                t.beam_wrong |= !t.on_at_end;
                if t.ends.last() != Some(&at) {
                    t.ends.push(at);
                }
                t.ends.push(end);
                at = end;
            }
            _ => {}
        }
    }
    t
}

#[test]
fn the_traced_path_is_the_kerf_moved_sheet() {
    let profile = plain_beam();
    let origin = pt(10.0, 20.0);
    // Four decimals in the file, four in the interpreter's answer.
    let close = 2e-4;
    for (name, text) in [
        ("tideline-folio", include_str!("../samples/tideline-folio.toml")),
        ("rockpool-folder", include_str!("../samples/rockpool-folder.toml")),
        ("dulse-atlas", include_str!("../samples/dulse-atlas.toml")),
    ] {
        let job = job::read(&Source { name: name.into(), text: text.into() }).0.unwrap();
        let pieces = design(&job).0.pieces;
        for sheet in nest(&pieces, &job).0 {
            let mut ops = operations(&sheet.clone().into(), &pieces);
            // A pocket is filled with lines that are not on the sheet.
            ops.operations.retain(|o| o.kind != OperationKind::HalfDepthPocket);
            let moved: Vec<Stroke> = ops
                .operations
                .iter()
                .map(|o| {
                    kerf_moved(o, if o.kind == OperationKind::ThroughCut { mm(0.2) } else { Length::ZERO }).unwrap()
                })
                .collect();
            let (program, said) = build(&ops, &profile);
            let program = program.unwrap_or_else(|| panic!("{said:#?}"));
            let files = write(&program, &profile, &job.title).0;
            let Some(answer) = run_rs274(std::str::from_utf8(&files[0].bytes).unwrap()) else { return };
            let traced = trace(&answer.unwrap());
            assert!(!traced.beam_wrong && !traced.on_at_end, "{name} {}: the beam", sheet.id);

            let length: f64 = moved.iter().map(Stroke::length).sum();
            let count: usize = moved.iter().map(|s| s.segments().len()).sum();
            assert!(
                (traced.length - length).abs() < close * count as f64,
                "{name} {}: traced {} mm of {length}",
                sheet.id,
                traced.length
            );
            for end in &traced.ends {
                let away = moved
                    .iter()
                    .filter(|s| s.bounds().grown(1.0).contains(s.bounds().with(*end - origin), 0.0))
                    .flat_map(Stroke::segments)
                    .map(|s| s.distance_to(*end - origin))
                    .fold(f64::INFINITY, f64::min);
                assert!(away < close, "{name} {}: {end:?} is {away} mm off every contour", sheet.id);
            }
            for stroke in &moved {
                for v in stroke.segments() {
                    let nearest = traced.ends.iter().map(|e| e.distance(v.end + origin)).fold(f64::INFINITY, f64::min);
                    assert!(nearest < close, "{name} {}: corner {:?} is never reached ({nearest})", sheet.id, v.end);
                }
            }
        }
    }
}

#[test]
fn a_program_that_leaves_out_a_corner_is_noticed() {
    // The comparison itself: a square of which one side is cut across.
    let whole = trace("1 N1 START_SPINDLE_CLOCKWISE(0)\n2 N2 STRAIGHT_FEED(10, 0, 0)\n3 N3 STRAIGHT_FEED(10, 10, 0)\n");
    let cut = trace("1 N1 START_SPINDLE_CLOCKWISE(0)\n2 N2 STRAIGHT_FEED(10, 10, 0)\n");
    assert!((whole.length - 20.0).abs() < 1e-12 && (cut.length - 200f64.sqrt()).abs() < 1e-12);
    assert_eq!((whole.ends.len(), cut.ends.len()), (3, 2));
    let arc =
        trace("1 N1 STRAIGHT_TRAVERSE(5, 0, 0)\n2 N2 START_SPINDLE_CLOCKWISE(0)\n3 N3 ARC_FEED(-5, 0, 0, 0, 1, 0)\n");
    assert!((arc.length - 5.0 * std::f64::consts::PI).abs() < 1e-12);
}
