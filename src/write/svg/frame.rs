//! What stands round the sheet: title, dimensions, what can be kept of it, the key to the lines.

use super::parts::{Place, Text, hex, n, path, path_data, stroke, width};
use crate::geom::{Bounds, pt};
use crate::ops::{Keep, Operation, SheetOps};
use crate::profile::OperationKind;
use crate::units::Unit;
use crate::write::style::{INK, LineStyle, QUIET, STYLES};
use std::fmt::Write as _;

/// What falls away: light, yet grey on grey paper, so that the pieces stand out white.
const WASTE: &str = "#e6e3da";
/// The pieces, and the paper.
pub(super) const WHITE: &str = "#ffffff";

/// A picture in the making.
pub(super) struct Picture<'a> {
    pub(super) sheet: &'a SheetOps,
    pub(super) unit: Unit,
    pub(super) s: String,
    /// Text and lines grow with the sheet, so that the picture reads alike whatever its size: 1 for
    /// a sheet of a metre.
    pub(super) scale: f64,
    /// The size of its text.
    pub(super) text: f64,
    pub(super) place: Place,
    rim: f64,
    /// Where the next row of the key goes.
    row: f64,
}

/// A sample of a line or sign and what it means.
pub(super) struct KeyEntry {
    /// Drawn between x = 0 and 1 times the sample's length, at y = 0.
    pub(super) sample: Box<dyn Fn(f64, f64, f64) -> String>,
    pub(super) means: String,
}

