//! What an email server has delivered, read by a parser that is neither ours nor from the
//! authors of the library we send with.

use mail_parser::{Address, Message, MessageParser, MimeHeaders};
use std::collections::HashSet;
use std::path::PathBuf;
use std::time::{Duration, Instant};

/// A busy machine gets this long to deliver.
const PATIENCE: Duration = Duration::from_secs(30);

/// A folder with one file a message.
pub struct Maildir {
    new: PathBuf,
    read: HashSet<PathBuf>,
}

impl Maildir {
    /// An empty one.
    pub fn at(path: String) -> Self {
        let maildir = Self { new: PathBuf::from(path).join("new"), read: HashSet::new() };
        assert_eq!(maildir.count(), 0, "anything already there would count as ours");
        maildir
    }

    fn files(&self) -> HashSet<PathBuf> {
        self.new.read_dir().unwrap().map(|file| file.unwrap().path()).collect()
    }

    pub fn count(&self) -> usize {
        self.files().len()
    }

    /// Waits for this many messages that haven't been read yet.
    pub async fn next(&mut self, number: usize) -> Vec<Arrived> {
        let start = Instant::now();
        loop {
            let files = self.files();
            let unread: Vec<PathBuf> = files.difference(&self.read).cloned().collect();
            assert!(unread.len() <= number, "{} messages instead of {number}", unread.len());
            if unread.len() == number {
                self.read = files;
                return unread.iter().map(|path| Arrived(std::fs::read(path).unwrap())).collect();
            }
            assert!(start.elapsed() < PATIENCE, "{} of {number} messages arrived", unread.len());
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
    }
}

/// A message as the server stored it.
pub struct Arrived(Vec<u8>);

impl Arrived {
    fn read(&self) -> Message<'_> {
        MessageParser::default().parse(&self.0).unwrap()
    }

    /// Checks that it went to this one person, in its headers and on its envelope.
    pub fn is_to(&self, name: &str, address: &str) {
        let message = self.read();
        let to = message.to().unwrap();
        let found: Vec<_> = to.iter().map(|one| (one.name().unwrap(), one.address().unwrap())).collect();
        assert_eq!(found, [(name, address)]);
        assert!(!self.has("Cc") && !self.has("Bcc"));
        // The server adds the address it delivered to.
        let envelope: Vec<&str> = message.headers_raw().filter(|head| head.0 == "Delivered-To").map(|h| h.1).collect();
        assert_eq!(envelope.iter().map(|value| value.trim()).collect::<Vec<_>>(), [address]);
    }

    /// Checks that it came through the server, from us, and says that no person sent it.
    pub fn is_ours(&self) {
        let message = self.read();
        assert!(message.header_raw("Received").unwrap().contains("(Postfix)"));
        assert_eq!(address(message.from()), "burn@example.org");
        assert_eq!(message.return_address(), Some("burn@example.org"));
        assert_eq!(message.header_raw("Auto-Submitted").unwrap().trim(), "auto-generated");
    }

    pub fn has(&self, header: &str) -> bool {
        self.read().header_raw(header).is_some()
    }

    pub fn id(&self) -> String {
        self.read().message_id().unwrap().to_owned()
    }

    pub fn in_reply_to(&self) -> String {
        self.read().in_reply_to().as_text().unwrap().to_owned()
    }

    pub fn reply_to(&self) -> String {
        address(self.read().reply_to()).to_owned()
    }

    pub fn subject(&self) -> String {
        self.read().subject().unwrap().to_owned()
    }

    /// The parts of a type, each with its method, file name and text.
    fn parts(&self, kind: &str) -> Vec<(String, String, String)> {
        let message = self.read();
        let mut parts = Vec::new();
        for part in &message.parts {
            let Some(found) = part.content_type() else { continue };
            if format!("{}/{}", found.ctype(), found.subtype().unwrap_or_default()) == kind {
                let text = String::from_utf8(part.contents().to_vec()).unwrap().replace("\r\n", "\n");
                let method = found.attribute("method").unwrap_or_default().to_owned();
                parts.push((method, part.attachment_name().unwrap_or_default().to_owned(), text));
            }
        }
        assert!(parts.len() <= 1, "{} parts of {kind}", parts.len());
        parts
    }

    pub fn text(&self) -> String {
        self.parts("text/plain").remove(0).2
    }

    pub fn html(&self) -> String {
        self.parts("text/html").remove(0).2
    }

    /// The address that follows these words in the text.
    pub fn link(&self, after: &str) -> String {
        self.text().lines().find_map(|line| line.strip_prefix(after).map(str::to_owned)).unwrap()
    }

    /// The invitation: its method, and the calendar file with unfolded lines.
    pub fn calendar(&self) -> Option<(String, String)> {
        self.parts("text/calendar").pop().map(|(method, _, text)| (method, text.replace("\n ", "")))
    }

    /// The same as an attached file: its name and its content.
    pub fn file(&self) -> Option<(String, String)> {
        self.parts("application/ics").pop().map(|(_, name, text)| (name, text.replace("\n ", "")))
    }
}

/// The address in a header that must have exactly one.
fn address<'a>(header: Option<&'a Address<'_>>) -> &'a str {
    let all: Vec<&str> = header.unwrap().iter().map(|one| one.address().unwrap()).collect();
    assert_eq!(all.len(), 1, "{all:?}");
    all[0]
}
