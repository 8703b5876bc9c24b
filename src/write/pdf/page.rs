//! A page as a list of what stands on it, in mm, y up, the origin at its lower left corner. What is
//! drawn first lies beneath.

#[cfg(test)]
use super::font::{ASCENT, DESCENT};
use super::font::{Faces, Weight};
#[cfg(test)]
use crate::geom::Bounds;
use crate::geom::{Contour, Path, Point, Stroke, pt};
use crate::profile::OperationKind;
use crate::write::style::{INK, Rgb, style};

/// The weight of a through-cut on the page, mm.
pub(super) const CUT_WEIGHT: f64 = 0.35;

/// One page.
pub(super) struct Page {
    /// mm.
    pub(super) width: f64,
    /// mm.
    pub(super) height: f64,
    pub(super) items: Vec<Item>,
}

/// One thing on a page.
pub(super) enum Item {
    /// Lines, filled beneath where `fill` says so.
    Lines { strokes: Vec<Stroke>, fill: Option<Rgb>, pen: Option<Pen> },
    /// One line of text.
    Text(Text),
}

/// How a line is drawn.
#[derive(Clone, Copy)]
pub(super) struct Pen {
    pub(super) color: Rgb,
    /// mm.
    pub(super) width: f64,
    /// Dashes in units of `unit` mm.
    pub(super) dashes: &'static [f64],
    pub(super) unit: f64,
}

impl Pen {
    pub(super) const fn solid(color: Rgb, width: f64) -> Self {
        Self { color, width, dashes: &[], unit: 1.0 }
    }

    /// The pen of a kind of line, `scale` times as heavy as at full size.
    pub(super) fn of(kind: OperationKind, scale: f64) -> Self {
        let s = style(kind);
        Self { color: s.color, width: s.weight * CUT_WEIGHT * scale, dashes: s.dashes, unit: CUT_WEIGHT * scale }
    }
}

/// Which point of a text stands at its place.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Anchor {
    Left,
    Middle,
    Right,
}

/// A line of text with its baseline's left end at `at`, running to the right, or upwards.
pub(super) struct Text {
    pub(super) at: Point,
    /// The em, mm.
    pub(super) size: f64,
    pub(super) weight: Weight,
    pub(super) color: Rgb,
    pub(super) is_upright: bool,
    pub(super) text: String,
    /// Its length, mm.
    #[cfg(test)]
    pub(super) width: f64,
}

impl Text {
    /// The rectangle that its letters take.
    #[cfg(test)]
    pub(super) fn bounds(&self) -> Bounds {
        let (low, high) = (-DESCENT * self.size, ASCENT * self.size);
        let corners =
            if self.is_upright { [pt(-high, 0.0), pt(-low, self.width)] } else { [pt(0.0, low), pt(self.width, high)] };
        Bounds::of(corners.map(|c| self.at + c))
    }
}

/// How a text is set.
#[derive(Clone, Copy)]
pub(super) struct Type {
    /// The em, mm.
    pub(super) size: f64,
    pub(super) weight: Weight,
    pub(super) color: Rgb,
}

impl Type {
    pub(super) const fn new(size: f64) -> Self {
        Self { size, weight: Weight::Regular, color: INK }
    }

    pub(super) const fn bold(self) -> Self {
        Self { weight: Weight::Bold, ..self }
    }

    pub(super) const fn color(self, color: Rgb) -> Self {
        Self { color, ..self }
    }
}

impl Page {
    pub(super) fn new(width: f64, height: f64) -> Self {
        Self { width, height, items: Vec::new() }
    }

    pub(super) fn lines(&mut self, strokes: Vec<Stroke>, pen: Pen) {
        if !strokes.is_empty() {
            self.items.push(Item::Lines { strokes, fill: None, pen: Some(pen) });
        }
    }

    pub(super) fn line(&mut self, a: Point, b: Point, pen: Pen) {
        self.lines(vec![Stroke::Open(Path::line(a, b))], pen);
    }

    pub(super) fn shape(&mut self, contours: Vec<Contour>, fill: Option<Rgb>, pen: Option<Pen>) {
        if !contours.is_empty() {
            self.items.push(Item::Lines { strokes: contours.into_iter().map(Stroke::Closed).collect(), fill, pen });
        }
    }

    pub(super) fn text(&mut self, faces: &Faces, at: Point, anchor: Anchor, kind: Type, text: &str) {
        self.put(faces, at, anchor, kind, text, false);
    }

    /// Text that runs upwards.
    pub(super) fn upright(&mut self, faces: &Faces, at: Point, anchor: Anchor, kind: Type, text: &str) {
        self.put(faces, at, anchor, kind, text, true);
    }

    fn put(&mut self, faces: &Faces, at: Point, anchor: Anchor, kind: Type, text: &str, is_upright: bool) {
        let text: String = text.chars().filter(|c| !c.is_control()).collect();
        if text.is_empty() {
            return;
        }
        let width = faces.width(&text, kind.size, kind.weight);
        let back = match anchor {
            Anchor::Left => 0.0,
            Anchor::Middle => width / 2.0,
            Anchor::Right => width,
        };
        let at = at - if is_upright { pt(0.0, back) } else { pt(back, 0.0) };
        let Type { size, weight, color } = kind;
        self.items.push(Item::Text(Text {
            at,
            size,
            weight,
            color,
            is_upright,
            text,
            #[cfg(test)]
            width,
        }));
    }
}

/// The places of two texts on a page that overlap, and of those that leave it.
#[cfg(test)]
pub(super) fn clashes(page: &Page) -> Vec<String> {
    let texts: Vec<&Text> =
        page.items.iter().filter_map(|i| if let Item::Text(t) = i { Some(t) } else { None }).collect();
    let sheet = Bounds { min: pt(0.0, 0.0), max: pt(page.width, page.height) };
    let mut found = Vec::new();
    for (i, a) in texts.iter().enumerate() {
        if !sheet.contains(a.bounds(), 0.0) {
            found.push(format!("\"{}\" leaves the page", a.text));
        }
        for b in &texts[i + 1..] {
            if a.bounds().overlaps(b.bounds(), 0.05) {
                found.push(format!("\"{}\" lies over \"{}\"", a.text, b.text));
            }
        }
    }
    found
}
