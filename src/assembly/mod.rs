//! The box as it is made: boards with all that is glued on them, and what joins them.
//!
//! An assembly is built once, by a construction, from the open box laid flat. Its panels lie in the
//! coordinates of that layout: x to the right, y to the head, and z up from the boards' outside
//! faces, so that a board of thickness t reaches from z = 0 (outside, down) to z = t (inside, up).
//! Hinges say how a panel moves against the one that it hangs on; a [`Pose`] gives every hinge its
//! state between flat and closed, and [`Assembly::posed`] where each panel then is.
//!
//! Everything that shows or judges the folded box reads this model: fit, exterior, strap path,
//! drawings, meshes.

mod mesh;
mod pose;
#[cfg(test)]
mod tests;

pub use mesh::Mesh;
pub use pose::{Pose, Space, Stance, space};

use crate::geom::{Contour, Segment};
use crate::job::Side;
use serde::Serialize;

/// Panels and hinges of one box.
#[derive(Clone, Debug, Default)]
pub struct Assembly {
    /// The panels; one that hangs on another stands after it.
    pub panels: Vec<Panel>,
    /// The hinges, in the order of their panels.
    pub hinges: Vec<Hinge>,
}

/// Which part of the box a panel is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// What the contents lie on.
    Base,
    /// The base of the strip beneath, where two strips cross.
    OuterBase,
    /// The board that rises at a side.
    Wall(Side),
    /// The lid of a side.
    Lid(Side),
    /// The face of a slipcase across from its base, which its back holds.
    UpperFace,
    /// A part of a tray.
    Tray(Tray, TrayPart),
    /// A part of the case that a box is glued into.
    Case(CasePart),
}

/// A board of a case.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum CasePart {
    /// The cover that the box is glued to.
    Back,
    /// What joins the covers.
    Spine,
    /// The cover that closes over it.
    Front,
}

/// Which tray of a box of two.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Tray {
    /// The one that holds the stack.
    Small,
    /// The one that closes over it.
    Large,
    /// The one under a lid.
    Open,
    /// A lid that is a tray itself, and lifts off.
    Lid,
}

impl Tray {
    /// Its word in the ids of pieces.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Small => "small-tray",
            Self::Large => "large-tray",
            Self::Open => "tray",
            Self::Lid => "lid",
        }
    }
}

/// A board of a tray.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum TrayPart {
    /// Its floor.
    Base,
    /// The wall at a side, as the tray lies in the open box.
    Wall(Side),
}

impl Part {
    /// In words, for messages: `left wall`.
    pub fn name(self) -> String {
        match self {
            Self::Base => "base".into(),
            Self::OuterBase => "outer base".into(),
            Self::Wall(side) => format!("{} wall", side.word()),
            Self::Lid(side) => format!("{} lid", side.word()),
            Self::UpperFace => "upper face".into(),
            Self::Case(CasePart::Back) => "back cover".into(),
            Self::Case(CasePart::Spine) => "spine".into(),
            Self::Case(CasePart::Front) => "front cover".into(),
            Self::Tray(tray, part) => {
                let tray = tray.word().replace('-', " ");
                match part {
                    TrayPart::Base => format!("floor of the {tray}"),
                    TrayPart::Wall(side @ (Side::Head | Side::Tail)) => format!("{} wall of the {tray}", side.word()),
                    TrayPart::Wall(side) if tray == "tray" || tray == "lid" => {
                        format!("{} wall of the {tray}", side.word())
                    }
                    TrayPart::Wall(_) => format!("fore-edge wall of the {tray}"),
                }
            }
        }
    }

    /// The side of a lid.
    pub const fn lid(self) -> Option<Side> {
        match self {
            Self::Lid(side) => Some(side),
            _ => None,
        }
    }

    /// Whether it belongs to a tray.
    pub const fn is_of_tray(self) -> bool {
        matches!(self, Self::Tray(..))
    }

    /// Whether it belongs to a case round a wrapper.
    pub const fn is_of_case(self) -> bool {
        matches!(self, Self::Case(_))
    }

    /// Whether it belongs to a body beside the one that its lids close: to a tray, or to the case round it.
    pub const fn is_of_another(self) -> bool {
        self.is_of_tray() || self.is_of_case()
    }

    /// The side of a wall.
    pub const fn wall(self) -> Option<Side> {
        match self {
            Self::Wall(side) => Some(side),
            _ => None,
        }
    }
}

