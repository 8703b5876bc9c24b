//! The box in its states, posed by its assembly: closed, half closed, open and flat.

use super::ribbons::{RIBBON, ribbons};
use super::scene::{Board, Space, at};
use crate::assembly::{CasePart, Cover, LayerKind, Part, Pose, Stance};
use crate::design::{Design, Opening, covered_by_part, filling, opening, outer};
use crate::fit::strap_path;
use crate::geom::{Contour, Point, pt};
use crate::job::{Job, StrapAlong, ThingKind};
use crate::write::style::Rgb;

const BOARD: Rgb = [0xf2, 0xec, 0xdd];
const LID: Rgb = [0xe4, 0xed, 0xf4];
pub(super) const STACK: Rgb = [0xfb, 0xfb, 0xfb];
const PAPER: Rgb = [0xf0, 0xdf, 0xc8];
const SPACER: Rgb = [0xe9, 0xd8, 0xb8];
pub(super) const PADDING: Rgb = [0xd9, 0xe5, 0xd2];
const DIVIDER: Rgb = [0xcf, 0xdc, 0xe8];
const STRAP: Rgb = [0x8a, 0x8a, 0x8a];
/// How far a lid that waits for its turn is closed: it leans back a little.
const WAITING: f64 = -0.25;

/// The closed box, and the strap or the ribbons round it.
pub(super) fn closed(job: &Job, design: &Design) -> Vec<Board> {
    let mut boards = posed(job, design, &Pose::all(&design.assembly, 1.0));
    boards.extend(straps(job, design));
    boards.extend(ribbons(job, design));
    boards
}

/// The box with the lids of the lowest tier closed and the others open.
pub(super) fn half_closed(job: &Job, design: &Design) -> Vec<Board> {
    let assembly = &design.assembly;
    let lowest = assembly.hinges.iter().map(|h| h.order).filter(|n| *n > 0).min().unwrap_or_default();
    let share = |order: u32| if order <= lowest { 1.0 } else { WAITING };
    posed(job, design, &Pose(assembly.hinges.iter().map(|h| share(h.order)).collect()))
}

/// The spine up, the front cover on its way down.
pub(super) fn closing(job: &Job, design: &Design) -> Vec<Board> {
    let share = |order: u32| if order == 0 { 1.0 } else { 0.55 };
    posed(job, design, &Pose(design.assembly.hinges.iter().map(|h| share(h.order)).collect()))
}

/// A wrapper that is closed, in its open case.
pub(super) fn in_case(job: &Job, design: &Design) -> Vec<Board> {
    let share = |child: usize| if is_of_case(design, child) { 0.0 } else { 1.0 };
    posed(job, design, &Pose(design.assembly.hinges.iter().map(|h| share(h.child)).collect()))
}

fn is_of_case(design: &Design, panel: usize) -> bool {
    design.assembly.panels.get(panel).is_some_and(|p| p.part.is_of_case())
}

/// The trays alone, as they are glued together.
pub(super) fn trays(design: &Design) -> Vec<Board> {
    laid_out(design, Part::is_of_tray)
}

/// A slipcase as it is glued together, the upper face still to come.
pub(super) fn without_upper_face(design: &Design) -> Vec<Board> {
    laid_out(design, |part| part != Part::UpperFace)
}

/// Those of the boards alone that are wanted, as they lie before anything is closed.
fn laid_out(design: &Design, is_wanted: impl Fn(Part) -> bool) -> Vec<Board> {
    let assembly = &design.assembly;
    let places = assembly.posed(&Pose::all(assembly, 0.0));
    let there = assembly.panels.iter().zip(places).filter(|(panel, _)| is_wanted(panel.part));
    there
        .map(|(panel, place)| {
            Board::new(&panel.outline, panel.level, panel.level + panel.thickness, BOARD, &|p| moved(&place, p))
        })
        .collect()
}

/// Whether any lid closes after another.
pub(super) fn has_tiers(job: &Job) -> bool {
    let mut tiers = job.flaps.values().map(|f| f.tier);
    let first = tiers.next();
    tiers.any(|t| Some(t) != first)
}

/// The open box, flat on the table, with the stack on its base.
pub(super) fn open(job: &Job, design: &Design) -> Vec<Board> {
    let pose = Pose::all(&design.assembly, 0.0);
    let Some(case) = job.slipcase else { return posed(job, design, &pose) };
    // Half of the way into the case.
    let out = Point::unit(case.open.outward_deg().to_radians()) * (job.contents.along(case.open).to_mm() * 0.55);
    posed_with(job, design, &pose, out)
}

