//! Who is not the page itself gets nothing, and nothing ends the server.

use super::visitor::{Server, folder};
use serde_json::json;
use std::io::{Read, Write};
use std::net::TcpStream;

#[test]
fn only_the_page_itself_is_answered() {
    let server = Server::start(&folder("guard"), Some("rockpool-folder.toml"));
    let (secret, host) = (server.secret.clone(), server.host());
    let get = |path: &str, headers: &str| {
        server.raw(&format!("GET {path} HTTP/1.1\r\n{headers}Connection: close\r\n\r\n"), b"")
    };
    let own = format!("Host: {host}\r\n");
    let view = format!("/{secret}/api/view");
    assert_eq!(get(&view, &own).status, 200);
    assert_eq!(get(&view, &format!("Host: localhost:{}\r\n", server.port)).status, 200);
    // A name of somebody else's that leads here.
    for other in ["evil.example", "127.0.0.1", "127.0.0.1:1", "localhost", &format!("{host}.evil.example")] {
        assert_eq!(get(&view, &format!("Host: {other}\r\n")).status, 403, "{other}");
    }
    assert!([400, 403].contains(&get(&view, "").status));
    assert_eq!(get(&view, &format!("{own}{own}")).status / 100, 4);
    // Another page in the same browser.
    for other in ["http://evil.example", "null", "http://127.0.0.1:1", &format!("https://{host}")] {
        assert_eq!(get(&view, &format!("{own}Origin: {other}\r\n")).status, 403, "{other}");
    }
    assert_eq!(get(&view, &format!("{own}Sec-Fetch-Site: cross-site\r\nSec-Fetch-Mode: no-cors\r\n")).status, 403);
    let gone_to = format!("{own}Sec-Fetch-Site: cross-site\r\nSec-Fetch-Mode: navigate\r\n");
    assert_eq!(get(&format!("/{secret}/"), &gone_to).status, 200);
    // Without the secret, or with another.
    let other = "0".repeat(48);
    for path in [
        "/",
        "/api/view",
        "//api/view",
        &format!("/{other}/api/view"),
        &format!("/{}/api/view", &secret[1..]),
        "/once/0",
        "*",
    ] {
        assert!([400, 404].contains(&get(path, &own).status), "{path}");
    }
    // Out of the folder.
    for path in [
        "../../Cargo.toml",
        "..%2f..%2fCargo.toml",
        "%2e%2e/%2e%2e/etc/passwd",
        "assets/../../secret",
        "assets/%2e%2e%2fmod.rs",
        "assets/index.html",
        "assets/",
        "api/file/..%2f..%2fetc%2fpasswd",
        "api/file/%00",
        "api/machine/..%2fx",
    ] {
        let status = server.get(path).status;
        assert!((400..500).contains(&status), "{path}: {status}");
    }
    // What is sent has to come from the page.
    let post = |headers: &str| {
        server
            .raw(
                &format!("POST /{secret}/api/undo HTTP/1.1\r\n{headers}Content-Length: 2\r\nConnection: close\r\n\r\n"),
                b"{}",
            )
            .status
    };
    let kind = "Content-Type: application/json\r\n";
    assert_eq!(post(&format!("{own}Origin: http://{host}\r\n{kind}")), 200);
    assert_eq!(post(&format!("{own}{kind}")), 403);
    assert_eq!(post(&format!("{own}Origin: http://evil.example\r\n{kind}")), 403);
    assert_eq!(post(&format!("{own}Origin: http://localhost:{}\r\n{kind}", server.port)), 403);
    assert_eq!(post(&format!("{own}Origin: http://{host}\r\nContent-Type: text/plain\r\n")), 415);
    assert_eq!(server.view()["revision"], 1);
}

#[test]
fn every_answer_says_what_it_allows() {
    let server = Server::start(&folder("headers"), None);
    for path in ["", "api/view", "assets/page.css", "nothing", "api/form"] {
        let head = server.get(path).head;
        for told in [
            "default-src 'none'",
            "script-src 'self' 'sha256-",
            "frame-ancestors 'none'",
            "nosniff",
            "referrer-policy: no-referrer",
            "cache-control: no-store",
            "cross-origin-resource-policy: same-origin",
        ] {
            assert!(head.contains(told), "{path}: {told} in {head}");
        }
        assert!(!head.contains("access-control") && !head.contains("unsafe"), "{head}");
    }
}

