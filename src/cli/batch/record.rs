//! What is kept of a lot: its report, and by what a later run knows that nothing has changed.

use super::problem::Problem;
use crate::nest::Saving;
use crate::write::cost::Takes;
use crate::write::manifest::ProgramFigures;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The file of a lot's record.
pub(super) const FILE_NAME: &str = "lot.json";
/// The version of its form.
pub(super) const FORMAT: u32 = 1;

/// A lot as it was made.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub(super) struct Record {
    pub(super) format: u32,
    /// Which lot, from 1.
    pub(super) lot: u64,
    /// SHA-256 of all that it was made from: rows, job, drawings, profiles, options, program.
    pub(super) made_from: String,
    /// The same part by part, by which a later run tells what has changed.
    #[serde(default)]
    pub(super) parts: Parts,
    pub(super) items: Vec<ItemRecord>,
    pub(super) problems: Vec<Problem>,
    pub(super) sheets: Vec<SheetRecord>,
    /// What would save stock; looked for in the first lot that is not cut.
    #[serde(default)]
    pub(super) savings: Vec<Saving>,
    pub(super) takes: Takes,
}

/// What a lot was made from, each part by its hash.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub(super) struct Parts {
    /// The program's version.
    pub(super) program: String,
    /// SHA-256 of the job with its drawings.
    pub(super) job: String,
    /// The machines.
    pub(super) machines: Vec<Part>,
    /// The kerf as it was given; empty without one.
    pub(super) kerf: String,
    /// SHA-256 of the other options.
    pub(super) options: String,
    /// SHA-256 of the leftovers that it may take; empty where it may take none.
    #[serde(default)]
    pub(super) leftovers: String,
    /// The rows.
    pub(super) rows: Vec<Part>,
}

/// One of several parts.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub(super) struct Part {
    pub(super) id: String,
    pub(super) sha256: String,
}

/// One row.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub(super) struct ItemRecord {
    pub(super) row: u64,
    pub(super) id: String,
    pub(super) title: String,
    pub(super) copies: u32,
    /// The number of the first of them, where others were cut before.
    #[serde(default = "first", skip_serializing_if = "is_first")]
    pub(super) first_copy: u32,
    /// SHA-256 of what the row says of its pieces; empty for a row that is refused.
    #[serde(default)]
    pub(super) made_from: String,
    /// SHA-256 of its pieces. By these two a later run knows that a row that is cut is still the same box.
    #[serde(default)]
    pub(super) pieces: String,
    /// Whether it is made; a refused row has a problem that says why.
    pub(super) made: bool,
    /// Width, height, depth of what it holds, mm.
    #[serde(default)]
    pub(super) holds: Option<[f64; 3]>,
    /// Width, height, depth inside, mm.
    pub(super) interior: Option<[f64; 3]>,
    /// Width, height, depth of the closed box, mm.
    pub(super) exterior: Option<[f64; 3]>,
    /// The gap between two hinged boards, what the spacer is cut to, mm.
    pub(super) joint: Option<f64>,
    /// What each elastic is cut to, mm; `None` without a strap.
    pub(super) strap: Option<f64>,
    /// Of one box, grams, where it is known.
    pub(super) weight_g: Option<f64>,
    /// Its share of the cost of its lot's stock, by area, in whole cents.
    pub(super) cost: Option<f64>,
    /// Its share of the machines' time, by the length of its lines, in seconds; `None` without a machine.
    pub(super) seconds: Option<f64>,
    /// Minutes of work for all of its boxes, by hand and beside machines, an estimate.
    #[serde(default)]
    pub(super) minutes: Option<f64>,
    /// What all of its boxes cost, where the job asks for that and every price is known.
    #[serde(default)]
    pub(super) in_all: Option<f64>,
    /// The sheets that its pieces lie on, by stock.
    pub(super) sheets: BTreeMap<String, Vec<String>>,
}

const fn first() -> u32 {
    1
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde gives a reference")]
const fn is_first(n: &u32) -> bool {
    *n == 1
}

/// One sheet.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub(super) struct SheetRecord {
    pub(super) id: String,
    /// SHA-256 of all that its files were made from.
    pub(super) made_from: String,
    /// Its files.
    pub(super) files: Vec<String>,
    /// Its width and height, mm.
    #[serde(default)]
    pub(super) size: [f64; 2],
    /// How many of it are cut alike.
    #[serde(default)]
    pub(super) count: u32,
    /// What of each such sheet can be kept.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) offcut: Option<Offcut>,
    /// For each such sheet what it is left of, where it is no whole one: `lot-1/board-2`.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(super) leftover_of: Vec<String>,
    pub(super) programs: Vec<ProgramFigures>,
    /// What was said of it.
    pub(super) problems: Vec<Problem>,
}

/// What of a sheet can be kept, as its record has it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub(super) struct Offcut {
    /// SHA-256 of what makes two stocks the same material.
    pub(super) stock: String,
    /// Whole millimetres, rounded down: nobody keeps an offcut's edges finer (our choice).
    pub(super) width: f64,
    pub(super) height: f64,
}
