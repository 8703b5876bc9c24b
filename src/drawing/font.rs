//! The two faces of every page: DejaVu Sans Condensed, upright and bold, of a free licence and
//! embedded as far as a page uses them. Widths are read from the faces' own tables, so that what is
//! placed here is what a reader shows.

#[cfg(feature = "pdf")]
use krilla::text::{Font, GlyphId, KrillaGlyph};
use skrifa::instance::{LocationRef, Size};
use skrifa::metrics::GlyphMetrics;
use skrifa::{FontRef, MetadataProvider};

/// How heavy letters are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// As in running text.
    Regular,
    /// Of titles.
    Bold,
}

/// Above and below the baseline, in sizes, that letters take at most here (a capital's accent aside).
pub(super) const ASCENT: f64 = 0.78;
pub(super) const DESCENT: f64 = 0.24;

/// A face's tables.
struct Face {
    #[cfg(feature = "pdf")]
    data: &'static [u8],
    font: FontRef<'static>,
    metrics: GlyphMetrics<'static>,
    per_em: f64,
}

/// The faces; `None` for one that cannot be read (it is part of the program, so it can).
pub struct Faces {
    regular: Option<Face>,
    bold: Option<Face>,
}

impl Default for Faces {
    fn default() -> Self {
        Self::new()
    }
}

impl Faces {
    /// Both faces.
    pub fn new() -> Self {
        Self { regular: face(dejavu::sans_condensed::regular()), bold: face(dejavu::sans_condensed::bold()) }
    }

    /// The letters of a text that the faces have not got, each once: where they stand a reader sees an empty box.
    pub fn lacks(&self, text: &str) -> Vec<char> {
        let has = |face: &Option<Face>, c: char| face.as_ref().is_some_and(|f| f.advance(c).0 != 0);
        let mut lacking = Vec::new();
        for c in text.chars().filter(|c| !c.is_control()) {
            let is_there = has(&self.regular, c) && has(&self.bold, c);
            if !is_there && !lacking.contains(&c) {
                lacking.push(c);
            }
        }
        lacking
    }

    fn of(&self, weight: Weight) -> Option<&Face> {
        match weight {
            Weight::Regular => self.regular.as_ref(),
            Weight::Bold => self.bold.as_ref(),
        }
    }

    /// How long `text` runs at `size` mm, mm.
    pub fn width(&self, text: &str, size: f64, weight: Weight) -> f64 {
        let Some(face) = self.of(weight) else { return 0.0 };
        text.chars().map(|c| face.advance(c).1).sum::<f64>() * size
    }

    /// The text's glyphs, advances in ems.
    #[cfg(feature = "pdf")]
    pub(super) fn glyphs(&self, text: &str, weight: Weight) -> Vec<KrillaGlyph> {
        let Some(face) = self.of(weight) else { return Vec::new() };
        text.char_indices()
            .map(|(i, c)| {
                let (id, advance) = face.advance(c);
                KrillaGlyph::new(GlyphId::new(id), advance as f32, 0.0, 0.0, 0.0, i..i + c.len_utf8(), None)
            })
            .collect()
    }

    /// The face as the PDF library takes it.
    #[cfg(feature = "pdf")]
    pub(super) fn embedded(&self, weight: Weight) -> Option<Font> {
        Font::new(self.of(weight)?.data.into(), 0)
    }
}

fn face(data: &'static [u8]) -> Option<Face> {
    let font = FontRef::new(data).ok()?;
    let size = Size::unscaled();
    let metrics = font.glyph_metrics(size, LocationRef::default());
    let per_em = f64::from(font.metrics(size, LocationRef::default()).units_per_em);
    Some(Face {
        #[cfg(feature = "pdf")]
        data,
        font,
        metrics,
        per_em,
    })
}

impl Face {
    /// A letter's number in the face, and how far it takes the text on, in ems.
    fn advance(&self, c: char) -> (u32, f64) {
        let id = self.font.charmap().map(c).unwrap_or_default();
        let advance = f64::from(self.metrics.advance_width(id).unwrap_or_default()) / self.per_em;
        (id.to_u32(), advance)
    }
}
