//! An email server that does what a script says, and keeps what it took.

use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use std::net::SocketAddr;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};
use tokio::io::{AsyncBufReadExt, AsyncRead, AsyncReadExt, AsyncWrite, AsyncWriteExt, BufReader};
use tokio::net::{TcpListener, TcpStream};
use tokio_rustls::TlsAcceptor;

/// What the server does at a step.
#[derive(Debug, Clone)]
pub enum Reply {
    Say(String),
    /// Bytes as they are.
    Junk(Vec<u8>),
    /// Says nothing more, and stays.
    Silent,
    /// One byte a second.
    Slow(String),
    /// Later.
    After(Duration, String),
    Close,
}

impl From<&str> for Reply {
    fn from(text: &str) -> Self {
        Self::Say(text.to_owned())
    }
}

/// When a server speaks TLS, and who it is then.
pub enum Tls {
    Never,
    /// After STARTTLS.
    Offered(TlsAcceptor),
    /// From the first byte.
    Wrapped(TlsAcceptor),
}

/// The user and password that a server lets in, and the only mechanism by which
/// it takes them.
pub type Login = (&'static str, &'static str, &'static str);

/// A line that came in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Heard {
    pub is_private: bool,
    pub line: String,
}

/// A step: GREET, EHLO, STARTTLS, AUTH, MAIL, RCPT, DATA, DOT (after the text), and who
/// the message goes to as far as that is known.
pub type Script = dyn Fn(&str, &str) -> Option<Reply> + Send + Sync;

/// A message that was taken.
#[derive(Debug, Clone)]
pub struct Taken {
    pub at: Instant,
    pub to: String,
    pub text: Vec<u8>,
}

impl Taken {
    pub fn message_id(&self) -> String {
        let message = mail_parser::MessageParser::default().parse(&self.text).unwrap();
        message.message_id().unwrap().to_owned()
    }
}

pub struct Relay {
    pub address: SocketAddr,
    shared: Arc<Shared>,
    /// So many of what was taken the test has looked at.
    read: AtomicUsize,
    task: tokio::task::JoinHandle<()>,
}

impl Drop for Relay {
    /// Mail that nobody reads may say anything, so it fails the test.
    fn drop(&mut self) {
        self.task.abort();
        let taken = self.shared.taken.lock().unwrap();
        let unread = &taken[self.read.load(Ordering::SeqCst).min(taken.len())..];
        if !unread.is_empty() && !std::thread::panicking() {
            let to: Vec<&str> = unread.iter().map(|taken| taken.to.as_str()).collect();
            panic!("the test read none of the mail to {to:?}; look at it with Relay::taken");
        }
    }
}

struct Shared {
    script: Box<Script>,
    tls: Tls,
    login: Option<Login>,
    taken: Mutex<Vec<Taken>>,
    heard: Mutex<Vec<Heard>>,
    connections: AtomicUsize,
    open: AtomicUsize,
    /// The most at the same time.
    most: AtomicUsize,
}

trait Line: AsyncRead + AsyncWrite + Send + Unpin {}
impl<T: AsyncRead + AsyncWrite + Send + Unpin> Line for T {}
type Stream = BufReader<Box<dyn Line>>;

impl Relay {
    /// One that takes everything.
    pub async fn kind() -> Self {
        Self::with(|_, _| None).await
    }

    /// One that does at each step what the script says; without a word from it,
    /// the usual.
    pub async fn with(script: impl Fn(&str, &str) -> Option<Reply> + Send + Sync + 'static) -> Self {
        Self::secured(Tls::Never, None, script).await
    }

