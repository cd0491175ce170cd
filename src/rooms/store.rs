use super::{Details, Hazard, Kind, Length, Room, Size, Source, Thing, ThingState, Unit};
use crate::calc::pairs::Tolerance;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::{Error, Result};
use crate::named::named;
use crate::photos::{self, Taken};
use crate::web::words::Reader;
use anyhow::anyhow;
use serde_json::{Value as Json, json};
use sqlx::SqliteConnection;
use std::str::FromStr;
use time::{Date, OffsetDateTime};

struct Row {
    id: i64,
    event_id: i64,
    room: String,
    kind: String,
    what: String,
    model: String,
    material: String,
    size_1: Option<i64>,
    size_2: Option<i64>,
    size_3: Option<i64>,
    size_unit: String,
    position: String,
    condition: String,
    quantity: i64,
    source: String,
    gift_id: Option<i64>,
    by_whom: String,
    state: String,
    hazards: String,
    photo_id: Option<i64>,
    version: i64,
}

fn known<T: FromStr>(text: &str) -> Result<T> {
    text.parse().map_err(|_| Error::Internal(anyhow!("the store holds an item with the unknown word “{text}”")))
}

fn number(number: i64) -> Result<u32> {
    Ok(u32::try_from(number)?)
}

impl Row {
    fn thing(self) -> Result<Thing> {
        let length = |typed: Option<i64>| typed.map(number).transpose();
        let lengths = [length(self.size_1)?, length(self.size_2)?, length(self.size_3)?];
        let hazards: Vec<String> = serde_json::from_str(&self.hazards)?;
        let details = Details {
            room: known::<Room>(&self.room)?,
            kind: known::<Kind>(&self.kind)?,
            what: self.what,
            model: self.model,
            material: self.material,
            size: Size { lengths, unit: known::<Unit>(&self.size_unit)? },
            position: self.position,
            condition: self.condition,
            quantity: number(self.quantity)?,
            source: known::<Source>(&self.source)?,
            gift_id: self.gift_id,
            by_whom: self.by_whom,
            state: known::<ThingState>(&self.state)?,
            hazards: hazards.iter().map(|text| known::<Hazard>(text)).collect::<Result<_>>()?,
        };
        Ok(Thing { id: self.id, event_id: self.event_id, details, photo_id: self.photo_id, version: self.version })
    }
}

/// All items of an event, the ones in place first, so that they are paired with each other
/// before others of their type.
///
/// # Errors
/// The store's.
pub async fn of_event(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Thing>> {
    let rows = sqlx::query_as!(
        Row,
        r#"select id as "id!", event_id, room, kind, what, model, material, size_1, size_2, size_3, size_unit, position,
                  condition, quantity, source, gift_id, by_whom, state, hazards, photo_id, version
           from room_thing where event_id = ?
           order by case state when 'in place' then 1 when 'here' then 2 when 'promised' then 3 else 4 end, id"#,
        event_id
    );
    rows.fetch_all(db).await?.into_iter().map(Row::thing).collect()
}

/// One item of an event.
///
/// # Errors
/// The store's.
pub(super) async fn find(db: &mut SqliteConnection, event_id: i64, id: i64) -> Result<Option<Thing>> {
    let row = sqlx::query_as!(
        Row,
        r#"select id as "id!", event_id, room, kind, what, model, material, size_1, size_2, size_3, size_unit, position,
                  condition, quantity, source, gift_id, by_whom, state, hazards, photo_id, version
           from room_thing where id = ? and event_id = ?"#,
        id,
        event_id
    );
    row.fetch_optional(db).await?.map(Row::thing).transpose()
}

fn words_of(hazards: &[Hazard]) -> Vec<&'static str> {
    hazards.iter().map(|hazard| hazard.as_str()).collect()
}

fn snapshot(details: &Details) -> Json {
    json!({
        "room": details.room.as_str(),
        "kind": details.kind.as_str(),
        "what": details.what,
        "model": details.model,
        "material": details.material,
        "size": details.size.typed(),
        "position": details.position,
        "condition": details.condition,
        "quantity": details.quantity,
        "source": details.source.as_str(),
        "provided by": details.by_whom,
        "status": details.state.label(),
        "fuel warnings": words_of(&details.hazards).join(", "),
    })
}

fn title(details: &Details) -> String {
    format!("{}, {}", details.says(), details.room)
}

