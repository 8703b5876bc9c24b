//! The deviations as a picture: each nominal line thin, the cut beside it as far off as it is, fifty
//! times enlarged; what is off by more than is let pass in red. A line at the top says so.
//!
//! These are no kinds of line (`write/style.rs`) but states of one, always on white, and each has a weight of its
//! own, which tells them apart without colour (our choice): asked 0.4, cut 0.8, off 1.6, not cut 4.

use super::compare::Sample;
use super::{Finding, ProgramProof};
use crate::drawing::{self, Anchor, Drawing, Faces, Mark, Pen, Rgb, Type};
use crate::geom::{Bounds, Contour, Path, Point, Stroke, Vertex, pt};
use crate::units::decimal;

/// By how much deviations are enlarged.
pub const ENLARGED: f64 = 50.0;
/// A deviation is drawn no longer than this, mm before it is enlarged.
const MOST: f64 = 0.4;
/// Between two programs, and round each, mm.
const GAP: f64 = 30.0;
/// How many findings of a program are listed under its picture.
const LISTED: usize = 12;
/// The height of the writing, mm.
const TEXT: f64 = 7.0;

/// What was asked, what is cut, what is off, what is not cut, and words of findings.
const ASKED: Rgb = [0x88; 3];
const CUT: Rgb = [0x00, 0x66, 0xcc];
const OFF: Rgb = [0xdd, 0x00, 0x00];
const GAPS: Rgb = [0xff, 0x77, 0xaa];
const NOTE: Rgb = [0x55; 3];

/// Stands in every such picture: by it one is known for ours, and may be drawn over.
pub const MARK: &str = "<!-- deviations, drawn by flapwright verify -->";

/// An SVG (1 unit = 1 mm) of every program that was compared, one below the other; `tolerance` is
/// what is let pass, mm.
pub fn svg(programs: &[ProgramProof], tolerance: f64) -> String {
    let shown: Vec<(&ProgramProof, Bounds)> = programs
        .iter()
        .filter_map(|p| {
            let samples = p.comparison.as_ref()?.samples.iter().flatten();
            let b = Bounds::of(samples.map(|s| s.place));
            (!b.is_empty()).then_some((p, b))
        })
        .collect();
    let listed = |p: &ProgramProof| p.findings.iter().filter(|f| f.is_error()).count().min(LISTED) as f64;
    let high = |(p, b): &(&ProgramProof, Bounds)| b.height() + (3.0 + 1.3 * listed(p)) * TEXT + 2.0 * GAP;
    let width = shown.iter().map(|s| s.1.width()).fold(420.0, f64::max) + 2.0 * GAP;
    let height = GAP + if shown.is_empty() { 0.0 } else { TEXT } + shown.iter().map(high).sum::<f64>();
    let mut drawing = Drawing::new(width, height.max(60.0));
    let faces = Faces::new();
    let mut top = drawing.height - GAP;
    if !shown.is_empty() {
        let legend = format!(
            "grey: what was asked; blue: what is cut, its deviation {ENLARGED} times enlarged; red: off by more than {} mm; pink: not cut",
            decimal(tolerance, 2)
        );
        drawing.text(&faces, pt(GAP, top), Anchor::Left, Type::new(TEXT).color(NOTE), &legend);
        top -= TEXT;
    }
    for one in &shown {
        panel(&mut drawing, &faces, one.0, one.1, top - 2.5 * TEXT, tolerance);
        top -= high(one);
    }
    String::from_utf8_lossy(&drawing::svg(&drawing)).replacen(">\n", &format!(">\n{MARK}\n"), 1)
}

/// One program below `top`.
fn panel(drawing: &mut Drawing, faces: &Faces, p: &ProgramProof, b: Bounds, top: f64, tolerance: f64) {
    let corner = pt(GAP - b.min.x, top - GAP - b.max.y);
    let Some(c) = &p.comparison else { return };
    let largest = c.deviation.as_ref().map_or("-".into(), |w| decimal(w.value, 3));
    let title =
        format!("{} \u{2014} deviations x {ENLARGED}; largest {largest} mm, mean {} mm", p.file, decimal(c.mean, 4));
    drawing.text(faces, pt(GAP, top + TEXT), Anchor::Left, Type::new(TEXT), &title);
    let mut lines: [Vec<Vec<Point>>; 4] = Default::default();
    for line in &c.samples {
        let line = thinned(line);
        let mut last = usize::MAX;
        lines[1].push(line.iter().map(|s| s.place).collect());
        for pair in line.windows(2) {
            let [a, s] = pair else { continue };
            let (Some(da), Some(ds)) = (a.deviation, s.deviation) else {
                lines[0].push(vec![a.place, s.place]);
                last = 0;
                continue;
            };
            let off = |q: &Sample, d: f64| q.place + q.normal * (d.clamp(-MOST, MOST) * ENLARGED);
            let which = if da.abs().max(ds.abs()) > tolerance { 3 } else { 2 };
            if last != which {
                lines[which].push(vec![off(a, da)]);
            }
            if let Some(way) = lines[which].last_mut() {
                way.push(off(s, ds));
            }
            last = which;
        }
    }
    for (ways, (color, width)) in lines.into_iter().zip([(GAPS, 4.0), (ASKED, 0.4), (CUT, 0.8), (OFF, 1.6)]) {
        let drawn = |way: &Vec<Point>| {
            (way.len() > 1).then(|| Stroke::Open(Path::new(way.iter().map(|p| Vertex::new(*p + corner, 0.0)))))
        };
        let strokes: Vec<Stroke> = ways.iter().filter_map(drawn).collect();
        if !strokes.is_empty() {
            drawing.items.push(Mark::Lines { strokes, fill: None, pen: Some(Pen::solid(color, width)) });
        }
    }
    for (n, f) in p.findings.iter().filter(|f| f.is_error()).take(LISTED).enumerate() {
        finding(drawing, faces, n, f, corner, top - b.height());
    }
}

/// Without the points that a straight line goes through anyway.
fn thinned(line: &[Sample]) -> Vec<Sample> {
    let same = |a: &Sample, b: &Sample| {
        let alike = match (a.deviation, b.deviation) {
            (Some(a), Some(b)) => (a - b).abs() < 2e-3,
            (None, None) => true,
            _ => false,
        };
        alike && a.normal.distance(b.normal) < 1e-3
    };
    let mut kept: Vec<Sample> = Vec::new();
    for (i, s) in line.iter().enumerate() {
        let plain = kept.last().is_some_and(|k| same(k, s)) && line.get(i + 1).is_some_and(|n| same(s, n));
        if !plain {
            kept.push(*s);
        }
    }
    kept
}

fn finding(drawing: &mut Drawing, faces: &Faces, n: usize, f: &Finding, corner: Point, below: f64) {
    let y = below - 1.5 * GAP - 1.3 * TEXT * (n as f64 + 1.0);
    let text: String = f.message.chars().take(110).collect();
    let kind = Type::new(TEXT).color(OFF);
    drawing.text(faces, pt(GAP, y), Anchor::Left, kind, &format!("{} {}: {text}", n + 1, f.code));
    let Some(p) = f.place.filter(|p| p.x.is_finite() && p.y.is_finite()) else { return };
    let at = p + corner;
    drawing.shape(vec![Contour::circle(at, 5.0)], None, Some(Pen::solid(OFF, 1.0)));
    drawing.text(faces, at + pt(6.0, 0.0), Anchor::Left, kind, &(n + 1).to_string());
}
