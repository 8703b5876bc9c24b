//! The drawings of the steps, from the job's own pieces.

use super::boxes::{draw, place};
use super::plan::{BOARD, CLOTH, HERE, LINER, Plan, THIN};
use super::{Told, openings};
use crate::assembly::Part;
use crate::design::{Lay, Lines, PatchPlace, Piece, Role, covered_by_part, free_corners};
use crate::drawing::Pen;
use crate::geom::{Bounds, Contour, Path, Point, Stroke, pt};
use crate::job::{LinerPieces, Side, StockKind, StrapAlong};
use crate::profile::OperationKind;
use crate::write::pdf::parts::short_name;
use crate::write::pdf::scene::{Board, FROM_TAIL_RIGHT, picture};
use crate::write::pdf::states;
use crate::write::style::{CUT_WEIGHT, INK, QUIET, pen, style};

/// What holds all of them, and `by` mm round it.
pub(super) fn around(all: impl IntoIterator<Item = Bounds>, by: f64) -> Bounds {
    let b = all.into_iter().fold(Bounds::EMPTY, Bounds::union);
    if b.is_empty() { Bounds { min: pt(-1.0, -1.0), max: pt(1.0, 1.0) } } else { b.grown(by) }
}

pub(super) fn base<'a>(told: &Told<'a>) -> Option<&'a Piece> {
    told.design.pieces.iter().find(|p| p.role == Role::Base)
}

fn pieces_of<'a>(told: &Told<'a>, stock: StockKind) -> impl Iterator<Item = &'a Piece> {
    // What lies inside has steps and drawings of its own.
    told.design.pieces.iter().filter(move |p| p.stock == stock && p.role != Role::Inside)
}

/// Every board at its place in the open box.
pub(super) fn boards(plan: &mut Plan<'_>, told: &Told<'_>, named: bool) {
    let all: Vec<&Piece> = pieces_of(told, StockKind::Board).collect();
    // Strips lie on one another: the first is drawn last, so that both show.
    for p in all.iter().rev() {
        plan.solid(std::slice::from_ref(&p.outline), BOARD, THIN);
    }
    openings::in_boards(plan, told);
    let is_whole = told.job.build.construction.terms().is_hinged;
    for p in all.iter().filter(|_| named && is_whole) {
        let room = p.openings().iter().fold(p.outline.bounds(), |room, window| room.beside(window.bounds()));
        plan.name(&Contour::rectangle(room.min, room.max), &short_name(p));
    }
}

/// The boards into which something is cut, with their slots and pockets.
pub(super) fn boards_with_cuts(plan: &mut Plan<'_>, told: &Told<'_>) {
    let pocket = style(OperationKind::HalfDepthPocket);
    for board in cut_into(told) {
        plan.solid(std::slice::from_ref(&board.outline), BOARD, THIN);
        for p in board.inside_pockets() {
            plan.solid(
                std::slice::from_ref(&p.outline),
                pocket.fill.unwrap_or(HERE),
                pen(pocket.kind, CUT_WEIGHT * 0.6),
            );
        }
        plan.solid(&board.holes, [255, 255, 255], THIN);
        let cuts = board.inside_pockets().iter().map(|k| &k.outline).chain(&board.holes);
        let room =
            cuts.fold(board.outline.bounds(), |room, cut| room.beside(cut.bounds().grown(plan.millimetres(0.5))));
        plan.name(&Contour::rectangle(room.min, room.max), &short_name(board));
    }
}

/// The boards that have slots or pockets.
pub(super) fn cut_into<'a>(told: &Told<'a>) -> impl Iterator<Item = &'a Piece> {
    let has_cuts = |p: &&Piece| !p.slots().is_empty() || !p.inside_pockets().is_empty();
    pieces_of(told, StockKind::Board).filter(has_cuts)
}

/// The boards that are glued to the covering cloth.
fn on_cloth<'a>(told: &Told<'a>) -> impl Iterator<Item = &'a Piece> {
    pieces_of(told, StockKind::Board).filter(|p| p.role != Role::Tray)
}

/// The boards on the cloth; with their order, or with their joints filled.
pub(super) fn laid_out(plan: &mut Plan<'_>, told: &Told<'_>, numbered: bool) {
    laid_out_on(plan, told, numbered, false);
}

