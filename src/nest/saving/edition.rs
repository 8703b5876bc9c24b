//! How many boxes the sheets of an edition are good for.

use super::trial::{Taken, Trial};
use super::{Asked, Change, LEAST, Saving, farthest, taken};
use crate::job::{Job, StockKind};
use rayon::prelude::*;

/// So many boxes less are looked at (our choice: an edition is cut by one, two or three, not by half).
const LESS: u32 = 3;

/// Another number of boxes of which each takes notably less: as many more as the same sheets hold, or a few less that
/// do without a sheet.
pub(super) fn edition(asked: &Asked<'_>, exported: u32) -> Option<Saving> {
    let job = asked.job;
    if job.copies < 2 {
        return None;
    }
    let kinds: Vec<StockKind> =
        StockKind::ALL.into_iter().filter(|k| asked.pieces.iter().any(|p| p.stock == *k)).collect();
    // What is taken of leftovers is not told by the sheets that are bought.
    if kinds.iter().any(|k| job.stock(*k).is_none_or(|s| !s.leftovers.is_empty())) {
        return None;
    }
    let lay = |copies: u32, effort: u32| -> Option<Vec<Taken>> {
        let other = Job { copies, layout_effort: effort, ..job.clone() };
        let one = |k: &StockKind| Trial::new(asked.pieces, &other, *k, asked.search).lay(&other, other.stock(*k)?);
        kinds.par_iter().map(one).collect()
    };
    let now: Vec<Taken> = kinds.iter().map(|k| taken(asked.sheets, *k)).collect();
    let effort = job.layout_effort;
    // The same sheets, and no more of any.
    let holds =
        |laid: &[Taken], now: &[Taken]| laid.iter().zip(now).all(|(a, b)| a.sheets <= b.sheets && a.m2 <= b.m2 + 1e-9);
    let most = most_by_area(asked, &kinds);
    let more = farthest(i64::from(job.copies), i64::from(most) + 1, |n| {
        lay(n as u32, effort).is_some_and(|laid| holds(&laid, &now))
    }) as u32;
    let least = job.copies.saturating_sub(LESS.min(job.copies / 4).max(1)).max(1);
    let less = (least..job.copies).filter(|_| is_wasteful(&now));
    let mut best: Option<(u32, f64)> = None;
    for copies in less.chain((more > job.copies).then_some(more)) {
        let Some(laid) = lay(copies, effort) else { continue };
        let each = sum(&laid).basis() / f64::from(copies);
        let is_worth = each < sum(&now).basis() / f64::from(job.copies) * (1.0 - LEAST);
        if is_worth && best.is_none_or(|(_, so_far)| each < so_far - 1e-9) {
            best = Some((copies, each));
        }
    }
    let (copies, _) = best?;
    // Held against the layouts that are exported.
    let now = if exported > effort { lay(job.copies, exported)? } else { now };
    let then = lay(copies, exported.max(effort))?;
    let each = |all: &[Taken], n: u32| sum(all).basis() / f64::from(n);
    let is_worth = each(&then, copies) < each(&now, job.copies) * (1.0 - LEAST);
    let is_held = if copies > job.copies { holds(&then, &now) } else { sum(&then).sheets < sum(&now).sheets };
    (is_worth && is_held).then(|| told(copies, job, &kinds, &now, &then))
}

/// Whether there is more than the least that can be bought.
fn is_wasteful(now: &[Taken]) -> bool {
    now.iter().any(|t| t.sheets > 1)
}

fn sum(all: &[Taken]) -> Taken {
    let none = Taken { cost: Some(0.0), ..Taken::default() };
    all.iter().fold(none, |sum, one| sum.and(one))
}

/// No more boxes than so many can lie on the sheets, by their areas.
fn most_by_area(asked: &Asked<'_>, kinds: &[StockKind]) -> u32 {
    let of = |kind: &StockKind| {
        let rim = asked.job.stock(*kind).map_or(0.0, |s| 2.0 * s.margin.to_mm());
        let sheets = asked.sheets.iter().copied().filter(|s| s.stock == *kind);
        let room: f64 = sheets.map(|s| f64::from(s.count()) * (s.width.to_mm() - rim) * (s.height.to_mm() - rim)).sum();
        let pieces = asked.pieces.iter().filter(|p| p.stock == *kind);
        let a_box: f64 = pieces.map(|p| p.outline.area() * f64::from(p.count)).sum();
        if a_box > 0.0 { room / a_box } else { f64::INFINITY }
    };
    let most = kinds.iter().map(of).fold(f64::INFINITY, f64::min);
    // Twice as many are another edition (our choice).
    (most as u32).clamp(asked.job.copies, asked.job.copies.saturating_mul(2))
}

fn told(copies: u32, job: &Job, kinds: &[StockKind], now: &[Taken], then: &[Taken]) -> Saving {
    let what = if copies > job.copies {
        format!("{copies} boxes take the same sheets as {}", job.copies)
    } else {
        let of = |((kind, now), then): ((&StockKind, &Taken), &Taken)| {
            let n = now.sheets.saturating_sub(then.sheets);
            (n > 0).then(|| format!("{n} {} of {}", if n == 1 { "sheet" } else { "sheets" }, kind.word()))
        };
        let less: Vec<String> = kinds.iter().zip(now).zip(then).filter_map(of).collect();
        let less: Vec<&str> = less.iter().map(String::as_str).collect();
        format!("{copies} boxes take {} less than {}", crate::diag::listed(&less), job.copies)
    };
    let (now, then) = (sum(now).tidied(), sum(then).tidied());
    Saving {
        stock: None,
        change: Change::Copies,
        key: "copies".into(),
        value: copies.to_string(),
        what,
        sheets: [now.sheets, then.sheets],
        boxes: [job.copies, copies],
        area_m2: [now.m2, then.m2],
        cost: now.cost.zip(then.cost).map(<[f64; 2]>::from),
    }
}
