//! What to check first, what to buy, what to cut.

use super::Told;
use crate::design::{Piece, thicknesses};
use crate::diag::listed;
use crate::job::{Grain, Stock, StockKind};
use crate::nest::Sheet;
use crate::units::{Length, mm};
use crate::write::pdf::flow::Flow;
use crate::write::pdf::parts::piece_name;

/// What a cut cannot take back.
pub(super) fn check_first(flow: &mut Flow<'_>, told: &Told<'_>) {
    let job = told.job;
    let show = |l: Length| job.units.show(l);
    flow.heading("Before you cut");
    let stacks: Vec<String> = job.stacks().iter().map(|s| job.units.show_size(s)).collect();
    let d = &told.fit.depths;
    let on_rule = |l: Length| job.units.show_on_rule(l);
    let loose = if d.slides > mm(0.05) {
        format!("; with less than {} the works slide about", on_rule(d.slides))
    } else {
        String::new()
    };
    let (fits, changes) = match job.slipcase {
        Some(_) => ("It slides in up to", "every board"),
        None if job.is_for_loose_sheets() => ("The front cover lies flat over a stack up to", "joints and spine"),
        None => ("Every lid lies flat over a stack up to", "every joint and wall"),
    };
    flow.tick(&format!(
        "Measure the stack again, under light hand pressure: it was taken as {}. {fits} {} deep{loose}.",
        stacks.join(", "),
        on_rule(d.flat),
    ));
    let (t, cloth, liner) = thicknesses(job);
    let mut thick = vec![format!("board {}", show(t))];
    if job.cloth.is_some() {
        thick.push(format!("cloth glued down {}", show(cloth)));
    }
    if let Some(paper) = &job.paper {
        thick.push(format!("paper of the sides glued down {}", show(paper.thickness)));
    }
    if job.liner.is_some() {
        thick.push(format!("liner glued down {}", show(liner)));
    }
    let again = if told.lot.is_some() { "work the list again" } else { "export again" };
    flow.tick(&format!("Measure your stocks with a caliper: {}. A different board changes {changes}: put its figure into the job and {again}.", thick.join(", ")));
    let with_grain = stocks(told).into_iter().filter(|(_, stock)| stock.grain != Grain::None);
    let with_grain: Vec<String> = with_grain.map(|(kind, _)| format!("the {}", kind.word())).collect();
    if !with_grain.is_empty() {
        let all: Vec<&str> = with_grain.iter().map(String::as_str).collect();
        flow.tick(&format!("Bend {} each way: the grain runs along the easier fold. Mark it, and cut every piece with its grain as drawn.", listed(&all)));
    }
    flow.tick(
        "Print the templates at 100 % and measure the rule on them, or measure the first piece that a machine cuts.",
    );
    if told.fit.strap.is_some() {
        flow.tick("Try the elastic on scrap: stretch it as the strap will be, and see that it passes a slot cut in your board.");
    }
    if !told.fit.ties.is_empty() {
        flow.tick(if job.ties.values().any(|t| t.peg.is_some()) {
            "Try the ribbon on scrap: see that it passes a slot cut in your board with its cloth, laid double where it holds a peg."
        } else {
            "Try the ribbon on scrap: see that it passes a slot cut in your board with its cloth, and tie a bow with it."
        });
    }
    if !told.fit.magnets.is_empty() {
        let plates = if told.fit.magnets.iter().any(|m| m.plates > 0) { " and plates" } else { "" };
        flow.tick(&format!("Measure the magnets{plates}, and try one in a recess cut in scrap: it must lie level."));
    }
    flow.note("Blades, beams and moving tables hurt people. The machine's manual, the shop's rules and local codes come before this page.");
}

