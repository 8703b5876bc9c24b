//! What is wrong with the rows of a list, told by its causes: whatever is of one code and key is one, with
//! the worst of it and how many rows have it.

use super::problem::Problem;
use crate::diag::{Level, hidden_notes};
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// Causes that are shown; all problems are in the file.
const SHOWN: usize = 40;
/// Runs of rows that are named.
const RUNS: usize = 10;

/// One cause.
pub(super) struct Cause {
    /// Where it was met first.
    pub(super) first: Problem,
    /// Where it is worst.
    pub(super) worst: Problem,
    /// In how many rows, or sheets and lots, it is.
    pub(super) count: usize,
    /// Where it was met last.
    last: (Option<u64>, Option<String>),
    /// The rows, each run by its ends.
    rows: Vec<(u64, u64)>,
}

/// All causes of a list, as they were met.
#[derive(Default)]
pub(super) struct Causes {
    all: Vec<Cause>,
    by_kind: BTreeMap<Kind, usize>,
}

/// What problems of one cause have in common: code, key or words, column, and whether it is of rows. What is an
/// error in one row and a warning in another is of one cause.
type Kind = (String, String, Option<String>, bool);

fn kind(p: &Problem) -> Kind {
    (p.code.clone(), p.cause(), p.column.clone(), p.row.is_some())
}

/// How grave a problem is, the gravest last.
fn rank(severity: &str) -> usize {
    ["hint", "warning", "error"].iter().position(|word| *word == severity).unwrap_or_default()
}

impl Causes {
    pub(super) fn add(&mut self, problem: &Problem) {
        let kind = kind(problem);
        // What is told of is bounded, whatever the list.
        let room = if problem.is_error() { 8 * SHOWN } else { 4 * SHOWN };
        if let Some(at) = self.by_kind.get(&kind) {
            self.all[*at].add(problem);
        } else if self.all.len() < room {
            self.by_kind.insert(kind, self.all.len());
            self.all.push(Cause::new(problem));
        }
    }

    /// Those of a gravity.
    fn of<'c>(&'c self, word: &'c str) -> impl Iterator<Item = &'c Cause> {
        self.all.iter().filter(move |c| c.worst.severity == word)
    }

    /// Those that are shown at a level, the gravest last; errors have the first claim.
    pub(super) fn shown(&self, level: Level) -> Vec<&Cause> {
        let words: &[&str] = match level {
            Level::Errors => &["error"],
            Level::Usual => &["error", "warning"],
            Level::All => &["error", "warning", "hint"],
        };
        let kept: Vec<Vec<&Cause>> = words
            .iter()
            .scan(SHOWN, |left, word| {
                let of: Vec<&Cause> = self.of(word).take(*left).collect();
                *left -= of.len();
                Some(of)
            })
            .collect();
        kept.into_iter().rev().flatten().collect()
    }

    /// The same for programs: the gravest first.
    pub(super) fn as_json(&self) -> Value {
        let (errors, others): (Vec<&Cause>, Vec<&Cause>) =
            self.shown(Level::Usual).into_iter().partition(|c| c.worst.is_error());
        let one = |c: &Cause| json!({"first": c.first, "worst": c.worst, "others": c.count - 1});
        errors.into_iter().chain(others).map(one).collect()
    }

    /// What is said of them on the terminal.
    pub(super) fn text(&self, list: &str, level: Level) -> String {
        let hints: usize = self.of("hint").map(|c| c.count).sum();
        let mut text = String::new();
        if level == Level::Usual && hints > 0 {
            text.push_str(&format!("{}\n", hidden_notes(hints)));
        }
        let shown = self.shown(level);
        shown.iter().for_each(|cause| text.push_str(&cause.show(list)));
        if level != Level::Errors && self.of("error").chain(self.of("warning")).count() > shown.len() {
            text.push_str("more of other kinds: see batch.json and the notes in batch.csv\n");
        }
        text
    }
}

impl Cause {
    fn new(problem: &Problem) -> Self {
        let (first, worst) = (problem.clone(), problem.clone());
        let mut cause = Self { first, worst, count: 0, last: (None, None), rows: Vec::new() };
        cause.count(problem);
        cause
    }

