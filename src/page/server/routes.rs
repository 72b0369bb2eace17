//! The routes: which address asks what.

use std::fs;
use std::net::SocketAddr;
use std::path::{Component, Path as FilePath};
use std::sync::Arc;

use axum::Router;
use axum::body::{Body, Bytes};
use axum::extract::{ConnectInfo, DefaultBodyLimit, Path, Request as HttpRequest, State};
use axum::http::{HeaderMap, HeaderValue, Method, Response, StatusCode, header};
use axum::middleware::{Next, from_fn_with_state};
use axum::response::sse::{KeepAlive, Sse};
use axum::routing::{get, post};
use serde::Deserialize;
use serde::de::DeserializeOwned;
use serde_json::{Value, json};

use super::disk::Changed;
use super::guard::Asked;
use super::{Desk, events, reply, work};
use crate::fault::{Fault, Faults, Outcome};
use crate::page::{Answer, Block, Patch, Request};

/// Bytes of one request.
pub(super) const BODY: usize = 64 * 1024;

/// The style: colours and lengths that the report page has too, and the rest.
const STYLE: &str = concat!(
    include_str!("../../report/tokens.css"),
    include_str!("../static/page.css")
);
const SCRIPT: &str = include_str!("../static/page.js");

type Here = State<Arc<Desk>>;
type Reply = Response<Body>;

pub(super) fn routes(desk: Arc<Desk>) -> Router {
    Router::new()
        .route("/", get(folder))
        .route("/file/{file}", get(file))
        .route("/file/{file}/{block}", get(block))
        .route("/sketch/{file}/{block}", get(sketch))
        .route("/picture/{file}", get(picture))
        .route("/shelf/{recipe}", get(family))
        .route("/static/page.css", get(style))
        .route("/static/page.js", get(script))
        .route("/out/{*path}", get(out))
        .route("/table", get(first_sheet))
        .route("/table/{sheet}", get(sheet))
        .route("/tick", post(tick))
        .route("/redrill", get(redrill).post(write_redrill))
        .route("/readings", get(readings))
        .route("/reckon", post(reckon))
        .route("/enter/{word}", get(enter))
        .route("/events", get(listen))
        .route("/try", post(attempt))
        .route("/edit", post(edit))
        .route("/undo", post(undo))
        .route("/do", post(change))
        .route("/work/{what}", post(working))
        .fallback(nowhere)
        .layer(DefaultBodyLimit::max(BODY))
        .layer(from_fn_with_state(Arc::clone(&desk), guard))
        .with_state(desk)
}

/// Lets through what comes from the page itself, and tells what does not.
async fn guard(State(desk): Here, request: HttpRequest, next: Next) -> Reply {
    let changes = !matches!(*request.method(), Method::GET | Method::HEAD);
    let headers: &HeaderMap = request.headers();
    let told = |name| headers.get(name).map(|it| it.to_str().unwrap_or("?"));
    let asked = Asked {
        changes,
        host: told(header::HOST),
        origin: told(header::ORIGIN),
        site: told(header::HeaderName::from_static("sec-fetch-site")),
        content_type: told(header::CONTENT_TYPE),
    };
    if let Some(refused) = desk.rules.refusal(&asked) {
        (desk.say)(&refused.to_string());
        return reply::guarded(reply::plain(StatusCode::FORBIDDEN, &refused.to_string()));
    }
    if let Some(refused) = turned_away(&desk, &request, asked.host) {
        return refused;
    }
    let reply = next.run(request).await;
    if reply.status() == StatusCode::PAYLOAD_TOO_LARGE {
        (desk.say)("a request that was too large was refused");
    }
    reply::guarded(reply)
}

/// What a request that comes from elsewhere in the network gets instead of an answer, unless it is the
/// phone's, and the phone may ask it.
fn turned_away(desk: &Desk, request: &HttpRequest, host: Option<&str>) -> Option<Reply> {
    let phone = desk.phone.as_ref()?;
    let peer = request.extensions().get::<ConnectInfo<SocketAddr>>();
    let is_here = peer.is_some_and(|it| it.0.ip().is_loopback());
    let is_own_name =
        host.is_some_and(|it| it.starts_with("127.0.0.1:") || it.starts_with("localhost:"));
    let path = request.uri().path();
    if (is_here && is_own_name) || path.starts_with("/enter/") {
        return None;
    }
    let cookies = request.headers().get(header::COOKIE);
    let cookies = cookies.and_then(|it| it.to_str().ok()).unwrap_or_default();
    let words = if !phone.is_known(cookies) {
        "a device that was not let in was refused"
    } else if *request.method() == Method::POST && !phone.rights.allow(path) {
        "this phone may look and tick off; start the page with --phone=edit to change things from it"
    } else {
        return None;
    };
    (desk.say)(words);
    let mut refused = reply::object(&json!({ "said": format!("{words}.") }));
    *refused.status_mut() = StatusCode::FORBIDDEN;
    Some(reply::guarded(refused))
}

