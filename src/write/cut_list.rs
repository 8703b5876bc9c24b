//! The list of what to cut, for spreadsheets and for programs: as CSV (RFC 4180: commas, CRLF,
//! quotes where a field needs them) and as JSON. Both are written from the same rows.

use super::cell::harmless;
use crate::design::{Piece, Role};
use crate::fit::{InsideFigures, StrapFigures, TieFigures};
use crate::job::{Grain, Job};
use crate::nest::Sheet;
use crate::units::{Length, Unit, decimal, mm, tidy};
use serde::Serialize;
use serde_json::{Map, Value, json};
use std::sync::Arc;

/// The version of the JSON's form, its key `format`.
pub const FORMAT: u32 = 1;

/// What lies on no sheet: the elastics and the ribbons of a box, cut from a reel, and padding that is bought apart.
#[derive(Clone, Copy)]
pub struct Reels<'a> {
    /// What stands before their names in the list: nothing, or the item with a slash.
    pub of: &'a str,
    /// The elastics' count and length.
    pub strap: Option<&'a StrapFigures>,
    /// The ribbons', lid by lid.
    pub ties: &'a [TieFigures],
    /// What lies inside: its ribbon and its padding.
    pub inside: Option<&'a InsideFigures>,
}

/// One piece of the list. The names of the fields are the columns and the keys.
#[derive(Serialize)]
struct Row<'a> {
    stock: &'static str,
    /// Of the stock, as measured.
    thickness_mm: f64,
    piece: std::borrow::Cow<'a, str>,
    /// Nothing for an elastic, a ribbon or padding bought apart.
    role: Option<Role>,
    side: Option<&'static str>,
    /// How many one box needs.
    each: u32,
    copies: u32,
    /// How many all boxes need, as laid out.
    count: usize,
    /// The rectangle round it.
    width_mm: f64,
    height_mm: f64,
    /// The same in the job's unit.
    width: f64,
    height: f64,
    unit: &'static str,
    /// The same as it is written on paper.
    size: String,
    /// Of one, by its true outline, openings taken off.
    area_mm2: f64,
    /// Which way the grain runs in that rectangle.
    grain: &'static str,
    slots: usize,
    pockets: usize,
    /// Of its pockets, the deepest; nothing without.
    pocket_depth_mm: Option<f64>,
    slits: usize,
    creases: usize,
    /// The sheets that it lies on, and the sizes that these have, `700x1000`.
    sheets: Vec<&'a str>,
    sheet_sizes_mm: Vec<String>,
}

/// The list as CSV: a line with the names of the columns, then one line a piece in the order of the
/// design, and one for the elastics, for the ribbons of each lid, for the lift ribbon, as long as they are cut, and for each
/// sheet of padding bought apart. Lengths are mm to a hundredth where the column says so, and in the job's unit (inches to
/// a thousandth) where the column `unit` does; sheets and their sizes are divided
/// by spaces.
pub fn cut_list(job: &Job, pieces: &[Piece], sheets: &[Arc<Sheet>], reels: Reels<'_>) -> Vec<u8> {
    let rows = objects(job, pieces, sheets, reels);
    let mut text = String::new();
    // Without pieces there is nothing to list; a job that reached the writers has some.
    if let Some(first) = rows.first() {
        line(&mut text, first.keys().cloned());
    }
    for row in &rows {
        line(&mut text, row.values().map(cell));
    }
    text.into_bytes()
}

/// The same list as JSON: `format`, `title`, `copies`, `unit`, and under `pieces` an object a piece
/// with the columns of the CSV as its keys; `sheets` is a list, what a piece has not got is null.
pub fn cut_list_json(job: &Job, pieces: &[Piece], sheets: &[Arc<Sheet>], reels: Reels<'_>) -> Vec<u8> {
    let list = json!({
        "format": FORMAT,
        "title": job.title,
        "copies": job.copies,
        "unit": unit(job.units),
        "pieces": objects(job, pieces, sheets, reels),
    });
    let mut text = format!("{list:#}");
    text.push('\n');
    text.into_bytes()
}

fn objects(job: &Job, pieces: &[Piece], sheets: &[Arc<Sheet>], reels: Reels<'_>) -> Vec<Map<String, Value>> {
    let object = |row| match serde_json::to_value(row) {
        Ok(Value::Object(object)) => Some(object),
        // Strings and finite numbers always make one.
        _ => None,
    };
    let rows = pieces.iter().enumerate().map(|(i, piece)| row(job, i, piece, sheets));
    rows.chain(from_reels(job, &reels)).filter_map(object).collect()
}

