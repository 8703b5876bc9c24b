//! A sheet as a picture: what is cut, pocketed, creased and marked, told apart by line style as
//! well as by colour, so that it reads when printed grey and to colour-blind eyes.

use crate::geom::{Bounds, Point, Segment, Stroke};
use crate::ops::{Keep, Operation, SheetOps};
use crate::profile::OperationKind;
use crate::units::{Unit, decimal};
use std::fmt::Write as _;

/// How one kind of line is drawn: dark enough for grey paper, apart for every kind of colour
/// blindness (blue, vermilion and purple of differing lightness), dashes where colour is lost.
struct Style {
    kind: OperationKind,
    name: &'static str,
    color: &'static str,
    width: f64,
    dashes: &'static str,
    fill: &'static str,
}

const STYLES: [Style; 4] = [
    Style {
        kind: OperationKind::ThroughCut,
        name: "cut through",
        color: "#1a1a1a",
        width: 1.0,
        dashes: "",
        fill: "none",
    },
    Style {
        kind: OperationKind::HalfDepthPocket,
        name: "half-depth pocket",
        color: "#b3400e",
        width: 0.9,
        dashes: "",
        fill: "#f3c9a8",
    },
    Style {
        kind: OperationKind::CreaseScore,
        name: "crease",
        color: "#0b62a4",
        width: 0.9,
        dashes: "6 3",
        fill: "none",
    },
    Style { kind: OperationKind::Mark, name: "mark", color: "#7a4fa3", width: 0.45, dashes: "", fill: "none" },
];

/// The sheet as an SVG of its own size in mm, with a margin for its title, dimensions and key.
pub fn svg(sheet: &SheetOps, title: &str, unit: Unit) -> Vec<u8> {
    let (w, h) = (sheet.width.to_mm(), sheet.height.to_mm());
    // Text and lines grow with the sheet, so that the picture reads alike whatever its size.
    let scale = (w.max(h) / 1000.0).max(0.05);
    let text = 20.0 * scale;
    let rim = 60.0 * scale;
    let (page_w, page_h) = (w + 2.0 * rim, h + 3.2 * rim);
    let top = 1.3 * rim;
    let mut s = String::new();
    let _ = writeln!(
        s,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0}mm\" height=\"{1}mm\" viewBox=\"0 0 {0} {1}\" \
         font-family=\"DejaVu Sans, Verdana, sans-serif\" fill=\"#1a1a1a\">",
        n(page_w),
        n(page_h)
    );
    let _ = writeln!(s, "<rect width=\"100%\" height=\"100%\" fill=\"#ffffff\"/>");
    let size = unit.show_size(&[sheet.width, sheet.height]);
    let _ = writeln!(
        s,
        "<text x=\"{}\" y=\"{}\" font-size=\"{}\">{}: {}, {size}, {} thick{}</text>",
        n(rim),
        n(0.75 * rim),
        n(text * 1.2),
        escape(title),
        escape(&sheet.sheet),
        unit.show(sheet.thickness),
        if sheet.count > 1 { format!(", cut {} alike", sheet.count) } else { String::new() }
    );
    let _ = writeln!(
        s,
        "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"#f7f5ef\" stroke=\"#8a8a8a\" stroke-width=\"{}\"/>",
        n(rim),
        n(top),
        n(w),
        n(h),
        n(scale)
    );
    dimensions(&mut s, sheet, unit, (rim, top), text, scale);
    // Sheet coordinates have y up, the picture's down.
    let at = |p: Point| (rim + p.x, top + h - p.y);
    for style in STYLES.iter().rev() {
        let d: String =
            sheet.operations.iter().filter(|o| o.kind == style.kind).map(|o| path_data(&o.stroke, &at)).collect();
        if !d.is_empty() {
            let _ = writeln!(s, "<path d=\"{}\" {}/>", d.trim_end(), stroke(style, scale));
        }
    }
    for o in &sheet.operations {
        if o.kind == OperationKind::ThroughCut && o.keep == Keep::Inside && !is_lettered(sheet, &o.piece, o.copy) {
            name_piece(&mut s, o.stroke.bounds(), &label(&o.piece, o.copy), &at, text);
        }
    }
    key(&mut s, (rim, top + h + 1.15 * rim), page_w - 2.0 * rim, text * 0.85, scale);
    s.push_str("</svg>\n");
    s.into_bytes()
}

/// Whether a piece carries its name in strokes of its own: nothing else draws open marks by the handful.
fn is_lettered(sheet: &SheetOps, piece: &str, copy: u32) -> bool {
    let of_piece = |o: &&Operation| o.piece == piece && o.copy == copy;
    let strokes =
        sheet.operations.iter().filter(of_piece).filter(|o| o.kind == OperationKind::Mark && !o.stroke.is_closed());
    strokes.count() > 4
}

fn label(piece: &str, copy: u32) -> String {
    if copy > 1 { format!("{piece} /{copy}") } else { piece.to_owned() }
}

