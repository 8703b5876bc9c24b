//! A blade that swivels freely: its tip trails the pivot by d. Without side-slip
//! `d(theta)/ds = sin(alpha - theta)/d`, theta the blade's heading and alpha the pivot's.
//!
//! On a line that is exact: `tan((theta - alpha)/2)` falls as `exp(-s/d)`. On an arc the equation
//! is integrated (classical Runge-Kutta) in steps of an eighth of d and a twentieth of a radian at
//! most, which keeps the tip within a nanometre; once it runs on a line or an arc but for [`STRAY`],
//! it is taken to.

use crate::geom::{Point, Segment};

/// A tip that strays less than this, mm, from a line or an arc runs on it: what a program's own
/// rounding to four decimals does to it, and five hundred times less than is looked for.
const STRAY: f64 = 2e-4;
/// The most steps over one segment.
const MOST_STEPS: f64 = 20_000.0;

/// The heading, radians, after the pivot has gone `length` mm along a line of heading `along`.
fn after_line(heading: f64, along: f64, length: f64, d: f64) -> f64 {
    let off = (heading - along + std::f64::consts::PI).rem_euclid(std::f64::consts::TAU) - std::f64::consts::PI;
    let turned = 2.0 * ((off / 2.0).tan() * (-length / d).exp()).atan();
    heading - off + turned
}

/// How far the tip at the start of an arc lies from the arc's middle, mm, less how far it should.
fn swivels(way: &Segment, off: f64, d: f64) -> f64 {
    let Some(centre) = way.center() else { return f64::INFINITY };
    let tip = way.start - Point::unit(way.start_heading() - off) * d;
    // Nearer to the middle than this it stands still, whatever it does there.
    tip.distance(centre)
}

