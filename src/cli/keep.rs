//! Which kinds of files the lots of a list keep.

use super::Failure;
use super::args::{DrawnArgs, DxfChoice};
use super::choices::KeptKind;

/// Those that a list keeps.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Keep {
    pub(crate) dxf: bool,
    pub(crate) svg: bool,
    pub(crate) pictures: bool,
    pub(crate) items: bool,
    pub(crate) pieces: bool,
    /// Whether drawings and pictures are compressed.
    pub(crate) is_packed: bool,
}

impl Keep {
    /// What the words say, together with how sheets are to be drawn.
    pub(crate) fn new(words: &[KeptKind], drawn: &DrawnArgs, is_packed: bool) -> Result<Self, Failure> {
        let has = |kind| words.contains(&kind);
        if words.is_empty() {
            return Ok(Self { dxf: true, svg: drawn.svg, pictures: true, items: true, pieces: true, is_packed });
        }
        let asked = [
            (drawn.svg && !has(KeptKind::Svg), "--svg asks for drawings as SVG", "svg"),
            (drawn.dxf != DxfChoice::R2000 && !has(KeptKind::Dxf), "--dxf says how drawings as DXF are written", "dxf"),
        ];
        if let Some((_, asks, word)) = asked.into_iter().find(|(is_wrong, ..)| *is_wrong) {
            let message = format!("{asks}, and --keep leaves them out");
            return Err(Failure::usage(message, format!("add {word} to --keep, or leave the other option out")));
        }
        Ok(Self {
            dxf: has(KeptKind::Dxf),
            svg: has(KeptKind::Svg),
            pictures: has(KeptKind::Pictures),
            items: has(KeptKind::Items),
            pieces: has(KeptKind::Pieces),
            is_packed,
        })
    }

    /// The words of what is usual and is not kept, as the manifest has them.
    pub(crate) fn left_out(self) -> Vec<&'static str> {
        let all = [("dxf", self.dxf), ("pictures", self.pictures), ("items", self.items), ("pieces", self.pieces)];
        all.into_iter().filter(|(_, is_kept)| !is_kept).map(|(word, _)| word).collect()
    }
}
