//! A small client of the DevTools protocol (Chrome DevTools Protocol 1.3): one browser, its tabs, and
//! what a hand does in them. Everything waits for a condition, never for a time.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Value, json};
use std::cell::RefCell;
use std::io::{BufRead as _, BufReader};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use tungstenite::WebSocket;

/// So long is waited for something that must come, at most: the machine may be busy with other tests.
const PATIENCE: Duration = Duration::from_secs(60);
/// How often a condition is looked at.
const LOOK_EVERY: Duration = Duration::from_millis(40);
/// Names a Chromium goes by.
const NAMES: [&str; 4] = ["chromium", "chromium-browser", "google-chrome-stable", "google-chrome"];

/// A browser with a profile of its own.
pub(crate) struct Chromium {
    child: Child,
    socket: RefCell<WebSocket<TcpStream>>,
    number: RefCell<u64>,
    _profile: tempfile::TempDir,
}

/// Where a Chromium is, if there is one.
fn found() -> Option<PathBuf> {
    let asked = std::env::var_os("SWATCHFOLD_CHROMIUM").map(PathBuf::from);
    let path = std::env::var_os("PATH").unwrap_or_default();
    let in_path = || {
        std::env::split_paths(&path)
            .flat_map(|folder| NAMES.map(|name| folder.join(name)))
            .find(|program| program.is_file())
    };
    asked.or_else(in_path)
}

/// Whether we are root on a Debian: then a Chromium may be installed.
fn may_install() -> bool {
    let id = Command::new("id").arg("-u").output().ok();
    Path::new("/etc/debian_version").exists() && id.is_some_and(|id| String::from_utf8_lossy(&id.stdout).trim() == "0")
}

fn install() -> Option<PathBuf> {
    static ONCE: std::sync::Once = std::sync::Once::new();
    ONCE.call_once(|| {
        for words in [&["update", "-qq"][..], &["install", "-y", "-qq", "chromium"]] {
            // Whether it is there now is what counts.
            let _ = Command::new("apt-get").args(words).stdout(Stdio::null()).status();
        }
    });
    found()
}

impl Chromium {
    /// Opens one. Where there is none and none can be installed, that is said; where `CI` is set it is a failure.
    pub(crate) fn open() -> Option<Self> {
        let program = found().or_else(|| may_install().then(install).flatten());
        let Some(program) = program else {
            assert!(std::env::var_os("CI").is_none(), "no Chromium: the pages were not tried in a browser");
            eprintln!("THE BROWSER TESTS DID NOT RUN: no Chromium was found, and none could be installed.");
            eprintln!("Install Debian's package `chromium`, or name one in SWATCHFOLD_CHROMIUM.");
            return None;
        };
        let profile = tempfile::tempdir().expect("a folder for the profile");
        let mut child = Command::new(&program)
            .args(["--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--no-first-run"])
            .args(["--disable-extensions", "--disable-background-networking", "--disable-component-update"])
            .args(["--hide-scrollbars", "--force-color-profile=srgb", "--remote-debugging-port=0", "about:blank"])
            .arg(format!("--user-data-dir={}", profile.path().display()))
            .stdout(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap_or_else(|why| panic!("{} does not start: {why}", program.display()));
        let mut told = BufReader::new(child.stderr.take().expect("it was piped"));
        let mut said = String::new();
        let address = loop {
            let mut line = String::new();
            let more = told.read_line(&mut line).unwrap_or(0);
            assert!(more > 0, "{} ended before it listened: {said}", program.display());
            if let Some((_, address)) = line.split_once("DevTools listening on ") {
                break address.trim().to_owned();
            }
            said.push_str(&line);
        };
        // What it says further is of no interest, but must go somewhere.
        std::thread::spawn(move || std::io::copy(&mut told, &mut std::io::sink()));
        let host = address.trim_start_matches("ws://").split('/').next().unwrap_or_default().to_owned();
        let stream = TcpStream::connect(&host).expect("it listens");
        stream.set_read_timeout(Some(PATIENCE)).expect("a time limit can be set");
        let (socket, _) = tungstenite::client(&address, stream).expect("it speaks WebSocket (RFC 6455)");
        Some(Self { child, socket: RefCell::new(socket), number: RefCell::new(0), _profile: profile })
    }

    /// Sends a command and waits for its answer; what else comes in between is passed over.
    fn ask(&self, session: Option<&str>, method: &str, params: &Value) -> Result<Value, String> {
        let number = {
            let mut number = self.number.borrow_mut();
            *number += 1;
            *number
        };
        let mut message = json!({ "id": number, "method": method, "params": params });
        if let Some(session) = session {
            message["sessionId"] = json!(session);
        }
        let mut socket = self.socket.borrow_mut();
        socket.send(message.to_string().into()).map_err(|why| format!("{method}: {why}"))?;
        loop {
            let answer = socket.read().map_err(|why| format!("{method}: {why}"))?;
            let Ok(text) = answer.into_text() else { continue };
            let Ok(answer) = serde_json::from_str::<Value>(&text) else { continue };
            if answer["id"] == json!(number) {
                return match answer.get("error") {
                    Some(error) => Err(format!("{method}: {error}")),
                    None => Ok(answer["result"].clone()),
                };
            }
        }
    }

    /// A tab of so many pixels.
    pub(crate) fn tab(&self, width: u32, height: u32) -> Tab<'_> {
        let ask = |session, method, params: Value| self.ask(session, method, &params).expect("a tab opens");
        let target = ask(None, "Target.createTarget", json!({ "url": "about:blank" }));
        let told = ask(None, "Target.attachToTarget", json!({ "targetId": target["targetId"], "flatten": true }));
        let tab = Tab { browser: self, session: told["sessionId"].as_str().expect("a session").to_owned() };
        tab.send("Page.enable", &json!({}));
        tab.send("Network.enable", &json!({}));
        let metrics = json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 600 });
        tab.send("Emulation.setDeviceMetricsOverride", &metrics);
        tab
    }
}

