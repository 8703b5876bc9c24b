//! The report that a maker reads at the bench.

use super::columns::{minutes, table};
use crate::design::{Parted, Piece, TrayMeasures, covered_by_part, trays};
use crate::diag::listed;
use crate::estimate::{Estimate, Money, in_hours};
use crate::fit::{case_in_words, mouth_in_words, tied_lid, told_inside};
use crate::job::{Assumed, Grain, Job, Side, Stock, StockKind, assumed};
use crate::nest::{Sheet, Turn};
use crate::pipeline::Worked;
use crate::units::{Length, Unit, mm};
use crate::write::cost::Takes;
use std::fmt::Write as _;
use std::sync::Arc;

/// The figures of the fit, the closing order, and what to cut from what.
pub(super) fn bench(job: &Job, worked: &Worked, estimate: &Estimate) -> String {
    let show = |l: Length| job.units.show(l);
    let size = |s: [Length; 3]| job.units.show_size(&s);
    let m = &worked.design.measures;
    let c = &job.contents;
    let readings = match c.depth_readings.len() {
        0 | 1 => String::new(),
        n => format!("  (the deepest of {n} readings)"),
    };
    let held: Vec<String> = job.stacks().into_iter().map(size).collect();
    let mut rows = vec![
        vec!["contents".into(), format!("{}{readings}", held.join("; "))],
        vec!["interior".into(), size(worked.fit.interior)],
        vec!["exterior".into(), size(worked.fit.exterior)],
    ];
    rows.extend(stacks(job, worked));
    rows.push(vec!["closes".into(), worked.fit.closing.tell(job.units)]);
    rows.push(vec!["materials".into(), materials(job)]);
    rows.extend(by_part(job, worked));
    if m.joint > Length::ZERO {
        let spacer = "(the gap between two hinged boards: cut your spacer to it)";
        rows.push(vec!["joint".into(), format!("{}  {spacer}", show(m.joint))]);
    }
    if let Some(pair) = trays(job) {
        let tray = |t: &TrayMeasures| size(t.exterior.map(mm));
        rows.extend([
            vec![
                pair.names()[0].into(),
                format!("{} outside, its walls {} high", tray(&pair.small), show(mm(pair.small.wall))),
            ],
            vec![
                pair.names()[1].into(),
                format!("{} outside, its walls {} high", tray(&pair.large), show(mm(pair.large.wall))),
            ],
            vec!["slide".into(), format!("{}  (the room that the one has in the other)", show(mm(pair.slide)))],
        ]);
    } else if job.slipcase.is_none() && !job.is_for_loose_sheets() {
        rows.push(vec!["step".into(), format!("{}  (walls grow by it from tier to tier)", show(m.step))]);
    }
    let told = mouth_in_words(job).into_iter().chain(case_in_words(job, &worked.design));
    rows.extend(told.map(|(name, value, about)| vec![name.into(), format!("{value}  ({about})")]));
    rows.extend([
        vec!["weight".into(), format!("{}  (the empty box, without glue and elastic)", worked.bill.told_weight())],
        vec!["areas".into(), areas(worked, job.units)],
    ]);
    if let Some(cost) = cost(worked) {
        let each = if job.copies > 1 { ", whole sheets for all copies" } else { ", whole sheets" };
        rows.push(vec!["cost".into(), format!("{cost:.2}  (of the stock{each})")]);
    }
    rows.push(vec!["work".into(), hours(estimate)]);
    if let Some(money) = &estimate.money {
        rows.push(vec!["in all".into(), money_in_all(money, estimate.boxes)]);
    }
    if let Some(strap) = &worked.fit.strap {
        let cut =
            if strap.count == 1 { "cut the elastic to".to_owned() } else { format!("cut {} elastics to", strap.count) };
        let (shortest, longest) = strap.snug;
        rows.push(vec![
            "strap".into(),
            format!("{cut} {}; {} to {} stays snug", show(strap.length), show(shortest), show(longest)),
        ]);
    }
    rows.extend(closings(job, worked));
    if let Some(inside) = &worked.fit.inside {
        rows.extend(told_inside(job, inside).into_iter().map(|(name, value)| vec![name.into(), value]));
    }
    let mut text = table(&rows);
    if !job.flaps.is_empty() {
        text.push_str("\nClosing order\n");
        text.push_str(&closing_order(job, worked));
    }
    text.push_str(&taken_as_usual(job));
    text.push_str("\nTo cut");
    text.push_str(if job.copies == 1 { "\n" } else { ", for all copies together\n" });
    text.push_str(&to_cut(job, worked));
    text
}

