//! What a box is made of: its stocks and its elastic, as the job says.

use super::SheetSize;
use crate::units::Length;
use serde::{Deserialize, Serialize};

/// What is bought: board, cloth, paper or liner.
#[derive(Clone, Debug, PartialEq)]
pub struct Stock {
    /// What the shop calls it, where the job says so.
    pub name: Option<String>,
    /// Thickness as measured; of cloth, paper and liner as applied, glue included.
    pub thickness: Length,
    /// The sheet's width on the bed.
    pub sheet_width: Length,
    /// The sheet's height on the bed.
    pub sheet_height: Length,
    /// Whether the sheet was given, or the usual one was taken.
    pub sheet_is_given: bool,
    /// Which way the sheet's grain runs.
    pub grain: Grain,
    /// The unusable rim.
    pub margin: Length,
    /// The least distance between two pieces.
    pub gap: Length,
    /// Which face lies up on the bed.
    pub cut_face: CutFace,
    /// The price of a sheet, in the maker's currency.
    pub price: Option<f64>,
    /// Grams a square metre, for the weight of the box.
    pub grammage: Option<f64>,
    /// In how many pieces it is laid (liner).
    pub pieces: LinerPieces,
    /// How far hinge strips lap onto the boards beside a joint (liner).
    pub strip_lap: Length,
    /// How far its edges are folded under; zero where they are cut to size (liner).
    pub turn_in: Length,
    /// Whether it is known to be coated (cloth, paper): it decides on beams.
    pub coating: Coating,
    /// Further sizes that it is sold in.
    pub further: Vec<SheetSize>,
    /// What is left over from earlier work.
    pub leftovers: Vec<SheetSize>,
    /// Whether neighbours may share a cut.
    pub common_cuts: bool,
}

/// In how many pieces a liner is laid.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum LinerPieces {
    /// One cross over all boards and joints.
    #[default]
    One,
    /// A piece for each board.
    Panels,
    /// A piece for each board that ends on it, and strips of the covering cloth that line the joints.
    HingeStrips,
}

/// What is known of a cloth's coating.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Coating {
    /// Nothing is known: to be treated as coated until its safety data sheet is seen.
    #[default]
    Unknown,
    /// Plain, by its safety data sheet.
    None,
    /// Coated (acrylic, vinyl, pyroxylin).
    Coated,
}

/// Which of the four stocks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum StockKind {
    /// The board.
    Board,
    /// The covering cloth.
    Cloth,
    /// The second covering: the paper, or another cloth, of the sides of a covering by part.
    Paper,
    /// The liner.
    Liner,
}

impl StockKind {
    /// All four, in the order that sheets are listed.
    pub const ALL: [Self; 4] = [Self::Board, Self::Cloth, Self::Paper, Self::Liner];

    /// The stock of this word.
    pub fn of_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }

    /// Its word in files and reports.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Board => "board",
            Self::Cloth => "cloth",
            Self::Paper => "paper",
            Self::Liner => "liner",
        }
    }
}

/// Which way the grain of a sheet or a piece runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Grain {
    /// Along x.
    Width,
    /// Along y.
    Height,
    /// There is none, or it does not matter.
    None,
}

/// Which face of a stock lies up on the bed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CutFace {
    /// The face that shows inside the box, or the back of a cloth: patterns as computed.
    Back,
    /// The face that shows: patterns mirrored.
    Face,
}

/// The elastic of the strap.
#[derive(Clone, Copy, Debug)]
pub struct Elastic {
    /// Its width.
    pub width: Length,
    /// Its thickness.
    pub thickness: Length,
    /// By how much of its length it is stretched on the closed box, 0.06 for 6 %.
    pub stretch: f64,
    /// What a metre of it costs, in the maker's currency.
    pub price: Option<f64>,
}
