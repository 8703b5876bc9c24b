//! What stands round the sheet: title, dimensions, what can be kept of it, the key to the lines.

use crate::drawing::{Anchor, Drawing, Faces, Mark, Pen, Rgb, Type, Weight};
use crate::geom::{Bounds, Contour, Point, Stroke, Transform, pt};
use crate::ops::{Keep, Operation, Shared, SheetOps};
use crate::profile::OperationKind;
use crate::units::Unit;
use crate::write::style::{INK, LineStyle, QUIET, STYLES, pen};

/// What falls away: light, yet grey on grey paper, so that the pieces stand out white.
const WASTE: Rgb = [0xe6, 0xe3, 0xda];
/// What can be kept.
const KEPT: Rgb = [0xf4, 0xf2, 0xec];
/// The pieces, and the paper.
pub(super) const WHITE: Rgb = [0xff; 3];
/// The weight of a through-cut on a sheet of a metre, mm.
pub(super) const CUT: f64 = 1.6;
/// The middle of capitals and figures lies so far above their foot, in their size.
const MIDDLE: f64 = 0.36;

/// The size of a list's letters in those of the picture, and how far apart its lines are in their size.
const LISTED: f64 = 0.7;
const LEAD: f64 = 1.4;

/// A picture in the making.
pub(super) struct Picture<'a> {
    pub(super) sheet: &'a SheetOps,
    pub(super) unit: Unit,
    pub(super) drawing: Drawing,
    pub(super) faces: Faces,
    /// Text and lines grow with the sheet, so that the picture reads alike whatever its size: 1 for
    /// a sheet of a metre.
    pub(super) scale: f64,
    /// The size of its text.
    pub(super) text: f64,
    /// Where the sheet's lower left corner lies.
    pub(super) corner: Point,
    rim: f64,
    /// Where the next row of the key goes.
    row: f64,
}

/// Draws a line or sign.
type Sample<'a> = Box<dyn Fn(&mut Picture<'a>, Point, f64) + 'a>;

/// A sample of a line or sign and what it means.
pub(super) struct KeyEntry<'a> {
    /// Drawn to the right of a point, as long as said.
    pub(super) sample: Sample<'a>,
    pub(super) means: String,
}

impl<'a> Picture<'a> {
    /// The page with its title (a line or more), the sheet and its dimensions; room for `rows` of a
    /// key and for a `list` below.
    pub(super) fn new(sheet: &'a SheetOps, title: &[String], unit: Unit, rows: usize, list: &[String]) -> Self {
        let (w, h) = (sheet.sheet.width.to_mm(), sheet.sheet.height.to_mm());
        let scale = (w.max(h) / 1000.0).max(0.05);
        let (text, rim) = (20.0 * scale, 60.0 * scale);
        let top = 0.4 * rim + 1.5 * text * title.len() as f64;
        let faces = Faces::new();
        let listed = rows_in(list, &faces, text, w + rim).1 as f64 * LISTED * LEAD * text;
        let below = 1.1 * rim + 1.7 * text * rows as f64 + listed;
        let drawing = Drawing::new(w + 2.0 * rim, top + h + below);
        let corner = pt(rim, below);
        let row = below - 1.1 * rim;
        let mut picture = Self { sheet, unit, drawing, faces, scale, text, corner, rim, row };
        for (i, line) in title.iter().enumerate() {
            let size = if i == 0 { text * 1.15 } else { text * 0.85 };
            let fits = size.min(size * w / picture.width(line, size).max(1e-9));
            let at = pt(rim, picture.drawing.height - 0.3 * rim - 1.5 * text * i as f64 - 0.5 * text);
            picture.write(at, Anchor::Left, Type::new(fits), line, false);
        }
        picture.rectangle(pt(0.0, 0.0), pt(w, h), Some(WASTE), None);
        picture.dimensions();
        picture
    }

