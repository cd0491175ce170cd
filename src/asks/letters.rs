//! What is written to people about a question.

use super::{Answer, Ask, Request, Said, calendar, store};
use crate::accounts::{self, User};
use crate::db::Tx;
use crate::error::Result;
use crate::events::Event;
use crate::mail::{self, Kind, Letter, Mailbox, Parts};
use crate::people::{self, Person};
use crate::web::link::{LinkKey, Opens};
use crate::web::words;
use sqlx::SqlitePool;
use time::{Date, Duration, OffsetDateTime, Time};

/// Who asks: a person whom an answer reaches.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sender {
    pub name: String,
    pub mail: String,
    pub phone: String,
    pub department: String,
    /// Who signs what is asked, if not the sender; answers and calls still go to
    /// the sender.
    pub signer: Option<Signer>,
}

/// Somebody who signs, as the chief.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Signer {
    pub name: String,
    /// May be empty.
    pub title: String,
}

impl Sender {
    /// The holder of an account, by name, mail and phone, or the department
    /// alone, by name and phone.
    pub(super) fn from(holder: Option<(String, String, String)>, department: (String, String)) -> Self {
        let (department, phone) = department;
        match holder {
            None => Self { name: department.clone(), mail: String::new(), phone, department, signer: None },
            Some((name, mail, own)) => {
                let phone = if own.is_empty() { phone } else { own };
                Self { name, mail, phone, department, signer: None }
            }
        }
    }

    /// Whom to ask: "Olga Wren, 555-0117".
    #[must_use]
    pub fn contact(&self) -> String {
        let parts = [self.name.as_str(), &self.phone];
        parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ")
    }

    /// The user who presses the button.
    ///
    /// # Errors
    /// The store's.
    pub async fn of(db: &SqlitePool, user: &User) -> Result<Self> {
        Self::named(db, Some(user.account_id)).await
    }

    /// The holder of an account, or the department alone.
    ///
    /// # Errors
    /// The store's.
    pub async fn named(db: &SqlitePool, account: Option<i64>) -> Result<Self> {
        let department = accounts::department(db).await?.unwrap_or_default();
        let account = match account {
            Some(id) => accounts::find(db, id).await?,
            None => None,
        };
        let holder = match account {
            None => None,
            Some(account) => {
                let person = people::find(&mut *db.acquire().await?, account.person_id).await?;
                Some((account.name, account.mail, person.map(|person| person.details.phone).unwrap_or_default()))
            }
        };
        Ok(Self::from(holder, (department.name, department.phone)))
    }
}

/// How a letter greets somebody: an official by the whole name.
#[must_use]
pub fn greeted(person: &Person) -> &str {
    let name = person.details.name.as_str();
    if person.details.office.is_empty() { name.split_whitespace().next().unwrap_or(name) } else { name }
}

/// "Sat 2 Jan 2027", "Sat 2 Jan 2027, and on Sat 9 Jan 2027 if that is called
/// off".
fn dates(event: &Event, request: &Request) -> String {
    let days: Vec<Date> = request.live().map(|ask| ask.for_on).collect();
    match days.as_slice() {
        [one] if Some(*one) == event.details.rain_on => format!("{}, the rain date", words::day(*one)),
        [one] => words::day(*one),
        [first, second, ..] => {
            format!("{}, and {} if that is called off", words::day(*first), words::day(*second))
        }
        [] => String::new(),
    }
}

/// The lines under a question: its dates, then what was typed.
#[must_use]
pub fn facts(event: &Event, request: &Request) -> Vec<(String, String)> {
    let mut facts = Vec::new();
    for ask in request.live() {
        let label = if Some(ask.for_on) == event.details.rain_on { "Rain date" } else { "Day" };
        facts.push((label.to_owned(), words::day(ask.for_on)));
    }
    facts.extend(request.facts.iter().cloned());
    facts
}

fn letter(
    (kind, dedup, subject): (Kind, String, String),
    (event, request, person, sender): (&Event, &Request, &Person, &Sender),
    parts: &Parts<'_>,
    (due_at, not_after): (OffsetDateTime, OffsetDateTime),
) -> Result<Letter> {
    let (signed, contact) = (sender.signer.as_ref(), sender.contact());
    let parts = Parts {
        hello: greeted(person),
        from: signed.map_or(&sender.name, |signer| &signer.name),
        title: signed.map_or("", |signer| &signer.title),
        phone: if signed.is_some() { "" } else { &sender.phone },
        questions: if signed.is_some() { &contact } else { "" },
        department: &sender.department,
        ..parts.clone()
    };
    Ok(Letter {
        kind,
        event_id: Some(event.id),
        person_id: Some(person.id),
        request_id: Some(request.id),
        date_revision: Some(event.date_revision),
        dedup,
        to: Mailbox { name: person.details.name.clone(), address: person.details.mail.clone() },
        reply_to: Mailbox { name: sender.name.clone(), address: sender.mail.clone() },
        subject,
        body: mail::body(&parts)?,
        calendar: None,
        in_reply_to: None,
        urgent: false,
        due_at,
        not_after,
    })
}

