//! A saving in words.

use super::trial::Taken;
use super::{Candidate, Change, Saving, sizes};
use crate::diag::Diagnostic;
use crate::job::{Stock, StockKind};
use crate::units::{Length, Unit, decimal};

/// A change of a stock as it is told: what is taken now, and then.
pub(super) fn of_stock(c: &Candidate, kind: StockKind, unit: Unit, boxes: u32, [now, then]: [&Taken; 2]) -> Saving {
    let (now, then) = (now.tidied(), then.tidied());
    let word = kind.word();
    let (key, value, what) = match c.change {
        Change::Gap => ("gap", quoted(unit, c.stock.gap), format!("a gap of {}", unit.show(c.stock.gap))),
        Change::Margin => {
            ("margin", quoted(unit, c.stock.margin), format!("a margin of {}", unit.show(c.stock.margin)))
        }
        _ => ("sheet", sheet(unit, &c.stock), size(c, kind, unit)),
    };
    Saving {
        stock: Some(kind),
        change: c.change,
        key: format!("{word}.{key}"),
        value,
        what,
        sheets: [now.sheets, then.sheets],
        boxes: [boxes; 2],
        area_m2: [now.m2, then.m2],
        cost: now.cost.zip(then.cost).map(<[f64; 2]>::from),
    }
}

fn quoted(unit: Unit, length: Length) -> String {
    format!("\"{}\"", unit.show(length))
}

/// A sheet as the job says it.
fn sheet(unit: Unit, stock: &Stock) -> String {
    let number = |l: Length| match unit {
        Unit::Mm => decimal(l.to_mm(), 2),
        Unit::Inch => decimal(l.to_inch(), 4),
    };
    format!("{{ width = {}, height = {} }}", number(stock.sheet_width), number(stock.sheet_height))
}

/// A size in words.
fn size(c: &Candidate, kind: StockKind, unit: Unit) -> String {
    let (word, s) = (kind.word(), &c.stock);
    let both = || unit.show_size(&[s.sheet_width, s.sheet_height]);
    match c.change {
        Change::Turned => format!("{word} in sheets of {} with the grain along the other side", both()),
        Change::Length => format!("{word} in pieces {} long off the roll", unit.show(sizes::of_roll(s)[1])),
        _ if sizes::is_roll(kind) => {
            let [across, along] = sizes::of_roll(s).map(|l| unit.show(l));
            let least = c.least.map_or(String::new(), |l| format!(" ({} is the least)", unit.show(l)));
            format!("{word} {across} wide{least} in pieces {along} long")
        }
        _ => format!("{word} in sheets of {}", both()),
    }
}

impl Saving {
    /// What it saves: money or, where a price is missing, square metres.
    pub fn saved(&self) -> f64 {
        let [now, then] = self.cost.unwrap_or(self.area_m2);
        now - then
    }

    /// It as a note at its key.
    pub fn note(&self) -> Diagnostic {
        let note = Diagnostic::hint("saves-stock", self.message()).at(self.key.as_str()).help(self.hint());
        note.weighing(self.saved())
    }

    /// What is saved, in a sentence.
    pub fn message(&self) -> String {
        let ([now, then], [_, boxes]) = (self.sheets, self.boxes);
        let Some(stock) = self.stock else { return format!("{}{}", self.what, self.of_each()) };
        let sheets = |n: u32| if n == 1 { "1 sheet".to_owned() } else { format!("{n} sheets") };
        let takes = match then == now {
            true => format!("{} of {} as now, and smaller", sheets(then), stock.word()),
            false => format!("{} of {} in place of {now}", sheets(then), stock.word()),
        };
        let for_all = if boxes == 1 { "" } else { " in all" };
        match (self.cost, self.change) {
            (Some([now, then]), Change::Gap | Change::Margin) => {
                format!("{} saves {:.2}{for_all}: {takes}", self.what, now - then)
            }
            (Some([now, then]), _) => {
                format!("{} saves {:.2}{for_all} at the same price by area: {takes}", self.what, now - then)
            }
            (None, Change::Gap | Change::Margin) => format!("{} takes {takes}", self.what),
            (None, _) => format!("{} takes {takes}, {} less by area", self.what, percent(self.area_m2)),
        }
    }

    /// By how much one box takes less.
    fn of_each(&self) -> String {
        let each = |all: [f64; 2]| [all[0] / f64::from(self.boxes[0].max(1)), all[1] / f64::from(self.boxes[1].max(1))];
        match self.cost.map(each) {
            Some([now, then]) => format!(": {then:.2} of stock a box in place of {now:.2}"),
            None => format!(": {} less stock a box", percent(each(self.area_m2))),
        }
    }

    /// What to do.
    pub fn hint(&self) -> String {
        let (table, key) = self.key.split_once('.').unwrap_or(("", &self.key));
        let write = format!("{key} = {}", self.value);
        match self.change {
            Change::Copies => format!("set {write}"),
            Change::Gap => {
                format!("write {write} under [{table}]; export says so where a machine needs more between two pieces")
            }
            Change::Margin => {
                format!("write {write} under [{table}], if what holds the sheet down takes no more of it")
            }
            _ => {
                let price = if self.cost.is_some() { " with its price" } else { "" };
                format!("write {write}{price} under [{table}], if it is sold so and the bed takes it")
            }
        }
    }
}

fn percent([now, then]: [f64; 2]) -> String {
    let share = if now > 0.0 { (now - then) / now } else { 0.0 };
    format!("{} %", decimal(100.0 * share, 0))
}
