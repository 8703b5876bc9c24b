//! The job on the desk: its text, what it was before, and where it belongs.

use super::edit::{Edit, JOB};
use super::unit::switched;
use crate::units::Unit;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

/// How many steps can be undone.
const STEPS: usize = 200;
/// How many of them a draft keeps.
const KEPT_STEPS: usize = 40;
/// Bytes of drawings that wait to be put beside a job.
const DRAWINGS: usize = 16 << 20;

/// A text and the file that it belongs to.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Sheaf {
    /// The job as TOML.
    pub text: Arc<str>,
    /// What the file is called.
    pub name: Option<String>,
    /// The file that it was opened from or saved to.
    pub path: Option<PathBuf>,
    /// The text that is in that file; of a starter or a file that was dropped, the text it began with.
    pub kept: Arc<str>,
}

impl Sheaf {
    /// A text as it was opened.
    pub fn opened(text: &str, name: Option<String>, path: Option<PathBuf>) -> Self {
        let text: Arc<str> = text.into();
        Self { kept: text.clone(), text, name, path }
    }

    /// A new box: the starter without what nobody asked for, and not under the example's name.
    pub fn fresh() -> Self {
        let plain = |key: &str| Edit { key: key.into(), value: None, add: false, remove: false };
        let edits = [
            Edit { value: Some("New box".into()), ..plain("title") },
            Edit { value: Some("12".into()), ..plain("contents.depth") },
            Edit { remove: true, ..plain("flap.left.notch") },
            Edit { remove: true, ..plain("strap") },
        ];
        let starter = crate::job::starter();
        Self::opened(&JOB.edited(&starter, &edits).unwrap_or(starter), None, None)
    }

    /// Whether nothing changed since it was opened or saved.
    pub fn is_saved(&self) -> bool {
        self.text == self.kept
    }
}

/// The desk.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Desk {
    now: Sheaf,
    undo: Vec<Sheaf>,
    redo: Vec<Sheaf>,
    revision: u64,
    #[serde(with = "in_letters")]
    drawings: BTreeMap<String, Vec<u8>>,
}

impl Desk {
    /// A desk with a job on it.
    pub fn new(now: Sheaf) -> Self {
        Self { now, undo: Vec::new(), redo: Vec::new(), revision: 1, drawings: BTreeMap::new() }
    }

    /// What lies on it.
    pub fn now(&self) -> &Sheaf {
        &self.now
    }

    /// Grows by one with every change.
    pub fn revision(&self) -> u64 {
        self.revision
    }

    /// Whether there is a step to undo.
    pub fn can_undo(&self) -> bool {
        !self.undo.is_empty()
    }

    /// Whether there is a step to do again.
    pub fn can_redo(&self) -> bool {
        !self.redo.is_empty()
    }

    /// Drawings that wait to be put beside the job, by their names.
    pub fn drawings(&self) -> &BTreeMap<String, Vec<u8>> {
        &self.drawings
    }

    fn step(&mut self, next: Sheaf) {
        if next == self.now {
            return;
        }
        self.undo.push(std::mem::replace(&mut self.now, next));
        if self.undo.len() > STEPS {
            self.undo.remove(0);
        }
        self.redo.clear();
        self.revision += 1;
    }

    fn write(&mut self, text: &str) {
        let next = Sheaf { text: text.into(), ..self.now.clone() };
        self.step(next);
    }

    /// Makes edits in the newest text.
    pub fn edit(&mut self, edits: &[Edit]) -> Result<(), String> {
        let text = JOB.edited(&self.now.text, edits)?;
        self.write(&text);
        Ok(())
    }

    /// Another whole text: typed, or with a name that of a file.
    pub fn text(&mut self, text: &str, name: Option<&str>) -> Result<(), String> {
        if text.len() as u64 > crate::limits::TEXT_BYTES {
            return Err(format!("the text is longer than {} KiB", crate::limits::TEXT_BYTES >> 10));
        }
        match name.and_then(file_name) {
            Some(name) => self.step(Sheaf::opened(text, Some(name), None)),
            None => self.write(text),
        }
        Ok(())
    }

    /// A new box in place of what lies there.
    pub fn begin(&mut self) {
        self.step(Sheaf::fresh());
    }

    /// Another unit for bare numbers; straight back again gives the text from before.
    pub fn unit(&mut self, to: Unit) -> Result<(), String> {
        let from = if to == Unit::Mm { Unit::Inch } else { Unit::Mm };
        let before = self.undo.last().filter(|b| switched(&b.text, from).as_deref() == Ok(&*self.now.text));
        let text = match before {
            Some(before) if before.text != self.now.text => before.text.to_string(),
            _ => switched(&self.now.text, to)?,
        };
        self.write(&text);
        Ok(())
    }

    /// One step back.
    pub fn undo(&mut self) {
        if let Some(before) = self.undo.pop() {
            self.redo.push(std::mem::replace(&mut self.now, before));
            self.revision += 1;
        }
    }

    /// One step forward again.
    pub fn redo(&mut self) {
        if let Some(next) = self.redo.pop() {
            self.undo.push(std::mem::replace(&mut self.now, next));
            self.revision += 1;
        }
    }

