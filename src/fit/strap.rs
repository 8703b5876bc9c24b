//! The strap: how long its elastic is cut, and where on the lids it lies.

use super::Solid;
use crate::assembly::{Assembly, Face, Space};
use crate::design::{Design, strap_lines};
use crate::diag::Diagnostic;
use crate::geom::{Point, Segment, intersections, pt};
use crate::job::{Job, Side, StrapAlong};
use crate::units::{Length, mm};
use serde::Serialize;
use std::f64::consts::PI;

/// Stretched less than this an elastic sags within a year; more, and it dents the edges and warps
/// the lid (from memory).
const SNUG: (f64, f64) = (0.03, 0.10);
/// A strap that runs alongside a lid's free edge nearer than this slips off it or dents it (common
/// practice, no source).
const NEAR: Length = mm(10.0);

/// The straps of a box.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StrapFigures {
    /// One or two, cut alike.
    pub count: u32,
    /// From slot to slot round the outside of the closed box, along the middle of the elastic.
    pub path: Length,
    /// What each is cut to at the job's stretch: the path unstretched, both tails, and at each end
    /// the way through the board.
    pub length: Length,
    /// The shortest and the longest that still hold snug without warping a lid.
    pub snug: (Length, Length),
}

/// The figures of the job's straps, round the closed box.
pub(super) fn figures(job: &Job, design: &Design) -> Option<StrapFigures> {
    let strap = job.strap?;
    let line = strap_lines(&strap, &design.measures).into_iter().next()?;
    let path = mm(length(&path(job, design, line), job.elastic.thickness.to_mm()));
    let cut = |stretch: f64| path / (1.0 + stretch) + (strap.tail + job.board.thickness) * 2.0;
    Some(StrapFigures { count: strap.count, path, length: cut(job.elastic.stretch), snug: (cut(SNUG.1), cut(SNUG.0)) })
}

/// Where a strap's inner face lies round the closed box, from slot to slot: points in the plane that it
/// runs in, u along it and z up, from the slot at the far end out, over the top and back. It is drawn tight
/// over walls, lids and cloth: the hull of what stands in that plane.
///
/// `line` is the strap's place across: x of a strap along the height, y of one along the width, mm.
pub fn path(job: &Job, design: &Design, line: f64) -> Vec<Point> {
    let Some(strap) = job.strap else { return Vec::new() };
    let m = &design.measures;
    let half_run = match strap.along {
        StrapAlong::Height => m.base_height.to_mm() / 2.0,
        StrapAlong::Width => m.base_width.to_mm() / 2.0,
    };
    let slot = half_run - strap.inset.to_mm();
    let mut points = section(&design.assembly, strap.along, line, job.elastic.width.to_mm() / 2.0);
    let floor = points.iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
    points.extend([pt(slot, floor), pt(-slot, floor)]);
    // The hull counter-clockwise, begun at the slot that a walk outwards along the bottom leaves from.
    let hull = hull(points);
    let start = hull.iter().position(|p| p.y <= floor + 1e-9 && p.x >= slot - 1e-9).unwrap_or(0);
    let round = (0..hull.len()).map(|i| hull[(start + i) % hull.len()]);
    let outside = round.filter(|p| p.y > floor + 1e-9 || p.x.abs() > slot + 1e-9);
    std::iter::once(pt(slot, floor)).chain(outside).chain([pt(-slot, floor)]).collect()
}

/// The way of the elastic's middle, half its thickness outside its inner face: every turn adds an arc of
/// that radius; from along the bottom on one side to along it on the other it turns once round (derived).
fn length(inner: &[Point], thickness: f64) -> f64 {
    let straight: f64 = inner.windows(2).map(|w| w[0].distance(w[1])).sum();
    straight + PI * thickness
}

/// What of the closed box stands in the strap's plane and half its width to either side.
pub(super) fn section(assembly: &Assembly, along: StrapAlong, line: f64, half: f64) -> Vec<Point> {
    let coordinates = |p: Space| match along {
        StrapAlong::Height => (p.x, pt(p.y, p.z)),
        StrapAlong::Width => (p.y, pt(p.x, p.z)),
    };
    let mut found = Vec::new();
    for (panel, place) in assembly.panels.iter().zip(assembly.closed()) {
        let outside = panel.level - panel.dressed(Face::Outside);
        let inside = panel.level + panel.thickness;
        for s in panel.outline.segments() {
            let points = s.flatten(0.05);
            let mut from = s.start;
            for to in points {
                for z in [outside, inside] {
                    let ((a, p), (b, q)) = (coordinates(place.at(from, z)), coordinates(place.at(to, z)));
                    found
                        .extend([(a, p), (b, q)].into_iter().filter(|(v, _)| (v - line).abs() <= half).map(|(_, p)| p));
                    for at in [line - half, line, line + half] {
                        if (a - at) * (b - at) < 0.0 {
                            found.push(p.lerp(q, (at - a) / (b - a)));
                        }
                    }
                }
                from = to;
            }
        }
    }
    found
}

/// The convex hull, counter-clockwise (Andrew's monotone chain, 1979).
pub(super) fn hull(mut points: Vec<Point>) -> Vec<Point> {
    points.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    points.dedup_by(|a, b| a.distance(*b) < 1e-9);
    let chain = |points: &mut dyn Iterator<Item = Point>| {
        let mut kept: Vec<Point> = Vec::new();
        for p in points {
            while let [.., a, b] = kept[..]
                && (b - a).cross(p - a) <= 1e-12
            {
                kept.pop();
            }
            kept.push(p);
        }
        kept.pop();
        kept
    };
    let mut lower = chain(&mut points.iter().copied());
    lower.extend(chain(&mut points.iter().rev().copied()));
    lower
}

