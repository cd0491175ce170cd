//! The demo's officials and sponsors, all made up.

mod invited;

use super::answers;
use super::letters::went_out;
use crate::asks::{self, Confirm, Given, Kind, NewQuestion, Said, Sender, Way};
use crate::calc::calendar::Basis;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::Event;
use crate::guests::{
    self, Details, Gives, GuestSettings, InvitationLead, Level, NewGuest, Part, Program, ProgramItem, Side,
};
use crate::web::link::LinkKey;
use crate::{accounts, mail, people};
use invited::{GUESTS, Invited};
use time::macros::time;
use time::{Duration, OffsetDateTime};

/// People who are only guests: name, pronunciation, office, jurisdiction, email before
/// "@example.org", last two digits of the phone.
const MORE: [(&str, &str, &str, &str, &str, &str); 4] = [
    ("Florian Takahashi-Reyes", "", "United States representative", "District 4", "f.takahashi-reyes", "60"),
    ("נועה שמש", "NO-ah SHEH-mesh", "Council member", "City of Alder Bend", "n.shemesh", "61"),
    (
        "Cornelius Bartholomew Abernathy-Featherstonehaugh van der Westhuizen",
        "FAN-shaw fan der VEST-how-zen",
        "Mayor",
        "City of Alder Bend",
        "c.abernathy",
        "62",
    ),
    ("Gwendolyn Achebe", "", "Mayor", "City of Northbend", "g.achebe", "63"),
];

/// How many days ago they were asked.
const ASKED: i64 = 33;

/// Adds them, invites most of them, and records their replies.
pub(super) async fn fill(
    tx: &mut Tx,
    account: i64,
    sender: &Sender,
    event: &Event,
    key: &LinkKey,
    now: OffsetDateTime,
) -> Result<()> {
    let actor = Actor::Account(account);
    let at = |days: i64| {
        let on = event.today(now) - Duration::days(days);
        event.details.zone.instant(on, time!(11:10)).unwrap_or(now).min(now)
    };
    for (name, said, office, jurisdiction, mail, phone) in MORE {
        let details = people::Details {
            said: said.to_owned(),
            office: office.to_owned(),
            jurisdiction: jurisdiction.to_owned(),
            mail: format!("{mail}@example.org"),
            phone: format!("555-01{phone}"),
            ..people::Details::of_name(name)
        };
        people::add(tx, actor, &details, at(60)).await?;
    }
    let old = guests::settings(tx).await?;
    // Nearby offices reply fast. A month of working days is enough for them.
    let quick = |lead: &InvitationLead| InvitationLead { days: 20, basis: Basis::Working, ..*lead };
    let leads = old.leads.iter().map(quick).collect();
    let settings = GuestSettings { leads, ..old };
    guests::save_settings(tx, actor, &settings, at(60)).await?;
    for invited in &GUESTS {
        add(tx, actor, event, (invited, &settings), at(50)).await?;
    }
    program(tx, actor, event, at(20)).await?;
    for invited in &GUESTS {
        ask(tx, account, event, invited, (sender, key), &at).await?;
    }
    let all = guests::of_event(tx, event.id).await?;
    for invited in GUESTS.iter().filter(|invited| invited.is_silent()) {
        // Called yesterday. They will let us know.
        let person = people::everyone(tx).await?.into_iter().find(|person| person.details.name == invited.name);
        let guest = all.iter().find(|guest| Some(guest.person_id) == person.as_ref().map(|person| person.id));
        if let Some(guest) = guest {
            guests::rang(tx, actor, (guest, invited.name), event.today(at(1)), at(1)).await?;
        }
    }
    if let Some(guest) = all.iter().find(|guest| guest.details.is_former) {
        let name = GUESTS.iter().find(|invited| invited.is_former).map_or("", |invited| invited.name);
        let reason = "started the live burns when he was mayor, and Mayor Vance asked for it";
        guests::set_place(tx, actor, (guest, name), Some((2, reason)), at(4)).await?;
    }
    Ok(())
}

