//! Gauges: strips of waste board as wide as what is set by eye at the bench, each with a handle that
//! says what it is for. A tongue goes between two boards, or against an edge; its straight side
//! runs on along the handle.

use super::labels;
use super::{Measures, Piece, Role};
use crate::geom::{Contour, pt};
use crate::job::{Job, StockKind};
use crate::units::{Length, mm};

/// Length of the tongue, mm: long enough to set a joint true (common practice, no source).
const TONGUE: f64 = 80.0;
/// The handle, mm: room for letters (our choice).
const HANDLE: (f64, f64) = (90.0, 22.0);
/// A tongue narrower than this breaks off (common practice, no source: about the board's own
/// thickness).
const NARROWEST: Length = mm(1.5);

/// A gauge for the joint, the turn-in and the reveal, where the box has them.
pub(super) fn gauges(job: &Job, measures: &Measures) -> Vec<Piece> {
    let terms = job.build.construction.terms();
    let wanted = [
        ("joint", measures.joint, terms.is_hinged),
        ("turn-in", job.covering.turn_in, job.cloth.is_some()),
        ("reveal", job.covering.reveal, job.liner.is_some() && terms.has_lids()),
    ];
    let there = wanted.into_iter().filter(|(_, width, has)| *has && *width >= NARROWEST);
    there.map(|(name, width, _)| gauge(job, name, width)).collect()
}

fn gauge(job: &Job, name: &str, width: Length) -> Piece {
    let (w, (long, high)) = (width.to_mm(), HANDLE);
    let whole = long + TONGUE;
    let outline = if w < high {
        Contour::polygon(
            [(0.0, 0.0), (whole, 0.0), (whole, w), (long, w), (long, high), (0.0, high)].map(|(x, y)| pt(x, y)),
        )
    } else {
        Contour::rectangle(pt(0.0, 0.0), pt(whole, w))
    };
    let mut piece = Piece::plain(format!("board-gauge-{name}"), StockKind::Board, Role::Gauge, outline);
    piece.marks = labels::label(&piece, &format!("{name} {}", job.units.show(width)).to_uppercase());
    piece
}
