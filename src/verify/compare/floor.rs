//! The floor of a pocket: as deep as asked, and nothing left standing on it.

use super::{Bench, CELL, Comparison, DEPTH_SLACK};
use crate::geom::{Contour, Point, Segment, Stroke, pt};
use crate::profile::{OperationKind, Rule, Tool, ToolKind};
use crate::units::decimal;
use crate::verify::grid::Grid;
use crate::verify::nominal::{Class, Wanted};
use crate::verify::{Finding, Many};

/// The most points of a floor that are looked at.
const MOST: f64 = 20_000.0;
/// What a blade's hatch lines keep from the outline at least, mm.
const INSET: f64 = 0.1;

pub(super) fn pockets(bench: &Bench<'_>, all: &mut Comparison, out: &mut Many) {
    // A pocket may open into a cut, whose depth is another matter.
    let cuts = bench.nominal.lines.iter().filter(|w| w.class.kind() == OperationKind::ThroughCut);
    let cuts: Vec<Segment> = cuts.flat_map(|w| w.stroke.segments()).collect();
    let cut_grid = Grid::new(&cuts, CELL);
    let is_of_a_cut = |p: Point, within: f64| cut_grid.nearest(&cuts, p, within).is_some();
    for (_, line) in bench.lines().filter(|(_, w)| w.class == Class::Pocket) {
        let (rules, Some((rule, tool))) = bench.rules_for(OperationKind::HalfDepthPocket) else { continue };
        if let Stroke::Closed(contour) = &line.stroke {
            depth(bench, line, contour, rules, &is_of_a_cut, all, out);
            ridges(bench, line, contour, (rules, rule, tool), all, out);
        }
    }
}

/// How deep the tool went within the pocket at the deepest.
fn depth(
    bench: &Bench<'_>,
    line: &Wanted,
    contour: &Contour,
    rules: u64,
    is_of_a_cut: &impl Fn(Point, f64) -> bool,
    all: &mut Comparison,
    out: &mut Many,
) {
    let tolerance = bench.tolerance();
    let mut deepest: Option<(f64, u32, Point)> = None;
    let bounds = contour.bounds();
    let reach = bounds.width().max(bounds.height()) / 2.0;
    let mut seen = Vec::new();
    bench.grid.near(bounds.center(), reach, |i| seen.push(i));
    seen.sort_unstable();
    seen.dedup();
    for i in seen {
        let t = &bench.traces[i as usize];
        let middle = t.way.point_at(0.5);
        let outside = !contour.contains(middle) && contour.distance_to(middle) > tolerance;
        if t.rules & rules == 0 || t.by_words || t.is_edge || outside || is_of_a_cut(middle, t.radius + tolerance) {
            continue;
        }
        let d = t.depth.0.max(t.depth.1);
        // What is through is another line's.
        if d < bench.nominal.thickness - DEPTH_SLACK && deepest.is_none_or(|b| d > b.0) {
            deepest = Some((d, t.line, middle));
        }
    }
    let Some((d, at, place)) = deepest else { return };
    let (low, high) = all.pocket_depth.unwrap_or((d, d));
    all.pocket_depth = Some((low.min(d), high.max(d)));
    let by_depth_alone = (d - line.depth).abs();
    if by_depth_alone > tolerance.min(line.depth / 5.0) {
        let message = format!("{} is {} mm deep, {} mm is asked", line.name, decimal(d, 2), decimal(line.depth, 2));
        out.push(
            Finding::at("pocket-depth", at, message)
                .on(place)
                .of(line.of())
                .help("check the board's thickness, then export again"),
        );
    }
}

/// What stands on the floor: for a bit or beam anything out of its reach on all its ways; for a
/// blade, strips wider than the rule wants.
fn ridges(
    bench: &Bench<'_>,
    line: &Wanted,
    contour: &Contour,
    (rules, rule, tool): (u64, &Rule, &Tool),
    all: &mut Comparison,
    out: &mut Many,
) {
    let b = contour.bounds();
    let r = tool.kerf.to_mm() / 2.0;
    let hatch = rule.hatch.to_mm().max(rule.least_strip.to_mm());
    let blade = matches!(tool.kind, ToolKind::DragKnife | ToolKind::TangentialKnife);
    let most = if blade { hatch / 2.0 + (line.depth * tool.edge_angle.to_rad().tan()).max(INSET) } else { r };
    let step = (b.width() * b.height() / MOST).sqrt().max(if blade { 0.25 } else { (r / 2.0).max(0.05) });
    let (columns, rows) = ((b.width() / step) as usize, (b.height() / step) as usize);
    let mut worst: Option<(f64, Point)> = None;
    let mut bare = 0usize;
    for row in 0..rows {
        for column in 0..columns {
            let q = b.min + pt((column as f64 + 0.5) * step, (row as f64 + 0.5) * step);
            // Nearer to the edge than the tool's radius its corners are round, which is told there.
            if !contour.contains(q) || contour.distance_to(q) < r {
                continue;
            }
            // What a short look finds is the nearest; farther is looked only where it finds nothing, for a floor is
            // gone over in many lines.
            let nearest = |reach: f64| {
                let mut d = reach;
                bench.grid.near(q, reach, |i| {
                    let t = &bench.traces[i as usize];
                    if t.rules & rules != 0
                        && let Some(way) = t.reaching(line.depth - DEPTH_SLACK)
                    {
                        d = d.min(way.distance_to(q));
                    }
                });
                d
            };
            let near = nearest(most);
            let d = if near < most { near } else { nearest(most + 2.0) };
            let left = d - most;
            bare += usize::from(left > bench.tolerance() / 2.0);
            if worst.is_none_or(|w| left > w.0) {
                worst = Some((left, q));
            }
        }
    }
    let Some((left, place)) = worst else { return };
    let kept = if blade { (left + most).min(hatch) } else { left.max(0.0) };
    all.ridge = all.ridge.max(kept);
    if left > bench.tolerance() / 2.0 {
        let area = bare as f64 * step * step;
        let message = format!(
            "the floor of {} keeps {} mm2 standing, {} mm from the nearest cut",
            line.name,
            decimal(area, 1),
            decimal(left + most, 2)
        );
        out.push(Finding::new("pocket-floor", message).on(place).of(line.of()).help("a line of its hatch is missing"));
    }
}
