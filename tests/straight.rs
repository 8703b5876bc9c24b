//! Layouts for a straight edge: the numbered cuts are made in the test's own hands, one after the other, and must
//! leave every piece whole and alone, what can be kept in one. Made again by a ruler, from what is told of each cut
//! and nothing else, they must come out alike.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;

use common::dice::Dice;
use common::{block, job, one_of_everything, piece, stock};
use flapwright::design::{Piece, design};
use flapwright::diag::Source;
use flapwright::geom::{Bounds, pt};
use flapwright::job::{self, Division, Grain, Job, StockKind};
use flapwright::nest::{Sheet, nest};
use flapwright::ops::operations;
use flapwright::units::{Unit, inch, mm};
use flapwright::write::svg::svg;
use std::sync::Arc;

/// What a piece keeps of trimmings that are no more than rounding, mm.
const NEAR: f64 = 0.011;

/// 10 to 180 mm.
fn side(dice: &mut Dice) -> f64 {
    10.0 + 170.0 * (dice.next() >> 11) as f64 / (1u64 << 53) as f64
}

/// Cuts a sheet as its numbers say. What comes of it: the parts with the pieces on them; what is wrong.
fn cut(sheet: &Sheet) -> Result<(), String> {
    let whole = Bounds { min: pt(0.0, 0.0), max: pt(sheet.width.to_mm(), sheet.height.to_mm()) };
    let mut parts = vec![whole];
    for (n, c) in (1..).zip(&sheet.cuts) {
        let is_it = |p: &Bounds| p.contains(c.part, 1e-6) && c.part.contains(*p, 1e-6);
        let at = parts.iter().position(is_it).ok_or_else(|| format!("cut {n} is of no part that is there"))?;
        let part = parts.remove(at);
        let (low, high) = if c.is_upright { (part.min.x, part.max.x) } else { (part.min.y, part.max.y) };
        if c.at <= low || c.at >= high {
            return Err(format!("cut {n} misses its part"));
        }
        let goes_through = |b: &Bounds| {
            let (from, to) = if c.is_upright { (b.min.x, b.max.x) } else { (b.min.y, b.max.y) };
            part.overlaps(*b, 1e-6) && from < c.at - 1e-6 && to > c.at + 1e-6
        };
        if sheet.placed.iter().any(|p| goes_through(&p.bounds)) {
            return Err(format!("cut {n} goes through a piece"));
        }
        let (mut before, mut after) = (part, part);
        if c.is_upright {
            (before.max.x, after.min.x) = (c.at, c.at);
        } else {
            (before.max.y, after.min.y) = (c.at, c.at);
        }
        parts.extend([before, after]);
    }
    for p in &sheet.placed {
        let own: Vec<&Bounds> = parts.iter().filter(|b| b.overlaps(p.bounds, 1e-6)).collect();
        let is_whole = own.len() == 1 && own[0].contains(p.bounds, 1e-6) && p.bounds.contains(*own[0], NEAR);
        if !is_whole {
            return Err(format!("a piece of {:?} comes in {own:?}", p.bounds));
        }
    }
    Ok(())
}

/// A cut as a maker reads it below the sheet: its number, how far it is made, from which edge of the part in hand, and
/// whether the offcut is said to come off.
struct Line {
    number: usize,
    far: f64,
    edge: String,
    frees_offcut: bool,
}

/// What is told of a sheet's cuts below its picture.
fn told(sheet: &Sheet, pieces: &[Piece], unit: Unit) -> Vec<Line> {
    let picture = svg(&operations(&Arc::new(sheet.clone()), pieces), "test", unit);
    let picture = String::from_utf8(picture).unwrap();
    let line = |text: &str| {
        let (text, _) = text.split_once("</text")?;
        let (number, rest) = text.split_once(": ")?;
        let (far, rest) = rest.split_once(" from the ")?;
        let (edge, rest) = rest.split_once(" edge")?;
        let number = number.parse().ok()?;
        Some(Line { number, far: read(far), edge: edge.into(), frees_offcut: rest.contains("offcut") })
    };
    picture.split('>').filter_map(line).collect()
}

/// A length off a ruler, mm: what is in brackets is exact, else what stands before them. `9 11/32 in (9.329)`
fn read(text: &str) -> f64 {
    let is_inch = text.contains(" in");
    let figure = match text.split_once('(') {
        Some((_, exact)) => exact.trim_end_matches(')'),
        None => text.trim_end_matches(" mm").trim_end_matches(" in"),
    };
    let part = |word: &str| match word.split_once('/') {
        Some((a, b)) => a.parse::<f64>().unwrap() / b.parse::<f64>().unwrap(),
        None => word.parse::<f64>().unwrap(),
    };
    let sum: f64 = figure.split(' ').map(part).sum();
    if is_inch { inch(sum).to_mm() } else { sum }
}