    /// The sheet alone.
    pub(super) fn bare(sheet: &'a SheetOps, unit: Unit) -> Self {
        let (w, h) = (sheet.sheet.width.to_mm(), sheet.sheet.height.to_mm());
        let scale = (w.max(h) / 1000.0).max(0.05);
        let (drawing, corner) = (Drawing::new(w, h), pt(0.0, 0.0));
        let (text, faces) = (20.0 * scale, Faces::new());
        let mut picture = Self { sheet, unit, drawing, faces, scale, text, corner, rim: 0.0, row: 0.0 };
        picture.rectangle(pt(0.0, 0.0), pt(w, h), Some(WASTE), None);
        picture
    }

    /// The title's first line: whose sheet it is, its size, and how often it is cut.
    pub(super) fn heading(sheet: &SheetOps, title: &str, unit: Unit) -> String {
        format!(
            "{title}: {}, {}, {} thick{}",
            sheet_words(sheet),
            unit.show_size(&[sheet.sheet.width, sheet.sheet.height]),
            unit.show(sheet.sheet.thickness),
            if sheet.sheet.count() > 1 { format!(", cut {} alike", sheet.sheet.count()) } else { String::new() }
        )
    }

    /// How wide a text is.
    pub(super) fn width(&self, text: &str, size: f64) -> f64 {
        self.faces.width(text, size, Weight::Regular)
    }

    /// A text whose letters' middle lies at the height of a point of the picture.
    pub(super) fn write(&mut self, at: Point, anchor: Anchor, kind: Type, text: &str, is_upright: bool) {
        let down = kind.size * MIDDLE;
        if is_upright {
            self.drawing.upright(&self.faces, at + pt(down, 0.0), anchor, kind, text);
        } else {
            self.drawing.text(&self.faces, at - pt(0.0, down), anchor, kind, text);
        }
    }

    /// Lines in the sheet's coordinates.
    pub(super) fn draw(&mut self, strokes: Vec<Stroke>, fill: Option<Rgb>, pen: Option<Pen>) {
        let shift = Transform::shift(self.corner);
        let strokes: Vec<Stroke> = strokes.iter().map(|s| s.transformed(&shift)).collect();
        if !strokes.is_empty() {
            self.drawing.items.push(Mark::Lines { strokes, fill, pen });
        }
    }

    fn rectangle(&mut self, min: Point, max: Point, fill: Option<Rgb>, pen: Option<Pen>) {
        self.draw(vec![Stroke::Closed(Contour::rectangle(min, max))], fill, pen);
    }

    /// The sheet's width below it and its height beside it.
    fn dimensions(&mut self) {
        let (w, h) = (self.sheet.sheet.width.to_mm(), self.sheet.sheet.height.to_mm());
        let (corner, text, tick) = (self.corner, self.text, 4.0 * self.scale);
        let pen = Pen::solid(INK, 0.7 * self.scale);
        let (below, beside) = (corner.y - 0.3 * self.rim, corner.x - 0.3 * self.rim);
        self.drawing.line(pt(corner.x, below), pt(corner.x + w, below), pen);
        self.drawing.line(pt(beside, corner.y), pt(beside, corner.y + h), pen);
        for x in [corner.x, corner.x + w] {
            self.drawing.line(pt(x, below - tick), pt(x, below + tick), pen);
        }
        for y in [corner.y, corner.y + h] {
            self.drawing.line(pt(beside - tick, y), pt(beside + tick, y), pen);
        }
        let (across, up) = (self.unit.show(self.sheet.sheet.width), self.unit.show(self.sheet.sheet.height));
        let kind = Type::new(text);
        self.write(pt(corner.x + w / 2.0, below - 0.75 * text), Anchor::Middle, kind, &across, false);
        self.write(pt(beside - 0.75 * text, corner.y + h / 2.0), Anchor::Middle, kind, &up, true);
    }

    /// What can be kept for next time, framed, with its size.
    pub(super) fn offcut(&mut self) -> Option<Bounds> {
        let offcut = self.sheet.sheet.offcut?;
        let bounds = offcut.bounds();
        let pen = Pen { color: QUIET, width: 0.7 * self.scale, dashes: &[1.0, 1.0], unit: 4.0 * self.scale };
        self.rectangle(bounds.min, bounds.max, Some(KEPT), Some(pen));
        let name = format!("offcut {}", self.unit.show_size(&[offcut.width, offcut.height]));
        self.along(bounds, &name, self.text, KEPT)
    }

