//! The door over real connections: who comes in, who does not, and what becomes of the slow, the
//! large and the malformed. A tiny house stands behind it.

use std::io::{Read as _, Write as _};
use std::net::{SocketAddr, TcpStream};
use std::sync::{Arc, Mutex, mpsc};
use std::time::Duration;
use swatchfold_door::{Asked, Bell, Body, Doors, House, Kind, Method, Notice, Pairing, Refusal, Told, serve};

/// A house that says what it was asked.
struct Echo;

impl House for Echo {
    fn answer(self: Arc<Self>, asked: Asked) -> Told {
        match asked.parts().as_slice() {
            ["defect"] => panic!("a defect of the house"),
            ["events"] => {
                let (teller, told) = Told::events();
                std::thread::spawn(move || {
                    while teller.tell("far", "on") {
                        std::thread::sleep(Duration::from_millis(20));
                    }
                });
                told
            }
            ["token"] => Told::new(200, Kind::Text, asked.guest.token.clone()),
            parts => {
                let sent = match &asked.body {
                    Body::Nothing => "nothing".to_owned(),
                    Body::Form(fields, files) => format!("{} fields, {} files", fields.len(), files.len()),
                    Body::Json(bytes) => format!("{} bytes", bytes.len()),
                };
                let method = if asked.method == Method::Look { "look" } else { "change" };
                Told::new(200, Kind::Text, format!("{method} {} {sent}", parts.join("|")))
            }
        }
    }

    fn most_bytes(&self, _: &[String]) -> u64 {
        2_000
    }

    fn pairing(&self, pairing: &Pairing) -> Told {
        Told::new(200, Kind::Text, format!("code? {}", pairing.was_wrong))
    }

    fn refused(&self, refusal: &Refusal, _: bool) -> Told {
        Told::new(refusal.status(), Kind::Text, format!("{refusal:?}"))
    }

    fn is_open(&self, path: &[String]) -> bool {
        path.first().is_some_and(|first| first == "open")
    }
}

struct Standing {
    at: SocketAddr,
    bell: Bell,
    thread: Option<std::thread::JoinHandle<()>>,
}

impl Standing {
    fn open() -> Self {
        let (to, from) = mpsc::channel();
        let to = Mutex::new(to);
        let bell = Bell::new();
        let own = bell.clone();
        let doors = Doors { port: Some(0), lan: false, heeds_interrupt: false };
        let thread = std::thread::spawn(move || {
            let told = move |notice| to.lock().expect("nobody panics with it").send(notice).expect("someone listens");
            serve(Arc::new(Echo), doors, &own, Arc::new(told)).expect("a free port can be had");
        });
        let Ok(Notice::Open { here, lan: None }) = from.recv_timeout(Duration::from_secs(20)) else {
            panic!("the door says where it is")
        };
        let port: u16 = here.trim_end_matches('/').rsplit(':').next().unwrap_or_default().parse().expect("a port");
        // What is told later goes nowhere.
        std::mem::forget(from);
        Self { at: SocketAddr::from(([127, 0, 0, 1], port)), bell, thread: Some(thread) }
    }

    fn send(&self, bytes: &[u8]) -> String {
        let mut stream = TcpStream::connect(self.at).expect("the door is open");
        stream.set_read_timeout(Some(Duration::from_secs(20))).expect("a time can be set");
        // The door may close before all is sent: what it said still counts.
        let _ = stream.write_all(bytes);
        let mut answer = Vec::new();
        let _ = stream.read_to_end(&mut answer);
        String::from_utf8_lossy(&answer).into_owned()
    }

    fn ask(&self, method: &str, path: &str, headers: &str, body: &str) -> String {
        let port = self.at.port();
        let host = if headers.starts_with("host:") { String::new() } else { format!("host: localhost:{port}\r\n") };
        let length = if body.is_empty() { String::new() } else { format!("content-length: {}\r\n", body.len()) };
        self.send(
            format!("{method} {path} HTTP/1.1\r\n{host}connection: close\r\n{headers}{length}\r\n{body}").as_bytes(),
        )
    }

    /// A session: its cookie and its token.
    fn session(&self) -> (String, String) {
        let answer = self.ask("GET", "/token", "", "");
        let cookie = header(&answer, "set-cookie").expect("a new guest gets a cookie");
        let (pair, attributes) = cookie.split_once(';').expect("it has attributes");
        assert!(attributes.contains("HttpOnly") && attributes.contains("SameSite=Strict"), "{attributes}");
        let token = answer.rsplit("\r\n").next().unwrap_or_default().to_owned();
        (format!("cookie: {pair}\r\n"), token)
    }
}

impl Drop for Standing {
    fn drop(&mut self) {
        self.bell.ring();
        if let Some(thread) = self.thread.take() {
            thread.join().expect("it ends without a panic");
        }
    }
}

fn status(answer: &str) -> u16 {
    answer.split(' ').nth(1).and_then(|status| status.parse().ok()).unwrap_or(0)
}

