//! The pages that go with a coupon: its text, and each group of cards drawn with what is measured on it.

use super::flow::{Flow, MARGIN};
use super::paper::Paper;
use crate::coupon::Coupon;
use crate::coupon::guide::Part;
use crate::drawing::{Anchor, Drawing as Page, Faces, Pen, Type, pdf};
use crate::geom::{Bounds, Contour, Path, Point, Stroke, Vertex, pt};
use crate::profile::OperationKind;
use crate::write::style::{CUT_WEIGHT, INK, QUIET, STYLES, pen};

/// A group of cards is drawn no higher than this, mm.
const HIGHEST: f64 = 55.0;
/// About a group, for the measures above it, mm.
const RIM: f64 = 8.0;

/// The pages. An error only where the PDF library cannot write.
pub fn coupon(coupon: &Coupon, parts: &[Part], paper: Paper) -> Result<Vec<u8>, String> {
    let faces = Faces::new();
    let mut flow = Flow::new(&faces, paper, 0.0);
    let plain = |text: &str| text.replace('`', "");
    let mut title = String::new();
    for (i, part) in parts.iter().enumerate() {
        match part {
            Part::Title(text) => {
                flow.title(text);
                title = text.clone();
            }
            Part::Heading(text) => flow.heading(&plain(text)),
            Part::Subheading(text) => flow.subheading(&plain(text)),
            // Words of files and forms stand out without type of their own.
            Part::Text(text) => flow.text(&text.replace('`', "\"")),
            Part::Item(text) => flow.item(&text.replace('`', "\"")),
            Part::Command(text) => flow.item(text),
            Part::Cards(of) => {
                if let Some(cards) = Cards::of(coupon, of, flow.room()) {
                    // The drawing stays with the sentence that explains it.
                    let follows = if matches!(parts.get(i + 1), Some(Part::Text(_))) { 20.0 } else { 0.0 };
                    flow.need(cards.height() + follows + 10.0);
                    flow.row(cards.height(), |page, corner, _| cards.draw(page, &faces, corner));
                }
            }
        }
    }
    let mut pages = flow.finish();
    let total = pages.len();
    for (n, page) in pages.iter_mut().enumerate() {
        let kind = Type::new(2.8).color(QUIET);
        page.text(&faces, pt(MARGIN, 9.0), Anchor::Left, kind, &title);
        page.text(&faces, pt(page.width - MARGIN, 9.0), Anchor::Right, kind, &format!("{} of {total}", n + 1));
    }
    pdf(&pages, &title, &faces)
}

/// The cards of a group, where they lie on the sheet.
struct Cards<'a> {
    coupon: &'a Coupon,
    of: &'static str,
    bounds: Bounds,
    scale: f64,
}

impl<'a> Cards<'a> {
    /// Those whose ids begin so, as large as they are or as much smaller as `room` asks for; `None` where there
    /// are none.
    fn of(coupon: &'a Coupon, of: &'static str, room: f64) -> Option<Self> {
        let own = coupon.sheet.placed.iter().filter(|p| is_of(coupon, p.piece, of));
        let bounds = own.map(|p| p.bounds).reduce(Bounds::union)?.grown(0.5);
        let scale = ((room - 2.0 * RIM) / bounds.width()).min(HIGHEST / bounds.height()).min(1.0);
        Some(Self { coupon, of, bounds, scale })
    }

    fn height(&self) -> f64 {
        self.bounds.height() * self.scale + 2.0 * RIM
    }

    fn draw(&self, page: &mut Page, faces: &Faces, corner: Point) {
        let put = |p: Point| corner + pt(0.0, RIM) + (p - self.bounds.min) * self.scale;
        for placed in &self.coupon.sheet.placed {
            let Some(piece) =
                self.coupon.pieces.get(placed.piece).filter(|_| is_of(self.coupon, placed.piece, self.of))
            else {
                continue;
            };
            let moved = |v: &Vertex| Vertex::new(put(placed.transform.apply(v.point())), v.bulge);
            let closed = |c: &Contour| Stroke::Closed(Contour::new(c.vertices().iter().map(moved)));
            let open = |p: &Path| Stroke::Open(Path::new(p.vertices().iter().map(moved)));
            for style in STYLES.iter().rev() {
                let strokes: Vec<Stroke> = match style.kind {
                    OperationKind::ThroughCut => {
                        std::iter::once(closed(&piece.outline)).chain(piece.holes.iter().map(closed)).collect()
                    }
                    OperationKind::HalfDepthPocket => piece.pockets.iter().map(|k| closed(&k.outline)).collect(),
                    OperationKind::CreaseScore => piece.creases.iter().map(open).collect(),
                    OperationKind::Mark => Vec::new(),
                };
                let filled =
                    strokes.iter().filter_map(|s| if let Stroke::Closed(c) = s { Some(c.clone()) } else { None });
                page.shape(filled.filter(|_| style.fill.is_some()).collect(), style.fill, None);
                page.lines(strokes, pen(style.kind, CUT_WEIGHT * 0.7));
            }
            // Letters as they are drawn on the cards.
            let letters = piece.marks.iter().map(|m| match m {
                Stroke::Open(p) => open(p),
                Stroke::Closed(c) => closed(c),
            });
            page.lines(letters.collect(), Pen::solid(INK, 0.22));
            for measure in self.coupon.measured.iter().filter(|m| m.card == piece.id) {
                measured(
                    page,
                    faces,
                    put(placed.transform.apply(measure.from)),
                    put(placed.transform.apply(measure.to)),
                    &measure.name,
                );
            }
        }
    }
}

fn is_of(coupon: &Coupon, piece: usize, of: &str) -> bool {
    coupon.pieces.get(piece).is_some_and(|p| p.id.starts_with(of))
}

/// A distance with its name: a line with a tip at either end.
fn measured(page: &mut Page, faces: &Faces, from: Point, to: Point, name: &str) {
    let Some(u) = (to - from).normalized() else { return };
    let pen = Pen::solid(QUIET, 0.2);
    page.line(from, to, pen);
    let tip = (from.distance(to) / 3.0).min(1.6);
    for (end, inwards) in [(from, u), (to, -u)] {
        for side in [u.left(), -u.left()] {
            page.line(end, end + inwards * tip + side * (tip * 0.4), pen);
        }
    }
    let kind = Type::new(2.6).halo([0xff; 3]);
    let middle = from.lerp(to, 0.5);
    if u.x.abs() > 0.5 {
        page.text(faces, middle + pt(0.0, 0.9), Anchor::Middle, kind, name);
    } else {
        page.text(faces, middle + pt(1.2, -0.9), Anchor::Left, kind, name);
    }
}
