//! The lids: their order of closing, their reach, and whether their outline closes.

use super::check::{Check, Sign};
use super::{Build, Construction, Contents, Flap, FlapShape, Notch, Seat, Side, Stock};
use crate::diag::Diagnostic;
use crate::import::{self, Outline};
use crate::units::{Length, decimal, mm};
use std::collections::BTreeMap;

/// What `flap_inset = "auto"` adds to the cloth's thickness.
const AUTO_INSET: Length = mm(0.5);
/// A free edge narrower than this is a point, not an edge to turn cloth over.
const LEAST_FREE_EDGE: Length = mm(1.0);
/// Shares of a whole are compared with this much slack, so that 50 % and 50 % is not above 100 %.
const SLACK: Length = mm(1e-6);
/// A drawn lid's hinge edge is that of the flap within this: more would bind or gape, less is
/// rounding in the drawing.
const DRAWN_WIDTH: Length = mm(0.5);

impl Check<'_> {
    /// Every flap that is right by itself, after they have been held against each other.
    pub(super) fn flaps(
        &mut self,
        contents: Option<&Contents>,
        build: Option<&Build>,
        cloth: Option<&Stock>,
        liner: Option<&Stock>,
    ) -> Option<BTreeMap<Side, Flap>> {
        let given: Vec<Side> = Side::ALL.into_iter().filter(|s| self.doc.is_written(&flap_key(*s, ""))).collect();
        if given.is_empty() {
            if self.doc.get("flap").is_none() && !self.doc.is_written("flap") {
                let d = Diagnostic::error("missing-key", "`flap` is missing").at("flap");
                self.push(d.help("add a table such as `[flap.left]` with a tier and a reach"));
                return None;
            }
            if self.doc.get("flap").is_some() && self.is_clean {
                let d = Diagnostic::error("no-flap", "the box has no flap").at("flap");
                self.push(d.help("add a table such as [flap.left] with a tier and a reach"));
            }
            return None;
        }
        let auto = cloth.map_or(Length::ZERO, |c| c.thickness) + AUTO_INSET;
        let inset = build.map(|b| b.flap_inset.unwrap_or(auto));
        // A lid that lies over its wall counts its reach from the wall's outer face.
        let over = match build.map(|b| (b.construction, b.seat)) {
            Some((Construction::HingedBoards, Seat::OnBase)) => {
                self.t.unwrap_or_default() + liner.map_or(Length::ZERO, |l| l.thickness)
            }
            _ => Length::ZERO,
        };
        let mut flaps = BTreeMap::new();
        for side in &given {
            let width = contents.zip(inset).map(|(c, inset)| across(*side, c) - inset * 2.0);
            if let Some(flap) = self.flap(*side, contents.map(|c| along(*side, c)), width, over) {
                flaps.insert(*side, flap);
            }
        }
        self.tiers(&given);
        if let Some(contents) = contents {
            self.meetings(&flaps, contents, cloth, over);
        }
        (flaps.len() == given.len()).then_some(flaps)
    }

    /// One flap, in an interior of `room` along its reach, `width` across; it may lie `over` its wall.
    fn flap(&mut self, side: Side, room: Option<Length>, width: Option<Length>, over: Length) -> Option<Flap> {
        if self.doc.is_written(&flap_key(side, "outline")) {
            return self.drawn(side, room.map(|r| r + over), width);
        }
        let key = |k: &str| flap_key(side, k);
        if self.doc.is_written(&key("layer")) {
            let d = Diagnostic::error("not-this-shape", "`layer` is given, but no `outline` is named");
            self.push(d.at(key("layer")).help("name the drawing with `outline = \"lid.dxf\"`"));
        }
        if !self.doc.is_written(&key("reach")) && self.doc.get(&flap_key(side, "")).is_some() {
            let d = Diagnostic::error("missing-key", format!("`{}` is missing", key("reach")));
            self.push(d.at(key("reach")).help("write how far the lid reaches: a length, or a share such as \"45 %\""));
        }
        let mut reach = self.reach(&key("reach"), room, Sign::Positive);
        if let (Some(r), Some(room)) = (reach, room)
            && r > room + over + SLACK
        {
            let message =
                format!("the {} flap reaches {}, beyond an interior of {}", side.word(), self.say(r), self.say(room));
            self.push(Diagnostic::error("reach-too-long", message).at(key("reach")).help(if over > Length::ZERO {
                format!("{} is the most: the interior and what lies over the wall", self.say(room + over))
            } else {
                "100 % is the most".to_owned()
            }));
            reach = None;
        }
        if let Some(width) = width
            && width <= Length::ZERO
        {
            // An inset that follows from the cloth is that large only where the cloth was refused.
            if self.doc.text("box.flap_inset").is_some() {
                return None;
            }
            let message = format!("the insets leave nothing of the {} flap's width", side.word());
            self.push(Diagnostic::error("no-flap-width", message).at("box.flap_inset").help("make the inset smaller"));
            return None;
        }
        let shape = self.shape(side);
        let radius = self.length(&key("corner_radius"), Sign::NotNegative);
        if let (Some(reach), Some(width), Some(shape)) = (reach, width, shape.as_ref()) {
            self.outline(side, shape, reach, width, radius);
        }
        let notch = self.notch(side, shape.as_ref(), reach, width, radius);
        let tier = self.doc.count(&key("tier"));
        Some(Flap {
            tier: u32::try_from(tier?).unwrap_or(u32::MAX),
            reach: reach?,
            shape: shape?,
            corner_radius: radius?,
            notch: notch?,
        })
    }

    /// A flap whose outline is drawn.
    fn drawn(&mut self, side: Side, room: Option<Length>, width: Option<Length>) -> Option<Flap> {
        let key = |k: &str| flap_key(side, k);
        let outline = self.drawing(side);
        for other in ["shape", "taper", "bow", "corner_radius", "notch"] {
            if self.doc.is_written(&key(other)) {
                let message = format!("`{other}` is given, but the {} lid's outline is drawn", side.word());
                let d = Diagnostic::error("not-this-shape", message).at(key(other));
                self.push(d.help("draw it, and take this key out"));
            }
        }
        let written = if self.doc.is_written(&key("reach")) {
            Some(self.reach(&key("reach"), room, Sign::Positive))
        } else {
            None
        };
        let tier = self.doc.count(&key("tier"));
        let outline = outline?;
        let (hinge, bounds) = (mm(outline.hinge()), outline.contour.bounds());
        let reach = mm(bounds.max.y);
        let wrong = if let Some(width) = width
            && (hinge - width).abs() > DRAWN_WIDTH
        {
            let message =
                format!("the hinge edge drawn is {} long, the flap {} wide", self.say(hinge), self.say(width));
            let hint =
                format!("draw the hinge edge {} long, or change box.flap_inset; nothing is scaled", self.say(width));
            Some(("drawn-width", message, hint))
        } else if let Some(width) = width
            && (mm(bounds.max.x) > width / 2.0 + DRAWN_WIDTH || mm(bounds.min.x) < -width / 2.0 - DRAWN_WIDTH)
        {
            let beyond = mm(bounds.max.x.max(-bounds.min.x)) - width / 2.0;
            let message = format!("the lid drawn juts {} out past the end of its hinge edge", self.say(beyond));
            Some((
                "drawn-width",
                message,
                "it would meet the wall beside it: keep the lid within its hinge edge".into(),
            ))
        } else if let Some(room) = room
            && reach > room + SLACK
        {
            let message =
                format!("the lid drawn reaches {}, beyond an interior of {}", self.say(reach), self.say(room));
            Some(("reach-too-long", message, format!("draw it {} high at most", self.say(room))))
        } else if let Some(Some(written)) = written
            && (written - reach).abs() > DRAWN_WIDTH
        {
            let message = format!("the lid drawn reaches {}, `reach` says {}", self.say(reach), self.say(written));
            Some(("drawn-reach", message, "take `reach` out, or mend the drawing; nothing is scaled".into()))
        } else {
            None
        };
        if let Some((code, message, hint)) = wrong {
            self.push(Diagnostic::error(code, message).at(key("outline")).help(hint));
            return None;
        }
        Some(Flap {
            tier: u32::try_from(tier?).unwrap_or(u32::MAX),
            reach,
            shape: FlapShape::Outline(outline),
            corner_radius: Length::ZERO,
            notch: None,
        })
    }

    /// The outline in the drawing that a flap names.
    fn drawing(&mut self, side: Side) -> Option<Outline> {
        let key = flap_key(side, "outline");
        let path = self.doc.text(&key)?.to_owned();
        let bytes = match (self.drawing)(&path) {
            Ok(bytes) => bytes,
            Err(why) => {
                let d = Diagnostic::error("drawing-unreadable", format!("cannot read the drawing {path}: {why}"));
                self.push(d.at(key).help("the path is relative to the job file"));
                return None;
            }
        };
        let layer = self.doc.text(&flap_key(side, "layer")).map(str::to_owned);
        let (outline, said) = import::outline(&bytes, layer.as_deref(), self.doc.unit);
        for d in said {
            let message = format!("{path}: {}", d.message);
            self.push(Diagnostic { message, ..d }.at(key.clone()));
        }
        outline
    }

    /// `notch`, held against the free edge; `None` inside where the flap has none.
    fn notch(
        &mut self,
        side: Side,
        shape: Option<&FlapShape>,
        reach: Option<Length>,
        width: Option<Length>,
        corner_radius: Option<Length>,
    ) -> Option<Option<Notch>> {
        let key = |k: &str| flap_key(side, &format!("notch.{k}"));
        if self.doc.get(&flap_key(side, "notch")).is_none() {
            return if self.doc.is_written(&flap_key(side, "notch")) { None } else { Some(None) };
        }
        let across = self.length(&key("width"), Sign::Positive);
        let depth = self.length(&key("depth"), Sign::Positive);
        let radius = self.length(&key("radius"), Sign::NotNegative);
        let notch = Notch { width: across?, depth: depth?, radius: radius? };
        let (shape, reach, width) = (shape?, reach?, width?);
        let free = match shape {
            FlapShape::Taper(degrees) => free_edge(width, reach, *degrees),
            _ => width,
        };
        let room = free - corner_radius? * 2.0 - notch.radius * 2.0;
        let name = side.word();
        let wrong = if notch.depth > notch.width / 2.0 + SLACK {
            let message = format!(
                "the {name} flap's notch is {} deep and {} wide: more than a half round",
                self.say(notch.depth),
                self.say(notch.width)
            );
            Some(("depth", message, format!("{} is the most for this width", self.say(notch.width / 2.0))))
        } else if notch.depth * 2.0 > reach {
            let message = format!("the {name} flap's notch takes more than half of its reach, {}", self.say(reach));
            Some(("depth", message, "make it flatter".to_owned()))
        } else if notch.width > room {
            let message = format!("the {name} flap's notch of {} does not fit on its free edge", self.say(notch.width));
            Some(("width", message, format!("{} is left between the corners", self.say(room.max(Length::ZERO)))))
        } else {
            None
        };
        match wrong {
            Some((at, message, hint)) => {
                self.push(Diagnostic::error("notch-too-large", message).at(key(at)).help(hint));
                None
            }
            None => Some(Some(notch)),
        }
    }

    /// `shape` with the measure that belongs to it, and no other.
    fn shape(&mut self, side: Side) -> Option<FlapShape> {
        let word = self.doc.text(&flap_key(side, "shape"))?.to_owned();
        for other in ["taper", "bow"] {
            let key = flap_key(side, other);
            if other != word && self.doc.is_written(&key) {
                let d = Diagnostic::error("not-this-shape", format!("`{other}` is given, but the flap is \"{word}\""));
                self.push(d.at(key).help(format!("write `shape = \"{other}\"`, or take `{other}` out")));
            }
        }
        let key = flap_key(side, &word);
        if word != "square" && !self.doc.is_written(&key) {
            let what = if word == "bow" { "the rise of the arc" } else { "degrees a side" };
            let d = Diagnostic::error("missing-key", format!("`{key}` is missing: the flap is \"{word}\""));
            self.push(d.at(flap_key(side, "shape")).help(format!("add `{word} = ...`, {what}")));
            return None;
        }
        match word.as_str() {
            "taper" => {
                let hint = "a side leans inwards by so many degrees, from 0 to less than 90";
                let taper = self.number_in(&key, 0.0, 89.0, "taper-angle", hint)?;
                Some(FlapShape::Taper(taper))
            }
            "bow" => {
                let rise = self.length(&key, Sign::Any)?;
                if rise == Length::ZERO {
                    let d = Diagnostic::error("not-positive", format!("`{key}` is 0; a bow rises or dips"));
                    self.push(d.at(key).help("write `shape = \"square\"` for a straight edge"));
                    return None;
                }
                Some(FlapShape::Bow(rise))
            }
            _ => Some(FlapShape::Square),
        }
    }

    /// Whether the outline closes, and how large a radius its free corners can take.
    fn outline(&mut self, side: Side, shape: &FlapShape, reach: Length, width: Length, radius: Option<Length>) {
        let name = side.word();
        let most = match *shape {
            FlapShape::Square => (width / 2.0).min(reach),
            FlapShape::Taper(degrees) => {
                let free = free_edge(width, reach, degrees);
                if free < LEAST_FREE_EDGE {
                    let steepest = ((width - LEAST_FREE_EDGE) / 2.0 / reach).atan().to_degrees();
                    let message = format!("the sides of the {name} flap meet at or before its free edge");
                    self.push(Diagnostic::error("taper-closes", message).at(flap_key(side, "taper")).help(format!(
                        "less than {} degrees keeps a free edge",
                        decimal((steepest * 10.0).floor() / 10.0, 1)
                    )));
                    return;
                }
                // A corner of 90 + a degrees takes r tan((90 - a) / 2) from each of its two sides.
                let side_length = reach / degrees.to_radians().cos();
                (free / 2.0).min(side_length) / ((90.0 - degrees) / 2.0).to_radians().tan()
            }
            FlapShape::Outline(_) => return,
            FlapShape::Bow(rise) => {
                let size = rise.abs();
                let (limit, why) = if size >= reach {
                    (reach, "the whole reach")
                } else if size > width / 2.0 + SLACK {
                    (width / 2.0, "more than a half circle")
                } else {
                    (Length::ZERO, "")
                };
                if !why.is_empty() {
                    let message =
                        format!("the {name} flap's bow of {} takes up {why}, {}", self.say(rise), self.say(limit));
                    self.push(
                        Diagnostic::error("bow-too-high", message).at(flap_key(side, "bow")).help("make it flatter"),
                    );
                    return;
                }
                bow_radius(width, reach, rise)
            }
        };
        if let Some(radius) = radius
            && radius > most + SLACK
        {
            let message = format!("a corner radius of {} does not fit on the {name} flap", self.say(radius));
            let most = mm((most.to_mm() * 10.0).floor() / 10.0);
            self.push(
                Diagnostic::error("radius-too-large", message)
                    .at(flap_key(side, "corner_radius"))
                    .help(format!("{} is the most", self.say(most))),
            );
        }
    }

    /// Tiers start at 1 and leave none out.
    fn tiers(&mut self, given: &[Side]) {
        let tiers: Vec<(Side, u64)> =
            given.iter().filter_map(|s| Some((*s, self.doc.count(&flap_key(*s, "tier"))?))).collect();
        let is_known = tiers.len() == given.len();
        for (side, tier) in &tiers {
            let missing = (1..*tier).find(|n| tiers.iter().all(|(_, t)| t != n));
            let wrong = match (tier, missing) {
                (0, _) => "tiers count from 1".to_owned(),
                (_, Some(n)) if is_known => format!("tier {tier} without a tier {n} below it"),
                _ => continue,
            };
            self.push(
                Diagnostic::error("tier", wrong)
                    .at(flap_key(*side, "tier"))
                    .help("the flap that closes first is 1, the next 2, and so on"),
            );
        }
    }

    /// Flaps that share a tier: opposite ones must not meet, neighbours would overlap in the corner.
    fn meetings(&mut self, flaps: &BTreeMap<Side, Flap>, contents: &Contents, cloth: Option<&Stock>, over: Length) {
        for (first, a) in flaps {
            for (second, b) in flaps.iter().filter(|(s, b)| *s > first && b.tier == a.tier) {
                // Told at the one that stands later in the file.
                let place = |s: &Side| self.doc.places.find(&flap_key(*s, "")).map_or(0, |p| p.start);
                let later = if place(first) > place(second) { *first } else { *second };
                let at = |k| flap_key(later, k);
                let (one, two) = (first.word(), second.word());
                if *second != first.opposite() {
                    // Two sides that lean by 90 degrees between them keep clear of each other.
                    let lean = |f: &Flap| if let FlapShape::Taper(d) = &f.shape { *d } else { 0.0 };
                    if lean(a) + lean(b) < 90.0 {
                        let message =
                            format!("the {one} and {two} flaps share tier {} and overlap in their corner", a.tier);
                        self.push(
                            Diagnostic::error("flaps-overlap", message)
                                .at(at("tier"))
                                .help("close one after the other"),
                        );
                    }
                    continue;
                }
                // Drawn lids may interlock: the closed box is asked whether they do.
                let is_drawn = |f: &Flap| matches!(f.shape, FlapShape::Outline(_));
                if is_drawn(a) && is_drawn(b) {
                    continue;
                }
                let room = along(*first, contents) + over * 2.0;
                let sum = a.reach + b.reach;
                let (ra, rb) = (self.say(a.reach), self.say(b.reach));
                let hint = "let them close one after the other, or shorten their reach";
                if sum > room + SLACK {
                    let over = self.say(sum - room);
                    let message =
                        format!("the {one} and {two} flaps share tier {} and overlap by {over}: {ra} and {rb}", a.tier);
                    self.push(Diagnostic::error("flaps-meet", message).at(at("reach")).help(hint));
                } else if let Some(cloth) = cloth
                    && sum + cloth.thickness * 2.0 > room + SLACK
                {
                    let message = format!("the {one} and {two} flaps leave no room for the cloth on their edges");
                    self.push(Diagnostic::warning("flaps-touch", message).at(at("reach")).help(hint));
                }
            }
        }
    }
}

