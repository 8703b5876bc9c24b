//! The strap: how long its elastic is cut, and where on the lids it lies.

use super::Solid;
use crate::design::Measures;
use crate::diag::Diagnostic;
use crate::geom::{Point, Segment, intersections, pt};
use crate::job::{Job, Side, Strap, StrapAlong};
use crate::units::{Length, mm};

/// Stretched less than this an elastic sags within a year; more, and it dents the edges and warps
/// the lid (from memory).
const SNUG: (f64, f64) = (0.03, 0.10);
/// A strap that runs alongside a lid's free edge nearer than this slips off it or dents it (common
/// practice, no source).
const NEAR: Length = mm(10.0);

/// The straps of a box.
#[derive(Clone, Debug, PartialEq)]
pub struct StrapFigures {
    /// One or two, cut alike.
    pub count: u32,
    /// From slot to slot round the outside of the closed box.
    pub path: Length,
    /// What each is cut to at the job's stretch: the path unstretched, both tails, and at each end
    /// the way through the board.
    pub length: Length,
    /// The shortest and the longest that still hold snug without warping a lid.
    pub snug: (Length, Length),
}

/// The figures of the job's straps, round a closed box of this exterior.
pub(super) fn figures(job: &Job, m: &Measures, exterior: [Length; 3]) -> Option<StrapFigures> {
    let strap = job.strap?;
    let (across, base) = match strap.along {
        StrapAlong::Height => (exterior[1], m.base_height),
        StrapAlong::Width => (exterior[0], m.base_width),
    };
    // Over the top, down both ends, and in along the bottom to the two slots.
    let path = across + exterior[2] * 2.0 + (across - (base - strap.inset * 2.0));
    let cut = |stretch: f64| path / (1.0 + stretch) + (strap.tail + job.board.thickness) * 2.0;
    Some(StrapFigures { count: strap.count, path, length: cut(job.elastic.stretch), snug: (cut(SNUG.1), cut(SNUG.0)) })
}

/// A stretch at which the strap sags or warps, and straps that cross the top lid's edges too near
/// their free edge.
pub(super) fn remarks(job: &Job, m: &Measures, all: &[Solid]) -> Vec<Diagnostic> {
    let Some(strap) = job.strap else { return Vec::new() };
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
    let Some(top) = all.iter().rev().find(|s| s.lid.is_some()) else { return said };
    let away = lines(&strap, m)
        .into_iter()
        .filter_map(|line| beside_edge(job, top, line))
        .min_by(|a, b| a.to_mm().total_cmp(&b.to_mm()));
    if let (Some(away), Some(side)) = (away, top.lid)
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
            )),
        );
    }
    said
}

/// The straps' centre lines, mm from the middle of the base: x of those along the height, y of
/// those along the width.
fn lines(strap: &Strap, m: &Measures) -> Vec<f64> {
    let first = match strap.along {
        StrapAlong::Height => (m.base_width / 2.0 - strap.from_edge).to_mm(),
        StrapAlong::Width => (strap.from_edge - m.base_height / 2.0).to_mm(),
    };
    if strap.count == 2 { vec![first, -first] } else { vec![first] }
}

/// How far the elastic's edge runs from the free edge of a lid that it runs alongside, below zero
/// where it lies across; `None` where it crosses the lid the other way.
fn beside_edge(job: &Job, lid: &Solid, line: f64) -> Option<Length> {
    let strap = job.strap?;
    let side = lid.lid?;
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
