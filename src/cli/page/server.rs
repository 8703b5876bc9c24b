//! The addresses of the page, and what is done at each.

use super::answers::{Answer, as_json, bytes, conflict, download, missing, read, wrong};
use super::files::{outline, save};
use super::guard::{BODY, guard};
use super::listen::Door;
use super::store::{Event, Shared};
use super::work::{change, pressed, view};
use crate::cli::kerf::kerf;
use crate::page::{self, Asked, Edit, Measured};
use crate::units::Unit;
use crate::write::pdf::Paper;
use axum::Router;
use axum::body::{Body, Bytes};
use axum::extract::rejection::BytesRejection;
use axum::extract::{DefaultBodyLimit, Path, Query, State};
use axum::http::{HeaderValue, Response, StatusCode, header};
use axum::response::IntoResponse;
use axum::response::sse::{self, KeepAlive, Sse};
use axum::routing::{get, post};
use serde::Deserialize;
use serde_json::json;
use std::convert::Infallible;
use std::io;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::broadcast::error::RecvError;
use tokio::task::spawn_blocking;

type At = State<Arc<Shared>>;
type Sent = Result<Bytes, BytesRejection>;

/// Serves until Ctrl-C.
pub(super) async fn serve(listener: std::net::TcpListener, shared: Arc<Shared>) -> io::Result<()> {
    let door = Door::new(tokio::net::TcpListener::from_std(listener)?);
    let own = shared.clone();
    // Where no handler can be set, Ctrl-C ends the program as ever.
    let _ = ctrlc::set_handler(move || own.ended.notify_one());
    let served = axum::serve(door, routes(shared.clone()));
    tokio::select! {
        done = async { served.await } => done,
        () = shared.ended.notified() => Ok(()),
    }
}

fn routes(shared: Arc<Shared>) -> Router {
    let at = |path: &str| format!("/{}/{path}", shared.secret());
    Router::new()
        .route("/once/{code}", get(once))
        .route(&at(""), get(index))
        .route(&at("assets/{name}"), get(asset))
        .route(&at("api/view"), get(|State(s): At| async move { view(&s).await }))
        .route(&at("api/form"), get(|| async { as_json(&page::job_form()) }))
        .route(&at("api/edit"), post(edit))
        .route(&at("api/text"), post(text))
        .route(&at("api/unit"), post(unit))
        .route(&at("api/undo"), post(undo))
        .route(&at("api/redo"), post(redo))
        .route(&at("api/new"), post(begin))
        .route(&at("api/save"), post(|State(s): At, sent: Sent| async move { save(&s, read(sent)?).await }))
        .route(&at("api/outline"), post(|State(s): At, sent: Sent| async move { outline(&s, read(sent)?).await }))
        .route(&at("api/events"), get(events))
        .route(&at("api/file/{name}"), get(file))
        .route(&at("api/machines"), get(|State(s): At| async move { as_json(&s.machines().list()) }))
        .route(&at("api/machine/{id}"), get(machine))
        .route(&at("api/machine/{id}/edit"), post(edit_machine))
        .route(&at("api/machine/{id}/text"), post(write_machine))
        .route(&at("api/machine/{id}/forget"), post(forget_machine))
        .route(&at("api/machine/{id}/profile.toml"), get(profile))
        .route(&at("api/playback/{id}"), get(playback))
        .route(&at("api/coupon"), post(coupon))
        .route(&at("api/coupon/measured"), post(measured))
        .fallback(|| async { missing("there is nothing at this address") })
        .layer(DefaultBodyLimit::max(BODY))
        .layer(axum::middleware::from_fn_with_state(shared.clone(), guard))
        .with_state(shared)
}

/// From an address that serves once to the page itself.
async fn once(State(shared): At, Path(code): Path<String>) -> Answer {
    if !shared.is_first(&code) {
        return Err(missing("this address has served already: the page's own stands on the terminal"));
    }
    let mut response = Response::new(Body::empty());
    *response.status_mut() = StatusCode::SEE_OTHER;
    let to = HeaderValue::from_str(&shared.address()).map_err(|_| missing("there is no page"))?;
    response.headers_mut().insert(header::LOCATION, to);
    Ok(response)
}

