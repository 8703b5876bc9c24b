//! Properties of the layout on stock: nothing overlaps, nothing lies outside, nothing is lost,
//! grain and gaps are kept.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

mod common;

use common::{block, job, one_of_everything, piece, stock};
use flapwright::design::{Lay, Piece};
use flapwright::geom::{Bounds, Contour, pt};
use flapwright::job::{CutFace, Grain, Job, StockKind};
use flapwright::nest::{Sheet, nest};
use flapwright::units::{Unit, mm};
use geo::{Area, BooleanOps, Coord, Distance, Euclidean, LineString, Polygon};
use proptest::prelude::*;
use std::collections::BTreeMap;

/// The true outline on the sheet as a polygon; 0.001 mm is far below the gaps tested.
fn polygon(c: &Contour) -> Polygon {
    Polygon::new(LineString(c.flatten(1e-3).iter().map(|p| Coord { x: p.x, y: p.y }).collect()), Vec::new())
}

fn outlines(sheet: &Sheet, pieces: &[Piece]) -> Vec<Contour> {
    sheet.placed.iter().map(|p| pieces[p.piece].outline.transformed(&p.transform)).collect()
}

/// Everything that a layout must hold to.
fn check(pieces: &[Piece], job: &Job) -> Vec<Sheet> {
    let (sheets, diagnostics) = nest(pieces, job);
    assert_eq!(diagnostics, [], "all of these fit");
    let mut seen: BTreeMap<(usize, u32), u32> = BTreeMap::new();
    for sheet in &sheets {
        let stock = match sheet.stock {
            StockKind::Board => &job.board,
            StockKind::Cloth => job.cloth.as_ref().unwrap(),
            StockKind::Liner => job.liner.as_ref().unwrap(),
        };
        let whole = Bounds { min: pt(0.0, 0.0), max: pt(sheet.width.to_mm(), sheet.height.to_mm()) };
        let usable = whole.grown(-stock.margin.to_mm());
        let shapes = outlines(sheet, pieces);
        assert!(!shapes.is_empty(), "a sheet without pieces");
        for (p, shape) in sheet.placed.iter().zip(&shapes) {
            *seen.entry((p.piece, p.copy)).or_default() += 1;
            let piece = &pieces[p.piece];
            assert_eq!(piece.stock, sheet.stock);
            assert!(usable.contains(shape.bounds(), 1e-6), "{} reaches into the margin", piece.id);
            assert!(p.bounds.contains(shape.bounds(), 1e-9) && shape.bounds().contains(p.bounds, 1e-9));
            assert!((shape.area() - piece.outline.area()).abs() < 1e-6 * piece.outline.area(), "area kept, ccw kept");
            let mirrored = (piece.lay == Lay::Mirrored) != (stock.cut_face == CutFace::Face);
            assert_eq!(p.transform.mirrored, mirrored);
            let quarter = (p.transform.rotation_deg / 90.0).rem_euclid(2.0);
            match (piece.grain, stock.grain) {
                (Grain::None, _) | (_, Grain::None) => assert!(quarter.fract() < 1e-12),
                (a, b) => assert_eq!(quarter > 0.5, a != b, "{} lies across the grain", piece.id),
            }
        }
        let polygons: Vec<Polygon> = shapes.iter().map(polygon).collect();
        for (i, a) in polygons.iter().enumerate() {
            for b in &polygons[i + 1..] {
                assert!(a.intersection(b).unsigned_area() < 1e-9, "overlap on {}", sheet.id);
                assert!(Euclidean.distance(a, b) > stock.gap.to_mm() - 1e-6, "gap on {}", sheet.id);
            }
        }
    }
    for (i, piece) in pieces.iter().enumerate() {
        let copies: Vec<u32> = seen.range((i, 0)..=(i, u32::MAX)).map(|((_, copy), _)| *copy).collect();
        assert_eq!(copies, (1..=job.copies * piece.count).collect::<Vec<_>>(), "copies of {}", piece.id);
    }
    assert!(seen.values().all(|times| *times == 1), "a piece was placed twice");
    sheets
}

/// Stars about a point off the origin: true outlines that are not their rectangles.
fn star(size: f64, points: u32, dent: f64) -> Contour {
    Contour::polygon((0..2 * points).map(|i| {
        let angle = f64::from(i) * std::f64::consts::PI / f64::from(points);
        let radius = if i % 2 == 0 { size } else { size * dent };
        pt(31.0 + radius * angle.cos(), -17.0 + radius * angle.sin())
    }))
}

fn any_grain() -> impl Strategy<Value = Grain> {
    prop_oneof![Just(Grain::Width), Just(Grain::Height), Just(Grain::None)]
}

