//! What the page is made of, in the program itself.

/// A file of the page.
#[derive(Clone, Copy, Debug)]
pub struct Asset {
    /// Its name.
    pub name: &'static str,
    /// Its type, as a browser is told it.
    pub kind: &'static str,
    /// Its bytes.
    pub bytes: &'static [u8],
}

macro_rules! assets {
    ($($name:literal: $kind:literal),* $(,)?) => {
        &[$(Asset { name: $name, kind: $kind, bytes: include_bytes!(concat!("assets/", $name)) }),*]
    };
}

/// The page itself, then what it asks for by name. A module more is a line more.
pub const ASSETS: &[Asset] = assets![
    "index.html": "text/html; charset=utf-8",
    "page.css": "text/css; charset=utf-8",
    "box.js": "text/javascript; charset=utf-8",
    "coupon.js": "text/javascript; charset=utf-8",
    "dom.js": "text/javascript; charset=utf-8",
    "drawing.js": "text/javascript; charset=utf-8",
    "field.js": "text/javascript; charset=utf-8",
    "files.js": "text/javascript; charset=utf-8",
    "findings.js": "text/javascript; charset=utf-8",
    "form.js": "text/javascript; charset=utf-8",
    "given.js": "text/javascript; charset=utf-8",
    "icons.js": "text/javascript; charset=utf-8",
    "link.js": "text/javascript; charset=utf-8",
    "machines.js": "text/javascript; charset=utf-8",
    "picture.js": "text/javascript; charset=utf-8",
    "playback.js": "text/javascript; charset=utf-8",
    "project.js": "text/javascript; charset=utf-8",
    "shader.js": "text/javascript; charset=utf-8",
    "sheets.js": "text/javascript; charset=utf-8",
    "space.js": "text/javascript; charset=utf-8",
    "start.js": "text/javascript; charset=utf-8",
    "store.js": "text/javascript; charset=utf-8",
    "tools.js": "text/javascript; charset=utf-8",
];

/// The page's text.
pub fn index() -> &'static str {
    ASSETS.first().and_then(|a| std::str::from_utf8(a.bytes).ok()).unwrap_or_default()
}

/// What stands between the tags of the first script of a type.
pub(crate) fn script<'t>(html: &'t str, mark: &str) -> Option<&'t str> {
    let tag = html.find(mark)?;
    let from = tag + html.get(tag..)?.find('>')? + 1;
    let to = from + html.get(from..)?.find("</script")?;
    html.get(from..to)
}

/// The content of the import map, which the page's policy has to allow by its hash.
pub fn import_map() -> &'static str {
    script(index(), "type=\"importmap\"").unwrap_or_default()
}
