//! What would save stock: a few changes that a maker can really make, each laid out anew.
//!
//! Nothing is told from areas alone; they only leave out what cannot save. Every change is laid out first with the
//! effort of the layout at hand, and is brought as near to the job as still saves as much. The best is then held
//! against the job laid out with the effort that it is exported with, itself laid out so, so that it is true of what
//! is cut. In all a stock is laid out some forty times at the most.

mod edition;
mod sizes;
mod told;
mod trial;

use super::{Search, Sheet};
use crate::design::Piece;
use crate::job::{Job, Stock, StockKind};
use crate::units::{Length, Unit, inch, mm};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use trial::{Taken, Trial};

/// Another size is told where it costs less by this share at least (our choice: less is not worth the errand).
const LEAST: f64 = 0.05;
/// So many changes of a stock, the best first, are held against the layout that is exported.
const HELD: usize = 2;

/// What is changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Change {
    /// The distance between pieces.
    Gap,
    /// The rim of the sheet.
    Margin,
    /// How many boxes are made.
    Copies,
    /// How long a piece is cut off the roll.
    Length,
    /// The grain lies along the sheet's other side.
    Turned,
    /// Another size of sheet, another width of roll.
    Size,
}

/// A change that saves stock.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Saving {
    /// Of what; all stocks if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stock: Option<StockKind>,
    /// What is changed.
    pub change: Change,
    /// The key of the job that says it.
    pub key: String,
    /// What is to be written there.
    pub value: String,
    /// The same in words, in the job's unit.
    pub what: String,
    /// How many sheets it takes as it is, and with the change.
    pub sheets: [u32; 2],
    /// How many boxes, likewise.
    pub boxes: [u32; 2],
    /// The area of the sheets, square metres, likewise.
    pub area_m2: [f64; 2],
    /// What they cost, likewise, where each has a price; another size at the same price by area.
    pub cost: Option<[f64; 2]>,
}

/// Of what savings are looked for.
pub struct Asked<'a> {
    /// The pieces that were laid out.
    pub pieces: &'a [Piece],
    /// The job, with the effort that they were laid out with.
    pub job: &'a Job,
    /// The sheets.
    pub sheets: &'a [&'a Sheet],
    /// How many boxes that is.
    pub boxes: u32,
    /// How far is looked.
    pub look: Look,
    /// How they are laid out.
    pub search: &'a Search<'a>,
    /// Whether a sheet of this width and height can be worked, on whatever it is to lie.
    pub may_lie: &'a (dyn Fn(StockKind, [Length; 2]) -> bool + Sync),
}

/// How far is looked.
#[derive(Clone, Copy, Debug)]
pub enum Look {
    /// Every change, brought near to the job, and held against the layout of this effort, which is the one that is cut.
    Whole(u32),
    /// The same, only where more sheets are taken than by their areas there must be, and not at the number of boxes: for
    /// who waits.
    Wasteful(u32),
    /// At most three changes of a stock, each laid out once, and of no stock of more than 600 things.
    Short,
}

/// So many changes of a stock are laid out in a short look (our choice, of which a list's first lot takes as many times as
/// long as it does without).
const FEW: usize = 3;
/// Of more things none is laid out for who waits (our choice: a dozen boxes, in some tenths of a second).
const SOME: u32 = 200;
/// Of more things none is laid out in a short look (our choice: a lot of forty boxes has about so many).
const MANY: u32 = 600;

/// The best change of each stock, where one saves something, and of the number of boxes.
pub fn savings(asked: &Asked<'_>) -> Vec<Saving> {
    let of_stock = |kind: &StockKind| of_stock(asked, *kind);
    let best: Vec<Option<Saving>> = StockKind::ALL.par_iter().map(of_stock).collect();
    let mut all: Vec<Saving> = best.into_iter().flatten().collect();
    if let Look::Whole(effort) = asked.look {
        all.extend(edition::edition(asked, effort));
    }
    all
}

/// What sheets of a stock take.
fn taken(sheets: &[&Sheet], kind: StockKind) -> Taken {
    Taken::of(sheets.iter().copied().filter(|s| s.stock == kind))
}

/// A stock with something changed.
struct Candidate {
    change: Change,
    stock: Stock,
    /// The least width that does as well, where that is another.
    least: Option<Length>,
}

