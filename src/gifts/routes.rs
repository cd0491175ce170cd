//! The gift pages.

use super::form::ReceivedForm;
use super::page::{event, found, receipts};
use super::receipted::{ReceiptLine, Receipted};
use super::report::Totals;
use super::views::{self, GiftPage, Index, Report, ReportLine};
use super::{Gift, editing, facts, giving, list, receipt, store};
use crate::accounts::{Officer, PeopleKeeper, Private, SignedIn, Visit};
use crate::db::journal;
use crate::error::Result;
use crate::events::{self, Event};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use time::OffsetDateTime;

/// The gifts to an event.
pub fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/guests/gifts", get(index))
        .route("/events/{id}/guests/gifts/report", get(report))
        .route("/events/{id}/guests/gifts/{gift}", get(gift_page))
        .route("/events/{id}/guests/gifts/{gift}/received", post(received))
        .merge(editing::router())
        .merge(giving::router())
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
        groups: list::groups(&gifts, &receipts, user, &event, today),
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
    let title = facts::title(&gift, user.sees(Private::Money));
    let receipts: Vec<Receipted> = receipts(app, event.id).await?;
    let receipts: Vec<Receipted> = receipts.into_iter().filter(|receipt| receipt.gift_id == gift.id).collect();
    let history =
        if user.sees(Private::Money) { journal::of(app.db.read(), "gift", gift.id).await? } else { Vec::new() };
    let made_from = receipt(&gift, &visit.user.department.name).ok().map(|receipt| receipt.made_from);
    let newest = receipts.iter().find(|receipt| receipt.status() && !receipt.given.text.is_empty());
    Ok(GiftPage {
        page: events::page(app, visit, Some(event), now).await?.titled(title.clone()),
        title,
        facts: facts::facts(&gift, user, today),
        value: user.sees(Private::Money).then(|| facts::value(&gift, today)).flatten(),
        is_late: gift.is_late(today),
        is_outdated: newest.is_some_and(|receipt| made_from.is_none() || receipt.given.made_from != made_from),
        receipts: receipts.iter().map(|receipt| ReceiptLine::of(receipt, event, today)).collect(),
        gift,
        form,
        mistakes,
        history: app.history.lines(history, &event.details.zone),
    })
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
