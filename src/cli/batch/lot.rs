//! A lot: the rows that share sheets, from their pieces to the files of its folder.

use super::guides::papers;
use super::item::{Item, Made, without_leftovers};
use super::leftovers::{Leftovers, Sources, offcut};
use super::packed::{packed, packed_file};
use super::problem::Problem;
use super::record::{FILE_NAME, FORMAT, ItemRecord, Parts, Record, SheetRecord};
use super::shares::{Owner, Shares};
use super::work::{of_items, with_work};
use super::{Shop, kept::Files, kept::Kept};
use crate::design::{Piece, copy_label};
use crate::diag::{Diagnostic, without_repeats};
use crate::job::{Job, StockKind};
use crate::nest::{AskedSavings, Look, Placed, Saving, Search, Sheet, mark_scrap, merge_alike, nest_with};
use crate::ops::{SheetOps, operations};
use crate::pipeline::{self, Filing, LeftOut};
use crate::units::{Unit, tidy};
use crate::write::cost::{Takes, runs, takes};
use crate::write::cut_list::{Reels, cut_list};
use crate::write::manifest::FitFigures;
use crate::write::manifest::{self, Of, PiecesIn, ProgramFigures, sha256_hex};
use rayon::prelude::*;
use serde_json::json;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;

/// Pieces of one stock that is the same for all of them.
struct Group {
    kind: StockKind,
    /// A job that has this stock.
    job: Job,
    /// Their places among the lot's pieces.
    pieces: Vec<usize>,
}

/// A sheet with all that was made of it.
struct Done {
    record: SheetRecord,
    files: Files,
}

