//! Two people edited a loan: what each field holds in both versions.

use crate::countdown;
use crate::error::Result;
use crate::loans::choices::{Free, Insured};
use crate::loans::details::{CHOICES, FIELDS};
use crate::loans::field::Field;
use crate::loans::form::LoanForm;
use crate::loans::loan::Loan;
use crate::loans::snapshot::LoanSnapshot;
use crate::people::choosing::{self, Whom, WithPerson};
use crate::state::App;
use crate::web::conflict::Conflict;

/// What is saved and what was typed, side by side.
pub(super) async fn both_versions(
    app: &App,
    (snapshot, stands): (&LoanSnapshot, &Loan),
    sent: &WithPerson<LoanForm>,
    lender: &Whom,
) -> Result<Conflict> {
    let (theirs, mine) = (LoanForm::of(stands, &snapshot.event), &sent.form);
    let mut conflict = Conflict::new(&stands.details.what, format!("{}/edit", stands.href()), stands.version);
    let mut db = app.db.read().acquire().await?;
    let named = choosing::known_about(&mut db, lender).await?;
    conflict.compare("Lender", &stands.person, &named.map(|details| details.name).unwrap_or_default());
    sent.new.keep(&mut conflict);
    let tasks = countdown::tasks_in(&mut db, snapshot.event.id).await?;
    let task = |id: &str| tasks.iter().find(|task| task.id.to_string() == id).map_or("", |task| &task.details.title);
    conflict.compare("Needed for", task(theirs.get("task")), task(mine.get("task")));
    let thing =
        |id: &str| id.parse().ok().and_then(|id| snapshot.find(id)).map_or("", |loan| loan.details.what.as_str());
    conflict.compare("Backup", thing(theirs.get("backup_id")), thing(mine.get("backup_id")));
    for field in CHOICES {
        conflict.silent(field.name, mine.get(field.name));
    }
    for Field { name, label, .. } in FIELDS {
        conflict.silent(name, mine.get(name));
        conflict.compare(label, shown(name, theirs.get(name)), shown(name, mine.get(name)));
    }
    Ok(conflict)
}

/// What was typed or chosen in a field, as people read it.
fn shown<'a>(field: &str, text: &'a str) -> &'a str {
    let label: Option<&str> = match field {
        "burn_free" | "rain_free" => text.parse::<Free>().ok().map(Free::label),
        "insured" => text.parse::<Insured>().ok().map(Insured::label),
        _ => None,
    };
    label.unwrap_or(text)
}
