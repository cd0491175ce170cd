//! What everyone was told about a question, how, and what they know from it.

use super::Statement;
use super::rewording::Pairs;
use crate::asks::Request;
use crate::asks::store::entry;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::events::Event;
use serde::{Deserialize, Serialize};
use sqlx::SqliteConnection;
use sqlx::types::Json;
use std::collections::{BTreeSet, HashMap};
use time::OffsetDateTime;

/// How someone came to know something.
#[derive(Debug, Clone, Copy)]
pub(in crate::asks) enum By<'a> {
    /// From the email with this key.
    Mail(&'a str),
    /// They said it, or were told in a call.
    Voice,
    /// From a page, until the confirming email arrives.
    Page,
    /// We assume they know how it was before.
    Assumed,
}

#[derive(Serialize)]
struct StatementRow<'a> {
    request_id: i64,
    mail_dedup: Option<&'a str>,
    way: &'static str,
    content: &'a Statement,
    at: i64,
    recorded_by: Option<i64>,
}

/// Notes what someone knows from now on. It is stored at the commit, after the emails of
/// the same write.
///
/// # Errors
/// When it can't be written as JSON.
pub(in crate::asks) fn note_statement(
    tx: &mut Tx,
    request_id: i64,
    by: By<'_>,
    content: &Statement,
    (actor, now): (Actor, OffsetDateTime),
) -> Result<()> {
    let (way, mail_dedup) = match by {
        By::Mail(dedup) => ("mail", Some(dedup)),
        By::Voice => ("voice", None),
        By::Page => ("page", None),
        By::Assumed => ("assumed", None),
    };
    let recorded_by = if let Actor::Account(id) = actor { Some(id) } else { None };
    let row = StatementRow { request_id, mail_dedup, way, content, at: now.unix_timestamp(), recorded_by };
    tx.later("statement", serde_json::to_string(&row)?.into(), |db, rows| Box::pin(keep_statements(db, rows)));
    Ok(())
}

/// Writes into the journal that someone was told by phone how it is now.
pub(in crate::asks) fn note_told(tx: &mut Tx, actor: Actor, request: &Request, now: OffsetDateTime) {
    record(tx, now, entry(actor, "gave a phone update on", request.event_id, request.id, &request.question));
}

/// Trusts what was noted again: nothing was sent after the copy was made.
pub(in crate::asks) async fn trust_statements(
    tx: &mut Tx,
    actor: Actor,
    event: &Event,
    now: OffsetDateTime,
) -> Result<()> {
    sqlx::query!(
        "update statement set is_doubtful = 0, content = json_set(content, '$.by_voice', json('true'))
         where request_id in (select id from request where event_id = ?)",
        event.id
    )
    .execute(&mut **tx)
    .await?;
    let verb = "confirmed that nothing newer was sent for";
    record(tx, now, Entry { subject: "event", ..entry(actor, verb, event.id, event.id, &event.details.name) });
    Ok(())
}

async fn keep_statements(db: &mut SqliteConnection, rows: String) -> sqlx::Result<()> {
    sqlx::query!(
        "insert into statement (request_id, mail_dedup, way, content, at, recorded_by)
         select v ->> 'request_id', v ->> 'mail_dedup', v ->> 'way', v -> 'content', v ->> 'at', v ->> 'recorded_by'
         from (select value as v, key from json_each(?)) order by key",
        rows
    )
    .execute(db)
    .await
    .map(|_| ())
}

/// Puts new words in place of a question's old lines in everything noted about it.
pub(in crate::asks) async fn reword_statements(tx: &mut Tx, request_id: i64, pairs: &Pairs) -> Result<()> {
    let rows = sqlx::query!(
        r#"select id as "id!", content as "content!: Json<Statement>" from statement where request_id = ?"#,
        request_id
    );
    for row in rows.fetch_all(&mut **tx).await? {
        let mut statement = row.content.0;
        statement.reword(pairs);
        let facts = serde_json::to_string(&statement.facts)?;
        sqlx::query!(
            "update statement set content = json_set(content, '$.facts', json(?)) where id = ?",
            facts,
            row.id
        )
        .execute(&mut **tx)
        .await?;
    }
    Ok(())
}

