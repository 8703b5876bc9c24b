//! Machines: those that come with the program, and the page's own copies of them.

use super::edit::{Edit, PROFILE};
use super::findings::{About, Finding, findings};
use super::form::Form;
use super::values::{Shown, values};
use crate::diag::Source;
use crate::doc;
use crate::job::StockKind;
use crate::pipeline::Machine;
use crate::profile::{self, Ability, OperationKind, Profile};
use crate::units::Unit;
use serde::Serialize;
use std::collections::BTreeMap;

/// What the id of an own copy ends in.
const OWN: &str = "-own";
/// How many copies are kept.
const MOST: usize = 100;

/// All machines.
#[derive(Clone, Debug, Default)]
pub struct Machines {
    own: BTreeMap<String, String>,
}

/// A machine in the list.
#[derive(Clone, Debug, Serialize)]
pub struct Listed {
    id: String,
    name: String,
    about: String,
    own: bool,
}

/// A machine with all that is known of it.
#[derive(Clone, Debug, Serialize)]
pub struct Shape {
    id: String,
    name: String,
    own: bool,
    text: String,
    form: Form,
    values: BTreeMap<String, Shown>,
    findings: Vec<Finding>,
    can: Vec<String>,
    cannot: Vec<String>,
}

impl Machines {
    /// With own copies from before; what is no id is left out.
    pub fn new(own: BTreeMap<String, String>) -> Self {
        Self { own: own.into_iter().filter(|(id, _)| is_id(id)).take(MOST).collect() }
    }

    /// The own copies.
    pub fn own(&self) -> &BTreeMap<String, String> {
        &self.own
    }

    /// The text of a machine's profile.
    pub fn text(&self, id: &str) -> Option<&str> {
        let shipped = || profile::shipped().iter().find(|(known, _)| *known == id).map(|(_, text)| *text);
        self.own.get(id).map(String::as_str).or_else(shipped)
    }

    /// A machine that can be used.
    pub fn machine(&self, id: &str) -> Result<Machine, String> {
        let text = self.text(id).ok_or_else(|| unknown(id))?.to_owned();
        let (profile, said) = profile::read(&Source { name: format!("{id}.toml"), text: text.clone() }, id);
        let wrong = said.iter().find(|d| d.is_error());
        match (profile, wrong) {
            (Some(profile), None) => Ok(Machine { profile, text, left: Vec::new() }),
            (_, wrong) => {
                let why = wrong.map_or(String::new(), |d| format!(": {}", d.message));
                Err(format!("the profile of {id} has errors{why}"))
            }
        }
    }

    /// All of them, the page's own first.
    pub fn list(&self) -> Vec<Listed> {
        let own = self.own.iter().map(|(id, text)| (id.as_str(), text.as_str(), true));
        own.chain(profile::shipped().iter().map(|(id, text)| (*id, *text, false)))
            .map(|(id, text, own)| {
                let (profile, _) = profile::read(&Source { name: id.to_owned(), text: text.to_owned() }, id);
                let name = profile.as_ref().map_or_else(|| id.replace('-', " "), |p| p.name.clone());
                Listed { about: profile.as_ref().map(about).unwrap_or_default(), id: id.to_owned(), name, own }
            })
            .collect()
    }

    /// A machine's shape.
    pub fn shape(&self, id: &str) -> Result<Shape, String> {
        let text = self.text(id).ok_or_else(|| unknown(id))?;
        let source = Source { name: format!("{id}.toml"), text: text.to_owned() };
        let (profile, said) = profile::read(&source, id);
        let (document, _) = doc::read(text, &profile::TABLE, None);
        let values = values(text, &profile::TABLE, Unit::Mm);
        let about = About { text, places: &document.places, format: PROFILE };
        let found = findings(&said, &about);
        let (can, cannot) = profile.as_ref().map(abilities).unwrap_or_default();
        let name = profile.map_or_else(|| id.replace('-', " "), |p| p.name);
        Ok(Shape {
            id: id.to_owned(),
            name,
            own: self.own.contains_key(id),
            text: source.text,
            form: super::form::profile(),
            values,
            findings: found,
            can,
            cannot,
        })
    }

