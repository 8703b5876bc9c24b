//! Tray with a lift-off lid: a tray with four walls, and over it a lid that is a tray itself, turned over.

use super::Design;
use super::build::{Build, Made};
use super::flat::{Corners, Flat};
use super::limits;
use super::measures::{Auto, Measures, thicknesses};
use super::meeting::Lying;
use super::trays::{self, Place};
use super::work::Step;
use crate::assembly::{Assembly, Hinge, HingeKind, Tray};
use crate::geom::{Segment, pt};
use crate::job::{Job, Side, StockKind};
use crate::units::{Length, mm};
use std::f64::consts::PI;

pub(super) struct TrayAndLid;

/// Between tray and lid in the layout, mm.
const APART: f64 = 30.0;

impl Corners for TrayAndLid {
    fn short_ends(&self, _: &Job, _: Side, _: f64) -> (f64, f64) {
        (0.0, 0.0)
    }
}

impl Build for TrayAndLid {
    /// Nothing is hinged: the layout is the tray's base alone.
    fn measures(&self, job: &Job, _: Option<&Lying>) -> Auto {
        Auto::unhinged(job, trays::trays(job).map(|pair| pair.small.base.map(mm)))
    }

    fn pieces(&self, job: &Job, _: &Measures, _: &Flat) -> Made {
        let mut made = Made::default();
        made.said.extend(limits::leaf_on_floor(job, trays::floor_room(job)));
        let Some(pair) = trays::trays(job) else { return made };
        let mut right = 0.0;
        for (tray, measures) in [(Tray::Open, &pair.small), (Tray::Lid, &pair.large)] {
            // The first lies about the origin, the lid to the right of it.
            let middle = if tray == Tray::Open { 0.0 } else { right + APART + measures.wall + measures.base[0] / 2.0 };
            let own = trays::pieces(job, tray, measures, pt(middle, 0.0));
            let boards = own.iter().filter(|p| p.stock == StockKind::Board);
            right = boards.map(|p| p.outline.bounds().max.x).fold(right, f64::max);
            made.pieces.extend(own);
        }
        made
    }

    fn assembly(&self, job: &Job, _: &Measures, _: &Flat, _: &Made) -> Assembly {
        let mut all = Assembly::default();
        let Some(pair) = trays::trays(job) else { return all };
        let (t, c, _) = thicknesses(job);
        let (t, c) = (t.to_mm(), c.to_mm());
        // Open the lid lies at the left of its tray, upside down; it is turned over onto it.
        let left = -(pair.small.base[0] / 2.0 + pair.small.wall + APART + pair.large.wall);
        let tray = Place { tray: Tray::Open, spine: pt(0.0, 0.0), is_mirrored: false, level: 0.0 };
        let lid =
            Place { tray: Tray::Lid, spine: pt(left - pair.large.base[0] / 2.0, 0.0), is_mirrored: false, level: 0.0 };
        for (place, measures) in [(tray, &pair.small), (lid, &pair.large)] {
            let base = all.panels.len();
            for (panel, foot) in trays::panels(job, measures, &place) {
                let child = all.panels.len();
                let edge = tray_edge(&all, pair.small.base[0] / 2.0);
                all.panels.push(panel);
                match (foot, edge) {
                    (Some(foot), _) => {
                        let closed = if measures.is_on_base { [0.0, t] } else { [t, 0.0] };
                        all.hinges.push(Hinge::glued([base, child], foot, closed));
                    }
                    // The lid's base: its near edge comes to lie beyond the tray's, its outside up.
                    (None, Some(axis)) => {
                        let beyond = (pair.large.base[0] - pair.small.base[0]) / 2.0;
                        let width = -(left + pair.small.base[0] / 2.0);
                        // From under the tray's base to the top of the lid's, without the cloth on either.
                        let up = pair.closed - 4.0 * c;
                        all.hinges.push(Hinge {
                            kind: HingeKind::Loose,
                            width,
                            closed: [beyond, up],
                            angle: PI,
                            order: 1,
                            ..Hinge::glued([0, child], axis, [0.0, 0.0])
                        });
                    }
                    (None, None) => {}
                }
            }
        }
        all
    }

    fn steps(&self, job: &Job, _: &Design) -> Vec<Step> {
        let is_lined = job.within().map_or(job.liner.is_some(), |w| w.lining > Length::ZERO);
        [
            (Step::Cut, true),
            (Step::BuildTrays, true),
            (Step::CoverTrays, true),
            (Step::CoverUndersides, true),
            (Step::LineFloors, is_lined),
            (Step::Close, true),
        ]
        .into_iter()
        .filter_map(|(step, is_due)| is_due.then_some(step))
        .collect()
    }
}

/// The tray's edge at which the lid lies, once there is a tray: the lid to its right as it runs.
fn tray_edge(all: &Assembly, half: f64) -> Option<Segment> {
    let b = all.panels.first()?.outline.bounds();
    Some(Segment::line(pt(-half, b.max.y), pt(-half, b.min.y)))
}
