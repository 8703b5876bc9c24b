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
/// Among more choices than this (a list of boxes that all differ) so many widths are tried, spread evenly, and
/// so many choices for one column, those worth most for the height that they take: the work for a sheet then
/// no longer grows with the square of what is left to lay (our choice).
const MANY: usize = 160;
/// See [`MANY`].
const WIDTHS: usize = 32;
/// See [`MANY`].
const LAYERS: usize = 48;

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
    if choices.len() > MANY && widths.len() > WIDTHS {
        // The widest stays: what is a little narrower goes into the next.
        let n = widths.len();
        widths = (1..=WIDTHS).map(|i| widths[i * n / WIDTHS - 1]).collect();
    }
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
    let mut layers: Vec<(f64, f64, u32)> = choices
        .iter()
        .map(|c| {
            let abreast = (room.width / c.size.width + SLACK) as u32;
            let abreast = abreast.min(left[c.kind]);
            let most = left[c.kind].checked_div(abreast).unwrap_or(0).min((room.height / c.size.height + SLACK) as u32);
            (c.size.height, value[c.kind] * f64::from(abreast), most)
        })
        .collect();
    if choices.len() > MANY {
        let worth = |i: &usize| layers[*i].1 / layers[*i].0.max(SLACK);
        let mut order: Vec<usize> = (0..layers.len()).filter(|i| layers[*i].2 > 0).collect();
        order.sort_by(|a, b| worth(b).total_cmp(&worth(a)).then(a.cmp(b)));
        order.iter().skip(LAYERS).for_each(|i| layers[*i].2 = 0);
    }
    let mut things: Vec<(usize, u32)> = knapsack(room.height, &layers)
        .into_iter()
        .enumerate()
        .filter(|(_, n)| *n > 0)
        .map(|(i, n)| (i, n * ((room.width / choices[i].size.width + SLACK) as u32).min(left[choices[i].kind])))
        .collect();
    things.sort_by(|a, b| choices[b.0].size.height.total_cmp(&choices[a.0].size.height).then(a.0.cmp(&b.0)));
    things
}

/// A sum of things: the one that it was made of, and how many of which thing came to that.
struct Sum {
    size: f64,
    value: f64,
    before: usize,
    thing: usize,
    times: u32,
}

/// How many of each of `things` (size, value, how many at most) are worth the most within `limit`.
fn knapsack(limit: f64, things: &[(f64, f64, u32)]) -> Vec<u32> {
    let mut sums = vec![Sum { size: 0.0, value: 0.0, before: 0, thing: 0, times: 0 }];
    // The sums that no smaller one is worth as much as, by size.
    let mut front = vec![0];
    for (thing, &(size, value, most)) in things.iter().enumerate() {
        if most == 0 && front.len() <= SUMS {
            continue;
        }
        // With none, one, two and so on of this thing every sum is as much larger: lists by size, to be merged.
        let shifted = |times: u32| {
            let (more, worth) = (size * f64::from(times), value * f64::from(times));
            let of = front.iter().enumerate().map(|(rank, &before)| {
                let s: &Sum = &sums[before];
                Fresh { size: s.size + more, value: s.value + worth, before, times, rank }
            });
            of.take_while(|s| s.size <= limit + SLACK).collect::<Vec<_>>()
        };
        let mut next = shifted(0);
        for times in 1..=most {
            let more = shifted(times);
            if more.is_empty() {
                break;
            }
            next = merged(next, more);
        }
        if next.len() > SUMS {
            let (step, last) = (next.len().div_ceil(SUMS), next.len() - 1);
            next = next.into_iter().enumerate().filter(|(i, _)| i % step == 0 || *i == last).map(|(_, s)| s).collect();
        }
        let kept = |s: Fresh| {
            if s.times == 0 {
                return s.before;
            }
            sums.push(Sum { size: s.size, value: s.value, before: s.before, thing, times: s.times });
            sums.len() - 1
        };
        front = next.into_iter().map(kept).collect();
    }
    let mut counts = vec![0; things.len()];
    let mut at = front.last().copied().unwrap_or(0);
    while at != 0 {
        counts[sums[at].thing] += sums[at].times;
        at = sums[at].before;
    }
    counts
}

/// A sum with so many of a thing more than the one before it, which stands at this rank among all before.
#[derive(Clone, Copy)]
struct Fresh {
    size: f64,
    value: f64,
    before: usize,
    times: u32,
    rank: usize,
}

impl Fresh {
    /// By size, of equals the one worth more; then as they come, those without the thing first.
    fn is_before(&self, other: &Self) -> bool {
        let order = self.size.total_cmp(&other.size).then(other.value.total_cmp(&self.value));
        let come = |s: &Self| (s.times > 0, s.rank, s.times);
        order.then(come(self).cmp(&come(other))).is_lt()
    }
}

/// Two lists by size as one, without those that are worth no more than a smaller one.
fn merged(a: Vec<Fresh>, b: Vec<Fresh>) -> Vec<Fresh> {
    let mut all: Vec<Fresh> = Vec::with_capacity(a.len() + b.len());
    let (mut a, mut b) = (a.into_iter().peekable(), b.into_iter().peekable());
    let mut best = f64::NEG_INFINITY;
    loop {
        let from_a = match (a.peek(), b.peek()) {
            (Some(x), Some(y)) => x.is_before(y),
            (x, y) => x.is_some() || y.is_none(),
        };
        let Some(next) = (if from_a { a.next() } else { b.next() }) else { return all };
        if next.value > best {
            best = next.value;
            all.push(next);
        }
    }
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

    /// Against all that can be taken, one after the other.
    #[test]
    fn a_knapsack_is_worth_what_the_best_of_all_is() {
        let mut dice = crate::nest::dice::Dice::new();
        for _ in 0..200 {
            let mut upto = |most: f64| (dice.share() * most) as u32;
            let limit = f64::from(20 + upto(80.0));
            let things: Vec<(f64, f64, u32)> =
                (0..4).map(|_| (f64::from(3 + upto(30.0)), f64::from(1 + upto(30.0)), upto(4.0))).collect();
            let of = |counts: &[u32]| {
                let sum = |f: fn(&(f64, f64, u32)) -> f64| -> f64 {
                    counts.iter().zip(&things).map(|(n, t)| f64::from(*n) * f(t)).sum()
                };
                (sum(|t| t.0), sum(|t| t.1))
            };
            let mut best = 0.0f64;
            for n in 0..256u32 {
                let counts: Vec<u32> = (0..4).map(|i| n >> (2 * i) & 3).collect();
                let (size, value) = of(&counts);
                if size <= limit && counts.iter().zip(&things).all(|(n, t)| *n <= t.2) {
                    best = best.max(value);
                }
            }
            let taken = knapsack(limit, &things);
            let (size, value) = of(&taken);
            assert!(size <= limit && taken.iter().zip(&things).all(|(n, t)| *n <= t.2));
            assert!((value - best).abs() < 1e-9, "{things:?} in {limit}: {value}, not {best}");
        }
    }
}
