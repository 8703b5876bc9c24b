//! The dressed box in the manifest: what an outsider needs to fold it with every layer counted. Panels and
//! hinges in the coordinates of the pieces, the layers' thicknesses, where each patch lies, and what of the
//! liner every joint swallows. What lies where follows from the pieces themselves.

use crate::assembly::{CasePart, HingeKind, Part};
use crate::design::{Design, Lines, thicknesses};
use crate::geom::{Contour, Segment};
use crate::job::{Job, Seat, Side};
use crate::units::{Length, mm};
use serde::Serialize;

/// The box as it is folded.
#[derive(Clone, Debug, Serialize)]
pub struct Dressed {
    /// Width, height and depth of the stack as measured; where more lies inside, of all of it as one block.
    contents: [Length; 3],
    /// How thick board, cloth and liner are, as applied; zero for what the box does without.
    board: Length,
    cloth: Length,
    liner: Length,
    /// How thick the paper of its sides is; left out where it has none.
    #[serde(skip_serializing_if = "Option::is_none")]
    paper: Option<Length>,
    /// `beside` or `on-base`; `creased` where it folds at creases.
    seat: &'static str,
    /// How far cloth is folded over a free edge.
    turn_in: Length,
    /// How far the liner stays in from a free edge.
    reveal: Length,
    /// By how much the liner, or a hinge strip, is longer in every joint than the joint is wide.
    take_up: Length,
    panels: Vec<Panel>,
    hinges: Vec<Hinge>,
    patches: Vec<Patch>,
    /// Where each hinge strip lies; where there are some, the linings' pieces lie where they are drawn.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    strips: Vec<Strip>,
    /// Where the linings lie whose edges are folded under.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    linings: Vec<Lining>,
}

#[derive(Clone, Debug, Serialize)]
struct Panel {
    part: &'static str,
    side: Option<Side>,
    piece: String,
    outline: Contour,
    /// How high its outside face lies in the flat layout.
    level: Length,
}

#[derive(Clone, Debug, Serialize)]
struct Hinge {
    parent: usize,
    child: usize,
    kind: HingeKind,
    /// The parent's hinge edge, the child to its right.
    axis: [[f64; 2]; 2],
    width: Length,
    /// 0 for the walls, then the lids by their order of closing.
    order: u32,
}

#[derive(Clone, Debug, Serialize)]
struct Patch {
    piece: String,
    panel: usize,
    place: String,
    /// Where it lies, flat, before the cloth is turned in.
    outline: Contour,
    /// The board's edge that it goes round.
    edge: Option<[[f64; 2]; 2]>,
}

#[derive(Clone, Debug, Serialize)]
struct Strip {
    piece: String,
    place: String,
    /// Where it lies, flat, in the layout of the panels; as cut it is wider by the take-up of each of its joints.
    outline: Contour,
    /// How many joints it lines.
    joints: u32,
}

#[derive(Clone, Debug, Serialize)]
struct Lining {
    piece: String,
    /// Its edge as it lies, in the coordinates of the piece.
    outline: Contour,
    /// How far its edges are folded under.
    folded: Length,
}

/// The dressed box of a job's design.
pub fn dressed(job: &Job, design: &Design) -> Dressed {
    let (board, cloth, liner) = thicknesses(job);
    let c = &job.contents;
    let all = &design.assembly;
    let is_hinged = job.build.construction.terms().is_hinged;
    let ends = |s: &Segment| [[s.start.x, s.start.y], [s.end.x, s.end.y]];
    Dressed {
        contents: [c.width, c.height, c.depth],
        board,
        cloth,
        liner,
        paper: job.paper.as_ref().filter(|_| has_sides(design)).map(|p| p.thickness).filter(|p| *p > Length::ZERO),
        seat: match job.build.seat {
            _ if !is_hinged => "creased",
            Seat::Beside => "beside",
            Seat::OnBase => "on-base",
        },
        turn_in: job.covering.turn_in,
        reveal: job.covering.reveal,
        take_up: crate::design::take_up(job, &design.measures),
        panels: all
            .panels
            .iter()
            .map(|p| Panel {
                part: match p.part {
                    Part::Base => "base",
                    Part::OuterBase => "outer-base",
                    Part::Wall(_) => "wall",
                    Part::Lid(_) => "lid",
                    Part::UpperFace => "upper-face",
                    Part::Tray(..) => "tray",
                    Part::Case(CasePart::Back) => "back-cover",
                    Part::Case(CasePart::Spine) => "spine",
                    Part::Case(CasePart::Front) => "front-cover",
                },
                side: p.part.wall().or(p.part.lid()),
                piece: p.piece.clone(),
                outline: p.outline.clone(),
                level: mm(p.level),
            })
            .collect(),
        hinges: all
            .hinges
            .iter()
            .map(|h| Hinge {
                parent: h.parent,
                child: h.child,
                kind: h.kind,
                axis: ends(&h.axis),
                width: mm(h.width),
                order: h.order,
            })
            .collect(),
        patches: design
            .patches
            .iter()
            .map(|p| Patch {
                piece: p.id.clone(),
                panel: all.panels.iter().position(|q| q.part == p.part).unwrap_or_default(),
                place: p.place.clone(),
                outline: p.outline.clone(),
                edge: p.edge.as_ref().map(ends),
            })
            .collect(),
        strips: design
            .strips
            .iter()
            .map(|s| Strip {
                piece: s.id.clone(),
                place: s.place(),
                outline: s.outline.clone(),
                joints: if s.lines == Lines::Both { 2 } else { 1 },
            })
            .collect(),
        linings: design
            .linings
            .iter()
            .filter(|l| !l.folds.is_empty())
            .map(|l| Lining { piece: l.id.clone(), outline: l.outline.clone(), folded: job.lining_fold() })
            .collect(),
    }
}

/// Whether any of it is covered by part.
fn has_sides(design: &Design) -> bool {
    design.pieces.iter().any(|p| p.role == crate::design::Role::Side)
}
