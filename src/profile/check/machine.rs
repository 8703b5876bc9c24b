//! The machine itself.

use super::Checking;
use crate::diag::Diagnostic;
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
        let d = Diagnostic::warning("no-cautions", "no caution heads this machine's programs").at("cautions");
        c.push(
            d.help("add `cautions = [\"Keep hands out of the table while it moves.\"]` and what else its manual says"),
        );
    }
    if m.z_axis && m.safe_height <= mm(0.0) {
        let message = format!("`safe_height` is {}: traverses would drag the tool over the stock", m.safe_height);
        let d = Diagnostic::error("safe-height", message).at("machine.safe_height");
        c.push(d.help("give the height above the stock's top that clears clamps and curled corners, 10 say"));
    }
    inside(c, "park", "where the machine rests", m.park);
    inside(c, "origin", "the sheet's corner", m.origin);
}

/// Whether a place lies within the travel.
fn inside(c: &mut Checking<'_>, key: &str, what: &str, at: [Length; 2]) {
    let m = &c.profile().machine;
    let (w, h) = (m.width, m.height);
    if at[0] < mm(0.0) || at[1] < mm(0.0) || at[0] > w || at[1] > h {
        let message = format!("`{key}`, {what}, is at {} and {}, outside the travel of {w} by {h}", at[0], at[1]);
        let d = Diagnostic::error("outside-travel", message).at(format!("machine.{key}"));
        c.push(d.help("both numbers lie from 0 to the machine's width and height"));
    }
}