impl<'a> Picture<'a> {
    /// The page with its title (a line or more), the sheet and its dimensions; room for `rows` of a
    /// key below.
    pub(super) fn new(sheet: &'a SheetOps, title: &[String], unit: Unit, rows: usize) -> Self {
        let (w, h) = (sheet.width.to_mm(), sheet.height.to_mm());
        let scale = (w.max(h) / 1000.0).max(0.05);
        let (text, rim) = (20.0 * scale, 60.0 * scale);
        let top = 0.4 * rim + 1.5 * text * title.len() as f64;
        let key = top + h + 1.1 * rim;
        let (page_w, page_h) = (w + 2.0 * rim, key + 1.7 * text * rows as f64);
        let mut s = String::new();
        let _ = writeln!(
            s,
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0}mm\" height=\"{1}mm\" viewBox=\"0 0 {0} {1}\" \
             font-family=\"DejaVu Sans, Verdana, sans-serif\" fill=\"{2}\">",
            n(page_w),
            n(page_h),
            hex(INK)
        );
        let _ = writeln!(s, "<rect width=\"100%\" height=\"100%\" fill=\"{WHITE}\"/>");
        for (i, line) in title.iter().enumerate() {
            let size = if i == 0 { text * 1.15 } else { text * 0.85 };
            let fits = size.min(size * w / width(line, size).max(1.0));
            let at = (rim, 0.3 * rim + 1.5 * text * i as f64 + 0.5 * text);
            Text { at, size: fits, is_centered: false, is_upright: false, halo: None, text: line }.write(&mut s);
        }
        let _ = writeln!(
            s,
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"{WASTE}\"/>",
            n(rim),
            n(top),
            n(w),
            n(h)
        );
        let place = Place { left: rim, bottom: top + h };
        let mut picture = Self { sheet, unit, s, scale, text, place, rim, row: key };
        picture.dimensions();
        picture
    }

    /// The title's first line: whose sheet it is, its size, and how often it is cut.
    pub(super) fn heading(sheet: &SheetOps, title: &str, unit: Unit) -> String {
        format!(
            "{title}: {}, {}, {} thick{}",
            sheet.sheet,
            unit.show_size(&[sheet.width, sheet.height]),
            unit.show(sheet.thickness),
            if sheet.count > 1 { format!(", cut {} alike", sheet.count) } else { String::new() }
        )
    }

    /// The sheet's width below it and its height beside it.
    fn dimensions(&mut self) {
        let (w, h) = (self.sheet.width.to_mm(), self.sheet.height.to_mm());
        let Place { left, bottom } = self.place;
        let (top, scale, text) = (bottom - h, self.scale, self.text);
        let (below, beside) = (bottom + 0.3 * self.rim, left - 0.3 * self.rim);
        let _ = writeln!(
            self.s,
            "<path d=\"M{0} {1}H{2}M{0} {3}v{4}M{2} {3}v{4}M{5} {6}V{7}M{8} {6}h{4}M{8} {7}h{4}\" fill=\"none\" stroke=\"{9}\" stroke-width=\"{10}\"/>",
            n(left),
            n(below),
            n(left + w),
            n(below - 4.0 * scale),
            n(8.0 * scale),
            n(beside),
            n(top),
            n(bottom),
            n(beside - 4.0 * scale),
            hex(INK),
            n(0.7 * scale)
        );
        let (across, up) = (self.unit.show(self.sheet.width), self.unit.show(self.sheet.height));
        let plain = Text { at: (0.0, 0.0), size: text, is_centered: true, is_upright: false, halo: None, text: "" };
        Text { at: (left + w / 2.0, below + 0.75 * text), text: &across, ..plain }.write(&mut self.s);
        Text { at: (beside - 0.75 * text, top + h / 2.0), text: &up, is_upright: true, ..plain }.write(&mut self.s);
    }

    /// What can be kept for next time, framed, with its size.
    pub(super) fn offcut(&mut self) -> Option<Bounds> {
        let offcut = self.sheet.offcut?;
        let min = pt(offcut.x.to_mm(), offcut.y.to_mm());
        let bounds = Bounds { min, max: min + pt(offcut.width.to_mm(), offcut.height.to_mm()) };
        let (x, y) = self.place.of(pt(bounds.min.x, bounds.max.y));
        let _ = writeln!(
            self.s,
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"#f4f2ec\" stroke=\"{}\" stroke-width=\"{}\" stroke-dasharray=\"{6} {6}\"/>",
            n(x),
            n(y),
            n(bounds.width()),
            n(bounds.height()),
            hex(QUIET),
            n(0.7 * self.scale),
            n(4.0 * self.scale),
        );
        let name = format!("offcut {}", self.unit.show_size(&[offcut.width, offcut.height]));
        self.along(bounds, &name, self.text, "#f4f2ec")
    }

    /// The sheet's own edge, over all that is tinted on it.
    pub(super) fn edge(&mut self) {
        let (w, h) = (self.sheet.width.to_mm(), self.sheet.height.to_mm());
        let _ = writeln!(
            self.s,
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"{}\"/>",
            n(self.place.left),
            n(self.place.bottom - h),
            n(w),
            n(h),
            hex(QUIET),
            n(self.scale)
        );
    }

    /// Every piece in white, what is cut out of it in the waste's colour.
    pub(super) fn pieces(&mut self) {
        for (keep, color) in [(Keep::Inside, WHITE), (Keep::Outside, WASTE)] {
            let lines = self.of_kind(OperationKind::ThroughCut).filter(|o| o.keep == keep);
            let d: String = lines.map(|o| path_data(&o.stroke, self.place)).collect();
            if !d.is_empty() {
                let _ = writeln!(self.s, "<path d=\"{}\" fill=\"{color}\" stroke=\"none\"/>", d.trim_end());
            }
        }
    }

    fn of_kind(&self, kind: OperationKind) -> impl Iterator<Item = &'a Operation> + use<'a> {
        self.sheet.operations.iter().filter(move |o| o.kind == kind)
    }

    /// The lines of each kind that `shown` lets through, a through-cut on top.
    pub(super) fn lines(&mut self, shown: &dyn Fn(&Operation) -> bool) {
        for style in STYLES.iter().rev() {
            let lines = self.of_kind(style.kind).filter(|o| shown(o));
            let d: String = lines.map(|o| path_data(&o.stroke, self.place)).collect();
            path(&mut self.s, &d, style, self.scale);
        }
    }

    /// The names of the pieces that carry none in strokes of their own, and where they stand on the
    /// sheet.
    pub(super) fn names(&mut self) -> Vec<Bounds> {
        let outlines = self.of_kind(OperationKind::ThroughCut).filter(|o| o.keep == Keep::Inside);
        let bare: Vec<&Operation> = outlines.filter(|o| !is_lettered(self.sheet, &o.piece, o.copy)).collect();
        let mut taken = Vec::new();
        for o in bare {
            let name = if o.copy > 1 { format!("{} /{}", o.piece, o.copy) } else { o.piece.clone() };
            taken.extend(self.along(o.stroke.bounds(), &name, self.text * 0.9, WHITE));
        }
        taken
    }

    /// A text along the longer side of a box, as large as fits; left out where it would not be
    /// legible. Where it stands.
    fn along(&mut self, b: Bounds, name: &str, largest: f64, halo: &str) -> Option<Bounds> {
        let is_upright = b.height() > b.width();
        let (long, short) = if is_upright { (b.height(), b.width()) } else { (b.width(), b.height()) };
        let size = largest.min(short * 0.5).min(long * 0.9 / width(name, 1.0));
        if size < self.text * 0.2 {
            return None;
        }
        let at = self.place.of(b.center());
        Text { at, size, is_centered: true, is_upright, halo: Some(halo), text: name }.write(&mut self.s);
        let (w, h) = (width(name, size), size * 1.2);
        let half = if is_upright { pt(h, w) } else { pt(w, h) } / 2.0;
        Some(Bounds { min: b.center() - half, max: b.center() + half })
    }

    /// A row of the key.
    pub(super) fn key(&mut self, entries: &[KeyEntry]) {
        let whole = self.sheet.width.to_mm() + self.rim;
        let sample = 40.0 * self.scale;
        let gap = 0.5 * self.text;
        let taken = |size: f64| -> f64 { entries.iter().map(|e| sample + 3.0 * gap + width(&e.means, size)).sum() };
        let mut size = self.text * 0.85;
        while taken(size) > whole && size > self.text * 0.2 {
            size *= 0.95;
        }
        let (mut x, y) = (0.5 * self.rim + gap, self.row);
        for entry in entries {
            self.s.push_str(&(entry.sample)(x, y, sample));
            let at = (x + sample + gap, y);
            Text { at, size, is_centered: false, is_upright: false, halo: None, text: &entry.means }.write(&mut self.s);
            x += sample + 3.0 * gap + width(&entry.means, size);
        }
        self.row += 1.7 * self.text;
    }

    /// The key to the kinds of line that the sheet has.
    pub(super) fn kinds(&mut self) {
        let has = |style: &&LineStyle| self.sheet.operations.iter().any(|o| o.kind == style.kind);
        let scale = self.scale;
        let entry = |style: &'static LineStyle| KeyEntry {
            sample: Box::new(move |x, y, long| {
                format!("<path d=\"M{} {}h{}\" {}/>\n", n(x), n(y), n(long), stroke(style, scale * 1.2))
            }),
            means: style.kind.word().into(),
        };
        let entries: Vec<KeyEntry> = STYLES.iter().filter(has).map(entry).collect();
        self.key(&entries);
    }

    pub(super) fn finish(mut self) -> Vec<u8> {
        self.s.push_str("</svg>\n");
        self.s.into_bytes()
    }
}

/// Whether a piece carries its name in strokes of its own: nothing else draws
/// open marks.
fn is_lettered(sheet: &SheetOps, piece: &str, copy: u32) -> bool {
    let of_piece = |o: &&Operation| o.piece == piece && o.copy == copy;
    let strokes =
        sheet.operations.iter().filter(of_piece).filter(|o| o.kind == OperationKind::Mark && !o.stroke.is_closed());
    strokes.count() > 1
}
