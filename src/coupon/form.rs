//! The form of a coupon: a TOML file that says what was tried and takes what was measured.

use super::{By, Coupon, Kerf, Ladder, Offset, Trials, letter};
use crate::diag::{Diagnostic, Source, any_error, shorten};
use crate::doc::Need::{Default, Optional, Required};
use crate::doc::{self, Document, RawLength, Shape, Table, key};
use crate::job::StockKind;
use crate::profile::Profile;
use crate::units::decimal;
use std::fmt::Write as _;

/// The form's file name in a coupon's folder.
pub const FILE_NAME: &str = "measured.toml";
/// The version of the form.
pub const FORMAT: u64 = 1;

/// The keys of a form.
pub static TABLE: Table = Table {
    about: "What was measured on a coupon. Lengths are mm.",
    keys: &[
        key("format", Shape::Count, Required, "The version of this form: 1."),
        key("machine", Shape::Text, Required, "The profile that the coupon was cut with."),
        key("stock", Shape::Word(&["board", "cloth", "paper", "liner"]), Required, "What it was cut from."),
        key("thickness", Shape::Length, Required, "The thickness that it was cut for."),
        key("kerf", Shape::Table(&KERF), Optional, KERF.about),
        key("offset", Shape::Table(&OFFSET), Optional, OFFSET.about),
        key("pocket", Shape::Table(&POCKET), Optional, POCKET.about),
        key("crease", Shape::Table(&CREASE), Optional, CREASE.about),
    ],
};

static KERF: Table = Table {
    about: "The comb and its plug.",
    keys: &[
        key("now", Shape::Length, Required, "The kerf that the coupon was cut for."),
        key("plug_nominal", Shape::Length, Required, "The plug's nominal width."),
        key("slot_nominal", Shape::Length, Required, "The nominal width of notch A."),
        key("tried", Shape::List(&Shape::Length), Required, "The kerf that each notch stands for."),
        key("fits", Shape::Text, Default("\"\""), "The letter of the notch that holds the plug snugly."),
        key("plug", Shape::List(&Shape::Length), Default("[]"), "Caliper readings of the plug's width."),
        key("slot", Shape::List(&Shape::Length), Default("[]"), "Caliper readings of the width of notch A."),
    ],
};

static OFFSET: Table = Table {
    about: "The cards with tongues and notches.",
    keys: &[
        key("now", Shape::Length, Required, "The pivot offset in the profile."),
        key("radius", Shape::Length, Required, "The nominal radius of their rounds."),
        key("over_nominal", Shape::Length, Required, "The nominal distance over the tips of a card's tongues."),
        key("web_nominal", Shape::Length, Required, "The nominal distance between the bottoms of its notches."),
        key("tried", Shape::List(&Shape::Length), Required, "The offset that each card was cut with."),
        key("best", Shape::Text, Default("\"\""), "The letter of the card whose sides run straight out of its rounds."),
        key(
            "over",
            Shape::List(&Shape::Length),
            Default("[]"),
            "Caliper readings over the tips of the tongues of the card cut with the profile's own offset.",
        ),
        key("web", Shape::List(&Shape::Length), Default("[]"), "Readings between the bottoms of its notches."),
    ],
};

static POCKET: Table = Table {
    about: "The pockets.",
    keys: &[
        key("by", Shape::Word(&["depth", "passes"]), Required, "What differs."),
        key("tried", Shape::List(&Shape::Number), Required, "The depths in mm, or the passes."),
        key("depths", Shape::List(&Shape::Length), Default("[]"), "The depths measured, A first."),
    ],
};

static CREASE: Table = Table {
    about: "The creases.",
    keys: &[
        key("by", Shape::Word(&["depth", "passes"]), Required, "What differs."),
        key("tried", Shape::List(&Shape::Number), Required, "The depths in mm, or the passes."),
        key("best", Shape::Text, Default("\"\""), "The letter of the crease that folds best."),
    ],
};

/// What a maker measured, and on what.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// The profile's id when the coupon was cut.
    pub machine: String,
    /// The stock.
    pub stock: StockKind,
    /// Its thickness, mm.
    pub thickness: f64,
    /// What was tried.
    pub trials: Trials,
    /// The rung of the snug notch.
    pub fits: Option<usize>,
    /// Readings of the plug, mm.
    pub plug: Vec<f64>,
    /// Readings of notch A, mm.
    pub slot: Vec<f64>,
    /// The rung of the best card.
    pub best_offset: Option<usize>,
    /// Readings over the tips of the tongues of the card with the profile's own offset, mm.
    pub over: Vec<f64>,
    /// Readings between the bottoms of its notches, mm.
    pub web: Vec<f64>,
    /// Of the pockets, mm, as many as were tried or none.
    pub depths: Vec<f64>,
    /// The rung of the best crease.
    pub best_crease: Option<usize>,
}

