//! What can be marked: the sheets of a folder, or of every lot of a list, and the names by which they are picked.

use crate::cli::args::CutArgs;
use crate::cli::columns;
use crate::cli::folder::{is_export, lots_in};
use crate::cli::marks::{Marks, some};
use crate::cli::{Failure, input, load};
use crate::doc::nearest;
use crate::limits;
use crate::write::manifest;
use serde::Deserialize;
use std::path::{Path, PathBuf};

/// One folder of sheets: an exported one, or a lot of a list.
pub(super) struct Part {
    /// `lot-1`; empty for an exported folder.
    pub(super) name: String,
    pub(super) dir: PathBuf,
    /// What it is of.
    #[cfg(feature = "shop")]
    pub(super) title: String,
    pub(super) sheets: Vec<Sheet>,
    pub(super) marks: Marks,
}

/// A sheet as the manifest lists it.
#[derive(Deserialize)]
pub(super) struct Sheet {
    pub(super) id: String,
    pub(super) stock: String,
    /// How many are cut alike.
    pub(super) count: u32,
    #[cfg(feature = "shop")]
    #[serde(flatten)]
    pub(super) of_shop: OfShop,
}

/// What a shop wants to know of a sheet, mm.
#[cfg(feature = "shop")]
#[derive(Deserialize)]
pub(super) struct OfShop {
    pub(super) width: f64,
    pub(super) height: f64,
    pub(super) leftover: bool,
    pub(super) offcut: Option<Offcut>,
    pub(super) named: Option<String>,
}

/// What of a sheet can be kept, mm.
#[cfg(feature = "shop")]
#[derive(Deserialize)]
pub(super) struct Offcut {
    pub(super) width: f64,
    pub(super) height: f64,
}

#[derive(Deserialize)]
struct Listed {
    #[cfg(feature = "shop")]
    title: String,
    sheets: Vec<Sheet>,
}

impl Part {
    fn read(name: String, dir: PathBuf) -> Result<Self, Failure> {
        let bytes = input::bytes(&dir.join(manifest::FILE_NAME), limits::FOLDER_BYTES);
        let bytes = bytes.map_err(|e| load::unreadable(&dir, &e))?;
        let listed: Listed = serde_json::from_slice(&bytes).map_err(|e| {
            let message = format!("{} is damaged: {e}", dir.join(manifest::FILE_NAME).display());
            Failure::usage(message, "nothing was marked; flapwright verify tells what else was changed".into())
        })?;
        let marks = Marks::read(&dir).map_err(|e| Failure::usage(e.to_string(), e.hint("nothing was marked")))?;
        Ok(Self {
            name,
            dir,
            #[cfg(feature = "shop")]
            title: listed.title,
            sheets: listed.sheets,
            marks,
        })
    }

    /// A sheet's name from the folder that was named: `lot-1/board-2`.
    pub(super) fn named(&self, sheet: &str) -> String {
        if self.name.is_empty() { sheet.to_owned() } else { format!("{}/{sheet}", self.name) }
    }

    /// How far it is: `cut`, `begun` or `to cut`.
    pub(super) fn state(&self) -> &'static str {
        let is_cut = |s: &Sheet| self.marks.count(&s.id) >= s.count;
        match (self.marks.is_empty(), self.sheets.iter().all(is_cut)) {
            (true, _) => "to cut",
            (false, true) => "cut",
            (false, false) => "begun",
        }
    }
}

/// The folders of sheets in what was named.
pub(super) fn read(folder: &Path, is_list: bool) -> Result<Vec<Part>, Failure> {
    if !is_list {
        if !is_export(folder) && folder.is_dir() {
            let message = format!("{} was written by neither `export` nor `batch`", folder.display());
            return Err(Failure::usage(
                message,
                "name the folder that holds manifest.json, or a list's batch.json".into(),
            ));
        }
        return Ok(vec![Part::read(String::new(), folder.to_owned())?]);
    }
    let lots = lots_in(folder).map_err(|e| load::unreadable(folder, &e))?;
    let there = lots.into_iter().filter(|(_, name)| is_export(&folder.join(name)));
    there.map(|(_, name)| Part::read(name.clone(), folder.join(name))).collect()
}

/// A sheet by its place in its part, and that part's.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Pick {
    pub(super) part: usize,
    pub(super) sheet: usize,
}

impl Pick {
    /// Every sheet.
    pub(super) fn all(parts: &[Part]) -> Vec<Self> {
        let of = |(part, p): (usize, &Part)| (0..p.sheets.len()).map(move |sheet| Self { part, sheet });
        parts.iter().enumerate().flat_map(of).collect()
    }
}

