//! What a manifest says of ribbon ties and magnets.

use serde::Deserialize;

/// The ribbon ties of a lid.
#[derive(Clone, Debug, Deserialize)]
pub struct Tied {
    /// The lid's side.
    pub side: String,
    /// Where the fellow ribbons come out: `wall`, `lid` or `base`.
    pub to: String,
    /// How many ribbons.
    pub ribbons: u32,
    /// Their width.
    pub width: f64,
    /// From slot to slot.
    pub way: f64,
    /// What each is cut to.
    pub length: f64,
    /// What stands for a bow.
    pub pegs: Option<Pegs>,
}

/// The pegs of a lid's ties.
#[derive(Clone, Debug, Deserialize)]
pub struct Pegs {
    /// How many, and as many loops.
    pub count: u32,
    /// How thick one is.
    pub diameter: f64,
    /// How long one is.
    pub length: f64,
    /// How far from its slot a peg lies.
    pub loop_way: f64,
    /// What each loop is cut to.
    pub loop_length: f64,
}

/// The magnets of a lid.
#[derive(Clone, Debug, Deserialize)]
pub struct Magnets {
    /// The lid's side.
    pub side: String,
    /// How many lie in the lid.
    pub count: u32,
    /// How many magnets there are in all.
    pub magnets: u32,
    /// How many plates of steel.
    pub plates: u32,
    /// From face to face of a pair.
    pub gap: f64,
    /// What that is made of.
    pub layers: Vec<GapLayer>,
}

/// What lies between two magnets.
#[derive(Clone, Debug, Deserialize)]
pub struct GapLayer {
    /// How thick it is.
    pub thickness: f64,
}
