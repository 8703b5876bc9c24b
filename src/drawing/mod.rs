//! A drawing as a list of what stands on it, in mm, y up, the origin at its lower left corner. What is
//! drawn first lies beneath. Every picture, page and sheet of templates is one; what writes it as SVG or PDF
//! stands beside it. Texts know how long they run: widths are the face's own.

mod font;
#[cfg(feature = "pdf")]
mod pdf;
mod svg;

pub use font::{Faces, Weight};
#[cfg(feature = "pdf")]
pub use pdf::pdf;
pub use svg::{svg, svg_in_layers, svg_to_fit};

use crate::geom::{Bounds, Contour, Path, Point, Stroke, pt};
use font::{ASCENT, DESCENT};

/// Red, green, blue, 0 to 255.
pub type Rgb = [u8; 3];

/// How wide a text's halo is, in its size.
const HALO: f64 = 0.3;

/// Lines and text.
pub const INK: Rgb = [0x1a, 0x1a, 0x1a];

/// One page or picture.
pub struct Drawing {
    /// mm.
    pub width: f64,
    /// mm.
    pub height: f64,
    /// What stands on it.
    pub items: Vec<Mark>,
}

/// One thing on a drawing.
pub enum Mark {
    /// Lines, filled beneath where `fill` says so, by the even-odd rule.
    Lines {
        /// The lines.
        strokes: Vec<Stroke>,
        /// What fills them.
        fill: Option<Rgb>,
        /// What draws them.
        pen: Option<Pen>,
    },
    /// One line of text.
    Text(Text),
    /// What belongs together under a name, so that a page can answer to being pointed at.
    Group {
        /// What it is called.
        name: String,
        /// What is in it.
        items: Vec<Mark>,
    },
}

/// How a line is drawn.
#[derive(Clone, Copy)]
pub struct Pen {
    /// Its colour.
    pub color: Rgb,
    /// mm.
    pub width: f64,
    /// Dashes and gaps in units of `unit` mm; a dash of 0 is a round dot.
    pub dashes: &'static [f64],
    /// See `dashes`.
    pub unit: f64,
}

impl Pen {
    /// A whole line.
    pub const fn solid(color: Rgb, width: f64) -> Self {
        Self { color, width, dashes: &[], unit: 1.0 }
    }

    /// Whether its dashes are dots.
    pub fn is_dotted(&self) -> bool {
        self.dashes.first() == Some(&0.0)
    }
}

/// Which point of a text stands at its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// Its left end.
    Left,
    /// Its middle.
    Middle,
    /// Its right end.
    Right,
}

/// A line of text with a point of its baseline at `at`, running to the right, or upwards.
pub struct Text {
    /// Where `anchor` stands.
    pub at: Point,
    /// Which point of it stands there.
    pub anchor: Anchor,
    /// The em, mm.
    pub size: f64,
    /// How heavy.
    pub weight: Weight,
    /// Its colour.
    pub color: Rgb,
    /// Whether it runs upwards.
    pub is_upright: bool,
    /// What it is edged with, so that lines beneath do not disturb it.
    pub halo: Option<Rgb>,
    /// What it says.
    pub text: String,
    /// Its length, mm.
    pub width: f64,
}

impl Text {
    /// Where its left end stands, or its lower one.
    pub fn start(&self) -> Point {
        let back = match self.anchor {
            Anchor::Left => 0.0,
            Anchor::Middle => self.width / 2.0,
            Anchor::Right => self.width,
        };
        self.at - if self.is_upright { pt(0.0, back) } else { pt(back, 0.0) }
    }

    /// The rectangle that its letters take.
    pub fn bounds(&self) -> Bounds {
        let (low, high) = (-DESCENT * self.size, ASCENT * self.size);
        let corners =
            if self.is_upright { [pt(-high, 0.0), pt(-low, self.width)] } else { [pt(0.0, low), pt(self.width, high)] };
        Bounds::of(corners.map(|c| self.start() + c))
    }
}

/// How a text is set.
#[derive(Clone, Copy)]
pub struct Type {
    /// The em, mm.
    pub size: f64,
    /// How heavy.
    pub weight: Weight,
    /// Its colour.
    pub color: Rgb,
    /// What it is edged with.
    pub halo: Option<Rgb>,
}

impl Type {
    /// Regular letters in ink.
    pub const fn new(size: f64) -> Self {
        Self { size, weight: Weight::Regular, color: INK, halo: None }
    }

    /// The same in bold.
    pub const fn bold(self) -> Self {
        Self { weight: Weight::Bold, ..self }
    }

    /// The same in a colour.
    pub const fn color(self, color: Rgb) -> Self {
        Self { color, ..self }
    }

    /// The same, edged.
    pub const fn halo(self, halo: Rgb) -> Self {
        Self { halo: Some(halo), ..self }
    }
}

impl Drawing {
    /// An empty one.
    pub fn new(width: f64, height: f64) -> Self {
        Self { width, height, items: Vec::new() }
    }

    /// Lines of one pen.
    pub fn lines(&mut self, strokes: Vec<Stroke>, pen: Pen) {
        if !strokes.is_empty() {
            self.items.push(Mark::Lines { strokes, fill: None, pen: Some(pen) });
        }
    }

    /// A straight line.
    pub fn line(&mut self, a: Point, b: Point, pen: Pen) {
        self.lines(vec![Stroke::Open(Path::line(a, b))], pen);
    }

