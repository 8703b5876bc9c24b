//! What is said of the leaf with the colophon: its recess, the lining about it, and how it goes in. What the words say of
//! gluing is common practice, no source; the measures are the job's.

use super::Told;
use super::plan::{HERE, LINER, Plan, THIN};
use super::step::{Step, show};
use super::work;
use crate::design::{colophon, colophon_in_tray, colophon_slits};
use crate::drawing::Pen;
use crate::geom::{Contour, Stroke};
use crate::job::{Colophon, Held, Side, StockKind};
use crate::units::mm;
use crate::write::style::INK;

/// So far round a tucked corner the lining is left without glue, mm (our choice).
const FREE: f64 = 4.0;

fn leaf(told: &Told<'_>) -> Option<(Colophon, Side, crate::geom::Bounds)> {
    colophon(told.job, told.design.flat.as_ref()?)
}

/// The lid that holds it, in words.
fn lid(told: &Told<'_>, side: Side) -> String {
    if told.job.within().is_some() { "front cover".into() } else { format!("{} lid", side.word()) }
}

/// Where boards are cut into.
pub(super) fn recess(told: &Told<'_>) -> Option<String> {
    let (leaf, side, _) = leaf(told).filter(|(leaf, ..)| leaf.held == Held::Inset)?;
    Some(format!(
        "Recess for the colophon's leaf, in the inside of the {}: {} deep, no deeper, its floor even. Cut round it and peel the board away in layers.",
        lid(told, side),
        show(told, leaf.recess_depth())
    ))
}

/// Where the lining is glued in.
pub(super) fn of_liner(told: &Told<'_>) -> Option<String> {
    let (leaf, side, _) = leaf(told)?;
    let lid = lid(told, side);
    Some(match leaf.held {
        Held::Corners => glued_about(told, &leaf, &lid),
        Held::Inset => format!(
            "On the {lid} press it down into the recess of the colophon's leaf and into its corners before the glue holds, then rub down the rest."
        ),
    })
}

/// Where the floors of trays are lined.
pub(super) fn of_floor(told: &Told<'_>) -> Option<String> {
    let leaf = colophon_in_tray(told.job)?;
    Some(glued_about(told, &leaf, tray(told)))
}

/// Which tray holds it.
fn tray(told: &Told<'_>) -> &'static str {
    if told.job.build.construction.terms().has_case { "floor of the large tray" } else { "floor of the lid" }
}

/// A leaf on the floor of a tray goes in.
fn put_in_tray<'a>(told: &'a Told<'a>) -> Option<Step<'a>> {
    let leaf = colophon_in_tray(told.job)?;
    let lining = told.design.pieces.iter().find(|p| p.stock == StockKind::Liner && !p.slits.is_empty())?;
    let words = tucked(told, &leaf, tray(told));
    Some(Step {
        title: "The colophon".into(),
        words,
        window: work::around([lining.outline.bounds()], 4.0),
        draw: Box::new(move |plan: &mut Plan<'_>| {
            plan.solid(std::slice::from_ref(&lining.outline), LINER, THIN);
            let slits: Vec<Stroke> = lining.slits.iter().cloned().map(Stroke::Open).collect();
            plan.line(&slits, Pen::solid(INK, 0.35));
        }),
    })
}

/// How its corners go in.
fn tucked(told: &Told<'_>, leaf: &Colophon, name: &str) -> Vec<String> {
    let size = told.job.units.show_size(&[leaf.width, leaf.height]);
    vec![
        format!(
            "Tuck the four corners of the leaf, {size}, into the slits of the lining in the {name}: bow it a little, two corners at one end first, then the other two. It can be drawn out again."
        ),
        format!("It takes {} of the depth; that is counted.", told.job.units.show(leaf.thickness)),
    ]
}

/// How the lining is glued about its slits.
fn glued_about(told: &Told<'_>, leaf: &Colophon, name: &str) -> String {
    format!(
        "On the {name} four slits in it, {} long, are for the corners of the colophon's leaf: cut them before you glue it, unless they are cut by machine. Leave it without glue behind each, from the slit outwards {} along either edge and {} beyond: a slip of waxed paper there keeps the glue off.",
        show(told, leaf.corner * std::f64::consts::SQRT_2 + leaf.ease * 2.0),
        show(told, leaf.corner),
        show(told, mm(FREE))
    )
}

/// The leaf goes in.
pub(super) fn put_in<'a>(told: &'a Told<'a>) -> Option<Step<'a>> {
    if let Some(step) = put_in_tray(told) {
        return Some(step);
    }
    let (leaf, side, at) = leaf(told)?;
    let name = lid(told, side);
    let size = told.job.units.show_size(&[leaf.width, leaf.height]);
    let words = match leaf.held {
        Held::Corners => tucked(told, &leaf, &name),
        Held::Inset => vec![format!(
            "Paste the leaf, {size}, and lay it into the middle of its recess in the {name}; rub it down through paper and leave a weight on it until it is dry. It lies level with the lining around it."
        )],
    };
    let board = told.design.flat.as_ref()?.arms.get(&side)?.flap();
    let window = work::around([board.bounds()], 4.0);
    Some(Step {
        title: "The colophon".into(),
        words,
        window,
        draw: Box::new(move |plan: &mut Plan<'_>| {
            plan.solid(std::slice::from_ref(&board), LINER, THIN);
            let outline = Contour::rectangle(at.min, at.max);
            plan.solid(std::slice::from_ref(&outline), HERE, THIN);
            let slits: Vec<Stroke> = colophon_slits(&leaf, at).into_iter().map(Stroke::Open).collect();
            plan.line(&slits, Pen::solid(INK, 0.35));
            plan.name(&outline, "leaf");
        }),
    })
}
