//! A list divided over several runs at once: what a share may find in its folder, and what is told of it. It writes nothing
//! that is of all lots.

use super::plan::Plan;
use super::summary::Before;
use crate::cli::Failure;
use crate::cli::folder::lot_name;
use crate::cli::marks::some;
use crate::cli::shard::Shard;
use serde_json::{Value, json};
use std::path::Path;

impl Shard {
    /// Why a folder cannot be worked by shares: what is there would have to be told as changed, which one run does.
    pub(super) fn stops(self, plan: &Plan, before: Before, out: &Path) -> Option<Failure> {
        let differing: Vec<String> = plan.reasons.keys().chain(plan.gone.keys()).map(|n| lot_name(*n)).collect();
        let what = if !differing.is_empty() {
            format!("{} would become others", some(differing.iter().map(String::as_str), differing.len()))
        } else if before == Before::Finished && !plan.added.is_empty() {
            "its list is finished, and this one has more rows".to_owned()
        } else {
            return None;
        };
        let message = format!("{} holds lots of an earlier run: {what}", out.display());
        let hint =
            "nothing was changed; one run without --shard does that and tells what it changed, or name a new folder";
        Some(Failure::usage(message, hint.into()))
    }

    /// What became of it.
    pub(super) fn text(self, made: u64, kept: u64, out: &Path) -> String {
        let lots = |n: u64| if n == 1 { "1 lot".to_owned() } else { format!("{n} lots") };
        let kept = if kept == 0 { String::new() } else { format!(", {} as before", lots(kept)) };
        format!(
            "Share {self} of the list: {} made{kept}, in {}\n\
             When all shares are done, the same command with --gather in place of --shard {self} counts them together and\n\
             tells what is wrong with rows.\n",
            lots(made),
            out.display()
        )
    }

    /// The same for programs.
    pub(super) fn as_json(self, made: u64, kept: u64, out: &Path) -> Value {
        json!({
            "format": 1,
            "folder": out.display().to_string(),
            "shard": self.to_string(),
            "lots": made + kept,
            "lots_kept": kept,
            "problems": [],
        })
    }
}

/// Why shares cannot be gathered: some lots are not made, or not from this list.
pub(super) fn not_gathered(plan: &Plan, out: &Path) -> Option<Failure> {
    let wanting: Vec<String> = plan.added.keys().chain(plan.reasons.keys()).map(|n| lot_name(*n)).collect();
    if wanting.is_empty() {
        return None;
    }
    let message = format!(
        "{} is not whole; not made from this list yet: {}",
        out.display(),
        some(wanting.iter().map(String::as_str), wanting.len())
    );
    let hint = "nothing was changed; run the shares that are wanting, or leave --gather out, and this run makes them";
    Some(Failure::usage(message, hint.into()))
}
