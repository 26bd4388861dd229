//! Listening: connections in, answers out, until somebody rings the bell.

use crate::asked::{Asked, Body, Guest, Method, pairs, parts};
use crate::code::same;
use crate::gate::{self, Refusal};
use crate::guests::{By, Guests, Tried};
use crate::out::{Out, rung, stopped};
use crate::ports::{lan_address, open};
use crate::told::{Keep, Kind, Told};
use crate::{House, Pairing, REVISION_HEADER, TOKEN_FIELD, TOKEN_HEADER, body};
use bytes::Bytes;
use hyper::body::Incoming;
use hyper::header::{self, HeaderMap, HeaderValue};
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper::{Request, Response, StatusCode};
use hyper_util::rt::{TokioIo, TokioTimer};
use std::convert::Infallible;
use std::fmt;
use std::io;
use std::net::{IpAddr, SocketAddr};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{Semaphore, watch};

/// Connections at a time.
const MOST_CONNECTIONS: usize = 256;
/// Answers that are worked on at a time.
const MOST_AT_WORK: usize = 12;
/// How long the head of a request may take, and an idle connection may stay.
const HEAD: Duration = Duration::from_secs(30);
/// The largest head of a request, in bytes.
const LARGEST_HEAD: usize = 32 * 1024;
/// How long a small body may take; a large one has four times as long.
const BODY: Duration = Duration::from_secs(30);
/// Bodies up to this size are small.
const SMALL: u64 = 1_000_000;
/// How long connections may take to end.
const GOODBYE: Duration = Duration::from_secs(2);

/// Which doors are opened.
#[derive(Clone, Copy, Debug, Default)]
pub struct Doors {
    /// The port; `None` for the usual one, 0 for any that is free.
    pub port: Option<u16>,
    /// Whether devices in the local network may come in, once they are paired.
    pub lan: bool,
    /// Whether an interrupt from the keyboard ends it.
    pub heeds_interrupt: bool,
}

/// What happens at the door.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Notice {
    /// The doors are open: the address on this computer, and the one in the local network.
    Open {
        /// For this computer.
        here: String,
        /// For other devices.
        lan: Option<String>,
    },
    /// The code for the next device, and the link that carries it.
    Code {
        /// The code.
        code: String,
        /// The address of the pairing page with the code filled in.
        link: String,
    },
    /// A device was paired.
    LetIn,
}

/// Why the doors could not be opened.
#[derive(Debug)]
pub enum Trouble {
    /// The port is taken, or not allowed.
    Port(u16, io::Error),
    /// There is no local network.
    NoNetwork,
    /// Something of the system's.
    System(io::Error),
}

impl fmt::Display for Trouble {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Port(port, why) => write!(out, "port {port} cannot be opened: {why}"),
            Self::NoNetwork => write!(out, "this computer has no address in a local network"),
            Self::System(why) => write!(out, "the pages cannot be opened: {why}"),
        }
    }
}

/// Ends it all when rung.
#[derive(Clone, Debug)]
pub struct Bell(watch::Sender<bool>);

impl Bell {
    /// A bell nobody has rung.
    #[must_use]
    pub fn new() -> Self {
        Self(watch::channel(false).0)
    }

    /// Closes the doors: connections end, and `serve` returns.
    pub fn ring(&self) {
        self.0.send_replace(true);
    }
}

impl Default for Bell {
    fn default() -> Self {
        Self::new()
    }
}

/// Opens the doors and answers until the bell is rung. `told` hears what happens.
///
/// # Errors
/// Where a port cannot be opened, or there is no local network though one is asked for.
pub fn serve(
    house: Arc<dyn House>,
    doors: Doors,
    bell: &Bell,
    told: Arc<dyn Fn(Notice) + Send + Sync>,
) -> Result<(), Trouble> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .max_blocking_threads(MOST_AT_WORK + 4)
        .enable_all()
        .build()
        .map_err(Trouble::System)?;
    let result = runtime.block_on(run(house, doors, bell.clone(), told));
    // Whatever is still being worked out is of no use to anyone.
    runtime.shutdown_background();
    result
}

