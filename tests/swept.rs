//! What the proof says a tool cuts, against opinions that share nothing with it: discs swept by
//! shapely, and a trailing blade drawn along step by step.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;

use common::proof::{Files, export};
use common::references::python;
use flapwright::diag::Source;
use flapwright::geom::{Contour, Point, Segment, pt};
use flapwright::profile::{self, OperationKind, Profile, ToolKind, ZZero};
use flapwright::verify::grid::Grid;
use flapwright::verify::nominal::Nominal;
use flapwright::verify::physics::sweep::{Asked, left};
use flapwright::verify::physics::{Driven, follow, ways};
use flapwright::verify::read::manifest::{self, Manifest};
use flapwright::verify::read::{Expectation, Kind, Move, program};
use serde_json::{Value, json};
use std::f64::consts::PI;

/// A program of an exported folder, followed.
struct Followed {
    profile: Profile,
    nominal: Nominal,
    moves: Vec<Move>,
    driven: Driven,
}

fn followed(files: &Files, file: &str) -> Followed {
    let manifest: Manifest = manifest::read(&files["manifest.json"]).unwrap();
    let of = manifest.programs.iter().find(|p| p.file == file).unwrap();
    let text = String::from_utf8(files[&format!("{}.profile.toml", of.machine)].clone()).unwrap();
    let (profile, _) = profile::read(&Source { name: "profile".into(), text }, &of.machine);
    let profile = profile.unwrap();
    let sheet = manifest.sheets.iter().find(|s| s.id == of.sheet).unwrap();
    let [x, y] = profile.machine.origin;
    let nominal = Nominal::of_manifest(&manifest, sheet, pt(x.to_mm(), y.to_mm())).unwrap();
    let first = of.tool.split(',').next().unwrap().trim();
    let first_tool = profile.tools.iter().position(|t| t.id == first).unwrap() as u16;
    let (title, sheet) = (manifest.title.as_str(), of.sheet.as_str());
    let expect = Expectation { profile: &profile, first_tool, sheet, title, safe_z: 0.0 };
    let moves = program(&files[file], &expect).moves;
    let driven = follow(&moves, &profile, nominal.stock, nominal.thickness, first_tool);
    Followed { profile, nominal, moves, driven }
}

fn points(line: impl IntoIterator<Item = Point>) -> Value {
    line.into_iter().map(|p| json!([p.x, p.y])).collect()
}

/// How far chords stray from arcs in what is handed over, mm.
const FINE: f64 = 1e-4;
/// The same in the sweep under test, and how far its chords of a disc lie inside it, mm.
const CHORD: f64 = 1e-3;
const ROUND: f64 = 2.5e-4;

/// Source: shapely (GEOS): buffers of the same ways with 64 chords a quarter, taken from the piece.
#[test]
fn areas_swept_agree_with_shapely() {
    let mut cases = Vec::new();
    let mut told = Vec::new();
    for (sample, machine) in
        [("tideline-folio", "shared-laser-cutter"), ("tideline-folio", "small-router"), ("whelk-box", "small-router")]
    {
        let files = export(sample, &[machine], &format!("swept-{sample}-{machine}"));
        let f = followed(&files, &format!("board-1.{machine}.nc"));
        // A letter drawn by the beam parts nothing.
        let cuts = f.profile.rules.iter().enumerate().filter(|(_, r)| r.operation == OperationKind::ThroughCut);
        let cuts = cuts.fold(0u64, |bits, (i, _)| bits | 1 << i);
        let of_cuts = f.driven.traces.iter().filter(|t| t.rules & cuts != 0);
        let through: Vec<(Segment, f64)> = of_cuts
            .filter_map(|t| t.reaching(f.nominal.thickness - 1e-3).filter(|w| w.length() > 1e-6).map(|w| (w, t.radius)))
            .collect();
        let radius = through.iter().map(|w| w.1).fold(0.0, f64::max);
        assert!(radius > 0.05);
        for piece in &f.nominal.pieces {
            let around = piece.bounds.grown(3.0 * radius + 1.0);
            let near = |w: &&(Segment, f64)| w.1 > 0.0 && around.overlaps(w.0.bounds().grown(1e-3), 0.0);
            let ways: Vec<Segment> = through.iter().filter(near).map(|w| w.0).collect();
            let ours =
                left(&Asked { outline: &piece.outline, holes: &piece.holes, slits: &[] }, &ways, radius, 0.0).unwrap();
            let rings: Vec<Value> = piece.holes.iter().map(|h| points(h.flatten(FINE))).collect();
            let lines: Vec<Value> =
                ways.iter().map(|w| points(std::iter::once(w.start).chain(w.flatten(FINE)))).collect();
            cases.push(json!({"outline": points(piece.outline.flatten(FINE)), "holes": rings, "ways": lines,
                "radius": radius}));
            // Chords lie within CHORD of the arcs of the piece and of the ways. A swath's round ends are
            // chords too, and where a way goes on almost straight each end may lose an eighth of CHORD
            // of the line's length.
            let arcs = |c: &Contour| c.segments().filter(|s| !s.is_line()).map(|s| s.length()).sum::<f64>();
            let of_arcs = arcs(&piece.outline)
                + piece.holes.iter().map(arcs).sum::<f64>()
                + ways.iter().filter(|w| !w.is_line()).map(Segment::length).sum::<f64>();
            let narrow: f64 = ways.iter().map(|w| w.length() * CHORD / 4.0 + 2.0 * PI * radius * ROUND).sum();
            told.push((
                format!("{} by {machine}", piece.name),
                ours,
                of_arcs * CHORD + narrow,
                piece.outline.length() * radius,
            ));
        }
    }
    let Some(answers) = python("swept.py", &[], &Value::Array(cases)) else { return };
    let mut worst = 0.0f64;
    for (answer, (name, ours, bound, forgotten)) in answers.as_array().unwrap().iter().zip(&told) {
        let theirs = answer["left"].as_f64().unwrap();
        let apart = (theirs - ours.left).abs();
        assert!(apart <= bound + 1e-6, "{name}: {theirs} mm2 by shapely, {} by ours, {bound} allowed", ours.left);
        assert!((answer["nominal"].as_f64().unwrap() - ours.nominal).abs() <= bound + 1e-6, "{name}");
        // It must be able to tell a kerf that was forgotten: a fiftieth of its area.
        assert!(*bound < 0.02 * forgotten, "{name}: {bound} of {forgotten}");
        worst = worst.max(apart);
    }
    println!("{} pieces, areas at most {worst:.3} mm2 apart", told.len());
    assert!(told.len() > 10);
}