/// Ribbon ties and magnets, a line a lid.
fn closings(job: &Job, worked: &Worked) -> Vec<Vec<String>> {
    let show = |l| job.units.show_on_rule(l);
    let ties = worked.fit.ties.iter().map(|t| {
        let for_all = |each: u32, what: &str| {
            if job.copies > 1 { format!(", {}{what} for all copies", each * job.copies) } else { String::new() }
        };
        let cut = match &t.pegs {
            None => format!("cut {} ribbons to {}{}", t.ribbons, show(t.length), for_all(t.ribbons, "")),
            Some(p) => {
                let (long, short) = (show(t.length), show(p.loop_length));
                let (each, all) = (if p.count == 1 { "" } else { " each" }, for_all(p.count, " of each"));
                format!("cut {} for the peg to {long} and {} for its loop to {short}{each}{all}", p.count, p.count)
            }
        };
        let (lid, to) = (tied_lid(job, t.side), t.fellow_board(job));
        vec!["ties".into(), format!("{cut}; the {lid} to the {to}, {} from slot to slot", show(t.way))]
    });
    let magnets = worked.fit.magnets.iter().map(|m| {
        let under = if m.plates > 0 { format!("{} steel plates", m.plates) } else { format!("{} beneath", m.count) };
        let layers: Vec<String> =
            m.layers.iter().map(|l| format!("{} {}", l.what, job.units.show(l.thickness))).collect();
        let gap = format!("{} apart when closed ({})", job.units.show(m.gap), layers.join(", "));
        vec!["magnets".into(), format!("{} in the {} lid, {under}; {gap}", m.count, m.side.word())]
    });
    ties.chain(magnets).collect()
}

/// What the job does not say, a line for each of its tables.
fn taken_as_usual(job: &Job) -> String {
    let mut tables: Vec<(String, Vec<String>)> = Vec::new();
    for Assumed { key, value } in assumed(job) {
        let (table, rest) = key.split_once('.').map_or(("", key.as_str()), |(t, r)| (t, r));
        match tables.iter_mut().find(|(t, _)| t == table) {
            Some((_, all)) => all.push(format!("{rest} {value}")),
            None => tables.push((table.to_owned(), vec![format!("{rest} {value}")])),
        }
    }
    if tables.is_empty() {
        return String::new();
    }
    let rows: Vec<Vec<String>> = tables.into_iter().map(|(table, all)| vec![table, all.join(", ")]).collect();
    format!("\nAssumed, as the job does not say\n{}", table(&rows))
}

/// How long the work takes, by hand and beside machines.
fn hours(estimate: &Estimate) -> String {
    let minutes = estimate.hours.minutes();
    let mut said = format!("about {}", in_hours(minutes));
    if estimate.boxes > 1 {
        said.push_str(&format!(", {} a box", in_hours(estimate.minutes_a_box())));
    }
    if let Some(plan) = &estimate.plan {
        let days = if plan.days == 1 { "1 day".to_owned() } else { format!("{} days", plan.days) };
        said.push_str(&format!(", in {days} of {} h", crate::units::decimal(estimate.day, 2)));
        if let Some(day) = plan.others_from {
            said.push_str(&format!(", the others begun on day {day} when the first is whole"));
        }
    }
    format!("{said}  (an estimate, {})", estimate.origin())
}

