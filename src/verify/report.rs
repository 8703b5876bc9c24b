//! The proof as a person reads it and as JSON.

use super::compare::Comparison;
use super::left::Remains;
use super::{Finding, Folder, ProgramProof};
use crate::diag::{Level, Severity, hidden_notes, in_unit, number, word};
use crate::geom::{Bounds, Point};
use crate::units::{Unit, decimal, tidy};
use serde_json::{Value, json};
use std::fmt::Write as _;

/// The verdict in a sentence, a table of the programs, then what was found: errors last, nearest to the
/// prompt, and what to do next. On [`Level::Errors`] the errors alone.
pub fn text(folder: &Folder, level: Level) -> String {
    let findings: Vec<&Finding> = folder.all().collect();
    if level == Level::Errors {
        return findings.iter().filter(|f| f.is_error()).map(|f| one(f, folder.unit)).collect();
    }
    let mut text = String::new();
    let title = if folder.title.is_empty() { "the folder" } else { &folder.title };
    let _ = writeln!(text, "{title}: {}\n", verdict(folder));
    text.push_str(&programs(folder));
    let found = found(&findings, folder.unit, level);
    if !found.is_empty() && !text.ends_with("\n\n") {
        text.push('\n');
    }
    text.push_str(&found);
    if let Some(next) = next(&findings) {
        let _ = writeln!(text, "Do next: {}.", in_unit(&next, folder.unit));
    }
    text
}

/// What was found, gravest last.
fn found(findings: &[&Finding], unit: Unit, level: Level) -> String {
    let mut text = String::new();
    let of = |severity: Severity| findings.iter().filter(move |f| f.severity == severity);
    let hints = of(Severity::Hint).count();
    if level == Level::All {
        of(Severity::Hint).for_each(|f| text.push_str(&one(f, unit)));
    } else if hints > 0 {
        let _ = writeln!(text, "{}", hidden_notes(hints));
    }
    [Severity::Warning, Severity::Error].into_iter().flat_map(of).for_each(|f| text.push_str(&one(f, unit)));
    text
}

/// What the programs do, and leave.
fn programs(folder: &Folder) -> String {
    let mut text = String::new();
    let cutting: Vec<&ProgramProof> =
        folder.programs.iter().filter(|p| p.comparison.as_ref().is_some_and(|c| c.compared > 0.0)).collect();
    if !cutting.is_empty() {
        text.push_str(&table(&cutting, folder.unit));
        let all = match folder.unit {
            Unit::Mm => "All in mm; X and Y as the program itself counts them.",
            Unit::Inch => "All in inches; X and Y as the program itself counts them.",
        };
        let _ = writeln!(
            text,
            "{all} Largest: how far a cut lies off its nominal line at most; mean: over all its length."
        );
        let notes: Vec<String> = cutting.iter().flat_map(|p| notes(p)).collect();
        if !notes.is_empty() {
            text.push_str("\nWhat the tools leave besides\n");
            notes.iter().for_each(|n| {
                let _ = writeln!(text, "  {}", in_unit(n, folder.unit));
            });
        }
    }
    for p in &folder.programs {
        if let Some(left) = &p.left {
            text.push_str(&leaves(p, left));
        }
    }
    text
}

/// A place on the bed as a program counts it.
fn shown(p: &ProgramProof, on_bed: Point) -> String {
    p.coordinates.shown(on_bed).map_or_else(|| "an unknown place".to_owned(), |s| s.to_string())
}

/// How many parts are told one by one.
const TOLD: usize = 20;

/// What a program that was not compared would leave.
fn leaves(p: &ProgramProof, left: &Remains) -> String {
    let mut text = format!("What {} would leave\n", p.file);
    if left.bounds.is_empty() {
        text.push_str("  the stock untouched: no tool works\n");
        return text;
    }
    let metres = |mm: f64| decimal(mm / 1000.0, 2);
    let b = left.bounds;
    let one = |v: f64| decimal(v, 1);
    let _ = writeln!(text, "  works from {} to {}", shown(p, b.min), shown(p, b.max));
    let _ = writeln!(
        text,
        "  cuts {} m right through and works {} m less deep, each pass counted",
        metres(left.through),
        metres(left.partly)
    );
    if p.used.deepest > 0.0 {
        let _ = writeln!(text, "  goes {} mm below the top at the deepest", decimal(p.used.deepest, 2));
    }
    if left.too_many {
        text.push_str("  too many stretches to see which parts come free\n");
        return text;
    }
    let (parts, openings) = (left.parts.iter().filter(|p| p.within % 2 == 0).count(), left.parts.len());
    let openings = openings - parts;
    let come = if parts == 1 { "comes" } else { "come" };
    let with = if openings > 0 { format!(", with {} in them", counted(openings, "opening")) } else { String::new() };
    let _ = writeln!(text, "  {} {come} free{with}", counted(parts, "part"));
    for part in left.parts.iter().take(TOLD) {
        let b = part.bounds;
        let what = if part.within % 2 == 0 { "part" } else { "opening" };
        let _ = writeln!(
            text,
            "    {what:7}  {} x {} mm, {} cm2, from {}",
            one(b.width()),
            one(b.height()),
            one(part.area / 100.0),
            shown(p, b.min)
        );
    }
    if left.parts.len() > TOLD {
        let _ = writeln!(text, "    and {} more", left.parts.len() - TOLD);
    }
    text
}

