//! The whole of a batch: its files, written from the records of its lots one after another, so that
//! a run that was taken up again ends in the same bytes as one that went through.

use super::beside::{LABELS, REFUSED, is_half, remove_broken_off};
use super::causes::Causes;
use super::changes::{Told, runs};
use super::folder;
use super::lots::Lots;
use super::problem::{Problem, severity_word};
use super::record::{FILE_NAME, ItemRecord, Record, SheetRecord};
use super::refused::Refused;
use super::table::{header, rows};
use crate::cli::folder::{BATCH, BATCH_FORMAT, FolderError, Held, is_batch, is_export, lot_name, write_one};
use crate::cli::marks::some;
use crate::cli::report;
use crate::diag::{Level, Severity};
use crate::job::StockKind;
use crate::nest::Saving;
use crate::units::{Unit, mm};
use crate::write::cost::Takes;
use crate::write::pdf::{Label, Paper, labels};
use serde_json::json;
use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, File};
use std::io::{self, BufRead, BufReader, Write};
use std::path::{Path, PathBuf};

/// With more boxes no labels are made (our choice: some 360 pages).
const MOST_LABELS: u64 = 5000;

/// A batch that is being made.
pub(super) struct Summary {
    out: PathBuf,
    title: String,
    list: String,
    /// The list's unit, in which its table is written.
    unit: Unit,
    /// What was said of the list before its rows.
    causes: Causes,
    /// The lots that have something to cut.
    pub(super) lots: BTreeSet<u64>,
    /// Those of them that are cut.
    cut: BTreeSet<u64>,
    /// The rows of the list as it is that stand in lots that are cut.
    now: BTreeMap<String, u64>,
    /// Of these, the rows that are made again in another lot.
    twice: BTreeSet<String>,
    pub(super) kept: u64,
    /// What a run before left.
    pub(super) before: Before,
    /// No other run may write it meanwhile.
    _held: Option<Held>,
}

/// What a run before left in the folder.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Before {
    Nothing,
    /// It was stopped before it had made all.
    Stopped,
    /// All of its list.
    Finished,
}

impl Before {
    fn look(out: &Path) -> Self {
        let Ok(file) = File::open(out.join(BATCH)) else { return Self::Nothing };
        let is_finished = |line: String| line.starts_with("\"finished\": true");
        // It stands among the first keys.
        match BufReader::new(file).lines().take(6).map_while(Result::ok).any(is_finished) {
            true => Self::Finished,
            false => Self::Stopped,
        }
    }
}

/// A batch that is done.
pub(super) struct Whole {
    title: String,
    list: String,
    lots: usize,
    /// The lots that are cut.
    cut: BTreeSet<u64>,
    /// The whole sheets that are still to be cut.
    pub(super) to_cut: Vec<(StockKind, [f64; 2], u32)>,
    /// The sheets to cut that are no whole ones, each with what they are left of.
    leftovers: Vec<String>,
    kept: u64,
    items: u64,
    made: u64,
    takes: Takes,
    /// What is wrong, by its causes.
    causes: Causes,
    errors: usize,
    savings: Vec<Saving>,
    changes: Told,
}

impl Summary {
    /// Takes a folder for a batch: a new one, an empty one, or one that is a batch already. Nothing that is there
    /// changes before [`Summary::begin`]. Alone, or with others that work shares of the same list.
    pub(super) fn hold(out: &Path, title: &str, list: &str, unit: Unit, is_alone: bool) -> Result<Self, FolderError> {
        let hold = || if is_alone { Held::new(out, out) } else { Held::with_others(out, out) };
        let io = |doing, e| FolderError::Io { doing, path: out.into(), source: e };
        let held;
        match fs::metadata(out) {
            Ok(m) if !m.is_dir() => return Err(FolderError::NotAFolder(out.into())),
            Ok(_) => {
                // Another share may just have begun the folder.
                let is_begun = |e: fs::DirEntry| {
                    let is_folder = e.file_type().is_ok_and(|t| t.is_dir());
                    !is_alone && is_half(&e.file_name().to_string_lossy(), is_folder)
                };
                let is_empty = fs::read_dir(out).map_err(|e| io("list", e))?.all(|e| e.is_ok_and(is_begun));
                if !is_empty && !is_batch(&out.join(BATCH)) {
                    let what = "the folder of one box, which `export` wrote, and a list takes a folder of its own";
                    return Err(match is_export(out) {
                        true => FolderError::OtherCommand { folder: out.into(), what },
                        false => FolderError::NotOurs(out.into()),
                    });
                }
                held = Some(hold()?);
                // What is half made may be what another share is making.
                if is_alone {
                    remove_broken_off(out).map_err(|e| io("clear", e))?;
                }
            }
            Err(e) if e.kind() == io::ErrorKind::NotFound => {
                fs::create_dir_all(out).map_err(|e| io("make the folder", e))?;
                held = Some(hold()?);
            }
            Err(e) => return Err(io("look at", e)),
        }
        Ok(Self {
            before: Before::look(out),
            out: out.into(),
            title: title.into(),
            list: list.into(),
            unit,
            causes: Causes::default(),
            lots: BTreeSet::new(),
            cut: BTreeSet::new(),
            now: BTreeMap::new(),
            twice: BTreeSet::new(),
            kept: 0,
            _held: held,
        })
    }

