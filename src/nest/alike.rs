//! Sheets of an edition: those that are alike are one sheet that is cut several times, and the
//! first box may have sheets of its own.

use super::{Placed, Sheet};
use crate::design::{Piece, copy_label};
use crate::job::{Job, StockKind};
use std::collections::BTreeMap;

/// Steps of a place and a turn within which two sheets are alike, a millimetre's millionth.
const STEP: f64 = 1e-6;

impl Sheet {
    /// How many of it are cut.
    pub fn count(&self) -> u32 {
        u32::try_from(self.repeats.len() + 1).unwrap_or(u32::MAX)
    }
}

/// Folds sheets that are alike (the same pieces at the same places on the same stock, whichever
/// copies they belong to) into the first of them, and numbers what is left anew. The rest of an
/// edition is then a count, not a pile of equal programs.
pub fn merge_alike(sheets: Vec<Sheet>) -> Vec<Sheet> {
    let mut first: BTreeMap<Vec<i64>, usize> = BTreeMap::new();
    let mut kept: Vec<Sheet> = Vec::new();
    for sheet in sheets {
        let (key, order) = key(&sheet);
        let copies = |s: &Sheet, order: &[usize]| order.iter().map(|&i| s.placed[i].copy).collect::<Vec<u32>>();
        match first.get(&key) {
            None => {
                first.insert(key, kept.len());
                kept.push(sheet);
            }
            Some(&at) => {
                // From the order of places, which the two share, to the order of the first's list.
                let same = places_of(&kept[at]);
                let mut told = vec![0; sheet.placed.len()];
                for (slot, copy) in same.iter().zip(copies(&sheet, &order)) {
                    told[*slot] = copy;
                }
                kept[at].repeats.push(told);
                // What is left over of the last is as good as of the first.
            }
        }
    }
    number(&mut kept);
    kept
}

/// Gives every placed piece the number of the copy that it belongs to as marks of its own. From then
/// on no two sheets that bear any are alike.
pub fn number_copies(sheets: &mut [Sheet], pieces: &[Piece], job: &Job) {
    for placed in sheets.iter_mut().flat_map(|s| &mut s.placed) {
        if let Some(piece) = pieces.get(placed.piece) {
            placed.marks = copy_label(piece, job, placed.copy.saturating_sub(1) / piece.count.max(1) + 1);
        }
    }
}

/// Each stock's sheets numbered from 1, what stands before the stock's word kept.
fn number(sheets: &mut [Sheet]) {
    for kind in StockKind::ALL {
        let mut n: BTreeMap<String, usize> = BTreeMap::new();
        for sheet in sheets.iter_mut().filter(|s| s.stock == kind) {
            let before = sheet.id.split(kind.word()).next().unwrap_or_default().to_owned();
            let n = n.entry(before.clone()).or_default();
            *n += 1;
            sheet.id = format!("{before}{}-{n}", kind.word());
        }
    }
}

/// The sheet's list in the order of places, which does not hang on whose copies they are.
fn places_of(sheet: &Sheet) -> Vec<usize> {
    let mut order: Vec<usize> = (0..sheet.placed.len()).collect();
    order.sort_by_key(|&i| place(&sheet.placed[i]));
    order
}

fn place(p: &Placed) -> [i64; 5] {
    let step = |v: f64| (v / STEP).round() as i64;
    let t = &p.transform;
    [p.piece as i64, step(t.shift.x), step(t.shift.y), step(t.rotation_deg), i64::from(t.mirrored)]
}

/// What two sheets have in common when they are alike.
fn key(sheet: &Sheet) -> (Vec<i64>, Vec<usize>) {
    let step = |v: f64| (v / STEP).round() as i64;
    let mut key = vec![sheet.stock as i64, i64::from(sheet.is_leftover), i64::from(sheet.id.starts_with(FIRST))];
    key.extend([sheet.width, sheet.height, sheet.thickness].map(|l| step(l.to_mm())));
    let order = places_of(sheet);
    // Numbers of copies tell them apart where there are any.
    let ends = order.iter().flat_map(|&i| sheet.placed[i].marks.iter().flat_map(|m| m.segments()));
    key.extend(ends.flat_map(|s| [step(s.start.x), step(s.start.y), step(s.end.x), step(s.end.y)]));
    key.extend(order.iter().flat_map(|&i| place(&sheet.placed[i])));
    (key, order)
}

/// What stands before the ids of the sheets of the first box.
const FIRST: &str = "first-";

/// An edition of which the first box lies alone on sheets of its own, `first-board-1` and so on, to be
/// cut, built and tried before the rest: `lay` lays out a job. The first is one of the job's
/// copies; leftovers that it takes are gone for the rest.
pub fn first_alone<D>(
    job: &Job,
    mut lay: impl FnMut(&Job) -> (Vec<Sheet>, Vec<D>),
    per_box: &[u32],
) -> (Vec<Sheet>, Vec<D>)
where
    D: PartialEq,
{
    let (mut sheets, mut said) = lay(&Job { copies: 1, ..job.clone() });
    for sheet in &mut sheets {
        sheet.id.insert_str(0, FIRST);
    }
    if job.copies > 1 {
        let mut rest = Job { copies: job.copies - 1, ..job.clone() };
        take_leftovers(&mut rest, &sheets);
        let (mut others, more) = lay(&rest);
        for placed in others.iter_mut().flat_map(|s| &mut s.placed) {
            placed.copy += per_box.get(placed.piece).copied().unwrap_or(1);
        }
        sheets.extend(others);
        for d in more {
            if !said.contains(&d) {
                said.push(d);
            }
        }
    }
    (sheets, said)
}

