//! The small sheet that measures a machine, and what was measured as changes of its profile.

use super::edit::{Edit, MEASURED, PROFILE};
use super::findings::{About, Finding, findings};
use crate::coupon::{edit, figures, form};
use crate::diag::{Diagnostic, Places, Source, any_error, first_error};
use crate::doc::{self, Table};
use crate::job::StockKind;
use crate::pipeline::{CouponWish, Machine, coupon_folder};
use crate::profile::{self, Profile};
use crate::units::{Length, Unit};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde::{Deserialize, Serialize};
use serde_json::json;
use std::collections::BTreeMap;

/// What a maker writes into the form.
const FILLED: &[&str] = &[
    "kerf.fits",
    "kerf.plug",
    "kerf.slot",
    "offset.best",
    "offset.over",
    "offset.web",
    "pocket.depths",
    "crease.best",
];

/// A coupon that is asked for.
#[derive(Clone, Debug, Deserialize)]
pub struct Asked {
    /// The machine's id.
    pub machine: String,
    /// `board`, `cloth`, `paper` or `liner`.
    pub stock: String,
    /// As typed; usual for the stock when left out.
    #[serde(default)]
    pub thickness: Option<String>,
}

/// What was measured on one.
#[derive(Clone, Debug, Deserialize)]
pub struct Measured {
    /// Which coupon.
    #[serde(flatten)]
    pub of: Asked,
    /// What was written, by the form's keys.
    pub values: BTreeMap<String, String>,
}

impl Asked {
    fn stock(&self) -> Result<StockKind, String> {
        StockKind::of_word(&self.stock).ok_or_else(|| "a coupon is cut from board, cloth, paper or liner".to_owned())
    }

    fn thickness(&self, stock: StockKind) -> Result<Length, String> {
        let text = self.thickness.as_deref().map(str::trim).filter(|t| !t.is_empty());
        let wrong = || {
            let typed = crate::limits::quoted(text.unwrap_or_default());
            format!("{typed} is no thickness of {}", stock.told_thicknesses(Unit::Mm))
        };
        crate::coupon::thickness(text, stock).ok_or_else(wrong)
    }
}

#[derive(Serialize)]
struct Named {
    key: &'static str,
    label: String,
    about: &'static str,
}

/// Why no coupon can be cut.
fn stopped(said: &[Diagnostic]) -> String {
    first_error(said).unwrap_or_else(|| "no coupon can be cut".to_owned())
}

/// The coupon's files, its picture and what is to be measured.
pub fn coupon(asked: &Asked, machine: &Machine) -> Result<serde_json::Value, String> {
    let stock = asked.stock()?;
    let (coupon, mut said) = crate::coupon::coupon(&machine.profile, stock, asked.thickness(stock)?);
    let Some(coupon) = coupon else { return Err(stopped(&said)) };
    let (made, more) = coupon_folder(&coupon, machine, CouponWish::default());
    said.extend(more);
    let Some(made) = made?.filter(|_| !any_error(&said)) else { return Err(stopped(&said)) };
    let text = form::form(&coupon, &machine.profile);
    let (asked_for, _) = doc::read(&text, &form::TABLE, None);
    let fields: Vec<Named> = FILLED
        .iter()
        .filter(|key| asked_for.has(key.split('.').next().unwrap_or_default()))
        .map(|key| Named { key, label: key.replace(['.', '_'], ", "), about: about(&form::TABLE, key) })
        .collect();
    let is_own = |name: &str| name.ends_with(&format!(".{}.svg", machine.profile.id));
    let picture = made.files.iter().find(|f| is_own(&f.0)).map(|f| String::from_utf8_lossy(&f.1).into_owned());
    let files: Vec<_> =
        made.files.iter().map(|(name, bytes)| json!({"name": name, "data": STANDARD.encode(bytes)})).collect();
    let notes: Vec<_> = said.iter().map(|d| json!({"message": d.message, "help": d.hint})).collect();
    Ok(json!({ "files": files, "picture": picture, "form": fields, "notes": notes }))
}

fn about(table: &'static Table, key: &str) -> &'static str {
    super::keys::declared(table, key).map_or("", |k| k.about)
}

/// What was measured as changes of the machine's profile; nothing is written.
pub fn measured(measured: &Measured, machine: &Machine) -> Result<serde_json::Value, String> {
    let asked = &measured.of;
    let stock = asked.stock()?;
    let profile = &machine.profile;
    let (coupon, said) = crate::coupon::coupon(profile, stock, asked.thickness(stock)?);
    let Some(coupon) = coupon else { return Err(stopped(&said)) };
    let filled = |(key, value): (&String, &String)| {
        let is_filled = FILLED.contains(&key.as_str()) && !value.trim().is_empty();
        is_filled.then(|| Edit { key: key.clone(), value: Some(value.clone()), ..Edit::default() })
    };
    let edits: Vec<Edit> = measured.values.iter().filter_map(filled).collect();
    let text = MEASURED.edited(&form::form(&coupon, profile), &edits)?;
    let source = Source { name: form::FILE_NAME.to_owned(), text };
    let (document, _) = doc::read(&source.text, &form::TABLE, None);
    let (read, mut about_form) = form::read(&source);
    let mut changes = Vec::new();
    if let Some(read) = &read {
        let (found, more) = figures::changes(read, profile);
        changes = found;
        about_form.extend(form::placed(&source, more));
    }
    let of_form = About { text: &source.text, places: &document.places, format: MEASURED };
    let mut found: Vec<Finding> = findings(&about_form, &of_form);
    let mut new = machine.text.clone();
    if !any_error(&about_form) {
        new = edit::edited(&machine.text, &changes)?;
        // What a bad figure would make of the profile is said before it is kept.
        let edited = Source { name: format!("{}.toml", profile.id), text: new.clone() };
        let (_, about) = profile::read(&edited, &profile.id);
        if any_error(&about) {
            let places = Places::default();
            found.extend(findings(&about, &About { text: &new, places: &places, format: PROFILE }));
            (new, changes) = (machine.text.clone(), Vec::new());
        }
    } else {
        changes.clear();
    }
    let told: Vec<_> = changes
        .iter()
        .map(|c| json!({ "words": edit::in_words(c, &named(c, profile)), "key": key(c), "from": c.from, "to": c.to }))
        .collect();
    Ok(json!({ "findings": found, "changes": told, "diff": edit::diff(&machine.text, &new), "text": new }))
}

fn key(change: &figures::Change) -> String {
    match change.table {
        figures::TableAt::Tool(i) => format!("tool.{i}.{}", change.key),
        figures::TableAt::Rule(i) => format!("rule.{i}.{}", change.key),
    }
}

/// What a change is of.
fn named(change: &figures::Change, profile: &Profile) -> String {
    match change.table {
        figures::TableAt::Tool(i) => profile.tools.get(i).map(|t| t.id.clone()).unwrap_or_default(),
        figures::TableAt::Rule(i) => {
            profile.rules.get(i).map(|r| format!("{} in {}", r.operation.word(), r.stock.word())).unwrap_or_default()
        }
    }
}
