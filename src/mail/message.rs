//! A message as it is sent. One row always gives the same bytes, so that a second copy
//! is recognized as one.

use super::letter::{Kind, Mailbox};
use super::outbox::Mail;
use crate::web::link::{LinkKey, Opens};
use lettre::message::header::{ContentType, HeaderName, HeaderValue};
use lettre::message::{Attachment, Mailbox as Named, MultiPart, SinglePart};
use lettre::{Address, Message};
use std::time::{Duration, UNIX_EPOCH};

/// Names and subjects are cut off after this many characters.
const LONGEST_LINE: usize = 250;

/// A message with its envelope.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Built {
    pub from: Address,
    pub to: Address,
    pub bytes: Vec<u8>,
}

/// Builds the message of a row; its marks become links here.
///
/// # Errors
/// In words, why it can't be written.
pub fn build(mail: &Mail, sender: &Named, key: &LinkKey, base_url: &str) -> Result<Built, String> {
    let to = named(&mail.to)?;
    let date = mail.due_at.max(mail.created_at).unix_timestamp();
    let date = UNIX_EPOCH + Duration::from_secs(u64::try_from(date).unwrap_or(0));
    let mut message = Message::builder()
        .from(sender.clone())
        .reply_to(named(&mail.reply_to)?)
        .to(to.clone())
        .subject(line(&mail.subject))
        .date(date)
        .message_id(Some(angled(&mail.message_id)))
        // RFC 3834, section 5: no automatic reply should answer this.
        .raw_header(raw("Auto-Submitted", "auto-generated".to_owned()));
    if let Some(first) = &mail.in_reply_to {
        message = message.in_reply_to(angled(first)).references(angled(first));
    }
    if let (Kind::Announcement, Some(person)) = (mail.kind, mail.person_id) {
        let link = key.fill(&Opens::Announcements.mark(person, 1), base_url);
        // RFC 8058, section 3.1.
        message = message
            .raw_header(raw("List-Unsubscribe", format!("<{link}>")))
            .raw_header(raw("List-Unsubscribe-Post", "List-Unsubscribe=One-Click".to_owned()));
    }
    let message = message.multipart(parts(mail, key, base_url)?).map_err(|error| error.to_string())?;
    Ok(Built { from: sender.email.clone(), to: to.email, bytes: message.formatted() })
}

/// Text and HTML. Calendars go along as RFC 6047 section 2.4 says, and once more as
/// files for programs that only know files. The first is one of the alternatives, where
/// programs look for an invitation; each file has one entry, since one invitation can't
/// hold two (RFC 5546 section 3.2.2).
fn parts(mail: &Mail, key: &LinkKey, base_url: &str) -> Result<MultiPart, String> {
    let fill = |text: &str| key.fill(text, base_url);
    let boundary = |of: &str| format!("burnday-{of}-{}-{}", mail.id, mail.created_at.unix_timestamp());
    let read = MultiPart::alternative()
        .boundary(boundary("read"))
        .singlepart(SinglePart::plain(fill(&mail.text)))
        .singlepart(SinglePart::html(fill(&mail.html)));
    let Some(((method, first), more)) = mail.calendars.split_first() else { return Ok(read) };
    let kind = |method: &str| {
        let kind = format!("text/calendar; charset=utf-8; method={method}");
        ContentType::parse(&kind).map_err(|error| error.to_string())
    };
    let attached = ContentType::parse("application/ics").map_err(|error| error.to_string())?;
    let first = fill(first);
    let invitation = SinglePart::builder().header(kind(method)?).body(first.clone());
    let mut all = MultiPart::mixed()
        .boundary(boundary("all"))
        .multipart(read.singlepart(invitation))
        .singlepart(Attachment::new("invitation.ics".to_owned()).body(first, attached));
    for (place, (method, calendar)) in more.iter().enumerate() {
        let name = format!("invitation-{}.ics", place + 2);
        all = all.singlepart(Attachment::new(name).body(fill(calendar), kind(method)?));
    }
    Ok(all)
}

fn named(mailbox: &Mailbox) -> Result<Named, String> {
    let address = mailbox.address.parse().map_err(|_| format!("{} isn't an email address.", line(&mailbox.address)))?;
    let name = line(&mailbox.name);
    Ok(Named::new((!name.is_empty()).then_some(name), address))
}

/// One line without anything that could end a header, and short enough that a single
/// word fits on a line of a message (RFC 5322, section 2.1.1).
fn line(text: &str) -> String {
    let breaks = |c: char| c.is_control() || matches!(c, '\u{2028}' | '\u{2029}');
    let line = text.replace(breaks, " ").split_whitespace().collect::<Vec<_>>().join(" ");
    line.chars().take(LONGEST_LINE).collect()
}

fn angled(id: &str) -> String {
    let id: String =
        id.chars().filter(|c| c.is_ascii_graphic() && !matches!(c, '<' | '>')).take(LONGEST_LINE).collect();
    format!("<{id}>")
}

fn raw(name: &'static str, value: String) -> HeaderValue {
    HeaderValue::new(HeaderName::new_from_ascii_str(name), value)
}
