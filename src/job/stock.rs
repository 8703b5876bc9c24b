//! Board, cloth, paper and liner.

use super::check::{Check, Sign};
use super::{Coating, Contents, CutFace, Grain, LinerPieces, SheetSize, Stock, StockKind};
use crate::diag::{Diagnostic, any_error};
use crate::units::{Length, mm};
/// Board above this is more likely a slip of units (common practice, no source: box board ends at 4 mm).
const THICK_BOARD: Length = mm(6.0);
/// What board bends by at most, as a share of its long side, and is called stiff (our choice: 5 mm over
/// 300 mm, which the eye takes for bowed).
const STIFF: f64 = 1.0 / 60.0;
/// The push of a hand that lifts a lid or takes hold of a box, N (our choice: the weight of 200 g).
const HAND: f64 = 2.0;
/// Young's modulus of binder's board bent along or across its grain, N/mm2 (from memory: 2,000 to 4,000).
const MODULUS: f64 = 3000.0;
/// Where the job does not say it, kg/m3 (from memory: grey board has 600 to 750).
const DENSITY: f64 = 700.0;
/// m/s2. Source: ISO 80000-3.
const GRAVITY: f64 = 9.806_65;

/// How far a board of thickness `t` bends in its middle, mm, that lies on its two short edges: under its
/// own weight, 5 q L^4 / (384 E I), and a hand's push in the middle, F L^3 / (48 E I). A plate so held bends
/// as a beam, I = b t^3 / 12 (closed forms of the theory of beams, from any handbook; from memory).
/// `long` and `short` are its sides, `grammage` its g/m2 where known. All lengths mm.
fn bend(t: f64, (long, short): (f64, f64), grammage: Option<f64>) -> f64 {
    // g/m2 is 1e-9 kg/mm2; kg by m/s2 is N.
    let weight = grammage.unwrap_or(DENSITY * t) * 1e-9 * GRAVITY;
    let stiffness = MODULUS * short * t.powi(3) / 12.0;
    5.0 * weight * short * long.powi(4) / (384.0 * stiffness) + HAND * long.powi(3) / (48.0 * stiffness)
}

/// The least thickness, in steps of a tenth of a mm, with which a board of these sides is stiff, its
/// density that of grey board; `None` where 6 mm would not do.
fn stiff_from(sides: (f64, f64)) -> Option<Length> {
    let all = (1..=60).map(|tenths| f64::from(tenths) / 10.0);
    all.into_iter().find(|t| bend(*t, sides, None) <= STIFF * sides.0).map(mm)
}