    /// The sheet's own edge, over all that is tinted on it.
    pub(super) fn edge(&mut self) {
        let size = pt(self.sheet.sheet.width.to_mm(), self.sheet.sheet.height.to_mm());
        self.rectangle(pt(0.0, 0.0), size, None, Some(Pen::solid(QUIET, self.scale)));
    }

    /// The pieces that are cut after the sheet was turned over, white with a faint edge; and in that run the holes that it
    /// goes over pins with.
    pub(super) fn later(&mut self) {
        let pins = self.sheet.sheet.turn.and_then(|turn| turn.pins).filter(|_| !self.sheet.is_first_side);
        let holes = pins.iter().flat_map(|p| p.holes()).map(Stroke::Closed).collect();
        self.draw(holes, Some(WHITE), Some(Pen::solid(QUIET, 0.7 * self.scale)));
        let later = self.sheet.later.iter().map(|s| Stroke::Closed(s.outline.clone())).collect();
        self.draw(later, Some(WHITE), Some(Pen::solid(QUIET, 0.7 * self.scale)));
    }

    /// Their names, and where they stand on the sheet.
    pub(super) fn later_names(&mut self) -> Vec<Bounds> {
        let sheet = self.sheet;
        let name = |s: &Shared| if s.copy > 1 { format!("{} /{}", s.piece, s.copy) } else { s.piece.clone() };
        let all = sheet.later.iter().map(|s| (s.outline.bounds(), name(s)));
        all.filter_map(|(bounds, name)| self.along(bounds, &name, self.text * 0.9, WHITE)).collect()
    }

    /// Every piece in white, what is cut out of it in the waste's colour.
    pub(super) fn pieces(&mut self, of: &dyn Fn(&Operation) -> bool) {
        for (keep, color) in [(Keep::Inside, WHITE), (Keep::Outside, WASTE)] {
            let lines = self.of_kind(OperationKind::ThroughCut).filter(|o| o.keep == keep && of(o));
            for stroke in lines.map(|o| o.stroke.clone()).collect::<Vec<_>>() {
                self.draw(vec![stroke], Some(color), None);
            }
        }
    }

    fn of_kind(&self, kind: OperationKind) -> impl Iterator<Item = &'a Operation> + use<'a> {
        self.sheet.operations.iter().filter(move |o| o.kind == kind)
    }

    /// The lines of each kind that `shown` lets through, a through-cut on top.
    pub(super) fn lines(&mut self, shown: &dyn Fn(&Operation) -> bool) {
        for style in STYLES.iter().rev() {
            let lines = self.of_kind(style.kind).filter(|o| shown(o)).map(|o| o.stroke.clone()).collect();
            self.draw(lines, style.fill, Some(pen(style.kind, CUT * self.scale)));
        }
    }