async fn index() -> Response<Body> {
    bytes("text/html; charset=utf-8", page::index())
}

async fn asset(Path(name): Path<String>) -> Answer {
    let found = page::ASSETS.iter().skip(1).find(|a| a.name == name);
    found.map(|a| bytes(a.kind, a.bytes)).ok_or_else(|| missing("the page has no such part"))
}

#[derive(Deserialize)]
struct Edits {
    edits: Vec<Edit>,
}

async fn edit(State(shared): At, sent: Sent) -> Answer {
    let asked: Edits = read(sent)?;
    change(&shared, |desk| desk.edit(&asked.edits).map_err(wrong)).await
}

#[derive(Deserialize)]
struct Text {
    text: String,
    #[serde(default)]
    name: Option<String>,
}

async fn text(State(shared): At, sent: Sent) -> Answer {
    let asked: Text = read(sent)?;
    change(&shared, |desk| desk.text(&asked.text, asked.name.as_deref()).map_err(wrong)).await
}

#[derive(Deserialize)]
struct InUnit {
    unit: String,
}

async fn unit(State(shared): At, sent: Sent) -> Answer {
    let asked: InUnit = read(sent)?;
    let to = match asked.unit.as_str() {
        "mm" => Unit::Mm,
        "in" => Unit::Inch,
        _ => return Err(wrong("a job is in mm or in")),
    };
    change(&shared, |desk| desk.unit(to).map_err(wrong)).await
}

// A body that nobody needs is read all the same: one that is left lying breaks the connection off in the
// middle of the answer.

async fn undo(State(shared): At, _sent: Sent) -> Answer {
    let back = |desk: &mut page::Desk| {
        desk.undo();
        Ok(())
    };
    change(&shared, back).await
}

async fn redo(State(shared): At, _sent: Sent) -> Answer {
    let again = |desk: &mut page::Desk| {
        desk.redo();
        Ok(())
    };
    change(&shared, again).await
}

async fn begin(State(shared): At, _sent: Sent) -> Answer {
    let new = |desk: &mut page::Desk| {
        desk.begin();
        Ok(())
    };
    change(&shared, new).await
}

async fn events(State(shared): At) -> Response<Body> {
    let told = futures_util::stream::unfold(shared.events.subscribe(), |mut heard| async move {
        loop {
            let event = match heard.recv().await {
                Ok(Event::View(revision)) => {
                    sse::Event::default().event("view").data(json!({"revision": revision}).to_string())
                }
                Ok(Event::Ready(revision)) => {
                    sse::Event::default().event("ready").data(json!({"files": revision}).to_string())
                }
                Ok(Event::Progress(stock, done, of)) => {
                    let what = json!({"what": format!("layout of {stock}"), "done": done, "of": of});
                    sse::Event::default().event("progress").data(what.to_string())
                }
                // Too slow to hear all of it: what comes next is newer anyway.
                Err(RecvError::Lagged(_)) => continue,
                Err(RecvError::Closed) => return None,
            };
            return Some((Ok::<_, Infallible>(event), heard));
        }
    });
    Sse::new(told).keep_alive(KeepAlive::new().interval(Duration::from_secs(15))).into_response()
}

/// For whom files are made.
#[derive(Deserialize)]
struct For {
    #[serde(default)]
    machine: Option<String>,
    #[serde(default)]
    kerf: Option<String>,
    #[serde(default)]
    paper: Option<String>,
    #[serde(default)]
    revision: Option<u64>,
}

