//! One chromedriver with one browser, and the commands that fantoccini doesn't have.

use crate::http::Visitor;
use fantoccini::{Client, ClientBuilder};
use hyper_util::client::legacy::connect::HttpConnector;
use serde_json::{Value, json};
use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdout, Command, Stdio};
use std::time::Duration;
use tempfile::TempDir;

/// `no-sandbox` since tests may run as root. The rest keeps the browser from talking to
/// anything but the app.
const FLAGS: [&str; 11] = [
    "headless=new",
    // As on a phone, 390 px are all page.
    "hide-scrollbars",
    // Keeps the spaces between words on paper.
    "font-render-hinting=none",
    "no-sandbox",
    "disable-gpu",
    "disable-quic",
    "no-first-run",
    "disable-background-networking",
    "disable-component-update",
    "disable-sync",
    "disable-dev-shm-usage",
];

pub struct Browser {
    pub client: Client,
    chromedriver: Chromedriver,
    session: String,
    folder: TempDir,
}

#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Scripts {
    On,
    Off,
}

impl Browser {
    pub async fn start(scripts: Scripts) -> Self {
        let folder = TempDir::new().unwrap();
        let chromedriver = Chromedriver::start(folder.path());
        let options = match scripts {
            // Renders the same pages with a third of the work.
            Scripts::On => json!({"binary": find("chromium-headless-shell"), "args": FLAGS}),
            // Only this one can turn off a page's scripts and still run those of chromedriver.
            Scripts::Off => json!({
                "binary": find("chromium"),
                "args": FLAGS,
                "prefs": {"profile.managed_default_content_settings.javascript": 2},
            }),
        };
        let wanted = json!({
            "browserName": "chrome",
            "goog:loggingPrefs": {"browser": "ALL"},
            "goog:chromeOptions": options,
        });
        let client = ClientBuilder::new(HttpConnector::new())
            .capabilities(wanted.as_object().unwrap().clone())
            .connect(&chromedriver.address())
            .await
            .unwrap();
        let session = client.session_id().await.unwrap().unwrap();
        let browser = Self { client, chromedriver, session, folder };
        browser.resize(1280, 900).await;
        browser
    }

    /// Sets the visible size of the page.
    pub async fn resize(&self, width: u32, height: u32) {
        let size = json!({"width": width, "height": height, "deviceScaleFactor": 1, "mobile": false});
        self.devtools("Emulation.setDeviceMetricsOverride", size).await;
    }

    /// Tells pages that their reader prefers dark or light.
    pub async fn prefer(&self, scheme: &str) {
        let media = json!({"features": [{"name": "prefers-color-scheme", "value": scheme}]});
        self.devtools("Emulation.setEmulatedMedia", media).await;
    }

    /// Runs this in every page it opens from now on.
    pub async fn put_into_every_page(&self, script: &str) {
        self.devtools("Page.addScriptToEvaluateOnNewDocument", json!({"source": script})).await;
    }

    /// What the console logged since the last call, without mere information.
    pub async fn console(&self) -> Vec<String> {
        let entries = self.ask("se/log", json!({"type": "browser"})).await;
        let entries = entries.as_array().unwrap().iter();
        let loud = entries.filter(|entry| entry["level"] != "INFO" && entry["level"] != "DEBUG");
        loud.map(|entry| format!("{} {}", entry["level"].as_str().unwrap(), entry["message"].as_str().unwrap()))
            .collect()
    }

    async fn devtools(&self, command: &str, parameters: Value) {
        self.ask("goog/cdp/execute", json!({"cmd": command, "params": parameters})).await;
    }

    /// One of chromedriver's own commands.
    async fn ask(&self, command: &str, parameters: Value) -> Value {
        let path = format!("/session/{}/{command}", self.session);
        let answer = Visitor::new(&self.chromedriver.address()).send_json(&path, &parameters).await;
        assert!(answer["value"]["error"].is_null(), "{command}: {answer}");
        answer["value"].clone()
    }
}

impl Drop for Browser {
    /// Ends the browser and waits until it is gone, also while a test panics. The
    /// program that chromedriver started may be a script around the browser, and
    /// ending the session would end that alone.
    fn drop(&mut self) {
        self.tell("POST", "/goog/cdp/execute", r#"{"cmd":"Browser.close","params":{}}"#);
        self.tell("DELETE", "", "");
        let gone = (0..200).any(|_| {
            let is_gone = !runs_with(self.folder.path());
            if !is_gone {
                std::thread::sleep(Duration::from_millis(50));
            }
            is_gone
        });
        assert!(gone || std::thread::panicking(), "the browser goes on after its test");
    }
}

impl Browser {
    /// Says something to chromedriver about the session, whatever it answers.
    fn tell(&self, method: &str, command: &str, body: &str) {
        let Ok(mut stream) = TcpStream::connect(("127.0.0.1", self.chromedriver.port)) else { return };
        let _ = stream.set_read_timeout(Some(Duration::from_secs(10)));
        let (session, length) = (&self.session, body.len());
        let _ = write!(
            stream,
            "{method} /session/{session}{command} HTTP/1.1\r\nHost: localhost\r\nContent-Length: {length}\r\n\r\n{body}"
        );
        let _ = stream.read(&mut [0; 64]);
    }
}

/// Whether a program runs whose arguments name this folder.
fn runs_with(folder: &Path) -> bool {
    let name = folder.to_str().unwrap().as_bytes();
    let arguments =
        fs::read_dir("/proc").unwrap().filter_map(|process| fs::read(process.ok()?.path().join("cmdline")).ok());
    let mut named = arguments.filter(|line| line.windows(name.len()).any(|part| part == name));
    named.next().is_some()
}

/// Where a program lies, which chromedriver wants to know.
fn find(program: &str) -> PathBuf {
    let path = std::env::var_os("PATH").unwrap();
    let mut files = std::env::split_paths(&path).map(|folder| folder.join(program));
    files
        .find(|file| file.is_file())
        .unwrap_or_else(|| panic!("{program} is missing: run tests/run, which installs it"))
}

struct Chromedriver {
    process: Child,
    port: u16,
    /// Stays open, since it may print more.
    _says: BufReader<ChildStdout>,
}

impl Chromedriver {
    /// Chromedriver takes a free IPv6 port and then the same IPv4 port, and exits if another
    /// program has that one. Of 72 started six at a time, 2 did.
    fn start(folder: &Path) -> Self {
        const TRIES: usize = 10;
        (0..TRIES).find_map(|_| Self::try_to_start(folder)).expect("chromedriver prints the port it listens on")
    }

    fn try_to_start(folder: &Path) -> Option<Self> {
        let mut process = Command::new("chromedriver")
            // It chooses a free port and prints it.
            .arg("--port=0")
            // The browser leaves files there.
            .env("TMPDIR", folder)
            // Dates are typed in the order of the browser's language.
            .env("LANGUAGE", "en_US")
            .env("LC_ALL", "C.UTF-8")
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("chromedriver is missing: run tests/run, which installs it");
        let mut says = BufReader::new(process.stdout.take().unwrap());
        let port = says
            .by_ref()
            .lines()
            .map_while(Result::ok)
            .find_map(|line| line.strip_suffix('.')?.split_once("successfully on port ")?.1.parse().ok());
        if port.is_none() {
            process.wait().unwrap();
        }
        Some(Self { process, port: port?, _says: says })
    }

    fn address(&self) -> String {
        format!("http://127.0.0.1:{}", self.port)
    }
}

impl Drop for Chromedriver {
    fn drop(&mut self) {
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}
