//! Drop-spine box: a small tray that holds the stack, a large one that closes over it, and a case of two covers and a
//! spine to which both are glued. The spine falls flat when the box is opened.
//!
//! The case is made of hinged boards round the closed trays: its base is the back cover, its one wall the
//! spine, its one lid the front cover. A strip of cloth lines the spine from tray to tray, and lies in both of its
//! joints on either face.

use super::build::{Build, Made};
use super::flat::{Corners, Flat};
use super::hinged::HingedBoards;
use super::measures::{self, Auto, Measures, thicknesses};
use super::meeting::Lying;
use super::trays::{self, Place, TrayPair};
use super::work::Step;
use super::{Design, Piece, Role};
use crate::assembly::{Assembly, Cover, Face, Hinge, Layer, LayerKind, Part, Tray};
use crate::geom::{Bounds, Contour, Point, pt};
use crate::job::{Clearance, Contents, Flap, FlapShape, Grain, Job, Side, StockKind, Within};
use crate::units::{Length, mm};
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::f64::consts::FRAC_PI_2;

pub(super) struct DropSpine;

/// The side of the case at which its spine is.
pub(super) const SPINE: Side = Side::Left;
/// How far the lining of the spine lies on the floor of either tray, mm (from memory: an inch or so).
const ON_FLOOR: f64 = 20.0;
/// Between the bodies in the layout, mm.
const APART: f64 = 30.0;

/// The job of the body that encloses all others: of a box of trays its case, made round the closed trays; of any
/// other box the box itself.
pub fn outer(job: &Job) -> Cow<'_, Job> {
    let Some(asked) = job.trays.as_ref().filter(|t| t.within.is_none()) else { return Cow::Borrowed(job) };
    let Some(pair) = trays::trays(job) else { return Cow::Borrowed(job) };
    let mut case = job.clone();
    let lining = job.liner.as_ref().map_or(Length::ZERO, |l| l.thickness);
    case.strap = None;
    if let Some(trays) = &mut case.trays {
        trays.within = Some(Within { contents: job.contents.clone(), lining, seat: job.build.seat });
    }
    if !job.build.construction.terms().has_case {
        return Cow::Owned(case);
    }
    let square = asked.square;
    let across = mm(pair.large.exterior[0]) + square;
    // The trays lie on the cloth that is turned onto the back cover.
    let depth = mm(pair.closed) + thicknesses(job).1;
    case.contents = Contents {
        width: across,
        height: mm(pair.large.exterior[1]) + square * 2.0,
        depth,
        depth_readings: vec![depth],
        size: None,
        clearance: Clearance { width: Length::ZERO, height: Length::ZERO, depth: Length::ZERO },
    };
    let cover = Flap { tier: 1, reach: across, shape: FlapShape::Square, corner_radius: Length::ZERO, notch: None };
    case.flaps = BTreeMap::from([(SPINE, cover)]);
    case.build.flap_inset = Some(Length::ZERO);
    case.build.seat = crate::job::Seat::Beside;
    Cow::Owned(case)
}

impl Corners for DropSpine {
    fn short_ends(&self, job: &Job, side: Side, lid: f64) -> (f64, f64) {
        HingedBoards.short_ends(job, side, lid)
    }
}

impl Build for DropSpine {
    /// Those of the case, its joints wider by the lining of the spine on both faces.
    fn measures(&self, job: &Job, lying: Option<&Lying>) -> Auto {
        let mut auto = HingedBoards.measures(job, lying);
        auto.joint_thickness += thicknesses(job).1 * 2.0;
        (auto.joint, auto.ease) = measures::joint(job, auto.joint_thickness);
        auto
    }

    fn lying(&self, job: &Job, design: &Design) -> Option<Lying> {
        HingedBoards.lying(job, design)
    }

    fn pieces(&self, job: &Job, m: &Measures, flat: &Flat) -> Made {
        let mut made = HingedBoards.pieces(job, m, flat);
        let Some(pair) = trays::trays(job) else { return made };
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
        let mut right = flat.base.bounds().max.x + APART;
        for (tray, measures) in [(Tray::Small, &pair.small), (Tray::Large, &pair.large)] {
            let own = trays::pieces(job, tray, measures, pt(right, 0.0));
            let boards = own.iter().filter(|p| p.stock == StockKind::Board);
            right = boards.map(|p| p.outline.bounds().max.x).fold(right, f64::max) + APART;
            made.pieces.extend(own);
        }
        made.pieces.push(spine_lining(job, m, &pair, pt(right, 0.0)));
        made
    }

    fn assembly(&self, job: &Job, m: &Measures, flat: &Flat, made: &Made) -> Assembly {
        let mut all = HingedBoards.assembly(job, m, flat, made);
        for panel in &mut all.panels {
            let (piece, called) = match panel.part {
                Part::Base => ("board-back-cover", "back cover"),
                Part::Wall(_) => ("board-spine", "spine"),
                _ => ("board-front-cover", "front cover"),
            };
            panel.piece = piece.into();
            panel.called = Some(called);
        }
        let Some(pair) = trays::trays(job) else { return all };
        let (t, c, _) = thicknesses(job);
        let (t, c) = (t.to_mm(), c.to_mm());
        let level = trays::level(job);
        let back = flat.base.bounds();
        let front = all.panel(Part::Lid(SPINE)).map(|p| p.outline.bounds()).unwrap_or(back);
        let small = Place { tray: Tray::Small, spine: pt(trays::spine_edge(job), 0.0), is_mirrored: false, level };
        let large = Place { tray: Tray::Large, spine: pt(front.max.x - c, 0.0), is_mirrored: true, level };
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

    fn steps(&self, job: &Job, _: &Design) -> Vec<Step> {
        let is_lined = job.within().map_or(job.liner.is_some(), |w| w.lining > Length::ZERO);
        [
            (Step::Cut, true),
            (Step::LabelRecess, job.title_label.is_some()),
            (Step::BuildTrays, true),
            (Step::CoverTrays, true),
            (Step::LayOut, true),
            (Step::GlueDown, true),
            (Step::CornerCuts, true),
            (Step::TurnIn, true),
            (Step::DryCovered, true),
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

/// The cloth that lines the spine: between the walls of the small tray, from the floor of one tray into the joint, up
/// the spine, into the other joint and onto the other floor.
fn spine_lining(job: &Job, m: &Measures, pair: &TrayPair, at: Point) -> Piece {
    let spine = m.walls.get(&SPINE).copied().unwrap_or_default().to_mm();
    let t = job.board.thickness.to_mm();
    // From each tray's floor down over its base, and across each joint, in which it is rubbed down.
    let pressed = 2.0 * t * job.covering.groove_press;
    let across = spine + 2.0 * (m.joint.to_mm() + pressed + t + ON_FLOOR);
    let high = lining_height(pair);
    let outline = Contour::rectangle(at - pt(0.0, high / 2.0), at + pt(across, high / 2.0));
    Piece { grain: Grain::Height, ..Piece::plain("cloth-spine-lining".into(), StockKind::Cloth, Role::Tray, outline) }
}
