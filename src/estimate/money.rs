//! What the boxes cost: stock, what is bought by length or weight, and time. Nothing is told where the job names no
//! price but those of its stocks.

use super::{Asked, Hours};
use crate::job::{Job, StockKind};
use crate::units::Length;
use serde::{Deserialize, Serialize};

/// What one thing costs, for all boxes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Line {
    /// What: a stock, "elastic", "ribbon", "magnets", "glue", "work", or a machine's short name.
    pub what: String,
    /// How much of it.
    pub amount: f64,
    /// Of what: "sheets", "m", "pieces", "kg", "h".
    pub unit: String,
    /// What it costs, in the maker's currency; `None` where its price is not given.
    pub cost: Option<f64>,
}

/// What the boxes cost.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Money {
    /// Each thing that is paid for, stock first.
    pub lines: Vec<Line>,
    /// All of it, in the maker's currency; `None` where a price is missing.
    pub in_all: Option<f64>,
}

impl Money {
    /// The sum of such lines.
    pub fn of(lines: Vec<Line>) -> Self {
        let in_all = lines.iter().map(|l| l.cost).sum();
        Self { lines, in_all }
    }

    /// Both together, thing by thing.
    pub fn add(&mut self, other: &Self) {
        for line in &other.lines {
            match self.lines.iter_mut().find(|l| l.what == line.what && l.unit == line.unit) {
                Some(own) => {
                    own.amount += line.amount;
                    own.cost = own.cost.zip(line.cost).map(|(a, b)| a + b);
                }
                None => self.lines.push(line.clone()),
            }
        }
        *self = Self::of(std::mem::take(&mut self.lines));
    }

    /// What has no price.
    pub fn unpriced(&self) -> Vec<&str> {
        self.lines.iter().filter(|l| l.cost.is_none()).map(|l| l.what.as_str()).collect()
    }

    /// What is known of it, whatever is missing.
    pub fn known(&self) -> f64 {
        // A sum of nothing would be -0.
        self.lines.iter().filter_map(|l| l.cost).fold(0.0, |sum, cost| sum + cost)
    }
}

/// Whether a job asks for more than the price of its sheets.
pub fn is_asked(job: &Job) -> bool {
    let work = &job.work;
    let ribbons = job.ties.values().map(|t| t.price).chain(lift_ribbon(job).map(|(_, price)| price));
    let counted = by_count(job).into_iter().map(|(_, _, price)| price);
    let all = [work.rate, work.machine_rate, job.elastic.price, job.glue.price];
    all.into_iter().chain(ribbons).chain(counted).any(|p| p.is_some())
}

/// The length of a job's lift ribbon, and the price of a metre.
fn lift_ribbon(job: &Job) -> Option<(Length, Option<f64>)> {
    let inside = job.inside.as_ref()?;
    Some((inside.ribbon_length(), inside.ribbon?.price))
}

/// What is bought by the piece, for one box, each lid's for themselves: what it is, how many, the price of one.
fn by_count(job: &Job) -> Vec<(&'static str, u32, Option<f64>)> {
    let pegs = job.ties.values().filter_map(|t| Some(("pegs", t.count, t.peg?.price)));
    let magnets = job.magnets.values().flat_map(|m| {
        let own = ("magnets", m.count * if m.plate.is_some() { 1 } else { 2 }, m.price);
        let plates = m.plate.map(|plate| ("steel plates", m.count, plate.price));
        std::iter::once(own).chain(plates)
    });
    pegs.chain(magnets).collect()
}

/// What is bought by length, each lid's ribbons for themselves: what it is, metres, the price of a metre.
fn by_length(asked: &Asked<'_>) -> Vec<(&'static str, f64, Option<f64>)> {
    let metres = |length: Length, count: u32| length.to_mm() / 1000.0 * f64::from(count) * f64::from(asked.boxes);
    let elastic = asked.strap.map(|s| ("elastic", metres(s.length, s.count), asked.job.elastic.price));
    let ribbons = asked.ties.iter().map(|t| {
        let price = asked.job.ties.get(&t.side).and_then(|own| own.price);
        let loops = t.pegs.as_ref().map_or(0.0, |p| metres(p.loop_length, p.count));
        ("ribbon", metres(t.length, t.ribbons) + loops, price)
    });
    let lift = lift_ribbon(asked.job).map(|(length, price)| ("lift ribbon", metres(length, 1), price));
    elastic.into_iter().chain(ribbons).chain(lift).collect()
}

/// What is bought besides sheets: elastic, ribbons, pegs, magnets, glue.
pub(super) fn bought(asked: &Asked<'_>) -> Vec<Line> {
    let line = |what: &str, amount: f64, unit: &str, price: Option<f64>| Line {
        what: what.into(),
        amount,
        unit: unit.into(),
        cost: price.map(|p| p * amount),
    };
    let mut lines: Vec<Line> =
        by_length(asked).into_iter().map(|(what, metres, price)| line(what, metres, "m", price)).collect();
    let pieces = by_count(asked.job).into_iter();
    lines.extend(pieces.map(|(what, n, price)| line(what, f64::from(n) * f64::from(asked.boxes), "pieces", price)));
    if asked.glue_m2 > 0.0 {
        let kilograms = asked.glue_m2 * asked.job.glue.grams / 1000.0 * f64::from(asked.boxes);
        lines.push(line("glue", kilograms, "kg", asked.job.glue.price));
    }
    let mut all = Money::default();
    // The ribbons of several lids are one line.
    all.add(&Money::of(lines));
    all.lines
}

/// What the sheets cost, by stock; a leftover costs nothing.
pub(super) fn sheets(asked: &Asked<'_>) -> Vec<Line> {
    let of = |stock: StockKind| {
        let all = || asked.sheets.iter().filter(move |s| s.stock == stock);
        let amount = f64::from(all().map(|s| s.count()).sum::<u32>());
        let cost = all().map(|s| s.price.map(|p| p * f64::from(s.count()))).sum();
        (amount > 0.0).then(|| Line { what: stock.word().into(), amount, unit: "sheets".into(), cost })
    };
    StockKind::ALL.into_iter().filter_map(of).collect()
}

/// What time costs, where the job has a rate for it.
pub(super) fn time(job: &Job, hours: &Hours) -> Vec<Line> {
    let all = (hours.by_hand_minutes + hours.run_minutes) / 60.0;
    let run = hours.run_minutes / 60.0;
    let line = |what: &str, amount: f64, rate: Option<f64>| {
        rate.map(|r| Line { what: what.into(), amount, unit: "h".into(), cost: Some(r * amount) })
    };
    let machines = if run > 0.0 { line("machines", run, job.work.machine_rate) } else { None };
    machines.into_iter().chain(line("work", all, job.work.rate)).collect()
}