    /// Makes edits in a machine's profile, of a shipped one in a copy; the id of what was changed.
    pub fn edit(&mut self, id: &str, edits: &[Edit]) -> Result<String, String> {
        let text = PROFILE.edited(self.text(id).ok_or_else(|| unknown(id))?, edits)?;
        self.keep(id, text)
    }

    /// Another whole text for a machine's profile, of a shipped one for a copy.
    pub fn write(&mut self, id: &str, text: &str) -> Result<String, String> {
        if self.text(id).is_none() && !is_id(id) {
            return Err(unknown(id));
        }
        if text.len() as u64 > crate::limits::TEXT_BYTES {
            return Err(format!("the text is longer than {} KiB", crate::limits::TEXT_BYTES >> 10));
        }
        self.keep(id, text.to_owned())
    }

    fn keep(&mut self, id: &str, text: String) -> Result<String, String> {
        let own = if self.own.contains_key(id) || id.ends_with(OWN) { id.to_owned() } else { format!("{id}{OWN}") };
        if !self.own.contains_key(&own) && self.own.len() >= MOST {
            return Err(format!("{MOST} copies are kept already"));
        }
        self.own.insert(own.clone(), text);
        Ok(own)
    }

    /// Forgets an own copy.
    pub fn forget(&mut self, id: &str) -> bool {
        self.own.remove(id).is_some()
    }
}

/// An id goes into the names of files: lower-case letters, digits and dashes.
fn is_id(id: &str) -> bool {
    let is_fine = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    !id.is_empty() && id.len() <= 80 && id.chars().all(is_fine)
}

fn unknown(id: &str) -> String {
    format!("there is no machine `{}`", crate::limits::quoted(id))
}

fn about(profile: &Profile) -> String {
    let m = &profile.machine;
    let tools: Vec<&str> = profile.tools.iter().map(|t| t.id.as_str()).collect();
    format!("bed {}; {}", Unit::Mm.show_size(&[m.width, m.height]).replace(" x ", " × "), tools.join(", "))
}

fn words(operation: OperationKind, stock: StockKind) -> String {
    let stock = stock.word();
    match operation {
        OperationKind::Mark => format!("mark {stock}"),
        OperationKind::CreaseScore => format!("crease {stock}"),
        OperationKind::HalfDepthPocket => format!("cut pockets into {stock}"),
        OperationKind::ThroughCut => format!("cut through {stock}"),
    }
}

fn abilities(profile: &Profile) -> (Vec<String>, Vec<String>) {
    let (mut can, mut cannot) = (Vec::new(), Vec::new());
    for c in profile.capabilities() {
        let what = words(c.operation, c.stock);
        match c.ability {
            Ability::Can { tool, note } => {
                let note = note.map_or(String::new(), |n| format!("; {n}"));
                can.push(format!("{what} (by {tool}{note})"));
            }
            Ability::Cannot { why } => cannot.push(format!("{what}: {why}")),
        }
    }
    (can, cannot)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_edit_of_a_shipped_machine_makes_a_copy() {
        let mut machines = Machines::default();
        let edit = Edit { key: "tool.0.kerf".into(), value: Some("0.2".into()), ..Edit::default() };
        let id = machines.edit("shared-laser-cutter", &[edit]).unwrap();
        assert_eq!(id, "shared-laser-cutter-own");
        assert!(machines.shape(&id).unwrap().own && machines.machine(&id).is_ok());
        assert_eq!(machines.edit(&id, &[]).unwrap(), id);
        assert!(machines.edit("../x", &[]).is_err() && machines.write("../x", "").is_err());
        assert_eq!(machines.list().len(), profile::shipped().len() + 1);
    }
}