/// What all of it costs, and of what that is the sum.
fn money_in_all(money: &Money, boxes: u32) -> String {
    let parts: Vec<String> = money.lines.iter().filter_map(|l| l.cost.map(|c| format!("{} {c:.2}", l.what))).collect();
    let a_box = |sum: f64| match boxes {
        0 | 1 => String::new(),
        n => format!(", {:.2} a box", sum / f64::from(n)),
    };
    let missing = money.unpriced();
    let sum = money.in_all.unwrap_or(money.known());
    let without = match missing.is_empty() {
        true => String::new(),
        false => format!(" without {}, whose price is not given", listed(&missing)),
    };
    format!("{sum:.2}{}{without}  ({})", a_box(sum), parts.join(", "))
}

/// What the sheets cost together, where every price is known.
pub(super) fn cost(worked: &Worked) -> Option<f64> {
    let is_laid = |kind| worked.sheets.iter().any(|s| s.stock == kind);
    if worked.bill.materials.iter().all(|m| is_laid(m.stock)) {
        worked.sheets.iter().map(|s| s.price.map(|p| p * f64::from(s.count()))).sum()
    } else {
        None
    }
}

/// What the boxes take of stock and time, in all and one of them.
pub(super) fn takes(t: &Takes) -> String {
    let boxes = f64::from(t.boxes.max(1));
    let money = |v: Option<f64>| v.map_or("no price".into(), |v| format!("{v:.2}"));
    let percent = |share: f64| format!("{:.0} %", share * 100.0);
    let mut rows = vec![["", "sheets", "used", "offcut", "waste", "in all", "a box"].map(String::from).to_vec()];
    rows.extend(t.stocks.iter().map(|s| {
        let shares = [s.used(), s.kept(), s.waste()].map(percent);
        let cost = [money(s.cost), money(s.cost.map(|c| c / boxes))];
        [&[s.stock.word().to_owned(), s.sheets.to_string()][..], &shares, &cost].concat()
    }));
    let no_sheet = || vec![String::new(); 4];
    if t.stocks.len() > 1 && t.cost.is_some() {
        rows.push(
            [vec!["all stock".into()], no_sheet(), vec![money(t.cost), money(t.cost.map(|c| c / boxes))]].concat(),
        );
    }
    rows.extend(
        t.machines.iter().map(|m| {
            [vec![m.machine.clone()], no_sheet(), vec![minutes(m.seconds), minutes(m.seconds / boxes)]].concat()
        }),
    );
    rows.extend(t.bought().map(|l| {
        let cost = [money(l.cost), money(l.cost.map(|c| c / boxes))];
        [vec![l.what.clone()], no_sheet(), cost.to_vec()].concat()
    }));
    if let Some(work) = &t.work {
        let time = [in_hours(work.by_hand_minutes), in_hours(work.by_hand_minutes / boxes)];
        rows.push([vec!["by hand, about".into()], no_sheet(), time.to_vec()].concat());
    }
    for what in ["machines", "work"] {
        if let Some(line) = t.paid_for(what) {
            let cost = [money(line.cost), money(line.cost.map(|c| c / boxes))];
            rows.push([vec![format!("{what} by the hour")], no_sheet(), cost.to_vec()].concat());
        }
    }
    if let Some(all) = t.money() {
        let cost = match all.in_all {
            Some(sum) => [money(Some(sum)), money(Some(sum / boxes))],
            None => [format!("{} is missing", listed(&all.unpriced())), String::new()],
        };
        rows.push([vec!["all".into()], no_sheet(), cost.to_vec()].concat());
    }
    format!("\nCost and time\n{}", table(&rows))
}

fn areas(worked: &Worked, units: Unit) -> String {
    let bill = &worked.bill;
    let mut said: Vec<String> =
        bill.materials.iter().map(|m| format!("{} {}", m.stock.word(), units.show_area(m.area_m2))).collect();
    if bill.glue_m2 > 0.0 {
        said.push(format!("to glue {}", units.show_area(bill.glue_m2)));
    }
    format!("{}  (a box, without waste)", said.join(", "))
}

/// Three depths told apart: lids flat, pressed shut, sliding about.
fn stacks(job: &Job, worked: &Worked) -> Vec<Vec<String>> {
    let told = worked.fit.depths.in_words(job).into_iter();
    let mut rows: Vec<Vec<String>> =
        told.map(|(name, value, about)| vec![name.into(), format!("{value}: {about}")]).collect();
    let open: Vec<&str> = job.open_sides().into_iter().map(Side::word).collect();
    if !open.is_empty() {
        rows.push(vec!["open at".into(), format!("{}: nothing holds the works there", listed(&open))]);
    }
    rows
}