fn entry<'a>(actor: Actor, verb: &'static str, event_id: i64, id: i64, title: &'a str) -> Entry<'a> {
    Entry {
        actor,
        verb,
        subject: "thing",
        subject_id: Some(id),
        event_id: Some(event_id),
        title,
        before: None,
        after: None,
    }
}

/// Adds an item and returns its number.
///
/// # Errors
/// The store's.
pub async fn add(tx: &mut Tx, actor: Actor, event_id: i64, details: &Details, now: OffsetDateTime) -> Result<i64> {
    let [size_1, size_2, size_3] = details.size.lengths;
    let (room, kind, unit) = (details.room.as_str(), details.kind.as_str(), details.size.unit.as_str());
    let (source, state) = (details.source.as_str(), details.state.as_str());
    let hazards = json!(words_of(&details.hazards)).to_string();
    let id = sqlx::query!(
        "insert into room_thing (event_id, room, kind, what, model, material, size_1, size_2, size_3, size_unit, position,
                                 condition, quantity, source, gift_id, by_whom, state, hazards)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        event_id,
        room,
        kind,
        details.what,
        details.model,
        details.material,
        size_1,
        size_2,
        size_3,
        unit,
        details.position,
        details.condition,
        details.quantity,
        source,
        details.gift_id,
        details.by_whom,
        state,
        hazards
    )
    .execute(&mut **tx)
    .await?
    .last_insert_rowid();
    let title = title(details);
    record(tx, now, Entry { after: Some(snapshot(details)), ..entry(actor, "added", event_id, id, &title) });
    Ok(id)
}

/// Changes an item. False if someone else did in the meantime, or it is gone.
///
/// # Errors
/// The store's.
pub(super) async fn save(
    tx: &mut Tx,
    actor: Actor,
    (event_id, id): (i64, i64),
    new: &Details,
    version: i64,
    now: OffsetDateTime,
) -> Result<bool> {
    let old = find(tx, event_id, id).await?.filter(|old| old.version == version);
    let Some(old) = old else { return Ok(false) };
    let [size_1, size_2, size_3] = new.size.lengths;
    let (room, kind, unit) = (new.room.as_str(), new.kind.as_str(), new.size.unit.as_str());
    let (source, state) = (new.source.as_str(), new.state.as_str());
    let hazards = json!(words_of(&new.hazards)).to_string();
    sqlx::query!(
        "update room_thing set room = ?, kind = ?, what = ?, model = ?, material = ?, size_1 = ?, size_2 = ?, size_3 = ?,
                size_unit = ?, position = ?, condition = ?, quantity = ?, source = ?, gift_id = ?, by_whom = ?, state = ?,
                hazards = ?, version = version + 1
         where id = ?",
        room,
        kind,
        new.what,
        new.model,
        new.material,
        size_1,
        size_2,
        size_3,
        unit,
        new.position,
        new.condition,
        new.quantity,
        source,
        new.gift_id,
        new.by_whom,
        state,
        hazards,
        id
    )
    .execute(&mut **tx)
    .await?;
    let (before, after) = (Some(snapshot(&old.details)), Some(snapshot(new)));
    let title = title(new);
    record(tx, now, Entry { before, after, ..entry(actor, "changed", event_id, id, &title) });
    Ok(true)
}

/// Sets or removes the photo of an item. False if someone changed the item in the meantime.
///
/// # Errors
/// The store's.
pub async fn set_photo(
    tx: &mut Tx,
    actor: Actor,
    (event_id, id): (i64, i64),
    (taken, version): (Option<&Taken>, i64),
    now: OffsetDateTime,
) -> Result<bool> {
    let old = find(tx, event_id, id).await?.filter(|old| old.version == version);
    let Some(old) = old else { return Ok(false) };
    let photo_id = match taken {
        Some(taken) => Some(photos::keep(tx, taken, actor, now).await?),
        None => None,
    };
    sqlx::query!("update room_thing set photo_id = ?, version = version + 1 where id = ?", photo_id, id)
        .execute(&mut **tx)
        .await?;
    if let Some(photo) = old.photo_id {
        photos::drop(tx, photo, actor, now).await?;
    }
    let verb = if photo_id.is_some() { "added a photo of" } else { "removed the photo of" };
    let title = title(&old.details);
    record(tx, now, entry(actor, verb, event_id, id, &title));
    Ok(true)
}