/// The files of the lot's folder, or why they could not be written as JSON. `kept` is what an earlier run left of it.
pub(super) fn make(
    (lot, mut may): (u64, Leftovers),
    (made_from, parts): (String, Parts),
    items: &[Item],
    kept: &Kept,
    shop: &Shop<'_>,
) -> Result<Files, serde_json::Error> {
    let (pieces, owners) = pieces(items);
    let mut groups = groups(may.is_first(), items, &pieces, &owners);
    let given = |g: &mut Group| g.job.stock_mut(g.kind).map(|s| may.give(g.kind, s)).unwrap_or_default();
    let mut sources: Vec<Sources> = groups.iter_mut().map(given).collect();
    let laid: Vec<Vec<Sheet>> = groups.par_iter().map(|g| lay(g, items, &pieces, &owners, shop)).collect();
    // One lot is looked at, so that a list takes little longer, however long it is.
    let savings: Vec<Saving> = if may.is_first() {
        let of = |(g, laid): (&Group, &Vec<Sheet>)| savings(g, laid, items, &pieces, &owners, shop);
        groups.par_iter().zip(&laid).flat_map_iter(of).collect()
    } else {
        Vec::new()
    };
    let mut sheets: Vec<(usize, Sheet)> = Vec::new();
    for (g, laid) in laid.into_iter().enumerate() {
        sheets.extend(laid.into_iter().map(|s| (g, s)));
    }
    for kind in StockKind::ALL {
        for (n, (_, sheet)) in sheets.iter_mut().filter(|(_, s)| s.stock == kind).enumerate() {
            sheet.id = format!("{}-{}", kind.word(), n + 1);
        }
    }
    let title = format!("{}, lot {lot}", shop.title);
    let jobs: Vec<Job> = groups.into_iter().map(|g| Job { title: title.clone(), ..g.job }).collect();
    let sheets: Vec<(usize, Arc<Sheet>)> = sheets.into_iter().map(|(group, s)| (group, Arc::new(s))).collect();
    let worked: Vec<SheetOps> = sheets.par_iter().map(|(_, s)| operations(s, &pieces)).collect();
    let filing = Filing::of(sheets.len(), shop.by_stock);
    let done: Result<Vec<Done>, _> = sheets
        .par_iter()
        .zip(&worked)
        .map(|((group, _), ops)| sheet_files((lot, filing), &jobs[*group], ops, kept, shop))
        .collect();
    let mut done = done?;
    for (done, (group, sheet)) in done.iter_mut().zip(&sheets) {
        let stock = jobs[*group].stock(sheet.stock);
        done.record.offcut = stock.and_then(|stock| offcut(sheet, stock));
        done.record.leftover_of = sources[*group].take(sheet);
        done.record.size = [sheet.width, sheet.height].map(|side| tidy(side.to_mm(), 3));
        done.record.count = sheet.count();
    }
    let written: Vec<ProgramFigures> = done.iter().flat_map(|d| d.record.programs.iter().cloned()).collect();
    let boxes = items.iter().filter_map(|i| i.made.as_ref()).map(|m| m.job.copies).sum();
    let mut problems: Vec<Problem> = items.iter().flat_map(|i| i.problems.iter().cloned()).collect();
    problems.extend(done.iter().flat_map(|d| d.record.problems.iter().cloned()));
    problems.extend(unserved(lot, &worked, &written, shop));
    let of_stock = sheets;
    let sheets: Vec<Arc<Sheet>> = of_stock.iter().map(|(_, s)| s.clone()).collect();
    let takes = takes(boxes, &pieces, &sheets, &written);
    let shares = Shares::new(items, &pieces, &owners, &of_stock, &written, takes.cost);
    problems.extend(savings.iter().map(|s| Problem::of_sheet(&s.note(), format!("lot {lot}"))));
    let work = of_items(items, shares.seconds(), &runs(&sheets, &written));
    let takes = with_work(takes, &work);
    let in_all = shares.in_all(items, &work, takes.money().and_then(|m| m.in_all));
    let mut files = Vec::new();
    let mut records = Vec::new();
    let mut names: Vec<String> = Vec::new();
    let mut stems: Vec<(usize, &Made, String)> = Vec::new();
    for (i, item) in items.iter().enumerate() {
        let record = shares.record(i, item, shop, (work[i].as_ref(), in_all[i]));
        if let Some(made) = &item.made {
            let stem = file_stem(&item.row.id, &mut names);
            if shop.keep.items {
                files.push((format!("{stem}.json"), item_file(&record, made, i, &pieces, &owners, &sheets)?));
            }
            stems.push((i, made, stem));
        }
        records.push(record);
    }
    let sheet_records: Vec<SheetRecord> = done.iter().map(|d| d.record.clone()).collect();
    if shop.has_guides {
        let recorded: Vec<_> = sheets.iter().cloned().zip(sheet_records.iter().cloned()).collect();
        let of = |(i, made, stem): &(usize, &Made, String)| papers(made, *i, stem, &owners, (lot, &recorded));
        let all: Result<Vec<Files>, String> = stems.par_iter().map(of).collect();
        files.extend(all.map_err(<serde_json::Error as serde::ser::Error>::custom)?.into_iter().flatten());
    }
    files.extend(done.into_iter().flat_map(|d| d.files));
    for machine in shop.machines {
        if let Some(profile) = machine.profile.as_ref().filter(|p| written.iter().any(|w| w.machine == p.id)) {
            files.push((format!("{}.profile.toml", profile.id), machine.source.text.clone().into_bytes()));
        }
    }
    files.push(("cut-list.csv".into(), cut_lists(items, &owners, &sheets)));
    if shop.keep.pieces {
        files.push((manifest::PIECES.into(), packed(&manifest::pieces_alone(&pieces)?)?));
    }
    let record = Record {
        format: FORMAT,
        lot,
        made_from,
        parts,
        items: records,
        problems,
        sheets: sheet_records,
        savings,
        takes,
    };
    let mut bytes = serde_json::to_vec_pretty(&record)?;
    bytes.push(b'\n');
    files.push((FILE_NAME.into(), bytes));
    let of = Of {
        title: &title,
        unit: jobs.first().map_or_else(Unit::default, |j| j.units),
        kerf: shop.drawn.kerf,
        has_edge: !shop.drawn.no_stock,
        first_copy: 1,
        registers: &[],
        named_by_job: &[],
        pieces: if shop.keep.pieces { PiecesIn::File(manifest::PIECES) } else { PiecesIn::Nowhere },
        left_out: &shop.keep.left_out(),
    };
    let list = manifest::manifest(&of, None, &pieces, &sheets, &written, &files)?;
    files.push((manifest::FILE_NAME.into(), list));
    Ok(files)
}