fn header(answer: &str, name: &str) -> Option<String> {
    let head = answer.split("\r\n\r\n").next()?;
    head.lines()
        .skip(1)
        .filter_map(|line| line.split_once(": "))
        .find(|(key, _)| *key == name)
        .map(|(_, value)| value.to_owned())
}

const FORM: &str = "content-type: application/x-www-form-urlencoded\r\n";

#[test]
fn a_change_needs_session_token_and_origin() {
    let door = Standing::open();
    let port = door.at.port();
    let (cookie, token) = door.session();
    let body = format!("token={token}&a=1");
    let ours = format!("origin: http://localhost:{port}\r\n");
    assert_eq!(status(&door.ask("POST", "/x", &format!("{cookie}{FORM}{ours}"), &body)), 200);
    assert_eq!(status(&door.ask("POST", "/x", &format!("{cookie}{FORM}"), &body)), 200);
    // Without a session, with another's token, with none, from another site, from a form there.
    assert_eq!(status(&door.ask("POST", "/x", FORM, &body)), 403);
    let (_, other) = door.session();
    assert_eq!(status(&door.ask("POST", "/x", &format!("{cookie}{FORM}"), &format!("token={other}"))), 403);
    assert_eq!(status(&door.ask("POST", "/x", &format!("{cookie}{FORM}"), "a=1")), 403);
    for origin in ["http://example.org", "null", "http://localhost:1"] {
        let headers = format!("{cookie}{FORM}origin: {origin}\r\n");
        assert_eq!(status(&door.ask("POST", "/x", &headers, &body)), 403, "{origin}");
    }
    let headers = format!("{cookie}{FORM}sec-fetch-site: cross-site\r\n");
    assert_eq!(status(&door.ask("POST", "/x", &headers, &body)), 403);
    // As a header, for scripts; and JSON has no other way.
    let json = format!("{cookie}content-type: application/json\r\nx-swatchfold-token: {token}\r\n");
    assert!(door.ask("POST", "/x", &json, "{}").ends_with("change x 2 bytes"));
    assert_eq!(status(&door.ask("DELETE", "/x", &cookie, "")), 403);
}

#[test]
fn only_our_own_name_leads_in() {
    let door = Standing::open();
    assert_eq!(status(&door.ask("GET", "/", "", "")), 200);
    for host in ["example.org", "localhost.example.org", "192.0.2.1", "", "127.0.0.1.example.org"] {
        assert_eq!(status(&door.ask("GET", "/", &format!("host: {host}\r\n"), "")), 421, "{host}");
    }
    assert_eq!(status(&door.send(b"GET / HTTP/1.1\r\nconnection: close\r\n\r\n")), 421);
}

#[test]
fn every_answer_says_what_the_browser_may_do() {
    let door = Standing::open();
    for (method, path) in [("GET", "/"), ("GET", "/.."), ("PUT", "/"), ("POST", "/"), ("GET", "/defect")] {
        let answer = door.ask(method, path, "", "");
        let policy = header(&answer, "content-security-policy").unwrap_or_default();
        assert!(policy.contains("default-src 'none'") && !policy.contains("unsafe"), "{method} {path}: {answer}");
        assert_eq!(header(&answer, "x-content-type-options").as_deref(), Some("nosniff"), "{method} {path}");
        assert!(header(&answer, "access-control-allow-origin").is_none());
    }
    // A panic of the house is a plain answer, and the next one is answered too.
    assert_eq!(status(&door.ask("GET", "/defect", "", "")), 500);
    assert_eq!(status(&door.ask("GET", "/", "", "")), 200);
}

#[test]
fn paths_lead_nowhere_else() {
    let door = Standing::open();
    for path in ["/../etc/passwd", "/%2e%2e/x", "/a/..%2f..%2fb", "/a%00b", "/%c0%ae%c0%ae/", "/a%5c..%5cb"] {
        assert_eq!(status(&door.ask("GET", path, "", "")), 404, "{path}");
    }
    assert!(door.ask("GET", "/sea%20wall/a?b=c", "", "").ends_with("look sea wall|a nothing"));
}

#[test]
fn what_is_too_large_is_not_read() {
    let door = Standing::open();
    let (cookie, token) = door.session();
    let headers = format!("{cookie}{FORM}x-swatchfold-token: {token}\r\n");
    assert_eq!(status(&door.ask("POST", "/x", &headers, &"a".repeat(2_001))), 413);
    assert_eq!(status(&door.ask("POST", "/x", &headers, &"a".repeat(2_000))), 200);
    // Told as small, or not told at all.
    let port = door.at.port();
    let chunk = "a".repeat(3_000);
    let chunked = format!(
        "POST /x HTTP/1.1\r\nhost: localhost:{port}\r\nconnection: close\r\n{headers}transfer-encoding: chunked\r\n\r\nbb8\r\n{chunk}\r\n0\r\n\r\n"
    );
    assert_eq!(status(&door.send(chunked.as_bytes())), 413);
    let long = format!("GET /{} HTTP/1.1\r\nhost: localhost:{port}\r\n\r\n", "a".repeat(70_000));
    assert!([414, 431].contains(&status(&door.send(long.as_bytes()))));
}

