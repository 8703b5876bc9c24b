//! One sheet of rectangles in columns or in rows: what a maker would cut with long cuts from edge to
//! edge. For many equal pieces it is hard to beat, and it takes no search.
//!
//! A column is as wide as one of the pieces; which pieces stand in it is a knapsack of their
//! heights, narrow ones side by side counting as one; which columns stand on the sheet is a knapsack
//! of their widths (P. Gilmore and R. Gomory, "Multistage cutting stock problems of two and more
//! dimensions", 1965). What neither uses is filled as by `boxes`.

use super::boxes::{Rule, fill};
use super::kind::{Area, Put, SLACK, Set};

/// At most so many sums are carried on in a knapsack; more are thinned evenly.
const SUMS: usize = 400;

/// One sheet with much `value` on it, of what is left.
pub(super) fn columns(set: &Set, room: Area, left: &[u32], value: &[f64], upright: bool) -> Vec<Put> {
    let lie = |a: Area| if upright { a } else { a.turned() };
    let whole = lie(Area { width: room.width + set.gap, height: room.height + set.gap });
    let mut choices: Vec<Choice> = Vec::new();
    for (kind, of) in set.kinds.iter().enumerate().filter(|(k, _)| left[*k] > 0) {
        for (way, shape) in of.ways.iter().enumerate().filter(|(_, s)| room.holds(s.size())) {
            let size = lie(Area { width: shape.width + set.gap, height: shape.height + set.gap });
            choices.push(Choice { kind, way, size });
        }
    }
    let mut widths: Vec<f64> = choices.iter().map(|c| c.size.width).collect();
    widths.sort_by(f64::total_cmp);
    widths.dedup_by(|a, b| (*a - *b).abs() < SLACK);
    let columns: Vec<(f64, f64, u32)> = widths
        .iter()
        .map(|&w| {
            let things = column(&choices, Area { width: w, height: whole.height }, left, value);
            let worth = things.iter().map(|(c, n)| value[choices[*c].kind] * f64::from(*n)).sum();
            (w, worth, (whole.width / w + SLACK) as u32)
        })
        .collect();
    let mut left_now = left.to_vec();
    let mut puts = Vec::new();
    let mut x = 0.0;
    for (i, n) in knapsack(whole.width, &columns).into_iter().enumerate().rev() {
        for _ in 0..n {
            let width = columns[i].0;
            let mut y = 0.0;
            for (c, n) in column(&choices, Area { width, height: whole.height }, &left_now, value) {
                let c = &choices[c];
                // Two ways of one kind draw on the same heap.
                let n = n.min(left_now[c.kind]);
                let abreast = (width / c.size.width + SLACK) as u32;
                for k in 0..n {
                    let (x, y) =
                        (x + f64::from(k % abreast) * c.size.width, y + f64::from(k / abreast) * c.size.height);
                    let (x, y) = if upright { (x, y) } else { (y, x) };
                    puts.push(Put { kind: c.kind, way: c.way, x, y });
                }
                left_now[c.kind] -= n;
                y += f64::from(n.div_ceil(abreast)) * c.size.height;
            }
            x += width;
        }
    }
    fill(set, room, left, value, Rule::ShortSide, &mut puts);
    puts
}

struct Choice {
    kind: usize,
    way: usize,
    /// Grown by the gap, as it lies in a column.
    size: Area,
}

/// How many of which choices make the most valuable column; the tall ones first.
fn column(choices: &[Choice], room: Area, left: &[u32], value: &[f64]) -> Vec<(usize, u32)> {
    let layers: Vec<(f64, f64, u32)> = choices
        .iter()
        .map(|c| {
            let abreast = (room.width / c.size.width + SLACK) as u32;
            let abreast = abreast.min(left[c.kind]);
            let most = left[c.kind].checked_div(abreast).unwrap_or(0).min((room.height / c.size.height + SLACK) as u32);
            (c.size.height, value[c.kind] * f64::from(abreast), most)
        })
        .collect();
    let mut things: Vec<(usize, u32)> = knapsack(room.height, &layers)
        .into_iter()
        .enumerate()
        .filter(|(_, n)| *n > 0)
        .map(|(i, n)| (i, n * ((room.width / choices[i].size.width + SLACK) as u32).min(left[choices[i].kind])))
        .collect();
    things.sort_by(|a, b| choices[b.0].size.height.total_cmp(&choices[a.0].size.height).then(a.0.cmp(&b.0)));
    things
}

/// How many of each of `things` (size, value, how many at most) are worth the most within `limit`.
fn knapsack(limit: f64, things: &[(f64, f64, u32)]) -> Vec<u32> {
    struct Sum {
        size: f64,
        value: f64,
        before: usize,
        thing: usize,
        times: u32,
    }
    let mut sums = vec![Sum { size: 0.0, value: 0.0, before: 0, thing: 0, times: 0 }];
    let mut front = vec![0];
    for (thing, &(size, value, most)) in things.iter().enumerate() {
        let mut next = front.clone();
        for &before in &front {
            for times in 1..=most {
                let total = sums[before].size + size * f64::from(times);
                if total > limit + SLACK {
                    break;
                }
                next.push(sums.len());
                sums.push(Sum {
                    size: total,
                    value: sums[before].value + value * f64::from(times),
                    before,
                    thing,
                    times,
                });
            }
        }
        next.sort_by(|&a, &b| sums[a].size.total_cmp(&sums[b].size).then(sums[b].value.total_cmp(&sums[a].value)));
        let mut best = f64::NEG_INFINITY;
        next.retain(|&s| {
            let better = sums[s].value > best;
            best = best.max(sums[s].value);
            better
        });
        if next.len() > SUMS {
            let (step, last) = (next.len().div_ceil(SUMS), next.len() - 1);
            next = next.into_iter().enumerate().filter(|(i, _)| i % step == 0 || *i == last).map(|(_, s)| s).collect();
        }
        front = next;
    }
    let mut counts = vec![0; things.len()];
    let mut at = front.last().copied().unwrap_or(0);
    while at != 0 {
        counts[sums[at].thing] += sums[at].times;
        at = sums[at].before;
    }
    counts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_knapsack_takes_the_best_of_what_there_is() {
        // Closed form: 3 of 30 and 1 of 10 fill 100; of 30 there are only 2, then 2 x 30 + 4 x 10.
        assert_eq!(knapsack(100.0, &[(30.0, 30.0, 9), (10.0, 9.0, 9)]), [3, 1]);
        assert_eq!(knapsack(100.0, &[(30.0, 30.0, 2), (10.0, 9.0, 9)]), [2, 4]);
        assert_eq!(knapsack(5.0, &[(30.0, 30.0, 2)]), [0]);
    }
}
