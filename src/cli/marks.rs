//! What of a folder is cut: the file `cut.json` in it, which later runs keep.
//!
//! It lies beside the files that the manifest lists and is none of them: it says what a maker did, and the manifest
//! what is to be done. A file that cannot be read is an error and never "nothing is cut".

use super::file::write_one;
use super::folder_error::FolderError;
use super::input;
use crate::write::manifest;
use crate::write::names::base;
use serde::{Deserialize, Serialize};
use std::fs;
use std::io;
use std::path::Path;

/// The file.
pub(super) const FILE_NAME: &str = "cut.json";
/// The version of its form.
const FORMAT: u32 = 1;
/// It is at most so large: an edition of a hundred thousand different sheets.
const MOST: u64 = 8 << 20;

/// The sheets of a folder that are cut.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Marks {
    format: u32,
    /// In the order of the manifest.
    pub(super) cut: Vec<CutSheet>,
}

/// One sheet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct CutSheet {
    /// Its name.
    pub(super) sheet: String,
    /// How many of the sheets that are cut alike are cut.
    pub(super) count: u32,
    /// What a shop was told of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) in_shop: Option<InShop>,
}

/// What a shop knows of a sheet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct InShop {
    /// Which shop.
    pub(super) shop: String,
    /// Its number of each that is cut.
    pub(super) numbers: Vec<i64>,
}

impl Default for Marks {
    fn default() -> Self {
        Self { format: FORMAT, cut: Vec::new() }
    }
}

impl Marks {
    /// What is marked in a folder; nothing where there is no such file.
    pub(super) fn read(folder: &Path) -> Result<Self, FolderError> {
        let path = folder.join(FILE_NAME);
        let bad = |why: String| FolderError::BadMarks { path: path.clone(), why };
        match input::bytes(&path, MOST) {
            Err(e) if e.kind() == io::ErrorKind::NotFound && !is_there(&path) => Ok(Self::default()),
            Err(e) => Err(bad(input::plain(&e))),
            Ok(bytes) => match serde_json::from_slice::<Self>(&bytes) {
                Ok(marks) if marks.format == FORMAT => Ok(marks),
                Ok(marks) => Err(bad(format!("it is of format {}, and this program reads {FORMAT}", marks.format))),
                Err(e) => Err(bad(e.to_string())),
            },
        }
    }

    /// How many of a sheet are cut.
    pub(super) fn count(&self, sheet: &str) -> u32 {
        self.cut.iter().find(|c| c.sheet == sheet).map_or(0, |c| c.count)
    }

    /// What a shop was told of a sheet.
    pub(super) fn in_shop(&self, sheet: &str) -> Option<&InShop> {
        self.cut.iter().find(|c| c.sheet == sheet)?.in_shop.as_ref()
    }

    /// How many of a sheet a shop was told of.
    pub(super) fn told(&self, sheet: &str) -> u32 {
        self.in_shop(sheet).map_or(0, |s| u32::try_from(s.numbers.len()).unwrap_or(u32::MAX))
    }

    /// Keeps what a shop knows of a sheet that is marked.
    pub(super) fn tell(&mut self, sheet: &str, in_shop: InShop) {
        if let Some(found) = self.cut.iter_mut().find(|c| c.sheet == sheet) {
            found.in_shop = Some(in_shop);
        }
    }

    /// Whether nothing is cut.
    pub(super) fn is_empty(&self) -> bool {
        self.cut.is_empty()
    }

    /// Says how many of a sheet are cut.
    pub(super) fn set(&mut self, sheet: &str, count: u32) {
        match self.cut.iter_mut().find(|c| c.sheet == sheet) {
            Some(found) => found.count = count,
            None => self.cut.push(CutSheet { sheet: sheet.to_owned(), count, in_shop: None }),
        }
        self.cut.retain(|c| c.count > 0);
    }

    /// In the order in which `sheets` are listed; whatever is not among them last.
    pub(super) fn sort_as<'a>(&mut self, sheets: impl Iterator<Item = &'a str>) {
        let order: Vec<&str> = sheets.collect();
        self.cut.sort_by_key(|c| order.iter().position(|id| *id == c.sheet).unwrap_or(usize::MAX));
    }

    /// The file's bytes.
    pub(super) fn bytes(&self) -> Result<Vec<u8>, serde_json::Error> {
        let mut bytes = serde_json::to_vec_pretty(self)?;
        bytes.push(b'\n');
        Ok(bytes)
    }

    /// Puts them into a folder that the caller holds; a folder of which nothing is cut has no such file.
    pub(super) fn write(&self, folder: &Path) -> Result<(), FolderError> {
        let path = folder.join(FILE_NAME);
        let io = |doing, e| FolderError::Io { doing, path: path.clone(), source: e };
        remove_broken_off(folder).map_err(|e| io("clear what was broken off beside", e))?;
        if self.is_empty() {
            return match fs::remove_file(&path) {
                Err(e) if e.kind() != io::ErrorKind::NotFound => Err(io("remove", e)),
                _ => Ok(()),
            };
        }
        let bytes = self.bytes().map_err(|e| io("write the file", e.into()))?;
        write_one(&path, |w| w.write_all(&bytes))
    }

    /// A few of the names, for a sentence.
    pub(super) fn named(&self) -> String {
        some(self.cut.iter().map(|c| c.sheet.as_str()), self.cut.len())
    }
}