/// The sheet's width below it and its height beside it.
fn dimensions(s: &mut String, sheet: &SheetOps, unit: Unit, (rim, top): (f64, f64), text: f64, scale: f64) {
    let (w, h) = (sheet.width.to_mm(), sheet.height.to_mm());
    let (below, beside) = (top + h + 0.3 * rim, rim - 0.3 * rim);
    let _ = writeln!(
        s,
        "<path d=\"M{0} {1}H{2}M{0} {3}v{4}M{2} {3}v{4}M{5} {6}V{7}M{8} {6}h{4}M{8} {7}h{4}\" fill=\"none\" stroke=\"#1a1a1a\" stroke-width=\"{9}\"/>",
        n(rim),
        n(below),
        n(rim + w),
        n(below - 4.0 * scale),
        n(8.0 * scale),
        n(beside),
        n(top),
        n(top + h),
        n(beside - 4.0 * scale),
        n(0.7 * scale)
    );
    let _ = writeln!(
        s,
        "<text x=\"{}\" y=\"{}\" font-size=\"{}\" text-anchor=\"middle\">{}</text>",
        n(rim + w / 2.0),
        n(below + 1.1 * text),
        n(text),
        unit.show(sheet.width)
    );
    let (x, y) = (beside - 0.4 * text, top + h / 2.0);
    let _ = writeln!(
        s,
        "<text x=\"{0}\" y=\"{1}\" font-size=\"{2}\" text-anchor=\"middle\" transform=\"rotate(-90 {0} {1})\">{3}</text>",
        n(x),
        n(y),
        n(text),
        unit.show(sheet.height)
    );
}

/// The piece's name along its longer side, as large as fits; left out where it would not be legible.
fn name_piece(s: &mut String, b: Bounds, name: &str, at: &dyn Fn(Point) -> (f64, f64), text: f64) {
    let upright = b.height() > b.width();
    let (long, short) = if upright { (b.height(), b.width()) } else { (b.width(), b.height()) };
    // An average letter is about 0.6 of the size wide.
    let size = (text * 0.9).min(short * 0.5).min(long * 0.9 / (0.62 * name.chars().count() as f64));
    if size < text * 0.2 {
        return;
    }
    let (x, y) = at(b.center());
    let turn = if upright { format!(" transform=\"rotate(-90 {} {})\"", n(x), n(y)) } else { String::new() };
    let _ = writeln!(
        s,
        "<text x=\"{}\" y=\"{}\" font-size=\"{}\" text-anchor=\"middle\" dy=\"0.35em\" \
         paint-order=\"stroke\" stroke=\"#f7f5ef\" stroke-width=\"0.3em\"{turn}>{}</text>",
        n(x),
        n(y),
        n(size),
        escape(name)
    );
}

/// What the lines mean, in one row below the sheet.
fn key(s: &mut String, (x, y): (f64, f64), width: f64, text: f64, scale: f64) {
    let each = width / STYLES.len() as f64;
    for (i, style) in STYLES.iter().enumerate() {
        let left = x + each * i as f64;
        let sample = (each * 0.2).min(40.0 * scale);
        let size = text.min((each - sample) / (0.62 * style.name.len() as f64 + 1.0));
        let _ = writeln!(
            s,
            "<path d=\"M{} {}h{}\" {}/><text x=\"{}\" y=\"{}\" font-size=\"{}\" dy=\"0.35em\">{}</text>",
            n(left),
            n(y),
            n(sample),
            stroke(style, scale * 1.5),
            n(left + sample + 0.4 * size),
            n(y),
            n(size),
            style.name
        );
    }
}

fn stroke(style: &Style, scale: f64) -> String {
    let dashes = if style.dashes.is_empty() {
        String::new()
    } else {
        let scaled: Vec<String> =
            style.dashes.split(' ').filter_map(|d| d.parse::<f64>().ok()).map(|d| n(d * scale * 1.5)).collect();
        format!(" stroke-dasharray=\"{}\"", scaled.join(" "))
    };
    format!(
        "fill=\"{}\" stroke=\"{}\" stroke-width=\"{}\" stroke-linejoin=\"round\"{dashes}",
        style.fill,
        style.color,
        n(style.width * scale * 1.6)
    )
}

fn path_data(line: &Stroke, at: &dyn Fn(Point) -> (f64, f64)) -> String {
    let segments = line.segments();
    let mut d = String::new();
    let Some(first) = segments.first() else { return d };
    let (x, y) = at(first.start);
    let _ = write!(d, "M{} {}", n(x), n(y));
    for s in &segments {
        d.push_str(&segment_data(s, at));
    }
    d.push_str(if line.is_closed() { "Z " } else { " " });
    d
}

fn segment_data(s: &Segment, at: &dyn Fn(Point) -> (f64, f64)) -> String {
    let (x, y) = at(s.end);
    if s.is_line() {
        return format!("L{} {}", n(x), n(y));
    }
    // With y down a counter-clockwise arc is SVG's sweep 0.
    let sweep = if s.bulge > 0.0 { 0 } else { 1 };
    let r = n(s.radius());
    format!("A{r} {r} 0 0 {sweep} {} {}", n(x), n(y))
}

fn n(v: f64) -> String {
    decimal(v, 3)
}

fn escape(text: &str) -> String {
    text.chars()
        .filter(|c| !c.is_control())
        .map(|c| match c {
            '<' => "&lt;".to_owned(),
            '>' => "&gt;".to_owned(),
            '&' => "&amp;".to_owned(),
            '"' => "&quot;".to_owned(),
            c => c.to_string(),
        })
        .collect()
}
