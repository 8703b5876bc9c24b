//! Artwork sheets: what covers the box outside, cloth and papers, at full size as it is seen there, to draw on and print
//! from.
//!
//! A design is seen from inside the box; whoever prints sees the other face. So everything here is mirrored in x
//! ([`Artwork::placed`]) and then moved, so that the page's lower left corner is its origin. Letters are single
//! strokes and nothing is filled: any vector program opens the SVG alike. Its layers are groups with an id each:
//!
//! - `artwork`, empty and lowest: what is drawn goes there;
//! - `guides`, not to be printed, in groups of their own: `cloth` or `paper` (outline, openings, slits), `turn-ins` (the
//!   rim that it is turned over), `boards`, `joints` (where it folds), `laps` (from where paper lies
//!   over cloth), `names`, `head` (an arrow on every lid towards the
//!   head of the closed box), `bleed`;
//! - `register`, to be printed: the register marks; `words` beside them.

use crate::design::{Design, Piece, extent, letters, piece_words};
use crate::diag::Diagnostic;
use crate::drawing::{Drawing, Mark, Pen, Rgb, svg_in_layers};
use crate::geom::{Bounds, Contour, Join, Path, Point, Stroke, Transform, offset, pt};
use crate::job::Job;
use crate::units::{Length, decimal, mm};
use crate::write::style::{self, INK, QUIET};
use ground::{Ground, Place, printed};

mod ground;

/// How the names of all its files begin, but for the file of marks.
pub const STEM: &str = "artwork";
/// The sheet as SVG.
pub const SVG_NAME: &str = "artwork.svg";
/// The sheet as PDF.
pub const PDF_NAME: &str = "artwork.pdf";
/// How far ink runs past the cloth's edge where nothing else is said: common practice, no source.
pub const BLEED: Length = mm(3.0);
/// More than this is a slip of the unit (our choice).
pub const MOST_BLEED: Length = mm(50.0);

/// From the page's edge to the middle of a mark, mm: room for its circle and for clamps (our choice).
const RIM: f64 = 12.0;
/// From the middle of a mark to what bleeds, mm (our choice): the cross ends 3 mm before it.
const APART: f64 = 8.0;
/// A mark's circle and half its cross, mm (our choice).
const CIRCLE: f64 = 3.0;
const CROSS: f64 = 5.0;
/// By what share of the height the upper left mark stands lower than its neighbour, so that a sheet that lies
/// turned or turned over does not fit its marks (our choice).
const LOWER: f64 = 0.2;
/// At the upper edge of the page, for the words of the sheet, mm.
const HEADED: f64 = 14.0;
/// The letters of names, at the most, and those of places and words, mm.
const NAME: f64 = 6.0;
const SMALL: f64 = 2.5;

/// A register mark.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RegisterMark {
    /// `A` at the lower left, then counter-clockwise.
    pub name: char,
    /// Where it stands on the artwork, from its lower left corner; whole mm.
    pub at: Point,
}

impl RegisterMark {
    /// What stands beside it: its name and its place.
    fn words(&self) -> String {
        format!("{}  X {} Y {}", self.name, decimal(self.at.x, 2), decimal(self.at.y, 2))
    }
}

/// The sheet.
#[derive(Clone, Debug)]
pub struct Artwork {
    /// The piece that is printed.
    pub piece: String,
    /// What its files' names have more than those of the first.
    more: String,
    /// Width and height of the page, mm.
    pub size: Point,
    /// From the piece's own coordinates, seen from inside, to the page's: mirrored in x, then moved.
    pub placed: Transform,
    /// Its register marks.
    pub marks: [RegisterMark; 4],
    /// How far ink runs past the cloth's edge.
    bleed: Length,
    /// The edge of that, page coordinates.
    around: Contour,
}

impl Artwork {
    /// The artwork sheets of a design, the covering cloth's first: one of every piece that is seen from outside. An error
    /// where no cloth covers the box.
    pub fn all(job: &Job, design: &Design, bleed: Length) -> Result<Vec<Self>, Diagnostic> {
        let all: Vec<Self> = printed(design).into_iter().map(|piece| Self::of(piece, design, bleed)).collect();
        if all.is_empty() {
            let word = job.build.construction.terms().word;
            let message =
                format!("a box of {word} has no covering cloth in one piece, so there is no artwork sheet of it");
            return Err(Diagnostic::error("no-cover-to-print", message)
                .at("box.construction")
                .help("leave --artwork out; boxes of hinged boards, cases and slipcases are covered with one cloth"));
        }
        Ok(all)
    }

