//! The page of the shopping and donations list.

use super::givers::{Giver, givers};
use super::needs::{Need, needs};
use crate::accounts::{Private, SignedIn, User, Visit};
use crate::asks;
use crate::error::Result;
use crate::gifts::Gift;
use crate::rooms::Room;
use crate::rooms::collecting::days_left;
use crate::rooms::page::{page, snapshot};
use crate::rooms::snapshot::RoomSnapshot;
use crate::rooms::store::{DonationReply, DonationRequest};
use crate::state::App;
use crate::web::form::Mistakes;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::words::{self, Reader};
use askama::Template;
use axum::extract::State;
use axum::response::Response;
use serde::Deserialize;
use std::fmt::Write;
use time::{Date, OffsetDateTime};

#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(super) struct AskForm {
    pub need: Vec<String>,
    pub who: Vec<i64>,
    pub words: String,
    pub act: String,
}

struct NeedLine {
    key: String,
    room: Room,
    title: String,
    beneath: String,
    href: String,
    asked: Vec<AskedLine>,
    is_chosen: bool,
}

/// Someone who was asked for it.
struct AskedLine {
    said: &'static str,
    on: Date,
    says: String,
}

struct Candidate {
    id: i64,
    name: String,
    /// Why they might give something, as marks and in words.
    marks: String,
    why: String,
    has_mail: bool,
    reached: &'static str,
    is_chosen: bool,
}

struct DonationLine {
    id: i64,
    title: String,
    beneath: String,
    said: DonationReply,
    gift: Option<String>,
    is_open: bool,
    offer: Option<OfferLine>,
    photo_id: Option<i64>,
    question: Option<i64>,
}

/// What they said and wrote on the page their link opens.
struct OfferLine {
    said: String,
    on: Date,
    says: String,
}

pub(super) struct Preview {
    pub to: String,
    pub subject: String,
    pub text: String,
}

#[derive(Template)]
#[template(path = "rooms/sourcing.html")]
pub(super) struct SourcingPage {
    page: Page,
    event_id: i64,
    days_left: String,
    needs: Vec<NeedLine>,
    candidates: Vec<Candidate>,
    donations: Vec<DonationLine>,
    form: AskForm,
    mistakes: Mistakes,
    /// The emails as they would go out.
    pub previews: Vec<Preview>,
}

const WORDS: &str = "Items don't have to be new, but the two rooms must match. We will pick them up.";

pub(super) async fn show_page(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = snapshot(&app, id).await?;
    let form = AskForm { words: WORDS.to_owned(), ..AskForm::default() };
    show(&view(&app, &visit, &snapshot, (form, Mistakes::default()), now).await?)
}

pub(super) async fn view(
    app: &App,
    visit: &Visit,
    snapshot: &RoomSnapshot,
    (form, mistakes): (AskForm, Mistakes),
    now: OffsetDateTime,
) -> Result<SourcingPage> {
    let today = snapshot.today(now);
    let offers = asks::offers(&mut *app.db.read().acquire().await?, snapshot.event.id).await?;
    let date = |at: OffsetDateTime| snapshot.event.details.zone.wall(at).date();
    let day = |at: OffsetDateTime| Reader::App.near_day(date(at), today);
    let asked = |donation: &DonationRequest| AskedLine {
        said: donation.said.as_str(),
        on: date(donation.at),
        says: match donation.said {
            DonationReply::No => format!("{} said no", donation.person),
            _ => format!("{} asked on {}", donation.person, day(donation.at)),
        },
    };
    let need = |need: &Need| NeedLine {
        key: need.key(),
        room: need.room,
        title: format!("{}, {}", words::capital(&need.says()), need.room),
        beneath: need.described(),
        href: need.thing.href(),
        asked: snapshot.donations.iter().filter(|donation| need.is_about(donation)).map(asked).collect(),
        is_chosen: form.need.contains(&need.key()),
    };
    // The newest comes first.
    let offer_of = |donation: &DonationRequest| {
        let (request, _) = donation.asked_with?;
        offers.iter().find(|offer| offer.request_id == request)
    };
    let offer_line = |offer: &asks::Made| OfferLine {
        said: offer.said.clone(),
        on: date(offer.at),
        says: offer_says(offer, &visit.user, &day(offer.at)),
    };
    let donation = |donation: &DonationRequest| DonationLine {
        id: donation.id,
        title: format!("{} × {}", donation.new.quantity, donation.new.what),
        beneath: format!("{}, asked on {}", donation.person, day(donation.at)),
        said: donation.said,
        gift: donation.gift_id.and_then(|id| snapshot.gifts.get(&id)).map(Gift::href),
        is_open: donation.said == DonationReply::Asked,
        offer: offer_of(donation).map(offer_line),
        photo_id: offer_of(donation).and_then(|offer| offer.photo_id),
        question: donation.asked_with.map(|(request, _)| request),
    };
    let candidate = |Giver { person, marks, why }: Giver| Candidate {
        id: person.id,
        name: if person.place().is_empty() {
            person.details.name.clone()
        } else {
            format!("{} · {}", person.details.name, person.place())
        },
        marks: marks.join(" "),
        why,
        has_mail: person.has_mail(),
        reached: if person.has_mail() { "" } else { "no email: call" },
        is_chosen: form.who.contains(&person.id),
    };
    Ok(SourcingPage {
        page: page(app, visit, &snapshot.event, "Shopping and donations list", now).await?,
        event_id: snapshot.event.id,
        days_left: days_left(snapshot.event.details.burn_on, today),
        needs: needs(snapshot).iter().map(need).collect(),
        candidates: givers(app, snapshot).await?.into_iter().map(candidate).collect(),
        donations: snapshot.donations.iter().map(donation).collect(),
        form,
        mistakes,
        previews: Vec::new(),
    })
}

/// "Replied yes by link on Wed, Nov 25: a brass lamp · Pickup: Saturday".
fn offer_says(offer: &asks::Made, user: &User, day: &str) -> String {
    let mut says = format!("Replied {} by link on {day}", offer.said);
    let (what, fetch) = (user.shown(Private::Notes, &offer.what), user.shown(Private::Notes, &offer.fetch));
    if !what.is_empty() {
        let _ = write!(says, ": {what}");
    }
    if !fetch.is_empty() {
        let _ = write!(says, " · Pickup: {fetch}");
    }
    says
}