    /// From here on the folder is one that is being made.
    pub(super) fn begin(&self) -> Result<(), FolderError> {
        let begun = json!({"format": BATCH_FORMAT, "batch": self.title, "list": self.list, "finished": false});
        write_one(&self.out.join(BATCH), |w| writeln!(w, "{begun:#}"))
    }

    /// Something to tell of the list itself.
    pub(super) fn note(&mut self, problem: &Problem) {
        self.causes.add(problem);
    }

    /// One more lot is there.
    pub(super) fn tell(&mut self, lot: u64, was_kept: bool) {
        self.lots.insert(lot);
        self.kept += u64::from(was_kept);
    }

    /// The lots that are cut, and what the list, read to its end, says of their rows.
    pub(super) fn cut(&mut self, lots: &BTreeSet<u64>, list: &Lots<'_>) {
        self.lots.extend(lots);
        self.cut.clone_from(lots);
        self.now.clone_from(&list.seen);
        self.twice.clone_from(&list.twice);
        list.notes.iter().for_each(|note| self.causes.add(note));
    }

    /// Writes `batch.csv`, `cut-list.csv`, `cost.csv`, `labels.pdf` and, last, `batch.json`.
    pub(super) fn finish(mut self, changes: Told, refused: &Refused) -> Result<Whole, FolderError> {
        let mut whole = Whole {
            title: self.title.clone(),
            list: self.list.clone(),
            lots: self.lots.len(),
            cut: self.cut.clone(),
            to_cut: Vec::new(),
            leftovers: Vec::new(),
            kept: self.kept,
            items: 0,
            made: 0,
            takes: Takes::default(),
            causes: std::mem::take(&mut self.causes),
            errors: 0,
            savings: Vec::new(),
            changes,
        };
        let mut boxes = 0;
        let mut labels = Vec::new();
        let mut counted = BTreeSet::new();
        write_one(&self.out.join("batch.csv"), |w| {
            header(w, self.unit)?;
            for lot in self.all(refused) {
                let (record, lot) = (self.record(lot, refused)?, &lot);
                let is_cut = self.cut.contains(lot);
                // A row of the list counts once, where it is made last.
                let counts = |i: &&ItemRecord| !is_cut || !self.twice.contains(&i.id) && counted.insert(i.id.clone());
                whole.add(&record, counts);
                if !is_cut {
                    whole.to_cut.extend(record.sheets.iter().filter_map(whole_sheets));
                    whole.leftovers.extend(record.sheets.iter().filter_map(|s| taken_from(record.lot, s)));
                }
                // The box that is made in place of it has the label.
                let is_labelled = |i: &&ItemRecord| i.made && !(is_cut && self.twice.contains(&i.id));
                for item in record.items.iter().filter(is_labelled) {
                    boxes += u64::from(item.copies);
                    if boxes <= MOST_LABELS {
                        labels.extend(labels_of(item, self.unit));
                    }
                }
                rows(w, &record, is_cut, self.unit)?;
            }
            Ok(())
        })?;
        write_one(&self.out.join("cut-list.csv"), |w| {
            let mut has_header = false;
            for lot in &self.lots {
                let list = match File::open(folder(&self.out, *lot).join("cut-list.csv")) {
                    // A lot that is cut is not made again, whatever is gone of it.
                    Err(e) if e.kind() == io::ErrorKind::NotFound && self.cut.contains(lot) => continue,
                    list => list?,
                };
                let lines = BufReader::new(list).lines();
                for (n, line) in lines.enumerate() {
                    match n {
                        0 if has_header => {}
                        0 => write!(w, "lot,{}\r\n", line?.trim_end())?,
                        _ => write!(w, "{lot},{}\r\n", line?.trim_end())?,
                    }
                    has_header = true;
                }
            }
            Ok(())
        })?;
        write_one(&self.out.join("cost.csv"), |w| w.write_all(&whole.takes.csv()))?;
        self.labels(boxes, &labels, &mut whole)?;
        write_one(&self.out.join(BATCH), |w| self.json(w, &whole, refused))?;
        Ok(whole)
    }

