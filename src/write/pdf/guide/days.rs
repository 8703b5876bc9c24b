//! The plan by day of an edition, and what it costs. All of it is an estimate and says so.

use super::Told;
use crate::estimate::{DayLine, Estimate, Money, Stretch, day_lines, in_hours, stretches};
use crate::write::pdf::flow::Flow;

/// Rows of a plan at the most: what comes after is told in a sentence (our choice: two pages).
const MOST_ROWS: usize = 70;
/// So much of the table stands below its words on their page, mm (our choice: six rows).
const FIRST_ROWS: f64 = 42.0;
const TITLE: &str = "The plan by day";

/// The plan of an edition.
pub(super) fn days(flow: &mut Flow<'_>, told: &Told<'_>) {
    if let Some(estimate) = told.estimate.filter(|e| e.boxes > 1) {
        plan(flow, told, estimate);
    }
}

/// What all boxes cost, where the job has prices for that.
pub(super) fn costs(flow: &mut Flow<'_>, told: &Told<'_>) {
    if let Some(estimate) = told.estimate
        && let Some(money) = &estimate.money
    {
        cost_table(flow, estimate, money);
    }
}

fn plan(flow: &mut Flow<'_>, told: &Told<'_>, estimate: &Estimate) {
    let work = &told.job.work;
    let hours = in_hours(estimate.hours.minutes());
    let machines = match estimate.hours.run_minutes {
        run if run > 0.0 => format!(", {} of it beside machines that run", in_hours(run)),
        _ => String::new(),
    };
    let a_box = in_hours(estimate.minutes_a_box());
    let Some(plan) = &estimate.plan else {
        flow.title(TITLE);
        flow.text(&format!(
            "About {hours} of work{machines}, {a_box} a box: more than is planned by days. Estimated {}.",
            estimate.origin()
        ));
        return;
    };
    let others = if plan.others_from.is_some() { "the others " } else { "" };
    let mut words = vec![format!(
        "About {hours} of work{machines}, {a_box} a box: {} days of {} h for {} boxes, from the first glue on {others}{} at a time.",
        plan.days,
        figure(work.hours),
        estimate.boxes,
        plan.batch
    )];
    if let Some(day) = plan.others_from {
        words.push(format!(
            "Box 1 is made whole first: the sheets with its pieces are cut, it is dried, and tried with its works in it. Only \
             then the others are begun, on day {day}; where box 1 shows that something is to be changed, change the job and \
             export again."
        ));
    }
    words.push(format!(
        "An estimate, {}. It is for one pair of hands; {} boxes lie in the press at one time, {} h once covered and {} h once \
         lined, nights included. Where time is left on a day, boxes are drying.",
        estimate.origin(),
        work.press,
        figure(work.dry_covered),
        figure(work.dry_lined)
    ));
    let all = stretches(plan);
    let mut rows = Vec::new();
    let mut last_told = 0;
    for stretch in &all {
        let more = rows_of(estimate, stretch);
        if rows.len() + more.len() > MOST_ROWS && !rows.is_empty() {
            break;
        }
        rows.extend(more);
        last_told = stretch.last.last().and_then(|d| d.first()).map_or(0, |e| e.day);
    }
    // The words stay with the table, or with its first rows.
    let (heads, shares) = (["day", "what", "boxes", "time"], [2.1, 7.2, 2.6, 1.5]);
    flow.need(flow.titled_height(&words) + flow.table_height(&heads, &shares, &rows).min(FIRST_ROWS));
    flow.title(TITLE);
    words.iter().for_each(|w| flow.text(w));
    flow.table(&heads, &shares, &rows);
    if last_told < plan.days {
        flow.text(&format!(
            "So it goes on until day {}: a batch that is dry is lined before the next is covered.",
            plan.days
        ));
    }
    if told.first_copy == 1 && plan.others_from.is_none() {
        flow.note("Make the first box whole before you cut the others, as step 1 says: it takes its own nights under weight, which are not in this plan unless the job has first_article = true under [work].");
    }
}