    /// Closed shapes, filled or outlined or both.
    pub fn shape(&mut self, contours: Vec<Contour>, fill: Option<Rgb>, pen: Option<Pen>) {
        if !contours.is_empty() {
            self.items.push(Mark::Lines { strokes: contours.into_iter().map(Stroke::Closed).collect(), fill, pen });
        }
    }

    /// A line of text.
    pub fn text(&mut self, faces: &Faces, at: Point, anchor: Anchor, kind: Type, text: &str) {
        self.put(faces, at, anchor, kind, text, false);
    }

    /// Text that runs upwards.
    pub fn upright(&mut self, faces: &Faces, at: Point, anchor: Anchor, kind: Type, text: &str) {
        self.put(faces, at, anchor, kind, text, true);
    }

    fn put(&mut self, faces: &Faces, at: Point, anchor: Anchor, kind: Type, text: &str, is_upright: bool) {
        let text: String = text.chars().filter(|c| !c.is_control()).collect();
        if text.is_empty() {
            return;
        }
        let width = faces.width(&text, kind.size, kind.weight);
        let Type { size, weight, color, halo } = kind;
        self.items.push(Mark::Text(Text { at, anchor, size, weight, color, is_upright, halo, text, width }));
    }

    /// Puts what was drawn since `from` items under a name.
    pub fn group(&mut self, name: impl Into<String>, from: usize) {
        let items = self.items.split_off(from.min(self.items.len()));
        if !items.is_empty() {
            self.items.push(Mark::Group { name: name.into(), items });
        }
    }

    /// Every text, those in groups too.
    pub fn texts(&self) -> Vec<&Text> {
        fn of<'d>(items: &'d [Mark], found: &mut Vec<&'d Text>) {
            for item in items {
                match item {
                    Mark::Text(t) => found.push(t),
                    Mark::Group { items, .. } => of(items, found),
                    Mark::Lines { .. } => {}
                }
            }
        }
        let mut found = Vec::new();
        of(&self.items, &mut found);
        found
    }
}

/// The places of two texts on a page that overlap, and of those that leave it.
pub fn clashes(page: &Drawing) -> Vec<String> {
    let texts = page.texts();
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

/// The texts of a page that a line of at least `weight` mm runs through, what is filled over the line aside.
pub fn struck(page: &Drawing, weight: f64) -> Vec<String> {
    fn of<'d>(items: &'d [Mark], found: &mut Vec<&'d Mark>) {
        for item in items {
            match item {
                Mark::Group { items, .. } => of(items, found),
                Mark::Lines { .. } | Mark::Text(_) => found.push(item),
            }
        }
    }
    let mut all = Vec::new();
    of(&page.items, &mut all);
    let chords = |stroke: &Stroke| -> Vec<Point> {
        let segments = stroke.segments();
        let first = segments.first().map(|s| s.start);
        first.into_iter().chain(segments.iter().flat_map(|s| s.flatten(0.05))).collect()
    };
    // Each thick line, and the rectangle of each filled shape, with its place in the order of drawing.
    let (mut thick, mut filled) = (Vec::new(), Vec::new());
    for (order, item) in all.iter().enumerate() {
        let Mark::Lines { strokes, fill, pen } = item else { continue };
        if fill.is_some() {
            filled.extend(strokes.iter().map(|s| (order, s.bounds())));
        }
        if pen.is_some_and(|p| p.width >= weight) {
            thick.extend(strokes.iter().map(|s| (order, chords(s))));
        }
    }
    let is_struck = |(order, text): (usize, &Text)| {
        let letters = text.bounds().grown(-0.05);
        let covers = |(at, shape): &&(usize, Bounds)| *at < order && shape.contains(letters, 0.0);
        let ground = filled.iter().filter(covers).map(|(at, _)| *at).max();
        let shows = |at: usize| ground.is_none_or(|g| at >= g);
        let crosses = |points: &[Point]| points.windows(2).any(|w| letters.is_crossed(w[0], w[1]));
        let found = thick.iter().any(|(at, points)| shows(*at) && crosses(points));
        found.then(|| format!("a line runs through \"{}\"", text.text))
    };
    let texts = all.iter().enumerate().filter_map(|(k, m)| if let Mark::Text(t) = m { Some((k, t)) } else { None });
    texts.filter_map(is_struck).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_through_a_text_is_seen_unless_something_is_filled_between() {
        let faces = Faces::new();
        let pen = Pen::solid(INK, 0.35);
        let put = |page: &mut Drawing| page.text(&faces, pt(10.0, 9.0), Anchor::Middle, Type::new(3.0), "base");
        let mut page = Drawing::new(40.0, 20.0);
        page.line(pt(0.0, 10.0), pt(40.0, 10.0), pen);
        put(&mut page);
        assert_eq!(struck(&page, 0.3).len(), 1);
        assert!(struck(&page, 0.4).is_empty());
        let mut page = Drawing::new(40.0, 20.0);
        page.line(pt(0.0, 10.0), pt(40.0, 10.0), pen);
        page.shape(vec![Contour::circle(pt(10.0, 10.0), 5.0)], Some([255; 3]), None);
        put(&mut page);
        assert!(struck(&page, 0.3).is_empty());
        // A frame round it is no line through it; one drawn after the ground is.
        page.shape(vec![Contour::rectangle(pt(5.0, 5.0), pt(15.0, 15.0))], None, Some(pen));
        assert!(struck(&page, 0.3).is_empty());
        page.line(pt(0.0, 10.0), pt(40.0, 10.0), pen);
        assert_eq!(struck(&page, 0.3).len(), 1);
    }
}
