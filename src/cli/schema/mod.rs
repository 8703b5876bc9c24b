//! JSON Schemas of the files that a maker writes and of every JSON that the program writes: the first from
//! the tables by which they are read, the others from tables of their own, which `tests/schemas.rs` holds
//! against what is truly written.

mod files;
mod lists;
mod reports;
mod shared;
#[cfg(feature = "shop")]
mod shop;
mod table;
mod work;

use super::args::SchemaOf;
use super::{Exit, Failure, Terminal};
use serde_json::Value;

/// Prints a schema.
pub(super) fn run(of: SchemaOf, terminal: &mut Terminal<'_>) -> Result<Exit, Failure> {
    writeln!(terminal.out, "{:#}", schema(of))?;
    Ok(Exit::Good)
}

fn schema(of: SchemaOf) -> Value {
    match of {
        SchemaOf::Job => crate::doc::schema("Flapwright job", &crate::job::JOB),
        SchemaOf::Profile => crate::doc::schema("Flapwright machine profile", &crate::profile::TABLE),
        SchemaOf::Manifest => table::schema("Flapwright manifest.json", &files::MANIFEST),
        SchemaOf::Pieces => table::schema("Flapwright pieces.json.gz", &files::PIECES),
        SchemaOf::CutList => table::schema("Flapwright cut-list.json", &files::CUT_LIST),
        SchemaOf::Check => table::schema("Flapwright report of check", &reports::CHECK),
        SchemaOf::Export => table::schema("Flapwright report of export", &reports::EXPORT),
        SchemaOf::Verify => table::schema("Flapwright report of verify", &reports::VERIFY),
        SchemaOf::Coupon => table::schema("Flapwright report of coupon --out", &reports::COUPON),
        SchemaOf::CouponRead => table::schema("Flapwright report of coupon --read", &reports::COUPON_READ),
        SchemaOf::Profiles => table::schema("Flapwright report of profiles", &reports::PROFILES),
        SchemaOf::ProfileCheck => table::schema("Flapwright report of profiles check", &reports::PROFILE_CHECK),
        SchemaOf::Cut => table::schema("Flapwright report of cut", &reports::CUT),
        SchemaOf::CutMarks => table::schema("Flapwright cut.json", &files::CUT_MARKS),
        #[cfg(feature = "shop")]
        SchemaOf::Shop => table::schema("Flapwright report of shop", &shop::SHOP),
        SchemaOf::Failure => table::schema("Flapwright report of a run that failed", &reports::FAILURE),
        SchemaOf::Batch => table::schema("Flapwright batch.json", &lists::BATCH),
        SchemaOf::BatchReport => table::schema("Flapwright report of batch", &lists::REPORT),
        SchemaOf::Lot => table::schema("Flapwright lot.json", &lists::LOT),
        SchemaOf::Item => table::schema("Flapwright item-ID.json", &lists::ITEM),
    }
}