    /// Every lot, those with nothing to cut in their places.
    fn all<'a>(&'a self, refused: &'a Refused) -> impl Iterator<Item = u64> + 'a {
        let (mut made, mut refused) = (self.lots.iter().copied().peekable(), refused.lots().peekable());
        std::iter::from_fn(move || match (made.peek(), refused.peek()) {
            (Some(a), Some(b)) if b < a => refused.next(),
            (None, _) => refused.next(),
            _ => made.next(),
        })
    }

    /// A label for each box, or none where they are too many.
    fn labels(&self, boxes: u64, all: &[Label], whole: &mut Whole) -> Result<(), FolderError> {
        let path = self.out.join(LABELS);
        if boxes > MOST_LABELS {
            let message = format!("the list makes {boxes} boxes, and labels are made for {MOST_LABELS} at most");
            let mut said = Problem::new(1, "", None, "many-labels", message).help("divide the list for labels");
            said.severity = severity_word(Severity::Warning).into();
            whole.causes.add(&said);
        }
        if boxes == 0 || boxes > MOST_LABELS {
            // Those of an earlier run would be of other boxes.
            return match fs::remove_file(&path) {
                Err(e) if e.kind() != io::ErrorKind::NotFound => {
                    Err(FolderError::Io { doing: "remove", path, source: e })
                }
                _ => Ok(()),
            };
        }
        write_one(&path, |w| {
            let bytes = labels(all, &self.title, None, Paper::usual(self.unit)).map_err(io::Error::other)?;
            w.write_all(&bytes)
        })
    }

    /// A lot's record. Of a lot that is cut only what was made counts, for the others are worked elsewhere; its rows
    /// are counted as the list has them now, and what was told of it was told before it was cut.
    fn record(&self, lot: u64, refused: &Refused) -> io::Result<Record> {
        if !self.lots.contains(&lot) {
            let gone = || io::Error::other(format!("{REFUSED} has no lot {lot} any more"));
            return refused.record(lot, "").ok_or_else(gone);
        }
        let bytes = fs::read(folder(&self.out, lot).join(FILE_NAME))?;
        let mut record: Record = serde_json::from_slice(&bytes)?;
        if self.cut.contains(&lot) {
            record.problems.clear();
            record.savings.clear();
            record.items.retain(|i| i.made);
            record.items.iter_mut().for_each(|i| i.row = self.now.get(&i.id).copied().unwrap_or_default());
        }
        Ok(record)
    }

    /// `batch.json`, a lot at a time.
    fn json(&self, w: &mut dyn Write, whole: &Whole, refused: &Refused) -> io::Result<()> {
        let text = |v: &serde_json::Value| v.to_string();
        writeln!(
            w,
            "{{\n\"format\": {BATCH_FORMAT},\n\"batch\": {},\n\"list\": {},\n\"finished\": true,",
            json!(self.title),
            json!(self.list)
        )?;
        writeln!(
            w,
            "\"items\": {},\n\"made\": {},\n\"takes\": {},",
            whole.items,
            whole.made,
            text(&json!(whole.takes))
        )?;
        w.write_all(b"\"lots\": [")?;
        for (n, lot) in self.all(refused).enumerate() {
            let record = self.record(lot, refused)?;
            let sheet = |s: &SheetRecord| {
                let mut sheet = json!({"id": s.id, "programs": s.programs});
                if !s.leftover_of.is_empty() {
                    sheet["leftover_of"] = json!(s.leftover_of);
                }
                sheet
            };
            let sheets: Vec<_> = record.sheets.iter().map(sheet).collect();
            let value = json!({
                "lot": lot, "folder": self.lots.contains(&lot).then(|| lot_name(lot)), "cut": self.cut.contains(&lot), "takes": record.takes, "items": record.items,
                "sheets": sheets, "savings": record.savings, "problems": record.problems,
            });
            write!(w, "{}\n{value}", if n == 0 { "" } else { "," })?;
        }
        w.write_all(b"\n]\n}\n")
    }
}

