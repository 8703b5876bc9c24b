//! The figures of a box in the words of the bench.

use crate::assembly::Panel;
use crate::design::{Design, Piece, Role, piece_words, trays};
use crate::estimate::in_hours;
use crate::fit::{case_in_words, mouth_in_words, tied_lid};
use crate::job::{Job, StockKind};
use crate::pipeline::Worked;
use crate::units::{Length, decimal, mm};
use crate::write::cost::takes;
use serde::Serialize;

/// A figure with its name.
#[derive(Clone, Debug, Serialize)]
pub struct Figure {
    /// What it is of.
    pub name: String,
    /// The figure with its unit.
    pub value: String,
    /// What it means.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub about: Option<&'static str>,
}

fn figure(name: &str, value: String, about: Option<&'static str>) -> Figure {
    Figure { name: name.to_owned(), value, about }
}

fn size(job: &Job, lengths: &[Length]) -> String {
    job.units.show_size(lengths).replace(" x ", " × ")
}

/// What is known of the box that fits.
pub(super) fn figures(job: &Job, worked: &Worked) -> Vec<Figure> {
    let show = |l: Length| job.units.show_on_rule(l);
    let (m, fit) = (&worked.design.measures, &worked.fit);
    let stacks: Vec<String> = job.stacks().iter().map(|s| size(job, s)).collect();
    let mut all = vec![
        figure("contents", stacks.join("; "), None),
        figure("interior", size(job, &fit.interior), Some("the room for the works, clearance included")),
        figure("exterior", size(job, &fit.exterior), Some("the closed box, all that is glued on counted")),
    ];
    for (name, value, about) in fit.depths.in_words(job) {
        all.push(figure(name, value, Some(about)));
    }
    if m.joint > Length::ZERO {
        all.push(figure("joint", show(m.joint), Some("the gap between two hinged boards: cut your spacer to it")));
    }
    if let Some(pair) = trays(job) {
        for (name, tray) in pair.names().into_iter().zip([&pair.small, &pair.large]) {
            all.push(figure(name, size(job, &tray.exterior.map(mm)), Some("outside, covered")));
        }
        all.push(figure("slide", show(mm(pair.slide)), Some("the room that the one has in the other")));
    } else if job.slipcase.is_none() && !job.is_for_loose_sheets() {
        all.push(figure(
            "step",
            show(m.step),
            Some("by which walls grow at least from tier to tier; what else lies there adds to it"),
        ));
    }
    let told = mouth_in_words(job).into_iter().chain(case_in_words(job, &worked.design));
    all.extend(told.map(|(name, value, about)| figure(name, value.replace(" x ", " × "), Some(about))));
    let mut lids: Vec<_> = job.flaps.iter().collect();
    lids.sort_by_key(|(side, f)| (f.tier, **side));
    for (side, _) in lids {
        let of = |map: &std::collections::BTreeMap<_, Length>| map.get(side).copied().unwrap_or_default();
        let play = of(&fit.play);
        let play = if play.to_mm().abs() < 0.005 { "no play".to_owned() } else { format!("{} play", show(play)) };
        let value = format!("{} high, {play}", show(of(&m.walls)));
        all.push(figure(&format!("{} wall", side.word()), value, Some("what it has beyond what lies beneath its lid")));
    }
    if let Some(strap) = &fit.strap {
        let value = format!("cut to {}", show(strap.length));
        all.push(figure("strap", value, Some("the elastic, unstretched, both ends in their pockets")));
    }
    for t in &fit.ties {
        let (value, about) = match &t.pegs {
            None => (
                format!("{} ribbons cut to {}", t.ribbons, show(t.length)),
                "each a tail, half the way from slot to slot, and its half of the bow",
            ),
            Some(p) => (
                format!("{} cut to {}, {} to {}", t.ribbons, show(t.length), p.count, show(p.loop_length)),
                "the first go round the pegs, the others are the loops; each is laid double, both its ends glued in",
            ),
        };
        all.push(figure(&format!("{}'s ties", tied_lid(job, t.side)), value, Some(about)));
    }
    for m in &fit.magnets {
        let value = format!("{} from face to face", job.units.show(m.gap));
        all.push(figure(
            &format!("{} lid's magnets", m.side.word()),
            value,
            Some("the layers between a magnet and its fellow when the box is closed"),
        ));
    }
    if let Some(inside) = &fit.inside {
        let shares: Vec<String> =
            crate::fit::told_inside(job, inside).into_iter().map(|(name, value)| format!("{name}: {value}")).collect();
        all.push(figure("inside", shares.join("; "), Some("what lies in the box besides the works")));
    }
    all.push(figure("weight", worked.bill.told_weight(), Some("the empty box, without glue and elastic")));
    for material in &worked.bill.materials {
        all.push(figure(&format!("{} area", material.stock.word()), job.units.show_area(material.area_m2), None));
    }
    if worked.bill.glue_m2 > 0.0 {
        all.push(figure("to glue", job.units.show_area(worked.bill.glue_m2), None));
    }
    all
}

