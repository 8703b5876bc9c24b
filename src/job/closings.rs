//! What holds a box shut besides a strap, as it is written: ribbon ties and magnets. Whether they have room
//! is the design's to say.

use super::Side;
use super::check::{Check, Sign};
use crate::diag::Diagnostic;
use crate::units::{Length, mm};
use std::collections::BTreeMap;

/// The film of glue under what lies in a recess (from memory).
const GLUE: Length = mm(0.1);

/// The ribbon ties of a lid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ties {
    /// The ribbon's width.
    pub width: Length,
    /// The ribbon's thickness.
    pub thickness: Length,
    /// How many ties along the free edge, each of two ribbons.
    pub count: u32,
    /// From the free edge to the middle of a slot.
    pub inset: Length,
    /// The pockets' length.
    pub tail: Length,
    /// Room in a slot beyond the ribbon.
    pub slot_ease: Length,
    /// How deep the pockets are.
    pub pocket_depth: Length,
    /// Where the fellow ribbons come out; `None` where it follows from the box.
    pub to: Option<TiedTo>,
    /// How far in their slots lie; `None` where it follows from where they are.
    pub to_inset: Option<Length>,
    /// What of each ribbon is free for the bow.
    pub bow: Length,
    /// The peg that stands for the bow.
    pub peg: Option<Peg>,
    /// What a metre of the ribbon costs, in the maker's currency.
    pub price: Option<f64>,
}

impl Ties {
    /// How many layers lie in a slot or pocket: one ribbon, or both ends of one that goes round a peg.
    pub const fn layers(&self) -> u32 {
        if self.peg.is_some() { 2 } else { 1 }
    }

    /// How thick they are, without glue.
    pub fn in_slot(&self) -> Length {
        self.thickness * f64::from(self.layers())
    }

    /// How far beside each other a ribbon and its fellow are: a peg lies in both, and they are beside each other.
    pub fn aside(&self) -> Length {
        if self.peg.is_some() { self.width + PEG_GAP } else { Length::ZERO }
    }
}

/// Between a ribbon that holds a peg and the loop beside it (our choice).
const PEG_GAP: Length = mm(2.0);
/// By how much a peg stands out of the ribbon at each end (our choice).
const PEG_TIP: Length = mm(5.0);

/// A peg that is pushed through a loop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Peg {
    /// How thick it is.
    pub diameter: Length,
    /// How long it is.
    pub length: Length,
    /// What one costs, in the maker's currency.
    pub price: Option<f64>,
}

/// Where the fellow of a lid's ribbon comes out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TiedTo {
    /// Of the wall across.
    Wall,
    /// Of the lid across.
    Lid,
    /// Of the base.
    Base,
}

/// The magnets of a lid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Magnets {
    /// A magnet's diameter.
    pub diameter: Length,
    /// A magnet's thickness.
    pub thickness: Length,
    /// How many along the free edge.
    pub count: u32,
    /// From the free edge to a magnet's middle.
    pub inset: Length,
    /// By how much a recess is wider than what lies in it.
    pub clearance: Length,
    /// How deep a magnet's recess is.
    pub depth: Length,
    /// The plates beneath, where they are no magnets.
    pub plate: Option<Plate>,
    /// What one magnet costs, in the maker's currency.
    pub price: Option<f64>,
}

/// A plate of steel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plate {
    /// Its diameter.
    pub diameter: Length,
    /// Its thickness.
    pub thickness: Length,
    /// How deep its recess is.
    pub depth: Length,
    /// What one costs, in the maker's currency.
    pub price: Option<f64>,
}

