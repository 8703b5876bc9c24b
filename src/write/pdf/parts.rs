//! What both documents share: names, the rule to check a print by, the key of lines.

use crate::design::{Lay, Piece, piece_words};
use crate::drawing::Faces;
use crate::drawing::{Anchor, Drawing as Page, Pen, Type};
use crate::geom::{Contour, Point, pt};
use crate::job::{CutFace, Job, StockKind};
use crate::units::inch;
use crate::write::style::{CUT_WEIGHT, INK, STYLES, pen};

/// The rim of a page on which home printers do not print, mm.
pub(super) const RIM: f64 = 8.0;
/// The strip along the bottom of a template, mm.
pub(super) const FOOT: f64 = 27.0;

/// A piece's name in words: `board left lid`.
pub(super) fn piece_name(piece: &Piece) -> String {
    piece_words(&piece.id)
}

/// The same without its stock: `left lid`.
pub(super) fn short_name(piece: &Piece) -> String {
    let name = piece_name(piece);
    name.split_once(' ').map_or(name.clone(), |(_, rest)| rest.to_owned())
}

/// Whether a piece lies mirrored while it is cut.
pub(super) fn is_mirrored(job: &Job, piece: &Piece) -> bool {
    piece.is_mirrored(job.stock(piece.stock).map_or(CutFace::Back, |s| s.cut_face))
}

/// Which side of a piece lies up while it is cut.
pub(super) fn face_up(job: &Job, piece: &Piece) -> String {
    let face = |stock: Option<&crate::job::Stock>| stock.is_some_and(|s| s.cut_face == CutFace::Face);
    let text = match piece.stock {
        StockKind::Board if piece.lay == Lay::InsideUp => "inside up",
        StockKind::Board if piece.lay == Lay::OutsideUp || face(Some(&job.board)) => "outside up",
        StockKind::Board => "inside up",
        StockKind::Cloth if face(job.cloth.as_ref()) => "right side up",
        StockKind::Paper if face(job.paper.as_ref()) => "right side up",
        StockKind::Liner if face(job.liner.as_ref()) => "right side up",
        StockKind::Cloth | StockKind::Paper | StockKind::Liner => "wrong side up",
    };
    if is_mirrored(job, piece) { format!("{text} (mirrored)") } else { text.into() }
}

/// 100 mm below a line and 4 in above it, from the same zero at `at`.
pub(super) fn check_rule(page: &mut Page, faces: &Faces, at: Point) {
    let pen = Pen::solid(INK, 0.2);
    let (metric, inches) = (100.0, inch(4.0).to_mm());
    page.line(at, at + pt(inches, 0.0), pen);
    for k in 0..=10 {
        let x = metric * f64::from(k) / 10.0;
        page.line(at + pt(x, 0.0), at + pt(x, if k % 5 == 0 { -2.5 } else { -1.5 }), pen);
    }
    for k in 0..=8 {
        let x = inches * f64::from(k) / 8.0;
        page.line(at + pt(x, 0.0), at + pt(x, if k % 2 == 0 { 2.5 } else { 1.5 }), pen);
    }
    let small = Type::new(2.6);
    page.text(faces, at + pt(inches + 2.0, 0.8), Anchor::Left, small, "4 in");
    page.text(faces, at + pt(inches + 2.0, -2.6), Anchor::Left, small, "100 mm");
}

/// What the lines mean, in one row of `room` mm about the height of `at`.
pub(super) fn key(page: &mut Page, faces: &Faces, at: Point, room: f64) {
    let each = room / STYLES.len() as f64;
    let kind = Type::new(2.9);
    for (i, style) in STYLES.iter().enumerate() {
        let left = at + pt(each * i as f64, 0.0);
        let line = pen(style.kind, CUT_WEIGHT * 1.0);
        match style.fill {
            Some(fill) => {
                page.shape(vec![Contour::rectangle(left - pt(0.0, 1.6), left + pt(13.0, 1.6))], Some(fill), Some(line));
            }
            None => page.line(left, left + pt(13.0, 0.0), line),
        }
        page.text(faces, left + pt(14.5, -1.0), Anchor::Left, kind, style.kind.word());
    }
}

/// `text` in lines of at most `room` mm. A word longer than a line stands on one of its own.
pub(super) fn wrapped(faces: &Faces, text: &str, kind: Type, room: f64) -> Vec<String> {
    let width = |t: &str| faces.width(t, kind.size, kind.weight);
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if width(&format!("{line} {word}")) <= room => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// `text` as large as `kind` says, or as much smaller as `room` mm asks for.
pub(super) fn shrunk(faces: &Faces, text: &str, kind: Type, room: f64) -> Type {
    let width = faces.width(text, kind.size, kind.weight);
    if width <= room { kind } else { Type { size: kind.size * room / width, ..kind } }
}