/// How far the pivot goes at once, mm.
const STEP: f64 = 0.005;

/// Source: a tip on a rod is pulled straight towards the pivot (the tractrix, drawn step by step in
/// `trailing.py`). A step errs by at most h^2 / 2d^2 in the heading and the error dies away over d,
/// so the tip is within h / 2 of the true one; twice that is let pass.
#[test]
fn a_trailing_tip_goes_where_it_is_drawn_step_by_step() {
    let files = export("whelk-box", &["drag-knife-table"], "trailing");
    for file in ["board-1.drag-knife-table.nc", "cloth-1.drag-knife-table.nc"] {
        let f = followed(&files, file);
        let top = if f.profile.machine.z_zero == ZZero::Bed { f.nominal.thickness } else { 0.0 };
        // The way of each drag knife while it is down; its heading stays while it is up.
        let mut tool = f.driven.traces.first().unwrap().tool;
        let mut runs: Vec<(u16, Vec<Point>)> = Vec::new();
        let mut is_down = false;
        for m in &f.moves {
            match m.kind {
                Kind::Change(to) => (tool, is_down) = (to, false),
                Kind::Rapid | Kind::Line | Kind::Arc { .. } if m.from.z.min(m.to.z) < top - 1e-3 => {
                    if !is_down {
                        runs.push((tool, vec![m.from.xy()]));
                    }
                    is_down = true;
                    if m.goes_sideways() {
                        runs.last_mut().unwrap().1.extend(m.segment().flatten(FINE));
                    }
                }
                Kind::Rapid | Kind::Line | Kind::Arc { .. } => is_down = false,
                _ => {}
            }
        }
        let knife = |t: u16| f.profile.tools[usize::from(t)].kind == ToolKind::DragKnife;
        runs.retain(|r| knife(r.0) && r.1.len() > 1);
        assert!(runs.len() > 5, "{file}");
        let used = runs[0].0;
        assert!(runs.iter().all(|r| r.0 == used), "one knife");
        let knife = &f.profile.tools[usize::from(used)];
        let input = json!({"offset": knife.pivot_offset.to_mm(), "heading": knife.start_heading.to_rad(), "step": STEP,
            "runs": runs.iter().map(|r| points(r.1.iter().copied())).collect::<Vec<_>>()});
        let Some(tips) = python("trailing.py", &[], &input) else { return };
        let traces: Vec<_> = f.driven.traces.iter().filter(|t| t.tool == used).copied().collect();
        let segments = ways(&traces);
        let grid = Grid::new(&segments, 1.0);
        let (mut worst, mut count) = (0.0f64, 0);
        for tip in tips.as_array().unwrap() {
            let n: Vec<f64> = tip.as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect();
            let (_, off) = grid.nearest(&segments, pt(n[0], n[1]), 5.0).unwrap_or_else(|| panic!("{file}: {n:?}"));
            assert!(off <= STEP, "{file}: the tip drawn at {n:?} lies {off} mm off");
            worst = worst.max(off);
            count += 1;
        }
        println!("{file}: {count} places of the tip, at most {worst:.4} mm apart");
        assert!(count > 5000, "{count}");
    }
}
