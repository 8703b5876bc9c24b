//! A sheet with each piece a group of its own, for a page that answers to being pointed at.

use super::frame::WHITE;
use super::parts::{Place, Text, hex, n, path_data, stroke, width};
use crate::geom::Bounds;
use crate::ops::{Keep, Operation, SheetOps};
use crate::profile::OperationKind;
use crate::units::Unit;
use crate::write::style::{QUIET, STYLES};
use std::fmt::Write as _;

/// The sheet alone, mm for mm, y down from its upper edge; `<g data-piece="ID">` round all that belongs to a
/// copy of a piece.
pub fn by_piece(sheet: &SheetOps, unit: Unit) -> String {
    let (w, h) = (sheet.width.to_mm(), sheet.height.to_mm());
    let scale = (w.max(h) / 1000.0).max(0.05);
    let place = Place { left: 0.0, bottom: h };
    let mut s = String::new();
    let _ = writeln!(
        s,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {0} {1}\" role=\"img\">\n\
         <rect class=\"stock\" width=\"{0}\" height=\"{1}\" fill=\"#e6e3da\" stroke=\"{2}\" stroke-width=\"{3}\"/>",
        n(w),
        n(h),
        hex(QUIET),
        n(scale)
    );
    if let Some(o) = sheet.offcut {
        let (ow, oh) = (o.width.to_mm(), o.height.to_mm());
        let top = h - o.y.to_mm() - oh;
        let _ = writeln!(
            s,
            "<g class=\"offcut\"><rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"#f4f2ec\" stroke=\"{}\" stroke-width=\"{}\" stroke-dasharray=\"{6} {6}\"/>",
            n(o.x.to_mm()),
            n(top),
            n(ow),
            n(oh),
            hex(QUIET),
            n(0.7 * scale),
            n(4.0 * scale),
        );
        let name = format!("offcut {}", unit.show_size(&[o.width, o.height]));
        let bounds = Bounds {
            min: crate::geom::pt(o.x.to_mm(), o.y.to_mm()),
            max: crate::geom::pt(o.x.to_mm() + ow, o.y.to_mm() + oh),
        };
        label(&mut s, place, bounds, &name, 20.0 * scale);
        s.push_str("</g>\n");
    }
    let mut order: Vec<(&str, u32)> = Vec::new();
    for o in &sheet.operations {
        let of = (o.piece.as_str(), o.copy);
        if !order.contains(&of) {
            order.push(of);
        }
    }
    for of in order {
        let own: Vec<&Operation> = sheet.operations.iter().filter(|o| (o.piece.as_str(), o.copy) == of).collect();
        piece(&mut s, place, scale, &own);
    }
    s.push_str("</svg>");
    s
}

fn piece(s: &mut String, place: Place, scale: f64, own: &[&Operation]) {
    let Some(first) = own.first() else { return };
    let _ = writeln!(
        s,
        "<g class=\"piece\" data-piece=\"{}\" data-copy=\"{}\">",
        super::parts::escape(&first.piece),
        first.copy
    );
    for (keep, color) in [(Keep::Inside, WHITE), (Keep::Outside, "#e6e3da")] {
        let d: String = own
            .iter()
            .filter(|o| o.kind == OperationKind::ThroughCut && o.keep == keep && o.stroke.is_closed())
            .map(|o| path_data(&o.stroke, place))
            .collect();
        if !d.is_empty() {
            let class = if keep == Keep::Inside { "face" } else { "hole" };
            let _ = writeln!(s, "<path class=\"{class}\" d=\"{}\" fill=\"{color}\" stroke=\"none\"/>", d.trim_end());
        }
    }
    for style in STYLES.iter().rev() {
        let d: String = own.iter().filter(|o| o.kind == style.kind).map(|o| path_data(&o.stroke, place)).collect();
        if !d.is_empty() {
            let (class, d) = (style.kind.word(), d.trim_end());
            let _ = writeln!(s, "<path class=\"{class}\" d=\"{d}\" {}/>", stroke(style, scale));
        }
    }
    let outline = own.iter().find(|o| o.kind == OperationKind::ThroughCut && o.keep == Keep::Inside);
    let has_letters = own.iter().filter(|o| o.kind == OperationKind::Mark && !o.stroke.is_closed()).count() > 1;
    if let Some(outline) = outline.filter(|_| !has_letters) {
        label(s, place, outline.stroke.bounds(), &first.piece, 18.0 * scale);
    }
    s.push_str("</g>\n");
}

/// A text along the longer side of a box, as large as fits.
fn label(s: &mut String, place: Place, b: Bounds, text: &str, largest: f64) {
    let is_upright = b.height() > b.width();
    let (long, short) = if is_upright { (b.height(), b.width()) } else { (b.width(), b.height()) };
    let size = largest.min(short * 0.5).min(long * 0.9 / width(text, 1.0).max(1e-9));
    if size >= largest * 0.2 {
        let at = place.of(b.center());
        Text { at, size, is_centered: true, is_upright, halo: None, text }.write(s);
    }
}