impl Drop for Chromium {
    fn drop(&mut self) {
        // It may have ended by itself.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// A tab.
pub(crate) struct Tab<'b> {
    browser: &'b Chromium,
    session: String,
}

impl Tab<'_> {
    #[track_caller]
    fn send(&self, method: &str, params: &Value) -> Value {
        self.browser.ask(Some(&self.session), method, params).unwrap_or_else(|why| panic!("{why}"))
    }

    /// What an expression gives; an error where the page is just being left.
    fn try_js(&self, expression: &str) -> Result<Value, String> {
        let params = json!({ "expression": expression, "awaitPromise": true, "returnByValue": true });
        let told = self.browser.ask(Some(&self.session), "Runtime.evaluate", &params)?;
        match told.get("exceptionDetails") {
            Some(why) => Err(why["exception"]["description"].as_str().unwrap_or("it threw").to_owned()),
            None => Ok(told["result"]["value"].clone()),
        }
    }

    /// What an expression gives.
    #[track_caller]
    pub(crate) fn js(&self, expression: &str) -> Value {
        self.try_js(expression).unwrap_or_else(|why| panic!("{expression}: {why}"))
    }

    /// Waits until an expression is true.
    #[track_caller]
    pub(crate) fn until(&self, what: &str, expression: &str) {
        let begun = Instant::now();
        while self.try_js(expression) != Ok(Value::Bool(true)) {
            if begun.elapsed() > PATIENCE {
                let text = self.try_js("location.href + '\\n' + document.body.innerText").unwrap_or_default();
                panic!("waited in vain: {what} ({expression}). The page:\n{}", text.as_str().unwrap_or("?"));
            }
            std::thread::sleep(LOOK_EVERY);
        }
    }

    /// Waits until the page is whole and says this somewhere.
    #[track_caller]
    pub(crate) fn says(&self, words: &str) {
        let words_in = format!("document.body.innerText.includes({})", json!(words));
        self.until(&format!("“{words}”"), &format!("document.readyState === 'complete' && {words_in}"));
    }

    /// Goes to an address and waits until it is there.
    #[track_caller]
    pub(crate) fn go(&self, address: &str) {
        self.js("window.wasHere = true");
        let told = self.send("Page.navigate", &json!({ "url": address }));
        assert!(told.get("errorText").is_none(), "{address}: {told}");
        self.until(address, "!window.wasHere && document.readyState === 'complete'");
    }

    /// Loads the page again.
    #[track_caller]
    pub(crate) fn reload(&self) {
        self.js("window.wasHere = true");
        self.send("Page.reload", &json!({}));
        self.until("loaded again", "!window.wasHere && document.readyState === 'complete'");
    }

