//! What a run is going to do with a folder, known before anything in it is touched: the list is read through once
//! for it, and no row is worked.

use super::changes::{Reason, reasons};
use super::item::drawn;
use super::kept::Kept;
use super::lots::Lots;
use super::record::{Part, Parts};
use super::refused::Refused;
use super::{Lot, Shop, folder};
use crate::cli::Failure;
use crate::cli::folder::{lot_name, lots_in};
use crate::cli::marks::some;
use crate::write::manifest::sha256_hex;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// Lots that are looked at together.
const AT_ONCE: usize = 8;
/// Files that are named.
const NAMED: usize = 10;

/// What a run will find and do.
#[derive(Default)]
pub(super) struct Plan {
    /// Why each lot that is there and is worked again differs.
    pub(super) reasons: BTreeMap<u64, Vec<Reason>>,
    /// The rows of each lot that is not there yet.
    pub(super) added: BTreeMap<u64, Vec<Reason>>,
    /// The lots that the list no longer has, each with its sheets.
    pub(super) gone: BTreeMap<u64, Vec<String>>,
    /// The files that somebody changed and that would be written over or removed.
    edited: Vec<String>,
    /// The lots that the list makes, and those that are cut.
    pub(super) lots: BTreeSet<u64>,
    /// Whether the list has no row.
    pub(super) is_empty: bool,
}

impl Plan {
    /// Reads the list through.
    pub(super) fn look(
        mut list: Lots<'_>,
        cut: &BTreeSet<u64>,
        refused: &Refused,
        shop: &Shop<'_>,
    ) -> Result<Self, Failure> {
        let mut plan = Self { lots: cut.clone(), ..Self::default() };
        loop {
            let lots = list.next(AT_ONCE)?;
            if lots.is_empty() {
                break;
            }
            plan.lots.extend(lots.iter().map(|lot| lot.number));
            let seen: Vec<Seen> = lots.par_iter().map(|lot| see(lot, refused, shop)).collect();
            for (lot, seen) in lots.iter().zip(seen) {
                match seen {
                    Seen::Stays => {}
                    Seen::Absent(added) => {
                        plan.added.insert(lot.number, added);
                    }
                    Seen::Differs(reasons, edited) => {
                        plan.reasons.insert(lot.number, reasons);
                        plan.edited.extend(edited);
                    }
                }
            }
        }
        plan.is_empty = list.rows == 0;
        // Before the last lot that is there, a lot was there once, and its rows are not new.
        let last = other_lots(shop.out, &BTreeSet::new()).last().copied().max(refused.last()).unwrap_or(0);
        for (_, reasons) in plan.added.iter_mut().filter(|(number, _)| **number < last) {
            *reasons = vec![Reason::new("folder gone", "")];
        }
        for number in other_lots(shop.out, &plan.lots) {
            let kept = Kept::look(&folder(shop.out, number));
            // What is no lot of ours stays in any case, and is told when the others are removed.
            if kept.is_there() {
                plan.edited.extend(kept.edited().into_iter().map(|f| format!("{}/{f}", lot_name(number))));
                plan.gone.insert(number, kept.sheets().into_keys().collect());
            }
        }
        Ok(plan)
    }

    /// Why the run has to stop before it begins, unless it is forced: something would be lost.
    pub(super) fn stops(&self, out: &Path) -> Option<Failure> {
        let mut causes = Vec::new();
        let mut hints = Vec::new();
        if !self.edited.is_empty() {
            let named = some(self.edited.iter().map(String::as_str), self.edited.len());
            let was = if self.edited.len() == 1 { "a file was" } else { "files were" };
            causes.push(format!("{was} changed since the run before and would be lost: {named}"));
            hints.push("keep a copy of what was changed elsewhere");
        }
        if !self.gone.is_empty() {
            let named: Vec<String> = self.gone.keys().take(NAMED).map(|n| lot_name(*n)).collect();
            let more = if self.gone.len() > NAMED { " and others" } else { "" };
            let lots = if self.lots.len() == 1 { "one lot".to_owned() } else { format!("{} lots", self.lots.len()) };
            causes.push(format!("the list now makes {lots}, and these are finished: {}{more}", named.join(", ")));
            hints.push("see that no rows are missing and that --lot is as it was");
        }
        if causes.is_empty() {
            return None;
        }
        let message = format!("{} is left as it is: {}", out.display(), causes.join("; "));
        let hint =
            format!("nothing was changed; {}, or name a new folder; --force goes on all the same", hints.join(", "));
        Some(Failure::usage(message, hint))
    }
}

/// What there is of a lot.
enum Seen {
    Stays,
    Absent(Vec<Reason>),
    Differs(Vec<Reason>, Vec<String>),
}

fn see(lot: &Lot, refused: &Refused, shop: &Shop<'_>) -> Seen {
    let made_from = lot_hash(lot, shop);
    let kept = Kept::look_for(&folder(shop.out, lot.number), || refused.record(lot.number, &made_from));
    if kept.stays(&made_from, shop) {
        return Seen::Stays;
    }
    let parts = parts(lot, shop);
    // They are new in this lot, and not in the list.
    let again: Vec<&str> = lot.rows.iter().filter(|r| r.again.is_some()).map(|r| r.id.as_str()).collect();
    if !kept.is_there() {
        let added = parts.rows.iter().map(|r| Reason::new("row added", &r.id));
        return Seen::Absent(added.map(|r| r.again(&again)).collect());
    }
    let why = kept.parts().map(|old| reasons(old, &parts)).unwrap_or_default();
    let why = why.into_iter().map(|r| r.again(&again)).collect();
    Seen::Differs(why, kept.edited().into_iter().map(|f| format!("{}/{f}", lot_name(lot.number))).collect())
}

/// The numbers of the folders of lots that are none of these, in order.
pub(super) fn other_lots(out: &Path, lots: &BTreeSet<u64>) -> Vec<u64> {
    let there = lots_in(out).unwrap_or_default();
    there.into_iter().map(|(number, _)| number).filter(|n| !lots.contains(n)).collect()
}

/// SHA-256 of what one lot is made from.
pub(super) fn lot_hash(lot: &Lot, shop: &Shop<'_>) -> String {
    let mut all = format!("{} lot {}\n", shop.made_from, lot.number);
    for row in &lot.rows {
        all.push_str(&format!("{row:?} {:?}\n", drawn(row, &shop.template)));
    }
    if lot.leftovers.is_first() {
        all.push_str(&format!("{:?}\n", lot.leftovers));
    }
    sha256_hex(all.as_bytes())
}

/// The same part by part.
pub(super) fn parts(lot: &Lot, shop: &Shop<'_>) -> Parts {
    let part = |row: &super::list::Row| Part {
        id: if row.id.is_empty() { format!("row {}", row.row) } else { row.id.clone() },
        sha256: sha256_hex(format!("{:?} {:?} {:?}", row.cells, drawn(row, &shop.template), row.wrong).as_bytes()),
    };
    let leftovers = match lot.leftovers.is_first() {
        true => sha256_hex(format!("{:?}", lot.leftovers).as_bytes()),
        false => String::new(),
    };
    Parts { leftovers, rows: lot.rows.iter().map(part).collect(), ..shop.parts.clone() }
}