    /// It stands in this file now.
    pub fn saved(&mut self, name: String, path: PathBuf, text: &Arc<str>) {
        // Steps back lead to what belongs to the same file, and is not what is in it.
        let before = (self.now.path.clone(), self.now.kept.clone());
        for sheaf in self.undo.iter_mut().chain(&mut self.redo).chain([&mut self.now]) {
            if sheaf.path.as_ref() == Some(&path) || (&sheaf.path, &sheaf.kept) == (&before.0, &before.1) {
                sheaf.name = Some(name.clone());
                sheaf.path = Some(path.clone());
                sheaf.kept = text.clone();
            }
        }
        self.drawings.clear();
        self.revision += 1;
    }

    /// A drawn lid: kept until the job has a place, and named in the job in place of the lid's shape.
    pub fn outline(&mut self, side: &str, name: &str, drawing: Option<Vec<u8>>) -> Result<(), String> {
        let key = |k: &str| format!("flap.{side}.{k}");
        let mut edits: Vec<Edit> = ["shape", "reach", "taper", "bow", "corner_radius", "notch"]
            .map(|k| Edit { key: key(k), remove: true, ..Edit::default() })
            .into();
        edits.push(Edit { key: key("outline"), value: Some(name.to_owned()), ..Edit::default() });
        let text = JOB.edited(&self.now.text, &edits)?;
        if let Some(drawing) = drawing {
            let held: usize = self.drawings.values().map(Vec::len).sum();
            if held + drawing.len() > DRAWINGS {
                return Err("too many drawings wait for the job to be saved: save it first".into());
            }
            self.drawings.insert(name.to_owned(), drawing);
        }
        self.write(&text);
        Ok(())
    }

    /// A desk as a draft kept it. Where its job's file says otherwise by now, the file as it is comes first
    /// among the steps that can be undone, and counts as what is saved.
    pub fn restored(mut draft: Self, file: Option<Sheaf>) -> Self {
        draft.revision += 1;
        if let Some(file) = file {
            if draft.now.kept != file.text {
                draft.undo.push(file.clone());
            }
            for sheaf in draft.undo.iter_mut().chain([&mut draft.now]).filter(|s| s.path == file.path) {
                sheaf.kept = file.text.clone();
            }
        }
        draft
    }

    /// Leaves out paths that no text can hold.
    pub fn without_odd_paths(&mut self) {
        for sheaf in self.undo.iter_mut().chain(&mut self.redo).chain([&mut self.now]) {
            sheaf.path = sheaf.path.take().filter(|p| p.to_str().is_some());
        }
    }

    /// What a draft keeps of it.
    pub fn draft(&self) -> Self {
        let from = self.undo.len().saturating_sub(KEPT_STEPS);
        Self { undo: self.undo[from..].to_vec(), ..self.clone() }
    }
}

/// Bytes as text that JSON takes without making four of one.
mod in_letters {
    use base64::Engine;
    use base64::engine::general_purpose::STANDARD;
    use serde::{Deserialize, Deserializer, Serializer, de::Error};
    use std::collections::BTreeMap;

    pub(super) fn serialize<S: Serializer>(all: &BTreeMap<String, Vec<u8>>, to: S) -> Result<S::Ok, S::Error> {
        to.collect_map(all.iter().map(|(name, bytes)| (name, STANDARD.encode(bytes))))
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<BTreeMap<String, Vec<u8>>, D::Error> {
        let all = BTreeMap::<String, String>::deserialize(from)?;
        all.into_iter().map(|(name, text)| Ok((name, STANDARD.decode(text).map_err(D::Error::custom)?))).collect()
    }
}

/// A name without folders, of letters that every system takes; none where nothing is left.
pub fn file_name(name: &str) -> Option<String> {
    let last = name.rsplit(['/', '\\']).next().unwrap_or_default();
    let is_fine = |c: char| !c.is_control() && !"<>:\"|?*".contains(c);
    let name: String = last.trim().chars().filter(|c| is_fine(*c)).take(120).collect();
    let name = name.trim_matches('.').trim().to_owned();
    (!name.is_empty()).then_some(name)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn desk() -> Desk {
        Desk::new(Sheaf::opened("title = \"A\" # kept\nunits = \"mm\"\n", None, None))
    }

    #[test]
    fn every_change_can_be_taken_back_and_made_again() {
        let mut desk = desk();
        let put = |value: &str| [Edit { key: "title".into(), value: Some(value.into()), ..Edit::default() }];
        desk.edit(&put("B")).unwrap();
        desk.edit(&put("B")).unwrap();
        desk.edit(&put("C")).unwrap();
        assert_eq!((desk.revision(), desk.can_undo(), desk.can_redo()), (3, true, false));
        desk.undo();
        assert!(desk.now().text.contains("\"B\" # kept") && !desk.now().is_saved());
        desk.undo();
        desk.undo();
        assert!(desk.now().is_saved() && desk.can_redo());
        desk.redo();
        desk.redo();
        desk.redo();
        assert!(desk.now().text.contains("\"C\" # kept"));
    }

    #[test]
    fn a_unit_there_and_back_is_the_same_text() {
        let mut desk = Desk::new(Sheaf::opened(&crate::job::starter(), None, None));
        let text = desk.now().text.clone();
        desk.unit(Unit::Inch).unwrap();
        assert_ne!(desk.now().text, text);
        desk.unit(Unit::Mm).unwrap();
        assert_eq!(desk.now().text, text);
    }

    #[test]
    fn names_lead_nowhere() {
        assert_eq!(file_name("../../etc/passwd").as_deref(), Some("passwd"));
        assert_eq!(file_name("C:\\a\\b.toml").as_deref(), Some("b.toml"));
        assert_eq!((file_name(".."), file_name("/"), file_name("\u{0}")), (None, None, None));
    }
}
