//! Magnets: round recesses in the inside of a lid near its free edge, and under each another in the inside of
//! the lid that lies beneath there. A wall or the base offers no face for a magnet to lie flat against, for a
//! wall stands upright and works lie on the base.

use super::Pocket;
use super::flat::Flat;
use super::ties::{along_free_edge, lid_to_arm};
use crate::assembly::{Assembly, Part, Space, Stance, space};
use crate::geom::{Contour, Point, pt};
use crate::job::{Job, Side};
use crate::units::Length;

/// A magnet and what lies under it.
#[derive(Clone, Debug)]
pub struct MagnetPair {
    /// The lid that it holds.
    pub side: Side,
    /// In that lid.
    pub own: Recess,
    /// In the lid beneath; `None` where there is none.
    pub beneath: Option<Recess>,
}

/// A round recess, in the flat layout.
#[derive(Clone, Debug)]
pub struct Recess {
    /// The board.
    pub part: Part,
    /// Its middle.
    pub at: Point,
    /// Its edge, a true circle, and its depth.
    pub pocket: Pocket,
}

/// The magnets of a job, lid by lid, each lid's along its free edge, where the boards fold as in `boards`.
pub fn magnets(job: &Job, flat: &Flat, boards: &Assembly) -> Vec<MagnetPair> {
    let mut all = Vec::new();
    for (side, magnets) in &job.magnets {
        let Some(arm) = flat.arms.get(side) else { continue };
        let (under_diameter, under_depth) =
            magnets.plate.map_or((magnets.diameter, magnets.depth), |plate| (plate.diameter, plate.depth));
        for at in along_free_edge(arm, magnets.count, magnets.inset.to_mm()) {
            let at = arm.frame.apply(lid_to_arm(arm, at));
            let recess = |part, at, diameter: Length, depth| {
                let radius = (diameter + magnets.clearance).to_mm() / 2.0;
                Recess { part, at, pocket: Pocket { outline: Contour::circle(at, radius), depth } }
            };
            all.push(MagnetPair {
                side: *side,
                own: recess(Part::Lid(*side), at, magnets.diameter, magnets.depth),
                beneath: beneath(boards, *side, at).map(|(part, at)| recess(part, at, under_diameter, under_depth)),
            });
        }
    }
    all
}

/// The highest lid that lies under a place of a closed lid, and where in it that is, both in the flat layout.
fn beneath(boards: &Assembly, side: Side, at: Point) -> Option<(Part, Point)> {
    let places = boards.closed();
    let index = |part: Part| boards.panels.iter().position(|p| p.part == part);
    let there = places.get(index(Part::Lid(side))?)?.at(at, 0.0);
    let order = boards.hinge(Part::Lid(side))?.order;
    let mut found: Option<(u32, Part, Point)> = None;
    for other in Side::ALL.into_iter().filter(|s| *s != side) {
        let part = Part::Lid(other);
        let (Some(i), Some(hinge)) = (index(part), boards.hinge(part)) else { continue };
        let (Some(panel), Some(place)) = (boards.panels.get(i), places.get(i)) else { continue };
        let p = flat_place(place, there);
        let is_higher = found.as_ref().is_none_or(|f| hinge.order > f.0);
        if hinge.order < order && is_higher && panel.outline.contains(p) {
            found = Some((hinge.order, part, p));
        }
    }
    found.map(|(_, part, p)| (part, p))
}

/// Where in the flat layout a point over a panel that was folded is.
fn flat_place(place: &Stance, q: Space) -> Point {
    let origin = place.at(pt(0.0, 0.0), 0.0);
    let along = |axis: Space| {
        let d = place.direction(axis);
        (q.x - origin.x) * d.x + (q.y - origin.y) * d.y + (q.z - origin.z) * d.z
    };
    pt(along(space(1.0, 0.0, 0.0)), along(space(0.0, 1.0, 0.0)))
}
