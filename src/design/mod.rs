//! The design: a job becomes flat pieces.

use crate::geom::{Contour, Path, Stroke};
use crate::job::{Grain, Side, StockKind};
use crate::units::Length;
use serde::Serialize;
use std::collections::BTreeMap;

/// The flat pieces of one box and the measures they come from.
#[derive(Clone, Debug)]
pub struct Design {
    /// The measures.
    pub measures: Measures,
    /// The pieces, boards first.
    pub pieces: Vec<Piece>,
}

/// What the formulas gave.
#[derive(Clone, Debug)]
pub struct Measures {
    /// The gap between two hinged boards.
    pub joint: Length,
    /// By how much walls grow from tier to tier.
    pub step: Length,
    /// What a wall has beyond the stack and the steps.
    pub wall_extra: Length,
    /// The `auto` value of the same, which the fit is reckoned from.
    pub auto_wall_extra: Length,
    /// How far a flap's sides stay in from the interior.
    pub flap_inset: Length,
    /// The thickness that a joint must pass: the board and the liner faces pressed into it.
    pub joint_thickness: Length,
    /// The base.
    pub base: (Length, Length),
    /// Wall heights by side.
    pub walls: BTreeMap<Side, Length>,
    /// How many distinct lower tiers lie under each side's flap.
    pub lower_tiers: BTreeMap<Side, u32>,
}

/// One flat piece, in the coordinates of the open box laid flat and seen from inside, the origin
/// in the middle of the base; nominal, not moved for any tool.
#[derive(Clone, Debug)]
pub struct Piece {
    /// Unique in the job: `board-flap-left`.
    pub id: String,
    /// What it is cut from.
    pub stock: StockKind,
    /// What it is.
    pub role: Role,
    /// Which side it belongs to.
    pub side: Option<Side>,
    /// How many of it one box needs.
    pub count: u32,
    /// Counter-clockwise.
    pub outline: Contour,
    /// Clockwise.
    pub holes: Vec<Contour>,
    /// Recesses of part of the thickness.
    pub pockets: Vec<Pocket>,
    /// Open cuts through it.
    pub slits: Vec<Path>,
    /// Lines to fold at.
    pub creases: Vec<Path>,
    /// Lines drawn.
    pub marks: Vec<Stroke>,
    /// Which way its grain must run.
    pub grain: Grain,
    /// Which way it lies on the bed.
    pub lay: Lay,
}

/// What a piece is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Role {
    /// The board the contents lie on.
    Base,
    /// The board that rises at a side.
    Wall,
    /// A lid.
    Flap,
    /// The covering cloth.
    Cover,
    /// The cloth that covers what a slit leaves bare.
    Patch,
    /// The lining.
    Liner,
}

/// A recess.
#[derive(Clone, Debug)]
pub struct Pocket {
    /// Counter-clockwise.
    pub outline: Contour,
    /// From the face that lies up.
    pub depth: Length,
}

/// Which way a piece lies on the bed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lay {
    /// As seen from inside the box.
    AsComputed,
    /// Mirrored.
    Mirrored,
}