/// In words, whether the folder can be trusted.
pub fn verdict(folder: &Folder) -> String {
    let errors = folder.all().filter(|f| f.is_error()).count();
    let programs = folder.programs.len();
    match errors {
        0 if !folder.unproved.is_empty() => {
            format!("nothing wrong found; NOT proved in all, for not kept were {}", unproved(folder))
        }
        0 if !folder.is_compared() => {
            "nothing wrong found in how the machine is used; what is cut was compared with nothing (name a drawing with --sheet)".to_owned()
        }
        0 => format!(
            "proved; {} and {} do what was asked",
            counted(programs, "program"),
            counted(folder.drawings, "drawing")
        ),
        n => format!("NOT proved; {}: do not cut with it", counted(n, "finding")),
    }
}

/// What was not kept and could not be proved, each with the number of folders where that is more than one.
fn unproved(folder: &Folder) -> String {
    let one = |(word, n): (&String, &usize)| {
        let what = match word.as_str() {
            "pieces" => "the pieces, so that nothing was held against them",
            _ => "the drawings, so that none was proved",
        };
        if *n == 1 { what.to_owned() } else { format!("{what} (in {n} folders)") }
    };
    folder.unproved.iter().map(one).collect::<Vec<_>>().join("; ")
}

fn counted(n: usize, one: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {one}s") }
}

/// What to do about the first thing that is wrong.
fn next(findings: &[&Finding]) -> Option<String> {
    // What lists add up from the programs is mended with them.
    let is_list = |f: &Finding| f.file.ends_with(".csv") || f.file.starts_with("cut-list");
    let errors = || findings.iter().filter(|f| f.is_error());
    let first = errors().find(|f| !is_list(f)).or_else(|| errors().next())?;
    let hint = first.hint.as_deref().unwrap_or("export the folder again");
    let others = findings.iter().filter(|f| f.is_error() && f.file != first.file).count();
    let rest = if others > 0 { "; then see to the other files" } else { "" };
    Some(format!("{} ({hint}){rest}; run nothing of it until `flapwright verify` finds nothing", first.file))
}

fn one(f: &Finding, unit: Unit) -> String {
    let severity = match f.severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Hint => "note",
    };
    let line = f.line.map_or(String::new(), |l| format!(":{l}"));
    let hint = f.hint.as_ref().map_or(String::new(), |h| format!("\n  = help: {}", in_unit(h, unit)));
    let besides: Vec<String> = f.besides.iter().map(|(code, n)| format!("{n} {code}")).collect();
    let besides =
        if besides.is_empty() { String::new() } else { format!("\n  = what follows from it: {}", besides.join(", ")) };
    let place = f.shown.map_or(String::new(), |s| format!(" at {s}"));
    format!("{severity}[{}]: {}\n --> {}{line}{place}{besides}{hint}\n", f.code, in_unit(&f.message, unit), f.file)
}

fn table(programs: &[&ProgramProof], unit: Unit) -> String {
    let head = ["program", "largest", "at", "mean", "uncut", "deepest", "travel", "bridges"].map(String::from);
    let mut rows = vec![head.to_vec()];
    for p in programs {
        let Some(c) = &p.comparison else { continue };
        let (largest, at) = c
            .deviation
            .as_ref()
            .map_or((String::from("-"), String::new()), |w| (number(w.value, unit, 3), shown(p, w.place)));
        let travel = p.used.lowest_travel;
        rows.push(vec![
            p.file.clone(),
            largest,
            at,
            number(c.mean, unit, 4),
            number(c.uncut, unit, 2),
            if p.used.deepest > 0.0 { number(p.used.deepest, unit, 2) } else { "-".into() },
            if travel.is_finite() { number(travel, unit, 1) } else { "-".into() },
            c.bridges.to_string(),
        ]);
    }
    let width = |c: usize| rows.iter().filter_map(|r| r.get(c)).map(|s| s.chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..8).map(width).collect();
    rows.iter().fold(String::new(), |mut text, row| {
        let cells: Vec<String> = row.iter().zip(&widths).map(|(c, w)| format!("{c:<w$}")).collect();
        let _ = writeln!(text, "  {}", cells.join("  ").trim_end());
        text
    })
}

