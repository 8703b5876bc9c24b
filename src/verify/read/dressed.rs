//! What a manifest says of the layers and hinges that its box is folded from.

use serde::Deserialize;

/// What a box is folded from, as far as it can be held against the pieces.
#[derive(Clone, Debug, Deserialize)]
pub struct Dressed {
    /// The thickness of the board.
    pub board: f64,
    /// The thickness of the paper of its sides; none where it has none.
    #[serde(default)]
    pub paper: Option<f64>,
    /// The boards where they lie.
    pub panels: Vec<Panel>,
    /// What joins them.
    pub hinges: Vec<Hinge>,
    /// What a joint swallows of what is pressed into it.
    #[serde(default)]
    pub take_up: f64,
    /// The strips of cloth that line the joints.
    #[serde(default)]
    pub strips: Vec<Strip>,
    /// The linings whose edges are folded under.
    #[serde(default)]
    pub linings: Vec<Lining>,
}

/// A lining whose edges are folded under.
#[derive(Clone, Debug, Deserialize)]
pub struct Lining {
    /// The piece that it is.
    pub piece: String,
    /// Its edge as it lies.
    pub outline: Vec<Vertex>,
    /// How far its edges are folded under.
    pub folded: f64,
}

/// A strip of cloth that lines joints.
#[derive(Clone, Debug, Deserialize)]
pub struct Strip {
    /// The piece that it is.
    pub piece: String,
    /// Its edge where it lies.
    pub outline: Vec<Vertex>,
    /// How many joints it lines.
    pub joints: u32,
}

/// A board where it lies.
#[derive(Clone, Debug, Deserialize)]
pub struct Panel {
    /// The piece that it is.
    pub piece: String,
    /// Its edge.
    pub outline: Vec<Vertex>,
}

/// What joins two boards.
#[derive(Clone, Debug, Deserialize)]
pub struct Hinge {
    /// `joint` or `crease`.
    pub kind: String,
    /// The board that hangs on it, by its number.
    pub child: usize,
    /// How wide it is.
    pub width: f64,
}

/// `[x, y, bulge]`.
pub type Vertex = [f64; 3];
