//! A picture as pixels, for a phone or a message: an SVG of ours, its text set in a font that the
//! program carries, so that it looks alike on every machine.

use resvg::{tiny_skia, usvg};
use std::sync::Arc;

/// The longest side of the image, pixels: fills a large screen, and prints at 200 to the inch on A4.
const LONGEST: f32 = 2200.0;

/// The SVG as a PNG, its longer side 2200 pixels.
///
/// Fails with a reason where the text is no SVG or has no size.
pub fn png(svg: &[u8]) -> Result<Vec<u8>, String> {
    let mut fonts = usvg::fontdb::Database::new();
    fonts.load_font_data(dejavu::sans_condensed::regular().to_vec());
    let options = usvg::Options {
        fontdb: Arc::new(fonts),
        font_family: "DejaVu Sans Condensed".into(),
        ..usvg::Options::default()
    };
    let tree = usvg::Tree::from_data(svg, &options).map_err(|e| e.to_string())?;
    let size = tree.size();
    let scale = LONGEST / size.width().max(size.height());
    let pixels = |length: f32| (length * scale).round().max(1.0) as u32;
    let mut image =
        tiny_skia::Pixmap::new(pixels(size.width()), pixels(size.height())).ok_or("a picture of no size")?;
    resvg::render(&tree, tiny_skia::Transform::from_scale(scale, scale), &mut image.as_mut());
    image.encode_png().map_err(|e| e.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_and_lines_are_drawn() {
        let svg = |inside: &str| {
            format!(
                "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"100mm\" height=\"50mm\" viewBox=\"0 0 100 50\">{inside}</svg>"
            )
        };
        let drawn = |inside: &str| {
            let png = png(svg(inside).as_bytes()).unwrap_or_else(|e| panic!("{e}"));
            let image = tiny_skia::Pixmap::decode_png(&png).unwrap_or_else(|e| panic!("{e}"));
            assert_eq!((image.width(), image.height()), (2200, 1100));
            image.pixels().iter().filter(|p| p.alpha() > 200).count() as f64 / f64::from(2200 * 1100)
        };
        assert!(drawn("") < 1e-9);
        // A quarter of the page.
        assert!((drawn("<rect width=\"50\" height=\"25\"/>") - 0.25).abs() < 0.001);
        // Six capitals 0.73 high of 0.06 to 0.15 strokes (the font's own) ink about a seventh of their box.
        let text = drawn("<text x=\"5\" y=\"40\" font-size=\"20\" font-family=\"DejaVu Sans, Verdana\">BOARDS</text>");
        assert!(text > 0.03 && text < 0.15, "{text}");
        assert!(png(b"no picture").is_err());
    }
}
