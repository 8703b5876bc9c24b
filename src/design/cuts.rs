//! What is cut into the boards of a box for that which holds it shut: slots right through, pockets and recesses
//! part of the way.

use super::flat::Flat;
use super::magnets::{Recess, magnets};
use super::measures::Measures;
use super::ties::ties;
use super::{Pocket, colophon, strap};
use crate::assembly::{Assembly, Part};
use crate::geom::Contour;
use crate::job::Job;

/// A slot with its pocket, or a recess.
#[derive(Clone, Debug)]
pub(super) struct Cut {
    /// The board.
    pub(super) part: Part,
    /// What it is for.
    pub(super) of: CutFor,
    /// Right through, counter-clockwise.
    pub(super) slot: Option<Contour>,
    /// Part of the way.
    pub(super) pocket: Pocket,
}

/// What a cut is for, with the table of the job that asks for it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum CutFor {
    /// An end of a strap.
    Strap,
    /// A ribbon of the lid of this side.
    Ribbon(crate::job::Side),
    /// A magnet of the lid of this side, or what lies under one.
    Magnet(crate::job::Side),
    /// The leaf with the colophon.
    Colophon,
}

/// All of them, where the boards fold as in `boards`.
pub(super) fn cuts(job: &Job, m: &Measures, flat: &Flat, boards: &Assembly) -> Vec<Cut> {
    let straps = job.strap.as_ref().map(|s| strap::slots_and_pockets(s, &job.elastic, m)).unwrap_or_default();
    let straps =
        straps.into_iter().map(|(slot, pocket)| Cut { part: Part::Base, of: CutFor::Strap, slot: Some(slot), pocket });
    let ribbons = ties(job, m, flat).into_iter().flat_map(|tie| {
        tie.ends.map(|end| Cut {
            part: end.part,
            of: CutFor::Ribbon(tie.side),
            slot: Some(end.slot),
            pocket: end.pocket,
        })
    });
    let recesses = magnets(job, flat, boards).into_iter().flat_map(|pair| {
        let cut = move |r: Recess| Cut { part: r.part, of: CutFor::Magnet(pair.side), slot: None, pocket: r.pocket };
        [Some(pair.own), pair.beneath].into_iter().flatten().map(cut).collect::<Vec<_>>()
    });
    let leaf = colophon::recess(job, flat).map(|(part, outline, depth)| Cut {
        part,
        of: CutFor::Colophon,
        slot: None,
        pocket: Pocket { outline, depth },
    });
    straps.chain(ribbons).chain(recesses).chain(leaf).collect()
}
