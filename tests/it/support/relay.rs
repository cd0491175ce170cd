//! A mail server that does what a script says, and keeps what it took.

use std::net::SocketAddr;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};
use tokio::io::{AsyncBufReadExt, AsyncReadExt, AsyncWriteExt, BufReader};
use tokio::net::{TcpListener, TcpStream};

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

/// A step: GREET, EHLO, AUTH, MAIL, RCPT, DATA, DOT (after the text), and who
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
    taken: Arc<Mutex<Vec<Taken>>>,
    connections: Arc<AtomicUsize>,
    /// The most at the same time.
    most: Arc<AtomicUsize>,
    task: tokio::task::JoinHandle<()>,
}

impl Drop for Relay {
    fn drop(&mut self) {
        self.task.abort();
    }
}

struct Shared {
    script: Box<Script>,
    taken: Arc<Mutex<Vec<Taken>>>,
    open: AtomicUsize,
    most: Arc<AtomicUsize>,
}

impl Relay {
    /// One that takes everything.
    pub async fn kind() -> Self {
        Self::with(|_, _| None).await
    }

    /// One that does at each step what the script says; without a word from it,
    /// the usual.
    pub async fn with(script: impl Fn(&str, &str) -> Option<Reply> + Send + Sync + 'static) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let address = listener.local_addr().unwrap();
        let (taken, connections, most) = (Arc::default(), Arc::new(AtomicUsize::new(0)), Arc::new(AtomicUsize::new(0)));
        let shared = Arc::new(Shared {
            script: Box::new(script),
            taken: Arc::clone(&taken),
            open: AtomicUsize::new(0),
            most: Arc::clone(&most),
        });
        let counted = Arc::clone(&connections);
        let task = tokio::spawn(async move {
            while let Ok((stream, _)) = listener.accept().await {
                counted.fetch_add(1, Ordering::SeqCst);
                let shared = Arc::clone(&shared);
                tokio::spawn(async move {
                    let open = shared.open.fetch_add(1, Ordering::SeqCst) + 1;
                    shared.most.fetch_max(open, Ordering::SeqCst);
                    let _ = talk(stream, &shared).await;
                    shared.open.fetch_sub(1, Ordering::SeqCst);
                });
            }
        });
        Self { address, taken, connections, most, task }
    }

    /// As a setting.
    pub fn url(&self) -> String {
        format!("smtp://{}?tls=none", self.address)
    }

    pub fn taken(&self) -> Vec<Taken> {
        self.taken.lock().unwrap().clone()
    }

    pub fn connections(&self) -> usize {
        self.connections.load(Ordering::SeqCst)
    }

    pub fn most(&self) -> usize {
        self.most.load(Ordering::SeqCst)
    }
}

async fn talk(stream: TcpStream, shared: &Shared) -> std::io::Result<()> {
    stream.set_nodelay(true)?;
    let mut stream = BufReader::new(stream);
    let mut to = String::new();
    let script = |step: &str, to: &str| (shared.script)(step, to);
    if !reply(&mut stream, script("GREET", "").unwrap_or("220 relay.example.org ready".into())).await? {
        return Ok(());
    }
    loop {
        let mut line = String::new();
        if stream.read_line(&mut line).await? == 0 {
            return Ok(());
        }
        let verb = line.split([' ', '\r']).next().unwrap().to_uppercase();
        if verb == "RCPT" {
            to = line.split(['<', '>']).nth(1).unwrap().to_owned();
        }
        let usual = match verb.as_str() {
            "EHLO" => "250-relay.example.org\r\n250-8BITMIME\r\n250 AUTH PLAIN LOGIN",
            "AUTH" => "235 2.7.0 in",
            "DATA" => "354 go on",
            "QUIT" => "221 bye",
            _ => "250 2.0.0 ok",
        };
        let says = script(&verb, &to).unwrap_or(usual.into());
        let goes_on = matches!(&says, Reply::Say(text) | Reply::After(_, text) if text.starts_with("354"));
        if !reply(&mut stream, says).await? || verb == "QUIT" {
            return Ok(());
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

/// The text without its final dot, and without the dots that double a first one
/// (RFC 5321, section 4.5.2).
async fn text(stream: &mut BufReader<TcpStream>) -> std::io::Result<Vec<u8>> {
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
async fn reply(stream: &mut BufReader<TcpStream>, reply: Reply) -> std::io::Result<bool> {
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
                tokio::time::sleep(Duration::from_secs(1)).await;
            }
        }
        Reply::After(wait, text) => {
            tokio::time::sleep(wait).await;
            stream.write_all(format!("{text}\r\n").as_bytes()).await?;
        }
        Reply::Close => return Ok(false),
    }
    Ok(true)
}