    /// The names of the pieces that carry none in strokes of their own, and where they stand on the
    /// sheet.
    pub(super) fn names(&mut self, of: &dyn Fn(&Operation) -> bool) -> Vec<Bounds> {
        let outlines = self.of_kind(OperationKind::ThroughCut).filter(|o| o.keep == Keep::Inside && of(o));
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
    fn along(&mut self, b: Bounds, name: &str, largest: f64, halo: Rgb) -> Option<Bounds> {
        let is_upright = b.height() > b.width();
        let (long, short) = if is_upright { (b.height(), b.width()) } else { (b.width(), b.height()) };
        let size = largest.min(short * 0.5).min(long * 0.9 / self.width(name, 1.0).max(1e-9));
        if size < self.text * 0.2 {
            return None;
        }
        self.write(self.corner + b.center(), Anchor::Middle, Type::new(size).halo(halo), name, is_upright);
        let (w, h) = (self.width(name, size), size * 1.2);
        let half = if is_upright { pt(h, w) } else { pt(w, h) } / 2.0;
        Some(Bounds { min: b.center() - half, max: b.center() + half })
    }

    /// A row of the key.
    pub(super) fn key(&mut self, entries: &[KeyEntry<'a>]) {
        let whole = self.sheet.sheet.width.to_mm() + self.rim;
        let sample = 40.0 * self.scale;
        let gap = 0.5 * self.text;
        let taken =
            |size: f64| -> f64 { entries.iter().map(|e| sample + 3.0 * gap + self.width(&e.means, size)).sum() };
        let mut size = self.text * 0.85;
        while taken(size) > whole && size > self.text * 0.2 {
            size *= 0.95;
        }
        let mut at = pt(0.5 * self.rim + gap, self.row);
        for entry in entries {
            (entry.sample)(self, at, sample);
            self.write(at + pt(sample + gap, 0.0), Anchor::Left, Type::new(size), &entry.means, false);
            at.x += sample + 3.0 * gap + self.width(&entry.means, size);
        }
        self.row -= 1.7 * self.text;
    }

    /// Lines of small text below the key, column by column.
    pub(super) fn list(&mut self, lines: &[String]) {
        let room = self.sheet.sheet.width.to_mm() + self.rim;
        let (columns, rows) = rows_in(lines, &self.faces, self.text, room);
        let kind = Type::new(LISTED * self.text);
        let corner = pt(0.5 * self.rim + 0.5 * self.text, self.row + 0.4 * self.text);
        for (i, text) in lines.iter().enumerate() {
            let (column, row) = ((i / rows.max(1)) as f64, (i % rows.max(1)) as f64);
            let at = corner + pt(column * room / columns as f64, -row * LEAD * kind.size);
            self.write(at, Anchor::Left, kind, text, false);
        }
        self.row -= rows as f64 * LEAD * kind.size;
    }

    /// The key to the kinds of line that the sheet has.
    pub(super) fn kinds(&mut self) {
        let has = |style: &&LineStyle| self.sheet.operations.iter().any(|o| o.kind == style.kind);
        let entry = |style: &'static LineStyle| KeyEntry {
            sample: line(move |scale| pen(style.kind, CUT * scale * 1.2)),
            means: style.kind.word().into(),
        };
        let entries: Vec<KeyEntry<'_>> = STYLES.iter().filter(has).map(entry).collect();
        self.key(&entries);
    }
}

/// What a picture calls its sheet: which run it shows where the sheet is turned over.
fn sheet_words(sheet: &SheetOps) -> String {
    let id = &sheet.sheet.id;
    match (sheet.is_first_side, &sheet.first) {
        (true, _) => format!("{id}, first run, its other face up"),
        (false, Some(_)) => format!("{id}, second run, turned over"),
        (false, None) => id.clone(),
    }
}

/// In how many columns of how many rows lines of small text stand in `room` mm, beside text of a size.
fn rows_in(lines: &[String], faces: &Faces, text: f64, room: f64) -> (usize, usize) {
    let size = LISTED * text;
    let longest = lines.iter().map(|l| faces.width(l, size, Weight::Regular)).fold(0.0, f64::max);
    let columns = ((room / (longest + 1.5 * size)) as usize).clamp(1, lines.len().max(1));
    (columns, lines.len().div_ceil(columns))
}

/// A line as a sample of itself.
pub(super) fn line<'a>(pen: impl Fn(f64) -> Pen + 'a) -> Sample<'a> {
    Box::new(move |picture, at, long| picture.drawing.line(at, at + pt(long, 0.0), pen(picture.scale)))
}

/// Whether a piece carries its name in strokes of its own: nothing else draws
/// open marks.
fn is_lettered(sheet: &SheetOps, piece: &str, copy: u32) -> bool {
    let of_piece = |o: &&Operation| o.piece == piece && o.copy == copy;
    let strokes =
        sheet.operations.iter().filter(of_piece).filter(|o| o.kind == OperationKind::Mark && !o.stroke.is_closed());
    strokes.count() > 1
}