/// The form of a coupon, ready to be filled in.
pub fn form(coupon: &Coupon, profile: &Profile) -> String {
    let mut s = String::from(
        "# What came out of the coupon. Cut it, measure it as coupon.md says, write the figures in\n\
         # (take the # off where a line has one), leave the rest as it is, and run\n",
    );
    let _ = writeln!(s, "#   flapwright coupon --machine YOUR-PROFILE.toml --read {FILE_NAME}");
    let _ = writeln!(s, "# Lengths are mm. `tried` and `now` say what was cut: do not change them.\n");
    let _ = writeln!(s, "format = {FORMAT}\nmachine = {:?}\nstock = {:?}", profile.id, coupon.sheet.stock.word());
    let _ = writeln!(s, "thickness = {}", decimal(coupon.sheet.thickness.to_mm(), 4));
    let row = |values: &[f64]| values.iter().map(|v| decimal(*v, 4)).collect::<Vec<_>>().join(", ");
    let letters = |values: &[f64]| (0..values.len()).map(letter).map(String::from).collect::<Vec<_>>().join(", ");
    if let Some(k) = &coupon.trials.kerf {
        let _ = writeln!(s, "\n[kerf]");
        for (name, value) in [("now", k.now), ("plug_nominal", k.plug), ("slot_nominal", k.slot)] {
            let _ = writeln!(s, "{name} = {}", decimal(value, 4));
        }
        let _ = writeln!(s, "tried = [{}] # {}", row(&k.tried), letters(&k.tried));
        let _ = writeln!(s, "fits = \"\" # the letter of the tightest notch into which the plug slides by hand");
        let _ = writeln!(s, "plug = [] # or caliper readings of the plug's width, in three places");
        let _ = writeln!(s, "slot = [] # and of the width of notch A");
    }
    if let Some(o) = &coupon.trials.offset {
        let _ = writeln!(s, "\n[offset]");
        for (name, value) in [("now", o.now), ("radius", o.radius), ("over_nominal", o.over), ("web_nominal", o.web)] {
            let _ = writeln!(s, "{name} = {}", decimal(value, 4));
        }
        let _ = writeln!(s, "tried = [{}] # {}", row(&o.tried), letters(&o.tried));
        let own = o.own_card();
        let _ = writeln!(s, "best = \"\" # the letter of the card whose sides run straight out of its rounds");
        let _ =
            writeln!(s, "over = [] # or caliper readings of card {own} over the tips of its tongues, three of them");
        let _ = writeln!(s, "web = [] # and between the bottoms of its notches");
    }
    if let Some(l) = &coupon.trials.pocket {
        let _ = writeln!(s, "\n[pocket]\nby = {:?}", word(l.by));
        let _ = writeln!(s, "tried = [{}] # {}", row(&l.tried), letters(&l.tried));
        let _ = writeln!(s, "depths = [] # the depth measured in each, A first");
    }
    if let Some(l) = &coupon.trials.crease {
        let _ = writeln!(s, "\n[crease]\nby = {:?}", word(l.by));
        let _ = writeln!(s, "tried = [{}] # {}", row(&l.tried), letters(&l.tried));
        let _ = writeln!(s, "best = \"\" # the letter of the crease that folds straight and does not crack");
    }
    s
}

fn word(by: By) -> &'static str {
    match by {
        By::Depth => "depth",
        By::Passes => "passes",
    }
}

/// A form read back, all that is wrong with it told at once.
pub fn read(source: &Source) -> (Option<Measured>, Vec<Diagnostic>) {
    let (doc, mut said) = doc::read(&source.text, &TABLE, None);
    if any_error(&said) {
        return (None, in_place(said, &doc));
    }
    if doc.count("format") != Some(FORMAT) {
        said.push(
            Diagnostic::error("wrong-format", format!("this program reads forms of format = {FORMAT}")).at("format"),
        );
    }
    let mut r = Reader { doc: &doc, said };
    let measured = r.measured();
    let said = in_place(r.said, &doc);
    (measured.filter(|_| !any_error(&said)), said)
}

/// What was said of a form's keys, placed in its text.
pub fn placed(source: &Source, said: Vec<Diagnostic>) -> Vec<Diagnostic> {
    let (doc, _) = doc::read(&source.text, &TABLE, None);
    in_place(said, &doc)
}

