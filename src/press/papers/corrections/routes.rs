//! Sending a correction by email, and noting that someone was called with it.

use super::outdated::{Outdated, outdated_in};
use crate::accounts::Visit;
use crate::asks::Sender;
use crate::db::Tx;
use crate::error::{Error, Result};
use crate::people;
use crate::press::editor::PressEditor;
use crate::press::papers::changes::changes_say;
use crate::press::papers::holders::{self, Holder};
use crate::press::papers::mailing::Mailing;
use crate::press::papers::page::show_refused;
use crate::press::papers::refusals::Refusal;
use crate::press::papers::snapshot::PaperSnapshot;
use crate::press::papers::version::Version;
use crate::state::App;
use crate::web::flash;
use crate::web::path::Path;
use crate::web::routes::post;
use crate::web::words;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use time::OffsetDateTime;

pub(in crate::press::papers) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/press/releases/{paper}/corrections", post(send))
        .route("/events/{id}/press/releases/{paper}/corrections/{person}", post(called))
}

async fn send(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path((id, paper)): Path<(i64, i64)>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = PaperSnapshot::load(&app, id, paper).await?;
    let (here, refused) = (snapshot.href(), Refusal::to_send(&snapshot));
    let Some(version) = snapshot.paper.newest().filter(|_| refused.is_none()).cloned() else {
        return show_refused(&app, &visit, snapshot, refused).await;
    };
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    let (by, department) = (visit.user.account_id, visit.user.department.name.clone());
    let write = app
        .db
        .write(move |tx| Box::pin(async move { mail_all(tx, (id, &department), &version, (&sender, by), now).await }));
    let said = match write.await? {
        0 => "Nothing was sent. Everyone who can get email has the newest version.".to_owned(),
        count => format!("The correction is on its way to {}.", words::count(count, "contact", "contacts")),
    };
    Ok(flash::redirect(&here, &said))
}

async fn mail_all(
    tx: &mut Tx,
    place: (i64, &str),
    version: &Version,
    (sender, by): (&Sender, i64),
    now: OffsetDateTime,
) -> Result<usize> {
    let Some((event, outdated)) = outdated_in(tx, place, version, now).await? else { return Ok(0) };
    let mailing = Mailing { event: &event, version, sender, by };
    let mut count = 0;
    for Outdated { holder, changes } in outdated {
        let words = format!("Emailed a correction, the {}: {}.", version.called(), changes_say(&changes));
        count += usize::from(mailing.send(tx, &holder, changes, words, now).await?);
    }
    Ok(count)
}

/// Someone was told by phone what has changed.
async fn called(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path((id, paper, person)): Path<(i64, i64, i64)>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = PaperSnapshot::load(&app, id, paper).await?;
    let (here, refused) = (snapshot.href(), Refusal::to_send(&snapshot));
    people::find(&mut *app.db.read().acquire().await?, person).await?.ok_or(Error::NotFound)?;
    let Some(version) = snapshot.paper.newest().filter(|_| refused.is_none()).cloned() else {
        return show_refused(&app, &visit, snapshot, refused).await;
    };
    let said = match note_call(&app, &visit, (id, person), version, now).await? {
        Some(name) => format!("Your call to {name} is in the contact log."),
        None => "Nothing was saved. They have the newest version already.".to_owned(),
    };
    Ok(flash::redirect(&here, &said))
}

/// Logs the call and gives the person's name; none if they have the newest version.
async fn note_call(
    app: &App,
    visit: &Visit,
    (event_id, person): (i64, i64),
    version: Version,
    now: OffsetDateTime,
) -> Result<Option<String>> {
    let (by, department) = (visit.user.account_id, visit.user.department.name.clone());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let outdated = outdated_in(tx, (event_id, &department), &version, now).await?;
            let found = outdated.and_then(|(_, all)| all.into_iter().find(|one| one.holder.person_id == person));
            let Some(Outdated { holder, changes }) = found else { return Ok(None) };
            let words = format!("Called with a correction, the {}: {}.", version.called(), changes_say(&changes));
            let holder = Holder { version_id: version.id, ..holder };
            holders::note_correction(tx, by, event_id, &holder, words, now).await?;
            Ok(Some(holder.person))
        })
    });
    write.await
}