/// The boards and the stack in a pose.
fn posed(job: &Job, design: &Design, pose: &Pose) -> Vec<Board> {
    posed_with(job, design, pose, pt(0.0, 0.0))
}

/// The same, the stack moved.
fn posed_with(job: &Job, design: &Design, pose: &Pose, out: Point) -> Vec<Board> {
    let assembly = &design.assembly;
    let mut boards: Vec<Board> = assembly
        .panels
        .iter()
        .zip(assembly.posed(pose))
        .map(|(panel, place)| {
            let tone = if matches!(panel.part, Part::Lid(_) | Part::Case(CasePart::Front)) { LID } else { BOARD };
            let window = opening(job, panel.part, &panel.outline);
            let holes: Vec<Contour> = window.iter().map(Opening::outline).collect();
            let levels = [panel.level, panel.level + panel.thickness];
            Board::pierced(&panel.outline, &holes, levels, tone, &|p| moved(&place, p))
        })
        .collect();
    // The paper of sides, on the cloth.
    for (panel, place) in assembly.panels.iter().zip(assembly.posed(pose)) {
        let window = opening(job, panel.part, &panel.outline);
        let by_part = covered_by_part(job, design);
        if let (Some(window), Some(one)) = (&window, by_part.iter().find(|one| one.part == panel.part)) {
            // About its window it comes in parts, whose seams are not seen.
            let Some(area) = one.under_paper(&panel.outline) else { continue };
            let holes = if window.is_of_paper(&by_part) { vec![window.outline()] } else { Vec::new() };
            let levels = [panel.level - panel.thickest(LayerKind::Paper), panel.level];
            boards.push(Board::pierced(&area, &holes, levels, PAPER, &|p| moved(&place, p)));
            continue;
        }
        for layer in panel.layers.iter().filter(|l| l.kind == LayerKind::Paper) {
            if let Cover::Area(area) = &layer.cover {
                let low = panel.level - layer.thickness;
                boards.push(Board::new(area, low, panel.level, PAPER, &|p| moved(&place, p)));
            }
        }
    }
    boards.extend(inside(job, out));
    boards
}

/// The stack, and whatever else lies inside.
pub(super) fn inside(job: &Job, out: Point) -> Vec<Board> {
    let tone = |kind: ThingKind| match kind {
        ThingKind::Stack => STACK,
        ThingKind::Spacer | ThingKind::SpacerBeside => SPACER,
        ThingKind::Under | ThingKind::Over => PADDING,
        ThingKind::Ribbon => RIBBON,
        ThingKind::Divider | ThingKind::Foot => DIVIDER,
    };
    filling(&outer(job))
        .iter()
        .map(|f| Board::new(&f.outline, f.bottom, f.top, tone(f.kind), &|p| at(p.x + out.x, p.y + out.y, p.z)))
        .collect()
}

fn moved(place: &Stance, p: Space) -> Space {
    let q = place.at(pt(p.x, p.y), p.z);
    at(q.x, q.y, q.z)
}

/// The straps as bands drawn tight round the box: each stretch of their path a flat strip.
fn straps(job: &Job, design: &Design) -> Vec<Board> {
    let Some(strap) = &job.strap else { return Vec::new() };
    let (thick, half) = (job.elastic.thickness.to_mm(), job.elastic.width.to_mm() / 2.0);
    let mut bands = Vec::new();
    for line in crate::design::strap_lines(strap, &design.measures) {
        // u along the strap, v across it, z up, right-handed.
        let put = |u: f64, v: f64, z: f64| match strap.along {
            StrapAlong::Height => at(line - v, u, z),
            StrapAlong::Width => at(u, line + v, z),
        };
        for pair in strap_path(job, design, line).windows(2) {
            bands.extend(band(pair[0], pair[1], thick, half, &put));
        }
    }
    bands
}

/// A strip of elastic from one point of its plane to another, on the outside of the way between them.
fn band(from: Point, to: Point, thick: f64, half: f64, put: &dyn Fn(f64, f64, f64) -> Space) -> Option<Board> {
    let along = (to - from).normalized()?;
    let out = -along.left();
    let flat = Contour::rectangle(pt(0.0, -half), pt(from.distance(to), half));
    Some(Board::new(&flat, 0.0, thick, STRAP, &|p| {
        let on = from + along * p.x + out * p.z;
        put(on.x, -p.y, on.y)
    }))
}
