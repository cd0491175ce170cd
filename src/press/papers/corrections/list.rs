//! Who needs a correction, on the page of a release.

use super::outdated::{Outdated, outdated};
use crate::accounts::Visit;
use crate::error::Result;
use crate::people;
use crate::press::papers::changes::Change;
use crate::press::papers::holders;
use crate::press::papers::refusals::Refusal;
use crate::press::papers::snapshot::PaperSnapshot;
use crate::press::reach::{Reach, Unmailed};
use crate::state::App;

/// The list on a release's page.
#[derive(Debug, Default)]
pub(in crate::press::papers) struct Corrections {
    pub to_mail: Vec<CorrectionLine>,
    pub to_call: Vec<CorrectionLine>,
    /// Why no correction can go out yet; none if one can.
    pub refused: Option<Refusal>,
}

#[derive(Debug)]
pub(in crate::press::papers) struct CorrectionLine {
    pub person_id: i64,
    pub name: String,
    pub outlet: String,
    /// What has changed since the version they have.
    pub changes: Vec<Change>,
    pub phone: String,
    /// Why they can't get email.
    pub unmailed: Option<Unmailed>,
}

impl Corrections {
    pub async fn load(app: &App, visit: &Visit, snapshot: &PaperSnapshot) -> Result<Self> {
        let mut db = app.db.read().acquire().await?;
        let PaperSnapshot { event, facts, paper } = snapshot;
        let holders = holders::of_event(&mut db, event.id).await?;
        let outdated = outdated(&holders, paper, event, facts);
        if outdated.is_empty() {
            return Ok(Self::default());
        }
        let people = people::everyone(&mut db).await?;
        let line = |Outdated { holder, changes }: Outdated| {
            let person = people.iter().find(|person| person.id == holder.person_id);
            // Whether they get email is no secret. Their number is.
            let reach = Reach::of(person, &visit.user);
            CorrectionLine {
                person_id: holder.person_id,
                name: holder.person,
                outlet: holder.outlet,
                changes,
                phone: reach.phone,
                unmailed: reach.unmailed,
            }
        };
        let (to_mail, to_call) = outdated.into_iter().map(line).partition(|line| line.unmailed.is_none());
        Ok(Self { to_mail, to_call, refused: Refusal::to_send(snapshot) })
    }

    pub fn count(&self) -> usize {
        self.to_mail.len() + self.to_call.len()
    }
}