impl Check<'_> {
    /// The board's thickness, remembered as `t`.
    pub(super) fn board_thickness(&mut self) {
        self.t = self.thickness(StockKind::Board, Sign::Positive);
    }

    /// The thickness of a stock, within what that stock can be.
    fn thickness(&mut self, kind: StockKind, sign: Sign) -> Option<Length> {
        let (word, key) = (kind.word(), format!("{}.thickness", kind.word()));
        let t = self.length(&key, sign)?;
        let (least, most) = kind.thicknesses();
        let (code, limit) = if t > most {
            ("too-thick", format!("no {word} is taken that is thicker than {}", self.say(most)))
        } else if t > Length::ZERO && t < least {
            ("too-thin", format!("no {word} is taken that is thinner than {}", self.say(least)))
        } else {
            return Some(t);
        };
        let message = format!("`{key}` is {}; {limit}", self.say(t));
        let hint = "is the unit right? A bare number is in the file's `units`; caliper points are written \"80 pt\"";
        let weight = if t > most { t } else { -t };
        self.push(Diagnostic::error(code, message).at(key).help(hint).weighing(weight.to_mm()));
        None
    }

    /// One of the stocks; `None` inside where the job has none.
    pub(super) fn stock(&mut self, kind: StockKind) -> Option<Option<Stock>> {
        let name = kind.word();
        if self.doc.get(name).is_none() {
            // A table that is written but wrong has been reported.
            return if self.doc.is_written(name) { None } else { Some(None) };
        }
        let key = |k: &str| format!("{name}.{k}");
        let thickness = match kind {
            StockKind::Board => self.t,
            // Zero: counted as nothing, as worked examples do.
            _ => self.thickness(kind, Sign::NotNegative),
        };
        let sheet_is_given = self.doc.is_written(&key("sheet"));
        let width = self.length(&key("sheet.width"), Sign::Positive);
        let height = self.length(&key("sheet.height"), Sign::Positive);
        let margin = self.length(&key("margin"), Sign::NotNegative);
        if let (Some(w), Some(h), Some(m)) = (width, height, margin)
            && w.min(h) <= m * 2.0
        {
            let message =
                format!("a rim of {} leaves nothing of a sheet {} by {}", self.say(m), self.say(w), self.say(h));
            self.push(Diagnostic::error("no-sheet-left", message).at(key("margin")).help("make the margin smaller"));
        }
        let gap = self.length(&key("gap"), Sign::NotNegative);
        let price = self.weighed(&key("price"), 0.0, "leave it out where the price is not known");
        let grammage = self.weighed(&key("grammage"), 0.1, "board has some hundreds, cloth some hundred");
        let density = self.weighed(&key("density"), 1.0, "board has some hundreds of kilograms a cubic metre");
        let further = self.sizes(&key("size"), margin, false);
        let leftovers = self.sizes(&key("leftover"), margin, true);
        let (strip_lap, turn_in) = self.lining(kind);
        Some(Some(Stock {
            name: self.doc.text(&key("stock")).map(|name| name.trim().to_owned()),
            further: further?,
            leftovers: leftovers?,
            common_cuts: self.doc.flag(&key("common_cuts"))?,
            thickness: thickness?,
            sheet_width: width?,
            sheet_height: height?,
            sheet_is_given,
            grain: match self.doc.text(&key("grain"))? {
                "width" => Grain::Width,
                "height" => Grain::Height,
                _ => Grain::None,
            },
            margin: margin?,
            gap: gap?,
            cut_face: match self.doc.text(&key("cut_face"))? {
                "face" => CutFace::Face,
                _ => CutFace::Back,
            },
            price: price?,
            grammage: match (grammage?, density?) {
                (Some(g), None) => Some(g),
                // kg/m3 by mm is g/m2.
                (None, Some(density)) => thickness.map(|t| density * t.to_mm()),
                (None, None) => None,
                (Some(_), Some(_)) => {
                    let message = format!("`{name}` has both a grammage and a density");
                    self.push(Diagnostic::error("weight-twice", message).at(key("density")).help("keep one of them"));
                    return None;
                }
            },
            pieces: match self.doc.text(&key("pieces")) {
                Some("panels") => LinerPieces::Panels,
                Some("hinge-strips") => LinerPieces::HingeStrips,
                _ => LinerPieces::One,
            },
            strip_lap: strip_lap?,
            turn_in: turn_in?,
            coating: match self.doc.text(&key("coating")) {
                Some("none") => Coating::None,
                Some("coated") => Coating::Coated,
                _ => Coating::Unknown,
            },
        }))
    }

    /// The tables of `[[board.size]]` or `[[board.leftover]]`.
    fn sizes(&mut self, list: &str, margin: Option<Length>, is_leftover: bool) -> Option<Vec<SheetSize>> {
        let mut sizes = Some(Vec::new());
        for i in 0..self.doc.len(list) {
            let key = |k: &str| format!("{list}.{i}.{k}");
            let width = self.length(&key("width"), Sign::Positive);
            let height = self.length(&key("height"), Sign::Positive);
            let price = if is_leftover {
                Some(None)
            } else {
                self.weighed(&key("price"), 0.0, "leave it out where the price is not known")
            };
            let count = if is_leftover { self.doc.count(&key("count")) } else { None };
            if count.is_some_and(|n| !(1..=100_000).contains(&n)) {
                let message = format!("{} leftovers of one size", count.unwrap_or_default());
                let hint = "write how many there are, 1 to 100000, or take the table out";
                self.push(Diagnostic::error("leftover-count", message).at(key("count")).help(hint));
                sizes = None;
            }
            if let (Some(w), Some(h), Some(m)) = (width, height, margin)
                && w.min(h) <= m * 2.0
            {
                let message =
                    format!("a rim of {} leaves nothing of a sheet {} by {}", self.say(m), self.say(w), self.say(h));
                let hint = "take this size out, or make the margin smaller";
                self.push(Diagnostic::error("no-sheet-left", message).at(key("width")).help(hint));
            }
            match (width, height, price, &mut sizes) {
                (Some(width), Some(height), Some(price), Some(all)) => {
                    let count = count.and_then(|n| u32::try_from(n).ok());
                    all.push(SheetSize { width, height, price, count });
                }
                _ => sizes = None,
            }
        }
        sizes
    }

    fn too_thick(&mut self, name: &str, thickness: Length, (w, h): (Length, Length)) {
        let message =
            format!("the {name} is {} thick and the interior {} by {}", self.say(thickness), self.say(w), self.say(h));
        self.push(
            Diagnostic::error("stock-too-thick", message)
                .at(format!("{name}.thickness"))
                .help("is the unit right? Caliper points are written \"80 pt\""),
        );
    }

    /// How thick a cloth, a paper or a liner usually is (from memory).
    fn usual(&self, name: &str) -> String {
        let say = |thickness| self.say(mm(thickness));
        match name {
            "cloth" => format!("A cloth is about {} as applied", say(0.3)),
            "paper" => format!("A covering paper is about {} as applied", say(0.15)),
            _ => format!("A lining paper is about {}, a felt {} to {}", say(0.2), say(1.0), say(3.0)),
        }
    }

    /// A number that may be left out; `None` inside where it is.
    fn weighed(&mut self, key: &str, least: f64, hint: &str) -> Option<Option<f64>> {
        match self.doc.is_written(key) {
            true => self.number_in(key, least, 1e9, "out-of-range", hint).map(Some),
            false => Some(None),
        }
    }

    /// A hint where the boards of a box bend and thicker board would not. A job that is wrong elsewhere, or of
    /// a size that no board is stiff for, gets none.
    fn stiffness(&mut self, t: Length, (long, short): (Length, Length), grammage: Option<f64>) {
        let sides = (long.to_mm(), short.to_mm());
        let by = bend(t.to_mm(), sides, grammage);
        if by <= STIFF * sides.0 || any_error(&self.out) {
            return;
        }
        let Some(enough) = stiff_from(sides).filter(|enough| *enough > t) else { return };
        let message = format!(
            "board of {} flexes over a side of {}: by {} under its own weight and a hand",
            self.say(t),
            self.say(long),
            self.say(mm(by.min(sides.0).round()))
        );
        let hint = format!("it is stiff from about {}, or made of two boards glued together", self.say(enough));
        self.push(Diagnostic::hint("board-flexes", message).at("board.thickness").help(hint).weighing(by));
    }

    /// The board against the stack, and cloth, paper and liner against the board.
    pub(super) fn thicknesses(
        &mut self,
        contents: Option<&Contents>,
        board: Option<&Stock>,
        others: [(&str, Option<&Stock>); 3],
    ) {
        let Some(t) = self.t else { return };
        if let Some(contents) = contents {
            let (w, h) = (contents.interior_width(), contents.interior_height());
            for (name, stock) in others {
                if let Some(stock) = stock
                    && stock.thickness * 4.0 >= w.min(h)
                {
                    self.too_thick(name, stock.thickness, (w, h));
                }
            }
            if t >= w.min(h) {
                self.too_thick("board", t, (w, h));
                // What follows from a thickness that is a slip would only repeat it.
                self.t = None;
                return;
            }
            // A wrapper or case of creased board is meant to give.
            if self.doc.text("box.construction") == Some("hinged-boards") {
                self.stiffness(t, (w.max(h), w.min(h)), board.and_then(|b| b.grammage));
            }
        }
        if t > THICK_BOARD {
            let message = format!("the board is {} thick", self.say(t));
            let hint = "is the unit right? Box board is seldom above 4 mm; caliper points are written \"80 pt\"";
            self.push(Diagnostic::warning("board-very-thick", message).at("board.thickness").help(hint));
        }
        for (name, stock) in others {
            if let Some(stock) = stock
                && stock.thickness > t
                && !self.out.iter().any(|d| d.code == "stock-too-thick")
            {
                let message =
                    format!("the {name} is {} thick and the board only {}", self.say(stock.thickness), self.say(t));
                self.push(
                    Diagnostic::warning("thicker-than-board", message)
                        .at(format!("{name}.thickness"))
                        .help(format!("is the unit right? {}", self.usual(name))),
                );
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand. 400 x 300 mm, 2 mm thick, 1,400 g/m2: I = 300 x 8 / 12 = 200 mm4, E I = 6e5 N mm2. Weight
    /// 1.4e-6 kg/mm2 x 300 mm x 9.80665 = 4.1188e-3 N/mm: 5 x 4.1188e-3 x 400^4 / (384 x 6e5) = 2.2882 mm.
    /// A hand: 2 x 400^3 / (48 x 6e5) = 4.4444 mm.
    #[test]
    fn a_board_bends_as_the_beam_does() {
        let by = bend(2.0, (400.0, 300.0), Some(1400.0));
        assert!((by - 6.7326).abs() < 1e-3, "{by}");
        // Its weight is that of grey board where the job says nothing.
        assert!((bend(2.0, (400.0, 300.0), None) - by).abs() < 1e-9);
        // Without weight: by the cube of the thickness and of the side.
        let light = |t: f64, long: f64| bend(t, (long, 300.0), Some(0.0));
        assert!((light(2.0, 400.0) / light(4.0, 400.0) - 8.0).abs() < 1e-9);
        assert!((light(2.0, 400.0) / light(2.0, 200.0) - 8.0).abs() < 1e-9);
    }

    /// Derived: 2.5 mm, which box makers take for works up to A3 (common practice, no source), is stiff there; 2 mm is
    /// not, nor 1.5 mm for A4.
    #[test]
    fn usual_board_is_stiff_for_usual_works() {
        let from = |long: f64, short: f64| stiff_from((long, short)).map(Length::to_mm).unwrap();
        assert!(from(420.0, 297.0) <= 2.5 && from(420.0, 297.0) > 2.0, "{}", from(420.0, 297.0));
        assert!(from(297.0, 210.0) <= 2.0 && from(297.0, 210.0) > 1.5, "{}", from(297.0, 210.0));
        assert!(stiff_from((3000.0, 2000.0)).is_none());
    }
}