/// The same when the sides that are covered by part are covered too.
pub(super) fn laid_out_covered(plan: &mut Plan<'_>, told: &Told<'_>) {
    laid_out_on(plan, told, false, true);
}

fn laid_out_on(plan: &mut Plan<'_>, told: &Told<'_>, numbered: bool, has_sides: bool) {
    for stock in [StockKind::Paper, StockKind::Cloth] {
        for p in pieces_of(told, stock).filter(|p| has_sides && p.role == Role::Side) {
            plan.solid(std::slice::from_ref(&p.outline), if stock == StockKind::Paper { LINER } else { CLOTH }, THIN);
        }
    }
    for p in pieces_of(told, StockKind::Cloth).filter(|p| p.role == Role::Cover) {
        plan.solid(std::slice::from_ref(&p.outline), CLOTH, THIN);
        let slits: Vec<Stroke> = p.slits.iter().cloned().map(Stroke::Open).collect();
        plan.line(&slits, Pen::solid(INK, 0.35));
    }
    if !numbered {
        plan.fill(&joints(told), HERE);
    }
    for p in on_cloth(told) {
        plan.solid(std::slice::from_ref(&p.outline), BOARD, THIN);
    }
    openings::on_cloth(plan, told, has_sides);
    if numbered {
        for p in on_cloth(told) {
            let n = match p.role {
                Role::Wall => 2,
                Role::Flap => 3,
                _ => 1,
            };
            plan.number(p.outline.bounds().center(), n);
        }
    }
}

/// Whether the boards are worked from their outer face, as folding board is.
pub(super) fn boards_lie_outside_up(told: &Told<'_>) -> bool {
    told.design.pieces.iter().any(|p| p.stock == StockKind::Board && p.lay == Lay::OutsideUp)
}

/// The joints: between a base edge and its wall, and a wall and its lid.
fn joints(told: &Told<'_>) -> Vec<Contour> {
    let Some(flat) = &told.design.flat else { return Vec::new() };
    let g = told.design.measures.joint.to_mm();
    flat.arms
        .values()
        .flat_map(|arm| {
            let (from, to) = arm.wall_ends();
            let strip = |y: f64| Contour::rectangle(pt(from, y), pt(to, y + g)).transformed(&arm.frame);
            [strip(0.0), strip(g + arm.wall_height())]
        })
        .collect()
}

/// A free corner of the first lid: the one farthest from the base.
pub(super) fn free_corner(told: &Told<'_>) -> Option<Point> {
    let parted = covered_by_part(told.job, told.design);
    let is_whole = |side: Option<Side>| !parted.iter().any(|one| one.part.lid() == side);
    let lids = told.design.pieces.iter().filter(|p| p.role == Role::Flap && p.stock == StockKind::Board);
    let Some(lid) = lids.into_iter().find(|p| parted.is_empty() || is_whole(p.side)) else {
        return told.design.flat.as_ref().and_then(|flat| free_corners(flat).into_iter().next());
    };
    let b = lid.outline.bounds();
    let corners = [b.min, b.max, pt(b.min.x, b.max.y), pt(b.max.x, b.min.y)];
    corners.into_iter().max_by(|a, b| a.length().total_cmp(&b.length()))
}

/// Turn-ins with their order: what faces head or tail first.
pub(super) fn turned_in(plan: &mut Plan<'_>, told: &Told<'_>) {
    laid_out(plan, told, false);
    for (at, pair) in turn_ins(told) {
        plan.number(at, pair);
    }
}