async fn add(
    tx: &mut Tx,
    actor: Actor,
    event: &Event,
    (invited, settings): (&Invited, &GuestSettings),
    now: OffsetDateTime,
) -> Result<()> {
    let everyone = people::everyone(tx).await?;
    let Some(person) = everyone.iter().find(|person| person.details.name == invited.name) else { return Ok(()) };
    let responsible = accounts::list_in(tx).await?.into_iter().find(|account| account.name == invited.responsible);
    let office = settings.offices.iter().find(|office| office.name.eq_ignore_ascii_case(&person.details.office));
    let office = office.filter(|_| invited.side == Side::Official);
    let level = office.map_or(Level::Sponsor, |office| office.level);
    let (seconds, gives, least, priority) = invited.speaks;
    let is_official = invited.side == Side::Official;
    let text = |text: &str| if is_official { text.to_owned() } else { String::new() };
    let details = Details {
        office: office.map(|office| office.id),
        sponsor_level: settings.levels.iter().find(|level| level.name == invited.level).map(|level| level.id),
        address: office.map(|office| office.address.clone()).unwrap_or_default(),
        since: invited.since.to_owned(),
        is_former: invited.is_former,
        responsible: responsible.map(|account| account.person_id),
        seconds,
        gives,
        least,
        priority,
        microphone: if seconds > 0 { "handheld, on the platform".to_owned() } else { String::new() },
        met_by: text("Odette Marsh at gate B, 555-0144"),
        seat: invited.seat.to_owned(),
        parking: text("Field 2, marked for guests"),
        clothing: "Flat shoes and a warm coat. There will be smoke.".to_owned(),
        press: text("Two newspapers and a radio station are expected"),
        ..Details::of(invited.side, level)
    };
    let guest = NewGuest { event_id: event.id, person_id: person.id, name: invited.name, details: &details };
    guests::add(tx, actor, &guest, now).await?;
    Ok(())
}

/// A program that is a little too long.
async fn program(tx: &mut Tx, actor: Actor, event: &Event, now: OffsetDateTime) -> Result<()> {
    let usual = Program::usual();
    let lost = ProgramItem {
        kind: Part::Words,
        title: "Exits, noise, smoke, and where to find a lost child".to_owned(),
        who: "safety officer".to_owned(),
        seconds: 60,
        gives: Gives::Fixed,
        least: 60,
        priority: 1,
    };
    let mut items = usual.items.clone();
    items.insert(1, lost);
    guests::put_program(tx, actor, event.id, &Program { items, ..usual }, now).await?;
    Ok(())
}

async fn ask(
    tx: &mut Tx,
    account: i64,
    event: &Event,
    invited: &Invited,
    (sender, key): (&Sender, &LinkKey),
    at: &impl Fn(i64) -> OffsetDateTime,
) -> Result<()> {
    let Some((first, second, way)) = invited.answer else { return Ok(()) };
    let everyone = people::everyone(tx).await?;
    let Some(person) = everyone.iter().find(|person| person.details.name == invited.name) else { return Ok(()) };
    let question = NewQuestion {
        kind: Kind::Guest,
        question: Kind::Guest.question().to_owned(),
        facts: Vec::new(),
        words: guests::words_of(&sender.department),
        closes_at: asks::Closings::default().last(asks::Kind::Guest, event, at(0)),
        dates: [Some(event.details.burn_on), event.details.rain_on].into_iter().flatten().collect(),
    };
    let question = guests::with_facts(tx, event, person.id, &question).await?;
    let id = asks::ask(tx, account, event, person.id, &question, key, at(ASKED)).await?;
    let Some(request) = asks::of_request_in(tx, id).await? else { return Ok(()) };
    if person.has_mail() {
        let letter = asks::asking(event, &request, person, sender, at(ASKED))?;
        went_out(tx, &letter, None, at(ASKED)).await?;
    }
    let heard = at(ASKED - 9);
    for (ask, said) in request.asks.iter().zip([first, second]) {
        let Some(said) = said else { continue };
        let given = given(said, way, invited);
        let actor = if way == Way::Link { Actor::Link } else { Actor::Account(account) };
        let Some(known) = asks::of_request_in(tx, id).await? else { continue };
        let word = if way == Way::Link { Confirm::InWriting(sender, key) } else { Confirm::Not };
        asks::answer(tx, actor, (event, &known), (ask.id, &given), word, heard).await?;
        mail::note_past_of(tx, id, heard).await?;
    }
    Ok(())
}

fn given(said: Said, way: Way, invited: &Invited) -> Given {
    let is_deputy = said == Said::Deputy;
    Given {
        deputy: if is_deputy { "Nell Harrow".to_owned() } else { String::new() },
        deputy_title: if is_deputy { "chief of staff".to_owned() } else { String::new() },
        deputy_phone: if is_deputy { "555-0168".to_owned() } else { String::new() },
        wants_to_speak: (invited.side == Side::Official).then_some(invited.speaks.0 > 0),
        party: (said == Said::Yes).then_some(2),
        ..answers::given(said, way)
    }
}