/// Removes an item. False if someone changed it in the meantime.
///
/// # Errors
/// The store's.
pub(super) async fn remove(
    tx: &mut Tx,
    actor: Actor,
    (event_id, id): (i64, i64),
    version: i64,
    now: OffsetDateTime,
) -> Result<bool> {
    let old = find(tx, event_id, id).await?.filter(|old| old.version == version);
    let Some(old) = old else { return Ok(false) };
    sqlx::query!("delete from room_thing where id = ?", id).execute(&mut **tx).await?;
    if let Some(photo) = old.photo_id {
        photos::drop(tx, photo, actor, now).await?;
    }
    let title = title(&old.details);
    record(tx, now, Entry { before: Some(snapshot(&old.details)), ..entry(actor, "removed", event_id, id, &title) });
    Ok(true)
}

/// The size tolerance, and how many extra building parts to get.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RoomSettings {
    pub percent: u32,
    pub length: Length,
    /// Percent on top of what both rooms need.
    pub spare: u32,
    pub version: i64,
}

impl RoomSettings {
    /// The defaults. The extra is common practice, too.
    pub const USUAL: Self = Self {
        percent: crate::calc::pairs::USUAL.percent,
        length: Length { tenths: crate::calc::pairs::USUAL.length, unit: Unit::Centimetre },
        spare: 10,
        version: 0,
    };

    #[must_use]
    pub fn tolerance(&self) -> Tolerance {
        Tolerance { percent: self.percent, length: self.length.tenths }
    }
}

/// # Errors
/// The store's.
pub(super) async fn settings(db: &mut SqliteConnection, event_id: i64) -> Result<RoomSettings> {
    let row = sqlx::query!("select percent, length, unit, spare, version from room_habit where event_id = ?", event_id);
    let Some(row) = row.fetch_optional(db).await? else { return Ok(RoomSettings::USUAL) };
    Ok(RoomSettings {
        percent: number(row.percent)?,
        length: Length { tenths: number(row.length)?, unit: known(&row.unit)? },
        spare: number(row.spare)?,
        version: row.version,
    })
}

/// False if someone else changed them in the meantime.
///
/// # Errors
/// The store's.
pub(super) async fn save_settings(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    new: &RoomSettings,
    now: OffsetDateTime,
) -> Result<bool> {
    let old = settings(tx, event_id).await?;
    if old.version != new.version {
        return Ok(false);
    }
    let (unit, version) = (new.length.unit.as_str(), new.version + 1);
    sqlx::query!(
        "insert into room_habit (event_id, percent, length, unit, spare, version) values (?, ?, ?, ?, ?, ?)
         on conflict (event_id) do update set percent = excluded.percent, length = excluded.length,
            unit = excluded.unit, spare = excluded.spare, version = excluded.version",
        event_id,
        new.percent,
        new.length.tenths,
        unit,
        new.spare,
        version
    )
    .execute(&mut **tx)
    .await?;
    let journaled = |settings: &RoomSettings| {
        let percent = |number| format!("{number}%");
        json!({
            "percent of the size": percent(settings.percent),
            "length": settings.length.typed(),
            "extra parts": percent(settings.spare),
        })
    };
    let entry =
        Entry { subject: "tolerance", subject_id: None, ..entry(actor, "changed", event_id, 0, "the two rooms") };
    record(tx, now, Entry { before: Some(journaled(&old)), after: Some(journaled(new)), ..entry });
    Ok(true)
}

/// A decision about a type of item.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ruling {
    pub hazard: Hazard,
    /// The type, as it is compared.
    pub what: String,
    /// How many it covers.
    pub quantity: u32,
    pub decided: String,
    /// Who decided.
    pub by: String,
    /// The role in which they signed; empty if the name was only typed.
    pub signed_as: String,
    pub on: Date,
}

