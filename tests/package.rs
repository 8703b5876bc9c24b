//! The Debian package: made of the program, installed by dpkg on a root of its own, run there and removed again.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;

use common::references::scratch;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

const HOME: &str = env!("CARGO_MANIFEST_DIR");

fn run(command: &mut Command) -> Output {
    let o = command.output().unwrap();
    assert!(o.status.success(), "{command:?}: {}{}", text(&o.stdout), text(&o.stderr));
    o
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

fn packed(folder: &Path) -> PathBuf {
    run(Command::new(format!("{HOME}/packaging/deb")).arg(folder).arg(env!("CARGO_BIN_EXE_flapwright")));
    let mut found: Vec<PathBuf> = fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    assert_eq!(found.len(), 1, "{found:?}");
    found.remove(0)
}

/// Every file below a folder.
fn files(dir: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(dir).unwrap().map(|e| e.unwrap().path());
    entries.flat_map(|p| if p.is_dir() { files(&p) } else { vec![p] }).collect()
}

#[test]
fn the_package_is_installed_run_and_removed() {
    let is_there = |tool: &str| Command::new(tool).arg("--version").output().is_ok_and(|o| o.status.success());
    if !is_there("dpkg-deb") {
        // Only Debian and its like have it.
        assert!(std::env::var_os("CI").is_none(), "dpkg-deb is not here");
        eprintln!("SKIPPED: no dpkg-deb, so no Debian package is made");
        return;
    }
    let home = scratch("package");
    let package = packed(&home.join("one"));
    assert_eq!(fs::read(&package).unwrap(), fs::read(packed(&home.join("two"))).unwrap(), "not the same bytes");
    let root = home.join("root");
    for dir in ["info", "updates", "triggers"] {
        fs::create_dir_all(root.join("var/lib/dpkg").join(dir)).unwrap();
    }
    for file in ["status", "available"] {
        fs::write(root.join("var/lib/dpkg").join(file), "").unwrap();
    }
    let dpkg = |what: &[&str]| {
        let mut c = Command::new("dpkg");
        c.arg(format!("--root={}", root.display())).arg("--force-depends,not-root,bad-path");
        run(c.args(what))
    };
    dpkg(&["-i", package.to_str().unwrap()]);
    let installed = root.join("usr/bin/flapwright");
    let version = text(&run(Command::new(&installed).arg("--version")).stdout);
    assert_eq!(version.trim(), format!("flapwright {}", env!("CARGO_PKG_VERSION")));
    // The main job from the samples that came with it.
    let sample = root.join("usr/share/doc/flapwright/samples/rockpool-folder.toml");
    let out = home.join("out");
    run(Command::new(&installed).arg("export").arg(&sample).arg("--out").arg(&out));
    run(Command::new(&installed).arg("verify").arg(&out));
    for (file, part) in [
        ("usr/share/applications/flapwright.desktop", "Exec=flapwright page"),
        ("usr/share/bash-completion/completions/flapwright", "export"),
        ("usr/share/zsh/vendor-completions/_flapwright", "#compdef flapwright"),
        ("usr/share/doc/flapwright/copyright", "Apache License"),
        ("usr/share/icons/hicolor/scalable/apps/flapwright.svg", "<svg"),
    ] {
        let found = fs::read_to_string(root.join(file)).unwrap_or_else(|e| panic!("{file}: {e}"));
        assert!(found.contains(part), "{file} without {part}");
    }
    let manual = root.join("usr/share/man/man1/flapwright-export.1.gz");
    let page = text(&run(Command::new("gzip").arg("-dc").arg(manual)).stdout);
    assert!(page.contains(".TH") && page.contains("kerf"), "{page}");
    // It needs what it says that it needs, and no more than a plain Debian has.
    let control = text(&run(Command::new("dpkg-deb").args(["-f", package.to_str().unwrap(), "Depends"])).stdout);
    let known = ["libc6", "libgcc-s1", "libstdc++6"];
    assert!(control.trim().split(", ").all(|p| known.contains(&p)) && control.contains("libc6"), "{control}");
    dpkg(&["-r", "flapwright"]);
    let left: Vec<PathBuf> = files(&root).into_iter().filter(|p| !p.starts_with(root.join("var"))).collect();
    assert_eq!(left, Vec::<PathBuf>::new());
}

/// The archive for any Linux: unpacked anywhere it does the main job, and its bytes are the same each time.
#[test]
fn the_archive_is_unpacked_and_run() {
    let home = scratch("archive");
    let packed = |folder: &str| {
        let folder = home.join(folder);
        run(Command::new(format!("{HOME}/packaging/tarball")).arg(&folder).arg(env!("CARGO_BIN_EXE_flapwright")));
        files(&folder).remove(0)
    };
    let archive = packed("one");
    assert_eq!(fs::read(&archive).unwrap(), fs::read(packed("two")).unwrap(), "not the same bytes");
    run(Command::new("tar").arg("-C").arg(&home).arg("-xzf").arg(&archive));
    let name = archive.file_name().unwrap().to_str().unwrap().trim_end_matches(".tar.gz").to_owned();
    let place = home.join(&name);
    assert!(name.starts_with(&format!("flapwright-{}-", env!("CARGO_PKG_VERSION"))), "{name}");
    let sample = place.join("share/doc/flapwright/samples/oarweed-trays.toml");
    let out = text(&run(Command::new(place.join("bin/flapwright")).arg("check").arg(&sample)).stdout);
    assert!(out.contains("the box fits and can be cut"), "{out}");
    for file in ["share/man/man1/flapwright.1.gz", "share/doc/flapwright/copyright", "share/doc/flapwright/README.md"] {
        assert!(place.join(file).is_file(), "{file}");
    }
}
