//! How the pieces of a sheet are to be parted.

/// How the pieces of a sheet are parted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Division {
    /// Along their outlines, as close as these lie.
    #[default]
    Outlines,
    /// By cuts from edge to edge, as a straight edge makes them.
    StraightCuts,
}

impl Division {
    /// Its word in a job.
    pub fn word(self) -> &'static str {
        match self {
            Self::Outlines => "outlines",
            Self::StraightCuts => "straight-cuts",
        }
    }
}