/// How far the cloth runs on boards that are covered by part.
fn by_part(job: &Job, worked: &Worked) -> Option<Vec<String>> {
    let design = worked.design.case.as_ref().map_or(&worked.design, |case| &case.design);
    let of_job = worked.design.case.as_ref().map_or(job, |case| &case.job);
    let show = |l: Length| job.units.show(l);
    let one = |p: &Parted| {
        let more = match (p.cut.edge > Length::ZERO, p.cut.corner > Length::ZERO) {
            (true, _) => format!(" and {} along its far edge", show(p.cut.edge)),
            (_, true) => format!(" and {} at its corners", show(p.cut.corner)),
            _ => String::new(),
        };
        format!("{}: cloth {} from its joint{more}, paper {} over it", p.on.board(), show(mm(p.cloth)), show(p.cut.lap))
    };
    let all: Vec<String> = covered_by_part(of_job, design).iter().map(one).collect();
    (!all.is_empty()).then(|| vec!["by part".into(), all.join("; ")])
}

fn materials(job: &Job) -> String {
    let show = |s: &Stock| job.units.show(s.thickness);
    let mut said = format!("board {}", show(&job.board));
    for (name, stock) in [("cloth", &job.cloth), ("liner", &job.liner)] {
        match stock {
            Some(s) => said.push_str(&format!(", {name} {}", show(s))),
            None => said.push_str(&format!(", no {name}")),
        }
        if let (Some(paper), "cloth") = (&job.paper, name) {
            said.push_str(&format!(", paper {}", show(paper)));
        }
    }
    said
}

fn closing_order(job: &Job, worked: &Worked) -> String {
    let show = |l: Length| job.units.show(l);
    let mut flaps: Vec<_> = job.flaps.iter().collect();
    flaps.sort_by_key(|(side, f)| (f.tier, **side));
    let mut rows = vec![["tier", "lid", "wall height", "lid reach", "play"].map(String::from).to_vec()];
    for (side, flap) in flaps {
        let of = |map: &std::collections::BTreeMap<_, Length>| map.get(side).copied().unwrap_or_default();
        rows.push(vec![
            flap.tier.to_string(),
            side.word().into(),
            show(of(&worked.design.measures.walls)),
            show(of(&worked.design.measures.reach)),
            show(of(&worked.fit.play)),
        ]);
    }
    table(&rows)
}

fn to_cut(job: &Job, worked: &Worked) -> String {
    let mut text = String::new();
    for kind in StockKind::ALL {
        let pieces: Vec<&Piece> = worked.design.pieces.iter().filter(|p| p.stock == kind).collect();
        if pieces.is_empty() {
            continue;
        }
        let sheets: Vec<&Arc<Sheet>> = worked.sheets.iter().filter(|s| s.stock == kind).collect();
        text.push_str(&stock_line(job, kind, &sheets));
        let rows: Vec<Vec<String>> = pieces
            .iter()
            .map(|p| {
                let b = p.outline.bounds();
                let places: Vec<&str> =
                    worked.design.patches.iter().filter(|at| at.id == p.id).map(|at| at.place.as_str()).collect();
                vec![
                    format!("  {} x", p.needed(job.copies)),
                    p.id.clone(),
                    job.units.show_size(&[mm(b.width()), mm(b.height())]),
                    if places.is_empty() { extras(p) } else { places.join("; ") },
                ]
            })
            .collect();
        text.push_str(&table(&rows));
    }
    text
}