prop_compose! {
    fn any_piece()(
        kind in prop_oneof![Just(StockKind::Board), Just(StockKind::Cloth), Just(StockKind::Liner)],
        width in 5.0..280.0f64,
        height in 5.0..280.0f64,
        points in 2..7u32,
        dent in 0.3..0.9f64,
        grain in any_grain(),
        count in 1..4u32,
        mirrored in any::<bool>(),
    ) -> Piece {
        let outline = if points < 4 { block(pt(width, -height), width, height) } else { star(width / 2.0, points, dent) };
        let mut p = piece("p", kind, outline, grain);
        p.count = count;
        p.lay = if mirrored { Lay::Mirrored } else { Lay::AsComputed };
        p
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_pieces_lie_apart_inside_and_all_there(
        pieces in prop::collection::vec(any_piece(), 1..9),
        copies in 1..4u32,
        grain in any_grain(),
        face in any::<bool>(),
        gap in 0.0..9.0f64,
        margin in 0.0..20.0f64,
    ) {
        let mut board = stock(400.0, 330.0, grain);
        board.gap = mm(gap);
        board.margin = mm(margin);
        board.cut_face = if face { CutFace::Face } else { CutFace::Back };
        let job = job(copies, board);
        let sheets = check(&pieces, &job);
        let again = nest(&pieces, &job).0;
        prop_assert_eq!(format!("{sheets:?}"), format!("{again:?}"), "the same job, the same layout");
    }
}

#[test]
fn the_first_box_lies_on_the_first_sheets() {
    let job = job(4, stock(700.0, 500.0, Grain::Height));
    let sheets = check(&one_of_everything(), &job);
    for kind in StockKind::ALL {
        let firsts: Vec<u32> =
            sheets.iter().filter(|s| s.stock == kind).map(|s| s.placed.iter().map(|p| p.copy).min().unwrap()).collect();
        assert!(firsts.is_sorted() && firsts[0] == 1, "{kind:?}: {firsts:?}");
    }
    assert_eq!(sheets[0].id, "board-1");
    assert!(sheets.iter().any(|s| s.id == "cloth-1"));
}

#[test]
fn blocks_that_tile_a_sheet_take_one_sheet() {
    // 24 blocks of 160 x 120 with 4 between them fill 6 x 4 of a sheet to the margin.
    let (width, height) = (6.0 * 164.0 - 4.0 + 12.0, 4.0 * 124.0 - 4.0 + 12.0);
    let block = piece("block", StockKind::Board, block(pt(0.0, 0.0), 160.0, 120.0), Grain::Width);
    let sheets = check(&[block], &job(24, stock(width, height, Grain::Width)));
    assert_eq!(sheets.len(), 1);
    let used =
        sheets[0].used(&[piece("block", StockKind::Board, common::block(pt(0.0, 0.0), 160.0, 120.0), Grain::Width)]);
    assert!((used - 24.0 * 160.0 * 120.0 / (width * height)).abs() < 1e-12);
}

#[test]
fn a_piece_too_large_is_named_with_both_sizes_and_the_rest_is_placed() {
    let long = piece("board-base", StockKind::Board, block(pt(0.0, 0.0), 300.0, 500.0), Grain::Height);
    let small = piece("board-wall-left", StockKind::Board, block(pt(0.0, 0.0), 20.0, 300.0), Grain::Height);
    let mut job = job(2, stock(600.0, 400.0, Grain::Height));
    let (sheets, diagnostics) = nest(&[long.clone(), small], &job);
    assert_eq!(sheets.iter().map(|s| s.placed.len()).sum::<usize>(), 2);
    assert_eq!(diagnostics.len(), 1, "once, not once a copy");
    assert!(diagnostics[0].is_error());
    let message = &diagnostics[0].message;
    for said in ["board-base", "300 mm x 500 mm", "600 mm x 400 mm", "588 mm x 388 mm"] {
        assert!(message.contains(said), "{said} in {message}");
    }
    assert!(diagnostics[0].hint.as_ref().unwrap().contains("grain"), "it would fit across the grain");
    job.units = Unit::Inch;
    assert!(nest(&[long], &job).1[0].message.contains(" in x "), "in the units of the job");
}

#[test]
fn an_edition_of_a_thousand_boxes_is_laid_out_at_once() {
    let start = std::time::Instant::now();
    let (sheets, diagnostics) = nest(&one_of_everything(), &job(1000, stock(700.0, 1000.0, Grain::Height)));
    assert!(diagnostics.is_empty());
    assert_eq!(sheets.iter().map(|s| s.placed.len()).sum::<usize>(), 4000);
    assert!(start.elapsed().as_secs() < 20, "{:?}", start.elapsed());
    println!("{} sheets in {:?}", sheets.len(), start.elapsed());
}
