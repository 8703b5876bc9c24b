//! What differs from the run that was in the folder before, and why: `changes.csv` and a sentence of the report.
//!
//! A line is written before its lot takes the old one's place, so that a run that was stopped and is taken up
//! again still tells what it changed the first time. While lots are worked their lines are put after all others, so
//! that what a lot takes does not grow with the list; in the end the file is written once more, in the lots' order.

use super::kept::{Files, Kept};
use super::record::{FILE_NAME, Parts, Record};
use crate::cli::folder::{FolderError, write_one};
use crate::write::cell::harmless;
use crate::write::manifest::sha256_hex;
use crate::write::names::base;
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};
use std::fs::File;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

/// The file.
pub(super) const CHANGES: &str = "changes.csv";
/// Runs of lots that are named in the report.
const RUNS: usize = 10;
/// Things of one reason that are named in the report.
const NAMED: usize = 5;

/// One reason: what happened, and to what.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Reason {
    what: String,
    which: String,
}

impl Reason {
    pub(super) fn new(what: &str, which: &str) -> Self {
        Self { what: what.into(), which: harmless(which).into_owned() }
    }

    /// The same, told rightly of a row that is made again, or in part, though it is cut.
    pub(super) fn again(self, ids: &[&str]) -> Self {
        let is_one = self.what == "row added" && ids.iter().any(|id| harmless(id) == self.which);
        if is_one { Self { what: "row made again".into(), ..self } } else { self }
    }
}

/// What became another in a lot.
#[derive(Clone, Debug, Default)]
struct Change {
    sheets: Vec<String>,
    reasons: Vec<Reason>,
}

/// Every lot whose sheets differ.
pub(super) struct Changes {
    path: PathBuf,
    /// Why each lot that is to be worked differs from the one that is there.
    reasons: BTreeMap<u64, Vec<Reason>>,
    all: Mutex<BTreeMap<u64, Change>>,
}

impl Changes {
    /// Begins to tell: `reasons` are those of lots that are there, `added` those of lots that the finished list
    /// before did not have, `gone` the lots that the list no longer has, with their sheets. Of a run that was
    /// stopped, what it told already is kept.
    pub(super) fn begin(
        out: &Path,
        reasons: BTreeMap<u64, Vec<Reason>>,
        added: BTreeMap<u64, Vec<Reason>>,
        gone: BTreeMap<u64, Vec<String>>,
        was_stopped: bool,
    ) -> Result<Self, FolderError> {
        let path = out.join(CHANGES);
        let mut all = if was_stopped { read(&path) } else { BTreeMap::new() };
        for (lot, reasons) in &added {
            all.insert(*lot, Change { sheets: Vec::new(), reasons: reasons.clone() });
        }
        for (lot, sheets) in gone {
            all.insert(lot, Change { sheets, reasons: vec![Reason::new("lot gone", "")] });
        }
        write(&path, &all)?;
        Ok(Self { path, reasons, all: Mutex::new(all) })
    }

    /// Nothing is told: no lot that is there becomes another.
    pub(super) fn none(out: &Path) -> Self {
        Self { path: out.join(CHANGES), reasons: BTreeMap::new(), all: Mutex::default() }
    }

    /// A lot is about to be written in the place of what `kept` found.
    pub(super) fn tell(&self, lot: u64, kept: &Kept, files: &Files) -> Result<(), FolderError> {
        let mut all = self.all.lock().unwrap_or_else(PoisonError::into_inner);
        let sheets = differing(kept, files);
        if let Some(change) = all.get_mut(&lot).filter(|_| !kept.is_there()) {
            change.sheets = sheets;
        } else if kept.is_there() && !sheets.is_empty() {
            let reasons = self.reasons.get(&lot).cloned().unwrap_or_default();
            let reasons = if reasons.is_empty() { vec![Reason::new("made again", "")] } else { reasons };
            all.insert(lot, Change { sheets, reasons });
        } else {
            return Ok(());
        }
        let Some(change) = all.get(&lot) else { return Ok(()) };
        let file = File::options().append(true).create(true).open(&self.path);
        file.and_then(|mut file| {
            lines(&mut file, [(&lot, change)])?;
            file.sync_all()
        })
        .map_err(|e| FolderError::io("write the file", &self.path, e))
    }

