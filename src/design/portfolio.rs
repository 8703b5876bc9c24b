//! Portfolio: a case of two covers and a spine (`case.rs`) round a wrapper with lids, whose base is glued to the back
//! cover, or round loose sheets.
//!
//! With t, c, l the thicknesses of board, cloth and liner, D the closed wrapper's as it is dressed, or the depth for
//! loose sheets, and s the square (derived; every layer between two boards counted where most of them lie):
//!
//! - covers: what is within and s across, and 2 s up;
//! - the spine: `2 t + D + 4 c + l`, for loose sheets l more: on either cover lie the cloth turned in and the strip that
//!   lines the spine, on the front cover the liner over them, and under loose sheets too.
//!
//! The wrapper is worked as a box of hinged boards; once it is laid out its case is made round what it spans. Of loose
//! sheets the case is all there is.

use super::build::{Build, Made};
use super::case::{self, APART, Round, SPINE, glued, make_round};
use super::flat::{Corners, Flat};
use super::hinged::HingedBoards;
use super::measures::{Auto, Measures, ON_COVER, thicknesses};
use super::meeting::Lying;
use super::sides;
use super::span::span;
use super::work::Step;
use super::{Case, Design, Lay, Piece, Role, colophon, unmarked};
use crate::assembly::{Assembly, Cover, Face, Layer, LayerKind, Part};
use crate::diag::{Diagnostic, untold};
use crate::geom::{Bounds, Contour, Point, pt};
use crate::job::{Contents, Grain, Job, Outside, Side, StockKind, Within};
use crate::units::{Length, mm};
use std::borrow::Cow;
use std::collections::BTreeMap;

pub(super) struct Portfolio;

/// The job of the body that is worked: the wrapper, or the case round loose sheets.
pub(super) fn worked<'a>(job: &'a Job, asked: &crate::job::Portfolio) -> Cow<'a, Job> {
    if asked.outside.is_some() {
        return Cow::Borrowed(job);
    }
    let mut worked = job.clone();
    if job.flaps.is_empty() {
        let within =
            Within { contents: job.contents.clone(), lining: job.lining(), seat: job.build.seat, wrapper: None };
        make_case(&mut worked, within);
        return Cow::Owned(worked);
    }
    let outside = Outside {
        ties: std::mem::take(&mut worked.ties),
        title_label: worked.title_label.take(),
        sides: std::mem::take(&mut worked.sides),
    };
    if let Some(portfolio) = &mut worked.portfolio {
        portfolio.outside = Some(outside);
    }
    Cow::Owned(worked)
}

/// Makes a job that of the case round this.
fn make_case(job: &mut Job, within: Within) {
    let Some(portfolio) = &mut job.portfolio else { return };
    let (square, extra) = (portfolio.square, portfolio.spine_extra);
    let c = &within.contents;
    let size = [c.interior_width(), c.interior_height(), c.interior_depth()].map(Length::to_mm);
    let clearance = c.clearance.depth;
    portfolio.within = Some(within);
    job.strap = None;
    job.build.step = None;
    let [under, over] = glued(job);
    // Of the front cover the measures count the cloth turned in.
    let between = under + over - thicknesses(job).1;
    make_round(job, &Round { size, clearance, square, between });
    // A spine that is given is counted from what is within.
    job.build.wall_extra = extra.map(|extra| extra - between);
}

/// The job of the case round a wrapper that spans so much.
fn case_of(job: &Job, [low, high]: [[f64; 3]; 2]) -> Job {
    let mut case = job.clone();
    let contents = Contents::block([0, 1, 2].map(|i| mm(high[i] - low[i])), Length::ZERO);
    let mut tiers: Vec<u32> = job.flaps.values().map(|f| f.tier).collect();
    tiers.sort_unstable();
    tiers.dedup();
    // Its base, and a lid of each tier.
    let boards = u32::try_from(tiers.len()).unwrap_or(u32::MAX).saturating_add(1);
    let seat = job.build.seat;
    let outside = case.portfolio.as_mut().and_then(|p| p.outside.take()).unwrap_or_default();
    (case.ties, case.title_label, case.sides) = (outside.ties, outside.title_label, outside.sides);
    case.magnets = BTreeMap::new();
    case.inside = None;
    make_case(&mut case, Within { contents, lining: job.lining(), seat, wrapper: Some(boards) });
    case
}