/// What to buy.
pub(super) fn buy(flow: &mut Flow<'_>, told: &Told<'_>) {
    let job = told.job;
    flow.heading("What to buy");
    let mut rows = Vec::new();
    for (kind, stock) in stocks(told) {
        let grain = match stock.grain {
            Grain::Width => "along the width",
            Grain::Height => "along the height",
            Grain::None => "as it comes",
        };
        let mut sizes: Vec<(&Sheet, usize)> = Vec::new();
        for sheet in told.sheets.iter().filter(|s| s.stock == kind) {
            let is_same =
                |s: &Sheet| s.width == sheet.width && s.height == sheet.height && s.is_leftover == sheet.is_leftover;
            match sizes.iter_mut().find(|(s, _)| is_same(s)) {
                Some((_, count)) => *count += sheet.count() as usize,
                None => sizes.push((sheet, sheet.count() as usize)),
            }
        }
        // What a lot takes is no item's own.
        if let Some(lot) = told.lot {
            let on = format!("on the sheets of {}", lot.folder);
            rows.push(vec![
                kind.word().into(),
                String::new(),
                on,
                job.units.show(stock.thickness),
                grain.into(),
                String::new(),
            ]);
            continue;
        }
        for (sheet, count) in sizes {
            let size = job.units.show_size(&[sheet.width, sheet.height]);
            let price = match sheet.price {
                _ if sheet.is_leftover => "in stock".into(),
                Some(p) => format!("{:.2}", p * count as f64),
                None => String::new(),
            };
            rows.push(vec![
                kind.word().into(),
                count.to_string(),
                size,
                job.units.show(stock.thickness),
                grain.into(),
                price,
            ]);
        }
    }
    if let Some(strap) = &told.fit.strap {
        let (count, elastic) = (strap.count * job.copies, &job.elastic);
        let size = [strap.length, elastic.width, elastic.thickness];
        rows.push(super::closings::from_reel(told, "elastic", count, size, elastic.price));
    }
    rows.extend(super::closings::to_buy(told));
    rows.extend(super::inside::to_buy(told));
    let (mut heads, mut shares) =
        (vec!["stock", "pieces", "size", "thickness", "grain", "price"], vec![1.4, 1.0, 4.0, 3.2, 2.2, 1.2]);
    if rows.iter().all(|row| row.last().is_none_or(String::is_empty)) {
        heads.pop();
        shares.pop();
        rows.iter_mut().for_each(|row| drop(row.pop()));
    }
    flow.table(&heads, &shares, &rows);
    let kinds: Vec<StockKind> = stocks(told).iter().map(|(kind, _)| *kind).collect();
    super::lot::bought_with_it(flow, told, &kinds);
    let copies = f64::from(job.copies);
    if told.bill.glue_m2 > 0.0 {
        let glue = job.units.show_area(told.bill.glue_m2 * copies);
        let what = if job.build.construction.terms().is_hinged {
            "PVA, or PVA with paste for longer open time"
        } else {
            "PVA or paste"
        };
        let priced = job.glue.price.map_or(String::new(), |price| {
            let kilograms = told.bill.glue_m2 * copies * job.glue.grams / 1000.0;
            format!(" About {kilograms:.2} kg at {} g a square metre: {:.2}.", job.glue.grams, kilograms * price)
        });
        flow.text(&format!("Adhesive for {glue}, one coat ({what}).{priced}"));
    }
    if let Some(weight) = told.bill.weight_g {
        let (weight, unit) = if weight >= 1000.0 { (weight / 1000.0, "kg") } else { (weight, "g") };
        flow.text(&format!("One empty box weighs about {weight:.*} {unit}.", usize::from(unit == "kg")));
    }
}

/// Every piece by stock.
pub(super) fn cut_list(flow: &mut Flow<'_>, told: &Told<'_>) {
    // The pieces of an item of a list come off sheets that others cut as well.
    let (heading, head, [name, count]) =
        if told.lot.is_some() { ("Its pieces", "pieces", [2.4, 0.9]) } else { ("What to cut", "cut", [2.7, 0.6]) };
    flow.heading(heading);
    let job = told.job;
    for (kind, _) in stocks(told) {
        let rows: Vec<Vec<String>> = told
            .design
            .pieces
            .iter()
            .filter(|p| p.stock == kind)
            .map(|p| {
                let b = p.outline.bounds();
                vec![
                    piece_name(p),
                    p.needed(job.copies).to_string(),
                    job.units.show_on_rule(mm(b.width())),
                    job.units.show_on_rule(mm(b.height())),
                    grain(p).into(),
                    details(p),
                ]
            })
            .collect();
        flow.table(&[kind.word(), head, "width", "height", "grain", "also"], &[name, count, 2.5, 2.5, 0.9, 2.8], &rows);
    }
    let arrow = if told.design.has_grain() { " The arrow is the way of the grain." } else { "" };
    flow.note(&format!("Width runs left to right and height tail to head on the open box.{arrow}"));
}

fn grain(p: &Piece) -> &'static str {
    match p.grain {
        Grain::Width => "\u{2194}",
        Grain::Height => "\u{2195}",
        Grain::None => "any",
    }
}

fn details(p: &Piece) -> String {
    let mut said = Vec::new();
    let mut tell = |n: usize, one: &str, many: &str| match n {
        0 => {}
        1 => said.push(format!("1 {one}")),
        n => said.push(format!("{n} {many}")),
    };
    tell(p.windows, "window", "windows");
    tell(p.slots().len(), "slot", "slots");
    let is_round = |k: &&crate::design::Pocket| k.outline.vertices().len() == 2;
    let round = p.all_pockets().filter(is_round).count();
    tell(p.all_pockets().count() - round, "pocket", "pockets");
    tell(round, "recess", "recesses");
    tell(p.slits.len(), "slit", "slits");
    tell(p.creases.len(), "crease", "creases");
    said.join(", ")
}

fn stocks<'a>(told: &Told<'a>) -> Vec<(StockKind, &'a Stock)> {
    let job = told.job;
    let all = [
        (StockKind::Board, Some(&job.board)),
        (StockKind::Cloth, job.cloth.as_ref()),
        (StockKind::Paper, job.paper.as_ref()),
        (StockKind::Liner, job.liner.as_ref()),
    ];
    let is_used = |kind: StockKind| told.design.pieces.iter().any(|p| p.stock == kind);
    all.into_iter().filter_map(|(kind, s)| s.filter(|_| is_used(kind)).map(|s| (kind, s))).collect()
}
