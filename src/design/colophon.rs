//! Where the leaf with the colophon is held: inside the lid that closes last.
//!
//! By its corners it lies on the lining, each corner under it through a slit: with a the length that is tucked in along
//! either edge and e the ease, a slit is `a sqrt 2 + 2 e` long and cuts the corner off at 45 degrees (derived). In a recess it
//! lies level with the lining, which is pressed into it: the recess is as large as the leaf, the lining down its sides and
//! the ease.

use super::flat::{Arm, Flat};
use super::measures::{Measures, thicknesses};
use super::{Piece, Role, liner};
use crate::assembly::Part;
use crate::geom::{Bounds, Contour, Path, Point, Transform, pt};
use crate::job::{Colophon, Held, Job, Side};
use crate::units::mm;

/// The leaf of a job and the lid that holds it; `None` without one, and where a tray holds it.
pub(super) fn held(job: &Job) -> Option<(Colophon, Side)> {
    let leaf = job.inside.as_ref()?.colophon.filter(|_| !job.build.construction.terms().has_trays)?;
    let (side, _) = job.flaps.iter().max_by_key(|(side, f)| (f.tier, **side))?;
    Some((leaf, *side))
}

/// The leaf of a box of trays, on the floor of the one that closes over the other.
pub fn in_tray(job: &Job) -> Option<Colophon> {
    job.inside.as_ref()?.colophon.filter(|_| job.build.construction.terms().has_trays)
}

/// Cuts the slits of that into the lining of the floor.
pub(super) fn cut_floor(job: &Job, lining: &mut Piece) {
    let Some(leaf) = in_tray(job) else { return };
    lining.slits.extend(slits(&leaf, place(&leaf, lining.outline.bounds())));
}

/// Whether it lies in a recess of its own.
pub(super) fn is_inset(job: &Job) -> bool {
    held(job).is_some_and(|(leaf, _)| leaf.held == Held::Inset)
}

/// Where the leaf lies on its lid in the open box.
pub(super) fn place(leaf: &Colophon, lid: Bounds) -> Bounds {
    let (w, h) = (leaf.width.to_mm(), leaf.height.to_mm());
    let top = leaf.from_top.map_or(lid.center().y + h / 2.0, |l| lid.max.y - l.to_mm());
    let left = lid.center().x - w / 2.0;
    Bounds { min: pt(left, top - h), max: pt(left + w, top) }
}

/// The leaf in the open box laid flat, with its lid; `None` where there is none.
pub fn colophon(job: &Job, flat: &Flat) -> Option<(Colophon, Side, Bounds)> {
    let (leaf, side) = held(job)?;
    let arm: &Arm = flat.arms.get(&side)?;
    Some((leaf, side, place(&leaf, arm.flap().bounds())))
}

/// Its recess, with its depth, where it is held by one.
pub(super) fn recess(job: &Job, flat: &Flat) -> Option<(Part, Contour, crate::units::Length)> {
    let (leaf, side, at) = colophon(job, flat).filter(|(leaf, ..)| leaf.held == Held::Inset)?;
    let l = thicknesses(job).2;
    let b = at.grown(l.max(job.lining()).to_mm() + leaf.ease.to_mm() / 2.0);
    Some((Part::Lid(side), Contour::rectangle(b.min, b.max), leaf.recess_depth()))
}

/// The slits that hold it, where it lies at a place.
pub fn slits(leaf: &Colophon, at: Bounds) -> Vec<Path> {
    let (a, e) = (leaf.corner.to_mm(), leaf.ease.to_mm());
    let middle = at.center();
    let of = |corner: Point| {
        let towards = middle - corner;
        let along = [pt(a.copysign(towards.x), 0.0), pt(0.0, a.copysign(towards.y))].map(|by| corner + by);
        let way = (along[1] - along[0]).normalized().unwrap_or_default() * e;
        Path::line(along[0] - way, along[1] + way)
    };
    if leaf.held == Held::Corners { at.corners().map(of).to_vec() } else { Vec::new() }
}

/// Cuts them into the liner, which is longer in both joints before the lid where it runs through them.
pub(super) fn cut_liner(job: &Job, m: &Measures, flat: &Flat, liner: &mut [Piece]) {
    let Some((leaf, side, at)) = colophon(job, flat) else { return };
    let Some(arm) = flat.arms.get(&side) else { return };
    let longer = liner::drawn_longer(job, m).to_mm() * 2.0;
    let out = Point::unit((arm.frame.rotation_deg + 90.0).to_radians()) * longer;
    let moved = Bounds { min: at.min + out, max: at.max + out };
    if let Some(piece) = liner.iter_mut().find(|p| p.role == Role::Liner && p.outline.contains(moved.center())) {
        piece.slits.extend(slits(&leaf, moved));
    }
}

/// Cuts them into the lining of a cover that lies elsewhere in the layout, its middle on the cover's.
pub(super) fn cut_lining(job: &Job, cover: Bounds, lining: &mut Piece) {
    let Some((leaf, _)) = held(job) else { return };
    let by = Transform::shift(lining.outline.bounds().center() - cover.center());
    lining.slits.extend(slits(&leaf, place(&leaf, cover)).iter().map(|s| s.transformed(&by)));
}

/// So much of the lining is left beside a slit, at the least, mm (our choice: less tears when the leaf is drawn out).
pub(super) const BESIDE: f64 = 5.0;
/// Board beside a recess, mm (our choice, as for a label).
pub(super) const BOARD: f64 = 4.0;

/// All that the leaf and what holds it take of the lid, mm.
pub(super) fn taken(leaf: &Colophon, at: Bounds) -> Bounds {
    match leaf.held {
        Held::Corners => at.grown(mm(BESIDE).max(leaf.ease).to_mm()),
        Held::Inset => at.grown(BOARD + leaf.ease.to_mm() / 2.0),
    }
}
