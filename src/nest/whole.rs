//! Whole boxes: layouts in which what belongs to one box lies on one sheet.

use super::boxes::{Order, Rule, pack};
use super::dice::Dice;
use super::kind::{Area, Put, Run, Set};

/// With more things than this on one sheet, whole boxes are not looked for (our choice: the search takes a
/// moment each).
const MOST: u32 = 150;

/// How many boxes the things are for; `None` where there is one, or where they are not so many of each kind for
/// every box (a list's).
fn copies(set: &Set) -> Option<u32> {
    let mut all = set.kinds.iter().filter(|k| k.count > 0).map(|k| {
        let of = k.of_a_box.max(1);
        (k.count % of == 0).then_some(k.count / of)
    });
    let first = all.next()??;
    (first > 1 && all.all(|n| n == Some(first))).then_some(first)
}

/// How many boxes have their things on more than one sheet, counted through run by run.
pub(super) fn torn(set: &Set, runs: &[Run]) -> u32 {
    let Some(copies) = copies(set) else { return 0 };
    let mut placed = vec![0u32; set.kinds.len()];
    let mut whole = 0;
    for run in runs {
        for _ in 0..run.times {
            let before = placed.clone();
            run.puts.iter().for_each(|p| placed[p.kind] = (placed[p.kind] + 1).min(set.kinds[p.kind].count));
            let kinds = || set.kinds.iter().enumerate().filter(|(_, k)| k.count > 0);
            let first = kinds().map(|(i, k)| before[i].div_ceil(k.of_a_box.max(1))).max().unwrap_or(0);
            let last = kinds().map(|(i, k)| placed[i] / k.of_a_box.max(1)).min().unwrap_or(0);
            whole += last.saturating_sub(first);
        }
    }
    copies.saturating_sub(whole)
}

/// Sheets that hold whole boxes, as many on each as can be.
pub(super) struct Whole {
    /// The places on a full one.
    pub(super) puts: Vec<Put>,
    /// How many are full.
    pub(super) full: u32,
    /// How many boxes are left, too few for one more.
    pub(super) rest: u32,
}

/// All boxes on at most `sheets` sheets of `room`, each whole on one; `None` where that is not found.
pub(super) fn whole_boxes(set: &Set, room: Area, sheets: u32, effort: u32) -> Option<Whole> {
    let copies = copies(set)?;
    let each = copies.div_ceil(sheets.max(1));
    let things: Vec<u32> = set.kinds.iter().map(|k| if k.count > 0 { k.of_a_box.max(1) * each } else { 0 }).collect();
    let area: f64 = set.kinds.iter().zip(&things).map(|(k, n)| k.area() * f64::from(*n)).sum();
    let all: u32 = things.iter().sum();
    if each == copies || all > MOST || area > room.mm2() {
        return None;
    }
    let lay = |order: &[usize], rule| {
        let mut packed = pack(set, room, order, rule);
        let is_whole = packed.len() == 1 && packed.iter().map(Vec::len).sum::<usize>() == all as usize;
        packed.pop().filter(|_| is_whole)
    };
    let found = Order::ALL.into_iter().find_map(|o| {
        let order = o.of(set, &things);
        Rule::ALL.into_iter().find_map(|rule| lay(&order, rule))
    });
    let puts = found.or_else(|| {
        let mut order = Order::Large.of(set, &things);
        let mut dice = Dice::new();
        (0..effort).find_map(|trial| {
            for i in 1..order.len() {
                if dice.share() < 0.3 {
                    order.swap(i - 1, i);
                }
            }
            lay(&order, Rule::ALL[trial as usize % Rule::ALL.len()])
        })
    })?;
    Some(Whole { puts, full: copies / each, rest: copies % each })
}

#[cfg(test)]
mod tests {
    use crate::design::{Piece, design};
    use crate::diag::Source;
    use crate::job::{Job, StockKind, read};
    use crate::nest::{Sheet, fewest_sheets, nest};
    use std::collections::BTreeMap;
    use std::sync::Arc;

