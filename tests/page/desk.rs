//! The job on the desk: edits, their history, units, and two windows at one desk.

use super::visitor::{Server, folder};
use flapwright::{Source, read_job};
use serde_json::{Value, json};
use std::fs;

fn text(view: &Value) -> String {
    view["text"].as_str().unwrap().to_owned()
}

#[test]
fn edits_keep_comments_and_can_be_taken_back() {
    let folder = folder("edits");
    let server = Server::start(&folder, Some("tideline-folio.toml"));
    let first = server.view();
    let before = text(&first);
    assert_eq!(
        (before.as_str(), &first["saved"]),
        (fs::read_to_string(folder.join("tideline-folio.toml")).unwrap().as_str(), &json!(true))
    );
    let view = server.set("contents.depth", "12.5; 13");
    assert_eq!(text(&view), before.replace("depth = [11.5, 12.0, 11.8]", "depth = [12.5, 13]"));
    assert_eq!((&view["saved"], &view["canUndo"], &view["revision"]), (&json!(false), &json!(true), &json!(2)));
    assert_eq!(view["values"]["contents.depth"], json!({"text": "12.5 mm; 13 mm", "given": true}));
    let view = server.change(
        "api/edit",
        &json!({"edits": [{"key": "board.price", "value": null}, {"key": "strap", "remove": true}]}),
    );
    let comments =
        |text: &str| text.lines().filter(|l| l.trim_start().starts_with('#')).map(str::to_owned).collect::<Vec<_>>();
    let kept = comments(&text(&view));
    assert!(!text(&view).contains("price = 4.80") && !text(&view).contains("[strap]"));
    assert!(comments(&before).len() - kept.len() <= 3, "{kept:?}");
    let view = server.change("api/undo", &json!({}));
    let view2 = server.change("api/undo", &json!({}));
    assert!(text(&view).contains("[strap]"));
    assert_eq!((text(&view2), &view2["saved"], &view2["canRedo"]), (before.clone(), &json!(true), &json!(true)));
    assert_eq!(text(&server.change("api/redo", &json!({}))), text(&view));
    // A wrong value stays as it was typed, and is told at its key.
    let view = server.set("board.thickness", "thick");
    assert_eq!(view["values"]["board.thickness"]["text"], "thick");
    assert!(
        view["findings"].as_array().unwrap().iter().any(|f| f["key"] == "board.thickness" && f["severity"] == "error")
    );
    let view = server.set("board.thickness", "2.5");
    assert!(view["scene"]["bodies"].as_array().unwrap().len() > 20);
    let places = view["scene"]["places"].as_array().unwrap();
    assert_eq!((places.len(), places[0].as_array().unwrap().len()), (61, 9 * 12));
}

#[test]
fn a_mend_mends() {
    let server = Server::start(&folder("mends"), Some("tideline-folio.toml"));
    let view = server.set("box.joint", "2 mm");
    let clash = view["findings"].as_array().unwrap().iter().find(|f| f["code"] == "joint-clash").unwrap().clone();
    assert!(view["scene"]["faults"].as_array().unwrap().iter().any(|f| f["code"] == "joint-clash"));
    let view = server.change("api/edit", &json!({ "edits": clash["mend"]["edits"] }));
    assert!(!view["findings"].as_array().unwrap().iter().any(|f| f["severity"] == "error"), "{}", view["findings"]);
}

#[test]
fn a_change_of_unit_changes_no_length() {
    let folder = folder("units");
    for name in
        ["tideline-folio", "rockpool-folder", "dulse-atlas", "limpet-wrapper", "cockle-portfolio", "sandpiper-case"]
    {
        let server = Server::start(&folder, Some(&format!("{name}.toml")));
        let before = server.view();
        let other = if before["unit"] == "in" { "mm" } else { "in" };
        let after = server.change("api/unit", &json!({ "unit": other }));
        assert_eq!(after["unit"], other);
        let job = |view: &Value| read_job(&Source { name: "a".into(), text: text(view) }).0.unwrap();
        let (mut a, mut b) = (job(&before), job(&after));
        b.units = a.units;
        b.places = a.places.clone();
        // To a nanometre: the last bit of a number may be rounded otherwise.
        let shown = |job: &mut flapwright::Job| {
            let shown = format!("{job:?}");
            let mut out = String::new();
            for part in shown.split_inclusive(|c: char| !(c.is_ascii_digit() || c == '.')) {
                let number = part.trim_end_matches(|c: char| !(c.is_ascii_digit() || c == '.'));
                match number.parse::<f64>() {
                    Ok(n) => out.push_str(&format!("{n:.6}{}", &part[number.len()..])),
                    Err(_) => out.push_str(part),
                }
            }
            out
        };
        assert_eq!(shown(&mut a), shown(&mut b), "{name}");
        let back = server.change("api/unit", &json!({ "unit": before["unit"] }));
        assert_eq!(text(&back), text(&before), "{name}");
    }
}

#[test]
fn two_windows_lose_nothing_of_each_other() {
    let server = Server::start(&folder("windows"), Some("tideline-folio.toml"));
    let edits: Vec<(String, String)> = (0..12)
        .map(|i| {
            let key = ["contents.width", "contents.height", "title", "flap.left.reach", "covering.reveal", "making.by"]
                [i % 6];
            let value = match key {
                "title" => format!("Folio {i}"),
                "making.by" => ["hand", "machine"][i / 6].into(),
                "flap.left.reach" => format!("{} %", 80 + i),
                "covering.reveal" => "5".into(),
                _ => format!("{}", 200 + i),
            };
            (key.to_owned(), value)
        })
        .collect();
    let (one, two) = edits.split_at(6);
    std::thread::scope(|s| {
        for window in [one, two] {
            let server = &server;
            s.spawn(move || {
                for (key, value) in window {
                    // The answer has what was typed, whatever the other window did meanwhile.
                    let view = server.set(key, value);
                    assert!(view["revision"].as_u64().unwrap() > 1);
                }
            });
        }
    });
    let view = server.view();
    for key in ["contents.width", "contents.height", "title", "flap.left.reach", "making.by"] {
        let typed: Vec<&str> = edits.iter().filter(|e| e.0 == key).map(|e| e.1.as_str()).collect();
        let is = view["values"][key]["text"].as_str().unwrap().trim_end_matches(" mm");
        assert!(typed.contains(&is), "{key}: {is} of {typed:?}");
    }
}
