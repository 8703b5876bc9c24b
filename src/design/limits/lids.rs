//! The lids: how far they reach, whether their outline closes, whether two of them meet.

use super::{Limits, flap_key};
use crate::design::measures::{flap_inset, over_wall};
use crate::diag::Diagnostic;
use crate::import::Outline;
use crate::job::{Flap, FlapShape, Notch, Side};
use crate::units::{Length, decimal, mm};

/// A free edge narrower than this is a point, not an edge to turn cloth over (our choice).
const LEAST_FREE_EDGE: Length = mm(1.0);
/// Shares of a whole are compared with this much slack, so that 50 % and 50 % is not above 100 %.
const SLACK: Length = mm(1e-6);
/// A drawn lid's hinge edge is that of the flap within this: more would bind or gape, less is
/// rounding in the drawing.
const DRAWN_WIDTH: Length = mm(0.5);

impl Limits<'_> {
    /// Every lid by itself, then against the others.
    pub(super) fn lids(&mut self) {
        for (side, flap) in &self.job.flaps {
            self.lid(*side, flap);
        }
        // Strips' ends are put in order by themselves.
        if self.job.strips.is_none() {
            self.meetings();
        }
    }

    fn lid(&mut self, side: Side, flap: &Flap) {
        let job = self.job;
        let key = |k: &str| flap_key(side, k);
        let (room, over) = (job.contents.along(side), over_wall(job));
        let width = job.contents.across(side) - flap_inset(job, false) * 2.0;
        if let FlapShape::Outline(drawn) = &flap.shape {
            return self.drawn(side, drawn, room + over, width);
        }
        if flap.reach > room + over + SLACK {
            let message = format!(
                "the {} flap reaches {}, beyond an interior of {}",
                side.word(),
                self.say(flap.reach),
                self.say(room)
            );
            let at = job.reach_key(side);
            let d = Diagnostic::error("reach-too-long", message).at(at).weighing((flap.reach - room).to_mm());
            self.push(d.help(if over > Length::ZERO {
                format!("{} is the most: the interior and what lies over the wall", self.say(room + over))
            } else {
                "100 % is the most".to_owned()
            }));
            return;
        }
        if width <= Length::ZERO {
            let message = format!("the insets leave nothing of the {} flap's width", side.word());
            self.push(Diagnostic::error("no-flap-width", message).at("box.flap_inset").help("make the inset smaller"));
            return;
        }
        self.outline(side, &flap.shape, flap.reach, width, flap.corner_radius);
        if let Some(notch) = &flap.notch {
            let free = match &flap.shape {
                FlapShape::Taper(degrees) => free_edge(width, flap.reach, *degrees),
                _ => width,
            };
            self.notch(side, notch, flap, free, &key);
        }
    }

    /// A lid whose outline is drawn, where `most` is the longest that has room.
    fn drawn(&mut self, side: Side, outline: &Outline, most: Length, width: Length) {
        let (hinge, bounds) = (mm(outline.hinge()), outline.contour.bounds());
        let (reach, beyond) = (mm(bounds.max.y), mm(bounds.max.x.max(-bounds.min.x)) - width / 2.0);
        let wrong = if (hinge - width).abs() > DRAWN_WIDTH {
            let message =
                format!("the hinge edge drawn is {} long, the flap {} wide", self.say(hinge), self.say(width));
            let hint =
                format!("draw the hinge edge {} long, or change box.flap_inset; nothing is scaled", self.say(width));
            Some(("drawn-width", message, hint))
        } else if beyond > DRAWN_WIDTH {
            let message = format!("the lid drawn juts {} out past the end of its hinge edge", self.say(beyond));
            let hint = "it would meet the wall beside it: keep the lid within its hinge edge".to_owned();
            Some(("drawn-width", message, hint))
        } else if reach > most + SLACK {
            let message =
                format!("the lid drawn reaches {}, beyond an interior of {}", self.say(reach), self.say(most));
            Some(("reach-too-long", message, format!("draw it {} high at most", self.say(most))))
        } else {
            None
        };
        if let Some((code, message, hint)) = wrong {
            self.push(Diagnostic::error(code, message).at(flap_key(side, "outline")).help(hint));
        }
    }

    /// A notch against the free edge that it is cut into.
    fn notch(&mut self, side: Side, notch: &Notch, flap: &Flap, free: Length, key: &dyn Fn(&str) -> String) {
        let room = free - flap.corner_radius * 2.0 - notch.radius * 2.0;
        let name = side.word();
        let wrong = if notch.depth > notch.width / 2.0 + SLACK {
            let message = format!(
                "the {name} flap's notch is {} deep and {} wide: more than a half round",
                self.say(notch.depth),
                self.say(notch.width)
            );
            Some(("depth", message, format!("{} is the most for this width", self.say(notch.width / 2.0))))
        } else if notch.depth * 2.0 > flap.reach {
            let message =
                format!("the {name} flap's notch takes more than half of its reach, {}", self.say(flap.reach));
            Some(("depth", message, "make it flatter".to_owned()))
        } else if notch.width > room {
            let message = format!("the {name} flap's notch of {} does not fit on its free edge", self.say(notch.width));
            Some(("width", message, format!("{} is left between the corners", self.say(room.max(Length::ZERO)))))
        } else {
            None
        };
        if let Some((at, message, hint)) = wrong {
            let at = key(&format!("notch.{at}"));
            self.push(Diagnostic::error("notch-too-large", message).at(at).help(hint));
        }
    }

    /// Whether the outline closes, and how large a radius its free corners can take.
    fn outline(&mut self, side: Side, shape: &FlapShape, reach: Length, width: Length, radius: Length) {
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
        if radius > most + SLACK {
            let message = format!("a corner radius of {} does not fit on the {name} flap", self.say(radius));
            let most = mm((most.to_mm() * 10.0).floor() / 10.0);
            self.push(
                Diagnostic::error("radius-too-large", message)
                    .at(flap_key(side, "corner_radius"))
                    .help(format!("{} is the most", self.say(most))),
            );
        }
    }

    /// Flaps that share a tier: opposite ones must not meet, neighbours would overlap in the corner.
    fn meetings(&mut self) {
        let job = self.job;
        let (flaps, cloth, over) = (&job.flaps, job.cloth.as_ref(), over_wall(job));
        for (first, a) in flaps {
            for (second, b) in flaps.iter().filter(|(s, b)| *s > first && b.tier == a.tier) {
                // Told at the one that stands later in the file.
                let place = |s: &Side| job.places.find(&flap_key(*s, "")).map_or(0, |p| p.start);
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
                let room = job.contents.along(*first) + over * 2.0;
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
/// and within half the width. Derived.
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
        // Derived: tan 45 = 1.
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