impl Corners for Portfolio {
    fn short_ends(&self, job: &Job, side: Side, lid: f64) -> (f64, f64) {
        HingedBoards.short_ends(job, side, lid)
    }
}

impl Build for Portfolio {
    fn measures(&self, job: &Job, lying: Option<&Lying>) -> Auto {
        if job.within().is_none() {
            return HingedBoards.measures(job, lying);
        }
        let mut auto = case::measures(job, lying);
        // All that lies under the front cover is counted in what the case is made round.
        auto.lids.clear();
        auto
    }

    fn lying(&self, job: &Job, design: &Design) -> Option<Lying> {
        HingedBoards.lying(job, design)
    }

    fn pieces(&self, job: &Job, m: &Measures, flat: &Flat) -> Made {
        let made = HingedBoards.pieces(job, m, flat);
        if job.within().is_some() { of_case(job, m, flat, case::named(made)) } else { with_case(job, m, flat, made) }
    }

    fn assembly(&self, job: &Job, m: &Measures, flat: &Flat, made: &Made) -> Assembly {
        let mut all = HingedBoards.assembly(job, m, flat, made);
        if job.within().is_some() {
            case::named_panels(&mut all, &made.pieces);
            line(&mut all, job);
        } else if let (Some(case), Some([low, high])) = (&made.case, span(job, &all)) {
            // From the edge of the covers at the spine, in the middle between head and tail.
            let by = pt(low[0] + case.job.contents.width.to_mm() / 2.0, f64::midpoint(low[1], high[1]));
            let level = low[2] - (glued(&case.job)[0] + job.board.thickness).to_mm();
            case::join(&mut all, &case.design.assembly, by, level);
        }
        all
    }

    fn steps(&self, job: &Job, design: &Design) -> Vec<Step> {
        let outside = job.portfolio.as_ref().and_then(|p| p.outside.as_ref());
        let is_wrapper = job.within().is_none();
        let (ties, label) = outside.map_or((&job.ties, job.title_label), |o| (&o.ties, o.title_label));
        let is_lined = job.liner.is_some();
        let has_magnets = is_wrapper && !job.magnets.is_empty();
        let has_corner = design.flat.as_ref().is_some_and(|f| !f.inner_corners().is_empty());
        let has_notch = job.flaps.values().any(|f| f.notch.is_some());
        [
            (Step::Cut, true),
            (Step::SlotsAndPockets, !ties.is_empty() || has_magnets || colophon::is_inset(job)),
            (Step::LabelRecess, label.is_some()),
            (Step::LayOut, true),
            (Step::GlueDown, true),
            (Step::CornerCuts, is_wrapper || sides::has_free_corner(job, design)),
            (Step::Slits, has_corner || has_notch),
            (Step::Patches, !design.patches.is_empty()),
            (Step::Magnets, has_magnets),
            (Step::TurnIn, true),
            (Step::LineSpine, true),
            (Step::DryCovered, true),
            (Step::Sides, !outside.map_or(&job.sides, |o| &o.sides).is_empty()),
            (Step::Ties, !ties.is_empty()),
            (Step::HingeStrips, !design.strips.is_empty()),
            (Step::Liner, is_wrapper && is_lined),
            (Step::LineCovers, is_lined),
            (Step::Press, is_lined),
            (Step::MountWrapper, is_wrapper),
            (Step::GlueLabel, label.is_some()),
            (Step::Close, true),
        ]
        .into_iter()
        .filter_map(|(step, is_due)| is_due.then_some(step))
        .collect()
    }
}

/// The pieces of a case: those of its boards and cloth, the lining of its spine and of its covers.
fn of_case(job: &Job, m: &Measures, flat: &Flat, mut made: Made) -> Made {
    let right = flat.base.bounds().max.x + APART;
    let high = flat.base.bounds().height() - 2.0 * job.covering.reveal.to_mm();
    let Some(front) = flat.arms.get(&SPINE).map(|arm| arm.flap().bounds()) else { return made };
    if high <= 0.0 {
        made.said.push(no_lining(job));
        return made;
    }
    let strip = case::spine_lining(job, m, [on_cover(&front), high], pt(right, 0.0));
    let mut at = strip.outline.bounds().max.x + APART;
    made.pieces.push(strip);
    for (id, cover) in linings(job, &flat.base.bounds(), &front) {
        let Some(own) = pasted(job, &cover) else {
            made.said.push(no_lining(job));
            return made;
        };
        // Beside the layout: what lies in the joints is counted there.
        let outline = Contour::rectangle(pt(at, own.min.y), pt(at + own.width(), own.max.y));
        at += own.width() + APART;
        let plain = Piece::plain(id.into(), StockKind::Liner, Role::Liner, outline);
        let mut lining = Piece { grain: Grain::Height, lay: Lay::Mirrored, ..plain };
        if id == "liner-front-cover" {
            colophon::cut_lining(job, cover, &mut lining);
        }
        made.pieces.push(lining);
    }
    made
}

