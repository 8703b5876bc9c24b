//! What takes long: looking at the job, and making its files. One of each at a time, off the thread that
//! answers; a newer edit stops both.

use super::answers::{Answer, Refusal, broken, bytes, conflict};
use super::beside::drawing;
use super::store::{Event, Pressed, Seen, Shared, Wanted, lock};
use crate::diag::Source;
use crate::page::{Desk, Made, look, make};
use crate::pipeline::Watch;
use crate::units::mm;
use crate::write::pdf::Paper;
use serde_json::json;
use std::sync::Arc;
use tokio::task::spawn_blocking;

/// Sets of files that are kept.
const SETS: usize = 3;

/// The newest view.
pub(super) async fn seen(shared: &Arc<Shared>) -> Result<Seen, Refusal> {
    if let Some(seen) = newest(shared) {
        return Ok(seen);
    }
    loop {
        let _one = shared.looking.lock().await;
        if let Some(seen) = newest(shared) {
            return Ok(seen);
        }
        // First the flag, then the text: an edit between them stops a look at the newest text, which is
        // then only begun again.
        let stop = shared.start_looking();
        let (desk, own) = (shared.desk().clone(), shared.clone());
        let looked = spawn_blocking(move || {
            let source = source(&desk);
            let drawing = |name: &str| drawing(&own, &desk, name);
            let watch = Watch { stop: &stop, progress: &|_, _, _| {} };
            let looked = look(&source, &drawing, &watch);
            let json = serde_json::to_string(&looked).map_err(|_| broken())?;
            Ok(Seen { revision: desk.revision(), json: json.into() })
        })
        .await
        .map_err(|_| broken())??;
        if looked.revision == shared.desk().revision() {
            *lock(&shared.seen) = Some(looked.clone());
            return Ok(looked);
        }
    }
}

fn newest(shared: &Shared) -> Option<Seen> {
    let revision = shared.desk().revision();
    lock(&shared.seen).as_ref().filter(|s| s.revision == revision).cloned()
}

fn source(desk: &Desk) -> Source {
    let now = desk.now();
    Source { name: now.name.clone().unwrap_or_else(|| "job.toml".into()), text: now.text.to_string() }
}

/// What is known of the desk besides.
fn head(shared: &Shared) -> serde_json::Value {
    let folder = std::path::absolute(&shared.folder).unwrap_or_else(|_| shared.folder.clone());
    let folder = folder.display().to_string();
    let (draft, unkept) = (shared.draft_words(), lock(&shared.unkept).clone());
    let desk = shared.desk();
    let now = desk.now();
    json!({
        "revision": desk.revision(),
        "name": now.name,
        "saved": now.is_saved(),
        "canUndo": desk.can_undo(),
        "canRedo": desk.can_redo(),
        "text": &*now.text,
        "draft": draft,
        "unkept": unkept,
        "hasPlace": now.path.is_some(),
        "folder": folder,
    })
}

/// The newest view as an answer.
pub(super) async fn view(shared: &Arc<Shared>) -> Answer {
    loop {
        let seen = seen(shared).await?;
        let head = head(shared);
        // An edit may have come in between.
        if head["revision"] == seen.revision {
            return Ok(bytes("application/json", joined(&head, &seen)));
        }
    }
}

fn joined(head: &serde_json::Value, seen: &Seen) -> String {
    let head = head.to_string();
    format!("{},{}", head.trim_end_matches('}'), seen.json.trim_start_matches('{'))
}

/// Changes the job, keeps the draft and answers with the newest view.
pub(super) async fn change(shared: &Arc<Shared>, make: impl FnOnce(&mut Desk) -> Result<(), Refusal>) -> Answer {
    let has_changed = {
        let mut desk = shared.desk();
        let before = desk.revision();
        make(&mut desk)?;
        desk.revision() != before
    };
    if has_changed {
        changed(shared).await;
    }
    view(shared).await
}

/// After a change: what was begun for the former text ends, the windows are told, the draft is kept.
async fn changed(shared: &Arc<Shared>) {
    shared.stop_all();
    let revision = shared.desk().revision();
    // Nobody listening is no error.
    let _ = shared.events.send(Event::View(revision));
    let own = shared.clone();
    let keeping = spawn_blocking(move || {
        // The order of drafts is that of the changes: the desk is read while the drafts are held.
        let mut drafts = lock(&own.drafts);
        let desk = own.desk().clone();
        let kept = drafts.keep(&desk);
        drop(drafts);
        let failed = match kept {
            Ok(Some(file)) => {
                // Nobody waits for it.
                drop(spawn_blocking(move || file.sync_data()));
                None
            }
            Ok(None) => None,
            Err(e) => Some(e),
        };
        *lock(&own.unkept) = failed.map(|e| format!("no draft can be kept ({}): save the job", super::load::plain(&e)));
    });
    // Looked at meanwhile; the answer comes when both are done.
    let (kept, _) = tokio::join!(keeping, seen(shared));
    if kept.is_err() {
        *lock(&shared.unkept) = Some("no draft can be kept: save the job".into());
    }
}

/// The files of the newest text for a machine, a kerf and a paper.
pub(super) async fn pressed(
    shared: &Arc<Shared>,
    machine: Option<&str>,
    (kerf, paper): (Option<f64>, Option<Paper>),
) -> Result<Arc<Made>, Refusal> {
    let machine = machine.map(|id| shared.machines().machine(id)).transpose().map_err(conflict)?;
    let of_desk = |desk: &Desk| Wanted {
        text: desk.now().text.clone(),
        machine: machine.as_ref().map(|m| (m.profile.id.clone(), m.text.clone())),
        kerf,
        paper,
    };
    let find = |wanted: &Wanted| {
        let mut all = lock(&shared.pressed);
        let at = all.iter().position(|p| p.of == *wanted)?;
        let found = all.remove(at);
        let made = found.made.clone();
        all.push(found);
        Some(made)
    };
    if let Some(made) = find(&of_desk(&shared.desk())) {
        return Ok(made);
    }
    let _one = shared.pressing.lock().await;
    let stop = shared.start_pressing();
    let desk = shared.desk().clone();
    let wanted = of_desk(&desk);
    if let Some(made) = find(&wanted) {
        return Ok(made);
    }
    let (own, revision) = (shared.clone(), desk.revision());
    let events = shared.events.clone();
    let made = spawn_blocking(move || {
        let drawing = |name: &str| drawing(&own, &desk, name);
        let progress = |kind: crate::job::StockKind, done: u32, of: u32| {
            let _ = events.send(Event::Progress(kind.word(), done, of));
        };
        let watch = Watch { stop: &stop, progress: &progress };
        let machines: Vec<_> = machine.into_iter().collect();
        make(&source(&desk), &drawing, &machines, (kerf.map(mm), paper), &watch).map(Arc::new)
    })
    .await
    .map_err(|_| broken())?
    .map_err(conflict)?;
    let mut all = lock(&shared.pressed);
    all.push(Pressed { of: wanted, made: made.clone() });
    if all.len() > SETS {
        all.remove(0);
    }
    drop(all);
    let _ = shared.events.send(Event::Ready(revision));
    Ok(made)
}