async fn run(
    house: Arc<dyn House>,
    doors: Doors,
    bell: Bell,
    told: Arc<dyn Fn(Notice) + Send + Sync>,
) -> Result<(), Trouble> {
    let lan = if doors.lan { Some(lan_address().ok_or(Trouble::NoNetwork)?) } else { None };
    let (here, there, port) = open(doors.port, lan).await?;
    let door = Arc::new(Door {
        house,
        guests: Mutex::new(Guests::new(Instant::now())),
        lan,
        port,
        at_work: Semaphore::new(MOST_AT_WORK),
        told,
        bell: bell.clone(),
    });
    (door.told)(Notice::Open {
        here: format!("http://localhost:{port}/"),
        lan: lan.map(|ip| format!("http://{ip}:{port}/")),
    });
    door.tell_code();
    if doors.heeds_interrupt {
        let bell = bell.clone();
        tokio::spawn(async move {
            if tokio::signal::ctrl_c().await.is_ok() {
                bell.ring();
            }
        });
    }
    let connections = Arc::new(Semaphore::new(MOST_CONNECTIONS));
    let mut stop = stopped(bell.0.subscribe());
    loop {
        let Ok(permit) = Arc::clone(&connections).acquire_owned().await else { return Ok(()) };
        let next = tokio::select! {
            next = here.accept() => next,
            next = accept(there.as_ref()) => next,
            () = &mut stop => break,
        };
        match next {
            Ok((stream, peer)) => {
                let (door, bell) = (Arc::clone(&door), bell.0.subscribe());
                tokio::spawn(async move {
                    talk(door, stream, peer, bell).await;
                    drop(permit);
                });
            }
            // Out of files, or a connection that ended before it began: others may fare better.
            Err(_) => tokio::time::sleep(Duration::from_millis(20)).await,
        }
    }
    let all = u32::try_from(MOST_CONNECTIONS).unwrap_or(u32::MAX) - 1;
    let _ = tokio::time::timeout(GOODBYE, connections.acquire_many(all)).await;
    Ok(())
}

async fn accept(listener: Option<&TcpListener>) -> io::Result<(TcpStream, SocketAddr)> {
    match listener {
        Some(listener) => listener.accept().await,
        None => std::future::pending().await,
    }
}

async fn talk(door: Arc<Door>, stream: TcpStream, peer: SocketAddr, bell: watch::Receiver<bool>) {
    // Small answers go at once. Where the system does not want to, they go a little later.
    let _ = stream.set_nodelay(true);
    let service = service_fn(move |request| {
        let door = Arc::clone(&door);
        async move { Ok::<_, Infallible>(door.pass(request, peer).await) }
    });
    let connection = http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(HEAD)
        .max_buf_size(LARGEST_HEAD)
        .serve_connection(TokioIo::new(stream), service);
    tokio::pin!(connection);
    tokio::select! {
        // What goes wrong with one connection is the other side's loss.
        _ = connection.as_mut() => {}
        () = rung(bell) => {
            connection.as_mut().graceful_shutdown();
            let _ = tokio::time::timeout(GOODBYE, connection).await;
        }
    }
}

struct Door {
    house: Arc<dyn House>,
    guests: Mutex<Guests>,
    lan: Option<IpAddr>,
    port: u16,
    at_work: Semaphore,
    told: Arc<dyn Fn(Notice) + Send + Sync>,
    bell: Bell,
}

/// What is let through, with the cookie to set where the session is new.
struct Passed {
    asked: Asked,
    cookie: Option<String>,
}

