//! Parallel lines that fill a contour.

use super::pocket::across;
use crate::geom::{Contour, Segment, Vertex, pt};

/// Lines inside `outline`, `angle` radians counter-clockwise from +x, evenly spaced no wider than
/// `spacing` and half of that from its extremes; every second row runs back. The ends lie on the
/// outline. Row by row, each from where the last ended.
pub(super) fn rows(outline: &Contour, angle: f64, spacing: f64) -> Vec<Vec<Segment>> {
    let level = turned(outline, -angle);
    let bounds = level.bounds();
    if spacing <= 0.0 || bounds.is_empty() {
        return Vec::new();
    }
    let n = count(bounds.height(), spacing);
    let step = bounds.height() / n as f64;
    let row = |i: usize| {
        let y = bounds.min.y + (i as f64 + 0.5) * step;
        let line = |(a, b): (f64, f64)| Segment::line(pt(a, y).rotated(angle), pt(b, y).rotated(angle));
        let mut lines: Vec<Segment> = across(&level, y).into_iter().map(line).collect();
        if i % 2 == 1 {
            lines.reverse();
            lines.iter_mut().for_each(|l| *l = l.reversed());
        }
        lines
    };
    (0..n).map(row).filter(|r| !r.is_empty()).collect()
}

/// How far apart the lines of [`rows`] lie.
pub(super) fn apart(outline: &Contour, angle: f64, spacing: f64) -> f64 {
    let height = turned(outline, -angle).bounds().height();
    if spacing > 0.0 { height / count(height, spacing) as f64 } else { height }
}

fn turned(outline: &Contour, angle: f64) -> Contour {
    Contour::new(outline.vertices().iter().map(|v| Vertex::new(v.point().rotated(angle), v.bulge)))
}

/// How many rows fill this height.
fn count(height: f64, spacing: f64) -> usize {
    (height / spacing).ceil().clamp(1.0, 100_000.0) as usize
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_rows_of_a_turned_circle_fill_it() {
        for angle in [0.0, 90.0f64.to_radians(), 0.3, 2.0] {
            for spacing in [1.8, 1.35, 0.25] {
                let circle = Contour::circle(pt(80.0, 80.0), 13.0);
                let rows = rows(&circle, angle, spacing);
                let length: f64 = rows.iter().flatten().map(Segment::length).sum();
                let step = 26.0 / (26.0 / spacing).ceil();
                assert!((length * step - circle.area()).abs() < 10.0, "{angle} {spacing}: {} rows", rows.len());
            }
        }
    }
}
