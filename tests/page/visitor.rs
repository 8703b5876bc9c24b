//! A server of its own for a test, and somebody who asks it by hand.

use serde_json::{Value, json};
use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::Duration;

pub(super) const SAMPLES: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/samples");

/// A folder of its own for one test, made anew, with the samples in it.
pub(super) fn folder(name: &str) -> PathBuf {
    let dir = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("page").join(name);
    let _ = fs::remove_dir_all(&dir);
    fs::create_dir_all(&dir).unwrap();
    for entry in fs::read_dir(SAMPLES).unwrap().flatten() {
        let name = entry.file_name().to_string_lossy().into_owned();
        if name.ends_with(".toml") || name.ends_with(".dxf") {
            fs::copy(entry.path(), dir.join(name)).unwrap();
        }
    }
    dir
}

/// A server that ends with the test.
pub(super) struct Server {
    child: Child,
    pub(super) port: u16,
    pub(super) secret: String,
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// What came back.
pub(super) struct Reply {
    pub(super) status: u16,
    pub(super) head: String,
    pub(super) body: Vec<u8>,
}

impl Reply {
    pub(super) fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|e| panic!("{e}: {}", String::from_utf8_lossy(&self.body)))
    }
}

impl Server {
    pub(super) fn start(folder: &Path, job: Option<&str>) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_flapwright"))
            .current_dir(folder)
            .args(["page", "--no-browser"])
            .args(job)
            .env("XDG_STATE_HOME", folder.join("state"))
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let lines = BufReader::new(child.stdout.take().unwrap()).lines();
        let address = lines.map_while(Result::ok).find(|l| l.contains("http://")).expect("no address");
        let rest = address.trim().strip_prefix("http://127.0.0.1:").unwrap();
        let (port, secret) = rest.trim_end_matches('/').split_once('/').unwrap();
        assert_eq!(secret.len(), 48);
        Self { child, port: port.parse().unwrap(), secret: secret.to_owned() }
    }

    /// Killed, as by a power cut.
    pub(super) fn kill(mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }

    /// Raw words to the server, and what it says until it hangs up.
    pub(super) fn raw(&self, head: &str, body: &[u8]) -> Reply {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(60))).unwrap();
        let _ = stream.write_all(head.as_bytes());
        let _ = stream.write_all(body);
        let mut all = Vec::new();
        let _ = stream.read_to_end(&mut all);
        let at = all.windows(4).position(|w| w == b"\r\n\r\n").map_or(all.len(), |i| i + 4);
        let head = String::from_utf8_lossy(&all[..at]).to_lowercase();
        let status = head.split(' ').nth(1).and_then(|s| s.parse().ok()).unwrap_or(0);
        let body = if head.contains("transfer-encoding: chunked") { unchunked(&all[at..]) } else { all[at..].to_vec() };
        Reply { status, head, body }
    }

    pub(super) fn host(&self) -> String {
        format!("127.0.0.1:{}", self.port)
    }

    pub(super) fn get(&self, path: &str) -> Reply {
        let head =
            format!("GET /{}/{path} HTTP/1.1\r\nHost: {}\r\nConnection: close\r\n\r\n", self.secret, self.host());
        self.raw(&head, b"")
    }

    pub(super) fn post(&self, path: &str, body: &Value) -> Reply {
        let body = body.to_string();
        let head = format!(
            "POST /{}/{path} HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nContent-Type: application/json\r\n\
             Content-Length: {}\r\nConnection: close\r\n\r\n",
            self.secret,
            body.len(),
            host = self.host()
        );
        self.raw(&head, body.as_bytes())
    }

    /// A change that has to be made, with the view that it answers.
    pub(super) fn change(&self, path: &str, body: &Value) -> Value {
        let reply = self.post(path, body);
        assert_eq!(reply.status, 200, "{path}: {}", String::from_utf8_lossy(&reply.body));
        reply.json()
    }

    pub(super) fn set(&self, key: &str, value: &str) -> Value {
        self.change("api/edit", &json!({"edits": [{"key": key, "value": value}]}))
    }

    pub(super) fn view(&self) -> Value {
        self.get("api/view").json()
    }
}

fn unchunked(mut body: &[u8]) -> Vec<u8> {
    let mut all = Vec::new();
    while let Some(at) = body.windows(2).position(|w| w == b"\r\n") {
        let size = usize::from_str_radix(&String::from_utf8_lossy(&body[..at]), 16).unwrap_or(0);
        if size == 0 {
            break;
        }
        all.extend(&body[at + 2..at + 2 + size]);
        body = &body[at + 4 + size..];
    }
    all
}