/// Lets a phone in, once, and sends it to the table.
async fn enter(State(desk): Here, Path(word): Path<String>) -> Reply {
    let cookie = desk.phone.as_ref().and_then(|it| it.enter(&word));
    let Some(cookie) = cookie.and_then(|it| HeaderValue::from_str(&it).ok()) else {
        let words = "this address is not good any more: start the page again for another";
        (desk.say)("an address for a phone that is not good was refused");
        return reply::plain(StatusCode::FORBIDDEN, words);
    };
    let mut reply = reply::plain(StatusCode::SEE_OTHER, "");
    reply.headers_mut().insert(header::SET_COOKIE, cookie);
    let table = HeaderValue::from_static("/table");
    reply.headers_mut().insert(header::LOCATION, table);
    reply
}

/// Works something out on a thread where that is no trouble to others.
async fn apart<T: Send + 'static>(
    desk: Arc<Desk>,
    work: impl FnOnce(&Arc<Desk>) -> T + Send + 'static,
    failed: impl FnOnce() -> T,
) -> T {
    let worked = tokio::task::spawn_blocking(move || work(&desk)).await;
    worked.unwrap_or_else(|_| failed())
}

/// What is said where the program itself went wrong; the server goes on.
fn went_wrong() -> Faults {
    Fault::program("this could not be worked out")
        .remedy(crate::fault::REPORT_IT)
        .into()
}

async fn page(desk: Arc<Desk>, request: Request) -> Reply {
    let answer = apart(
        desk,
        move |desk| desk.answered(&request),
        || Err(went_wrong()),
    )
    .await;
    reply::shown(answer)
}

async fn folder(State(desk): Here) -> Reply {
    page(desk, Request::Folder).await
}

async fn file(State(desk): Here, Path(file): Path<String>) -> Reply {
    page(desk, Request::Open { file, block: None }).await
}

async fn block(State(desk): Here, Path((file, block)): Path<(String, String)>) -> Reply {
    match Block::read(&block) {
        Some(block) => {
            let block = Some(block);
            page(desk, Request::Open { file, block }).await
        }
        None => nowhere().await,
    }
}

async fn sketch(State(desk): Here, Path((file, block)): Path<(String, String)>) -> Reply {
    match Block::read(&block) {
        Some(block) => page(desk, Request::Sketch { file, block }).await,
        None => nowhere().await,
    }
}

async fn picture(State(desk): Here, Path(file): Path<String>) -> Reply {
    page(desk, Request::Picture { file }).await
}

async fn family(State(desk): Here, Path(recipe): Path<String>) -> Reply {
    page(desk, Request::Family { recipe }).await
}

async fn first_sheet(State(desk): Here) -> Reply {
    page(desk, Request::Table { sheet: 1 }).await
}

async fn sheet(State(desk): Here, Path(sheet): Path<usize>) -> Reply {
    page(desk, Request::Table { sheet }).await
}

async fn tick(State(desk): Here, body: Bytes) -> Reply {
    told(desk, body, |desk, request: Request| {
        if !matches!(request, Request::Tick { .. }) {
            return Err(Fault::usage("this is nothing to tick off").into());
        }
        desk.change(&request).map(|_| json!({}))
    })
    .await
}

async fn redrill(State(desk): Here) -> Reply {
    page(desk, Request::Redrill).await
}

async fn readings(State(desk): Here) -> Reply {
    page(desk, Request::Readings).await
}

async fn reckon(State(desk): Here, body: Bytes) -> Reply {
    told(desk, body, |desk, request: Request| live(desk, &request)).await
}

async fn write_redrill(State(desk): Here, body: Bytes) -> Reply {
    told(desk, body, |desk, request: Request| {
        work::redrill(desk, &request)
    })
    .await
}

async fn style() -> Reply {
    reply::of(StatusCode::OK, "text/css; charset=utf-8", STYLE)
}

async fn script() -> Reply {
    reply::of(StatusCode::OK, "text/javascript; charset=utf-8", SCRIPT)
}