fn until(event: &Event, request: &Request) -> String {
    let wall = event.details.zone.wall(request.closes_at);
    format!("You can change your answer with this link until {}.", words::moment(wall))
}

fn press(request: &Request) -> (&'static str, String) {
    ("Answer", Opens::Question.mark(request.id, request.link_number))
}

/// The question itself.
///
/// # Errors
/// When a template can't be filled.
pub fn asking(
    event: &Event,
    request: &Request,
    person: &Person,
    sender: &Sender,
    now: OffsetDateTime,
) -> Result<Letter> {
    let (facts, after) = (facts(event, request), until(event, request));
    let lead = format!("{} It is on {}.", request.question, dates(event, request));
    let words: Vec<String> = Some(request.words.clone()).into_iter().filter(|words| !words.is_empty()).collect();
    let parts = Parts {
        lead: &lead,
        facts: &facts,
        words: &words,
        press: Some(press(request)),
        after: &after,
        ..Parts::default()
    };
    let dedup = format!("ask/{}/{}/{}", request.id, event.date_revision, request.asks.len());
    let about = (Kind::Ask, dedup, request.question.clone());
    letter(about, (event, request, person, sender), &parts, (now, request.closes_at))
}

/// What was recorded, so that the person has it in writing.
///
/// # Errors
/// When a template can't be filled.
pub fn confirming(
    event: &Event,
    request: &Request,
    (ask, answer): (&Ask, &Answer),
    (person, sender, key): (&Person, &Sender, &LinkKey),
    now: OffsetDateTime,
) -> Result<Letter> {
    let day = words::day(ask.for_on);
    let lead = match answer.said {
        Said::Yes => format!("You said yes to {day}. Thank you."),
        Said::No => format!("You said no to {day}. Thank you for telling us."),
        Said::Maybe => format!("You said maybe to {day}. Please tell us when you know."),
        Said::Deputy => format!("You send {} on {day}. Thank you.", answer.deputy_says()),
    };
    let (facts, after) = (facts(event, request), until(event, request));
    let words = [format!("We had asked: {}", request.question)];
    let parts = Parts {
        lead: &lead,
        facts: &facts,
        words: &words,
        press: Some(("See or change your answer", press(request).1)),
        after: &after,
        ..Parts::default()
    };
    let dedup = format!("confirm/{}/{}/{}/{}", ask.id, ask.answers.len(), answer.said, event.date_revision);
    let subject = format!("Your answer for {day}: {}", answer.says());
    let last = (ask.for_on + Duration::DAY).midnight().assume_utc();
    let letter = letter((Kind::Notice, dedup, subject), (event, request, person, sender), &parts, (now, last))?;
    Ok(Letter { calendar: calendar::attachment(event, request, ask, (sender, person, key), now), ..letter })
}

/// That a question was taken back, to somebody who may count on it: a letter
/// for each date they had said yes to, which takes it out of their calendar, or
/// one if they had not answered. None after a no.
///
/// # Errors
/// When a template can't be filled.
pub fn withdrawing(
    event: &Event,
    request: &Request,
    (person, sender, key): (&Person, &Sender, &LinkKey),
    now: OffsetDateTime,
) -> Result<Vec<Letter>> {
    let counts_on = |ask: &&Ask| ask.stands().is_some_and(|answer| answer.said != Said::No);
    let mut asks: Vec<&Ask> = request.live().filter(counts_on).collect();
    if asks.is_empty() {
        asks.extend(request.live().find(|ask| ask.stands().is_none()));
    }
    let words = [format!("We had asked: {}", request.question)];
    let letter = |ask: &&Ask| {
        let day = words::day(ask.for_on);
        let lead = format!("We no longer need you on {day}. You need not do anything.");
        let parts = Parts { lead: &lead, words: &words, ..Parts::default() };
        let dedup = format!("withdrawn/{}/{}", request.id, ask.id);
        let subject = format!("No longer needed: {day}");
        let last = (ask.for_on + Duration::DAY).midnight().assume_utc();
        let letter = letter((Kind::Notice, dedup, subject), (event, request, person, sender), &parts, (now, last))?;
        let calendar = calendar::attachment(event, request, ask, (sender, person, key), now);
        Ok(Letter { urgent: true, calendar, ..letter })
    };
    asks.iter().map(letter).collect()
}