#[test]
fn what_is_too_much_is_refused_and_the_page_goes_on() {
    let server = Server::start(&folder("much"), None);
    let secret = server.secret.clone();
    let big = "x".repeat(3 << 20);
    assert_eq!(server.post("api/text", &json!({ "text": big })).status, 413);
    // Of unknown length.
    let head = format!(
        "POST /{secret}/api/text HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nContent-Type: application/json\r\n\
         Transfer-Encoding: chunked\r\nConnection: close\r\n\r\n300000\r\n",
        host = server.host()
    );
    let status = server.raw(&head, big.as_bytes()).status;
    assert!(status == 413 || status == 0, "{status}");
    assert_eq!(server.post("api/text", &json!({"text": "y".repeat(600 << 10)})).status, 400);
    for body in ["", "{", "[]", "{\"edits\": 3}", "{\"edits\":[{\"value\":\"1\"}]}", "\u{0}"] {
        let head = format!(
            "POST /{secret}/api/edit HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nContent-Type: application/json\r\n\
             Content-Length: {}\r\nConnection: close\r\n\r\n",
            body.len(),
            host = server.host()
        );
        let reply = server.raw(&head, body.as_bytes());
        assert_eq!(reply.status, 400, "{body}");
        assert!(reply.json()["error"].is_string());
    }
    // More visitors than there is room for: some are sent away, and when they are gone all is as before.
    let mut crowd: Vec<TcpStream> =
        (0..150).filter_map(|_| TcpStream::connect(("127.0.0.1", server.port)).ok()).collect();
    std::thread::sleep(std::time::Duration::from_millis(300));
    let mut sent_away = 0;
    for visitor in &mut crowd {
        visitor.set_read_timeout(Some(std::time::Duration::from_millis(20))).unwrap();
        if matches!(visitor.read(&mut [0; 1]), Ok(0)) || visitor.write_all(b"G").is_err() {
            sent_away += 1;
        }
    }
    assert!(sent_away >= 80, "{sent_away}");
    drop(crowd);
    std::thread::sleep(std::time::Duration::from_millis(200));
    assert_eq!(server.view()["revision"], 1);
}

#[test]
fn a_job_of_odd_words_is_shown_as_words() {
    let server = Server::start(&folder("words"), Some("rockpool-folder.toml"));
    let odd = "<script>alert(1)</script>\"&'";
    let view = server.set("title", odd);
    assert_eq!(view["title"], odd);
    for sheet in view["sheets"].as_array().unwrap() {
        assert!(!sheet["svg"].as_str().unwrap().contains("<script"));
    }
    let page = server.get("api/file/page.html");
    assert_eq!(page.status, 200);
    let page = String::from_utf8(page.body).unwrap();
    assert!(!page.contains("<script>alert") && page.contains("\\u003cscript>alert(1)"));
    let svg = server.get("api/file/board-1.svg");
    assert!(svg.head.contains("content-disposition: attachment"));
    assert!(!String::from_utf8(svg.body).unwrap().contains("<script"));
    // Texts of no job at all.
    for text in [
        "",
        "\u{0}\u{1}",
        "[[[[",
        "title = 3",
        "flap = 3\n",
        "[flap]\nleft = [1]\n",
        "units = \"in\"\n[contents]\nwidth = 1e308\n",
    ] {
        let view = server.change("api/text", &json!({ "text": text }));
        assert!(view["scene"].is_null() && !view["findings"].as_array().unwrap().is_empty(), "{text:?}");
        assert_eq!(server.get("api/file/guide.pdf").status, 409);
        for key in ["flap.left.reach", "contents.width", "board.leftover.0.width"] {
            let status = server.post("api/edit", &json!({"edits": [{"key": key, "value": "1"}]})).status;
            assert!([200, 400].contains(&status), "{text:?} {key}: {status}");
        }
        let status = server.post("api/unit", &json!({"unit": "mm"})).status;
        assert!([200, 400].contains(&status));
    }
}
