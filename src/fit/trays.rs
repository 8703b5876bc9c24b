//! Two trays in a case: whether the small one goes into the large one, what both leave for the stack, and what shows of
//! the case round them.
//!
//! On the way nothing meets that does not meet when closed: the front cover turns about an edge that lies higher than the
//! rim of the small tray, so that a point of its rim at x beyond that edge and d below it is, seen from the large tray
//! opened by an angle a, at `x cos a - d sin a`, farther from the large tray's wall the more it is open (derived).

use super::closed::{Solid, bare, lying, overlap_of};
use super::mend::values;
use super::{Closing, Depths, Failing, Fit, Mend, Risk};
use crate::assembly::{Assembly, Face, HingeKind, LayerKind, Part, Tray, TrayPart};
use crate::design::{Design, TrayPair, filling, slides, stack, thicknesses, trays};
use crate::diag::Diagnostic;
use crate::job::{Job, Side};
use crate::units::{Length, mm, tidy};
use std::collections::BTreeMap;

/// Cloth that shows in the squares is held down by the tray on so much of it, mm (our choice).
const UNDER_TRAY: f64 = 3.0;

/// The figures of the box that its case alone does not give, and what keeps its trays from closing.
pub(super) fn within(fit: &mut Fit, job: &Job, design: &Design) -> Vec<Diagnostic> {
    let (Some(within), Some(pair)) = (job.within(), trays(job)) else { return Vec::new() };
    let contents = &within.contents;
    fit.interior = [contents.interior_width(), contents.interior_height(), contents.interior_depth()];
    let flat = (contents.interior_depth() + mm(pair.spare)).max(Length::ZERO);
    fit.depths = Depths {
        flat,
        // What the joints of the case give does nothing for a stack in its tray.
        pressed: flat,
        slides: (flat - contents.clearance.depth - job.board.thickness).max(Length::ZERO),
    };
    fit.play = BTreeMap::new();
    let mut said = walls(job, &pair);
    if said.iter().any(Diagnostic::is_error) {
        return said;
    }
    said.extend(collisions(job, design, &pair));
    if job.build.construction.terms().has_case {
        let square = job.trays.as_ref().map_or(Length::ZERO, |t| t.square);
        said.extend(squares(job, square, ["trays", "trays.square"]));
    }
    said
}

/// Walls that are given and are not what the formulas want.
fn walls(job: &Job, pair: &TrayPair) -> Vec<Diagnostic> {
    let show = |l: f64| job.units.show(mm(l));
    let Some((asked, within)) = job.trays.as_ref().zip(job.within()) else { return Vec::new() };
    let mut said = Vec::new();
    let room = within.contents.clearance.depth.to_mm() + pair.spare;
    let extra = asked.wall_extra.map_or(0.0, Length::to_mm);
    if room < -1e-9 {
        let message = format!("the stack stands {} above the rim of the small tray", show(-room));
        let help = format!("raise trays.wall_extra to {} or more, or leave it \"auto\"", show(extra - pair.spare));
        said.push(Diagnostic::error("stack-too-deep", message).at("trays.wall_extra").help(help));
    } else if pair.spare < -0.005 {
        let message = format!(
            "the walls of the small tray are {} lower than cloth and lining want: of the clearance {} is left",
            show(-pair.spare),
            show(room)
        );
        let help =
            format!("for all of it write trays.wall_extra = \"{}\", or leave it \"auto\"", show(extra - pair.spare));
        said.push(Diagnostic::warning("low-walls", message).at("trays.wall_extra").help(help));
    }
    let step = asked.wall_step.map_or(0.0, Length::to_mm);
    if pair.short > job.board.thickness.to_mm() / 2.0 {
        // A lid may well be lower than its tray.
        if job.build.construction.terms().has_case {
            let message = format!("closed, the walls of the large tray end {} above the back cover", show(pair.short));
            let help = format!("write trays.wall_step = \"{}\", or leave it \"auto\"", show(step + pair.short));
            said.push(Diagnostic::warning("short-walls", message).at("trays.wall_step").help(help));
        }
    } else if -pair.short > job.board.thickness.to_mm() {
        let message = format!("the large tray stands {} above the rim of the small one", show(-pair.short));
        let help = format!("lower trays.wall_step to {}, or leave it \"auto\"", show(step + pair.short));
        said.push(Diagnostic::warning("loose-lid", message).at("trays.wall_step").help(help));
    }
    said
}

