//! Sheets and rolls that a maker can buy, where the job names others.

use crate::job::{Grain, Stock, StockKind};
use crate::units::{Length, Unit, inch, mm};

/// Board as it is sold, the shorter side first, mm.
const BOARDS_MM: [[f64; 2]; 5] = [
    [640.0, 900.0],  // ISO 217 (read): SRA1
    [700.0, 1000.0], // from memory: the size that greyboard is mostly sold in
    [750.0, 1050.0], // from memory: sold beside it
    [860.0, 1220.0], // ISO 217 (read): RA0
    [900.0, 1280.0], // ISO 217 (read): SRA0
];
/// The same in inches.
const BOARDS_INCH: [[f64; 2]; 3] = [
    [26.0, 38.0], // from memory: binder's board
    [32.0, 40.0], // from memory: museum and mat board
    [40.0, 60.0], // from memory: the same, large
];
/// How wide rolls are, mm. From memory: 1.0 to 1.4 m; 1.2 m between them is our choice.
const ROLLS_MM: [f64; 3] = [1000.0, 1200.0, 1400.0];
/// The same in inches. 38 and 43: A. L. Bailey, "Library Bookbinding" (1916), on buckrams (read). 54: from memory.
const ROLLS_INCH: [f64; 3] = [38.0, 43.0, 54.0];

/// The steps in which lengths of sheets are told: whole millimetres, sixteenths of an inch (our choice).
pub(super) const fn step(unit: Unit) -> Length {
    match unit {
        Unit::Mm => mm(1.0),
        Unit::Inch => inch(1.0 / 16.0),
    }
}

/// Whether a stock comes off a roll: what the job gives is then a piece of it.
pub(super) const fn is_roll(kind: StockKind) -> bool {
    matches!(kind, StockKind::Cloth | StockKind::Liner)
}

/// Across the roll and along it. The warp runs along the roll; where the grain does not matter the roll is as wide as
/// the sheet.
pub(super) fn of_roll(stock: &Stock) -> [Length; 2] {
    match stock.grain {
        Grain::Width => [stock.sheet_height, stock.sheet_width],
        Grain::Height | Grain::None => [stock.sheet_width, stock.sheet_height],
    }
}

/// A piece of a roll: across and along.
pub(super) fn off_roll(stock: &Stock, [across, along]: [Length; 2]) -> Stock {
    let (width, height) = if stock.grain == Grain::Width { (along, across) } else { (across, along) };
    sized(stock, width, height)
}

/// The stock with another sheet, at the same price by area.
pub(super) fn sized(stock: &Stock, width: Length, height: Length) -> Stock {
    let area = |w: Length, h: Length| w.to_mm() * h.to_mm();
    let share = area(width, height) / area(stock.sheet_width, stock.sheet_height);
    Stock { sheet_width: width, sheet_height: height, price: stock.price.map(|p| p * share), ..stock.clone() }
}

/// The same sheet with its grain along the other side; `None` where that is no other.
pub(super) fn turned(stock: &Stock) -> Option<Stock> {
    let is_square = is_like(stock.sheet_width, stock.sheet_height);
    (stock.grain != Grain::None && !is_square).then(|| sized(stock, stock.sheet_height, stock.sheet_width))
}

/// The stock in other sizes in which it is sold. The grain stays along the side that it is along.
pub(super) fn others(kind: StockKind, stock: &Stock, unit: Unit) -> Vec<Stock> {
    // A covering paper is sold in the size that its maker makes, and in no other (from memory).
    if kind == StockKind::Paper {
        return Vec::new();
    }
    if is_roll(kind) {
        let [across, along] = of_roll(stock);
        let widths = match unit {
            Unit::Mm => ROLLS_MM.map(mm),
            Unit::Inch => ROLLS_INCH.map(inch),
        };
        let mut all: Vec<Stock> =
            widths.iter().filter(|w| !is_like(**w, across)).map(|w| off_roll(stock, [*w, along])).collect();
        // A piece as long as a roll is wide may come off that roll, the other way round.
        let is_wide = widths.iter().any(|w| is_like(*w, along)) && !is_like(across, along);
        all.extend(is_wide.then(|| off_roll(stock, [along, across])));
        return all;
    }
    let sizes: Vec<[Length; 2]> = match unit {
        Unit::Mm => BOARDS_MM.map(|s| s.map(mm)).to_vec(),
        Unit::Inch => BOARDS_INCH.map(|s| s.map(inch)).to_vec(),
    };
    let is_upright = stock.sheet_width <= stock.sheet_height;
    let upright = |[short, long]: [Length; 2]| if is_upright { [short, long] } else { [long, short] };
    let is_other = |[w, h]: &[Length; 2]| !(is_like(*w, stock.sheet_width) && is_like(*h, stock.sheet_height));
    sizes.into_iter().map(upright).filter(is_other).map(|[w, h]| sized(stock, w, h)).collect()
}

/// Within what a sheet is cut to (our choice).
fn is_like(a: Length, b: Length) -> bool {
    (a - b).abs() < mm(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::Source;
    use crate::job::read;

    fn cloth(width: f64, height: f64, grain: &str) -> Stock {
        let text = format!(
            "format = 1\ntitle = \"T\"\n[contents]\nsize = \"A5\"\ndepth = 4\n[board]\nthickness = 2\n[cloth]\nprice = 10\n\
             sheet = {{ width = {width}, height = {height} }}\ngrain = \"{grain}\"\n[flap.left]\ntier = 1\nreach = \"50 %\"\n"
        );
        read(&Source { name: "job.toml".into(), text }).0.and_then(|j| j.cloth).expect("a job")
    }

    #[test]
    fn rolls_are_as_wide_across_the_warp_and_cost_by_area() {
        let sizes = |stock: &Stock| -> Vec<(f64, f64, f64)> {
            let all = others(StockKind::Cloth, stock, Unit::Mm);
            all.iter().map(|s| (s.sheet_width.to_mm(), s.sheet_height.to_mm(), s.price.unwrap_or_default())).collect()
        };
        assert_eq!(
            sizes(&cloth(1000.0, 1400.0, "height")),
            [(1200.0, 1400.0, 12.0), (1400.0, 1400.0, 14.0), (1400.0, 1000.0, 10.0)]
        );
        assert_eq!(sizes(&cloth(700.0, 1200.0, "width"))[0], (700.0, 1000.0, 10.0 * 1000.0 / 1200.0));
        assert!(turned(&cloth(700.0, 1200.0, "none")).is_none() && turned(&cloth(700.0, 700.5, "width")).is_none());
    }
}
