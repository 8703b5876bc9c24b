//! What goes with the drawings to whoever cuts them: each file with its stock, each layer with what is to be
//! done, whether the kerf is in, a length to check, cautions. As plain text and, with the papers, as a page.

use super::dxf::{STOCK_LAYER, layer};
use super::style::{STOCK_COLOR_WORD, STOCK_DXF_COLOR, style};
use crate::comp::Kerfs;
use crate::design::{Lay, Piece, piece_words};
use crate::diag::capital;
use crate::job::{Coating, Grain, Job, StockKind};
use crate::nest::Sheet;
use crate::ops::SheetOps;
use crate::profile::OperationKind;
use crate::units::{Length, mm};
use std::fmt::Write as _;

/// The plain text's file name.
pub const TEXT_NAME: &str = "for-the-cutter.txt";
/// The page's file name.
pub const PAGE_NAME: &str = "for-the-cutter.pdf";

/// What the sheet tells of.
#[derive(Clone, Copy)]
pub struct Handover<'a> {
    /// The job.
    pub job: &'a Job,
    /// Its pieces.
    pub pieces: &'a [Piece],
    /// What is worked on each sheet, of one that is worked from both faces its first run before.
    pub operations: &'a [&'a SheetOps],
    /// The names of the drawings of each sheet, in the same order.
    pub drawings: &'a [Vec<String>],
    /// What the drawings were moved for.
    pub kerf: Kerfs,
    /// Whether the drawings show the sheet's own edge.
    pub has_edge: bool,
}

