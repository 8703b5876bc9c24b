//! Drop-spine box: a small tray that holds the stack, a large one that closes over it, and a case of two covers and a
//! spine to which both are glued. The spine falls flat when the box is opened.
//!
//! The case (`case.rs`) is made round the closed trays. The strip that lines its spine runs from tray to tray.

use super::Design;
use super::build::{Build, Made};
use super::case::{self, APART, SPINE};
use super::flat::{Corners, Flat};
use super::hinged::HingedBoards;
use super::limits;
use super::measures::{Auto, Measures, thicknesses, turned_onto};
use super::meeting::Lying;
use super::sides;
use super::trays::{self, Place, TrayPair};
use super::work::Step;
use crate::assembly::{Assembly, Cover, Face, Hinge, Layer, LayerKind, Part, Tray};
use crate::geom::{Bounds, Contour, pt};
use crate::job::{Job, Side, SideOn, StockKind};
use crate::units::Length;
use std::f64::consts::FRAC_PI_2;

pub(super) struct DropSpine;

/// How far the lining of the spine lies on the floor of either tray, mm (from memory: an inch or so).
const ON_FLOOR: f64 = 20.0;

impl Corners for DropSpine {
    fn short_ends(&self, job: &Job, side: Side, lid: f64) -> (f64, f64) {
        HingedBoards.short_ends(job, side, lid)
    }
}

impl Build for DropSpine {
    fn measures(&self, job: &Job, lying: Option<&Lying>) -> Auto {
        case::measures(job, lying)
    }

    fn lying(&self, job: &Job, design: &Design) -> Option<Lying> {
        HingedBoards.lying(job, design)
    }

    fn pieces(&self, job: &Job, m: &Measures, flat: &Flat) -> Made {
        let mut made = case::named(HingedBoards.pieces(job, m, flat));
        made.said.extend(limits::leaf_on_floor(job, trays::floor_room(job)));
        let Some(pair) = trays::trays(job) else { return made };
        let mut right = flat.base.bounds().max.x + APART;
        for (tray, measures) in [(Tray::Small, &pair.small), (Tray::Large, &pair.large)] {
            let own = trays::pieces(job, tray, measures, pt(right, 0.0));
            let boards = own.iter().filter(|p| p.stock == StockKind::Board);
            right = boards.map(|p| p.outline.bounds().max.x).fold(right, f64::max) + APART;
            made.pieces.extend(own);
        }
        // From each tray's floor down over its base.
        let beyond = job.board.thickness.to_mm() + ON_FLOOR;
        made.pieces.push(case::spine_lining(job, m, [beyond, lining_height(&pair)], pt(right, 0.0)));
        made
    }

    fn assembly(&self, job: &Job, m: &Measures, flat: &Flat, made: &Made) -> Assembly {
        let mut all = HingedBoards.assembly(job, m, flat, made);
        case::named_panels(&mut all, &made.pieces);
        let Some(pair) = trays::trays(job) else { return all };
        let (t, c, _) = thicknesses(job);
        let (t, c) = (t.to_mm(), c.to_mm());
        let level = |on| t + turned_onto(job, on).to_mm();
        let back = flat.base.bounds();
        let front = all.panel(Part::Lid(SPINE)).map(|p| p.outline.bounds()).unwrap_or(back);
        let small = Place {
            tray: Tray::Small,
            spine: pt(trays::spine_edge(job), 0.0),
            is_mirrored: false,
            level: level(SideOn::Back),
        };
        let large = Place {
            tray: Tray::Large,
            spine: pt(front.max.x - c, 0.0),
            is_mirrored: true,
            level: level(SideOn::Front),
        };
        for (place, measures, on) in [(small, &pair.small, Part::Base), (large, &pair.large, Part::Lid(SPINE))] {
            let Some(cover) = all.panels.iter().position(|p| p.part == on) else { continue };
            let base = all.panels.len();
            for (mut panel, foot) in trays::panels(job, measures, &place) {
                if foot.is_none() {
                    panel.layers.push(lining_on(&panel.outline.bounds(), place.is_mirrored, &pair, c));
                }
                let child = all.panels.len();
                // A wall beside the base comes down by the board's thickness, one on it stands there.
                let (parent, axis, closed, angle) = match foot {
                    None => (cover, panel.outline.segments().next(), [0.0, 0.0], 0.0),
                    Some(foot) if measures.is_on_base => (base, Some(foot), [0.0, t], FRAC_PI_2),
                    Some(foot) => (base, Some(foot), [t, 0.0], FRAC_PI_2),
                };
                let height = panel.level;
                all.panels.push(panel);
                let Some(axis) = axis else { continue };
                all.hinges.push(Hinge { height, angle, ..Hinge::glued([parent, child], axis, closed) });
            }
        }
        // The lining of the spine lies on its whole inside.
        if let Some(spine) = all.panels.iter_mut().find(|p| p.part == Part::Wall(SPINE)) {
            let cover = Cover::Area(spine.outline.clone());
            spine.layers.push(Layer { kind: LayerKind::Cloth, face: Face::Inside, cover, thickness: c });
        }
        all
    }

    fn steps(&self, job: &Job, design: &Design) -> Vec<Step> {
        let is_lined = job.within().map_or(job.liner.is_some(), |w| w.lining > Length::ZERO);
        [
            (Step::Cut, true),
            (Step::LabelRecess, job.title_label.is_some()),
            (Step::BuildTrays, true),
            (Step::CoverTrays, true),
            (Step::LayOut, true),
            (Step::GlueDown, true),
            (Step::CornerCuts, sides::has_free_corner(job, design)),
            (Step::TurnIn, true),
            (Step::DryCovered, true),
            (Step::Sides, !job.sides.is_empty()),
            (Step::MountTrays, true),
            (Step::LineSpine, true),
            (Step::LineFloors, is_lined),
            (Step::GlueLabel, job.title_label.is_some()),
            (Step::Close, true),
        ]
        .into_iter()
        .filter_map(|(step, is_due)| is_due.then_some(step))
        .collect()
    }
}

/// The lining of the spine on the floor of a tray, whose spine edge is at the left, or mirrored at the right.
fn lining_on(floor: &Bounds, is_mirrored: bool, pair: &TrayPair, cloth: f64) -> Layer {
    let half = lining_height(pair) / 2.0;
    let (from, to) =
        if is_mirrored { (floor.max.x - ON_FLOOR, floor.max.x) } else { (floor.min.x, floor.min.x + ON_FLOOR) };
    let cover = Cover::Area(Contour::rectangle(pt(from, -half), pt(to, half)));
    Layer { kind: LayerKind::Cloth, face: Face::Inside, cover, thickness: cloth }
}

/// From tail to head the lining of the spine lies between the walls of the small tray, mm.
fn lining_height(pair: &TrayPair) -> f64 {
    pair.small.interior[1] - 1.0
}
