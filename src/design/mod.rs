//! The design: a job becomes flat pieces. A file per construction, one each for what they share.

mod cover;
mod crease;
mod creased;
mod flap;
mod flat;
mod gauges;
mod hinged;
mod labels;
mod lettering;
mod liner;
mod measures;
mod patch;
mod strap;
mod strips;
mod turn_in;

pub use flap::{FlapError, outline as flap_outline};
pub use flat::{Arm, Flat, InnerCorner};
pub use labels::copy_label;
pub use lettering::{extent, letters};
pub use measures::{Measures, measure, thicknesses};
pub use patch::PatchPlace;

use crate::diag::Diagnostic;
use crate::geom::{Contour, Path, Stroke};
use crate::job::{Construction, Grain, Job, Side, StockKind};
use crate::units::Length;
use serde::Serialize;

/// The flat pieces of one box, and everything that keeps them from being made; only where none of
/// that is an error is the design whole.
pub fn design(job: &Job) -> (Design, Vec<Diagnostic>) {
    let measures = measure(job);
    match Flat::new(job, &measures, measures.joint, Length::ZERO) {
        Ok(flat) => {
            let (mut pieces, patches, mut diagnostics) = match job.build.construction {
                Construction::HingedBoards => hinged::pieces(job, &measures, &flat),
                Construction::CreasedBoard => without_patches(creased::pieces(job, &measures, &flat)),
                Construction::CrossedStrips => without_patches(strips::pieces(job, &measures, &flat)),
            };
            if job.marks.labels {
                diagnostics.extend(labels::add(&mut pieces, job));
            }
            if job.marks.gauges {
                pieces.extend(gauges::gauges(job, &measures));
            }
            (Design { measures, pieces, patches, flat: Some(flat) }, diagnostics)
        }
        Err(failed) => {
            let diagnostics = failed.iter().map(|(side, why)| hinged::no_lid(*side, *why)).collect();
            (Design { measures, pieces: Vec::new(), patches: Vec::new(), flat: None }, diagnostics)
        }
    }
}

/// A construction without cloth needs no patches.
fn without_patches((pieces, said): (Vec<Piece>, Vec<Diagnostic>)) -> (Vec<Piece>, Vec<PatchPlace>, Vec<Diagnostic>) {
    (pieces, Vec::new(), said)
}

/// The flat pieces of one box and the measures they come from.
#[derive(Clone, Debug)]
pub struct Design {
    /// The measures.
    pub measures: Measures,
    /// The pieces, boards first.
    pub pieces: Vec<Piece>,
    /// Where each patch goes.
    pub patches: Vec<PatchPlace>,
    /// The open box laid flat; `None` where a lid has no outline.
    pub flat: Option<Flat>,
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

impl Piece {
    /// One of an outline alone: of no side, its grain free, lying as computed.
    pub fn plain(id: String, stock: StockKind, role: Role, outline: Contour) -> Self {
        Self {
            id,
            stock,
            role,
            side: None,
            count: 1,
            outline,
            holes: Vec::new(),
            pockets: Vec::new(),
            slits: Vec::new(),
            creases: Vec::new(),
            marks: Vec::new(),
            grain: Grain::None,
            lay: Lay::AsComputed,
        }
    }

    /// How many of it all boxes together need.
    pub fn needed(&self, copies: u32) -> u32 {
        if self.role == Role::Gauge { self.count } else { self.count.saturating_mul(copies) }
    }
}

/// What a piece is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Role {
    /// A whole box in one piece of folding board.
    Blank,
    /// One of two strips that cross under the contents.
    Strip,
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
    /// A part of a coupon.
    Coupon,
    /// A strip to set a measure by, once for the whole job and only from waste.
    Gauge,
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