/// A part of it, the one below the other.
pub enum Part {
    /// Its title.
    Title(String),
    /// What heads the parts below.
    Heading(&'static str),
    /// A paragraph.
    Text(String),
    /// One of a list.
    Item(String),
    /// A table: the heads of its columns, their shares of the width, its rows.
    Table(&'static [&'static str], &'static [f64], Vec<Vec<String>>),
}

/// All parts in their order.
pub fn parts(of: &Handover<'_>) -> Vec<Part> {
    let mut all = vec![
        Part::Title(format!("For whoever cuts: {}", of.job.title)),
        Part::Text(scale(of)),
        Part::Text(kerf(of)),
        Part::Heading("Files"),
        Part::Table(
            &["file", "cut from", "sheet", "times", "to check after cutting"],
            &[4.2, 2.4, 2.0, 0.7, 2.6],
            of.operations.iter().zip(of.drawings).map(|(ops, names)| file_row(of, ops, names)).collect(),
        ),
        Part::Heading("Lines, in the order of work"),
        Part::Table(&["layer or group", "colour", "what to do"], &[2.4, 1.8, 7.4], layers(of)),
        Part::Text(
            "Small before large, holes before outlines: a piece stays held by its sheet while its inside is worked."
                .into(),
        ),
        Part::Heading("Take care"),
    ];
    all.extend(cautions(of).into_iter().map(Part::Item));
    all
}

/// The same as plain text.
pub fn text(of: &Handover<'_>) -> String {
    let mut s = String::new();
    for part in parts(of) {
        let _ = match part {
            Part::Title(t) => writeln!(s, "{t}\n{}\n", "=".repeat(t.chars().count())),
            Part::Heading(t) => writeln!(s, "\n{t}\n{}\n", "-".repeat(t.chars().count())),
            Part::Text(t) => writeln!(s, "{t}\n"),
            Part::Item(t) => writeln!(s, "- {t}"),
            Part::Table(heads, _, rows) => {
                // A row is a paragraph: lines as wide as a table's are broken anywhere by a small window.
                for row in rows {
                    let _ = writeln!(s, "{}", row.first().map_or("", String::as_str));
                    for (head, cell) in heads.iter().zip(&row).skip(1).filter(|(_, c)| !c.is_empty()) {
                        let _ = writeln!(s, "    {head}: {cell}");
                    }
                }
                writeln!(s)
            }
        };
    }
    s
}

/// Whether the kerf is in, of which stocks.
fn kerf(of: &Handover<'_>) -> String {
    let cut = of.kerf.moved_each(of.operations.iter().map(|o| o.sheet.stock));
    let show = |kerf: Length| of.job.units.show(kerf);
    let first = cut.first().map_or(Length::ZERO, |c| c.1);
    if cut.iter().all(|c| c.1 == first) {
        return match first {
            Length::ZERO => "The kerf is not in: every line is where the piece's edge is to be. Let the machine keep outside of outlines and inside of holes, or ask for drawings that are moved for your kerf.".into(),
            kerf => format!("The kerf is in: outlines are moved out and holes in for a cut {} wide in all. Switch the machine's own compensation off.", show(kerf)),
        };
    }
    let of_stock = |(kind, kerf): &(StockKind, Length)| {
        let word = capital(kind.word());
        match *kerf {
            Length::ZERO => format!(
                "{word}: not in, every line is where the piece's edge is to be; let the machine keep outside of outlines and inside of holes"
            ),
            kerf => format!(
                "{word}: in, outlines are moved out and holes in for a cut {} wide in all; switch the machine's own compensation off",
                show(kerf)
            ),
        }
    };
    format!("The kerf differs. {}.", cut.iter().map(of_stock).collect::<Vec<_>>().join(". "))
}

fn scale(of: &Handover<'_>) -> String {
    let sheets: u32 = of.operations.iter().filter(|o| !o.is_first_side).map(|o| o.sheet.count()).sum();
    let sheets = if sheets == 1 { "one sheet".into() } else { format!("{sheets} sheets") };
    format!(
        "{sheets} in all. Drawings are in millimetres at full size, one unit a millimetre: nothing is to be scaled or fitted."
    )
}

fn file_row(of: &Handover<'_>, ops: &SheetOps, names: &[String]) -> Vec<String> {
    let (sheet, unit) = (&ops.sheet, of.job.units);
    let grain = of.job.stock(sheet.stock).map_or(Grain::None, |s| s.grain);
    let grain = match grain {
        Grain::Width => ", grain along its width",
        Grain::Height => ", grain along its height",
        Grain::None => "",
    };
    vec![
        names.join(", "),
        format!("{}, {} thick{grain}, {}", sheet.stock.word(), unit.show(sheet.thickness), face(of, ops)),
        unit.show_size(&[sheet.width, sheet.height]),
        sheet.count().to_string(),
        if ops.is_first_side { turning(of, sheet) } else { check(of, sheet).unwrap_or_default() },
    ]
}

/// Which face lies up. Pieces of a sheet lie alike, but for a board with a recess.
fn face(of: &Handover<'_>, ops: &SheetOps) -> &'static str {
    let sheet = &ops.sheet;
    if ops.is_first_side {
        return "first run, other face up";
    }
    if ops.first.is_some() {
        return "second run, turned over left to right";
    }
    let piece = sheet.placed.first().and_then(|p| of.pieces.get(p.piece));
    let is_face = of.job.stock(sheet.stock).is_some_and(|s| s.cut_face == crate::job::CutFace::Face);
    match (sheet.stock, piece.map(|p| p.lay)) {
        (StockKind::Board, Some(Lay::OutsideUp)) => "outside up",
        (StockKind::Board, Some(Lay::InsideUp)) => "inside up",
        (StockKind::Board, _) if is_face => "outside up",
        (StockKind::Board, _) => "inside up",
        _ if is_face => "right side up",
        _ => "wrong side up",
    }
}

/// What a sheet must be like that is turned over after its first run.
fn turning(of: &Handover<'_>, sheet: &Sheet) -> String {
    match sheet.turn.and_then(|turn| turn.pins) {
        Some(pins) => format!("both holes are {} wide and go over the pins", of.job.units.show(pins.diameter)),
        None => format!("before: it is {} wide, its corners square", of.job.units.show(sheet.width)),
    }
}

/// The largest piece of a sheet: an error of scale shows there first.
fn check(of: &Handover<'_>, sheet: &Sheet) -> Option<String> {
    let pieces = sheet.placed.iter().filter_map(|p| of.pieces.get(p.piece));
    let largest = pieces.max_by(|a, b| a.outline.area().abs().total_cmp(&b.outline.area().abs()))?;
    let b = largest.outline.bounds();
    let size = of.job.units.show_size(&[mm(b.width()), mm(b.height())]);
    Some(format!("{} is {size}", piece_words(&largest.id)))
}

fn layers(of: &Handover<'_>) -> Vec<Vec<String>> {
    let row = |name: &str, word: &str, number: i64, what: String| {
        vec![name.to_owned(), format!("{word} (DXF {number})"), what]
    };
    let mut rows = Vec::new();
    for kind in OperationKind::ALL {
        let mut depths: Vec<Depth> = Vec::new();
        for ops in of.operations {
            for o in ops.operations.iter().filter(|o| o.kind == kind) {
                let depth = Depth {
                    stock: ops.sheet.stock,
                    depth: o.depth,
                    thickness: ops.sheet.thickness,
                    is_first_run: ops.is_first_side,
                };
                if !depths.contains(&depth) {
                    depths.push(depth);
                }
            }
        }
        if depths.is_empty() {
            continue;
        }
        let style = style(kind);
        rows.push(row(layer(kind), style.color_word, style.dxf_color, what(of, kind, &depths)));
    }
    if of.has_edge {
        let what = "Nothing: it is the sheet's own edge, to lay the stock by.".into();
        rows.push(row(STOCK_LAYER, STOCK_COLOR_WORD, STOCK_DXF_COLOR, what));
    }
    rows
}

/// How deep lines of a kind go into a stock.
#[derive(PartialEq)]
struct Depth {
    stock: StockKind,
    depth: Length,
    thickness: Length,
    is_first_run: bool,
}

fn what(of: &Handover<'_>, kind: OperationKind, depths: &[Depth]) -> String {
    match kind {
        OperationKind::Mark => "Draw or score as faintly as can be seen. Never through.".into(),
        OperationKind::CreaseScore => {
            "Press a crease, or score without cutting through. A machine that only cuts leaves it out.".into()
        }
        OperationKind::HalfDepthPocket => {
            let show = |l: Length| of.job.units.show(l);
            let of_each = |d: &Depth| {
                let run = if d.is_first_run { " in the first run" } else { "" };
                format!("{} {} deep of {}{run}", d.stock.word(), show(d.depth), show(d.thickness))
            };
            let depths: Vec<String> = depths.iter().map(of_each).collect();
            format!(
                "Clear the area, never through: {}. A machine that only cuts leaves it out; it is done by hand.",
                depths.join(", ")
            )
        }
        OperationKind::ThroughCut => "Cut through.".into(),
    }
}

fn cautions(of: &Handover<'_>) -> Vec<String> {
    let mut all = vec![
        "The machine's manual, the shop's rules and local codes come before this page.".to_owned(),
        "Make the first run above the work, and the first cut on scrap of the same stock.".to_owned(),
        "Board burns under a beam: stay beside it, with extraction and what puts a fire out.".to_owned(),
    ];
    if let Some(turn) = of.operations.iter().filter(|o| o.is_first_side).find_map(|o| o.sheet.turn) {
        let by = match turn.pins {
            Some(_) => {
                "Cut its two holes in the first run, and put a pin through each into the bed before you lift it off; turned over, it goes over the same pins."
            }
            None => {
                "Lay its lower left corner to the same place both times: its left and right edges must be straight, square to its lower one, and just so far apart as the table says."
            }
        };
        all.push(format!(
            "A sheet with a first run is worked from both faces: make that run, then turn the sheet over left to right, and make the second one. {by}"
        ));
    }
    let is_cut = |stock| of.operations.iter().any(|o| o.sheet.stock == stock);
    let is_plain = |stock| of.job.stock(stock).is_some_and(|c| c.coating == Coating::None);
    let doubted = [StockKind::Cloth, StockKind::Paper].into_iter().filter(|stock| is_cut(*stock) && !is_plain(*stock));
    let doubted: Vec<&str> = doubted.map(StockKind::word).collect();
    if !doubted.is_empty() {
        all.push(format!(
            "Put no {} under a beam unless its maker says what it is coated with: vinyl (PVC) gives off poisonous, corrosive gas.",
            doubted.join(" or ")
        ));
    }
    all
}