/// The record of a lot of which every row is refused.
pub(super) fn refused(lot: u64, made_from: String, parts: Parts, items: Vec<Item>, shop: &Shop<'_>) -> Record {
    let shares = Shares::new(&items, &[], &[], &[], &[], None);
    let record = |(i, item)| shares.record(i, item, shop, (None, None));
    Record {
        format: FORMAT,
        lot,
        made_from,
        parts,
        items: items.iter().enumerate().map(record).collect(),
        problems: items.into_iter().flat_map(|i| i.problems).collect(),
        sheets: Vec::new(),
        savings: Vec::new(),
        takes: Takes::default(),
    }
}

/// The pieces of all items, named after their item, as many as its copies need.
fn pieces(items: &[Item]) -> (Vec<Piece>, Vec<Owner>) {
    let (mut pieces, mut owners) = (Vec::new(), Vec::new());
    for (i, item) in items.iter().enumerate() {
        let Some(made) = &item.made else { continue };
        for (p, piece) in made.design.pieces.iter().enumerate() {
            let count = piece.count.saturating_mul(made.job.copies);
            pieces.push(Piece { id: format!("{}/{}", item.row.id, piece.id), count, ..piece.clone() });
            owners.push(Owner { item: i, piece: p });
        }
    }
    (pieces, owners)
}

/// The pieces by stock. Leftovers of the job are there once: the first lot that is not cut may use them, for rows
/// that take the stock as the job has it.
fn groups(is_first: bool, items: &[Item], pieces: &[Piece], owners: &[Owner]) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for kind in StockKind::ALL {
        let start = groups.len();
        for (i, owner) in owners.iter().enumerate().filter(|(i, _)| pieces[*i].stock == kind) {
            let item = &items[owner.item];
            let Some(made) = &item.made else { continue };
            let keeps_leftovers = is_first && !Made::has_own(&item.row, kind);
            let job = if keeps_leftovers { made.job.clone() } else { without_leftovers(&made.job) };
            match groups[start..].iter_mut().find(|g| is_alike(&g.job, &job, kind)) {
                Some(group) => group.pieces.push(i),
                None => groups.push(Group { kind, job: Job { copies: 1, ..job }, pieces: vec![i] }),
            }
        }
    }
    groups
}

/// Whether pieces of two jobs may lie on one sheet.
fn is_alike(a: &Job, b: &Job, kind: StockKind) -> bool {
    // Only board is turned over.
    a.stock(kind) == b.stock(kind) && (kind != StockKind::Board || a.turning == b.turning)
}

/// The sheets of a group, those alike as one unless copies carry their numbers.
fn lay(group: &Group, items: &[Item], pieces: &[Piece], owners: &[Owner], shop: &Shop<'_>) -> Vec<Sheet> {
    let own: Vec<Piece> = group.pieces.iter().map(|&i| pieces[i].clone()).collect();
    let stop = AtomicBool::new(false);
    let search = Search { apart: shop.apart, stop: &stop, progress: &|_, _, _| {} };
    // What no sheet holds was refused row by row before.
    let (mut sheets, _) = nest_with(&own, &group.job, &search);
    let mut has_numbers = false;
    for placed in sheets.iter_mut().flat_map(|s| &mut s.placed) {
        placed.piece = group.pieces[placed.piece];
        let owner = owners[placed.piece];
        let Some(made) = &items[owner.item].made else { continue };
        if made.job.marks.copy_numbers {
            let piece = &made.design.pieces[owner.piece];
            let before = items[owner.item].row.first_copy;
            placed.marks = copy_label(piece, &made.job, placed.copy.saturating_sub(1) / piece.count.max(1) + before);
            has_numbers = true;
        }
    }
    let mut sheets = if has_numbers { sheets } else { merge_alike(sheets) };
    if group.job.marks.scrap {
        mark_scrap(&mut sheets);
    }
    sheets
}