/// Where the cloth is turned in, edge by edge, each with the number of its turn.
pub(super) fn turn_ins(told: &Told<'_>) -> Vec<(Point, usize)> {
    let Some(flat) = &told.design.flat else { return Vec::new() };
    let mut all = Vec::new();
    let out = told.job.covering.turn_in.to_mm() / 2.0;
    let parted = covered_by_part(told.job, told.design);
    let is_whole = |part: Part| !parted.iter().any(|one| one.part == part);
    for one in &parted {
        // Where its cloth lies, beside the joint.
        for aside in [-1.0, 1.0] {
            let at = one.frame.apply(pt(aside * (one.size[1] / 2.0 + out), one.cloth / 2.0));
            let is_up = (at - one.frame.apply(pt(0.0, one.cloth / 2.0))).y.abs() > out;
            all.push((at, if is_up { 1 } else { 2 }));
        }
    }
    for (side, arm) in flat.arms.iter().filter(|(side, _)| is_whole(Part::Lid(**side))) {
        let b = arm.flap().bounds();
        for at in Side::ALL {
            // Not towards the hinge.
            if at == side.opposite() {
                continue;
            }
            all.push((beside(b, at, out), pair(at)));
        }
    }
    // The base has free edges where there is no wall.
    for at in Side::ALL.into_iter().filter(|side| !flat.arms.contains_key(side) && is_whole(Part::Base)) {
        all.push((beside(flat.base.bounds(), at, out), pair(at)));
    }
    all
}

/// The middle of one side of a rectangle, so far beyond it.
fn beside(b: Bounds, side: Side, out: f64) -> Point {
    let c = b.center();
    match side {
        Side::Head => pt(c.x, b.max.y + out),
        Side::Tail => pt(c.x, b.min.y - out),
        Side::Left => pt(b.min.x - out, c.y),
        Side::Right => pt(b.max.x + out, c.y),
    }
}

/// Which pair of turn-ins a side belongs to: head and tail are turned first.
const fn pair(side: Side) -> usize {
    match side {
        Side::Head | Side::Tail => 1,
        Side::Left | Side::Right => 2,
    }
}

/// The patches where they lie, flat, before the cloth is turned in, each with its number.
pub(super) fn patched(plan: &mut Plan<'_>, told: &Told<'_>) {
    laid_out(plan, told, false);
    for (n, patch) in told.design.patches.iter().filter(|p| !p.is_of_window).enumerate() {
        plan.solid(std::slice::from_ref(&patch.outline), HERE, THIN);
        // Beside it, off the board: two lie close together at every corner of the base.
        let (c, apart) = (patch.outline.bounds().center(), plan.millimetres(6.0));
        let inwards = patch.edge.as_ref().and_then(|e| Some((e.end - e.start).normalized()?.left()));
        plan.number(c - inwards.unwrap_or(pt(0.0, 0.0)) * apart, n + 1);
    }
}

/// One patch as it goes: on the board, round its edge, and out onto the cloth.
pub(super) fn one_patch(plan: &mut Plan<'_>, told: &Told<'_>, patch: &PatchPlace) {
    laid_out(plan, told, false);
    plan.solid(std::slice::from_ref(&patch.outline), HERE, THIN);
    if let Some(edge) = &patch.edge {
        let line = Path::line(edge.start, edge.end);
        plan.line(&[Stroke::Open(line)], Pen { dashes: &[1.6, 1.0], unit: 0.4, ..Pen::solid(INK, 0.3) });
    }
}

/// The liner on the boards, its first part numbered.
pub(super) fn lined(plan: &mut Plan<'_>, told: &Told<'_>) {
    boards(plan, told, false);
    let Some(flat) = &told.design.flat else { return };
    let b = flat.base.bounds();
    for strip in &told.design.strips {
        plan.solid(std::slice::from_ref(&strip.outline), CLOTH, THIN);
    }
    let liner: Vec<Contour> = told.design.linings.iter().map(|l| l.outline.clone()).collect();
    plan.solid(&liner, LINER, THIN);
    openings::lined(plan, told);
    let slits: Vec<Stroke> =
        pieces_of(told, StockKind::Liner).flat_map(|p| p.slits.iter().cloned().map(Stroke::Open)).collect();
    plan.line(&slits, Pen::solid(INK, 0.35));
    plan.line(&[Stroke::Closed(flat.base.clone())], Pen { dashes: &[2.0, 2.0], unit: 0.4, ..Pen::solid(QUIET, 0.2) });
    plan.number(b.center(), 1);
    let is_panels = told.job.liner.as_ref().is_some_and(|l| l.pieces != LinerPieces::One);
    let is_lined = |side: &Side| !told.design.strips.iter().any(|s| s.side == *side && s.lines == Lines::Both);
    for (side, arm) in &flat.arms {
        if is_panels && is_lined(side) {
            plan.number(arm.wall().bounds().center(), 2);
        }
        plan.number(arm.flap().bounds().center(), if is_panels { 3 } else { 2 });
    }
}