/// The copies of an edition whose first box was made already by [`first_alone`]: the sheets that this lays for them,
/// and not those of the first. Leftovers that the first took are gone. A gauge, which is cut once, is theirs too:
/// `is_gauge` tells its pieces.
pub fn without_first<D>(
    job: &Job,
    mut lay: impl FnMut(&Job) -> (Vec<Sheet>, Vec<D>),
    per_box: &[u32],
    is_gauge: &[bool],
) -> (Vec<Sheet>, Vec<D>) {
    let (first, _) = lay(&Job { copies: 1, ..job.clone() });
    let mut rest = Job { copies: job.copies.saturating_sub(1), ..job.clone() };
    take_leftovers(&mut rest, &first);
    let (mut sheets, said) = lay(&rest);
    for placed in sheets.iter_mut().flat_map(|s| &mut s.placed) {
        if !is_gauge.get(placed.piece).copied().unwrap_or(false) {
            placed.copy += per_box.get(placed.piece).copied().unwrap_or(1);
        }
    }
    (sheets, said)
}

/// Takes the leftovers that `sheets` are cut from out of the job.
fn take_leftovers(job: &mut Job, sheets: &[Sheet]) {
    for sheet in sheets.iter().filter(|s| s.is_leftover) {
        let Some(stock) = job.stock_mut(sheet.stock) else { continue };
        let is_it = |s: &&mut crate::job::SheetSize| {
            s.width == sheet.width && s.height == sheet.height && s.count.is_some_and(|n| n > 0)
        };
        if let Some(size) = stock.leftovers.iter_mut().find(is_it) {
            size.count = size.count.map(|n| n.saturating_sub(sheet.count()));
        }
        stock.leftovers.retain(|s| s.count != Some(0));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{Bounds, Transform, pt};
    use crate::units::mm;

    fn sheet(id: &str, stock: StockKind, placed: &[(usize, u32, f64)]) -> Sheet {
        let at = |&(piece, copy, x): &(usize, u32, f64)| Placed {
            piece,
            copy,
            transform: Transform::shift(pt(x, 10.0)),
            bounds: Bounds { min: pt(x, 10.0), max: pt(x + 50.0, 60.0) },
            marks: Vec::new(),
        };
        Sheet {
            id: id.into(),
            name: None,
            stock,
            width: mm(700.0),
            height: mm(1000.0),
            thickness: mm(2.0),
            is_leftover: false,
            price: Some(4.8),
            offcut: None,
            common_cuts: false,
            placed: placed.iter().map(at).collect(),
            repeats: Vec::new(),
            marks: Vec::new(),
            turn: None,
            cuts: Vec::new(),
        }
    }

    #[test]
    fn alike_sheets_are_one_with_the_copies_of_each() {
        use StockKind::{Board, Cloth};
        let sheets = vec![
            sheet("board-1", Board, &[(0, 1, 10.0), (0, 2, 100.0), (1, 1, 200.0)]),
            sheet("board-2", Board, &[(0, 3, 10.0), (1, 2, 200.0)]),
            // The same places as the first, listed in another order: its copy 5 lies where copy 1 does.
            sheet("board-3", Board, &[(1, 3, 200.0), (0, 4, 100.0), (0, 5, 10.0)]),
            sheet("cloth-1", Cloth, &[(0, 1, 10.0), (0, 2, 100.0), (1, 1, 200.0)]),
            sheet("board-4", Board, &[(0, 6, 10.0), (0, 7, 100.0), (1, 4, 200.00001)]),
        ];
        let merged = merge_alike(sheets);
        let told: Vec<(&str, u32)> = merged.iter().map(|s| (s.id.as_str(), s.count())).collect();
        assert_eq!(told, [("board-1", 2), ("board-2", 1), ("cloth-1", 1), ("board-3", 1)], "a hair off is not alike");
        assert_eq!(merged[0].repeats, [[5, 4, 3]]);
    }

    #[test]
    fn first_and_later_sheets_stay_apart_though_alike() {
        let first = sheet("first-board-1", StockKind::Board, &[(0, 1, 10.0)]);
        let later = sheet("board-1", StockKind::Board, &[(0, 2, 10.0)]);
        let again = sheet("board-2", StockKind::Board, &[(0, 3, 10.0)]);
        let merged = merge_alike(vec![first, later, again]);
        let told: Vec<(&str, u32)> = merged.iter().map(|s| (s.id.as_str(), s.count())).collect();
        assert_eq!(told, [("first-board-1", 1), ("board-1", 2)]);
    }
}