/// What would save stock of the sheets of a group, by changes of the job: rows that say something of the stock themselves
/// would not follow it.
fn savings(
    group: &Group,
    laid: &[Sheet],
    items: &[Item],
    pieces: &[Piece],
    owners: &[Owner],
    shop: &Shop<'_>,
) -> Vec<Saving> {
    let item = |i: &usize| &items[owners[*i].item];
    if group.pieces.iter().map(item).any(|item| Made::has_own(&item.row, group.kind)) {
        return Vec::new();
    }
    let own: Vec<Piece> = group.pieces.iter().map(|&i| pieces[i].clone()).collect();
    let boxes = items.iter().filter_map(|i| i.made.as_ref()).map(|m| m.job.copies).sum();
    let stop = AtomicBool::new(false);
    let search = Search { apart: shop.apart, stop: &stop, progress: &|_, _, _| {} };
    let may_lie = |kind, size| shop.asked().all(|(p, left)| !pipeline::serves(p, kind, &left) || p.machine.holds(size));
    let sheets: Vec<&Sheet> = laid.iter().collect();
    let asked = AskedSavings {
        pieces: &own,
        job: &group.job,
        sheets: &sheets,
        boxes,
        look: Look::Short,
        search: &search,
        may_lie: &may_lie,
    };
    crate::nest::savings(&asked)
}

/// A sheet's drawings and programs, taken from an earlier run where nothing of it has changed.
fn sheet_files(
    (lot, filing): (u64, Filing),
    job: &Job,
    ops: &SheetOps,
    kept: &Kept,
    shop: &Shop<'_>,
) -> Result<Done, serde_json::Error> {
    let all = format!("{}\n{}\n{:?}\n{filing:?}\n{ops:?}", shop.made_from, job.title, job.units);
    let made_from = sha256_hex(all.as_bytes());
    let stock = ops.sheet.stock;
    if let Some((record, files)) = kept.sheet(&made_from) {
        return Ok(Done { record, files });
    }
    let (mut drawn, mut said) = pipeline::drawings(ops, &shop.drawn, &job.title, job.units);
    if shop.keep.is_packed {
        drawn = drawn.into_iter().map(|file| packed_file(&file)).collect::<Result<_, _>>()?;
    }
    let mut files = filing.files(stock, drawn);
    let mut written = Vec::new();
    for (profile, left) in shop.asked() {
        let of = pipeline::of_sheet(job, ops, profile, &left, false, None).placed(filing, stock);
        said.extend(of.said);
        files.extend(of.previews);
        for program in of.programs {
            files.push((program.figures.file.clone(), program.bytes));
            written.push(program.figures);
        }
    }
    without_repeats(&mut said);
    let place = format!("lot {lot}, {}", ops.sheet.id);
    let record = SheetRecord {
        id: ops.sheet.id.clone(),
        made_from,
        files: files.iter().map(|(name, _)| name.clone()).collect(),
        size: [0.0; 2],
        count: 0,
        offcut: None,
        leftover_of: Vec::new(),
        programs: written,
        problems: said.into_iter().map(|d| Problem::of_sheet(&d.in_unit(job.units), place.clone())).collect(),
    };
    // Written and read as it will be when a later run takes it over, so that nothing differs by what
    // rounding took.
    let record = serde_json::from_str(&serde_json::to_string(&record)?)?;
    Ok(Done { record, files })
}

