//! A list divided over several runs at once, on one machine or on many: each works its share of the lots, as one run
//! would, and writes nothing that is of all lots.

use super::plan::Plan;
use super::summary::Before;
use crate::cli::Failure;
use crate::cli::folder::lot_name;
use serde_json::{Value, json};
use std::fmt;
use std::path::Path;
use std::str::FromStr;

/// So many runs a list can be divided over (our choice: more than any cluster's users are given at once).
const MOST: u64 = 10_000;
/// Lots that are named.
const NAMED: usize = 10;

/// Which share of the lots: the third of eight has lots 3, 11, 19 and so on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Shard {
    part: u64,
    of: u64,
}

impl FromStr for Shard {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let hint = || format!("write which share and of how many, 3/8: 1/8 to 8/8 are all of it; at most {MOST}");
        let (part, of) = text.split_once('/').ok_or_else(hint)?;
        let number = |s: &str| s.trim().parse::<u64>().map_err(|_| hint());
        let (part, of) = (number(part)?, number(of)?);
        if (1..=of).contains(&part) && of <= MOST { Ok(Self { part, of }) } else { Err(hint()) }
    }
}

impl fmt::Display for Shard {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.part, self.of)
    }
}

impl Shard {
    /// Whether a lot is of this share.
    pub(super) fn has(self, lot: u64) -> bool {
        lot % self.of == self.part % self.of
    }

    /// Why a folder cannot be worked by shares: what is there would have to be told as changed, which one run does.
    pub(super) fn stops(self, plan: &Plan, before: Before, out: &Path) -> Option<Failure> {
        let differing: Vec<String> = plan.reasons.keys().chain(plan.gone.keys()).map(|n| lot_name(*n)).collect();
        let what = if !differing.is_empty() {
            format!("{} would become others", named(&differing))
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
    let message = format!("{} is not whole: {} not made from this list yet", out.display(), named(&wanting));
    let hint = "nothing was changed; run the shares that are wanting, or leave --gather out, and this run makes them";
    Some(Failure::usage(message, hint.into()))
}

/// `lot-3 is`, `lot-3, lot-11 and 4 more`.
fn named(lots: &[String]) -> String {
    let mut text = lots.iter().take(NAMED).cloned().collect::<Vec<_>>().join(", ");
    if let more @ 1.. = lots.len().saturating_sub(NAMED) {
        text.push_str(&format!(" and {more} more"));
    }
    text
}

#[cfg(test)]
mod tests {
    use super::Shard;

    #[test]
    fn shares_are_all_lots_and_each_once() {
        for of in 1..=9u64 {
            let shares: Vec<Shard> = (1..=of).map(|k| format!("{k}/{of}").parse().unwrap()).collect();
            for lot in 1..=100 {
                assert_eq!(shares.iter().filter(|s| s.has(lot)).count(), 1, "lot {lot} of {of}");
            }
            assert!((1..=of).all(|k| shares[k as usize - 1].has(k)));
        }
    }

    #[test]
    fn what_is_no_share_is_refused() {
        for wrong in ["", "3", "0/8", "9/8", "1/0", "a/b", "1/2/3", "-1/8", "1/20000"] {
            assert!(wrong.parse::<Shard>().is_err_and(|e| e.contains("3/8")), "{wrong}");
        }
    }
}
