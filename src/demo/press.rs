//! The demo's press: an outlet of each type, contacts with them, and releases.

mod outlets;

use crate::asks::Sender;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::{Error, Result};
use crate::events::Event;
use crate::mail;
use crate::people::{self, Channel as Way, Details};
use crate::press::{
    Channel, Contact, Facts, NewEntry, NewStory, Outcome, OutletDetails, OutletKind, PaperKind, Reader, Seen,
    add_contact, add_entry, add_outlet, add_story, approve, contacts, list_outlet, new_paper, note_sent, paper_letter,
    save_facts, version,
};
use crate::web::link::LinkKey;
use crate::web::words;
use anyhow::anyhow;
use outlets::{NEW, OUTLETS};
use time::macros::time;
use time::{Date, Duration, OffsetDateTime, Weekday};

/// The people who write for the department: account and person, and whom emails come from.
pub(super) struct PressContext {
    pub officer: (i64, i64),
    pub information_officer: (i64, i64),
    pub sender: Sender,
}

const MESSAGES: [&str; 3] = [
    "In a home fire, you may have about two minutes to get out.",
    "A working smoke alarm and a closed door buy you time.",
    "Heat opens home fire sprinklers one at a time, and they hold the fire back.",
];

pub(super) async fn fill(
    tx: &mut Tx,
    context: &PressContext,
    event: &Event,
    key: &LinkKey,
    now: OffsetDateTime,
) -> Result<()> {
    let jun = Actor::Account(context.information_officer.0);
    let today = event.today(now);
    let at = |days: i64, hour: time::Time| {
        event.details.zone.instant(today - Duration::days(days), hour).unwrap_or(now).min(now)
    };
    let begun = at(24, time!(9:00));
    add_people(tx, jun, begun).await?;
    fill_outlets(tx, jun, today, begun).await?;
    let known = contacts(tx).await?;
    fill_list(tx, context, event.id, &known, begun).await?;
    save_facts(tx, jun, event.id, &facts(), begun).await?;

    // The release went out to outlets that need it early.
    let headline = "Fire district burns two rooms to show how little time a home fire leaves";
    let text = release(today - Duration::days(10));
    let by = context.information_officer.0;
    let paper = new_paper(tx, by, event.id, PaperKind::Release, (headline, &text), at(12, time!(10:00))).await?;
    let place = (event.id, context.sender.department.as_str());
    approve(tx, Reader::Account(context.officer.0), place, (paper, Seen::OnPage(Some(1), None)), at(11, time!(16:20)))
        .await?;
    let approved = version(tx, event.id, paper).await?.ok_or_else(|| missing("approved release"))?;
    for contact in &known {
        let person = people::find(tx, contact.person_id).await?;
        let Some(person) = person.filter(|person| person.has_mail() && !person.details.no_mail) else { continue };
        if contact.outlet == "Tri-County Wire" {
            continue;
        }
        let sent = at(10, time!(9:40));
        let letter = paper_letter(&approved, event, (&person, &contact.outlet), &context.sender, sent)?;
        let Some(mail) = mail::queue(tx, &letter, sent).await? else { continue };
        mail::note_past(tx, mail, None, sent + Duration::MINUTE).await?;
        mail::open_wish(tx, key, person.id, sent).await?;
        note_sent(tx, by, event.id, contact, (&approved, mail), sent).await?;
    }

    for word in log(today) {
        let contact = find(&known, word.who)?;
        let title = format!("{}, {}", contact.name, contact.outlet);
        let new = NewEntry {
            event_id: event.id,
            outlet_id: contact.outlet_id,
            person_id: contact.person_id,
            channel: word.channel,
            outcome: word.outcome,
            words: word.words.to_owned(),
            promised: word.promised.to_owned(),
            follow_up_on: word.follow_up,
            follow_up_by: word.follow_up.map(|_| context.information_officer.1),
            version_id: None,
            mail_id: None,
            at: at(word.days, word.hour),
            corrects: None,
        };
        add_entry(tx, Some(by), &new, &title, at(word.days, word.hour)).await?;
    }
    fill_story(tx, jun, event, &known, at(3, time!(8:30))).await?;

    let headline = "Two furnished rooms burn in public, one with a fire sprinkler";
    new_paper(tx, by, event.id, PaperKind::Advisory, (headline, ADVISORY), at(1, time!(15:10))).await?;
    Ok(())
}

