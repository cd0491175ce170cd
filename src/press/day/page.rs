//! The page of the media check-in.

use super::expected::{Expected, able, expected};
use super::{PressVisit, store};
use crate::accounts::{User, Visit};
use crate::asks;
use crate::calc::coverage::escorts;
use crate::error::Result;
use crate::events::{self, Event};
use crate::people::{self, Name, Person};
use crate::press::facts;
use crate::press::outlets::{self, Contact, Outlet};
use crate::press::reach::Reach;
use crate::state::App;
use crate::web::form::Mistakes;
use crate::web::page::Page;
use crate::web::words::Reader;
use askama::Template;
use serde::Deserialize;
use std::collections::HashSet;

#[derive(Template)]
#[template(path = "press/day.html")]
pub(super) struct Day {
    page: Page,
    event_id: i64,
    keeps: bool,
    burn_day: String,
    area: String,
    arrival: String,
    lines: Vec<PressLine>,
    arrived: usize,
    needed: usize,
    named: usize,
    escorts: Vec<Name>,
    outlets: Vec<Name>,
    form: AddForm,
    mistakes: Mistakes,
}

struct PressLine {
    person: i64,
    name: String,
    beneath: String,
    phone: String,
    arrived: String,
    signed: String,
    escort: Option<i64>,
    escort_name: String,
    can_go: bool,
}

#[derive(Debug, Clone, Deserialize, Default)]
#[serde(default)]
pub(super) struct AddForm {
    pub name: String,
    pub outlet: String,
}

/// What the lines are made from.
struct Known<'a> {
    event: &'a Event,
    user: &'a User,
    visits: &'a [PressVisit],
    outlets: &'a [Outlet],
    contacts: &'a [Contact],
    people: &'a [Person],
}

impl Known<'_> {
    fn line(&self, expected: Expected) -> PressLine {
        let known = self.visits.iter().find(|visit| visit.person_id == expected.person_id);
        let person = self.people.iter().find(|person| person.id == expected.person_id);
        let parts = [self.outlet_of(expected.person_id, known, person), expected.says];
        let clock = |at| Reader::App.time(self.event.details.zone.wall(at).time());
        PressLine {
            person: expected.person_id,
            name: expected.name,
            beneath: parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" · "),
            phone: Reach::of(person, self.user).phone,
            arrived: known.and_then(|visit| visit.arrived_at).map(clock).unwrap_or_default(),
            signed: known.and_then(|visit| visit.signed_at).map(clock).unwrap_or_default(),
            escort: known.and_then(|visit| visit.escort_id),
            escort_name: known.and_then(|visit| visit.escort.clone()).unwrap_or_default(),
            can_go: known.is_some_and(|visit| visit.by_hand && visit.arrived_at.is_none()),
        }
    }

    /// The outlet they were added with, or else where they are a contact, or their
    /// organization.
    fn outlet_of(&self, person_id: i64, visit: Option<&PressVisit>, person: Option<&Person>) -> String {
        let given = visit.and_then(|visit| visit.outlet_id);
        let given = given.and_then(|id| self.outlets.iter().find(|outlet| outlet.id == id));
        let contact = || self.contacts.iter().find(|contact| contact.person_id == person_id);
        given
            .map(|outlet| outlet.details.name.clone())
            .or_else(|| contact().map(|contact| contact.outlet.clone()))
            .or_else(|| person.map(|person| person.details.organization.clone()))
            .unwrap_or_default()
    }
}

/// The page with what was typed.
pub(super) async fn view(app: &App, visit: &Visit, event: &Event, form: AddForm, mistakes: Mistakes) -> Result<Day> {
    let page = events::page(app, visit, Some(event), app.clock.now()).await?.titled("Media check-in");
    let outlets = outlets::all(app.db.read()).await?;
    let mut db = app.db.read().acquire().await?;
    let requests = asks::of_event(&mut db, event.id).await?;
    let (visits, people) = (store::of_event(&mut db, event.id).await?, people::everyone(&mut db).await?);
    let (contacts, facts) = (outlets::contacts(&mut db).await?, facts::of_event(&mut db, event.id).await?);
    let known =
        Known { event, user: &visit.user, visits: &visits, outlets: &outlets, contacts: &contacts, people: &people };
    let expected = expected(&requests, &visits, &people, event);
    let lines: Vec<PressLine> = expected.into_iter().map(|expected| known.line(expected)).collect();
    let named: HashSet<i64> = lines.iter().filter_map(|line| line.escort).collect();
    Ok(Day {
        page,
        event_id: event.id,
        keeps: visit.user.keeps_people(),
        burn_day: Reader::App.day(event.details.burn_on),
        area: facts.area,
        arrival: facts.arrival,
        arrived: lines.iter().filter(|line| !line.arrived.is_empty()).count(),
        needed: escorts(lines.len()),
        named: named.len(),
        escorts: able(&people, &contacts),
        outlets: outlets.into_iter().map(|outlet| Name { id: outlet.id, name: outlet.details.name }).collect(),
        lines,
        form,
        mistakes,
    })
}
