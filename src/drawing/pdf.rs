//! Drawings as the pages of a PDF. The library keeps no clock and no random number, and is told none.

use super::font::{Faces, Weight};
use super::{Drawing, HALO, Mark, Pen, Rgb};
use crate::geom::{Point, Segment, Stroke, pt};
use crate::units::mm;
use krilla::color::rgb;
use krilla::geom::{Path, PathBuilder, Transform};
use krilla::metadata::Metadata;
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, LineCap, LineJoin, Stroke as Outline, StrokeDash};
use krilla::surface::Surface;
use krilla::text::Font;
use krilla::{Document, SerializeSettings};

/// What one curve of the page follows of an arc at most, radians. At this sweep a cubic strays from
/// its circle by less than a ten-millionth of the radius (2.7e-4 at a quarter turn, falling with
/// the sixth power; from memory).
const CURVE: f64 = std::f64::consts::PI / 8.0;

/// The pages as one document; an error where the library cannot write it.
pub fn pdf(pages: &[Drawing], title: &str, faces: &Faces) -> Result<Vec<u8>, String> {
    let settings = SerializeSettings { enable_tagging: false, ..SerializeSettings::default() };
    let mut document = Document::new_with(settings);
    document.set_metadata(Metadata::new().title(title.to_owned()).language("en".into()).producer("Flapwright".into()));
    let fonts = [faces.embedded(Weight::Regular), faces.embedded(Weight::Bold)];
    for page in pages {
        let size = PageSettings::from_wh(points(page.width), points(page.height))
            .ok_or_else(|| format!("a page of {} x {}", mm(page.width), mm(page.height)))?;
        let mut sheet = document.start_page_with(size);
        let mut surface = sheet.surface();
        for item in &page.items {
            draw(&mut surface, item, page.height, faces, &fonts);
        }
        surface.finish();
        sheet.finish();
    }
    document.finish().map_err(|e| format!("{e:?}"))
}

fn draw(surface: &mut Surface<'_>, item: &Mark, height: f64, faces: &Faces, fonts: &[Option<Font>; 2]) {
    match item {
        Mark::Lines { strokes, fill, pen } => {
            let Some(path) = path(strokes, height) else { return };
            surface.set_fill(fill.map(|c| Fill { paint: color(c).into(), rule: FillRule::EvenOdd, ..Fill::default() }));
            surface.set_stroke(pen.as_ref().map(outline));
            surface.draw_path(&path);
        }
        Mark::Group { items, .. } => items.iter().for_each(|item| draw(surface, item, height, faces, fonts)),
        Mark::Text(t) => {
            let font = match t.weight {
                Weight::Regular => &fonts[0],
                Weight::Bold => &fonts[1],
            };
            let Some(font) = font else { return };
            let glyphs = faces.glyphs(&t.text, t.weight);
            let (x, y) = at(t.start(), height);
            let turn = if t.is_upright { -90.0 } else { 0.0 };
            surface.push_transform(&Transform::from_translate(x, y));
            surface.push_transform(&Transform::from_rotate(turn));
            let start = krilla::geom::Point::from_xy(0.0, 0.0);
            let mut letters = |fill, stroke| {
                surface.set_fill(Some(Fill { paint: color(fill).into(), ..Fill::default() }));
                surface.set_stroke(stroke);
                surface.draw_glyphs(start, &glyphs, font.clone(), &t.text, points(t.size), false);
            };
            if let Some(halo) = t.halo {
                letters(halo, Some(outline(&Pen::solid(halo, t.size * HALO))));
            }
            letters(t.color, None);
            surface.pop();
            surface.pop();
        }
    }
}

fn outline(pen: &Pen) -> Outline {
    let array: Vec<f32> = pen.dashes.iter().map(|d| points(d * pen.unit)).collect();
    Outline {
        paint: color(pen.color).into(),
        width: points(pen.width),
        line_cap: if pen.is_dotted() { LineCap::Round } else { LineCap::Butt },
        line_join: LineJoin::Round,
        dash: (!array.is_empty()).then_some(StrokeDash { array, offset: 0.0 }),
        ..Outline::default()
    }
}

fn color([r, g, b]: Rgb) -> rgb::Color {
    rgb::Color::new(r, g, b)
}

fn path(strokes: &[Stroke], height: f64) -> Option<Path> {
    let mut builder = PathBuilder::new();
    for stroke in strokes {
        let segments = stroke.segments();
        let Some(first) = segments.first() else { continue };
        let (x, y) = at(first.start, height);
        builder.move_to(x, y);
        for (i, s) in segments.iter().enumerate() {
            // The line that closes a contour is the closing itself.
            if !(stroke.is_closed() && i + 1 == segments.len() && s.is_line()) {
                follow(&mut builder, s, height);
            }
        }
        if stroke.is_closed() {
            builder.close();
        }
    }
    builder.finish()
}

fn follow(builder: &mut PathBuilder, s: &Segment, height: f64) {
    if s.is_line() {
        let (x, y) = at(s.end, height);
        builder.line_to(x, y);
        return;
    }
    let n = (s.sweep().abs() / CURVE).ceil().max(1.0) as usize;
    for i in 0..n {
        let part = s.between(i as f64 / n as f64, (i + 1) as f64 / n as f64);
        // Handles of 4/3 tan(sweep / 4) radii: the bulge is that tangent.
        let reach = 4.0 / 3.0 * part.bulge.abs() * part.radius();
        let a = part.start + Point::unit(part.start_heading()) * reach;
        let b = part.end - Point::unit(part.end_heading()) * reach;
        let ((ax, ay), (bx, by), (x, y)) = (at(a, height), at(b, height), at(part.end, height));
        builder.cubic_to(ax, ay, bx, by, x, y);
    }
}

/// The library's pages have y down and count in points of 1/72 inch.
fn at(p: Point, height: f64) -> (f32, f32) {
    let p = pt(p.x, height - p.y);
    (points(p.x), points(p.y))
}

fn points(millimetres: f64) -> f32 {
    (mm(millimetres).to_inch() * 72.0) as f32
}