/// Trays, covers and stack that share space in the closed box.
fn collisions(job: &Job, design: &Design, pair: &TrayPair) -> Vec<Diagnostic> {
    let assembly = &design.assembly;
    let mut solids: Vec<Solid> = assembly
        .panels
        .iter()
        .zip(assembly.closed())
        .map(|(panel, place)| {
            let edge = [LayerKind::TurnIn, LayerKind::PaperTurnIn].map(|kind| panel.thickest_on(Face::Edge, kind));
            let edge = edge.into_iter().sum();
            bare(panel, &place, [panel.dressed(Face::Inside), panel.dressed(Face::Outside), edge])
        })
        .collect();
    // A deep stack was told above, by the walls that it stands above.
    let most = stack(job).1 + fit_depth(job, pair);
    solids.extend(lying(filling(job)).into_iter().map(|s| Solid { top: s.top.min(most), ..s }));
    let is_case = |p: Part| !p.is_of_tray();
    let mut said = Vec::new();
    for (i, a) in solids.iter().enumerate() {
        for b in &solids[i + 1..] {
            let is_joined = match (a.part, b.part) {
                // What is glued together, and what its own case judges.
                (Some(Part::Tray(x, _)), Some(Part::Tray(y, _))) => x == y,
                (Some(p), Some(q)) if is_case(p) && is_case(q) => true,
                (Some(p), Some(q)) => glued(assembly, p, q),
                // The stack lies on the small tray's floor.
                _ => [a.part, b.part]
                    .iter()
                    .any(|p| matches!(p, Some(Part::Tray(Tray::Small | Tray::Open, TrayPart::Base)))),
            };
            let deep = a.top.min(b.top) - a.bottom.max(b.bottom);
            let wide = overlap_of(a, b);
            if is_joined || deep <= 0.01 || wide <= 0.01 {
                continue;
            }
            let by = job.units.show(mm(deep.min(wide)));
            let message =
                format!("closed, the {} and the {} overlap by {by}, cloth and lining counted", a.name, b.name);
            let help = match (a.part, b.part) {
                (Some(_), Some(_)) => format!(
                    "raise trays.slide to {} or more, or leave it \"auto\"",
                    job.units.show(mm(pair.slide + 2.0 * wide))
                ),
                _ => format!("give the contents {by} more clearance there"),
            };
            let key = if a.part.is_some() && b.part.is_some() { "trays.slide" } else { "contents.clearance" };
            said.push(Diagnostic::error("boards-collide", message).at(key).help(help));
        }
    }
    said
}

/// Up to which depth of stack the trays close, mm.
fn fit_depth(job: &Job, pair: &TrayPair) -> f64 {
    job.within().map_or(0.0, |w| w.contents.interior_depth().to_mm() + pair.spare)
}

fn glued(assembly: &Assembly, a: Part, b: Part) -> bool {
    let is = |i: usize, part: Part| assembly.panels.get(i).is_some_and(|p| p.part == part);
    assembly
        .hinges
        .iter()
        .filter(|h| h.kind == HingeKind::Glued)
        .any(|h| (is(h.parent, a) && is(h.child, b)) || (is(h.parent, b) && is(h.child, a)))
}

/// A case shows round what is glued to it: cloth must lie there, and go on under that.
pub(super) fn squares(job: &Job, square: Length, [within, key]: [&str; 2]) -> Option<Diagnostic> {
    let (t, c, _) = thicknesses(job);
    let deep = job.covering.turn_in - t - c;
    let least = square + mm(UNDER_TRAY) + t + c;
    (deep < square + mm(UNDER_TRAY)).then(|| {
        let show = |l| job.units.show(l);
        let message = format!(
            "the covers stand out {} beyond the {within}, and folded over the board a turn-in of {} reaches {} over the inside: board shows, or the cloth's raw edge",
            show(square),
            show(job.covering.turn_in),
            show(deep.max(Length::ZERO))
        );
        Diagnostic::error("bare-board", message)
            .at(key)
            .help(format!("widen covering.turn_in to {} or more, or lower {key}", show(least)))
    })
}

/// What fails of a case, where this fails of the hinged boards that it is made of.
pub(super) const fn of_a_case(what: Failing) -> Failing {
    match what {
        Failing::FootJoint => Failing::BackJoint,
        Failing::LidJoint => Failing::FrontJoint,
        _ => Failing::NarrowSpine,
    }
}

/// How surely the whole closes, `share` of all: the case as it does, and the small tray goes into the large one. What a mend
/// of the one makes of the whole is told as if the other's errors had nothing to do with it.
pub(super) fn with_trays(of_case: Closing, job: &Job, share: f64) -> Closing {
    let Some(pair) = trays(job) else { return of_case };
    let goes = slides(job, pair.slide);
    let by_case = of_case.first.map(|risk| Risk {
        what: of_a_case(risk.what),
        mend: risk.mend.filter(|m| m.key == "box.joint").map(|m| Mend { share: tidy(m.share * goes, 6), ..m }),
        ..risk
    });
    let by_trays = Risk {
        what: Failing::Trays,
        side: Side::Right,
        share: tidy(1.0 - goes, 6),
        mend: values(job.units, mm(pair.slide), 1.0, 50)
            .map(|v| (v, slides(job, v.to_mm())))
            .find(|(_, s)| *s >= 0.995)
            .map(|(value, goes)| Mend { key: "trays.slide".into(), value, share: tidy(of_case.share * goes, 6) }),
    };
    let worst = match by_case {
        Some(risk) if risk.share >= by_trays.share => risk,
        _ => by_trays,
    };
    Closing { share: tidy(share, 6), first: (share < 0.999).then_some(worst) }
}