/// What happens to an email that is waiting.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::asks) enum Waiting {
    /// It goes out and confirms what a page showed.
    GoesOut,
    /// The next email replaces it, and what a page showed still holds.
    IsTakenBack,
}

/// One thing someone was told.
#[derive(Debug, Clone, Deserialize)]
pub(in crate::asks) struct Noted {
    way: String,
    /// The email's state, if it was an email.
    state: Option<String>,
    unsure: Option<i64>,
    #[serde(deserialize_with = "bit")]
    is_doubtful: bool,
    content: Statement,
}

/// A boolean as the store holds it.
fn bit<'de, D: serde::Deserializer<'de>>(from: D) -> std::result::Result<bool, D::Error> {
    Ok(i64::deserialize(from)? != 0)
}

impl Noted {
    fn reaches(&self, waiting: Waiting) -> bool {
        match (self.way.as_str(), self.state.as_deref()) {
            ("page", _) => waiting == Waiting::IsTakenBack,
            ("mail", Some("sending" | "sent" | "uncertain")) => true,
            ("mail", Some("waiting")) if waiting == Waiting::GoesOut => true,
            // The relay may have taken it anyway.
            ("mail", Some("waiting" | "cancelled")) => self.unsure.unwrap_or_default() > 0,
            ("mail", _) => false,
            _ => true,
        }
    }

    fn is_sent(&self) -> bool {
        self.state.as_deref() == Some("sent")
    }
}

/// What someone knows from everything they were told, oldest first, and whether it is in
/// doubt. None if nothing reached them, unless the store is a copy: then they may have
/// been told after it was made.
///
/// Only emails change a calendar. Its entries follow from the emails that arrived and
/// aren't carried over from row to row, since an email that was on its way when something
/// else was noted may still fail.
pub(in crate::asks) fn known<'a>(
    told: impl IntoIterator<Item = &'a Noted>,
    waiting: Waiting,
) -> Option<(Statement, bool)> {
    let told: Vec<&Noted> = told.into_iter().collect();
    let mut newest: Option<&Noted> = None;
    let mut entries: Option<BTreeSet<i64>> = None;
    for one in told.iter().copied().filter(|one| one.reaches(waiting)) {
        newest = Some(one);
        if one.way != "mail" {
            continue;
        }
        match &mut entries {
            // What it removes may still be there.
            Some(known) if waiting == Waiting::IsTakenBack && !one.is_sent() => known.extend(&one.content.entries),
            _ => entries = Some(one.content.entries.clone()),
        }
    }
    let Some(newest) = newest else {
        let doubtful = told.into_iter().rfind(|one| one.is_doubtful)?;
        return Some((Statement { entries: doubtful.content.entries.clone(), ..Statement::default() }, true));
    };
    let entries = entries.unwrap_or_else(|| newest.content.entries.clone());
    Some((Statement { entries, ..newest.content.clone() }, newest.is_doubtful))
}

struct Row {
    request_id: i64,
    way: String,
    state: Option<String>,
    unsure: Option<i64>,
    is_doubtful: bool,
    content: Json<Statement>,
}

impl From<Row> for Noted {
    fn from(row: Row) -> Self {
        let Row { way, state, unsure, is_doubtful, content, .. } = row;
        Self { way, state, unsure, is_doubtful, content: content.0 }
    }
}

/// What the people asked about an event know, by question, and whether it is in doubt.
/// Only questions with something noted are in it, with an empty statement if none of it
/// reached them.
pub(in crate::asks) async fn statements(
    db: &mut SqliteConnection,
    event_id: i64,
    waiting: Waiting,
) -> Result<HashMap<i64, (Statement, bool)>> {
    let rows = sqlx::query_as!(
        Row,
        r#"select s.request_id as "request_id!", s.way as "way!", m.state as "state?", m.unsure as "unsure?",
                  s.is_doubtful as "is_doubtful!: bool", s.content as "content!: Json<Statement>"
           from statement s left join mail m on m.dedup = s.mail_dedup join request r on r.id = s.request_id
           where r.event_id = ? order by s.id"#,
        event_id
    );
    let mut told: HashMap<i64, Vec<Noted>> = HashMap::new();
    for row in rows.fetch_all(db).await? {
        told.entry(row.request_id).or_default().push(row.into());
    }
    Ok(told.into_iter().map(|(request, told)| (request, known(&told, waiting).unwrap_or_default())).collect())
}