/// A board, or a part of one between creases, and what is glued on it.
#[derive(Clone, Debug)]
pub struct Panel {
    /// What it is.
    pub part: Part,
    /// What it is called where that is not what its part is: the spine of a case.
    pub called: Option<&'static str>,
    /// The piece of board that it is, or is a part of.
    pub piece: String,
    /// Its outline in the flat layout, counter-clockwise, mm.
    pub outline: Contour,
    /// Through-cuts in it, clockwise.
    pub holes: Vec<Contour>,
    /// Recesses in its inside face, each with its depth, mm.
    pub recesses: Vec<(Contour, f64)>,
    /// The same in its outside face.
    pub outside_recesses: Vec<(Contour, f64)>,
    /// The board's thickness, mm.
    pub thickness: f64,
    /// How high it lies in the flat layout, mm: above zero where it lies on another board.
    pub level: f64,
    /// What is glued on it, from the board outwards.
    pub layers: Vec<Layer>,
    /// Where cloth turned in lies on its inside, tab by tab as it was cut, counter-clockwise; tabs may lie over each
    /// other and reach past its outline. The layers show them as even bands.
    pub turned: Vec<Contour>,
    /// The same of the paper of a side.
    pub turned_paper: Vec<Contour>,
}

/// A layer on one face of a panel, or round its edge.
#[derive(Clone, Debug)]
pub struct Layer {
    /// What it is.
    pub kind: LayerKind,
    /// Where it lies.
    pub face: Face,
    /// What it covers of the face, in the flat layout; round an edge, the stretch of it.
    pub cover: Cover,
    /// Its thickness, mm.
    pub thickness: f64,
}

/// What a layer is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum LayerKind {
    /// The covering cloth on the outside.
    Cloth,
    /// The cloth folded over a free edge.
    TurnIn,
    /// The cloth that covers what a slit leaves bare.
    Patch,
    /// The same of paper, at a window that paper is turned in through.
    PaperPatch,
    /// The cloth that lines a joint and laps onto its boards.
    HingeStrip,
    /// The edge of a lining that is folded under it.
    LinerFold,
    /// The lining.
    Liner,
    /// The paper of a side, on the outside.
    Paper,
    /// That paper folded over a free edge.
    PaperTurnIn,
}

/// The face on which a layer lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Face {
    /// Towards the contents.
    Inside,
    /// Away from them.
    Outside,
    /// Round the board's thickness.
    Edge,
}

/// How far a layer reaches.
#[derive(Clone, Debug)]
pub enum Cover {
    /// An area of a face.
    Area(Contour),
    /// A stretch of an edge, the board to its left.
    Along(Segment),
}

/// What joins a panel to the one that it hangs on, and how it folds.
///
/// It is described in its own frame: u along the hinge, v from the parent towards the child in the
/// flat layout, z up. Flat, the child's hinge corner lies `width` beyond the parent's, both at
/// `height`; closed, `closed` says how far it then lies beyond it and above it in the parent's own
/// directions, and the child has turned by `angle` towards the inside.
#[derive(Clone, Debug)]
pub struct Hinge {
    /// The panel that it hangs on, by its number.
    pub parent: usize,
    /// The panel that hangs.
    pub child: usize,
    /// A joint of cloth, or a crease in the board.
    pub kind: HingeKind,
    /// The parent's hinge edge in the flat layout, the child to its right.
    pub axis: Segment,
    /// The gap between the two hinge edges, mm; zero for a crease.
    pub width: f64,
    /// Above the outside face, the height of the line about which it folds, mm: zero where the cloth
    /// is the hinge, half the board for a crease.
    pub height: f64,
    /// Where the child's hinge corner lies once closed: beyond the parent's and above it, mm.
    pub closed: [f64; 2],
    /// How far the child turns, radians.
    pub angle: f64,
    /// When it is closed: 0 the walls, then the lids by their order, lowest first.
    pub order: u32,
    /// What it must pass when closed.
    pub room: Room,
}

impl Hinge {
    /// Two boards glued together, the child standing up from the parent: closed so far beyond its edge and above it.
    pub(crate) fn glued([parent, child]: [usize; 2], axis: Segment, closed: [f64; 2]) -> Self {
        Self {
            parent,
            child,
            kind: HingeKind::Glued,
            axis,
            width: 0.0,
            height: 0.0,
            closed,
            angle: std::f64::consts::FRAC_PI_2,
            order: 0,
            room: Room::default(),
        }
    }
}

