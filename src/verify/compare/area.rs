//! The pieces by area: what the swept tool leaves of each, against what was asked. A second opinion
//! on the kerf, of everything at once.

use super::{Bench, Comparison, DEPTH_SLACK, Worst};
use crate::geom::Segment;
use crate::profile::OperationKind;
use crate::units::decimal;
use crate::verify::boxes::Boxes;
use crate::verify::nominal::{Class, NominalPiece};
use crate::verify::physics::sweep::{Asked, left, straightened};
use crate::verify::{Finding, Many};
use rayon::prelude::*;

/// The most stretches of one program that are swept: what is more is left to the comparison of
/// lines alone, and said.
const MOST: usize = 60_000;

pub(super) fn areas(bench: &Bench<'_>, all: &mut Comparison, out: &mut Many) {
    let (rules, Some((rule, tool))) = bench.rules_for(OperationKind::ThroughCut) else { return };
    let radius = tool.kerf.to_mm() / 2.0;
    if radius <= 0.0 || !bench.operations.contains(&OperationKind::ThroughCut) {
        return;
    }
    let through: Vec<Segment> = bench
        .traces
        .iter()
        .filter(|t| t.rules & rules != 0)
        .filter_map(|t| t.reaching(bench.nominal.thickness - DEPTH_SLACK))
        .filter(|w| w.bounds().max.x.is_finite() && w.bounds().min.x.is_finite())
        .collect();
    let through = straightened(&through);
    if through.len() > MOST {
        let message =
            format!("{} stretches are too many to sweep: the areas of its pieces are not compared", through.len());
        out.push(Finding::note("not-swept", message));
        return;
    }
    // Of a bridge a strip stands between the piece's edge and the middle of the cut, as long as the
    // tool is off, less what the round ends of the cut on both sides take of it.
    let bridge = (rule.bridge_width.to_mm() + 2.0 * radius) * radius - std::f64::consts::FRAC_PI_2 * radius * radius;
    let bridges = f64::from(rule.bridges) * bridge.max(0.0);
    let boxes = Boxes::new(through.iter().map(Segment::bounds).collect());
    let slits = bench.nominal.lines.iter().filter(|w| w.class == Class::Slit);
    let slits: Vec<Segment> = slits.flat_map(|w| w.stroke.segments()).collect();
    let slit_boxes = Boxes::new(slits.iter().map(Segment::bounds).collect());
    let of_piece = |piece: &NominalPiece| {
        let around = piece.bounds.grown(3.0 * radius + 1.0);
        let ways: Vec<Segment> = boxes.touching(around).into_iter().map(|i| through[i]).collect();
        let slits: Vec<Segment> = slit_boxes.touching(around).into_iter().map(|i| slits[i]).collect();
        left(&Asked { outline: &piece.outline, holes: &piece.holes, slits: &slits }, &ways, radius, bridges)
    };
    let swept: Vec<_> = bench.nominal.pieces.par_iter().map(of_piece).collect();
    for (piece, l) in bench.nominal.pieces.iter().zip(swept) {
        let Some(l) = l else { continue };
        all.swept += 1;
        let place = piece.bounds.center();
        Worst::keep(&mut all.area, l.out.abs(), place, &piece.name);
        if l.out.abs() > bench.tolerance() {
            let size = if l.out > 0.0 { "larger" } else { "smaller" };
            let message = format!(
                "by its area {} comes out {size}, by {} mm all round: {} mm2 instead of {}",
                piece.name,
                decimal(l.out.abs(), 2),
                decimal(l.left, 0),
                decimal(l.nominal, 0)
            );
            out.push(
                Finding::new("area", message)
                    .on(place)
                    .of(piece.name.as_str())
                    .help("compare the tool's kerf in the profile with the program"),
            );
        }
    }
}