impl Check<'_> {
    /// `[ties.SIDE]`, those that are right by themselves; none where a box is not built for them.
    pub(super) fn ties(&mut self, takes_closings: bool) -> BTreeMap<Side, Ties> {
        let sides = self.closed_sides("ties", takes_closings);
        sides.into_iter().filter_map(|side| Some((side, self.tie(side)?))).collect()
    }

    /// `[magnets.SIDE]`, likewise.
    pub(super) fn magnets(&mut self, takes_closings: bool) -> BTreeMap<Side, Magnets> {
        let sides = self.closed_sides("magnets", takes_closings);
        sides.into_iter().filter_map(|side| Some((side, self.magnet(side)?))).collect()
    }

    /// The sides for which a table of this name is written, and that have a lid.
    fn closed_sides(&mut self, table: &str, takes_closings: bool) -> Vec<Side> {
        let what = if table == "ties" { "ribbon ties" } else { "magnets" };
        let terms = self.construction().map(super::Construction::terms);
        // Ties of a portfolio are those of its front cover, whatever lids its wrapper has.
        let is_of_cover = table == "ties" && terms.is_some_and(super::Terms::holds_wrapper);
        let mut sides = Vec::new();
        for side in Side::ALL {
            let key = format!("{table}.{}", side.word());
            if !self.doc.is_written(&key) {
                continue;
            }
            if !takes_closings {
                let d = Diagnostic::error("no-closings-here", format!("a box of this construction takes no {what}"));
                self.push(
                    d.at(key).help("take the table out, or build of hinged boards; [strap] closes folding board"),
                );
            } else if is_of_cover && side == Side::Left {
                sides.push(side);
            } else if is_of_cover {
                let message =
                    format!("the front cover hangs at the left: there is nothing to tie at the {}", side.word());
                let d = Diagnostic::error("closes-no-lid", message).at(key);
                self.push(d.help("write [ties.left]: its ribbons come out at the fore-edge"));
            } else if !self.doc.is_written(&format!("flap.{}", side.word())) {
                let d = Diagnostic::error("closes-no-lid", format!("there is no {} lid for {what}", side.word()));
                self.push(d.at(key).help(format!("add [flap.{}], or name the side of a lid", side.word())));
            } else {
                sides.push(side);
            }
        }
        sides
    }

    fn tie(&mut self, side: Side) -> Option<Ties> {
        let key = |k: &str| format!("ties.{}.{k}", side.word());
        let width = self.length(&key("width"), Sign::Positive);
        let thickness = self.length(&key("thickness"), Sign::Positive);
        let count = self.along_edge(&key("count"), 4, "ties");
        let inset = self.length(&key("inset"), Sign::Positive);
        let tail = self.length(&key("tail"), Sign::Positive);
        let slot_ease = self.length(&key("slot_ease"), Sign::NotNegative);
        let pocket_depth = match self.length_or_word(&key("pocket_depth"), Sign::Positive) {
            Some(None) => self.t.map(|t| t / 2.0),
            Some(given) => given,
            None => None,
        };
        let to = self.doc.text(&key("to")).map(|word| match word {
            "wall" => Some(TiedTo::Wall),
            "lid" => Some(TiedTo::Lid),
            "base" => Some(TiedTo::Base),
            _ => None,
        });
        let to_inset = self.length_or_word(&key("to_inset"), Sign::Positive);
        let bow = self.length(&key("bow"), Sign::Positive);
        let price = self.price(&key("price"));
        let peg = self.peg(&key, width);
        Some(Ties {
            width: width?,
            thickness: thickness?,
            count: count?,
            inset: inset?,
            tail: tail?,
            slot_ease: slot_ease?,
            pocket_depth: pocket_depth?,
            to: to?,
            to_inset: to_inset?,
            bow: bow?,
            peg: peg?,
            price: price?,
        })
    }

    /// The peg of a tie; inside `Some`, `None` where it is tied in a bow.
    fn peg(&mut self, key: &dyn Fn(&str) -> String, width: Option<Length>) -> Option<Option<Peg>> {
        let is_peg = self.doc.text(&key("fasten")).map(|word| word == "peg");
        let diameter = self.length(&key("peg_diameter"), Sign::Positive);
        let length = self.length_or_word(&key("peg_length"), Sign::Positive);
        let price = self.price(&key("peg_price"));
        let is_peg = is_peg?;
        let (of_the_other, what, hint): (&[&str], _, _) = if is_peg {
            let what = "a bow's measure is given, and a peg holds the ribbons";
            (&["bow"], what, "take it out, or write `fasten = \"bow\"`")
        } else {
            let what = "a peg's measure is given, and the ribbons are tied in a bow";
            (&["peg_diameter", "peg_length", "peg_price"], what, "write `fasten = \"peg\"`, or take it out")
        };
        for written in of_the_other.iter().map(|k| key(k)) {
            if self.doc.is_written(&written) {
                self.push(Diagnostic::error("not-this-shape", what).at(written).help(hint));
            }
        }
        if !is_peg {
            return Some(None);
        }
        let (diameter, length, width, price) = (diameter?, length?, width?, price?);
        let least = width * 2.0 + PEG_GAP + PEG_TIP * 2.0;
        let length = length.unwrap_or(least);
        if length < least {
            let message = format!("a peg {} long does not lie in two ribbons of {}", self.say(length), self.say(width));
            let hint = format!("make it {} or longer, leave it \"auto\", or take a narrower ribbon", self.say(least));
            self.push(Diagnostic::error("peg-short", message).at(key("peg_length")).help(hint));
            return None;
        }
        Some(Some(Peg { diameter, length, price }))
    }

    fn magnet(&mut self, side: Side) -> Option<Magnets> {
        let key = |k: &str| format!("magnets.{}.{k}", side.word());
        let diameter = self.length(&key("diameter"), Sign::Positive);
        let thickness = self.length(&key("thickness"), Sign::Positive);
        let count = self.along_edge(&key("count"), 8, "magnets");
        let inset = self.length(&key("inset"), Sign::Positive);
        let clearance = self.length(&key("clearance"), Sign::NotNegative);
        let depth = self.length_or_word(&key("depth"), Sign::Positive);
        let plate_diameter = self.length_or_word(&key("plate_diameter"), Sign::Positive);
        let plate_thickness = self.length(&key("plate_thickness"), Sign::Positive);
        let (price, plate_price) = (self.price(&key("price")), self.price(&key("plate_price")));
        let is_steel = self.doc.text(&key("counterpart")).map(|word| word == "steel");
        if is_steel == Some(false) {
            for of_plate in ["plate_diameter", "plate_thickness", "plate_price"].map(key) {
                if self.doc.is_written(&of_plate) {
                    let d = Diagnostic::error("not-this-shape", "a plate's measure is given, and there is no plate");
                    self.push(d.at(of_plate).help("write `counterpart = \"steel\"`, or take it out"));
                }
            }
        }
        let (diameter, thickness, plate_thickness) = (diameter?, thickness?, plate_thickness?);
        let plate = Plate {
            diameter: plate_diameter?.unwrap_or(diameter),
            thickness: plate_thickness,
            depth: plate_thickness + GLUE,
            price: plate_price?,
        };
        let depth = depth?.unwrap_or(thickness + GLUE);
        if depth < thickness {
            let message =
                format!("a recess {} deep does not take a magnet of {}", self.say(depth), self.say(thickness));
            let d = Diagnostic::error("magnet-proud", message).at(key("depth"));
            self.push(d.help(format!("{} takes it with its glue: leave it \"auto\"", self.say(thickness + GLUE))));
            return None;
        }
        Some(Magnets {
            diameter,
            thickness,
            count: count?,
            inset: inset?,
            clearance: clearance?,
            depth,
            plate: is_steel?.then_some(plate),
            price: price?,
        })
    }

    /// How many there are along a free edge.
    fn along_edge(&mut self, key: &str, most: u32, what: &str) -> Option<u32> {
        let n = self.doc.count(key)?;
        let count = u32::try_from(n).ok().filter(|n| (1..=most).contains(n));
        if count.is_none() {
            let d = Diagnostic::error("closing-count", format!("{n} {what} along a free edge")).at(key);
            self.push(d.help(format!("1 to {most}")));
        }
        count
    }
}