/// What the person asked knows about a question, if anything reached them. Emails waiting
/// to go out don't count, since the next email replaces them.
pub(in crate::asks) async fn statement_of(db: &mut SqliteConnection, request_id: i64) -> Result<Option<Statement>> {
    let rows = sqlx::query_as!(
        Row,
        r#"select s.request_id as "request_id!", s.way as "way!", m.state as "state?", m.unsure as "unsure?",
                  s.is_doubtful as "is_doubtful!: bool", s.content as "content!: Json<Statement>"
           from statement s left join mail m on m.dedup = s.mail_dedup where s.request_id = ? order by s.id"#,
        request_id
    );
    let told: Vec<Noted> = rows.fetch_all(db).await?.into_iter().map(Noted::from).collect();
    Ok(known(&told, Waiting::IsTakenBack).map(|known| known.0))
}

/// Was anything noted about a question, whether it arrived or is still on its way?
pub(in crate::asks) async fn is_noted(tx: &mut Tx, request_id: i64) -> Result<bool> {
    let noted = sqlx::query_scalar!(
        r#"select exists (select 1 from statement where request_id = ?) as "noted!: bool""#,
        request_id
    );
    Ok(noted.fetch_one(&mut **tx).await?)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(way: &str, state: Option<&str>, entries: &[i64]) -> Noted {
        let content = Statement { entries: entries.iter().copied().collect(), ..Statement::default() };
        let (way, state) = (way.to_owned(), state.map(str::to_owned));
        Noted { way, state, unsure: Some(0), is_doubtful: false, content }
    }

    fn entries(told: &[Noted], waiting: Waiting) -> Vec<i64> {
        known(told, waiting).unwrap().0.entries.into_iter().collect()
    }

    #[test]
    fn what_a_failed_message_took_out_is_still_in_the_calendar() {
        let invited = || told("mail", Some("sent"), &[1]);
        // It was on its way when they looked at the page, and when someone called.
        for later in ["page", "voice", "assumed"] {
            let all = |state| [invited(), told("mail", Some(state), &[]), told(later, None, &[])];
            assert_eq!(entries(&all("failed"), Waiting::IsTakenBack), [1], "{later}");
            assert_eq!(entries(&all("sent"), Waiting::IsTakenBack), [] as [i64; 0], "{later}");
            // No one knows yet whether it will arrive.
            for state in ["sending", "uncertain"] {
                assert_eq!(entries(&all(state), Waiting::IsTakenBack), [1], "{later} {state}");
            }
        }
        let waits = [invited(), told("mail", Some("waiting"), &[])];
        assert_eq!(entries(&waits, Waiting::GoesOut), [] as [i64; 0]);
        assert_eq!(entries(&waits, Waiting::IsTakenBack), [1]);
    }

    #[test]
    fn in_a_copy_who_heard_nothing_may_have_heard_since() {
        let lost = || Noted { is_doubtful: true, ..told("mail", Some("cancelled"), &[1]) };
        let (knows, is_doubtful) = known(&[lost()], Waiting::IsTakenBack).unwrap();
        assert!(is_doubtful && knows.entries == [1].into());
        let (_, is_doubtful) = known(&[lost(), told("mail", Some("sent"), &[])], Waiting::IsTakenBack).unwrap();
        assert!(!is_doubtful, "told anew");
        assert!(known(&[told("mail", Some("failed"), &[])], Waiting::IsTakenBack).is_none());
    }

    #[test]
    fn what_the_relay_may_have_taken_counts_though_it_was_called_back() {
        let mut unsure = told("mail", Some("cancelled"), &[2]);
        unsure.unsure = Some(1);
        assert_eq!(entries(&[told("mail", Some("sent"), &[1]), unsure], Waiting::IsTakenBack), [1, 2]);
    }
}
