//! What a manifest says of what lies inside.

use serde::Deserialize;

/// What lies inside besides one stack.
#[derive(Clone, Debug, Deserialize)]
pub struct Inside {
    /// Width, height and depth of each stack.
    pub stacks: Vec<[f64; 3]>,
    /// The room given to each.
    pub clearance: [f64; 3],
    /// Which way they lie in a row.
    pub along: Option<String>,
    /// How high the highest stands.
    pub highest: f64,
    /// Every block.
    pub things: Vec<Thing>,
    /// What is left of the height that spacers bring each stack to.
    pub remainders: Vec<f64>,
    /// Padding that is cut from no stock.
    pub padding: Vec<Padding>,
    /// The ribbon to lift a stack by.
    pub ribbon: Option<LiftRibbon>,
    /// The leaf with the colophon.
    #[serde(default)]
    pub colophon: Option<Leaf>,
}

/// The leaf with the colophon.
#[derive(Clone, Debug, Deserialize)]
pub struct Leaf {
    /// The piece that is cut for it.
    pub piece: String,
    /// What holds it: `corners` or `inset`.
    pub held: String,
    /// Its width.
    pub width: f64,
    /// Its height.
    pub height: f64,
    /// Its thickness.
    pub thickness: f64,
    /// How far a corner is tucked in.
    pub corner: Option<f64>,
    /// The room that it has.
    pub ease: f64,
}

/// A block inside.
#[derive(Clone, Debug, Deserialize)]
pub struct Thing {
    /// What it is.
    pub kind: String,
    /// Of which stack, from 1.
    pub stack: usize,
    /// The piece that it is made of.
    pub piece: Option<String>,
    /// How many of that piece.
    pub layers: u32,
    /// Its low corner.
    pub low: [f64; 3],
    /// Its high corner.
    pub high: [f64; 3],
}

/// A sheet of padding.
#[derive(Clone, Debug, Deserialize)]
pub struct Padding {
    /// What it is, and where it lies.
    pub what: String,
    /// Its width.
    pub width: f64,
    /// Its height.
    pub height: f64,
    /// Its thickness.
    pub thickness: f64,
}

/// The ribbon under a stack.
#[derive(Clone, Debug, Deserialize)]
pub struct LiftRibbon {
    /// Under which stack, from 1.
    pub stack: usize,
    /// At which side of it its end is glued.
    pub glued_at: String,
    /// Its width.
    pub width: f64,
    /// Its thickness.
    pub thickness: f64,
    /// The tail that is glued.
    pub glued: f64,
    /// The tail to pull at.
    pub pull: f64,
    /// What it is cut to.
    pub length: f64,
}