fn missing(what: &str) -> Error {
    Error::Internal(anyhow!("the demo has no {what}"))
}

fn find<'a>(known: &'a [Contact], name: &str) -> Result<&'a Contact> {
    known.iter().find(|contact| contact.name == name).ok_or_else(|| missing(name))
}

async fn add_people(tx: &mut Tx, actor: Actor, at: OffsetDateTime) -> Result<()> {
    for (name, organization, phone, no_mail) in NEW {
        let mail = name.split(' ').next().unwrap_or(name).to_lowercase();
        let details = Details {
            organization: organization.to_owned(),
            mail: format!("{mail}@example.org"),
            phone: format!("555-01{phone}"),
            channel: if no_mail { Way::Phone } else { Way::Mail },
            no_mail,
            ..Details::of_name(name)
        };
        people::add(tx, actor, &details, at).await?;
    }
    Ok(())
}

async fn fill_outlets(tx: &mut Tx, actor: Actor, today: Date, at: OffsetDateTime) -> Result<()> {
    let everyone = people::everyone(tx).await?;
    for (name, kind, rhythm, lead_days, people) in OUTLETS {
        let is_weekly = kind == OutletKind::Weekly;
        let details = OutletDetails {
            name: name.to_owned(),
            kind,
            rhythm: rhythm.to_owned(),
            lead_days,
            closed_weekdays: if is_weekly { vec![Weekday::Friday] } else { Vec::new() },
            // On this day someone there should be called.
            closed_on: if is_weekly { vec![today + Duration::days(4)] } else { Vec::new() },
        };
        let outlet = add_outlet(tx, actor, &details, at).await?.ok_or_else(|| missing("outlet"))?;
        for (person, part) in people {
            let known = everyone.iter().find(|known| known.details.name == *person).ok_or_else(|| missing(person))?;
            add_contact(tx, actor, (outlet, name), (known.id, person), part, at).await?;
        }
    }
    Ok(())
}

async fn fill_list(
    tx: &mut Tx,
    context: &PressContext,
    event: i64,
    known: &[Contact],
    at: OffsetDateTime,
) -> Result<()> {
    for (name, kind, ..) in OUTLETS {
        let contact = known.iter().find(|contact| contact.outlet == name).ok_or_else(|| missing(name))?;
        let owner = if kind == OutletKind::Community { context.officer.1 } else { context.information_officer.1 };
        let actor = Actor::Account(context.information_officer.0);
        list_outlet(tx, actor, event, (contact.outlet_id, name), Some(owner), at).await?;
    }
    Ok(())
}

/// All except the media staging area, which the safety officer has yet to agree to.
pub(super) fn facts() -> Facts {
    let text = str::to_owned;
    Facts {
        contact: text("Jun Castellane, information officer"),
        phone: text("555-0118"),
        mail: String::new(),
        in_people: None,
        why: text("Most people think they have longer than they do."),
        area: String::new(),
        arrival: text("From 9:15 a.m. by gate B; park along the east fence."),
        interviews: text("Fire chief at 11 a.m.; a family who escaped a home fire, at 11:15 a.m."),
        visuals: text(
            "Smoke alarm at about minute 1, sprinkler at about minute 2, the whole room on fire at about minute 4.",
        ),
        decision: text("We will post the decision by 4 p.m. the day before on the recorded line, 555-0119."),
        clothing: text("Closed shoes and cotton or wool."),
        power: text("Two outlets at the media staging area; live trucks on the gravel by gate B."),
        messages: MESSAGES.map(text).to_vec(),
        taught: Vec::new(),
        version: 0,
    }
}

