//! Slipcase: two faces, a back across from the open side, and two ends, glued at their edges, lined flat before that and
//! covered in one piece of cloth, which is turned in at the mouth.

use super::build::{Build, Made};
use super::flat::{Corners, Flat};
use super::measures::{Auto, Measures, thicknesses};
use super::meeting::Lying;
use super::slipcase_boards::{OFF_GLUE, SlipcaseMeasures, along_across, measures, placed};
use super::slipcase_cloth::{self, Wrapped};
use super::work::Step;
use super::{Design, Lay, Piece, Role};
use crate::assembly::{Assembly, Cover, Face, Hinge, Layer, LayerKind, Panel, Part};
use crate::geom::{Contour, Point, Segment, Transform, pt};
use crate::job::{Grain, Job, Side, StockKind};
use crate::units::{Length, mm};

pub(super) struct Slipcase;

/// Between the pieces in the layout, mm.
const APART: f64 = 20.0;

impl Corners for Slipcase {
    fn short_ends(&self, _: &Job, _: Side, _: f64) -> (f64, f64) {
        (0.0, 0.0)
    }
}

impl Build for Slipcase {
    /// Nothing is hinged: the layout is the lower face alone.
    fn measures(&self, job: &Job, _: Option<&Lying>) -> Auto {
        Auto::unhinged(job, measures(job).map(|m| along_across(m.open, m.face.map(mm))))
    }

    fn pieces(&self, job: &Job, _: &Measures, _: &Flat) -> Made {
        let mut made = Made::default();
        let Some(m) = measures(job) else { return made };
        let (t, c, l) = thicknesses(job);
        let (t, l) = (t.to_mm(), l.to_mm());
        let turn = m.turn();
        let piece = |stock: StockKind, what: &str, role, count: u32, outline: &Contour| {
            let plain = Piece::plain(format!("{}-{what}", stock.word()), stock, role, outline.transformed(&turn));
            Piece { count, grain: Grain::Height, ..plain }
        };
        let all = m.flat();
        // Both faces are alike, and both ends.
        let named: Vec<(&str, u32, &(Part, Contour))> =
            ["face", "back", "end"].into_iter().zip([2, 1, 2]).zip(&all).map(|((n, k), p)| (n, k, p)).collect();
        for (what, count, (part, outline)) in &named {
            let role = if *part == Part::Base { Role::Base } else { Role::Wall };
            let mut board = piece(StockKind::Board, what, role, *count, outline);
            board.side = (*what == "back").then(|| m.open.opposite());
            made.pieces.push(board);
        }
        let wrapped = Wrapped { turn_in: job.covering.turn_in.to_mm(), board: t, cloth: c.to_mm(), lining: l };
        let cloth = slipcase_cloth::cloth(job, &m, &wrapped);
        let mut cover = piece(StockKind::Cloth, "cover", Role::Cover, 1, &cloth.outline);
        cover.slits = cloth.slits.iter().map(|s| s.transformed(&turn)).collect();
        if job.draws_on(StockKind::Cloth) {
            cover.marks = cloth.marks.iter().map(|s| s.transformed(&turn)).collect();
        }
        made.pieces.push(cover);
        if let Some((outline, slits)) = slipcase_cloth::strip(&m, &wrapped) {
            // Beside the notch that it goes round.
            let to = Transform::shift(pt(m.face[0] / 2.0 + APART, -outline.bounds().height() / 2.0));
            let mut strip = piece(StockKind::Cloth, "notch", Role::Patch, 2, &outline.transformed(&to));
            strip.slits = slits.iter().map(|s| s.transformed(&to).transformed(&turn)).collect();
            strip.grain = Grain::None;
            made.pieces.push(strip);
        }
        if l > 0.0 {
            for (what, count, (part, outline)) in &named {
                let lining = m.inside(*part, outline, t, [l + OFF_GLUE, OFF_GLUE]);
                let liner = piece(StockKind::Liner, what, Role::Liner, *count, &lining);
                made.pieces.push(Piece { lay: Lay::Mirrored, ..liner });
            }
        }
        made
    }