/// What all boxes take: sheets of each stock, and money where prices are known.
pub(super) fn cost(job: &Job, worked: &Worked) -> Vec<Figure> {
    let taken = takes(job.copies, &worked.design.pieces, &worked.sheets, &[]);
    let sheets = |n: u32| if n == 1 { "1 sheet".to_owned() } else { format!("{n} sheets") };
    let mut all: Vec<Figure> = taken
        .stocks
        .iter()
        .map(|s| {
            let price = s.cost.map_or(String::new(), |c| format!(", {c:.2}"));
            let used = format!(", {:.0} % used", s.used() * 100.0);
            figure(s.stock.word(), format!("{}{used}{price}", sheets(s.sheets)), None)
        })
        .collect();
    if let Some(cost) = taken.cost.filter(|_| !taken.stocks.is_empty()) {
        all.push(figure("in all", format!("{cost:.2}"), Some("whole sheets, in your currency")));
    }
    let estimate = worked.estimate(job, &[]);
    let days = estimate.plan.as_ref().map_or(String::new(), |p| match p.days {
        1 => ", in 1 day".to_owned(),
        n => format!(", in {n} days"),
    });
    let value = format!("about {}{days}", in_hours(estimate.hours.minutes()));
    all.push(figure("work", value, Some("by hand, an estimate by the minutes under \u{201c}work\u{201d}")));
    if let Some(sum) = estimate.money.as_ref().and_then(|m| m.in_all) {
        let about = "stock, elastic, ribbons, glue and work, as far as the job has prices for them";
        all.push(figure("with work", format!("{sum:.2}"), Some(about)));
    }
    all
}

/// A piece for the list of pieces.
#[derive(Clone, Debug, Serialize)]
pub struct Cut {
    id: String,
    name: String,
    stock: &'static str,
    size: String,
    count: u32,
    parts: Vec<String>,
    keys: Vec<String>,
}

/// Every piece that is cut.
pub(super) fn pieces(job: &Job, design: &Design) -> Vec<Cut> {
    design.pieces.iter().map(|p| cut(job, design, p)).collect()
}