/// The first names of many, for a sentence.
pub(super) fn some<'a>(names: impl Iterator<Item = &'a str>, of: usize) -> String {
    const NAMED: usize = 10;
    let mut named: Vec<String> = names.take(NAMED).map(str::to_owned).collect();
    if of > NAMED {
        named.push(format!("{} more", of - NAMED));
    }
    named.join(", ")
}

/// Whether a name in a folder is that of the marks, or of marks whose writing was broken off.
pub(super) fn is_name(name: &str) -> bool {
    name == FILE_NAME || is_broken_off(name)
}

fn is_broken_off(name: &str) -> bool {
    let middle = name.strip_prefix(FILE_NAME).and_then(|n| n.strip_prefix('.')).and_then(|n| n.strip_suffix(".new"));
    middle.is_some_and(|pid| !pid.is_empty() && pid.bytes().all(|b| b.is_ascii_digit()))
}

/// Takes away what a run left that was killed while it wrote.
fn remove_broken_off(folder: &Path) -> io::Result<()> {
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        if entry.file_name().to_str().is_some_and(is_broken_off) && entry.file_type()?.is_file() {
            fs::remove_file(entry.path())?;
        }
    }
    Ok(())
}

/// A link that leads nowhere is there.
fn is_there(path: &Path) -> bool {
    fs::symlink_metadata(path).is_ok()
}

/// A folder's files with its marks beside them, where all that is cut comes out the same byte for byte; otherwise
/// an error, which says of which sheets it does not. `files` are to take the place of what is in `folder`.
pub(super) fn kept(folder: &Path, files: &mut Vec<(String, Vec<u8>)>) -> Result<(), FolderError> {
    let marks = Marks::read(folder)?;
    if marks.is_empty() {
        return Ok(());
    }
    let old = fs::read(folder.join(manifest::FILE_NAME)).ok().and_then(|b| serde_json::from_slice(&b).ok());
    let new = files.iter().find(|f| f.0 == manifest::FILE_NAME).and_then(|f| serde_json::from_slice(&f.1).ok());
    let (old, new) = (old.unwrap_or_default(), new.unwrap_or_default());
    let differs = |c: &&CutSheet| !is_same(&c.sheet, folder, (&old, &new), files);
    let others: Vec<&str> = marks.cut.iter().filter(differs).map(|c| c.sheet.as_str()).collect();
    if !others.is_empty() {
        return Err(FolderError::Cut { folder: folder.into(), sheets: some(others.iter().copied(), others.len()) });
    }
    // As they lie there: whoever marks more meanwhile is noticed by it.
    let bytes = fs::read(folder.join(FILE_NAME)).map_err(|e| FolderError::Io {
        doing: "read",
        path: folder.join(FILE_NAME),
        source: e,
    })?;
    files.push((FILE_NAME.into(), bytes));
    Ok(())
}

type Manifests<'a> = (&'a serde_json::Value, &'a serde_json::Value);

/// Whether a sheet is the same in both manifests, with its pieces and all its files.
fn is_same(id: &str, folder: &Path, (old, new): Manifests<'_>, files: &[(String, Vec<u8>)]) -> bool {
    let sheet = |of: &serde_json::Value| {
        let mut sheet = of["sheets"].as_array()?.iter().find(|s| s["id"] == id)?.clone();
        // Another form of the same drawing may be added.
        let drawings = sheet.as_object_mut()?.remove("drawings")?;
        let pieces: Vec<serde_json::Value> = sheet["placed"]
            .as_array()?
            .iter()
            .map(|p| of["pieces"].as_array()?.iter().find(|q| q["id"] == p["piece"]).cloned())
            .collect::<Option<_>>()?;
        Some((sheet, pieces, drawings))
    };
    let Some(((was, pieces, drawings), (is, now, _))) = sheet(old).zip(sheet(new)) else { return false };
    let is_of_sheet = |name: &str| {
        base(name).starts_with(&format!("{id}."))
            || drawings.as_array().is_some_and(|all| all.iter().any(|d| d.as_str() == Some(name)))
    };
    let Some(listed) = old["files"].as_array() else { return false };
    let mut names = listed.iter().filter_map(|f| f["file"].as_str()).filter(|name| is_of_sheet(name));
    let is_file_same = |name: &str| {
        // It may lie in another folder than it did.
        let made = files.iter().find(|f| base(&f.0) == base(name));
        made.is_some_and(|(_, bytes)| fs::read(folder.join(name)).is_ok_and(|there| there == *bytes))
    };
    was == is && pieces == now && names.all(is_file_same)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_are_set_counted_and_taken_back() {
        let mut marks = Marks::default();
        marks.set("cloth-1", 1);
        marks.set("board-2", 3);
        marks.set("board-2", 5);
        marks.sort_as(["board-1", "board-2", "cloth-1"].into_iter());
        assert_eq!(
            (marks.count("board-2"), marks.count("board-1"), marks.named().as_str()),
            (5, 0, "board-2, cloth-1")
        );
        let text = String::from_utf8(marks.bytes().unwrap()).unwrap();
        assert_eq!(serde_json::from_str::<Marks>(&text).unwrap(), marks);
        marks.set("board-2", 0);
        marks.set("cloth-1", 0);
        assert!(marks.is_empty());
    }

    #[test]
    fn only_names_of_ours_are_taken_for_broken_off() {
        let ours = ["cut.json", "cut.json.417.new"];
        assert!(ours.into_iter().all(is_name));
        let others = ["cut.json.new", "cut.json.4a.new", "cut.json..new", "cut.json.417.old", "my-cut.json", "cut.csv"];
        assert!(!others.into_iter().any(is_name));
    }
}
