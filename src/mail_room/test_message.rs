//! A test email to whoever asks for it.

use super::list::PATH;
use super::visitor::account;
use crate::accounts::{self, Officer, Visit};
use crate::error::Result;
use crate::mail::{Kind, Letter, Mailbox, Parts, body, outbox, queue};
use crate::state::App;
use crate::web::flash;
use crate::web::link::short_id;
use axum::extract::State;
use axum::response::Response;
use time::{Duration, OffsetDateTime};

pub(super) async fn test(State(app): State<App>, Officer(visit): Officer) -> Result<Response> {
    let now = app.clock.now();
    let account = account(&app, &visit).await?;
    let letter = test_letter(&visit, &account, now)?;
    let (actor, to) = (visit.user.actor(), letter.to.address.clone());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            if let Some(id) = queue(tx, &letter, now).await? {
                outbox::note_test(tx, actor, id, &letter.subject, now);
            }
            Ok(())
        })
    });
    write.await?;
    Ok(flash::redirect(PATH, &format!("A test is on its way to {to}. Reload this page to see whether it went out.")))
}

fn test_letter(visit: &Visit, account: &accounts::Account, now: OffsetDateTime) -> Result<Letter> {
    let department = &visit.user.department;
    let words = ["If you can read this, email from Burnday reaches you. If it went to your junk folder, ask whoever \
                  runs your email server to set up SPF and DKIM."
        .to_owned()];
    let parts = Parts {
        hello: &account.name,
        lead: "This is a test email",
        words: &words,
        from: &account.name,
        phone: &department.phone,
        department: &department.name,
        foot: "You sent this to yourself from the Email page in Burnday.",
        ..Parts::default()
    };
    let me = Mailbox { name: account.name.clone(), address: account.mail.clone() };
    Ok(Letter {
        kind: Kind::Test,
        event_id: None,
        person_id: None,
        request_id: None,
        facts_revision: None,
        dedup: format!("test {} {} {}", account.id, now.unix_timestamp(), short_id()),
        reply_to: me.clone(),
        to: me,
        subject: format!("Test email from {}", department.name),
        body: body(&parts)?,
        calendars: Vec::new(),
        in_reply_to: None,
        urgent: true,
        due_at: now,
        not_after: now + Duration::DAY,
    })
}