/// What a tool cannot do otherwise.
fn notes(p: &ProgramProof) -> Vec<String> {
    let Some(c) = &p.comparison else { return Vec::new() };
    let mut notes = Vec::new();
    if let Some(w) = &c.area {
        notes.push(format!(
            "{}: by the areas swept {} within {} mm all round of the size asked",
            p.file,
            if c.swept == 1 { "1 piece is".to_owned() } else { format!("{} pieces are", c.swept) },
            decimal(w.value.max(0.001), 3)
        ));
    }
    if let Some(w) = &c.rounded {
        notes.push(format!("{}: inner corners stay round, {} mm at most ({})", p.file, decimal(w.value, 2), w.of));
    }
    if let Some(w) = &c.overcut {
        notes.push(format!(
            "{}: the slanted blade overcuts the top face by {} mm at most, in {}, at {}",
            p.file,
            decimal(w.value, 2),
            w.of,
            shown(p, w.place)
        ));
    }
    if p.arc_stray > 0.02 {
        notes.push(format!(
            "{}: on its tightest arc the blade's edge strays {} mm in the top face",
            p.file,
            decimal(p.arc_stray, 2)
        ));
    }
    if c.uncut_below > 0.05 {
        notes.push(format!("{}: {} mm stay uncut at the bottom before corners", p.file, decimal(c.uncut_below, 1)));
    }
    notes
}

/// The whole proof for other programs. Lengths are mm. `x` and `y` of a finding, of `largest`, `rounded`,
/// `overcut` and `area` and the rectangles of `left` (left, lower, right, upper edge) lie on the bed as one
/// stands before it, from its lower left corner, whatever the machine counts from; those of a drawing's
/// finding on its sheet. Beside each `x` and `y` stands `at`: the same place in the file's own coordinates,
/// `{"x": .., "y": .., "unit": "mm"}`, with the unit `mm`, `in` or (of a plot) `steps`. Both are null where a
/// finding has no place.
pub fn to_json(folder: &Folder) -> Value {
    let finding = |f: &Finding| {
        json!({
            "severity": match f.severity {
                Severity::Error => "error",
                Severity::Warning => "warning",
                Severity::Hint => "hint",
            },
            "code": f.code,
            "file": f.file,
            "line": f.line,
            "x": f.place.map(|p| tidy(p.x, 4)).filter(|v| v.is_finite()),
            "y": f.place.map(|p| tidy(p.y, 4)).filter(|v| v.is_finite()),
            "at": f.shown,
            "piece": f.piece,
            "message": f.message,
            "hint": f.hint,
            "besides": f.besides.iter().map(|(code, n)| json!({"code": code, "count": n})).collect::<Vec<_>>(),
        })
    };
    json!({
        "format": 1,
        "title": folder.title,
        "unit": word(folder.unit),
        "proved": folder.is_good() && folder.is_compared(),
        "verdict": verdict(folder),
        "drawings": folder.drawings,
        "not_kept": folder.left_out.iter().map(|(what, n)| json!({"what": what, "folders": n})).collect::<Vec<_>>(),
        "programs": folder.programs.iter().map(program).collect::<Vec<_>>(),
        "findings": folder.all().map(finding).collect::<Vec<_>>(),
    })
}

fn program(p: &ProgramProof) -> Value {
    let figures = |c: &Comparison| {
        let worst = |w: &Option<super::compare::Worst>| {
            w.as_ref().map(|w| {
                json!({
                    "mm": tidy(w.value, 4),
                    "x": tidy(w.place.x, 3),
                    "y": tidy(w.place.y, 3),
                    "at": p.coordinates.shown(w.place),
                    "of": w.of,
                })
            })
        };
        json!({
            "largest": worst(&c.deviation),
            "mean": tidy(c.mean, 5),
            "compared": tidy(c.compared, 1),
            "uncut": tidy(c.uncut, 3),
            "uncut_below": tidy(c.uncut_below, 3),
            "rounded": worst(&c.rounded),
            "overcut": worst(&c.overcut),
            "bridges": c.bridges,
            "pocket_depth": c.pocket_depth.map(|(a, b)| [tidy(a, 4), tidy(b, 4)]),
            "ridge": tidy(c.ridge, 3),
            "swept": c.swept,
            "area": worst(&c.area),
            "in_waste": tidy(c.in_waste, 1),
        })
    };
    json!({
        "file": p.file,
        "proved": p.is_good() && p.comparison.is_some(),
        "moves": p.used.moves,
        "worked": tidy(p.worked, 1),
        "deepest": tidy(p.used.deepest, 4),
        "lowest_travel": if p.used.lowest_travel.is_finite() { Some(tidy(p.used.lowest_travel, 4)) } else { None },
        "heading": tidy(p.used.heading, 4),
        "arc_stray": tidy(p.arc_stray, 4),
        "comparison": p.comparison.as_ref().map(figures),
        "left": p.left.as_ref().map(|l| json!({
            "bounds": (!l.bounds.is_empty()).then(|| rectangle(&l.bounds)),
            "through": tidy(l.through, 1),
            "partly": tidy(l.partly, 1),
            "parts": l.parts.iter().map(|p| json!({
                "opening": p.within % 2 == 1,
                "bounds": rectangle(&p.bounds),
                "area": tidy(p.area, 1),
            })).collect::<Vec<_>>(),
            "too_many": l.too_many,
        })),
    })
}

fn rectangle(b: &Bounds) -> [f64; 4] {
    [tidy(b.min.x, 3), tidy(b.min.y, 3), tidy(b.max.x, 3), tidy(b.max.y, 3)]
}
