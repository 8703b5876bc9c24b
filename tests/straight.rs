//! Layouts for a straight edge: the numbered cuts are made in the test's own hands, one after the other, and must
//! leave every piece whole and alone.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;

use common::dice::Dice;
use common::{block, job, one_of_everything, piece, stock};
use flapwright::design::{Piece, design};
use flapwright::diag::Source;
use flapwright::geom::{Bounds, pt};
use flapwright::job::{self, Division, Grain, Job, StockKind};
use flapwright::nest::{Sheet, nest};
use flapwright::units::mm;

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

fn straight(pieces: &[Piece], job: &Job) -> Vec<Sheet> {
    let job = Job { layout: Division::StraightCuts, ..job.clone() };
    let (sheets, said) = nest(pieces, &job);
    assert_eq!(said, []);
    for sheet in &sheets {
        assert!(!sheet.cuts.is_empty(), "{} has no cuts", sheet.id);
        cut(sheet).unwrap_or_else(|why| panic!("{}: {why}\n{sheet:#?}", sheet.id));
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
            cut(sheet).unwrap_or_else(|why| panic!("{name} {}: {why}", sheet.id));
        }
    }
}

/// The check above would be worth nothing if it let a wrong order pass.
#[test]
fn a_wrong_cut_is_noticed() {
    let sheets = straight(&one_of_everything(), &job(2, stock(900.0, 1400.0, Grain::Height)));
    let sheet = sheets.iter().find(|s| s.cuts.len() > 4).unwrap();
    let mut swapped = sheet.clone();
    swapped.cuts.reverse();
    assert!(cut(&swapped).is_err());
    let mut short = sheet.clone();
    short.cuts.pop();
    assert!(cut(&short).is_err());
    let mut moved = sheet.clone();
    moved.cuts[0].at += 1.0;
    assert!(cut(&moved).is_err());
}