/// The sheets that were named, each once; an error that tells of all names that are none.
pub(super) fn picks(args: &CutArgs, parts: &[Part]) -> Result<Vec<Pick>, Failure> {
    let mut picks = Vec::new();
    let mut wrong = Vec::new();
    let mut hints: Vec<String> = Vec::new();
    for typed in &args.what {
        let found = find(typed, &args.folder, parts);
        if found.is_empty() {
            wrong.push(format!("`{typed}`"));
            hints.extend(near(typed, parts).map(|n| format!("did you mean {n}?")));
        }
        picks.extend(found);
    }
    if !wrong.is_empty() {
        let message = format!("{} has no {}", args.folder.display(), wrong.join(", "));
        if hints.is_empty() {
            let names: Vec<String> = names(parts);
            hints.push(format!("it has {}", some(names.iter().map(String::as_str), names.len())));
        }
        return Err(Failure::usage(message, format!("{}; nothing was marked", hints.join(" "))));
    }
    picks.sort_unstable();
    picks.dedup();
    if let Some(count) = args.count {
        let too_few =
            picks.iter().map(|p| (&parts[p.part], &parts[p.part].sheets[p.sheet])).find(|(_, s)| s.count < count);
        if let Some((part, sheet)) = too_few {
            let message = format!("of {} there are {}, and --count says {count}", part.named(&sheet.id), sheet.count);
            return Err(Failure::usage(
                message,
                "nothing was marked; --count is how many of a sheet are cut in all".into(),
            ));
        }
    }
    Ok(picks)
}

/// What a name stands for: a lot, a sheet of a lot, a sheet. `survey/lot-1` and `lot-0001` are lot 1 too.
fn find(typed: &str, folder: &Path, parts: &[Part]) -> Vec<Pick> {
    let from_here = Path::new(typed).strip_prefix(folder).ok().and_then(Path::to_str);
    let name = from_here.unwrap_or(typed).trim_end_matches('/');
    let lot_number = |name: &str| name.strip_prefix("lot-").and_then(|n| n.parse::<u64>().ok());
    let (lot, sheet) = match name.split_once('/') {
        Some((lot, sheet)) => (lot, Some(sheet)),
        None if parts.iter().any(|p| p.name.is_empty()) => ("", Some(name)),
        None => (name, None),
    };
    let is_part = |p: &Part| {
        p.name == lot || (!lot.is_empty() && lot_number(lot).is_some_and(|n| Some(n) == lot_number(&p.name)))
    };
    let is_sheet = |s: &Sheet| sheet.is_none_or(|id| s.id == id);
    Pick::all(parts)
        .into_iter()
        .filter(|pick| is_part(&parts[pick.part]) && is_sheet(&parts[pick.part].sheets[pick.sheet]))
        .collect()
}

/// What can be named.
fn names(parts: &[Part]) -> Vec<String> {
    match parts {
        [one] if one.name.is_empty() => one.sheets.iter().map(|s| s.id.clone()).collect(),
        _ => parts.iter().map(|p| p.name.clone()).collect(),
    }
}

fn near(typed: &str, parts: &[Part]) -> Option<String> {
    let mut all = names(parts);
    if typed.contains('/') {
        all = parts.iter().flat_map(|p| p.sheets.iter().map(|s| p.named(&s.id))).collect();
    }
    nearest(typed, all.iter().map(String::as_str)).map(str::to_owned)
}

/// How far each part is; of one folder alone, how far each sheet is.
pub(super) fn table(parts: &[Part]) -> String {
    let sheet = |p: &Part, s: &Sheet| {
        let cut = p.marks.count(&s.id);
        let state = match cut {
            0 => "to cut".to_owned(),
            n if n >= s.count => "cut".to_owned(),
            n => format!("{n} of {} cut", s.count),
        };
        vec![format!("  {}", s.id), state, if s.count > 1 { format!("{} alike", s.count) } else { String::new() }]
    };
    let part = |p: &Part| {
        let all: u32 = p.sheets.iter().map(|s| s.count).sum();
        let cut: u32 = p.sheets.iter().map(|s| p.marks.count(&s.id).min(s.count)).sum();
        let sheets = match p.state() {
            "begun" => format!("{cut} of {all} sheets cut: {}", p.marks.named()),
            _ => format!("{all} {}", if all == 1 { "sheet" } else { "sheets" }),
        };
        vec![format!("  {}", p.name), p.state().to_owned(), sheets]
    };
    let rows: Vec<Vec<String>> = match parts {
        [one] if one.name.is_empty() => one.sheets.iter().map(|s| sheet(one, s)).collect(),
        _ => parts.iter().map(part).collect(),
    };
    columns::table(&rows)
}
