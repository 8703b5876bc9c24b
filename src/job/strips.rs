//! Crossed strips, and the stocks that a construction has no use for.

use super::check::{Check, Sign};
use super::{Construction, Contents, Flap, FlapShape, Side, Stock, StrapAlong};
use crate::diag::Diagnostic;
use crate::units::{Length, mm};
use std::collections::BTreeMap;

/// The two strips of crossed strips.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Strips {
    /// Which lies beneath the other and closes last.
    pub outer: StrapAlong,
    /// The strip from tail to head.
    pub height: Strip,
    /// The strip from left to right.
    pub width: Strip,
}

impl Strips {
    /// The strip whose flap or wall stands at a side.
    pub const fn at(&self, side: Side) -> &Strip {
        match side {
            Side::Head | Side::Tail => &self.height,
            Side::Left | Side::Right => &self.width,
        }
    }

    /// Whether a side belongs to the strip that lies beneath.
    pub const fn is_outer(&self, side: Side) -> bool {
        match self.outer {
            StrapAlong::Height => matches!(side, Side::Head | Side::Tail),
            StrapAlong::Width => matches!(side, Side::Left | Side::Right),
        }
    }
}

/// One strip: a base with a wall and a flap at either end. `None` where a measure follows from
/// the board.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Strip {
    /// The reach of the flap that closes first (tail, left); zero for none.
    pub first: Length,
    /// The reach of the flap that closes last (head, right); zero for none.
    pub last: Length,
    /// What the base has beyond the interior.
    pub base_extra: Option<Length>,
    /// What the first flap's wall has beyond the interior depth.
    pub first_wall_extra: Option<Length>,
    /// What the last flap's wall has beyond the interior depth.
    pub last_wall_extra: Option<Length>,
}

impl Strip {
    /// What the wall at a side has beyond the interior depth, where the job says.
    pub const fn wall_extra(&self, side: Side) -> Option<Length> {
        match side {
            Side::Tail | Side::Left => self.first_wall_extra,
            Side::Head | Side::Right => self.last_wall_extra,
        }
    }
}

/// A reach within this of nothing is none.
const NONE: Length = mm(1e-9);

impl Check<'_> {
    /// Cloth and liner as far as the construction takes them: folding board goes without cloth,
    /// strips without a liner too.
    pub(super) fn stocks_in_use(
        &mut self,
        cloth: Option<Option<Stock>>,
        liner: Option<Option<Stock>>,
    ) -> (Option<Option<Stock>>, Option<Option<Stock>>) {
        let Some(terms) = self.construction().map(Construction::terms) else { return (cloth, liner) };
        let unused = |check: &mut Self, name: &str, stock: Option<Option<Stock>>| {
            let Some(Some(_)) = stock else { return stock };
            if !check.doc.is_written(name) {
                return Some(None);
            }
            let message = format!("\"{}\" takes no {name}: [{name}] is left aside", terms.word);
            let d = Diagnostic::hint("unused-stock", message);
            check.push(d.at(name).help("take the table out, or build of hinged boards"));
            Some(None)
        };
        let cloth = if terms.is_hinged { cloth } else { unused(self, "cloth", cloth) };
        let liner = if terms.takes_liner { liner } else { unused(self, "liner", liner) };
        (cloth, liner)
    }

    /// `[strips]`.
    pub(super) fn strips(&mut self, contents: Option<&Contents>) -> Option<Strips> {
        for side in Side::ALL {
            let key = format!("flap.{}", side.word());
            if self.doc.is_written(&key) {
                let d = Diagnostic::warning("unused-key", format!("[{key}] has no meaning for \"crossed-strips\""));
                self.push(d.at(key).help("their flaps are `first` and `last` of [strips.height] and [strips.width]"));
            }
        }
        let height = self.strip("height", contents.map(|c| c.along(Side::Head)), contents);
        let width = self.strip("width", contents.map(|c| c.along(Side::Left)), contents);
        let outer = match self.doc.text("strips.outer")? {
            "width" => StrapAlong::Width,
            _ => StrapAlong::Height,
        };
        Some(Strips { outer, height: height?, width: width? })
    }

    fn strip(&mut self, name: &str, room: Option<Length>, contents: Option<&Contents>) -> Option<Strip> {
        let key = |k: &str| format!("strips.{name}.{k}");
        let flap = |check: &mut Self, k: &str| check.reach(&key(k), room, Sign::NotNegative);
        let (first, last) = (flap(self, "first"), flap(self, "last"));
        let base_extra = self.length_or_word(&key("base_extra"), Sign::Any);
        let wall = |check: &mut Self, k: &str| {
            let extra = check.length_or_word(&key(k), Sign::Any)?;
            if let (Some(extra), Some(contents)) = (extra, contents)
                && contents.interior_depth() + extra <= Length::ZERO
            {
                let message = format!("an allowance of {} leaves nothing of the wall", check.say(extra));
                check.push(Diagnostic::error("no-wall", message).at(key(k)).help("use \"auto\", or take off less"));
                return None;
            }
            Some(extra)
        };
        let (first_wall, last_wall) = (wall(self, "first_wall_extra"), wall(self, "last_wall_extra"));
        if let (Some(Some(extra)), Some(room)) = (base_extra, room)
            && room + extra <= Length::ZERO
        {
            let message = format!("an allowance of {} leaves nothing of the base", self.say(extra));
            self.push(
                Diagnostic::error("no-base", message).at(key("base_extra")).help("use \"auto\", or take off less"),
            );
            return None;
        }
        let (first, last) = (first?, last?);
        if first.max(last) <= NONE {
            let message = format!("the strip along the {name} has no flap at either end");
            let d = Diagnostic::error("no-flap", message).at(self.key_or(&key("first"), "box.construction"));
            self.push(d.help("give `first` or `last` a reach"));
            return None;
        }
        Some(Strip { first, last, base_extra: base_extra?, first_wall_extra: first_wall?, last_wall_extra: last_wall? })
    }

    /// The ends of the strips as lids: the inner strip closes before the outer, each its first flap
    /// before its last unless the two do not meet.
    pub(super) fn strip_flaps(&mut self, strips: &Strips, contents: &Contents) -> Option<BTreeMap<Side, Flap>> {
        let pairs = match strips.outer {
            StrapAlong::Height => [(Side::Left, Side::Right), (Side::Tail, Side::Head)],
            StrapAlong::Width => [(Side::Tail, Side::Head), (Side::Left, Side::Right)],
        };
        let mut flaps = BTreeMap::new();
        let mut tier = 0;
        for (first, last) in pairs {
            let strip = strips.at(first);
            let mut add = |side, reach: Length, tier: u32| {
                flaps.insert(
                    side,
                    Flap { tier, reach, shape: FlapShape::Square, corner_radius: Length::ZERO, notch: None },
                );
            };
            let meets = strip.first + strip.last > contents.along(first) + mm(1e-6);
            if strip.first > NONE {
                tier += 1;
                add(first, strip.first, tier);
            }
            if strip.last > NONE {
                if strip.first <= NONE || meets {
                    tier += 1;
                }
                add(last, strip.last, tier);
            }
        }
        Some(flaps)
    }
}