/// The news release, as it goes out on this day.
fn release(on: Date) -> String {
    let day = words::Reader::Press.day(on);
    let day = day.split_once(", ").map_or(day.as_str(), |(_, rest)| rest);
    let lead = format!(
        "ALDER BEND, Iowa ({day}) – The {{department}} will burn two furnished rooms, one with a sprinkler, in public at \
         {{time}} {{burn day}}, at {{place}}."
    );
    [
        "CONTACT: {contact}, {contact phone}, {contact email}",
        lead.as_str(),
        "{why}",
        "“People tell us they would have 10 minutes to get out,” said Fenwick Tamura, fire chief. “We want them to see \
         how long they really have.”",
        "{what happens} What people will see: {what to film}",
        "{messages}",
        "Rain date: {rain date}. {decision}",
        "The demonstration is free and open to the public. Visitors come in through gate B and park in field 1. The path \
         to the viewing area has no steps. The smoke alarm is loud, and there will be some smoke.",
        "About the {department}: The district protects Alder Bend and eastern Alder County from two stations.",
    ]
    .join("\n\n")
}

const ADVISORY: &str = "WHAT: {what happens}\n\nWHO: {department}\n\nWHEN: {time} {burn day}\nRain date: {rain date}. \
                        {decision}\n\nWHERE: {place}\n\nWHY: {why}\n\nVISUALS: {what to film}\n\nINTERVIEWS: \
                        {interviews}\n\nMEDIA ARRIVAL AND PARKING: {arrival}\nMedia staging area: {press area}\n\
                        Clothing: {clothing}\nPower: {power}\n\nCONTACT: {contact}, {contact phone}, \
                        {contact email}";

/// A contact with someone, this many days ago.
struct Word {
    who: &'static str,
    days: i64,
    hour: time::Time,
    channel: Channel,
    outcome: Outcome,
    words: &'static str,
    promised: &'static str,
    follow_up: Option<Date>,
}

fn log(today: Date) -> Vec<Word> {
    let plain = |who, days, channel, outcome, words| Word {
        who,
        days,
        hour: time!(10:30),
        channel,
        outcome,
        words,
        promised: "",
        follow_up: None,
    };
    let on = |days: i64| Some(today + Duration::days(days));
    vec![
        plain("Clementine Ashgrove", 9, Channel::Phone, Outcome::Answered, "Will list it in the weekend calendar."),
        plain("Eugenia Fontaine", 8, Channel::Mail, Outcome::Answered, "It will go home with the December letter."),
        Word {
            promised: "A recording of the smoke alarm.",
            follow_up: on(0),
            ..plain("Zdenka Moravec", 5, Channel::Phone, Outcome::Answered, "Wants sound for the morning show.")
        },
        Word {
            follow_up: on(-2),
            ..plain(
                "Wilhelmina Oyelaran",
                6,
                Channel::Phone,
                Outcome::NoAnswer,
                "Left a message with the assignment desk.",
            )
        },
        Word {
            hour: time!(11:5),
            follow_up: on(4),
            ..plain("Thessaly Marchetti", 4, Channel::Mail, Outcome::Answered, "Asked for a photo of last year's burn.")
        },
        Word {
            hour: time!(14:0),
            ..plain(
                "Kwabena Strand",
                7,
                Channel::InPerson,
                Outcome::Answered,
                "Prefers no email. Call when there is news.",
            )
        },
    ]
}

async fn fill_story(tx: &mut Tx, actor: Actor, event: &Event, known: &[Contact], at: OffsetDateTime) -> Result<()> {
    let story = NewStory {
        outlet_id: find(known, "Eugenia Fontaine")?.outlet_id,
        ran_on: event.today(at) - Duration::DAY,
        title: "See how fast a room burns".to_owned(),
        link: "https://school-letter.example.org/december".to_owned(),
        air_seconds: None,
        carried: 0b011,
        correction: "It says gate A. Visitors come in through gate B.".to_owned(),
        corrected_on: None,
    };
    add_story(tx, actor, event.id, &story, at).await?;
    Ok(())
}