fn stock_line(job: &Job, kind: StockKind, sheets: &[&Arc<Sheet>]) -> String {
    let Some(stock) = job.stock(kind) else { return String::new() };
    let count = match sheets.iter().map(|s| s.count()).sum::<u32>() {
        0 => "not laid out".into(),
        1 => "1 sheet".into(),
        n => format!("{n} sheets"),
    };
    let grain = match stock.grain {
        Grain::Width => ", grain along the width",
        Grain::Height => ", grain along the height",
        Grain::None => "",
    };
    let assumed = if stock.sheet_is_given { "" } else { " (taken as usual: the job does not say)" };
    let price: Option<f64> = sheets.iter().map(|s| s.price.map(|p| p * f64::from(s.count()))).sum();
    let cost = price.filter(|_| !sheets.is_empty()).map_or(String::new(), |p| format!(", {p:.2} in all"));
    let mut text = format!("  {}: {count} of {}{grain}{cost}{assumed}\n", kind.word(), sizes(job, stock, sheets));
    if let (Some(last), Some(offcut)) = (sheets.last(), sheets.last().and_then(|s| s.offcut)) {
        let size = job.units.show_size(&[offcut.width, offcut.height]);
        let _ = writeln!(text, "    {} leaves an offcut of {size}", last.id);
    }
    for sheet in sheets {
        let by = match sheet.turn {
            Some(Turn { pins: Some(pins), .. }) => format!("over two pins of {}", job.units.show(pins.diameter)),
            Some(_) => format!("by its corner: it must be {} wide", job.units.show(sheet.width)),
            None => continue,
        };
        let _ = writeln!(text, "    {} is worked from both faces, turned over left to right {by}", sheet.id);
    }
    text
}

/// The sizes of the sheets that were used, each once.
fn sizes(job: &Job, stock: &Stock, sheets: &[&Arc<Sheet>]) -> String {
    let show = |w: Length, h: Length| job.units.show_size(&[w, h]);
    let mut used: Vec<(String, u32)> = Vec::new();
    for sheet in sheets {
        let leftover = if sheet.is_leftover { " left over" } else { "" };
        let size = format!("{}{leftover}", show(sheet.width, sheet.height));
        match used.iter_mut().find(|(s, _)| *s == size) {
            Some((_, n)) => *n += sheet.count(),
            None => used.push((size, sheet.count())),
        }
    }
    match &used[..] {
        [] => show(stock.sheet_width, stock.sheet_height),
        [(size, _)] => size.clone(),
        several => several.iter().map(|(size, n)| format!("{n} x {size}")).collect::<Vec<_>>().join(", "),
    }
}

/// The sheets that were written, a line for each run of sheets that are alike.
pub(super) fn sheets(job: &Job, worked: &Worked) -> String {
    let alike = |a: &Arc<Sheet>, b: &Arc<Sheet>| {
        a.stock == b.stock
            && (a.width, a.height) == (b.width, b.height)
            && a.placed.len() == b.placed.len()
            && a.offcut == b.offcut
            && a.count() == b.count()
    };
    let rows: Vec<Vec<String>> = worked
        .sheets
        .chunk_by(alike)
        .filter_map(|run| Some((run.first()?, run.last()?, run.len())))
        .map(|(first, last, n)| {
            let name = if n == 1 { first.id.clone() } else { format!("{} to {}", first.id, last.id) };
            let pieces = match (first.placed.len(), n) {
                (1, 1) => "1 piece".into(),
                (p, 1) => format!("{p} pieces"),
                (1, _) => "1 piece each".into(),
                (p, _) => format!("{p} pieces each"),
            };
            let offcut =
                first.offcut.map_or(String::new(), |o| format!("offcut {}", job.units.show_size(&[o.width, o.height])));
            let times = if first.count() > 1 { format!("cut {} of it", first.count()) } else { String::new() };
            vec![name, job.units.show_size(&[first.width, first.height]), pieces, times, offcut]
        })
        .collect();
    table(&rows)
}

/// What a piece has besides its outline.
fn extras(p: &Piece) -> String {
    let counted = |n: usize, one: &str| match n {
        0 => None,
        1 => Some(format!("1 {one}")),
        n => Some(format!("{n} {one}s")),
    };
    [
        counted(p.windows, "window"),
        counted(p.slots().len(), "slot"),
        counted(p.all_pockets().count(), "pocket"),
        counted(p.slits.len(), "slit"),
    ]
    .into_iter()
    .flatten()
    .collect::<Vec<_>>()
    .join(", ")
}