async fn nowhere() -> Reply {
    reply::plain(StatusCode::NOT_FOUND, "there is no such page")
}

/// A file of `out`, and none beside it.
async fn out(State(desk): Here, Path(path): Path<String>) -> Reply {
    let read = move |desk: &Arc<Desk>| {
        let home = desk.folder.join("out").canonicalize().ok()?;
        let asked = FilePath::new(&path);
        let plain = |it: Component<'_>| match it {
            Component::Normal(name) => !name.to_string_lossy().starts_with('.'),
            _ => false,
        };
        if !asked.components().all(plain) {
            (desk.say)("a path that leads out of the folder was refused");
            return None;
        }
        let there = home.join(asked).canonicalize().ok()?;
        if !there.starts_with(&home) {
            (desk.say)("a path that leads out of the folder was refused");
            return None;
        }
        let bytes = fs::read(&there).ok()?;
        Some(reply::file(&there, bytes))
    };
    match apart(desk, read, || None).await {
        Some(reply) => reply,
        None => nowhere().await,
    }
}

async fn listen(
    State(desk): Here,
) -> Sse<
    impl futures_core::Stream<Item = Result<axum::response::sse::Event, std::convert::Infallible>>,
> {
    let heard: events::Heard = desk.events.listen();
    Sse::new(heard).keep_alive(KeepAlive::default())
}

/// Reads what the script sends, works on it apart, and tells what came of it.
async fn told<B: DeserializeOwned + Send + 'static>(
    desk: Arc<Desk>,
    body: Bytes,
    work: impl FnOnce(&Arc<Desk>, B) -> Outcome<Value> + Send + 'static,
) -> Reply {
    let Ok(read) = serde_json::from_slice::<B>(&body) else {
        return reply::plain(
            StatusCode::BAD_REQUEST,
            "this is nothing that the page asks",
        );
    };
    let done = apart(desk, move |desk| work(desk, read), || Err(went_wrong())).await;
    reply::object(&done.unwrap_or_else(|faults| reply::said(&faults)))
}

async fn attempt(State(desk): Here, body: Bytes) -> Reply {
    told(desk, body, |desk, request: Request| {
        if !matches!(
            request,
            Request::Try { .. } | Request::Job { .. } | Request::Distance { .. }
        ) {
            return Err(Fault::usage("this is nothing to try").into());
        }
        live(desk, &request)
    })
    .await
}

fn live(desk: &Arc<Desk>, request: &Request) -> Outcome<Value> {
    match desk.answered(request)? {
        Answer::Live(live) => Ok(json!(live)),
        _ => Err(went_wrong()),
    }
}

/// What of an open page follows its file.
fn page_now(desk: &Arc<Desk>, file: String, page: Block) -> Outcome<Value> {
    let request = match page {
        Block::Job | Block::Stock(_) => Request::Job { file },
        block => Request::Try {
            file,
            block,
            patch: None,
            focus: None,
        },
    };
    live(desk, &request)
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Edit {
    file: String,
    /// The page that it was typed on.
    page: Block,
    patch: Patch,
}

async fn edit(State(desk): Here, body: Bytes) -> Reply {
    told(
        desk,
        body,
        |desk, Edit { file, page, patch }: Edit| match desk
            .change(&Request::Edit { file, patch })?
        {
            Changed::File(file) => page_now(desk, file, page),
            Changed::Clash(clash) => Ok(json!({ "clash": clash })),
        },
    )
    .await
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Back {
    file: String,
    page: Block,
}

async fn undo(State(desk): Here, body: Bytes) -> Reply {
    told(desk, body, |desk, Back { file, page }: Back| {
        desk.undo(&file)?;
        page_now(desk, file, page)
    })
    .await
}

async fn change(State(desk): Here, body: Bytes) -> Reply {
    told(desk, body, |desk, request: Request| {
        match desk.change(&request)? {
            Changed::Clash(clash) => Ok(json!({ "clash": clash })),
            Changed::File(file) => match request {
                Request::Rename { .. } => Ok(json!({ "go": "/" })),
                Request::Begin { .. } | Request::Duplicate { .. } => {
                    Ok(json!({ "go": format!("/file/{}", work::address(&file)) }))
                }
                _ => page_now(desk, file, Block::Job),
            },
        }
    })
    .await
}

async fn working(State(desk): Here, Path(what): Path<String>, body: Bytes) -> Reply {
    told(desk, body, move |desk, asked: work::Asked| {
        work::begin(desk, &what, asked)
    })
    .await
}