    fn assembly(&self, job: &Job, _: &Measures, _: &Flat, _: &Made) -> Assembly {
        let mut all = Assembly::default();
        let Some(m) = measures(job) else { return all };
        let t = thicknesses(job).0.to_mm();
        let turn = m.turn();
        let [x, y] = m.face.map(|f| f / 2.0);
        let far = -x - m.back[1];
        for (part, outline) in m.flat() {
            let child = all.panels.len();
            // The lower edge of a wall at the lower face; the back's upper edge at the upper one. What hangs lies to
            // the right of it.
            let edge = |a: Point, b: Point| Segment::line(a, b);
            let half = m.back[0] / 2.0;
            let (parent, axis) = match part {
                Part::Wall(Side::Left) => (0, edge(pt(-x, half), pt(-x, -half))),
                Part::Wall(Side::Head) => (0, edge(pt(x, y), pt(x - m.end[0], y))),
                Part::Wall(_) => (0, edge(pt(x - m.end[0], -y), pt(x, -y))),
                Part::UpperFace => (1, edge(pt(far, half), pt(far, -half))),
                _ => (0, edge(pt(x, y), pt(-x, y))),
            };
            all.panels.push(panel(job, &m, part, &outline));
            if part == Part::Base {
                continue;
            }
            // A wall on the lower face is higher by its board, one beside it farther out; the upper face goes over the
            // back or stays within it.
            let is_on = m.faces_outside != (part == Part::UpperFace);
            let closed = if is_on { [0.0, t] } else { [t, 0.0] };
            all.hinges.push(Hinge::glued([parent, child], turn.segment(&axis), closed));
        }
        all
    }

    fn steps(&self, job: &Job, _: &Design) -> Vec<Step> {
        let is_notched = job.slipcase.is_some_and(|s| s.notch.is_some());
        [
            (Step::Cut, true),
            (Step::LineBoards, job.liner.is_some()),
            (Step::BuildCase, true),
            (Step::NotchStrips, is_notched),
            (Step::CoverCase, true),
            (Step::TurnMouth, true),
            (Step::Close, true),
        ]
        .into_iter()
        .filter_map(|(step, is_due)| is_due.then_some(step))
        .collect()
    }
}

/// A board of the case with all that is glued on it, in the layout.
fn panel(job: &Job, m: &SlipcaseMeasures, part: Part, outline: &Contour) -> Panel {
    let (t, c, l) = thicknesses(job);
    let [t, c, l] = [t, c, l].map(Length::to_mm);
    let turn = m.turn();
    let (called, piece) = match part {
        Part::Base => (Some("lower face"), "board-face"),
        Part::UpperFace => (None, "board-face"),
        Part::Wall(Side::Left) => (Some("back"), "board-back"),
        Part::Wall(side) => (Some(end_name(m.side(side))), "board-end"),
        _ => (None, ""),
    };
    let area = |outline: &Contour| Cover::Area(outline.transformed(&turn));
    let layer = |kind, face, cover, thickness| Layer { kind, face, cover, thickness };
    let mut layers = vec![layer(LayerKind::Cloth, Face::Outside, area(outline), c)];
    let is_end = matches!(part, Part::Wall(Side::Head | Side::Tail));
    if is_end {
        // The flaps of both faces lie there one over the other.
        layers.push(layer(LayerKind::TurnIn, Face::Outside, area(outline), c));
    }
    if l > 0.0 {
        layers.push(layer(
            LayerKind::Liner,
            Face::Inside,
            area(&m.inside(part, outline, t, [l + OFF_GLUE, OFF_GLUE])),
            l,
        ));
    }
    let mut turned = Vec::new();
    if let Some(band) = m.turned_on(part, outline, [t, c, l]) {
        turned.push(band.transformed(&turn));
        layers.push(layer(LayerKind::TurnIn, Face::Inside, area(&band), c));
    }
    // Round the edges at the mouth; at the upper face these are across from the hinge.
    let mouth = if part == Part::UpperFace { outline.bounds().min.x } else { outline.bounds().max.x };
    let at_mouth = |s: &Segment| !s.is_line() || [s.start, s.end].iter().all(|p| (p.x - mouth).abs() < 1e-9);
    if part != Part::Wall(Side::Left) {
        for s in outline.segments().filter(at_mouth) {
            let cover = || Cover::Along(turn.segment(&s));
            layers.push(layer(LayerKind::TurnIn, Face::Edge, cover(), c));
            // Where the cloth of an end meets that of a face the one lies over the other; about a notch a strip lies
            // beneath.
            if is_end || !s.is_line() {
                layers.push(layer(LayerKind::Patch, Face::Edge, cover(), c));
            }
        }
    }
    if let (Part::Base | Part::UpperFace, Some(band)) = (part, m.beside_notch(slipcase_cloth::MARGIN)) {
        let band = if part == Part::Base { band } else { m.as_upper(&band, outline) };
        layers.push(layer(LayerKind::Patch, Face::Outside, area(&band), c));
    }
    Panel {
        part: placed(m, part),
        called,
        piece: piece.into(),
        outline: outline.transformed(&turn),
        holes: Vec::new(),
        recesses: Vec::new(),
        outside_recesses: Vec::new(),
        thickness: t,
        level: 0.0,
        layers,
        turned,
        turned_paper: Vec::new(),
    }
}

/// The end at a side in words.
const fn end_name(side: Side) -> &'static str {
    match side {
        Side::Head => "head end",
        Side::Tail => "tail end",
        Side::Left => "left end",
        Side::Right => "right end",
    }
}