    fn add(&mut self, problem: &Problem) {
        let grave = |p: &Problem| (rank(&p.severity), p.weight);
        if grave(problem) > grave(&self.worst) {
            self.worst = problem.clone();
        }
        self.count(problem);
    }

    /// Several pieces of one row, or of one sheet, are one.
    fn count(&mut self, problem: &Problem) {
        let at = (problem.row, problem.place.clone().filter(|_| problem.row.is_none()));
        if self.count > 0 && at == self.last {
            return;
        }
        self.count += 1;
        self.last = at;
        if let Some(row) = problem.row {
            match self.rows.last_mut() {
                Some((_, end)) if *end + 1 == row => *end = row,
                _ => self.rows.push((row, row)),
            }
        }
    }

    /// As a person reads it.
    fn show(&self, list: &str) -> String {
        let worst = &self.worst;
        let of_rows = worst.row.is_some();
        let said = match (self.count, worst.words()) {
            (1, _) => worst.line(list, ""),
            (n, Some(words)) => {
                let many = format!("{n} {}", if of_rows { "rows" } else { "places" });
                let at = match worst.row {
                    Some(row) => format!("row {row}, {}", worst.id),
                    None => worst.place.clone().unwrap_or_default(),
                };
                format!("{}: {list}: {} ({at})\n", worst.word(), words.of(&many))
            }
            (n, None) => {
                let (one, several) = if of_rows { ("row", "rows") } else { ("place", "places") };
                let more = match (worst.weight, n) {
                    (Some(_), _) => format!(" (the worst of {n} {several})"),
                    (_, 2) => format!(" (and in one more {one})"),
                    _ => format!(" (and in {} more {several})", n - 1),
                };
                worst.line(list, &more)
            }
        };
        let help = worst.hint.as_ref().map_or(String::new(), |h| format!("  help: {h}\n"));
        format!("{said}{}{help}", self.where_else())
    }

    /// The rows of a cause that is in several.
    fn where_else(&self) -> String {
        if self.count < 2 || self.rows.is_empty() {
            return String::new();
        }
        let run = |(a, b): &(u64, u64)| match b - a {
            0 => a.to_string(),
            1 => format!("{a}, {b}"),
            _ => format!("{a} to {b}"),
        };
        let told: Vec<String> = self.rows.iter().take(RUNS).map(run).collect();
        let more: u64 = self.rows.iter().skip(RUNS).map(|(a, b)| b - a + 1).sum();
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        format!("  rows: {}{more}\n", told.join(", "))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::Words;

    #[test]
    fn rows_of_one_cause_are_told_once_with_the_worst() {
        let mut causes = Causes::default();
        for (row, mm) in [(2, 400.0), (3, 866.0), (3, 410.0), (4, 500.0), (9, 500.0)] {
            let mut p = Problem::new(row, &format!("TH-{row:03}"), None, "piece-too-large", format!("{mm} mm"));
            p.key = Some("liner.sheet".into());
            p.weight = Some(mm);
            let worst = format!("the largest needs {mm} mm");
            p.words = Some(Words { common: "the liner's sheet is too small for {}".into(), worst });
            causes.add(&p);
        }
        causes.add(&Problem::new(5, "TH-005", Some("copies"), "wrong-kind", "`copies` must be a whole number"));
        let mut note = Problem::new(7, "TH-007", None, "short-top-lid", "it reaches 40 %");
        note.severity = "hint".into();
        causes.add(&note);
        for (row, severity) in [(11, "warning"), (12, "error"), (13, "warning")] {
            let mut p = Problem::new(row, "", None, "another-unit", format!("it is {row} mm"));
            p.severity = severity.into();
            causes.add(&p);
        }
        assert_eq!(
            causes.text("list.csv", Level::Usual),
            "1 note: -v shows it\n\
             error: list.csv: the liner's sheet is too small for 4 rows; the largest needs 866 mm (row 3, TH-003)\n  \
             rows: 2 to 4, 9\n\
             error: list.csv row 5 (TH-005), column copies: `copies` must be a whole number\n\
             error: list.csv row 12: it is 12 mm (and in 2 more rows)\n  rows: 11 to 13\n"
        );
        assert!(causes.text("list.csv", Level::All).starts_with("note: list.csv row 7"));
    }
}