    /// The sheet of one piece.
    fn of(piece: &Piece, design: &Design, bleed: Length) -> Self {
        let around = bled(piece, design, bleed);
        let b = around.bounds();
        let out = RIM + APART;
        // Mirrored, the rightmost becomes the leftmost.
        let placed = Transform { mirrored: true, rotation_deg: 0.0, shift: pt(out + b.max.x, out - b.min.y) };
        let (right, high) = ((RIM + 2.0 * APART + b.width()).ceil(), (RIM + 2.0 * APART + b.height()).ceil());
        let lower = (high - (high - RIM) * LOWER).round();
        let mark = |name, x, y| RegisterMark { name, at: pt(x, y) };
        let is_first = printed(design).first().is_some_and(|first| first.id == piece.id);
        Self {
            piece: piece.id.clone(),
            more: if is_first { String::new() } else { format!("-{}", piece.id) },
            size: pt(right + RIM, high + RIM),
            placed,
            marks: [mark('A', RIM, RIM), mark('B', right, RIM), mark('C', right, high), mark('D', RIM, lower)],
            bleed,
            around: around.transformed(&placed),
        }
    }

    /// What its files are called: `artwork.svg` of the cloth that comes first, `artwork-paper-flap-left.svg` of others.
    pub fn file(&self, name: &str) -> String {
        match name.rsplit_once('.') {
            Some((stem, ending)) => format!("{stem}{}.{ending}", self.more),
            None => name.to_owned(),
        }
    }

    /// A place on the page in the piece's own coordinates.
    pub fn to_piece(&self, p: Point) -> Point {
        pt(self.placed.shift.x - p.x, p.y - self.placed.shift.y)
    }

    /// How far ink runs past the cloth's edge.
    pub const fn bleed(&self) -> Length {
        self.bleed
    }

    /// The sheet as SVG, a layer each.
    pub fn svg(&self, job: &Job, design: &Design) -> Vec<u8> {
        svg_in_layers(&self.drawing(job, design))
    }

    /// The sheet as one page of its own size. An error only where the PDF library cannot write.
    #[cfg(feature = "pdf")]
    pub fn pdf(&self, job: &Job, design: &Design) -> Result<Vec<u8>, String> {
        use crate::drawing::{Faces, pdf};
        pdf(&[self.drawing(job, design)], &format!("{}: artwork sheet", job.title), &Faces::new())
    }

    fn drawing(&self, job: &Job, design: &Design) -> Drawing {
        let mut page = Drawing::new(self.size.x, self.size.y);
        page.items.push(Mark::Group { name: "artwork".into(), items: Vec::new() });
        self.guides(&mut page, job, design);
        self.register(&mut page);
        self.words(&mut page, job);
        page
    }

    fn guides(&self, page: &mut Drawing, job: &Job, design: &Design) {
        let Some(piece) = design.pieces.iter().find(|p| p.id == self.piece) else { return };
        let t = &self.placed;
        let closed = |c: &Contour| Stroke::Closed(c.transformed(t));
        let placed = |strokes: &[Stroke]| strokes.iter().map(|s| s.transformed(t)).collect::<Vec<Stroke>>();
        let from = page.items.len();
        let mut layer = |name: &str, strokes: Vec<Stroke>, pen: Pen| {
            let at = page.items.len();
            page.lines(strokes, pen);
            page.group(name, at);
        };
        let slits = piece.slits.iter().map(|s| Stroke::Open(s.transformed(t)));
        let cuts = std::iter::once(closed(&piece.outline)).chain(piece.holes.iter().map(closed)).chain(slits);
        layer(piece.stock.word(), cuts.collect(), Pen::solid(INK, 0.3));
        let ground = Ground::of(job, design, piece);
        layer("turn-ins", placed(&ground.rims), DASHED);
        layer("joints", placed(&ground.folds), Pen { color: folds(), ..DASHED });
        layer("boards", placed(&ground.boards), Pen::solid(QUIET, 0.2));
        layer("laps", placed(&ground.laps), DASHED);
        layer("names", ground.places.iter().flat_map(|p| self.name(p)).collect(), Pen::solid(QUIET, 0.2));
        layer("head", ground.places.iter().flat_map(|p| self.arrow(p)).collect(), Pen::solid(QUIET, 0.3));
        layer("bleed", vec![Stroke::Closed(self.around.clone())], Pen::solid(BLED, 0.2));
        page.group("guides", from);
    }

