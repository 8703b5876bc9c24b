//! Files are the command line's, and programs play as long as they are said to.

use super::visitor::{Server, folder};
use serde_json::json;
use std::fs;
use std::io::{Cursor, Read};
use std::path::Path;
use std::process::Command;

#[test]
fn files_are_those_that_export_writes() {
    let folder = folder("files");
    let server = Server::start(&folder, Some("rockpool-folder.toml"));
    server.set("contents.depth", "9");
    server.change("api/save", &json!({}));
    as_exported(&server, &folder, "rockpool-folder.toml");
    assert_eq!(server.get("api/file/guide.pdf?revision=1").status, 409);
    assert_eq!(server.get("api/file/nothing.pdf").status, 404);
    assert_eq!(server.get("api/file/guide.pdf?kerf=wide").status, 400);
    assert_eq!(server.get("api/file/guide.pdf?machine=none").status, 409);
}

#[test]
fn a_drawn_lid_comes_with_its_job_and_not_to_the_cutter() {
    let folder = folder("drawn");
    let server = Server::start(&folder, Some("whelk-box.toml"));
    as_exported(&server, &folder, "whelk-box.toml");
    let names = |zip: &str| -> Vec<String> {
        let zip = zip::ZipArchive::new(Cursor::new(server.get(&format!("api/file/{zip}")).body)).unwrap();
        zip.file_names().map(|name| name.unwrap().into_owned()).collect()
    };
    assert!(names("folder.zip").iter().any(|n| n == "whelk-lid.dxf"));
    let drawings = names("drawings.zip");
    assert!(drawings.iter().any(|n| n.ends_with("_1.dxf")) && drawings.iter().all(|n| n != "whelk-lid.dxf"));
}

/// Every file is what `export` writes of the same job.
fn as_exported(server: &Server, folder: &Path, job: &str) {
    let cases: [(&str, &[&str]); 2] = [
        ("", &[]),
        ("?machine=shared-laser-cutter&kerf=0.15mm", &["--machine", "shared-laser-cutter", "--kerf", "0.15mm"]),
    ];
    for (query, arguments) in cases {
        let out = folder.join("out");
        let _ = fs::remove_dir_all(&out);
        let export = Command::new(env!("CARGO_BIN_EXE_flapwright"))
            .current_dir(folder)
            .args(["export", job, "--out", "out"])
            .args(arguments)
            .output()
            .unwrap();
        assert!(export.status.success(), "{}", String::from_utf8_lossy(&export.stderr));
        let reply = server.get(&format!("api/file/folder.zip{query}"));
        assert_eq!(reply.status, 200);
        assert_eq!(server.get(&format!("api/file/folder.zip{query}")).body, reply.body);
        let mut zip = zip::ZipArchive::new(Cursor::new(reply.body)).unwrap();
        assert_eq!(zip.len(), fs::read_dir(&out).unwrap().count());
        for i in 0..zip.len() {
            let mut bytes = Vec::new();
            let mut file = zip.by_index(i).unwrap();
            let name = file.name().unwrap().to_string();
            file.read_to_end(&mut bytes).unwrap();
            assert!(bytes == fs::read(out.join(&name)).unwrap(), "{name}");
            assert!(server.get(&format!("api/file/{name}{query}")).body == bytes, "{name}");
        }
    }
}

#[test]
fn programs_play_as_long_as_they_are_said_to() {
    let server = Server::start(&folder("play"), Some("tideline-folio.toml"));
    let machines = server.get("api/machines").json();
    let mut played = 0;
    for machine in machines.as_array().unwrap() {
        let id = machine["id"].as_str().unwrap();
        let reply = server.get(&format!("api/playback/{id}"));
        if reply.status == 409 {
            continue;
        }
        for one in reply.json().as_array().unwrap() {
            let moves = one["moves"].as_array().unwrap();
            let (end, said) = (moves.last().unwrap()[0].as_f64().unwrap(), one["seconds"].as_f64().unwrap());
            assert!((end - said).abs() <= 0.01 * said, "{}: {end} of {said}", one["file"]);
            assert!(moves.windows(2).all(|w| w[0][0].as_f64() <= w[1][0].as_f64()));
            // What is cut lies on the sheet.
            let size = [one["size"][0].as_f64().unwrap(), one["size"][1].as_f64().unwrap()];
            let lines = one["lines"].as_array().unwrap().len() as u64;
            for m in moves {
                assert!(m[5].as_u64().unwrap() < lines);
                if m[4] == 1 {
                    for (i, most) in size.iter().enumerate() {
                        let at = m[i + 1].as_f64().unwrap();
                        assert!((-5.0..=most + 5.0).contains(&at), "{}: {m}", one["file"]);
                    }
                }
            }
            assert!(moves.iter().any(|m| m[4] == 1), "{}", one["file"]);
            played += 1;
        }
    }
    assert!(played >= 10, "{played}");
}

#[test]
fn a_machine_is_measured_with_a_coupon() {
    let server = Server::start(&folder("coupon"), None);
    let of = json!({"machine": "shared-laser-cutter", "stock": "board", "thickness": "2 mm"});
    let coupon = server.post("api/coupon", &of).json();
    assert!(coupon["files"].as_array().unwrap().iter().any(|f| f["name"] == "measured.toml"));
    assert!(coupon["form"].as_array().unwrap().iter().any(|f| f["key"] == "kerf.fits"));
    let mut measured = of.clone();
    measured["values"] = json!({"kerf.fits": "C", "kerf.plug": ""});
    let read = server.post("api/coupon/measured", &measured).json();
    assert_eq!(read["changes"][0]["key"], "tool.0.kerf");
    let kept = server.change("api/machine/shared-laser-cutter/text", &json!({"text": read["text"]}));
    assert_eq!(
        (&kept["id"], &kept["own"], &kept["findings"]),
        (&json!("shared-laser-cutter-own"), &json!(true), &json!([]))
    );
    measured["values"] = json!({"kerf.fits": "Z"});
    let read = server.post("api/coupon/measured", &measured).json();
    assert_eq!((&read["changes"], &read["findings"][0]["key"]), (&json!([]), &json!("kerf.fits")));
    measured["thickness"] = json!("2 miles");
    assert_eq!(server.post("api/coupon/measured", &measured).status, 409);
}

#[test]
fn the_page_has_all_its_parts_also_alone() {
    let server = Server::start(&folder("parts"), None);
    let index = String::from_utf8(server.get("").body).unwrap();
    let map = index.split("type=\"importmap\">").nth(1).unwrap().split("</script>").next().unwrap();
    let map: serde_json::Value = serde_json::from_str(map).unwrap();
    let modules = map["imports"].as_object().unwrap();
    for (name, at) in modules {
        let reply = server.get(at.as_str().unwrap().trim_start_matches("./"));
        assert_eq!(reply.status, 200, "{name}: a line in src/page/assets.rs is missing");
        assert!(reply.head.contains("text/javascript"));
        // What it imports is in the map.
        for from in String::from_utf8(reply.body).unwrap().split("from \"page/").skip(1) {
            let imported = format!("page/{}", from.split('"').next().unwrap());
            assert!(modules.contains_key(&imported), "{name} imports {imported}");
        }
    }
    assert_eq!(modules.len() + 2, flapwright::page::ASSETS.len());
    let alone = String::from_utf8(server.get("api/file/page.html").body).unwrap();
    assert!(!alone.contains("assets/page.css") && !alone.contains("\"./assets/") && !alone.contains("src=\"assets/"));
    assert!(alone.contains("data:text/javascript;base64,") && !alone.contains("id=\"given\">null"));
}
