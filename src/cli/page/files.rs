//! The job's own files on the disk: where drawings are read, and what is saved.

use super::answers::{Answer, Refusal, broken, conflict, wrong};
use super::store::Shared;
use super::work::change;
use crate::cli::folder::replace_file;
use crate::cli::input;
use crate::cli::load::plain;
use crate::limits;
use crate::page::{Desk, file_name};
use serde::Deserialize;
use std::fs::OpenOptions;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use tokio::task::spawn_blocking;

/// What is asked when a job is saved.
#[derive(Deserialize)]
pub(super) struct Save {
    #[serde(default)]
    name: Option<String>,
    /// Whether a file that is there, or was changed by others, may be written over.
    #[serde(default)]
    replace: bool,
}

/// Saves the job into its own file, or under a name into the folder where the page was started.
pub(super) async fn save(shared: &Arc<Shared>, asked: Save) -> Answer {
    let desk = shared.desk().clone();
    let own = shared.clone();
    let text = desk.now().text.clone();
    let done = spawn_blocking(move || write(&own, &desk, &asked)).await.map_err(|_| broken())?;
    let (name, path) = done?;
    change(shared, |desk| {
        desk.saved(name, path, &text);
        Ok(())
    })
    .await
}

fn write(shared: &Shared, desk: &Desk, asked: &Save) -> Result<(String, PathBuf), Refusal> {
    let now = desk.now();
    let named = match &asked.name {
        Some(name) => Some(file_name(name).ok_or_else(|| wrong("that is no name for a file"))?),
        None => None,
    };
    let is_own = named.is_none() || named == now.name;
    let (name, path) = match (&now.path, is_own) {
        (Some(path), true) => (now.name.clone().unwrap_or_else(|| "job.toml".into()), path.clone()),
        _ => {
            let name =
                named.or_else(|| now.name.clone()).ok_or_else(|| conflict("give the job a name to save it under"))?;
            let name = if name.ends_with(".toml") { name } else { format!("{name}.toml") };
            let path = shared.folder.join(&name);
            (name, path)
        }
    };
    let is_place = now.path.as_ref() == Some(&path);
    let there = path.symlink_metadata().is_ok();
    if there && !asked.replace {
        if !is_place {
            return Err(conflict(format!("{name} is there already, and is left as it is: take another name")));
        }
        let is_as_it_was = input::bytes(&path, limits::TEXT_BYTES)
            .ok()
            .and_then(|b| input::text(b).ok())
            .is_some_and(|on_disk| on_disk == *now.kept || on_disk == *now.text);
        if !is_as_it_was {
            return Err(conflict(format!(
                "another program has changed {name} since it was opened here: save under another name, or open it again"
            )));
        }
    }
    for (name, bytes) in desk.drawings() {
        put(&path.with_file_name(name), bytes)?;
    }
    replace_file(&path, now.text.as_bytes()).map_err(|e| conflict(e.to_string()))?;
    Ok((name, path))
}

/// Puts a drawing beside a job, unless another of its name is there.
fn put(path: &Path, bytes: &[u8]) -> Result<(), Refusal> {
    let name = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    match OpenOptions::new().write(true).create_new(true).open(path) {
        Ok(mut file) => file.write_all(bytes).map_err(|e| conflict(format!("cannot write {name}: {}", plain(&e)))),
        Err(e) if e.kind() == std::io::ErrorKind::AlreadyExists => {
            let is_it = input::bytes(path, limits::DRAWING_BYTES).is_ok_and(|there| there == bytes);
            if is_it { Ok(()) } else { Err(conflict(format!("another {name} is there already"))) }
        }
        Err(e) => Err(conflict(format!("cannot write {name}: {}", plain(&e)))),
    }
}

/// A drawn lid.
#[derive(Deserialize)]
pub(super) struct Outline {
    side: String,
    name: String,
    data: String,
}

/// Puts a drawn lid beside the job and names it there.
pub(super) async fn outline(shared: &Arc<Shared>, asked: Outline) -> Answer {
    use base64::Engine;
    if !["left", "right", "tail", "head"].contains(&asked.side.as_str()) {
        return Err(wrong("a lid is at the left, right, tail or head"));
    }
    let bytes = base64::engine::general_purpose::STANDARD.decode(asked.data.trim());
    let bytes = bytes.map_err(|_| wrong("the drawing did not come over whole"))?;
    let name = file_name(&asked.name).ok_or_else(|| wrong("that is no name for a file"))?;
    if ![".dxf", ".svg"].iter().any(|end| name.to_ascii_lowercase().ends_with(end)) {
        return Err(wrong("a drawn lid is a DXF or SVG file"));
    }
    let place = shared.desk().now().path.clone();
    let Some(place) = place else {
        return change(shared, |desk| desk.outline(&asked.side, &name, Some(bytes)).map_err(wrong)).await;
    };
    let name = spawn_blocking(move || {
        let (stem, end) = name.rsplit_once('.').unwrap_or((name.as_str(), "dxf"));
        let names: Vec<String> =
            std::iter::once(name.clone()).chain((2..100).map(|n| format!("{stem}-{n}.{end}"))).collect();
        let mut last = conflict("no name is free for the drawing");
        for name in names {
            match put(&place.with_file_name(&name), &bytes) {
                Ok(()) => return Ok(name),
                Err(refusal) => last = refusal,
            }
        }
        Err(last)
    })
    .await
    .map_err(|_| broken())??;
    change(shared, |desk| desk.outline(&asked.side, &name, None).map_err(wrong)).await
}