    /// The sheets of board of an edition.
    fn laid(name: &str, text: &str, copies: u32) -> (Job, Vec<Piece>, Vec<Sheet>) {
        let text =
            text.replace("copies = 1\n", "").replacen("format = 1", &format!("format = 1\ncopies = {copies}"), 1);
        let job = read(&Source { name: name.into(), text }).0.expect("a job");
        let pieces = design(&job).0.pieces;
        let sheets = nest(&pieces, &job).0.into_iter().filter(|s| s.stock == StockKind::Board).collect();
        (job, pieces, sheets)
    }

    /// The boards of an edition: how many sheets, the fewest that could do, and how many boxes lie on several.
    fn boards(name: &str, text: &str, copies: u32) -> (usize, u32, usize) {
        let (job, pieces, sheets) = laid(name, text, copies);
        let mut on: BTreeMap<u32, Vec<&str>> = BTreeMap::new();
        for sheet in &sheets {
            for p in &sheet.placed {
                let seen = on.entry((p.copy - 1) / pieces[p.piece].count).or_default();
                if !seen.contains(&sheet.id.as_str()) {
                    seen.push(&sheet.id);
                }
            }
        }
        assert_eq!(on.len(), copies as usize);
        let torn = on.values().filter(|s| s.len() > 1).count();
        let shared: Vec<_> = sheets.iter().cloned().map(Arc::new).collect();
        (sheets.len(), fewest_sheets(&shared, &pieces, &job, StockKind::Board), torn)
    }

    #[test]
    fn boxes_stay_whole_where_that_takes_no_sheet_more() {
        let rockpool = include_str!("../../samples/rockpool-folder.toml");
        // Eight boxes on two sheets: four whole ones on each.
        let (sheets, least, torn) = boards("rockpool", rockpool, 8);
        assert_eq!((sheets as u32, torn), (least, 0));
        // Nine on four sheets of two and a half each: whole ones would want five.
        let tideline = include_str!("../../samples/tideline-folio.toml");
        let (sheets, least, torn) = boards("tideline", tideline, 9);
        assert_eq!(sheets as u32, least);
        assert!(torn > 0, "a layout of whole boxes in so few sheets: then the test wants another edition");
    }

    /// The last sheet of so many boxes has as much left as that of the few that lie on it alone.
    #[test]
    fn the_last_sheet_is_laid_out_anew() {
        let rockpool = include_str!("../../samples/rockpool-folder.toml");
        let tideline = include_str!("../../samples/tideline-folio.toml");
        // At three on a sheet and at two.
        for (name, text, copies, rest) in
            [("rockpool", rockpool, 7, 1), ("rockpool", rockpool, 8, 2), ("tideline", tideline, 5, 1)]
        {
            let (_, pieces, all) = laid(name, text, copies);
            let (_, _, few) = laid(name, text, rest);
            let last = all.last().expect("a sheet");
            assert_eq!(last.placed.len(), few.iter().map(|s| s.placed.len()).sum::<usize>(), "{name} {copies}");
            let kept = |s: &Sheet| s.offcut.map_or(0.0, |o| o.width.to_mm() * o.height.to_mm());
            assert!(kept(last) >= kept(&few[0]) - 1e-6, "{name} {copies}: {:?}, not {:?}", last.offcut, few[0].offcut);
            // No sheet more, and every box whole.
            let of_a_box: u32 = pieces.iter().filter(|p| p.stock == StockKind::Board).map(|p| p.count).sum();
            let on_the_first = all[0].placed.len() as u32 / of_a_box;
            assert_eq!(all.len() as u32, copies.div_ceil(on_the_first), "{name} {copies}");
            assert_eq!(boards(name, text, copies).2, 0, "{name} {copies}");
            assert_eq!(format!("{all:?}"), format!("{:?}", laid(name, text, copies).2));
        }
        // A box that lay all over its sheet left nothing.
        let (_, _, all) = laid("rockpool", rockpool, 7);
        assert!(all.last().is_some_and(|s| s.offcut.is_some()));
    }
}
