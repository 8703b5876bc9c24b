//! What the boxes take of stock and of machines' time: all of them, and one.

use super::cell::harmless;
use super::manifest::{ProgramFigures, RunKind};
use super::work::WorkTakes;
use crate::design::Piece;
use crate::estimate::{Line, Money, Run};
use crate::job::StockKind;
use crate::nest::Sheet;
use crate::units::{decimal, tidy};
use serde::{Deserialize, Serialize, Serializer};
use std::sync::Arc;

/// What a number of boxes takes.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Takes {
    /// How many boxes.
    pub boxes: u32,
    /// Each stock, board first.
    pub stocks: Vec<StockTakes>,
    /// Each machine, in the order of the programs.
    pub machines: Vec<MachineTakes>,
    /// What the stock costs, in the maker's currency; `None` where a price is missing.
    #[serde(serialize_with = "money")]
    pub cost: Option<f64>,
    /// Time by hand and what is paid for besides, an estimate; `None` where none was made.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub work: Option<WorkTakes>,
}

/// What is taken of one stock.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct StockTakes {
    /// Which.
    pub stock: StockKind,
    /// How many sheets.
    pub sheets: u32,
    /// Their area, square metres.
    #[serde(serialize_with = "area")]
    pub area_m2: f64,
    /// The area of the pieces on them, square metres.
    #[serde(serialize_with = "area")]
    pub used_m2: f64,
    /// The offcuts that can be kept, square metres.
    #[serde(serialize_with = "area")]
    pub offcut_m2: f64,
    /// What the sheets cost; a leftover costs nothing.
    #[serde(serialize_with = "money")]
    pub cost: Option<f64>,
}

impl StockTakes {
    /// The share of the sheets that becomes pieces, 0 to 1.
    pub fn used(&self) -> f64 {
        self.share(self.used_m2)
    }

    /// The share that is left in pieces large enough to keep.
    pub fn kept(&self) -> f64 {
        self.share(self.offcut_m2)
    }

    /// The share that is thrown away: neither cut into pieces nor kept.
    pub fn waste(&self) -> f64 {
        if self.area_m2 > 0.0 { (1.0 - self.used() - self.kept()).max(0.0) } else { 0.0 }
    }

    fn share(&self, area_m2: f64) -> f64 {
        if self.area_m2 > 0.0 { area_m2 / self.area_m2 } else { 0.0 }
    }
}

/// What is taken of one machine's time, changes of tools and sheets aside.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MachineTakes {
    /// Its short name.
    pub machine: String,
    /// Seconds.
    #[serde(serialize_with = "time")]
    pub seconds: f64,
}

const MM2: f64 = 1e-6;

/// What `boxes` boxes take, from all of their sheets and programs; `pieces` are those on the sheets.
pub fn takes(boxes: u32, pieces: &[Piece], sheets: &[Arc<Sheet>], programs: &[ProgramFigures]) -> Takes {
    let mut stocks = Vec::new();
    for stock in StockKind::ALL {
        let of_stock: Vec<&Arc<Sheet>> = sheets.iter().filter(|s| s.stock == stock).collect();
        if of_stock.is_empty() {
            continue;
        }
        let sum = |f: &dyn Fn(&Sheet) -> f64| of_stock.iter().map(|s| f(s) * f64::from(s.count())).sum::<f64>();
        let area = |s: &Sheet| s.width.to_mm() * s.height.to_mm() * MM2;
        stocks.push(StockTakes {
            stock,
            sheets: of_stock.iter().map(|s| s.count()).sum(),
            area_m2: sum(&area),
            used_m2: sum(&|s| s.used(pieces) * area(s)),
            offcut_m2: sum(&|s| s.offcut.map_or(0.0, |o| o.width.to_mm() * o.height.to_mm() * MM2)),
            cost: of_stock.iter().map(|s| s.price.map(|p| p * f64::from(s.count()))).sum(),
        });
    }
    let mut machines: Vec<MachineTakes> = Vec::new();
    for p in programs {
        let seconds = p.seconds * f64::from(p.count);
        match machines.iter_mut().find(|m| m.machine == p.machine) {
            Some(m) => m.seconds += seconds,
            None => machines.push(MachineTakes { machine: p.machine.clone(), seconds }),
        }
    }
    let cost = if stocks.is_empty() { None } else { stocks.iter().map(|s| s.cost).sum() };
    Takes { boxes, stocks, machines, cost, work: None }
}

/// What the programs of these sheets do, for an estimate.
pub fn runs(sheets: &[Arc<Sheet>], programs: &[ProgramFigures]) -> Vec<Run> {
    let run = |p: &ProgramFigures| {
        let sheet = sheets.iter().find(|s| s.id == p.sheet)?;
        Some(Run {
            machine: p.machine.clone(),
            sheet: p.sheet.clone(),
            first_side: p.first_side,
            stock: sheet.stock,
            count: p.count,
            seconds: p.seconds,
            tools: p.tool.split(", ").filter(|t| !t.is_empty()).count().try_into().unwrap_or(u32::MAX),
            operations: p.operations.clone(),
        })
    };
    programs.iter().filter(|p| p.kind == RunKind::Work).filter_map(run).collect()
}

impl Takes {
    /// With what an estimate says of it.
    #[must_use]
    pub fn with(self, work: WorkTakes) -> Self {
        Self { work: Some(work), ..self }
    }

    /// What is paid for besides stock, machines and work: elastic, ribbons, glue.
    pub fn bought(&self) -> impl Iterator<Item = &Line> {
        let lines = self.money().map_or(&[][..], |m| &m.lines);
        lines.iter().filter(|l| matches!(l.unit.as_str(), "m" | "pieces" | "kg"))
    }

