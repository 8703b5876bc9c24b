//! A handful of lines: the best order of all, by dynamic programming over the sets done (Held and
//! Karp), carried on from class to class.

use super::{OrderError, Stop, Visit};
use crate::geom::Point;

/// The most work, sets times pairs of ways, that one class may ask for: a few milliseconds.
const MOST: usize = 1_500_000;

/// The order of least travel; `None` where a class has too many lines for it.
pub(super) fn exact(items: &[Stop], start: Point, park: Option<Point>) -> Option<Result<Vec<Visit>, OrderError>> {
    let mut by_class: Vec<usize> = (0..items.len()).collect();
    by_class.sort_by_key(|i| items[*i].class);
    let classes: Vec<&[usize]> = by_class.chunk_by(|a, b| items[*a].class == items[*b].class).collect();
    let few = |class: &&[usize]| {
        let ways: usize = class.iter().map(|i| items[*i].ways.len()).sum();
        class.len() <= 12 && ways.saturating_mul(ways) << class.len() <= MOST
    };
    if !classes.iter().all(few) {
        return None;
    }
    // The ways by which the work so far may have ended: (exit, travel, its tail in `done`).
    let mut ends: Vec<(Point, f64, Option<usize>)> = vec![(start, 0.0, None)];
    let mut done: Vec<(Visit, Option<usize>)> = Vec::new();
    for class in classes {
        ends = through(items, class, &ends, &mut done);
        if ends.is_empty() {
            return Some(Err(OrderError::Impossible(class[0])));
        }
    }
    let total = |e: &(Point, f64, Option<usize>)| e.1 + park.map_or(0.0, |p| e.0.distance(p));
    let mut tail = ends.iter().min_by(|a, b| total(a).total_cmp(&total(b))).and_then(|e| e.2);
    let mut visits = Vec::with_capacity(items.len());
    while let Some(k) = tail {
        visits.push(done[k].0);
        tail = done[k].1;
    }
    visits.reverse();
    Some(Ok(visits))
}

/// All ends of the work through one more class, the best for each.
fn through(
    items: &[Stop],
    class: &[usize],
    ends: &[(Point, f64, Option<usize>)],
    done: &mut Vec<(Visit, Option<usize>)>,
) -> Vec<(Point, f64, Option<usize>)> {
    let ways: Vec<(usize, Visit)> = class
        .iter()
        .enumerate()
        .flat_map(|(k, &item)| (0..items[item].ways.len()).map(move |way| (k, Visit { item, way })))
        .collect();
    let needs: Vec<usize> = class
        .iter()
        .map(|i| {
            let same = |b: &usize| class.iter().position(|c| c == b);
            items[*i].after.iter().filter_map(same).fold(0, |set, k| set | 1 << k)
        })
        .collect();
    let full = (1usize << class.len()) - 1;
    // For each set of lines done and each way of the last of them: travel, and where it is in `done`.
    let mut best: Vec<Option<(f64, usize)>> = vec![None; (full + 1) * ways.len()];
    for set in 1..=full {
        for (w, (k, visit)) in ways.iter().enumerate() {
            let rest = set & !(1 << k);
            if set == rest || needs[*k] & !rest != 0 {
                continue;
            }
            let way = items[visit.item].ways[visit.way];
            let mut least: Option<(f64, Option<usize>)> = None;
            let mut offer = |travel: f64, tail: Option<usize>| {
                if least.is_none_or(|l| travel < l.0) {
                    least = Some((travel, tail));
                }
            };
            if rest == 0 {
                ends.iter().for_each(|e| offer(e.1 + e.0.distance(way.entry), e.2));
            } else {
                for (v, (_, before)) in ways.iter().enumerate() {
                    if let Some((travel, tail)) = best[rest * ways.len() + v] {
                        let exit = items[before.item].ways[before.way].exit;
                        offer(travel + exit.distance(way.entry), Some(tail));
                    }
                }
            }
            if let Some((travel, tail)) = least {
                done.push((*visit, tail));
                best[set * ways.len() + w] = Some((travel, done.len() - 1));
            }
        }
    }
    let last = ways.iter().enumerate().filter_map(|(w, (_, visit))| {
        let (travel, tail) = best[full * ways.len() + w]?;
        Some((items[visit.item].ways[visit.way].exit, travel, Some(tail)))
    });
    last.collect()
}
