//! The artwork sheet: the covering cloth at full size as it is seen from outside, to draw on and print from.
//!
//! A design is seen from inside the box; whoever prints sees the other face. So everything here is mirrored in x
//! ([`Artwork::placed`]) and then moved, so that the page's lower left corner is its origin. Letters are single
//! strokes and nothing is filled: any vector program opens the SVG alike. Its layers are groups with an id each:
//!
//! - `artwork`, empty and lowest: what is drawn goes there;
//! - `guides`, not to be printed, in groups of their own: `cloth` (outline, openings, slits), `turn-ins` (the rim
//!   that cloth is turned over), `boards`, `joints` (where the cloth folds), `names`, `head` (an arrow on every lid
//!   towards the head of the closed box), `bleed`;
//! - `register`, to be printed: the register marks; `words` beside them.

use crate::design::{Design, Piece, Role, extent, letters, piece_words};
use crate::diag::Diagnostic;
use crate::drawing::{Drawing, Mark, Pen, Rgb, svg_in_layers};
use crate::geom::{Bounds, Contour, Join, Path, Point, Stroke, Transform, offset, pt};
use crate::job::{Job, Side, StockKind};
use crate::units::{Length, decimal, mm};
use crate::write::style::{self, INK, QUIET};

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

/// The sheet.
#[derive(Clone, Debug)]
pub struct Artwork {
    /// The piece that is printed.
    pub piece: String,
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
    /// The artwork sheet of a design's covering cloth; an error where no cloth covers the box as one.
    pub fn of(job: &Job, design: &Design, bleed: Length) -> Result<Self, Diagnostic> {
        // What a slipcase's cloth shows on its ends is laid over other cloth there: nothing yet says where.
        let is_whole = !design.pieces.iter().any(|p| p.role == Role::Side);
        let is_one = is_whole && job.slipcase.is_none() && design.case.is_none();
        let Some(cover) = cover_of(design).filter(|_| is_one) else {
            let word = job.build.construction.terms().word;
            let message = if job.slipcase.is_some() {
                "an artwork sheet of a slipcase cannot be written yet".to_owned()
            } else if !is_whole {
                "an artwork sheet of a covering by part, cloth and paper, cannot be written yet".to_owned()
            } else if design.case.is_some() {
                // Two cloths, of which the case's is seen: nothing yet says which is printed.
                "an artwork sheet of a wrapper in a case cannot be written yet".to_owned()
            } else {
                format!("a box of {word} has no covering cloth in one piece, so there is no artwork sheet of it")
            };
            return Err(Diagnostic::error("no-cover-to-print", message)
                .at("box.construction")
                .help("leave --artwork out; hinged-boards and drop-spine are covered with one cloth"));
        };
        let around = bled(cover, design, bleed);
        let b = around.bounds();
        let out = RIM + APART;
        // Mirrored, the rightmost becomes the leftmost.
        let placed = Transform { mirrored: true, rotation_deg: 0.0, shift: pt(out + b.max.x, out - b.min.y) };
        let (right, high) = ((RIM + 2.0 * APART + b.width()).ceil(), (RIM + 2.0 * APART + b.height()).ceil());
        let lower = (high - (high - RIM) * LOWER).round();
        let mark = |name, x, y| RegisterMark { name, at: pt(x, y) };
        Ok(Self {
            piece: cover.id.clone(),
            size: pt(right + RIM, high + RIM),
            placed,
            marks: [mark('A', RIM, RIM), mark('B', right, RIM), mark('C', right, high), mark('D', RIM, lower)],
            bleed,
            around: around.transformed(&placed),
        })
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
        self.guides(&mut page, design);
        self.register(&mut page);
        self.words(&mut page, job);
        page
    }