async fn file(State(shared): At, Path(name): Path<String>, query: Query<For>) -> Answer {
    let asked = &query.0;
    let (revision, text) = {
        let desk = shared.desk();
        (desk.revision(), desk.now().text.clone())
    };
    if asked.revision.is_some_and(|r| r != revision) {
        return Err(conflict("the job has changed since: ask again"));
    }
    if name == "job.toml" {
        let called = shared.desk().now().name.clone().unwrap_or_else(|| name.clone());
        return Ok(download(&called, text.to_string()));
    }
    let filled = |text: &Option<String>| text.clone().filter(|t| !t.trim().is_empty());
    let kerf = filled(&asked.kerf).map(|k| kerf(&k)).transpose().map_err(|failure| {
        let super::Failure::Usage { message, hint } = failure else { return wrong("that is no kerf") };
        wrong(format!("{}; {hint}", message.trim_start_matches("--")))
    })?;
    let machine = filled(&asked.machine);
    let paper = filled(&asked.paper)
        .map(|word| Paper::named(&word).ok_or_else(|| wrong("there is no such paper")))
        .transpose()?;
    let made = pressed(&shared, machine.as_deref(), (kerf.map(crate::units::Length::to_mm), paper)).await?;
    let called = name.clone();
    let found = spawn_blocking(move || made.file(&called)).await.map_err(|_| super::answers::broken())?;
    let found = found.map_err(conflict)?;
    found
        .map(|(called, bytes)| download(&called, bytes))
        .ok_or_else(|| missing(format!("there is no {}", crate::limits::quoted(&name))))
}

async fn machine(State(shared): At, Path(id): Path<String>) -> Answer {
    let shape = shared.machines().shape(&id).map_err(missing)?;
    as_json(&shape)
}

/// A machine that was changed is kept, then shown.
async fn changed_machine(shared: Arc<Shared>, id: String) -> Answer {
    let own = shared.clone();
    let kept = spawn_blocking(move || {
        let text = own.machines().own().get(&id).cloned();
        let kept = super::store::lock(&own.drafts).keep_machine(&id, text.as_deref());
        (id, kept)
    });
    let (id, kept) = kept.await.map_err(|_| super::answers::broken())?;
    if let Err(e) = kept {
        let why = super::load::plain(&e);
        *super::store::lock(&shared.unkept) =
            Some(format!("the machine cannot be kept ({why}): take its profile away"));
    }
    let shape = shared.machines().shape(&id).map_err(missing)?;
    as_json(&shape)
}

async fn edit_machine(State(shared): At, Path(id): Path<String>, sent: Sent) -> Answer {
    let asked: Edits = read(sent)?;
    let own = shared.machines().edit(&id, &asked.edits).map_err(wrong)?;
    changed_machine(shared, own).await
}

async fn write_machine(State(shared): At, Path(id): Path<String>, sent: Sent) -> Answer {
    let asked: Text = read(sent)?;
    let own = shared.machines().write(&id, &asked.text).map_err(wrong)?;
    changed_machine(shared, own).await
}

async fn forget_machine(State(shared): At, Path(id): Path<String>, _sent: Sent) -> Answer {
    if !shared.machines().forget(&id) {
        return Err(missing("only a copy of your own can be forgotten"));
    }
    let own = shared.clone();
    let _ = spawn_blocking(move || super::store::lock(&own.drafts).keep_machine(&id, None)).await;
    let list = shared.machines().list();
    as_json(&list)
}

async fn profile(State(shared): At, Path(id): Path<String>) -> Answer {
    let text = shared.machines().text(&id).map(str::to_owned).ok_or_else(|| missing("there is no such machine"))?;
    Ok(download(&format!("{id}.toml"), text))
}

async fn playback(State(shared): At, Path(id): Path<String>) -> Answer {
    let machine = shared.machines().machine(&id).map_err(conflict)?;
    let made = pressed(&shared, Some(&id), (None, None)).await?;
    let json =
        spawn_blocking(move || serde_json::to_vec(&page::playbacks(&made.files, &made.played, &machine.profile))).await;
    let json = json.map_err(|_| super::answers::broken())?.map_err(|_| super::answers::broken())?;
    Ok(bytes("application/json", json))
}

async fn coupon(State(shared): At, sent: Sent) -> Answer {
    let asked: Asked = read(sent)?;
    let machine = shared.machines().machine(&asked.machine).map_err(conflict)?;
    let made = spawn_blocking(move || page::coupon(&asked, &machine)).await.map_err(|_| super::answers::broken())?;
    as_json(&made.map_err(conflict)?)
}

async fn measured(State(shared): At, sent: Sent) -> Answer {
    let asked: Measured = read(sent)?;
    let machine = shared.machines().machine(&asked.of.machine).map_err(conflict)?;
    let made = spawn_blocking(move || page::measured(&asked, &machine)).await.map_err(|_| super::answers::broken())?;
    as_json(&made.map_err(conflict)?)
}
