//! Properties of the layout on stock: nothing overlaps, nothing lies outside, nothing is lost,
//! grain and gaps are kept.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;

use common::{block, job, one_of_everything, piece, stock};
use flapwright::design::{Lay, Piece, Role, design};
use flapwright::diag::Source;
use flapwright::geom::{Bounds, Contour, Point, Stroke, pt};
use flapwright::job::{self, CutFace, Grain, Job, SheetSize, StockKind};
use flapwright::nest::{Apart, Search, Sheet, nest, nest_with};
use flapwright::ops::operations;
use flapwright::units::{Unit, mm};
use geo::{Area, BooleanOps, Coord, Distance, Euclidean, LineString, Polygon};
use proptest::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::atomic::AtomicBool;

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
            StockKind::Paper => job.paper.as_ref().unwrap(),
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
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

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
    // None of these is of paper.
    for kind in [StockKind::Board, StockKind::Cloth, StockKind::Liner] {
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
    for said in ["board-base", "300 x 500 mm", "600 x 400 mm", "588 x 388 mm"] {
        assert!(message.contains(said), "{said} in {message}");
    }
    assert!(diagnostics[0].hint.as_ref().unwrap().contains("grain"), "it would fit across the grain");
    job.units = Unit::Inch;
    assert!(nest(&[long], &job).1[0].message.ends_with(" in inside its margin"), "in the units of the job");
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

/// A tee with a stem upwards, `size` units to its foot's thickness.
fn tee(size: f64) -> Contour {
    let points = [(0.0, 0.0), (3.0, 0.0), (3.0, 1.0), (2.0, 1.0), (2.0, 3.0), (1.0, 3.0), (1.0, 1.0), (0.0, 1.0)];
    Contour::polygon(points.map(|(x, y)| pt(x * size, y * size)))
}

#[test]
fn tees_lie_in_one_anothers_arms() {
    // Closed form: two tees of 3 by 3 units, one turned by a half, foot on stem, fill 4 by 4 less
    // corners; by their rectangles only one of them goes on 4.1 by 4.1.
    let tee = piece("cloth-tee", StockKind::Cloth, tee(50.0), Grain::Height);
    let mut job = job(2, stock(0.0, 0.0, Grain::Height));
    let cloth = job.cloth.as_mut().unwrap();
    (cloth.sheet_width, cloth.sheet_height) = (mm(4.0 * 50.0 + 4.0 + 12.0 + 0.1), mm(4.0 * 50.0 + 8.0 + 12.0 + 0.1));
    let sheets = check(std::slice::from_ref(&tee), &job);
    assert_eq!(sheets.len(), 1);
    // Across the grain they may not lie at all.
    let turned: Vec<f64> = sheets[0].placed.iter().map(|p| p.transform.rotation_deg).collect();
    assert!(turned.contains(&0.0) && turned.contains(&180.0), "{turned:?}");
}

#[test]
fn on_one_sheet_nothing_counts_but_the_offcut() {
    // The two tees again, on a sheet so high that their rectangles would go one above the other.
    let tee = piece("cloth-tee", StockKind::Cloth, tee(50.0), Grain::Height);
    let mut job = job(2, stock(0.0, 0.0, Grain::Height));
    let cloth = job.cloth.as_mut().unwrap();
    (cloth.sheet_width, cloth.sheet_height) = (mm(4.0 * 50.0 + 4.0 + 12.0 + 0.1), mm(1000.0));
    let sheets = check(std::slice::from_ref(&tee), &job);
    let top = sheets[0].placed.iter().map(|p| p.bounds.max.y).fold(0.0, f64::max);
    assert!(sheets.len() == 1 && top < 4.0 * 50.0 + 20.1, "{top}");
}

fn size(width: f64, height: f64, price: Option<f64>, count: Option<u32>) -> SheetSize {
    SheetSize { width: mm(width), height: mm(height), price, count }
}

#[test]
fn leftovers_are_used_where_they_save_a_sheet_and_only_there() {
    let block = piece("block", StockKind::Board, block(pt(0.0, 0.0), 300.0, 200.0), Grain::Height);
    // Nine go on a sheet; the tenth on a leftover.
    let mut board = stock(3.0 * 304.0 + 8.0, 3.0 * 204.0 + 8.0, Grain::Height);
    board.leftovers.push(size(320.0, 215.0, None, Some(3)));
    let sheets = check(std::slice::from_ref(&block), &job(10, board.clone()));
    assert_eq!(sheets.iter().map(|s| s.is_leftover).collect::<Vec<_>>(), [true, false]);
    assert_eq!(sheets[0].price, Some(0.0));
    // Nine need none; thirteen more than there are.
    assert_eq!(check(std::slice::from_ref(&block), &job(9, board.clone())).len(), 1);
    let many = check(std::slice::from_ref(&block), &job(13, board));
    assert_eq!(many.iter().filter(|s| !s.is_leftover).count(), 2);
}

#[test]
fn of_several_sizes_the_least_price_is_taken_or_the_least_area() {
    let block = piece("block", StockKind::Board, block(pt(0.0, 0.0), 300.0, 200.0), Grain::Height);
    let mut board = stock(3.0 * 304.0 + 8.0, 3.0 * 204.0 + 8.0, Grain::Height);
    board.further.push(size(320.0, 215.0, None, None));
    let widths =
        |job: &Job| -> Vec<f64> { check(std::slice::from_ref(&block), job).iter().map(|s| s.width.to_mm()).collect() };
    assert_eq!(widths(&job(2, board.clone())), [320.0, 320.0]);
    assert_eq!(widths(&job(9, board.clone())), [920.0]);
    board.price = Some(5.0);
    board.further[0].price = Some(4.0);
    assert_eq!(widths(&job(2, board)), [920.0]);
}

#[test]
fn the_offcut_is_what_no_piece_reaches() {
    let block = piece("block", StockKind::Board, block(pt(0.0, 0.0), 300.0, 200.0), Grain::Height);
    let sheets = check(&[block], &job(2, stock(620.0, 900.0, Grain::Height)));
    let o = sheets[0].offcut.expect("most of the sheet is left");
    // Two side by side: margin, height, gap.
    assert_eq!([o.x, o.y, o.width, o.height], [mm(0.0), mm(210.0), mm(620.0), mm(690.0)]);
}

/// The length of all cuts, and of what of the outlines no cut lies on.
fn cut_and_missed(sheet: &Sheet, pieces: &[Piece]) -> (f64, f64) {
    let cuts: Vec<_> = operations(&sheet.clone().into(), pieces).operations.into_iter().map(|o| o.stroke).collect();
    let on_a_cut = |p: Point| cuts.iter().any(|c| c.segments().iter().any(|s| s.distance_to(p) < 1e-6));
    let mut missed = 0.0;
    for outline in outlines(sheet, pieces) {
        for s in outline.segments() {
            let n = (s.length() / 0.5).ceil().max(1.0) as usize;
            let bare = (0..n).filter(|k| !on_a_cut(s.point_at((*k as f64 + 0.5) / n as f64))).count();
            missed += s.length() * bare as f64 / n as f64;
        }
    }
    (cuts.iter().map(|c| c.length()).sum(), missed)
}

#[test]
fn a_cut_in_common_is_made_once_and_belongs_to_someone() {
    let wide = piece("wide", StockKind::Board, block(pt(0.0, 0.0), 200.0, 100.0), Grain::Height);
    let narrow = piece("narrow", StockKind::Board, block(pt(0.0, 0.0), 100.0, 60.0), Grain::Height);
    let pieces = [wide, narrow];
    let mut board = stock(212.0, 500.0, Grain::Height);
    board.common_cuts = true;
    let sheets = nest(&pieces, &job(2, board.clone())).0;
    let [sheet] = &sheets[..] else { panic!("one sheet") };
    let (cut, missed) = cut_and_missed(sheet, &pieces);
    // Closed form: two of 200 x 100 and two of 100 x 60 side by side make a block of 200 x 260: its
    // rim, two lines across and one between the narrow ones.
    assert!((cut - (2.0 * (200.0 + 260.0) + 2.0 * 200.0 + 60.0)).abs() < 1e-6, "{cut}");
    assert!(missed < 1e-9, "{missed}");
    let ops = operations(&sheet.clone().into(), &pieces);
    let names: BTreeSet<_> = ops.operations.iter().map(|o| (o.piece.as_str(), o.copy)).collect();
    assert_eq!(names.len(), 4, "each still has a line of its own: {names:?}");
    for o in &ops.operations {
        let whole = ops.shared.iter().find(|s| (s.piece.as_str(), s.copy) == (o.piece.as_str(), o.copy));
        assert_eq!(whole.is_none(), matches!(o.stroke, Stroke::Closed(_)), "{} {}", o.piece, o.copy);
    }
    // Without leave they lie apart and each is cut whole.
    board.common_cuts = false;
    let sheets = check(&pieces, &job(2, board));
    let cut: f64 = sheets.iter().map(|s| cut_and_missed(s, &pieces).0).sum();
    assert!((cut - 2.0 * (600.0 + 320.0)).abs() < 1e-6);
}

#[test]
fn what_is_no_rectangle_keeps_its_gap_among_cuts_in_common() {
    let mut board = stock(500.0, 400.0, Grain::Height);
    board.common_cuts = true;
    let round = piece("round", StockKind::Board, Contour::circle(pt(0.0, 0.0), 40.0), Grain::Height);
    let plain = piece("plain", StockKind::Board, block(pt(0.0, 0.0), 90.0, 60.0), Grain::Height);
    let pieces = [round, plain];
    for sheet in nest(&pieces, &job(6, board)).0 {
        let shapes: Vec<Polygon> = outlines(&sheet, &pieces).iter().map(polygon).collect();
        for (i, a) in shapes.iter().enumerate() {
            for (k, b) in shapes.iter().enumerate().skip(i + 1) {
                let both_plain = sheet.placed[i].piece == 1 && sheet.placed[k].piece == 1;
                assert!(a.intersection(b).unsigned_area() < 1e-6);
                assert!(both_plain || Euclidean.distance(a, b) > 4.0 - 1e-6);
            }
        }
    }
}

#[test]
fn a_stopped_search_gives_a_whole_layout() {
    let stop = AtomicBool::new(true);
    let steps = std::sync::Mutex::new(Vec::new());
    let progress = |kind: StockKind, done: u32, of: u32| steps.lock().unwrap().push((kind, done, of));
    let job = job(40, stock(700.0, 1000.0, Grain::Height));
    let search = Search { apart: Apart::default(), stop: &stop, progress: &progress };
    let (sheets, told) = nest_with(&one_of_everything(), &job, &search);
    assert!(told.is_empty());
    assert_eq!(sheets.iter().map(|s| s.placed.len()).sum::<usize>(), 160);
    assert!(steps.lock().unwrap().iter().any(|(_, done, of)| done == of), "the end is told");
}

#[test]
fn a_wide_cut_widens_the_gap() {
    let stop = AtomicBool::new(false);
    let block = piece("block", StockKind::Board, block(pt(0.0, 0.0), 100.0, 100.0), Grain::Height);
    let apart = Apart::default().at_least(StockKind::Board, mm(9.0));
    let search = Search { apart, stop: &stop, progress: &|_, _, _| {} };
    let sheets = nest_with(&[block], &job(2, stock(400.0, 300.0, Grain::Height)), &search).0;
    let [a, b] = &sheets[0].placed[..] else { panic!("two on one sheet") };
    let apart = (b.bounds.min - a.bounds.max).x.max((b.bounds.min - a.bounds.max).y);
    assert!(apart > 9.0 - 1e-9, "{apart}");
}

#[test]
fn gauges_come_from_waste_once_and_never_cost_a_sheet() {
    let mut text =
        include_str!("../samples/tideline-folio.toml").replace("placement = true", "placement = true\ngauges = true");
    text = text.replace("copies = 1", "copies = 9");
    let source = Source { name: "job.toml".into(), text };
    let job = job::read(&source).0.expect("reads");
    let pieces = design(&job).0.pieces;
    let gauges: Vec<usize> = (0..pieces.len()).filter(|i| pieces[*i].role == Role::Gauge).collect();
    assert_eq!(gauges.len(), 3, "joint, turn-in, reveal");
    let sheets = nest(&pieces, &job).0;
    for g in &gauges {
        assert_eq!(sheets.iter().flat_map(|s| &s.placed).filter(|p| p.piece == *g).count(), 1, "{}", pieces[*g].id);
        assert!(!pieces[*g].marks.is_empty(), "{} says what it is for", pieces[*g].id);
        // Its tongue is as wide as what it gauges: joint 3.35, turn-in 16, reveal 5 (the sample).
        let width = pieces[*g].outline.vertices()[2].y;
        let named = [("joint", design(&job).0.measures.joint.to_mm()), ("turn-in", 16.0), ("reveal", 5.0)];
        let (_, wanted) = named.iter().find(|(name, _)| pieces[*g].id.ends_with(name)).expect("named");
        assert!((width - wanted).abs() < 1e-9, "{width} {wanted}");
    }
    let without: Vec<Piece> = pieces.iter().filter(|p| p.role != Role::Gauge).cloned().collect();
    assert_eq!(nest(&without, &job).0.len(), sheets.len());
    // Nothing of them is cut over another piece.
    for sheet in sheets.iter().filter(|s| s.stock == StockKind::Board) {
        let shapes: Vec<Polygon> = outlines(sheet, &pieces).iter().map(polygon).collect();
        for (i, a) in shapes.iter().enumerate() {
            assert!(shapes[i + 1..].iter().all(|b| a.intersection(b).unsigned_area() < 1e-6));
        }
    }
}

/// More effort takes no more sheets, and of as many sheets no more that differ: each that does is a program more to set up.
/// Samples and random jobs, of one box and of many, each at several efforts.
#[test]
fn more_effort_gives_no_more_sheets_and_no_more_programs() {
    let samples = ["furbelow-portfolio", "carrageen-tray", "cockle-portfolio", "oarweed-trays", "samphire-folder"];
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    let texts = samples.map(|name| std::fs::read_to_string(root.join(format!("{name}.toml"))).unwrap());
    let random = (0..24).map(|seed| crate::proved::job(seed * 3 + 1));
    let mut compared = 0;
    for (n, text) in texts.into_iter().chain(random).enumerate() {
        let Some(mut job) = job::read(&Source { name: "x".into(), text }).0 else { continue };
        let (design, said) = design(&job);
        if flapwright::diag::any_error(&said) {
            continue;
        }
        job.copies = [3, 7, 12, 19][n % 4];
        let mut before: BTreeMap<StockKind, (u32, usize)> = BTreeMap::new();
        for effort in [1, 8, 24, 48] {
            job.layout_effort = effort;
            let sheets = nest(&design.pieces, &job).0;
            for stock in StockKind::ALL {
                let of: Vec<u32> = sheets.iter().filter(|s| s.stock == stock).map(|s| s.count()).collect();
                let now = (of.iter().sum::<u32>(), of.len());
                if let Some(earlier) = before.insert(stock, now).filter(|_| now.0 > 0) {
                    compared += 1;
                    assert!(
                        now <= earlier,
                        "{n}, {stock:?}, {} copies, effort {effort}: {now:?} after {earlier:?}",
                        job.copies
                    );
                }
            }
        }
    }
    assert!(compared > 60, "{compared}");
}