    /// Some room in the piece's coordinates as it lies on the page.
    fn on_page(&self, room: Bounds) -> Bounds {
        Bounds::of(room.corners().map(|p| self.placed.apply(p)))
    }

    /// The name of something, as it is read on the closed box; along a narrow room.
    fn name(&self, place: &Place) -> Vec<Stroke> {
        let words = place.words.to_uppercase();
        let b = self.on_page(place.room);
        let is_tall = place.turn.is_none() && b.height() > b.width();
        let (long, across) = if is_tall { (b.height(), b.width()) } else { (b.width(), b.height()) };
        let one = extent(&words, 1.0).x;
        let size = NAME.min(0.6 * long / one).min(0.4 * across);
        let turn = place.turn.unwrap_or(if is_tall { 90.0 } else { 0.0 });
        // An arrow stands above its name.
        let drop = if place.has_arrow { -1.2 * size } else { -0.5 * size };
        let t = Transform { mirrored: false, rotation_deg: turn, shift: b.center() };
        let start = pt(-extent(&words, size).x / 2.0, drop);
        let moved = |p: &Path| Stroke::Open(p.transformed(&Transform::shift(start)).transformed(&t));
        letters(&words, size).iter().map(moved).collect()
    }

    /// An arrow towards the head of the closed box, and the word.
    fn arrow(&self, place: &Place) -> Vec<Stroke> {
        if !place.has_arrow {
            return Vec::new();
        }
        let b = self.on_page(place.room);
        let long = (b.width().min(b.height()) * 0.3).clamp(1.0, 30.0);
        let size = NAME.min(long / 3.0);
        let turn = place.turn.unwrap_or_default();
        let t = Transform { mirrored: false, rotation_deg: turn, shift: b.center() };
        let low = 0.8 * size;
        let tip = pt(0.0, low + long);
        let barb = |x: f64| Path::line(pt(x * long / 8.0, low + long * 0.8), tip);
        let word = Transform::shift(pt(size * 0.8, low + size * 0.5));
        let shaft = [Path::line(pt(0.0, low), tip), barb(-1.0), barb(1.0)];
        let words = letters("HEAD", size).into_iter().map(|p| p.transformed(&word));
        shaft.into_iter().chain(words).map(|p| Stroke::Open(p.transformed(&t))).collect()
    }

    fn register(&self, page: &mut Drawing) {
        let from = page.items.len();
        for m in &self.marks {
            let at = page.items.len();
            let ring = |r: f64| Stroke::Closed(Contour::circle(m.at, r));
            let bar = |by: Point| Stroke::Open(Path::line(m.at - by, m.at + by));
            let mut lines = vec![ring(CIRCLE), bar(pt(CROSS, 0.0)), bar(pt(0.0, CROSS))];
            // The first is told from the others at a glance.
            lines.extend((m.name == 'A').then(|| ring(CIRCLE / 2.0)));
            page.lines(lines, Pen::solid(INK, 0.15));
            let words = m.words();
            let long = extent(&words, SMALL).x;
            let away = CROSS + 1.5;
            let (start, turn) = match m.name {
                'A' => (pt(away, -SMALL / 2.0), 0.0),
                // Up along the edge, or down where the words of the sheet are in the way.
                'D' if m.at.y + away + long > self.size.y - HEADED => (pt(SMALL / 2.0, -away - long), 90.0),
                'D' => (pt(SMALL / 2.0, away), 90.0),
                _ => (pt(-away - long, -SMALL / 2.0), 0.0),
            };
            page.lines(written(&words, SMALL, m.at + start, turn), Pen::solid(INK, 0.2));
            page.group(format!("register-{}", m.name), at);
        }
        page.group("register", from);
    }

