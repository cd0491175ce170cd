//! The gift pages.

use super::form::{FORM, GiftForm, ReceivedForm};
use super::receipt::is_part_deductible;
use super::report::Totals;
use super::views::{self, Edit, GiftPage, Index, ReceiptLine, ReceiptPage, Receipted, Report, ReportLine};
use super::{Basis, Details, Gift, InName, Receipt, receipt, store};
use crate::accounts::{Officer, PeopleKeeper, Private, SignedIn, Visit};
use crate::asks::{Sender, greeted};
use crate::db::journal;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::mail::{self, Kind, Letter, Mailbox, Parts, outbox};
use crate::people::choosing::{self, Chooser, Line, Settled, Whom, WithPerson};
use crate::people::{self, Person};
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum_extra::extract::Query;
use serde::Deserialize;
use time::{Date, Duration, OffsetDateTime};

/// How long we try to send a receipt. After that someone has to look into it.
const TRIED_FOR: Duration = Duration::days(14);

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/guests/gifts", get(index))
        .route("/events/{id}/guests/gifts/new", get(new).merge(post(create)))
        .route("/events/{id}/guests/gifts/report", get(report))
        .route("/events/{id}/guests/gifts/{gift}", get(gift_page))
        .route("/events/{id}/guests/gifts/{gift}/edit", get(edit).merge(post(change)))
        .route("/events/{id}/guests/gifts/{gift}/received", post(received))
        .route("/events/{id}/guests/gifts/{gift}/receipt", get(receipt_page).merge(post(give_receipt)))
}

async fn event(app: &App, id: i64) -> Result<Event> {
    events::find(app.db.read(), id).await?.ok_or(Error::NotFound)
}

async fn found(app: &App, event_id: i64, id: i64) -> Result<(Event, Gift)> {
    let event = event(app, event_id).await?;
    let gift = store::find(&mut *app.db.read().acquire().await?, event_id, id).await?;
    Ok((event, gift.ok_or(Error::NotFound)?))
}

/// The receipts for an event's gifts, newest first.
async fn receipts(app: &App, event_id: i64) -> Result<Vec<Receipted>> {
    let mut db = app.db.read().acquire().await?;
    let mut all = Vec::new();
    for (gift_id, given) in store::receipts(&mut db, event_id).await? {
        let mail = match given.mail_id {
            Some(id) => outbox::find(&mut db, id).await?.map(|mail| mail.state),
            None => None,
        };
        all.push(Receipted { gift_id, given, mail });
    }
    Ok(all)
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    let gifts = store::of_event(&mut *app.db.read().acquire().await?, id).await?;
    let receipts = receipts(&app, id).await?;
    let (user, today) = (&visit.user, event.today(now));
    let lacks = |gift: &&Gift| gift.is_received() && !receipts.iter().any(|r| r.gift_id == gift.id && r.status());
    show(&Index {
        page: events::page(&app, &visit, Some(&event), now).await?.titled("Gifts"),
        event_id: id,
        totals: user.sees(Private::Money).then(|| Totals::of(&gifts)),
        without_receipt: gifts.iter().filter(lacks).count(),
        groups: views::groups(&gifts, &receipts, user, &event, today),
    })
}

async fn report(State(app): State<App>, PeopleKeeper(visit): PeopleKeeper, Path(id): Path<i64>) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    let gifts = store::of_event(&mut *app.db.read().acquire().await?, id).await?;
    let page = events::page(&app, &visit, Some(&event), now).await?.titled("Gift totals");
    show(&Report {
        event_line: page.event.as_ref().map(|banner| format!("{} · {}", banner.name, banner.line)).unwrap_or_default(),
        page,
        printed: views::moment(&event, now),
        totals: Totals::of(&gifts),
        lines: gifts.iter().map(ReportLine::of).collect(),
    })
}

async fn gift_page(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, gift)): Path<(i64, i64)>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, gift) = found(&app, id, gift).await?;
    let form = views::received_today(&visit.user.name, event.today(now));
    show(&view(&app, &visit, &event, gift, (form, Mistakes::default()), now).await?)
}

