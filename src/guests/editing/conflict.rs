//! Two versions of a guest's settings, for the person who saved to choose.

use crate::accounts::Visit;
use crate::error::Result;
use crate::guests::candidates::candidates;
use crate::guests::form::GuestForm;
use crate::guests::page;
use crate::guests::settings::GuestSettings;
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use axum::response::Response;

/// A field that is sent as it is shown: its name, its label, and its value.
type Field = (&'static str, &'static str, fn(&GuestForm) -> &String);

const FIELDS: [Field; 18] = [
    ("side", "Invited as", |form| &form.side),
    ("level", "Level", |form| &form.level),
    ("address", "Title before the name", |form| &form.address),
    ("in_own", "Own jurisdiction", |form| &form.in_own),
    ("since", "In office since", |form| &form.since),
    ("former", "No longer in office", |form| &form.former),
    ("minutes", "Minutes to speak", |form| &form.minutes),
    ("gives", "When time is short", |form| &form.gives),
    ("least", "Minutes at least", |form| &form.least),
    ("priority", "Priority", |form| &form.priority),
    ("microphone", "Microphone", |form| &form.microphone),
    ("met_by", "Met at the door by", |form| &form.met_by),
    ("seat", "Seat", |form| &form.seat),
    ("arrives", "Arrives", |form| &form.arrives),
    ("parking", "Parking", |form| &form.parking),
    ("clothing", "Clothing", |form| &form.clothing),
    ("press", "Press", |form| &form.press),
    ("also_comes", "Who else is coming", |form| &form.also_comes),
];

/// The page that shows both versions.
pub(super) async fn differs(app: &App, visit: &Visit, id: i64, guest: i64, mine: &GuestForm) -> Result<Response> {
    let snapshot = page::snapshot(app, id).await?;
    let known = page::found(&snapshot, guest)?;
    let theirs = GuestForm::of(&known.guest.details, known.guest.version);
    let action = format!("/events/{id}/guests/{guest}/edit");
    let mut conflict = Conflict::new(&known.person.details.name, action, known.guest.version);
    for (name, label, of) in FIELDS {
        conflict.field(name, label, of(&theirs), of(mine));
    }
    compare_choices(&mut conflict, &snapshot.settings, &candidates(app).await?, (&theirs, mine));
    conflict::show(page::page(app, visit, &snapshot.event, "Guests").await?, &conflict)
}

/// What is chosen from lists: sent as numbers, shown as names.
fn compare_choices(
    conflict: &mut Conflict,
    settings: &GuestSettings,
    candidates: &[(i64, String)],
    (theirs, mine): (&GuestForm, &GuestForm),
) {
    let offices: Vec<_> = settings.offices.iter().map(|office| (office.id, office.name.clone())).collect();
    let levels: Vec<_> = settings.levels.iter().map(|level| (level.id, level.name.clone())).collect();
    for (name, label, all, theirs, mine) in [
        ("office", "Office", offices.as_slice(), &theirs.office, &mine.office),
        ("sponsor_level", "Sponsor level", levels.as_slice(), &theirs.sponsor_level, &mine.sponsor_level),
        ("responsible", "Responsible", candidates, &theirs.responsible, &mine.responsible),
    ] {
        conflict.silent(name, mine);
        conflict.compare(label, &named(all, theirs), &named(all, mine));
    }
}

/// The name of a list entry, by its number.
fn named(all: &[(i64, String)], number: &str) -> String {
    let chosen = all.iter().find(|(id, _)| id.to_string() == number);
    chosen.map_or("none".to_owned(), |(_, name)| name.clone())
}