fn cut(job: &Job, design: &Design, piece: &Piece) -> Cut {
    let b = piece.outline.bounds();
    let side = piece.side.map(crate::job::Side::word);
    let of_panel: Vec<String> =
        design.assembly.panels.iter().filter(|p| p.piece == piece.id).map(Panel::name).collect();
    let patch = design.patches.iter().filter(|p| p.id == piece.id);
    let places: Vec<&str> = patch.clone().map(|p| p.place.as_str()).collect();
    let is_of_trays = job.build.construction.terms().has_trays;
    let name = match (piece.role, side) {
        _ if is_of_trays => {
            let words = piece_words(&piece.id);
            words.split_once(' ').map_or(words.clone(), |(_, rest)| rest.to_owned())
        }
        _ if piece.id == "cloth-case" && job.portfolio.is_some() => "cloth of the case".into(),
        (Role::Liner, None) if is_of_case(piece, job) => piece_words(&piece.id).replacen("liner ", "liner, ", 1),
        _ if is_of_case(piece, job) => {
            let words = piece_words(&piece.id);
            words.split_once(' ').map_or(words.clone(), |(_, rest)| rest.to_owned())
        }
        _ if job.slipcase.is_some() => {
            let words = piece_words(&piece.id);
            words.split_once(' ').map_or(words.clone(), |(stock, rest)| match (stock, piece.role) {
                ("board", _) => rest.to_owned(),
                (_, Role::Cover) => "covering cloth".into(),
                (_, Role::Patch) => "strip round a notch".into(),
                _ => format!("liner, {rest}"),
            })
        }
        (Role::Wall, Some(side)) => format!("{side} wall"),
        (Role::Flap, Some(side)) => format!("{side} lid"),
        (Role::Base, _) => "base".into(),
        (Role::Cover, _) => "covering cloth".into(),
        (Role::Hinge, _) => match design.strips.iter().find(|s| s.id == piece.id) {
            Some(strip) => format!("hinge strip: {}", strip.place()),
            None => "hinge strip".into(),
        },
        (Role::Side, Some(side)) if piece.stock == StockKind::Paper => format!("paper of the {side} lid"),
        (Role::Liner, Some(side)) => format!("liner, {side}"),
        (Role::Liner, None) => "liner".into(),
        (Role::Blank, _) => "blank".into(),
        (Role::Patch, _) if !places.is_empty() => format!("patch: {}", places.join("; ")),
        _ => piece_words(&piece.id),
    };
    let mut parts = if of_panel.is_empty() { patch.map(|p| p.part.name()).collect() } else { of_panel };
    parts.dedup();
    let keys = match (piece.role, piece.side, piece.stock) {
        (Role::Tray, _, StockKind::Board) => vec!["trays.slide".into(), "contents.depth".into()],
        (Role::Flap | Role::Wall | Role::Base, ..) if is_of_trays => vec!["trays.square".into()],
        (Role::Wall, ..) if is_of_case(piece, job) => vec!["portfolio.spine_extra".into(), "contents.depth".into()],
        (Role::Flap | Role::Base, ..) if is_of_case(piece, job) => {
            vec!["portfolio.square".into(), "contents.width".into(), "contents.height".into()]
        }
        (Role::Flap, Some(side), _) => vec![job.reach_key(side)],
        (Role::Wall, Some(side), _) if job.slipcase.is_none() => vec![job.wall_key(side)],
        (Role::Wall, ..) if job.slipcase.is_some() => vec!["contents.depth".into(), "slipcase.back".into()],
        (Role::Patch, ..) if job.slipcase.is_some() => vec!["slipcase.notch_width".into()],
        (Role::Liner, ..) if job.slipcase.is_some() => vec!["liner.thickness".into()],
        (Role::Base, ..) => vec!["contents.width".into(), "contents.height".into()],
        (Role::Cover, ..) => vec!["covering.turn_in".into(), "cloth.thickness".into()],
        (Role::Liner, ..) => vec!["covering.reveal".into(), "liner.thickness".into()],
        (Role::Patch, ..) => vec!["covering.turn_in".into()],
        (Role::Hinge, ..) => vec!["liner.strip_lap".into(), "cloth.thickness".into()],
        (Role::Side, ..) => side_keys(job),
        (Role::Inside, ..) => vec!["inside.spacer.clearance".into(), "inside.divider.height".into()],
        (_, _, StockKind::Board) => vec!["board.thickness".into()],
        _ => Vec::new(),
    };
    Cut {
        id: piece.id.clone(),
        name,
        stock: piece.stock.word(),
        size: size(job, &[mm(b.width()), mm(b.height())]),
        count: piece.needed(job.copies),
        parts,
        keys,
    }
}

/// The keys that say how a board is covered by part.
fn side_keys(job: &Job) -> Vec<String> {
    let of = |on: &crate::job::SideOn| ["cloth", "edge", "corner", "lap"].map(|key| on.key(key));
    job.sides.keys().flat_map(of).chain(["paper.thickness".into()]).collect()
}

/// Whether it is a piece of a portfolio's case.
fn is_of_case(piece: &Piece, job: &Job) -> bool {
    let is_named = |name| piece.id.ends_with(name);
    job.portfolio.is_some()
        && (["-cover", "-spine", "-case", "-spine-lining"].into_iter().any(is_named) || piece.id.contains("-cover-"))
        && piece.id != "cloth-cover"
}

/// A sheet with its picture.
#[derive(Clone, Debug, Serialize)]
pub struct Laid {
    id: String,
    stock: &'static str,
    count: u32,
    size: String,
    used: String,
    offcut: Option<String>,
    pieces: Vec<String>,
    svg: String,
}

/// The sheets as they are laid out.
pub(super) fn sheets(job: &Job, worked: &Worked) -> Vec<Laid> {
    let pieces = &worked.design.pieces;
    worked
        .sheets
        .iter()
        .zip(&worked.operations)
        .flat_map(|(sheet, ops)| ops.sides().map(move |side| (sheet, side)))
        .map(|(sheet, ops)| Laid {
            id: ops.name(),
            stock: sheet.stock.word(),
            count: sheet.count(),
            size: size(job, &[sheet.width, sheet.height]),
            used: format!("{} %", decimal(sheet.used(pieces) * 100.0, 0)),
            offcut: ops.sheet.offcut.map(|o| size(job, &[o.width, o.height])),
            pieces: sheet.placed.iter().filter_map(|p| Some(pieces.get(p.piece)?.id.clone())).collect(),
            svg: crate::write::svg::by_piece(ops, job.units),
        })
        .collect()
}
