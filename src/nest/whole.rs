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

/// All boxes on at most `sheets` sheets of `room`, each whole on one; `None` where that is not found.
pub(super) fn whole_boxes(set: &Set, room: Area, sheets: u32, effort: u32) -> Option<(Vec<Put>, u32)> {
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
    Some((puts, copies.div_ceil(each)))
}

#[cfg(test)]
mod tests {
    use crate::design::design;
    use crate::diag::Source;
    use crate::job::{StockKind, read};
    use crate::nest::{fewest_sheets, nest};
    use std::collections::BTreeMap;
    use std::sync::Arc;

    /// The boards of an edition: how many sheets, the fewest that could do, and how many boxes lie on several.
    fn boards(name: &str, text: &str, copies: u32) -> (usize, u32, usize) {
        let text =
            text.replace("copies = 1\n", "").replacen("format = 1", &format!("format = 1\ncopies = {copies}"), 1);
        let job = read(&Source { name: name.into(), text }).0.expect("a job");
        let pieces = design(&job).0.pieces;
        let sheets: Vec<_> = nest(&pieces, &job).0.into_iter().filter(|s| s.stock == StockKind::Board).collect();
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
}