    /// What there is to report, when all is done. A share reports nothing.
    pub(super) fn done(self) -> Result<Told, FolderError> {
        let all = self.all.into_inner().unwrap_or_else(PoisonError::into_inner);
        write(&self.path, &all)?;
        Ok(Told(all))
    }
}

fn write(path: &Path, all: &BTreeMap<u64, Change>) -> Result<(), FolderError> {
    write_one(path, |w| {
        w.write_all(b"lot,sheets,why,which\r\n")?;
        lines(w, all)
    })
}

/// The lines of these lots, one for each reason.
fn lines<'a>(w: impl Write, of: impl IntoIterator<Item = (&'a u64, &'a Change)>) -> io::Result<()> {
    let mut csv = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(w);
    for (lot, change) in of {
        let (lot, sheets) = (lot.to_string(), change.sheets.join(" "));
        for reason in &change.reasons {
            csv.write_record([&lot, &sheets, &reason.what, &reason.which])?;
        }
    }
    csv.flush()
}

/// What an earlier run told that was stopped.
fn read(path: &Path) -> BTreeMap<u64, Change> {
    let mut all: BTreeMap<u64, Change> = BTreeMap::new();
    let Ok(mut reader) = csv::Reader::from_path(path) else { return all };
    let mut before = None;
    for record in reader.records().map_while(Result::ok) {
        let cell = |i: usize| record.get(i).unwrap_or_default().to_owned();
        let Ok(lot) = cell(0).parse() else { continue };
        let change: &mut Change = all.entry(lot).or_default();
        // What is told of a lot once more stands for what was told of it before.
        if before.replace(lot) != Some(lot) {
            change.reasons.clear();
        }
        change.sheets = cell(1).split_whitespace().map(str::to_owned).collect();
        change.reasons.push(Reason { what: cell(2), which: cell(3) });
    }
    all
}

/// The sheets whose files are not those that were there before.
fn differing(kept: &Kept, files: &Files) -> Vec<String> {
    let record = files.iter().find(|(name, _)| name == FILE_NAME);
    let record: Option<Record> = record.and_then(|(_, bytes)| serde_json::from_slice(bytes).ok());
    // A file that only lies in another folder is the same.
    let hash = |name: &String| files.iter().find(|f| f.0 == *name).map(|f| (base(name).to_owned(), sha256_hex(&f.1)));
    let of = |r: &Record| -> BTreeMap<String, Vec<_>> {
        r.sheets.iter().map(|s| (s.id.clone(), s.files.iter().filter_map(hash).collect())).collect()
    };
    let (old, new) = (kept.sheets(), record.as_ref().map(of).unwrap_or_default());
    let ids: BTreeSet<&String> = old.keys().chain(new.keys()).collect();
    ids.into_iter().filter(|id| old.get(*id) != new.get(*id)).cloned().collect()
}

/// Why a lot that was made from `old` is made anew from `new`.
pub(super) fn reasons(old: &Parts, new: &Parts) -> Vec<Reason> {
    let mut why = Vec::new();
    if old.program != new.program {
        why.push(Reason::new("program changed", &new.program));
    }
    // What an earlier version made says no more of itself.
    if old.program.is_empty() {
        return why;
    }
    let rows = |parts: &'_ Parts| -> BTreeMap<String, String> {
        parts.rows.iter().map(|r| (r.id.clone(), r.sha256.clone())).collect()
    };
    let (before, after) = (rows(old), rows(new));
    for (id, sha) in &after {
        match before.get(id) {
            None => why.push(Reason::new("row added", id)),
            Some(was) if was != sha => why.push(Reason::new("row changed", id)),
            Some(_) => {}
        }
    }
    why.extend(before.keys().filter(|id| !after.contains_key(*id)).map(|id| Reason::new("row gone", id)));
    if old.job != new.job {
        why.push(Reason::new("job changed", ""));
    }
    let ids: BTreeSet<&String> = old.machines.iter().chain(&new.machines).map(|m| &m.id).collect();
    let of = |parts: &Parts, id: &String| parts.machines.iter().find(|m| m.id == *id).map(|m| m.sha256.clone());
    why.extend(ids.into_iter().filter(|id| of(old, id) != of(new, id)).map(|id| Reason::new("profile changed", id)));
    if old.kerf != new.kerf {
        why.push(Reason::new("kerf changed", if new.kerf.is_empty() { "none" } else { &new.kerf }));
    }
    if old.leftovers != new.leftovers {
        why.push(Reason::new("leftovers changed", ""));
    }
    if old.options != new.options {
        why.push(Reason::new("options changed", ""));
    }
    why
}

