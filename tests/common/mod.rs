//! Jobs, pieces and sheets made by hand, for tests of the stages after the design. Not every test
//! uses all of them.
#![allow(dead_code)]
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

pub(crate) mod built;
pub(crate) mod dice;
pub(crate) mod program;
pub(crate) mod proof;
pub(crate) mod random_job;
pub(crate) mod references;

use flapwright::design::{Lay, Piece, Pocket, Role};
use flapwright::diag::Places;
use flapwright::geom::{Contour, Path, Point, Stroke, Vertex, fillet, pt};
use flapwright::job::{
    Build, Clearance, Coating, Construction, Contents, Covering, CutFace, Division, Elastic, Glue, Grain, Job,
    LinerPieces, Maker, Making, Marks, Minutes, Seat, Stock, StockKind, TurnedBy, Turning, Work,
};
use flapwright::units::{Length, Unit, mm};
use std::collections::BTreeMap;

/// A stock of this sheet, 6 mm of margin, 4 mm of gap.
pub(crate) fn stock(width: f64, height: f64, grain: Grain) -> Stock {
    Stock {
        name: None,
        thickness: mm(2.0),
        sheet_width: mm(width),
        sheet_height: mm(height),
        sheet_is_given: true,
        grain,
        margin: mm(6.0),
        gap: mm(4.0),
        cut_face: CutFace::Back,
        price: None,
        grammage: None,
        coating: Coating::Unknown,
        pieces: LinerPieces::One,
        strip_lap: Length::ZERO,
        turn_in: Length::ZERO,
        further: Vec::new(),
        leftovers: Vec::new(),
        common_cuts: false,
    }
}

/// A job of which the layout asks only the copies and stocks.
pub(crate) fn job(copies: u32, board: Stock) -> Job {
    let none = Length::ZERO;
    Job {
        title: "Tideline folio".into(),
        item: String::new(),
        units: Unit::Mm,
        copies,
        inside: None,
        turning: Turning { by: TurnedBy::Corner, pin_diameter: mm(6.0) },
        contents: Contents {
            width: mm(210.0),
            height: mm(297.0),
            depth: mm(12.0),
            depth_readings: vec![mm(12.0)],
            size: None,
            clearance: Clearance { width: none, height: none, depth: none },
        },
        cloth: Some(Stock { thickness: mm(0.35), ..board.clone() }),
        paper: None,
        liner: Some(Stock { thickness: mm(0.25), ..board.clone() }),
        board,
        elastic: Elastic { width: mm(8.0), thickness: mm(1.0), stretch: 0.06, price: None },
        build: Build {
            construction: Construction::HingedBoards,
            seat: Seat::Beside,
            joint: None,
            step: None,
            wall_extra: None,
            ease: Some(none),
            flap_inset: None,
        },
        flaps: BTreeMap::new(),
        sides: BTreeMap::new(),
        covering: Covering {
            turn_in: mm(16.0),
            corner: mm(3.0),
            slit_stop: mm(2.0),
            reveal: mm(5.0),
            groove_press: 1.0,
            liner_trim: none,
        },
        making: Making { by: Maker::Hand, cut: mm(0.5), spacer: mm(0.3), board: 0.05 },
        strap: None,
        ties: BTreeMap::new(),
        magnets: BTreeMap::new(),
        windows: BTreeMap::new(),
        strips: None,
        trays: None,
        slipcase: None,
        portfolio: None,
        title_label: None,
        glue: Glue { price: None, grams: 150.0 },
        work: Work {
            rate: None,
            machine_rate: None,
            hours: 6.0,
            first_article: false,
            press: 12,
            dry_covered: 12.0,
            dry_lined: 12.0,
            dry_glued: 1.0,
            machine: Minutes::default(),
            tool_change: 0.0,
            steps: BTreeMap::new(),
            is_own: false,
        },
        marks: Marks { labels: false, placement: true, copy_numbers: false, gauges: false, scrap: false },
        layout: Division::default(),
        layout_effort: 48,
        drawings: BTreeMap::new(),
        places: Places::default(),
    }
}

/// A piece that is its outline.
pub(crate) fn piece(id: &str, stock: StockKind, outline: Contour, grain: Grain) -> Piece {
    Piece { grain, ..Piece::plain(id.into(), stock, Role::Flap, outline) }
}

/// A rectangle about `center`.
pub(crate) fn block(center: Point, width: f64, height: f64) -> Contour {
    let half = pt(width, height) / 2.0;
    Contour::rectangle(center - half, center + half)
}

/// One of everything: a base with two slots and two pockets, a lid with round corners and a bowed
/// edge, a cloth with slits, creases and marks, a mirrored liner with a round hole.
pub(crate) fn one_of_everything() -> Vec<Piece> {
    let mut base = piece("board-base", StockKind::Board, block(pt(0.0, 0.0), 212.0, 299.0), Grain::Height);
    for y in [-124.5, 124.5] {
        base.holes.push(block(pt(76.0, y), 8.5, 1.5).reversed());
        let outline = block(pt(76.0, y - y.signum() * 12.0), 8.5, 22.5);
        base.pockets.push(Pocket { outline, depth: mm(1.0) });
    }
    // The free edge rises by 6 mm over its chord of 208 mm; bulge = 2 rise / chord.
    let lid = Contour::new([
        Vertex::new(pt(-110.0, -104.0), 0.0),
        Vertex::new(pt(-110.0, 104.0), 0.0),
        Vertex::new(pt(-200.0, 104.0), 2.0 * 6.0 / 208.0),
        Vertex::new(pt(-200.0, -104.0), 0.0),
    ]);
    let lid = fillet(&lid, 2, 8.0).and_then(|c| fillet(&c, c.vertices().len() - 1, 8.0)).expect("corners have room");
    let lid = piece("board-flap-left", StockKind::Board, lid.ccw(), Grain::Height);
    let mut cloth = piece("cloth-cover", StockKind::Cloth, block(pt(-50.0, 0.0), 360.0, 331.0), Grain::Height);
    cloth.slits.push(Path::line(pt(130.0, 165.5), pt(108.0, 151.5)));
    cloth.creases.push(Path::line(pt(-108.0, -149.5), pt(-108.0, 149.5)));
    cloth.creases.push(Path::new([
        Vertex::new(pt(-150.0, -60.0), 0.2),
        Vertex::new(pt(-150.0, 0.0), -0.1),
        Vertex::new(pt(-150.0, 60.0), 0.0),
    ]));
    cloth.marks.push(Stroke::Closed(block(pt(0.0, 0.0), 212.0, 299.0)));
    cloth.marks.push(Stroke::Open(Path::new([
        Vertex::new(pt(-140.0, 20.0), 0.0),
        Vertex::new(pt(-130.0, 30.0), 0.0),
        Vertex::new(pt(-120.0, 20.0), 0.0),
    ])));
    let mut liner = piece("liner", StockKind::Liner, block(pt(-20.0, 0.0), 240.0, 290.0), Grain::None);
    liner.lay = Lay::Mirrored;
    liner.holes.push(Contour::circle(pt(40.0, 40.0), 12.25).reversed());
    vec![base, lid, cloth, liner]
}
