//! One message to one person, before it is queued.

use crate::error::Result;
use crate::named::named;
use askama::Template;
use time::OffsetDateTime;

named! {
    /// Why a message is sent, which decides how it is handled.
    Kind, "Choose a type of email.", KINDS: [
        // A question that waits for an answer.
        Ask = "ask",
        // Repeats what was said before and may be left out.
        Reminder = "reminder",
        // Must arrive: a changed date, a call, a confirmation.
        Notice = "notice",
        // To everyone; people can unsubscribe.
        Announcement = "announcement",
        // The officer checks whether email works.
        Test = "test",
    ]
}

named! {
    /// What a calendar file asks the reader's calendar to do (RFC 5546).
    Method, "Choose a method.", METHODS: [
        Request = "REQUEST",
        Cancel = "CANCEL",
        Publish = "PUBLISH",
    ]
}

impl Kind {
    /// As people read it.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::Ask => "Question",
            Self::Reminder => "Reminder",
            Self::Notice => "Update",
            Self::Announcement => "Announcement",
            Self::Test => "Test",
        }
    }
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
    /// The question it is about. Once that is answered, its reminders are no longer
    /// sent.
    pub request_id: Option<i64>,
    /// It isn't sent if what people know about the event has changed since this
    /// revision.
    pub facts_revision: Option<i64>,
    /// Two letters with the same key are one.
    pub dedup: String,
    pub to: Mailbox,
    /// The person who reads the replies.
    pub reply_to: Mailbox,
    pub subject: String,
    pub body: Body,
    /// Programs that know invitations show the first; the others go as files.
    pub calendars: Vec<Calendar>,
    /// Message-ID of the message that began the conversation. Without one, a letter
    /// about a question follows the first letter about it.
    pub in_reply_to: Option<String>,
    /// Goes out at night too.
    pub urgent: bool,
    pub due_at: OffsetDateTime,
    /// After that it would be wrong or of no use.
    pub not_after: OffsetDateTime,
}

/// What a message says, in plain text and in HTML.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Body {
    pub text: String,
    pub html: String,
}

/// One of several items in a message.
#[derive(Debug, Clone, Default)]
pub struct Item {
    pub title: String,
    pub text: String,
    /// What the link says, and its mark.
    pub press: Option<(&'static str, String)>,
}

/// The parts of a message, in the order they are read.
#[derive(Debug, Clone, Default)]
pub struct Parts<'a> {
    /// Who it greets; may be empty.
    pub hello: &'a str,
    /// How a formal letter begins, such as "Dear Mayor Vance:"; empty in a friendly message.
    pub dear: &'a str,
    /// The question or the news, in one or two lines.
    pub lead: &'a str,
    /// Labels with their texts.
    pub facts: &'a [(String, String)],
    /// Further paragraphs.
    pub words: &'a [String],
    /// One button: what it says, and the mark of its link.
    pub press: Option<(&'a str, String)>,
    /// Several items, if a message is about more than one.
    pub items: &'a [Item],
    /// The text below it.
    pub after: &'a str,
    /// Who writes.
    pub from: &'a str,
    /// Of the person who writes; may be empty. Only formal letters have one.
    pub title: &'a str,
    pub phone: &'a str,
    pub department: &'a str,
    /// Who answers questions, if not the person who writes; may be empty.
    pub questions: &'a str,
    /// Why it was sent.
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

/// Writes a message from its parts.
///
/// # Errors
/// If a template can't be filled.
pub fn body(parts: &Parts<'_>) -> Result<Body> {
    Ok(Body { text: Text { parts }.render()?, html: Html { parts }.render()? })
}

impl Parts<'_> {
    /// The greeting, without a name that looks like an address: email programs would turn
    /// it into a link.
    fn greeting(&self) -> String {
        let (name, dear) = (self.hello.trim(), self.dear.trim());
        let is_link = |text: &str| text.contains("://") || text.contains("www.") || text.contains('@');
        if is_link(name) || is_link(dear) || (name.is_empty() && dear.is_empty()) {
            "Hello,".to_owned()
        } else if dear.is_empty() {
            format!("Hello {name},")
        } else {
            dear.to_owned()
        }
    }

    /// Does it close like a letter, with "Sincerely," and the title of whoever signs?
    fn is_formal(&self) -> bool {
        !self.dear.is_empty() || !self.title.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_and_html_say_the_same_and_names_are_no_markup() {
        let facts = [("Day".to_owned(), "Saturday, January 2, 2027".to_owned())];
        let words = ["Bring <b>boots</b> & gloves.".to_owned()];
        let parts = Parts {
            hello: "Marisol",
            lead: "Can you walk the spectator line on burn day?",
            facts: &facts,
            words: &words,
            press: Some(("Answer", "https://burn.example.org/a".to_owned())),
            from: "Priya Okafor",
            phone: "555-555-0117",
            department: "Alder Bend Fire District",
            ..Parts::default()
        };
        let body = body(&parts).unwrap();
        for part in [&body.text, &body.html] {
            for said in [
                "Hello Marisol,",
                "spectator line",
                "Saturday, January 2, 2027",
                "(555) 555-0117",
                "https://burn.example.org/a",
            ] {
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
        assert_eq!(Parts { dear: "Dear www.evil.example:", ..Parts::default() }.greeting(), "Hello,");
        assert_eq!(Parts { hello: "Wren", ..Parts::default() }.greeting(), "Hello Wren,");
        assert_eq!(
            Parts { hello: "Wren", dear: "Dear Mayor Vance:", ..Parts::default() }.greeting(),
            "Dear Mayor Vance:"
        );
    }

    #[test]
    fn only_a_formal_letter_closes_with_sincerely() {
        let closes = |parts: Parts<'_>| {
            let Body { text, html } = body(&parts).unwrap();
            assert_eq!(text.contains("Sincerely,"), html.contains("Sincerely,"));
            text.contains("Sincerely,")
        };
        assert!(closes(Parts { dear: "Dear Mayor Vance:", from: "Priya Okafor", ..Parts::default() }));
        assert!(closes(Parts { hello: "Wren", from: "Olga Wren", title: "Fire chief", ..Parts::default() }));
        assert!(!closes(Parts { hello: "Wren", from: "Olga Wren", ..Parts::default() }));
    }
}
