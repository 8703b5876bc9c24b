//! A drawing seen from above, from the job's own contours.

use super::sheets::{name_in, scaled};
use crate::drawing::Faces;
use crate::drawing::{Anchor, Drawing as Page, Pen, Type};
use crate::geom::{Bounds, Contour, Point, Stroke, Transform, pt, rings_shared};
use crate::write::pdf::tile::within;
use crate::write::style::{INK, Rgb};

pub(super) const BOARD: Rgb = [0xf2, 0xec, 0xdd];
pub(super) const CLOTH: Rgb = [0xcf, 0xdc, 0xe8];
pub(super) const LINER: Rgb = [0xf7, 0xf7, 0xf2];
pub(super) const HERE: Rgb = [0xf3, 0xc9, 0xa8];
pub(super) const THIN: Pen = Pen::solid(INK, 0.2);

/// A window on the flat layout, drawn into a rectangle of the page.
pub(super) struct Plan<'a> {
    pub(super) page: &'a mut Page,
    pub(super) faces: &'a Faces,
    scale: f64,
    shift: Point,
    window: Bounds,
    room: Bounds,
    is_from_outside: bool,
}

/// Below a drawing, for what is said of it, mm.
const BELOW: f64 = 4.0;

impl<'a> Plan<'a> {
    /// Shows `window` of the layout as large as `room` holds it, in its middle.
    pub(super) fn new(page: &'a mut Page, faces: &'a Faces, window: Bounds, room: Bounds) -> Self {
        let mut plan = Self { page, faces, scale: 1.0, shift: pt(0.0, 0.0), window, room, is_from_outside: false };
        plan.fill_room(room);
        plan
    }

    fn fill_room(&mut self, room: Bounds) {
        let window = self.window;
        self.scale = (room.width() / window.width().max(1.0)).min(room.height() / window.height().max(1.0));
        self.shift = room.center() - window.center() * self.scale;
    }

    /// Everything from now on as it is seen from outside, left and right exchanged, and said so.
    pub(super) fn turn_over(&mut self) {
        self.is_from_outside = true;
        let room = self.room;
        self.fill_room(Bounds { min: room.min + pt(0.0, BELOW), ..room });
        let at = pt(room.center().x, room.min.y + 1.0);
        self.page.text(self.faces, at, Anchor::Middle, Type::new(2.4), "seen from outside");
    }

    /// As it is seen: left and right exchanged in the window's middle where that is from outside.
    fn seen(&self) -> Transform {
        let shift = pt(2.0 * self.window.center().x, 0.0);
        if self.is_from_outside { Transform { mirrored: true, rotation_deg: 0.0, shift } } else { Transform::IDENTITY }
    }

    pub(super) fn put(&self, p: Point) -> Point {
        self.shift + self.seen().apply(p) * self.scale
    }

    /// So many mm of the page as a length in the layout.
    pub(super) fn millimetres(&self, on_page: f64) -> f64 {
        on_page / self.scale.max(1e-6)
    }

    /// Filled shapes, cut off at the window.
    pub(super) fn fill(&mut self, shapes: &[Contour], color: Rgb) {
        let frame = Contour::rectangle(self.window.min, self.window.max).flatten(0.1);
        for shape in shapes {
            let ring = shape.flatten(0.1 / self.scale.max(0.05));
            let inside = rings_shared(&frame, &ring);
            let all = inside.iter().map(|r| Contour::polygon(r.iter().map(|p| self.put(*p)))).collect();
            self.page.shape(all, Some(color), None);
        }
    }

    /// Lines, cut off at the window.
    pub(super) fn line(&mut self, strokes: &[Stroke], pen: Pen) {
        let window = self.window;
        let t = self.seen();
        let seen =
            strokes.iter().flat_map(|s| within(s, window)).map(|s| scaled(&s.transformed(&t), self.scale, self.shift));
        let seen = seen.collect();
        self.page.lines(seen, pen);
    }

    /// A filled shape with its outline.
    pub(super) fn solid(&mut self, shapes: &[Contour], color: Rgb, pen: Pen) {
        self.fill(shapes, color);
        let lines: Vec<Stroke> = shapes.iter().cloned().map(Stroke::Closed).collect();
        self.line(&lines, pen);
    }

    /// A name in the middle of a shape.
    pub(super) fn name(&mut self, shape: &Contour, name: &str) {
        let b = shape.bounds();
        let room = Bounds::of([self.put(b.min), self.put(b.max)]);
        name_in(self.page, self.faces, room, name);
    }

    /// A number in a disc.
    pub(super) fn number(&mut self, p: Point, n: usize) {
        let c = self.put(p);
        self.page.shape(vec![Contour::circle(c, 2.2)], Some([255, 255, 255]), Some(THIN));
        self.page.text(self.faces, c - pt(0.0, 1.05), Anchor::Middle, Type::new(3.0).bold(), &n.to_string());
    }
}
