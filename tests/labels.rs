//! Labels on thousands of random jobs: inside their piece and clear of all that is worked on it,
//! measured here and not by the program's own geometry.

#![allow(clippy::panic, reason = "a property that fails stops there")]

use crate::common::random_job;

use flapwright::design::{Piece, design};
use flapwright::diag::Source;
use flapwright::geom::{Contour, Path, Stroke};
use flapwright::job;
use geo::{Contains, Coord, LineString, Polygon};
use random_job::RandomJob;

/// What a label keeps from every line, mm, less a hair for the chords of arcs.
const CLEAR: f64 = 1.99;

type Line = [[f64; 2]; 2];

/// A line or arc by its bulge as chords of a degree or two: `b = tan(sweep / 4)`.
fn chords(vertices: &[flapwright::geom::Vertex], closed: bool) -> Vec<Line> {
    let mut lines = Vec::new();
    let n = vertices.len();
    for i in 0..if closed { n } else { n.saturating_sub(1) } {
        let (a, b) = (vertices[i], vertices[(i + 1) % n]);
        let steps = if a.bulge.abs() < 1e-12 { 1 } else { 180 };
        let at = |k: usize| {
            let share = k as f64 / f64::from(steps as u32);
            if a.bulge.abs() < 1e-12 {
                return [a.x + (b.x - a.x) * share, a.y + (b.y - a.y) * share];
            }
            // The centre lies on the chord's bisector, (1 - b2) / 4b of the chord to the left.
            let off = (1.0 - a.bulge * a.bulge) / (4.0 * a.bulge);
            let (cx, cy) = ((a.x + b.x) / 2.0 - (b.y - a.y) * off, (a.y + b.y) / 2.0 + (b.x - a.x) * off);
            let (sin, cos) = (4.0 * a.bulge.atan() * share).sin_cos();
            [cx + (a.x - cx) * cos - (a.y - cy) * sin, cy + (a.x - cx) * sin + (a.y - cy) * cos]
        };
        lines.extend((0..steps).map(|k| [at(k), at(k + 1)]));
    }
    lines
}

fn polygon(c: &Contour) -> Polygon<f64> {
    let ring = chords(c.vertices(), true).iter().map(|l| Coord { x: l[0][0], y: l[0][1] }).collect();
    Polygon::new(LineString(ring), Vec::new())
}

