//! One message to one person, before it is queued.

use crate::error::Result;
use crate::named::named;
use askama::Template;
use time::OffsetDateTime;

named! {
    /// Why a message is sent, which decides how it is treated on the way.
    Kind, "Choose a kind of mail.", KINDS: [
        // A question that waits for an answer.
        Ask = "ask",
        // Is said again and may be left unsaid.
        Reminder = "reminder",
        // Must arrive: a date moved, a call, a confirmation.
        Notice = "notice",
        // To everybody; can be unsubscribed from.
        Announcement = "announcement",
        // The officer tries whether mail works.
        Test = "test",
    ]
}

named! {
    /// What a calendar file asks of the reader's calendar (RFC 5546).
    Method, "Choose a method.", METHODS: [
        Request = "REQUEST",
        Cancel = "CANCEL",
        Publish = "PUBLISH",
    ]
}

/// A name and an address.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mailbox {
    pub name: String,
    pub address: String,
}

/// A calendar file that goes with a message.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Calendar {
    pub method: Method,
    pub text: String,
}

/// A message as it is queued. Links in its text are marks (see
/// [`Opens::mark`](crate::web::link::Opens::mark)) until it is sent.
#[derive(Debug, Clone)]
pub struct Letter {
    pub kind: Kind,
    pub event_id: Option<i64>,
    pub person_id: Option<i64>,
    /// The question it is about. Once that is answered, a reminder of it is not
    /// sent.
    pub request_id: Option<i64>,
    /// It is not sent once what people are told of the event has changed since
    /// this revision of it.
    pub facts_revision: Option<i64>,
    /// Two letters of one key are one.
    pub dedup: String,
    pub to: Mailbox,
    /// A person who reads what is answered.
    pub reply_to: Mailbox,
    pub subject: String,
    pub body: Body,
    /// The first is shown by programs that know invitations; the others go as
    /// files.
    pub calendars: Vec<Calendar>,
    /// Message-ID of the message that began the conversation; without one, a
    /// letter about a question follows the first about it.
    pub in_reply_to: Option<String>,
    /// Goes out in quiet hours too.
    pub urgent: bool,
    pub due_at: OffsetDateTime,
    /// Later it would be wrong or useless.
    pub not_after: OffsetDateTime,
}

/// What a message says, once as plain text and once as HTML.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Body {
    pub text: String,
    pub html: String,
}

/// One of several things in a message.
#[derive(Debug, Clone, Default)]
pub struct Item {
    pub title: String,
    pub text: String,
    /// What to press, and a link's mark.
    pub press: Option<(&'static str, String)>,
}

/// The parts of a message, in the order they are read.
#[derive(Debug, Clone, Default)]
pub struct Parts<'a> {
    /// Whom it greets; may be empty.
    pub hello: &'a str,
    /// What is asked or told, in one or two lines.
    pub lead: &'a str,
    /// Lines of a label and a text.
    pub facts: &'a [(String, String)],
    /// Further paragraphs.
    pub words: &'a [String],
    /// One thing to press: what it says, and a link's mark.
    pub press: Option<(&'a str, String)>,
    /// Several things, where a message is about more than one.
    pub items: &'a [Item],
    /// What is said under it.
    pub after: &'a str,
    /// Who writes, with a phone number.
    pub from: &'a str,
    /// Of who writes; may be empty.
    pub title: &'a str,
    pub phone: &'a str,
    pub department: &'a str,
    /// Whom to ask, if not who writes; may be empty.
    pub questions: &'a str,
    /// Why it was sent, and other links.
    pub foot: &'a str,
    pub foot_link: Option<(&'a str, String)>,
}

#[derive(Template)]
#[template(path = "mail/letter.html")]
struct Html<'a> {
    parts: &'a Parts<'a>,
}

#[derive(Template)]
#[template(path = "mail/letter.txt")]
struct Text<'a> {
    parts: &'a Parts<'a>,
}

/// Writes a message out of its parts.
///
/// # Errors
/// When a template can't be filled.
pub fn body(parts: &Parts<'_>) -> Result<Body> {
    Ok(Body { text: Text { parts }.render()?, html: Html { parts }.render()? })
}

impl Parts<'_> {
    /// The name in the greeting, unless it looks like an address that a mail
    /// program would make a link of.
    fn greeting(&self) -> String {
        let name = self.hello.trim();
        if name.is_empty() || name.contains("://") || name.contains("www.") || name.contains('@') {
            "Hello,".to_owned()
        } else {
            format!("Hello {name},")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_and_html_say_the_same_and_names_are_no_markup() {
        let facts = [("Day".to_owned(), "Sat 2 Jan 2027".to_owned())];
        let words = ["Bring <b>boots</b> & gloves.".to_owned()];
        let parts = Parts {
            hello: "Marisol",
            lead: "Can you walk the spectator line on burn day?",
            facts: &facts,
            words: &words,
            press: Some(("Answer", "https://burn.example.org/a".to_owned())),
            from: "Priya Okafor",
            phone: "555-0117",
            department: "Alder Bend Fire District",
            ..Parts::default()
        };
        let body = body(&parts).unwrap();
        for part in [&body.text, &body.html] {
            for said in ["Hello Marisol,", "spectator line", "Sat 2 Jan 2027", "555-0117", "https://burn.example.org/a"]
            {
                assert!(part.contains(said), "{said}: {part}");
            }
        }
        assert!(body.text.contains("Bring <b>boots</b> & gloves."));
        assert!(!body.html.contains("<b>boots"));
        assert!(body.text.lines().nth(2).unwrap().contains("spectator line"), "{}", body.text);
    }

    #[test]
    fn a_name_that_reads_as_an_address_is_not_greeted() {
        assert_eq!(Parts { hello: "http://evil.example", ..Parts::default() }.greeting(), "Hello,");
        assert_eq!(Parts { hello: "Wren", ..Parts::default() }.greeting(), "Hello Wren,");
    }
}
