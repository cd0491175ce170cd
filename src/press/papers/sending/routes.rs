//! Choosing who gets a version, and sending it.

use super::page::{SendForm, view};
use crate::accounts::Visit;
use crate::asks::Sender;
use crate::db::Tx;
use crate::error::Result;
use crate::press::editor::PressEditor;
use crate::press::outlets;
use crate::press::papers::before_sending::old_dateline;
use crate::press::papers::event_papers::EventPapers;
use crate::press::papers::holders::{self, Holder};
use crate::press::papers::mailing::{Mailing, emailed};
use crate::press::papers::refusals::{Refusal, Why};
use crate::press::papers::snapshot::PaperSnapshot;
use crate::press::papers::version::Version;
use crate::press::papers::{dateline, store};
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::page::{show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use time::{Date, OffsetDateTime};

pub(in crate::press::papers) fn router() -> Router<App> {
    Router::new().route("/events/{id}/press/releases/{paper}/send", get(choose).merge(post(send)))
}

async fn choose(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path((id, paper)): Path<(i64, i64)>,
) -> Result<Response> {
    show(&view(&app, &visit, &PaperSnapshot::load(&app, id, paper).await?, None, None).await?)
}

async fn send(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path((id, paper)): Path<(i64, i64)>,
    Form(form): Form<SendForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = PaperSnapshot::load(&app, id, paper).await?;
    let nobody = || Refusal::new(Why::NobodyTicked, "Nothing was sent. Check the box beside at least one contact.");
    let dated = snapshot.paper.newest().and_then(|version| old_dateline(version, snapshot.event.today(now)));
    let not_sent = Refusal::to_send(&snapshot)
        .or_else(|| form.contact.is_empty().then(nobody))
        .or_else(|| dated.filter(|_| !form.is_sure()).map(too_old));
    let Some(version) = snapshot.paper.newest().filter(|_| not_sent.is_none()) else {
        let page = view(&app, &visit, &snapshot, Some(&form), not_sent).await?;
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
    };
    let called = version.called();
    let chosen = Chosen { event_id: id, version: version.clone(), dated, contacts: form.contact };
    let said = match mail_all(&app, &visit, chosen, now).await? {
        0 => format!("Nothing was sent. The contacts you chose have the {called} already or can't get email."),
        count => format!("The {called} is on its way to {}.", words::count(count, "contact", "contacts")),
    };
    Ok(flash::redirect(&snapshot.href(), &said))
}

fn too_old(on: Date) -> Refusal {
    let says = format!(
        "Nothing was sent. The dateline says {}. Change it and have the text approved again, or check the box to send \
         it with this date.",
        dateline::short_day(on)
    );
    Refusal::new(Why::OldDateline, says)
}

/// What goes out to whom.
#[derive(Clone)]
struct Chosen {
    event_id: i64,
    version: Version,
    /// The day in its dateline, if that has passed.
    dated: Option<Date>,
    /// The numbers of the contacts.
    contacts: Vec<i64>,
}

/// Emails a version to all who were chosen, in one write.
async fn mail_all(app: &App, visit: &Visit, chosen: Chosen, now: OffsetDateTime) -> Result<usize> {
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    let (by, department) = (visit.user.account_id, visit.user.department.name.clone());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let Chosen { event_id, version, dated, .. } = &chosen;
            let known = EventPapers::load(tx, *event_id, &department, now).await?;
            let Some(known) = known.filter(|known| known.is_true(version)) else { return Ok(0) };
            let count = mail_each(tx, &known, &chosen, (&sender, by), now).await?;
            if let Some(on) = dated.filter(|_| count > 0) {
                store::note_old_dateline(tx, by, *event_id, version, on, now);
            }
            Ok(count)
        })
    });
    write.await
}

/// One email and one log entry for each contact who can get email and doesn't have it.
async fn mail_each(
    tx: &mut Tx,
    known: &EventPapers,
    chosen: &Chosen,
    (sender, by): (&Sender, i64),
    now: OffsetDateTime,
) -> Result<usize> {
    let version = &chosen.version;
    let mailing = Mailing { event: &known.event, version, sender, by };
    let sent = holders::sent_to(tx, version.id).await?;
    let held = holders::of_event(tx, chosen.event_id).await?;
    let mut count = 0;
    for contact in outlets::listed_contacts(tx, chosen.event_id).await? {
        if !chosen.contacts.contains(&contact.id) || sent.contains(&contact.person_id) {
            continue;
        }
        let is_theirs = |held: &&Holder| (held.paper_id, held.person_id) == (version.paper_id, contact.person_id);
        let had = held.iter().find(is_theirs);
        let changes = had.map(|had| known.changes_since(had.version_id)).unwrap_or_default();
        let words = emailed(&version.called());
        count += usize::from(mailing.send(tx, &Holder::of(&contact), changes, words, now).await?);
    }
    Ok(count)
}