/// How many whole sheets of which size a sheet of a lot stands for; none where it is a leftover.
fn whole_sheets(sheet: &SheetRecord) -> Option<(StockKind, [f64; 2], u32)> {
    let kind = StockKind::ALL.into_iter().find(|kind| sheet.id.starts_with(kind.word()))?;
    sheet.leftover_of.is_empty().then_some((kind, sheet.size, sheet.count))
}

/// Which leftover a sheet is, for whoever fetches it.
fn taken_from(lot: u64, sheet: &SheetRecord) -> Option<String> {
    let from = sheet.leftover_of.join(", ");
    (!from.is_empty()).then(|| format!("{}/{} from {from}", lot_name(lot), sheet.id))
}

/// The labels of a row's boxes.
fn labels_of(item: &ItemRecord, unit: Unit) -> Vec<Label> {
    let last = item.first_copy - 1 + item.copies;
    Label::new(&item.title, &item.id, item.holds.map(|s| s.map(mm)), unit).numbered(item.first_copy, last)
}

impl Whole {
    fn add(&mut self, record: &Record, counts: impl FnMut(&&ItemRecord) -> bool) {
        for item in record.items.iter().filter(counts) {
            self.items += 1;
            self.made += u64::from(item.made);
        }
        // What takes nothing has no prices either, and is not one that lacks one.
        if record.items.iter().any(|i| i.made) {
            self.takes.add(&record.takes);
        }
        self.savings.extend(record.savings.iter().cloned());
        for problem in &record.problems {
            self.errors += usize::from(problem.is_error());
            self.causes.add(problem);
        }
    }

    /// Whether there is anything to cut.
    pub(super) fn has_made(&self) -> bool {
        self.made > 0
    }

    pub(super) fn has_errors(&self) -> bool {
        self.errors > 0
    }

    pub(super) fn problems_text(&self, level: Level) -> String {
        self.causes.text(&self.list, level)
    }

    pub(super) fn text(&self, out: &Path) -> String {
        let refused = match self.items - self.made {
            0 => String::new(),
            n => format!(", {n} refused (see the notes in batch.csv)"),
        };
        let kept = match self.kept {
            0 => String::new(),
            n => format!(", {n} of them as they were"),
        };
        let mut text = format!(
            "{}: {} of {} items made{refused}; {} {} in {}{kept}\n",
            self.title,
            self.made,
            self.items,
            self.lots,
            if self.lots == 1 { "lot" } else { "lots" },
            out.display()
        );
        if !self.cut.is_empty() {
            let lots = if self.cut.len() == 1 { "lot" } else { "lots" };
            text.push_str(&format!("Cut, and left as cut: {lots} {}\n", runs(&self.cut)));
        }
        if !self.leftovers.is_empty() {
            let all = self.leftovers.iter().map(String::as_str);
            text.push_str(&format!("Leftovers: {}\n", some(all, self.leftovers.len())));
        }
        if self.has_made() {
            text.push_str(&report::takes(&self.takes));
        }
        let changes = self.changes.text();
        if !changes.is_empty() {
            text.push_str(&format!("\n{changes}"));
        }
        text
    }

    /// The report for programs; `before` is what was said of the machines.
    pub(super) fn as_json(&self, out: &Path, before: &serde_json::Value) -> serde_json::Value {
        json!({
            "format": BATCH_FORMAT,
            "title": self.title,
            "folder": out.display().to_string(),
            "items": self.items,
            "made": self.made,
            "lots": self.lots,
            "lots_kept": self.kept,
            "lots_cut": self.cut.len(),
            "takes": self.takes,
            "errors": self.errors,
            "savings": self.savings,
            "changes": self.changes.as_json(),
            "diagnostics": before,
            "problems": self.causes.as_json(),
        })
    }
}