impl Door {
    async fn pass(self: Arc<Self>, request: Request<Incoming>, peer: SocketAddr) -> Response<Out> {
        let as_data = request.uri().path().starts_with("/api");
        match Arc::clone(&self).look(request, peer).await {
            Ok(Passed { asked, cookie }) => {
                let has = asked.has.clone();
                let told = match self.at_work.acquire().await {
                    Ok(_permit) => {
                        let house = Arc::clone(&self.house);
                        tokio::task::spawn_blocking(move || house.answer(asked)).await.ok()
                    }
                    Err(_) => None,
                };
                let told = told.unwrap_or_else(|| self.house.refused(&Refusal::Defect, as_data));
                self.respond(told, has.as_deref(), cookie.as_deref())
            }
            Err(Stopped::Refused(refusal)) => {
                let mut told = self.house.refused(&refusal, as_data);
                told.status = refusal.status();
                if let Refusal::Wait(seconds) = refusal {
                    told.again = Some(seconds);
                }
                self.respond(told, None, None)
            }
            Err(Stopped::Told(told, cookie)) => self.respond(*told, None, cookie.as_deref()),
        }
    }

    /// Everything that is asked of a request before it is answered.
    async fn look(self: Arc<Self>, request: Request<Incoming>, peer: SocketAddr) -> Result<Passed, Stopped> {
        let (head, incoming) = request.into_parts();
        if !gate::is_our_host(&head.headers, self.lan) {
            return Err(Refusal::StrangeHost.into());
        }
        let method = match head.method.as_str() {
            "GET" | "HEAD" => Method::Look,
            "POST" => Method::Change,
            "DELETE" => Method::Remove,
            _ => return Err(Refusal::NoSuchMethod.into()),
        };
        if gate::is_from_elsewhere(&head.headers, method != Method::Look) {
            return Err(Refusal::OtherSite.into());
        }
        let path = parts(head.uri.path()).ok_or(Refusal::NoSuchPage)?;
        let query = head.uri.query().map_or_else(Vec::new, |query| pairs(query.as_bytes()));
        let text = |name: &str| head.headers.get(name).and_then(|value| value.to_str().ok()).map(str::to_owned);
        let from_loopback = peer.ip().is_loopback();
        let known = self.guest(&head.headers, from_loopback);
        if known.is_none() && path == ["pair"] && !from_loopback {
            return Err(self.pair(method, &head.headers, incoming, &query).await);
        }
        let (guest, cookie) = match known {
            Some(guest) => (guest, None),
            None if method == Method::Look && self.house.is_open(&path) => (Guest::default(), None),
            None if method == Method::Look && from_loopback => {
                let (guest, cookie) = self.lock().let_in(By::Loopback, Instant::now());
                (guest, Some(cookie))
            }
            None if method == Method::Look && path.first().is_none_or(|first| first != "api") => {
                return Err(Stopped::Told(Box::new(Told::see("/pair")), None));
            }
            None => return Err(Refusal::NoSession.into()),
        };
        let body = if method == Method::Look {
            Body::Nothing
        } else {
            let most = self.house.most_bytes(&path);
            let longest = if most > SMALL { BODY * 4 } else { BODY };
            body::read(&head.headers, incoming, most, longest).await?
        };
        let revision = text(REVISION_HEADER);
        let asked = Asked { method, path, query, body, guest, revision, has: text("if-none-match") };
        if method != Method::Look {
            let token = text(TOKEN_HEADER).or_else(|| asked.field(TOKEN_FIELD).map(str::to_owned));
            if !token.is_some_and(|token| same(&token, &asked.guest.token)) {
                return Err(Refusal::NoToken.into());
            }
        }
        Ok(Passed { asked, cookie })
    }