fn row<'a>(job: &Job, i: usize, piece: &'a Piece, sheets: &'a [Arc<Sheet>]) -> Row<'a> {
    let on = |s: &Arc<Sheet>| s.placed.iter().filter(|p| p.piece == i).count() * s.count() as usize;
    let stock = job.stock(piece.stock);
    let bounds = piece.outline.bounds();
    let (width, height) = (mm(bounds.width()), mm(bounds.height()));
    let mut sizes: Vec<String> = Vec::new();
    for sheet in sheets.iter().filter(|s| on(s) > 0) {
        let size = format!("{}x{}", decimal(sheet.width.to_mm(), 1), decimal(sheet.height.to_mm(), 1));
        if !sizes.contains(&size) {
            sizes.push(size);
        }
    }
    let openings: f64 = piece.holes.iter().map(|h| h.area().abs()).sum();
    Row {
        stock: piece.stock.word(),
        thickness_mm: stock.map_or(0.0, |s| to_mm(s.thickness)),
        piece: piece.id.as_str().into(),
        role: Some(piece.role),
        side: piece.side.map(crate::job::Side::word),
        each: piece.count,
        copies: job.copies,
        count: sheets.iter().map(on).sum(),
        width_mm: to_mm(width),
        height_mm: to_mm(height),
        width: own(job, width),
        height: own(job, height),
        unit: unit(job.units),
        size: job.units.show_size(&[width, height]),
        area_mm2: tidy(piece.outline.area().abs() - openings, 0),
        grain: match piece.grain {
            Grain::Width => "width",
            Grain::Height => "height",
            Grain::None => "none",
        },
        slots: piece.holes.len(),
        pockets: piece.all_pockets().count(),
        pocket_depth_mm: piece.all_pockets().map(|p| p.depth).reduce(Length::max).map(to_mm),
        slits: piece.slits.len(),
        creases: piece.creases.len(),
        sheets: sheets.iter().filter(|s| on(s) > 0).map(|s| s.id.as_str()).collect(),
        sheet_sizes_mm: sizes,
    }
}

/// The elastics, the ribbons lid by lid and the lift ribbon, their length as the height; padding.
fn from_reels<'a>(job: &Job, reels: &Reels<'_>) -> Vec<Row<'a>> {
    let strap = reels.strap.map(|s| {
        let e = &job.elastic;
        from_reel(job, "elastic", format!("{}strap", reels.of), None, (e.width, e.thickness), (s.length, s.count))
    });
    let ribbons = reels.ties.iter().flat_map(|t| {
        let side = t.side.word();
        let thickness = job.ties.get(&t.side).map(|t| t.thickness).unwrap_or_default();
        let row = move |what: &str, cut: (Length, u32)| {
            let name = format!("{}{what}-{side}", reels.of);
            from_reel(job, "ribbon", name, Some(side), (t.width, thickness), cut)
        };
        let loops = t.pegs.as_ref().map(|p| row("loop", (p.loop_length, p.count)));
        std::iter::once(row("ribbon", (t.length, t.ribbons))).chain(loops)
    });
    let lift = reels.inside.and_then(|i| i.ribbon.as_ref()).map(|r| {
        let name = format!("{}lift-ribbon", reels.of);
        let side = Some(r.glued_at.word());
        from_reel(job, "ribbon", name, side, (r.width, r.thickness), (r.length, 1))
    });
    let padding = reels.inside.map(|i| &i.padding[..]).unwrap_or_default().iter().map(|p| {
        let name = format!("{}{}", reels.of, p.what);
        from_reel(job, "padding", name, None, (p.width, p.thickness), (p.height, 1))
    });
    strap.into_iter().chain(ribbons).chain(lift).chain(padding).collect()
}

fn from_reel<'a>(
    job: &Job,
    stock: &'static str,
    name: String,
    side: Option<&'static str>,
    (width, thickness): (Length, Length),
    (length, each): (Length, u32),
) -> Row<'a> {
    Row {
        stock,
        thickness_mm: to_mm(thickness),
        piece: name.into(),
        role: None,
        side,
        each,
        copies: job.copies,
        count: each as usize * job.copies as usize,
        width_mm: to_mm(width),
        height_mm: to_mm(length),
        width: own(job, width),
        height: own(job, length),
        unit: unit(job.units),
        size: job.units.show_size(&[width, length]),
        area_mm2: tidy(width.to_mm() * length.to_mm(), 0),
        grain: "none",
        slots: 0,
        pockets: 0,
        pocket_depth_mm: None,
        slits: 0,
        creases: 0,
        sheets: Vec::new(),
        sheet_sizes_mm: Vec::new(),
    }
}

fn to_mm(length: Length) -> f64 {
    tidy(length.to_mm(), 2)
}

/// In the job's unit.
fn own(job: &Job, length: Length) -> f64 {
    match job.units {
        Unit::Mm => to_mm(length),
        Unit::Inch => tidy(length.to_inch(), 3),
    }
}

fn unit(unit: Unit) -> &'static str {
    match unit {
        Unit::Mm => "mm",
        Unit::Inch => "in",
    }
}

/// A value as the text of a cell.
fn cell(value: &Value) -> String {
    match value {
        Value::Null => String::new(),
        Value::String(text) => text.clone(),
        Value::Number(n) => n.as_f64().map_or_else(|| n.to_string(), |n| decimal(n, 3)),
        Value::Array(list) => list.iter().map(cell).collect::<Vec<_>>().join(" "),
        other => other.to_string(),
    }
}

fn line(text: &mut String, cells: impl Iterator<Item = String>) {
    text.push_str(&cells.map(|c| field(&c)).collect::<Vec<_>>().join(","));
    text.push_str("\r\n");
}

/// A field, quoted where a comma, a quote or a line's end in it would be misread, and no formula.
fn field(text: &str) -> String {
    let text = harmless(text);
    if text.contains(['"', ',', '\r', '\n']) { format!("\"{}\"", text.replace('"', "\"\"")) } else { text.into_owned() }
}

#[cfg(test)]
mod tests {
    use super::field;

    #[test]
    fn fields_are_quoted_as_rfc_4180_section_2_has_it() {
        assert_eq!(field("board-base"), "board-base");
        assert_eq!(field("a \"b\", c"), "\"a \"\"b\"\", c\"");
        assert_eq!(field("two\nlines"), "\"two\nlines\"");
    }
}
