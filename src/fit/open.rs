//! The open box, looked at from inside: no board bare, no raw edge of cloth.

use crate::assembly::{Assembly, CasePart, LayerKind, Panel, Part};
use crate::design::{opening, paper, seen, thicknesses};
use crate::diag::Diagnostic;
use crate::geom::{Contour, uncovered_widely};
use crate::job::Job;
use crate::units::mm;
use rayon::prelude::*;

/// Less than this, mm2, is rounding where areas meet.
const NOTHING: f64 = 0.5;
/// Gaps between two tabs that are narrower than this close as the cloth is drawn round a corner, mm (our choice, the
/// pleat of the design's turn-ins).
const PLEAT: f64 = 1.0;
/// By how much the liner lies over the turn-in's raw edge, at the least, mm (our choice).
const LAP: f64 = 1.0;

/// The inner faces that neither liner, turn-in nor patch covers, each panel with its bare area in mm2.
/// Nothing where a box has no liner or no cloth: there board is meant to show.
pub fn bare(job: &Job, assembly: &Assembly) -> Vec<(String, f64)> {
    if job.liner.is_none() || job.cloth.is_none() {
        return Vec::new();
    }
    // A gap narrower than a pleat is as short as a turn-in is wide.
    let short = PLEAT * job.covering.turn_in.to_mm();
    // What of a case is not covered is hidden by the trays or the wrapper on it.
    let is_asked = |p: &&Panel| match job.within() {
        None => p.part != Part::Case(CasePart::Back),
        Some(_) => p.part.is_of_tray() || job.is_for_loose_sheets(),
    };
    // Of a slipcase what is glued to other boards is not seen, and its lining stays a little away from the glue.
    let bare = |p: &Panel| match seen(job, p) {
        Some(whole) => bare_of(job, p, &whole, f64::INFINITY),
        None => bare_of(job, p, &p.outline, short),
    };
    // Lids take the longest and come last.
    let all: Vec<_> = assembly.panels.par_iter().rev().filter(is_asked).map(|p| (p.name(), bare(p))).collect();
    all.into_iter().rev().filter(|(_, area)| *area > NOTHING).collect()
}

fn bare_of(job: &Job, panel: &Panel, whole: &Contour, short: f64) -> f64 {
    let areas = |kind: LayerKind| panel.areas_inside(kind).map(|(area, _)| area.clone());
    let turned = panel.turned.iter().chain(&panel.turned_paper).cloned();
    // In a window there is nothing to cover; over slots and pockets lies the liner.
    let window = opening(job, panel.part, &panel.outline).map(|w| w.outline());
    let in_window = window.as_ref().map_or(0.0, |w| w.area().abs());
    let covers: Vec<Contour> = areas(LayerKind::Liner)
        .chain(areas(LayerKind::HingeStrip))
        .chain(turned)
        .chain(areas(LayerKind::Patch))
        .chain(areas(LayerKind::PaperPatch))
        .chain(areas(LayerKind::Cloth))
        .chain(window)
        .collect();
    let holes: f64 = panel.holes.iter().map(|h| h.area().abs()).sum::<f64>() - in_window;
    let left = uncovered_widely(whole, &covers, PLEAT, short);
    if left <= holes { left.min(NOTHING) } else { left }
}

/// What is seen of board and raw edges inside.
pub(super) fn judge(job: &Job, bare: &[(String, f64)]) -> Vec<Diagnostic> {
    let show = |l| job.units.show(l);
    let mut said = Vec::new();
    let (t, c, _) = thicknesses(job);
    let c = c.max(paper(job));
    let deep = job.covering.turn_in - t - c;
    // The floors of trays are lined to their walls, slipcases to their mouths.
    let has_reveal = job.liner.is_some() && job.cloth.is_some() && job.build.construction.terms().has_lids();
    if has_reveal && job.covering.reveal + mm(LAP) > deep {
        let most = deep - mm(LAP);
        let reaches = format!(
            "folded over the board a turn-in of {} reaches {} over the inside, and the liner starts {} from the edge",
            show(job.covering.turn_in),
            show(deep),
            show(job.covering.reveal)
        );
        let least = job.covering.reveal + mm(LAP) + t + c;
        let d = if job.covering.reveal > deep {
            Diagnostic::error("bare-board", format!("{reaches}: bare board shows between them"))
        } else {
            Diagnostic::warning("raw-edge", format!("{reaches}: the cloth's raw edge may show"))
                .unless_assumed(&job.places, &["covering.reveal", "covering.turn_in"])
        }
        .at("covering.reveal");
        let mend = format!("widen covering.turn_in to {} or more", show(least));
        let more = if most > mm(0.0) {
            format!(", or lower covering.reveal to {} or less", show(most))
        } else {
            String::new()
        };
        said.push(d.help(format!("{mend}{more}")));
        return said;
    }
    for (name, area) in bare {
        let message =
            format!("with the box open {} of board is bare on the {name}", crate::units::decimal(*area, 0) + " mm2");
        said.push(
            Diagnostic::error("bare-board", message)
                .at("covering.reveal")
                .help("lower covering.reveal, or widen covering.turn_in, until cloth and liner overlap there")
                .weighing(*area),
        );
    }
    said
}