    /// The same, which speaks TLS and asks who is there.
    pub async fn secured(
        tls: Tls,
        login: Option<Login>,
        script: impl Fn(&str, &str) -> Option<Reply> + Send + Sync + 'static,
    ) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let address = listener.local_addr().unwrap();
        let shared = Arc::new(Shared {
            script: Box::new(script),
            tls,
            login,
            taken: Mutex::default(),
            heard: Mutex::default(),
            connections: AtomicUsize::new(0),
            open: AtomicUsize::new(0),
            most: AtomicUsize::new(0),
        });
        let all = Arc::clone(&shared);
        let task = tokio::spawn(async move {
            while let Ok((stream, _)) = listener.accept().await {
                let shared = Arc::clone(&all);
                shared.connections.fetch_add(1, Ordering::SeqCst);
                tokio::spawn(async move {
                    let open = shared.open.fetch_add(1, Ordering::SeqCst) + 1;
                    shared.most.fetch_max(open, Ordering::SeqCst);
                    let _ = talk(stream, &shared).await;
                    shared.open.fetch_sub(1, Ordering::SeqCst);
                });
            }
        });
        Self { address, shared, read: AtomicUsize::new(0), task }
    }

    /// As a setting.
    pub fn url(&self) -> String {
        format!("smtp://{}?tls=none", self.address)
    }

    /// What was taken; the test reads it with this.
    pub fn taken(&self) -> Vec<Taken> {
        let taken = self.shared.taken.lock().unwrap().clone();
        self.read.store(taken.len(), Ordering::SeqCst);
        taken
    }

    /// Whom what was taken went to, in that order.
    pub fn taken_for(&self) -> Vec<String> {
        self.taken().into_iter().map(|taken| taken.to).collect()
    }

    /// Every line that came in, but for the texts.
    pub fn heard(&self) -> Vec<Heard> {
        self.shared.heard.lock().unwrap().clone()
    }

    pub fn connections(&self) -> usize {
        self.shared.connections.load(Ordering::SeqCst)
    }

    pub fn most(&self) -> usize {
        self.shared.most.load(Ordering::SeqCst)
    }
}

/// A line that is heard; empty once the other side has gone.
async fn hear(stream: &mut Stream, is_private: bool, shared: &Shared) -> std::io::Result<String> {
    let mut line = String::new();
    stream.read_line(&mut line).await?;
    let line = line.trim_end().to_owned();
    if !line.is_empty() {
        shared.heard.lock().unwrap().push(Heard { is_private, line: line.clone() });
    }
    Ok(line)
}

async fn talk(stream: TcpStream, shared: &Shared) -> std::io::Result<()> {
    stream.set_nodelay(true)?;
    let (stream, mut is_private): (Box<dyn Line>, bool) = match &shared.tls {
        Tls::Wrapped(acceptor) => (Box::new(acceptor.accept(stream).await?), true),
        Tls::Never | Tls::Offered(_) => (Box::new(stream), false),
    };
    let mut stream = BufReader::new(stream);
    let mut to = String::new();
    let script = |step: &str, to: &str| (shared.script)(step, to);
    if !reply(&mut stream, script("GREET", "").unwrap_or("220 relay.example.org ready".into())).await? {
        return Ok(());
    }
    loop {
        let line = hear(&mut stream, is_private, shared).await?;
        if line.is_empty() {
            return Ok(());
        }
        let verb = line.split(' ').next().unwrap().to_uppercase();
        if verb == "RCPT" {
            to = line.split(['<', '>']).nth(1).unwrap().to_owned();
        }
        let offered =
            if let Tls::Offered(acceptor) = &shared.tls { Some(acceptor).filter(|_| !is_private) } else { None };
        let usual = match verb.as_str() {
            "EHLO" if offered.is_some() => "250-relay.example.org\r\n250-8BITMIME\r\n250 STARTTLS".to_owned(),
            "EHLO" => {
                let mechanisms = shared.login.map_or("PLAIN LOGIN", |(_, _, mechanism)| mechanism);
                format!("250-relay.example.org\r\n250-8BITMIME\r\n250 AUTH {mechanisms}")
            }
            "STARTTLS" if offered.is_some() => "220 2.0.0 go on".to_owned(),
            "AUTH" => match shared.login {
                Some(login) if !lets_in(&mut stream, &line, login, is_private, shared).await? => {
                    "535 5.7.8 wrong user or password".to_owned()
                }
                _ => "235 2.7.0 in".to_owned(),
            },
            "DATA" => "354 go on".to_owned(),
            "QUIT" => "221 bye".to_owned(),
            _ => "250 2.0.0 ok".to_owned(),
        };
        let says = script(&verb, &to).unwrap_or(usual.as_str().into());
        let starts_with =
            |code: &str| matches!(&says, Reply::Say(text) | Reply::After(_, text) if text.starts_with(code));
        let (goes_on, upgrades) = (starts_with("354"), starts_with("220"));
        if !reply(&mut stream, says).await? || verb == "QUIT" {
            return Ok(());
        }
        if let Some(acceptor) = offered.filter(|_| verb == "STARTTLS" && upgrades) {
            stream = BufReader::new(Box::new(acceptor.accept(stream.into_inner()).await?));
            is_private = true;
        }
        if verb == "DATA" && goes_on {
            let text = text(&mut stream).await?;
            let says = script("DOT", &to).unwrap_or("250 2.0.0 taken".into());
            let takes = match &says {
                Reply::Say(text) | Reply::Slow(text) | Reply::After(_, text) => text.starts_with("250"),
                Reply::Junk(bytes) => bytes.starts_with(b"250"),
                // It has the text; whether it keeps it is what nobody knows.
                Reply::Silent | Reply::Close => true,
            };
            if takes {
                shared.taken.lock().unwrap().push(Taken { at: Instant::now(), to: to.clone(), text });
            }
            if !reply(&mut stream, says).await? {
                return Ok(());
            }
        }
    }
}