/// Where the tip goes while the pivot goes along `way`; `heading` in radians is moved on. `emit` gets
/// a stretch of the tip's way, the shares of `way` at its ends, and by how much the blade has turned
/// since the start of `way`, radians.
pub(super) fn drag(way: &Segment, heading: &mut f64, d: f64, mut emit: impl FnMut(Segment, f64, f64, f64)) {
    let length = way.length();
    let tip = |share: f64, heading: f64| way.point_at(share) - Point::unit(heading) * d;
    if d < 1e-9 || length < 1e-12 {
        let from = *heading;
        if length >= 1e-12 {
            *heading = way.end_heading();
        }
        emit(*way, 0.0, 1.0, *heading - from);
        return;
    }
    let start_off = way.start_heading() - *heading;
    let before = *heading;
    let is_aligned = |off: f64| off.cos() > 0.0 && d * off.sin().abs() < STRAY;
    if way.is_line() && is_aligned(start_off) {
        let start = tip(0.0, *heading);
        *heading = after_line(*heading, way.start_heading(), length, d);
        emit(Segment::line(start, tip(1.0, *heading)), 0.0, 1.0, *heading - before);
        return;
    }
    let sweep = way.sweep();
    let n = (length / (d / 8.0)).max(sweep.abs() / 0.05).max(4.0).ceil().min(MOST_STEPS) as usize;
    let h = length / n as f64;
    // On an arc on which the blade keeps its angle to the way, the tip runs a concentric arc.
    if !way.is_line() {
        let steady = d * sweep / length;
        // Beside a swivel's quarter turn the sine hardly tells: the tip's own place does.
        let stray = if steady.abs() < 0.9 { d * (start_off.sin() - steady).abs() } else { swivels(way, start_off, d) };
        if start_off.cos() > -1e-3 && stray < STRAY {
            let start = tip(0.0, *heading);
            *heading += sweep;
            emit(Segment { start, end: tip(1.0, *heading), bulge: way.bulge }, 0.0, 1.0, sweep);
            return;
        }
    }
    let mut from = tip(0.0, *heading);
    let mut at = 0.0;
    for i in 0..n {
        let s = i as f64 * h;
        *heading = if way.is_line() {
            after_line(*heading, way.start_heading(), h, d)
        } else {
            let along = |s: f64| way.start_heading() + sweep * s / length;
            let rate = |s: f64, theta: f64| (along(s) - theta).sin() / d;
            let k1 = rate(s, *heading);
            let k2 = rate(s + h / 2.0, *heading + h / 2.0 * k1);
            let k3 = rate(s + h / 2.0, *heading + h / 2.0 * k2);
            let k4 = rate(s + h, *heading + h * k3);
            *heading + h / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4)
        };
        let share = (i + 1) as f64 / n as f64;
        let to = tip(share, *heading);
        let aligned = way.is_line() && is_aligned(way.start_heading() - *heading);
        if aligned && i + 1 < n {
            // The rest is straight.
            *heading = after_line(*heading, way.start_heading(), length * (1.0 - share), d);
            emit(Segment::line(from, tip(1.0, *heading)), at, 1.0, *heading - before);
            return;
        }
        if to.distance(from) > STRAY / 10.0 || i + 1 == n {
            emit(Segment::line(from, to), at, share, *heading - before);
            (from, at) = (to, share);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::pt;
    use std::f64::consts::{FRAC_PI_2, PI};

    fn tips(way: Segment, heading: &mut f64, d: f64) -> Vec<Segment> {
        let mut all = Vec::new();
        drag(&way, heading, d, |s, _, _, _| all.push(s));
        all
    }

    #[test]
    fn a_blade_swings_in_as_the_closed_form_says() {
        // Derived: run-in s = d ln(tan(e0/2)/tan(e1/2)); 90 to 1 degree takes 4.74 d.
        let d = 0.5;
        let s = d * (1.0 / (PI / 360.0).tan()).ln();
        assert!((s / d - 4.741).abs() < 1e-3);
        let left = after_line(FRAC_PI_2, 0.0, s, d);
        assert!((left.to_degrees() - 1.0).abs() < 1e-9);
        let mut heading = FRAC_PI_2;
        tips(Segment::line(pt(0.0, 0.0), pt(s, 0.0)), &mut heading, d);
        assert!((heading.to_degrees() - 1.0).abs() < 1e-6);
        assert!((after_line(PI, 0.0, 2.0 * d, d).cos() + 1.0).abs() < 1e-6, "against the way it does not turn");
    }

    #[test]
    fn at_a_swivel_the_tip_stands_still() {
        // The pivot runs an arc of radius d about the corner; the tip stays (derived; checked to
        // 0.001 mm at d = 3 there, and here to a nanometre).
        let mut heading = 0.0;
        let arc = Segment { start: pt(3.0, 0.0), end: pt(0.0, 3.0), bulge: (PI / 8.0).tan() };
        for s in tips(arc, &mut heading, 3.0) {
            assert!(s.start.length() < 1e-6 && s.end.length() < 1e-6, "{s:?}");
        }
        assert!((heading - FRAC_PI_2).abs() < 1e-6);
    }

    #[test]
    fn on_an_arc_the_tip_runs_a_smaller_one() {
        // Uncompensated, the tip's radius is sqrt(R^2 - d^2) once it has settled (derived).
        let (r, d) = (10.0, 3.0);
        let mut heading = FRAC_PI_2;
        let half = |from: f64| Segment { start: pt(r * from, 0.0), end: pt(-r * from, 0.0), bulge: 1.0 };
        for _ in 0..6 {
            tips(half(1.0), &mut heading, d);
            tips(half(-1.0), &mut heading, d);
        }
        let last = tips(half(1.0), &mut heading, d);
        let radius = last.last().map_or(0.0, |s| s.end.length());
        assert!((radius - (r * r - d * d).sqrt()).abs() < STRAY, "{radius}");
    }

    #[test]
    fn a_corner_without_compensation_misses_it_by_the_offset() {
        let mut heading = 0.0;
        tips(Segment::line(pt(0.0, 0.0), pt(20.0, 0.0)), &mut heading, 3.0);
        let after = tips(Segment::line(pt(20.0, 0.0), pt(20.0, 40.0)), &mut heading, 3.0);
        let corner = pt(20.0, 0.0);
        let nearest = after.iter().map(|s| s.distance_to(corner)).fold(f64::INFINITY, f64::min);
        assert!(nearest > 1.0 && nearest < 3.0, "{nearest}");
    }
}
