//! Items that someone was asked to give.

use super::entry::entry;
use super::reading::{known, number};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::named::named;
use serde_json::json;
use sqlx::SqliteConnection;
use time::OffsetDateTime;

named! {
    /// The reply of someone who was asked for an item.
    DonationReply, "Choose what they said.", DONATION_REPLIES: [
        Asked = "asked",
        Promised = "promised",
        No = "no",
    ]
}

impl DonationReply {
    /// As people read it.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::Asked => "waiting for a reply",
            Self::Promised => "promised",
            Self::No => "said no",
        }
    }
}

/// What someone was asked to give.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewDonationRequest {
    pub person_id: i64,
    /// The item that is needed, or the one that needs a match.
    pub thing_id: Option<i64>,
    pub is_like: bool,
    pub what: String,
    pub quantity: u32,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::rooms) struct DonationRequest {
    pub id: i64,
    pub new: NewDonationRequest,
    /// The name, as it is in People.
    pub person: String,
    pub at: OffsetDateTime,
    pub mail_id: Option<i64>,
    pub said: DonationReply,
    pub gift_id: Option<i64>,
    /// The request that asked for it, and the line there.
    pub asked_with: Option<(i64, usize)>,
    /// The reply came by the request's link.
    pub by_link: bool,
}

/// The donations of an event, newest first.
pub(in crate::rooms) async fn donations(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<DonationRequest>> {
    let rows = sqlx::query!(
        r#"select l.id as "id!", l.person_id, p.name as person, l.thing_id, l.is_like as "is_like: bool", l.what,
                  l.quantity, l.at, l.mail_id, l.said, l.gift_id, l.request_id, l.line, l.by_link as "by_link: bool"
           from donation_request l join person p on p.id = l.person_id where l.event_id = ? order by l.id desc"#,
        event_id
    );
    let rows = rows.fetch_all(db).await?.into_iter().map(|row| {
        let (person_id, thing_id, is_like) = (row.person_id, row.thing_id, row.is_like);
        Ok(DonationRequest {
            id: row.id,
            new: NewDonationRequest { person_id, thing_id, is_like, what: row.what, quantity: number(row.quantity)? },
            person: row.person,
            at: OffsetDateTime::from_unix_timestamp(row.at)?,
            mail_id: row.mail_id,
            said: known(&row.said)?,
            gift_id: row.gift_id,
            asked_with: match row.request_id.zip(row.line) {
                Some((request, line)) => Some((request, usize::try_from(line)?)),
                None => None,
            },
            by_link: row.by_link,
        })
    });
    rows.collect()
}

fn about<'a>(actor: Actor, verb: &'static str, event_id: i64, id: i64, what: &'a str) -> Entry<'a> {
    Entry { subject: "donation request", ..entry(actor, verb, event_id, id, what) }
}

/// Records that someone was asked.
pub async fn add_donation_request(
    tx: &mut Tx,
    by: i64,
    event_id: i64,
    (donation, mail_id): (&NewDonationRequest, Option<i64>),
    now: OffsetDateTime,
) -> Result<i64> {
    let at = now.unix_timestamp();
    let id = sqlx::query!(
        "insert into donation_request (event_id, person_id, thing_id, is_like, what, quantity, at, by, mail_id)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?)",
        event_id,
        donation.person_id,
        donation.thing_id,
        donation.is_like,
        donation.what,
        donation.quantity,
        at,
        by,
        mail_id
    )
    .execute(&mut **tx)
    .await?
    .last_insert_rowid();
    let after = Some(json!({"asked for": donation.what, "quantity": donation.quantity}));
    record(tx, now, Entry { after, ..about(Actor::Account(by), "sent", event_id, id, &donation.what) });
    Ok(id)
}

/// Links a donation to its line of the request, which the journal tells about.
pub(in crate::rooms) async fn put_request(tx: &mut Tx, donation: i64, request_id: i64, line: usize) -> Result<()> {
    let line = i64::try_from(line)?;
    sqlx::query!("update donation_request set request_id = ?, line = ? where id = ?", request_id, line, donation)
        .execute(&mut **tx)
        .await?;
    Ok(())
}

/// Records the latest reply.
pub(in crate::rooms) async fn answer_donation_request(
    tx: &mut Tx,
    actor: Actor,
    (event_id, donation): (i64, &DonationRequest),
    (said, gift_id): (DonationReply, Option<i64>),
    now: OffsetDateTime,
) -> Result<()> {
    let (word, by_link) = (said.as_str(), actor == Actor::Link);
    sqlx::query!(
        "update donation_request set said = ?, gift_id = ?, by_link = ? where id = ? and event_id = ?",
        word,
        gift_id,
        by_link,
        donation.id,
        event_id
    )
    .execute(&mut **tx)
    .await?;
    let (before, after) = (Some(json!({"said": donation.said.as_str()})), Some(json!({"said": word})));
    let entry = about(actor, "recorded the reply to", event_id, donation.id, &donation.new.what);
    record(tx, now, Entry { before, after, ..entry });
    Ok(())
}
