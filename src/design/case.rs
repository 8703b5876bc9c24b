//! A case of two covers and a spine round what is within: trays, a wrapper with lids, or loose sheets.
//!
//! It is made of hinged boards: its base is the back cover, its one wall the spine, its one lid the front cover. A strip
//! of cloth lines the spine from cover to cover, and lies in both of its joints on either face; so with t, c the
//! thicknesses of board and cloth a joint passes `t + 2 c` of the spine turned in and `2 c` of the strip (derived).

use super::build::{Build, Made};
use super::hinged::{self, HingedBoards};
use super::measures::{self, Auto, Measures, thicknesses, turned_onto};
use super::meeting::Lying;
use super::{Piece, Pocket, Role};
use crate::assembly::{Assembly, CasePart, Cover, Hinge, Layer, Panel, Part};
use crate::diag::Diagnostic;
use crate::geom::{Contour, Path, Point, Segment, Stroke, Transform, pt};
use crate::job::{Contents, Flap, FlapShape, Grain, Job, Seat, Side, SideOn, StockKind};
use crate::units::{Length, mm};
use std::collections::BTreeMap;

/// The side of the case at which its spine is.
pub(super) const SPINE: Side = Side::Left;
/// Between the bodies in the layout, mm.
pub(super) const APART: f64 = 30.0;

/// What a case is made round.
pub(super) struct Round {
    /// Width, height and depth of what is within, mm.
    pub(super) size: [f64; 3],
    /// What of that depth is clearance.
    pub(super) clearance: Length,
    /// How far the covers stand out beyond it.
    pub(super) square: Length,
    /// What is glued between it and both covers, less the turn-in of the front cover.
    pub(super) between: Length,
}

/// What of a portfolio's case lies in it: its outline as measured, from where to where it reaches in height, mm, in the
/// layout of the case; `None` where it holds trays, or a job is of no case.
pub fn held(job: &Job) -> Option<(Contour, [f64; 2])> {
    let within = job.portfolio.as_ref()?.within.as_ref()?;
    let c = &within.contents;
    let half = pt(c.width.to_mm() / 2.0, c.height.to_mm() / 2.0);
    let middle = pt((c.interior_width() - job.contents.width).to_mm() / 2.0, 0.0);
    let floor = (job.board.thickness + glued(job)[0]).to_mm();
    Some((Contour::rectangle(middle - half, middle + half), [floor, floor + c.depth.to_mm()]))
}

/// How thick what is glued between a portfolio's covers and what is within is, where it is most: on the back cover the
/// cloth turned in and the lining of the spine, under loose sheets the liner too; on the front cover all three.
pub(super) fn glued(job: &Job) -> [Length; 2] {
    let Some(within) = job.within() else { return [Length::ZERO; 2] };
    // The strip at the spine over the cloth turned in, or beside it paper that laps over that.
    let on = |cover| (thicknesses(job).1 * 2.0).max(turned_onto(job, cover));
    let (back, front) = (on(SideOn::Back), on(SideOn::Front));
    [if within.wrapper.is_some() { back } else { back + within.lining }, front + within.lining]
}

/// What is said of the hinged boards of a portfolio's case, in the words of a case.
pub fn told(job: &Job, d: Diagnostic) -> Diagnostic {
    let Some(within) = job.portfolio.as_ref().and_then(|p| p.within.as_ref()) else { return d };
    let (stack, joint) = match within.wrapper {
        Some(_) => ("the wrapper", "the case's joint binds"),
        None => ("the stack", "the joint binds"),
    };
    let words = [
        ("the wall at left", "the spine"),
        ("left lid", "front cover"),
        ("left wall", "spine"),
        ("its wall", "its spine"),
        ("the stack", stack),
        ("the joint binds", joint),
    ];
    let said = |text: &str| words.iter().fold(text.to_owned(), |text, (from, to)| text.replace(from, to));
    Diagnostic { message: said(&d.message), hint: d.hint.as_deref().map(said), ..d }
}

/// Makes a job that of a case round something.
pub(super) fn make_round(case: &mut Job, round: &Round) {
    let across = mm(round.size[0]) + round.square;
    let depth = mm(round.size[2]) + round.between - round.clearance;
    case.contents = Contents::block([across, mm(round.size[1]) + round.square * 2.0, depth], round.clearance);
    let cover = Flap { tier: 1, reach: across, shape: FlapShape::Square, corner_radius: Length::ZERO, notch: None };
    case.flaps = BTreeMap::from([(SPINE, cover)]);
    case.build.flap_inset = Some(Length::ZERO);
    case.build.seat = Seat::Beside;
}

/// The measures of a case: its joints are wider by the lining of the spine on both faces.
pub(super) fn measures(job: &Job, lying: Option<&Lying>) -> Auto {
    let mut auto = HingedBoards.measures(job, lying);
    auto.joint_thickness += thicknesses(job).1 * 2.0;
    (auto.joint, auto.ease) = measures::joint(job, auto.joint_thickness);
    auto
}

