//! The deviations as a picture: each nominal line thin, the cut beside it as far off as it is, fifty
//! times enlarged; what is off by more than is let pass in red. A line at the top says so.
//!
//! These are no kinds of line (`write/style.rs`) but states of one, always on white, and each has a weight of its
//! own, which tells them apart without colour (our choice): asked 0.4, cut 0.8, off 1.6, not cut 4.

use super::compare::Sample;
use super::{Finding, ProgramProof};
use crate::geom::{Bounds, Point};
use crate::units::decimal;
use std::fmt::Write as _;

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
    let width = shown.iter().map(|s| s.1.width()).fold(420.0, f64::max) + 2.0 * GAP;
    let mut body = String::new();
    let mut y = GAP;
    if !shown.is_empty() {
        let legend = format!(
            "grey: what was asked; blue: what is cut, its deviation {ENLARGED} times enlarged; red: off by more than {} mm; pink: not cut",
            decimal(tolerance, 2)
        );
        let _ = writeln!(body, "<text x=\"{GAP}\" y=\"{}\" fill=\"#555\">{legend}</text>", decimal(y, 1));
        y += TEXT;
    }
    for (p, b) in &shown {
        panel(&mut body, p, *b, y + 2.5 * TEXT, tolerance);
        let listed = p.findings.iter().filter(|f| f.is_error()).count().min(LISTED);
        y += b.height() + (3.0 + 1.3 * listed as f64) * TEXT + 2.0 * GAP;
    }
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {w} {h}\" width=\"{w}mm\" height=\"{h}mm\">\n\
         <rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>\n<g fill=\"none\" stroke-linejoin=\"round\" \
         font-family=\"sans-serif\" font-size=\"{TEXT}\">\n{body}</g>\n</svg>\n",
        w = decimal(width, 1),
        h = decimal(y.max(60.0), 1)
    )
}

fn panel(out: &mut String, p: &ProgramProof, b: Bounds, top: f64, tolerance: f64) {
    let at = |q: Point| format!("{},{}", decimal(q.x - b.min.x + GAP, 2), decimal(b.max.y - q.y + top + GAP, 2));
    let Some(c) = &p.comparison else { return };
    let largest = c.deviation.as_ref().map_or("-".into(), |w| decimal(w.value, 3));
    let _ = writeln!(
        out,
        "<text x=\"{GAP}\" y=\"{}\" fill=\"#111\">{} &#8212; deviations x {ENLARGED}; largest {largest} mm, mean {} mm</text>",
        decimal(top - TEXT, 1),
        escaped(&p.file),
        decimal(c.mean, 4)
    );
    let mut paths = [String::new(), String::new(), String::new(), String::new()];
    for line in &c.samples {
        let line = thinned(line);
        let mut last = usize::MAX;
        for (i, pair) in line.windows(2).enumerate() {
            let [a, s] = pair else { continue };
            if i == 0 {
                let _ = write!(paths[1], "M{}", at(a.place));
            }
            let _ = write!(paths[1], "L{}", at(s.place));
            let (Some(da), Some(ds)) = (a.deviation, s.deviation) else {
                let _ = write!(paths[0], "M{}L{}", at(a.place), at(s.place));
                last = 0;
                continue;
            };
            let off = |q: &Sample, d: f64| at(q.place + q.normal * (d.clamp(-MOST, MOST) * ENLARGED));
            let which = if da.abs().max(ds.abs()) > tolerance { 3 } else { 2 };
            if last != which {
                let _ = write!(paths[which], "M{}", off(a, da));
            }
            let _ = write!(paths[which], "L{}", off(s, ds));
            last = which;
        }
    }
    let [gaps, lines, cuts, faults] = paths;
    for (d, colour, width) in
        [(&gaps, "#f7a", 4.0), (&lines, "#888", 0.4), (&cuts, "#06c", 0.8), (&faults, "#d00", 1.6)]
    {
        let _ = writeln!(out, "<path stroke=\"{colour}\" stroke-width=\"{width}\" d=\"{}\"/>", d.trim_end());
    }
    for (n, f) in p.findings.iter().filter(|f| f.is_error()).take(LISTED).enumerate() {
        finding(out, n, f, b, top);
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

fn finding(out: &mut String, n: usize, f: &Finding, b: Bounds, top: f64) {
    let y = top + b.height() + 1.5 * GAP + 1.3 * TEXT * (n as f64 + 1.0);
    let text: String = f.message.chars().take(110).collect();
    let _ = writeln!(
        out,
        "<text x=\"{GAP}\" y=\"{}\" fill=\"#d00\">{} {}: {}</text>",
        decimal(y, 1),
        n + 1,
        f.code,
        escaped(&text)
    );
    let Some(p) = f.place.filter(|p| p.x.is_finite() && p.y.is_finite()) else { return };
    let (x, y) = (p.x - b.min.x + GAP, b.max.y - p.y + top + GAP);
    let _ = writeln!(
        out,
        "<circle cx=\"{x}\" cy=\"{y}\" r=\"5\" stroke=\"#d00\"/><text x=\"{tx}\" y=\"{y}\" fill=\"#d00\">{}</text>",
        n + 1,
        x = decimal(x, 1),
        y = decimal(y, 1),
        tx = decimal(x + 6.0, 1),
    );
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}
