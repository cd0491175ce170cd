use super::list::{self, GuestSettings};
use super::{Day, Details, Guest, InvitationLead, Office, Program, ProgramItem, SponsorLevel};
use crate::accounts;
use crate::calc::calendar::Basis;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::{Error, Result};
use crate::events::Event;
use crate::people;
use crate::web::form;
use crate::web::words::Reader;
use anyhow::anyhow;
use serde_json::{Value, json};
use sqlx::SqliteConnection;
use time::{Date, OffsetDateTime};

fn unknown(what: &str) -> Error {
    Error::Internal(anyhow!("an unknown {what} in the store"))
}

/// The department's settings for guests.
///
/// # Errors
/// The store's.
pub async fn settings(db: &mut SqliteConnection) -> Result<GuestSettings> {
    let rows = sqlx::query!(
        r#"select id as "id!", name, level, address, is_host, before_host from office order by place, name, id"#
    );
    let mut offices = Vec::new();
    for row in rows.fetch_all(&mut *db).await? {
        offices.push(Office {
            id: row.id,
            name: row.name,
            level: row.level.parse().map_err(|_| unknown("level"))?,
            address: row.address,
            is_host: row.is_host != 0,
            before_host: row.before_host != 0,
        });
    }
    let levels =
        sqlx::query_as!(SponsorLevel, r#"select id as "id!", name from sponsor_level order by place, name, id"#)
            .fetch_all(&mut *db)
            .await?;
    let rows = sqlx::query!("select level, days, basis from invitation_lead").fetch_all(&mut *db).await?;
    let mut leads = Vec::new();
    for row in rows {
        leads.push(InvitationLead {
            level: row.level.parse().map_err(|_| unknown("level"))?,
            days: u16::try_from(row.days)?,
            basis: if row.basis == "working" { Basis::Working } else { Basis::Calendar },
        });
    }
    leads.sort_by_key(|lead| lead.level);
    let row = sqlx::query!("select rate, signer_id, version from guest_habit where id = 1").fetch_one(&mut *db).await?;
    let signer = match row.signer_id {
        Some(id) => people::find(&mut *db, id).await?.map(|person| (id, person.details.name)),
        None => None,
    };
    let home = accounts::department_in(db).await?.unwrap_or_default().home;
    Ok(GuestSettings { offices, levels, leads, home, signer, rate: u32::try_from(row.rate)?, version: row.version })
}

/// Saves them. An office or level with the number 0 is new; one that is missing is
/// removed, also from the guests who have it. False if someone else changed them in the
/// meantime.
///
/// # Errors
/// The store's.
pub async fn save_settings(tx: &mut Tx, actor: Actor, new: &GuestSettings, now: OffsetDateTime) -> Result<bool> {
    let old = settings(tx).await?;
    if old.version != new.version {
        return Ok(false);
    }
    let (rate, signer) = (i64::from(new.rate), new.signer.as_ref().map(|(id, _)| *id));
    sqlx::query!("update guest_habit set rate = ?, signer_id = ?, version = version + 1 where id = 1", rate, signer)
        .execute(&mut **tx)
        .await?;
    for lead in &new.leads {
        let (level, days, basis) = (lead.level.as_str(), i64::from(lead.days), list::basis(lead.basis));
        sqlx::query!("update invitation_lead set days = ?, basis = ? where level = ?", days, basis, level)
            .execute(&mut **tx)
            .await?;
    }
    let gone = old.offices.iter().filter(|office| new.offices.iter().all(|kept| kept.id != office.id));
    for office in gone {
        sqlx::query!("update guest set office_id = null where office_id = ?", office.id).execute(&mut **tx).await?;
        sqlx::query!("delete from office where id = ?", office.id).execute(&mut **tx).await?;
    }
    // Two may swap names.
    for office in new.offices.iter().filter(|office| office.id != 0) {
        let aside = format!("\u{1}{}", office.id);
        sqlx::query!("update office set name = ? where id = ?", aside, office.id).execute(&mut **tx).await?;
    }
    for (place, office) in (1i64..).zip(&new.offices) {
        let (id, level) = (Some(office.id).filter(|id| *id != 0), office.level.as_str());
        sqlx::query!(
            "insert into office (id, place, name, level, address, is_host, before_host) values (?, ?, ?, ?, ?, ?, ?)
             on conflict (id) do update set place = excluded.place, name = excluded.name, level = excluded.level,
                 address = excluded.address, is_host = excluded.is_host, before_host = excluded.before_host",
            id,
            place,
            office.name,
            level,
            office.address,
            office.is_host,
            office.before_host
        )
        .execute(&mut **tx)
        .await?;
    }
    let gone = old.levels.iter().filter(|level| new.levels.iter().all(|kept| kept.id != level.id));
    for level in gone {
        sqlx::query!("update guest set sponsor_level_id = null where sponsor_level_id = ?", level.id)
            .execute(&mut **tx)
            .await?;
        sqlx::query!("delete from sponsor_level where id = ?", level.id).execute(&mut **tx).await?;
    }
    for level in new.levels.iter().filter(|level| level.id != 0) {
        let aside = format!("\u{1}{}", level.id);
        sqlx::query!("update sponsor_level set name = ? where id = ?", aside, level.id).execute(&mut **tx).await?;
    }
    for (place, level) in (1i64..).zip(&new.levels) {
        let id = Some(level.id).filter(|id| *id != 0);
        sqlx::query!(
            "insert into sponsor_level (id, place, name) values (?, ?, ?)
             on conflict (id) do update set place = excluded.place, name = excluded.name",
            id,
            place,
            level.name
        )
        .execute(&mut **tx)
        .await?;
    }
    let entry = Entry {
        actor,
        verb: "changed",
        subject: "guest settings",
        subject_id: None,
        event_id: None,
        title: "Order of guests",
        before: Some(old.snapshot()),
        after: Some(new.snapshot()),
    };
    record(tx, now, entry);
    Ok(true)
}

struct Row {
    id: i64,
    event_id: i64,
    person_id: i64,
    side: String,
    level: String,
    office_id: Option<i64>,
    sponsor_level_id: Option<i64>,
    address: String,
    in_own: Option<i64>,
    since: String,
    is_former: i64,
    responsible_id: Option<i64>,
    chased_on: Option<Date>,
    signer_id: Option<i64>,
    seconds: i64,
    gives: String,
    least: i64,
    priority: i64,
    microphone: String,
    met_by: String,
    seat: String,
    arrives: String,
    parking: String,
    clothing: String,
    press: String,
    also_comes: String,
    place: Option<i64>,
    place_reason: String,
    day_on: Option<Date>,
    is_here: Option<i64>,
    day_deputy: String,
    day_deputy_title: String,
    day_deputy_phone: String,
    day_deputy_mail: String,
    version: i64,
}

impl Row {
    fn guest(self) -> Result<Guest> {
        Ok(Guest {
            id: self.id,
            event_id: self.event_id,
            person_id: self.person_id,
            details: Details {
                side: self.side.parse().map_err(|_| unknown("side"))?,
                level: self.level.parse().map_err(|_| unknown("level"))?,
                office: self.office_id,
                sponsor_level: self.sponsor_level_id,
                address: self.address,
                in_own: self.in_own.map(|own| own != 0),
                since: self.since,
                is_former: self.is_former != 0,
                responsible: self.responsible_id,
                seconds: u32::try_from(self.seconds)?,
                gives: self.gives.parse().map_err(|_| unknown("way to give"))?,
                least: u32::try_from(self.least)?,
                priority: u8::try_from(self.priority)?,
                microphone: self.microphone,
                met_by: self.met_by,
                seat: self.seat,
                arrives: self.arrives,
                parking: self.parking,
                clothing: self.clothing,
                press: self.press,
                also_comes: self.also_comes,
            },
            place: self.place.map(usize::try_from).transpose()?.map(|place| (place, self.place_reason)),
            chased_on: self.chased_on,
            signer_id: self.signer_id,
            day: Day {
                on: self.day_on,
                is_here: self.is_here.map(|here| here != 0),
                deputy: self.day_deputy,
                deputy_title: self.day_deputy_title,
                deputy_phone: self.day_deputy_phone,
                deputy_mail: self.day_deputy_mail,
            },
            version: self.version,
        })
    }
}

/// All guests of an event.
///
/// # Errors
/// The store's.
pub async fn of_event(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Guest>> {
    let rows = sqlx::query_as!(
        Row,
        r#"select id as "id!", event_id, person_id, side, level, office_id, sponsor_level_id, address, in_own, since,
                  is_former, responsible_id, chased_on as "chased_on: Date", signer_id, seconds, gives, least, priority, microphone,
                  met_by, seat, arrives, parking, clothing, press, also_comes, place, place_reason,
                  day_on as "day_on: Date", is_here, day_deputy, day_deputy_title,
                  day_deputy_phone, day_deputy_mail, version
           from guest where event_id = ? order by id"#,
        event_id
    );
    rows.fetch_all(db).await?.into_iter().map(Row::guest).collect()
}

/// Adds a guest and returns the number; none if the person already is one.
///
/// # Errors
/// The store's.
pub async fn add(
    tx: &mut Tx,
    actor: Actor,
    (event_id, person_id, name): (i64, i64, &str),
    details: &Details,
    now: OffsetDateTime,
) -> Result<Option<i64>> {
    let (side, level, gives) = (details.side.as_str(), details.level.as_str(), details.gives.as_str());
    let added = sqlx::query!(
        "insert into guest (event_id, person_id, side, level, office_id, sponsor_level_id, address, in_own, since,
                            is_former, responsible_id, seconds, gives, least, priority, microphone, met_by, seat, arrives,
                            parking, clothing, press, also_comes)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
         on conflict (event_id, person_id) do nothing",
        event_id,
        person_id,
        side,
        level,
        details.office,
        details.sponsor_level,
        details.address,
        details.in_own,
        details.since,
        details.is_former,
        details.responsible,
        details.seconds,
        gives,
        details.least,
        details.priority,
        details.microphone,
        details.met_by,
        details.seat,
        details.arrives,
        details.parking,
        details.clothing,
        details.press,
        details.also_comes
    )
    .execute(&mut **tx)
    .await?;
    if added.rows_affected() == 0 {
        return Ok(None);
    }
    let id = added.last_insert_rowid();
    let after = Some(journaled(tx, details).await?);
    record(tx, now, Entry { after, ..entry(actor, "added", (event_id, id), name) });
    Ok(Some(id))
}

/// Changes a guest's settings. False if someone else did in the meantime.
///
/// # Errors
/// The store's.
pub(super) async fn save(
    tx: &mut Tx,
    actor: Actor,
    (old, name): (&Guest, &str),
    new: &Details,
    now: OffsetDateTime,
) -> Result<bool> {
    let (side, level, gives) = (new.side.as_str(), new.level.as_str(), new.gives.as_str());
    let saved = sqlx::query!(
        "update guest set side = ?, level = ?, office_id = ?, sponsor_level_id = ?, address = ?, in_own = ?, since = ?,
                          is_former = ?, responsible_id = ?, seconds = ?, gives = ?, least = ?, priority = ?,
                          microphone = ?, met_by = ?, seat = ?, arrives = ?, parking = ?, clothing = ?, press = ?,
                          also_comes = ?, version = version + 1
         where id = ? and version = ?",
        side,
        level,
        new.office,
        new.sponsor_level,
        new.address,
        new.in_own,
        new.since,
        new.is_former,
        new.responsible,
        new.seconds,
        gives,
        new.least,
        new.priority,
        new.microphone,
        new.met_by,
        new.seat,
        new.arrives,
        new.parking,
        new.clothing,
        new.press,
        new.also_comes,
        old.id,
        old.version
    )
    .execute(&mut **tx)
    .await?;
    if saved.rows_affected() == 0 {
        return Ok(false);
    }
    let (before, after) = (Some(journaled(tx, &old.details).await?), Some(journaled(tx, new).await?));
    record(tx, now, Entry { before, after, ..entry(actor, "changed", (old.event_id, old.id), name) });
    Ok(true)
}

/// Removes a guest from the list.
///
/// # Errors
/// The store's.
pub(super) async fn remove(
    tx: &mut Tx,
    actor: Actor,
    (guest, name): (&Guest, &str),
    now: OffsetDateTime,
) -> Result<()> {
    sqlx::query!("delete from guest where id = ?", guest.id).execute(&mut **tx).await?;
    let before = Some(journaled(tx, &guest.details).await?);
    record(tx, now, Entry { before, ..entry(actor, "removed", (guest.event_id, guest.id), name) });
    Ok(())
}

/// Sets a guest's place by hand with its reason, or with `none` lets the rules decide.
///
/// # Errors
/// The store's.
pub async fn set_place(
    tx: &mut Tx,
    actor: Actor,
    (guest, name): (&Guest, &str),
    place: Option<(usize, &str)>,
    now: OffsetDateTime,
) -> Result<()> {
    let number = place.map(|(place, _)| i64::try_from(place)).transpose()?;
    let reason = place.map(|(_, reason)| reason).unwrap_or_default();
    sqlx::query!(
        "update guest set place = ?, place_reason = ?, version = version + 1 where id = ?",
        number,
        reason,
        guest.id
    )
    .execute(&mut **tx)
    .await?;
    let before = guest.place.as_ref().map(|(place, reason)| json!({"place": place, "reason": reason}));
    let after = place.map(|(place, reason)| json!({"place": place, "reason": reason}));
    record(tx, now, Entry { before, after, ..entry(actor, "placed", (guest.event_id, guest.id), name) });
    Ok(())
}

/// Saves that someone called an office.
///
/// # Errors
/// The store's.
pub async fn rang(
    tx: &mut Tx,
    actor: Actor,
    (guest, name): (&Guest, &str),
    on: Date,
    now: OffsetDateTime,
) -> Result<()> {
    sqlx::query!("update guest set chased_on = ? where id = ?", on, guest.id).execute(&mut **tx).await?;
    let after = Some(json!({"on": Reader::App.day(on)}));
    record(tx, now, Entry { after, ..entry(actor, "rang about", (guest.event_id, guest.id), name) });
    Ok(())
}

/// Moves the arrival times of an event's guests by this many minutes, within the day.
/// Guests without one follow the first fire anyway.
///
/// # Errors
/// The store's.
pub(super) async fn move_arrivals(
    tx: &mut Tx,
    actor: Actor,
    event: &Event,
    later: i64,
    now: OffsetDateTime,
) -> Result<()> {
    for guest in of_event(tx, event.id).await? {
        let Ok(at) = form::time_of_day(&guest.details.arrives) else { continue };
        let minutes = i64::from(at.hour()) * 60 + i64::from(at.minute());
        let minutes = (minutes + later).clamp(0, 24 * 60 - 1);
        let arrives = format!("{:02}:{:02}", minutes / 60, minutes % 60);
        sqlx::query!("update guest set arrives = ?, version = version + 1 where id = ?", arrives, guest.id)
            .execute(&mut **tx)
            .await?;
        let journaled = |at: &str| Some(json!({ "arrives": at }));
        let entry = entry(actor, "changed", (event.id, guest.id), "a guest");
        record(tx, now, Entry { before: journaled(&guest.details.arrives), after: journaled(&arrives), ..entry });
    }
    Ok(())
}

/// Saves the check-in on burn day: who is here, and which deputy came.
///
/// # Errors
/// The store's.
pub async fn tick(
    tx: &mut Tx,
    actor: Actor,
    (guest, name): (&Guest, &str),
    new: &Day,
    now: OffsetDateTime,
) -> Result<()> {
    sqlx::query!(
        "update guest set day_on = ?, is_here = ?, day_deputy = ?, day_deputy_title = ?, day_deputy_phone = ?,
                          day_deputy_mail = ?
         where id = ?",
        new.on,
        new.is_here,
        new.deputy,
        new.deputy_title,
        new.deputy_phone,
        new.deputy_mail,
        guest.id
    )
    .execute(&mut **tx)
    .await?;
    let tell = |day: &Day| {
        let here = day.is_here.map(|here| if here { "yes" } else { "no" });
        json!({"here": here, "deputy": day.deputy, "deputy's title": day.deputy_title})
    };
    let (before, after) = (Some(tell(&guest.day)), Some(tell(new)));
    record(tx, now, Entry { before, after, ..entry(actor, "saw", (guest.event_id, guest.id), name) });
    Ok(())
}

/// The program; the usual one if none is saved.
///
/// # Errors
/// The store's.
pub(super) async fn program(db: &mut SqliteConnection, event_id: i64) -> Result<Program> {
    let row = sqlx::query!("select begins, minutes, version from programme where event_id = ?", event_id)
        .fetch_optional(&mut *db)
        .await?;
    let Some(row) = row else { return Ok(Program::usual()) };
    let rows = sqlx::query!(
        "select kind, title, who, seconds, gives, least, priority from programme_item where event_id = ?
         order by place, id",
        event_id
    );
    let mut items = Vec::new();
    for item in rows.fetch_all(db).await? {
        items.push(ProgramItem {
            kind: item.kind.parse().map_err(|_| unknown("part of a programme"))?,
            title: item.title,
            who: item.who,
            seconds: u32::try_from(item.seconds)?,
            gives: item.gives.parse().map_err(|_| unknown("way to give"))?,
            least: u32::try_from(item.least)?,
            priority: u8::try_from(item.priority)?,
        });
    }
    let (begins, minutes) = (u32::try_from(row.begins)?, u32::try_from(row.minutes)?);
    Ok(Program { begins, minutes, items, version: row.version })
}

/// Saves the program. False if someone else changed it in the meantime.
///
/// # Errors
/// The store's.
pub async fn put_program(tx: &mut Tx, actor: Actor, event_id: i64, new: &Program, now: OffsetDateTime) -> Result<bool> {
    let old = program(tx, event_id).await?;
    if old.version != new.version {
        return Ok(false);
    }
    let (begins, minutes) = (i64::from(new.begins), i64::from(new.minutes));
    sqlx::query!(
        "insert into programme (event_id, begins, minutes) values (?, ?, ?)
         on conflict (event_id) do update
         set begins = excluded.begins, minutes = excluded.minutes, version = version + 1",
        event_id,
        begins,
        minutes
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!("delete from programme_item where event_id = ?", event_id).execute(&mut **tx).await?;
    for (place, item) in (1i64..).zip(&new.items) {
        let (kind, gives) = (item.kind.as_str(), item.gives.as_str());
        sqlx::query!(
            "insert into programme_item (event_id, place, kind, title, who, seconds, gives, least, priority)
             values (?, ?, ?, ?, ?, ?, ?, ?, ?)",
            event_id,
            place,
            kind,
            item.title,
            item.who,
            item.seconds,
            gives,
            item.least,
            item.priority
        )
        .execute(&mut **tx)
        .await?;
    }
    let entry = Entry {
        actor,
        verb: "changed",
        subject: "programme",
        subject_id: Some(event_id),
        event_id: Some(event_id),
        title: "Program",
        before: Some(old.snapshot()),
        after: Some(new.snapshot()),
    };
    record(tx, now, entry);
    Ok(true)
}

/// Sets who signs a guest's invitation; with `none` the sender does.
///
/// # Errors
/// The store's.
pub(super) async fn set_signer(
    tx: &mut Tx,
    actor: Actor,
    (guest, name): (&Guest, &str),
    signer: Option<(i64, &str)>,
    now: OffsetDateTime,
) -> Result<()> {
    let id = signer.map(|(id, _)| id);
    if id == guest.signer_id {
        return Ok(());
    }
    sqlx::query!("update guest set signer_id = ? where id = ?", id, guest.id).execute(&mut **tx).await?;
    let after = Some(json!({"signed by": signer.map(|(_, name)| name)}));
    record(tx, now, Entry { after, ..entry(actor, "chose who signs to", (guest.event_id, guest.id), name) });
    Ok(())
}

/// A guest's settings, as the journal keeps them.
async fn journaled(tx: &mut Tx, details: &Details) -> Result<Value> {
    let responsible = match details.responsible {
        Some(id) => people::find(tx, id).await?.map(|person| person.details.name),
        None => None,
    };
    Ok(details.snapshot(&settings(tx).await?, responsible.as_deref()))
}

fn entry<'a>(actor: Actor, verb: &'static str, (event_id, id): (i64, i64), name: &'a str) -> Entry<'a> {
    Entry {
        actor,
        verb,
        subject: "guest",
        subject_id: Some(id),
        event_id: Some(event_id),
        title: name,
        before: None,
        after: None,
    }
}
