//! The page as one file that needs no server: what was made, to be looked at.

use super::assets::{ASSETS, index, script};
use super::playback::Playback;
use crate::pipeline::File;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde::Serialize;
use serde_json::json;

/// What stands in the page for the style sheet, and for the module that it begins with.
const STYLE: &str = "<link rel=\"stylesheet\" href=\"assets/page.css\">";
const START: &str = "<script type=\"module\" src=\"assets/start.js\"></script>";
const GIVEN: &str = "<script type=\"application/json\" id=\"given\">null</script>";
/// The same for a page that stands alone: nothing but what is in it.
const POLICY: &str = "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; script-src 'unsafe-inline' data:; style-src 'unsafe-inline'; img-src data: blob:\">";

/// The single file: the page with its modules, the view, the programs and the names of the files beside it.
pub fn page_html(view: &impl Serialize, playbacks: &[Playback], files: &[File]) -> Result<Vec<u8>, String> {
    let names: Vec<_> = files.iter().map(|(name, bytes)| json!({"name": name, "size": bytes.len()})).collect();
    let given = serde_json::to_string(&Given { view, machines: playbacks, files: names }).map_err(|e| e.to_string())?;
    // Inside a script only what could end it, or begin a comment, has to be written otherwise.
    let given = given.replace('<', "\\u003c").replace('\u{2028}', "\\u2028").replace('\u{2029}', "\\u2029");
    let mut html = index().to_owned();
    if let Some(map) = script(index(), "type=\"importmap\"") {
        html = html.replacen(map, &imports(), 1);
    }
    let style = ASSETS.iter().find(|a| a.name == "page.css").map(|a| String::from_utf8_lossy(a.bytes));
    html = html.replacen(STYLE, &format!("<style>\n{}</style>", style.unwrap_or_default()), 1);
    html = html.replacen(START, "<script type=\"module\">import \"page/start.js\";</script>", 1);
    html = html.replacen("<meta charset=\"utf-8\">", &format!("<meta charset=\"utf-8\">\n{POLICY}"), 1);
    html = html.replacen(GIVEN, &format!("<script type=\"application/json\" id=\"given\">{given}</script>"), 1);
    Ok(html.into_bytes())
}

#[derive(Serialize)]
struct Given<'a, V: Serialize> {
    view: &'a V,
    machines: &'a [Playback],
    files: Vec<serde_json::Value>,
}

/// The import map with every module in it.
fn imports() -> String {
    let modules = ASSETS.iter().filter(|a| a.name.ends_with(".js"));
    let all: serde_json::Map<String, serde_json::Value> = modules
        .map(|a| {
            (format!("page/{}", a.name), format!("data:text/javascript;base64,{}", STANDARD.encode(a.bytes)).into())
        })
        .collect();
    json!({ "imports": all }).to_string()
}