/// # Errors
/// The store's.
pub(super) async fn rulings(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Ruling>> {
    let rows = sqlx::query!(
        r#"select r.hazard, r.what, r.quantity, r.decided, r.decided_by, r.signed_as, r.decided_on as "on: Date",
                  p.name as "signed_by?"
           from room_ruling r left join account a on a.id = r.signed_by left join person p on p.id = a.person_id
           where r.event_id = ?"#,
        event_id
    );
    let rows = rows.fetch_all(db).await?.into_iter().map(|row| {
        Ok(Ruling {
            hazard: known(&row.hazard)?,
            what: row.what,
            quantity: number(row.quantity)?,
            decided: row.decided,
            by: row.signed_by.unwrap_or(row.decided_by),
            signed_as: row.signed_as,
            on: row.on,
        })
    });
    rows.collect()
}

/// Records a decision by an account. A later decision replaces an earlier one, which stays
/// in the journal.
///
/// # Errors
/// The store's.
pub async fn rule(tx: &mut Tx, account: i64, event_id: i64, new: &Ruling, now: OffsetDateTime) -> Result<()> {
    let actor = Actor::Account(account);
    let old = rulings(tx, event_id).await?.into_iter().find(|old| (old.hazard, &old.what) == (new.hazard, &new.what));
    let hazard = new.hazard.as_str();
    sqlx::query!(
        "insert into room_ruling (event_id, hazard, what, quantity, decided, decided_by, decided_on, signed_by,
                                  signed_as)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?)
         on conflict (event_id, hazard, what) do update set quantity = excluded.quantity, decided = excluded.decided,
            decided_by = excluded.decided_by, decided_on = excluded.decided_on, signed_by = excluded.signed_by,
            signed_as = excluded.signed_as",
        event_id,
        hazard,
        new.what,
        new.quantity,
        new.decided,
        new.by,
        new.on,
        account,
        new.signed_as
    )
    .execute(&mut **tx)
    .await?;
    let journaled = |ruling: &Ruling| {
        json!({
            "about": ruling.hazard.as_str(),
            "decided": ruling.decided,
            "by": ruling.says_by(),
            "on": Reader::App.day(ruling.on),
            "for": ruling.quantity,
        })
    };
    let entry = Entry { subject: "warning", subject_id: None, ..entry(actor, "decided", event_id, 0, &new.what) };
    record(tx, now, Entry { before: old.as_ref().map(journaled), after: Some(journaled(new)), ..entry });
    Ok(())
}

impl Ruling {
    /// "Dele Aldous, safety officer", "the fire marshal (name typed)".
    #[must_use]
    pub fn says_by(&self) -> String {
        // What the store calls them.
        let is_erased = self.by == "somebody forgotten";
        let by = if is_erased { "someone whose data was erased" } else { self.by.as_str() };
        if self.signed_as.is_empty() {
            format!("{by} (name typed, not signed)")
        } else {
            format!("{by}, {}", self.signed_as)
        }
    }
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

named! {
    /// The reply of someone who was asked for an item.
    DonationReply, "Choose what they said.", DONATION_REPLIES: [
        Asked = "asked",
        Promised = "promised",
        No = "no",
    ]
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
pub(super) struct DonationRequest {
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
///
/// # Errors
/// The store's.
pub(super) async fn donations(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<DonationRequest>> {
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
///
/// # Errors
/// The store's.
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
///
/// # Errors
/// The store's.
pub(super) async fn put_request(tx: &mut Tx, donation: i64, request_id: i64, line: usize) -> Result<()> {
    let line = i64::try_from(line)?;
    sqlx::query!("update donation_request set request_id = ?, line = ? where id = ?", request_id, line, donation)
        .execute(&mut **tx)
        .await?;
    Ok(())
}

/// Records the latest reply.
///
/// # Errors
/// The store's.
pub(super) async fn answer_donation_request(
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

/// Moves the donations of one person's row to another and returns their numbers.
///
/// # Errors
/// The store's.
pub async fn hand_over(tx: &mut Tx, from: i64, to: i64) -> Result<Vec<i64>> {
    let moved = sqlx::query_scalar!(
        r#"update donation_request set person_id = ? where person_id = ? returning id as "id!""#,
        to,
        from
    )
    .fetch_all(&mut **tx)
    .await?;
    Ok(moved)
}

/// Undoes it.
///
/// # Errors
/// The store's.
pub async fn hand_back(tx: &mut Tx, donations: &[i64], to: i64) -> Result<()> {
    for id in donations {
        sqlx::query!("update donation_request set person_id = ? where id = ?", to, id).execute(&mut **tx).await?;
    }
    Ok(())
}

/// Removes someone's names wherever they were typed. The donations themselves say nothing else
/// about them.
///
/// # Errors
/// The store's.
pub async fn forget(tx: &mut Tx, names: &[String]) -> Result<()> {
    let filled: Vec<&String> = names.iter().filter(|name| !name.is_empty()).collect();
    let names = json!(filled).to_string();
    sqlx::query!(
        "update room_thing set by_whom = '', version = version + 1
         where by_whom in (select value from json_each(?))",
        names
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!(
        "update room_ruling set decided_by = 'somebody forgotten'
         where decided_by in (select value from json_each(?))",
        names
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}
