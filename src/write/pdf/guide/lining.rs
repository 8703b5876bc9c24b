//! The liner: in one cross, from the base outwards, or in panels, base first.

use super::plan::{HERE, LINER, THIN};
use super::step::{Step, cloth, glued, show};
use super::{Told, work};
use crate::design::{LINER_OVERLAP, Lining};
use crate::drawing::Pen;
use crate::geom::{Contour, Stroke};
use crate::job::{LinerPieces, StockKind};
use crate::units::{Length, mm};
use crate::write::style::INK;

/// The edges of the linings folded under, before they are glued in. That they are folded on a card is common practice,
/// no source.
pub(super) fn fold<'a>(told: &'a Told<'a>) -> Option<Step<'a>> {
    let job = told.job;
    let linings = &told.design.linings;
    let area = |l: &&Lining| l.outline.area();
    let largest = linings.iter().max_by(|a, b| area(a).total_cmp(&area(b)))?;
    let piece = told.design.pieces.iter().find(|p| p.id == largest.id)?;
    let width = show(told, job.lining_fold());
    let of = if linings.len() == 1 { "The liner" } else { "Each lining" };
    let mut words = vec![
        format!(
            "{of} is cut {width} larger all round. Lay it wrong side up: the line drawn on it is where it ends in the box. Fold the edge over a card along that line, crease it with the folder, and lay it open again."
        ),
        format!(
            "Brush the {width} beyond the line only, fold them in again and rub them down, two edges that lie across from each other first, then the others. At the corners, which are cut off, the edges meet in a mitre. Dry it under weight."
        ),
    ];
    if !piece.slits.is_empty() {
        words.push("At the inner corners it is slit to the line: there the edges part as they are folded.".into());
    }
    let b = piece.outline.bounds();
    Some(Step {
        title: if linings.len() == 1 {
            "Fold the liner's edges under".into()
        } else {
            "Fold the linings' edges under".into()
        },
        words,
        window: work::around([b], 4.0),
        draw: Box::new(move |plan| {
            plan.solid(std::slice::from_ref(&piece.outline), LINER, THIN);
            plan.fill(&beyond(largest, &piece.outline), HERE);
            plan.line(&[Stroke::Closed(piece.outline.clone())], THIN);
            let slits: Vec<Stroke> = piece.slits.iter().cloned().map(Stroke::Open).collect();
            plan.line(&slits, Pen::solid(INK, 0.35));
            let line = Pen { dashes: &[1.6, 1.0], unit: 0.6, ..Pen::solid(INK, 0.3) };
            plan.line(&[Stroke::Closed(largest.outline.clone())], line);
            plan.name(&largest.outline, "wrong side");
        }),
    })
}

/// What of a piece lies beyond the line at which it is folded.
fn beyond(lining: &Lining, piece: &Contour) -> Vec<Contour> {
    let (whole, net) = (piece.flatten(0.1), lining.outline.flatten(0.1));
    // Its two rings are joined along a short way, so that it is one.
    let mut ring = whole.clone();
    ring.extend(whole.first());
    let start = whole.first().copied().unwrap_or_default();
    let near = (0..net.len()).min_by(|a, b| net[*a].distance(start).total_cmp(&net[*b].distance(start))).unwrap_or(0);
    let back = (0..=net.len()).map(|k| net[(near + net.len() - k % net.len()) % net.len()]);
    ring.extend(back);
    vec![Contour::polygon(ring)]
}

/// The lining, where the box has one.
pub(super) fn lining<'a>(told: &'a Told<'a>) -> Option<Step<'a>> {
    let job = told.job;
    let liner = job.liner.as_ref()?;
    let is_hinged = job.build.construction.terms().is_hinged;
    let reveal = show(told, job.covering.reveal);
    let mut words = Vec::new();
    match (liner.pieces, is_hinged) {
        (LinerPieces::Panels, true) => {
            let half = told.design.measures.joint * 0.5 + job.board.thickness * job.covering.groove_press + mm(LINER_OVERLAP / 2.0);
            words.push(format!(
                "The base's panel first (1), then the walls' (2), then the lids' (3), each {reveal} from the free edges of its own board. Where two walls meet the base's panel runs to the very corner."
            ));
            words.push(format!(
                "Into every joint a panel runs {} beyond its board: down the board's edge and over half of the groove. There the next one overlaps it by {}; press each to the bottom with the folder before the next goes on.",
                show(told, half),
                show(told, mm(LINER_OVERLAP))
            ));
        }
        (LinerPieces::HingeStrips, _) => {
            words.push(format!(
                "A lining for each board: the base's first (1), then the walls' (2), then the lids' (3), each {reveal} from all edges of its board, those at the joints too. In the joints the strips show."
            ));
            words.push("Brush one, set it down, rub it out from the middle. Along the joints its edge lies on the strip: rub it down there with the folder until it lies close.".into());
        }
        (LinerPieces::Panels, false) => words.push(format!(
            "The base's panel first (1), then the walls' (2), then the lids' (3), each {reveal} from free edges; at the creases they butt, without an overlap."
        )),
        (LinerPieces::One, true) => {
            let has_corner = told.design.flat.as_ref().is_some_and(|f| !f.inner_corners().is_empty());
            let runs = if has_corner { "runs to the very corners between two walls, and " } else { "" };
            words.push(format!(
                "First the part on the base (1): it {runs}stays {reveal} from edges that are free. Brush that part only, set it down, rub it out from the middle."
            ));
            words.push("Then each arm outwards (2): brush it, press it to the bottom of the groove with the folder, up over the wall, into the next groove, and out onto the lid.".into());
        }
        (LinerPieces::One, false) => words
            .push(format!("Glue the base part first (1), {reveal} from free edges, then outwards over the creases (2).")),
    }
    words.extend(super::window::of_liner(told));
    words.extend(super::colophon::of_liner(told));
    if job.covering.liner_trim > Length::ZERO {
        words.push(format!(
            "The liner is {} longer than it needs to be: lay each arm dry into its grooves and trim its end to {reveal} from the edge before you glue it.",
            show(told, job.covering.liner_trim),
        ));
    }
    words.push(format!(
        "About {} to glue. A thin paper stretches when damp: work quickly and smooth it without pulling.",
        glued(told, StockKind::Liner)
    ));
    if job.copies > 1 {
        words.push("Of several boxes line the base of each in turn, then come back to the first for its arms.".into());
    }
    Some(Step {
        title: "Liner".into(),
        words,
        window: cloth(told),
        draw: Box::new(move |plan| work::lined(plan, told)),
    })
}
