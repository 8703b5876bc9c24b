//! The layout against outside programs: an exact solver on a few rectangles, shapely on the sheets of
//! an edition.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;

use common::references::{python, python_of};
use common::{block, job, piece, stock};
use flapwright::design::{Piece, design};
use flapwright::diag::Source;
use flapwright::geom::pt;
use flapwright::job::{self, Grain, StockKind};
use flapwright::nest::nest;
use flapwright::units::mm;
use serde_json::{Value, json};

/// A plain linear congruential sequence, so that the cases are the same everywhere.
struct Sequence(u64);

impl Sequence {
    fn between(&mut self, low: u64, high: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (self.0 >> 33) % (high - low)
    }
}

struct Case {
    width: u64,
    height: u64,
    gap: u64,
    turn: bool,
    boxes: Vec<[u64; 2]>,
}

/// Boards of the kind that boxes are made of: large ones, long narrow ones, some alike.
fn cases() -> Vec<Case> {
    let mut s = Sequence(75);
    let mut case = |turn: bool, n: u64| {
        let mut boxes = Vec::new();
        while (boxes.len() as u64) < n {
            let (long, short) = (s.between(120, 300), s.between(20, 200));
            let alike = s.between(1, 4);
            (0..alike).for_each(|_| boxes.push([long, short]));
        }
        boxes.truncate(n as usize);
        Case { width: s.between(400, 520), height: s.between(420, 600), gap: s.between(0, 7), turn, boxes }
    };
    [(false, 6), (false, 7), (false, 9), (false, 8), (true, 5), (true, 6), (true, 7), (true, 8)]
        .map(|(t, n)| case(t, n))
        .into()
}

fn pieces(case: &Case, grain: Grain) -> Vec<Piece> {
    let one = |(i, b): (usize, &[u64; 2])| {
        piece(&format!("board-{i}"), StockKind::Board, block(pt(0.0, 0.0), b[0] as f64, b[1] as f64), grain)
    };
    case.boxes.iter().enumerate().map(one).collect()
}

/// Bars: within one sheet of the fewest, within 3 % of the least length on one sheet.
#[test]
fn a_few_rectangles_lie_nearly_as_well_as_an_exact_solver_lays_them() {
    let cases = cases();
    let of = |c: &Case| json!({"width": c.width, "height": c.height, "gap": c.gap, "turn": c.turn, "boxes": c.boxes});
    let asked = Value::Array(cases.iter().map(of).collect());
    let Some(answers) = python_of("ortools", "exact_boxes.py", &[], &asked) else { return };
    let (mut worst, mut proved) = (1.0_f64, 0);
    for (i, (case, best)) in cases.iter().zip(answers.as_array().unwrap()).enumerate() {
        let grain = if case.turn { Grain::None } else { Grain::Height };
        let mut board = stock(case.width as f64, case.height as f64, grain);
        board.margin = mm(0.0);
        board.gap = mm(case.gap as f64);
        let on_sheets = nest(&pieces(case, grain), &job(1, board.clone())).0.len() as u64;
        let fewest = best["sheets"].as_u64().unwrap();
        assert!((fewest..=fewest + 1).contains(&on_sheets), "case {i}: {on_sheets} sheets, {fewest} would do");
        // One sheet that is long enough, and no wider than the offcut can be taken beside.
        board.sheet_height = mm(4000.0);
        let sheets = nest(&pieces(case, grain), &job(1, board)).0;
        let top = sheets[0].placed.iter().map(|p| p.bounds.max.y).fold(0.0, f64::max);
        let least = best["length"].as_f64().unwrap();
        assert_eq!(sheets.len(), 1);
        // Within its time the solver finds more than it proves.
        if best["proved"] == true {
            assert!(top >= least - 1e-6, "case {i}: {top} is less than the proved {least}");
            proved += 1;
        }
        println!("case {i}: {on_sheets} sheets of {fewest}, length {top} of {least}");
        worst = worst.max(top / least);
    }
    assert!(worst <= 1.03 && proved >= 6, "{worst} at worst, {proved} proved");
}

/// The edition of the samples, 75 copies: shapely finds nothing that overlaps or comes too near; and
/// the bars, 90 % of the board and 80 % of the cloth inside the margins.
#[test]
fn an_edition_is_laid_as_asked_and_uses_its_stock() {
    let text = include_str!("../samples/dulse-atlas.toml").replace("copies = 12", "copies = 75");
    let source = Source { name: "dulse-atlas.toml".into(), text };
    let job = job::read(&source).0.expect("the sample reads");
    let pieces = design(&job).0.pieces;
    let (sheets, told) = nest(&pieces, &job);
    assert_eq!(told, []);
    let mut judged = Vec::new();
    for (kind, stock, bar) in [
        (StockKind::Board, &job.board, 0.90),
        (StockKind::Cloth, job.cloth.as_ref().unwrap(), 0.80),
        (StockKind::Liner, job.liner.as_ref().unwrap(), 0.64),
    ] {
        let (mut taken, mut usable, mut placed) = (0.0, 0.0, 0);
        for sheet in sheets.iter().filter(|s| s.stock == kind) {
            let rim = 2.0 * stock.margin.to_mm();
            usable += (sheet.width.to_mm() - rim) * (sheet.height.to_mm() - rim);
            taken += sheet.used(&pieces) * sheet.width.to_mm() * sheet.height.to_mm();
            placed += sheet.placed.len();
            let outline = |p: &flapwright::nest::Placed| {
                let c = pieces[p.piece].outline.transformed(&p.transform);
                c.flatten(1e-3).iter().map(|p| [p.x, p.y]).collect::<Vec<_>>()
            };
            judged.push(json!({
                "id": sheet.id, "width": sheet.width, "height": sheet.height, "margin": stock.margin,
                "gap": stock.gap, "pieces": sheet.placed.iter().map(outline).collect::<Vec<_>>(),
            }));
        }
        let asked: u32 = pieces.iter().filter(|p| p.stock == kind).map(|p| p.needed(75)).sum();
        assert_eq!(placed, asked as usize);
        println!("{}: {:.3} of the stock inside its margins", kind.word(), taken / usable);
        assert!(taken / usable >= bar, "{}: {}", kind.word(), taken / usable);
    }
    let Some(faults) = python("check_layout.py", &[], &Value::Array(judged.clone())) else { return };
    assert_eq!(faults, json!([]));
    // Moved together, they are found.
    let first = judged[0]["pieces"][0].clone();
    judged[0]["pieces"][1] = first;
    let faults = python("check_layout.py", &[], &Value::Array(judged)).unwrap();
    assert!(!faults.as_array().unwrap().is_empty());
}