/// What machines leave undone.
fn unserved(lot: u64, worked: &[SheetOps], written: &[ProgramFigures], shop: &Shop<'_>) -> Vec<Problem> {
    let mut problems = Vec::new();
    for (profile, left) in shop.asked() {
        let has_any = written.iter().any(|w| w.machine == profile.id);
        for kind in StockKind::ALL {
            let is_there = worked.iter().any(|o| o.sheet.stock == kind);
            if is_there && !left.contains(&LeftOut::all_of(kind)) && !pipeline::serves(profile, kind, &left) {
                let d: Diagnostic = pipeline::not_served(profile, kind, !has_any);
                problems.push(Problem::of_sheet(&d, format!("lot {lot}")));
            }
        }
    }
    problems
}

/// How an item's files begin, from its id: letters, figures and dashes, each once in the lot.
fn file_stem(id: &str, names: &mut Vec<String>) -> String {
    let plain: String = id.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect();
    let mut name = format!("item-{plain}");
    let mut n = 1;
    // Some disks tell no capitals from small letters.
    while names.contains(&name.to_lowercase()) {
        n += 1;
        name = format!("item-{plain}.{n}");
    }
    names.push(name.to_lowercase());
    name
}

/// The cut lists of all items as one, each with its own stocks and copies.
fn cut_lists(items: &[Item], owners: &[Owner], sheets: &[Arc<Sheet>]) -> Vec<u8> {
    let mut all = Vec::new();
    for (i, item) in items.iter().enumerate() {
        let Some(made) = &item.made else { continue };
        let named = |p: &Piece| Piece { id: format!("{}/{}", item.row.id, p.id), ..p.clone() };
        let pieces: Vec<Piece> = made.design.pieces.iter().map(named).collect();
        let of_item = |s: &Sheet| {
            let placed = s.placed.iter().filter(|p| owners[p.piece].item == i);
            let placed = placed.map(|p| Placed { piece: owners[p.piece].piece, ..p.clone() }).collect();
            Sheet { placed, ..s.clone() }
        };
        let own: Vec<Arc<Sheet>> =
            sheets.iter().map(|s| of_item(s)).filter(|s| !s.placed.is_empty()).map(Arc::new).collect();
        let of = format!("{}/", item.row.id);
        let reels =
            Reels { of: &of, strap: made.fit.strap.as_ref(), ties: &made.fit.ties, inside: made.fit.inside.as_ref() };
        let list = cut_list(&made.job, &pieces, &own, reels);
        // The names of the columns stand once.
        let header = list.iter().position(|b| *b == b'\n').map_or(list.len(), |n| n + 1);
        all.extend_from_slice(if all.is_empty() { &list } else { &list[header..] });
    }
    all
}

/// What an item's own file tells: its fit, its pieces and where they lie.
fn item_file(
    record: &ItemRecord,
    made: &Made,
    item: usize,
    pieces: &[Piece],
    owners: &[Owner],
    sheets: &[Arc<Sheet>],
) -> Result<Vec<u8>, serde_json::Error> {
    let of_item = (0..pieces.len()).filter(|i| owners[*i].item == item);
    let pieces: Vec<_> = of_item
        .map(|i| {
            let b = pieces[i].outline.bounds();
            let on: Vec<&str> =
                sheets.iter().filter(|s| s.placed.iter().any(|p| p.piece == i)).map(|s| s.id.as_str()).collect();
            let mm = crate::units::mm;
            json!({
                "id": pieces[i].id, "stock": pieces[i].stock, "count": pieces[i].count,
                "width": mm(b.width()), "height": mm(b.height()), "sheets": on,
            })
        })
        .collect();
    let file = json!({
        "format": FORMAT,
        "item": record,
        "fit": FitFigures { dressed: None, ..FitFigures::of(&made.job, &made.design, &made.fit) },
        "bill": made.bill,
        "pieces": pieces,
    });
    let mut bytes = serde_json::to_vec_pretty(&file)?;
    bytes.push(b'\n');
    Ok(bytes)
}