/// The pieces of a case have names of their own.
pub(super) fn named(mut made: Made) -> Made {
    for piece in &mut made.pieces {
        piece.id = piece
            .id
            .replace("-base", "-back-cover")
            .replace("-wall-left", "-spine")
            .replace("-flap-left", "-front-cover");
        if piece.role == Role::Cover {
            piece.id = "cloth-case".into();
        }
    }
    made
}

/// Its panels likewise, with what is cut into them.
pub(super) fn named_panels(all: &mut Assembly, pieces: &[Piece]) {
    for panel in &mut all.panels {
        let (piece, called) = match panel.part {
            Part::Base => ("board-back-cover", "back cover"),
            Part::Wall(_) => ("board-spine", "spine"),
            _ => ("board-front-cover", "front cover"),
        };
        panel.piece = piece.into();
        panel.called = Some(called);
    }
    hinged::cut_into(all, pieces);
}

/// The cloth that lines the spine, so high: from one cover into the joint, over the spine, into the other joint and onto
/// the other cover, on either side as far as `beyond` says, mm.
pub(super) fn spine_lining(job: &Job, m: &Measures, [beyond, high]: [f64; 2], at: Point) -> Piece {
    let spine = m.walls.get(&SPINE).copied().unwrap_or_default().to_mm();
    // It is rubbed down into each joint.
    let pressed = 2.0 * job.board.thickness.to_mm() * job.covering.groove_press;
    let across = spine + 2.0 * (m.joint.to_mm() + pressed + beyond);
    let outline = Contour::rectangle(at - pt(0.0, high / 2.0), at + pt(across, high / 2.0));
    Piece { grain: Grain::Height, ..Piece::plain("cloth-spine-lining".into(), StockKind::Cloth, Role::Tray, outline) }
}

/// A piece moved in the layout.
pub(super) fn moved(piece: &Piece, by: Point) -> Piece {
    let t = &Transform::shift(by);
    let path = |p: &Path| p.transformed(t);
    let stroke = |s: &Stroke| s.transformed(t);
    let pockets =
        |of: &[Pocket]| of.iter().map(|k| Pocket { outline: k.outline.transformed(t), ..k.clone() }).collect();
    Piece {
        outline: piece.outline.transformed(t),
        holes: piece.holes.iter().map(|h| h.transformed(t)).collect(),
        pockets: pockets(&piece.pockets),
        back_pockets: pockets(&piece.back_pockets),
        slits: piece.slits.iter().map(path).collect(),
        creases: piece.creases.iter().map(path).collect(),
        marks: piece.marks.iter().map(stroke).collect(),
        ..piece.clone()
    }
}

/// Puts a box into its case: the case's panels, moved to where its back cover lies under the box, which is glued to it.
/// The spine rises after all lids are closed, and then the front cover.
pub(super) fn join(all: &mut Assembly, case: &Assembly, by: Point, level: f64) {
    let first = all.panels.len();
    let last = all.hinges.iter().map(|h| h.order).max().unwrap_or_default();
    let t = Transform::shift(by);
    let segment = |s: &Segment| Segment { start: t.apply(s.start), end: t.apply(s.end), ..*s };
    let layer = |l: &Layer| Layer {
        cover: match &l.cover {
            Cover::Area(area) => Cover::Area(area.transformed(&t)),
            Cover::Along(s) => Cover::Along(segment(s)),
        },
        ..l.clone()
    };
    let contours = |some: &[Contour]| some.iter().map(|c| c.transformed(&t)).collect();
    let recesses = |some: &[(Contour, f64)]| some.iter().map(|(c, deep)| (c.transformed(&t), *deep)).collect();
    for panel in &case.panels {
        all.panels.push(Panel {
            part: Part::Case(match panel.part {
                Part::Base => CasePart::Back,
                Part::Wall(_) => CasePart::Spine,
                _ => CasePart::Front,
            }),
            outline: panel.outline.transformed(&t),
            holes: contours(&panel.holes),
            recesses: recesses(&panel.recesses),
            outside_recesses: recesses(&panel.outside_recesses),
            level: panel.level + level,
            layers: panel.layers.iter().map(layer).collect(),
            turned: contours(&panel.turned),
            turned_paper: contours(&panel.turned_paper),
            ..panel.clone()
        });
    }
    let Some(axis) = all.panels.first().and_then(|p| p.outline.segments().next()) else { return };
    all.hinges.push(Hinge { height: level, angle: 0.0, ..Hinge::glued([0, first], axis, [0.0, 0.0]) });
    all.hinges.extend(case.hinges.iter().map(|h| Hinge {
        parent: h.parent + first,
        child: h.child + first,
        axis: segment(&h.axis),
        height: h.height + level,
        order: last + 1 + h.order,
        ..h.clone()
    }));
}