impl Candidate {
    const fn new(change: Change, stock: Stock) -> Self {
        Self { change, stock, least: None }
    }

    /// Whether what it takes is worth telling.
    fn is_worth(&self, then: &Taken, now: &Taken) -> bool {
        match self.change {
            // The same sheets at the same price, and one less of them at least.
            Change::Gap | Change::Margin | Change::Turned => then.sheets < now.sheets && then.is_less(now, 0.0),
            // Without a price nobody knows what another size costs: there must be fewer, and less of them.
            _ => then.is_less(now, LEAST) && (now.cost.is_some() || then.sheets < now.sheets),
        }
    }
}

fn of_stock(asked: &Asked<'_>, kind: StockKind) -> Option<Saving> {
    let job = asked.job;
    let stock = job.stock(kind)?;
    let now = taken(asked.sheets, kind);
    // One sheet is the least that can be bought.
    if now.sheets < 2 {
        return None;
    }
    let trial = Trial::new(asked.pieces, job, kind, asked.search);
    let is_waited_for = matches!(asked.look, Look::Wasteful(_));
    if is_waited_for && (trial.things(job) > SOME || trial.is_hopeless(stock, &now)) {
        return None;
    }
    let mut hopeful = candidates(kind, stock, job, asked.search, &now);
    hopeful.retain(|c| {
        !trial.is_hopeless(&c.stock, &now) && (asked.may_lie)(kind, [c.stock.sheet_width, c.stock.sheet_height])
    });
    if matches!(asked.look, Look::Short) {
        if trial.things(job) > MANY {
            return None;
        }
        // What needs no other sheets first, then those that could save most.
        let rank = |c: &Candidate| (c.change > Change::Margin, trial.least(&c.stock, &now));
        hopeful.sort_by(|a, b| {
            let (a, b) = (rank(a), rank(b));
            a.0.cmp(&b.0).then(if a.0 { a.1.total_cmp(&b.1) } else { std::cmp::Ordering::Equal })
        });
        hopeful.truncate(FEW);
    }
    let mut found: Vec<(Candidate, Taken)> = hopeful
        .into_iter()
        .filter_map(|c| trial.lay(job, &c.stock).map(|then| (c, then)))
        .filter(|(c, then)| c.is_worth(then, &now))
        .filter_map(|(c, then)| match (c.change, asked.look) {
            // What a length saves is known when it is as short as it may be.
            (Change::Length, Look::Whole(_) | Look::Wasteful(_)) => {
                let c = nearest(c, kind, stock, job, &trial, then.sheets);
                trial.lay(job, &c.stock).map(|then| (c, then))
            }
            _ => Some((c, then)),
        })
        .collect();
    found.sort_by(|(a, x), (b, y)| x.basis().total_cmp(&y.basis()).then(a.change.cmp(&b.change)));
    if found.is_empty() {
        return None;
    }
    let (Look::Whole(effort) | Look::Wasteful(effort)) = asked.look else {
        let (c, then) = found.into_iter().next()?;
        return Some(told::of_stock(&c, kind, job.units, asked.boxes, [&now, &then]));
    };
    let exported = Job { layout_effort: effort.max(job.layout_effort), ..job.clone() };
    let now = if effort > job.layout_effort { trial.lay(&exported, stock)? } else { now };
    for (c, then) in found.into_iter().take(HELD) {
        let c = if c.change == Change::Length { c } else { nearest(c, kind, stock, job, &trial, then.sheets) };
        if let Some(then) = trial.lay(&exported, &c.stock).filter(|then| c.is_worth(then, &now)) {
            return Some(told::of_stock(&c, kind, job.units, asked.boxes, [&now, &then]));
        }
    }
    None
}

/// What the distance between pieces and the rim are never told to be less than (our choice, as their keys have it: a
/// blade turns and a bit of 3 mm passes; tape takes as much of the rim).
const fn floor(unit: Unit) -> Length {
    match unit {
        Unit::Mm => mm(3.0),
        Unit::Inch => inch(0.125),
    }
}