pub(super) fn creased(plan: &mut Plan<'_>, told: &Told<'_>) {
    boards(plan, told, false);
    let creases: Vec<Stroke> =
        pieces_of(told, StockKind::Board).flat_map(|p| p.creases.iter().cloned().map(Stroke::Open)).collect();
    plan.line(&creases, pen(OperationKind::CreaseScore, CUT_WEIGHT * 0.8));
    let slots: Vec<Contour> = pieces_of(told, StockKind::Board).flat_map(|p| p.holes.iter().cloned()).collect();
    plan.solid(&slots, [255, 255, 255], Pen::solid(INK, 0.35));
}

/// Two strips, the outer beneath, what is glued shaded.
pub(super) fn crossed(plan: &mut Plan<'_>, told: &Told<'_>) {
    let mut strips: Vec<&Piece> = pieces_of(told, StockKind::Board).collect();
    let outer_runs_up = told.job.strips.is_none_or(|s| s.outer == StrapAlong::Height);
    let is_outer = |p: &&Piece| {
        let b = p.outline.bounds();
        (b.height() > b.width()) == outer_runs_up
    };
    strips.sort_by_key(|p| !is_outer(p));
    for p in &strips {
        plan.solid(std::slice::from_ref(&p.outline), BOARD, THIN);
    }
    if let [a, b] = strips.as_slice() {
        let (a, b) = (a.outline.bounds(), b.outline.bounds());
        let shared = Contour::rectangle(
            pt(a.min.x.max(b.min.x), a.min.y.max(b.min.y)),
            pt(a.max.x.min(b.max.x), a.max.y.min(b.max.y)),
        );
        plan.solid(&[shared], HERE, THIN);
    }
}