/// Lots as they are named in a sentence: `1, 3 to 7`.
pub(super) fn runs(lots: &BTreeSet<u64>) -> String {
    let mut runs: Vec<(u64, u64)> = Vec::new();
    for lot in lots {
        match runs.last_mut() {
            Some((_, end)) if *end + 1 == *lot => *end = *lot,
            _ => runs.push((*lot, *lot)),
        }
    }
    let run = |(a, b): &(u64, u64)| match b - a {
        0 => a.to_string(),
        1 => format!("{a}, {b}"),
        _ => format!("{a} to {b}"),
    };
    let mut named: Vec<String> = runs.iter().take(RUNS).map(run).collect();
    if runs.len() > RUNS {
        named.push("others".into());
    }
    named.join(", ")
}

/// What is reported of the changes.
pub(super) struct Told(BTreeMap<u64, Change>);

impl Told {
    /// A sentence, or nothing where nothing differs.
    pub(super) fn text(&self) -> String {
        if self.0.is_empty() {
            return String::new();
        }
        let mut by_what: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
        for reason in self.0.values().flat_map(|c| &c.reasons) {
            by_what.entry(&reason.what).or_default().insert(&reason.which);
        }
        let why = by_what.iter().map(|(what, which)| {
            let mut names: Vec<&str> = which.iter().copied().filter(|w| !w.is_empty()).collect();
            let more = names.len().saturating_sub(NAMED);
            names.truncate(NAMED);
            match (names.is_empty(), more) {
                (true, _) => (*what).to_owned(),
                (false, 0) => format!("{what}: {}", names.join(", ")),
                (false, n) => format!("{what}: {} and {n} more", names.join(", ")),
            }
        });
        let lots = if self.0.len() == 1 { "lot" } else { "lots" };
        format!(
            "Since the run before, sheets differ in {lots} {} ({}); see {CHANGES}\n",
            runs(&self.0.keys().copied().collect()),
            why.collect::<Vec<_>>().join("; ")
        )
    }

    pub(super) fn as_json(&self) -> Value {
        let why = |r: &Reason| json!({"what": r.what, "which": r.which});
        self.0
            .iter()
            .map(|(lot, c)| {
                json!({"lot": lot, "sheets": c.sheets, "why": c.reasons.iter().map(why).collect::<Vec<_>>()})
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cli::batch::record::Part;

    #[test]
    fn each_reason_is_told_by_itself() {
        let part = |id: &str, sha256: &str| Part { id: id.into(), sha256: sha256.into() };
        let old = Parts {
            program: "1".into(),
            job: "j".into(),
            machines: vec![part("table", "a"), part("plotter", "b")],
            kerf: String::new(),
            options: "o".into(),
            leftovers: String::new(),
            rows: vec![part("TH-1", "x"), part("TH-2", "y"), part("TH-3", "z")],
        };
        let mut new = old.clone();
        assert_eq!(reasons(&old, &new), []);
        new.rows = vec![part("TH-1", "x"), part("TH-3", "w"), part("TH-4", "y")];
        new.machines[1].sha256 = "c".into();
        new.kerf = "0.15 mm".into();
        let told: Vec<String> = reasons(&old, &new).iter().map(|r| format!("{} {}", r.what, r.which)).collect();
        let expected =
            ["row changed TH-3", "row added TH-4", "row gone TH-2", "profile changed plotter", "kerf changed 0.15 mm"];
        assert_eq!(told, expected);
    }
}
