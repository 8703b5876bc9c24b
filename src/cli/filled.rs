//! What a job took from a shop.

use super::Failure;
use crate::diag::{Diagnostic, Source};
use crate::job::StockKind;
use crate::units::{Unit, mm};
use std::collections::BTreeMap;

/// Where a job and machines are filled from: a shop, or nothing.
pub(super) trait Supply {
    /// Whether there is one.
    fn is_some(&self) -> bool;
    /// Fills a job's text.
    fn fill(&self, source: &mut Source) -> Result<Filled, Failure>;
    /// The profile that it keeps of a machine.
    fn machine(&self, name: &str) -> Result<Option<String>, Failure>;
}

/// What was taken from the shop.
#[derive(Debug, Default)]
pub(super) struct Filled {
    /// A line for each stock, for people.
    pub(super) lines: Vec<String>,
    /// The same for programs, and what is wrong.
    pub(super) said: Vec<Diagnostic>,
    /// The whole sheets that there are: of which stock, mm, how many.
    pub(super) on_hand: Vec<(StockKind, String, [f64; 2], u32)>,
}

impl Filled {
    /// What was taken, for people; nothing where there is no shop.
    pub(super) fn text(&self) -> String {
        let lines: String = self.lines.iter().map(|line| format!("  {line}\n")).collect();
        if lines.is_empty() { lines } else { format!("From the shop:\n{lines}\n") }
    }

    /// What is said where the shop has fewer whole sheets than are wanted: of which stock, their size in mm, how many.
    pub(super) fn shortages(
        &self,
        sheets: impl Iterator<Item = (StockKind, [f64; 2], u32)>,
        unit: Unit,
    ) -> Vec<Diagnostic> {
        let mut wanted: BTreeMap<usize, u32> = BTreeMap::new();
        for (stock, size, count) in sheets {
            let is_it = |(kind, _, [width, height], _): &(StockKind, String, [f64; 2], u32)| {
                let off = |a: f64, b: f64| (a - b).abs() >= 0.5;
                *kind == stock && !off(*width, size[0]) && !off(*height, size[1])
            };
            if let Some(at) = self.on_hand.iter().position(is_it) {
                *wanted.entry(at).or_default() += count;
            }
        }
        let short = wanted.into_iter().map(|(at, wanted)| (&self.on_hand[at], wanted)).filter(|(s, n)| *n > s.3);
        short
            .map(|((kind, name, [width, height], there), wanted)| {
                let size = format!("{} x {}", unit.show(mm(*width)), unit.show(mm(*height)));
                let (sheets, are) = if wanted == 1 { ("sheet", "is") } else { ("sheets", "are") };
                let message =
                    format!("{wanted} {sheets} of \"{name}\", {size}, {are} wanted, and the shop has {there}");
                let hint = format!("buy {}, or count again: flapwright shop FILE sheets", wanted - there);
                Diagnostic::warning("too-few-sheets", message).at(format!("{}.stock", kind.word())).help(hint)
            })
            .collect()
    }
}