/// What can be changed of a stock, each as far as it may go.
fn candidates(kind: StockKind, stock: &Stock, job: &Job, search: &Search<'_>, now: &Taken) -> Vec<Candidate> {
    let mut all = Vec::new();
    let apart = search.apart.of(kind);
    let gap = floor(job.units).max(apart);
    if !stock.common_cuts && gap < stock.gap {
        all.push(Candidate::new(Change::Gap, Stock { gap, ..stock.clone() }));
    }
    let margin = floor(job.units);
    if margin < stock.margin {
        all.push(Candidate::new(Change::Margin, Stock { margin, ..stock.clone() }));
    }
    // Where several sizes are named the maker knows what there is.
    if !stock.further.is_empty() {
        return all;
    }
    all.extend(sizes::others(kind, stock, job.units).into_iter().map(|s| Candidate::new(Change::Size, s)));
    if sizes::is_roll(kind) {
        let ([across, along], step) = (sizes::of_roll(stock), sizes::step(job.units));
        // As long as one piece less may be, and as short as all of them may.
        let n = f64::from(now.sheets);
        for longest in [along * ((1.0 - LEAST) * n / (n - 1.0)), along * (1.0 - LEAST)] {
            let length = step * ((longest / step).ceil() - 1.0);
            if (length - along).abs() > step {
                all.push(Candidate::new(Change::Length, sizes::off_roll(stock, [across, length])));
            }
        }
    } else {
        all.extend(sizes::turned(stock).map(|s| Candidate::new(Change::Turned, s)));
    }
    all
}

/// A change that goes no farther than it must for so few sheets.
fn nearest(c: Candidate, kind: StockKind, stock: &Stock, job: &Job, trial: &Trial<'_>, sheets: u32) -> Candidate {
    let does = |stock: &Stock| trial.lay(job, stock).is_some_and(|then| then.sheets <= sheets);
    let along = |good: Length, bad: Length, step: Length, of: &dyn Fn(Length) -> Stock| {
        let whole = |l: Length, up: bool| if up { (l / step - 1e-6).ceil() } else { (l / step + 1e-6).floor() } as i64;
        let is_up = good < bad;
        let (from, to) = (whole(good, is_up), whole(bad, is_up));
        let found = step * farthest(from, to, |n| does(&of(step * n as f64))) as f64;
        // The first of the steps may lie beyond what does.
        if does(&of(found)) { found } else { good }
    };
    let marked = job.units.bench_step();
    match c.change {
        Change::Gap => {
            let of = |gap| Stock { gap, ..stock.clone() };
            let gap = along(c.stock.gap, stock.gap, marked, &of);
            Candidate { stock: of(gap), ..c }
        }
        Change::Margin => {
            let of = |margin| Stock { margin, ..stock.clone() };
            let margin = along(c.stock.margin, stock.margin, marked, &of);
            Candidate { stock: of(margin), ..c }
        }
        Change::Length => {
            let [across, length] = sizes::of_roll(&c.stock);
            let was = sizes::of_roll(stock)[1];
            let of = |length| sizes::off_roll(stock, [across, length]);
            // No shorter than half of it, and no shorter than it is where one piece less shall do.
            let shortest = if length > was { was } else { was * 0.5 };
            let length = along(length, shortest, sizes::step(job.units), &of);
            Candidate { stock: of(length), ..c }
        }
        Change::Size if sizes::is_roll(kind) => {
            let ([width, length], [was, _]) = (sizes::of_roll(&c.stock), sizes::of_roll(stock));
            let of = |width| sizes::off_roll(stock, [width, length]);
            let least = (width > was).then(|| along(width, was, sizes::step(job.units), &of));
            Candidate { least: least.filter(|l| width - *l > sizes::step(job.units) * 0.5), ..c }
        }
        Change::Size | Change::Turned | Change::Copies => c,
    }
}

/// The last whole number on the way from `good`, for which it holds, to `bad`, for which it does not.
fn farthest(mut good: i64, mut bad: i64, mut holds: impl FnMut(i64) -> bool) -> i64 {
    while (bad - good).abs() > 1 {
        let between = good + (bad - good) / 2;
        if holds(between) {
            good = between;
        } else {
            bad = between;
        }
    }
    good
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_that_holds_is_found_either_way() {
        assert_eq!(farthest(3, 20, |n| n <= 11), 11);
        assert_eq!(farthest(20, 3, |n| n >= 11), 11);
        assert_eq!(farthest(3, 4, |_| true), 3);
        assert_eq!(farthest(3, 3, |_| true), 3);
    }
}