/// The covers that are lined, each with the id of its lining.
fn linings(job: &Job, back: &Bounds, front: &Bounds) -> Vec<(&'static str, Bounds)> {
    let is_lined = job.lining() > Length::ZERO;
    let of_back = is_lined && job.is_for_loose_sheets();
    let all = [(of_back, "liner-back-cover", *back), (is_lined, "liner-front-cover", *front)];
    all.into_iter().filter_map(|(is, id, cover)| is.then_some((id, cover))).collect()
}

/// Where the lining of a cover lies on it: within the reveal on all sides.
fn pasted(job: &Job, cover: &Bounds) -> Option<Bounds> {
    let reveal = job.covering.reveal.to_mm();
    (cover.width().min(cover.height()) > 2.0 * reveal + 1.0).then(|| cover.grown(-reveal))
}

fn no_lining(job: &Job) -> Diagnostic {
    let message = format!("a reveal of {} leaves nothing of a cover's lining", job.units.show(job.covering.reveal));
    Diagnostic::error("reveal-too-wide", message).at("covering.reveal").help("make the reveal smaller")
}

/// How far the strip at the spine lies on covers like this: on a narrow one to its middle.
fn on_cover(cover: &Bounds) -> f64 {
    ON_COVER.min(cover.width() / 2.0)
}

/// What lies on the inside of a case besides its cloth turned in.
fn line(all: &mut Assembly, job: &Job) {
    let (c, l) = (thicknesses(job).1.to_mm(), job.lining().to_mm());
    let of = |part| all.panel(part).map(|p: &crate::assembly::Panel| p.outline.bounds());
    let (Some(back), Some(front)) = (of(Part::Base), of(Part::Lid(SPINE))) else { return };
    let half = back.height() / 2.0 - job.covering.reveal.to_mm();
    let beyond = on_cover(&front);
    let linings = linings(job, &back, &front);
    for panel in &mut all.panels {
        let own = panel.outline.bounds();
        let (from, to) = match panel.part {
            Part::Base => (own.min.x, own.min.x + beyond),
            Part::Lid(_) => (own.max.x - beyond, own.max.x),
            _ => (own.min.x, own.max.x),
        };
        let layer = |kind, from: Point, to: Point, thickness| Layer {
            kind,
            face: Face::Inside,
            cover: Cover::Area(Contour::rectangle(from, to)),
            thickness,
        };
        panel.layers.push(layer(LayerKind::Cloth, pt(from, -half), pt(to, half), c));
        if panel.part.wall().is_none()
            && linings.iter().any(|(_, cover)| *cover == own)
            && let Some(b) = pasted(job, &own)
        {
            panel.layers.push(layer(LayerKind::Liner, b.min, b.max, l));
        }
    }
}

/// The pieces of a wrapper with those of its case, which is made round what the wrapper spans.
fn with_case(job: &Job, m: &Measures, flat: &Flat, mut made: Made) -> Made {
    let wrapper = HingedBoards.assembly(job, m, flat, &made);
    let Some(span) = span(job, &wrapper) else { return made };
    let case = case_of(job, span);
    let (design, said) = unmarked(&case);
    // What both have in common is told once.
    let of_case = untold(&made.said, said);
    made.said.extend(of_case);
    let bounds = |pieces: &[Piece]| pieces.iter().fold(Bounds::EMPTY, |b, p| b.union(p.outline.bounds()));
    let by = pt(bounds(&made.pieces).max.x - bounds(&design.pieces).min.x + APART, 0.0);
    made.pieces.extend(design.pieces.iter().map(|p| case::moved(p, by)));
    made.case = Some(Box::new(Case { job: case, design }));
    made
}
