//! The constructions, each one value. Adding one is a file that implements [`Build`], a line here and one in
//! `job/construction.rs`; the compiler names what is missing.

use super::build::Build;
use crate::job::{Construction, Job};

/// The construction of a job.
pub(super) fn construction_of(job: &Job) -> &'static dyn Build {
    match job.build.construction {
        Construction::HingedBoards => &super::hinged::HingedBoards,
        Construction::CreasedBoard => &super::creased::CreasedBoard,
        Construction::CrossedStrips => &super::strips::CrossedStrips,
        Construction::TrayAndLid => &super::tray_lid::TrayAndLid,
        Construction::Slipcase => &super::slipcase::Slipcase,
        Construction::Portfolio => &super::portfolio::Portfolio,
        Construction::DropSpine => &super::drop_spine::DropSpine,
    }
}
