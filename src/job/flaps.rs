//! The lids as they are written: their order of closing, reach and shape. What limits them is the
//! design's to say.

use super::check::{Check, Sign};
use super::{Contents, Flap, FlapShape, Notch, Side};
use crate::diag::Diagnostic;
use crate::doc::Document;
use crate::import::{self, Outline};
use crate::units::{Length, mm};
use std::collections::BTreeMap;

/// What a drawing may differ from what is written beside it: rounding.
const DRAWN_WIDTH: Length = mm(0.5);

/// The drawings that a job names: the key that names each, and its path as written.
pub fn drawings_named(job: &Document) -> Vec<(String, String)> {
    let of = |side: Side| {
        let key = flap_key(side, "outline");
        let path = job.text(&key)?.to_owned();
        Some((key, path))
    };
    Side::ALL.into_iter().filter_map(of).collect()
}

impl Check<'_> {
    /// Every flap that is right by itself. Whether it fits its box is asked by the design.
    pub(super) fn flaps(&mut self, contents: Option<&Contents>) -> Option<BTreeMap<Side, Flap>> {
        let given: Vec<Side> = Side::ALL.into_iter().filter(|s| self.doc.is_written(&flap_key(*s, ""))).collect();
        let terms = self.construction().map(super::Construction::terms);
        if given.is_empty() && terms.is_some_and(super::Terms::holds_wrapper) {
            // A case for loose sheets.
            return Some(BTreeMap::new());
        }
        if given.is_empty() {
            if self.doc.get("flap").is_none() && !self.doc.is_written("flap") {
                let d = Diagnostic::error("missing-key", "the box has no lid: `flap` is missing").at("flap");
                self.push(d.help("add a table such as `[flap.left]` with a tier and a reach"));
                return None;
            }
            if self.doc.get("flap").is_some() && self.is_clean {
                let d = Diagnostic::error("no-flap", "the box has no flap").at("flap");
                self.push(d.help("add a table such as [flap.left] with a tier and a reach"));
            }
            return None;
        }
        let mut flaps = BTreeMap::new();
        for side in &given {
            if let Some(flap) = self.flap(*side, contents.map(|c| c.along(*side))) {
                flaps.insert(*side, flap);
            }
        }
        self.tiers(&given);
        // A flap that is wrong has been told; the others can still be held against the box.
        Some(flaps)
    }

    /// The lids of a box of trays or of a slipcase: it has none, and what is written of some is told.
    pub(super) fn no_flaps(&mut self) -> Option<BTreeMap<Side, Flap>> {
        let (box_of, help) = match self.construction().map(super::Construction::terms) {
            Some(terms) if terms.has_mouth => ("slipcase", "take the table out: slipcase.open says which side is open"),
            _ => ("box of trays", "take the table out: one of its trays is the lid"),
        };
        for side in Side::ALL.into_iter().filter(|s| self.doc.is_written(&flap_key(*s, ""))) {
            let message = format!("a {box_of} has no lid at the {0}: [flap.{0}] is left aside", side.word());
            self.push(Diagnostic::warning("no-lids-here", message).at(flap_key(side, "")).help(help));
        }
        Some(BTreeMap::new())
    }

    /// One flap, in an interior of `room` along its reach.
    fn flap(&mut self, side: Side, room: Option<Length>) -> Option<Flap> {
        if self.doc.is_written(&flap_key(side, "outline")) {
            return self.drawn(side, room);
        }
        let key = |k: &str| flap_key(side, k);
        if self.doc.is_written(&key("layer")) {
            let d = Diagnostic::error("not-this-shape", "`layer` is given, but no `outline` is named");
            self.push(d.at(key("layer")).help("name the drawing with `outline = \"lid.dxf\"`"));
        }
        if !self.doc.is_written(&key("reach")) && self.doc.get(&flap_key(side, "")).is_some() {
            let d = Diagnostic::error("missing-key", format!("`{}` is missing", key("reach")));
            self.push(d.at(key("reach")).help("write how far the lid reaches: a length, or a share such as \"45 %\""));
        }
        let reach = self.reach(&key("reach"), room, Sign::Positive);
        let shape = self.shape(side);
        let radius = self.length(&key("corner_radius"), Sign::NotNegative);
        let notch = self.notch(side);
        let tier = self.doc.count(&key("tier"));
        Some(Flap {
            tier: u32::try_from(tier?).unwrap_or(u32::MAX),
            reach: reach?,
            shape: shape?,
            corner_radius: radius?,
            notch: notch?,
        })
    }

    /// A flap whose outline is drawn.
    fn drawn(&mut self, side: Side, room: Option<Length>) -> Option<Flap> {
        let key = |k: &str| flap_key(side, k);
        let outline = self.drawing(side);
        for other in ["shape", "taper", "bow", "corner_radius", "notch"] {
            if self.doc.is_written(&key(other)) {
                let message = format!("`{other}` is given, but the {} lid's outline is drawn", side.word());
                let d = Diagnostic::error("not-this-shape", message).at(key(other));
                self.push(d.help("draw it, and take this key out"));
            }
        }
        let written = if self.doc.is_written(&key("reach")) {
            Some(self.reach(&key("reach"), room, Sign::Positive))
        } else {
            None
        };
        let tier = self.doc.count(&key("tier"));
        let outline = outline?;
        let reach = mm(outline.contour.bounds().max.y);
        if let Some(Some(written)) = written
            && (written - reach).abs() > DRAWN_WIDTH
        {
            let message = format!("the lid drawn reaches {}, `reach` says {}", self.say(reach), self.say(written));
            let d = Diagnostic::error("drawn-reach", message).at(key("outline"));
            self.push(d.help("take `reach` out, or mend the drawing; nothing is scaled"));
            return None;
        }
        Some(Flap {
            tier: u32::try_from(tier?).unwrap_or(u32::MAX),
            reach,
            shape: FlapShape::Outline(outline),
            corner_radius: Length::ZERO,
            notch: None,
        })
    }

    /// The outline in the drawing that a flap names.
    fn drawing(&mut self, side: Side) -> Option<Outline> {
        let key = flap_key(side, "outline");
        let path = self.doc.text(&key)?.to_owned();
        let bytes = match (self.drawing)(&path) {
            Ok(bytes) => bytes,
            Err(why) => {
                let d = Diagnostic::error("drawing-unreadable", format!("cannot read the drawing {path}: {why}"));
                self.push(d.at(key).help("the path is relative to the job file"));
                return None;
            }
        };
        let layer = self.doc.text(&flap_key(side, "layer")).map(str::to_owned);
        let (outline, said) = import::outline(&bytes, layer.as_deref(), self.doc.unit);
        for d in said {
            let message = format!("{path}: {}", d.message);
            self.push(Diagnostic { message, ..d }.at(key.clone()));
        }
        outline
    }

    /// `notch`; `None` inside where the flap has none.
    fn notch(&mut self, side: Side) -> Option<Option<Notch>> {
        let key = |k: &str| flap_key(side, &format!("notch.{k}"));
        if self.doc.get(&flap_key(side, "notch")).is_none() {
            return if self.doc.is_written(&flap_key(side, "notch")) { None } else { Some(None) };
        }
        let width = self.length(&key("width"), Sign::Positive);
        let depth = self.length(&key("depth"), Sign::Positive);
        let radius = self.length(&key("radius"), Sign::NotNegative);
        Some(Some(Notch { width: width?, depth: depth?, radius: radius? }))
    }

    /// `shape` with the measure that belongs to it, and no other.
    fn shape(&mut self, side: Side) -> Option<FlapShape> {
        let word = self.doc.text(&flap_key(side, "shape"))?.to_owned();
        for other in ["taper", "bow"] {
            let key = flap_key(side, other);
            if other != word && self.doc.is_written(&key) {
                let d = Diagnostic::error("not-this-shape", format!("`{other}` is given, but the flap is \"{word}\""));
                self.push(d.at(key).help(format!("write `shape = \"{other}\"`, or take `{other}` out")));
            }
        }
        let key = flap_key(side, &word);
        if word != "square" && !self.doc.is_written(&key) {
            let what = if word == "bow" { "the rise of the arc" } else { "degrees a side" };
            let d = Diagnostic::error("missing-key", format!("`{key}` is missing: the flap is \"{word}\""));
            self.push(d.at(flap_key(side, "shape")).help(format!("add `{word} = ...`, {what}")));
            return None;
        }
        match word.as_str() {
            "taper" => {
                let hint = "a side leans inwards by so many degrees, from 0 to less than 90";
                let taper = self.number_in(&key, 0.0, 89.0, "taper-angle", hint)?;
                Some(FlapShape::Taper(taper))
            }
            "bow" => {
                let rise = self.length(&key, Sign::Any)?;
                if rise == Length::ZERO {
                    let d = Diagnostic::error("not-positive", format!("`{key}` is 0; a bow rises or dips"));
                    self.push(d.at(key).help("write `shape = \"square\"` for a straight edge"));
                    return None;
                }
                Some(FlapShape::Bow(rise))
            }
            _ => Some(FlapShape::Square),
        }
    }

    /// Tiers start at 1 and leave none out.
    fn tiers(&mut self, given: &[Side]) {
        let tiers: Vec<(Side, u64)> =
            given.iter().filter_map(|s| Some((*s, self.doc.count(&flap_key(*s, "tier"))?))).collect();
        let is_known = tiers.len() == given.len();
        for (side, tier) in &tiers {
            let missing = (1..*tier).find(|n| tiers.iter().all(|(_, t)| t != n));
            let wrong = match (tier, missing) {
                (0, _) => "tiers count from 1".to_owned(),
                (_, Some(n)) if is_known => format!("tier {tier} without a tier {n} below it"),
                _ => continue,
            };
            self.push(
                Diagnostic::error("tier", wrong)
                    .at(flap_key(*side, "tier"))
                    .help("the flap that closes first is 1, the next 2, and so on"),
            );
        }
    }
}

/// The dotted key of a flap's table, or of a key in it.
pub(super) fn flap_key(side: Side, key: &str) -> String {
    let table = format!("flap.{}", side.word());
    if key.is_empty() { table } else { format!("{table}.{key}") }
}