    /// The pairing page, and what is typed into it.
    async fn pair(
        &self,
        method: Method,
        headers: &HeaderMap,
        incoming: Incoming,
        query: &[(String, String)],
    ) -> Stopped {
        let code = |pairs: &[(String, String)]| {
            let code = pairs.iter().find(|(key, _)| key == "code").map(|(_, value)| value.chars().take(16).collect());
            code.unwrap_or_else(String::new)
        };
        if method != Method::Change {
            let pairing = Pairing { code: code(query), was_wrong: false };
            return Stopped::Told(Box::new(self.house.pairing(&pairing)), None);
        }
        let fields = match body::read(headers, incoming, 10_000, BODY).await {
            Ok(Body::Form(fields, _)) => fields,
            Ok(_) => return Refusal::Unreadable("send the code as a form".to_owned()).into(),
            Err(refusal) => return refusal.into(),
        };
        let code = code(&fields);
        let tried = self.lock().try_code(&code, Instant::now());
        match tried {
            Tried::Right(cookie) => {
                (self.told)(Notice::LetIn);
                self.tell_code();
                Stopped::Told(Box::new(Told::see("/")), Some(cookie))
            }
            Tried::Wrong => {
                let mut told = self.house.pairing(&Pairing { code: String::new(), was_wrong: true });
                told.status = 403;
                Stopped::Told(Box::new(told), None)
            }
            Tried::Wait(seconds) => Refusal::Wait(seconds).into(),
        }
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, Guests> {
        // Nothing within can panic half way through a change.
        self.guests.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn tell_code(&self) {
        if let Some(ip) = self.lan {
            let code = self.lock().code().to_owned();
            let link = format!("http://{ip}:{}/pair?code={code}", self.port);
            (self.told)(Notice::Code { code, link });
        }
    }

    /// The cookie's name: cookies know no ports, so that two stashes open at once would share one.
    fn cookie_name(&self) -> String {
        format!("swatchfold-{}", self.port)
    }

    fn guest(&self, headers: &HeaderMap, from_loopback: bool) -> Option<Guest> {
        let name = self.cookie_name();
        let all = headers.get_all(header::COOKIE).iter().filter_map(|value| value.to_str().ok());
        let own = all.flat_map(|text| text.split(';')).filter_map(|pair| pair.trim().split_once('='));
        let mut own = own.filter(|(key, _)| *key == name).map(|(_, value)| value.to_owned()).take(4);
        own.find_map(|cookie| self.lock().known(&cookie, from_loopback, Instant::now()))
    }

    fn respond(&self, told: Told, has: Option<&str>, cookie: Option<&str>) -> Response<Out> {
        let mut response = Response::new(Out::Whole(None));
        *response.status_mut() = StatusCode::from_u16(told.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
        let headers = response.headers_mut();
        gate::protect(headers);
        let mut set = |name: header::HeaderName, value: &str| {
            if let Ok(value) = HeaderValue::from_str(value) {
                headers.insert(name, value);
            }
        };
        if let Some(cookie) = cookie {
            let name = self.cookie_name();
            set(header::SET_COOKIE, &format!("{name}={cookie}; Path=/; HttpOnly; SameSite=Strict; Max-Age=2592000"));
        }
        if let Some(to) = &told.to {
            set(header::LOCATION, to);
        }
        if let Some(seconds) = told.again {
            set(header::RETRY_AFTER, &seconds.to_string());
        }
        if told.status == 405 {
            set(header::ALLOW, "GET, HEAD, POST, DELETE");
        }
        set(
            header::CACHE_CONTROL,
            match &told.keep {
                Keep::No => "no-store",
                Keep::ForGood => "private, max-age=31536000, immutable",
                Keep::Ask(_) => "private, no-cache",
            },
        );
        if let Keep::Ask(tag) = &told.keep {
            let tag = format!("\"{tag}\"");
            set(header::ETAG, &tag);
            if has.is_some_and(|has| has.split(',').any(|one| one.trim() == tag)) {
                *response.status_mut() = StatusCode::NOT_MODIFIED;
                return response;
            }
        }
        if let Some(events) = told.events {
            set(header::CONTENT_TYPE, "text/event-stream");
            *response.body_mut() = Out::Events(events, stopped(self.bell.0.subscribe()));
            return response;
        }
        if !told.bytes.is_empty() {
            set(header::CONTENT_TYPE, told.kind.header());
            if told.kind == Kind::Svg || told.kind == Kind::Toml {
                set(header::CONTENT_DISPOSITION, "inline");
            }
        }
        *response.body_mut() = Out::Whole(Some(Bytes::from(told.bytes)));
        response
    }
}

/// Why a request does not reach the house.
enum Stopped {
    Refused(Refusal),
    Told(Box<Told>, Option<String>),
}

impl From<Refusal> for Stopped {
    fn from(refusal: Refusal) -> Self {
        Self::Refused(refusal)
    }
}