/// The dotted key of a flap's table, or of a key in it.
pub(super) fn flap_key(side: Side, key: &str) -> String {
    let table = format!("flap.{}", side.word());
    if key.is_empty() { table } else { format!("{table}.{key}") }
}

/// The interior along a side's reach.
pub(super) fn along(side: Side, contents: &Contents) -> Length {
    match side {
        Side::Left | Side::Right => contents.interior_width(),
        Side::Head | Side::Tail => contents.interior_height(),
    }
}

/// The interior along a side's hinge.
fn across(side: Side, contents: &Contents) -> Length {
    along(
        match side {
            Side::Left | Side::Right => Side::Head,
            Side::Head | Side::Tail => Side::Left,
        },
        contents,
    )
}

/// The free edge of a tapered flap.
fn free_edge(width: Length, reach: Length, degrees: f64) -> Length {
    width - reach * (2.0 * degrees.to_radians().tan())
}

/// The largest radius that fits between a side and the arc of a bowed flap.
///
/// Of a dipped one the arc's centre lies outside, at y = reach - d + R, and the fillet's R + r from
/// it: `(R + r)^2 - (w / 2 - r)^2 <= (reach - d + R)^2` keeps it above the hinge edge.
///
/// The arc has R = (w^2 / 4 + b^2) / 2b and its centre at y = reach - R. The fillet's centre lies r
/// inside the side and R - r from the arc's centre; it fits while it stays above the hinge edge
/// and within half the width. Source: plane geometry, worked out here.
fn bow_radius(width: Length, reach: Length, rise: Length) -> Length {
    let (w, b) = (width.to_mm(), rise.to_mm());
    let arc = (w * w / 4.0 + b * b) / (2.0 * b.abs());
    if b < 0.0 {
        let centre = reach.to_mm() + b + arc;
        let most = (centre * centre - arc * arc + w * w / 4.0) / (2.0 * arc + w);
        return mm(most.min(w / 2.0).max(0.0));
    }
    let centre = reach.to_mm() - arc;
    let mut most = w / 2.0;
    if centre < 0.0 && 2.0 * arc > w {
        most = most.min((arc * arc - w * w / 4.0 - centre * centre) / (2.0 * arc - w));
    }
    mm(most.max(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tapered_flap_narrows_by_the_tangent_on_each_side() {
        // Source: trigonometry; tan 45 = 1.
        assert!((free_edge(mm(100.0), mm(30.0), 45.0).to_mm() - 40.0).abs() < 1e-9);
    }

    #[test]
    fn the_fillet_of_a_bow_ends_at_the_hinge_edge() {
        // A half circle has no corner left: any radius up to its own fits.
        assert!((bow_radius(mm(100.0), mm(80.0), mm(50.0)).to_mm() - 50.0).abs() < 1e-9);
        // A flap that is nearly all arc: with r the most, side tangent point and hinge edge coincide,
        // so the centre (w/2 - r, 0) lies R - r from the arc's centre (0, reach - R).
        let (w, reach, b) = (100.0, 25.0, 20.0);
        let r = bow_radius(mm(w), mm(reach), mm(b)).to_mm();
        let arc = (w * w / 4.0 + b * b) / (2.0 * b);
        assert!(r > 5.0 && r < 50.0);
        assert!(((w / 2.0 - r).hypot(reach - arc) - (arc - r)).abs() < 1e-9);
    }
}