    /// What it is, a line to measure, and what its lines mean, above the cloth.
    fn words(&self, page: &mut Drawing, job: &Job) {
        let from = page.items.len();
        let last = self.marks[2];
        let room = last.at.x - CROSS - 40.0 - RIM;
        let title = any_ascii::any_ascii(&job.title).to_uppercase();
        let bleed = decimal(self.bleed.to_mm(), 2);
        let piece = piece_words(&self.piece).to_uppercase();
        let about =
            format!("{title}  -  {piece}  -  OUTSIDE - FULL SIZE  -  BLEED {bleed} MM  -  PRINT REGISTER - NOT GUIDES");
        let known = |c: char| c.is_ascii_alphanumeric() || " .-/".contains(c);
        let about: String = about.chars().map(|c| if c == ',' { ' ' } else { c }).filter(|c| known(*c)).collect();
        let size = SMALL.min(SMALL * room / extent(&about, SMALL).x.max(1e-9));
        let top = self.size.y;
        page.lines(written(&about, size, pt(RIM, top - 6.0), 0.0), Pen::solid(INK, 0.2));
        // The words of the mark at the upper right begin there.
        let most = last.at.x - CROSS - 1.5 - extent(&last.words(), SMALL).x - 4.0;
        let written_beside = |long: f64| extent(&format!("{long} MM"), SMALL).x + 3.0;
        let fits = |long: &f64| RIM + long + written_beside(*long) <= most;
        let Some(long) = [100.0, 50.0, 20.0, 10.0].into_iter().find(fits) else {
            page.group("words", from);
            return;
        };
        let (y, end) = (top - 10.0, pt(RIM + long, top - 10.0));
        let tick = |x: f64| Stroke::Open(Path::line(pt(x, y - 1.5), pt(x, y + 1.5)));
        let scale = vec![Stroke::Open(Path::line(pt(RIM, y), end)), tick(RIM), tick(RIM + long)];
        page.lines(scale, Pen::solid(INK, 0.15));
        let measure = format!("{long} MM");
        page.lines(written(&measure, SMALL, end + pt(3.0, -SMALL / 2.0), 0.0), Pen::solid(INK, 0.2));
        // Each word in the pen of its lines.
        let mut x = end.x + 3.0 + extent(&measure, SMALL).x + 8.0;
        for (word, pen) in [("CUT", INK), ("FOLD", folds()), ("BOARD", QUIET), ("BLEED", BLED)] {
            let long = extent(word, SMALL).x;
            if x + long > most {
                break;
            }
            page.lines(written(word, SMALL, pt(x, y - SMALL / 2.0), 0.0), Pen::solid(pen, 0.2));
            x += long + 5.0;
        }
        page.group("words", from);
    }
}

/// The color of folds.
fn folds() -> Rgb {
    style::style(crate::profile::OperationKind::CreaseScore).color
}

/// The edge of the bleed.
const BLED: Rgb = [0xac, 0x58, 0x06];
/// Where the cloth folds.
const DASHED: Pen = Pen { color: QUIET, width: 0.2, dashes: &[4.0, 2.0], unit: 1.0 };

fn written(words: &str, size: f64, at: Point, turn: f64) -> Vec<Stroke> {
    let t = Transform { mirrored: false, rotation_deg: turn, shift: at };
    letters(words, size).iter().map(|p| Stroke::Open(p.transformed(&t))).collect()
}

/// The edge of what bleeds: the cloth's outline moved out. Where its corner cuts are narrower than twice that, the
/// rim moved out by the turn-in as well, which holds the cloth; where even that closes a bay, the rectangle round.
fn bled(cover: &Piece, design: &Design, bleed: Length) -> Contour {
    let by = bleed.to_mm();
    let rectangle = || {
        let Bounds { min, max } = cover.outline.bounds().grown(by);
        Contour::rectangle(min, max)
    };
    let own = || offset(&cover.outline, by, Join::Mitre).ok();
    let of_rim = || {
        let rim = ground::region(design, cover)?;
        let (rim_box, cloth) = (rim.bounds(), cover.outline.bounds());
        let turn_in = (cloth.max.x - rim_box.max.x).max(cloth.max.y - rim_box.max.y);
        offset(&rim, turn_in + by, Join::Mitre).ok()
    };
    // As far out everywhere; a curve that is drawn along may be wider than the turn-in.
    let holds = |c: &Contour| {
        let points = cover.outline.flatten(0.1);
        let is_in = |p: &Point| c.contains(*p) && c.distance_to(*p) > by - 0.01;
        c.bounds().contains(cover.outline.bounds().grown(by), 1e-6) && points.iter().all(is_in)
    };
    own().filter(holds).or_else(|| of_rim().filter(holds)).unwrap_or_else(rectangle)
}
