//! The page on which someone chooses who gets a version by email.

use crate::accounts::Visit;
use crate::error::Result;
use crate::events;
use crate::people;
use crate::press::outlets::{self, Contact};
use crate::press::papers::before_sending::{self, Hint, old_dateline};
use crate::press::papers::refusals::Refusal;
use crate::press::papers::snapshot::PaperSnapshot;
use crate::press::papers::version::Version;
use crate::press::papers::{dateline, holders};
use crate::press::reach::Reach;
use crate::state::App;
use crate::web::page::Page;
use askama::Template;
use serde::Deserialize;

#[derive(Template)]
#[template(path = "press/send.html")]
pub(super) struct Send {
    page: Page,
    event_id: i64,
    paper_id: i64,
    called: String,
    /// Why nothing can be sent; none if something can.
    refused: Option<Refusal>,
    /// Why nothing was sent just now.
    not_sent: Option<Refusal>,
    /// What to look at first. It can be sent anyway.
    hints: Vec<Hint>,
    /// The date in its dateline, if that has passed; else empty.
    old_dateline: String,
    is_sure: bool,
    unread: String,
    who: Recipients,
}

/// The contacts of the outlets on the list.
#[derive(Default)]
struct Recipients {
    to_mail: Vec<ToMail>,
    to_call: Vec<ToCall>,
    /// Those who have the version already.
    already: Vec<String>,
}

struct ToMail {
    id: i64,
    name: String,
    beneath: String,
    is_chosen: bool,
}

struct ToCall {
    contact: i64,
    name: String,
    beneath: String,
    phone: String,
    unmailed: &'static str,
}

#[derive(Debug, Clone, Deserialize, Default)]
#[serde(default)]
pub(super) struct SendForm {
    pub contact: Vec<i64>,
    /// "yes" to send it though the day in its dateline has passed.
    old_dateline: String,
}

impl SendForm {
    pub fn is_sure(&self) -> bool {
        self.old_dateline == "yes"
    }
}

impl Recipients {
    /// Adds a contact who doesn't have the version yet.
    fn add(&mut self, contact: Contact, reach: Reach, chosen: Option<&SendForm>) {
        let place = [contact.outlet.as_str(), contact.part.as_str()].into_iter().filter(|part| !part.is_empty());
        let place = place.collect::<Vec<_>>().join(", ");
        match reach.unmailed {
            Some(unmailed) => self.to_call.push(ToCall {
                contact: contact.id,
                name: contact.name,
                beneath: format!("{place} · {}", unmailed.says()),
                phone: reach.phone,
                unmailed: unmailed.as_str(),
            }),
            None => self.to_mail.push(ToMail {
                id: contact.id,
                name: contact.name,
                beneath: format!("{place} · {}", reach.mail),
                is_chosen: chosen.is_none_or(|form| form.contact.contains(&contact.id)),
            }),
        }
    }

    async fn load(app: &App, visit: &Visit, snapshot: &PaperSnapshot, chosen: Option<&SendForm>) -> Result<Self> {
        let mut db = app.db.read().acquire().await?;
        let sent = match snapshot.paper.newest() {
            Some(version) => holders::sent_to(&mut db, version.id).await?,
            None => Vec::new(),
        };
        let contacts = outlets::listed_contacts(&mut db, snapshot.event.id).await?;
        let people = people::everyone(&mut db).await?;
        let mut who = Self::default();
        for contact in contacts {
            if sent.contains(&contact.person_id) {
                who.already.push(format!("{}, {}", contact.name, contact.outlet));
            } else {
                let person = people.iter().find(|person| person.id == contact.person_id);
                who.add(contact, Reach::of(person, &visit.user), chosen);
            }
        }
        Ok(who)
    }
}

/// The page, with what was chosen and why it wasn't sent.
pub(super) async fn view(
    app: &App,
    visit: &Visit,
    snapshot: &PaperSnapshot,
    chosen: Option<&SendForm>,
    not_sent: Option<Refusal>,
) -> Result<Send> {
    let PaperSnapshot { event, paper, .. } = snapshot;
    let now = app.clock.now();
    let hints = before_sending::hints(app, event, paper, now).await?;
    let page = events::page(app, visit, Some(event), now).await?.titled("Email a release");
    let version = paper.newest();
    let dated = version.and_then(|version| old_dateline(version, event.today(now)));
    Ok(Send {
        page: page.under(snapshot.href(), paper.kind.title()),
        event_id: event.id,
        paper_id: paper.id,
        called: version.map(Version::called).unwrap_or_default(),
        refused: Refusal::to_send(snapshot),
        not_sent,
        hints,
        old_dateline: dated.map(dateline::short_day).unwrap_or_default(),
        is_sure: chosen.is_some_and(SendForm::is_sure),
        unread: version.map(|version| version.read.warning()).unwrap_or_default(),
        who: Recipients::load(app, visit, snapshot, chosen).await?,
    })
}
