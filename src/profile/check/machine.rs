//! The machine itself.

use super::Checking;
use crate::diag::Diagnostic;
use crate::geom::{Point, pt};
use crate::profile::{BedPlace, Way};
use crate::units::{Length, mm};

pub(super) fn check(c: &mut Checking<'_>) {
    let p = c.profile();
    let m = &p.machine;
    if p.format != 1 && c.doc.has("format") {
        let message = format!("this file says format {}, and this program reads format 1", p.format);
        c.push(Diagnostic::error("unknown-format", message).at("format").help("write `format = 1`"));
    }
    if p.name.trim().is_empty() && c.doc.has("name") {
        c.push(Diagnostic::error("no-name", "the machine has no name").at("name").help("name it as the shop does"));
    }
    if p.cautions.is_empty() && c.doc.has("cautions") {
        let d = Diagnostic::hint("no-cautions", "no caution heads this machine's programs").at("cautions");
        c.push(
            d.help("add `cautions = [\"Keep hands out of the table while it moves.\"]` and what else its manual says"),
        );
    }
    if m.z_axis && m.safe_height <= mm(0.0) {
        let message = format!("`safe_height` is {}: traverses would drag the tool over the stock", m.safe_height);
        let d = Diagnostic::error("safe-height", message).at("machine.safe_height");
        c.push(d.help("give the height above the stock's top that clears clamps and curled corners, 10 say"));
    }
    let is_along = |way| matches!(way, Way::Right | Way::Left);
    if is_along(m.x_points) == is_along(m.y_points) {
        let message = format!("X points {} and Y {}, along one line", m.x_points.word(), m.y_points.word());
        let d = Diagnostic::error("one-axis", message).at("machine.y_points");
        c.push(d.help("one of them points right or left, the other up or down"));
        return;
    }
    inside(c, "park", "where the machine rests", m.park, m.park_on_bed());
    let [x, y] = m.origin;
    inside(c, "origin", "the sheet's corner", m.origin, pt(x.to_mm(), y.to_mm()));
}

/// Whether a place lies within the travel.
fn inside(c: &mut Checking<'_>, key: &str, what: &str, at: [Length; 2], on_bed: Point) {
    let m = &c.profile().machine;
    let (w, h) = (m.width, m.height);
    if on_bed.x < 0.0 || on_bed.y < 0.0 || on_bed.x > w.to_mm() || on_bed.y > h.to_mm() {
        let message = format!("`{key}`, {what}, is at {} and {}, outside the travel of {w} by {h}", at[0], at[1]);
        let d = Diagnostic::error("outside-travel", message).at(format!("machine.{key}"));
        let is_plain = (m.zero, m.x_points, m.y_points) == (BedPlace::LowerLeft, Way::Right, Way::Up);
        c.push(d.help(if is_plain || key == "origin" {
            "both numbers lie from 0 to the machine's width and height"
        } else {
            "it counts in the machine's own coordinates: see `zero`, `x_points` and `y_points`"
        }));
    }
}