    fn guides(&self, page: &mut Drawing, design: &Design) {
        let t = &self.placed;
        let closed = |c: &Contour| Stroke::Closed(c.transformed(t));
        let from = page.items.len();
        let mut layer = |name: &str, strokes: Vec<Stroke>, pen: Pen| {
            let at = page.items.len();
            page.lines(strokes, pen);
            page.group(name, at);
        };
        if let Some(cover) = cover_of(design) {
            let slits = cover.slits.iter().map(|s| Stroke::Open(s.transformed(t)));
            let cuts = std::iter::once(closed(&cover.outline)).chain(cover.holes.iter().map(closed)).chain(slits);
            layer("cloth", cuts.collect(), Pen::solid(INK, 0.3));
        }
        if let Some(flat) = &design.flat {
            layer("turn-ins", vec![closed(&flat.region())], DASHED);
            let folds = flat.arms.values().flat_map(|arm| arm.hinges()).map(|h| Stroke::Open(h.transformed(t)));
            let crease = style::style(crate::profile::OperationKind::CreaseScore).color;
            layer("joints", folds.collect(), Pen { color: crease, ..DASHED });
        }
        let boards: Vec<&Piece> = boards(design).collect();
        // A recess for a label is pressed into the cloth: what is printed there lies deeper.
        let recesses = |p: &&Piece| -> Vec<Stroke> { p.outside_pockets().iter().map(|k| closed(&k.outline)).collect() };
        let mut edges: Vec<Stroke> = boards.iter().map(|b| closed(&b.outline)).collect();
        edges.extend(boards.iter().flat_map(recesses));
        edges.extend(boards.iter().flat_map(|b| b.openings()).map(closed));
        layer("boards", edges, Pen::solid(QUIET, 0.2));
        layer("names", boards.iter().flat_map(|b| self.name(b)).collect(), Pen::solid(QUIET, 0.2));
        layer("head", boards.iter().flat_map(|b| self.arrow(b)).collect(), Pen::solid(QUIET, 0.3));
        layer("bleed", vec![Stroke::Closed(self.around.clone())], Pen::solid(BLED, 0.2));
        page.group("guides", from);
    }

    /// A board's name, as it is read on the closed box; along a narrow board.
    fn name(&self, board: &Piece) -> Vec<Stroke> {
        let words = piece_words(board.id.split_once('-').map_or(board.id.as_str(), |(_, rest)| rest)).to_uppercase();
        let outline = board.outline.transformed(&self.placed);
        let b = outline.bounds();
        let is_tall = b.height() > 1.5 * b.width() && board.role != Role::Flap;
        let (long, across) = if is_tall { (b.height(), b.width()) } else { (b.width(), b.height()) };
        let one = extent(&words, 1.0).x;
        let size = NAME.min(0.6 * long / one).min(0.4 * across);
        let turn = if is_tall { 90.0 } else { reads(board.side, board.role) };
        // On a lid the arrow stands above the name.
        let drop = if board.role == Role::Flap { -1.2 * size } else { -0.5 * size };
        let t = Transform { mirrored: false, rotation_deg: turn, shift: b.center() };
        let start = pt(-extent(&words, size).x / 2.0, drop);
        let moved = |p: &Path| Stroke::Open(p.transformed(&Transform::shift(start)).transformed(&t));
        letters(&words, size).iter().map(moved).collect()
    }

