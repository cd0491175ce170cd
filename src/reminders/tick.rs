//! What goes out now. This runs again and again, and sends nothing twice.

use super::letters;
use super::line::{About, Line};
use super::loaded::Loaded;
use super::store::{self, Settled};
use crate::accounts::Role;
use crate::asks::{self, Said, Sender};
use crate::calc::reminder::{Fate, Kind};
use crate::crew;
use crate::db::Tx;
use crate::error::Result;
use crate::events::{self, Event};
use crate::loans;
use crate::mail::{self, Letter};
use crate::state::App;
use time::OffsetDateTime;

/// Reminders about loans go out until this many days after burn day.
const LOANS_GO_BACK: i64 = 4;

/// What to store about one person's reminders.
#[derive(Clone)]
struct Round {
    /// The email with what is said.
    letter: Option<Letter>,
    /// The key of the call sheet in it.
    sheet: Option<String>,
    said: Vec<Line>,
    /// What is no longer said, and what happens to it.
    dropped: Vec<(Line, &'static str)>,
}

/// Queues the reminders that are due.
pub async fn tick(app: &App) -> Result<()> {
    let now = app.clock.now();
    for event in events::list(app.db.read()).await? {
        // After burn day, the only reminders are about items that have to go back.
        let days = (event.today(now) - event.details.burn_on).whole_days();
        if event.is_current && days <= LOANS_GO_BACK {
            of_event(app, &event, days > 1, now).await?;
        }
    }
    Ok(())
}

async fn of_event(app: &App, event: &Event, loans_alone: bool, now: OffsetDateTime) -> Result<()> {
    let loaded = Loaded::of(app, event, now).await?;
    let known = loaded.known(event, now);
    let officer = loaded.accounts.iter().find(|account| account.role == Role::EducationOfficer && !account.disabled);
    let sender = Sender::named(app.db.read(), officer.map(|account| account.id)).await?;
    let base_url = app.config.base_url();
    let mut rounds = Vec::new();
    for (person_id, mut lines) in known.lines() {
        lines.retain(|line| !loans_alone || matches!(line.about, About::Loan(_)));
        let dropped: Vec<_> = lines
            .iter()
            .zip(known.fates(&lines))
            .filter_map(|(line, fate)| match fate {
                Fate::Expired => Some((line.clone(), "expired")),
                Fate::Covered => Some((line.clone(), "covered")),
                Fate::Waits | Fate::Goes | Fate::Cancelled => None,
            })
            .collect();
        let mails = known.mails(person_id, &lines);
        let first = mails.first().filter(|mail| letters::is_due(mail.at, event, now));
        let said: Vec<Line> =
            first.map(|mail| mail.says.iter().map(|place| lines[*place].clone()).collect()).unwrap_or_default();
        let letter = match known.reaches(person_id) {
            Some(person) => letters::letter(&known, person, &said.iter().collect::<Vec<_>>(), &sender, &base_url)?,
            None => None,
        };
        if !dropped.is_empty() || letter.is_some() {
            let sheet = letters::sheet_in(&known, &said).map(|sheet| sheet.made_from.clone());
            rounds.push(Round { letter, sheet, said, dropped });
        }
    }
    if rounds.is_empty() {
        return Ok(());
    }
    let (id, revision) = (event.id, event.facts_revision);
    app.db.write(move |tx| Box::pin(async move { keep(tx, (id, revision), rounds, now).await })).await
}

/// Checks everything once more before it is stored, since an answer or a new date may have
/// come in the meantime.
async fn keep(tx: &mut Tx, (event_id, revision): (i64, i64), rounds: Vec<Round>, now: OffsetDateTime) -> Result<()> {
    if events::revision_in(tx, event_id).await? != Some(revision) {
        return Ok(());
    }
    for round in rounds {
        for (line, became) in &round.dropped {
            store::settle(tx, &settled(event_id, line), became, now).await?;
        }
        let mut goes = !round.said.is_empty();
        for line in &round.said {
            goes = goes && is_still_true(tx, line).await?;
        }
        // If not, the next tick makes another email from the rest.
        let Some(letter) = round.letter.filter(|_| goes) else { continue };
        for line in &round.said {
            store::settle(tx, &settled(event_id, line), "said", now).await?;
        }
        mail::queue(tx, &letter, now).await?;
        if let Some(made_from) = &round.sheet {
            crew::note_sheet(tx, &letter.dedup, made_from).await?;
        }
    }
    Ok(())
}

fn settled(event_id: i64, line: &Line) -> Settled<'_> {
    Settled { key: &line.key, event_id, person_id: line.person_id, title: &line.title }
}

async fn is_still_true(tx: &mut Tx, line: &Line) -> Result<bool> {
    let (request, kind) = match &line.about {
        About::Question { request, kind } => (request, kind),
        About::Loan(out) => return loans::is_out(tx, out.id).await,
        About::Task { .. } | About::Week(_) => return Ok(true),
    };
    let Some(new) = asks::of_request_in(tx, request.id).await? else { return Ok(false) };
    if new.is_withdrawn {
        return Ok(false);
    }
    let comes = |ask: &asks::Ask| ask.stands().is_some_and(|a| matches!(a.said, Said::Yes | Said::Deputy));
    Ok(match kind {
        Kind::Chase => new.live().any(|ask| ask.stands().is_none()),
        Kind::Remind | Kind::LastWord => new.live().any(comes),
    })
}