fn to_line(p: [f64; 2], l: &Line) -> f64 {
    let [a, b] = *l;
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let long = dx * dx + dy * dy;
    let t = if long > 0.0 { (((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / long).clamp(0.0, 1.0) } else { 0.0 };
    (p[0] - a[0] - t * dx).hypot(p[1] - a[1] - t * dy)
}

/// Everything of the piece that a label must keep from; `own` are its marks without the label.
fn worked(piece: &Piece, own: &[Stroke]) -> Vec<Line> {
    let closed = |c: &Contour| chords(c.vertices(), true);
    let open = |p: &Path| chords(p.vertices(), false);
    let mut all = closed(&piece.outline);
    all.extend(piece.holes.iter().flat_map(closed));
    all.extend(piece.pockets.iter().flat_map(|p| closed(&p.outline)));
    all.extend(piece.slits.iter().chain(&piece.creases).flat_map(open));
    all.extend(own.iter().flat_map(|m| chords(m.vertices(), m.is_closed())));
    all
}

/// How far the label is from anything, and whether it lies in the piece.
fn check(piece: &Piece, own: &[Stroke], label: &[Stroke]) -> Result<(), String> {
    let outline = polygon(&piece.outline);
    let open: Vec<Polygon<f64>> =
        piece.holes.iter().chain(piece.pockets.iter().map(|p| &p.outline)).map(polygon).collect();
    // Only what comes near the label is measured.
    let reach = label.iter().fold(flapwright::geom::Bounds::EMPTY, |b, s| b.union(s.bounds())).grown(3.0);
    let mut lines = worked(piece, own);
    lines.retain(|[a, b]| {
        let apart = |i: usize, low: f64, high: f64| a[i].max(b[i]) < low || a[i].min(b[i]) > high;
        !apart(0, reach.min.x, reach.max.x) && !apart(1, reach.min.y, reach.max.y)
    });
    for l in label.iter().flat_map(|s| chords(s.vertices(), s.is_closed())) {
        for k in 0..=8 {
            let share = f64::from(k) / 8.0;
            let p = [l[0][0] + (l[1][0] - l[0][0]) * share, l[0][1] + (l[1][1] - l[0][1]) * share];
            let point = geo::Point::new(p[0], p[1]);
            if !outline.contains(&point) || open.iter().any(|h| h.contains(&point)) {
                return Err(format!("{p:?} is outside the piece, in a slot or in a pocket"));
            }
            if let Some(near) = lines.iter().find(|line| to_line(p, line) < CLEAR) {
                return Err(format!("{p:?} is {:.2} mm from {near:?}", to_line(p, near)));
            }
        }
    }
    Ok(())
}

fn read(text: &str) -> Option<job::Job> {
    job::read(&Source { name: "job.toml".into(), text: text.into() }).0
}

#[test]
fn a_label_lies_in_its_piece_clear_of_every_line() {
    let (mut labelled, mut bare, mut strokes) = (0, 0, 0);
    for seed in 0..1400 {
        let text = RandomJob::new(seed).toml(1.0);
        let Some(mut job) = read(&text) else { continue };
        job.marks.labels = true;
        let with = design(&job).0;
        job.marks.labels = false;
        let without = design(&job).0;
        assert_eq!(with.pieces.len(), without.pieces.len());
        for (piece, plain) in with.pieces.iter().zip(&without.pieces) {
            let (own, label) = piece.marks.split_at(plain.marks.len());
            if label.is_empty() {
                bare += 1;
                continue;
            }
            labelled += 1;
            strokes += label.len();
            if let Err(why) = check(piece, own, label) {
                panic!("seed {seed}, {}: {why}\n{text}", piece.id);
            }
        }
    }
    assert!(labelled > 4_200, "only {labelled} labels were looked at, {bare} pieces went without");
    assert!(labelled > bare, "{bare} pieces without a label, {labelled} with one");
    assert!(strokes < 30 * labelled, "{strokes} strokes for {labelled} labels: letters in too many pieces");
}

#[test]
fn a_label_across_an_edge_would_be_seen() {
    let Some(job) = read(include_str!("../samples/rockpool-folder.toml")) else { panic!("a sample is read") };
    let made = design(&job).0;
    let piece = &made.pieces[0];
    let b = piece.outline.bounds();
    let edge = flapwright::geom::pt(b.max.x, b.center().y);
    let across = |from: f64, to: f64| {
        let at = |dx: f64| flapwright::geom::pt(edge.x + dx, edge.y);
        [Stroke::Open(Path::line(at(from), at(to)))]
    };
    assert!(check(piece, &[], &across(-5.0, 5.0)).is_err());
    assert!(check(piece, &[], &across(-4.0, -1.0)).is_err());
    assert!(check(piece, &[], &across(-8.0, -4.0)).is_ok());
}

#[test]
fn a_small_piece_has_a_shorter_label_and_one_without_is_named() {
    let text = "format = 1\ntitle = 'Coralline cards'\n[contents]\nwidth = 30\nheight = 42\ndepth = 8\n[board]\nthickness = 1.5\nsheet = { width = 700, height = 1000 }\n\
                [cloth]\nthickness = 0.3\n[liner]\nthickness = 0.2\n[flap.left]\ntier = 2\nreach = '95 %'\n\
                [flap.right]\ntier = 1\nreach = '60 %'\n";
    let Some(mut job) = read(text) else { panic!("it is read") };
    let (made, said) = design(&job);
    let bare = |p: &&Piece| p.marks.is_empty() && !p.id.contains("patch");
    let bare: Vec<&str> = made.pieces.iter().filter(bare).map(|p| p.id.as_str()).collect();
    let told: Vec<&str> = said.iter().filter(|d| d.code == "no-label").map(|d| d.message.as_str()).collect();
    // The lids have letters at least; walls 10 mm wide with a hinge's clearance may not.
    for lid in ["board-flap-left", "board-flap-right", "board-base"] {
        assert!(!bare.contains(&lid), "{bare:?}");
    }
    match bare.as_slice() {
        [] => assert!(told.is_empty(), "{told:?}"),
        bare => assert!(told.len() == 1 && bare.iter().all(|id| told[0].contains(id)), "{bare:?}: {told:?}"),
    }
    job.marks.labels = false;
    let plain = design(&job).1;
    assert!(plain.iter().all(|d| d.code != "no-label"));
}