    /// On a lid an arrow towards the head of the closed box, and the word.
    fn arrow(&self, board: &Piece) -> Vec<Stroke> {
        if !matches!(board.role, Role::Flap | Role::Base) {
            return Vec::new();
        }
        let b = board.outline.transformed(&self.placed).bounds();
        let long = (b.width().min(b.height()) * 0.3).clamp(4.0, 30.0);
        let size = NAME.min(long / 3.0);
        let t = Transform { mirrored: false, rotation_deg: reads(board.side, board.role), shift: b.center() };
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
            let words = format!("{}  X {} Y {}", m.name, decimal(m.at.x, 2), decimal(m.at.y, 2));
            let long = extent(&words, SMALL).x;
            let away = CROSS + 1.5;
            let (start, turn) = match m.name {
                'A' => (pt(away, -SMALL / 2.0), 0.0),
                'D' => (pt(SMALL / 2.0, away), 90.0),
                _ => (pt(-away - long, -SMALL / 2.0), 0.0),
            };
            page.lines(written(&words, SMALL, m.at + start, turn), Pen::solid(INK, 0.2));
            page.group(format!("register-{}", m.name), at);
        }
        page.group("register", from);
    }

    /// What it is, and a line to measure, above the cloth.
    fn words(&self, page: &mut Drawing, job: &Job) {
        let from = page.items.len();
        let last = self.marks[2];
        let room = last.at.x - CROSS - 40.0 - RIM;
        let title = any_ascii::any_ascii(&job.title).to_uppercase();
        let bleed = decimal(self.bleed.to_mm(), 2);
        let about = format!("{title}  -  OUTSIDE - FULL SIZE  -  BLEED {bleed} MM  -  PRINT REGISTER - NOT GUIDES");
        let known = |c: char| c.is_ascii_alphanumeric() || " .-/".contains(c);
        let about: String = about.chars().map(|c| if c == ',' { ' ' } else { c }).filter(|c| known(*c)).collect();
        let size = SMALL.min(SMALL * room / extent(&about, SMALL).x.max(1e-9));
        let top = self.size.y;
        page.lines(written(&about, size, pt(RIM, top - 6.0), 0.0), Pen::solid(INK, 0.2));
        let long = if room > 130.0 { 100.0 } else { 50.0 };
        let (y, end) = (top - 10.0, pt(RIM + long, top - 10.0));
        let tick = |x: f64| Stroke::Open(Path::line(pt(x, y - 1.5), pt(x, y + 1.5)));
        let scale = vec![Stroke::Open(Path::line(pt(RIM, y), end)), tick(RIM), tick(RIM + long)];
        page.lines(scale, Pen::solid(INK, 0.15));
        let measure = format!("{long} MM");
        page.lines(written(&measure, SMALL, end + pt(3.0, -SMALL / 2.0), 0.0), Pen::solid(INK, 0.2));
        page.group("words", from);
    }
}

/// The edge of the bleed.
const BLED: Rgb = [0xac, 0x58, 0x06];
/// Where the cloth folds.
const DASHED: Pen = Pen { color: QUIET, width: 0.2, dashes: &[4.0, 2.0], unit: 1.0 };

/// By how much a board's outside is turned on the page where the closed box is seen with its head up, degrees.
///
/// A lid is folded over its hinge: of a direction on it the part along the hinge stays, the part across it is
/// reversed. The hinge of a lid at left or right runs to the head, so such a lid keeps its up; one at head or tail
/// comes to lie the other way up.
fn reads(side: Option<Side>, role: Role) -> f64 {
    match (role, side) {
        (Role::Flap, Some(Side::Head | Side::Tail)) => 180.0,
        _ => 0.0,
    }
}

fn written(words: &str, size: f64, at: Point, turn: f64) -> Vec<Stroke> {
    let t = Transform { mirrored: false, rotation_deg: turn, shift: at };
    letters(words, size).iter().map(|p| Stroke::Open(p.transformed(&t))).collect()
}

/// The cloth that covers the box.
pub fn cover_of(design: &Design) -> Option<&Piece> {
    design.pieces.iter().find(|p| p.role == Role::Cover && p.stock == StockKind::Cloth)
}

/// The boards that lie on it.
fn boards(design: &Design) -> impl Iterator<Item = &Piece> {
    let lies = |p: &&Piece| p.stock == StockKind::Board && matches!(p.role, Role::Base | Role::Wall | Role::Flap);
    design.pieces.iter().filter(lies)
}

/// The edge of what bleeds: the cloth's outline moved out. Where its corner cuts are narrower than twice that, the
/// rim moved out by the turn-in as well, which holds the cloth; where even that closes a bay, the rectangle round.
fn bled(cover: &Piece, design: &Design, bleed: Length) -> Contour {
    let by = bleed.to_mm();
    let rectangle = || {
        let Bounds { min, max } = cover.outline.bounds().grown(by);
        Contour::rectangle(min, max)
    };
    let own = offset(&cover.outline, by, Join::Mitre).ok();
    let whole = own.or_else(|| {
        let rim = design.flat.as_ref()?.region();
        let (rim_box, cloth) = (rim.bounds(), cover.outline.bounds());
        let turn_in = (cloth.max.x - rim_box.max.x).max(cloth.max.y - rim_box.max.y);
        offset(&rim, turn_in + by, Join::Mitre).ok()
    });
    // A mitre of a sharp corner may reach far out.
    let holds = |c: &Contour| c.bounds().contains(cover.outline.bounds().grown(by), 1e-6);
    whole.filter(holds).unwrap_or_else(rectangle)
}
