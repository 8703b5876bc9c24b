//! What the boxes of a lot take of time and money, an estimate: each row's share, and all of it.

use super::item::{Item, Made};
use crate::estimate::{Asked, Hours, Line, Money, Run, beside_machines, hours_among_others, money_besides_sheets};
use crate::write::cost::Takes;
use crate::write::work::WorkTakes;

/// What a row takes besides sheets.
#[derive(Clone, Debug)]
pub(super) struct ItemWork {
    pub(super) hours: Hours,
    /// `None` where its job has no price but those of its stocks.
    pub(super) money: Option<Money>,
}

/// What each row takes: by hand among the others of the lot, and of the minutes beside machines as much as of their run.
/// `seconds` are the rows' shares of that.
pub(super) fn of_items(items: &[Item], seconds: &[Option<f64>], runs: &[Run]) -> Vec<Option<ItemWork>> {
    let boxes: u32 = items.iter().filter_map(|i| i.made.as_ref()).map(|m| m.job.copies).sum();
    let all: f64 = seconds.iter().flatten().sum();
    let of = |(item, seconds): (&Item, &Option<f64>)| {
        let made = item.made.as_ref()?;
        let asked = asked(made, runs);
        let mut hours = hours_among_others(&asked, boxes);
        if let Some(seconds) = seconds.filter(|_| all > 0.0) {
            hours.run_minutes = seconds / 60.0;
            hours.by_hand_minutes += beside_machines(&asked) * seconds / all;
        }
        let money = money_besides_sheets(&asked, &hours);
        Some(ItemWork { hours, money })
    };
    items.iter().zip(seconds).map(of).collect()
}

fn asked<'a>(made: &'a Made, runs: &'a [Run]) -> Asked<'a> {
    Asked {
        job: &made.job,
        design: &made.design,
        strap: made.fit.strap.as_ref(),
        ties: &made.fit.ties,
        glue_m2: made.bill.glue_m2,
        boxes: made.job.copies,
        first: 1,
        sheets: &[],
        runs,
    }
}

/// With what all rows take besides sheets.
pub(super) fn with_work(takes: Takes, items: &[Option<ItemWork>]) -> Takes {
    let mut all: Option<WorkTakes> = None;
    for item in items.iter().flatten() {
        let work = WorkTakes::new(&item.hours, item.money.clone());
        match &mut all {
            Some(all) => all.add(&work),
            None => all = Some(work),
        }
    }
    let Some(mut all) = all else { return takes };
    if let Some(money) = &mut all.money {
        let sheets = takes.stocks.iter().map(|s| Line {
            what: s.stock.word().into(),
            amount: f64::from(s.sheets),
            unit: "sheets".into(),
            cost: s.cost,
        });
        let mut whole = Money::of(sheets.collect());
        whole.add(money);
        *money = whole;
    }
    takes.with(all)
}