/// The rows of days that are alike, told the first time.
fn rows_of(estimate: &Estimate, stretch: &Stretch<'_>) -> Vec<Vec<String>> {
    let mut rows = Vec::new();
    for (first, last) in stretch.days.iter().zip(&stretch.last) {
        let (lines, ends) = (day_lines(estimate, first), day_lines(estimate, last));
        let number = first.first().map_or(0, |e| e.day);
        for (n, (line, end)) in lines.iter().zip(&ends).enumerate() {
            let day = match n {
                0 => days_of(stretch, number),
                _ => String::new(),
            };
            rows.push(vec![day, line.what.clone(), numbers(line, end), in_hours(line.minutes)]);
        }
    }
    rows
}

/// Which days a day of a stretch stands for.
fn days_of(stretch: &Stretch<'_>, day: u32) -> String {
    let number = |days: &[&[crate::estimate::Entry]]| days.first().and_then(|d| d.first()).map_or(0, |e| e.day);
    let (first, last) = (number(&stretch.days), number(&stretch.last));
    match (last - first).checked_div(stretch.times - 1) {
        None => day.to_string(),
        Some(1) => format!("{day} to {}", day + last - first),
        Some(apart) => format!("{day}, {}, ... {}", day + apart, day + last - first),
    }
}

/// Which boxes or sheets, the first time and the last.
fn numbers(first: &DayLine, last: &DayLine) -> String {
    let of = |line: &DayLine| match line.of {
        (a, b) if a == b => a.to_string(),
        (a, b) => format!("{a} to {b}"),
    };
    let what = match (first.is_sheets, first.of.0 == first.of.1) {
        (true, true) => "sheet ",
        (true, false) => "sheets ",
        (false, _) => "",
    };
    if first.of == last.of { format!("{what}{}", of(first)) } else { format!("{what}{} ... {}", of(first), of(last)) }
}

fn cost_table(flow: &mut Flow<'_>, estimate: &Estimate, money: &Money) {
    // Its table stays whole.
    flow.need(6.2 * (money.lines.len() + 5) as f64);
    flow.heading("What it costs");
    let boxes = f64::from(estimate.boxes.max(1));
    let is_edition = estimate.boxes > 1;
    let cell = |v: Option<f64>| v.map_or("no price".into(), |v| format!("{v:.2}"));
    let row = |what: &str, amount: String, cost: Option<f64>| {
        let mut row = vec![what.to_owned(), amount, cell(cost)];
        if is_edition {
            row.push(cost.map_or(String::new(), |c| format!("{:.2}", c / boxes)));
        }
        row
    };
    let mut rows: Vec<Vec<String>> = money
        .lines
        .iter()
        .map(|l| {
            let places = match l.unit.as_str() {
                "sheets" | "pieces" => 0,
                "kg" => 2,
                _ => 1,
            };
            let is_one = (l.amount - 1.0).abs() < 1e-9;
            let unit = l.unit.strip_suffix('s').filter(|_| is_one).unwrap_or(&l.unit);
            row(&l.what, format!("{:.places$} {unit}", l.amount), l.cost)
        })
        .collect();
    rows.push(row("in all", String::new(), money.in_all));
    let (heads, shares): (&[&str], &[f64]) = match is_edition {
        true => (&["what", "how much", "cost", "a box"], &[2.0, 2.0, 1.5, 1.5]),
        false => (&["what", "how much", "cost"], &[2.0, 2.0, 1.5]),
    };
    flow.table(heads, shares, &rows);
    let missing = money.unpriced();
    if !missing.is_empty() {
        let known = money.known();
        flow.text(&format!("Without {}, whose price is not given: {known:.2}.", crate::diag::listed(&missing)));
    }
    flow.note("Whole sheets; hours are an estimate. In the currency of the job's own prices.");
}

/// A number as it was written.
fn figure(n: f64) -> String {
    crate::units::decimal(n, 2)
}