/// What joins two panels.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum HingeKind {
    /// A strip of cloth between two boards.
    Joint,
    /// A fold in one board.
    Crease,
    /// Glued: it does not move.
    Glued,
    /// Nothing: it is laid where it closes.
    Loose,
}

/// The layers that meet in a closed joint, at the place along it where there are most.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Room {
    /// Each with what it is, what it lies on, and its thickness in mm.
    pub parts: Vec<(LayerIn, f64)>,
}

/// What lies in a joint.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum LayerIn {
    /// The thickness of the board that stands in it.
    Board,
    /// The turn-ins of both boards, at its ends.
    TurnIns,
    /// The liner on both faces.
    Liners,
    /// The liner folded double where it is pressed into a joint that ends outside the base.
    DoubledLiner,
    /// The hinge strip round one board's edge, and its lap on the other's face.
    HingeStrips,
    /// The hinge strip folded double, as a liner that is pressed into a joint.
    DoubledStrip,
}

impl Room {
    /// What the joint must pass, mm.
    pub fn needed(&self) -> f64 {
        self.parts.iter().map(|p| p.1).sum()
    }
}

impl Panel {
    /// In words, for messages.
    pub fn name(&self) -> String {
        self.called.map_or_else(|| self.part.name(), str::to_owned)
    }

    /// How thick what is turned in over its edges is where it lies once, and where paper laps over cloth, mm.
    pub fn turned_in(&self) -> [f64; 2] {
        let (cloth, paper) = (self.thickest(LayerKind::TurnIn), self.thickest(LayerKind::PaperTurnIn));
        [cloth.max(paper), cloth + paper]
    }

    /// How thick layers of a kind are, mm; zero where there are none.
    pub fn thickest(&self, kind: LayerKind) -> f64 {
        self.layers.iter().filter(|l| l.kind == kind).map(|l| l.thickness).fold(0.0, f64::max)
    }

    /// The same of those on one face.
    pub fn thickest_on(&self, face: Face, kind: LayerKind) -> f64 {
        self.layers.iter().filter(|l| l.kind == kind && l.face == face).map(|l| l.thickness).fold(0.0, f64::max)
    }

    /// The areas that layers of a kind cover on the inside, each with its thickness, mm.
    pub fn areas_inside(&self, kind: LayerKind) -> impl Iterator<Item = (&Contour, f64)> {
        self.layers.iter().filter(move |l| l.kind == kind && l.face == Face::Inside).filter_map(|l| match &l.cover {
            Cover::Area(area) => Some((area, l.thickness)),
            Cover::Along(_) => None,
        })
    }

    /// How thick all that lies on a face is where most of it does, mm.
    pub fn dressed(&self, face: Face) -> f64 {
        // A layer counts once however many areas it covers; patches lie under turn-ins, and under the liner.
        let thickest = |kind| self.thickest_on(face, kind);
        // Where paper laps over cloth both lie.
        const ALL: [LayerKind; 7] = [
            LayerKind::Cloth,
            LayerKind::Paper,
            LayerKind::TurnIn,
            LayerKind::PaperTurnIn,
            LayerKind::HingeStrip,
            LayerKind::LinerFold,
            LayerKind::Liner,
        ];
        let all: f64 = ALL.into_iter().map(thickest).sum();
        // On the inside no lap comes over the strip of cloth that lines a spine: the paper begins beyond it.
        let apart = thickest(LayerKind::Cloth).min(thickest(LayerKind::PaperTurnIn));
        if face == Face::Inside { all - apart } else { all }
    }
}

impl Assembly {
    /// The panel that is this part.
    pub fn panel(&self, part: Part) -> Option<&Panel> {
        self.panels.iter().find(|p| p.part == part)
    }

    /// The hinge by which a part hangs.
    pub fn hinge(&self, part: Part) -> Option<&Hinge> {
        self.hinges.iter().find(|h| self.panels.get(h.child).is_some_and(|p| p.part == part))
    }

    /// The sides that have a lid, lowest first.
    pub fn lids(&self) -> Vec<Side> {
        let mut lids: Vec<(u32, Side)> =
            self.hinges.iter().filter_map(|h| Some((h.order, self.panels.get(h.child)?.part.lid()?))).collect();
        lids.sort_unstable();
        lids.into_iter().map(|(_, side)| side).collect()
    }
}
