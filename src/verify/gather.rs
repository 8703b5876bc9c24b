//! One cause, one finding: what follows from it is counted under it.
//!
//! A line of a program that runs wrong is told by everything that it spoils: the line that stays
//! uncut, the part that comes out larger, a bridge too many. A finding of the program's own line is
//! the cause; what it does to the pieces, told of the same line, and what of the same piece names no line
//! and is known to follow, are counted with it.

use super::Finding;

/// What a move in the wrong place does to the pieces, told of the same line of a program as what is
/// wrong with the move. What harms the machine or the hand always stands alone.
const DONE: [&str; 5] = ["cut-in-piece", "cut-in-waste", "off-the-line", "pass-too-deep", "direction"];
/// What follows from a cut that is not as it should be, of the same piece.
const FOLLOWS: [&str; 9] = [
    "area",
    "to-one-side",
    "bridges",
    "uncut",
    "line-missing",
    "pass-missing",
    "worked-twice",
    "pocket-floor",
    "pocket-depth",
];

/// What makes everything else in a program wrong with it.
const WHOLE: [&str; 1] = ["other-unit"];

/// The findings of one program, each cause once.
pub(super) fn gather(mut findings: Vec<Finding>) -> Vec<Finding> {
    if let Some(at) = findings.iter().position(|f| WHOLE.contains(&f.code)) {
        let mut cause = findings.remove(at);
        let (errors, others): (Vec<Finding>, Vec<Finding>) = findings.into_iter().partition(Finding::is_error);
        errors.iter().for_each(|f| cause.count(f));
        return std::iter::once(cause).chain(others).collect();
    }
    let mut kept: Vec<Finding> = Vec::with_capacity(findings.len());
    let (lined, rest): (Vec<Finding>, Vec<Finding>) =
        findings.into_iter().partition(|f| f.is_error() && f.line.is_some());
    for f in lined {
        let follows = DONE.contains(&f.code) || FOLLOWS.contains(&f.code);
        match kept.iter_mut().find(|k| follows && k.line == f.line) {
            Some(cause) => cause.count(&f),
            None => kept.push(f),
        }
    }
    for f in rest {
        let is_consequence = f.is_error() && f.line.is_none() && FOLLOWS.contains(&f.code) && f.piece.is_some();
        let cause = kept.iter_mut().find(|k| is_consequence && k.line.is_some() && k.piece == f.piece);
        match cause {
            Some(cause) => cause.count(&f),
            None => kept.push(f),
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_follows_is_counted_under_its_cause_and_another_cause_stands_alone() {
        let found = vec![
            Finding::new("area", "the part is larger").of("wall"),
            Finding::at("uncut", 12, "the outline stays uncut").of("wall"),
            Finding::at("pass-too-deep", 12, "a pass is missing").of("wall"),
            Finding::at("rapid-in-stock", 12, "a rapid at the stock's top"),
            Finding::at("cut-in-piece", 40, "a cut runs where wall is kept").of("wall"),
            Finding::new("area", "the part is smaller").of("base"),
            Finding::new("end-lines", "the end is missing"),
        ];
        let told = gather(found);
        let codes: Vec<&str> = told.iter().map(|f| f.code).collect();
        assert_eq!(codes, ["uncut", "rapid-in-stock", "cut-in-piece", "area", "end-lines"]);
        assert_eq!(told[0].besides, [("pass-too-deep", 1), ("area", 1)]);
        assert!(told[1..].iter().all(|f| f.besides.is_empty()));
    }

    #[test]
    fn a_program_in_another_unit_is_one_finding() {
        let found = vec![
            Finding::new("start-lines", "the first lines are not the profile's"),
            Finding::at("other-unit", 4, "the program is in inches"),
            Finding::at("too-deep", 12, "55 mm deep"),
            Finding::note("hpgl-clamp", "worth knowing"),
        ];
        let told = gather(found);
        let codes: Vec<&str> = told.iter().map(|f| f.code).collect();
        assert_eq!(codes, ["other-unit", "hpgl-clamp"]);
        assert_eq!(told[0].besides, [("start-lines", 1), ("too-deep", 1)]);
    }
}
