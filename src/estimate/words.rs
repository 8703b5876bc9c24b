//! The work of a day in words.

use super::Estimate;
use super::plan::{Doing, Entry};
use crate::diag::capital;

/// What is done to the same boxes or sheets one after the other on one day.
#[derive(Clone, Debug, PartialEq)]
pub struct DayLine {
    /// What, in words.
    pub what: String,
    /// The first and the last box or sheet, as they are numbered.
    pub of: (u32, u32),
    /// Whether these are sheets.
    pub is_sheets: bool,
    /// All minutes.
    pub minutes: f64,
}

/// What is done on a day, a line for what is done in one go.
pub fn day_lines(estimate: &Estimate, day: &[Entry]) -> Vec<DayLine> {
    let mut lines: Vec<DayLine> = Vec::new();
    let mut is_open = false;
    for entry in day {
        let what = words(estimate, entry);
        let (is_sheets, shift) = match entry.doing {
            Doing::Step(_) => (false, estimate.first.saturating_sub(1)),
            Doing::Run(_) => (true, 0),
        };
        let of = (entry.of.0 + shift, entry.of.1 + shift);
        match lines.last_mut().filter(|l| is_open && !is_sheets && !l.is_sheets && l.of == of) {
            Some(line) => {
                line.what = format!("{}, {what}", line.what);
                line.minutes += entry.minutes();
            }
            None => lines.push(DayLine { what, of, is_sheets, minutes: entry.minutes() }),
        }
        is_open = entry.under_weight.is_none();
    }
    for line in &mut lines {
        line.what = capital(&line.what);
    }
    lines
}

fn words(estimate: &Estimate, entry: &Entry) -> String {
    let what = match &entry.doing {
        Doing::Step(step) => step.words().to_owned(),
        Doing::Run(i) => {
            let side = |run: &super::RunLoad| if run.first_side { ", its other face up," } else { "" };
            let told = |run: &super::RunLoad| format!("run {}{} on {}", run.sheet, side(run), run.machine);
            estimate.runs.get(*i).map_or(String::new(), told)
        }
    };
    let what = if entry.goes_on { format!("go on: {what}") } else { what };
    let Some(until) = entry.under_weight else { return what };
    // Told of many days at once, so that it must not name one.
    let long = match until.day.saturating_sub(entry.day) {
        0 => format!("for {}", in_hours(until.minute - entry.start - entry.minutes())),
        1 => "overnight".to_owned(),
        nights => format!("for {nights} nights"),
    };
    if until.in_press { format!("{what} {long}") } else { format!("{what}, a weight on it {long}") }
}

/// A time as one says an estimate: in minutes up to an hour, in steps of five minutes up to ten hours, then in hours.
pub fn in_hours(minutes: f64) -> String {
    let fives = (minutes / 5.0).round() as u64 * 5;
    match (fives / 60, fives % 60) {
        _ if minutes < 57.5 => format!("{} min", minutes.round()),
        (h, 0) => format!("{h} h"),
        (h, m) if h < 10 => format!("{h} h {m} min"),
        _ => format!("{:.0} h", minutes / 60.0),
    }
}

#[cfg(test)]
mod tests {
    use super::in_hours;

    /// Derived: the rule above.
    #[test]
    fn times_are_told_as_roughly_as_they_are_known() {
        let told = [0.4, 12.3, 57.4, 57.6, 62.0, 63.0, 322.0, 598.0, 640.0].map(in_hours);
        let want = ["0 min", "12 min", "57 min", "1 h", "1 h", "1 h 5 min", "5 h 20 min", "10 h", "11 h"];
        assert_eq!(told, want);
    }
}