/// Is it this user and password (RFC 4616; LOGIN asks for one after the other)?
async fn lets_in(
    stream: &mut Stream,
    line: &str,
    (user, password, mechanism): Login,
    is_private: bool,
    shared: &Shared,
) -> std::io::Result<bool> {
    let encoded = |text: &str| BASE64_STANDARD.encode(text);
    if mechanism == "PLAIN" {
        return Ok(line == format!("AUTH PLAIN {}", encoded(&format!("\0{user}\0{password}"))));
    }
    let mut is_right = line == "AUTH LOGIN";
    for (question, answer) in [("Username:", user), ("Password:", password)] {
        stream.write_all(format!("334 {}\r\n", encoded(question)).as_bytes()).await?;
        stream.flush().await?;
        is_right &= hear(stream, is_private, shared).await? == encoded(answer);
    }
    Ok(is_right)
}

/// The text without its final dot, and without the dots that double a first one
/// (RFC 5321, section 4.5.2).
async fn text(stream: &mut Stream) -> std::io::Result<Vec<u8>> {
    let mut text = Vec::new();
    loop {
        let mut line = Vec::new();
        if stream.read_until(b'\n', &mut line).await? == 0 {
            return Err(std::io::ErrorKind::UnexpectedEof.into());
        }
        if line == b".\r\n" {
            return Ok(text);
        }
        text.extend_from_slice(line.strip_prefix(b".").unwrap_or(&line));
    }
}

/// False when the conversation is over.
async fn reply(stream: &mut Stream, reply: Reply) -> std::io::Result<bool> {
    match reply {
        Reply::Say(text) => stream.write_all(format!("{text}\r\n").as_bytes()).await?,
        Reply::Junk(bytes) => stream.write_all(&bytes).await?,
        Reply::Silent => {
            let mut rest = [0; 1024];
            while stream.read(&mut rest).await? > 0 {}
            return Ok(false);
        }
        Reply::Slow(text) => {
            for byte in format!("{text}\r\n").bytes() {
                stream.write_all(&[byte]).await?;
                stream.flush().await?;
                tokio::time::sleep(Duration::from_secs(1)).await;
            }
        }
        Reply::After(wait, text) => {
            tokio::time::sleep(wait).await;
            stream.write_all(format!("{text}\r\n").as_bytes()).await?;
        }
        Reply::Close => return Ok(false),
    }
    stream.flush().await?;
    Ok(true)
}