async fn view(
    app: &App,
    visit: &Visit,
    event: &Event,
    gift: Gift,
    (form, mistakes): (ReceivedForm, Mistakes),
    now: OffsetDateTime,
) -> Result<GiftPage> {
    let (user, today) = (&visit.user, event.today(now));
    let title = views::title(&gift, user.sees(Private::Money));
    let receipts: Vec<Receipted> = receipts(app, event.id).await?;
    let receipts: Vec<Receipted> = receipts.into_iter().filter(|receipt| receipt.gift_id == gift.id).collect();
    let history =
        if user.sees(Private::Money) { journal::of(app.db.read(), "gift", gift.id).await? } else { Vec::new() };
    let made_from = receipt(&gift, &visit.user.department.name).ok().map(|receipt| receipt.made_from);
    let newest = receipts.iter().find(|receipt| receipt.status() && !receipt.given.text.is_empty());
    Ok(GiftPage {
        page: events::page(app, visit, Some(event), now).await?.titled(title.clone()),
        title,
        facts: views::facts(&gift, user, today),
        value: user.sees(Private::Money).then(|| views::value(&gift, today)).flatten(),
        is_late: gift.is_late(today),
        is_outdated: newest.is_some_and(|receipt| made_from.is_none() || receipt.given.made_from != made_from),
        receipts: receipts.iter().map(|receipt| ReceiptLine::of(receipt, event, today)).collect(),
        gift,
        form,
        mistakes,
        history: app.history.lines(history, &event.details.zone),
    })
}

async fn edit_page(
    app: &App,
    visit: &Visit,
    (event, gift): (&Event, Option<&Gift>),
    sent: WithPerson<GiftForm>,
    now: OffsetDateTime,
) -> Result<Edit> {
    let heading = if gift.is_some() { "Edit gift" } else { "Add a gift" };
    let action = gift.map_or(format!("/events/{}/guests/gifts/new", event.id), |gift| format!("{}/edit", gift.href()));
    let page = events::page(app, visit, Some(event), now).await?.titled(heading);
    let mut db = app.db.read().acquire().await?;
    let (find, giver) = (&sent.find, sent.form.person.parse().ok());
    let givers = Chooser::load(&mut db, action.clone(), find, giver.as_slice(), &[], Person::place).await?;
    drop(db);
    Ok(Edit {
        page: if let Some(gift) = gift { page.under(gift.href(), views::title(gift, true)) } else { page },
        heading,
        action,
        usual: GiftForm::fresh("", event.today(now)),
        is_again: sent.is_again(),
        adding: sent.adding(),
        form: sent.form,
        mistakes: sent.mistakes,
        givers,
        names: people::list(app.db.read()).await?,
    })
}

async fn refuse(
    app: &App,
    visit: &Visit,
    of: (&Event, Option<&Gift>),
    sent: WithPerson<GiftForm>,
    now: OffsetDateTime,
) -> Result<Response> {
    show_as(StatusCode::UNPROCESSABLE_ENTITY, &edit_page(app, visit, of, sent, now).await?)
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct From {
    person: String,
}

async fn new(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Query(from): Query<From>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    let form = GiftForm::fresh(&from.person, event.today(now));
    show(&edit_page(&app, &visit, (&event, None), WithPerson::fresh(form), now).await?)
}

const NO_DONOR: &str = "Choose the donor.";

/// What was typed, and the donor, if it can be saved. A gift in the name of an organization
/// needs a donor who has one.
async fn ready(app: &App, sent: &WithPerson<GiftForm>, today: Date) -> Result<Result<(Details, Whom), Mistakes>> {
    let mut mistakes = Mistakes::default();
    let whom = sent.new.whom("person", &sent.form.person, NO_DONOR, &mut mistakes);
    let (details, whom) = match (sent.form.read(today), whom) {
        (Ok(details), Some(whom)) => (details, whom),
        (Ok(_), None) => return Ok(Err(mistakes)),
        (Err(others), _) => return Ok(Err(mistakes.and(others))),
    };
    match choosing::known_about(&mut *app.db.read().acquire().await?, &whom).await? {
        None => mistakes.add("person", NO_DONOR),
        Some(donor) if details.in_name == InName::Organization && donor.organization.is_empty() => match whom {
            Whom::New(_) => mistakes.add("new_organization", "Enter the organization, or choose “themselves” above."),
            Whom::Known(_) => mistakes.add(
                "in_name",
                "This person's contact record has no organization. Add it under People, or choose “themselves.”",
            ),
        },
        Some(_) => return Ok(Ok((details, whom))),
    }
    Ok(Err(mistakes))
}

async fn create(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    sent: WithPerson<GiftForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    if sent.find.is_looking() {
        return show(&edit_page(&app, &visit, (&event, None), sent, now).await?);
    }
    let (details, whom) = match ready(&app, &sent, event.today(now)).await? {
        Ok(ready) => ready,
        Err(mistakes) => return refuse(&app, &visit, (&event, None), sent.refused(mistakes), now).await,
    };
    let actor = visit.user.actor();
    let add = app.db.write(move |tx| {
        Box::pin(async move {
            Ok(match choosing::settle(tx, actor, &whom, now).await? {
                Settled::Person { id: person_id, said } => {
                    let gift = store::add(tx, actor, id, &Details { person_id, ..details }, now).await?;
                    Ok((gift, format!("Gift added.{said}")))
                }
                Settled::Unsure(known) => Err(known),
            })
        })
    });
    match add.await? {
        Ok((gift, said)) => Ok(flash::redirect(&format!("/events/{id}/guests/gifts/{gift}"), &said)),
        Err(known) => refuse(&app, &visit, (&event, None), sent.unsure(known), now).await,
    }
}

async fn edit(State(app): State<App>, Officer(visit): Officer, Path((id, gift)): Path<(i64, i64)>) -> Result<Response> {
    let now = app.clock.now();
    let (event, gift) = found(&app, id, gift).await?;
    let form = GiftForm::of(&gift, event.today(now));
    show(&edit_page(&app, &visit, (&event, Some(&gift)), WithPerson::fresh(form), now).await?)
}

async fn change(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, gift)): Path<(i64, i64)>,
    sent: WithPerson<GiftForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, gift) = found(&app, id, gift).await?;
    if sent.find.is_looking() {
        return show(&edit_page(&app, &visit, (&event, Some(&gift)), sent, now).await?);
    }
    let (details, whom) = match ready(&app, &sent, event.today(now)).await? {
        Ok(ready) => ready,
        Err(mistakes) => return refuse(&app, &visit, (&event, Some(&gift)), sent.refused(mistakes), now).await,
    };
    let (actor, version, which, donor) = (visit.user.actor(), sent.form.version, (id, gift.id), whom.clone());
    let save = app.db.write(move |tx| {
        Box::pin(async move {
            // Nobody is added for a gift that someone else changed.
            if store::find(tx, which.0, which.1).await?.is_none_or(|saved| saved.version != version) {
                return Ok(Saved::Stale);
            }
            let (person_id, said) = match choosing::settle(tx, actor, &donor, now).await? {
                Settled::Person { id, said } => (id, said),
                Settled::Unsure(known) => return Ok(Saved::Unsure(known)),
            };
            store::save(tx, actor, which, &Details { person_id, ..details }, version, now).await?;
            Ok(Saved::Done(format!("Gift saved.{said}")))
        })
    });
    match save.await? {
        Saved::Done(said) => Ok(flash::redirect(&gift.href(), &said)),
        Saved::Unsure(known) => refuse(&app, &visit, (&event, Some(&gift)), sent.unsure(known), now).await,
        Saved::Stale => {
            let (_, status) = found(&app, id, gift.id).await?;
            let page = events::page(&app, &visit, Some(&event), now).await?;
            conflict::show(page, &stale(&app, &status, (&sent, &whom), event.today(now)).await?)
        }
    }
}