/// Places written into the diagnostics, so that nothing else is needed to show them.
fn in_place(mut said: Vec<Diagnostic>, doc: &Document) -> Vec<Diagnostic> {
    shorten(&mut said);
    for d in &mut said {
        if let Some(crate::diag::Place::Key(key)) = &d.place {
            d.place = Some(crate::diag::Place::Span(doc.places.find(key).unwrap_or(0..0)));
        }
    }
    said
}

struct Reader<'a> {
    doc: &'a Document,
    said: Vec<Diagnostic>,
}

impl Reader<'_> {
    fn measured(&mut self) -> Option<Measured> {
        let stock = self.doc.text("stock").and_then(StockKind::of_word)?;
        let kerf = self.doc.has("kerf").then(|| self.kerf()).flatten();
        let offset = self.doc.has("offset").then(|| self.offset()).flatten();
        let pocket = self.doc.has("pocket").then(|| self.ladder("pocket")).flatten();
        let crease = self.doc.has("crease").then(|| self.ladder("crease")).flatten();
        let rungs = |tried: Option<usize>| tried.unwrap_or(0);
        let fits = self.rung("kerf.fits", rungs(kerf.as_ref().map(|k| k.tried.len())));
        let best_offset = self.rung("offset.best", rungs(offset.as_ref().map(|o| o.tried.len())));
        let best_crease = self.rung("crease.best", rungs(crease.as_ref().map(|l| l.tried.len())));
        let depths = self.readings("pocket.depths");
        let wanted = rungs(pocket.as_ref().map(|l| l.tried.len()));
        if !depths.is_empty() && depths.len() != wanted {
            let message = format!("{} depths are written for {wanted} pockets", depths.len());
            self.said.push(
                Diagnostic::error("pockets-missing", message).at("pocket.depths").help("write one for each, A first"),
            );
        }
        Some(Measured {
            machine: self.doc.text("machine")?.to_owned(),
            stock,
            thickness: self.mm("thickness")?,
            plug: self.readings("kerf.plug"),
            slot: self.readings("kerf.slot"),
            over: self.readings("offset.over"),
            web: self.readings("offset.web"),
            trials: Trials { kerf, offset, pocket, crease },
            fits,
            best_offset,
            depths,
            best_crease,
        })
    }

    fn kerf(&mut self) -> Option<Kerf> {
        Some(Kerf {
            now: self.mm("kerf.now")?,
            plug: self.mm("kerf.plug_nominal")?,
            slot: self.mm("kerf.slot_nominal")?,
            tried: self.readings("kerf.tried"),
        })
    }

    fn offset(&mut self) -> Option<Offset> {
        Some(Offset {
            now: self.mm("offset.now")?,
            radius: self.mm("offset.radius")?,
            over: self.mm("offset.over_nominal")?,
            web: self.mm("offset.web_nominal")?,
            tried: self.readings("offset.tried"),
        })
    }

    fn ladder(&mut self, table: &str) -> Option<Ladder> {
        let by = if self.doc.text(&format!("{table}.by"))? == "passes" { By::Passes } else { By::Depth };
        Some(Ladder { by, tried: self.doc.numbers(&format!("{table}.tried")) })
    }

    fn mm(&mut self, key: &str) -> Option<f64> {
        self.doc.length(key).and_then(|l| self.fixed(l, key))
    }

    fn readings(&mut self, key: &str) -> Vec<f64> {
        self.doc.lengths(key).into_iter().filter_map(|l| self.fixed(l, key)).collect()
    }

    /// A length in mm, not below nothing.
    fn fixed(&mut self, length: RawLength, key: &str) -> Option<f64> {
        match length {
            RawLength::Fixed(l) if l.to_mm() >= 0.0 && l.is_finite() => Some(l.to_mm()),
            _ => {
                let message = "a measured length is a number of mm from 0".to_owned();
                let hint = "write it as the caliper shows it: 10.02, or \"0.394 in\"";
                self.said.push(Diagnostic::error("not-a-reading", message).at(key).help(hint));
                None
            }
        }
    }

    /// The rung of a letter; nothing where none is written.
    fn rung(&mut self, key: &str, rungs: usize) -> Option<usize> {
        let text = self.doc.text(key)?.trim().to_ascii_uppercase();
        if text.is_empty() {
            return None;
        }
        let found = (0..rungs).find(|i| text == letter(*i).to_string());
        if found.is_none() {
            let message = format!("`{text}` is none of the letters on the coupon");
            let hint = format!("they go from A to {}", letter(rungs.saturating_sub(1)));
            self.said.push(Diagnostic::error("no-such-letter", message).at(key).help(hint));
        }
        found
    }
}