/// A stretch at which the strap sags or warps, straps that lie too near a free edge of the top lid, and
/// straps that do not hold it.
pub(super) fn remarks(job: &Job, design: &Design, all: &[Solid]) -> Vec<Diagnostic> {
    let Some(strap) = job.strap else { return Vec::new() };
    let m = &design.measures;
    let mut said = Vec::new();
    let stretch = job.elastic.stretch;
    let percent = |s: f64| crate::units::decimal(s * 100.0, 1);
    if !(SNUG.0 - 1e-9..=SNUG.1 + 1e-9).contains(&stretch) {
        let what = if stretch < SNUG.0 { "will sag" } else { "dents the edges and may warp the top lid" };
        said.push(
            Diagnostic::warning("strap-stretch", format!("an elastic stretched by {} % {what}", percent(stretch)))
                .at("elastic.stretch")
                .help(format!("{} % to {} % stays snug (from memory)", percent(SNUG.0), percent(SNUG.1))),
        );
    }
    let Some((top, side)) = all.iter().rev().find_map(|s| Some((s, s.lid()?))) else { return said };
    let lines = strap_lines(&strap, m);
    let away =
        lines.iter().filter_map(|line| beside_edge(job, top, *line)).min_by(|a, b| a.to_mm().total_cmp(&b.to_mm()));
    if let Some(away) = away
        && away < NEAR
    {
        let what =
            if away < Length::ZERO { "lies across".into() } else { format!("runs {} from", job.units.show(away)) };
        said.push(
            Diagnostic::warning(
                "strap-near-edge",
                format!("the strap {what} an edge of the top lid ({})", side.word()),
            )
            .at("strap.from_edge")
            .help(format!(
                "change strap.from_edge: keep it {} or more away, so that it holds the lid and does not slip off",
                job.units.show(NEAR)
            ))
            .unless_assumed(&job.places, &["strap.from_edge"]),
        );
    } else if lines.iter().all(|line| by_hinge(job, top, side, *line).is_some()) {
        let by = lines.iter().filter_map(|line| by_hinge(job, top, side, *line)).fold(Length::ZERO, Length::max);
        let message = if by <= NEAR {
            format!("the strap lies on the top lid's own hinge ({}): its free edge can lift", side.word())
        } else {
            format!("the strap lies on the hinged half of the top lid ({}): its free edge can lift", side.word())
        };
        said.push(Diagnostic::warning("strap-holds-nothing", message).at("strap.from_edge").help(
            "change strap.from_edge so that the strap lies on the free half of that lid, or strap.along, so that it \
                     runs across the lid's hinge and free edge",
        ));
    }
    said
}

/// How far from its hinge a strap runs that lies alongside the hinge, on the hinged half of a lid or
/// beside it; `None` where it crosses the lid or lies on its free half.
fn by_hinge(job: &Job, lid: &Solid, side: Side, line: f64) -> Option<Length> {
    let strap = job.strap?;
    let along_height = strap.along == StrapAlong::Height;
    if along_height != matches!(side, Side::Left | Side::Right) {
        return None;
    }
    let b = lid.footprint.bounds();
    let (from_hinge, reach) = match side {
        Side::Left => (line - b.min.x, b.width()),
        Side::Right => (b.max.x - line, b.width()),
        Side::Tail => (line - b.min.y, b.height()),
        Side::Head => (b.max.y - line, b.height()),
    };
    // Off the lid altogether it holds what lies beneath; that is told by the edge it runs near.
    (from_hinge < reach / 2.0).then(|| mm(from_hinge.max(0.0)))
}

/// How far the elastic's edge runs from the free edge of a lid that it runs alongside, below zero
/// where it lies across; `None` where it crosses the lid the other way.
fn beside_edge(job: &Job, lid: &Solid, line: f64) -> Option<Length> {
    let strap = job.strap?;
    let side = lid.lid()?;
    let along_height = strap.along == StrapAlong::Height;
    if along_height != matches!(side, Side::Left | Side::Right) {
        return None;
    }
    // The free edge is what lies inwards of the lid; a bow or a notch has it at several distances.
    let inwards = -Point::unit(side.outward_deg().to_radians());
    let b = lid.footprint.bounds();
    let half = job.elastic.width.to_mm() / 2.0;
    let (low, high) = if along_height { (b.min.y, b.max.y) } else { (b.min.x, b.max.x) };
    let middle = |at: f64| if along_height { pt(b.center().x, at) } else { pt(at, b.center().y) };
    let mut nearest = f64::INFINITY;
    let (mut inside, mut outside) = (false, false);
    for k in 1..40 {
        let from = middle(low + (high - low) * f64::from(k) / 40.0);
        let ray = Segment::line(from, from + inwards * (b.width() + b.height()));
        let free = lid.footprint.segments().flat_map(|s| intersections(&ray, &s));
        let Some(edge) = free.max_by(|p, q| p.distance(from).total_cmp(&q.distance(from))) else { continue };
        let away = line - if along_height { edge.x } else { edge.y };
        if away > 0.0 {
            inside = true
        } else {
            outside = true
        }
        nearest = nearest.min(away.abs() - half);
    }
    nearest.is_finite().then(|| mm(if inside && outside { nearest.min(-1e-3) } else { nearest }))
}