#[test]
fn a_form_with_a_file_is_taken_apart_and_a_broken_one_refused() {
    let door = Standing::open();
    let (cookie, token) = door.session();
    let headers = |boundary: &str| {
        format!("{cookie}content-type: multipart/form-data{boundary}\r\nx-swatchfold-token: {token}\r\n")
    };
    let body = "--b\r\ncontent-disposition: form-data; name=\"a\"\r\n\r\n1\r\n--b\r\ncontent-disposition: form-data; \
                name=\"p\"; filename=\"../../x.jpg\"\r\ncontent-type: image/jpeg\r\n\r\nxyz\r\n--b--\r\n";
    assert!(door.ask("POST", "/x", &headers("; boundary=b"), body).ends_with("change x 1 fields, 1 files"));
    for (boundary, body) in
        [("", body), ("; boundary=c", body), ("; boundary=b", "--b\r\nnonsense"), ("; boundary=b", "x")]
    {
        assert_eq!(status(&door.ask("POST", "/x", &headers(boundary), body)), 400, "{boundary} {body}");
    }
    let text = format!("{cookie}content-type: text/plain\r\nx-swatchfold-token: {token}\r\n");
    assert_eq!(status(&door.ask("POST", "/x", &text, "x")), 400);
}

#[test]
fn events_come_as_they_are_told_and_end_with_the_bell() {
    let door = Standing::open();
    let mut stream = TcpStream::connect(door.at).expect("the door is open");
    stream.set_read_timeout(Some(Duration::from_secs(20))).expect("a time can be set");
    write!(stream, "GET /events HTTP/1.1\r\nhost: localhost\r\n\r\n").expect("it can be sent");
    let mut heard = String::new();
    let mut some = [0; 4_000];
    while heard.matches("event: far").count() < 3 {
        let count = stream.read(&mut some).expect("events come");
        assert!(count > 0, "it ended too soon: {heard}");
        heard.push_str(&String::from_utf8_lossy(&some[..count]));
    }
    assert!(heard.contains("text/event-stream"));
    door.bell.ring();
    let mut rest = Vec::new();
    // It may end cleanly or be cut off; it must end.
    let _ = stream.read_to_end(&mut rest);
}

#[test]
fn ten_thousand_malformed_requests_are_answered_or_dropped_and_the_door_stands() {
    let door = Standing::open();
    let mut seed = 0x9e37_79b9_7f4a_7c15_u64;
    let mut next = move |most: u64| {
        // xorshift64 (Marsaglia, 2003).
        seed ^= seed << 13;
        seed ^= seed >> 7;
        seed ^= seed << 17;
        seed % most
    };
    let methods = ["GET", "POST", "DELETE", "PUT", "HEAD", "get", "", "OPTIONS"];
    let paths = ["/", "/x?a=%zz&&&=", "/%", "/%ff", "*", "http://localhost/x", "//x", "/\u{e9}", "/a b", "/events/.."];
    let lines = [
        "host: localhost\r\n",
        "host: x\r\n",
        "content-length: 5\r\n",
        "content-length: -1\r\n",
        "content-length: 99999999999999999999\r\n",
        "transfer-encoding: chunked\r\n",
        "cookie: swatchfold-1=x; ; =\r\n",
        "origin: null\r\n",
        ": x\r\n",
        "x\r\n",
        "content-type: multipart/form-data; boundary=\r\n",
        "expect: 100-continue\r\n",
        "x: \u{0}\r\n",
    ];
    // Ten requests on each connection, which closes where it must.
    for round in 0..1_000 {
        let Ok(mut stream) = TcpStream::connect(door.at) else { panic!("the door is shut after {round} rounds") };
        stream.set_read_timeout(Some(Duration::from_secs(20))).expect("a time can be set");
        for _ in 0..10 {
            let at = |from: usize, roll: u64| usize::try_from(roll).unwrap_or(0) % from;
            let mut request = format!("{} {} HTTP/1.{}\r\n", methods[at(8, next(8))], paths[at(10, next(10))], next(3));
            for _ in 0..next(5) {
                request.push_str(lines[at(lines.len(), next(100))]);
            }
            request.push_str(if next(4) == 0 { "" } else { "\r\n" });
            if stream.write_all(request.as_bytes()).is_err() {
                break;
            }
        }
        // Nothing more will come: it must say something or hang up, and never a defect.
        let _ = stream.shutdown(std::net::Shutdown::Write);
        let mut answer = Vec::new();
        let _ = stream.read_to_end(&mut answer);
        let answer = String::from_utf8_lossy(&answer);
        assert!(!answer.contains("HTTP/1.1 5"), "round {round}: {answer}");
    }
    assert_eq!(status(&door.ask("GET", "/", "", "")), 200);
}
