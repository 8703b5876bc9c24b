//! What is saved, and what is there again after a kill.

use super::visitor::{Server, folder};
use serde_json::json;
use std::fs;

#[test]
fn a_killed_server_loses_nothing() {
    let folder = folder("killed");
    let server = Server::start(&folder, Some("tideline-folio.toml"));
    server.set("title", "First");
    let view = server.set("title", "Second");
    server.change("api/machine/shared-laser-cutter/edit", &json!({"edits": [{"key": "tool.0.kerf", "value": "0.21"}]}));
    server.kill();
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let mut files = fs::read_dir(folder.join("state/flapwright")).unwrap().flatten();
        assert!(files.all(|f| f.metadata().unwrap().permissions().mode() & 0o077 == 0));
    }
    // On the same job, and with none.
    for job in [Some("tideline-folio.toml"), None] {
        let server = Server::start(&folder, job);
        let again = server.view();
        assert_eq!(
            (&again["text"], &again["saved"], &again["name"]),
            (&view["text"], &json!(false), &json!("tideline-folio.toml"))
        );
        assert!(again["draft"].is_string());
        assert_eq!(server.get("api/machine/shared-laser-cutter-own").status, 200);
        server.kill();
    }
    // Another job is not bothered with it.
    let server = Server::start(&folder, Some("rockpool-folder.toml"));
    assert_eq!((&server.view()["draft"], &server.view()["saved"]), (&json!(null), &json!(true)));
    server.kill();
    // Two programs on one job: the second begins with the file and writes a draft of its own.
    let one = Server::start(&folder, Some("tideline-folio.toml"));
    let two = Server::start(&folder, Some("tideline-folio.toml"));
    assert_eq!(
        (&one.view()["values"]["title"]["text"], &two.view()["values"]["title"]["text"]),
        (&json!("Second"), &json!("Tideline folio"))
    );
    two.set("title", "Third");
    // Steps back lead to the file.
    one.change("api/undo", &json!({}));
    let back = one.change("api/undo", &json!({}));
    assert_eq!(back["saved"], true);
    one.kill();
    two.kill();
    let last = Server::start(&folder, Some("tideline-folio.toml"));
    assert_eq!(last.view()["values"]["title"]["text"], "Third");
}

#[test]
fn a_job_is_saved_to_its_own_file_or_where_none_is() {
    let folder = folder("saved");
    let server = Server::start(&folder, Some("tideline-folio.toml"));
    let on_disk = |name: &str| fs::read_to_string(folder.join(name)).unwrap();
    let view = server.set("title", "Saved");
    let view2 = server.change("api/save", &json!({"name": null}));
    assert_eq!(
        (&view2["saved"], view2["text"].as_str()),
        (&json!(true), Some(on_disk("tideline-folio.toml").as_str()))
    );
    assert_eq!(view["text"], view2["text"]);
    assert!(
        !fs::read_dir(folder.join("state/flapwright"))
            .unwrap()
            .flatten()
            .any(|f| f.file_name().to_string_lossy().ends_with("json"))
    );
    // Changed by another program meanwhile: it is not written over.
    server.set("title", "Again");
    fs::write(folder.join("tideline-folio.toml"), "title = \"By another\"\n").unwrap();
    let refused = server.post("api/save", &json!({}));
    assert_eq!(refused.status, 409);
    assert!(refused.json()["error"].as_str().unwrap().contains("another program"));
    assert_eq!(on_disk("tideline-folio.toml"), "title = \"By another\"\n");
    server.change("api/save", &json!({"replace": true}));
    assert!(on_disk("tideline-folio.toml").contains("\"Again\""));
    // A new one gets a name, once.
    server.change("api/new", &json!({}));
    assert_eq!(server.post("api/save", &json!({"name": null})).status, 409);
    assert_eq!(server.post("api/save", &json!({"name": "rockpool-folder.toml"})).status, 409);
    assert_eq!(server.post("api/save", &json!({"name": "../.."})).status, 400);
    let view = server.change("api/save", &json!({"name": "../up/fresh"}));
    assert_eq!(view["name"], "fresh.toml");
    assert!(folder.join("fresh.toml").is_file() && !folder.join("../up").exists());
    server.set("title", "Fresh");
    assert_eq!(server.change("api/save", &json!({}))["saved"], true);
    // A dropped file is no file of this folder until it is saved.
    let view = server.change("api/text", &json!({"text": "title = \"Dropped\"\n", "name": "C:\\x\\dropped.toml"}));
    assert_eq!((&view["name"], &view["saved"]), (&json!("dropped.toml"), &json!(true)));
}

#[test]
fn a_drawn_lid_is_put_beside_the_job() {
    use base64::Engine;
    let folder = folder("drawn");
    let drawing = fs::read(folder.join("whelk-lid.dxf")).unwrap();
    let data = base64::engine::general_purpose::STANDARD.encode(&drawing);
    let sent = json!({"side": "right", "name": "../lid.dxf", "data": data});
    let server = Server::start(&folder, Some("tideline-folio.toml"));
    let view = server.change("api/outline", &sent);
    assert_eq!(view["values"]["flap.right.outline"]["text"], "lid.dxf");
    assert_eq!(fs::read(folder.join("lid.dxf")).unwrap(), drawing);
    // Of a job without a place it waits.
    server.change("api/new", &json!({}));
    let view = server.change("api/outline", &json!({"side": "left", "name": "wait.dxf", "data": data}));
    assert!(!folder.join("wait.dxf").exists());
    assert!(
        !view["findings"].as_array().unwrap().iter().any(|f| f["code"] == "drawing-unread"),
        "{}",
        view["findings"]
    );
    server.change("api/save", &json!({"name": "drawn.toml"}));
    assert_eq!(fs::read(folder.join("wait.dxf")).unwrap(), drawing);
    for (name, data) in [("lid.exe", data.as_str()), ("lid.dxf", "???")] {
        assert_eq!(server.post("api/outline", &json!({"side": "left", "name": name, "data": data})).status, 400);
    }
    assert_eq!(server.post("api/outline", &json!({"side": "up", "name": "a.dxf", "data": ""})).status, 400);
}