/// How saving a gift went.
enum Saved {
    Done(String),
    Unsure(Vec<Line>),
    Stale,
}

async fn stale(app: &App, saved: &Gift, (sent, whom): (&WithPerson<GiftForm>, &Whom), today: Date) -> Result<Conflict> {
    let (theirs, mine) = (GiftForm::of(saved, today), &sent.form);
    let mut conflict = Conflict::new(&views::title(saved, true), format!("{}/edit", saved.href()), saved.version);
    let named = choosing::known_about(&mut *app.db.read().acquire().await?, whom).await?;
    conflict.silent("person", &mine.person);
    conflict.compare("Donor", &saved.person, &named.map(|details| details.name).unwrap_or_default());
    sent.new.keep(&mut conflict);
    let in_name = |text: &str| text.parse::<InName>().map_or("", InName::label);
    conflict.silent("in_name", &mine.in_name);
    conflict.compare("Given in the name of", in_name(&theirs.in_name), in_name(&mine.in_name));
    let basis = |text: &str| text.parse::<Basis>().map_or("", Basis::label);
    conflict.silent("basis", &mine.basis);
    conflict.compare("Basis of the value", basis(&theirs.basis), basis(&mine.basis));
    for field in FORM {
        conflict.field(field.name, field.label, (field.of)(&theirs), (field.of)(mine));
    }
    Ok(conflict)
}

async fn received(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, gift)): Path<(i64, i64)>,
    Form(form): Form<ReceivedForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, gift) = found(&app, id, gift).await?;
    let (on, taken_by) = match form.read(event.today(now)) {
        Ok(read) => read,
        Err(mistakes) => {
            let page = view(&app, &visit, &event, gift, (form, mistakes), now).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (actor, href) = (visit.user.actor(), gift.href());
    let write =
        app.db.write(move |tx| Box::pin(async move { store::receive(tx, actor, &gift, on, &taken_by, now).await }));
    let said = if write.await? {
        "Gift received. Next, give the receipt."
    } else {
        "Nothing was changed: this gift is no longer promised."
    };
    Ok(flash::redirect(&href, said))
}

async fn receipt_page(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, gift)): Path<(i64, i64)>,
) -> Result<Response> {
    show(&receipt_view(&app, &visit, (id, gift), app.clock.now()).await?)
}