/// After a move: everybody who was asked about a date that is no more hears of
/// it, once, and is asked about the new one if `again`. Those who had said no
/// are left alone. Gives how many letters were queued, and how many people have
/// no address.
///
/// # Errors
/// The store's.
pub async fn moved(
    tx: &mut Tx,
    (old, new): (&Event, &Event),
    (user, sender): (&User, &Sender),
    key: &LinkKey,
    again: bool,
    now: OffsetDateTime,
) -> Result<(usize, usize)> {
    let (mut written, mut without) = (0, 0);
    for request in store::of_event(tx, new.id).await? {
        let lapsed = request.asks.iter().any(|ask| ask.is_lapsed && ask.for_on == old.details.burn_on);
        if !lapsed || !request.concerns(old.details.burn_on) {
            continue;
        }
        if again {
            let closes_at = closing(new, now);
            store::ask_again(tx, user.actor(), new, request.id, closes_at, key, now).await?;
        }
        let Some(request) = store::of_request_in(tx, request.id).await? else { continue };
        match people::find(tx, request.person_id).await?.filter(Person::has_mail) {
            Some(person) => {
                let letter = moving((old, new), &request, (&person, sender, key), now)?;
                written += usize::from(mail::queue(tx, &letter, now).await?.is_some());
                // What was kept free is now the day itself: its calendar entry
                // says so.
                let promoted = request.live().find(|ask| ask.for_on == new.details.burn_on);
                if let Some((ask, answer)) = promoted.and_then(|ask| Some((ask, ask.stands()?))) {
                    let who = (&person, sender, key);
                    mail::queue(tx, &confirming(new, &request, (ask, answer), who, now)?, now).await?;
                }
            }
            None => without += 1,
        }
    }
    Ok((written, without))
}

/// Answers to a new question are wanted by two days before burn day, at the end
/// of that day, or as late as there still is time.
#[must_use]
pub fn closing(event: &Event, now: OffsetDateTime) -> OffsetDateTime {
    let at = |days: i64| {
        let on = event.details.burn_on - Duration::days(days);
        event.details.zone.instant(on, Time::from_hms(20, 0, 0).unwrap_or(Time::MIDNIGHT))
    };
    let burn = event.details.zone.instant(event.details.burn_on, event.details.burn_time);
    [at(2), at(1), burn].into_iter().flatten().find(|closes| *closes > now).unwrap_or(now + Duration::DAY)
}

fn moving(
    (old, new): (&Event, &Event),
    request: &Request,
    (person, sender, key): (&Person, &Sender, &LinkKey),
    now: OffsetDateTime,
) -> Result<Letter> {
    let (from, to) = (words::day(old.details.burn_on), words::day(new.details.burn_on));
    let is_asked = request.live().any(|ask| ask.stands().is_none());
    let known = request.live().any(|ask| ask.for_on == new.details.burn_on && ask.stands().is_some());
    let lead = format!("The burn is now on {to}, not on {from}.");
    let what_counts = if is_asked {
        format!("What you said to {from} no longer counts. {} Please answer for the new day.", request.question)
    } else if known {
        format!("You have told us about {to} already, and that stands. You can still change it.")
    } else {
        format!("What you said to {from} no longer counts. We will ask you again if we need you on the new day.")
    };
    let facts = facts(new, request);
    let words = [what_counts];
    let parts = Parts {
        lead: &lead,
        facts: &facts,
        words: &words,
        press: (is_asked || known).then(|| press(request)),
        ..Parts::default()
    };
    let dedup = format!("moved/{}/{}", request.id, new.date_revision);
    let subject = format!("The burn has moved to {to}");
    let last = (new.details.burn_on + Duration::DAY).midnight().assume_utc();
    let letter = letter((Kind::Notice, dedup, subject), (new, request, person, sender), &parts, (now, last))?;
    let gone = request.asks.iter().rfind(|ask| ask.is_lapsed && ask.for_on == old.details.burn_on);
    let calendar = gone.and_then(|ask| calendar::attachment(new, request, ask, (sender, person, key), now));
    // Somebody may already be on the way.
    Ok(Letter { urgent: true, calendar, ..letter })
}