    /// Presses the middle of the first thing a selector finds, as a finger or a mouse would.
    #[track_caller]
    pub(crate) fn press(&self, selector: &str) {
        let one = format!("document.querySelector({})", json!(selector));
        self.until(&format!("{selector} is there"), &format!("{one} !== null && document.readyState === 'complete'"));
        let look = format!(
            "(() => {{ const one = {one}; one.scrollIntoView({{ block: 'center', behavior: 'instant' }});
              const box = one.getBoundingClientRect(); const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
              const top = document.elementFromPoint(x, y);
              return {{ x, y, hit: top === one || one.contains(top) || Boolean(top?.closest('label')?.contains(one)) }} }})()"
        );
        let begun = Instant::now();
        let mut place = self.js(&look);
        // Pictures that come in while it is looked for move it.
        while place["hit"] != json!(true) {
            assert!(begun.elapsed() < PATIENCE, "{selector} is covered or out of sight: {place}");
            std::thread::sleep(LOOK_EVERY);
            place = self.js(&look);
        }
        for kind in ["mousePressed", "mouseReleased"] {
            let params = json!({ "type": kind, "x": place["x"], "y": place["y"], "button": "left", "clickCount": 1 });
            self.send("Input.dispatchMouseEvent", &params);
        }
    }

    /// Presses what leads to another page, and waits until that is there.
    #[track_caller]
    pub(crate) fn follow(&self, selector: &str) {
        self.js("window.wasHere = true");
        self.press(selector);
        self.until(&format!("{selector} leads on"), "!window.wasHere && document.readyState === 'complete'");
    }

    /// Types into a field instead of what stands there.
    #[track_caller]
    pub(crate) fn fill(&self, selector: &str, text: &str) {
        self.until(selector, &format!("document.querySelector({}) !== null", json!(selector)));
        self.js(&format!(
            "(() => {{ const one = document.querySelector({}); one.focus(); one.select(); }})()",
            json!(selector)
        ));
        self.send("Input.insertText", &json!({ "text": text }));
    }

    /// Chooses what a list offers or a colour, with the events a hand makes.
    #[track_caller]
    pub(crate) fn choose(&self, selector: &str, value: &str) {
        self.js(&format!(
            "(() => {{ const one = document.querySelector({}); one.value = {};
              one.dispatchEvent(new Event('input', {{ bubbles: true }}));
              one.dispatchEvent(new Event('change', {{ bubbles: true }})); }})()",
            json!(selector),
            json!(value)
        ));
    }

    /// Hands a file to a field.
    #[track_caller]
    pub(crate) fn hand(&self, selector: &str, file: &Path) {
        let root = self.send("DOM.getDocument", &json!({}));
        let node = self.send("DOM.querySelector", &json!({ "nodeId": root["root"]["nodeId"], "selector": selector }));
        self.send("DOM.setFileInputFiles", &json!({ "nodeId": node["nodeId"], "files": [file] }));
    }

    /// Takes the network away, or gives it back.
    pub(crate) fn offline(&self, is_off: bool) {
        let params = json!({ "offline": is_off, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1 });
        self.send("Network.emulateNetworkConditions", &params);
    }

    /// Dark or light.
    pub(crate) fn scheme(&self, scheme: &str) {
        let features = json!({ "features": [{ "name": "prefers-color-scheme", "value": scheme }] });
        self.send("Emulation.setEmulatedMedia", &features);
    }

    /// What an automated audit (axe-core, MPL-2.0, vendored beside this file) finds wrong.
    #[track_caller]
    pub(crate) fn audit(&self) -> Vec<String> {
        self.js(concat!(include_str!("axe/axe.min.js"), "; true"));
        let told = self.js(
            "axe.run(document, { resultTypes: ['violations'] }).then((told) => told.violations.map((one) =>
               one.id + ': ' + one.help + ' — ' + one.nodes.map((node) => node.html + ' ' + node.failureSummary).slice(0, 3).join(' | ')))",
        );
        told.as_array().into_iter().flatten().map(|one| one.as_str().unwrap_or_default().to_owned()).collect()
    }

    /// Keeps a picture of the whole page where `SWATCHFOLD_SCREENS` names a folder.
    pub(crate) fn picture(&self, name: &str) {
        let Some(folder) = std::env::var_os("SWATCHFOLD_SCREENS").map(PathBuf::from) else { return };
        let told = self.send("Page.captureScreenshot", &json!({ "captureBeyondViewport": true, "format": "png" }));
        let bytes = STANDARD.decode(told["data"].as_str().unwrap_or_default()).expect("it is base 64 (RFC 4648)");
        std::fs::create_dir_all(&folder).and_then(|()| std::fs::write(folder.join(name), bytes)).expect("it is kept");
    }
}