/// What is held in a slot and glued into the pocket beside it.
#[derive(Clone, Copy)]
pub(super) struct Held {
    pub(super) thickness: f64,
    pub(super) slot_ease: f64,
    pub(super) tail: f64,
    pub(super) pocket: f64,
    /// What it is, and the board that it is in.
    pub(super) words: [&'static str; 2],
}

/// Along what is held: the board at a slot, five times as thick as wide.
pub(super) fn section_window(told: &Told<'_>, tail: f64) -> Bounds {
    let t = told.job.board.thickness.to_mm();
    Bounds { min: pt(-tail - 12.0, -5.0 * t), max: pt(24.0, 6.0 * t + 4.0) }
}

/// A section through a board along what is held: slot, pocket, and what lies in them.
pub(super) fn section(plan: &mut Plan<'_>, told: &Told<'_>, held: Held) {
    // Drawn three times as thick as it is long, so that the layers show.
    let thick = 3.0;
    let t = told.job.board.thickness.to_mm() * thick;
    let e = held.thickness;
    let half = (e + held.slot_ease) / 2.0 * thick;
    let deep = held.pocket * thick;
    let e = e * thick;
    let tail = held.tail;
    let board = Contour::polygon([
        pt(-tail - 10.0, 0.0),
        pt(-half, 0.0),
        pt(-half, t - deep),
        pt(-half - tail, t - deep),
        pt(-half - tail, t),
        pt(-tail - 10.0, t),
    ]);
    let edge = Contour::rectangle(pt(half, 0.0), pt(22.0, t));
    plan.solid(&[board, edge], BOARD, THIN);
    let cloth =
        [Contour::rectangle(pt(-tail - 10.0, -1.2), pt(-half, 0.0)), Contour::rectangle(pt(half, -1.2), pt(22.0, 0.0))];
    plan.solid(&cloth, CLOTH, THIN);
    let elastic = Contour::polygon([
        pt(-half - tail + 1.0, t - deep),
        pt(-e / 2.0, t - deep),
        pt(-e / 2.0, -1.2 - e),
        pt(22.0, -1.2 - e),
        pt(22.0, -1.2),
        pt(e / 2.0, -1.2),
        pt(e / 2.0, t - deep + e),
        pt(-half - tail + 1.0, t - deep + e),
    ]);
    plan.solid(&[elastic], [0x9a, 0x9a, 0x9a], THIN);
    let name = |x0: f64, x1: f64, y0: f64, y1: f64| Contour::rectangle(pt(x0, y0), pt(x1, y1));
    plan.name(&name(6.0, 20.0, 0.0, t), held.words[1]);
    plan.name(&name(-tail, -2.0, t + 1.0, t + 5.0), "inside");
    let covered = if covered_by_part(told.job, told.design).is_empty() { "outside, cloth" } else { "outside, covered" };
    plan.name(&name(-tail, -2.0, -7.0, -3.0), covered);
    plan.name(&name(2.0, 22.0, -1.2 - e - 5.0, -1.2 - e - 1.0), held.words[0]);
}

/// The base seen from inside, the ends of the elastic glued flat beside their slots.
pub(super) fn strap_ends(plan: &mut Plan<'_>, told: &Told<'_>) {
    let (Some(strap), Some(flat)) = (told.job.strap, &told.design.flat) else { return };
    plan.solid(std::slice::from_ref(&flat.base), BOARD, THIN);
    let (tail, half) = (strap.tail.to_mm(), told.job.elastic.width.to_mm() / 2.0);
    for slot in pieces_of(told, StockKind::Board).flat_map(|p| p.slots().iter()) {
        let c = slot.bounds().center();
        let end = match strap.along {
            StrapAlong::Height => pt(c.x, c.y - tail * c.y.signum()),
            StrapAlong::Width => pt(c.x - tail * c.x.signum(), c.y),
        };
        let across = if strap.along == StrapAlong::Height { pt(half, 0.0) } else { pt(0.0, half) };
        let b = Bounds::of([c - across, c + across, end - across, end + across]);
        plan.solid(&[Contour::rectangle(b.min, b.max)], [0x9a, 0x9a, 0x9a], THIN);
        plan.solid(std::slice::from_ref(slot), [255, 255, 255], THIN);
    }
    plan.name(&flat.base, "inside of the base");
}

/// What the drawing of a press shows.
pub(super) fn press_window() -> Bounds {
    Bounds { min: pt(-100.0, -5.0), max: pt(100.0, 75.0) }
}

/// The open box between boards, under a weight.
pub(super) fn pressed(plan: &mut Plan<'_>, _: &Told<'_>) {
    let slab = |y: f64, high: f64, half: f64| Contour::rectangle(pt(-half, y), pt(half, y + high));
    plan.solid(&[slab(0.0, 8.0, 90.0)], BOARD, THIN);
    plan.solid(&[slab(8.0, 1.5, 84.0)], LINER, THIN);
    plan.solid(&[slab(9.5, 4.0, 78.0)], CLOTH, THIN);
    plan.solid(&[slab(13.5, 1.5, 84.0)], LINER, THIN);
    plan.solid(&[slab(15.0, 8.0, 90.0)], BOARD, THIN);
    let weight = slab(23.0, 32.0, 40.0);
    plan.solid(std::slice::from_ref(&weight), [0xc4, 0xc4, 0xc4], THIN);
    plan.name(&weight, "weight");
    plan.line(&[Stroke::Open(Path::line(pt(-100.0, 0.0), pt(100.0, 0.0)))], Pen::solid(INK, 0.4));
}

pub(super) fn in_space(plan: &mut Plan<'_>, window: Bounds, boards: &[Board]) {
    let seen = picture(boards, FROM_TAIL_RIGHT);
    let room = Bounds { min: plan.put(window.min), max: plan.put(window.max) };
    let put = place(&seen, room);
    draw(plan.page, &seen, &put);
}

pub(super) fn closed(plan: &mut Plan<'_>, told: &Told<'_>) {
    let Some(flat) = &told.design.flat else { return };
    let window = around([flat.base.bounds()], 30.0);
    in_space(plan, window, &states::closed(told.job, told.design));
}

pub(super) fn half_closed(plan: &mut Plan<'_>, told: &Told<'_>) {
    let Some(flat) = &told.design.flat else { return };
    let window = around([flat.base.bounds()], 30.0);
    in_space(plan, window, &states::half_closed(told.job, told.design));
}