async fn receipt_view(app: &App, visit: &Visit, (id, gift): (i64, i64), now: OffsetDateTime) -> Result<ReceiptPage> {
    let (event, gift) = found(app, id, gift).await?;
    let person = people::find(&mut *app.db.read().acquire().await?, gift.details.person_id).await?;
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    let made = receipt(&gift, &sender.department);
    let today = event.today(now);
    let given = receipts(app, id).await?;
    let given = given.iter().filter(|receipt| receipt.gift_id == gift.id);
    Ok(ReceiptPage {
        page: events::page(app, visit, Some(&event), now).await?.titled("Receipt"),
        title: views::title(&gift, false),
        date: Reader::Public.day(today),
        to: views::address(&gift, person.as_ref()),
        dear: person.as_ref().map_or_else(|| format!("Dear {}:", gift.person), |person| person.details.salutation()),
        missing: made.as_ref().err().copied(),
        is_part_deductible: is_part_deductible(&gift),
        receipt: made.ok(),
        signed: sender.name,
        signed_as: sender.title,
        phone: sender.phone,
        department: sender.department,
        mail: person.filter(Person::has_mail).map(|person| person.details.mail).unwrap_or_default(),
        given: given.map(|receipt| ReceiptLine::of(receipt, &event, today)).collect(),
        gift,
    })
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct GiveForm {
    act: String,
}

async fn give_receipt(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, gift_id)): Path<(i64, i64)>,
    Form(form): Form<GiveForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (_, gift) = found(&app, id, gift_id).await?;
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    let person = people::find(&mut *app.db.read().acquire().await?, gift.details.person_id).await?;
    let by_mail = person.filter(Person::has_mail).filter(|_| form.act == "mail");
    let (Ok(made), true) = (receipt(&gift, &sender.department), form.act == "on paper" || by_mail.is_some()) else {
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &receipt_view(&app, &visit, (id, gift_id), now).await?);
    };
    let (by, href) = (visit.user.account_id, gift.href());
    let failed = receipts(&app, id).await?.iter().filter(|r| r.gift_id == gift.id && !r.status()).count();
    let said = if by_mail.is_some() { "The receipt will go out by email." } else { "Saved: receipt given on paper." };
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            // Both buttons were used at once, or the gift changed in the meantime.
            if store::find(tx, id, gift_id).await?.as_ref() != Some(&gift) {
                return Ok(false);
            }
            let mail_id = match &by_mail {
                Some(person) => mail::queue(tx, &letter(&gift, &made, (person, &sender), failed, now)?, now).await?,
                None => None,
            };
            if mail_id.is_some() || by_mail.is_none() {
                store::add_receipt(tx, by, &gift, &made, mail_id, now).await?;
            }
            Ok(mail_id.is_some() || by_mail.is_none())
        })
    });
    let done = write.await?;
    Ok(flash::redirect(
        &href,
        if done { said } else { "Nothing was sent: this receipt is already out, or the gift has changed." },
    ))
}

/// The receipt as an email. It goes out at most once a day for each gift, plus once for
/// each time it failed.
///
/// # Errors
/// When a template can't be filled.
pub fn letter(
    gift: &Gift,
    receipt: &Receipt,
    (person, sender): (&Person, &Sender),
    failed: usize,
    now: OffsetDateTime,
) -> Result<Letter> {
    let facts: Vec<(String, String)> =
        receipt.facts.iter().map(|(label, text)| ((*label).to_owned(), text.clone())).collect();
    let parts = Parts {
        hello: greeted(person),
        dear: &person.details.salutation(),
        lead: &receipt.lead,
        facts: &facts,
        words: &receipt.words,
        from: &sender.name,
        title: &sender.title,
        phone: &sender.phone,
        department: &sender.department,
        ..Parts::default()
    };
    Ok(Letter {
        kind: Kind::Notice,
        event_id: Some(gift.event_id),
        person_id: Some(person.id),
        request_id: None,
        facts_revision: None,
        dedup: format!("receipt/{}/{}/{}/{failed}", gift.id, gift.version, words::iso(now.date())),
        to: Mailbox { name: person.details.name.clone(), address: person.details.mail.clone() },
        reply_to: Mailbox { name: sender.name.clone(), address: sender.mail.clone() },
        subject: format!("Receipt for your gift to {}", sender.department),
        body: mail::body(&parts)?,
        calendars: Vec::new(),
        in_reply_to: None,
        urgent: false,
        due_at: now,
        not_after: now + TRIED_FOR,
    })
}
