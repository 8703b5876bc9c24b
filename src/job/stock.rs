//! Board, cloth and liner.

use super::check::{Check, Sign};
use super::{Coating, Contents, CutFace, Grain, LinerPieces, SheetSize, Stock, StockKind};
use crate::diag::Diagnostic;
use crate::units::{Length, mm};

/// The piece off a roll that is taken where none is given: the roll's width of a metre (cloth rolls
/// are 1.0 m to 1.4 m wide, from memory) by a length that holds the largest usual box.
const OFF_THE_ROLL: (Length, Length) = (mm(1000.0), mm(1400.0));
/// Board above this is more likely a slip of units (common practice, no source: box board ends at 4 mm).
const THICK_BOARD: Length = mm(6.0);
/// Board thinner than this flexes over a long side. The rule says 2.5 mm; board sold as .098 in,
/// 2.489 mm, counts as that.
const STIFF_BOARD: Length = mm(2.45);
/// The side from which stiffness tells.
const LONG_SIDE: Length = mm(250.0);

impl Check<'_> {
    /// The board's thickness, remembered as `t`.
    pub(super) fn board_thickness(&mut self) {
        self.t = self.length("board.thickness", Sign::Positive);
    }

    /// One of the three stocks; `None` inside where the job has none.
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
            _ => self.length(&key("thickness"), Sign::NotNegative),
        };
        let sheet_is_given = self.doc.is_written(&key("sheet"));
        let (width, height) = if sheet_is_given {
            let width = self.length(&key("sheet.width"), Sign::Positive);
            (width, self.length(&key("sheet.height"), Sign::Positive))
        } else {
            (Some(OFF_THE_ROLL.0), Some(OFF_THE_ROLL.1))
        };
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
        Some(Some(Stock {
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
                _ => LinerPieces::One,
            },
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
                .help("is the unit right? Caliper points are written \"98 pt\""),
        );
    }

    /// A number that may be left out; `None` inside where it is.
    fn weighed(&mut self, key: &str, least: f64, hint: &str) -> Option<Option<f64>> {
        match self.doc.is_written(key) {
            true => self.number_in(key, least, 1e9, "out-of-range", hint).map(Some),
            false => Some(None),
        }
    }

    /// The board against the stack, and cloth and liner against the board.
    pub(super) fn thicknesses(&mut self, contents: Option<&Contents>, cloth: Option<&Stock>, liner: Option<&Stock>) {
        let Some(t) = self.t else { return };
        if let Some(contents) = contents {
            let (w, h) = (contents.interior_width(), contents.interior_height());
            for (name, stock) in [("cloth", cloth), ("liner", liner)] {
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
            if t < STIFF_BOARD && w.max(h) > LONG_SIDE {
                let message = format!("board of {} flexes over a side of {}", self.say(t), self.say(w.max(h)));
                let hint = "about 1/8 in is stiff enough, 1/10 in flexes (common practice, no source)";
                self.push(Diagnostic::hint("board-flexes", message).at("board.thickness").help(hint));
            }
        }
        if t > THICK_BOARD {
            let message = format!("the board is {} thick", self.say(t));
            let hint = "is the unit right? Box board is seldom above 4 mm; caliper points are written \"98 pt\"";
            self.push(Diagnostic::warning("board-very-thick", message).at("board.thickness").help(hint));
        }
        for (name, stock) in [("cloth", cloth), ("liner", liner)] {
            if let Some(stock) = stock
                && stock.thickness > t
                && !self.out.iter().any(|d| d.code == "stock-too-thick")
            {
                let message =
                    format!("the {name} is {} thick and the board only {}", self.say(stock.thickness), self.say(t));
                self.push(
                    Diagnostic::warning("thicker-than-board", message)
                        .at(format!("{name}.thickness"))
                        .help("is the unit right? A cloth is about 0.3 mm as applied"),
                );
            }
        }
    }
}