    /// The line of what is paid for the hours of machines, or of work.
    pub fn paid_for(&self, what: &str) -> Option<&Line> {
        self.money()?.lines.iter().find(|l| l.unit == "h" && l.what == what)
    }

    /// What all of it costs, where a job asks for that.
    pub fn money(&self) -> Option<&Money> {
        self.work.as_ref()?.money.as_ref()
    }

    /// Both together; a price that one lacks is lacking in the sum.
    pub fn add(&mut self, other: &Self) {
        let is_first = self.boxes == 0 && self.stocks.is_empty();
        self.boxes += other.boxes;
        self.cost = if is_first { other.cost } else { self.cost.zip(other.cost).map(|(a, b)| a + b) };
        for s in &other.stocks {
            match self.stocks.iter_mut().find(|o| o.stock == s.stock) {
                Some(o) => {
                    o.sheets += s.sheets;
                    o.area_m2 += s.area_m2;
                    o.used_m2 += s.used_m2;
                    o.offcut_m2 += s.offcut_m2;
                    o.cost = o.cost.zip(s.cost).map(|(a, b)| a + b);
                }
                None => self.stocks.push(s.clone()),
            }
        }
        self.stocks.sort_by_key(|s| s.stock);
        match (&mut self.work, &other.work) {
            (Some(own), Some(other)) => own.add(other),
            (own, Some(other)) => *own = Some(other.clone()),
            (_, None) => {}
        }
        for m in &other.machines {
            match self.machines.iter_mut().find(|o| o.machine == m.machine) {
                Some(o) => o.seconds += m.seconds,
                None => self.machines.push(m.clone()),
            }
        }
    }

    /// `cost.csv`: a line for each stock, what is bought besides where it has a price, each machine, the work by hand, and
    /// the whole, with the share of one box. The whole costs what all lines with a price cost, or nothing is told of it
    /// where one lacks its own.
    pub fn csv(&self) -> Vec<u8> {
        let mut text = String::from(
            "what,sheets,area_m2,used_m2,offcut_m2,waste_percent,cost,cost_a_box,minutes,minutes_a_box\r\n",
        );
        let boxes = f64::from(self.boxes.max(1));
        let money = |v: Option<f64>| v.map_or(String::new(), |v| decimal(v, 2));
        for s in &self.stocks {
            let row = [
                s.stock.word().to_owned(),
                s.sheets.to_string(),
                decimal(s.area_m2, 4),
                decimal(s.used_m2, 4),
                decimal(s.offcut_m2, 4),
                decimal(s.waste() * 100.0, 1),
                money(s.cost),
                money(s.cost.map(|c| c / boxes)),
            ];
            text.push_str(&format!("{},,\r\n", row.join(",")));
        }
        for line in self.bought() {
            let cost = line.cost;
            text.push_str(&format!("{},,,,,,{},{},,\r\n", line.what, money(cost), money(cost.map(|c| c / boxes))));
        }
        for m in &self.machines {
            let minutes = m.seconds / 60.0;
            text.push_str(&format!(
                "{},,,,,,,,{},{}\r\n",
                harmless(&m.machine),
                decimal(minutes, 1),
                decimal(minutes / boxes, 2)
            ));
        }
        let by_hand = self.work.as_ref().map(|w| w.by_hand_minutes);
        if let Some(minutes) = by_hand {
            let row = ["by hand".to_owned(), decimal(minutes, 1), decimal(minutes / boxes, 2)];
            text.push_str(&format!("{},,,,,,,,{},{}\r\n", row[0], row[1], row[2]));
        }
        for what in ["machines", "work"] {
            if let Some(line) = self.paid_for(what) {
                let cost = [money(line.cost), money(line.cost.map(|c| c / boxes))];
                text.push_str(&format!("{what} by the hour,,,,,,{},{},,\r\n", cost[0], cost[1]));
            }
        }
        let sum = |f: &dyn Fn(&StockTakes) -> f64| self.stocks.iter().map(f).sum::<f64>();
        let all = StockTakes {
            stock: StockKind::Board,
            sheets: self.stocks.iter().map(|s| s.sheets).sum(),
            area_m2: sum(&|s| s.area_m2),
            used_m2: sum(&|s| s.used_m2),
            offcut_m2: sum(&|s| s.offcut_m2),
            cost: self.money().map_or(self.cost, |m| m.in_all),
        };
        let minutes = self.machines.iter().map(|m| m.seconds).sum::<f64>() / 60.0 + by_hand.unwrap_or(0.0);
        let is_timed = !self.machines.is_empty() || by_hand.is_some();
        let timed = |v: f64, places| if is_timed { decimal(v, places) } else { String::new() };
        let row = [
            "all".to_owned(),
            all.sheets.to_string(),
            decimal(all.area_m2, 4),
            decimal(all.used_m2, 4),
            decimal(all.offcut_m2, 4),
            decimal(all.waste() * 100.0, 1),
            money(all.cost),
            money(all.cost.map(|c| c / boxes)),
            timed(minutes, 1),
            timed(minutes / boxes, 2),
        ];
        text.push_str(&format!("{}\r\n", row.join(",")));
        text.into_bytes()
    }
}

fn money<S: Serializer>(value: &Option<f64>, serializer: S) -> Result<S::Ok, S::Error> {
    value.map(|v| tidy(v, 2)).serialize(serializer)
}

fn area<S: Serializer>(value: &f64, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_f64(tidy(*value, 4))
}

fn time<S: Serializer>(value: &f64, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_f64(tidy(*value, 1))
}
