//! Letters, and an app that sends them to a scripted relay.

use super::{NOW, Relay, TestApp};
use burnday::mail::{Kind, Letter, Mail, MailState, Mailbox, Mailer, Pace, Parts, Patience, body, outbox, queue};
use burnday::people;
use burnday::state::App;
use serde_json::Value;
use sqlx::FromRow;
use sqlx::types::Json;
use std::process::{Command, Output};
use std::sync::Arc;
use std::time::Duration;
use time::OffsetDateTime;

/// No waiting between messages, and little patience.
pub fn quick() -> Pace {
    let span = Duration::from_millis(400);
    Pace {
        patience: Patience { command: span, text: span, after_dot: span, at_stop: span },
        connections: 4,
        rate: 100_000.0,
        burst: 100_000.0,
    }
}

/// Sends by this relay from now on.
pub fn send_by(app: &mut App, relay: &Relay, pace: Pace) {
    let folder = app.config.data.clone();
    let config = super::config(&folder, &["--mail-url", &relay.url(), "--mail-from", "Alder Bend <burn@example.org>"]);
    app.mailer = Arc::new(Mailer::new(&config, pace).unwrap());
}

/// A planned burn whose mail goes to this relay.
pub async fn posting(relay: &Relay) -> TestApp {
    let mut test = TestApp::planned().await;
    test.change(|app| send_by(app, relay, quick()));
    test
}

/// A notice to nobody in particular, due now.
pub fn letter(number: usize) -> Letter {
    let words = ["The engine bay doors stay shut.".to_owned()];
    let parts = Parts {
        hello: "Wren",
        lead: "The walk-through is on Friday",
        words: &words,
        press: Some(("See the times", burnday::web::link::Opens::Question.mark(7, 1))),
        from: "Olga Wren",
        phone: "555-0117",
        department: "Alder Bend Fire District",
        ..Parts::default()
    };
    Letter {
        kind: Kind::Notice,
        event_id: Some(1),
        person_id: None,
        request_id: None,
        facts_revision: None,
        dedup: format!("letter {number}"),
        to: Mailbox { name: "Wren Ibarra".to_owned(), address: format!("wren{number}@example.org") },
        reply_to: Mailbox { name: "Olga Wren".to_owned(), address: "olga@example.org".to_owned() },
        subject: format!("Walk-through {number}"),
        body: body(&parts).unwrap(),
        calendars: Vec::new(),
        in_reply_to: None,
        urgent: false,
        due_at: NOW,
        not_after: NOW + time::Duration::days(3),
    }
}

/// A mail about a question, as it stands in the outbox.
#[derive(Debug, Clone)]
pub struct Posted {
    pub id: i64,
    pub message_id: String,
    pub request: i64,
    pub state: String,
    pub text: String,
    /// Each calendar file: its method and text.
    pub calendars: Vec<(String, String)>,
}

#[derive(Debug, FromRow)]
struct PostedRow {
    id: i64,
    message_id: String,
    request_id: i64,
    state: String,
    text: String,
    method: Option<String>,
    calendar: Option<String>,
    more_calendars: Json<Vec<Value>>,
}

impl From<PostedRow> for Posted {
    fn from(row: PostedRow) -> Self {
        let text = |value: &Value| value.as_str().unwrap().to_owned();
        let more = row.more_calendars.iter().map(|one| (text(&one["method"]), text(&one["text"])));
        let PostedRow { id, message_id, request_id: request, state, text, .. } = row;
        let calendars = row.method.zip(row.calendar).into_iter().chain(more).collect();
        Self { id, message_id, request, state, text, calendars }
    }
}

impl TestApp {
    /// What was written about the questions of an event, oldest first.
    #[expect(clippy::disallowed_methods, reason = "the macro checks the queries of the app alone")]
    pub async fn posted(&self, event: i64) -> Vec<Posted> {
        let query = "select id, message_id, request_id, state, text, method, calendar, more_calendars from mail
                     where event_id = ? and request_id is not null and kind in ('ask', 'notice') order by id";
        let rows: Vec<PostedRow> = sqlx::query_as(query).bind(event).fetch_all(self.app.db.read()).await.unwrap();
        rows.into_iter().map(Posted::from).collect()
    }

    /// Queues a letter; its number.
    pub async fn queue(&self, letter: Letter) -> i64 {
        let now = self.app.clock.now();
        let queued = self.app.db.write(move |tx| Box::pin(async move { queue(tx, &letter, now).await }));
        queued.await.unwrap().unwrap()
    }

    pub async fn mail(&self, id: i64) -> Mail {
        let mut connection = self.app.db.read().acquire().await.unwrap();
        outbox::find(&mut connection, id).await.unwrap().unwrap()
    }

    /// The state of a message and what is said of it.
    pub async fn stands(&self, id: i64) -> (MailState, String) {
        let mail = self.mail(id).await;
        (mail.state, mail.words)
    }

    pub async fn tick(&self) {
        burnday::background::tick(&self.app).await.unwrap();
    }

    /// So much later by both clocks, as far as mail can tell.
    pub async fn tick_at(&self, now: OffsetDateTime) {
        self.at(now);
        burnday::mail::pass(&self.app, &burnday::background::OUTSIDE).await.unwrap();
    }

    pub async fn known(&self, person: i64) -> people::Person {
        let mut connection = self.app.db.read().acquire().await.unwrap();
        people::find(&mut connection, person).await.unwrap().unwrap()
    }

    /// Changes the store beside the app.
    pub fn sql(&self, sql: &str) {
        let shell = self.shell(sql);
        assert!(shell.status.success(), "{}", String::from_utf8_lossy(&shell.stderr));
    }

    /// Does the store itself refuse this?
    pub fn refuses(&self, sql: &str) -> bool {
        !self.shell(sql).status.success()
    }

    fn shell(&self, sql: &str) -> Output {
        let path = self.folder.path().join(burnday::db::FILE);
        Command::new("sqlite3").arg("-cmd").arg(".timeout 5000").arg(path).arg(sql).output().unwrap()
    }
}