/// Cuts a sheet by what is told, a ruler held at the edge of the part in hand. `off` is how far a length may be off as
/// it is told. Only which part is in hand is looked up in the drawing.
fn follow(sheet: &Sheet, lines: &[Line], off: f64) -> Result<(), String> {
    let whole = Bounds { min: pt(0.0, 0.0), max: pt(sheet.width.to_mm(), sheet.height.to_mm()) };
    // Each part as it is drawn, as it comes, and how often it was cut to.
    let mut parts = vec![(whole, whole, 1)];
    if lines.len() != sheet.cuts.len() {
        return Err(format!("{} of {} cuts are told", lines.len(), sheet.cuts.len()));
    }
    let offcut = sheet.offcut.map(|o| {
        let min = pt(o.x.to_mm(), o.y.to_mm());
        Bounds { min, max: min + pt(o.width.to_mm(), o.height.to_mm()) }
    });
    for ((n, c), line) in (1..).zip(&sheet.cuts).zip(lines) {
        let is_it = |(p, _, _): &(Bounds, Bounds, usize)| p.contains(c.part, 1e-6) && c.part.contains(*p, 1e-6);
        let at = parts.iter().position(is_it).ok_or_else(|| format!("cut {n} is of no part that is there"))?;
        let (drawn, real, times) = parts.remove(at);
        let (is_upright, to) = match line.edge.as_str() {
            "left" => (true, real.min.x + line.far),
            "right" => (true, real.max.x - line.far),
            "lower" => (false, real.min.y + line.far),
            "upper" => (false, real.max.y - line.far),
            other => return Err(format!("cut {n} is measured from the {other} edge")),
        };
        if line.number != n || is_upright != c.is_upright {
            return Err(format!("cut {n} is told as {} and runs the other way", line.number));
        }
        if (to - c.at).abs() > NEAR + off * times as f64 {
            return Err(format!("cut {n} falls at {to}, and is drawn at {}", c.at));
        }
        let halves = |mut low: Bounds, at: f64| {
            let mut high = low;
            if is_upright {
                (low.max.x, high.min.x) = (at, at);
            } else {
                (low.max.y, high.min.y) = (at, at);
            }
            [low, high]
        };
        let [low, high] = halves(drawn, c.at);
        let [real_low, real_high] = halves(real, to);
        if offcut.is_some_and(|o| {
            line.frees_offcut != (n == 1) || n == 1 && !low.contains(o, 1e-6) && !high.contains(o, 1e-6)
        }) {
            return Err(format!("cut {n}: the offcut does not come off whole, and first"));
        }
        parts.extend([(low, real_low, times + 1), (high, real_high, times + 1)]);
    }
    let as_large =
        |a: Bounds, b: Bounds, by: f64| (a.width() - b.width()).abs() < by && (a.height() - b.height()).abs() < by;
    for p in &sheet.placed {
        let own = parts.iter().find(|(drawn, _, _)| drawn.contains(p.bounds, 1e-6) && p.bounds.contains(*drawn, NEAR));
        let Some((_, real, times)) = own else { return Err(format!("no piece of {:?}", p.bounds)) };
        if !as_large(*real, p.bounds, NEAR + off * *times as f64) {
            return Err(format!("a piece of {:?} comes as {real:?}", p.bounds));
        }
    }
    match offcut {
        Some(o)
            if !parts.iter().any(|(drawn, real, _)| {
                drawn.contains(o, 1e-6) && real.width() > o.width() - off && real.height() > o.height() - off
            }) =>
        {
            Err(format!("the offcut {o:?} is not there in one: {parts:?}"))
        }
        _ => Ok(()),
    }
}

fn try_both(sheet: &Sheet, pieces: &[Piece]) -> Result<(), String> {
    cut(sheet)?;
    // Lengths are told to a tenth of a millimetre, a thousandth of an inch, or a 32nd that is right within 0.025 mm.
    follow(sheet, &told(sheet, pieces, Unit::Mm), 0.051)?;
    follow(sheet, &told(sheet, pieces, Unit::Inch), 0.026)
}

fn straight(pieces: &[Piece], job: &Job) -> Vec<Sheet> {
    let job = Job { layout: Division::StraightCuts, ..job.clone() };
    let (sheets, said) = nest(pieces, &job);
    assert_eq!(said, []);
    for sheet in &sheets {
        assert!(!sheet.cuts.is_empty(), "{} has no cuts", sheet.id);
        try_both(sheet, pieces).unwrap_or_else(|why| panic!("{}: {why}\n{sheet:#?}", sheet.id));
    }
    let placed: usize = sheets.iter().map(|s| s.placed.len()).sum();
    let wanted: u32 = pieces.iter().map(|p| p.needed(job.copies)).sum();
    assert_eq!(placed as u32, wanted);
    sheets
}

