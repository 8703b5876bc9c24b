//! Prices, rates and minutes.

use super::check::Check;
use super::work_keys::MINUTES;
use crate::diag::Diagnostic;
use std::collections::BTreeMap;

/// The adhesive.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Glue {
    /// What a kilogram costs, in the maker's currency.
    pub price: Option<f64>,
    /// Grams a square metre, one coat.
    pub grams: f64,
}

/// What an hour costs and how long the work takes.
#[derive(Clone, Debug, PartialEq)]
pub struct Work {
    /// What an hour of work costs, in the maker's currency.
    pub rate: Option<f64>,
    /// What an hour of a machine's run costs besides.
    pub machine_rate: Option<f64>,
    /// The hours of a day that are worked.
    pub hours: f64,
    /// Whether the plan makes the first box of an edition whole before the others are begun.
    pub first_article: bool,
    /// How many boxes lie in the press at one time.
    pub press: u32,
    /// Hours that a covered box dries under weight.
    pub dry_covered: f64,
    /// Hours that a finished box stays in the press.
    pub dry_lined: f64,
    /// Hours that a glued strap, or crossed strips, stay under a weight of their own.
    pub dry_glued: f64,
    /// Beside a machine, besides its run: each one is a sheet.
    pub machine: Minutes,
    /// Minutes for each change of a tool by hand.
    pub tool_change: f64,
    /// Minutes by hand of each step, by its key.
    pub steps: BTreeMap<&'static str, Minutes>,
    /// Whether the job gives any of these minutes itself.
    pub is_own: bool,
}

/// How long a kind of work takes.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Minutes {
    /// A session of it, whatever the number.
    pub session: f64,
    /// Each one.
    pub each: f64,
}

/// What takes one of them longer than a working day is a slip (our choice).
const LONGEST: f64 = 480.0;
/// What is under weight for longer is forgotten there (our choice: two weeks).
const DRIEST: f64 = 336.0;

impl Check<'_> {
    /// A price or a rate that may be left out; `None` inside where it is.
    pub(super) fn price(&mut self, key: &str) -> Option<Option<f64>> {
        let hint = "write what it costs in your currency as a bare number, or leave it out";
        match self.doc.is_written(key) {
            true => self.number_in(key, 0.0, 1e9, "out-of-range", hint).map(Some),
            false => Some(None),
        }
    }

    /// `[glue]`.
    pub(super) fn glue(&mut self) -> Option<Glue> {
        let price = self.price("glue.price");
        let hint = "its data sheet says so, 100 to 200 g/m2 for most";
        let grams = self.number_in("glue.grams", 1.0, 5000.0, "out-of-range", hint);
        Some(Glue { price: price?, grams: grams? })
    }

    /// `[work]`.
    pub(super) fn work(&mut self) -> Option<Work> {
        let rate = self.price("work.rate");
        let machine_rate = self.price("work.machine_rate");
        let hint = "write the hours of one day that are spent on the work, 0.5 to 24";
        let hours = self.number_in("work.hours", 0.5, 24.0, "work-hours", hint);
        let press = self.doc.count("work.press").and_then(|n| {
            let press = u32::try_from(n).ok().filter(|n| (1..=10_000).contains(n));
            if press.is_none() {
                let message = format!("{n} boxes in the press at one time");
                let hint = "write how many lie in one stack under weight, 1 to 10000";
                self.push(Diagnostic::error("press", message).at("work.press").help(hint));
            }
            press
        });
        let hint = "write hours: 12 is overnight, 336 two weeks, the most";
        let mut dry = |key: &str| self.number_in(key, 0.0, DRIEST, "drying", hint);
        let (covered, lined, glued) = (dry("work.dry_covered"), dry("work.dry_lined"), dry("work.dry_glued"));
        let hint = "write minutes, 0 where the machine changes its tools";
        let tool_change = self.number_in("work.tool_change", 0.0, 240.0, "minutes", hint);
        let machine = self.minutes("work.machine");
        let mut steps = BTreeMap::new();
        let mut is_own = false;
        for step in MINUTES.keys.iter().map(|k| k.name) {
            let key = format!("work.minutes.{step}");
            is_own |= self.doc.is_written(&key);
            if let Some(minutes) = self.minutes(&key) {
                steps.insert(step, minutes);
            }
        }
        (steps.len() == MINUTES.keys.len()).then_some(())?;
        Some(Work {
            rate: rate?,
            machine_rate: machine_rate?,
            hours: hours?,
            first_article: self.doc.flag("work.first_article").unwrap_or_default(),
            press: press?,
            dry_covered: covered?,
            dry_lined: lined?,
            dry_glued: glued?,
            machine: machine?,
            tool_change: tool_change?,
            steps,
            is_own,
        })
    }

    /// Two numbers of minutes: of a session, and of each one.
    fn minutes(&mut self, key: &str) -> Option<Minutes> {
        self.doc.get(key)?;
        let numbers = self.doc.numbers(key);
        let hint = "write two numbers of minutes, [10, 4]: what a session takes besides, and what each one takes";
        let [session, each] = numbers[..] else {
            // Entries that are no numbers have been told.
            if !self.doc.is_written(&format!("{key}.{}", numbers.len())) {
                let n = numbers.len();
                let message =
                    format!("`{key}` has {n} {}, and it takes two", if n == 1 { "number" } else { "numbers" });
                self.push(Diagnostic::error("minutes", message).at(key).help(hint));
            }
            return None;
        };
        for n in numbers {
            if !(0.0..=LONGEST).contains(&n) {
                let message = format!("`{key}` has {n} minutes in it");
                let hint = "write minutes, 0 to 480";
                self.push(Diagnostic::error("minutes", message).at(key).help(hint));
                return None;
            }
        }
        Some(Minutes { session, each })
    }
}
