//! Kerf and bleed as they are typed.

use super::Failure;
use crate::comp::Kerfs;
use crate::doc::{RawLength, parse_length};
use crate::job::StockKind;
use crate::units::{Length, Unit, mm};
use crate::write::artwork::MOST_BLEED;

/// A beam takes tenths of a millimetre, a bit millimetres; more than this is a slip of the unit (our choice).
const WIDEST_KERF: Length = mm(10.0);

/// The kerfs as typed: one for all stocks, or of single ones.
pub(super) fn kerfs(typed: &[String]) -> Result<Kerfs, Failure> {
    let mut all = Kerfs::default();
    let mut seen: Vec<Option<StockKind>> = Vec::new();
    for text in typed {
        let (stock, length) = match text.split_once('=') {
            None => (None, text.as_str()),
            Some((word, length)) => {
                let found = StockKind::of_word(word.trim());
                let unknown = || {
                    let hint = "write the kerf of one stock as \"board=0.2 mm\", \"cloth=0.1 mm\", \"paper=0.1 mm\" or \"liner=0.1 mm\"";
                    Failure::usage(format!("--kerf {text}: there is no stock {}", word.trim()), hint.into())
                };
                (Some(found.ok_or_else(unknown)?), length.trim())
            }
        };
        if seen.contains(&stock) {
            let of = stock.map_or("all stocks", StockKind::word);
            let hint = "give each stock's kerf once; without a stock it is that of all others";
            return Err(Failure::usage(format!("--kerf {text}: the kerf of {of} is given twice"), hint.into()));
        }
        seen.push(stock);
        let kerf = kerf(length)?;
        // What is said of one stock holds, before or behind what is said of all.
        for kind in StockKind::ALL {
            if stock == Some(kind) || stock.is_none() && !seen.contains(&Some(kind)) {
                all = all.with(kind, kerf);
            }
        }
    }
    Ok(all)
}

/// A kerf as typed.
pub(super) fn kerf(text: &str) -> Result<Length, Failure> {
    let hint =
        || "write the whole width that the cutter takes away, such as \"0.15 mm\"; measure it on scrap".to_owned();
    if text.trim().parse::<f64>().is_ok_and(|n| n > 0.0) {
        return Err(Failure::usage(format!("--kerf {text}: say the unit"), hint()));
    }
    match parse_length(text, Unit::Mm) {
        Ok(RawLength::Fixed(kerf)) if kerf >= Length::ZERO && kerf <= WIDEST_KERF => Ok(kerf),
        Ok(RawLength::Fixed(_)) => {
            Err(Failure::usage(format!("a kerf of {text} cannot be: it is 0 to {WIDEST_KERF}"), hint()))
        }
        Ok(_) => Err(Failure::usage(format!("--kerf {text}: a kerf is a length"), hint())),
        Err(why) => Err(Failure::usage(format!("--kerf {text}: {why}"), hint())),
    }
}

/// The bleed as typed.
pub(super) fn bleed(text: &str) -> Result<Length, Failure> {
    let hint = || "write how far the ink is to run past the cloth's edge, such as \"3 mm\"".to_owned();
    if text.trim().parse::<f64>().is_ok_and(|n| n > 0.0) {
        return Err(Failure::usage(format!("--bleed {text}: say the unit"), hint()));
    }
    match parse_length(text, Unit::Mm) {
        Ok(RawLength::Fixed(bleed)) if bleed >= Length::ZERO && bleed <= MOST_BLEED => Ok(bleed),
        Ok(RawLength::Fixed(_)) => {
            Err(Failure::usage(format!("a bleed of {text} cannot be: it is 0 to {MOST_BLEED}"), hint()))
        }
        Ok(_) => Err(Failure::usage(format!("--bleed {text}: a bleed is a length"), hint())),
        Err(why) => Err(Failure::usage(format!("--bleed {text}: {why}"), hint())),
    }
}