#[test]
fn any_pieces_are_taken_apart_by_their_cuts() {
    let mut dice = Dice(20);
    for trial in 0..120u32 {
        let n = 1 + dice.next() % 7;
        let sizes: Vec<(f64, f64)> = (0..n).map(|_| (side(&mut dice), side(&mut dice))).collect();
        let pieces: Vec<Piece> = sizes
            .iter()
            .enumerate()
            .map(|(i, (w, h))| piece(&format!("p{i}"), StockKind::Board, block(pt(0.0, 0.0), *w, *h), Grain::Height))
            .collect();
        let mut board = stock(400.0, 330.0, if trial % 2 == 0 { Grain::Height } else { Grain::None });
        board.gap = mm([0.0, 3.0, 7.5][trial as usize % 3]);
        board.margin = mm([0.0, 6.0][trial as usize % 2]);
        let copies = 1 + trial % 4;
        let mut job = job(copies, board);
        job.layout_effort = 4;
        let sheets = straight(&pieces, &job);
        // No worse than twice what the area alone asks for, and a sheet.
        let area: f64 = sizes.iter().map(|(w, h)| w * h * f64::from(copies)).sum();
        assert!((sheets.len() as f64) < 2.0 * area / (380.0 * 310.0) + 1.5, "{} sheets for {area} mm2", sheets.len());
    }
}

/// Closed form: blocks that tile a sheet in a grid are found whole by straight cuts too.
#[test]
fn what_tiles_a_sheet_takes_one() {
    let mut board = stock(6.0 * 160.0, 4.0 * 120.0, Grain::Width);
    board.gap = mm(0.0);
    board.margin = mm(0.0);
    let block = piece("block", StockKind::Board, block(pt(0.0, 0.0), 160.0, 120.0), Grain::Width);
    let sheets = straight(&[block], &job(24, board));
    assert_eq!(sheets.len(), 1);
    // 24 blocks are apart after 23 cuts, and no fewer will do.
    assert_eq!(sheets[0].cuts.len(), 23);
}

#[test]
fn whole_boxes_and_what_is_no_rectangle_lie_so_too() {
    straight(&one_of_everything(), &job(3, stock(900.0, 1400.0, Grain::Height)));
    for (name, text) in [
        ("tideline-folio", include_str!("../samples/tideline-folio.toml")),
        ("rockpool-folder", include_str!("../samples/rockpool-folder.toml")),
        ("limpet-wrapper", include_str!("../samples/limpet-wrapper.toml")),
    ] {
        let text = text.replace("title =", "layout = \"straight-cuts\"\nlayout_effort = 2\ntitle =");
        let (job, said) = job::read(&Source { name: name.into(), text });
        let job = job.unwrap_or_else(|| panic!("{said:?}"));
        assert_eq!(job.layout, Division::StraightCuts);
        let pieces = design(&job).0.pieces;
        let (sheets, _) = nest(&pieces, &job);
        for sheet in &sheets {
            try_both(sheet, &pieces).unwrap_or_else(|why| panic!("{name} {}: {why}", sheet.id));
        }
    }
}

/// The check above would be worth nothing if it let a wrong order pass.
#[test]
fn a_wrong_cut_is_noticed() {
    let pieces = one_of_everything();
    let sheets = straight(&pieces, &job(2, stock(900.0, 1400.0, Grain::Height)));
    let sheet = sheets.iter().find(|s| s.cuts.len() > 4 && s.offcut.is_some()).unwrap();
    let mut swapped = sheet.clone();
    swapped.cuts.reverse();
    assert!(cut(&swapped).is_err());
    let mut short = sheet.clone();
    short.cuts.pop();
    assert!(cut(&short).is_err());
    let mut moved = sheet.clone();
    moved.cuts[0].at += 1.0;
    assert!(cut(&moved).is_err());
    for wrong in [|l: &mut Line| l.far += 2.0, |l: &mut Line| l.edge = "right".into(), |l: &mut Line| l.number += 1] {
        for n in 0..sheet.cuts.len() {
            let mut lines = told(sheet, &pieces, Unit::Mm);
            let before = (lines[n].edge.clone(), lines[n].far);
            wrong(&mut lines[n]);
            if before != (lines[n].edge.clone(), lines[n].far) || lines[n].number != n + 1 {
                assert!(follow(sheet, &lines, 0.051).is_err(), "cut {} is told wrong, and nobody notices", n + 1);
            }
        }
    }
    // The narrower of two strips first, right through what can be kept.
    let mut through = sheet.clone();
    let strip = |c: &flapwright::nest::StraightCut| c.is_upright != sheet.cuts[0].is_upright;
    let other = through.cuts.iter().position(strip).unwrap();
    through.cuts.swap(0, other);
    assert!(follow(&through, &told(&through, &pieces, Unit::Mm), 0.051).is_err());
}
